"""The valve train in words, for the page, the pictures and the terminal."""

from __future__ import annotations

from typing import Any

from swept.documents import Finding, Sheet

# Which dead centre an event is written from, as the crank angle from overlap top dead centre, and its letters.
_FROM = {
    ("intake", "opens"): (0.0, "TDC"),
    ("intake", "closes"): (180.0, "BDC"),
    ("exhaust", "opens"): (-180.0, "BDC"),
    ("exhaust", "closes"): (0.0, "TDC"),
}
# The figures of a kind of valve by the columns of the table of events.
_EVENTS = {"opens": "opening", "closes": "closing"}


def valves_of(sheet: Sheet) -> dict[str, Any]:
    """The valve train of the sheet, or an error that says there is none."""
    if not sheet.valves:
        raise ValueError("the document has no table [valves]")
    return sheet.valves


def found(sheet: Sheet, what: str, kind: str | None = None) -> list[Finding]:
    """The findings of a name as measured; of one kind of valve, where their place names it."""
    kept = [f for f in sheet.findings if f.what == what and f.state is None]
    return [f for f in kept if kind is None or kind in (f.raw["where"]["detail"] or "").split(", ")]


def limit_of(sheet: Sheet, kind: str) -> dict[str, Any] | None:
    """The least clearance of a kind of valve to the piston that the document allows."""
    limits = [f.raw["limits"] for f in found(sheet, f"{kind}_valve_to_piston") if f.raw["limits"]]
    lower: dict[str, Any] | None = limits[0]["lower"] if limits else None
    return lower


def event_text(kind: str, event: str, crank_deg: float, *, unit: str = " deg") -> str:
    """An event of a valve from its dead centre: "13.9 deg BTDC"."""
    centre, letters = _FROM[kind, event]
    return _from_centre(f"{abs(crank_deg - centre):.1f}{unit}", crank_deg < centre, letters)


def _from_centre(amount: str, before: bool, letters: str) -> str:
    return f"{amount} {'B' if before else 'A'}{letters}"


def from_overlap(crank_deg: float) -> str:
    """A crank angle from overlap top dead centre: "7.5 deg after overlap TDC"."""
    return f"{abs(crank_deg):.1f} deg {'before' if crank_deg < 0.0 else 'after'} overlap TDC"


def event_rows(sheet: Sheet) -> list[dict[str, str]]:
    """The events of both kinds of valve as installed, and against the ground ones; empty text where not known."""
    readings = {r["reading"]: r["value"]["text"] for r in sheet.data["readings"]}
    rows = []
    for side in valves_of(sheet)["sides"]:
        kind = side["kind"]
        row = {"kind": kind}
        for event, name in _EVENTS.items():
            row[event] = _event(sheet, kind, event, f"{kind}_{name}")
        for column, what in (("centreline", f"{kind}_centreline"), ("duration", f"{kind}_duration")):
            row[column] = found(sheet, what)[0].raw["value"]["text"]
        row["ground"] = readings.get(f"valves.{kind}.ground_centreline", "")
        over = found(sheet, "advance_over_ground", kind)
        row["over_ground"] = _advance_text(over[0].raw["value"]["text"]) if over else ""
        row["lash"] = side["lash"]["text"]
        rows.append(row)
    return rows


def overlap_text(sheet: Sheet) -> str:
    """The overlap as printed, with the area under the lesser lift while both valves are open at all."""
    from swept._swept import convert

    valves = valves_of(sheet)
    angle = str(found(sheet, "valve_overlap")[0].raw["value"]["text"])
    words = f"no overlap, both shut for {angle.removeprefix('-')}" if angle.startswith("-") else f"overlap {angle}"
    unit = "in" if sheet.data["display"] == "inch" else "mm"
    area = convert(valves["overlap_area_mm_deg"], "mm", unit)
    area_text = f"{area:.3f}" if unit == "in" else f"{area:.1f}"
    return f"{words}; {area_text} {unit} deg under the lesser lift while both are off their seats"


def _event(sheet: Sheet, kind: str, event: str, what: str) -> str:
    """As the finding is printed: it counts from the usual side of the dead centre, so below zero it is on the other."""
    text = str(found(sheet, what)[0].raw["value"]["text"])
    usual = event == "opens"
    _, letters = _FROM[kind, event]
    return _from_centre(text.removeprefix("-"), usual != text.startswith("-"), letters)


def _advance_text(text: str) -> str:
    """An advance as printed, its sign in words."""
    if not text.strip("-0. deg"):
        return "as ground"
    return f"{text.removeprefix('-')} {'retarded' if text.startswith('-') else 'advanced'}"


def _amount(advance_deg: float) -> str:
    if abs(advance_deg) < 0.05:
        return "as installed"
    return f"{abs(advance_deg):.1f} deg of {'retard' if advance_deg < 0.0 else 'advance'}"


def least_text(side: dict[str, Any]) -> str | None:
    """How near the piston comes to a kind of valve, and where."""
    if side["least_clearance"] is None:
        return None
    place = f"in cylinder {side['tightest']}, {from_overlap(side['least_at_deg'])}"
    return f"{side['kind']} valve to piston: least {side['least_clearance']['text']} along the stem, {place}"


def advance_text(sheet: Sheet, side: dict[str, Any]) -> str | None:
    """Between which advances a kind of valve keeps its limit to the piston; None where none is set or known."""
    limit = limit_of(sheet, side["kind"])
    if limit is None or side["least_clearance"] is None:
        return None
    first, last = side["advance_range_deg"]
    who = f"the {side['kind']} valve keeps its limit to the piston (at least {limit['text']})"
    if side["advance_limits_deg"] is None:
        return f"{who} at no setting of the cam from {_amount(first)} to {_amount(last)}"
    ends = [
        _amount(at) + (" (as far as was looked)" if abs(at - end) < 1e-6 else "")
        for at, end in zip(side["advance_limits_deg"], (first, last), strict=True)
    ]
    broken = "" if side["advance_unbroken"] else ", but not at every setting between"
    least, greatest = side["advance_limits_deg"]
    looked = first <= 0.0 <= last
    so = "" if least <= 0.0 <= greatest or not looked else "; as installed it does not"
    return f"{who} from {ends[0]} to {ends[1]}, crank degrees from as installed{broken}{so}"


__all__ = [
    "advance_text",
    "event_rows",
    "event_text",
    "found",
    "from_overlap",
    "least_text",
    "limit_of",
    "overlap_text",
    "valves_of",
]
