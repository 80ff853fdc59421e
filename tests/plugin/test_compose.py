"""Composition by hand: where pieces meet, and what is said when they don't."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from treenail.compose import compose, join, meeting_end, piece
from treenail.joints.angled_tenon import AngledTenon
from treenail.joints.mortise_tenon import MortiseTenon
from treenail.joints.skew import BevelledEnd
from treenail.joints.tenon_variants.make import angled_tenon
from treenail.timber.errors import GeometryError, SpecError
from treenail.timber.frames import unit
from treenail.timber.member import Face, Member


def trestle() -> tuple[list[Member], list[MortiseTenon | AngledTenon]]:
    foot = piece("foot", 700, 90, 70, at=(0, 0, 0), grain="back", face="up")
    post = piece("post", 650, 120, 60, at=(15, 290, 30), grain="up", face="left")
    arm = piece("arm", 600, 90, 70, at=(0, 50, 640), grain="back", face="down")
    return [foot, post, arm], [
        join(foot, post, shoulders=15, pegs=2),
        join(arm, post, shoulders=15, pegs=2),
    ]


def test_a_trestle_passes_the_same_checks() -> None:
    members, joints = trestle()
    assert [j.length for j in joints] == [40.0, 40.0]
    assert [j.end for j in joints] == [Face.NEAR_END, Face.FAR_END]
    bench = compose("trestle", members, joints)
    report = bench.check()
    assert report.errors == ()
    assert "parts-overlap" in report.checked
    volumes = {name: bench.solids().local(name).Volume() for name in bench.by_name}
    for name, volume in volumes.items():
        assert volume == pytest.approx(bench.volumes[name], rel=1e-6)


@given(
    st.sampled_from(["right", "left", "back", "front"]),
    st.sampled_from(["up", "down"]),
    st.floats(5, 60),
)
def test_the_piece_stands_where_it_was_put(grain: str, face: str, at: float) -> None:
    made = piece("p", 300, 60, 25, at=(at, -at, 2 * at), grain=grain, face=face)
    low, high = made.bounds()
    assert low == pytest.approx((at, -at, 2 * at))
    assert high[2] - low[2] == pytest.approx(25)
    assert math.prod(h - lo for h, lo in zip(high, low, strict=True)) == pytest.approx(
        300 * 60 * 25
    )


def test_inches_are_read() -> None:
    made = piece("p", "2 ft", 3, "1 3/4 in", units="in")
    assert made.size == pytest.approx((609.6, 76.2, 44.45))


def test_pieces_apart_say_how_far() -> None:
    (foot, post, arm), _ = trestle()
    far = piece("far", 650, 120, 60, at=(15, 290, 95), grain="up", face="left")
    with pytest.raises(GeometryError, match=r"don't meet: the near end of far is 25 mm away"):
        join(foot, far)
    assert meeting_end(arm, post) is Face.FAR_END


@pytest.mark.parametrize(
    ("make", "told"),
    [
        (lambda: piece("p", 1, 1, 1, grain="sideways"), "no direction"),
        (lambda: piece("p", 1, 1, 1, grain="up", face="down"), "square to the grain"),
        (lambda: piece("p", "x", 1, 1), "length"),
        (lambda: piece("p", 1, 1, 1, species="unobtainium"), "species"),
        (lambda: compose("x", [], []), "no pieces"),
        (lambda: join(*trestle()[0][:2], fit="loose"), "fit"),
    ],
)
def test_slips(make: object, told: str) -> None:
    with pytest.raises(SpecError, match=told):
        make()  # type: ignore[operator]


def test_a_router_s_corners_are_asked_for_by_hand() -> None:
    post = piece("post", 400, 80, 80, grain="up", face="front")
    rail = piece("rail", 340, 80, 50, at=(40, 15, 150), face="front")
    made = join(post, rail, corners="round", cutter=12)
    assert made.mortise.corners is not None
    assert made.mortise.corners.radius == 6.0
    assert isinstance(made, MortiseTenon)
    assert made.tenon.rounding is not None
    with pytest.raises(SpecError, match="rounded"):
        join(post, rail, corners="rounded")  # type: ignore[arg-type]


def test_a_leaning_leg_by_hand() -> None:
    top = piece("top", 600, 240, 60, at=(0, 0, 440), face="up")
    lean, out = unit((0.2, 0.25, 1.0)), unit((1.0, 0.0, -0.2))
    leg = piece("leg", 640, 60, 60, at=(80, 20, -40), grain=lean, face=out)
    by_hand = join(top, leg, end=Face.FAR_END, through=True, pegs=0)
    assert by_hand.kind == "through angled mortise and tenon"
    tenon = angled_tenon(top, leg, end=Face.FAR_END)
    foot = BevelledEnd(
        name="foot", member=leg, end=Face.NEAR_END, point=(0, 0, 0), outward=(0, 0, -1)
    )
    made = compose("one leg", (top, leg), (tenon, foot))
    # What the bevels take doesn't count.
    assert made.asked == pytest.approx((600.0, 240.0, 500.0))
    assert made.check().errors == ()


def test_a_brace_by_hand_is_pegged_square_to_its_cheeks() -> None:
    beam = piece("beam", 900, 120, 96, at=(0, 0, 600), grain="right", face="front")
    brace = piece("brace", 520, 100, 56, at=(200, 20, 180), grain=(0.4, 0, 1), face="front")
    made = join(beam, brace, pegs=2)
    assert made.kind == "angled mortise and tenon, drawbored"
    assert made.peg_face_room() == pytest.approx(2 * 9.525)
    assert made.peg_slope == 0.0  # it leans along the beam only
    bench = compose("braced", (beam, brace), (made,))
    assert [f.message for f in bench.check().findings if f.severity == "error"] == []
    near = join(beam, brace, pegs=2, setback=12)
    assert near.draw is not None
    assert near.draw.setback == 12.0
    with pytest.raises(SpecError, match="square corners and no haunch"):
        join(beam, brace, haunch=True)
