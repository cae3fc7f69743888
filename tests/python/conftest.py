"""What the Python tests share."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

import swept
from swept._quantities import _system

EXAMPLES = Path(__file__).parents[2] / "examples"

# A deck that proves too tall for its limits, one that cannot be told, walls, and a title that tries to escape.
DOCUMENT = """
schema = 1
title = "Twin <script>alert('x')</script> & \\u001b[31m"
[engine]
cylinders = 2
throw_angles = ["0 deg", "0 deg"]
firing_order = [1, 2]
speed = "6000 rpm"
[block]
bore = "86.000 mm +/- 4 um"
planned_bore = "86.500 mm"
deck_height = ["221.00 mm +/- 10 um", "220.302 mm +/- 10 um"]
[[block.walls]]
cylinder = 2
angles = ["0 deg", "90 deg", "180 deg", "270 deg"]
thickness = ["5.1 mm", "5.9 mm", "5.0 mm", "5.4 mm"]
[crank]
stroke = "86.00 mm"
[rods]
length = "143.00 mm"
[pistons]
compression_height = "34.00 mm"
crown_volume = "-2 cm3"
[head]
chamber_volume = "40 cm3"
gasket_bore = "88 mm"
gasket_thickness = "1.0 mm"
[limits]
deck_clearance = { lower = "0.10 mm", upper = "0.30 mm", whose = "engine <b>builder</b>" }
wall_thickness = { lower = "4.0 mm", whose = "block maker" }
"""


@pytest.fixture(autouse=True)
def metric() -> Iterator[None]:
    """Every test starts and leaves in metric."""
    token = _system.set("metric")
    yield
    _system.reset(token)


@pytest.fixture(scope="session")
def sheet() -> swept.Sheet:
    return swept.parse_build(DOCUMENT).sheet()


@pytest.fixture
def cylinder() -> swept.Cylinder:
    return swept.Cylinder(bore="86 mm", stroke="86 mm", rod_length="143 mm", pin_offset="0.5 mm")


@pytest.fixture(scope="module")
def cluster() -> Iterator[Any]:
    """A Dask cluster of two processes."""
    distributed = pytest.importorskip("distributed")
    from dask_cluster import Slow

    kind = distributed.LocalCluster
    with kind(n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None) as cluster:
        with distributed.Client(cluster) as client:
            client.register_plugin(Slow(), name="slow")
        yield cluster


@pytest.fixture
def client(cluster: Any) -> Iterator[Any]:
    import distributed

    with distributed.Client(cluster) as client:
        client.wait_for_workers(2)
        yield client
