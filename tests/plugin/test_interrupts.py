"""Ctrl-C is taken at once, but for an import: there it waits for the end of it."""

from __future__ import annotations

import importlib
import os
import signal
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from treenail.interrupts import Interrupt


@pytest.fixture
def interrupt() -> Iterator[Interrupt]:
    handler = Interrupt()
    before = signal.signal(signal.SIGINT, handler)
    yield handler
    signal.signal(signal.SIGINT, before)


def test_it_stops_at_once(interrupt: Interrupt) -> None:
    with pytest.raises(KeyboardInterrupt):
        os.kill(os.getpid(), signal.SIGINT)
    assert interrupt.came


def test_an_import_is_finished_first(
    interrupt: Interrupt, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # Compiled modules crash on an exception in their start-up code: the Ctrl-C of a CI run
    # that came while the geometry kernel was being loaded ended in a segmentation fault.
    name = "interrupted_while_loading"
    (tmp_path / f"{name}.py").write_text(
        "import os, signal, time\n"
        "os.kill(os.getpid(), signal.SIGINT)\n"
        "time.sleep(0.1)  # long enough for a second try, which must wait too\n"
        "through = True\n"
    )
    monkeypatch.syspath_prepend(tmp_path)
    with pytest.raises(KeyboardInterrupt):
        _load_and_wait(name)
    assert interrupt.came
    assert sys.modules.pop(name).through


def _load_and_wait(name: str) -> None:
    module = importlib.import_module(name)
    assert module.through
    for _ in range(500):
        time.sleep(0.01)
