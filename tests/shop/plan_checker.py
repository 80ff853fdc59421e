"""Whether a stock plan can be sawn: checked from rectangles alone, knowing nothing of patterns."""

from collections.abc import Sequence

from treenail.shop.rack import Board
from treenail.shop.rough_parts import RoughPart
from treenail.shop.stock.options import StockOptions
from treenail.shop.stock.result import BoardPlan, Placed, StockPlan
from treenail.shop.stock.zones import Rect

TINY = 1e-6


def check_plan(
    plan: StockPlan, parts: Sequence[RoughPart], rack: Sequence[Board], options: StockOptions
) -> None:
    """Every piece once, on its own wood, clear of defects, and a saw can reach each."""
    wanted = {p.mark: part for part in parts for p in part.pieces()}
    placed = [p.mark for b in plan.boards for p in b.pieces]
    lacking = [m for row in plan.missing for m in row.marks]
    assert sorted(placed + lacking) == sorted(wanted)
    boards = {b.name: b for b in rack}
    assert len({b.name for b in plan.boards}) == len(plan.boards)
    assert sorted([b.name for b in plan.boards] + list(plan.untouched)) == sorted(boards)
    for b in plan.boards:
        board = boards[b.name]
        assert b.pieces
        for p in b.pieces:
            part = wanted[p.mark]
            assert (part.species_key, part.quarter) == (board.species.key, board.quarter.name)
            assert abs(p.length - part.length) < TINY  # never turned: the grain runs along
            assert abs(p.width - part.width) < TINY
        check_board(b, board, options)
        check_cuts(b, options.kerf)


def check_board(plan: BoardPlan, board: Board, options: StockOptions) -> None:
    trim = options.end_trim if board.usable_length is None else 0.0
    for p in plan.pieces:
        assert p.x >= trim - TINY
        assert p.x + p.length <= board.usable - trim + TINY
        assert p.y >= options.edge_trim - TINY
        assert p.y + p.width <= board.width + TINY
        for d in board.defects:
            apart = (
                p.x + p.length <= d.start + TINY
                or p.x >= d.stop - TINY
                or p.y + p.width <= d.low + TINY
                or p.y >= d.high - TINY
            )
            assert apart, f"{p.mark} has the {d.what}"
    assert sawable(plan.pieces, options.kerf), f"no saw can part {board.name}"


def check_cuts(plan: BoardPlan, kerf: float) -> None:
    """Every piece's edges lie on lines that the steps say are cut, on what an earlier one gave."""
    there = {plan.name}
    for step in plan.steps:
        assert step.work in there, f"{step.work} is cut before it is there"
        there.add(step.gives)
        x1, y1, x2, y2 = step.line
        assert 0 <= x1 <= x2 <= plan.length + TINY
        assert 0 <= y1 <= y2 <= plan.width + TINY
        if step.kind != "clear":
            assert abs(step.at - (y1 if step.kind in ("rip", "narrow") else x1)) < TINY
    for p in plan.pieces:
        last = next((s for s in plan.steps if s.gives == p.mark), None)
        if last is None:  # the section's or zone's own end is its edge
            continue
        x1, y1, x2, y2 = last.line
        if last.kind in ("rip", "narrow"):
            assert x1 <= p.x + TINY
            assert x2 >= p.x + p.length - TINY
            assert -TINY <= y1 - (p.y + p.width) < kerf + TINY
        elif last.kind in ("part", "last"):
            assert abs(x1 - (p.x + p.length)) < TINY
            assert y1 <= p.y + TINY
            assert y2 >= p.y + p.width - TINY


def sawable(pieces: Sequence[Placed | Rect], kerf: float) -> bool:
    """Whether straight cuts right through, each as wide as the kerf, part all pieces."""
    if len(pieces) < 2:
        return True
    for spans in (
        [(p.x, p.x + p.length, p) for p in pieces],
        [(p.y, p.y + p.width, p) for p in pieces],
    ):
        spans.sort(key=lambda s: s[0])
        reach = spans[0][1]
        for k, (start, stop, _) in enumerate(spans):
            if k and start >= reach + kerf - TINY:
                parts = [p for _, _, p in spans]
                return sawable(parts[:k], kerf) and sawable(parts[k:], kerf)
            reach = max(reach, stop)
    return False
