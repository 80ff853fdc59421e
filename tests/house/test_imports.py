"""Who may import what: one identity for each module, no upward import, no kernel too early."""

import subprocess
import sys
from pathlib import Path

import pytest

from tests.house.source import (
    LEVEL,
    ROOMS,
    ROOT,
    Import,
    imports,
    imports_of,
    python_files,
    room_files,
)

KERNEL = {"cadquery", "OCP", "vtkmodules", "vtk"}
# Each costs from 0.1 to 2 s to import; the quick commands (`--help`, numbers-only checks) must not
# pay for them.
SLOW = KERNEL | {"scipy", "numpy", "pint", "ezdxf", "matplotlib"}
# The rooms whose modules describe and never build, and the one place where solids are made:
# kernel.py shapes stock and tools, solids.py puts them together.
NUMBERS_ONLY = {"timber", "joints", "generators"}
SOLIDS = {Path("generators/kernel.py"), Path("generators/solids.py")}


def top(target: str) -> str:
    return target.partition(".")[0]


def second_identities(found: tuple[Import, ...] | list[Import]) -> list[str]:
    return [f"line {i.line}: {i.target}" for i in found if top(i.target) in LEVEL]


def room_of(target: str) -> str | None:
    """Return the room that an import reaches into, if it is one of ours."""
    parts = target.split(".")
    if parts[0] != "treenail":
        return None
    return parts[1] if len(parts) > 1 and parts[1] in LEVEL else "plugin"


def test_the_rooms_are_those_of_the_packaging() -> None:
    from tests.house.source import package_dir

    expected = {f"treenail.{room}": room for room in ROOMS if room != "plugin"}
    assert package_dir() == expected | {"treenail": "plugin"}


@pytest.mark.parametrize(
    "text",
    [
        "import joints",
        "import joints.pegs as p",
        "from timber import lengths",
        "def f():\n    from plugin.cli import main",
        "import importlib\nimportlib.import_module('shop.cutlist')",
    ],
)
def test_a_second_identity_is_seen(text: str) -> None:
    assert second_identities(imports_of(text))


def test_relative_imports_are_resolved() -> None:
    found = imports_of("from ..timber import member\nfrom . import pegs", "treenail.joints")
    assert [i.target for i in found] == ["treenail.timber.member", "treenail.joints.pegs"]


def test_no_module_has_a_second_identity() -> None:
    found = {str(path): second_identities(imports(path)) for path in python_files()}
    assert {path: lines for path, lines in found.items() if lines} == {}, (
        "write `treenail.<room>`, not `<room>`"
    )


def test_no_room_imports_upward() -> None:
    upward = [
        f"{path}:{i.line}: {i.target}"
        for path in room_files()
        for i in imports(path)
        if (room := room_of(i.target)) is not None and LEVEL[room] > LEVEL[path.parts[0]]
    ]
    assert upward == []


def test_the_kernel_stays_where_solids_are_made() -> None:
    found = [
        f"{path}:{i.line}: {i.target}"
        for path in room_files()
        if path not in SOLIDS and path.parts[0] in NUMBERS_ONLY
        for i in imports(path)
        if top(i.target) in KERNEL and not i.typing_only
    ]
    assert found == [], "a bench is numbers only but where its solids are made"


def test_no_module_loads_the_kernel_as_it_is_imported() -> None:
    found = [
        f"{path}:{i.line}: {i.target}"
        for path in room_files()
        if path not in SOLIDS
        for i in imports(path)
        if top(i.target) in KERNEL and not i.typing_only and not i.lazy
    ]
    assert found == [], "import the kernel inside the function that needs it"


@pytest.mark.parametrize("module", ["treenail", "treenail.cli"])
def test_import_is_quick(module: str) -> None:
    code = f"import sys, {module}; print(*sorted({SLOW!r} & set(sys.modules)))"
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=False, cwd=ROOT.parent
    )
    assert done.returncode == 0, done.stderr
    assert done.stdout.split() == []
