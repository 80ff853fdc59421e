"""Hidden-line removal: kernel shapes and a view in, plane curves in mm out.

The kernel's exact algorithm splits every edge where its visibility changes. What comes back is
tidied here: curves that lie on each other are drawn once, a hidden stretch under a visible one
not at all, and the order does not depend on the kernel's.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, TypeAlias

from treenail.timber.errors import SpecError
from treenail.timber.frames import Vec, cross, dot, norm, unit

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

__all__ = [
    "Arc",
    "Curve",
    "Drawing",
    "Line",
    "Path",
    "Point",
    "View",
    "hidden_lines",
    "with_hidden",
]

Point: TypeAlias = tuple[float, float]

#: Curves nearer to each other than this (mm on the bench) are one line.
SAME = 1e-3
#: Directions that differ by less (radians) are parallel.
PARALLEL = 1e-6
#: What is shorter (mm on the bench) is no line.
SHORTEST = 0.01
#: Points on a curve that is neither line nor ellipse.
SAMPLES = 16

_TURN = 2.0 * math.pi


@dataclass(frozen=True, slots=True)
class View:
    """A parallel view.

    Attributes:
        direction: from the bench toward the viewer, in the bench's coordinates.
        up: what points up on the paper.
    """

    direction: Vec
    up: Vec = (0.0, 0.0, 1.0)
    toward: Vec = field(init=False)
    right: Vec = field(init=False)
    upward: Vec = field(init=False)

    def __post_init__(self) -> None:
        """Work out the axes of the paper; SpecError for a view that has none."""
        for name in ("direction", "up"):
            v = getattr(self, name)
            if len(v) != 3 or not all(math.isfinite(c) for c in v) or norm(v) == 0.0:
                raise SpecError(
                    f"{v!r} is no direction", field=name, allowed="three numbers, not all 0"
                )
        toward = unit(self.direction)
        across = cross(unit(self.up), toward)
        if norm(across) < 1e-6:
            raise SpecError(
                "the view looks along its own upward direction",
                field="up",
                allowed="a direction across the view, such as (0, 1, 0) for a plan",
            )
        right = unit(across)
        object.__setattr__(self, "toward", toward)
        object.__setattr__(self, "right", right)
        object.__setattr__(self, "upward", cross(toward, right))

    def project(self, p: Vec) -> Point:
        """A point of the bench on the paper at full size: (to the right, upward), mm."""
        return (dot(self.right, p), dot(self.upward, p))

    def depth(self, p: Vec) -> float:
        """How near the viewer a point is, mm (more is nearer)."""
        return dot(self.toward, p)


@dataclass(frozen=True, slots=True)
class Line:
    """A straight line."""

    start: Point
    end: Point


@dataclass(frozen=True, slots=True)
class Arc:
    """Part of an ellipse (or all of it: ``sweep`` of a whole turn).

    Attributes:
        centre: mm.
        major, minor: half axes, mm; major is not less than minor.
        tilt: of the major axis from the paper's right, 0 to π.
        start, sweep: ellipse parameters in radians, counter-clockwise; sweep above 0.
    """

    centre: Point
    major: float
    minor: float
    tilt: float
    start: float
    sweep: float

    @property
    def is_whole(self) -> bool:
        """Whether it closes on itself."""
        return self.sweep > _TURN - 1e-6

    def at(self, t: float) -> Point:
        """The point at an ellipse parameter."""
        a, b = self.major * math.cos(t), self.minor * math.sin(t)
        c, s = math.cos(self.tilt), math.sin(self.tilt)
        return (self.centre[0] + a * c - b * s, self.centre[1] + a * s + b * c)


@dataclass(frozen=True, slots=True)
class Path:
    """Any other curve, as points on it."""

    points: tuple[Point, ...]


Curve: TypeAlias = Line | Arc | Path


@dataclass(frozen=True, slots=True)
class Drawing:
    """Curves by how they are drawn, at full size.

    Attributes:
        visible: edges and outlines that are seen.
        smooth: seen edges where a flat face runs into a round one without a corner.
        hidden: edges behind something, where nothing visible lies on them.
    """

    visible: tuple[Curve, ...]
    smooth: tuple[Curve, ...]
    hidden: tuple[Curve, ...]


def hidden_lines(shapes: Iterable[Any], view: View, *, hidden: bool = True) -> Drawing:
    """Project shapes and tell what is seen.

    Args:
        shapes: CadQuery shapes (solids, or loose faces where only those are of interest).
        view: from where.
        hidden: whether hidden edges are wanted.
    """
    from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt
    from OCP.HLRAlgo import HLRAlgo_Projector
    from OCP.HLRBRep import HLRBRep_Algo, HLRBRep_HLRToShape

    algorithm = HLRBRep_Algo()
    count = 0
    for shape in shapes:
        algorithm.Add(shape.wrapped, 0)
        count += 1
    if not count:
        return Drawing((), (), ())
    axes = gp_Ax2(gp_Pnt(0.0, 0.0, 0.0), gp_Dir(*view.toward), gp_Dir(*view.right))
    algorithm.Projector(HLRAlgo_Projector(axes))
    algorithm.Update()
    algorithm.Hide()
    made = HLRBRep_HLRToShape(algorithm)
    visible = [*_curves(made.VCompound()), *_curves(made.OutLineVCompound())]
    smooth = _curves(made.Rg1LineVCompound())
    unseen: list[Curve] = []
    if hidden:
        unseen = [*_curves(made.HCompound()), *_curves(made.OutLineHCompound())]
    return _tidy(visible, smooth, unseen)


def with_hidden(seen: Drawing, whole: Drawing) -> Drawing:
    """The visible lines of one drawing, with all else that the other one holds as hidden.

    Where a bolt's thread bites into wood, two solids share room, and the kernel may call lines
    visible that lie within the wood. What is known to be seen then comes from ``seen``.
    """
    rest = [*whole.visible, *whole.smooth, *whole.hidden]
    return _tidy(list(seen.visible), list(seen.smooth), rest)


# -- out of the kernel -------------------------------------------------------------------------


def _curves(compound: Any) -> list[Curve]:
    from OCP.BRepAdaptor import BRepAdaptor_Curve
    from OCP.BRepLib import BRepLib
    from OCP.TopAbs import TopAbs_ShapeEnum
    from OCP.TopExp import TopExp_Explorer
    from OCP.TopoDS import TopoDS

    if compound is None or compound.IsNull():
        return []
    BRepLib.BuildCurves3d_s(compound)
    found = []
    walk = TopExp_Explorer(compound, TopAbs_ShapeEnum.TopAbs_EDGE)
    while walk.More():
        curve = _curve(BRepAdaptor_Curve(TopoDS.Edge(walk.Current())))
        if curve is not None:
            found.append(curve)
        walk.Next()
    return found


def _curve(edge: Any) -> Curve | None:
    from OCP.GeomAbs import GeomAbs_CurveType

    first, last = edge.FirstParameter(), edge.LastParameter()
    kind = edge.GetType()
    if kind == GeomAbs_CurveType.GeomAbs_Line:
        return _line(_xy(edge.Value(first)), _xy(edge.Value(last)))
    if kind == GeomAbs_CurveType.GeomAbs_Circle:
        circle = edge.Circle()
        return _arc(circle.Position(), circle.Radius(), circle.Radius(), first, last)
    if kind == GeomAbs_CurveType.GeomAbs_Ellipse:
        ellipse = edge.Ellipse()
        return _arc(ellipse.Position(), ellipse.MajorRadius(), ellipse.MinorRadius(), first, last)
    step = (last - first) / SAMPLES
    points = [_xy(edge.Value(first + i * step)) for i in range(SAMPLES + 1)]
    return _path(points)


def _xy(p: Any) -> Point:
    return (p.X(), p.Y())


def _line(a: Point, b: Point) -> Line | None:
    return Line(a, b) if math.dist(a, b) >= SHORTEST else None


def _path(points: Sequence[Point]) -> Curve | None:
    """A circle seen edge-on comes as a curve that runs to and fro on a straight line."""
    a = points[0]
    b = max(points, key=lambda p: math.dist(a, p))
    length = math.dist(a, b)
    if length < SHORTEST:
        return None
    d = ((b[0] - a[0]) / length, (b[1] - a[1]) / length)
    off = [(p[0] - a[0]) * d[1] - (p[1] - a[1]) * d[0] for p in points]
    if max(map(abs, off)) > SAME:
        return Path(tuple(points))
    along = [(p[0] - a[0]) * d[0] + (p[1] - a[1]) * d[1] for p in points]
    low, high = min(along), max(along)
    return _line((a[0] + low * d[0], a[1] + low * d[1]), (a[0] + high * d[0], a[1] + high * d[1]))


def _arc(position: Any, major: float, minor: float, first: float, last: float) -> Curve | None:
    centre, x = position.Location(), position.XDirection()
    tilt = math.atan2(x.Y(), x.X())
    start, sweep = first, last - first
    if position.Direction().Z() < 0.0:  # it runs clockwise on the paper
        start = -last
    if tilt < 0.0:  # the same ellipse turned by half: parameters move by half a turn
        tilt, start = tilt + math.pi, start - math.pi
    if tilt >= math.pi - PARALLEL:
        tilt, start = tilt - math.pi, start + math.pi
    if major - minor < SAME:  # a circle's tilt is arbitrary
        start, tilt = start + tilt, 0.0
    if sweep * major < SHORTEST:
        return None
    arc = Arc((centre.X(), centre.Y()), major, minor, tilt, start % _TURN, sweep)
    if minor < SAME:
        return _path([arc.at(arc.start + sweep * i / SAMPLES) for i in range(SAMPLES + 1)])
    return arc


# -- tidying -----------------------------------------------------------------------------------

_Spans: TypeAlias = list[tuple[float, float]]


def _join(spans: _Spans, tolerance: float) -> _Spans:
    """Union of intervals, sorted."""
    joined: _Spans = []
    for low, high in sorted(spans):
        if joined and low <= joined[-1][1] + tolerance:
            joined[-1] = (joined[-1][0], max(joined[-1][1], high))
        else:
            joined.append((low, high))
    return joined


def _without(spans: _Spans, taken: _Spans) -> _Spans:
    """What ``taken`` leaves of ``spans`` (both joined)."""
    left: _Spans = []
    for low, high in spans:
        at = low
        for t_low, t_high in taken:
            if t_high <= at or t_low >= high:
                continue
            if t_low > at:
                left.append((at, t_low))
            at = max(at, t_high)
        if at < high:
            left.append((at, high))
    return left


def _layers(stacked: list[_Spans], tolerance: float) -> list[_Spans]:
    """Each layer joined, less all that lies above it."""
    above: _Spans = []
    result = []
    for spans in stacked:
        joined = _join(spans, tolerance)
        result.append(_without(joined, above))
        above = _join([*above, *joined], tolerance)
    return result


def _runs(keyed: list[tuple[float, Any]], tolerance: float) -> Iterable[list[Any]]:
    """Items in groups whose keys follow each other within a tolerance."""
    keyed = sorted(keyed, key=lambda pair: pair[0])
    group: list[Any] = []
    last = -math.inf
    for key, item in keyed:
        if group and key - last > tolerance:
            yield group
            group = []
        group.append(item)
        last = key
    if group:
        yield group


def _tidy(*layers: list[Curve]) -> Drawing:
    """Draw each place once, in the first layer that has it."""
    out: list[list[Curve]] = [[] for _ in layers]
    lines = [(i, c) for i, layer in enumerate(layers) for c in layer if isinstance(c, Line)]
    arcs = [(i, c) for i, layer in enumerate(layers) for c in layer if isinstance(c, Arc)]
    _tidy_lines(lines, out)
    _tidy_arcs(arcs, out)
    seen: set[tuple[Point, ...]] = set()
    for i, layer in enumerate(layers):
        for curve in layer:
            if isinstance(curve, Path):
                points = tuple((round(x, 3), round(y, 3)) for x, y in curve.points)
                if points not in seen:
                    seen |= {points, points[::-1]}
                    out[i].append(curve)
    visible, smooth, hidden = (tuple(sorted(curves, key=_order)) for curves in out)
    return Drawing(visible, smooth, hidden)


def _order(curve: Curve) -> tuple[float, ...]:
    """A sorting key in which the last bits of a coordinate play no part."""
    numbers: tuple[float, ...]
    if isinstance(curve, Line):
        numbers = (0.0, *curve.start, *curve.end)
    elif isinstance(curve, Arc):
        axes = (curve.major, curve.minor, curve.tilt)
        numbers = (1.0, *curve.centre, *axes, curve.start, curve.sweep)
    else:
        numbers = (2.0, *itertools.chain.from_iterable(curve.points))
    return tuple(round(n, 4) + 0.0 for n in numbers)


def _tidy_lines(lines: list[tuple[int, Line]], out: list[list[Curve]]) -> None:
    angled = []
    for layer, line in lines:
        (ax, ay), (bx, by) = line.start, line.end
        angle = math.atan2(by - ay, bx - ax) % math.pi
        if angle >= math.pi - PARALLEL:
            angle = 0.0
        angled.append((angle, (layer, line, angle)))
    for parallel in _runs(angled, PARALLEL):
        # One direction for the group, from its longest line: short ones are less exact.
        _, _, angle = max(parallel, key=lambda item: math.dist(item[1].start, item[1].end))
        c, s = math.cos(angle), math.sin(angle)
        offset = [
            ((p[1] + q[1]) / 2 * c - (p[0] + q[0]) / 2 * s, (layer, p, q))
            for layer, line, _ in parallel
            for p, q in [(line.start, line.end)]
        ]
        for group in _runs(offset, SAME):
            stacked: list[_Spans] = [[] for _ in out]
            _, p, q = max(group, key=lambda item: math.dist(item[1], item[2]))
            off = (p[1] + q[1]) / 2 * c - (p[0] + q[0]) / 2 * s
            for layer, a, b in group:
                low, high = sorted((a[0] * c + a[1] * s, b[0] * c + b[1] * s))
                stacked[layer].append((low, high))
            for layer, spans in enumerate(_layers(stacked, SAME)):
                out[layer] += [
                    Line((t * c - off * s, t * s + off * c), (u * c - off * s, u * s + off * c))
                    for t, u in spans
                    if u - t >= SHORTEST
                ]


def _tidy_arcs(arcs: list[tuple[int, Arc]], out: list[list[Curve]]) -> None:
    keys: tuple[Callable[[Arc], float], ...] = (
        lambda a: a.centre[0],
        lambda a: a.centre[1],
        lambda a: a.major,
        lambda a: a.minor,
        lambda a: a.tilt * (a.major - a.minor),
    )
    groups: list[list[tuple[int, Arc]]] = [arcs]
    for key in keys:
        groups = [run for group in groups for run in _runs([(key(a[1]), a) for a in group], SAME)]
    for group in groups:
        model = group[0][1]
        tolerance = SAME / model.major
        stacked: list[_Spans] = [[] for _ in out]
        for layer, arc in group:
            end = arc.start + arc.sweep
            stacked[layer].append((arc.start, min(end, _TURN)))
            if end > _TURN:
                stacked[layer].append((0.0, end - _TURN))
        for layer, found in enumerate(_layers(stacked, tolerance)):
            spans = found
            if len(spans) > 1 and spans[0][0] < tolerance and spans[-1][1] > _TURN - tolerance:
                spans = [*spans[1:-1], (spans[-1][0], spans[0][1] + _TURN)]  # over the seam
            out[layer] += [
                Arc(model.centre, model.major, model.minor, model.tilt, t, u - t)
                for t, u in spans
                if (u - t) * model.major >= SHORTEST
            ]
