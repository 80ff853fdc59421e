"""Where lag bolts stand: free to let the top move, with wood around them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from treenail.checks.gauge import SAME, cuts_of, grade
from treenail.checks.panels import across, fixed_line, panel_of
from treenail.checks.rules import Context, Finding, TunableLimit, rule
from treenail.generators.top_bolts import LEAST_BESIDE
from treenail.generators.tops import CLEAR_OF_GLUE_LINE
from treenail.joints.cuts import Bore, Cut, Slot
from treenail.joints.features import EdgeGlue
from treenail.timber.frames import dot, norm, scale, sub
from treenail.timber.moisture import movement, movement_coefficient

if TYPE_CHECKING:
    from treenail.joints.lag_bolt import LagBolt


def travel(cut: Cut, body: float) -> float | None:
    """How far something ``body`` wide may go to either side of a hole's middle, mm."""
    if isinstance(cut, Slot):
        return cut.centres / 2 + (cut.width - body) / 2
    return (cut.diameter - body) / 2 if isinstance(cut, Bore) else None


@rule(
    "bolt-slot",
    title="Slots let the top move",
    why="A top that can't swell and shrink across its grain splits, or racks the frame.",
    remedy="Lengthen the slots across the top's grain.",
    source="FPL-GTR-190 (2010) ch. 13 for the movement; the spec's own seasons",
)
def bolt_slot(context: Context) -> Iterator[Finding]:
    """Play of shank and washer against the season's movement from the fixed line of bolts."""
    seasons = context.bench.seasons
    for bolt in context.bolts:
        fixed = fixed_line(context, panel_of(context, bolt.top))
        wood = bolt.top.species
        c = movement_coefficient(wood, bolt.top.rings)
        away = abs(across(bolt) - fixed)
        need = max(
            abs(movement(away, c, seasons.at_build, mc)) for mc in (seasons.driest, seasons.wettest)
        )
        for purpose, body, what in (
            ("bolt ", bolt.size.diameter, "shank"),
            ("counterbore", bolt.size.washer_od, "washer"),
        ):
            for cut in context.bench.cuts[bolt.carrier.name]:
                if cut.joint != bolt.name or not cut.purpose.startswith(purpose):
                    continue
                room = travel(cut, body)
                if room is None or need <= room + SAME:
                    continue
                sure = wood.movement_basis in ("printed", "group", "derived")
                yield Finding(
                    rule="bolt-slot",
                    severity="error" if sure else "warning",
                    message=f"The top moves {context.say(need)} here over the year; the "
                    f"{cut.purpose} lets the {what} go {context.say(room)} each way.",
                    joint=bolt.name,
                    member=bolt.carrier.name,
                    face=str(cut.face),
                    measured=room,
                    limit=need,
                    remedy=f"Lengthen the {cut.purpose} by {context.say(2 * (need - room))}."
                    if isinstance(cut, Slot)
                    else f"Make the {cut.purpose} a slot across the top's grain, "
                    f"{context.say(2 * (need - room))} between centres.",
                )


def _beside(context: Context, bolt: LagBolt) -> tuple[float, Cut] | None:
    """The least wood beside a bolt's holes in its carrier, and the cut, mm."""
    worst: tuple[float, Cut] | None = None
    for cut in context.bench.cuts[bolt.carrier.name]:
        if cut.joint != bolt.name or not isinstance(cut, Bore | Slot):
            continue
        half_y = (cut.diameter if isinstance(cut, Bore) else cut.width) / 2
        half_x = half_y + (cut.centres / 2 if isinstance(cut, Slot) else 0.0)
        f = cut.frame
        for i in range(3):
            if abs(f.z[i]) > 0.5:
                continue
            half = abs(f.x[i]) * half_x + abs(f.y[i]) * half_y
            left = min(f.origin[i], bolt.carrier.size[i] - f.origin[i]) - half
            if worst is None or left < worst[0]:
                worst = (left, cut)
    return worst


def _room(context: Context, bolt: LagBolt, left: float) -> str:
    """What gives a bolt more wood at its sides, in words."""
    middle = bolt.carrier.placement.point(_middle(bolt.carrier.size))
    off = sub(bolt.point, middle)
    grain = dot(off, bolt.carrier.placement.x)
    aside = sub(off, scale(bolt.direction, dot(off, bolt.direction)))
    aside = sub(aside, scale(bolt.carrier.placement.x, grain))
    if norm(aside) > SAME:
        return f"Move the bolt {context.say(norm(aside))} to the middle of {bolt.carrier.name}."
    if abs(grain) > bolt.carrier.length / 2 - bolt.size.washer_od:
        return "Move the bolt along the stretcher, away from its end."
    narrow = ", use a narrow washer" if bolt.size.washer == "wide" else ""
    thicker = context.say(2 * (context.limit("bolt-beside") - left))
    return f"Make {bolt.carrier.name} {thicker} thicker{narrow}, or use a smaller bolt."


@rule(
    "bolt-breakout",
    title="Bolt holes stay inside the stretcher",
    why="A counterbore that breaks out at the stretcher's side has no wood to bear on.",
    remedy="Use a narrower washer, a smaller bolt or a thicker stretcher.",
    source="geometry",
)
def bolt_breakout(context: Context) -> Iterator[Finding]:
    """Each hole's outline against the carrier's faces beside it."""
    for bolt in context.bolts:
        worst = _beside(context, bolt)
        if worst is not None and worst[0] <= SAME:
            left, cut = worst
            yield Finding(
                rule="bolt-breakout",
                severity="error",
                message=f"The {cut.purpose} breaks {context.say(-left)} out of "
                f"{bolt.carrier.name}.",
                joint=bolt.name,
                member=bolt.carrier.name,
                face=str(cut.face),
                measured=left,
                limit=0.0,
                remedy=_room(context, bolt, left),
            )


@rule(
    "bolt-beside",
    title="Wood beside bolt holes and counterbores",
    why="Thin wood beside a counterbore splits off when the bolt is tightened.",
    remedy="Use a narrower washer, a smaller bolt or a thicker stretcher.",
    source="our own choice: 6 mm",
    limit=TunableLimit(
        default=LEAST_BESIDE, low=1.0, high=50.0, unit="mm", what="wood beside a bolt's holes"
    ),
)
def bolt_beside(context: Context) -> Iterator[Finding]:
    """From each hole's outline to the carrier's faces beside it."""
    want = context.limit("bolt-beside")
    for bolt in context.bolts:
        worst = _beside(context, bolt)
        if worst is None or worst[0] <= SAME:
            continue
        left, cut = worst
        severity = grade(left, warn=want / 2, advise=want)
        if severity:
            yield Finding(
                rule="bolt-beside",
                severity=severity,
                message=f"The {cut.purpose} leaves {context.say(left)} of {bolt.carrier.name} "
                "beside it.",
                joint=bolt.name,
                member=bolt.carrier.name,
                face=str(cut.face),
                measured=left,
                limit=want,
                remedy=_room(context, bolt, left),
            )


@rule(
    "bolt-in-wood",
    title="Bolts lie in the pieces they join",
    why="A bolt beside its stretcher or past the edge of the top holds nothing.",
    remedy="Move the bolt.",
    source="geometry",
)
def bolt_in_wood(context: Context) -> Iterator[Finding]:
    """The pilot hole must open inside the top's underside; stretcher and top must touch."""
    for bolt in context.bolts:
        for cut in cuts_of(context.bench, bolt.top, bolt, "pilot hole"):
            if not isinstance(cut, Bore):
                continue
            at = bolt.top.face_frame(cut.face).local_point(cut.frame.origin)
            size = bolt.top.face_size(cut.face)
            left = min(at[0], at[1], size[0] - at[0], size[1] - at[1]) - cut.diameter / 2
            if left <= SAME:
                yield Finding(
                    rule="bolt-in-wood",
                    severity="error",
                    message=f"The pilot hole breaks out at the edge of {bolt.top.name} by "
                    f"{context.say(-left)}.",
                    joint=bolt.name,
                    member=bolt.top.name,
                    face=str(cut.face),
                    measured=left,
                    limit=0.0,
                    remedy=f"Move the bolt {context.say(bolt.size.diameter - left)} in.",
                )
        under = bolt.top.placement.place(bolt.top.face_frame(bolt.top_face))
        exit_face = bolt.carrier.face_frame(bolt.entry_face.opposite)
        seat = bolt.carrier.placement.point(exit_face.origin)
        gap = dot(sub(under.origin, seat), bolt.direction)
        if abs(gap) > SAME:
            yield Finding(
                rule="bolt-in-wood",
                severity="error",
                message=f"{bolt.carrier.name} and {bolt.top.name} "
                + (
                    f"stand {context.say(gap)} apart at the bolt."
                    if gap > 0.0
                    else f"run {context.say(-gap)} into each other at the bolt."
                ),
                joint=bolt.name,
                member=bolt.carrier.name,
                face=str(bolt.entry_face.opposite),
                measured=gap,
                limit=0.0,
                remedy=f"Move {bolt.carrier.name} {context.say(abs(gap))} "
                f"{'toward' if gap > 0.0 else 'away from'} the top.",
            )


@rule(
    "bolt-glue-line",
    title="Bolts keep off glue lines",
    why="A thread along a glue line wedges the joint open.",
    remedy="Move the glue line or the bolt.",
    source="our own choice: 12 mm",
    limit=TunableLimit(
        default=CLEAR_OF_GLUE_LINE,
        low=0.0,
        high=60.0,
        unit="mm",
        what="a bolt's axis to a glue line",
    ),
)
def bolt_glue_line(context: Context) -> Iterator[Finding]:
    """From a bolt's axis to the glued edges of its section."""
    want = context.limit("bolt-glue-line")
    glue = [j for j in context.bench.joints if isinstance(j, EdgeGlue)]
    for bolt in context.bolts:
        for joint in glue:
            if bolt.top not in joint.members:
                continue
            other = joint.second if bolt.top == joint.first else joint.first
            # Along the section's width, the glued edge is the one on the neighbour's side.
            place = bolt.top.placement
            y = place.local_point(bolt.point)[1]
            beyond = place.local_point(other.placement.point(_middle(other.size)))[1]
            away = bolt.top.width - y if beyond > bolt.top.width / 2 else y
            severity = grade(away, warn=bolt.pilot / 2, advise=want)
            if severity is None:
                continue
            yield Finding(
                rule="bolt-glue-line",
                severity=severity,
                message=f"The bolt stands {context.say(max(away, 0.0))} from the glue line "
                f"between {joint.first.name} and {joint.second.name}.",
                joint=bolt.name,
                member=bolt.top.name,
                face=str(bolt.top_face),
                measured=away,
                limit=want,
                remedy=f"Move the glue line {context.say(want - away)} away.",
            )


def _middle(size: tuple[float, float, float]) -> tuple[float, float, float]:
    return (size[0] / 2, size[1] / 2, size[2] / 2)
