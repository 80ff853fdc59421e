"""Boards that stay free to move, on a workplane: across a slab's end, panels in grooves.

Factories for ``invoke``. An end board is the ``"receiver"``: its workplane lies on the edge that
is grooved, x along the board; the slab is the ``"entering"`` part, its workplane on its end, x
across the grain. Both points lie over the slab's middle.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from treenail.joints.edges import PanelGroove
from treenail.joints.end_board import EndBoard, EndPeg
from treenail.joints.mortise_tenon import DrawBore
from treenail.timber.errors import GeometryError, SpecError
from treenail.timber.frames import snap
from treenail.timber.member import Face
from treenail.timber.species import get_species
from treenail.workplane_cuts import TOUCH
from treenail.workplane_joinery import FAR, UP, JointCut, Wood, boxed
from treenail.workplane_let_in_recipes import HousedRecipe, LetInAsked
from treenail.workplane_tenon_recipes import PAD, PARTS
from treenail.workplane_values import count_of, fit_of, one_of, optional, pair, size

if TYPE_CHECKING:
    from treenail.joints.base import Joint
    from treenail.joints.fits import Fit
    from treenail.timber.lengths import LengthValue
    from treenail.workplane_cuts import Combine
    from treenail.workplane_joinery import Part

__all__ = ["endBoard", "panelGroove"]


@dataclass(frozen=True, slots=True)
class EndPegs:
    """Pegs of an end board, one in each tenon; mm.

    Attributes:
        diameter, offset: of peg and hole, and how much nearer the shoulder the tenon's lies.
        slots: each one's length between its ends' middles, along x.
    """

    diameter: float
    offset: float
    slots: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class EndBoardRecipe:
    """A tongue and tenons across a slab's end; see :func:`endBoard`, sizes in mm."""

    width: float | None
    tongue: float
    stub: float
    length: float
    tenons: int
    tenon_width: float
    inset: tuple[float, float]
    room: float
    pegs: EndPegs | None
    fit: Fit

    @property
    def reach(self) -> float:
        """The tenons' length."""
        return self.length

    def joint(self, part: Part, wood: Wood) -> Joint:
        """The joint between the solid and a made-up piece."""
        long = self.length
        if part == "receiver":
            if long + self.fit.bottom.mid >= wood.depth - TOUCH:
                raise GeometryError(
                    f"endBoard: tenons {long:g} mm long come through a board {wood.depth:g} mm wide"
                )
            half, thick = (self.width or 0.0) / 2, self.tongue / 2 + PAD
            x, y = (-half, half), (-thick, thick)
            board = boxed("receiver", wood.x, wood.y, (-wood.depth, 0.0), grain=_X, face=UP)
            slab = boxed("entering", x, y, (-long, FAR), grain=UP, face=_FRONT)
            end = Face.NEAR_END
        else:
            x, y = wood.x, wood.y
            wide = x[1] - x[0]
            if self.width is not None and abs(wide - self.width) > TOUCH:
                raise GeometryError(
                    f"endBoard: the slab is {wide:g} mm wide at the point on the stack, not "
                    f"{self.width:g} mm"
                )
            if max(abs(sum(x)), abs(sum(y))) > TOUCH:
                raise GeometryError(
                    f"endBoard: the middle of the slab's end lies ({sum(x) / 2:g}, "
                    f"{sum(y) / 2:g}) mm from the point on the stack, which is for the tongue's"
                )
            slab = boxed("entering", x, y, (-wood.depth, 0.0), grain=UP, face=_FRONT)
            over = (x[0] - FAR, x[1] + FAR)
            board = boxed("receiver", over, y, (-long, FAR), grain=_X, face=(0.0, 0.0, -1.0))
            end = Face.FAR_END
        spans = self._tenons(x[1] - x[0])
        return EndBoard(
            name="endBoard",
            board=board,
            sections=(slab,),
            end=end,
            fit=self.fit,
            tongue=self.tongue,
            stub=self.stub,
            tenons=spans,
            inset=self.inset,
            room=self.room,
            spots=tuple(
                EndPeg(snap((a + b) / 2), slot)
                for (a, b), slot in zip(spans, self.pegs.slots if self.pegs else (), strict=False)
            ),
            draw=self._draw(),
        )

    def _tenons(self, wide: float) -> tuple[tuple[float, float], ...]:
        """Each in the middle of its share of the tongue."""
        low, high = self.inset[0], wide - self.inset[1]
        share = (high - low) / max(self.tenons, 1)
        if self.tenon_width > share + TOUCH:
            raise GeometryError(
                f"endBoard: {self.tenons} tenons {self.tenon_width:g} mm wide don't stand on a "
                f"tongue of {high - low:g} mm"
            )
        at = [low + (i + 0.5) * share for i in range(self.tenons)]
        half = self.tenon_width / 2
        return tuple((snap(a - half), snap(a + half)) for a in at)

    def _draw(self) -> DrawBore | None:
        p = self.pegs
        if p is None:
            return None
        return DrawBore(
            count=self.tenons,
            diameter=p.diameter,
            offset=p.offset,
            setback=self.length / 2,
            species=get_species("white oak"),  # of no account: only holes are asked for
            through=True,
        )


_X = (1.0, 0.0, 0.0)
_FRONT = (0.0, -1.0, 0.0)


def endBoard(
    tongue: LengthValue,
    stub: LengthValue,
    width: LengthValue | None = None,
    *,
    part: Part,
    length: LengthValue | None = None,
    tenons: int = 0,
    tenonWidth: LengthValue | None = None,
    inset: tuple[LengthValue, LengthValue] = (0.0, 0.0),
    room: LengthValue = 0.0,
    peg: LengthValue | None = None,
    draw: LengthValue = 0.0,
    slots: Sequence[LengthValue] = (),
    fit: str | Fit = "easy",
    combine: Combine = True,
    clean: bool = True,
) -> JointCut:
    """Cut one part of a board across a slab's end: a breadboard end, or an end cap on a tongue.

    The slab moves behind the board, held by one round hole; all other pegs need slots. An end cap
    has no tenons, and bolts hold it: see ``knockDownBolt``.

    Args:
        tongue: thickness of tongue and tenons, in the middle of the slab's (the point is there).
        stub: length of the tongue.
        width: the slab's, along x; None measures it (the entering part's only).
        part: ``"receiver"`` (the board, grooved) or ``"entering"`` (the slab).
        length: of the longer tenons, from the shoulders; needed with ``tenons``.
        tenons: how many, each in the middle of its share of the tongue; 0 for an end cap.
        tenonWidth: of each, along x; needed with ``tenons``.
        inset: shoulders that hide the tongue at the slab's -x and +x edge.
        room: at each end of groove and mortises, for the slab to move.
        peg: diameter of a peg right through each tenon, half-way along it; None for no holes.
        draw: how much nearer the shoulder the tenons' holes lie.
        slots: from -x to +x, how far apart the ends' middles of each tenon's hole lie, 0 for the
            round one; needed with ``peg``.
        fit: name of a fit, or a Fit; it has to slide.
        combine: cut the solid; False leaves the tools on the stack.
        clean: call ``clean()`` on the outcome.

    Raises:
        SpecError: a size is not a length above 0 (from 0 on for insets, room, draw and slots), a
            word is unknown, or tenons, widths and slots don't go together.
    """
    where = "endBoard"
    one_of(part, PARTS, f"{where}.part")
    if width is None and part == "receiver":
        raise SpecError(
            "the slab's width is needed to cut its groove",
            field=f"{where}.width",
            allowed="a length > 0 mm",
        )
    many = count_of(tenons, 0, "tenons", f"{where}.tenons")
    short = size(stub, f"{where}.stub")
    long, wide = optional(length, f"{where}.length"), optional(tenonWidth, f"{where}.tenonWidth")
    for label, value in (("length", long), ("tenonWidth", wide)):
        if (value is None) == bool(many):
            raise SpecError(
                f"{many} tenons " + ("need their sizes" if many else "have no size"),
                field=f"{where}.{label}",
                allowed="a length > 0 mm" if many else "None, or tenons",
            )
    if long is not None and long <= short:
        raise SpecError(
            f"tenons of {long:g} mm are not longer than their tongue",
            field=f"{where}.length",
            allowed=f"more than {short:g} mm",
        )
    recipe = EndBoardRecipe(
        width=optional(width, f"{where}.width"),
        tongue=size(tongue, f"{where}.tongue"),
        stub=short,
        length=short if long is None else long,
        tenons=many,
        tenon_width=wide or 0.0,
        inset=pair(inset, "two insets", "(-x, +x)", f"{where}.inset"),
        room=size(room, f"{where}.room", zero=True),
        pegs=_pegs(where, peg, draw, slots, many),
        fit=fit_of(fit, f"{where}.fit"),
    )
    return LetInAsked(where, part, combine, clean).cut(recipe)


def _pegs(
    where: str,
    peg: LengthValue | None,
    draw: LengthValue,
    slots: object,
    tenons: int,
) -> EndPegs | None:
    across = optional(peg, f"{where}.peg")
    offset = size(draw, f"{where}.draw", zero=True)
    wanted = tenons if across is not None else 0
    if isinstance(slots, str) or not isinstance(slots, Sequence) or len(slots) != wanted:
        raise SpecError(
            f"{slots!r}: each peg's slot is wanted, 0 for the round hole",
            field=f"{where}.slots",
            allowed=f"{wanted} lengths",
        )
    if across is None:
        return None
    if not tenons:
        raise SpecError(
            "an end cap without tenons has no pegs", field=f"{where}.peg", allowed="None, or tenons"
        )
    if offset >= across / 2:
        raise SpecError(
            f"a draw of {offset:g} mm would leave a peg of {across:g} mm no way through",
            field=f"{where}.draw",
            allowed=f"less than half the diameter, {across / 2:g} mm",
        )
    apart = tuple(size(s, f"{where}.slots", zero=True) for s in slots)
    return EndPegs(across, offset, apart)


def panelGroove(
    reach: LengthValue,
    thickness: LengthValue,
    length: LengthValue | None = None,
    *,
    room: LengthValue = 0.0,
    stop: LengthValue = 0.0,
    stopSide: Literal["+x", "-x"] = "+x",
    fit: str | Fit = "easy",
    combine: Combine = True,
    clean: bool = True,
) -> JointCut:
    """Cut a groove in which a panel's edge, or boards' ends, stand whole and free to move.

    Args:
        reach: how deep the panel stands in the solid.
        thickness: the panel's, along y.
        length: the panel's, along x; None runs the groove out, but for ``stop``.
        room: between its edge and the groove's floor.
        stop: how far the groove stops short of the solid's edge.
        stopSide: at which edge.
        fit: name of a fit, or a Fit.
        combine: cut the solid; False leaves the tools on the stack.
        clean: call ``clean()`` on the outcome.

    Raises:
        SpecError: a size is not a length above 0 (from 0 on for room and stop), or a word is
            unknown.
    """
    where = "panelGroove"
    return LetInAsked(where, "receiver", combine, clean).housed(
        HousedRecipe(
            make=PanelGroove,
            options=(("room", size(room, f"{where}.room", zero=True)),),
            name=where,
            depth=size(reach, f"{where}.reach"),
            thickness=size(thickness, f"{where}.thickness"),
            length=optional(length, f"{where}.length"),
            stop=size(stop, f"{where}.stop", zero=True),
            stop_side=stopSide,
            fit=fit_of(fit, f"{where}.fit"),
        )
    )
