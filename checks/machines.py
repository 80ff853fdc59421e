"""Machines: whether the shop can make each cut of each member, by what, and what to change."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from treenail.checks.making import How, Refusal, Verdict, make
from treenail.checks.making_aslant import ASLANT, aslant_size
from treenail.checks.rules import Context, Finding, Severity, rule
from treenail.checks.shop_machines import NAMES
from treenail.joints.cuts import Bore, Cut, FootChamfer, Mortise, Slot, TenonEnd
from treenail.joints.shaped_cuts import ConeSocket, DovetailSocket
from treenail.joints.trenches import Trench

if TYPE_CHECKING:
    from treenail.checks.shop_file import ShopFile
    from treenail.timber.member import Member

__all__ = ["CutWork", "machine_data", "shop_of", "verdict_at"]

_SOURCE = "the shop file; without one a guess, common practice or our own choice"
_BOUGHT = "the shop's chisels, cutters and bits, in the shop file; without one a guess"


@dataclass(frozen=True, slots=True, kw_only=True)
class CutWork:
    """Alike cuts, and how they are made.

    Attributes:
        purpose: the operation in shop words.
        size: in words.
        members, joints: where, in step with each other.
        faces: the face of each.
        how: as drawn, finished by hand, or not.
        machine: its name; empty if none can.
        tool: which, and how many passes.
        by_hand: what hands do afterwards.
        change: what would have to change, by machine, where none can.
        refused: why the machines asked before (or all) can't.
    """

    purpose: str
    size: str
    members: tuple[str, ...]
    joints: tuple[str, ...]
    faces: tuple[str, ...]
    how: How
    machine: str
    tool: str
    by_hand: str
    change: tuple[str, ...]
    refused: tuple[str, ...]


def shop_of(context: Context) -> ShopFile:
    """The shop that was given, else the guessed one."""
    from treenail.checks.shop_file import default_shop

    return context.shop or default_shop(context.bench.units)


@dataclass(frozen=True, slots=True)
class _Work:
    member: Member
    cut: Cut
    verdict: Verdict
    size: str


def _works(context: Context) -> list[_Work]:
    """Every cut of every member with its verdict, made once a run."""

    def all_of_them() -> list[_Work]:
        shop = shop_of(context).machines
        return [
            _Work(m, cut, make(cut, m, shop, context.say), _size(context, cut))
            for m in context.bench.timbers
            for cut in context.bench.cuts[m.name]
        ]

    return context.once("machines.works", all_of_them)


def verdict_at(context: Context, member: str, cut: Cut) -> Verdict:
    """How one cut of a member is made."""
    table = context.once(
        "machines.by_cut",
        lambda: {(w.member.name, w.cut): w.verdict for w in _works(context)},
    )
    return table[(member, cut)]


def _size(context: Context, cut: Cut) -> str:
    if isinstance(cut, ASLANT):
        return aslant_size(cut, context.say)
    return _plain_size(context, cut)


def _plain_size(context: Context, cut: Cut) -> str:
    say = context.say
    deep = ""
    if isinstance(cut, Mortise | Bore | Slot):
        deep = ", through" if cut.through else f", {say(cut.depth)} deep"
    if isinstance(cut, Mortise):
        return f"{say(cut.width)} x {say(cut.length)}{deep}"
    if isinstance(cut, Bore):
        return f"{say(cut.diameter)}{deep}"
    if isinstance(cut, Slot):
        return f"{say(cut.width)} x {say(cut.width + cut.centres)}{deep}"
    if isinstance(cut, ConeSocket):
        return f"{say(cut.mouth)} to {say(cut.bottom)}, {say(cut.depth)} deep"
    if isinstance(cut, DovetailSocket):
        return f"{say(cut.mouth)} to {say(cut.length)} x {say(cut.width)}, through"
    if isinstance(cut, TenonEnd):
        return f"{say(cut.y1 - cut.y0)} x {say(cut.x1 - cut.x0)}, {say(cut.length)} long"
    if isinstance(cut, Trench):
        return f"{say(cut.width)} x {say(cut.length)}, {say(cut.depth)} deep"
    return say(cut.leg) if isinstance(cut, FootChamfer) else ""


def machine_data(context: Context) -> list[CutWork]:
    """Every cut of the bench with how it is made, alike ones in one row."""
    groups: dict[tuple[Any, ...], list[_Work]] = {}
    for w in _works(context):
        key = (w.cut.purpose, w.size, w.verdict.made, bool(w.verdict.refusals))
        groups.setdefault(key, []).append(w)
    return [_row(found) for found in groups.values()]


def _row(found: list[_Work]) -> CutWork:
    first = found[0]
    made, refusals = first.verdict.made, first.verdict.refusals
    return CutWork(
        purpose=first.cut.purpose,
        size=first.size,
        members=tuple(w.member.name for w in found),
        joints=tuple(w.cut.joint for w in found),
        faces=tuple(str(w.cut.face) for w in found),
        how=first.verdict.how,
        machine=NAMES[made.machine] if made else "",
        tool=made.tool if made else "",
        by_hand=made.by_hand if made else "",
        change=() if made else tuple(f"{NAMES[r.machine]}: {r.change}" for r in refusals),
        refused=tuple(f"{NAMES[r.machine]}: {r.why}" for r in refusals),
    )


# --- rules


def _severity(context: Context, code: str, refusals: tuple[Refusal, ...]) -> Severity:
    """Errors only where the shop itself said what its machines do: the rest is a guess.

    A bit's slack is our own choice, so that a missing one never is an error.
    """
    shop = shop_of(context)
    sure = shop.given and all(shop.says(r.machine) for r in refusals)
    return "error" if sure and code != "drill-missing" else "warning"


def _rule_for(work: _Work) -> str:
    """The one rule that tells of a cut that can't be made."""
    refusals = work.verdict.refusals
    if refusals and all(r.kind == "tool" for r in refusals):
        if isinstance(work.cut, Mortise):
            return "chisel-missing"
        if isinstance(work.cut, Bore | Slot):
            return "drill-missing"
    return "cut-not-makeable"


def _not_makeable(context: Context, code: str) -> Iterator[Finding]:
    told: set[tuple[str, str, str]] = set()
    for w in _works(context):
        where = (w.member.name, w.cut.joint, w.cut.purpose)
        if w.verdict.how != "not" or _rule_for(w) != code or where in told:
            continue
        told.add(where)
        refusals = w.verdict.refusals
        reasons = "; ".join(f"{NAMES[r.machine]}: {r.why}" for r in refusals)
        yield Finding(
            rule=code,
            severity=_severity(context, code, refusals),
            message=f"No machine of the shop makes the {w.cut.purpose}, {w.size}"
            f"{': ' + reasons if reasons else ': none is there for it'}.",
            joint=w.cut.joint,
            member=w.member.name,
            face=str(w.cut.face),
            remedy=_remedy(refusals),
        )


def _remedy(refusals: tuple[Refusal, ...]) -> str:
    if not refusals:
        return ""
    each = [f"{r.change} ({NAMES[r.machine]})" for r in refusals]
    text = "; or ".join(dict.fromkeys(each))
    return text[0].upper() + text[1:] + "."


@rule(
    "cut-not-makeable",
    title="Every cut can be made in the shop",
    why="A cut that no machine reaches is found out with half of the bench already cut.",
    remedy="Change the size, or write into the shop file the machine that makes it.",
    source=_SOURCE,
)
def cut_not_makeable(context: Context) -> Iterator[Finding]:
    """Cuts that are too deep or too large for every machine asked."""
    yield from _not_makeable(context, "cut-not-makeable")


@rule(
    "chisel-missing",
    title="Chisels for every mortise",
    why="A mortise is cut in one pass by a chisel of its width; a narrower one drifts in two.",
    remedy="Size the tenon to a chisel on hand, or buy the chisel.",
    source=_BOUGHT,
)
def chisel_missing(context: Context) -> Iterator[Finding]:
    """Mortises narrower than every tool, or (in a shop that was given) between two chisels."""
    yield from _not_makeable(context, "chisel-missing")
    shop = shop_of(context)
    if not shop.given:
        return  # what tools are common is another rule's business
    told: set[tuple[str, str]] = set()
    for w in _works(context):
        made = w.verdict.made
        if made is None or made.machine != "mortiser" or made.passes == 1:
            continue
        if not isinstance(w.cut, Mortise) or (w.cut.joint, w.cut.purpose) in told:
            continue
        told.add((w.cut.joint, w.cut.purpose))
        width = w.cut.width
        near = min(shop.machines.mortiser.chisels, key=lambda c: abs(c - width))
        yield Finding(
            rule="chisel-missing",
            severity="advice",
            message=f"No chisel cuts the {w.cut.purpose}, {context.say(width)} wide, in one pass: "
            f"{made.tool}.",
            joint=w.cut.joint,
            member=w.member.name,
            face=str(w.cut.face),
            measured=width,
            limit=near,
            remedy=f"Make the tenon {context.say(near)} thick, or shift the fence between passes "
            "and pare the ridge.",
        )


@rule(
    "drill-missing",
    title="Bits for every hole",
    why="A peg holds only in a hole of its own diameter; a washer seats only on a flat one.",
    remedy="Buy the bit, or draw the hole to one on hand.",
    source=_BOUGHT,
)
def drill_missing(context: Context) -> Iterator[Finding]:
    """Holes and slots for which no bit or cutter is on hand."""
    yield from _not_makeable(context, "drill-missing")


@rule(
    "corners-by-hand",
    title="Cuts that hands finish",
    why="A round cutter leaves round corners; a square tenon needs them square.",
    remedy="Square them with a chisel, or round the tenon's edges to the cutter's radius.",
    source="geometry of round cutters; which machine cuts: the shop file",
)
def corners_by_hand(context: Context) -> Iterator[Finding]:
    """Cuts that leave the machine unfinished, once for alike ones; only for a shop given."""
    if not shop_of(context).given:
        return
    for row in machine_data(context):
        if row.how == "finished by hand":
            count = len(row.members)
            yield Finding(
                rule="corners-by-hand",
                severity="advice",
                message=f"{count} x {row.purpose}, {row.size}: {row.machine}, {row.tool}.",
                joint=row.joints[0],
                member=row.members[0],
                face=row.faces[0],
                remedy=f"{row.by_hand.capitalize()}: {count} of them.",
            )
