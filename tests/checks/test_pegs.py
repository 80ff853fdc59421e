import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.checks.benches import (
    codes,
    corner,
    edit,
    frame,
    pegs,
    rules_of,
    said,
    section,
    tee,
    with_cut,
    with_draw,
)
from treenail.joints.mortise_tenon import DrawBore

JOINT = "lower_front_at_left"


def thin(**changes: object) -> DrawBore:
    return pegs(**{"diameter": 5.0, "offset": 0.79375, "setback": 7.5, "through": True, **changes})


def side_by_side(first_edge: float, second_edge: float) -> tuple[DrawBore, DrawBore]:
    """Pegs that cross in the post, at heights that the edges set."""
    return (
        thin(count=2, edge=first_edge, setback=12.7),
        thin(count=2, edge=second_edge),
    )


def corner_with(first_edge: float, second_edge: float) -> set[str]:
    first, second = side_by_side(first_edge, second_edge)
    return codes(corner(first=first, second=second, tenon=19.0))


BROKEN = [
    ("peg-breakout", lambda: with_draw(frame(), JOINT, edge=3.0)),
    ("peg-breakout", lambda: with_draw(frame(), JOINT, setback=4.0)),
    ("peg-breakout", lambda: with_draw(frame(), JOINT, setback=49.0)),
    ("peg-edge", lambda: with_draw(frame(), JOINT, edge=8.0)),
    ("peg-edge", lambda: with_draw(frame(), JOINT, setback=12.0)),
    ("peg-end", lambda: with_draw(frame(), JOINT, setback=36.0)),
    ("pegs-overlap", lambda: with_draw(frame(), JOINT, count=4, edge=40.0)),
    ("peg-spacing", lambda: with_draw(frame(), JOINT, count=4, edge=30.0)),
    ("peg-hole-depth", lambda: with_draw(frame(), JOINT, stop_wall=0.0)),
    (
        "peg-hole-depth",
        lambda: with_cut(frame(), JOINT, "peg hole", edit(depth=66.0), member="post_front_left"),
    ),
    ("peg-stop", lambda: with_draw(frame(), JOINT, stop_wall=2.0)),
    ("peg-short", lambda: with_draw(frame(), JOINT, stop_wall=30.0)),
    ("peg-reach", lambda: with_draw(frame(), JOINT, tip=25.0)),
    ("peg-reach", lambda: with_draw(frame(), JOINT, stop_wall=18.0, tip=2.0)),
    (
        "peg-collides",
        lambda: corner(first=side_by_side(20, 20)[0], second=side_by_side(20, 20)[1], tenon=19.0),
    ),
    (
        "peg-hole-wall",
        lambda: corner(first=side_by_side(20, 26)[0], second=side_by_side(20, 26)[1], tenon=19.0),
    ),
]


@pytest.mark.parametrize(("code", "bench"), BROKEN)
def test_a_spoilt_bench_trips_this_rule_alone(code: str, bench: object) -> None:
    assert callable(bench)
    assert codes(bench()) == {code}


def test_every_rule_is_tripped_above() -> None:
    assert {code for code, _ in BROKEN} == rules_of("pegs", "peg_paths")


@pytest.mark.parametrize(
    "changes", [{}, {"rows": 2}, {"from_face": "inside"}, {"through": True}, {"per_joint": 1}]
)
def test_usual_pegs_pass(changes: dict[str, object]) -> None:
    assert codes(frame(**section("pegs", **changes))) == set()


@given(st.floats(1.0, 60.0))
def test_a_peg_from_the_shoulder_to_the_tenons_end(setback: float) -> None:
    """Each place along the tenon is judged once: breaking out, too near, or good."""
    d, length, draw = 9.525, 50.8, 1.5875
    bench = tee(draw=pegs(setback=setback, diameter=d, offset=draw))
    found = codes(bench) & {"peg-breakout", "peg-edge", "peg-end"}
    to_end = length - (setback - draw)
    want = set()
    if min(setback, to_end) < d / 2 - 1e-5:
        want.add("peg-breakout")
    if d / 2 + 1e-5 < setback < 1.5 * d - 1e-5:
        want.add("peg-edge")
    if d / 2 + 1e-5 < to_end < 2.0 * d - 1e-5:
        want.add("peg-end")
    near = [d / 2, 1.5 * d, length + draw - d / 2, length + draw - 2 * d]
    if min(abs(setback - x) for x in near) > 1e-4:
        assert found == want


@given(st.floats(10.0, 45.0), st.floats(10.0, 45.0))
def test_pegs_that_cross_by_the_difference_of_their_heights(first: float, second: float) -> None:
    wall = abs(first - second) - 5.0
    found = corner_with(first, second) & {"peg-collides", "peg-hole-wall"}
    if wall < -1e-4:
        assert found == {"peg-collides"}
    elif wall > 3.175 + 1e-4:
        assert found == set()
    elif wall > 1e-4:
        assert found == {"peg-hole-wall"}


def test_a_peg_through_another_tenon_is_an_error() -> None:
    # Set back 38 mm, the long rail's pegs run through the middle of the post, where the other
    # rail's tenon is: 44 mm long, its cheeks from 25.4 to 50.8 mm.
    bench = corner(
        first=thin(setback=38.0, count=2, edge=20.0),
        second=None,
        tenon=19.0,
        low=200.0,
    )
    found = said(bench, "peg-collides")
    assert {f.severity for f in found} == {"error"}
    assert all("the tenon of rail_b" in f.message for f in found)


def test_a_thinner_peg_is_named_as_a_way_out() -> None:
    (finding,) = said(with_draw(frame(), JOINT, edge=13.0), "peg-edge")
    assert finding.severity == "advice"
    assert finding.remedy == ('Move the pegs 3/64" toward the tenon\'s middle, or use 5/16" pegs.')


def test_moving_the_pegs_as_told_mends_it() -> None:
    bench = with_draw(frame(), JOINT, setback=36.0)
    (finding,) = said(bench, "peg-end")
    assert finding.limit is not None
    assert finding.measured is not None
    move = finding.limit - finding.measured
    assert finding.remedy.startswith('Move the pegs 7/64" toward the shoulder')
    assert codes(with_draw(frame(), JOINT, setback=36.0 - move)) == set()


def test_a_mitred_end_counts_at_mid_thickness_but_breaks_out_at_its_short_cheek() -> None:
    joint = "lower_front_at_left"
    bench = frame(meeting="mitred")
    # The tenon is 50.8 mm long, its short cheek 50.8 - 25.4 - 1.414 = 23.99 mm.
    near = said(with_draw(bench, joint, setback=25.4), "peg-breakout")
    assert [f.joint for f in near] == [joint]
    assert near[0].measured == pytest.approx(23.986 - (25.4 - 1.5875) - 9.525 / 2, abs=1e-3)
