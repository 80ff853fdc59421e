"""Rules on assembly: it goes together, pegs and bolts can be driven, nothing collides on its way.

The plan is made from numbers; with solids every move of it is swept on them.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from treenail.checks.assembly.access import COVERED
from treenail.checks.assembly.knots import untie
from treenail.checks.assembly.plan import AssemblyPlan, Driven, Move, Step, assembly_data
from treenail.checks.assembly.words import listed, plain, way
from treenail.checks.rules import Context, Finding, rule
from treenail.timber.frames import dot, neg, scale

if TYPE_CHECKING:
    from treenail.checks.assembly.access import Fastener, Kind
    from treenail.checks.assembly.blocking import Blocking, Link
    from treenail.checks.assembly.sweep import Sweeper


@rule(
    "cannot-assemble",
    title="The bench goes together",
    why="Tenons go home along straight lines; parts that hold each other crosswise never meet.",
    remedy="Let one of the joints close last: a loose tenon, an open slot, a screwed cleat.",
    source="geometry",
)
def cannot_assemble(context: Context) -> Iterator[Finding]:
    """Groups that no order of moves puts together, straight or of two legs."""
    plan = assembly_data(context)
    b = plan.blocking
    for names in plan.knots:
        mask = sum(1 << i for i in {b.body[n] for n in names})
        knot = untie(b, mask)
        if knot.loosens:
            first = knot.loosens[0]
            way_out = (
                f"Let {first} close last (a loose tenon pushed in from outside, an open slot, or "
                "a screwed cleat): then the rest goes together."
            )
            if len(knot.loosens) > 1:
                way_out += f" {' or '.join(knot.loosens[1:3])} would serve as well."
        else:
            way_out = "Leave one of these members out, or turn one of their joints another way."
        yield Finding(
            rule="cannot-assemble",
            severity="error",
            message=f"{_capital(listed(knot.members))} lock each other: no order of moves, "
            f"straight or of two straight legs, puts them together; {knot.why}.",
            joint=knot.joints[0] if knot.joints else "",
            member=knot.members[0],
            remedy=way_out,
        )


def _room(context: Context, code: str, kind: Kind) -> Iterator[Finding]:
    plan = assembly_data(context)
    grouped: dict[tuple[str, str, str], list[tuple[Driven, Step]]] = {}
    for driven, step in plan.driven.values():
        f = plan.blocking.fasteners[driven.name]
        if f.kind == kind and (driven.limited_by or driven.covered_by):
            by = driven.covered_by or driven.limited_by
            grouped.setdefault((f.joint, by, driven.covered_by), []).append((driven, step))
    for (joint, by, covered), found in grouped.items():
        worst = min((d for d, _ in found), key=lambda d: (d.open if covered else d.free, d.name))
        f = plan.blocking.fasteners[worst.name]
        count = f"{len(found)} {kind}s" if len(found) > 1 else f"The {kind}"
        if covered:
            mouth = "holes" if len(found) > 1 else "hole"
            message = (
                f"{count} of {joint} can't be {_DRIVEN[kind]}: {plain(by)} covers the {mouth}, "
                "and no order of assembly leaves all of them open."
            )
        elif worst.free < COVERED:
            message = f"{plain(by)} leaves no room for {_TOOL[kind]} at {count.lower()} of {joint}."
            message = _capital(message)
        else:
            message = (
                f"Only {context.say(worst.free)} is free before {count.lower()} of {joint} with "
                f"{_TOOL[kind]}, up to {plain(by)}; {context.say(worst.need)} is wanted."
            )
        yield Finding(
            rule=code,
            severity="error" if covered else "warning",
            message=message,
            joint=joint,
            member=by,
            measured=worst.open if covered else worst.free,
            limit=COVERED if covered else worst.need,
            remedy=_clear(context, f, by, kind),
        )


_DRIVEN = {
    **dict.fromkeys(("peg", "wedge", "pin"), "driven"),
    **dict.fromkeys(("bolt", "foot"), "turned in"),
    "screw": "put in",
}
_TOOL = {
    **dict.fromkeys(("peg", "wedge", "pin"), "a mallet"),
    **dict.fromkeys(("screw", "foot"), "a hand"),
    "bolt": "a socket",
}


def _clear(context: Context, f: Fastener, by: str, kind: Kind) -> str:
    if kind == "wedge":
        return f"Move {plain(by)} clear of the wedges, or drive them from the other side."
    if kind not in ("peg", "pin"):
        return f"Move the {kind} clear of {plain(by)}, or use a shorter one."
    return (
        f"Drive the pegs from the other face, or move them or {plain(by)} so that "
        f"{context.say(2 * f.radius)} of the hole lies open."
    )


@rule(
    "peg-not-reachable",
    title="Pegs can be driven",
    why="A peg goes in straight, with room behind it for the mallet; what stands there stops it.",
    remedy="Drive the pegs from the other face, or move them clear of the neighbour.",
    source="covered holes: geometry; 6 in behind the peg for the mallet: our own choice",
)
def peg_not_reachable(context: Context) -> Iterator[Finding]:
    """Free length before each peg's or pin's hole at the time it is driven."""
    yield from _room(context, "peg-not-reachable", "peg")
    yield from _room(context, "peg-not-reachable", "pin")


@rule(
    "wedge-not-reachable",
    title="Wedges can be driven",
    why="A wedge goes in straight, and the mallet swings behind it; what stands there stops it.",
    remedy="Move what stands in the way, or drive the wedges from the other side.",
    source="covered holes: geometry; 6 in behind the wedge for the mallet: our own choice",
)
def wedge_not_reachable(context: Context) -> Iterator[Finding]:
    """Free length before each wedge's hole or kerf at the time it is driven."""
    yield from _room(context, "wedge-not-reachable", "wedge")


@rule(
    "bolt-not-reachable",
    title="Bolts can be turned in",
    why="A bolt goes in straight and whole, and a socket must come onto its head.",
    remedy="Move the bolt clear of the neighbour, or use a shorter one.",
    source="covered holes: geometry; 3 in behind the head for the socket: our own choice",
)
def bolt_not_reachable(context: Context) -> Iterator[Finding]:
    """Free length before each bolt's hole at the time it is turned in."""
    yield from _room(context, "bolt-not-reachable", "bolt")
    yield from _room(context, "bolt-not-reachable", "screw")
    yield from _room(context, "bolt-not-reachable", "foot")


@rule(
    "order-matters",
    title="Things that must be done before others",
    why="What is forgotten at its time can't be made up for: the way is barred later.",
    remedy="Follow the plan of assembly.",
    source="geometry",
)
def order_matters(context: Context) -> Iterator[Finding]:
    """Pegs that are covered later, tenons that go in before others, glue lines that wait."""
    plan = assembly_data(context)
    yield from _pegs_first(plan)
    yield from _tenons_first(plan)
    if plan.late_glue:
        yield Finding(
            rule="order-matters",
            severity="advice",
            message=f"{_capital(listed(plan.late_glue))} can't be glued up beforehand: what is "
            "held between the pieces must go in first.",
            joint=plan.late_glue[0],
            remedy="Close these glue lines in the course of assembly, as the plan says.",
        )


def _pegs_first(plan: AssemblyPlan) -> Iterator[Finding]:
    everything = tuple(plan.blocking.pieces)
    found: dict[tuple[int, str], tuple[list[str], list[str]]] = {}
    for driven, _ in plan.driven.values():
        f = plan.blocking.fasteners[driven.name]
        if driven.open < f.length:
            continue  # cramped from the start, which its own rule says
        free, by = f.free(everything, narrow=True)
        if free >= f.length:
            continue
        step = next(s for s in plan.steps if by in s.moving or by in s.onto)
        later = max((s for s in plan.steps if by in s.moving), default=step, key=lambda s: s.number)
        joints, members = found.setdefault((later.number, f.kind), ([], []))
        if f.joint not in joints:
            joints.append(f.joint)
        if by not in members:
            members.append(by)
    for (_, kind), (joints, members) in sorted(found.items()):
        several = len(members) > 1
        yield Finding(
            rule="order-matters",
            severity="advice",
            message=f"The {kind}s of {', '.join(joints)} must be in before {listed(members)} "
            f"{'go' if several else 'goes'} on, which would stand before their holes.",
            joint=joints[0],
            member=members[0],
            remedy="Drive them as soon as their joint is closed.",
        )


def _tenons_first(plan: AssemblyPlan) -> Iterator[Finding]:
    b = plan.blocking
    receivers: dict[str, list[Link]] = {}
    for link in b.links:
        if link.interlocks:
            receivers.setdefault(link.first, []).append(link)
    for receiver, links in receivers.items():
        for early in links:
            for late in links:
                if (
                    b.body[early.second] != b.body[late.second]
                    and _bars(b, early, late)
                    and not _bars(b, late, early)
                ):
                    yield Finding(
                        rule="order-matters",
                        severity="advice",
                        message=f"In {plain(receiver)}, {plain(early.second)} must go in before "
                        f"{plain(late.second)}, which then stands in its way.",
                        joint=early.joint,
                        member=early.second,
                    )


def _bars(b: Blocking, early: Link, late: Link) -> bool:
    """Whether a member can't leave its mortise while another stands in the same post."""
    out = neg(early.home)
    for k, direction in enumerate(b.directions):
        if dot(direction, out) > 1.0 - 1e-9:
            return bool(b.blocked[k][b.body[early.second]] >> b.body[late.second] & 1)
    return False


@rule(
    "move-collides",
    title="Every move of the assembly is clear on the solids",
    why="What fits when it is home may still not get there: each move is swept on the solids.",
    remedy="Shorten or notch what stands in the way, or let that part go in later.",
    source="geometry",
    solids=True,
)
def move_collides(context: Context) -> Iterator[Finding]:
    """Each group of each step, swept along its move against all that is there."""
    from treenail.checks.assembly.sweep import NOISE, Sweeper
    from treenail.checks.measured import measures_of

    assert context.solids is not None
    plan = assembly_data(context)
    measures = measures_of(context.solids)
    sweeper = Sweeper(measures.site)
    # What fills the same space at home is told by other rules; it would hit whatever the move.
    known = {frozenset(pair) for pair, shared in measures.shared.items() if shared.volume > NOISE}
    for step in plan.steps:
        for move in step.moves:
            goes, stays = (*move.members, *move.fasteners), (*move.present, *move.fixed)
            for one in goes:
                for other in stays:
                    if {one, other} not in known and _collides(sweeper, move, one, other):
                        yield Finding(
                            rule="move-collides",
                            severity="error",
                            message=f"In step {step.number}, {plain(one)} on its way home "
                            f"({way(move.direction)}) runs into {plain(other)}.",
                            joint=move.joints[0] if move.joints else "",
                            member=one,
                        )
        for driven in step.driven:
            f = plan.blocking.fasteners[driven.name]
            others = [n for n in step.group if n not in f.members]
            length = min(driven.open, f.need)
            if length <= COVERED:
                continue
            hit = sweeper.in_the_rod(f.mouth, neg(f.drive), length, f.radius, others)
            if hit:
                yield Finding(
                    rule="move-collides",
                    severity="error",
                    message=f"In step {step.number}, {plain(f.name)} on its way in runs into "
                    f"{plain(hit)}.",
                    joint=f.joint,
                    member=f.name,
                )


def _collides(sweeper: Sweeper, move: Move, one: str, other: str) -> bool:
    """Whether a solid of a move runs into another on its way, seen backward."""
    away = neg(move.direction)
    if move.approach is None:
        return sweeper.runs_into(one, other, away)
    by = scale(away, move.distance)
    return sweeper.meets_within(one, other, away, move.distance) or sweeper.runs_into(
        one, other, neg(move.approach[0]), start=by
    )


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
