"""The socket that a haunched tenon needs beside its mortise: square or sloped."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from treenail.joints.corner_fit import socket_corners
from treenail.joints.cuts import Mortise
from treenail.joints.shaped_cuts import TaperedMortise
from treenail.timber.errors import GeometryError
from treenail.timber.frames import dot, scale, snap
from treenail.timber.member import Face

if TYPE_CHECKING:
    from treenail.joints.mortise_tenon import MortiseTenon


def haunch_socket(joint: MortiseTenon) -> Mortise | None:
    """The shallow pocket for a joint's haunch; it overlaps the mortise so that they join.

    A sloped one starts at the tenon's edge, and its floor follows the haunch with the fit's gap.
    """
    stub = joint.haunch
    if stub is None:
        return None
    x0, x1, y0, y1 = joint.section
    at_face_edge = stub.edge is Face.FACE_EDGE
    edge, out = (x0, -1.0) if at_face_edge else (x1, 1.0)
    width, start, into = stub.width, (x0 + x1) / 2, 0.0
    if stub.sloped:
        shoulders = joint.shoulders
        width = min(width, shoulders.face_edge if at_face_edge else shoulders.back_edge)
        # A mortise's round corners must not stand in the haunch's way beside the tenon.
        into = joint.cutter / 2.0 if joint.corners == "round" else 0.0
        start = edge - out * into
    far = edge + out * (width + joint.fit.edge.mid / 2)
    lo, hi = min(start, far), max(start, far)
    shared = joint.mortise_fields((lo, hi, y0, y1)) | {
        "purpose": "haunch socket",
        "corners": None,
        "length": snap(hi - lo),
        "depth": snap(stub.length + joint.fit.bottom.mid),
        "through": False,
    }
    along = joint.receiver.placement.local_direction(joint.end_frame.x)
    if not stub.sloped:
        square = Mortise(**shared)
        return replace(square, corners=socket_corners(joint, square, scale(along, out)))
    more = snap(stub.length / width * into)
    if shared["depth"] + more > joint.mortise_depth:
        raise GeometryError(
            f"{joint.name}: so steep a haunch leaves round corners of a {joint.cutter:g} mm cutter "
            "in its way; take a smaller cutter, or square or relieved corners"
        )
    shared["depth"] = snap(shared["depth"] + more)
    outer_is_high = dot(along, shared["frame"].x) * out > 0.0
    return TaperedMortise(
        **shared,
        start=joint.fit.bottom.mid,
        low_out=0.0 if outer_is_high else -shared["length"],
        high_out=-shared["length"] if outer_is_high else 0.0,
    )
