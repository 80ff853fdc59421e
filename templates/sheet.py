"""A member's template as one sheet: figures on layers, texts where nothing else is drawn."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from treenail.joints.angled_cuts import AngledMortise, SkewNotch
from treenail.joints.cuts import Bore, Mortise, Slot
from treenail.templates.aslant_plan import LEVEL, aslant_notes
from treenail.templates.figures import (
    Box,
    Figure,
    Line,
    Loop,
    Point,
    Ring,
    Shape,
    box_of,
    merged_lines,
    rectangle,
    union_box,
)
from treenail.templates.layers import (
    ARRISES,
    CENTRE_LINES,
    CHECK_SQUARE,
    NOTES,
    OUTLINE,
    layer_of,
)
from treenail.timber.lengths import MM_PER_INCH, LengthUnit, format_length

if TYPE_CHECKING:
    from treenail.generators.bench import Bench
    from treenail.templates.face_plan import FacePlan, MemberPlan

__all__ = ["Sheet", "Words", "lay_out_sheet"]

#: Estimated advance of a letter, as a share of its height: wide fonts included.
LETTER = 0.9
#: Between the development and the notes below it, mm.
NOTES_GAP = 20.0
_NOTE_HEIGHT = 5.0
_LINE = 1.7  # from one line of notes to the next, in letter heights
_WRAP = 90  # letters in a line of notes
_CLEAR = 2.5  # kept free around a text, mm
_BIG = 10.0


@dataclass(frozen=True, slots=True)
class Words:
    """One line of text: its lower left corner and the height of its capitals, mm."""

    at: Point
    text: str
    height: float

    @property
    def box(self) -> Box:
        """Estimated bounds."""
        x, y = self.at
        return (x, y, x + LETTER * self.height * len(self.text), y + self.height)


@dataclass(frozen=True, kw_only=True)
class Sheet:
    """What a template file holds, in mm, and on which layer.

    Attributes:
        shapes: (layer, figure), nothing drawn twice on one layer.
        words: all texts; they are on the layer for notes.
        square: side of the check square, mm.
    """

    shapes: tuple[tuple[str, Shape], ...]
    words: tuple[Words, ...]
    square: float

    @property
    def box(self) -> Box:
        """Bounds of everything, texts estimated."""
        return union_box([*(box_of(s) for _, s in self.shapes), *(w.box for w in self.words)])


def lay_out_sheet(
    bench: Bench,
    plan: MemberPlan,
    *,
    unit: LengthUnit,
    alike: Sequence[str],
    passed: bool,
    remarks: Sequence[str] = (),
) -> Sheet:
    """Put a member's plan on layers and write its notes.

    Args:
        bench: for the notes.
        plan: what to draw.
        unit: of the file.
        alike: names of all members of this shape.
        passed: False marks the sheet.
        remarks: further lines for the notes.
    """
    drawn: list[tuple[str, Shape]] = [(OUTLINE, plan.outline)]
    drawn += [(ARRISES, line) for line in plan.arrises]
    words: list[Words] = []
    counts: Counter[str] = Counter()
    for face in plan.faces:
        is_end = face.face.is_end
        if is_end:
            drawn.append((OUTLINE, face.outline.moved(face.at)))
        named = [(layer_of(f, unit=unit, end=is_end), f) for f in face.figures]
        counts.update(layer for layer, f in named if f.reach != "mark")
        drawn += [(layer, f.shape.moved(face.at)) for layer, f in named]
        words += _face_words(face, named, unit)
    side = 100.0 if unit == "mm" else 4.0 * MM_PER_INCH
    top = -NOTES_GAP
    drawn.append((CHECK_SQUARE, rectangle((0.0, top - side, side, top))))
    size = side / 12.0
    middle = (side - size * LETTER * len(_square(unit))) / 2.0
    words.append(Words((middle, top - side / 2.0 - size / 2.0), _square(unit), size))
    notes = _notes(bench, plan, unit, alike, counts, remarks)
    return Sheet(
        shapes=_once(drawn),
        words=(*words, *_written(notes, side + 15.0, top, passed=passed)),
        square=side,
    )


def _square(unit: LengthUnit) -> str:
    return "100 mm" if unit == "mm" else "4 in"


def _once(drawn: Sequence[tuple[str, Shape]]) -> tuple[tuple[str, Shape], ...]:
    """Nothing twice on a layer: equal figures once, lines that lie on each other joined."""
    lines: dict[str, list[Line]] = {}
    kept: dict[tuple[str, Shape], None] = {}
    for layer, shape in drawn:
        if isinstance(shape, Line):
            lines.setdefault(layer, []).append(shape)
        else:
            kept.setdefault((layer, _rounded(shape)))
    found = [*kept]
    for layer, some in sorted(lines.items()):
        found += [(layer, line) for line in merged_lines(some)]
    return tuple(found)


def _rounded(shape: Loop | Ring) -> Loop | Ring:
    """Coordinates to 1e-6 mm, so that equal figures are found equal."""
    if isinstance(shape, Ring):
        (x, y), d = shape.centre, shape.diameter
        return Ring((round(x, 6) + 0.0, round(y, 6) + 0.0), round(d, 6))
    return Loop(
        tuple((round(x, 6) + 0.0, round(y, 6) + 0.0, b) for x, y, b in shape.vertices),
        shape.is_open,
    )


# -- texts on the faces ------------------------------------------------------------------------


def _free(box: Box, taken: Sequence[Box], within: Box) -> bool:
    left, low, right, high = box
    if left < within[0] or low < within[1] or right > within[2] or high > within[3]:
        return False
    return not any(
        left < t[2] + _CLEAR
        and right > t[0] - _CLEAR
        and low < t[3] + _CLEAR
        and high > t[1] - _CLEAR
        for t in taken
    )


def _face_words(
    face: FacePlan, named: Sequence[tuple[str, Figure]], unit: LengthUnit
) -> list[Words]:
    """The face's name and a label for each kind of operation, each where there is room."""
    wide, high = face.size
    dx, dy = face.at
    if face.face.is_end:
        size = min(4.0, wide / (LETTER * len(face.face.value)))
        return [Words((dx, dy - 1.8 * size), face.face.value, size)]
    taken = [box_of(f.shape) for _, f in named]
    within = (
        max(v[0] for v in face.outline.vertices if v[0] < wide / 2.0) + 1.0,
        1.0,
        min(v[0] for v in face.outline.vertices if v[0] > wide / 2.0) - 1.0,
        high - 1.0,
    )
    found: list[Words] = []

    def put(text: str, height: float, spots: Sequence[Point]) -> bool:
        for spot in spots:
            words = Words(spot, text, height)
            if _free(words.box, taken, within):
                taken.append(words.box)
                found.append(words)
                return True
        return False

    size = max(1.5, min(8.0, high / 6.0))
    for shrunk in (size, size / 2.0):
        name = Words((0.0, 0.0), face.face.value, shrunk).box[2]
        middle = (wide - name) / 2.0
        spots = [
            (middle + way * i * wide / 60.0, y)
            for i in range(31)
            for way in (1.0, -1.0)
            for y in ((high - shrunk) / 2.0, high / 4.0 - shrunk / 2.0, 0.75 * high - shrunk / 2.0)
        ]
        if put(face.face.value, shrunk, spots):
            break
    small = max(1.2, min(3.5, high / 12.0))
    for text, shapes in _labels(named, unit).items():
        long = Words((0.0, 0.0), text, small).box[2]
        for shape in shapes:
            spots = [
                (min(max(x, within[0]), within[2] - long), y)
                for x, y in _around(box_of(shape), long, small)
            ]
            if put(text, small, spots):
                break
    return [Words((w.at[0] + dx, w.at[1] + dy), w.text, w.height) for w in found]


def _around(box: Box, long: float, high: float) -> list[Point]:
    """Places for a label beside, above or below a figure and its centre lines."""
    left, low, right, top = box
    mid_x, mid_y = (left + right - long) / 2.0, (low + top - high) / 2.0
    rows = (mid_y, mid_y + 2.0 * high, mid_y - 2.0 * high)
    found: list[Point] = []
    # The wider gaps step over a counterbore about the hole.
    for gap in (6.0, 16.0, 30.0):
        found += [(x, y) for x in (right + gap, left - gap - long) for y in rows]
        found += [
            (x, y) for x in (mid_x, left, right - long) for y in (top + gap, low - gap - high)
        ]
    return found


def _labels(named: Sequence[tuple[str, Figure]], unit: LengthUnit) -> dict[str, list[Shape]]:
    """Label texts and the figures that each stands for, from left to right."""
    found: dict[str, list[Shape]] = {}
    counted = [
        (_label(f, unit), f.shape)
        for _, f in named
        if f.reach != "mark" and not isinstance(f.shape, Line)
    ]
    for text, shape in sorted(counted, key=lambda item: box_of(item[1])):
        found.setdefault(text, []).append(shape)
    return {
        (f"{len(shapes)} x {text}" if len(shapes) > 1 else text): shapes
        for text, shapes in found.items()
    }


def _label(figure: Figure, unit: LengthUnit) -> str:
    if figure.reach == "exit":
        return f"{figure.what} comes out"
    deep = "through" if figure.reach == "through" else f"{_length(figure.depth or 0.0, unit)} deep"
    return f"{figure.what} {_size(figure, unit)}, {deep}"


def _size(figure: Figure, unit: LengthUnit) -> str:
    match figure.cut:
        case AngledMortise() as cut:
            section = f"{_length(cut.length, unit)} x {_length(cut.width, unit)}"
            return f"{section} square to its axis"
        case SkewNotch() as cut:
            return f"{_length(cut.width, unit)} wide"
        case Mortise() as cut:
            return f"{_length(cut.length, unit)} x {_length(cut.width, unit)}"
        case Bore() as cut:
            bit = f"dia. {_length(cut.diameter, unit)}"
            return bit if cut.tilt < LEVEL else f"{bit}, leans {math.degrees(cut.tilt):.2f} deg"
        case Slot() as cut:
            return f"{_length(cut.centres + cut.width, unit)} x {_length(cut.width, unit)}"
        case _:
            return ""


def _length(mm: float, unit: LengthUnit) -> str:
    return format_length(mm, unit=unit, denominator=64, remainder=unit == "in")


# -- notes -------------------------------------------------------------------------------------


def _notes(
    bench: Bench,
    plan: MemberPlan,
    unit: LengthUnit,
    alike: Sequence[str],
    counts: Counter[str],
    remarks: Sequence[str],
) -> list[str]:
    member = plan.member
    woods = sorted({bench.by_name[name].species.name for name in alike})
    names = ", ".join(alike)
    return [
        f"{bench.name}: {member.name}",
        f"{len(alike)} alike: {names}" if len(alike) > 1 else "1 of this shape",
        f"{' x '.join(_length(v, unit) for v in member.size)}, {' and '.join(woods)}",
        f"Full size (1:1), in {'mm' if unit == 'mm' else 'inches'}.",
        f"Before use, see that the square measures {_square(unit)} each way.",
        *remarks,
        *aslant_notes(member, bench.cuts[member.name]),
        "Faces as seen from outside; from the bottom: back edge, face side, face edge, back side.",
        "They fold around the piece at the arrises. End views have the face edge at the top.",
        f"Texts are on layer {NOTES} alone, centre lines on {CENTRE_LINES}: cut neither.",
        "In the names of layers a dash stands for the decimal point:",
        *(f"   {layer}: {count}" for layer, count in sorted(counts.items())),
        "Work to your machine's manual; clamp the piece and guard the tool before you cut.",
    ]


def _wrapped(text: str) -> list[str]:
    lines: list[str] = []
    indent = text[: len(text) - len(text.lstrip())]
    current = ""
    for word in text.split():
        while len(word) > _WRAP:  # a name without spaces, given from a program
            lines.append(f"{indent}{current}".rstrip())
            current, word = word[:_WRAP], word[_WRAP:]  # noqa: PLW2901
        longer = f"{current} {word}".strip()
        if len(longer) > _WRAP:
            lines.append(f"{indent}{current}")
            longer = word
        current = longer
    lines.append(f"{indent}{current}")
    return [line for line in lines if line.strip()]


def _written(notes: Sequence[str], x: float, top: float, *, passed: bool) -> list[Words]:
    found: list[Words] = []
    y = top
    if not passed:
        y -= _BIG
        found.append(Words((x, y), "NOT PASSED: do not cut from this sheet", _BIG))
        y -= 0.7 * _BIG
    for note in notes:
        for i, line in enumerate(_wrapped(note)):
            y -= _LINE * _NOTE_HEIGHT if found and (i or y < top) else _NOTE_HEIGHT
            found.append(Words((x, y), line, _NOTE_HEIGHT))
    return found
