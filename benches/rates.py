"""How many designs one core answers for in a second, by question, on grids of 10^15: what a plan of a cluster needs.

    python benches/rates.py

Parts of a grid that are spread over it are asked on one thread; of each the best of several times counts, as other work
may run beside it.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import Any

import swept

FIXED = {"cylinders": 8, "bore_spacing": "112 mm", "speed": "7000 rpm"}
LIMITS: dict[str, Any] = {
    "compression_ratio": ("9", "12"),
    "piston_to_head": ("0.9 mm", "1.4 mm"),
    "mean_piston_speed": (None, "22 m/s"),
    "peak_acceleration": (None, "36000 m/s2"),
    "wall_between_bores": ("5 mm", None),
    "rod_ratio": ("1.55", None),
}
# So many values on each axis: 10^15 designs. With few values on the last axes boxes are small, and limits leave doubt
# about nearly all that the first axes have not refused.
TYPICAL = (100, 100, 50, 50, 50, 20, 10, 40, 100)
UNDECIDED = (1000, 1000, 100, 100, 100, 10, 10, 10, 1)
PARTS = 8


def grid(counts: tuple[int, ...], limits: dict[str, Any]) -> swept.Study:
    ends = {
        "bore": ("95 mm", "108 mm"),
        "stroke": ("75 mm", "102 mm"),
        "rod_length": ("140 mm", "165 mm"),
        "deck_height": ("228 mm", "236 mm"),
        "compression_height": ("30 mm", "45 mm"),
        "gasket_thickness": ("0.5 mm", "1.5 mm"),
        "gasket_bore": ("108 mm", "112 mm"),
        "chamber_volume": ("40 cm3", "80 cm3"),
        "crown_volume": ("-5 cm3", "25 cm3"),
    }
    vary = {name: swept.span(*ends[name], count=n) for name, n in zip(ends, counts, strict=True)}
    return swept.Study(vary=vary, fixed=FIXED, limits=limits)


def seconds(question: Callable[[], object], repeats: int = 3) -> float:
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        question()
        times.append(time.perf_counter() - start)
    return min(times)


def of_parts(name: str, study: swept.Study, n: int, question: Callable[[swept.Study], Any]) -> None:
    """The rate over parts spread over the grid, and the longest of them."""
    parts = [study.partition((2 * i + 1) * n // (2 * PARTS), n) for i in range(PARTS)]
    took = [seconds(lambda part=part: question(part)) for part in parts]  # type: ignore[misc]
    designs = sum(part.rows.stop - part.rows.start for part in parts)
    rate = designs / sum(took)
    print(f"{name:<44}{rate:>10.1e} designs/s/core   parts of {designs // PARTS:.0e}: {max(took):.4f} s the longest")


def whole(name: str, question: Callable[[], object]) -> None:
    print(f"{name:<44}{seconds(question) * 1e3:>10.2f} ms, the whole grid")


def main() -> None:
    typical, undecided = grid(TYPICAL, LIMITS), grid(UNDECIDED, LIMITS)
    print(f"typical: {typical.designs:.0e} designs, undecided: {undecided.designs:.0e}")
    objectives = {"displacement": "max", "peak_acceleration": "min"}
    of_parts("count, typical", typical, 100_000, lambda part: part.count(threads=1))
    of_parts("count, mostly undecided", undecided, 10_000_000, lambda part: part.count(threads=1))
    of_parts("100 best by displacement, typical", typical, 16_000, lambda p: p.best(100, "displacement", threads=1))
    of_parts("front of two, typical", typical, 16_000, lambda part: part.pareto(objectives, threads=1))
    whole("100 best by displacement, typical", lambda: typical.best(100, "displacement", threads=1))
    whole("front of two, typical", lambda: typical.pareto(objectives, threads=1))


if __name__ == "__main__":
    main()
