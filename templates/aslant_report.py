"""Joints that lie aslant, as data for the report: sizes, and angles in the shop's own terms."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from treenail.checks.making_aslant import end_settings
from treenail.joints.angled_tenon import AngledTenon
from treenail.joints.skew import BevelledEnd, SkewLetIn
from treenail.timber.member import Face

if TYPE_CHECKING:
    from treenail.joints.angled_cuts import AngledTenonEnd, EndBevel, EndPlane
    from treenail.joints.base import Joint

__all__ = ["aslant_data"]


def _degrees(angle: float) -> float:
    return round(math.degrees(abs(angle)), 4)


def _plane(cut: AngledTenonEnd | EndBevel, plane: EndPlane) -> dict[str, Any]:
    """A plane across an end: bevel gauges, and the saw for either face down."""
    saw = {}
    for face in (Face.FACE_SIDE, Face.FACE_EDGE):
        mitre, tilt = end_settings(cut, plane, face)
        saw[f"{face} down"] = {"mitre": _degrees(mitre), "blade_tilt": _degrees(tilt)}
    return {
        "off_square": _degrees(plane.tilt),
        "bevel_on_sides": _degrees(plane.on_sides),
        "bevel_on_edges": _degrees(plane.on_edges),
        "saw": saw,
    }


def aslant_data(joint: Joint) -> dict[str, Any]:
    """What the report says of a joint that lies aslant; nothing for any other. mm, degrees."""
    if isinstance(joint, AngledTenon):
        along, across = joint.mortise.leans(joint.receiver)
        return {
            "receiver_face": str(joint.receiver_face),
            "end": str(joint.end),
            "tenon": {
                "width_mm": joint.width,
                "thickness_mm": joint.thickness,
                "length_mm": joint.length,
                "through": joint.through,
            },
            "mortise": {
                "length_mm": joint.mortise.length,
                "width_mm": joint.mortise.width,
                "depth_mm": joint.mortise.depth,
            },
            "fit": joint.fit.name,
            "angles_degrees": {
                "resultant": _degrees(joint.tilt),
                "along_the_grain": _degrees(along),
                "across_the_grain": _degrees(across),
                "sight_from_the_grain": _degrees(joint.mortise.sight(joint.receiver)),
                "shoulders": _plane(joint.tenon, joint.tenon.shoulder),
            },
        }
    if isinstance(joint, BevelledEnd):
        return {
            "end": str(joint.end),
            "angles_degrees": _plane(joint.bevel, joint.bevel.plane),
        }
    if isinstance(joint, SkewLetIn):
        return {
            "receiver_face": str(joint.cut_face),
            "notch": {"width_mm": joint.notch.width, "depth_mm": joint.notch.depth},
            "fit": joint.fit.name,
            "angles_degrees": {"off_square": _degrees(joint.notch.turn)},
        }
    return {}
