"""The structs of the C calls of the valve train, their fields by the names of the vectors."""

from __future__ import annotations

import ctypes
from typing import Any

from c_kinds import CCylinder


def doubles(*names: str) -> list[tuple[str, Any]]:
    return [(name, ctypes.c_double) for name in names]


class CTiming(ctypes.Structure):
    _fields_ = doubles("centreline", "opening_flank", "closing_flank", "lift")


class CEvents(ctypes.Structure):
    _fields_ = [("exhaust", ctypes.c_int32), *doubles("opening", "closing")]


class CCamTiming(ctypes.Structure):
    _fields_ = doubles(*(f"{valve}_{name}" for valve in ("intake", "exhaust") for name, _ in CTiming._fields_))


class CCamFigures(ctypes.Structure):
    _fields_ = doubles("separation", "advance", "overlap")


class CChain(ctypes.Structure):
    _fields_ = doubles("crank_radius", "cam_radius", "centre_distance")


class CWheelZero(ctypes.Structure):
    _fields_ = doubles("offset", "standard_uncertainty")


class CWheelReadings(ctypes.Structure):
    _fields_ = [
        ("count", ctypes.c_size_t),
        *((name, ctypes.POINTER(ctypes.c_double)) for name in ("lifts", "openings", "closings")),
        ("uncertainty", ctypes.c_double),
        *((name, ctypes.POINTER(ctypes.c_double)) for name in ("opening_uncertainties", "closing_uncertainties")),
        ("zero", CWheelZero),
        ("against", ctypes.c_int32),
        ("nose_lift", ctypes.c_double),
    ]


class CWheelFit(ctypes.Structure):
    _fields_ = [
        *doubles("centreline", "centreline_uncertainty", "asymmetry", "asymmetry_uncertainty"),
        *doubles("scatter_ratio", "midpoint_spread"),
        ("from_scatter", ctypes.c_int32),
    ]


class CWheelLift(ctypes.Structure):
    _fields_ = doubles(
        *("lift", "midpoint", "duration", "duration_uncertainty", "opening_residual", "closing_residual")
    )


class CFlank(ctypes.Structure):
    _fields_ = [("programme", ctypes.c_int32), *doubles("length", "ramp_height", "ramp_length")]


class CTableFit(ctypes.Structure):
    _fields_ = [*doubles("nose", "rms", "largest", "largest_at", "peak_lost"), ("kink_count", ctypes.c_size_t)]


class CLift(ctypes.Structure):
    _fields_ = doubles("lift", "velocity", "acceleration", "jerk")


class CExtreme(ctypes.Structure):
    _fields_ = doubles("angle", "value")


class CExtremes(ctypes.Structure):
    _fields_ = [
        (f"{which}_{name}", CExtreme) for name in ("velocity", "acceleration") for which in ("greatest", "least")
    ]


class CContactRange(ctypes.Structure):
    _fields_ = [("opening", CExtreme), ("closing", CExtreme)]


class CFlatContact(ctypes.Structure):
    _fields_ = doubles("radius_of_curvature", "contact", "x", "y")


class CRoller(ctypes.Structure):
    _fields_ = doubles("base_radius", "roller_radius", "offset")


class CRollerContact(ctypes.Structure):
    _fields_ = doubles("pressure_angle", "pitch_radius_of_curvature", "radius_of_curvature", "x", "y")


class CRocker(ctypes.Structure):
    _fields_ = doubles(
        *("tip_arm", "tip_radius", "cup_arm", "included", "stem", "height", "lifter_x", "lifter_y", "lifter_lean")
    )


class CDerivatives(ctypes.Structure):
    _fields_ = doubles("first", "second", "third")


class CSweep(ctypes.Structure):
    _fields_ = doubles("seated", "open", "inner", "outer", "width", "middle")


class CTrain(ctypes.Structure):
    _fields_ = [("ratio", ctypes.c_double), ("rocker", ctypes.POINTER(CRocker))]


class CValveTrain(ctypes.Structure):
    _fields_ = [("curve", ctypes.c_void_p), ("train", CTrain), ("lash", ctypes.c_double)]


class CMotion(ctypes.Structure):
    _fields_ = [("train", CValveTrain), ("centreline", ctypes.c_double)]


class CGrowths(ctypes.Structure):
    _fields_ = doubles("engine", "pushrod", "head", "valve")


class CSpring(ctypes.Structure):
    _fields_ = doubles("rate", "height", "load", "solid_height")


class CInstalled(ctypes.Structure):
    _fields_ = [*CSpring._fields_, ("installed_height", ctypes.c_double)]


class CSpringSet(ctypes.Structure):
    _fields_ = doubles("rate", "seat_load", "lift_to_bind")


class CHelical(ctypes.Structure):
    _fields_ = doubles("wire", "mean_diameter", "active_coils", "total_coils")


class CHelicalFigures(ctypes.Structure):
    _fields_ = doubles("index", "wahl_factor", "bergstraesser_factor", "solid_height")


class CMasses(ctypes.Structure):
    _fields_ = doubles("valve", "retainer_and_locks", "springs", "rocker", "lifter_and_pushrod", "ratio")


class CControl(ctypes.Structure):
    _fields_ = [
        ("springs", ctypes.POINTER(CInstalled)),
        ("count", ctypes.c_size_t),
        ("effective_mass", ctypes.c_double),
    ]


class CFloat(ctypes.Structure):
    _fields_ = doubles("crank", "angle", "force")


class CForces(ctypes.Structure):
    _fields_ = doubles("available", "needed", "contact", "margin")


class CPoppet(ctypes.Structure):
    _fields_ = doubles("head_diameter", "seat_width", "seat_angle", "port_diameter", "stem_diameter")


class CPoppetFigures(ctypes.Structure):
    _fields_ = doubles(
        *("mean_seat_diameter", "throat_area", "lift_for_curtain", "end_of_seat_stage", "lift_for_throat")
    )


class CPocket(ctypes.Structure):
    _fields_ = doubles("pocket_offset", "pocket_sideways", "pocket_diameter", "pocket_depth", "floor_angle")


class CGap(ctypes.Structure):
    _fields_ = [
        *CCylinder._fields_,
        *doubles("head_diameter", "margin", "tilt", "head_offset", "head_sideways", "head_height", "piston_to_head"),
        ("pocket", ctypes.POINTER(CPocket)),
        *doubles("rod_stretch", "bearing_and_rock", "thermal"),
    ]


class CClearances(ctypes.Structure):
    _fields_ = doubles("axial", "along_stem", "pocket_wall", "bore_wall")


class CSearch(ctypes.Structure):
    _fields_ = [("gap", CGap), ("motion", CMotion), ("per_turn", ctypes.c_uint32), ("along", ctypes.c_int32)]


class CLeastClearance(ctypes.Structure):
    _fields_ = [*doubles("clearance", "crank", "lift"), ("evaluations", ctypes.c_size_t)]


class CAdvanceRange(ctypes.Structure):
    _fields_ = [*doubles("least", "greatest"), ("unbroken", ctypes.c_int32)]


class CPair(ctypes.Structure):
    _fields_ = doubles(
        *(
            f"{valve}_{name}"
            for valve in ("first", "second")
            for name in ("diameter", "margin", "tilt", "offset", "sideways", "height")
        ),
        "turned",
    )


class CHeadDistance(ctypes.Structure):
    _fields_ = doubles("distance", "at_least")
