"""One sheet a machine: what to set, from where it is measured, and everything cut with it."""

from __future__ import annotations

from collections.abc import Callable

from treenail.checks.shop_file import ShopFile, default_shop
from treenail.checks.shop_machines import NAMES
from treenail.generators.bench import Bench
from treenail.shop import cautions
from treenail.shop.setups import dado, drill_press, mortiser, other, router, table_saw
from treenail.shop.setups.grouping import build_sheet
from treenail.shop.setups.model import Setup, SetupPlan, Sheet, Task
from treenail.shop.setups.work import Work

__all__ = ["Setup", "SetupPlan", "Sheet", "setups"]

_OURS: dict[str, tuple[Callable[[Work], list[Task]] | None, tuple[str, ...]]] = {
    # In the order in which a shop comes to them: mortises before the tenons that must fit them.
    "saw": (table_saw.tasks, table_saw.CAUTIONS),
    "mortiser": (mortiser.tasks, mortiser.CAUTIONS),
    "router": (router.tasks, router.CAUTIONS),
    "dado": (dado.tasks, dado.CAUTIONS),
    "drill_press": (drill_press.tasks, drill_press.CAUTIONS),
}
_NOTES = {
    "dado": "Mortises first: a tenon is fitted to the mortise as it came out.",
    "drill_press": "Peg holes in tenons last, each marked through its own post.",
    "saw": "After milling. Short pieces that were milled joined are cut apart here.",
}


def setups(bench: Bench, shop: ShopFile | None = None) -> SetupPlan:
    """Every cut of a bench on its machine, with set-ups grouped and counted.

    Args:
        bench: the numbers.
        shop: whose machines; None takes the guessed shop for the bench's units.
    """
    work = Work(bench, shop or default_shop(bench.units))
    sheets = []
    for machine, (make, extra) in _OURS.items():
        found = [*(make(work) if make else ()), *other.line_tasks(work, machine)]
        notes = [_NOTES[machine]] if machine in _NOTES and found else []
        if machine == "saw":
            notes += table_saw.left_for_others(work)
        if found or (machine == "saw" and work.machines.saw.have):
            sheets.append(
                build_sheet(
                    NAMES[machine],
                    found,
                    cautions=(cautions.MANUAL, *cautions.MACHINES[machine], *extra),
                    notes=notes,
                )
            )
    by_hand = other.hand_tasks(work)
    if by_hand:
        sheets.append(
            build_sheet(
                NAMES["hand"], by_hand, cautions=(cautions.MANUAL, *cautions.MACHINES["hand"])
            )
        )
    return SetupPlan(
        bench=bench.name,
        units=bench.units,
        sheets=tuple(sheets),
        not_made=tuple(_not_made(work)),
    )


def _not_made(work: Work) -> list[str]:
    """Cuts that no machine makes, and why, each said once."""
    found: dict[str, None] = {}
    for job in work.jobs:
        if job.verdict.made is None:
            why = "; ".join(f"{NAMES[r.machine]}: {r.why}" for r in job.verdict.refusals)
            found[
                f"{job.member.name}, {job.cut.purpose} at {job.cut.joint}: "
                f"{why or 'no machine is there for it'}"
            ] = None
    return list(found)
