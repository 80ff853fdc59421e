"""Reads a template back and compares it with the cuts it was made from.

Nothing of the writer's geometry is used: faces are found again from the outline and the arrises
on the sheet, figures are folded back around the piece, and what comes out is compared with the
cuts in the member's own coordinates.
"""

from __future__ import annotations

import itertools
import math
import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import TYPE_CHECKING, Any, Literal, TypeAlias

from treenail.joints.cuts import Bore, Mortise, Slot
from treenail.joints.shaped_cuts import WedgeTaper
from treenail.joints.trenches import Trench
from treenail.templates.aslant_plan import POCKETS
from treenail.templates.dxf_loops import Drawn, read_loops
from treenail.templates.dxf_pockets import read_pocket
from treenail.templates.figures import Box, Loop
from treenail.templates.layers import (
    CHECK_SQUARE,
    OUTLINE,
    LayerName,
    read_layer,
    words_of,
)
from treenail.templates.shaped_plan import SHAPED
from treenail.templates.shaped_read import shaped_problems, wedge_problems
from treenail.timber.errors import SpecError
from treenail.timber.frames import Vec, cross, dot, neg, norm, sub
from treenail.timber.lengths import MM_PER_INCH
from treenail.timber.member import Face

if TYPE_CHECKING:
    from treenail.generators.bench import Bench
    from treenail.timber.member import Member

__all__ = ["TOLERANCE", "Found", "compare_dxf", "read_outlines"]

#: Sizes, positions and depths must agree to this, mm.
TOLERANCE = 1e-3

_ORDER = (Face.BACK_EDGE, Face.FACE_SIDE, Face.FACE_EDGE, Face.BACK_SIDE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """A closed figure read from a template; all in mm.

    Attributes:
        layer: as written.
        what, reach, depth: what the layer's name says.
        face: on which it lies; None for what lies beside the faces.
        form: ``circle``, ``rectangle``, ``slot``, ``contour``; or ``round`` or ``relieved``: a
            rectangle with such corners.
        centre: on the sheet: a circle's or slot's centre, else the middle of its bounds.
        size: (longer side, shorter side) of a rectangle, (over all, width) of a slot, the
            diameter twice of a circle, the bounds of another contour.
        along: unit vector of the longer side on the sheet.
        area: enclosed, mm².
        corners: a loop's vertices on the sheet.
        radius: of a rectangle's round or relieved corners.
        toward: unit vector on the sheet to the end that has such corners; None if both have.
    """

    layer: str
    what: str
    reach: Literal["deep", "through", "exit", "mark"]
    depth: float | None
    face: Face | None
    form: str
    centre: tuple[float, float]
    size: tuple[float, float]
    along: tuple[float, float]
    area: float
    corners: tuple[tuple[float, float], ...]
    radius: float = 0.0
    toward: tuple[float, float] | None = None


def read_outlines(source: str | os.PathLike[str] | bytes) -> list[Found]:
    """The closed figures of a template, layer by layer, in mm.

    Units come from the check square, and must agree with the header where that has any.

    Raises:
        SpecError: it can't be read, or isn't a template of ours.
    """
    return _read(source)[0]


def _read(
    source: str | os.PathLike[str] | bytes,
) -> tuple[list[Found], dict[Face, Box]]:
    """The figures, and where each face lies on the sheet."""
    loops, header = read_loops(source)
    scale = _scale(loops[CHECK_SQUARE], header)
    arrises = sorted({round(y * scale, 5) for y in header["arrises"]})
    contours = [x for x in loops[OUTLINE] if isinstance(x, Loop)]
    if not contours:
        raise SpecError("the template has no outline")
    main = max(contours, key=lambda loop: abs(loop.area()))
    left, low, right, high = _bounds(main, scale)
    levels = [low, *arrises, high]
    if len(levels) != 5:
        raise SpecError(f"the template has {len(arrises)} arrises, not 3")
    boxes: dict[Face, Box] = {
        face: (left, a, right, b)
        for face, (a, b) in zip(_ORDER, itertools.pairwise(levels), strict=True)
    }
    for contour in contours:
        if contour is not main:
            box = _bounds(contour, scale)
            boxes[Face.NEAR_END if box[2] < left else Face.FAR_END] = box
    found = []
    for layer in sorted(loops):
        name = read_layer(layer)
        for drawn in loops[layer]:
            figure = _figure(layer, name, drawn, scale)
            found.append(replace(figure, face=_face_at(figure, boxes)))
    return found, boxes


def _scale(square: Sequence[Drawn], header: Any) -> float:
    sides = [
        math.dist(a[:2], b[:2])
        for loop in square
        if isinstance(loop, Loop)
        for a, b in loop.pieces()
    ]
    for side, scale, code in ((100.0, 1.0, 4), (4.0, MM_PER_INCH, 1)):
        if len(sides) == 4 and all(abs(s - side) < 1e-5 for s in sides):
            if header["units"] not in (0, code):
                raise SpecError("the DXF's units and its check square disagree")
            return scale
    raise SpecError("the DXF has no check square of 100 mm or 4 in")


# -- loops to figures --------------------------------------------------------------------------


def _figure(layer: str, name: LayerName, drawn: Drawn, scale: float) -> Found:
    corners: tuple[tuple[float, float], ...] = ()
    along, radius, toward = (1.0, 0.0), 0.0, None
    if not isinstance(drawn, Loop):
        x, y, d = (v * scale for v in drawn)
        form, centre, size, area = "circle", (x, y), (d, d), math.pi * d * d / 4.0
    else:
        loop = Loop(tuple((x * scale, y * scale, b) for x, y, b in drawn.vertices))
        area = abs(loop.area())
        corners = tuple((x, y) for x, y, _ in loop.vertices)
        xs, ys = zip(*corners, strict=True)
        form, size = "contour", (max(xs) - min(xs), max(ys) - min(ys))
        centre = ((max(xs) + min(xs)) / 2.0, (max(ys) + min(ys)) / 2.0)
        if len(corners) == 4:
            form, centre, size, along = _four_sided(loop, area)
        elif (pocket := read_pocket(loop)) is not None:
            form, centre, size, along = pocket.kind, pocket.centre, pocket.size, pocket.along
            radius, toward = pocket.radius, pocket.toward
    return Found(
        layer=layer,
        what=name.what,
        reach=name.reach,
        depth=name.depth,
        face=None,
        form=form,
        centre=centre,
        size=size,
        along=along,
        area=area,
        corners=corners,
        radius=radius,
        toward=toward,
    )


def _four_sided(
    loop: Loop, area: float
) -> tuple[str, tuple[float, float], tuple[float, float], tuple[float, float]]:
    """(form, centre, size, direction) of a rectangle, a slot or another figure of four sides."""
    pieces = loop.pieces()
    sides = [(b[0] - a[0], b[1] - a[1]) for a, b in pieces]
    bulges = [abs(a[2]) for a, _ in pieces]
    lengths = [math.hypot(*s) for s in sides]
    centre = (
        math.fsum(v[0] for v in loop.vertices) / 4.0,
        math.fsum(v[1] for v in loop.vertices) / 4.0,
    )
    round_ones = [i for i, b in enumerate(bulges) if b]
    if len(round_ones) == 2 and round_ones[1] - round_ones[0] == 2:
        straight = (round_ones[0] + 1) % 4
        width, run = lengths[round_ones[0]], lengths[straight]
        ux, uy = sides[straight][0] / run, sides[straight][1] / run
        is_slot = all(abs(bulges[i] - 1.0) < 1e-6 for i in round_ones)
        return ("slot" if is_slot else "contour"), centre, (run + width, width), (ux, uy)
    longer = 0 if lengths[0] >= lengths[1] else 1
    run, width = lengths[longer], lengths[1 - longer]
    along = (sides[longer][0] / run, sides[longer][1] / run)
    square = abs(run * width - area) < 1e-3 * max(1.0, run)
    return ("rectangle" if square else "contour"), centre, (run, width), along


def _bounds(loop: Loop, scale: float) -> Box:
    xs, ys = ([v[i] * scale for v in loop.vertices] for i in (0, 1))
    return (min(xs), min(ys), max(xs), max(ys))


def _face_at(figure: Found, boxes: Mapping[Face, Box]) -> Face | None:
    x, y = figure.centre
    for face, (left, low, right, high) in boxes.items():
        if low <= y < high and left - 1.0 <= x <= right + 1.0:
            return face
    if figure.reach != "mark":  # beyond the piece: an operation that has missed it
        for face in _ORDER:
            if boxes[face][1] <= y < boxes[face][3]:
                return face
    return None


# -- figures against cuts ----------------------------------------------------------------------


def _folded(member: Member, face: Face, box: Box, x: float, y: float) -> Vec:
    """A point of a face on the sheet, on the piece itself, in the member's coordinates."""
    left, low, _, high = box
    length, wide, thick = member.size
    match face:
        case Face.FACE_SIDE:  # the face edge is at its top
            return (x, high - y, 0.0)
        case Face.FACE_EDGE:  # the face side is below it
            return (x, 0.0, y - low)
        case Face.BACK_SIDE:  # the face edge is below it
            return (x, y - low, thick)
        case Face.BACK_EDGE:  # the face side is above it
            return (x, wide, high - y)
        case Face.NEAR_END:  # the face edge is at its top, the face side to the right
            return (0.0, high - y, thick - (x - left))
        case Face.FAR_END:  # the face edge is at its top, the face side to the left
            return (length, high - y, x - left)


def _on_piece(member: Member, boxes: Mapping[Face, Box], face: Face, x: float, y: float) -> Vec:
    return _folded(member, face, boxes[face], x, y)


#: What a template shows as an outline on the face where the tool enters.
_Outlined: TypeAlias = Mortise | Bore | Slot | Trench


def _sizes(cut: _Outlined) -> tuple[float, float]:
    if isinstance(cut, Mortise | Trench):
        return (cut.length, cut.width)
    if isinstance(cut, Bore):
        return (cut.diameter, cut.diameter)
    return (cut.centres + cut.width, cut.width)


_FORMS = {Mortise: "rectangle", Bore: "circle", Slot: "slot", Trench: "rectangle"}


def _form(cut: _Outlined) -> str:
    if isinstance(cut, Mortise | Trench) and cut.corners is not None:
        return cut.corners.kind
    return _FORMS[type(cut)]


def compare_dxf(
    bench: Bench, member: Member | str, data: bytes | str | os.PathLike[str]
) -> list[str]:
    """What a template says otherwise than the cuts; empty if every outline is right.

    Each mortise, hole and slot must be there once on the face where its tool enters (and once
    on the far face if it goes through), with size, place, direction and depth within
    ``TOLERANCE``; nothing more may be there.
    """
    if isinstance(member, str):
        member = bench.by_name[member]
    found, boxes = _read(data)
    left = [f for f in found if f.reach != "mark"]
    problems = []
    wanted: dict[tuple[Any, ...], tuple[_Outlined, str, Face]] = {}
    for cut in bench.cuts[member.name]:
        if isinstance(cut, SHAPED + POCKETS):
            fold = partial(_on_piece, member, boxes)
            problems += shaped_problems(cut, left, fold, name=member.name, within=TOLERANCE)
        elif isinstance(cut, WedgeTaper):
            fold = partial(_on_piece, member, boxes)
            problems += wedge_problems(member, cut, left, fold, within=TOLERANCE)
        elif isinstance(cut, _Outlined):
            through = not isinstance(cut, Trench) and cut.through
            ways = [("through" if through else "deep", cut.face)]
            if through:
                ways.append(("exit", cut.face.opposite))
            for reach, face in ways:
                key = (type(cut), cut.purpose, cut.frame, _sizes(cut), cut.depth, reach)
                wanted.setdefault(key, (cut, reach, face))
    # Right ones are taken first, so that a wrong outline is reported once, as itself.
    astray = []
    for cut, reach, face in wanted.values():
        fits = _fits(member, cut, reach, boxes.get(face), face, left)
        if fits and max(fits[0][0].values()) <= TOLERANCE:
            left.remove(fits[0][1])
        else:
            astray.append((cut, reach, face))
    for cut, reach, face in astray:
        name = f"{member.name}: {cut.purpose} of {cut.joint} on the {face} ({reach})"
        fits = _fits(member, cut, reach, boxes.get(face), face, left)
        if not fits or fits[0][1].face is not face:
            problems.append(f"{name} is missing")
            continue
        differences, figure = fits[0]
        left.remove(figure)
        problems += [
            f"{name}: {what} differs by {by:.4g} mm"
            for what, by in differences.items()
            if not by <= TOLERANCE
        ]
    problems += [
        f"{member.name}: {figure.layer} holds a {figure.form} that no cut asks for"
        for figure in left
    ]
    return problems


def _fits(
    member: Member,
    cut: _Outlined,
    reach: str,
    box: Box | None,
    face: Face,
    left: Sequence[Found],
) -> list[tuple[dict[str, float], Found]]:
    """Figures of the cut's kind, the nearest first, all taken to lie on its face.

    A hole that misses its face (on a bench that fails its checks) is then still found; one that
    is drawn on another face is far off.
    """
    if box is None:  # an end that the sheet doesn't show
        return []
    what = words_of(cut.purpose)
    found = [
        (_differences(member, cut, reach, box, face, figure), figure)
        for figure in left
        if figure.reach == reach
        and figure.form == _form(cut)
        and what.startswith(figure.what)  # a long name was cut short
    ]
    return sorted(found, key=lambda item: (max(item[0].values()), item[1].layer))


def _differences(
    member: Member,
    cut: _Outlined,
    reach: str,
    box: Box,
    face: Face,
    figure: Found,
) -> dict[str, float]:
    """How far a figure is from a cut, mm, by what differs."""
    centre = _folded(member, face, box, *figure.centre)
    run = abs(dot(cut.frame.z, face.inward))
    deep = member.extent(face) / run if reach == "exit" else 0.0
    found = {"position": norm(sub(centre, cut.frame.point((0.0, 0.0, deep))))}
    if run >= 1.0 - 1e-9:  # an oblique mortise's mouth is longer than its section
        long, short = _sizes(cut)
        found["length"] = abs(max(long, short) - figure.size[0])
        found["width"] = abs(min(long, short) - figure.size[1])
        if not isinstance(cut, Bore) and abs(long - short) > TOLERANCE:
            x, y = (c + a for c, a in zip(figure.centre, figure.along, strict=True))
            ahead = sub(_folded(member, face, box, x, y), centre)
            axis = cut.frame.x if long > short else cut.frame.y
            # How far the figure's ends stand off the cut's long axis.
            found["direction"] = norm(cross(ahead, axis)) * max(long, short) / 2.0
        if isinstance(cut, Mortise | Trench) and cut.corners is not None:
            found["corner radius"] = abs(cut.corners.radius - figure.radius)
            toward = figure.toward
            if cut.corners.low and cut.corners.high:
                found["corners"] = 0.0 if toward is None else math.inf
            elif toward is None:
                found["corners"] = math.inf
            else:
                x, y = (c + a for c, a in zip(figure.centre, toward, strict=True))
                ahead = sub(_folded(member, face, box, x, y), centre)
                way = cut.frame.x if cut.corners.high else neg(cut.frame.x)
                found["corners"] = norm(sub(ahead, way)) * cut.length / 2.0
    if reach == "deep":
        found["depth"] = math.inf if figure.depth is None else abs(cut.depth - figure.depth)
    return found
