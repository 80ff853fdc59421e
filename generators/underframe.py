"""What benches on four posts share: posts, stretchers, their drawbored tenons, top and shelf."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, ClassVar, TypeVar, cast

from treenail.generators.builder import Builder
from treenail.generators.corner_spec import refuse_wide_cutter
from treenail.generators.edge_room import edge_fit
from treenail.generators.fittings.fit_out import fit_out, lines_to_clear
from treenail.generators.fittings.ground import Ground, ground_of_posts
from treenail.generators.fittings.site import Site, standing
from treenail.generators.frame_layout import (
    MEETING_GAP,
    Layout,
    TenonPlan,
    lay_out,
    mitre_cuts,
    overlap_in_height,
)
from treenail.generators.parts import BACK, FRONT, LEFT, RIGHT, four_posts, stretcher
from treenail.generators.pegging import draw_bore, evenly, in_turn, pegs_for
from treenail.generators.post_spec import PostSpec
from treenail.generators.shelf import shelf_boards
from treenail.joints.cuts import Haunch, MitredTip, NotchedTip
from treenail.joints.features import ChamferedFoot
from treenail.joints.mortise_tenon import DrawBore, MortiseTenon, Shoulders
from treenail.timber.errors import SpecError
from treenail.timber.frames import snap
from treenail.timber.member import Face, Member

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from treenail.generators.bench import Bench
    from treenail.generators.top_place import Place
    from treenail.joints.base import Joint
    from treenail.joints.corners import CornerKind
    from treenail.timber.frames import Vec
    from treenail.timber.species import Species

INCH = 25.4
SpecT = TypeVar("SpecT", bound=PostSpec)


class PostBenchBuilder(Builder[SpecT]):
    """Builds one bench on four posts.

    Attributes:
        sides_look_front: the posts' face sides look to the front and the back on both ends;
            otherwise posts on one diagonal are one shape.
    """

    sides_look_front: ClassVar[bool] = False

    layout: Layout

    def __init__(self, spec: SpecT, units: str, added: Mapping[str, Species] | None) -> None:
        super().__init__(spec, units, added)
        self.layout = self.lay_out()
        self.choices.update(self.layout.choices)

    def lay_out(self) -> Layout:
        """Where posts and stretchers stand."""
        return lay_out(self.spec, self.units)

    @property
    def post_length(self) -> float:
        """From the floor to the posts' upper ends, mm."""
        return self.layout.post_length

    # -- members -----------------------------------------------------------------------------

    def posts(self) -> dict[str, Member]:
        """The legs, by ``front_left`` and so on."""
        lay, p = self.layout, self.spec.posts
        foot = standing(self.spec.fittings, self.units)
        return four_posts(
            (lay.left, lay.right),
            (lay.front, lay.back),
            look_front=self.sides_look_front,
            foot=foot,
            width=p.width,
            thickness=p.thickness,
            length=snap(self.post_length - foot),
            species=self.wood,
            plies=p.plies,
            assembly="end_frame_{}",
        )

    def stretchers(self) -> dict[str, Member]:
        """The stretchers, by ``lower_front`` and so on."""
        lay, p = self.layout, self.spec.posts
        clear_x, clear_y = lay.clear(p.width, p.thickness)
        found: dict[str, Member] = {}
        for level in lay.levels:
            placed: dict[str, tuple[TenonPlan, Vec, Vec, float]] = {}
            if long := lay.plans.get(f"{level}_long"):
                high = long.z + long.width
                near_x, far_x = lay.left + p.width - long.length, lay.right - p.width + long.length
                placed |= {
                    "front": (long, (near_x, lay.front + long.set_in, high), BACK, clear_x),
                    "back": (long, (far_x, lay.back - long.set_in, high), FRONT, clear_x),
                }
            if end := lay.plans.get(f"{level}_end"):
                high = end.z + end.width
                near_y = lay.front + p.thickness - end.length
                far_y = lay.back - p.thickness + end.length
                placed |= {
                    "left": (end, (lay.left + end.set_in, far_y, high), RIGHT, clear_y),
                    "right": (end, (lay.right - end.set_in, near_y, high), LEFT, clear_y),
                }
            for side, (plan, start, into, clear) in placed.items():
                section = getattr(self.spec, plan.key)
                found[f"{level}_{side}"] = stretcher(
                    f"stretcher_{level}_{side}",
                    start=start,
                    into=into,
                    length=snap(clear + 2 * plan.length),
                    width=plan.width,
                    thickness=plan.thickness,
                    species=self.wood,
                    plies=section.plies,
                    assembly=f"end_frame_{side}" if side in ("left", "right") else "stretchers",
                )
        return found

    # -- joints ------------------------------------------------------------------------------

    def tip(self, plan: TenonPlan, level: str) -> MitredTip | NotchedTip | None:
        """How a tenon's end is cut where the other pair's tenon meets it."""
        pair = self.layout.both(level)
        if pair is None or not overlap_in_height(*pair):
            return None
        long, end = pair
        if self.spec.meeting == "mitred":
            back, lead = mitre_cuts(long, end)[plan.key]
            return MitredTip(short_cheek=Face.BACK_SIDE, cut_back=back, lead=lead)
        if self.spec.meeting != "notched":
            return None
        low = max(long.tenon_low, end.tenon_low)
        high = min(long.tenon_high, end.tenon_high)
        middle = (low + high) / 2
        post_size = self.spec.posts
        if plan is long:  # keeps its upper half
            edge, width = Face.BACK_EDGE, middle + MEETING_GAP / 2 - long.tenon_low
            tip_at, past = post_size.width - long.length, end.plan_range[1]
        else:
            edge, width = Face.FACE_EDGE, end.tenon_high - middle + MEETING_GAP / 2
            tip_at, past = post_size.thickness - end.length, long.plan_range[1]
        length = past + MEETING_GAP - tip_at
        if length <= 0.0:
            return None
        return NotchedTip(edge=edge, width=snap(width), length=snap(min(length, plan.length)))

    def draw(self, plan: TenonPlan, level: str) -> DrawBore | None:
        """A tenon's pegs, or None."""
        pegs = self.spec.pegs
        count = self.peg_count(plan)
        if count == 0:
            return None
        pair = self.layout.both(level)
        crossing = pair is not None and overlap_in_height(*pair)
        drawn = draw_bore(
            pegs,
            self.peg_wood,
            count=count,
            # Tenons that meet are cut back at the tip: keep wood beyond the peg.
            diameters=1.5 if crossing else 2.0,
            metric=self.units == "mm",
            spots=self.peg_spots(plan, level, count) if crossing else None,
        )
        self.choices["pegs.setback"] = drawn.setback
        return drawn

    def peg_spots(self, plan: TenonPlan, level: str, count: int) -> tuple[float, ...]:
        """Places of pegs that cross another tenon's in the post, from the tenon's upper edge."""
        long, end = self.layout.plans[f"{level}_long"], self.layout.plans[f"{level}_end"]
        low = max(long.tenon_low, end.tenon_low)
        high = min(long.tenon_high, end.tenon_high)
        if self.spec.meeting == "notched":  # each keeps its full length in one half
            middle = (low + high) / 2
            low, high = (middle, long.tenon_high) if plan is long else (end.tenon_low, middle)
            heights = evenly(low, high, count)
        else:
            counts = (self.peg_count(long), self.peg_count(end))
            both = in_turn(low, high, counts, self.spec.pegs.diameter)
            heights = both[0 if plan is long else 1]
        return tuple(sorted(snap(plan.tenon_high - z) for z in heights))

    def bolted(self, plan: TenonPlan) -> bool:
        """Whether a bolt instead of pegs holds a tenon; a family says where."""
        return False

    def peg_count(self, plan: TenonPlan) -> int:
        """Pegs in a tenon: as asked, or by its width."""
        asked = self.spec.pegs.per_joint
        return pegs_for(plan.width - plan.top - plan.bottom) if asked is None else asked

    def tenons(
        self, posts: Mapping[str, Member], rails: Mapping[str, Member]
    ) -> list[MortiseTenon]:
        """Both ends of every stretcher, drawbored into the posts."""
        spec, plans = self.spec, self.layout.plans.values()
        fit = self.fit
        corners = cast("CornerKind", spec.mortise_corners)
        widths = [(plan.key, plan.tenon + fit.cheek.mid) for plan in plans]
        refuse_wide_cutter(corners, spec.cutter, widths, self.say)
        # Which post each end of a stretcher goes into, seen from its face side.
        ends = {
            "front": (("front_left", Face.NEAR_END), ("front_right", Face.FAR_END)),
            "back": (("back_left", Face.FAR_END), ("back_right", Face.NEAR_END)),
            "left": (("front_left", Face.FAR_END), ("back_left", Face.NEAR_END)),
            "right": (("front_right", Face.NEAR_END), ("back_right", Face.FAR_END)),
        }
        found = []
        for key, rail in rails.items():
            level, side = key.split("_")
            plan = self.layout.plans[f"{level}_{'end' if side in ('left', 'right') else 'long'}"]
            wide = plan.width - plan.top - plan.bottom
            own = edge_fit(fit, wide, rail, self.seasons, spec.edge_room)
            if own != fit and spec.edge_room is None:
                self.choices[f"edge_room.{plan.key}"] = snap((own.edge.low + own.edge.high) / 2)
            for post_key, end in ends[side]:
                where = post_key.split("_")[0 if side in ("left", "right") else 1]
                found.append(
                    MortiseTenon(
                        name=f"{key}_at_{where}",
                        receiver=posts[post_key],
                        entering=rail,
                        end=end,
                        shoulders=Shoulders(
                            face_edge=plan.top,
                            back_edge=plan.bottom,
                            face_side=plan.outside,
                            back_side=plan.inside,
                        ),
                        fit=own,
                        haunch=Haunch(Face.FACE_EDGE, *plan.haunch) if plan.haunch else None,
                        tip=self.tip(plan, level),
                        through=plan.through,
                        draw=self.draw(plan, level),
                        corners=corners,
                        cutter=spec.cutter,
                        bolted=self.bolted(plan),
                    )
                )
        return found

    # -- the top and the shelf ---------------------------------------------------------------

    def dogs_from(self) -> float:
        """How far from the front the dog holes must keep clear, mm: of posts and stretchers."""
        return self.layout.front + self.spec.posts.thickness

    def dog_rows(self) -> list[float]:
        """Rows of dog holes, each one's distance from the front, mm."""
        spec, say = self.spec, self.say
        dogs = spec.top.dog_holes
        first = dogs.setback
        if first is None:
            clear = self.dogs_from() + dogs.diameter / 2 + INCH / 2
            first = math.ceil(clear / (INCH / 2) - 1e-9) * (INCH / 2)
        rows = [snap(first + i * dogs.row_spacing) for i in range(dogs.rows)]
        for i, y in enumerate(rows):
            if y + dogs.diameter / 2 > spec.depth:
                raise SpecError(
                    f"row {i + 1} of dog holes lies {say(y)} from the front of a top "
                    f"{say(spec.depth)} deep",
                    field="top.dog_holes.rows",
                    allowed="fewer rows, or a smaller row_spacing",
                )
        if rows:
            self.choices["top.dog_holes.setback"] = rows[0]
        return rows

    def top_lines(self) -> tuple[float, float]:
        """Where the top's front and its back are held, from the front edge, mm: over the posts."""
        half = self.spec.posts.thickness / 2
        return snap(self.layout.front + half), snap(self.layout.back - half)

    def top_place(self) -> Place:
        """Where the top goes."""
        spec = self.spec
        return self.place(
            (spec.length, spec.depth, spec.height),
            self.top_lines(),
            snap(spec.top.overhang_back + spec.posts.thickness),
        )

    def sections(
        self, rows: Sequence[float], keep_clear: Iterable[float] = ()
    ) -> tuple[tuple[Member, ...], list[Joint]]:
        """What posts and bolts hold of the top, front to back; all of its joints, dog holes too.

        Glue lines keep off the rows and ``keep_clear``; ``finished`` puts ``top_others`` in, too.
        """
        spec, lay, p = self.spec, self.layout, self.spec.posts
        clear = [*keep_clear, *lines_to_clear(spec, lay, rows)]
        between = (lay.left + p.width, lay.right - p.width)
        return self.slabs(spec.top, self.top_place(), rows, clear, between)

    def shelf(self, rails: Mapping[str, Member]) -> tuple[list[Member], list[Joint]]:
        """Boards on the lower long stretchers, and their joints; empty without a shelf."""
        return shelf_boards(
            self.spec.shelf,
            self.layout,
            self.spec.posts.width,
            self.wood,
            rails,
            self.say,
            self.shelf_ends(rails),
        )

    def shelf_ends(self, _rails: Mapping[str, Member]) -> float | None:
        """Where a panel on the lower back stretcher stops the shelf, from the front, mm."""
        return None

    # -- all together ------------------------------------------------------------------------

    def feet(self, posts: Mapping[str, Member]) -> list[Joint]:
        """The chamfers of the posts' feet."""
        leg = self.spec.posts.foot_chamfer
        if leg <= 0.0:
            return []
        return [
            ChamferedFoot(name=f"foot_{key}", member=m, end=Face.NEAR_END, leg=leg)
            for key, m in posts.items()
        ]

    def ground(self, timbers: Mapping[str, Member]) -> Ground:
        """What fittings ask of the base."""
        return ground_of_posts(self.layout, self.spec.posts, timbers)

    def finished(self, timbers: Iterable[Member], joints: Iterable[Joint]) -> Bench:
        """The bench of these parts, fitted out."""
        members = {m.name: m for m in (*timbers, *self.top_others)}
        site = Site(
            spec=self.spec,
            units=self.units,
            ground=self.ground(members),
            wood=self.wood,
            added=self.added,
            seasons=self.seasons,
            timbers=members,
            joints=list(joints),
        )
        fit_out(site, self.dog_rows(), self.peg_wood)
        self.choices |= site.choices
        return self.made(
            site.timbers.values(),
            site.joints,
            (self.spec.length, self.spec.depth, self.spec.height),
        )
