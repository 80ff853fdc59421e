"""What a glue-up plan holds: its steps, with everything as plain data and as rows."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from treenail.shop.glue import Glue
from treenail.shop.glue_lines import GlueLine
from treenail.shop.glue_steps import Check, Press, grams, press_on, spread_minutes


@dataclass(frozen=True, slots=True, kw_only=True)
class GlueStep:
    """One step.

    Attributes:
        number: from 1.
        plan_step: number of the step of assembly; 0 for a lamination.
        what: in shop words.
        pieces: laminations of one kind, each a glue-up of its own; else empty.
        lines: all glue lines (of all pieces).
        grams: of glue for all of them.
        press: what one glue-up takes.
        spread_minutes: to spread all that closes at once if it isn't split.
        close_minutes: to set clamps and drive pegs.
        within_open: whether all of it can be spread within the open time.
        within_closed: whether each part is under pressure within open and closed time.
        rounds: for a lamination: how to split it (see ``split_stack``).
        batches: for a step of assembly: joints that are glued at one go.
        cauls: battens under the clamps.
        checks: before the glue sets.
        notes: what to mind.
    """

    number: int
    plan_step: int
    what: str
    pieces: tuple[str, ...]
    lines: tuple[GlueLine, ...]
    grams: float
    press: Press
    spread_minutes: float
    close_minutes: float
    within_open: bool
    within_closed: bool
    rounds: tuple[tuple[int, ...], ...]
    batches: tuple[tuple[str, ...], ...]
    cauls: str
    checks: tuple[Check, ...]
    notes: tuple[str, ...]

    @property
    def area(self) -> float:
        """That is glued, mm²."""
        return math.fsum(line.area for line in self.lines if line.glued)

    @property
    def bag(self) -> float:
        """Force of the bags on all pieces together, N."""
        return self.press.bag * len(self.pieces)

    def as_dict(self) -> dict[str, Any]:
        """JSON data."""
        return {
            "number": self.number,
            "assembly_step": self.plan_step or None,
            "what": self.what,
            "pieces": list(self.pieces),
            "lines": [line.as_dict() for line in self.lines],
            "area_mm2": round(self.area, 3),
            "glue_g": round(self.grams, 2),
            "clamp_force_n": [round(f, 1) for f in self.press.force],
            "clamps": list(self.press.clamps),
            "clamp_spacing_mm": round(self.press.spacing, 2),
            "bag_force_n": round(self.press.bag, 1),
            "spread_min": round(self.spread_minutes, 3),
            "close_min": round(self.close_minutes, 3),
            "within_open_time": self.within_open,
            "within_closed_time": self.within_closed,
            "rounds": [list(r) for r in self.rounds],
            "batches": [list(b) for b in self.batches],
            "cauls": self.cauls,
            "checks": [
                {
                    "what": c.what,
                    "expected_mm": None if c.expected is None else round(c.expected, 3),
                    "limit_mm": round(c.limit, 4),
                    "source": c.source,
                }
                for c in self.checks
            ],
            "notes": list(self.notes),
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class GlueUp:
    """Every glue-up of a bench, in order.

    Attributes:
        bench, units: name, and ``in`` or ``mm``.
        glue: what it was worked out for.
        steps: in order.
        base_bag: force of vacuum bags on all laminations below the top together, N.
        notes: what holds for all of it.
        cautions: for people.
    """

    bench: str
    units: str
    glue: Glue
    steps: tuple[GlueStep, ...]
    base_bag: float
    notes: tuple[str, ...]
    cautions: tuple[str, ...]

    @property
    def grams(self) -> float:
        """All glue, g."""
        return math.fsum(s.grams for s in self.steps)

    @property
    def area(self) -> float:
        """All glue lines, mm²."""
        return math.fsum(s.area for s in self.steps)

    @property
    def most_clamps(self) -> int:
        """The most clamps that one glue-up takes at its lowest pressure."""
        return max((s.press.clamps[0] for s in self.steps), default=0)

    def as_dict(self) -> dict[str, Any]:
        """JSON data."""
        return {
            "bench": self.bench,
            "units": self.units,
            "glue": self.glue.as_dict(),
            "steps": [s.as_dict() for s in self.steps],
            "area_mm2": round(self.area, 3),
            "glue_g": round(self.grams, 2),
            "most_clamps_at_once": self.most_clamps,
            "bag_force_base_n": round(self.base_bag, 1),
            "bag_force_all_n": round(math.fsum(s.bag for s in self.steps), 1),
            "notes": list(self.notes),
            "cautions": list(self.cautions),
        }

    def rows(self) -> list[dict[str, str | float | int]]:
        """One row a glue line, for a table; lengths in mm, forces in N."""
        return [
            {
                "step": step.number,
                "assembly step": step.plan_step or "",
                "work": step.what,
                "line": line.name,
                "kind": line.kind,
                "members": " ".join(line.members),
                "area mm2": round(line.area, 1),
                "glue g": round(grams((line,), self.glue), 2),
                "closed by": line.closed_by,
                "force low N": round(press.force[0], 1),
                "force high N": round(press.force[1], 1),
                "clamps": press.clamps[0],
                "spread min": round(spread_minutes(line, self.glue), 2),
                "within open time": "yes" if step.within_open else "split it",
                "note": line.note,
            }
            for step in self.steps
            for line in step.lines
            for press in (press_on(line, self.glue),)
        ]
