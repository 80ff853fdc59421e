"""Cuts whose planes lie aslant to the piece: angled mortises and tenons, bevelled ends, notches.

A plane through an end is told by its unit normal in the end's face frame (z into the piece) and
by its ``level``: it holds the points with n·p = level, and n's z is positive, so that the wood
stays where n·p is more. Depths run along the tenon, not square to the face.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

from treenail.joints.cuts import Cut, Mortise
from treenail.joints.cutters import RUN_OUT, BoxCutter, Cutter, PrismCutter, anticlockwise
from treenail.timber.errors import GeometryError
from treenail.timber.frames import (
    Frame,
    Vec,
    add,
    cross,
    dot,
    neg,
    norm,
    off_axis,
    scale,
    snap,
    snap_axis,
    sub,
    unit,
)
from treenail.timber.member import Face, Member

if TYPE_CHECKING:
    from collections.abc import Iterable

    from treenail.joints.shaped_cuts import Kerf

Point: TypeAlias = tuple[float, float]
#: The purpose of an end that is cut off flush once its joint is home.
FLUSH = "cut flush"
_SIDES: tuple[Vec, ...] = ((-1.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, -1.0, 0.0), (0.0, 1.0, 0.0))


@dataclass(frozen=True, slots=True)
class EndPlane:
    """A plane across an end; see the module."""

    normal: Vec
    level: float

    def depth(self, x: float, y: float) -> float:
        """How far in from the stock's end the plane lies at (x, y) of the end frame, mm."""
        nx, ny, nz = self.normal
        return (self.level - nx * x - ny * y) / nz

    @property
    def tilt(self) -> float:
        """How far it is from square to the grain, radians."""
        return off_axis(self.normal)

    @property
    def on_sides(self) -> float:
        """On the member's sides: from square across to the line that it draws there, radians."""
        return math.atan(abs(self.normal[0]) / self.normal[2])

    @property
    def on_edges(self) -> float:
        """The same on its edges."""
        return math.atan(abs(self.normal[1]) / self.normal[2])

    def waste(self, frame: Frame, member: Member) -> BoxCutter:
        """All that lies beyond it on a member's end, run out on every side."""
        xs, ys = self._section(frame, member)
        deep = max(self.depth(x, y) for x in xs for y in ys)
        ends = [(x, y, z) for x in xs for y in ys for z in (0.0, deep)]
        x, y = (xs[0] + xs[1]) / 2.0, (ys[0] + ys[1]) / 2.0
        origin = (x, y, self.depth(x, y))
        nx, _, nz = self.normal
        local = Frame.from_zx(origin, self.normal, (nz, 0.0, -nx))
        spans = [_span(ends, origin, axis) for axis in (local.x, local.y, local.z)]
        low = tuple(a - RUN_OUT for a, _ in spans)
        high = (spans[0][1] + RUN_OUT, spans[1][1] + RUN_OUT, 0.0)
        corner = frame.place(local).shifted((low[0], low[1], low[2]))
        return BoxCutter(corner, (high[0] - low[0], high[1] - low[1], high[2] - low[2]))

    @staticmethod
    def _section(frame: Frame, member: Member) -> tuple[Point, Point]:
        """From where to where the member's section lies in its end's frame; a peg's axis is x."""
        if not member.round_section:
            return (0.0, member.width), (0.0, member.thickness)
        r, (x, y, _) = member.width / 2.0, frame.local_point((frame.origin[0], 0.0, 0.0))
        return (x - r, x + r), (y - r, y + r)

    def reach(self, member: Member) -> float:
        """The deepest that it goes into a member's section, mm."""
        corners = itertools.product((0.0, member.width), (0.0, member.thickness))
        return max(self.depth(x, y) for x, y in corners)


def _span(points: Iterable[Vec], origin: Vec, axis: Vec) -> tuple[float, float]:
    along = [dot(axis, sub(p, origin)) for p in points]
    return min(along), max(along)


@dataclass(frozen=True, slots=True, kw_only=True)
class EndBevel(Cut):
    """An end sawn off along a plane: a mitre, a bevel, or both at once.

    The frame is the end-face frame.
    """

    plane: EndPlane

    def cutters(self, member: Member) -> tuple[Cutter, ...]:
        """One box, all of it beyond the plane."""
        return (self.plane.waste(self.frame, member),)


@dataclass(frozen=True, slots=True, kw_only=True)
class AngledTenonEnd(Cut):
    """A tenon along the member's grain, its shoulders in one plane that lies aslant to it.

    The frame is the member's end-face frame; the tenon fills ``[x0, x1] x [y0, y1]``.

    Attributes:
        x0, x1, y0, y1: the tenon's cheeks, mm.
        shoulder: the shoulders' plane.
        tip: the plane along which the end is cut; None where it stays square.
        kerfs: saw cuts for wedges; their length is measured from the tenon's end on its axis.
    """

    x0: float
    x1: float
    y0: float
    y1: float
    shoulder: EndPlane
    tip: EndPlane | None = None
    kerfs: tuple[Kerf, ...] = ()

    @property
    def centre(self) -> Point:
        """The tenon's axis in the end frame, mm."""
        return (self.x0 + self.x1) / 2.0, (self.y0 + self.y1) / 2.0

    @property
    def start(self) -> float:
        """Where the finished tenon ends on its axis, from the stock's end, mm."""
        return 0.0 if self.tip is None else self.tip.depth(*self.centre)

    @property
    def length(self) -> float:
        """The tenon's length along its axis, from shoulder plane to end, mm."""
        return self.shoulder.depth(*self.centre) - self.start

    def corners(self) -> tuple[Vec, ...]:
        """The tenon's eight corners in the end frame: at its end, then at the shoulder plane."""
        around = ((self.x0, self.y0), (self.x1, self.y0), (self.x1, self.y1), (self.x0, self.y1))
        ends = [(x, y, 0.0 if self.tip is None else self.tip.depth(x, y)) for x, y in around]
        return (*ends, *((x, y, self.shoulder.depth(x, y)) for x, y in around))

    def shoulders(self, member: Member) -> dict[Face, float]:
        """Width of the shoulder on each of the member's sides and edges, mm."""
        low, high = self.y0, member.thickness - self.y1
        if self.face is Face.FAR_END:
            low, high = high, low
        return {
            Face.FACE_EDGE: self.x0,
            Face.BACK_EDGE: member.width - self.x1,
            Face.FACE_SIDE: low,
            Face.BACK_SIDE: high,
        }

    def cutters(self, member: Member) -> tuple[Cutter, ...]:
        """A prism on each side that has a shoulder, the bevelled end, the kerfs."""
        found: list[Cutter] = []
        widths = (self.x0, member.width - self.x1, self.y0, member.thickness - self.y1)
        for outward, wide in zip(_SIDES, widths, strict=True):
            if wide > 0.0:
                found.append(self._beside(member, outward))
        if self.tip is not None:
            found.append(self.tip.waste(self.frame, member))
        out = -RUN_OUT
        for kerf in self.kerfs:
            size = (kerf.width, member.thickness + 2 * RUN_OUT, self.start + kerf.length - out)
            found.append(BoxCutter(self.frame.shifted((kerf.at - kerf.width / 2, out, out)), size))
        return tuple(found)

    def _beside(self, member: Member, outward: Vec) -> PrismCutter:
        """What leaves the tenon's cheek on one side, down to the shoulder plane.

        The wedge between cheek and shoulder, swept along the line in which they meet.
        """
        x = self.x0 if outward[0] < 0.0 else self.x1 if outward[0] > 0.0 else self.centre[0]
        y = self.y0 if outward[1] < 0.0 else self.y1 if outward[1] > 0.0 else self.centre[1]
        origin = (x, y, self.shoulder.depth(x, y))
        rise = dot(self.shoulder.normal, outward)
        down = sub(scale(outward, rise), self.shoulder.normal)
        fall = norm(down)
        toward = unit(down)  # from the shoulder toward the end, in the cheek
        axis = cross(outward, toward)
        deep = self.shoulder.reach(member)
        stock = [
            (a, b, c)
            for a in (0.0, member.width)
            for b in (0.0, member.thickness)
            for c in (0.0, deep)
        ]
        out = _span(stock, origin, outward)[1] + RUN_OUT
        top = _span(stock, origin, toward)[1] + RUN_OUT
        low, high = _span(stock, origin, axis)
        slope = rise / fall
        top = max(top, slope * out + RUN_OUT, RUN_OUT)
        local = Frame(add(origin, scale(axis, low - RUN_OUT)), outward, toward, axis)
        outline = anticlockwise(((0.0, 0.0), (out, slope * out), (out, top), (0.0, top)))
        return PrismCutter(self.frame.place(local), outline, high - low + 2 * RUN_OUT)


@dataclass(frozen=True, slots=True, kw_only=True)
class AngledMortise(Mortise):
    """A mortise that leans to its face: the frame's z runs along the tenon that goes in.

    ``length`` and ``width`` are its section square to that; the mouth is larger and, leaning two
    ways, a parallelogram. ``depth`` is measured on its axis. A blind one has its floor square to
    the axis, as the chisel or bit leaves it.

    Attributes:
        start: depth on the axis at which the short walls begin to flare; of no account without.
        flare: how much farther out each short wall lies at ``depth``, mm; 0 for straight walls.
    """

    start: float = 0.0
    flare: float = 0.0

    def half_length(self, z: float) -> float:
        """Half of the section's length at a depth on the axis, mm."""
        grown = self.flare * (z - self.start) / (self.depth - self.start) if self.flare else 0.0
        return self.length / 2.0 + max(grown, 0.0)

    def slant(self, half: float) -> float:
        """How much deeper and less deep than on the axis a face meets the corners, mm."""
        nx, ny, nz = self.normal
        return (abs(nx) * half + abs(ny) * self.width / 2.0) / nz

    def mouth(self) -> tuple[Vec, ...]:
        """The mouth's corners, in its frame."""
        nx, ny, nz = self.normal
        a, b = self.length / 2.0, self.width / 2.0
        around = ((-a, -b), (a, -b), (a, b), (-a, b))
        return tuple((x, y, -(nx * x + ny * y) / nz) for x, y in around)

    def exit(self) -> tuple[Vec, ...]:
        """Its corners in the far face where it is through, or in its floor; in its frame."""
        nx, ny, nz = self.normal
        b, a = self.width / 2.0, self.half_length(self.depth)
        found = []
        for sx, sy in ((-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)):
            x, y, z = sx * a, sy * b, self.depth
            if self.through:
                # x = sx (a + k (z - depth)) where nx x + ny y + nz z = nz depth.
                k = self.flare / (self.depth - self.start) if self.flare else 0.0
                over = -(nx * x + ny * y) / (nz + nx * sx * k)
                x, z = x + sx * k * over, self.depth + over
            found.append((x, y, z))
        return tuple(found)

    def cutters(self, member: Member) -> tuple[Cutter, ...]:
        """A box run out at its open faces; a flared one has a second, sloped part."""
        a, b = self.length / 2.0, self.width / 2.0
        top = -(self.slant(a) + RUN_OUT)
        run = self.slant(self.half_length(self.depth) + self.flare) + RUN_OUT
        end = self.depth + (run if self.through else 0.0)
        if not self.flare:
            corner = self.frame.shifted((-a, -b, top))
            return (BoxCutter(corner, (2.0 * a, 2.0 * b, end - top)),)
        corner = self.frame.shifted((-a, -b, top))
        far = self.half_length(end)
        outline = anticlockwise(((-a, self.start), (a, self.start), (far, end), (-far, end)))
        f = self.frame.shifted((0.0, b, 0.0))
        sloped = PrismCutter(Frame(f.origin, f.x, f.z, neg(f.y)), outline, 2.0 * b)
        return (BoxCutter(corner, (2.0 * a, 2.0 * b, self.start - top)), sloped)


@dataclass(frozen=True, slots=True, kw_only=True)
class SkewNotch(Cut):
    """A straight trench that crosses a face aslant, open at both of its arrises.

    The frame's x runs along the trench, its origin lies in the middle of the mouth.

    Attributes:
        width: across the trench, mm.
        depth: mm.
        across: the face's extent from arris to arris, mm.
    """

    width: float
    depth: float
    across: float

    @property
    def turn(self) -> float:
        """How far the trench is turned from square across the grain, radians."""
        grain = self.frame.local_direction((1.0, 0.0, 0.0))
        return math.atan(grain[0] / grain[1])

    @property
    def half_run(self) -> float:
        """From the middle to where its middle line meets an arris, mm."""
        return self.across / 2.0 / math.cos(self.turn)

    def _half_runs(self, y: float) -> tuple[float, float]:
        """Where its line at ``y`` meets both arrises, along x, mm."""
        shift = y * math.tan(self.turn)
        return -self.half_run + shift, self.half_run + shift

    def mouth(self) -> tuple[Vec, ...]:
        """The corners of its mouth, a parallelogram, in its frame."""
        low, high = self._half_runs(-self.width / 2), self._half_runs(self.width / 2)
        b = self.width / 2
        return ((low[0], -b, 0.0), (low[1], -b, 0.0), (high[1], b, 0.0), (high[0], b, 0.0))

    def openings(self, member: Member) -> tuple[tuple[Face, tuple[Vec, ...]], ...]:
        """(face, corners of the opening in it) at both arrises, in the member's coordinates."""
        a, b, c, d = self.mouth()
        found = []
        for (p, q), sign in (((a, d), -1.0), ((b, c), 1.0)):
            low = [(x, y, self.depth) for x, y, _ in (q, p)]
            outward = self.frame.direction((sign, 0.0, 0.0))
            flat = (0.0, outward[1], outward[2])
            face = max((f for f in Face if not f.is_end), key=lambda f: dot(f.outward, flat))
            found.append((face, tuple(self.frame.point(r) for r in (p, q, *low))))
        return tuple(found)

    def cutters(self, member: Member) -> tuple[Cutter, ...]:
        """One box, run out at the mouth and at both arrises."""
        run = self.half_run + self.width / 2.0 * abs(math.tan(self.turn)) + RUN_OUT
        corner = self.frame.shifted((-run, -self.width / 2.0, -RUN_OUT))
        return (BoxCutter(corner, (2.0 * run, self.width, self.depth + RUN_OUT)),)


def end_plane(member: Member, end: Face, point: Vec, outward: Vec) -> EndPlane:
    """A plane in the bench as it crosses a member's end.

    Args:
        member: the piece.
        end: near or far end.
        point: of the plane, in the bench.
        outward: its normal away from the wood that stays, in the bench.

    Raises:
        GeometryError: it runs along the grain, or looks the wrong way.
    """
    frame = member.placement.place(member.face_frame(end))
    normal = neg(frame.local_direction(outward))
    if normal[2] < 0.5:
        raise GeometryError(f"{member.name}: a cut so steep takes off more than the {end}")
    return EndPlane(snap_axis(normal), snap(dot(normal, frame.local_point(point))))


__all__ = [
    "FLUSH",
    "AngledMortise",
    "AngledTenonEnd",
    "EndBevel",
    "EndPlane",
    "SkewNotch",
    "end_plane",
]
