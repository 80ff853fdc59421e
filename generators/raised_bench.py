"""The raised bench: a small one that stands on another, so that fine work comes nearer the eye.

Four short posts are tenoned through the top and through two long feet, and wedged in both. A
spec goes in, a frozen ``Bench`` of members and joints comes out; no kernel.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from treenail.generators.builder import Builder
from treenail.generators.parts import four_posts, slab
from treenail.generators.raised_layout import lay_out_raised, pins_apart
from treenail.generators.tops import no_line_over, section_at
from treenail.joints.held_down import HeldDown
from treenail.timber.frames import snap
from treenail.timber.member import Face

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from treenail.generators.bench import Bench
    from treenail.generators.raised_spec import RaisedBenchSpec
    from treenail.joints.base import Joint
    from treenail.joints.tenon_variants.wedged import WedgedTenon
    from treenail.timber.member import Member
    from treenail.timber.species import Species


class RaisedBenchBuilder(Builder["RaisedBenchSpec"]):
    """Short posts, long feet, and what holds it on the bench below."""

    family = "raised"

    def __init__(
        self, spec: RaisedBenchSpec, units: str, added: Mapping[str, Species] | None
    ) -> None:
        super().__init__(spec, units, added)
        self.lay = lay_out_raised(spec, units)
        self.choices |= self.lay.choices()

    # -- members -----------------------------------------------------------------------------

    def posts(self) -> dict[str, Member]:
        """The posts, from under the feet up through the top."""
        p, inset = self.spec.posts, snap((self.lay.foot_width - self.spec.posts.thickness) / 2)
        return four_posts(
            (self.lay.left, self.lay.right),
            (self.lay.front + inset, self.lay.back - inset),
            look_front=True,  # tenons are wide along the bench
            width=p.width,
            thickness=p.thickness,
            length=self.lay.height,
            species=self.wood,
            plies=p.plies,
            assembly="posts",
        )

    def feet(self) -> dict[str, Member]:
        """The long feet, as long as the top."""
        spec = self.spec
        starts = {"front": self.lay.front, "back": self.lay.back - self.lay.foot_width}
        return {
            side: slab(
                f"foot_{side}",
                role="foot",
                corner=(spec.length, snap(y), spec.feet.thickness),
                length=spec.length,
                width=self.lay.foot_width,
                thickness=spec.feet.thickness,
                species=self.wood,
                plies=1,
                rings="flat",
                assembly="feet",
            )
            for side, y in starts.items()
        }

    def top(self) -> tuple[tuple[Member, ...], list[Joint]]:
        """The sections, glued off the holes and the posts, end boards; and the dog holes."""
        spec, wide = self.spec, self.lay.foot_width
        half = wide / 2
        place = self.place(
            (spec.length, spec.depth, self.lay.height),
            (snap(self.lay.front + half), snap(self.lay.back - half)),
        )
        over = no_line_over((self.lay.front, self.lay.back - wide), wide)
        bored = (self.lay.left + spec.posts.width, self.lay.right - spec.posts.width)
        return self.slabs(spec.top, place, self.lay.rows, over, bored)

    # -- joints ------------------------------------------------------------------------------

    def tenons(
        self, posts: Mapping[str, Member], feet: Mapping[str, Member], sections: Sequence[Member]
    ) -> list[WedgedTenon]:
        """Each post's two tenons: through its foot, and through the section above it."""
        found = []
        for key, leg in posts.items():
            low, high = leg.bounds()
            above = section_at(sections, (low[1] + high[1]) / 2)
            foot = feet[key.split("_")[0]]
            for where, across, end in (("foot", foot, Face.NEAR_END), ("top", above, Face.FAR_END)):
                found.append(self.wedged(across, leg, end, f"{key}_in_{where}", self.lay.tenon))
        return found

    def held(self, feet: Mapping[str, Member]) -> list[Joint]:
        """Pins under one foot, a whole number of pitches apart; or clamps on both."""
        hold, spec = self.spec.hold, self.spec
        if hold.by == "clamps":
            return [HeldDown(name=f"clamps_{side}", member=foot) for side, foot in feet.items()]
        apart, deep = pins_apart(spec, self.lay, self.say)
        foot, pin = feet[hold.foot], hold.hole
        low, high = foot.bounds()
        line = snap((low[1] + high[1]) / 2)
        self.choices |= {"hold.apart": snap(apart), "hold.from_front": line}
        return [
            HeldDown(
                name=f"pins_{hold.foot}",
                member=foot,
                places=tuple((snap(spec.length / 2 + x), line) for x in (-apart / 2, apart / 2)),
                diameter=pin,
                tip=snap(pin - hold.play),
                depth=deep,
                proud=hold.length,
                species=self.peg_wood,
            )
        ]

    def bench(self) -> Bench:
        """All together."""
        posts, feet = self.posts(), self.feet()
        sections, fixings = self.top()
        return self.made(
            (*posts.values(), *feet.values(), *sections, *self.top_others),
            (*self.tenons(posts, feet, sections), *fixings, *self.held(feet)),
            (self.spec.length, self.spec.depth, self.lay.height),
        )


build_raised_bench = RaisedBenchBuilder.build
