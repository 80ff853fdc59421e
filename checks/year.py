"""Every dimension that the year changes, as a straight line over the moisture content.

Change = size x coefficient x points of moisture content (FPL-GTR-190 ch. 13); none along the
grain. A mortise or a hole moves as the wood around it does. All lengths in mm.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from treenail.checks.boards import opening
from treenail.checks.gauge import SAME, local_bounds, mortise_of, peg_holes, tongues_of
from treenail.checks.panels import fixed_line, panel_of, panels
from treenail.joints.barrel_bolt import BarrelBolt
from treenail.joints.features import DogHoles
from treenail.joints.tenon_variants.tusk import TuskTenon
from treenail.timber.frames import dot
from treenail.timber.moisture import movement_coefficient, thickness_coefficient

if TYPE_CHECKING:
    from treenail.checks.rules import Context
    from treenail.joints.mortise_tenon import MortiseTenon
    from treenail.timber.frames import Vec
    from treenail.timber.member import Member

__all__ = ["Track", "alike", "coefficient_along", "is_sure", "tracks", "tracks_of"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Track:
    """One dimension over the year.

    Attributes:
        key: what kind of dimension: ``edge-play``, ``top-width`` ...
        what: the same in words.
        member, joint: where; joint is empty for a member's own size.
        size: the wood that moves, mm.
        built: the dimension at the moisture content of the build, mm.
        per_percent: its change per point of moisture content, mm.
        sure: whether the coefficients are published ones, not from memory or a user's own.
    """

    key: str
    what: str
    member: str
    joint: str = ""
    size: float
    built: float
    per_percent: float
    sure: bool

    def change(self, points: float) -> float:
        """How much it grows when the wood gains so many points of moisture content, mm."""
        return self.per_percent * points

    def at(self, points: float) -> float:
        """What it then is, mm."""
        return self.built + self.per_percent * points


def is_sure(*members: Member) -> bool:
    """Whether the members' coefficients are published ones."""
    return all(m.species.movement_basis in ("printed", "group", "derived") for m in members)


def coefficient_along(member: Member, direction: Vec) -> float:
    """Change per point along a unit vector of the bench; strain turns as a tensor does.

    The three axes of the member are taken as the wood's own: exact along them.
    """
    _, y, z = member.placement.local_direction(direction)
    across = movement_coefficient(member.species, member.rings)
    return y * y * across + z * z * thickness_coefficient(member.species, member.rings)


def tracks(context: Context) -> tuple[Track, ...]:
    """Everything that is tracked, in a stable order."""
    return context.once(
        "season-tracks",
        lambda: (
            *_sizes(context),
            *(t for joint in context.tenons for t in _joint(context, joint)),
            *_shelf(context),
            *_loose(context),
            *_tops(context),
            *_bolts(context),
            *_dog_holes(context),
        ),
    )


def tracks_of(context: Context, key: str) -> list[Track]:
    """The tracks of one kind."""
    return [t for t in tracks(context) if t.key == key]


def alike(found: Iterable[Track]) -> list[list[Track]]:
    """Tracks that say the same of several places, together, in order."""
    groups: dict[tuple[object, ...], list[Track]] = {}
    for t in found:
        numbers = (round(x, 6) for x in (t.size, t.built, t.per_percent))
        groups.setdefault((t.key, t.what, *numbers, t.sure), []).append(t)
    return list(groups.values())


def _sizes(context: Context) -> Iterator[Track]:
    """Width and thickness of each member; a peg's diameter where it moves most."""
    for m in context.bench.members:
        if m.round_section:
            rows = [("diameter", m.width, m.species.c_tangential)]
        else:
            rows = [
                ("width", m.width, movement_coefficient(m.species, m.rings)),
                ("thickness", m.thickness, thickness_coefficient(m.species, m.rings)),
            ]
        for side, size, c in rows:
            yield Track(
                key=f"{m.role.replace(' ', '-')}-{side}",
                what=f"{m.role}'s {side}",
                member=m.name,
                size=size,
                built=size,
                per_percent=size * c,
                sure=is_sure(m),
            )


def _joint(context: Context, joint: MortiseTenon) -> Iterator[Track]:
    tongues = tongues_of(context.bench, joint)
    if not tongues:
        return
    tenon, mortise = tongues[0]  # of several, alike ones
    post, rail = joint.receiver, joint.entering
    home, x, y = joint.insertion(), joint.end_frame.x, joint.end_frame.y
    sure = is_sure(post, rail)

    def track(key: str, what: str, size: float, built: float, slope: float) -> Track:
        return Track(
            key=key,
            what=what,
            member=rail.name,
            joint=joint.name,
            size=size,
            built=built,
            per_percent=slope,
            sure=sure,
        )

    thick, wide = tenon.y1 - tenon.y0, tenon.x1 - tenon.x0
    post_y, post_x, post_home = (coefficient_along(post, v) for v in (y, x, home))
    rail_y, rail_x, rail_home = (coefficient_along(rail, v) for v in (y, x, home))
    yield track("tenon-width", "tenon's width", wide, wide, wide * rail_x)
    yield track(
        "cheek-play",
        "play at the tenon's cheeks",
        thick,
        mortise.width - thick,
        mortise.width * post_y - thick * rail_y,
    )
    yield track(
        "edge-play",
        "play at the tenon's edges",
        wide,
        mortise.length - wide,
        mortise.length * post_x - wide * rail_x,
    )
    stubs = [] if joint.through else [("tenon", mortise.depth, tenon.length)]
    socket = mortise_of(context.bench, joint, "haunch socket")
    if tenon.haunch and socket:
        stubs.append(("haunch", socket.depth, tenon.haunch.length))
    for stub, deep, length in stubs:
        slope = deep * post_home - length * rail_home
        yield track("bottom-gap", f"gap under the {stub}", deep, deep - length, slope)
    if joint.through:
        whole = post.extent(joint.receiver_face)
        slope = tenon.length * rail_home - whole * post_home
        yield track("proud", "through tenon's end over the face", whole, joint.proud, slope)
    if joint.bolted or isinstance(joint, TuskTenon):
        return  # bolts are tracked by themselves; a tusk's wedge sinks as far as the post shrinks
    if joint.draw is None or not joint.draw.count:
        # Glue holds a tenon about the middle of its length (our own model).
        half = tenon.length / 2
        slope = half * post_home
        yield track("shoulder-hold", "post's wood from the shoulder to the glue", half, 0.0, slope)
    else:
        yield from _pegs(context, joint, sure)


def _pegs(context: Context, joint: MortiseTenon, sure: bool) -> Iterator[Track]:
    post, rail, draw = joint.receiver, joint.entering, joint.draw
    holes = peg_holes(context.bench, joint)
    if draw is None or not holes:
        return
    home, x = joint.insertion(), joint.end_frame.x
    post_home, rail_home = coefficient_along(post, home), coefficient_along(rail, home)
    post_x, rail_x = coefficient_along(post, x), coefficient_along(rail, x)
    # How a peg's rings lie in its hole is chance: it is taken to lie the worst way.
    peg_c = draw.species.c_tangential
    with_peg = sure and draw.species.movement_basis in ("printed", "group", "derived")

    def track(key: str, what: str, size: float, built: float, slope: float, known: bool) -> Track:
        return Track(
            key=key,
            what=what,
            member=rail.name,
            joint=joint.name,
            size=size,
            built=built,
            per_percent=slope,
            sure=known,
        )

    d = max(h.post.diameter for h in holes)
    for setback, pulled in sorted({(h.setback, h.draw) for h in holes}):
        # The post's wood from its face to the hole's near side, and the peg, are squeezed
        # together on the length of tenon from its shoulder to its hole's far side.
        near, far = setback - d / 2, setback - pulled + d / 2
        slope = near * post_home + d * peg_c - far * rail_home
        yield track("draw", "what the pegs draw", near + d, pulled, slope, with_peg)
    least = min(post_home, post_x, rail_home, rail_x)
    yield track(
        "peg-play",
        "play of a peg in its hole, where that is most",
        d,
        d - draw.diameter,
        d * (least - peg_c),
        with_peg,
    )
    yield track(
        "peg-hole-oval",
        "post's peg hole across its grain, against along it",
        d,
        0.0,
        d * (post_home - post_x),
        sure,
    )
    spread = max(h.x for h in holes) - min(h.x for h in holes)
    if spread > SAME:
        slope = spread * (rail_x - post_x)
        yield track("peg-spread", "outer pegs' holes, tenon against post", spread, 0.0, slope, sure)


def _shelf(context: Context) -> Iterator[Track]:
    boards = [m for m in context.bench.timbers if m.role == "shelf board"]
    for a, b in itertools.pairwise(boards):
        low, high = local_bounds(a, b)
        gap = opening(context.bench, a, b, max(low[1] - a.width, -high[1]))
        swell = sum(m.width * movement_coefficient(m.species, m.rings) for m in (a, b)) / 2
        yield Track(
            key="shelf-gap",
            what="gap between shelf boards",
            member=b.name,
            size=(a.width + b.width) / 2,
            built=gap,
            per_percent=-swell,
            sure=is_sure(a, b),
        )


def _loose(context: Context) -> Iterator[Track]:
    from treenail.checks.loose_pieces import loose_tracks  # which needs what is above

    return loose_tracks(context)


# --- tops


def _span(member: Member, axis: Vec) -> tuple[float, float]:
    spots = [dot(p, axis) for p in member.world_corners()]
    return min(spots), max(spots)


def _tops(context: Context) -> Iterator[Track]:
    for panel in panels(context):
        axis = panel[0].placement.y
        total = sum(m.width for m in panel)
        slope = sum(m.width * movement_coefficient(m.species, m.rings) for m in panel)
        sure = is_sure(*panel)
        yield Track(
            key="top-width",
            what="whole top across its grain",
            member=panel[0].name,
            size=total,
            built=total,
            per_percent=slope,
            sure=sure,
        )
        bolts = [b for b in context.bolts if b.top in panel]
        if bolts and abs(abs(axis[1]) - 1.0) < SAME:
            yield from _edges(context, panel, slope / total)


def _edges(context: Context, panel: tuple[Member, ...], c: float) -> Iterator[Track]:
    """The top's front and back edges against the outer faces of the posts below them.

    Of a top in several panels, the outermost ones have these edges. Both are followed from the
    line of bolts that holds the panel: through the top, and through as much of posts as lies
    across between the line and the face; stretchers keep their length.
    """
    axis = panel[0].placement.y
    front = (0.0, 1.0, 0.0)
    line = fixed_line(context, panel) * dot(axis, front)
    posts = [m for m in context.bench.timbers if m.role == "post"]
    if not posts:
        return
    edges = [_span(m, front) for m in panel]
    whole = [_span(m, front) for p in panels(context) for m in p]
    outer = {"front": min(e[0] for e in whole), "back": max(e[1] for e in whole)}
    rows: dict[tuple[float, float], float] = {}
    for post in posts:
        low, high = (round(x, 6) for x in _span(post, front))
        rows[low, high] = max(rows.get((low, high), 0.0), coefficient_along(post, front))
    for side, edge, face, way in (
        ("front", min(e[0] for e in edges), min(r[0] for r in rows), -1.0),
        ("back", max(e[1] for e in edges), max(r[1] for r in rows), 1.0),
    ):
        if abs(edge - outer[side]) > SAME:
            continue
        between = sorted((line, face))
        wood = sum(
            rc * max(0.0, min(high, between[1]) - max(low, between[0]))
            for (low, high), rc in rows.items()
        )
        away = (edge - line) * way
        yield Track(
            key=f"{side}-overhang",
            what=f"top's {side} edge over the {side} posts' faces",
            member=panel[0].name,
            size=abs(away),
            built=(edge - face) * way,
            per_percent=away * c - (wood if (face - line) * way > 0.0 else -wood),
            sure=is_sure(*panel, *posts),
        )


def _bolts(context: Context) -> Iterator[Track]:
    """The wood that each bolt clamps: where it shrinks, the head comes loose."""
    for bolt in context.bolts:
        c = coefficient_along(bolt.carrier, bolt.direction)
        yield Track(
            key="bolt-grip",
            what="stretcher's wood under a bolt's head",
            member=bolt.carrier.name,
            joint=bolt.name,
            size=bolt.web,
            built=bolt.web,
            per_percent=bolt.web * c,
            sure=is_sure(bolt.carrier),
        )
    for joint in context.bench.joints:
        if isinstance(joint, BarrelBolt):
            c = coefficient_along(joint.post, joint.drive)
            yield Track(
                key="knock-down-grip",
                what="post's wood under a knock-down bolt's washer",
                member=joint.post.name,
                joint=joint.name,
                size=joint.grip,
                built=joint.grip,
                per_percent=joint.grip * c,
                sure=is_sure(joint.post),
            )


def _dog_holes(context: Context) -> Iterator[Track]:
    """How far a row moves from the next one, and how oval its holes get."""
    rows = [j for j in context.bench.joints if isinstance(j, DogHoles) and j.points]
    for joint in rows:
        m = joint.member
        c = movement_coefficient(m.species, m.rings)
        yield Track(
            key="dog-hole-oval",
            what="dog hole across the grain, against along it",
            member=m.name,
            joint=joint.name,
            size=joint.diameter,
            built=0.0,
            per_percent=joint.diameter * c,
            sure=is_sure(m),
        )
    for a, b in itertools.pairwise(rows):
        if b.member not in panel_of(context, a.member):
            continue
        axis = a.member.placement.y
        spots = [
            dot(
                j.member.placement.point(j.member.face_frame(j.face).point((*j.points[0], 0.0))),
                axis,
            )
            for j in (a, b)
        ]
        apart = abs(spots[1] - spots[0])
        yield Track(
            key="dog-hole-rows",
            what="distance of two rows of dog holes",
            member=a.member.name,
            joint=a.name,
            size=apart,
            built=apart,
            per_percent=apart * movement_coefficient(a.member.species, a.member.rings),
            sure=is_sure(a.member, b.member),
        )
