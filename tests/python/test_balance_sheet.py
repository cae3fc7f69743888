"""Balance on the sheet, as Python shows it: orders, planes, plans to drill, the page, the command line."""

from __future__ import annotations

import copy
import json
from pathlib import Path
from typing import Any

import pytest

import swept
from swept import report
from swept.cli import main

EXAMPLES = Path(__file__).parents[2] / "examples"
CRANKS = ("inline_three_crank", "vee_twin_crank", "vee_eight_crank")


def sheet_of(name: str) -> swept.Sheet:
    return swept.read_build(EXAMPLES / f"{name}.toml").sheet()


def short_of_a_plan() -> str:
    """The document of the three with drills too small to bring either plane inside."""
    text = (EXAMPLES / "inline_three_crank.toml").read_text()
    for drills in ('drills = ["8 mm", "10 mm", "13 mm"]', 'greatest_depth = "22 mm"', "[balance]\n"):
        assert drills in text
    text = text.replace('drills = ["8 mm", "10 mm", "13 mm"]', 'drills = ["8 mm"]')
    return text.replace('greatest_depth = "22 mm"', 'greatest_depth = "6 mm"').replace(
        "[balance]\n", "[balance]\nmost_holes = 1\n", 1
    )


def changed(sheet: swept.Sheet, **balance: Any) -> swept.Sheet:
    """The sheet with entries of its balance in other words, as a sheet.json could have them."""
    data = copy.deepcopy(sheet.data)
    data["balance"] |= balance
    return swept.Sheet.from_json(json.dumps(data))


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
def test_the_page(name: str) -> None:
    page = report.html(sheet_of(name))
    for words in ("Where to drill", "bob weight", "Read again after each hole", "guard is closed before it spins"):
        assert words in page, words
    assert "NOT A PLAN" not in page
    for plot in ("hodograph", "shaking", "unbalance", "drill-map-1"):
        assert f'aria-label="{plot} plot"' in page
    assert ("slug in</th>" in page) == (name == "vee_twin_crank")


def test_a_page_without_a_plan_says_so_before_it_shows_a_hole() -> None:
    page = report.html(swept.parse_build(short_of_a_plan()).sheet())
    section = page[page.index("Where to drill") :]
    assert section.index("NOT A PLAN: the limits are not reached: ") < section.index("<table")
    assert "Do not drill by it" in section and "Read again after each hole" not in section
    assert section.count("NOT A PLAN") == 3  # over the table and over both pictures


def printed(capsys: pytest.CaptureFixture[str]) -> str:
    """What the terminal got, in one line."""
    return " ".join(capsys.readouterr().out.split())


def test_the_terminal_lists_the_holes(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["sheet", str(EXAMPLES / "vee_eight_crank.toml"), "--out", str(tmp_path)]) == 1
    out = printed(capsys)
    assert "hole 1: cheek" in out and ", inside" in out and "NOT A PLAN" not in out


def test_the_terminal_calls_a_slug_a_slug(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["sheet", str(EXAMPLES / "vee_twin_crank.toml"), "--out", str(tmp_path)]) == 1
    assert "axial, radius 58.000 mm, 12.000 mm by 8.000 mm deep, for a slug of 15.8 g" in printed(capsys)


def test_the_terminal_says_first_that_there_is_no_plan(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    document = tmp_path / "short.toml"
    document.write_text(short_of_a_plan())
    assert main(["sheet", str(document), "--out", str(tmp_path)]) == 1
    out = printed(capsys)
    before, _, after = out.partition("DRILLING: NOT A PLAN, the limits are not reached: ")
    assert after and "cheek front, -17.000 mm" not in before
    reason, _, holes = after.partition("do not drill by it:")
    assert "251.2 g mm" in reason and "107.6 g mm" in reason
    assert holes.startswith(" nearest 1, no plan: cheek front") and "g mm, outside" in holes
    assert "hole 1:" not in out and ", inside" not in out


def test_both_planes_inside_is_said_on_the_terminal_too(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = (
        (EXAMPLES / "inline_three_crank.toml")
        .read_text()
        .replace('permissible = "120 g mm"', 'permissible = "1000 g mm"')
    )
    document = tmp_path / "inside.toml"
    document.write_text(text)
    main(["sheet", str(document), "--out", str(tmp_path)])
    out = printed(capsys)
    assert "both planes are inside their limits, less the guard; nothing to drill" in out and "hole 1" not in out


def test_the_page_says_how_the_plan_is_read() -> None:
    sheet = sheet_of("inline_three_crank")
    page = report.html(sheet)
    for words in sheet.data["balance"]["drilling"]["reference"]:
        assert words.replace("'", "&#39;") in page
    plan = page[page.index("Where to drill") :]
    assert "-17.000 mm</td>" in plan and "118 deg</td>" in plan
    flat = [{**s, "point_deg": 180.0} for s in sheet.data["balance"]["drilling"]["steps"]]
    flat_page = report.html(changed(sheet, drilling={**sheet.data["balance"]["drilling"], "steps": flat}))
    assert "flat</td>" in flat_page and "118 deg" not in flat_page


def test_an_unbalance_that_rounds_to_nothing_points_nowhere() -> None:
    sheet = sheet_of("inline_three_crank")
    nothing = {"value": 4e-14, "unit": "g mm", "text": "0.0 g mm", "si": 4e-20}
    balance = sheet.data["balance"]
    advice = [{**a, "unbalance": nothing, "heavy_at_deg": 270.0} for a in balance["advice"]]
    planes = [{**p, "design": nothing, "design_heavy_at_deg": 271.5} for p in balance["planes"]]
    steps = [{**s, "left_first": nothing, "left_first_deg": 272.5} for s in balance["drilling"]["steps"]]
    page = report.html(changed(sheet, advice=advice, planes=planes, drilling={**balance["drilling"], "steps": steps}))
    assert page.count("none needed in the") == 2 and page.count("nowhere") == 2
    for angle in ("heavy at 270.0 deg", "271.5 deg", "272.5 deg"):
        assert angle not in page


@pytest.mark.parametrize(
    ("text", "unit", "nothing"),
    [
        ("0.0 g mm", "g mm", True),
        ("-0.000 in3", "in3", True),
        ("0.1 g mm", "g mm", False),
        ("10.0 oz in", "oz in", False),
    ],
)
def test_nothing_is_what_is_printed_as_zero(text: str, unit: str, nothing: bool) -> None:
    assert report.is_nothing({"text": text, "unit": unit}) is nothing


def test_a_printed_angle_is_below_a_whole_turn() -> None:
    assert [report.degrees(a) for a in (0.0, 359.94, 359.96, 385.0, -5.0)] == [
        "0.0 deg",
        "359.9 deg",
        "0.0 deg",
        "25.0 deg",
        "355.0 deg",
    ]


def test_an_inch_document_has_its_holes_in_inches(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = (EXAMPLES / "vee_twin_crank.toml").read_text().replace('display = "metric"', 'display = "inch"')
    document = tmp_path / "inch.toml"
    document.write_text(text)
    main(["sheet", str(document), "--out", str(tmp_path)])
    assert "radius 2.2835 in, 0.4724 in by 0.3150 in deep, for a slug of 15.8 g" in printed(capsys)
    page = (tmp_path / "sheet.html").read_text()
    plan = page[page.index("Where to drill") : page.index("Not computed")]
    assert "0.4724 in" in plan and "oz in" in plan and " mm" not in plan
