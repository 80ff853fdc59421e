"""The frame bench: four posts, eight stretchers, a laminated top bolted on.

A spec goes in, a frozen ``Bench`` of members and joints comes out; no kernel.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING

from treenail.generators.bearers import FROM_EDGE, bearer_bolts, bearers, clear_of
from treenail.generators.frame_layout import INCH, lay_out
from treenail.generators.frame_spec import FrameBenchSpec
from treenail.generators.knock_down import knock_down_bolts, refuse_lags, with_stubs
from treenail.generators.panel_sides import panel_face, panel_sides
from treenail.generators.top_bolts import LEAST_BESIDE, bolt_down
from treenail.generators.top_place import slab_spans
from treenail.generators.tops import hole_spans
from treenail.generators.underframe import PostBenchBuilder
from treenail.joints.features import Bearing
from treenail.joints.lag_bolt import LagBolt
from treenail.timber.errors import SpecError
from treenail.timber.fasteners import lag_size
from treenail.timber.frames import snap

if TYPE_CHECKING:
    from collections.abc import Mapping

    from treenail.generators.bench import Bench
    from treenail.generators.frame_layout import Layout, TenonPlan
    from treenail.joints.barrel_bolt import BarrelBolt
    from treenail.joints.base import Joint
    from treenail.joints.mortise_tenon import DrawBore, MortiseTenon
    from treenail.timber.member import Member


_UPPER = ("stretcher_upper_front", "stretcher_upper_back")


class FrameBenchBuilder(PostBenchBuilder[FrameBenchSpec]):
    """Posts and stretchers from below; what is the frame bench's own is here."""

    family = "frame"

    def lay_out(self, thick: float | None = None) -> Layout:
        """A knock-down base has stub tenons; ``thick``: the upper long stretchers if auto, mm."""
        asked = with_stubs(self.spec)
        if thick is not None:
            asked = replace(asked, upper_long=replace(asked.upper_long, thickness=thick))
        return lay_out(asked, self.units)

    def top_lines(self) -> tuple[float, float]:
        """Over the upper long stretchers' middles, where the bolts come up."""
        lay, long = self.layout, self.layout.plans["upper_long"]
        half = long.set_in + long.thickness / 2
        return snap(lay.front + half), snap(lay.back - half)

    def top(self, rails: Mapping[str, Member]) -> tuple[list[Member], list[Joint], list[Member]]:
        """The sections, glued, bored, and bolted to what carries them; then the bearers."""
        spec, lay = self.spec, self.layout
        p = spec.posts
        long = lay.plans["upper_long"]
        carries = abs(long.z + long.width - lay.post_length) < 1e-6
        lines = self.top_lines()
        bolted = carries and spec.bolts.per_stretcher > 0
        keep_clear = [*lines] if bolted else []
        apart = spec.top.kind != "solid"
        if apart and not bolted:
            raise SpecError(
                f"a {spec.top.kind} top is held by bolts through the upper long stretchers, "
                + ("of which there are none" if carries else "which don't reach it"),
                field="bolts.per_stretcher" if carries else "upper_long.height",
                allowed="1 or more" if carries else "auto",
            )
        if apart:
            (_, front), (back, _) = slab_spans(spec.top, self.top_place())
            keep_clear += [front - FROM_EDGE, back + FROM_EDGE]
        sections, joints = self.sections(self.dog_rows(), keep_clear)
        made: tuple[Member, ...] = ()
        if bolted:
            n = spec.bolts.per_stretcher
            start, stop = lay.left + p.width, lay.right - p.width
            xs = [snap(start + (stop - start) * (i + 0.5) / n) for i in range(n)]
            if apart:
                made, housed = bearers(
                    rails["upper_front"],
                    rails["upper_back"],
                    clear=(start, stop),
                    top_bottom=lay.post_length,
                    species=self.wood,
                    holes=hole_spans(joints),
                )
                joints += housed
                wide = lag_size(spec.bolts.diameter, field="bolts.diameter").washer_od
                xs = clear_of(xs, made, wide / 2)
            joints += bolt_down(
                spec.bolts,
                carriers=(
                    (rails["upper_front"], lines[0]),
                    (rails["upper_back"], lines[1]),
                ),
                sections=sections,
                xs=xs,
                top_bottom=lay.post_length,
                seasons=self.seasons,
                rings=spec.top.rings,
            )
            joints += bearer_bolts(
                spec.bolts,
                made,
                sections,
                lines=lines,
                top_bottom=lay.post_length,
                seasons=self.seasons,
                rings=spec.top.rings,
            )
        return list(sections), joints, list(made)

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

    def shelf_ends(self, rails: Mapping[str, Member]) -> float | None:
        """Before the panel at the back."""
        return panel_face(self.spec, self.layout, rails, self.say)

    def bench(self) -> Bench:
        """All together; with thicker stretchers if the bolts' slots ask for them."""
        made = self._bench()
        if self.spec.upper_long.thickness is None:
            # Thicker ones may lie farther apart: again, each time by a step or more.
            while (thick := self._room_for_slots(made)) is not None:
                self.layout = self.lay_out(thick)
                self.choices.update(self.layout.choices)
                made = self._bench()
        return made

    def _room_for_slots(self, made: Bench) -> float | None:
        """How thick the upper long stretchers must be for the top's bolts to slide in them, mm.

        None if they do as they are: the slots are as long as the seasons ask for, and leave
        ``LEAST_BESIDE`` on both sides; or if the posts' faces take no more.
        """
        need = max(
            (
                joint.counterbore_diameter + joint.slot + 2 * LEAST_BESIDE
                for joint in made.joints
                if isinstance(joint, LagBolt) and joint.carrier.name in _UPPER
            ),
            default=0.0,
        )
        now = self.layout.plans["upper_long"].thickness
        step = INCH / 8 if self.units == "in" else 1.0
        most = self.spec.posts.thickness - (self.spec.upper_long.set_in or 0.0)
        thick = snap(min(math.ceil(need / step - 1e-9) * step, most))
        return thick if min(need, thick) > now + 1e-6 else None

    def _bench(self) -> Bench:
        posts, rails = self.posts(), self.stretchers()
        sections, fixings, across = self.top(rails)
        boards, rests = self.shelf(rails)
        tenons = self.tenons(posts, rails)
        bolts = self.bolts(tenons)
        refuse_lags(bolts, fixings, self.units)
        panels, grooves = panel_sides(self.spec, self.layout, self.wood, posts, rails, self.units)
        return self.finished(
            (*posts.values(), *rails.values(), *panels, *across, *sections, *boards),
            (
                *tenons,
                *bolts,
                *grooves,
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


build_frame_bench = FrameBenchBuilder.build
