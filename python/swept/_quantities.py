"""What the native module asks of Python: the display system and pint quantities; pint is imported on first use."""

from __future__ import annotations

from contextvars import ContextVar
from types import TracebackType
from typing import TYPE_CHECKING, Any, Literal

if TYPE_CHECKING:
    from swept._swept import Layout

System = Literal["metric", "inch"]

_system: ContextVar[System] = ContextVar("swept_display", default="metric")


class display:
    """Choose the units of what swept returns: ``swept.display("inch")`` from here on, or inside a ``with``.

    It holds for this thread or task; others start out metric. Small volumes stay in cm3 and masses in g in both
    systems, as in the trade.
    """

    def __init__(self, system: System) -> None:
        if system not in ("metric", "inch"):
            raise ValueError(f'display system is {system!r}; write "metric" or "inch"')
        self._before: System = _system.get()
        _system.set(system)

    def __enter__(self) -> display:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        _system.set(self._before)


def system() -> System:
    """The display system chosen: "metric" or "inch"."""
    return _system.get()


def make(magnitude: Any, unit: str) -> Any:
    """A quantity of the application registry, the one that the user may have set as his own."""
    import pint

    registry: Any = pint.get_application_registry()  # type: ignore[no-untyped-call]
    return registry.Quantity(magnitude, unit)


def rebuilt_layout(bank_angles: list[str], throw_angles: list[str], cycle: Any) -> Layout:
    """A layout from its pickle."""
    from swept._swept import Layout

    return Layout.explicit(bank_angles=bank_angles, throw_angles=throw_angles, cycle=cycle)
