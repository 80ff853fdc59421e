import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.checks.benches import LONG_FACES, codes, frame, rules_of, said, section, tee
from treenail.joints.cuts import Haunch
from treenail.timber.member import Face

BROKEN = [
    ("mortise-breakout", lambda: tee(tenon=75.0)),
    ("mortise-breakout", lambda: tee(low=480.0, shoulders=(0.0, 12.7, 9.525, 9.525))),
    ("mortise-breakout", lambda: tee(aside=-38.1, shoulders=(12.7, 12.7, 0.0, 19.05))),
    ("mortise-wall", lambda: tee(tenon=70.0)),
    ("mortise-end-wood", lambda: tee(low=473.0, shoulders=(5.0, 12.7, 9.525, 9.525))),
    ("mortise-web", lambda: frame(**section("lower_end", height=205.55))),
]


@pytest.mark.parametrize(("code", "bench"), BROKEN)
def test_a_spoilt_bench_trips_this_rule(code: str, bench: object) -> None:
    assert callable(bench)
    assert codes(bench()) & rules_of("walls") == {code}


def test_every_rule_is_tripped_above() -> None:
    assert {code for code, _ in BROKEN} == rules_of("walls")


@given(st.sampled_from(LONG_FACES), st.floats(20.0, 80.0))
def test_the_wall_behind_a_blind_mortise(face: Face, length: float) -> None:
    bench = tee(face=face, tenon=length)
    wall = 76.2 - length - 2.38125  # the hand press fit's gap, 3/32 in at mid limit
    if wall <= 1e-5:
        assert "mortise-breakout" in codes(bench)
        (finding,) = said(bench, "mortise-breakout")
        assert finding.severity == "error"
        assert finding.face == face.opposite
        assert finding.measured == pytest.approx(wall)
    elif wall < 6.35 - 1e-5:
        (finding,) = said(bench, "mortise-wall")
        assert finding.measured == pytest.approx(wall)
        assert finding.severity == ("warning" if wall < 3.175 else "advice")
    elif wall > 6.35 + 1e-5:
        assert codes(bench) & rules_of("walls") == set()


@given(st.floats(-45.0, 0.0))
def test_the_wall_beside_a_mortise(aside: float) -> None:
    """A tenon that moves across the post has a wall on either side."""
    bench = tee(aside=aside)
    middle = aside + 44.45 / 2
    wall = 38.1 - abs(middle) - 25.4 / 2 - 0.0508  # half of the fit's cheek clearance
    found = codes(bench) & rules_of("walls")
    if wall > 6.35 + 1e-5:
        assert found == set()
    elif wall < -1e-5:
        assert found == {"mortise-breakout"}
        assert said(bench, "mortise-breakout")[0].measured == pytest.approx(wall)
    elif 1e-5 < wall < 6.35 - 1e-5:
        assert found == {"mortise-wall"}
        assert said(bench, "mortise-wall")[0].measured == pytest.approx(wall)


def test_a_through_mortise_has_no_wall_behind() -> None:
    assert codes(tee(tenon=76.2, through=True)) == set()


def test_a_haunch_socket_may_run_out_at_the_end_but_not_nearly() -> None:
    def haunched(width: float) -> set[str]:
        return codes(
            tee(
                low=473.0,
                shoulders=(25.4, 12.7, 9.525, 9.525),
                haunch=Haunch(Face.FACE_EDGE, width, 12.7),
            )
        )

    assert haunched(25.4) == set()
    assert haunched(12.7) == set()
    assert haunched(22.0) == {"mortise-end-wood"}


def test_the_remedy_names_a_thinner_tenon() -> None:
    (finding,) = said(tee(aside=-32.0, shoulders=(12.7, 12.7, 0.0, 19.05)), "mortise-wall")
    assert "or make it 25 mm thick" in finding.remedy
