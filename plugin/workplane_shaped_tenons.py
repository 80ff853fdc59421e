"""Shaped tenons on a workplane: wedged, tusk, dovetailed, mitred, notched; for ``invoke``.

One factory makes both parts of a joint: ``part="receiver"`` cuts the mortises behind a face,
``part="entering"`` shapes the end in which the workplane lies. With the same sizes for both the
parts fit. The tenons' width lies along x and their thickness along y, centred on the point;
sides are each workplane's own. The clearances of ``fit`` are in the mortises.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Literal

from treenail.joints.cuts import MitredTip, NotchedTip
from treenail.joints.mortise_tenon import MortiseTenon
from treenail.joints.tenon_variants.make import CUTTER, slab_tenons, tusk_tenon, wedged_tenon
from treenail.timber.errors import SpecError
from treenail.workplane_joinery import FACES, JointCut
from treenail.workplane_tenon_recipes import PARTS, SIDES_OF, X_SIDES, Y_SIDES, Asked
from treenail.workplane_values import Side, count_of, one_of, optional, share, size

if TYPE_CHECKING:
    from treenail.joints.corners import CornerKind
    from treenail.joints.fits import Fit
    from treenail.timber.lengths import LengthValue
    from treenail.timber.member import Member
    from treenail.workplane_cuts import Combine
    from treenail.workplane_joinery import Part

__all__ = ["mitredTenon", "notchedTenon", "slabTenons", "tuskTenon", "wedgedTenon"]


def mitred(receiver: Member, entering: Member, *, tip: MitredTip, **common: Any) -> MortiseTenon:
    """A tenon whose end is mitred where another one meets it."""
    return MortiseTenon(receiver=receiver, entering=entering, tip=tip, **common)


def notched(receiver: Member, entering: Member, *, tip: NotchedTip, **common: Any) -> MortiseTenon:
    """A tenon whose end is notched for another one."""
    return MortiseTenon(receiver=receiver, entering=entering, tip=tip, **common)


def wedgedTenon(
    length: LengthValue,
    width: LengthValue | None = None,
    thickness: LengthValue | None = None,
    *,
    part: Part,
    receiver: LengthValue | None = None,
    wedges: int = 2,
    kerf: LengthValue = 2.0,
    flare: LengthValue = 3.0,
    fit: str | Fit = "hand press",
    corners: CornerKind = "square",
    cutter: LengthValue = CUTTER,
    combine: Combine = True,
    clean: bool = True,
) -> JointCut:
    """Cut one part of a through tenon that wedges spread in a flared mortise.

    The kerfs are two thirds of the tenon long; the mortise begins to flare at two thirds of its
    depth, or where that slopes one in eight.

    Args:
        length: from the shoulders to the tenon's end.
        width: along x; None keeps the piece's own (the entering part's only).
        thickness: along y; None likewise.
        part: ``"receiver"`` (with the mortise) or ``"entering"``.
        receiver: its thickness where the tenon goes through; None measures it on the receiver,
            and takes the tenon as flush on the entering part.
        wedges: how many, each in a kerf of its own, spread over the width.
        kerf: width of the saw cuts.
        flare: how much farther out each short wall of the mortise lies at the far face.
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
        where="wedgedTenon",
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
    where = "wedgedTenon"
    many = count_of(wedges, 1, "wedges", f"{where}.wedges")
    return asked.cut(
        wedged_tenon,
        {
            "wedges": many,
            "kerf": size(kerf, f"{where}.kerf"),
            "flare": size(flare, f"{where}.flare"),
        },
        receiver=receiver,
    )


def tuskTenon(
    length: LengthValue,
    width: LengthValue | None = None,
    thickness: LengthValue | None = None,
    *,
    part: Part,
    receiver: LengthValue | None = None,
    wedgeSide: Side = "-x",
    wedgeWidth: LengthValue | None = None,
    wedgeThickness: LengthValue | None = None,
    fit: str | Fit = "easy",
    corners: CornerKind = "square",
    cutter: LengthValue = CUTTER,
    combine: Combine = True,
    clean: bool = True,
) -> JointCut:
    """Cut one part of a tenon that stands out at the far face, with a sloped hole for its wedge.

    The hole begins 3 mm inside the receiver, so that the wedge draws, and its outer wall slopes
    as the wedge does: one in eight at most.

    Args:
        length: from the shoulders to the tenon's end, beyond the receiver.
        width: along x; None keeps the piece's own (the entering part's only).
        thickness: along y; None likewise.
        part: ``"receiver"`` (with the mortise) or ``"entering"``.
        receiver: its thickness where the tenon goes through; the entering part needs it.
        wedgeSide: the piece's side at which the wedge goes in.
        wedgeWidth: along the tenon, half-way through; None takes a third of what stands out.
        wedgeThickness: None takes a third of the tenon, at least 6.35 mm.
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
        where="tuskTenon",
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
    where = "tuskTenon"
    one_of(wedgeSide, SIDES_OF, f"{where}.wedgeSide")
    one_of(part, PARTS, f"{where}.part")
    if part == "entering" and receiver is None:
        raise SpecError(
            "where the wedge's hole lies depends on the receiver's thickness",
            field=f"{where}.receiver",
            allowed="a length > 0 mm",
        )
    return asked.cut(
        tusk_tenon,
        {
            "wedge_face": FACES[wedgeSide],
            "wedge_width": optional(wedgeWidth, f"{where}.wedgeWidth"),
            "wedge_thickness": optional(wedgeThickness, f"{where}.wedgeThickness"),
        },
        receiver=receiver,
    )


def slabTenons(
    length: LengthValue,
    width: LengthValue | None,
    thickness: LengthValue,
    *,
    part: Part,
    dovetail: LengthValue,
    gap: LengthValue,
    slope: float = 1.0 / 6.0,
    outer: Literal["+y", "-y"] = "+y",
    fit: str | Fit = "hand press",
    corners: CornerKind = "square",
    cutter: LengthValue = CUTTER,
    combine: Combine = True,
    clean: bool = True,
) -> JointCut:
    """Cut one part of a post's two tenons through a slab; the outer one is a dovetail in its edge.

    The dovetail lies flush in the slab's edge on the ``outer`` side: there the point must lie
    half of ``thickness`` from the slab's edge; on the post it is measured from its ``outer``
    side, wherever the point is across that. The tenons are as wide as the post.

    Args:
        length: from the shoulders to the tenon's end.
        width: of the tenons and the post, along x; None is the piece's own (the entering part's
            only).
        thickness: of both tenons with the gap between, along y.
        part: ``"receiver"`` (the slab) or ``"entering"`` (the post).
        dovetail: the outer tenon's thickness.
        gap: between the two tenons.
        slope: how much each flank runs in for each mm of thickness.
        outer: the side on which post and slab are flush.
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
        where="slabTenons",
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
    where = "slabTenons"
    one_of(outer, Y_SIDES, f"{where}.outer")
    tail, between, whole = (
        size(value, f"{where}.{label}")
        for label, value in (("dovetail", dovetail), ("gap", gap), ("thickness", thickness))
    )
    if tail + between >= whole:
        raise SpecError(
            f"a dovetail of {tail:g} mm and a gap of {between:g} mm leave no second tenon",
            field=f"{where}.thickness",
            allowed=f"more than {tail + between:g} mm",
        )
    rise = share(slope, f"{where}.slope")
    return asked.cut(
        slab_tenons,
        {"outer": FACES[outer], "dovetail": tail, "gap": between, "slope": rise},
        bare=outer,
        flush=True,
    )


def mitredTenon(
    length: LengthValue,
    width: LengthValue | None = None,
    thickness: LengthValue | None = None,
    *,
    cutBack: LengthValue,
    lead: LengthValue = 0.0,
    shortSide: Literal["+y", "-y"] = "+y",
    fit: str | Fit = "hand press",
    corners: CornerKind = "square",
    cutter: LengthValue = CUTTER,
    combine: Combine = True,
    clean: bool = True,
) -> JointCut:
    """Shape an end to a tenon with a mitred tip, where another tenon meets it in one post.

    Its mortise is a plain ``mortise``.

    Args:
        length: from the shoulders to the tenon's end.
        width: along x; None keeps the piece's own.
        thickness: along y; None likewise.
        cutBack: how much is taken off at the short cheek.
        lead: how much is taken off at the other cheek.
        shortSide: the side on which the short cheek lies.
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
        where="mitredTenon",
        part="entering",
        length=length,
        width=width,
        thickness=thickness,
        fit=fit,
        corners=corners,
        cutter=cutter,
        combine=combine,
        clean=clean,
    )
    where = "mitredTenon"
    one_of(shortSide, Y_SIDES, f"{where}.shortSide")
    tip = MitredTip(
        FACES[shortSide],
        size(cutBack, f"{where}.cutBack"),
        size(lead, f"{where}.lead", zero=True),
    )
    if tip.cut_back >= (long := size(length, f"{where}.length")):
        raise SpecError(
            "the mitre cuts the tenon back to its shoulder",
            field=f"{where}.cutBack",
            allowed=f"less than {long:g} mm",
        )
    return asked.cut(mitred, {"tip": tip})


def notchedTenon(
    length: LengthValue,
    width: LengthValue | None = None,
    thickness: LengthValue | None = None,
    *,
    notchWidth: LengthValue,
    notchLength: LengthValue,
    side: Literal["+x", "-x"] = "+x",
    fit: str | Fit = "hand press",
    corners: CornerKind = "square",
    cutter: LengthValue = CUTTER,
    combine: Combine = True,
    clean: bool = True,
) -> JointCut:
    """Shape an end to a tenon whose tip is notched, over or under another tenon in one post.

    Its mortise is a plain ``mortise``.

    Args:
        length: from the shoulders to the tenon's end.
        width: along x; None keeps the piece's own.
        thickness: along y; None likewise.
        notchWidth: of tenon taken away, along x.
        notchLength: from the tenon's end.
        side: the edge from which the notch is cut.
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
        where="notchedTenon",
        part="entering",
        length=length,
        width=width,
        thickness=thickness,
        fit=fit,
        corners=corners,
        cutter=cutter,
        combine=combine,
        clean=clean,
    )
    where = "notchedTenon"
    one_of(side, X_SIDES, f"{where}.side")
    tip = NotchedTip(
        FACES[side],
        size(notchWidth, f"{where}.notchWidth"),
        size(notchLength, f"{where}.notchLength"),
    )
    if tip.length >= (long := size(length, f"{where}.length")):
        raise SpecError(
            "the notch goes back to the tenon's shoulder",
            field=f"{where}.notchLength",
            allowed=f"less than {long:g} mm",
        )
    return asked.cut(notched, {"tip": tip})
