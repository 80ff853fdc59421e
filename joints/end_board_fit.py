"""What a board across a slab's end leaves and presses: rooms and pegs, as found on the solids."""

from __future__ import annotations

from typing import TYPE_CHECKING

from treenail.joints.base import Gap
from treenail.joints.outlines import Round, region_area
from treenail.joints.trenches import FLUSH
from treenail.joints.volumes import crescent_area
from treenail.timber.frames import dot, neg

if TYPE_CHECKING:
    from collections.abc import Iterator

    from treenail.joints.end_board import EndBoard, Span
    from treenail.timber.frames import Vec
    from treenail.timber.member import Member

__all__ = ["end_board_rooms", "pressed_area"]


def end_board_rooms(joint: EndBoard) -> tuple[Gap, ...]:
    """Shoulders, the tongue's floor and ends; each tenon's bottom, cheeks and ends."""
    home, up = joint.insertion(), joint.first.placement.z
    side, cheek = joint.tongue / 2, joint.fit.cheek.mid / 2
    outer = (joint.first.thickness / 2 + side) / 2
    low, high = joint.tongue_span
    places: list[tuple[str, float, Vec, Vec, float]] = []

    def gap(what: str, at: float, spot: tuple[float, float], way: Vec, room: float) -> None:
        places.append((what, at, joint.point(at, *spot), way, room))

    for a, b in joint.places:
        for aside in (-outer, outer):
            gap("shoulder", (a + b) / 2, (0.0, aside), home, 0.0)
    # Off the mortises, which are longer than their tenons are wide.
    room = joint.room
    clear = [s for a, b in joint.stub_spans for s in _within(joint, a + room, b - room)]
    a, b = max(clear, key=lambda s: s[1] - s[0], default=(0.0, 0.0))
    if b - a > 1.0:
        gap("floor", (a + b) / 2, (joint.stub, 0.0), home, joint.fit.bottom.mid)
    if not joint.tenons:
        for way in (neg(up), up):
            gap("cheek", (low + high) / 2, (joint.stub / 2, side * dot(way, up)), way, cheek)
    for at, wide, way in (
        (low, joint.inset[0], neg(joint.across)),
        (high, joint.inset[1], joint.across),
    ):
        if wide > FLUSH:
            gap("end", at, (joint.stub / 2, 0.0), way, joint.room)
    mid = (joint.stub + joint.length) / 2
    for a, b in joint.tenons:
        gap("bottom", (a + b) / 2, (joint.length, 0.0), home, joint.fit.bottom.mid)
        for way in (neg(up), up):
            gap("cheek", (a + b) / 2, (mid, side * dot(way, up)), way, cheek)
        gap("end", a, (mid, 0.0), neg(joint.across), joint.room)
        gap("end", b, (mid, 0.0), joint.across, joint.room)
    return tuple(
        Gap(
            what=what,
            of=_owner(joint, at).name,
            against=joint.board.name,
            at=spot,
            toward=way,
            room=room,
        )
        for what, at, spot, way, room in places
    )


def _within(joint: EndBoard, low: float, high: float) -> Iterator[Span]:
    """A span cut at the glue lines."""
    for a, b in joint.places:
        yield max(a, low), min(b, high)


def _owner(joint: EndBoard, at: float) -> Member:
    """The section in which a place lies, glue lines included."""
    pairs = zip(joint.sections, joint.places, strict=True)
    return next(m for m, (a, b) in pairs if a - FLUSH <= at <= b + FLUSH)


def pressed_area(diameter: float, offset: float, slot: float) -> float:
    """Area in mm² of a peg that lies outside its hole in the tenon.

    The peg's middle lies ``offset`` mm off the hole's, square to the slot; the slot's round ends
    are ``slot`` mm apart from middle to middle, 0 for a round hole.
    """
    if not slot:
        return crescent_area(diameter, offset)
    r = diameter / 2
    hole = Round((-slot / 2, 0.0), (slot / 2, 0.0), r).outline()
    peg = Round((0.0, offset), (0.0, offset), r).outline()
    wide = slot + diameter + abs(offset)
    both = region_area([hole, peg], [], (-wide, -wide, wide, wide))
    return both - hole.area
