"""Whether a template, read back, shows mouths that are sloped, conical or aslant as they are."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING, TypeAlias

from treenail.joints.angled_cuts import AngledMortise, SkewNotch
from treenail.joints.cuts import Mortise
from treenail.templates.aslant_plan import aslant_mouths
from treenail.templates.layers import words_of
from treenail.templates.shaped_plan import mouths, wedge_outline
from treenail.timber.frames import Vec, norm, sub
from treenail.timber.member import Face

if TYPE_CHECKING:
    from treenail.joints.shaped_cuts import ConeSocket, DovetailSocket, TaperedMortise, WedgeTaper
    from treenail.templates.dxf_read import Found
    from treenail.templates.figures import Reach
    from treenail.timber.member import Member

__all__ = ["shaped_problems", "wedge_problems"]

#: From a place on a face's part of the sheet to the piece itself, mm.
Fold: TypeAlias = Callable[[Face, float, float], Vec]


Shaped: TypeAlias = "TaperedMortise | ConeSocket | DovetailSocket | AngledMortise | SkewNotch"


def _mouths(cut: Shaped) -> Iterator[tuple[Face, Reach, list[Vec], float | None]]:
    """(face, reach, corners or centre in the member's coordinates, diameter) of each mouth."""
    if isinstance(cut, AngledMortise | SkewNotch):
        for face, reach, places in aslant_mouths(cut):
            yield face, reach, list(places), None
        return
    for face, reach, mouth in mouths(cut):
        deep = cut.depth if reach == "exit" else 0.0
        corners = ((0.0, 0.0),) if isinstance(mouth, float) else mouth
        spots = [cut.frame.point((x, y, deep)) for x, y in corners]
        yield face, reach, spots, mouth if isinstance(mouth, float) else None


def shaped_problems(
    cut: Shaped,
    left: list[Found],
    fold: Fold,
    *,
    name: str,
    within: float,
) -> list[str]:
    """The mouths of a cut that aren't on the sheet; those that are leave ``left``.

    Args:
        cut: whose.
        left: figures that no cut has claimed yet.
        fold: folds the sheet around the piece.
        name: of the piece.
        within: how far a corner or a diameter may be off, mm.
    """
    problems = []
    for face, reach, places, diameter in _mouths(cut):
        right = [
            figure
            for figure in left
            if figure.face is face
            and figure.reach == reach
            and words_of(cut.purpose).startswith(figure.what)  # a long name was cut short
            and _depth_is_right(figure, cut.depth, within)
            and _is_there(figure, places, diameter, fold, within)
            and _corners_are_right(figure, cut, within)
        ]
        if right:
            left.remove(right[0])
        else:
            problems.append(
                f"{name}: {cut.purpose} of {cut.joint} on the {face} ({reach}) is missing or astray"
            )
    return problems


def wedge_problems(
    member: Member, cut: WedgeTaper, left: list[Found], fold: Fold, *, within: float
) -> list[str]:
    """A wedge's outlines that aren't on the sheet; those that are leave ``left``."""
    problems = []
    for face, z, reach in (
        (Face.FACE_SIDE, 0.0, "through"),
        (Face.BACK_SIDE, member.thickness, "exit"),
    ):
        places: list[Vec] = [(x, y, z) for x, y in wedge_outline(member, cut)]
        right = [
            figure
            for figure in left
            if figure.face is face
            and figure.reach == reach
            and _is_there(figure, places, None, fold, within)
        ]
        if right:
            left.remove(right[0])
        else:
            problems.append(f"{member.name}: its taper is missing or astray on the {face}")
    return problems


def _depth_is_right(figure: Found, depth: float, within: float) -> bool:
    if figure.reach != "deep":
        return True
    return figure.depth is not None and abs(figure.depth - depth) <= within


def _corners_are_right(figure: Found, cut: Shaped, within: float) -> bool:
    corners = cut.corners if isinstance(cut, Mortise) else None
    if corners is None or figure.reach == "exit":
        return True
    return figure.form == corners.kind and abs(figure.radius - corners.radius) <= within


def _is_there(
    figure: Found, places: list[Vec], diameter: float | None, fold: Fold, within: float
) -> bool:
    """Whether a figure's corners, or a circle's centre and diameter, are where they should be."""
    assert figure.face is not None
    if (figure.form == "circle") != (diameter is not None):
        return False
    if diameter is not None and abs(figure.size[0] - diameter) > within:
        return False
    drawn = figure.corners or (figure.centre,)
    if len(drawn) != len(places):
        return False
    there = [fold(figure.face, x, y) for x, y in drawn]
    off = max((min(norm(sub(p, q)) for q in there) for p in places), default=math.inf)
    return off <= within
