"""What fittings ask of a bench's base: all that a family answers to have them.

Where steel and blocks find room they work out from the members and cuts that stand there.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping

    from treenail.generators.frame_layout import Layout, TenonPlan
    from treenail.generators.post_spec import PostSection
    from treenail.timber.member import Member

__all__ = ["Foot", "Ground", "Leg", "ground_of_posts"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Leg:
    """A post at the bench's front that a leg vise stands before.

    Attributes:
        post: reaches to the floor; its back is free for the nut.
        before: what lies in front of it or in it, and is bored with it; from the front.
    """

    post: Member
    before: tuple[Member, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Foot:
    """A place under the bench for a levelling foot.

    Attributes:
        name: of the place.
        member: stands on it with the face or end that looks down.
        at: the place in the bench, mm; None: the middle of a post's end.
    """

    name: str
    member: Member
    at: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """A bench's base as its fittings see it; mm from the top's left end and front edge.

    Attributes:
        ends: outer faces of what stands under the top at its left and right.
        bay: inner faces of the same: between them the top's edges are free below.
        front: of the legs.
        feet: where it stands on the floor.
        legs: by side, ``left`` and ``right``; none where no post stands at the front.
        facing: a board under the top's front edge that a face vise has for its rear jaw.
        bored: roles of members that a vise's steel may run through.
        plans: its stretchers, by key.
    """

    ends: tuple[float, float]
    bay: tuple[float, float]
    front: float
    feet: tuple[Foot, ...]
    legs: Mapping[str, Leg] = field(default_factory=dict)
    facing: Member | None = None
    bored: frozenset[str] = frozenset({"stretcher"})
    plans: Mapping[str, TenonPlan] = field(default_factory=dict)


def ground_of_posts(layout: Layout, posts: PostSection, timbers: Mapping[str, Member]) -> Ground:
    """The ground of a bench on four posts."""
    left, right = layout.left, layout.right
    return Ground(
        ends=(left, right),
        bay=(left + posts.width, right - posts.width),
        front=layout.front,
        feet=tuple(
            Foot(name=m.name.removeprefix("post_"), member=m)
            for m in timbers.values()
            if m.role == "post"
        ),
        legs={side: Leg(post=timbers[f"post_front_{side}"]) for side in ("left", "right")},
        plans=layout.plans,
    )
