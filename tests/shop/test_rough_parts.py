"""Rough parts: allowances, plies, blanks of short pieces, and the jointer's width."""

import dataclasses

import pytest
from hypothesis import given
from hypothesis import strategies as st

from treenail.checks.shop_machines import HandWork, Jointer, Machines, Planer
from treenail.generators.bench import Bench
from treenail.generators.build import build_bench
from treenail.generators.frame_spec import FrameBenchSpec, Posts
from treenail.shop.allowances import Allowances, usual
from treenail.shop.cutlist import cut_list
from treenail.shop.rough_parts import letters, rough_parts
from treenail.timber.errors import SpecError

IN = 25.4


@pytest.fixture(scope="module")
def bench() -> Bench:
    return build_bench(FrameBenchSpec(), units="in")


def test_the_cut_list_shows_the_same_sizes(bench: Bench) -> None:
    rows = cut_list(bench)
    parts = rough_parts(bench)
    for row, part in zip(rows, parts, strict=True):
        assert row.names == part.members
        assert (row.ply_length, row.ply_width) == (part.length, part.width)
        assert (row.ply_thickness, row.quarter) == (part.thickness, part.quarter)
        assert row.net == pytest.approx(part.net)
        assert row.rough == pytest.approx(part.rough)


def test_every_ply_has_a_mark_of_its_own(bench: Bench) -> None:
    parts = rough_parts(bench, Machines())
    marks = [p.mark for part in parts for p in part.pieces()]
    assert len(set(marks)) == len(marks) == sum(p.count for p in parts)
    named = {m for part in parts for p in part.pieces() for m in p.members}
    assert named == {m.name for m in bench.members}


@given(plies=st.integers(2, 6), width=st.floats(60, 120), thickness=st.floats(60, 120))
def test_plies_are_each_a_little_over_their_share(
    plies: int, width: float, thickness: float
) -> None:
    spec = FrameBenchSpec(posts=Posts(plies=plies, width=width, thickness=thickness))
    post = next(p for p in rough_parts(build_bench(spec, units="in")) if p.role == "post")
    assert post.plies == plies
    member = build_bench(spec).by_name[post.members[0]]
    stacked = member.thickness if member.ply_axis == "thickness" else member.width
    assert post.plies * post.thickness == pytest.approx(stacked + plies * IN / 16)


def test_metric_benches_get_round_metric_allowances() -> None:
    """30 mm on the length, 6 on the width, 2 on each ply, blanks in steps of 5 mm."""
    spec = FrameBenchSpec(posts=Posts(plies=3, width=90.0, thickness=84.0))
    metric = build_bench(spec, units="mm")
    post = next(p for p in rough_parts(metric) if p.role == "post")
    assert (post.length, post.thickness) == (metric.by_name[post.members[0]].length + 30.0, 30.0)
    assert post.width == 96.0
    for part in rough_parts(metric, Machines()):
        if part.gang > 1:
            assert part.length == 5.0 * round(part.length / 5.0)
    inch = {p.role: p for p in rough_parts(build_bench(spec, units="in"))}
    assert inch["post"].length == pytest.approx(post.length - 30.0 + IN)
    assert usual("in") == Allowances()


def test_pegs_are_milled_end_to_end(bench: Bench) -> None:
    machines = Machines()
    peg = next(p for p in rough_parts(bench, machines) if p.role == "peg")
    shortest = max(machines.planer.shortest, machines.jointer.shortest)
    assert peg.gang > 1
    assert peg.length >= shortest
    assert peg.count == -(-len(peg.members) // peg.gang)
    # The blank holds its pegs, a parting cut between any two, and waste at both ends.
    more = Allowances.of(machines)
    net = peg.gang * peg.finished[0] + (peg.gang - 1) * more.parting + more.length
    assert net <= peg.length + 1e-6
    # One peg fewer would be too short, or the blank needn't be longer than the machine asks.
    assert net - peg.finished[0] - more.parting < shortest


def test_without_machines_nothing_is_ganged(bench: Bench) -> None:
    assert all(p.gang == p.across == 1 for p in rough_parts(bench))
    by_hand = Machines(planer=Planer(have=False), jointer=Jointer(have=False), hand=HandWork())
    assert all(p.gang == p.across == 1 for p in rough_parts(bench, by_hand))


def test_by_hand_less_is_lost(bench: Bench) -> None:
    by_hand = Machines(planer=Planer(have=False), jointer=Jointer(have=False))
    for machine, hand in zip(rough_parts(bench), rough_parts(bench, by_hand), strict=True):
        assert hand.length == pytest.approx(machine.length - IN / 2)
        assert hand.width <= machine.width


@given(width=st.floats(80, 200))
def test_parts_pass_the_jointer_and_glue_back(width: float) -> None:
    bench = build_bench(FrameBenchSpec(), units="in")
    machines = Machines(jointer=Jointer(width=width))
    for part in rough_parts(bench, machines):
        whole = next(p for p in rough_parts(bench) if p.mark == part.mark)
        assert part.width <= width + 1e-6
        more = Allowances().width
        if part.across > 1:
            assert part.across * (part.width - more) == pytest.approx(whole.width - more)
            assert whole.width > width
            assert any("jointer" in n for n in part.notes)
    kept = rough_parts(bench, machines, wide="whole")
    assert all(p.across == 1 for p in kept)


def test_spares_are_counted_and_have_no_member(bench: Bench) -> None:
    plain = {p.role: p for p in rough_parts(bench)}
    more = {p.role: p for p in rough_parts(bench, spares={"peg": 3, "post_front_left": 1})}
    assert more["peg"].count == plain["peg"].count + 3
    assert more["post"].count == plain["post"].count + plain["post"].plies
    assert sum(not p.members for p in more["peg"].pieces()) == 3


@pytest.mark.parametrize("spares", [{"mast": 1}, {"peg": -1}, {"peg": True}, {"peg": 1000}])
def test_wrong_spares_are_refused(bench: Bench, spares: dict[str, int]) -> None:
    with pytest.raises(SpecError, match="spares"):
        rough_parts(bench, spares=spares)


def test_what_a_quarter_gives_is_told(bench: Bench) -> None:
    """NHLA: 8/4 surfaces to 1 3/4 in; flattened from cupped stock 1/8 less (common practice)."""
    part = next(p for p in rough_parts(bench) if p.quarter == "8/4")
    assert part.yields == pytest.approx(1.75 * IN)
    assert part.yields_least == pytest.approx(1.625 * IN)
    for p in rough_parts(bench):
        assert p.thickness <= p.yields + 1e-6
        assert (p.thickness > p.yields_least) == any("flat planks" in n for n in p.notes)


def test_allowances_are_checked() -> None:
    with pytest.raises(SpecError, match="snipe"):
        Allowances(snipe=-1.0)
    assert {f.name for f in dataclasses.fields(Allowances)} >= {"end", "snipe", "joint", "rip"}


def test_letters_go_on_after_z() -> None:
    assert [letters(i) for i in (0, 25, 26, 27, 701, 702)] == ["A", "Z", "AA", "AB", "ZZ", "AAA"]
