"""What a tenon on a workplane is made of: the recipes, and what a person asks of every kind."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, TypeAlias

from treenail.joints.corners import CORNERS, CornerKind
from treenail.joints.mortise_tenon import Shoulders
from treenail.joints.tenon_variants.make import round_tenon
from treenail.timber.errors import GeometryError, SpecError
from treenail.timber.frames import snap
from treenail.timber.member import Face, Member
from treenail.workplane_cuts import TOUCH, Combine
from treenail.workplane_joinery import FAR, UP, JointCut, Part, Span, Wood, boxed
from treenail.workplane_values import Side, combining, fit_of, one_of, optional, size

if TYPE_CHECKING:
    from treenail.joints.base import Joint
    from treenail.joints.fits import Fit
    from treenail.timber.lengths import LengthValue

__all__ = ["PAD", "PARTS", "SIDES_OF", "X_SIDES", "Y_SIDES", "Asked", "RoundRecipe", "TenonRecipe"]

Make: TypeAlias = Callable[..., "Joint"]
#: Shoulders of a made-up tenoned piece, mm.
PAD = 20.0
PARTS = ("receiver", "entering")
X_SIDES: tuple[Side, ...] = ("-x", "+x")
Y_SIDES: tuple[Side, ...] = ("-y", "+y")
SIDES_OF: tuple[Side, ...] = (*X_SIDES, *Y_SIDES)


@dataclass(frozen=True, slots=True, kw_only=True)
class TenonRecipe:
    """Any tenon with shoulders: what makes it, and the sizes that place it.

    Attributes:
        make: one of :mod:`treenail.joints.tenon_variants.make`, or like them.
        name: the method's, for messages.
        length: of the tenon, mm.
        width, thickness: of the tenon (of all of them), mm; None keeps the piece's own.
        receiver: the receiver's thickness behind the face, mm; None takes the solid's, or as much
            as the tenon is long.
        bare: the side on which the tenon has no shoulder, and from which it is measured.
        flush: that side ends in one plane with the receiver.
        fit, options: what ``make`` takes.
    """

    make: Make
    name: str
    length: float
    width: float | None
    thickness: float | None
    receiver: float | None = None
    bare: Side | None = None
    flush: bool = False
    fit: Fit
    options: tuple[tuple[str, Any], ...] = ()

    @property
    def reach(self) -> float:
        """The tenon's length."""
        return self.length

    def joint(self, part: Part, wood: Wood) -> Joint:
        """The tenon between the solid and a made-up piece."""
        x, y = self._section(part, wood)
        receiver, entering, end = self._members(part, wood, x, y)
        tenon_x, tenon_y = self._tenon(x, y)
        off = (tenon_x[0] - x[0], x[1] - tenon_x[1], tenon_y[0] - y[0], y[1] - tenon_y[1])
        if min(off) < -TOUCH:
            raise GeometryError(
                f"{self.name}: a tenon of {tenon_x[1] - tenon_x[0]:g} x "
                f"{tenon_y[1] - tenon_y[0]:g} mm does not lie within the piece's {wood} at the "
                "point on the stack"
            )
        a, b, c, d = (snap(o) if o > TOUCH else 0.0 for o in off)
        return self.make(
            receiver,
            entering,
            name=self.name,
            end=end,
            fit=self.fit,
            shoulders=Shoulders(face_edge=a, back_edge=b, face_side=c, back_side=d),
            **dict(self.options),
        )

    def _members(self, part: Part, wood: Wood, x: Span, y: Span) -> tuple[Member, Member, Face]:
        return standing(self, part, wood, x, y)

    def _section(self, part: Part, wood: Wood) -> tuple[Span, Span]:
        """The tenoned piece's, measured or made up around the tenon."""
        if part == "entering":
            return wood.x, wood.y
        wide, thick = self.width or 0.0, self.thickness or 0.0
        a, b, c, d = (0.0 if side == self.bare else PAD for side in SIDES_OF)
        return (-wide / 2 - a, wide / 2 + b), (-thick / 2 - c, thick / 2 + d)

    def _tenon(self, x: Span, y: Span) -> tuple[Span, Span]:
        wide, thick = self.width, self.thickness
        if thick is None:
            over = y
        elif self.bare is None:
            over = (-thick / 2, thick / 2)
        else:
            over = (y[0], y[0] + thick) if self.bare == "-y" else (y[1] - thick, y[1])
        return (x if wide is None else (-wide / 2, wide / 2), over)


@dataclass(frozen=True, slots=True, kw_only=True)
class RoundRecipe:
    """A cone in the middle of its piece; attributes as for :class:`TenonRecipe`."""

    name: str
    length: float
    diameter: float
    angle: float
    through: bool
    receiver: float | None = None
    bare: Side | None = None
    flush: bool = False

    @property
    def reach(self) -> float:
        """The cone's length."""
        return self.length

    def joint(self, part: Part, wood: Wood) -> Joint:
        """The cone between the solid and a made-up piece."""
        half = self.diameter / 2 + PAD
        x, y = (wood.x, wood.y) if part == "entering" else ((-half, half), (-half, half))
        off = (sum(x) / 2, sum(y) / 2)
        if max(abs(off[0]), abs(off[1])) > TOUCH:
            raise GeometryError(
                f"{self.name}: a round tenon stands in the middle of its piece, which lies "
                f"({off[0]:g}, {off[1]:g}) mm from the point on the stack"
            )
        receiver, entering, end = standing(self, part, wood, x, y)
        return round_tenon(
            receiver,
            entering,
            diameter=self.diameter,
            angle=self.angle,
            through=self.through,
            end=end,
            name=self.name,
        )


def standing(
    recipe: TenonRecipe | RoundRecipe, part: Part, wood: Wood, x: Span, y: Span
) -> tuple[Member, Member, Face]:
    """(receiver, entering, its tenoned end): the entering one stands along z over ``x, y``."""
    long = recipe.length
    if part == "receiver":
        thick, given = wood.depth, recipe.receiver
        if given is not None and abs(thick - given) > TOUCH:
            raise GeometryError(
                f"{recipe.name}: the solid is {thick:g} mm thick behind the workplane, not "
                f"{given:g} mm"
            )
        receiver = boxed("receiver", wood.x, wood.y, (-thick, 0.0), grain=(1.0, 0.0, 0.0), face=UP)
        entering = boxed("entering", x, y, (-long, FAR), grain=UP, face=(0.0, -1.0, 0.0))
        return receiver, entering, Face.NEAR_END
    thick = recipe.receiver or long
    around = {s: 0.0 if recipe.flush and s == recipe.bare else FAR for s in SIDES_OF}
    receiver = boxed(
        "receiver",
        (x[0] - around["-x"], x[1] + around["+x"]),
        (y[0] - around["-y"], y[1] + around["+y"]),
        (-long, thick - long),
        grain=(1.0, 0.0, 0.0),
        face=(0.0, 0.0, -1.0),
    )
    entering = boxed("entering", x, y, (-wood.depth, 0.0), grain=UP, face=(0.0, -1.0, 0.0))
    return receiver, entering, Face.FAR_END


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What every tenon's factory is given, as a person wrote it."""

    where: str
    part: Part
    length: LengthValue
    width: LengthValue | None
    thickness: LengthValue | None
    fit: str | Fit
    corners: CornerKind
    cutter: LengthValue
    combine: Combine
    clean: bool

    def cut(
        self,
        make: Make,
        options: Mapping[str, Any],
        *,
        receiver: LengthValue | None = None,
        bare: Side | None = None,
        flush: bool = False,
        recipe: Callable[..., TenonRecipe] = TenonRecipe,
        kind: type[JointCut] = JointCut,
    ) -> JointCut:
        """The operation; SpecError for what no tenon can have."""
        where, part = self.where, self.part
        one_of(part, PARTS, f"{where}.part")
        for label, value in (("width", self.width), ("thickness", self.thickness)):
            if value is None and part == "receiver":
                raise SpecError(
                    f"the tenon's {label} is needed to cut its mortise",
                    field=f"{where}.{label}",
                    allowed="a length > 0 mm",
                )
        one_of(self.corners, CORNERS, f"{where}.corners")
        diameter = size(self.cutter, f"{where}.cutter")
        made = recipe(
            make=make,
            name=where,
            length=size(self.length, f"{where}.length"),
            width=optional(self.width, f"{where}.width"),
            thickness=optional(self.thickness, f"{where}.thickness"),
            receiver=optional(receiver, f"{where}.receiver"),
            bare=bare,
            flush=flush,
            fit=fit_of(self.fit, f"{where}.fit"),
            options=(*options.items(), ("corners", self.corners), ("cutter", diameter)),
        )
        return kind(
            recipe=made,
            part=part,
            on_end=part == "entering",
            combine=combining(where, self.combine),
            clean=bool(self.clean),
        )
