"""Bevel gauges and saw settings of cuts that lie aslant."""

from __future__ import annotations

from typing import TYPE_CHECKING

from treenail.checks.making_aslant import degrees, end_settings
from treenail.joints.angled_cuts import FLUSH, AngledMortise, AngledTenonEnd, EndBevel, SkewNotch
from treenail.shop.setups.model import Setting
from treenail.timber.frames import snap
from treenail.timber.member import Face

if TYPE_CHECKING:
    from treenail.joints.angled_cuts import EndPlane
    from treenail.joints.cuts import Cut
    from treenail.timber.member import Member

__all__ = ["LEVEL", "aslant_gauges", "lean_settings"]

#: Components of a direction smaller than this lean nowhere.
_LEVEL = 1e-9
#: Holes that lean less are square, radians.
LEVEL = 1e-6


def _angle(name: str, angle: float, measured_from: str) -> Setting:
    return Setting(name=name, text=degrees(angle), measured_from=measured_from)


def _toward(cut: Cut) -> str:
    """Which way a hole leans as it goes in."""
    x, y, z = cut.frame.z
    found = [("far end" if x > 0.0 else "near end", abs(x))]
    if cut.face in (Face.FACE_SIDE, Face.BACK_SIDE):
        found.append(("back edge" if y > 0.0 else "face edge", abs(y)))
    else:
        found.append(("back side" if z > 0.0 else "face side", abs(z)))
    ways = [f"the {where}" for where, much in found if much > _LEVEL]
    return "toward " + " and ".join(ways) if ways else "not at all"


def _long_point(cut: AngledTenonEnd | EndBevel, plane: EndPlane) -> str:
    """Where an end that is cut aslant reaches farthest."""
    x, y, _ = plane.normal
    if cut.face is Face.FAR_END:  # its frame's y runs toward the face side
        y = -y
    found = []
    if abs(x) > _LEVEL:
        found.append(f"the {Face.BACK_EDGE if x > 0.0 else Face.FACE_EDGE}")
    if abs(y) > _LEVEL:
        found.append(f"the {Face.BACK_SIDE if y > 0.0 else Face.FACE_SIDE}")
    return "at " + " and ".join(found) if found else "none: square"


def lean_settings(cut: Cut, member: Member) -> tuple[Setting, ...]:
    """How a hole or mortise leans to its face, in the shop's terms; empty if it is square."""
    if cut.tilt < LEVEL:
        return ()
    along, across = cut.leans(member)
    return (
        Setting(name="leans", text=_toward(cut), measured_from="going in"),
        _angle("bevel, along the grain", along, "a line square to the face"),
        _angle("bevel, across the grain", across, "a line square to the face"),
        _angle("resultant", cut.tilt, "a line square to the face, along the sight line"),
        _angle("sight angle", cut.sight(member), "the grain, over the face"),
    )


def aslant_gauges(cut: Cut, member: Member) -> list[Setting]:
    """What bevel gauges and saws are set to, each with what it is measured from."""
    if isinstance(cut, AngledMortise):
        return [
            *lean_settings(cut, member),
            Setting(
                name="depth",
                value=None if cut.through else snap(cut.depth),
                text="through" if cut.through else "",
                measured_from="the face, along the lean",
            ),
        ]
    if isinstance(cut, SkewNotch):
        return [
            _angle("bevel", cut.turn, "square across the face"),
            Setting(name="depth", value=snap(cut.depth), measured_from="the notched face"),
        ]
    if not isinstance(cut, AngledTenonEnd | EndBevel) or cut.purpose == FLUSH:
        return []
    plane = cut.plane if isinstance(cut, EndBevel) else cut.shoulder
    what = "bevel" if isinstance(cut, EndBevel) else "shoulder bevel"
    found = [
        Setting(name="long point", text=_long_point(cut, plane), measured_from=f"the {cut.face}"),
        _angle(f"{what}, on the sides", plane.on_sides, "square across"),
        _angle(f"{what}, on the edges", plane.on_edges, "square across"),
    ]
    if isinstance(cut, AngledTenonEnd):
        near = cut.face is Face.NEAR_END
        low, high = (
            (cut.y0, cut.y1) if near else (member.thickness - cut.y1, member.thickness - cut.y0)
        )
        for name, value, of in (
            ("gauge, first cheek", low, "the face side"),
            ("gauge, second cheek", high, "the face side"),
            ("gauge, first edge", cut.x0, "the face edge"),
            ("gauge, second edge", cut.x1, "the face edge"),
        ):
            found.append(Setting(name=name, value=snap(value), measured_from=of))
        corner = snap(plane.depth(0.0, 0.0 if near else member.thickness))
        return [
            *found,
            Setting(
                name="shoulder line",
                value=corner,
                measured_from=f"the stock's {cut.face}, along the arris of face side and face edge",
            ),
        ]
    for face in (Face.FACE_EDGE, Face.FACE_SIDE):
        mitre, tilt = end_settings(cut, plane, face)
        found.append(
            Setting(
                name=f"saw, {face} down",
                text=f"mitre gauge {degrees(mitre)}, blade tilted {degrees(tilt)}",
                measured_from="a square cut",
            )
        )
    return found
