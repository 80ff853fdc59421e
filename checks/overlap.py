"""The volume that two solids share, exactly, and whether they touch.

Most pairs in a bench are settled without the kernel's boolean, which costs as much as building
the solid: a round piece (peg, bolt) is compared slab by slab along its axis with the holes it
stands in, and squared pieces by cutting their common bounds into cells in which only one of them
has faces. Both are proofs: whatever they can't prove, the kernel measures.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias

from treenail.checks.survey import (
    SAME,
    Box,
    FaceData,
    Placed,
    Survey,
    box_volume,
    common_box,
    placed_box,
)
from treenail.checks.turned import Unsettled, turned, turned_volume
from treenail.timber.frames import Frame, dot, norm, scale, sub

How: TypeAlias = Literal["apart", "turned", "cells", "kernel"]

#: Cells after which the kernel is asked instead.
MOST_CELLS = 200


@dataclass(frozen=True, slots=True)
class Shared:
    """What two solids share.

    Attributes:
        volume: mm³.
        box: bounds of where, in the bench, mm; None if they lie apart.
        how: how it was found: ``apart`` (bounds alone), ``turned``, ``cells`` or ``kernel``.
    """

    volume: float
    box: Box | None
    how: How


def _meets(box: Box, cell: Box) -> bool:
    """Whether a face's box reaches into a cell's inside."""
    low, high = box
    a, b = cell
    return (
        low[0] < b[0] - SAME
        and high[0] > a[0] + SAME
        and low[1] < b[1] - SAME
        and high[1] > a[1] + SAME
        and low[2] < b[2] - SAME
        and high[2] > a[2] + SAME
    )


class _Cells:
    """Cuts the common bounds of two solids into cells until each holds faces of one only."""

    def __init__(self, first: Placed, second: Placed) -> None:
        # All in the first one's coordinates.
        self.first, self.second = first, second
        self.between = first.frame.localise(second.frame)
        self.count = 0

    def volume(self) -> float:
        a = [f.box for f in self.first.survey.faces]
        b = [placed_box(f.box, self.between) for f in self.second.survey.faces]
        whole = common_box(self.first.survey.box, placed_box(self.second.survey.box, self.between))
        return 0.0 if whole is None else self._look(whole, a, b)

    def _look(self, cell: Box, a: Sequence[Box], b: Sequence[Box]) -> float:
        self.count += 1
        if self.count > MOST_CELLS:
            raise Unsettled
        if any(h - g <= SAME for g, h in zip(*cell, strict=True)):
            return 0.0
        a = [box for box in a if _meets(box, cell)]
        b = [box for box in b if _meets(box, cell)]
        middle = (
            (cell[0][0] + cell[1][0]) / 2.0,
            (cell[0][1] + cell[1][1]) / 2.0,
            (cell[0][2] + cell[1][2]) / 2.0,
        )
        if not a and self.first.survey.state(middle) == "out":
            return 0.0
        if not b and self.second.survey.state(self.between.local_point(middle)) == "out":
            return 0.0
        if not a and not b:
            return box_volume(cell)
        total = 0.0
        axis, at = self._cut(cell, a, b)
        for low, high in ((cell[0][axis], at), (at, cell[1][axis])):
            g, h = list(cell[0]), list(cell[1])
            g[axis], h[axis] = low, high
            total += self._look(((g[0], g[1], g[2]), (h[0], h[1], h[2])), a, b)
        return total

    @staticmethod
    def _cut(cell: Box, a: Sequence[Box], b: Sequence[Box]) -> tuple[int, float]:
        """The plane that best parts one solid's faces from the other's."""
        best: tuple[float, int, float] | None = None
        for axis in range(3):
            low, high = cell[0][axis], cell[1][axis]
            spots = {
                v
                for box in (*a, *b)
                for v in (box[0][axis], box[1][axis])
                if low + SAME < v < high - SAME
            }
            for v in spots:
                below = sum(x[0][axis] < v - SAME for x in a), sum(x[0][axis] < v - SAME for x in b)
                above = sum(x[1][axis] > v + SAME for x in a), sum(x[1][axis] > v + SAME for x in b)
                cost = below[0] * below[1] + above[0] * above[1]
                if best is None or (cost, axis, v) < best:
                    best = (cost, axis, v)
        if best is None:
            raise Unsettled
        return best[1], best[2]


# --- any pair


def kernel_volume(first: Placed, second: Placed) -> float:
    """The shared volume by the kernel's boolean, mm³."""
    import cadquery as cq
    from OCP.BRepAlgoAPI import BRepAlgoAPI_Common
    from OCP.TopTools import TopTools_ListOfShape

    from treenail.generators.solids import location

    arguments, tools = TopTools_ListOfShape(), TopTools_ListOfShape()
    for placed, into in ((first, arguments), (second, tools)):
        into.Append(placed.survey.solid.moved(location(placed.frame)).wrapped)
    common = BRepAlgoAPI_Common()
    common.SetArguments(arguments)
    common.SetTools(tools)
    common.SetToFillHistory(False)
    common.Build()
    found = cq.Shape.cast(common.Shape())
    return sum(solid.Volume() for solid in found.Solids())


def _volume(first: Placed, second: Placed) -> tuple[float, How]:
    round_ones = False
    for placed, other in ((first, second), (second, first)):
        piece = turned(placed.survey)
        if piece is not None:
            round_ones = True
            try:
                return turned_volume(piece, placed, other), "turned"
            except Unsettled:
                continue
    if round_ones:  # cells can't tell a cylinder from the hole around it
        return kernel_volume(first, second), "kernel"
    try:
        return _Cells(first, second).volume(), "cells"
    except Unsettled:
        return kernel_volume(first, second), "kernel"


class Overlaps:
    """Measures pairs; pairs that stand to each other alike are measured once."""

    def __init__(self) -> None:
        self._known: dict[tuple[int, int, Frame], tuple[float, How]] = {}
        self._keep: dict[int, Survey] = {}

    def between(self, first: Placed, second: Placed) -> Shared:
        """What two placed solids share."""
        box = common_box(first.box, second.box)
        if box is None or any(h - g <= SAME for g, h in zip(*box, strict=True)):
            return Shared(0.0, None, "apart")
        for survey in (first.survey, second.survey):
            self._keep[id(survey)] = survey  # so that an id stays its own
        key = (id(first.survey), id(second.survey), first.frame.localise(second.frame))
        if key not in self._known:
            self._known[key] = _volume(first, second)
        volume, how = self._known[key]
        return Shared(volume, box, how)


def faces_touch(first: Placed, second: Placed) -> bool:
    """Whether two solids touch: two faces of theirs come within 1e-6 mm.

    Faces that lie on each other are looked for first; the kernel then measures only those.
    """
    import cadquery as cq
    from OCP.BRepExtrema import BRepExtrema_DistShapeShape

    from treenail.generators.solids import location

    between = first.frame.localise(second.frame)
    theirs = [f.placed(between) for f in second.survey.faces]
    reach = common_box(first.survey.box, placed_box(second.survey.box, between))
    if reach is None:
        return False
    mine = [f for f in first.survey.faces if common_box(f.box, reach)]
    theirs = [f for f in theirs if common_box(f.box, reach)]
    place = location(between)
    # Largest common bounds first: the likeliest to touch.
    pairs = []
    for f in mine:
        for g in theirs:
            box = common_box(f.box, g.box)
            if box is not None and not _inside_each_other(f, g):
                sides = sorted(h - g for g, h in zip(*box, strict=True))
                pairs.append((-sides[2] * sides[1], f.index, g.index))
    pairs.sort()
    for _, i, j in pairs:
        face = cq.Shape(second.survey.raw_faces[j]).moved(place)
        gap = BRepExtrema_DistShapeShape(first.survey.raw_faces[i], face.wrapped)
        if gap.IsDone() and gap.Value() < 1e-6:
            return True
    return False


def _inside_each_other(f: FaceData, g: FaceData) -> bool:
    """Whether two faces are cylinders one of which lies wholly inside the other: a bolt's room.

    The kernel takes its time over those.
    """
    if f.kind != "cylinder" or g.kind != "cylinder" or abs(dot(f.axis, g.axis)) < 1.0 - 1e-12:
        return False
    apart = sub(g.point, f.point)
    aside = norm(sub(apart, scale(f.axis, dot(apart, f.axis))))
    return aside + min(f.radius, g.radius) < max(f.radius, g.radius) - SAME
