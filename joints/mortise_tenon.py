"""The mortise and tenon, with haunch and drawbored pegs.

A joint is given two placed members and the tenon's shoulders; everything else follows from
where the members stand: which face is mortised, how long the tenon is, where the holes lie.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING, Any, TypeAlias

from treenail.joints.corner_fit import corners_of, refuse_odd_corners, rounding_of
from treenail.joints.cuts import Bore, Cut, Haunch, MitredTip, Mortise, NotchedTip, TenonEnd
from treenail.joints.haunch import haunch_socket
from treenail.joints.standing import Standing
from treenail.timber.errors import GeometryError
from treenail.timber.frames import Frame, Vec, add, along, dot, neg, scale, snap, sub
from treenail.timber.member import Face, Member

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from treenail.joints.base import Number
    from treenail.joints.corners import CornerKind
    from treenail.joints.fits import Fit
    from treenail.timber.species import Species

#: A tenon's (x0, x1, y0, y1) in the end-face frame, mm.
Section: TypeAlias = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Shoulders:
    """Shoulder widths on the four sides of a tenon, in mm; 0 leaves none on that side."""

    face_edge: float
    back_edge: float
    face_side: float
    back_side: float


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
    drive_side: Face = Face.FACE_SIDE
    through: bool = False
    stop_wall: float = 6.35
    tip: float = 12.7

    @property
    def tip_diameter(self) -> float:
        """Diameter at the tip's end, mm: small enough to find its way through the offset."""
        return max(self.diameter - 2.0 * abs(self.offset), 0.5 * self.diameter)

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
class MortiseTenon(Standing):
    """A tenon on the end of ``entering``, in a mortise in ``receiver``.

    Attributes:
        receiver, entering, end: what is mortised, what is tenoned, and on which end.
        shoulders: the tenon's four shoulders.
        fit: the named fit between them.
        haunch: a stub in one edge shoulder, or None.
        tip: a mitre or notch where another tenon meets this one, or None.
        through: the tenon comes out (flush or proud) at the far face.
        draw: drawbored pegs, or None.
        corners: of the mortise: ``square``, ``round`` (the tenon is rounded to match) or
            ``relieved`` (holes at the corners let the square tenon in).
        cutter: diameter of the cutter that leaves the corners, mm; of no account where square.
        bolted: a stub without glue or pegs: a bolt of another joint draws it home, and lets it go.
    """

    shoulders: Shoulders
    fit: Fit
    haunch: Haunch | None = None
    tip: MitredTip | NotchedTip | None = None
    through: bool = False
    draw: DrawBore | None = None
    corners: CornerKind = "square"
    cutter: float = 12.7
    bolted: bool = False

    def __post_init__(self) -> None:
        """Refuse numbers that leave no tenon, or members that don't meet (GeometryError)."""
        s = self.shoulders
        if min(s.face_edge, s.back_edge, s.face_side, s.back_side) < 0.0:
            raise GeometryError(f"{self.name}: a shoulder's width must not be negative")
        if self.width <= 0.0 or self.thickness <= 0.0:
            raise GeometryError(
                f"{self.name}: the shoulders leave no tenon ({self.width:g} x "
                f"{self.thickness:g} mm)"
            )
        if self.draw and self.draw.spots is not None and len(self.draw.spots) != self.draw.count:
            raise GeometryError(
                f"{self.name}: {self.draw.count} pegs but {len(self.draw.spots)} places for them"
            )
        if self.bolted and self.draw is not None:
            raise GeometryError(f"{self.name}: pegs would hold for good what a bolt should let go")
        self.refuse_unless_it_reaches()
        refuse_odd_corners(self)

    # -- the tenon ---------------------------------------------------------------------------

    @property
    def kind(self) -> str:
        """``mortise and tenon``, ``through ...``, ``... , drawbored`` (or ``bolted``)."""
        name = "through mortise and tenon" if self.through else "mortise and tenon"
        if self.haunch:
            name = f"haunched {name}"
        if self.bolted:
            return f"{name}, bolted"
        return f"{name}, drawbored" if self.draw and self.draw.count else name

    @property
    def width(self) -> float:
        """The tenon's width in mm (along the entering member's width)."""
        return snap(self.entering.width - self.shoulders.face_edge - self.shoulders.back_edge)

    @property
    def thickness(self) -> float:
        """The tenon's thickness in mm."""
        return snap(self.entering.thickness - self.shoulders.face_side - self.shoulders.back_side)

    @property
    def least_tongue(self) -> tuple[float, float]:
        """Width and thickness of the tenon (or the least one) that goes into a mortise, mm."""
        return (self.width, self.thickness)

    @cached_property
    def section(self) -> Section:
        """The tenon's (x0, x1, y0, y1) in the end-face frame, mm."""
        s, m = self.shoulders, self.entering
        y0 = s.face_side if self.end is Face.NEAR_END else s.back_side
        return (
            snap(s.face_edge),
            snap(m.width - s.back_edge),
            snap(y0),
            snap(y0 + self.thickness),
        )

    @cached_property
    def tenon(self) -> TenonEnd:
        """The cut that leaves the tenon."""
        return TenonEnd(**self.tenon_fields())

    def tenon_fields(self) -> dict[str, Any]:
        """What every tenoned end has, for the kinds of it that have more."""
        x0, x1, y0, y1 = self.section
        return {
            "joint": self.name,
            "purpose": "tenon",
            "face": self.end,
            "frame": self.entering.face_frame(self.end),
            "x0": x0,
            "x1": x1,
            "y0": y0,
            "y1": y1,
            "length": self.length,
            "haunch": self.haunch,
            "tip": self.tip,
            "rounding": rounding_of(self),
        }

    @property
    def tongues(self) -> tuple[Section, ...]:
        """The sections of the single tenons that have a mortise each; here, of the one."""
        return (self.section,)

    def cheeks_at(self, x: float) -> tuple[tuple[float, float], ...]:
        """The tenons' wood across the thickness at ``x`` of the end frame: (y0, y1) each, mm."""
        return tuple((y0, y1) for x0, x1, y0, y1 in self.tongues if x0 <= x <= x1)

    # -- the mortise -------------------------------------------------------------------------

    @property
    def mortise_depth(self) -> float:
        """From the mouth to the bottom, mm; the whole member if through."""
        if self.through:
            return self.receiver.extent(self.receiver_face)
        return snap(self.length + self.fit.bottom.mid)

    def _receiver_frame(self, centre: Vec) -> Frame:
        """Frame on the mortised face: x along the tenon's width, z into the receiver.

        x is turned to run with the receiver's grain where it lies along it, so that like
        joints give like numbers.
        """
        face = self.receiver.face_frame(self.receiver_face)
        x = self.receiver.placement.local_direction(self.end_frame.x)
        if dot(x, face.x) < -1e-9 or (abs(dot(x, face.x)) <= 1e-9 and dot(x, face.y) < 0.0):
            x = neg(x)
        return Frame.from_zx(self.receiver.placement.local_point(centre), face.z, x).snapped()

    @property
    def mortise(self) -> Mortise:
        """The (first) pocket, clearances of the fit at mid-limit shared by both sides."""
        return self.mortises[0]

    @cached_property
    def mortises(self) -> tuple[Mortise, ...]:
        """A pocket for each tongue."""
        return tuple(Mortise(**self.mortise_fields(tongue)) for tongue in self.tongues)

    def mortise_fields(self, tongue: Section) -> dict[str, Any]:
        """What every pocket for a tongue has, for the kinds of it that have more."""
        x0, x1, y0, y1 = tongue
        return {
            "joint": self.name,
            "purpose": "mortise",
            "face": self.receiver_face,
            "frame": self._receiver_frame(self.mouth_point((x0 + x1) / 2, (y0 + y1) / 2)),
            "length": snap(x1 - x0 + self.fit.edge.mid),
            "width": snap(y1 - y0 + self.fit.cheek.mid),
            "depth": self.mortise_depth,
            "through": self.through,
            "corners": corners_of(self),
        }

    @cached_property
    def haunch_socket(self) -> Mortise | None:
        """The shallow pocket for the haunch; it overlaps the mortise so that they join."""
        return haunch_socket(self)

    # -- the pegs ----------------------------------------------------------------------------

    @cached_property
    def peg_points(self) -> tuple[tuple[float, float], ...]:
        """(position along the end frame's x, setback of the post's hole), each peg, mm."""
        d = self.draw
        if d is None or d.count == 0:
            return ()
        return tuple(
            (snap(x), snap(d.setback + (d.row_spacing if d.rows == 2 and i % 2 else 0.0)))
            for i, x in enumerate(self._peg_spots(d))
        )

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

    @property
    def peg_hole_depth(self) -> float:
        """From the drive face to the hole's end, mm."""
        d = self.draw
        whole = self.receiver.extent(self.drive_face)
        if d is None or d.through:
            return whole
        return snap(whole - d.stop_wall)

    def _peg_frames(self) -> list[tuple[Frame, Frame]]:
        """For each peg: (hole's frame on the receiver, hole's frame on the tenon), in the bench.

        Both z axes run along the drive direction; x points home (away from the shoulder).
        """
        d = self.draw
        if d is None:
            return []
        home, drive = self.insertion(), self.drive_direction
        surface = self.receiver.placement.point(self.receiver.face_frame(self.drive_face).origin)
        frames = []
        for x, setback in self.peg_points:
            on_plane = self.mouth_point(x, 0.0)
            post = along(on_plane, home, setback)
            post = add(post, scale(drive, dot(sub(surface, post), drive)))
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
        """The pegs as driven: head flush with the drive face, taper toward the far wall."""
        d = self.draw
        if d is None:
            return ()
        length = self.peg_hole_depth - (0.0 if d.through else PEG_END_ROOM)
        tip = 0.0 if d.through else min(d.tip, length)
        holes = (post for post, _ in self._peg_frames())
        return d.members(self.name, holes, length=length, tip=tip, assembly=self.entering.assembly)

    def numbers(self) -> Mapping[str, Number]:
        """Of a plain tenon the corners alone: reports have the rest of every tenon."""
        if self.corners == "square":
            return {}
        return {"corners": self.corners, "cutter_mm": self.cutter}

    def cuts(self) -> Mapping[str, tuple[Cut, ...]]:
        """Mortise, haunch socket and peg holes; tenon and its peg holes."""
        pairs = self.peg_holes()
        socket = (self.haunch_socket,) if self.haunch_socket else ()
        return {
            self.receiver.name: (*self.mortises, *socket, *(p for p, _ in pairs)),
            self.entering.name: (self.tenon, *(t for _, t in pairs)),
        }
