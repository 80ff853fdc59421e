"""Lag bolts: long enough, not through the top, in a hole that suits the wood."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from treenail.checks.gauge import INCH, SAME, cuts_of, grade
from treenail.checks.rules import Context, Finding, TunableLimit, rule
from treenail.joints.cuts import Bore
from treenail.timber.fasteners import (
    LAG_LENGTHS,
    LEAD_HOLE_SOURCE,
    lag_lead_hole,
    lag_lead_hole_range,
    lag_thread_length,
    lag_tip_length,
)

if TYPE_CHECKING:
    from treenail.joints.lag_bolt import LagBolt

#: Wood of the top left beyond a pilot hole, mm (our own choice).
TOP_LEFT = INCH / 4
#: Thread in the top, in diameters of the bolt (from memory).
THREADS = 4.0
#: Least share of the top's thickness that a bolt reaches into (common practice: two thirds).
REACH = 0.5


def _shorter(longest: float) -> str:
    """The longest stocked bolt that is not over a length, in words; empty if none is."""
    fitting = [x for x in LAG_LENGTHS if x <= longest + SAME]
    return f"{max(fitting) / INCH:g} in" if fitting else ""


def _cover(context: Context, bolt: LagBolt) -> tuple[float, str]:
    """Wood of the top beyond the bolt's point or its pilot hole, and which is nearer, mm."""
    thick = bolt.top.extent(bolt.top_face)
    pilots = cuts_of(context.bench, bolt.top, bolt, "pilot hole")
    deep = max((c.depth for c in pilots if isinstance(c, Bore)), default=0.0)
    left = thick - max(bolt.embedment, deep)
    return left, "bolt's point" if bolt.embedment >= deep else "pilot hole"


def _less(context: Context, bolt: LagBolt, lack: float) -> str:
    shorter = _shorter(bolt.length - lack)
    by = f"Make the counterbore {context.say(lack)} less deep"
    return by + (f", or use a {shorter} bolt." if shorter else ".")


@rule(
    "bolt-through-top",
    title="Bolts stay below the working surface",
    why="A point or a drill that comes through the top ruins it, and what is worked on it.",
    remedy="Use a shorter bolt, or a shallower counterbore.",
    source="geometry",
)
def bolt_through_top(context: Context) -> Iterator[Finding]:
    """Top's thickness less the bolt's length in it, and less the pilot hole's depth."""
    for bolt in context.bolts:
        left, what = _cover(context, bolt)
        if left <= SAME:
            yield Finding(
                rule="bolt-through-top",
                severity="error",
                message=f"The {what} comes {context.say(-left)} through the top.",
                joint=bolt.name,
                member=bolt.top.name,
                face=str(bolt.top_face.opposite),
                measured=left,
                limit=0.0,
                remedy=_less(context, bolt, TOP_LEFT - left),
            )


@rule(
    "bolt-cover",
    title="Wood over the bolts' points",
    why="Flattening takes wood off the top every few years; the points must stay below it.",
    remedy="Use a shorter bolt, or a shallower counterbore.",
    source="our own choice: 1/4 in",
    limit=TunableLimit(
        default=TOP_LEFT, low=1.0, high=50.0, unit="mm", what="wood of the top over a bolt"
    ),
)
def bolt_cover(context: Context) -> Iterator[Finding]:
    """What is left of the top over point and pilot hole."""
    want = context.limit("bolt-cover")
    for bolt in context.bolts:
        left, what = _cover(context, bolt)
        severity = grade(left, warn=want / 2, advise=want)
        if severity and left > SAME:
            yield Finding(
                rule="bolt-cover",
                severity=severity,
                message=f"Only {context.say(left)} of the top is left over the {what}.",
                joint=bolt.name,
                member=bolt.top.name,
                face=str(bolt.top_face.opposite),
                measured=left,
                limit=want,
                remedy=_less(context, bolt, want - left),
            )


@rule(
    "bolt-thread",
    title="Bolts hold in the top",
    why="What holds the top down is thread in its wood; too little strips.",
    remedy="Use a longer bolt or a deeper counterbore.",
    source="from memory: four diameters of thread; common practice: two thirds of the top",
)
def bolt_thread(context: Context) -> Iterator[Finding]:
    """Thread in the top without the point, and the share of the top's thickness reached."""
    for bolt in context.bolts:
        thick = bolt.top.extent(bolt.top_face)
        thread = min(bolt.embedment, lag_thread_length(bolt.length))
        thread -= lag_tip_length(bolt.size.diameter)
        need = THREADS * bolt.size.diameter
        share = bolt.embedment / thick
        where: dict[str, Any] = {
            "joint": bolt.name,
            "member": bolt.top.name,
            "face": str(bolt.top_face),
        }
        if thread < need - SAME:
            yield Finding(
                rule="bolt-thread",
                severity="warning",
                message=f"Only {context.say(max(thread, 0.0))} of thread holds in the top; "
                f"{context.say(need)} (4 diameters) is wanted.",
                measured=thread,
                limit=need,
                remedy=f"Deepen the counterbore by {context.say(need - thread)}, or use a bolt "
                "that much longer.",
                **where,
            )
        elif share < REACH - SAME:
            yield Finding(
                rule="bolt-thread",
                severity="advice",
                message=f"The bolt reaches only {share:.0%} into the top's {context.say(thick)}; "
                "about two thirds is usual.",
                measured=bolt.embedment,
                limit=REACH * thick,
                remedy=f"Reach {context.say(thick * 2 / 3)} into it: deepen the counterbore by "
                f"{context.say(thick * 2 / 3 - bolt.embedment)}.",
                **where,
            )


@rule(
    "bolt-pilot",
    title="Pilot holes suit the wood",
    why="Too small a hole splits the wood or twists the bolt off; too large a one strips.",
    remedy="Drill the lead hole for the wood's density.",
    source=LEAD_HOLE_SOURCE,
)
def bolt_pilot(context: Context) -> Iterator[Finding]:
    """The pilot hole's diameter, as bored, against the range for the top's wood."""
    for bolt in context.bolts:
        wood, d = bolt.top.species, bolt.size.diameter
        low, high = lag_lead_hole_range(wood.g_0, d)
        for cut in cuts_of(context.bench, bolt.top, bolt, "pilot hole"):
            if isinstance(cut, Bore) and not low - SAME <= cut.diameter <= high + SAME:
                yield Finding(
                    rule="bolt-pilot",
                    severity="advice",
                    message=f"The pilot hole is {context.say(cut.diameter)}; for a "
                    f"{bolt.size.name} in lag in {wood.name.lower()}, "
                    f"{context.say(low)} to {context.say(high)} is recommended.",
                    joint=bolt.name,
                    member=bolt.top.name,
                    face=str(cut.face),
                    measured=cut.diameter,
                    limit=low if cut.diameter < low else high,
                    remedy=f"Drill {context.say(lag_lead_hole(wood.g_0, d))}.",
                )
