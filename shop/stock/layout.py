"""A pattern on its board: where each piece lies, what is left over, and the cuts in order."""

from __future__ import annotations

import string
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from treenail.shop.stock.result import BoardPlan, Offcut, Placed, Step, StepKind
from treenail.shop.stock.zones import down
from treenail.timber.lumber import board_feet

if TYPE_CHECKING:
    from treenail.checks.shop_machines import Machines
    from treenail.shop.rack import Board
    from treenail.shop.stock.blocks import Block
    from treenail.shop.stock.options import StockOptions
    from treenail.shop.stock.patterns import Pattern, Section
    from treenail.shop.stock.zones import Rect

__all__ = ["lay_out"]

#: Leftovers narrower than this are dust and slivers, mm.
_SLIVER = 6.0


def lay_out(
    board: Board,
    rects: Sequence[Rect],
    pattern: Pattern,
    ready: Sequence[Iterator[Block]],
    options: StockOptions,
    machines: Machines | None,
) -> BoardPlan:
    """Place a pattern.

    Args:
        board: the board.
        rects: the clear rectangles of the pattern's layout.
        pattern: what is cut from each.
        ready: the blocks of each item that come from this board.
        options: kerf and offcuts.
        machines: for the jointer's width.
    """
    work = _Work(board, rects, ready, options, machines)
    for rect, sections in zip(rects, pattern.zones, strict=True):
        work.zone(rect, sections)
    pieces = tuple(sorted(work.pieces, key=lambda p: (p.x, p.y)))
    feet = board.board_feet
    rough = sum(board_feet(board.quarter.rough, p.width, p.length) for p in pieces)
    return BoardPlan(
        name=board.name,
        species=board.species.name,
        quarter=board.quarter.name,
        width=board.width,
        length=board.length,
        usable=board.usable,
        first="rip" if work.ripped else "crosscut",
        pieces=pieces,
        offcuts=tuple(sorted(work.offcuts, key=lambda o: (o.x, o.y))),
        steps=tuple(work.steps),
        defects=tuple((d.what, d.start, d.stop, d.low, d.high) for d in board.defects),
        board_feet=feet,
        used=rough / feet,
        price=board.price,
    )


class _Work:
    def __init__(
        self,
        board: Board,
        rects: Sequence[Rect],
        ready: Sequence[Iterator[Block]],
        options: StockOptions,
        machines: Machines | None,
    ) -> None:
        self.board, self.rects, self.ready, self.options = board, rects, ready, options
        self.jointer = machines.jointer if machines and machines.jointer.have else None
        self.pieces: list[Placed] = []
        self.offcuts: list[Offcut] = []
        self.steps: list[Step] = []
        self.sections = 0
        self.ripped = False

    def step(
        self,
        kind: StepKind,
        work: str,
        size: float,
        at: float,
        gives: str,
        line: tuple[float, float, float, float],
        note: str = "",
        across: tuple[float, float] = (0.0, 0.0),
    ) -> None:
        self.steps.append(
            Step(
                board=self.board.name,
                number=len(self.steps) + 1,
                kind=kind,
                work=work,
                size=size,
                at=at,
                gives=gives,
                note=note,
                low=across[0],
                high=across[1],
                line=line,
            )
        )

    def left_over(self, x: float, y: float, length: float, width: float) -> None:
        if length < _SLIVER or width < _SLIVER:
            return
        o = self.options
        keep = length >= o.keep_length - 1e-6 and width >= o.keep_width - 1e-6
        self.offcuts.append(Offcut(x=x, y=y, length=length, width=width, keep=keep))

    def zone(self, rect: Rect, sections: Sequence[Section]) -> None:
        """Cut one clear rectangle."""
        kerf = self.options.kerf
        name = self.board.name
        usable_width = self.board.width - self.options.edge_trim
        if not sections:
            self.left_over(rect.x, rect.y, rect.length, rect.width)
            return
        plain = len(self.rects) == 1 and abs(rect.width - usable_width) < 1e-6
        if not plain:
            across = (rect.y, rect.y + rect.width)
            self.sections += 1
            name = f"{name}{_letter(self.sections)}"
            line = (rect.x, rect.y, rect.x + rect.length, rect.y + rect.width)
            self.step("clear", self.board.name, rect.length, rect.x, name, line, across=across)
        x = rect.x
        for section in sections:
            filled = [[self._take(i) for i in strip.items] for strip in section.strips]
            lengths = [sum(b.length for b in row) + kerf * (len(row) - 1) for row in filled]
            whole = section.length == down(rect.length)
            length = rect.length if whole else max(lengths)
            wide = self.jointer is not None and rect.width > self.jointer.width + 1e-6
            note = "wider than the jointer: rip before facing" if wide else ""
            if whole:
                self.ripped = True
                label = name
            else:
                self.sections += 1
                label = f"{self.board.name}{_letter(self.sections)}"
                end = x + length
                line = (end, rect.y, end, rect.y + rect.width)
                self.step("crosscut", name, length, end, label, line, note)
            self._rip(rect, x, length, label, filled, note if whole else "")
            x += length + kerf
        self.left_over(x, rect.y, rect.x + rect.length - x, rect.width)

    def _take(self, item: int) -> Block:
        return next(self.ready[item])

    def _rip(
        self,
        rect: Rect,
        x: float,
        length: float,
        label: str,
        filled: Sequence[Sequence[Block]],
        note: str,
    ) -> None:
        kerf = self.options.kerf
        y = rect.y
        for number, row in enumerate(filled, start=1):
            width = max(b.width for b in row)
            alone = len(row) == 1 and len(row[0].pieces) == 1
            exact = alone and row[0].length > length - kerf
            strip = row[0].pieces[0].mark if exact else f"{label}.{number}"
            # The last strip is ripped too, unless the section ends with it.
            if y + width < rect.y + rect.width - 1e-6 or len(filled) > 1 or exact:
                line = (x, y + width, x + length, y + width)
                self.step("rip", label, width, y + width, strip, line, note)
            at = x
            for block in row:
                self._block(block, at, y, strip, width, cut=not exact)
                at += block.length + kerf
            self.left_over(at, y, x + length - at, width)
            y += width + kerf
        self.left_over(x, y, length, rect.y + rect.width - y)

    def _block(
        self, block: Block, x: float, y: float, strip: str, width: float, *, cut: bool
    ) -> None:
        """Cut a block off its strip, rip it to its width, and part the pieces in it."""
        part, kerf = block.part, self.options.kerf
        single = len(block.pieces) == 1
        name = block.pieces[0].mark if single else f"{strip} matched"
        if cut:
            note = "" if single else "these pieces stay together: mark them before parting"
            end = x + block.length
            self.step("part", strip, block.length, end, name, (end, y, end, y + width), note)
        spare = width - block.width - kerf
        if spare > 0.0 or block.across > 1:
            for r in range(1, block.across + 1):
                at = y + r * part.width + (r - 1) * kerf
                gives = name if block.across == 1 else f"{name} row {r}"
                self.step("narrow", name, part.width, at, gives, (x, at, x + block.length, at))
        self.left_over(x, y + block.width + kerf, block.length, spare)
        for k, piece in enumerate(block.pieces):
            row, column = divmod(k, block.along)
            px = x + column * (part.length + kerf)
            py = y + row * (part.width + kerf)
            if not single:
                work = name if block.across == 1 else f"{name} row {row + 1}"
                end = px + part.length
                line = (end, py, end, py + part.width)
                self.step("last", work, part.length, end, piece.mark, line)
            self.pieces.append(
                Placed(
                    mark=piece.mark,
                    part=part.mark,
                    role=part.role,
                    members=piece.members,
                    place=piece.place,
                    x=px,
                    y=py,
                    length=part.length,
                    width=part.width,
                )
            )


def _letter(number: int) -> str:
    return string.ascii_lowercase[(number - 1) % 26] * ((number - 1) // 26 + 1)
