"""A folder of files written whole or not at all."""

from __future__ import annotations

import contextlib
import errno
import hashlib
import json
import os
import shutil
import signal
import tempfile
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from treenail.timber.errors import OutputError

#: The file that lists what an earlier run wrote, so that a later one can tidy up after it.
REPORT = "report.json"


def sha256(data: bytes) -> str:
    """Hexadecimal SHA-256."""
    return hashlib.sha256(data).hexdigest()


def _explain(error: OSError, folder: Path) -> OutputError:
    reason = {
        errno.ENOSPC: "the disk is full",
        errno.EDQUOT: "the disk quota is used up",
        errno.EACCES: "permission denied",
        errno.EPERM: "permission denied",
        errno.EROFS: "the file system is read-only",
        errno.ENOTDIR: "a part of the path is a file, not a folder",
        errno.ENAMETOOLONG: "the name is too long",
    }.get(error.errno or 0, error.strerror or str(error))
    return OutputError(f"cannot write to {folder}: {reason}; nothing was changed")


@contextlib.contextmanager
def _undisturbed() -> Iterator[None]:
    """Hold Ctrl-C and SIGTERM back for the moment in which the folder changes hands."""
    came: list[int] = []
    held: dict[signal.Signals, Any] = {}
    for number in (signal.SIGINT, signal.SIGTERM):
        with contextlib.suppress(ValueError):  # not in the main thread
            held[number] = signal.signal(number, lambda n, _frame: came.append(n))
    try:
        yield
    finally:
        for number, handler in held.items():
            signal.signal(number, handler)
    if came:
        raise KeyboardInterrupt


def _written_before(folder: Path) -> set[str]:
    """Files that an earlier run wrote there, by its report; empty if there is none."""
    try:
        data = json.loads((folder / REPORT).read_text(encoding="utf-8"))
        listed = {str(f["path"]) for f in data["files"]}
    except (OSError, ValueError, KeyError, TypeError):
        return set()
    inside = {p for p in listed if not Path(p).is_absolute() and ".." not in Path(p).parts}
    return inside | {REPORT}


def _stage(files: Mapping[str, bytes], folder: Path) -> Path:
    """Write everything into a fresh folder beside ``folder``, flushed to the disk."""
    staged = Path(tempfile.mkdtemp(prefix=f".{folder.name[:40]}-", dir=folder.parent))
    try:
        for name, data in files.items():
            path = staged / name
            path.parent.mkdir(parents=True, exist_ok=True)
            with path.open("xb") as stream:
                stream.write(data)
                stream.flush()
                os.fsync(stream.fileno())
        staged.chmod(0o777 & ~_umask())
    except BaseException:
        shutil.rmtree(staged, ignore_errors=True)
        raise
    return staged


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


def _foreign(folder: Path, ours: set[str]) -> list[Path]:
    """Files in the folder, relative, that no earlier run wrote."""
    found = []
    for root, _, names in os.walk(folder):
        for name in names:
            path = (Path(root) / name).relative_to(folder)
            if path.as_posix() not in ours:
                found.append(path)
    return sorted(found)


def write_folder(folder: Path, files: Mapping[str, bytes]) -> None:
    """Put ``files`` (relative POSIX path: content) into ``folder``, all of them or none.

    The folder is replaced as a whole: what an earlier run wrote and this one doesn't is gone,
    what anybody else put there stays, and on any failure everything is as it was.

    Raises:
        OutputError: the folder can't be written, or a file of somebody else's is in the way.
    """
    folder = Path(os.path.realpath(folder))
    if folder.exists() and not folder.is_dir():
        raise OutputError(f"cannot write to {folder}: there is a file of that name")
    try:
        made = _missing_parents(folder.parent)
        folder.parent.mkdir(parents=True, exist_ok=True)
        try:
            keep = _foreign(folder, _written_before(folder)) if folder.exists() else []
            clash = [p for p in keep if p.as_posix() in files]
            if clash:
                raise OutputError(
                    f"cannot write to {folder}: {clash[0]} is there and was not written by an "
                    "earlier run; nothing was changed (move it, or choose another folder)"
                )
            staged = _stage(files, folder)
            try:
                with _undisturbed():
                    _swap(folder, staged, keep)
            except BaseException:
                shutil.rmtree(staged, ignore_errors=True)
                raise
        except BaseException:
            for parent in made:
                with contextlib.suppress(OSError):
                    parent.rmdir()
            raise
    except OutputError:
        raise
    except OSError as error:
        raise _explain(error, folder) from error


def check_folder(folder: Path) -> None:
    """Refuse a folder that can't be written, before the long work whose result it should hold.

    Raises:
        OutputError: as ``write_folder`` would.
    """
    folder = Path(os.path.realpath(folder))
    if folder.exists() and not folder.is_dir():
        raise OutputError(f"cannot write to {folder}: there is a file of that name")
    there = folder
    try:
        while not there.exists():
            there = there.parent
    except OSError as error:
        raise _explain(error, folder) from error
    if not there.is_dir():
        raise _explain(OSError(errno.ENOTDIR, "not a folder"), folder)
    # The folder itself is replaced as a whole, so its parent must be writable too.
    for place in {there, folder.parent if folder.exists() else there}:
        if not os.access(place, os.W_OK | os.X_OK):
            raise _explain(PermissionError(errno.EACCES, "permission denied"), folder)


def write_file(path: Path, data: bytes, *, replace: bool = False) -> None:
    """Write one file whole or not at all.

    Raises:
        OutputError: it is there already (and ``replace`` was not given), or can't be written.
    """
    try:
        if path.exists() and not replace:
            raise OutputError(f"{path} is there already; nothing was changed")
        handle, name = tempfile.mkstemp(prefix=f".{path.name[:40]}-", dir=path.parent)
        try:
            with os.fdopen(handle, "wb") as stream:
                stream.write(data)
                stream.flush()
                os.fsync(stream.fileno())
            Path(name).chmod(0o666 & ~_umask())
            Path(name).replace(path)
        except BaseException:
            Path(name).unlink(missing_ok=True)
            raise
    except OutputError:
        raise
    except OSError as error:
        raise _explain(error, path) from error


def _missing_parents(parent: Path) -> list[Path]:
    """Folders that will have to be made, deepest first."""
    found = []
    while not parent.exists():
        found.append(parent)
        parent = parent.parent
    return found


def _swap(folder: Path, staged: Path, keep: list[Path]) -> None:
    """Let the staged folder take the place of the old one; back out on any failure."""
    if not folder.exists():
        staged.rename(folder)
        return
    if not os.access(folder, os.W_OK):
        raise PermissionError(errno.EACCES, "permission denied", str(folder))
    for path in keep:
        (staged / path.parent).mkdir(parents=True, exist_ok=True)
        os.link(folder / path, staged / path, follow_symlinks=False)
    staged.chmod(folder.stat().st_mode & 0o7777)
    old = staged.with_name(staged.name + ".old")
    folder.rename(old)
    try:
        staged.rename(folder)
    except BaseException:
        old.rename(folder)
        raise
    shutil.rmtree(old, ignore_errors=True)
