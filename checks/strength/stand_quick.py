"""Sway of posts in trestles in closed form, by least complementary energy.

Every bending moment in a post, foot or arm is linear in the shear V of one post and the moments
m_i that stretchers, arm and foot take from it. With the sum of the m_i equal to V H,

    M(z) = V z - sum of m_i below z

in the post, and the m_i are those that make the energy (integrals of M²/2 E I and V²/2 G A',
and M²/2 k of each joint) least; its derivative by V is the sway at the head (Menabrea and
Castigliano). Without feet and arms this is the portal of ``frame_quick``, and gives its figures.

* **Along** (square to the trestle) a post is hinged on the floor, stiff in foot and arm, with its
  tenons as springs at the foot's upper and the arm's lower side; what overturns bends the feet.
* **Across** (in the trestle's plane) foot and arm are beams. The foot stands on its two ends, which
  take the shear and, up and down, what overturns: one half of it, from end to middle, is a
  beam on two supports with the post's couple and thrust between them. Alike on both sides of
  the middle, so the middle stays where it is. A single post stands in the middle of its foot;
  nothing but the foot then holds it, as the arm turns with it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TypeAlias

__all__ = ["Foot", "Hinge", "Spring", "Stand", "StandSway", "solve", "stand_sway"]

#: A quantity that is linear in the shear and the moments taken from the post.
_Form: TypeAlias = tuple[float, ...]
#: What a joint that holds nothing still has, N mm/rad, so that the equations can be solved.
_LOOSE = 1.0


@dataclass(frozen=True, slots=True)
class Spring:
    """A stretcher as the post feels it: its height on the post, mm, and N mm/rad."""

    z: float
    k: float


@dataclass(frozen=True, slots=True)
class Hinge:
    """A joint in the post's own line: its height, mm, and N mm/rad."""

    z: float
    k: float


@dataclass(frozen=True, slots=True)
class Foot:
    """A foot as a beam: middle above the floor, length, post from its middle; mm, N mm², N.

    ``from_middle`` is 0 for the one post of a trestle; ``side_ei`` bends it level.
    """

    z: float
    length: float
    from_middle: float
    ei: float
    ga: float
    side_ei: float = math.inf

    @property
    def sinks(self) -> float:
        """How far a post sinks with the foot for each N down on every post, mm/N."""
        return self._gives(self.ei)

    @property
    def drifts(self) -> float:
        """How far a post moves with the foot for each N square to the trestle, mm/N."""
        return self._gives(self.side_ei)

    def _gives(self, ei: float) -> float:
        halves = 1 if self.from_middle else 2
        out = self.length / 2 - self.from_middle
        bends = (out**3 / 3 + out**2 * self.from_middle) / ei
        return (bends + out / self.ga) / halves


@dataclass(frozen=True, slots=True)
class Stand:
    """One post of a trestle with what holds it; springs are stretchers and the arm.

    It bends between ``low`` and ``high`` (the foot's upper and the arm's lower side). Without a
    ``foot`` it is hinged on the floor. Along the bench ``thrust`` is how much comes down the post
    for each N of shear, ``sinks`` how far the foot gives way under it and ``drifts`` under the
    shear, mm/N.
    """

    height: float
    low: float
    high: float
    ei: float
    ga: float
    springs: tuple[Spring, ...]
    hinges: tuple[Hinge, ...] = ()
    foot: Foot | None = None
    thrust: float = 0.0
    sinks: float = 0.0
    drifts: float = 0.0


@dataclass(frozen=True, slots=True)
class StandSway:
    """Sway at the head in mm for each N of shear; moments in N mm: springs' by height, hinges'."""

    sway: float
    springs: tuple[float, ...]
    hinges: tuple[float, ...]


class _Energy:
    """Twice the energy as a quadratic form: the sum of flexibility times a linear form squared."""

    def __init__(self, size: int) -> None:
        self.rows = [[0.0] * size for _ in range(size)]

    def add(self, form: _Form, flexibility: float) -> None:
        for i, a in enumerate(form):
            for j, b in enumerate(form):
                self.rows[i][j] += flexibility * a * b

    def bar(self, start: _Form, end: _Form, length: float, ei: float) -> None:
        """The integral of M²/(E I) for a straight line from ``start`` to ``end``: exact."""
        if length <= 0.0:
            return
        middle = tuple((a + b) / 2 for a, b in zip(start, end, strict=True))
        for form, weight in ((start, 1.0), (middle, 4.0), (end, 1.0)):
            self.add(form, weight * length / 6 / ei)

    def least(self) -> tuple[float, list[float]]:
        """(derivative by the first variable at 1, the variables) with the others free."""
        free = range(1, len(self.rows))
        found = solve([[*(self.rows[i][j] for j in free), -self.rows[i][0]] for i in free])
        values = [1.0, *found]
        return sum(a * b for a, b in zip(self.rows[0], values, strict=True)), values


def _plus(a: _Form, b: _Form, k: float = 1.0) -> _Form:
    return tuple(x + k * y for x, y in zip(a, b, strict=True))


def _times(a: _Form, k: float) -> _Form:
    return tuple(k * x for x in a)


def stand_sway(stand: Stand) -> StandSway:
    """Sway and moments for a shear of 1 N in the post; infinite where nothing holds it."""
    springs = sorted((s for s in stand.springs if s.k > 0.0), key=lambda s: s.z)
    foot, h = stand.foot, stand.height
    count = len(springs) + (foot is not None)
    if count == 0:
        return StandSway(math.inf, (), ())
    # The variables: the shear, then all moments but the last, which makes them add up to V H.
    size = count
    shear: _Form = tuple(1.0 if i == 0 else 0.0 for i in range(size))
    taken: list[_Form] = [
        tuple(1.0 if j == i else 0.0 for j in range(size)) for i in range(1, size)
    ]
    rest = _times(shear, h)
    for form in taken:
        rest = _plus(rest, form, -1.0)
    taken.append(rest)
    # The foot has its moment from the post's lower end on, wherever that is.
    heights = [*([-math.inf] if foot else []), *(s.z for s in springs)]

    def moment(z: float) -> _Form:
        """In the post just below a height."""
        found = _times(shear, z)
        for at, form in zip(heights, taken, strict=True):
            if at < z - 1e-9:
                found = _plus(found, form, -1.0)
        return found

    energy = _Energy(size)
    for spring, form in zip(springs, taken[-len(springs) :] if springs else [], strict=True):
        energy.add(form, 1.0 / spring.k)
    for hinge in stand.hinges:
        energy.add(moment(hinge.z), 1.0 / max(hinge.k, _LOOSE))
    inside = [z for z in heights if stand.low < z < stand.high]
    at = stand.low
    for z in (*inside, stand.high):
        above = moment(at)
        if at in inside:
            above = _plus(above, taken[heights.index(at)], -1.0)
        energy.bar(above, moment(z), z - at, stand.ei)
        at = z
    energy.add(shear, (stand.high - stand.low) / stand.ga)
    energy.add(_times(shear, stand.thrust), stand.sinks)
    energy.add(shear, stand.drifts)
    if foot:
        _add_foot(energy, foot, shear, taken[0], h)
    sway, values = energy.least()

    def value(form: _Form) -> float:
        return sum(a * b for a, b in zip(form, values, strict=True))

    return StandSway(
        sway,
        tuple(value(f) for f in (taken[-len(springs) :] if springs else [])),
        tuple(value(moment(hinge.z)) for hinge in stand.hinges),
    )


def _add_foot(energy: _Energy, foot: Foot, shear: _Form, taken: _Form, h: float) -> None:
    """The foot from its end to its middle; both halves where one post stands on it.

    ``taken`` is what the foot takes from the post, of V ``h`` in all; the rest comes down as the
    posts' thrust and pull, 2a apart. Up and down, the end bears V h over half the length.
    """
    halves = 1 if foot.from_middle else 2
    half, a = foot.length / 2, foot.from_middle
    bears = _times(shear, h / half / halves)
    # The floor holds the end back below the foot's middle line.
    at_end = _times(shear, -foot.z / halves)
    energy.bar(at_end, _plus(at_end, bears, half - a), half - a, foot.ei / halves)
    energy.add(bears, (half - a) * halves / foot.ga)
    if a:
        thrust = _times(_plus(_times(shear, h), taken, -1.0), 1.0 / a)
        inner = _plus(thrust, bears, -1.0)
        energy.bar(_times(inner, 0.0), _times(inner, a), a, foot.ei)
        energy.add(inner, a / foot.ga)


def solve(rows: list[list[float]]) -> list[float]:
    """Gauss with pivots on a few equations (last column: right-hand side)."""
    n = len(rows)
    for i in range(n):
        pivot = max(range(i, n), key=lambda r: abs(rows[r][i]))
        rows[i], rows[pivot] = rows[pivot], rows[i]
        for r in range(i + 1, n):
            factor = rows[r][i] / rows[i][i]
            rows[r] = [a - factor * b for a, b in zip(rows[r], rows[i], strict=True)]
    out = [0.0] * n
    for i in reversed(range(n)):
        out[i] = (rows[i][n] - sum(rows[i][j] * out[j] for j in range(i + 1, n))) / rows[i][i]
    return out
