"""The saw bench: a low plank, four legs splayed in two directions and wedged through it, end rails.

The rails are let into the legs' outer faces. A rail tenoned between the legs could not be put in:
legs that are home in the plank stand fast, and they come nearer to each other on their way home.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from treenail.generators.builder import Builder
from treenail.generators.frame_layout import INCH
from treenail.generators.parts import batten, slab
from treenail.generators.saw_layout import lay_out_saw_bench
from treenail.generators.splayed import leaning_leg, rail_across
from treenail.generators.top_bolts import bolt_boards
from treenail.joints.features import EdgeGlue
from treenail.joints.mortise_tenon import Shoulders
from treenail.joints.skew import BevelledEnd, SkewLetIn
from treenail.joints.tenon_variants.make import angled_tenon
from treenail.timber.errors import SpecError
from treenail.timber.frames import Vec, dot, snap
from treenail.timber.member import Face, Member

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from treenail.generators.bench import Bench
    from treenail.generators.saw_spec import SawBenchSpec
    from treenail.joints.base import Joint
    from treenail.timber.species import Species

DOWN: Vec = (0.0, 0.0, -1.0)
#: Between a leg's inner side under the planks and the batten, mm (our own choice: 1/2 in).
BESIDE_LEG = INCH / 2
#: Planks beyond the battens' ends, mm (our own choice: 1/2 in).
END_ROOM = INCH / 2
#: From the gap to the nearest bolts, clear of a wandering blade, mm (our own choice: 1 in).
BOLT_ROOM = INCH
#: Two bolts of a batten in a plank no nearer than this, mm (our own choice: 1 in).
BOLTS_APART = INCH


class SawBenchBuilder(Builder["SawBenchSpec"]):
    """Boards, legs and rails; two boards apart lie on battens."""

    family = "saw"
    peg_field = "wedge_species"

    def __init__(self, spec: SawBenchSpec, units: str, added: Mapping[str, Species] | None) -> None:
        super().__init__(spec, units, added)
        self.lay = lay_out_saw_bench(spec, units)
        self.choices |= self.lay.choices()

    def boards(self) -> tuple[Member, ...]:
        """The top's boards from front to back, near ends on the right, face sides up."""
        spec, lay, wide = self.spec, self.lay, self.spec.top.board
        apart = spec.top.kind == "split"
        step = wide + spec.top.gap if apart else wide
        count = 2 if apart else spec.top.boards
        return tuple(
            slab(
                "top" if count == 1 else f"top_board_{i + 1}",
                role="top section",
                corner=(lay.left + spec.length, snap(lay.front + i * step), spec.height),
                length=spec.length,
                width=snap(wide),
                thickness=spec.top.thickness,
                species=self.top_wood,
                plies=1,
                rings="flat",
                assembly="top",
            )
            for i in range(count)
        )

    def battens(self, boards: Sequence[Member]) -> tuple[list[Member], list[Joint]]:
        """Under two planks, inside the legs: in each a bolt on the legs' line, one in a slot."""
        spec, lay, b = self.spec, self.lay, self.spec.battens
        if spec.top.kind != "split":
            return [], []
        half, _ = lay.angles.level_section(spec.legs.width, spec.legs.thickness)
        inside = snap(lay.left + lay.inset[0] + half + BESIDE_LEG)
        if lay.size[0] - 2 * (inside + b.width) < BESIDE_LEG:
            raise SpecError(
                "there is no room between the legs for battens under the planks",
                field="top.kind",
                allowed="a longer bench, narrower battens, or solid",
            )
        x = inside + b.width / 2
        made = [
            batten(
                f"batten_{side}",
                middle=middle,
                span=(snap(lay.front + END_ROOM), snap(lay.front + spec.top.width - END_ROOM)),
                top=lay.under,
                width=b.width,
                thickness=b.thickness,
                species=self.wood,
            )
            for side, middle in (("left", x), ("right", snap(lay.size[0] - x)))
        ]
        lines = {}
        for board, way in zip(boards, (1.0, -1.0), strict=True):
            low, high = board.bounds()
            edge, inner = (low[1], high[1]) if way > 0 else (high[1], low[1])
            ys = [snap(edge + way * lay.inset[1]), snap(inner - way * BOLT_ROOM)]
            lines[board] = ys if way * (ys[1] - ys[0]) >= BOLTS_APART else ys[:1]
        return made, [*bolt_boards(b, lines, made, self.seasons)]

    def leg(self, fb: str, lr: str) -> Member:
        """A leg, from the floor through the plank."""
        spec, lay, legs = self.spec, self.lay, self.spec.legs
        sx, sy = 1.0 if lr == "left" else -1.0, 1.0 if fb == "front" else -1.0
        head: Vec = (
            lay.size[0] / 2.0 - sx * (spec.length / 2.0 - lay.inset[0]),
            lay.size[1] / 2.0 - sy * (spec.top.width / 2.0 - lay.inset[1]),
            lay.under,
        )
        return leaning_leg(
            f"leg_{fb}_{lr}",
            head=head,
            inward=(sx, sy),
            angles=lay.angles,
            below=lay.under * lay.angles.stretch + lay.foot,
            size=(lay.leg_length, legs.width, legs.thickness),
            species=self.wood,
            plies=legs.plies,
        )

    def leg_joints(self, plank: Member, key: str, leg: Member) -> list[Joint]:
        """A leg's tenon in the plank, and its foot sawn level."""
        t = self.spec.tenons
        ends, sides = self.lay.shoulders
        return [
            angled_tenon(
                plank,
                leg,
                wedges=t.wedges,
                flare=t.flare,
                kerf=t.kerf,
                species=self.peg_wood,
                end=Face.FAR_END,
                name=f"{key}_in_top",
                fit=self.fit,
                shoulders=Shoulders(
                    face_edge=ends, back_edge=ends, face_side=sides, back_side=sides
                ),
            ),
            BevelledEnd(
                name=f"foot_{key}",
                member=leg,
                end=Face.NEAR_END,
                point=(0.0, 0.0, 0.0),
                outward=DOWN,
                what="foot bevel",
            ),
        ]

    def rail(self, side: str, front: Member, back: Member) -> tuple[Member, list[Joint]]:
        """The rail across one end, its ends sawn flush with the legs."""
        member, ends = rail_across(
            f"rail_{side}",
            front,
            back,
            self.spec.end_rails,
            self.wood,
            to_front=side == "left",
        )
        joints: list[Joint] = [
            SkewLetIn(name=f"{member.name}_on_{fb}", receiver=leg, entering=member, fit=self.fit)
            for fb, leg in (("front", front), ("back", back))
        ]
        for fb, (point, outward) in ends.items():
            runs_out = dot(member.placement.x, outward) > 0.0
            joints.append(
                BevelledEnd(
                    name=f"{member.name}_{fb}_end",
                    member=member,
                    end=Face.FAR_END if runs_out else Face.NEAR_END,
                    point=point,
                    outward=outward,
                    what="rail mitre",
                )
            )
        return member, joints

    def bench(self) -> Bench:
        """All together."""
        boards = self.boards()
        legs = {
            f"{fb}_{lr}": self.leg(fb, lr) for fb in ("front", "back") for lr in ("left", "right")
        }
        battens, joints = self.battens(boards)
        if self.spec.top.kind == "solid" and len(boards) > 1:
            joints.append(EdgeGlue(name="glue_line_1", first=boards[0], second=boards[1]))
        for key, leg in legs.items():
            joints += self.leg_joints(boards[0 if "front" in key else -1], key, leg)
        rails: list[Member] = []
        if self.spec.end_rails.enabled:
            for side in ("left", "right"):
                member, its = self.rail(side, legs[f"front_{side}"], legs[f"back_{side}"])
                rails.append(member)
                joints += its
        timbers = (*legs.values(), *rails, *battens, *boards)
        return self.made(timbers, joints, self.lay.size)


build_saw_bench = SawBenchBuilder.build
