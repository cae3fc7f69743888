"""Samples drawn by a Dask cluster: the driver of the core asks for ranges of parts, and merges what they come to."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack, closing, contextmanager
from dataclasses import dataclass
from typing import Any

from swept.dask.farm import PER_THREAD, Work, in_order, parts_of, threads_of, usable
from swept.progress import Progress, told
from swept.sampling import Samples, Sampling, _names, _samples, _shares
from swept.tables import Table

# Parts of the core, of 65,536 samples each, in one of ours: what a part comes to is kept until its turn.
_LONGEST_PART = 1024


def sample(
    sampling: Sampling,
    n: int,
    outputs: str | Sequence[str],
    *,
    quantiles: Sequence[float] = (0.025, 0.5, 0.975),
    client: Any = None,
    parts: int | None = None,
    retries: int = 3,
    progress: Progress = None,
) -> Samples:
    """The spread of outputs over n samples: ``Sampling.sample``.

    Quantiles take a pass over all samples and, of many, a few over some of them before; each pass is divided into
    ``parts``. A pilot of the first 65,536 samples is drawn here.
    """
    asked = [float(q) for q in quantiles]
    with _farm(sampling, client, parts, retries, progress, "sample") as farm:
        return _samples(n, asked, sampling._native.sample_on(n, _names(outputs), asked, farm))


def sensitivity(
    sampling: Sampling,
    outputs: str | Sequence[str],
    n: int,
    *,
    client: Any = None,
    parts: int | None = None,
    retries: int = 3,
    progress: Progress = None,
) -> Table:
    """Which share of the variance of outputs comes from which reading: ``Sampling.sensitivity``."""
    with _farm(sampling, client, parts, retries, progress, "sensitivity") as farm:
        return _shares(sampling._native.sensitivity_on(_names(outputs), n, farm))


@dataclass(frozen=True)
class _Samples:
    """On a worker: what some parts of a request come to."""

    request: str

    def __call__(self, sampling: Sampling, parts: tuple[int, int]) -> str:
        return sampling._native.answer(self.request, *parts, 1, None)


@contextmanager
def _farm(
    sampling: Sampling, client: Any, parts: int | None, retries: int, progress: Progress, question: str
) -> Iterator[Callable[[str, int], Iterator[str]]]:
    """What the core calls with a request and how many parts it has, for their answers in order."""
    client = usable(client)
    parts_of(parts, 1, 1)
    with ExitStack() as stack:
        tell = stack.enter_context(told(progress, question))

        def farm(request: str, all_parts: int) -> Iterator[str]:
            threads = threads_of(client)
            usual = max(PER_THREAD * threads, -(-all_parts // _LONGEST_PART))
            n = parts_of(parts, usual, all_parts)
            ends = [i * all_parts // n for i in range(n + 1)]
            work = Work(n, _Samples(request), lambda i: (ends[i], ends[i + 1]), sampling, ahead=4 * threads)
            return stack.enter_context(closing(in_order(client, work, retries, tell)))

        yield farm
