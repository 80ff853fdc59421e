"""What several rules measure: the cuts as they are on the members, walls, holes as cylinders."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from treenail.checks.rules import Severity
from treenail.joints.angled_cuts import AngledMortise
from treenail.joints.angled_tenon import AngledTenon
from treenail.joints.blocks import Box, hull
from treenail.joints.convex import Corners, bounds_gap, separation, tenon_pieces
from treenail.joints.cuts import Bore, Cut, Mortise, Slot, TenonEnd
from treenail.joints.drawbored import Drawbored
from treenail.timber.frames import Frame, Vec, along, dot, sub
from treenail.timber.member import Face, Member

if TYPE_CHECKING:
    from treenail.checks.rules import Context
    from treenail.generators.bench import Bench
    from treenail.joints.base import Joint
    from treenail.joints.mortise_tenon import MortiseTenon
    from treenail.joints.standing import Standing

INCH = 25.4
#: Numbers of one bench agree to this, mm.
SAME = 1e-6


def fine(context: Context, mm: float) -> str:
    """A small length as shops say it: ten-thousandths of an inch, or thousandths of a mm."""
    return f"{mm / INCH:.4f} in" if context.bench.units == "in" else f"{mm:.3f} mm"


def volume(context: Context, mm3: float) -> str:
    """A volume in words: cubic inches or cubic millimetres, to four figures."""
    inches = context.bench.units == "in"
    return f"{mm3 / INCH**3:.4g} in³" if inches else f"{mm3:.4g} mm³"


def grade(measured: float, *, warn: float, advise: float) -> Severity | None:
    """How bad a length is that should be at least ``advise``; None if it is enough."""
    if measured < warn - SAME:
        return "warning"
    return "advice" if measured < advise - SAME else None


def cuts_of(bench: Bench, member: Member, joint: Joint, purpose: str) -> list[Cut]:
    """A joint's cuts of one purpose on one member, as they are in the bench."""
    return [c for c in bench.cuts[member.name] if c.joint == joint.name and c.purpose == purpose]


def mortise_of(bench: Bench, joint: Drawbored, purpose: str = "mortise") -> Mortise | None:
    """The mortise (or ``haunch socket``) that a joint cut in its receiver."""
    if isinstance(joint, AngledTenon):
        purpose = "angled mortise"
    for cut in cuts_of(bench, joint.receiver, joint, purpose):
        if isinstance(cut, Mortise):
            return cut
    return None


def tenon_of(bench: Bench, joint: Standing) -> TenonEnd | None:
    """The tenon that a joint cut on its entering member."""
    for cut in cuts_of(bench, joint.entering, joint, "tenon"):
        if isinstance(cut, TenonEnd):
            return cut
    return None


def tongues_of(bench: Bench, joint: MortiseTenon) -> list[tuple[TenonEnd, Mortise]]:
    """Each single tenon of a joint with its mortise, as cut; empty where either is missing.

    Tenons without a pocket of the usual kind (a dovetailed one) are left out.
    """
    tenon = tenon_of(bench, joint)
    pockets = [
        cut for cut in cuts_of(bench, joint.receiver, joint, "mortise") if isinstance(cut, Mortise)
    ]
    if tenon is None:
        return []
    tongues = [tenon]
    if len(tenon.tongues()) > 1:
        meant = [((x0 + x1) / 2, (y0 + y1) / 2) for x0, x1, y0, y1 in joint.tongues]
        tongues = [t for t in tenon.tongues() if any(_holds(t, *at) for at in meant)]
    return list(zip(tongues, pockets, strict=False))


def _holds(tenon: TenonEnd, x: float, y: float) -> bool:
    return tenon.x0 < x < tenon.x1 and tenon.y0 < y < tenon.y1


def tongue_at(tenon: TenonEnd, x: float) -> TenonEnd:
    """The single tenon in whose width ``x`` of the end frame lies; else the nearest."""
    return min(tenon.tongues(), key=lambda t: max(t.x0 - x, x - t.x1, 0.0))


def kept_bodies(bench: Bench, joint: Standing) -> list[Corners]:
    """What is left of a tenon as it was cut: convex pieces in bench coordinates."""
    if isinstance(joint, AngledTenon):
        return list(joint.bodies())
    tenon = tenon_of(bench, joint)
    if tenon is None:
        return []
    place = joint.entering.placement
    pieces = tenon_pieces(tenon, joint.entering.width)
    return [tuple(place.point(tenon.frame.point(p)) for p in piece) for piece in pieces]


def mortise_corners(cut: Mortise) -> Corners:
    """The pocket's corners in the member's coordinates."""
    if isinstance(cut, AngledMortise):
        return tuple(cut.frame.point(p) for p in (*cut.mouth(), *cut.exit()))
    half_l, half_w = cut.length / 2, cut.width / 2
    return tuple(
        cut.frame.point((x, y, z))
        for x in (-half_l, half_l)
        for y in (-half_w, half_w)
        for z in (0.0, cut.depth)
    )


def walls(member: Member, cut: Mortise) -> dict[Face, float]:
    """Wood left between a pocket and each face of its member, mm (negative: it breaks out).

    The face where it enters, and the opposite one of a through mortise, are left out.
    """
    low, high = hull(mortise_corners(cut))
    found = {
        Face.NEAR_END: low[0],
        Face.FAR_END: member.length - high[0],
        Face.FACE_EDGE: low[1],
        Face.BACK_EDGE: member.width - high[1],
        Face.FACE_SIDE: low[2],
        Face.BACK_SIDE: member.thickness - high[2],
    }
    del found[cut.face]
    if cut.through:
        del found[cut.face.opposite]
    return found


def box_gap(a: Box, b: Box) -> float:
    """The distance between two upright boxes; 0 where they touch or overlap, mm."""
    total = 0.0
    for i in range(3):
        total += max(b[0][i] - a[1][i], a[0][i] - b[1][i], 0.0) ** 2
    return float(total**0.5)


@dataclass(frozen=True, slots=True)
class Rod:
    """A round hole or peg: its axis from end to end, and its radius, mm.

    ``shape`` is what a distance is measured to: the axis, or a pocket's corners with radius 0.
    """

    shape: Corners
    radius: float


def rod(cut: Cut) -> Rod | None:
    """A bore, slot or pocket as something to measure distances to; None for other cuts.

    A slot is taken as the block around it: its ends come out a little too near.
    """
    if isinstance(cut, Bore):
        end = along(cut.frame.origin, cut.frame.z, cut.depth)
        return Rod((cut.frame.origin, end), cut.diameter / 2)
    if isinstance(cut, Mortise):
        return Rod(mortise_corners(cut), 0.0)
    if isinstance(cut, Slot):
        return Rod(_block(cut.frame, cut.centres + cut.width, cut.width, cut.depth), 0.0)
    return None


def flat_ended(cut: Bore) -> Rod:
    """A stopped hole as the square block around it: its end is flat, its sides too near."""
    return Rod(_block(cut.frame, cut.diameter, cut.diameter, cut.depth), 0.0)


def _block(frame: Frame, length: float, width: float, depth: float) -> Corners:
    return tuple(
        frame.point((x, y, z))
        for x in (-length / 2, length / 2)
        for y in (-width / 2, width / 2)
        for z in (0.0, depth)
    )


def wall_between(a: Rod, b: Rod, *, below: float) -> float | None:
    """Wood between two holes in mm (negative: they run into each other), if under ``below``.

    A hole's flat end is taken as a round one, so that a wall beside it may come out thinner
    than it is, never thicker.
    """
    radii = a.radius + b.radius
    if bounds_gap(a.shape, b.shape) - radii >= below:
        return None
    wall = separation(a.shape, b.shape).distance - radii
    return wall if wall < below else None


@dataclass(frozen=True, slots=True)
class PegHole:
    """One peg's two holes, measured from the joint's shoulder plane.

    Attributes:
        post, tenon: the bores in the receiver and in the tenon.
        x: position across the tenon's width, in the end frame, of the receiver's hole, mm.
        setback: shoulder to the receiver's hole, mm.
        draw: how much nearer its shoulder the tenon's hole lies, mm; negative pushes apart.
        astray: how far the holes miss each other across the draw, mm.
    """

    post: Bore
    tenon: Bore
    x: float
    setback: float
    draw: float
    astray: float

    @property
    def tenon_setback(self) -> float:
        """Shoulder to the tenon's hole, mm."""
        return self.setback - self.draw


def peg_holes(bench: Bench, joint: Drawbored) -> list[PegHole]:
    """The peg holes of a joint as they were cut, in the order of the pegs."""
    posts = [c for c in cuts_of(bench, joint.receiver, joint, "peg hole") if isinstance(c, Bore)]
    rails = [c for c in cuts_of(bench, joint.entering, joint, "peg hole") if isinstance(c, Bore)]
    home = joint.insertion()
    across = joint.end_frame.x
    drive = joint.drive_direction if posts else home
    origin, level = joint.end_frame.origin, joint.peg_level
    found = []
    for post, tenon in zip(posts, rails, strict=False):
        at = joint.receiver.placement.point(post.frame.origin)
        # Setbacks count from the shoulder where the peg is, as shoulders may slope.
        mouth = joint.mouth_point(dot(sub(at, origin), across), level)
        p = sub(at, mouth)
        t = sub(joint.entering.placement.point(tenon.frame.origin), mouth)
        apart = sub(p, t)
        draw = dot(apart, home)
        through = dot(apart, drive)
        rest = dot(apart, apart) - draw * draw - through * through
        x = dot(sub(at, origin), across)
        found.append(PegHole(post, tenon, x, dot(p, home), draw, max(rest, 0.0) ** 0.5))
    return found


def drawn(context: Context) -> list[tuple[Drawbored, list[PegHole]]]:
    """Every pegged joint with its holes."""
    return context.once(
        "drawn",
        lambda: [
            (j, peg_holes(context.bench, j))
            for j in context.standing
            if isinstance(j, Drawbored) and j.draw and j.draw.count
        ],
    )


def smaller_peg(diameter: float, units: str) -> float:
    """The next smaller peg that shops bore for: by 1/16 in, or by 1 mm."""
    step = INCH / 16 if units == "in" else 1.0
    return max(step, diameter - step)


def local_bounds(member: Member, other: Member) -> Box:
    """The box around ``other`` in ``member``'s coordinates."""
    points: Sequence[Vec] = [member.placement.local_point(p) for p in other.world_corners()]
    return hull(points)
