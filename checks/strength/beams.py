"""Sag of top and stretchers, bending and shear, by the Wood Handbook's closed forms.

delta = k_b W L³/(E I) + k_s W L/(G A'), A' = 5/6 b h for a rectangle: FPL-GTR-190 (2010),
Eq. 9-2 and Table 9-1. E is the table's MOE, G = E/16 (the handbook's general figure).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, TypeAlias

from treenail.checks.strength.loads import GRAVITY, PERSON, SAG_RATIO, SHELF_LOAD, Figure
from treenail.generators.tops import END_ROLES, TOP_ROLES
from treenail.joints.lag_bolt import LagBolt
from treenail.joints.mortise_tenon import MortiseTenon

if TYPE_CHECKING:
    from treenail.checks.strength.mass import MassData
    from treenail.generators.bench import Bench
    from treenail.timber.member import Member

__all__ = ["COEFFICIENTS", "E_OVER_G", "Beam", "Case", "beam_figures", "clear_span", "deflection"]

E_OVER_G = 16.0
"""E over G for wood in general (FPL-GTR-190, chapter 9)."""

Case: TypeAlias = Literal["simple uniform", "simple middle", "cantilever tip"]

COEFFICIENTS: dict[Case, tuple[float, float]] = {
    "simple uniform": (5 / 384, 1 / 8),
    "simple middle": (1 / 48, 1 / 4),
    "cantilever tip": (1 / 3, 1.0),
}
"""k_b and k_s by the case: FPL-GTR-190 (2010) Table 9-1."""

_SOURCE = "FPL-GTR-190 (2010) Eq. 9-2, Table 9-1; limit span/{:g}, from memory; load our own choice"


@dataclass(frozen=True, slots=True)
class Beam:
    """A rectangle ``b`` wide and ``h`` high in mm, ``e`` in MPa."""

    b: float
    h: float
    e: float

    @property
    def inertia(self) -> float:
        """Second moment about the horizontal axis, mm⁴."""
        return self.b * self.h**3 / 12

    @property
    def g(self) -> float:
        """Shear modulus, MPa."""
        return self.e / E_OVER_G

    @property
    def shear_area(self) -> float:
        """5/6 of the section, mm²."""
        return 5 / 6 * self.b * self.h

    def sag(self, case: Case, load: float, span: float, *, shear: bool = True) -> float:
        """Deflection in mm under ``load`` N in all, over ``span`` mm."""
        return deflection(case, load, span, self.e * self.inertia, self.g * self.shear_area, shear)


def deflection(
    case: Case, load: float, span: float, ei: float, ga: float, shear: bool = True
) -> float:
    """FPL-GTR-190 Eq. 9-2: deflection in mm from N, mm, N mm² and N (``shear`` off: bending)."""
    kb, ks = COEFFICIENTS[case]
    return kb * load * span**3 / ei + (ks * load * span / ga if shear else 0.0)


def clear_span(bench: Bench, member: Member) -> float:
    """From shoulder to shoulder of a tenoned piece, mm; its length if it has no tenons."""
    gone = sum(
        j.length
        for j in bench.joints_of(member)
        if isinstance(j, MortiseTenon) and j.entering.name == member.name
    )
    return member.length - gone


def _standing(member: Member) -> Beam:
    """A piece as a beam, its level and upright sizes taken from where it stands."""
    upright = abs(member.placement.y[2]) > abs(member.placement.z[2])
    b, h = (member.thickness, member.width) if upright else (member.width, member.thickness)
    return Beam(b, h, member.species.moe)


def _level(member: Member, axis: int | None = None) -> bool:
    """Whether the grain runs level (along one bench axis, if given)."""
    x = member.placement.x
    return abs(x[2]) < 1e-9 if axis is None else abs(abs(x[axis]) - 1.0) < 1e-9


def beam_figures(bench: Bench, mass: MassData) -> tuple[Figure, ...]:
    """Sag of the top (mid-span and overhang), and of the stretchers on which one can stand."""
    found: list[Figure] = []
    tops = [m for m in bench.timbers if m.role in TOP_ROLES and _level(m, 0)]
    posts = [m for m in bench.timbers if m.role == "post"]
    rails = [m for m in bench.timbers if m.role == "stretcher"]
    if tops and posts:
        found += _top_figures(bench, mass, tops, posts)
    uppers = {j.carrier.name for j in bench.joints if isinstance(j, LagBolt)}
    lower = [m for m in rails if m.name not in uppers and _level(m)]
    by_sag = [(_rail_figure(bench, mass, m), m) for m in lower]
    if by_sag:
        found.append(max((f for f, _ in by_sag), key=lambda f: f.value / (f.limit or 1.0)))
    shelf = [m for m in bench.timbers if m.role == "shelf board"]
    if shelf:
        found.append(_shelf_figure(bench, mass, lower, shelf))
    return tuple(found)


def _top_figures(
    bench: Bench, mass: MassData, tops: list[Member], posts: list[Member]
) -> list[Figure]:
    sections = [_standing(m) for m in tops]
    ei = sum(s.e * s.inertia for s in sections)
    ga = sum(s.g * s.shear_area for s in sections)
    own = sum(mass.of(m.name) for m in tops) * GRAVITY
    length = max(m.length for m in tops)
    ends = sorted((bench.bounds[m.name] for m in posts), key=lambda b: b[0][0])
    left, right = ends[0][0][0], ends[-1][1][0]
    inner_left, inner_right = ends[0][1][0], ends[-1][0][0]
    reach = [*tops, *(m for m in bench.timbers if m.role in END_ROLES)]
    low = min(bench.bounds[m.name][0][0] for m in reach)
    high = max(bench.bounds[m.name][1][0] for m in reach)
    span = inner_right - inner_left
    found = []
    if span > 0.0:
        # The long stretchers that the top is bolted to bend with it: same span, side by side.
        carriers = {
            j.carrier.name: j.carrier
            for j in bench.joints
            if isinstance(j, LagBolt) and _level(j.carrier, 0)
        }
        rails = [_standing(m) for m in carriers.values()]
        ei += sum(r.e * r.inertia for r in rails)
        ga += sum(r.g * r.shear_area for r in rails)
        helped = f", with {len(rails)} stretchers bolted under it" if rails else ""
        found.append(
            Figure(
                key="sag-top",
                title="sag of the top between the posts",
                load_case=f"a person of {PERSON:g} kg at mid-span{helped}, and its own weight",
                value=deflection("simple middle", PERSON * GRAVITY, span, ei, ga)
                + deflection("simple uniform", own * span / length, span, ei, ga),
                limit=span / SAG_RATIO,
                unit="mm",
                source=_SOURCE.format(SAG_RATIO),
                note="as one beam across the whole depth, ends free to turn; no composite action",
            )
        )
    overhang = max(left - low, high - right)
    if overhang > 1.0:
        tip_ei = sum(s.e * s.inertia for s in sections)
        tip_ga = sum(s.g * s.shear_area for s in sections)
        found.append(
            Figure(
                key="sag-overhang",
                title="sag of the top's overhang",
                load_case=f"a person of {PERSON:g} kg at the overhang's end",
                value=deflection("cantilever tip", PERSON * GRAVITY, overhang, tip_ei, tip_ga),
                limit=2 * overhang / SAG_RATIO,
                unit="mm",
                source=_SOURCE.format(SAG_RATIO) + " (an overhang counts twice)",
                note="held level over the posts",
            )
        )
    return found


def _rail_figure(bench: Bench, mass: MassData, rail: Member) -> Figure:
    span = clear_span(bench, rail)
    own = mass.of(rail.name) * GRAVITY
    beam = _standing(rail)
    return Figure(
        key="sag-stretcher",
        title="sag of a stretcher that somebody stands on",
        load_case=f"a person of {PERSON:g} kg at mid-span, and its own weight",
        value=beam.sag("simple middle", PERSON * GRAVITY, span)
        + beam.sag("simple uniform", own, span),
        limit=span / SAG_RATIO,
        unit="mm",
        source=_SOURCE.format(SAG_RATIO),
        member=rail.name,
        note="ends free to turn: the tenons make it stiffer",
    )


def _shelf_figure(bench: Bench, mass: MassData, rails: list[Member], shelf: list[Member]) -> Figure:
    from treenail.joints.features import Bearing
    from treenail.joints.seats import SeatRebate

    names = {b.name for b in shelf}
    carry = {j.below.name for j in bench.joints if isinstance(j, Bearing) and j.above.name in names}
    carry |= {j.rail.name for j in bench.joints if isinstance(j, SeatRebate)}
    used = [m for m in rails if m.name in carry] or rails
    load = (SHELF_LOAD + sum(mass.of(b.name) for b in shelf)) * GRAVITY / max(1, len(used))
    worst = max(used, key=lambda m: _standing(m).sag("simple uniform", load, clear_span(bench, m)))
    span = clear_span(bench, worst)
    return Figure(
        key="sag-shelf",
        title="sag of the stretchers under a full shelf",
        load_case=f"{SHELF_LOAD:g} kg of tools spread over the shelf, twice for years of load",
        value=2 * _standing(worst).sag("simple uniform", load, span),
        limit=span / SAG_RATIO,
        unit="mm",
        source=_SOURCE.format(SAG_RATIO) + "; doubled for creep (FPL-GTR-190 ch. 5, from memory)",
        member=worst.name,
    )
