"""The apron bench: wide aprons let into the posts, battens in the aprons, a planked top.

A spec goes in, a frozen ``Bench`` of members and joints comes out; no kernel.
"""

from __future__ import annotations

import itertools
from dataclasses import replace
from typing import TYPE_CHECKING

from treenail.generators.apron_layout import (
    ApronPlan,
    deep,
    plan_aprons,
    roomy,
    swelling,
)
from treenail.generators.apron_spec import ApronBenchSpec
from treenail.generators.frame_layout import INCH
from treenail.generators.parts import BACK, DOWN, FRONT, slab, stretcher
from treenail.generators.planked_top import between, board_edges, boards
from treenail.generators.tops import dog_holes_at, hole_places, lag_up, slot_travel
from treenail.generators.underframe import PostBenchBuilder
from treenail.joints.edges import TongueGroove
from treenail.joints.features import Bearing, DogHoles
from treenail.joints.fits import FITS
from treenail.joints.laps import Notch
from treenail.joints.treenails import Treenails
from treenail.timber.frames import Vec, snap
from treenail.timber.member import Face

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from treenail.generators.bench import Bench
    from treenail.generators.frame_layout import Layout
    from treenail.generators.top_place import Place
    from treenail.joints.base import Joint
    from treenail.timber.member import Member

#: From a board's edge, or the apron's inner face, to the nearest bolt, mm (our own choice).
BOLT_ROOM = 1.25 * INCH
#: Of a well's rail, inside the back posts' faces, for its bolts, mm (our own choice: 2 in).
BESIDE_APRON = 2.0 * INCH


def _spread(start: float, stop: float, count: int) -> list[float]:
    """Where a board's bolts stand: a single one in the middle, else near the edges; mm."""
    aside = min(BOLT_ROOM, (stop - start) / 4)
    if count == 1:
        return [snap((start + stop) / 2)]
    step = (stop - start - 2 * aside) / (count - 1)
    return [snap(start + aside + i * step) for i in range(count)]


def _columns(start: float, width: float, diameter: float) -> tuple[float, ...]:
    """Two columns of treenails in a post, or one where it is too slim for two; mm."""
    aside = max(width / 4, 1.5 * diameter)
    if width - 2 * aside < 1.5 * diameter:
        return (snap(start + width / 2),)
    return snap(start + aside), snap(start + width - aside)


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
            xs = _columns(leg.bounds()[0][0], self.spec.posts.width, a.peg_diameter)
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
            slab(
                f"batten_{i}",
                role="batten",
                corner=(snap(x - b.width / 2), snap(near - b.let_in), self.plan.high),
                length=snap(far - near + 2 * b.let_in),
                width=b.width,
                thickness=b.thickness,
                species=self.wood,
                plies=1,
                rings="flat",
                assembly="battens",
                along=BACK,
            )
            for i, x in enumerate(self.plan.battens, start=1)
        ]

    def on_aprons(self, battens: Sequence[Member], aprons: Mapping[str, Member]) -> list[Joint]:
        """A notch in the apron for each batten's end, and a peg down through it."""
        b = self.spec.battens
        found: list[Joint] = []
        fit = roomy(FITS["easy"], swelling(b.width, self.wood, "flat", self.spec))
        spots = (self.inner[0] - b.let_in / 2, self.inner[1] + b.let_in / 2)
        for batten, x in zip(battens, self.plan.battens, strict=True):
            for (side, apron), y in zip(aprons.items(), spots, strict=True):
                found += [
                    Notch(
                        name=f"{batten.name}_{side}",
                        receiver=apron,
                        entering=batten,
                        fit=fit,
                        dry=True,
                    ),
                    Treenails(
                        name=f"{batten.name}_{side}_peg",
                        receiver=apron,
                        entering=batten,
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

    def bolt_lines(self, board: Member, *, tongued: bool) -> list[float]:
        """Where a board's bolts stand, from the front, mm; the first holds it fast."""
        low, high = board.bounds()
        start = low[1] + (self.spec.top.tongue + self.plan.gap if tongued else 0.0)
        near, far = self.inner
        return _spread(max(start, near), min(high[1], far), self.spec.bolts.per_board)

    def on_battens(
        self,
        parts: Sequence[Sequence[Member]],
        battens: Sequence[Member],
        across: Sequence[Member],
    ) -> tuple[list[Member], list[Joint]]:
        """Lag bolts up through the battens: in each board one is fast, the others in slots.

        And what lies on the battens between two parts of the top.
        """
        bolts, t = self.spec.bolts, self.spec.top
        tongued = t.edges == "tongued"
        lines = {
            board: self.bolt_lines(board, tongued=tongued and i > 0)
            for part in parts
            for i, board in enumerate(part)
        }
        found: list[Joint] = []
        for number, (board, ys) in enumerate(lines.items(), start=1):
            for batten, x in zip(battens, self.plan.battens, strict=True):
                for i, y in enumerate(ys):
                    slot = slot_travel(y - ys[0], board.species, t.rings, self.seasons) if i else 0
                    found.append(
                        lag_up(
                            bolts,
                            name=f"{batten.name}_{number}_{i + 1}",
                            carrier=batten,
                            section=board,
                            point=(x, y, self.plan.high),
                            slot=slot,
                        )
                    )
        held = (lines[parts[0][-1]][0], lines[parts[-1][0]][0])
        peg = self.spec.battens.peg_diameter
        others, more = between(
            t, self.top_place(), parts, held, battens, across, peg, self.peg_wood
        )
        return others, [*found, *more]

    def joined(
        self, parts: Sequence[Sequence[Member]], aprons: Mapping[str, Member]
    ) -> list[Joint]:
        """Tongues in their grooves, if any; and the boards that lie on the aprons."""
        boards = [board for part in parts for board in part]
        found: list[Joint] = []
        if self.spec.top.edges == "tongued":
            gap = self.plan.gap
            fit = deep(FITS["easy"], gap)
            pairs = [pair for part in parts for pair in itertools.pairwise(part)]
            found += [
                TongueGroove(name=f"tongue_{i}", receiver=a, entering=b, open_by=gap, fit=fit)
                for i, (a, b) in enumerate(pairs, start=1)
            ]
        for side, apron in aprons.items():
            near, far = (p[1] for p in apron.bounds())
            found += [
                Bearing(name=f"{board.name}_on_{side}", below=apron, above=board)
                for board in boards
                if min(far, board.bounds()[1][1]) - max(near, board.bounds()[0][1]) > 1.0
            ]
        return found

    def bench(self) -> Bench:
        """All together."""
        posts, rails, aprons = self.posts(), self.stretchers(), self.aprons()
        battens, rows, gap = self.battens(), self.dog_rows(), self.plan.gap
        top, place = self.spec.top, self.top_place()
        parts = boards(top, place, board_edges(top, place, rows, gap), gap)
        planks = [board for part in parts for board in part]
        self.choices["top.boards"] = len(planks)
        others, fixings = self.on_battens(
            parts, battens, [rails["upper_left"], rails["upper_right"]]
        )
        shelf, rests = self.shelf(rails)
        dogs = self.spec.top.dog_holes.diameter
        return self.finished(
            (
                *posts.values(),
                *rails.values(),
                *aprons.values(),
                *battens,
                *planks,
                *others,
                *shelf,
            ),
            (
                *self.tenons(posts, rails),
                *self.feet(posts),
                *self.on_posts(posts, aprons),
                *self.on_aprons(battens, aprons),
                *self.rest_holes(aprons["front"]),
                *self.joined(parts, aprons),
                *fixings,
                *dog_holes_at(planks, rows=rows, xs=self.plan.holes, diameter=dogs),
                *rests,
            ),
        )


build_apron_bench = ApronBenchBuilder.build
