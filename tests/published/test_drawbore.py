"""Drawbored joints and crossing holes, against closed forms from outside the project.

The numbers stand in the project's table of check values ("Drawbored joints, closed forms"): the
closed forms were reproduced there with an independent solid kernel to 1e-15.
"""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.joints.modeller import stick
from treenail.joints.cuts import Bore, Mortise
from treenail.joints.volumes import clear_opening, crescent_area, lens_area, net_volume
from treenail.timber.member import Face


def bore(face: Face, x: float, y: float, diameter: float, depth: float) -> Bore:
    frame = LEG.face_frame(face).shifted((x, y, 0.0))
    return Bore(
        joint="j",
        purpose="peg hole",
        face=face,
        frame=frame,
        diameter=diameter,
        depth=depth,
        through=True,
    )


LEG = stick(300.0, 60.0, 80.0)


# The inputs are inch sizes: d 3/8 in, e 1/16 and 1/32 in.
@pytest.mark.parametrize(("e", "area"), [(1.5875, 56.2051), (0.79375, 63.7040)])
def test_lens_of_a_drawbored_peg_hole(e: float, area: float) -> None:
    assert lens_area(9.525, e) == pytest.approx(area, abs=5e-5)


def test_clear_width_of_a_drawbored_peg_hole() -> None:
    assert clear_opening(9.525, 1.5875) == pytest.approx(7.9375, abs=1e-12)


def test_leg_with_through_mortise_and_peg_hole() -> None:
    face = LEG.face_frame(Face.FACE_EDGE)
    mortise = Mortise(
        joint="j",
        purpose="mortise",
        face=Face.FACE_EDGE,
        frame=face.shifted((150.0, 40.0, 0.0)),
        length=80.0,
        width=20.0,
        depth=60.0,
        through=True,
    )
    hole = bore(Face.FACE_SIDE, 150.0, 30.0, 9.525, 80.0)
    assert net_volume(LEG, [mortise, hole]) == pytest.approx(1_339_724.656, abs=5e-4)
    # The hole removes wood only beside the mortise.
    by_hand = 60 * 80 * 300 - 80 * 20 * 60 - math.pi * 9.525**2 / 4 * (80 - 20)
    assert net_volume(LEG, [hole, mortise]) == pytest.approx(by_hand, rel=1e-14)


@given(r=st.floats(1.0, 25.0), x=st.floats(30.0, 270.0))
def test_equal_holes_that_cross_share_sixteen_thirds_of_the_cube(r: float, x: float) -> None:
    """16 r³/3: Archimedes, The Method; a double cylinder is two thirds of its cube."""
    one = bore(Face.FACE_SIDE, x, 30.0, 2 * r, 80.0)
    other = bore(Face.FACE_EDGE, x, 40.0, 2 * r, 60.0)
    alone = LEG.stock_volume - net_volume(LEG, [one]) + LEG.stock_volume - net_volume(LEG, [other])
    shared = alone - (LEG.stock_volume - net_volume(LEG, [one, other]))
    assert shared == pytest.approx(16 * r**3 / 3, abs=1e-8)


@given(d=st.floats(1.0, 50.0), part=st.floats(0.0, 1.2))
def test_lens_and_crescent_make_the_circle(d: float, part: float) -> None:
    e = d * part
    assert lens_area(d, e) + crescent_area(d, e) == pytest.approx(math.pi * d * d / 4, rel=1e-12)
    assert (lens_area(d, e) == 0.0) == (part >= 1.0)
    # The lens lies between the two triangles and the rectangle that its clear width spans.
    chord = math.sqrt(max(d * d - e * e, 0.0))
    clear = clear_opening(d, e)
    assert clear * chord / 2 - 1e-9 <= lens_area(d, e) <= clear * chord + 1e-9
