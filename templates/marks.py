"""The trade's pencil marks on the two reference faces.

A loop on the face side, whose tails run to a V on the face edge: common practice, drawn here in
our own way.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from treenail.templates.figures import Figure, Loop, box_of
from treenail.timber.frames import snap

if TYPE_CHECKING:
    from collections.abc import Sequence

    from treenail.timber.member import Member

__all__ = ["reference_marks"]


def _free_place(figures: Sequence[Figure], length: float, half: float) -> float:
    """A place along the grain, near the middle, where no figure stands."""
    taken = [(b[0] - half, b[2] + half) for b in (box_of(f.shape) for f in figures)]
    steps = [length * (0.5 + side * i / 80.0) for i in range(37) for side in (1.0, -1.0)]
    clear = (x for x in steps if all(not low < x < high for low, high in taken))
    return next(clear, length / 2.0)


def reference_marks(member: Member, figures: Sequence[Figure]) -> tuple[Figure, Figure]:
    """The loop (on the face side) and the V (on the face edge), meeting at their arris.

    ``figures`` are those of both faces; the marks keep clear of them where they can.
    """
    length, width, thickness = member.size
    s = min(6.0, width / 8.0, thickness / 6.0, length / 40.0)
    x = snap(_free_place(figures, length, 2.0 * s))
    loop = Loop(
        (
            (x - s, width, 0.0),
            (x + s, width - 2.5 * s, -1.0),
            (x - s, width - 2.5 * s, 0.0),
            (x + s, width, 0.0),
        ),
        is_open=True,
    )
    vee = Loop(((x - s, 2.5 * s, 0.0), (x, 0.0, 0.0), (x + s, 2.5 * s, 0.0)), is_open=True)
    return (
        Figure(what="face side mark", shape=loop),
        Figure(what="face edge mark", shape=vee),
    )
