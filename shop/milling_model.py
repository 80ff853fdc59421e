"""A milling plan as data: steps, the pieces that go together, target sizes, checks with limits."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from treenail.timber.frames import snap

__all__ = ["Batch", "Check", "MillStep", "MillingPlan"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """One thing to measure before the next step.

    Attributes:
        name: ``flat``, ``square``, ``wind``, ``thickness`` ...
        limit: most that it may be out, mm.
        over: on what length or between which points.
        how: with what.
        source: where the limit comes from.
    """

    name: str
    limit: float
    over: str
    how: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Batch:
    """Pieces that are alike in a step.

    Attributes:
        members: the parts of the bench that they become.
        role: in the trade's words.
        mark: the letter of their rough part, as on the list of rough parts.
        count: pieces handled in this step.
        machine: its name, or ``hand tools``.
        length, width, thickness: when the step is done, mm; None where it is not brought to size.
            Width and thickness are the piece's wide and thin side, of a lamination the side
            across its plies' stack and the stack itself.
        note: what is special.
    """

    members: tuple[str, ...]
    role: str
    mark: str
    count: int
    machine: str
    length: float | None = None
    width: float | None = None
    thickness: float | None = None
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class MillStep:
    """One step.

    Attributes:
        number: from 1.
        phase: ``break down``, ``flatten``, ``square``, ``thickness``, ``rest``, ``glue back``,
            ``width``, ``laminate``, ``re-mill`` or ``length``.
        what: in shop words.
        batches: the pieces.
        together: why these go together, or at which one setting; may be empty.
        checks: before the next step.
        cautions: of the machines used.
    """

    number: int
    phase: str
    what: str
    batches: tuple[Batch, ...]
    together: str = ""
    checks: tuple[Check, ...] = ()
    cautions: tuple[str, ...] = ()

    @property
    def pieces(self) -> int:
        """Pieces handled."""
        return sum(b.count for b in self.batches)


@dataclass(frozen=True, slots=True, kw_only=True)
class MillingPlan:
    """How a bench's stock becomes its squared-up parts.

    Attributes:
        bench, units: its name, and ``in`` or ``mm``.
        steps: in order.
        notes: what holds throughout.
    """

    bench: str
    units: str
    steps: tuple[MillStep, ...]
    notes: tuple[str, ...] = ()

    def steps_of(self, member: str) -> tuple[tuple[MillStep, Batch], ...]:
        """The way of one part through the plan."""
        return tuple((s, b) for s in self.steps for b in s.batches if member in b.members)

    def as_dict(self) -> dict[str, Any]:
        """JSON data; lengths in mm."""
        return {
            "bench": self.bench,
            "units": self.units,
            "steps": [_step_data(s) for s in self.steps],
            "notes": list(self.notes),
        }

    def rows(self) -> list[dict[str, str | float | int]]:
        """One row a batch, for a table; lengths in mm."""
        return [
            {
                "step": s.number,
                "phase": s.phase,
                "what": s.what,
                "mark": b.mark,
                "part": b.role,
                "pieces": b.count,
                "machine": b.machine,
                "length mm": "" if b.length is None else round(b.length, 2),
                "width mm": "" if b.width is None else round(b.width, 2),
                "thickness mm": "" if b.thickness is None else round(b.thickness, 2),
                "note": b.note,
                "members": " ".join(b.members),
            }
            for s in self.steps
            for b in s.batches
        ]


def _size(value: float | None) -> float | None:
    return None if value is None else snap(value)


def _step_data(s: MillStep) -> dict[str, Any]:
    return {
        "number": s.number,
        "phase": s.phase,
        "what": s.what,
        "together": s.together,
        "batches": [
            {
                "members": list(b.members),
                "role": b.role,
                "mark": b.mark,
                "count": b.count,
                "machine": b.machine,
                "length_mm": _size(b.length),
                "width_mm": _size(b.width),
                "thickness_mm": _size(b.thickness),
                "note": b.note,
            }
            for b in s.batches
        ],
        "checks": [
            {
                "name": c.name,
                "limit_mm": snap(c.limit),
                "over": c.over,
                "how": c.how,
                "source": c.source,
            }
            for c in s.checks
        ],
        "cautions": list(s.cautions),
    }
