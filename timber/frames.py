"""Exact rigid placements: points, directions and right-handed frames, without a kernel."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Self, TypeAlias

from treenail.timber.errors import GeometryError

Vec: TypeAlias = tuple[float, float, float]

#: Coordinates are snapped to this many decimals of a millimetre, so that numbers which took
#: different routes through placements compare (and hash) equal.
SNAP_DECIMALS = 9
#: Unit vectors are snapped finer: over a bench's length 1e-9 in a direction is a micrometre.
AXIS_DECIMALS = 12

X: Vec = (1.0, 0.0, 0.0)
Y: Vec = (0.0, 1.0, 0.0)
Z: Vec = (0.0, 0.0, 1.0)
ORIGIN: Vec = (0.0, 0.0, 0.0)


def snap(value: float) -> float:
    """Round to 1e-9 and turn -0.0 into 0.0."""
    return round(value, SNAP_DECIMALS) + 0.0


def snap_vec(v: Vec) -> Vec:
    """Snap each coordinate."""
    return (snap(v[0]), snap(v[1]), snap(v[2]))


def snap_axis(v: Vec) -> Vec:
    """Snap a unit vector to 1e-12."""
    return (
        round(v[0], AXIS_DECIMALS) + 0.0,
        round(v[1], AXIS_DECIMALS) + 0.0,
        round(v[2], AXIS_DECIMALS) + 0.0,
    )


def add(a: Vec, b: Vec) -> Vec:
    """Sum of two vectors."""
    return (a[0] + b[0], a[1] + b[1], a[2] + b[2])


def sub(a: Vec, b: Vec) -> Vec:
    """Difference ``a - b``."""
    return (a[0] - b[0], a[1] - b[1], a[2] - b[2])


def scale(a: Vec, k: float) -> Vec:
    """Vector times a number."""
    return (a[0] * k, a[1] * k, a[2] * k)


def neg(a: Vec) -> Vec:
    """Opposite vector."""
    return (-a[0], -a[1], -a[2])


def dot(a: Vec, b: Vec) -> float:
    """Scalar product."""
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def cross(a: Vec, b: Vec) -> Vec:
    """Vector product."""
    return (
        a[1] * b[2] - a[2] * b[1],
        a[2] * b[0] - a[0] * b[2],
        a[0] * b[1] - a[1] * b[0],
    )


def norm(a: Vec) -> float:
    """Length of a vector."""
    return math.sqrt(dot(a, a))


def unit(a: Vec) -> Vec:
    """Vector of length one; raises GeometryError for the zero vector."""
    size = norm(a)
    if size == 0.0:
        raise GeometryError("a direction must not be the zero vector")
    return scale(a, 1.0 / size)


def off_axis(v: Vec) -> float:
    """The angle between a unit vector and the z axis; as exact for a tiny one."""
    return math.atan2(math.hypot(v[0], v[1]), v[2])


def along(p: Vec, d: Vec, distance: float) -> Vec:
    """The point ``distance`` from ``p`` in direction ``d`` (a unit vector)."""
    return add(p, scale(d, distance))


@dataclass(frozen=True, slots=True)
class Frame:
    """A right-handed orthonormal frame: ``origin`` in mm and three unit axes.

    As a placement it carries local coordinates into the parent's: ``origin + a x + b y + c z``.
    """

    origin: Vec = ORIGIN
    x: Vec = X
    y: Vec = Y
    z: Vec = Z

    def __post_init__(self) -> None:
        """Refuse anything that is not a rotation (GeometryError)."""
        for a, b, want in (
            (self.x, self.x, 1.0),
            (self.y, self.y, 1.0),
            (self.z, self.z, 1.0),
            (self.x, self.y, 0.0),
            (self.y, self.z, 0.0),
            (self.z, self.x, 0.0),
        ):
            if not abs(dot(a, b) - want) < 1e-9:
                raise GeometryError("a frame needs three perpendicular unit axes")
        if dot(cross(self.x, self.y), self.z) < 0.0:
            raise GeometryError("a frame must be right-handed (x cross y = z)")

    @classmethod
    def from_zx(cls, origin: Vec, z: Vec, x: Vec) -> Self:
        """Frame with the given z and x directions; y follows."""
        zz, xx = unit(z), unit(x)
        return cls(origin, xx, cross(zz, xx), zz)

    def point(self, p: Vec) -> Vec:
        """Local point to parent coordinates."""
        return add(self.origin, self.direction(p))

    def direction(self, d: Vec) -> Vec:
        """Local direction to parent coordinates."""
        return add(add(scale(self.x, d[0]), scale(self.y, d[1])), scale(self.z, d[2]))

    def local_point(self, p: Vec) -> Vec:
        """Parent point to local coordinates."""
        return self.local_direction(sub(p, self.origin))

    def local_direction(self, d: Vec) -> Vec:
        """Parent direction to local coordinates."""
        return (dot(d, self.x), dot(d, self.y), dot(d, self.z))

    def place(self, inner: Frame) -> Frame:
        """``inner`` (given in this frame's coordinates) in the parent's coordinates."""
        return Frame(
            self.point(inner.origin),
            self.direction(inner.x),
            self.direction(inner.y),
            self.direction(inner.z),
        )

    def localise(self, outer: Frame) -> Frame:
        """``outer`` (given in the parent's coordinates) in this frame's, snapped."""
        return Frame(
            self.local_point(outer.origin),
            self.local_direction(outer.x),
            self.local_direction(outer.y),
            self.local_direction(outer.z),
        ).snapped()

    def moved(self, by: Vec) -> Frame:
        """The same axes with the origin moved by a vector in parent coordinates."""
        return Frame(add(self.origin, by), self.x, self.y, self.z)

    def shifted(self, by: Vec) -> Frame:
        """The same axes with the origin moved by a vector in local coordinates."""
        return Frame(self.point(by), self.x, self.y, self.z)

    def snapped(self) -> Frame:
        """The origin snapped to 1e-9, the axes to 1e-12."""
        return Frame(snap_vec(self.origin), snap_axis(self.x), snap_axis(self.y), snap_axis(self.z))
