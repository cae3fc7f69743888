"""The stub of the native module and the module itself are one; the package is typed."""

from __future__ import annotations

import ast
import inspect
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

import swept
from swept import _swept

PACKAGE = Path(swept.__file__).parent
STUB = ast.parse((PACKAGE / "_swept.pyi").read_text())
# What every object has without saying so, and what pickling leaves on a class.
COMMON = set(dir(object)) | {"__module__", "__slotnames__"}


def named(body: list[ast.stmt]) -> dict[str, ast.stmt]:
    found: dict[str, ast.stmt] = {}
    for node in body:
        if isinstance(node, (ast.FunctionDef, ast.ClassDef)):
            found[node.name] = node
        elif isinstance(node, ast.AnnAssign) and isinstance(node.target, ast.Name):
            found[node.target.id] = node
    return {n: node for n, node in found.items() if not n.startswith("_") or n.startswith("__")}


def parameters(node: ast.FunctionDef) -> list[tuple[str, str, bool]]:
    """Name, kind and whether there is a default, of a function of the stub."""
    a = node.args
    positional = [*a.posonlyargs, *a.args]
    defaults = [None] * (len(positional) - len(a.defaults)) + list(a.defaults)
    kinds = ["POSITIONAL_ONLY"] * len(a.posonlyargs) + ["POSITIONAL_OR_KEYWORD"] * len(a.args)
    rows = [(p.arg, k, d is not None) for p, k, d in zip(positional, kinds, defaults, strict=True)]
    rows += [(p.arg, "KEYWORD_ONLY", d is not None) for p, d in zip(a.kwonlyargs, a.kw_defaults, strict=True)]
    return [row for row in rows if row[0] not in ("self", "cls")]


def of_runtime(thing: Any) -> list[tuple[str, str, bool]]:
    signature = inspect.signature(thing)
    rows = [(p.name, p.kind.name, p.default is not p.empty) for p in signature.parameters.values()]
    return [row for row in rows if row[0] not in ("self", "cls", "$self")]


def test_stub_and_module_have_the_same_names() -> None:
    native = {n for n in dir(_swept) if not n.startswith("_")} | {"__version__"}
    assert set(named(STUB.body)) == native


@pytest.mark.parametrize("name", [n for n, node in named(STUB.body).items() if isinstance(node, ast.FunctionDef)])
def test_functions_have_the_same_signature_and_a_docstring(name: str) -> None:
    node = named(STUB.body)[name]
    assert isinstance(node, ast.FunctionDef)
    assert parameters(node) == of_runtime(getattr(_swept, name))
    assert getattr(_swept, name).__doc__


@pytest.mark.parametrize("name", [n for n, node in named(STUB.body).items() if isinstance(node, ast.ClassDef)])
def test_classes_have_the_same_members(name: str) -> None:
    node = named(STUB.body)[name]
    assert isinstance(node, ast.ClassDef)
    native = getattr(_swept, name)
    members = named(node.body)
    public = {n for n in vars(native) if not n.startswith("_")}
    assert {n for n in members if not n.startswith("_")} == public
    own = {n for n in vars(native) if n.startswith("__")} - COMMON
    assert own <= set(members) | {"__new__"}, "special methods that the stub lacks"
    for member in public:
        assert vars(native)[member].__doc__ or getattr(native, member).__doc__, member
        stub = members[member]
        assert isinstance(stub, ast.FunctionDef)
        if "property" in {d.id for d in stub.decorator_list if isinstance(d, ast.Name)}:
            assert inspect.isgetsetdescriptor(vars(native)[member]), member
        else:
            assert parameters(stub) == of_runtime(getattr(native, member)), member


def test_everything_public_is_exported_and_there() -> None:
    for name in swept.__all__:
        assert getattr(swept, name) is not None
    inner = {"ERROR_KINDS", "MOST_BYTES", "NativeBlocks", "NativeBuild", "NativeListed", "NativeStudy", "study_texts"}
    inner |= {"NativeSampling", "write_valve_clearances"}
    functions = {n for n in named(STUB.body) if not n.startswith("_")} - inner
    assert functions <= set(swept.__all__)


def test_the_stub_knows_every_dimension() -> None:
    alias = next(n for n in STUB.body if isinstance(n, ast.AnnAssign) and ast.unparse(n.target) == "_Dimension")
    assert isinstance(alias.value, ast.Subscript)
    with pytest.raises(ValueError, match="known are") as caught:
        swept.quantity("1 m", "none")  # type: ignore[arg-type]
    assert ", ".join(ast.literal_eval(alias.value.slice)) == str(caught.value).partition("known are ")[2]


def test_the_package_is_typed_and_the_types_are_as_asserted(tmp_path: Path) -> None:
    here = Path(__file__).parent
    command = [sys.executable, "-m", "mypy", f"--cache-dir={tmp_path}", "python/swept", str(here / "assert_types.py")]
    done = subprocess.run(command, cwd=here.parents[1], capture_output=True, text=True)
    assert done.returncode == 0, done.stdout + done.stderr
