"""Joints that lean on a workplane: angled tenons, bevelled ends, skew notches; for ``invoke``.

The workplane is square to its own piece: it lies in the receiver's face, or in the square end of
the piece that leans. ``leanX`` and ``leanY`` tell how far that piece leans, coming out of the
receiver, toward x and y: as seen square on to each, like splay and rake, in degrees. The sides
across its thickness run along x. Like all sides, the directions are each workplane's own: where
x runs the same way on both parts, y does not, and ``leanY`` changes its sign. A lean toward a side
takes more off the end on that side.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import partial
from typing import TYPE_CHECKING

from treenail.joints.angled_tenon import AngledTenon
from treenail.joints.skew import BevelledEnd, SkewLetIn
from treenail.joints.tenon_variants.make import CUTTER, angled_tenon
from treenail.timber.angles import STEEPEST
from treenail.timber.errors import GeometryError, SpecError
from treenail.timber.frames import Frame, Vec, cross, neg, sub, unit
from treenail.workplane_cuts import TOUCH, bounds, piece_at, within
from treenail.workplane_joinery import FAR, UP, JointCut, Wood, boxed
from treenail.workplane_let_in_recipes import LetInAsked
from treenail.workplane_tenon_recipes import Asked, TenonRecipe, standing
from treenail.workplane_values import combining, count_of, fit_of, leaning, optional, size

if TYPE_CHECKING:
    import cadquery as cq

    from treenail.joints.base import Joint
    from treenail.joints.fits import Fit
    from treenail.timber.lengths import LengthValue
    from treenail.timber.member import Face, Member
    from treenail.workplane_cuts import Combine
    from treenail.workplane_joinery import Part, Span

__all__ = ["angledTenon", "bevelledEnd", "skewNotch"]

#: Tangents of the leans toward x and y.
Lean = tuple[float, float]
RIGHT: Vec = (1.0, 0.0, 0.0)
#: How deep an end is looked at for its section, mm.
LOOK = 1.0
#: The steepest bevel that the joint takes, and the steepest angle told for either line, degrees.
STEEPEST_BEVEL = 60.0
_STEEPEST = math.degrees(STEEPEST)


def _axes(lean: Lean) -> tuple[Vec, Vec, Vec]:
    """Width, thickness and axis (out of the face) of what leans, in the face's workplane."""
    axis = unit((*lean, 1.0))
    thick = unit((0.0, 1.0, -lean[1]))  # square to x
    return cross(thick, axis), thick, axis


def _tilt(slopes: Lean) -> float:
    """The resultant of two slopes that stand square to each other, degrees."""
    return math.degrees(math.atan(math.hypot(*slopes)))


@dataclass(frozen=True, slots=True, kw_only=True)
class AslantCut(JointCut):
    """What an aslant joint takes; how deep in an end, its section tells."""

    def _whole(self, local: cq.Shape, piece: cq.Shape, at: cq.Location, wood: Wood) -> cq.Shape:
        recipe = self.recipe
        assert isinstance(recipe, AngledRecipe | BevelRecipe)
        joint = self._joint(wood)
        deep = recipe.deepest(joint)
        if deep >= wood.depth - TOUCH:
            raise GeometryError(
                f"{joint.name}: cuts {deep:g} mm deep leave nothing of a piece {wood.depth:g} mm "
                "long"
            )
        pieces = within(local, deep)
        whole = pieces[piece_at(pieces, at)]
        x0, x1, y0, y1, _, _ = bounds(whole, at)
        found = Wood((x0, x1), (y0, y1), wood.depth)
        off = zip((*found.x, *found.y), (*wood.x, *wood.y), strict=True)
        if any(abs(a - b) > TOUCH for a, b in off):
            raise GeometryError(
                f"{joint.name}: within {deep:g} mm of its end the piece is not {wood} throughout, "
                f"but {found}"
            )
        return whole


@dataclass(frozen=True, slots=True, kw_only=True)
class AngledRecipe(TenonRecipe):
    """A tenon that leans by ``lean``; the rest as for :class:`TenonRecipe`."""

    lean: Lean

    def joint(self, part: Part, wood: Wood) -> Joint:
        """The tenon; GeometryError where a blind one's mortise comes through."""
        made = TenonRecipe.joint(self, part, wood)
        assert isinstance(made, AngledTenon)
        m = made.mortise
        nx, ny, nz = m.normal
        floor = m.depth * nz + abs(nx) * m.length / 2 + abs(ny) * m.width / 2
        thick = wood.depth if part == "receiver" else self.receiver
        if thick is not None and not made.through and floor >= thick - TOUCH:
            raise GeometryError(
                f"{self.name}: the mortise's floor, {floor:g} mm deep at its lowest, comes through "
                f"a receiver {thick:g} mm thick; a through tenon takes through=True"
            )
        return made

    def deepest(self, joint: Joint) -> float:
        """The shoulders' deepest corner."""
        assert isinstance(joint, AngledTenon)
        return joint.tenon.shoulder.reach(joint.entering)

    def _members(self, part: Part, wood: Wood, x: Span, y: Span) -> tuple[Member, Member, Face]:
        """The members of a square tenon, the made-up one turned about the middle of the mouth."""
        receiver, entering, end = standing(self, part, wood, x, y)
        w, t, a = _axes(self.lean)
        if part == "receiver":
            turn = Frame((0.0, 0.0, 0.0), w, t, a)
            return receiver, _turned(entering, turn), end
        # Seen along the piece, whose z goes home and whose y is the other way round.
        right, back, out = ((w[i], t[i], -a[i]) for i in range(3))
        turn = Frame((0.0, 0.0, 0.0), right, back, neg(out))
        mouth = (0.0, 0.0, -self.length)
        turn = replace(turn, origin=sub(mouth, turn.direction(mouth)))
        return _turned(receiver, turn), entering, end


def _turned(member: Member, turn: Frame) -> Member:
    return replace(member, placement=turn.place(member.placement).snapped())


@dataclass(frozen=True, slots=True, kw_only=True)
class BevelRecipe:
    """A plane across an end.

    Attributes:
        slopes: how much deeper it lies for each mm toward x and y.
        depth: at the point on the stack, mm; None takes no more than it must.
    """

    slopes: Lean
    depth: float | None

    @property
    def reach(self) -> float:
        """Where the section is measured."""
        return LOOK

    def deepest(self, joint: Joint) -> float:
        """The plane's deepest corner."""
        assert isinstance(joint, BevelledEnd)
        return joint.bevel.plane.reach(joint.member)

    def joint(self, part: Part, wood: Wood) -> Joint:
        """The bevel of the solid."""
        sx, sy = self.slopes
        deep = self.depth
        if deep is None:
            deep = -min(sx * x + sy * y for x in wood.x for y in wood.y)
        member = boxed(part, wood.x, wood.y, (-wood.depth, 0.0), grain=UP, face=(0.0, -1.0, 0.0))
        return BevelledEnd(
            name="bevelledEnd",
            member=member,
            end=member.face_towards(UP),
            point=(0.0, 0.0, -deep),
            outward=unit((sx, sy, 1.0)),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class SkewRecipe:
    """A notch across the solid for a rail turned from y by an angle in radians; sizes in mm."""

    width: float
    depth: float
    angle: float
    fit: Fit

    @property
    def reach(self) -> float:
        """Of no account: only receivers are cut."""
        return 0.0

    def joint(self, part: Part, wood: Wood) -> Joint:
        """The joint with a rail through the point."""
        if self.depth >= wood.depth - TOUCH:
            raise GeometryError(
                f"skewNotch: {self.depth:g} mm is not less than the {wood.depth:g} mm behind the "
                "workplane"
            )
        far = 2 * (abs(wood.y[0]) + abs(wood.y[1]) + self.width) + FAR
        rail = boxed(
            "entering",
            (-self.width / 2, self.width / 2),
            (-far, far),
            (-self.depth, FAR),
            grain=(0.0, 1.0, 0.0),
            face=UP,
        )
        c, s = math.cos(self.angle), math.sin(self.angle)
        return SkewLetIn(
            name="skewNotch",
            receiver=boxed(part, wood.x, wood.y, (-wood.depth, 0.0), grain=RIGHT, face=UP),
            entering=_turned(rail, Frame((0.0, 0.0, 0.0), (c, -s, 0.0), (s, c, 0.0), UP)),
            fit=self.fit,
        )


def angledTenon(
    length: LengthValue,
    width: LengthValue | None = None,
    thickness: LengthValue | None = None,
    *,
    part: Part,
    leanX: float = 0.0,
    leanY: float = 0.0,
    through: bool = False,
    receiver: LengthValue | None = None,
    wedges: int = 0,
    kerf: LengthValue = 1.6,
    flare: LengthValue = 1.6,
    fit: str | Fit = "hand press",
    combine: Combine = True,
    clean: bool = True,
) -> JointCut:
    """Cut one part of an angled tenon: on a piece that leans to the face, shoulders lying in it.

    Args:
        length: on the tenon's axis, from the face to the square end of its stock. A through one
            is cut off flush with the far face, so its stock reaches a little beyond.
        width: of the tenon, along the piece's x; None keeps the piece's own (the entering part's
            only).
        thickness: along its y; None likewise.
        part: ``"receiver"`` (with the mortise) or ``"entering"`` (the piece that leans).
        leanX: how far it leans out of the receiver toward x, in degrees; negative toward -x.
        leanY: likewise toward y. The signs are each workplane's own: see the module.
        through: it comes out at the receiver's far face.
        receiver: its thickness; needed for the entering part of a through tenon.
        wedges: how many, each in a kerf of its own, spread over the width; a through tenon's only.
        kerf: width of the saw cuts.
        flare: how much farther out each short wall of a wedged mortise lies at the far face.
        fit: name of a fit, or a Fit; the clearances are in the mortise.
        combine: cut the solid; False leaves the tools on the stack.
        clean: call ``clean()`` on the outcome.

    Raises:
        SpecError: a size is not a length above 0, the piece leans more than 45 degrees, a through
            tenon's receiver is missing, or a blind one has wedges.
    """
    where = "angledTenon"
    asked = Asked(
        where=where,
        part=part,
        length=length,
        width=width,
        thickness=thickness,
        fit=fit,
        corners="square",
        cutter=CUTTER,
        combine=combine,
        clean=clean,
    )
    lean = _leans(where, leanX, leanY)
    many = count_of(wedges, 0, "wedges", f"{where}.wedges")
    if many and not through:
        raise SpecError(
            "only a through tenon is wedged from its end",
            field=f"{where}.wedges",
            allowed="0, or through=True",
        )
    if through and part == "entering" and receiver is None:
        raise SpecError(
            "the receiver's thickness is needed to cut a through tenon off flush",
            field=f"{where}.receiver",
            allowed="a length > 0 mm",
        )
    options = {
        "through": bool(through),
        "wedges": many,
        "kerf": size(kerf, f"{where}.kerf"),
        "flare": size(flare, f"{where}.flare"),
    }
    recipe = partial(AngledRecipe, lean=lean)
    return asked.cut(angled_tenon, options, receiver=receiver, recipe=recipe, kind=AslantCut)


def bevelledEnd(
    leanX: float = 0.0,
    leanY: float = 0.0,
    depth: LengthValue | None = None,
    *,
    marked: bool = False,
    combine: Combine = True,
    clean: bool = True,
) -> JointCut:
    """Saw the end in which the workplane lies along a plane: a mitre, a level foot, a compound.

    With the leans of an :func:`angledTenon` at its other end the piece stands level: where x runs
    the same way on both ends, ``leanX`` changes its sign and ``leanY`` does not.

    Args:
        leanX: how far the piece leans out of the plane toward x, in degrees; more is taken off on
            that side, less where it is negative. Alone it is the mitre's angle from square.
        leanY: likewise toward y.
        depth: from the end to the plane at the point on the stack; None takes no more than it
            must, so that the piece keeps its length at the longest corner.
        marked: the two are the angles from square of the lines on the piece's own sides, those
            that run along x and along y: as marked with a bevel gauge.
        combine: cut the solid; False leaves the tools on the stack.
        clean: call ``clean()`` on the outcome.

    Raises:
        SpecError: the plane is steeper than leans of 45 degrees (marked: lines or plane of 60), or
            takes nothing off.
    """
    where = "bevelledEnd"
    if marked:
        slopes = (
            leaning(leanX, STEEPEST_BEVEL, f"{where}.leanX"),
            leaning(leanY, STEEPEST_BEVEL, f"{where}.leanY"),
        )
        _refuse_steep(where, slopes, STEEPEST_BEVEL)
    else:
        w, t, a = _axes(_leans(where, leanX, leanY))
        slopes = (-w[2] / a[2] + 0.0, -t[2] / a[2] + 0.0)
    deep = optional(depth, f"{where}.depth")
    if deep is None and slopes == (0.0, 0.0):
        raise SpecError(
            "a square cut at the end itself takes nothing off",
            field=where,
            allowed="a lean, or a depth",
        )
    return AslantCut(
        recipe=BevelRecipe(slopes=slopes, depth=deep),
        part="entering",
        on_end=True,
        combine=combining(where, combine),
        clean=bool(clean),
    )


def skewNotch(
    width: LengthValue,
    depth: LengthValue,
    angle: float = 0.0,
    *,
    fit: str | Fit = "hand press",
    combine: Combine = True,
    clean: bool = True,
) -> JointCut:
    """Cut a notch across the solid, aslant, in which a rail lies whole; the grain runs along x.

    Args:
        width: of the rail, across the notch.
        depth: from the workplane.
        angle: how far the notch is turned from y toward x, in degrees; negative toward -x.
        fit: name of a fit, or a Fit; its cheek clearance makes the notch wider.
        combine: cut the solid; False leaves the tools on the stack.
        clean: call ``clean()`` on the outcome.

    Raises:
        SpecError: a size is not a length above 0, or the angle is over 45 degrees.
    """
    where = "skewNotch"
    recipe = SkewRecipe(
        width=size(width, f"{where}.width"),
        depth=size(depth, f"{where}.depth"),
        angle=math.atan(leaning(angle, _STEEPEST, f"{where}.angle")),
        fit=fit_of(fit, f"{where}.fit"),
    )
    return LetInAsked(where, "receiver", combine, clean).cut(recipe)


def _leans(where: str, x: float, y: float) -> Lean:
    lean = (
        leaning(x, _STEEPEST, f"{where}.leanX"),
        leaning(y, _STEEPEST, f"{where}.leanY"),
    )
    _refuse_steep(where, lean, _STEEPEST)
    return lean


def _refuse_steep(where: str, slopes: Lean, most: float) -> None:
    if _tilt(slopes) > most + 1e-9:
        raise SpecError(
            f"the two angles come to {_tilt(slopes):.4g} degrees from square",
            field=where,
            allowed=f"at most {most:g} degrees in all",
        )
