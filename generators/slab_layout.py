"""The slab bench's own sizes worked out: the posts' tenons in the top."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from treenail.generators.frame_layout import INCH, LEAST_SHOULDER, Say, in_units
from treenail.joints.fits import get_fit
from treenail.joints.mortise_tenon import Shoulders
from treenail.timber.errors import SpecError
from treenail.timber.frames import snap

if TYPE_CHECKING:
    from treenail.generators.post_spec import WedgedPosts
    from treenail.generators.slab_spec import SlabBenchSpec

#: Least width of a tenon along the bench, mm (our own choice).
LEAST_WIDTH = 10.0
#: The most that wedges may take of the tenon's width (our own choice).
WEDGE_SHARE = 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class PostTenonPlan:
    """Every number of the posts' tenons settled, mm.

    Attributes:
        width: along the bench.
        ends: shoulder on both sides along the bench.
        outside, inside: shoulders toward the top's near edge and away from it.
        thickness: of the wedged tenon, or of the plain one.
        dovetail, gap, slope: of the dovetailed one; 0 if wedged.
    """

    width: float
    ends: float
    outside: float
    inside: float
    thickness: float
    dovetail: float = 0.0
    gap: float = 0.0
    slope: float = 0.0

    @property
    def shoulders(self) -> Shoulders:
        """Of a post whose face side looks out of the bench."""
        return Shoulders(
            face_edge=self.ends,
            back_edge=self.ends,
            face_side=self.outside,
            back_side=self.inside,
        )

    def choices(self) -> dict[str, Any]:
        """What was settled, by the spec's names."""
        found = {"thickness": self.thickness, "shoulder_ends": self.ends}
        if self.dovetail:
            flank = snap(self.slope * self.dovetail)
            found |= {"dovetail": self.dovetail, "gap": self.gap, "flank": flank}
        return {f"post_tenons.{name}": value for name, value in found.items()}


def plan_post_tenons(spec: SlabBenchSpec, units: str = "mm") -> PostTenonPlan:
    """Settle the posts' tenons; SpecError names the field that can't be met."""
    if spec.post_tenons.way == "wedged":
        return plan_wedged(spec, units)
    say = in_units(units)
    ends, width = _ends(spec, 0.0, say)
    return _dovetailed(spec, ends, width, say)


def _ends(spec: WedgedPosts, auto: float, say: Say) -> tuple[float, float]:
    """(shoulder at both ends, width left of the tenon), mm."""
    wide, ends = spec.posts.width, spec.post_tenons.shoulder_ends
    ends = snap(auto if ends is None else ends)
    width = snap(wide - 2 * ends)
    if width < LEAST_WIDTH:
        raise SpecError(
            f"shoulders of {say(ends)} leave {say(width)} of a post {say(wide)} wide",
            field="post_tenons.shoulder_ends",
            allowed=f"at most {say((wide - LEAST_WIDTH) / 2)}",
        )
    return ends, width


def plan_wedged(spec: WedgedPosts, units: str = "mm") -> PostTenonPlan:
    """Settle wedged tenons of posts in a top; SpecError names the field that can't be met."""
    say = in_units(units)
    ends, width = _ends(spec, min(say.usual(INCH / 2), spec.posts.width / 8), say)
    t, deep = spec.post_tenons, spec.posts.thickness
    most = deep - 2 * LEAST_SHOULDER
    thick = t.thickness
    if thick is None:
        thick = say.tool(deep / 3.0, largest=most)
    if thick > most + 1e-9:
        raise SpecError(
            f"a tenon {say(thick)} thick leaves no shoulders of {say(LEAST_SHOULDER)} on a post "
            f"{say(deep)} thick",
            field="post_tenons.thickness",
            allowed=f"at most {say(most)}",
        )
    spread = 2 * t.flare + get_fit(spec.fit).edge.mid
    taken = t.wedges * t.kerf + spread
    if taken > WEDGE_SHARE * width:
        raise SpecError(
            f"{t.wedges} wedges {say(taken)} thick together are too much for a tenon "
            f"{say(width)} wide",
            field="post_tenons.wedges",
            allowed=f"together at most {say(WEDGE_SHARE * width)}: fewer wedges, a narrower kerf, "
            "a smaller flare, or a wider post",
        )
    side = snap((deep - thick) / 2)
    return PostTenonPlan(width=width, ends=ends, outside=side, inside=side, thickness=snap(thick))


def _dovetailed(spec: SlabBenchSpec, ends: float, width: float, say: Say) -> PostTenonPlan:
    t, deep = spec.post_tenons, spec.posts.thickness
    for side in ("front", "back"):
        over = getattr(spec.top, f"overhang_{side}")
        if over:
            raise SpecError(
                f"a dovetail lies in the top's {side} edge, which stands out {say(over)} here",
                field=f"top.overhang_{side}",
                allowed="0, or post_tenons.way: wedged",
            )
    quarter = snap(deep / 4)
    plain, tail, gap = (quarter if x is None else x for x in (t.thickness, t.dovetail, t.gap))
    behind = snap(deep - plain - tail - gap)
    if behind < 0.0:
        raise SpecError(
            f"dovetail {say(tail)}, gap {say(gap)} and tenon {say(plain)} are more than the "
            f"post's {say(deep)}",
            field="post_tenons.dovetail",
            allowed=f"all three together at most {say(deep)}",
        )
    flank = tail / 6.0 if t.flank is None else t.flank
    most = (width - LEAST_WIDTH) / 2
    if flank > most:
        raise SpecError(
            f"flanks of {say(flank)} leave too little of a dovetail {say(width)} wide",
            field="post_tenons.flank",
            allowed=f"at most {say(most)}",
        )
    return PostTenonPlan(
        width=width,
        ends=ends,
        outside=0.0,
        inside=behind,
        thickness=snap(plain),
        dovetail=snap(tail),
        gap=snap(gap),
        slope=flank / tail,
    )


__all__ = ["PostTenonPlan", "plan_post_tenons", "plan_wedged"]
