"""Boards across a top's ends over the year: slots, mortises and grooves that let the slab move."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from treenail.checks.bolt_places import travel
from treenail.checks.climate import swing
from treenail.checks.gauge import SAME, cuts_of
from treenail.checks.panels import panel_of, place_move
from treenail.checks.rules import Context, Finding, rule
from treenail.checks.year import is_sure
from treenail.joints.barrel_bolt import BarrelBolt
from treenail.joints.cuts import Bore, Mortise, Slot
from treenail.joints.end_board import EndBoard
from treenail.joints.trenches import Trench
from treenail.timber.frames import dot

if TYPE_CHECKING:
    from treenail.joints.cuts import Cut
    from treenail.timber.member import Member

__all__ = ["EndHold", "end_holds"]

_MOVEMENT = "FPL-GTR-190 (2010) ch. 13 for the movement; the spec's own seasons"


@dataclass(frozen=True, slots=True, kw_only=True)
class EndHold:
    """A peg or bolt that holds an end board.

    Attributes:
        joint, name: of the joint, and of the peg or bolt.
        board, section: what it holds to what.
        away: from the wood that holds the board in its place, across the slab, mm.
        per_percent: how far the slab there moves past the board, mm per point of moisture.
        ways: (cut, body that moves in it, its name, the member that is cut).
        fixed: round: it holds the board in its place.
    """

    joint: str
    name: str
    board: Member
    section: Member
    away: float
    per_percent: float
    ways: tuple[tuple[Cut, float, str, Member], ...]
    fixed: bool

    def need(self, points: tuple[float, float]) -> float:
        """How far it must be free to go each way, mm."""
        return max(abs(self.per_percent * p) for p in points)


def end_holds(context: Context) -> tuple[EndHold, ...]:
    """Every peg and bolt of end boards."""
    return context.once("end board holds", lambda: tuple(_holds(context)))


@dataclass(frozen=True, slots=True)
class _Raw:
    joint: str
    name: str
    section: Member
    at: float
    ways: tuple[tuple[Cut, float, str, Member], ...]
    fixed: bool


def _boards(context: Context) -> dict[str, list[EndBoard]]:
    """End boards' joints by the board's name."""
    found: dict[str, list[EndBoard]] = {}
    for joint in context.bench.joints:
        if isinstance(joint, EndBoard):
            found.setdefault(joint.board.name, []).append(joint)
    return found


def _raw(context: Context, joints: list[EndBoard]) -> Iterator[_Raw]:
    bench, board = context.bench, joints[0].board
    axis = joints[0].across
    for joint in joints:
        start = dot(joint.first.placement.origin, axis)
        for i, spot in enumerate(joint.spots, start=1):
            section = next(
                m for m, (a, b) in zip(joint.sections, joint.places, strict=True) if a < spot.at < b
            )
            cuts = [
                c
                for kind in ("peg hole", "peg slot")
                for c in cuts_of(bench, section, joint, kind)
                if isinstance(c, Bore | Slot)
                and abs(dot(section.placement.point(c.frame.origin), axis) - start - spot.at) < 0.1
            ]
            body = joint.draw.diameter if joint.draw else 0.0
            yield _Raw(
                joint.name,
                f"peg_{joint.name}_{i}",
                section,
                start + spot.at,
                tuple((c, body, "peg", section) for c in cuts),
                all(isinstance(c, Bore) for c in cuts),
            )
    sections = {m.name for joint in joints for m in joint.sections}
    for bolt in bench.joints:
        if isinstance(bolt, BarrelBolt) and bolt.post == board and bolt.rail.name in sections:
            ways = [
                (c, body, what, board)
                for kind, body, what in (
                    ("bolt hole", bolt.size.diameter, "shank"),
                    ("bolt slot", bolt.size.diameter, "shank"),
                    ("counterbore", bolt.size.washer_od, "washer"),
                )
                for c in cuts_of(bench, board, bolt, kind)
            ]
            yield _Raw(
                bolt.name,
                f"bolt_{bolt.name}",
                bolt.rail,
                dot(bolt.nut_point, axis),
                tuple(ways),
                not any(isinstance(c, Slot) for c, *_ in ways),
            )


def _holds(context: Context) -> Iterator[EndHold]:
    for joints in _boards(context).values():
        raw = list(_raw(context, joints))
        if not raw:
            continue
        axis = joints[0].across
        rounds = [r for r in raw if r.fixed]
        # With nothing held fast the board creeps about its middle.
        anchor = rounds[0] if rounds else sorted(raw, key=lambda r: r.at)[len(raw) // 2]
        held = place_move(context, panel_of(context, anchor.section), anchor.at, axis)
        for r in raw:
            moves = place_move(context, panel_of(context, r.section), r.at, axis)
            yield EndHold(
                joint=r.joint,
                name=r.name,
                board=joints[0].board,
                section=r.section,
                away=r.at - anchor.at,
                per_percent=moves - held,
                ways=r.ways,
                fixed=r.fixed,
            )


def anchor_move(context: Context, joint: EndBoard) -> float:
    """How far an end board goes across the slab, mm per point of moisture, with what holds it."""
    board = joint.board.name
    holds = [h for h in end_holds(context) if h.board.name == board and h.away == 0.0]
    if not holds:
        return 0.0
    hold = holds[0]
    at = [r.at for r in _raw(context, _boards(context)[board]) if r.name == hold.name]
    return place_move(context, panel_of(context, hold.section), at[0], joint.across)


@rule(
    "end-board-slot",
    title="Slots let the top move behind its end boards",
    why="A slab that swells and shrinks behind a board that doesn't splits at pegs and bolts that "
    "hold it fast in two places.",
    remedy="Lengthen the slots across the slab's grain, all but one.",
    source=_MOVEMENT,
)
def end_board_slot(context: Context) -> Iterator[Finding]:
    """Play of each peg and bolt against the season's movement from the one that holds the board."""
    points = swing(context.bench.seasons)
    for hold in end_holds(context):
        need = hold.need(points)
        for cut, body, what, member in hold.ways:
            room = travel(cut, body)
            if room is None or need <= room + SAME:
                continue
            lack = context.say(2 * (need - room))
            yield Finding(
                rule="end-board-slot",
                severity="error" if is_sure(hold.section) else "warning",
                message=f"The slab moves {context.say(need)} past {hold.board.name} here over the "
                f"year; the {cut.purpose} lets the {what} go {context.say(room)} each way.",
                joint=hold.joint,
                member=member.name,
                face=str(cut.face),
                measured=room,
                limit=need,
                remedy=f"Lengthen the {cut.purpose} by {lack}."
                if isinstance(cut, Slot)
                else f"Make the {cut.purpose} a slot across the slab's grain, {lack} between "
                "centres.",
            )


@rule(
    "end-board-room",
    title="Mortises and grooves of end boards let the tenons move",
    why="A tenon that swells against the end of its mortise splits the board, or itself.",
    remedy="Make the mortises and the groove longer.",
    source=_MOVEMENT,
)
def end_board_room(context: Context) -> Iterator[Finding]:
    """Room at the ends of each mortise, and of the groove, against what the slab moves there."""
    points = swing(context.bench.seasons)
    for joints in _boards(context).values():
        for joint in joints:
            axis, held = joint.across, anchor_move(context, joint)
            start = dot(joint.first.placement.origin, axis)
            worst: tuple[float, float, float, str] | None = None
            for low, high, wood, purpose in _pockets(context, joint):
                for edge, tip, way in ((low, wood[0], -1.0), (high, wood[1], 1.0)):
                    room = (edge - tip) * way
                    panel = panel_of(context, joint.first)
                    moves = place_move(context, panel, start + tip, axis) - held
                    need = max(moves * p * way for p in points)
                    if need > room + SAME and (worst is None or need - room > worst[0]):
                        worst = (need - room, room, need, purpose)
            if worst is None:
                continue
            lack, room, need, purpose = worst
            yield Finding(
                rule="end-board-room",
                severity="error" if is_sure(*joint.sections) else "warning",
                message=f"The slab moves {context.say(need)} past {joint.board.name}; the "
                f"{purpose} leaves {context.say(room)} at its end.",
                joint=joint.name,
                member=joint.board.name,
                face=str(joint.board_face),
                measured=room,
                limit=need,
                remedy=f"Make it {context.say(lack)} longer there.",
            )


def _pockets(
    context: Context, joint: EndBoard
) -> Iterator[tuple[float, float, tuple[float, float], str]]:
    """(from, to, what stands in it, its name) of mortises and groove, across the slab, mm."""
    bench, axis = context.bench, joint.across
    start = dot(joint.first.placement.origin, axis)

    def span(cut: Mortise | Trench) -> tuple[float, float]:
        half = cut.length / 2
        ends = [
            dot(joint.board.placement.point(cut.frame.point((x, 0.0, 0.0))), axis) - start
            for x in (-half, half)
        ]
        return min(ends), max(ends)

    cuts = [c for c in cuts_of(bench, joint.board, joint, "mortise") if isinstance(c, Mortise)]
    for cut, wood in zip(cuts, joint.tenons, strict=False):
        yield (*span(cut), wood, "mortise")
    for groove in cuts_of(bench, joint.board, joint, "groove"):
        if isinstance(groove, Trench):
            yield (*span(groove), joint.tongue_span, "groove")


@rule(
    "end-board-held",
    title="One peg or bolt holds an end board",
    why="A board on slots alone creeps along the slab's end, out of flush with the front edge.",
    remedy="Leave one hole round: the middle peg's, or a cap's front bolt's.",
    source="common practice",
)
def end_board_held(context: Context) -> Iterator[Finding]:
    """At least one of a board's pegs and bolts goes through a round hole."""
    boards: dict[str, list[EndHold]] = {}
    for hold in end_holds(context):
        boards.setdefault(hold.board.name, []).append(hold)
    for name, holds in boards.items():
        if not any(h.fixed for h in holds):
            yield Finding(
                rule="end-board-held",
                severity="warning",
                message=f"All {len(holds)} pegs or bolts of {name} go through slots.",
                joint=holds[0].joint,
                member=name,
                unit="1",
            )
