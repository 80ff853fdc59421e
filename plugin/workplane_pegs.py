"""Holes for pegs and treenails on a workplane; factories for ``invoke``."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, TypeAlias

from treenail.timber.errors import SpecError
from treenail.workplane_cuts import HoleCut
from treenail.workplane_values import SIDES, combining, one_of, size

if TYPE_CHECKING:
    from treenail.timber.lengths import LengthValue
    from treenail.workplane_cuts import Combine
    from treenail.workplane_values import Side

__all__ = ["drawbore", "pegHole"]

Part: TypeAlias = Literal["receiver", "tenon"]


def pegHole(
    diameter: LengthValue,
    depth: LengthValue | None = None,
    *,
    combine: Combine = True,
    clean: bool = True,
) -> HoleCut:
    """Bore a peg hole at each point on the stack.

    Treenails straight through two pieces take the same: the one in front right through
    (``depth=None``), the one behind to a depth.

    Args:
        diameter: of the hole.
        depth: from the workplane; None goes through the solid.
        combine: cut the solid; False leaves the tools on the stack.
        clean: call ``clean()`` on the outcome.

    Raises:
        SpecError: a size is not a length above 0.
    """
    return HoleCut(
        diameter=size(diameter, "pegHole.diameter"),
        depth=None if depth is None else size(depth, "pegHole.depth"),
        combine=combining("pegHole", combine),
        clean=bool(clean),
    )


def drawbore(
    diameter: LengthValue,
    offset: LengthValue,
    setback: LengthValue,
    depth: LengthValue | None = None,
    *,
    part: Part,
    home: Side = "+x",
    combine: Combine = True,
    clean: bool = True,
) -> HoleCut:
    """Bore one part's holes for drawbored pegs, whose offset pulls the shoulders home.

    The points on the stack lie on the shoulder line, one for each peg: where the mortised
    member's edge is on the receiver, where the shoulder is on the tenoned member. With the
    same sizes for both parts the holes come out ``offset`` apart when the joint is closed.

    Args:
        diameter: of peg and holes.
        offset: how much nearer its shoulder the tenon's hole lies than the receiver's.
        setback: from the shoulder line to the receiver's hole.
        depth: from the workplane; None goes through the solid.
        part: ``"receiver"`` (with the mortise) or ``"tenon"``.
        home: the workplane's direction in which the tenon goes home, into the receiver.
        combine: cut the solid; False leaves the tools on the stack.
        clean: call ``clean()`` on the outcome.

    Raises:
        SpecError: a size is not a length above 0 (0 is allowed for the offset), the holes
            don't overlap or break through the shoulder line, or a word is unknown.
    """
    where = "drawbore"
    across = size(diameter, f"{where}.diameter")
    draw = size(offset, f"{where}.offset", zero=True)
    back = size(setback, f"{where}.setback")
    one_of(part, ("receiver", "tenon"), f"{where}.part")
    one_of(home, tuple(SIDES), f"{where}.home")
    if draw >= across / 2:
        raise SpecError(
            f"an offset of {draw:g} mm would leave a peg of {across:g} mm no way through",
            field=f"{where}.offset",
            allowed=f"less than half the diameter, {across / 2:g} mm",
        )
    if back - draw <= across / 2:
        raise SpecError(
            f"holes {back:g} mm from the shoulder would break through it",
            field=f"{where}.setback",
            allowed=f"more than half the diameter and the offset, {across / 2 + draw:g} mm",
        )
    away = back if part == "receiver" else back - draw
    x, y = SIDES[home]
    return HoleCut(
        diameter=across,
        depth=None if depth is None else size(depth, f"{where}.depth"),
        shift=(x * away + 0.0, y * away + 0.0),  # + 0.0: no negative zero
        combine=combining(where, combine),
        clean=bool(clean),
    )
