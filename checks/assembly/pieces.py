"""Members as a few convex pieces, and whether one meets another on its way along a line.

Two convex pieces that lie apart can be told by one plane between them. Seen along a direction
their shadows overlap or not; where they do, the one that the plane puts ahead is met, however far
the other travels. That is exact, and the plane serves every direction.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from treenail.joints.aslant_ends import aslant_pieces, has_aslant_ends
from treenail.joints.convex import Corners, hull, reach, tenon_pieces
from treenail.joints.cuts import TenonEnd
from treenail.timber.frames import Frame, Vec, add, cross, dot, neg, norm, scale
from treenail.timber.measured_parts import MeasuredPart
from treenail.timber.member import Face, Member

if TYPE_CHECKING:
    from treenail.joints.base import Hardware
    from treenail.joints.cuts import Cut

#: Pieces that slide past each other nearer than this don't count as meeting, mm.
SLIDE = 0.02
#: Cosine above which a direction lies along an axis.
_ALONG = 1.0 - 1e-9


@dataclass(frozen=True, slots=True)
class Piece:
    """A convex piece in the bench's coordinates.

    Attributes:
        corners: mm.
        low, high: its bounds.
        square: it is a box along the bench's axes.
        normals: unit normals of its faces, one of each pair of parallel ones.
        edges: unit directions of its edges, one of each set of parallel ones.
    """

    corners: Corners
    low: Vec
    high: Vec
    square: bool
    normals: tuple[Vec, ...]
    edges: tuple[Vec, ...]


def axis_of(direction: Vec) -> int | None:
    """The bench's axis along which a unit vector lies, either way."""
    for i in range(3):
        if abs(direction[i]) > _ALONG:
            return i
    return None


def _piece(corners: Corners, frame: Frame | None) -> Piece:
    """A piece from its corners; ``frame`` if it is a box along the frame's axes."""
    xs, ys, zs = zip(*corners, strict=True)
    low, high = (min(xs), min(ys), min(zs)), (max(xs), max(ys), max(zs))
    if frame is not None:
        axes = (frame.x, frame.y, frame.z)
        square = all(axis_of(a) is not None for a in axes)
        return Piece(corners, low, high, square, axes, axes)
    shape = hull(corners)
    normals: list[Vec] = []
    for n, _ in shape.planes:
        if all(abs(dot(n, known)) < _ALONG for known in normals):
            normals.append(n)
    return Piece(corners, low, high, False, tuple(normals), shape.directions)


def block(frame: Frame, low: Vec, high: Vec) -> Piece:
    """A box given in a frame's coordinates."""
    spans = zip(low, high, strict=True)
    corners = tuple(frame.point((x, y, z)) for x, y, z in itertools.product(*spans))
    return _piece(corners, frame)


def member_pieces(member: Member, cuts: Sequence[Cut]) -> tuple[Piece, ...]:
    """A member as convex pieces: what stands between its shoulders, and its tenons.

    Mortises, holes and slots count as wood: only their own tenon, peg or bolt goes in there, and
    that pair is judged by its joint. A peg is taken as the square rod inside it.
    """
    place = member.placement
    if member.round_section:
        half = member.width / 2 / 2**0.5
        straight = max(member.length - member.tip_length, member.length / 2)
        return (block(place, (0.0, -half, -half), (straight, half, half)),)
    ends = [c for c in cuts if isinstance(c, TenonEnd)]
    near = max((c.length for c in ends if c.face is Face.NEAR_END), default=0.0)
    far = max((c.length for c in ends if c.face is Face.FAR_END), default=0.0)
    found = []
    if near + far < member.length:
        size = (member.length - far, member.width, member.thickness)
        if has_aslant_ends(cuts):
            parts = aslant_pieces(member, cuts, ((near, 0.0, 0.0), size))
            found += [_piece(tuple(place.point(p) for p in part), None) for part in parts]
        else:
            found.append(block(place, (near, 0.0, 0.0), size))
    for end in ends:
        for part in tenon_pieces(end, member.width):
            at = place.place(end.frame)
            corners = tuple(at.point(p) for p in part)
            found.append(_piece(corners, at if _is_box(part) else None))
    return tuple(found)


def bolt_pieces(item: Hardware) -> tuple[Piece, ...]:
    """A lag bolt: the square rod inside its shank, and the block inside its head."""
    size, under = item.size, -item.size.washer_thickness
    shank, head = size.diameter / 2 / 2**0.5, size.head_flats / 2 / 2**0.5
    return (
        block(item.placement, (-shank, -shank, 0.0), (shank, shank, under + item.length)),
        block(item.placement, (-head, -head, under - size.head_height), (head, head, 0.0)),
    )


def nut_pieces(item: Hardware) -> tuple[Piece, ...]:
    """A barrel nut: the square rod inside it."""
    half, along = item.body / 2 / 2**0.5, item.length / 2
    return (block(item.placement, (-half, -half, -along), (half, half, along)),)


def foot_pieces(item: Hardware) -> tuple[Piece, ...]:
    """A levelling foot: the square rods inside its stretches."""
    assert isinstance(item.size, MeasuredPart)
    found = []
    for low, high, wide in item.size.rings:
        half = wide / 2 / 2**0.5
        found.append(block(item.placement, (-half, -half, low), (half, half, high)))
    return tuple(found)


def moved(piece: Piece, by: Vec) -> Piece:
    """A piece somewhere else."""
    return replace(
        piece,
        corners=tuple(add(p, by) for p in piece.corners),
        low=add(piece.low, by),
        high=add(piece.high, by),
    )


def swept(piece: Piece, by: Vec) -> Piece:
    """All that a piece goes through on a straight way."""
    corners = (*piece.corners, *(add(p, by) for p in piece.corners))
    if not piece.square or sum(abs(c) > 1e-9 for c in by) > 1:
        return _piece(corners, None)
    ends = [
        sorted((low, low + c, high, high + c))
        for low, high, c in zip(piece.low, piece.high, by, strict=True)
    ]
    low, high = [e[0] for e in ends], [e[-1] for e in ends]
    return block(Frame(), (low[0], low[1], low[2]), (high[0], high[1], high[2]))


def _is_box(corners: Corners) -> bool:
    return len(corners) == 8 and all(len(set(values)) == 2 for values in zip(*corners, strict=True))


def between(a: Piece, b: Piece) -> tuple[float, Vec]:
    """(width of the widest gap, its direction from ``a`` to ``b``), mm; negative: they overlap."""
    if a.square and b.square:
        best, k, sign = max(
            (max(b.low[i] - a.high[i], a.low[i] - b.high[i]), i, b.low[i] - a.high[i])
            for i in range(3)
        )
        axis = [0.0, 0.0, 0.0]
        axis[k] = 1.0 if sign == best else -1.0
        return best, (axis[0], axis[1], axis[2])
    axes = [*a.normals, *b.normals]
    for u, v in itertools.product(a.edges, b.edges):
        across = cross(u, v)
        size = norm(across)
        if size > 1e-7:
            axes.append(scale(across, 1.0 / size))
    found: tuple[float, Vec] | None = None
    for axis_dir in axes:
        low_a, high_a = reach(a.corners, axis_dir)
        low_b, high_b = reach(b.corners, axis_dir)
        for gap, way in ((low_b - high_a, axis_dir), (low_a - high_b, neg(axis_dir))):
            if found is None or gap > found[0]:
                found = (gap, way)
    assert found is not None  # every piece has faces
    return found


def overlap(a: Piece, b: Piece) -> bool:
    """Whether two pieces fill the same space at home, by more than ``SLIDE``."""
    for i in range(3):
        if min(a.high[i], b.high[i]) - max(a.low[i], b.low[i]) <= SLIDE:
            return False
    return between(a, b)[0] < -SLIDE


def meets(a: Piece, b: Piece, direction: Vec) -> bool:
    """Whether ``a``, moved along a unit direction without end, runs into ``b``.

    Pieces that overlap at home don't count: that is another matter than the order of assembly.
    """
    axis = axis_of(direction)
    if axis is not None:
        ahead = b.high[axis] - a.low[axis] if direction[axis] > 0 else a.high[axis] - b.low[axis]
        if ahead <= SLIDE:
            return False
        for i in range(3):
            shadow = min(a.high[i], b.high[i]) - max(a.low[i], b.low[i])
            if i != axis and shadow <= SLIDE:
                return False
        if a.square and b.square:
            apart = max(b.low[axis] - a.high[axis], a.low[axis] - b.high[axis])
            forward = (b.low[axis] + b.high[axis] - a.low[axis] - a.high[axis]) * direction[axis]
            return apart >= -SLIDE and forward > 0.0
    gap, way = between(a, b)
    if gap < -SLIDE or dot(way, direction) <= 1e-6:
        return False
    for edge in (*a.edges, *b.edges):
        across = cross(direction, edge)
        size = norm(across)
        if size <= 1e-7:
            continue
        across = scale(across, 1.0 / size)
        low_a, high_a = reach(a.corners, across)
        low_b, high_b = reach(b.corners, across)
        if min(high_a, high_b) - max(low_a, low_b) <= SLIDE:
            return False
    return True
