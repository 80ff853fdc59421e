"""Each kind of tenon from two placed members, with sound defaults for the rest.

The defaults are common practice or our own choice, in proportion to the members; whatever is
given instead is taken as it is, in mm.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING, Any, TypedDict, Unpack

from treenail.joints.angled_tenon import AngledTenon, AngledWedges
from treenail.joints.corners import CornerKind
from treenail.joints.cuts import Haunch
from treenail.joints.fits import Fit, get_fit, tool_size_for
from treenail.joints.mortise_tenon import MortiseTenon, Shoulders
from treenail.joints.standing import Standing
from treenail.joints.tenon_variants.multiple import MultipleTenon
from treenail.joints.tenon_variants.slab import SlabTenons
from treenail.joints.tenon_variants.tapered_round import LEANS, PLAY, TaperedRound, face_plane
from treenail.joints.tenon_variants.tusk import TuskTenon
from treenail.joints.tenon_variants.wedged import WedgedTenon
from treenail.timber.errors import GeometryError
from treenail.timber.frames import dot, snap, sub
from treenail.timber.member import Face, Member
from treenail.timber.species import get_species

if TYPE_CHECKING:
    from treenail.timber.species import Species

#: A tenon's thickness as a share of the stock (common practice).
THIRD = 1.0 / 3.0
#: Least shoulder at a cheek, mm (common practice: 1/8 in; a little more here).
LEAST_SHOULDER = 5.0
#: Shoulder at an edge as a share of the rail's width, and the most of it, mm (our own choice).
EDGE_SHARE, EDGE_MOST = 1.0 / 8.0, 12.7
#: Share of an angled tenon's length that kerf and wedge reach down, and at which its mortise
#: begins to flare (common practice: two thirds, a half).
KERF_SHARE, WEDGE_SHARE, FLARE_FROM = 0.7, 0.6, 0.45
#: Slope of wedges and flares: one in eight (from memory: one in six to one in ten).
WEDGE_SLOPE = 1.0 / 8.0
#: Diameter of a cutter that leaves corners where none is named, mm (common practice: 1/2 in).
CUTTER = 12.7


def entering_end(receiver: Member, entering: Member) -> Face:
    """The end of ``entering`` that is nearer the middle of ``receiver``."""
    middle = receiver.placement.point((receiver.length / 2, receiver.width / 2, 0.0))
    along = entering.placement.x

    def off(end: Face) -> float:
        at = entering.placement.point(entering.face_frame(end).origin)
        return abs(dot(sub(middle, at), along))

    return min((Face.NEAR_END, Face.FAR_END), key=off)


def usual_shoulders(receiver: Member, entering: Member, *, tenons: float = 1.0) -> Shoulders:
    """Cheeks that leave a third of the receiver, to a tool's size; an eighth at the edges.

    ``tenons`` is how many thirds the tenon is thick, for several side by side.
    """
    across = receiver.face_towards(entering.placement.z)
    most = entering.thickness - 2 * LEAST_SHOULDER
    thick = tenons * THIRD * min(receiver.extent(across), entering.thickness)
    if tenons == 1.0:
        thick = tool_size_for(THIRD * receiver.extent(across), largest=max(most, 0.1))
    side = snap((entering.thickness - min(thick, max(most, 0.5 * entering.thickness))) / 2)
    edge = snap(min(EDGE_SHARE * entering.width, EDGE_MOST))
    return Shoulders(face_edge=edge, back_edge=edge, face_side=side, back_side=side)


class Common(TypedDict, total=False):
    """What every tenon may be given.

    Keys:
        end: of the entering member; the one in the receiver if left out.
        name: of the joint; both members' names if left out.
        fit: a fit or its name; ``hand press`` if left out.
        shoulders: all four; see each function for what it takes else.
        corners, cutter: of the mortises, and the cutter that leaves them; square if left out.
    """

    end: Face
    name: str
    fit: str | Fit
    shoulders: Shoulders
    corners: CornerKind
    cutter: float


def _basis(
    receiver: Member, entering: Member, *, tenons: float = 1.0, **common: Unpack[Common]
) -> dict[str, Any]:
    """The arguments that every tenon's class takes."""
    fit = common.get("fit", "hand press")
    return {
        "name": common.get("name", f"{receiver.name}_{entering.name}"),
        "receiver": receiver,
        "entering": entering,
        "end": common.get("end") or entering_end(receiver, entering),
        "shoulders": common.get("shoulders") or usual_shoulders(receiver, entering, tenons=tenons),
        "fit": get_fit(fit) if isinstance(fit, str) else fit,
        "corners": common.get("corners", "square"),
        "cutter": common.get("cutter", CUTTER),
    }


def angled_tenon(
    receiver: Member,
    entering: Member,
    *,
    through: bool = True,
    wedges: int = 1,
    flare: float = 1.6,
    kerf: float = 1.6,
    species: Species | None = None,
    **common: Unpack[Common],
) -> AngledTenon:
    """A tenon on a member that leans to the receiver's face, shoulders bevelled to lie in it.

    A through one is wedged unless ``wedges`` is 0: kerfs and wedges reach two thirds of the way
    down, the mortise flares over the upper half. ``species`` is the wedges' wood: white oak if
    left out.
    """
    basis = _basis(receiver, entering, **common)
    del basis["cutter"]
    if basis.pop("corners") != "square":
        raise GeometryError(
            f"{basis['name']}: an angled mortise is pared along a bevel gauge, so its corners are "
            "square"
        )
    plain = AngledTenon(**basis, through=through)
    if not (through and wedges):
        return plain
    return replace(
        plain,
        wedged=AngledWedges(
            count=wedges,
            kerf=kerf,
            kerf_length=snap(KERF_SHARE * plain.length),
            length=snap(WEDGE_SHARE * plain.length),
            tip=snap(kerf / 2.0),
            flare=flare,
            flare_start=snap(FLARE_FROM * plain.length),
            species=species or get_species("white oak"),
        ),
    )


def haunched_tenon(
    receiver: Member,
    entering: Member,
    *,
    edge: Face = Face.FACE_EDGE,
    sloped: bool = False,
    width: float | None = None,
    length: float | None = None,
    **common: Unpack[Common],
) -> MortiseTenon:
    """A tenon with a square or sloped haunch toward one edge.

    ``width`` defaults to a quarter of the rail's, out to its edge; ``length`` to a third of the
    tenon's, at most its thickness.
    """
    basis = _basis(receiver, entering, **common)
    s: Shoulders = basis["shoulders"]
    at_face_edge = edge is Face.FACE_EDGE
    if "shoulders" not in common:
        wide = snap(entering.width / 4 if width is None else width)
        s = Shoulders(
            face_edge=wide if at_face_edge else s.face_edge,
            back_edge=s.back_edge if at_face_edge else wide,
            face_side=s.face_side,
            back_side=s.back_side,
        )
        basis["shoulders"] = s
    plain = MortiseTenon(**basis)
    stub = Haunch(
        edge=edge,
        width=(s.face_edge if at_face_edge else s.back_edge) if width is None else width,
        length=snap(min(plain.length / 3, plain.thickness)) if length is None else length,
        sloped=sloped,
    )
    return MortiseTenon(**basis, haunch=stub)


def bare_faced_tenon(
    receiver: Member,
    entering: Member,
    *,
    bare: Face = Face.BACK_SIDE,
    **common: Unpack[Common],
) -> MortiseTenon:
    """A tenon with no shoulder at one cheek: for rails too thin for two, or flush with a post."""
    basis = _basis(receiver, entering, **common)
    if "shoulders" not in common:
        s: Shoulders = basis["shoulders"]
        both = snap(s.face_side + s.back_side)
        at_back = bare is Face.BACK_SIDE
        basis["shoulders"] = Shoulders(
            face_edge=s.face_edge,
            back_edge=s.back_edge,
            face_side=both if at_back else 0.0,
            back_side=0.0 if at_back else both,
        )
    return MortiseTenon(**basis)


def twin_tenons(
    receiver: Member,
    entering: Member,
    *,
    count: int = 2,
    gap: float | None = None,
    through: bool = False,
    **common: Unpack[Common],
) -> MultipleTenon:
    """Tenons side by side in a thick rail; ``gap`` defaults to a tenon's own thickness."""
    parts = 2 * count - 1
    basis = _basis(receiver, entering, tenons=3.0 * parts / (parts + 2), **common)
    s: Shoulders = basis["shoulders"]
    thick = entering.thickness - s.face_side - s.back_side
    between = snap(thick / parts) if gap is None else gap
    return MultipleTenon(**basis, count=count, gap=between, through=through)


def double_tenons(
    receiver: Member,
    entering: Member,
    *,
    count: int = 2,
    gap: float | None = None,
    through: bool = False,
    **common: Unpack[Common],
) -> MultipleTenon:
    """Tenons one above the other in a wide rail; ``gap`` defaults to half a tenon's width."""
    basis = _basis(receiver, entering, **common)
    s: Shoulders = basis["shoulders"]
    wide = entering.width - s.face_edge - s.back_edge
    between = snap(wide / (3 * count - 1)) if gap is None else gap
    return MultipleTenon(**basis, count=count, gap=between, across="width", through=through)


def wedged_tenon(
    receiver: Member,
    entering: Member,
    *,
    wedges: int = 2,
    flare: float = 3.0,
    kerf: float = 2.0,
    species: Species | None = None,
    **common: Unpack[Common],
) -> WedgedTenon:
    """A through tenon spread by wedges in a flared mortise.

    The kerfs end at two thirds of the tenon, the flare begins at a third of the mortise's depth
    from the far face or where its slope would be one in eight.
    """
    basis = _basis(receiver, entering, **common)
    plain = MortiseTenon(**basis, through=True)
    deep = plain.mortise_depth
    run = min(max(flare / WEDGE_SLOPE, deep / 3), 0.75 * deep)
    long = snap(2 * plain.length / 3)
    return WedgedTenon(
        **basis,
        kerfs=wedges,
        kerf_width=kerf,
        kerf_length=long,
        flare=flare,
        flare_start=snap(deep - run),
        wedge_length=snap(0.9 * long),
        wedge_tip=snap(kerf / 2),
        wedge_species=species or entering.species,
    )


def tusk_tenon(
    receiver: Member,
    entering: Member,
    *,
    wedge_face: Face = Face.FACE_EDGE,
    wedge_width: float | None = None,
    wedge_thickness: float | None = None,
    species: Species | None = None,
    **common: Unpack[Common],
) -> TuskTenon:
    """A tenon that stands out and is drawn home by a loose wedge; it comes apart.

    The wedge is as thick as a third of the tenon across it (at least a quarter inch) and, half-way
    through, a third of what stands out wide. Its fit is ``easy`` if none is given.
    """
    common.setdefault("fit", "easy")
    basis = _basis(receiver, entering, **common)
    plain = MortiseTenon(**basis, through=True)
    edges = wedge_face in (Face.FACE_EDGE, Face.BACK_EDGE)
    across = plain.thickness if edges else plain.width
    deep = plain.width if edges else plain.thickness
    wide = snap(max(plain.proud, 0.0) / 3) if wedge_width is None else wedge_width
    # So long a wedge must not run out: it narrows to no less than half of its middle.
    slope = min(WEDGE_SLOPE, wide / (2.0 * deep))
    return TuskTenon(
        **basis,
        wedge_face=wedge_face,
        wedge_width=wide,
        wedge_thickness=snap(max(across / 3, 6.35)) if wedge_thickness is None else wedge_thickness,
        slope=slope,
        relief=3.0,
        play=0.5,
        head=snap(deep / 4),
        tail=snap(deep / 8),
        wedge_species=species or entering.species,
    )


def slab_tenons(
    slab: Member,
    post: Member,
    *,
    outer: Face = Face.FACE_SIDE,
    dovetail: float | None = None,
    gap: float | None = None,
    slope: float = 1.0 / 6.0,
    **common: Unpack[Common],
) -> SlabTenons:
    """A post's dovetailed and plain through tenons in a slab whose edge it is flush with.

    Dovetail, gap and plain tenon default to a quarter of the post's thickness each; what is left
    is the shoulder behind the plain one.
    """
    at_side = outer is Face.FACE_SIDE
    quarter = snap(post.thickness / 4)
    tail = quarter if dovetail is None else dovetail
    between = quarter if gap is None else gap
    behind = snap(post.thickness - tail - between - quarter)
    shoulders = Shoulders(
        face_edge=0.0,
        back_edge=0.0,
        face_side=0.0 if at_side else behind,
        back_side=behind if at_side else 0.0,
    )
    common.setdefault("shoulders", shoulders)
    basis = _basis(slab, post, **common)
    return SlabTenons(**basis, outer=outer, dovetail=tail, gap=between, slope=slope)


def round_tenon(
    receiver: Member,
    entering: Member,
    *,
    diameter: float | None = None,
    angle: float = math.radians(6.0),
    through: bool = False,
    clear: float = 4.0,
    end: Face | None = None,
    name: str | None = None,
) -> TaperedRound:
    """A conical tenon; ``angle`` is the whole cone's, ``diameter`` at the receiver's face.

    It defaults to 0.8 of the piece. Where the piece leans, the cone goes on to a shoulder that
    clears the face by ``clear`` mm, and is 0.9 of the piece there.
    """
    least = min(entering.width, entering.thickness)
    taper = 2.0 * math.tan(angle / 2.0)
    chosen = end or entering_end(receiver, entering)
    label = name or f"{receiver.name}_{entering.name}"
    plane = face_plane(Standing(name=label, receiver=receiver, entering=entering, end=chosen))
    off, usual = 0.0, 0.8 * least
    if plane.tilt > LEANS:
        depth = plane.depth(entering.width / 2.0, entering.thickness / 2.0)
        off = snap(plane.reach(entering) - depth + clear)
        usual = 0.9 * least - taper * off
    return TaperedRound(
        name=label,
        receiver=receiver,
        entering=entering,
        end=chosen,
        diameter=snap(usual) if diameter is None else diameter,
        taper=taper,
        play=0.0 if off else PLAY,  # without a shoulder on the face it seats by its taper
        through=through,
        standoff=off,
    )


__all__ = [
    "CUTTER",
    "angled_tenon",
    "bare_faced_tenon",
    "double_tenons",
    "entering_end",
    "haunched_tenon",
    "round_tenon",
    "slab_tenons",
    "tusk_tenon",
    "twin_tenons",
    "usual_shoulders",
    "wedged_tenon",
]
