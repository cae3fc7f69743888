"""Plots of studies: contours over two axes with the limits, changes of readings sorted, fronts of the best."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from swept._swept import STUDY_FIGURES, STUDY_OUTPUTS
from swept.plots.style import BLUE, GREY, INK, RED, Plot, noted_legend, panels, styled
from swept.tables import Table

if TYPE_CHECKING:
    from swept.studies import Study

# More values of an axis than this do not show.
_MOST = 161
_DASHES: tuple[Any, ...] = ("--", "-.", ":", (0, (7, 2.5)), (0, (6, 1.5, 1, 1.5, 1, 1.5)), (0, (2, 3)))
# Points of type across a panel and up it, about; half of what a letter of a label is wide, and half its height.
_WIDE, _HIGH = 200.0, 255.0
_LETTER, _TALL = 2.3, 5.0


def contour(study: Study, *, x: str, y: str, of: str | Sequence[str], at: Mapping[str, Any] | None = None) -> Plot:
    """Outputs over two axes of a study, a panel each, with its limits; what is outside of them is hatched.

    All other axes stand at their first value, or at what ``at`` gives for them: a text with its unit or a quantity.
    """
    outputs = [of] if isinstance(of, str) else list(of)
    if x == y:
        raise ValueError(f"x and y are both {x!r}; write two axes of the study")
    plane = study.at({name: value for name, value in _others(study, x, y, at).items()})
    for name in (x, y):
        if name not in plane.axes:
            raise ValueError(f"{name!r} is on no axis of the study; its axes are {', '.join(study.axes)}")
    shown = _Plane(plane, x, y, [*outputs, *plane.limits])
    with panels(len(outputs), 3.6, 0.7 + 0.17 * len(plane.limits)) as (figure, grid):
        for ax, output in zip(grid, outputs, strict=True):
            shown.draw(ax, output)
        noted_legend(figure, shown.handles, shown.note(study, at))
        return figure


def _others(study: Study, x: str, y: str, at: Mapping[str, Any] | None) -> dict[str, Any]:
    first = {name: values[0] for name, values in study.axes.items() if name not in (x, y)}
    return {**first, **(at or {})}


class _Plane:
    """Values of outputs on a plane of designs, as arrays: a row for each value of y."""

    def __init__(self, plane: Study, x: str, y: str, names: Sequence[str]) -> None:
        import numpy as np

        counts = [len(values) for values in plane.axes.values()]
        picks = [np.unique(np.linspace(0, n - 1, min(n, _MOST)).round().astype("int64")) for n in counts]
        rows = picks[0][:, None] * counts[1] + picks[1][None, :]
        turned = next(iter(plane.axes)) == x
        found = plane._native.table(rows.ravel(), [x, y, *dict.fromkeys(names)])
        self.values: dict[str, Any] = {}
        self.units: dict[str, str] = {}
        for name, unit, values in found:
            table = values.reshape(rows.shape)
            self.values[name], self.units[name] = (table.T if turned else table), unit
        self.x, self.y, self.plane = x, y, plane
        self.handles: list[Any] = []

    def draw(self, ax: Any, output: str) -> None:
        import numpy as np

        ax.set_xlabel(_words(self.x, self.units[self.x]))
        ax.set_ylabel(_words(self.y, self.units[self.y]))
        ax.set_title(_words(output, self.units[output]))
        x, y, values = self.values[self.x], self.values[self.y], self.values[output]
        placed: list[Any] = []
        self._limits(ax, x, y, placed)
        if np.ptp(values[np.isfinite(values)]) > 0.0:
            lines = ax.contour(x, y, values, levels=8, colors=INK, linewidths=0.9)
            for level, paths in zip(lines.levels, lines.allsegs, strict=True):
                _label(ax, f"{level:g}", paths, placed, INK)

    def _limits(self, ax: Any, x: Any, y: Any, placed: list[Any]) -> None:
        """The hatched region, and each limit with its name at its line."""
        import numpy as np
        from matplotlib.lines import Line2D
        from matplotlib.patches import Patch

        inside = np.full(x.shape, np.inf)
        handles: list[Any] = []
        named: list[tuple[str, Any]] = []
        for (name, bounds), dash in zip(self.plane.limits.items(), _DASHES * 9, strict=False):
            values, unit = self.values[name], self.units[name]
            span = float(np.nanmax(values) - np.nanmin(values)) if np.isfinite(values).any() else 0.0
            texts: list[str] = []
            for sign, bound, word in ((1.0, bounds[0], "≥"), (-1.0, bounds[1], "≤")):
                if bound is None:
                    continue
                level = float(getattr(bound, "magnitude", bound))
                margin = np.nan_to_num(sign * (values - level), nan=-1.0) / (span or 1.0)
                inside = np.minimum(inside, margin)
                if margin.min() < 0.0 < margin.max():
                    texts.append(f"{word} {level:g} {unit}".rstrip())
                    line = ax.contour(x, y, values, levels=[level], colors=RED, linestyles=[dash], linewidths=1.3)
                    named.append((f"{_words(name)} {texts[-1]}", line.allsegs[0]))
                elif margin.max() < 0.0:
                    handles.append(Line2D([], [], linestyle="none", label=f"{_words(name)}: its limit is nowhere held"))
            if texts:
                text = f"{_words(name)} {', '.join(texts)}"
                handles.append(Line2D([], [], color=RED, linestyle=dash, linewidth=1.3, label=text))
        # The longest first: it has the least choice.
        for text, paths in sorted(named, key=lambda n: -len(n[0])):
            _label(ax, text, paths, placed, RED, -0.3)
        if inside.min() < 0.0:
            hatch = ax.contourf(x, y, inside, levels=[-np.inf, 0.0], colors="none", hatches=["////"])
            hatch.set_edgecolor("#b0b0b0")
            hatch.set_linewidth(0.0)
            handles.append(Patch(facecolor="none", edgecolor="#b0b0b0", hatch="////", label="outside the limits"))
        self.handles = handles

    def note(self, study: Study, at: Mapping[str, Any] | None) -> str:
        """Where the other axes stand."""
        design = self.plane.design(0)
        names = dict.fromkeys([*(n for n in study.axes if n not in (self.x, self.y)), *(at or {})])
        units = {n: u for n, u, _ in self.plane._native.table([], list(names))}
        return ", ".join(
            f"{_words(n)} {float(getattr(design[n], 'magnitude', design[n])):g} {units[n]}".rstrip() for n in names
        )


def _label(ax: Any, text: str, paths: Iterable[Any], placed: list[Any], color: str, rim_worth: float = 0.3) -> None:
    """The text along a line, inside the panel, far from the labels that are placed, and from the rim as far as that is
    worth; none where there is no room."""
    import numpy as np

    (left, right), (low, high) = ax.get_xlim(), ax.get_ylim()
    best: tuple[float, Any, float, Any] | None = None
    for path in paths:
        points = (np.asarray(path) - [left, low]) / [right - left, high - low] * [_WIDE, _HIGH]
        for i in range(0, len(points), max(1, len(points) // 60)):
            before, after = points[max(i - 2, 0)], points[min(i + 2, len(points) - 1)]
            turn = float(np.arctan2(after[1] - before[1], after[0] - before[0]))
            turn = (turn + np.pi / 2.0) % np.pi - np.pi / 2.0
            half = _LETTER * len(text)
            along = points[i] + np.linspace(-half, half, 2 * len(text) + 1)[:, None] * [np.cos(turn), np.sin(turn)]
            rim = min(along.min(), (_WIDE - along[:, 0]).min(), (_HIGH - along[:, 1]).min())
            if rim < _TALL:
                continue
            others = np.concatenate(placed) if placed else np.array([[-1e3, -1e3]])
            apart = float(np.hypot(*(along[:, None, :] - others[None, :, :]).transpose(2, 0, 1)).min())
            worth = min(apart, 60.0) + rim_worth * float(rim)
            if apart > 2.0 * _TALL and (best is None or worth > best[0]):
                best = (worth, path[i], turn, along)
    if best is None:
        return
    _, place, turn, along = best
    placed.append(along)
    style: Any = {"fontsize": 7.5, "color": color, "ha": "center", "va": "center", "transform_rotates_text": True}
    box = {"boxstyle": "square,pad=0.08", "facecolor": "white", "edgecolor": "none", "alpha": 0.9}
    scale = [(right - left) / _WIDE, (high - low) / _HIGH]
    slope = float(np.degrees(np.arctan2(np.sin(turn) * scale[1], np.cos(turn) * scale[0])))
    ax.text(place[0], place[1], text, rotation=slope, rotation_mode="anchor", bbox=box, **style)


def tornado(changes: Table | Mapping[str, Any], *, of: str = "", unit: str = "") -> Plot:
    """What each reading changes, sorted, the greatest on top: a bar of each, or one to either side.

    ``changes`` has by the name of each reading its change, or a pair of changes for the reading at its low and at its
    high end; or it is a table whose column of texts has the names, and whose next one or two columns have the changes.
    Or it is what ``Sampling.sensitivity`` or ``Sampling.linear`` gave: the shares of the variance, with the standard
    error of each total; ``of`` says which output, where there are several.
    """
    bars, of, unit = _bars(changes, of, unit)
    if not bars.rows:
        raise ValueError("there is no change to draw")
    bars.rows.sort(key=lambda row: max(abs(v) for v in row[1]), reverse=True)
    legend = len(bars.labels) == 2
    with styled(6.4, 0.32 * len(bars.rows) + (1.5 if legend else 1.1)) as figure:
        ax = figure.subplots()
        places = range(len(bars.rows))
        for side, (label, face) in enumerate(zip(bars.labels, bars.faces, strict=True)):
            values = [row[1][side] for row in bars.rows]
            errors = [row[2] for row in bars.rows] if bars.errors and side == 0 else None
            ax.barh(places, values, color=face, edgecolor=INK, linewidth=0.8, height=0.7, label=label or None)
            if errors:
                ax.errorbar(values, places, xerr=errors, fmt="none", ecolor=INK, elinewidth=0.8, capsize=2)
        ax.axvline(0.0, color=INK, linewidth=0.8)
        ax.set_yticks(places, [_words(row[0]) for row in bars.rows])
        ax.invert_yaxis()
        ax.grid(axis="y", visible=False)
        ax.margins(x=0.08)
        ax.set_xlabel(", ".join(text for text in (bars.quantity, unit) if text))
        ax.set_title(of)
        if legend:
            figure.legend(loc="outside lower center", ncols=2)
        return figure


@dataclass
class _Bars:
    """By row the reading, its figures and the standard error of the first; by figure a label and a face."""

    rows: list[tuple[str, list[float], float]]
    labels: tuple[str, ...]
    faces: tuple[str, ...]
    quantity: str
    errors: bool = False


def _bars(changes: Table | Mapping[str, Any], of: str, unit: str) -> tuple[_Bars, str, str]:
    if isinstance(changes, Table) and {"output", "reading"} < set(changes):
        outputs = list(dict.fromkeys(changes["output"].tolist()))
        chosen = of or next(iter(outputs), "")
        if outputs and (chosen not in outputs or (not of and len(outputs) > 1)):
            raise ValueError(f"of must be one of the outputs: {', '.join(outputs)}")
        sampled = "total" in changes
        figures = ("total", "first", "total_error") if sampled else ("share",)
        columns = [changes[name].tolist() for name in ("output", "reading", *figures)]
        rows = [(row[1], list(row[2:4]), row[-1]) for row in zip(*columns, strict=True) if row[0] == chosen]
        labels, faces = (("alone or with others", "alone"), ("white", GREY)) if sampled else (("",), ("#dddddd",))
        return _Bars(rows, labels, faces, "share of the variance", errors=sampled), _words(chosen), unit
    found, unit = _changes(changes, unit)
    rows = [(name, values, 0.0) for name, values in found]
    if found and len(found[0][1]) == 2:
        labels = ("reading at its low end", "reading at its high end")
        return _Bars(rows, labels, ("white", GREY), "change"), of, unit
    return _Bars(rows, ("",), ("#dddddd",), "share or change"), of, unit


def _changes(changes: Table | Mapping[str, Any], unit: str) -> tuple[list[tuple[str, list[float]]], str]:
    if not isinstance(changes, Table):
        read = {name: value if isinstance(value, (tuple, list)) else [value] for name, value in changes.items()}
        rows = [(name, [float(getattr(v, "magnitude", v)) for v in values]) for name, values in read.items()]
        if len({len(values) for _, values in rows}) > 1 or any(len(values) not in (1, 2) for _, values in rows):
            raise ValueError("changes must have one figure for each reading, or two for each")
        return rows, unit
    names = [n for n, column in changes.items() if column.dtype == object]
    figures = [n for n, column in changes.items() if column.dtype.kind == "f"][:2]
    if not names or not figures:
        raise ValueError("the table needs a column of texts with the readings, and one or two of their changes")
    columns = [changes[n].tolist() for n in figures]
    return [(str(n), list(values)) for n, *values in zip(changes[names[0]], *columns, strict=True)], unit


def pareto(table: Table, *, x: str, y: str) -> Plot:
    """Designs of a table by two of its columns; a front, where the one is paid for by the other, is joined."""
    import numpy as np

    across, up = _column(table, x), _column(table, y)
    order = np.argsort(table[across], kind="stable")
    steps = np.diff(table[up][order])
    with styled(5.6, 4.0) as figure:
        ax = figure.subplots()
        if (steps >= 0.0).all() or (steps <= 0.0).all():
            ax.plot(table[across][order], table[up][order], color=GREY, linewidth=0.8, linestyle=":")
        ax.plot(table[across], table[up], "o", markersize=4.5, markerfacecolor=BLUE, markeredgecolor=INK)
        ax.set_xlabel(_words(*_parts(across)))
        ax.set_ylabel(_words(*_parts(up)))
        ax.set_title(f"{table.rows} designs")
        ax.margins(0.06)
        return figure


def _column(table: Table, name: str) -> str:
    """The column of this name, with or without its unit."""
    found = [column for column in table if name in (column, _parts(column)[0])]
    if not found:
        raise KeyError(f"the table has no column {name!r}; it has {', '.join(table)}")
    return found[0]


def _parts(column: str) -> tuple[str, str]:
    """The name and the unit of a column of a study: "bore_mm" is ("bore", "mm")."""
    known = [n for n in (*STUDY_FIGURES, *STUDY_OUTPUTS) if column == n or column.startswith(f"{n}_")]
    name = max(known, key=len, default=column)
    return name, column[len(name) + 1 :].replace("_per_", "/")


def _words(name: str, unit: str = "") -> str:
    words = name.replace("_", " ")
    return f"{words}, {unit}" if unit else words
