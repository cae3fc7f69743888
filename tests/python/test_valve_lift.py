"""Lift curves and followers, by closed forms, differences and fine grids; arrays against one angle at a time."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pint
import pytest

import swept
from swept import errors

U: Any = pint.UnitRegistry()

# Programmes over x from 0 to 1; Norton, Cam Design and Manufacturing Handbook, chapters 2 and 3 (from memory).
PROGRAMMES = {
    "3-4-5": lambda x: 10 * x**3 - 15 * x**4 + 6 * x**5,
    "4-5-6-7": lambda x: 35 * x**4 - 84 * x**5 + 70 * x**6 - 20 * x**7,
    "cycloidal": lambda x: x - np.sin(2 * np.pi * x) / (2 * np.pi),
    "harmonic": lambda x: (1 - np.cos(np.pi * x)) / 2,
}


def flank(programme: Any = "3-4-5", length: float = 60, **ramp: str) -> swept.Flank:
    return swept.Flank(programme, cam_length=f"{length} deg", **ramp)


def lobe(programme: Any = "3-4-5", lift: str = "10 mm") -> swept.LiftCurve:
    return swept.LiftCurve.of_flanks(lift=lift, opening=flank(programme), closing=flank(programme, 66))


def mm(length: Any) -> Any:
    return length.m_as("mm")


# --- the curve


@pytest.mark.parametrize("programme", list(PROGRAMMES))
def test_a_flank_is_the_programme_of_the_book(programme: str) -> None:
    x = np.linspace(0, 1, 25)
    curve = lobe(programme)
    opening = mm(curve.lift(cam_angle=U.Quantity(-60 * (1 - x), "deg")))
    closing = mm(curve.lift(cam_angle=U.Quantity(66 * (1 - x), "deg")))
    expected = 10 * PROGRAMMES[programme](x)
    assert opening == pytest.approx(expected, abs=1e-12) and closing == pytest.approx(expected, abs=1e-12)
    assert mm(curve.area) == pytest.approx(10 * (math.radians(60) + math.radians(66)) / 2)
    assert curve.crank_duration_at("5 mm").m_as("deg") == pytest.approx(126)
    assert curve.cam_duration_at("5 mm").m_as("deg") == pytest.approx(63)
    assert curve.cam_opening_at("5 mm").m_as("deg") == pytest.approx(-30)
    assert curve.cam_closing_at("5 mm").m_as("deg") == pytest.approx(33)


@pytest.mark.parametrize(
    "curve",
    [
        lobe("4-5-6-7"),
        swept.LiftCurve.polynomial(exponents=[2, 6, 10, 14], lift="10 mm", cam_half_length="65 deg"),
        swept.LiftCurve.of_flanks(
            lift="10 mm", opening=flank(ramp_height="0.25 mm", cam_ramp_length="20 deg"), cam_dwell="3 deg"
        ),
    ],
    ids=["programme", "polynomial", "ramp and dwell"],
)
def test_each_derivative_is_the_difference_of_the_one_before(curve: swept.LiftCurve) -> None:
    step = 1e-5
    angles = np.radians(np.arange(-89.3, 90, 1.7))
    before, at, after = (curve.at(cam_angle=U.Quantity(angles + d, "rad")) for d in (-step, 0, step))
    for lower, upper in (("lift", "velocity"), ("velocity", "acceleration"), ("acceleration", "jerk")):
        difference = (mm(getattr(after, lower)) - mm(getattr(before, lower))) / (2 * step)
        assert mm(getattr(at, upper)) == pytest.approx(difference, abs=2e-4), upper


def test_a_ramp_takes_up_lash_at_constant_velocity() -> None:
    ramped = flank(ramp_height="0.2 mm", cam_ramp_length="20 deg")
    curve = swept.LiftCurve.of_flanks(lift="10 mm", opening=ramped)
    middle = curve.at(cam_angle=U.Quantity([-73.0, -68.0, -62.0], "deg"))
    assert ramped.ramp_velocity is not None
    assert mm(middle.velocity) == pytest.approx([mm(ramped.ramp_velocity)] * 3)
    assert mm(ramped.ramp_velocity) == pytest.approx(0.2 / (math.radians(20) * 7 / 8))
    assert mm(curve.lift(cam_angle="-60 deg")) == pytest.approx(0.2)
    assert flank().ramp_velocity is None and flank().ramp_height is None
    # pint turns "per radian of the cam" to "per degree".
    assert middle.velocity.m_as("mm/degree") == pytest.approx([0.2 / 17.5] * 3)


def test_extremes_are_those_seen_on_a_fine_grid() -> None:
    curve = lobe("cycloidal")
    angles = np.radians(np.linspace(-70, 70, 140001))
    seen = curve.at(cam_angle=U.Quantity(angles, "rad"))
    found = curve.extremes
    for name, series, pick in (
        ("greatest_velocity", seen.velocity, np.argmax),
        ("least_velocity", seen.velocity, np.argmin),
        ("greatest_acceleration", seen.acceleration, np.argmax),
        ("least_acceleration", seen.acceleration, np.argmin),
    ):
        extreme, where = getattr(found, name), int(pick(mm(series)))
        assert mm(extreme.value) == pytest.approx(mm(series)[where], rel=1e-8)
        assert extreme.cam_angle.m_as("rad") == pytest.approx(angles[where], abs=1e-4)


def test_a_table_of_a_lobe_gives_the_lobe_back() -> None:
    curve = swept.LiftCurve.polynomial(exponents=[2, 6, 10, 14], lift="10 mm", cam_half_length="60 deg")
    angles = np.arange(-70.0, 71.0, 1.0)
    lifts = mm(curve.lift(cam_angle=U.Quantity(angles, "deg")))
    table: Any = {"cam_angles": U.Quantity(angles + 110, "deg"), "lifts": U.Quantity(lifts, "mm")}
    read = swept.LiftCurve.interpolated(**table)
    assert read.cam_nose.m_as("deg") == pytest.approx(110, abs=1e-3)
    between = U.Quantity(np.arange(-55.5, 60.0, 1.0), "deg")
    assert mm(read.curve.lift(cam_angle=between)) == pytest.approx(mm(curve.lift(cam_angle=between)), abs=1e-5)
    assert mm(read.rms) == pytest.approx(0, abs=1e-9)
    # Only where the lobe leaves the base circle, below a thousandth of a millimetre, does the spline want to dip.
    kinks = [kink.m_as("deg") - 110 for kink in read.cam_kinks]
    assert kinks and all(mm(curve.lift(cam_angle=f"{kink} deg")) < 0.001 for kink in kinks)

    noise = np.random.default_rng(7).normal(0, 0.003, len(angles)) * (lifts > 0)
    noisy: Any = {**table, "lifts": U.Quantity(lifts + noise, "mm")}
    smooth = swept.LiftCurve.smoothed(**noisy, deviation="0.003 mm")
    rough = swept.LiftCurve.interpolated(**noisy)
    assert 0.001 < mm(smooth.rms) < 0.0045
    inner = U.Quantity(np.arange(-45.0, 50.0, 0.5), "deg")
    true = mm(curve.at(cam_angle=inner).acceleration)
    off = [np.abs(mm(m.curve.at(cam_angle=inner).acceleration) - true).max() for m in (smooth, rough)]
    assert off[0] < off[1] / 3
    assert abs(mm(smooth.largest)) >= mm(smooth.rms) and abs(mm(smooth.peak_lost)) < 0.02


# --- arrays and one by one


def test_arrays_hold_what_each_angle_gives() -> None:
    curve = lobe()
    train, lash = swept.Train.ratio(1.6), "0.3 mm"
    motion = swept.ValveMotion(curve, crank_centreline="106 deg", train=train, lash=lash)
    angles = np.arange(-60.0, 60.0, 10.0).reshape(3, 4)
    followers = (
        swept.FlatFollower(base_radius="40 mm"),
        swept.RollerFollower(base_radius="18 mm", roller_radius="9 mm"),
    )
    calls: list[Any] = [
        *(lambda a, n=n: getattr(curve.at(cam_angle=a), n) for n in ("lift", "velocity", "acceleration", "jerk")),
        lambda a: curve.lift(cam_angle=a),
        lambda a: motion.at(crank_angle=a).lift,
        lambda a: train.valve(curve.at(cam_angle=a), lash=lash).acceleration,
        *(lambda a, f=f: f.radius_of_curvature(curve.at(cam_angle=a)) for f in followers),
        *(lambda a, f=f: f.profile(curve.at(cam_angle=a), cam_angle=a)[1] for f in followers),
        lambda a: followers[0].contact(curve.at(cam_angle=a)),
        lambda a: followers[1].pressure_angle(curve.at(cam_angle=a)),
    ]
    for call in calls:
        whole = call(U.Quantity(angles, "deg"))
        assert whole.shape == (3, 4)
        one_by_one = [call(f"{a} deg").magnitude for a in angles.ravel()]
        assert whole.magnitude.ravel().tolist() == one_by_one
    assert curve.at(cam_angle=U.Quantity(np.zeros(0), "deg")).lift.shape == (0,)


def test_a_lift_is_made_of_quantities_of_one_shape() -> None:
    one = swept.Lift(lift="5 mm", velocity="8 mm", acceleration="-20 mm")
    assert mm(one.jerk) == 0 and one == swept.Lift(lift="5 mm", velocity="8 mm", acceleration="-20 mm", jerk="0 mm")
    assert repr(one) == 'Lift(lift="5 mm", velocity="8 mm", acceleration="-20 mm", jerk="0 mm")'
    several = U.Quantity([1.0, 2.0], "mm")
    assert repr(swept.Lift(lift=several, velocity=several, acceleration=several)) == "<Lift at 2 angles>"
    with pytest.raises(ValueError, match="shape"):
        swept.Lift(lift=several, velocity="8 mm", acceleration=several)
    with pytest.raises(ValueError, match="shape"):
        swept.FlatFollower(base_radius="16 mm").profile(one, cam_angle=U.Quantity([0.0, 1.0], "deg"))


def test_a_valve_stands_where_half_the_crank_angle_has_the_cam() -> None:
    curve = lobe()
    motion = swept.ValveMotion(curve, crank_centreline="106 deg", train=swept.Train.ratio("1.5"), lash="0.2 mm")
    for crank in (0.0, 50.0, 106.0, 170.0, 400.0, 826.0):
        cam = curve.lift(cam_angle=f"{(crank - 106) / 2} deg")
        assert mm(motion.at(crank_angle=f"{crank} deg").lift) == pytest.approx(max(1.5 * mm(cam) - 0.2, 0), abs=1e-9)
    assert mm(motion.maximum) == pytest.approx(14.8)
    earlier = motion.advanced(crank_angle="6 deg")
    assert earlier.crank_centreline.m_as("deg") == pytest.approx(100) and earlier != motion
    assert motion.curve == curve and motion.train == swept.Train.ratio(1.5) and mm(motion.lash) == pytest.approx(0.2)


# --- followers


def test_a_cam_that_is_a_circle_has_its_radius_all_around() -> None:
    """A circle of 20 mm turning 4 mm off its centre, under either follower."""
    angles = np.radians(np.arange(-180.0, 180.0, 15.0))
    s, c = np.sin(angles), np.cos(angles)
    flat = swept.Lift(
        **{n: U.Quantity(v, "mm") for n, v in {"lift": 4 + 4 * c, "velocity": -4 * s, "acceleration": -4 * c}.items()}
    )
    follower = swept.FlatFollower(base_radius="16 mm")
    assert mm(follower.radius_of_curvature(flat)) == pytest.approx(np.full(24, 20.0))
    x, y = follower.profile(flat, cam_angle=U.Quantity(angles, "rad"))
    assert np.hypot(mm(x), mm(y) - 4) == pytest.approx(np.full(24, 20.0))

    root = np.sqrt(29**2 - (4 * s) ** 2)
    first = -4 * s - 16 * s * c / root
    second = -4 * c - 16 * (c**2 - s**2) / root - 256 * (s * c) ** 2 / root**3
    lifts = {"lift": 4 * c + root - 25, "velocity": first, "acceleration": second}
    rolled = swept.Lift(**{n: U.Quantity(v, "mm") for n, v in lifts.items()})
    roller = swept.RollerFollower(base_radius="16 mm", roller_radius="9 mm")
    assert mm(roller.radius_of_curvature(rolled)) == pytest.approx(np.full(24, 20.0))
    assert mm(roller.pitch_radius_of_curvature(rolled)) == pytest.approx(np.full(24, 29.0))
    x, y = roller.profile(rolled, cam_angle=U.Quantity(angles, "rad"))
    assert np.hypot(mm(x), mm(y) - 4) == pytest.approx(np.full(24, 20.0))
    assert mm(roller.prime_radius) == pytest.approx(25)


def test_followers_are_checked_and_told_what_would_do() -> None:
    curve = lobe("cycloidal", "8 mm")
    angles = np.radians(np.linspace(-75, 75, 75001))
    seen = curve.at(cam_angle=U.Quantity(angles, "rad"))
    s, v, a = mm(seen.lift), mm(seen.velocity), mm(seen.acceleration)
    needed = swept.FlatFollower.base_radius_for(curve, radius="2 mm")
    assert mm(needed) == pytest.approx(2 - (s + a).min(), rel=1e-6)
    good = swept.FlatFollower(base_radius=needed)
    assert mm(good.least_radius_of_curvature(curve).value) == pytest.approx(2)
    with pytest.raises(errors.OutOfRange, match="would do"):
        swept.FlatFollower(base_radius="12 mm").check_curvature(curve)
    face = good.face(curve)
    assert mm(face.opening.value) == pytest.approx(v.max()) and mm(face.closing.value) == pytest.approx(v.min())
    assert mm(face.width("1 mm")) == pytest.approx(v.max() - v.min() + 1)
    assert mm(face.diameter()) == pytest.approx(2 * max(v.max(), -v.min()))

    roller = swept.RollerFollower(base_radius="17 mm", roller_radius="9 mm", offset="1 mm")
    phi = np.arctan2(v - 1, s + math.sqrt(26**2 - 1))
    worst = roller.greatest_pressure_angle(curve)
    assert abs(worst.value.m_as("rad")) == pytest.approx(np.abs(phi).max(), rel=1e-7)
    with pytest.raises(errors.OutOfRange, match="would do"):
        roller.check_pressure_angle(curve, most="20 deg")
    base = roller.base_radius_for_pressure_angle(curve, most="20 deg")
    wider = swept.RollerFollower(base_radius=base, roller_radius="9 mm", offset="1 mm")
    assert abs(wider.greatest_pressure_angle(curve).value.m_as("deg")) == pytest.approx(20)
    sharp = roller.base_radius_for_curvature(curve, radius="6 mm")
    least = swept.RollerFollower(base_radius=sharp, roller_radius="9 mm", offset="1 mm").check_curvature(curve)
    assert mm(least.value) == pytest.approx(6)
    hollow = roller.greatest_wheel_radius(curve)
    assert hollow is not None and roller.check_wheel(curve, wheel_radius=0.99 * hollow.value) == hollow
    with pytest.raises(errors.OutOfRange, match="hollow"):
        roller.check_wheel(curve, wheel_radius=1.01 * hollow.value)


@pytest.mark.parametrize(
    ("wrong", "kind"),
    [
        (lambda: flank("cubic"), ValueError),
        (lambda: flank(length=-1), errors.OutOfRange),
        (lambda: flank(ramp_height="0.2 mm"), TypeError),
        (lambda: lobe(lift="0 mm"), errors.OutOfRange),
        (lambda: lobe(lift="1e999 mm"), errors.SweptError),
        (lambda: lobe().at(cam_angle="nan deg"), errors.SweptError),
        (lambda: lobe().at(cam_angle=U.Quantity([0.0, math.inf], "deg")), errors.NotFinite),
        (lambda: lobe().at(cam_angle=10.0), errors.MissingUnit),
        (lambda: lobe().at(cam_angle="3 mm"), errors.WrongDimension),
        (lambda: lobe().at("10 deg"), TypeError),
        (lambda: lobe().at(crank_angle="10 deg"), TypeError),
        (lambda: lobe().cam_duration_at("11 mm"), errors.OutOfRange),
        (lambda: swept.LiftCurve.of_flanks(lift="10 mm", opening="3-4-5"), TypeError),
        (lambda: swept.LiftCurve.of_flanks(lift="10 mm", opening=flank(length=200)), errors.OutOfRange),
        (lambda: swept.LiftCurve.interpolated(cam_angles=["1 deg"], lifts=["1 mm", "2 mm"]), errors.WrongLength),
        (lambda: swept.LiftCurve.interpolated(cam_angles="1 deg", lifts=["1 mm"]), TypeError),
        (lambda: swept.LiftCurve.smoothed(cam_angles=[], lifts=[], deviation="1 um"), errors.WrongLength),
        *(
            (
                lambda e=e: swept.LiftCurve.polynomial(exponents=e, lift="9 mm", cam_half_length="60 deg"),
                errors.SweptError,
            )
            for e in ([], [2, 6, 300], [-2, 4, 6], [6, 4, 2], [2, 10**15, 3])
        ),
        (lambda: swept.FlatFollower(base_radius="0 mm"), errors.OutOfRange),
        (lambda: swept.RollerFollower(base_radius="1 mm", roller_radius="1 mm", offset="9 mm"), errors.OutOfRange),
        (lambda: swept.ValveMotion(lobe(), crank_centreline="106 deg", lash="-1 mm"), errors.OutOfRange),
        (lambda: swept.ValveMotion(lobe(), crank_centreline="106 deg", train=1.5), TypeError),
    ],
)
def test_what_no_lobe_can_be_is_refused(wrong: Any, kind: type[Exception]) -> None:
    with pytest.raises(kind):
        wrong()
