"""What the README shows in Python runs as shown."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]


def test_the_python_of_the_readme_runs(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "examples").symlink_to(ROOT / "examples")
    blocks = re.findall(r"```python\n(.*?)```", (ROOT / "README.md").read_text(encoding="utf-8"), re.DOTALL)
    assert blocks
    for block in blocks:
        exec(compile(block, "README.md", "exec"), {})
    shown = capsys.readouterr().out
    assert "1313.35" in shown  # 746.6 g round, half of 1133.5 g up and down
    assert "intake opens 13.94 deg before TDC" in shown
    assert "left" in shown and "12.000 mm" in shown


def test_every_example_is_named_and_there() -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    named = set(re.findall(r"examples/(\w+)\.toml", text))
    assert named == {path.stem for path in (ROOT / "examples").glob("*.toml")}
