"""The project's own files, and what each Python file imports, for the tests in this folder."""

import ast
import subprocess
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]

# Lowest first: a room imports from itself and from the rooms before it.
ROOMS = ("timber", "joints", "generators", "checks", "shop", "templates", "plugin")
LEVEL = {room: level for level, room in enumerate(ROOMS)}


@cache
def package_dir() -> dict[str, str]:
    with (ROOT / "pyproject.toml").open("rb") as file:
        mapping: dict[str, str] = tomllib.load(file)["tool"]["setuptools"]["package-dir"]
    return mapping


@cache
def python_files() -> tuple[Path, ...]:
    return tuple(path for path in tracked_files() if path.suffix == ".py")


@cache
def room_files() -> tuple[Path, ...]:
    return tuple(path for path in python_files() if path.parts[0] in LEVEL)


def tracked_files() -> list[Path]:
    """Return what git tracks or would track, so that a new file is read before its commit."""
    listing = subprocess.run(
        ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"],
        cwd=ROOT,
        check=True,
        capture_output=True,
        text=True,
    ).stdout
    paths = [Path(name) for name in listing.split("\0") if name]
    return sorted(path for path in paths if (ROOT / path).is_file())


def module_name(path: Path) -> str:
    """Return the import name of a file in a room: `joints/pegs.py` is `treenail.joints.pegs`."""
    package = {folder: name for name, folder in package_dir().items()}[path.parts[0]]
    inner = [part for part in path.with_suffix("").parts[1:] if part != "__init__"]
    return ".".join([package, *inner])


@dataclass(frozen=True, slots=True)
class Import:
    """One name that a file imports: `target` is absolute, `lazy` inside a function."""

    target: str
    line: int
    lazy: bool
    typing_only: bool


def _is_type_checking(node: ast.expr) -> bool:
    return ast.unparse(node) in {"TYPE_CHECKING", "typing.TYPE_CHECKING"}


def _targets(node: ast.AST, package: str) -> list[str]:
    if isinstance(node, ast.Import):
        return [alias.name for alias in node.names]
    if isinstance(node, ast.ImportFrom):
        base = node.module or ""
        if node.level:
            parents = package.split(".")
            parents = parents[: len(parents) - node.level + 1]
            base = ".".join([*parents, base] if base else parents)
        return [f"{base}.{alias.name}" for alias in node.names]
    if (
        isinstance(node, ast.Call)
        and ast.unparse(node.func) in {"importlib.import_module", "import_module", "__import__"}
        and node.args
        and isinstance(node.args[0], ast.Constant)
    ):
        return [str(node.args[0].value)]
    return []


def _walk(
    node: ast.AST, package: str, *, lazy: bool = False, typing: bool = False
) -> Iterator[Import]:
    for target in _targets(node, package):
        yield Import(target, getattr(node, "lineno", 0), lazy, typing)
    lazy = lazy or isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef, ast.Lambda))
    guarded = isinstance(node, ast.If) and _is_type_checking(node.test)
    for field, value in ast.iter_fields(node):
        children = value if isinstance(value, list) else [value]
        for child in children:
            if isinstance(child, ast.AST):
                yield from _walk(
                    child, package, lazy=lazy, typing=typing or (guarded and field == "body")
                )


def imports_of(text: str, package: str = "") -> list[Import]:
    """Return every import in a file's text; `package` is what a relative import starts from."""
    return list(_walk(ast.parse(text), package))


@cache
def imports(path: Path) -> tuple[Import, ...]:
    package = ""
    if path.parts[0] in LEVEL:
        package = module_name(path)
        if path.name != "__init__.py":
            package = package.rpartition(".")[0]
    return tuple(imports_of((ROOT / path).read_text(encoding="utf-8"), package))
