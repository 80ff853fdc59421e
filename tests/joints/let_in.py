"""Pairs of members let into each other, anywhere in space, and what must hold of each.

The second modeller (manifold3d) knows nothing of the joints: it gets the members' cutters and is
asked for volumes, shared space and free space.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import strategies as st
from manifold3d import Manifold

from tests.joints import modeller
from tests.strategies import sizes, square_frames
from treenail.joints.base import Gap, Joint
from treenail.joints.edges import LooseSpline, PanelGroove, Rebate, TongueGroove, spline_between
from treenail.joints.housings import Housing, SlidingDovetail
from treenail.joints.laps import HalfLap, Notch
from treenail.joints.meetings import LetIn
from treenail.joints.volumes import net_volume
from treenail.timber.frames import Frame, Vec, cross, unit
from treenail.timber.member import Face, Member
from treenail.timber.species import get_species

ASH = get_species("white ash")
#: A placement that lies along no axis of the bench.
TILTED = Frame.from_zx((31.0, -17.0, 250.0), unit((1.0, 2.0, 5.0)), unit((5.0, 0.0, -1.0)))


def piece(
    name: str, size: Vec, origin: Vec = (0, 0, 0), x: Vec = (1, 0, 0), y: Vec = (0, 1, 0)
) -> Member:
    """A member whose near end's corner is at ``origin``, grain along ``x``, width along ``y``."""
    return Member(
        name=name,
        role="board",
        length=size[0],
        width=size[1],
        thickness=size[2],
        species=ASH,
        placement=Frame(origin, x, y, cross(x, y)),
    )


def moved(member: Member, by: Frame) -> Member:
    return replace(member, placement=by.place(member.placement).snapped())


X, Y, Z = (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)
DOWN, LEFT = (0.0, 0.0, -1.0), (-1.0, 0.0, 0.0)


# Each makes (joint class, receiver, entering, more) with room for the numbers that are drawn.


def crossing(w: float, t: float, off: float, *, end: float = 250.0) -> tuple[Member, Member]:
    """A bearer along x, and one along y over it, ``off`` mm higher; the second ends at ``end``."""
    low = piece("low", (400.0, w, t))
    high = piece("high", (100.0 + end, w + 7, t), (250.0, -100.0, off), Y, (-1.0, 0.0, 0.0))
    return low, high


def shelf(w: float, t: float, reach: float, *, narrower: float = 0.0) -> tuple[Member, Member]:
    """A side lying on its back side, and a shelf standing on it."""
    side = piece("side", (500.0, w, t), (0, 0, 0), X, Y)
    board = piece("shelf", (300.0, w - narrower, 18.0), (200.0, 0.0, reach - 300.0), Z, Y)
    return side, board


def boards(w: float, t: float, reach: float) -> tuple[Member, Member]:
    """Two boards side by side, the second reaching into the first's back edge."""
    return piece("first", (600.0, w, t)), piece("second", (600.0, w, t), (0.0, w - reach, 0.0))


def made(cls: Any, pair: tuple[Member, Member], at: Frame, **more: Any) -> LetIn:
    receiver, entering = (moved(m, at) for m in pair)
    joint: LetIn = cls(name="joint", receiver=receiver, entering=entering, **more)
    return joint


def corner(w: float, t: float) -> tuple[Member, Member]:
    return piece("a", (300, w, t)), piece("b", (300, w, t), (w, 0, 0), Y, LEFT)


def on_a_post(w: float, t: float, reach: float) -> tuple[Member, Member]:
    """An apron let into a post's face at its foot."""
    return piece("post", (400, w, t)), piece("apron", (500, 90, 22), (90, -60, reach - 22), Y, LEFT)


def batten(w: float, t: float, reach: float) -> tuple[Member, Member]:
    return piece("top", (500, w, t)), piece("batten", (w, 60, 25), (200, 0, reach), Y, DOWN)


def breadboard(w: float, t: float, reach: float) -> tuple[Member, Member]:
    return piece("end", (w, 80, t), (0, 0, 0), Y, LEFT), piece("field", (400, w, t), (-reach, 0, 0))


def back_panel(w: float, t: float, reach: float) -> tuple[Member, Member]:
    return piece("side", (500, w, t)), piece("back", (500, 200, 6), (0, w - reach, 0))


def panel(w: float, t: float, reach: float) -> tuple[Member, Member]:
    """A thin panel in the middle of a frame piece's edge."""
    return piece("frame", (600, w, t)), piece("panel", (500, 150, 6), (40, w - reach, t / 2 - 3))


def box_corner(w: float, t: float, reach: float) -> tuple[Member, Member]:
    return piece("front", (500, w, t)), piece("end", (300, w, 15), (15, 0, reach - 300), Z, Y)


Pair = Callable[[float, float, float], tuple[Member, Member]]
#: By name: the joint, its members from a width, a thickness and a reach, and more numbers.
JOINTS: Mapping[str, tuple[Any, Pair, Mapping[str, Any]]] = {
    "cross lap": (HalfLap, lambda w, t, _: crossing(w, t, 0.0), {}),
    "cross lap, off": (HalfLap, crossing, {"share": 0.4}),
    "tee lap": (HalfLap, lambda w, t, _: crossing(w, t, 0.0, end=w), {}),
    "stopped tee lap": (HalfLap, lambda w, t, _: crossing(w, t, 0.0, end=w - 12), {}),
    "corner lap": (HalfLap, lambda w, t, _: corner(w, t), {}),
    "end to end": (
        HalfLap,
        lambda w, t, _: (piece("a", (300, w, t)), piece("b", (300, w, t), (300 - 2 * w, 0, 0))),
        {},
    ),
    "notch": (Notch, lambda w, t, d: crossing(w, t, t - d), {}),
    "notch at end": (Notch, on_a_post, {}),
    "housing": (Housing, shelf, {}),
    "stopped housing": (Housing, shelf, {"stop": 15.0, "stop_at": Face.BACK_EDGE}),
    "narrower shelf": (Housing, lambda w, t, d: shelf(w, t, d, narrower=14.0), {}),
    "shouldered housing": (Housing, shelf, {"shoulder": 4.0, "back_shoulder": 6.0}),
    "bare-faced, stopped": (
        Housing,
        shelf,
        {"shoulder": 5.0, "stop": 11.0, "stop_at": Face.FACE_EDGE},
    ),
    "sliding dovetail": (SlidingDovetail, shelf, {}),
    "stopped dovetail": (SlidingDovetail, shelf, {"stop": 20.0, "stop_at": Face.FACE_EDGE}),
    "batten": (SlidingDovetail, batten, {}),
    "tongue and groove": (TongueGroove, boards, {}),
    "open boards": (TongueGroove, boards, {"open_by": 2.0}),
    "breadboard": (TongueGroove, breadboard, {}),
    "panel in a groove": (PanelGroove, panel, {"room": 4.0}),
    "rebate": (Rebate, back_panel, {}),
    "rebated corner": (Rebate, box_corner, {}),
    "loose spline": (LooseSpline, lambda w, t, _: boards(w, t, 0.0), {}),
    "stopped spline": (LooseSpline, lambda w, t, _: boards(w, t, 0.0), {"inset": 30.0}),
}


def joint_of(kind: str, w: float, t: float, reach: float, at: Frame = TILTED) -> LetIn:
    """One of the above with its members placed ``at``."""
    cls, pair, more = JOINTS[kind]
    if cls is not LooseSpline:
        return made(cls, pair(w, t, reach), at, **more)
    first, second = (moved(m, at) for m in pair(w, t, reach))
    strip = spline_between("strip", first, second, **more)
    return LooseSpline(name="joint", receiver=first, entering=strip)


@st.composite
def joints(draw: st.DrawFn, kind: str) -> LetIn:
    """One of the above, with its sizes drawn, on any side of space or aslant to all."""
    at = draw(square_frames() | st.just(TILTED))
    t = draw(sizes(24, 60))
    return joint_of(kind, draw(sizes(60, 140)), t, draw(sizes(6, 11)), at)


def in_place(solid: Manifold, frame: Frame) -> Manifold:
    columns = [frame.x, frame.y, frame.z, frame.origin]
    return solid.transform(np.array(columns, dtype=float).T)


def solids(joint: Joint) -> dict[str, Manifold]:
    """Its members with their cuts, in the bench."""
    cuts = joint.cuts()
    return {
        m.name: in_place(modeller.solid(m, cuts.get(m.name, ())), m.placement)
        for m in joint.members
    }


def free_beside(gap: Gap, shapes: Mapping[str, Manifold]) -> float:
    """How far from the gap's point neither solid fills a thin probe along its direction, mm."""
    side = unit(cross(gap.toward, (0.31, 0.87, 0.383)))
    frame = Frame.from_zx(gap.at, gap.toward, side)
    thin, back, ahead = 0.2, 0.5, 6.0
    probe = Manifold.cube((thin, thin, back + ahead)).translate((-thin / 2, -thin / 2, -back))
    rest = in_place(probe, frame) - shapes[gap.of] - shapes[gap.against]
    return float(rest.volume()) / thin**2


def check_volumes(joint: Joint) -> None:
    cuts = joint.cuts()
    for member in joint.members:
        own = cuts.get(member.name, ())
        expected = modeller.solid(member, own).volume()
        assert net_volume(member, own) == pytest.approx(expected, rel=1e-9), member.name


def check_apart(joint: Joint) -> None:
    shapes = list(solids(joint).values())
    for i, one in enumerate(shapes):
        for other in shapes[:i]:
            assert (one ^ other).volume() == pytest.approx(0.0, abs=1e-2)


def check_gaps(joint: Joint) -> None:
    shapes = solids(joint)
    assert joint.gaps()
    for gap in joint.gaps():
        assert free_beside(gap, shapes) == pytest.approx(gap.room, abs=2e-3), gap
