"""Motion curves as a table."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from swept.tables import Table, named

if TYPE_CHECKING:
    from swept._swept import Cylinder

# pint's short names, as pint writes them, to the symbols that column names are made of.
_SYMBOLS = {
    "millimeter": "mm",
    "inch": "in",
    "meter / second": "m/s",
    "foot / minute": "ft/min",
    "meter / second ** 2": "m/s2",
    "foot / second ** 2": "ft/s2",
    "degree": "deg",
}


def motion_table(cylinder: Cylinder, *, speed: Any, steps: int = 720) -> Table:
    """Position, velocity, acceleration and rod angle over one revolution from top dead centre, in ``steps`` steps.

    Both ends are in the table. The columns carry the unit of the display system: ``piston_position_mm``.
    """
    import numpy as np

    from swept._quantities import make

    if steps < 1:
        raise ValueError(f"steps is {steps}; allowed: 1 or more")
    angle = make(np.linspace(0.0, 360.0, steps + 1), "degree")
    curves = {
        "angle": angle,
        "piston_position": cylinder.piston_position(angle),
        "piston_velocity": cylinder.piston_velocity(angle, speed=speed),
        "piston_acceleration": cylinder.piston_acceleration(angle, speed=speed),
        "rod_angle": cylinder.rod_angle(angle),
    }
    return Table({named(n, symbol(q)): q.magnitude for n, q in curves.items()})


def symbol(quantity: Any) -> str:
    """The trade's symbol for the unit of a quantity that swept made."""
    return _SYMBOLS[format(quantity.units, "D")]
