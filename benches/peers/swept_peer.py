"""`swept` beside what a user would use instead: entries for a harness that measures and compares them.

Through the public Python API only. Every call states its study anew;
nothing is kept between calls but the arrays of the entry that reuses them.
"""

import os

import numpy as np
from sampled_peer import PEERS as SAMPLED
from sampled_peer import W3_SAMPLES

import swept

__all__ = ["PEERS", "W3_SAMPLES"]

NAMES = (
    "bore",
    "stroke",
    "rod_length",
    "deck_height",
    "compression_height",
    "gasket_thickness",
    "gasket_bore",
    "chamber_volume",
    "crown_volume",
)
UNITS = ("mm",) * 7 + ("cm3",) * 2
OUTPUTS = (
    "displacement",
    "compression_ratio",
    "deck_clearance",
    "piston_to_head",
    "rod_ratio",
    "bore_stroke_ratio",
    "mean_piston_speed",
    "peak_acceleration",
    "wall_between_bores",
)
FIXED = {"cylinders": 8, "speed": "7000 rpm", "bore_spacing": "112 mm"}
LIMITS = {
    "compression_ratio": (9.0, 12.0),
    "piston_to_head": ("0.9 mm", "1.4 mm"),
    "mean_piston_speed": (None, "22 m/s"),
    "peak_acceleration": (None, "36000 m/s2"),
    "wall_between_bores": ("5 mm", None),
    "rod_ratio": (1.55, None),
}
BEST = (100, "displacement")
# Ranges of the columns; the deck height follows the stack, so that its clearance is scattered instead.
RANGES = {
    "bore": ("95 mm", "108 mm"),
    "stroke": ("75 mm", "102 mm"),
    "rod_length": ("140 mm", "165 mm"),
    "deck_clearance": ("-0.2 mm", "1.5 mm"),
    "compression_height": ("30 mm", "45 mm"),
    "gasket_thickness": ("0.5 mm", "1.5 mm"),
    "gasket_bore": ("100 mm", "110 mm"),
    "chamber_volume": ("40 cm3", "80 cm3"),
    "crown_volume": ("-5 cm3", "25 cm3"),
}


def of_columns(columns):
    given = {name: (column, unit) for name, column, unit in zip(NAMES, columns, UNITS, strict=True)}
    return swept.Columns(columns=given, fixed=FIXED, limits=LIMITS)


def full(columns, out=None):
    found = of_columns(columns).outputs(OUTPUTS, out=out, best=BEST)
    answer = {
        "count": found.tally.feasible,
        "top": found.best["displacement_cm3"],
        "columns": list(found.table.values()),
        "ok": found.feasible,
    }
    return answer, found


_kept = {}


def full_reusing(columns):
    answer, _kept["out"] = full(columns, _kept.get("out") if len(columns[0]) == _kept.get("rows") else None)
    _kept["rows"] = len(columns[0])
    return answer


def filtered(study):
    found = study.filter(best=BEST)
    return {"count": found.tally.feasible, "top": found.best["displacement_cm3"], "idx": found.rows}


def described(columns):
    return filtered(swept.Scatter(ranges=RANGES, designs=len(columns[0]), fixed=FIXED, limits=LIMITS))


def grid(axes):
    axes_of = zip(NAMES, axes, UNITS, strict=True)
    vary = {name: [f"{value!r} {unit}" for value in axis.tolist()] for name, axis, unit in axes_of}
    return filtered(swept.Study(vary=vary, fixed=FIXED, limits=LIMITS))


def clearances(columns):
    """The workload counts the pin offset the other way, and takes half the duration."""
    stroke, rod, offset, *valves = columns
    given = {"stroke": (stroke, "mm"), "rod_length": (rod, "mm"), "pin_offset": (-offset, "mm")}
    for valve, (gap, lift, half, centre) in (("intake", valves[:4]), ("exhaust", valves[4:])):
        given[f"{valve}_static_clearance"] = (gap, "mm")
        given[f"{valve}_lift"] = (lift, "mm")
        given[f"{valve}_duration"] = (2.0 * half, "deg")
        given[f"{valve}_centreline"] = (centre, "deg")
    fixed = {"intake_valve_angle": "18 deg", "exhaust_valve_angle": "15 deg"}
    found = swept.valve_clearances(columns=given, fixed=fixed)
    names = ("intake_clearance_mm", "intake_angle_deg", "exhaust_clearance_mm", "exhaust_angle_deg")
    return {name.rpartition("_")[0]: np.asarray(found[name]) for name in names}


PEERS = {
    "w1_full": {
        "swept": lambda columns: full(columns)[0],
        "swept reuse-out": (full_reusing, {"kind": "reuse-out"}),
    },
    "w1_filter": {"swept": lambda columns: filtered(of_columns(columns))},
    "w1_grid": {"swept": grid},
    "w1_billion": {"swept": grid},
    "w2": {"swept": clearances},
    **SAMPLED,
}

# Designs described instead of stored are other rows than the columns', not to be compared element by element: only
# where the environment asks for them.
if os.environ.get("SWEPT_DESCRIBED"):
    PEERS["w1_filter"]["swept described"] = described
