"""A bench's own joint, made again on workplanes: the same solids to the last cubic micron."""

from __future__ import annotations

from typing import Any

import cadquery as cq
import pytest

from treenail.generators.solids import member_solid
from treenail.joints.cuts import Haunch
from treenail.joints.fits import FITS, get_fit
from treenail.joints.mortise_tenon import DrawBore, MortiseTenon, Shoulders
from treenail.registration import register
from treenail.timber.frames import Frame
from treenail.timber.member import Face, Member
from treenail.timber.species import get_species

register()

OAK = get_species("red_oak")


def same(ours: cq.Shape, theirs: cq.Shape) -> None:
    """Same volume and empty symmetric difference."""
    assert ours.Volume() == pytest.approx(theirs.Volume(), rel=1e-9)
    assert ours.cut(theirs).Volume() == pytest.approx(0.0, abs=1e-6)
    assert theirs.cut(ours).Volume() == pytest.approx(0.0, abs=1e-6)


def joint(*, fit: str, haunch: float | None, pegs: int, offset: float) -> MortiseTenon:
    """A rail along x, 50 mm into a post along z whose mortised face is x = 0."""
    # Face sides towards -y: the post's at y = 0, the rail's at y = 13. The rail's face edge is up.
    post = Member(
        name="post",
        role="post",
        length=500.0,
        width=76.0,
        thickness=70.0,
        species=OAK,
        placement=Frame.from_zx((0.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)),
    )
    rail = Member(
        name="rail",
        role="stretcher",
        length=350.0,
        width=110.0,
        thickness=44.0,
        species=OAK,
        placement=Frame.from_zx((-300.0, 13.0, 400.0), (0.0, 1.0, 0.0), (1.0, 0.0, 0.0)),
    )
    return MortiseTenon(
        name="corner",
        receiver=post,
        entering=rail,
        end=Face.FAR_END,
        shoulders=Shoulders(face_edge=30.0, back_edge=12.0, face_side=10.0, back_side=14.0),
        fit=get_fit(fit),
        haunch=None if haunch is None else Haunch(Face.FACE_EDGE, 30.0, haunch),
        draw=DrawBore(
            count=pegs, diameter=9.5, offset=offset, setback=19.0, species=OAK, through=True
        ),
    )


def placed_solid(made: MortiseTenon, member: Member) -> cq.Shape:
    """The generator's solid of one part, in the bench."""
    f = member.placement
    solid = member_solid(member, made.cuts()[member.name])
    return solid.moved(cq.Location(cq.Plane(f.origin, f.x, f.z)))


def on_plane(part: Any, plane: cq.Plane) -> Any:
    """The same chain, on a workplane at its origin."""
    return part.copyWorkplane(cq.Workplane(plane)).newObject([cq.Location()])


def stock_in_place(member: Member) -> Any:
    """The uncut member as a user would model it: a box at its place in the bench."""
    (x0, y0, z0), (x1, y1, z1) = member.bounds()
    return cq.Workplane(origin=(x0, y0, z0)).box(x1 - x0, y1 - y0, z1 - z0, centered=False)


@pytest.mark.parametrize("fit", FITS)
@pytest.mark.parametrize("haunch", [None, 12.0])
@pytest.mark.parametrize("pegs, offset", [(1, 1.5), (2, 0.0), (2, 1.0)])
def test_the_joint_of_a_bench_can_be_made_on_a_workplane(
    fit: str, haunch: float | None, pegs: int, offset: float
) -> None:
    made = joint(fit=fit, haunch=haunch, pegs=pegs, offset=offset)
    post, rail = stock_in_place(made.receiver), stock_in_place(made.entering)
    width, thickness, wide = 68.0, 20.0, haunch and 30.0
    z_mid, y_mid = 336.0, 33.0
    spots = [(0.0, z_mid + width / 2 - width * (i + 0.5) / pegs) for i in range(pegs)]
    # The faces where pegs go in; x of both planes goes home, y up.
    drive, cheek = (cq.Plane((0.0, y, 0.0), (1, 0, 0), (0, -1, 0)) for y in (0.0, 13.0))
    # x of both planes goes up.
    end = cq.Plane((50.0, 35.0, 345.0), (0, 0, 1), (1, 0, 0))
    mouth = cq.Plane((0.0, y_mid, z_mid), (0, 0, 1), (-1, 0, 0))

    rail = on_plane(rail, end).tenon(
        50, shoulders=(12, 30, 14, 10), haunch=haunch, haunchWidth=wide
    )
    rail = on_plane(rail, cheek).pushPoints(spots).drawbore(9.5, offset, 19, part="tenon")
    same(rail.val(), placed_solid(made, made.entering))

    post = on_plane(post, mouth).mortise(
        width, thickness, 50, fit=fit, haunch=haunch, haunchWidth=wide
    )
    post = on_plane(post, drive).pushPoints(spots).drawbore(9.5, offset, 19, part="receiver")
    same(post.val(), placed_solid(made, made.receiver))
