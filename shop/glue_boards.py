"""Glue-ups before the assembly: boards ripped for the jointer glued back, and laminations."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

from treenail.checks.assembly.words import several
from treenail.shop.glue_lines import GlueLine, lamination_lines, ripped_lines
from treenail.shop.glue_model import GlueStep
from treenail.shop.glue_steps import (
    FLAT,
    LEVEL,
    WIND,
    Check,
    clamp_notes,
    closing_minutes,
    grams,
    minutes_text,
    press_on,
    split_stack,
    spread_minutes,
)

if TYPE_CHECKING:
    from treenail.shop.glue import Glue
    from treenail.shop.rough_parts import RoughPart
    from treenail.timber.member import Member

__all__ = ["glued_back", "lamination"]

_WINDING = Check(
    what="winding sticks across both ends, read along the piece",
    limit=WIND,
    source="our own choice: less than the planer takes off",
)
_OVER = "common practice: half of what each ply has over its share"


def _names(part: RoughPart) -> tuple[str, ...]:
    """The pieces, those to spare under names of their own."""
    spare = (f"spare_{part.role}_{k}".replace(" ", "_") for k in range(1, part.spare + 1))
    return (*part.members, *spare)


def glued_back(part: RoughPart, member: Member, glue: Glue, number: int) -> GlueStep:
    """Boards that were ripped to pass the jointer, edge to edge again."""
    names = _names(part)
    lines = ripped_lines(part, member, member.name)[: part.across - 1]
    boards = len(names) * part.plies
    what = f"Glue {boards} {_boards(boards)} back from {part.across} parts each"
    return _stack(
        part,
        glue,
        number,
        lines=lines,
        every=tuple(x for name in names for x in ripped_lines(part, member, name)),
        what=f"{what}: {_of(part, names)}",
        noun="parts",
        boards=part.across,
        checks=(
            Check(what="faces of the parts level along every line", limit=LEVEL),
            _WINDING,
        ),
        cauls="battens across the faces at both ends and between, waxed or taped",
        bag=False,
    )


def lamination(part: RoughPart, member: Member, glue: Glue, number: int) -> GlueStep:
    """Plies or strips, face to face."""
    names = _names(part)
    lines = lamination_lines(part, member, member.name)
    noun = "strips" if part.plies > 2 else "plies"
    return _stack(
        part,
        glue,
        number,
        lines=lines,
        every=tuple(x for name in names for x in lamination_lines(part, member, name)),
        what=f"Glue up {len(names)} {_of(part, names)}, each of {part.plies} {noun}",
        noun=noun,
        boards=part.plies,
        checks=(
            Check(
                what="plies level at the edges, by hand and square",
                limit=FLAT,
                source=_OVER,
            ),
            _WINDING,
            Check(
                what="straightedge along the outer face, before the clamps are full on",
                limit=FLAT,
                source=_OVER,
            ),
        ),
        cauls="two battens as long and as wide as the faces, waxed or taped, one on either side",
        bag=True,
    )


def _boards(count: int) -> str:
    return "boards" if count > 1 else "board"


def _of(part: RoughPart, names: Sequence[str]) -> str:
    return several(part.role) if len(names) > 1 else part.role


def _stack(
    part: RoughPart,
    glue: Glue,
    number: int,
    *,
    lines: tuple[GlueLine, ...],
    every: tuple[GlueLine, ...],
    what: str,
    noun: str,
    boards: int,
    checks: tuple[Check, ...],
    cauls: str,
    bag: bool,
) -> GlueStep:
    """A step of glue-ups that are alike: ``lines`` are those of one, ``every`` those of all."""
    each = spread_minutes(lines[0], glue)
    most = math.floor(glue.open_time / each + 1e-9)
    rounds = split_stack(boards, most)
    whole = each * len(lines)
    press = press_on(lines[0], glue, bag=bag)
    close = closing_minutes(press, 0, glue)
    longest = max(max(r) for r in rounds) * each
    in_time = most >= 1 and longest + close <= glue.open_time + glue.closed_time + 1e-9
    at_once = len(every) // len(lines)
    notes = []
    if whole > glue.open_time + 1e-9:
        notes.append(_split_words(boards, noun, rounds))
    if most < 1:
        notes.append(
            f"Even one line takes {minutes_text(each)} to spread, over the glue's open time of "
            f"{minutes_text(glue.open_time)}: more people, or a slower glue."
        )
    elif not in_time:
        notes.append(
            f"Spread and clamped in {minutes_text(longest + close)}, over the glue's "
            f"{minutes_text(glue.open_time + glue.closed_time)}: fewer lines at once, more hands, "
            "or a slower glue."
        )
    notes += clamp_notes(press, glue, at_once)
    if bag:
        notes.append(_bag_note(press.bag / press.force[0]))
    notes.append(
        f"{minutes_text(glue.clamp_time)} in the clamps; machine it after "
        f"{minutes_text(glue.cure_time)}: glue swells the line, and planed too early it "
        "sinks later."
    )
    return GlueStep(
        number=number,
        plan_step=0,
        what=what,
        pieces=_names(part),
        lines=every,
        grams=grams(every, glue),
        press=press,
        spread_minutes=whole,
        close_minutes=close,
        within_open=whole <= glue.open_time + 1e-9,
        within_closed=in_time,
        rounds=rounds,
        batches=(),
        cauls=cauls,
        checks=checks,
        notes=tuple(notes),
    )


def _bag_note(share: float) -> str:
    if share >= 1.0:
        return "A vacuum bag gives the label's lowest pressure."
    return (
        f"In a vacuum bag the air presses with {share:.0%} of the label's lowest pressure: only "
        "for faces that close under hand pressure."
    )


def _split_words(boards: int, noun: str, rounds: Sequence[Sequence[int]]) -> str:
    """``8 strips as blocks of 4 and 4 (3 lines each ...); then the 2 blocks together``."""
    said, pieces, what = [], boards, noun
    for blocks in rounds:
        left = math.fsum(blocks) + len(blocks)
        sizes = [str(n + 1) for n in blocks] + ["1"] * (pieces - int(left))
        if len(sizes) == 1:
            said.append(f"the {pieces} {what} to each other")
        else:
            said.append(f"{pieces} {what} as blocks of {' and '.join(sizes)}")
        pieces, what = len(sizes), "blocks"
    return f"Longer than the open time in one go: glue {', then '.join(said)}."
