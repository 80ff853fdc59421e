"""What a stock plan says: plain data, ready for JSON, tables and pages. Lengths in mm."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any, Literal

__all__ = [
    "BoardPlan",
    "Buy",
    "Group",
    "Missing",
    "Offcut",
    "Placed",
    "Step",
    "StockPlan",
    "how_good",
]

StepKind = Literal["clear", "crosscut", "rip", "part", "narrow", "last"]
_STAGES: tuple[tuple[StepKind, str], ...] = (
    ("clear", "Cut clear of defects"),
    ("crosscut", "Crosscut boards into sections"),
    ("rip", "Rip, by fence setting"),
    ("part", "Crosscut strips to length, by stop"),
    ("narrow", "Rip to width what is narrower than its strip"),
    ("last", "Crosscut matched pieces apart"),
)


def how_good(gap: float) -> str:
    """A plan's gap in words."""
    return "proven best" if gap < 1e-4 else f"within {100 * gap:.1f} % of the best, proven"


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """A rough piece on its board: mark, what it becomes, and its rectangle.

    ``x`` counts from the near end, ``y`` from the face edge.
    """

    mark: str
    part: str
    role: str
    members: tuple[str, ...]
    place: int
    x: float
    y: float
    length: float
    width: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Offcut:
    """What is left over, and whether it is large enough to keep."""

    x: float
    y: float
    length: float
    width: float
    keep: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One setting of a saw on one workpiece.

    Attributes:
        board: the board's name.
        number: the order on that board.
        kind: ``clear`` (cut a clear part free), ``crosscut``, ``rip``, ``part`` (crosscut a
            strip into its pieces), ``narrow`` (rip a piece that is narrower than its strip, or
            matched pieces into rows), ``last`` (crosscut matched pieces apart).
        work: what is cut: the board, a section or a strip of it.
        size: length or width that is cut off, mm.
        at: where the cut comes to lie, from the board's near end (crosscuts) or face edge (rips).
        gives: the name of what comes off; a piece's mark where it is one.
        note: what to watch.
        low, high: of a clear part, across the board from the face edge, mm.
        line: where the cut runs on the board, from (x, y) to (x, y), mm; of a clear part, its
            corners nearest to and farthest from the near end and face edge.
    """

    board: str
    number: int
    kind: StepKind
    work: str
    size: float
    at: float
    gives: str
    note: str = ""
    low: float = 0.0
    high: float = 0.0
    line: tuple[float, float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardPlan:
    """A board that is cut.

    Attributes:
        name, species, quarter: as in the rack.
        width, length, usable: mm.
        first: whether it is crosscut or ripped first.
        pieces, offcuts, steps: what comes of it, and how.
        defects: (what, start, stop, low, high), mm.
        board_feet: of the whole board.
        used: share of it that becomes rough pieces.
        price: if known.
    """

    name: str
    species: str
    quarter: str
    width: float
    length: float
    usable: float
    first: Literal["crosscut", "rip"]
    pieces: tuple[Placed, ...]
    offcuts: tuple[Offcut, ...]
    steps: tuple[Step, ...]
    defects: tuple[tuple[str, float, float, float, float], ...]
    board_feet: float
    used: float
    price: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """How well one wood and thickness came out.

    Attributes:
        species, quarter: of the group.
        pieces: rough pieces wanted.
        boards, boards_used: on the rack, and cut.
        cost: of the boards cut: board feet, or the price, as ``minimise`` says.
        bound: no plan of this kind costs less; None while something is missing, for then every
            board that helps is used.
        gap: the plan is within this share of the best one, proven.
        baseline: the cost by first-fit decreasing; None if that leaves pieces missing.
        used: share of the boards cut that becomes rough pieces.
        seconds: the search took.
        stopped: whether its time ran out.
    """

    species: str
    quarter: str
    pieces: int
    boards: int
    boards_used: int
    cost: float
    bound: float | None
    gap: float
    baseline: float | None
    used: float
    seconds: float
    stopped: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Missing:
    """Rough pieces that the rack doesn't give."""

    part: str
    role: str
    species: str
    quarter: str
    marks: tuple[str, ...]
    length: float
    width: float
    board_feet: float
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Buy:
    """A line of the buying list.

    Attributes:
        species, quarter: what to ask for.
        pieces: that are missing.
        rough: board feet in them.
        buy: board feet to buy, waste allowed for.
        least_length, least_width: of a board that yields the largest of them, mm.
    """

    species: str
    quarter: str
    pieces: int
    rough: float
    buy: float
    least_length: float
    least_width: float


@dataclass(frozen=True, slots=True, kw_only=True)
class StockPlan:
    """The whole plan.

    Attributes:
        boards: those that are cut.
        untouched: names of the others.
        groups: by wood and thickness.
        missing: pieces that the rack doesn't give.
        buying: what to buy for them.
        notes: what to watch.
        minimise: what was kept small: ``wood`` or ``price``.
        keep_length, keep_width: offcuts at least that large are kept.
        waste: allowance in the buying list, as a share.
    """

    boards: tuple[BoardPlan, ...]
    untouched: tuple[str, ...]
    groups: tuple[Group, ...]
    missing: tuple[Missing, ...]
    buying: tuple[Buy, ...]
    notes: tuple[str, ...]
    minimise: str
    keep_length: float
    keep_width: float
    waste: float

    def as_dict(self) -> dict[str, Any]:
        """Plain data for JSON."""
        return asdict(self)

    @property
    def kept_offcuts(self) -> tuple[tuple[str, Offcut], ...]:
        """Board and offcut, for those worth keeping."""
        return tuple((b.name, o) for b in self.boards for o in b.offcuts if o.keep)

    def order_of_cuts(self) -> tuple[tuple[str, tuple[Step, ...]], ...]:
        """All steps by stage, so that each saw is set as seldom as can be.

        Cutting clear and crosscutting go board by board; ripping by fence, widest first;
        crosscutting to length by stop, longest first. On each board, every stage works on what
        an earlier one gave.
        """
        steps = [s for b in self.boards for s in b.steps]
        stages = []
        for kind, name in _STAGES:
            found = [s for s in steps if s.kind == kind]
            if kind not in ("clear", "crosscut"):
                found.sort(key=lambda s: -round(s.size, 3))
            if found:
                stages.append((name, tuple(found)))
        return tuple(stages)
