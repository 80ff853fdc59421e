"""Where pieces end and lie once their neighbours have their real sizes.

Reference faces stay. Ends and edges that stand in another piece follow its real face and the
real depth of its cut; what rests on another piece goes down or up with it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from treenail.joints.angled_cuts import end_plane
from treenail.joints.angled_tenon import AngledTenon
from treenail.joints.edges import PanelGroove
from treenail.joints.end_board import EndBoard
from treenail.joints.features import Bearing, EdgeGlue
from treenail.joints.lag_bolt import LagBolt
from treenail.joints.meetings import SIZES
from treenail.joints.seats import SeatRebate
from treenail.joints.skew import BevelledEnd
from treenail.joints.trenches import face_axis, is_low
from treenail.joints.vise_screw import ViseScrew
from treenail.shop.refit.goals import Goal, goals_of
from treenail.shop.refit.sections import SAME
from treenail.timber.frames import Vec, add, along, dot, neg, scale, snap, snap_vec, sub
from treenail.timber.member import Face, Member

if TYPE_CHECKING:
    from treenail.generators.bench import Bench
    from treenail.joints.base import Joint

UP: Vec = (0.0, 0.0, 1.0)
#: Each round of following moves what hangs on what was moved; a few are enough.
ROUNDS = 6
#: A shelf's board that ends so near to a post stays so near, mm (our own choice).
NEAR_POST = 12.0


@dataclass
class Places:
    """Members on their way to their real places.

    Attributes:
        before: as designed.
        members: as they are now, by name.
        joints: measured sizes, by joint.
        lengths: of the tenons, by joint, mm.
        fixed: (member, size) that exist and can't grow.
        grown: how far each member's own origin went back, in its own coordinates, mm.
    """

    before: Bench
    members: dict[str, Member]
    joints: Mapping[str, Mapping[str, float]]
    lengths: Mapping[str, float]
    fixed: frozenset[tuple[str, str]]
    grown: dict[str, Vec] = field(default_factory=dict)

    def settle(self) -> None:
        """Move and lengthen until nothing changes any more."""
        for _ in range(ROUNDS):
            moved = self._stand() + self._rest()
            goals: dict[tuple[str, Face], list[Goal]] = {}
            for joint in self.before.joints:
                for goal in goals_of(joint, self, self.joints.get(joint.name, {})):
                    goals.setdefault((goal.member, goal.face), []).append(goal)
            for found in goals.values():
                pick = max if found[0].seats else min
                moved += self._reach(pick(found, key=lambda g: g.level))
            moved += self._beside_posts() + sum(self._sawn(joint) for joint in self.before.joints)
            if not moved:
                return

    # -- moving ------------------------------------------------------------------------------

    def level(self, member: str | Member, face: Face, way: Vec) -> float:
        """Where a face lies along a direction of the bench, mm."""
        own = self.members[member] if isinstance(member, str) else member
        return dot(own.placement.point(own.face_frame(face).origin), way)

    def outward(self, name: str, face: Face) -> Vec:
        """A member's face's outward direction in the bench."""
        return self.members[name].placement.direction(face.outward)

    def _shift(self, name: str, by: Vec) -> int:
        own = self.members[name]
        if max(abs(x) for x in by) <= SAME:
            return 0
        place = replace(own.placement, origin=snap_vec(add(own.placement.origin, by)))
        self.members[name] = replace(own, placement=place)
        return 1

    def _reach(self, goal: Goal) -> int:
        out = self.outward(goal.member, goal.face)
        by = snap(goal.level - self.level(goal.member, goal.face, out))
        axis = face_axis(goal.face)
        if goal.moves or (goal.member, SIZES[axis]) in self.fixed:
            return self._shift(goal.member, scale(out, by))
        return self.extend(goal.member, goal.face, by)

    def extend(self, name: str, face: Face, by: float) -> int:
        """Let a piece grow at one face, mm; its other faces and cuts stay where they are."""
        own, axis = self.members[name], face_axis(face)
        if abs(by) <= SAME:
            return 0
        place = own.placement
        if is_low(face):
            origin = along(place.origin, place.direction(face.outward), by)
            place = replace(place, origin=snap_vec(origin))
            old = self.grown.get(name, (0.0, 0.0, 0.0))
            self.grown[name] = snap_vec(add(old, scale(neg(face.outward), by)))
        size = snap(own.size[axis] + by)
        match axis:
            case 0:
                self.members[name] = replace(own, length=size, placement=place)
            case 1:
                self.members[name] = replace(own, width=size, placement=place)
            case _:
                self.members[name] = replace(own, thickness=size, placement=place)
        return 1

    def _beside_posts(self) -> int:
        """The outermost boards of a shelf keep off the posts as far as they did."""
        moved = 0
        for board in self.before.timbers:
            if board.role != "shelf board":
                continue
            for face in (Face.FACE_EDGE, Face.BACK_EDGE):
                out = board.placement.direction(face.outward)
                edge = self.level(board, face, out)
                near = []
                for post in (m for m in self.before.timbers if m.role == "post"):
                    own = post.face_towards(neg(out))
                    gap = self.level(post, own, out) - edge
                    if -SAME <= gap < NEAR_POST:
                        near.append(self.level(post.name, own, out) - gap)
                if near:
                    moved += self._reach(Goal(board.name, face, min(near)))
        return moved

    def _sawn(self, joint: Joint) -> int:
        """An end that is sawn aslant leaves room for its plane on all sides, as it did."""
        if isinstance(joint, BevelledEnd):
            name, end, more = joint.member.name, joint.end, 0.0
            planes = (joint.point, joint.outward), (flush_point(self, joint), joint.outward)
        elif isinstance(joint, AngledTenon) and joint.through:
            name, end = joint.entering.name, joint.end
            back = joint.receiver_face.opposite
            points = [
                m.placement.point(m.face_frame(back).origin)
                for m in (joint.receiver, self.members[joint.receiver.name])
            ]
            out = joint.receiver.placement.direction(back.outward)
            planes = (points[0], out), (points[1], out)
            # A larger tenon's corners come out later; what is over is cut off flush anyway.
            sizes, m = self.joints.get(joint.name, {}), joint.mortise
            wider = max(0.0, sizes.get("mortise_length", m.length) - m.length)
            wider += max(0.0, sizes.get("mortise_width", m.width) - m.width)
            more = math.tan(joint.tilt) * wider / 2
        else:
            return 0
        was, now = (
            _least_depth(m, end, *plane)
            for m, plane in zip(
                (self.before.by_name[name], self.members[name]), planes, strict=True
            )
        )
        by = was + more - now
        return self.extend(name, end, snap(by)) if by > SAME else 0

    # -- what stands and rests -----------------------------------------------------------------

    def _stand(self) -> int:
        """What stood on the floor stands on it; a vise's jaw closes on what it closed on."""
        moved = 0
        for old in self.before.timbers:
            if old.role != "post" and abs(old.bounds()[0][2]) < SAME:
                low = self.members[old.name].bounds()[0][2]
                moved += self._shift(old.name, (0.0, 0.0, -snap(low)))
        for joint in self.before.joints:
            if isinstance(joint, ViseScrew):  # a jaw's inner face stays on what it closes on
                way, jaw = joint.direction, joint.jaw
                face = jaw.face_towards(way)
                by = self.level(jaw, face, way) - self.level(jaw.name, face, way)
                moved += self._shift(jaw.name, scale(way, snap(by)))
        return moved

    def _rest(self) -> int:
        """What rests on another piece rests on the highest of those below it."""
        needed: dict[str, float] = {}
        for joint in self.before.joints:
            for name, by in self._lifts(joint):
                needed[name] = max(by, needed.get(name, by))
        moved = sum(self._shift(name, (0.0, 0.0, snap(by))) for name, by in needed.items())
        for joint in self.before.joints:
            if isinstance(joint, PanelGroove):
                pair = (joint.receiver, joint.entering)
            elif isinstance(joint, EndBoard):
                pair = (joint.first, joint.board)
            else:
                continue
            first, second = (
                self.members[m.name].placement.origin[2] - m.placement.origin[2] for m in pair
            )
            if pair[1].name not in needed:
                needed[pair[1].name] = 0.0
                moved += self._shift(pair[1].name, (0.0, 0.0, snap(first - second)))
        return moved + self._flush(set(needed))

    def _lifts(self, joint: Joint) -> Iterator[tuple[str, float]]:
        """(piece, how far it must rise) at a joint, mm."""
        if isinstance(joint, Bearing):
            below, above = joint.below, joint.above
        elif isinstance(joint, LagBolt) and joint.direction[2] > 0.5:
            below, above = joint.carrier, joint.top
        elif isinstance(joint, SeatRebate):
            floor = self._edge(joint) - self.rebate_depth(joint)
            for board in joint.boards:
                yield board.name, floor - self.members[board.name].bounds()[0][2]
            return
        elif isinstance(joint, EdgeGlue):
            # A ledge glued on a slab's edge stays flush with its underside.
            first, second = joint.first, joint.second
            lows = [m.bounds()[0][2] for m in (first, second)]
            if abs(lows[0] - lows[1]) < SAME and second.role == "top ledge":
                now = [self.members[m.name].bounds()[0][2] for m in (first, second)]
                yield second.name, now[0] - now[1]
            return
        else:
            return
        if abs(above.bounds()[0][2] - below.bounds()[1][2]) < SAME:
            low = self.members[above.name].bounds()[0][2]
            yield above.name, self.members[below.name].bounds()[1][2] - low

    def _edge(self, joint: SeatRebate) -> float:
        """Height of the edge that a rebate is cut in, mm."""
        return self.level(joint.rail.name, joint.edge, self.outward(joint.rail.name, joint.edge))

    def rebate_depth(self, joint: SeatRebate) -> float:
        """As cut; as deep as what is cut for the same boards; or thickest board flush in it, mm."""
        known = self.joints.get(joint.name, {}).get("rebate_depth")
        if known is not None:
            return known
        floors = [
            self._edge(other) - self.joints[other.name]["rebate_depth"]
            for other in self.before.joints
            if isinstance(other, SeatRebate)
            and "rebate_depth" in self.joints.get(other.name, {})
            and {b.name for b in other.boards} & {b.name for b in joint.boards}
        ]
        if floors:
            return snap(self._edge(joint) - max(floors))
        was = max(b.thickness for b in joint.boards)
        now = max(self.members[b.name].thickness for b in joint.boards)
        return snap(joint.depth + now - was)

    def _flush(self, resting: set[str]) -> int:
        """A loose strip between two slabs lies flush with them: its thickness follows theirs."""
        tops = [m for m in self.before.timbers if m.role == "top section"]
        moved = 0
        for strip in self.before.timbers:
            if strip.role != "gap strip" or strip.name not in resting or not tops:
                continue
            if (strip.name, "thickness") not in self.fixed:
                high = min(self.members[m.name].bounds()[1][2] for m in tops)
                now = self.members[strip.name].bounds()[1][2]
                face = strip.face_towards(UP)
                moved += self.extend(strip.name, face, snap(high - now))
        return moved


def _least_depth(member: Member, end: Face, point: Vec, outward: Vec) -> float:
    """How far an end's stock reaches at least beyond a plane, mm."""
    plane = end_plane(member, end, point, outward)
    return min(plane.depth(x, y) for x in (0.0, member.width) for y in (0.0, member.thickness))


def flush_point(places: Places, joint: BevelledEnd) -> Vec:
    """A point of a sawn end's plane: in that of the piece with which it was flush, if any."""
    bench, mine = places.before, joint.member.name
    mates = {m.name: m for j in bench.joints_of(mine) for m in j.members if m.name != mine}
    for mate in mates.values():
        face = mate.face_towards(joint.outward)
        plane = mate.placement.place(mate.face_frame(face))
        flush = dot(neg(plane.z), joint.outward) > 1.0 - 1e-9
        if flush and abs(dot(sub(plane.origin, joint.point), plane.z)) < SAME:
            now = places.members[mate.name]
            return now.placement.point(now.face_frame(face).origin)
    return joint.point


__all__ = ["Places", "flush_point"]
