"""How far a long question is: a bar, or a function of the caller's."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TypeAlias

# A bar with True; a function that is told the share done, from 0 to 1.
Progress: TypeAlias = "bool | Callable[[float], object] | None"


@contextmanager
def told(progress: Progress, name: str) -> Iterator[Callable[[float], object] | None]:
    """What a question calls with the share that is done; None where nobody asks."""
    if progress is None or progress is False:
        yield None
    elif progress is True:
        try:
            from tqdm.auto import tqdm
        except ImportError as e:
            raise ImportError("progress=True needs tqdm: pip install 'swept[progress]', or pass a function") from e
        form = "{l_bar}{bar}| {elapsed}<{remaining}"
        with tqdm(total=1.0, desc=name, bar_format=form) as bar:
            yield lambda share: bar.update(share - bar.n)
            bar.update(1.0 - bar.n)
    else:
        yield progress
