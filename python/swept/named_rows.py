"""Rows of designs with their figures and outputs as tables, for every kind of study."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from swept._swept import NativeListed, NativeStudy
from swept.tables import Table, named


class NamedRows:
    """Tables of what stands in rows, by name."""

    _native: NativeStudy | NativeListed

    def _names(self, columns: Sequence[str]) -> list[str]:
        """The names once each, and known before a long question starts."""
        if isinstance(columns, str):
            raise TypeError(f'columns must be a list of names, such as ["{columns}"]')
        names = list(dict.fromkeys(columns))
        self._native.know(names)
        return names

    def _table(self, rows: Any, names: Sequence[str]) -> Table:
        found = self._native.table(rows, list(names))
        return Table({"row": rows, **{named(name, symbol): values for name, symbol, values in found}})


def whole_rows(values: Any) -> Any:
    """Whole numbers as int64, or as they are where they do not fit."""
    import numpy as np

    if isinstance(values, np.ndarray) and values.dtype != object:
        if values.dtype.kind not in "iu":
            raise TypeError(f"rows must be whole numbers, not {values.dtype}")
        return np.ascontiguousarray(values, dtype="int64") if values.dtype.kind == "i" else values.astype(object)
    found = list(values)
    strays = [v for v in found if not hasattr(v, "__index__")]
    if strays:
        raise TypeError(f"rows must be whole numbers, not {strays[0]!r}")
    fits = all(-(2**63) <= int(v) < 2**63 for v in found)
    return np.array(found, dtype="int64" if fits else object)
