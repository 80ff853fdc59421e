"""How far apart convex pieces of wood lie, or how deep they run into each other.

A piece is given by its corners (or, for a hole's axis, by its two ends). Separating axes tell
whether two pieces meet and how far one must move to clear the other; corners against faces and
edges against edges give the distance of pieces that don't. Numbers only, no kernel.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, TypeAlias

from treenail.joints.cuts import MitredTip, NotchedTip, TenonEnd
from treenail.joints.shaped_cuts import ShapedEnd
from treenail.timber.errors import GeometryError
from treenail.timber.frames import Vec, add, cross, dot, neg, norm, scale, sub
from treenail.timber.member import Face

if TYPE_CHECKING:
    from treenail.joints.mortise_tenon import MortiseTenon

#: The corners of a convex piece, mm.
Corners: TypeAlias = tuple[Vec, ...]

#: Corners within this distance of a plane lie on it, mm.
FLAT = 1e-6
#: Two unit directions whose cross product is shorter than this are parallel.
PARALLEL = 1e-7


@dataclass(frozen=True, slots=True)
class Hull:
    """A convex polyhedron, or a segment (then it has no planes and one edge).

    Attributes:
        corners: its points, mm.
        planes: (outward unit normal n, level): inside, n·p is at most the level.
        edges: pairs of corners.
        directions: unit directions of the edges, one for each set of parallel ones.
    """

    corners: Corners
    planes: tuple[tuple[Vec, float], ...]
    edges: tuple[tuple[Vec, Vec], ...]
    directions: tuple[Vec, ...]


@dataclass(frozen=True, slots=True)
class Separation:
    """What lies between two convex pieces.

    Attributes:
        distance: mm; 0 where they touch, negative where they overlap: then its size is the
            least move that parts them.
        direction: unit vector from the first to the second along which it is measured.
    """

    distance: float
    direction: Vec


@lru_cache(maxsize=512)
def hull(corners: Corners) -> Hull:
    """The convex hull of a few points (all its planes are tried: meant for up to some twenty).

    Raises GeometryError for a single point or points in one plane that aren't two.
    """
    points = tuple(dict.fromkeys(corners))
    if len(points) == 2:
        edge = (points[0], points[1])
        return Hull(points, (), (edge,), (_unit(sub(points[1], points[0])),))
    faces: dict[frozenset[int], tuple[Vec, float]] = {}
    for i, j, k in itertools.combinations(range(len(points)), 3):
        if any(i in face and j in face and k in face for face in faces):
            continue
        a = points[i]
        normal = cross(sub(points[j], a), sub(points[k], a))
        size = norm(normal)
        if size < FLAT:
            continue
        normal = scale(normal, 1.0 / size)
        level = dot(normal, a)
        heights = [dot(normal, p) - level for p in points]
        if min(heights) < -FLAT and max(heights) > FLAT:
            continue
        if max(heights) > FLAT:
            normal, level = neg(normal), -level
        faces[frozenset(n for n, h in enumerate(heights) if abs(h) <= FLAT)] = (normal, level)
    if len(faces) < 4:
        raise GeometryError("a convex piece needs four corners that don't lie in one plane")
    edges = []
    for f, g in itertools.combinations(faces, 2):
        shared = sorted(f & g)
        if len(shared) >= 2:
            pairs = itertools.combinations(shared, 2)
            i, j = max(pairs, key=lambda p: norm(sub(points[p[0]], points[p[1]])))
            edges.append((points[i], points[j]))
    directions: list[Vec] = []
    for p, q in edges:
        d = _unit(sub(q, p))
        if all(norm(cross(d, known)) > PARALLEL for known in directions):
            directions.append(d)
    return Hull(points, tuple(faces.values()), tuple(edges), tuple(directions))


def separation(a: Sequence[Vec], b: Sequence[Vec]) -> Separation:
    """The exact distance between two convex pieces, or how deep they overlap."""
    first, second = hull(tuple(a)), hull(tuple(b))
    axis = _widest_gap(first, second)
    # Nothing lies between two axes that cross: segments have a distance only.
    if axis is not None and (first.planes or second.planes) and axis.distance <= 0.0:
        return axis
    return _nearest(first, second)


@lru_cache(maxsize=2048)
def _bounds(corners: Corners) -> tuple[float, float, float, float, float, float]:
    xs, ys, zs = zip(*corners, strict=True)
    return (min(xs), min(ys), min(zs), max(xs), max(ys), max(zs))


def bounds_gap(a: Sequence[Vec], b: Sequence[Vec]) -> float:
    """A quick lower bound of the distance: that of the two upright boxes around them, mm.

    0 where the boxes touch or overlap.
    """
    p, q = _bounds(tuple(a)), _bounds(tuple(b))
    x = max(q[0] - p[3], p[0] - q[3], 0.0)
    y = max(q[1] - p[4], p[1] - q[4], 0.0)
    z = max(q[2] - p[5], p[2] - q[5], 0.0)
    return math.sqrt(x * x + y * y + z * z)


def reach(corners: Sequence[Vec], direction: Vec) -> tuple[float, float]:
    """The least and greatest position of a piece along a direction, mm."""
    along = [dot(direction, p) for p in corners]
    return (min(along), max(along))


def segment_distance(a: tuple[Vec, Vec], b: tuple[Vec, Vec]) -> Separation:
    """The distance between two segments, each given by its ends."""
    u, v, w = sub(a[1], a[0]), sub(b[1], b[0]), sub(b[0], a[0])
    uu, vv, uv, uw, vw = dot(u, u), dot(v, v), dot(u, v), dot(u, w), dot(v, w)
    spread = uu * vv - uv * uv
    # On both segments' inside, unless they are parallel; then an end is as near as any point.
    s = _clamp((uw * vv - vw * uv) / spread) if spread > 1e-14 * uu * vv else 0.0
    t = _clamp((uv * s - vw) / vv) if vv > 0.0 else 0.0
    s = _clamp((uw + uv * t) / uu) if uu > 0.0 else 0.0
    apart = sub(add(b[0], scale(v, t)), add(a[0], scale(u, s)))
    distance = norm(apart)
    if distance > 0.0:
        return Separation(distance, scale(apart, 1.0 / distance))
    across = cross(u, v)
    return Separation(0.0, _unit(across) if norm(across) > 0.0 else (0.0, 0.0, 1.0))


# --- what is left of a tenon


def tenon_bodies(joint: MortiseTenon) -> list[Corners]:
    """The wood that stands beyond a joint's shoulder, as convex pieces in bench coordinates.

    The tenon itself with its mitre, the part beside a notch, and the haunch.
    """
    place = joint.entering.placement
    return [
        tuple(place.point(joint.tenon.frame.point(p)) for p in piece)
        for piece in tenon_pieces(joint.tenon, joint.entering.width)
    ]


def tenon_pieces(tenon: TenonEnd, rail_width: float) -> list[Corners]:
    """The same in the tenon's end frame (z from the end to the shoulder), mm."""
    t = tenon
    pieces: list[Corners] = []
    if isinstance(t.tip, NotchedTip):
        notch = min(t.tip.width, t.x1 - t.x0)
        at_face_edge = t.tip.edge is Face.FACE_EDGE
        split = t.x0 + notch if at_face_edge else t.x1 - notch
        whole, cut = ((split, t.x1), (t.x0, split))
        if not at_face_edge:
            whole, cut = ((t.x0, split), (split, t.x1))
        pieces += _block(*whole, t.y0, t.y1, 0.0, t.length)
        pieces += _block(*cut, t.y0, t.y1, t.tip.length, t.length)
    elif isinstance(t.tip, MitredTip):
        pieces += _mitred(t, t.tip)
    elif isinstance(t, ShapedEnd):
        outlines = [t.outline_of(tongue) for tongue in t.tongues()]
        pieces += [
            tuple((x, y, z) for x, y in outline for z in (0.0, t.length)) for outline in outlines
        ]
    else:
        pieces += _block(t.x0, t.x1, t.y0, t.y1, 0.0, t.length)
    if t.haunch is not None:
        at_face_edge = t.haunch.edge is Face.FACE_EDGE
        shoulder = t.x0 if at_face_edge else rail_width - t.x1
        wide = min(t.haunch.width, shoulder)
        low, high = (t.x0 - wide, t.x0) if at_face_edge else (t.x1, t.x1 + wide)
        start = max(0.0, t.length - t.haunch.length)
        if isinstance(t.tip, NotchedTip) and t.tip.edge is t.haunch.edge:
            start = max(start, t.tip.length)  # the notch runs out across the haunch
        if t.haunch.sloped:
            pieces += _sloped(t, (high, low) if at_face_edge else (low, high), start)
        else:
            pieces += _block(low, high, t.y0, t.y1, start, t.length)
    return pieces


def _sloped(t: TenonEnd, span: tuple[float, float], start: float) -> list[Corners]:
    """A haunch that falls from the tenon (at the span's first x) to nothing."""
    near, far = span
    if abs(far - near) <= FLAT or t.length - start <= FLAT:
        return []
    side = ((near, start), (near, t.length), (far, t.length))
    return [tuple((x, y, z) for x, z in side for y in (t.y0, t.y1))]


def _block(x0: float, x1: float, y0: float, y1: float, z0: float, z1: float) -> list[Corners]:
    if x1 - x0 <= FLAT or y1 - y0 <= FLAT or z1 - z0 <= FLAT:
        return []
    return [tuple((x, y, z) for x in (x0, x1) for y in (y0, y1) for z in (z0, z1))]


def _mitred(t: TenonEnd, tip: MitredTip) -> list[Corners]:
    """The tenon behind its slanted end: a prism along x."""
    at_y0, at_y1 = tip.cut_back, tip.lead
    if not t.short_cheek_is_y0(tip):
        at_y0, at_y1 = at_y1, at_y0
    outline = []
    for y, z, other in ((t.y0, at_y0, at_y1), (t.y1, at_y1, at_y0)):
        if z < t.length:
            outline += [(y, z), (y, t.length)]
        elif other < t.length:  # the slant reaches the shoulder before it reaches this cheek
            far = t.y1 if y == t.y0 else t.y0
            outline.append((y + (far - y) * (z - t.length) / (z - other), t.length))
    if len(outline) < 3:
        return []
    return [tuple((x, y, z) for x in (t.x0, t.x1) for y, z in outline)]


# --- the geometry


def _unit(v: Vec) -> Vec:
    return scale(v, 1.0 / norm(v))


def _clamp(x: float) -> float:
    return min(max(x, 0.0), 1.0)


def _axes(a: Hull, b: Hull) -> Iterator[Vec]:
    for piece in (a, b):
        for normal, _ in piece.planes:
            yield normal
    for u, v in itertools.product(a.directions, b.directions):
        across = cross(u, v)
        size = norm(across)
        if size > PARALLEL:
            yield scale(across, 1.0 / size)


def _widest_gap(a: Hull, b: Hull) -> Separation | None:
    """The axis on which the pieces' shadows lie farthest apart (or overlap least)."""
    best: Separation | None = None
    for axis in _axes(a, b):
        low_a, high_a = reach(a.corners, axis)
        low_b, high_b = reach(b.corners, axis)
        forward, backward = low_b - high_a, low_a - high_b
        gap = max(forward, backward)
        if best is None or gap > best.distance:
            best = Separation(gap, axis if forward >= backward else neg(axis))
    return best


def _nearest(a: Hull, b: Hull) -> Separation:
    """The distance of pieces that don't overlap."""
    best: Separation | None = None
    for edge, other in itertools.product(a.edges, b.edges):
        found = segment_distance(edge, other)
        if best is None or found.distance < best.distance:
            best = found
    assert best is not None  # a hull has edges
    for body, corners, side in ((b, a.corners, -1.0), (a, b.corners, 1.0)):
        for normal, level in body.planes:
            for p in corners:
                height = dot(normal, p) - level
                if not 0.0 <= height < best.distance:
                    continue
                foot = sub(p, scale(normal, height))
                if all(dot(n, foot) <= other + 1e-9 for n, other in body.planes):
                    best = Separation(height, scale(normal, side))
    return best
