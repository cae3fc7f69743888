"""The command line: exit codes, whole files, one clear error."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from conftest import DOCUMENT

import swept
from swept import cli, report

GOOD = "schema = 1\nengine.cylinders = 1\nblock.bore = '86 mm'\ncrank.stroke = '86 mm'\nrods.length = '143 mm'\n"


@pytest.fixture
def build(tmp_path: Path) -> Path:
    path = tmp_path / "build.toml"
    path.write_text(DOCUMENT)
    return path


def test_sheet_writes_both_files_and_says_that_something_fails(
    build: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "a" / "b"
    assert cli.main(["sheet", str(build), "--out", str(out)]) == 1
    assert sorted(p.name for p in out.iterdir()) == ["sheet.html", "sheet.json"]
    saved = swept.Sheet.from_json((out / "sheet.json").read_text())
    assert (out / "sheet.html").read_text() == report.html(saved)
    shown = capsys.readouterr().out
    assert "FAIL" in shown and "CANNOT TELL" in shown and "deck clearance" in shown and "\x1b[31m" not in shown


def test_check_validates_and_does_no_more(build: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["check", str(build)]) == 0
    assert capsys.readouterr().out == f"{build}: a valid build document\n"
    assert list(tmp_path.iterdir()) == [build]
    build.write_text(GOOD.replace("'86 mm'", "'86 kg'"))
    assert cli.main(["check", str(build)]) == 2


def test_all_limits_met_is_zero_and_cautions_are_printed(
    build: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    build.write_text(GOOD + "limits.rod_ratio = { lower = '1.5' }\n")
    assert cli.main(["sheet", str(build), "--out", str(tmp_path / "out")]) == 0
    assert "parts maker" in capsys.readouterr().out


def test_a_bad_document_is_one_line_with_file_line_field_value_and_allowed(
    build: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    build.write_text(GOOD.replace("block.bore = '86 mm'", "block.bore = '-86 mm'"))
    out = tmp_path / "out"
    assert cli.main(["sheet", str(build), "--out", str(out)]) == 2
    shown = capsys.readouterr()
    assert shown.out == "" and not out.exists()
    (line,) = shown.err.splitlines()
    assert line.startswith(f"swept: {build}:3: block.bore") and "-86 mm" in line and "above zero" in line


def test_what_cannot_be_read_or_written_is_two(build: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["check", str(tmp_path / "none.toml")]) == 2
    assert "No such file" in capsys.readouterr().err
    assert cli.main(["sheet", str(build), "--out", str(build)]) == 2
    assert str(build) in capsys.readouterr().err
    with pytest.raises(SystemExit) as usage:
        cli.main(["sheet", str(build)])
    assert usage.value.code == 2


def test_a_failed_write_leaves_the_old_files_and_no_rest(
    build: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    out = tmp_path / "out"
    cli.main(["sheet", str(build), "--out", str(out)])
    before = {p.name: p.read_bytes() for p in out.iterdir()}
    written = Path.write_text

    def full(self: Path, text: str, encoding: str | None = None) -> int:
        written(self, text[:100], encoding=encoding)
        raise OSError(28, "No space left on device", str(self))

    monkeypatch.setattr(Path, "write_text", full)
    assert cli.main(["sheet", str(build), "--out", str(out)]) == 2
    assert {p.name: p.read_bytes() for p in out.iterdir()} == before


def test_a_reader_that_leaves_gets_no_traceback(build: Path) -> None:
    command = [sys.executable, "-m", "swept.cli", "sheet", str(build), "--out", str(build.parent / "out")]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as process:
        assert process.stdout and process.stderr
        process.stdout.close()
        err = process.stderr.read()
    assert b"Traceback" not in err


def test_heavy_packages_wait_for_their_first_use() -> None:
    code = (
        "import sys, swept; print([m for m in ('pint', 'numpy', 'matplotlib', 'jinja2', 'rich') if m in sys.modules])"
    )
    out = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout
    assert out.strip() == "[]"
