"""Where a piece's end or edge is to lie in the piece that it stands in, for each kind of joint."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import singledispatch
from typing import TYPE_CHECKING, TypeAlias

from treenail.joints.angled_tenon import AngledTenon
from treenail.joints.base import Joint
from treenail.joints.board_groove import BoardGroove
from treenail.joints.end_board import EndBoard
from treenail.joints.housed import Housed
from treenail.joints.jack_slide import JackRide
from treenail.joints.laps import Lap
from treenail.joints.meetings import SIZES
from treenail.joints.mortise_tenon import MortiseTenon
from treenail.joints.seats import SeatRebate
from treenail.joints.skew import SkewLetIn
from treenail.joints.sliding import Sliding
from treenail.joints.trenches import face_axis, is_low
from treenail.shop.refit.asked import word
from treenail.shop.refit.sections import SAME
from treenail.timber.errors import GeometryError
from treenail.timber.frames import neg
from treenail.timber.member import Face

if TYPE_CHECKING:
    from treenail.shop.refit.places import Places
    from treenail.timber.member import Member

#: Measured on a joint, by name, mm.
Measures: TypeAlias = Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Goal:
    """Where a member's face is to lie, along the face's outward direction in the bench, mm.

    Attributes:
        member, face: what.
        level: where.
        seats: whether the piece stands on a floor there: of several, the farthest one counts,
            as the others can be cut deeper; else the nearest.
        moves: the whole piece goes there, its size stays.
    """

    member: str
    face: Face
    level: float
    seats: bool = False
    moves: bool = False


@singledispatch
def goals_of(joint: Joint, places: Places, sizes: Measures) -> Iterator[Goal]:  # noqa: ARG001
    """Where a joint's pieces are to end; other kinds of joint leave them where they are."""
    return iter(())


def _into(places: Places, receiver: str, face: Face, piece: Member, deep: float) -> Goal:
    """A piece's face or end so deep below a face of the receiver."""
    home = neg(places.outward(receiver, face))
    return Goal(piece.name, piece.face_towards(home), places.level(receiver, face, home) + deep)


@goals_of.register(MortiseTenon)
def _(joint: MortiseTenon, places: Places, _sizes: Measures) -> Iterator[Goal]:
    out = places.outward(joint.entering.name, joint.end)
    mouth = places.level(joint.receiver.name, joint.receiver_face, out)
    yield Goal(joint.entering.name, joint.end, mouth + places.lengths[joint.name])


@goals_of.register(AngledTenon)
def _(joint: AngledTenon, places: Places, sizes: Measures) -> Iterator[Goal]:
    if "mortise_depth" in sizes:
        out = places.outward(joint.entering.name, joint.end)
        deeper = sizes["mortise_depth"] - joint.mortise.depth
        level = places.level(joint.entering, joint.end, out) + deeper
        yield Goal(joint.entering.name, joint.end, level)


@goals_of.register(Housed)
def _(joint: Housed, places: Places, sizes: Measures) -> Iterator[Goal]:
    depth = sizes.get(f"{word(joint)}_depth")
    reach = joint.reach if depth is None else depth - joint.bottom
    name, face = joint.entering.name, joint.entering_face
    mouth = places.level(joint.receiver.name, joint.cut_face, joint.home)
    seats, size = joint.bottom == 0.0, SIZES[face_axis(face)]
    if seats and (name, size) in places.fixed:
        if depth is not None:
            _refuse_hollow(places, joint, size, reach)
    elif depth is not None or size == "length" or not seats:
        yield Goal(name, face, mouth + reach, seats=seats)


@goals_of.register(JackRide)
def _(joint: JackRide, places: Places, sizes: Measures) -> Iterator[Goal]:
    # The ridge stays: the board comes down on it.
    depth = sizes.get(f"{word(joint)}_depth")
    reach = joint.reach if depth is None else depth - joint.bottom
    top = places.level(joint.entering.name, joint.entering_face, joint.home)
    yield Goal(joint.receiver.name, joint.cut_face, reach - top)


@goals_of.register(BoardGroove)
def _(joint: BoardGroove, places: Places, sizes: Measures) -> Iterator[Goal]:
    reach = sizes.get("groove_depth", joint.depth) - joint.room
    for board in joint.boards:
        yield _into(places, joint.receiver.name, joint.face, board, reach)


@goals_of.register(SeatRebate)
def _(joint: SeatRebate, places: Places, sizes: Measures) -> Iterator[Goal]:
    known = sizes.get("rebate_width")
    seat = joint.seat if known is None else known - joint.end_room
    for board in joint.boards:
        yield _into(places, joint.rail.name, joint.side, board, seat)


@goals_of.register(EndBoard)
def _(joint: EndBoard, places: Places, sizes: Measures) -> Iterator[Goal]:
    known = sizes.get("mortise_depth" if joint.tenons else "groove_depth")
    deep = joint.length if known is None else known - joint.fit.bottom.mid
    for section in joint.sections:
        yield _into(places, joint.board.name, joint.board_face, section, deep)


@goals_of.register(Sliding)
def _(joint: Sliding, places: Places, _sizes: Measures) -> Iterator[Goal]:
    # An end that lies flush with the mortised face stays so.
    out = neg(joint.home)
    end = joint.entering.face_towards(out)
    was = places.level(joint.receiver, joint.face, out)
    if abs(places.level(joint.entering, end, out) - was) < SAME:
        yield Goal(joint.entering.name, end, places.level(joint.receiver.name, joint.face, out))


@goals_of.register(SkewLetIn)
def _(joint: SkewLetIn, places: Places, sizes: Measures) -> Iterator[Goal]:
    if "notch_depth" in sizes:
        home = joint.insertion()
        face = joint.entering.face_towards(home)
        level = places.level(joint.receiver.name, joint.cut_face, home) + sizes["notch_depth"]
        yield Goal(joint.entering.name, face, level, seats=True, moves=True)


@goals_of.register(Lap)
def _(joint: Lap, places: Places, sizes: Measures) -> Iterator[Goal]:
    home, face = joint.home, joint.entering_face
    if "notch_depth" in sizes and joint.portion == 1.0:
        outer = places.level(joint.entering, face.opposite, home)
        flush = abs(places.level(joint.receiver, joint.cut_face, home) - outer) < SAME
        size = SIZES[face_axis(face)]
        if flush and (joint.entering.name, size) in places.fixed:
            _refuse_hollow(places, joint, size, sizes["notch_depth"])
        else:
            mouth = places.level(joint.receiver.name, joint.cut_face, home)
            level = mouth + sizes["notch_depth"]
            yield Goal(joint.entering.name, face, level, seats=True, moves=not flush)
    yield from _end_in_notch(joint, places, sizes)


def _end_in_notch(joint: Lap, places: Places, sizes: Measures) -> Iterator[Goal]:
    """The entering member's end, where it stands before a wall of the notch."""
    grain = joint.meeting.grain
    _, ends = joint.mouth(ends=True)
    if ends != 1 or grain == 0:
        return
    low, high = (corner[grain] for corner in joint.meeting.stock)
    at_low = low < SAME  # from which of the receiver's faces the end came in
    face = next(f for f in Face if face_axis(f) == grain and is_low(f) is at_low)
    deep = high if at_low else joint.receiver.size[grain] - low
    if "notch_length" in sizes:
        deep = sizes["notch_length"] - joint.fit.bottom.mid
    yield _into(places, joint.receiver.name, face, joint.entering, deep)


def _refuse_hollow(places: Places, joint: Housed | Lap, size: str, depth: float) -> None:
    """A piece that exists, and lies flush, must fill its cut; a shallower one can be pared."""
    have = getattr(places.members[joint.entering.name], size)
    if depth > have + SAME:
        raise GeometryError(
            f"{joint.name}: {joint.entering.name}, {have:.2f} mm there, would lie "
            f"{depth - have:.2f} mm below the face of {joint.receiver.name}"
        )


__all__ = ["Goal", "goals_of"]
