"""Knock-down bolts with barrel nuts: wood around the nut, under the washer, and against turning."""

from __future__ import annotations

from collections.abc import Iterator

from treenail.checks.gauge import INCH, SAME
from treenail.checks.rules import Context, Finding, rule
from treenail.joints.barrel_bolt import BarrelBolt
from treenail.timber.member import Face

#: From the rail's end to the nut's axis, in diameters of the nut (our own choice).
END_DIAMETERS = 3.0
#: Wood beside and behind the nut's hole, mm (our own choice: 1/4 in).
NUT_WALL = INCH / 4
#: Wood that the washer presses on, mm (our own choice: 1/2 in).
GRIP = INCH / 2


def _bolts(context: Context) -> list[BarrelBolt]:
    return [j for j in context.bench.joints if isinstance(j, BarrelBolt)]


@rule(
    "barrel-nut-end",
    title="Wood between a barrel nut and the rail's end",
    why="The bolt pulls the nut toward the end; short wood there shears out.",
    remedy="Set the nut farther in, with a longer bolt.",
    source="our own choice: three diameters of the nut",
)
def barrel_nut_end(context: Context) -> Iterator[Finding]:
    """The nut's axis from the rail's end, against its diameter."""
    for bolt in _bolts(context):
        least = END_DIAMETERS * bolt.size.nut_diameter
        if bolt.setback < least - SAME:
            yield Finding(
                rule="barrel-nut-end",
                severity="advice",
                message=f"The barrel nut lies {context.say(bolt.setback)} from the end of "
                f"{bolt.rail.name}.",
                joint=bolt.name,
                member=bolt.rail.name,
                face=str(bolt.nut_face),
                measured=bolt.setback,
                limit=least,
                remedy=f"Set it {context.say(least)} in.",
            )


@rule(
    "barrel-nut-wall",
    title="Wood around a barrel nut",
    why="The nut's hole is the widest in the rail; thin wood beside or behind it breaks out.",
    remedy="Move the bolt to the middle, or take a smaller or shorter nut.",
    source="our own choice: 1/4 in",
)
def barrel_nut_wall(context: Context) -> Iterator[Finding]:
    """Behind the hole's bottom, and from its wall to the faces beside it."""
    for bolt in _bolts(context):
        rail, (edge, side) = bolt.rail, bolt.place
        radius = bolt.size.nut_diameter / 2
        walls = {
            Face.FACE_EDGE: edge - radius,
            Face.BACK_EDGE: rail.width - edge - radius,
            Face.FACE_SIDE: side - radius,
            Face.BACK_SIDE: rail.thickness - side - radius,
        }
        del walls[bolt.nut_face]
        walls[bolt.nut_face.opposite] = rail.extent(bolt.nut_face) - bolt.nut_depth
        face, left = min(walls.items(), key=lambda item: item[1])
        if left < NUT_WALL - SAME:
            yield Finding(
                rule="barrel-nut-wall",
                severity="warning" if left <= SAME else "advice",
                message=f"The barrel nut's hole leaves {context.say(left)} of wood at "
                f"{rail.name}'s {face}.",
                joint=bolt.name,
                member=rail.name,
                face=str(face),
                measured=left,
                limit=NUT_WALL,
            )


@rule(
    "barrel-bolt-grip",
    title="Wood under a knock-down bolt's washer",
    why="The washer pulls through a thin web.",
    remedy="Make the counterbore shallower, or the post thicker.",
    source="our own choice: 1/2 in",
)
def barrel_bolt_grip(context: Context) -> Iterator[Finding]:
    """From the washer to the rail's end."""
    for bolt in _bolts(context):
        if bolt.grip < GRIP - SAME:
            yield Finding(
                rule="barrel-bolt-grip",
                severity="advice",
                message=f"Only {context.say(bolt.grip)} of {bolt.post.name} lies under the washer.",
                joint=bolt.name,
                member=bolt.post.name,
                face=str(bolt.entry_face),
                measured=bolt.grip,
                limit=GRIP,
                remedy=f"Leave {context.say(GRIP)}.",
            )


@rule(
    "barrel-bolt-turns",
    title="A bolted rail can't turn",
    why="About a single bolt a rail turns, however tight it is.",
    remedy="Add a stub tenon, a shallow housing, or a second bolt.",
    source="common practice",
)
def barrel_bolt_turns(context: Context) -> Iterator[Finding]:
    """A post and a rail that one knock-down bolt alone holds."""
    held: dict[frozenset[str], int] = {}
    for joint in context.bench.joints:
        first, *rest = joint.members
        for other in rest:
            pair = frozenset((first.name, other.name))
            held[pair] = held.get(pair, 0) + 1
    for bolt in _bolts(context):
        if held[frozenset((bolt.rail.name, bolt.post.name))] == 1:
            yield Finding(
                rule="barrel-bolt-turns",
                severity="advice",
                message=f"{bolt.rail.name} is held to {bolt.post.name} by one bolt, about which "
                "it can turn.",
                joint=bolt.name,
                member=bolt.rail.name,
                unit="1",
            )
