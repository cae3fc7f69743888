"""Parts of a question on the workers of a Dask cluster, and their answers in order."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Generator, Sequence
from dataclasses import dataclass
from importlib import import_module
from typing import TYPE_CHECKING, Any

from swept.errors import SweptError

if TYPE_CHECKING:
    Answers = Generator[Any, None, None]
    Tell = Callable[[float], object] | None

# Parts for each thread of the cluster: where parts are alike, the last ones cost a sixteenth of the whole at most.
PER_THREAD = 16


@dataclass(frozen=True)
class Work:
    """A question in n parts."""

    n: int
    # On a worker: the answer from what was sent once, and what was sent for the part.
    ask: Callable[[Any, Any], Any]
    # Here: what is sent for a part.
    piece: Callable[[int], Any]
    # Sent once; workers have it from one another.
    whole: Any = None
    # Parts that are sent before the first of them is taken.
    ahead: int | None = None
    # Each part is sent by itself, as it is large.
    apart: bool = False


def usable(client: Any) -> Any:
    """The client, or the current one."""
    try:
        distributed = import_module("distributed")
    except ImportError as e:
        raise ImportError("swept.dask needs distributed: pip install 'swept[dask]'") from e
    client = distributed.get_client() if client is None else client
    if client.asynchronous:
        raise TypeError("client must not be asynchronous")
    return client


def threads_of(client: Any) -> int:
    """The threads of all workers."""
    return max(int(sum(client.nthreads().values())), 1)


def parts_of(parts: int | None, usual: int, most: int) -> int:
    """How many parts: those asked for, or the usual number; no more than there is to do."""
    if parts is not None and parts < 1:
        raise ValueError(f"parts is {parts}; allowed: 1 or more")
    return max(min(usual if parts is None else parts, most), 1)


def in_order(client: Any, work: Work, retries: int, tell: Tell) -> Answers:
    """The answers in the order of the parts.

    Answers are brought here as they come, so that a worker lost later takes none of them along.
    """
    distributed = import_module("distributed")
    n, ahead = work.n, work.ahead or work.n
    part_of: dict[Any, int] = {}
    home: dict[int, Any] = {}
    lost: Counter[int] = Counter()
    sent = done = 0
    whole = _sent(client, work)
    running = distributed.as_completed(with_results=True, raise_errors=False, loop=client.loop)

    def send(some: Sequence[int], whole: Any) -> None:
        pieces = [work.piece(i) for i in some]
        futures = client.map(_answer, pieces, whole=whole, ask=work.ask, retries=retries, pure=False)
        part_of.update(zip(futures, some, strict=True))
        running.update(futures)

    try:
        for i in range(n):
            more = range(sent, min(n, i + ahead))
            for some in [[part] for part in more] if work.apart else [more] if more else []:
                send(some, whole)
            sent = more.stop if more else sent
            while i not in home:
                future, answer = next(running)
                part = part_of.pop(future)
                if future.status == "error" and lost[part] < retries and _killed(distributed, answer):
                    lost[part] += 1
                    # Under a new name, and with the whole anew: what was lost may have been that.
                    send([part], _sent(client, work))
                    continue
                home[part] = _taken(future, answer)
                done += 1
                if tell is not None:
                    tell(done / n)
            yield home.pop(i)
    finally:
        if part_of:
            client.cancel(list(part_of))


def _sent(client: Any, work: Work) -> Any:
    return None if work.whole is None else client.submit(_itself, work.whole, pure=False)


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


def _itself(whole: Any) -> Any:
    return whole


def _answer(piece: Any, *, whole: Any, ask: Callable[[Any, Any], Any]) -> Any:
    """On a worker: the answer of one part, on this thread. A refusal is an answer: it would be the same again."""
    try:
        return ask(whole, piece)
    except SweptError as refusal:
        return refusal
