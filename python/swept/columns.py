"""Designs listed row by row: given as columns, or scattered over ranges; the same exact questions as of a grid."""

from __future__ import annotations

import copy
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Self, TypeAlias, overload

from swept._swept import NativeListed, write_valve_clearances
from swept.named_rows import NamedRows, whole_rows
from swept.progress import Progress, told
from swept.study_text import LimitGiven, limit_text, limit_words, one_text
from swept.tables import Table, named

if TYPE_CHECKING:
    import numpy as np

    Rows = np.ndarray[Any, np.dtype[Any]]

# How many, by which output, and whether more is better (True where it is not said).
Best: TypeAlias = "tuple[int, str] | tuple[int, str, bool]"


@dataclass(frozen=True)
class Tally:
    """How many rows there are, how many hold every limit, and how many are no engine.

    Refused are rows in which a figure is no number or one that it cannot be, or whose rod is too short for its crank
    to turn. They are not feasible, and count as excluded by no limit.
    """

    rows: int
    feasible: int
    refused: int

    def __repr__(self) -> str:
        return f"Tally({self.feasible:,} of {self.rows:,} rows are feasible, {self.refused:,} refused)"


@dataclass(frozen=True)
class Filtered:
    """What one pass over all rows tells: the counts, the feasible rows, rising, and the best of them."""

    tally: Tally
    rows: Rows
    best: Table


@dataclass(frozen=True)
class Outputs:
    """Outputs of every row, NaN where a row is refused; flags of the feasible rows; the counts; the best rows.

    Passed as ``out`` to a later question its arrays are written again.
    """

    table: Table
    feasible: Rows
    tally: Tally
    best: Table
    arrays: dict[str, Rows] = field(repr=False)


class _Listed(NamedRows):
    """Questions asked of listed designs."""

    _native: NativeListed
    _text: str
    _varied: list[str]
    _limits: dict[str, dict[str, str]]

    def __len__(self) -> int:
        return len(self.rows)

    @property
    def rows(self) -> range:
        """The numbers of its rows: from 0, or those of a part."""
        return range(*self._native.rows)

    def partition(self, i: int, n: int) -> Self:
        """Part i of n of its rows, counted from 0, for another process or machine; row numbers stay those of the whole.

        Answers of the parts merge to that of the whole: counts add, rows follow one another, the best are the best of
        the best. A part answers for its own rows only.
        """
        part = copy.copy(self)
        part._native = self._native.partition(i, n)
        return part

    @property
    def figures(self) -> tuple[str, ...]:
        """The figures that are known, those that vary first; some have their usual value where nothing is said."""
        return tuple(self._native.figures)

    @property
    def known_outputs(self) -> tuple[str, ...]:
        """The outputs that can be computed from the figures given."""
        return tuple(self._native.outputs)

    def count(self, *, threads: int = 0, progress: Progress = None) -> Tally:
        """How many rows there are, and how many are feasible or refused."""
        with told(progress, "count") as tell:
            return Tally(*self._native.count(threads, tell))

    @overload
    def feasible(self, columns: None = None, *, threads: int = 0, progress: Progress = None) -> Rows: ...
    @overload
    def feasible(self, columns: Sequence[str], *, threads: int = 0, progress: Progress = None) -> Table: ...
    def feasible(
        self, columns: Sequence[str] | None = None, *, threads: int = 0, progress: Progress = None
    ) -> Rows | Table:
        """The feasible rows, rising, int64; with ``columns``, a table of these figures and outputs as well."""
        names = None if columns is None else self._names(columns)
        with told(progress, "feasible") as tell:
            rows = self._native.filter(None, threads, tell)[1]
        return rows if names is None else self._table(rows, names)

    def best(
        self,
        k: int,
        by: str,
        maximise: bool = True,
        *,
        columns: Sequence[str] = (),
        threads: int = 0,
        progress: Progress = None,
    ) -> Table:
        """The k best feasible rows by an output, the best first, of equal ones the lower row: exact.

        Beside the row stand the figures that vary, the output, the limited outputs, and ``columns``.
        """
        best, names = self._best((k, by, maximise), columns)
        with told(progress, "best") as tell:
            return self._table(self._native.best(best, threads, tell), names)

    def filter(
        self,
        best: Best | None = None,
        *,
        columns: Sequence[str] = (),
        threads: int = 0,
        progress: Progress = None,
    ) -> Filtered:
        """Counts, feasible rows and the best of them, such as ``best=(100, "displacement")``, in one pass."""
        asked, names = (None, self._names(columns)) if best is None else self._best(best, columns)
        with told(progress, "filter") as tell:
            tally, rows, top = self._native.filter(asked, threads, tell)
        return Filtered(Tally(*tally), rows, self._table(top, names))

    def outputs(
        self,
        names: Sequence[str],
        *,
        out: Outputs | Mapping[str, Any] | None = None,
        best: Best | None = None,
        columns: Sequence[str] = (),
        threads: int = 0,
        progress: Progress = None,
    ) -> Outputs:
        """Outputs of every row, flags of the feasible ones, and the best of them, in one pass.

        ``out`` has arrays to write to instead of new ones: what an earlier question gave, or float64 arrays by name of
        the output, and flags (bool) by ``"feasible"``; what it lacks is made. Values are in the units of the names of
        the table's columns. While a question runs, nothing else is to write to its arrays.
        """
        import numpy as np

        symbols = self._native.symbols(self._outputs(names))
        asked, shown = (None, self._names(columns)) if best is None else self._best(best, columns)
        given = dict(out.arrays if isinstance(out, Outputs) else out or {})
        strays = sorted(set(given) - {name for name, _ in symbols} - {"feasible"})
        if strays and not isinstance(out, Outputs):
            raise TypeError(f"out has {strays[0]!r}, which is not asked for")
        arrays = {n: given[n] if n in given else np.empty(len(self), "float64") for n, _ in symbols}
        flags = given["feasible"] if "feasible" in given else np.empty(len(self), "bool")
        if not isinstance(flags, np.ndarray) or flags.dtype not in (np.dtype("bool"), np.dtype("uint8")):
            raise TypeError("out for feasible must be a NumPy array of bool")
        with told(progress, "outputs") as tell:
            tally, top = self._native.write(
                list(arrays.items()), flags.view("uint8"), asked, out is not None, threads, tell
            )
        table = Table({named(name, symbol): arrays[name] for name, symbol in symbols})
        kept = {**arrays, "feasible": flags}
        return Outputs(table, flags.view("bool"), Tally(*tally), self._table(top, shown), kept)

    def excluded(self, *, threads: int = 0, progress: Progress = None) -> Table:
        """What each limit alone excludes of the rows that are not refused, and its share of all rows."""
        with told(progress, "excluded") as tell:
            return self._excluded(dict(self._native.excluded(threads, tell)))

    def _excluded(self, found: Mapping[str, int]) -> Table:
        return Table(
            {
                "limit": [limit_words(name, limit) for name, limit in self._limits.items()],
                "output": list(self._limits),
                "designs": whole_rows([found[name] for name in self._limits]),
                "share": [found[name] / max(len(self), 1) for name in self._limits],
            }
        )

    def design(self, row: int) -> dict[str, Any]:
        """One row: every figure that is known and every output, as quantities by name."""
        return dict(self._native.design(row))

    def table(self, rows: Sequence[int] | Rows, columns: Sequence[str] | None = None) -> Table:
        """Figures and outputs of any rows; without ``columns`` those that vary and every output."""
        names = [*self._varied, *self.known_outputs] if columns is None else columns
        return self._table(whole_rows(rows), self._names(names))

    def _outputs(self, names: Sequence[str]) -> list[str]:
        if isinstance(names, str):
            raise TypeError(f'names must be a list of outputs, such as ["{names}"]')
        return list(dict.fromkeys(names))

    def _best(self, best: Best, columns: Sequence[str]) -> tuple[tuple[int, str, bool], list[str]]:
        """What is asked for, and the columns of its table."""
        asked = best_asked(best)
        return asked, self._names([*self._varied, asked[1], *self._limits, *columns])

    def _shared(self, fixed: Mapping[str, Any] | None, limits: Mapping[str, LimitGiven] | None) -> dict[str, Any]:
        written = {name: limit_text(name, given) for name, given in (limits or {}).items()}
        texts = {name: one_text(f"fixed.{name}", name, given) for name, given in (fixed or {}).items()}
        return {"fixed": texts, "limits": written}

    def __repr__(self) -> str:
        first = f" from {self.rows.start:,}" if self.rows.start else ""
        return f"{type(self).__name__}({len(self):,} rows{first}: {', '.join(self._varied)})"


class Columns(_Listed):
    """Designs as columns of one length, one for each figure that varies, and their limits.

    A column is an array with its unit, ``"bore": (array, "mm")``, a pint quantity of an array, or an array where the
    figure has no unit. Contiguous float64 arrays are read where they are, each time a question is asked, and are not
    to be written meanwhile; others are converted once. A value in mm, deg or rad/s is taken as it is; others, such as
    volumes in cm3, cost a multiplication as they are read. ``fixed`` and ``limits`` are as in ``Study``.

    Values are not checked beforehand: rows that are no engine are refused one by one, and counted. Questions take
    ``threads`` and ``progress`` as those of ``Study``.
    Pickled, it takes its rows along: those of a part, no others.
    """

    def __init__(
        self,
        *,
        columns: Mapping[str, Any],
        fixed: Mapping[str, Any] | None = None,
        limits: Mapping[str, LimitGiven] | None = None,
    ) -> None:
        self._take(json.dumps(self._shared(fixed, limits)), list(columns.items()), 0)

    def _take(self, text: str, columns: list[tuple[str, Any]], first: int) -> None:
        self._native = NativeListed.of_columns(text, columns, first)
        self._text, self._limits = text, json.loads(text)["limits"]
        self._varied = [name for name, _ in columns]

    def __reduce__(self) -> tuple[Any, ...]:
        columns = [(name, (array, unit) if unit else array) for name, array, unit in self._native.columns()]
        return (_columns, (self._text, columns, self.rows.start))


class Scatter(_Listed):
    """So many designs spread evenly over ranges of figures, ``"bore": ("80 mm", "90 mm")``, and their limits.

    Each row is computed from its number (a Kronecker sequence), never stored; it is the same for any number of
    designs. ``fixed`` and ``limits`` are as in ``Study``; questions take ``threads`` and ``progress`` as its own.
    """

    def __init__(
        self,
        *,
        ranges: Mapping[str, tuple[Any, Any]],
        designs: int,
        fixed: Mapping[str, Any] | None = None,
        limits: Mapping[str, LimitGiven] | None = None,
    ) -> None:
        if isinstance(designs, bool) or not hasattr(designs, "__index__"):
            raise TypeError(f"designs must be a whole number, not {designs!r}")
        if designs < 0:
            raise ValueError(f"designs is {designs}; allowed: 0 or more")
        written = [_range_text(name, given) for name, given in ranges.items()]
        self._take(json.dumps({**self._shared(fixed, limits), "ranges": written, "designs": designs.__index__()}))

    def _take(self, text: str) -> None:
        written = json.loads(text)
        self._native = NativeListed.of_scatter(text)
        self._text, self._limits = text, written["limits"]
        self._varied = [given["figure"] for given in written["ranges"]]

    def __reduce__(self) -> tuple[Any, ...]:
        return (_scatter, (self._text, self.rows.start, self.rows.stop))


def _columns(text: str, columns: list[tuple[str, Any]], first: int) -> Columns:
    study = Columns.__new__(Columns)
    study._take(text, columns, first)
    return study


def _scatter(text: str, first: int, end: int) -> Scatter:
    study = Scatter.__new__(Scatter)
    study._take(text)
    study._native = study._native.between(first, end)
    return study


def best_asked(best: Best) -> tuple[int, str, bool]:
    """How many, by what, whether more is better."""
    if isinstance(best, str) or not hasattr(best, "__len__") or len(best) not in (2, 3):
        raise TypeError(f'best must be (how many, output), such as (100, "displacement"), not {best!r}')
    k, by, maximise = best if len(best) == 3 else (*best, True)
    if isinstance(k, bool) or not hasattr(k, "__index__"):
        raise TypeError(f"k must be a whole number, how many, not {k!r}")
    if k < 0:
        raise ValueError(f"k is {k}; allowed: 0 or more")
    return k, by, maximise


def _range_text(name: str, given: Any) -> dict[str, str]:
    if isinstance(given, str) or not hasattr(given, "__len__") or len(given) != 2:
        raise TypeError(f"ranges.{name} must be (least, greatest), such as ({given!r}, {given!r})")
    first, last = (one_text(f"ranges.{name}.{end}", name, given[i]) for i, end in enumerate(("from", "to")))
    return {"figure": name, "from": first, "to": last}


def valve_clearances(
    *,
    columns: Mapping[str, Any],
    fixed: Mapping[str, Any] | None = None,
    out: Mapping[str, Any] | None = None,
    threads: int = 0,
    progress: Progress = None,
) -> Table:
    """The least clearances of the intake and the exhaust valve to the piston over a cycle, of designs in columns.

    Figures are ``stroke``, ``rod_length``, ``pin_offset`` (positive towards the major thrust side), ``cam_advance``,
    and of each valve, such as ``intake_lift``: ``static_clearance`` (gap between the valve on its seat and the piston
    at top dead centre, along the bore), ``lift``, ``duration``, ``centreline`` (from overlap top dead centre: of an
    exhaust valve negative) and ``valve_angle``. Offset, advance and valve angles are 0 where nothing is said. Columns
    are as in ``Columns``; ``fixed`` has the figures that are the same in all rows.

    The table has ``intake_clearance``, ``intake_angle``, ``exhaust_clearance``, ``exhaust_angle`` with their units:
    clearances along the bore, below zero where the parts would meet, and the first of the whole crank degrees from
    -360 to 359 that has it. Lift is the 3-4-5 polynomial. Rows of no engine are NaN. This is geometry alone: rods
    stretch, valves float and cams twist at speed; leave a margin. ``out`` has float64 arrays to write to, by these
    names without units.
    """
    import numpy as np

    names = ("intake_clearance", "intake_angle", "exhaust_clearance", "exhaust_angle")
    strays = sorted(set(out or {}) - set(names))
    if strays:
        raise TypeError(f"out has {', '.join(names)}, and no {strays[0]!r}")
    if not columns:
        raise TypeError("columns needs at least one; one design alone is a column of one value")
    rows = _length(next(iter(columns.values())))
    arrays = [out[n] if out is not None and n in out else np.empty(rows, "float64") for n in names]
    texts = [(name, one_text(f"fixed.{name}", name, given)) for name, given in (fixed or {}).items()]
    with told(progress, "valve clearances") as tell:
        length, angle = write_valve_clearances(list(columns.items()), texts, arrays, threads, tell)
    units = (length, angle, length, angle)
    return Table({named(n, unit): array for n, unit, array in zip(names, units, arrays, strict=True)})


def _length(column: Any) -> int:
    array = column[0] if isinstance(column, tuple) and column else column
    return len(array) if hasattr(array, "__len__") else 0
