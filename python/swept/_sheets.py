"""Build sheets: all findings of a document, as JSON, tables and HTML."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from html import escape
from typing import TYPE_CHECKING, Any

from swept import errors
from swept._findings import WORDS, Finding, Verdict, counts_text
from swept.tables import Table, named

if TYPE_CHECKING:
    import pandas
    import polars
    import pyarrow


class Sheet:
    """A build sheet: findings, verdicts, spreads, walls, readings. It is its JSON, which never changes."""

    def __init__(self, data: dict[str, Any], text: str) -> None:
        self.data = data
        self._text = text

    @classmethod
    def from_json(cls, text: str) -> Sheet:
        """A sheet from its JSON, such as a saved ``sheet.json``."""
        data = json.loads(text)
        if not isinstance(data, dict) or data.get("schema") != 1:
            raise errors.Syntax("this JSON is no build sheet of schema 1", field="schema", allowed="1")
        return cls(data, text)

    def to_json(self) -> str:
        """The sheet as JSON, as the core wrote it."""
        return self._text

    @property
    def title(self) -> str:
        """The document's title."""
        return str(self.data["title"])

    @property
    def findings(self) -> list[Finding]:
        """Every figure, in the order of a build."""
        return [Finding(raw) for raw in self.data["findings"]]

    @property
    def counts(self) -> dict[Verdict, int]:
        """How many findings have which verdict."""
        return dict(self.data["counts"])

    @property
    def passes(self) -> bool:
        """Whether every finding with a limit is proved inside it."""
        counts = self.data["counts"]
        return bool(counts["fail"] == 0 and counts["cannot_tell"] == 0)

    @property
    def states(self) -> list[str]:
        """The states of temperatures beside that of measurement."""
        return list(dict.fromkeys(f.state for f in self.findings if f.state is not None))

    def find(self, what: str, state: str | None = None) -> list[Finding]:
        """The findings of one name, such as ``deck_clearance``, as measured or in a state such as ``"running"``."""
        found = [f for f in self.findings if f.what == what and f.state == state]
        if not found:
            known = ", ".join(dict.fromkeys(f.what for f in self.findings if f.state == state))
            where = f" in the state {state!r}" if state else ""
            raise KeyError(f"the sheet has no {what!r}{where}; it has {known or 'nothing there'}")
        return found

    @property
    def selections(self) -> Sequence[dict[str, Any]]:
        """Shells chosen from the grades that can be had, a table for each row of bearings."""
        return tuple(self.data["selections"])

    @property
    def filings(self) -> Sequence[dict[str, Any]]:
        """What to file off each ring."""
        return tuple(self.data["filings"])

    @property
    def matching(self) -> dict[str, Any] | None:
        """Which part goes where, and what that gains; None where the document does not ask."""
        matching: dict[str, Any] | None = self.data["matching"]
        return matching

    @property
    def stacks(self) -> Sequence[dict[str, Any]]:
        """Figures over the drawing tolerances of their readings."""
        return tuple(self.data["stacks"])

    @property
    def valves(self) -> dict[str, Any] | None:
        """The valve train over the crank angle, and what stands behind it; None where the document has none."""
        valves: dict[str, Any] | None = self.data.get("valves")
        return valves

    def table(self, what: str | None = None, state: str | None = None) -> Table:
        """One figure with uncertainty, limits and verdict a row for each place; or all figures, a column each."""
        return _of_one(self.find(what, state)) if what else _of_all(self.findings)

    def to_polars(self, what: str | None = None) -> polars.DataFrame:
        """``table(what)`` as a polars frame."""
        return self.table(what).to_polars()

    def to_pandas(self, what: str | None = None) -> pandas.DataFrame:
        """``table(what)`` as a pandas frame."""
        return self.table(what).to_pandas()

    def to_arrow(self, what: str | None = None) -> pyarrow.Table:
        """``table(what)`` as a pyarrow table."""
        return self.table(what).to_arrow()

    def __eq__(self, other: object) -> bool:
        return self._text == other._text if isinstance(other, Sheet) else NotImplemented

    def __hash__(self) -> int:
        return hash(self._text)

    def __reduce__(self) -> tuple[Any, ...]:
        return (Sheet.from_json, (self._text,))

    def __repr__(self) -> str:
        return f"Sheet({self.title!r}: {counts_text(self.data['counts'])})"

    def _repr_html_(self) -> str:
        rows = "".join(f"<tr>{cells}</tr>" for cells in _html_cells(self.findings))
        head = "<tr><th>figure</th><th>where</th><th>value</th><th>verdict</th></tr>"
        title = f"<p><b>{escape(self.title)}</b>: {escape(counts_text(self.data['counts']))}</p>"
        return f"{title}<table><thead>{head}</thead><tbody>{rows}</tbody></table>"


def _html_cells(findings: list[Finding]) -> Iterator[str]:
    for f in findings:
        u = f.raw["expanded_uncertainty"]
        value = f.raw["value"]["text"] + (f" ± {u['text']}" if u else "")
        yield "".join(f"<td>{escape(text)}</td>" for text in (f.term, f.where, value, WORDS[f.verdict]))


def _number(printed: dict[str, Any] | None) -> float:
    return float("nan") if printed is None else float(printed["value"])


def _of_one(found: list[Finding]) -> Table:
    unit = found[0].raw["value"]["unit"]
    limits = [f.raw["limits"] or {} for f in found]
    probabilities = [f.conformance_probability for f in found]
    return Table(
        {
            "where": [f.where for f in found],
            "index": [f.index or 0 for f in found],
            named(found[0].what, unit): [_number(f.raw["value"]) for f in found],
            named("expanded_uncertainty", unit): [_number(f.raw["expanded_uncertainty"]) for f in found],
            named("lower", unit): [_number(limit.get("lower")) for limit in limits],
            named("upper", unit): [_number(limit.get("upper")) for limit in limits],
            "verdict": [f.verdict for f in found],
            "conformance_probability": [float("nan") if p is None else p for p in probabilities],
        }
    )


def _of_all(findings: list[Finding]) -> Table:
    places = {f.where: (f.raw["where"]["kind"], f.index or 0) for f in findings}
    columns: dict[str, Any] = {
        "where": list(places),
        "kind": [kind for kind, _ in places.values()],
        "index": [index for _, index in places.values()],
    }
    row = {where: i for i, where in enumerate(places)}
    for f in findings:
        name = named(f.what, f.raw["value"]["unit"])
        column = columns.setdefault(name, [float("nan")] * len(places))
        column[row[f.where]] = _number(f.raw["value"])
    return Table(columns)
