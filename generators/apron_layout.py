"""The apron bench's own sizes worked out: aprons, battens and boards; mm."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from treenail.generators.climate import seasons_of
from treenail.generators.frame_layout import INCH, PAIRS, Layout, Say, in_units, lay_out
from treenail.generators.tops import hole_places
from treenail.joints.fits import Fit, Limits
from treenail.timber.errors import SpecError
from treenail.timber.frames import snap
from treenail.timber.moisture import movement, movement_coefficient

if TYPE_CHECKING:
    from treenail.generators.apron_spec import ApronBenchSpec
    from treenail.timber.species import Species

#: Post's wood between the notch and a tenon's end, and beyond stopped treenails, mm (our own).
BEHIND = INCH / 2
#: Apron's wood beside the batten's end, mm (our own choice).
OUTER_WALL = INCH / 4
#: From the batten's side to a dog hole's rim, mm: what the checks ask, and a little.
RIM = 3.5
#: Rows of treenails no nearer than so many diameters, and than this where there is room, mm.
ROWS, SPREAD = 3.0, 3.5 * INCH
#: How much the apron may be forced between its treenails, mm (our own choice: 1/32 in).
FORCED = INCH / 32


@dataclass(frozen=True, slots=True, kw_only=True)
class ApronPlan:
    """Every number settled, mm from the bench's front, left and floor.

    Attributes:
        layout: posts and stretchers.
        let_in: depth of the posts' notches.
        left, right: the aprons' ends.
        low, high: their lower and upper edges.
        rows: heights of the treenails.
        battens: their middles along the bench.
        holes: dog holes along the bench, those over a batten left out.
        gap: between boards.
    """

    layout: Layout
    let_in: float
    left: float
    right: float
    low: float
    high: float
    rows: tuple[float, ...]
    battens: tuple[float, ...]
    holes: tuple[float, ...]
    gap: float


def roomy(fit: Fit, room: float) -> Fit:
    """A fit with more play at its cheeks, mm: for what swells between walls that don't."""
    more = Limits(snap(fit.cheek.low + room), snap(fit.cheek.high + room), fit.cheek.model)
    return replace(fit, name=f"{fit.name} with room to swell", cheek=more)


def deep(fit: Fit, room: float) -> Fit:
    """A fit with more room under the tongue, mm: for boards that swell toward each other."""
    more = Limits(snap(fit.bottom.low + room), snap(fit.bottom.high + room), fit.bottom.model)
    return replace(fit, bottom=more)


def swelling(width: float, wood: Species, rings: Any, spec: ApronBenchSpec) -> float:
    """How much a piece of that width swells from its build to its wettest, mm."""
    seasons = seasons_of(spec.moisture)
    c = movement_coefficient(wood, rings)
    return max(0.0, movement(width, c, seasons.at_build, seasons.wettest))


def _shrinkage(width: float, wood: Species, spec: ApronBenchSpec) -> float:
    seasons = seasons_of(spec.moisture)
    c = movement_coefficient(wood, "flat")
    return max(0.0, -movement(width, c, seasons.at_build, seasons.driest))


def _still(spec: ApronBenchSpec, wood: Species) -> float:
    """How much of a board's width moves at most ``FORCED`` each way over the year, mm."""
    seasons, c = seasons_of(spec.moisture), movement_coefficient(wood, "flat")
    points = max(seasons.wettest - seasons.at_build, seasons.at_build - seasons.driest)
    return FORCED / (c * points) if points > 0.0 else math.inf


def columns(start: float, width: float, diameter: float) -> tuple[float, ...]:
    """Two columns of treenails in a post, or one where it is too slim for two; mm."""
    aside = max(width / 4, 1.5 * diameter)
    if width - 2 * aside < 1.5 * diameter:
        return (snap(start + width / 2),)
    return snap(start + aside), snap(start + width - aside)


def _up(value: float, step: float) -> float:
    """The next multiple of a step, mm."""
    return snap(math.ceil(value / step - 1e-9) * step)


def plan_aprons(spec: ApronBenchSpec, units: str, wood: Species, top_wood: Species) -> ApronPlan:
    """Settle every number; SpecError names the field that can't be met."""
    say, a, t = in_units(units), spec.aprons, spec.top
    if spec.shelf.enabled and not spec.stretchers:
        raise SpecError(
            "a shelf lies on the lower stretchers",
            field="stretchers",
            allowed="true, or shelf.enabled: false",
        )
    relief = _up(_shrinkage(a.width, wood, spec), INCH / 16) if a.relief is None else a.relief
    pairs = tuple(p for p in PAIRS[1:] if spec.stretchers or p != "lower_long")
    lay = lay_out(spec, units, pairs, relief)
    let_in = a.thickness if a.let_in is None else a.let_in
    beyond = max(0.0, t.overhang_ends - 2 * INCH) if a.beyond is None else a.beyond
    high = snap(spec.height - t.thickness)
    plan = ApronPlan(
        layout=lay,
        let_in=snap(let_in),
        left=snap(lay.left - beyond),
        right=snap(lay.right + beyond),
        low=snap(high - a.width),
        high=high,
        rows=(),
        battens=(),
        holes=(),
        gap=0.0,
    )
    _check(spec, plan, say)
    battens, holes = _along(spec, plan)
    gap = _gap(spec, top_wood)
    lay.choices.update(
        {
            "aprons.let_in": let_in,
            "aprons.beyond": beyond,
            "aprons.relief": relief,
            "top.gap": gap,
        }
    )
    return replace(
        plan, rows=_peg_rows(spec, plan, wood, say), battens=battens, holes=holes, gap=gap
    )


def _check(spec: ApronBenchSpec, plan: ApronPlan, say: Say) -> None:
    a, t, b, post = spec.aprons, spec.top, spec.battens, spec.posts
    lay, rail = plan.layout, plan.layout.plans["upper_end"]

    def refuse(bad: bool, field: str, message: str, allowed: str) -> None:
        if bad:
            raise SpecError(message, field=field, allowed=allowed)

    most = post.thickness - (BEHIND + 10.0)
    refuse(
        not 0.0 < plan.let_in <= min(a.thickness, most) + 1e-9,
        "aprons.let_in",
        f"a notch {say(plan.let_in)} deep for an apron {say(a.thickness)} thick in a post "
        f"{say(post.thickness)} thick",
        f"at most {say(min(a.thickness, most))}, or a thicker post",
    )
    proud = a.thickness - plan.let_in
    for side in ("front", "back"):
        over = getattr(t, f"overhang_{side}")
        refuse(
            proud > over + 1e-9,
            f"top.overhang_{side}",
            f"the apron stands {say(proud)} out of the posts, the top {say(over)}",
            f"at least {say(proud)}, or a deeper aprons.let_in",
        )
    refuse(
        plan.left < -1e-9,
        "aprons.beyond",
        f"the apron ends {say(-plan.left)} beyond the top",
        f"at most {say(t.overhang_ends)}",
    )
    refuse(
        plan.low < _lower_top(lay) + INCH,
        "aprons.width",
        f"an apron {say(a.width)} wide comes down to the lower stretchers, or the floor",
        f"at most {say(plan.high - _lower_top(lay) - INCH)}",
    )
    deep = post.thickness - plan.let_in - BEHIND
    refuse(
        rail.through or rail.length > deep + 1e-9,
        "upper_end.through" if rail.through else "upper_end.tenon_length",
        f"the upper rail's tenon ({say(rail.length)}) meets the apron's notch in the post",
        f"at most {say(deep)}, not through; or a thicker post",
    )
    refuse(
        b.let_in > a.thickness - OUTER_WALL + 1e-9,
        "battens.let_in",
        f"a notch {say(b.let_in)} into an apron {say(a.thickness)} thick",
        f"at most {say(a.thickness - OUTER_WALL)}",
    )
    refuse(
        b.thickness > a.width / 2,
        "battens.thickness",
        f"battens {say(b.thickness)} high take over half of the apron's {say(a.width)}",
        f"at most {say(a.width / 2)}",
    )
    rest = a.rest_holes
    lowest = rest.below + (rest.rows - 1) * rest.row_spacing + 1.5 * rest.diameter
    refuse(
        rest.rows > 0 and lowest > a.width,
        "aprons.rest_holes.below",
        f"the lowest rest holes come within a diameter of the apron's lower edge, "
        f"{say(a.width)} below its upper one",
        f"at most {say(rest.below - (lowest - a.width))} here; fewer rows, or nearer each other",
    )


def _lower_top(lay: Layout) -> float:
    """Upper edge of the lower stretchers front and back, mm; the floor if there are none."""
    long = lay.plans.get("lower_long")
    return long.z + long.width if long else 0.0


def _peg_rows(spec: ApronBenchSpec, plan: ApronPlan, wood: Species, say: Say) -> tuple[float, ...]:
    """Heights of the treenails: above the notch's floor, below the end rail's tenon."""
    a, d = spec.aprons, spec.aprons.peg_diameter
    first = plan.low + a.peg_low
    room = plan.layout.plans["upper_end"].tenon_low - 1.5 * d - first
    spread = 0.0 if a.peg_rows == 1 else a.peg_spread
    if spread is None:
        spread = snap(min(SPREAD, room, _still(spec, wood)))
    least = ROWS * d * (a.peg_rows - 1)
    if spread > room + 1e-9 or spread < least - 1e-9:
        raise SpecError(
            f"{a.peg_rows} rows of treenails, {say(max(spread, least))} from first to last, have "
            f"{say(max(room, 0.0))} below the upper rail's tenon",
            field="aprons.peg_spread",
            allowed="fewer or thinner pegs, a wider apron, or a narrower upper_end",
        )
    plan.layout.choices["aprons.peg_spread"] = spread
    return tuple(
        snap(first + (spread * i / (a.peg_rows - 1) if i else 0.0)) for i in range(a.peg_rows)
    )


def _along(spec: ApronBenchSpec, plan: ApronPlan) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Battens' middles along the bench, and dog holes clear of them."""
    b, dogs, lay = spec.battens, spec.top.dog_holes, plan.layout
    start, stop = lay.left + spec.posts.width, lay.right - spec.posts.width
    holes = hole_places(start, stop, dogs.pitch, dogs.diameter) if dogs.rows else []
    between = [(p + q) / 2 for p, q in itertools.pairwise(holes)]
    count = max(1, math.ceil((stop - start) / b.pitch - 1e-9))
    step = (stop - start) / count
    found: list[float] = []
    for i in range(count):
        even = start + step * (i + 0.5)
        # Half-way between two dog holes where that is near.
        near = min(between, key=lambda x: (round(abs(x - even), 6), x), default=even)
        place = near if abs(near - even) <= step / 4 else even
        if not found or place - found[-1] > 2 * b.width:
            found.append(snap(place))
    end_wood = 2 * b.thickness + b.width / 2 + 2.0
    if plan.left + end_wood + b.width / 2 + 2.0 <= lay.left:
        found = [snap(plan.left + end_wood), *found, snap(plan.right - end_wood)]
    clear = b.width / 2 + dogs.diameter / 2 + RIM
    return tuple(found), tuple(snap(x) for x in holes if all(abs(x - m) >= clear for m in found))


def _gap(spec: ApronBenchSpec, wood: Species) -> float:
    """Between boards, mm."""
    t = spec.top
    needed = swelling(t.board, wood, t.rings, spec)
    gap = _up(needed, INCH / 32) if t.gap is None else t.gap
    return snap(gap)
