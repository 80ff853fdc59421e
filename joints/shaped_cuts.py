"""Cuts with a slope or a curve: flared mortises, tenons side by side, wedges, cones.

Each is one operation as ``joints.cuts`` has them. The sloped mortise and the shaped ends are
kinds of ``Mortise`` and ``TenonEnd``, so that whatever measures those measures them too.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, fields, replace
from typing import TYPE_CHECKING, Literal

from treenail.joints.corners import pocket_cutters
from treenail.joints.cuts import Cut, Mortise, TenonEnd
from treenail.joints.cutters import (
    RUN_OUT,
    ConeCutter,
    Cutter,
    FilletCutter,
    PrismCutter,
    TurnedCutter,
    anticlockwise,
)
from treenail.timber.frames import Frame, neg, snap
from treenail.timber.member import Face, Member

if TYPE_CHECKING:
    from collections.abc import Sequence

Point = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class TaperedMortise(Mortise):
    """A mortise whose short walls slope below a straight part at the mouth.

    A wedged tenon's flares toward the far face, a tusk's wedge hole narrows on one side, and a
    sloped haunch's socket narrows to nothing. Only the straight part has corners other than
    square ones: what slopes is pared with a chisel.

    Attributes:
        start: depth at which the slope begins, mm.
        low_out, high_out: how much farther out the wall at -x and at +x lies at ``depth`` than
            at the mouth, mm; negative where the pocket narrows.
    """

    start: float
    low_out: float = 0.0
    high_out: float = 0.0

    @property
    def exit_span(self) -> Point:
        """The walls' places along x at ``depth``, mm."""
        return (-self.length / 2 - self.low_out, self.length / 2 + self.high_out)

    def outline(self) -> tuple[Point, ...]:
        """The pocket from the side: (x, depth), run out at its open faces."""
        if self.start <= 0.0:
            return self._wedge()
        half = self.length / 2
        low, high, *far = self._sloped()
        return anticlockwise([(-half, -RUN_OUT), (half, -RUN_OUT), high, *far, low])

    def _sloped(self) -> tuple[Point, ...]:
        """The sloped part's corners, run out at the far face of a through mortise."""
        half, (low, high) = self.length / 2, self.exit_span
        deep, run = self.depth - self.start, RUN_OUT if self.through else 0.0
        more = run / deep
        return (
            (-half, self.start),
            (half, self.start),
            (high + self.high_out * more, self.depth + run),
            (low - self.low_out * more, self.depth + run),
        )

    def _wedge(self) -> tuple[Point, ...]:
        """The whole pocket where it slopes from the mouth on, run out there too."""
        (low, at), (high, _), *far = self._sloped()
        more = RUN_OUT / (self.depth - self.start)
        return anticlockwise(
            [
                (low + self.low_out * more, at - RUN_OUT),
                (high - self.high_out * more, at - RUN_OUT),
                *far,
            ]
        )

    def _swept(self, points: Sequence[Point]) -> PrismCutter:
        f = self.frame.shifted((0.0, self.width / 2, 0.0))
        return PrismCutter(Frame(f.origin, f.x, f.z, neg(f.y)), anticlockwise(points), self.width)

    def whole(self) -> PrismCutter | None:
        """The pocket as one volume (its outline need not be convex); None if corners forbid."""
        return None if self.corners is not None else self._swept(self.outline())

    def cutters(self, member: Member) -> tuple[Cutter, ...]:
        """A box at the mouth, and the sloped part below it."""
        if self.start <= 0.0:
            return (self._swept(self._wedge()),)
        top = self.frame.shifted((0.0, 0.0, -RUN_OUT))
        deep = self.start + RUN_OUT
        straight = pocket_cutters(top, self.length, self.width, deep, self.corners)
        return (*straight, self._swept(self._sloped()))


@dataclass(frozen=True, slots=True)
class Gap:
    """Wood taken out between two tenons on one end, down to their shoulder.

    Attributes:
        across: ``width`` for tenons one above the other, ``thickness`` for tenons side by side.
        low, high: from where to where along the end frame's x (width) or y (thickness), mm.
    """

    across: Literal["width", "thickness"]
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Kerf:
    """A saw cut in a tenon's end for a wedge, right through its thickness.

    Attributes:
        at: its middle along the end frame's x, mm.
        width: of the saw cut, mm.
        length: from the tenon's end, mm.
    """

    at: float
    width: float
    length: float


@dataclass(frozen=True, slots=True)
class Flanks:
    """Both edges of a tenon sloped to a dovetail, seen from its end.

    Attributes:
        narrow: y at which the tenon is narrow, mm.
        wide: y at which it has its full width, mm.
        inset: how much is taken off each edge at ``narrow``, mm.
    """

    narrow: float
    wide: float
    inset: float

    def edge_at(self, y: float) -> float:
        """How much each edge is taken back at ``y``, mm."""
        return self.inset * (self.wide - y) / (self.wide - self.narrow)


@dataclass(frozen=True, slots=True, kw_only=True)
class ShapedEnd(TenonEnd):
    """A tenoned end with gaps between several tenons, kerfs for wedges, or dovetailed flanks.

    ``x0`` to ``x1`` and ``y0`` to ``y1`` are around all its tenons.
    """

    gaps: tuple[Gap, ...] = ()
    kerfs: tuple[Kerf, ...] = ()
    flanks: Flanks | None = None

    def tongues(self) -> tuple[TenonEnd, ...]:
        """The single tenons, from the face edge and in the end frame's y, without their shape."""
        spans = {"width": [(self.x0, self.x1)], "thickness": [(self.y0, self.y1)]}
        for gap in sorted(self.gaps, key=lambda g: g.low):
            low, high = spans[gap.across].pop()
            spans[gap.across] += [(low, gap.low), (gap.high, high)]
        common = {f.name: getattr(self, f.name) for f in fields(TenonEnd)}
        return tuple(
            TenonEnd(**(common | {"x0": a, "x1": b, "y0": c, "y1": d}))
            for a, b in spans["width"]
            for c, d in spans["thickness"]
        )

    def fillets(self, member: Member) -> tuple[FilletCutter, ...]:
        """As for a plain tenon, for each tongue but a dovetailed one."""
        found: list[FilletCutter] = []
        for tongue in self.tongues():
            if self._is_dovetail(tongue):
                continue
            stub = self.haunch
            beside = stub is not None and (
                tongue.x0 == self.x0 if stub.edge is Face.FACE_EDGE else tongue.x1 == self.x1
            )
            own = tongue if beside else replace(tongue, haunch=None)
            found += own.fillets(member)
        return tuple(found)

    def _is_dovetail(self, tongue: TenonEnd) -> bool:
        f = self.flanks
        return f is not None and {tongue.y0, tongue.y1} == {f.narrow, f.wide}

    def outline_of(self, tongue: TenonEnd) -> tuple[Point, ...]:
        """One of its tenons seen from the end: corners in (x, y)."""
        at0 = at1 = 0.0
        f = self.flanks
        if f is not None and self._is_dovetail(tongue):
            at0, at1 = f.edge_at(tongue.y0), f.edge_at(tongue.y1)
        return (
            (tongue.x0 + at0, tongue.y0),
            (tongue.x1 - at0, tongue.y0),
            (tongue.x1 - at1, tongue.y1),
            (tongue.x0 + at1, tongue.y1),
        )

    def cutters(self, member: Member) -> tuple[Cutter, ...]:
        """As for a plain tenon, then the gaps, kerfs and flanks."""
        # slots=True makes a new class, which a bare super() would not find.
        found = list(TenonEnd.cutters(self, member))
        out = -RUN_OUT
        wide, far = member.width + RUN_OUT, member.thickness + RUN_OUT
        for gap in self.gaps:
            if gap.across == "width":
                low, high = (gap.low, out, out), (gap.high, far, self.length)
            else:
                low, high = (out, gap.low, out), (wide, gap.high, self.length)
            found.append(self._box(low, high))
        for kerf in self.kerfs:
            a, b = kerf.at - kerf.width / 2, kerf.at + kerf.width / 2
            found.append(self._box((a, out, out), (b, far, kerf.length)))
        if self.flanks is not None:
            found += self._flanks(self.flanks)
        return tuple(found)

    def _flanks(self, f: Flanks) -> list[Cutter]:
        """Beside both edges of the dovetail, run out beyond its narrow side."""
        start = self.frame.shifted((0.0, 0.0, -RUN_OUT))
        beyond = f.narrow + (RUN_OUT if f.narrow > f.wide else -RUN_OUT)
        found: list[Cutter] = []
        for edge, inward in ((self.x0, 1.0), (self.x1, -1.0)):
            outside = edge - inward * RUN_OUT
            points = (
                (outside, beyond),
                (edge + inward * f.edge_at(beyond), beyond),
                (edge, f.wide),
                (outside, f.wide),
            )
            found.append(PrismCutter(start, anticlockwise(points), self.length + RUN_OUT))
        return found


@dataclass(frozen=True, slots=True, kw_only=True)
class ConeEnd(TenonEnd):
    """An end turned to a cone, its base at the shoulder: ``x0`` to ``x1`` is the base's diameter.

    Attributes:
        tip_diameter: diameter at the end, mm.
    """

    tip_diameter: float

    @property
    def base(self) -> float:
        """Diameter at the shoulder, mm."""
        return self.x1 - self.x0

    @property
    def centre(self) -> Point:
        """The axis in the end frame's x and y, mm."""
        return ((self.x0 + self.x1) / 2, (self.y0 + self.y1) / 2)

    def cutters(self, member: Member) -> tuple[Cutter, ...]:
        """One: everything around the cone."""
        return (
            TurnedCutter(
                self.frame,
                member.width,
                member.thickness,
                self.centre,
                self.tip_diameter,
                self.base,
                self.length,
            ),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class ConeSocket(Cut):
    """A conical hole about the frame's z axis, widest at its mouth.

    Attributes:
        mouth: diameter at the face, mm; square to its axis, which may lean to the face.
        bottom: diameter at ``depth``, mm.
        depth: from the face on its axis, mm.
        through: it comes out at the far face.
    """

    mouth: float
    bottom: float
    depth: float
    through: bool = False

    def slant(self, diameter: float) -> float:
        """How much farther than on its axis it meets a face to which it leans, mm."""
        rise = math.tan(self.tilt)
        narrows = abs(self.mouth - self.bottom) / 2.0 / self.depth
        return diameter / 2.0 * rise / (1.0 - narrows * rise)

    def cutters(self, member: Member) -> tuple[Cutter, ...]:
        """One frustum with run-out at the mouth (and at the far face if through)."""
        start = RUN_OUT + self.slant(self.mouth)
        run = RUN_OUT + self.slant(self.bottom) if self.through else 0.0
        slope = (self.bottom - self.mouth) / self.depth
        return (
            ConeCutter(
                self.frame.shifted((0.0, 0.0, -start)),
                self.mouth - slope * start,
                self.bottom + slope * run,
                self.depth + start + run,
            ),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class DovetailSocket(Cut):
    """A dovetail-shaped opening right through a member, open at one of its edges or sides.

    The frame's origin lies on the open side, half-way; x runs along that side, y into the piece.

    Attributes:
        mouth: width at the open side, mm.
        length: width at the back, mm.
        width: from the open side to the back, mm.
        depth: the member's whole thickness there, mm.
    """

    mouth: float
    length: float
    width: float
    depth: float

    def outline(self, *, run_out: float = 0.0) -> tuple[Point, ...]:
        """Its corners in (x, y), run out at the open side."""
        slope = (self.length - self.mouth) / 2 / self.width
        near, far = self.mouth / 2 - slope * run_out, self.length / 2
        return ((-near, -run_out), (near, -run_out), (far, self.width), (-far, self.width))

    def cutters(self, member: Member) -> tuple[Cutter, ...]:
        """One prism, run out at both faces and the open side."""
        start = self.frame.shifted((0.0, 0.0, -RUN_OUT))
        outline = self.outline(run_out=RUN_OUT)
        return (PrismCutter(start, anticlockwise(outline), self.depth + 2 * RUN_OUT),)


@dataclass(frozen=True, slots=True, kw_only=True)
class WedgeTaper(Cut):
    """A piece sawn to a wedge over its whole length, on one edge or both.

    The frame is the thin end's face frame.

    Attributes:
        face_edge, back_edge: what is taken off each at the thin end, mm.
        length: of the taper from the thin end, mm.
    """

    face_edge: float
    back_edge: float
    length: float

    def thin(self, member: Member) -> float:
        """The piece's width at its thin end, mm."""
        return snap(member.width - self.face_edge - self.back_edge)

    def cutters(self, member: Member) -> tuple[Cutter, ...]:
        """A sliver off each edge that is sloped."""
        out = -RUN_OUT
        far = self.frame.shifted((0.0, member.thickness + RUN_OUT, 0.0))
        axes = Frame(far.origin, far.x, far.z, neg(far.y))
        found: list[Cutter] = []
        for edge, inward, off in (
            (0.0, 1.0, self.face_edge),
            (member.width, -1.0, self.back_edge),
        ):
            if off <= 0.0:
                continue
            outside = edge + inward * out
            at_end = edge + inward * off * (1.0 - out / self.length)
            points = ((outside, out), (at_end, out), (edge, self.length), (outside, self.length))
            found.append(PrismCutter(axes, anticlockwise(points), member.thickness + 2 * RUN_OUT))
        return tuple(found)


__all__ = [
    "ConeEnd",
    "ConeSocket",
    "DovetailSocket",
    "Flanks",
    "Gap",
    "Kerf",
    "ShapedEnd",
    "TaperedMortise",
    "WedgeTaper",
]
