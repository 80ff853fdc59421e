"""The validation layer: fits, clearances, collisions, movement, strength, assembly order.

Nothing is imported here but the words of it; the rules come in when they are asked for.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING

from treenail.checks.rules import RULES, Context, Finding, Report, Rule, run_rules
from treenail.checks.rules import get_rule as _get_rule

if TYPE_CHECKING:
    from treenail.checks.shop_file import ShopFile
    from treenail.generators.bench import Bench
    from treenail.generators.solids import BenchSolids

__all__ = ["Finding", "Report", "Rule", "check_bench", "check_context", "get_rule", "load_rules"]


#: The modules that register rules, in the order in which rules run and are told; a new one adds its
#: name here. None may load the kernel.
RULE_MODULES = (
    "fits",
    "shoulders",
    "walls",
    "meeting",
    "tenon_kinds",
    "drawbore",
    "pegs",
    "peg_paths",
    "bolts",
    "bolt_places",
    "let_in",
    "barrel_bolts",
    "panel_sides",
    "tops",
    "vises",
    "fittings",
    "machines",
    "tolerance_rules",
    "treenails",
    "board_jack",
    "sizes",
    "parts_list",
    "climate",
    "end_boards",
    "seasons",
    "loose_pieces",
    "cnc",
    "milling",
    "strength.rules",
    "assembly.rules",
    "solids",
    "rooms",
)


def load_rules() -> Mapping[str, Rule]:
    """Import the modules that hold rules; return all rules by their codes, in a fixed order.

    Whatever was imported before: a report's bytes must not depend on it. Rules from elsewhere
    come last, as they were registered.
    """
    import importlib

    homes = [f"{__name__}.{module}" for module in RULE_MODULES]
    for home in homes:
        importlib.import_module(home)
    place = {home: number for number, home in enumerate(homes)}
    told = sorted(RULES.values(), key=lambda r: place.get(r.check.__module__, len(place)))
    if [r.code for r in told] != list(RULES):
        RULES.clear()
        RULES.update((r.code, r) for r in told)
    return RULES


def get_rule(code: str) -> Rule:
    """The rule of that code; SpecError suggests the nearest."""
    load_rules()
    return _get_rule(code)


def check_bench(
    bench: Bench,
    solids: BenchSolids | None = None,
    progress: Callable[[str], None] | None = None,
    *,
    shop: ShopFile | None = None,
) -> Report:
    """Run every rule on a bench; those that measure solids are skipped where there are none.

    Args:
        bench: what a generator returned.
        solids: its solids, or None for the rules that need numbers only.
        progress: called with each rule's title before it runs.
        shop: what the shop has, and what it sets otherwise in the rules.
    """
    return check_context(Context(bench=bench, solids=solids, shop=shop), progress=progress)


def check_context(context: Context, *, progress: Callable[[str], None] | None = None) -> Report:
    """Run every rule that the context has the data for."""
    load_rules()
    return run_rules(context, progress=progress)
