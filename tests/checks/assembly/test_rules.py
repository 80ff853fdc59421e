"""The rules on assembly: silent on sound benches, and each speaks up for its own fault."""

from dataclasses import replace

import pytest

from tests.checks.assembly.benches import PEGS, bar, group, ladder, pinwheel, tenon, usual
from tests.joints.tenon_variants.pairs import KINDS, bench_of
from treenail.checks import load_rules
from treenail.checks.assembly.plan import plan_assembly
from treenail.checks.rules import RULES, Context, Finding
from treenail.generators.bench import Bench
from treenail.generators.frame_spec import MEETINGS
from treenail.generators.solids import build_solids
from treenail.joints.features import EdgeGlue
from treenail.joints.mortise_tenon import MortiseTenon
from treenail.timber.frames import dot
from treenail.timber.member import Face

NUMBERS = ("cannot-assemble", "peg-not-reachable", "bolt-not-reachable", "order-matters")


def found(bench: Bench, *, solids: bool = False) -> list[Finding]:
    load_rules()
    context = Context(bench=bench, solids=build_solids(bench) if solids else None)
    codes = (*NUMBERS, "move-collides") if solids else NUMBERS
    return [f for code in codes for f in RULES[code].check(context)]


@pytest.mark.parametrize("meeting", MEETINGS)
def test_sound_benches_raise_nothing_on_numbers_and_solids(meeting: str) -> None:
    assert found(usual(meeting=meeting, shelf={"enabled": True}), solids=True) == []


def test_through_tenons_are_swept_too() -> None:
    sizes = {"upper_long": {"through": True}, "lower_end": {"through": True}}
    assert found(usual(**sizes), solids=True) == []


def test_a_lock_is_explained_with_a_way_out() -> None:
    (lock,) = found(pinwheel("ef"))
    assert (lock.rule, lock.severity) == ("cannot-assemble", "error")
    for name in ("rail a", "rail b", "rail c", "rail d", "brace e", "brace f"):
        assert name in lock.message.lower()
    assert "leaves" in lock.message
    assert "close last" in lock.remedy


def test_the_way_out_of_a_lock_works() -> None:
    """With the named joint left open the bench goes together."""
    ring = pinwheel("ef")
    (lock,) = found(ring)
    named = [j for j in ring.joints if j.name in lock.remedy]
    assert named
    for joint in named:
        assert found(group(list(ring.timbers), [j for j in ring.joints if j != joint])) == []


def test_rails_that_meet_in_a_ring_are_no_error() -> None:
    assert found(pinwheel("e"), solids=True) == []


@pytest.mark.parametrize("meeting", [m for m in MEETINGS if m != "heights"])
def test_pegs_on_the_inside_behind_the_other_stretchers(meeting: str) -> None:
    """Whichever frames come first, the others' stretchers cover their pegs' holes."""
    faults = found(usual(meeting=meeting, pegs={"from_face": "inside"}))
    errors = [f for f in faults if f.severity == "error"]
    assert errors
    assert {f.rule for f in errors} == {"peg-not-reachable"}
    assert all("covers the hole" in f.message for f in errors)
    assert any(f.rule == "order-matters" for f in faults)


def test_a_peg_that_a_later_rail_covers_must_be_driven_before() -> None:
    timbers, joints = ladder(PEGS)
    post, rail = timbers[0], timbers[2]
    joint = joints[0]
    assert isinstance(joint, MortiseTenon)
    (peg,) = joint.pegs()
    x, _, z = peg.placement.origin
    back = peg.placement.x[1] < 0.0
    low, high = (30.0, 300.0) if back else (-240.0, 30.0)
    cover = bar("cover", (x - 20.0, low, z - 20.0), (x + 20.0, high, z + 20.0), 1)
    into = tenon(post, cover, Face.NEAR_END if back else Face.FAR_END)
    faults = found(group([*timbers, cover], [*joints, into]))
    assert [(f.rule, f.severity) for f in faults] == [("order-matters", "advice")]
    assert rail.name in faults[0].message
    assert "cover" in faults[0].message


def test_a_cheek_glued_over_a_peg_hole_waits() -> None:
    timbers, joints = ladder(PEGS)
    joint = joints[0]
    assert isinstance(joint, MortiseTenon)
    back = joint.drive_direction[1] < 0.0
    low, high = (60.0, 80.0) if back else (-20.0, 0.0)
    cheek = bar("cheek", (0.0, low, 0.0), (60.0, high, 600.0), 2)
    glue = EdgeGlue(name="cheek_line", first=timbers[0], second=cheek)
    faults = found(group([*timbers, cheek], [*joints, glue]))
    assert {(f.rule, f.severity) for f in faults} == {("order-matters", "advice")}
    assert any("cheek line" in f.message.lower() for f in faults)


def test_a_low_rail_leaves_no_room_for_the_socket() -> None:
    """A third long stretcher 2 in below the upper front one: bolts can't be put in from below."""
    bench = usual()
    upper = bench.by_name["stretcher_upper_front"]
    place = upper.placement
    low = replace(
        upper,
        name="stretcher_third_front",
        placement=replace(place, origin=(*place.origin[:2], place.origin[2] - 7 * 25.4)),
    )
    twins = [
        replace(j, name=j.name.replace("upper", "third"), entering=low, draw=None)
        for j in bench.joints
        if isinstance(j, MortiseTenon) and j.entering == upper
    ]
    faults = found(replace(bench, timbers=(*bench.timbers, low), joints=(*bench.joints, *twins)))
    assert {(f.rule, f.severity) for f in faults} == {("bolt-not-reachable", "warning")}
    short = next(f for f in faults if f.rule == "bolt-not-reachable")
    assert short.measured == pytest.approx(2 * 25.4)
    assert short.member == "stretcher_third_front"


def test_a_floating_member_is_no_assembly_fault() -> None:
    """That it touches nothing is told by another rule."""
    timbers, joints = ladder()
    loose = bar("loose", (100.0, 500.0, 400.0), (400.0, 560.0, 420.0), 0)
    assert found(group([*timbers, loose], joints), solids=True) == []


def test_a_move_that_the_numbers_miss_is_found_on_the_solids() -> None:
    """A plan that goes the wrong way (as if a direction were wrong) collides."""
    from treenail.checks.assembly.plan import plan_assembly

    bench = usual()
    load_rules()
    context = Context(bench=bench, solids=build_solids(bench))
    plan = plan_assembly(bench)
    step = plan.steps[0]
    wrong = replace(step.moves[0], direction=(1.0, 0.0, 0.0))
    broken = replace(plan, steps=(replace(step, moves=(wrong,)), *plan.steps[1:]))
    context.once("assembly plan", lambda: broken)
    faults = list(RULES["move-collides"].check(context))
    assert faults
    assert {f.member for f in faults} == set(wrong.members)
    assert all(f.severity == "error" for f in faults)


def test_a_peg_that_would_be_driven_through_a_rail_is_found_on_the_solids() -> None:
    from treenail.checks.assembly.plan import plan_assembly

    bench = usual()
    context = Context(bench=bench, solids=build_solids(bench))
    plan = plan_assembly(bench)
    step = next(s for s in plan.steps if s.driven)
    name = step.driven[0].name
    f = plan.blocking.fasteners[name]
    plan.blocking.fasteners[name] = replace(
        f, members=("stretcher_lower_front", "stretcher_lower_back"), drive=(0.0, 0.0, 1.0)
    )
    context.once("assembly plan", lambda: plan)
    faults = list(RULES["move-collides"].check(context))
    assert [f.member for f in faults] == [name]


def test_wedges_are_driven_after_their_tenons_and_a_tusk_s_across() -> None:
    for kind, words in (("wedged", "drive 2 wedges."), ("tusk", "drive 1 wedge across.")):
        bench = bench_of(KINDS[kind]())
        plan = plan_assembly(bench)
        (step,) = plan.steps
        assert step.what.endswith(words)
        assert [d.name for d in step.driven] == [w.name for w in bench.wedges]
        assert set(plan.explode) >= {w.name for w in bench.wedges}
        for wedge in bench.wedges:  # out the way that it went in
            assert dot(plan.explode[wedge.name], wedge.placement.x) < 0.0
