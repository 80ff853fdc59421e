"""Drawboring: the offset of the holes pulls the shoulder home, and the peg still gets through."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from treenail.checks.gauge import INCH, SAME, cuts_of, drawn, fine
from treenail.checks.rules import Context, Finding, rule
from treenail.joints.tenon_variants.pegs import SMALL_PEG
from treenail.joints.tenon_variants.pegs import usual_draw as draw_for
from treenail.joints.volumes import clear_opening, lens_area

if TYPE_CHECKING:
    from treenail.joints.drawbored import Drawbored

#: Draw as a share of the peg's diameter beyond which a peg is more likely to break (from memory).
MOST_BEND = 0.25


def usual_draw(joint: Drawbored) -> float:
    """The draw that is usual for a joint's wood and pegs, mm (common practice)."""
    diameter = joint.draw.diameter if joint.draw is not None else SMALL_PEG
    return draw_for(joint.entering.species, diameter)


@rule(
    "draw-direction",
    title="Pegs draw the shoulder home",
    why="The tenon's hole must lie nearer its shoulder than the post's; the other way round the "
    "peg pushes the joint open.",
    remedy="Mark the tenon's hole from the post's, then prick it toward the shoulder.",
    source="geometry",
)
def draw_direction(context: Context) -> Iterator[Finding]:
    """In the bench, from the holes as bored: the post's must lie farther home."""
    for joint, holes in drawn(context):
        counts = [
            len(cuts_of(context.bench, m, joint, "peg hole"))
            for m in (joint.receiver, joint.entering)
        ]
        if counts[0] != counts[1]:
            yield Finding(
                rule="draw-direction",
                severity="error",
                message=f"{joint.receiver.name} has {counts[0]} peg holes for this joint, "
                f"{joint.entering.name} {counts[1]}.",
                joint=joint.name,
                member=joint.entering.name,
                measured=float(counts[1]),
                limit=float(counts[0]),
                unit="1",
                remedy="Bore one hole in each for every peg.",
            )
            continue
        for hole in sorted(holes, key=lambda h: h.draw)[:1]:
            if hole.draw > SAME:
                continue
            back = hole.draw < -SAME
            yield Finding(
                rule="draw-direction",
                severity="error" if back else "warning",
                message=f"The tenon's peg hole lies {context.say(-hole.draw)} farther from the "
                "shoulder than the post's: the peg pushes the joint open."
                if back
                else "The peg holes of post and tenon line up: the peg draws nothing.",
                joint=joint.name,
                member=joint.entering.name,
                face=str(hole.tenon.face),
                measured=hole.draw,
                limit=0.0,
                remedy=f"Bore the tenon {context.say(usual_draw(joint) - hole.draw)} nearer its "
                f"shoulder, for a draw of {context.say(usual_draw(joint))}.",
            )


@rule(
    "draw-amount",
    title="How far pegs draw",
    why="Too little draw leaves the shoulder open; too much breaks the peg or splits the tenon.",
    remedy="Draw 1/16 in with 3/8 in pegs, 1/32 in dense wood or with thin ones, 3/32 in softwood.",
    source="common practice; a quarter of the diameter at most: from memory",
)
def draw_amount(context: Context) -> Iterator[Finding]:
    """Between half the usual draw and 1/32 in over it, and a quarter of the peg at most."""
    for joint, holes in drawn(context):
        d = joint.draw
        draws = [h.draw for h in holes if h.draw > SAME]
        if d is None or not draws:
            continue
        usual = usual_draw(joint)
        low, high = usual / 2, usual + INCH / 32
        worst = max(draws, key=lambda x: max(low - x, x - high))
        bend = worst / d.diameter
        if bend >= 1.0 - SAME:
            continue  # no way through at all: peg-opening says so
        if bend > MOST_BEND + SAME:
            clear = lens_area(d.diameter, worst) / lens_area(d.diameter, 0.0)
            yield Finding(
                rule="draw-amount",
                severity="warning",
                message=f"A draw of {context.say(worst)} is {bend:.0%} of the peg's diameter and "
                f"leaves {clear:.0%} of the hole clear; the peg may break.",
                joint=joint.name,
                member=joint.entering.name,
                measured=worst,
                limit=MOST_BEND * d.diameter,
                remedy=f"Draw {context.say(usual)}, or use a peg of "
                f"{context.say(worst / MOST_BEND)} or more.",
            )
        elif not low - SAME <= worst <= high + SAME:
            wood = joint.entering.species
            yield Finding(
                rule="draw-amount",
                severity="advice",
                message=f"The pegs draw {context.say(worst)}; {context.say(usual)} is usual for "
                f"{context.say(d.diameter)} pegs in {wood.name.lower()}.",
                joint=joint.name,
                member=joint.entering.name,
                measured=worst,
                limit=low if worst < low else high,
                remedy=f"Set the draw to {context.say(usual)}.",
            )


@rule(
    "peg-opening",
    title="Way clear for the peg",
    why="Before it is driven, the peg must find a way through the holes that don't line up.",
    remedy="Draw less, or use a thicker peg.",
    source="geometry",
)
def peg_opening(context: Context) -> Iterator[Finding]:
    """The clear width of two offset circles (joints/volumes.py); no offset across the draw."""
    for joint, holes in drawn(context):
        for hole in sorted(holes, key=lambda h: -_miss(h.draw, h.astray))[:1]:
            d = min(hole.post.diameter, hole.tenon.diameter)
            miss = _miss(hole.draw, hole.astray)
            usual = usual_draw(joint)
            if clear_opening(d, miss) <= SAME:
                message = (
                    f"The holes of {context.say(d)} lie {context.say(miss)} apart and don't meet: "
                    "no peg gets through."
                )
                remedy = (
                    f"Draw {context.say(usual)}, which leaves "
                    f"{context.say(clear_opening(d, usual))} clear."
                )
                measured, limit = miss, d
            elif hole.astray > SAME:
                message = (
                    f"The peg holes miss each other by {fine(context, hole.astray)} to one side, "
                    "across the draw."
                )
                remedy = f"Bore the tenon {fine(context, hole.astray)} to the other side."
                measured, limit = hole.astray, 0.0
            else:
                continue
            yield Finding(
                rule="peg-opening",
                severity="error",
                message=message,
                joint=joint.name,
                member=joint.entering.name,
                face=str(hole.tenon.face),
                measured=measured,
                limit=limit,
                remedy=remedy,
            )


def _miss(draw: float, astray: float) -> float:
    return float((draw * draw + astray * astray) ** 0.5)


@rule(
    "peg-tip",
    title="Peg's tip finds its way",
    why="A tip wider than the clear way catches on the tenon's hole instead of drawing it.",
    remedy="Taper the peg to less than the clear way through the holes.",
    source="geometry",
)
def peg_tip(context: Context) -> Iterator[Finding]:
    """The tip's end against the clear width of the offset holes."""
    for joint, holes in drawn(context):
        d = joint.draw
        if d is None or not holes:
            continue
        miss = max(_miss(h.draw, h.astray) for h in holes)
        bore = min(min(h.post.diameter, h.tenon.diameter) for h in holes)
        opening = clear_opening(bore, miss)
        tip = d.tip_diameter if d.tip > 0.0 else d.diameter
        if opening <= SAME or tip <= opening + SAME:
            continue  # closed: peg-opening says so
        blunt = d.tip <= 0.0
        yield Finding(
            rule="peg-tip",
            severity="error",
            message=f"The peg's {'blunt end' if blunt else 'tip'} is {context.say(tip)} wide; "
            f"the offset holes leave {context.say(opening)}.",
            joint=joint.name,
            member=joint.entering.name,
            measured=tip,
            limit=opening,
            remedy=f"Taper the peg over {context.say(1.5 * d.diameter)} to "
            f"{context.say(opening * 0.8)} at its end.",
        )
