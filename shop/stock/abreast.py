"""Two searches side by side: the second, with other choices, in a process of its own.

The second one starts only when the first has not been done for a while, and counts only where the
time limit stopped the first: a problem that is solved has the same plan on any machine.
"""

from __future__ import annotations

import os
import pickle  # only what this program's own two processes say to each other
import subprocess
import sys
import threading
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from treenail.shop.stock.search import Solution, solve

if TYPE_CHECKING:
    from treenail.shop.stock.patterns import Problem
    from treenail.shop.stock.search import Progress

__all__ = ["better_of", "solve_abreast"]

#: The second search starts after this long, s.
PATIENCE = 2.0
#: What a new process takes to be ready, s, at the most that is waited for.
READY = 3.0


@dataclass
class _Second:
    """A search in another process, from the time that it is worth one."""

    order: bytes
    solution: Solution | None = None
    _enough: threading.Event = field(default_factory=threading.Event)
    _child: subprocess.Popen[bytes] | None = None

    def run(self) -> None:
        """Wait, start, and hear what it found."""
        if self._enough.wait(PATIENCE):
            return
        with subprocess.Popen(  # noqa: S603 - this program itself
            [sys.executable, "-m", __name__], stdin=subprocess.PIPE, stdout=subprocess.PIPE
        ) as child:
            self._child = child
            said, _ = child.communicate(self.order)
        if child.returncode == 0:
            self.solution = pickle.loads(said)  # noqa: S301

    def end(self, thread: threading.Thread, *, wait: float) -> None:
        """Hear it out for a moment, then stop it."""
        self._enough.set()
        thread.join(wait)
        if thread.is_alive() and self._child is not None:
            self._child.kill()
        thread.join()


def better_of(first: Solution, second: Solution | None) -> Solution:
    """The cheaper of two plans, with the better of their bounds: both hold."""
    if second is None:
        return first
    best = second if second.objective < first.objective else first
    low = max(first.fine_bound, second.fine_bound)
    return replace(
        best,
        fine_bound=low,
        bound=0.0 if any(best.missing) else low,
        rounds=first.rounds + second.rounds,
        seconds=max(first.seconds, second.seconds),
    )


def solve_abreast(
    problem: Problem,
    *,
    time_limit: float = 30.0,
    goal: float = 0.0,
    progress: Progress | None = None,
    seed: int = 1,
) -> Solution:
    """As :func:`~treenail.shop.stock.search.solve`, with a second search where that helps."""
    left = time_limit - PATIENCE - READY
    if (os.cpu_count() or 1) < 2 or left <= 0.0:
        return solve(problem, time_limit=time_limit, goal=goal, progress=progress, seed=seed)
    second = _Second(pickle.dumps((problem, left + READY / 2, goal, seed + 1)))
    thread = threading.Thread(target=second.run, daemon=True)
    thread.start()
    wait = 0.0
    try:
        first = solve(problem, time_limit=time_limit, goal=goal, progress=progress, seed=seed)
        wait = READY if first.stopped else 0.0
    finally:
        second.end(thread, wait=wait)
    return better_of(first, second.solution) if first.stopped else first


def _answer() -> None:
    """What the second process does."""
    problem, time_limit, goal, seed = pickle.loads(sys.stdin.buffer.read())  # noqa: S301
    found = solve(problem, time_limit=time_limit, goal=goal, seed=seed)
    sys.stdout.buffer.write(pickle.dumps(found))


if __name__ == "__main__":
    _answer()
