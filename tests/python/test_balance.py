"""Masses, shaking forces, unbalance and its correction, against the sources that the core is held to."""

from __future__ import annotations

import cmath
import math
import pickle
from typing import Any

import pint
import pytest
from shaking_layouts import V8, of, shaking, vector, vee

import swept
from swept import errors

# --- unbalance


def test_vectors_say_where_to_add_and_where_to_remove() -> None:
    bolt = swept.UnbalanceVector.from_mass(mass="12 g", radius="80 mm", angle="30 deg")
    assert bolt.amount.m_as("g mm") == pytest.approx(960)
    assert bolt.heavy_at.m_as("deg") == bolt.remove_at.m_as("deg") == pytest.approx(30)
    assert bolt.add_at.m_as("deg") == bolt.opposite().heavy_at.m_as("deg") == pytest.approx(210)
    assert (bolt + bolt.opposite()).amount.m_as("g mm") == pytest.approx(0, abs=1e-9)
    assert of(bolt + vector("960 g mm", "120 deg")) == pytest.approx(cmath.rect(960e-6 * 2**0.5, math.radians(75)))
    with pytest.raises(TypeError):
        bolt + "1 g mm"  # type: ignore[operator]


def test_two_planes_act_as_all_the_vectors() -> None:
    given = [(vector("100 g mm", "20 deg"), "10 mm"), (vector("70 g mm", "260 deg"), "300 mm")]
    first, second = swept.to_planes(given, first="50 mm", second="250 mm")
    force = sum(of(v) for v, _ in given)
    moment = sum(of(v) * z for (v, _), z in zip(given, (0.01, 0.3), strict=True))
    assert of(first) + of(second) == pytest.approx(force)
    assert of(first) * 0.05 + of(second) * 0.25 == pytest.approx(moment)


def test_a_rotor_is_its_static_part_and_its_couple() -> None:
    given = [(vector("100 g mm", "20 deg"), "10 mm"), (vector("70 g mm", "260 deg"), "300 mm")]
    rotor = swept.RotorUnbalance(given, centre="120 mm")
    assert of(rotor.static_part) == pytest.approx(sum(of(v) for v, _ in given))
    a, b = rotor.couple_in(first="50 mm", second="250 mm")
    assert of(a) == pytest.approx(-of(b))
    moment = sum(of(v) * (z - 0.12) for (v, _), z in zip(given, (0.01, 0.3), strict=True))
    assert of(b) * 0.2 == pytest.approx(moment)
    pair = swept.to_planes(given, first="50 mm", second="250 mm")
    assert [of(v) for v in rotor.dynamic_in(first="50 mm", second="250 mm")] == pytest.approx([of(v) for v in pair])
    against = swept.correction_of_unbalance(given, first="50 mm", second="250 mm")
    assert [of(v) for v in against] == pytest.approx([-of(v) for v in pair])
    assert rotor == swept.RotorUnbalance(given, centre="120 mm") and "heavy at" in repr(rotor)


def test_no_bearing_is_passed_by_what_may_remain_in_planes() -> None:
    first, second = swept.allocate_to_planes(
        allowed=("300 g mm", "200 g mm"), bearings=("0 mm", "500 mm"), planes=("-50 mm", "350 mm")
    )
    a, b = first.m_as("g mm"), second.m_as("g mm")
    # Levers at the worst angles: a plane at p loads the bearing at z by |p - other bearing| / 500.
    loads = (a * 550 / 500 + b * 150 / 500, a * 50 / 500 + b * 350 / 500)
    assert a / b == pytest.approx(1.5)
    assert max(loads[0] / 300, loads[1] / 200) == pytest.approx(1)


def test_permissible_unbalance_of_a_worked_example() -> None:
    grade = swept.BalanceGrade("G 6.3")
    assert grade.permissible(mass="2 kg", speed="10000 rpm").m_as("g mm") == pytest.approx(12.0321, rel=1e-5)
    whole = grade.permissible(mass="30 kg", speed="3000 rpm")
    assert whole.m_as("g mm") == pytest.approx(601.6057, rel=1e-6)
    assert grade.permissible_eccentricity("3000 rpm").m_as("um") == pytest.approx(601.6057 / 30, rel=1e-6)
    met: Any = swept.BalanceGrade.met_by
    assert met(residual=whole * 1.01, mass="30 kg", speed="3000 rpm") == swept.BalanceGrade("16")
    assert met(residual=whole * 0.99, mass="30 kg", speed="3000 rpm") == grade
    assert met(residual="1 kg m", mass="2 kg", speed="3000 rpm") is None
    first, second, limited = swept.allocate_to_bearings(
        permissible=whole, centre_to_first="200 mm", centre_to_second="300 mm"
    )
    assert (first.m_as("g mm"), second.m_as("g mm")) == pytest.approx((360.9634, 240.6423), rel=1e-6) and not limited
    first, _, limited = swept.allocate_to_bearings(
        permissible=whole, centre_to_first="50 mm", centre_to_second="450 mm"
    )
    assert first.m_as("g mm") == pytest.approx(0.7 * 601.6057, rel=1e-6) and limited


# --- influence coefficients


def turbine_rotor(**other: Any) -> swept.Correction:
    """Rao, Mechanical Vibrations, chapter 9, example 9.2 (data from memory); an ounce at the radius is 1 kg m."""
    given: dict[str, Any] = {
        "baseline": [(8.5, "60 deg"), (6.5, "205 deg")],
        "runs": [
            {"weights": [vector("10 kg m", "270 deg"), None], "readings": [(6.0, "125 deg"), (4.5, "230 deg")]},
            {"weights": [None, vector("12 kg m", "180 deg")], "readings": [(6.0, "35 deg"), (10.5, "160 deg")]},
        ],
        "phase": "lead",
    }
    return swept.correct_by_trials(**{**given, **other})


def test_two_planes_of_a_textbook() -> None:
    found = turbine_rotor()
    add = [(w.amount.m_as("kg m"), w.heavy_at.m_as("deg")) for w in found.weights]
    assert add == [pytest.approx((10.0561, 325.5548), abs=1e-4), pytest.approx((5.8774, 68.2559), abs=1e-4)]
    assert found.unbalance[0].heavy_at.m_as("deg") == pytest.approx(145.5548, abs=1e-4)
    assert found.unbalance[0].add_at.m_as("deg") == pytest.approx(325.5548, abs=1e-4)
    assert found.condition == pytest.approx(2.3407653598915745)
    assert all(amplitude < 1e-12 for amplitude, _ in found.predicted)
    assert all(u["amount"] is not None and u["amount"].m_as("kg m") == 0 for u in found.weight_uncertainties)
    assert found == turbine_rotor() and found != turbine_rotor(phase="lag")
    assert repr(found).startswith('Correction(weights=["10056138.699 g mm at 325.554')


def test_lag_is_lead_counted_the_other_way() -> None:
    """Heavy by 3 at 100 deg, answering 30 deg late; the trial weight of 1 at 0 deg."""

    def found(phase: Any, sign: int) -> complex:
        def shown(u: complex) -> tuple[float, str]:
            return (2 * abs(u), f"{sign * (math.degrees(cmath.phase(u)) - 30)} deg")

        before = cmath.rect(3, math.radians(100))
        run = {"weights": [vector("1 kg m", "0 deg")], "readings": [shown(before + 1)]}
        return of(swept.correct_by_trials(baseline=[shown(before)], runs=[run], phase=phase).unbalance[0])

    assert found("lead", 1) == pytest.approx(cmath.rect(3, math.radians(100)))
    assert found("lag", -1) == pytest.approx(cmath.rect(3, math.radians(100)))
    assert found("lead", -1) == pytest.approx(cmath.rect(3, math.radians(260)))


def test_how_sure_a_weight_is_and_what_stays_on() -> None:
    # W = -V0 w / (V1 - V0) with V0 = 4, V1 = 2, w = 100, by hand: dW/dV0 = -w V1 / (V1 - V0)^2 = -50, dW/dV1 = 100.
    run: dict[str, Any] = {"weights": [vector("100 g mm", "0 deg")], "readings": [(2.0, "0 deg")]}
    baseline = [(4.0, "0 deg")]
    sure = swept.correct_by_trials(baseline=baseline, runs=[run], phase="lead", relative_uncertainty="0.01 %")
    assert sure.weights[0].amount.m_as("g mm") == pytest.approx(200)
    amount = sure.weight_uncertainties[0]["amount"]
    assert amount is not None and amount.m_as("g mm") == pytest.approx(math.hypot(50 * 0.0004, 100 * 0.0002), rel=1e-6)
    turned = swept.correct_by_trials(baseline=baseline, runs=[run], phase="lead", phase_uncertainty="0.01 deg")
    angle = turned.weight_uncertainties[0]["angle"]
    across = math.hypot(50 * 4, 100 * 2) * math.radians(0.01)
    assert angle is not None and angle.m_as("rad") == pytest.approx(across / 200, rel=1e-6)
    stays = swept.correct_by_trials(baseline=baseline, runs=[{**run, "stays": True}], phase="lead")
    assert stays.weights[0].amount.m_as("g mm") == pytest.approx(100)
    assert stays.unbalance[0].amount.m_as("g mm") == pytest.approx(200)
    with pytest.raises(errors.OutOfRange, match="heavier trial weight"):
        swept.correct_by_trials(baseline=baseline, runs=[run], phase="lead", relative_uncertainty=0.5)


def test_coefficients_serve_another_day() -> None:
    given = turbine_rotor()
    read = [(8.5, "60 deg"), (6.5, "205 deg")]
    runs: list[dict[str, Any]] = [
        {"weights": [vector("10 kg m", "270 deg"), None], "readings": [(6.0, "125 deg"), (4.5, "230 deg")]},
        {"weights": [None, vector("12 kg m", "180 deg")], "readings": [(6.0, "35 deg"), (10.5, "160 deg")]},
    ]
    matrix = swept.InfluenceMatrix.from_trials(baseline=read, runs=runs, phase="lead")
    # Rao, example 9.2: A_AL = (V_A' - V_A) / W_L and so on.
    shown = [cmath.rect(a, math.radians(d)) for a, d in ((8.5, 60), (6.0, 125), (6.5, 205), (10.5, 160))]
    assert matrix.coefficients[0][0] == pytest.approx((shown[1] - shown[0]) / cmath.rect(10, math.radians(270)))
    assert matrix.coefficients[1][1] == pytest.approx((shown[3] - shown[2]) / cmath.rect(12, math.pi))
    again = swept.InfluenceMatrix(matrix.coefficients, phase="lead")
    assert again == matrix and again.condition == given.condition
    weights = again.correct(read)
    assert [of(w) for w in weights] == pytest.approx([of(w) for w in given.weights])
    assert all(amplitude < 1e-12 for amplitude, _ in again.predict(read, weights))
    kept = again.predict(read, [None, None])
    assert [(a, p.m_as("deg")) for a, p in kept] == [pytest.approx((8.5, 60)), pytest.approx((6.5, 205))]


# --- drilling


def plane(position: str, unbalance: str, heavy_at: str = "0 deg", **other: str) -> dict[str, str]:
    figures = {"position": position, "unbalance": unbalance, "heavy_at": heavy_at}
    return {**figures, "uncertainty": "10 g mm", "limit": "70 g mm", **other}


SITE: dict[str, Any] = {
    "cheek": "4",
    "position": "500 mm",
    "from": "-50 deg",
    "to": "50 deg",
    "angle_step": "5 deg",
    "radius": "82 mm",
    "web": "4 mm",
    "density": 7200,
    "width": "24 mm",
    "drills": ["10 mm", "12 mm", "16 mm", "20 mm"],
    "point": "180 deg",
    "least_depth": "8 mm",
    "greatest_depth": "35 mm",
    "depth_step": "1 mm",
}


def drilled_out(hole: dict[str, Any]) -> tuple[float, float]:
    """Mass, g, and unbalance, g mm, that a flat radial hole takes away, by hand."""
    d, h, r = (hole[key].m_as("m") for key in ("diameter", "depth", "radius"))
    mass = 7200 * math.pi / 4 * d * d * h
    return mass * 1e3, mass * (r - h / 2) * 1e6


def test_one_hole_takes_away_what_it_weighs_where_the_crank_is_heavy() -> None:
    amount = 7200 * math.pi / 4 * 0.016**2 * 0.021 * (0.082 - 0.0105) * 1e6
    planes = [plane("30 mm", "0 g mm", limit="20 g mm"), plane("500 mm", f"{amount} g mm", "15 deg", limit="20 g mm")]
    plan = swept.plan_drilling(planes=planes, sites=[SITE])
    (step,) = plan.steps
    hole = step["hole"]
    assert hole["cheek"] == "4" and hole["angle"].m_as("deg") == pytest.approx(15) and hole["axial"] is False
    mass, taken = drilled_out(hole)
    assert step["removed"].m_as("g") == pytest.approx(mass) and step["amount"].m_as("g mm") == pytest.approx(taken)
    left, _ = step["left"][1]
    assert left.m_as("g mm") == pytest.approx(abs(amount - taken), abs=1e-6) and left <= plan.guarded[1]
    assert plan.guarded[1].m_as("g mm") == pytest.approx(20 - 16.5)
    assert plan.removed == step["removed"] and plan.slugs is not None and plan.slugs.m_as("g") == 0
    assert step["inside"] and plan.inside and plan.proved and plan.least_holes == 1 and plan.shortfall is None
    assert plan.least_metal == plan.removed and plan.nearest == [] and step["site"] == 0
    assert repr(plan).startswith('DrillPlan(1 hole, removed="') and repr(plan).endswith('g", proved=True)')
    assert plan == swept.plan_drilling(planes=planes, sites=[SITE])
    # Midway: the hole is there, and no new one stands in its place.
    again = swept.plan_drilling(planes=planes, sites=[SITE], drilled=[hole])
    assert again != plan and all(s["hole"]["angle"] != hole["angle"] for s in again.steps + again.nearest)


def test_what_falls_short_is_a_result() -> None:
    light = [plane("30 mm", "0 g mm"), plane("500 mm", "900 g mm", "180 deg")]
    short = swept.plan_drilling(planes=light, sites=[SITE])
    assert short.shortfall is not None and "only adding mass opposite can serve" in short.shortfall
    assert not short.inside and short.proved and short.steps == [] and short.removed is None
    assert short.least_holes is None and short.least_metal is None and short.slugs is None
    assert repr(short).startswith('DrillPlan(shortfall="the second plane has 900.0 g mm')
    inside = swept.plan_drilling(planes=[plane("30 mm", "5 g mm"), plane("500 mm", "9 g mm")], sites=[SITE])
    assert inside.inside and inside.steps == [] and inside.shortfall is None
    assert inside.removed is not None and inside.removed.m_as("g") == 0


def test_slugs_make_their_angle_heavier() -> None:
    drilling = ("drills", "point", "least_depth", "greatest_depth", "depth_step")
    site = {key: value for key, value in SITE.items() if key not in drilling}
    site |= {"axial": True, "radius": "66 mm", "slug_diameters": ["18 mm"] * 2, "slug_lengths": ["10 mm", "20 mm"]}
    site |= {"slug_density": 17000.0, "point": "180 deg"}
    volume = math.pi / 4 * 0.018**2 * 0.02
    amount = volume * (17000 - 7200) * 0.066 * 1e6
    planes = [plane("30 mm", "0 g mm"), plane("500 mm", f"{amount} g mm", "190 deg")]
    plan = swept.plan_drilling(planes=planes, sites=[site])
    (step,) = plan.steps
    assert step["slug"].m_as("g") == pytest.approx(volume * 17000 * 1e3) and plan.slugs == step["slug"]
    assert step["hole"]["angle"].m_as("deg") == pytest.approx(10) and step["hole"]["axial"]
    assert step["amount"].m_as("g mm") == pytest.approx(amount)


def test_little_effort_proves_nothing() -> None:
    planes = [plane("30 mm", "0 g mm"), plane("500 mm", "12000 g mm", "7 deg")]
    tired = swept.plan_drilling(planes=planes, sites=[SITE], effort=1)
    assert not tired.proved and tired.shortfall is not None and "effort ran out" in tired.shortfall
    assert swept.plan_drilling(planes=planes, sites=[SITE], guard=0.0).guarded[0].m_as("g mm") == pytest.approx(70)


def test_the_cautions_are_there() -> None:
    assert len(swept.DRILL_CAUTIONS) == 9 and any("locked off" in caution for caution in swept.DRILL_CAUTIONS)


# --- what all of them share

VALUES: list[Any] = [
    swept.RodMass(big_end="430.2 g", small_end="170.1 g"),
    swept.CounterweightSector(
        inner_radius="30 mm", outer_radius="80 mm", included_angle="120 deg", thickness="22 mm", density=7850
    ),
    swept.ShakingEngine(
        cylinders=vee(90, V8),
        rotating=[{"unbalance": "150 g mm", "angle": "30 deg", "position": "0 mm", "turns": -1}],
    ),
    vector("150 g mm", "30 deg"),
    swept.BalanceGrade("G 6.3"),
]


@pytest.mark.parametrize("value", VALUES, ids=lambda v: type(v).__name__)
def test_values_are_written_pickled_and_compared(value: Any) -> None:
    assert eval(repr(value), vars(swept).copy()) == value
    assert pickle.loads(pickle.dumps(value)) == value
    assert value != "cheese" and all(other != value for other in VALUES if other is not value)


def test_odd_figures_survive_pickling_to_the_last_bit() -> None:
    odd = swept.UnbalanceVector.from_mass(mass="0.1 oz", radius="0.3333 in", angle="0.1 rad")
    assert pickle.loads(pickle.dumps(odd)) == odd
    engine = swept.ShakingEngine(cylinders=vee(77.7, (0,)))
    assert pickle.loads(pickle.dumps(engine)) == engine


def test_texts_follow_the_display_system() -> None:
    assert repr(vector("150 g mm", "-330 deg")) == 'UnbalanceVector(amount="150 g mm", heavy_at="30 deg")'
    assert str(swept.BalanceGrade("g6.3")) == "G 6.3" and repr(swept.BalanceGrade("6.3")) == 'BalanceGrade("G 6.3")'
    force = swept.ShakingEngine(cylinders=vee(60, (0,))).force(1, speed="1 rad/s")
    assert repr(force).startswith('Harmonic(order=1, greatest="1.5 N", least="0.5 N", direction="')
    assert force == swept.ShakingEngine(cylinders=vee(60, (0,))).force(1, speed="1 rad/s")
    assert force != swept.ShakingEngine(cylinders=vee(60, (0,))).force(1, speed="2 rad/s")
    swept.display("inch")
    assert repr(vector("2 oz in", "30 deg")) == 'UnbalanceVector(amount="2 oz in", heavy_at="30 deg")'
    assert vector("2 oz in", "30 deg").amount.m == pytest.approx(2)


ROD = swept.RodMass(big_end="430 g", small_end="170 g")
ENGINE = swept.ShakingEngine(cylinders=vee(90, (0,)))
RUN: dict[str, Any] = {"weights": [vector("1 g mm", "0 deg")], "readings": [(2.0, "0 deg")]}
READ = [(4.0, "0 deg")]
PLANES = [plane("30 mm", "0 g mm"), plane("500 mm", "900 g mm")]
NAN = pint.UnitRegistry().Quantity(float("nan"), "g")
S: Any = swept


def less(given: dict[str, Any], key: str) -> dict[str, Any]:
    return {k: v for k, v in given.items() if k != key}


@pytest.mark.parametrize(
    ("call", "error", "says"),
    [
        (lambda: S.RodMass(big_end=430, small_end="1 g"), errors.MissingUnit, "big_end needs a unit"),
        (lambda: S.RodMass(big_end="-1 g", small_end="1 g"), errors.OutOfRange, "big end"),
        (lambda: S.RodMass(big_end=NAN, small_end="1 g"), errors.NotFinite, "big_end"),
        (lambda: S.RodMass("1 g", "1 g"), TypeError, "positional"),
        (
            lambda: S.RodMass.checked(big_end="430 g", small_end="172 g", total="600 g", slack="0.5 g"),
            errors.OutOfRange,
            "within",
        ),
        (lambda: S.rotating_mass(rod="600 g", shells="1 g", oil="1 g"), TypeError, "RodMass"),
        (lambda: S.bob_weight(rotating=["1 g"], reciprocating=["1 g"] * 2, share=0.5), errors.WrongLength, "1"),
        (lambda: S.bob_weight(rotating=["1 g"], reciprocating=["1 g"], share=1.5), errors.OutOfRange, "0 to 1"),
        (lambda: S.to_lightest(["402 g", "400 g"], most="1 g"), errors.OutOfRange, "part 1"),
        (lambda: S.to_lightest("402 g", most="1 g"), TypeError, "list"),
        (lambda: S.best_share([]), errors.WrongLength, "piston"),
        (lambda: S.best_share([("0 deg", "1 g")]), TypeError, r"pistons\[0\] must be a tuple"),
        (lambda: S.best_share(["abc"]), TypeError, r"pistons\[0\] must be a tuple"),
        (lambda: S.best_share([("0 deg", "0 mm", "1 g")]), errors.WrongDimension, r"pistons\[0\] pin angle"),
        (lambda: S.ShakingEngine(cylinders=[]), errors.WrongLength, "at least 1"),
        (lambda: S.ShakingEngine(cylinders="cheese"), TypeError, "cylinders must be a list"),
        (lambda: S.ShakingEngine(cylinders={}), TypeError, "cylinders must be a list"),
        (lambda: S.ShakingEngine(cylinders=[1]), TypeError, r"cylinders\[0\] must be a dict"),
        (lambda: S.ShakingEngine(cylinders=[{"bore": 1}]), TypeError, r"cylinders\[0\] has no \"bore\""),
        (
            lambda: S.ShakingEngine(cylinders=[less(shaking(0, 0, 0), "position")]),
            TypeError,
            r"cylinders\[0\] lacks \"position\"",
        ),
        (
            lambda: S.ShakingEngine(cylinders=[{**shaking(0, 0, 0), "cylinder": "80 mm"}]),
            TypeError,
            r"cylinders\[0\].cylinder must be a Cylinder",
        ),
        (
            lambda: S.ShakingEngine(cylinders=[{**shaking(0, 0, 0), "position": 3}]),
            errors.MissingUnit,
            r"cylinders\[0\].position",
        ),
        (
            lambda: ENGINE.with_masses([{"unbalance": "1 g mm", "angle": "0 deg", "position": "0 mm", "turns": 0}]),
            errors.OutOfRange,
            r"rotating\[0\]",
        ),
        (
            lambda: ENGINE.with_masses([{"unbalance": "1 g mm", "angle": "0 deg", "position": "0 mm", "turns": 1.5}]),
            TypeError,
            "turns must be",
        ),
        (lambda: ENGINE.force(7, speed="1 rad/s"), errors.OutOfRange, "1 to 6"),
        (lambda: ENGINE.force(-1, speed="1 rad/s"), errors.OutOfRange, "-1"),
        (lambda: ENGINE.force(1, speed="100 Hz"), errors.SweptError, "speed"),
        (lambda: ENGINE.force(1, speed="0 rpm"), errors.OutOfRange, "speed"),
        (lambda: ENGINE.counterweights(first="1 mm", second="1 mm"), errors.OutOfRange, "another position"),
        (lambda: S.acceleration_harmonics("80 mm"), TypeError, "Cylinder"),
        (lambda: S.UnbalanceVector(amount="-1 g mm", heavy_at="0 deg"), errors.OutOfRange, "unbalance"),
        (lambda: S.UnbalanceVector(amount="1 N m", heavy_at="0 deg"), errors.WrongDimension, "amount"),
        (lambda: S.UnbalanceVector(amount="1 g mm", heavy_at=30), errors.MissingUnit, "heavy_at"),
        (lambda: S.to_planes([], first="0 mm", second="1 mm"), errors.WrongLength, "at least 1"),
        (lambda: S.to_planes([("1 g mm", "0 mm")], first="0 mm", second="1 mm"), TypeError, "UnbalanceVector"),
        (lambda: S.RotorUnbalance([], centre="0 mm"), errors.WrongLength, "at least 1"),
        (lambda: S.correction_of_unbalance([], first="0 mm", second="1 mm"), errors.WrongLength, "at least 1"),
        (lambda: S.InfluenceMatrix([], phase="lead"), errors.WrongLength, "planes"),
        (lambda: S.InfluenceMatrix([["a"]], phase="lead"), TypeError, "complex"),
        (lambda: S.InfluenceMatrix([[1, 2], [3]], phase="lead"), errors.WrongLength, "sensor 2"),
        (lambda: S.InfluenceMatrix([[1]], phase="lead").correct([]), errors.WrongLength, "readings"),
        (lambda: S.InfluenceMatrix([[1]], phase="lead").predict([], []), errors.WrongLength, "weights"),
        (
            lambda: S.allocate_to_planes(
                allowed=("1 g mm", "1 g mm"), bearings=("0 mm", "0 mm"), planes=("0 mm", "1 mm")
            ),
            errors.OutOfRange,
            "another position",
        ),
        (
            lambda: S.allocate_to_planes(allowed="1 g mm", bearings=("0 mm", "0 mm"), planes=("0 mm", "1 mm")),
            TypeError,
            "allowed",
        ),
        (lambda: S.BalanceGrade("G 6.4"), errors.OutOfRange, "G 6.3"),
        (lambda: S.BalanceGrade("fine"), errors.Unreadable, "such as"),
        (lambda: S.BalanceGrade(6.3), TypeError, "str"),
        (lambda: turbine_rotor(phase="behind"), ValueError, "lead"),
        (lambda: turbine_rotor(runs=[]), errors.WrongLength, "at least 1"),
        (lambda: turbine_rotor(runs=[less(RUN, "weights")]), TypeError, r"runs\[0\] lacks"),
        (lambda: turbine_rotor(baseline=READ, runs=[{**RUN, "stays": "yes"}]), TypeError, "True or False"),
        (lambda: turbine_rotor(baseline=READ, runs=[{**RUN, "weights": ["1 g mm"]}]), TypeError, "UnbalanceVector"),
        (lambda: turbine_rotor(baseline=READ, runs=[{**RUN, "weights": [None]}]), errors.OutOfRange, "plane 1"),
        (lambda: turbine_rotor(baseline=[(float("nan"), "0 deg")]), errors.NotFinite, r"baseline\[0\]"),
        (lambda: turbine_rotor(baseline=[("4", "0 deg")]), TypeError, r"baseline\[0\] amplitude must be a number"),
        (lambda: turbine_rotor(baseline=[4.0]), TypeError, r"baseline\[0\] must be a tuple"),
        (lambda: turbine_rotor(relative_uncertainty=-0.1), errors.OutOfRange, "uncertainty"),
        (lambda: S.plan_drilling(planes=PLANES[:1], sites=[SITE]), errors.WrongLength, "planes"),
        (lambda: S.plan_drilling(planes=PLANES, sites=[]), errors.WrongLength, "sites"),
        (lambda: S.plan_drilling(planes=PLANES[1:] * 2, sites=[SITE]), errors.OutOfRange, "another position"),
        (lambda: S.plan_drilling(planes=[less(PLANES[0], "uncertainty")] * 2, sites=[SITE]), TypeError, "uncertainty"),
        (lambda: S.plan_drilling(planes=PLANES, sites=[SITE], most_holes=0), errors.OutOfRange, "most holes"),
        (lambda: S.plan_drilling(planes=PLANES, sites=[SITE], guard=-1.0), errors.OutOfRange, "guard"),
        (lambda: S.plan_drilling(planes=PLANES, sites=[SITE], guard=9.0), errors.OutOfRange, "limit of a plane"),
        (lambda: S.plan_drilling(planes=PLANES, sites=[{**SITE, "density": "7200 kg"}]), TypeError, "kg/m3"),
        (lambda: S.plan_drilling(planes=PLANES, sites=[{**SITE, "density": 7.2}]), errors.OutOfRange, "density"),
        (lambda: S.plan_drilling(planes=PLANES, sites=[{**SITE, "cheek": 4}]), TypeError, "cheek must be a text"),
        (lambda: S.plan_drilling(planes=PLANES, sites=[{**SITE, "axial": 1}]), TypeError, "True or False"),
        (lambda: S.plan_drilling(planes=PLANES, sites=[{**SITE, "slug_density": 17e3}]), TypeError, "either"),
        (lambda: S.plan_drilling(planes=PLANES, sites=[less(SITE, "drills")]), TypeError, "either"),
        (lambda: S.plan_drilling(planes=PLANES, sites=[SITE], drilled=[SITE]), TypeError, r"drilled\[0\] has no"),
    ],
)
def test_what_cannot_be_is_refused(call: Any, error: type[Exception], says: str) -> None:
    with pytest.raises(error, match=says):
        call()


def test_slug_lists_of_different_length_are_refused() -> None:
    drilling = ("drills", "point", "least_depth", "greatest_depth", "depth_step")
    site = {key: value for key, value in SITE.items() if key not in drilling}
    site |= {"axial": True, "slug_diameters": ["18 mm"] * 2, "slug_lengths": ["10 mm"], "slug_density": 17e3}
    with pytest.raises(errors.WrongLength, match=r"sites\[0\].slug_lengths"):
        swept.plan_drilling(planes=PLANES, sites=[site])
