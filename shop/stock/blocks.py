"""Rough pieces as the plan places them: one by one, or several that stay together in a block."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from treenail.timber.errors import SpecError

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from treenail.shop.rough_parts import Piece, RoughPart

__all__ = ["Block", "blocks_of", "check_match"]


@dataclass(frozen=True, slots=True)
class Block:
    """Pieces of one part that come out of a board side by side or end to end.

    Attributes:
        part: what they are.
        pieces: row by row: along the board first.
        along, across: how many in each direction.
        length, width: of the block, with a kerf between pieces, mm.
        kerf: mm.
    """

    part: RoughPart
    pieces: tuple[Piece, ...]
    along: int
    across: int
    kerf: float

    @property
    def length(self) -> float:
        """Along the board, mm."""
        return self.along * self.part.length + (self.along - 1) * self.kerf

    @property
    def width(self) -> float:
        """Across the board, mm."""
        return self.across * self.part.width + (self.across - 1) * self.kerf

    @property
    def family(self) -> str:
        """Pieces of one family go on few boards: those of one member."""
        members = self.pieces[0].members
        return f"{self.part.mark}/{members[0] if members else ''}"


def check_match(parts: Iterable[RoughPart], match: Sequence[str]) -> None:
    """Refuse to match what isn't there (SpecError)."""
    parts = tuple(parts)
    names = {n for p in parts for n in (p.role, *p.members)}
    for name in match:
        if name not in names:
            roles = ", ".join(dict.fromkeys(p.role for p in parts))
            raise SpecError(
                f"there is no {name[:60]!r} to match",
                field="match",
                allowed=f"a member's name, or {roles}",
            )


def blocks_of(
    part: RoughPart,
    match: Sequence[str],
    rooms: Sequence[tuple[float, float]],
    kerf: float,
) -> tuple[list[Block], list[str]]:
    """A part's pieces in blocks, and notes on what couldn't be kept together.

    Args:
        part: the part.
        match: roles and members whose pieces come out of one board.
        rooms: length and width of every clear rectangle on the rack, mm.
        kerf: mm.
    """
    pieces = list(part.pieces())
    notes: list[str] = []
    if part.role in match:
        whole = _fit(part, pieces, rooms, kerf)
        if whole:
            return [whole], notes
        notes.append(
            f"{part.mark}: no board takes all {len(pieces)} pieces for {part.role}: those of"
            " each member are kept together where a board takes them"
        )
    done: list[Block] = []
    for members, group in itertools.groupby(pieces, key=lambda p: p.members):
        found = list(group)
        asked = part.role in match or any(m in match for m in members)
        block = _fit(part, found, rooms, kerf) if asked and members and len(found) > 1 else None
        if block:
            done.append(block)
            continue
        if asked and members and len(found) > 1:
            notes.append(f"{part.mark}: no board takes all pieces of {members[0]}")
        done += [Block(part, (p,), 1, 1, kerf) for p in found]
    return done, notes


def _fit(
    part: RoughPart,
    pieces: Sequence[Piece],
    rooms: Sequence[tuple[float, float]],
    kerf: float,
) -> Block | None:
    """Pieces in as few rows as a board takes, end to end in each, so that the figure runs on."""
    for across in range(1, len(pieces) + 1):
        along = math.ceil(len(pieces) / across)
        block = Block(part, tuple(pieces), along, across, kerf)
        if any(a >= block.length and b >= block.width for a, b in rooms):
            return block
    return None
