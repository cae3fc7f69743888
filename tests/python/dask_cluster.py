"""What tests on a Dask cluster share: slow parts, a worker that is killed in the middle of a question."""

from __future__ import annotations

import os
import signal
import time
from typing import Any

import numpy as np
import pytest

distributed = pytest.importorskip("distributed")


class Slow(distributed.WorkerPlugin):  # type: ignore[misc]
    """Each part takes some time, as one of a large grid would: both workers are at one when one of them is killed."""

    def setup(self, worker: Any) -> None:
        import swept.dask.farm as on_worker

        answer = on_worker._answer

        def slow(*args: Any, **kwargs: Any) -> Any:
            time.sleep(0.03)
            return answer(*args, **kwargs)

        on_worker._answer = slow


class Lost(distributed.SchedulerPlugin):  # type: ignore[misc]
    """The parts that were being done by a worker when it was lost."""

    def __init__(self) -> None:
        self.parts: list[str] = []

    def transition(self, key: Any, start: str, finish: str, *args: Any, **kwargs: Any) -> None:
        if start == "processing" and finish not in ("memory", "forgotten"):
            self.parts.append(str(key))


class Killer:
    """Told the share that is done, kills a worker once, when some parts are done and others are not."""

    def __init__(self, client: Any) -> None:
        self.pids = client.run(os.getpid)
        self.killed_at: float | None = None
        self.shares: list[float] = []

    def __call__(self, share: float) -> None:
        self.shares.append(share)
        if self.killed_at is None and share > 0.2:
            self.killed_at = share
            os.kill(min(self.pids.values()), signal.SIGKILL)


def same(one: Any, other: Any) -> bool:
    """Two tables to the bit."""

    def bits(values: Any) -> tuple[Any, Any]:
        values = np.asarray(values)
        return values.dtype, values.tolist() if values.dtype == object else values.tobytes()

    return list(one) == list(other) and all(bits(one[name]) == bits(other[name]) for name in one)


def assert_killed_in_the_middle(killer: Killer, lost: Lost, parts: int) -> None:
    """A worker was killed while parts were being done, and each part was told once."""
    assert killer.killed_at is not None and killer.killed_at < 0.9, "in the middle"
    assert any("_answer" in key for key in lost.parts), "parts were being done"
    assert killer.shares == sorted(killer.shares) and len(killer.shares) == parts and killer.shares[-1] == 1.0
