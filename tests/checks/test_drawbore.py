from dataclasses import replace

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from tests.checks.benches import (
    codes,
    edit,
    frame,
    pegs,
    rules_of,
    said,
    section,
    small_bench,
    tee,
    with_cut,
    with_draw,
)
from tests.strategies import tenoned_pairs
from treenail.joints.cuts import Bore
from treenail.joints.mortise_tenon import MortiseTenon
from treenail.joints.volumes import clear_opening
from treenail.timber.member import Face
from treenail.timber.species import get_species

JOINT = "lower_front_at_left"


def astray(cut: Bore) -> Bore:
    return replace(cut, frame=cut.frame.moved((0.0, 0.5, 0.0)))


BROKEN = [
    ("draw-direction", lambda: with_draw(frame(), JOINT, offset=-1.5875)),
    ("draw-direction", lambda: with_draw(frame(), JOINT, offset=0.0)),
    ("draw-amount", lambda: with_draw(frame(), JOINT, offset=0.3)),
    ("draw-amount", lambda: with_draw(frame(), JOINT, offset=3.0)),
    ("peg-opening", lambda: with_draw(frame(), JOINT, offset=10.0)),
    (
        "peg-opening",
        lambda: with_cut(frame(), JOINT, "peg hole", astray, member="stretcher_lower_front"),
    ),
    ("peg-tip", lambda: with_draw(frame(), JOINT, tip=0.0)),
]


@pytest.mark.parametrize(("code", "bench"), BROKEN)
def test_a_spoilt_bench_trips_this_rule_alone(code: str, bench: object) -> None:
    assert callable(bench)
    assert codes(bench()) == {code}


def test_every_rule_is_tripped_above() -> None:
    assert {code for code, _ in BROKEN} == rules_of("drawbore")


offsets = st.floats(0.01, 4.0)
ends = st.sampled_from([Face.NEAR_END, Face.FAR_END])
sides = st.sampled_from([Face.FACE_SIDE, Face.BACK_SIDE])
faces = st.sampled_from(list(Face)[:4])


@given(faces, ends, sides, offsets, st.integers(1, 4))
def test_any_draw_home_passes_and_any_other_is_an_error(
    face: Face, end: Face, side: Face, offset: float, count: int
) -> None:
    home = tee(face=face, end=end, draw=pegs(offset=offset, drive_side=side, count=count))
    assert said(home, "draw-direction") == []
    away = tee(face=face, end=end, draw=pegs(offset=-offset, drive_side=side, count=count))
    (finding,) = said(away, "draw-direction")
    assert finding.severity == "error"
    assert finding.measured == pytest.approx(-offset)


@given(tenoned_pairs(), st.floats(0.05, 2.0), st.booleans())
def test_the_sign_holds_for_benches_that_stand_anyhow(
    joint: MortiseTenon, offset: float, home: bool
) -> None:
    assume(joint.draw is not None)
    assert joint.draw is not None
    signed = replace(joint, draw=replace(joint.draw, offset=offset if home else -offset))
    found = said(small_bench(joint.members, (signed,)), "draw-direction")
    assert [f.severity for f in found] == ([] if home else ["error"])


def test_the_cuts_count_not_what_the_joint_meant() -> None:
    """A hole bored on the wrong side of the post's is seen, though the joint's offset is right."""
    joint = next(j for j in frame().joints if j.name == JOINT)
    assert isinstance(joint, MortiseTenon)
    away = joint.insertion()

    def wrong(cut: Bore) -> Bore:
        local = joint.entering.placement.local_direction(away)
        step = (2 * 1.5875 * local[0], 2 * 1.5875 * local[1], 2 * 1.5875 * local[2])
        return replace(cut, frame=cut.frame.moved(step))

    bench = with_cut(frame(), JOINT, "peg hole", wrong, member="stretcher_lower_front")
    (finding,) = said(bench, "draw-direction")
    assert finding.severity == "error"
    assert finding.remedy.startswith('Bore the tenon 1/8" nearer its shoulder')


def test_a_missing_hole_is_told() -> None:
    bench = with_cut(
        frame(), JOINT, "peg hole", edit(purpose="hole"), member="stretcher_lower_front"
    )
    (finding,) = said(bench, "draw-direction")
    assert "has 2 peg holes" in finding.message


@given(st.floats(4.0, 16.0), st.floats(0.05, 1.5))
def test_closed_holes_are_told_from_open_ones(diameter: float, share: float) -> None:
    offset = share * diameter
    bench = tee(draw=pegs(diameter=diameter, offset=offset, setback=30.0), tenon=70.0)
    closed = clear_opening(diameter, offset) <= 1e-6
    assert bool(said(bench, "peg-opening")) == closed
    tip = bench.joints[0].draw.tip_diameter  # type: ignore[attr-defined]
    blocked = not closed and tip > clear_opening(diameter, offset) + 1e-6
    assert bool(said(bench, "peg-tip")) == blocked


@pytest.mark.parametrize(
    ("wood", "diameter", "usual"),
    [
        ("white ash", 9.525, 25.4 / 16),
        ("white oak", 9.525, 25.4 / 32),
        ("white ash", 6.35, 25.4 / 32),
        ("eastern white pine", 9.525, 3 * 25.4 / 32),
    ],
)
def test_the_usual_draw_passes_in_its_wood(wood: str, diameter: float, usual: float) -> None:
    draw = pegs(diameter=diameter, offset=usual)
    assert said(tee(species=get_species(wood), draw=draw), "draw-amount") == []
    slight = replace(draw, offset=usual * 0.4)
    (finding,) = said(tee(species=get_species(wood), draw=slight), "draw-amount")
    assert finding.severity == "advice"


def test_through_pegs_have_their_taper_sawn_off() -> None:
    assert codes(frame(**section("pegs", through=True))) == set()
