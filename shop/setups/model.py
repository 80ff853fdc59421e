"""Machine set-ups as data: what each setting is, what it is measured from, what is cut with it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, TypeAlias

from treenail.timber.frames import snap

__all__ = [
    "CutAt",
    "Option",
    "Place",
    "Say",
    "Setting",
    "Setup",
    "SetupPlan",
    "Sheet",
    "Task",
    "fine",
    "key_of",
]

#: Writes a length in mm in the bench's units.
Say: TypeAlias = Callable[[float], str]
#: Settings closer than this are one and the same, mm.
ONE_SETTING = 1e-3


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """One thing that is set on a machine.

    Attributes:
        name: ``fence``, ``blade height`` ...
        value: mm; None where words say it.
        text: words beside or instead of the number.
        measured_from: from where to where the number is measured.
    """

    name: str
    value: float | None = None
    text: str = ""
    measured_from: str = ""

    @property
    def key(self) -> tuple[str, float | None, str]:
        """What makes two settings the same to the machine."""
        value = None if self.value is None else round(self.value / ONE_SETTING) * ONE_SETTING
        return (self.name, None if value is None else snap(value), self.text)

    def shown(self, say: Say) -> str:
        """The value in words."""
        if self.value is None:
            return self.text
        return f"{say(self.value)}{', ' + self.text if self.text else ''}"


@dataclass(frozen=True, slots=True, kw_only=True)
class CutAt:
    """One cut of one piece.

    Attributes:
        member, joint, purpose, face: which.
        how: how the piece lies: which face up or down, which against the fence, which end left.
        passes: over the tool, at this setting.
    """

    member: str
    joint: str
    purpose: str
    face: str
    how: str
    passes: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Where along the piece: one stop, or one mark.

    Attributes:
        stop: distance along the piece, mm; None where the machine needs none.
        measured_from: from where to where.
        marks: further lengths, each with what it is, mm.
        order: the plunges' or holes' own order at this place, in words.
        cuts: made here.
    """

    stop: float | None
    measured_from: str
    cuts: tuple[CutAt, ...]
    marks: tuple[tuple[str, float], ...] = ()
    order: str = ""

    @property
    def parts(self) -> tuple[str, ...]:
        """Pieces, each once."""
        return tuple(dict.fromkeys(c.member for c in self.cuts))


@dataclass(frozen=True, slots=True, kw_only=True)
class Setup:
    """One setting of one machine, and everything that is cut with it.

    Attributes:
        number: from 1, in the order of the sheet.
        machine: its name.
        work: what is cut, in shop words.
        settings: values, each with what it is measured from.
        places: where along the pieces.
        test_cut: how to prove the setting before the parts.
        order: steps in words.
        remarks: what is special about it.
    """

    number: int
    machine: str
    work: str
    settings: tuple[Setting, ...]
    places: tuple[Place, ...]
    test_cut: str = ""
    order: tuple[str, ...] = ()
    remarks: tuple[str, ...] = ()

    @property
    def cuts(self) -> tuple[CutAt, ...]:
        """All cuts made at this setting."""
        return tuple(c for p in self.places for c in p.cuts)

    @property
    def parts(self) -> tuple[str, ...]:
        """Pieces, each once."""
        return tuple(dict.fromkeys(c.member for c in self.cuts))

    def setting(self, name: str) -> Setting | None:
        """The setting of that name."""
        return next((s for s in self.settings if s.name == name), None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """One machine's sheet.

    Attributes:
        machine: its name.
        setups: in order.
        part_by_part: set-ups if each piece were finished on the machine before the next one,
            each piece's own cuts already in the best order.
        stops: settings of the stop in this order.
        stops_part_by_part: the same part by part.
        fewest: no order and choice of tools needs fewer set-ups (proved, not only tried).
        cautions: for this machine; its manual has the last word.
        notes: what holds for the whole sheet.
    """

    machine: str
    setups: tuple[Setup, ...]
    part_by_part: int
    stops: int
    stops_part_by_part: int
    fewest: bool
    cautions: tuple[str, ...]
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class SetupPlan:
    """All sheets, in the order in which the shop uses the machines.

    Attributes:
        bench: its name.
        units: ``in`` or ``mm``.
        sheets: one a machine.
        not_made: cuts that no machine of the shop makes, with the reasons.
    """

    bench: str
    units: str
    sheets: tuple[Sheet, ...]
    not_made: tuple[str, ...]

    @property
    def setups(self) -> int:
        """Set-ups on all machines."""
        return sum(len(s.setups) for s in self.sheets)

    @property
    def part_by_part(self) -> int:
        """Set-ups on all machines, part by part."""
        return sum(s.part_by_part for s in self.sheets)

    def as_dict(self) -> dict[str, Any]:
        """JSON data."""
        return {
            "bench": self.bench,
            "units": self.units,
            "setups": self.setups,
            "setups_part_by_part": self.part_by_part,
            "sheets": [_sheet_data(s) for s in self.sheets],
            "not_made": list(self.not_made),
        }

    def rows(self) -> list[dict[str, str | float | int]]:
        """One row a piece and place, for a table; lengths in mm."""
        found: list[dict[str, str | float | int]] = []
        for sheet in self.sheets:
            for setup in sheet.setups:
                settings = "; ".join(
                    f"{s.name}: {round(s.value, 3) if s.value is not None else s.text}"
                    for s in setup.settings
                )
                found.extend(
                    {
                        "machine": sheet.machine,
                        "set-up": setup.number,
                        "work": setup.work,
                        "settings mm": settings,
                        "stop mm": "" if place.stop is None else round(place.stop, 3),
                        "stop from": place.measured_from,
                        "part": cut.member,
                        "joint": cut.joint,
                        "face": cut.face,
                        "piece lies": cut.how,
                        "passes": cut.passes,
                    }
                    for place in setup.places
                    for cut in place.cuts
                )
        return found


def _sheet_data(sheet: Sheet) -> dict[str, Any]:
    return {
        "machine": sheet.machine,
        "setups": [_setup_data(s) for s in sheet.setups],
        "count": len(sheet.setups),
        "count_part_by_part": sheet.part_by_part,
        "proved_fewest": sheet.fewest,
        "stops": sheet.stops,
        "stops_part_by_part": sheet.stops_part_by_part,
        "cautions": list(sheet.cautions),
        "notes": list(sheet.notes),
    }


def _setup_data(setup: Setup) -> dict[str, Any]:
    return {
        "number": setup.number,
        "work": setup.work,
        "settings": [
            {
                "name": s.name,
                "mm": None if s.value is None else snap(s.value),
                "text": s.text,
                "measured_from": s.measured_from,
            }
            for s in setup.settings
        ],
        "places": [
            {
                "stop_mm": None if p.stop is None else snap(p.stop),
                "measured_from": p.measured_from,
                "marks_mm": {name: snap(value) for name, value in p.marks},
                "order": p.order,
                "cuts": [
                    {
                        "member": c.member,
                        "joint": c.joint,
                        "purpose": c.purpose,
                        "face": c.face,
                        "lies": c.how,
                        "passes": c.passes,
                    }
                    for c in p.cuts
                ],
            }
            for p in setup.places
        ],
        "parts": list(setup.parts),
        "test_cut": setup.test_cut,
        "order": list(setup.order),
        "remarks": list(setup.remarks),
    }


# --- before grouping


@dataclass(frozen=True, slots=True, kw_only=True)
class Option:
    """One way to set a machine for a cut.

    Attributes:
        settings: of the machine.
        cut: the cut as it is made this way.
        stop, stop_from, marks, order: as in :class:`Place`.
        cost: what speaks against it beside set-ups (passes, a face that is no reference).
    """

    settings: tuple[Setting, ...]
    cut: CutAt
    stop: float | None = None
    stop_from: str = ""
    marks: tuple[tuple[str, float], ...] = ()
    order: str = ""
    cost: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """One cut with every way to set the machine for it.

    Attributes:
        options: at least one.
        stage: lower ones are cut first (a counterbore before its bolt's hole).
        work: what it is, for the set-up's heading.
        test_cut, steps, remarks: for the set-up's sheet.
    """

    options: tuple[Option, ...]
    work: str
    stage: int = 0
    test_cut: str = ""
    steps: tuple[str, ...] = ()
    remarks: tuple[str, ...] = ()

    @property
    def member(self) -> str:
        """The piece."""
        return self.options[0].cut.member


def key_of(task: Task, option: Option) -> tuple[Any, ...]:
    """What makes two cuts one set-up: stage, work's kind and all settings."""
    return (task.stage, *(s.key for s in option.settings))


def fine(units: str) -> Callable[[float], str]:
    """Writes small lengths: thousandths of an inch, or hundredths of a mm."""
    if units == "in":
        return lambda mm: f"{mm / 25.4:.3f} in"
    return lambda mm: f"{mm:.2f} mm"
