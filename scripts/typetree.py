"""Lay out `build/types/treenail/...` so that type checkers see the package as it is installed.

The rooms are top-level folders, and `pyproject.toml` maps them into one package. An editable
install does that with an import hook, which mypy and pyright can't follow. This tree has real
folders and, in them, a symbolic link for each source file; put it on `mypy_path`.
"""

import os
import sys
import tomllib
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
SUFFIXES = {".py", ".pyi", ".typed"}


def wanted_links(root: Path) -> dict[Path, Path]:
    """Map each link, relative to the tree, to the source file that it stands for."""
    with (root / "pyproject.toml").open("rb") as file:
        rooms = tomllib.load(file)["tool"]["setuptools"]["package-dir"]
    links = {}
    for package, folder in rooms.items():
        base = root / folder
        for source in sorted(base.rglob("*")):
            if source.suffix in SUFFIXES and "__pycache__" not in source.parts:
                links[Path(*package.split(".")) / source.relative_to(base)] = source
    return links


def build(root: Path, tree: Path) -> int:
    """Bring the tree up to date and return how many links it holds.

    Links that are already right are left alone, so that a checker's cache stays good.
    """
    links = {tree / path: source for path, source in wanted_links(root).items()}
    if tree.exists():
        for old in tree.rglob("*"):
            if (old.is_symlink() or old.is_file()) and old not in links:
                old.unlink()
        for folder in sorted((p for p in tree.rglob("*") if p.is_dir()), reverse=True):
            if not any(folder.iterdir()):
                folder.rmdir()
    for link, source in links.items():
        target = os.path.relpath(source, link.parent)
        if link.is_symlink() and str(link.readlink()) == target:
            continue
        link.unlink(missing_ok=True)
        link.parent.mkdir(parents=True, exist_ok=True)
        link.symlink_to(target)
    return len(links)


if __name__ == "__main__":
    if not build(ROOT, ROOT / "build" / "types"):
        sys.exit("no source files found: is pyproject.toml's package-dir right?")
