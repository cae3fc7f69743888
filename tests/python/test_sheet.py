"""Sheets: findings, tables, plots and the page."""

from __future__ import annotations

import json
import math
import pickle
import re
import xml.etree.ElementTree as ET
from html.parser import HTMLParser
from pathlib import Path

import pytest
from conftest import DOCUMENT, EXAMPLES

import swept
from swept import errors, plots, report


def test_the_sheet_is_its_json(sheet: swept.Sheet) -> None:
    data = json.loads(sheet.to_json())
    assert data["schema"] == 1 and len(sheet.findings) == len(data["findings"])
    assert swept.Sheet.from_json(sheet.to_json()) == sheet == pickle.loads(pickle.dumps(sheet))
    assert sum(sheet.counts.values()) == len(sheet.findings)
    assert swept.parse_build(DOCUMENT).sheet().to_json() == sheet.to_json()
    with pytest.raises(errors.Syntax):
        swept.Sheet.from_json('{"schema": 2}')


def test_a_finding_carries_quantities(sheet: swept.Sheet) -> None:
    tall, tight = sheet.find("deck_clearance")
    assert tall.verdict == "fail" and tight.verdict == "cannot_tell" and not sheet.passes
    assert tall.value.m_as("mm") == pytest.approx(1.0)
    assert tall.expanded_uncertainty.m_as("um") == pytest.approx(10)
    assert (tall.lower.m_as("mm"), tall.upper.m_as("mm")) == pytest.approx((0.1, 0.3))
    assert tall.whose == "engine <b>builder</b>" and tall.index == 1 and "cylinder 1" in tall.where
    assert tall.cuts and tall.budget[0]["reading"].startswith("block.deck_height")
    assert 0 < (tight.conformance_probability or 0) < 1
    assert sheet.find("compression_ratio")[0].value > 5
    acceleration = sheet.find("peak_piston_acceleration")[0].value
    assert acceleration.check("[acceleration]")
    assert "FAIL" in repr(tall) and "FAIL" in repr(sheet)
    with pytest.raises(KeyError, match="deck_clearance"):
        sheet.find("deck_clearence")


def test_every_unit_of_every_sheet_is_one_that_pint_knows() -> None:
    for path in sorted(EXAMPLES.glob("*.toml")):
        for finding in swept.read_build(path).sheet().findings:
            assert finding.value is not None
            _ = finding.expanded_uncertainty, finding.lower, finding.upper


def test_tables_carry_units_in_their_names(sheet: swept.Sheet) -> None:
    one = sheet.table("deck_clearance")
    assert one["deck_clearance_mm"] == pytest.approx([1.0, 0.302], abs=1e-9)
    assert list(one["verdict"]) == ["fail", "cannot_tell"] and one.rows == 2
    every = sheet.table()
    assert {"swept_volume_cm3", "mean_piston_speed_m_per_s", "compression_ratio"} <= set(every)
    row = list(every["where"]).index("engine")
    assert every["displacement_cm3"][row] > 0 and math.isnan(every["swept_volume_cm3"][row])


def test_data_frames_agree(sheet: swept.Sheet) -> None:
    polars = pytest.importorskip("polars")
    pyarrow = pytest.importorskip("pyarrow")
    pytest.importorskip("pandas")
    frame = sheet.to_polars()
    assert frame["displacement_cm3"].null_count() == frame.height - 1
    assert frame["where"].dtype == polars.String
    assert sheet.to_arrow().column("displacement_cm3").null_count == frame.height - 1
    assert sheet.to_pandas()["displacement_cm3"].notna().sum() == 1
    taken = pyarrow.table(sheet.table("deck_clearance"))
    assert taken.column("deck_clearance_mm").to_pylist() == pytest.approx([1.0, 0.302], abs=1e-9)


def test_notebook_views_are_escaped(sheet: swept.Sheet) -> None:
    for html in (sheet._repr_html_(), sheet.table()._repr_html_()):
        assert "<table>" in html and "<script" not in html


def test_plots_draw_what_the_sheet_says(sheet: swept.Sheet, cylinder: swept.Cylinder) -> None:
    motion = plots.piston_motion(cylinder, "6000 rpm")
    assert [ax.get_ylabel() for ax in motion.axes] == ["position, mm", "velocity, m/s", "acceleration, m/s2"]
    volume = plots.clearance_volume(sheet)
    widths = [bar.get_width() for bar in volume.axes[0].patches]
    assert sum(widths) == pytest.approx(
        sheet.data["findings"] and sheet.find("clearance_volume")[0].value.m_as("cm**3")
    )
    wall = plots.walls(sheet, 2)
    labels = [line.get_label() for line in wall.axes[0].lines]
    assert labels == ["as read", "at the finish bore", "least allowed, 4.000 mm"]
    deck = plots.clearances(sheet, "deck")
    assert [ax.get_title() for ax in deck.axes if ax.get_visible()] == ["deck clearance", "piston-to-head distance"]
    for plot in (motion, volume, wall, deck):
        ET.fromstring(plot._repr_svg_())


def test_plots_say_what_there_is(sheet: swept.Sheet) -> None:
    with pytest.raises(ValueError, match="has those of: 2"):
        plots.walls(sheet, 1)
    with pytest.raises(ValueError, match="deck"):
        plots.clearances(sheet, "gearbox")
    bare = swept.parse_build(
        "schema = 1\nengine.cylinders = 1\nblock.bore = '86 mm'\ncrank.stroke = '86 mm'\nrods.length = '143 mm'"
    )
    with pytest.raises(ValueError, match="too little"):
        plots.clearance_volume(bare.sheet())


class Page(HTMLParser):
    """What a page holds: ids, what it refers to, tags and text."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.ids: list[str] = []
        self.tags: set[str] = set()
        self.sources: list[str] = []
        self.text = ""
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        for name, value in attrs:
            if name == "id":
                self.ids.append(value or "")
            if name in ("src", "href", "xlink:href", "srcset", "data"):
                self.sources.append(value or "")

    def handle_data(self, data: str) -> None:
        self.text += data


def test_the_page_needs_nothing_beside_itself(sheet: swept.Sheet) -> None:
    html = report.html(sheet)
    page = Page(html)
    assert len(page.ids) == len(set(page.ids)) > 0
    assert all(source.startswith("#") and source[1:] in page.ids for source in page.sources)
    assert set(re.findall(r"url\(#?([^)]*)\)", html)) <= set(page.ids)
    assert not page.tags & {"script", "link", "img", "iframe", "b-script"} and "@import" not in html
    assert page.tags >= {"svg", "table"} and "@page" in html
    assert report.html(sheet) == html


def test_the_page_escapes_what_the_document_says(sheet: swept.Sheet) -> None:
    html = report.html(sheet)
    assert "&lt;script&gt;" in html and "engine &lt;b&gt;builder&lt;/b&gt;" in html
    assert "\x1b" not in html


def test_the_page_tells_the_verdict_in_words_and_what_to_do(sheet: swept.Sheet) -> None:
    text = Page(report.html(sheet)).text
    assert "NOT IN LIMITS: 1 fail, 1 cannot be told." in text
    first, rest = text.split("Layout", 1)
    assert "FAIL: deck clearance, cylinder 1" in re.sub(r"\s+", " ", first)
    assert sheet.find("deck_clearance")[0].cuts[0]["hazard"] in first
    assert "CANNOT TELL" in first and "Measure better first" in first
    for caution in sheet.data["cautions"]:
        assert caution in rest
    assert "checked by" in rest


def test_a_page_without_limits_judges_nothing() -> None:
    text = "schema = 1\nengine.cylinders = 1\nblock.bore = '86 mm'\ncrank.stroke = '86 mm'\nrods.length = '143 mm'"
    page = Page(report.html(swept.parse_build(text).sheet()))
    assert "nothing is judged" in page.text and "Attend to these" not in page.text and "untitled" in page.text


def test_every_example_makes_a_page() -> None:
    paths = sorted(Path(EXAMPLES).glob("*.toml"))
    assert paths
    for path in paths:
        page = Page(report.html(swept.read_build(path).sheet()))
        assert len(page.ids) == len(set(page.ids))


def test_percentages_never_round_to_certainty() -> None:
    assert [report.percent(p) for p in (None, 0.0, 0.001, 0.61, 0.999, 1.0)] == [
        "", "0 %", "< 1 %", "61 %", "> 99 %", "100 %",
    ]  # fmt: skip
