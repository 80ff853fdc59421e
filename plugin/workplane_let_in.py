"""Laps, housings and joints along edges on a workplane: factories for ``invoke``.

Trenches run along the workplane's x and are centred on the point; a trench without ``length``
runs out at both ends. Where a joint has two parts, ``part="receiver"`` cuts the trench behind a
face and ``part="entering"`` shapes the end or edge that goes in, which then lies with its longer
side along x. The clearances of ``fit`` are in the trench.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from treenail.joints.edges import LooseSpline, Rebate, TongueGroove
from treenail.joints.housings import Housing, SlidingDovetail
from treenail.joints.laps import HalfLap, Notch
from treenail.joints.tenon_variants.make import CUTTER
from treenail.workplane_joinery import JointCut
from treenail.workplane_let_in_recipes import (
    HousedRecipe,
    LapRecipe,
    LetInAsked,
    RebateRecipe,
    SplineRecipe,
    corners_of,
)
from treenail.workplane_values import fit_of, one_of, optional, pair, share, size

if TYPE_CHECKING:
    from treenail.joints.corners import CornerKind
    from treenail.joints.fits import Fit
    from treenail.timber.lengths import LengthValue
    from treenail.workplane_cuts import Combine
    from treenail.workplane_joinery import Part

__all__ = [
    "halfLap",
    "housing",
    "looseSpline",
    "notch",
    "rebate",
    "slidingDovetail",
    "tongueGroove",
]


def halfLap(
    width: LengthValue,
    depth: LengthValue | None = None,
    *,
    fit: str | Fit = "hand press",
    corners: CornerKind = "square",
    cutter: LengthValue = CUTTER,
    combine: Combine = True,
    clean: bool = True,
) -> JointCut:
    """Cut one piece's half of a half lap or cross lap, right across it along y.

    Where the lap reaches the solid's end it runs out there.

    Args:
        width: the other piece's, along x.
        depth: of this piece's cut; None takes half of what is behind the workplane.
        fit: name of a fit, or a Fit; of no account where one wall only stands.
        corners: of ends between three walls: ``"square"``, ``"relieved"``.
        cutter: diameter of the cutter that leaves the corners; of no account where square.
        combine: cut the solid; False leaves the tools on the stack.
        clean: call ``clean()`` on the outcome.

    Raises:
        SpecError: a size is not a length above 0.
    """
    recipe = LapRecipe(
        make=HalfLap,
        name="halfLap",
        width=size(width, "halfLap.width"),
        depth=optional(depth, "halfLap.depth"),
        length=None,
        fit=fit_of(fit, "halfLap.fit"),
        corners=corners_of(corners, cutter, "halfLap"),
    )
    return LetInAsked("halfLap", "receiver", combine, clean).cut(recipe)


def notch(
    width: LengthValue,
    depth: LengthValue,
    length: LengthValue | None = None,
    *,
    fit: str | Fit = "hand press",
    corners: CornerKind = "square",
    cutter: LengthValue = CUTTER,
    combine: Combine = True,
    clean: bool = True,
) -> JointCut:
    """Cut a notch, right across along y, for a piece that stays whole.

    Args:
        width: the other piece's, along x.
        depth: how deep it is let in.
        length: along y, centred on the point; None runs it out on both sides.
        fit: name of a fit, or a Fit; of no account where one wall only stands.
        corners: of ends between three walls: ``"square"``, ``"relieved"``.
        cutter: diameter of the cutter that leaves the corners; of no account where square.
        combine: cut the solid; False leaves the tools on the stack.
        clean: call ``clean()`` on the outcome.

    Raises:
        SpecError: a size is not a length above 0.
    """
    recipe = LapRecipe(
        make=Notch,
        name="notch",
        width=size(width, "notch.width"),
        depth=size(depth, "notch.depth"),
        length=optional(length, "notch.length"),
        fit=fit_of(fit, "notch.fit"),
        corners=corners_of(corners, cutter, "notch"),
    )
    return LetInAsked("notch", "receiver", combine, clean).cut(recipe)


def housing(
    depth: LengthValue,
    thickness: LengthValue | None = None,
    length: LengthValue | None = None,
    *,
    part: Part,
    shoulders: tuple[LengthValue, LengthValue] = (0.0, 0.0),
    stop: LengthValue = 0.0,
    stopSide: Literal["+x", "-x"] = "+x",
    fit: str | Fit = "hand press",
    corners: CornerKind = "square",
    cutter: LengthValue = CUTTER,
    combine: Combine = True,
    clean: bool = True,
) -> JointCut:
    """Cut one part of a housing, stopped or not, for a piece that is whole or has a tongue.

    Args:
        depth: how deep the piece stands in the receiver.
        thickness: the housed piece's along y; None measures it on the entering part.
        length: the housed piece's along x; None runs the trench out, but for ``stop``.
        part: ``"receiver"`` (with the trench) or ``"entering"``.
        shoulders: the piece's on its -y and +y side; without any the entering part is cut only
            where the trench is stopped.
        stop: how far the trench stops short of the receiver's edge.
        stopSide: at which edge.
        fit: name of a fit, or a Fit.
        corners: of ends between three walls: ``"square"``, ``"relieved"``, or ``"round"``,
            for which the trench is longer (or, stopped, the tongue shorter) by the radius.
        cutter: diameter of the cutter that leaves the corners; of no account where square.
        combine: cut the solid; False leaves the tools on the stack.
        clean: call ``clean()`` on the outcome.

    Raises:
        SpecError: a size is not a length above 0 (from 0 on for shoulders and stop), or a word
            is unknown.
    """
    where = "housing"
    low, high = pair(shoulders, "two shoulders", "(-y, +y)", f"{where}.shoulders")
    kind, across = corners_of(corners, cutter, where)
    asked = LetInAsked(where, part, combine, clean)
    return asked.housed(
        HousedRecipe(
            make=Housing,
            options=(
                ("shoulder", low),
                ("back_shoulder", high),
                ("corners", kind),
                ("cutter", across),
            ),
            name=where,
            depth=size(depth, f"{where}.depth"),
            thickness=optional(thickness, f"{where}.thickness"),
            length=optional(length, f"{where}.length"),
            stop=size(stop, f"{where}.stop", zero=True),
            stop_side=stopSide,
            fit=fit_of(fit, f"{where}.fit"),
        )
    )


def slidingDovetail(
    depth: LengthValue,
    thickness: LengthValue | None = None,
    length: LengthValue | None = None,
    *,
    part: Part,
    root: LengthValue | None = None,
    rise: float = 1.0 / 7.0,
    stop: LengthValue = 0.0,
    stopSide: Literal["+x", "-x"] = "+x",
    fit: str | Fit = "easy",
    combine: Combine = True,
    clean: bool = True,
) -> JointCut:
    """Cut one part of a sliding dovetail, stopped or not.

    Args:
        depth: how deep the dovetail stands in its socket.
        thickness: the dovetailed piece's along y; None measures it on the entering part.
        length: that piece's along x; None runs the socket out, but for ``stop``.
        part: ``"receiver"`` (with the socket) or ``"entering"``.
        root: the dovetail's thickness at its shoulders; None takes 0.6 of the piece's.
        rise: how far it widens for each mm of its height.
        stop: how far the socket stops short of the receiver's edge.
        stopSide: at which edge.
        fit: name of a fit, or a Fit.
        combine: cut the solid; False leaves the tools on the stack.
        clean: call ``clean()`` on the outcome.

    Raises:
        SpecError: a size is not a length above 0, or a word is unknown.
    """
    where = "slidingDovetail"
    slope = share(rise, f"{where}.rise")
    asked = LetInAsked(where, part, combine, clean)
    return asked.housed(
        HousedRecipe(
            make=SlidingDovetail,
            options=(("root", optional(root, f"{where}.root")), ("rise", slope)),
            name=where,
            depth=size(depth, f"{where}.depth"),
            thickness=optional(thickness, f"{where}.thickness"),
            length=optional(length, f"{where}.length"),
            stop=size(stop, f"{where}.stop", zero=True),
            stop_side=stopSide,
            fit=fit_of(fit, f"{where}.fit"),
        )
    )


def tongueGroove(
    reach: LengthValue,
    thickness: LengthValue | None = None,
    *,
    part: Part,
    tongue: LengthValue | None = None,
    openBy: LengthValue = 0.0,
    fit: str | Fit = "easy",
    combine: Combine = True,
    clean: bool = True,
) -> JointCut:
    """Cut one part of a tongue and groove along the whole edge.

    Args:
        reach: how deep the tongue stands in the groove.
        thickness: the tongued board's along y; None measures it on the entering part.
        part: ``"receiver"`` (with the groove) or ``"entering"``.
        tongue: its thickness; None takes about a third of the board, as wide as a tool.
        openBy: how far the shoulders stand off the other edge.
        fit: name of a fit, or a Fit.
        combine: cut the solid; False leaves the tools on the stack.
        clean: call ``clean()`` on the outcome.

    Raises:
        SpecError: a size is not a length above 0, or a word is unknown.
    """
    where = "tongueGroove"
    gap = size(openBy, f"{where}.openBy", zero=True)
    asked = LetInAsked(where, part, combine, clean)
    return asked.housed(
        HousedRecipe(
            make=TongueGroove,
            options=(("tongue", optional(tongue, f"{where}.tongue")), ("open_by", gap)),
            name=where,
            depth=size(reach, f"{where}.reach"),
            open_by=gap,
            thickness=optional(thickness, f"{where}.thickness"),
            length=None,
            fit=fit_of(fit, f"{where}.fit"),
        )
    )


def rebate(
    width: LengthValue,
    depth: LengthValue,
    *,
    side: Literal["+y", "-y"] = "+y",
    fit: str | Fit = "hand press",
    combine: Combine = True,
    clean: bool = True,
) -> JointCut:
    """Cut a rebate along an edge of the solid, for a piece that stays whole.

    Args:
        width: from the solid's edge along y, wherever the point is across that.
        depth: from the workplane.
        side: at which edge.
        fit: name of a fit, or a Fit; of no account, as one wall only stands.
        combine: cut the solid; False leaves the tools on the stack.
        clean: call ``clean()`` on the outcome.

    Raises:
        SpecError: a size is not a length above 0, or a word is unknown.
    """
    one_of(side, ("+y", "-y"), "rebate.side")
    recipe = RebateRecipe(
        make=Rebate,
        width=size(width, "rebate.width"),
        depth=size(depth, "rebate.depth"),
        side=side,
        fit=fit_of(fit, "rebate.fit"),
    )
    return LetInAsked("rebate", "receiver", combine, clean).cut(recipe)


def looseSpline(
    thickness: LengthValue,
    reach: LengthValue,
    length: LengthValue | None = None,
    *,
    playSide: Literal["+y", "-y"] = "+y",
    fit: str | Fit = "hand press",
    corners: CornerKind = "square",
    cutter: LengthValue = CUTTER,
    combine: Combine = True,
    clean: bool = True,
) -> JointCut:
    """Cut the groove for a loose spline; the other piece gets the same.

    Args:
        thickness: the spline's, along y.
        reach: how deep it stands in this piece.
        length: the spline's, along x; None runs the groove out at both ends.
        playSide: where all its play is; the wall on the other side is the one to work from.
        fit: name of a fit, or a Fit.
        corners: of ends between three walls: ``"square"``, ``"relieved"``, or ``"round"``,
            for which the trench is longer (or, stopped, the tongue shorter) by the radius.
        cutter: diameter of the cutter that leaves the corners; of no account where square.
        combine: cut the solid; False leaves the tools on the stack.
        clean: call ``clean()`` on the outcome.

    Raises:
        SpecError: a size is not a length above 0, or a word is unknown.
    """
    where = "looseSpline"
    one_of(playSide, ("+y", "-y"), f"{where}.playSide")
    recipe = SplineRecipe(
        make=LooseSpline,
        thickness=size(thickness, f"{where}.thickness"),
        depth=size(reach, f"{where}.reach"),
        length=optional(length, f"{where}.length"),
        play_side=playSide,
        fit=fit_of(fit, f"{where}.fit"),
        corners=corners_of(corners, cutter, "looseSpline"),
    )
    return LetInAsked(where, "receiver", combine, clean).cut(recipe)
