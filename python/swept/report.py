"""The build sheet as one HTML page that needs nothing beside itself and prints on paper."""

from __future__ import annotations

import re
from functools import partial
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup, escape

from swept import plots
from swept.documents import WORDS, Finding, Sheet, clean, counts_text, place_text
from swept.valve_words import advance_text, event_rows, least_text, overlap_text

GROUPS = {
    "layout": "Layout",
    "motion": "Motion",
    "walls": "Walls",
    "deck": "Deck",
    "compression": "Compression",
    "bearings": "Bearings",
    "pistons": "Pistons",
    "rings": "Rings",
    "crank": "Crankshaft and rods, axial",
    "valves": "Valve train",
    "balance": "Balance",
    "bolts": "Bolts",
    "fits": "Press fits, holes and shafts",
}
# The groups whose values are drawn place by place.
_DRAWN = ("deck", "bearings", "pistons", "rings", "crank")
# How many readings of a budget are named.
_DOMINANT = 3
# How many cheeks are drawn in one picture.
_CHEEKS = 4


def html(sheet: Sheet) -> str:
    """The page: verdicts, what to attend to, every figure with its limits, budget, readings, cautions, signatures."""
    environment = Environment(
        loader=PackageLoader("swept"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=_finalised,
    )
    return environment.get_template("sheet.html.j2").render(_context(sheet))


def _finalised(value: Any) -> Any:
    return clean(value) if type(value) is str else value


def _context(sheet: Sheet) -> dict[str, Any]:
    data = sheet.data
    findings = sheet.findings
    attend = [f for verdict in ("fail", "cannot_tell") for f in findings if f.verdict == verdict]
    return {
        "title": sheet.title or "untitled",
        "counts": data["counts"],
        "counts_text": counts_text(data["counts"]),
        "words": WORDS,
        "version": data["swept"],
        "attend": attend,
        "headline": _headline(data["counts"]),
        "design": data["design"],
        "groups": _groups(sheet),
        "selections": data.get("selections", []),
        "filings": _to_file(data.get("filings", [])),
        "matching": data.get("matching"),
        "matching_plot": inline_svg(plots.matching(sheet), "matching") if data.get("matching") else "",
        "balance": data.get("balance"),
        "force_plots": _force_plots(sheet),
        "plan_plots": _plan_plots(sheet),
        "valves": _valves(sheet),
        "stacks": data.get("stacks", []),
        "stacks_plot": inline_svg(plots.contributors(sheet), "contributors") if data.get("stacks") else "",
        "spreads": [s for s in data["spreads"] if s.get("state") is None],
        "budgets": _least_sure([f for f in findings if f.budget and f.raw["limits"]]),
        "dominant": _DOMINANT,
        "readings": data["readings"],
        "not_computed": data.get("not_computed", []),
        "cautions": data["cautions"],
        "value_text": value_text,
        "place_text": place_text,
        "limits_text": limits_text,
        "percent": percent,
        "degrees": degrees,
        "is_nothing": is_nothing,
        "area": partial(area, sheet),
    }


def _force_plots(sheet: Sheet) -> list[Markup]:
    """Shaking force and moment over a turn, where the document has masses and a speed."""
    if not (sheet.data.get("balance") or {}).get("trace"):
        return []
    drawn = (("hodograph", plots.hodograph(sheet)), ("shaking", plots.shaking(sheet)))
    return [inline_svg(plot, name) for name, plot in drawn]


def _plan_plots(sheet: Sheet) -> list[Markup]:
    """The planes with the path of the plan, then the cheeks to drill, so many to a picture as a page takes."""
    balance = sheet.data.get("balance") or {"planes": [], "drilling": None}
    drawn = []
    if balance["planes"] and all(p["read"] for p in balance["planes"]):
        drawn.append(("unbalance", plots.unbalance(sheet)))
    if balance["drilling"] and balance["drilling"]["steps"]:
        cheeks = plots.cheeks_with_holes(sheet)
        for i in range(0, len(cheeks), _CHEEKS):
            drawn.append((f"drill-map-{i // _CHEEKS + 1}", plots.drill_map(sheet, cheeks[i : i + _CHEEKS])))
    return [inline_svg(plot, name) for name, plot in drawn]


def _valves(sheet: Sheet) -> dict[str, Any] | None:
    """The valve train with its words and pictures, or None."""
    if not sheet.valves:
        return None
    sides = sheet.valves["sides"]
    # In this order two and two stand on a printed page.
    drawn = [("valve-timing", plots.valve_timing(sheet))]
    if any(s["springs"] for s in sides):
        drawn.append(("spring-force", plots.spring_force(sheet)))
    drawn.append(("valve-lift", plots.valve_lift(sheet)))
    if any(s["map"] for s in sides):
        drawn.append(("valve-clearance-map", plots.valve_clearance_map(sheet)))
    drawn.append(("lobe-motion", plots.lobe_motion(sheet)))
    return {
        **sheet.valves,
        "events": event_rows(sheet),
        "nearest": [text for side in sides if (text := least_text(side))],
        "advances": [text for side in sides if (text := advance_text(sheet, side))],
        "overlap_text": overlap_text(sheet),
        "plots": [inline_svg(plot, name) for name, plot in drawn],
    }


def area(sheet: Sheet, area_cm2: float) -> str:
    """A throat's area in the units of the sheet."""
    from swept._swept import convert

    inch = sheet.data["display"] == "inch"
    return f"{convert(area_cm2, 'cm2', 'in2'):.3f} in2" if inch else f"{area_cm2:.2f} cm2"


def _to_file(filings: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """The rings with something to do."""
    return [f for f in filings if f["note"] or f["file"]["si"] > 0]


def _least_sure(findings: list[Finding]) -> list[Finding]:
    """Of each figure the place with the largest uncertainty; the first of equals."""
    worst: dict[str, Finding] = {}
    for f in findings:
        known = worst.setdefault(f.what, f)
        if f.raw["expanded_uncertainty"]["si"] > known.raw["expanded_uncertainty"]["si"]:
            worst[f.what] = f
    return list(worst.values())


def _headline(counts: dict[str, int]) -> str:
    if counts["fail"]:
        return f"NOT IN LIMITS: {counts['fail']} fail, {counts['cannot_tell']} cannot be told."
    if counts["cannot_tell"]:
        return f"NOT PROVED: {counts['cannot_tell']} cannot be told from their limits; measure better."
    if counts["pass"]:
        return f"IN LIMITS: all {counts['pass']} figures that have limits are proved inside them."
    return "NO LIMITS are set in the document, so nothing is judged."


def _groups(sheet: Sheet) -> list[dict[str, Any]]:
    findings = sheet.findings
    names = dict.fromkeys([*GROUPS, *(f.group for f in findings)])
    made = []
    for name in names:
        rows = [f for f in findings if f.group == name]
        if rows:
            title = GROUPS.get(name, name)
            cold = [f for f in rows if f.state is None]
            hot = _by_state(rows, sheet.states)
            made.append({"name": name, "title": title, "rows": cold, "hot": hot, "plots": _plots(sheet, name, rows)})
    return made


def _by_state(rows: list[Finding], states: list[str]) -> dict[str, Any] | None:
    """The figures that exist in states, a row for each place: as measured, then in each state, or None."""
    places: dict[tuple[str, str], dict[str | None, Finding]] = {}
    for f in rows:
        places.setdefault((f.what, place_text(f.raw["where"])), {})[f.state] = f
    hot = [by for by in places.values() if len(by) > 1]
    used = [s for s in states if any(s in by for by in hot)]
    return {"states": used, "rows": [[by.get(s) for s in (None, *used)] for by in hot]} if hot else None


def _plots(sheet: Sheet, group: str, rows: list[Finding]) -> list[Markup]:
    if group == "walls":
        drawn = [(f"wall{w['cylinder']}", plots.walls(sheet, w["cylinder"])) for w in sheet.data["walls"]]
    elif group == "compression" and sheet.data["design"]["clearance_volume"]:
        drawn = [("volume", plots.clearance_volume(sheet))]
    elif group == "motion":
        drawn = [("motion", p) for p in _motion(sheet)]
    elif group in _DRAWN and len(rows) > 1:
        drawn = [(group, plots.clearances(sheet, group))]
        if any(f.state for f in rows):
            drawn.append((f"{group}-states", plots.cold_and_hot(sheet, group)))
    else:
        drawn = []
    return [inline_svg(plot, name) for name, plot in drawn]


def _motion(sheet: Sheet) -> list[plots.Plot]:
    """The motion of cylinder 1 where the document gives a speed, in the sheet's own units."""
    from swept._quantities import display
    from swept._swept import Cylinder

    design = sheet.data["design"]
    if design["speed"] is None:
        return []
    named = {n: f"{design[n]['si']} m" for n in ("bore", "stroke", "rod_length", "pin_offset")}
    with display(sheet.data["display"]):
        return [plots.piston_motion(Cylinder(**named), f"{design['speed']['si']} rad/s")]


def inline_svg(plot: plots.Plot, name: str) -> Markup:
    """A plot as an element of the page, its ids made its own by a prefix."""
    svg = plot.to_svg()
    svg = svg[svg.index("<svg") :]
    svg = re.sub(r"<metadata>.*?</metadata>", "", svg, flags=re.DOTALL)
    svg = re.sub(r'\bid="', f'id="{name}-', svg)
    svg = re.sub(r'(href="#|url\(#)', rf"\g<1>{name}-", svg)
    return Markup(svg.replace("<svg", f'<svg role="img" aria-label="{escape(name)} plot"', 1))


def value_text(finding: Finding) -> str:
    """The value with its expanded uncertainty, as printed, the unit once: "0.045 +/- 0.0046 mm"."""
    value, u = finding.raw["value"], finding.raw["expanded_uncertainty"]
    return _joined(value, " \N{PLUS-MINUS SIGN} ", u) if u else str(value["text"])


def limits_text(finding: Finding) -> str:
    """The limits in words: "0.030 to 0.058 mm", "at least 4.2 mm"."""
    limits = finding.raw["limits"] or {}
    lower, upper = limits.get("lower"), limits.get("upper")
    if lower and upper:
        return _joined(lower, " to ", upper)
    if lower:
        return f"at least {lower['text']}"
    return f"at most {upper['text']}" if upper else ""


def _joined(first: dict[str, Any], between: str, second: dict[str, Any]) -> str:
    """Two figures with their unit written once where it is the same."""
    text = str(first["text"])
    if first["unit"] == second["unit"]:
        text = text.removesuffix(f" {first['unit']}")
    return f"{text}{between}{second['text']}"


def percent(share: float | None) -> str:
    """A share in percent; never "100 %" for less than certain, nor "0 %" for more than none."""
    if share is None:
        return ""
    if 0.995 <= share < 1.0:
        return "> 99 %"
    if 0.0 < share < 0.005:
        return "< 1 %"
    return f"{100 * share:.0f} %"


def degrees(angle: float) -> str:
    """An angle as printed, from 0 to below 360."""
    return f"{round(angle, 1) % 360.0:.1f} deg"


def is_nothing(printed: dict[str, Any]) -> bool:
    """Whether a figure is printed as zero, so that its direction says nothing."""
    return not any(digit in str(printed["text"]).removesuffix(str(printed["unit"])) for digit in "123456789")


__all__ = ["clean", "degrees", "html", "inline_svg", "is_nothing", "limits_text", "percent", "value_text"]
