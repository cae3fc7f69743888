"""Engine geometry and clearances: from measured dimensions to a build sheet.

Dimensions go in as texts with their unit ("4.125 in") or as pint quantities of any registry, and come out as pint
quantities of the application registry in the display system chosen (``swept.display("inch")``).
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

from swept import errors
from swept._quantities import display
from swept._swept import (
    Budget,
    ClearanceVolume,
    Cylinder,
    Layout,
    Reading,
    ThickCylinder,
    WallReading,
    __version__,
    bearing_clearance,
    bore_for_wall,
    build_schema,
    chamber_volume_for,
    clearance_volume_for,
    compression_ratio,
    conformance_probability,
    convert,
    correlation_of_means,
    coverage_factor,
    crown_volume_for,
    deck_clearance,
    deck_height_for,
    deck_height_for_ratio,
    disc_volume,
    effective_degrees_of_freedom,
    end_float,
    end_gap_in_bore,
    end_gap_rule,
    gasket_thickness_for,
    guard_band,
    piston_to_head,
    piston_to_wall,
    propagate,
    quantity,
    ring_land_crevice,
    rod_side_clearance,
    side_clearance,
    thinnest_wall,
    trapped_compression_ratio,
    type_a,
    verdict,
    wall_after_overbore,
    wall_between_bores,
    wall_hoop_stress,
)
from swept.documents import Build, Finding, Sheet, parse_build, read_build
from swept.errors import SweptError
from swept.motion import motion_table

if TYPE_CHECKING:
    from swept import plots, report, tables

# Imported on first use, with matplotlib and jinja2 behind them.
_LAZY = ("plots", "report", "tables")


def __getattr__(name: str) -> Any:
    if name in _LAZY:
        return import_module(f"swept.{name}")
    raise AttributeError(f"module 'swept' has no attribute {name!r}")


__all__ = [
    "Budget",
    "Build",
    "ClearanceVolume",
    "Cylinder",
    "Finding",
    "Layout",
    "Reading",
    "Sheet",
    "SweptError",
    "ThickCylinder",
    "WallReading",
    "__version__",
    "bearing_clearance",
    "bore_for_wall",
    "build_schema",
    "chamber_volume_for",
    "clearance_volume_for",
    "compression_ratio",
    "conformance_probability",
    "convert",
    "correlation_of_means",
    "coverage_factor",
    "crown_volume_for",
    "deck_clearance",
    "deck_height_for",
    "deck_height_for_ratio",
    "disc_volume",
    "display",
    "effective_degrees_of_freedom",
    "end_float",
    "end_gap_in_bore",
    "end_gap_rule",
    "errors",
    "gasket_thickness_for",
    "guard_band",
    "motion_table",
    "parse_build",
    "piston_to_head",
    "piston_to_wall",
    "plots",
    "propagate",
    "quantity",
    "read_build",
    "report",
    "ring_land_crevice",
    "rod_side_clearance",
    "side_clearance",
    "tables",
    "thinnest_wall",
    "trapped_compression_ratio",
    "type_a",
    "verdict",
    "wall_after_overbore",
    "wall_between_bores",
    "wall_hoop_stress",
]
