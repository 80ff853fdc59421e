"""The parameters of the slab bench: the frame bench's where they are the same, and its own."""

from __future__ import annotations

from dataclasses import dataclass

from treenail.generators.frame_spec import INCH, PostBenchSpec, Posts, Stretchers, Top
from treenail.generators.params import choice, count, flag, mm, section

WAYS = ("wedged", "dovetailed")


@dataclass(frozen=True, kw_only=True)
class PostTenons:
    """How the posts come up through the top."""

    way: str = choice(
        "wedged",
        choices=WAYS,
        why="One tenon spread by wedges; or a dovetail in the top's edge beside a plain one.",
    )
    thickness: float | None = mm(
        None,
        low=8,
        high=150,
        why="Front to back: the wedged tenon's, auto a third of the post to a tool size; or the "
        "plain one's, auto a quarter.",
    )
    shoulder_ends: float | None = mm(
        None,
        low=0,
        high=80,
        why="Shoulder on both sides along the bench; auto 1/2 in if wedged, none if dovetailed.",
    )
    wedges: int = count(
        2, low=1, high=4, why="Across the top's grain, so that they don't split it."
    )
    kerf: float = mm(INCH / 16, low=0.5, high=6, why="Width of the saw cut that takes a wedge.")
    flare: float = mm(
        INCH / 8, low=0.5, high=12, why="How much each end of the mortise widens upward: 1/8 in."
    )
    dovetail: float | None = mm(
        None, low=8, high=150, why="The dovetail's thickness; auto a quarter of the post's."
    )
    gap: float | None = mm(
        None, low=5, high=150, why="Top's wood between both tenons; auto a quarter of the post."
    )
    flank: float | None = mm(
        None,
        low=0.5,
        high=40,
        why="How much narrower the dovetail is at the top's edge, on each side; auto one in six.",
    )


@dataclass(frozen=True, kw_only=True)
class SlabBenchSpec(PostBenchSpec):
    """Sizes of a slab bench: a thick top, posts tenoned up through it, drawbored stretchers."""

    top: Top = section(
        Top,
        why="The top: one slab, or sections glued.",
        thickness=4 * INCH,
        overhang_ends=10 * INCH,
    )
    posts: Posts = section(
        Posts, why="The legs; heavy, as no frame under the top stiffens them.", width=5 * INCH
    )
    lower_long: Stretchers = section(
        Stretchers,
        why="Lower stretchers, front and back; high, as they alone keep the bench from racking.",
        width=177.8,  # 7 in
    )
    lower_end: Stretchers = section(
        Stretchers, why="Lower stretchers at the two ends; high for the same reason.", width=177.8
    )
    upper: bool = flag(default=False, why="Stretchers under the top too; a thick top needs none.")
    upper_long: Stretchers = section(Stretchers, why="Upper stretchers, front and back, if any.")
    post_tenons: PostTenons = section(PostTenons, why="The posts' tenons in the top.")
