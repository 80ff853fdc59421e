"""The saw bench: a low plank, four legs splayed in two directions and wedged through it, end rails.

The rails are let into the legs' outer faces. A rail tenoned between the legs could not be put in:
legs that are home in the plank stand fast, and they come nearer to each other on their way home.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from treenail.generators.builder import Builder
from treenail.generators.frame_layout import INCH
from treenail.generators.parts import batten, slab, stretcher
from treenail.generators.saw_layout import lay_out_saw_bench
from treenail.generators.tops import bolt_boards
from treenail.joints.features import EdgeGlue
from treenail.joints.mortise_tenon import Shoulders
from treenail.joints.skew import BevelledEnd, SkewLetIn
from treenail.joints.tenon_variants.make import angled_tenon
from treenail.timber.errors import SpecError
from treenail.timber.frames import Frame, Vec, add, cross, dot, neg, scale, snap, sub, unit
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
        """A leg: near end at the floor, face edge outward at the bench's end."""
        spec, lay = self.spec, self.lay
        sx, sy = 1.0 if lr == "left" else -1.0, 1.0 if fb == "front" else -1.0
        along, across = lay.angles.slopes
        up = unit((sx * along, sy * across, 1.0))
        inward = unit((sx, 0.0, -along))
        through = cross(up, inward)
        width, thick = spec.legs.width, spec.legs.thickness
        middle_x, middle_y = lay.size[0] / 2.0, lay.size[1] / 2.0
        head: Vec = (
            middle_x - sx * (spec.length / 2.0 - lay.inset[0]),
            middle_y - sy * (spec.top.width / 2.0 - lay.inset[1]),
            lay.under,
        )
        start = add(head, scale(up, -(lay.under * lay.angles.stretch + lay.foot)))
        corner = add(start, add(scale(inward, -width / 2.0), scale(through, -thick / 2.0)))
        return Member(
            name=f"leg_{fb}_{lr}",
            role="post",
            length=lay.leg_length,
            width=width,
            thickness=thick,
            species=self.wood,
            # Not snapped: legs that are alike must come out alike to the last of their digits.
            placement=Frame(corner, up, inward, through),
            plies=spec.legs.plies,
            assembly="legs",
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
        size = self.spec.end_rails
        inward = front.placement.y
        slope = cross(inward, cross(inward, (0.0, 0.0, 1.0)))
        up = unit(neg(slope))  # up along the plane of the legs' outer faces
        # The lower arris of the outer face, where it lies on a line across the bench.
        out = size.thickness - size.notch
        plane = front.placement.origin
        rise = (size.height + out * inward[2] - plane[2]) / up[2]
        low = add(add(plane, scale(up, rise)), scale(inward, -out))
        high = add(low, scale(up, size.width))
        legs = {"front": front, "back": back}
        faces = {fb: self._outer_side(leg, fb) for fb, leg in legs.items()}
        reach = {fb: [_where(spot, *face) for spot in (low, high)] for fb, face in faces.items()}
        near, far = min(reach["front"]), max(reach["back"])
        member = stretcher(
            f"rail_{side}",
            start=(high[0], far if side == "left" else near, high[2]),
            into=inward,
            length=snap(far - near),
            width=size.width,
            thickness=size.thickness,
            species=self.wood,
            assembly="rails",
        )
        joints: list[Joint] = []
        for fb, leg in legs.items():
            joints.append(
                SkewLetIn(name=f"rail_{side}_on_{fb}", receiver=leg, entering=member, fit=self.fit)
            )
        for fb, (point, outward) in faces.items():
            runs_out = dot(member.placement.x, outward) > 0.0
            joints.append(
                BevelledEnd(
                    name=f"rail_{side}_{fb}_end",
                    member=member,
                    end=Face.FAR_END if runs_out else Face.NEAR_END,
                    point=point,
                    outward=outward,
                    what="rail mitre",
                )
            )
        return member, joints

    @staticmethod
    def _outer_side(leg: Member, fb: str) -> tuple[Vec, Vec]:
        """A point and the outward normal of a leg's face toward the front or back."""
        face = leg.face_towards((0.0, -1.0 if fb == "front" else 1.0, 0.0))
        frame = leg.placement.place(leg.face_frame(face))
        return frame.origin, neg(frame.z)

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


def _where(spot: Vec, point: Vec, normal: Vec) -> float:
    """Where the line across the bench through a spot meets a plane, y in mm."""
    return spot[1] - dot(sub(spot, point), normal) / normal[1]


build_saw_bench = SawBenchBuilder.build
