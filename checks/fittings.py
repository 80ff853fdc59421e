"""Fittings by their numbers: the wood between their holes and the joints, and what is left."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from typing import TYPE_CHECKING, TypeAlias

from treenail.checks.gauge import INCH, SAME, Rod, rod, wall_between
from treenail.checks.rules import Context, Finding, TunableLimit, rule
from treenail.joints.cuts import Bore, Mortise
from treenail.joints.features import DogHoles
from treenail.joints.levelling import LevellingFoot
from treenail.joints.provisions import Holes, MountedBlock, Provision, Recess
from treenail.joints.sliding import Sliding
from treenail.joints.vise_screw import ViseScrew
from treenail.timber.frames import along
from treenail.timber.moisture import movement, movement_coefficient

if TYPE_CHECKING:
    from treenail.joints.base import Joint
    from treenail.joints.cuts import Cut
    from treenail.timber.member import Member

#: Wood between a fitting's hole and another cut, mm (our own choice).
WALL = INCH / 8
#: Wood around the insert of a levelling foot, mm (our own choice).
AROUND_INSERT = INCH * 0.625
#: How much of a piece a recess may take (our own choice).
RECESS_SHARE = 0.5


def _shapes(cut: Cut) -> tuple[Rod, ...]:
    """What distances to a cut are measured to, never beyond it: a stopped hole's end is flat."""
    found = rod(cut)
    if found is None:
        return ()
    if not isinstance(cut, Bore) or cut.through:
        return (found,)
    r, half = cut.diameter / 2, cut.diameter / 2 / 2**0.5
    stop = max(cut.depth - r, 0.0)
    block = tuple(
        cut.frame.point((x, y, z))
        for x in (-half, half)
        for y in (-half, half)
        for z in (0.0, cut.depth)
    )
    return (Rod((cut.frame.origin, along(cut.frame.origin, cut.frame.z, stop)), r), Rod(block, 0.0))


#: (wood between, the member, a fitting and its cut, another joint and its cut).
_Meeting: TypeAlias = "tuple[float, Member, Joint, Cut, Joint, Cut]"


def _is_fitting(joint: Joint) -> bool:
    return isinstance(joint, Provision | MountedBlock | ViseScrew | Sliding | LevellingFoot)


def _meetings(context: Context, below: float) -> Iterator[_Meeting]:
    """Wood between a fitting's cut and one of another joint in the same member, where thin."""
    joints = {j.name: j for j in context.bench.joints}
    for member in context.bench.timbers:
        rods = [
            (joints[cut.joint], cut, shapes)
            for cut in context.bench.cuts[member.name]
            if cut.joint in joints and (shapes := _shapes(cut))
        ]
        worst: dict[tuple[str, str], _Meeting] = {}
        for first, second in itertools.combinations(rods, 2):
            one, other = (first, second) if _is_fitting(first[0]) else (second, first)
            if not _is_fitting(one[0]) or one[0] is other[0] or _one_fitting(one[0], other[0]):
                continue
            if isinstance(other[0], DogHoles):  # they have a rule of their own
                continue
            walls = [
                wall
                for a, b in itertools.product(one[2], other[2])
                if (wall := wall_between(a, b, below=below)) is not None
            ]
            wall = min(walls, default=None)
            key = (one[0].name, other[0].name)
            if wall is not None and (key not in worst or wall < worst[key][0]):
                worst[key] = (wall, member, one[0], one[1], other[0], other[1])
        yield from worst.values()


def _one_fitting(a: Joint, b: Joint) -> bool:
    """Whether one belongs to the other: the plate of a vise, say."""
    first, second = sorted((a.name, b.name), key=len)
    stem = first.removesuffix("_recess").removesuffix("_screws")
    return second.startswith(f"{stem}_") or second == stem


def _said(
    context: Context, rule_code: str, found: tuple[float, Member, Joint, Cut, Joint, Cut]
) -> Finding:
    wall, member, joint, cut, other, theirs = found
    hit = wall <= SAME
    told = "runs into" if hit else f"leaves {context.say(wall)} to"
    return Finding(
        rule=rule_code,
        severity="error" if hit else "advice",
        message=f"In {member.name} the {cut.purpose} of {joint.name} {told} the {theirs.purpose} "
        f"of {other.name}.",
        joint=joint.name,
        member=member.name,
        face=str(cut.face),
        measured=wall,
        limit=0.0 if hit else WALL,
        remedy=f"Move one of them {context.say(WALL - wall)}.",
    )


@rule(
    "fitting-meets-cut",
    title="Holes for fittings miss the joints",
    why="A screw through a tenon's mortise, a peg or a bolt jams, or cuts what holds the bench.",
    remedy="Move the fitting, or the joint that it meets.",
    source="geometry",
)
def fitting_meets_cut(context: Context) -> Iterator[Finding]:
    """No hole, mortise or recess of a fitting may run into another joint's cut."""
    for found in _meetings(context, WALL):
        if found[0] <= SAME:
            yield _said(context, "fitting-meets-cut", found)


@rule(
    "fitting-wall",
    title="Wood between a fitting's holes and the joints",
    why="A thin wall between a hole and a mortise breaks out when either is cut.",
    remedy="Move the fitting, or the joint that it comes near.",
    source="our own choice: 1/8 in",
    limit=TunableLimit(
        default=WALL, low=0.5, high=40.0, unit="mm", what="wood between a fitting's hole and a cut"
    ),
)
def fitting_wall(context: Context) -> Iterator[Finding]:
    """Wood between a fitting's cut and another joint's."""
    want = context.limit("fitting-wall")
    for found in _meetings(context, want):
        if SAME < found[0] < want - SAME:
            yield _said(context, "fitting-wall", found)


@rule(
    "recess-depth",
    title="Wood left under a recess",
    why="A nut pulls on what is left behind it each time the vise is tightened.",
    remedy="Let the plate in less, or use a thicker piece.",
    source="our own choice: half of the piece",
)
def recess_depth(context: Context) -> Iterator[Finding]:
    """Recesses and nut holes deeper than half of the piece."""
    for joint in context.bench.joints:
        if not isinstance(joint, Recess | Holes) or joint.what not in ("recess", "nut hole"):
            continue
        if isinstance(joint, Recess) and not _is_pocket(joint):
            continue  # as a trench it has a rule of its own
        depth = joint.depth or 0.0
        whole = joint.member.extent(joint.face)
        if depth > RECESS_SHARE * whole + SAME:
            yield Finding(
                rule="recess-depth",
                severity="advice",
                message=f"The {joint.what} of {joint.name} is {context.say(depth)} deep and leaves "
                f"{context.say(whole - depth)} of {joint.member.name}'s {context.say(whole)}.",
                joint=joint.name,
                member=joint.member.name,
                face=str(joint.face),
                measured=depth,
                limit=RECESS_SHARE * whole,
            )


def _is_pocket(joint: Recess) -> bool:
    return all(isinstance(c, Mortise) for c in joint.cuts()[joint.member.name])


@rule(
    "stop-swells",
    title="A sliding fit stays free in the wettest season",
    why="A planing stop that swells tight can't be tapped down; one that is slack drops.",
    remedy="Cut its mortise with more play, or plane it in a damp season.",
    source="FPL-GTR-190 (2010) ch. 13 for the movement; the spec's own seasons",
)
def stop_swells(context: Context) -> Iterator[Finding]:
    """What the sliding member swells across its grain, against the play along the other's."""
    seasons = context.bench.seasons
    for slide in context.bench.joints:
        if not isinstance(slide, Sliding):
            continue
        wide = max(slide.entering.width, slide.entering.thickness)
        coefficient = movement_coefficient(slide.entering.species, slide.entering.rings)
        swells = movement(wide, coefficient, seasons.at_build, seasons.wettest)
        if swells > slide.play + SAME:
            yield Finding(
                rule="stop-swells",
                severity="advice",
                message=f"At its wettest {slide.entering.name} swells {context.say(swells)}; its "
                f"mortise has {context.say(slide.play)} of play.",
                joint=slide.name,
                member=slide.entering.name,
                measured=slide.play,
                limit=swells,
                remedy=f"Cut its mortise with {context.say(swells)} of play or more.",
            )


@rule(
    "insert-wall",
    title="Wood around a levelling foot's insert",
    why="An insert near the post's side splits it when the bench is dragged.",
    remedy="Take a smaller insert, or thicker posts.",
    source="our own choice: 5/8 in",
)
def insert_wall(context: Context) -> Iterator[Finding]:
    """From the insert's hole to the nearest side of the post."""
    for foot in context.bench.joints:
        if not isinstance(foot, LevellingFoot):
            continue
        left = foot.beside(foot.insert_hole)
        if left < AROUND_INSERT - SAME:
            yield Finding(
                rule="insert-wall",
                severity="advice",
                message=f"The insert of {foot.name} leaves {context.say(left)} of wood to "
                f"{foot.member.name}'s side.",
                joint=foot.name,
                member=foot.member.name,
                face=str(foot.end),
                measured=left,
                limit=AROUND_INSERT,
            )
