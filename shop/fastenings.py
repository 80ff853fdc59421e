"""Fastenings: every peg, pin, wedge, bolt and bought part, with the step in which it goes in."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from treenail.shop.pages_glue import escape
from treenail.shop.rough_parts import thin_end
from treenail.shop.setups.work import say_for
from treenail.timber.measured_parts import MeasuredPart

if TYPE_CHECKING:
    from collections.abc import Iterator

    from treenail.checks.assembly.plan import AssemblyPlan
    from treenail.generators.bench import Bench
    from treenail.joints.base import Hardware
    from treenail.shop.setups.model import Say
    from treenail.timber.member import Member

__all__ = ["Fastening", "Fastenings", "fastenings"]

#: Where the rest about each is found.
_PAPERS = {"peg": "drawbore sheet", "pin": "drawbore sheet", "wedge": "cut list"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Fastening:
    """Fastenings of one size.

    Attributes:
        what: ``peg``, ``pin``, ``wedge``, or the hardware's kind.
        size: in words.
        length: over all; of a bolt under its head, mm.
        names: of all of them.
        steps: numbers of the steps of assembly in which they go in.
        paper: the paper on which the rest about them stands; ``to buy`` for hardware.
    """

    what: str
    size: str
    length: float
    names: tuple[str, ...]
    steps: tuple[int, ...]
    paper: str

    @property
    def count(self) -> int:
        """How many."""
        return len(self.names)


@dataclass(frozen=True, slots=True, kw_only=True)
class Fastenings:
    """All that holds a bench together and is no joint, by kind and size."""

    bench: str
    units: str
    rows: tuple[Fastening, ...]

    @property
    def count(self) -> int:
        """How many in all."""
        return sum(r.count for r in self.rows)

    def as_dict(self) -> list[dict[str, Any]]:
        """JSON data; lengths in mm."""
        return [
            {
                "what": r.what,
                "size": r.size,
                "length_mm": r.length,
                "count": r.count,
                "names": list(r.names),
                "steps": list(r.steps),
                "paper": r.paper,
            }
            for r in self.rows
        ]

    def table_rows(self) -> list[dict[str, str | float | int]]:
        """One row a size, for a table; lengths in mm."""
        return [
            {
                "what": r.what,
                "size": r.size,
                "length mm": round(r.length, 3),
                "count": r.count,
                "steps": ", ".join(map(str, r.steps)),
                "more on": r.paper,
            }
            for r in self.rows
        ]

    def page(self) -> str:
        """A readable page, in Markdown."""
        head = f"# Fastenings: {escape(self.bench)}"
        if not self.rows:
            return f"{head}\n\nNothing but its joints holds it.\n"
        say = say_for(self.units)
        lines = [head, "", f"{self.count} in all. Lay them out by the steps of the assembly.", ""]
        lines += ["| how many | what | size | length | in step | more on |", "|" + "---|" * 6]
        lines += [
            f"| {r.count} | {r.what} | {escape(r.size)} | {say(r.length)} | "
            f"{', '.join(map(str, r.steps))} | {r.paper} |"
            for r in self.rows
        ]
        return "\n".join(lines) + "\n"


def fastenings(bench: Bench, plan: AssemblyPlan) -> Fastenings:
    """Every fastening of a bench, in the order in which the plan first asks for its size."""
    say = say_for(bench.units)
    steps = {name: step.number for name, (_, step) in plan.driven.items()}
    found: dict[tuple[str, str, float], list[str]] = {}
    for key, name in _all(bench, say):
        found.setdefault(key, []).append(name)
    rows = [
        Fastening(
            what=what,
            size=size,
            length=length,
            names=tuple(names),
            steps=tuple(sorted({steps[n] for n in names if n in steps})),
            paper=_PAPERS.get(what, "to buy"),
        )
        for (what, size, length), names in found.items()
    ]
    rows.sort(key=lambda r: r.steps)
    return Fastenings(bench=bench.name, units=bench.units, rows=tuple(rows))


def _all(bench: Bench, say: Say) -> Iterator[tuple[tuple[str, str, float], str]]:
    for peg in bench.pegs:
        size = f"{say(peg.width)} round, {peg.species.name.lower()}"
        yield (peg.role, size, peg.length), peg.name
    for wedge in bench.wedges:
        yield ("wedge", _wedge(bench, wedge, say), wedge.length), wedge.name
    for item in bench.hardware:
        yield (item.kind, _bought(item, say), item.length), item.name


def _wedge(bench: Bench, wedge: Member, say: Say) -> str:
    thin = thin_end(bench, wedge.name)
    wide = say(wedge.width) if thin is None else f"{say(wedge.width)} to {say(thin)}"
    return f"{wide} by {say(wedge.thickness)}, {wedge.species.name.lower()}"


def _bought(item: Hardware, say: Say) -> str:
    if isinstance(item.size, MeasuredPart):
        return say(item.size.diameter)
    name = item.size.name
    return f"{name} in" if name[0].isdigit() else name
