"""Rocker, train, lash and springs, by coordinates, differences, textbook examples and Newton."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pint
import pytest

import swept
from swept import errors

U: Any = pint.UnitRegistry()
ARM = swept.RockerArm(tip_arm="36 mm", tip_radius="9 mm", cup_arm="24 mm", included="170 deg")
SEAT = swept.LifterSeat(x="-24 mm", y="-190 mm", lean="4 deg")
ROCKER = swept.Rocker(ARM, stem="35.5 mm", height="4 mm", lifter=SEAT)


def mm(length: Any) -> Any:
    return length.m_as("mm")


# --- rocker


def mechanism(beta: float) -> tuple[float, float]:
    """Lift of lifter and valve in mm, with the rocker turned: by coordinates, the pushrod of one length."""
    gamma = math.asin((9 - 4) / 36)

    def cup(turned: float) -> complex:
        return 4j + 24 * complex(math.cos(a := gamma - turned + math.radians(170)), math.sin(a))

    length = abs(cup(0) - (-24 - 190j))
    along = complex(math.sin(math.radians(4)), math.cos(math.radians(4)))
    to_cup = cup(beta) - (-24 - 190j)
    forward = (to_cup * along.conjugate()).real
    lifter = forward - math.sqrt(forward**2 - abs(to_cup) ** 2 + length**2)
    return lifter, 36 * (math.sin(gamma) - math.sin(gamma - beta))


def test_a_rocker_turns_as_its_pushrod_keeps_its_length() -> None:
    for beta in np.linspace(0.02, 0.36, 9):
        lifter, valve = mechanism(float(beta))
        assert mm(ROCKER.valve_lift(f"{lifter!r} mm")) == pytest.approx(valve, rel=1e-9)
        assert mm(ROCKER.lifter_lift(f"{valve!r} mm")) == pytest.approx(lifter, rel=1e-9)
        assert ROCKER.turned(f"{lifter!r} mm").m_as("rad") == pytest.approx(beta, rel=1e-9)
    assert mm(ROCKER.pushrod_length) == pytest.approx(
        abs(4j + 24 * np.exp(1j * (math.asin(5 / 36) + math.radians(170))) + 24 + 190j)
    )


def test_the_ratio_is_the_slope_and_the_chain_rule_holds() -> None:
    train, h = swept.Train.over(ROCKER), 1e-4
    lifts = np.array([1.0, 4.0, 7.5])
    before, at, after = (mm(train.valve_lift(U.Quantity(lifts + d, "mm"))) for d in (-h, 0, h))
    ratios = [train.derivatives(f"{lift} mm") for lift in lifts]
    assert [r.first for r in ratios] == pytest.approx((after - before) / (2 * h), rel=1e-7)
    assert [r.second / 1000 for r in ratios] == pytest.approx((after - 2 * at + before) / h**2, rel=1e-3)
    assert train.rocker == ROCKER and swept.Train.direct().rocker is None

    curve = swept.LiftCurve.polynomial(exponents=[2, 6, 10, 14], lift="8 mm", cam_half_length="70 deg")
    step, angles = 1e-5, np.radians(np.arange(-60.0, 60.0, 7.0))
    before, at, after = (train.valve(curve.at(cam_angle=U.Quantity(angles + d, "rad"))) for d in (-step, 0, step))
    for lower, upper in (("lift", "velocity"), ("velocity", "acceleration"), ("acceleration", "jerk")):
        difference = (mm(getattr(after, lower)) - mm(getattr(before, lower))) / (2 * step)
        assert mm(getattr(at, upper)) == pytest.approx(difference, abs=1e-3), upper


def test_the_contact_wanders_least_square_at_half_lift() -> None:
    best = ROCKER.least_sweep("8 mm")
    lift = mm(best.valve_lift("8 mm"))
    assert mm(best.sweep(f"{lift!r} mm").width) == pytest.approx(36 - math.sqrt(36**2 - lift**2 / 4))
    assert 36 * math.sin(best.tip_angle.m_as("rad")) == pytest.approx(lift / 2)
    for shim in (-0.3, 0.3):
        other = best.with_height(f"{mm(best.height) + shim} mm")
        assert other.sweep(other.valve_lift("8 mm")).width > best.sweep(best.valve_lift("8 mm")).width
    centred = ROCKER.centred("8 mm")
    assert mm(centred.sweep(centred.valve_lift("8 mm")).middle) == pytest.approx(0, abs=1e-9)
    again = ROCKER.with_pushrod(centred.pushrod_length)
    assert mm(again.height) == pytest.approx(mm(centred.height)) and again.arm == ARM and again.lifter == SEAT
    lifts = U.Quantity(np.linspace(0, lift, 101), "mm")
    seen, sweep = mm(best.contact(lifts)), best.sweep(f"{lift!r} mm")
    assert (seen.min(), seen.max()) == pytest.approx((mm(sweep.inner), mm(sweep.outer)), abs=1e-3)
    assert (seen[0], seen[-1]) == pytest.approx((mm(sweep.seated), mm(sweep.open)))


def test_lash_cold_and_hot() -> None:
    fixed = swept.Train.ratio(1.6)
    lift = swept.Lift(lift="5 mm", velocity="8 mm", acceleration="-20 mm", jerk="3 mm")
    open_valve = fixed.valve(lift, lash="0.25 mm")
    assert (mm(open_valve.lift), mm(open_valve.velocity), mm(open_valve.jerk)) == pytest.approx((7.75, 12.8, 4.8))
    shut = fixed.valve(lift, lash="8 mm")
    assert mm(shut.lift) == 0 and mm(shut.velocity) == 0
    growths = {"engine": "0.25 mm", "pushrod": "0.10 mm", "head": "0.06 mm", "valve": "0.15 mm"}
    assert mm(swept.hot_lash(cold="0.3 mm", ratio=1.5, **growths)) == pytest.approx(0.3 + 1.5 * 0.15 + 0.06 - 0.15)
    assert mm(swept.hot_lash(cold="0.1 mm", ratio=1, valve="0.15 mm")) == pytest.approx(-0.05)


# --- springs


def spring(
    rate: str = "40 N/mm", height: str = "40 mm", load: str = "300 N", solid: str = "24 mm"
) -> swept.ValveSpring:
    return swept.ValveSpring(rate=rate, height=height, load=load, solid_height=solid)


def test_two_readings_make_a_spring() -> None:
    first, second = ("40 mm", "300 N"), (U.Quantity(30, "mm"), "700 N")
    assert swept.rate_from_readings(first=first, second=second).m_as("N/mm") == pytest.approx(40)
    made = swept.ValveSpring.from_readings(first=first, second=second, solid_height="24 mm")
    assert made.rate.m_as("N/mm") == pytest.approx(40) and mm(made.solid_height) == pytest.approx(24)
    assert mm(made.free_height) == pytest.approx(47.5)
    heights = U.Quantity([47.5, 40.0, 30.0], "mm")
    assert made.load_at(heights).m_as("N") == pytest.approx([0, 300, 700])
    assert mm(made.height_at("500 N")) == pytest.approx(35)


def test_springs_nested_add_up_and_the_first_binds() -> None:
    outer = swept.InstalledSpring(spring(), height="38.5 mm")
    inner = swept.InstalledSpring(spring("18 N/mm", "36 mm", "120 N", "22.5 mm"), height="34.5 mm")
    both = swept.SpringSet([outer, inner])
    assert both.rate.m_as("N/mm") == pytest.approx(58)
    assert both.seat_load.m_as("N") == pytest.approx((300 + 1.5 * 40) + (120 + 1.5 * 18))
    assert mm(both.lift_to_bind) == pytest.approx(12) and mm(both.coil_bind_margin("10.5 mm")) == pytest.approx(1.5)
    assert both.load(U.Quantity([0.0, 10.0], "mm")).m_as("N") == pytest.approx([507, 507 + 580])
    assert outer.load("10 mm").m_as("N") == pytest.approx(760) and mm(outer.open_height("10 mm")) == pytest.approx(28.5)
    shim = outer.shim_for("400 N")
    assert mm(shim) == pytest.approx(1) and outer.shimmed(shim).seat_load.m_as("N") == pytest.approx(400)
    assert mm(outer.coil_bind_margin("15 mm")) == pytest.approx(-0.5)
    assert outer.spring == spring() and mm(outer.height) == pytest.approx(38.5)
    assert mm(swept.retainer_clearance(installed_gap="13 mm", lift="11.4 mm")) == pytest.approx(1.6)


def test_a_helical_spring_of_the_textbook() -> None:
    """Shigley, Mechanical Engineering Design, example 10-1 (from memory): 4.13 lbf/in."""
    made = swept.HelicalSpring(wire="0.037 in", mean_diameter="0.400 in", active_coils=10.5, total_coils=12.5)
    assert made.rate(shear_modulus="11.85e6 psi").m_as("lbf/in") == pytest.approx(4.13, rel=2e-3)
    assert made.bergstraesser_factor == pytest.approx(1.124, abs=1e-3) and made.index == pytest.approx(0.4 / 0.037)
    assert made.solid_height.m_as("in") == pytest.approx(12.5 * 0.037)
    k, c = made.wahl_factor, made.index
    assert k == pytest.approx((4 * c - 1) / (4 * c - 4) + 0.615 / c)
    stress = made.shear_stress("6 lbf", factor="wahl").m_as("psi")
    assert stress == pytest.approx(k * 8 * 6 * 0.4 / (math.pi * 0.037**3), rel=1e-6)
    assert made.shear_stress("6 lbf") < made.shear_stress("6 lbf", factor="wahl")
    ground = swept.HelicalSpring.squared_and_ground(wire="4 mm", mean_diameter="28 mm", active_coils=5)
    assert mm(ground.solid_height) == pytest.approx(28)
    mass = ground.active_mass(density=7850)
    assert mass.m_as("kg") == pytest.approx(5 * math.pi * 0.028 * math.pi / 4 * 0.004**2 * 7850)
    surge = swept.surge_frequency(rate="40 N/mm", active_mass="50 g")
    assert surge.m_as("Hz") == pytest.approx(math.sqrt(40e3 / 0.05) / 2)
    assert swept.harmonic_frequency_ratio(frequency="450 Hz", crank_speed="6000 rpm", harmonic=6) == pytest.approx(1.5)
    assert swept.harmonic_frequency_ratio(frequency="450 Hz", crank_speed="6000 rpm") == pytest.approx(9)


# --- control

SPRINGS = swept.SpringSet([swept.InstalledSpring(spring("58 N/mm", "40 mm", "387 N", "20 mm"), height="40 mm")])


def test_masses_come_to_the_valve_by_their_kinetic_energy() -> None:
    parts = {"valve": "110 g", "retainer_and_locks": "30 g", "springs": "90 g", "rocker": "40 g"}
    masses = swept.TrainMasses(**parts, lifter_and_pushrod="162 g", ratio=1.5)
    assert masses.effective.m_as("g") == pytest.approx(110 + 30 + 30 + 40 + 162 / 2.25)
    assert swept.TrainMasses(valve="110 g").effective.m_as("g") == pytest.approx(110)
    assert swept.mass_at_tip(inertia=5e-5, arm="36 mm").m_as("kg") == pytest.approx(5e-5 / 0.036**2)
    assert mm(swept.train_deflection(force="1200 N", stiffness="4000 N/mm")) == pytest.approx(0.3)
    natural = swept.train_frequency(stiffness="4000 N/mm", effective_mass="250 g")
    assert natural.m_as("Hz") == pytest.approx(math.sqrt(4e6 / 0.25) / (2 * math.pi))
    assert swept.event_frequency(cam_duration="120 deg", crank_speed="6000 rpm").m_as("Hz") == pytest.approx(150)


def test_the_valve_floats_where_newton_says() -> None:
    curve = swept.LiftCurve.polynomial(exponents=[2, 6, 10, 14], lift="8 mm", cam_half_length="70 deg")
    train, mass = swept.Train.over(ROCKER), 0.24
    control = swept.SpringControl(SPRINGS, effective_mass="240 g")
    found = control.float_speed(curve, train=train, lash="0.2 mm")
    angles = np.radians(np.linspace(-69, 69, 69001))
    valve = train.valve(curve.at(cam_angle=U.Quantity(angles, "rad")), lash="0.2 mm")
    force, pull = 387 + 58 * mm(valve.lift), -mass * valve.acceleration.m_as("m")
    squared = np.where(pull > 0, force / np.where(pull > 0, pull, 1), np.inf)
    assert found.crank_speed.m_as("rad/s") == pytest.approx(2 * math.sqrt(squared.min()), rel=1e-7)
    assert found.cam_angle.m_as("rad") == pytest.approx(angles[squared.argmin()], abs=1e-3)
    assert found.force.m_as("N") == pytest.approx(force[squared.argmin()], rel=1e-4)

    available, needed, margin, contact = control.forces(valve, crank_speed=found.crank_speed)
    assert available.m_as("N") == pytest.approx(force)
    assert needed.m_as("N") == pytest.approx(np.maximum(pull * squared.min(), 0), abs=1e-3)
    assert margin.m_as("N").min() == pytest.approx(0, abs=1e-3) and contact.shape == angles.shape
    assert contact.m_as("N") == pytest.approx(force - pull * squared.min(), abs=1e-3)
    slow = control.least_margin(curve, train=train, lash="0.2 mm", crank_speed=0.9 * found.crank_speed)
    assert slow.margin.m_as("N") > 0 and slow.margin.m_as("N") == pytest.approx(
        (slow.available - slow.needed).m_as("N")
    )
    fast = control.least_margin(curve, train=train, lash="0.2 mm", crank_speed=1.1 * found.crank_speed)
    assert fast.margin.m_as("N") < 0 and fast.contact.m_as("N") < 0
    assert control.springs == SPRINGS and control.effective_mass.m_as("g") == pytest.approx(240)


@pytest.mark.parametrize(
    ("wrong", "kind"),
    [
        (
            lambda: swept.RockerArm(tip_arm="0 mm", tip_radius="9 mm", cup_arm="24 mm", included="170 deg"),
            errors.OutOfRange,
        ),
        (lambda: swept.LifterSeat(x="0 mm", y="0 mm", lean="90 deg"), errors.OutOfRange),
        (lambda: ROCKER.valve_lift("80 mm"), errors.OutOfRange),
        (lambda: ROCKER.valve_lift(U.Quantity([1.0, 80.0], "mm")), errors.OutOfRange),
        (lambda: ROCKER.with_pushrod("20 mm"), errors.SweptError),
        (lambda: swept.Train.ratio(0), errors.OutOfRange),
        (lambda: swept.Train.ratio(math.nan), errors.NotFinite),
        (lambda: swept.Train.over(ARM), TypeError),
        (lambda: swept.Train(), TypeError),
        (lambda: swept.hot_lash(cold="-0.1 mm", ratio=1), errors.OutOfRange),
        (lambda: spring(solid="41 mm"), errors.OutOfRange),
        (lambda: spring().load_at("23 mm"), errors.OutOfRange),
        (lambda: spring().load_at("48 mm"), errors.OutOfRange),
        (lambda: swept.rate_from_readings(first="40 mm", second=("30 mm", "1 N")), TypeError),
        (lambda: swept.rate_from_readings(first=("40 mm",), second=("30 mm", "1 N")), TypeError),
        (lambda: swept.rate_from_readings(first=("40 mm", "1 N"), second=("40 mm", "2 N")), errors.OutOfRange),
        (lambda: swept.rate_from_readings(first=("40 mm", "1 kg"), second=("30 mm", "2 N")), errors.WrongDimension),
        (lambda: swept.SpringSet([]), errors.WrongLength),
        (lambda: swept.SpringSet([spring()]), TypeError),
        (lambda: SPRINGS.load("21 mm"), errors.OutOfRange),
        (
            lambda: swept.HelicalSpring(wire="4 mm", mean_diameter="4 mm", active_coils=5, total_coils=7),
            errors.OutOfRange,
        ),
        (
            lambda: swept.HelicalSpring(wire="4 mm", mean_diameter="28 mm", active_coils=5, total_coils=4),
            errors.OutOfRange,
        ),
        (lambda: swept.harmonic_frequency_ratio(frequency="9 Hz", crank_speed="9 rpm", harmonic=-1), errors.OutOfRange),
        (lambda: swept.harmonic_frequency_ratio(frequency="9 Hz", crank_speed="9 Hz"), errors.WrongDimension),
        (lambda: swept.TrainMasses(valve="0 g"), errors.OutOfRange),
        (lambda: swept.event_frequency(cam_duration="400 deg", crank_speed="6000 rpm"), errors.OutOfRange),
        (lambda: swept.SpringControl(SPRINGS, effective_mass="0 g"), errors.OutOfRange),
    ],
)
def test_what_no_train_can_be_is_refused(wrong: Any, kind: type[Exception]) -> None:
    with pytest.raises(kind):
        wrong()


def test_a_rocker_is_written_as_it_is_made() -> None:
    made = eval(repr(ROCKER), {name: getattr(swept, name) for name in ("Rocker", "RockerArm", "LifterSeat")} | {})
    assert made == ROCKER and made != ROCKER.with_height("4.1 mm")
    assert repr(swept.Train.direct()) == "Train.direct()" and repr(swept.Train.ratio(1.6)) == "Train.ratio(1.6)"
    assert repr(swept.Train.over(ROCKER)) == f"Train.over({ROCKER!r})"
