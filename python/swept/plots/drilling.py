"""The drill map: where the holes of the plan go in each cheek."""

from __future__ import annotations

from collections.abc import Sequence
from math import cos, radians, sin, tan
from typing import Any

from swept.documents import Sheet
from swept.plots.balance import SEEN, balance_of, headline
from swept.plots.style import GREY, INK, Plot, noted_legend, styled

_PALE = "#e4e4e4"
# Least angle between two numbers outside a cheek.
_APART = radians(9.0)


def drill_map(sheet: Sheet, cheeks: Sequence[str] | None = None) -> Plot:
    """The holes of the plan in each cheek, to scale, seen along the crank; 0 deg up, angles in running direction.

    Without `cheeks`: those with a hole to drill, or all where there is none.
    """
    drilling = _drilling(sheet)
    names = cheeks_with_holes(sheet) if cheeks is None else list(cheeks)
    known = list(dict.fromkeys(c["cheek"] for c in drilling["cheeks"]))
    if not names:
        raise ValueError(f"no cheek named to draw; the sheet has {', '.join(known)}")
    for name in names:
        if name not in known:
            raise ValueError(f"the sheet has no cheek {name!r} to drill; it has {', '.join(known)}")
    columns = min(2, len(names))
    rows = -(-len(names) // columns)
    holes = {name: [(i, s) for i, s in enumerate(drilling["steps"], start=1) if s["cheek"] == name] for name in names}
    lines = max(len(h) for h in holes.values())
    with styled(7.0 if columns > 1 else 6.0, (3.3 + 0.13 * lines) * rows + 0.9) as figure:
        grid: Any = figure.subplots(rows, columns, squeeze=False).flatten()
        boxes = []
        for ax, name in zip(grid, names, strict=False):
            sites = [c for c in drilling["cheeks"] if c["cheek"] == name]
            there = [h for h in drilling["drilled"] if h["cheek"] == name]
            boxes.append(_cheek(ax, sites, [s for _, s in holes[name]], there))
            _numbers(ax, holes[name], sites)
            ax.set_title(_title(name, holes[name]), fontsize=7.5, loc="left")
            ax.set_xlabel(sites[0]["radius"]["unit"])
        _same_scale(grid, boxes)
        for ax in grid[len(names) :]:
            ax.set_visible(False)
        headline(figure, drilling)
        note = f"{SEEN}.\nThe cross is the crank's axis; the numbers are those of the table."
        noted_legend(figure, _key(drilling, names), note)
        return figure


def _drilling(sheet: Sheet) -> dict[str, Any]:
    drilling: dict[str, Any] | None = balance_of(sheet)["drilling"]
    if not drilling:
        raise ValueError("the document has no sites to drill, no readings or no limit")
    return drilling


def cheeks_with_holes(sheet: Sheet) -> list[str]:
    """The cheeks that the plan drills, in the order of the document; all where it drills none."""
    drilling = _drilling(sheet)
    names = list(dict.fromkeys(c["cheek"] for c in drilling["cheeks"]))
    used = {s["cheek"] for s in drilling["steps"]}
    return [name for name in names if name in used] or names


def _at(radius: float, angle: float) -> tuple[float, float]:
    """Zero up, counter-clockwise."""
    return -radius * sin(angle), radius * cos(angle)


def _title(name: str, holes: list[tuple[int, dict[str, Any]]]) -> str:
    """The cheek, where it stands, and its holes, a line each."""
    places = dict.fromkeys(step["position"]["text"] for _, step in holes)
    along = f", at {' and '.join(places)} along the crank" if places else ""
    return "\n".join([f"cheek {name}{along}", *(_in_words(i, s) for i, s in holes)])


def _in_words(number: int, step: dict[str, Any]) -> str:
    def figure(key: str) -> str:
        return str(step[key]["text"]).removesuffix(f" {step[key]['unit']}")

    slug = ", slug" if step["slug"] else ""
    size = f"Ø {figure('diameter')} by {figure('depth')} deep"
    return f"{number}: {step['angle_deg']:.1f}°, R {figure('radius')}, {step['way']}, {size}{slug}"


def _cheek(
    ax: Any, sites: list[dict[str, Any]], steps: list[dict[str, Any]], there: list[dict[str, Any]]
) -> list[tuple[float, float]]:
    """One cheek with its holes; returns the points that the panel must show."""
    seen = []
    greatest = max(c["radius"]["value"] for c in sites)
    for site in sites:
        radius, arc = site["radius"]["value"], _arc(site)
        if site["way"] == "axial":
            ax.plot(
                *zip(*(_at(radius, a) for a in arc), strict=True), color=INK, linewidth=0.8, linestyle="-.", zorder=2
            )
        else:
            edge = [_at(radius, a) for a in arc]
            ax.fill(*zip((0.0, 0.0), *edge, strict=True), facecolor=_PALE, edgecolor="none", zorder=1)
            ax.plot(*zip(*edge, strict=True), color=INK, linewidth=1.4, zorder=2)
        for angle, label, outside in ((arc[0], site["from_deg"], -1.0), (arc[-1], site["to_deg"], 1.0)):
            ax.plot(*zip((0.0, 0.0), _at(radius, angle), strict=True), color=GREY, linewidth=0.6, zorder=2)
            spot = _at(0.72 * greatest, angle + outside * radians(9.0))
            ax.annotate(f"{round(label, 1) % 360.0:g}°", spot, fontsize=7.5, color=GREY, ha="center", va="center")
        seen += [_at(1.3 * greatest, a) for a in arc]
    for hole in there:
        ax.add_patch(_hole(hole, facecolor="white", edgecolor=INK, hatch="////", linewidth=0.8, zorder=3))
    for step in steps:
        ax.add_patch(_hole(step, facecolor=INK, edgecolor=INK, zorder=3))
    _axis(ax, greatest)
    return [*seen, *((0.25 * greatest * x, 0.25 * greatest * y) for x, y in ((-1, -1), (1, 2.2)))]


def _arc(site: dict[str, Any]) -> list[float]:
    start, end = radians(site["from_deg"]), radians(site["to_deg"])
    return [start + (end - start) * k / 90.0 for k in range(91)]


def _axis(ax: Any, radius: float) -> None:
    """The crank's axis as a cross, 0 deg up from it, the running direction around it."""
    from matplotlib.patches import FancyArrowPatch

    style: Any = {"color": INK, "linewidth": 0.8}
    ax.plot([-0.08 * radius, 0.08 * radius], [0.0, 0.0], **style)
    ax.plot([0.0, 0.0], [-0.08 * radius, 0.3 * radius], **style)
    ax.annotate("0°", (0.0, 0.33 * radius), fontsize=8, ha="center", va="bottom")
    start, end = _at(0.22 * radius, radians(8.0)), _at(0.22 * radius, radians(75.0))
    ax.add_patch(
        FancyArrowPatch(start, end, connectionstyle="arc3,rad=0.3", arrowstyle="-|>", mutation_scale=8, **style)
    )


def _hole(step: dict[str, Any], **style: Any) -> Any:
    """One hole to scale: a circle on its axis where it is axial, else its section with the drill's point."""
    from matplotlib.patches import Circle, Polygon

    angle, radius, half = radians(step["angle_deg"]), step["radius"]["value"], step["diameter"]["value"] / 2.0
    if step["way"] == "axial":
        return Circle(_at(radius, angle), half, **style)
    floor = radius - step["depth"]["value"]
    point = floor - half / tan(radians(step["point_deg"]) / 2.0)
    corners = [(-half, radius), (half, radius), (half, floor), (0.0, point), (-half, floor)]
    turned = [(x * cos(angle) - y * sin(angle), x * sin(angle) + y * cos(angle)) for x, y in corners]
    return Polygon(turned, closed=True, **style)


def _numbers(ax: Any, holes: list[tuple[int, dict[str, Any]]], sites: list[dict[str, Any]]) -> None:
    """The number of each hole outside the cheek, apart from each other, with a line to its mouth or axis."""
    radius, start = max(c["radius"]["value"] for c in sites), sites[0]["from_deg"]
    # From the start of the metal on: neighbours on both sides of 0 deg stay neighbours.
    order = sorted(((step["angle_deg"] - start + 1e-6) % 360.0, number, step) for number, step in holes)
    angles = _apart([radians(start + after) for after, _, _ in order])
    for (_, number, step), angle in zip(order, angles, strict=True):
        end = step["radius"]["value"] + (step["diameter"]["value"] / 2.0 if step["way"] == "axial" else 0.0)
        arrow = {"arrowstyle": "-", "linewidth": 0.6, "shrinkA": 0.0, "shrinkB": 0.0}
        style: Any = {"fontsize": 9, "fontweight": "bold", "ha": "center", "va": "center", "arrowprops": arrow}
        ax.annotate(str(number), _at(end, radians(step["angle_deg"])), _at(1.19 * radius, angle), **style)


def _apart(angles: list[float]) -> list[float]:
    """The angles, rising, moved as little as keeps neighbours apart."""
    moved = list(angles)
    for _ in range(200):
        for i in range(1, len(moved)):
            short = _APART - (moved[i] - moved[i - 1])
            if short > 0.0:
                moved[i - 1] -= short / 2.0
                moved[i] += short / 2.0
    return moved


def _same_scale(grid: Any, boxes: list[list[tuple[float, float]]]) -> None:
    """Square panels of one span, so that every cheek is drawn to the same scale."""
    ends = [[(min(axis), max(axis)) for axis in zip(*box, strict=True)] for box in boxes]
    span = max(high - low for box in ends for low, high in box)
    for ax, box in zip(grid, ends, strict=False):
        (left, right), (low, high) = ((sum(e) / 2.0 - span / 2.0, sum(e) / 2.0 + span / 2.0) for e in box)
        ax.set_xlim(left, right)
        ax.set_ylim(low, high)
        ax.set_aspect("equal")
        ax.locator_params(nbins=6)
        ax.tick_params(labelsize=7.5)


def _key(drilling: dict[str, Any], names: list[str]) -> list[Any]:
    from matplotlib.lines import Line2D
    from matplotlib.patches import Patch

    sites = [c for c in drilling["cheeks"] if c["cheek"] in names]
    steps = [s for s in drilling["steps"] if s["cheek"] in names]
    axial = [c["way"] == "axial" for c in sites]
    handles: list[Any] = []
    if not all(axial):
        handles.append(Patch(facecolor=_PALE, edgecolor=INK, label="between these angles holes may start at the edge"))
    if any(axial):
        handles.append(
            Line2D(
                [],
                [],
                color=INK,
                linewidth=0.8,
                linestyle="-.",
                label="between these angles axes of holes may lie on the circle",
            )
        )
    if steps:
        handles.append(Patch(facecolor=INK, label="hole of no plan" if drilling["shortfall"] else "hole to drill"))
    if any(h["cheek"] in names for h in drilling["drilled"]):
        handles.append(Patch(facecolor="white", edgecolor=INK, hatch="////", label="hole that is there already"))
    return handles
