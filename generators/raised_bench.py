"""The raised bench: a small one that stands on another, so that fine work comes nearer the eye.

Four short posts are tenoned through the top and through two long feet, and wedged in both. A
spec goes in, a frozen ``Bench`` of members and joints comes out; no kernel.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from treenail.generators.builder import Builder
from treenail.generators.frame_layout import INCH, in_units
from treenail.generators.parts import four_posts, slab
from treenail.generators.slab_layout import plan_wedged
from treenail.generators.top_place import refuse_kind
from treenail.generators.tops import no_line_over, section_at
from treenail.joints.held_down import HeldDown
from treenail.timber.errors import SpecError
from treenail.timber.frames import snap
from treenail.timber.member import Face

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from treenail.generators.bench import Bench
    from treenail.generators.raised_spec import RaisedBenchSpec
    from treenail.joints.base import Joint
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


class RaisedBenchBuilder(Builder["RaisedBenchSpec"]):
    """Short posts, long feet, and what holds it on the bench below."""

    family = "raised"

    def __init__(
        self, spec: RaisedBenchSpec, units: str, added: Mapping[str, Species] | None
    ) -> None:
        super().__init__(spec, units, added)
        self.height = own_height(spec, units)
        self.tenon = plan_wedged(spec, units)
        self.foot_width = spec.posts.thickness if spec.feet.width is None else spec.feet.width
        self.choices |= {"height": self.height, "feet.width": self.foot_width}
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
        return four_posts(
            (self.left, self.right),
            (self.front + inset, self.back - inset),
            look_front=True,  # tenons are wide along the bench
            width=p.width,
            thickness=p.thickness,
            length=self.height,
            species=self.wood,
            plies=p.plies,
            assembly="posts",
        )

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

    def top(self) -> tuple[tuple[Member, ...], list[Joint]]:
        """The sections, glued off the holes and the posts, end boards; and the dog holes."""
        spec, wide = self.spec, self.foot_width
        half = wide / 2
        place = self.place(
            (spec.length, spec.depth, self.height),
            (snap(self.front + half), snap(self.back - half)),
        )
        over = no_line_over((self.front, self.back - wide), wide)
        bored = (self.left + spec.posts.width, self.right - spec.posts.width)
        return self.slabs(spec.top, place, self.rows(), over, bored)

    # -- joints ------------------------------------------------------------------------------

    def tenons(
        self, posts: Mapping[str, Member], feet: Mapping[str, Member], sections: Sequence[Member]
    ) -> list[WedgedTenon]:
        """Each post's two tenons: through its foot, and through the section above it."""
        found = []
        for key, leg in posts.items():
            low, high = leg.bounds()
            above = section_at(sections, (low[1] + high[1]) / 2)
            foot = feet[key.split("_")[0]]
            for where, across, end in (("foot", foot, Face.NEAR_END), ("top", above, Face.FAR_END)):
                found.append(self.wedged(across, leg, end, f"{key}_in_{where}", self.tenon))
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
        sections, fixings = self.top()
        return self.made(
            (*posts.values(), *feet.values(), *sections, *self.top_others),
            (*self.tenons(posts, feet, sections), *fixings, *self.held(feet)),
            (self.spec.length, self.spec.depth, self.height),
        )


build_raised_bench = RaisedBenchBuilder.build
