"""The rough parts and the stock plan as tables (header and rows) and as pages in Markdown."""

from __future__ import annotations

from typing import TYPE_CHECKING

from treenail.shop.stock.drawing import board_drawing
from treenail.shop.stock.result import how_good
from treenail.timber.lengths import LengthUnit, format_length
from treenail.timber.lumber import lumber_figure, lumber_text

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from treenail.shop.rough_parts import RoughPart
    from treenail.shop.stock.result import BoardPlan, Step, StockPlan

__all__ = [
    "CAUTION",
    "Table",
    "board_file",
    "buying_page",
    "buying_table",
    "cuts_table",
    "drawings",
    "pieces_table",
    "rough_parts_page",
    "rough_parts_table",
    "stock_page",
]

_ROUGH = (
    "Sizes before milling. Write each mark on its piece as it is sawn: part and number"
    " (A1, A2 ...)."
)

_BY: dict[LengthUnit, str] = {"in": "Board feet", "mm": "Volumes"}

_WASTE = (
    "{} by nominal thickness; {:.3g} % is added to what the pieces measure rough, for"
    " checked ends, knots and kerfs (common practice: 15 to 30 %). Boards may be larger than the"
    " least size; widths and lengths at the yard vary, so take this list along."
)

Cell = str | float | int
Table = tuple[list[str], list[list[Cell]]]
"""A header and its rows."""

CAUTION = (
    "Rough boards can bind, spring and kick back as they are ripped. Look for loose knots, nails"
    " and stones first; joint an edge before it runs along a fence; keep guard and riving knife"
    " on; support both ends. The machine's manual, local rules and a trained person have the last"
    " word."
)


def _size(mm: float, unit: LengthUnit) -> str:
    """Rough sizes: to a sixteenth of an inch, or a tenth of a mm."""
    return format_length(round(mm, 1) if unit == "mm" else mm, unit=unit, denominator=16)


def _md(header: Sequence[str], rows: Iterable[Sequence[object]], right: Sequence[int] = ()) -> str:
    """A Markdown table; a bar in a cell can't end it."""
    rule = ["---:" if k in right else "---" for k in range(len(header))]
    lines = [list(header), rule, *([str(c) for c in row] for row in rows)]
    return "\n".join("| " + " | ".join(c.replace("|", "\\|") for c in r) + " |" for r in lines)


def rough_parts_table(parts: Iterable[RoughPart], unit: LengthUnit) -> Table:
    """A row for each rough part."""
    header = [
        "part",
        "role",
        "wood",
        "pieces",
        "length mm",
        "width mm",
        "planed to mm",
        "length",
        "width",
        "planed to",
        "rough stock",
        "planes to mm",
        "pieces in each member",
        "in each blank",
        "spare",
        "net board feet",
        "rough board feet",
        "notes",
        "members",
    ]
    rows: list[list[Cell]] = [
        [
            p.mark,
            p.role,
            p.species,
            p.count,
            round(p.length, 1),
            round(p.width, 1),
            round(p.thickness, 2),
            _size(p.length, unit),
            _size(p.width, unit),
            format_length(p.thickness, unit=unit, denominator=32),
            p.quarter or "none thick enough",
            round(p.yields, 2),
            p.plies * p.across,
            p.gang,
            p.spare,
            round(p.net, 2),
            round(p.rough, 2),
            "; ".join(p.notes),
            " ".join(p.members),
        ]
        for p in parts
    ]
    return header, rows


def pieces_table(plan: StockPlan, unit: LengthUnit) -> Table:
    """A row for each piece on its board."""
    header = [
        "board",
        "piece",
        "role",
        "length mm",
        "width mm",
        "from near end mm",
        "from face edge mm",
        "length",
        "width",
        "from near end",
        "from face edge",
        "members",
    ]
    rows: list[list[Cell]] = [
        [
            b.name,
            p.mark,
            p.role,
            *(round(v, 2) for v in (p.length, p.width, p.x, p.y)),
            *(_size(v, unit) for v in (p.length, p.width, p.x, p.y)),
            " ".join(p.members),
        ]
        for b in plan.boards
        for p in b.pieces
    ]
    return header, rows


def cuts_table(plan: StockPlan, unit: LengthUnit) -> Table:
    """A row for each cut, stage by stage."""
    header = [
        "stage",
        "board",
        "step",
        "cut",
        "from",
        "size mm",
        "size",
        "at mm",
        "at",
        "gives",
        "note",
    ]
    rows: list[list[Cell]] = [
        [
            stage,
            s.board,
            s.number,
            _KIND[s.kind],
            s.work,
            round(s.size, 2),
            _size(s.size, unit),
            round(s.at, 2),
            _size(s.at, unit),
            s.gives,
            _note(s, unit),
        ]
        for stage, steps in plan.order_of_cuts()
        for s in steps
    ]
    return header, rows


def buying_table(plan: StockPlan, unit: LengthUnit) -> Table:
    """A row for each wood and thickness to buy."""
    header = [
        "wood",
        "rough stock",
        "missing pieces",
        "rough board feet",
        "board feet to buy",
        "boards at least mm long",
        "boards at least mm wide",
        "long",
        "wide",
    ]
    rows: list[list[Cell]] = [
        [
            b.species,
            b.quarter or "none thick enough",
            b.pieces,
            round(b.rough, 2),
            round(b.buy, 1),
            round(b.least_length, 1),
            round(b.least_width, 1),
            _size(b.least_length, unit),
            _size(b.least_width, unit),
        ]
        for b in plan.buying
    ]
    return header, rows


_KIND = {
    "clear": "cut clear",
    "crosscut": "crosscut",
    "rip": "rip",
    "part": "crosscut to length",
    "narrow": "rip to width",
    "last": "crosscut apart",
}


def board_file(board: BoardPlan) -> str:
    """A name for the drawing's file, without its folder."""
    safe = "".join(c if c.isalnum() or c in "-_" else "_" for c in board.name)
    return f"board-{safe}.svg"


def drawings(plan: StockPlan, unit: LengthUnit) -> dict[str, bytes]:
    """Every board's drawing by file name."""
    found: dict[str, bytes] = {}
    parts = sorted({p.part for b in plan.boards for p in b.pieces}, key=lambda x: (len(x), x))
    for b in plan.boards:
        name, number = board_file(b), 2
        while name in found:  # "A.1" and "A 1" are two boards
            name = f"{board_file(b).removesuffix('.svg')}-{number}.svg"
            number += 1
        found[name] = board_drawing(b, unit=unit, parts=parts)
    return found


def rough_parts_page(parts: Sequence[RoughPart], unit: LengthUnit) -> str:
    """What to saw, and why that size."""
    header = ["Part", "Pieces", "Length", "Width", "Plane to", "Stock", "For"]
    rows = [
        [
            p.mark,
            p.count,
            _size(p.length, unit),
            _size(p.width, unit),
            format_length(p.thickness, unit=unit, denominator=32),
            f"{p.quarter or 'none'} {p.species}",
            f"{len(p.members)} × {p.role}" + (f" and {p.spare} to spare" if p.spare else ""),
        ]
        for p in parts
    ]
    notes = [f"- **{p.mark}** ({p.role}): {'; '.join(p.notes)}." for p in parts if p.notes]
    stock = {p.quarter: p for p in parts if p.quarter}
    yields = [
        f"- {q} stock planes to {format_length(p.yields, unit=unit, denominator=32)} where it is"
        f" flat, to about {format_length(p.yields_least, unit=unit, denominator=32)} where it is"
        " not."
        for q, p in stock.items()
    ]
    net, rough = sum(p.net for p in parts), sum(p.rough for p in parts)
    text = [
        "# Rough parts",
        _ROUGH,
        _md(header, rows, (1, 2, 3, 4)),
        (
            f"In all {lumber_text(net, unit, places=1)} finished, "
            f"{lumber_text(rough, unit, places=1)} rough."
        ),
        "## Notes",
        "\n".join([*notes, *yields]),
    ]
    return "\n\n".join(text) + "\n"


def stock_page(plan: StockPlan, unit: LengthUnit, *, folder: str = "") -> str:
    """The stock plan; drawings are taken from ``folder`` (``boards/``) under their names."""
    text = ["# Stock plan", _summary(plan, unit)]
    if plan.notes:
        text.append("\n".join(f"- {n}." for n in plan.notes))
    if plan.boards:
        text += ["## Order of cuts", CAUTION, *_stages(plan, unit), "## Boards"]
    for b, file in zip(plan.boards, drawings(plan, unit), strict=True):
        text.append(f"### Board {b.name}")
        text.append(f"![Board {b.name} with its cuts]({folder}{file})")
        text.append(_steps(b.steps, unit))
    if plan.untouched:
        text += ["## Boards untouched", ", ".join(plan.untouched)]
    kept = plan.kept_offcuts
    if kept:
        rows = [[n, _size(o.length, unit), _size(o.width, unit)] for n, o in kept]
        text += ["## Offcuts to keep", _md(["Board", "Length", "Width"], rows, (1, 2))]
    return "\n\n".join(text) + "\n"


def _summary(plan: StockPlan, unit: LengthUnit) -> str:
    money = plan.minimise == "price"

    def cost(value: float, places: int = 1) -> str:
        # Of boards: what the column's head says.
        return f"{value:.2f}" if money else lumber_figure(value, unit, places=places)

    header = [
        "Wood",
        "Pieces",
        "Boards cut",
        "Price" if money else "Board feet" if unit == "in" else "m³",
        "No plan needs less than",
        "First-fit decreasing",
        "Used",
    ]
    rows = [
        [
            f"{g.quarter} {g.species}",
            g.pieces,
            f"{g.boards_used} of {g.boards}",
            cost(g.cost),
            "pieces are missing" if g.bound is None else f"{cost(g.bound, 2)} ({how_good(g.gap)})",
            "pieces missing" if g.baseline is None else cost(g.baseline),
            f"{100 * g.used:.0f} %",
        ]
        for g in plan.groups
    ]
    pieces = sum(len(b.pieces) for b in plan.boards)
    lack = sum(len(m.marks) for m in plan.missing)
    say = f"{pieces} rough pieces from {len(plan.boards)} boards"
    say += (
        f"; {lack} are missing, see [what to buy](buying.md)." if lack else "; nothing is missing."
    )
    return f"{say}\n\n{_md(header, rows, (1, 3, 6))}"


def _stock_volume(board_feet: float, unit: LengthUnit) -> str:
    return f"{lumber_figure(board_feet, unit, places=1)} {'bd ft' if unit == 'in' else 'm³'}"


def buying_page(plan: StockPlan, unit: LengthUnit) -> str:
    """What to buy: the pieces that no board of the rack gives."""
    if not plan.missing:
        return "# To buy\n\nNothing: the rack gives every piece.\n"
    header = ["Wood", "Stock", "Pieces", "Rough", "Buy", "Boards at least"]
    rows = [
        [
            b.species,
            b.quarter or "laminate it",
            b.pieces,
            _stock_volume(b.rough, unit),
            _stock_volume(b.buy, unit),
            f"{_size(b.least_length, unit)} × {_size(b.least_width, unit)}",
        ]
        for b in plan.buying
    ]
    lines = [
        f"- {m.part} ({m.role}), {len(m.marks)} of {_size(m.length, unit)} ×"
        f" {_size(m.width, unit)}" + (f": {m.why}." if m.why else ".")
        for m in plan.missing
    ]
    text = ["# To buy", _md(header, rows, (2, 3, 4)), _WASTE.format(_BY[unit], 100 * plan.waste)]
    text += ["## Pieces", "\n".join(lines)]
    return "\n\n".join(text) + "\n"


def _stages(plan: StockPlan, unit: LengthUnit) -> list[str]:
    found = []
    for number, (stage, steps) in enumerate(plan.order_of_cuts(), start=1):
        settings: dict[tuple[str, str], list[Step]] = {}
        for s in steps:
            key = (_size(s.size, unit), "" if s.kind not in ("clear", "crosscut") else s.board)
            settings.setdefault(key, []).append(s)
        rows = [
            [
                size if not board else f"{size} from {board}",
                ", ".join(f"{s.gives} (from {s.work})" for s in members),
                _notes(members, unit),
            ]
            for (size, board), members in settings.items()
        ]
        found.append(f"### {number}. {stage}")
        found.append(_md(["Setting", "Gives", "Note"], rows))
    return found


def _notes(steps: Iterable[Step], unit: LengthUnit) -> str:
    """What to watch, each thing once, and at which workpieces."""
    found: dict[str, list[str]] = {}
    for s in steps:
        if note := _note(s, unit):
            found.setdefault(note, []).extend([s.work] if s.kind != "clear" else [])
    said = ((", ".join(dict.fromkeys(works)), note) for note, works in found.items())
    return "; ".join(f"{works}: {note}" if works else note for works, note in said)


def _note(step: Step, unit: LengthUnit) -> str:
    """What to watch."""
    if step.kind == "clear":
        start, stop = _size(step.at, unit), _size(step.at + step.size, unit)
        low, high = _size(step.low, unit), _size(step.high, unit)
        return f"{start} to {stop} from the near end, {low} to {high} from the face edge"
    return step.note


def _steps(steps: Iterable[Step], unit: LengthUnit) -> str:
    rows = [
        [
            s.number,
            _KIND[s.kind],
            s.work,
            _size(s.size, unit),
            _size(s.at, unit),
            s.gives,
            _note(s, unit),
        ]
        for s in steps
    ]
    return _md(["Step", "Cut", "From", "Size", "At", "Gives", "Note"], rows, (0, 3, 4))
