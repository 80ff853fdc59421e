"""The frame bench: four posts, eight stretchers, a laminated top bolted on.

A spec goes in, a frozen ``Bench`` of members and joints comes out; no kernel.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from treenail.generators.frame_layout import lay_out
from treenail.generators.frame_spec import FrameBenchSpec
from treenail.generators.knock_down import knock_down_bolts, with_stubs
from treenail.generators.tops import bolt_down
from treenail.generators.underframe import PostBenchBuilder
from treenail.joints.features import Bearing
from treenail.timber.frames import snap

if TYPE_CHECKING:
    from collections.abc import Mapping

    from treenail.generators.bench import Bench
    from treenail.generators.frame_layout import TenonPlan
    from treenail.joints.barrel_bolt import BarrelBolt
    from treenail.joints.base import Joint
    from treenail.joints.mortise_tenon import DrawBore, MortiseTenon
    from treenail.timber.member import Member
    from treenail.timber.species import Species


class _Builder(PostBenchBuilder[FrameBenchSpec]):
    """Posts and stretchers from below; what is the frame bench's own is here."""

    def top(self, rails: Mapping[str, Member]) -> tuple[list[Member], list[Joint]]:
        """The sections, glued, bored, and bolted to the upper long stretchers."""
        spec, lay = self.spec, self.layout
        p = spec.posts
        long = lay.plans["upper_long"]
        carries = abs(long.z + long.width - lay.post_length) < 1e-6
        front_line = snap(lay.front + long.set_in + long.thickness / 2)
        back_line = snap(lay.back - long.set_in - long.thickness / 2)
        bolted = carries and spec.bolts.per_stretcher > 0
        sections, joints = self.sections(self.dog_rows(), (front_line, back_line) if bolted else ())
        if bolted:
            n = spec.bolts.per_stretcher
            start, stop = lay.left + p.width, lay.right - p.width
            joints += bolt_down(
                spec.bolts,
                carriers=(
                    (rails["upper_front"], front_line),
                    (rails["upper_back"], back_line),
                ),
                sections=sections,
                xs=[snap(start + (stop - start) * (i + 0.5) / n) for i in range(n)],
                top_bottom=lay.post_length,
                seasons=self.seasons,
                rings=spec.top.rings,
            )
        return list(sections), joints

    def draw(self, plan: TenonPlan, level: str) -> DrawBore | None:
        """Pegs; none where bolts hold the long stretchers."""
        return None if self.bolted(plan) else super().draw(plan, level)

    def bolted(self, plan: TenonPlan) -> bool:
        """The long stretchers of a knock-down base."""
        return self.spec.long_joints == "bolted" and plan.key.endswith("_long")

    def bolts(self, tenons: list[MortiseTenon]) -> list[BarrelBolt]:
        """The bolts of a knock-down base."""
        if self.spec.long_joints != "bolted":
            return []
        return knock_down_bolts(self.spec, self.layout, tenons, self.units, self.choices)

    def bench(self) -> Bench:
        """All together."""
        posts, rails = self.posts(), self.stretchers()
        sections, fixings = self.top(rails)
        boards, rests = self.shelf(rails)
        tenons = self.tenons(posts, rails)
        return self.finished(
            "frame",
            (*posts.values(), *rails.values(), *sections, *boards),
            (
                *tenons,
                *self.bolts(tenons),
                *self.feet(posts),
                *fixings,
                *self.bearings(posts, sections),
                *rests,
            ),
        )

    @staticmethod
    def bearings(posts: Mapping[str, Member], sections: list[Member]) -> list[Joint]:
        """The top lies on every post that stands under it."""
        found: list[Joint] = []
        for key, leg in posts.items():
            low, high = leg.bounds()
            for section in sections:
                near, far = section.bounds()
                if min(high[1], far[1]) - max(low[1], near[1]) > 1e-6:
                    found.append(Bearing(name=f"{section.name}_on_{key}", below=leg, above=section))
        return found


def build_frame_bench(
    spec: FrameBenchSpec,
    *,
    units: str = "mm",
    added_species: Mapping[str, Species] | None = None,
) -> Bench:
    """Build a frame bench from its spec; the same spec always gives the same bench.

    Raises:
        SpecError: a size can't be met; the field is named.
        GeometryError: members don't meet.
    """
    return _Builder(spec, units, added_species, lay_out(with_stubs(spec), units)).bench()
