"""Questions about designs on a Dask cluster, each with its own merge of the answers of the parts."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import closing
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, TypeAlias, overload

from swept._swept import NativeListed, NativeStudy
from swept.columns import Columns, Scatter, Tally
from swept.dask.farm import PER_THREAD, Work, in_order, parts_of, threads_of, usable
from swept.progress import Progress, told
from swept.studies import Count, Study
from swept.tables import Table

if TYPE_CHECKING:
    import numpy as np

    from swept.dask.farm import Answers

    Rows = np.ndarray[Any, np.dtype[Any]]

Designs: TypeAlias = "Study | Columns | Scatter"

# Rows of one part of a stream: what is feasible of them has to be kept.
_LONGEST_PART = 1 << 30
# Bytes of columns that are sent with one part.
_LARGEST_PART = 8_000_000


@overload
def count(
    study: Study, client: Any = None, *, parts: int | None = None, retries: int = 3, progress: Progress = None
) -> Count: ...
@overload
def count(
    study: Columns | Scatter,
    client: Any = None,
    *,
    parts: int | None = None,
    retries: int = 3,
    progress: Progress = None,
) -> Tally: ...
def count(
    study: Designs, client: Any = None, *, parts: int | None = None, retries: int = 3, progress: Progress = None
) -> Count | Tally:
    """How many designs are feasible: ``Study.count``, or ``count`` of what is listed, a ``Tally``."""
    with _asked(study, client, parts, retries, progress, "count", _count) as answers:
        sums = [sum(found) for found in zip(*answers, strict=True)]
    return Count(*sums) if isinstance(study, Study) else Tally(*sums)


def feasible(
    study: Designs,
    columns: Sequence[str] | None = None,
    *,
    client: Any = None,
    parts: int | None = None,
    retries: int = 3,
    progress: Progress = None,
) -> Rows | Table:
    """The rows of the feasible designs, rising, with ``columns`` a table: ``Study.feasible``.

    All of them come here; where they are too many for the memory, use ``blocks``.
    """
    names = None if columns is None else study._names(columns)
    with _asked(study, client, parts, retries, progress, "feasible", _feasible) as answers:
        rows = _joined(answers)
    return rows if names is None else study._table(rows, names)


def best(
    study: Designs,
    k: int,
    by: str,
    maximise: bool = True,
    *,
    columns: Sequence[str] = (),
    client: Any = None,
    parts: int | None = None,
    retries: int = 3,
    progress: Progress = None,
) -> Table:
    """The k best feasible designs by an output, the best first, of equal ones the lower row: ``Study.best``."""
    asked = (k, by, maximise)
    names = study._best_names(k, by, columns) if isinstance(study, Study) else study._best(asked, columns)[1]
    with _asked(study, client, parts, retries, progress, "best", _best, *asked) as answers:
        rows = _joined(answers)
    native = study._native
    chosen = native.best_of(rows, asked) if isinstance(native, NativeListed) else native.best_of(rows, *asked)
    return study._table(chosen, names)


def pareto(
    study: Study,
    objectives: Mapping[str, str],
    *,
    columns: Sequence[str] = (),
    client: Any = None,
    parts: int | None = None,
    retries: int = 3,
    progress: Progress = None,
) -> Table:
    """The feasible designs that no other beats in all objectives: ``Study.pareto``."""
    if not isinstance(study, Study):
        raise TypeError(f"pareto is asked of a Study, not of {study!r}")
    goals, names = study._goals(objectives), study._beside([*objectives], columns)
    with _asked(study, client, parts, retries, progress, "pareto", _pareto, goals) as answers:
        rows = _joined(answers)
    return study._table(study._native.efficient_of(rows, goals), names)


def excluded(
    study: Designs, client: Any = None, *, parts: int | None = None, retries: int = 3, progress: Progress = None
) -> Table:
    """What each limit alone excludes, whatever the others say: ``Study.excluded``."""
    designs: Counter[str] = Counter()
    with _asked(study, client, parts, retries, progress, "excluded", _excluded) as answers:
        for found in answers:
            designs.update(dict(found))
    return study._excluded(designs)


def blocks(
    study: Designs,
    columns: Sequence[str] = (),
    *,
    size: int = 1_000_000,
    client: Any = None,
    parts: int | None = None,
    retries: int = 3,
    progress: Progress = None,
) -> Iterator[Table]:
    """The feasible designs as tables of ``size`` rows in their order, the last shorter: ``Study.blocks``.

    Parts are sent as the tables are taken, four for each thread ahead of them: no more is kept here or on the workers.
    Without ``parts``, none has more than 2**30 designs.
    """
    if size < 1:
        raise ValueError(f"size is {size}; allowed: 1 or more")
    names = study._names(columns)
    answers = _asked(study, client, parts, retries, progress, "feasible", _feasible, stream=True)
    return _tables(study, names, size, answers)


def _tables(study: Designs, names: list[str], size: int, asked: closing[Answers]) -> Iterator[Table]:
    """Rows of parts as tables of so many."""
    waiting: list[Any] = []
    held = 0
    with asked as answers:
        for rows in answers:
            waiting.append(rows)
            held += len(rows)
            if held < size:
                continue
            whole = _joined(waiting)
            full = held - held % size
            for first in range(0, full, size):
                yield study._table(whole[first : first + size].copy(), names)
            waiting, held = [whole[full:].copy()], held - full
    if held:
        yield study._table(_joined(waiting), names)


def _joined(rows: Any) -> Any:
    import numpy as np

    return np.concatenate(list(rows))


@dataclass(frozen=True)
class _Part:
    """On a worker: the answer of a part, which is sent itself, or by its number with the whole."""

    question: Callable[..., Any]
    arguments: tuple[Any, ...]
    n: int

    def __call__(self, whole: Designs | None, piece: Any) -> Any:
        part = piece if whole is None else whole.partition(piece, self.n)
        return self.question(part._native, *self.arguments)


def _count(native: NativeStudy | NativeListed) -> tuple[int, ...]:
    return native.count(1, None)


def _feasible(native: NativeStudy | NativeListed) -> Any:
    return native.filter(None, 1, None)[1] if isinstance(native, NativeListed) else native.feasible(1, None)


def _best(native: NativeStudy | NativeListed, k: int, by: str, maximise: bool) -> Any:
    if isinstance(native, NativeListed):
        return native.best((k, by, maximise), 1, None)
    return native.best(k, by, maximise, 1, None)


def _pareto(native: NativeStudy, goals: Any) -> Any:
    return native.pareto(goals, 1, None)


def _excluded(native: NativeStudy | NativeListed) -> list[tuple[str, int]]:
    return native.excluded(1, None)


def _asked(
    study: Designs,
    client: Any,
    parts: int | None,
    retries: int,
    progress: Progress,
    name: str,
    question: Callable[..., Any],
    *arguments: Any,
    stream: bool = False,
) -> closing[Answers]:
    """The answers of the parts of a study in their order."""
    client = usable(client)
    rows, threads = study.rows.stop - study.rows.start, threads_of(client)
    columns = isinstance(study, Columns)
    usual = PER_THREAD * threads
    if columns:
        usual = max(usual, -(-rows * 8 * len(study._varied) // _LARGEST_PART))
    elif stream:
        usual = max(usual, -(-rows // _LONGEST_PART))
    n = parts_of(parts, usual, rows)
    ahead = 4 * threads if stream or columns else None
    ask = _Part(question, arguments, n)
    if columns:
        work = Work(n, ask, lambda i: study.partition(i, n), ahead=ahead, apart=True)
    else:
        work = Work(n, ask, lambda i: i, study, ahead=ahead)
    return closing(_told(client, work, retries, progress, name))


def _told(client: Any, work: Work, retries: int, progress: Progress, name: str) -> Answers:
    with told(progress, name) as tell:
        yield from in_order(client, work, retries, tell)
