"""Panels between the stretchers at the ends and the back: upright boards, loose in grooves.

Along the grain wood keeps its length, so a panel stands in the stretchers' grooves with little
room; across it the posts' grooves, and the openings between tongued boards, take the seasons.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from treenail.generators.climate import seasons_of
from treenail.generators.frame_layout import in_units
from treenail.generators.parts import BACK, LEFT, RIGHT, UP
from treenail.joints.board_groove import BoardGroove
from treenail.joints.edges import TongueGroove
from treenail.joints.fits import FITS
from treenail.timber.errors import SpecError
from treenail.timber.frames import Frame, Vec, along, dot, neg, snap, snap_vec
from treenail.timber.member import Face, Member
from treenail.timber.moisture import movement, movement_coefficient

if TYPE_CHECKING:
    from collections.abc import Mapping

    from treenail.generators.bench import Seasons
    from treenail.generators.frame_layout import Layout, Say, TenonPlan
    from treenail.generators.frame_spec import FrameBenchSpec, Panels
    from treenail.joints.base import Joint
    from treenail.timber.species import Species

__all__ = ["panel_face", "panel_sides"]

INCH = 25.4
#: How far a panel stands in its grooves where shoulders give room, mm (common practice: 3/8 in).
GROOVE = 0.375 * INCH
#: Wood left between a post's groove and the mortises above and below it, mm (our own choice).
OFF_MORTISE = 2.0
#: Room over the panel's upper end, and least room at its edges, mm (our own choice).
END_ROOM, EDGE_ROOM = 2.0, 1.5
#: How far a board's tongue stands in the next board, mm (our own choice: 1/4 in).
TONGUE = 0.25 * INCH
#: Rooms are this many times what the wettest season asks for (our own choice).
SPARE = 1.25
#: Wood left beside a groove in a stretcher, mm (our own choice: 1/4 in).
WALL = 0.25 * INCH


@dataclass(frozen=True)
class _Opening:
    """Where a panel stands: which stretchers and posts, outward direction, and their plans."""

    side: str
    out: Vec
    posts: tuple[str, str]
    lower: TenonPlan
    upper: TenonPlan

    @property
    def name(self) -> str:
        return f"panel_{self.side}"


def panel_sides(
    spec: FrameBenchSpec,
    layout: Layout,
    wood: Species,
    posts: Mapping[str, Member],
    rails: Mapping[str, Member],
    units: str,
) -> tuple[list[Member], list[Joint]]:
    """The panels that a spec asks for, and their grooves; empty without panels.

    Raises:
        SpecError: stretchers or shoulders give the grooves no room; the field is named.
    """
    where, say = spec.panels.where, in_units(units)
    sides = {"none": (), "ends": ("left", "right"), "back": ("back",)}.get(
        where, ("left", "right", "back")
    )
    if "back" in sides and spec.bolts.per_stretcher:
        raise SpecError(
            "the top's bolts go up through the edge of the upper back stretcher in which the panel "
            "at the back would stand",
            field="panels.where",
            allowed="ends or none, or bolts.per_stretcher: 0 where other things hold the top",
        )
    members: list[Member] = []
    joints: list[Joint] = []
    for side in sides:
        made, held = _panel(spec, _opening(side, layout), wood, posts, rails, say)
        members += made
        joints += held
    return members, joints


def panel_face(
    spec: FrameBenchSpec, layout: Layout, rails: Mapping[str, Member], say: Say
) -> float | None:
    """Where the front of the panel at the back lies, from the bench's front, mm; None without."""
    if spec.panels.where not in ("back", "all"):
        return None
    level = (rails["lower_back"], rails["upper_back"])
    outer = _plane(spec.panels, _opening("back", layout), level, say)
    return snap(outer - spec.panels.thickness)


def _opening(side: str, layout: Layout) -> _Opening:
    kind = "long" if side == "back" else "end"
    out, ends = {
        "left": (LEFT, ("back_left", "front_left")),
        "right": (RIGHT, ("front_right", "back_right")),
        "back": (BACK, ("back_right", "back_left")),
    }[side]
    return _Opening(side, out, ends, layout.plans[f"lower_{kind}"], layout.plans[f"upper_{kind}"])


def _groove(panels: Panels, at: _Opening, say: Say) -> float:
    """How far the panel stands in its grooves, mm; it must not reach the tenons."""
    low, high = at.lower, at.upper
    if low.haunch is not None:
        raise SpecError(
            "a haunch stands where the panel's groove meets the post",
            field=f"{low.key}.haunch",
            allowed="false, or no panel there",
        )
    most = snap(min(low.top, high.bottom) - OFF_MORTISE)
    found = min(GROOVE, most) if panels.groove is None else panels.groove
    if found > most or found < 4.0:
        slim = low if low.top <= high.bottom else high
        field = "panels.groove"
        if most < 4.0:
            field = f"{slim.key}.shoulder_{'top' if slim is low else 'bottom'}"
        raise SpecError(
            f"a panel {say(found)} deep in its grooves comes too near to the tenons: their "
            f"shoulder beside it is {say(most + OFF_MORTISE)} wide",
            field=field,
            allowed=f"at most {say(most)}" if most >= 4.0 else f"at least {say(4.0 + OFF_MORTISE)}",
        )
    return snap(found)


def _panel(
    spec: FrameBenchSpec,
    at: _Opening,
    wood: Species,
    posts: Mapping[str, Member],
    rails: Mapping[str, Member],
    say: Say,
) -> tuple[list[Member], list[Joint]]:
    panels, deep = spec.panels, _groove(spec.panels, at, say)
    level_rails = (rails[f"lower_{at.side}"], rails[f"upper_{at.side}"])
    start, stop = (_reach(posts[key], at) for key in at.posts)
    # Along the panel, from the first post's inner face to the second's.
    way = snap_vec(_across(at.out))
    clear = stop[0] - start[1]
    seasons = seasons_of(spec.moisture)
    total = snap(clear + 2 * deep)
    count = max(1, math.ceil(clear / panels.board - 1e-9))
    glued = panels.boards == "glued" or count == 1
    gap = 0.0 if glued else _share(total / count, wood, seasons)
    share = (total - (count - 1) * gap) / count
    room = max(EDGE_ROOM, _share(total if glued else share, wood, seasons) / 2)
    outer = _plane(panels, at, level_rails, say)
    low, high = level_rails[0].bounds()[1][2] - deep, level_rails[1].bounds()[0][2] + deep
    rows = [(0.0, total)] if glued else _rows(count, share, gap)
    boards = []
    for i, (offset, wide) in enumerate(rows, start=1):
        edge = start[1] - deep + offset
        origin = along(along((0.0, 0.0, snap(low)), way, edge), at.out, outer)
        boards.append(
            Member(
                name=at.name if len(rows) == 1 else f"{at.name}_board_{i}",
                role="panel" if glued else "panel board",
                length=snap(high - low),
                width=snap(wide),
                thickness=panels.thickness,
                species=wood,
                placement=Frame.from_zx(snap_vec(origin), neg(at.out), UP),
                plies=count if glued else 1,
                ply_axis="width",
                rings="flat",
                assembly="stretchers" if at.side == "back" else f"end_frame_{at.side}",
            )
        )
    joints: list[Joint] = [
        TongueGroove(
            name=f"{after.name}_in_{i}",
            receiver=before,
            entering=after,
            fit=FITS["easy"],
            open_by=gap,
        )
        for i, (before, after) in enumerate(itertools.pairwise(boards), start=1)
    ]
    # The boards stand on the lower groove's floor.
    for rail, plan, face, where, above in (
        (level_rails[0], at.lower, Face.FACE_EDGE, "below", 0.0),
        (level_rails[1], at.upper, Face.BACK_EDGE, "above", END_ROOM),
    ):
        joints.append(
            BoardGroove(
                name=f"{at.name}_{where}",
                receiver=rail,
                boards=tuple(boards),
                face=face,
                room=above,
                span=(plan.length, snap(rail.length - plan.length)),
            )
        )
    for key, board, toward in (
        (at.posts[0], boards[0], way),
        (at.posts[1], boards[-1], neg(way)),
    ):
        joints.append(
            BoardGroove(
                name=f"{at.name}_in_{key}",
                receiver=posts[key],
                boards=(board,),
                face=posts[key].face_towards(toward),
                room=room,
            )
        )
    return boards, joints


def _across(out: Vec) -> Vec:
    """The direction of a board's width: its face side looks outward, its grain upward."""
    return Frame.from_zx((0.0, 0.0, 0.0), neg(out), UP).y


def _reach(post: Member, at: _Opening) -> tuple[float, float]:
    way = _across(at.out)
    spots = [dot(p, way) for p in post.world_corners()]
    return min(spots), max(spots)


def _share(width: float, wood: Species, seasons: Seasons) -> float:
    """The room in mm that a width asks for as it swells, to the next half, at least one."""
    swell = movement(width, movement_coefficient(wood, "flat"), seasons.at_build, seasons.wettest)
    return max(1.0, math.ceil(2 * SPARE * swell - 1e-9) / 2)


def _rows(count: int, share: float, gap: float) -> list[tuple[float, float]]:
    """(offset, width) of boards with tongues that stand out toward the board before, mm."""
    more = TONGUE + gap
    return [
        (i * (share + gap) - (more if i else 0.0), share + (more if i else 0.0))
        for i in range(count)
    ]


def _plane(panels: Panels, at: _Opening, rails: tuple[Member, Member], say: Say) -> float:
    """How far out (along the opening's outward direction) the panel's face side lies, mm."""
    spans = []
    for rail in rails:
        spots = [dot(p, at.out) for p in rail.world_corners()]
        spans.append((min(spots), max(spots)))
    middle = sum(spans[1]) / 2
    for plan, (low, high) in zip((at.lower, at.upper), spans, strict=True):
        if (
            middle - panels.thickness / 2 < low + WALL
            or middle + panels.thickness / 2 > high - WALL
        ):
            raise SpecError(
                f"a groove for a panel {say(panels.thickness)} thick leaves too little of the "
                f"{plan.key.replace('_', ' ')} stretcher, {say(plan.thickness)} thick",
                field="panels.thickness",
                allowed=f"{say(WALL)} of wood on both sides; the lower stretcher under the upper",
            )
    return snap(middle + panels.thickness / 2)
