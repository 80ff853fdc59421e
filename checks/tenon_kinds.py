"""Rules of the tenon's kin: wedges, tusks, dovetails, cones, several tenons on one end."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING, TypeGuard

from treenail.checks.gauge import INCH, SAME, grade
from treenail.checks.rules import Context, Finding, TunableLimit, rule
from treenail.joints.angled_tenon import AngledTenon
from treenail.joints.shaped_cuts import TaperedMortise
from treenail.joints.tenon_variants.multiple import MultipleTenon
from treenail.joints.tenon_variants.slab import SlabTenons
from treenail.joints.tenon_variants.tapered_round import TaperedRound
from treenail.joints.tenon_variants.tusk import TuskTenon
from treenail.joints.tenon_variants.wedged import WedgedTenon
from treenail.timber.frames import dot

if TYPE_CHECKING:
    from treenail.joints.base import Joint

#: Slopes that wedges usually have (from memory: one in twelve to one in six).
WEDGE_LOW, WEDGE_HIGH = 1.0 / 12.0, 1.0 / 5.0
#: Slopes of a dovetail's flanks (from memory: one in eight in hardwood, one in six in softwood).
TAIL_LOW, TAIL_HIGH = 1.0 / 10.0, 1.0 / 4.0
#: Whole angles of a cone that seats and holds, degrees (from memory).
CONE_LOW, CONE_HIGH = 4.0, 15.0
#: Wood beyond a tusk's wedge hole, in widths of the wedge (from memory), and beside a conical
#: socket, mm (our own choice).
TUSK_END, CONE_WALL = 1.0, INCH / 4


def _is_wedged(joint: Joint) -> TypeGuard[AngledTenon]:
    """Whether a joint is an angled tenon with wedges."""
    return isinstance(joint, AngledTenon) and joint.wedged is not None


@rule(
    "wedge-splits",
    title="Wedges spread along the receiver's grain",
    why="A tenon that wedges spread across the receiver's grain splits it like an axe.",
    remedy="Turn the kerfs so that the wedges press on end grain.",
    source="common practice",
)
def wedge_splits(context: Context) -> Iterator[Finding]:
    """The tenon's width, along which it is spread, against the receiver's grain."""
    for joint in context.bench.joints:
        if not (isinstance(joint, WedgedTenon) or _is_wedged(joint)):
            continue
        along = abs(dot(joint.end_frame.x, joint.receiver.placement.x))
        if along < 0.5:
            yield Finding(
                rule="wedge-splits",
                severity="warning",
                message=f"The wedges of {joint.entering.name} spread across the grain of "
                f"{joint.receiver.name}.",
                joint=joint.name,
                member=joint.receiver.name,
                measured=along,
                limit=1.0,
                unit="1",
            )


@rule(
    "wedge-slope",
    title="Wedges hold and don't spring back",
    why="A steep wedge springs out; a very slim one drives on until it breaks or the wood splits.",
    remedy="Make it longer or shorter, or change the flare that it has to fill.",
    source="from memory: one in twelve to one in six; our own choice beyond",
    limit=TunableLimit(
        default=WEDGE_HIGH, low=0.05, high=0.5, unit="1", what="steepest slope of a wedge"
    ),
)
def wedge_slope(context: Context) -> Iterator[Finding]:
    """A wedge's taper for each mm of its length, both faces together."""
    most = context.limit("wedge-slope")
    for joint in context.bench.joints:
        if isinstance(joint, WedgedTenon):
            slope = (joint.wedge_thickness - joint.wedge_tip) / joint.wedge_length
        elif isinstance(joint, TuskTenon):
            slope = joint.slope
        elif _is_wedged(joint):
            slope = joint.wedge_slope
        else:
            continue
        low = WEDGE_LOW if isinstance(joint, TuskTenon) else 0.0
        if low - SAME <= slope <= most + SAME:
            continue
        yield Finding(
            rule="wedge-slope",
            severity="advice",
            message=f"A wedge narrows by 1 in {1.0 / slope:.1f}; 1 in {1.0 / most:.0f} to "
            f"1 in {1.0 / WEDGE_LOW:.0f} is usual.",
            joint=joint.name,
            member=joint.wedges()[0].name,
            measured=slope,
            limit=most if slope > most else low,
            unit="1",
        )


@rule(
    "tusk-relief",
    title="A tusk's wedge bears on the receiver",
    why="A wedge that meets its hole's inner wall first draws nothing, however hard it is driven.",
    remedy="Let the hole begin 1/8 in inside the receiver's face.",
    source="geometry",
)
def tusk_relief(context: Context) -> Iterator[Finding]:
    """From the hole's inner wall, as cut, to the receiver's far face."""
    for joint in context.bench.joints:
        if not isinstance(joint, TuskTenon):
            continue
        hole = next(
            (
                c
                for c in context.bench.cuts[joint.entering.name]
                if c.joint == joint.name and isinstance(c, TaperedMortise)
            ),
            None,
        )
        if hole is None:
            relief = -math.inf
        else:
            wall = joint.entering.placement.point(hole.frame.point((-hole.length / 2, 0.0, 0.0)))
            beyond = dot(joint.insertion(), wall) - dot(
                joint.insertion(), joint.mouth_point(0.0, 0.0)
            )
            relief = joint.receiver.extent(joint.receiver_face) - beyond
        if relief > SAME:
            continue
        state = (
            f"{joint.entering.name} has no hole for its wedge"
            if hole is None
            else f"the wedge's hole begins {context.say(-relief)} beyond {joint.receiver.name}"
        )
        yield Finding(
            rule="tusk-relief",
            severity="error",
            message=f"{state[0].upper()}{state[1:]}: the wedge can't draw the shoulder home.",
            joint=joint.name,
            member=joint.entering.name,
            face=str(joint.wedge_face),
            measured=None if hole is None else relief,
            limit=0.0,
        )


@rule(
    "tusk-end-wood",
    title="Wood beyond a tusk's wedge",
    why="The wedge pushes on the short grain beyond its hole, which shears out at the end.",
    remedy="Let the tenon stand out farther, or use a narrower wedge.",
    source="from memory: as much as the wedge is wide",
    limit=TunableLimit(
        default=TUSK_END, low=0.25, high=4.0, unit="1", what="widths of the wedge beyond its hole"
    ),
)
def tusk_end_wood(context: Context) -> Iterator[Finding]:
    """The tenon beyond the hole where that is widest, in widths of the wedge."""
    for joint in context.bench.joints:
        if not isinstance(joint, TuskTenon):
            continue
        want = context.limit("tusk-end-wood") * joint.wedge_width
        severity = grade(joint.end_wood, warn=want / 2, advise=want)
        if severity:
            yield Finding(
                rule="tusk-end-wood",
                severity=severity,
                message=f"{context.say(joint.end_wood)} of tenon is left beyond the wedge's hole; "
                f"{context.say(want)} is usual.",
                joint=joint.name,
                member=joint.entering.name,
                measured=joint.end_wood,
                limit=want,
                remedy=f"Let {joint.entering.name} stand out "
                f"{context.say(want - joint.end_wood)} farther, or use a narrower wedge.",
            )


@rule(
    "tenon-web",
    title="Wood between several tenons' mortises",
    why="A web much thinner than the tenons breaks out while the mortises are chopped.",
    remedy="Widen the gap, or use fewer tenons.",
    source="from memory: as thick as a tenon, half of it at least",
)
def tenon_web(context: Context) -> Iterator[Finding]:
    """The gap between neighbours, less the fit's play, against half a tenon's thickness."""
    for joint in context.bench.joints:
        if not isinstance(joint, MultipleTenon):
            continue
        play = joint.fit.cheek.mid if joint.across == "thickness" else joint.fit.edge.mid
        thick = min(y1 - y0 for _, _, y0, y1 in joint.tongues)
        web, want = joint.gap - play, thick / 2.0
        if web < want - SAME:
            yield Finding(
                rule="tenon-web",
                severity="error" if web <= SAME else "advice",
                message=f"Between the mortises {context.say(web)} of {joint.receiver.name} is "
                f"left; the tenons are {context.say(thick)} thick.",
                joint=joint.name,
                member=joint.receiver.name,
                face=str(joint.receiver_face),
                measured=web,
                limit=want,
                remedy=f"Set the tenons {context.say(want - web)} farther apart.",
            )


@rule(
    "dovetail-slope",
    title="A dovetail's slope holds and doesn't crumble",
    why="Steep flanks leave weak short grain at the corners; slim ones pull out.",
    remedy="Slope the flanks about one in six.",
    source="from memory: one in six to one in eight",
    limit=TunableLimit(
        default=TAIL_HIGH, low=0.1, high=0.5, unit="1", what="steepest slope of a dovetail"
    ),
)
def dovetail_slope(context: Context) -> Iterator[Finding]:
    """How much a flank runs in for each mm of the tenon's thickness."""
    most = context.limit("dovetail-slope")
    for joint in context.bench.joints:
        if isinstance(joint, SlabTenons) and not TAIL_LOW - SAME <= joint.slope <= most + SAME:
            yield Finding(
                rule="dovetail-slope",
                severity="advice",
                message=f"The dovetail's flanks slope 1 in {1.0 / joint.slope:.1f}; "
                "1 in 6 to 1 in 8 is usual.",
                joint=joint.name,
                member=joint.entering.name,
                measured=joint.slope,
                limit=most if joint.slope > most else TAIL_LOW,
                unit="1",
            )


@rule(
    "socket-wall",
    title="Wood around a conical socket",
    why="A reamed socket near an edge splits when the cone is driven in, or breaks out.",
    remedy="Move the leg away from the edge, or use a thinner cone.",
    source="our own choice: 1/4 in; breaking out is geometry",
    limit=TunableLimit(
        default=CONE_WALL, low=1.0, high=50.0, unit="mm", what="wood beside a conical socket"
    ),
)
def socket_wall(context: Context) -> Iterator[Finding]:
    """From the socket's rim to the edges of its face, and behind a stopped one."""
    want = context.limit("socket-wall")
    for joint in context.bench.joints:
        if not isinstance(joint, TaperedRound):
            continue
        face = joint.receiver_face
        wall = _beside_socket(joint)
        if not joint.through:
            lowest = joint.depth * math.cos(joint.tilt)
            lowest += joint.bottom_diameter / 2.0 * math.sin(joint.tilt)
            wall = min(wall, joint.receiver.extent(face) - lowest)
        severity = grade(wall, warn=want / 2, advise=want)
        if severity:
            out = wall <= SAME
            yield Finding(
                rule="socket-wall",
                severity="error" if out else severity,
                message=f"The conical socket breaks out of {joint.receiver.name}."
                if out
                else f"{context.say(wall)} of {joint.receiver.name} is left beside or behind the "
                f"conical socket; {context.say(want)} is usual.",
                joint=joint.name,
                member=joint.receiver.name,
                face=str(face),
                measured=wall,
                limit=0.0 if out else want,
            )


def _beside_socket(joint: TaperedRound) -> float:
    """Wood from the socket's rims, ellipses where it leans, to the edges of their faces, mm."""
    cut, face = joint.socket, joint.receiver_face
    frame, (long, wide) = joint.receiver.face_frame(face), joint.receiver.face_size(face)
    slopes = [math.tan(angle) for angle in cut.leans(joint.receiver)]
    walls = []
    for deep, diameter in ((0.0, cut.mouth), (cut.depth, cut.bottom)):
        x, y, _ = frame.local_point(cut.frame.point((0.0, 0.0, deep)))
        for at, size, slope in ((x, long, slopes[0]), (y, wide, slopes[1])):
            rim = diameter / 2.0 * math.hypot(1.0, slope)
            walls.append(min(at, size - at) - rim)
    return min(walls)


@rule(
    "cone-angle",
    title="A cone that seats and holds",
    why="A slim cone drives in without end and splits its socket; a blunt one lets go.",
    remedy="Ream and turn to about six to thirteen degrees.",
    source="from memory: 6 to 13 degrees in all",
)
def cone_angle(context: Context) -> Iterator[Finding]:
    """The whole angle of a round tapered tenon."""
    for joint in context.bench.joints:
        if not isinstance(joint, TaperedRound):
            continue
        angle = math.degrees(2.0 * math.atan(joint.taper / 2.0))
        if not CONE_LOW - SAME <= angle <= CONE_HIGH + SAME:
            yield Finding(
                rule="cone-angle",
                severity="advice",
                message=f"The cone's sides stand {angle:.1f} degrees to each other; "
                "6 to 13 is usual.",
                joint=joint.name,
                member=joint.entering.name,
                measured=angle,
                limit=CONE_HIGH if angle > CONE_HIGH else CONE_LOW,
                unit="1",
            )
