"""Legs that lean into a slab, for the tests of joints that lie aslant."""

from __future__ import annotations

import math

from treenail.joints.angled_tenon import AngledTenon
from treenail.joints.mortise_tenon import Shoulders
from treenail.joints.tenon_variants.make import angled_tenon
from treenail.joints.tenon_variants.pegs import pegged
from treenail.timber.frames import Frame, Vec, add, cross, scale, unit
from treenail.timber.member import Face, Member
from treenail.timber.species import get_species

ASH = get_species("white ash")


def slab(thickness: float = 60.0) -> Member:
    """A plank, its underside at z = 430."""
    place = Frame.from_zx((600.0, 0.0, 430.0 + thickness), (0.0, 0.0, -1.0), (-1.0, 0.0, 0.0))
    return Member(
        name="top", role="top section", length=600.0, width=300.0, thickness=thickness,
        species=ASH, placement=place,
    )  # fmt: skip


def leg(
    splay: float,
    rake: float,
    *,
    ways: tuple[int, int] = (1, 1),
    turn: float = 0.0,
    size: tuple[float, float] = (60.0, 50.0),
    over: float = 120.0,
    head: Vec = (250.0, 140.0, 430.0),
    length: float = 500.0,
    upside_down: bool = False,
) -> Member:
    """A leg whose axis passes ``head`` on the plank's underside, ``over`` of it beyond that.

    ``turn`` turns its section about its axis, radians.
    """
    up = unit((ways[0] * math.tan(splay), ways[1] * math.tan(rake), 1.0))
    level = unit(cross((0.0, 1.0, 0.0), up))
    other = cross(up, level)
    y = add(scale(level, math.cos(turn)), scale(other, math.sin(turn)))
    z = cross(up, y)
    x = up
    if upside_down:  # the near end is then at its head
        x, z = scale(up, -1.0), scale(z, -1.0)
    wide, thick = size
    corner = add(head, scale(up, over if upside_down else over - length))
    corner = add(corner, add(scale(y, -wide / 2.0), scale(z, -thick / 2.0)))
    return Member(
        name="leg", role="post", length=length, width=wide, thickness=thick, species=ASH,
        placement=Frame(corner, x, y, z),
    )  # fmt: skip


def tenon(
    splay: float = 0.2,
    rake: float = 0.25,
    *,
    through: bool = True,
    wedges: int = 1,
    shoulders: tuple[float, float] = (9.0, 11.0),
    thickness: float = 60.0,
    **how: object,
) -> AngledTenon:
    """A leg's tenon in the slab."""
    if not through:
        how.setdefault("over", 35.0)
    post = leg(splay, rake, **how)  # type: ignore[arg-type]
    ends, sides = shoulders
    return angled_tenon(
        slab(thickness),
        post,
        through=through,
        wedges=wedges,
        end=Face.NEAR_END if how.get("upside_down") else Face.FAR_END,
        name="joint",
        shoulders=Shoulders(face_edge=ends, back_edge=ends, face_side=sides, back_side=sides),
    )


def beam(thickness: float = 90.0, width: float = 96.0, middle: float = 140.0) -> Member:
    """A beam along x, its underside at z = 430."""
    at = (600.0, middle - width / 2.0, 430.0 + thickness)
    place = Frame.from_zx(at, (0.0, 0.0, -1.0), (-1.0, 0.0, 0.0))
    return Member(
        name="beam", role="beam", length=600.0, width=width, thickness=thickness,
        species=ASH, placement=place,
    )  # fmt: skip


def pegged_tenon(
    splay: float = 0.5,
    rake: float = 0.1,
    *,
    count: int = 2,
    blind: bool = True,
    side: Face = Face.FACE_SIDE,
    staggered: bool = False,
    through: bool = False,
    width: float = 96.0,
    **how: object,
) -> AngledTenon:
    """A post that leans in a beam's underside, its cheeks toward the beam's sides; pegged."""
    how.setdefault("size", (100.0, 56.0))
    how.setdefault("over", 160.0 if through else 85.0)
    post = leg(splay, rake, **how)  # type: ignore[arg-type]
    plain = angled_tenon(
        beam(width=width),
        post,
        through=through,
        wedges=0,
        end=Face.NEAR_END if how.get("upside_down") else Face.FAR_END,
        name="joint",
        shoulders=Shoulders(face_edge=12.0, back_edge=12.0, face_side=13.0, back_side=13.0),
    )
    return pegged(plain, count, blind=blind, side=side, staggered=staggered)
