"""The scripts that prepare a machine and the type checkers' view of the package."""

from pathlib import Path

import pytest

from scripts import system_needs, typetree
from tests.house.source import ROOT, module_name, room_files

MAPPING = """
[tool.setuptools.package-dir]
"bench" = "face"
"bench.wood" = "wood"
"""


def small_project(root: Path) -> Path:
    (root / "pyproject.toml").write_text(MAPPING)
    for name in ("face/__init__.py", "face/py.typed", "wood/__init__.py", "wood/deep/oak.py"):
        (root / name).parent.mkdir(parents=True, exist_ok=True)
        (root / name).write_text(f"# {name}\n")
    (root / "wood" / "oak.yaml").write_text("density: 700\n")
    return root / "build" / "types"


def contents(tree: Path) -> dict[str, str]:
    return {p.relative_to(tree).as_posix(): p.read_text() for p in tree.rglob("*") if p.is_file()}


def test_the_tree_has_the_installed_layout(tmp_path: Path) -> None:
    tree = small_project(tmp_path)
    assert typetree.build(tmp_path, tree) == 4
    assert contents(tree) == {
        "bench/__init__.py": "# face/__init__.py\n",
        "bench/py.typed": "# face/py.typed\n",
        "bench/wood/__init__.py": "# wood/__init__.py\n",
        "bench/wood/deep/oak.py": "# wood/deep/oak.py\n",
    }
    assert not (tree / "bench" / "wood").is_symlink()


def test_the_tree_follows_what_moves(tmp_path: Path) -> None:
    tree = small_project(tmp_path)
    typetree.build(tmp_path, tree)
    (tmp_path / "wood" / "deep" / "oak.py").rename(tmp_path / "wood" / "ash.py")
    (tmp_path / "wood" / "deep").rmdir()
    # A checkout without links leaves a plain file where a link belongs.
    (tree / "bench" / "py.typed").unlink()
    (tree / "bench" / "py.typed").write_text("old\n")
    assert typetree.build(tmp_path, tree) == 4
    assert contents(tree)["bench/wood/ash.py"] == "# wood/deep/oak.py\n"
    assert contents(tree)["bench/py.typed"] == "# face/py.typed\n"
    assert not (tree / "bench" / "wood" / "deep").exists()


def test_the_tree_of_this_project_is_complete() -> None:
    links = {path.as_posix() for path in typetree.wanted_links(ROOT)}
    for path in room_files():
        stem = module_name(path).replace(".", "/")
        assert links & {f"{stem}.py", f"{stem}/__init__.py"}, path


def test_a_missing_library_is_named_by_its_package(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(system_needs, "LIBRARIES", {"libnosuchthing.so.9": "libnosuchthing9"})
    monkeypatch.setattr("sys.platform", "linux")
    assert system_needs.main([]) == 1
    assert "apt-get install libnosuchthing9\n" in capsys.readouterr().err
    assert system_needs.main(["--packages"]) == 0
    assert capsys.readouterr().out == "libnosuchthing9\n"


def test_this_machine_has_what_is_needed(capsys: pytest.CaptureFixture[str]) -> None:
    assert system_needs.main([]) == 0
    assert capsys.readouterr() == ("", "")
