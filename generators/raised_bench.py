"""The raised bench: a small one that stands on another, so that fine work comes nearer the eye.

Four short posts are tenoned through the top and through two long feet, and wedged in both. A
spec goes in, a frozen ``Bench`` of members and joints comes out; no kernel.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any, cast

from treenail.generators.bench import Bench
from treenail.generators.climate import seasons_of
from treenail.generators.frame_layout import INCH, in_units
from treenail.generators.parts import post, slab
from treenail.generators.slab_layout import plan_wedged
from treenail.generators.top_kinds import build_top
from treenail.generators.top_place import Place, refuse_kind
from treenail.generators.tops import (
    CLEAR_OF_GLUE_LINE,
    dog_hole_rows,
    section_at,
)
from treenail.generators.underframe import wood_of
from treenail.joints.fits import get_fit
from treenail.joints.held_down import HeldDown
from treenail.joints.mortise_tenon import Shoulders
from treenail.joints.tenon_variants.make import wedged_tenon
from treenail.timber.errors import SpecError
from treenail.timber.frames import snap
from treenail.timber.member import Face

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from treenail.generators.frame_spec import Top
    from treenail.generators.raised_spec import RaisedBenchSpec
    from treenail.generators.top_kinds import BuiltTop
    from treenail.joints.base import Joint
    from treenail.joints.fits import Model
    from treenail.joints.tenon_variants.wedged import WedgedTenon
    from treenail.timber.member import Member
    from treenail.timber.species import Species

#: Least room between feet and top, for a clamp's jaw, mm (our own choice).
CLAMP_ROOM = INCH
#: Wood between a pin's hole and a post's mortise, and over the hole, mm (our own choice).
PIN_WALL = INCH / 4


def own_height(spec: RaisedBenchSpec, units: str = "mm") -> float:
    """The bench's own height from what is stated, mm; SpecError where it doesn't add up."""
    say, raised = in_units(units), snap(spec.working_height - spec.below)
    if spec.height is not None and abs(spec.height - raised) > 0.05:
        raise SpecError(
            f"{say(spec.height)} on a bench {say(spec.below)} high comes to "
            f"{say(spec.below + spec.height)}, not to the working height, "
            f"{say(spec.working_height)}",
            field="height",
            allowed=f"{say(raised)}, or auto; or another below or working_height",
        )
    least = spec.feet.thickness + CLAMP_ROOM + spec.top.thickness
    if raised < least - 1e-9:
        raise SpecError(
            f"{say(spec.working_height)} is {say(max(raised, 0.0))} above the bench below; feet, "
            f"a clamp's jaw and the top take {say(least)}",
            field="working_height",
            allowed=f"at least {say(spec.below + least)}, or a thinner top or feet",
        )
    return raised


class _Builder:
    """Builds one bench; holds what the steps share."""

    def __init__(
        self, spec: RaisedBenchSpec, units: str, added: Mapping[str, Species] | None
    ) -> None:
        self.spec, self.units, self.say = spec, units, in_units(units)
        self.height = own_height(spec, units)
        self.wood = wood_of(spec.species, "species", added)
        self.top_wood = wood_of(spec.top_species or spec.species, "top_species", added)
        self.peg_wood = wood_of(spec.peg_species, "peg_species", added)
        self.seasons = seasons_of(spec.moisture)
        self.tenon = plan_wedged(spec, units)
        self.foot_width = spec.posts.thickness if spec.feet.width is None else spec.feet.width
        self.choices: dict[str, Any] = {"height": self.height, "feet.width": self.foot_width}
        self.choices |= self.tenon.choices()
        self.front = snap(spec.top.set_in)
        self.back = snap(spec.depth - spec.top.set_in)
        self.left = snap(spec.top.overhang)
        self.right = snap(spec.length - spec.top.overhang)
        refuse_kind(
            spec.top.kind, ("solid",), "its top alone joins the front posts to those behind"
        )
        self._check()

    def _check(self) -> None:
        spec, say = self.spec, self.say
        between = self.right - self.left - 2 * spec.posts.width
        if between < 2 * INCH:
            raise SpecError(
                f"a length of {say(spec.length)} leaves {say(between)} between the posts",
                field="length",
                allowed=f"at least {say(spec.length + 2 * INCH - between)} with these posts and "
                "overhangs",
            )
        apart = self.back - self.front - 2 * self.foot_width
        if apart < INCH:
            raise SpecError(
                f"a depth of {say(spec.depth)} leaves {say(apart)} between the feet",
                field="depth",
                allowed=f"at least {say(spec.depth + INCH - apart)} with these feet and set_in",
            )
        if self.foot_width < spec.posts.thickness - 1e-9:
            raise SpecError(
                f"feet {say(self.foot_width)} wide under posts {say(spec.posts.thickness)} thick",
                field="feet.width",
                allowed=f"at least {say(spec.posts.thickness)}",
            )

    # -- members -----------------------------------------------------------------------------

    def posts(self) -> dict[str, Member]:
        """The posts, from under the feet up through the top."""
        p, inset = self.spec.posts, snap((self.foot_width - self.spec.posts.thickness) / 2)
        ys = {"front": self.front + inset, "back": self.back - inset}
        # Face sides look to the front and the back: tenons are wide along the bench.
        xs = {
            ("front", "left"): self.left,
            ("front", "right"): self.right - p.width,
            ("back", "left"): self.left + p.width,
            ("back", "right"): self.right,
        }
        return {
            f"{side}_{end}": post(
                f"post_{side}_{end}",
                corner=(x, ys[side], 0.0),
                to_right=side == "front",
                to_back=side == "front",
                width=p.width,
                thickness=p.thickness,
                length=self.height,
                species=self.wood,
                plies=p.plies,
                assembly="posts",
            )
            for (side, end), x in xs.items()
        }

    def feet(self) -> dict[str, Member]:
        """The long feet, as long as the top."""
        spec = self.spec
        starts = {"front": self.front, "back": self.back - self.foot_width}
        return {
            side: slab(
                f"foot_{side}",
                role="foot",
                corner=(spec.length, snap(y), spec.feet.thickness),
                length=spec.length,
                width=self.foot_width,
                thickness=spec.feet.thickness,
                species=self.wood,
                plies=1,
                rings="flat",
                assembly="feet",
            )
            for side, y in starts.items()
        }

    def rows(self) -> list[float]:
        """Rows of dog holes about the middle of the top, mm from its front."""
        dogs, say = self.spec.top.dog_holes, self.say
        first = dogs.setback
        if first is None:
            first = self.spec.depth / 2 - (dogs.rows - 1) * dogs.row_spacing / 2
        rows = [snap(first + i * dogs.row_spacing) for i in range(dogs.rows)]
        low, high = self.front + self.foot_width, self.back - self.foot_width
        for i, y in enumerate(rows, start=1):
            if not low + dogs.diameter / 2 < y < high - dogs.diameter / 2:
                raise SpecError(
                    f"row {i} of dog holes, {say(y)} from the front, lies over a foot",
                    field="top.dog_holes.rows",
                    allowed=f"rows between {say(low)} and {say(high)} from the front",
                )
        if rows:
            self.choices["top.dog_holes.setback"] = rows[0]
        return rows

    def top(self) -> tuple[BuiltTop, list[Joint]]:
        """The sections, glued off the holes and the posts, end boards; and the dog holes."""
        spec, top, rows = self.spec, self.spec.top, self.rows()
        steps = math.ceil(self.foot_width / CLEAR_OF_GLUE_LINE)
        over = [
            snap(y + self.foot_width * i / steps)
            for y in (self.front, self.back - self.foot_width)
            for i in range(steps + 1)
        ]
        half = self.foot_width / 2
        place = Place(
            length=spec.length,
            depth=spec.depth,
            height=self.height,
            lines=(snap(self.front + half), snap(self.back - half)),
            cover=0.0,
            species=self.top_wood,
            peg_species=self.peg_wood,
            seasons=self.seasons,
            step=INCH / 32 if self.units == "in" else 0.5,
            say=self.say,
        )
        made = build_top(cast("Top", top), place, rows=rows, keep_clear=over)
        self.choices["top.sections"] = len(made.sections)
        holes = dog_hole_rows(
            made.sections,
            rows=rows,
            start=self.left + spec.posts.width,
            stop=self.right - spec.posts.width,
            pitch=top.dog_holes.pitch,
            diameter=top.dog_holes.diameter,
        )
        return made, [*made.joints, *holes]

    # -- joints ------------------------------------------------------------------------------

    def tenons(
        self, posts: Mapping[str, Member], feet: Mapping[str, Member], sections: Sequence[Member]
    ) -> list[WedgedTenon]:
        """Each post's two tenons: through its foot, and through the section above it."""
        t, plan, found = self.spec.post_tenons, self.tenon, []
        fit = get_fit(self.spec.fit).built(cast("Model", self.spec.model))
        shoulders = Shoulders(
            face_edge=plan.ends,
            back_edge=plan.ends,
            face_side=plan.outside,
            back_side=plan.inside,
        )
        for key, leg in posts.items():
            low, high = leg.bounds()
            above = section_at(sections, (low[1] + high[1]) / 2)
            foot = feet[key.split("_")[0]]
            for where, receiver, end in (
                ("foot", foot, Face.NEAR_END),
                ("top", above, Face.FAR_END),
            ):
                found.append(
                    wedged_tenon(
                        receiver,
                        leg,
                        wedges=t.wedges,
                        flare=t.flare,
                        kerf=t.kerf,
                        species=self.peg_wood,
                        end=end,
                        name=f"{key}_in_{where}",
                        fit=fit,
                        shoulders=shoulders,
                    )
                )
        return found

    def held(self, feet: Mapping[str, Member]) -> list[Joint]:
        """Pins under one foot, a whole number of pitches apart; or clamps on both."""
        hold, spec, say = self.spec.hold, self.spec, self.say
        if hold.by == "clamps":
            return [HeldDown(name=f"clamps_{side}", member=foot) for side, foot in feet.items()]
        pin = hold.hole
        room = self.right - self.left - 2 * spec.posts.width - pin - 2 * PIN_WALL
        count = math.floor(room / hold.pitch + 1e-9)
        if count < 1:
            raise SpecError(
                f"two pins {say(hold.pitch)} apart don't go between the posts",
                field="hold.pitch",
                allowed=f"at most {say(max(room, 0.0))}, a longer bench, or hold.by: clamps",
            )
        deep = snap(min(2 * pin, spec.feet.thickness - PIN_WALL))
        if pin > self.foot_width / 2 or deep < pin:
            raise SpecError(
                f"pins of {say(pin)} are too thick for a foot {say(self.foot_width)} wide and "
                f"{say(spec.feet.thickness)} thick",
                field="hold.hole",
                allowed="at most half of the foot's width; or hold.by: clamps",
            )
        foot, half = feet[hold.foot], count * hold.pitch / 2
        low, high = foot.bounds()
        line = snap((low[1] + high[1]) / 2)
        self.choices |= {"hold.apart": snap(2 * half), "hold.from_front": line}
        return [
            HeldDown(
                name=f"pins_{hold.foot}",
                member=foot,
                places=tuple((snap(spec.length / 2 + x), line) for x in (-half, half)),
                diameter=pin,
                tip=snap(pin - hold.play),
                depth=deep,
                proud=hold.length,
                species=self.peg_wood,
            )
        ]

    def bench(self) -> Bench:
        """All together."""
        posts, feet = self.posts(), self.feet()
        top, fixings = self.top()
        joints = (*self.tenons(posts, feet, top.sections), *fixings, *self.held(feet))
        return Bench(
            name=self.spec.name,
            family="raised",
            units=self.units,
            timbers=(*posts.values(), *feet.values(), *top.sections, *top.others),
            joints=joints,
            asked=(self.spec.length, self.spec.depth, self.height),
            seasons=self.seasons,
            spec=self.spec,
            choices=self.choices,
        )


def build_raised_bench(
    spec: RaisedBenchSpec,
    *,
    units: str = "mm",
    added_species: Mapping[str, Species] | None = None,
) -> Bench:
    """Build a raised bench from its spec; the same spec always gives the same bench.

    Raises:
        SpecError: a size can't be met, or heights don't add up; the field is named.
        GeometryError: members don't meet.
    """
    return _Builder(spec, units, added_species).bench()
