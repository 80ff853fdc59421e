"""Rough parts: what to saw out of rough boards for each piece of a bench, and why that size.

The cut list shows the same sizes (:func:`rough_size`). With a shop's machines, pieces wider than
the jointer are ripped and glued back, and pieces too short for planer and jointer are milled end
to end in one longer blank. All sizes in mm.
"""

from __future__ import annotations

import itertools
import math
import string
from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass, field
from typing import TYPE_CHECKING, Any, Literal

from treenail.joints.shaped_cuts import WedgeTaper
from treenail.shop.allowances import Allowances, usual
from treenail.timber.errors import SpecError
from treenail.timber.frames import snap
from treenail.timber.lumber import Quarter, board_feet, rough_quarter_for

if TYPE_CHECKING:
    from treenail.checks.shop_machines import Machines
    from treenail.generators.bench import Bench
    from treenail.timber.member import Member

__all__ = [
    "MAX_SPARE",
    "Piece",
    "RoughPart",
    "RoughSize",
    "rough_parts",
    "rough_size",
    "same_pieces",
    "thin_end",
]

MAX_SPARE = 100
"""Most spare pieces of one part."""

Wide = Literal["rip", "whole"]


@dataclass(frozen=True, slots=True)
class RoughSize:
    """One board before glue-up: rough length and width, planed thickness, and its stock.

    ``on_edge``: the board's planed thickness becomes part of the piece's width, as in a top of
    strips on edge. ``quarter`` is None where no stock is thick enough.
    """

    length: float
    width: float
    thickness: float
    quarter: Quarter | None
    on_edge: bool

    @property
    def board_feet(self) -> float:
        """Of rough stock in one board."""
        stock = self.quarter.rough if self.quarter else self.thickness
        return board_feet(stock, self.width, self.length)


def _over(member: Member, more: Allowances) -> float:
    """What a rough board is wider than what becomes of it."""
    return more.peg if member.round_section else more.width


def rough_size(member: Member, allowances: Allowances | None = None) -> RoughSize:
    """The rough size of one of a member's boards."""
    more = allowances or Allowances()
    stacked, across = (
        (member.thickness, member.width)
        if member.ply_axis == "thickness"
        else (member.width, member.thickness)
    )
    if member.plies == 1:
        # A board lies in the rack on its wide face, whichever way it is used in the piece.
        stacked, across = sorted((member.width, member.thickness))
    if member.round_section:
        thickness = member.width + more.peg
    else:
        planned = stacked / member.plies + (more.ply if member.plies > 1 else 0.0)
        thickness = member.ply_planed or planned
    width = across + _over(member, more)
    return RoughSize(
        length=snap(member.length + more.length),
        width=snap(width),
        thickness=snap(thickness),
        quarter=rough_quarter_for(thickness, cautious=False),
        on_edge=member.plies > 1 and stacked > across,
    )


@dataclass(frozen=True, slots=True)
class Piece:
    """One rough piece to saw.

    Attributes:
        mark: what is written on it: ``C3``.
        members: of the bench, that it becomes (part of); several in a blank of short ones, none
            for a spare.
        place: which ply, strip or part across it is, from 1; 0 where there is only one.
    """

    mark: str
    members: tuple[str, ...]
    place: int


@dataclass(frozen=True, slots=True, kw_only=True)
class RoughPart:
    """Rough pieces of one size.

    Attributes:
        mark: a letter.
        role: in the trade's words.
        species, species_key: the wood.
        members: of the bench that are made from them.
        plies: boards glued up to make each member.
        on_edge: whether those stand on edge as strips.
        across: parts that each board is ripped into, to pass the jointer, and glued back from.
        gang: members that are milled end to end in each blank; 1: each on its own.
        spare: members to spare.
        length, width: rough, mm.
        alone: length of a rough piece for one member, were the machines to take it, mm.
        net_width: what becomes of a board's width (of all its parts), finished, mm.
        thickness: to plane to before glue-up (or for good), mm.
        quarter: rough stock (``8/4``); empty if none is thick enough.
        stock: its nominal thickness, mm.
        yields, yields_least: what that stock planes to if it is flat, and if it is not, mm.
        finished: length, width, thickness of the member, mm.
        net, rough: board feet, spares included, finished and rough.
        notes: what to watch.
    """

    mark: str
    role: str
    species: str
    species_key: str
    members: tuple[str, ...]
    plies: int = 1
    on_edge: bool = False
    across: int = 1
    gang: int = 1
    spare: int = 0
    length: float
    alone: float
    net_width: float
    width: float
    thickness: float
    quarter: str
    stock: float
    yields: float
    yields_least: float
    finished: tuple[float, float, float]
    net: float
    rough: float
    notes: tuple[str, ...] = field(default=())

    @property
    def wanted(self) -> int:
        """Members with those to spare."""
        return len(self.members) + self.spare

    @property
    def blanks(self) -> int:
        """Blanks to mill, each of one member or of a gang."""
        return math.ceil(self.wanted / self.gang)

    @property
    def board_width(self) -> float:
        """Of a board, rough, as if it had not been ripped for the jointer, mm."""
        return self.net_width + self.width - self.net_width / self.across

    @property
    def count(self) -> int:
        """Rough pieces to saw."""
        return self.blanks * self.plies * self.across

    def pieces(self) -> Iterator[Piece]:
        """Every piece with its mark."""
        number = itertools.count(1)
        each = self.plies * self.across
        names = [*self.members, *("" for _ in range(self.spare))]
        for start in range(0, len(names), self.gang):
            named = tuple(n for n in names[start : start + self.gang] if n)
            for place in range(1, each + 1):
                yield Piece(f"{self.mark}{next(number)}", named, place if each > 1 else 0)

    def as_dict(self) -> dict[str, Any]:
        """Plain data for JSON."""
        data = asdict(self)
        data["count"] = self.count
        return data


def thin_end(bench: Bench, name: str) -> float | None:
    """A wedge's width at its thin end, mm; None for what is no wedge."""
    taper = next((c for c in bench.cuts[name] if isinstance(c, WedgeTaper)), None)
    return None if taper is None else taper.thin(bench.by_name[name])


def same_pieces(bench: Bench) -> tuple[tuple[Member, ...], ...]:
    """Members by role, wood and finished size, in the order in which the bench names them."""
    groups: dict[tuple[object, ...], list[Member]] = {}
    for m in bench.members:
        across = tuple(sorted((snap(m.width), snap(m.thickness))))
        kept = (thin_end(bench, m.name), m.ply_planed)
        key = (m.role, m.species.key, snap(m.length), across, m.plies, *kept)
        groups.setdefault(key, []).append(m)
    return tuple(tuple(members) for members in groups.values())


def letters(number: int) -> str:
    """A, B ... Z, AA, AB ... for 0, 1 ..."""
    text = ""
    number += 1
    while number:
        number, rest = divmod(number - 1, 26)
        text = string.ascii_uppercase[rest] + text
    return text


def rough_parts(
    bench: Bench,
    machines: Machines | None = None,
    *,
    allowances: Allowances | None = None,
    spares: Mapping[str, int] | None = None,
    wide: Wide = "rip",
) -> tuple[RoughPart, ...]:
    """Every rough piece of a bench.

    Args:
        bench: the bench.
        machines: of the shop; without them, pieces are neither ganged nor ripped for the jointer.
        allowances: by default those for the machines.
        spares: how many members to spare, by role or by a member's name.
        wide: what becomes of pieces wider than the jointer: ``rip`` them and glue them back, or
            leave them ``whole`` for a wider machine or for hand planes.

    Raises :class:`SpecError` for spares of what isn't there.
    """
    more = allowances or (Allowances.of(machines, bench.units) if machines else usual(bench.units))
    groups = same_pieces(bench)
    wanted = _spares(groups, spares or {})
    return tuple(
        _part(letters(i), members, machines, more, wanted[i], wide)
        for i, members in enumerate(groups)
    )


def _spares(groups: tuple[tuple[Member, ...], ...], spares: Mapping[str, int]) -> list[int]:
    found = [0] * len(groups)
    known = sorted({m.role for g in groups for m in g})
    for name, many in spares.items():
        field_name = f"spares.{name}"
        if type(many) is not int or not 0 <= many <= MAX_SPARE:  # True is an int too
            raise SpecError(
                f"{many!r} is no count of spare pieces",
                field=field_name,
                allowed=f"0 to {MAX_SPARE}",
            )
        hits = [i for i, g in enumerate(groups) if any(name in (m.role, m.name) for m in g)]
        if not hits:
            raise SpecError(
                f"the bench has no {str(name)[:60]!r}",
                field=field_name,
                allowed=f"a member's name, or {', '.join(known)}",
            )
        for i in hits:
            found[i] += many
    return found


def _part(
    mark: str,
    members: tuple[Member, ...],
    machines: Machines | None,
    more: Allowances,
    spare: int,
    wide: Wide,
) -> RoughPart:
    first = members[0]
    size = rough_size(first, more)
    notes: list[str] = []
    if first.plies > 1:
        how = "strips on edge" if size.on_edge else "plies"
        notes.append(f"{first.plies} {how} a piece, each planed a little over its share")
    length, width, across, gang = size.length, size.width, 1, 1
    if machines:
        width, across = _for_jointer(size, machines, more, wide, notes)
        length, gang = _for_length(
            first.length, size.length, len(members) + spare, machines, more, notes
        )
        if machines.planer.have and size.thickness < machines.planer.thinnest:
            notes.append("thinner than the planer goes: on a carrier board, or by hand")
    quarter = size.quarter
    if quarter is None:
        notes.append("no rough stock is thick enough: laminate it")
    elif size.thickness > quarter.flattened + 1e-6:
        notes.append("pick flat planks: a cupped or twisted one does not yield this thickness")
    stock = quarter.rough if quarter else size.thickness
    blanks = math.ceil((len(members) + spare) / gang)
    count = blanks * first.plies * across
    return RoughPart(
        mark=mark,
        role=first.role,
        species=first.species.name,
        species_key=first.species.key,
        members=tuple(m.name for m in members),
        plies=first.plies,
        on_edge=size.on_edge,
        across=across,
        gang=gang,
        spare=spare,
        length=length,
        alone=size.length,
        net_width=snap(size.width - _over(first, more)),
        width=width,
        thickness=size.thickness,
        quarter=quarter.name if quarter else "",
        stock=stock,
        yields=quarter.surfaced if quarter else 0.0,
        yields_least=quarter.flattened if quarter else 0.0,
        finished=first.size,
        net=(len(members) + spare) * board_feet(first.thickness, first.width, first.length),
        rough=count * board_feet(stock, width, length),
        notes=tuple(notes),
    )


def _for_jointer(
    size: RoughSize, machines: Machines, more: Allowances, wide: Wide, notes: list[str]
) -> tuple[float, int]:
    """Width and number of the parts that pass the jointer."""
    jointer = machines.jointer
    if not jointer.have or size.width <= jointer.width + 1e-6:
        return size.width, 1
    net = size.width - more.width
    if wide == "whole" or jointer.width <= 2.0 * more.width:
        notes.append("wider than the jointer: flatten one face by hand or on a planer sled")
        return size.width, 1
    parts = math.ceil(net / (jointer.width - more.width) - 1e-9)
    notes.append(
        f"wider than the jointer: rip into {parts} before facing, joint each, and glue back"
    )
    return snap(net / parts + more.width), parts


def _for_length(
    net: float, length: float, count: int, machines: Machines, more: Allowances, notes: list[str]
) -> tuple[float, int]:
    """Length of a blank, and the short pieces that are milled in it."""
    planer, jointer = machines.planer, machines.jointer
    shortest = max(
        planer.shortest if planer.have else 0.0, jointer.shortest if jointer.have else 0.0
    )
    if length >= shortest - 1e-6:
        return length, 1
    share = net + more.parting
    gang = max(1, math.ceil((shortest - more.length + more.parting) / share - 1e-9))
    gang = min(gang, count)
    blank = max(shortest, gang * share - more.parting + more.length)
    blank = math.ceil(blank / more.round_up - 1e-6) * more.round_up
    notes.append(
        f"too short for the {'planer' if planer.have else 'jointer'}: mill {gang} end to end in"
        " one blank, and part them afterwards"
        if gang > 1
        else "too short for planer or jointer: mill it in a longer blank, and cut it off afterwards"
    )
    return snap(blank), gang
