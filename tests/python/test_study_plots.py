"""The pictures of studies: what they draw is what the study says, in its units, and labels stand apart."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from matplotlib.colors import to_hex
from test_balance_plots import boxes, seen

import swept
from swept import plots


@pytest.fixture(scope="module")
def study() -> swept.Study:
    return swept.Study(
        vary={
            "bore": swept.span("82 mm", "92 mm", count=41),
            "chamber_volume": ["40 cm3", "48 cm3"],
            "stroke": swept.span("78 mm", "96 mm", count=37),
        },
        fixed={
            "rod_length": "148 mm",
            "speed": "7200 rpm",
            "bore_spacing": "94 mm",
            "deck_clearance": "0.25 mm",
            "gasket_bore": "93 mm",
            "gasket_thickness": "0.85 mm",
            "crown_volume": "6 cm3",
        },
        limits={
            "mean_piston_speed": (None, "20 m/s"),
            "wall_between_bores": ("5 mm", None),
            "compression_ratio": (9, 12),
            "rod_ratio": (1.0, None),
        },
    )


def legend(plot: plots.Plot) -> list[str]:
    return [t.get_text() for t in plot.legends[0].get_texts()]


def test_contours_name_axes_limits_and_where_the_others_stand(study: swept.Study) -> None:
    plot = plots.contour(study, x="bore", y="stroke", of=["swept_volume", "compression_ratio"])
    left, right = plot.axes
    assert left.get_xlabel() == "bore, mm" and left.get_ylabel() == "stroke, mm"
    assert left.get_title() == "swept volume, cm3" and right.get_title() == "compression ratio"
    assert left.get_xlim() == (82.0, 92.0) and left.get_ylim() == (78.0, 96.0)
    named = legend(plot)
    assert "mean piston speed ≤ 20 m/s" in named and "wall between bores ≥ 5 mm" in named
    # A limit that every design holds draws no line.
    assert not any("rod ratio" in text for text in named) and "outside the limits" in named
    assert plot.legends[0].get_title().get_text() == "chamber volume 40 cm3"
    assert any("mean piston speed" in text for text in seen(left))


def test_the_line_of_a_limit_is_where_it_is_met(study: swept.Study) -> None:
    ax: Any = plots.contour(study, x="stroke", y="bore", of="swept_volume").axes[0]
    red = [c for c in ax.collections if len(c.get_edgecolor()) and to_hex(c.get_edgecolor()[0]) == plots.style.RED]
    lines = [path.vertices for c in red for path in c.get_paths() if len(path.vertices)]
    # 2 s n = 20 m/s at 120 turns a second: a stroke of 83.33 mm; a wall of 5 mm: a bore of 89 mm.
    assert any(np.allclose(line[:, 0], 20.0 / 240.0 * 1e3) for line in lines)
    assert any(np.allclose(line[:, 1], 89.0) for line in lines)


def test_where_the_other_axes_stand_can_be_chosen(study: swept.Study) -> None:
    first = plots.contour(study, x="bore", y="stroke", of="compression_ratio")
    second = plots.contour(study, x="bore", y="stroke", of="compression_ratio", at={"chamber_volume": "48 cm3"})
    assert second.legends[0].get_title().get_text() == "chamber volume 48 cm3"
    assert seen(first.axes[0]) != seen(second.axes[0])
    for plot in (first, second):
        found = boxes(plot)
        assert len(found) > 3
        for i, one in enumerate(found):
            assert not any(one.overlaps(other) for other in found[:i])
    with pytest.raises(ValueError, match="no axis"):
        plots.contour(study, x="bore", y="rod_length", of="compression_ratio")
    with pytest.raises(ValueError, match="two axes"):
        plots.contour(study, x="bore", y="bore", of="compression_ratio")


def test_contours_in_inches(study: swept.Study) -> None:
    with swept.display("inch"):
        ax = plots.contour(study, x="bore", y="stroke", of="swept_volume").axes[0]
    assert ax.get_xlabel() == "bore, in" and ax.get_title() == "swept volume, in3"
    assert ax.get_xlim() == pytest.approx((82 / 25.4, 92 / 25.4))


def test_a_tornado_is_sorted() -> None:
    pairs: dict[str, Any] = {"bore": (-0.1, 0.12), "chamber_volume": (0.5, -0.4), "stroke": (-0.3, 0.28)}
    plot = plots.tornado(pairs, of="compression ratio")
    ax = plot.axes[0]
    assert [t.get_text() for t in ax.get_yticklabels()] == ["chamber volume", "stroke", "bore"]
    assert ax.get_title() == "compression ratio" and len(ax.patches) == 6 and len(legend(plot)) == 2
    table = swept.tables.Table({"reading": ["a", "b"], "share": [0.2, 0.8]})
    ax = plots.tornado(table).axes[0]
    assert [t.get_text() for t in ax.get_yticklabels()] == ["b", "a"]
    assert [p.get_width() for p in ax.patches] == [0.8, 0.2]  # type: ignore[attr-defined]
    for wrong in ({}, {"a": 1.0, "b": (1.0, 2.0)}, {"a": (1.0, 2.0, 3.0)}):
        with pytest.raises(ValueError):
            plots.tornado(wrong)
    with pytest.raises(ValueError, match="texts"):
        plots.tornado(swept.tables.Table({"share": [1.0]}))


def test_a_front_is_joined_and_named(study: swept.Study) -> None:
    front = study.pareto({"swept_volume": "max", "mean_piston_speed": "min"})
    ax = plots.pareto(front, x="swept_volume", y="mean_piston_speed").axes[0]
    assert (ax.get_xlabel(), ax.get_ylabel()) == ("swept volume, cm3", "mean piston speed, m/s")
    assert len(ax.lines) == 2 and len(ax.lines[1].get_xdata()) == front.rows  # type: ignore[arg-type]
    mixed = study.best(30, "swept_volume")
    assert len(plots.pareto(mixed, x="bore_mm", y="stroke").axes[0].lines) == 1
    with pytest.raises(KeyError, match="swept_volume_cm3"):
        plots.pareto(front, x="displacement", y="bore")
