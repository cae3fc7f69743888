"""What all plots share: ink, style, the figure itself, panels."""

from __future__ import annotations

import io
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from typing import Any

import matplotlib as mpl
from matplotlib.figure import Figure

INK, GREY, BLUE, RED = "#000000", "#6e6e6e", "#0072b2", "#a63603"
_STYLE: Any = {
    "axes.grid": True,
    "axes.labelsize": 9,
    "axes.spines.right": False,
    "axes.spines.top": False,
    "axes.titlesize": 10,
    "font.size": 9,
    "grid.color": "#d0d0d0",
    "grid.linewidth": 0.5,
    "legend.fontsize": 8,
    "legend.frameon": False,
    "svg.fonttype": "none",
    "svg.hashsalt": "swept",
}


class Plot(Figure):
    """A matplotlib figure that a notebook shows as SVG; no window, no global state."""

    def to_svg(self) -> str:
        """The figure as SVG text."""
        out = io.StringIO()
        self.savefig(out, format="svg", metadata={"Date": None})
        return out.getvalue()

    def savefig(self, fname: Any, **kwargs: Any) -> None:
        """As of any figure, the layout made with the titles in their places."""
        with mpl.rc_context(_STYLE):
            # Titles get their place when drawn; only the layout after that leaves room for them.
            self.draw_without_rendering()
            super().savefig(fname, **kwargs)

    def _repr_svg_(self) -> str:
        return self.to_svg()


@contextmanager
def styled(width: float, height: float) -> Iterator[Plot]:
    with mpl.rc_context(_STYLE):
        yield Plot(figsize=(width, height), layout="constrained")


@contextmanager
def panels(count: int, height: float, below: float) -> Iterator[tuple[Plot, Any]]:
    """So many panels, two beside each other; those that fill the last row are hidden."""
    columns = min(2, count)
    rows = -(-count // columns)
    with styled(3.4 * columns if columns > 1 else 4.6, height * rows + below) as figure:
        grid = figure.subplots(rows, columns, squeeze=False).flatten()
        yield figure, grid[:count]
        for ax in grid[count:]:
            ax.set_visible(False)


def noted_legend(figure: Plot, handles: Iterable[Any], note: str) -> None:
    """The legend below the panels, with what is to be known to read them above it."""
    style: Any = {"title": note, "title_fontsize": 8, "alignment": "center"}
    figure.legend(handles=list(handles), loc="outside lower center", ncols=2, **style)
