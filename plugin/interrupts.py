"""Ctrl-C, taken when it does no harm."""

from __future__ import annotations

import _thread
import signal
import threading
from types import FrameType

#: Seconds after which a Ctrl-C that came during an import is tried again.
_AGAIN = 0.02


def _importing(frame: FrameType | None) -> bool:
    while frame is not None:
        if frame.f_code.co_filename.startswith("<frozen importlib"):
            return True
        frame = frame.f_back
    return False


class Interrupt:
    """A handler of SIGINT that raises KeyboardInterrupt, but never inside an import.

    The start-up code of compiled modules (the geometry kernel's, above all) can't stand an
    exception: it ends the process with a segmentation fault. A Ctrl-C that comes there is
    tried again until the import is through, a second or two at most.
    """

    def __init__(self) -> None:
        #: Whether one came: a library may have turned the exception into another.
        self.came = False

    def __call__(self, _number: int, frame: FrameType | None) -> None:
        """Take the signal, or try again a little later."""
        self.came = True
        if not _importing(frame):
            raise KeyboardInterrupt
        later = threading.Timer(_AGAIN, _thread.interrupt_main, (signal.SIGINT,))
        later.daemon = True
        later.start()
