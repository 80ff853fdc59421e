"""A bench read as a frame: posts, the stretchers that join them, the top that ties their heads.

Numbers only, frozen and hashable, so that an analysis can be kept by its numbers. Lines run
along the pieces' middles; a stretcher counts from shoulder to shoulder and the post's half depth
on either side is stiff. Posts that stand in a foot or carry an arm are in a trestle as well.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from treenail.checks.strength.beams import E_OVER_G
from treenail.checks.strength.joint_stiffness import JointStiffness, joint_stiffness
from treenail.checks.strength.treenails import pairs_on_posts, turning
from treenail.checks.strength.trestles import Trestle, read_trestles
from treenail.generators.fittings.site import FITTINGS
from treenail.generators.tops import TOP_ROLES
from treenail.joints.barrel_bolt import BarrelBolt
from treenail.joints.mortise_tenon import MortiseTenon

if TYPE_CHECKING:
    from collections.abc import Mapping

    from treenail.generators.bench import Bench
    from treenail.joints.treenails import Treenails
    from treenail.timber.member import Member

__all__ = ["Post", "Rail", "Skeleton", "read_skeleton"]

_UPRIGHT = 1.0 - 1e-9


@dataclass(frozen=True, slots=True)
class Post:
    """An upright post: axis at (x, y), from floor to head; sizes along x and y; mm, MPa.

    In a trestle its height takes in the foot and the arm.
    """

    name: str
    x: float
    y: float
    height: float
    dx: float
    dy: float
    e: float

    def inertia(self, axis: int) -> float:
        """Second moment, mm⁴, for bending along the bench's x (0) or y (1)."""
        return self.dy * self.dx**3 / 12 if axis == 0 else self.dx * self.dy**3 / 12

    @property
    def area(self) -> float:
        """Section, mm²."""
        return self.dx * self.dy

    @property
    def shear_stiffness(self) -> float:
        """G A', N."""
        return self.e / E_OVER_G * 5 / 6 * self.area


@dataclass(frozen=True, slots=True)
class Rail:
    """A level stretcher between two posts, along x (axis 0) or y (axis 1).

    ``z`` is its middle above the floor, ``high`` and ``thick`` its section, ``span`` from
    shoulder to shoulder, ``start``/``end`` the posts (lower coordinate first) with their joints.
    """

    name: str
    axis: int
    z: float
    high: float
    thick: float
    span: float
    e: float
    start: str
    end: str
    start_joint: JointStiffness
    end_joint: JointStiffness

    @property
    def inertia(self) -> float:
        """Second moment the strong way, mm⁴."""
        return self.thick * self.high**3 / 12

    @property
    def side_inertia(self) -> float:
        """Second moment about the upright axis, mm⁴."""
        return self.high * self.thick**3 / 12

    @property
    def area(self) -> float:
        """Section, mm²."""
        return self.high * self.thick

    def shear_factor(self, inertia: float) -> float:
        """1 + 12 E I/(G A' L²): how much shear softens it when its ends turn alike."""
        return 1.0 + 12 * E_OVER_G * inertia / (5 / 6 * self.area * self.span**2)


@dataclass(frozen=True, slots=True)
class Skeleton:
    """Posts, stretchers and the top (length, depth, thickness in mm, MOE in MPa); trestles."""

    posts: tuple[Post, ...]
    rails: tuple[Rail, ...]
    top: tuple[float, float, float, float]
    trestles: tuple[Trestle, ...] = ()

    def trestle_of(self, post: str) -> Trestle | None:
        """The trestle that a post stands in, if any."""
        return next((t for t in self.trestles if post in t.posts), None)

    def joints(self) -> tuple[tuple[str, JointStiffness], ...]:
        """Every joint with the name of the piece that is tenoned there."""
        rails = [(r.name, j) for r in self.rails for j in (r.start_joint, r.end_joint)]
        seats = [
            (post, seat.joint)
            for t in self.trestles
            for part in (t.foot, t.arm)
            if part
            for post, seat in zip(t.posts, part.seats, strict=True)
        ]
        return (*rails, *seats)


def read_skeleton(bench: Bench) -> Skeleton | None:
    """The bench as a frame.

    None where it has no upright posts or no stretchers between them, and where its posts stand
    in feet that the model doesn't know.
    """
    lows = (bench.bounds[m.name][0][2] for m in bench.timbers if m.assembly != FITTINGS)
    floor = min(lows, default=0.0)
    uprights = {
        m.name: m for m in bench.timbers if m.role == "post" and abs(m.placement.x[2]) > _UPRIGHT
    }
    trestles = read_trestles(bench, uprights, floor)
    if trestles is None:
        return None
    heads = {name: t.arm.z + t.arm.deep / 2 for t in trestles if t.arm for name in t.posts}
    posts = {
        name: replace(post, height=heads.get(name, post.height))
        for name, post in ((name, _post(m, floor)) for name, m in uprights.items())
    }
    bolts: dict[tuple[str, str], list[BarrelBolt]] = {}
    for joint in bench.joints:
        if isinstance(joint, BarrelBolt):
            bolts.setdefault((joint.rail.name, joint.post.name), []).append(joint)
    ends: dict[str, list[MortiseTenon]] = {}
    for joint in bench.joints:
        if isinstance(joint, MortiseTenon) and joint.receiver.name in posts:
            ends.setdefault(joint.entering.name, []).append(joint)
    rails = [
        rail
        for pair in ends.values()
        if len(pair) == 2 and (rail := _rail(pair, posts, floor, bolts)) is not None
    ]
    rails += [
        rail
        for pair in pairs_on_posts(bench, posts)
        if (rail := _apron(pair, posts, floor)) is not None
    ]
    tops = [m for m in bench.timbers if m.role in TOP_ROLES]
    if len(posts) < 2 or not rails or not tops:
        return None
    low = [min(m.bounds()[0][i] for m in tops) for i in range(3)]
    high = [max(m.bounds()[1][i] for m in tops) for i in range(3)]
    size = (high[0] - low[0], high[1] - low[1], high[2] - low[2], tops[0].species.moe)
    return Skeleton(tuple(posts.values()), tuple(rails), size, trestles)


def _post(m: Member, floor: float) -> Post:
    low, high = m.bounds()
    return Post(
        m.name,
        (low[0] + high[0]) / 2,
        (low[1] + high[1]) / 2,
        high[2] - floor,
        high[0] - low[0],
        high[1] - low[1],
        m.species.moe,
    )


def _rail(
    pair: list[MortiseTenon],
    posts: dict[str, Post],
    floor: float,
    bolts: Mapping[tuple[str, str], list[BarrelBolt]],
) -> Rail | None:
    rail = pair[0].entering
    axis = next((i for i in (0, 1) if abs(rail.placement.x[i]) > _UPRIGHT), None)
    if axis is None:
        return None
    first, second = sorted(pair, key=lambda j: (posts[j.receiver.name].x, posts[j.receiver.name].y))
    low, high = rail.bounds()
    return Rail(
        rail.name,
        axis,
        (low[2] + high[2]) / 2 - floor,
        high[2] - low[2],
        high[1 - axis] - low[1 - axis],
        rail.length - pair[0].length - pair[1].length,
        rail.species.moe,
        first.receiver.name,
        second.receiver.name,
        *(joint_stiffness(j, bolts.get((rail.name, j.receiver.name), ())) for j in (first, second)),
    )


def _apron(pair: tuple[Treenails, Treenails], posts: dict[str, Post], floor: float) -> Rail | None:
    """A wide board pegged across two posts: a rail at its pegs' height, from post to post."""
    first, second = sorted(pair, key=lambda j: (posts[j.receiver.name].x, posts[j.receiver.name].y))
    apron, near, far = pair[0].entering, posts[first.receiver.name], posts[second.receiver.name]
    axis = next((i for i in (0, 1) if abs(apron.placement.x[i]) > _UPRIGHT), None)
    if axis is None:
        return None
    low, high = apron.bounds()
    apart, deep = (
        (far.x - near.x, near.dx + far.dx) if axis == 0 else (far.y - near.y, near.dy + far.dy)
    )
    return Rail(
        apron.name,
        axis,
        first.middle()[2] - floor,
        high[2] - low[2],
        high[1 - axis] - low[1 - axis],
        apart - deep / 2,
        apron.species.moe,
        first.receiver.name,
        second.receiver.name,
        turning(first),
        turning(second),
    )
