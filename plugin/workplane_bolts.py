"""Bolts on a workplane: the knock-down bolt with its barrel nut, and the lag bolt; for ``invoke``.

Each has two parts. The bolt's axis goes through the point on the stack, along the workplane's z.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from treenail.joints.barrel_bolt import SETBACK, BarrelBolt
from treenail.joints.lag_bolt import LagBolt
from treenail.timber.errors import GeometryError, SpecError
from treenail.timber.fasteners import LagSize, lag_size
from treenail.timber.metric_bolts import MetricBolt, metric_bolt
from treenail.workplane_cuts import TOUCH, Combine
from treenail.workplane_joinery import FACES, FAR, UP, JointCut, Part, Recipe, Wood, boxed
from treenail.workplane_values import Side, combining, one_of, optional, size

if TYPE_CHECKING:
    from treenail.joints.base import Joint
    from treenail.timber.fasteners import WasherSeries
    from treenail.timber.lengths import LengthValue

__all__ = ["knockDownBolt", "lagBolt"]

_AROUND = (-FAR, FAR)


def _thick(name: str, given: float | None, wood: Wood) -> float:
    """The solid's thickness behind the workplane; GeometryError if it isn't the given one."""
    if given is not None and abs(given - wood.depth) > TOUCH:
        raise GeometryError(
            f"{name}: the solid is {wood.depth:g} mm thick behind the workplane, not {given:g} mm"
        )
    return wood.depth


@dataclass(frozen=True, slots=True, kw_only=True)
class BarrelRecipe:
    """A bolt through a post into a rail's end. ``receiver`` is the rail, as for the joint."""

    bolt: MetricBolt
    post: float | None
    setback: float
    nut_side: Side
    length: float | None
    counterbore: float | None

    @property
    def reach(self) -> float:
        """Of no account: the holes are cut as in any face."""
        return 0.0

    def joint(self, part: Part, wood: Wood) -> Joint:
        """The rail stands along z, its far end on the post."""
        if part == "receiver":
            deep = self.post or 0.0
            rail = boxed("receiver", wood.x, wood.y, (-wood.depth, 0.0), grain=UP, face=_FRONT)
            post = boxed("entering", _wide(wood.x), _wide(wood.y), (0.0, deep), grain=_X, face=UP)
            at = (-wood.x[0], -wood.y[0])
        else:
            deep = _thick("knockDownBolt", self.post, wood)
            post = boxed("entering", wood.x, wood.y, (-deep, 0.0), grain=_X, face=UP)
            rail = boxed(
                "receiver", _AROUND, _AROUND, (-deep - 10 * FAR, -deep), grain=UP, face=_FRONT
            )
            at = (FAR, FAR)
        return BarrelBolt(
            name="knockDownBolt",
            rail=rail,
            post=post,
            size=self.bolt,
            at=at,
            setback=self.setback,
            nut_face=FACES[self.nut_side],
            length=self.length,
            counterbore=self.counterbore,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class LagRecipe:
    """A bolt through a carrier (``entering``) into a top (``receiver``)."""

    bolt: LagSize
    length: float
    carrier: float | None
    counterbore: float
    pilot: float
    slot: float

    @property
    def reach(self) -> float:
        """Of no account: the holes are cut as in any face."""
        return 0.0

    def joint(self, part: Part, wood: Wood) -> Joint:
        """Both lie across z; the top's grain runs along y, the slot along x."""
        if part == "entering":
            deep = _thick("lagBolt", self.carrier, wood)
            carrier = boxed("entering", wood.x, wood.y, (-deep, 0.0), grain=_X, face=UP)
            top = boxed("receiver", _AROUND, _AROUND, (-deep - 10 * FAR, -deep), grain=_Y, face=UP)
        else:
            deep = self.carrier or 0.0
            carrier = boxed("entering", _AROUND, _AROUND, (0.0, deep), grain=_X, face=UP)
            top = boxed("receiver", wood.x, wood.y, (-wood.depth, 0.0), grain=_Y, face=UP)
        return LagBolt(
            name="lagBolt",
            top=top,
            carrier=carrier,
            point=(0.0, 0.0, 0.0),
            direction=(0.0, 0.0, -1.0),
            size=self.bolt,
            length=self.length,
            counterbore=self.counterbore,
            pilot=self.pilot,
            slot=self.slot,
        )


_X = (1.0, 0.0, 0.0)
_Y = (0.0, 1.0, 0.0)
_FRONT = (0.0, -1.0, 0.0)


def _wide(span: tuple[float, float]) -> tuple[float, float]:
    return (span[0] - FAR, span[1] + FAR)


def _cut(where: str, part: Part, recipe: Recipe, combine: Combine, *, clean: bool) -> JointCut:
    return JointCut(
        recipe=recipe,
        part=part,
        on_end=False,
        combine=combining(where, combine),
        clean=bool(clean),
    )


def knockDownBolt(
    bolt: str = "M8",
    *,
    part: Literal["rail", "post"],
    post: LengthValue | None = None,
    setback: LengthValue = SETBACK,
    nutSide: Side = "+y",
    length: LengthValue | None = None,
    counterbore: LengthValue | None = None,
    combine: Combine = True,
    clean: bool = True,
) -> JointCut:
    """Bore one part for a knock-down bolt and its barrel nut.

    On the post the workplane lies where the head goes in, on the rail in the end that butts.

    Args:
        bolt: its size, such as ``"M8"``.
        part: ``"rail"`` (bolt hole and barrel nut's hole) or ``"post"`` (bolt hole, counterbore).
        post: the post's thickness along the bolt; the rail needs it, on the post it is measured.
        setback: from the rail's end to the nut's axis.
        nutSide: the rail's side at which the nut goes in.
        length: of the bolt under its head; None takes the shortest stocked one.
        counterbore: depth of the pocket for head and washer; None sinks them, 0 leaves it out.
        combine: cut the solid; False leaves the tools on the stack.
        clean: call ``clean()`` on the outcome.

    Raises:
        SpecError: a size is not a length above 0, or a word is unknown.
    """
    where = "knockDownBolt"
    one_of(part, ("rail", "post"), f"{where}.part")
    one_of(nutSide, tuple(FACES), f"{where}.nutSide")
    if part == "rail" and post is None:
        raise SpecError(
            "how far the bolt reaches into the rail depends on the post's thickness",
            field=f"{where}.post",
            allowed="a length > 0 mm",
        )
    recipe = BarrelRecipe(
        bolt=metric_bolt(bolt, field=f"{where}.bolt"),
        post=optional(post, f"{where}.post"),
        setback=size(setback, f"{where}.setback"),
        nut_side=nutSide,
        length=optional(length, f"{where}.length"),
        counterbore=(
            None if counterbore is None else size(counterbore, f"{where}.counterbore", zero=True)
        ),
    )
    own: Part = "receiver" if part == "rail" else "entering"
    return _cut(where, own, recipe, combine, clean=clean)


def lagBolt(
    bolt: str,
    length: LengthValue,
    *,
    part: Literal["carrier", "top"],
    carrier: LengthValue | None = None,
    counterbore: LengthValue = 0.0,
    pilot: LengthValue | None = None,
    slot: LengthValue = 0.0,
    washer: WasherSeries = "wide",
    combine: Combine = True,
    clean: bool = True,
) -> JointCut:
    """Bore one part for a lag bolt: the carrier that it goes through, or the top that it holds.

    On the carrier the workplane lies where the head goes in, on the top where the thread does.

    Args:
        bolt: its diameter in inches, such as ``"3/8"``.
        length: under the head to the point.
        part: ``"carrier"`` (hole or slot, counterbore) or ``"top"`` (pilot hole).
        carrier: its thickness along the bolt; the top needs it, on the carrier it is measured.
        counterbore: depth of the pocket for head and washer; 0 for none.
        pilot: diameter of the hole for the thread; the top needs it.
        slot: how far the bolt may travel along the workplane's x, in total; 0 for a round hole.
        washer: ``"wide"`` or ``"narrow"``; it decides the counterbore's diameter.
        combine: cut the solid; False leaves the tools on the stack.
        clean: call ``clean()`` on the outcome.

    Raises:
        SpecError: a size is not a length above 0, or a word is unknown.
    """
    where = "lagBolt"
    one_of(part, ("carrier", "top"), f"{where}.part")
    found = lag_size(bolt, washer, field=f"{where}.bolt")
    if part == "top":
        for label, value in (("carrier", carrier), ("pilot", pilot)):
            if value is None:
                raise SpecError(
                    f"the {label}'s size is needed to bore the top",
                    field=f"{where}.{label}",
                    allowed="a length > 0 mm",
                )
    recipe = LagRecipe(
        bolt=found,
        length=size(length, f"{where}.length"),
        carrier=optional(carrier, f"{where}.carrier"),
        counterbore=size(counterbore, f"{where}.counterbore", zero=True),
        pilot=found.diameter if pilot is None else size(pilot, f"{where}.pilot"),
        slot=size(slot, f"{where}.slot", zero=True),
    )
    own: Part = "entering" if part == "carrier" else "receiver"
    return _cut(where, own, recipe, combine, clean=clean)
