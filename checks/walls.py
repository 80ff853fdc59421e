"""Walls: wood left beside, behind and beyond a mortise, and between two of them."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from typing import TYPE_CHECKING

from treenail.checks.gauge import INCH, SAME, box_gap, grade, mortise_corners, walls
from treenail.checks.rules import Context, Finding, TunableLimit, rule
from treenail.joints.blocks import hull
from treenail.joints.cuts import Mortise
from treenail.joints.fits import METRIC_TOOL_SIZES, TOOL_SIZES

if TYPE_CHECKING:
    from treenail.joints.angled_tenon import AngledTenon
    from treenail.joints.mortise_tenon import MortiseTenon
    from treenail.timber.member import Face

#: Wall beside and behind a mortise, mm (common practice: 1/4 in).
WALL = INCH / 4
#: Web between two mortises, mm (our own choice).
THIN_WALL = INCH / 8
#: Wood from a mortise to the post's end, mm (our own choice).
END_WOOD = 3 * INCH / 8


def _pockets(context: Context, joint: MortiseTenon | AngledTenon) -> Iterator[Mortise]:
    for cut in context.bench.cuts[joint.receiver.name]:
        if isinstance(cut, Mortise) and cut.joint == joint.name:
            yield cut


def _open_haunch(cut: Mortise, face: Face) -> bool:
    """A haunch socket may run out at the post's end; nothing else may."""
    return cut.purpose == "haunch socket" and face.is_end


@rule(
    "mortise-breakout",
    title="Mortise stays inside its post",
    why="A mortise that breaks out through a face or the end holds nothing there.",
    remedy="Use a thicker post, or a smaller or shorter tenon.",
    source="geometry",
)
def mortise_breakout(context: Context) -> Iterator[Finding]:
    """No wall at all on a side, behind a blind mortise, or at the end."""
    for joint in context.mortised:
        for cut in _pockets(context, joint):
            for face, wall in walls(joint.receiver, cut).items():
                if wall > SAME or _open_haunch(cut, face):
                    continue
                if face is cut.face.opposite:
                    remedy = (
                        f"Shorten the tenon by {context.say(WALL - wall)}, which leaves "
                        f"{context.say(WALL)} behind it, or make it a through tenon."
                    )
                elif face.is_end:
                    remedy = (
                        f"Widen the shoulder on that side by {context.say(END_WOOD - wall)}, "
                        "or leave the post longer."
                    )
                else:
                    remedy = f"Move the tenon {context.say(WALL - wall)} away from the {face}."
                yield Finding(
                    rule="mortise-breakout",
                    severity="error",
                    message=f"The {cut.purpose} breaks out at the {face} of "
                    f"{joint.receiver.name}, {context.say(-wall)} beyond it.",
                    joint=joint.name,
                    member=joint.receiver.name,
                    face=str(face),
                    measured=wall,
                    limit=0.0,
                    remedy=remedy,
                )


@rule(
    "mortise-wall",
    title="Wall beside and behind a mortise",
    why="A thin wall splits when the tenon is driven or the pegs draw it.",
    remedy="Use a thinner or shorter tenon, or centre it in the post.",
    source="common practice: 1/4 in",
    limit=TunableLimit(
        default=WALL, low=1.0, high=40.0, unit="mm", what="wood beside and behind a mortise"
    ),
)
def mortise_wall(context: Context) -> Iterator[Finding]:
    """The thinnest wall of each pocket that doesn't break out."""
    want = context.limit("mortise-wall")
    for joint in context.mortised:
        for cut in _pockets(context, joint):
            sides = {f: w for f, w in walls(joint.receiver, cut).items() if not f.is_end}
            face, wall = min(sides.items(), key=lambda item: item[1])
            severity = grade(wall, warn=want / 2, advise=want)
            if severity is None or wall <= SAME:
                continue
            short = want - wall
            if face is cut.face.opposite:
                place, remedy = "behind", f"Shorten the tenon by {context.say(short)}."
            else:
                place = "beside"
                tools = TOOL_SIZES if context.bench.units == "in" else METRIC_TOOL_SIZES
                thinner = [t for t in tools if t <= joint.thickness - short + SAME]
                remedy = f"Move the tenon {context.say(short)} away from the {face}" + (
                    f", or make it {context.say(max(thinner))} thick." if thinner else "."
                )
            yield Finding(
                rule="mortise-wall",
                severity=severity,
                message=f"{context.say(wall)} of {joint.receiver.name} is left {place} the "
                f"{cut.purpose}; {context.say(want)} is usual.",
                joint=joint.name,
                member=joint.receiver.name,
                face=str(face),
                measured=wall,
                limit=want,
                remedy=remedy,
            )


@rule(
    "mortise-end-wood",
    title="Wood between a mortise and the post's end",
    why="Short grain beyond a mortise splits off when the joint is driven or racked.",
    remedy="Widen the tenon's shoulder on that side, or leave the post long until it is glued.",
    source="our own choice: 3/8 in",
    limit=TunableLimit(
        default=END_WOOD,
        low=1.0,
        high=100.0,
        unit="mm",
        what="wood from a mortise to the post's end",
    ),
)
def mortise_end_wood(context: Context) -> Iterator[Finding]:
    """From the mortise proper to the nearer end; a haunch socket that nearly runs out."""
    usual = context.limit("mortise-end-wood")
    for joint in context.mortised:
        for cut in _pockets(context, joint):
            ends = {f: w for f, w in walls(joint.receiver, cut).items() if f.is_end}
            if not ends:
                continue
            face, wall = min(ends.items(), key=lambda item: item[1])
            if wall <= SAME:
                continue
            is_haunch = cut.purpose == "haunch socket"
            want, thin = (min(WALL, usual), 0.0) if is_haunch else (usual, usual * 2 / 3)
            severity = grade(wall, warn=thin, advise=want)
            if severity is None:
                continue
            remedy = f"Widen the shoulder on that side by {context.say(want - wall)}."
            if is_haunch:
                remedy = (
                    f"Make the haunch {context.say(want - wall)} narrower, or let its socket "
                    "run out at the end."
                )
            yield Finding(
                rule="mortise-end-wood",
                severity=severity,
                message=f"Only {context.say(wall)} is left between the {cut.purpose} and the "
                f"{face} of {joint.receiver.name}.",
                joint=joint.name,
                member=joint.receiver.name,
                face=str(face),
                measured=wall,
                limit=want,
                remedy=remedy,
            )


@rule(
    "mortise-web",
    title="Web between two mortises",
    why="A web of an eighth or less breaks out while the second mortise is chopped.",
    remedy="Move the mortises apart, or let them run into each other.",
    source="our own choice: 1/8 in",
    limit=TunableLimit(
        default=THIN_WALL, low=0.5, high=20.0, unit="mm", what="thinnest web between two mortises"
    ),
)
def mortise_web(context: Context) -> Iterator[Finding]:
    """Mortises of different joints in one member: apart, or open into each other."""
    thinnest = context.limit("mortise-web")
    for member in context.bench.timbers:
        pockets = [c for c in context.bench.cuts[member.name] if isinstance(c, Mortise)]
        boxes = [(c, hull(mortise_corners(c))) for c in pockets]
        seen: set[frozenset[str]] = set()
        for (a, box), (b, other) in itertools.combinations(boxes, 2):
            pair = frozenset((a.joint, b.joint))
            web = box_gap(box, other)
            if a.joint == b.joint or pair in seen or not SAME < web < thinnest - SAME:
                continue
            seen.add(pair)
            yield Finding(
                rule="mortise-web",
                severity="advice",
                message=f"Between the mortises of {a.joint} and {b.joint} a web of "
                f"{context.say(web)} is left in {member.name}.",
                joint=a.joint,
                member=member.name,
                face=str(a.face),
                measured=web,
                limit=thinnest,
                remedy=f"Move one {context.say(thinnest - web)} away, or chop the web out.",
            )
