"""The glue-up and handling pages, in Markdown; in the bench's units."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from treenail.checks.assembly.words import plain
from treenail.shop.glue_steps import DIAGONALS_DIFFER
from treenail.shop.lifting import SOURCE, weight_limit
from treenail.timber.lengths import format_length
from treenail.timber.quantities import KG_PER_LB, MPA_PER_PSI, N_PER_LBF, format_mass

if TYPE_CHECKING:
    from treenail.shop.glue_model import GlueStep, GlueUp
    from treenail.shop.glue_steps import Check
    from treenail.shop.handling import Handling, Item

INCH = 25.4
#: N in a ton of 2000 lbf, and in the weight of a tonne.
SHORT_TON, TONNE = 2000 * N_PER_LBF, 9806.65
_MARKUP = re.compile(r"([\\`*_{}\[\]<>#|~&])")


def escape(text: str) -> str:
    """Text that Markdown shows as it stands, on one line."""
    return _MARKUP.sub(r"\\\1", " ".join(text.split()))


def _table(head: Sequence[str], rows: Iterable[Sequence[str]]) -> list[str]:
    lines = [f"| {' | '.join(head)} |", f"|{'|'.join('---' for _ in head)}|"]
    return [*lines, *(f"| {' | '.join(row)} |" for row in rows)]


class _Say:
    """Writes quantities in the bench's units."""

    def __init__(self, units: str) -> None:
        self.inch = units == "in"

    def length(self, mm: float) -> str:
        return format_length(mm, unit="in" if self.inch else "mm", denominator=64)

    def area(self, mm2: float) -> str:
        return f"{mm2 / INCH**2:.0f} sq in" if self.inch else f"{mm2 / 100:.0f} cm²"

    def force(self, newton: float) -> str:
        return f"{newton / N_PER_LBF:,.0f} lbf" if self.inch else f"{newton / 1000:.1f} kN"

    def tons(self, newton: float) -> str:
        if self.inch:
            return f"{newton / SHORT_TON:.1f} tons (2000 lbf each)"
        return f"{newton / TONNE:.1f} t"

    def pressure(self, mpa: float) -> str:
        return f"{mpa / MPA_PER_PSI:.0f} psi" if self.inch else f"{mpa:.2f} MPa"

    def mass(self, kg: float) -> str:
        light = kg < (20 * KG_PER_LB if self.inch else 20)
        return format_mass(kg, unit="lb" if self.inch else "kg", places=1 if light else 0)


def _minutes(value: float) -> str:
    if value >= 120:
        return f"{value / 60:g} h"
    return f"{value:.0f} min" if value >= 10 else f"{value:.1f} min"


def _range(low: int, high: int) -> str:
    return str(low) if low == high else f"{low} to {high}"


# --- glue


def glue_page(plan: GlueUp) -> str:
    """The glue-up sheet: glue, the steps in order, each with what it takes, and cautions."""
    say, glue = _Say(plan.units), plan.glue
    lines = [
        f"# Glue-up: {escape(plan.bench)}",
        "",
        (
            f"Glue: {escape(glue.name)}. Figures as the shop's glue file gives them; where it is "
            "silent, typical common practice. Use them as the glue's label says: the label has the "
            "last word."
        ),
        "",
        *_table(
            ("", ""),
            [
                ("open time", _minutes(glue.open_time)),
                ("then, closed, until under pressure", _minutes(glue.closed_time)),
                ("in the clamps", _minutes(glue.clamp_time)),
                ("machined after", _minutes(glue.cure_time)),
                ("spread", f"{glue.spread:g} g/m²"),
                *(
                    (
                        f"pressure, {name} woods",
                        f"{say.pressure(low)} to {say.pressure(high)}",
                    )
                    for name, (low, high) in (
                        ("light", glue.light),
                        ("middling", glue.medium),
                        ("dense", glue.dense),
                    )
                ),
                ("one clamp gives", say.force(glue.clamp_rating)),
                ("vacuum bag presses with", say.pressure(glue.bag_pressure)),
            ],
        ),
        "",
        (
            f"All together: {plan.grams:.0f} g of glue on {say.area(plan.area)}; at most "
            f"{plan.most_clamps} clamps at once, at the lowest pressure."
        ),
        "",
        *(f"- {escape(note)}" for note in plan.notes),
        "",
    ]
    if plan.base_bag:
        lines += [
            (
                f"In vacuum bags the laminations of the base are pressed with "
                f"{say.tons(plan.base_bag)} in all."
            ),
            "",
        ]
    for step in plan.steps:
        lines += [*_step(step, say), ""]
    lines += ["## Take care", "", *(f"- {escape(c)}" for c in plan.cautions), ""]
    return "\n".join(lines)


def _step(step: GlueStep, say: _Say) -> list[str]:
    where = f" (step {step.plan_step} of the assembly)" if step.plan_step else ""
    lines = [f"## {step.number}. {escape(step.what)}{where}", ""]
    facts = [
        f"Glue: {step.grams:.0f} g on {say.area(step.area)}.",
        f"Spreading: {_minutes(step.spread_minutes)}, closing: {_minutes(step.close_minutes)}; "
        + ("within the open time." if step.within_open else "NOT within the open time in one go."),
    ]
    if step.press.clamps[0]:
        each = ", each piece" if len(step.pieces) > 1 else ""
        low, high = step.press.force
        facts.append(
            f"Clamps{each}: {_range(*step.press.clamps)}, no more than "
            f"{say.length(step.press.spacing)} apart; {say.force(low)} to {say.force(high)}."
        )
    else:
        facts.append("Clamps: none.")
    if step.press.bag:
        facts.append(
            f"Vacuum bag: {say.force(step.press.bag)} a piece, {say.tons(step.bag)} in all."
        )
    facts.append(f"Cauls: {step.cauls}.")
    lines += [f"- {escape(fact)}" for fact in facts]
    lines += [f"- {escape(note[0].upper() + note[1:])}" for note in step.notes]
    lines += ["", *(_check(check, say) for check in step.checks)]
    if step.plan_step:
        rows = [
            (
                escape(plain(line.name)),
                escape(line.kind),
                say.area(line.area) if line.glued else "",
                line.closed_by,
            )
            for line in step.lines
        ]
        lines += ["", *_table(("joint", "kind", "glue", "closed by"), rows)]
    return lines


def _check(check: Check, say: _Say) -> str:
    value = f": {say.length(check.expected)}" if check.expected is not None else ""
    # Nobody reads hundredths off a rule.
    limit = say.length(check.limit if say.inch else round(check.limit, 1))
    how = "they may differ by" if check.limit == DIAGONALS_DIFFER and value else "at most"
    return f"- [ ] {escape(check.what)}{escape(value)}; {how} {limit} ({escape(check.source)})"


# --- handling


def handling_page(plan: Handling) -> str:
    """The handling sheet: masses, who lifts what, and the cautions for each machine."""
    say = _Say(plan.units)
    head = (
        "what",
        "how many",
        "mass",
        "rough",
        "alone from the floor",
        "from trestles",
        "people, at least",
    )
    lines = [f"# Handling: {escape(plan.bench)}", ""]
    for kind, title in (("part", "Parts"), ("sub-assembly", "Sub-assemblies"), ("bench", "Bench")):
        items = [i for i in plan.items if i.kind == kind]
        if items:
            lines += [f"## {title}", "", *_table(head, (_item(i, say) for i in items)), ""]
            lines += [f"- {escape(i.name)}: {escape(i.note)}." for i in items if i.note]
            lines.append("")
    lines += [f"Limits for one person: {escape(SOURCE)}.", ""]
    lines += [*(f"- {escape(note)}" for note in plan.notes), ""]
    lines += [
        "## In the assembly",
        "",
        *_table(
            ("step", "what", "moved at once", "people"),
            ((str(c.step), escape(c.what), say.mass(c.mass), str(c.people)) for c in plan.carries),
        ),
        "",
        "## Take care",
        "",
    ]
    for caution in plan.cautions:
        lines += [f"### {escape(caution.title)}", ""]
        lines += [f"- {escape(text)}" for text in caution.cautions]
        lines += [f"- **{escape(text)}**" for text in caution.watch]
        lines.append("")
    return "\n".join(lines)


def _item(item: Item, say: _Say) -> tuple[str, ...]:
    floor, trestles = weight_limit(item.from_floor), weight_limit(item.from_trestles)
    limits = ("", "") if item.kind == "bench" else (say.mass(floor), say.mass(trestles))
    length = " x ".join(say.length(x) for x in item.size)
    return (
        escape(f"{item.name}, {length}"),
        str(item.count),
        say.mass(item.mass),
        say.mass(item.rough_mass) if item.rough_mass else "",
        *limits,
        str(item.people),
    )
