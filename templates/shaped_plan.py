"""How cuts with slopes and cones look on a member's faces and ends. Numbers only.

Faces show a sloped pocket's mouth and, where it goes through, its other mouth; ends show every
tenon with its flanks, its kerfs, or the cone's two circles. Silhouettes show gaps and kerfs.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeAlias

from treenail.joints.corners import pocket_outline
from treenail.joints.shaped_cuts import (
    ConeEnd,
    ConeSocket,
    DovetailSocket,
    ShapedEnd,
    TaperedMortise,
    WedgeTaper,
)
from treenail.templates.figures import Figure, quadrilateral
from treenail.timber.frames import snap
from treenail.timber.member import Face

if TYPE_CHECKING:
    from collections.abc import Callable

    from treenail.joints.cuts import TenonEnd
    from treenail.templates.end_plan import Profile
    from treenail.templates.figures import Point, Reach
    from treenail.timber.frames import Vec
    from treenail.timber.member import Member

__all__ = [
    "SHAPED",
    "Mouth",
    "Shaped",
    "end_shapes",
    "mouths",
    "profiles",
    "wedge_figures",
    "wedge_outline",
]

#: A mouth in the cut's own x and y: its corners, or the diameter of a circle about its axis.
Mouth: TypeAlias = "tuple[Point, ...] | float"
#: Cuts whose mouths this module knows.
SHAPED = (TaperedMortise, ConeSocket, DovetailSocket)
Shaped: TypeAlias = TaperedMortise | ConeSocket | DovetailSocket


def mouths(
    cut: TaperedMortise | ConeSocket | DovetailSocket,
) -> list[tuple[Face, Reach, Mouth]]:
    """What is drawn on the face where the tool enters and, if through, where it comes out."""
    if isinstance(cut, DovetailSocket):
        outline = cut.outline()
        return [(cut.face, "through", outline), (cut.face.opposite, "exit", outline)]
    near: Mouth
    far: Mouth
    if isinstance(cut, ConeSocket):
        near, far = cut.mouth, cut.bottom
    else:
        wide = cut.width / 2.0
        pocket = pocket_outline(cut.length, cut.width, cut.corners)
        near = tuple((x, y) for x, y, _ in pocket)
        far = _box(*cut.exit_span, wide)
    if not cut.through:
        return [(cut.face, "deep", near)]
    return [(cut.face, "through", near), (cut.face.opposite, "exit", far)]


def _box(low: float, high: float, half: float) -> tuple[Point, ...]:
    return ((low, -half), (high, -half), (high, half), (low, half))


def end_shapes(cut: TenonEnd) -> list[tuple[str, Mouth, Point]]:
    """What a shaped end shows from outside: (what, its shape, a circle's centre).

    Corners and centres lie in the end frame's x and y; nothing for a plain tenon.
    """
    if isinstance(cut, ConeEnd):
        return [
            ("cone's end", cut.tip_diameter, cut.centre),
            ("cone's base", cut.base, cut.centre),
        ]
    if not isinstance(cut, ShapedEnd):
        return []
    found: list[tuple[str, Mouth, Point]] = [
        ("tenon", cut.outline_of(tongue), (0.0, 0.0)) for tongue in cut.tongues()
    ]
    for kerf in cut.kerfs:
        a, b = kerf.at - kerf.width / 2.0, kerf.at + kerf.width / 2.0
        corners = ((a, cut.y0), (b, cut.y0), (b, cut.y1), (a, cut.y1))
        found.append(("kerf", corners, (0.0, 0.0)))
    return found


def profiles(cut: TenonEnd, member: Member, *, side: bool) -> list[Profile]:
    """How far back a shaped end's silhouette lies on a side (else on an edge).

    Each profile covers the whole face; the deepest counts.
    """
    wide = member.width if side else member.thickness
    if isinstance(cut, ConeEnd):
        return [_cone(cut, member, wide, side=side)]
    if not isinstance(cut, ShapedEnd):
        return []
    spans = [(gap.low, gap.high, cut.length) for gap in cut.gaps if (gap.across == "width") == side]
    if side:
        spans += [(k.at - k.width / 2.0, k.at + k.width / 2.0, k.length) for k in cut.kerfs]
    elif cut.face is Face.FAR_END:  # its y runs against the member's z
        spans = [(wide - b, wide - a, d) for a, b, d in spans]
    return [_notch(a, b, d, wide) for a, b, d in spans]


def wedge_outline(member: Member, cut: WedgeTaper) -> tuple[Point, ...]:
    """A wedge as its sides show it, in the member's x and y."""
    butt, end, wide = snap(member.length - cut.length), member.length, member.width
    points = (
        (0.0, 0.0),
        (butt, 0.0),
        (end, snap(cut.face_edge)),
        (end, snap(wide - cut.back_edge)),
        (butt, wide),
        (0.0, wide),
    )
    return tuple(p for i, p in enumerate(points) if p != points[i - 1])


def wedge_figures(
    member: Member, cut: WedgeTaper, seen: Callable[[Member, Face, Vec], Point]
) -> list[tuple[Face, Figure]]:
    """The wedge's outline on both sides of the squared piece that it is sawn from."""
    found: list[tuple[Face, Figure]] = []
    for face, z in ((Face.FACE_SIDE, 0.0), (Face.BACK_SIDE, member.thickness)):
        shape = quadrilateral(
            [seen(member, face, (x, y, z)) for x, y in wedge_outline(member, cut)]
        )
        reach: Reach = "exit" if z else "through"
        figure = Figure(what=cut.purpose, shape=shape, reach=reach, depth=member.thickness, cut=cut)
        found.append((face, figure))
    return found


def _notch(low: float, high: float, depth: float, wide: float) -> Profile:
    pieces = ((0.0, low, 0.0, 0.0), (low, high, depth, depth), (high, wide, 0.0, 0.0))
    return tuple(p for p in pieces if p[1] - p[0] > 1e-9)


def _cone(cut: ConeEnd, member: Member, wide: float, *, side: bool) -> Profile:
    """A cone's silhouette: square at its end, sloped to the shoulder."""
    at = cut.centre[0] if side else cut.centre[1]
    if not side and cut.face is Face.FAR_END:
        at = member.thickness - at
    tip, base, deep = cut.tip_diameter / 2.0, cut.base / 2.0, cut.length
    pieces = (
        (0.0, at - base, deep, deep),
        (at - base, at - tip, deep, 0.0),
        (at - tip, at + tip, 0.0, 0.0),
        (at + tip, at + base, 0.0, deep),
        (at + base, wide, deep, deep),
    )
    return tuple(p for p in pieces if p[1] - p[0] > 1e-9)
