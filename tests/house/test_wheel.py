"""What a user installs is what the folders hold."""

import shutil
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

from tests.house.source import ROOMS, ROOT, package_dir, tracked_files


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> zipfile.ZipFile:
    """Build the wheel from a copy, so that an old `build/lib` can't slip into it."""
    source = tmp_path_factory.mktemp("source")
    for path in tracked_files():
        if path.parts[0] in {*ROOMS, "pyproject.toml", "README.md", "LICENSE"}:
            (source / path).parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(ROOT / path, source / path)
    out = tmp_path_factory.mktemp("wheel")
    command = [sys.executable, "-m", "pip", "wheel", "--no-deps", "--no-build-isolation"]
    done = subprocess.run(
        [*command, "--quiet", "--wheel-dir", out, source],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    (built,) = out.glob("treenail-*.whl")
    return zipfile.ZipFile(built)


def test_the_wheel_holds_every_file_of_the_rooms_and_no_other(wheel: zipfile.ZipFile) -> None:
    package = {folder: Path(*name.split(".")) for name, folder in package_dir().items()}
    expected = {
        (package[path.parts[0]] / Path(*path.parts[1:])).as_posix()
        for path in tracked_files()
        if path.parts[0] in package
    }
    packed = {name for name in wheel.namelist() if ".dist-info/" not in name}
    assert packed == expected


def test_the_wheel_is_typed_and_has_the_command(wheel: zipfile.ZipFile) -> None:
    assert "treenail/py.typed" in wheel.namelist()
    (entry_points,) = (n for n in wheel.namelist() if n.endswith("entry_points.txt"))
    assert "treenail = treenail.cli:main" in wheel.read(entry_points).decode()


def test_every_folder_of_a_room_with_modules_is_a_package() -> None:
    folders = {path.parent for path in tracked_files() if path.suffix == ".py"}
    bare = [
        str(folder)
        for folder in sorted(folders)
        if folder.parts
        and folder.parts[0] in ROOMS
        and not (ROOT / folder / "__init__.py").is_file()
    ]
    assert bare == []
