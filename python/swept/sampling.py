"""Sampling: designs whose readings are uncertain, the spread of their outputs, and which reading it comes from."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from html import escape
from typing import Any, TypeAlias

from swept._swept import NativeSampling
from swept.progress import Progress, told
from swept.study_text import LimitGiven, limit_text, one_text
from swept.tables import Table, named

# Both readings, and the coefficient of correlation of the two.
Correlations: TypeAlias = "Mapping[tuple[str, str], float]"


@dataclass(frozen=True)
class Distribution:
    """How the readings of a figure are distributed. Made by ``normal``, ``uniform``, ``triangular``, ``truncated``."""

    kind: str
    figures: tuple[tuple[str, Any], ...]

    def __repr__(self) -> str:
        return f"{self.kind}({', '.join(repr(value) for _, value in self.figures)})"


def normal(mean: Any, deviation: Any) -> Distribution:
    """Normal: mean and standard deviation, half of an expanded uncertainty with k = 2."""
    return Distribution("normal", (("mean", mean), ("deviation", deviation)))


def uniform(low: Any, high: Any) -> Distribution:
    """Every value between two alike, such as where only a tolerance is known."""
    return Distribution("uniform", (("low", low), ("high", high)))


def triangular(low: Any, mode: Any, high: Any) -> Distribution:
    """Density rising evenly from the least value to the mode, and falling evenly to the greatest."""
    return Distribution("triangular", (("low", low), ("mode", mode), ("high", high)))


def truncated(mean: Any, deviation: Any, low: Any, high: Any) -> Distribution:
    """Normal, with mean and standard deviation from before what is not between two values was sorted out."""
    return Distribution("truncated", (("mean", mean), ("deviation", deviation), ("low", low), ("high", high)))


@dataclass(frozen=True)
class Share:
    """A share of samples, with its standard error."""

    count: int
    of: int
    share: float
    error: float

    def __str__(self) -> str:
        return f"{self.share:.4g} (error {self.error:.1g})"


@dataclass(frozen=True)
class Quantile:
    """A quantile of the samples, exact for them, with its standard error as an estimate of that of all."""

    probability: float
    value: Any
    error: Any


@dataclass(frozen=True)
class Spread:
    """How an output is spread over the samples it could be told of (``used``); the others are ``refused``.

    Figures are quantities, or floats where the output has no unit; no numbers where there are too few samples.
    ``deviation`` is the standard deviation with divisor n, ``outside`` the share out of the limits on this output, None
    where it has none. Each ``..._error`` is a standard error.
    """

    output: str
    mean: Any
    mean_error: Any
    deviation: Any
    deviation_error: Any
    quantiles: tuple[Quantile, ...]
    outside: Share | None
    used: int
    refused: int
    unit: str

    @property
    def statistics(self) -> list[tuple[str, Any, Any]]:
        """Each statistic that has the unit of the output: its name, its value, its standard error."""
        both = [("mean", self.mean, self.mean_error), ("deviation", self.deviation, self.deviation_error)]
        return both + [(f"quantile_{q.probability:g}", q.value, q.error) for q in self.quantiles]

    def to_table(self) -> Table:
        """One row: ``mean_mm``, ``mean_error_mm``, ``deviation_mm``, ``quantile_0.5_mm`` and so on."""
        columns: dict[str, Any] = {"output": [self.output]}
        for name, value, error in self.statistics:
            columns[named(name, self.unit)] = [_bare(value)]
            columns[named(f"{name}_error", self.unit)] = [_bare(error)]
        if self.outside is not None:
            columns |= {"outside": [self.outside.share], "outside_error": [self.outside.error]}
        return Table({**columns, "used": [self.used], "refused": [self.refused]})

    def _words(self) -> list[str]:
        all_of = [f"{name} {_bare(v):.6g} (error {_bare(e):.1g})" for name, v, e in self.statistics]
        out = [] if self.outside is None else [f"out of limits {self.outside}"]
        return all_of + out + ([f"{self.refused:,} refused"] if self.refused else [])

    def __str__(self) -> str:
        return f"{named(self.output, self.unit)}: {'; '.join(self._words())}"


@dataclass(frozen=True)
class Samples:
    """What came of samples: the spread of each output, and the share of possible designs that hold all limits.

    ``impossible`` samples are no design at all, such as a gasket below zero. ``feasible`` is None where there are no
    limits; an output that is no number holds none.
    """

    samples: int
    impossible: int
    feasible: Share | None
    outputs: tuple[Spread, ...]

    def __getitem__(self, output: str) -> Spread:
        for spread in self.outputs:
            if spread.output == output:
                return spread
        raise KeyError(f"{output!r} was not asked for; there are {', '.join(s.output for s in self.outputs)}")

    def to_table(self) -> Table:
        """A row for each statistic, and two columns for each output: ``deck_clearance_mm`` and its standard error."""
        columns: dict[str, Any] = {
            "statistic": [name for spread in self.outputs[:1] for name, _, _ in spread.statistics]
        }
        for spread in self.outputs:
            columns[named(spread.output, spread.unit)] = [_bare(v) for _, v, _ in spread.statistics]
            columns[named(f"{spread.output}_error", spread.unit)] = [_bare(e) for _, _, e in spread.statistics]
        return Table(columns)

    def _head(self) -> str:
        holds = "" if self.feasible is None else f", all limits hold in {self.feasible}"
        return f"{self.samples:,} samples, {self.impossible:,} impossible{holds}"

    def __repr__(self) -> str:
        return "\n".join([f"Samples({self._head()})", *(f"  {spread}" for spread in self.outputs)])

    def _repr_html_(self) -> str:
        lines = "".join(f"<li>{escape(str(spread))}</li>" for spread in self.outputs)
        return f"<p>{escape(self._head())}</p><ul>{lines}</ul>"


class Linear(Table):
    """A linear propagation: by reading its ``share`` of the variance and, in the unit of the output, its contribution
    with its sign. ``value`` is the output at the means, ``standard_uncertainty`` the combined one, as quantities.
    """

    def __init__(self, columns: Mapping[str, Any], value: Any, standard_uncertainty: Any) -> None:
        super().__init__(columns)
        self.value, self.standard_uncertainty = value, standard_uncertainty

    def __repr__(self) -> str:
        shares = ", ".join(f"{r} {s:.3g}" for r, s in zip(self["reading"], self["share"], strict=True))
        return f"Linear({self.value:.6g}, standard uncertainty {self.standard_uncertainty:.3g}; shares: {shares})"


class Sampling:
    """Designs whose readings are uncertain.

    ``readings`` has by figure ``normal(mean, deviation)``, ``uniform(low, high)``, ``triangular(low, mode, high)`` or
    ``truncated(mean, deviation, low, high)``; ``correlations`` by pairs of them the coefficient of their normal
    deviates (readings that are not normal follow by rank). ``fixed`` and ``limits`` are those of a ``Study``. Figures
    are texts with their unit or pint quantities.

    Sample i depends on the ``seed``, i and which readings there are, and on nothing else: not on the number of samples,
    what is asked, or the order of the readings. Samples are drawn where they are needed and not stored, so there may
    be any number. Questions take ``threads`` (0: as many as the machine runs at once; the answer is the same to the
    bit) and ``progress``: True for a bar, or a function that is told the share done of the pass under way. Ctrl-C ends
    them.
    """

    def __init__(
        self,
        *,
        readings: Mapping[str, Distribution],
        correlations: Correlations | None = None,
        fixed: Mapping[str, Any] | None = None,
        limits: Mapping[str, LimitGiven] | None = None,
        seed: int = 0,
    ) -> None:
        written = {
            "readings": {name: _reading_text(name, given) for name, given in readings.items()},
            "correlations": [_correlation(pair, given) for pair, given in (correlations or {}).items()],
            "fixed": {name: one_text(f"fixed.{name}", name, given) for name, given in (fixed or {}).items()},
            "limits": {name: limit_text(name, given) for name, given in (limits or {}).items()},
            "seed": _seed(seed),
        }
        self._take(json.dumps(written))

    @classmethod
    def from_json(cls, text: str) -> Sampling:
        """A sampling from its text, as ``to_json`` gives it: JSON with readings, correlations, fixed, limits, seed."""
        sampling = cls.__new__(cls)
        sampling._take(text)
        return sampling

    def _take(self, text: str) -> None:
        self._native = NativeSampling(text)
        self._text = text
        empty = {"correlations": [], "fixed": {}, "limits": {}, "seed": 0}
        self._written: dict[str, Any] = {**empty, **json.loads(text)}

    def to_json(self) -> str:
        """The sampling as JSON, every figure with its unit."""
        return self._text

    @property
    def readings(self) -> tuple[str, ...]:
        """The figures that have readings, in the order of ``swept.STUDY_FIGURES``."""
        return tuple(self._native.readings)

    @property
    def seed(self) -> int:
        """The seed."""
        seed: int = self._written["seed"]
        return seed

    def sample(
        self,
        n: int,
        outputs: str | Sequence[str],
        *,
        quantiles: Sequence[float] = (0.025, 0.5, 0.975),
        threads: int = 0,
        progress: Progress = None,
    ) -> Samples:
        """The spread of outputs over n samples: exact statistics of these, with their standard errors."""
        asked = [float(q) for q in quantiles]
        with told(progress, "sample") as tell:
            return _samples(n, asked, self._native.sample(n, _names(outputs), asked, threads, tell))

    def values(
        self, output: str, first: int = 0, count: int = 1000, *, threads: int = 0, progress: Progress = None
    ) -> Any:
        """An output of samples, from ``first`` on: a NumPy array in a quantity, or alone where there is no unit.

        NaN stands for a sample that is no possible design, or whose output is no finite number.
        """
        with told(progress, "values") as tell:
            return self._native.values(output, first, count, threads, tell)

    def draws(
        self, figure: str, first: int = 0, count: int = 1000, *, threads: int = 0, progress: Progress = None
    ) -> Any:
        """What a reading draws in samples, from ``first`` on, possible or not: an array as that of ``values``."""
        with told(progress, "draws") as tell:
            return self._native.draws(figure, first, count, threads, tell)

    def sensitivity(
        self, outputs: str | Sequence[str], n: int, *, threads: int = 0, progress: Progress = None
    ) -> Table:
        """Which share of the variance of outputs comes from which reading, over the whole of the distributions.

        By output and reading: ``first``, the share that the reading accounts for alone; ``total``, the share that it
        has a part in, alone or together with others; standard errors; how many of the n samples were ``used``, and
        ``refused``. The readings must be independent. ``swept.plots.tornado`` draws it.
        """
        with told(progress, "sensitivity") as tell:
            return _shares(self._native.sensitivity(_names(outputs), n, threads, tell))

    def linear(self, output: str) -> Linear:
        """The standard uncertainty of an output by linear propagation (JCGM 100, 5.1.2), by reading.

        A reading contributes half of what the output moves by from one standard uncertainty below its mean to one above
        (5.1.3, note 2): the slope, where the output is straight so far. The readings must be independent.
        ``swept.plots.tornado`` draws it.
        """
        unit, values, shares = self._native.linear(output)
        columns = {
            "output": [output] * len(shares),
            "reading": list(self.readings),
            "share": shares,
            named("contribution", unit): _bare(values)[2:],
        }
        return Linear(columns, _plain(values[0]), _plain(values[1]))

    def __eq__(self, other: object) -> bool:
        return bool(self._native == other._native) if isinstance(other, Sampling) else NotImplemented

    def __hash__(self) -> int:
        return hash((self.readings, self.seed))

    def __reduce__(self) -> tuple[Any, ...]:
        return (Sampling.from_json, (self._text,))

    def __repr__(self) -> str:
        readings = ", ".join(f"{name!r}: {_reading(given)!r}" for name, given in self._written["readings"].items())
        pairs = {(a, b): coefficient for a, b, coefficient in self._written["correlations"]}
        limits = {name: (limit.get("lower"), limit.get("upper")) for name, limit in self._written["limits"].items()}
        more = {"correlations": pairs, "fixed": self._written["fixed"], "limits": limits}
        said = [f"{name}={given!r}" for name, given in more.items() if given]
        return f"Sampling({', '.join([f'readings={{{readings}}}', *said, f'seed={self.seed}'])})"


def _reading_text(name: str, given: Distribution) -> dict[str, dict[str, str]]:
    if not isinstance(given, Distribution):
        kinds = "normal, uniform, triangular or truncated"
        raise TypeError(f"readings.{name} must be made by swept.{kinds}, not {given!r}")
    places = ((part, f"readings.{name}.{given.kind}.{part}", value) for part, value in given.figures)
    return {given.kind: {part: one_text(place, name, value) for part, place, value in places}}


def _reading(written: dict[str, dict[str, str]]) -> Distribution:
    return next(Distribution(kind, tuple(figures.items())) for kind, figures in written.items())


def _correlation(pair: tuple[str, str], given: float) -> tuple[str, str, float]:
    if isinstance(pair, str) or len(pair) != 2:
        raise TypeError(f'correlations must be by pairs of readings, such as ("bore", "stroke"), not {pair!r}')
    coefficient = float(given)
    if not -1.0 < coefficient < 1.0:
        raise ValueError(f"correlation of {pair[0]} and {pair[1]} is {given}; allowed: above -1, below 1")
    return (*pair, coefficient)


def _seed(given: int) -> int:
    if isinstance(given, bool) or not hasattr(given, "__index__"):
        raise TypeError(f"seed must be a whole number, not {given!r}")
    seed = given.__index__()
    if not 0 <= seed < 2**64:
        raise ValueError(f"seed is {seed}; allowed: 0 to {2**64 - 1}")
    return seed


def _names(outputs: str | Sequence[str]) -> list[str]:
    return [outputs] if isinstance(outputs, str) else list(dict.fromkeys(outputs))


def _bare(value: Any) -> Any:
    """A quantity's number in its own unit."""
    return getattr(value, "magnitude", value)


def _plain(value: Any) -> Any:
    """NumPy's number as Python's, in its quantity if it has a unit."""
    return type(value)(float(value.magnitude), value.units) if hasattr(value, "magnitude") else float(value)


def _samples(n: int, asked: list[float], found: Any) -> Samples:
    """From how many are impossible, the share that holds all limits, how each output is spread."""
    impossible, feasible, spreads = found
    outputs = tuple(_spread(asked, *spread) for spread in spreads)
    return Samples(int(n), impossible, None if feasible is None else Share(*feasible), outputs)


def _shares(found: Any) -> Table:
    """From the shares of readings by output."""
    rows = [(name, *reading, used, refused) for name, used, refused, readings in found for reading in readings]
    heads = ("output", "reading", "first", "first_error", "total", "total_error", "used", "refused")
    return Table({head: [row[i] for row in rows] for i, head in enumerate(heads)})


def _spread(
    asked: list[float],
    output: str,
    unit: str,
    values: Any,
    used: int,
    refused: int,
    outside: tuple[int, int, float, float] | None,
) -> Spread:
    """From mean, deviation, their errors, the quantiles, their errors."""
    mean, deviation, mean_error, deviation_error, *rest = (_plain(v) for v in values)
    found = zip(asked, rest[: len(asked)], rest[len(asked) :], strict=True)
    share = None if outside is None else Share(*outside)
    quantiles = tuple(Quantile(*one) for one in found)
    return Spread(output, mean, mean_error, deviation, deviation_error, quantiles, share, used, refused, unit)
