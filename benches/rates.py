"""How many designs one core answers for in a second, by question, on grids of 10^15: what a plan of a cluster needs.

    python benches/rates.py

Parts drawn evenly over a grid are asked on one thread. Seconds are those of the processor: other work on
the machine still takes of its cache and memory, and makes rates lower than they are.
"""

from __future__ import annotations

import random
import time
from collections.abc import Callable
from functools import partial
from typing import Any

import swept

FIXED = {"cylinders": 8, "bore_spacing": "112 mm", "speed": "7000 rpm"}
# Wide axes: nearly all is refused, most of it at the first axes.
TYPICAL: dict[str, tuple[str, str, int]] = {
    "bore": ("95 mm", "108 mm", 100),
    "stroke": ("75 mm", "102 mm", 100),
    "rod_length": ("140 mm", "165 mm", 50),
    "deck_height": ("228 mm", "236 mm", 50),
    "compression_height": ("30 mm", "45 mm", 50),
    "gasket_thickness": ("0.5 mm", "1.5 mm", 20),
    "gasket_bore": ("108 mm", "112 mm", 10),
    "chamber_volume": ("40 cm3", "80 cm3", 40),
    "crown_volume": ("-5 cm3", "25 cm3", 100),
}
TYPICAL_LIMITS: dict[str, tuple[str | None, str | None]] = {
    "compression_ratio": ("9", "12"),
    "piston_to_head": ("0.9 mm", "1.4 mm"),
    "mean_piston_speed": (None, "22 m/s"),
    "peak_acceleration": (None, "36000 m/s2"),
    "wall_between_bores": ("5 mm", None),
    "rod_ratio": ("1.55", None),
}
# Narrow axes about the limits of the ratio, few values on the last ones: doubt is left nearly everywhere.
UNDECIDED: dict[str, tuple[str, str, int]] = {
    "bore": ("100 mm", "102 mm", 100),
    "stroke": ("90 mm", "92 mm", 100),
    "rod_length": ("145 mm", "150 mm", 100),
    "deck_height": ("230 mm", "231 mm", 100),
    "compression_height": ("36 mm", "37 mm", 100),
    "gasket_thickness": ("0.5 mm", "1.5 mm", 100),
    "gasket_bore": ("108 mm", "112 mm", 10),
    "chamber_volume": ("55 cm3", "65 cm3", 10),
    "crown_volume": ("0 cm3", "10 cm3", 10),
}
UNDECIDED_LIMITS: dict[str, tuple[str | None, str | None]] = {"compression_ratio": ("10", "11")}
OBJECTIVES = {"displacement": "max", "peak_acceleration": "min"}


def grid(axes: dict[str, tuple[str, str, int]], limits: dict[str, Any]) -> swept.Study:
    vary = {name: swept.span(first, last, count=count) for name, (first, last, count) in axes.items()}
    return swept.Study(vary=vary, fixed=FIXED, limits=limits)


def seconds(question: Callable[[], object], repeats: int = 1) -> float:
    times = []
    for _ in range(repeats):
        start = time.process_time()
        question()
        times.append(time.process_time() - start)
    return min(times)


def of_parts(name: str, study: swept.Study, n: int, asked: int, question: Callable[[swept.Study], object]) -> None:
    """The rate over so many of n parts, drawn evenly over the grid; the middle one and the longest."""
    draw = random.Random(1)
    parts = [study.partition((i * n + draw.randrange(n)) // asked, n) for i in range(asked)]
    took = sorted(seconds(partial(question, part)) for part in parts)
    designs = sum(part.rows.stop - part.rows.start for part in parts)
    print(
        f"{name:<40}{designs / sum(took):>9.1e} designs/s/core; {asked} parts of {designs // asked:.0e}: "
        f"mean {sum(took) / asked:.4f} s, middle {took[asked // 2]:.4f} s, longest {took[-1]:.4f} s",
        flush=True,
    )


def whole(name: str, question: Callable[[], object]) -> None:
    print(f"{name:<40}{seconds(question, 5) * 1e3:>9.2f} ms for the whole grid", flush=True)


def main() -> None:
    typical, undecided = grid(TYPICAL, TYPICAL_LIMITS), grid(UNDECIDED, UNDECIDED_LIMITS)
    print(f"{typical.designs:.0e} designs each")
    of_parts("count, typical", typical, 1_000_000, 400, lambda part: part.count(threads=1))
    of_parts("count, mostly undecided", undecided, 10_000_000, 40, lambda part: part.count(threads=1))
    of_parts("best 100, typical", typical, 16_000, 200, lambda p: p.best(100, "displacement", threads=1))
    of_parts("front of two, typical", typical, 16_000, 50, lambda part: part.pareto(OBJECTIVES, threads=1))
    whole("best 100, typical", lambda: typical.best(100, "displacement", threads=1))
    whole("best 100, mostly undecided", lambda: undecided.best(100, "displacement", threads=1))
    whole("front of two, typical", lambda: typical.pareto(OBJECTIVES, threads=1))


if __name__ == "__main__":
    main()
