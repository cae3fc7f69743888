"""Plots of geometry, clearances, matching and tolerances."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from swept.documents import Finding, Sheet, place_text
from swept.motion import motion_table
from swept.plots.style import BLUE, GREY, INK, RED, Plot, panels, styled

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from swept._swept import Cylinder

# How a verdict is drawn: marker, face, edge and word.
_MARKS = {
    "pass": ("o", INK, INK, "pass"),
    "clear": ("o", GREY, INK, "clear"),
    "fail": ("X", RED, INK, "FAIL"),
    "cannot_tell": ("s", "white", INK, "CANNOT TELL"),
    "no_limit": (".", GREY, GREY, "no limit"),
}


def piston_motion(cylinder: Cylinder, speed: Any) -> Plot:
    """Piston position, velocity and acceleration over one revolution at a shaft speed such as "6500 rpm"."""
    table = motion_table(cylinder, speed=speed)
    angle, *rest = (name for name in table if not name.startswith("rod_angle"))
    with styled(6.4, 6.0) as figure:
        axes = figure.subplots(len(rest), 1, sharex=True)
        for ax, name in zip(axes, rest, strict=True):
            ax.plot(table[angle], table[name], color=INK, linewidth=1.2)
            ax.set_ylabel(_axis_label(name.removeprefix("piston_")))
        axes[0].invert_yaxis()
        axes[0].set_title("Piston from top dead centre, positive away from the head")
        axes[-1].set_xlabel("crank angle after top dead centre, deg")
        axes[-1].set_xticks(range(0, 361, 45))
        return figure


def _axis_label(column: str) -> str:
    """ "velocity_m_per_s" as "velocity, m/s"."""
    name, _, unit = column.partition("_")
    return f"{name}, {unit.replace('_per_', '/')}"


def clearance_volume(sheet: Sheet) -> Plot:
    """The clearance volume of cylinder 1 by its parts; a dome, or a piston above the deck, takes volume away."""
    parts = sheet.data["design"]["clearance_volume"]
    if not parts:
        raise ValueError("the document gives too little for the clearance volume; see not_computed in the sheet")
    total = sheet.find("clearance_volume")[0].raw["value"]
    names = [p["part"] for p in parts]
    values = [p["volume"]["value"] for p in parts]
    with styled(6.4, 0.42 * len(parts) + 1.2) as figure:
        ax = figure.subplots()
        bars = ax.barh(names, values, color="#dddddd", edgecolor=INK, linewidth=0.8)
        for bar, value in zip(bars, values, strict=True):
            bar.set_hatch("////" if value < 0 else "")
        ax.bar_label(bars, [p["volume"]["text"] for p in parts], fontsize=8, padding=4)
        ax.axvline(0.0, color=INK, linewidth=0.8)
        ax.margins(x=0.18)
        ax.invert_yaxis()
        ax.grid(axis="y", visible=False)
        ax.set_xlabel(f"volume, {total['unit']}")
        ax.set_title(f"Clearance volume, cylinder 1: {total['text']}")
        return figure


def walls(sheet: Sheet, cylinder: int) -> Plot:
    """The wall readings around one bore, as read and at the finish bore, with the least wall allowed."""
    import numpy as np

    found = [w for w in sheet.data["walls"] if w["cylinder"] == cylinder]
    if not found:
        known = ", ".join(str(w["cylinder"]) for w in sheet.data["walls"]) or "none"
        raise ValueError(f"the sheet has no wall readings of cylinder {cylinder}; it has those of: {known}")
    readings = sorted(found[0]["readings"], key=lambda r: r["angle_deg"])
    angles = np.radians([r["angle_deg"] for r in readings])
    with styled(4.6, 4.6) as figure:
        ax: Any = figure.subplots(subplot_kw={"projection": "polar"})
        ax.set_theta_zero_location("N")
        ax.set_theta_direction(-1)
        for key, style, label in _wall_series(readings):
            _ring(ax, angles, [r[key]["value"] for r in readings], style, label)
        if found[0]["limit"]:
            limit = found[0]["limit"]
            circle = np.linspace(0.0, 2.0 * np.pi, 181)
            label = f"least allowed, {limit['text']}"
            ax.plot(circle, np.full(181, limit["value"]), color=RED, linestyle="--", linewidth=1.5, label=label)
        ax.set_rlim(0.0)
        ax.set_rlabel_position(22.5)
        ax.set_xticks(np.radians(range(0, 360, 45)))
        ax.set_xticklabels(["front\n0°", *(f"{a}°" for a in range(45, 360, 45))])
        ax.set_title(f"Wall around bore {cylinder}, {readings[0]['wall']['unit']}, seen from the deck")
        figure.legend(loc="outside lower center", ncols=2)
        return figure


def _wall_series(readings: Sequence[dict[str, Any]]) -> list[tuple[str, dict[str, Any], str]]:
    read = {"marker": "o", "color": INK, "linewidth": 1.0}
    if all(r["wall"]["si"] == r["after"]["si"] for r in readings):
        return [("wall", read, "as read")]
    after = {"marker": "s", "markerfacecolor": "white", "color": BLUE, "linewidth": 1.0, "linestyle": "-."}
    return [("wall", read, "as read"), ("after", after, "at the finish bore")]


def _ring(ax: Any, angles: Any, values: list[float], style: dict[str, Any], label: str) -> None:
    """The readings as marks; a closed line only where they surround the bore."""
    if len(values) < 3:
        style = {**style, "linestyle": "none"}
    closed = [*range(len(values)), 0]
    ax.plot(angles[closed], [values[i] for i in closed], markersize=4.5, label=label, **style)


def clearances(sheet: Sheet, group: str) -> Plot:
    """Every figure of a group, place by place, with expanded uncertainty (k = 2) and limits."""
    findings = [f for f in sheet.findings if f.group == group and f.state is None]
    if not findings:
        known = ", ".join(dict.fromkeys(f.group for f in sheet.findings))
        raise ValueError(f"the sheet has no group {group!r}; it has {known}")
    terms = list(dict.fromkeys(f.what for f in findings))
    with panels(len(terms), 2.5, 0.4) as (figure, grid):
        for ax, what in zip(grid, terms, strict=False):
            _values(ax, [f for f in findings if f.what == what])
        _legend(figure, findings)
        return figure


def _values(ax: Axes, findings: list[Finding]) -> None:
    for x, f in enumerate(findings):
        u = f.raw["expanded_uncertainty"]
        marker, face, edge, _ = _MARKS[f.verdict]
        ax.errorbar(
            x,
            f.raw["value"]["value"],
            yerr=u["value"] if u else None,
            fmt=marker,
            markersize=9 if f.verdict == "fail" else 6,
            markerfacecolor=face,
            markeredgecolor=edge,
            ecolor=INK,
            elinewidth=1.0,
            capsize=3,
        )
        for limit in ("lower", "upper"):
            bound = (f.raw["limits"] or {}).get(limit)
            if bound:
                ax.hlines(bound["value"], x - 0.45, x + 0.45, colors=RED, linestyles="--", linewidth=1.4)
    unit = findings[0].raw["value"]["unit"]
    ax.set_title(findings[0].term)
    ax.set_ylabel(unit or "ratio")
    ax.set_xlim(-0.6, len(findings) - 0.4)
    ax.margins(y=0.15)
    ax.grid(axis="x", visible=False)
    ax.set_xticks(range(len(findings)), _ticks(findings))
    kinds = dict.fromkeys(f.raw["where"]["kind"] for f in findings)
    ax.set_xlabel(", ".join(kinds))


def _ticks(findings: list[Finding]) -> list[str]:
    def tick(f: Finding) -> str:
        if f.index is None:
            return f.raw["where"]["detail"] or ""
        detail = f.raw["where"]["detail"]
        return f"{f.index}\n{detail}" if detail else str(f.index)

    return [tick(f) for f in findings]


# How a state is drawn, in order after the state of measurement: marker, face.
_STATES = (("o", INK), ("^", "white"), ("D", GREY), ("v", "white"), ("P", GREY))


def cold_and_hot(sheet: Sheet, group: str) -> Plot:
    """The clearances of a group as measured and in every state of temperatures; zero is where parts meet."""
    hot = [f for f in sheet.findings if f.group == group and f.state is not None]
    if not hot:
        raise ValueError(f"the group {group!r} has no figure in a state of temperatures")
    terms = list(dict.fromkeys(f.what for f in hot if f.raw["value"]["unit"] in ("mm", "in")))
    states = [None, *dict.fromkeys(f.state for f in hot)]
    with panels(len(terms), 2.5, 0.4) as (figure, grid):
        for ax, what in zip(grid, terms, strict=False):
            _states(ax, sheet, what, states)
        handles, labels = grid[0].get_legend_handles_labels()
        figure.legend(handles, labels, loc="outside lower center", ncols=len(labels))
        return figure


def _states(ax: Axes, sheet: Sheet, what: str, states: list[str | None]) -> None:
    cold = sheet.find(what)
    places = [place_text(f.raw["where"]) for f in cold]
    for state, (marker, face) in zip(states, _STATES * len(states), strict=False):
        found = [f for f in sheet.findings if f.what == what and f.state == state]
        x = [places.index(place_text(f.raw["where"])) for f in found]
        y = [f.raw["value"]["value"] for f in found]
        style: Any = {"markerfacecolor": face, "markeredgecolor": INK, "color": GREY, "linewidth": 0.6}
        ax.plot(x, y, marker=marker, markersize=6, linestyle=":", label=state or "as measured", **style)
    ax.axhline(0.0, color=RED, linewidth=1.2)
    ax.set_title(cold[0].term)
    ax.set_ylabel(cold[0].raw["value"]["unit"])
    ax.set_xlim(-0.6, len(cold) - 0.4)
    ax.margins(y=0.15)
    ax.grid(axis="x", visible=False)
    ax.set_xticks(range(len(cold)), _ticks(cold))
    ax.set_xlabel(", ".join(dict.fromkeys(f.raw["where"]["kind"] for f in cold)))


def matching(sheet: Sheet) -> Plot:
    """What is evened out by matching, cylinder by cylinder, delivered and matched; the band is the spread left."""
    found = sheet.matching
    if not found:
        raise ValueError("the document asks for no matching; it has no table [matching]")
    figures = found["figures"]
    with styled(6.4, 2.1 * len(figures) + 0.5) as figure:
        axes = figure.subplots(len(figures), 1, sharex=True, squeeze=False).flatten()
        for i, (ax, row) in enumerate(zip(axes, figures, strict=True)):
            places = [r["where"].removeprefix("cylinder ") for r in found["rows"]]
            series = (("delivered", "o", "white", ":"), ("matched", "s", INK, "-"))
            for key, marker, face, line in series:
                y = [r["figures"][i][key]["value"] for r in found["rows"]]
                style: Any = {"markerfacecolor": face, "color": INK, "linewidth": 0.8, "linestyle": line}
                label = {"delivered": "as delivered", "matched": "matched"}[key]
                ax.plot(range(len(y)), y, marker=marker, markersize=6, label=label, **style)
            ax.axhspan(min(y), max(y), color="#dddddd", zorder=0)
            ax.set_title(f"{row['term']}: spread {row['delivered']['text']} to {row['matched']['text']}")
            ax.set_ylabel(row["matched"]["unit"])
            ax.set_xticks(range(len(places)), places)
            ax.margins(y=0.2)
        axes[-1].set_xlabel("cylinder")
        handles, labels = axes[0].get_legend_handles_labels()
        figure.legend(handles, labels, loc="outside lower center", ncols=2)
        return figure


def contributors(sheet: Sheet) -> Plot:
    """Which drawing tolerance makes which share of each figure's variation (sum of squares), largest first."""
    stacks = sheet.stacks
    if not stacks:
        raise ValueError("the document has no tolerances that touch a figure with limits")
    with panels(len(stacks), 1.9, 0.3) as (figure, grid):
        for ax, stack in zip(grid, stacks, strict=False):
            parts = stack["contributors"][:6]
            names = [c["reading"] for c in parts]
            shares = [100.0 * c["share"] for c in parts]
            bars = ax.barh(names, shares, color="#dddddd", edgecolor=INK, linewidth=0.8)
            ax.bar_label(bars, [c["effect"]["text"] for c in parts], fontsize=7, padding=3)
            ax.set_ylim(max(len(parts), 4) - 0.5, -0.5)
            ax.set_xlim(0.0, 135.0)
            ax.set_xticks([0, 25, 50, 75, 100])
            ax.tick_params(axis="y", labelsize=7)
            ax.grid(axis="y", visible=False)
            ax.set_title(f"{stack['term']},\n{stack['where']}", fontsize=8.5)
            ax.set_xlabel("share of the variation, %")
        return figure


def _legend(figure: Plot, findings: list[Finding]) -> None:
    from matplotlib.lines import Line2D

    seen = [v for v in _MARKS if any(f.verdict == v for f in findings)]
    handles = [
        Line2D([], [], marker=m, markerfacecolor=face, markeredgecolor=edge, linestyle="none", label=word)
        for m, face, edge, word in (_MARKS[v] for v in seen)
    ]
    if any(f.raw["limits"] for f in findings):
        handles.append(Line2D([], [], color=RED, linestyle="--", label="limit"))
    figure.legend(handles=handles, loc="outside lower center", ncols=len(handles))
