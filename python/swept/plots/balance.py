"""Plots of the balance: shaking forces over a turn, and what is left in the correction planes."""

from __future__ import annotations

import itertools
from typing import Any

from swept._swept import convert
from swept.documents import Sheet
from swept.plots.labels import place_labels
from swept.plots.style import BLUE, GREY, INK, RED, Plot, noted_legend, styled

# How every picture across the crank is turned: 0 deg up, angles counter-clockwise.
SEEN = (
    "0° is where a crankpin of throw angle 0° points, with the crank at zero;\n"
    "angles count in running direction, seen from the end where the crank turns counter-clockwise"
)
NO_PLAN = "NO PLAN: no hole serves"
NOT_A_PLAN = "NOT A PLAN: the limits are not reached; this comes nearest"


def balance_of(sheet: Sheet) -> dict[str, Any]:
    """The balance of the sheet, or an error that says there is none."""
    balance: dict[str, Any] | None = sheet.data.get("balance")
    if not balance:
        raise ValueError("the document has no table [balance]")
    return balance


def _trace(sheet: Sheet) -> dict[str, Any]:
    trace: dict[str, Any] | None = balance_of(sheet)["trace"]
    if not trace:
        raise ValueError("the document gives too little for the shaking force: masses, engine.speed")
    return trace


# Key in the trace, words, line, mark at crank angle zero, its face. The first stays to be seen under the second.
_TRACES: tuple[tuple[str, str, dict[str, Any], str, str], ...] = (
    ("bare", "before: pistons and rods alone", {"color": BLUE, "linestyle": "--", "linewidth": 2.4}, "s", "white"),
    ("balanced", "after: with all that turns", {"color": INK, "linestyle": "-", "linewidth": 1.1}, "o", INK),
)


def _unit(sheet: Sheet, name: str, trace: dict[str, Any], keys: tuple[str, ...]) -> tuple[str, float]:
    """The unit to draw a force or moment in and what one newton, or newton metre, is in it."""
    unit = balance_of(sheet)["orders"][0][name]["unit"]
    greatest = max(abs(p[key]) for points in trace.values() for p in points for key in keys)
    if unit == "kN" and greatest < 1000.0:
        unit = "N"
    return unit, convert(1.0, "N" if name == "force" else "N m", unit)


def hodograph(sheet: Sheet) -> Plot:
    """The shaking force over one turn of the crank as the path of its tip, before and after the counterweights."""
    trace = _trace(sheet)
    unit, scale = _unit(sheet, "force", trace, ("along_n", "across_n"))
    with styled(4.6, 4.6) as figure:
        ax = figure.subplots()
        for key, label, line, mark, face in _TRACES:
            across = [p["across_n"] * scale for p in trace[key]]
            along = [p["along_n"] * scale for p in trace[key]]
            ax.plot(across, along, label=label, **line)
            start: Any = {"marker": mark, "markersize": 5, "markeredgecolor": INK, "markerfacecolor": face}
            word = label.partition(":")[0]
            ax.plot(across[0], along[0], linestyle="none", label=f"{word}, at crank angle 0 deg", **start)
        ax.set_aspect("equal", adjustable="datalim")
        # A positive angle turns counter-clockwise, as in every picture across the crank.
        ax.invert_xaxis()
        ax.axhline(0.0, color=GREY, linewidth=0.6)
        ax.axvline(0.0, color=GREY, linewidth=0.6)
        ax.locator_params(nbins=6)
        ax.set_xlabel(f"force across, towards bank angle 90 deg, {unit}")
        ax.set_ylabel(f"force along bank angle 0 deg, {unit}")
        ax.set_title("Shaking force over one turn of the crank")
        figure.legend(loc="outside lower center", ncols=2)
        return figure


def shaking(sheet: Sheet) -> Plot:
    """Shaking force and moment against crank angle, before and after the counterweights."""
    trace = _trace(sheet)
    rows = (
        ("force", ("along_n", "across_n")),
        ("moment", ("moment_along_nm", "moment_across_nm")),
    )
    with styled(7.0, 4.8) as figure:
        grid: Any = figure.subplots(2, 2)
        for axes, (name, keys) in zip(grid, rows, strict=True):
            unit, scale = _unit(sheet, name, trace, keys)
            peaks = [max(abs(p[key]) for points in trace.values() for p in points) * scale for key in keys]
            for ax, key, peak, way in zip(axes, keys, peaks, ("along", "across"), strict=True):
                for which, words, line, *_ in _TRACES:
                    angle = [p["crank_deg"] for p in trace[which]]
                    ax.plot(angle, [p[key] * scale for p in trace[which]], label=words, **line)
                # What is nothing beside the other direction is drawn as nothing, not as rounding noise.
                reach = max(1.1 * peak, 0.05 * max(peaks)) or 1.0
                ax.set_ylim(-reach, reach)
                ax.set_xlim(0.0, 360.0)
                ax.set_xticks(range(0, 361, 90))
                ax.set_xlabel("crank angle, deg")
                ax.set_ylabel(f"{name} {way}, {unit}")
                of = "force" if name == "force" else "moment of the forces"
                ax.set_title(f"{of} {'along bank angle 0 deg' if way == 'along' else 'across it'}", fontsize=9)
        handles, labels = grid[0][0].get_legend_handles_labels()
        figure.legend(handles, labels, loc="outside lower center", ncols=2)
        return figure


def unbalance(sheet: Sheet) -> Plot:
    """Both correction planes: the path from what was read, hole by hole, to what remains, and what may remain."""
    balance = balance_of(sheet)
    planes = [p for p in balance["planes"] if p["read"]]
    if len(planes) != 2:
        raise ValueError("the document has no readings of a balancing machine")
    drilling = balance["drilling"] or {"steps": [], "guarded": [None, None], "shortfall": None}
    with styled(7.0, 4.7) as figure:
        axes: Any = figure.subplots(1, 2, subplot_kw={"projection": "polar"})
        handles: dict[str, Any] = {}
        for ax, plane, name, guarded in zip(
            axes, planes, ("first", "second"), drilling["guarded"] or [None, None], strict=True
        ):
            path = [(plane["read_heavy_at_deg"], plane["read"]["value"])]
            path += [(s[f"left_{name}_deg"], s[f"left_{name}"]["value"]) for s in drilling["steps"]]
            rings = [r["value"] for r in (plane["permissible"], guarded) if r]
            reach = 1.2 * max(*rings, *(amount for _, amount in path), 0.0) or 1.0
            _circles(ax, plane["permissible"], guarded)
            _path(ax, path, reach)
            _dial(ax, [angle for angle, _ in path], reach)
            last = drilling["steps"][-1][f"left_{name}"] if drilling["steps"] else None
            left = f", {last['text']} left" if last else ""
            ax.set_title(f"{plane['where']}: {plane['read']['text']} read{left}", fontsize=9)
            handles |= {h.get_label(): h for h in ax.lines if not h.get_label().startswith("_")}
        headline(figure, drilling)
        unit = planes[0]["read"]["unit"]
        noted_legend(
            figure, handles.values(), f"Direction: where the plane is heavy; distance: unbalance, {unit}.\n{SEEN}."
        )
        return figure


def headline(figure: Plot, drilling: dict[str, Any]) -> None:
    """Over a picture of no plan, that it is none."""
    if drilling["shortfall"]:
        figure.suptitle(NOT_A_PLAN if drilling["steps"] else NO_PLAN, fontsize=10, fontweight="bold")


def _circles(ax: Any, permissible: dict[str, Any] | None, guarded: dict[str, Any] | None) -> None:
    import numpy as np

    turn = np.linspace(0.0, 2.0 * np.pi, 181)
    for limit, line, label in (
        (permissible, "--", "permissible unbalance"),
        (guarded, "-", "permissible, less the guard for the reading's uncertainty"),
    ):
        if limit:
            ax.plot(turn, np.full(181, limit["value"]), color=RED, linestyle=line, linewidth=1.2, label=label)


def _path(ax: Any, path: list[tuple[float, float]], reach: float) -> None:
    """From the first reading to what remains, an arrow for each hole that changes the plane."""
    import numpy as np

    turned = [(np.radians(angle), amount) for angle, amount in path]
    for before, after in itertools.pairwise(turned):
        if before != after:
            arrow = {"arrowstyle": "-|>", "color": INK, "linewidth": 0.9, "shrinkA": 3.5, "shrinkB": 3.5}
            ax.annotate("", after, before, arrowprops=arrow)
    styles: list[tuple[slice, dict[str, Any]]] = [
        (slice(0, 1), {"marker": "s", "markersize": 6.5, "markerfacecolor": "white", "label": "as read"}),
        (
            slice(1, -1),
            {"marker": "o", "markersize": 3.5, "markerfacecolor": INK, "label": "after the hole of this number"},
        ),
    ]
    if len(path) > 1:
        styles.append(
            (slice(-1, None), {"marker": "D", "markersize": 5.5, "markerfacecolor": GREY, "label": "what remains"})
        )
    for part, style in styles:
        # A hole that leaves the plane as it was has a number there, but no mark of its own.
        found = [p for p in turned[part] if p != turned[0] or part.start == 0]
        if found:
            angles, amounts = zip(*found, strict=True)
            ax.plot(angles, amounts, linestyle="none", markeredgecolor=INK, **style)
    points = [(-a * np.sin(t) / reach, a * np.cos(t) / reach) for t, a in turned]
    place_labels(ax, points, ["read", *(str(i) for i in range(1, len(path)))], turned)


def _dial(ax: Any, taken: list[float], reach: float) -> None:
    """Zero up, counter-clockwise, the figures of the rings where no reading stands."""
    import numpy as np
    from matplotlib.ticker import MaxNLocator

    def clear(angle: float) -> float:
        return min(abs((angle - t + 180.0) % 360.0 - 180.0) for t in taken)

    ax.set_theta_zero_location("N")
    ax.set_rlim(0.0, reach)
    ax.yaxis.set_major_locator(MaxNLocator(4))
    ax.set_rlabel_position(max(np.arange(22.5, 360.0, 45.0), key=clear))
    ax.tick_params(labelsize=7.5)
    ax.set_xticks(np.radians(range(0, 360, 45)))
