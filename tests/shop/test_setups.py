"""Set-ups: fence readings by an independent sketch, grouping against brute force, whole benches."""

import itertools
import json
from collections.abc import Hashable
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.checks.benches import frame, section
from tests.checks.shops import bench, machines, shop
from tests.strategies import a_few, frame_specs
from treenail.checks.shop_file import ShopFile, default_shop
from treenail.generators.build import build_bench
from treenail.joints.cuts import TenonEnd
from treenail.joints.mortise_tenon import MortiseTenon
from treenail.shop.setups import SetupPlan, setups
from treenail.shop.setups.dado import OVERLAP, fence_reading, pass_count, stack_for
from treenail.shop.setups.grouping import assign, changes, order_groups
from treenail.shop.setups.lay import lies
from treenail.shop.setups.mortiser import plunges
from treenail.shop.setups.table_saw import stop_reading
from treenail.timber.errors import SpecError
from treenail.timber.member import Face, Member

INCH = 25.4
NO = {"have": False}


def sheet(plan: SetupPlan, machine: str) -> Any:
    return next(s for s in plan.sheets if s.machine == machine)


# --- the saw with a dado stack


def test_the_common_practice_figure() -> None:
    """Common practice: 2 in tenon, 3/4 in stack, scale zeroed for a 1/8 in blade."""
    reading = fence_reading(2 * INCH, 0.75 * INCH, zeroed_for=INCH / 8, flange="far")
    assert reading == pytest.approx(1.875 * INCH)
    assert pass_count(2 * INCH, 0.75 * INCH) == 3


def test_the_default_bench_is_set_to_it() -> None:
    cheeks = next(
        s for s in sheet(setups(frame()), "saw with dado stack").setups if s.work == "cheeks"
    )
    assert cheeks.setting("stack").value == pytest.approx(0.75 * INCH)
    assert cheeks.setting("blade height").value == pytest.approx(0.375 * INCH)
    assert cheeks.setting("fence").value == pytest.approx(1.875 * INCH)
    assert {c.passes for c in cheeks.cuts} == {3}
    assert len(cheeks.cuts) == 2 * 2 * 8  # two cheeks, two ends, eight stretchers


@given(
    shoulder=st.floats(20, 150),
    stack=st.floats(6, 20),
    zeroed=st.floats(0, 5),
    flange=st.sampled_from(["far", "near"]),
)
def test_the_fence_stands_where_the_shoulder_wants_it(
    shoulder: float, stack: float, zeroed: float, flange: str
) -> None:
    """The saw laid out on a line, the flange at 0 and the fence to the right of it."""
    reading = fence_reading(shoulder, stack, zeroed_for=zeroed, flange=flange)
    # The scale says 0 when the fence touches the near side of the blade it was zeroed for.
    zero = zeroed if flange == "far" else 0.0
    fence = zero + reading
    low, high = (0.0, stack) if flange == "far" else (-stack, 0.0)
    assert fence - low == pytest.approx(shoulder)
    assert high - low == pytest.approx(stack)


def test_a_saw_zeroed_for_the_stack_itself() -> None:
    far = fence_reading(50.8, 19.05, zeroed_for=19.05, flange="far")
    near = fence_reading(50.8, 19.05, zeroed_for=3.175, flange="near")
    assert far == near == pytest.approx(31.75)
    with pytest.raises(SpecError, match="far, near"):
        fence_reading(50.8, 19.05, zeroed_for=3.175, flange="left")


def test_one_blade_is_a_narrow_stack() -> None:
    """A single blade for which the scale is zeroed cuts its shoulder with its far side too."""
    assert stop_reading(50.8, 3.2) == fence_reading(50.8, 3.2, zeroed_for=3.2, flange="far")


@given(run=st.floats(5, 150), stack=st.floats(6, 21))
def test_passes_clear_the_tenon_and_one_fewer_would_not(run: float, stack: float) -> None:
    count = pass_count(run, stack)
    reach = stack + (count - 1) * (stack - OVERLAP)
    assert reach >= run - 1e-6
    if count > 1:
        assert reach - (stack - OVERLAP) < run


def test_the_stack_is_the_narrowest_that_takes_no_more_passes() -> None:
    dado = machines().dado
    widest = pass_count(50.8, dado.widest)
    chosen = stack_for([50.8], dado)
    assert chosen is not None
    assert pass_count(50.8, chosen) == widest
    narrower = [w for w in dado.stacks if w < chosen]
    assert all(pass_count(50.8, w) > widest for w in narrower)
    assert stack_for([50.8, 5.0], dado) is None


def test_unlike_cheeks_get_heights_of_their_own() -> None:
    plan = setups(bench(upper_end={"shoulder_outside": 6}))
    heights = {
        round(s.setting("blade height").value, 3)
        for s in sheet(plan, "saw with dado stack").setups
        if "cheeks" in s.work
    }
    joint = next(
        j for j in bench(upper_end={"shoulder_outside": 6}).joints if "upper_left" in j.name
    )
    assert isinstance(joint, MortiseTenon)
    assert {6.0, round(joint.shoulders.back_side, 3)} <= heights


# --- the mortiser


@given(chisel=st.floats(6, 26), ratio=st.floats(1, 12))
def test_plunges_clear_the_mortise_and_are_never_pushed_aside(chisel: float, ratio: float) -> None:
    length = chisel * ratio
    p = plunges(length, chisel)
    at = sorted(p.at)
    assert at[0] == 0.0
    assert at[-1] + chisel == pytest.approx(length)
    assert all(b - a <= chisel + 1e-6 for a, b in itertools.pairwise(at))
    assert set(p.at[:2]) == {at[0], at[-1]}
    if ratio < 2.0:
        return  # two plunges must overlap
    done: list[float] = []
    for x in p.at:
        left = max((d + chisel - x for d in done if d < x), default=0.0)
        right = max((x + chisel - d for d in done if d > x), default=0.0)
        # As much is open on one side as on the other, so that the chisel goes down straight.
        assert max(left, 0.0) == pytest.approx(max(right, 0.0), abs=1e-6)
        done.append(x)


def test_a_mortise_shorter_than_the_chisel() -> None:
    with pytest.raises(SpecError, match="cuts no mortise"):
        plunges(10.0, 12.0)


def test_how_a_piece_lies() -> None:
    # Face side up, face edge away from me at the fence: x runs to the right (x = y cross z with
    # y toward me and z down).
    assert lies(Face.FACE_SIDE, Face.FACE_EDGE) == (
        "face side up, face edge to the fence, near end left"
    )
    assert lies(Face.FACE_SIDE, Face.BACK_EDGE).endswith("near end right")
    assert lies(Face.BACK_SIDE, Face.FACE_EDGE).endswith("near end right")


def test_a_centred_mortise_wider_than_the_chisel_is_cut_by_turning_the_piece() -> None:
    wide = shop(mortiser={"chisels": [20.0]})
    mortises = [s for s in sheet(setups(bench(), wide), "mortiser").setups if s.work == "mortises"]
    assert len(mortises) == 1
    hows = {c.how.split(", ")[1] for c in mortises[0].cuts}
    assert {"face side to the fence", "back side to the fence"} <= hows
    off = bench(upper_end={"set_in": 3}, upper_long={"set_in": 3})
    assert len(sheet(setups(off, wide), "mortiser").setups) > 2


# --- grouping


@st.composite
def covers(draw: st.DrawFn) -> list[dict[Hashable, float]]:
    keys = [f"k{i}" for i in range(draw(st.integers(1, 6)))]
    task = st.dictionaries(st.sampled_from(keys), st.integers(0, 4).map(float), min_size=1)
    return draw(st.lists(task, max_size=7))  # type: ignore[arg-type]


@given(covers())
def test_no_choice_of_settings_is_fewer_or_cheaper(choices: list[dict[Hashable, float]]) -> None:
    chosen, proved = assign(choices)
    assert proved
    assert all(k in c for k, c in zip(chosen, choices, strict=True))
    best = min(
        (
            (len(set(pick)), sum(c[k] for c, k in zip(choices, pick, strict=True)))
            for pick in itertools.product(*choices)
        ),
        default=(0, 0.0),
    )
    cost = sum(c[k] for c, k in zip(choices, chosen, strict=True))
    assert (len(set(chosen)), cost) == best


def test_a_cover_without_time_is_still_one() -> None:
    choices: list[dict[Hashable, float]] = [{"a": 0, "b": 0}, {"b": 0, "c": 0}, {"c": 0, "a": 0}]
    chosen, proved = assign(choices, nodes=1)
    assert not proved
    assert all(k in c for k, c in zip(chosen, choices, strict=True))
    assert len(set(assign(choices)[0])) == 2


settings = st.tuples(
    *(st.tuples(st.just(n), st.integers(0, 2), st.just("")) for n in ("bit", "fence", "depth"))
)


@given(st.lists(settings, min_size=1, max_size=5, unique=True))
def test_no_order_changes_less(groups: list[Any]) -> None:
    def total(order: tuple[int, ...] | list[int]) -> float:
        return sum(changes(groups[a], groups[b]) for a, b in itertools.pairwise(order))

    order = order_groups(groups)
    assert sorted(order) == list(range(len(groups)))
    assert total(order) == min(total(p) for p in itertools.permutations(range(len(groups))))


def test_many_groups_are_all_there() -> None:
    groups = [(("bit", i % 3, ""), ("fence", i % 7, ""), ("depth", i, "")) for i in range(21)]
    assert sorted(order_groups(groups)) == list(range(21))


# --- whole benches


def from_fence(member: Member, cut_origin: tuple[float, ...], face: str) -> float:
    return {
        "face edge": cut_origin[1],
        "face side": cut_origin[2],
        "back edge": member.width - cut_origin[1],
        "back side": member.thickness - cut_origin[2],
    }[face]


def check_plan(the_bench: Any, the_shop: ShopFile) -> None:
    plan = setups(the_bench, the_shop)
    done = {(c.member, c.joint) for s in plan.sheets for u in s.setups for c in u.cuts}
    not_made = " ".join(plan.not_made)
    for name, cuts in the_bench.cuts.items():
        if the_bench.by_name[name].role == "peg":
            continue
        for cut in cuts:
            assert (name, cut.joint) in done or f"{name}, {cut.purpose}" in not_made
    for s in plan.sheets:
        assert len(s.setups) <= s.part_by_part
        assert s.stops <= s.stops_part_by_part
        assert [u.number for u in s.setups] == list(range(1, len(s.setups) + 1))
        # No setting comes twice: everything cut at it is cut together.
        keys = [(u.work, *(x.key for x in u.settings)) for u in s.setups]
        assert len(set(keys)) == len(keys)
        assert s.cautions
    drilling: Any = [u for x in plan.sheets if x.machine == "drill press" for u in x.setups]
    for u in drilling:
        fence = u.setting("fence")
        if u.work != "peg holes" or fence.value is None:
            continue
        for c in u.cuts:
            member = the_bench.by_name[c.member]
            holes = [
                x
                for x in the_bench.cuts[c.member]
                if x.joint == c.joint and x.purpose == "peg hole"
            ]
            face = c.how.split(", ")[1].removesuffix(" to the fence")
            joint = next(j for j in the_bench.joints if j.name == c.joint)
            assert face == str(joint.receiver_face)
            # The fence is the peg's distance from the shoulder.
            assert any(
                from_fence(member, x.frame.origin, face) == pytest.approx(fence.value)
                for x in holes
            )
    mortising: Any = [u for x in plan.sheets if x.machine == "mortiser" for u in x.setups]
    for u in mortising:
        chisel, fence = u.setting("chisel").value, u.setting("fence").value
        for place, c in ((p, c) for p in u.places for c in p.cuts):
            member = the_bench.by_name[c.member]
            cut = next(
                x for x in the_bench.cuts[c.member] if (x.joint, x.purpose) == (c.joint, c.purpose)
            )
            face = c.how.split(", ")[1].removesuffix(" to the fence")
            aside = from_fence(member, cut.frame.origin, face) - fence
            assert abs(aside) + chisel / 2 <= cut.width / 2 + 1e-6
            if c.purpose == "mortise":
                assert place.stop == pytest.approx(cut.frame.origin[0] - cut.length / 2)
    json.dumps(plan.as_dict(), allow_nan=False)
    assert plan.as_dict()["setups"] == sum(len(s.setups) for s in plan.sheets)
    assert len(plan.rows()) == sum(len(u.cuts) for s in plan.sheets for u in s.setups)


@a_few(8)
@given(frame_specs())
def test_every_cut_is_set_up_once_and_together(spec: Any) -> None:
    check_plan(build_bench(spec, units="mm"), default_shop("mm"))


@pytest.mark.parametrize(
    "changed",
    [
        {},
        {"dado": NO},
        {"dado": NO, "saw": {"upright": 2000}},
        {"dado": NO, "saw": NO, "router": {"reach": 60}},
        {"mortiser": NO},
        {"mortiser": NO, "router": NO},
        {"mortiser": NO, "dado": NO, "saw": NO, "router": NO, "planer": NO, "jointer": NO},
        {"router": {"cnc": True}, "order": {"mortises": ["router"], "holes": ["router", "hand"]}},
    ],
)
def test_every_shop_gets_its_sheets(changed: dict[str, Any]) -> None:
    if changed.get("order"):
        plan = setups(frame(), shop(**changed))
        assert any(s.machine == "router" for s in plan.sheets)
        return
    check_plan(frame(), shop(**changed))


def test_both_figures_of_the_drawbore_stand_beside_each_other() -> None:
    tenons = sheet(setups(frame()), "drill press").setups[-1]
    assert tenons.work == "peg holes in tenons"
    for place in tenons.places:
        marks = dict(place.marks)
        post, tenon = marks["shoulder to the post's hole"], marks["shoulder to the tenon's hole"]
        assert post == pytest.approx(0.75 * INCH)
        assert tenon == pytest.approx((0.75 - 1 / 16) * INCH)
        assert marks["draw"] == pytest.approx(INCH / 16)


def test_counterbores_come_before_their_holes() -> None:
    works = [s.work for s in sheet(setups(frame()), "drill press").setups]
    assert works.index("counterbores") < works.index("bolt holes")


def test_the_test_cut_creeps_up_on_the_real_mortise() -> None:
    the_bench = frame(fit="mallet")
    cheeks = next(
        s for s in sheet(setups(the_bench), "saw with dado stack").setups if s.work == "cheeks"
    )
    assert "half of what it is too thick" in cheeks.test_cut
    assert "0.000 in to 0.002 in less than the mortise really is" in cheeks.test_cut


def test_a_through_mortise_deeper_than_the_chisel_is_cut_from_both_faces() -> None:
    through = frame(**section("lower_long", through=True, tenon_length=3 * INCH))
    plan = setups(through, shop(mortiser={"reach": 54.0}))
    mortises = [s for s in sheet(plan, "mortiser").setups if "mortises" in s.work]
    halves = [s for s in mortises if s.setting("depth").value == pytest.approx(38.1 + 1.5)]
    assert len(halves) == 1
    faces = {c.face for c in halves[0].cuts}
    assert {"back edge", "face edge"} <= faces or {"back side", "face side"} <= faces


def test_pieces_of_one_length_share_a_stop() -> None:
    lengths = [s for s in sheet(setups(frame()), "table saw").setups if "length" in s.work]
    values = [s.setting("length stop").value for s in lengths]
    assert len(set(values)) == len(values) == len({m.length for m in frame().timbers})


def test_a_shop_without_machines_marks_out_by_gauge() -> None:
    none = dict.fromkeys(
        ("mortiser", "dado", "saw", "router", "drill_press", "planer", "jointer"), NO
    )
    plan = setups(frame(), shop(**none))
    assert [s.machine for s in plan.sheets] == ["hand tools"]
    tenons = next(s for s in sheet(plan, "hand tools").setups if s.work == "tenons")
    first = next(j for j in frame().joints if isinstance(j, MortiseTenon))
    assert isinstance(first.tenon, TenonEnd)
    assert tenons.setting("gauge, first cheek").value == pytest.approx(first.shoulders.face_side)
    assert tenons.setting("shoulder line").value == pytest.approx(first.length)
