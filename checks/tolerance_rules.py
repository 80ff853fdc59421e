"""Rules on tolerances: how many joints go in by hand, and what the worst case would cost."""

from __future__ import annotations

import math
from collections.abc import Iterator

from treenail.checks.joint_stacks import FIT, LENGTH_LIMIT, JointStacks, joint_stacks, rail_stacks
from treenail.checks.machines import shop_of
from treenail.checks.rules import Context, Finding, Severity, TunableLimit, rule
from treenail.checks.shop_machines import INCH, NAMES
from treenail.checks.stacks import Stack, joint_shares
from treenail.checks.tolerances import dominant, fit_variances
from treenail.joints.fits import FITS

_SOURCE = (
    "normal interference and worst case, closed forms; what machines hold: the shop file, without "
    "one a guess; the limits: common practice or our own choice"
)
#: A clearance beyond this is no fit of a tenon any more, mm: the loosest named one's limits.
_LOOSEST = {
    "cheek": max(f.cheek.high for f in FITS.values()),
    "edge": max(f.edge.high for f in FITS.values()),
}


def _severity(context: Context) -> Severity:
    return "warning" if shop_of(context).given else "advice"


def fine(context: Context, mm: float) -> str:
    """A small length as shops say it: thousandths of an inch, or hundredths of a mm."""
    if context.bench.units == "in":
        sign = "-" if mm < 0.0 else ""
        return f"{sign}{f'{abs(mm) / INCH:.3f}'.removeprefix('0')} in"
    return f"{mm:.2f} mm"


def _hundred(share: float) -> str:
    """A share as people count: ``about 17 of 100``, ``fewer than 1 of 100``."""
    if 0.0 < share < 0.005:
        return "fewer than 1 of 100"
    return f"{100.0 * share:.0f} of 100"


def _many(group: JointStacks) -> str:
    return f"{len(group.names)} alike" if len(group.names) > 1 else "this one"


# --- yield


def better_holding(stacks: tuple[Stack, ...], machine: str, wanted: float) -> float | None:
    """What part of its tolerance a machine may keep so that ``wanted`` of the joints go in.

    None if no holding of this machine alone does it; 1 if it does as it is.
    """

    def good(factor: float) -> float:
        return joint_shares([s.scaled(machine, factor) for s in stacks]).good

    if good(1.0) >= wanted:
        return 1.0
    if good(0.0) < wanted:
        return None
    low, high = 0.0, 1.0
    for _ in range(40):
        middle = (low + high) / 2.0
        low, high = (middle, high) if good(middle) >= wanted else (low, middle)
    return low


def _yield_remedy(context: Context, group: JointStacks, machine: str, wanted: float) -> str:
    ways = []
    cheek = group.stack("cheek")
    if cheek is not None and cheek.high is not None and cheek.shares.loose > 0.01:
        # 2.326 standard deviations leave 1 in 100 beyond (normal distribution).
        shift = cheek.nominal - (cheek.high - 2.326 * cheek.sigma)
        if shift > 0.0:
            ways.append(
                f"leave the tenons {fine(context, shift)} full and pare each to its mortise: then "
                "1 of 100 is loose at the cheeks"
            )
    factor = better_holding(group.fit, machine, wanted)
    parts = {
        p.what: p for s in group.fit for p in s.parts if p.machine == machine and p.holds > 0.0
    }
    if factor is not None and parts and factor > 0.05:
        finest = min(parts.values(), key=lambda p: p.holds)
        ways.append(
            f"by test cuts, hold the {NAMES[machine]} to {100 * factor:.0f} % of its tolerance "
            f"({finest.what}: ±{fine(context, factor * finest.holds)})"
        )
    ways.append("name an easier fit")
    text = "; or ".join(ways)
    return text[0].upper() + text[1:] + "."


@rule(
    "fit-yield",
    title="How many joints go in by hand",
    why="What machines hold decides how many tenons need the shoulder plane, and how many are lost "
    "because they are loose.",
    remedy="Cut tenons full and pare them, or hold the sizes closer.",
    source=_SOURCE,
    limit=TunableLimit(
        default=80.0,
        low=0.0,
        high=100.0,
        unit="%",
        what="least share of joints that go in by hand",
    ),
)
def fit_yield(context: Context) -> Iterator[Finding]:
    """The share of alike joints that the named fit describes, by closed form."""
    wanted = context.limit("fit-yield")
    for group in joint_stacks(context):
        shares = joint_shares(group.fit)
        if 100.0 * shares.good >= wanted - 1e-9:
            continue
        machine, share = dominant(fit_variances(group.fit))
        who = (
            f" The largest share of the spread comes from the {NAMES[machine]} "
            f"({100 * share:.0f} %)."
            if machine
            else ""
        )
        yield Finding(
            rule="fit-yield",
            severity=_severity(context),
            message=f"Of such joints ({_many(group)}) {_hundred(shares.good)} go in by hand, "
            f"{_hundred(shares.tight)} need paring, {_hundred(shares.loose)} are loose.{who}",
            joint=group.names[0],
            member=group.members[0],
            measured=100.0 * shares.good,
            limit=wanted,
            unit="%",
            remedy=_yield_remedy(context, group, machine, wanted / 100.0) if machine else "",
        )


# --- worst case


def _closer(context: Context, stack: Stack, excess: float) -> str:
    """How much closer the leading part has to be held to make up for ``excess`` mm."""
    lead = max(stack.parts, key=lambda p: p.reach)
    holds = lead.holds - excess / abs(lead.factor)
    name = NAMES[lead.machine]
    if holds > 0.0:
        return (
            f"hold the {lead.what} ({name}) to ±{fine(context, holds)} instead of "
            f"±{fine(context, lead.holds)}"
        )
    return f"cut a test joint first: the {lead.what} ({name}) counts most"


def _worst(context: Context, group: JointStacks, stack: Stack) -> tuple[str, float, float, str]:
    """(what goes wrong, measured, limit, remedy); an empty first where nothing does."""
    low, high = stack.worst
    limit = _LOOSEST.get(stack.direction, math.inf)
    if stack.direction == "edge":  # room to swell is meant
        limit += max((j.fit.swells for j in context.tenons if j.name in group.names), default=0.0)
    if high > limit + 1e-9:
        where = "cheeks" if stack.direction == "cheek" else "edges"
        text = (
            f"the {where} have {fine(context, high)} of play, more than the loosest fit's "
            f"{fine(context, limit)}: no paring puts that right"
        )
        closer = _closer(context, stack, high - limit)
        return (
            text,
            high,
            limit,
            f"{closer}; or cut the tenon {fine(context, high - limit)} full and pare it",
        )
    if stack.direction == "bottom" and low < 0.0:
        text = f"the tenon is {fine(context, -low)} longer than its mortise is deep"
        return (
            text,
            low,
            0.0,
            f"cut the mortise {context.say(-low + 0.4)} deeper; or {_closer(context, stack, -low)}",
        )
    if stack.direction == "draw":
        return _worst_draw(context, group, stack)
    if stack.direction == "length" and high > LENGTH_LIMIT + 1e-9:
        text = f"the rail is {fine(context, high)} off between its shoulders"
        closer = _closer(context, stack, high - LENGTH_LIMIT)
        return (
            text,
            high,
            LENGTH_LIMIT,
            f"{closer}; or cut the rails of a pair together at one stop",
        )
    return ("", 0.0, 0.0, "")


def _worst_draw(
    context: Context, group: JointStacks, stack: Stack
) -> tuple[str, float, float, str]:
    low, high = stack.worst
    closer = _closer(context, stack, max(-low, 0.0))
    if low <= 0.0:
        text = f"the draw is {fine(context, low)}: the pegs push the shoulder open"
        return (text, low, 0.0, f"mark the tenon's holes through the post's; or {closer}")
    joint = next(j for j in context.tenons if j.name == group.names[0])
    draw = joint.draw
    assert draw is not None
    most = draw.diameter - draw.tip_diameter
    if high > most + 1e-9:
        text = (
            f"the draw is {fine(context, high)}, and the pegs' tips of "
            f"{fine(context, draw.tip_diameter)} don't find the tenon's hole"
        )
        return (
            text,
            high,
            most,
            f"mark the tenon's holes through the post's; or {_closer(context, stack, high - most)}",
        )
    return ("", 0.0, 0.0, "")


@rule(
    "fit-worst-case",
    title="The worst case of tolerances",
    why="With every size at its worst, some faults can still be pared; these can't.",
    remedy="Hold the leading size closer, or cut it to fit the other part.",
    source=_SOURCE,
)
def fit_worst_case(context: Context) -> Iterator[Finding]:
    """Worst cases that paring doesn't mend, once for alike joints and rails."""
    for group in (*joint_stacks(context), *rail_stacks(context)):
        for stack in group.stacks:
            text, measured, limit, remedy = _worst(context, group, stack)
            if not text:
                continue
            is_joint = stack.direction in (*FIT, "draw")
            yield Finding(
                rule="fit-worst-case",
                severity=_severity(context),
                message=f"At worst ({_many(group)}) {text}.",
                joint=group.names[0] if is_joint else "",
                member=group.members[0],
                measured=measured,
                limit=limit,
                remedy=f"{remedy[0].upper()}{remedy[1:]}.",
            )
