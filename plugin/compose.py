"""By hand: squared-up pieces placed in space, joined where they meet, checked like any bench."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Literal, TypeVar

from treenail.api import Bench
from treenail.generators.bench import Seasons
from treenail.joints.angled_tenon import AngledTenon
from treenail.joints.base import Joint
from treenail.joints.corners import CORNERS, CornerKind
from treenail.joints.cuts import Haunch
from treenail.joints.drawbored import DrawBore
from treenail.joints.features import Bearing, EdgeGlue
from treenail.joints.fits import get_fit, tool_size_for
from treenail.joints.mortise_tenon import MortiseTenon, Shoulders
from treenail.joints.standing import Standing
from treenail.joints.tenon_variants.pegs import MOST, pegged
from treenail.joints.tenon_variants.tapered_round import LEANS, face_plane
from treenail.timber.errors import GeometryError, SpecError
from treenail.timber.frames import Frame, Vec, cross, dot, norm, snap_vec, unit
from treenail.timber.lengths import format_length, parse_length
from treenail.timber.member import Face, Member, Rings
from treenail.timber.species import Species, get_species

Units = Literal["in", "mm"]
Length = float | int | str
T = TypeVar("T")

#: How near a member's end must come to another's stock to count as meeting it, mm.
NEAR = 1e-6
_DIRECTIONS: dict[str, Vec] = {
    "right": (1.0, 0.0, 0.0),
    "left": (-1.0, 0.0, 0.0),
    "back": (0.0, 1.0, 0.0),
    "front": (0.0, -1.0, 0.0),
    "up": (0.0, 0.0, 1.0),
    "down": (0.0, 0.0, -1.0),
}


def _direction(value: str | Vec, field: str) -> Vec:
    if not isinstance(value, str):
        return unit(value)
    if value not in _DIRECTIONS:
        raise SpecError(
            f"{value!r} is no direction",
            field=field,
            allowed=", ".join(_DIRECTIONS) + ", or a vector",
        )
    return _DIRECTIONS[value]


def piece(
    name: str,
    length: Length,
    width: Length,
    thickness: Length,
    *,
    at: tuple[Length, Length, Length] = (0, 0, 0),
    grain: str | Vec = "right",
    face: str | Vec = "front",
    species: str | Species = "white ash",
    role: str = "",
    rings: Rings = "flat",
    units: Units = "mm",
) -> Member:
    """A squared-up piece, placed by the low corner of its bounding box.

    Args:
        name: unique; letters, digits and underscores.
        length: along the grain, tenons included.
        width: across the grain, square to the direction that ``face`` looks.
        thickness: in the direction that ``face`` looks.
        at: where the corner with the smallest x, y and z stands. x runs right, y back, z up.
        grain: direction from the near end to the far end: right, left, back, front, up, down,
            or a vector.
        face: direction that the face side looks.
        species: a wood's name, or one of your own.
        role: what it is; empty takes the name.
        rings: how the growth rings lie across the width.
        units: of bare numbers.

    Raises:
        SpecError: a size or direction that can't be read.
    """

    def mm(value: Length, field: str) -> float:
        return parse_length(value, unit=units, field=field)

    x, outward = _direction(grain, "grain"), _direction(face, "face")
    if abs(dot(x, outward)) > 1e-9:
        raise SpecError(
            f"{name}: the face side can't look along the grain",
            field="face",
            allowed="a direction square to the grain",
        )
    z: Vec = (-outward[0], -outward[1], -outward[2])
    made = Member(
        name=name,
        role=role or name,
        length=mm(length, "length"),
        width=mm(width, "width"),
        thickness=mm(thickness, "thickness"),
        species=species if isinstance(species, Species) else get_species(species, field="species"),
        placement=Frame((0.0, 0.0, 0.0), x, cross(z, x), z),
        rings=rings,
    )
    low, _ = made.bounds()
    corner = tuple(mm(v, f"at.{axis}") for v, axis in zip(at, "xyz", strict=True))
    return _moved(made, snap_vec((corner[0] - low[0], corner[1] - low[1], corner[2] - low[2])))


def _moved(member: Member, by: Vec) -> Member:
    return replace(member, placement=member.placement.moved(by))


def _outside(member: Member, point: Vec) -> float:
    """How far a point in the bench lies outside a member's stock, mm (0: in it or on it)."""
    local = member.placement.local_point(point)
    gaps = [max(0.0, -c, c - size) for c, size in zip(local, member.size, strict=True)]
    return norm((gaps[0], gaps[1], gaps[2]))


def meeting_end(receiver: Member, entering: Member) -> Face:
    """The end of ``entering`` that lies in ``receiver``.

    Raises:
        GeometryError: neither does, with the distance; or both do.
    """
    found: dict[Face, float] = {}
    for end in (Face.NEAR_END, Face.FAR_END):
        frame = entering.placement.place(entering.face_frame(end))
        across, through = entering.face_size(end)
        middle = frame.point((across / 2, through / 2, 0.0))
        found[end] = _outside(receiver, middle)
    inside = [end for end, gap in found.items() if gap <= NEAR]
    if len(inside) == 1:
        return inside[0]
    if inside:
        raise GeometryError(
            f"both ends of {entering.name} lie in {receiver.name}; name the end to be joined"
        )
    end = min(found, key=lambda e: found[e])
    gap = format_length(found[end], unit="mm")
    raise GeometryError(
        f"{entering.name} and {receiver.name} don't meet: the {end} of {entering.name} is {gap} "
        f"away from it; lengthen {entering.name} by its tenon, or move it"
    )


def join(
    receiver: Member,
    entering: Member,
    *,
    name: str = "",
    end: Face | None = None,
    tenon: Length | None = None,
    shoulders: Length | Shoulders | None = None,
    fit: str = "hand press",
    haunch: bool = False,
    through: bool = False,
    pegs: int = 1,
    peg: Length = "3/8 in",
    draw: Length = "1/16 in",
    setback: Length | None = None,
    peg_species: str = "white oak",
    drive: Face = Face.FACE_SIDE,
    corners: CornerKind = "square",
    cutter: Length = "1/2 in",
    units: Units = "mm",
) -> MortiseTenon | AngledTenon:
    """A drawbored mortise and tenon where two placed pieces meet.

    The mortised face, the tenon's length and every position follow from the placements. Where the
    tenoned piece leans it is an angled one, its pegs square to its cheeks.

    Args:
        receiver: the piece that is mortised.
        entering: the piece that is tenoned; its length includes the tenon.
        name: of the joint; empty makes one of the two names.
        end: which end; None finds it.
        tenon: its thickness; None takes a third of the receiver, rounded to a tool size.
        shoulders: one width for the two edges, or all four; None takes a sixth of the width.
        fit: named fit.
        haunch: a stub in the shoulder at the face edge.
        through: the tenon comes out at the far face.
        pegs: how many; 0 for none.
        peg: their diameter.
        draw: how much nearer the shoulder the tenon's holes lie.
        setback: shoulder to the post's holes; None takes two peg diameters. Of a piece that leans
            it is measured along the piece, half-way through its tenon; None keeps each peg two
            diameters from the mortised face.
        peg_species: the pegs' wood.
        drive: side of ``entering`` on which they are driven.
        corners: of the mortise: ``square``, ``round`` (the tenon is rounded to match) or
            ``relieved``.
        cutter: diameter of the cutter that leaves them.
        units: of bare numbers.

    Raises:
        GeometryError: the pieces don't meet, with the distance, or lean by more than 45 degrees.
        SpecError: a size that can't be read.
    """

    def mm(value: Length, field: str) -> float:
        return parse_length(value, unit=units, field=field)

    if corners not in CORNERS:
        raise SpecError(f"{corners!r} corners", field="corners", allowed=", ".join(CORNERS))
    chosen = end or meeting_end(receiver, entering)
    if isinstance(shoulders, Shoulders):
        sides = shoulders
    else:
        across = receiver.extent(receiver.face_towards(entering.placement.z))
        thick = (
            mm(tenon, "tenon")
            if tenon is not None
            else tool_size_for(across / 3, largest=entering.thickness * 0.7)
        )
        edge = mm(shoulders, "shoulders") if shoulders is not None else entering.width / 6
        side = (entering.thickness - thick) / 2
        sides = Shoulders(face_edge=edge, back_edge=edge, face_side=side, back_side=side)
    diameter = mm(peg, "peg")
    drawbore = DrawBore(
        count=pegs,
        diameter=diameter,
        offset=mm(draw, "draw"),
        setback=mm(setback, "setback") if setback is not None else 2 * diameter,
        species=get_species(peg_species, field="peg_species"),
        drive_side=drive,
    )
    label = name or f"{entering.name}_in_{receiver.name}"
    probe = Standing(name=label, receiver=receiver, entering=entering, end=chosen)
    if face_plane(probe).tilt > LEANS:
        if haunch or corners != "square":
            raise SpecError(
                f"{entering.name} leans, so that its tenon has square corners and no haunch",
                field="haunch" if haunch else "corners",
                allowed="False" if haunch else "square",
            )
        leaning = AngledTenon(
            name=label,
            receiver=receiver,
            entering=entering,
            end=chosen,
            shoulders=sides,
            fit=get_fit(fit),
            through=through,
        )
        return _pegged(leaning, drawbore, keep=setback is not None)
    made = MortiseTenon(
        name=label,
        receiver=receiver,
        entering=entering,
        end=chosen,
        shoulders=sides,
        fit=get_fit(fit),
        through=through,
        draw=drawbore if pegs else None,
        corners=corners,
        cutter=mm(cutter, "cutter"),
    )
    if not haunch:
        return made
    stub = Haunch(Face.FACE_EDGE, sides.face_edge, min(12.7, made.length / 3))
    return replace(made, haunch=stub)


def _pegged(joint: AngledTenon, draw: DrawBore, *, keep: bool) -> AngledTenon:
    """A leaning tenon with pegs; unless ``keep``, as far from the mortised face as is usual."""
    if not draw.count:
        return joint
    usual = pegged(joint, min(draw.count, MOST), diameter=draw.diameter, side=draw.drive_side).draw
    assert usual is not None
    return replace(joint, draw=draw if keep else replace(draw, setback=usual.setback))


def rest(below: Member, above: Member, *, name: str = "") -> Bearing:
    """One piece that lies on another."""
    return Bearing(name=name or f"{above.name}_on_{below.name}", below=below, above=above)


def glue(first: Member, second: Member, *, name: str = "") -> EdgeGlue:
    """Two pieces glued face to face or edge to edge."""
    return EdgeGlue(name=name or f"{first.name}_to_{second.name}", first=first, second=second)


def compose(
    name: str,
    members: Iterable[Member],
    joints: Iterable[Joint],
    *,
    units: Units = "mm",
    moisture: tuple[float, float, float] = (6.0, 8.0, 11.0),
) -> Bench:
    """A bench (or anything else) of pieces and joints, for the same checks and exports.

    Args:
        name: shown on every paper.
        members: the pieces.
        joints: the joints between them.
        units: of lengths in messages and tables.
        moisture: driest, at the build, wettest, in percent.
    """
    timbers = tuple(members)
    if not timbers:
        raise SpecError("there are no pieces", field="members", allowed="one or more")
    driest, at_build, wettest = moisture
    made = Bench(
        name=name,
        family="composed",
        units=units,
        timbers=timbers,
        joints=tuple(joints),
        asked=(0.0, 0.0, 0.0),
        seasons=Seasons(at_build, driest, wettest),
    )
    # Ends that are cut aslant reach less far than their stock.
    lows, highs = zip(*made.bounds.values(), strict=True)
    size = tuple(max(h[i] for h in highs) - min(low[i] for low in lows) for i in range(3))
    return replace(made, asked=(size[0], size[1], size[2]))


__all__ = ["compose", "glue", "join", "meeting_end", "piece", "rest"]
