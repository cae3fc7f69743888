"""What samplings refuse, that a long question can be ended, and that other threads run meanwhile."""

from __future__ import annotations

import itertools
import math
import os
import signal
import subprocess
import sys
import threading
import time
from typing import Any

import pytest
from test_sampling import BOTH, FIXED, READINGS, sampling

import swept
from swept import errors


def refused(kind: type[Exception], match: str, **given: Any) -> None:
    with pytest.raises(kind, match=match):
        sampling(**given)


def test_what_is_no_sampling() -> None:
    def bore(given: Any) -> dict[str, Any]:
        return {"readings": {**READINGS, "bore": given}}

    refused(errors.OutOfRange, "bore", **bore(swept.normal("86 mm", "-0.01 mm")))
    refused(errors.OutOfRange, "bore", **bore(swept.uniform("87 mm", "86 mm")))
    refused(errors.OutOfRange, "bore", **bore(swept.triangular("85 mm", "87 mm", "86 mm")))
    refused(errors.OutOfRange, "bore", **bore(swept.truncated("86 mm", "0.01 mm", "95 mm", "96 mm")))
    refused(errors.WrongDimension, "readings.bore.normal.deviation", **bore(swept.normal("86 mm", "1 kg")))
    refused(errors.MissingUnit, "readings.bore.uniform.low", **bore(swept.uniform(86, "87 mm")))
    refused(errors.Unreadable, "readings.bore.normal.mean", **bore(swept.normal("nan mm", "1 mm")))
    refused(TypeError, "one value$", **bore(swept.normal(["86 mm", "87 mm"], "1 mm")))
    for wrong in ("86 mm", None, ("86 mm", "0.01 mm")):
        refused(TypeError, "swept.normal", **bore(wrong))
    refused(errors.UnknownKey, "bore", readings={"boer": READINGS["bore"]})
    refused(errors.UnknownKey, "twice", fixed={**FIXED, "bore": "86 mm"})
    refused(errors.MissingKey, "bore_spacing", limits={"wall_between_bores": ("7 mm", None)})
    for coefficient in (1.0, -1.5, math.nan):
        refused(ValueError, "bore and stroke", correlations={("bore", "stroke"): coefficient})
    refused(errors.MissingKey, "rod_length has no reading", correlations={("bore", "rod_length"): 0.5})
    refused(TypeError, "pairs", correlations={"bore": 0.5})
    three = {pair: -0.9 for pair in itertools.combinations(("bore", "stroke", "deck_height"), 2)}
    refused(errors.OutOfRange, "positive definite", correlations=three)
    for seed in (-1, 2**64):
        refused(ValueError, "seed", seed=seed)
    for not_whole in (1.5, True, "1"):
        refused(TypeError, "seed", seed=not_whole)


def test_questions_that_are_none() -> None:
    asked = sampling()
    for n in (0, -1, 2**41, 10**40):
        with pytest.raises(errors.OutOfRange, match=r"samples|n is"):
            asked.sample(n, BOTH)
        with pytest.raises(errors.OutOfRange, match=r"samples|n is"):
            asked.sensitivity(BOTH, n)
    with pytest.raises(TypeError, match="whole number"):
        asked.sample(1e6, BOTH)  # type: ignore[arg-type]
    for quantile in (-0.1, 1.1, math.nan):
        with pytest.raises(errors.SweptError, match=r"quantile|probability"):
            asked.sample(10, BOTH, quantiles=[quantile])
    with pytest.raises(errors.UnknownKey, match="compression_ratio"):
        asked.sample(10, "compresion_ratio")
    with pytest.raises(errors.MissingKey, match="speed"):
        asked.sample(10, "mean_piston_speed")
    for first, count in ((-1, 10), (0, -1), (0, 10**12), (2**63, 10), (10**30, 0)):
        with pytest.raises(errors.OutOfRange):
            asked.values("compression_ratio", first, count)
    with pytest.raises(errors.MissingKey, match="no reading"):
        asked.draws("rod_length")
    empty = asked.sample(10, [], quantiles=[])
    assert empty.outputs == () and empty.to_table().rows == 0 and empty.feasible is not None


LONG = """
import swept
sampling = swept.Sampling(
    readings={"bore": swept.normal("86 mm", "0.01 mm"), "stroke": swept.normal("86 mm", "0.01 mm")},
)
"""
QUESTIONS = ["sample(2**38, ['displacement'])", "sensitivity(['displacement'], 2**38)"]


@pytest.mark.parametrize("question", QUESTIONS)
def test_a_progress_that_fails_ends_the_question(question: str) -> None:
    space: dict[str, Any] = {}
    exec(LONG, space)
    shares: list[float] = []

    def fail(share: float) -> None:
        shares.append(share)
        if len(shares) > 2:
            raise LookupError("enough")

    space["fail"] = fail
    with pytest.raises(LookupError, match="enough"):
        eval(f"sampling.{question[:-1]}, progress=fail)", space)
    assert all(0.0 <= share <= 1.0 for share in shares)


def test_other_threads_run_meanwhile() -> None:
    space: dict[str, Any] = {}
    exec(LONG, space)
    end = threading.Event()

    def ask() -> None:
        def stop(_: float) -> None:
            if end.is_set():
                raise InterruptedError

        with pytest.raises(InterruptedError):
            space["sampling"].sample(2**38, "displacement", threads=1, progress=stop)

    asking = threading.Thread(target=ask)
    asking.start()
    start, turns = time.monotonic(), 0
    while time.monotonic() - start < 0.5:
        turns += 1
        time.sleep(0.005)
    assert asking.is_alive() and turns > 20
    end.set()
    asking.join(timeout=10)
    assert not asking.is_alive()


@pytest.mark.parametrize("question", QUESTIONS)
def test_ctrl_c_ends_a_long_question(question: str) -> None:
    lines = f"try:\n    sampling.{question}\nexcept KeyboardInterrupt:\n    print('stopped')\n"
    code = f"{LONG}\nprint('ready', flush=True)\n{lines}"
    child = subprocess.Popen([sys.executable, "-c", code], stdout=subprocess.PIPE, text=True, env=os.environ)
    assert child.stdout is not None
    try:
        assert child.stdout.readline() == "ready\n"
        time.sleep(0.5)
        assert child.poll() is None, "the question was too short"
        start = time.monotonic()
        child.send_signal(signal.SIGINT)
        assert child.stdout.readline() == "stopped\n"
        assert time.monotonic() - start < 1.0
    finally:
        child.kill()
        child.wait()
