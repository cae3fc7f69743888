"""The exceptions of swept: one class for every kind of error that the core knows.

Each carries the facts of its message: ``field`` (the argument, or the entry of a build document), ``value`` (as it
came, with its unit), ``allowed`` (in words) and, for build documents, ``line`` and ``path``.
"""

from __future__ import annotations

from typing import Any


class SweptError(Exception):
    """Anything that swept refuses."""

    def __init__(
        self,
        message: str,
        *,
        field: str | None = None,
        value: str | None = None,
        allowed: str | None = None,
        line: int | None = None,
        path: str | None = None,
    ) -> None:
        super().__init__(message)
        self.field = field
        self.value = value
        self.allowed = allowed
        self.line = line
        self.path = path

    def __reduce__(self) -> tuple[Any, ...]:
        return (_rebuilt, (type(self), self.args[0], self.__dict__.copy()))


def _rebuilt(kind: type[SweptError], message: str, facts: dict[str, Any]) -> SweptError:
    error = kind(message)
    error.__dict__.update(facts)
    return error


class OutOfRange(SweptError, ValueError):
    """A figure outside what the formula or the part allows."""


class NotFinite(SweptError, ValueError):
    """Not a number, or infinite."""


class WrongDimension(SweptError, TypeError):
    """A quantity of another dimension than the one needed, such as a mass for a length."""


class MissingUnit(SweptError, TypeError):
    """A bare number where a quantity is needed."""


class UnknownUnit(SweptError, ValueError):
    """A unit that swept does not read."""


class Unreadable(SweptError, ValueError):
    """A text that is no number with a unit."""


class WrongLength(SweptError, ValueError):
    """A list of another length than the engine needs."""


class NoSolution(SweptError, ValueError):
    """No value in the range searched gives the figure asked for."""


class UnknownKey(SweptError, ValueError):
    """A key the build document does not have."""


class MissingKey(SweptError, ValueError):
    """A key the build document must have."""


class Syntax(SweptError, ValueError):
    """A text that is not TOML, or a value of the wrong form."""


class Stopped(SweptError, RuntimeError):
    """A long question that was told to stop."""


class FileUnreadable(SweptError, OSError):
    """A build document that the system would not open or read."""
