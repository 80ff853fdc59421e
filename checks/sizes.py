"""The bench as a whole: its outer sizes, its names, and that all of it hangs together."""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator
from typing import TYPE_CHECKING

from treenail.checks.boards import opening
from treenail.checks.gauge import SAME, fine, local_bounds
from treenail.checks.rules import Context, Finding, rule
from treenail.generators.fittings.site import FITTINGS
from treenail.joints.convex import separation
from treenail.joints.features import Bearing, EdgeGlue
from treenail.timber.moisture import movement, movement_coefficient

if TYPE_CHECKING:
    from treenail.timber.member import Member

_NAME = re.compile(r"[A-Za-z0-9_]+")


@rule(
    "outer-size",
    title="Bench has the sizes asked for",
    why="The bench must fit its place and its user.",
    remedy="Change the size asked for, or what makes the bench larger.",
    source="the spec's own numbers",
)
def outer_size(context: Context) -> Iterator[Finding]:
    """Length, depth and height over all timbers against what was asked, within 1e-6 mm.

    Fittings don't count, but for levelling feet, on which the bench stands.
    """
    bench = context.bench
    timbers = [(m, *bench.bounds[m.name]) for m in bench.timbers if m.assembly != FITTINGS]
    if not timbers:
        return
    floor = [h.placement.origin[2] for h in bench.hardware if h.kind == "levelling foot"]
    for i, name in enumerate(("length", "depth", "height")):
        first = min(timbers, key=lambda t: t[1][i])
        last = max(timbers, key=lambda t: t[2][i])
        start = min([first[1][i], *(floor if i == 2 else ())])
        have, want = last[2][i] - start, bench.asked[i]
        if abs(have - want) <= SAME:
            continue
        more = have > want
        yield Finding(
            rule="outer-size",
            severity="error",
            message=f"The bench's {name} is {context.say(have)}, from {first[0].name} to "
            f"{last[0].name}; {context.say(want)} was asked for.",
            member=last[0].name,
            measured=have,
            limit=want,
            remedy=f"Ask for {context.say(have)}, or take {context.say(have - want)} off what "
            "stands out."
            if more
            else f"Ask for {context.say(have)}, or add {context.say(want - have)}.",
        )


@rule(
    "names",
    title="Parts have plain names",
    why="Names go into file names, drawings and STEP files, which take plain letters only.",
    remedy="Use ASCII letters, digits and underscores.",
    source="our own choice: what every program can read",
)
def names(context: Context) -> Iterator[Finding]:
    """Names of members, joints and hardware."""
    bench = context.bench
    for kind, name in (
        *(("member", m.name) for m in bench.members),
        *(("joint", j.name) for j in bench.joints),
        *(("bolt", h.name) for h in bench.hardware),
    ):
        if not _NAME.fullmatch(name):
            plain = re.sub(r"[^A-Za-z0-9_]+", "_", name).strip("_") or kind
            yield Finding(
                rule="names",
                severity="error",
                message=f"The {kind} named {name!r} has characters other than letters, digits "
                "and underscores.",
                joint=name if kind == "joint" else "",
                member=name if kind != "joint" else "",
                unit="1",
                remedy=f"Call it {plain!r}.",
            )


@rule(
    "loose-part",
    title="Every part is joined to the rest",
    why="A part that no joint holds falls off, and no paper tells how it is fixed.",
    remedy="Join it, or leave it out.",
    source="geometry",
)
def loose_part(context: Context) -> Iterator[Finding]:
    """Members that joints don't connect with the largest group."""
    group = {m.name: m.name for m in context.bench.timbers}

    def root(name: str) -> str:
        while group[name] != name:
            group[name] = group[group[name]]
            name = group[name]
        return name

    for joint in context.bench.joints:
        first, *rest = (m.name for m in joint.members if m.name in group)
        for name in rest:
            group[root(name)] = root(first)
    sizes: dict[str, int] = {}
    for name in group:
        sizes[root(name)] = sizes.get(root(name), 0) + 1
    if not sizes:
        return
    main = max(sizes, key=lambda r: sizes[r])
    for name in group:
        if root(name) != main:
            alone = sizes[root(name)] == 1
            yield Finding(
                rule="loose-part",
                severity="error",
                message=f"{name} takes part in no joint with another piece."
                if alone
                else f"{name} is joined to {sizes[root(name)] - 1} other pieces, but not to the "
                "rest of the bench.",
                member=name,
                unit="1",
            )


@rule(
    "timbers-overlap",
    title="Timbers don't stand in each other",
    why="Two pieces can't fill one place unless a joint makes room.",
    remedy="Move one, or join them.",
    source="geometry",
)
def timbers_overlap(context: Context) -> Iterator[Finding]:
    """Stock of every two timbers that no joint lets into each other, directly or in one post."""
    tenoned: set[frozenset[str]] = set()
    posts: dict[str, list[str]] = {}
    for joint in context.standing:
        tenoned.add(frozenset((joint.receiver.name, joint.entering.name)))
        posts.setdefault(joint.receiver.name, []).append(joint.entering.name)
    for other in context.bench.joints:
        if other.lets_in:
            first, *rest = other.members
            tenoned.update(frozenset((first.name, m.name)) for m in rest)
    for rails in posts.values():
        tenoned.update(frozenset(pair) for pair in itertools.combinations(rails, 2))
    timbers = [(m, *context.bench.bounds[m.name]) for m in context.bench.timbers]
    for (a, low_a, high_a), (b, low_b, high_b) in itertools.combinations(timbers, 2):
        shared = min(min(high_a[i], high_b[i]) - max(low_a[i], low_b[i]) for i in range(3))
        if shared <= SAME or frozenset((a.name, b.name)) in tenoned:
            continue
        deep = -separation(a.world_corners(), b.world_corners()).distance
        if deep <= SAME:
            continue
        yield Finding(
            rule="timbers-overlap",
            severity="error",
            message=f"{a.name} and {b.name} stand {context.say(deep)} in each other.",
            member=b.name,
            measured=-deep,
            limit=0.0,
            remedy=f"Move one of them {context.say(deep)}, or make it that much smaller.",
        )


@rule(
    "contact",
    title="What rests or is glued touches",
    why="A board that doesn't touch what carries it rocks; edges apart can't be glued.",
    remedy="Bring the two together.",
    source="geometry",
)
def contact(context: Context) -> Iterator[Finding]:
    """The pieces of a bearing or a glue line touch over an area, without a gap."""
    for joint in context.bench.joints:
        if isinstance(joint, Bearing):
            a, b, what = joint.below, joint.above, "rests on"
        elif isinstance(joint, EdgeGlue):
            a, b, what = joint.first, joint.second, "is glued to"
        else:
            continue
        gaps = sorted(_gaps(a, b), reverse=True)
        if abs(gaps[0]) <= SAME and gaps[1] < -SAME:
            continue
        if gaps[0] < -SAME and gaps[0] != 0.0:
            message = f"{b.name} {what} {a.name}, but stands {fine(context, -gaps[0])} in it."
        elif gaps[0] > SAME:
            message = f"{b.name} {what} {a.name}, but lies {fine(context, gaps[0])} off it."
        else:
            message = f"{b.name} {what} {a.name}, but touches only an edge of it."
        yield Finding(
            rule="contact",
            severity="error",
            message=message,
            joint=joint.name,
            member=b.name,
            measured=gaps[0],
            limit=0.0,
            remedy=f"Move {b.name} {fine(context, abs(gaps[0]))}." if abs(gaps[0]) > SAME else "",
        )


def _gaps(a: Member, b: Member) -> list[float]:
    """Gaps along ``a``'s axes between it and the box around ``b`` (negative: they overlap)."""
    low, high = local_bounds(a, b)
    return [max(low[i] - a.size[i], -high[i]) for i in range(3)]


@rule(
    "shelf-gap",
    title="Shelf boards have room to swell",
    why="Boards laid tight buckle, or push the posts apart, in a damp season.",
    remedy="Leave wider gaps or use narrower boards.",
    source="FPL-GTR-190 (2010) ch. 13 for the movement; the spec's own seasons",
)
def shelf_gap(context: Context) -> Iterator[Finding]:
    """Gap between neighbouring shelf boards against how far each swells, half to each side."""
    seasons = context.bench.seasons
    boards = [m for m in context.bench.timbers if m.role == "shelf board"]
    for a, b in itertools.pairwise(boards):
        gap = opening(context.bench, a, b, max(_gaps(a, b)))
        swell = sum(
            movement(
                m.width, movement_coefficient(m.species, m.rings), seasons.at_build, seasons.wettest
            )
            for m in (a, b)
        )
        need = swell / 2
        if gap < need - SAME:
            yield Finding(
                rule="shelf-gap",
                severity="warning",
                message=f"Between {a.name} and {b.name} there is {fine(context, gap)}; in the "
                f"damp season they swell {fine(context, need)} together.",
                member=b.name,
                measured=gap,
                limit=need,
                remedy=f"Leave {fine(context, need)} between them, or use narrower boards.",
            )
