"""Trestles in a bench: posts that stand in a foot and carry an arm.

A foot is a level piece on the floor into which posts are tenoned; it bears at its two ends, as
feet do that are hollowed in the middle, which is also the safe side for one that isn't. An arm
is a level piece on the posts' upper ends, under the top. Both are read from where the pieces
stand, not from their names.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from treenail.checks.strength.beams import E_OVER_G
from treenail.checks.strength.joint_stiffness import JointStiffness, joint_stiffness
from treenail.joints.levelling import LevellingFoot
from treenail.joints.mortise_tenon import MortiseTenon
from treenail.timber.member import Face

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from treenail.generators.bench import Bench
    from treenail.timber.member import Member

__all__ = ["Level", "Seat", "Trestle", "read_trestles"]

_ALONG = 1.0 - 1e-9
#: Posts on one foot that the sway model knows: one in its middle, or two.
MOST_POSTS = 2


@dataclass(frozen=True, slots=True)
class Seat:
    """A post's tenon in a foot or an arm; it is strong for sway along ``strong`` (bench axis)."""

    joint: JointStiffness
    strong: int

    def stiffness(self, axis: int, state: str) -> float:
        """N mm/rad for sway along the bench's x (0) or y (1), ``tight`` or ``worn``."""
        return float(getattr(self.joint, state if axis == self.strong else "side"))


@dataclass(frozen=True, slots=True)
class Level:
    """A foot or an arm: ends along the trestle, middle above the floor, section; mm, MPa."""

    name: str
    low: float
    high: float
    z: float
    deep: float
    wide: float
    e: float
    seats: tuple[Seat, ...]

    @property
    def inertia(self) -> float:
        """Second moment for bending in the trestle's plane, mm⁴."""
        return self.wide * self.deep**3 / 12

    @property
    def side_inertia(self) -> float:
        """Second moment about the upright axis, mm⁴."""
        return self.deep * self.wide**3 / 12

    @property
    def area(self) -> float:
        """Section, mm²."""
        return self.deep * self.wide

    @property
    def shear_stiffness(self) -> float:
        """G A', N."""
        return self.e / E_OVER_G * 5 / 6 * self.area


@dataclass(frozen=True, slots=True)
class Trestle:
    """One or two posts in a plane along the bench's x (0) or y (1), with foot and arm.

    ``posts`` stand in the order of their places; the seats of ``foot`` and ``arm`` follow them.
    """

    axis: int
    posts: tuple[str, ...]
    foot: Level | None
    arm: Level | None

    @property
    def holds(self) -> bool:
        """Whether it stands by itself in its own plane: on a foot, or as two posts and an arm."""
        return self.foot is not None or len(self.posts) > 1

    @property
    def below(self) -> float:
        """Height of the foot: the posts bend from here up, mm."""
        return self.foot.deep if self.foot else 0.0

    @property
    def above(self) -> float:
        """Height of the arm: the posts bend up to here, mm from the heads."""
        return self.arm.deep if self.arm else 0.0

    def joints(self) -> tuple[JointStiffness, ...]:
        """Every joint of posts with foot and arm."""
        return tuple(s.joint for part in (self.foot, self.arm) if part for s in part.seats)


def read_trestles(
    bench: Bench, posts: Mapping[str, Member], floor: float
) -> tuple[Trestle, ...] | None:
    """The trestles of a bench: sets of upright ``posts`` that share a foot or an arm.

    None if the model doesn't know what the posts stand in: a foot of more than ``MOST_POSTS``, an
    arm over other posts than its foot.
    """
    held: dict[tuple[str, bool], list[MortiseTenon]] = {}
    for joint in bench.joints:
        if isinstance(joint, MortiseTenon) and joint.entering.name in posts:
            part, up = joint.receiver, joint.insertion()[2] > 0.0
            stands = part.bounds()[0][2] - floor < 1e-6
            if part.role != "top section" and (up or stands) and _axis(part) is not None:
                held.setdefault((part.name, up), []).append(joint)
    found: dict[tuple[str, ...], dict[bool, list[MortiseTenon]]] = {}
    for (_, up), seated in held.items():
        seated.sort(key=lambda j: j.entering.bounds()[0])
        names = tuple(j.entering.name for j in seated)
        found.setdefault(names, {})[up] = seated
    every = [name for names in found for name in names]
    if len(set(every)) < len(every) or any(len(names) > MOST_POSTS for names in found):
        return None
    return tuple(
        Trestle(
            _axis_of(by_end.values()),
            names,
            _level(bench, by_end.get(False), floor),
            _level(bench, by_end.get(True), floor),
        )
        for names, by_end in found.items()
    )


def _axis(part: Member) -> int | None:
    return next((i for i in (0, 1) if abs(part.placement.x[i]) > _ALONG), None)


def _axis_of(ends: Iterable[Sequence[MortiseTenon]]) -> int:
    axis = _axis(next(iter(ends))[0].receiver)
    return 1 if axis is None else axis


def _level(bench: Bench, seated: Sequence[MortiseTenon] | None, floor: float) -> Level | None:
    if not seated:
        return None
    part = seated[0].receiver
    axis = _axis_of([seated])
    low, high = part.bounds()
    # On levelling feet it bears where they are.
    pads = [
        foot.hardware()[0].placement.origin[axis]
        for foot in bench.joints_of(part)
        if isinstance(foot, LevellingFoot)
    ] or [low[axis], high[axis]]
    return Level(
        part.name,
        min(pads),
        max(pads),
        (low[2] + high[2]) / 2 - floor,
        high[2] - low[2],
        high[1 - axis] - low[1 - axis],
        part.species.moe,
        tuple(Seat(joint_stiffness(j), _strong(j)) for j in seated),
    )


def _strong(joint: MortiseTenon) -> int:
    """The bench axis along which the tenon is wide."""
    x = joint.entering.placement.direction(joint.entering.face_frame(Face.NEAR_END).x)
    return 0 if abs(x[0]) > abs(x[1]) else 1
