"""Drawbored pegs through a tenon: where their holes lie, square to its cheeks.

Where the tenon leans, its pegs lean to the receiver's faces: they stand square to the mortise's
walls, and the draw runs along the tenon. They are left long and cut off flush with the faces.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING, TypeAlias

from treenail.joints.angled_cuts import FLUSH, EndBevel, end_plane
from treenail.joints.cuts import Bore
from treenail.joints.standing import Standing
from treenail.timber.errors import GeometryError
from treenail.timber.frames import Frame, Vec, add, along, dot, neg, scale, snap, sub
from treenail.timber.member import Face, Member

if TYPE_CHECKING:
    from collections.abc import Iterable

    from treenail.joints.cuts import Cut
    from treenail.timber.species import Species

#: A tenon's (x0, x1, y0, y1) in the end-face frame, mm.
Section: TypeAlias = tuple[float, float, float, float]
#: How far from square a peg may stand to a face and count as square to it (cosine).
_SQUARE = 1.0 - 1e-12


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawBore:
    """Pegs that pull a joint's shoulders home.

    Attributes:
        count: pegs in the joint, spread along the tenon's width.
        diameter: of peg and holes, mm.
        offset: how much nearer its shoulder the tenon's hole lies than the post's, mm.
        setback: from the shoulder to the post's hole (first row), mm.
        rows: 1, or 2 for pegs that alternate between two rows.
        row_spacing: from the first row to the second, away from the shoulder, mm.
        edge: from the tenon's edge to the outermost pegs' centres, mm; None spreads them evenly.
        spots: each peg's distance from the tenon's edge on the face edge's side, mm; None leaves
            the places to ``edge``.
        setbacks: each peg's own distance from the shoulder to the post's hole, where these were
            bored and measured, mm; None leaves them to ``setback`` and ``rows``.
        drive_side: the entering member's side (face side or back side) on which the pegs are
            driven into the receiving member.
        through: the hole runs out at the far face; otherwise it is stopped.
        stop_wall: wood left beyond a stopped hole, mm.
        tip: length of the peg's taper, mm.
        species: the pegs' wood.
    """

    count: int
    diameter: float
    offset: float
    setback: float
    species: Species = field(repr=False)
    rows: int = 1
    row_spacing: float = 0.0
    edge: float | None = None
    spots: tuple[float, ...] | None = None
    setbacks: tuple[float, ...] | None = None
    drive_side: Face = Face.FACE_SIDE
    through: bool = False
    stop_wall: float = 6.35
    tip: float = 12.7

    @property
    def tip_diameter(self) -> float:
        """Diameter at the tip's end, mm: small enough to find its way through the offset."""
        return max(self.diameter - 2.0 * abs(self.offset), 0.5 * self.diameter)

    def setback_of(self, i: int) -> float:
        """From the shoulder to the post's hole of peg ``i``, counted from 0, mm."""
        if self.setbacks is not None:
            return self.setbacks[i]
        return snap(self.setback + (self.row_spacing if self.rows == 2 and i % 2 else 0.0))

    def refuse_odd_places(self, joint: str) -> None:
        """Refuse places for another number of pegs than there are (GeometryError)."""
        for places in (self.spots, self.setbacks):
            if places is not None and len(places) != self.count:
                raise GeometryError(f"{joint}: {self.count} pegs but {len(places)} places for them")

    def members(
        self,
        joint: str,
        holes: Iterable[Frame],
        *,
        length: float,
        tip: float,
        assembly: str,
    ) -> tuple[Member, ...]:
        """The pegs as driven into ``holes`` (z into the wood), in the bench; sizes in mm."""
        return tuple(
            Member(
                name=f"peg_{joint}_{i}",
                role="peg",
                length=snap(length),
                width=self.diameter,
                thickness=self.diameter,
                species=self.species,
                # The peg's grain (x) runs along the drive direction.
                placement=Frame(hole.origin, hole.z, hole.x, hole.y),
                assembly=assembly,
                round_section=True,
                tip_length=tip,
                tip_diameter=self.tip_diameter if tip else self.diameter,
            )
            for i, hole in enumerate(holes, start=1)
        )

    def spread(self, low: float, high: float, count: int) -> list[float]:
        """Places of so many pegs on a tenon from ``low`` to ``high``, mm."""
        if count == 1:
            return [(low + high) / 2]
        if self.edge is None:
            return [low + (high - low) * (i + 0.5) / count for i in range(count)]
        step = (high - low - 2 * self.edge) / (count - 1)
        return [low + self.edge + i * step for i in range(count)]


#: Room left between a stopped peg's tip and the hole's bottom, mm (our own choice).
PEG_END_ROOM = 1.5


@dataclass(frozen=True, kw_only=True)
class Drawbored(Standing):
    """What all tenons share that pegs can draw home.

    Attributes:
        draw: drawbored pegs, or None.
        through: the tenon comes out at the far face.
    """

    draw: DrawBore | None = None
    through: bool = False

    @property
    def width(self) -> float:
        """The tenon's width in mm (along the entering member's width)."""
        raise NotImplementedError

    @property
    def thickness(self) -> float:
        """The tenon's thickness in mm."""
        raise NotImplementedError

    @property
    def section(self) -> Section:
        """The tenon's (x0, x1, y0, y1) in the end-face frame, mm."""
        raise NotImplementedError

    @property
    def tongues(self) -> tuple[Section, ...]:
        """The sections of the single tenons that have a mortise each; here, of the one."""
        return (self.section,)

    def cheeks_at(self, x: float) -> tuple[tuple[float, float], ...]:
        """The tenons' wood across the thickness at ``x`` of the end frame: (y0, y1) each, mm."""
        return tuple((y0, y1) for x0, x1, y0, y1 in self.tongues if x0 <= x <= x1)

    @property
    def peg_level(self) -> float:
        """Where in the thickness setbacks count, in the end frame, mm: anywhere, if square."""
        return 0.0

    @cached_property
    def peg_points(self) -> tuple[tuple[float, float], ...]:
        """(position along the end frame's x, setback of the post's hole), each peg, mm."""
        d = self.draw
        if d is None or d.count == 0:
            return ()
        return tuple((snap(x), d.setback_of(i)) for i, x in enumerate(self._peg_spots(d)))

    def _peg_spots(self, d: DrawBore) -> list[float]:
        """The pegs' positions across the tenon's width, in the end frame, mm."""
        x0, x1, _, _ = self.section
        return d.spread(x0, x1, d.count) if d.spots is None else [x0 + s for s in d.spots]

    @property
    def drive_direction(self) -> Vec:
        """Unit vector along which the pegs are driven, in the bench."""
        if self.draw is None:
            raise GeometryError(f"{self.name} has no pegs")
        return self.entering.placement.direction(self.draw.drive_side.inward)

    @cached_property
    def drive_face(self) -> Face:
        """The receiving member's face at which the pegs go in."""
        return self.receiver.face_towards(neg(self.drive_direction))

    @cached_property
    def _drive_normal(self) -> Vec:
        """Into the drive face, in the bench."""
        return self.receiver.placement.direction(self.drive_face.inward)

    @cached_property
    def peg_slope(self) -> float:
        """How far a peg leans from square to its drive face: the angle's tangent."""
        across = dot(self.drive_direction, self._drive_normal)
        return math.sqrt(max(1.0 - across * across, 0.0)) / across if across < _SQUARE else 0.0

    @property
    def peg_slant(self) -> float:
        """What of a peg is cut off flush with a face that it meets aslant, mm."""
        return snap(self.draw.diameter / 2.0 * self.peg_slope) if self.draw else 0.0

    @property
    def peg_hole_depth(self) -> float:
        """Along the hole's axis from the drive face to its end, mm."""
        d = self.draw
        whole = self.receiver.extent(self.drive_face)
        stretch = math.hypot(1.0, self.peg_slope)
        if d is None or d.through:
            return snap(whole * stretch) if self.peg_slope else whole
        return snap((whole - d.stop_wall) * stretch - self.peg_slant)

    def _peg_frames(self) -> list[tuple[Frame, Frame]]:
        """For each peg: (hole's frame on the receiver, hole's frame on the tenon), in the bench.

        Both z axes run along the drive direction; x points home (away from the shoulder).
        """
        d = self.draw
        if d is None:
            return []
        home, drive, normal = self.insertion(), self.drive_direction, self._drive_normal
        surface = self.receiver.placement.point(self.receiver.face_frame(self.drive_face).origin)
        frames = []
        for x, setback in self.peg_points:
            on_plane = self.mouth_point(x, self.peg_level)
            post = along(on_plane, home, setback)
            ahead = dot(sub(surface, post), normal)
            if self.peg_slope:
                ahead /= dot(drive, normal)
            post = add(post, scale(drive, ahead))
            tenon = along(post, home, -d.offset)
            frames.append((Frame.from_zx(post, drive, home), Frame.from_zx(tenon, drive, home)))
        return frames

    def peg_holes(self) -> tuple[tuple[Bore, Bore], ...]:
        """(hole in the receiver, hole in the tenon) for each peg, in their own coordinates."""
        d = self.draw
        if d is None:
            return ()
        pairs = []
        rail = self.entering
        side = rail.placement.place(rail.face_frame(d.drive_side))
        for post, tenon in self._peg_frames():
            at = add(tenon.origin, scale(side.z, dot(sub(side.origin, tenon.origin), side.z)))
            on_rail = Frame(at, tenon.x, tenon.y, tenon.z)
            pairs.append(
                (
                    Bore(
                        joint=self.name,
                        purpose="peg hole",
                        face=self.drive_face,
                        frame=self.receiver.placement.localise(post),
                        diameter=d.diameter,
                        depth=self.peg_hole_depth,
                        through=d.through,
                    ),
                    Bore(
                        joint=self.name,
                        purpose="peg hole",
                        face=d.drive_side,
                        frame=rail.placement.localise(on_rail),
                        diameter=d.diameter,
                        depth=rail.extent(d.drive_side),
                        through=True,
                    ),
                )
            )
        return tuple(pairs)

    def pegs(self) -> tuple[Member, ...]:
        """The pegs as driven: head flush with the drive face, taper toward the far wall.

        Where they meet a face aslant they are as long as their longest line.
        """
        d = self.draw
        if d is None:
            return ()
        slant = self.peg_slant
        length = self.peg_hole_depth + slant + (slant if d.through else -PEG_END_ROOM)
        tip = 0.0 if d.through else min(d.tip, length)
        holes = (
            post.shifted((0.0, 0.0, -slant)) if slant else post for post, _ in self._peg_frames()
        )
        return d.members(self.name, holes, length=length, tip=tip, assembly=self.entering.assembly)

    def flush_cuts(self) -> dict[str, tuple[Cut, ...]]:
        """The pegs' ends cut off flush where they meet the receiver's faces aslant."""
        if not self.peg_slant or self.draw is None:
            return {}
        face = self.drive_face
        ends = [(Face.NEAR_END, face)]
        if self.draw.through:
            ends.append((Face.FAR_END, face.opposite))
        place = self.receiver.placement
        return {
            peg.name: tuple(
                EndBevel(
                    joint=self.name,
                    purpose=FLUSH,
                    face=end,
                    frame=peg.face_frame(end),
                    plane=end_plane(
                        peg,
                        end,
                        place.point(self.receiver.face_frame(at).origin),
                        place.direction(at.outward),
                    ),
                )
                for end, at in ends
            )
            for peg in self.pegs()
        }

    def peg_face_room(self) -> float:
        """The least distance of a peg's axis, in the receiver, to the mortised face, mm."""
        place = self.receiver.placement
        face = place.place(self.receiver.face_frame(self.receiver_face))
        deep = self.peg_hole_depth
        return min(
            (
                dot(sub(along(post.origin, post.z, z), face.origin), face.z)
                for post, _ in self._peg_frames()
                for z in (0.0, deep)
            ),
            default=math.inf,
        )


__all__ = ["PEG_END_ROOM", "DrawBore", "Drawbored", "Section"]
