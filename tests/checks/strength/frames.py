"""Skeletons for the frame tests: two like portals each way, sizes chosen by the test."""

import math
from typing import Any

from treenail.checks.strength.joint_stiffness import JointStiffness
from treenail.checks.strength.skeleton import Post, Rail, Skeleton
from treenail.checks.strength.trestles import Level, Seat, Trestle


def joint(tight: float, worn: float | None = None, *, name: str = "joint") -> JointStiffness:
    """A joint of given stiffness, N mm/rad, the same about both axes."""
    worn = tight if worn is None else worn
    return JointStiffness(name, tight, worn, tight, math.inf, 0.0, glued=False)


def skeleton(
    *,
    height: float = 800.0,
    length: float = 1500.0,
    depth: float = 600.0,
    post: tuple[float, float] = (80.0, 80.0),
    rail: tuple[float, float] = (140.0, 45.0),
    levels: tuple[float, ...] = (200.0, 700.0),
    e_post: float = 12600.0,
    e_rail: float = 12600.0,
    stiffness: float = 1e8,
    **more: Any,
) -> Skeleton:
    """Posts' axes ``length`` and ``depth`` apart; stretchers (high, thick) at ``levels``."""
    spots = {
        "fl": (0.0, 0.0),
        "fr": (length, 0.0),
        "bl": (0.0, depth),
        "br": (length, depth),
    }
    posts = tuple(Post(n, x, y, height, *post, e_post) for n, (x, y) in spots.items())
    rails = tuple(
        Rail(
            f"{a}-{b}-{z:g}",
            axis,
            z,
            *rail,
            (length if axis == 0 else depth) - post[axis],
            e_rail,
            a,
            b,
            joint(stiffness, name=f"{a}-{b}-{z:g}-1"),
            joint(stiffness, name=f"{a}-{b}-{z:g}-2"),
        )
        for axis, pairs in ((0, ("fl fr", "bl br")), (1, ("fl bl", "fr br")))
        for a, b in (pair.split() for pair in pairs)
        for z in levels
    )
    top = more.get("top", (length + 400.0, depth + 80.0, 70.0, 12600.0))
    return Skeleton(posts, rails, top)


def wires(*, stiffness: float) -> Skeleton:
    """The published portal with lines for members: thin, E raised so that E I is the portal's.

    Stiff arms and shear then all but vanish: rigid joints give the textbook's frame.
    """
    thin = 30.0  # thinner still, and the equations lose their digits
    return skeleton(
        levels=(800.0,),
        depth=1500.0,
        post=(80 / thin, 80 / thin),
        rail=(140 / thin, 45 / thin),
        e_post=12600 * thin**4,
        e_rail=12600 * thin**4,
        stiffness=stiffness,
    )


def on_trestles(
    *,
    posts: int = 2,
    height: float = 800.0,
    length: float = 1500.0,
    apart: float = 400.0,
    post: tuple[float, float] = (80.0, 110.0),
    foot: tuple[float, float, float] | None = (750.0, 90.0, 90.0),
    arm: tuple[float, float, float] | None = (600.0, 80.0, 80.0),
    levels: tuple[float, ...] = (350.0,),
    stiffness: float = 1e8,
    seat: float = 1e8,
    e: float = 12600.0,
) -> Skeleton:
    """Two trestles of one or two posts; foot and arm (long, deep, wide); stretchers between."""
    ys = {1: (0.0,), 2: (-apart / 2, apart / 2)}[posts]
    legs = tuple(
        Post(f"{end}{i}", x, y, height, *post, e)
        for end, x in (("l", 0.0), ("r", length))
        for i, y in enumerate(ys)
    )
    rails = tuple(
        Rail(
            f"rail{i}-{z:g}",
            0,
            z,
            140.0,
            45.0,
            length - post[0],
            e,
            f"l{i}",
            f"r{i}",
            joint(stiffness, name=f"rail{i}-{z:g}-l"),
            joint(stiffness, name=f"rail{i}-{z:g}-r"),
        )
        for i in range(posts)
        for z in levels
    )

    def level(name: str, size: tuple[float, float, float] | None, at: float) -> Level | None:
        if size is None:
            return None
        long, deep, wide = size
        seats = tuple(Seat(joint(seat, name=f"{name}-{i}"), 1) for i in range(posts))
        z = at + deep / 2 if at == 0.0 else at - deep / 2
        return Level(name, -long / 2, long / 2, z, deep, wide, e, seats)

    trestles = tuple(
        Trestle(
            1,
            tuple(p.name for p in legs if p.name[0] == end),
            level(f"foot-{end}", foot, 0.0),
            level(f"arm-{end}", arm, height),
        )
        for end in "lr"
    )
    return Skeleton(legs, rails, (length + 400.0, 600.0, 70.0, e), trestles)
