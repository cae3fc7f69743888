"""What a valve leaves open, and how far it stays from piston, walls and the other valve, by brute force."""

from __future__ import annotations

import math
import threading
import time
from typing import Any

import numpy as np
import pint
import pytest

import swept
from swept import errors

U: Any = pint.UnitRegistry()
SLIDER = swept.Cylinder(bore="86 mm", stroke="86 mm", rod_length="143 mm")
TILT = math.radians(14)
HEAD = swept.ValveHead(diameter="35 mm", margin="1.2 mm", tilt="14 deg", offset="-18 mm", height="4 mm")
POCKET = swept.CrownPocket(offset="-17.5 mm", diameter="38 mm", depth="3 mm", floor_angle="14 deg")
CURVE = swept.LiftCurve.polynomial(exponents=[2, 6, 10, 14], lift="10 mm", cam_half_length="70 deg")
MOTION = swept.ValveMotion(CURVE, crank_centreline="106 deg")


def mm(length: Any) -> Any:
    return length.m_as("mm")


def above(pocket: swept.CrownPocket | None = None, valve: swept.ValveHead = HEAD, **more: str) -> swept.PistonToValve:
    return swept.PistonToValve(cylinder=SLIDER, valve=valve, piston_to_head="1.1 mm", pocket=pocket, **more)


# --- breathing


def test_the_area_between_valve_and_seat_is_the_smallest_cone() -> None:
    """Heywood, Internal Combustion Engine Fundamentals (1988), eqs. 6.7 to 6.9 (from memory)."""
    valve = swept.PoppetValve(
        head_diameter="46 mm", seat_width="1.5 mm", seat_angle="45 deg", port_diameter="40 mm", stem_diameter="7 mm"
    )
    lifts = np.array([0.5, 1.2, 2.9, 3.1, 6.0, 9.0, 20.0])
    w, b, d = 1.5, math.pi / 4, 46.0
    foot = np.linspace(0, w, 200001)  # along the seat's radius, from the valve's inner edge
    expected = []
    for lift in lifts:
        slant = np.hypot(foot, lift - foot * math.tan(b))
        cone = np.pi * slant.min() * (d - 2 * w + foot[slant.argmin()])
        expected.append(min(cone, np.pi / 4 * (40**2 - 7**2)))
    found = valve.minimum_area(U.Quantity(lifts, "mm")).m_as("mm^2")
    assert found == pytest.approx(expected, rel=1e-5)
    assert [valve.stage(f"{lift} mm") for lift in lifts[[0, 3, -1]]] == ["seat", "seat edges", "throat"]
    assert valve.end_of_seat_stage is not None and mm(valve.end_of_seat_stage) == pytest.approx(3)
    throat = valve.throat_area.m_as("mm^2")
    assert mm(valve.lift_for_curtain) == pytest.approx(throat / (np.pi * 46))
    assert valve.minimum_area(valve.lift_for_throat).m_as("mm^2") == pytest.approx(throat)
    assert mm(valve.mean_seat_diameter) == pytest.approx(44.5)


def test_the_gas_and_the_runner() -> None:
    assert swept.curtain_area(diameter="46 mm", lift="11.5 mm").m_as("mm^2") == pytest.approx(math.pi * 46 * 11.5)
    speed = swept.mean_gas_speed(mean_piston_speed="17.2 m/s", piston_area="58.1 cm2", valve_area="19.8 cm2")
    assert speed.m_as("m/s") == pytest.approx(17.2 * 58.1 / 19.8)
    sound = swept.speed_of_sound_in_air("15 degC")
    assert sound.m_as("m/s") == pytest.approx(340.294, abs=1e-3)  # ISO 2533:1975, at sea level (from memory)
    index = swept.mach_index(mean_gas_speed=speed, flow_coefficient=0.36, speed_of_sound=sound)
    assert index == pytest.approx(17.2 * 58.1 / 19.8 / 0.36 / 340.294, rel=1e-5)
    areas = {"entry_area": "16 cm2", "exit_area": "22 cm2"}
    x = (np.arange(100000) + 0.5) / 100000
    mean = ((4 + (math.sqrt(22) - 4) * x) ** 2).mean()
    volume = swept.runner_volume(length="310 mm", **areas)
    assert volume.m_as("cm^3") == pytest.approx(31 * mean, rel=1e-8)
    assert mm(swept.runner_length_for(volume=volume, **areas)) == pytest.approx(310)
    trapped = swept.trapped_volume(cylinder=SLIDER, clearance_volume="50 cm3", crank_intake_closing="60 deg")
    assert trapped.m_as("cm^3") == pytest.approx(
        SLIDER.cylinder_volume("240 deg", clearance_volume="50 cm3").m_as("cm^3")
    )


# --- clearance


def brute(crank: float, lift: float, pocket: bool) -> float:
    """Axial clearance in mm: points of the face held against floor or crown under them."""
    q, v = np.meshgrid(np.linspace(-17.5, 17.5, 1401), np.linspace(-17.5, 17.5, 1401))
    on = np.hypot(q, v) <= 17.5
    q, v = q[on], v[on]
    x = -18 + lift * math.sin(TILT) + q * math.cos(TILT)
    z = 4 - lift * math.cos(TILT) + q * math.sin(TILT)
    crown = np.full_like(x, -1.1 - mm(SLIDER.piston_position(f"{crank} deg")))
    floor = crown.copy()
    if pocket:
        # Seen along the cutter's axis, square to the floor.
        across = (x + 17.5) * math.cos(TILT) + (z - crown) * math.sin(TILT)
        inside = np.hypot(across, v) <= 19
        floor = np.where(inside, np.minimum(crown - 3 + (x + 17.5) * math.tan(TILT), crown), crown)
    return float((z - floor).min())


@pytest.mark.parametrize("pocket", [None, POCKET], ids=["flat", "pocket"])
def test_clearance_at_an_angle_is_that_of_all_points_of_the_face(pocket: swept.CrownPocket | None) -> None:
    gap = above(pocket)
    for crank, lift in ((0.0, 2.0), (-12.0, 1.0), (15.0, 6.0), (30.0, 9.5)):
        found = gap.at(crank_angle=f"{crank} deg", lift=f"{lift} mm")
        # With the step of the grid times the slope.
        assert mm(found.axial) == pytest.approx(brute(crank, lift, pocket is not None), abs=0.02)
        position = SLIDER.piston_position(f"{crank} deg")
        assert gap.at_position(position, lift=f"{lift} mm") == found
        if pocket is None:
            assert mm(found.along_stem) == pytest.approx(mm(found.axial) / math.cos(TILT))
            assert found.pocket_wall is None
    seated = gap.at(crank_angle="0 deg", lift="0 mm")
    # The rim's farthest point from the bore axis is the lower edge on the outer side, or the upper edge.
    edges = [18 + 17.5 * math.cos(TILT), 18 + 17.5 * math.cos(TILT) + 1.2 * math.sin(TILT)]
    assert mm(seated.bore_wall) == pytest.approx(43 - max(edges), abs=1e-6)


def test_allowances_and_arrays() -> None:
    plain, less = above(POCKET), above(POCKET, rod_stretch="0.1 mm", bearing_and_rock="0.2 mm", thermal="0.05 mm")
    angles = U.Quantity(np.linspace(-40.0, 40.0, 9), "deg")
    for gap in (plain, less):
        axial, stem = gap.clearances(crank_angle=angles, motion=MOTION)
        for i, crank in enumerate(angles.magnitude):
            one = gap.at(crank_angle=f"{crank} deg", lift=MOTION.at(crank_angle=f"{crank} deg").lift)
            assert axial[i].magnitude == pytest.approx(one.axial.magnitude, rel=1e-12)
            assert stem[i].magnitude == pytest.approx(one.along_stem.magnitude, rel=1e-12)
    difference = (
        plain.clearances(crank_angle="0 deg", motion=MOTION)[0] - less.clearances(crank_angle="0 deg", motion=MOTION)[0]
    )
    assert mm(difference) == pytest.approx(0.35) and mm(less.allowances) == pytest.approx(0.35)
    lifts = U.Quantity([0.0, 5.0, 10.0], "mm")
    assert mm(plain.bore_wall(lifts)) == pytest.approx(
        [mm(plain.at_position("0 mm", lift=f"{lift} mm").bore_wall) for lift in (0, 5, 10)]
    )


@pytest.mark.parametrize("along", ["cylinder axis", "stem"])
def test_the_least_clearance_is_the_least_of_every_angle(along: Any) -> None:
    gap = above(POCKET)
    found = gap.least(MOTION, along=along)
    every = gap.least(MOTION, along=along, every_angle=True)
    assert (found.clearance, found.crank_angle, found.lift) == (every.clearance, every.crank_angle, every.lift)
    assert found.evaluations < every.evaluations / 5
    angles = U.Quantity(np.arange(-1800, 1801) / 10, "deg")
    series = mm(gap.clearances(crank_angle=angles, motion=MOTION)[("cylinder axis", "stem").index(along)])
    assert mm(found.clearance) == pytest.approx(series.min(), abs=1e-9)
    assert found.crank_angle.m_as("deg") == pytest.approx(angles.magnitude[series.argmin()])


def test_advance_takes_clearance_and_depth_gives_it() -> None:
    gap, advances = above(POCKET), np.arange(-10.0, 11.0, 2.0)
    least = gap.least_at_advances(MOTION, crank_advances=U.Quantity(advances, "deg"))
    clearances = [mm(one.clearance) for one in least]
    assert clearances == sorted(clearances, reverse=True)
    assert least[5] == gap.least(MOTION)
    assert least[7].clearance == gap.least(MOTION.advanced(crank_angle="4 deg")).clearance
    needed = f"{clearances[7]!r} mm"
    limits = gap.advance_limits(MOTION, needed=needed, crank_low="-20 deg", crank_high="20 deg")
    assert limits.crank_greatest.m_as("deg") == pytest.approx(4, abs=0.01)
    assert limits.crank_least.m_as("deg") == pytest.approx(-20) and limits.unbroken is True
    with pytest.raises(errors.NoSolution):
        gap.advance_limits(MOTION, needed="40 mm", crank_low="-2 deg", crank_high="2 deg", per_turn=72)
    wanted = f"{clearances[5] + 0.4!r} mm"
    deeper = above(POCKET.with_depth(gap.pocket_depth(MOTION, needed=wanted)))
    assert mm(deeper.least(MOTION).clearance) == pytest.approx(clearances[5] + 0.4, abs=1e-6)
    with pytest.raises(errors.MissingKey):
        above().pocket_depth(MOTION, needed="1 mm")


def test_walls() -> None:
    gap = above(POCKET)
    wall = gap.least_bore_wall(MOTION)
    angles = np.arange(-1800, 1801) / 10
    lifts = MOTION.at(crank_angle=U.Quantity(angles, "deg")).lift
    assert wall is not None and mm(wall.clearance) == pytest.approx(mm(gap.bore_wall(lifts)).min())
    assert above().least_pocket_wall(MOTION) is None
    low = swept.ValveHead(diameter="35 mm", margin="1.2 mm", tilt="14 deg", offset="-18 mm", height="-1 mm")
    near = above(POCKET, low).least_pocket_wall(MOTION)
    assert near is not None
    there = above(POCKET, low).at(crank_angle=near.crank_angle, lift=near.lift)
    assert there.pocket_wall is not None and mm(there.pocket_wall) == pytest.approx(mm(near.clearance), abs=1e-9)


def test_two_heads_in_line_and_apart() -> None:
    def upright(offset: float, margin: str = "1 mm") -> swept.ValveHead:
        return swept.ValveHead(diameter="30 mm", margin=margin, tilt="0 deg", offset=f"{offset} mm", height="0 mm")

    side = swept.ValvePair(upright(-16), upright(16), turned="0 deg")
    distance, proved = side.distance(first_lift="4 mm", second_lift="4 mm")
    assert mm(distance) == pytest.approx(2) and mm(proved) == pytest.approx(2)
    stepped = side.distance(first_lift="9 mm", second_lift="4 mm")[0]
    assert mm(stepped) == pytest.approx(math.hypot(2, 5 - 1))
    vee = swept.ValvePair(HEAD, HEAD, turned="180 deg")
    assert mm(vee.distance(first_lift="10 mm", second_lift="10 mm")[0]) == 0  # they meet
    exhaust = swept.ValveMotion(CURVE, crank_centreline="-106 deg")
    least = vee.least(first=MOTION, second=exhaust, per_turn=720)
    assert least is not None
    again, bound = vee.distance(first_lift=least.first_lift, second_lift=least.second_lift)
    assert mm(again) == pytest.approx(mm(least.distance), rel=1e-9) and mm(bound) == pytest.approx(mm(least.at_least))
    assert 0 < mm(least.at_least) <= mm(least.distance)
    assert vee.least(first=MOTION, second=swept.ValveMotion(CURVE, crank_centreline="-250 deg")) is None


def test_other_threads_run_during_a_search() -> None:
    gap, took = above(POCKET), []

    def look() -> None:
        start = time.perf_counter()
        advances = U.Quantity(np.linspace(-170.0, 170.0, 3000), "deg")
        gap.least_at_advances(MOTION, crank_advances=advances, per_turn=36000)
        took.append(time.perf_counter() - start)

    thread = threading.Thread(target=look)
    thread.start()
    longest, last = 0.0, time.perf_counter()
    while not took:
        now = time.perf_counter()
        longest, last = max(longest, now - last), now
    thread.join()
    # A search that kept the lock would hold this thread up for all its time.
    assert longest < took[0] / 2


HUGE = swept.ValveHead(diameter="90 mm", margin="1 mm", tilt="0 deg", offset="0 mm", height="0 mm")


@pytest.mark.parametrize(
    ("wrong", "kind"),
    [
        (lambda: above(valve=HUGE), errors.OutOfRange),
        (lambda: above("pocket"), TypeError),  # type: ignore[arg-type]
        (lambda: above(rod_stretch="-0.1 mm"), errors.OutOfRange),
        (lambda: above().at(crank_angle="0 deg", lift="-1 mm"), errors.OutOfRange),
        (lambda: above().at(crank_angle=0, lift="1 mm"), errors.MissingUnit),
        (lambda: above().at("0 deg", lift="1 mm"), TypeError),
        (lambda: above().least(MOTION, along="across"), ValueError),
        *((lambda n=n: above().least(MOTION, per_turn=n), errors.OutOfRange) for n in (-2, 0, 71, 73, 36002, 10**15)),
        (lambda: above().least(CURVE), TypeError),
        (lambda: above().least_at_advances(MOTION, crank_advances="4 deg"), TypeError),
        (lambda: above().least_at_advances(MOTION, crank_advances=["4 deg", "4 mm"]), errors.WrongDimension),
        (
            lambda: above().advance_limits(MOTION, needed="1 mm", crank_low="2 deg", crank_high="-2 deg"),
            errors.OutOfRange,
        ),
        (lambda: POCKET.with_depth("-1 mm"), errors.OutOfRange),
        (
            lambda: swept.CrownPocket(offset="0 mm", diameter="38 mm", depth="3 mm", floor_angle="80 deg"),
            errors.OutOfRange,
        ),
        (lambda: swept.ValvePair(HEAD, HEAD, turned="nan deg"), errors.SweptError),
        (lambda: swept.speed_of_sound_in_air("-300 degC"), errors.OutOfRange),
        (
            lambda: swept.mach_index(mean_gas_speed="60 m/s", flow_coefficient=1.2, speed_of_sound="340 m/s"),
            errors.OutOfRange,
        ),
        (lambda: swept.curtain_area(diameter="46 mm", lift="11 mm2"), errors.WrongDimension),
    ],
)
def test_what_no_valve_can_do_is_refused(wrong: Any, kind: type[Exception]) -> None:
    with pytest.raises(kind):
        wrong()


def test_heads_and_pockets_are_written_as_they_are_made() -> None:
    names = {name: getattr(swept, name) for name in ("ValveHead", "CrownPocket")}
    assert eval(repr(HEAD), names) == HEAD and eval(repr(POCKET), names) == POCKET
    gap = above(POCKET)
    assert gap.valve == HEAD and gap.pocket == POCKET and gap.cylinder == SLIDER and gap == above(POCKET) != above()
    assert mm(gap.piston_to_head) == pytest.approx(1.1)
