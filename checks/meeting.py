"""Tenons that meet in one post: how far apart what is left of them lies."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from typing import TYPE_CHECKING

from treenail.checks.gauge import SAME, kept_bodies
from treenail.checks.rules import Context, Finding, TunableLimit, rule
from treenail.joints.convex import Corners, Separation, bounds_gap, reach, separation
from treenail.timber.frames import dot

if TYPE_CHECKING:
    from treenail.joints.standing import Standing
    from treenail.timber.frames import Vec

#: Tenons nearer than this may touch once they have their play, mm (our own choice).
CLOSE = 1.0
#: Room that the remedies leave, mm (our own choice).
ROOM = 2.0


def meetings(context: Context, *, below: float) -> Iterator[tuple[Standing, Standing, Separation]]:
    """Pairs of tenons in one member whose bodies lie nearer than ``below`` mm.

    What is yielded: both joints, and what lies between the parts that are nearest.
    """
    posts: dict[str, list[tuple[Standing, list[Corners]]]] = {}
    for joint in context.standing:
        posts.setdefault(joint.receiver.name, []).append((joint, kept_bodies(context.bench, joint)))
    for tenons in posts.values():
        for (a, ours), (b, theirs) in itertools.combinations(tenons, 2):
            near = [
                separation(one, two)
                for one, two in itertools.product(ours, theirs)
                if bounds_gap(one, two) < below
            ]
            best = min(near, key=lambda s: s.distance, default=None)
            if best is not None and best.distance < below - SAME:
                yield a, b, best


def _close_pairs(context: Context) -> list[tuple[Standing, Standing, Separation]]:
    return context.once(
        "close tenons", lambda: list(meetings(context, below=context.limit("tenons-close")))
    )


def _shorten(joint: Standing, bodies: list[Corners], other: list[Corners]) -> float:
    """How much must go off a tenon's end so that it stops short of the other, mm."""
    home = joint.insertion()
    tip = max(reach(body, home)[1] for body in bodies)
    return tip - min(reach(body, home)[0] for body in other) + ROOM


def _apart(grain: Vec, bodies: list[Corners], other: list[Corners]) -> float:
    """How far one tenon must move along the post so that they pass at different heights, mm."""
    low = min(reach(body, grain)[0] for body in bodies)
    high = max(reach(body, grain)[1] for body in bodies)
    low_b = min(reach(body, grain)[0] for body in other)
    high_b = max(reach(body, grain)[1] for body in other)
    return min(high - low_b, high_b - low) + ROOM


def least_to_shorten(context: Context, a: Standing, b: Standing) -> tuple[float, Standing]:
    """Which of two tenons need lose least to stop ``ROOM`` short of the other, and how much, mm."""
    ours, theirs = kept_bodies(context.bench, a), kept_bodies(context.bench, b)
    options = ((_shorten(a, ours, theirs), a), (_shorten(b, theirs, ours), b))
    return min(options, key=lambda way: way[0])


def _ways_out(context: Context, a: Standing, b: Standing, *, collide: bool) -> str:
    ours, theirs = kept_bodies(context.bench, a), kept_bodies(context.bench, b)
    apart = _apart(a.receiver.placement.x, ours, theirs)
    ways = [f"set the two rails {context.say(apart)} farther apart in height"]
    by, which = least_to_shorten(context, a, b)
    if 0.0 < by < which.length:
        ways.append(
            f"shorten the tenon of {which.entering.name} by {context.say(by)} to "
            f"{context.say(which.length - by)}"
        )
    if collide and abs(dot(a.insertion(), b.insertion())) < 0.5:
        ways += ["mitre both tips", "notch the tenons past each other"]
    return "; or ".join(ways) + "."


@rule(
    "tenons-collide",
    title="Tenons in one post keep clear",
    why="Two tenons can't fill one place: the second rail will not go home.",
    remedy="Stagger the rails in height, or shorten, mitre or notch the tenons.",
    source="geometry",
)
def tenons_collide(context: Context) -> Iterator[Finding]:
    """What is left of two tenons must not overlap."""
    for a, b, found in _close_pairs(context):
        if found.distance >= -SAME:
            continue
        yield Finding(
            rule="tenons-collide",
            severity="error",
            message=f"In {a.receiver.name} the tenons of {a.entering.name} and "
            f"{b.entering.name} run {context.say(-found.distance)} into each other.",
            joint=a.name,
            member=a.receiver.name,
            face=str(a.receiver_face),
            measured=found.distance,
            limit=0.0,
            remedy=_sentence(_ways_out(context, a, b, collide=True)),
        )


@rule(
    "tenons-close",
    title="Room between tenons in one post",
    why="Tenons that all but touch hold each other off once glue and play have their way.",
    remedy="Leave a millimetre or more between them.",
    source="our own choice: 1 mm",
    limit=TunableLimit(
        default=CLOSE, low=0.1, high=10.0, unit="mm", what="room between two tenons"
    ),
)
def tenons_close(context: Context) -> Iterator[Finding]:
    """Tenons that don't overlap should lie at least ``CLOSE`` apart."""
    for a, b, found in _close_pairs(context):
        if found.distance < -SAME:
            continue
        gap = max(found.distance, 0.0)
        yield Finding(
            rule="tenons-close",
            severity="warning",
            message=f"In {a.receiver.name} only {context.say(gap)} lies between the tenons of "
            f"{a.entering.name} and {b.entering.name}.",
            joint=a.name,
            member=a.receiver.name,
            face=str(a.receiver_face),
            measured=gap,
            limit=context.limit("tenons-close"),
            remedy=_sentence(_ways_out(context, a, b, collide=False)),
        )


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:]
