"""The frame bench's sizes worked out: what the spec leaves to the generator is settled here.

Plan coordinates: x along the bench from the top's left end, y from its front edge, z from the
floor. All mm.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, Literal

from treenail.joints.fits import Fit, get_fit, tool_size_for
from treenail.timber.errors import SpecError
from treenail.timber.frames import snap
from treenail.timber.lengths import format_length
from treenail.timber.metric_sizes import metric_size

if TYPE_CHECKING:
    from treenail.generators.frame_spec import Stretchers
    from treenail.generators.post_spec import PostSpec

INCH = 25.4
#: Wood left between two tenons that pass at different heights, mm (our own choice).
TENON_GAP = 6.35
#: Least shoulder left on a cheek where the generator chooses, mm (common practice: 1/4 in).
LEAST_SHOULDER = 6.35
#: Free distance between tenons that are mitred, notched or shortened against each other, mm.
MEETING_GAP = 2.0
#: Default height of the lower long stretchers above the floor, mm: a broom goes under.
LOWER_HEIGHT = 4 * INCH
#: Default thickness of a stretcher, mm: what 8/4 stock yields when flat.
STRETCHER = 1.75 * INCH
LEVELS = ("upper", "lower")
PAIRS = tuple(f"{level}_{kind}" for level in LEVELS for kind in ("long", "end"))


@dataclass(frozen=True, slots=True)
class Say:
    """Writes lengths in the user's units, for messages, and knows the sizes usual there."""

    unit: Literal["in", "mm"]

    def __call__(self, mm: float) -> str:
        """The length as text."""
        return format_length(mm, unit=self.unit, denominator=32)

    def usual(self, mm: float) -> float:
        """The size to choose, in mm, where ``mm`` is usual among inches."""
        return metric_size(mm) if self.unit == "mm" else mm

    def tool(self, wanted: float, *, largest: float) -> float:
        """The chisel or cutter nearest to ``wanted`` and not over ``largest`` (all mm)."""
        return tool_size_for(wanted, largest=largest, metric=self.unit == "mm")

    def fit(self, name: str) -> Fit:
        """The fit of that name; SpecError lists the names there are."""
        return get_fit(name, metric=self.unit == "mm")


def in_units(units: str) -> Say:
    """What writes lengths in ``units`` (``in``; all else is mm)."""
    return Say("in" if units == "in" else "mm")


@dataclass(frozen=True, slots=True, kw_only=True)
class TenonPlan:
    """One pair of stretchers, every number settled.

    Attributes:
        key: the spec's section: ``upper_long`` ...
        z: floor to the lower edge.
        width, thickness: section.
        set_in: post's outer face to the stretcher's outer face.
        tenon: thickness of the tenon.
        length: of the tenon, from the shoulder.
        outside, inside, top, bottom: shoulders.
        haunch: (width, length) of the haunch in the top shoulder, or None.
        through: tenon comes out at the post's far face.
    """

    key: str
    z: float
    width: float
    thickness: float
    set_in: float
    tenon: float
    length: float
    outside: float
    inside: float
    top: float
    bottom: float
    haunch: tuple[float, float] | None
    through: bool

    @property
    def tenon_low(self) -> float:
        """Floor to the tenon's lower edge."""
        return self.z + self.bottom

    @property
    def tenon_high(self) -> float:
        """Floor to the tenon's upper edge."""
        return self.z + self.width - self.top

    @property
    def plan_range(self) -> tuple[float, float]:
        """The tenon's two cheeks, measured in from the post's outer face."""
        near = self.set_in + self.outside
        return (near, near + self.tenon)


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """The whole bench's numbers."""

    post_length: float
    left: float
    right: float
    front: float
    back: float
    plans: dict[str, TenonPlan]
    choices: dict[str, Any]

    @property
    def levels(self) -> tuple[str, ...]:
        """``upper`` and ``lower``, or what there is of them."""
        return tuple(x for x in LEVELS if {f"{x}_long", f"{x}_end"} & set(self.plans))

    def both(self, level: str) -> tuple[TenonPlan, TenonPlan] | None:
        """The (long, end) stretchers of a level; None where one pair isn't there."""
        long, end = self.plans.get(f"{level}_long"), self.plans.get(f"{level}_end")
        return (long, end) if long and end else None

    def clear(self, post_width: float, post_thickness: float) -> tuple[float, float]:
        """Distance between posts along the bench and front to back."""
        return (
            self.right - self.left - 2 * post_width,
            self.back - self.front - 2 * post_thickness,
        )


def _fail(field: str, message: str, allowed: str) -> SpecError:
    return SpecError(message, field=field, allowed=allowed)


def _section(
    spec: PostSpec, key: str, across: float, depth: float, say: Say
) -> tuple[Stretchers, dict[str, Any]]:
    """Settle one pair's section and shoulders.

    ``across`` is the post's size through the tenon's thickness, ``depth`` along its length.
    """
    s: Stretchers = getattr(spec, key)
    thick = say.usual(STRETCHER) if s.thickness is None else s.thickness
    got: dict[str, Any] = {"thickness": thick}
    got["set_in"] = (across - thick) / 2 if s.set_in is None else s.set_in
    if got["set_in"] < 0.0 or got["set_in"] + thick > across + 1e-9:
        raise _fail(
            f"{key}.set_in",
            f"the stretcher ({say(thick)} thick, set in {say(got['set_in'])}) does not "
            f"stand on the post's {say(across)} face",
            f"thickness and set_in together at most {say(across)}",
        )
    tenon = s.tenon_thickness
    if tenon is None:
        tenon = say.tool(across / 3.0, largest=thick - 2 * LEAST_SHOULDER)
        tenon = min(tenon, thick)
    if tenon > thick:
        raise _fail(
            f"{key}.tenon_thickness",
            f"a tenon {say(tenon)} thick does not come out of a stretcher {say(thick)} thick",
            f"at most {say(thick)}",
        )
    outside = s.shoulder_outside
    if outside is None:
        # As near the post's middle as the stretcher lets it, so that both walls are strong.
        spare = thick - tenon
        least = min(LEAST_SHOULDER, spare / 2)
        outside = min(max(across / 2 - tenon / 2 - got["set_in"], least), spare - least)
    if outside + tenon > thick + 1e-9:
        raise _fail(
            f"{key}.shoulder_outside",
            f"shoulder {say(outside)} and tenon {say(tenon)} are more than the stretcher's "
            f"{say(thick)}",
            f"at most {say(thick - tenon)}",
        )
    upper = key.startswith("upper_long")
    top = s.shoulder_top
    if top is None:
        top = min(say.usual(INCH if upper else INCH / 2), s.width / (4 if upper else 6))
    bottom = s.shoulder_bottom
    if bottom is None:
        bottom = min(say.usual(INCH / 2), s.width / 6)
    if top + bottom > s.width - 10.0:
        raise _fail(
            f"{key}.shoulder_top",
            f"shoulders of {say(top)} and {say(bottom)} leave a tenon under {say(10.0)} wide on a "
            f"stretcher {say(s.width)} wide",
            f"together at most {say(s.width - 10)}",
        )
    length = depth + s.proud if s.through else s.tenon_length
    if not s.through and length > depth - 3.0:
        raise _fail(
            f"{key}.tenon_length",
            f"a blind tenon {say(length)} long leaves less than {say(3.0)} of a post "
            f"{say(depth)} deep",
            f"at most {say(depth - 3)}, or `through: true`",
        )
    haunch = None
    if s.haunch and top > 0.0:
        haunch = (snap(top), snap(min(say.usual(INCH / 2), length / 3)))
    got |= {
        "tenon": snap(tenon),
        "outside": snap(outside),
        "inside": snap(thick - tenon - outside),
        "top": snap(top),
        "bottom": snap(bottom),
        "length": snap(length),
        "haunch": haunch,
    }
    got["set_in"] = snap(got["set_in"])
    return s, got


def _plan(key: str, s: Stretchers, got: dict[str, Any], z: float, **changed: Any) -> TenonPlan:
    values = {**got, **changed}
    return TenonPlan(
        key=key,
        z=snap(z),
        width=s.width,
        through=s.through,
        **values,
    )


def lay_out(
    spec: PostSpec, units: str = "mm", pairs: tuple[str, ...] = PAIRS, short: float = 0.0
) -> Layout:
    """Settle every number of a bench on four posts; SpecError names the field that can't be met.

    ``pairs`` of stretchers are what it has; its posts end ``short`` below the top's underside.
    """
    say = in_units(units)
    posts, top = spec.posts, spec.top
    post_length = snap(spec.height - top.thickness - short)
    left, right = top.overhang_ends, spec.length - top.overhang_ends
    front, back = top.overhang_front, spec.depth - top.overhang_back
    clear_x = right - left - 2 * posts.width
    clear_y = back - front - 2 * posts.thickness
    for clear, field, total in (
        (clear_x, "length", spec.length),
        (clear_y, "depth", spec.depth),
    ):
        if clear < 50.0:
            raise _fail(
                field,
                f"{field} {say(total)} leaves {say(clear)} between the posts",
                f"at least {say(total + 50.0 - clear)} with these posts and overhangs",
            )
    across = {"long": (posts.thickness, posts.width), "end": (posts.width, posts.thickness)}
    sides = {pair: size for kind, size in across.items() for pair in pairs if pair.endswith(kind)}
    got = {key: _section(spec, key, *side, say) for key, side in sides.items()}
    heights = _heights(spec, post_length, got, say)
    plans = {key: _plan(key, *got[key], heights[key]) for key in sides}
    _check_heights(plans, post_length, say)
    plans = _meet(spec, plans, say)
    choices: dict[str, Any] = {
        f"{key}.{name}": getattr(plan, attribute)
        for key, plan in plans.items()
        for name, attribute in (
            ("height", "z"),
            ("thickness", "thickness"),
            ("set_in", "set_in"),
            ("tenon_thickness", "tenon"),
            ("tenon_length", "length"),
            ("shoulder_outside", "outside"),
            ("shoulder_top", "top"),
            ("shoulder_bottom", "bottom"),
        )
    }
    return Layout(
        post_length=post_length,
        left=snap(left),
        right=snap(right),
        front=snap(front),
        back=snap(back),
        plans=plans,
        choices=choices,
    )


def _heights(
    spec: PostSpec,
    post_length: float,
    got: dict[str, tuple[Stretchers, dict[str, Any]]],
    say: Say,
) -> dict[str, float]:
    """Lower edges above the floor; where auto and ``heights``, tenons pass each other."""
    stagger = spec.meeting == "heights"
    heights: dict[str, float] = {}
    gap = say.usual(TENON_GAP)
    for key, (s, g) in got.items():
        level, _, kind = key.partition("_")
        long = got.get(f"{level}_long")
        if s.height is not None:
            z = s.height
        elif kind == "long" or long is None:
            z = (
                post_length - s.width
                if level == "upper"
                else min(say.usual(LOWER_HEIGHT), post_length / 6)
            )
        else:
            (beside, h), z = long, heights[f"{level}_long"]
            if level == "upper":
                z += h["bottom"] - gap + g["top"] if stagger else beside.width
                z -= s.width
            elif stagger:
                z += beside.width - h["top"] + gap - g["bottom"]
        heights[key] = z
    return heights


def _check_heights(plans: dict[str, TenonPlan], post_length: float, say: Say) -> None:
    for key, p in plans.items():
        if p.z < 0.0 or p.z + p.width > post_length + 1e-9:
            raise _fail(
                f"{key}.height",
                f"the stretcher stands from {say(p.z)} to {say(p.z + p.width)}, the post to "
                f"{say(post_length)}",
                f"{say(0.0)} to {say(post_length - p.width)}",
            )
    for kind in ("long", "end"):
        if not {f"upper_{kind}", f"lower_{kind}"} <= set(plans):
            continue
        upper, lower = plans[f"upper_{kind}"], plans[f"lower_{kind}"]
        if lower.z + lower.width > upper.z:
            raise _fail(
                f"lower_{kind}.height",
                f"the lower stretcher's upper edge ({say(lower.z + lower.width)}) is above the "
                f"upper one's lower edge ({say(upper.z)})",
                "a higher bench, narrower stretchers, or a lower height",
            )


def _meet(spec: PostSpec, plans: dict[str, TenonPlan], say: Say) -> dict[str, TenonPlan]:
    """Change tenon lengths where the chosen way of meeting asks for it."""
    if spec.meeting not in ("mitred", "shortened"):
        return plans
    done = dict(plans)
    for level in LEVELS:
        if not {f"{level}_long", f"{level}_end"} <= set(plans):
            continue
        long, end = plans[f"{level}_long"], plans[f"{level}_end"]
        if not overlap_in_height(long, end):
            continue
        for p in (long, end):
            if p.through:
                raise _fail(
                    f"{p.key}.through",
                    f"a through tenon cannot be {spec.meeting} where another one meets it",
                    "through: false, or meeting: heights",
                )
        if spec.meeting == "shortened":
            reach = spec.posts.thickness - long.plan_range[1] - MEETING_GAP
            if reach < 10.0:
                raise _fail(
                    "meeting",
                    f"shortened against the long stretcher's tenon, the end stretcher's would "
                    f"be {say(reach)} long",
                    "a thicker post, or meeting: heights, mitred or notched",
                )
            done[end.key] = replace(end, length=snap(min(end.length, reach)))
        else:
            done[long.key] = replace(long, length=snap(spec.posts.width - end.plan_range[0]))
            done[end.key] = replace(end, length=snap(spec.posts.thickness - long.plan_range[0]))
    return done


def overlap_in_height(a: TenonPlan, b: TenonPlan) -> bool:
    """Whether two tenons share a height in the post."""
    return a.tenon_low < b.tenon_high and b.tenon_low < a.tenon_high


def mitre_cuts(long: TenonPlan, end: TenonPlan) -> dict[str, tuple[float, float]]:
    """For both tenons: (cut back at the inner cheek, at the outer cheek), mm.

    Both stop short of the diagonal of the rectangle in which they would meet, by half of
    ``MEETING_GAP`` measured square to it.
    """
    dx, dy = end.tenon, long.tenon
    diagonal = math.hypot(dx, dy)
    lead_long = MEETING_GAP / 2 * diagonal / dy
    lead_end = MEETING_GAP / 2 * diagonal / dx
    return {
        long.key: (snap(dx + lead_long), snap(lead_long)),
        end.key: (snap(dy + lead_end), snap(lead_end)),
    }
