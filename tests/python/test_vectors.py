"""The vectors in Python and C against Rust, bit for bit, and against their source within its tolerance.

Python shows SI values in a display unit; the same conversion by the C library must give the same bits.
"""

from __future__ import annotations

import ctypes
import json
import os
import struct
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pint
import pytest
from c_calls import Inputs, c_convert, in_c
from valvetrain_vectors import VALVETRAIN

import swept

ROOT = Path(__file__).parents[2]
FILES = sorted((ROOT / "tests" / "vectors").glob("*.json"))
VECTORS = [vector for file in FILES for vector in json.loads(file.read_text(encoding="utf-8"))]
LIBRARY = Path(os.environ.get("SWEPT_PREFIX", ROOT / "target" / "installed")) / "lib" / "libswept.so"


@pytest.fixture(scope="module")
def c_library() -> ctypes.CDLL:
    assert LIBRARY.exists(), f"{LIBRARY} is missing: make install PREFIX=target/installed"
    return ctypes.CDLL(str(LIBRARY))


@pytest.fixture(scope="module")
def rust() -> list[float]:
    command = ["cargo", "run", "--quiet", "--release", "-p", "swept-tests", "--bin", "vectors", "--", *map(str, FILES)]
    lines = subprocess.run(command, cwd=ROOT, check=True, capture_output=True, text=True).stdout.split()
    return [struct.unpack(">d", bytes.fromhex(line))[0] for line in lines]


def m(i: Inputs, *names: str) -> dict[str, Any]:
    """Lengths as texts that read back to the same bits."""
    return {name: f"{i[name]!r} m" for name in names}


def cylinder(i: Inputs) -> swept.Cylinder:
    return swept.Cylinder(**m(i, "bore", "stroke", "rod_length", "pin_offset"))


def wall(i: Inputs) -> swept.ThickCylinder:
    return swept.ThickCylinder(**m(i, "inner_radius", "outer_radius"))


def pressures(i: Inputs) -> dict[str, str]:
    return {name: f"{i[name]!r} Pa" for name in ("inner_pressure", "outer_pressure")}


def angle(i: Inputs, name: str = "angle") -> str:
    return f"{i[name]!r} rad"


def speed(i: Inputs) -> str:
    return f"{i['speed']!r} rad/s"


def m3(i: Inputs, name: str) -> str:
    return f"{i[name]!r} m3"


def probability(i: Inputs) -> float:
    texts = {name: f"{i[name]!r}" for name in ("lower", "upper") if name in i}
    # Doubling and halving are exact, so the standard uncertainty keeps its bits.
    expanded = f"{2.0 * i['standard_uncertainty']!r}"
    value = f"{i['value']!r}"
    return swept.conformance_probability(value, expanded_uncertainty=expanded, dimension="ratio", **texts)


def n(i: Inputs, *names: str) -> dict[str, Any]:
    return {name: f"{i[name]!r} N" for name in names}


def pa(i: Inputs, *names: str) -> dict[str, Any]:
    return {name: f"{i[name]!r} Pa" for name in names}


def per_k(i: Inputs, *names: str) -> dict[str, Any]:
    return {name: f"{i[name]!r} m/m/K" for name in names}


def kelvin(i: Inputs, name: str) -> str:
    return f"{i[name]!r} K"


def plain(i: Inputs, *names: str) -> dict[str, Any]:
    return {name: i[name] for name in names}


def several(i: Inputs, unit: str, *names: str) -> dict[str, Any]:
    return {name: [f"{value!r} {unit}" for value in i[name]] for name in names}


def named(names: str, values: tuple[Any, ...]) -> dict[str, Any]:
    """Several results by the names of C's outputs."""
    return dict(zip(names.split(), values, strict=True))


def fields(names: str, of: Any) -> dict[str, Any]:
    return {name: getattr(of, name) for name in names.split()}


def press_fit(i: Inputs) -> swept.PressFit:
    lengths = m(i, "inner_bore", "inner_outside", "outer_bore", "outer_outside", "interference")
    return swept.PressFit(
        **lengths, **pa(i, "inner_young", "outer_young"), **plain(i, "inner_poisson", "outer_poisson")
    )


def thread(i: Inputs) -> swept.Thread:
    return (swept.Thread.unified if i["unified"] else swept.Thread.metric)(**m(i, "diameter", "pitch"))


def friction(i: Inputs) -> dict[str, Any]:
    return {**plain(i, "thread_friction", "head_friction"), **m(i, "head_diameter")}


def shank(i: Inputs) -> dict[str, Any]:
    return {**several(i, "m", "lengths"), **several(i, "m2", "areas"), **pa(i, "young")}


def joint(i: Inputs) -> swept.BoltedJoint:
    return swept.BoltedJoint(**n(i, "preload"), **plain(i, "bolt_stiffness", "parts_stiffness"))


def selection(i: Inputs) -> dict[str, Any]:
    lists = several(i, "m", "housing_bores", "journals", "upper_grades", "lower_grades")
    found = swept.select_shells(**lists, **m(i, "target"))
    first = {"uppers": found.upper[0], "lowers": found.lower[0], "clearances": found.clearances[0]}
    return first | fields("deviation spread", found)


def survey(i: Inputs) -> dict[str, Any]:
    angles, diameters = several(i, "rad", "angles")["angles"], several(i, "m", "diameters")["diameters"]
    rows = [diameters[at : at + len(angles)] for at in range(0, len(diameters), len(angles))]
    found = swept.DiameterSurvey(angles=angles, **several(i, "m", "stations"), diameters=rows)
    return fields("least greatest mean out_of_round taper", found)


def throw(i: Inputs) -> list[tuple[str, str, str]]:
    pistons = zip(i["bank_angle"], i["pin_angle"], i["reciprocating"], strict=True)
    return [(f"{bank!r} rad", f"{pin!r} rad", f"{mass!r} kg") for bank, pin, mass in pistons]


def sector(i: Inputs) -> swept.CounterweightSector:
    lengths = m(i, "inner_radius", "outer_radius", "thickness")
    return swept.CounterweightSector(**lengths, included_angle=angle(i, "included_angle"), **plain(i, "density"))


def shaking(i: Inputs, moment: bool) -> dict[str, Any]:
    """At one radian per second the forces are the amounts."""
    rows = zip(i["bank_angle"], i["throw_angle"], i["position"], i["reciprocating"], strict=True)
    cylinders = [
        {
            "cylinder": cylinder(i),
            "bank_angle": f"{bank!r} rad",
            "throw_angle": f"{throw_angle!r} rad",
            "position": f"{position!r} m",
            "reciprocating": f"{mass!r} kg",
        }
        for bank, throw_angle, position, mass in rows
    ]
    engine, order = swept.ShakingEngine(cylinders=cylinders), int(i["order"])
    if moment:
        found = engine.moment(order, speed="1 rad/s", about=m(i, "about")["about"])
    else:
        found = engine.force(order, speed="1 rad/s")
    return {"greatest_amount": found.greatest, "least_amount": found.least}


def correction(i: Inputs) -> dict[str, Any]:
    def pairs(amounts: str, angles: str) -> list[tuple[float, str]]:
        return [(amount, f"{at!r} rad") for amount, at in zip(i[amounts], i[angles], strict=True)]

    baseline, readings = pairs("baseline_amplitudes", "baseline_phases"), pairs("reading_amplitudes", "reading_phases")
    weights = [
        swept.UnbalanceVector(amount=f"{amount!r} kg m", heavy_at=at)
        for amount, at in pairs("weight_amounts", "weight_angles")
    ]
    sensors = len(baseline)
    planes = len(weights) * sensors // len(readings)
    runs = [
        {
            "weights": weights[run * planes : (run + 1) * planes],
            "readings": readings[run * sensors : (run + 1) * sensors],
        }
        for run in range(len(readings) // sensors)
    ]
    found, plane = swept.correct_by_trials(baseline=baseline, runs=runs, phase="lead"), int(i["plane"])
    weight, unbalance = found.weights[plane], found.unbalance[plane]
    return {
        "amount": weight.amount,
        "angle": weight.heavy_at,
        "unbalance": unbalance.amount,
        "heavy_at": unbalance.heavy_at,
        "condition": found.condition,
    }


PYTHON: dict[str, Callable[[Inputs], Any]] = {
    "cylinder_swept_volume": lambda i: cylinder(i).swept_volume,
    "cylinder_travel": lambda i: cylinder(i).travel,
    "cylinder_top_dead_centre": lambda i: cylinder(i).top_dead_centre,
    "cylinder_bottom_dead_centre": lambda i: cylinder(i).bottom_dead_centre,
    "cylinder_mean_piston_speed": lambda i: cylinder(i).mean_piston_speed(speed(i)),
    "cylinder_peak_acceleration": lambda i: cylinder(i).peak_acceleration(speed(i)),
    "cylinder_piston_position": lambda i: cylinder(i).piston_position(angle(i)),
    "cylinder_piston_velocity": lambda i: cylinder(i).piston_velocity(angle(i), speed=speed(i)),
    "cylinder_piston_acceleration": lambda i: cylinder(i).piston_acceleration(angle(i), speed=speed(i)),
    "deck_clearance": lambda i: swept.deck_clearance(cylinder=cylinder(i), **m(i, "deck_height", "compression_height")),
    "disc_volume": lambda i: swept.disc_volume(**m(i, "diameter", "height")),
    "clearance_volume_total": lambda i: swept.ClearanceVolume(**{k: m3(i, k) for k in i}).total,
    "compression_ratio": lambda i: swept.compression_ratio(
        swept_volume=m3(i, "swept"), clearance_volume=m3(i, "clearance")
    ),
    "clearance_volume_for": lambda i: swept.clearance_volume_for(ratio=i["ratio"], swept_volume=m3(i, "swept")),
    "trapped_compression_ratio": lambda i: swept.trapped_compression_ratio(
        cylinder=cylinder(i), clearance_volume=m3(i, "clearance"), intake_closing=angle(i, "intake_closing")
    ),
    "thick_cylinder_hoop_stress": lambda i: wall(i).hoop_stress(**m(i, "radius"), **pressures(i)),
    "thick_cylinder_radial_stress": lambda i: wall(i).radial_stress(**m(i, "radius"), **pressures(i)),
    "thick_cylinder_axial_stress": lambda i: wall(i).axial_stress_closed(**pressures(i)),
    "wall_hoop_stress": lambda i: swept.wall_hoop_stress(**m(i, "bore", "wall"), pressure=f"{i['pressure']!r} Pa"),
    "bearing_clearance": lambda i: swept.bearing_clearance(
        **m(i, "housing_bore", "upper_shell", "lower_shell", "journal")
    ),
    "end_gap_in_bore": lambda i: swept.end_gap_in_bore(**m(i, "gap", "gauge_bore", "bore")),
    "conformance_probability": probability,
    "pin_clearance": lambda i: swept.pin_clearance(**m(i, "bore", "pin_diameter")),
    "back_clearance": lambda i: swept.back_clearance(**m(i, "bore", "groove_root_diameter", "radial_thickness")),
    "ring_wall_pressure": lambda i: swept.ring_wall_pressure(**n(i, "tangential_force"), **m(i, "bore", "width")),
    "iso_standard_tolerance": lambda i: swept.standard_tolerance(**m(i, "nominal"), grade=int(i["grade"])),
    "iso_deviations": lambda i: named(
        "lower upper", swept.deviations(tolerance_class=i["class_name"], **m(i, "nominal"))
    ),
    "iso_fit": lambda i: named("least greatest", swept.fit_clearance(i["fit"])),
    "shell_wall": lambda i: swept.shell_wall(**m(i, "crown_wall", "offset"), angle=angle(i)),
    "shell_offset": lambda i: swept.shell_offset(**m(i, "crown_wall", "wall"), angle=angle(i)),
    "crush_interference": lambda i: swept.crush_interference(**m(i, "upper_crush_height", "lower_crush_height")),
    "select_shells": selection,
    "diameter_survey": survey,
    "material_elastic": lambda i: fields("young poisson", swept.Material(i["material"])),
    "mean_expansion": lambda i: swept.Material(i["material"]).mean_expansion(kelvin(i, "temperature")),
    "mean_expansion_range": lambda i: named(
        "least greatest", swept.Material(i["material"]).mean_expansion_range(kelvin(i, "temperature"))
    ),
    "thermal_strain": lambda i: swept.Material(i["material"]).thermal_strain(kelvin(i, "temperature")),
    "at_temperature": lambda i: swept.Material(i["material"]).at_temperature(
        **m(i, "length"), from_temperature=kelvin(i, "from"), to_temperature=kelvin(i, "to")
    ),
    "hot_end_gap": lambda i: swept.hot_end_gap(**m(i, "gap", "bore"), **plain(i, "ring_strain", "bore_strain")),
    "heating_for": lambda i: swept.heating_for(**m(i, "growth", "length"), **per_k(i, "expansion")),
    "press_fit_pressure": lambda i: press_fit(i).pressure,
    "press_fit_stresses": lambda i: press_fit(i).stresses(),
    "press_fit_equivalent_stresses": lambda i: named("inner outer", press_fit(i).equivalent_stresses()),
    "press_fit_holding_force": lambda i: press_fit(i).holding_force(**m(i, "length"), **plain(i, "friction")),
    "press_fit_holding_torque": lambda i: press_fit(i).holding_torque(**m(i, "length"), **plain(i, "friction")),
    "press_fit_assembly_temperature": lambda i: press_fit(i).assembly_temperature(
        **m(i, "gap"), **per_k(i, "expansion")
    ),
    "press_fit_warmed_interference": lambda i: (
        press_fit(i)
        .warmed(
            **per_k(i, "outer_expansion", "inner_expansion"),
            outer_rise=kelvin(i, "outer_rise"),
            inner_rise=kelvin(i, "inner_rise"),
        )
        .interference
    ),
    "thread_parse": lambda i: fields("diameter pitch", swept.Thread(i["thread"])),
    "thread_stress_area": lambda i: thread(i).stress_area,
    "thread_pitch_diameter": lambda i: thread(i).pitch_diameter,
    "thread_proof_load": lambda i: thread(i).proof_load(pa(i, "proof_stress")["proof_stress"]),
    "thread_torque_for": lambda i: thread(i).torque_for(**n(i, "preload"), **friction(i)),
    "thread_preload_from_torque": lambda i: thread(i).preload_from_torque(torque=f"{i['torque']!r} N m", **friction(i)),
    "proof_stress": lambda i: swept.proof_stress(property_class=i["property_class"], **m(i, "diameter")),
    "shank_stiffness": lambda i: swept.shank_stiffness(**shank(i)),
    "stretch_for": lambda i: swept.stretch_for(**n(i, "preload"), **shank(i)),
    "preload_from_stretch": lambda i: swept.preload_from_stretch(**m(i, "stretch"), **shank(i)),
    "turn_for": lambda i: swept.turn_for(**m(i, "stretch", "compression", "pitch")),
    "preload_from_turn": lambda i: swept.preload_from_turn(
        angle=angle(i), **m(i, "pitch"), **{k: v for k, v in i.items() if k.endswith("stiffness")}
    ),
    "parts_stiffness": lambda i: swept.parts_stiffness(**m(i, "grip", "diameter"), **pa(i, "young")),
    "bolted_joint_load_share": lambda i: joint(i).load_share,
    "bolted_joint_bolt_load": lambda i: joint(i).bolt_load(n(i, "outer")["outer"]),
    "bolted_joint_clamp_load": lambda i: joint(i).clamp_load(n(i, "outer")["outer"]),
    "bolted_joint_separation_load": lambda i: joint(i).separation_load,
    "angled_clamp": lambda i: named("clamp sideways", swept.angled_clamp(**n(i, "preload"), angle=angle(i))),
    "bob_weight": lambda i: swept.bob_weight(**several(i, "kg", "rotating", "reciprocating"), **plain(i, "share")),
    "best_share": lambda i: swept.best_share(throw(i)),
    "counterweight_sector_unbalance": lambda i: sector(i).unbalance,
    "permissible_unbalance": lambda i: swept.BalanceGrade(i["grade"]).permissible(
        mass=f"{i['mass']!r} kg", speed=speed(i)
    ),
    "allocate_to_bearings": lambda i: named(
        "first second limited",
        swept.allocate_to_bearings(
            permissible=f"{i['permissible']!r} kg m", **m(i, "centre_to_first", "centre_to_second")
        ),
    ),
    "shaking_force": lambda i: shaking(i, moment=False),
    "shaking_moment": lambda i: shaking(i, moment=True),
    "correct_by_trials": correction,
    **VALVETRAIN,
}

# pint's units of the metric display as swept writes them, with the SI unit they convert from.
WRITTEN = {
    "millimeter": ("mm", "m"),
    "centimeter ** 3": ("cm3", "m3"),
    "degree": ("deg", "rad"),
    "meter / second": ("m/s", "m/s"),
    "meter / second ** 2": ("m/s2", "m/s2"),
    "megapascal": ("MPa", "Pa"),
    "centimeter ** 2": ("cm2", "m2"),
    "newton": ("N", "N"),
    "meter * newton": ("N m", "N m"),
    "kelvin": ("K", "K"),
    "newton / millimeter": ("N/mm", "N/m"),
    "hertz": ("Hz", "Hz"),
    "revolutions_per_minute": ("rpm", "rad/s"),
    "gram": ("g", "kg"),
    "gram * millimeter": ("g mm", "kg m"),
    "micrometer / kelvin / meter": ("um/m/K", "m/m/K"),
}


@pytest.mark.parametrize("index", range(len(VECTORS)))
def test_three_languages_agree(index: int, rust: list[float], c_library: ctypes.CDLL) -> None:
    vector = VECTORS[index]
    name, output = vector["function"], vector.get("output", "")
    given = vector["inputs"] | vector.get("texts", {}) | vector.get("lists", {})
    in_rust = rust[index]
    scale = abs(vector["expected"]) or 1.0
    assert abs(in_rust - vector["expected"]) <= vector["tolerance"] * scale
    assert in_c(c_library, name, given, output) == in_rust
    shown = PYTHON[name](given)
    if output:
        shown = shown[output]
    if isinstance(shown, pint.Quantity):
        unit, base = WRITTEN[str(shown.units)]
        assert shown.magnitude == c_convert(c_library, in_rust, unit, base)
    else:
        assert shown == in_rust


def test_sheets_are_the_same_text_in_c_and_python(c_library: ctypes.CDLL) -> None:
    for path in sorted((ROOT / "examples").glob("*.toml")):
        document = path.read_bytes()
        json_text = ctypes.c_char_p()
        status = c_library.swept_build_sheet_json(document, ctypes.c_size_t(len(document)), ctypes.byref(json_text))
        assert status == 0
        in_python = swept.read_build(path).sheet().to_json()
        assert json_text.value is not None
        assert json.loads(json_text.value) == json.loads(in_python)
        c_library.swept_string_free(json_text)
