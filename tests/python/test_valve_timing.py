"""Timing of valves and cams, what shifts it, and degree-wheel readings, against the trade's arithmetic and numpy."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pint
import pytest

import swept
from swept import errors


def deg(angle: Any) -> float:
    return float(angle.m_as("deg"))


def lobe(centreline: float, duration: float, lift: str = "1 mm") -> swept.ValveTiming:
    return swept.ValveTiming.symmetrical(
        crank_centreline=f"{centreline} deg", crank_duration=f"{duration} deg", lift=lift
    )


# --- events


def test_events_and_centreline_are_each_other() -> None:
    events = swept.ValveEvents("intake", crank_opening_before="12 deg", crank_closing_after="40 deg")
    assert str(events) == "intake opens 12.00 deg before TDC, closes 40.00 deg after BDC"
    assert deg(events.crank_duration) == pytest.approx(12 + 180 + 40)
    timing = swept.ValveTiming.from_events(events, lift="0.050 in")
    assert deg(timing.crank_centreline) == pytest.approx(232 / 2 - 12)
    assert (deg(timing.crank_opening), deg(timing.crank_closing)) == pytest.approx((-12, 220))
    assert timing.kind == "intake" and timing.lift.m_as("mm") == pytest.approx(1.27)
    assert deg(timing.events.crank_opening_before) == pytest.approx(12)


def test_an_exhaust_valve_is_before_overlap_top_dead_centre() -> None:
    events = swept.ValveEvents("exhaust", crank_opening_before="52 deg", crank_closing_after="8 deg")
    timing = swept.ValveTiming.from_events(events, lift="1 mm")
    assert deg(timing.crank_centreline) == pytest.approx(-112) and timing.kind == "exhaust"
    leaning = swept.ValveTiming.from_events_and_centreline(events, crank_centreline="-115 deg", lift="1 mm")
    assert (deg(leaning.crank_opening_flank), deg(leaning.crank_closing_flank)) == pytest.approx((117, 123))
    assert deg(leaning.crank_duration) == pytest.approx(deg(timing.crank_duration))


def test_a_cam_moved_is_earlier_by_the_crank_angle() -> None:
    ground = swept.CamTiming(intake=lobe(110, 230), exhaust=lobe(-110, 236))
    assert deg(ground.cam_separation) == pytest.approx(110) and deg(ground.crank_advance) == pytest.approx(0)
    installed = ground.advanced(crank_angle="4 deg")
    assert deg(installed.crank_advance) == pytest.approx(4)
    assert deg(installed.crank_advance_over(ground)) == pytest.approx(4)
    assert deg(installed.intake.crank_advance_over(ground.intake)) == pytest.approx(4)
    assert deg(installed.crank_overlap) == pytest.approx(deg(ground.crank_overlap)) == pytest.approx(115 + 118 - 220)
    separated = swept.CamTiming.from_separation(
        cam_separation="110 deg",
        crank_advance="4 deg",
        crank_intake_duration="230 deg",
        crank_exhaust_duration="236 deg",
        lift="1 mm",
    )
    assert deg(separated.intake.crank_centreline) == pytest.approx(106)
    assert deg(separated.exhaust.crank_centreline) == pytest.approx(-114)


def test_the_area_of_overlap_is_that_under_the_lesser_lift() -> None:
    curve = swept.LiftCurve.polynomial(exponents=[2, 6, 10, 14], lift="10 mm", cam_half_length="70 deg")
    cam = swept.CamTiming(intake=lobe(104, 260), exhaust=lobe(-108, 264))
    motions = {"intake": 104, "exhaust": -108}
    moved = {name: swept.ValveMotion(curve, crank_centreline=f"{at} deg") for name, at in motions.items()}
    angles = np.linspace(deg(cam.intake.crank_opening), deg(cam.exhaust.crank_closing), 20001)
    lifts = [m.at(crank_angle=pint.UnitRegistry().Quantity(angles, "deg")).lift.m_as("mm") for m in moved.values()]
    expected = np.trapezoid(np.minimum(*lifts), angles)
    found = cam.overlap_area(intake=moved["intake"], exhaust=moved["exhaust"])
    assert found.m_as("mm degree") == pytest.approx(expected, rel=1e-5) and expected > 0
    apart = swept.CamTiming(intake=lobe(120, 200), exhaust=lobe(-120, 200))
    assert apart.overlap_area(intake=moved["intake"], exhaust=moved["exhaust"]).m_as("mm degree") == 0


@pytest.mark.parametrize(
    ("wrong", "kind"),
    [
        (lambda: lobe(0, 240), errors.OutOfRange),
        (lambda: lobe(106, -1), errors.OutOfRange),
        (lambda: lobe(106, 721), errors.OutOfRange),
        (lambda: lobe(106, 240, "-1 mm"), errors.OutOfRange),
        (lambda: lobe(106, 240, "1 deg"), errors.WrongDimension),
        (lambda: lobe(106, 240, "1"), errors.MissingUnit),
        (lambda: lobe(float("nan"), 240), errors.SweptError),
        (lambda: lobe(106, 240).advanced(crank_angle=4), errors.MissingUnit),
        (lambda: lobe(106, 240).advanced(crank_angle="110 deg"), errors.OutOfRange),
        (lambda: swept.CamTiming(intake=lobe(-106, 240), exhaust=lobe(-106, 240)), errors.OutOfRange),
        (lambda: swept.CamTiming(intake=lobe(106, 240), exhaust=lobe(-106, 240, "2 mm")), errors.OutOfRange),
        (lambda: swept.ValveEvents("inlet", crank_opening_before="1 deg", crank_closing_after="1 deg"), ValueError),
        (lambda: swept.CamTiming(intake=None, exhaust=None), TypeError),
        (lambda: lobe(106, 240).advanced("4 deg"), TypeError),
    ],
)
def test_what_no_timing_can_be_is_refused(wrong: Any, kind: type[Exception]) -> None:
    with pytest.raises(kind):
        wrong()


def test_values_are_equal_frozen_and_written() -> None:
    assert lobe(106, 240) == lobe(106, 240) != lobe(106, 241)
    assert lobe(106, 240) != "timing"
    with pytest.raises(AttributeError):
        lobe(106, 240).lift = "2 mm"
    shown = repr(lobe(106, 240))
    assert shown.startswith('ValveTiming(crank_centreline="106 deg", crank_opening_flank="120 deg"')
    assert eval(shown.replace("ValveTiming(", "swept.ValveTiming.asymmetrical(")) == lobe(106, 240)
    with swept.display("inch"):
        assert repr(lobe(106, 240, "0.05 in")).endswith('lift="0.05 in")')


# --- what shifts the phase


@pytest.mark.parametrize(
    ("part", "expected"),
    [
        ("cam key", 2 * math.asin(0.5 / 14)),
        ("cam bush", 4 * math.asin(0.5 / 28)),
        ("crank key", math.asin(0.5 / 14)),
    ],
)
def test_an_offset_part_turns_the_cam(part: Any, expected: float) -> None:
    found = swept.crank_advance_of_offset(part, offset="0.5 mm", radius="14 mm")
    assert found.m_as("rad") == pytest.approx(expected)
    back = swept.offset_for_advance(part, crank_advance=found, radius="14 mm")
    assert back.m_as("mm") == pytest.approx(0.5)
    with pytest.raises(errors.NoSolution):
        swept.offset_for_advance(part, crank_advance="800 deg", radius="14 mm")


def test_a_chain_lags_with_stretch_and_with_a_milled_head() -> None:
    assert swept.sprocket_pitch_radius(pitch="9.525 mm", teeth=4).m_as("mm") == pytest.approx(9.525 / math.sqrt(2))
    drive = swept.ChainDrive(crank_radius="30 mm", cam_radius="60 mm", centre_distance="300 mm")
    assert drive.tight_span.m_as("mm") == pytest.approx(math.sqrt(300**2 - 30**2))
    assert drive.crank_advance_from_stretch("0.6 mm").m_as("rad") == pytest.approx(-2 * 0.6 / 60)
    small = drive.crank_advance_from_centre_distance("-0.01 mm").m_as("rad")
    assert small == pytest.approx(-2 * 0.01 / 60 * math.sqrt(1 - 0.1**2), rel=1e-5)
    for teeth in (2, -1, 10**12):
        if teeth < 3:
            with pytest.raises(errors.OutOfRange, match="teeth"):
                swept.sprocket_pitch_radius(pitch="9.525 mm", teeth=teeth)
    with pytest.raises(errors.OutOfRange):
        swept.ChainDrive(crank_radius="30 mm", cam_radius="60 mm", centre_distance="80 mm")
    with pytest.raises(ValueError, match="cam key"):
        swept.crank_advance_of_offset("key", offset="1 mm", radius="14 mm")  # type: ignore[arg-type]


# --- degree wheel

LIFTS = np.array([1.0, 2.0, 4.0, 7.0])
# Midpoints that drift, with some scatter, and durations that shrink.
OPENINGS = np.array([-10.2, 8.1, 35.4, 68.3])
CLOSINGS = np.array([225.1, 206.2, 178.0, 143.6])


def wheel(**given: Any) -> swept.WheelFit:
    u: Any = pint.UnitRegistry()
    return swept.fit_wheel(
        lifts=u.Quantity(LIFTS, "mm"),
        crank_openings=u.Quantity(OPENINGS, "deg"),
        crank_closings=u.Quantity(CLOSINGS, "deg"),
        **given,
    )


def test_top_dead_centre_by_a_positive_stop() -> None:
    zero = swept.WheelZero.from_positive_stop(
        crank_before="-38.5 deg", crank_after="41.5 deg", standard_uncertainty="0.2 deg"
    )
    assert deg(zero.crank_offset) == pytest.approx(1.5)
    assert deg(zero.standard_uncertainty) == pytest.approx(0.2 / math.sqrt(2))
    shifted = wheel(uncertainty="0.5 deg", zero=zero)
    assert deg(shifted.crank_centreline) == pytest.approx(deg(wheel(uncertainty="0.5 deg").crank_centreline) - 1.5)


@pytest.mark.parametrize("against", ["half duration", "lift to nose", "lift"])
def test_the_centreline_is_that_of_numpys_weighted_line(against: Any) -> None:
    own = np.array([0.2, 0.3, 0.4, 0.6])
    u: Any = pint.UnitRegistry()
    nose = {"nose_lift": "9 mm"} if against == "lift to nose" else {}
    each: Any = {"opening_uncertainties": u.Quantity(own, "deg"), "closing_uncertainties": u.Quantity(own, "deg")}
    fit = wheel(against=against, **nose, **each)
    x = (CLOSINGS - OPENINGS) / 2 if against == "half duration" else LIFTS
    sigma = own / math.sqrt(2)
    (slope, start), covariance = np.polyfit(x, (OPENINGS + CLOSINGS) / 2, 1, w=1 / sigma, cov="unscaled")
    at = {"half duration": 0.0, "lift to nose": 9.0, "lift": np.average(x, weights=1 / sigma**2)}[against]
    assert deg(fit.crank_centreline) == pytest.approx(start + slope * at)
    chi2 = (((OPENINGS + CLOSINGS) / 2 - start - slope * x) ** 2 / sigma**2).sum() / (len(x) - 2)
    larger = max(1.0, math.sqrt(chi2))
    expected = math.sqrt(np.array([at, 1.0]) @ covariance @ np.array([at, 1.0])) * larger
    assert deg(fit.crank_centreline_uncertainty) == pytest.approx(expected)
    assert fit.scatter_ratio == pytest.approx(math.sqrt(chi2))
    assert fit.asymmetry is not None
    scale = 1.0 if against == "half duration" else math.radians(1) * 1000  # deg per mm in rad per m
    assert fit.asymmetry[0] == pytest.approx(slope * scale)
    middles = [deg(lift.crank_midpoint) for lift in fit.lifts]
    assert deg(fit.crank_midpoint_spread) == pytest.approx(max(middles) - min(middles))


def test_one_lift_and_no_statement_still_give_a_centreline() -> None:
    one = swept.fit_wheel(lifts=["1 mm"], crank_openings=["-6 deg"], crank_closings=["218 deg"], uncertainty="0.2 deg")
    assert deg(one.crank_centreline) == pytest.approx(106) and one.asymmetry is None and one.scatter_ratio is None
    assert one.uncertainty_from == "stated"
    assert wheel(uncertainty="0 deg").uncertainty_from == "scatter"


@pytest.mark.parametrize(
    ("given", "kind"),
    [
        ({}, TypeError),
        ({"uncertainty": "0.2 deg", "opening_uncertainties": ["0.2 deg"]}, TypeError),
        ({"uncertainty": "0.2 deg", "against": "nose"}, ValueError),
        ({"uncertainty": "0.2 deg", "against": "lift to nose"}, TypeError),
        ({"uncertainty": "0.2 deg", "nose_lift": "9 mm"}, TypeError),
        ({"uncertainty": "0.2 deg", "against": "lift to nose", "nose_lift": "5 mm"}, errors.OutOfRange),
        ({"uncertainty": "-0.2 deg"}, errors.OutOfRange),
        ({"opening_uncertainties": ["0.2 deg"], "closing_uncertainties": ["0.2 deg"]}, errors.WrongLength),
    ],
)
def test_a_wheel_that_says_too_little_or_too_much_is_refused(given: Any, kind: type[Exception]) -> None:
    with pytest.raises(kind):
        wheel(**given)
