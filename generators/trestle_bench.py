"""The trestle bench: two trestles of foot, post and arm, stretchers through them, a top bolted on.

It comes apart: bolts out, top off, wedges out, trestles off the stretchers. A spec goes in, a
frozen ``Bench`` of members and joints comes out; no kernel.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, cast

from treenail.generators.corner_spec import refuse_wide_cutter
from treenail.generators.fittings.ground import Foot, Ground
from treenail.generators.frame_layout import INCH, Layout
from treenail.generators.parts import BACK, FRONT, LEFT, RIGHT, post, stretcher
from treenail.generators.pegging import draw_bore, pegs_for
from treenail.generators.top_bolts import bolt_slabs
from treenail.generators.tops import CLEAR_OF_GLUE_LINE
from treenail.generators.trestle_layout import (
    PLAY,
    RELIEF,
    TrestleLayout,
    bolt_lines,
    lay_out_trestles,
)
from treenail.generators.trestle_spec import TrestleBenchSpec
from treenail.generators.underframe import PostBenchBuilder
from treenail.joints.features import Hollow
from treenail.joints.mortise_tenon import DrawBore, MortiseTenon, Shoulders
from treenail.joints.tenon_variants.make import wedged_tenon
from treenail.joints.tenon_variants.tusk import TuskTenon
from treenail.timber.frames import snap
from treenail.timber.member import Face

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from treenail.generators.bench import Bench
    from treenail.joints.base import Joint
    from treenail.joints.corners import CornerKind
    from treenail.joints.fits import Model
    from treenail.joints.lag_bolt import LagBolt
    from treenail.timber.member import Member

ENDS = ("left", "right")


class TrestleBenchBuilder(PostBenchBuilder[Any]):
    """Holds what the steps share; the top is the post benches', all else is the trestles' own."""

    spec: TrestleBenchSpec

    family = "trestle"
    plan: TrestleLayout

    def lay_out(self) -> Layout:
        """As if on posts between which dog holes stand: there what is under the top would end."""
        spec, p = self.spec, self.spec.posts
        plan = self.plan = lay_out_trestles(spec, self.units)
        inner = plan.xs[0] + (p.width + max(spec.arms.width, spec.feet.width)) / 2
        self.sides = ("middle",) if p.per_trestle == 1 else ("front", "back")
        return Layout(
            post_length=plan.arm_top,
            left=snap(inner - p.width),
            right=snap(spec.length - inner + p.width),
            front=plan.ys[0],
            back=snap(plan.ys[-1] + p.thickness),
            plans={},
            choices=plan.choices(spec),
        )

    def top_lines(self) -> tuple[float, float]:
        """The outermost bolts."""
        lines = bolt_lines(self.spec, self.plan)
        return (lines[0], lines[-1]) if lines else super().top_lines()

    def dogs_from(self) -> float:
        """Nothing is below the top between the trestles; they keep off its edge."""
        return 3 * INCH

    def ground(self, timbers: Mapping[str, Member]) -> Ground:
        """Between the arms the top's edges are free; each foot stands on its two ends."""
        plan, spec = self.plan, self.spec
        # In the middle of what bears, but well off the posts' tenons.
        out = min(spec.feet.pad, plan.ys[0] - plan.foot[0] + plan.edge) / 2
        over = spec.top.overhang_ends
        p = spec.posts.width
        return Ground(
            ends=(over, snap(spec.length - over)),
            bay=(self.layout.left + p, self.layout.right - p),
            front=plan.ys[0],
            bored=frozenset({"arm"}),
            feet=tuple(
                Foot(
                    name=f"{side}_{end}",
                    member=timbers[f"foot_{end}"],
                    at=(snap(x + p / 2), snap(y)),
                )
                for end, x in zip(ENDS, plan.xs, strict=True)
                for side, y in (("front", plan.foot[0] + out), ("back", plan.foot[1] - out))
            ),
        )

    # -- members -----------------------------------------------------------------------------

    def level(self, part: str, end: str) -> Member:
        """A foot or an arm, its face side out of the bench."""
        plan, p = self.plan, self.spec.posts
        about = self.spec.feet if part == "foot" else self.spec.arms
        low, high = plan.foot if part == "foot" else plan.arm
        out = (about.width - p.width) / 2
        left = end == "left"
        x = plan.xs[0] - out if left else plan.xs[1] + p.width + out
        z = plan.stands + about.height if part == "foot" else plan.arm_top
        return stretcher(
            f"{part}_{end}",
            start=(x, high if left else low, z),
            into=RIGHT if left else LEFT,
            length=snap(high - low),
            width=about.height,
            thickness=about.width,
            species=self.wood,
            plies=about.plies,
            assembly=f"trestle_{end}",
            role=part,
        )

    def trestle_posts(self) -> dict[tuple[str, str], Member]:
        """The posts by (end, side), tenons in foot and arm included, their face sides out."""
        plan, p, feet = self.plan, self.spec.posts, self.spec.feet
        low = plan.stands + feet.height - plan.into_foot
        high = plan.arm_top - self.spec.arms.height + plan.into_arm
        return {
            (end, side): post(
                f"post_{end}_{side}",
                corner=(
                    plan.xs[0] if end == "left" else plan.xs[1] + p.width,
                    y + p.thickness if end == "left" else y,
                    low,
                ),
                to_right=end == "left",
                to_back=end == "right",
                width=p.width,
                thickness=p.thickness,
                length=snap(high - low),
                species=self.wood,
                plies=p.plies,
                assembly=f"trestle_{end}",
            )
            for end in ENDS
            for side, y in zip(self.sides, plan.ys, strict=True)
        }

    def rails(self) -> dict[str, Member]:
        """The long stretchers by side, each through the middles of its two posts."""
        plan, p, s = self.plan, self.spec.posts, self.spec.stretchers
        low, high = plan.xs[0] - plan.proud, plan.xs[1] + p.width + plan.proud
        found = {}
        for side, y in zip(self.sides, plan.ys, strict=True):
            near = y + (p.thickness - s.thickness) / 2
            back = side == "back"
            found[side] = stretcher(
                f"stretcher_{side}",
                start=(high, near + s.thickness, plan.rail_z + s.width)
                if back
                else (low, near, plan.rail_z + s.width),
                into=FRONT if back else BACK,
                length=snap(high - low),
                width=s.width,
                thickness=s.thickness,
                species=self.wood,
                plies=s.plies,
                assembly="stretchers",
            )
        return found

    # -- joints ------------------------------------------------------------------------------

    def pegs(self) -> DrawBore | None:
        """The pegs of a post's tenon, driven from the face that looks out of the bench."""
        pegs = self.spec.pegs
        wide = self.spec.posts.thickness - 2 * self.plan.edge
        count = pegs_for(wide) if pegs.per_joint is None else pegs.per_joint
        if count == 0:
            return None
        drawn = draw_bore(pegs, self.peg_wood, count=count, metric=self.units == "mm")
        self.choices["pegs.setback"] = drawn.setback
        return drawn

    def seat(self, part: Member, leg: Member, end: Face) -> MortiseTenon:
        """A post's tenon in a foot or an arm."""
        plan, spec = self.plan, self.spec
        side = snap((spec.posts.width - plan.tenon) / 2)
        shoulders = Shoulders(
            face_edge=plan.edge, back_edge=plan.edge, face_side=side, back_side=side
        )
        name = f"{leg.name.removeprefix('post_')}_in_{part.role}"
        if end is Face.FAR_END and spec.arms.way == "wedged":
            return wedged_tenon(
                part,
                leg,
                species=self.peg_wood,
                end=end,
                name=name,
                fit=self.fit,
                shoulders=shoulders,
            )
        return MortiseTenon(
            name=name,
            receiver=part,
            entering=leg,
            end=end,
            shoulders=shoulders,
            fit=self.fit,
            draw=self.pegs(),
            corners=cast("CornerKind", spec.mortise_corners),
            cutter=spec.cutter,
        )

    def tusk(self, leg: Member, rail: Member, end: Face) -> TuskTenon:
        """A stretcher's end through a post, with its wedge."""
        plan, s = self.plan, self.spec.stretchers
        cheek = snap((s.thickness - plan.rail_tenon) / 2)
        return TuskTenon(
            name=f"{rail.name.removeprefix('stretcher_')}_at_{leg.name.split('_')[1]}",
            receiver=leg,
            entering=rail,
            end=end,
            shoulders=Shoulders(
                face_edge=s.shoulder, back_edge=s.shoulder, face_side=cheek, back_side=cheek
            ),
            fit=self.say.fit(s.fit).built(cast("Model", self.spec.model)),
            wedge_face=Face.FACE_EDGE if s.drive == "upright" else Face.FACE_SIDE,
            wedge_width=s.wedge_width,
            wedge_thickness=plan.wedge,
            slope=plan.slope,
            relief=RELIEF,
            play=PLAY,
            head=s.stand_out,
            tail=s.stand_out,
            wedge_species=self.peg_wood,
        )

    def bolts_up(
        self, arms: Sequence[Member], sections: Sequence[Member], lines: Sequence[float]
    ) -> tuple[LagBolt, ...]:
        """Bolts up through the arms; each slab is held at its first line and moves from there.

        None goes into a tool well, or near its edge.
        """
        spans = [(m.bounds()[0][1], m.bounds()[1][1]) for m in sections]
        keep = CLEAR_OF_GLUE_LINE
        lines = [y for y in lines if any(a + keep <= y <= b - keep for a, b in spans)]
        spots = []
        for arm in arms:
            low, high = arm.bounds()
            x = snap((low[0] + high[0]) / 2)
            spots += [
                (f"{arm.name}_{i}", arm, (x, y, self.plan.arm_top))
                for i, y in enumerate(lines, start=1)
            ]
        return bolt_slabs(self.spec.bolts, spots, sections, self.seasons, self.spec.top.rings)

    def hollows(self, feet: Sequence[Member]) -> list[Joint]:
        """The hollows under the feet."""
        about = self.spec.feet
        return [
            Hollow(
                name=f"hollow_{foot.name}",
                member=foot,
                face=Face.BACK_EDGE,
                start=about.pad,
                stop=snap(foot.length - about.pad),
                depth=about.hollow,
            )
            for foot in feet
            if about.hollow > 0.0 and foot.length > 2 * about.pad
        ]

    def bench(self) -> Bench:
        """All together."""
        spec, plan = self.spec, self.plan
        refuse_wide_cutter(
            cast("CornerKind", spec.mortise_corners),
            spec.cutter,
            [("posts", plan.tenon + self.fit.cheek.mid)],
            self.say,
        )
        posts, rails = self.trestle_posts(), self.rails()
        feet = {end: self.level("foot", end) for end in ENDS}
        arms = {end: self.level("arm", end) for end in ENDS}
        lines = bolt_lines(self.spec, self.plan)
        sections, fixings = self.sections(self.dog_rows(), lines)
        seats = [
            self.seat(part[end], leg, at)
            for (end, _), leg in posts.items()
            for part, at in ((feet, Face.NEAR_END), (arms, Face.FAR_END))
        ]
        tusks = [
            self.tusk(posts[end, side], rail, Face.NEAR_END if near else Face.FAR_END)
            for side, rail in rails.items()
            for end in ENDS
            for near in ((end == "left") is (side != "back"),)
        ]
        return self.finished(
            (*feet.values(), *posts.values(), *arms.values(), *rails.values(), *sections),
            (
                *seats,
                *tusks,
                *self.hollows([*feet.values()]),
                *fixings,
                *self.bolts_up([*arms.values()], sections, lines),
            ),
        )


build_trestle_bench = TrestleBenchBuilder.build
