"""Sway of one side of the bench in closed form: a portal of two posts with pinned feet.

Both posts and both ends of each stretcher turn alike (the sway is antisymmetric), so half of the
portal says all: a post with a hinge on the floor and at its head, where the push comes in, and a
rotation spring at each stretcher. With the shear V in the post its moment is V z below the first
stretcher, less each stretcher's moment m_i above it; at the head nothing is left, so the m_i add
up to V H. That the post's slope is continuous gives the m_i, virtual work the sway:

    theta_i = m_i/k_i,   theta_i - theta_(i+1) = integral of M/(E I) between them
    V Delta = integral of M²/(E I) + integral of V²/(G A') + sum of m_i²/k_i

With one stretcher at the head, rigid joints and no shear this is the textbook's
Delta = (P/2) H³/(3 E I_c) + (P/2) H² L/(6 E I_b). Pure Python, microseconds: it serves checks
without solids, and cross-checks the frame analysis.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, TypeAlias

from treenail.checks.strength.beams import E_OVER_G
from treenail.checks.strength.stand_quick import Foot, Hinge, Spring, Stand, solve, stand_sway

if TYPE_CHECKING:
    from collections.abc import Sequence

    from treenail.checks.strength.skeleton import Post, Rail, Skeleton
    from treenail.checks.strength.trestles import Trestle

__all__ = ["Portal", "PortalSway", "Spring", "State", "portal_sway", "quick_sway", "rail_spring"]

State: TypeAlias = Literal["tight", "worn"]


@dataclass(frozen=True, slots=True)
class Portal:
    """Two posts ``height`` high with E I and G A' each (N mm², N; GA infinite: no shear)."""

    height: float
    ei: float
    ga: float
    springs: tuple[Spring, ...]


@dataclass(frozen=True, slots=True)
class PortalSway:
    """What a push does: sway at the head in mm, and each stretcher's moment in N mm."""

    sway: float
    moments: tuple[float, ...]


def rail_spring(
    ei: float, span: float, joint: float, *, arm: float = 0.0, shear_factor: float = 1.0
) -> float:
    """Rotation stiffness in N mm/rad of a stretcher whose two ends turn alike.

    6 E I/(L (1 + phi)) in series with the joint; stiff arms (half of the post's depth) at both
    ends turn the ends further than the post by 1 + 2a/L, and lend the same lever.
    """
    if joint <= 0.0:
        return 0.0
    bar = 6 * ei / (span * shear_factor)
    both = 1 / (1 / bar + (0.0 if math.isinf(joint) else 1 / joint))
    return both * (1 + 2 * arm / span) ** 2


def portal_sway(portal: Portal, push: float) -> PortalSway:
    """Sway under ``push`` N at the head of the portal (both posts together).

    A portal without any stiffness against rotation is a mechanism: infinite sway.
    """
    springs = sorted((s for s in portal.springs if s.k > 0.0), key=lambda s: s.z)
    if not springs:
        return PortalSway(math.inf, ())
    v, h = push / 2, portal.height
    moments = _moments(springs, v, h, portal.ei)
    work = sum(m * m / s.k for m, s in zip(moments, springs, strict=True))
    work += v * v * h / portal.ga
    stops = [0.0, *(s.z for s in springs), h]
    taken = 0.0
    for i in range(len(stops) - 1):
        if i:
            taken += moments[i - 1]
        a, b = v * stops[i] - taken, v * stops[i + 1] - taken
        work += (stops[i + 1] - stops[i]) * (a * a + a * b + b * b) / (3 * portal.ei)
    return PortalSway(work / v if v else 0.0, tuple(moments))


def _moments(springs: Sequence[Spring], v: float, h: float, ei: float) -> list[float]:
    """The stretchers' moments: slopes of neighbours agree, and they add up to V H."""
    n = len(springs)
    rows: list[list[float]] = []
    for i in range(n - 1):
        low, high = springs[i], springs[i + 1]
        gap = high.z - low.z
        # m_(i+1)/k_(i+1) - m_i/k_i - gap/(E I) (m_1 + ... + m_i) = -V (z_(i+1)² - z_i²)/(2 E I)
        row = [-gap / ei] * (i + 1) + [0.0] * (n - i - 1)
        row[i] -= 1.0 / low.k
        row[i + 1] = 1.0 / high.k
        rows.append([*row, -v * (high.z**2 - low.z**2) / (2 * ei)])
    rows.append([*([1.0] * n), v * h])
    return solve(rows)


def _arm(posts: Sequence[Post], rail: Rail) -> float:
    """Half of the posts' depth along the stretcher, mm (the mean of both ends)."""
    ends = [p for p in posts if p.name in (rail.start, rail.end)]
    return sum(p.dx if rail.axis == 0 else p.dy for p in ends) / 2 / len(ends)


def _springs(posts: Sequence[Post], rails: Sequence[Rail], state: State) -> tuple[Spring, ...]:
    return tuple(
        Spring(
            rail.z,
            rail_spring(
                rail.e * rail.inertia,
                rail.span,
                min(getattr(rail.start_joint, state), getattr(rail.end_joint, state)),
                arm=_arm(posts, rail),
                shear_factor=rail.shear_factor(rail.inertia),
            ),
        )
        for rail in rails
    )


def _weakest(posts: Sequence[Post], axis: int) -> Post:
    return min(posts, key=lambda p: p.e * p.inertia(axis))


def _portal(posts: Sequence[Post], rails: Sequence[Rail], axis: int, state: State) -> Portal:
    first = _weakest(posts, axis)
    return Portal(
        max(p.height for p in posts),
        first.e * first.inertia(axis),
        first.shear_stiffness,
        _springs(posts, rails, state),
    )


def _foot(skeleton: Skeleton, trestle: Trestle) -> Foot | None:
    """A trestle's foot, its posts as far apart as they are, midway between its ends."""
    part = trestle.foot
    if part is None:
        return None
    ends = [p for p in skeleton.posts if p.name in (trestle.posts[0], trestle.posts[-1])]
    apart = math.hypot(ends[-1].x - ends[0].x, ends[-1].y - ends[0].y)
    long = part.high - part.low
    ei, side_ei = part.e * part.inertia, part.e * part.side_inertia
    return Foot(part.z, long, apart / 2, ei, part.shear_stiffness, side_ei)


def _stand(
    skeleton: Skeleton,
    posts: Sequence[Post],
    rails: Sequence[Rail],
    trestles: Sequence[Trestle],
    axis: int,
    state: State,
) -> tuple[Stand, list[list[str]]]:
    """The weaker of two posts in trestles, and by its hinges the joints that they are strong in.

    Along, the two are in two ``trestles``; across, in one, which is taken as alike on both sides.
    """
    first = _weakest(posts, axis)
    low, high = max(t.below for t in trestles), max(t.above for t in trestles)
    height = max(p.height for p in posts)
    springs = [*_springs(posts, rails, state)]
    standing = {p.name for p in posts}
    hinges, names = [], []
    for z, upper in ((low, False), (height - high, True)):
        seats = [
            seat
            for t in trestles
            if (part := t.arm if upper else t.foot) is not None
            for name, seat in zip(t.posts, part.seats, strict=True)
            if name in standing
        ]
        if seats:
            hinges.append(Hinge(z, min(s.stiffness(axis, state) for s in seats)))
            names.append([s.joint.name for s in seats if s.strong == axis])
    apart = math.hypot(posts[-1].x - posts[0].x, posts[-1].y - posts[0].y)
    across = trestles[0].axis == axis
    arm = trestles[0].arm
    if across and arm and apart:
        soft = 1.0 + 12 * E_OVER_G * arm.inertia / (5 / 6 * arm.area * apart**2)
        k = rail_spring(arm.e * arm.inertia, apart, math.inf, shear_factor=soft)
        springs.append(Spring(arm.z, k))
    feet = [_foot(skeleton, t) for t in trestles]
    soft_foot = max((f for f in feet if f and not across), key=lambda f: f.sinks, default=None)
    stand = Stand(
        height,
        low,
        height - high,
        first.e * first.inertia(axis),
        first.shear_stiffness,
        tuple(springs),
        tuple(hinges),
        foot=feet[0] if across else None,
        thrust=2 * height / apart if soft_foot else 0.0,
        sinks=soft_foot.sinks if soft_foot else 0.0,
        drifts=soft_foot.drifts if soft_foot else 0.0,
    )
    return stand, names


@dataclass(frozen=True, slots=True)
class _Share:
    """What takes a part of the push: its sway and moments for 1 N, and what these are divided by.

    Stretchers' moments are in the post's middle; at the shoulder, where the joint is, they are
    less by the lever. Joints of posts in feet and arms go by their own names.
    """

    sway: float
    moments: dict[str, tuple[float, float]]


def _share(
    skeleton: Skeleton, names: tuple[str, ...], rails: list[Rail], axis: int, state: State
) -> _Share:
    """A portal's, or a trestle's."""
    posts = [p for p in skeleton.posts if p.name in names]
    trestles = [t for t in skeleton.trestles if set(t.posts) & set(names)]
    rails = [r for r, s in zip(rails, _springs(posts, rails, state), strict=True) if s.k > 0.0]
    rails.sort(key=lambda r: r.z)
    joints: dict[str, tuple[float, float]] = {}
    if trestles:
        stand, seats = _stand(skeleton, posts, rails, trestles, axis, state)
        unit = stand_sway(stand)
        share = 1.0 / len(posts)
        sway, moments = unit.sway * share, tuple(m * share for m in unit.springs)
        for seated, m in zip(seats, unit.hinges, strict=False):
            joints |= dict.fromkeys(seated, (abs(m) * share, 1.0))
    else:
        whole = portal_sway(_portal(posts, rails, axis, state), 1.0)
        sway, moments = whole.sway, whole.moments
    levers = [1 + 2 * _arm(posts, r) / r.span for r in rails]
    found = {r.name: (m, lever) for r, m, lever in zip(rails, moments, levers, strict=False)}
    return _Share(sway, found | joints)


def quick_sway(
    skeleton: Skeleton, axis: int, push: float, state: State
) -> tuple[float, dict[str, float]]:
    """(sway in mm, joint moment in N mm by stretcher) of the bench pushed along x (0) or y (1).

    The push is shared by the portals and trestles that stand in its direction (front and back, or
    the two ends) as their stiffness has it: they sway together under the top. The joints of posts
    in feet and arms have their moments by the joint's name.
    """
    groups: dict[tuple[str, ...], list[Rail]] = {
        t.posts: [] for t in skeleton.trestles if t.axis == axis
    }
    for rail in skeleton.rails:
        if rail.axis == axis:
            groups.setdefault((rail.start, rail.end), []).append(rail)
    shares = [_share(skeleton, names, rails, axis, state) for names, rails in groups.items()]
    stiffness = sum(1 / s.sway for s in shares if s.sway > 0.0)
    if stiffness <= 0.0:
        return math.inf, {}
    sway = push / stiffness
    return sway, {
        name: m * (sway / s.sway) / lever
        for s in shares
        for name, (m, lever) in s.moments.items()
        if math.isfinite(s.sway)
    }
