"""Small pieces of SVG in millimetres: numbers, escaped text, a whole document.

Only presentation attributes, no style sheet and no ids that could meet another drawing's: the
same picture goes on a page of its own, inside an HTML book and through a typesetter.
"""

from __future__ import annotations

import math
import re
from html import escape
from typing import TYPE_CHECKING

from treenail.templates.hidden_line import Arc, Curve, Line, Path, Point

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

__all__ = ["FONT", "INK", "PAPER", "clean", "curves_path", "document", "num", "polygon", "text"]

FONT = "Liberation Sans, Arial, Helvetica, sans-serif"
INK = "#2b2622"
PAPER = "#fffdf8"

# What XML 1.0 does not allow even as an escape.
_BAD = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def num(value: float) -> str:
    """A coordinate with at most three decimals (a thousandth of a millimetre)."""
    shown = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if shown == "-0" else shown


def clean(value: str) -> str:
    """Text escaped for an element or an attribute, on one line."""
    return escape(" ".join(_BAD.sub("\N{REPLACEMENT CHARACTER}", value).split()))


def text(
    at: Point,
    value: str,
    *,
    size: float,
    anchor: str = "start",
    weight: str = "",
    fill: str = "",
) -> str:
    """A line of text, its baseline at a point; ``size`` in mm."""
    more = f' font-weight="{weight}"' if weight else ""
    more += f' fill="{fill}"' if fill else ""
    more += f' text-anchor="{anchor}"' if anchor != "start" else ""
    place = f'x="{num(at[0])}" y="{num(at[1])}"'
    return f'<text {place} font-size="{num(size)}"{more}>{clean(value)}</text>'


def polygon(loops: Iterable[Sequence[Point]]) -> str:
    """Path data of closed outlines."""
    return "".join("M" + "L".join(f"{num(x)},{num(y)}" for x, y in loop) + "Z" for loop in loops)


def curves_path(curves: Iterable[Curve], to: Callable[[Point], Point], k: float) -> str:
    """Path data of plane curves.

    Args:
        curves: at full size, y upward.
        to: carries a point to the paper (y downward).
        k: the drawing's scale.
    """

    def at(p: Point) -> str:
        x, y = to(p)
        return f"{num(x)},{num(y)}"

    found = []
    for curve in curves:
        match curve:
            case Line(start, end):
                found.append(f"M{at(start)}L{at(end)}")
            case Path(points):
                found.append("M" + "L".join(at(p) for p in points))
            case Arc():
                radii = f"{num(curve.major * k)} {num(curve.minor * k)}"
                tilt = num(-math.degrees(curve.tilt))
                # Two halves: one arc of a whole turn has no direction to go.
                half = curve.sweep / 2
                stops = [curve.at(curve.start + i * half) for i in range(3)]
                run = "".join(f"A{radii} {tilt} 0 0 {at(p)}" for p in stops[1:])
                found.append(f"M{at(stops[0])}{run}" + ("Z" if curve.is_whole else ""))
    return "".join(found)


def document(
    size: tuple[float, float], body: Iterable[str], *, title: str, description: str
) -> bytes:
    """A whole SVG file of ``size`` mm, with its title and description for screen readers."""
    w, h = num(size[0]), num(size[1])
    head = (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{w}mm" height="{h}mm" '
        f'viewBox="0 0 {w} {h}" role="img" font-family="{FONT}" fill="{INK}">\n'
        f"<title>{clean(title)}</title>\n<desc>{clean(description)}</desc>\n"
        f'<rect width="{w}" height="{h}" fill="{PAPER}"/>\n'
    )
    return (head + "\n".join(body) + "\n</svg>\n").encode("utf-8")
