"""Tolerances: what the shop's machines hold, added up to how each joint will go together.

For each joint the gaps at cheeks, edges and bottom, and the pegs' draw; for each rail its length
between shoulders. Limits of cheek and edge are the named fit's; those of draw and length are our
own choice. The main numbers are closed forms; a seeded trial stands beside them in the report.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from treenail.checks.joint_stacks import joint_stacks, rail_stacks
from treenail.checks.rules import Context
from treenail.checks.shop_machines import NAMES
from treenail.checks.stacks import DRAWS, SEED, Shares, Stack, joint_shares, simulate

__all__ = [
    "DirectionRow",
    "ToleranceRow",
    "dominant",
    "fit_variances",
    "tolerance_data",
    "what_matters_most",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class DirectionRow:
    """One gap, for the report. Lengths in mm, shares from 0 to 1.

    Attributes:
        direction: cheek, edge, bottom, draw or length.
        nominal, low, high: as drawn, and its limits (None: none).
        worst_low, worst_high: with every size at its worst.
        rss: root sum square, plus or minus.
        tight, good, loose: shares below, within and above the limits.
        machine: whose tolerance matters most here.
        machine_share: its share of the variance.
        parts: (size, machine, plus or minus, factor) of what varies.
    """

    direction: str
    nominal: float
    low: float | None
    high: float | None
    worst_low: float
    worst_high: float
    rss: float
    tight: float
    good: float
    loose: float
    machine: str
    machine_share: float
    parts: tuple[tuple[str, str, float, float], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ToleranceRow:
    """Alike joints (or rails), for the report.

    Attributes:
        kind: ``mortise and tenon`` or ``rail between shoulders``.
        names: of the joints, or of the rails.
        by_hand, paring, loose: shares of whole joints (of rails: good, short, long).
        machine, machine_share: whose tolerance matters most, over all that decides the fit.
        simulated: (by_hand, paring, loose) by trial; None where it was not run.
        draws, seed: of the trial.
        directions: each gap.
    """

    kind: str
    names: tuple[str, ...]
    by_hand: float
    paring: float
    loose: float
    machine: str
    machine_share: float
    simulated: tuple[float, float, float] | None
    draws: int
    seed: int
    directions: tuple[DirectionRow, ...]


# --- whose tolerance matters


def fit_variances(stacks: Sequence[Stack]) -> dict[str, float]:
    """Variance by machine, each gap measured by the room to its nearer limit.

    Half a millimetre is nothing in a mortise's depth and everything at its cheeks.
    """
    found: dict[str, float] = {}
    for stack in stacks:
        room = stack.window
        if not room:
            continue
        for part in stack.parts:
            found[part.machine] = found.get(part.machine, 0.0) + (part.reach / room) ** 2
    return found


def dominant(variances: dict[str, float]) -> tuple[str, float]:
    """(the machine's key, its share) of the largest; ("", 0) where nothing varies."""
    total = sum(variances.values())
    if total == 0.0:
        return ("", 0.0)
    machine = min(variances, key=lambda key: (-variances[key], key))
    return (machine, variances[machine] / total)


def what_matters_most(context: Context) -> tuple[str, float]:
    """The machine whose tolerance matters most for all joints of the bench, and its share.

    The machine's name in shop words; ("", 0) for a bench without tenons, or a perfect shop.
    """
    total: dict[str, float] = {}
    for group in joint_stacks(context):
        for machine, variance in fit_variances(group.fit).items():
            total[machine] = total.get(machine, 0.0) + variance * len(group.names)
    machine, share = dominant(total)
    return (NAMES.get(machine, ""), share)


# --- the report's data


def _direction_row(stack: Stack) -> DirectionRow:
    shares, worst = stack.shares, stack.worst
    machine, share = next(iter(stack.by_machine().items()), ("", 0.0))
    return DirectionRow(
        direction=stack.direction,
        nominal=stack.nominal,
        low=stack.low,
        high=stack.high,
        worst_low=worst[0],
        worst_high=worst[1],
        rss=stack.rss,
        tight=shares.tight,
        good=shares.good,
        loose=shares.loose,
        machine=NAMES.get(machine, ""),
        machine_share=share,
        parts=tuple((p.what, NAMES[p.machine], p.holds, p.factor) for p in stack.parts),
    )


def _rows(context: Context, *, trials: bool) -> Iterator[ToleranceRow]:
    for group in (*joint_stacks(context), *rail_stacks(context)):
        deciding = group.fit or group.stacks
        shares = joint_shares(deciding)
        trial: Shares | None = simulate(deciding) if trials else None
        machine, share = dominant(fit_variances(deciding))
        yield ToleranceRow(
            kind=group.kind,
            names=group.names,
            by_hand=shares.good,
            paring=shares.tight,
            loose=shares.loose,
            machine=NAMES.get(machine, ""),
            machine_share=share,
            simulated=(trial.good, trial.tight, trial.loose) if trial else None,
            draws=DRAWS if trial else 0,
            seed=SEED,
            directions=tuple(_direction_row(s) for s in group.stacks),
        )


def tolerance_data(context: Context, *, trials: bool | None = None) -> list[ToleranceRow]:
    """Every joint's and rail's tolerances, alike ones in one row.

    Args:
        context: the bench, and the shop (without one a guess).
        trials: run the seeded trial too; None runs it where there are solids, because it needs
            a library that a quick check does not load.
    """
    run = context.solids is not None if trials is None else trials
    return context.once(f"tolerances.rows.{run}", lambda: list(_rows(context, trials=run)))
