"""Cylinders of the tables of shaking forces, and unbalance as complex numbers, for the tests of the balance."""

from __future__ import annotations

import cmath
from typing import Any

import swept

SLIDER = swept.Cylinder(bore="80 mm", stroke="80 mm", rod_length="140 mm")
V8 = (0, 90, 270, 180)


def shaking(bank: float, throw: float, place: int) -> dict[str, Any]:
    """A cylinder whose mass times crank radius is 1 kg m, its throw 100 mm from the next: the units of the tables."""
    angles = {"bank_angle": f"{bank} deg", "throw_angle": f"{throw} deg"}
    return {"cylinder": SLIDER, **angles, "position": f"{100 * place} mm", "reciprocating": "25 kg"}


def vee(angle: float, throws: tuple[int, ...]) -> list[dict[str, Any]]:
    return [shaking(side * angle / 2, t, i) for i, t in enumerate(throws) for side in (1, -1)]


def vector(amount: str, heavy_at: str) -> swept.UnbalanceVector:
    return swept.UnbalanceVector(amount=amount, heavy_at=heavy_at)


def of(v: swept.UnbalanceVector) -> complex:
    return cmath.rect(v.amount.m_as("kg m"), v.heavy_at.m_as("rad"))
