"""The trestle bench's sizes worked out: what the spec leaves to the generator is settled here.

Plan coordinates: x along the bench from the top's left end, y from its front edge, z from the
floor. All mm.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from treenail.generators.fittings.site import standing
from treenail.generators.frame_layout import INCH, LEAST_SHOULDER, Say, in_units
from treenail.joints.tenon_variants.make import WEDGE_SLOPE
from treenail.timber.errors import SpecError
from treenail.timber.fasteners import lag_size
from treenail.timber.frames import snap

if TYPE_CHECKING:
    from treenail.generators.trestle_spec import TrestleBenchSpec

#: Least room between pieces that are to be put together and got at, mm (our own choice).
LEAST_ROOM = 50.0
#: Least wood left under a blind tenon and beside a wedge, mm (our own choice).
LEAST_WOOD = 6.0
#: How far the hole for a tusk's wedge begins inside the post, and the wedge's play, mm (our own
#: choice, as in treenail.joints.tenon_variants.make).
RELIEF, PLAY = 3.0, 0.5
#: Free ends of arms, for a washer with wood around it: in its diameters (our own choice).
WASHERS = 1.5


@dataclass(frozen=True, slots=True, kw_only=True)
class TrestleLayout:
    """Every number settled, mm.

    Attributes:
        xs: the posts' left sides, left trestle first.
        ys: the posts' front sides, from the front.
        foot, arm: where they begin and end, front to back.
        stands: floor to the feet's underside: 0 without levelling feet.
        arm_top: floor to the top's underside.
        into_foot, into_arm: lengths of the posts' tenons.
        tenon: thickness of those tenons.
        edge: their shoulders front and back.
        rail_z: floor to the stretchers' lower edges.
        rail_tenon: thickness of the tusk tenons.
        proud: how far they stand out.
        wedge: thickness of their wedges.
        slope: of those, 1 in so many as its inverse.
    """

    xs: tuple[float, float]
    ys: tuple[float, ...]
    foot: tuple[float, float]
    arm: tuple[float, float]
    stands: float
    arm_top: float
    into_foot: float
    into_arm: float
    tenon: float
    edge: float
    rail_z: float
    rail_tenon: float
    proud: float
    wedge: float
    slope: float

    def choices(self, spec: TrestleBenchSpec) -> dict[str, Any]:
        """What was settled, by the spec's names."""
        return {
            "feet.beyond": snap(self.ys[0] - self.foot[0]),
            "feet.tenon_length": self.into_foot,
            "arms.beyond": snap(self.ys[0] - self.arm[0]),
            "stretchers.height": self.rail_z,
            "stretchers.tenon_thickness": self.rail_tenon,
            "stretchers.proud": self.proud,
            "stretchers.wedge_thickness": self.wedge,
            **({"arms.tenon_length": self.into_arm} if spec.arms.way == "drawbored" else {}),
        }


def lay_out_trestles(spec: TrestleBenchSpec, units: str = "mm") -> TrestleLayout:
    """Settle every number; SpecError names the field that can't be met."""
    say = in_units(units)
    posts, feet, arms, top = spec.posts, spec.feet, spec.arms, spec.top
    for name, part in (("feet", feet), ("arms", arms)):
        if part.width < posts.width - 1e-9:
            raise SpecError(
                f"posts {say(posts.width)} wide stand out of {name} {say(part.width)} wide",
                field=f"{name}.width",
                allowed=f"at least {say(posts.width)}",
            )
    arm_top, stands = snap(spec.height - top.thickness), standing(spec.fittings, units)
    ys = _places(spec, say)
    foot = _level(spec, ys, feet.beyond, 0.0, "feet", say)
    arm = _level(spec, ys, arms.beyond, say.usual(INCH), "arms", say)
    tenon = say.tool(posts.width / 3, largest=posts.width - 2 * LEAST_SHOULDER)
    return TrestleLayout(
        xs=_ends(spec, say),
        ys=ys,
        foot=foot,
        arm=arm,
        stands=stands,
        arm_top=arm_top,
        into_foot=_into(feet.tenon_length, feet.height, "feet", say),
        into_arm=arms.height
        if arms.way == "wedged"
        else _into(arms.tenon_length, arms.height, "arms", say),
        tenon=snap(tenon),
        edge=snap(min(say.usual(INCH / 2), posts.thickness / 6)),
        rail_z=_rail_height(spec, stands, arm_top, say),
        **_tusk(spec, say),
    )


def _ends(spec: TrestleBenchSpec, say: Say) -> tuple[float, float]:
    """The posts' left sides: arms begin where the top's overhangs end."""
    widest = max(spec.arms.width, spec.feet.width)
    set_in = (widest - spec.posts.width) / 2
    left = spec.top.overhang_ends + set_in
    right = spec.length - spec.top.overhang_ends - set_in - spec.posts.width
    between = right - left - widest
    if between < LEAST_ROOM:
        raise SpecError(
            f"length {say(spec.length)} leaves {say(between)} between the trestles",
            field="length",
            allowed=f"at least {say(spec.length + LEAST_ROOM - between)} with these overhangs",
        )
    return snap(left), snap(right)


def _places(spec: TrestleBenchSpec, say: Say) -> tuple[float, ...]:
    """The posts' front sides."""
    front = spec.top.overhang_front
    back = spec.depth - spec.top.overhang_back
    thick = spec.posts.thickness
    if spec.posts.per_trestle == 1:
        at = (front + back - thick) / 2
        if at < front:
            raise SpecError(
                f"a post {say(thick)} thick does not stand between the top's overhangs",
                field="posts.thickness",
                allowed=f"at most {say(back - front)}",
            )
        return (snap(at),)
    between = back - front - 2 * thick
    if between < LEAST_ROOM:
        raise SpecError(
            f"depth {say(spec.depth)} leaves {say(between)} between the posts of a trestle",
            field="depth",
            allowed=f"at least {say(spec.depth + LEAST_ROOM - between)} with these posts and "
            "overhangs, or posts.per_trestle: 1",
        )
    return snap(front), snap(back - thick)


def _level(
    spec: TrestleBenchSpec,
    ys: tuple[float, ...],
    beyond: float | None,
    short: float,
    name: str,
    say: Say,
) -> tuple[float, float]:
    """Where a foot or an arm begins and ends; auto: ``short`` of the top's nearer edge."""
    front, back = ys[0], ys[-1] + spec.posts.thickness
    room = min(front, spec.depth - back)
    if beyond is None:
        beyond = max(room - short, 0.0)
    if name == "arms" and beyond > room + 1e-9:
        raise SpecError(
            f"an arm {say(beyond)} beyond its posts stands out from under the top",
            field="arms.beyond",
            allowed=f"at most {say(room)}",
        )
    return snap(front - beyond), snap(back + beyond)


def _into(length: float | None, high: float, name: str, say: Say) -> float:
    """A blind tenon's length in a foot or an arm."""
    if length is None:
        return snap(2 * high / 3)
    if length > high - LEAST_WOOD:
        raise SpecError(
            f"a tenon {say(length)} long leaves less than {say(LEAST_WOOD)} of {say(high)}",
            field=f"{name}.tenon_length",
            allowed=f"at most {say(high - LEAST_WOOD)}",
        )
    return length


def _rail_height(spec: TrestleBenchSpec, stands: float, arm_top: float, say: Say) -> float:
    """Floor to the stretchers' lower edges: half-way between foot and arm, or as asked."""
    rails = spec.stretchers
    low, high = stands + spec.feet.height, arm_top - spec.arms.height
    if high - low < rails.width + 2 * LEAST_WOOD:
        raise SpecError(
            f"between foot and arm are {say(high - low)}, the stretchers are {say(rails.width)} "
            "high",
            field="height",
            allowed=f"at least {say(spec.height + rails.width + 2 * LEAST_WOOD - high + low)} "
            "with these feet, arms and stretchers",
        )
    z = (low + high - rails.width) / 2 if rails.height is None else rails.height
    if not low <= z <= high - rails.width:
        raise SpecError(
            f"the stretchers stand from {say(z)} to {say(z + rails.width)}, the posts are free "
            f"from {say(low)} to {say(high)}",
            field="stretchers.height",
            allowed=f"{say(low)} to {say(high - rails.width)}",
        )
    return snap(z)


def _tusk(spec: TrestleBenchSpec, say: Say) -> dict[str, float]:
    """The tusk tenons' own numbers."""
    rails = spec.stretchers
    upright = rails.drive == "upright"
    most = min(rails.thickness, spec.posts.thickness - 2 * LEAST_SHOULDER)
    thick = rails.tenon_thickness
    if thick is None:
        thick = say.tool(0.55 * rails.thickness, largest=most)
    if thick > most + 1e-9:
        raise SpecError(
            f"a tenon {say(thick)} thick does not come out of this stretcher, or leaves no wood "
            "beside it in the post",
            field="stretchers.tenon_thickness",
            allowed=f"at most {say(most)}",
        )
    high = rails.width - 2 * rails.shoulder
    if high < 2 * LEAST_WOOD:
        raise SpecError(
            f"shoulders of {say(rails.shoulder)} leave no tenon on a stretcher {say(rails.width)} "
            "high",
            field="stretchers.shoulder",
            allowed=f"at most {say(rails.width / 2 - LEAST_WOOD)}",
        )
    across = thick if upright else high
    wedge = rails.wedge_thickness
    if wedge is None:
        wedge = max(across / 3, say.usual(0.375 * INCH))
    if wedge + PLAY > across - 2 * LEAST_WOOD / 2:
        raise SpecError(
            f"a wedge {say(wedge)} thick leaves no wood beside its hole in a tenon {say(across)}",
            field="stretchers.wedge_thickness",
            allowed=f"at most {say(across - LEAST_WOOD - PLAY)}",
        )
    through = high if upright else thick
    run = through / 2 + rails.stand_out
    # So long a wedge must not run out: it keeps half of its width at its thin end.
    slope = min(WEDGE_SLOPE, rails.wedge_width / (2 * run))
    mouth = rails.wedge_width + slope * through / 2
    proud = rails.proud
    if proud is None:
        proud = mouth + rails.wedge_width
    if proud < mouth + LEAST_WOOD:
        raise SpecError(
            f"a tenon {say(proud)} proud leaves too little beyond a wedge {say(mouth)} wide",
            field="stretchers.proud",
            allowed=f"at least {say(mouth + LEAST_WOOD)}",
        )
    if proud > spec.top.overhang_ends:
        raise SpecError(
            f"tenons that stand {say(proud)} out of the posts reach beyond the top's ends",
            field="stretchers.proud",
            allowed=f"at most top.overhang_ends, {say(spec.top.overhang_ends)} here",
        )
    return {
        "rail_tenon": snap(thick),
        "proud": snap(proud),
        "wedge": snap(wedge),
        "slope": slope,
    }


def bolt_lines(spec: TrestleBenchSpec, plan: TrestleLayout) -> list[float]:
    """The bolts' distances from the front: in the arms' ends and between the posts; mm."""
    bolts, thick = spec.bolts, spec.posts.thickness
    washer = lag_size(bolts.diameter, field="bolts.diameter").washer_od
    lines = []
    edges = [plan.arm[0], *(e for y in plan.ys for e in (y, y + thick)), plan.arm[1]]
    for i, (a, b) in enumerate(pairwise(edges)):
        if i % 2:
            continue
        count = int(bolts.outside)
        if 0 < i < len(edges) - 2:
            # A split top's gap is over the middle: as many bolts on either side of it.
            odd = spec.top.kind == "split" and bolts.between % 2
            count = bolts.between + int(odd)
        if b - a >= WASHERS * washer * max(1, count):
            lines += [snap(a + (b - a) * (k + 0.5) / count) for k in range(count)]
    return lines


__all__ = ["PLAY", "RELIEF", "WASHERS", "TrestleLayout", "lay_out_trestles"]
