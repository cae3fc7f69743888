"""Balance on the sheet, as Python shows it: orders, planes, plans to drill, plots."""

from __future__ import annotations

from pathlib import Path

import pytest

import swept
from swept import plots, report
from swept.cli import main

EXAMPLES = Path(__file__).parents[2] / "examples"
CRANKS = ("inline_three_crank", "vee_twin_crank", "vee_eight_crank")


def sheet_of(name: str) -> swept.Sheet:
    return swept.read_build(EXAMPLES / f"{name}.toml").sheet()


@pytest.mark.parametrize("name", CRANKS)
def test_every_demo_has_a_plan_that_ends_inside(name: str) -> None:
    sheet = sheet_of(name)
    drilling = sheet.data["balance"]["drilling"]
    assert drilling["inside"] and drilling["proved"] and drilling["steps"][-1]["inside"]
    assert not any(step["inside"] for step in drilling["steps"][:-1])
    for key, guarded in zip(("left_first", "left_second"), drilling["guarded"], strict=True):
        assert drilling["steps"][-1][key]["si"] <= guarded["si"]
    assert {f.verdict for f in sheet.find("residual_unbalance")} == {"fail"}


def test_a_shaft_against_the_crank_takes_the_moment_of_the_three_away() -> None:
    first = sheet_of("inline_three_crank").data["balance"]["orders"][0]
    assert first["moment"]["si"] < 0.01 * first["moment_bare"]["si"]


def test_half_leaves_nothing_that_turns_against_the_crank_in_a_right_angled_vee() -> None:
    for throw in sheet_of("vee_eight_crank").data["balance"]["throws"]:
        assert throw["share"] == pytest.approx(0.5)
        assert throw["backward"]["si"] < 0.001  # what unequal pistons leave


@pytest.mark.parametrize("name", CRANKS)
def test_the_page_and_the_plots(name: str) -> None:
    sheet = sheet_of(name)
    page = report.html(sheet)
    for words in ("Where to drill", "bob weight", "Read again after each hole", "guard is closed before it spins"):
        assert words in page, words
    assert "with all that turns" in plots.hodograph(sheet).to_svg()
    assert "moment across, N m" in plots.shaking(sheet).to_svg()
    assert "first plane, heavy at" in plots.unbalance(sheet).to_svg()
    assert "cheek" in plots.drill_map(sheet).to_svg()


def test_without_a_balance_the_plots_say_so() -> None:
    plain = sheet_of("inline_four")
    for draw in (plots.hodograph, plots.shaking, plots.unbalance, plots.drill_map):
        with pytest.raises(ValueError, match="balance"):
            draw(plain)


def test_the_terminal_lists_the_holes(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["sheet", str(EXAMPLES / "vee_eight_crank.toml"), "--out", str(tmp_path)]) == 1
    out = capsys.readouterr().out
    assert "hole 1: cheek" in out and ", inside" in out
