"""The wedges of an angled tenon: pieces, their cuts, and what they press into."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from treenail.joints import polytopes
from treenail.joints.angled_cuts import FLUSH, EndBevel, end_plane
from treenail.joints.shaped_cuts import WedgeTaper
from treenail.timber.frames import Frame, neg, snap
from treenail.timber.member import Face, Member

if TYPE_CHECKING:
    from collections.abc import Mapping

    from treenail.joints.angled_tenon import AngledTenon
    from treenail.joints.cuts import Cut
    from treenail.timber.species import Species


@dataclass(frozen=True, slots=True, kw_only=True)
class AngledWedges:
    """Wedges driven into kerfs in a through tenon's end.

    Attributes:
        count: spread evenly over the tenon's width.
        kerf: width of the saw cut, mm.
        kerf_length: on the tenon's axis from its end, mm.
        length: of a wedge from the tenon's end, mm; not longer than the kerf.
        tip: a wedge's thickness at its thin end, mm; not over the kerf.
        flare: how much farther out each short wall of the mortise lies at the far face, mm.
        flare_start: depth on the axis at which the flare begins, mm.
        species: the wedges' wood.
    """

    count: int = 1
    kerf: float
    kerf_length: float
    length: float
    tip: float
    flare: float
    flare_start: float
    species: Species = field(repr=False)


def wedge_members(joint: AngledTenon) -> tuple[Member, ...]:
    """The wedges as driven, longer than they will be by what is cut off flush."""
    w, tip = joint.wedged, joint.tenon.tip
    if w is None or tip is None:
        return ()
    end, slope = joint.end_frame, joint.wedge_slope
    _, _, y0, y1 = joint.section
    found = []
    for i, x in enumerate(joint.kerf_places, start=1):
        stop = joint.tenon.start + w.length
        half = joint.wedge_at(0.0) / 2.0 + slope * w.length
        start = snap(min(tip.depth(x + s, y) for s in (-half, half) for y in (y0, y1)))
        butt = snap(w.tip + slope * (stop - start))
        found.append(
            Member(
                name=f"wedge_{joint.name}_{i}",
                role="wedge",
                length=snap(stop - start),
                width=butt,
                thickness=joint.thickness,
                species=w.species,
                placement=Frame(end.point((x - butt / 2.0, y0, start)), end.z, end.x, end.y),
                assembly=joint.entering.assembly,
            )
        )
    return tuple(found)


def wedge_cuts(joint: AngledTenon) -> dict[str, tuple[Cut, ...]]:
    """Each wedge's taper, and its end cut off flush."""
    found: dict[str, tuple[Cut, ...]] = {}
    tip = joint.tenon.tip
    for wedge in joint.wedges():
        assert tip is not None  # only a through tenon has wedges
        near, far = (wedge.face_frame(f) for f in (Face.NEAR_END, Face.FAR_END))
        thin = (wedge.width - joint.tip_thickness) / 2.0
        there = joint.end_frame.point((0.0, 0.0, tip.depth(0.0, 0.0)))
        found[wedge.name] = (
            WedgeTaper(
                joint=joint.name,
                purpose="wedge taper",
                face=Face.FAR_END,
                frame=far,
                face_edge=thin,
                back_edge=thin,
                length=wedge.length,
            ),
            EndBevel(
                joint=joint.name,
                purpose=FLUSH,
                face=Face.NEAR_END,
                frame=near,
                plane=end_plane(wedge, Face.NEAR_END, there, neg(joint.outward)),
            ),
        )
    return found


def pressed_by_wedges(joint: AngledTenon) -> Mapping[frozenset[str], float]:
    """What each wedge shares with the tenon: its wood outside the kerf."""
    tip = joint.tenon.tip
    if joint.wedged is None or tip is None:
        return {}
    found = {}
    cuts = joint.cuts()
    for wedge in joint.wedges():
        body = polytopes.block(((0.0, 0.0, 0.0), wedge.size))
        taper, flush = cuts[wedge.name]
        for cutter in (*taper.cutters(wedge), *flush.cutters(wedge)):
            waste = polytopes.from_cutter(cutter)
            assert waste is not None  # boxes and prisms only
            # Each takes what lies beyond one of its planes: the one that enters the wedge.
            body = _less(body, waste)
        # In the wedge: x from its butt end, y across from its face edge.
        at, half = wedge.width / 2.0, joint.wedged.kerf / 2.0
        kerf = polytopes.block(
            ((-1.0, at - half, -1.0), (wedge.length + 1.0, at + half, wedge.thickness + 1.0))
        )
        inside = polytopes.volume(polytopes.common(body, kerf))
        found[frozenset((joint.entering.name, wedge.name))] = polytopes.volume(body) - inside
    return found


def _less(body: polytopes.Solid, waste: polytopes.Solid) -> polytopes.Solid:
    """A convex body less a waste that cuts it along a single plane."""
    best: polytopes.Solid = ()
    for normal, level in polytopes.halves(waste):
        left = polytopes.cut(body, (neg(normal), -level))
        if polytopes.volume(left) > polytopes.volume(best):
            best = left
    return best


__all__ = ["AngledWedges", "pressed_by_wedges", "wedge_cuts", "wedge_members"]
