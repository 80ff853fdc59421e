"""Two members that stand in each other, for every kind of tenon; anywhere in the bench."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import TypeAlias

from treenail.generators.bench import Bench, Seasons
from treenail.joints.standing import Standing
from treenail.joints.tenon_variants import make
from treenail.joints.tenon_variants.pegs import pegged
from treenail.timber.frames import Frame
from treenail.timber.member import Face, Member
from treenail.timber.species import get_species

ASH = get_species("white ash")
Pair: TypeAlias = tuple[Member, Member]


def piece(name: str, size: tuple[float, float, float], placement: Frame) -> Member:
    long, wide, thick = size
    return Member(
        name=name, role="post" if name == "post" else "stretcher", length=long, width=wide,
        thickness=thick, species=ASH, placement=placement,
    )  # fmt: skip


def rail_in_post(
    reach: float = 50.0,
    *,
    width: float = 100.0,
    thickness: float = 40.0,
    post: float = 80.0,
    end: Face = Face.NEAR_END,
    place: Frame | None = None,
) -> Pair:
    """A rail whose one end stands ``reach`` deep in the post's right-hand face, on its middle."""
    y, x = (post - thickness) / 2, post - reach
    if end is Face.FAR_END:
        # Turned about, face side still in front.
        rail = Frame((x + 600.0, y, 400.0), (-1.0, 0.0, 0.0), (0.0, 0.0, -1.0), (0.0, -1.0, 0.0))
        rail = replace(rail, origin=(x + 600.0, y + thickness, 400.0))
    else:
        rail = Frame.from_zx((x, y, 400.0), (0.0, 1.0, 0.0), (1.0, 0.0, 0.0))
    upright = Frame((0.0, 0.0, 0.0), (0.0, 0.0, 1.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0))
    whole = place or Frame()
    return (
        piece("post", (800.0, post, post), whole.place(upright).snapped()),
        piece("rail", (600.0, width, thickness), whole.place(rail).snapped()),
    )


def post_in_slab(
    *,
    slab: float = 90.0,
    width: float = 120.0,
    thickness: float = 100.0,
    place: Frame | None = None,
    inset: float = 0.0,
) -> Pair:
    """A post through a slab, its face side flush with the slab's front edge."""
    lying = Frame.from_zx((900.0, 0.0, 800.0), (0.0, 0.0, -1.0), (-1.0, 0.0, 0.0))
    upright = Frame((200.0, inset, 0.0), (0.0, 0.0, 1.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0))
    whole = place or Frame()
    return (
        piece("top", (900.0, 500.0, slab), whole.place(lying).snapped()),
        piece("post", (800.0, width, thickness), whole.place(upright).snapped()),
    )


#: One of each kind, by name.
KINDS: dict[str, Callable[[], Standing]] = {
    "haunched": lambda: make.haunched_tenon(*rail_in_post()),
    "sloped haunch": lambda: make.haunched_tenon(*rail_in_post(), sloped=True, edge=Face.BACK_EDGE),
    "bare-faced": lambda: make.bare_faced_tenon(*rail_in_post(thickness=25.0)),
    "twin": lambda: pegged(make.twin_tenons(*rail_in_post(thickness=70.0)), 2),
    "three": lambda: make.twin_tenons(*rail_in_post(thickness=78.0), count=3),
    "double": lambda: pegged(
        make.double_tenons(*rail_in_post(55.0, width=180.0)),
        4,
        staggered=True,
        blind=False,
        side=Face.BACK_SIDE,
    ),
    "wedged": lambda: make.wedged_tenon(*rail_in_post(82.0)),
    "wedged and pegged": lambda: pegged(make.wedged_tenon(*rail_in_post(82.0), wedges=1), 1),
    "tusk": lambda: make.tusk_tenon(*rail_in_post(200.0)),
    "tusk, wedge level": lambda: make.tusk_tenon(
        *rail_in_post(200.0, end=Face.FAR_END), wedge_face=Face.BACK_SIDE
    ),
    "slab": lambda: make.slab_tenons(*post_in_slab()),
    "round": lambda: make.round_tenon(*rail_in_post(width=60.0, thickness=60.0)),
    "round, through": lambda: make.round_tenon(
        *rail_in_post(85.0, width=60.0, thickness=60.0, end=Face.FAR_END), through=True
    ),
}


def bench_of(joint: Standing) -> Bench:
    return Bench(
        name="two pieces",
        family="test",
        units="mm",
        timbers=joint.members,
        joints=(joint,),
        asked=(1000.0, 500.0, 900.0),
        seasons=Seasons(10.0, 8.0, 12.0),
    )
