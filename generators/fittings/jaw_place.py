"""Where a face or end vise stands at the top's edge, and where its steel runs under the top."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from treenail.generators.end_boards import boards_width
from treenail.generators.fittings.plates import hole_for
from treenail.generators.fittings.site import Site, measured
from treenail.generators.parts import BACK, DOWN, LEFT
from treenail.joints.convex import segment_distance, separation
from treenail.joints.features import DogHoles
from treenail.joints.lag_bolt import LagBolt
from treenail.joints.vise_screw import ViseRod
from treenail.timber.frames import Vec, add, cross, dot, scale, snap, snap_vec, sub
from treenail.timber.measured_parts import headed_rod

if TYPE_CHECKING:
    from collections.abc import Sequence

    from treenail.generators.fittings.site import Hole
    from treenail.generators.fittings_spec import JawVise
    from treenail.joints.trenches import Span
    from treenail.timber.errors import SpecError
    from treenail.timber.member import Member

INCH = 25.4
#: Wood between a vise's steel and bolts, dogs or a stretcher's edge, mm (our own choice).
WALL = INCH / 4
#: Steps in which a place along the edge is looked for, mm.
STEP = INCH / 4


class JawVisePlace:
    """Where a vise stands at an edge of the top, and where its steel runs.

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
        self._boxes = {m.name: m.bounds() for m in site.timbers.values()}
        self._bores: dict[str, list[Hole]] = {}
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

    def crossed(self, rods: tuple[ViseRod, ...]) -> list[Member]:
        """Members through whose wood the rods run, the vise shut."""
        return [
            member
            for member in self.site.timbers.values()
            if any(self._cuts(rod, member) for rod in rods)
        ]

    def _cuts(self, rod: ViseRod, member: Member) -> bool:
        axis = (rod.point, add(rod.point, scale(self.into, rod.length)))
        low, high = self._boxes[member.name]
        for i in range(3):
            start, stop = sorted((axis[0][i], axis[1][i]))
            if start - rod.hole / 2 >= high[i] or stop + rod.hole / 2 <= low[i]:
                return False
        return separation(axis, tuple(member.world_corners())).distance < rod.hole / 2

    # -- the block ---------------------------------------------------------------------------

    def block_start(self, at: float) -> float:
        """From the top's edge to the block, mm: behind what runs along the edge, or before it."""
        if self.vise.block_set_back is not None:
            return self.vise.block_set_back
        start = max(INCH / 2, self.behind_end_board() if self.group == "end_vise" else 0.0)
        half, inward = self.vise.block_along / 2, self.vise.block_inward
        for (low, high), (near, far) in sorted(self._under_top().values(), key=lambda m: m[1]):
            if low < at - half and high > at + half and near < start + inward and far > start:
                start = far
        return snap(start)

    def _under_top(self) -> dict[str, tuple[Span, Span]]:
        """What stands where a block would, under the top: along the edge, and inward; by name."""
        high = self.site.spec.height - self.under
        low = high - max(self.vise.block_thickness, 1.0)
        found = {}
        for name, (a, b) in self._boxes.items():
            if a[2] < high - 1e-6 and b[2] > low + 1e-6:
                ends = [sub(p, self.corner) for p in (a, b)]
                along, inward = (
                    sorted(dot(p, way) for p in ends) for way in (self.along, self.into)
                )
                found[name] = ((along[0], along[1]), (inward[0], inward[1]))
        return found

    def block_meets(self, at: float, start: float) -> dict[str, tuple[Span, Span]]:
        """What of that the block would stand in."""
        half, stop = self.vise.block_along / 2, start + self.vise.block_inward
        return {
            name: (along, inward)
            for name, (along, inward) in self._under_top().items()
            if min(along[1], at + half) - max(along[0], at - half) > 1e-6
            and min(inward[1], stop) - max(inward[0], start) > 1e-6
        }

    def behind_end_board(self) -> float:
        """Edge to block, mm, from which on its screws stand behind the board at the end; or 0."""
        mount, board = self.vise.mount, boards_width(self.site.spec.top)
        if board <= 0.0 or mount.hole <= 0.0:
            return 0.0
        first = (self.vise.block_inward - mount.holes_across) / 2
        step = INCH / 16 if self.site.units == "in" else 1.0
        return math.ceil((board + mount.hole / 2 + WALL - first) / step - 1e-9) * step

    def refuse_screws_in_end_boards(self, spots: Sequence[Vec]) -> None:
        """Refuse screws in a board across the top's end: the slab slides in it."""
        length, say = self.site.spec.length, self.site.say
        board, hole = boards_width(self.site.spec.top), self.vise.mount.hole
        if board <= 0.0 or not spots:
            return
        near = min(min(x, length - x) for x, _, _ in spots)
        needs = board + hole / 2 + WALL
        if near >= needs - 1e-9:
            return
        kind = "breadboard" if getattr(self.site.spec.top, "ends", "") == "breadboard" else "cap"
        told = (
            f"a screw that holds the vise would stand {say(near)} from the top's end: in the "
            f"{kind} there, {say(board)} wide, or the tenons that slide in it, or beside it with "
            f"less than {say(WALL)} of wood"
        )
        if self.group == "end_vise":
            raise self.refuse(
                "block_set_back",
                told,
                f"at least {say(self.behind_end_board())}, or a smaller mount.holes_across",
            )
        half = self.vise.mount.holes_along / 2
        raise self.refuse("at", told, f"{say(needs + half)} to {say(length - needs - half)}")

    def mount_spots(self, at: float, start: float) -> list[Vec]:
        """The mounting screws on the top's underside."""
        mount, middle = self.vise.mount, start + self.vise.block_inward / 2
        if mount.hole <= 0.0:
            return []
        a, b = mount.holes_along / 2, mount.holes_across / 2
        return [
            self.point(at + i * a, middle + j * b, self.under)
            for i in ((-1, 1) if a else (0,))
            for j in ((-1, 1) if b else (0,))
        ]

    def block_box(self, at: float, start: float) -> tuple[Vec, Vec]:
        """(low, high) corner of the block, mm."""
        vise = self.vise
        one = self.point(at - vise.block_along / 2, start, self.under + vise.block_thickness)
        two = self.point(at + vise.block_along / 2, start + vise.block_inward, self.under)
        x, y = sorted((one[0], two[0])), sorted((one[1], two[1]))
        return (x[0], y[0], one[2]), (x[1], y[1], two[2])

    # -- the place ---------------------------------------------------------------------------

    def place(self) -> float:
        """The screw's place along the edge, mm: clear of what is there, of dogs if it can be."""
        vise, (left, right) = self.vise, self.site.ground.bay
        if vise.at is not None:
            return vise.at
        if self.group == "end_vise":
            return self.edge / 2
        half = (vise.rod_spacing or 0.0) / 2 if vise.rods else 0.0
        half = max(half, vise.block_along / 2 if vise.block_thickness else 0.0)
        low, high = left + half, right - half
        first, last = math.ceil(low / STEP), math.floor(high / STEP)
        for dogs in (True, False):
            for i in range(first, last + 1):
                if self._is_clear(i * STEP, dogs=dogs):
                    return i * STEP
        raise self.refuse(
            "at",
            f"from {self.site.say(left)} to {self.site.say(right)} along the edge no place is "
            "clear of bolts, pegs, holes and bearers",
            "a place for it, or another screw_below",
        )

    def _is_clear(self, at: float, *, dogs: bool) -> bool:
        rods = self.rods(at)
        crossed = self.crossed(rods)
        if any(m.role not in self.site.ground.bored for m in crossed):
            return False
        for axis, radius in (hole for m in crossed for hole in self._bores_of(m)):
            for rod in rods:
                mine = (rod.point, add(rod.point, scale(self.into, rod.length)))
                if segment_distance(mine, axis).distance < rod.hole / 2 + radius + WALL:
                    return False
        start = self.block_start(at)
        if self.vise.block_thickness and self.block_meets(at, start):
            return False
        screws = [(p, self.vise.mount.hole) for p in self.mount_spots(at, start)]
        for joint in self.site.joints:
            spots: list[tuple[Vec, float]] = []
            if isinstance(joint, LagBolt):
                spots = [(joint.point, max(joint.counterbore_diameter, joint.size.washer_od))]
            elif isinstance(joint, DogHoles) and joint.member in self.tops:
                frame = joint.member.placement.place(joint.member.face_frame(joint.face))
                spots = [(frame.point((x, y, 0.0)), joint.diameter) for x, y in joint.points]
            for spot, wide in spots:
                if any(math.dist(p[:2], spot[:2]) < (wide + hole) / 2 + WALL for p, hole in screws):
                    return False
                if (dogs or isinstance(joint, LagBolt)) and any(
                    self._over(rod, spot, wide) for rod in rods
                ):
                    return False
        return True

    def _over(self, rod: ViseRod, spot: Vec, wide: float) -> bool:
        off = sub(spot, rod.point)
        beside = abs(dot(off, self.along)) < (wide + rod.hole) / 2 + WALL
        return beside and -WALL < dot(off, self.into) < rod.length + WALL

    def _bores_of(self, member: Member) -> list[Hole]:
        if member.name not in self._bores:
            self._bores[member.name] = self.site.bores(member)
        return self._bores[member.name]


__all__ = ["WALL", "JawVisePlace"]
