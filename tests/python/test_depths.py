"""Clearances cold and hot, shells chosen, parts matched, tolerances stacked: the sheet as Python shows it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

import swept
from swept import errors, plots, report
from swept.cli import main

SIX = Path(__file__).parents[2] / "examples" / "inline_six.toml"


@pytest.fixture(scope="module")
def sheet() -> swept.Sheet:
    return swept.read_build(SIX).sheet()


def test_states_are_in_the_order_of_the_document(sheet: swept.Sheet) -> None:
    assert sheet.states == ["running", "full_load"]
    cold, hot = sheet.find("piston_to_wall"), sheet.find("piston_to_wall", "running")
    assert len(cold) == len(hot) == 6
    assert {f.state for f in cold} == {None}
    assert hot[0].where == "cylinder 1, running"
    assert all(h.value < c.value for h, c in zip(hot, cold, strict=True))
    with pytest.raises(KeyError, match="in the state 'frost'"):
        sheet.find("piston_to_wall", "frost")


def test_tables_hold_states(sheet: swept.Sheet) -> None:
    table = sheet.table("top_ring_gap", "full_load")
    assert list(table["verdict"])[3] == "fail"
    assert "cylinder 1, full_load" in list(sheet.table()["where"])


def test_shells_rings_and_parts(sheet: swept.Sheet) -> None:
    (mains,) = sheet.selections
    assert [c["where"] for c in mains["choices"]] == [f"main {i}" for i in range(1, 8)]
    assert "grind the journal" in mains["choices"][3]["remedy"]
    matching = sheet.matching
    assert matching is not None
    for part in range(3):
        assert sorted(row["parts"][part] for row in matching["rows"]) == [1, 2, 3, 4, 5, 6]
    assert all(f["proved"] and f["matched"]["si"] < f["delivered"]["si"] for f in matching["figures"])
    assert any(f["file"]["si"] > 0 for f in sheet.filings)
    assert {s["what"] for s in sheet.stacks} >= {"deck_clearance", "rod_bearing_clearance"}


def test_matched_values_are_a_new_document(sheet: swept.Sheet) -> None:
    """The parts put where the table says: the sheet of that document has the spread that was promised."""
    matching = sheet.matching
    assert matching is not None
    text = SIX.read_text(encoding="utf-8")
    for entry, part in (("diameter = [", 0), ("compression_height = [", 0), ("length = [", 1)):
        start = text.index(entry) + len(entry)
        end = text.index("]", start)
        values = [v.strip() for v in text[start:end].split(",")]
        moved = [values[row["parts"][part] - 1] for row in matching["rows"]]
        text = text[:start] + ", ".join(moved) + text[end:]
    again = swept.parse_build(text).sheet().matching
    assert again is not None
    for name, place in (("piston_to_wall", 0), ("deck_clearance", 1)):
        assert again["figures"][place]["what"] == name
        promised = matching["figures"][place]["matched"]["si"]
        assert again["figures"][place]["delivered"]["si"] == pytest.approx(promised, abs=1e-12)


def test_a_stack_on_its_own() -> None:
    build = swept.read_build(SIX)
    found = build.tolerance_stack("deck_clearance", place=2, trials=2000, distribution="rectangular")
    assert found["where"] == "cylinder 2" and found["trials"] == 2000
    assert found["worst_least"]["si"] < found["rss_least"]["si"] < found["middle"]["si"]
    assert sum(c["share"] for c in found["contributors"]) == pytest.approx(1.0)
    assert found == build.tolerance_stack("deck_clearance", place=2, trials=2000, distribution="rectangular")
    with pytest.raises(errors.UnknownKey, match="deck_clearance"):
        build.tolerance_stack("deck_clearence")
    with pytest.raises(errors.OutOfRange, match="1 to 6"):
        build.tolerance_stack("deck_clearance", place=7)
    with pytest.raises(errors.OutOfRange, match="trials"):
        build.tolerance_stack("deck_clearance", trials=3)
    with pytest.raises(ValueError, match="rectangular"):
        build.tolerance_stack("deck_clearance", distribution="triangular")  # type: ignore[arg-type]


def test_plots_show_what_they_say(sheet: swept.Sheet) -> None:
    hot = plots.cold_and_hot(sheet, "rings").to_svg()
    for words in ("as measured", "running", "full_load", "top ring end gap"):
        assert words in hot
    matched = plots.matching(sheet).to_svg()
    assert "as delivered" in matched and "deck clearance: spread 0.0600 mm to 0.0100 mm" in matched
    assert "block.deck_height" in plots.contributors(sheet).to_svg()
    plain = swept.read_build(SIX.parent / "inline_four.toml").sheet()
    for refused in (lambda: plots.matching(plain), lambda: plots.contributors(plain)):
        with pytest.raises(ValueError):
            refused()
    with pytest.raises(ValueError, match="state"):
        plots.cold_and_hot(plain, "rings")


def test_the_page_has_every_part(sheet: swept.Sheet) -> None:
    page = report.html(sheet)
    for words in (
        "Cold and hot",
        "Which part goes where",
        "Shells chosen: main bearing clearance",
        "Ring gaps to file",
        "Tolerance stacks",
        "Press fits, holes and shafts",
        "A bolt past its proof load",
    ):
        assert words in page, words
    assert "geometry: at zero the ring butts" in page


def test_the_terminal_lists_what_was_chosen(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["sheet", str(SIX), "--out", str(tmp_path)]) == 1
    out = capsys.readouterr().out
    assert "main bearing clearance, main 4: upper grade 1, lower grade 1" in out
    assert "proved the least" in out and "file off" in out and "In the states running, full_load" in out
    assert json.loads((tmp_path / "sheet.json").read_text())["matching"]["parts"] == ["piston", "rod", "pin"]
