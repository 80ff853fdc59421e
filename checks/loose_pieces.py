"""Loose pieces between slabs over the year: a gap strip on its ledges, panels in their grooves.

They must neither jam when all swells nor drop out when all shrinks.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from treenail.checks.climate import swing
from treenail.checks.gauge import SAME, cuts_of, fine
from treenail.checks.panels import face_move
from treenail.checks.rules import Context, Finding, TunableLimit, rule
from treenail.checks.year import Track, alike, coefficient_along, is_sure, tracks_of
from treenail.generators.top_place import HOLD
from treenail.joints.edges import PanelGroove
from treenail.joints.features import Bearing
from treenail.joints.strips import Fence
from treenail.joints.trenches import Trench
from treenail.timber.frames import dot, neg

if TYPE_CHECKING:
    from treenail.joints.base import Joint
    from treenail.timber.frames import Vec
    from treenail.timber.member import Member

__all__ = ["loose_tracks"]

_MOVEMENT = "FPL-GTR-190 (2010) ch. 13 for the movement; the spec's own seasons"
_FRONT: Vec = (0.0, 1.0, 0.0)


def loose_tracks(context: Context) -> Iterator[Track]:
    """Play of every loose piece, and what holds it, over the year."""
    for m in context.bench.timbers:
        if m.role == "gap strip":
            yield from _strip(context, m)
    yield from _panels(context)


def _reach(member: Member, way: Vec) -> tuple[float, float]:
    spots = [dot(p, way) for p in member.world_corners()]
    return min(spots), max(spots)


def _strip(context: Context, strip: Member) -> Iterator[Track]:
    """Between the two nearest slabs, on the ledges that it rests on."""
    way = strip.placement.y
    low, high = _reach(strip, way)
    slabs = [m for m in context.bench.timbers if m.role == "top section"]
    before = [m for m in slabs if _reach(m, way)[1] <= (low + high) / 2]
    after = [m for m in slabs if _reach(m, way)[0] >= (low + high) / 2]
    if not before or not after:
        return
    first = max(before, key=lambda m: _reach(m, way)[1])
    second = min(after, key=lambda m: _reach(m, way)[0])
    gap = _reach(second, way)[0] - _reach(first, way)[1]
    opens = -face_move(context, first, way) - face_move(context, second, neg(way))
    grows = strip.width * coefficient_along(strip, way)
    known = is_sure(strip, first, second)
    yield Track(
        key="strip-play",
        what="play of the gap strip between the slabs",
        member=strip.name,
        size=gap,
        built=gap - strip.width,
        per_percent=opens - grows,
        sure=known,
    )
    for joint, ledge in _ledges(context, strip):
        if abs(dot(ledge.placement.x, way)) > SAME:
            continue  # it runs across below: the strip can't come off it
        # Pushed as far from this ledge as the gap allows.
        yield Track(
            key="strip-hold",
            what="gap strip on its ledge, pushed to the other side",
            member=strip.name,
            joint=joint.name,
            size=ledge.width,
            built=strip.width + ledge.width - gap,
            per_percent=grows + ledge.width * coefficient_along(ledge, way) - opens,
            sure=known,
        )
    for joint in context.bench.joints:
        if isinstance(joint, Fence) and joint.member == strip:
            yield _tongue(joint, gap, opens, way)


def _ledges(context: Context, strip: Member) -> Iterator[tuple[Joint, Member]]:
    """What a strip lies on, and by which joint."""
    for joint in context.bench.joints:
        if isinstance(joint, Bearing) and joint.above == strip:
            yield joint, joint.below
        elif isinstance(joint, Fence) and joint.member == strip:
            yield from ((joint, ledge) for ledge in joint.ledges)


def _tongue(fence: Fence, gap: float, opens: float, way: Vec) -> Track:
    """Between the ledges, where the strip lies flush."""
    strip, ledges = fence.member, fence.ledges
    taken = [m.width * coefficient_along(m, way) for m in ledges]
    return Track(
        key="strip-play",
        what="play of the gap strip's tongue between the ledges",
        member=strip.name,
        joint=fence.name,
        size=fence.fence,
        built=gap - sum(m.width for m in ledges) - fence.fence,
        per_percent=opens - sum(taken) - fence.fence * coefficient_along(strip, way),
        sure=is_sure(strip, *ledges),
    )


def _panels(context: Context) -> Iterator[Track]:
    """Pieces that stand in two grooves that face each other."""
    grooves = [j for j in context.bench.joints if isinstance(j, PanelGroove)]
    for i, one in enumerate(grooves):
        for two in grooves[:i]:
            if one.entering == two.entering and dot(one.home, two.home) < -1.0 + 1e-9:
                yield from _panel(context, two, one)


def _panel(context: Context, one: PanelGroove, two: PanelGroove) -> Iterator[Track]:
    panel = one.entering
    rooms = [_room(context, j) for j in (one, two)]
    closes = sum(face_move(context, j.receiver, neg(j.home)) for j in (one, two))
    low, high = _reach(panel, one.home)
    grows = (high - low) * coefficient_along(panel, one.home)
    known = is_sure(panel, one.receiver, two.receiver)
    yield Track(
        key="panel-play",
        what=f"{panel.role}'s play in its grooves",
        member=panel.name,
        joint=one.name,
        size=high - low,
        built=sum(rooms),
        per_percent=-(grows + closes),
        sure=known,
    )
    held, joint = min(
        (one.reach - rooms[1], one.name), (two.reach - rooms[0], two.name), key=lambda x: x[0]
    )
    yield Track(
        key="panel-hold",
        what=f"{panel.role} in one groove, pushed into the other",
        member=panel.name,
        joint=joint,
        size=high - low,
        built=held,
        per_percent=grows + closes,
        sure=known,
    )


def _room(context: Context, joint: PanelGroove) -> float:
    """Behind the panel's edge in the groove as it was cut, mm."""
    cuts = cuts_of(context.bench, joint.receiver, joint, joint.trench_name)
    deep = max((c.depth for c in cuts if isinstance(c, Trench)), default=joint.depth)
    return deep - joint.reach


def _said(group: list[Track]) -> str:
    names = list(dict.fromkeys(t.member for t in group))[1:]
    return f" (Likewise {', '.join(names)}.)" if names else ""


@rule(
    "loose-piece-jams",
    title="What lies loose has room to swell",
    why="A strip or a panel that jams pushes the slabs or the rail off their places, or buckles.",
    remedy="Make it narrower, or its grooves deeper.",
    source=_MOVEMENT,
)
def loose_piece_jams(context: Context) -> Iterator[Finding]:
    """Play of a gap strip between its slabs, and of panels in their grooves, at the wettest."""
    points = max(swing(context.bench.seasons))
    for group in (
        g for key in ("strip-play", "panel-play") for g in alike(tracks_of(context, key))
    ):
        t = group[0]
        play = min(t.at(points), t.built)
        if play >= -SAME:
            continue
        strip = t.key == "strip-play"
        yield Finding(
            rule="loose-piece-jams",
            severity="error" if t.sure else "warning",
            message=f"{t.member} has {fine(context, t.built)} of play as built; at its wettest it "
            f"is {fine(context, -play)} too wide for its place.{_said(group)}",
            joint=t.joint,
            member=t.member,
            measured=play,
            limit=0.0,
            remedy=f"Make it {context.say(-play)} narrower"
            + ("." if strip else f", or each groove {context.say(-play / 2)} deeper."),
        )


@rule(
    "loose-piece-drops",
    title="What lies loose stays on what carries it",
    why="In the dry everything gives way: a strip or a panel that comes off its ledge or out of "
    "its groove falls through.",
    remedy="Make it wider, or its ledges or grooves.",
    source=f"{_MOVEMENT}; the limit is our own choice: 1/8 in",
    limit=TunableLimit(
        default=HOLD, low=0.5, high=20.0, unit="mm", what="a loose piece on what carries it"
    ),
)
def loose_piece_drops(context: Context) -> Iterator[Finding]:
    """What stays on a ledge or in a groove at the driest, the piece pushed to the other side."""
    points, want = min(swing(context.bench.seasons)), context.limit("loose-piece-drops")
    for group in (
        g for key in ("strip-hold", "panel-hold") for g in alike(tracks_of(context, key))
    ):
        t = group[0]
        holds = min(t.at(points), t.built)
        if holds >= want - SAME:
            continue
        falls = holds <= SAME
        where = "ledge" if t.key == "strip-hold" else "groove"
        yield Finding(
            rule="loose-piece-drops",
            severity="advice" if not falls else "error" if t.sure else "warning",
            message=f"At its driest {t.member}, pushed to one side, "
            + (
                f"comes off the {where} on the other by {fine(context, -holds)}."
                if falls
                else f"has {fine(context, holds)} of {where} on the other."
            )
            + _said(group),
            joint=t.joint,
            member=t.member,
            measured=holds,
            limit=0.0 if falls else want,
            remedy=f"Make its {where} {context.say(want - holds)} larger.",
        )
