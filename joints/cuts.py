"""Every operation on a member, in that member's own coordinates.

A cut has a face, where its tool enters, and a frame on that face: x and y lie in the face, z
goes into the piece. An angled mortise is the same thing as a square one with another frame.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from treenail.joints.corners import Corners, pocket_cutters, refuse_unless_they_fit
from treenail.joints.cutters import (
    RUN_OUT,
    BevelCutter,
    BoreCutter,
    BoxCutter,
    Cutter,
    FilletCutter,
    PrismCutter,
    SlotCutter,
    anticlockwise,
)
from treenail.timber.frames import Frame, Vec, neg, off_axis, scale
from treenail.timber.member import Face, Member

if TYPE_CHECKING:
    from collections.abc import Sequence


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """What all cuts share.

    Attributes:
        joint: name of the joint or feature that asked for the cut.
        purpose: the operation in shop words: ``mortise``, ``peg hole`` ...
        face: the face at which the tool enters.
        frame: origin on that face; x, y in the face, z into the piece; mm.
    """

    joint: str
    purpose: str
    face: Face
    frame: Frame

    def cutters(self, member: Member) -> tuple[Cutter, ...]:
        """The volumes that leave ``member``, in its coordinates."""
        raise NotImplementedError

    @property
    def normal(self) -> Vec:
        """The face's inward normal in the cut's frame."""
        return self.frame.local_direction(self.face.inward)

    @property
    def tilt(self) -> float:
        """How far its axis is from square to its face, radians: the resultant angle."""
        return off_axis(self.normal)

    def leans(self, member: Member) -> tuple[float, float]:
        """Angles by which it leans along the grain and across it, going in, radians.

        In its face's own frame, as seen square to the grain and along it.
        """
        x, y, z = member.face_frame(self.face).local_direction(self.frame.z)
        return math.atan2(x, z), math.atan2(y, z)

    def sight(self, member: Member) -> float:
        """Over the face, from the grain to the line along which it leans, 0 to 90 degrees."""
        along, across = self.leans(member)
        return math.atan2(abs(math.tan(across)), abs(math.tan(along)))


@dataclass(frozen=True, slots=True, kw_only=True)
class Mortise(Cut):
    """A rectangular pocket: ``length`` along x, ``width`` along y, centred on the frame.

    Attributes:
        length, width: size of the mouth in mm.
        depth: from the face to the bottom, mm; through mortises name the full thickness.
        through: open at the opposite face.
        corners: None where they are square, as a chisel leaves them.
    """

    length: float
    width: float
    depth: float
    through: bool = False
    corners: Corners | None = None

    def __post_init__(self) -> None:
        """Refuse corners that run together (GeometryError)."""
        if self.corners is not None:
            refuse_unless_they_fit(self.joint, self.length, self.width, self.corners)

    def cutters(self, member: Member) -> tuple[Cutter, ...]:
        """One box with run-out at the mouth (and at the far face if through), and the corners."""
        deep = self.depth + RUN_OUT + (RUN_OUT if self.through else 0.0)
        start = self.frame.shifted((0.0, 0.0, -RUN_OUT))
        return pocket_cutters(start, self.length, self.width, deep, self.corners)


@dataclass(frozen=True, slots=True, kw_only=True)
class Bore(Cut):
    """A round hole about the frame's z axis: peg hole, bolt hole, counterbore, dog hole.

    ``depth`` is measured on the axis, which may lean to the face.
    """

    diameter: float
    depth: float
    through: bool = False

    @property
    def slant(self) -> float:
        """How much farther than on its axis it meets a face to which it leans, mm."""
        return self.diameter / 2.0 * math.tan(self.tilt)

    def cutters(self, member: Member) -> tuple[Cutter, ...]:
        """One cylinder with run-out at the mouth (and at the far face if through)."""
        run = RUN_OUT + self.slant
        deep = self.depth + run + (run if self.through else 0.0)
        return (BoreCutter(self.frame.shifted((0.0, 0.0, -run)), self.diameter, deep),)


@dataclass(frozen=True, slots=True, kw_only=True)
class Slot(Cut):
    """A round-ended slot along x, centred on the frame: ``centres`` apart, ``width`` wide."""

    centres: float
    width: float
    depth: float
    through: bool = False

    def cutters(self, member: Member) -> tuple[Cutter, ...]:
        """One slot with run-out at the mouth (and at the far face if through)."""
        deep = self.depth + RUN_OUT + (RUN_OUT if self.through else 0.0)
        return (
            SlotCutter(self.frame.shifted((0.0, 0.0, -RUN_OUT)), self.centres, self.width, deep),
        )


@dataclass(frozen=True, slots=True)
class Haunch:
    """A stub of tenon left in an edge shoulder to keep the rail from twisting.

    Attributes:
        edge: the rail's edge on whose side it lies (face edge or back edge).
        width: along the rail's width, measured from the tenon, mm.
        length: how far it stands out from the shoulder, mm.
        sloped: it falls from ``length`` at the tenon to nothing at its outer edge, so that the
            closed joint doesn't show it.
    """

    edge: Face
    width: float
    length: float
    sloped: bool = False


@dataclass(frozen=True, slots=True)
class MitredTip:
    """A tenon's end cut aslant where another tenon meets it.

    Attributes:
        short_cheek: the side (face side or back side) on which the tenon is cut back most.
        cut_back: how much is taken off at that cheek, mm.
        lead: how much is taken off at the other cheek (half of the gap), mm.
    """

    short_cheek: Face
    cut_back: float
    lead: float


@dataclass(frozen=True, slots=True)
class NotchedTip:
    """A notch in a tenon's end, over (or under) which the other tenon passes.

    Attributes:
        edge: the edge (face edge or back edge) from which the notch is cut.
        width: of tenon taken away, along the rail's width, mm.
        length: from the tenon's end, mm.
    """

    edge: Face
    width: float
    length: float


@dataclass(frozen=True, slots=True)
class Rounding:
    """A tenon's four long edges rounded, to go into a mortise with round corners.

    Attributes:
        radius: mm.
        haunch: whether the haunch's two outer edges are rounded too; not where its socket is open.
    """

    radius: float
    haunch: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class TenonEnd(Cut):
    """All that leaves a member's end so that the tenon stands.

    The frame is the member's end-face frame: x across the width from the face edge, y through
    the thickness, z into the piece. The tenon fills ``[x0, x1] x [y0, y1]`` and is ``length``
    long, so its shoulder plane lies at z = ``length``; ``rounding`` takes off its long edges.
    """

    x0: float
    x1: float
    y0: float
    y1: float
    length: float
    haunch: Haunch | None = None
    tip: MitredTip | NotchedTip | None = None
    rounding: Rounding | None = None

    def _box(self, low: Sequence[float], high: Sequence[float]) -> BoxCutter:
        corner = self.frame.shifted((low[0], low[1], low[2]))
        return BoxCutter(corner, (high[0] - low[0], high[1] - low[1], high[2] - low[2]))

    def _edge_boxes(self, member: Member, edge: Face) -> list[Cutter]:
        """What leaves the shoulder on one edge of the tenon, across the whole thickness."""
        low, far, top = -RUN_OUT, member.thickness + RUN_OUT, self.length

        def box(near: float, away: float, depth: float) -> BoxCutter:
            """From ``near`` (beside the tenon) outward to ``away``."""
            return self._box((min(near, away), low, low), (max(near, away), far, depth))

        at_face_edge = edge is Face.FACE_EDGE
        near = self.x0 if at_face_edge else self.x1
        outward = -1.0 if at_face_edge else 1.0
        shoulder = self.x0 if at_face_edge else member.width - self.x1
        away = near + outward * (shoulder + RUN_OUT)
        if shoulder <= 0.0:
            return []
        stub = self.haunch
        if stub is None or stub.edge is not edge:
            return [box(near, away, top)]
        boxes: list[Cutter] = [box(near, away, top - stub.length)]
        if stub.width < shoulder:
            boxes.append(box(near + outward * stub.width, away, top))
        if stub.sloped:
            end = near + outward * min(stub.width, shoulder)
            over = outward * RUN_OUT if stub.width >= shoulder else 0.0
            fall = stub.length / (end - near)
            slope = (
                (near, low),
                (near, top - stub.length),
                (end + over, top + fall * over),
                (end + over, low),
            )
            boxes.append(self.across(slope, low, far))
        return boxes

    def across(
        self, points: Sequence[tuple[float, float]], start: float, stop: float
    ) -> PrismCutter:
        """A convex outline in the end frame's (x, z), swept from y = ``start`` to ``stop``."""
        far = self.frame.shifted((0.0, stop, 0.0))
        return PrismCutter(
            Frame(far.origin, far.x, far.z, neg(far.y)), anticlockwise(points), stop - start
        )

    def tongues(self) -> tuple[TenonEnd, ...]:
        """The single tenons that stand side by side on this end."""
        return (self,)

    def cutters(self, member: Member) -> tuple[Cutter, ...]:
        """Boxes around the tenon, and the tip's cut."""
        out, top = -RUN_OUT, self.length
        wide, far = member.width + RUN_OUT, member.thickness + RUN_OUT
        found: list[Cutter] = []
        if self.y0 > 0.0:
            found.append(self._box((out, out, out), (wide, self.y0, top)))
        if self.y1 < member.thickness:
            found.append(self._box((out, self.y1, out), (wide, far, top)))
        found += self._edge_boxes(member, Face.FACE_EDGE)
        found += self._edge_boxes(member, Face.BACK_EDGE)
        if isinstance(self.tip, MitredTip):
            found.append(self._mitre(self.tip))
        elif isinstance(self.tip, NotchedTip):
            n = self.tip
            lo, hi = (
                (-RUN_OUT, self.x0 + n.width)
                if n.edge is Face.FACE_EDGE
                else (self.x1 - n.width, wide)
            )
            found.append(self._box((lo, out, out), (hi, far, n.length)))
        return (*found, *self.fillets(member))

    def fillets(self, member: Member) -> tuple[FilletCutter, ...]:
        """What leaves the long edges: each runs from the end to the shoulder or the haunch."""
        rounding = self.rounding
        if rounding is None:
            return ()
        found: list[FilletCutter] = []
        stub, low, wide = self.haunch, -RUN_OUT, member.width
        for edge, x, inward, shoulder in (
            (Face.FACE_EDGE, self.x0, 1.0, self.x0),
            (Face.BACK_EDGE, self.x1, -1.0, wide - self.x1),
        ):
            spans = [(x, low, self.length)]
            if stub is not None and stub.edge is edge:
                spans = [(x, low, self.length - stub.length)]
                if rounding.haunch:
                    out = x - inward * min(stub.width, shoulder)
                    spans.append((out, self.length - stub.length, self.length))
            for at, start, stop in spans:
                for y, across in ((self.y0, 1.0), (self.y1, -1.0)):
                    f = self.frame.shifted((at, y, start))
                    a = scale(f.x, inward)
                    b = scale(f.y, across)
                    axes = (a, b) if inward * across > 0.0 else (b, a)
                    found.append(
                        FilletCutter(Frame(f.origin, *axes, f.z), rounding.radius, stop - start)
                    )
        return tuple(found)

    def short_cheek_is_y0(self, tip: MitredTip) -> bool:
        """Whether the mitre's short cheek is the one at ``y0`` of the end frame."""
        # The near end's frame has y away from the face side, the far end's y towards it.
        return (tip.short_cheek is Face.FACE_SIDE) == (self.face is Face.NEAR_END)

    def _mitre(self, tip: MitredTip) -> PrismCutter:
        """The slanted end: a quadrilateral in (y, z) swept across the tenon's width."""
        a, b = (tip.cut_back, tip.lead) if self.short_cheek_is_y0(tip) else (tip.lead, tip.cut_back)
        slope = (b - a) / (self.y1 - self.y0)
        over = RUN_OUT / 2  # stays inside what the cheek boxes have already taken
        outside = -RUN_OUT - abs(slope) * over  # a steep slope must not cross the outer side
        points = (
            (self.y0 - over, outside),
            (self.y1 + over, outside),
            (self.y1 + over, b + slope * over),
            (self.y0 - over, a - slope * over),
        )
        # Prism axis: along the end frame's x; its (x, y) are then the end frame's (y, z).
        start = self.frame.shifted((self.x0 - over, 0.0, 0.0))
        axes = Frame(start.origin, start.y, start.z, start.x)
        return PrismCutter(axes, points, self.x1 - self.x0 + 2 * over)


@dataclass(frozen=True, slots=True, kw_only=True)
class FootChamfer(Cut):
    """The four long edges of an end bevelled so that a foot does not splinter when dragged.

    The frame is the end-face frame. ``leg`` is measured on the sides and on the end, mm.
    """

    leg: float

    def cutters(self, member: Member) -> tuple[Cutter, ...]:
        """One ring-shaped bevel."""
        return (BevelCutter(self.frame, member.width, member.thickness, self.leg),)
