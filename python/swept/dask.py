"""Studies past one machine: their questions on a Dask cluster (``pip install 'swept[dask]'``), merged exactly.

::

    from distributed import Client
    import swept.dask

    client = Client("tcp://scheduler:8786")        # or one of dask-jobqueue, dask-kubernetes, LocalCluster()
    study = swept.Study(vary=..., fixed=..., limits=...)
    swept.dask.count(study, client, progress=True)
    for table in swept.dask.blocks(study, ["bore", "displacement"], client=client):
        ...

Every answer is that of ``Study``'s own question, to the bit, for any number of parts, workers and lost workers. A part
is ``study.partition(i, n)``; the study crosses as its text, rows come back. Counts add, rows follow one another, and
the best and the designs that no other beats are chosen by the core among those of the parts.

- ``client`` is a ``distributed.Client``; without it the current one. ``swept`` of the same version is installed on
  every worker.
- ``parts``: without it 16 for each thread of the cluster, so that the last ones to finish cost little. A part is one
  task on one thread, and other tasks of its worker run meanwhile. Worth having is a part of a second or more: the
  scheduler takes a millisecond or two for each. One question looks at so many steps at most; each part may look at as
  many, so that more parts answer what one machine refuses.
- A part whose worker was lost is done again by another; what had come back is kept. ``retries`` is how often more a
  part is tried after Dask gives it up, which it does when more workers were lost with it than
  ``distributed.scheduler.allowed-failures``, or when it fails by something else than a refusal of ``swept``.
- ``progress`` as in ``Study``: the share of the parts that are done. Ctrl-C cancels the parts that have not begun;
  those that have run to their end on their workers.

Ask ``Study`` itself first. ``best`` and ``pareto`` look at boxes of designs and leave nearly all of them out; each part
has to search by itself, and n parts may cost n searches. What is worth a cluster is to count or list where limits leave
doubt about many designs. "Past one machine" in the README plans 10^15 designs on 1,000 cores.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Generator, Iterator, Mapping, Sequence
from contextlib import closing
from importlib import import_module
from typing import TYPE_CHECKING, Any

from swept.errors import SweptError
from swept.progress import Progress, told
from swept.studies import Count, Study
from swept.tables import Table

if TYPE_CHECKING:
    import numpy as np

    Rows = np.ndarray[Any, np.dtype[Any]]
    _Answers = Generator[Any, None, None]

__all__ = ["best", "blocks", "count", "excluded", "feasible", "pareto"]

# Parts for each thread of the cluster: where parts are alike, the last ones cost a sixteenth of the whole at most.
_PER_THREAD = 16
# Rows of the grid in one part of a stream: what is feasible of them has to be kept.
_LONGEST_PART = 1 << 30


def count(
    study: Study, client: Any = None, *, parts: int | None = None, retries: int = 3, progress: Progress = None
) -> Count:
    """How many designs are feasible: ``Study.count``."""
    with _asked(study, client, parts, retries, progress, "count") as answers:
        found = list(answers)
    return Count(sum(designs for designs, _ in found), sum(feasible for _, feasible in found))


def feasible(
    study: Study,
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
    with _asked(study, client, parts, retries, progress, "feasible") as answers:
        rows = _joined(answers)
    return rows if names is None else study._table(rows, names)


def best(
    study: Study,
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
    names = study._best_names(k, by, columns)
    with _asked(study, client, parts, retries, progress, "best", k, by, maximise) as answers:
        rows = _joined(answers)
    return study._table(study._native.best_of(rows, k, by, maximise), names)


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
    goals, names = study._goals(objectives), study._beside([*objectives], columns)
    with _asked(study, client, parts, retries, progress, "pareto", goals) as answers:
        rows = _joined(answers)
    return study._table(study._native.efficient_of(rows, goals), names)


def excluded(
    study: Study, client: Any = None, *, parts: int | None = None, retries: int = 3, progress: Progress = None
) -> Table:
    """What each limit alone excludes, whatever the others say: ``Study.excluded``."""
    designs: Counter[str] = Counter()
    with _asked(study, client, parts, retries, progress, "excluded") as answers:
        for found in answers:
            designs.update(dict(found))
    return study._excluded(designs)


def blocks(
    study: Study,
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
    names, rows = study._names(columns), study.rows
    client = _usable(client)
    threads = _threads(client)
    if parts is None:
        parts = max(_PER_THREAD * threads, -(-(rows.stop - rows.start) // _LONGEST_PART))
    answers = _asked(study, client, parts, retries, progress, "feasible", ahead=4 * threads)
    return _tables(study, names, size, answers)


def _tables(study: Study, names: list[str], size: int, asked: closing[_Answers]) -> Iterator[Table]:
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


def _asked(
    study: Study,
    client: Any,
    parts: int | None,
    retries: int,
    progress: Progress,
    question: str,
    *arguments: Any,
    ahead: int | None = None,
) -> closing[_Answers]:
    """The answers of the parts of a study in their order."""
    client = _usable(client)
    if parts is None:
        parts = _PER_THREAD * _threads(client)
    if parts < 1:
        raise ValueError(f"parts is {parts}; allowed: 1 or more")
    # No more parts than rows.
    parts = max(min(parts, study.rows.stop - study.rows.start), 1)
    work = {"question": question, "arguments": arguments, "n": parts}
    return closing(_in_order(study, client, work, ahead or parts, retries, progress))


def _usable(client: Any) -> Any:
    """The client, or the current one."""
    try:
        distributed = import_module("distributed")
    except ImportError as e:
        raise ImportError("swept.dask needs distributed: pip install 'swept[dask]'") from e
    client = distributed.get_client() if client is None else client
    if client.asynchronous:
        raise TypeError("client must not be asynchronous")
    return client


def _threads(client: Any) -> int:
    return max(int(sum(client.nthreads().values())), 1)


def _in_order(
    study: Study, client: Any, work: dict[str, Any], ahead: int, retries: int, progress: Progress
) -> _Answers:
    """The answers in the order of the parts, of which at most so many are sent before the first of them is taken.

    Answers are brought here as they come, so that a worker lost later takes none of them along.
    """
    distributed = import_module("distributed")
    n = work["n"]
    part_of: dict[Any, int] = {}
    home: dict[int, Any] = {}
    lost: Counter[int] = Counter()
    sent = done = 0
    with told(progress, work["question"]) as tell:
        # Sent once; workers have it from one another.
        whole = client.submit(_itself, study, pure=False)
        running = distributed.as_completed(with_results=True, raise_errors=False, loop=client.loop)

        def send(some: Sequence[int], whole: Any) -> None:
            futures = client.map(_answer, some, whole=whole, retries=retries, pure=False, **work)
            part_of.update(zip(futures, some, strict=True))
            running.update(futures)

        try:
            for i in range(n):
                more = range(sent, min(n, i + ahead))
                if more:
                    send(more, whole)
                    sent = more.stop
                while i not in home:
                    future, answer = next(running)
                    part = part_of.pop(future)
                    if future.status == "error" and lost[part] < retries and _killed(distributed, answer):
                        lost[part] += 1
                        # Under a new name, and with the study anew: what was lost may have been that.
                        send([part], client.submit(_itself, study, pure=False))
                        continue
                    home[part] = _taken(future, answer)
                    done += 1
                    if tell is not None:
                        tell(done / n)
                yield home.pop(i)
        finally:
            if part_of:
                client.cancel(list(part_of))


def _killed(distributed: Any, failure: Any) -> bool:
    """Whether Dask gave a part up because its workers were lost."""
    return isinstance(failure[1], distributed.KilledWorker)


def _taken(future: Any, answer: Any) -> Any:
    """The answer, or what was raised instead."""
    if future.status == "error":
        raise answer[1].with_traceback(answer[2])
    if isinstance(answer, BaseException):
        raise answer
    return answer


def _itself(study: Study) -> Study:
    return study


def _answer(i: int, *, whole: Study, question: str, arguments: tuple[Any, ...], n: int) -> Any:
    """On a worker: the answer of one part, on this thread. A refusal is an answer: it would be the same again."""
    try:
        return getattr(whole.partition(i, n)._native, question)(*arguments, 1, None)
    except SweptError as refusal:
        return refusal
