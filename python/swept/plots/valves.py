"""Plots of the valve train: lift and clearance, springs, clearance by advance and lash, the lobes."""

from __future__ import annotations

from typing import Any

from swept._swept import convert
from swept.documents import Finding, Sheet
from swept.plots.style import BLUE, GREY, INK, RED, Plot, noted_legend, styled
from swept.valve_words import event_text, found, limit_of, valves_of

# How each kind of valve is drawn: its line, its mark, the face of that.
_LINES: dict[str, dict[str, Any]] = {
    "intake": {"color": INK, "linestyle": "-", "linewidth": 1.3},
    "exhaust": {"color": BLUE, "linestyle": "--", "linewidth": 1.3},
}
_MARKS: dict[str, dict[str, Any]] = {
    "intake": {"marker": "o", "markersize": 5, "markeredgecolor": INK, "markerfacecolor": INK, "linestyle": "none"},
    "exhaust": {
        "marker": "s",
        "markersize": 5,
        "markeredgecolor": BLUE,
        "markerfacecolor": "white",
        "linestyle": "none",
    },
}
# How far from overlap top dead centre the clearances are drawn, deg.
_AROUND = 60


def _length(sheet: Sheet) -> tuple[str, float]:
    """The unit that lengths are drawn in, and what one millimetre is in it."""
    unit = "in" if sheet.data["display"] == "inch" else "mm"
    return unit, convert(1.0, "mm", unit)


def valve_lift(sheet: Sheet) -> Plot:
    """Lift of both valves over a working cycle, with the piston; the clearance of both to it round overlap."""
    valves = valves_of(sheet)
    unit, scale = _length(sheet)
    known = [s for s in valves["sides"] if s["least_clearance"]]
    with styled(7.0, 5.9 if known else 3.6) as figure:
        axes: Any = figure.subplots(2 if known else 1, 1, squeeze=False, height_ratios=[1.25, 1.0] if known else [1])
        handles = _lifts(axes[0][0], sheet, unit, scale)
        if known:
            handles += _clearances(axes[1][0], sheet, known, unit, scale)
        figure.legend(handles=handles, loc="outside lower center", ncols=2)
        return figure


def _lifts(ax: Any, sheet: Sheet, unit: str, scale: float) -> list[Any]:
    valves = valves_of(sheet)
    crank = [p["crank_deg"] for p in valves["points"]]
    lifts = {s["kind"]: [p[f"{s['kind']}_lift_mm"] * scale for p in valves["points"]] for s in valves["sides"]}
    top = max(max(values) for values in lifts.values())
    handles = [ax.plot(crank, lifts[kind], label=f"{kind} valve", **_LINES[kind])[0] for kind in lifts]
    piston = [p["piston_mm"] * scale for p in valves["points"]]
    seen = [p if p <= top else float("nan") for p in piston]
    handles += ax.plot(crank, seen, color=GREY, linestyle=":", linewidth=1.4, label="piston, below its top dead centre")
    level = valves["checking_lift"]["value"]
    style: Any = {
        "marker": "o",
        "markersize": 4,
        "markerfacecolor": "white",
        "markeredgecolor": INK,
        "linestyle": "none",
    }
    label = f"events at {valves['checking_lift']['text']} of lift"
    events = sorted((s[f"{e}_deg"], s["kind"], e) for s in valves["sides"] for e in ("opens", "closes"))
    handles += ax.plot([at for at, *_ in events], [level] * len(events), label=label, zorder=4, **style)
    for i, (at, kind, event) in enumerate(events):
        ax.plot([at, at], [level, 1.1 * top], color=INK, linewidth=0.5)
        # The texts of the first two events end at their line, those of the last two begin there: none is on another.
        text = f"{kind} {event}\n{event_text(kind, event, at, unit='°')}"
        way, offset = ("right", -2) if i in (0, 1) else ("left", 2)
        style_of: Any = {"textcoords": "offset points", "ha": way, "va": "bottom", "fontsize": 7.5}
        ax.annotate(text, (at, 1.12 * top), (offset, 0), **style_of)
    for side in valves["sides"]:
        printed = found(sheet, "valve_lift", side["kind"])[0].raw["value"]["text"]
        ax.text(side["centreline_deg"], 0.42 * top, f"{side['kind']}\n{printed}", ha="center", va="center", fontsize=8)
    ax.set_xlim(-360.0, 360.0)
    ax.set_xticks(range(-360, 361, 90))
    ax.set_ylim(0.0, 1.36 * top)
    ax.set_ylabel(f"lift, piston, {unit}")
    ax.set_xlabel("crank angle from overlap top dead centre, deg")
    return handles


def _clearances(ax: Any, sheet: Sheet, known: list[dict[str, Any]], unit: str, scale: float) -> list[Any]:
    points = [p for p in valves_of(sheet)["points"] if abs(p["crank_deg"]) <= _AROUND]
    crank = [p["crank_deg"] for p in points]
    handles = []
    heights = [0.0]
    for side in known:
        kind = side["kind"]
        ax.plot(crank, [p[f"{kind}_clearance_mm"] * scale for p in points], **_LINES[kind])
        least, at = side["least_clearance"], side["least_at_deg"]
        when = f"{abs(at):.1f}° {'before' if at < 0.0 else 'after'} TDC"
        words = f"{kind}: least {least['text']}, cylinder {side['tightest']}, {when}"
        handles += ax.plot([at], [least["value"]], zorder=4, label=words, **_MARKS[kind])
        heights.append(least["value"])
        limit = limit_of(sheet, kind)
        if limit:
            line = "-" if kind == "intake" else "-."
            text = f"least allowed, {kind}: {limit['text']}"
            handles.append(ax.axhline(limit["value"], color=RED, linewidth=1.0, linestyle=line, label=text))
            heights.append(limit["value"])
    ordered = sorted(known, key=lambda s: s["least_at_deg"])
    ways = ("right", "left") if len(ordered) == 2 else ("left",)
    for side, way in zip(ordered, ways, strict=True):
        offset = (-7 if way == "right" else 7, -9)
        clear: Any = {"boxstyle": "square,pad=0.15", "facecolor": "white", "edgecolor": "none"}
        style: Any = {"textcoords": "offset points", "ha": way, "va": "center", "fontsize": 8, "bbox": clear}
        ax.annotate(
            side["least_clearance"]["text"], (side["least_at_deg"], side["least_clearance"]["value"]), offset, **style
        )
    least, most = min(heights), max(heights)
    ax.set_ylim(least - 0.15 * (most - least) if least < 0.0 else 0.0, 2.4 * most or 1.0)
    if least < 0.0:
        ax.axhline(0.0, color=INK, linewidth=1.2)
    ax.set_xlim(-_AROUND, _AROUND)
    ax.set_xticks(range(-_AROUND, _AROUND + 1, 10))
    ax.set_ylabel(f"valve to piston,\nalong the stem, {unit}")
    ax.set_xlabel("crank angle from overlap top dead centre, deg")
    return handles


def spring_force(sheet: Sheet) -> Plot:
    """What the springs push, and what it takes to keep the valve on the cam, at the speed of the document."""
    sides = [s for s in valves_of(sheet)["sides"] if s["springs"]]
    if not sides:
        raise ValueError("the document gives too little for the forces of the springs: springs, moving, engine.speed")
    unit = "lbf" if sheet.data["display"] == "inch" else "N"
    scale = convert(1.0, "N", unit)
    top = 1.1 * scale * max(max(p["available_n"], p["needed_n"]) for s in sides for p in s["springs"])
    with styled(3.5 * len(sides) if len(sides) > 1 else 4.6, 3.5) as figure:
        axes: Any = figure.subplots(1, len(sides), squeeze=False, sharey=True)[0]
        for ax, side in zip(axes, sides, strict=True):
            lobe = [p["cam_deg"] for p in side["details"]["lobe"]]
            points = [p for p in side["springs"] if lobe[0] - 10.0 <= p["cam_deg"] <= lobe[-1] + 10.0]
            cam = [p["cam_deg"] for p in points]
            pushed, needed = ([p[key] * scale for p in points] for key in ("available_n", "needed_n"))
            ax.plot(cam, pushed, color=INK, linewidth=1.4, label="what the springs push")
            ax.plot(
                cam,
                needed,
                color=BLUE,
                linestyle="--",
                linewidth=1.4,
                label="what it takes to keep the valve on the cam",
            )
            short = [n > p for n, p in zip(needed, pushed, strict=True)]
            if any(short):
                shade: Any = {"facecolor": "none", "edgecolor": RED, "hatch": "xxxx", "linewidth": 0.0}
                ax.fill_between(cam, pushed, needed, where=short, label="NOT HELD at this speed", **shade)
            ax.set_xlim(cam[0], cam[-1])
            ax.set_ylim(0.0, top)
            ax.set_xlabel("cam angle from the nose, deg")
            ax.set_title(side["kind"], fontsize=9)
        axes[0].set_ylabel(f"force at the valve, {unit}")
        speed = sheet.data["design"]["speed"]["text"]
        figure.suptitle(f"Springs at {speed} of the crank", fontsize=10)
        handles = {h.get_label(): h for ax in axes for h in ax.get_legend_handles_labels()[0]}
        noted_legend(figure, handles.values(), "\n".join(_spring_note(sheet, s["kind"]) for s in sides))
        return figure


def _spring_note(sheet: Sheet, kind: str) -> str:
    """The speed of float and the coil bind of a kind of valve, as the findings have them."""
    words = [
        f"not held from {f.raw['value']['text']} on (kinematic estimate)" for f in found(sheet, "float_speed", kind)
    ]
    margins = found(sheet, "coil_bind_margin", kind)
    if margins:
        one_by_one = [f"{f.raw['value']['text']}{_which(f, kind)}" for f in margins]
        words.append(f"coil-bind margin {', '.join(one_by_one)}")
    if any(f.raw["value"]["si"] <= 0.0 for f in margins):
        words.append("\nTHE COILS BIND before full lift: what is drawn beyond is not the force")
    return f"{kind}: {'; '.join(words)}"


def _which(finding: Finding, kind: str) -> str:
    """Which spring of a nest, in brackets."""
    spring = (finding.raw["where"]["detail"] or "").removeprefix(kind).removeprefix(", ")
    return f" ({spring})" if spring else ""


def valve_clearance_map(sheet: Sheet) -> Plot:
    """Least clearance of both valves to the piston over advance and lash, with the limit and the point as set."""
    sides = [s for s in valves_of(sheet)["sides"] if s["map"]]
    if not sides:
        raise ValueError(
            "the document gives too little for valve-to-piston clearance: head_diameter, height and the deck"
        )
    unit, scale = _length(sheet)
    with styled(3.5 * len(sides) if len(sides) > 1 else 4.6, 3.5) as figure:
        axes: Any = figure.subplots(1, len(sides), squeeze=False)[0]
        handles: dict[str, Any] = {}
        for ax, side in zip(axes, sides, strict=True):
            limit = limit_of(sheet, side["kind"])
            draw = _map if len({p["lash_mm"] for p in side["map"]}) > 1 else _curve
            draw(ax, side, limit, unit, scale)
            ax.set_xlabel("advance from as installed, crank deg")
            ax.set_title(f"{side['kind']} valve, cylinder {side['tightest']}", fontsize=9)
            handles |= {h.get_label(): h for h in _map_handles(side, limit)}
        figure.suptitle(f"Least clearance to the piston along the stem, {unit}", fontsize=10)
        noted_legend(figure, handles.values(), "Advance opens the valve earlier; retard is below zero")
        return figure


def _map(ax: Any, side: dict[str, Any], limit: dict[str, Any] | None, unit: str, scale: float) -> None:
    import numpy as np

    # Light enough for black figures on it; the less clearance the darker.
    from matplotlib.colors import LinearSegmentedColormap
    from matplotlib.ticker import MaxNLocator

    advances = sorted({p["advance_deg"] for p in side["map"]})
    lashes = sorted({p["lash_mm"] for p in side["map"]})
    grid = np.full((len(lashes), len(advances)), np.nan)
    for p in side["map"]:
        grid[lashes.index(p["lash_mm"]), advances.index(p["advance_deg"])] = p["clearance_mm"] * scale
    lash = [row * scale for row in lashes]
    levels = MaxNLocator(10, steps=[1, 2, 2.5, 5, 10]).tick_values(np.nanmin(grid), np.nanmax(grid))
    greys = LinearSegmentedColormap.from_list("greys", ["#a8a8a8", "#ffffff"])
    ax.contourf(advances, lash, grid, levels=levels, cmap=greys)
    lines = ax.contour(advances, lash, grid, levels=levels, colors=GREY, linewidths=0.6)
    free = levels
    if limit:
        least = limit["value"]
        below = [min(levels[0], least) - 1.0, least]
        hatch = ax.contourf(advances, lash, grid, levels=below, colors="none", hatches=["///"])
        hatch.set_edgecolor("#606060")
        hatch.set_linewidth(0.0)
        ax.contour(advances, lash, grid, levels=[least], colors=RED, linewidths=1.8)
        free = [level for level in levels if abs(level - least) > 0.3 * (levels[1] - levels[0])]
    spots = [spot for level in free if (spot := _crossing(advances, lash, grid, level))]
    for text in lines.clabel(levels=free, fontsize=7.5, fmt="%g", colors=INK, manual=spots) if spots else []:
        text.set_bbox({"boxstyle": "square,pad=0.1", "facecolor": "white", "edgecolor": "none"})
        text.set_rotation(0.0)
    ax.plot(0.0, side["lash"]["value"], clip_on=False, zorder=5, **_MARKS["intake"])
    ax.grid(False)
    ax.set_ylabel(f"lash at the valve, {unit}")


def _crossing(advances: list[float], lash: list[float], grid: Any, level: float) -> tuple[float, float] | None:
    """Where a line of the map may have its figure: on the row a quarter up, away from the point as set half way up."""
    for row in (len(lash) // 4, len(lash) - 1 - len(lash) // 8):
        for i in range(len(advances) - 1):
            a, b = grid[row, i] - level, grid[row, i + 1] - level
            if a * b < 0.0:
                at = advances[i] + (advances[i + 1] - advances[i]) * a / (a - b)
                edge = 0.06 * (advances[-1] - advances[0])
                if advances[0] + edge < at < advances[-1] - edge:
                    return float(at), lash[row]
    return None


def _curve(ax: Any, side: dict[str, Any], limit: dict[str, Any] | None, unit: str, scale: float) -> None:
    ax.plot([p["advance_deg"] for p in side["map"]], [p["clearance_mm"] * scale for p in side["map"]], color=INK)
    ax.plot(0.0, side["least_clearance"]["value"], zorder=5, **_MARKS["intake"])
    if limit:
        ax.axhline(limit["value"], color=RED, linewidth=1.8)
    ax.set_ylabel(f"least clearance, {unit}")


def _map_handles(side: dict[str, Any], limit: dict[str, Any] | None) -> list[Any]:
    from matplotlib.lines import Line2D
    from matplotlib.patches import Patch

    handles: list[Any] = [Line2D([], [], label="as set", **_MARKS["intake"])]
    if limit:
        handles.append(
            Line2D([], [], color=RED, linewidth=1.8, label=f"least allowed, {side['kind']}: {limit['text']}")
        )
        if len({p["lash_mm"] for p in side["map"]}) > 1:
            handles.append(
                Patch(facecolor="white", edgecolor=INK, hatch="///", linewidth=0.4, label="below what is allowed")
            )
    return handles


def lobe_motion(sheet: Sheet) -> Plot:
    """Lift, velocity, acceleration and jerk of the follower over the cam angle, of both lobes."""
    sides = valves_of(sheet)["sides"]
    length, scale = _length(sheet)
    # A thousandth of the drawn unit for what is small beside it.
    small = "0.001 in" if length == "in" else "\N{MICRO SIGN}m"
    panels = (
        ("lift_mm", f"lift, {length}", scale),
        ("velocity_mm_per_deg", f"velocity, {small}/deg", 1e3 * scale),
        ("acceleration_mm_per_deg2", f"acceleration, {small}/deg²", 1e3 * scale),
        ("jerk_mm_per_deg3", f"jerk, {small}/deg³", 1e3 * scale),
    )
    with styled(7.0, 5.0) as figure:
        grid: Any = figure.subplots(2, 2, sharex=True)
        for ax, (key, label, factor) in zip(grid.flat, panels, strict=True):
            for side in sides:
                lobe = side["details"]["lobe"]
                cam = [p["cam_deg"] for p in lobe]
                ax.plot(cam, [p[key] * factor for p in lobe], label=f"{side['kind']} lobe", **_LINES[side["kind"]])
            if key != "lift_mm":
                ax.axhline(0.0, color=GREY, linewidth=0.7)
            ax.set_ylabel(label)
        for ax in grid[1]:
            ax.set_xlabel("cam angle from the nose, deg")
        figure.suptitle("Motion of the follower, per degree of the cam", fontsize=10)
        handles, _ = grid[0][0].get_legend_handles_labels()
        figure.legend(handles=handles, loc="outside lower center", ncols=2)
        return figure
