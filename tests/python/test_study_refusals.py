"""What studies refuse, that a long question can be ended, and that other threads run meanwhile."""

from __future__ import annotations

import math
import os
import signal
import subprocess
import sys
import threading
import time
from typing import Any

import pint
import pytest

import swept
from swept import errors

BORES = {"bore": swept.span("80 mm", "90 mm", count=3)}
# What is asked of it cannot be told from boxes: a volume with a bound in the midst of the grid, along five axes.
LONG = """
import swept
study = swept.Study(
    vary={
        "bore": swept.span("80 mm", "90 mm", count=1009),
        "chamber_volume": swept.span("40 cm3", "50 cm3", count=499),
        "crown_volume": swept.span("-5 cm3", "5 cm3", count=499),
        "gasket_thickness": swept.span("0.6 mm", "1.6 mm", count=101),
        "gasket_bore": swept.span("91 mm", "95 mm", count=307),
    },
    fixed={"stroke": "86 mm", "rod_length": "143 mm", "deck_clearance": "0.2 mm"},
    limits={"compression_ratio": (10, 10.1)},
)
"""


def refused(kind: type[Exception], match: str, **given: Any) -> None:
    with pytest.raises(kind, match=match):
        swept.Study(**given)


def test_names_with_the_nearest() -> None:
    refused(errors.UnknownKey, "bore", vary={"boer": ["80 mm"]})
    refused(errors.UnknownKey, "rod_length", vary=BORES, fixed={"rod_lenght": "1 mm"})
    refused(errors.UnknownKey, "displacement", vary=BORES, limits={"displacment": (None, "2 l")})
    study = swept.Study(vary=BORES)
    for ask in (lambda n: study.feasible([n]), lambda n: study.best(1, n), lambda n: study.table([0], [n])):
        with pytest.raises(errors.UnknownKey, match="wall_between_bores"):
            ask("wall_betwen_bores")
    with pytest.raises(errors.MissingKey, match="stroke"):
        study.best(1, "swept_volume")
    with pytest.raises(errors.MissingKey, match="speed"):
        study.feasible(["speed"])
    refused(errors.MissingKey, "stroke", vary=BORES, limits={"displacement": (None, "2 l")})
    refused(errors.UnknownKey, "twice", vary=BORES, fixed={"bore": "80 mm"})
    with pytest.raises(TypeError, match="list of names"):
        study.feasible("bore")  # type: ignore[arg-type]


def test_values_that_are_none() -> None:
    q = pint.get_application_registry().Quantity
    refused(errors.WrongLength, "axes.bore", vary={"bore": []})
    refused(errors.WrongLength, "axes.bore", vary={"bore": swept.span("80 mm", "90 mm", count=0)})
    refused(ValueError, "count", vary={"bore": swept.span("80 mm", "90 mm", count=-1)})
    refused(errors.WrongLength, "axes.bore", vary={"bore": swept.span("80 mm", "90 mm", step="1e-9 mm")})
    refused(errors.OutOfRange, "axes.bore", vary={"bore": swept.span("80 mm", "90 mm", step="-1 mm")})
    refused(errors.Unreadable, "vary.bore", vary={"bore": ["80 mm", "nan mm"]})
    refused(errors.NotFinite, "vary.bore", vary={"bore": q([80.0, math.nan], "mm")})
    refused(errors.NotFinite, "cylinders", vary={"cylinders": [1, math.inf]})
    refused(errors.WrongDimension, "vary.bore", vary={"bore": ["80 kg"]})
    refused(errors.WrongDimension, r"vary.bore.first", vary={"bore": swept.span("80 kg", "90 mm", count=2)})
    refused(errors.WrongDimension, "fixed.bore", vary={}, fixed={"bore": q(80.0, "kg")})
    refused(errors.WrongDimension, "speed", vary={"speed": ["3 Hz"]})
    refused(errors.WrongDimension, "speed", vary={"speed": q([3.0], "Hz")})
    refused(errors.UnknownUnit, "vary.bore", vary={"bore": ["80 mmm"]})
    refused(errors.MissingUnit, r"vary.bore\[1\]", vary={"bore": ["80 mm", 81.0]})
    refused(errors.MissingUnit, "fixed.bore", vary={}, fixed={"bore": 80})
    refused(errors.OutOfRange, "bore", vary={"bore": ["-80 mm"]})
    refused(errors.OutOfRange, "rod_length", vary={"stroke": ["300 mm"]}, fixed={"rod_length": "140 mm"})
    refused(TypeError, "one length", vary={"bore": [["80 mm"]]})
    refused(TypeError, "bore", vary={"bore": None})
    refused(TypeError, "bore", vary={"bore": [True]})
    refused(TypeError, "one value", vary={}, fixed={"bore": ["80 mm", "81 mm"]})
    refused(TypeError, "one dimension", vary={"bore": q([[1.0], [2.0]], "mm")})


def test_limits_that_are_none() -> None:
    def limits(given: Any) -> dict[str, Any]:
        return {"vary": BORES, "fixed": {"stroke": "86 mm"}, "limits": {"bore_stroke_ratio": given}}

    refused(errors.OutOfRange, "bore_stroke_ratio", **limits((1.2, 0.9)))
    refused(errors.MissingKey, "bore_stroke_ratio", **limits((None, None)))
    refused(errors.NotFinite, "bore_stroke_ratio.upper", **limits((None, math.nan)))
    for wrong in ("1.2", 1.2, (1.0,), (1.0, 1.1, 1.2)):
        refused(TypeError, "lower, upper", **limits(wrong))
    refused(TypeError, "least", **limits({"least": 1.0}))
    q = pint.get_application_registry().Quantity
    pair = swept.Study(vary=BORES, fixed={"stroke": "86 mm"}, limits={"swept_volume": q([430.0, 450.0], "cm^3")})
    assert pair.limits["swept_volume"][0].m_as("cm^3") == pytest.approx(430.0)


def test_what_is_given_in_another_way_is_told() -> None:
    study = swept.Study(vary={**BORES, "stroke": ["78 mm", "86 mm"]})
    asks: list[tuple[type[Exception], str, Any]] = [
        (TypeError, "k must be a whole number, how many, not 'swept_volume'", lambda: study.best("swept_volume", 5)),  # type: ignore[arg-type]
        (TypeError, "best must be", lambda: study.filter(best=5)),  # type: ignore[arg-type]
        (TypeError, "objectives must be such as", lambda: study.pareto(["swept_volume"])),  # type: ignore[arg-type]
        (TypeError, "vary must be such as", lambda: swept.Study(vary=["bore"])),  # type: ignore[arg-type]
        (TypeError, "rows must be whole numbers, not 1.5", lambda: study.table([1.5])),  # type: ignore[list-item]
        (errors.OutOfRange, "row is -1; allowed: 0 or more", lambda: study.table([-1])),
        (errors.OutOfRange, "row is -1; allowed: 0 or more", lambda: study.design(-1)),
    ]
    for kind, match, ask in asks:
        with pytest.raises(kind, match=match):
            ask()
    both = {"bore_stroke_ratio": (1.2, 1.1)}
    fixed = {"stroke": "86 mm"}
    refused(
        errors.OutOfRange, "lower is 1.2; allowed: at most the upper limit, 1.1", vary=BORES, fixed=fixed, limits=both
    )


def test_a_grid_beyond_counting() -> None:
    vary = {n: swept.span("50 mm", "90 mm", count=10**7) for n in ("bore", "stroke", "gasket_bore", "bore_spacing")}
    vary["cylinders"] = swept.span(1, 100, count=100)
    limits = {"wall_between_bores": ("5 mm", None), "rod_ratio": (1.7, None)}
    study = swept.Study(vary=vary, fixed={"rod_length": "150 mm"}, limits=limits)
    assert study.designs == 10**30
    best = study.best(1, "displacement")
    assert best["bore_spacing_mm"][0] == 90.0 and best["cylinders"][0] == 100.0 and best["row"][0] > 2**64
    assert 85.0 - 1e-5 < best["bore_mm"][0] <= 85.0 and best["stroke_mm"][0] == pytest.approx(150.0 / 1.7, abs=1e-5)
    free = swept.Study(vary=vary, fixed={"rod_length": "150 mm"})
    with pytest.raises(errors.OutOfRange, match="blocks"):
        free.feasible()
    vary["pin_offset"] = swept.span("0 mm", "1 mm", count=10**7)
    vary["gasket_thickness"] = swept.span("0 mm", "1 mm", count=10**7)
    with pytest.raises(errors.OutOfRange, match="designs"):
        swept.Study(vary=vary, fixed={"rod_length": "150 mm"}).count()


def test_a_progress_that_fails_ends_the_question() -> None:
    space: dict[str, Any] = {}
    exec(LONG, space)

    def fail(share: float) -> None:
        assert 0.0 <= share <= 1.0
        raise LookupError("enough")

    start = time.monotonic()
    with pytest.raises(LookupError, match="enough"):
        space["study"].count(progress=fail)
    assert time.monotonic() - start < 5.0


def test_other_threads_run_meanwhile() -> None:
    space: dict[str, Any] = {}
    exec(LONG, space)
    end, errors_seen = threading.Event(), []

    def ask() -> None:
        def stop(_: float) -> None:
            if end.is_set():
                raise InterruptedError

        try:
            space["study"].count(threads=1, progress=stop)
        except InterruptedError as e:
            errors_seen.append(e)

    asking = threading.Thread(target=ask)
    asking.start()
    start, turns = time.monotonic(), 0
    while time.monotonic() - start < 0.5:
        turns += 1
        time.sleep(0.005)
    assert asking.is_alive() and turns > 20
    end.set()
    asking.join(timeout=10)
    assert not asking.is_alive() and errors_seen


@pytest.mark.parametrize("ask", ["study.count()", "list(study.blocks(['bore'], size=10**6))"])
def test_ctrl_c_ends_a_long_question(ask: str) -> None:
    code = f"{LONG}\nprint('ready', flush=True)\ntry:\n    {ask}\nexcept KeyboardInterrupt:\n    print('stopped')\n"
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


def test_blocks_go_on_where_they_were_stopped() -> None:
    study = swept.Study(
        vary={"bore": swept.span("80 mm", "90 mm", count=4001), "stroke": swept.span("70 mm", "95 mm", count=1001)},
        limits={"bore_stroke_ratio": (1.0, 1.05)},
    )
    calls, found = 0, []

    def now_and_then(_: float) -> None:
        nonlocal calls
        calls += 1
        if calls % 2 == 1:
            raise InterruptedError

    blocks = study.blocks(size=5000, progress=now_and_then)
    stops = 0
    while True:
        try:
            found += [row for block in blocks for row in block["row"].tolist()]
            break
        except InterruptedError:
            stops += 1
    assert stops >= 1
    # The blocks that a list was made of when it was stopped are the caller's to keep: here they are taken one by one.
    calls, found = 0, []
    blocks = study.blocks(size=5000, progress=now_and_then)
    while True:
        try:
            found.append(next(blocks)["row"])
        except InterruptedError:
            continue
        except StopIteration:
            break
    assert [row for rows in found for row in rows.tolist()] == study.feasible().tolist()
