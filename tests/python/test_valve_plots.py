"""The pictures of the valve train: what they draw is what the sheet says, in its units, and no label is on another."""

from __future__ import annotations

import copy
import json
from typing import Any

import numpy as np
import pytest
from matplotlib.colors import to_hex
from test_balance_plots import boxes, seen
from test_balance_sheet import EXAMPLES

import swept
from swept import plots

NAMES = ("inline_four", "vee_six")
DRAWN = (plots.valve_lift, plots.valve_timing, plots.spring_force, plots.valve_clearance_map, plots.lobe_motion)


@pytest.fixture(scope="module")
def sheets() -> dict[str, swept.Sheet]:
    return {name: swept.read_build(EXAMPLES / f"{name}.toml").sheet() for name in NAMES}


def changed(sheet: swept.Sheet, side: int | None = None, **entries: Any) -> swept.Sheet:
    """The sheet with entries of its valve train, or of one side of it, in other words."""
    data = copy.deepcopy(sheet.data)
    table = data["valves"] if side is None else data["valves"]["sides"][side]
    table |= entries
    return swept.Sheet.from_json(json.dumps(data))


def with_finding(sheet: swept.Sheet, what: str, **entries: Any) -> swept.Sheet:
    data = copy.deepcopy(sheet.data)
    for finding in data["findings"]:
        if finding["what"] == what:
            finding |= entries
    return swept.Sheet.from_json(json.dumps(data))


def legend(plot: plots.Plot) -> list[str]:
    return [t.get_text() for t in plot.legends[0].get_texts()]


def note(plot: plots.Plot) -> str:
    return plot.legends[0].get_title().get_text()


def apart(plot: plots.Plot) -> None:
    """No label on another, and the whole legend inside the picture."""
    found = boxes(plot)
    for i, one in enumerate(found):
        assert not any(one.overlaps(other) for other in found[:i])
    box = plot.legends[0].get_window_extent(plot._get_renderer())  # type: ignore[attr-defined]
    assert box.x0 >= 0.0 and box.x1 <= plot.bbox.x1 and box.y0 >= 0.0


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("draw", DRAWN)
def test_labels_stand_apart_and_the_legend_is_in_the_picture(
    sheets: dict[str, swept.Sheet], name: str, draw: Any
) -> None:
    apart(draw(sheets[name]))


@pytest.mark.parametrize(("name", "unit", "factor"), [("inline_four", "mm", 1.0), ("vee_six", "in", 1.0 / 25.4)])
def test_lift_piston_and_clearance_are_those_of_the_sheet_in_its_unit(
    sheets: dict[str, swept.Sheet], name: str, unit: str, factor: float
) -> None:
    sheet = sheets[name]
    assert sheet.valves
    upper, lower = plots.valve_lift(sheet).axes
    assert upper.get_ylabel() == f"lift, piston, {unit}" and lower.get_ylabel().endswith(f"stem, {unit}")
    points = sheet.valves["points"]
    for line, kind in zip(upper.lines, ("intake", "exhaust"), strict=False):
        assert line.get_label() == f"{kind} valve"
        assert line.get_ydata() == pytest.approx([p[f"{kind}_lift_mm"] * factor for p in points])
    piston = next(line for line in upper.lines if str(line.get_label()).startswith("piston"))
    kept = np.isfinite(piston.get_ydata())
    assert np.asarray(piston.get_ydata())[kept] == pytest.approx(
        np.array([p["piston_mm"] * factor for p in points])[kept]
    )
    near = [p for p in points if abs(p["crank_deg"]) <= 60]
    assert lower.lines[0].get_ydata() == pytest.approx([p["intake_clearance_mm"] * factor for p in near])
    for side in sheet.valves["sides"]:
        words = next(line for line in lower.lines if str(line.get_label()).startswith(f"{side['kind']}: least"))
        assert words.get_xydata()[0] == pytest.approx([side["least_at_deg"], side["least_clearance"]["value"]])
        assert side["least_clearance"]["text"] in seen(lower)
        # The mark is the lowest point of its curve, which has a point each degree.
        curve = np.array([p[f"{side['kind']}_clearance_mm"] * factor for p in near])
        assert side["least_clearance"]["value"] == pytest.approx(curve.min(), rel=5e-3)


@pytest.mark.parametrize("name", NAMES)
def test_events_stand_on_the_curves_at_the_checking_lift(sheets: dict[str, swept.Sheet], name: str) -> None:
    sheet = sheets[name]
    assert sheet.valves
    points = sheet.valves["points"]
    crank = [p["crank_deg"] for p in points]
    for side in sheet.valves["sides"]:
        lift = [p[f"{side['kind']}_lift_mm"] for p in points]
        for event in ("opens_deg", "closes_deg"):
            at = np.interp(side[event], crank, lift)
            assert at == pytest.approx(1e3 * sheet.valves["checking_lift"]["si"], rel=0.01)
    upper = plots.valve_lift(sheet).axes[0]
    marks = next(line for line in upper.lines if str(line.get_label()).startswith("events at"))
    drawn = sorted(side[e] for side in sheet.valves["sides"] for e in ("opens_deg", "closes_deg"))
    assert marks.get_xdata() == pytest.approx(drawn)
    lesser = [min(p["intake_lift_mm"], p["exhaust_lift_mm"]) for p in points]
    assert sheet.valves["overlap_area_mm_deg"] == pytest.approx(np.trapezoid(lesser, crank), rel=0.01)


def test_no_clearance_known_leaves_the_lifts(sheets: dict[str, swept.Sheet]) -> None:
    sheet = sheets["inline_four"]
    for side in (0, 1):
        sheet = changed(sheet, side, least_clearance=None, least_at_deg=None, tightest=None, map=[])
    (only,) = plots.valve_lift(sheet).axes
    assert only.get_ylabel() == "lift, piston, mm"
    with pytest.raises(ValueError, match="too little for valve-to-piston"):
        plots.valve_clearance_map(sheet)


def test_a_valve_that_would_meet_the_piston_is_drawn_below_zero(sheets: dict[str, swept.Sheet]) -> None:
    sheet = sheets["inline_four"]
    met = {"value": -0.4, "unit": "mm", "text": "-0.400 mm", "si": -0.0004}
    lower = plots.valve_lift(changed(sheet, 0, least_clearance=met)).axes[1]
    assert lower.get_ylim()[0] < -0.4 and "-0.400 mm" in seen(lower)


def test_the_timing_diagram_has_its_events_its_overlap_and_its_direction(sheets: dict[str, swept.Sheet]) -> None:
    sheet = sheets["inline_four"]
    plot = plots.valve_timing(sheet)
    ax: Any = plot.axes[0]
    assert {
        "intake opens\n13.9° BTDC",
        "intake closes\n48.1° ABDC",
        "exhaust opens\n44.6° BBDC",
        "exhaust closes\n8.6° ATDC",
    } <= set(seen(ax))
    assert legend(plot) == ["intake valve open, 242.1°", "exhaust valve open, 233.2°", "overlap: both open"]
    assert plot.get_suptitle() == "Valve events at 1.000 mm of lift at the valve; overlap 22.5°"
    assert ax.get_theta_direction() == -1 and "clockwise" in note(plot) and "firing TDC" in note(plot)
    # Each band lasts as long as its valve is open, in radians of the crank.
    for band, side in zip(ax.collections, (sheet.valves or {})["sides"], strict=False):
        angles = np.degrees(band.get_paths()[0].vertices[:, 0])
        assert (angles.min(), angles.max()) == pytest.approx((side["opens_deg"], side["closes_deg"]))


def test_without_overlap_the_events_at_the_top_change_sides(sheets: dict[str, swept.Sheet]) -> None:
    sheet = changed(changed(changed(sheets["inline_four"], 0, opens_deg=5.0), 1, closes_deg=-9.0), overlap_deg=-14.0)
    for plot in (plots.valve_timing(sheet), plots.valve_lift(sheet)):
        apart(plot)
        assert "intake opens\n5.0° ATDC" in seen(plot.axes[0]) and "exhaust closes\n9.0° BTDC" in seen(plot.axes[0])
    timing = plots.valve_timing(sheet)
    assert timing.get_suptitle().endswith("no overlap: both are shut for 14.0°")
    assert "overlap: both open" not in legend(timing)


@pytest.mark.parametrize(("opens", "closes"), [(-3.0, -9.0), (2.0, 12.0), (5.0, -9.0), (-40.0, 35.0), (-12.0, -2.0)])
def test_labels_at_the_top_stand_in_the_order_of_their_events(
    sheets: dict[str, swept.Sheet], opens: float, closes: float
) -> None:
    sheet = changed(sheets["vee_six"], 0, opens_deg=opens)
    sheet = changed(changed(sheet, 1, closes_deg=closes), overlap_deg=closes - opens)
    for plot in (plots.valve_timing(sheet), plots.valve_lift(sheet)):
        apart(plot)
        place = dict(zip(seen(plot.axes[0]), (b.x0 for b in boxes(plot)), strict=False))
        (left,) = (x for text, x in place.items() if text.startswith("intake opens"))
        (right,) = (x for text, x in place.items() if text.startswith("exhaust closes"))
        assert (left < right) == (opens < closes)


@pytest.mark.parametrize(
    ("name", "unit", "factor", "speed"),
    [("inline_four", "N", 1.0, "7200 rpm"), ("vee_six", "lbf", 1.0 / 4.4482216152605, "6400 rpm")],
)
def test_springs_have_their_unit_their_speed_and_what_the_findings_say(
    sheets: dict[str, swept.Sheet], name: str, unit: str, factor: float, speed: str
) -> None:
    sheet = sheets[name]
    plot = plots.spring_force(sheet)
    assert plot.axes[0].get_ylabel() == f"force at the valve, {unit}"
    assert plot.get_suptitle() == f"Springs at {speed} of the crank"
    for ax, side in zip(plot.axes, (sheet.valves or {})["sides"], strict=True):
        pushed = {round(p["cam_deg"], 3): p["available_n"] * factor for p in side["springs"]}
        line = ax.lines[0]
        assert line.get_ydata() == pytest.approx([pushed[round(float(x), 3)] for x in line.get_xdata()])
        assert max(line.get_ydata()) == pytest.approx(max(pushed.values()))
    for what in ("float_speed", "coil_bind_margin"):
        for finding in sheet.find(what):
            assert finding.raw["value"]["text"] in note(plot)
    assert "kinematic estimate" in note(plot) and "NOT HELD at this speed" not in legend(plot)


def test_a_valve_that_is_not_held_and_coils_that_bind_are_called_so(sheets: dict[str, swept.Sheet]) -> None:
    text = (EXAMPLES / "inline_four.toml").read_text()
    assert 'speed = "7200 rpm"' in text and 'solid_height = "22.6 mm +/- 0.1 mm"' in text
    fast = swept.parse_build(text.replace('speed = "7200 rpm"', 'speed = "9600 rpm"')).sheet()
    assert "NOT HELD at this speed" in legend(plots.spring_force(fast))
    bound = swept.parse_build(text.replace('solid_height = "22.6', 'solid_height = "26.0')).sheet()
    plot = plots.spring_force(bound)
    assert note(plot).count("THE COILS BIND before full lift") == 2
    apart(plot)
    assert "THE COILS BIND" not in note(plots.spring_force(sheets["inline_four"]))


def test_springs_need_springs(sheets: dict[str, swept.Sheet]) -> None:
    one = changed(sheets["vee_six"], 0, springs=[])
    assert [ax.get_title() for ax in plots.spring_force(one).axes] == ["exhaust"]
    with pytest.raises(ValueError, match=r"springs, moving, engine\.speed"):
        plots.spring_force(changed(one, 1, springs=[]))


def red_lines(ax: Any) -> list[Any]:
    return [c for c in ax.collections if len(c.get_edgecolor()) and to_hex(c.get_edgecolor()[0]) == "#a63603"]


@pytest.mark.parametrize("name", NAMES)
def test_the_contour_of_the_limit_is_where_the_advance_limits_are(sheets: dict[str, swept.Sheet], name: str) -> None:
    sheet = sheets[name]
    plot = plots.valve_clearance_map(sheet)
    for ax, side, end in zip(plot.axes, (sheet.valves or {})["sides"], (1, 0), strict=True):
        set_at = next(line for line in ax.lines if line.get_marker() == "o")
        assert set_at.get_xydata()[0] == pytest.approx([0.0, side["lash"]["value"]])
        (contour,) = red_lines(ax)
        path = np.concatenate([p.vertices for p in contour.get_paths()])
        path = path[np.argsort(path[:, 1])]
        # The core solves for it; the contour is read off a map of nine by nine.
        assert np.interp(side["lash"]["value"], path[:, 1], path[:, 0]) == pytest.approx(
            side["advance_limits_deg"][end], abs=0.1
        )
    unit = sheet.find("valve_lift")[0].raw["value"]["unit"]
    assert plot.get_suptitle().endswith(f", {unit}") and plot.axes[0].get_ylabel() == f"lash at the valve, {unit}"


def test_a_line_of_the_map_under_that_of_the_limit_has_no_figure_of_its_own(sheets: dict[str, swept.Sheet]) -> None:
    intake, exhaust = (seen(ax) for ax in plots.valve_clearance_map(sheets["inline_four"]).axes)
    assert "2" not in intake and {"1.75", "2.25"} <= set(intake)  # at least 2 mm
    assert "2.5" not in exhaust and {"2.25", "2.75"} <= set(exhaust)  # at least 2.5 mm


def test_a_map_without_lash_is_a_curve_and_without_limit_has_no_contour(sheets: dict[str, swept.Sheet]) -> None:
    sheet = sheets["inline_four"]
    side = (sheet.valves or {})["sides"][0]
    row = [p for p in side["map"] if p["lash_mm"] == 0.0]
    curve = plots.valve_clearance_map(changed(sheet, 0, map=row)).axes[0]
    assert curve.get_ylabel() == "least clearance, mm"
    assert curve.lines[0].get_ydata() == pytest.approx([p["clearance_mm"] for p in row])
    free = plots.valve_clearance_map(with_finding(sheet, "intake_valve_to_piston", limits=None))
    assert not red_lines(free.axes[0]) and len(red_lines(free.axes[1])) == 1
    assert not any("intake" in text for text in legend(free))


@pytest.mark.parametrize(("name", "unit", "factor"), [("inline_four", "µm", 1e3), ("vee_six", "0.001 in", 1e3 / 25.4)])
def test_the_lobes_are_drawn_per_degree_of_the_cam(
    sheets: dict[str, swept.Sheet], name: str, unit: str, factor: float
) -> None:
    plot = plots.lobe_motion(sheets[name])
    assert [ax.get_ylabel() for ax in plot.axes][1:] == [
        f"velocity, {unit}/deg",
        f"acceleration, {unit}/deg²",
        f"jerk, {unit}/deg³",
    ]
    for i, side in enumerate((sheets[name].valves or {})["sides"]):
        lobe = side["details"]["lobe"]
        drawn = [np.asarray(ax.lines[i].get_ydata()) for ax in plot.axes]
        assert drawn[2] == pytest.approx([p["acceleration_mm_per_deg2"] * factor for p in lobe])
        # Velocity is the slope of the lift: over the whole lobe it sums to what the lift has risen and fallen, nothing.
        rise = np.cumsum((drawn[1][1:] + drawn[1][:-1]) / 2.0) / 1e3
        assert rise == pytest.approx(drawn[0][1:] - drawn[0][0], abs=2e-3 * drawn[0].max())


def test_without_valves_the_plots_say_so(sheet: swept.Sheet) -> None:
    for draw in DRAWN:
        with pytest.raises(ValueError, match=r"no table \[valves\]"):
            draw(sheet)
