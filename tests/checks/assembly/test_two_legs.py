"""Moves of two legs: found where they are needed and only there, proved on the solids."""

from collections.abc import Iterator
from dataclasses import replace
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.checks.assembly.benches import bar, cornered, cradle, group, pinwheel, usual
from tests.strategies import sizes
from treenail.checks import load_rules
from treenail.checks.assembly.blocking import OPEN, Blocking
from treenail.checks.assembly.pieces import SLIDE, Piece, block, moved, overlap, swept
from treenail.checks.assembly.plan import plan_assembly
from treenail.checks.assembly.taking_apart import Split, TakingApart
from treenail.checks.assembly.two_legs import LEG_ROOM
from treenail.checks.rules import RULES, Context, Finding
from treenail.generators.bench import Bench
from treenail.generators.solids import build_solids
from treenail.timber.frames import Frame, Vec, dot, scale, unit

DEPTH = 30.0


def straight_only(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> tuple[tuple[str, ...], ...]:
    """What locks itself if only straight moves are known."""

    def none(_apart: TakingApart, *_args: object) -> Iterator[tuple[int, Split]]:
        return iter(())

    with monkeypatch.context() as patch:
        patch.setattr(TakingApart, "turns", none)
        return plan_assembly(bench).knots


def found(bench: Bench, *codes: str) -> list[Finding]:
    load_rules()
    context = Context(bench=bench, solids=build_solids(bench))
    return [f for code in codes for f in RULES[code].check(context)]


def test_a_rail_goes_round_the_corner_into_a_glued_frame() -> None:
    plan = plan_assembly(group(*cradle()))
    assert plan.knots == ()
    assert plan.late_glue == ()
    (move,) = plan.steps[-1].moves
    assert move.direction == (-1.0, 0.0, 0.0)
    assert move.distance == DEPTH + LEG_ROOM
    assert move.approach is not None
    assert move.approach[0] == (0.0, 0.0, -1.0)
    assert (
        plan.steps[-1].what
        == "First down to 31 mm off, then put rail into cheek left, to the left."
    )
    assert plan.explode["rail"][0] == DEPTH + LEG_ROOM
    assert plan.explode["rail"][2] > 0.0


@given(gap=st.floats(1.0, 80.0))
def test_the_corner_needs_the_tenon_s_length(gap: float) -> None:
    """Closed form: two legs serve where the room is at least the tenon's length and 1 mm."""
    plan = plan_assembly(group(*cradle(gap)))
    round_it = any(m.approach for s in plan.steps for m in s.moves)
    if gap > DEPTH + LEG_ROOM + SLIDE:
        assert round_it
    elif gap < DEPTH + LEG_ROOM - SLIDE:
        assert not round_it
        assert plan.late_glue


def test_a_ring_that_needs_two_legs(monkeypatch: pytest.MonkeyPatch) -> None:
    bench = cornered()
    assert straight_only(bench, monkeypatch) == (tuple(m.name for m in bench.timbers),)
    plan = plan_assembly(bench)
    assert plan.knots == ()
    turned = [m for s in plan.steps for m in s.moves if m.approach]
    assert [m.members for m in turned] in ([("rail_r",)], [("cleat",)])
    assert found(bench, "cannot-assemble", "move-collides") == []


@pytest.mark.parametrize("gaps", [(20.0, 200.0), (40.0, 20.0)])
def test_either_part_may_go_round_the_corner(gaps: tuple[float, float]) -> None:
    bench = cornered(*gaps)
    (turned,) = (m for s in plan_assembly(bench).steps for m in s.moves if m.approach)
    assert turned.members == (("rail_r",) if gaps[0] > DEPTH else ("cleat",))
    assert found(bench, "cannot-assemble", "move-collides") == []


def test_what_can_t_be_put_together_at_all_is_refused_by_name() -> None:
    bench = cornered(20.0, 20.0)
    (lock,) = found(bench, "cannot-assemble")
    assert lock.severity == "error"
    assert "two straight legs" in lock.message
    for member in bench.timbers:
        assert member.name.replace("_", " ") in lock.message.lower()
    assert "close last" in lock.remedy


def test_a_lid_over_the_corner_goes_on_last() -> None:
    """What would bar the second leg, and can be taken off, is put on afterwards."""
    bench = cornered()
    lid = bar("lid", (-60.0, -60.0, 120.0), (460.0, 460.0, 140.0), 0, "lid")
    plan = plan_assembly(group([*bench.timbers, lid], list(bench.joints)))
    assert plan.knots == ()
    assert plan.steps[-1].moving == ("lid",)


@given(st.randoms(use_true_random=False))
@settings(max_examples=10)
def test_whatever_comes_off_first_the_rest_follows(random: Random) -> None:
    """No choice leads into a dead end, with moves of two legs either."""
    blocking = Blocking(cornered())
    apart = TakingApart(blocking)
    left = [blocking.all]
    while left:
        mask = left.pop()
        if mask & (mask - 1):
            ways = [s for _, s in (*apart.splits(mask, (), OPEN), *apart.turns(mask, (), OPEN))]
            assert ways, blocking.names(mask)
            chosen = random.choice(ways)
            left += [chosen.moving, mask & ~chosen.moving]


@pytest.mark.parametrize("wrong", ["short", "aside", "far"])
def test_a_turn_that_the_numbers_miss_is_found_on_the_solids(wrong: str) -> None:
    """Turned too early the tenon breaks its mortise; the wrong way or too far it hits a side."""
    bench = group(*cradle())
    plan = plan_assembly(bench)
    step = plan.steps[-1]
    (move,) = step.moves
    other = {
        "short": replace(move, distance=DEPTH / 2),
        "aside": replace(move, approach=((0.0, -1.0, 0.0), 100.0)),  # out through the beam
        "far": replace(move, distance=DEPTH + 20.0),
    }[wrong]
    load_rules()
    context = Context(bench=bench, solids=build_solids(bench))
    broken = replace(plan, steps=(*plan.steps[:-1], replace(step, moves=(other,))))
    context.once("assembly plan", lambda: broken)
    faults = list(RULES["move-collides"].check(context))
    assert {f.member for f in faults} == {"rail"}
    assert all(f.severity == "error" for f in faults)


@pytest.mark.parametrize("bench", [usual(), pinwheel("e")], ids=["usual", "ring"])
def test_two_legs_are_not_looked_for_where_one_serves(bench: Bench) -> None:
    plan = plan_assembly(bench)
    assert "two_legs" not in vars(plan.blocking)
    assert not any(m.approach for s in plan.steps for m in s.moves)


@st.composite
def boxes(draw: st.DrawFn) -> Piece:
    frame = Frame((draw(sizes(-90, 90)), draw(sizes(-90, 90)), draw(sizes(-90, 90))))
    if draw(st.booleans()):
        frame = Frame.from_zx(frame.origin, (0.0, 0.0, 1.0), unit((1.0, draw(sizes(0.2, 2)), 0.0)))
    return block(frame, (0.0, 0.0, 0.0), tuple(draw(sizes(5, 90)) for _ in range(3)))  # type: ignore[arg-type]


@given(boxes(), boxes(), st.sampled_from([(40.0, 0.0, 0.0), (0.0, -70.0, 0.0), (20.0, 30.0, 5.0)]))
@settings(max_examples=40)
def test_what_a_piece_sweeps_is_what_it_meets_on_its_way(a: Piece, b: Piece, by: Vec) -> None:
    hit = any(overlap(moved(a, scale(by, n / 200)), b) for n in range(201))
    if hit:
        assert overlap(swept(a, by), b)
    whole = swept(a, by)
    for axis in (*whole.normals, unit(by)):  # no larger than it must be
        ends = [dot(p, axis) for p in (*a.corners, *moved(a, by).corners)]
        told = [dot(p, axis) for p in whole.corners]
        assert (min(told), max(told)) == pytest.approx((min(ends), max(ends)))
