"""A board across a slab's end that lets the slab move: breadboard ends and tongued end caps.

The slab's tongue stands in a groove of the board, and a few longer tenons in mortises that are
longer than these are wide. One peg, or one bolt, holds the board in its place; the others go
through slots along the tenons' width, so that the slab moves behind a board that doesn't.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, TypeAlias

from treenail.joints.base import Joint
from treenail.joints.cuts import Bore, Cut, Mortise, Slot, TenonEnd
from treenail.joints.drawbored import PEG_END_ROOM
from treenail.joints.end_board_fit import end_board_rooms, pressed_area
from treenail.joints.trenches import FLUSH, face_axis, trench
from treenail.timber.errors import GeometryError
from treenail.timber.frames import Frame, Vec, add, along, dot, neg, scale, snap, sub
from treenail.timber.member import Face, Member

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from treenail.joints.base import Gap, Number
    from treenail.joints.fits import Fit
    from treenail.joints.mortise_tenon import DrawBore

#: From where to where across the slab, from the first section's face edge, mm.
Span: TypeAlias = tuple[float, float]


@dataclass(frozen=True, slots=True)
class EndPeg:
    """A peg of a breadboard end.

    Attributes:
        at: its middle across the slab, from the first section's face edge, mm.
        slot: how far apart the middles of its slot's round ends lie in the tenon, mm; 0: a hole.
    """

    at: float
    slot: float = 0.0


@dataclass(frozen=True, kw_only=True)
class EndBoard(Joint):
    """A cross board on the ends of sections that are glued to one slab.

    Attributes:
        board: lies across the slab's end, its grain square to the slab's; it is grooved.
        sections: of the slab, side by side from the first one's face edge on.
        end: which end of the sections.
        fit: across the tongue; its bottom gap is kept below tongue and tenons.
        tongue: thickness of tongue and tenons, in the middle of the slab's, mm.
        stub: length of the tongue, mm.
        tenons: where the longer tenons stand; none for an end cap that bolts hold.
        inset: shoulders that hide the tongue at the slab's first and last edge, mm.
        room: at each end of every mortise, and of the groove, for the slab to move, mm.
        spots: the pegs.
        draw: how they are bored; its count is that of ``spots``.
    """

    board: Member
    sections: tuple[Member, ...]
    end: Face
    fit: Fit
    tongue: float
    stub: float
    tenons: tuple[Span, ...] = ()
    inset: tuple[float, float] = (0.0, 0.0)
    room: float
    spots: tuple[EndPeg, ...] = ()
    draw: DrawBore | None = None

    def __post_init__(self) -> None:
        """Refuse pieces that don't meet so, and tenons or pegs without place (GeometryError)."""
        for wrong, why in (
            (not self.end.is_end, f"a tongue stands on an end, not on the {self.end}"),
            (not self.sections, "there is nothing to hold"),
            (self.length <= FLUSH, f"the slab stops {-self.length:g} mm short of the board"),
            (
                not 0.0 < self.tongue < self.first.thickness - FLUSH,
                f"no shoulders beside a tongue {self.tongue:g} mm thick",
            ),
            (
                not 0.0 < self.stub <= self.length + FLUSH,
                f"a tongue {self.stub:g} mm long on {self.length:g} mm of wood",
            ),
            (
                not self.tenons and abs(self.stub - self.length) > FLUSH,
                "without tenons the tongue fills the whole length",
            ),
            (min(*self.inset, self.room) < 0.0, "shoulders and rooms can't be negative"),
            (
                len(self.spots) != (self.draw.count if self.draw else 0),
                "as many pegs are wanted as there are places for them",
            ),
        ):
            if wrong:
                raise GeometryError(f"{self.name}: {why}")
        self._refuse_what_has_no_place()

    def _refuse_what_has_no_place(self) -> None:
        low, high = self.tongue_span
        at = low
        for a, b in self.tenons:
            if a < at - FLUSH or b > high + FLUSH or b - a <= FLUSH:
                raise GeometryError(
                    f"{self.name}: a tenon from {a:g} to {b:g} mm does not stand on the tongue, "
                    f"{low:g} to {high:g} mm, beside the one before"
                )
            if not any(x <= a + FLUSH and b <= y + FLUSH for x, y in self.places):
                raise GeometryError(f"{self.name}: the tenon at {a:g} mm lies over a glue line")
            at = b
        for peg in self.spots:
            if not any(a < peg.at < b for a, b in self.tenons):
                raise GeometryError(f"{self.name}: the peg at {peg.at:g} mm misses every tenon")

    # -- where it is --------------------------------------------------------------------------

    @property
    def kind(self) -> str:
        """``breadboard end, drawbored``, ``breadboard end`` or ``tongued end cap``."""
        if not self.tenons:
            return "tongued end cap"
        return "breadboard end, drawbored" if self.spots else "breadboard end"

    @property
    def members(self) -> tuple[Member, ...]:
        """(board, sections)."""
        return (self.board, *self.sections)

    @property
    def lets_in(self) -> bool:
        """Yes."""
        return True

    @property
    def first(self) -> Member:
        """The section from which places across the slab are measured."""
        return self.sections[0]

    @property
    def across(self) -> Vec:
        """Unit vector across the slab, in the bench."""
        return self.first.placement.y

    def insertion(self) -> Vec:
        """Along the slab's grain, into the board."""
        return self.first.placement.direction(self.end.outward)

    @cached_property
    def board_face(self) -> Face:
        """The board's grooved face; GeometryError unless it looks squarely at the slab."""
        face = self.board.face_towards(neg(self.insertion()))
        normal = self.board.placement.direction(face.outward)
        square = abs(abs(dot(self.board.placement.x, self.across)) - 1.0) < 1e-9
        if dot(normal, self.insertion()) > -1.0 + 1e-9 or not square:
            raise GeometryError(
                f"{self.name}: {self.board.name} does not lie squarely across {self.first.name}"
            )
        return face

    @cached_property
    def length(self) -> float:
        """From the shoulders to the tenons' ends, mm."""
        tip = self.first.placement.point(self.first.face_frame(self.end).origin)
        mouth = self.board.placement.point(self.board.face_frame(self.board_face).origin)
        return snap(dot(sub(tip, mouth), self.insertion()))

    @cached_property
    def places(self) -> tuple[Span, ...]:
        """From where to where each section lies across the slab, mm."""
        origin = self.first.placement.origin
        found = []
        for m in self.sections:
            at = snap(dot(sub(m.placement.origin, origin), self.across))
            found.append((at, snap(at + m.width)))
        return tuple(found)

    @cached_property
    def tongue_span(self) -> Span:
        """From where to where the tongue reaches across the slab, mm."""
        return self.inset[0], snap(self.places[-1][1] - self.inset[1])

    @cached_property
    def stub_spans(self) -> tuple[Span, ...]:
        """Where the tongue is no longer than the stub, mm."""
        low, high = self.tongue_span
        stops = [low, *itertools.chain(*self.tenons), high]
        return tuple((a, b) for a, b in zip(stops[::2], stops[1::2], strict=True) if b - a > FLUSH)

    def point(self, at: float, deep: float, aside: float = 0.0) -> Vec:
        """A place in the bench: across the slab, into the board, off the slab's middle, mm."""
        m = self.first
        end = m.face_frame(self.end)
        local = (end.origin[0], at, m.thickness / 2 + aside)
        return along(m.placement.point(local), self.insertion(), deep - self.length)

    # -- cuts ---------------------------------------------------------------------------------

    def cuts(self) -> Mapping[str, tuple[Cut, ...]]:
        """Groove, mortises and peg holes in the board; tongue, tenons, holes in the sections."""
        holes = self._holes()
        found: dict[str, tuple[Cut, ...]] = {
            self.board.name: (self._groove(), *self.mortises, *(b for b, _, _ in holes))
        }
        for i, section in enumerate(self.sections):
            own = tuple(cut for _, cut, name in holes if name == section.name)
            found[section.name] = (*self._ends(i), *own)
        return found

    def _groove(self) -> Cut:
        low, high = self.tongue_span
        ends = sorted(
            self.board.placement.local_point(self.point(p, 0.0))[0]
            for p in (low - self.room, high + self.room)
        )
        wide = (self.tongue + self.fit.cheek.mid) / 2
        across = 3 - face_axis(self.board_face)  # of the board, beside its grain
        middle = self.board.placement.local_point(self.point(low, 0.0))[across]
        return trench(
            self,
            self.board,
            self.board_face,
            {
                0: (max(ends[0], 0.0), min(ends[1], self.board.length)),
                across: (middle - wide, middle + wide),
            },
            snap(self.stub + self.fit.bottom.mid),
            run=0,
            purpose="groove",
        )

    @cached_property
    def mortises(self) -> tuple[Mortise, ...]:
        """A pocket for each tenon, with room at both ends."""
        face = self.board.face_frame(self.board_face)
        return tuple(
            Mortise(
                joint=self.name,
                purpose="mortise",
                face=self.board_face,
                frame=Frame.from_zx(
                    self.board.placement.local_point(self.point((a + b) / 2, 0.0)), face.z, face.x
                ).snapped(),
                length=snap(b - a + 2 * self.room),
                width=snap(self.tongue + self.fit.cheek.mid),
                depth=snap(self.length + self.fit.bottom.mid),
            )
            for a, b in self.tenons
        )

    def _ends(self, i: int) -> Iterator[Cut]:
        """What leaves tongue and tenons on one section."""
        section, (start, stop) = self.sections[i], self.places[i]
        low, high = (min(max(p, start), stop) - start for p in self.tongue_span)
        side = (section.thickness - self.tongue) / 2
        yield TenonEnd(
            joint=self.name,
            purpose="tongue",
            face=self.end,
            frame=section.face_frame(self.end),
            x0=snap(low),
            x1=snap(high),
            y0=snap(side),
            y1=snap(side + self.tongue),
            length=self.length,
        )
        if not self.tenons:
            return
        for left, right in self.stub_spans:
            a, b = max(left - start, 0.0), min(right - start, section.width)
            if b - a <= FLUSH:
                continue
            yield trench(
                self,
                section,
                self.end,
                # Beside the tongue's own shoulder the wood is gone anyway: out to the edge.
                {
                    1: (
                        0.0 if a <= low + FLUSH else a,
                        section.width if b >= high - FLUSH else b,
                    ),
                    2: (0.0, section.thickness),
                },
                snap(self.length - self.stub),
                run=1,
                purpose="tongue shoulder",
            )

    # -- pegs ---------------------------------------------------------------------------------

    @property
    def drive_direction(self) -> Vec:
        """Unit vector along which the pegs are driven, in the bench."""
        if self.draw is None:
            raise GeometryError(f"{self.name} has no pegs")
        return self.first.placement.direction(self.draw.drive_side.inward)

    @cached_property
    def drive_face(self) -> Face:
        """The board's face at which the pegs go in."""
        return self.board.face_towards(neg(self.drive_direction))

    @property
    def peg_hole_depth(self) -> float:
        """From the drive face to the hole's end, mm."""
        whole = self.board.extent(self.drive_face)
        if self.draw is None or self.draw.through:
            return whole
        return snap(whole - self.draw.stop_wall)

    def _peg_frames(self) -> list[tuple[EndPeg, Frame, Frame]]:
        """For each peg: itself, its hole's frame on the board and on the tenon, in the bench.

        z runs along the drive; x home on the board, across the slab on the tenon.
        """
        d = self.draw
        if d is None:
            return []
        home, drive = self.insertion(), self.drive_direction
        faces = []
        for piece, face in ((self.board, self.drive_face), (self.first, d.drive_side)):
            faces.append(piece.placement.point(piece.face_frame(face).origin))
        found = []
        for i, peg in enumerate(self.spots):
            frames = []
            for surface, deep, x in (
                (faces[0], d.setback_of(i), home),
                (faces[1], d.setback_of(i) - d.offset, self.across),
            ):
                at = self.point(peg.at, deep)
                at = add(at, scale(drive, dot(sub(surface, at), drive)))
                frames.append(Frame.from_zx(at, drive, x))
            found.append((peg, frames[0], frames[1]))
        return found

    def _section_at(self, at: float) -> Member:
        return next(m for m, (a, b) in zip(self.sections, self.places, strict=True) if a < at < b)

    def _holes(self) -> list[tuple[Cut, Cut, str]]:
        """(hole in the board, hole or slot in a section, that section's name) of each peg."""
        d = self.draw
        if d is None:
            return []
        found: list[tuple[Cut, Cut, str]] = []
        for peg, on_board, on_tenon in self._peg_frames():
            section = self._section_at(peg.at)
            bored = Bore(
                joint=self.name,
                purpose="peg hole",
                face=self.drive_face,
                frame=self.board.placement.localise(on_board),
                diameter=d.diameter,
                depth=self.peg_hole_depth,
                through=d.through,
            )
            frame = section.placement.localise(on_tenon)
            whole = section.extent(d.drive_side)
            own: Cut
            if peg.slot:
                own = Slot(
                    joint=self.name,
                    purpose="peg slot",
                    face=d.drive_side,
                    frame=frame,
                    centres=peg.slot,
                    width=d.diameter,
                    depth=whole,
                    through=True,
                )
            else:
                own = Bore(
                    joint=self.name,
                    purpose="peg hole",
                    face=d.drive_side,
                    frame=frame,
                    diameter=d.diameter,
                    depth=whole,
                    through=True,
                )
            found.append((bored, own, section.name))
        return found

    def pegs(self) -> tuple[Member, ...]:
        """The pegs as driven: head flush, taper no farther up than the tenon."""
        d = self.draw
        if d is None:
            return ()
        length = self.peg_hole_depth - (0.0 if d.through else PEG_END_ROOM)
        beyond = length - (self.board.extent(self.drive_face) + self.tongue) / 2
        tip = 0.0 if d.through else min(d.tip, max(beyond, 0.0))
        holes = (frame for _, frame, _ in self._peg_frames())
        return d.members(
            self.name, holes, length=length, tip=snap(tip), assembly=self.board.assembly
        )

    def pressed(self) -> Mapping[frozenset[str], float]:
        """What each peg presses into its tenon because its hole or slot is drawn, mm³."""
        d = self.draw
        if d is None:
            return {}
        return {
            frozenset((self._section_at(peg.at).name, member.name)): self.tongue
            * pressed_area(d.diameter, d.offset, peg.slot)
            for peg, member in zip(self.spots, self.pegs(), strict=True)
        }

    def numbers(self) -> Mapping[str, Number]:
        """Tongue, tenons and their room; the pegs and how long their slots are."""
        d = self.draw
        found: dict[str, Number] = {
            "tongue_mm": self.tongue,
            "stub_mm": self.stub,
            "room_mm": self.room,
            "tenons": len(self.tenons),
        }
        if self.tenons:
            found["tenon_length_mm"] = self.length
        if d is not None:
            found |= {"pegs": d.count, "peg_mm": d.diameter, "draw_mm": d.offset}
            found["longest_slot_mm"] = max(peg.slot for peg in self.spots)
        return found

    # -- rooms --------------------------------------------------------------------------------

    def gaps(self) -> tuple[Gap, ...]:
        """Shoulders, the tongue's floor and ends; each tenon's bottom, cheeks and ends."""
        return end_board_rooms(self)


__all__ = ["EndBoard", "EndPeg"]
