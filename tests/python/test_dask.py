"""Studies on a cluster of processes, one of which is killed in the middle: the answers are those of one process."""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from dask_cluster import Killer, Lost, assert_killed_in_the_middle, same

import swept
from swept import errors

PARTS = 60
OBJECTIVES = {"displacement": "max", "peak_acceleration": "min", "rod_ratio": "max"}


@pytest.fixture
def study() -> swept.Study:
    return swept.Study(
        vary={
            "bore": swept.span("80 mm", "90 mm", count=101),
            "stroke": swept.span("70 mm", "95 mm", step="0.25 mm"),
            "rod_length": swept.span("130 mm", "160 mm", count=31),
            "chamber_volume": swept.span("38 cm3", "50 cm3", count=25),
        },
        fixed={
            "cylinders": 4,
            "bore_spacing": "96 mm",
            "speed": "7000 rpm",
            "crown_volume": "-2 cm3",
            "gasket_bore": "91 mm",
            "gasket_thickness": "1 mm",
            "deck_clearance": "0.2 mm",
        },
        limits={
            "mean_piston_speed": (None, "20 m/s"),
            "wall_between_bores": ("7 mm", None),
            "compression_ratio": ("10", "10.01"),
            "rod_ratio": (1.6, None),
        },
    )


def streamed(study: swept.Study, **on: Any) -> dict[str, Any]:
    tables = list(swept.dask.blocks(study, ["bore", "compression_ratio"], size=777, **on))
    assert all(table.rows == 777 for table in tables[:-1]) and 1 <= tables[-1].rows <= 777
    return {name: np.concatenate([table[name] for table in tables]) for name in tables[0]}


QUESTIONS: dict[str, tuple[Callable[..., Any], Callable[[swept.Study], Any]]] = {
    "count": (swept.dask.count, lambda s: s.count()),
    "rows": (
        lambda s, **on: swept.dask.feasible(s, ["bore", "compression_ratio"], **on),
        lambda s: s.feasible(["bore", "compression_ratio"]),
    ),
    "best": (
        lambda s, **on: swept.dask.best(s, 200, "compression_ratio", False, **on),
        lambda s: s.best(200, "compression_ratio", False),
    ),
    "pareto": (lambda s, **on: swept.dask.pareto(s, OBJECTIVES, **on), lambda s: s.pareto(OBJECTIVES)),
    "blocks": (streamed, lambda s: s.feasible(["bore", "compression_ratio"])),
}


@pytest.mark.parametrize(("question", "given_up"), [*((name, False) for name in QUESTIONS), ("count", True)])
def test_a_killed_worker_changes_no_answer(
    study: swept.Study, cluster: Any, client: Any, question: str, given_up: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    on_cluster, here = QUESTIONS[question]
    want = here(study)
    # Dask gives a part up as soon as one worker is lost with it: swept asks for it again.
    monkeypatch.setattr(cluster.scheduler, "allowed_failures", 0 if given_up else 3)
    lost, killer = Lost(), Killer(client)
    cluster.scheduler.add_plugin(lost, name="lost")
    found = on_cluster(study, client=client, parts=PARTS, progress=killer)
    cluster.scheduler.remove_plugin("lost")
    assert_killed_in_the_middle(killer, lost, PARTS)
    if question == "count":
        assert found == want and 0 < want.feasible < want.designs == study.designs
    else:
        assert same(found, want) and len(want[next(iter(want))]) >= 3


def test_refusals_are_those_of_the_study(study: swept.Study, client: Any) -> None:
    with pytest.raises(errors.WrongLength):
        swept.dask.pareto(study, {"displacement": "max"}, client=client, parts=3)
    with pytest.raises(errors.SweptError):
        swept.dask.best(study, 3, "no_such_output", client=client)
    for wrong in (lambda: swept.dask.count(study, client, parts=0), lambda: swept.dask.blocks(study, size=0)):
        with pytest.raises(ValueError, match="allowed: 1 or more"):
            wrong()


def test_what_each_limit_excludes(study: swept.Study, client: Any) -> None:
    assert same(swept.dask.excluded(study, client, parts=7), study.excluded())


def test_a_part_of_a_study_and_more_parts_than_rows(client: Any) -> None:
    study = swept.Study(vary={"bore": ["80 mm", "81 mm", "82 mm"], "stroke": ["80 mm", "90 mm"]})
    part = study.partition(1, 2)
    assert swept.dask.feasible(part, parts=50).tolist() == [3, 4, 5], "with the current client"
    assert swept.dask.count(part, client) == part.count()


def test_rows_beyond_64_bits(client: Any) -> None:
    vary = {name: swept.span("50 mm", "90 mm", count=10**6) for name in ("bore", "stroke", "gasket_bore")}
    study = swept.Study(vary={**vary, "cylinders": range(1, 101)}, fixed={"rod_length": "150 mm"})
    best = swept.dask.best(study, 5, "displacement", client=client, parts=4)
    want = study.best(5, "displacement")
    assert best["row"].dtype == object and best["row"].tolist() == want["row"].tolist()
    assert swept.dask.count(study, client, parts=4) == study.count()


def test_blocks_are_sent_as_they_are_taken_and_cancelled_when_left(study: swept.Study, client: Any) -> None:
    shares: list[float] = []
    blocks = swept.dask.blocks(study, size=100, client=client, parts=PARTS, progress=shares.append)
    assert next(blocks).rows == 100
    assert len(shares) < PARTS / 2
    blocks.close()  # type: ignore[attr-defined]
    time.sleep(0.3)
    done = len(shares)
    time.sleep(0.3)
    assert len(shares) == done < PARTS


def test_what_stops_a_question_cancels_its_parts(study: swept.Study, cluster: Any, client: Any) -> None:
    def stop(share: float) -> None:
        if share > 0.1:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        swept.dask.count(study, client, parts=PARTS, progress=stop)
    end = time.monotonic() + 10.0
    while any("_answer" in str(key) for key in cluster.scheduler.tasks) and time.monotonic() < end:
        time.sleep(0.05)
    assert not any("_answer" in str(key) for key in cluster.scheduler.tasks)
