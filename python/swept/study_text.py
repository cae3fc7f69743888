"""How the axes and the limits of a study are written: every figure as a text with its unit."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, TypeAlias

from swept._swept import study_texts

# A list of texts and quantities, an array-valued quantity, or ``span(...)``; numbers where a figure has no unit.
AxisGiven: TypeAlias = "Span | Sequence[Any] | Any"
# Lower and upper, either None; or a mapping with ``lower`` and ``upper``.
LimitGiven: TypeAlias = "tuple[Any, Any] | Mapping[str, Any] | Any"


@dataclass(frozen=True)
class Span:
    """The values of an axis from one to another, both included: so many, or by steps. Made by ``span``."""

    first: Any
    last: Any
    count: int | None = None
    step: Any = None

    def __repr__(self) -> str:
        by = f"count={self.count!r}" if self.step is None else f"step={self.step!r}"
        return f"span({self.first!r}, {self.last!r}, {by})"


def span(first: Any, last: Any, *, count: int | None = None, step: Any = None) -> Span:
    """The values of an axis: ``span("80 mm", "90 mm", count=101)`` or ``span("80 mm", "90 mm", step="0.1 mm")``.

    By steps, the last value is there where a step falls on it.
    """
    if (count is None) == (step is None):
        raise TypeError("span needs either count=, how many values, or step=, from one to the next")
    if count is not None and (isinstance(count, bool) or not hasattr(count, "__index__")):
        raise TypeError(f"count must be a whole number, not {count!r}")
    return Span(first, last, None if count is None else count.__index__(), step)


def one_text(place: str, name: str, given: Any) -> str:
    """One figure."""
    texts, several = study_texts(place, name, given)
    if several:
        hint = "" if place.startswith("readings") else "; what varies stands under vary"
        raise TypeError(f"{place} must be one value{hint}")
    return texts[0]


def axis_text(name: str, given: AxisGiven) -> dict[str, Any]:
    """An axis as the core reads it."""
    place = f"vary.{name}"
    if isinstance(given, Span):
        axis = {"figure": name, "from": one_text(f"{place}.first", name, given.first)}
        axis["to"] = one_text(f"{place}.last", name, given.last)
        if given.step is not None:
            return {**axis, "step": one_text(f"{place}.step", name, given.step)}
        if given.count is None or given.count < 0:
            raise ValueError(f"{place}.count is {given.count}; allowed: 1 or more")
        return {**axis, "count": given.count}
    texts, _ = study_texts(place, name, given)
    return {"figure": name, "values": texts}


def limit_text(name: str, given: LimitGiven) -> dict[str, str]:
    """The ends of a limit that there are."""
    place = f"limits.{name}"
    if isinstance(given, Mapping):
        strays = sorted(set(given) - {"lower", "upper"})
        if strays:
            raise TypeError(f"{place} has lower and upper, and no {strays[0]!r}")
        sides = (given.get("lower"), given.get("upper"))
    else:
        refused = TypeError(f"{place} must be (lower, upper), either None, such as (None, {given!r})")
        if isinstance(given, str) or not hasattr(given, "__len__"):
            raise refused
        if len(given) != 2:
            raise refused
        sides = (given[0], given[1])
    both = {"lower": sides[0], "upper": sides[1]}
    return {side: one_text(f"{place}.{side}", name, value) for side, value in both.items() if value is not None}


def axis_words(axis: dict[str, Any]) -> str:
    """An axis as it is shown."""
    if "values" in axis:
        values = axis["values"]
        return repr(values) if len(values) <= 8 else f"[{values[0]!r}, ..., {values[-1]!r}]"
    return repr(Span(axis["from"], axis["to"], axis.get("count"), axis.get("step")))


def limit_words(name: str, limit: dict[str, str]) -> str:
    """A limit as it is shown."""
    lower, upper = limit.get("lower"), limit.get("upper")
    if lower is None or upper is None:
        return f"{name} at most {upper}" if lower is None else f"{name} at least {lower}"
    return f"{name} from {lower} to {upper}"
