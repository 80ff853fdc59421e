"""The apron bench: wide aprons let into the posts, battens in the aprons, a planked top.

A spec goes in, a frozen ``Bench`` of members and joints comes out; no kernel.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from treenail.generators.apron_layout import ApronPlan, columns, plan_aprons, roomy, swelling
from treenail.generators.apron_spec import ApronBenchSpec
from treenail.generators.fittings.fit_out import lines_to_clear
from treenail.generators.frame_layout import INCH
from treenail.generators.parts import BACK, DOWN, FRONT, batten, stretcher
from treenail.generators.planked_top import Carriers, planked_top
from treenail.generators.tops import dog_holes_at, hole_places
from treenail.generators.underframe import PostBenchBuilder
from treenail.joints.features import DogHoles
from treenail.joints.fits import FITS
from treenail.joints.laps import Notch
from treenail.joints.treenails import Treenails
from treenail.timber.frames import Vec, snap
from treenail.timber.member import Face

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from treenail.generators.bench import Bench
    from treenail.generators.fittings.ground import Ground
    from treenail.generators.frame_layout import Layout
    from treenail.generators.top_kinds import BuiltTop
    from treenail.generators.top_place import Place
    from treenail.joints.base import Joint
    from treenail.timber.member import Member

#: Of a well's rail, inside the back posts' faces, for its bolts, mm (our own choice: 2 in).
BESIDE_APRON = 2.0 * INCH


class ApronBenchBuilder(PostBenchBuilder[ApronBenchSpec]):
    """Posts and stretchers from below; aprons, battens and boards are the apron bench's own."""

    family = "apron"
    plan: ApronPlan

    def lay_out(self) -> Layout:
        """Aprons and battens are settled with it."""
        self.plan = plan_aprons(self.spec, self.units, self.wood, self.top_wood)
        return self.plan.layout

    @property
    def inner(self) -> tuple[float, float]:
        """Inner faces of the front and the back apron, mm from the front."""
        lay, deep = self.layout, self.plan.let_in
        return snap(lay.front + deep), snap(lay.back - deep)

    def ground(self, timbers: Mapping[str, Member]) -> Ground:
        """As other posts', but for the front apron that lies before them."""
        found, apron = super().ground(timbers), timbers["apron_front"]
        return replace(
            found,
            legs={k: replace(leg, before=(apron,)) for k, leg in found.legs.items()},
            facing=apron,
            bored=found.bored | {apron.role},
        )

    # -- aprons ------------------------------------------------------------------------------

    def aprons(self) -> dict[str, Member]:
        """The two wide boards, face side outward, face edge up."""
        a, plan, (near, far) = self.spec.aprons, self.plan, self.inner
        starts: dict[str, tuple[Vec, Vec]] = {
            "front": ((plan.left, near - a.thickness, plan.high), BACK),
            "back": ((plan.right, far + a.thickness, plan.high), FRONT),
        }
        return {
            side: stretcher(
                f"apron_{side}",
                start=start,
                into=into,
                length=snap(plan.right - plan.left),
                width=a.width,
                thickness=a.thickness,
                species=self.wood,
                assembly="aprons",
                role="apron",
            )
            for side, (start, into) in starts.items()
        }

    def on_posts(self, posts: Mapping[str, Member], aprons: Mapping[str, Member]) -> list[Joint]:
        """A notch in every post, and treenails through the apron into it."""
        a = self.spec.aprons
        found: list[Joint] = []
        hold = self.spec.posts.thickness - self.plan.let_in - INCH / 2
        for key, leg in posts.items():
            side = key.split("_")[0]
            xs = columns(leg.bounds()[0][0], self.spec.posts.width, a.peg_diameter)
            found += [
                Notch(name=f"{key}_notch", receiver=leg, entering=aprons[side], dry=True),
                Treenails(
                    name=f"{key}_apron",
                    receiver=leg,
                    entering=aprons[side],
                    direction=BACK if side == "front" else FRONT,
                    points=tuple((x, 0.0, z) for z in self.plan.rows for x in xs),
                    diameter=a.peg_diameter,
                    species=self.peg_wood,
                    hold=snap(hold),
                    tip=min(INCH / 2, hold / 3),
                ),
            ]
        return found

    def rest_holes(self, apron: Member) -> list[Joint]:
        """Rows of holes in the front apron, between the posts."""
        rest, lay, post = self.spec.aprons.rest_holes, self.layout, self.spec.posts.width
        xs = hole_places(lay.left + post, lay.right - post, rest.pitch, rest.diameter)
        return [
            DogHoles(
                name=f"rest_holes_{i + 1}",
                member=apron,
                face=Face.FACE_SIDE,
                diameter=rest.diameter,
                points=tuple(
                    (snap(x - self.plan.left), snap(rest.below + i * rest.row_spacing)) for x in xs
                ),
            )
            for i in range(rest.rows if xs else 0)
        ]

    # -- battens -----------------------------------------------------------------------------

    def battens(self) -> list[Member]:
        """The bearers, flat, their upper faces flush with the aprons' edges."""
        b, (near, far) = self.spec.battens, self.inner
        return [
            batten(
                f"batten_{i}",
                middle=x,
                span=(snap(near - b.let_in), far + b.let_in),
                top=self.plan.high,
                width=b.width,
                thickness=b.thickness,
                species=self.wood,
            )
            for i, x in enumerate(self.plan.battens, start=1)
        ]

    def on_aprons(self, battens: Sequence[Member], aprons: Mapping[str, Member]) -> list[Joint]:
        """A notch in the apron for each batten's end, and a peg down through it."""
        b = self.spec.battens
        found: list[Joint] = []
        fit = roomy(FITS["easy"], swelling(b.width, self.wood, "flat", self.spec))
        spots = (self.inner[0] - b.let_in / 2, self.inner[1] + b.let_in / 2)
        for piece, x in zip(battens, self.plan.battens, strict=True):
            for (side, apron), y in zip(aprons.items(), spots, strict=True):
                found += [
                    Notch(
                        name=f"{piece.name}_{side}",
                        receiver=apron,
                        entering=piece,
                        fit=fit,
                        dry=True,
                    ),
                    Treenails(
                        name=f"{piece.name}_{side}_peg",
                        receiver=apron,
                        entering=piece,
                        direction=DOWN,
                        points=((x, snap(y), 0.0),),
                        diameter=b.peg_diameter,
                        species=self.peg_wood,
                        hold=snap(3 * b.peg_diameter),
                        tip=b.peg_diameter,
                    ),
                ]
        return found

    # -- the top -----------------------------------------------------------------------------

    def top_place(self) -> Place:
        """A well's rail is wide enough for bolts behind the back apron."""
        place = super().top_place()
        return replace(place, cover=snap(place.cover + BESIDE_APRON))

    def planks(
        self,
        rails: Mapping[str, Member],
        aprons: Mapping[str, Member],
        battens: Sequence[Member],
    ) -> BuiltTop:
        """The boards on the battens, and what lies between two parts of them."""
        spec, rows = self.spec, self.dog_rows()
        made = planked_top(
            spec.top,
            self.top_place(),
            Carriers(
                battens=tuple(battens),
                aprons=aprons,
                rails=(rails["upper_left"], rails["upper_right"]),
                inner=self.inner,
                peg=spec.battens.peg_diameter,
            ),
            spec.bolts,
            gap=self.plan.gap,
            rows=rows,
            keep_clear=lines_to_clear(spec, self.layout, rows),
        )
        self.top_others = made.others
        self.choices["top.boards"] = len(made.sections)
        diameter = spec.top.dog_holes.diameter
        holes = dog_holes_at(made.sections, rows=rows, xs=self.plan.holes, diameter=diameter)
        return replace(made, joints=(*made.joints, *holes))

    def bench(self) -> Bench:
        """All together."""
        posts, rails, aprons = self.posts(), self.stretchers(), self.aprons()
        battens = self.battens()
        top = self.planks(rails, aprons, battens)
        shelf, rests = self.shelf(rails)
        base = (*posts.values(), *rails.values(), *aprons.values(), *battens)
        return self.finished(
            (*base, *top.sections, *shelf),
            (
                *self.tenons(posts, rails),
                *self.feet(posts),
                *self.on_posts(posts, aprons),
                *self.on_aprons(battens, aprons),
                *self.rest_holes(aprons["front"]),
                *top.joints,
                *rests,
            ),
        )


build_apron_bench = ApronBenchBuilder.build
