"""How the arguments of the C calls stand in their tables."""

from __future__ import annotations

import ctypes
from typing import Any

# Numbers, texts and lists by the names that C gives them without the unit.
Inputs = dict[str, Any]


class CCylinder(ctypes.Structure):
    _fields_ = [(name, ctypes.c_double) for name in ("bore", "stroke", "rod_length", "pin_offset")]


class Whole(str):
    """A whole number of 32 bits."""


class Size(str):
    """A whole number that counts."""


class Rows(tuple[Any, ...]):
    """A list of structs, each with its own entry of the lists and the numbers that all share; with their count."""


class Text(str):
    """A zero-terminated text."""


class List(str):
    """A list of numbers."""


class Count(str):
    """How many numbers a list has."""
