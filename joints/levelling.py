"""A levelling foot: a threaded insert in a post's end, and a foot on a stud in it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from treenail.joints.base import Hardware, Joint
from treenail.joints.cuts import Bore
from treenail.joints.trenches import FLUSH
from treenail.timber.errors import GeometryError
from treenail.timber.frames import Frame, along, neg, snap
from treenail.timber.measured_parts import levelling_foot

if TYPE_CHECKING:
    from collections.abc import Mapping

    from treenail.joints.base import Number
    from treenail.joints.cuts import Cut
    from treenail.timber.member import Face, Member

#: The stud's hole is wider than the stud, and deeper than it reaches, mm (our own choice).
STUD_ROOM, STUD_DEEPER = 25.4 / 16, 3.0


@dataclass(frozen=True, kw_only=True)
class LevellingFoot(Joint):
    """One foot, as measured, in a post's end or under a trestle's foot.

    Attributes:
        member: the post, or what lies on the feet.
        end: its lower end or face.
        insert_hole: diameter of the hole for the insert, mm.
        insert_length: mm.
        stud: diameter of the thread, mm.
        stud_length: from the foot's upper face to the thread's end, mm.
        pad: the foot's diameter, mm.
        pad_thickness: its height, mm.
        standing: floor to that face, mm.
        at: (x, y) in the face's frame, mm; None: its middle.
    """

    member: Member
    end: Face
    insert_hole: float
    insert_length: float
    stud: float
    stud_length: float
    pad: float
    pad_thickness: float
    standing: float
    at: tuple[float, float] | None = None

    def __post_init__(self) -> None:
        """Refuse a foot that has no place in the post, or hangs in the air (GeometryError)."""
        if self.beside(max(self.insert_hole, self.stud + STUD_ROOM)) <= FLUSH:
            raise GeometryError(f"{self.name}: the insert's hole breaks out of {self.member.name}")
        if self.depth >= self.member.extent(self.end) - FLUSH:
            raise GeometryError(f"{self.name}: the stud's hole goes through {self.member.name}")
        if self.stud > self.insert_hole:
            raise GeometryError(f"{self.name}: the stud is thicker than its insert")
        if not -1e-9 <= self.turned_out <= self.travel + 1e-9:
            raise GeometryError(
                f"{self.name}: turned out {self.turned_out:g} mm of {self.travel:g} mm"
            )

    @property
    def kind(self) -> str:
        """``levelling foot``."""
        return "levelling foot"

    @property
    def members(self) -> tuple[Member, ...]:
        """The post."""
        return (self.member,)

    @property
    def centre(self) -> tuple[float, float]:
        """Its place in the face's frame, mm."""
        wide, high = self.member.face_size(self.end)
        return (wide / 2, high / 2) if self.at is None else self.at

    def beside(self, hole: float) -> float:
        """Wood between a hole of that diameter and the face's nearest side, mm."""
        (x, y), (wide, high) = self.centre, self.member.face_size(self.end)
        return min(x, wide - x, y, high - y) - hole / 2

    @property
    def travel(self) -> float:
        """How far the foot can be turned out with the whole insert on its thread, mm."""
        return snap(self.stud_length - self.insert_length)

    @property
    def turned_out(self) -> float:
        """How far it is turned out as the bench stands, mm."""
        return snap(self.standing - self.pad_thickness)

    @property
    def depth(self) -> float:
        """Of the stud's hole, mm."""
        return snap(max(self.stud_length + STUD_DEEPER, self.insert_length))

    def numbers(self) -> Mapping[str, Number]:
        """Its holes, and how far it is and can be turned out."""
        return {
            "insert_hole_mm": self.insert_hole,
            "stud_hole_depth_mm": self.depth,
            "turned_out_mm": self.turned_out,
            "travel_mm": self.travel,
        }

    def cuts(self) -> Mapping[str, tuple[Cut, ...]]:
        """The insert's hole, and the stud's beyond it."""
        frame = self.member.face_frame(self.end).shifted((*self.centre, 0.0)).snapped()
        bores = (
            ("insert hole", self.insert_hole, self.insert_length),
            ("stud hole", snap(self.stud + STUD_ROOM), self.depth),
        )
        return {
            self.member.name: tuple(
                Bore(
                    joint=self.name,
                    purpose=purpose,
                    face=self.end,
                    frame=frame,
                    diameter=diameter,
                    depth=depth,
                )
                for purpose, diameter, depth in bores
            )
        }

    def hardware(self) -> tuple[Hardware, ...]:
        """Foot, stud and insert in one."""
        place = self.member.placement
        frame = place.place(self.member.face_frame(self.end).shifted((*self.centre, 0.0)))
        size = levelling_foot(
            pad=self.pad,
            pad_thickness=self.pad_thickness,
            stud=self.stud,
            reach=snap(self.pad_thickness + self.stud_length),
            insert=(self.standing, snap(self.standing + self.insert_length), self.insert_hole),
        )
        floor = along(frame.origin, neg(frame.z), self.standing)
        return (
            Hardware(
                name=f"foot_of_{self.member.name}"
                if self.at is None
                else self.name.replace("levelling_foot", "foot_of", 1),
                kind="levelling foot",
                size=size,
                length=snap(self.pad_thickness + self.stud_length),
                placement=Frame(floor, frame.x, frame.y, frame.z).snapped(),
            ),
        )


__all__ = ["STUD_DEEPER", "STUD_ROOM", "LevellingFoot"]
