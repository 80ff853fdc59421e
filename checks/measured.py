"""A joint as it is on the solids: gaps, seat, draw and pegs, measured face to face.

The joint's numbers say only where to look; what is reported is read off the faces found there.
Works alike on solids just built and on solids read back from a STEP file.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, TypeAlias

from treenail.checks.overlap import Overlaps, Shared, faces_touch
from treenail.checks.survey import Box, FaceData, Placed, Site, common_box, placed_box
from treenail.joints.corner_fit import corners_of
from treenail.joints.mortise_tenon import MortiseTenon, Section
from treenail.timber.frames import Frame, Vec, snap
from treenail.timber.member import Face

if TYPE_CHECKING:
    import cadquery as cq

    from treenail.generators.bench import Bench
    from treenail.generators.solids import BenchSolids

#: How far from its expected place a face is looked for, mm.
REACH = 5.0
#: Overlaps of faces narrower than this don't count, mm.
_LEAST = 1e-6

Pair: TypeAlias = tuple[float | None, float | None]


@dataclass(frozen=True, slots=True, kw_only=True)
class JointMeasure:
    """What was measured on a mortise and tenon's solids; None: no such face was found. All mm.

    Attributes:
        cheek_gaps: tenon to mortise at the face-side cheek and the back-side cheek; of several
            tenons the one farthest from what was asked.
        edge_gaps: the same at the face edge and the back edge.
        bottom_gap: tenon's end to the mortise's bottom; None for a through tenon.
        shoulder_gaps: shoulder to the mortised face, by the side of the tenon it stands on.
        draw_offsets: for each peg, how much nearer the shoulder the tenon's hole lies.
        draw_asides: for each peg, how far the two holes' axes miss each other along the tenon's
            width.
        peg_engagements: for each peg, how far it reaches into the wall beyond the tenon.
        overlap: volume shared by pegs and tenon, mm³.
    """

    cheek_gaps: Pair
    edge_gaps: Pair
    bottom_gap: float | None
    shoulder_gaps: Mapping[str, float | None]
    draw_offsets: tuple[float | None, ...]
    draw_asides: tuple[float | None, ...]
    peg_engagements: tuple[float | None, ...]
    overlap: float

    @property
    def shoulder_gap(self) -> float | None:
        """The worst shoulder's gap."""
        gaps = [g for g in self.shoulder_gaps.values() if g is not None]
        return max(gaps, key=abs) if gaps else None

    @property
    def draw_offset(self) -> float | None:
        """The least draw of all pegs."""
        known = [o for o in self.draw_offsets if o is not None]
        return min(known) if known else None

    @property
    def draw_direction_ok(self) -> bool:
        """Every peg pulls the shoulder home, none pushes it off."""
        return all(o is not None and o > -1e-6 for o in self.draw_offsets)

    @property
    def peg_engagement(self) -> float | None:
        """The least engagement of all pegs."""
        known = [e for e in self.peg_engagements if e is not None]
        return min(known) if known else None


class _Look:
    """One tenon's faces in its joint's frame: x along the width, z home, mouth at z = 0."""

    def __init__(self, site: Site, joint: MortiseTenon, section: Section) -> None:
        self.joint = joint
        self.frame = Frame.from_zx(
            joint.mouth_point(0.0, 0.0), joint.insertion(), joint.end_frame.x
        ).snapped()
        x0, x1, y0, y1 = section
        # y runs against the end frame's.
        self.spans = ((x0, x1), (-y1, -y0))
        rail = joint.entering
        self.width, self.thickness = rail.width, rail.thickness
        self.depth = joint.mortise_depth
        within: Box = (
            (-REACH, -rail.thickness - REACH, -REACH),
            (rail.width + REACH, REACH, max(self.depth, joint.length) + REACH),
        )
        self.rail = site[rail.name].faces_in(self.frame, within)
        self.post = site[joint.receiver.name].faces_in(self.frame, within)

    def side_axis(self, side: Face) -> tuple[int, float]:
        """(axis, sign) of the direction in which a side of the rail looks."""
        outward = self.joint.entering.placement.direction(side.outward)
        local = self.frame.local_direction(outward)
        axis = max(range(3), key=lambda i: abs(local[i]))
        return axis, math.copysign(1.0, local[axis])

    def gap(self, side: Face) -> tuple[float | None, float | None]:
        """(gap beside the tenon on one side, place of the mortise's wall on its axis)."""
        axis, sign = self.side_axis(side)
        expected = self.spans[axis][1 if sign > 0.0 else 0]
        across = 1 - axis
        cheeks = [
            f
            for f in _planes(self.rail, axis, sign)
            if _shared(f.box, across, *self.spans[across]) > _LEAST
            and _shared(f.box, 2, 0.0, self.joint.length) > _LEAST
        ]
        cheek = _nearest(cheeks, axis, expected)
        if cheek is None:
            return None, None
        here = cheek.point[axis]
        walls = [
            f
            for f in _planes(self.post, axis, -sign)
            if _shared(f.box, across, cheek.box[0][across], cheek.box[1][across]) > _LEAST
            and _shared(f.box, 2, max(cheek.box[0][2], 0.0), cheek.box[1][2]) > _LEAST
        ]
        wall = _nearest(walls, axis, here)
        if wall is None:
            return None, None
        return snap(sign * (wall.point[axis] - here)), wall.point[axis]

    def bottom(self) -> float | None:
        """Gap between the tenon's end and the mortise's bottom."""
        if self.joint.through:
            return None
        reaching = [f.box[1][2] for f in self.rail if self._over_tenon(f.box)]
        floors = [
            f
            for f in _planes(self.post, 2, -1.0)
            if self._over_tenon(f.box) and self._between_walls(f.box)
        ]
        floor = _nearest(floors, 2, self.depth)
        if floor is None or not reaching:
            return None
        return snap(floor.point[2] - max(reaching))

    def _over_tenon(self, box: Box) -> bool:
        return box[1][2] > _LEAST and all(
            _shared(box, i, *self.spans[i]) > _LEAST or box[1][i] - box[0][i] <= _LEAST
            for i in (0, 1)
        )

    def _between_walls(self, box: Box) -> bool:
        """Whether a face ends where the mortise's walls stand; another mortise's wall goes on."""
        corners = corners_of(self.joint)
        beyond = corners.beyond if corners else 0.0  # relief holes dip into the walls
        for side in (Face.FACE_SIDE, Face.BACK_SIDE, Face.FACE_EDGE, Face.BACK_EDGE):
            axis, sign = self.side_axis(side)
            _, wall = self.gap(side)
            end = box[1 if sign > 0.0 else 0][axis]
            if wall is not None and sign * (end - wall) > beyond + _LEAST:
                return False
        return True

    def shoulders(self) -> dict[str, float | None]:
        """Gap at each shoulder that was asked for."""
        asked = self.joint.shoulders
        found: dict[str, float | None] = {}
        for side, wide in (
            (Face.FACE_EDGE, asked.face_edge),
            (Face.BACK_EDGE, asked.back_edge),
            (Face.FACE_SIDE, asked.face_side),
            (Face.BACK_SIDE, asked.back_side),
        ):
            haunch = self.joint.haunch
            stub = haunch.width if haunch and haunch.edge is side else 0.0
            if wide - stub > _LEAST:
                found[str(side)] = self._seat(side, stub)
        return found

    def _seat(self, side: Face, stub: float) -> float | None:
        axis, sign = self.side_axis(side)
        outer = (self.width, 0.0)[axis] if sign > 0.0 else (0.0, -self.thickness)[axis]
        inner = self.spans[axis][1 if sign > 0.0 else 0] + sign * stub
        low, high = min(inner, outer), max(inner, outer)

        def there(faces: Iterable[FaceData]) -> list[FaceData]:
            return [f for f in faces if _shared(f.box, axis, low, high) > _LEAST]

        shoulder = _nearest(there(_planes(self.rail, 2, 1.0)), 2, 0.0)
        if shoulder is None:
            return None
        mouth = _nearest(there(_planes(self.post, 2, -1.0)), 2, shoulder.point[2])
        return None if mouth is None else snap(mouth.point[2] - shoulder.point[2])

    def holes(self, x: float, setback: float, *, drawn: float) -> tuple[Pair, Pair]:
        """((x, z) of a peg's hole in the post, the same in the tenon)."""
        return self._hole(self.post, x, setback), self._hole(self.rail, x, setback - drawn)

    @staticmethod
    def _hole(faces: Iterable[FaceData], x: float, z: float) -> Pair:
        round_ones = [
            f
            for f in faces
            if f.kind == "cylinder" and f.hollow and abs(abs(f.axis[1]) - 1.0) < 1e-9
        ]
        best = min(
            round_ones, key=lambda f: math.hypot(f.point[0] - x, f.point[2] - z), default=None
        )
        if best is None or math.hypot(best.point[0] - x, best.point[2] - z) > REACH:
            return None, None
        return best.point[0], best.point[2]


def _planes(faces: Iterable[FaceData], axis: int, sign: float) -> Iterable[FaceData]:
    """Plane faces that look along an axis."""
    return (f for f in faces if f.kind == "plane" and sign * f.axis[axis] > 1.0 - 1e-9)


def _nearest(faces: Iterable[FaceData], axis: int, place: float) -> FaceData | None:
    best = min(faces, key=lambda f: abs(f.point[axis] - place), default=None)
    return best if best is not None and abs(best.point[axis] - place) <= REACH else None


def _shared(box: Box, axis: int, low: float, high: float) -> float:
    """Length along an axis that a box shares with a span."""
    return min(box[1][axis], high) - max(box[0][axis], low)


def _reach(place: Placed, frame: Frame, direction: Vec) -> float:
    """How far a solid reaches along a direction of a frame, from the frame's origin."""
    low, high = placed_box(place.survey.box, frame.localise(place.frame))
    return sum(max(d * g, d * h) for d, g, h in zip(direction, low, high, strict=True))


def _worst(looks: Iterable[_Look], side: Face, asked: float) -> Pair:
    """Of several tenons: the gap farthest from what was asked, the wall farthest out."""
    gap: float | None = None
    wall: tuple[float, float] | None = None
    for look in looks:
        found, at = look.gap(side)
        if found is None or at is None:
            return None, None
        if gap is None or abs(found - asked) > abs(gap - asked):
            gap = found
        out = look.side_axis(side)[1] * at
        wall = (out, at) if wall is None or out > wall[0] else wall
    return gap, None if wall is None else wall[1]


def _least(values: Iterable[float | None]) -> float | None:
    """The least of all; None if one is missing."""
    known = list(values)
    found = [v for v in known if v is not None]
    return min(found) if found and len(found) == len(known) else None


def measure_joint(
    solids: Mapping[str, cq.Solid] | Site, joint: MortiseTenon, *, overlaps: Overlaps | None = None
) -> JointMeasure:
    """Measure a mortise and tenon on placed solids.

    Args:
        solids: placed solids by member name; pegs under their own names. A ``Site`` of them
            spares reading the faces again.
        joint: says where to look.
        overlaps: pairs measured before, to share them.
    """
    site = solids if isinstance(solids, Site) else Site(solids)
    overlaps = overlaps or Overlaps()
    look = _Look(site, joint, joint.section)
    tongues = joint.tongues
    looks = [look] if tongues == (joint.section,) else [_Look(site, joint, t) for t in tongues]
    (front, front_wall), (back, back_wall) = (
        _worst(looks, side, joint.fit.cheek.mid / 2.0) for side in (Face.FACE_SIDE, Face.BACK_SIDE)
    )
    offsets: list[float | None] = []
    asides: list[float | None] = []
    engaged: list[float | None] = []
    overlap = 0.0
    draw = joint.draw
    if draw is not None:
        drive = look.frame.local_direction(joint.drive_direction)
        wall = back_wall if draw.drive_side is Face.FACE_SIDE else front_wall
        for (x, setback), peg in zip(joint.peg_points, joint.pegs(), strict=True):
            (px, pz), (tx, tz) = look.holes(x, setback, drawn=draw.offset)
            offsets.append(None if pz is None or tz is None else snap(pz - tz))
            asides.append(None if px is None or tx is None else snap(px - tx))
            place = site[peg.name]
            tip = _reach(place, look.frame, drive)
            engaged.append(None if wall is None else snap(tip - wall * drive[1]))
            overlap += overlaps.between(site[joint.entering.name], place).volume
    return JointMeasure(
        cheek_gaps=(front, back),
        edge_gaps=(
            _worst(looks, Face.FACE_EDGE, joint.fit.edge.mid / 2.0)[0],
            _worst(looks, Face.BACK_EDGE, joint.fit.edge.mid / 2.0)[0],
        ),
        bottom_gap=_least(one.bottom() for one in looks),
        shoulder_gaps=look.shoulders(),
        draw_offsets=tuple(offsets),
        draw_asides=tuple(asides),
        peg_engagements=tuple(engaged),
        overlap=snap(overlap),
    )


class Measures:
    """Everything measured on one bench's solids; what stands alike is measured once.

    Attributes:
        site: the solids' faces.
        overlaps: shared volumes of pairs.
    """

    def __init__(self, bench: Bench, placed: Mapping[str, cq.Solid]) -> None:
        """Measure ``placed`` solids (built, or read back from a file) as ``bench``'s members."""
        self.bench = bench
        self.site = Site(placed)
        self.overlaps = Overlaps()

    @cached_property
    def joints(self) -> dict[str, JointMeasure]:
        """Every mortise and tenon, by the joint's name."""
        known: dict[object, JointMeasure] = {}
        found = {}
        for joint in self.bench.joints:
            if isinstance(joint, MortiseTenon):
                key = self._likeness(joint)
                if key not in known:
                    known[key] = measure_joint(self.site, joint, overlaps=self.overlaps)
                found[joint.name] = known[key]
        return found

    def _likeness(self, joint: MortiseTenon) -> object:
        """What two joints must share to measure alike: shapes and how they stand to each other."""
        frame = joint.end_frame
        around = [joint.receiver.name, joint.entering.name, *(p.name for p in joint.pegs())]
        drive = frame.local_direction(joint.drive_direction) if joint.draw else ()
        return (
            joint.section,
            joint.tongues,
            joint.length,
            joint.mortise_depth,
            joint.shoulders,
            joint.haunch,
            joint.through,
            joint.peg_points,
            tuple(snap(v) for v in drive),
            tuple((id(self.site[n].survey), frame.localise(self.site[n].frame)) for n in around),
        )

    @cached_property
    def shared(self) -> dict[tuple[str, str], Shared]:
        """What each pair of solids shares, for all whose bounds overlap."""
        found = {}
        for first, second in itertools.combinations(self.site.values(), 2):
            shared = self.overlaps.between(first, second)
            if shared.how != "apart":
                found[first.name, second.name] = shared
        return found

    @cached_property
    def untouched(self) -> tuple[str, ...]:
        """Names of solids that touch no other."""
        meets: set[str] = set()
        for pair, shared in self.shared.items():
            if shared.volume > 1e-3:
                meets.update(pair)
        places = list(self.site.values())
        known: dict[tuple[int, int, Frame], bool] = {}
        for place in places:
            if place.name in meets:
                continue
            for other in places:
                if other is place or common_box(place.box, other.box) is None:
                    continue
                key = (id(place.survey), id(other.survey), place.frame.localise(other.frame))
                if key not in known:
                    known[key] = faces_touch(place, other)
                if known[key]:
                    meets.update((place.name, other.name))
                    break
        return tuple(place.name for place in places if place.name not in meets)


def measures_of(solids: BenchSolids) -> Measures:
    """The measures of a bench's solids, made once for each ``BenchSolids``."""
    # Kept with the solids: BenchSolids has no hash, and its measures shall not outlive it.
    known = solids.__dict__.get("_measures")
    if not isinstance(known, Measures):
        known = solids.__dict__["_measures"] = Measures(solids.bench, solids.placed)
    return known


def measure_bench(solids: BenchSolids) -> dict[str, JointMeasure]:
    """Every mortise and tenon of a bench as measured on its solids, by joint name."""
    return measures_of(solids).joints
