"""The figures of a build sheet, one by one: value, how sure, limits, verdict, and the words for them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal

Verdict = Literal["pass", "clear", "fail", "cannot_tell", "no_limit"]

WORDS: dict[str, str] = {
    "pass": "pass",
    "clear": "clear",
    "fail": "FAIL",
    "cannot_tell": "CANNOT TELL",
    "no_limit": "no limit",
}


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


def clean(text: str) -> str:
    """The text without characters that steer a terminal, a page or the direction of writing."""
    return "".join(c if c.isprintable() else "\N{REPLACEMENT CHARACTER}" for c in text)


def counts_text(counts: dict[str, int]) -> str:
    """The counts in words: "12 pass, 1 FAIL, 0 CANNOT TELL, 4 no limit"."""
    return ", ".join(f"{counts.get(verdict, 0)} {word}" for verdict, word in WORDS.items())
