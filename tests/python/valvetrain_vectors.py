"""How Python calls the functions of the valve train that the vectors name."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from c_calls import Inputs

import swept


def q(i: Inputs, unit: str, *names: str) -> dict[str, Any]:
    """Quantities as texts that read back to the same bits."""
    return {name: f"{i[name]!r} {unit}" for name in names}


def one(i: Inputs, unit: str, name: str) -> str:
    return f"{i[name]!r} {unit}"


def several(i: Inputs, unit: str, name: str) -> list[str]:
    return [f"{value!r} {unit}" for value in i[name]]


def fields(of: Any, **names: str) -> dict[str, Any]:
    """Attributes by the names of C's outputs."""
    return {output: getattr(of, name) for output, name in names.items()}


def same(of: Any, *names: str) -> dict[str, Any]:
    return {name: getattr(of, name) for name in names}


# --- timing


def events(i: Inputs) -> swept.ValveEvents:
    opening, closing = one(i, "rad", "opening"), one(i, "rad", "closing")
    return swept.ValveEvents(i["kind"], crank_opening_before=opening, crank_closing_after=closing)


def timing(i: Inputs, valve: str = "") -> swept.ValveTiming:
    return swept.ValveTiming.asymmetrical(
        crank_centreline=one(i, "rad", f"{valve}centreline"),
        crank_opening_flank=one(i, "rad", f"{valve}opening_flank"),
        crank_closing_flank=one(i, "rad", f"{valve}closing_flank"),
        lift=one(i, "m", "lift"),
    )


def cam_timing(i: Inputs) -> swept.CamTiming:
    return swept.CamTiming(intake=timing(i, "intake_"), exhaust=timing(i, "exhaust_"))


def separated(i: Inputs) -> dict[str, Any]:
    found = swept.CamTiming.from_separation(
        cam_separation=one(i, "rad", "separation"),
        crank_advance=one(i, "rad", "advance"),
        crank_intake_duration=one(i, "rad", "intake_duration"),
        crank_exhaust_duration=one(i, "rad", "exhaust_duration"),
        lift=one(i, "m", "lift"),
    )
    return {f"{valve}_centreline": getattr(found, valve).crank_centreline for valve in ("intake", "exhaust")}


def overlap_area(i: Inputs) -> Any:
    cam = cam_timing(i)
    intake, exhaust = (motion(i, f"{valve}_centreline") for valve in ("intake", "exhaust"))
    return cam.overlap_area(intake=intake, exhaust=exhaust)


def drive(i: Inputs) -> swept.ChainDrive:
    return swept.ChainDrive(**q(i, "m", "crank_radius", "cam_radius", "centre_distance"))


def stop(i: Inputs) -> dict[str, Any]:
    found = swept.WheelZero.from_positive_stop(
        crank_before=one(i, "rad", "before"),
        crank_after=one(i, "rad", "after"),
        **q(i, "rad", "standard_uncertainty"),
    )
    return fields(found, offset="crank_offset", standard_uncertainty="standard_uncertainty")


def wheel(i: Inputs) -> dict[str, Any]:
    zero = swept.WheelZero(
        crank_offset=one(i, "rad", "zero_offset"), standard_uncertainty=one(i, "rad", "zero_standard_uncertainty")
    )
    nose = q(i, "m", "nose_lift") if i["against"] == "lift to nose" else {}
    found = swept.fit_wheel(
        lifts=several(i, "m", "lifts"),
        crank_openings=several(i, "rad", "openings"),
        crank_closings=several(i, "rad", "closings"),
        uncertainty=one(i, "rad", "uncertainty"),
        zero=zero,
        against=i["against"],
        **nose,
    )
    names = {"centreline": "crank_centreline", "centreline_uncertainty": "crank_centreline_uncertainty"}
    return fields(found, **names) | {"asymmetry": found.asymmetry and found.asymmetry[0]}


# --- lift and followers


def flank(i: Inputs, length: str) -> swept.Flank:
    ramp = {}
    if "ramp_height" in i:
        ramp = {"ramp_height": one(i, "m", "ramp_height"), "cam_ramp_length": one(i, "rad", "ramp_length")}
    return swept.Flank(i["programme"], cam_length=one(i, "rad", length), **ramp)


def table(i: Inputs) -> swept.MeasuredLift:
    return swept.LiftCurve.interpolated(cam_angles=several(i, "rad", "angles"), lifts=several(i, "m", "lifts"))


def curve(i: Inputs) -> swept.LiftCurve:
    if "exponents" in i:
        exponents, half = [int(e) for e in i["exponents"]], one(i, "rad", "half_length")
        return swept.LiftCurve.polynomial(exponents=exponents, lift=one(i, "m", "lobe_lift"), cam_half_length=half)
    if "angles" in i:
        return table(i).curve
    return swept.LiftCurve.of_flanks(
        lift=one(i, "m", "lobe_lift"),
        opening=flank(i, "opening_length"),
        closing=flank(i, "closing_length"),
        cam_dwell=one(i, "rad", "dwell"),
    )


def extremes(i: Inputs) -> dict[str, Any]:
    found = curve(i).extremes
    return {name: getattr(found, name).value for name in ("greatest_velocity", "least_acceleration")}


def given_lift(i: Inputs) -> swept.Lift:
    return swept.Lift(**q(i, "m", "lift", "velocity", "acceleration", "jerk"))


def of_lift(lift: swept.Lift) -> dict[str, Any]:
    return same(lift, "lift", "velocity", "acceleration", "jerk")


def flat(i: Inputs) -> swept.FlatFollower:
    return swept.FlatFollower(**q(i, "m", "base_radius"))


def flat_at(i: Inputs) -> dict[str, Any]:
    follower, lift = flat(i), given_lift(i)
    x, y = follower.profile(lift, cam_angle=one(i, "rad", "angle"))
    return {"radius_of_curvature": follower.radius_of_curvature(lift), "contact": follower.contact(lift)} | {
        "x": x,
        "y": y,
    }


def roller(i: Inputs) -> swept.RollerFollower:
    return swept.RollerFollower(**q(i, "m", "base_radius", "roller_radius", "offset"))


def roller_at(i: Inputs) -> dict[str, Any]:
    follower, lift = roller(i), given_lift(i)
    x, y = follower.profile(lift, cam_angle=one(i, "rad", "angle"))
    names = ("pressure_angle", "pitch_radius_of_curvature", "radius_of_curvature")
    return {name: getattr(follower, name)(lift) for name in names} | {"x": x, "y": y}


def extreme(found: Any) -> dict[str, Any]:
    return fields(found, angle="cam_angle", value="value")


def face(i: Inputs) -> dict[str, Any]:
    found = flat(i).face(curve(i))
    return {"opening": found.opening.value, "closing": found.closing.value}


# --- rocker, train, springs


def rocker(i: Inputs) -> swept.Rocker:
    arm = swept.RockerArm(**q(i, "m", "tip_arm", "tip_radius", "cup_arm"), **q(i, "rad", "included"))
    seat = swept.LifterSeat(x=one(i, "m", "lifter_x"), y=one(i, "m", "lifter_y"), lean=one(i, "rad", "lifter_lean"))
    return swept.Rocker(arm, **q(i, "m", "stem", "height"), lifter=seat)


def train(i: Inputs) -> swept.Train:
    return swept.Train.ratio(i["ratio"])


def motion(i: Inputs, centreline: str = "centreline") -> swept.ValveMotion:
    nose = one(i, "rad", centreline)
    return swept.ValveMotion(curve(i), crank_centreline=nose, train=train(i), **q(i, "m", "lash"))


def readings(i: Inputs) -> dict[str, Any]:
    pairs = {n: (one(i, "m", f"{n}_height"), one(i, "N", f"{n}_load")) for n in ("first", "second")}
    return {name: pairs[name] for name in ("first", "second")}


def spring(i: Inputs) -> swept.ValveSpring:
    return swept.ValveSpring(**q(i, "N/m", "rate"), **q(i, "m", "height", "solid_height"), **q(i, "N", "load"))


def springs(i: Inputs) -> swept.SpringSet:
    names = ("rate", "height", "load", "solid_height", "installed_height")
    rows = [dict(zip(names, row, strict=True)) for row in zip(*(i[name] for name in names), strict=True)]
    return swept.SpringSet(
        [swept.InstalledSpring(spring(row), height=one(row, "m", "installed_height")) for row in rows]
    )


def helical(i: Inputs) -> swept.HelicalSpring:
    coils = {name: i[name] for name in ("active_coils", "total_coils")}
    return swept.HelicalSpring(**q(i, "m", "wire", "mean_diameter"), **coils)


def control(i: Inputs) -> swept.SpringControl:
    return swept.SpringControl(springs(i), **q(i, "kg", "effective_mass"))


def float_speed(i: Inputs) -> dict[str, Any]:
    found = control(i).float_speed(curve(i), train=train(i), **q(i, "m", "lash"))
    return fields(found, crank="crank_speed", angle="cam_angle")


def forces(i: Inputs) -> dict[str, Any]:
    found = control(i).forces(given_lift(i), crank_speed=one(i, "rad/s", "crank"))
    return dict(zip(("available", "needed", "margin", "contact"), found, strict=True))


# --- breathing and clearance to the piston


def poppet(i: Inputs) -> swept.PoppetValve:
    lengths = q(i, "m", "head_diameter", "seat_width", "port_diameter", "stem_diameter")
    return swept.PoppetValve(**lengths, **q(i, "rad", "seat_angle"))


def head(i: Inputs, valve: str, diameter: str = "diameter", margin: str | None = None) -> swept.ValveHead:
    return swept.ValveHead(
        diameter=one(i, "m", f"{valve}_{diameter}"),
        margin=one(i, "m", margin or f"{valve}_margin"),
        tilt=one(i, "rad", "tilt" if margin else f"{valve}_tilt"),
        offset=one(i, "m", f"{valve}_offset"),
        sideways=one(i, "m", f"{valve}_sideways"),
        height=one(i, "m", f"{valve}_height"),
    )


def pair(i: Inputs) -> swept.ValvePair:
    return swept.ValvePair(head(i, "first"), head(i, "second"), **q(i, "rad", "turned"))


def cylinder(i: Inputs) -> swept.Cylinder:
    return swept.Cylinder(**q(i, "m", "bore", "stroke", "rod_length", "pin_offset"))


def gap(i: Inputs) -> swept.PistonToValve:
    pocket = None
    if "pocket_depth" in i:
        names = ("offset", "sideways", "diameter", "depth")
        lengths = {name: one(i, "m", f"pocket_{name}") for name in names}
        pocket = swept.CrownPocket(**lengths, **q(i, "rad", "floor_angle"))
    return swept.PistonToValve(
        cylinder=cylinder(i),
        valve=head(i, "head", margin="margin"),
        pocket=pocket,
        **q(i, "m", "piston_to_head", "rod_stretch", "bearing_and_rock", "thermal"),
    )


def search(i: Inputs) -> dict[str, Any]:
    return {"along": i["along"], "per_turn": int(i["per_turn"])}


def least(i: Inputs) -> dict[str, Any]:
    return fields(gap(i).least(motion(i), **search(i)), clearance="clearance", crank="crank_angle")


def limits(i: Inputs) -> dict[str, Any]:
    low, high = one(i, "rad", "low"), one(i, "rad", "high")
    found = gap(i).advance_limits(motion(i), crank_low=low, crank_high=high, **q(i, "m", "needed"), **search(i))
    return fields(found, least="crank_least", greatest="crank_greatest")


def at_once(i: Inputs) -> dict[str, Any]:
    found = gap(i).at(crank_angle=one(i, "rad", "crank"), **q(i, "m", "lift"))
    return same(found, "axial", "along_stem", "bore_wall")


VALVETRAIN: dict[str, Callable[[Inputs], Any]] = {
    "valve_timing_from_events": lambda i: fields(
        swept.ValveTiming.from_events(events(i), **q(i, "m", "lift")), centreline="crank_centreline"
    ),
    "valve_events_duration": lambda i: events(i).crank_duration,
    "valve_timing_events": lambda i: fields(
        timing(i).events, opening="crank_opening_before", closing="crank_closing_after"
    ),
    "cam_timing_from_separation": separated,
    "cam_timing_figures": lambda i: fields(
        cam_timing(i), separation="cam_separation", advance="crank_advance", overlap="crank_overlap"
    ),
    "overlap_area": overlap_area,
    "offset_part_advance": lambda i: swept.crank_advance_of_offset(i["part"], **q(i, "m", "offset", "radius")),
    "sprocket_pitch_radius": lambda i: swept.sprocket_pitch_radius(**q(i, "m", "pitch"), teeth=int(i["teeth"])),
    "chain_drive_advance_from_stretch": lambda i: drive(i).crank_advance_from_stretch(one(i, "m", "elongation")),
    "chain_drive_advance_from_centre_distance": lambda i: drive(i).crank_advance_from_centre_distance(
        one(i, "m", "change")
    ),
    "wheel_zero_from_positive_stop": stop,
    "fit_wheel": wheel,
    "lift_curve_at": lambda i: of_lift(curve(i).at(cam_angle=one(i, "rad", "angle"))),
    "lift_curve_area": lambda i: curve(i).area,
    "lift_curve_duration_at": lambda i: curve(i).cam_duration_at(one(i, "m", "lift")),
    "lift_curve_extremes": extremes,
    "lift_curve_interpolated": lambda i: fields(table(i), nose="cam_nose", peak_lost="peak_lost"),
    "flat_follower_at": flat_at,
    "flat_least_radius_of_curvature": lambda i: extreme(flat(i).least_radius_of_curvature(curve(i))),
    "flat_face": face,
    "roller_follower_at": roller_at,
    "roller_greatest_pressure_angle": lambda i: extreme(roller(i).greatest_pressure_angle(curve(i))),
    "roller_least_radius_of_curvature": lambda i: extreme(roller(i).least_radius_of_curvature(curve(i))),
    "rocker_pushrod_length": lambda i: rocker(i).pushrod_length,
    "rocker_valve_lift": lambda i: rocker(i).valve_lift(one(i, "m", "lifter")),
    "rocker_derivatives": lambda i: same(rocker(i).derivatives(one(i, "m", "lifter")), "first", "second", "third"),
    "rocker_sweep": lambda i: same(rocker(i).sweep(one(i, "m", "valve")), "seated", "open", "inner", "outer"),
    "train_valve_with_lash": lambda i: of_lift(train(i).valve(given_lift(i), **q(i, "m", "lash"))),
    "hot_lash": lambda i: swept.hot_lash(**q(i, "m", "cold", "engine", "pushrod", "head", "valve"), ratio=i["ratio"]),
    "spring_rate_from_readings": lambda i: swept.rate_from_readings(**readings(i)),
    "spring_free_height": lambda i: spring(i).free_height,
    "spring_load_at": lambda i: spring(i).load_at(one(i, "m", "at_height")),
    "springs_together": lambda i: same(springs(i), "rate", "seat_load", "lift_to_bind"),
    "springs_load": lambda i: springs(i).load(one(i, "m", "lift")),
    "springs_coil_bind_margin": lambda i: springs(i).coil_bind_margin(one(i, "m", "lift")),
    "helical_spring_rate": lambda i: helical(i).rate(**q(i, "Pa", "shear_modulus")),
    "helical_spring_figures": lambda i: same(helical(i), "wahl_factor", "bergstraesser_factor", "solid_height"),
    "helical_spring_active_mass": lambda i: helical(i).active_mass(density=i["density"]),
    "surge_frequency": lambda i: swept.surge_frequency(**q(i, "N/m", "rate"), **q(i, "kg", "active_mass")),
    "harmonic_frequency_ratio": lambda i: swept.harmonic_frequency_ratio(
        **q(i, "Hz", "frequency"), crank_speed=one(i, "rad/s", "crank"), harmonic=int(i["harmonic"])
    ),
    "train_effective_mass": lambda i: (
        swept.TrainMasses(
            **q(i, "kg", "valve", "retainer_and_locks", "springs", "rocker", "lifter_and_pushrod"), ratio=i["ratio"]
        ).effective
    ),
    "float_speed": float_speed,
    "spring_forces_at": forces,
    "curtain_area": lambda i: swept.curtain_area(**q(i, "m", "diameter", "lift")),
    "poppet_minimum_area": lambda i: poppet(i).minimum_area(one(i, "m", "lift")),
    "poppet_valve_figures": lambda i: same(poppet(i), "lift_for_curtain", "end_of_seat_stage", "lift_for_throat"),
    "mean_gas_speed": lambda i: swept.mean_gas_speed(
        **q(i, "m/s", "mean_piston_speed"), **q(i, "m2", "piston_area", "valve_area")
    ),
    "mach_index": lambda i: swept.mach_index(
        **q(i, "m/s", "mean_gas_speed", "speed_of_sound"), flow_coefficient=i["flow_coefficient"]
    ),
    "speed_of_sound_in_air": lambda i: swept.speed_of_sound_in_air(one(i, "K", "temperature")),
    "runner_volume": lambda i: swept.runner_volume(
        **q(i, "m", "length"), entry_area=one(i, "m2", "entry"), exit_area=one(i, "m2", "exit")
    ),
    "trapped_volume": lambda i: swept.trapped_volume(
        cylinder=cylinder(i),
        clearance_volume=one(i, "m3", "clearance"),
        crank_intake_closing=one(i, "rad", "intake_closing"),
    ),
    "valve_clearances_at": at_once,
    "least_clearance": least,
    "advance_limits": limits,
    "pocket_depth": lambda i: gap(i).pocket_depth(motion(i), **q(i, "m", "needed"), **search(i)),
    "head_distance": lambda i: dict(
        zip(("distance", "at_least"), pair(i).distance(**q(i, "m", "first_lift", "second_lift")), strict=True)
    ),
}
