"""DXF templates: each member's faces at full size, one operation a layer.

Closed polylines with bulges and true circles, nothing drawn twice, units and extents in the
header, texts on a layer of their own. The same bench gives the same bytes.
"""

from __future__ import annotations

import math
import threading
import weakref
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from io import StringIO
from typing import TYPE_CHECKING, Any, Literal, TypeAlias

from treenail.generators.shape_key import shape_key
from treenail.joints.shaped_cuts import WedgeTaper
from treenail.templates.face_plan import member_faces
from treenail.templates.figures import Line, Loop, Ring, Shape
from treenail.templates.layers import (
    ARRISES,
    CENTRE_LINES,
    CHECK_SQUARE,
    NOTES,
    OUTLINE,
    REFERENCE_MARKS,
    read_layer,
)
from treenail.templates.sheet import Sheet, lay_out_sheet
from treenail.timber.errors import SpecError
from treenail.timber.lengths import MM_PER_INCH, LengthUnit, format_length

if TYPE_CHECKING:
    from treenail.generators.bench import Bench
    from treenail.timber.member import Member

__all__ = ["CURVES", "VERSIONS", "Curves", "Version", "alike", "member_dxf", "templates_for"]

Version: TypeAlias = Literal["R12", "R2000", "R2010"]
Curves: TypeAlias = Literal["polylines", "separate"]
VERSIONS: tuple[Version, ...] = ("R12", "R2000", "R2010")
CURVES: tuple[Curves, ...] = ("polylines", "separate")

_PLACES = 6  # decimals of a coordinate
_CHAIN = "CENTRE"  # line type of our own: long, gap, short, gap
# $INSUNITS and $MEASUREMENT (DXF reference, header variables).
_INSUNITS: dict[LengthUnit, int] = {"mm": 4, "in": 1}
_MEASUREMENT: dict[LengthUnit, int] = {"mm": 1, "in": 0}
# Colour numbers of the DXF palette: 1 red, 2 yellow, 3 green, 4 cyan, 5 blue, 6 magenta, 7 black
# or white, 8 grey.
_COLOURS = {OUTLINE: 7, ARRISES: 8, CENTRE_LINES: 1, REFERENCE_MARKS: 3, CHECK_SQUARE: 8, NOTES: 8}
_REACH_COLOURS = {"deep": 5, "through": 6, "exit": 4, "mark": 3}
_options_lock = threading.Lock()
# The last bench's groups: all templates of one bench are written one after the other.
_known: dict[int, tuple[weakref.ref[Bench], dict[str, tuple[str, ...]]]] = {}


def alike(bench: Bench, keys: Mapping[str, str] | None = None) -> dict[str, tuple[str, ...]]:
    """Names of the squared-up members and wedges of each shape, under the first one's name.

    ``keys`` are the shape keys by member name, if they are known already.
    """
    if keys is None:
        known = _known.get(id(bench))
        if known and known[0]() is bench:
            return known[1]
    groups: dict[str, list[str]] = {}
    for member in (*bench.timbers, *bench.wedges):
        if not member.round_section:
            key = keys[member.name] if keys else shape_key(member, bench.cuts[member.name])
            groups.setdefault(key, []).append(member.name)
    found = {names[0]: tuple(names) for names in groups.values()}
    if keys is None:
        _known.clear()
        _known[id(bench)] = (weakref.ref(bench), found)
    return found


def templates_for(bench: Bench, keys: Mapping[str, str] | None = None) -> tuple[Member, ...]:
    """The members that get a template: the first of each shape that has any cut."""
    return tuple(bench.by_name[name] for name in alike(bench, keys) if bench.cuts[name])


def member_dxf(
    bench: Bench,
    member: Member | str,
    *,
    version: Version = "R2000",
    units: LengthUnit = "mm",
    curves: Curves = "polylines",
    passed: bool = True,
    names: Sequence[str] | None = None,
) -> bytes:
    """A member's template.

    Args:
        bench: the numbers.
        member: the piece, or its name.
        version: release of DXF; R12 can't say its units, so its notes do.
        units: of the coordinates, which are really scaled.
        curves: ``polylines``, or ``separate`` lines and arcs for readers that can't do bulges.
        passed: False marks the sheet as not passed by the checks.
        names: the members of this shape, if they are known already.

    Raises:
        SpecError: an option that doesn't exist.
        GeometryError: a round peg, or a cut that no template shows.
    """
    for value, allowed, field in (
        (version, VERSIONS, "version"),
        (units, tuple(_INSUNITS), "units"),
        (curves, CURVES, "curves"),
    ):
        if value not in allowed:
            raise SpecError(
                f"{value!r} is not one of a DXF file's {field}",
                field=field,
                allowed=", ".join(allowed),
            )
    if isinstance(member, str):
        member = bench.by_name[member]
    if names is None:
        names = next((n for n in alike(bench).values() if member.name in n), (member.name,))
    blind = "inches" if units == "in" else "mm"
    remarks = (
        [f"DXF release 12 does not store units: tell the reader that they are {blind}."]
        if version == "R12"
        else []
    )
    remarks += [
        _wedge_words(member, cut, units)
        for cut in bench.cuts[member.name]
        if isinstance(cut, WedgeTaper)
    ]
    plan = member_faces(bench, member)
    sheet = lay_out_sheet(bench, plan, unit=units, alike=names, passed=passed, remarks=remarks)
    return _written(sheet, version=version, units=units, curves=curves)


def _wedge_words(member: Member, cut: WedgeTaper, units: LengthUnit) -> str:
    thin = cut.thin(member)
    butt, tip, long = (
        format_length(x, unit=units, denominator=64) for x in (member.width, thin, cut.length)
    )
    edges = "both edges" if min(cut.face_edge, cut.back_edge) > 0.0 else "one edge"
    return (
        f"A wedge: {butt} at the butt, {tip} at the thin end, {long} long; sloped on {edges}, "
        f"1 in {cut.length / (member.width - thin):.1f} in all."
    )


@contextmanager
def _fixed_values() -> Iterator[None]:
    """Time stamps and random ids of new documents are constants while this holds."""
    from ezdxf import options  # type: ignore[attr-defined]

    with _options_lock:
        before = options.write_fixed_meta_data_for_testing
        options.write_fixed_meta_data_for_testing = True
        try:
            yield
        finally:
            options.write_fixed_meta_data_for_testing = before


def _written(sheet: Sheet, *, version: Version, units: LengthUnit, curves: Curves) -> bytes:
    from ezdxf.document import Drawing
    from ezdxf.enums import InsertUnits

    scale = 1.0 if units == "mm" else 1.0 / MM_PER_INCH
    with _fixed_values():
        # Not ezdxf.new(): that sets units in release 12 too, and warns that it can't.
        doc = Drawing.new(version)
        if version != "R12":
            doc.units = InsertUnits(_INSUNITS[units])
            doc.modelspace().units = InsertUnits(_INSUNITS[units])  # stored from release 2007 on
        doc.header["$MEASUREMENT"] = _MEASUREMENT[units]
        pattern = (
            [20.0, 12.0, -3.0, 2.0, -3.0] if units == "mm" else [0.8, 0.48, -0.12, 0.08, -0.12]
        )
        doc.linetypes.add(_CHAIN, pattern=pattern, description="centre line")
        pen = _Pen(doc, scale, curves)
        for layer, shape in sheet.shapes:
            pen.draw(layer, shape)
        for words in sheet.words:
            pen.write(words.at, words.text, words.height)
        left, low, right, high = (round(v * scale, _PLACES) + 0.0 for v in sheet.box)
        doc.modelspace().reset_extents((left, low, 0.0), (right, high, 0.0))
        doc.header["$LIMMIN"] = (left, low)
        doc.header["$LIMMAX"] = (right, high)
        stream = StringIO()
        doc.write(stream)
        data: bytes = doc.encode(stream.getvalue())
    return data


class _Pen:
    """Draws shapes into a document, scaled and rounded, making layers as they are needed."""

    def __init__(self, doc: Any, scale: float, curves: Curves) -> None:
        self.doc = doc
        self.space = doc.modelspace()
        self.scale = scale
        self.curves = curves
        self.made: set[str] = set()
        self.old = doc.dxfversion <= "AC1009"

    def number(self, value: float) -> float:
        return round(value * self.scale, _PLACES) + 0.0

    def point(self, p: Sequence[float]) -> tuple[float, float]:
        return (self.number(p[0]), self.number(p[1]))

    def on(self, layer: str) -> dict[str, Any]:
        if layer not in self.made:
            self.made.add(layer)
            colour = _COLOURS.get(layer) or _REACH_COLOURS[read_layer(layer).reach]
            linetype = _CHAIN if layer == CENTRE_LINES else "CONTINUOUS"
            self.doc.layers.add(layer, color=colour, linetype=linetype)
        return {"layer": layer}

    def draw(self, layer: str, shape: Shape) -> None:
        on = self.on(layer)
        if isinstance(shape, Line):
            self.space.add_line(self.point(shape.start), self.point(shape.end), dxfattribs=on)
        elif isinstance(shape, Ring):
            self.space.add_circle(
                self.point(shape.centre), self.number(shape.diameter / 2.0), dxfattribs=on
            )
        elif self.curves == "separate":
            self._pieces(shape, on)
        elif self.old:
            points = [(*self.point(v), round(v[2], 9)) for v in shape.vertices]
            self.space.add_polyline2d(points, format="xyb", close=not shape.is_open, dxfattribs=on)
        else:
            points = [(*self.point(v), round(v[2], 9)) for v in shape.vertices]
            self.space.add_lwpolyline(points, format="xyb", close=not shape.is_open, dxfattribs=on)

    def _pieces(self, loop: Loop, on: dict[str, Any]) -> None:
        for (x0, y0, bulge), (x1, y1, _) in loop.pieces():
            if not bulge:
                self.space.add_line(self.point((x0, y0)), self.point((x1, y1)), dxfattribs=on)
                continue
            # Centre: from the chord's middle, to the left of start-to-end for a small
            # anticlockwise arc, by the distance that the bulge gives.
            k = (1.0 - bulge * bulge) / (4.0 * bulge)
            cx, cy = (x0 + x1) / 2.0 - k * (y1 - y0), (y0 + y1) / 2.0 + k * (x1 - x0)
            angles = [math.degrees(math.atan2(y - cy, x - cx)) for x, y in ((x0, y0), (x1, y1))]
            start, end = angles if bulge > 0.0 else reversed(angles)
            self.space.add_arc(
                self.point((cx, cy)),
                self.number(math.hypot(x0 - cx, y0 - cy)),
                round(start % 360.0, 9) + 0.0,
                round(end % 360.0, 9) + 0.0,
                dxfattribs=on,
            )

    def write(self, at: Sequence[float], text: str, height: float) -> None:
        self.space.add_text(
            plain_text(text),
            height=self.number(height),
            dxfattribs={**self.on(NOTES), "insert": self.point(at)},
        )


def plain_text(text: str) -> str:
    """A text that every reader shows as it is: codes of the format taken apart.

    Two per cent signs and a d would show as a degree sign, a backslash and U as any character,
    ``^J`` as a line feed; a space breaks such a code. Unprintable characters become escapes.
    """
    shown = "".join(
        c if c.isprintable() else c.encode("unicode_escape").decode("ascii") for c in text
    )
    for code in ("%%", "\\U", "\\M"):
        while code in shown:
            shown = shown.replace(code, f"{code[0]} {code[1]}")
    return shown.replace("^", "^ ")
