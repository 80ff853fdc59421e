"""Attaching the methods: in either order of imports, once, and never over a method of others."""

from __future__ import annotations

import importlib.util
import os
import subprocess
import sys
import warnings
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import cadquery as cq
import pytest

from treenail import registration
from treenail.registration import NameTakenError, on_import, register, unregister
from treenail.timber.errors import TreenailError
from treenail.workplane import METHODS


@pytest.fixture
def bare() -> Iterator[Any]:
    """CadQuery's Workplane without our methods; they are back afterwards."""
    unregister()
    yield cq.Workplane
    for name in METHODS:
        if name in vars(cq.Workplane) and vars(cq.Workplane)[name].__module__ != METHODS_HOME:
            delattr(cq.Workplane, name)
    register()


METHODS_HOME = "treenail.workplane"


def run(code: str, before: Path | None = None) -> str:
    """Run code in a fresh interpreter, where warnings are errors, and return what it prints.

    Modules in the folder ``before`` come before all others.
    """
    done = subprocess.run(
        [sys.executable, "-W", "error::RuntimeWarning", "-c", code],
        capture_output=True,
        text=True,
        check=False,
        env=os.environ | ({"PYTHONPATH": str(before)} if before else {}),
    )
    assert done.returncode == 0, done.stderr
    return done.stdout.strip()


# What `import treenail` does: said outright, so that these tests are of the finder alone.
IMPORT = "import treenail.registration; treenail.registration.on_import()"
USE = "print(round(cq.Workplane().box(9, 9, 9).faces('>Z').workplane().pegHole(2).val().Volume()))"
SEEN = "print(hasattr(cq.Workplane, 'pegHole'))"
LEFT = "print(sum(type(f).__name__ == '_WaitingFinder' for f in sys.meta_path))"


@pytest.fixture(scope="module")
def stand_in(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A small package in CadQuery's place, which is loaded at once: the finder sees no other."""
    folder = tmp_path_factory.mktemp("stand-in")
    package = folder / "cadquery"
    (package / "occ_impl").mkdir(parents=True)
    (folder / "OCP.py").touch()
    (package / "__init__.py").write_text("import OCP\nfrom cadquery.cq import Workplane\n")
    (package / "cq.py").write_text("class Workplane: pass\n")
    for name in ("__init__", "shapes"):
        (package / "occ_impl" / f"{name}.py").touch()
    return folder


def test_importing_treenail_after_cadquery_is_too() -> None:
    # In a fresh interpreter nothing but CadQuery has touched the class yet.
    told = run(f"import cadquery as cq\nprint(*dir(cq.Workplane))\nimport treenail\n{USE}")
    names, volume = told.splitlines()
    assert volume == "701"
    assert "hole" in names.split()
    assert not set(METHODS) & set(names.split())


def test_importing_treenail_is_enough() -> None:
    code = f"""
import sys
import treenail
{LEFT}
print('cadquery' in sys.modules)
import cadquery as cq
{USE}
{LEFT}
print(type(cq.__loader__).__name__, type(cq.__spec__.loader).__name__)
import importlib.resources, inspect
print(importlib.resources.files('cadquery').joinpath('cq.py').is_file())
print(bool(inspect.getsource(cq)))
"""
    assert run(code).split() == [
        *("1", "False", "701", "0"),
        *("SourceFileLoader", "SourceFileLoader", "True", "True"),
    ]


def test_the_stand_in_is_what_is_found(stand_in: Path) -> None:
    code = "import cadquery as cq, OCP\nprint(cq.__file__, OCP.__file__)"
    assert run(code, stand_in).split() == [
        str(stand_in / "cadquery" / "__init__.py"),
        str(stand_in / "OCP.py"),
    ]


def test_cadquery_then_treenail(stand_in: Path) -> None:
    code = f"""
import sys
import cadquery as cq
before = sys.meta_path[:]
{IMPORT}
{SEEN}
{LEFT}
print(sys.meta_path == before)
"""
    assert run(code, stand_in).split() == ["True", "0", "True"]


def test_a_submodule_first_is_cadquery_too(stand_in: Path) -> None:
    code = f"{IMPORT}\nfrom cadquery.occ_impl import shapes\nimport cadquery as cq\n{SEEN}"
    assert run(code, stand_in) == "True"


def test_looking_for_cadquery_does_not_load_it(stand_in: Path) -> None:
    code = f"""
import sys, importlib.util
{IMPORT}
spec = importlib.util.find_spec('cadquery')
print(spec.loader.get_filename('cadquery') == spec.origin, 'cadquery' in sys.modules)
{LEFT}
import cadquery as cq
{SEEN}
"""
    assert run(code, stand_in).split() == ["True", "False", "1", "True"]


def test_after_a_cadquery_that_failed_the_next_try_counts(stand_in: Path) -> None:
    code = f"""
import sys
{IMPORT}
sys.modules['OCP'] = None
try:
    import cadquery
except ImportError:
    print('failed')
del sys.modules['OCP']
for name in [n for n in sys.modules if n.startswith('cadquery')]:
    del sys.modules[name]
{LEFT}
import cadquery as cq
{SEEN}
{LEFT}
"""
    assert run(code, stand_in).split() == ["failed", "1", "True", "0"]


def test_a_name_that_is_taken_does_not_stop_cadquery(stand_in: Path) -> None:
    code = f"""
import warnings
{IMPORT}
import treenail.registration as registration
real = registration._attach
def attach(host):
    host.tenon = len
    real(host)
registration._attach = attach
with warnings.catch_warnings(record=True) as caught:
    warnings.simplefilter('always')
    import cadquery as cq
print([str(w.message) for w in caught if 'tenon' in str(w.message)] != [])
print(cq.Workplane.tenon is len, hasattr(cq.Workplane, 'mortise'))
"""
    assert run(code, stand_in).split() == ["True", "True", "False"]


def test_the_finder_goes_when_asked(stand_in: Path) -> None:
    code = f"""
import sys
{IMPORT}
from treenail.registration import on_import, unregister
on_import(); on_import()
{LEFT}
unregister()
{LEFT}
import cadquery as cq
print(hasattr(cq.Workplane, 'tenon'))
"""
    assert run(code, stand_in).split() == ["1", "0", "False"]


def test_register_is_idempotent(bare: Any) -> None:
    before = dict(vars(bare))
    register()
    once = dict(vars(bare))
    register()
    on_import()
    assert dict(vars(bare)) == once
    assert once == before | dict(METHODS)
    unregister()
    assert dict(vars(bare)) == before
    unregister()
    assert dict(vars(bare)) == before


@pytest.mark.parametrize("name", METHODS)
def test_a_method_of_others_is_never_replaced(bare: Any, name: str) -> None:
    def theirs(self: Any) -> Any:
        return self

    setattr(bare, name, theirs)
    with pytest.raises(NameTakenError, match=rf"Workplane\.{name} .*test_registration") as caught:
        register()
    assert isinstance(caught.value, TreenailError)
    assert vars(bare)[name] is theirs
    assert not [n for n in METHODS if n != name and n in vars(bare)]
    with pytest.warns(RuntimeWarning, match=name):
        on_import()
    unregister()
    assert vars(bare)[name] is theirs


def test_an_inherited_method_counts(bare: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    class Derived(bare):  # type: ignore[misc]
        pass

    monkeypatch.setattr(bare, "mortise", len, raising=False)
    with pytest.raises(NameTakenError, match="mortise"):
        registration._attach(Derived)


def test_our_own_methods_from_before_a_reload_are_renewed(bare: Any) -> None:
    def old(self: Any) -> Any:
        return self

    old.__module__ = METHODS_HOME
    bare.mortise = old
    register()
    assert bare.mortise is METHODS["mortise"]


def test_a_plugin_of_the_host_is_used_by_its_subclasses(bare: Any) -> None:
    class Mine(bare):  # type: ignore[misc]
        pass

    register()
    made = Mine().box(20, 20, 20).faces(">Z").workplane().pegHole(5)
    assert type(made) is Mine


def test_the_waiting_finder_looks_at_nothing_else() -> None:
    finder = registration._WaitingFinder()
    assert finder.find_spec("json") is None
    assert finder.find_spec("cadquery.cq") is None
    assert finder.find_spec("cadquery") is None  # it isn't the one that waits
    with warnings.catch_warnings():
        assert importlib.util.find_spec("cadquery") is not None
