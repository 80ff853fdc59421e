"""The slab bench: a thick top, four posts tenoned up through it, drawbored stretchers below.

A spec goes in, a frozen ``Bench`` of members and joints comes out; no kernel.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, ClassVar, cast

from treenail.generators.corner_spec import refuse_wide_cutter
from treenail.generators.frame_layout import PAIRS, lay_out
from treenail.generators.slab_layout import plan_post_tenons
from treenail.generators.slab_spec import SlabBenchSpec
from treenail.generators.tops import no_line_over, section_at
from treenail.generators.underframe import PostBenchBuilder
from treenail.joints.tenon_variants.make import slab_tenons
from treenail.timber.frames import snap
from treenail.timber.member import Face

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from treenail.generators.bench import Bench
    from treenail.generators.frame_layout import Layout
    from treenail.generators.top_place import Place
    from treenail.joints.corners import CornerKind
    from treenail.joints.mortise_tenon import MortiseTenon
    from treenail.timber.member import Member


#: Of a well's rail, between its posts' faces and the well, mm (our own choice: 1 in).
BEHIND_MORTISE = 25.4


class SlabBenchBuilder(PostBenchBuilder[SlabBenchSpec]):
    """Posts and stretchers from below; the posts' tenons in the top are the slab bench's own."""

    family = "slab"
    sides_look_front: ClassVar[bool] = True

    def lay_out(self) -> Layout:
        """With upper stretchers or without."""
        return lay_out(self.spec, self.units, PAIRS if self.spec.upper else PAIRS[2:])

    @property
    def post_length(self) -> float:
        """Right through the top."""
        return self.spec.height

    def top_place(self) -> Place:
        """A well's rail keeps wood between the posts' mortises and its groove."""
        place = super().top_place()
        return replace(place, cover=snap(place.cover + BEHIND_MORTISE))

    def over_posts(self) -> list[float]:
        """Distances from the front, mm, so dense that no glue line comes between: over posts."""
        lay, thick = self.layout, self.spec.posts.thickness
        return no_line_over((lay.front, lay.back - thick), thick)

    def post_tenons(
        self, posts: Mapping[str, Member], sections: Sequence[Member]
    ) -> list[MortiseTenon]:
        """Every post's tenon or tenons in the section above it."""
        spec, plan, fit = self.spec, plan_post_tenons(self.spec, self.units), self.fit
        self.choices |= plan.choices()
        corners = cast("CornerKind", spec.mortise_corners)
        mortise = [("post_tenons", plan.thickness + fit.cheek.mid)]
        refuse_wide_cutter(corners, spec.cutter, mortise, self.say)
        found: list[MortiseTenon] = []
        for key, leg in posts.items():
            low, high = leg.bounds()
            section, name = section_at(sections, (low[1] + high[1]) / 2), f"{key}_in_top"
            if spec.post_tenons.way == "wedged":
                found.append(
                    self.wedged(
                        section,
                        leg,
                        Face.FAR_END,
                        name,
                        plan,
                        corners=corners,
                        cutter=spec.cutter,
                    )
                )
                continue
            found.append(
                slab_tenons(
                    section,
                    leg,
                    dovetail=plan.dovetail,
                    gap=plan.gap,
                    slope=plan.slope,
                    end=Face.FAR_END,
                    name=name,
                    fit=fit,
                    shoulders=plan.shoulders,
                    corners=corners,
                    cutter=spec.cutter,
                )
            )
        return found

    def bench(self) -> Bench:
        """All together."""
        posts, rails = self.posts(), self.stretchers()
        sections, fixings = self.sections(self.dog_rows(), self.over_posts())
        boards, rests = self.shelf(rails)
        return self.finished(
            (*posts.values(), *rails.values(), *sections, *boards),
            (
                *self.tenons(posts, rails),
                *self.feet(posts),
                *fixings,
                *self.post_tenons(posts, sections),
                *rests,
            ),
        )


build_slab_bench = SlabBenchBuilder.build
