"""Labels of points that do not stand on each other, on the points or on the path between them."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from math import cos, hypot, pi, sin
from typing import Any

_SIZE = 7.5
# Points of type from the middle of a panel to its rim: what a panel of a page's half has.
_RIM = 85.0


def place_labels(
    ax: Any, points: Sequence[tuple[float, float]], texts: Sequence[str], anchors: Sequence[tuple[float, float]]
) -> None:
    """One label for each point, in its order; points on one spot share theirs.

    `points` are from the middle of the panel, 1 at its rim; `anchors` are the same points as the axes take them.
    """
    spots: dict[tuple[float, float], list[int]] = {}
    for i, (x, y) in enumerate(points):
        near = [s for s in spots if hypot(s[0] - x * _RIM, s[1] - y * _RIM) < 2.0]
        spots.setdefault(near[0] if near else (x * _RIM, y * _RIM), []).append(i)
    path = [(x * _RIM, y * _RIM) for x, y in points]
    avoid = [_between(a, b, k / 12.0) for a, b in itertools.pairwise(path) for k in range(13)] + path
    placed: list[tuple[float, float, float, float]] = []
    for (x, y), members in spots.items():
        text = ", ".join(texts[i] for i in members)
        wide, high = 0.3 * _SIZE * len(text) + 1.5, 0.6 * _SIZE
        choices = [
            (x + (far + wide) * sin(k * pi / 8.0), y + (far + high) * cos(k * pi / 8.0), wide, high, far)
            for far in (5.0, 10.0, 17.0, 26.0)
            for k in range(16)
        ]
        u, v, *_, far = min(choices, key=lambda c: _cost(c, placed, avoid))
        placed.append((u, v, wide, high))
        arrow = {"arrowstyle": "-", "linewidth": 0.4, "shrinkA": 0.0, "shrinkB": 3.0} if far > 5.0 else None
        style: Any = {"fontsize": _SIZE, "ha": "center", "va": "center", "arrowprops": arrow}
        ax.annotate(text, anchors[members[0]], xytext=(u - x, v - y), textcoords="offset points", **style)


def _between(a: tuple[float, float], b: tuple[float, float], share: float) -> tuple[float, float]:
    return a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])


def _cost(
    choice: tuple[float, ...],
    placed: Sequence[tuple[float, float, float, float]],
    avoid: Sequence[tuple[float, float]],
) -> float:
    """Standing on another label is worst, then on a point of the path, then far away."""
    u, v, wide, high, far = choice
    on_labels = sum(abs(u - p[0]) < wide + p[2] and abs(v - p[1]) < high + p[3] for p in placed)
    on_path = sum(abs(u - x) < wide + 2.0 and abs(v - y) < high + 2.0 for x, y in avoid)
    return 1000.0 * on_labels + 20.0 * on_path + far
