"""The C library called by the names of its arguments, for the vectors."""

from __future__ import annotations

import ctypes
import math
from typing import Any

import c_valvetrain
from c_kinds import CCylinder, Count, Inputs, List, Rows, Size, Text, Whole


class CVolumes(ctypes.Structure):
    _fields_ = [(name, ctypes.c_double) for name in ("chamber", "gasket", "deck", "crown", "crevice")]


class CPressFit(ctypes.Structure):
    _fields_ = [
        *((f"inner_{name}", ctypes.c_double) for name in ("bore", "outside", "young", "poisson")),
        *((f"outer_{name}", ctypes.c_double) for name in ("bore", "outside", "young", "poisson")),
        ("interference", ctypes.c_double),
    ]


class CPressStresses(ctypes.Structure):
    _fields_ = [
        (name, ctypes.c_double)
        for name in ("inner_at_bore", "inner_at_contact", "outer_at_contact", "outer_at_outside")
    ]


class CThread(ctypes.Structure):
    _fields_ = [("diameter", ctypes.c_double), ("pitch", ctypes.c_double), ("unified", ctypes.c_int32)]


class CJoint(ctypes.Structure):
    _fields_ = [(name, ctypes.c_double) for name in ("preload", "bolt_stiffness", "parts_stiffness")]


class CSurvey(ctypes.Structure):
    _fields_ = [(name, ctypes.c_double) for name in ("least", "greatest", "mean", "out_of_round", "taper")]


class CThrowPiston(ctypes.Structure):
    _fields_ = [(name, ctypes.c_double) for name in ("bank_angle", "pin_angle", "reciprocating")]


class CSector(ctypes.Structure):
    _fields_ = [
        (name, ctypes.c_double) for name in ("inner_radius", "outer_radius", "included_angle", "thickness", "density")
    ]


class CShakingCylinder(ctypes.Structure):
    _fields_ = [
        *((name, ctypes.c_double) for name in ("bore", "stroke", "rod_length", "pin_offset")),
        *((name, ctypes.c_double) for name in ("bank_angle", "throw_angle", "position", "reciprocating")),
    ]


class CHarmonic(ctypes.Structure):
    _fields_ = [
        *((name, ctypes.c_double) for name in ("forward_amount", "forward_angle", "backward_amount", "backward_angle")),
        *((name, ctypes.c_double) for name in ("greatest_amount", "least_amount", "greatest_direction")),
    ]


class CPolar(ctypes.Structure):
    """A vibration or an unbalance."""

    _fields_ = [("amount", ctypes.c_double), ("angle", ctypes.c_double)]


class CTrialSurvey(ctypes.Structure):
    _fields_ = [
        *((name, ctypes.c_size_t) for name in ("sensors", "planes", "runs")),
        *((name, ctypes.POINTER(CPolar)) for name in ("baseline", "weights", "readings")),
        ("stays", ctypes.POINTER(ctypes.c_int32)),
        *((name, ctypes.POINTER(ctypes.c_double)) for name in ("sensor_weights", "run_weights")),
        ("phase_lag", ctypes.c_int32),
        *((f"{name}_uncertainty", ctypes.c_double) for name in ("relative", "phase", "absolute")),
    ]


class CCorrectionWeight(ctypes.Structure):
    _fields_ = [
        *((name, ctypes.c_double) for name in ("amount", "angle", "amount_uncertainty", "angle_uncertainty")),
        *((name, ctypes.c_double) for name in ("unbalance", "heavy_at")),
    ]


class CPredicted(ctypes.Structure):
    _fields_ = [(name, ctypes.c_double) for name in ("amplitude", "phase", "standard_uncertainty")]


def trial_survey(_: ctypes.CDLL, given: Inputs) -> Any:
    """All readings with phase lead; none of the weights stays on."""

    def polar(amounts: str, angles: str) -> Any:
        pairs = zip(given[amounts], given[angles], strict=True)
        return (CPolar * len(given[amounts]))(*(CPolar(*pair) for pair in pairs))

    survey = CTrialSurvey(sensors=len(given["baseline_amplitudes"]))
    survey.runs = len(given["reading_amplitudes"]) // survey.sensors
    survey.planes = len(given["weight_amounts"]) // survey.runs
    survey.baseline = polar("baseline_amplitudes", "baseline_phases")
    survey.weights = polar("weight_amounts", "weight_angles")
    survey.readings = polar("reading_amplitudes", "reading_phases")
    return ctypes.byref(survey)


ENGINE = (Rows((CShakingCylinder, "bank_angle")), Count("bank_angle"), None, 0)
SHANK = (List("lengths"), List("areas"), Count("lengths"), "young")
FRICTION = ("thread_friction", "head_friction", "head_diameter")

# The arguments of each C function in its order; a struct stands for its fields.
C_ARGUMENTS: dict[str, tuple[Any, ...]] = {
    "cylinder_swept_volume": (CCylinder,),
    "cylinder_travel": (CCylinder,),
    "cylinder_top_dead_centre": (CCylinder,),
    "cylinder_bottom_dead_centre": (CCylinder,),
    "cylinder_mean_piston_speed": (CCylinder, "speed"),
    "cylinder_peak_acceleration": (CCylinder, "speed"),
    "cylinder_piston_position": (CCylinder, "angle"),
    "cylinder_piston_velocity": (CCylinder, "angle", "speed"),
    "cylinder_piston_acceleration": (CCylinder, "angle", "speed"),
    "deck_clearance": (CCylinder, "deck_height", "compression_height"),
    "disc_volume": ("diameter", "height"),
    "clearance_volume_total": (CVolumes,),
    "compression_ratio": ("swept", "clearance"),
    "clearance_volume_for": ("ratio", "swept"),
    "trapped_compression_ratio": (CCylinder, "clearance", "intake_closing"),
    "thick_cylinder_hoop_stress": ("inner_radius", "outer_radius", "inner_pressure", "outer_pressure", "radius"),
    "thick_cylinder_radial_stress": ("inner_radius", "outer_radius", "inner_pressure", "outer_pressure", "radius"),
    "thick_cylinder_axial_stress": ("inner_radius", "outer_radius", "inner_pressure", "outer_pressure"),
    "wall_hoop_stress": ("bore", "wall", "pressure"),
    "bearing_clearance": ("housing_bore", "upper_shell", "lower_shell", "journal"),
    "end_gap_in_bore": ("gap", "gauge_bore", "bore"),
    "conformance_probability": ("value", "standard_uncertainty", "lower", "upper"),
    "pin_clearance": ("bore", "pin_diameter"),
    "back_clearance": ("bore", "groove_root_diameter", "radial_thickness"),
    "ring_wall_pressure": ("tangential_force", "bore", "width"),
    "iso_standard_tolerance": ("nominal", Whole("grade")),
    "iso_deviations": (Text("class_name"), "nominal"),
    "iso_fit": (Text("fit"),),
    "shell_wall": ("crown_wall", "offset", "angle"),
    "shell_offset": ("crown_wall", "wall", "angle"),
    "crush_interference": ("upper_crush_height", "lower_crush_height"),
    "select_shells": (
        *(List("housing_bores"), List("journals"), Count("journals"), List("upper_grades"), Count("upper_grades")),
        *(List("lower_grades"), Count("lower_grades"), "target"),
    ),
    "diameter_survey": (*(List("angles"), Count("angles"), List("stations"), Count("stations"), List("diameters")),),
    "material_elastic": (Text("material"),),
    "mean_expansion": (Text("material"), "temperature"),
    "mean_expansion_range": (Text("material"), "temperature"),
    "thermal_strain": (Text("material"), "temperature"),
    "at_temperature": (Text("material"), "length", "from", "to"),
    "hot_end_gap": ("gap", "bore", "ring_strain", "bore_strain"),
    "heating_for": ("growth", "length", "expansion"),
    "press_fit_pressure": (CPressFit,),
    "press_fit_stresses": (CPressFit,),
    "press_fit_equivalent_stresses": (CPressFit,),
    "press_fit_holding_force": (CPressFit, "length", "friction"),
    "press_fit_holding_torque": (CPressFit, "length", "friction"),
    "press_fit_assembly_temperature": (CPressFit, "gap", "expansion"),
    "press_fit_warmed_interference": (CPressFit, "outer_expansion", "outer_rise", "inner_expansion", "inner_rise"),
    "thread_parse": (Text("thread"),),
    "thread_stress_area": (CThread,),
    "thread_pitch_diameter": (CThread,),
    "thread_proof_load": (CThread, "proof_stress"),
    "thread_torque_for": (CThread, "preload", *FRICTION),
    "thread_preload_from_torque": (CThread, "torque", *FRICTION),
    "proof_stress": (Text("property_class"), "diameter"),
    "shank_stiffness": SHANK,
    "stretch_for": ("preload", *SHANK),
    "preload_from_stretch": ("stretch", *SHANK),
    "turn_for": ("stretch", "compression", "pitch"),
    "preload_from_turn": ("angle", "pitch", "bolt_stiffness", "parts_stiffness"),
    "parts_stiffness": ("grip", "diameter", "young"),
    "bolted_joint_load_share": (CJoint,),
    "bolted_joint_bolt_load": (CJoint, "outer"),
    "bolted_joint_clamp_load": (CJoint, "outer"),
    "bolted_joint_separation_load": (CJoint,),
    "angled_clamp": ("preload", "angle"),
    "bob_weight": (List("rotating"), List("reciprocating"), Count("rotating"), "share"),
    "best_share": (Rows((CThrowPiston, "bank_angle")), Count("bank_angle")),
    "counterweight_sector_unbalance": (CSector,),
    "permissible_unbalance": (Text("grade"), "mass", "speed"),
    "allocate_to_bearings": ("permissible", "centre_to_first", "centre_to_second"),
    "shaking_force": (*ENGINE, Size("order")),
    "shaking_moment": (*ENGINE, Size("order"), "about"),
    "correct_by_trials": (trial_survey,),
} | c_valvetrain.C_ARGUMENTS

# How C is told that an argument is absent, where not by NaN.
ABSENT = {"parts_stiffness": math.inf}

# The outputs in their order, of functions with more than one number; a struct for its fields, a list with its kind.
C_OUTPUTS: dict[str, tuple[Any, ...]] = {
    "iso_deviations": ("lower", "upper"),
    "iso_fit": ("least", "greatest"),
    "material_elastic": ("young", "poisson"),
    "mean_expansion_range": ("least", "greatest"),
    "press_fit_stresses": (CPressStresses,),
    "press_fit_equivalent_stresses": ("inner", "outer"),
    "thread_parse": (CThread,),
    "angled_clamp": ("clamp", "sideways"),
    "diameter_survey": (CSurvey,),
    "select_shells": (
        *(("uppers", ctypes.c_size_t), ("lowers", ctypes.c_size_t), ("clearances", ctypes.c_double)),
        *("deviation", "spread"),
    ),
    "allocate_to_bearings": ("first", "second", ("limited", ctypes.c_int32)),
    "shaking_force": (CHarmonic,),
    "shaking_moment": (CHarmonic,),
    "correct_by_trials": (("weights", CCorrectionWeight), ("predicted", CPredicted), "condition"),
} | c_valvetrain.C_OUTPUTS


def c_argument(argument: Any, given: Inputs, library: ctypes.CDLL) -> Any:
    if argument is None:
        return None
    if callable(argument) and not isinstance(argument, type):
        return argument(library, given)
    if isinstance(argument, int):
        return ctypes.c_size_t(argument)
    if isinstance(argument, Size):
        return ctypes.c_size_t(int(given[argument]))
    if isinstance(argument, Rows):
        kind, counted = argument
        names, count = [name for name, _ in kind._fields_], len(given[counted])
        columns = [given[name] if isinstance(given[name], list) else [given[name]] * count for name in names]
        return (kind * count)(*(kind(*row) for row in zip(*columns, strict=True)))
    if isinstance(argument, Whole):
        return ctypes.c_int32(int(given[argument]))
    if isinstance(argument, Text):
        return ctypes.c_char_p(given[argument].encode())
    if isinstance(argument, List):
        return (ctypes.c_double * len(given[argument]))(*given[argument])
    if isinstance(argument, Count):
        return ctypes.c_size_t(len(given[argument]))
    if isinstance(argument, str):
        return ctypes.c_double(given.get(argument, ABSENT.get(argument, math.nan)))
    whole = {name for name, kind in argument._fields_ if kind is ctypes.c_int32}
    fields = {name: int(given[name]) if name in whole else given[name] for name, _ in argument._fields_}
    return ctypes.byref(argument(**fields))


def c_place(out: Any, count: int) -> Any:
    """Where an output goes: a number, a list with room for any list of the vectors, or a struct."""
    if isinstance(out, str):
        return ctypes.c_double()
    return (out[1] * count)() if isinstance(out, tuple) else out()


def in_c(library: ctypes.CDLL, function: str, given: Inputs, output: str) -> float:
    """The result of a function; of several, the one named; of a list, its first, or that of the plane named."""
    outs = C_OUTPUTS.get(function, ("",))
    room = max((len(values) for values in given.values() if isinstance(values, list)), default=1)
    places = [c_place(out, room) for out in outs]
    arguments = [c_argument(argument, given, library) for argument in C_ARGUMENTS[function]]
    status = getattr(library, f"swept_{function}")(*arguments, *map(ctypes.byref, places))
    assert status == 0, function
    found: dict[str, float] = {}
    for out, place in zip(outs, places, strict=True):
        if isinstance(out, str):
            found[out] = place.value
        elif isinstance(out, tuple):
            entry = place[int(given.get("plane", 0))]
            names = [name for name, _ in getattr(entry, "_fields_", ())]
            found |= {name: getattr(entry, name) for name in names} if names else {out[0]: entry}
        elif out is ctypes.c_void_p:
            library.swept_lift_curve_free(place)
        else:
            found |= {name: getattr(place, name) for name, _ in out._fields_}
    # Of a greatest or a least, the value.
    return getattr(found[output], "value", found[output])


def c_convert(library: ctypes.CDLL, value: float, to: str, base: str) -> float:
    out = ctypes.c_double()
    assert library.swept_convert(ctypes.c_double(value), base.encode(), to.encode(), ctypes.byref(out)) == 0
    return out.value
