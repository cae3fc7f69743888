"""Every notebook runs from top to bottom, and its last cell shows the sheet as HTML."""

from __future__ import annotations

from pathlib import Path

import nbformat
import pytest
from nbclient import NotebookClient

NOTEBOOKS = sorted((Path(__file__).parents[2] / "python" / "notebooks").glob("*.ipynb"))


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda p: p.stem)
def test_notebook_runs(path: Path) -> None:
    notebook = nbformat.read(path, as_version=4)
    client = NotebookClient(notebook, timeout=120, kernel_name="python3", resources={"metadata": {"path": path.parent}})
    client.execute()
    shown = notebook.cells[-1].outputs[-1].data
    assert "rod bearing clearance" in shown["text/html"]


def test_there_is_a_notebook() -> None:
    assert NOTEBOOKS
