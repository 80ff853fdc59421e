"""Room to drive a peg or wedge or turn in a bolt: what stands before its hole, and how far off."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal

from treenail.checks.assembly.pieces import (
    SLIDE,
    Piece,
    axis_of,
    bolt_pieces,
    foot_pieces,
    member_pieces,
    nut_pieces,
)
from treenail.joints.convex import reach, separation
from treenail.timber.frames import Vec, along, dot, neg, sub
from treenail.timber.measured_parts import MeasuredPart

if TYPE_CHECKING:
    from treenail.generators.bench import Bench
    from treenail.joints.base import Hardware, Joint
    from treenail.timber.member import Member

#: Free length behind a driven peg for the mallet's swing, mm (our own choice).
MALLET = 150.0
#: Free length behind a bolt's head for the socket and its ratchet, mm (our own choice).
RATCHET = 75.0
#: Half of a mallet's or hammer's face, mm; a socket is as much wider than its bolt's head, mm
#: (our own choice).
TOOL, SOCKET = 15.0, 3.0
#: A hole with less than this before its mouth is covered, mm: nothing goes in (our own choice).
COVERED = 5.0

Kind = Literal["peg", "bolt", "screw", "wedge", "pin", "nut", "foot"]
#: What a mallet drives.
STRUCK = ("peg", "wedge", "pin")


@dataclass(frozen=True, slots=True)
class Obstacle:
    """A member before a hole: ``free`` mm from the mouth; ``narrow``: in the peg's own way."""

    member: str
    free: float
    narrow: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Fastener:
    """A peg, wedge, bolt or the like, and the way it takes.

    Attributes:
        name: of the peg, wedge or bolt.
        kind: ``peg``, ``wedge``, ``bolt``; ``pin`` and ``foot`` for what stands out of one member;
            ``nut`` for a barrel nut; ``screw`` for a vise's screws and rods.
        joint: name of the joint that it holds.
        members: the two members that it goes through; twice the same one if it is in that alone.
        mouth: where it goes in, in the bench, mm.
        drive: unit vector along which it goes in.
        length: over all, mm.
        radius: of the widest part; of a wedge half of its thinner side, mm.
        need: free length that it takes with its tool, mm.
        pieces: its wood or steel, as convex pieces a little inside it.
        obstacles: other members in the way within ``need``, nearest first.
    """

    name: str
    kind: Kind
    joint: str
    members: tuple[str, str]
    mouth: Vec
    drive: Vec
    length: float
    radius: float
    need: float
    pieces: tuple[Piece, ...]
    obstacles: tuple[Obstacle, ...] = ()

    def free(self, present: Iterable[str], *, narrow: bool = False) -> tuple[float, str]:
        """(free length, what ends it) among members that are present; ``need`` and "" if clear."""
        there = set(present)
        for o in self.obstacles:
            if o.member in there and (o.narrow or not narrow):
                return o.free, o.member
        return self.need, ""


def fasteners_of(bench: Bench, pieces: Mapping[str, tuple[Piece, ...]]) -> tuple[Fastener, ...]:
    """Every peg, pin, wedge, bolt, nut and foot of the joints, with what stands in its way."""
    found = []
    for joint in bench.joints:
        own = {m.name for m in joint.members}
        fasteners = _fasteners(joint)
        if fasteners:
            others = {name: p for name, p in pieces.items() if name not in own}
            found += [_hindered(f, others) for f in fasteners]
    return tuple(found)


def _fasteners(joint: Joint) -> list[Fastener]:
    return [
        *(_driven(joint, peg, "pin" if _alone(joint) else "peg") for peg in joint.pegs()),
        *(_driven(joint, wedge, "wedge") for wedge in joint.wedges()),
        *(_turned(joint, item) for item in joint.hardware()),
    ]


def _alone(joint: Joint) -> bool:
    return len(joint.members) == 1


def _names(joint: Joint) -> tuple[str, str]:
    first, *others = joint.members
    return first.name, (others[0] if others else first).name


def _driven(joint: Joint, part: Member, kind: Kind) -> Fastener:
    place = part.placement
    mouth, drive = place.origin, place.x
    if kind == "wedge":  # its grain runs from the butt to the thin end
        mouth = place.point((0.0, part.width / 2, part.thickness / 2))
    elif kind == "pin":  # its grain runs out of the wood
        drive = neg(drive)
        mouth = _entry(joint.members[0], mouth, drive)
    return Fastener(
        name=part.name,
        kind=kind,
        joint=joint.name,
        members=_names(joint),
        mouth=mouth,
        drive=drive,
        length=part.length,
        radius=min(part.width, part.thickness) / 2,
        need=part.length + MALLET,
        pieces=member_pieces(part, ()),
    )


def _turned(joint: Joint, item: Hardware) -> Fastener:
    drive, size = item.placement.z, item.size
    carrier = joint.members[min(1, len(joint.members) - 1)]  # the bolt's washer bears on it
    seat = item.placement.origin
    length, radius = item.length + size.head_height, size.washer_od / 2
    # It is put in whole from outside; the tool comes behind a head that is then nearly home.
    need = max(length, size.washer_thickness + size.head_height + RATCHET)
    kind: Kind = "screw" if isinstance(size, MeasuredPart) else "bolt"
    pieces = bolt_pieces
    if _alone(joint):
        kind, need, pieces = "foot", length, foot_pieces
    elif item.kind == "barrel nut":
        carrier = next(m for m in joint.members if _holds(m, seat))
        kind, length, radius, need = "nut", item.length, item.body / 2, item.length
        pieces = nut_pieces
    return Fastener(
        name=item.name,
        kind=kind,
        joint=joint.name,
        members=_names(joint),
        mouth=_entry(carrier, seat, drive),
        drive=drive,
        length=length,
        radius=radius,
        need=need,
        pieces=pieces(item),
    )


def _entry(member: Member, point: Vec, drive: Vec) -> Vec:
    """Where a line into a member comes through its surface; the point itself if that is outside."""
    face = member.face_towards(neg(drive))
    surface = member.placement.point(member.face_frame(face).origin)
    return along(point, drive, -max(dot(sub(point, surface), drive), 0.0))


def _holds(member: Member, point: Vec) -> bool:
    size = (member.length, member.width, member.thickness)
    return all(0.0 < p < s for p, s in zip(member.placement.local_point(point), size, strict=True))


def _hindered(f: Fastener, others: Mapping[str, tuple[Piece, ...]]) -> Fastener:
    wide = max(f.radius, TOOL) if f.kind in STRUCK else f.radius + SOCKET
    if f.kind == "nut":  # laid in by hand
        wide = f.radius
    found = []
    low, high = _rod_bounds(f, wide)
    for name, own in others.items():
        pieces = tuple(p for p in own if _near(p, low, high))
        if not pieces:
            continue
        nearest = _nearest(f, pieces, wide)
        if nearest is None:
            continue
        narrow = _nearest(f, pieces, f.radius)
        if narrow is not None and narrow > nearest:
            found.append(Obstacle(name, narrow, narrow=True))
        found.append(Obstacle(name, nearest, narrow=narrow == nearest))
    found.sort(key=lambda o: (o.free, o.member))
    return replace(f, obstacles=tuple(found))


def _rod_axis(f: Fastener, radius: float) -> tuple[Vec, Vec]:
    """The middle line of a rod before the mouth; it starts so far off that its end is a ball."""
    back = neg(f.drive)
    return (along(f.mouth, back, min(radius, f.need / 2)), along(f.mouth, back, f.need))


def _rod_bounds(f: Fastener, radius: float) -> tuple[Vec, Vec]:
    (a, b, c), (d, e, g) = _rod_axis(f, radius)
    r = radius - SLIDE
    low = (min(a, d) - r, min(b, e) - r, min(c, g) - r)
    return low, (max(a, d) + r, max(b, e) + r, max(c, g) + r)


def _near(piece: Piece, low: Vec, high: Vec) -> bool:
    (a, b, c), (d, e, f) = piece.low, piece.high
    return a < high[0] and b < high[1] and c < high[2] and d > low[0] and e > low[1] and f > low[2]


def _nearest(f: Fastener, pieces: tuple[Piece, ...], radius: float) -> float | None:
    """How far before the mouth a rod of that radius meets one of the pieces, mm."""
    back = neg(f.drive)
    ends = _rod_axis(f, radius)
    low, high = _rod_bounds(f, radius)
    straight = axis_of(back) is not None
    level = dot(back, f.mouth)
    best: float | None = None
    for piece in pieces:
        if not _near(piece, low, high):
            continue
        first, last = reach(piece.corners, back)
        if last - level <= SLIDE or first - level >= f.need:
            continue
        free = max(first - level, 0.0)
        if best is not None and free >= best:
            continue
        inside = straight and piece.square and _pierced(ends, piece)
        if inside or separation(ends, piece.corners).distance < radius - SLIDE:
            best = free
    return best


def _pierced(ends: tuple[Vec, Vec], piece: Piece) -> bool:
    """Whether a straight rod's axis goes through a box along the bench's axes."""
    return all(
        max(p, q) > low and min(p, q) < high
        for p, q, low, high in zip(*ends, piece.low, piece.high, strict=True)
    )
