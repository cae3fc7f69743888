"""Samples on a cluster of processes, one of which is killed in the middle: the statistics are those of one process."""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import Any

import pytest
from dask_cluster import Killer, Lost, assert_killed_in_the_middle, same

import swept
from swept import errors

OUTPUTS = ["deck_clearance", "compression_ratio"]
QUANTILES = (0.0, 0.001, 0.5, 0.975)
READINGS = {
    "deck_height": swept.normal("220.2 mm", "0.025 mm"),
    "stroke": swept.normal("86 mm", "0.02 mm"),
    "compression_height": swept.triangular("33.95 mm", "34 mm", "34.1 mm"),
    "gasket_thickness": swept.uniform("-0.01 mm", "1.05 mm"),
    "chamber_volume": swept.truncated("46 cm3", "0.4 cm3", "45 cm3", "46.5 cm3"),
}
FIXED = {"bore": "86 mm", "rod_length": "143 mm", "gasket_bore": "88 mm", "crown_volume": "3 cm3"}
LIMITS = {"deck_clearance": ("0.1 mm", "0.3 mm"), "compression_ratio": (None, 11)}


def sampling(**given: Any) -> swept.Sampling:
    return swept.Sampling(**{"readings": READINGS, "fixed": FIXED, "limits": LIMITS, "seed": 4, **given})


def assert_same_samples(found: Any, want: Any) -> None:
    """Every number to the bit, of the same types."""
    assert type(found) is type(want) is type(sampling().sample(10, OUTPUTS))
    assert (found.samples, found.impossible, found.feasible) == (want.samples, want.impossible, want.feasible)
    assert len(found.outputs) == len(want.outputs)
    for one, other in zip(found.outputs, want.outputs, strict=True):
        assert same(one.to_table(), other.to_table()) and one.outside == other.outside
        assert [(q.probability, q.value) for q in one.quantiles] == [(q.probability, q.value) for q in other.quantiles]


def assert_same_table(found: Any, want: Any) -> None:
    assert type(found) is type(want) and same(found, want)


N = 40 * 65_536 - 1000
QUESTIONS: dict[str, tuple[Callable[..., Any], Callable[[], Any], Callable[[Any, Any], None]]] = {
    "sample": (
        lambda **on: swept.dask.sample(sampling(), N, OUTPUTS, quantiles=QUANTILES, **on),
        lambda: sampling().sample(N, OUTPUTS, quantiles=QUANTILES),
        assert_same_samples,
    ),
    "sensitivity": (
        lambda **on: swept.dask.sensitivity(sampling(), OUTPUTS, N, **on),
        lambda: sampling().sensitivity(OUTPUTS, N),
        assert_same_table,
    ),
}


@pytest.mark.parametrize(("question", "given_up"), [*((name, False) for name in QUESTIONS), ("sample", True)])
def test_a_killed_worker_changes_no_answer(
    cluster: Any, client: Any, question: str, given_up: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    on_cluster, here, assert_same = QUESTIONS[question]
    # Dask gives a part up as soon as one worker is lost with it: swept asks for it again.
    monkeypatch.setattr(cluster.scheduler, "allowed_failures", 0 if given_up else 3)
    lost, killer = Lost(), Killer(client)
    cluster.scheduler.add_plugin(lost, name="lost")
    found = on_cluster(client=client, parts=40, progress=killer)
    cluster.scheduler.remove_plugin("lost")
    assert_killed_in_the_middle(killer, lost, 40)
    want = here()
    assert_same(found, want)
    if question == "sample":
        assert 0 < want.impossible < N / 50 and 0.0 < want.feasible.share < 1.0


def test_samples_are_the_same_for_any_number_of_parts(client: Any) -> None:
    for n in (1, 1000, 65_536, 65_537, 700_000):
        want = sampling().sample(n, OUTPUTS)
        for parts in (1, 2, 7, 1000, None):
            assert_same_samples(swept.dask.sample(sampling(), n, OUTPUTS, client=client, parts=parts), want)
    shares = sampling().sensitivity("compression_ratio", 300_000)
    for parts in (1, 3, None):
        found = swept.dask.sensitivity(sampling(), "compression_ratio", 300_000, client=client, parts=parts)
        assert_same_table(found, shares)
    with swept.display("inch"):
        want = sampling().sample(100_000, "deck_clearance", quantiles=())
        assert want.outputs[0].unit == "in"
        assert_same_samples(swept.dask.sample(sampling(), 100_000, "deck_clearance", quantiles=()), want)


def test_brackets_are_narrowed_by_passes_over_ever_more_samples(client: Any) -> None:
    shares: list[float] = []
    outputs = [*OUTPUTS, "piston_to_head", "swept_volume", "clearance_volume", "bore_stroke_ratio"]
    quantiles = [i / 20 for i in range(21)]
    n = 1_600_000
    found = swept.dask.sample(sampling(), n, outputs, quantiles=quantiles, client=client, progress=shares.append)
    assert shares.count(1.0) >= 2, "more than one pass"
    assert_same_samples(found, sampling().sample(n, outputs, quantiles=quantiles))


def test_refusals_are_those_of_the_sampling(client: Any) -> None:
    with pytest.raises(errors.MissingKey):
        swept.dask.sample(sampling(), 10, "mean_piston_speed", client=client)
    for refused in (
        lambda: swept.dask.sample(sampling(), 0, OUTPUTS, client=client),
        lambda: swept.dask.sample(sampling(), 10, OUTPUTS, quantiles=[1.5], client=client),
        lambda: swept.dask.sensitivity(
            sampling(correlations={("stroke", "deck_height"): 0.3}), OUTPUTS, 10, client=client
        ),
    ):
        with pytest.raises(errors.OutOfRange):
            refused()
    with pytest.raises(ValueError, match="allowed: 1 or more"):
        swept.dask.sample(sampling(), 10, OUTPUTS, client=client, parts=0)
    with pytest.raises(TypeError, match="whole number"):
        swept.dask.sample(sampling(), 1e6, OUTPUTS, client=client)  # type: ignore[arg-type]


def test_what_stops_a_question_cancels_its_parts(cluster: Any, client: Any) -> None:
    def stop(share: float) -> None:
        if share > 0.1:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        swept.dask.sample(sampling(), N, OUTPUTS, client=client, parts=40, progress=stop)
    end = time.monotonic() + 10.0
    while any("_answer" in str(key) for key in cluster.scheduler.tasks) and time.monotonic() < end:
        time.sleep(0.05)
    assert not any("_answer" in str(key) for key in cluster.scheduler.tasks)


def test_what_is_no_answer_is_refused() -> None:
    native = sampling()._native
    for farm in (lambda request, parts: [], lambda request, parts: ["{}"], lambda request, parts: ["7"] * parts):
        with pytest.raises(errors.Unreadable):
            native.sample_on(100_000, OUTPUTS, [0.5], farm)
    with pytest.raises(TypeError):
        native.sample_on(100_000, OUTPUTS, [0.5], lambda request, parts: [b"7"])
    with pytest.raises(ZeroDivisionError):
        native.sensitivity_on(OUTPUTS, 100_000, lambda request, parts: 1 / 0)  # type: ignore[arg-type, return-value]
    with pytest.raises(errors.Unreadable):
        native.answer("nothing", 0, 1, 1, None)
