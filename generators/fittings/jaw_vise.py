"""Face vise and end vise: a jaw at the top's edge, its screw and rods under the top."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from treenail.generators.fittings.plates import hole_for, on_face
from treenail.generators.fittings.site import FITTINGS, Site, measured
from treenail.generators.parts import BACK, DOWN, LEFT, UP, slab
from treenail.joints.convex import separation
from treenail.joints.features import DogHoles
from treenail.joints.lag_bolt import LagBolt
from treenail.joints.provisions import Holes, MountedBlock, Recess
from treenail.joints.vise_screw import ViseRod, ViseScrew
from treenail.timber.frames import Frame, Vec, add, cross, dot, scale, snap, snap_vec, sub
from treenail.timber.measured_parts import headed_rod
from treenail.timber.member import Member

if TYPE_CHECKING:
    from collections.abc import Sequence

    from treenail.generators.fittings_spec import JawVise
    from treenail.timber.errors import SpecError

INCH = 25.4
#: Wood between a vise's rods and bolts, dogs or a stretcher's edge, mm (our own choice).
WALL = INCH / 4
#: Jaw left below the rods, mm (our own choice).
BELOW = INCH
#: Steps in which a place along the edge is looked for, mm.
STEP = INCH / 4


class JawViseBuilder:
    """One vise at an edge of the top.

    Lengths go along the edge, inward from it, and down from the top's surface; ``along`` runs to
    the right at the front and to the back at the right end.
    """

    def __init__(self, site: Site, group: str, rows: Sequence[float]) -> None:
        self.site, self.group, self.rows = site, group, rows
        self.vise: JawVise = getattr(site.fittings, group)
        self.into: Vec = BACK if group == "face_vise" else LEFT
        self.along = cross(DOWN, self.into)
        spec = site.spec
        self.under = spec.top.thickness
        self.screw, self.long, self.collar, self.nut, self.nut_from_edge, self.below = measured(
            self.vise,
            group,
            "screw_diameter",
            "screw_length",
            "collar_diameter",
            "nut_thickness",
            "nut_from_edge",
            "screw_below",
        )
        self.tops = [m for m in site.timbers.values() if m.role == "top section"]
        self.corner: Vec = (
            (0.0, 0.0, spec.height) if group == "face_vise" else (spec.length, 0.0, spec.height)
        )
        self.edge = spec.length if group == "face_vise" else spec.depth

    def refuse(self, field: str, message: str, allowed: str) -> SpecError:
        """The error for a field of this vise."""
        return self.site.refuse(f"{self.group}.{field}", message, allowed)

    def point(self, along: float, inward: float, down: float) -> Vec:
        """A point of the bench, mm."""
        found = add(self.corner, add(scale(self.along, along), scale(self.into, inward)))
        return snap_vec((found[0], found[1], found[2] - down))

    # -- rods --------------------------------------------------------------------------------

    def rods(self, at: float) -> tuple[ViseRod, ...]:
        """The screw, and a guide rod on either side of it if there are any."""
        vise, units = self.vise, self.site.units
        down, out = self.under + self.below, -vise.jaw_thickness
        found = [
            ViseRod(
                kind="vise screw",
                size=headed_rod(
                    diameter=self.screw,
                    length=self.long,
                    collar=self.collar,
                    thickness=vise.collar_thickness,
                ),
                length=self.long,
                hole=hole_for(self.screw, units),
                point=self.point(at, out, down),
            )
        ]
        if vise.rods:
            wide, length, apart = measured(
                vise, self.group, "rod_diameter", "rod_length", "rod_spacing"
            )
            if apart <= self.screw + wide:
                raise self.refuse(
                    "rod_spacing",
                    "the rods run into the screw",
                    f"more than {self.site.say(self.screw + wide)}",
                )
            size = headed_rod(
                diameter=wide,
                length=length,
                collar=hole_for(wide, units) + INCH / 2,
                thickness=vise.collar_thickness,
            )
            found += [
                ViseRod(
                    kind="guide rod",
                    size=size,
                    length=length,
                    hole=hole_for(wide, units),
                    point=self.point(at + side * apart / 2, out, down),
                )
                for side in (-1, 1)
            ]
        return tuple(found)

    def crossed(self, rods: tuple[ViseRod, ...], role: str) -> list[Member]:
        """Members of a role whose wood the rods run through, the vise shut."""
        return [
            member
            for member in self.site.timbers.values()
            if member.role == role and any(self._cuts(rod, member) for rod in rods)
        ]

    def _cuts(self, rod: ViseRod, member: Member) -> bool:
        axis = (rod.point, add(rod.point, scale(self.into, rod.length)))
        return separation(axis, tuple(member.world_corners())).distance < rod.hole / 2

    def place(self) -> float:
        """The screw's place along the edge, mm: clear of posts, bolts and, if it can be, dogs."""
        vise, lay, width = self.vise, self.site.layout, self.site.spec.posts.width
        if vise.at is not None:
            return vise.at
        if self.group == "end_vise":
            return self.edge / 2
        half = (vise.rod_spacing or 0.0) / 2 if vise.rods else 0.0
        low, high = lay.left + width + half, lay.right - width - half
        for dogs in (True, False):
            steps = math.floor((high - low) / STEP)
            for i in range(1, max(steps, 1)):
                at = math.ceil(low / STEP + i) * STEP
                if self._is_clear(at, dogs=dogs):
                    return at
        raise self.refuse("at", "there is no place between posts and bolts", "a place for it")

    def _is_clear(self, at: float, *, dogs: bool) -> bool:
        rods = self.rods(at)
        if self.crossed(rods, "post"):
            return False
        for joint in self.site.joints:
            spots: list[tuple[Vec, float]] = []
            if isinstance(joint, LagBolt):
                spots = [(joint.point, max(joint.counterbore_diameter, joint.size.washer_od))]
            elif dogs and isinstance(joint, DogHoles):
                frame = joint.member.placement.place(joint.member.face_frame(joint.face))
                spots = [(frame.point((x, y, 0.0)), joint.diameter) for x, y in joint.points]
            for spot, wide in spots:
                for rod in rods:
                    off = sub(spot, rod.point)
                    if (
                        abs(dot(off, self.along)) < (wide + rod.hole) / 2 + WALL
                        and -WALL < dot(off, self.into) < rod.length + WALL
                    ):
                        return False
        return True

    # -- all of it ---------------------------------------------------------------------------

    def add(self) -> None:
        """Jaw, block, rods, and what they need in top and stretchers."""
        site, vise, say = self.site, self.vise, self.site.say
        at = site.chosen(f"{self.group}.at", self.place())
        half = vise.jaw_length / 2
        if at - half < 0.0 or at + half > self.edge:
            raise self.refuse(
                "at",
                f"a jaw {say(vise.jaw_length)} long stands over the top's end",
                f"{say(half)} to {say(self.edge - half)}",
            )
        rods = self.rods(at)
        self.refuse_bad_rods(rods)
        between = self.crossed(rods, "stretcher")
        nut_end = snap(vise.jaw_thickness + self.nut_from_edge)
        most = self.long - nut_end
        step = INCH / 2 if site.units == "in" else 10.0
        if most < step:
            raise self.refuse(
                "screw_length",
                f"jaw and nut take {say(nut_end)} of the screw",
                f"at least {say(nut_end + step)}",
            )
        travel = math.floor(most / step + 1e-9) * step if vise.travel is None else vise.travel
        site.chosen(f"{self.group}.travel", travel)
        block = self.add_block(at)
        jaw = self.add_jaw(at, rods)
        site.joints.append(
            ViseScrew(
                name=self.group,
                bearer=block or self.top_at(self.point(at, self.nut_from_edge, 0.0)),
                jaw=jaw,
                between=tuple(between),
                direction=self.into,
                rods=rods,
                travel=travel,
                nut=self.nut,
                nut_end=nut_end,
                bored=False,
            )
        )
        self.add_rear_jaw(at)

    def refuse_bad_rods(self, rods: tuple[ViseRod, ...]) -> None:
        """Refuse rods through a post, through the block, or out of a stretcher's edge."""
        say, vise = self.site.say, self.vise
        posts = self.crossed(rods, "post")
        if posts:
            raise self.refuse("at", f"its steel would run through {posts[0].name}", "another place")
        widest = max(rod.hole for rod in rods)
        needs = vise.block_thickness + widest / 2
        if self.below < needs - 1e-9:
            raise self.refuse(
                "screw_below",
                f"the steel would run through the block, {say(vise.block_thickness)} thick",
                f"at least {say(needs)}, or a thinner block",
            )
        level = self.site.spec.height - self.under - self.below
        for rail in self.crossed(rods, "stretcher"):
            low, high = (p[2] for p in rail.bounds())
            if not low + widest / 2 + WALL <= level <= high - widest / 2 - WALL:
                raise self.refuse(
                    "screw_below",
                    f"the steel's holes would break out of {rail.name}, {say(high - low)} wide",
                    f"{say(self.site.spec.height - self.under - high + widest / 2 + WALL)} to "
                    f"{say(self.site.spec.height - self.under - low - widest / 2 - WALL)}",
                )

    def top_at(self, point: Vec) -> Member:
        """The top section over a point."""
        for section in self.tops:
            low, high = section.bounds()
            if low[1] - 1e-9 <= point[1] <= high[1] + 1e-9:
                return section
        raise self.refuse("at", "there is no top there", "a place on the top")

    def add_jaw(self, at: float, rods: tuple[ViseRod, ...]) -> Member:
        """The jaw, shut on the top's edge, level with it."""
        site, vise = self.site, self.vise
        high = vise.jaw_height
        if high is None:
            widest = max(rod.hole for rod in rods)
            needs = self.under + self.below + widest / 2 + BELOW
            high = math.ceil(needs / (INCH / 8) - 1e-9) * (INCH / 8)
        site.chosen(f"{self.group}.jaw_height", high)
        start = self.point(at - vise.jaw_length / 2, -vise.jaw_thickness, 0.0)
        jaw = site.add(
            Member(
                name=f"{self.group}_jaw",
                role="vise jaw",
                length=vise.jaw_length,
                width=snap(high),
                thickness=vise.jaw_thickness,
                species=site.species(vise.species, f"{self.group}.species"),
                placement=Frame.from_zx(start, self.into, self.along),
                assembly=FITTINGS,
            )
        )
        if vise.dog_hole and self.group == "end_vise" and self.rows:
            self.add_dog_hole(jaw, at, rods)
        return jaw

    def add_dog_hole(self, jaw: Member, at: float, rods: tuple[ViseRod, ...]) -> None:
        """A dog hole in the jaw in line with the first row that it meets clear of its rods."""
        vise, wide = self.vise, self.site.spec.top.dog_holes.diameter
        steel = [(dot(sub(rod.point, self.corner), self.along), rod.hole) for rod in rods]
        face = jaw.face_towards(UP)
        for row in self.rows:
            place = row - (at - vise.jaw_length / 2)
            clear = all(abs(row - x) > (hole + wide) / 2 + WALL for x, hole in steel)
            if wide <= place <= jaw.length - wide and clear:
                middle = self.point(row, -jaw.thickness / 2, 0.0)
                self.site.joints.append(
                    Holes(
                        name=f"{self.group}_dog",
                        member=jaw,
                        face=face,
                        what="dog hole",
                        diameter=wide,
                        points=(on_face(jaw, face, middle),),
                    )
                )
                return

    def add_block(self, at: float) -> Member | None:
        """The block between top and vise, with the vise's mounting holes; or holes in the top."""
        site, vise, mount = self.site, self.vise, self.vise.mount
        start = self.block_start()
        middle = start + vise.block_inward / 2
        spots = [
            self.point(
                at + i * mount.holes_along / 2, middle + j * mount.holes_across / 2, self.under
            )
            for i in ((-1, 1) if mount.holes_along else (0,))
            for j in ((-1, 1) if mount.holes_across else (0,))
        ]
        if vise.block_thickness <= 0.0:
            if mount.hole > 0.0:
                for n, section in enumerate(self.tops, start=1):
                    mine = [p for p in spots if self.top_at(p) is section]
                    if mine:
                        site.joints.append(self.pilots(f"{self.group}_mount_{n}", section, mine))
            return None
        near = self.point(at - vise.block_along / 2, start, self.under)
        far = self.point(at + vise.block_along / 2, start + vise.block_inward, self.under)
        low = (min(near[0], far[0]), min(near[1], far[1]))
        high = (max(near[0], far[0]), max(near[1], far[1]))
        block = site.add(
            slab(
                f"{self.group}_block",
                role="vise block",
                corner=(high[0], low[1], near[2]),
                length=snap(high[0] - low[0]),
                width=snap(high[1] - low[1]),
                thickness=vise.block_thickness,
                species=site.wood,
                plies=1,
                rings="flat",
                assembly=FITTINGS,
            )
        )
        over = [m for m in self.tops if m.bounds()[0][1] < high[1] and m.bounds()[1][1] > low[1]]
        if not over:
            raise self.refuse("at", "there is no top over the block", "a place on the top")
        site.joints.append(
            MountedBlock(
                name=f"{self.group}_block_on_top",
                block=block,
                tops=tuple(over),
                diameter=mount.hole,
                depth=mount.hole_depth,
                points=tuple(spots) if mount.hole > 0.0 else (),
            )
        )
        return block

    def pilots(self, name: str, section: Member, spots: list[Vec]) -> Holes:
        """Pilot holes in the top's underside."""
        face = section.face_towards(DOWN)
        return Holes(
            name=name,
            member=section,
            face=face,
            what="pilot hole",
            diameter=self.vise.mount.hole,
            points=tuple(on_face(section, face, p) for p in spots),
            depth=self.vise.mount.hole_depth,
        )

    def block_start(self) -> float:
        """From the top's edge to the block, mm: behind the stretcher, or before it."""
        vise, lay = self.vise, self.site.layout
        start = vise.block_set_back
        plan = self.site.plan("upper_long" if self.group == "face_vise" else "upper_end")
        edge = lay.front if self.group == "face_vise" else self.site.spec.length - lay.right
        if start is None:
            start = INCH / 2
            if plan is not None and start + vise.block_inward > edge + plan.set_in:
                start = edge + plan.set_in + plan.thickness
        return self.site.chosen(f"{self.group}.block_set_back", start)

    def add_rear_jaw(self, at: float) -> None:
        """The recess for the rear jaw in the top's edge, from its underside up."""
        rear = self.vise.rear_jaw
        if min(rear.length, rear.width, rear.recess) <= 0.0:
            return
        if rear.width > self.under + 1e-9:
            raise self.refuse(
                "rear_jaw.width",
                f"the top's edge is {self.site.say(self.under)} high",
                f"at most {self.site.say(self.under)}",
            )
        down = self.under - rear.width / 2
        a = self.point(at - rear.length / 2, 0.0, down)
        b = self.point(at + rear.length / 2, 0.0, down)
        outward = scale(self.into, -1.0)
        for n, section in enumerate(self.tops, start=1):
            low, high = section.bounds()
            face = section.face_towards(outward)
            if self.group == "face_vise":
                start, stop = a[0], b[0]
                mine = low[1] < 1e-9
            else:
                start, stop = max(a[1], low[1]), min(b[1], high[1])
                mine = stop - start > 1e-6
            if not mine:
                continue
            middle = (start + stop) / 2
            spot = (middle, a[1], a[2]) if self.group == "face_vise" else (a[0], middle, a[2])
            x, y = on_face(section, face, spot)
            self.site.joints.append(
                Recess(
                    name=f"{self.group}_rear_jaw_{n}",
                    member=section,
                    face=face,
                    what="recess",
                    centre=(x, y),
                    length=snap(stop - start),
                    width=rear.width,
                    depth=rear.recess,
                )
            )


__all__ = ["JawViseBuilder"]
