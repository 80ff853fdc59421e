"""The milling plan: sizes only shrink and end at the parts, plies are over, shorts are joined."""

import itertools
import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.checks.benches import frame, section
from tests.checks.shops import bench, shop
from tests.strategies import frame_specs
from treenail.generators.bench import Bench
from treenail.generators.build import build_bench
from treenail.shop.glue_up import glue_up
from treenail.shop.milling_checks import SQUARE_PER_INCH, WIND
from treenail.shop.milling_model import MillingPlan
from treenail.shop.milling_plan import milling_plan
from treenail.shop.rough_parts import rough_parts

INCH = 25.4
NO = {"have": False}
ORDER = ["break down", "flatten", "square", "thickness", "rest"]


def check_plan(the_bench: Bench, plan: MillingPlan) -> None:
    assert [s.number for s in plan.steps] == list(range(1, len(plan.steps) + 1))
    for m in the_bench.timbers:
        way = plan.steps_of(m.name)
        phases = list(dict.fromkeys(s.phase for s, _ in way))
        assert phases[:5] == ORDER
        assert phases[-1] == "length"
        glue = next((i for i, (s, _) in enumerate(way) if s.phase == "laminate"), None)
        assert (glue is None) == (m.plies == 1)
        back = next((i for i, (s, _) in enumerate(way) if s.phase == "glue back"), 0)
        stacked, across = (
            (m.thickness, m.width) if m.ply_axis == "thickness" else (m.width, m.thickness)
        )
        if m.plies == 1:
            stacked, across = sorted((m.width, m.thickness))
        # Sizes never grow from step to step; only a glue-up makes pieces wider or thicker.
        for part in (
            way[:back],
            *((way[back:],) if glue is None else (way[back:glue], way[glue:])),
        ):
            for name in ("length", "width", "thickness"):
                sizes = [v for _, b in part if (v := getattr(b, name)) is not None]
                assert all(b <= a + 1e-6 for a, b in itertools.pairwise(sizes))
        last = way[-1][1]
        assert (last.length, last.width, last.thickness) == pytest.approx(
            (m.length, across, stacked)
        )
        if glue is not None:
            planed = next(b.thickness for s, b in way[glue - 1 :: -1] if s.phase == "thickness")
            assert planed is not None
            # Common practice: at least 1/16 in over the ply's share.
            assert planed >= stacked / m.plies + INCH / 16 - 1e-6
            laminated = way[glue][1]
            assert laminated.thickness == pytest.approx(planed * m.plies)
            assert laminated.width is not None
            assert laminated.width > across
    json.dumps(plan.as_dict(), allow_nan=False)
    assert len(plan.rows()) == sum(len(s.batches) for s in plan.steps)


@given(frame_specs())
def test_every_part_is_milled_to_its_size(spec: Any) -> None:
    the_bench = build_bench(spec, units="mm")
    check_plan(the_bench, milling_plan(the_bench))


@pytest.mark.parametrize(
    "changed",
    [{}, {"planer": NO}, {"jointer": NO}, {"saw": NO}, {"planer": NO, "jointer": NO, "saw": NO}],
)
def test_in_any_shop(changed: dict[str, Any]) -> None:
    plan = milling_plan(frame(), shop(**changed))
    check_plan(frame(), plan)
    machines = {b.machine for s in plan.steps for b in s.batches}
    for missing in changed:
        assert {"planer": "planer", "jointer": "jointer", "saw": "table saw"}[
            missing
        ] not in machines


def test_boards_of_one_thickness_share_a_setting_and_the_planer_only_goes_down() -> None:
    plan = milling_plan(frame())
    for half in (
        [s for s in plan.steps if s.phase == "thickness" and "over size" in s.what],
        [s for s in plan.steps if s.phase == "thickness" and "to thickness" in s.what],
    ):
        values = [s.batches[0].thickness for s in half]
        assert all(len({b.thickness for b in s.batches}) == 1 for s in half)
        assert values == sorted(values, key=lambda v: -(v or 0.0))
        assert len(set(values)) == len(values)
    # Plies of posts (1 1/2 + 1/16) and strips of the top (1 1/2 + 1/16) are one setting.
    shared = next(
        s
        for s in plan.steps
        if "to thickness" in s.what and any(b.role == "post" for b in s.batches)
    )
    assert shared.batches[0].thickness == pytest.approx(1.5625 * INCH)
    assert {b.role for b in shared.batches} >= {"post", "top section"}
    assert shared.pieces == 4 * 2 + 2 * 8


def test_eight_quarter_stock_is_left_over_for_the_rest() -> None:
    plan = milling_plan(frame())
    first = [
        b.thickness
        for s, b in plan.steps_of("stretcher_upper_front")
        if s.phase in ("thickness", "rest")
    ]
    # 1 3/4 in from 8/4: 1 13/16 for the rest.
    assert first == pytest.approx([1.8125 * INCH, 1.8125 * INCH, 1.75 * INCH])


def test_stock_that_has_nothing_to_spare_is_milled_once() -> None:
    # 4/4 surfaces to 13/16 in (NHLA): all of it is in the board.
    tight = frame(**section("shelf", enabled=True, thickness=0.8125 * INCH))
    plan = milling_plan(tight)
    name = next(m.name for m in tight.timbers if "shelf" in m.name)
    way = plan.steps_of(name)
    assert sum(s.phase == "flatten" for s, _ in way) == 1
    planed = [b for s, b in way if s.phase == "thickness"]
    assert [b.thickness for b in planed] == pytest.approx([0.8125 * INCH] * 2)
    assert "no thickness to spare" in planed[0].note
    easy = frame(**section("shelf", enabled=True, thickness=0.75 * INCH))
    notes = [b.note for _, b in milling_plan(easy).steps_of(name)]
    assert not any("spare" in n for n in notes)


def test_short_parts_are_milled_joined() -> None:
    """Common practice: nothing under 12 in on the jointer, the roller spacing and 2 in more."""
    small = bench(depth=300, posts={"width": 60, "thickness": 60})
    the_shop = shop(planer={"shortest": 500}, jointer={"shortest": 300}, saw={"kerf": 3})
    plan = milling_plan(small, the_shop)
    shorts = [m for m in small.timbers if m.length + INCH < 500]
    assert shorts
    for m in shorts:
        way = plan.steps_of(m.name)
        first = way[0][1]
        assert first.length is not None
        assert first.length >= 500
        assert "cut apart last" in first.note
        alike = first.members
        joined = -(-len(alike) // (first.count // m.plies))
        assert first.length >= joined * m.length + (joined - 1) * 3
        assert all(b.length is None or b.length >= 500 for s, b in way if s.phase != "length")
        assert way[-1][1].count == len(alike)


@given(st.floats(200, 1000))
def test_no_blank_is_shorter_than_the_machines_take(shortest: float) -> None:
    the_shop = shop(planer={"shortest": shortest}, jointer={"shortest": shortest})
    plan = milling_plan(frame(), the_shop)
    for b in plan.steps[0].batches:
        assert b.length is not None
        assert b.length >= shortest - 1e-6


def test_what_is_too_wide_is_ripped_and_glued_back() -> None:
    the_shop = shop(jointer={"width": 100})
    plan = milling_plan(frame(), the_shop)
    check_plan(frame(), plan)
    way = plan.steps_of("stretcher_upper_front")
    part = next(
        p for p in rough_parts(frame(), the_shop.machines) if "stretcher_upper_front" in p.members
    )
    assert part.across == 2
    first = way[0][1]
    assert first.count == part.count
    assert first.width == pytest.approx(part.width)
    assert first.width is not None
    assert first.width <= 100
    before, after = (
        [b for s, b in way if s.phase == "flatten" and (s.number < k) == early]
        for k in [next(s.number for s, _ in way if s.phase == "glue back")]
        for early in (True, False)
    )
    assert {b.machine for b in before} == {"jointer"}
    assert {b.machine for b in after} == {"hand tools"}
    assert {b.count for b in after} == {part.count // 2}
    glued = next(b for s, b in way if s.phase == "glue back")
    member = frame().by_name["stretcher_upper_front"]
    assert glued.width is not None
    assert glued.width > max(member.width, member.thickness)
    # The glue-up tells the same lines.
    lines = [x for s in glue_up(frame(), shop=the_shop).steps for x in s.lines]
    edges = [x for x in lines if x.members == (member.name,) and x.kind == "board edge"]
    assert len(edges) == 1
    assert edges[0].area == pytest.approx(part.length * part.thickness)
    assert edges[0].area >= member.length * min(member.width, member.thickness)


def test_spares_are_milled_too() -> None:
    parts = rough_parts(frame(), shop().machines, spares={"post": 2})
    plan = milling_plan(frame(), shop(), parts=parts)
    post = plan.steps_of("post_front_left")
    assert post[0][1].count == (4 + 2) * 2
    assert post[-1][1].count == 4 + 2
    step = next(s for s in glue_up(frame(), parts=parts).steps if "posts" in s.what)
    assert len(step.lines) == 4 + 2


def test_a_lamination_trimmed_first_passes_the_planer() -> None:
    top = milling_plan(frame(), shop(planer={"width": 12.2 * INCH}))
    notes = [b.note for s, b in top.steps_of("top_section_1") if s.phase == "re-mill"]
    assert any("trim its edges first" in n for n in notes)


def test_checks_have_limits() -> None:
    plan = milling_plan(frame())
    by_name = {c.name: c for s in plan.steps for c in s.checks}
    assert {"flat", "wind", "square", "thickness", "glue faces"} <= set(by_name)
    assert by_name["wind"].limit == WIND
    assert by_name["thickness"].limit == pytest.approx(0.003 * INCH)
    square = next(s for s in plan.steps if s.phase == "square").checks[0]
    assert square.limit == pytest.approx(SQUARE_PER_INCH * 2)  # 8/4 stock
    assert all(c.source for s in plan.steps for c in s.checks)
    assert all(s.cautions for s in plan.steps)


def test_pegs_are_not_milled() -> None:
    plan = milling_plan(frame())
    members = {n for s in plan.steps for b in s.batches for n in b.members}
    assert members == {m.name for m in frame().timbers}
    assert any("drawbore sheet" in n for n in plan.notes)
