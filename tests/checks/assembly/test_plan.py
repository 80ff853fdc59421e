"""The plan of assembly: what it finds by itself, and that any order that begins well ends well."""

import math
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.checks.assembly.benches import bar, group, ladder, pinwheel, usual
from tests.strategies import frame_specs
from treenail.checks.assembly.blocking import OPEN, Blocking, bits, least_closed
from treenail.checks.assembly.plan import AssemblyPlan, SubAssembly, plan_assembly
from treenail.checks.assembly.taking_apart import TakingApart
from treenail.generators.bench import Bench
from treenail.generators.build import build_bench
from treenail.generators.frame_spec import MEETINGS, FrameBenchSpec
from treenail.joints.features import EdgeGlue
from treenail.timber.frames import add

END = {"left", "right"}


def side(name: str) -> str:
    return name.rsplit("_", 1)[-1]


def when(plan: AssemblyPlan, joint: str) -> int:
    return next(s.number for s in plan.steps if joint in s.joints)


def named(whole: SubAssembly) -> dict[str, set[str]]:
    found = {whole.name: set(whole.members)}
    for part in whole.parts:
        found |= named(part)
    return found


def check_order(bench: Bench) -> AssemblyPlan:
    """End frames, then long stretchers, then the top; every joint closed once."""
    plan = plan_assembly(bench)
    assert plan.knots == ()
    ends = [j.name for j in bench.joints if "_at_" in j.name and j.name.split("_")[1] in END]
    longs = [j.name for j in bench.joints if "_at_" in j.name and j.name.split("_")[1] not in END]
    assert max(when(plan, j) for j in ends) < min(when(plan, j) for j in longs)
    closed = [j for s in plan.steps for j in s.joints]
    assert len(closed) == len(set(closed))
    assert set(closed) == {j.name for j in bench.joints if len(j.members) > 1}
    tops = [j.name for j in bench.joints if j.hardware()]
    if tops:
        assert min(when(plan, j) for j in tops) > max(when(plan, j) for j in longs)
    return plan


@pytest.mark.parametrize("meeting", MEETINGS)
def test_end_frames_then_long_stretchers_then_the_top(meeting: str) -> None:
    bench = usual(meeting=meeting, shelf={"enabled": True})
    plan = check_order(bench)
    groups = named(plan.whole)
    for lr in END:
        assert groups[f"{lr} end frame"] == {
            f"post_front_{lr}",
            f"post_back_{lr}",
            f"stretcher_upper_{lr}",
            f"stretcher_lower_{lr}",
        }
    assert set(groups["frame"]) == {
        m.name for m in bench.timbers if m.role in ("post", "stretcher")
    }
    assert groups["glued-up top"] == {"top_section_1", "top_section_2"}
    slid = next(s for s in plan.steps if set(s.moving) == groups["right end frame"])
    assert slid.moves[0].direction == (-1.0, 0.0, 0.0)  # onto four tenons at once
    assert len(slid.joints) == 4
    lowered = next(
        s for s in plan.steps if s.moving == ("top_section_1", "top_section_2") and s.moves
    )
    assert lowered.direction == (0.0, 0.0, -1.0)
    boards = next(s for s in plan.steps if "shelf_board_1" in s.moving)
    assert len(boards.moves) == len(boards.moving) > 3
    assert boards.direction == (0.0, 1.0, 0.0)  # straight down the upper stretchers are in the way


@pytest.mark.parametrize(
    "sizes",
    [
        {},
        {"upper_long": {"through": True}, "lower_end": {"through": True}},
        {"pegs": {"from_face": "inside"}},
        {"pegs": {"per_joint": 0}, "bolts": {"per_stretcher": 0}},
        {"meeting": "notched", "lower_long": {"haunch": True}},
    ],
)
def test_the_order_holds_for_other_joints(sizes: dict[str, object]) -> None:
    check_order(usual(**sizes))


@given(frame_specs(pegs={"from_face": "outside"}))
@settings(max_examples=10)
def test_any_bench_pegged_from_outside_goes_together(spec: FrameBenchSpec) -> None:
    """All sizes go together somehow; which pair of frames comes first depends on the room."""
    bench = build_bench(spec)
    plan = plan_assembly(bench)
    assert plan.knots == ()
    closed = [j for s in plan.steps for j in s.joints]
    assert sorted(closed) == sorted(j.name for j in bench.joints if len(j.members) > 1)
    assert not any(d.covered_by for s in plan.steps for d in s.driven)


def test_pegs_follow_their_joint_and_bolts_the_top() -> None:
    bench = usual()
    plan = plan_assembly(bench)
    assert set(plan.driven) == {*(p.name for p in bench.pegs), *(h.name for h in bench.hardware)}
    for name, (_, step) in plan.driven.items():
        assert plan.blocking.fasteners[name].joint in step.joints


def test_the_plan_reads_no_assembly_names() -> None:
    from dataclasses import replace

    bench = usual()
    names = {m.name: m for m in bench.timbers}
    plan = plan_assembly(bench)
    bare = {n: replace(m, assembly="") for n, m in names.items()}
    joints = []
    for j in bench.joints:
        fields = {f: bare[v.name] for f, v in vars(j).items() if getattr(v, "name", "") in bare}
        joints.append(replace(j, **fields))  # type: ignore[arg-type]  # its own fields
    again = plan_assembly(replace(bench, timbers=tuple(bare.values()), joints=tuple(joints)))
    assert [s.what for s in again.steps] == [s.what for s in plan.steps]


def test_the_same_bench_gives_the_same_plan() -> None:
    assert plan_assembly(usual()).steps == plan_assembly(usual()).steps


def test_every_part_is_drawn_clear_of_what_it_leaves() -> None:
    bench = usual(shelf={"enabled": True})
    plan = plan_assembly(bench)
    assert set(plan.explode) == {
        *(m.name for m in bench.members),
        *(h.name for h in bench.hardware),
    }
    for joint in bench.joints:
        if len(joint.members) < 2 or isinstance(joint, EdgeGlue):
            continue
        one, two = joint.members
        gaps = []
        for i in range(3):
            low_a, high_a = (add(p, plan.explode[one.name])[i] for p in one.bounds())
            low_b, high_b = (add(p, plan.explode[two.name])[i] for p in two.bounds())
            gaps.append(max(low_b - high_a, low_a - high_b))
        assert max(gaps) > 50.0, joint.name


@given(st.randoms(use_true_random=False))
@settings(max_examples=20)
def test_whatever_is_taken_off_first_the_rest_comes_apart(random: Random) -> None:
    """The theorem that the plan rests on: no choice leads into a dead end."""
    blocking = Blocking(usual(shelf={"enabled": True}))
    apart = TakingApart(blocking)
    left = [(blocking.all, tuple(blocking.fasteners))]
    moves = 0
    while left:
        mask, held = left.pop()
        if not mask & (mask - 1):
            continue
        held = blocking.inside(mask, held)
        ways = [split for _, split in apart.splits(mask, held, OPEN)]
        assert ways, blocking.names(mask)
        chosen = random.choice(ways)
        held = tuple(n for n in held if n not in chosen.pulled)
        left += [(chosen.moving, held), (mask & ~chosen.moving, held)]
        moves += 1
    assert moves == len(blocking.bodies) - 1


@given(st.dictionaries(st.integers(0, 6), st.integers(0, 127)))
def test_least_closed_sets_by_trying_all(edges: dict[int, int]) -> None:
    nodes = sum(1 << i for i in edges)
    graph = {i: out & nodes for i, out in edges.items()}
    closed = [
        mask
        for mask in range(1, 128)
        if mask & ~nodes == 0 and all(graph[i] & ~mask == 0 for i in bits(mask))
    ]
    least = [m for m in closed if not any(n != m and n & ~m == 0 for n in closed)]
    assert least_closed(graph) == least


def test_a_rail_goes_in_between_two_posts() -> None:
    timbers, joints = ladder()
    plan = plan_assembly(group(timbers, joints))
    assert [len(s.joints) for s in plan.steps] == [1, 1]
    assert all(s.direction in ((1.0, 0.0, 0.0), (-1.0, 0.0, 0.0)) for s in plan.steps)
    assert all(math.isclose(s.distance, 80.0) for s in plan.steps)  # 30 mm of tenon, and clear


def test_a_part_without_a_joint_is_put_in_place_last() -> None:
    timbers, joints = ladder()
    loose = bar("loose", (100.0, 0.0, 400.0), (400.0, 60.0, 420.0), 0)
    plan = plan_assembly(group([*timbers, loose], joints))
    assert plan.knots == ()
    assert plan.steps[-1].moving == ("loose",)
    assert plan.steps[-1].joints == ()


@pytest.mark.parametrize("braces", ["", "e", "f"])
def test_a_ring_of_rails_goes_together_from_two_halves(braces: str) -> None:
    plan = plan_assembly(pinwheel(braces))
    assert plan.knots == ()
    assert len(plan.steps[-1].joints) >= 2


def test_a_ring_braced_both_ways_locks_itself() -> None:
    bench = pinwheel("ef")
    plan = plan_assembly(bench)
    assert plan.knots == (tuple(m.name for m in bench.timbers),)
    assert plan.whole.step == 0


@pytest.mark.parametrize("left_out", range(6))
def test_without_any_one_member_the_locked_ring_goes_together(left_out: int) -> None:
    ring = pinwheel("ef")
    timbers = [m for i, m in enumerate(ring.timbers) if i != left_out]
    joints = [j for j in ring.joints if all(m in timbers for m in j.members)]
    assert plan_assembly(group(timbers, joints)).knots == ()


def test_a_stretcher_trapped_in_a_glued_frame_asks_for_late_glue() -> None:
    timbers, joints = ladder()
    beam = bar("beam", (0.0, 60.0, 0.0), (520.0, 100.0, 600.0), 0, "panel")
    glue = [EdgeGlue(name=f"glue_{m.name}", first=beam, second=m) for m in timbers[:2]]
    plan = plan_assembly(group([*timbers, beam], [*joints, *glue]))
    assert plan.knots == ()
    assert set(plan.late_glue) == {"glue_post_left", "glue_post_right"}
