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

if TYPE_CHECKING:
    from collections.abc import Sequence

    from treenail.checks.strength.skeleton import Post, Rail, Skeleton

__all__ = ["Portal", "PortalSway", "Spring", "State", "portal_sway", "quick_sway", "rail_spring"]

State: TypeAlias = Literal["tight", "worn"]


@dataclass(frozen=True, slots=True)
class Spring:
    """A stretcher as the post feels it: its height on the post, mm, and N mm/rad."""

    z: float
    k: float


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
    return _solve(rows)


def _solve(rows: list[list[float]]) -> list[float]:
    """Gauss with pivots on a few equations (last column: right-hand side)."""
    n = len(rows)
    for i in range(n):
        pivot = max(range(i, n), key=lambda r: abs(rows[r][i]))
        rows[i], rows[pivot] = rows[pivot], rows[i]
        for r in range(i + 1, n):
            factor = rows[r][i] / rows[i][i]
            rows[r] = [a - factor * b for a, b in zip(rows[r], rows[i], strict=True)]
    out = [0.0] * n
    for i in reversed(range(n)):
        out[i] = (rows[i][n] - sum(rows[i][j] * out[j] for j in range(i + 1, n))) / rows[i][i]
    return out


def _arm(posts: Sequence[Post], rail: Rail) -> float:
    """Half of the posts' depth along the stretcher, mm (the mean of both ends)."""
    ends = [p for p in posts if p.name in (rail.start, rail.end)]
    return sum(p.dx if rail.axis == 0 else p.dy for p in ends) / 2 / len(ends)


def _portal(posts: Sequence[Post], rails: Sequence[Rail], axis: int, state: State) -> Portal:
    springs = []
    for rail in rails:
        joint = min(getattr(rail.start_joint, state), getattr(rail.end_joint, state))
        springs.append(
            Spring(
                rail.z,
                rail_spring(
                    rail.e * rail.inertia,
                    rail.span,
                    joint,
                    arm=_arm(posts, rail),
                    shear_factor=rail.shear_factor(rail.inertia),
                ),
            )
        )
    first = min(posts, key=lambda p: p.e * p.inertia(axis))
    return Portal(
        max(p.height for p in posts),
        first.e * first.inertia(axis),
        first.shear_stiffness,
        tuple(springs),
    )


def quick_sway(
    skeleton: Skeleton, axis: int, push: float, state: State
) -> tuple[float, dict[str, float]]:
    """(sway in mm, joint moment in N mm by stretcher) of the bench pushed along x (0) or y (1).

    The push is shared by the portals that stand in its direction (front and back, or the two
    ends) as their stiffness has it: they sway together under the top.
    """
    groups: dict[tuple[str, str], list[Rail]] = {}
    for rail in skeleton.rails:
        if rail.axis == axis:
            groups.setdefault((rail.start, rail.end), []).append(rail)
    portals = []
    for names, rails in groups.items():
        pair = [p for p in skeleton.posts if p.name in names]
        unit = portal_sway(_portal(pair, rails, axis, state), 1.0)
        portals.append((unit, sorted(rails, key=lambda r: r.z)))
    stiffness = sum(1 / u.sway for u, _ in portals if u.sway > 0.0)
    if stiffness <= 0.0:
        return math.inf, {}
    sway = push / stiffness
    moments: dict[str, float] = {}
    for unit, rails in portals:
        share = sway / unit.sway
        alive = [r for r in rails if unit.moments]
        for rail, m in zip(alive, unit.moments, strict=False):
            # From the post's middle back to the shoulder, where the joint is.
            moments[rail.name] = m * share / (1 + 2 * _arm(skeleton.posts, rail) / rail.span)
    return sway, moments
