"""Where a piece lies on the machine: a face up, the work zero at a corner of it.

Seen from above, the machine's x runs along the grain away from the near end (on an end that lies
up: from the face edge to the back edge), y square to it, and z up out of the piece. z is zero at
the face that lies up, so that depths are negative numbers.
"""

from __future__ import annotations

from treenail.timber.errors import SpecError
from treenail.timber.frames import Frame, neg
from treenail.timber.member import Face, Member

__all__ = ["corners_of_face", "machining_frame", "read_corner", "usual_corner"]

#: The faces in the order in which a corner names them.
_ORDER = (
    Face.NEAR_END,
    Face.FAR_END,
    Face.FACE_EDGE,
    Face.BACK_EDGE,
    Face.FACE_SIDE,
    Face.BACK_SIDE,
)


def corners_of_face(up: Face) -> tuple[tuple[Face, Face], ...]:
    """The four corners of a face, each by the two faces that meet it there."""
    pairs = [f for f in _ORDER if f not in (up, up.opposite)]
    return tuple((a, b) for a in pairs[:2] for b in pairs[2:])


def usual_corner(up: Face) -> tuple[Face, Face]:
    """The corner at the near end (or face edge) and at a reference face."""
    return corners_of_face(up)[0]


def read_corner(up: Face, text: str) -> tuple[Face, Face]:
    """A corner named by its two other faces, such as ``near end, face edge``; empty: the usual one.

    Raises SpecError with the corners that the face has.
    """
    if not text:
        return usual_corner(up)
    words = {" ".join(part.split()) for part in text.replace(" and ", ",").split(",")}
    for pair in corners_of_face(up):
        if words == {str(f) for f in pair}:
            return pair
    allowed = "; ".join(", ".join(str(f) for f in pair) for pair in corners_of_face(up))
    raise SpecError(f"the {up} has no corner {text!r}", field="zero", allowed=allowed)


def machining_frame(member: Member, up: Face, zero: tuple[Face, Face] | None = None) -> Frame:
    """The placement that carries a piece's coordinates into the machine's, mm."""
    face = member.face_frame(up)
    origin = [0.0, 0.0, 0.0]
    for f in (up, *(zero or usual_corner(up))):
        i = max(range(3), key=lambda k: abs(f.outward[k]))
        origin[i] = member.size[i] if f.outward[i] > 0.0 else 0.0
    machine = Frame((origin[0], origin[1], origin[2]), face.x, neg(face.y), neg(face.z))
    return machine.localise(Frame())
