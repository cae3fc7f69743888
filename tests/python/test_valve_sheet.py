"""The valve train on the page and at the terminal: figures are those of the JSON, mistakes are told where they are."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from test_balance_sheet import EXAMPLES, printed
from test_valve_plots import changed, with_finding

import swept
from swept import report
from swept.cli import main
from swept.valve_words import advance_text, event_rows, event_text, overlap_text

NAMES = ("inline_four", "vee_six")


def sheet_of(name: str) -> swept.Sheet:
    return swept.read_build(EXAMPLES / f"{name}.toml").sheet()


def section(page: str) -> str:
    """The part of the page on the valve train."""
    part = page[page.index("<h2>Valve train</h2>") :]
    return part[: part.index("</section>")]


@pytest.mark.parametrize("name", NAMES)
def test_the_page_has_the_figures_of_the_json(name: str) -> None:
    sheet = sheet_of(name)
    assert sheet.valves
    part = section(report.html(sheet))
    for what in ("intake_opening", "intake_closing", "exhaust_opening", "exhaust_closing"):
        assert sheet.find(what)[0].raw["value"]["text"] in part
    for what in ("intake_centreline", "exhaust_duration", "valve_overlap"):
        assert sheet.find(what)[0].raw["value"]["text"] in part
    for side in sheet.valves["sides"]:
        assert f"least {side['least_clearance']['text']} along the stem, in cylinder {side['tightest']}" in part
        details = side["details"]
        for row in details["wheel"]["lifts"] if details["wheel"] else []:
            assert f"{row['duration_deg']:.2f} deg" in part and f"{row['closing_residual_deg'] + 0.0:+.2f} deg" in part
        for row in [details["rocker"]] if details["rocker"] else []:
            for key in ("sweep", "off_centre", "pushrod", "pushrod_of_least_sweep", "pushrod_of_centred_sweep"):
                assert row[key]["text"] in part
            assert all(f"{ratio:.3f}" in part for ratio in row["ratio"])
        for row in [details["table"]] if details["table"] else []:
            assert row["rms"]["text"] in part and row["peak_lost"]["text"] in part
        assert details["throat"]["lift_for_throat"]["text"] in part
    for caution in sheet.valves["cautions"]:
        assert caution in part
    pictures = ("valve-timing", "spring-force", "valve-lift", "valve-clearance-map", "lobe-motion")
    assert [part.count(f'aria-label="{p} plot"') for p in pictures] == [1] * 5


def test_an_inch_sheet_has_its_areas_in_inches() -> None:
    sheet = sheet_of("vee_six")
    assert sheet.valves
    area = sheet.valves["sides"][0]["details"]["throat"]["area_cm2"]
    part = section(report.html(sheet))
    assert f"{area / 6.4516:.3f} in2" in part and "cm2" not in part
    assert f"{sheet.valves['overlap_area_mm_deg'] / 25.4:.3f} in deg" in part


def test_cautions_cover_the_turn_by_hand_the_springs_and_the_makers() -> None:
    cautions = " ".join((sheet_of("inline_four").valves or {})["cautions"])
    for words in ("clay", "by hand", "twice", "spring compressor", "eye protection", "kinematic estimate", "makers"):
        assert words in cautions


@pytest.mark.parametrize(
    ("kind", "event", "at", "text"),
    [
        ("intake", "opens", -13.94, "13.9 deg BTDC"),
        ("intake", "opens", 4.0, "4.0 deg ATDC"),
        ("intake", "closes", 228.13, "48.1 deg ABDC"),
        ("intake", "closes", 170.0, "10.0 deg BBDC"),
        ("exhaust", "opens", -224.6, "44.6 deg BBDC"),
        ("exhaust", "opens", -170.0, "10.0 deg ABDC"),
        ("exhaust", "closes", 8.6, "8.6 deg ATDC"),
        ("exhaust", "closes", -3.0, "3.0 deg BTDC"),
    ],
)
def test_an_event_is_written_from_its_dead_centre(kind: str, event: str, at: float, text: str) -> None:
    assert event_text(kind, event, at) == text


def test_an_event_below_zero_is_on_the_other_side() -> None:
    late = {"value": -3.2, "unit": "deg", "text": "-3.20 deg", "si": -0.05585}
    sheet = sheet_of("inline_four")
    assert event_rows(sheet)[0]["opens"] == "13.94 deg BTDC"
    assert event_rows(with_finding(sheet, "intake_opening", value=late))[0]["opens"] == "3.20 deg ATDC"
    assert event_rows(with_finding(sheet, "exhaust_opening", value=late))[1]["opens"] == "3.20 deg ABDC"
    assert event_rows(with_finding(sheet, "exhaust_closing", value=late))[1]["closes"] == "3.20 deg BTDC"
    assert overlap_text(with_finding(sheet, "valve_overlap", value=late)).startswith(
        "no overlap, both shut for 3.20 deg"
    )


def test_installed_against_ground_is_in_words() -> None:
    rows = event_rows(sheet_of("vee_six"))
    assert [r["over_ground"] for r in rows] == ["1.25 deg retarded", "1.00 deg advanced"]
    assert [r["ground"] for r in rows] == ["108.00 deg", "112.00 deg"]
    assert event_rows(sheet_of("inline_four"))[1]["over_ground"] == "as ground"
    text = (EXAMPLES / "vee_six.toml").read_text().replace('ground_centreline = "112 deg"\n', "")
    free = event_rows(swept.parse_build(text).sheet())[1]
    assert free["ground"] == "" and free["over_ground"] == ""


def test_advance_limits_are_in_words() -> None:
    sheet = sheet_of("inline_four")
    assert sheet.valves
    text = advance_text(sheet, sheet.valves["sides"][0])
    least, greatest = sheet.valves["sides"][0]["advance_limits_deg"]
    assert least == -8.0 and greatest < 0.0
    assert text == (
        "the intake valve keeps its limit to the piston (at least 2.000 mm) from 8.0 deg of retard"
        f" (as far as was looked) to {-greatest:.1f} deg of retard, crank degrees from as installed;"
        " as installed it does not"
    )
    kept = changed(sheet, 0, advance_limits_deg=[-3.0, 0.01], advance_unbroken=False)
    assert (advance_text(kept, (kept.valves or {})["sides"][0]) or "").endswith(
        "from 3.0 deg of retard to as installed, crank degrees from as installed, but not at every setting between"
    )
    never = changed(sheet, 0, advance_limits_deg=None)
    assert (advance_text(never, (never.valves or {})["sides"][0]) or "").endswith(
        "at no setting of the cam from 8.0 deg of retard to 8.0 deg of advance"
    )
    free = with_finding(sheet, "intake_valve_to_piston", limits=None)
    assert advance_text(free, (free.valves or {})["sides"][0]) is None


def test_the_terminal_has_events_least_clearances_and_cautions(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["sheet", str(EXAMPLES / "vee_six.toml"), "--out", str(tmp_path)]) == 1
    out = printed(capsys)
    sheet = swept.Sheet.from_json((tmp_path / "sheet.json").read_text())
    assert sheet.valves
    assert "VALVE TRAIN, events at 0.0500 in of lift at the valve: overlap 4.96 deg" in out
    assert "intake: opens 4.38 deg BTDC, centreline 109.25 deg after overlap TDC, closes 43.27 deg ABDC" in out
    assert "1.25 deg retarded, against 108.00 deg as ground" in out
    for side in sheet.valves["sides"]:
        assert f"{side['kind']} valve to piston: least {side['least_clearance']['text']}" in out
    for caution in sheet.valves["cautions"]:
        assert f"! {caution}" in out


def test_without_valves_there_is_no_section(
    sheet: swept.Sheet, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert sheet.valves is None and "Valve train" not in report.html(sheet)
    main(["sheet", str(EXAMPLES / "vee_twin_crank.toml"), "--out", str(tmp_path)])
    out = printed(capsys)
    assert "VALVE TRAIN" not in out and "spring compressor" not in out


def test_a_valve_train_with_less_in_it_has_its_page() -> None:
    """Lobes and centrelines alone: the least that the section can hold."""
    text = (EXAMPLES / "inline_four.toml").read_text()
    before = text[: text.index("[valves]")]
    lobe = 'programme = "harmonic"\nlift = "9 mm"\nopening = "70 deg"\n'
    bare = "[valves]\nchecking_lift = '1 mm'\n"
    for kind in ("intake", "exhaust"):
        bare += f"[valves.{kind}]\ncentreline = '108 deg'\n[valves.{kind}.lobe]\n{lobe}"
    part = section(report.html(swept.parse_build(before + bare).sheet()))
    assert "Clearance to the piston" not in part and "Springs at" not in part
    assert "not stated" in part and 'aria-label="lobe-motion plot"' in part


MISTAKES = [
    ('head_diameter = "32.50 mm"', 'head_diameter = "32.50 kg"', ('head_diameter: "32.50 kg"', "a length is needed")),
    ('tilt = "16 deg"', 'tillt = "16 deg"', ("valves.intake.tillt", "did you mean tilt?")),
    (
        'openings = ["13.5 deg +/- 0.5 deg", ',
        "openings = [",
        ("valves.intake.wheel.openings has 3 entries", "allowed: 4, one for each lift"),
    ),
    (
        'programme = "polynomial"',
        'programme = "polinomial"',
        ('valves.intake.lobe.programme: programme is "polinomial"', "polynomial or table"),
    ),
    (
        'count = 2\nlash = "0.22',
        'count = 2\nlash = "-0.22',
        ("valves.intake.lash", "-0.22 mm", "allowed: zero or more"),
    ),
    (
        'opening = "76 deg"',
        'opening = "190 deg"',
        ("valves.intake.lobe.opening: length of the lobe is 380", "allowed: up to a turn of the cam, 360 deg"),
    ),
    ('follower = "flat"', 'follower = "flatt"', ('follower is "flatt"', "allowed: flat or roller")),
    (
        'depth = ["3.90 mm +/- 0.05 mm", ',
        "depth = [",
        ("valves.intake.pocket.depth has 3 entries", "allowed: 4, one for each cylinder"),
    ),
    (
        'advance_range = ["-8 deg", "8 deg"]',
        'advance_range = ["8 deg", "-8 deg"]',
        ("valves.advance_range[2]", "-8 deg", "allowed: above 8 deg"),
    ),
]


def refused(text: str, folder: Path, capsys: pytest.CaptureFixture[str]) -> tuple[int, str]:
    """The line and the words with which the terminal refuses a document."""
    document = folder / "mistaken.toml"
    document.write_text(text)
    assert main(["check", str(document)]) == 2
    (told,) = capsys.readouterr().err.splitlines()
    line, _, words = told.removeprefix(f"swept: {document}:").partition(": ")
    return int(line), words


@pytest.mark.parametrize(("right", "wrong", "words"), MISTAKES)
def test_a_mistake_in_the_valves_is_told_at_its_line(
    right: str, wrong: str, words: tuple[str, ...], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = (EXAMPLES / "inline_four.toml").read_text()
    assert right in text
    line, told = refused(text.replace(right, wrong, 1), tmp_path, capsys)
    # What was typed wrong is on the last line of the pattern.
    assert line == text[: text.index(right)].count("\n") + right.count("\n") + 1
    for word in words:
        assert word in told, told


def test_centreline_and_wheel_are_not_both_and_a_pocket_is_inside_the_bore(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = (EXAMPLES / "inline_four.toml").read_text()
    both = text.replace('ground_centreline = "106 deg"', 'ground_centreline = "106 deg"\ncentreline = "107 deg"')
    line, told = refused(both, tmp_path, capsys)
    assert line == text[: text.index("wheel = {")].count("\n") + 1
    assert told.startswith("valves.intake.wheel") and told.endswith("centreline or wheel, not both")
    outside = text.replace('diameter = "36.5 mm"', 'diameter = "36.5 mm"\noffset = "-40 mm"')
    line, told = refused(outside, tmp_path, capsys)
    assert line == text[: text.index("[valves.intake.pocket]")].count("\n") + 1
    assert told.startswith("valves.intake.pocket: reach of the pocket") and "at most half the bore" in told


def test_the_schema_describes_the_valves() -> None:
    schema = json.loads(swept.build_schema())
    kinds = schema["$defs"]
    assert {"Valves", "Valve", "Lobe", "Wheel", "Rocker", "Pocket", "Spring", "Moving", "Drive"} <= set(kinds)
    assert "events, duration and overlap" in kinds["Valves"]["properties"]["checking_lift"]["description"]
    assert {"intake", "exhaust", "checking_lift"} == set(kinds["Valves"]["required"])
