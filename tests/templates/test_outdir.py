"""A folder written whole or not at all."""

import errno
import json
import os
import signal
import tempfile
from pathlib import Path

import pytest

from treenail.templates.outdir import REPORT, check_folder, write_file, write_folder
from treenail.timber.errors import OutputError


def listing(paths: list[str]) -> bytes:
    return json.dumps({"files": [{"path": n} for n in paths]}).encode()


def names(folder: Path) -> list[str]:
    return sorted(p.name for p in folder.iterdir())


def tree(folder: Path) -> dict[str, bytes]:
    return {
        p.relative_to(folder).as_posix(): p.read_bytes() for p in folder.rglob("*") if p.is_file()
    }


FIRST = {"a.txt": b"1", "parts/b.txt": b"2", REPORT: listing(["a.txt", "parts/b.txt"])}
SECOND = {"a.txt": b"3", "c/d.txt": b"4", REPORT: listing(["a.txt", "c/d.txt"])}


def test_a_new_folder_and_its_parents_are_made(tmp_path: Path) -> None:
    write_folder(tmp_path / "x" / "y", FIRST)
    assert tree(tmp_path / "x" / "y") == FIRST
    assert names(tmp_path) == ["x"]
    assert names(tmp_path / "x") == ["y"]


def test_an_earlier_run_is_replaced_and_foreign_files_stay(tmp_path: Path) -> None:
    out = tmp_path / "out"
    write_folder(out, FIRST)
    (out / "notes.txt").write_bytes(b"mine")
    (out / "parts" / "mine.txt").write_bytes(b"mine too")
    write_folder(out, SECOND)
    assert tree(out) == {**SECOND, "notes.txt": b"mine", "parts/mine.txt": b"mine too"}
    assert names(tmp_path) == ["out"]


def test_a_foreign_file_in_the_way_stops_everything(tmp_path: Path) -> None:
    out = tmp_path / "out"
    out.mkdir()
    (out / "a.txt").write_bytes(b"mine")
    with pytest.raises(OutputError, match=r"a\.txt is there and was not written by an earlier"):
        write_folder(out, FIRST)
    assert tree(out) == {"a.txt": b"mine"}
    assert names(tmp_path) == ["out"]


def test_a_report_that_lists_paths_outside_is_not_trusted(tmp_path: Path) -> None:
    out = tmp_path / "out"
    write_folder(out, {REPORT: listing(["../victim.txt", "/etc/passwd"])})
    (tmp_path / "victim.txt").write_bytes(b"here")
    write_folder(out, SECOND)
    assert (tmp_path / "victim.txt").read_bytes() == b"here"


@pytest.mark.parametrize("step", ["mkdtemp", "fsync", "rename"])
def test_a_full_disk_leaves_all_as_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, step: str
) -> None:
    out = tmp_path / "deep" / "out"
    write_folder(out, FIRST)

    def full(*_: object, **__: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    target = {
        "mkdtemp": (tempfile, "mkdtemp"),
        "fsync": (os, "fsync"),
        "rename": (Path, "rename"),
    }[step]
    monkeypatch.setattr(*target, full)
    with pytest.raises(OutputError, match="the disk is full; nothing was changed"):
        write_folder(out, SECOND)
    monkeypatch.undo()
    assert tree(out) == FIRST
    assert names(tmp_path / "deep") == ["out"]


def test_failure_unmakes_the_parents_it_made(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def stopped(_: int) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "fsync", stopped)
    with pytest.raises(KeyboardInterrupt):
        write_folder(tmp_path / "x" / "y" / "z", FIRST)
    assert names(tmp_path) == []


def test_ctrl_c_in_the_swap_waits_until_it_is_done(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    out = tmp_path / "out"
    write_folder(out, FIRST)
    real = Path.rename

    def interrupted(self: Path, target: Path) -> Path:
        os.kill(os.getpid(), signal.SIGINT)
        return real(self, target)

    monkeypatch.setattr(Path, "rename", interrupted)
    with pytest.raises(KeyboardInterrupt):
        write_folder(out, SECOND)
    monkeypatch.undo()
    assert tree(out) == SECOND
    assert names(tmp_path) == ["out"]


def test_a_file_where_the_folder_should_be(tmp_path: Path) -> None:
    (tmp_path / "out").write_bytes(b"mine")
    with pytest.raises(OutputError, match="there is a file of that name"):
        write_folder(tmp_path / "out", FIRST)
    with pytest.raises(OutputError):
        write_folder(tmp_path / "out" / "deeper", FIRST)
    assert (tmp_path / "out").read_bytes() == b"mine"


def test_a_bad_folder_is_refused_before_the_work(tmp_path: Path) -> None:
    (tmp_path / "file").write_bytes(b"mine")
    for bad in (tmp_path / "file", tmp_path / "file" / "deeper" / "out"):
        with pytest.raises(OutputError, match=r"nothing was changed|file of that name"):
            check_folder(bad)
    check_folder(tmp_path / "not" / "yet" / "there")
    check_folder(tmp_path)
    assert names(tmp_path) == ["file"]


def test_a_link_to_a_folder_stays_a_link(tmp_path: Path) -> None:
    (tmp_path / "real").mkdir()
    (tmp_path / "link").symlink_to("real")
    write_folder(tmp_path / "link", FIRST)
    assert (tmp_path / "link").is_symlink()
    assert tree(tmp_path / "real") == FIRST


def test_one_file_is_not_overwritten_unasked(tmp_path: Path) -> None:
    path = tmp_path / "spec.yaml"
    write_file(path, b"one")
    with pytest.raises(OutputError, match="is there already"):
        write_file(path, b"two")
    assert path.read_bytes() == b"one"
    write_file(path, b"two", replace=True)
    assert path.read_bytes() == b"two"
    assert names(tmp_path) == ["spec.yaml"]
    with pytest.raises(OutputError):
        write_file(tmp_path / "no" / "spec.yaml", b"x")
