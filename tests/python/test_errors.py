"""One class for every kind of error that the core knows, with its facts."""

from __future__ import annotations

import pickle
from pathlib import Path

import pytest

import swept
from swept import _swept, documents, errors


def test_every_kind_of_the_core_has_its_class() -> None:
    names = [name for name, _ in _swept.ERROR_KINDS]
    assert len(names) >= 11
    for name in names:
        kind = getattr(errors, name)
        assert issubclass(kind, errors.SweptError) and issubclass(kind, (ValueError, TypeError, RuntimeError)), name
        assert kind.__doc__, name


def test_every_class_is_a_kind_of_the_core_or_of_the_file_system() -> None:
    own = {n for n, c in vars(errors).items() if isinstance(c, type) and issubclass(c, errors.SweptError)}
    assert own - {name for name, _ in _swept.ERROR_KINDS} == {"SweptError", "FileUnreadable"}


def test_codes_are_positive_and_distinct() -> None:
    codes = [code for _, code in _swept.ERROR_KINDS]
    assert codes == sorted(set(codes)) and codes[0] == 1


def test_an_error_names_field_value_and_what_is_allowed() -> None:
    with pytest.raises(errors.OutOfRange) as caught:
        swept.Cylinder(bore="-86 mm", stroke="86 mm", rod_length="143 mm")
    error = caught.value
    assert isinstance(error, ValueError)
    assert (error.field, error.value, error.allowed) == ("bore", "-86 mm", "above zero")
    back = pickle.loads(pickle.dumps(error))
    assert type(back) is errors.OutOfRange and str(back) == str(error) and back.__dict__ == error.__dict__


HEAD = "schema = 1\nengine.cylinders = 1\ncrank.stroke = '86 mm'\nrods.length = '143 mm'\n"


@pytest.mark.parametrize(
    ("text", "kind", "line"),
    [
        (HEAD + "block.bore = '-86 mm'\n", errors.OutOfRange, 5),
        (HEAD + "block.bore = '86 kg'\n", errors.WrongDimension, 5),
        (HEAD + "block.bore = '86'\n", errors.MissingUnit, 5),
        (HEAD + "block.bore = '86 mn'\n", errors.UnknownUnit, 5),
        (HEAD + "block.bore = 'wide'\n", errors.Unreadable, 5),
        (HEAD + "block.bore = ['86 mm', '86 mm']\n", errors.WrongLength, 5),
        (HEAD + "block.boar = '86 mm'\n", errors.UnknownKey, 5),
        (HEAD + "block.bore = \n", errors.Syntax, 5),
        (HEAD, errors.MissingKey, None),
    ],
)
def test_a_bad_document_is_told_by_file_and_line(
    tmp_path: Path, text: str, kind: type[errors.SweptError], line: int | None
) -> None:
    path = tmp_path / "build.toml"
    path.write_text(text)
    with pytest.raises(kind) as caught:
        swept.read_build(path)
    assert caught.value.path == str(path)
    assert line is None or caught.value.line == line


def test_files_that_are_no_documents(tmp_path: Path) -> None:
    with pytest.raises(errors.FileUnreadable, match="No such file") as caught:
        swept.read_build(tmp_path / "none.toml")
    assert isinstance(caught.value, OSError)
    with pytest.raises(errors.FileUnreadable):
        swept.read_build(tmp_path)
    latin = tmp_path / "latin.toml"
    latin.write_bytes(b"schema = 1\ntitle = 'caf\xe9'\n")
    with pytest.raises(errors.Syntax, match="UTF-8") as placed:
        swept.read_build(latin)
    assert placed.value.line == 2
    with pytest.raises(errors.Syntax):
        swept.parse_build("title = '\ud800'")


def test_a_document_of_the_greatest_size_is_read_and_one_byte_more_is_not(tmp_path: Path) -> None:
    text = HEAD + "block.bore = '86 mm'\n#"
    full = text + "x" * (documents.MOST_BYTES - len(text))
    path = tmp_path / "long.toml"
    path.write_text(full)
    assert swept.read_build(path).sheet().findings
    path.write_text(full + "x")
    with pytest.raises(errors.OutOfRange, match="bytes"):
        swept.read_build(path)
    with pytest.raises(errors.OutOfRange, match="bytes"):
        swept.parse_build(full + "x")


def test_a_byte_order_mark_does_no_harm(tmp_path: Path) -> None:
    path = tmp_path / "bom.toml"
    path.write_bytes(b"\xef\xbb\xbf" + (HEAD + "block.bore = '86 mm'\n").encode())
    assert swept.read_build(path).sheet().findings
