"""Designs listed row by row on a cluster of processes, one of which is killed in the middle; parts of them."""

from __future__ import annotations

import pickle
import time
from collections.abc import Callable
from typing import Any

import numpy as np
import pint
import pytest
from dask_cluster import Killer, Lost, assert_killed_in_the_middle, same

import swept
from swept import errors

PARTS = 40
FIXED = {"cylinders": 4, "bore_spacing": "96 mm", "gasket_thickness": "1 mm", "deck_clearance": "0.2 mm"}
LIMITS = {
    "compression_ratio": (9.0, 11.5),
    "mean_piston_speed": (None, "20 m/s"),
    "wall_between_bores": ("7 mm", None),
}


def listed(rows: int = 300_001) -> swept.Columns:
    g = np.random.default_rng(3)
    bore = g.uniform(80.0, 90.0, rows)
    # Ties for the best, and rows that are no engine.
    bore[::5] = 88.0
    bore[7::1000] = np.nan
    columns = {
        "bore": (bore, "mm"),
        "stroke": (g.uniform(70.0, 95.0, 2 * rows)[::2], "mm"),
        "chamber_volume": (g.uniform(38.0, 50.0, rows), "cm3"),
        "gasket_bore": pint.get_application_registry().Quantity(g.uniform(3.5, 3.7, rows), "inch"),
        "crown_volume": (g.uniform(-5e3, 5e3, rows), "mm3"),
    }
    fixed = {**FIXED, "speed": "7000 rpm", "rod_length": "145 mm"}
    return swept.Columns(columns=columns, fixed=fixed, limits=LIMITS)


def scattered(designs: int = 2_000_003) -> swept.Scatter:
    ranges = {
        "bore": ("80 mm", "90 mm"),
        "stroke": ("70 mm", "95 mm"),
        "chamber_volume": ("38 cm3", "50 cm3"),
        "crown_volume": ("-5 cm3", "5 cm3"),
    }
    fixed = {**FIXED, "speed": "7000 rpm", "rod_length": "145 mm", "gasket_bore": "91 mm"}
    return swept.Scatter(ranges=ranges, designs=designs, fixed=fixed, limits=LIMITS)


KINDS: dict[str, Callable[..., Any]] = {"columns": listed, "scattered": scattered}


def streamed(study: Any, **on: Any) -> dict[str, Any]:
    tables = list(swept.dask.blocks(study, ["bore", "compression_ratio"], size=777, **on))
    assert all(table.rows == 777 for table in tables[:-1]) and 1 <= tables[-1].rows <= 777
    return {name: np.concatenate([table[name] for table in tables]) for name in tables[0]}


QUESTIONS: dict[str, tuple[Callable[..., Any], Callable[[Any], Any]]] = {
    "count": (swept.dask.count, lambda s: s.count()),
    "rows": (
        lambda s, **on: swept.dask.feasible(s, ["bore", "compression_ratio"], **on),
        lambda s: s.feasible(["bore", "compression_ratio"]),
    ),
    "best": (
        lambda s, **on: swept.dask.best(s, 200, "compression_ratio", False, columns=["rod_ratio"], **on),
        lambda s: s.best(200, "compression_ratio", False, columns=["rod_ratio"]),
    ),
    "ties": (
        lambda s, **on: swept.dask.best(s, 30, "bore_stroke_ratio", **on),
        lambda s: s.best(30, "bore_stroke_ratio"),
    ),
    "excluded": (swept.dask.excluded, lambda s: s.excluded()),
    "blocks": (streamed, lambda s: s.feasible(["bore", "compression_ratio"])),
}


def equal(found: Any, want: Any) -> bool:
    return found == want if isinstance(want, swept.columns.Tally) else same(found, want)


KILLED = [(kind, q, False) for kind in KINDS for q in ("count", "rows", "best")] + [
    (kind, "count", True) for kind in KINDS
]


@pytest.mark.parametrize(("kind", "question", "given_up"), KILLED)
def test_a_killed_worker_changes_no_answer(
    cluster: Any, client: Any, kind: str, question: str, given_up: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    study = KINDS[kind]()
    on_cluster, here = QUESTIONS[question]
    # Dask gives a part up as soon as one worker is lost with it: swept asks for it again.
    monkeypatch.setattr(cluster.scheduler, "allowed_failures", 0 if given_up else 3)
    lost, killer = Lost(), Killer(client)
    cluster.scheduler.add_plugin(lost, name="lost")
    found = on_cluster(study, client=client, parts=PARTS, progress=killer)
    cluster.scheduler.remove_plugin("lost")
    assert_killed_in_the_middle(killer, lost, PARTS)
    want = here(study)
    assert equal(found, want)
    if question == "count":
        assert 0 < want.feasible < want.rows == len(study) and (want.refused > 0) == (kind == "columns")
    else:
        assert len(want["row"]) >= 200


@pytest.mark.parametrize("question", QUESTIONS)
@pytest.mark.parametrize("kind", KINDS)
def test_answers_are_the_same_for_any_number_of_parts(client: Any, kind: str, question: str) -> None:
    study = KINDS[kind](20_011)
    on_cluster, here = QUESTIONS[question]
    want = here(study)
    for parts in (1, 2, 13, None):
        assert equal(on_cluster(study, client=client, parts=parts), want), parts
    part = study.partition(2, 3)
    assert equal(on_cluster(part, client=client, parts=5), here(part))
    for few in (0, 1, 3):
        small = KINDS[kind](few)
        if question != "blocks":
            assert equal(on_cluster(small, client=client, parts=9), here(small)), few


@pytest.mark.parametrize("kind", KINDS)
def test_parts_have_the_row_numbers_of_the_whole(kind: str) -> None:
    study = KINDS[kind](10_007)
    parts = [study.partition(i, 7) for i in range(7)]
    assert [row for part in parts for row in (part.rows.start, part.rows.stop - 1)][-1] == 10_006
    assert sum(len(part) for part in parts) == len(study) and study.rows == range(10_007)
    assert np.array_equal(np.concatenate([part.feasible() for part in parts]), study.feasible())
    fresh = [part.outputs(["compression_ratio"]).table["compression_ratio"] for part in parts]
    whole = study.outputs(["compression_ratio"]).table["compression_ratio"]
    assert np.concatenate(fresh).tobytes() == whole.tobytes()
    inner = parts[3].partition(1, 2)
    assert inner.rows.stop == parts[3].rows.stop and f"from {inner.rows.start:,}" in repr(inner)
    row = inner.rows.start
    assert same(inner.table([row], ["bore"]), study.table([row], ["bore"]))
    for other in (row - 1, inner.rows.stop):
        with pytest.raises(errors.OutOfRange, match="from"):
            inner.design(other)
    with pytest.raises(errors.OutOfRange):
        study.partition(7, 7)


@pytest.mark.parametrize("kind", KINDS)
def test_pickled_they_are_the_same_and_a_part_takes_its_own_rows_along(kind: str) -> None:
    study = KINDS[kind](50_000)
    for one in (study, study.partition(1, 100), study.partition(1, 100).partition(2, 3)):
        text = pickle.dumps(one)
        again = pickle.loads(text)
        assert again.rows == one.rows and repr(again) == repr(one)
        assert same(again.best(5, "displacement"), one.best(5, "displacement"))
        assert same(again.excluded(), one.excluded()) and same(again.feasible(["bore"]), one.feasible(["bore"]))
        with swept.display("inch"):
            assert same(again.table(list(one.rows)[:3]), one.table(list(one.rows)[:3]))
        if kind == "columns":
            assert len(text) < 2000 + 5 * 8 * len(one)


def test_refusals_are_those_of_the_question(client: Any) -> None:
    study = scattered(1000)
    with pytest.raises(errors.UnknownKey):
        swept.dask.best(study, 3, "no_such_output", client=client)
    with pytest.raises(TypeError, match="Study"):
        swept.dask.pareto(study, {"displacement": "max"}, client=client)  # type: ignore[arg-type]
    with pytest.raises(ValueError, match="allowed: 0 or more"):
        swept.dask.best(study, -1, "displacement", client=client)


def test_slices_of_columns_are_sent_as_they_are_needed(client: Any) -> None:
    study, shares = listed(100_000), []
    blocks = swept.dask.blocks(study, size=100, client=client, parts=50, progress=shares.append)
    assert next(blocks).rows == 100
    assert len(shares) < 25
    blocks.close()  # type: ignore[attr-defined]
    time.sleep(0.3)
    done = len(shares)
    time.sleep(0.2)
    assert len(shares) == done < 50
