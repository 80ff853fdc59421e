"""Laps, housings, grooves and dovetails by their numbers: fits, wood left, proportions."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

from treenail.checks.gauge import INCH, SAME, fine
from treenail.checks.rules import Context, Finding, rule
from treenail.joints.angled_cuts import SkewNotch
from treenail.joints.cuts import TenonEnd
from treenail.joints.fits import FITS
from treenail.joints.housings import SlidingDovetail
from treenail.joints.meetings import LetIn
from treenail.joints.skew import SkewLetIn
from treenail.joints.trenches import Trench, axis_of

if TYPE_CHECKING:
    from treenail.timber.member import Face, Member

#: Wood beside a trench, across the grain, mm (our own choice).
THIN_WALL = INCH / 8
#: Wood between a trench and the piece's end, in depths of the trench (our own choice).
END_DEPTHS = 2.0
#: Share of a piece's thickness that is left under a trench (common practice: half).
LEFT_UNDER = 0.5
#: Rise of dovetails: 1 in 9 to that of a 14 degree cutter (common practice, and cutters on sale).
LEAST_RISE, MOST_RISE = 1.0 / 9.0, math.tan(math.radians(14.0))

_CP_HALF = "common practice: a half lap leaves half, housings and grooves more"


def _skew(context: Context) -> Iterator[SkewLetIn]:
    return (j for j in context.bench.joints if isinstance(j, SkewLetIn))


def _fitted(context: Context) -> Iterator[LetIn]:
    return (j for j in context.bench.joints if isinstance(j, LetIn))


def _notches(context: Context) -> Iterator[tuple[Member, Trench | SkewNotch]]:
    yield from _trenches(context)
    for member in context.bench.timbers:
        for cut in context.bench.cuts[member.name]:
            if isinstance(cut, SkewNotch):
                yield member, cut


def _trenches(context: Context) -> Iterator[tuple[Member, Trench]]:
    for member in context.bench.timbers:
        for cut in context.bench.cuts[member.name]:
            # What leaves a tongue or dovetail standing has nothing beside it to be judged.
            if isinstance(cut, Trench) and not cut.purpose.endswith("shoulder"):
                yield member, cut


@rule(
    "let-in-clearance",
    title="What is let in fits between its walls",
    why="Too tight splits the walls off or won't go home; too loose leaves all to the glue.",
    remedy="Cut the trench to the named fit, or name another fit.",
    source="the named fit's limits in joints/fits.py: common practice or our own choice",
)
def let_in_clearance(context: Context) -> Iterator[Finding]:
    """The rooms at two facing walls together, against the cheek limits of the fit's name."""
    joints: list[LetIn | SkewLetIn] = [*_fitted(context), *_skew(context)]
    for joint in joints:
        limits = FITS.get(joint.fit.name, joint.fit).cheek
        pairs: dict[tuple[str, int], list[float]] = {}
        for gap in joint.gaps():
            if gap.what in ("wall", "cheek"):
                own = joint.receiver.placement.local_direction(gap.toward)
                axis = max(range(3), key=lambda i: abs(own[i]))
                # Room at a leaning wall counts across the trench.
                lean = 1.0 if isinstance(joint, SkewLetIn) else abs(own[axis])
                pairs.setdefault((gap.against, axis), []).append(gap.room / lean)
        for (against, _), rooms in pairs.items():
            play = math.fsum(rooms)
            if len(rooms) < 2 or limits.low - SAME <= play <= limits.high + SAME:
                continue
            yield Finding(
                rule="let-in-clearance",
                severity="error",
                message=f"{joint.entering.name} has {fine(context, play)} of play between its "
                f"walls; a {joint.fit.name} fit has {fine(context, limits.low)} to "
                f"{fine(context, limits.high)}.",
                joint=joint.name,
                member=against,
                measured=play,
                limit=limits.low if play < limits.low else limits.high,
            )


@rule(
    "trench-depth",
    title="Wood left under a trench",
    why="A piece is as strong as what is left under its deepest cut.",
    remedy="Cut it less deep, or use a thicker piece.",
    source=_CP_HALF,
)
def trench_depth(context: Context) -> Iterator[Finding]:
    """A lap, housing, groove or rebate deeper than half of the piece."""
    for member, cut in _notches(context):
        whole = member.extent(cut.face)
        most = (1.0 - LEFT_UNDER) * whole
        if cut.depth > most + SAME:
            yield Finding(
                rule="trench-depth",
                severity="advice",
                message=f"The {cut.purpose} is {context.say(cut.depth)} deep and leaves "
                f"{context.say(whole - cut.depth)} of {member.name}'s {context.say(whole)}.",
                joint=cut.joint,
                member=member.name,
                face=str(cut.face),
                measured=cut.depth,
                limit=most,
                remedy=f"Keep it to {context.say(most)}, half of the piece.",
            )


def _beside(member: Member, cut: Trench) -> Iterator[tuple[Face, float]]:
    """Wood between each closed side of a trench and the face of the stock that it looks to, mm."""
    for x, y in ((-1.0, 0.0), (1.0, 0.0), (0.0, -1.0), (0.0, 1.0)):
        if cut.is_open(member, x, y):
            continue
        outward = cut.frame.direction((x, y, 0.0))
        axis = axis_of(outward)
        if axis is None:
            continue
        at = cut.side(x, y)[axis]
        out = cut.lean[0 if y < 0.0 else 1] if y else 0.0
        left = (member.size[axis] - at if outward[axis] > 0.0 else at) - out
        yield member.face_towards(member.placement.direction(outward)), left


@rule(
    "trench-walls",
    title="Wood beside a groove or trench",
    why="Thin walls break off when the joint is driven together.",
    remedy="Move the trench inward, or make it narrower.",
    source="our own choice: 1/8 in",
)
def trench_walls(context: Context) -> Iterator[Finding]:
    """Walls that run with the grain: beside a groove in an edge, say."""
    for member, cut in _trenches(context):
        for face, left in _beside(member, cut):
            if not face.is_end and left < THIN_WALL - SAME:
                yield Finding(
                    rule="trench-walls",
                    severity="warning" if left <= SAME else "advice",
                    message=f"The {cut.purpose} leaves {context.say(left)} of wood to "
                    f"{member.name}'s {face}.",
                    joint=cut.joint,
                    member=member.name,
                    face=str(face),
                    measured=left,
                    limit=THIN_WALL,
                    remedy=f"Leave {context.say(THIN_WALL)} there.",
                )


@rule(
    "trench-end-wood",
    title="Wood between a trench and the end",
    why="Short grain beyond a trench shears off along the grain.",
    remedy="Move the trench away from the end, or leave the piece longer until it is glued.",
    source="our own choice: twice the trench's depth",
)
def trench_end_wood(context: Context) -> Iterator[Finding]:
    """A trench's wall that faces an end of the piece, nearer to it than twice its depth."""
    for member, cut in _trenches(context):
        for face, left in _beside(member, cut):
            least = END_DEPTHS * cut.depth
            if (
                face.is_end
                and left < least - SAME
                and not _to_shoulder(context, member, face, left)
            ):
                yield Finding(
                    rule="trench-end-wood",
                    severity="advice",
                    message=f"Only {context.say(left)} of wood stands between the {cut.purpose} "
                    f"and {member.name}'s {face}.",
                    joint=cut.joint,
                    member=member.name,
                    face=str(face),
                    measured=left,
                    limit=least,
                    remedy=f"Leave {context.say(least)}, twice its depth.",
                )


def _to_shoulder(context: Context, member: Member, face: Face, left: float) -> bool:
    """Whether a trench ends at a tenon's shoulder: there is no wood beyond that it could shear."""
    return any(
        isinstance(cut, TenonEnd) and cut.face is face and abs(cut.length - left) <= SAME
        for cut in context.bench.cuts[member.name]
    )


@rule(
    "dovetail-rise",
    title="Slope of a dovetail",
    why="A steep dovetail has weak corners; a slight one pulls out.",
    remedy="Take 1 in 6 for softwoods, 1 in 8 for hardwoods, or the angle of the cutter on hand.",
    source="common practice: 1 in 6 to 1 in 8; dovetail cutters to 14 degrees",
)
def dovetail_rise(context: Context) -> Iterator[Finding]:
    """Between 1 in 9 and the slope of a 14 degree cutter."""
    for joint in context.bench.joints:
        if not isinstance(joint, SlidingDovetail):
            continue
        if LEAST_RISE - 1e-9 <= joint.rise <= MOST_RISE + 1e-9:
            continue
        limit = LEAST_RISE if joint.rise < LEAST_RISE else MOST_RISE
        yield Finding(
            rule="dovetail-rise",
            severity="advice",
            message=f"The dovetail rises 1 in {1.0 / joint.rise:.3g}; 1 in {1.0 / limit:.3g} is "
            "about the limit.",
            joint=joint.name,
            member=joint.entering.name,
            measured=joint.rise,
            limit=limit,
            unit="1",
        )


@rule(
    "let-in-turns",
    title="A lap's shoulders hold it square",
    why="Shoulders close together let a joint rack, whatever the glue.",
    remedy="Use wider pieces, or add a second fixing.",
    source="our own choice: shoulders at least as far apart as the joint is deep",
)
def let_in_turns(context: Context) -> Iterator[Finding]:
    """A trench narrower than it is deep holds a lap or notch badly square."""
    for member, cut in _trenches(context):
        if cut.purpose in ("cross lap", "half lap", "notch") and cut.width < cut.depth - SAME:
            yield Finding(
                rule="let-in-turns",
                severity="advice",
                message=f"The {cut.purpose} in {member.name} is {context.say(cut.width)} wide and "
                f"{context.say(cut.depth)} deep.",
                joint=cut.joint,
                member=member.name,
                measured=cut.width,
                limit=cut.depth,
            )
