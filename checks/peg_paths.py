"""Pegs as driven: how deep, how far through the joint, and what else is in their way."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from treenail.checks.gauge import (
    INCH,
    SAME,
    PegHole,
    Rod,
    drawn,
    flat_ended,
    grade,
    kept_bodies,
    mortise_corners,
    mortise_of,
    rod,
    wall_between,
)
from treenail.checks.rules import Context, Finding, TunableLimit, rule
from treenail.joints.convex import reach
from treenail.joints.cuts import Bore
from treenail.joints.drawbored import Drawbored
from treenail.timber.frames import along, dot

if TYPE_CHECKING:
    from treenail.timber.member import Member

#: Wood left beyond a stopped hole, and between a peg hole and other cuts, mm (our own choice).
STOP_WALL, HOLE_WALL = INCH / 8, INCH / 8
PEG_HOLES = ("peg hole", "treenail hole")


def _left(joint: Drawbored, hole: PegHole) -> float:
    """Wood of the post beyond a stopped hole's rim, mm."""
    deep = hole.post.depth * math.cos(hole.post.tilt)
    rim = hole.post.diameter / 2 * math.sin(hole.post.tilt)
    return joint.receiver.extent(hole.post.face) - deep - rim


@rule(
    "peg-hole-depth",
    title="Stopped peg holes are stopped, and as deep as the peg is long",
    why="A hole meant to be stopped that comes through shows; a peg longer than it stands out.",
    remedy="Bore less deep, or bore right through and trim the peg.",
    source="geometry",
)
def peg_hole_depth(context: Context) -> Iterator[Finding]:
    """Wood beyond a stopped hole; and the peg no longer than its hole."""
    for joint, holes in drawn(context):
        for i, hole in enumerate(holes, start=1):
            if hole.post.through:
                continue
            left = _left(joint, hole)
            if left <= SAME:
                yield Finding(
                    rule="peg-hole-depth",
                    severity="error",
                    message=f"A stopped peg hole comes through {joint.receiver.name}.",
                    joint=joint.name,
                    member=joint.receiver.name,
                    face=str(hole.post.face.opposite),
                    measured=left,
                    limit=0.0,
                    remedy=f"Bore {context.say(STOP_WALL - left)} less deep.",
                )
            peg = _peg(context, joint, i)
            if peg is not None and peg.length > hole.post.depth + joint.peg_slant + SAME:
                over = context.say(peg.length - joint.peg_slant - hole.post.depth)
                yield Finding(
                    rule="peg-hole-depth",
                    severity="error",
                    message=f"{peg.name} is {over} longer than its hole is deep.",
                    joint=joint.name,
                    member=peg.name,
                    measured=peg.length,
                    limit=hole.post.depth,
                    remedy=f"Cut the peg {over} shorter, or bore deeper.",
                )


@rule(
    "peg-stop",
    title="Wood beyond a stopped peg hole",
    why="Thin wood beyond a hole splinters out when the peg is driven home.",
    remedy="Bore less deep, or bore right through and trim the peg.",
    source="our own choice: 1/8 in",
    limit=TunableLimit(
        default=STOP_WALL, low=0.5, high=30.0, unit="mm", what="wood beyond a stopped peg hole"
    ),
)
def peg_stop(context: Context) -> Iterator[Finding]:
    """What is left of the post beyond its stopped holes."""
    want = context.limit("peg-stop")
    for joint, holes in drawn(context):
        lefts = [(_left(joint, h), h) for h in holes if not h.post.through]
        left, hole = min(lefts, key=lambda pair: pair[0], default=(math.inf, None))
        severity = grade(left, warn=want / 2, advise=want)
        if hole is None or severity is None or left <= SAME:
            continue
        yield Finding(
            rule="peg-stop",
            severity=severity,
            message=f"Beyond a stopped peg hole {context.say(left)} of {joint.receiver.name} "
            "is left.",
            joint=joint.name,
            member=joint.receiver.name,
            face=str(hole.post.face.opposite),
            measured=left,
            limit=want,
            remedy=f"Bore {context.say(want - left)} less deep.",
        )


def _peg(context: Context, joint: Drawbored, number: int) -> Member | None:
    return context.bench.by_name.get(f"peg_{joint.name}_{number}")


@dataclass(frozen=True, slots=True)
class _Reach:
    """How far a peg stands in the mortise's far wall: with its tip, and at full thickness, mm."""

    joint: Drawbored
    peg: Member
    hole: PegHole
    inside: float
    stout: float


def _reaches(context: Context) -> Iterator[_Reach]:
    for joint, holes in drawn(context):
        mortise = mortise_of(context.bench, joint)
        peg = _peg(context, joint, 1)
        if mortise is None or peg is None or not holes:
            continue
        axis = peg.placement.x
        corners = [joint.receiver.placement.point(p) for p in mortise_corners(mortise)]
        far = reach(corners, axis)[1] - dot(axis, peg.placement.origin)
        yield _Reach(joint, peg, holes[0], peg.length - far, peg.length - peg.tip_length - far)


@rule(
    "peg-short",
    title="Pegs cross the joint",
    why="A peg that ends in the tenon draws at one cheek only, and bends.",
    remedy="Bore deeper and use longer pegs.",
    source="geometry",
)
def peg_short(context: Context) -> Iterator[Finding]:
    """The peg's end must lie beyond the mortise's far cheek."""
    for r in _reaches(context):
        if r.inside <= SAME:
            yield Finding(
                rule="peg-short",
                severity="error",
                message=f"The peg ends {context.say(-r.inside)} before the mortise's far wall.",
                joint=r.joint.name,
                member=r.joint.receiver.name,
                face=str(r.hole.post.face),
                measured=r.inside,
                limit=0.0,
                remedy=f"Bore {context.say(r.peg.width - r.inside)} deeper, with longer pegs.",
            )


@rule(
    "peg-reach",
    title="Pegs stand firm in the far wall",
    why="A peg must fill its hole in both walls of the mortise to pull straight.",
    remedy="Bore deeper, use a shorter taper, or move the tenon toward the drive face.",
    source="our own choice: full thickness up to the far wall, one diameter into it",
)
def peg_reach(context: Context) -> Iterator[Finding]:
    """From the mortise's far cheek to where the taper starts, and to the peg's end."""
    for r in _reaches(context):
        if r.inside <= SAME:
            continue
        d, tip = r.peg.width, r.peg.tip_length
        loose = r.stout < -SAME
        if not loose and r.inside >= d - SAME:
            continue
        ways = []
        if not r.hole.post.through:
            deeper = max(d - r.inside, -r.stout)
            ways.append(f"bore {context.say(deeper)} deeper, with longer pegs")
        if loose and tip + r.stout > SAME:
            ways.append(f"taper the peg over {context.say(tip + r.stout)} only")
        text = "; or ".join(ways) or "move the tenon toward the drive face"
        yield Finding(
            rule="peg-reach",
            severity="warning" if loose else "advice",
            message=f"The peg's taper begins {context.say(-r.stout)} before the mortise's far "
            "wall, so that the peg is loose there."
            if loose
            else f"The peg stands only {context.say(r.inside)} in the mortise's far wall.",
            joint=r.joint.name,
            member=r.joint.receiver.name,
            face=str(r.hole.post.face),
            measured=r.stout if loose else r.inside,
            limit=0.0 if loose else d,
            remedy=f"{text[0].upper()}{text[1:]}.",
        )


# --- what else is in the way


@dataclass(frozen=True, slots=True)
class _Driven:
    """A peg in the bench, and the part of it that is surely there."""

    joint: Drawbored
    peg: Member
    whole: Rod
    core: Rod


def _driven(joint: Drawbored, peg: Member) -> _Driven:
    at, axis, r = peg.placement.origin, peg.placement.x, peg.width / 2
    # A ball of the peg's radius rolled along the core lies wholly inside the peg, before its
    # taper: what that hits, the peg hits.
    stop = max(peg.length - peg.tip_length - r, r + 2 * SAME)
    core = (along(at, axis, r), along(at, axis, stop))
    return _Driven(joint, peg, Rod((at, along(at, axis, peg.length)), r), Rod(core, r))


@dataclass(frozen=True, slots=True)
class _Hit:
    """A peg that runs into a piece of another joint, ``deep`` mm."""

    driven: _Driven
    other: Drawbored
    what: str
    deep: float


def _hits(driven: _Driven, other: Rod, core: Rod) -> float | None:
    """How deep a peg runs into something, if it surely does, mm."""
    sure = wall_between(driven.core, core, below=0.0)
    if sure is None or sure >= -SAME:
        return None
    whole = wall_between(driven.whole, other, below=0.0)
    return -min(sure, whole if whole is not None else 0.0)


def _collisions(context: Context) -> Iterator[_Hit]:
    by_post: dict[str, list[Drawbored]] = {}
    for joint in context.standing:
        if isinstance(joint, Drawbored):
            by_post.setdefault(joint.receiver.name, []).append(joint)
    for joints in by_post.values():
        bodies = {j.name: [Rod(b, 0.0) for b in kept_bodies(context.bench, j)] for j in joints}
        pegs = [
            _driven(j, peg)
            for j in joints
            if j.draw
            for i in range(j.draw.count)
            if (peg := _peg(context, j, i + 1)) is not None
        ]
        for one, joint in itertools.product(pegs, joints):
            if joint is not one.joint:
                deep = [d for b in bodies[joint.name] if (d := _hits(one, b, b)) is not None]
                if deep:
                    yield _Hit(one, joint, f"the tenon of {joint.entering.name}", max(deep))
        for one, two in itertools.combinations(pegs, 2):
            if one.joint is not two.joint:
                into = _hits(one, two.whole, two.core)
                if into is not None:
                    yield _Hit(one, two.joint, two.peg.name, into)


@rule(
    "peg-collides",
    title="Pegs miss other tenons and pegs",
    why="A peg that meets another joint's tenon or peg can't be driven, or cuts it in two.",
    remedy="Move the pegs along the tenon, use shorter stopped holes, or stagger the rails.",
    source="geometry",
)
def peg_collides(context: Context) -> Iterator[Finding]:
    """In the bench: each peg against the tenons and pegs of the other joints of its post."""
    for hit in context.once("peg collisions", lambda: list(_collisions(context))):
        peg, joint = hit.driven.peg, hit.driven.joint
        move = hit.deep + HOLE_WALL
        yield Finding(
            rule="peg-collides",
            severity="error",
            message=f"In {joint.receiver.name}, {peg.name} runs {context.say(hit.deep)} into "
            f"{hit.what}.",
            joint=joint.name,
            member=peg.name,
            measured=-hit.deep,
            limit=0.0,
            remedy=f"Move the peg {context.say(move)} away, which leaves "
            f"{context.say(HOLE_WALL)} of wood between them; or stop its hole before it.",
        )


@rule(
    "peg-hole-wall",
    title="Wood between peg holes and other cuts",
    why="A peg hole that breaks into another joint's mortise or hole has no wall to bear on there.",
    remedy="Move the pegs along the tenon or toward the shoulder, or stop their holes sooner.",
    source="our own choice: 1/8 in",
    limit=TunableLimit(
        default=HOLE_WALL,
        low=0.5,
        high=30.0,
        unit="mm",
        what="wood between a peg hole and another cut",
    ),
)
def peg_hole_wall(context: Context) -> Iterator[Finding]:
    """In each member: its peg holes against the cuts of other joints.

    Where a peg surely hits something there, peg-collides has said so.
    """
    want = context.limit("peg-hole-wall")
    said: set[frozenset[str]] | None = None
    for member in context.bench.timbers:
        rods = [
            (cut, measured)
            for cut in context.bench.cuts[member.name]
            if (measured := rod(cut)) is not None
        ]
        worst: dict[tuple[str, str], tuple[float, Bore, str]] = {}
        for (a, one), (b, two) in itertools.combinations(rods, 2):
            first, other = (a, b) if a.purpose in PEG_HOLES else (b, a)
            if first.purpose not in PEG_HOLES or a.joint == b.joint or not isinstance(first, Bore):
                continue
            wall = wall_between(one, two, below=want)
            if wall is None:
                continue
            if not first.through:
                # Both bodies hold the hole: the wall is at least what either leaves.
                mine, theirs = flat_ended(first), two if first is a else one
                other_wall = wall_between(mine, theirs, below=want)
                if other_wall is None:
                    continue
                wall = max(wall, other_wall)
                if wall >= want - SAME:
                    continue
            if said is None:  # worked out only for a bench that has such holes
                hits = context.once("peg collisions", lambda: list(_collisions(context)))
                said = {frozenset((h.driven.joint.name, h.other.name)) for h in hits}
            if frozenset((a.joint, b.joint)) in said:
                continue
            key = (first.joint, other.joint)
            if key not in worst or wall < worst[key][0]:
                worst[key] = (wall, first, other.purpose)
        for (joint, other_joint), (wall, hole, purpose) in worst.items():
            through = wall <= SAME
            state = (
                f"breaks into the {purpose} of {other_joint}"
                if through
                else f"leaves {context.say(wall)} to the {purpose} of {other_joint}"
            )
            yield Finding(
                rule="peg-hole-wall",
                severity="warning" if through else "advice",
                message=f"In {member.name} a peg hole of {joint} {state}.",
                joint=joint,
                member=member.name,
                face=str(hole.face),
                measured=wall,
                limit=want,
                remedy=f"Move the pegs {context.say(want - wall)} away from it.",
            )
