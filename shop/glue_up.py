"""The glue-up: every lamination and joint with its glue, clamps, time and checks, in order.

Laminations come first, for their pieces are machined the next day; then the steps of the plan of
assembly in which something is glued. One force goes through all lines of a stack, so a stack of
eight strips wants no more clamps than one of two.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from treenail.checks.assembly.plan import AssemblyPlan, Step, plan_assembly
from treenail.checks.assembly.words import listed, plain
from treenail.checks.shop_file import ShopFile, default_shop
from treenail.shop.glue import Glue
from treenail.shop.glue_boards import glued_back, lamination
from treenail.shop.glue_lines import (
    CLAMPS,
    PEGS,
    WEDGES,
    GlueLine,
    joint_line,
)
from treenail.shop.glue_model import GlueStep, GlueUp
from treenail.shop.glue_steps import (
    DIAGONALS_DIFFER,
    LEVEL,
    WIND,
    Check,
    Press,
    batches,
    clamp_notes,
    closing_minutes,
    diagonals,
    grams,
    minutes_text,
    press_on,
    spread_minutes,
)
from treenail.shop.rough_parts import RoughPart, rough_parts

if TYPE_CHECKING:
    from treenail.generators.bench import Bench

CAUTIONS = (
    (
        "The glue's label has the last word over pressure, times, temperature and protection for "
        "skin, eyes and lungs; wear what it asks for, and air the room."
    ),
    (
        "A clamp under load is a spring: keep fingers and face out of its line, and slacken "
        "clamps in turns. Never go over its maker's rating."
    ),
    "Put glued work where it can't fall over while clamps hang on it: they are top-heavy.",
)
BAG_CAUTION = (
    "Vacuum bag: no loose sharp corners, the pump as its manual says, nobody leans on the bag. "
    "Nothing hollow goes in: the air would crush it."
)


def glue_up(
    bench: Bench,
    glue: Glue | None = None,
    *,
    shop: ShopFile | None = None,
    parts: Iterable[RoughPart] | None = None,
    plan: AssemblyPlan | None = None,
) -> GlueUp:
    """Work out every glue-up of a bench.

    Args:
        bench: numbers only.
        glue: the shop's; None takes a typical yellow wood glue.
        shop: its machines; None takes the guessed shop for the bench's units.
        parts: the rough parts, with what is to spare; None works them out.
        plan: of its assembly, if it is known already.
    """
    glue = glue or Glue()
    plan = plan or plan_assembly(bench)
    steps: list[GlueStep] = []
    machines = (shop or default_shop(bench.units)).machines
    for part in parts or rough_parts(bench, machines):
        member = bench.by_name[part.members[0]]
        if part.across > 1:
            steps.append(glued_back(part, member, glue, len(steps) + 1))
        if part.plies > 1:
            steps.append(lamination(part, member, glue, len(steps) + 1))
    by_joint = {j.name: line for j in bench.joints if (line := joint_line(j, glue)) is not None}
    dry = []
    for step in plan.steps:
        lines = tuple(by_joint[n] for n in step.joints if n in by_joint)
        if any(line.glued for line in lines):
            steps.append(_assembly(bench, step, lines, glue, len(steps) + 1))
        dry += [line.name for line in lines if not line.glued]
    tops = {m.name for m in bench.timbers if m.role.startswith("top")}
    base = math.fsum(s.bag for s in steps if s.pieces and not tops.intersection(s.pieces))
    return GlueUp(
        bench=bench.name,
        units=bench.units,
        glue=glue,
        steps=tuple(steps),
        base_bag=base,
        notes=_notes(steps, glue, dry, plan.late_glue, bench.units),
        cautions=(*CAUTIONS, *((BAG_CAUTION,) if base else ())),
    )


def _notes(
    steps: Sequence[GlueStep], glue: Glue, dry: Sequence[str], late: Sequence[str], units: str
) -> tuple[str, ...]:
    def warm(celsius: float) -> str:
        return f"{celsius * 1.8 + 32:.0f} °F" if units == "in" else f"{celsius:g} °C"

    found = [
        "Put every glue-up together dry first, clamps and all, with the clock running.",
        f"Glue, wood and air at {warm(glue.coldest)} or warmer; times hold at about {warm(21)}.",
    ]
    if any(s.press.clamps[0] > 0 for s in steps):
        found.append(
            "Pressures on labels ask for more clamps than most shops own. They are for faces as "
            "they come; freshly planed faces that close under hand pressure need less. An even "
            "bead along every line tells that it is closed. The label has the last word."
        )
    if dry:
        found.append(f"Without glue: {', '.join(plain(n) for n in dry)}.")
    if late:
        found.append(
            f"Closed late, since something must go in first: {', '.join(plain(n) for n in late)}."
        )
    return tuple(found)


# --- steps of the assembly


def _assembly(
    bench: Bench, step: Step, lines: tuple[GlueLine, ...], glue: Glue, number: int
) -> GlueStep:
    by_name = {line.name: line for line in lines}
    units = _units(step, by_name, glue)
    whole = math.fsum(minutes for _, minutes in units)
    longest = max((minutes for _, minutes in units), default=0.0)
    parts = batches(units, glue.open_time)
    pegs = {p.name for p in bench.pegs}
    driven = sum(d.name in pegs for d in step.driven)
    press = _together([press_on(line, glue) for line in lines if line.glued])
    close = closing_minutes(press, driven, glue)
    # Pegs and clamps belong to the batches in proportion to their joints.
    count = sum(len(b) for b in parts)
    times = [
        math.fsum(spread_minutes(by_name[n], glue) for n in b) + close * len(b) / count
        for b in parts
    ]
    in_time = max(times, default=0.0) <= glue.open_time + glue.closed_time + 1e-9
    notes = []
    if longest > glue.open_time + 1e-9:
        notes.append(
            f"One move closes joints that take {minutes_text(longest)} to spread, over the open "
            f"time of {minutes_text(glue.open_time)}, and can't be divided: more people, a slower "
            "glue, or dry if pegs hold it."
        )
    elif len(parts) > 1:
        said = "; then ".join(listed(b) for b in parts)
        notes.append(
            f"{minutes_text(whole)} of spreading, over the open time of "
            f"{minutes_text(glue.open_time)}: glue and close {said}."
        )
    if not in_time:
        notes.append(
            f"Spread and closed in {minutes_text(max(times))}, over the glue's "
            f"{minutes_text(glue.open_time + glue.closed_time)}: more hands, or a slower glue."
        )
    ways = {line.closed_by for line in lines if line.glued}
    if PEGS in ways:
        notes.append(
            "Drawbored: no clamps. The pegs pull the shoulders shut; drive them while the glue is "
            "wet, and clamp only what has no pegs."
        )
    notes += dict.fromkeys(x.note for x in lines if x.note and x.closed_by != PEGS)
    notes += clamp_notes(press, glue, 1)
    if ways & {CLAMPS, WEDGES}:
        notes.append(
            f"{minutes_text(glue.clamp_time)} in the clamps, full strength after "
            f"{minutes_text(glue.cure_time)}."
        )
    return GlueStep(
        number=number,
        plan_step=step.number,
        what=step.what.rstrip("."),
        pieces=(),
        lines=lines,
        grams=grams(lines, glue),
        press=press,
        spread_minutes=whole,
        close_minutes=close,
        within_open=whole <= glue.open_time + 1e-9,
        within_closed=in_time,
        rounds=(),
        batches=parts,
        cauls=_cauls(lines, press),
        checks=_checks(bench, step, lines),
        notes=tuple(notes),
    )


def _units(
    step: Step, by_name: dict[str, GlueLine], glue: Glue
) -> list[tuple[tuple[str, ...], float]]:
    """What has to be spread and closed at one go: the joints of one move, or one glue line."""
    groups = [m.joints for m in step.moves] or [(n,) for n in step.joints]
    found = []
    for group in groups:
        names = tuple(n for n in group if n in by_name and by_name[n].glued)
        if names:
            found.append((names, math.fsum(spread_minutes(by_name[n], glue) for n in names)))
    return found


def _together(presses: Sequence[Press]) -> Press:
    """Lines that are closed side by side, each with clamps of its own."""
    return Press(
        force=(
            math.fsum(p.force[0] for p in presses),
            math.fsum(p.force[1] for p in presses),
        ),
        clamps=(sum(p.clamps[0] for p in presses), sum(p.clamps[1] for p in presses)),
        spacing=min((p.spacing for p in presses if p.spacing), default=0.0),
    )


def _cauls(lines: Sequence[GlueLine], press: Press) -> str:
    edges = [line for line in lines if line.kind == "section edge"]
    if edges:
        pairs = math.ceil(edges[0].length / press.spacing - 1e-9) + 1
        return (
            f"{pairs} pairs of stiff battens across the sections, above and below, waxed or "
            "taped, to keep them level; a batten along each outer edge"
        )
    if press.clamps[0]:
        return "a softwood pad under each jaw, on the joint's line"
    return "none; a softwood block under the mallet"


def _checks(bench: Bench, step: Step, lines: Sequence[GlueLine]) -> tuple[Check, ...]:
    if any(line.kind == "section edge" for line in lines):
        return (
            Check(what="sections level at the line, by a straightedge across", limit=LEVEL),
            Check(what="winding sticks across both ends", limit=WIND),
        )
    found = [
        Check(
            what=f"diagonals equal, outer corners, seen {view}",
            expected=math.hypot(base, height),
            limit=DIAGONALS_DIFFER,
        )
        for view, base, height in diagonals(bench, step.group)
    ]
    found.append(Check(what="winding sticks over the outer faces of the posts", limit=WIND))
    return tuple(found)
