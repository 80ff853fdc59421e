"""What is left of a member whose ends are cut aslant, as convex pieces; and how far it reaches."""

from __future__ import annotations

from typing import TYPE_CHECKING

from treenail.joints import polytopes
from treenail.joints.angled_cuts import AngledTenonEnd, EndBevel
from treenail.timber.frames import dot, neg

if TYPE_CHECKING:
    from collections.abc import Sequence

    from treenail.joints.angled_cuts import EndPlane
    from treenail.joints.blocks import Box
    from treenail.joints.cuts import Cut
    from treenail.timber.frames import Frame, Vec
    from treenail.timber.member import Member


def has_aslant_ends(cuts: Sequence[Cut]) -> bool:
    """Whether a member's ends are cut along planes that lie aslant to it."""
    return any(isinstance(c, EndBevel | AngledTenonEnd) for c in cuts)


def _kept(frame: Frame, plane: EndPlane) -> polytopes.Half:
    normal = frame.direction(plane.normal)
    return neg(normal), -(plane.level + dot(normal, frame.origin))


def aslant_pieces(
    member: Member, cuts: Sequence[Cut], box: Box | None = None
) -> list[tuple[Vec, ...]]:
    """The member between its bevels and shoulders, then its angled tenons: corners of each.

    In the member's coordinates.

    Args:
        member: the piece.
        cuts: all its cuts; only its aslant ends count.
        box: what stands between its other ends' shoulders; None for the whole stock.
    """
    body = polytopes.block(box or ((0.0, 0.0, 0.0), member.size))
    found: list[tuple[Vec, ...]] = []
    for cut in cuts:
        if isinstance(cut, EndBevel):
            body = polytopes.cut(body, _kept(cut.frame, cut.plane))
        elif isinstance(cut, AngledTenonEnd):
            body = polytopes.cut(body, _kept(cut.frame, cut.shoulder))
            found.append(tuple(cut.frame.point(p) for p in cut.corners()))
    return [polytopes.corners(body), *found] if body else found


def finished_corners(member: Member, cuts: Sequence[Cut]) -> list[Vec]:
    """Corners in the bench of a member's stock, less what its aslant ends lose."""
    if not has_aslant_ends(cuts):
        return member.world_corners()
    return [member.placement.point(p) for piece in aslant_pieces(member, cuts) for p in piece]


def finished_bounds(member: Member, cuts: Sequence[Cut]) -> tuple[Vec, Vec]:
    """Bounds in the bench of a member's stock, less what its aslant ends lose."""
    spots = finished_corners(member, cuts)
    xs, ys, zs = zip(*spots, strict=True)
    return (min(xs), min(ys), min(zs)), (max(xs), max(ys), max(zs))


__all__ = ["aslant_pieces", "finished_bounds", "finished_corners", "has_aslant_ends"]
