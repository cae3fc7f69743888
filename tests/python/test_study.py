"""Studies against NumPy over every design of small grids, and their tables."""

from __future__ import annotations

import pickle
from typing import Any

import numpy as np
import pint
import pytest
from conftest import DOCUMENT, EXAMPLES

import swept
from swept import errors
from swept.study_text import Span

BORES, STROKES, RODS, SPEEDS = np.linspace(80, 90, 21), np.arange(70.0, 95.5, 0.5), [135.0, 150.0], [6500.0, 7500.0]
VARY: dict[str, Any] = {
    "bore": swept.span("80 mm", "90 mm", count=21),
    "stroke": swept.span("70 mm", "95 mm", step="0.5 mm"),
    "rod_length": ["135 mm", "15 cm"],
    "speed": pint.get_application_registry().Quantity([6500.0, 7500.0], "rpm"),
}
FIXED: dict[str, Any] = {"cylinders": 4, "bore_spacing": "96 mm"}
LIMITS: dict[str, Any] = {
    "mean_piston_speed": (None, "20 m/s"),
    "wall_between_bores": {"lower": "7 mm"},
    "displacement": ("1700 cm3", "2.0 l"),
    "rod_ratio": (1.6, None),
}


@pytest.fixture
def study() -> swept.Study:
    return swept.Study(vary=VARY, fixed=FIXED, limits=LIMITS)


def every() -> dict[str, np.ndarray[Any, np.dtype[Any]]]:
    """Every design by NumPy, the last axis fastest."""
    grids = np.meshgrid(BORES, STROKES, RODS, SPEEDS, indexing="ij")
    bore, stroke, rod, speed = (g.ravel() for g in grids)
    return {
        "bore_mm": bore,
        "stroke_mm": stroke,
        "rod_length_mm": rod,
        "speed_rpm": speed,
        "displacement_cm3": 4.0 * np.pi / 4.0 * bore**2 * stroke / 1000.0,
        "mean_piston_speed_m_per_s": 2.0 * stroke * speed / 60000.0,
        "wall_between_bores_mm": 96.0 - bore,
        "rod_ratio": rod / stroke,
    }


def inside(all_designs: dict[str, Any]) -> Any:
    speed, wall = all_designs["mean_piston_speed_m_per_s"], all_designs["wall_between_bores_mm"]
    volume, ratio = all_designs["displacement_cm3"], all_designs["rod_ratio"]
    # Limits fall on designs here: NumPy's own rounding is given its room.
    slack = 1e-9
    inside = (speed <= 20.0 + slack) & (wall >= 7.0 - slack) & (ratio >= 1.6 - slack)
    return inside & (volume >= 1700.0) & (volume <= 2000.0)


def test_feasible_rows_and_columns_are_those_of_numpy(study: swept.Study) -> None:
    want = every()
    rows = study.feasible()
    assert rows.dtype == np.int64 and 100 < len(rows) < study.designs == 21 * 51 * 4
    assert np.array_equal(rows, np.flatnonzero(inside(want)))
    names = [
        "bore",
        "stroke",
        "rod_length",
        "speed",
        "displacement",
        "mean_piston_speed",
        "wall_between_bores",
        "rod_ratio",
    ]
    table = study.feasible(names)
    assert list(table) == ["row", *want]
    for name, values in want.items():
        assert table[name] == pytest.approx(values[rows], rel=1e-14), name
    count = study.count()
    assert (count.designs, count.feasible) == (study.designs, len(rows))
    assert count.share == len(rows) / study.designs and "feasible" in repr(count)


@pytest.mark.parametrize("maximise", [True, False])
@pytest.mark.parametrize("by", ["displacement", "mean_piston_speed", "rod_ratio"])
def test_the_best_are_those_of_all_sorted(study: swept.Study, by: str, maximise: bool) -> None:
    values = study.feasible([by])
    name = list(values)[1]
    order = np.lexsort((values["row"], -values[name] if maximise else values[name]))[:40]
    best = study.best(40, by, maximise)
    assert np.array_equal(best["row"], values["row"][order])
    assert np.array_equal(best[name], values[name][order])
    assert list(best)[:3] == ["row", "bore_mm", "stroke_mm"] and "wall_between_bores_mm" in best


@pytest.mark.parametrize("by", ["displacement", "peak_acceleration", "rod_ratio"])
def test_one_walk_finds_what_three_questions_do(study: swept.Study, by: str) -> None:
    for part in (study, study.partition(1, 3)):
        found = part.filter(best=(7, by, False), columns=["rod_ratio"])
        assert (found.tally.rows, found.tally.feasible) == (len(part.rows), part.count().feasible)
        assert found.tally.refused == 0
        assert np.array_equal(found.rows, part.feasible())
        best = part.best(7, by, False, columns=["rod_ratio"])
        assert list(found.best) == list(best) and all(np.array_equal(found.best[n], best[n]) for n in best)
    rows = study.filter(columns=["bore"])
    assert np.array_equal(rows.rows, study.feasible()) and rows.best.rows == 0 and list(rows.best) == ["row", "bore_mm"]
    with pytest.raises(ValueError, match="allowed: 0 or more"):
        study.filter(best=(-1, by))
    with pytest.raises(swept.SweptError, match="displacement"):
        study.filter(best=(1, "displacment"))


def test_no_other_design_beats_the_front(study: swept.Study) -> None:
    front = study.pareto({"displacement": "max", "mean_piston_speed": "min"})
    all_of = study.feasible(["displacement", "mean_piston_speed"])
    volume, speed = all_of["displacement_cm3"], all_of["mean_piston_speed_m_per_s"]

    def beaten(v: float, s: float) -> bool:
        return bool(((volume >= v) & (speed <= s) & ((volume > v) | (speed < s))).any())

    # Of equal ones the lowest row.
    first = {(v, s): int(r) for r, v, s in reversed(list(zip(all_of["row"], volume, speed, strict=True)))}
    want = sorted(row for (v, s), row in first.items() if not beaten(v, s))
    assert sorted(front["row"].tolist()) == want and 3 < len(want) < len(first)
    assert (np.diff(front["displacement_cm3"]) < 0.0).all()
    with pytest.raises(ValueError, match="max"):
        study.pareto({"displacement": "most"})


def test_parts_merge_to_the_whole(study: swept.Study) -> None:
    parts = [study.partition(i, 7) for i in range(7)]
    assert sum(part.count().feasible for part in parts) == study.count().feasible
    assert sum(part.count().designs for part in parts) == study.designs == len(study.rows)
    assert np.array_equal(np.concatenate([part.feasible() for part in parts]), study.feasible())
    assert np.array_equal(np.concatenate([b["row"] for p in parts for b in p.blocks(size=99)]), study.feasible())
    half = parts[3].partition(1, 2)
    assert half.rows == range(half.rows.start, parts[3].rows.stop) and "partition(3, 7).partition(1, 2)" in repr(half)
    assert pickle.loads(pickle.dumps(half)) == half != parts[3]
    with pytest.raises(errors.OutOfRange):
        study.partition(7, 7)


def test_what_each_limit_excludes(study: swept.Study) -> None:
    found = study.excluded()
    all_designs = every()
    assert list(found["output"]) == list(LIMITS)
    want = [
        (all_designs["mean_piston_speed_m_per_s"] > 20.0 + 1e-9).sum(),
        (all_designs["wall_between_bores_mm"] < 7.0 - 1e-9).sum(),
        ((all_designs["displacement_cm3"] < 1700.0) | (all_designs["displacement_cm3"] > 2000.0)).sum(),
        (all_designs["rod_ratio"] < 1.6 - 1e-9).sum(),
    ]
    assert found["designs"].tolist() == want
    assert found["share"] == pytest.approx(np.array(want) / study.designs)
    assert found["limit"][2] == "displacement from 1700 cm3 to 2.0 l"


def test_blocks_are_the_feasible_designs_in_their_order(study: swept.Study) -> None:
    whole = study.feasible(["bore", "displacement"])
    for size in (1, 97, 10_000):
        shares: list[float] = []
        parts = list(study.blocks(["bore", "displacement"], size=size, progress=shares.append))
        assert all(p.rows == size for p in parts[:-1]) and 1 <= parts[-1].rows <= size
        assert all(np.array_equal(np.concatenate([p[name] for p in parts]), whole[name]) for name in whole)
        assert shares[-1] == 1.0 and shares == sorted(shares)
    blocks = study.blocks()
    assert next(blocks).rows == whole.rows and blocks.row == study.designs and "Blocks" in repr(blocks)
    assert list(blocks) == []


def test_blocks_of_many_sections_are_the_feasible_rows() -> None:
    study = swept.Study(
        vary={
            **VARY,
            "bore": swept.span("80 mm", "90 mm", count=1001),
            "speed": swept.span("6000 rpm", "7500 rpm", count=31),
        },
        fixed=FIXED,
        limits={"displacement": ("1700 cm3", "1800 cm3"), "mean_piston_speed": (None, "20 m/s")},
    )
    assert study.designs > 3 * 2**20
    rows = np.concatenate([block["row"] for block in study.blocks(size=12_345)])
    assert np.array_equal(rows, study.feasible())


def test_a_design_and_any_rows(study: swept.Study) -> None:
    all_designs = every()
    design = study.design(1234)
    assert design["bore"].m_as("mm") == pytest.approx(all_designs["bore_mm"][1234])
    assert design["displacement"].m_as("cm^3") == pytest.approx(all_designs["displacement_cm3"][1234])
    assert design["cylinders"] == 4.0 and design["rod_ratio"] == pytest.approx(all_designs["rod_ratio"][1234])
    table = study.table([3, 1, 2])
    assert table["row"].tolist() == [3, 1, 2] and table["bore_mm"].tolist() == [80.0] * 3
    assert set(study.outputs) <= {
        name.split("_cm3")[0].split("_mm")[0].split("_m_per")[0].split("_deg")[0] for name in table
    }
    for row in (-1, study.designs, 10**40):
        with pytest.raises(errors.OutOfRange):
            study.design(row)
        with pytest.raises(errors.OutOfRange):
            study.table([row])
    with pytest.raises(TypeError):
        study.design(1.5)  # type: ignore[arg-type]
    with pytest.raises(TypeError):
        study.table(np.array([1.0]))


def test_figures_keep_their_digits() -> None:
    q = pint.get_application_registry().Quantity
    given = [86.49, 86.51, 1 / 3, 1e-7]
    for values in ([f"{v!r} mm" for v in given], q(given, "mm"), [q(v, "mm") for v in given]):
        study = swept.Study(vary={"bore": values})
        assert study.feasible(["bore"])["bore_mm"].tolist() == given
    inch = swept.Study(vary={"bore": q([4.0, 4.125], "inch")})
    assert inch == swept.Study(vary={"bore": ["4 in", "4.125 in"]})
    assert swept.Study(vary={"bore": q([8.0e8], "angstrom")}).feasible(["bore"])["bore_mm"] == pytest.approx([80.0])
    cm3 = swept.Study(vary={"chamber_volume": q([40.1, 40.2], "cm^3")})
    assert cm3 == swept.Study(vary={"chamber_volume": ["40.1 cm3", "40.2 cm3"]})
    assert swept.Study(vary={"cylinders": range(1, 9)}).axes["cylinders"].tolist() == list(range(1, 9))
    assert swept.Study(vary={"cylinders": np.array([4.0, 6.0])}).designs == 2


def test_what_a_study_says_of_itself(study: swept.Study) -> None:
    again = pickle.loads(pickle.dumps(study))
    assert again == study == swept.Study.from_json(study.to_json()) and hash(again) == hash(study)
    assert eval(repr(study), {"Study": swept.Study, "span": swept.span}) == study
    assert study != swept.Study(vary=VARY, fixed=FIXED) and study != 1
    assert study.figures[:4] == tuple(VARY) and {"cylinders", "bore_spacing", "pin_offset"} <= set(study.figures)
    assert {"displacement", "peak_acceleration"} <= set(study.outputs) and "compression_ratio" not in study.outputs
    assert study.axes["rod_length"].m_as("mm").tolist() == [135.0, 150.0]
    assert study.limits["displacement"][1].m_as("cm^3") == pytest.approx(2000.0)
    assert study.limits["rod_ratio"] == (1.6, None)
    assert "<td>bore</td>" in study._repr_html_()
    fixed = study.at({"speed": "7000 rpm", "bore": "86 mm"})
    assert fixed.designs == 51 * 2 and fixed.design(0)["speed"].m_as("rpm") == pytest.approx(7000)
    assert set(swept.STUDY_FIGURES) >= set(study.figures) and set(swept.STUDY_OUTPUTS) >= set(study.outputs)


def test_a_bar_of_progress(study: swept.Study, capsys: pytest.CaptureFixture[str]) -> None:
    pytest.importorskip("tqdm")
    assert study.count(progress=True) == study.count(progress=False, threads=1)
    assert sum(block.rows for block in study.blocks(progress=True)) == study.count().feasible
    shown = capsys.readouterr().err
    assert "count" in shown and "blocks: 100%" in shown


def test_inches(study: swept.Study) -> None:
    metric = study.best(3, "displacement")
    with swept.display("inch"):
        inch = study.best(3, "displacement")
    assert inch["bore_in"] == pytest.approx(metric["bore_mm"] / 25.4)
    assert inch["displacement_in3"] == pytest.approx(metric["displacement_cm3"] / 2.54**3)
    assert "mean_piston_speed_ft_per_min" in inch


def test_tables_become_frames_and_parquet(study: swept.Study, tmp_path: Any) -> None:
    polars, pyarrow = pytest.importorskip("polars"), pytest.importorskip("pyarrow")
    parquet = pytest.importorskip("pyarrow.parquet")
    table = study.best(5, "displacement")
    table.to_polars().write_parquet(tmp_path / "a.parquet")
    back = polars.read_parquet(tmp_path / "a.parquet")
    assert back["row"].to_list() == table["row"].tolist() and back["row"].dtype == polars.Int64
    parquet.write_table(pyarrow.table(table), tmp_path / "b.parquet")
    assert polars.read_parquet(tmp_path / "b.parquet").equals(back)
    assert table.to_pandas()["bore_mm"].tolist() == table["bore_mm"].tolist()


def test_rows_beyond_64_bits() -> None:
    vary = {name: swept.span("50 mm", "90 mm", count=10**6) for name in ("bore", "stroke", "gasket_bore")}
    vary["cylinders"] = range(1, 101)
    study = swept.Study(vary=vary, fixed={"rod_length": "150 mm"})
    assert study.designs == 10**20 and study.count().feasible == 10**20
    best = study.best(3, "displacement")
    assert best["row"].dtype == object and best["bore_mm"].tolist() == [90.0] * 3
    # The gasket has no part in it: of equal designs the first three.
    assert best["row"].tolist() == [10**20 - 10**8 + 99 + 100 * i for i in range(3)]
    assert best["cylinders"].tolist() == [100.0] * 3
    assert next(study.blocks(size=2))["row"].tolist() == [0, 1]
    pytest.importorskip("polars")
    assert best.to_polars()["row"].to_list() == best["row"].tolist()
    assert [int(v) for v in best.to_arrow().column("row").to_pylist()] == best["row"].tolist()


def test_a_grid_without_axes_or_feasible_designs() -> None:
    one = swept.Study(vary={}, fixed={"bore": "86 mm", "stroke": "86 mm"})
    assert one.designs == 1 and one.feasible().tolist() == [0]
    assert one.table([0])["bore_stroke_ratio"].tolist() == [1.0]
    none = swept.Study(vary=VARY, fixed=FIXED, limits={"displacement": ("9 l", None)})
    assert none.count().feasible == 0 and none.feasible().size == 0 and list(none.blocks()) == []
    assert none.best(3, "displacement").rows == 0 and none.best(0, "displacement").rows == 0


def test_a_study_of_a_build_document() -> None:
    build = swept.read_build(EXAMPLES / "inline_four.toml")
    sheet = build.sheet()
    same = build.study(vary={})
    for name in ("compression_ratio", "deck_clearance", "trapped_compression_ratio", "rod_ratio"):
        value = sheet.find(name)[0].value
        found = same.design(0)[name]
        assert getattr(found, "magnitude", found) == pytest.approx(getattr(value, "magnitude", value), rel=1e-9), name
    # An in-line four: no first order, the second of all four.
    factors = same.table([0], ["first_order_factor", "second_order_factor"])
    assert factors["first_order_factor"].tolist() == [0.0] and factors["second_order_factor"] == pytest.approx(4.0)
    assert "first_order_factor" not in build.study(vary={"cylinders": [4, 6]}).figures
    lower, upper = same.limits["deck_clearance"]
    finding = sheet.find("deck_clearance")[0]
    assert (lower, upper) == (finding.lower, finding.upper)
    varied = build.study(
        vary={"bore": swept.span("85 mm", "87 mm", count=5), "deck_clearance": ["0.2 mm"]},
        fixed={"speed": "5000 rpm"},
        limits={"deck_clearance": None, "compression_ratio": (9, None)},
        cylinder=3,
    )
    assert varied.designs == 5 and "deck_height" not in varied.figures and "deck_clearance" not in varied.limits
    assert varied.design(0)["speed"].m_as("rpm") == pytest.approx(5000)
    with pytest.raises(errors.OutOfRange, match="1 to 2"):
        swept.parse_build(DOCUMENT).study(vary={}, cylinder=3)


def test_span_says_what_it_needs() -> None:
    assert repr(swept.span("80 mm", "90 mm", count=3)) == "span('80 mm', '90 mm', count=3)"
    assert isinstance(swept.span(1, 2, step=1), Span)
    for wrong in ({}, {"count": 3, "step": "1 mm"}, {"count": 2.5}, {"count": True}):
        with pytest.raises(TypeError):
            swept.span("80 mm", "90 mm", **wrong)  # type: ignore[arg-type]


def test_a_front_of_many_boxes_is_that_of_all_rows() -> None:
    vary = {
        "bore": swept.span("80 mm", "90 mm", count=11),
        "stroke": swept.span("80 mm", "90 mm", count=11),
        "chamber_volume": swept.span("35 cm3", "45 cm3", count=21),
        "gasket_thickness": swept.span("0.5 mm", "1.5 mm", count=11),
        "deck_clearance": swept.span("0 mm", "1 mm", count=11),
        "crown_volume": swept.span("0 cm3", "5 cm3", count=11),
    }
    fixed = {"rod_length": "150 mm", "compression_height": "30 mm", "gasket_bore": "91 mm", "speed": "7000 rpm"}
    limits = {"compression_ratio": (9, 12)}
    study = swept.Study(vary=vary, fixed=fixed, limits=limits)
    told: list[float] = []
    goals = {"compression_ratio": "max", "swept_volume": "max", "peak_acceleration": "min"}
    front = study.pareto(goals, progress=told.append)
    assert told == sorted(told) and len(front["row"]) > 1

    def signed(rows: Any) -> Any:
        ratio, volume, acceleration = list(study.table(rows, list(goals)).values())[-3:]
        return np.column_stack([ratio, volume, -acceleration])

    left = signed(study.feasible())
    for values in signed(front["row"]):
        assert not ((left >= values).all(axis=1) & (left > values).any(axis=1)).any()
        left = left[~(left <= values).all(axis=1)]
    assert left.size == 0
