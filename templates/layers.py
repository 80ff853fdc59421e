"""Layer names: one operation a layer, its depth in the name, in every release of DXF.

A name holds capitals, digits, ``_`` and ``-`` only and has at most 31 characters: that is what
release 12 allows (Autodesk's DXF reference for releases 11 and 12, symbol table names). The
decimal point isn't among them, so a dash stands for it:

    MORTISE_53-181MM_DEEP     a mortise 53.181 mm deep
    DOG_HOLE_THROUGH          a hole right through, on the face where the tool enters
    DOG_HOLE_EXIT             the same hole on the far face
    SHOULDER_9-525MM_DEEP     a line to saw along, 9.525 mm deep
    OUTLINE, ARRISES, ...     lines that no tool follows, or the contour
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from treenail.timber.lengths import MM_PER_INCH, LengthUnit

if TYPE_CHECKING:
    from treenail.templates.figures import Figure, Reach

__all__ = [
    "ARRISES",
    "CENTRE_LINES",
    "CHECK_SQUARE",
    "NOTES",
    "OUTLINE",
    "REFERENCE_MARKS",
    "LayerName",
    "layer_of",
    "read_layer",
    "words_of",
]

OUTLINE = "OUTLINE"
ARRISES = "ARRISES"
CENTRE_LINES = "CENTRE_LINES"
REFERENCE_MARKS = "REFERENCE_MARKS"
CHECK_SQUARE = "CHECK_SQUARE"
NOTES = "NOTES"
LONGEST = 31

_MARKS = {
    "centre line": CENTRE_LINES,
    "face side mark": REFERENCE_MARKS,
    "face edge mark": REFERENCE_MARKS,
}
_DEEP = re.compile(r"(?P<what>[A-Z0-9_]+)_(?P<whole>\d+)-(?P<part>\d+)(?P<unit>MM|IN)_DEEP")
_FAR = re.compile(r"(?P<what>[A-Z0-9_]+)_(?P<reach>THROUGH|EXIT)")
_OTHER = re.compile(r"[^A-Z0-9]+")


@dataclass(frozen=True, slots=True)
class LayerName:
    """What a layer's name says: ``depth`` in mm where it has one."""

    what: str
    reach: Reach
    depth: float | None


def _number(mm: float, unit: LengthUnit) -> str:
    # Three decimals of a mm, five of an inch: both well inside a thousandth of a millimetre.
    text = f"{mm:.3f}MM" if unit == "mm" else f"{mm / MM_PER_INCH:.5f}IN"
    return text.replace(".", "-")


def layer_of(figure: Figure, *, unit: LengthUnit, end: bool = False) -> str:
    """The layer on which a figure is drawn; ``end`` for figures of an end view."""
    known = _MARKS.get(figure.what)
    if known:
        return known
    if figure.reach == "deep" and figure.depth is not None:
        tail = f"_{_number(figure.depth, unit)}_DEEP"
    elif figure.reach in ("through", "exit"):
        tail = f"_{figure.reach.upper()}"
    else:
        tail = "_AT_END" if end and not figure.what.endswith("at end") else ""
    what = _plain(figure.what)
    return what[: LONGEST - len(tail)].rstrip("_") + tail


def _plain(what: str) -> str:
    return _OTHER.sub("_", what.upper()).strip("_") or "CUT"


def words_of(what: str) -> str:
    """What :func:`read_layer` makes of an operation's name, unless it had to be cut short."""
    return _words(_plain(what))


def read_layer(name: str) -> LayerName:
    """What a layer's name says; names that carry no operation come back as marks."""
    upper = name.upper()
    deep = _DEEP.fullmatch(upper)
    if deep:
        depth = float(f"{deep['whole']}.{deep['part']}")
        return LayerName(
            _words(deep["what"]), "deep", depth * (MM_PER_INCH if deep["unit"] == "IN" else 1.0)
        )
    far = _FAR.fullmatch(upper)
    if far:
        return LayerName(_words(far["what"]), "exit" if far["reach"] == "EXIT" else "through", None)
    return LayerName(_words(upper), "mark", None)


def _words(name: str) -> str:
    return name.lower().replace("_", " ")
