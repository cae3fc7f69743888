"""Plots, legible in black-and-white print: marks and dashes tell what colour would. Each returns its Figure."""

from swept.plots.balance import hodograph, shaking, unbalance
from swept.plots.drilling import cheeks_with_holes, drill_map
from swept.plots.geometry import (
    clearance_volume,
    clearances,
    cold_and_hot,
    contributors,
    matching,
    piston_motion,
    walls,
)
from swept.plots.studies import contour, pareto, tornado
from swept.plots.style import Plot
from swept.plots.valve_wheel import valve_timing
from swept.plots.valves import lobe_motion, spring_force, valve_clearance_map, valve_lift

__all__ = [
    "Plot",
    "cheeks_with_holes",
    "clearance_volume",
    "clearances",
    "cold_and_hot",
    "contour",
    "contributors",
    "drill_map",
    "hodograph",
    "lobe_motion",
    "matching",
    "pareto",
    "piston_motion",
    "shaking",
    "spring_force",
    "tornado",
    "unbalance",
    "valve_clearance_map",
    "valve_lift",
    "valve_timing",
    "walls",
]
