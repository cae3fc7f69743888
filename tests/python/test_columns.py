"""Designs in columns and scattered ones, against NumPy's own formulas; arrays of every kind; what is refused."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pint
import pytest

import swept
from swept import errors

Array = Any
FIXED = {"cylinders": 8, "speed": "7000 rpm", "bore_spacing": "112 mm"}
LIMITS = {
    "compression_ratio": (9.0, 12.0),
    "piston_to_head": ("0.9 mm", "1.4 mm"),
    "mean_piston_speed": (None, "22 m/s"),
    "wall_between_bores": ("5 mm", None),
}
UNITS = {
    "bore": "mm",
    "stroke": "mm",
    "rod_length": "mm",
    "deck_height": "mm",
    "compression_height": "mm",
    "gasket_thickness": "mm",
    "gasket_bore": "mm",
    "chamber_volume": "cm3",
    "crown_volume": "cm3",
}
NAMES = ["displacement", "compression_ratio", "piston_to_head", "mean_piston_speed", "wall_between_bores"]


def columns(rows: int = 70_001) -> dict[str, Array]:
    g = np.random.default_rng(5)
    low = (95.0, 75.0, 140.0, 228.0, 30.0, 0.5, 100.0, 40.0, -5.0)
    high = (108.0, 102.0, 165.0, 236.0, 45.0, 1.5, 110.0, 80.0, 25.0)
    found = {name: g.uniform(a, b, rows) for name, a, b in zip(UNITS, low, high, strict=True)}
    stack = 0.5 * found["stroke"] + found["rod_length"] + found["compression_height"]
    found["deck_height"] = stack + g.uniform(-0.2, 1.5, rows)
    return found


def with_units(found: dict[str, Array]) -> dict[str, Any]:
    return {name: (column, UNITS[name]) for name, column in found.items()}


def study(found: dict[str, Array], **given: Any) -> swept.Columns:
    return swept.Columns(columns=with_units(found), **{"fixed": FIXED, "limits": LIMITS, **given})


def by_numpy(c: dict[str, Array]) -> tuple[dict[str, Array], Array]:
    area = math.pi / 4.0 * c["bore"] ** 2
    swept_volume = area * c["stroke"] / 1000.0
    deck = c["deck_height"] - (0.5 * c["stroke"] + c["rod_length"] + c["compression_height"])
    gasket = math.pi / 4.0 * c["gasket_bore"] ** 2 * c["gasket_thickness"] / 1000.0
    above = c["chamber_volume"] + c["crown_volume"] + gasket + area * deck / 1000.0
    out = {
        "displacement": 8.0 * swept_volume,
        "compression_ratio": 1.0 + swept_volume / above,
        "piston_to_head": deck + c["gasket_thickness"],
        "mean_piston_speed": 2.0 * c["stroke"] * 7000.0 / 60000.0,
        "wall_between_bores": 112.0 - c["bore"],
    }
    ok = (out["compression_ratio"] >= 9.0) & (out["compression_ratio"] <= 12.0) & (out["mean_piston_speed"] <= 22.0)
    ok &= (out["piston_to_head"] >= 0.9) & (out["piston_to_head"] <= 1.4) & (out["wall_between_bores"] >= 5.0)
    return out, ok


def test_every_question_is_that_of_numpy() -> None:
    c = columns()
    want, ok = by_numpy(c)
    rows = np.flatnonzero(ok)
    assert 100 < len(rows) < len(ok) // 2
    s = study(c)
    tally = s.count()
    assert (tally.rows, tally.feasible, tally.refused) == (len(ok), len(rows), 0) and len(s) == len(ok)
    assert s.feasible().dtype == np.int64 and np.array_equal(s.feasible(), rows)
    order = rows[np.argsort(-want["displacement"][rows], kind="stable")][:20]
    best = s.best(20, "displacement")
    assert np.array_equal(best["row"], order)
    np.testing.assert_allclose(best["displacement_cm3"], want["displacement"][order], rtol=1e-14)
    assert np.array_equal(best["bore_mm"], c["bore"][order])
    np.testing.assert_allclose(best["chamber_volume_cm3"], c["chamber_volume"][order], rtol=1e-15)
    found = s.filter(best=(20, "displacement"), threads=1)
    assert found.tally == tally and np.array_equal(found.rows, rows) and np.array_equal(found.best["row"], order)
    least = s.filter(best=(3, "displacement", False)).best
    assert np.array_equal(least["row"], rows[np.argsort(want["displacement"][rows], kind="stable")][:3])
    table = s.feasible(["bore", "compression_ratio"])
    np.testing.assert_allclose(table["compression_ratio"], want["compression_ratio"][rows], rtol=1e-14)
    assert np.array_equal(table["bore_mm"], c["bore"][rows])
    excluded = s.excluded()
    by_limit = dict(zip(excluded["output"].tolist(), excluded["designs"].tolist(), strict=True))
    assert by_limit["wall_between_bores"] == np.sum(~(want["wall_between_bores"] >= 5.0))
    assert list(by_limit) == list(LIMITS)
    one = s.design(7)
    assert one["bore"].m_as("mm") == c["bore"][7]
    assert one["compression_ratio"] == pytest.approx(want["compression_ratio"][7], rel=1e-14)


def test_outputs_of_every_row_fresh_and_written_again() -> None:
    c = columns()
    want, ok = by_numpy(c)
    s = study(c)
    fresh = s.outputs(NAMES, best=(5, "displacement"))
    assert list(fresh.table) == [
        "displacement_cm3",
        "compression_ratio",
        "piston_to_head_mm",
        "mean_piston_speed_m_per_s",
        "wall_between_bores_mm",
    ]
    for column, name in zip(fresh.table.values(), NAMES, strict=True):
        np.testing.assert_allclose(column, want[name], rtol=2e-13)
    assert fresh.feasible.dtype == bool and np.array_equal(fresh.feasible, ok)
    assert fresh.tally.feasible == ok.sum() and np.array_equal(fresh.best["row"], s.best(5, "displacement")["row"])
    kept = [column.copy() for column in fresh.table.values()]
    for array in fresh.arrays.values():
        array[:] = 0
    again = s.outputs(NAMES, out=fresh, threads=1)
    for before, after, same in zip(kept, again.table.values(), fresh.table.values(), strict=True):
        assert after is same and np.array_equal(before, after)
    assert np.array_equal(again.feasible, ok) and again.arrays["feasible"] is fresh.arrays["feasible"]
    # Arrays that begin anywhere, of which only some are given.
    room = np.zeros(len(ok) + 3)
    part = s.outputs(["displacement", "rod_ratio"], out={"displacement": room[3:]})
    assert np.array_equal(room[3:], kept[0]) and room[2] == 0.0
    assert np.array_equal(part.table["rod_ratio"], c["rod_length"] / c["stroke"])
    with swept.display("inch"):
        inch = s.outputs(["displacement"]).table["displacement_in3"]
    np.testing.assert_allclose(inch, want["displacement"] / 2.54**3, rtol=1e-14)


def test_rows_that_are_no_engine_are_refused_and_counted() -> None:
    c = columns(3000)
    ok = by_numpy(c)[1]
    c["bore"][5], c["stroke"][700], c["chamber_volume"][1500] = math.nan, math.inf, -1.0
    c["rod_length"][2999] = 30.0
    c["chamber_volume"][44] = 1e307  # beyond all numbers in mm3
    bad = [5, 44, 700, 1500, 2999]
    ok[bad] = False
    s = study(c)
    assert s.count().refused == 5 and np.array_equal(s.feasible(), np.flatnonzero(ok))
    found = s.outputs(["wall_between_bores"])
    assert found.tally.refused == 5 and np.flatnonzero(np.isnan(found.table["wall_between_bores_mm"])).tolist() == bad
    assert not found.feasible[bad].any()
    assert np.isnan(s.table(bad, ["displacement"])["displacement_cm3"]).all()


def test_arrays_of_every_kind_are_the_same_columns() -> None:
    q = pint.get_application_registry().Quantity
    c = columns(999)
    want = study(c).feasible()
    kinds: dict[str, Any] = {name: (np.repeat(v, 2)[::2], UNITS[name]) for name, v in c.items()}
    kinds["bore"] = q(c["bore"], "mm")
    kinds["stroke"] = q(c["stroke"], "mm").to("m")
    kinds["chamber_volume"] = q(c["chamber_volume"], "cm^3").to("liter")
    kinds["gasket_bore"] = (c["gasket_bore"].tolist(), "mm")
    kinds["crown_volume"] = (c["crown_volume"].astype(">f8"), "cm3")
    s = swept.Columns(columns=kinds, fixed=FIXED, limits=LIMITS)
    assert np.array_equal(s.feasible(), want)
    single = {name: v.astype("float32") for name, v in c.items()}
    double = {name: v.astype("float64") for name, v in single.items()}
    assert np.array_equal(study(single).feasible(), study(double).feasible())
    read_only = {name: v.copy() for name, v in c.items()}
    for v in read_only.values():
        v.setflags(write=False)
    assert np.array_equal(study(read_only).feasible(), want)
    inches = swept.Columns(columns={"bore": (c["bore"] / 25.4, "in"), "cylinders": np.arange(999) % 3 + 1})
    np.testing.assert_allclose(inches.table([4, 5], ["bore"])["bore_mm"], c["bore"][4:6], rtol=1e-15)
    assert inches.table([4, 5], ["cylinders"])["cylinders"].tolist() == [2.0, 3.0]
    # A contiguous array is read where it is.
    c["bore"][:] = 110.0
    live = study(c)
    assert live.count().feasible == 0
    c["bore"][:] = 100.0
    assert live.count().feasible > 0


def test_no_rows_at_all() -> None:
    s = study(columns(0))
    assert (s.count().rows, len(s.feasible()), s.best(3, "displacement").rows) == (0, 0, 0)
    found = s.outputs(["displacement"])
    assert found.table.rows == 0 and len(found.feasible) == 0
    assert s.filter(best=(1, "displacement")).best.rows == 0
    assert s.excluded()["designs"].tolist() == [0, 0, 0, 0]


def refused(kind: type[Exception], match: str, **given: Any) -> None:
    with pytest.raises(kind, match=match):
        swept.Columns(**given)


def test_columns_that_are_none() -> None:
    q = pint.get_application_registry().Quantity
    one = np.ones(3)
    refused(errors.WrongLength, "stroke", columns={"bore": (one, "mm"), "stroke": (np.ones(4), "mm")})
    refused(errors.MissingUnit, "columns.bore", columns={"bore": one})
    refused(errors.WrongDimension, "columns.bore", columns={"bore": (one, "kg")})
    refused(errors.WrongDimension, "columns.bore", columns={"bore": q(one, "kg")})
    refused(errors.WrongDimension, "columns.speed", columns={"speed": q(one, "Hz")})
    refused(errors.UnknownUnit, "columns.bore", columns={"bore": (one, "mmm")})
    refused(errors.UnknownKey, "bore", columns={"boer": (one, "mm")})
    refused(errors.UnknownKey, "twice", columns={"bore": (one, "mm")}, fixed={"bore": "80 mm"})
    refused(errors.MissingKey, "stroke", columns={"bore": (one, "mm")}, limits={"displacement": (None, "2 l")})
    refused(TypeError, "columns.bore", columns={"bore": "80 mm"})
    refused(TypeError, "columns.bore", columns={"bore": (one, "mm", 1)})
    refused(TypeError, "one dimension", columns={"bore": (np.ones((2, 2)), "mm")})
    refused(TypeError, "numbers", columns={"bore": (np.array(["a"]), "mm")})
    refused(TypeError, "numbers", columns={"bore": (one > 0.0, "mm")})
    refused(TypeError, "numbers", columns={"bore": (one + 1j, "mm")})
    s = swept.Columns(columns={"bore": (one, "mm")})
    with pytest.raises(errors.OutOfRange, match="row"):
        s.table([3], ["bore"])
    with pytest.raises(errors.OutOfRange, match="row"):
        s.design(-1)
    with pytest.raises(errors.MissingKey, match="stroke"):
        s.outputs(["displacement"])
    with pytest.raises(ValueError, match="k is -1"):
        s.best(-1, "displacement")


def test_arrays_to_write_to_that_are_none() -> None:
    c = columns(1000)
    s = study(c)

    def out(kind: type[Exception], match: str, **given: Any) -> None:
        with pytest.raises(kind, match=match):
            s.outputs(["displacement", "rod_ratio"], out=given)

    fixed = np.zeros(1000)
    fixed.setflags(write=False)
    room = np.zeros(1999)
    out(errors.WrongLength, "displacement", displacement=np.zeros(999))
    out(errors.WrongLength, "flags", feasible=np.zeros(999, "bool"))
    out(TypeError, "float64", displacement=np.zeros(1000, "float32"))
    out(TypeError, "float64", displacement=[0.0] * 1000)
    out(ValueError, "writable", displacement=fixed)
    out(ValueError, "contiguous", displacement=np.zeros(2000)[::2])
    out(ValueError, "contiguous", displacement=np.zeros((1000, 1)))
    out(TypeError, "bool", feasible=np.zeros(1000))
    out(TypeError, "stroke", stroke=np.zeros(1000))
    out(ValueError, "share", displacement=c["bore"])
    out(ValueError, "share", displacement=room[:1000], rod_ratio=room[999:])
    with pytest.raises(errors.UnknownKey, match="displacement"):
        s.outputs(["displacment"])
    assert by_numpy(c)[1].sum() == s.count().feasible


def test_a_progress_that_fails_ends_the_question() -> None:
    s = swept.Scatter(ranges={"bore": ("80 mm", "90 mm"), "stroke": ("70 mm", "95 mm")}, designs=4_000_000_000)

    def fail(share: float) -> None:
        assert 0.0 <= share <= 1.0
        raise LookupError("enough")

    with pytest.raises(LookupError, match="enough"):
        s.best(1, "displacement", progress=fail)


def test_scattered_designs() -> None:
    ranges = {"bore": ("80 mm", "90 mm"), "stroke": ("70 mm", "95 mm")}
    limits = {"bore_stroke_ratio": (1.0, None)}
    s = swept.Scatter(ranges=ranges, designs=100_000, fixed={"cylinders": 4}, limits=limits)
    bore, stroke = (s.table(range(100_000), [n])[f"{n}_mm"] for n in ("bore", "stroke"))
    assert bore.min() >= 80.0 and bore.max() <= 90.0 and abs(bore.mean() - 85.0) < 1e-3
    rows = np.flatnonzero(bore / stroke >= 1.0)
    found = s.filter(best=(10, "displacement"))
    assert np.array_equal(found.rows, rows) and abs(len(rows) / 1e5 - 0.6) < 1e-3
    volume = math.pi / 4.0 * bore**2 * stroke * 4.0 / 1000.0
    assert np.array_equal(found.best["row"], rows[np.argsort(-volume[rows])][:10])
    np.testing.assert_allclose(s.outputs(["displacement"]).table["displacement_cm3"], volume, rtol=1e-14)
    assert s.design(3)["bore"].m_as("mm") == bore[3]
    for wrong in ("80 mm", ("80 mm",), 80.0):
        with pytest.raises(TypeError, match=r"ranges\.bore"):
            swept.Scatter(ranges={"bore": wrong}, designs=1)  # type: ignore[dict-item]
    with pytest.raises(errors.OutOfRange, match="bore"):
        swept.Scatter(ranges={"bore": ("90 mm", "80 mm")}, designs=1)
    with pytest.raises(ValueError, match="designs"):
        swept.Scatter(ranges=ranges, designs=-1)
    with pytest.raises(errors.OutOfRange, match="designs"):
        swept.Scatter(ranges=ranges, designs=10**11)


def by_angles(c: dict[str, Array], valve: str, cosine: float) -> tuple[Array, Array]:
    """The least clearance at whole degrees, and where."""
    angles = np.arange(-360.0, 360.0)
    turn = np.deg2rad(np.mod(angles, 360.0))
    r, rod, offset = (c[n][:, None] for n in ("stroke", "rod_length", "pin_offset"))
    r = r / 2.0
    # Positive towards the major thrust side, where the throw stands after top dead centre.
    down = np.sqrt((rod + r) ** 2 - offset**2) - (r * np.cos(turn) + np.sqrt(rod**2 - (r * np.sin(turn) + offset) ** 2))
    gap, lift, duration, centre = (
        c[f"{valve}_{n}"][:, None] for n in ("static_clearance", "lift", "duration", "centreline")
    )
    x = np.clip(1.0 - np.abs(angles - centre) / (duration / 2.0), 0.0, 1.0)
    clear = gap + down - cosine * lift * (10.0 * x**3 - 15.0 * x**4 + 6.0 * x**5)
    return clear.min(axis=1), angles[clear.argmin(axis=1)]


def test_valve_clearances_are_those_of_every_angle() -> None:
    g, rows = np.random.default_rng(9), 300
    c = {"stroke": g.uniform(75, 102, rows), "rod_length": g.uniform(140, 165, rows)}
    c["pin_offset"] = g.uniform(-1.5, 1.5, rows)
    for valve, first, last in (("intake", 100, 118), ("exhaust", -120, -102)):
        c[f"{valve}_static_clearance"] = g.uniform(4, 9, rows)
        c[f"{valve}_lift"] = g.uniform(9, 15, rows)
        c[f"{valve}_duration"] = g.uniform(240, 310, rows)
        c[f"{valve}_centreline"] = g.uniform(first, last, rows)
    given = {n: (v, "deg" if n.endswith(("duration", "centreline")) else "mm") for n, v in c.items()}
    fixed = {"intake_valve_angle": "18 deg", "exhaust_valve_angle": "15 deg"}
    found = swept.valve_clearances(columns=given, fixed=fixed)
    for valve, angle in (("intake", 18.0), ("exhaust", 15.0)):
        least, where = by_angles(c, valve, math.cos(math.radians(angle)))
        np.testing.assert_allclose(found[f"{valve}_clearance_mm"], least, atol=1e-12, rtol=0.0)
        assert np.array_equal(found[f"{valve}_angle_deg"], where)
    metres = {
        **given,
        "stroke": (c["stroke"] / 1000.0, "m"),
        "intake_centreline": (np.deg2rad(c["intake_centreline"]), "rad"),
    }
    again = swept.valve_clearances(columns=metres, fixed=fixed, threads=1)
    np.testing.assert_allclose(again["intake_clearance_mm"], found["intake_clearance_mm"], atol=1e-9)
    with swept.display("inch"):
        inch = swept.valve_clearances(columns=given, fixed=fixed)["exhaust_clearance_in"]
    np.testing.assert_allclose(inch * 25.4, found["exhaust_clearance_mm"], rtol=1e-14)
    out = {"intake_angle": np.zeros(rows)}
    assert swept.valve_clearances(columns=given, fixed=fixed, out=out)["intake_angle_deg"] is out["intake_angle"]
    assert np.array_equal(out["intake_angle"], found["intake_angle_deg"])
    given["stroke"][0][1] = math.nan
    bad = swept.valve_clearances(columns=given, fixed=fixed)
    assert np.flatnonzero(np.isnan(bad["exhaust_angle_deg"])).tolist() == [1]
    with pytest.raises(errors.MissingKey, match="exhaust_lift"):
        swept.valve_clearances(columns={n: v for n, v in given.items() if n != "exhaust_lift"})
    with pytest.raises(errors.UnknownKey, match="bore"):
        swept.valve_clearances(columns={**given, "bore": (np.ones(rows), "mm")})
    with pytest.raises(errors.UnknownKey, match="twice"):
        swept.valve_clearances(columns=given, fixed={**fixed, "stroke": "86 mm"})
    with pytest.raises(errors.WrongLength, match="299 rows"):
        swept.valve_clearances(columns={**given, "stroke": (np.ones(rows - 1), "mm")}, fixed=fixed)
    with pytest.raises(TypeError, match="at least one"):
        swept.valve_clearances(columns={})
