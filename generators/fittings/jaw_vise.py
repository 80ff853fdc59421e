"""Face vise and end vise: a jaw at the top's edge, its screw and rods under the top."""

from __future__ import annotations

import math

from treenail.generators.fittings.jaw_place import WALL, JawVisePlace
from treenail.generators.fittings.plates import on_face
from treenail.generators.fittings.site import FITTINGS
from treenail.generators.parts import DOWN, UP, slab
from treenail.generators.tops import END_ROLES, TOP_ROLES
from treenail.joints.provisions import Holes, MountedBlock, Recess
from treenail.joints.vise_screw import ViseRod, ViseScrew
from treenail.timber.frames import Frame, Vec, along, dot, scale, snap, sub
from treenail.timber.member import Member

INCH = 25.4
#: What the top's edges are made of.
EDGE_ROLES = (*TOP_ROLES, *END_ROLES)
#: What hangs no lower under a top is passed below by the steel, mm (our own choice: 6 in).
DEEPEST = 6 * INCH
#: Jaw left below the rods, mm (our own choice).
BELOW = INCH


def rod_box(rod: ViseRod, way: Vec) -> tuple[Vec, Vec]:
    """The upright box around a rod, mm."""
    a, b, r = rod.point, along(rod.point, way, rod.length), rod.size.diameter / 2
    low, high = (tuple(f(p, q) for p, q in zip(a, b, strict=True)) for f in (min, max))
    return (low[0] - r, low[1] - r, low[2] - r), (high[0] + r, high[1] + r, high[2] + r)


class JawViseBuilder(JawVisePlace):
    """One vise at an edge of the top."""

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
        between = self.crossed(rods)
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
        boxes = [rod_box(rod, self.into) for rod in rods]
        site.leave_out_dog_holes(
            self.group, [*boxes, *((block.bounds(),) if block is not None else ())]
        )

    def refuse_bad_rods(self, rods: tuple[ViseRod, ...]) -> None:
        """Refuse rods through a post, through the block, or out of a stretcher's edge."""
        site, say, vise = self.site, self.site.say, self.vise
        widest = max(rod.hole for rod in rods)
        for other in self.crossed(rods):
            if other.role in site.ground.bored:
                continue
            told, low = f"its steel would run through {other.name}", other.bounds()[0][2]
            under = site.spec.height - self.under - low + widest / 2
            if under <= DEEPEST:
                raise self.refuse(
                    "screw_below", told, f"at least {say(under)}, below it, or another place"
                )
            raise self.refuse("at", told, "another place")
        needs = vise.block_thickness + widest / 2
        if self.below < needs - 1e-9:
            raise self.refuse(
                "screw_below",
                f"the steel would run through the block, {say(vise.block_thickness)} thick",
                f"at least {say(needs)}, or a thinner block",
            )
        level = self.site.spec.height - self.under - self.below
        for rail in self.crossed(rods):
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
        site, vise, mount, say = self.site, self.vise, self.vise.mount, self.site.say
        start = site.chosen(f"{self.group}.block_set_back", self.block_start(at))
        spots = self.mount_spots(at, start)
        self.refuse_screws_in_end_boards(spots)
        if vise.block_set_back is None and start > self.nut_from_edge + 1e-9:
            raise self.refuse(
                "block_set_back",
                f"the first place under the top that is long enough for the block "
                f"({say(vise.block_inward)}) begins {say(start)} from the edge, beyond the nut at "
                f"{say(self.nut_from_edge)}",
                "a block_inward that fits before what stands there, or a place of your own",
            )
        if vise.block_thickness <= 0.0:
            for n, section in enumerate(self.tops, start=1):
                mine = [p for p in spots if self.top_at(p) is section]
                if mine:
                    site.joints.append(self.pilots(f"{self.group}_mount_{n}", section, mine))
            return None
        low, high = self.block_box(at, start)
        for name, (beside, inward) in self.block_meets(at, start).items():
            raise self.refuse(
                "at",
                f"its block would stand in {name}, which runs under the top from "
                f"{say(beside[0])} to {say(beside[1])} along the edge and from {say(inward[0])} to "
                f"{say(inward[1])} inward; the block takes {say(at - vise.block_along / 2)} to "
                f"{say(at + vise.block_along / 2)} and {say(start)} to "
                f"{say(start + vise.block_inward)}",
                "another place, another block_set_back, or a smaller block",
            )
        block = site.add(
            slab(
                f"{self.group}_block",
                role="vise block",
                corner=(high[0], low[1], high[2]),
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
                points=tuple(spots),
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

    def add_rear_jaw(self, at: float) -> None:
        """The recess for the rear jaw in the top's edge, from its underside up."""
        rear = self.vise.rear_jaw
        if min(rear.length, rear.width, rear.recess) <= 0.0:
            return
        facing = self.site.ground.facing if self.group == "face_vise" else None
        if facing is not None and facing.bounds()[0][1] < rear.recess - 1e-9:
            raise self.refuse(
                "rear_jaw.recess",
                f"{facing.name} stands under the top's edge there, where a rear jaw would go; it "
                "is the rear jaw itself, bored for screw and rods",
                "0: a vise of screw and rods alone",
            )
        if rear.width > self.under + 1e-9:
            raise self.refuse(
                "rear_jaw.width",
                f"the top's edge is {self.site.say(self.under)} high",
                f"at most {self.site.say(self.under)}",
            )
        down = self.under - rear.width / 2
        a, b = (self.point(at + side * rear.length / 2, 0.0, down) for side in (-1, 1))
        outward = scale(self.into, -1.0)
        axis = 0 if self.group == "face_vise" else 1
        start, stop = sorted((a[axis], b[axis]))
        edge = dot(outward, self.corner)
        found = 0
        # Sections, or the board across their ends: what makes the edge.
        for member in [m for m in self.site.timbers.values() if m.role in EDGE_ROLES]:
            low, high = member.bounds()
            near, far = max(start, low[axis]), min(stop, high[axis])
            face = member.face_towards(outward)
            if max(dot(outward, low), dot(outward, high)) < edge - 1e-6 or far - near <= 1e-6:
                continue
            found += 1
            spot = list(a)
            spot[axis] = (near + far) / 2
            x, y = on_face(member, face, (spot[0], spot[1], spot[2]))
            self.site.joints.append(
                Recess(
                    name=f"{self.group}_rear_jaw_{found}",
                    member=member,
                    face=face,
                    what="recess",
                    centre=(x, y),
                    length=snap(far - near),
                    width=rear.width,
                    depth=rear.recess,
                )
            )


__all__ = ["JawViseBuilder"]
