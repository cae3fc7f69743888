"""Tables: NumPy columns whose names carry the unit, such as ``deck_clearance_mm``, ready for any data frame."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from html import escape
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import numpy as np
    import pandas
    import polars
    import pyarrow

    Column = np.ndarray[Any, np.dtype[Any]]


def named(name: str, unit: str) -> str:
    """A column name with its unit: ("speed", "m/s") gives ``speed_m_per_s``; a ratio has none."""
    suffix = unit.replace("/", "_per_").replace(" ", "_").replace("%", "percent")
    return f"{name}_{suffix}" if suffix else name


class Table(Mapping[str, "Column"]):
    """Named columns of equal length; figures are floats (NaN where there is none), texts are objects."""

    def __init__(self, columns: Mapping[str, Any]) -> None:
        import numpy as np

        self._columns: dict[str, Column] = {}
        for name, values in columns.items():
            ready = isinstance(values, np.ndarray) and values.dtype != object
            is_text = not ready and any(isinstance(v, str) for v in values)
            self._columns[name] = np.array(values, dtype=object) if is_text else np.asarray(values)
        if len({len(c) for c in self._columns.values()}) > 1:
            raise ValueError("the columns of a table are of one length")

    def __getitem__(self, name: str) -> Column:
        return self._columns[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self._columns)

    def __len__(self) -> int:
        return len(self._columns)

    @property
    def rows(self) -> int:
        """How many rows."""
        return next((len(c) for c in self._columns.values()), 0)

    def to_arrow(self) -> pyarrow.Table:
        """A pyarrow table; NaN becomes null."""
        import pyarrow

        def column(c: Column) -> Any:
            # Whole numbers beyond 64 bits, such as rows of a vast grid.
            kind = pyarrow.decimal256(39) if _vast(c) else None
            return pyarrow.array(c, type=kind, from_pandas=True)

        return pyarrow.table({n: column(c) for n, c in self._columns.items()})

    def to_polars(self) -> polars.DataFrame:
        """A polars frame; NaN becomes null."""
        import polars

        kinds = {n: polars.Int128 for n, c in self._columns.items() if _vast(c)}
        columns = {n: _plain(c) for n, c in self._columns.items()}
        return polars.DataFrame(columns, schema_overrides=kinds, nan_to_null=True)

    def to_pandas(self) -> pandas.DataFrame:
        """A pandas frame."""
        import pandas

        return pandas.DataFrame(self._columns)

    def __arrow_c_stream__(self, requested_schema: object = None) -> object:
        return self.to_arrow().__arrow_c_stream__(requested_schema)

    def __repr__(self) -> str:
        return f"Table({self.rows} rows: {', '.join(self._columns)})"

    def _repr_html_(self) -> str:
        head = "".join(f"<th>{escape(name)}</th>" for name in self)
        body = "".join(
            "<tr>" + "".join(f"<td>{escape(_cell(c[i]))}</td>" for c in self.values()) + "</tr>"
            for i in range(min(self.rows, 60))
        )
        more = f"<p>{self.rows} rows, the first 60 shown</p>" if self.rows > 60 else ""
        return f"<table><thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>{more}"


def _plain(column: Column) -> Any:
    """Texts as a list, which polars reads as texts and not as objects."""
    return column.tolist() if column.dtype == object else column


def _vast(column: Column) -> bool:
    """Whether it holds whole numbers that 64 bits do not."""
    return column.dtype == object and any(isinstance(v, int) for v in column)


def _cell(value: Any) -> str:
    if value is None or value != value:
        return ""
    return f"{value:.6g}" if isinstance(value, float) else str(value)
