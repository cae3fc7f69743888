"""The timing diagram: when both valves are open, over the two turns of a working cycle."""

from __future__ import annotations

from typing import Any

from swept.documents import Sheet
from swept.plots.style import GREY, INK, RED, Plot, noted_legend, styled
from swept.valve_words import event_text, valves_of

# The path of the cycle: where it starts, by how much it grows in a turn, half the width of a band beside it.
_START, _GROWTH, _BAND = 1.15, 0.85, 0.2
_RIM = _START + 2.0 * _GROWTH + 0.12
# How near labels of events stand to a dead centre, deg.
_APART = 9.0
# How each kind of valve is filled, and on which side of the path it lies.
_FILLS: dict[str, tuple[dict[str, Any], int]] = {
    "intake": ({"facecolor": "white", "hatch": "//////"}, 1),
    "exhaust": ({"facecolor": "#9a9a9a"}, -1),
}
_STROKES = ((-270.0, "power"), (-90.0, "exhaust"), (90.0, "intake"), (270.0, "compression"))


def _radius(crank_deg: Any) -> Any:
    return _START + _GROWTH * (crank_deg + 360.0) / 360.0


def valve_timing(sheet: Sheet) -> Plot:
    """When both valves are open, as a path of two turns round a degree wheel, from firing top dead centre on."""
    valves = valves_of(sheet)
    with styled(5.4, 5.8) as figure:
        ax: Any = figure.subplots(subplot_kw={"projection": "polar"})
        _wheel(ax)
        handles = [_band(ax, side) for side in valves["sides"]]
        overlap = _overlap(ax, valves)
        handles += [overlap] if overlap else []
        _event_labels(ax, valves["sides"])
        lift, turns = valves["checking_lift"]["text"], valves["overlap_deg"]
        words = f"overlap {turns:.1f}°" if overlap else f"no overlap: both are shut for {-turns:.1f}°"
        figure.suptitle(f"Valve events at {lift} of lift at the valve; {words}", fontsize=10)
        note = (
            "The path runs outwards, clockwise, from firing TDC over two turns to the next firing TDC,\n"
            "as the crankpin goes, seen from the end where the crank turns clockwise.\n"
            "Figures on the rim: crank degrees from the nearer dead centre.\nA stroke across a band: its centreline"
        )
        noted_legend(figure, handles, note)
        return figure


def _wheel(ax: Any) -> None:
    import numpy as np

    ax.set_theta_zero_location("N")
    ax.set_theta_direction(-1)
    ax.set_rlim(0.0, _RIM)
    ax.set_yticks([])
    ax.grid(False)
    ax.set_xticks(np.radians(range(0, 360, 30)), [_from_dead_centre(a) for a in range(0, 360, 30)])
    ax.tick_params(labelsize=7, pad=-1)
    for angle in range(0, 360, 10):
        long = 0.14 if angle % 30 == 0 else 0.07
        ax.plot(np.radians([angle, angle]), [_RIM - long, _RIM], color=INK, linewidth=0.5)
    ax.plot(np.radians([0.0, 0.0]), [0.75, _RIM], color=GREY, linewidth=0.7)
    ax.plot(np.radians([180.0, 180.0]), [0.75, _RIM], color=GREY, linewidth=0.7)
    ax.text(0.0, 0.55, "TDC", ha="center", va="center", fontsize=8)
    ax.text(np.pi, 0.55, "BDC", ha="center", va="center", fontsize=8)
    crank = np.linspace(-360.0, 360.0, 721)
    ax.plot(np.radians(crank), _radius(crank), color=INK, linewidth=0.8)
    arrow: Any = {"arrowstyle": "-|>", "color": INK, "linewidth": 1.2, "shrinkA": 0, "shrinkB": 0}
    # The direction of running, in the hub.
    arrow["connectionstyle"] = "arc3,rad=-0.35"
    ax.annotate("", (np.radians(125.0), 0.5), (np.radians(55.0), 0.5), arrowprops=arrow)
    ax.text(np.radians(270.0), 0.2, "running\ndirection", ha="center", va="center", fontsize=7)
    for at, stroke in _STROKES:
        way = -90.0 if at % 360.0 == 90.0 else 90.0
        ax.text(
            np.radians(at),
            _radius(at) - 0.425,
            stroke,
            rotation=way,
            ha="center",
            va="center",
            fontsize=7.5,
            color=GREY,
        )


def _from_dead_centre(angle: int) -> str:
    """The figure of a degree wheel: from the nearer dead centre; at these nothing, where they are named."""
    half = angle % 180
    return str(min(half, 180 - half)) if half else ""


def _band(ax: Any, side: dict[str, Any]) -> Any:
    import numpy as np

    fill, way = _FILLS[side["kind"]]
    crank = np.linspace(side["opens_deg"], side["closes_deg"], 361)
    path = _radius(crank)
    sure: Any = {"edgecolor": INK, "linewidth": 0.7, **fill}
    lasts = side["closes_deg"] - side["opens_deg"]
    label = f"{side['kind']} valve open, {lasts:.1f}°"
    ax.plot(np.radians(2 * [side["centreline_deg"]]), _ends(side, way), color=INK, linewidth=1.0, zorder=4)
    return ax.fill_between(np.radians(crank), path, path + way * _BAND, label=label, **sure)


def _ends(side: dict[str, Any], way: int) -> list[float]:
    path = float(_radius(side["centreline_deg"]))
    return [path, path + way * 1.6 * _BAND]


def _overlap(ax: Any, valves: dict[str, Any]) -> Any:
    """The angle for which both are open, shaded through the wheel; None where they never are."""
    import numpy as np

    if valves["overlap_deg"] <= 0.0:
        return None
    intake, exhaust = valves["sides"]
    crank = np.radians(np.linspace(intake["opens_deg"], exhaust["closes_deg"], 91))
    shade: Any = {"facecolor": RED, "alpha": 0.25, "edgecolor": RED, "linewidth": 0.6}
    return ax.fill_between(crank, 0.75, _RIM, label="overlap: both open", zorder=0.5, **shade)


def _event_labels(ax: Any, sides: list[dict[str, Any]]) -> None:
    """Beside the rim, the earlier event before its dead centre, the later one after it: none is on another."""
    import numpy as np

    intake, exhaust = sides
    top = [(intake, "opens"), (exhaust, "closes")]
    bottom = [(exhaust, "opens"), (intake, "closes")]
    for pair, centre in ((top, 0.0), (bottom, 180.0)):
        turned = sorted(((_near(s[f"{e}_deg"], centre), s, e) for s, e in pair), key=lambda t: t[0])
        for (at, side, event), way in zip(turned, (-1.0, 1.0), strict=True):
            beside = centre + (min(at, -_APART) if way < 0.0 else max(at, _APART))
            angle = np.radians(centre + at)
            ax.plot([angle, angle], [float(_radius(side[f"{event}_deg"])), _RIM], color=INK, linewidth=0.9, zorder=4)
            ax.plot([angle, np.radians(beside)], [_RIM, _RIM + 0.33], color=INK, linewidth=0.6, clip_on=False)
            text = f"{side['kind']} {event}\n{event_text(side['kind'], event, side[f'{event}_deg'], unit='°')}"
            right = np.sin(np.radians(beside)) > 0.0
            ax.text(
                np.radians(beside),
                _RIM + 0.38,
                text,
                ha="left" if right else "right",
                va="bottom" if centre == 0.0 else "top",
                fontsize=8,
            )


def _near(crank_deg: float, centre: float) -> float:
    """From a dead centre, between a half turn before it and a half turn after it."""
    return (crank_deg - centre + 180.0) % 360.0 - 180.0
