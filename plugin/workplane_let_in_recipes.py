"""What laps, housings and joints along edges on a workplane are made of."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, TypeAlias

from treenail.joints.corners import CORNERS, CornerKind
from treenail.timber.errors import GeometryError, SpecError
from treenail.timber.frames import Vec
from treenail.timber.member import Face
from treenail.workplane_cuts import TOUCH, Combine
from treenail.workplane_joinery import FAR, UP, JointCut, Part, Recipe, Span, Wood, boxed
from treenail.workplane_values import combining, one_of, size

if TYPE_CHECKING:
    from treenail.joints.base import Joint
    from treenail.joints.fits import Fit
    from treenail.timber.lengths import LengthValue
    from treenail.timber.member import Member

__all__ = [
    "HousedRecipe",
    "LapRecipe",
    "LetInAsked",
    "RebateRecipe",
    "SplineRecipe",
    "corners_of",
]

Make: TypeAlias = Callable[..., "Joint"]
_RIGHT: Vec = (1.0, 0.0, 0.0)
_LEFT: Vec = (-1.0, 0.0, 0.0)
_FRONT: Vec = (0.0, -1.0, 0.0)
#: The receiver's ends, by the workplane's directions.
_ENDS = {"-x": Face.NEAR_END, "+x": Face.FAR_END}


def _receiver(wood: Wood, *, grain: Vec = _RIGHT) -> Member:
    """The solid, its face side in the workplane."""
    return boxed("receiver", wood.x, wood.y, (-wood.depth, 0.0), grain=grain, face=UP)


def corners_of(kind: CornerKind, cutter: LengthValue, where: str) -> tuple[CornerKind, float]:
    """Corners as a person asks for them; SpecError."""
    one_of(kind, CORNERS, f"{where}.corners")
    return kind, size(cutter, f"{where}.cutter")


def _middle(wide: float) -> Span:
    return (-wide / 2, wide / 2)


@dataclass(frozen=True, slots=True, kw_only=True)
class LapRecipe:
    """A lap or notch: the solid receives a piece whose grain runs along y; sizes in mm."""

    make: Make
    name: str
    width: float
    depth: float | None
    length: float | None
    fit: Fit
    corners: tuple[CornerKind, float]

    @property
    def reach(self) -> float:
        """Of no account: only receivers are cut."""
        return 0.0

    def joint(self, part: Part, wood: Wood) -> Joint:
        """The joint; a half lap's other piece is as thick as the solid."""
        deep = wood.depth / 2 if self.depth is None else self.depth
        if deep >= wood.depth - TOUCH:
            raise GeometryError(
                f"{self.name}: {deep:g} mm is not less than the {wood.depth:g} mm behind the "
                "workplane"
            )
        half = self.name == "halfLap"
        over = (wood.y[0] - FAR, wood.y[1] + FAR) if self.length is None else _middle(self.length)
        other = boxed(
            "entering",
            _middle(self.width),
            over,
            (-wood.depth, 0.0) if half else (-deep, FAR),
            grain=(0.0, 1.0, 0.0),
            face=UP,
        )
        share = {"share": deep / wood.depth} if half else {}
        return self.make(
            name=self.name,
            receiver=_receiver(wood),
            entering=other,
            face=Face.FACE_SIDE,
            fit=self.fit,
            corners=self.corners[0],
            cutter=self.corners[1],
            **share,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class HousedRecipe:
    """A trench along x and what stands in it.

    Attributes:
        make: the joint's class; it takes ``options`` besides what all housed joints take.
        depth: how deep the entering piece stands in the receiver, mm.
        open_by: room at its shoulders, mm.
        thickness: of the entering piece, mm; None measures it.
        length: of the entering piece along x, mm; None lets it overhang.
        stop, stop_side: how far, and at which of the receiver's edges, the trench is stopped.
    """

    make: Make
    name: str
    depth: float
    thickness: float | None
    length: float | None
    fit: Fit
    open_by: float = 0.0
    stop: float = 0.0
    stop_side: str = "+x"
    options: tuple[tuple[str, Any], ...] = ()

    @property
    def reach(self) -> float:
        """The height of what stands over the shoulders."""
        return self.depth + self.open_by

    def joint(self, part: Part, wood: Wood) -> Joint:
        """The joint between the solid and a made-up piece."""
        receiver, entering = (
            self._in_trench(wood, self.thickness or 0.0)
            if part == "receiver"
            else self._with_tongue(wood)
        )
        return self.make(
            name=self.name,
            receiver=receiver,
            entering=entering,
            face=Face.FACE_SIDE,
            fit=self.fit,
            stop=self.stop,
            stop_at=_ENDS[self.stop_side] if self.stop else None,
            **dict(self.options),
        )

    def _in_trench(self, wood: Wood, thick: float) -> tuple[Member, Member]:
        if self.length is None:  # so far that its longer side lies along the trench
            run = (wood.x[0] - thick, wood.x[1] + thick)
        else:
            run = _middle(self.length)
            if self.length < thick:
                raise GeometryError(
                    f"{self.name}: the trench runs along x, but {self.length:g} mm along it is "
                    f"less than {thick:g} mm across; turn the workplane"
                )
        entering = boxed("entering", run, _middle(thick), (-self.depth, FAR), grain=UP, face=_FRONT)
        return _receiver(wood), entering

    def _with_tongue(self, wood: Wood) -> tuple[Member, Member]:
        wide, thick = wood.x[1] - wood.x[0], wood.y[1] - wood.y[0]
        if wide < thick - TOUCH:
            raise GeometryError(
                f"{self.name}: the piece's {wood} lies with its longer side along y; turn the "
                "workplane so that the tongue runs along x"
            )
        for what, given, found in (
            ("thick", self.thickness, thick),
            ("long", self.length, wide),
        ):
            if given is not None and abs(given - found) > TOUCH:
                raise GeometryError(
                    f"{self.name}: the piece is {found:g} mm {what} at the point on the stack, "
                    f"not {given:g} mm"
                )
        mouth = -self.reach
        receiver = boxed(
            "receiver",
            wood.x,
            (wood.y[0] - FAR, wood.y[1] + FAR),
            (mouth + self.open_by, mouth + self.open_by + self.depth + FAR),
            grain=_RIGHT,
            face=(0.0, 0.0, -1.0),
        )
        entering = boxed("entering", wood.x, wood.y, (-wood.depth, 0.0), grain=UP, face=_FRONT)
        return receiver, entering


@dataclass(frozen=True, slots=True, kw_only=True)
class RebateRecipe:
    """A step along the solid's own edge on one side; sizes in mm."""

    make: Make
    width: float
    depth: float
    side: str
    fit: Fit

    @property
    def reach(self) -> float:
        """Of no account: only receivers are cut."""
        return 0.0

    def joint(self, part: Part, wood: Wood) -> Joint:
        """The joint with a made-up piece that lies in the step."""
        low, high = wood.y
        if self.width >= high - low - TOUCH or self.depth >= wood.depth - TOUCH:
            raise GeometryError(
                f"rebate: a step of {self.width:g} mm by {self.depth:g} mm leaves nothing of the "
                f"solid's {high - low:g} mm by {wood.depth:g} mm"
            )
        over = (high - self.width, high) if self.side == "+y" else (low, low + self.width)
        run = (wood.x[0] - self.width, wood.x[1] + self.width)
        entering = boxed("entering", run, over, (-self.depth, FAR), grain=UP, face=_FRONT)
        return self.make(
            name="rebate",
            receiver=_receiver(wood),
            entering=entering,
            face=Face.FACE_SIDE,
            fit=self.fit,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class SplineRecipe:
    """A groove for a strip; sizes in mm."""

    make: Make
    thickness: float
    depth: float
    length: float | None
    play_side: str
    fit: Fit
    corners: tuple[CornerKind, float]

    @property
    def reach(self) -> float:
        """Of no account: only receivers are cut."""
        return 0.0

    def joint(self, part: Part, wood: Wood) -> Joint:
        """The joint with the strip."""
        thick = self.thickness
        run = (
            (wood.x[0] - thick, wood.x[1] + thick) if self.length is None else _middle(self.length)
        )
        strip = boxed(
            "entering", run, _middle(thick), (-self.depth, self.depth), grain=_RIGHT, face=_FRONT
        )
        # The play is on the high side of the receiver's own y.
        grain = _LEFT if self.play_side == "+y" else _RIGHT
        return self.make(
            name="looseSpline",
            receiver=_receiver(wood, grain=grain),
            entering=strip,
            face=Face.FACE_SIDE,
            fit=self.fit,
            corners=self.corners[0],
            cutter=self.corners[1],
        )


@dataclass(frozen=True, slots=True)
class LetInAsked:
    """What every factory is given besides its sizes."""

    where: str
    part: Part
    combine: Combine
    clean: bool

    def cut(self, recipe: Recipe) -> JointCut:
        """The operation."""
        return JointCut(
            recipe=recipe,
            part=self.part,
            on_end=self.part == "entering",
            combine=combining(self.where, self.combine),
            clean=bool(self.clean),
        )

    def housed(self, recipe: HousedRecipe) -> JointCut:
        """The operation of a joint with two parts; SpecError for what can't be."""
        one_of(self.part, ("receiver", "entering"), f"{self.where}.part")
        one_of(recipe.stop_side, tuple(_ENDS), f"{self.where}.stopSide")
        if recipe.thickness is None and self.part == "receiver":
            raise SpecError(
                "the entering piece's thickness is needed to cut its trench",
                field=f"{self.where}.thickness",
                allowed="a length > 0 mm",
            )
        if recipe.stop and recipe.length is not None and self.part == "receiver":
            raise SpecError(
                "a trench of a given length is closed already",
                field=f"{self.where}.stop",
                allowed="a length or a stop, not both",
            )
        return self.cut(recipe)
