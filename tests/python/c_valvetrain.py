"""The arguments of the C calls of the valve train, for the vectors."""

from __future__ import annotations

import ctypes
from collections.abc import Callable
from typing import Any

from c_kinds import CCylinder, Count, Inputs, List, Rows, Whole
from c_valve_structs import (
    CAdvanceRange,
    CCamFigures,
    CCamTiming,
    CChain,
    CClearances,
    CContactRange,
    CControl,
    CDerivatives,
    CEvents,
    CExtreme,
    CExtremes,
    CFlank,
    CFlatContact,
    CFloat,
    CForces,
    CGap,
    CGrowths,
    CHeadDistance,
    CHelical,
    CHelicalFigures,
    CInstalled,
    CLeastClearance,
    CLift,
    CMasses,
    CMotion,
    CPair,
    CPocket,
    CPoppet,
    CPoppetFigures,
    CRocker,
    CRoller,
    CRollerContact,
    CSearch,
    CSpring,
    CSpringSet,
    CSweep,
    CTableFit,
    CTiming,
    CTrain,
    CValveTrain,
    CWheelFit,
    CWheelLift,
    CWheelReadings,
    CWheelZero,
)

# What the texts of the vectors are in C.
KINDS = {"intake": 0, "exhaust": 1}
PARTS = {"cam key": 0, "cam bush": 1, "crank key": 2}
AGAINST = {"lift": 0, "lift to nose": 1, "half duration": 2}
PROGRAMMES = {"3-4-5": 0, "4-5-6-7": 1, "cycloidal": 2, "harmonic": 3}
ALONG = {"cylinder axis": 0, "stem": 1}

# An argument that needs more than one input: made of the library and the inputs.
Made = Callable[[ctypes.CDLL, Inputs], Any]


def numbers(values: list[float]) -> Any:
    return (ctypes.c_double * len(values))(*values)


def events(_: ctypes.CDLL, given: Inputs) -> Any:
    return ctypes.byref(CEvents(KINDS[given["kind"]], given["opening"], given["closing"]))


def part(_: ctypes.CDLL, given: Inputs) -> Any:
    return ctypes.c_int32(PARTS[given["part"]])


def cam_timing(_: ctypes.CDLL, given: Inputs) -> Any:
    lifts = {"intake_lift": given["lift"], "exhaust_lift": given["lift"]}
    return ctypes.byref(CCamTiming(**{name: (given | lifts)[name] for name, _ in CCamTiming._fields_}))


def wheel(_: ctypes.CDLL, given: Inputs) -> Any:
    readings = CWheelReadings(count=len(given["lifts"]))
    for name in ("lifts", "openings", "closings"):
        setattr(readings, name, numbers(given[name]))
    readings.uncertainty = given["uncertainty"]
    readings.zero = CWheelZero(given["zero_offset"], given["zero_standard_uncertainty"])
    readings.against, readings.nose_lift = AGAINST[given["against"]], given["nose_lift"]
    return ctypes.byref(readings)


def flank(given: Inputs, length: str) -> CFlank:
    ramp = (given.get("ramp_height", 0.0), given.get("ramp_length", 0.0))
    return CFlank(PROGRAMMES[given["programme"]], given[length], *ramp)


def new_curve(library: ctypes.CDLL, given: Inputs) -> ctypes.c_void_p:
    """A lift curve of exponents, of a table, or else of a programme."""
    curve, number = ctypes.c_void_p(), ctypes.c_double
    if "exponents" in given:
        exponents = bytes(int(exponent) for exponent in given["exponents"])
        sizes = (ctypes.c_size_t(len(exponents)), number(given["lobe_lift"]), number(given["half_length"]))
        status = library.swept_lift_curve_polynomial(exponents, *sizes, ctypes.byref(curve))
    elif "angles" in given:
        table = (numbers(given["angles"]), numbers(given["lifts"]), ctypes.c_size_t(len(given["lifts"])))
        status = library.swept_lift_curve_interpolated(*table, ctypes.byref(curve), ctypes.byref(CTableFit()))
    else:
        flanks = (flank(given, "opening_length"), flank(given, "closing_length"))
        lift, dwell = number(given["lobe_lift"]), number(given["dwell"])
        status = library.swept_lift_curve_of_flanks(lift, *map(ctypes.byref, flanks), dwell, ctypes.byref(curve))
    assert status == 0
    return curve


# Every curve that was made, by its inputs: kept as long as the tests run, for other structs point to it.
CURVES: dict[str, ctypes.c_void_p] = {}


def curve(library: ctypes.CDLL, given: Inputs) -> ctypes.c_void_p:
    key = repr(sorted(given.items()))
    if key not in CURVES:
        CURVES[key] = new_curve(library, given)
    return CURVES[key]


def train(_: ctypes.CDLL, given: Inputs) -> Any:
    return ctypes.byref(CTrain(given["ratio"], None))


def carried(library: ctypes.CDLL, given: Inputs) -> CValveTrain:
    return CValveTrain(curve(library, given), CTrain(given["ratio"], None), given["lash"])


def valve_train(library: ctypes.CDLL, given: Inputs) -> Any:
    return ctypes.byref(carried(library, given))


def control(_: ctypes.CDLL, given: Inputs) -> Any:
    names = [name for name, _ in CInstalled._fields_]
    rows = [CInstalled(*row) for row in zip(*(given[name] for name in names), strict=True)]
    return ctypes.byref(CControl((CInstalled * len(rows))(*rows), len(rows), given["effective_mass"]))


def piston_to_valve(given: Inputs) -> CGap:
    found = CGap(**{name: given[name] for name, _ in CGap._fields_ if name != "pocket"})
    if "pocket_depth" in given:
        found.pocket = ctypes.pointer(CPocket(*(given[name] for name, _ in CPocket._fields_)))
    return found


def gap(_: ctypes.CDLL, given: Inputs) -> Any:
    return ctypes.byref(piston_to_valve(given))


def search(library: ctypes.CDLL, given: Inputs) -> Any:
    motion = CMotion(carried(library, given), given["centreline"])
    return ctypes.byref(CSearch(piston_to_valve(given), motion, int(given["per_turn"]), ALONG[given["along"]]))


SPRINGS = (Rows((CInstalled, "rate")), Count("rate"))

C_ARGUMENTS: dict[str, tuple[Any, ...]] = {
    "valve_timing_from_events": (events, "lift"),
    "valve_events_duration": (events,),
    "valve_timing_events": (CTiming,),
    "cam_timing_from_separation": ("separation", "advance", "intake_duration", "exhaust_duration", "lift"),
    "cam_timing_figures": (cam_timing,),
    "overlap_area": (cam_timing, valve_train, valve_train),
    "offset_part_advance": (part, "offset", "radius"),
    "sprocket_pitch_radius": ("pitch", Whole("teeth")),
    "chain_drive_advance_from_stretch": (CChain, "elongation"),
    "chain_drive_advance_from_centre_distance": (CChain, "change"),
    "wheel_zero_from_positive_stop": ("before", "after", "standard_uncertainty"),
    "fit_wheel": (wheel,),
    "lift_curve_at": (curve, "angle"),
    "lift_curve_area": (curve,),
    "lift_curve_duration_at": (curve, "lift"),
    "lift_curve_extremes": (curve,),
    "lift_curve_interpolated": (List("angles"), List("lifts"), Count("lifts")),
    "flat_follower_at": ("base_radius", "angle", CLift),
    "roller_follower_at": (CRoller, "angle", CLift),
    "flat_least_radius_of_curvature": ("base_radius", curve),
    "flat_face": ("base_radius", curve),
    "roller_greatest_pressure_angle": (CRoller, curve),
    "roller_least_radius_of_curvature": (CRoller, curve),
    "rocker_pushrod_length": (CRocker,),
    "rocker_valve_lift": (CRocker, "lifter"),
    "rocker_derivatives": (CRocker, "lifter"),
    "rocker_sweep": (CRocker, "valve"),
    "train_valve_with_lash": (train, CLift, "lash"),
    "hot_lash": ("cold", "ratio", CGrowths),
    "spring_rate_from_readings": ("first_height", "first_load", "second_height", "second_load"),
    "spring_free_height": (CSpring,),
    "spring_load_at": (CSpring, "at_height"),
    "springs_together": SPRINGS,
    "springs_load": (*SPRINGS, "lift"),
    "springs_coil_bind_margin": (*SPRINGS, "lift"),
    "helical_spring_rate": (CHelical, "shear_modulus"),
    "helical_spring_figures": (CHelical,),
    "helical_spring_active_mass": (CHelical, "density"),
    "surge_frequency": ("rate", "active_mass"),
    "harmonic_frequency_ratio": ("frequency", "crank", Whole("harmonic")),
    "train_effective_mass": (CMasses,),
    "float_speed": (control, valve_train),
    "spring_forces_at": (control, CLift, "crank"),
    "curtain_area": ("diameter", "lift"),
    "poppet_minimum_area": (CPoppet, "lift"),
    "poppet_valve_figures": (CPoppet,),
    "mean_gas_speed": ("mean_piston_speed", "piston_area", "valve_area"),
    "mach_index": ("mean_gas_speed", "flow_coefficient", "speed_of_sound"),
    "speed_of_sound_in_air": ("temperature",),
    "runner_volume": ("length", "entry", "exit"),
    "trapped_volume": (CCylinder, "clearance", "intake_closing"),
    "valve_clearances_at": (gap, "crank", "lift"),
    "least_clearance": (search,),
    "advance_limits": (search, "needed", "low", "high"),
    "pocket_depth": (search, "needed"),
    "head_distance": (CPair, "first_lift", "second_lift"),
}

C_OUTPUTS: dict[str, tuple[Any, ...]] = {
    "valve_timing_from_events": (CTiming,),
    "valve_timing_events": (CEvents,),
    "cam_timing_from_separation": (CCamTiming,),
    "cam_timing_figures": (CCamFigures,),
    "wheel_zero_from_positive_stop": (CWheelZero,),
    "fit_wheel": (CWheelFit, ("lifts", CWheelLift)),
    "lift_curve_at": (CLift,),
    "lift_curve_extremes": (CExtremes,),
    "lift_curve_interpolated": (ctypes.c_void_p, CTableFit),
    "flat_follower_at": (CFlatContact,),
    "roller_follower_at": (CRollerContact,),
    "flat_least_radius_of_curvature": (CExtreme,),
    "flat_face": (CContactRange,),
    "roller_greatest_pressure_angle": (CExtreme,),
    "roller_least_radius_of_curvature": (CExtreme,),
    "rocker_derivatives": (CDerivatives,),
    "rocker_sweep": (CSweep,),
    "train_valve_with_lash": (CLift,),
    "springs_together": (CSpringSet,),
    "helical_spring_figures": (CHelicalFigures,),
    "float_speed": (CFloat,),
    "spring_forces_at": (CForces,),
    "poppet_valve_figures": (CPoppetFigures,),
    "valve_clearances_at": (CClearances,),
    "least_clearance": (CLeastClearance,),
    "advance_limits": (CAdvanceRange,),
    "head_distance": (CHeadDistance,),
}
