"""Labels beside a drawing, with leader lines that neither cross nor share a place."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from treenail.templates.dimensions import text_width
from treenail.templates.hidden_line import Point
from treenail.templates.svg import INK, PAPER, num, text

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

__all__ = ["Label", "place_labels", "to_svg", "widest"]

#: Distance between lines of text, by their height.
LEADING = 1.75
#: A leader that passes another one's mark so near (mm) seems to end there.
NEAR = 1.4


@dataclass(frozen=True, slots=True)
class Label:
    """A text beside the drawing.

    Attributes:
        text: what it says.
        at: end of the text that looks to the drawing, at mid height, mm on the paper.
        target: what it points at.
        on_left: whether it stands left of the drawing.
        seen: False where the piece is hidden, so that the mark is left open.
    """

    text: str
    at: Point
    target: Point
    on_left: bool
    seen: bool = True


@dataclass(frozen=True, slots=True)
class _Columns:
    left: float
    right: float
    top: float
    bottom: float
    size: float

    def place(self, targets: Mapping[str, tuple[Point, bool]]) -> list[Label]:
        by_x = sorted(targets, key=lambda t: (targets[t][0][0], targets[t][0][1], t))
        half = (len(by_x) + 1) // 2
        found: list[Label] = []
        for names, x, on_left in ((by_x[:half], self.left, True), (by_x[half:], self.right, False)):
            ordered = sorted(names, key=lambda t: (targets[t][0][1], targets[t][0][0], t))
            wanted = [targets[t][0][1] for t in ordered]
            ys = _spread(wanted, LEADING * self.size, self.top, self.bottom)
            column = [
                Label(t, (x, y), targets[t][0], on_left, targets[t][1])
                for t, y in zip(ordered, ys, strict=True)
            ]
            found += _uncrossed(column)
        return found


def place_labels(
    spots: Mapping[str, tuple[Sequence[Point], bool]],
    *,
    left: float,
    right: float,
    top: float,
    bottom: float,
    size: float,
) -> tuple[Label, ...]:
    """Put labels in two columns.

    Args:
        spots: text of each label, with the places it may point at (the best first) and whether
            they are seen.
        left: where the column left of the drawing ends, mm.
        right: where the one right of it starts.
        top: where the columns start, mm.
        bottom: where they end; more labels than fit go on below.
        size: height of the text, mm.
    """
    columns = _Columns(left, right, top, bottom, size)
    chosen = {name: (places[0], seen) for name, (places, seen) in spots.items()}
    best = columns.place(chosen)
    worst = _clashes(best)
    for name, (places, seen) in spots.items():
        for place in places[1:]:
            if not worst:
                return tuple(best)
            trial = columns.place({**chosen, name: (place, seen)})
            clashes = _clashes(trial)
            if clashes < worst:
                best, worst, chosen = trial, clashes, {**chosen, name: (place, seen)}
    return tuple(best)


def _clashes(labels: Sequence[Label]) -> int:
    """How many pairs cross, and how many leaders pass by another one's mark."""
    return sum(
        _cross(a, b) + (_distance(b.target, a) < NEAR) + (_distance(a.target, b) < NEAR)
        for a, b in itertools.combinations(labels, 2)
    )


def _distance(p: Point, label: Label) -> float:
    """From a point to a leader line."""
    (ax, ay), (bx, by) = label.at, label.target
    dx, dy = bx - ax, by - ay
    size = dx * dx + dy * dy
    t = 0.0 if size == 0.0 else ((p[0] - ax) * dx + (p[1] - ay) * dy) / size
    t = min(1.0, max(0.0, t))
    return math.hypot(p[0] - ax - t * dx, p[1] - ay - t * dy)


def _spread(wanted: Sequence[float], step: float, top: float, bottom: float) -> list[float]:
    """Places at least ``step`` apart, in order, near the wanted ones, from ``top`` down."""
    ys: list[float] = []
    for y in wanted:
        ys.append(max(y, top if not ys else ys[-1] + step))
    limit = max(bottom, top + step * (len(ys) - 1))
    for i in reversed(range(len(ys))):
        ys[i] = min(ys[i], limit)
        limit = ys[i] - step
    return ys


def _cross(a: Label, b: Label) -> bool:
    def side(p: Point, q: Point, r: Point) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    return (
        side(a.at, a.target, b.at) * side(a.at, a.target, b.target) < 0.0
        and side(b.at, b.target, a.at) * side(b.at, b.target, a.target) < 0.0
    )


def _uncrossed(column: list[Label]) -> list[Label]:
    """Swap places until no two leaders cross; each swap shortens them, so it ends."""
    labels = list(column)
    again = True
    while again:
        again = False
        for i, j in itertools.combinations(range(len(labels)), 2):
            if _cross(labels[i], labels[j]):
                a, b = labels[i], labels[j]
                labels[i], labels[j] = replace(b, at=a.at), replace(a, at=b.at)
                again = True
    return labels


def to_svg(labels: Sequence[Label], *, size: float) -> list[str]:
    """Leader lines, marks at what they point at, and the texts."""
    found = []
    for label in labels:
        gap = -1.0 if label.on_left else 1.0
        x, y = label.at
        tx, ty = label.target
        fill = INK if label.seen else PAPER
        leader = f'<path d="M{num(x)},{num(y)}L{num(tx)},{num(ty)}" fill="none"'
        mark = f'<circle cx="{num(tx)}" cy="{num(ty)}" r="0.55" fill="{fill}"'
        ink = f'stroke="{INK}" stroke-width="0.15"/>'
        found += [
            # A paler line under the leader parts it from the edges it runs over.
            f'{leader} stroke="{PAPER}" stroke-width="0.55" stroke-opacity="0.8"/>',
            f"{leader} {ink}",
            f"{mark} {ink}",
            text(
                (x + gap, y + 0.36 * size),
                label.text,
                size=size,
                anchor="end" if label.on_left else "start",
            ),
        ]
    return found


def widest(texts: Sequence[str], size: float) -> float:
    """Width of the widest of some texts, mm."""
    return max((text_width(t, size) for t in texts), default=0.0)
