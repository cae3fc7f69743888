"""The command line: ``swept sheet BUILD.toml --out DIR`` and ``swept check BUILD.toml``.

Exit codes: 0 all limits met (of ``check``: the document is valid), 1 some figure fails or cannot be told, 2 a bad
document, bad usage, or a file that cannot be read or written.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from swept import __version__
from swept.documents import WORDS, Finding, Sheet, clean, counts_text, read_build
from swept.errors import SweptError

if TYPE_CHECKING:
    from rich.table import Table

_STYLES = {"pass": "", "clear": "", "fail": "bold reverse", "cannot_tell": "bold", "no_limit": "dim"}


def main(argv: Sequence[str] | None = None) -> int:
    """Runs the command line and returns the exit code."""
    args = _parser().parse_args(argv)
    try:
        build = read_build(args.build)
        if args.command == "check":
            print(f"{clean(args.build)}: a valid build document")
            return 0
        sheet = build.sheet()
        _print(sheet, written=_write(sheet, Path(args.out)))
    except SweptError as error:
        return _refuse(_placed(error, args.build))
    except BrokenPipeError:
        # Whoever read our output has gone; keep the interpreter from complaining when it flushes.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 2
    except OSError as error:
        return _refuse(f"cannot write {error.filename or args.out}: {error.strerror or error}")
    return 0 if sheet.passes else 1


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="swept",
        description="Build sheets from measured dimensions.",
        epilog="Exit code: 0 all limits met, or a valid document; 1 some figure fails or cannot be told; 2 an error.",
    )
    parser.add_argument("--version", action="version", version=f"swept {__version__}")
    commands = parser.add_subparsers(dest="command", required=True)
    sheet = commands.add_parser("sheet", help="evaluate a build document and write sheet.json and sheet.html")
    sheet.add_argument("build", metavar="BUILD.toml")
    sheet.add_argument("--out", metavar="DIR", required=True, help="the folder to write into; made if missing")
    check = commands.add_parser("check", help="validate a build document, no more")
    check.add_argument("build", metavar="BUILD.toml")
    return parser


def _refuse(message: str) -> int:
    print(f"swept: {clean(message)}", file=sys.stderr)
    return 2


def _placed(error: SweptError, path: str) -> str:
    """One line: file, line, then the message, which names field, value and what is allowed."""
    message = str(error)
    if error.line is None:
        return f"{error.path or path}: {message}"
    separators = (f"line {error.line}, ", f"line {error.line}: ")
    for start in separators:
        message = message.removeprefix(start)
    return f"{error.path or path}:{error.line}: {message}"


def _write(sheet: Sheet, folder: Path) -> list[Path]:
    """Writes both files under a temporary name first, so that none is ever seen half-written."""
    from swept import report

    texts = {"sheet.json": sheet.to_json() + "\n", "sheet.html": report.html(sheet)}
    folder.mkdir(parents=True, exist_ok=True)
    pending: dict[Path, Path] = {}
    try:
        for name, text in texts.items():
            target = folder / name
            pending[target] = folder / f".{name}.{os.getpid()}.tmp"
            pending[target].write_text(text, encoding="utf-8")
        for target, temporary in pending.items():
            os.replace(temporary, target)
    finally:
        for temporary in pending.values():
            temporary.unlink(missing_ok=True)
    return list(pending)


def _print(sheet: Sheet, *, written: list[Path]) -> None:
    from rich.console import Console
    from rich.text import Text

    console = Console(highlight=False, soft_wrap=False, width=None if sys.stdout.isatty() else 150)
    console.print(Text(clean(sheet.title or "untitled"), style="bold"))
    console.print(_table([f for f in sheet.findings if f.state is None or f.verdict in ("fail", "cannot_tell")]))
    if sheet.states:
        states = ", ".join(sheet.states)
        note = f"In the states {states}: listed here is only what fails or cannot be told; all of it is in sheet.html."
        console.print(Text(clean(note)))
    for line in _choices(sheet):
        console.print(Text(clean(line)))
    for finding in sheet.findings:
        for cut in finding.cuts:
            console.print(Text(clean(_cut_text(finding, cut))))
        if finding.no_cut:
            console.print(Text(clean(f"{finding.term}, {finding.where}: no cut; {finding.no_cut}")))
    console.print(Text(counts_text(sheet.data["counts"]), style="bold"))
    console.print()
    for caution in [*sheet.data["cautions"], *(sheet.valves or {"cautions": []})["cautions"]]:
        console.print(Text(f"! {caution}"))
    for path in written:
        console.print(Text(clean(f"wrote {path}")), soft_wrap=True)


def _table(findings: list[Finding]) -> Table:
    from rich import box
    from rich.table import Table
    from rich.text import Text

    from swept.report import limits_text, value_text

    table = Table(box=box.SIMPLE_HEAD, pad_edge=False)
    for name in ("figure", "where", "value", "limits", "whose", "verdict"):
        table.add_column(name, justify="right" if name == "value" else "left", no_wrap=name == "verdict")
    for previous, f in zip([None, *findings], findings, strict=False):
        if previous is not None and previous.group != f.group:
            table.add_section()
        cells = (f.term, f.where, value_text(f), limits_text(f), f.whose or "")
        style = _STYLES[f.verdict]
        table.add_row(*(Text(clean(cell)) for cell in cells), Text(WORDS[f.verdict], style=style))
    return table


def _choices(sheet: Sheet) -> Iterator[str]:
    """What was chosen, matched and is to be filed, a line each."""
    for selection in sheet.selections:
        for c in selection["choices"]:
            remedy = f"; {c['remedy']}" if c["remedy"] else ""
            grades = f"upper grade {c['upper']}, lower grade {c['lower']}"
            yield f"{selection['term']}, {c['where']}: {grades} give {c['clearance']['text']}{remedy}"
    if sheet.matching:
        for row in sheet.matching["rows"]:
            parts = zip(sheet.matching["parts"], row["parts"], strict=True)
            yield f"{row['where']}: " + ", ".join(f"{part} no. {n}" for part, n in parts)
        for f in sheet.matching["figures"]:
            proof = "proved the least" if f["proved"] else f"not proved the least, none is below {f['bound']['text']}"
            spreads = f"{f['delivered']['text']} as delivered, {f['matched']['text']} matched"
            yield f"spread of {f['term']}: {spreads} ({proof})"
        if sheet.matching["note"]:
            yield f"matching: the limits cannot be kept: {sheet.matching['note']}"
    yield from _valve_train(sheet)
    yield from _holes((sheet.data.get("balance") or {}).get("drilling"))
    for f in sheet.filings:
        if f["file"]["si"] > 0:
            yield f"{f['term']}, {f['where']}: file off {f['file']['text']} to {f['to']['text']}"


def _valve_train(sheet: Sheet) -> Iterator[str]:
    """Events, least clearances to the piston, and what the setting of the cam may be, where there are valves."""
    from swept.valve_words import advance_text, event_rows, least_text, overlap_text

    if not sheet.valves:
        return
    yield f"VALVE TRAIN, events at {sheet.valves['checking_lift']['text']} of lift at the valve: {overlap_text(sheet)}"
    for side, row in zip(sheet.valves["sides"], event_rows(sheet), strict=True):
        centre = f"centreline {row['centreline']} {'after' if row['kind'] == 'intake' else 'before'} overlap TDC"
        over = row["over_ground"]
        ground = f"; {over}{'' if over == 'as ground' else ', against ' + row['ground'] + ' as ground'}" if over else ""
        yield f"{row['kind']}: opens {row['opens']}, {centre}, closes {row['closes']}, lasts {row['duration']}{ground}"
        yield from (text for text in (least_text(side), advance_text(sheet, side)) if text)
        yield from (f"! {remark}" for remark in side["details"]["remarks"])


def _holes(drilling: dict[str, Any] | None) -> Iterator[str]:
    """The plan to drill, or first of all that there is none, and why."""
    from swept.report import degrees

    if not drilling:
        return
    short = drilling["shortfall"]
    if short:
        yield f"DRILLING: NOT A PLAN, the limits are not reached: {short}"
        if drilling["steps"]:
            yield "What comes nearest, and still leaves the crank outside; do not drill by it:"
    for i, s in enumerate(drilling["steps"], start=1):
        slug = f", for a slug of {s['slug']['text']}" if s["slug"] else ""
        cheek = f"cheek {s['cheek']}, {s['position']['text']} along the crank"
        place = f"{cheek}, at {degrees(s['angle_deg'])}, {s['way']}, radius {s['radius']['text']}"
        left = f"{s['left_first']['text']} and {s['left_second']['text']}"
        inside = ", inside" if s["inside"] else ", outside" if short else ""
        name = f"nearest {i}, no plan" if short else f"hole {i}"
        yield f"{name}: {place}, {s['diameter']['text']} by {s['depth']['text']} deep{slug}; leaves {left}{inside}"
    if drilling["steps"]:
        yield "where 0 deg is, and how angles, positions, radii and depths count: in sheet.html, under the plan"
    elif not short:
        yield "drilling: both planes are inside their limits, less the guard; nothing to drill"


def _cut_text(finding: Finding, cut: dict[str, object]) -> str:
    by, result = cut["by"], cut["result"]
    assert isinstance(by, dict) and isinstance(result, dict)
    text = f"{finding.term}, {finding.where}: {cut['operation']} by {by['text']} gives {result['text']}"
    breaks = cut["breaks"]
    if isinstance(breaks, list) and breaks:
        text += f"; puts out or leaves in doubt: {'; '.join(map(str, breaks))}"
    return f"{text}. {cut['hazard']}"


if __name__ == "__main__":
    sys.exit(main())
