"""Rules on strength and steadiness. All of them advise: loads and limits are no code's."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from treenail.checks.panels import panels
from treenail.checks.rules import Context, Finding, Severity, rule
from treenail.checks.strength.data import strength_data
from treenail.checks.strength.loads import LIFT_ALONE, LIFT_SOURCE, Figure
from treenail.timber.lengths import MM_PER_INCH
from treenail.timber.quantities import KG_PER_LB, MPA_PER_PSI, N_PER_LBF, format_mass

if TYPE_CHECKING:
    from collections.abc import Iterator

_ESTIMATE = "an estimate, no certificate"


#: What an inch bench says instead: (how much of the unit it is, decimals, its name).
_INCH = {
    "MPa": (MPA_PER_PSI, 0, "psi"),
    "mm": (MM_PER_INCH, 3, "in"),
    "N": (N_PER_LBF, 0, "lbf"),
    "kg": (KG_PER_LB, 0, "lb"),
    "Nm": (N_PER_LBF * 12 * MM_PER_INCH / 1000.0, 1, "lbf ft"),
}


def _number(context: Context, figure: Figure, value: float) -> str:
    """A figure's value in words, lengths in the bench's units."""
    if value == float("inf"):
        return "without bound"
    inch = _INCH.get(figure.unit) if context.bench.units == "in" else None
    if inch:
        per, digits, unit = inch
        return f"{value / per:.{digits}f} {unit}"
    digits = {"mm": 2, "MPa": 1, "Hz": 1, "N": 0, "kg": 0, "Nm": 1}.get(figure.unit, 2)
    return f"{value:.{digits}f} {figure.unit}".strip()


def _words(context: Context, text: str) -> str:
    """A figure's load case or note, its lengths, forces and masses in the bench's units."""
    if context.bench.units != "in":
        return text

    def inch(found: re.Match[str]) -> str:
        per, digits, unit = _INCH[found[2]]
        return f"{float(found[1]) / per:.{digits}f} {unit}"

    return re.sub(r"([\d.]+) (mm|Nm|N|kg)\b", inch, text)


def _judge(context: Context, code: str, severity: Severity, *keys: str) -> Iterator[Finding]:
    """A finding for each figure of these keys that doesn't keep its limit."""
    data = strength_data(context)
    for key in keys:
        figure = data.figure(key)
        if figure is None or figure.holds or figure.limit is None:
            continue
        side = "at least" if figure.at_least else "at most"
        note = f"; {figure.note}" if figure.note else ""
        yield Finding(
            rule=code,
            severity=severity,
            message=f"{figure.title[:1].upper()}{figure.title[1:]}: "
            f"{_number(context, figure, figure.value)}, wanted {side} "
            f"{_number(context, figure, figure.limit)}, under "
            f"{_words(context, figure.load_case)} ({_ESTIMATE}{_words(context, note)}).",
            member=figure.member,
            measured=figure.value if figure.value != float("inf") else None,
            limit=figure.limit,
            unit=figure.unit,
        )


@rule(
    "tips-over",
    title="Stands under a push",
    why="A light or narrow bench tips when someone leans against it or stands at its edge, and "
    "falls on feet.",
    remedy="Make the base wider or longer, the overhang shorter, put weight on the shelf, or fix "
    "the bench to wall or floor.",
    source="statics of a rigid body; loads our own choice",
)
def tips_over(context: Context) -> Iterator[Finding]:
    """Pushes at the top's edges and somebody at the overhang."""
    yield from _judge(
        context, "tips-over", "warning", "tip-along", "tip-across", "tip-end", "tip-edge"
    )


@rule(
    "slides",
    title="Stays where it is",
    why="A bench that slides away under the plane is held by the worker instead of holding the "
    "work.",
    remedy="Put weight on a shelf, lay rough or rubber mats under its feet, or stop it at a wall.",
    source="friction 0.3 from memory; load our own choice",
)
def slides(context: Context) -> Iterator[Finding]:
    """Friction on a smooth floor against a steady push."""
    yield from _judge(context, "slides", "advice", "slide")


@rule(
    "sways",
    title="Sway under planing",
    why="A bench that gives way under the stroke takes the cut out of the plane and works its "
    "joints loose.",
    remedy="Use higher stretchers, thicker posts, more or thicker pegs, or a lower bench.",
    source="frame with semi-rigid joints, our own joint model; limit height/400, from memory",
)
def sways(context: Context) -> Iterator[Finding]:
    """Sway along and across, joints worn."""
    yield from _judge(context, "sways", "warning", "sway-along", "sway-across")


@rule(
    "shakes",
    title="Does it shake",
    why="Near the rhythm of planing or sawing a soft bench swings along and feels alive.",
    remedy="Stiffen it as against sway; more mass in the top alone makes it slower, not firmer.",
    source="sqrt(k/m)/2 pi; limit our own choice: four times a stroke rate of 2 Hz",
)
def shakes(context: Context) -> Iterator[Finding]:
    """Natural frequency of sway."""
    yield from _judge(context, "shakes", "advice", "frequency-along", "frequency-across")


@rule(
    "shoulders-open",
    title="Shoulders stay closed",
    why="As long as the draw of pegs or a tusk's wedge keeps the shoulders closed a joint is "
    "several times stiffer, and no dust works in.",
    remedy="Use more or thicker pegs, a higher stretcher, or glue beside the pegs; knock a tusk's "
    "wedge tight again, or let it stand out farther.",
    source="our own model, half of the draw relaxed; advisory",
)
def shoulders_open(context: Context) -> Iterator[Finding]:
    """The joint that comes nearest to opening under planing."""
    yield from _judge(context, "shoulders-open", "advice", "shoulder-opens")


@rule(
    "top-sags",
    title="Sag of the top",
    why="A top that sags under a load is no reference surface.",
    remedy="Make the top thicker, or set the posts nearer together; at an overhang further apart.",
    source="FPL-GTR-190 (2010) Eq. 9-2; limit span/360, from memory; load our own choice",
)
def top_sags(context: Context) -> Iterator[Finding]:
    """Mid-span and overhang under a person."""
    yield from _judge(context, "top-sags", "warning", "sag-top", "sag-overhang")


@rule(
    "stretcher-sags",
    title="Sag of the stretchers",
    why="Somebody will stand on a stretcher, and a shelf fills up over the years.",
    remedy="Make the stretcher higher: sag falls with the cube of its height.",
    source="FPL-GTR-190 (2010) Eq. 9-2; limit span/360, from memory; load our own choice",
)
def stretcher_sags(context: Context) -> Iterator[Finding]:
    """The softest stretcher under a person, and under the shelf."""
    yield from _judge(context, "stretcher-sags", "warning", "sag-stretcher", "sag-shelf")


@rule(
    "post-buckles",
    title="Posts carry",
    why="A slender post gives way sideways long before its wood is crushed; a splayed leg breaks "
    "at its tenon.",
    remedy="Use thicker posts or tenons, or make the bench lower.",
    source="NDS eq. 3.7-1; strength and effective length from memory; load our own choice",
)
def post_buckles(context: Context) -> Iterator[Finding]:
    """The weakest post under two people on one corner; a splayed leg's tenon under a stroke."""
    yield from _judge(context, "post-buckles", "warning", "post-buckling", "leg-bending")


@rule(
    "lag-pulls-out",
    title="Lag bolts hold",
    why="A bench is lifted by its top: the bolts then carry everything below.",
    remedy="Use more bolts, thicker ones, or longer ones if the top is thick enough.",
    source="NDS-2018 section 12.2.1, reference value; thread length from memory; load our own "
    "choice",
)
def lag_pulls_out(context: Context) -> Iterator[Finding]:
    """The weakest bolt when the bench is lifted by its top."""
    yield from _judge(context, "lag-pulls-out", "warning", "lag-withdrawal")


@rule(
    "peg-shears",
    title="Pegs hold",
    why="Once the draw has relaxed, the pegs alone keep a joint together.",
    remedy="Use more or thicker pegs, or a harder, straight-grained wood for them.",
    source="NDS dowel equations, from memory, outside their scope; our own joint model; advisory",
)
def peg_shears(context: Context) -> Iterator[Finding]:
    """The hardest-worked peg under planing."""
    yield from _judge(context, "peg-shears", "warning", "peg-pull", "treenail-pull")


@rule(
    "knock-down-bolt-pulls",
    title="Knock-down bolts hold",
    why="Once its pull has relaxed, the bolt alone keeps a knock-down joint together: its washer "
    "sinks in, or the nut shears out the end of the rail.",
    remedy="Use more or thicker bolts, set the nuts farther in, or make the stretchers higher.",
    source="bearing by the NDS's dowel equations, washer and shear by averages over a safety, from "
    "memory; our own joint model; advisory",
)
def knock_down_bolt_pulls(context: Context) -> Iterator[Finding]:
    """The hardest-worked knock-down bolt under planing."""
    yield from _judge(context, "knock-down-bolt-pulls", "warning", "bolt-pull")


@rule(
    "heavy-lift",
    title="Too heavy for one",
    why="Backs are hurt by lifting alone what takes two.",
    remedy="Ask for help, use a hoist or a trolley, lift with a straight back.",
    source=LIFT_SOURCE,
)
def heavy_lift(context: Context) -> Iterator[Finding]:
    """Pieces, the glued-up top and the whole bench over what one person should lift."""
    data = strength_data(context)
    names = {m.name: m for m in context.bench.timbers}
    heavy = [b for b in data.mass.bodies if b.name in names and b.mass > LIFT_ALONE]
    for body in heavy:
        yield Finding(
            rule="heavy-lift",
            severity="advice",
            message=f"{body.name} weighs {_mass(context, body.mass)}: "
            f"{_people(body.mass)} lift it.",
            member=body.name,
            measured=body.mass,
            limit=LIFT_ALONE,
            unit="kg",
        )
    glued_up = [{m.name for m in p} for p in panels(context) if len(p) > 1]
    top = max((sum(b.mass for b in data.mass.bodies if b.name in p) for p in glued_up), default=0)
    whole = data.mass.total
    if whole > LIFT_ALONE:
        glued = f", its top when glued up {_mass(context, top)}" if top > LIFT_ALONE else ""
        yield Finding(
            rule="heavy-lift",
            severity="advice",
            message=f"The bench weighs {_mass(context, whole)}{glued}: {_people(whole)} move it.",
            measured=whole,
            limit=LIFT_ALONE,
            unit="kg",
        )


def _mass(context: Context, kg: float) -> str:
    return format_mass(kg, unit="lb" if context.bench.units == "in" else "kg", places=0)


def _people(mass: float) -> str:
    """How many people at 23 kg each, in words; beyond four a hoist is named too."""
    count = max(2, int(-(-mass // LIFT_ALONE)))
    words = {2: "two people", 3: "three people", 4: "four people"}
    return words.get(count, f"{count} people or a hoist")
