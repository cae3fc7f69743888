"""Studies: designs described by axes, the limits they must hold, and exact questions asked of all of them."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from html import escape
from typing import TYPE_CHECKING, Any, overload

from swept._swept import NativeBlocks, NativeStudy
from swept.columns import Best, Filtered, Tally, best_asked
from swept.named_rows import NamedRows, whole_rows
from swept.progress import Progress, told
from swept.study_text import AxisGiven, LimitGiven, axis_text, axis_words, limit_text, limit_words, one_text
from swept.tables import Table

if TYPE_CHECKING:
    import numpy as np

    Rows = np.ndarray[Any, np.dtype[Any]]


@dataclass(frozen=True)
class Count:
    """How many designs a grid has, and how many hold every limit."""

    designs: int
    feasible: int

    @property
    def share(self) -> float:
        """Feasible designs of all."""
        return self.feasible / self.designs if self.designs else 0.0

    def __repr__(self) -> str:
        return f"Count({self.feasible:,} of {self.designs:,} designs are feasible, {self.share:.3g})"


class Study(NamedRows):
    """Designs on a grid, and their limits.

    ``vary`` has an axis for each figure that varies: ``span(...)``, or a list of values; the last axis is the fastest.
    ``fixed`` has the figures that are the same in all designs, ``limits`` what outputs must hold: ``(lower, upper)``,
    either None. Figures are texts with their unit or pint quantities; ``swept.STUDY_FIGURES`` and
    ``swept.STUDY_OUTPUTS`` are the names. Designs are numbered by their row, from 0. Limits include their ends, and are
    compared with outputs as they are computed, in 64 bits: a design that stands on a limit, such as 96 mm - 88.9 mm on
    7.1 mm, may be rounded to either side of it; a limit wider by a millionth of a millimetre takes it in.

    Every question is exact, takes ``threads`` (0: as many as the machine runs at once; the answer is the same for any
    number) and ``progress``: True for a bar (with tqdm), or a function that is told the share done. Ctrl-C ends it.
    """

    _native: NativeStudy

    def __init__(
        self,
        *,
        vary: Mapping[str, AxisGiven],
        fixed: Mapping[str, Any] | None = None,
        limits: Mapping[str, LimitGiven] | None = None,
    ) -> None:
        if not isinstance(vary, Mapping):
            raise TypeError(f'vary must be such as {{"bore": span(...)}}, not {vary!r}')
        written = {
            "axes": [axis_text(name, given) for name, given in vary.items()],
            "fixed": {name: one_text(f"fixed.{name}", name, given) for name, given in (fixed or {}).items()},
            "limits": {name: limit_text(name, given) for name, given in (limits or {}).items()},
        }
        self._take(json.dumps(written), written)

    @classmethod
    def from_json(cls, text: str) -> Study:
        """A study from its text, as ``to_json`` gives it: JSON with axes, fixed and limits."""
        study = cls.__new__(cls)
        native = NativeStudy(text)
        study._take(text, {"fixed": {}, "limits": {}, **json.loads(text)}, native)
        return study

    def _take(self, text: str, written: dict[str, Any], native: NativeStudy | None = None) -> None:
        self._native = native or NativeStudy(text)
        self._parts: tuple[tuple[int, int], ...] = ()
        self._text, self._written = text, written

    def _part(self, parts: tuple[tuple[int, int], ...]) -> Study:
        """Part of a part, and so on."""
        study = Study.from_json(self._text)
        study._parts = self._parts + parts
        for i, n in study._parts:
            study._native = study._native.partition(i, n)
        return study

    def to_json(self) -> str:
        """The study as JSON, every figure with its unit."""
        return self._text

    @property
    def designs(self) -> int:
        """How many designs the grid has."""
        return self._native.designs

    @property
    def figures(self) -> tuple[str, ...]:
        """The figures that are known, those of the axes first; some have their usual value where nothing is said."""
        return tuple(self._native.figures)

    @property
    def outputs(self) -> tuple[str, ...]:
        """The outputs that can be computed from the figures given."""
        return tuple(self._native.outputs)

    @property
    def axes(self) -> dict[str, Any]:
        """The values of each axis, in the order of the axes: array-valued quantities, or arrays of numbers."""
        return {axis["figure"]: self._native.axis(axis["figure"]) for axis in self._written["axes"]}

    @property
    def limits(self) -> dict[str, tuple[Any, Any]]:
        """The lower and upper limit of each limited output, as quantities; None where there is none."""
        return {name: self._native.limit(name) for name in self._written["limits"]}

    def count(self, *, threads: int = 0, progress: Progress = None) -> Count:
        """How many designs are feasible."""
        with told(progress, "count") as tell:
            return Count(*self._native.count(threads, tell))

    @overload
    def feasible(self, columns: None = None, *, threads: int = 0, progress: Progress = None) -> Rows: ...
    @overload
    def feasible(self, columns: Sequence[str], *, threads: int = 0, progress: Progress = None) -> Table: ...
    def feasible(
        self, columns: Sequence[str] | None = None, *, threads: int = 0, progress: Progress = None
    ) -> Rows | Table:
        """The rows of the feasible designs, rising; with ``columns``, a table of these figures and outputs as well.

        Rows are int64, or Python's integers where the grid has more than 2**63 designs. Where they are too many for
        the memory, use ``blocks``.
        """
        names = None if columns is None else self._names(columns)
        with told(progress, "feasible") as tell:
            rows = self._native.feasible(threads, tell)
        return rows if names is None else self._table(rows, names)

    def filter(
        self,
        best: Best | None = None,
        *,
        columns: Sequence[str] = (),
        threads: int = 0,
        progress: Progress = None,
    ) -> Filtered:
        """Counts, feasible rows and the best of them, such as ``best=(100, "displacement")``, in one walk.

        As ``count``, ``feasible`` and ``best`` tell them, in hardly more time than ``feasible`` alone where the output
        depends on outer axes only. No row of a grid is refused: that is done when the study is made.
        """
        asked = None if best is None else best_asked(best)
        names = self._names(columns) if asked is None else self._best_names(asked[0], asked[1], columns)
        with told(progress, "filter") as tell:
            designs, rows, top = self._native.filter(asked, threads, tell)
        return Filtered(Tally(designs, len(rows), 0), rows, self._table(top, names))

    def blocks(
        self,
        columns: Sequence[str] = (),
        *,
        size: int = 1_000_000,
        threads: int = 0,
        progress: Progress = None,
    ) -> Blocks:
        """The feasible designs as tables of ``size`` rows, one after another, the last shorter: nothing else is kept.

        An iteration that Ctrl-C ended goes on where it stood when the same object is asked for the next block.
        """
        if size < 1:
            raise ValueError(f"size is {size}; allowed: 1 or more")
        return Blocks(self, self._names(columns), size, threads, progress)

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
        """The k best feasible designs by an output, the best first, of equal ones the lower row: exact.

        Beside the row stand the figures of the axes, the output, the limited outputs, and ``columns``. Designs whose
        output is no number, such as a ratio without a volume above the piston, are left out. Boxes of the grid that
        cannot hold a better design are left; where boxes are too many, the feasible rows are walked.
        """
        names = self._best_names(k, by, columns)
        with told(progress, "best") as tell:
            rows = self._native.best(k, by, maximise, threads, tell)
        return self._table(rows, names)

    def pareto(
        self,
        objectives: Mapping[str, str],
        *,
        columns: Sequence[str] = (),
        threads: int = 0,
        progress: Progress = None,
    ) -> Table:
        """The feasible designs that no other beats in all objectives, exact; the best by the first of them on top.

        ``objectives`` has outputs with "max" or "min". Of designs with equal outputs the lowest row stands for all.
        Beside the row stand the figures of the axes, the objectives, the limited outputs, and ``columns``. Boxes of the
        grid that cannot hold such a design are left; where boxes are too many, the feasible rows are walked.
        """
        goals, names = self._goals(objectives), self._beside([*objectives], columns)
        with told(progress, "pareto") as tell:
            rows = self._native.pareto(goals, threads, tell)
        return self._table(rows, names)

    def partition(self, i: int, n: int) -> Study:
        """Part i of n of its rows, counted from 0, for another process or machine; row numbers stay those of the grid.

        Answers of the parts merge to that of the whole: counts add, rows follow one another, the best are the best of
        the best.
        """
        return self._part(((i, n),))

    @property
    def rows(self) -> range:
        """The rows that questions are asked of: all, or those of a part."""
        return range(*self._native.rows)

    def excluded(self, *, threads: int = 0, progress: Progress = None) -> Table:
        """What each limit alone excludes, whatever the others say: the designs, and their share of all."""
        with told(progress, "excluded") as tell:
            designs = dict(self._native.excluded(threads, tell))
        return self._excluded(designs)

    def _excluded(self, designs: Mapping[str, int]) -> Table:
        found = [(name, designs[name]) for name in self._written["limits"]]
        return Table(
            {
                "limit": [limit_words(name, self._written["limits"][name]) for name, _ in found],
                "output": [name for name, _ in found],
                "designs": whole_rows([designs for _, designs in found]),
                "share": [designs / max((self.rows.stop - self.rows.start), 1) for _, designs in found],
            }
        )

    def design(self, row: int) -> dict[str, Any]:
        """One design by its row: every figure that is known and every output, as quantities by name."""
        return dict(self._native.design(row))

    def table(self, rows: Sequence[int] | Rows, columns: Sequence[str] | None = None) -> Table:
        """Figures and outputs of any rows, feasible or not; without ``columns`` those of the axes and every output."""
        names = [*self._varied, *self.outputs] if columns is None else columns
        return self._table(whole_rows(rows), self._names(names))

    def at(self, figures: Mapping[str, Any]) -> Study:
        """The same study with these figures fixed, on an axis or not before: ``study.at({"bore": "86 mm"})``."""
        own = {name: one_text(f"at.{name}", name, given) for name, given in figures.items()}
        axes = [axis for axis in self._written["axes"] if axis["figure"] not in own]
        return Study.from_json(json.dumps({**self._written, "axes": axes, "fixed": {**self._written["fixed"], **own}}))

    @property
    def _varied(self) -> list[str]:
        return [axis["figure"] for axis in self._written["axes"]]

    def _best_names(self, k: int, by: str, columns: Sequence[str]) -> list[str]:
        """What stands beside the rows of the k best."""
        best_asked((k, by))
        return self._beside([by], columns)

    def _goals(self, objectives: Mapping[str, str]) -> list[tuple[str, bool]]:
        """The objectives, each with whether it is better greater."""
        if not isinstance(objectives, Mapping):
            raise TypeError(f'objectives must be such as {{"displacement": "max"}}, not {objectives!r}')
        return [(name, _goal(name, goal)) for name, goal in objectives.items()]

    def _beside(self, outputs: Sequence[str], columns: Sequence[str]) -> list[str]:
        """What stands beside rows that were chosen by outputs."""
        return self._names([*self._varied, *outputs, *self._written["limits"], *columns])

    def __eq__(self, other: object) -> bool:
        return bool(self._native == other._native) if isinstance(other, Study) else NotImplemented

    def __hash__(self) -> int:
        return hash(tuple(self._varied))

    def __reduce__(self) -> tuple[Any, ...]:
        return (_rebuilt, (self._text, self._parts))

    def __repr__(self) -> str:
        axes = ", ".join(f"{axis['figure']!r}: {axis_words(axis)}" for axis in self._written["axes"])
        limits = {name: (limit.get("lower"), limit.get("upper")) for name, limit in self._written["limits"].items()}
        parts = [f"vary={{{axes}}}", f"fixed={self._written['fixed']!r}", f"limits={limits!r}"]
        of = "".join(f".partition({i}, {n})" for i, n in self._parts)
        return f"Study({', '.join(part for part in parts if not part.endswith('={}'))}){of}"

    def _repr_html_(self) -> str:
        lines = [("varies", axis["figure"], axis_words(axis)) for axis in self._written["axes"]]
        lines += [("fixed", name, text) for name, text in self._written["fixed"].items()]
        lines += [("limit", name, limit_words(name, limit)) for name, limit in self._written["limits"].items()]
        rows = "".join("<tr>" + "".join(f"<td>{escape(text)}</td>" for text in line) + "</tr>" for line in lines)
        return f"<p>{self.designs:,} designs</p><table><tbody>{rows}</tbody></table>"


class Blocks:
    """The feasible designs of a study as tables, one after another: an iterator, made by ``Study.blocks``."""

    def __init__(self, study: Study, names: list[str], size: int, threads: int, progress: Progress) -> None:
        self._study, self._names, self._size, self._threads = study, names, size, threads
        self._native: NativeBlocks = study._native.blocks()
        self._bar = told(progress, "blocks")
        self._tell: Callable[[float], object] | None = self._bar.__enter__()

    def __iter__(self) -> Blocks:
        return self

    def __next__(self) -> Table:
        rows = self._native.next(self._size, self._threads, self._tell)
        if len(rows) == 0:
            self._bar.__exit__(None, None, None)
            raise StopIteration
        return self._study._table(rows, self._names)

    @property
    def row(self) -> int:
        """The row up to which the grid has been looked at."""
        return self._native.row

    def __repr__(self) -> str:
        return f"Blocks(up to row {self.row:,} of {self._study.designs:,})"


def _rebuilt(text: str, parts: tuple[tuple[int, int], ...]) -> Study:
    return Study.from_json(text)._part(parts)


def _goal(name: str, goal: str) -> bool:
    if goal not in ("max", "min"):
        raise ValueError(f'the goal of {name} is {goal!r}; write "max" or "min"')
    return goal == "max"
