"""The pictures of the balance: what stands where, in which unit, and that labels do not stand on each other."""

from __future__ import annotations

from math import cos, radians, sin
from typing import Any

import numpy as np
import pytest
from matplotlib.patches import Circle, Polygon
from test_balance_sheet import CRANKS, EXAMPLES, changed, sheet_of, short_of_a_plan

import swept
from swept import plots


def seen(ax: Any) -> list[str]:
    """What is written in a panel."""
    return [t.get_text() for t in ax.texts if t.get_text()]


def boxes(plot: plots.Plot) -> list[Any]:
    """Where the labels in the panels stand, after the layout."""
    plot.to_svg()
    plot.draw_without_rendering()
    renderer = plot._get_renderer()  # type: ignore[attr-defined]
    texts = [t for ax in plot.axes if ax.get_visible() for t in ax.texts if t.get_text()]
    # Of an annotation only the text, not its line.
    from matplotlib.text import Text

    return [Text.get_window_extent(t, renderer) for t in texts]


@pytest.mark.parametrize("name", CRANKS)
def test_labels_stand_apart(name: str) -> None:
    sheet = sheet_of(name)
    for plot in (plots.unbalance(sheet), plots.drill_map(sheet)):
        found = boxes(plot)
        assert len(found) >= 4
        for i, one in enumerate(found):
            assert not any(one.overlaps(other) for other in found[:i])


@pytest.mark.parametrize("name", CRANKS)
def test_the_note_and_titles_are_inside_the_picture(name: str) -> None:
    sheet = sheet_of(name)
    for plot in (
        plots.unbalance(sheet),
        plots.drill_map(sheet),
        plots.drill_map(sheet, plots.cheeks_with_holes(sheet)[:1]),
    ):
        plot.to_svg()
        renderer = plot._get_renderer()  # type: ignore[attr-defined]
        parts = [plot.legends[0], *(t for ax in plot.axes for t in (ax.title, ax._left_title))]  # type: ignore[attr-defined]
        for part in parts:
            box = part.get_window_extent(renderer)
            assert box.x0 >= 0.0 and box.x1 <= plot.bbox.x1 and box.y0 >= 0.0 and box.y1 <= plot.bbox.y1, part


def test_a_slug_hole_is_a_circle_on_its_axis_and_angles_count_counter_clockwise() -> None:
    sheet = sheet_of("vee_twin_crank")
    steps = sheet.data["balance"]["drilling"]["steps"]
    panels = plots.drill_map(sheet).axes
    for ax, step in zip(panels, steps, strict=True):
        (hole,) = (p for p in ax.patches if isinstance(p, Circle))
        angle = radians(step["angle_deg"])
        assert hole.get_radius() == pytest.approx(6.0)
        assert hole.center == pytest.approx((-58.0 * sin(angle), 58.0 * cos(angle)))
    # 190 deg is past straight down by 10 deg, counter-clockwise: to the right.
    assert next(p for p in panels[0].patches if isinstance(p, Circle)).center[0] > 0.0


def test_a_radial_hole_is_cut_to_scale_from_the_edge_to_the_point_of_the_drill() -> None:
    sheet = sheet_of("inline_three_crank")
    step = sheet.data["balance"]["drilling"]["steps"][0]
    ax = plots.drill_map(sheet).axes[0]
    hole = next(p for p in ax.patches if isinstance(p, Polygon) and p.get_facecolor()[:3] == (0.0, 0.0, 0.0))
    corners = hole.get_xy()[:5]
    angle = radians(step["angle_deg"])
    out = np.array([-sin(angle), cos(angle)])
    along, across = corners @ out, corners @ np.array([out[1], -out[0]])
    assert max(along) == pytest.approx(68.0)
    assert max(across) - min(across) == pytest.approx(8.0)
    # Full diameter to 13 mm, then the point of 118 deg: 4 mm / tan 59 deg = 2.403 mm more.
    assert min(along) == pytest.approx(68.0 - 13.0 - 2.403, abs=1e-3)
    assert sorted(along)[1] == pytest.approx(68.0 - 13.0)


def test_all_cheeks_are_drawn_to_one_scale_and_say_what_goes_in() -> None:
    sheet = sheet_of("inline_three_crank")
    front, rear = plots.drill_map(sheet).axes
    spans = [end - start for ax in (front, rear) for start, end in (ax.get_xlim(), ax.get_ylim())]
    assert spans == pytest.approx([spans[0]] * 4)
    assert (
        front.get_title(loc="left")
        == "cheek front, at -17.000 mm along the crank\n1: 140.0°, R 68.000, radial, Ø 8.000 by 13.000 deep"
    )
    assert {"0°", "95°", "205°", "1"} == set(seen(front)) and {"0°", "275°", "25°", "2"} == set(seen(rear))
    assert front.get_xlabel() == "mm"


def test_the_map_says_where_zero_is_and_from_where_the_crank_is_seen() -> None:
    sheet = sheet_of("vee_eight_crank")
    for plot in (plots.drill_map(sheet), plots.unbalance(sheet)):
        note = plot.legends[0].get_title().get_text()
        assert "crankpin of throw angle 0°" in note and "seen from the end" in note and "counter-clockwise" in note


def test_cheeks_to_draw_are_those_with_holes_or_those_asked_for() -> None:
    sheet = sheet_of("vee_eight_crank")
    used = {s["cheek"] for s in sheet.data["balance"]["drilling"]["steps"]}
    assert plots.cheeks_with_holes(sheet) == sorted(used) and len(used) == 2
    (left_alone, *_) = sorted({"1", "2", "7", "8"} - used)
    assert [ax.get_title(loc="left") for ax in plots.drill_map(sheet, [left_alone]).axes] == [f"cheek {left_alone}"]
    with pytest.raises(ValueError, match="no cheek '3' to drill; it has 1, 2, 7, 8"):
        plots.drill_map(sheet, ["3"])
    with pytest.raises(ValueError, match="no cheek named"):
        plots.drill_map(sheet, [])


def test_numbers_of_holes_side_by_side_stand_apart() -> None:
    sheet = sheet_of("vee_eight_crank")
    drilling = sheet.data["balance"]["drilling"]
    step = {**drilling["steps"][0], "cheek": "8"}
    steps = [{**step, "angle_deg": angle} for angle in (356.0, 2.0, 358.0, 4.0, 8.0)]
    found = boxes(plots.drill_map(changed(sheet, drilling={**drilling, "steps": steps})))
    for i, one in enumerate(found):
        assert not any(one.overlaps(other) for other in found[:i])


def test_the_path_goes_from_the_reading_to_what_remains() -> None:
    sheet = sheet_of("vee_eight_crank")
    plot = plots.unbalance(sheet)
    for ax, name in zip(plot.axes, ("first", "second"), strict=True):
        marks = {line.get_label(): line for line in ax.lines}
        last = sheet.data["balance"]["drilling"]["steps"][-1]
        assert marks["what remains"].get_xydata()[0] == pytest.approx(
            (radians(last[f"left_{name}_deg"]), last[f"left_{name}"]["value"])
        )
        rings = [marks["permissible unbalance"], marks["permissible, less the guard for the reading's uncertainty"]]
        assert [ring.get_ydata()[0] for ring in rings] == pytest.approx([394.9, 374.3], abs=0.05)
        assert ax.get_theta_direction() == 1  # counter-clockwise, as the drill map
    # Each hole has its number in each plane, also one that leaves the plane as it was.
    for ax in plot.axes:
        assert [n for text in seen(ax) for n in text.split(", ")] == ["read", "1", "2"]
    labels = [t.get_text() for t in plot.legends[0].get_texts()]
    assert {"permissible unbalance", "as read", "what remains"} <= set(labels)


def test_readings_without_sites_or_limits_are_drawn_alone() -> None:
    sheet = sheet_of("inline_three_crank")
    free = [{**p, "permissible": None} for p in sheet.data["balance"]["planes"]]
    for planes, labels in (
        (sheet.data["balance"]["planes"], {"permissible unbalance", "as read"}),
        (free, {"as read"}),
    ):
        plot = plots.unbalance(changed(sheet, drilling=None, planes=planes))
        assert {t.get_text() for t in plot.legends[0].get_texts()} == labels
        assert [seen(ax) for ax in plot.axes] == [["read"], ["read"]]


def test_a_hole_that_leaves_a_plane_as_it_was_shares_the_label_of_the_reading() -> None:
    ax = plots.unbalance(sheet_of("vee_twin_crank")).axes[1]
    assert "read, 1" in seen(ax) and "2" in seen(ax)


def test_a_plan_that_falls_short_is_called_so_in_both_pictures() -> None:
    sheet = swept.parse_build(short_of_a_plan()).sheet()
    for plot in (plots.unbalance(sheet), plots.drill_map(sheet)):
        assert plot.get_suptitle().startswith("NOT A PLAN")
    whole = sheet_of("inline_three_crank")
    for plot in (plots.unbalance(whole), plots.drill_map(whole)):
        assert plot.get_suptitle() == ""


@pytest.mark.parametrize(
    ("name", "display", "force", "moment"),
    [
        ("inline_three_crank", "metric", "N", "N m"),
        ("vee_twin_crank", "metric", "kN", "N m"),
        ("vee_twin_crank", "inch", "lbf", "lbf ft"),
    ],
)
def test_forces_have_their_unit_their_axis_and_before_and_after(
    name: str, display: str, force: str, moment: str
) -> None:
    text = (EXAMPLES / f"{name}.toml").read_text().replace('display = "metric"', f'display = "{display}"')
    sheet = swept.parse_build(text).sheet()
    plot = plots.shaking(sheet)
    assert [ax.get_ylabel() for ax in plot.axes] == [
        f"force along, {force}",
        f"force across, {force}",
        f"moment along, {moment}",
        f"moment across, {moment}",
    ]
    assert {ax.get_xlabel() for ax in plot.axes} == {"crank angle, deg"}
    legend = [t.get_text() for t in plot.legends[0].get_texts()]
    assert legend == ["before: pistons and rods alone", "after: with all that turns"]
    path = plots.hodograph(sheet).axes[0]
    assert path.get_xlabel().endswith(f", {force}") and path.xaxis_inverted()
    # 1 N = 0.001 kN = 0.2248089 lbf.
    factor = {"N": 1.0, "kN": 0.001, "lbf": 0.2248089431}[force]
    before = sheet.data["balance"]["trace"]["bare"]
    assert plot.axes[0].lines[0].get_ydata() == pytest.approx([p["along_n"] * factor for p in before])


def test_what_is_nothing_beside_the_other_direction_is_drawn_flat() -> None:
    sheet = sheet_of("vee_eight_crank")
    trace = {
        key: [{**p, "across_n": 1e-12 * p["along_n"]} for p in points]
        for key, points in sheet.data["balance"]["trace"].items()
    }
    along, across, *_ = plots.shaking(changed(sheet, trace=trace)).axes
    assert across.get_ylim()[1] > 0.04 * along.get_ylim()[1]


def test_without_a_balance_the_plots_say_so() -> None:
    plain = sheet_of("inline_four")
    for draw in (plots.hodograph, plots.shaking, plots.unbalance, plots.drill_map):
        with pytest.raises(ValueError, match="balance"):
            draw(plain)
