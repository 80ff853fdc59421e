"""The raised bench's sizes worked out: height, where posts and feet stand, rows, pins; mm."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from treenail.generators.frame_layout import INCH, Say, in_units
from treenail.generators.slab_layout import PostTenonPlan, plan_wedged
from treenail.timber.errors import SpecError
from treenail.timber.frames import snap

if TYPE_CHECKING:
    from treenail.generators.raised_spec import RaisedBenchSpec

#: Least room between feet and top, for a clamp's jaw, mm (our own choice).
CLAMP_ROOM = INCH
#: Wood between a pin's hole and a post's mortise, and over the hole, mm (our own choice).
PIN_WALL = INCH / 4


@dataclass(frozen=True, slots=True, kw_only=True)
class RaisedLayout:
    """Every number settled, mm.

    Attributes:
        height: its own.
        foot_width: front to back.
        left, right: the posts' outer sides.
        front, back: the feet's outer edges, from the top's front.
        tenon: of the posts in feet and top.
        rows: of dog holes, from the front.
    """

    height: float
    foot_width: float
    left: float
    right: float
    front: float
    back: float
    tenon: PostTenonPlan
    rows: tuple[float, ...] = ()

    def choices(self) -> dict[str, Any]:
        """What was settled, by the spec's names."""
        found = {"height": self.height, "feet.width": self.foot_width, **self.tenon.choices()}
        return found | ({"top.dog_holes.setback": self.rows[0]} if self.rows else {})


def lay_out_raised(spec: RaisedBenchSpec, units: str = "mm") -> RaisedLayout:
    """Settle everything; SpecError names the field that can't be met."""
    say = in_units(units)
    plan = RaisedLayout(
        height=_own_height(spec, say),
        foot_width=spec.posts.thickness if spec.feet.width is None else spec.feet.width,
        left=snap(spec.top.overhang),
        right=snap(spec.length - spec.top.overhang),
        front=snap(spec.top.set_in),
        back=snap(spec.depth - spec.top.set_in),
        tenon=plan_wedged(spec, units),
    )
    _check(spec, plan, say)
    return replace(plan, rows=_rows(spec, plan, say))


def _own_height(spec: RaisedBenchSpec, say: Say) -> float:
    """The bench's own height from what is stated, mm; SpecError where it doesn't add up."""
    raised = snap(spec.working_height - spec.below)
    if spec.height is not None and abs(spec.height - raised) > 0.05:
        raise SpecError(
            f"{say(spec.height)} on a bench {say(spec.below)} high comes to "
            f"{say(spec.below + spec.height)}, not to the working height, "
            f"{say(spec.working_height)}",
            field="height",
            allowed=f"{say(raised)}, or auto; or another below or working_height",
        )
    least = spec.feet.thickness + CLAMP_ROOM + spec.top.thickness
    if raised < least - 1e-9:
        raise SpecError(
            f"{say(spec.working_height)} is {say(max(raised, 0.0))} above the bench below; feet, "
            f"a clamp's jaw and the top take {say(least)}",
            field="working_height",
            allowed=f"at least {say(spec.below + least)}, or a thinner top or feet",
        )
    return raised


def _check(spec: RaisedBenchSpec, plan: RaisedLayout, say: Say) -> None:
    between = plan.right - plan.left - 2 * spec.posts.width
    if between < 2 * INCH:
        raise SpecError(
            f"a length of {say(spec.length)} leaves {say(between)} between the posts",
            field="length",
            allowed=f"at least {say(spec.length + 2 * INCH - between)} with these posts and "
            "overhangs",
        )
    apart = plan.back - plan.front - 2 * plan.foot_width
    if apart < INCH:
        raise SpecError(
            f"a depth of {say(spec.depth)} leaves {say(apart)} between the feet",
            field="depth",
            allowed=f"at least {say(spec.depth + INCH - apart)} with these feet and set_in",
        )
    if plan.foot_width < spec.posts.thickness - 1e-9:
        raise SpecError(
            f"feet {say(plan.foot_width)} wide under posts {say(spec.posts.thickness)} thick",
            field="feet.width",
            allowed=f"at least {say(spec.posts.thickness)}",
        )


def _rows(spec: RaisedBenchSpec, plan: RaisedLayout, say: Say) -> tuple[float, ...]:
    """Rows of dog holes about the middle of the top, mm from its front."""
    dogs = spec.top.dog_holes
    first = dogs.setback
    if first is None:
        first = spec.depth / 2 - (dogs.rows - 1) * dogs.row_spacing / 2
    rows = [snap(first + i * dogs.row_spacing) for i in range(dogs.rows)]
    low, high = plan.front + plan.foot_width, plan.back - plan.foot_width
    for i, y in enumerate(rows, start=1):
        if not low + dogs.diameter / 2 < y < high - dogs.diameter / 2:
            raise SpecError(
                f"row {i} of dog holes, {say(y)} from the front, lies over a foot",
                field="top.dog_holes.rows",
                allowed=f"rows between {say(low)} and {say(high)} from the front",
            )
    return tuple(rows)


def pins_apart(spec: RaisedBenchSpec, plan: RaisedLayout, say: Say) -> tuple[float, float]:
    """(distance of the two pins, a whole number of pitches; depth of their holes), mm."""
    hold = spec.hold
    pin = hold.hole
    room = plan.right - plan.left - 2 * spec.posts.width - pin - 2 * PIN_WALL
    count = math.floor(room / hold.pitch + 1e-9)
    if count < 1:
        raise SpecError(
            f"two pins {say(hold.pitch)} apart don't go between the posts",
            field="hold.pitch",
            allowed=f"at most {say(max(room, 0.0))}, a longer bench, or hold.by: clamps",
        )
    deep = snap(min(2 * pin, spec.feet.thickness - PIN_WALL))
    if pin > plan.foot_width / 2 or deep < pin:
        raise SpecError(
            f"pins of {say(pin)} are too thick for a foot {say(plan.foot_width)} wide and "
            f"{say(spec.feet.thickness)} thick",
            field="hold.hole",
            allowed="at most half of the foot's width; or hold.by: clamps",
        )
    return count * hold.pitch, deep


__all__ = ["RaisedLayout", "lay_out_raised", "pins_apart"]
