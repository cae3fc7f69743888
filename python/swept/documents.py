"""Build documents and the sheets made of them."""

from __future__ import annotations

import json
import os
from collections.abc import Mapping
from typing import Any, Literal

from swept import errors
from swept._findings import WORDS, Finding, Verdict, clean, counts_text, place_text
from swept._sheets import Sheet
from swept._swept import MOST_BYTES, NativeBuild
from swept.sampling import Correlations, Distribution, Sampling, normal
from swept.studies import Study

__all__ = [
    "MOST_BYTES",
    "WORDS",
    "Build",
    "Finding",
    "Sheet",
    "Verdict",
    "clean",
    "counts_text",
    "parse_build",
    "place_text",
    "read_build",
]


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
        # The layout is that of the document's cylinders.
        given = given | {"first_order_factor", "second_order_factor"} if "cylinders" in given else given
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
