"""The stock plan: from rough parts and a rack to every board's cuts. Lengths in mm."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from treenail.shop.buying import buying_list
from treenail.shop.stock.abreast import solve_abreast
from treenail.shop.stock.blocks import Block, blocks_of, check_match
from treenail.shop.stock.layout import lay_out
from treenail.shop.stock.options import StockOptions
from treenail.shop.stock.patterns import Item, Problem, Stock
from treenail.shop.stock.result import BoardPlan, Group, Missing, StockPlan
from treenail.shop.stock.search import Solution
from treenail.shop.stock.tidy import deal
from treenail.shop.stock.zones import STEP, Rect, clear_layouts, down, up
from treenail.timber.errors import SpecError
from treenail.timber.lumber import MM3_PER_BOARD_FOOT, board_feet, quarter

if TYPE_CHECKING:
    from treenail.checks.shop_machines import Machines
    from treenail.shop.rack import Board
    from treenail.shop.rough_parts import RoughPart

__all__ = ["PlanProgress", "plan_stock"]

PlanProgress = Callable[[str, float, float, float], None]
"""Called with what is done, seconds, the cost so far and its bound (board feet, or money)."""

_COIN = 100


@dataclass(frozen=True, slots=True)
class _Supply:
    """A board with the rectangles of each way to clear it."""

    board: Board
    layouts: tuple[tuple[Rect, ...], ...]


def plan_stock(
    parts: Iterable[RoughPart],
    rack: Iterable[Board],
    options: StockOptions | None = None,
    *,
    machines: Machines | None = None,
    progress: PlanProgress | None = None,
) -> StockPlan:
    """Plan every rough piece on the rack.

    Args:
        parts: rough parts.
        rack: boards.
        options: the person's choices.
        machines: for notes on what is too wide for the jointer.
        progress: told whenever something is found.

    Raises :class:`SpecError` where the options don't fit the parts or the rack.
    """
    options = options or StockOptions()
    parts, rack = tuple(parts), tuple(rack)
    check_match(parts, options.match)
    groups: dict[tuple[str, str], list[RoughPart]] = {}
    notes: list[str] = []
    missing: list[Missing] = []
    for part in parts:
        if part.quarter:
            groups.setdefault((part.species_key, part.quarter), []).append(part)
        else:
            marks = tuple(p.mark for p in part.pieces())
            missing.append(_missing(part, marks, "no rough stock is thick enough: laminate it"))
    total = sum(p.count for members in groups.values() for p in members)
    left = options.time_limit
    boards: list[BoardPlan] = []
    done: list[Group] = []
    for (species, name), members in groups.items():
        supply = [b for b in rack if b.species.key == species and b.quarter.name == name]
        many = sum(p.count for p in members)
        share = left * many / total if total else left
        job = _Job(members, supply, options, machines, progress, share, bool(rack))
        job.run()
        total -= many
        left = max(0.1, left - job.seconds)
        boards += job.boards
        missing += job.missing
        notes += job.notes
        done.append(job.group())
    used = {b.name for b in boards}
    return StockPlan(
        boards=tuple(boards),
        untouched=tuple(b.name for b in rack if b.name not in used),
        groups=tuple(done),
        missing=tuple(missing),
        buying=buying_list(missing, options),
        notes=tuple(notes),
        minimise=options.minimise,
        keep_length=options.keep_length,
        keep_width=options.keep_width,
        waste=options.waste,
    )


def _missing(part: RoughPart, marks: Sequence[str], why: str) -> Missing:
    stock = part.stock
    return Missing(
        part=part.mark,
        role=part.role,
        species=part.species,
        quarter=part.quarter,
        marks=tuple(marks),
        length=part.length,
        width=part.width,
        board_feet=len(marks) * board_feet(stock, part.width, part.length),
        why=why,
    )


class _Job:
    """One wood and thickness."""

    def __init__(
        self,
        parts: Sequence[RoughPart],
        boards: Sequence[Board],
        options: StockOptions,
        machines: Machines | None,
        progress: PlanProgress | None,
        time_limit: float,
        any_rack: bool,
    ) -> None:
        self.parts, self.options, self.machines = parts, options, machines
        self.progress, self.time_limit = progress, time_limit
        self.what = f"{parts[0].quarter} {parts[0].species}"
        shortest = min(p.length for p in parts)
        narrowest = min(p.width for p in parts)
        self.rack = boards
        # Without any rack it goes without saying.
        self.nothing = "no such board is on the rack" if any_rack else ""
        supplies = [
            _Supply(
                b,
                clear_layouts(
                    b,
                    kerf=options.kerf,
                    end_trim=options.end_trim,
                    edge_trim=options.edge_trim,
                    shortest=shortest,
                    narrowest=narrowest,
                ),
            )
            for b in boards
        ]
        self.supplies = [s for s in supplies if s.layouts]
        self.boards: list[BoardPlan] = []
        self.missing: list[Missing] = []
        self.notes: list[str] = []
        self.solution: Solution | None = None

    @property
    def seconds(self) -> float:
        """What the search took."""
        return self.solution.seconds if self.solution else 0.0

    def run(self) -> None:
        """Plan it."""
        rooms = [(r.length, r.width) for s in self.supplies for lay in s.layouts for r in lay]
        blocks: list[Block] = []
        for part in self.parts:
            found, notes = blocks_of(part, self.options.match, rooms, self.options.kerf)
            blocks += found
            self.notes += notes
        kinds: dict[tuple[int, int], list[Block]] = {}
        for block in blocks:
            kinds.setdefault((up(block.length), up(block.width)), []).append(block)
        fitting: dict[tuple[int, int], list[Block]] = {}
        zones = {(down(a), down(b)) for a, b in rooms}
        for (length, width), members in kinds.items():
            if any(a >= length and b >= width for a, b in zones):
                fitting[length, width] = members
            else:
                why = "no board is so large" if self.rack else self.nothing
                self._lack(members, why)
        if fitting:
            self._solve(fitting)

    def _lack(self, blocks: Sequence[Block], why: str) -> None:
        marks: dict[str, list[str]] = {}
        parts = {b.part.mark: b.part for b in blocks}
        for block in blocks:
            marks.setdefault(block.part.mark, []).extend(p.mark for p in block.pieces)
        self.missing += [_missing(parts[m], found, why) for m, found in marks.items()]

    def _cost(self, board: Board) -> int:
        if self.options.minimise == "price":
            if board.price is None:
                raise SpecError(
                    f"the board {board.name!r} has no price",
                    field="price",
                    allowed="a price for each board, or the plan that saves wood",
                )
            return max(1, round(board.price * _COIN))
        return max(1, round(board.length * board.width / STEP**2))

    def _money(self, cost: float) -> float:
        """A cost as people read it: board feet, or money."""
        if self.options.minimise == "price":
            return cost / _COIN
        stock = quarter(self.parts[0].quarter)
        return cost * STEP**2 * stock.rough / MM3_PER_BOARD_FOOT

    def _solve(self, kinds: dict[tuple[int, int], list[Block]]) -> None:
        options = self.options
        alike: dict[tuple[object, ...], list[_Supply]] = {}
        for s in self.supplies:
            zones = tuple(tuple((down(r.length), down(r.width)) for r in lay) for lay in s.layouts)
            alike.setdefault((zones, self._cost(s.board)), []).append(s)
        stock = tuple(
            Stock(
                tuple(tuple((down(r.length), down(r.width)) for r in lay) for lay in g[0].layouts),
                len(g),
                self._cost(g[0].board),
            )
            for g in alike.values()
        )
        problem = Problem(
            tuple(Item(length, width, len(m)) for (length, width), m in kinds.items()),
            stock,
            up(options.kerf),
            options.order,
            options.most_strips,
        )
        progress = self.progress
        told = (
            (
                lambda seconds, cost, bound, words: progress(
                    f"{self.what}: {words}", seconds, self._money(cost), self._money(bound)
                )
            )
            if progress
            else None
        )
        solution = solve_abreast(
            problem,
            time_limit=self.time_limit,
            goal=options.goal,
            progress=told,
            seed=options.seed,
        )
        self.solution = solution
        supplies = [list(g) for g in alike.values()]
        chosen = [(supplies[b].pop(0), pattern) for b, pattern in solution.chosen]
        # Blocks of one size are dealt out so that those of one member lie on few boards.
        queues: list[dict[int, list[Block]]] = []
        for i, blocks in enumerate(kinds.values()):
            slots = [k for k, (_, pattern) in enumerate(chosen) for _ in range(pattern.counts[i])]
            slots = slots[: len(blocks)]
            given, lacking = _deal(blocks, slots)
            queues.append(given)
            if lacking:
                self._lack(lacking, "the rack is used up")
        for k, (supply, pattern) in enumerate(chosen):
            ready = [iter(q.get(k, ())) for q in queues]
            self.boards.append(
                lay_out(
                    supply.board,
                    supply.layouts[pattern.layout],
                    pattern,
                    ready,
                    options,
                    self.machines,
                )
            )

    def group(self) -> Group:
        """How it came out."""
        s = self.solution
        boards = {b.name: b for b in self.rack}
        feet = sum(b.board_feet for b in self.boards)
        rough = sum(b.board_feet * b.used for b in self.boards)
        if self.options.minimise == "price":
            cost = sum(boards[b.name].price or 0.0 for b in self.boards)
        else:
            cost = feet
        complete = s is not None and not any(s.missing)
        low = self._money(s.bound) if s and complete else None
        baseline = None
        if s and s.baseline < 2 * sum(self._cost(x.board) for x in self.supplies):
            baseline = self._money(s.baseline)
        return Group(
            species=self.parts[0].species,
            quarter=self.parts[0].quarter,
            pieces=sum(p.count for p in self.parts),
            boards=len(self.rack),
            boards_used=len(self.boards),
            cost=cost,
            bound=low,
            gap=s.gap if s else 0.0,
            baseline=baseline,
            used=rough / feet if feet else 0.0,
            seconds=round(self.seconds, 3),
            stopped=bool(s and s.stopped),
        )


def _deal(
    blocks: Sequence[Block], slots: Sequence[int]
) -> tuple[dict[int, list[Block]], list[Block]]:
    """Blocks by the board that they come from, and those for which there is none."""
    by_family: dict[str, list[Block]] = {}
    for block in blocks[: len(slots)]:
        by_family.setdefault(block.family, []).append(block)
    order = deal(slots, {family: len(found) for family, found in by_family.items()})
    given: dict[int, list[Block]] = {}
    for board, family in zip(slots, order, strict=True):
        given.setdefault(board, []).append(by_family[family].pop(0))
    return given, list(blocks[len(slots) :])
