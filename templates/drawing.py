"""One view of a bench on the paper: fills from far to near, and the lines over them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from treenail.templates.colours import HARDWARE, colour_of
from treenail.templates.facets import Facet, Scene
from treenail.templates.hidden_line import (
    Arc,
    Drawing,
    Line,
    Path,
    Point,
    View,
    hidden_lines,
    with_hidden,
)
from treenail.templates.svg import INK, curves_path, num, polygon
from treenail.timber.frames import Vec, add, dot, scale, unit

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from treenail.generators.solids import BenchSolids

__all__ = ["Fit", "Seen", "look", "trace_lines", "view_svg"]

#: How far a role's colour is thinned for a fill on paper, 0 to 1.
TINT = 0.45

VISIBLE_WIDTH = 0.28
SMOOTH_WIDTH = 0.13
HIDDEN_WIDTH = 0.15


@dataclass(frozen=True, slots=True)
class Fit:
    """Carries full-size points (y upward) to the paper (y downward).

    Attributes:
        k: scale.
        x, y: where on the paper the point (0, 0) comes, mm.
    """

    k: float
    x: float
    y: float

    def __call__(self, p: Point) -> Point:
        """A full-size point on the paper."""
        return (self.x + self.k * p[0], self.y - self.k * p[1])


@dataclass(frozen=True, slots=True)
class Seen:
    """What a view shows.

    Attributes:
        view: from where.
        facets: what may be seen, from far to near.
        drawing: the lines at full size.
        low, high: corners of what is drawn, at full size.
    """

    view: View
    facets: list[Facet]
    drawing: Drawing
    low: Point
    high: Point

    def fit(self, *, left: float, right: float, top: float, bottom: float) -> Fit:
        """The largest scale at which it fits a frame on the paper, in the frame's middle."""
        wide, high = self.high[0] - self.low[0], self.high[1] - self.low[1]
        k = min((right - left) / wide, (bottom - top) / high)
        return self.centred(k, (left + right) / 2, (top + bottom) / 2)

    def centred(self, k: float, x: float, y: float) -> Fit:
        """With its middle at a point of the paper."""
        u, v = (self.low[0] + self.high[0]) / 2, (self.low[1] + self.high[1]) / 2
        return Fit(k, x - k * u, y + k * v)


def look(scene: Scene, view: View, *, hidden: bool = False) -> Seen:
    """Work out what a view shows."""
    facets, shapes = scene.facing(view)
    drawing = hidden_lines(shapes, view, hidden=False)
    if hidden:  # these may belong to faces that are turned away: they need the whole solids
        drawing = with_hidden(drawing, hidden_lines(scene.shapes(), view))
    points = [p for curve in _all_curves(drawing) for p in _points(curve)]
    if not points:
        points = [(0.0, 0.0), (1.0, 1.0)]
    us, vs = zip(*points, strict=True)
    return Seen(view, facets, drawing, (min(us), min(vs)), (max(us), max(vs)))


def _all_curves(drawing: Drawing) -> Iterable[Line | Arc | Path]:
    yield from drawing.visible
    yield from drawing.smooth
    yield from drawing.hidden


def _points(curve: Line | Arc | Path) -> Iterable[Point]:
    match curve:
        case Line(start, end):
            return (start, end)
        case Path(points):
            return points
        case Arc():
            return [curve.at(curve.start + curve.sweep * i / 8) for i in range(9)]


def _shade(role: str, facet: Facet, view: View) -> str:
    """A fill, lit from above, the left and the front of the viewer."""
    light = unit(
        add(add(scale(view.toward, 0.7), scale(view.upward, 0.8)), scale(view.right, -0.45))
    )
    bright = 0.72 + 0.30 * max(0.0, dot(facet.normal, light))
    if not facet.flat:
        bright -= 0.1  # mostly the walls of holes
    tinted = (c + (1.0 - c) * TINT for c in colour_of(role))
    return "#" + "".join(f"{min(255, round(255 * c * bright)):02x}" for c in tinted)


def view_svg(seen: Seen, fit: Fit, solids: BenchSolids, *, under: Iterable[str] = ()) -> list[str]:
    """SVG elements of a view; ``under`` holds elements to be drawn beneath the fills."""
    bench = solids.bench
    roles = {m.name: m.role for m in bench.members} | {h.name: HARDWARE for h in bench.hardware}
    found = list(under)
    found.append('<g stroke-width="0.1" stroke-linejoin="round" fill-rule="evenodd">')
    for facet in seen.facets:
        outlines = [[fit(p) for p in loop] for loop in facet.outlines(seen.view)]
        colour = _shade(roles[facet.owner], facet, seen.view)
        found.append(f'<path d="{polygon(outlines)}" fill="{colour}" stroke="{colour}"/>')
    found.append("</g>")
    for curves, width, dashes in (
        (seen.drawing.hidden, HIDDEN_WIDTH, ' stroke-dasharray="1.3 0.8"'),
        (seen.drawing.smooth, SMOOTH_WIDTH, ""),
        (seen.drawing.visible, VISIBLE_WIDTH, ""),
    ):
        if curves:
            found.append(
                f'<path d="{curves_path(curves, fit, fit.k)}" fill="none" stroke="{INK}" '
                f'stroke-width="{num(width)}" stroke-linecap="round" '
                f'stroke-linejoin="round"{dashes}/>'
            )
    return found


def trace_lines(solids: BenchSolids, moved: Mapping[str, Vec], view: View, fit: Fit) -> list[str]:
    """Thin lines that show where the parts of an exploded view belong."""
    zero = (0.0, 0.0, 0.0)

    def line(p: Vec, first: str, second: str) -> str:
        a, b = (fit(view.project(add(p, moved.get(n, zero)))) for n in (first, second))
        if a == b:
            return ""
        return f"M{num(a[0])},{num(a[1])}L{num(b[0])},{num(b[1])}"

    parts: list[str] = []
    for joint in solids.bench.joints:
        home = joint.members[0].name
        if len(joint.members) > 1:
            other = joint.members[1]
            shared = _between(joint.members[0].bounds(), other.bounds())
            parts.append(line(shared, home, other.name))
        parts += [
            line(_between(peg.bounds(), peg.bounds()), peg.name, home) for peg in joint.pegs()
        ]
        parts += [line(b.placement.origin, b.name, home) for b in joint.hardware()]
    data = "".join(sorted(set(parts)))
    if not data:
        return []
    dashes = 'stroke-dasharray="2.4 0.8 0.5 0.8" stroke-opacity="0.7"'
    return [f'<path d="{data}" fill="none" stroke="{INK}" stroke-width="0.12" {dashes}/>']


def _between(a: Sequence[Vec], b: Sequence[Vec]) -> Vec:
    """Middle of what two boxes share (or of the gap between them)."""
    low = [max(p, q) for p, q in zip(a[0], b[0], strict=True)]
    high = [min(p, q) for p, q in zip(a[1], b[1], strict=True)]
    mid = [(p + q) / 2 for p, q in zip(low, high, strict=True)]
    return (mid[0], mid[1], mid[2])
