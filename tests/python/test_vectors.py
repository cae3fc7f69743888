"""The vectors in Python and C against Rust, bit for bit, and against their source within its tolerance.

Python shows SI values in a display unit; the same conversion by the C library must give the same bits.
"""

from __future__ import annotations

import ctypes
import json
import math
import os
import struct
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pint
import pytest

import swept

ROOT = Path(__file__).parents[2]
FILES = sorted((ROOT / "tests" / "vectors").glob("*.json"))
VECTORS = [vector for file in FILES for vector in json.loads(file.read_text(encoding="utf-8"))]
LIBRARY = Path(os.environ.get("SWEPT_PREFIX", ROOT / "target" / "installed")) / "lib" / "libswept.so"

Inputs = dict[str, float]


class CCylinder(ctypes.Structure):
    _fields_ = [(name, ctypes.c_double) for name in ("bore", "stroke", "rod_length", "pin_offset")]


class CVolumes(ctypes.Structure):
    _fields_ = [(name, ctypes.c_double) for name in ("chamber", "gasket", "deck", "crown", "crevice")]


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
}


@pytest.fixture(scope="module")
def c_library() -> ctypes.CDLL:
    assert LIBRARY.exists(), f"{LIBRARY} is missing: make install PREFIX=target/installed"
    return ctypes.CDLL(str(LIBRARY))


@pytest.fixture(scope="module")
def rust() -> list[float]:
    command = ["cargo", "run", "--quiet", "--release", "-p", "swept-tests", "--bin", "vectors", "--", *map(str, FILES)]
    lines = subprocess.run(command, cwd=ROOT, check=True, capture_output=True, text=True).stdout.split()
    return [struct.unpack(">d", bytes.fromhex(line))[0] for line in lines]


def in_c(library: ctypes.CDLL, function: str, inputs: Inputs) -> float:
    arguments: list[Any] = []
    for argument in C_ARGUMENTS[function]:
        if isinstance(argument, str):
            arguments.append(ctypes.c_double(inputs.get(argument, math.nan)))
        else:
            fields = [inputs[name] for name, _ in argument._fields_]
            arguments.append(ctypes.byref(argument(*fields)))
    out = ctypes.c_double()
    status = getattr(library, f"swept_{function}")(*arguments, ctypes.byref(out))
    assert status == 0, function
    return out.value


def c_convert(library: ctypes.CDLL, value: float, to: str, base: str) -> float:
    out = ctypes.c_double()
    assert library.swept_convert(ctypes.c_double(value), base.encode(), to.encode(), ctypes.byref(out)) == 0
    return out.value


def m(i: Inputs, *names: str) -> dict[str, str]:
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
}

# pint's units of the metric display as swept writes them, with the SI unit they convert from.
WRITTEN = {
    "millimeter": ("mm", "m"),
    "centimeter ** 3": ("cm3", "m3"),
    "degree": ("deg", "rad"),
    "meter / second": ("m/s", "m/s"),
    "meter / second ** 2": ("m/s2", "m/s2"),
    "megapascal": ("MPa", "Pa"),
}


@pytest.mark.parametrize("index", range(len(VECTORS)))
def test_three_languages_agree(index: int, rust: list[float], c_library: ctypes.CDLL) -> None:
    vector = VECTORS[index]
    name, inputs = vector["function"], vector["inputs"]
    in_rust = rust[index]
    scale = abs(vector["expected"]) or 1.0
    assert abs(in_rust - vector["expected"]) <= vector["tolerance"] * scale
    assert in_c(c_library, name, inputs) == in_rust
    shown = PYTHON[name](inputs)
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
