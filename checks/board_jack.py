"""Sliding board jacks: that they slide from post to post, hold, and come out again."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from treenail.checks.gauge import INCH, SAME
from treenail.checks.rules import Context, Finding, rule
from treenail.joints.convex import separation
from treenail.joints.jack_slide import JackGroove, JackRide, play_to_swing
from treenail.timber.frames import dot, scale, sub, unit

if TYPE_CHECKING:
    from treenail.joints.convex import Corners
    from treenail.timber.member import Member

#: How far a jack's tongue stands in its groove at least, mm (our own choice).
LEAST_HOLD = INCH / 4


def _jacks(context: Context) -> Iterator[tuple[JackGroove, JackRide]]:
    """Each jack's two ends."""
    for groove in context.bench.joints:
        if isinstance(groove, JackGroove):
            for ride in context.bench.joints_of(groove.entering):
                if isinstance(ride, JackRide):
                    yield groove, ride


def _swept(groove: JackGroove) -> Corners:
    """The jack's box from one end of its groove to the other."""
    start, stop = groove.ends
    way = unit(sub(stop, start))
    corners = groove.entering.world_corners()
    found = []
    for end, pick in ((start, min), (stop, max)):
        level = pick(dot(p, way) for p in corners)
        side = [p for p in corners if abs(dot(p, way) - level) <= SAME]
        by = scale(way, dot(end, way) - level)
        found += [(p[0] + by[0], p[1] + by[1], p[2] + by[2]) for p in side]
    return tuple(found)


@rule(
    "jack-path",
    title="The board jack slides from post to post",
    why="What stands in its way stops it short of where the work ends.",
    remedy="Move what is in its way, or do without one of the two.",
    source="geometry",
)
def jack_path(context: Context) -> Iterator[Finding]:
    """The jack's box over its whole way, against all that it doesn't run in."""
    for groove, ride in _jacks(context):
        own = {groove.entering.name, groove.receiver.name, ride.entering.name}
        path = _swept(groove)
        for name, corners in _others(context, own):
            deep = -separation(path, corners).distance
            if deep > SAME:
                yield Finding(
                    rule="jack-path",
                    severity="error",
                    message=f"{name} stands {context.say(deep)} in the way of "
                    f"{groove.entering.name}.",
                    joint=groove.name,
                    member=name,
                    measured=-deep,
                    limit=0.0,
                )


def _others(context: Context, own: set[str]) -> Iterator[tuple[str, Corners]]:
    member: Member
    for member in context.bench.members:
        if member.name not in own:
            yield member.name, tuple(member.world_corners())
    for item in context.bench.hardware:
        half = item.size.diameter / 2 / 2**0.5
        ends = (0.0, item.length - item.size.washer_thickness)
        yield (
            item.name,
            tuple(
                item.placement.point((x, y, z))
                for x in (-half, half)
                for y in (-half, half)
                for z in ends
            ),
        )


@rule(
    "jack-lift",
    title="The board jack lifts off its ridge",
    why="It goes in and out by being lifted; a groove too shallow keeps it in for good, or out.",
    remedy="Make the top's groove deeper, or the ridge lower.",
    source="geometry",
)
def jack_lift(context: Context) -> Iterator[Finding]:
    """Room over the tongue, and over its shoulders, against the ridge's height."""
    for groove, ride in _jacks(context):
        if groove.lift < ride.reach - SAME:
            yield Finding(
                rule="jack-lift",
                severity="error",
                message=f"{groove.entering.name} can be lifted {context.say(groove.lift)}; its "
                f"ridge is {context.say(ride.reach)} high.",
                joint=groove.name,
                member=groove.entering.name,
                measured=groove.lift,
                limit=ride.reach,
                remedy=f"Cut the groove {context.say(ride.reach - groove.lift)} deeper.",
            )


@rule(
    "jack-swing",
    title="The board jack swings out when it is lifted",
    why="Its foot must come forward past the stretcher while the tongue is still in the groove.",
    remedy="Widen the groove, thin the tongue, or leave the jack in.",
    source="geometry of the tilt; common practice leaves such play",
)
def jack_swing(context: Context) -> Iterator[Finding]:
    """The groove's play against what the tilt takes."""
    for groove, ride in _jacks(context):
        board = groove.entering
        rail = ride.entering
        out = rail.placement.direction((0.0, 0.0, -1.0))  # the stretcher's face side looks out
        front = max(dot(p, out) for p in rail.world_corners())
        back = min(dot(p, out) for p in board.world_corners())
        needs = play_to_swing(
            groove.tongue_thickness,
            groove.reach + groove.lift,
            aside=max(front - back, 0.0),
            length=board.length,
        )
        play = groove.fit.cheek.mid
        if play < needs - SAME:
            yield Finding(
                rule="jack-swing",
                severity="advice",
                message=f"Lifted, {board.name} needs {context.say(needs)} of play in its groove to "
                f"swing out; it has {context.say(play)}.",
                joint=groove.name,
                member=board.name,
                measured=play,
                limit=needs,
            )


@rule(
    "jack-hold",
    title="The board jack stays in its groove",
    why="A tongue that hardly stands in its groove jumps out when work is dropped on the pegs.",
    remedy="Let it stand farther in.",
    source="our own choice: 1/4 in",
)
def jack_hold(context: Context) -> Iterator[Finding]:
    """How far the tongue stands in the groove, the jack down."""
    for groove, _ in _jacks(context):
        if groove.reach < LEAST_HOLD - SAME:
            yield Finding(
                rule="jack-hold",
                severity="advice",
                message=f"{groove.entering.name}'s tongue stands {context.say(groove.reach)} in "
                "its groove.",
                joint=groove.name,
                member=groove.entering.name,
                measured=groove.reach,
                limit=LEAST_HOLD,
            )
