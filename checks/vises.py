"""Vises by their numbers: that screw and guide serve the opening, and that all of it runs clear."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from typing import TYPE_CHECKING

from treenail.checks.gauge import INCH, SAME, Rod
from treenail.checks.rules import Context, Finding, rule
from treenail.checks.tops import beyond
from treenail.joints.convex import separation
from treenail.joints.features import DogHoles
from treenail.joints.mortise_tenon import MortiseTenon
from treenail.joints.provisions import Holes
from treenail.joints.sliding import Sliding
from treenail.joints.vise_screw import ViseScrew
from treenail.timber.frames import along, dot, neg

if TYPE_CHECKING:
    from treenail.joints.base import Hardware
    from treenail.timber.frames import Vec
    from treenail.timber.member import Member

#: Working surface to a leg vise's screw, mm (common practice: 8 to 10 in).
SCREW_BELOW = (6 * INCH, 12 * INCH)
#: Room beside a vise's rod in the open, mm: less than this touches.
TOUCH = 1e-6


def _vises(context: Context) -> Iterator[ViseScrew]:
    return (j for j in context.bench.joints if isinstance(j, ViseScrew))


def _rods(vise: ViseScrew) -> list[tuple[Hardware, Rod]]:
    """Each rod as its axis from collar to end, the vise shut, in the bench."""
    found = []
    for item, one in zip(vise.hardware(), vise.rods, strict=True):
        end = along(one.point, vise.direction, one.length)
        found.append((item, Rod((one.point, end), one.size.diameter / 2)))
    return found


def _guides(context: Context, vise: ViseScrew) -> Iterator[Sliding]:
    """Slides of the guides that are tenoned into a vise's jaw."""
    held = {
        j.entering.name
        for j in context.bench.joints
        if isinstance(j, MortiseTenon) and j.receiver.name == vise.jaw.name
    }
    for joint in context.bench.joints:
        if isinstance(joint, Sliding) and joint.entering.name in held:
            yield joint


# --- travel


@rule(
    "vise-travel",
    title="The screw is long enough for the vise's opening",
    why="Opened farther than its thread reaches, the screw comes out of its nut.",
    remedy="Ask for less travel, or take a longer screw or a thinner jaw.",
    source="geometry",
)
def vise_travel(context: Context) -> Iterator[Finding]:
    """The opening asked for against what screw, jaw and nut leave."""
    for vise in _vises(context):
        if vise.travel > vise.most_travel + SAME:
            yield Finding(
                rule="vise-travel",
                severity="error",
                message=f"{vise.name} is to open {context.say(vise.travel)}; its screw, "
                f"{context.say(vise.rods[0].length)} long, leaves its nut at "
                f"{context.say(vise.most_travel)}.",
                joint=vise.name,
                member=vise.jaw.name,
                measured=vise.travel,
                limit=vise.most_travel,
                remedy=f"Ask for {context.say(vise.most_travel)} of travel at most.",
            )


@rule(
    "rods-reach",
    title="Guide rods stay under the top",
    why="Rods that leave their bearings when the vise is wide open let the jaw drop and rack.",
    remedy="Ask for less travel, or use the rods that belong to the vise.",
    source="geometry",
)
def rods_reach(context: Context) -> Iterator[Finding]:
    """Each guide rod's end, the vise wide open, against what holds its nut."""
    for vise in _vises(context):
        edge = max(dot(p, vise.direction) for p in vise.jaw.world_corners())
        for rod in vise.rods[1:]:
            left = dot(rod.point, vise.direction) + rod.length - vise.travel - edge
            if left < -SAME:
                yield Finding(
                    rule="rods-reach",
                    severity="error",
                    message=f"Opened {context.say(vise.travel)}, a guide rod of {vise.name} ends "
                    f"{context.say(-left)} before the edge.",
                    joint=vise.name,
                    member=vise.jaw.name,
                    measured=left,
                    limit=0.0,
                    remedy=f"Ask for {context.say(vise.travel + left)} of travel at most.",
                )


@rule(
    "guide-tail",
    title="The guide stays in its mortise",
    why="A guide that leaves the post when the vise is wide open lets the chop drop and rack.",
    remedy="Make the guide longer, or ask for less travel.",
    source="geometry",
)
def guide_tail(context: Context) -> Iterator[Finding]:
    """What stands behind the post while the vise is shut, against its travel."""
    for vise in _vises(context):
        for slide in _guides(context, vise):
            low, high = (dot(p, slide.home) for p in _ends(slide.entering, slide.home))
            far = max(dot(p, slide.home) for p in slide.receiver.world_corners())
            left = max(low, high) - far - vise.travel
            if left < -SAME:
                yield Finding(
                    rule="guide-tail",
                    severity="error",
                    message=f"Opened {context.say(vise.travel)}, {slide.entering.name} ends "
                    f"{context.say(-left)} inside {slide.receiver.name}.",
                    joint=slide.name,
                    member=slide.entering.name,
                    measured=left,
                    limit=0.0,
                    remedy=f"Make it {context.say(-left)} longer.",
                )


def _ends(member: Member, way: Vec) -> tuple[Vec, Vec]:
    corners = sorted(member.world_corners(), key=lambda p: dot(p, way))
    return corners[0], corners[-1]


@rule(
    "guide-pins",
    title="The guide's holes cover the opening",
    why="Where no hole comes before the post, nothing stops the chop's foot: it closes aslant.",
    remedy="Bore more holes, or closer ones.",
    source="common practice: a hole for every inch of the opening, or closer",
)
def guide_pins(context: Context) -> Iterator[Finding]:
    """The widest stretch of the opening without a hole, against 1 in and one pin."""
    for vise in _vises(context):
        for slide in _guides(context, vise):
            for holes in context.bench.joints_of(slide.entering):
                if isinstance(holes, Holes):
                    yield from _uncovered(context, vise, slide, holes)


def _uncovered(
    context: Context, vise: ViseScrew, slide: Sliding, holes: Holes
) -> Iterator[Finding]:
    frame = slide.entering.placement.place(slide.entering.face_frame(holes.face))
    before = min(dot(p, slide.home) for p in slide.receiver.world_corners())
    r = holes.diameter / 2
    # The pin in a hole bears on the post when the vise has opened so far.
    opens = sorted(dot(frame.point((x, y, 0.0)), slide.home) + r - before for x, y in holes.points)
    stops = [0.0, *(d for d in opens if SAME < d <= vise.travel + SAME), vise.travel]
    widest, start = max((b - a, a) for a, b in itertools.pairwise(stops))
    want = max(INCH, 2.5 * holes.diameter)
    if widest > want + SAME:
        yield Finding(
            rule="guide-pins",
            severity="warning",
            message=f"Between openings of {context.say(start)} and {context.say(start + widest)} "
            f"no pin hole of {slide.entering.name} comes before {slide.receiver.name}.",
            joint=holes.name,
            member=slide.entering.name,
            face=str(holes.face),
            measured=widest,
            limit=want,
        )


@rule(
    "screw-height",
    title="A leg vise's screw lies under the top as is usual",
    why="Too high leaves no room for deep work; too low takes the grip from the jaw's end.",
    remedy="Set the screw's height, or make room for it: `meeting: mitred`, narrower stretchers.",
    source="common practice: 8 to 10 in below the working surface; told of from 2 in beyond",
)
def screw_height(context: Context) -> Iterator[Finding]:
    """From the jaw's upper end down to the screw, where the jaw stands upright."""
    for vise in _vises(context):
        if abs(vise.jaw.placement.x[2]) < 0.9:
            continue
        below = vise.jaw.bounds()[1][2] - vise.rods[0].point[2]
        least, most = SCREW_BELOW
        if least - SAME <= below <= most + SAME:
            continue
        yield Finding(
            rule="screw-height",
            severity="advice",
            message=f"The screw of {vise.name} lies {context.say(below)} under the jaw's end; "
            f"{context.say(least)} to {context.say(most)} is usual.",
            joint=vise.name,
            member=vise.jaw.name,
            measured=below,
            limit=least if below < least else most,
        )


# --- clearance


@rule(
    "vise-rod-clear",
    title="A vise's steel runs clear",
    why="A screw or rod goes only through holes that are bored for it.",
    remedy="Move the vise, or what stands in its way.",
    source="geometry",
)
def vise_rod_clear(context: Context) -> Iterator[Finding]:
    """Each rod, the vise shut, against the stock of what is not bored for it, pegs included."""
    for vise in _vises(context):
        bored = {m.name for m in vise.bored_members}
        for item, steel in _rods(vise):
            for other in context.bench.members:
                if other.name in bored:
                    continue
                apart = separation(steel.shape, tuple(other.world_corners())).distance
                deep = steel.radius - apart
                if deep > TOUCH:
                    yield Finding(
                        rule="vise-rod-clear",
                        severity="error",
                        message=f"The {item.kind} of {vise.name} runs {context.say(deep)} into "
                        f"{other.name}.",
                        joint=vise.name,
                        member=other.name,
                        measured=-deep,
                        limit=0.0,
                        remedy=f"Move one of them {context.say(deep)}.",
                    )


@rule(
    "vise-path",
    title="A vise opens freely",
    why="What stands before a jaw stops it before it is open.",
    remedy="Move the vise, or what stands in its way.",
    source="geometry",
)
def vise_path(context: Context) -> Iterator[Finding]:
    """The jaw's box, swept over its travel, against every other member's."""
    for vise in _vises(context):
        moving = {vise.jaw.name} | {g.entering.name for g in _guides(context, vise)}
        out = neg(vise.direction)
        corners = vise.jaw.world_corners()
        front = max(dot(p, out) for p in corners)
        ahead = [p for p in corners if dot(p, out) > front - SAME]
        path = (*ahead, *(along(p, out, vise.travel) for p in ahead))
        for other in context.bench.timbers:
            if other.name in moving:
                continue
            deep = -separation(path, tuple(other.world_corners())).distance
            if deep > TOUCH:
                near = min(dot(p, out) for p in other.world_corners()) - front
                yield Finding(
                    rule="vise-path",
                    severity="error",
                    message=f"{vise.jaw.name} meets {other.name} when it has opened "
                    f"{context.say(max(near, 0.0))} of {context.say(vise.travel)}.",
                    joint=vise.name,
                    member=other.name,
                    measured=max(near, 0.0),
                    limit=vise.travel,
                )


@rule(
    "dog-meets-vise",
    title="Dogs pass a vise's steel",
    why="A dog or holdfast that strikes a screw under the top won't go down.",
    remedy="Move the row or the vise, or leave those holes out.",
    source="our own choice: as far below the top as dog-hole-below says",
)
def dog_meets_vise(context: Context) -> Iterator[Finding]:
    """Each dog hole, carried on below the top, against the rods of every vise."""
    for dogs in context.bench.joints:
        if not isinstance(dogs, DogHoles):
            continue
        place = dogs.member.placement
        for vise in _vises(context):
            struck: list[int] = []
            for number, cut in enumerate(dogs.cuts()[dogs.member.name], start=1):
                start = place.point(cut.frame.point((0.0, 0.0, dogs.member.extent(dogs.face))))
                way = place.direction(cut.frame.z)
                dog = (start, along(start, way, context.limit("dog-hole-below")))
                if any(
                    separation(dog, steel.shape).distance < dogs.diameter / 2 + steel.radius - SAME
                    for _, steel in _rods(vise)
                ):
                    struck.append(number)
            if struck:
                numbers = ", ".join(map(str, struck))
                yield Finding(
                    rule="dog-meets-vise",
                    severity="warning",
                    message=f"{beyond(dogs)} dog hole{'s' if len(struck) > 1 else ''} {numbers} of "
                    f"{dogs.name} runs the steel of {vise.name}.",
                    joint=dogs.name,
                    member=dogs.member.name,
                    face=str(dogs.face),
                    measured=float(len(struck)),
                    limit=0.0,
                    unit="1",
                )
