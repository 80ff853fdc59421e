"""How a shop makes one cut: by which machine and tool, what hands finish, or why not at all.

Machines are asked in the shop's own order; each answers with how it does it, or with what it
lacks and what would have to change. Slack figures are our own choice.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from treenail.checks.making_aslant import ASLANT, make_aslant
from treenail.checks.shop_machines import INCH, Machines
from treenail.checks.verdicts import (
    SAME,
    Answer,
    How,
    Made,
    Refusal,
    Say,
    Verdict,
    ask,
    off_table,
    too_deep,
)
from treenail.joints.cuts import Bore, Cut, FootChamfer, Mortise, Slot, TenonEnd
from treenail.joints.shaped_cuts import ConeSocket, DovetailSocket
from treenail.joints.trenches import Trench
from treenail.timber.member import Member

__all__ = [
    "BIT_SLACK",
    "MEET",
    "ONE_PASS",
    "How",
    "Made",
    "Refusal",
    "Verdict",
    "make",
    "reaches",
]

#: A mortise this much wider than a chisel is still cut in one pass, mm: the loosest fit's play.
ONE_PASS = 0.35
#: What cuts from two faces overlap in the middle, mm.
MEET = 3.0
#: How far a bit may be under and over a hole's diameter, by the hole's purpose, mm.
BIT_SLACK: dict[str, tuple[float, float]] = {
    "peg hole": (0.1, 0.1),
    "treenail hole": (0.1, 0.15),  # the pegs are made to the hole
    "dog hole": (0.15, 0.15),
    "bolt hole": (0.0, 1.0),
    "bolt slot": (0.0, 1.0),
    "counterbore": (0.0, 2.5),
    "pilot hole": (INCH / 64, INCH / 64),
    "barrel nut hole": (0.1, 0.4),  # a 14 mm nut goes into 9/16 in, and stands on its bottom
}
_ANY_HOLE = (0.15, 0.15)


def make(cut: Cut, member: Member, shop: Machines, say: Say) -> Verdict:
    """How a shop makes one cut of a member."""
    order = shop.order
    if isinstance(cut, ASLANT):
        return make_aslant(cut, member, shop, say)
    if isinstance(cut, Mortise):
        # Corners that aren't square are drawn for a round cutter: the router is asked first.
        keys = order.mortises
        if cut.corners is not None and "router" in keys:
            keys = ("router", *(k for k in keys if k != "router"))
        return ask(keys, shop, lambda m: _mortise(m, cut, member, shop, say))
    if isinstance(cut, Bore):
        return ask(order.holes, shop, lambda m: _bore(m, cut, member, shop, say))
    if isinstance(cut, Slot):
        return ask(order.slots, shop, lambda m: _slot(m, cut, member, shop, say))
    if isinstance(cut, TenonEnd):
        return ask(order.tenons, shop, lambda m: _tenon(m, cut, member, shop, say))
    if isinstance(cut, FootChamfer):
        return ask(("hand", "router"), shop, lambda m: Made(machine=m, tool="at 45 degrees"))
    if isinstance(cut, Trench):
        return ask(("dado", "router", "hand"), shop, lambda m: _trench(m, cut, member, shop, say))
    if isinstance(cut, DovetailSocket | ConeSocket):
        machines = ("hand",) if isinstance(cut, DovetailSocket) else ("drill_press", "hand")
        return ask(machines, shop, lambda m: _shaped(m, cut, shop, say))
    raise TypeError(f"no machine is known for a {type(cut).__name__}")


def reaches(reach: float, depth: float, *, through: bool) -> bool:
    """Whether a tool gets that deep; a through cut may come from both faces, and overlap."""
    return depth <= reach + SAME or (through and depth <= 2.0 * reach - MEET + SAME)


def _too_deep(key: str, cut: Mortise | Bore | Slot, reach: float, say: Say) -> Refusal:
    from_two = " even from both faces" if cut.through else ""
    deepest = 2.0 * reach - MEET if cut.through else reach
    return Refusal(
        machine=key,
        kind="reach",
        why=f"reaches {say(reach)}, and the {cut.purpose} is {say(cut.depth)} deep{from_two}",
        change=f"make the {cut.purpose} no deeper than {say(deepest)}",
    )


def _no_tool(key: str, what: str, wanted: float, nearest: Sequence[float], say: Say) -> Refusal:
    near = min(nearest, key=lambda d: abs(d - wanted), default=None)
    change = f"get one of {say(wanted)}"
    if near is not None and say(near) != say(wanted):
        change += f", or go by the {say(near)} on hand"
    elif near is not None:
        change = f"go by the {say(near)} on hand, {near:.2f} mm for the {wanted:.2f} mm drawn"
    return Refusal(machine=key, kind="tool", why=f"no {what} of {say(wanted)}", change=change)


# --- mortises


def _mortise(key: str, cut: Mortise, member: Member, shop: Machines, say: Say) -> Answer:
    narrow = min(cut.width, cut.length)
    if key == "mortiser":
        return _by_mortiser(cut, member, shop, say, narrow)
    if key == "router":
        return _by_router(cut, member, shop, say, narrow)
    if key == "drill_press":
        drill = shop.drill_press
        deep = [
            d
            for d, r in _bits(shop)
            if d <= narrow + SAME and reaches(r, cut.depth, through=cut.through)
        ]
        if not any(d <= narrow + SAME for d, _ in _bits(shop)):
            return _no_tool(key, "bit", narrow, [*drill.bits, *drill.flat_bits], say)
        if not deep:
            return _too_deep(key, cut, max(drill.reach, drill.long_reach), say)
        return _squared(key, f"{say(max(deep))} bit, hole beside hole", shop, narrow, say)
    hand = shop.hand
    fitting = [c for c in hand.chisels if c <= narrow + SAME]
    if not fitting:
        return _no_tool(key, "chisel", narrow, hand.chisels, say)
    if not reaches(hand.reach, cut.depth, through=cut.through):
        return _too_deep(key, cut, hand.reach, say)
    return Made(machine=key, tool=f"chopped with a {say(max(fitting))} chisel")


def _by_mortiser(cut: Mortise, member: Member, shop: Machines, say: Say, narrow: float) -> Answer:
    m = shop.mortiser
    fitting = [c for c in m.chisels if c <= narrow + SAME]
    if not fitting:
        return _no_tool("mortiser", "chisel", narrow, m.chisels, say)
    if not reaches(m.reach, cut.depth, through=cut.through):
        return _too_deep("mortiser", cut, m.reach, say)
    high = member.extent(cut.face)
    if high > m.stock_height + SAME:
        return Refusal(
            machine="mortiser",
            kind="piece",
            why=f"takes pieces {say(m.stock_height)} tall, and {member.name} is {say(high)}",
            change=f"make {member.role}s no more than {say(m.stock_height)} there",
        )
    chisel = max(fitting)
    passes = 1 if narrow - chisel <= ONE_PASS else math.ceil(narrow / chisel - SAME)
    tool = f"{say(chisel)} chisel" + (f", {passes} passes side by side" if passes > 1 else "")
    return Made(machine="mortiser", tool=tool, passes=passes)


def _squared(key: str, tool: str, shop: Machines, narrow: float, say: Say) -> Answer:
    """A cut with round corners, if hands can square them."""
    hand = shop.hand
    if hand.have and any(c <= narrow + SAME for c in hand.chisels):
        return Made(machine=key, tool=tool, by_hand="square the corners with a chisel")
    return Refusal(
        machine=key,
        kind="tool",
        why="leaves round corners, and no hand chisel on hand squares them",
        change=f"get a chisel of at most {say(narrow)}, or round the tenon's edges to match",
    )


def _by_router(
    cut: Mortise | Slot, member: Member, shop: Machines, say: Say, narrow: float
) -> Answer:
    r = shop.router
    refused = off_table("router", cut, member, shop, say)
    if refused:
        return refused
    over = BIT_SLACK.get(cut.purpose, (0.0, 0.0))[1] if isinstance(cut, Slot) else 0.0
    fitting = [c for c in r.cutters if c <= narrow + over + SAME]
    if not fitting:
        return _no_tool("router", "cutter as small as", narrow, r.cutters, say)
    if not reaches(r.reach, cut.depth, through=cut.through):
        return _too_deep("router", cut, r.reach, say)
    cutter = max(fitting)
    radius = cutter / 2 if r.inner_radius is None else max(r.inner_radius, min(fitting) / 2)
    if 2.0 * radius > narrow + over + SAME:
        return Refusal(
            machine="router",
            kind="tool",
            why=f"its smallest inner radius is {say(radius)}",
            change=f"make the {cut.purpose} at least {say(2.0 * radius)} wide",
        )
    if isinstance(cut, Slot):
        return Made(machine="router", tool=f"{say(cutter)} cutter")
    if cut.corners is not None:
        own = [c for c in fitting if max(c / 2, r.inner_radius or 0.0) <= cut.corners.radius + SAME]
        if own:
            return Made(machine="router", tool=f"{say(max(own))} cutter, corners as drawn")
        radius = max(r.inner_radius or 0.0, min(fitting) / 2)
    return _squared(
        "router", f"{say(cutter)} cutter, corners of {say(radius)} radius", shop, narrow, say
    )


# --- holes and slots


def _bits(shop: Machines) -> list[tuple[float, float]]:
    """(diameter, reach) of every bit of the drill press, those of usual length first."""
    d = shop.drill_press
    sets = ((d.bits, d.reach), (d.long_bits, d.long_reach), (d.flat_bits, d.flat_reach))
    return [(size, reach) for bits, reach in sets for size in bits]


def _round_tools(key: str, cut: Bore | Slot, shop: Machines) -> list[tuple[float, float]]:
    if key == "hand":
        return [(size, shop.hand.bit_reach) for size in shop.hand.bits]
    if key == "router":
        return [(size, shop.router.reach) for size in shop.router.cutters]
    d = shop.drill_press
    if cut.purpose == "counterbore":  # a washer wants a flat seat
        return [(size, d.flat_reach) for size in d.flat_bits]
    return _bits(shop)


def _bit(key: str, cut: Bore | Slot, wanted: float, shop: Machines, say: Say) -> Answer:
    """The bit on hand for a round hole (or for the row of holes that begins a slot)."""
    under, over = BIT_SLACK.get(cut.purpose, _ANY_HOLE)
    tools = _round_tools(key, cut, shop)
    fitting = [(d, r) for d, r in tools if wanted - under - SAME <= d <= wanted + over + SAME]
    if not fitting:
        return _no_tool(key, "bit", wanted, [d for d, _ in tools], say)
    deep = [(d, r) for d, r in fitting if reaches(r, cut.depth, through=cut.through)]
    if not deep:
        return _too_deep(key, cut, max(r for _, r in fitting), say)
    best = min(deep, key=lambda t: (cut.depth > t[1] + SAME, abs(t[0] - wanted), t[1]))
    two = "" if cut.depth <= best[1] + SAME else ", from both faces"
    return Made(machine=key, tool=f"{say(best[0])} bit{two}")


def _bore(key: str, cut: Bore, member: Member, shop: Machines, say: Say) -> Answer:
    refused = off_table(key, cut, member, shop, say)
    if refused:
        return refused
    if key == "router" and shop.router.cnc:
        r = shop.router
        fitting = [c for c in r.cutters if c <= cut.diameter + SAME]
        if not fitting:
            return _no_tool(key, "cutter as small as", cut.diameter, r.cutters, say)
        if not reaches(r.reach, cut.depth, through=cut.through):
            return _too_deep(key, cut, r.reach, say)
        return Made(machine=key, tool=f"{say(max(fitting))} cutter")
    return _bit(key, cut, cut.diameter, shop, say)


def _slot(key: str, cut: Slot, member: Member, shop: Machines, say: Say) -> Answer:
    if key == "router":
        return _by_router(cut, member, shop, say, cut.width)
    answer = _bit(key, cut, cut.width, shop, say)
    if isinstance(answer, Refusal):
        return answer
    if not shop.hand.have:
        return Refusal(
            machine=key,
            kind="tool",
            why="leaves ridges between the holes, and there are no hand tools",
            change="route the slot",
        )
    return Made(
        machine=key, tool=f"{answer.tool}, a row of holes", by_hand="pare between the holes"
    )


# --- tenons


def _tenon(key: str, cut: TenonEnd, member: Member, shop: Machines, say: Say) -> Answer:
    shoulders = (cut.y0, member.thickness - cut.y1, cut.x0, member.width - cut.x1)
    deepest = max(shoulders)
    tip = "saw its end to the line" if cut.tip else ""
    if cut.rounding is not None:
        edges = f"round its four long edges to {say(cut.rounding.radius)}"
        tip = f"{tip}; {edges}" if tip else edges
    if key == "router":
        refused = off_table(key, cut, member, shop, say)
        if refused:
            return refused
    limit, long, what = {
        "dado": (shop.dado.height, shop.dado.longest, "carries"),
        "saw": (shop.saw.height, shop.saw.upright, "holds upright"),
        "router": (shop.router.reach, math.inf, ""),
        "hand": (shop.hand.saw_depth, math.inf, ""),
    }[key]
    if member.length > long + SAME:
        return Refusal(
            machine=key,
            kind="piece",
            why=f"{what} {say(long)} at most, and {member.name} is {say(member.length)}",
            change=f"cut the tenon on another machine, or carry pieces of {say(member.length)}",
        )
    # Held upright, or sawn by hand along the cheeks, the depth is the tenon's length.
    depth = cut.length if key in ("saw", "hand") else deepest
    if depth > limit + SAME:
        measure = "tenon's length" if key in ("saw", "hand") else "deepest shoulder"
        return Refusal(
            machine=key,
            kind="reach",
            why=f"cuts {say(limit)} deep, and the {measure} is {say(depth)}",
            change=f"keep the {measure} to {say(limit)}",
        )
    if key != "dado":
        tool = {"saw": "upright in a jig", "router": "cheeks and shoulders", "hand": "sawn"}[key]
        if key == "router" and cut.haunch and not tip:
            tip = "square the haunch's corner with a chisel"
        return Made(machine=key, tool=tool, by_hand=tip)
    step = cut.length - (cut.haunch.length if cut.haunch else 0.0)
    if step < shop.dado.narrowest - SAME:
        return Refusal(
            machine=key,
            kind="tool",
            why=f"its narrowest stack is {say(shop.dado.narrowest)}, wider than the step of "
            f"{say(step)}",
            change=f"make the tenon at least {say(shop.dado.narrowest)} longer than its haunch",
        )
    passes = math.ceil(cut.length / shop.dado.widest - SAME)
    tool = f"{passes} pass{'es' if passes > 1 else ''} on each shoulder"
    return Made(machine=key, tool=tool, by_hand=tip, passes=passes)


def _shaped(key: str, cut: DovetailSocket | ConeSocket, shop: Machines, say: Say) -> Answer:
    """Sawn along its flanks, or bored as wide as its narrow end; hands do the rest."""
    if isinstance(cut, DovetailSocket):
        if cut.depth > shop.hand.saw_depth + SAME:
            return Refusal(
                machine=key,
                kind="reach",
                why=f"cuts {say(shop.hand.saw_depth)} deep, and the {cut.purpose} is "
                f"{say(cut.depth)} deep",
                change="saw and pare from both faces, or use a thinner slab",
            )
        return Made(machine=key, tool="sawn and pared, to a bevel gauge")
    narrow = min(cut.mouth, cut.bottom)
    sizes = [d for d, _ in _bits(shop)] if key == "drill_press" else list(shop.hand.bits)
    fitting = [d for d in sizes if d <= narrow + SAME]
    if not fitting:
        return _no_tool(key, "bit as small as", narrow, sizes, say)
    return Made(machine=key, tool=f"{say(max(fitting))} bit", by_hand="ream to the taper")


# --- trenches


def _trench(key: str, cut: Trench, member: Member, shop: Machines, say: Say) -> Answer:
    """A housing, groove, rebate, notch or lap; leaning walls need a cutter that leans."""
    leans, narrow = any(cut.lean), min(cut.width, cut.length)
    refused = off_table(key, cut, member, shop, say)
    if refused:
        return refused
    refused = too_deep(key, cut, shop, say)
    if refused:
        return refused
    stopped = [x for x in (-1.0, 1.0) if not cut.is_open(member, x, 0.0)]
    if key == "hand":
        tool = "sawn and pared" if len(stopped) < 2 else "chopped and pared"
        return Made(machine=key, tool=f"{tool}, to a bevel gauge" if leans else tool)
    if key == "dado":
        return _trench_by_dado(cut, shop, say, leans=leans, stopped=bool(stopped))
    if leans:
        return Made(machine=key, tool="straight cutter first, then the dovetail cutter")
    fitting = [c for c in shop.router.cutters if c <= narrow + SAME]
    if not fitting:
        return _no_tool(key, "cutter as small as", narrow, shop.router.cutters, say)
    own = [c for c in fitting if cut.corners and c / 2 <= cut.corners.radius + SAME]
    made = Made(machine=key, tool=f"{say(max(own or fitting))} cutter")
    return _squared(key, made.tool, shop, narrow, say) if stopped and not own else made


def _trench_by_dado(cut: Trench, shop: Machines, say: Say, *, leans: bool, stopped: bool) -> Answer:
    if leans or stopped or cut.length > shop.dado.longest + SAME:
        why = "cuts square walls only" if leans else "cuts right across only"
        change = f"run the {cut.purpose} out at both ends" if stopped else "use a router"
        return Refusal(machine="dado", kind="piece", why=why, change=change)
    if cut.width < shop.dado.narrowest - SAME:
        return _no_tool("dado", "stack as narrow as", cut.width, [shop.dado.narrowest], say)
    passes = math.ceil(cut.width / shop.dado.widest - SAME)
    tool = f"{passes} pass{'es' if passes > 1 else ''}"
    return Made(machine="dado", tool=tool, passes=passes)
