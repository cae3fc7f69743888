"""Build documents and the sheets made of them."""

from __future__ import annotations

import json
import os
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from html import escape
from typing import TYPE_CHECKING, Any, Literal

from swept import errors
from swept._swept import MOST_BYTES, NativeBuild
from swept.sampling import Correlations, Distribution, Sampling, normal
from swept.studies import Study
from swept.tables import Table, named

if TYPE_CHECKING:
    import pandas
    import polars
    import pyarrow

Verdict = Literal["pass", "clear", "fail", "cannot_tell", "no_limit"]

WORDS: dict[str, str] = {
    "pass": "pass",
    "clear": "clear",
    "fail": "FAIL",
    "cannot_tell": "CANNOT TELL",
    "no_limit": "no limit",
}


class Build:
    """A build document, read and checked; ``sheet()`` evaluates it."""

    def __init__(self, text: str, path: str | None = None) -> None:
        if not isinstance(text, str):
            raise TypeError(f"text must be the document as a str, not {type(text).__name__}")
        try:
            text.encode()
        except UnicodeEncodeError as e:
            raise errors.Syntax("the document holds half of a surrogate pair", allowed="UTF-8 text") from e
        self.text = text
        self.path = path
        with _placed(path):
            self._native = NativeBuild(text)

    def sheet(self) -> Sheet:
        """Evaluate: findings with their uncertainty, verdicts, and cuts for what fails."""
        with _placed(self.path):
            return Sheet.from_json(self._native.sheet_json())

    def tolerance_stack(
        self,
        what: str,
        *,
        place: int = 1,
        trials: int = 100_000,
        distribution: Literal["normal", "rectangular"] = "normal",
    ) -> dict[str, Any]:
        """One figure over the drawing tolerances of its readings: worst case, root of the sum of squares, sampled.

        ``place`` counts from 1 over the places of the figure; ``distribution`` is how parts lie in their zones:
        normal with three standard deviations to its ends, or rectangular. Every contributor is listed, largest first.
        """
        with _placed(self.path):
            found: dict[str, Any] = json.loads(self._native.tolerance_stack_json(what, place, trials, distribution))
            return found

    def study(
        self,
        *,
        vary: Mapping[str, Any],
        fixed: Mapping[str, Any] | None = None,
        limits: Mapping[str, Any] | None = None,
        cylinder: int = 1,
    ) -> Study:
        """A study of what the document says about one cylinder: axes and ``fixed`` override its figures.

        Its limits hold for every output that ``limits`` does not name; None there drops one. The crevice above the top
        ring is fixed, by the document's bore; the intake closes by the cam where the document does not say when. The
        shaking forces of all cylinders over those of one follow from the angles of the throws and banks, where given.
        """
        own, _, held = self._design(cylinder, {*vary, *(fixed or {})}, limits)
        fixed = {name: value for name, value in {**own, **(fixed or {})}.items() if name not in vary}
        return Study(vary=vary, fixed=fixed, limits=held)

    def sampling(
        self,
        *,
        readings: Mapping[str, Distribution] | None = None,
        correlations: Correlations | None = None,
        fixed: Mapping[str, Any] | None = None,
        limits: Mapping[str, Any] | None = None,
        seed: int = 0,
        cylinder: int = 1,
    ) -> Sampling:
        """What the document says about one cylinder as a sampling: each reading with a stated uncertainty is normal.

        ``readings``, ``fixed`` and ``limits`` override the document as in ``study``; a figure that is ``fixed`` has no
        uncertainty. Of a figure that several readings make up, such as the reciprocating mass, none is taken over.
        """
        given = {*(readings or {}), *(fixed or {})}
        own, deviations, held = self._design(cylinder, given, limits)
        measured = {name: normal(own.pop(name), deviation) for name, deviation in deviations.items()}
        return Sampling(
            readings={**measured, **(readings or {})},
            correlations=correlations,
            fixed={**own, **(fixed or {})},
            limits=held,
            seed=seed,
        )

    def _design(
        self, cylinder: int, given: set[str], limits: Mapping[str, Any] | None
    ) -> tuple[dict[str, Any], dict[str, str], dict[str, Any]]:
        """The figures of a cylinder that are not given otherwise, their standard uncertainties, and the limits."""
        with _placed(self.path):
            said = json.loads(self._native.study_json(cylinder))
        # The deck height follows from a deck clearance, so that only one of the two is given.
        pair = {"deck_clearance", "deck_height"}
        given = given | pair if given & pair else given
        own = {name: value for name, value in said["fixed"].items() if name not in given}
        deviations = {name: value for name, value in said["deviations"].items() if name not in given}
        all_limits = {**said["limits"], **(limits or {})}
        return own, deviations, {name: limit for name, limit in all_limits.items() if limit is not None}

    def __repr__(self) -> str:
        return f"Build({self.path or f'{len(self.text)} characters'})"

    def __eq__(self, other: object) -> bool:
        return self.text == other.text if isinstance(other, Build) else NotImplemented

    def __hash__(self) -> int:
        return hash(self.text)

    def __reduce__(self) -> tuple[Any, ...]:
        return (Build, (self.text, self.path))


class _placed:
    """Writes the file's name on the errors that pass."""

    def __init__(self, path: str | None) -> None:
        self.path = path

    def __enter__(self) -> None:
        pass

    def __exit__(self, kind: object, error: BaseException | None, trace: object) -> None:
        if isinstance(error, errors.SweptError) and self.path is not None:
            error.path = self.path


def parse_build(text: str) -> Build:
    """Read a build document from its TOML text."""
    return Build(text)


def read_build(path: str | os.PathLike[str]) -> Build:
    """Read a build document from a TOML file, UTF-8."""
    name = os.fspath(path)
    try:
        with open(name, "rb") as file:
            raw = file.read(MOST_BYTES + 1)
            size = max(len(raw), os.fstat(file.fileno()).st_size)
    except OSError as e:
        reason = e.strerror or str(e)
        raise errors.FileUnreadable(f"cannot read: {reason}", value=name, path=name) from e
    if len(raw) > MOST_BYTES:
        raise errors.OutOfRange(
            f"the document is {size} bytes; allowed: at most {MOST_BYTES} bytes",
            field="the document",
            value=f"{size} bytes",
            allowed=f"at most {MOST_BYTES} bytes",
            path=name,
        )
    return Build(_decoded(raw, name), name)


def _decoded(raw: bytes, path: str) -> str:
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as e:
        line = raw.count(b"\n", 0, e.start) + 1
        value = f"byte 0x{raw[e.start]:02x}"
        raise errors.Syntax(
            f"line {line}: {value} is not UTF-8; save the document as UTF-8",
            field="document",
            value=value,
            allowed="UTF-8 text",
            line=line,
            path=path,
        ) from e


@dataclass(frozen=True)
class Finding:
    """One figure of a sheet: what it is, where it belongs, its value, how sure, its limits and its verdict."""

    raw: dict[str, Any]

    @property
    def what(self) -> str:
        """Its name in documents, such as ``deck_clearance``."""
        return str(self.raw["what"])

    @property
    def term(self) -> str:
        """The trade's term."""
        return str(self.raw["term"])

    @property
    def group(self) -> str:
        """The part of the sheet it stands in."""
        return str(self.raw["group"])

    @property
    def state(self) -> str | None:
        """The state of temperatures by its name; None when as measured."""
        state: str | None = self.raw.get("state")
        return state

    @property
    def where(self) -> str:
        """The place in words, such as "cylinder 3" or "cylinder 3, at 90 deg", with the state where there is one."""
        place = place_text(self.raw["where"])
        return f"{place}, {self.state}" if self.state else place

    @property
    def index(self) -> int | None:
        """Which cylinder, main or throw, from 1; None for the engine."""
        index: int | None = self.raw["where"]["index"]
        return index

    @property
    def value(self) -> Any:
        """The value, a pint quantity (a float for a ratio)."""
        return _quantity(self.raw["value"])

    @property
    def expanded_uncertainty(self) -> Any:
        """The expanded uncertainty, k = 2; None where no reading behind it has one."""
        return _quantity(self.raw["expanded_uncertainty"])

    @property
    def lower(self) -> Any:
        """The least allowed, or None."""
        return _quantity((self.raw["limits"] or {}).get("lower"))

    @property
    def upper(self) -> Any:
        """The greatest allowed, or None."""
        return _quantity((self.raw["limits"] or {}).get("upper"))

    @property
    def whose(self) -> str | None:
        """Whose limits they are."""
        whose: str | None = (self.raw["limits"] or {}).get("whose")
        return whose

    @property
    def verdict(self) -> Verdict:
        """``pass``, ``clear`` (inside a bound that nobody set), ``fail``, ``cannot_tell`` or ``no_limit``."""
        verdict: Verdict = self.raw["verdict"]
        return verdict

    @property
    def conformance_probability(self) -> float | None:
        """The probability that it is inside its limits."""
        probability: float | None = self.raw["conformance_probability"]
        return probability

    @property
    def budget(self) -> Sequence[dict[str, Any]]:
        """The readings that dominate its uncertainty, largest first."""
        return tuple(self.raw["budget"])

    @property
    def cuts(self) -> Sequence[dict[str, Any]]:
        """What would bring it in, where it fails."""
        return tuple(self.raw["cuts"])

    @property
    def no_cut(self) -> str | None:
        """Why there is no cut, where it fails and there is none."""
        reason: str | None = self.raw["no_cut"]
        return reason

    def __repr__(self) -> str:
        u = self.raw["expanded_uncertainty"]
        sure = f" +/- {u['text']}" if u else ""
        value = self.raw["value"]["text"]
        return f"Finding({self.term}, {self.where}: {value}{sure}, {WORDS[self.verdict]})"


def place_text(where: dict[str, Any]) -> str:
    """The place of a finding in words."""
    detail = where.get("detail")
    return f"{where['label']}, {detail}" if detail else str(where["label"])


# Units of sheets that pint does not read as they are printed.
_PINT = {"cm3": "centimeter ** 3", "in3": "inch ** 3", "m/s2": "meter / second ** 2", "ft/s2": "foot / second ** 2"}


def _quantity(printed: dict[str, Any] | None) -> Any:
    if printed is None or printed["unit"] == "":
        return printed and float(printed["value"])
    from swept._quantities import make

    unit = str(printed["unit"])
    return make(printed["value"], _PINT.get(unit, unit))


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


def clean(text: str) -> str:
    """The text without characters that steer a terminal, a page or the direction of writing."""
    return "".join(c if c.isprintable() else "\N{REPLACEMENT CHARACTER}" for c in text)


def counts_text(counts: dict[str, int]) -> str:
    """The counts in words: "12 pass, 1 FAIL, 0 CANNOT TELL, 4 no limit"."""
    return ", ".join(f"{counts.get(verdict, 0)} {word}" for verdict, word in WORDS.items())


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
