"""Which corners a joint's mortises get, and how its tenon is rounded to go into them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from treenail.joints.corners import Corners, tenon_radius
from treenail.joints.cuts import Rounding
from treenail.timber.errors import GeometryError
from treenail.timber.frames import dot

if TYPE_CHECKING:
    from treenail.joints.cuts import Mortise
    from treenail.joints.mortise_tenon import MortiseTenon
    from treenail.timber.frames import Vec


def rounding_of(joint: MortiseTenon) -> Rounding | None:
    """How a tenon's long edges are rounded; None where they stay square."""
    if joint.corners != "round":
        return None
    wide, thick = joint.least_tongue
    radius = tenon_radius(
        joint.cutter / 2.0,
        edge=joint.fit.edge.mid,
        cheek=joint.fit.cheek.mid,
        width=wide,
        thickness=thick,
    )
    socket = joint.haunch_socket
    closed = socket is not None and socket.corners is not None
    return Rounding(radius, haunch=closed) if radius > 0.0 else None


def corners_of(joint: MortiseTenon) -> Corners | None:
    """The corners of a joint's mortises; None where they are square."""
    if joint.corners == "square":
        return None
    return Corners(joint.corners, joint.cutter / 2.0)


def refuse_odd_corners(joint: MortiseTenon) -> None:
    """GeometryError for corners that no cutter leaves."""
    if joint.corners != "square" and joint.cutter <= 0.0:
        raise GeometryError(f"{joint.name}: a cutter's diameter must be more than 0")


def socket_corners(joint: MortiseTenon, socket: Mortise, outward: Vec) -> Corners | None:
    """The corners of a haunch's socket: only at its outer end, and only where that has a wall.

    Args:
        joint: with its numbers.
        socket: with square corners.
        outward: from the mortise to the socket, in the receiver's coordinates.
    """
    whole = corners_of(joint)
    if whole is None:
        return None
    way = 1.0 if dot(outward, socket.frame.x) > 0.0 else -1.0
    end = socket.frame.point((way * socket.length / 2.0, 0.0, 0.0))
    inside = all(
        1e-9 < p < size - 1e-9
        for p, size, c in zip(end, joint.receiver.size, socket.frame.z, strict=True)
        if abs(c) < 0.5  # along the socket's depth it lies on the face
    )
    if not inside:
        return None
    return Corners(whole.kind, whole.radius, low=way < 0.0, high=way > 0.0)


__all__ = ["corners_of", "refuse_odd_corners", "rounding_of", "socket_corners"]
