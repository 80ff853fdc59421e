"""A lag bolt up through a stretcher into the top, slotted where the top must move."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from treenail.joints.base import Hardware, Joint
from treenail.joints.cuts import Bore, Cut, Slot
from treenail.timber.errors import GeometryError
from treenail.timber.frames import Frame, Vec, add, along, dot, neg, scale, snap, sub

if TYPE_CHECKING:
    from collections.abc import Mapping

    from treenail.timber.fasteners import LagSize
    from treenail.timber.member import Face, Member

#: Room between the washer and its counterbore, and a socket's wall, in total, mm (our choice).
COUNTERBORE_ROOM = 3.0
#: Pilot hole deeper than the bolt's point, mm (common practice).
PILOT_ROOM = 3.0


@dataclass(frozen=True, kw_only=True)
class LagBolt(Joint):
    """A lag bolt through ``carrier`` into ``top``.

    Attributes:
        top: the member that takes the thread.
        carrier: the member that the bolt passes through, and on which its washer bears.
        point: any point of the bolt's axis, in the bench, mm.
        direction: unit vector from head to point, in the bench.
        size: the bolt's table row.
        length: under the head to the point, mm.
        counterbore: depth of the pocket for head and washer, mm; 0 for none.
        pilot: diameter of the hole for the thread, mm.
        slot: how far the bolt may travel across the top's grain, mm in total; 0: a round hole.
    """

    top: Member
    carrier: Member
    point: Vec
    direction: Vec
    size: LagSize
    length: float
    counterbore: float
    pilot: float
    slot: float = 0.0

    def __post_init__(self) -> None:
        """Refuse a bolt that can't reach, or members that don't lie on each other."""
        if self.web <= 0.0:
            raise GeometryError(f"{self.name}: the counterbore goes through {self.carrier.name}")
        if self.embedment <= 0.0:
            raise GeometryError(
                f"{self.name}: the bolt ends {-self.embedment:g} mm short of {self.top.name}"
            )

    @property
    def kind(self) -> str:
        """``lag bolt`` or ``lag bolt in a slot``."""
        return "lag bolt in a slot" if self.slot else "lag bolt"

    @property
    def members(self) -> tuple[Member, ...]:
        """(top, carrier)."""
        return (self.top, self.carrier)

    @cached_property
    def entry_face(self) -> Face:
        """The carrier's face at which the bolt goes in."""
        return self.carrier.face_towards(neg(self.direction))

    @cached_property
    def top_face(self) -> Face:
        """The top's face at which the thread goes in."""
        return self.top.face_towards(neg(self.direction))

    @property
    def web(self) -> float:
        """Wood of the carrier that the bolt clamps, mm."""
        return snap(self.carrier.extent(self.entry_face) - self.counterbore)

    @property
    def embedment(self) -> float:
        """Length of bolt inside the top, point included, mm."""
        return snap(self.length - self.size.washer_thickness - self.web)

    @property
    def pilot_depth(self) -> float:
        """Depth of the hole for the thread, mm."""
        return snap(self.embedment + PILOT_ROOM)

    @property
    def counterbore_diameter(self) -> float:
        """Of the pocket for head and washer, mm."""
        return snap(self.size.washer_od + COUNTERBORE_ROOM)

    def _on(self, member: Member, face: Face) -> Frame:
        """Frame on a face at the bolt's axis, in bench coordinates; x across the top's grain."""
        surface = member.placement.point(member.face_frame(face).origin)
        at = add(self.point, scale(self.direction, dot(sub(surface, self.point), self.direction)))
        return Frame.from_zx(at, self.direction, self.top.placement.y)

    def _carrier_cut(self, purpose: str, diameter: float, depth: float, *, through: bool) -> Cut:
        frame = self.carrier.placement.localise(self._on(self.carrier, self.entry_face))
        if not self.slot:
            return Bore(
                joint=self.name,
                purpose=purpose,
                face=self.entry_face,
                frame=frame,
                diameter=diameter,
                depth=depth,
                through=through,
            )
        return Slot(
            joint=self.name,
            purpose=purpose.replace("hole", "slot"),
            face=self.entry_face,
            frame=frame,
            centres=self.slot,
            width=diameter,
            depth=depth,
            through=through,
        )

    def cuts(self) -> Mapping[str, tuple[Cut, ...]]:
        """Counterbore and clearance hole (or slots) in the carrier; pilot hole in the top."""
        whole = self.carrier.extent(self.entry_face)
        carrier: list[Cut] = [
            self._carrier_cut("bolt hole", self.size.clearance_hole, whole, through=True)
        ]
        if self.counterbore > 0.0:
            carrier.append(
                self._carrier_cut(
                    "counterbore", self.counterbore_diameter, self.counterbore, through=False
                )
            )
        pilot = Bore(
            joint=self.name,
            purpose="pilot hole",
            face=self.top_face,
            frame=self.top.placement.localise(self._on(self.top, self.top_face)),
            diameter=self.pilot,
            depth=self.pilot_depth,
        )
        return {self.top.name: (pilot,), self.carrier.name: tuple(carrier)}

    def hardware(self) -> tuple[Hardware, ...]:
        """The bolt with its washer."""
        entry = self._on(self.carrier, self.entry_face)
        seat = along(entry.origin, self.direction, self.counterbore)
        return (
            Hardware(
                name=f"lag_{self.name}",
                kind="lag bolt",
                size=self.size,
                length=self.length,
                placement=Frame(seat, entry.x, entry.y, entry.z).snapped(),
            ),
        )
