"""A drawing of a board with its cuts, as SVG: near end on the left, face edge at the top.

Every cut bears its step's number; a part has one colour on all boards. One drawing's scale fits
the paper; the figures are the sizes. Presentation attributes only, as in the other drawings.
"""

from __future__ import annotations

import math
from html import escape
from typing import TYPE_CHECKING

from treenail.timber.lengths import LengthUnit, format_length

if TYPE_CHECKING:
    from collections.abc import Sequence

    from treenail.shop.stock.result import BoardPlan, Step

__all__ = ["board_drawing"]

_WIDTH = 250.0
_MARGIN = 6.0
_FONT = "Liberation Sans, Arial, Helvetica, sans-serif"
_INK = "#2b2622"
_PAPER = "#fffdf8"
_WOOD = "#f3e6cf"
_CUT = "#9c2b1b"
_COLOURS = (
    "#cfe3f2",
    "#d9ecd0",
    "#f6d9c4",
    "#e5d8ee",
    "#f5ecb5",
    "#cdebe6",
    "#f3cfd8",
    "#dedcd2",
)


def _num(value: float) -> str:
    shown = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if shown == "-0" else shown


def _rect(x: float, y: float, w: float, h: float, fill: str, more: str = "") -> str:
    return (
        f'<rect x="{_num(x)}" y="{_num(y)}" width="{_num(w)}" height="{_num(h)}"'
        f' fill="{fill}" stroke="{_INK}" stroke-width="0.25"{more}/>'
    )


def _text(
    x: float, y: float, size: float, text: str, anchor: str = "middle", turn: bool = False
) -> str:
    turned = f' transform="rotate(-90 {_num(x)} {_num(y)})"' if turn else ""
    return (
        f'<text x="{_num(x)}" y="{_num(y + size * 0.35)}" font-size="{_num(size)}"'
        f' text-anchor="{anchor}"{turned}>{escape(text)}</text>'
    )


def _label(x: float, y: float, w: float, h: float, lines: list[str]) -> list[str]:
    """Lines of text in a rectangle, as large as go, turned where it is upright."""
    turn = h > 1.6 * w
    along, across = (h, w) if turn else (w, h)

    def fitting(these: list[str]) -> float:
        longest = max(len(line) for line in these)
        return min(3.4, along / (0.6 * longest + 0.5), across / (1.15 * len(these)))

    # In a low strip all stands in one line; where even that is too long, the first word alone.
    lines = max((lines, ["  ".join(lines)]), key=fitting)
    size = fitting(lines)
    if size < 1.0:
        lines = [lines[0].split()[0]]
        size = fitting(lines)
    if size < 0.8:
        return []
    out = []
    for k, line in enumerate(lines):
        off = (k - (len(lines) - 1) / 2) * 1.15 * size
        cx, cy = (x + w / 2 + off, y + h / 2) if turn else (x + w / 2, y + h / 2 + off)
        # A turned line's baseline shift goes sideways.
        out.append(
            _text(
                cx + (0.35 * size if turn else 0),
                cy - (0.35 * size if turn else 0),
                size,
                line,
                turn=turn,
            )
        )
    return out


def board_drawing(board: BoardPlan, *, unit: LengthUnit, parts: Sequence[str]) -> bytes:
    """The board, its pieces with marks and sizes, cuts numbered, defects hatched, offcuts named.

    ``parts`` are the marks of all parts of the plan: their order gives each its colour.
    """

    def size(mm: float) -> str:
        return format_length(round(mm, 1) if unit == "mm" else mm, unit=unit, denominator=16)

    k = (_WIDTH - 2 * _MARGIN) / board.length
    top = 14.0
    height = top + board.width * k + 12.0
    colours = {p: _COLOURS[i % len(_COLOURS)] for i, p in enumerate(parts)}

    def x(mm: float) -> float:
        return _MARGIN + mm * k

    def y(mm: float) -> float:
        return top + mm * k

    sizes = f"{size(board.width)} × {size(board.length)}"
    title = f"Board {board.name}: {board.quarter} {board.species}, {sizes}"
    first = "crosscut first" if board.first == "crosscut" else "ripped first"
    body = [
        _text(_MARGIN, 6.0, 4.0, f"{title}, {first}, {100 * board.used:.0f} % used", "start"),
        _rect(x(0), y(0), board.length * k, board.width * k, _WOOD),
    ]
    if board.usable < board.length - 1e-6:
        body.append(
            _rect(
                x(board.usable), y(0), (board.length - board.usable) * k, board.width * k, "#ddd0b8"
            )
        )
    for o in board.offcuts:
        if o.keep:
            body.append(
                _rect(
                    x(o.x),
                    y(o.y),
                    o.length * k,
                    o.width * k,
                    "#ffffff",
                    ' stroke-dasharray="1.5 1"',
                )
            )
            body += _label(
                x(o.x),
                y(o.y),
                o.length * k,
                o.width * k,
                ["keep", f"{size(o.length)} × {size(o.width)}"],
            )
    for p in board.pieces:
        body.append(_rect(x(p.x), y(p.y), p.length * k, p.width * k, colours[p.part]))
        body += _label(
            x(p.x),
            y(p.y),
            p.length * k,
            p.width * k,
            [p.mark, f"{size(p.length)} × {size(p.width)}"],
        )
    for what, start, stop, low, high in board.defects:
        left, right, up, down = x(start), x(stop), y(low), y(high)
        body.append(_rect(left, up, right - left, down - up, "#b59a7a"))
        lines = max(1, min(40, math.ceil((right - left + down - up) / 1.5)))
        path = "".join(_hatch(left, right, up, down, (i + 0.5) / lines) for i in range(lines))
        body.append(f'<path d="{path}" stroke="{_INK}" stroke-width="0.2" fill="none"/>')
        body.append(_text((left + right) / 2, y(board.width) + 3.0, 2.4, what))
    for step in board.steps:
        x1, y1, x2, y2 = step.line
        body += _cut(step, (x(x1), y(y1), x(x2), y(y2)), top)
    legend = "Near end on the left, face edge at the top. Circled: the step that makes the cut."
    body.append(_text(_MARGIN, y(board.width) + 7.5, 2.6, legend, "start"))
    w, h = _num(_WIDTH), _num(height)
    head = (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{w}mm" height="{h}mm" '
        f'viewBox="0 0 {w} {h}" role="img" font-family="{_FONT}" fill="{_INK}">\n'
        f"<title>{escape(title)}</title>\n"
        f"<desc>{escape(_described(board, size))}</desc>\n"
        f'<rect width="{w}" height="{h}" fill="{_PAPER}"/>\n'
    )
    return (head + "\n".join(body) + "\n</svg>\n").encode("utf-8")


def _cut(step: Step, line: tuple[float, float, float, float], top: float) -> list[str]:
    """A cut's line and its number: crosscuts of the board above it, others on their line."""
    x1, y1, x2, y2 = line
    number = str(step.number)
    radius = 1.5
    if step.kind == "clear":
        made = _rect(x1, y1, x2 - x1, y2 - y1, "none", ' stroke-dasharray="0.8 0.8"')
        return [made, *_circle(x1 + 2.0, y1, radius, number)]
    if step.kind == "crosscut":
        return [_line(x1, top - 1.2, x2, y2), *_circle(x1, top - 2.4, radius, number)]
    if step.kind in ("rip", "narrow"):
        # The lines of narrow strips lie close: their numbers step along them.
        at = x2 - 2.2 - 3.4 * (step.number % 3)
        return [_line(x1, y1, x2, y2), *_circle(max(x1 + radius, at), y1, radius, number)]
    return [_line(x1, y1, x2, y2), *_circle(x1, (y1 + y2) / 2, radius, number)]


def _line(x1: float, y1: float, x2: float, y2: float) -> str:
    return (
        f'<path d="M{_num(x1)} {_num(y1)}L{_num(x2)} {_num(y2)}" stroke="{_CUT}"'
        ' stroke-width="0.35" fill="none"/>'
    )


def _circle(x: float, y: float, radius: float, number: str) -> list[str]:
    size = radius * (1.5 if len(number) < 2 else 1.15)
    ring = (
        f'<circle cx="{_num(x)}" cy="{_num(y)}" r="{_num(radius)}" fill="{_PAPER}"'
        f' stroke="{_CUT}" stroke-width="0.2"/>'
    )
    return [ring, _text(x, y, size, number)]


def _hatch(left: float, right: float, up: float, down: float, share: float) -> str:
    """A slanting line across a rectangle: points where x + y is constant."""
    total = share * ((right - left) + (down - up))
    a = min(total, right - left)
    b = total - a
    c = min(total, down - up)
    d = total - c
    return f"M{_num(left + a)} {_num(up + b)}L{_num(left + d)} {_num(up + c)}"


def _described(board: BoardPlan, size: object) -> str:
    assert callable(size)
    pieces = "; ".join(
        f"{p.mark} {size(p.length)} × {size(p.width)} at {size(p.x)}, {size(p.y)}"
        for p in board.pieces
    )
    return f"Pieces from the near end and the face edge: {pieces}."
