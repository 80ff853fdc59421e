"""Small sketches for the machine sheets, as SVG: stack and fence, and a drawbore's two holes."""

from __future__ import annotations

from collections.abc import Iterable
from html import escape

from treenail.shop.drawbore_sheet import DrawboreRow
from treenail.shop.setups.model import Say, Setup

__all__ = ["drawbore_sketch", "stack_sketch"]

_FONT = "Liberation Sans, Arial, Helvetica, sans-serif"
_INK, _PAPER, _WOOD, _STEEL = "#2b2622", "#fffdf8", "#ecd9b4", "#b9bfc4"
#: Size of text and of a sketch's page, mm.
_TEXT = 3.6
_PAGE = (170.0, 92.0)


def _num(value: float) -> str:
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _line(x1: float, y1: float, x2: float, y2: float, *, dash: str = "", wide: float = 0.3) -> str:
    more = f' stroke-dasharray="{dash}"' if dash else ""
    return (
        f'<path d="M{_num(x1)},{_num(y1)}L{_num(x2)},{_num(y2)}" stroke="{_INK}" '
        f'stroke-width="{_num(wide)}" fill="none"{more}/>'
    )


def _box(x: float, y: float, w: float, h: float, fill: str) -> str:
    return (
        f'<rect x="{_num(x)}" y="{_num(y)}" width="{_num(w)}" height="{_num(h)}" fill="{fill}" '
        f'stroke="{_INK}" stroke-width="0.3"/>'
    )


def _text(x: float, y: float, value: str, anchor: str = "middle") -> str:
    shown = escape(" ".join(value.split()))
    return (
        f'<text x="{_num(x)}" y="{_num(y)}" font-size="{_num(_TEXT)}" text-anchor="{anchor}">'
        f"{shown}</text>"
    )


def _span(x1: float, x2: float, y: float, value: str) -> list[str]:
    """A horizontal dimension with ticks, its figure above the line."""
    return [
        _line(x1, y, x2, y),
        _line(x1, y - 1.5, x1, y + 1.5),
        _line(x2, y - 1.5, x2, y + 1.5),
        _text((x1 + x2) / 2, y - 1.2, value),
    ]


def _document(body: Iterable[str], title: str, description: str) -> str:
    w, h = _num(_PAGE[0]), _num(_PAGE[1])
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{w}mm" height="{h}mm" '
        f'viewBox="0 0 {w} {h}" role="img" font-family="{_FONT}" fill="{_INK}">\n'
        f"<title>{escape(title)}</title>\n<desc>{escape(description)}</desc>\n"
        f'<rect width="{w}" height="{h}" fill="{_PAPER}"/>\n' + "\n".join(body) + "\n</svg>\n"
    )


def stack_sketch(setup: Setup, say: Say) -> str:
    """Blade, table and fence seen along the cut; empty for a set-up without stack and fence."""
    values = {
        name: s.value
        for name in ("stack", "blade height", "fence")
        if (s := setup.setting(name)) is not None and s.value is not None
    }
    marks = dict(setup.places[0].marks) if setup.places else {}
    run = marks.get("shoulder from the end")
    gap = marks.get("far side of the stack beyond the scale's zero")
    if len(values) < 3 or run is None or gap is None:
        return ""
    stack, height, fence = values["stack"], values["blade height"], values["fence"]
    table, left, right = 62.0, 42.0, 132.0  # the far side of the stack, and the fence
    k = (right - left) / max(run, stack)
    shoulder = right - run * k
    tall = min(height * k, 24.0)
    wood = 32.0
    body = [
        _box(shoulder, table - tall, stack * k, tall + 6.0, _STEEL),
        # The piece lies on the table; what the first pass takes is the stack's own outline.
        f'<path d="M8,{_num(table)}L8,{_num(table - wood)}L{_num(right)},{_num(table - wood)}'
        f"L{_num(right)},{_num(table)}"
        + (
            f"L{_num(shoulder + stack * k)},{_num(table)}L{_num(shoulder + stack * k)},"
            f"{_num(table - tall)}"
            if stack < run
            else f"L{_num(right)},{_num(table - tall)}"
        )
        + f'L{_num(shoulder)},{_num(table - tall)}L{_num(shoulder)},{_num(table)}Z" '
        f'fill="{_WOOD}" stroke="{_INK}" stroke-width="0.3"/>',
        _box(right, table - wood - 6.0, 12.0, wood + 6.0, _STEEL),
        _line(4.0, table, _PAGE[0] - 4.0, table, wide=0.6),
        _text(right + 6.0, table - wood - 8.0, "fence"),
        _text(shoulder + stack * k / 2, table + 4.5, f"stack {say(stack)}"),
        _text(shoulder - 2.0, table - tall / 2 + 1.2, f"height {say(height)}", "end"),
        *_span(shoulder, right, table - wood - 3.0, f"shoulder {say(run)} from the end"),
    ]
    zero = shoulder + gap * k
    body += [
        _line(zero, table + 6.0, zero, table + 18.0, dash="1.5 1"),
        _line(right, table, right, table + 18.0, dash="1.5 1"),
        _line(shoulder, table + 6.0, shoulder, table + 25.0, dash="1.5 1"),
        *_span(zero, right, table + 12.0, f"scale reads {say(fence)}"),
    ]
    if gap > 0.0:
        body += [
            _line(shoulder, table + 22.0, zero, table + 22.0),
            _text(zero + 2.0, table + 23.2, f"{say(gap)} beyond the scale's zero", "start"),
        ]
    passes = max(c.passes for c in setup.cuts)
    body.append(
        _text(8.0, 8.0, f"{setup.work}: {passes} {'pass' if passes == 1 else 'passes'}", "start")
    )
    return _document(
        body,
        f"Set-up {setup.number}: {setup.work}",
        f"The stack {say(stack)} wide and {say(height)} over the table, its far side {say(run)} "
        f"from the fence; the scale reads {say(fence)}.",
    )


def drawbore_sketch(row: DrawboreRow, say: Say) -> str:
    """Both holes of each peg, seen from the drive face: the post's whole, the tenon's broken."""
    if not row.holes:
        return ""
    edges = [h.edge for h in row.holes]
    across = max(edges) + min(edges)
    deepest = max(h.post for h in row.holes) + 1.5 * row.diameter
    k = min(46.0 / across, 95.0 / deepest)
    left, top = 50.0, 18.0  # shoulder and tenon's edge
    high, reach = across * k, deepest * k
    body = [
        _box(left, top - 8.0, reach + 12.0, high + 16.0, _PAPER),
        _box(left - 36.0, top - 5.0, 36.0, high + 10.0, _WOOD),
        (
            f'<path d="M{_num(left + reach)},{_num(top)}L{_num(left)},{_num(top)}L{_num(left)},'
            f'{_num(top + high)}L{_num(left + reach)},{_num(top + high)}" fill="{_WOOD}" '
            f'stroke="{_INK}" stroke-width="0.3" stroke-dasharray="2 1"/>'
        ),
        _text(left - 18.0, top + high / 2, "rail"),
        _text(left + reach + 10.0, top - 3.5, "post", "end"),
    ]
    r = row.diameter / 2 * k
    for h in row.holes:
        y = top + h.edge * k
        for x, dash in ((h.post, ""), (h.tenon, ' stroke-dasharray="1.2 0.8"')):
            body.append(
                f'<circle cx="{_num(left + x * k)}" cy="{_num(y)}" r="{_num(r)}" fill="none" '
                f'stroke="{_INK}" stroke-width="0.35"{dash}/>'
            )
    first = row.holes[0]
    below = top + high + 13.0
    body += [
        _line(left, top + high, left, below + 9.0, dash="1.5 1"),
        *_span(left, left + first.post * k, below, ""),
        _text(left + first.post * k + 2.0, below + 1.2, f"post {say(first.post)}", "start"),
        *_span(left, left + first.tenon * k, below + 6.5, ""),
        _text(
            left + first.tenon * k + 2.0,
            below + 7.7,
            f"tenon {say(first.tenon)}: {say(first.draw)} nearer the shoulder",
            "start",
        ),
        _text(6.0, 7.0, f"{len(row.joints)} joints alike, bit {say(row.diameter)}", "start"),
    ]
    return _document(
        body,
        "Holes of a drawbored joint",
        f"From the shoulder: the post's hole {say(first.post)}, the tenon's {say(first.tenon)}.",
    )
