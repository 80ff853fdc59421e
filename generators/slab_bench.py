"""The slab bench: a thick top, four posts tenoned up through it, drawbored stretchers below.

A spec goes in, a frozen ``Bench`` of members and joints comes out; no kernel.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING, ClassVar, cast

from treenail.generators.corner_spec import refuse_wide_cutter
from treenail.generators.frame_layout import PAIRS, in_units, lay_out
from treenail.generators.slab_layout import plan_post_tenons
from treenail.generators.slab_spec import SlabBenchSpec
from treenail.generators.tops import CLEAR_OF_GLUE_LINE, section_at
from treenail.generators.underframe import PostBenchBuilder
from treenail.joints.fits import get_fit
from treenail.joints.mortise_tenon import Shoulders
from treenail.joints.tenon_variants.make import slab_tenons, wedged_tenon
from treenail.timber.frames import snap
from treenail.timber.member import Face

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from treenail.generators.bench import Bench
    from treenail.generators.top_place import Place
    from treenail.joints.corners import CornerKind
    from treenail.joints.fits import Model
    from treenail.joints.mortise_tenon import MortiseTenon
    from treenail.timber.member import Member
    from treenail.timber.species import Species


#: Of a well's rail, between its posts' faces and the well, mm (our own choice: 1 in).
BEHIND_MORTISE = 25.4


class _Builder(PostBenchBuilder[SlabBenchSpec]):
    """Posts and stretchers from below; the posts' tenons in the top are the slab bench's own."""

    sides_look_front: ClassVar[bool] = True

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
        steps = math.ceil(thick / CLEAR_OF_GLUE_LINE)
        starts = (lay.front, lay.back - thick)
        return [snap(y + thick * i / steps) for y in starts for i in range(steps + 1)]

    def post_tenons(
        self, posts: Mapping[str, Member], sections: Sequence[Member]
    ) -> list[MortiseTenon]:
        """Every post's tenon or tenons in the section above it."""
        spec, t = self.spec, self.spec.post_tenons
        plan = plan_post_tenons(spec, self.units)
        self.choices |= plan.choices()
        fit = get_fit(spec.fit).built(cast("Model", spec.model))
        # The posts' face sides look out of the bench.
        shoulders = Shoulders(
            face_edge=plan.ends,
            back_edge=plan.ends,
            face_side=plan.outside,
            back_side=plan.inside,
        )
        corners = cast("CornerKind", spec.mortise_corners)
        mortise = [("post_tenons", plan.thickness + fit.cheek.mid)]
        refuse_wide_cutter(corners, spec.cutter, mortise, in_units(self.units))
        found: list[MortiseTenon] = []
        for key, leg in posts.items():
            low, high = leg.bounds()
            section = section_at(sections, (low[1] + high[1]) / 2)
            if t.way == "wedged":
                joint: MortiseTenon = wedged_tenon(
                    section,
                    leg,
                    wedges=t.wedges,
                    flare=t.flare,
                    kerf=t.kerf,
                    species=self.peg_wood,
                    end=Face.FAR_END,
                    name=f"{key}_in_top",
                    fit=fit,
                    shoulders=shoulders,
                    corners=corners,
                    cutter=spec.cutter,
                )
            else:
                joint = slab_tenons(
                    section,
                    leg,
                    dovetail=plan.dovetail,
                    gap=plan.gap,
                    slope=plan.slope,
                    end=Face.FAR_END,
                    name=f"{key}_in_top",
                    fit=fit,
                    shoulders=shoulders,
                    corners=corners,
                    cutter=spec.cutter,
                )
            found.append(joint)
        return found

    def bench(self) -> Bench:
        """All together."""
        posts, rails = self.posts(), self.stretchers()
        sections, fixings = self.sections(self.dog_rows(), self.over_posts())
        boards, rests = self.shelf(rails)
        return self.finished(
            "slab",
            (*posts.values(), *rails.values(), *sections, *boards),
            (
                *self.tenons(posts, rails),
                *self.feet(posts),
                *fixings,
                *self.post_tenons(posts, sections),
                *rests,
            ),
        )


def build_slab_bench(
    spec: SlabBenchSpec,
    *,
    units: str = "mm",
    added_species: Mapping[str, Species] | None = None,
) -> Bench:
    """Build a slab bench from its spec; the same spec always gives the same bench.

    Raises:
        SpecError: a size can't be met; the field is named.
        GeometryError: members don't meet.
    """
    layout = lay_out(spec, units, PAIRS if spec.upper else PAIRS[2:])
    return _Builder(spec, units, added_species, layout).bench()
