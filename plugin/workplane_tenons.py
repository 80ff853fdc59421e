"""Kinds of tenon on a workplane: several, bare-faced, haunched, round; factories for ``invoke``.

One factory makes both parts of a joint: ``part="receiver"`` cuts the mortises behind a face,
``part="entering"`` shapes the end in which the workplane lies. With the same sizes for both the
parts fit. The tenons' width lies along x and their thickness along y, centred on the point;
sides are each workplane's own. The clearances of ``fit`` are in the mortises.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Literal

from treenail.joints.tenon_variants.make import (
    CUTTER,
    bare_faced_tenon,
    double_tenons,
    haunched_tenon,
    twin_tenons,
)
from treenail.timber.errors import SpecError
from treenail.workplane_joinery import FACES, JointCut
from treenail.workplane_tenon_recipes import (
    PARTS,
    X_SIDES,
    Y_SIDES,
    Asked,
    Make,
    RoundRecipe,
)
from treenail.workplane_values import combining, count_of, degrees, one_of, optional, size

if TYPE_CHECKING:
    from treenail.joints.corners import CornerKind
    from treenail.joints.fits import Fit
    from treenail.timber.lengths import LengthValue
    from treenail.workplane_cuts import Combine
    from treenail.workplane_joinery import Part

__all__ = ["bareFacedTenon", "doubleTenons", "haunchedTenon", "roundTenon", "twinTenons"]


def _several(
    asked: Asked, make: Make, count: int, gap: LengthValue | None, through: bool
) -> JointCut:
    many = count_of(count, 2, "tenons", f"{asked.where}.count")
    between = optional(gap, f"{asked.where}.gap")
    return asked.cut(make, {"count": many, "gap": between, "through": bool(through)})


def twinTenons(
    length: LengthValue,
    width: LengthValue | None = None,
    thickness: LengthValue | None = None,
    *,
    part: Part,
    count: int = 2,
    gap: LengthValue | None = None,
    through: bool = False,
    fit: str | Fit = "hand press",
    corners: CornerKind = "square",
    cutter: LengthValue = CUTTER,
    combine: Combine = True,
    clean: bool = True,
) -> JointCut:
    """Cut one part of twin tenons: equal tenons side by side, along the workplane's y.

    Args:
        length: from the shoulders to the tenon's end.
        width: of each, along x; None keeps the piece's own (the entering part's only).
        thickness: of all of them with the gaps between, along y; None likewise.
        part: ``"receiver"`` (with the mortises) or ``"entering"``.
        count: of tenons.
        gap: between two of them; None makes gaps as wide as the tenons.
        through: they come out at the receiver's far face.
        fit: name of a fit, or a Fit.
        corners: of the mortise: ``"square"``, ``"round"`` (the tenon is rounded to match) or
            ``"relieved"``.
        cutter: diameter of the cutter that leaves the corners; of no account where square.
        combine: cut the solid; False leaves the tools on the stack.
        clean: call ``clean()`` on the outcome.

    Raises:
        SpecError: a size is not a length above 0, or a word is unknown.
    """
    asked = Asked(
        where="twinTenons",
        part=part,
        length=length,
        width=width,
        thickness=thickness,
        fit=fit,
        corners=corners,
        cutter=cutter,
        combine=combine,
        clean=clean,
    )
    return _several(asked, twin_tenons, count, gap, through)


def doubleTenons(
    length: LengthValue,
    width: LengthValue | None = None,
    thickness: LengthValue | None = None,
    *,
    part: Part,
    count: int = 2,
    gap: LengthValue | None = None,
    through: bool = False,
    fit: str | Fit = "hand press",
    corners: CornerKind = "square",
    cutter: LengthValue = CUTTER,
    combine: Combine = True,
    clean: bool = True,
) -> JointCut:
    """Cut one part of double tenons: equal tenons one above the other, along the workplane's x.

    Args:
        length: from the shoulders to the tenon's end.
        width: of all of them with the gaps between, along x; None keeps the piece's own (the
            entering part's only).
        thickness: of each, along y; None likewise.
        part: ``"receiver"`` (with the mortises) or ``"entering"``.
        count: of tenons.
        gap: between two of them; None makes gaps half as wide as the tenons.
        through: they come out at the receiver's far face.
        fit: name of a fit, or a Fit.
        corners: of the mortise: ``"square"``, ``"round"`` (the tenon is rounded to match) or
            ``"relieved"``.
        cutter: diameter of the cutter that leaves the corners; of no account where square.
        combine: cut the solid; False leaves the tools on the stack.
        clean: call ``clean()`` on the outcome.

    Raises:
        SpecError: a size is not a length above 0, or a word is unknown.
    """
    asked = Asked(
        where="doubleTenons",
        part=part,
        length=length,
        width=width,
        thickness=thickness,
        fit=fit,
        corners=corners,
        cutter=cutter,
        combine=combine,
        clean=clean,
    )
    return _several(asked, double_tenons, count, gap, through)


def bareFacedTenon(
    length: LengthValue,
    width: LengthValue | None,
    thickness: LengthValue,
    *,
    part: Part,
    bare: Literal["+y", "-y"] = "+y",
    fit: str | Fit = "hand press",
    corners: CornerKind = "square",
    cutter: LengthValue = CUTTER,
    combine: Combine = True,
    clean: bool = True,
) -> JointCut:
    """Cut one part of a tenon that has no shoulder at one cheek.

    On the piece the cheek lies in its ``bare`` side, wherever the point is across that; in the
    receiver the point is the mortise's middle, as always.

    Args:
        length: from the shoulders to the tenon's end.
        width: along x; None keeps the piece's own (the entering part's only).
        thickness: along y, from the bare side.
        part: ``"receiver"`` (with the mortise) or ``"entering"``.
        bare: the side of the piece in which the cheek lies.
        fit: name of a fit, or a Fit.
        corners: of the mortise: ``"square"``, ``"round"`` (the tenon is rounded to match) or
            ``"relieved"``.
        cutter: diameter of the cutter that leaves the corners; of no account where square.
        combine: cut the solid; False leaves the tools on the stack.
        clean: call ``clean()`` on the outcome.

    Raises:
        SpecError: a size is not a length above 0, or a word is unknown.
    """
    asked = Asked(
        where="bareFacedTenon",
        part=part,
        length=length,
        width=width,
        thickness=thickness,
        fit=fit,
        corners=corners,
        cutter=cutter,
        combine=combine,
        clean=clean,
    )
    one_of(bare, Y_SIDES, "bareFacedTenon.bare")
    return asked.cut(bare_faced_tenon, {"bare": FACES[bare]}, bare=bare)


def haunchedTenon(
    length: LengthValue,
    width: LengthValue,
    thickness: LengthValue | None = None,
    *,
    part: Part,
    haunch: LengthValue,
    haunchWidth: LengthValue,
    sloped: bool = False,
    side: Literal["+x", "-x"] = "+x",
    fit: str | Fit = "hand press",
    corners: CornerKind = "square",
    cutter: LengthValue = CUTTER,
    combine: Combine = True,
    clean: bool = True,
) -> JointCut:
    """Cut one part of a tenon with a haunch in one shoulder, square or sloped.

    Args:
        length: from the shoulders to the tenon's end.
        width: of the tenon itself, along x.
        thickness: along y; None keeps the piece's own (the entering part's only).
        part: ``"receiver"`` (with mortise and socket) or ``"entering"``.
        haunch: how far the haunch stands out from the shoulder, beside the tenon.
        haunchWidth: its width from the tenon's edge.
        sloped: it falls to nothing at its outer edge.
        side: of the tenon on which it lies.
        fit: name of a fit, or a Fit.
        corners: of the mortise: ``"square"``, ``"round"`` (the tenon is rounded to match) or
            ``"relieved"``.
        cutter: diameter of the cutter that leaves the corners; of no account where square.
        combine: cut the solid; False leaves the tools on the stack.
        clean: call ``clean()`` on the outcome.

    Raises:
        SpecError: a size is not a length above 0, or a word is unknown.
    """
    asked = Asked(
        where="haunchedTenon",
        part=part,
        length=length,
        width=width,
        thickness=thickness,
        fit=fit,
        corners=corners,
        cutter=cutter,
        combine=combine,
        clean=clean,
    )
    where = "haunchedTenon"
    one_of(side, X_SIDES, f"{where}.side")
    stub, long = size(haunch, f"{where}.haunch"), size(length, f"{where}.length")
    if stub >= long:
        raise SpecError(
            f"the haunch of {stub:g} mm is not shorter than the tenon",
            field=f"{where}.haunch",
            allowed=f"less than {long:g} mm",
        )
    wide = size(haunchWidth, f"{where}.haunchWidth")
    return asked.cut(
        haunched_tenon,
        {"edge": FACES[side], "sloped": bool(sloped), "width": wide, "length": stub},
    )


def roundTenon(
    length: LengthValue,
    diameter: LengthValue,
    *,
    part: Part,
    angle: float = 6.0,
    through: bool = False,
    combine: Combine = True,
    clean: bool = True,
) -> JointCut:
    """Cut one part of a round tapered tenon: a cone in the middle of the piece's end.

    Args:
        length: from the shoulder to the cone's end.
        diameter: of the cone at its shoulder, which is the receiver's face.
        part: ``"receiver"`` (with the reamed socket) or ``"entering"``.
        angle: of the whole cone, in degrees.
        through: it comes out at the receiver's far face.
        combine: cut the solid; False leaves the tools on the stack.
        clean: call ``clean()`` on the outcome.

    Raises:
        SpecError: a size is not a length above 0, an angle is not between 0 and 45 degrees, or
            a word is unknown.
    """
    where = "roundTenon"
    one_of(part, PARTS, f"{where}.part")
    whole = degrees(angle, f"{where}.angle")
    recipe = RoundRecipe(
        name=where,
        length=size(length, f"{where}.length"),
        diameter=size(diameter, f"{where}.diameter"),
        angle=math.radians(whole),
        through=bool(through),
    )
    return JointCut(
        recipe=recipe,
        part=part,
        on_end=part == "entering",
        combine=combining(where, combine),
        clean=bool(clean),
    )
