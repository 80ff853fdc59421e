"""The squared-up member (and the round peg): sizes, reference faces, placement."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from enum import StrEnum
from typing import TYPE_CHECKING, Literal

from treenail.timber.errors import GeometryError
from treenail.timber.frames import Frame, Vec, neg

if TYPE_CHECKING:
    from treenail.timber.species import Species

Rings = Literal["flat", "rift", "quarter"]


class Face(StrEnum):
    """The six faces of a member, by the trade's names.

    The face side and the face edge are the two reference faces from which all is measured.
    """

    FACE_SIDE = "face side"
    FACE_EDGE = "face edge"
    BACK_SIDE = "back side"
    BACK_EDGE = "back edge"
    NEAR_END = "near end"
    FAR_END = "far end"

    @property
    def is_end(self) -> bool:
        """True for the two end-grain faces."""
        return self in (Face.NEAR_END, Face.FAR_END)

    @property
    def opposite(self) -> Face:
        """The face across the piece."""
        return _OPPOSITE[self]

    @property
    def inward(self) -> Vec:
        """Unit vector into the piece, in the member's coordinates."""
        return _INWARD[self]

    @property
    def outward(self) -> Vec:
        """Unit normal out of the piece, in the member's coordinates."""
        return neg(_INWARD[self])


_OPPOSITE = {
    Face.FACE_SIDE: Face.BACK_SIDE,
    Face.BACK_SIDE: Face.FACE_SIDE,
    Face.FACE_EDGE: Face.BACK_EDGE,
    Face.BACK_EDGE: Face.FACE_EDGE,
    Face.NEAR_END: Face.FAR_END,
    Face.FAR_END: Face.NEAR_END,
}
_INWARD: dict[Face, Vec] = {
    Face.NEAR_END: (1.0, 0.0, 0.0),
    Face.FAR_END: (-1.0, 0.0, 0.0),
    Face.FACE_EDGE: (0.0, 1.0, 0.0),
    Face.BACK_EDGE: (0.0, -1.0, 0.0),
    Face.FACE_SIDE: (0.0, 0.0, 1.0),
    Face.BACK_SIDE: (0.0, 0.0, -1.0),
}


@dataclass(frozen=True, kw_only=True)
class Member:
    """One piece of wood.

    Its own coordinates: x along the grain from the near end, y across from the face edge, z into
    the piece from the face side; the stock fills ``[0, length] x [0, width] x [0, thickness]``.

    Attributes:
        name: unique in the bench; ASCII letters, digits and underscores.
        role: what it is in the trade's words: ``post``, ``stretcher``, ``peg`` ...
        length, width, thickness: finished sizes over all, tenons included, in mm.
        species: the wood.
        placement: the member's coordinates in the bench's.
        rings: how the growth rings lie across ``width`` (flat-sawn faces move most).
        plies: number of boards glued up to make the piece.
        ply_axis: the direction in which the plies stack.
        ply_planed: thickness of each ply before the glue-up as it really came out, in mm; None
            where it is still to be planed.
        assembly: name of the sub-assembly it belongs to.
        round_section: a turned or riven peg: a cylinder of diameter ``width``.
        tip_length, tip_diameter: the taper at a peg's far end, in mm (0: none).
    """

    name: str
    role: str
    length: float
    width: float
    thickness: float
    species: Species = field(repr=False)
    placement: Frame = field(default_factory=Frame)
    rings: Rings = "flat"
    plies: int = 1
    ply_axis: Literal["thickness", "width"] = "thickness"
    ply_planed: float | None = None
    assembly: str = ""
    round_section: bool = False
    tip_length: float = 0.0
    tip_diameter: float = 0.0

    def __post_init__(self) -> None:
        """Refuse sizes that no piece can have (GeometryError)."""
        for label in ("length", "width", "thickness"):
            value = getattr(self, label)
            if not (math.isfinite(value) and value > 0.0):
                raise GeometryError(f"{self.name}: {label} must be more than 0 mm, got {value!r}")
        if self.round_section and not (
            0.0 <= self.tip_length <= self.length
            and 0.0 <= self.tip_diameter <= self.width
            and self.width == self.thickness
        ):
            raise GeometryError(f"{self.name}: the taper does not fit the peg")

    @property
    def size(self) -> Vec:
        """(length, width, thickness) in mm."""
        return (self.length, self.width, self.thickness)

    def extent(self, face: Face) -> float:
        """Distance in mm from ``face`` to the opposite one."""
        if face.is_end:
            return self.length
        if face in (Face.FACE_EDGE, Face.BACK_EDGE):
            return self.width
        return self.thickness

    def face_frame(self, face: Face) -> Frame:
        """Frame on a face in the member's coordinates: z goes into the piece.

        On the four long faces x runs along the grain from the near end; on the ends x runs from
        the face edge to the back edge. The origin is the corner that makes it right-handed.
        """
        length, width, thickness = self.size
        inward = face.inward
        match face:
            case Face.FACE_SIDE:
                return Frame()
            case Face.BACK_SIDE:
                return Frame.from_zx((0.0, width, thickness), inward, (1.0, 0.0, 0.0))
            case Face.FACE_EDGE:
                return Frame.from_zx((0.0, 0.0, thickness), inward, (1.0, 0.0, 0.0))
            case Face.BACK_EDGE:
                return Frame.from_zx((0.0, width, 0.0), inward, (1.0, 0.0, 0.0))
            case Face.NEAR_END:
                return Frame.from_zx((0.0, 0.0, 0.0), inward, (0.0, 1.0, 0.0))
            case Face.FAR_END:
                return Frame.from_zx((length, 0.0, thickness), inward, (0.0, 1.0, 0.0))

    def face_size(self, face: Face) -> tuple[float, float]:
        """(extent along x, extent along y) of a face in its ``face_frame``, in mm."""
        if face.is_end:
            return (self.width, self.thickness)
        if face in (Face.FACE_SIDE, Face.BACK_SIDE):
            return (self.length, self.width)
        return (self.length, self.thickness)

    def face_towards(self, direction: Vec) -> Face:
        """The face whose outward normal is nearest to a direction in bench coordinates."""
        local = self.placement.local_direction(direction)
        return max(Face, key=lambda f: sum(a * b for a, b in zip(f.outward, local, strict=True)))

    @property
    def stock_volume(self) -> float:
        """Volume in mm³ before any cut (closed form)."""
        if not self.round_section:
            return self.length * self.width * self.thickness
        r = self.width / 2.0
        if self.tip_length == 0.0:
            return math.pi * r * r * self.length
        s = self.tip_diameter / 2.0
        cone = math.pi * self.tip_length * (r * r + r * s + s * s) / 3.0
        return math.pi * r * r * (self.length - self.tip_length) + cone

    def world_corners(self) -> list[Vec]:
        """The eight corners of the stock in bench coordinates (for a peg: of its bounding box).

        A round member is centred on its x axis, a squared one has its corner there.
        """
        length, width, thickness = self.size
        if self.round_section:
            ys, zs = (-width / 2, width / 2), (-thickness / 2, thickness / 2)
        else:
            ys, zs = (0.0, width), (0.0, thickness)
        return [self.placement.point((x, y, z)) for x in (0.0, length) for y in ys for z in zs]

    def bounds(self) -> tuple[Vec, Vec]:
        """Axis-aligned bounds of the stock in the bench: (low corner, high corner), mm."""
        xs, ys, zs = zip(*self.world_corners(), strict=True)
        return (min(xs), min(ys), min(zs)), (max(xs), max(ys), max(zs))
