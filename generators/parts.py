"""Members that several benches are made of, placed by their reference faces.

Face sides look outward, face edges upward (stretchers) or along the bench (posts): the
outside of the bench is what is kept true.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from treenail.timber.frames import Frame, Vec, cross, snap, snap_vec
from treenail.timber.member import Member, Rings

if TYPE_CHECKING:
    from treenail.timber.species import Species

UP: Vec = (0.0, 0.0, 1.0)
DOWN: Vec = (0.0, 0.0, -1.0)
RIGHT: Vec = (1.0, 0.0, 0.0)
LEFT: Vec = (-1.0, 0.0, 0.0)
BACK: Vec = (0.0, 1.0, 0.0)
FRONT: Vec = (0.0, -1.0, 0.0)


def post(
    name: str,
    *,
    corner: Vec,
    to_right: bool,
    to_back: bool,
    width: float,
    thickness: float,
    length: float,
    species: Species,
    plies: int,
    assembly: str,
) -> Member:
    """A leg standing on its near end.

    ``corner`` is its outer corner on the floor; ``to_right`` and ``to_back`` say where the post
    lies from there. ``width`` runs along the bench, ``thickness`` front to back. Posts on one
    diagonal get the same coordinates, so that they are one shape.
    """
    inward_x = RIGHT if to_right else LEFT
    inward_y = BACK if to_back else FRONT
    # Right-handed with x up: face side on the front (or back) for one diagonal, on the end
    # for the other.
    if to_right == to_back:
        frame = Frame(snap_vec(corner), UP, inward_x, inward_y)
        across, through = width, thickness
    else:
        frame = Frame(snap_vec(corner), UP, inward_y, inward_x)
        across, through = thickness, width
    return Member(
        name=name,
        role="post",
        length=length,
        width=across,
        thickness=through,
        species=species,
        placement=frame,
        # Flat-sawn boards, glued face to face from front to back, whatever the post's own axes.
        rings="flat" if to_right == to_back else "quarter",
        plies=plies,
        ply_axis="thickness" if to_right == to_back else "width",
        assembly=assembly,
    )


def four_posts(
    ends: tuple[float, float],
    fronts: tuple[float, float],
    *,
    look_front: bool,
    foot: float = 0.0,
    width: float,
    thickness: float,
    length: float,
    species: Species,
    plies: int,
    assembly: str,
) -> dict[str, Member]:
    """Four legs, by ``front_left`` and so on.

    Args:
        ends: the outer sides of those on the left and the right, mm along the bench.
        fronts: the outer faces of those in front and behind, mm from the front.
        look_front: face sides look to the front and the back on both ends; otherwise posts on one
            diagonal are one shape.
        foot: height at which they begin, mm.
        width: along the bench, mm.
        thickness: front to back, mm.
        length: mm.
        species: their wood.
        plies: glued together in each.
        assembly: its name, in which {} stands for the end.
    """
    found = {}
    for fb, y in zip(("front", "back"), fronts, strict=True):
        for lr, outer in zip(("left", "right"), ends, strict=True):
            starts_left = fb == "front" if look_front else lr == "left"
            low = outer if lr == "left" else outer - width
            found[f"{fb}_{lr}"] = post(
                f"post_{fb}_{lr}",
                corner=(low if starts_left else low + width, y, foot),
                to_right=starts_left,
                to_back=fb == "front",
                width=width,
                thickness=thickness,
                length=length,
                species=species,
                plies=plies,
                assembly=assembly.format(lr),
            )
    return found


def stretcher(
    name: str,
    *,
    start: Vec,
    into: Vec,
    length: float,
    width: float,
    thickness: float,
    species: Species,
    plies: int = 1,
    assembly: str,
    role: str = "stretcher",
) -> Member:
    """A rail on edge: face edge up, face side outward.

    ``start`` is the near end's corner of face side and face edge; ``into`` the horizontal
    direction from the face side into the piece.
    """
    return Member(
        name=name,
        role=role,
        length=length,
        width=width,
        thickness=thickness,
        species=species,
        placement=Frame.from_zx(snap_vec(start), into, cross(DOWN, into)),
        plies=plies,
        assembly=assembly,
    )


def batten(
    name: str,
    *,
    middle: float,
    span: tuple[float, float],
    top: float,
    width: float,
    thickness: float,
    species: Species,
) -> Member:
    """A bearer across the bench, flat: its middle along it, from where to where, its upper face."""
    return slab(
        name,
        role="batten",
        corner=(middle - width / 2, span[0], top),
        length=snap(span[1] - span[0]),
        width=width,
        thickness=thickness,
        species=species,
        plies=1,
        rings="flat",
        assembly="battens",
        along=BACK,
    )


def slab(
    name: str,
    *,
    role: str,
    corner: Vec,
    length: float,
    width: float,
    thickness: float,
    species: Species,
    plies: int,
    rings: Rings,
    assembly: str,
    along: Vec = LEFT,
) -> Member:
    """A flat piece with its face side up and the grain running ``along``.

    ``corner`` is where face side, face edge and near end meet. With the grain running to the
    left the face edge looks to the front.
    """
    return Member(
        name=name,
        role=role,
        length=length,
        width=width,
        thickness=thickness,
        species=species,
        placement=Frame.from_zx(snap_vec(corner), DOWN, along),
        plies=plies,
        ply_axis="width",
        rings=rings,
        assembly=assembly,
    )
