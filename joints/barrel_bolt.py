"""The knock-down bolt: through a post along a rail's grain, into a barrel nut across the rail."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from treenail.joints.base import Gap, Hardware, Joint, Number
from treenail.joints.cuts import Bore, Slot
from treenail.joints.trenches import FLUSH, axis_of
from treenail.timber.errors import GeometryError
from treenail.timber.frames import Frame, Vec, along, dot, neg, snap, sub
from treenail.timber.member import Face
from treenail.timber.metric_bolts import MetricBolt, bolt_length_for, metric_bolt

if TYPE_CHECKING:
    from collections.abc import Mapping

    from treenail.joints.cuts import Cut
    from treenail.timber.member import Member

#: The bolt that is taken where none is named (common practice for benches).
USUAL = metric_bolt("M8")
#: From the rail's end to the barrel nut's axis, mm (common practice: about 1 3/4 in).
SETBACK = 45.0
#: A barrel nut's hole is this much wider than the nut, mm (our own choice).
NUT_ROOM = 0.1
#: The rail's hole goes this far beyond the bolt's point, mm (our own choice).
POINT_ROOM = 5.0
#: Head and washer lie this far below the post's face, mm (our own choice).
SUNK = 1.5
#: Room between the washer and its counterbore in total, a socket's wall included, mm (our own).
COUNTERBORE_ROOM = 3.0


@dataclass(frozen=True, kw_only=True)
class BarrelBolt(Joint):
    """A bolt that draws a rail's end to a post, and lets it go again.

    The rail's end butts on the post, or stands in it by a stub tenon or housing of another
    joint, which keeps the rail from turning.

    Attributes:
        rail: the member with the barrel nut.
        post: the member that the bolt goes through.
        size: the bolt and its nut; M8 by default.
        at: the bolt's place on the rail's section, from its face edge and its face side, mm;
            None is the middle.
        setback: from the rail's end to the nut's axis, mm.
        nut_face: the rail's face at which the nut goes in.
        length: of the bolt under its head, mm; None takes the shortest stocked one that goes
            through the nut.
        counterbore: depth of the pocket for head and washer, mm; None sinks them.
        slot: how far hole and pocket in the post are lengthened across the rail's width, from
            middle to middle of their round ends, mm: for a rail that must move; 0: round.
    """

    rail: Member
    post: Member
    size: MetricBolt = USUAL
    at: tuple[float, float] | None = None
    setback: float = SETBACK
    nut_face: Face = Face.BACK_SIDE
    length: float | None = None
    counterbore: float | None = None
    slot: float = 0.0

    def __post_init__(self) -> None:
        """Refuse members that don't meet, and a bolt or nut without place (GeometryError)."""
        if self.nut_face.is_end:
            raise GeometryError(f"{self.name}: a barrel nut goes in across the rail's grain")
        if self.grip <= FLUSH:
            raise GeometryError(
                f"{self.name}: a counterbore {self.sunk:g} mm deep goes through {self.post.name}"
            )
        short = self.setback + self.size.nut_diameter / 2 - self.reach
        if short > FLUSH:
            raise GeometryError(
                f"{self.name}: the bolt ends {short:g} mm short of the far side of its nut"
            )
        if min(self.nut_depth - self.size.nut_length, self._behind_nut) < -FLUSH:
            raise GeometryError(
                f"{self.name}: a barrel nut {self.size.nut_length:g} mm long stands out of "
                f"{self.rail.name}, which is {self.rail.extent(self.nut_face):g} mm there"
            )

    @property
    def kind(self) -> str:
        """``knock-down bolt``, or ``... in a slot``."""
        return "knock-down bolt in a slot" if self.slot else "knock-down bolt"

    @property
    def members(self) -> tuple[Member, ...]:
        """(rail, post): what takes the thread, and what the washer bears on."""
        return (self.rail, self.post)

    @cached_property
    def place(self) -> tuple[float, float]:
        """The bolt's place on the rail's section: from the face edge and the face side, mm."""
        return self.at or (self.rail.width / 2, self.rail.thickness / 2)

    def _on_end(self, end: Face) -> Vec:
        x = 0.0 if end is Face.NEAR_END else self.rail.length
        return self.rail.placement.point((x, *self.place))

    def _planes(self, end: Face) -> tuple[float, float]:
        """How far beyond a rail's end the post begins and ends, along the rail, mm."""
        out = self.rail.placement.direction(end.outward)
        start = self._on_end(end)
        levels = (dot(sub(p, start), out) for p in self.post.world_corners())
        low, *_, high = sorted(levels)
        return low, high

    @cached_property
    def end(self) -> Face:
        """The rail's end that meets the post; GeometryError if none does."""
        out = self.rail.placement.direction(Face.FAR_END.outward)
        if axis_of(self.post.placement.local_direction(out)) is None:
            raise GeometryError(
                f"{self.name}: {self.rail.name} does not stand square to {self.post.name}"
            )
        gaps = {end: self._planes(end) for end in (Face.NEAR_END, Face.FAR_END)}
        end = min(gaps, key=lambda e: abs(gaps[e][0]))
        low, high = gaps[end]
        if low > FLUSH:
            raise GeometryError(
                f"{self.name}: {self.rail.name} stops {low:g} mm short of {self.post.name}"
            )
        if high <= FLUSH:
            raise GeometryError(f"{self.name}: {self.rail.name} goes through {self.post.name}")
        spot = self.post.placement.local_point(self._on_end(end))
        way = axis_of(self.post.placement.local_direction(out))
        for i in range(3):
            if i != way and not 0.0 < spot[i] < self.post.size[i]:
                raise GeometryError(f"{self.name}: the bolt passes beside {self.post.name}")
        return end

    @cached_property
    def drive(self) -> Vec:
        """Unit vector from the bolt's head to its point, in the bench."""
        return self.rail.placement.direction(self.end.inward)

    @cached_property
    def entry_face(self) -> Face:
        """The post's face at which the bolt goes in."""
        return self.post.face_towards(neg(self.drive))

    @property
    def sunk(self) -> float:
        """The counterbore's depth, mm; 0 for none."""
        if self.counterbore is not None:
            return self.counterbore
        return snap(self.size.head_height + self.size.washer_thickness + SUNK)

    @property
    def grip(self) -> float:
        """From the washer to the rail's end, mm."""
        return snap(self._planes(self.end)[1] - self.sunk)

    @cached_property
    def bolt_length(self) -> float:
        """Under the head, mm; GeometryError where no stocked length will do."""
        if self.length is not None:
            return self.length
        through = self.grip + self.setback + self.size.nut_diameter / 2
        least = self.size.washer_thickness + through
        found = bolt_length_for(least)
        if found is None:
            raise GeometryError(f"{self.name}: no bolt of {least:g} mm is stocked")
        return found

    @property
    def reach(self) -> float:
        """From the rail's end to the bolt's point, mm."""
        return snap(self.bolt_length - self.size.washer_thickness - self.grip)

    @cached_property
    def nut_depth(self) -> float:
        """From the nut's face to its hole's bottom, on which the nut stands, mm."""
        edge, side = self.place
        to_axis = {
            Face.FACE_EDGE: edge,
            Face.BACK_EDGE: self.rail.width - edge,
            Face.FACE_SIDE: side,
            Face.BACK_SIDE: self.rail.thickness - side,
        }[self.nut_face]
        return snap(to_axis + self.size.nut_length / 2)

    @property
    def _behind_nut(self) -> float:
        return self.rail.extent(self.nut_face) - self.nut_depth

    @cached_property
    def nut_point(self) -> Vec:
        """Where the axes of bolt and nut cross, in the bench."""
        return along(self._on_end(self.end), self.drive, self.setback)

    @cached_property
    def _axis_frame(self) -> Frame:
        """On the post's entry face at the bolt's axis, z along the bolt, in the bench."""
        start = along(self._on_end(self.end), self.drive, -self._planes(self.end)[1])
        return Frame.from_zx(start, self.drive, self.rail.placement.y)

    def _bore(self, member: Member, face: Face, frame: Frame, purpose: str, **size: float) -> Bore:
        return Bore(
            joint=self.name,
            purpose=purpose,
            face=face,
            frame=member.placement.localise(frame),
            diameter=snap(size["diameter"]),
            depth=snap(size["depth"]),
        )

    def _in_post(self, purpose: str, diameter: float, depth: float, *, through: bool) -> Cut:
        frame = self.post.placement.localise(self._axis_frame)
        if not self.slot:
            return Bore(
                joint=self.name,
                purpose=purpose,
                face=self.entry_face,
                frame=frame,
                diameter=snap(diameter),
                depth=snap(depth),
                through=through,
            )
        return Slot(
            joint=self.name,
            purpose=purpose.replace("hole", "slot"),
            face=self.entry_face,
            frame=frame,
            centres=self.slot,
            width=snap(diameter),
            depth=snap(depth),
            through=through,
        )

    def cuts(self) -> Mapping[str, tuple[Cut, ...]]:
        """Bolt hole and barrel nut's hole in the rail; bolt hole and counterbore in the post."""
        hole, axis = self.size.clearance_hole, self._axis_frame
        end = Frame(self._on_end(self.end), axis.x, axis.y, axis.z)
        inward = self.rail.placement.direction(self.nut_face.inward)
        top = along(self.nut_point, inward, self.size.nut_length / 2 - self.nut_depth)
        nut = Frame.from_zx(top, inward, self.rail.placement.x)
        wide = self.size.nut_diameter + NUT_ROOM
        deep = max(self.reach, self.setback) + POINT_ROOM
        rail = (
            self._bore(self.rail, self.end, end, "bolt hole", diameter=hole, depth=deep),
            self._bore(
                self.rail,
                self.nut_face,
                nut,
                "barrel nut hole",
                diameter=wide,
                depth=self.nut_depth,
            ),
        )
        whole = self.post.extent(self.entry_face)
        post = [self._in_post("bolt hole", hole, whole, through=True)]
        if self.sunk > 0.0:
            pocket = self.size.washer_od + COUNTERBORE_ROOM
            post.append(self._in_post("counterbore", pocket, self.sunk, through=False))
        return {self.rail.name: rail, self.post.name: tuple(post)}

    def hardware(self) -> tuple[Hardware, ...]:
        """The bolt with its washer, and the barrel nut."""
        inward = self.rail.placement.direction(self.nut_face.inward)
        seat = self._axis_frame.shifted((0.0, 0.0, self.sunk))
        return (
            Hardware(
                name=f"bolt_{self.name}",
                kind="bolt",
                size=self.size,
                length=self.bolt_length,
                placement=seat.snapped(),
            ),
            Hardware(
                name=f"nut_{self.name}",
                kind="barrel nut",
                size=self.size,
                length=self.size.nut_length,
                body=self.size.nut_diameter,
                placement=Frame.from_zx(self.nut_point, inward, self.drive).snapped(),
            ),
        )

    def numbers(self) -> Mapping[str, Number]:
        """The bolt, and how deep everything goes."""
        return {
            "bolt": self.size.name,
            "length_mm": self.bolt_length,
            "grip_mm": self.grip,
            "in_rail_mm": self.reach,
            "nut_setback_mm": self.setback,
            "nut_hole_depth_mm": self.nut_depth,
            "counterbore_mm": self.sunk,
            **({"slot_mm": self.slot} if self.slot else {}),
        }

    def gaps(self) -> tuple[Gap, ...]:
        """The nut on its hole's bottom."""
        inward = self.rail.placement.direction(self.nut_face.inward)
        half = self.size.nut_length / 2
        return (
            Gap(
                what="end",
                of=f"nut_{self.name}",
                against=self.rail.name,
                at=along(self.nut_point, inward, half),
                toward=inward,
                room=0.0,
            ),
        )
