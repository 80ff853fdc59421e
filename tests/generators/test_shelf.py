"""The shelf: on the stretchers or in their rebates, plain or tongued boards."""

import itertools
import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.checks.benches import frame, section
from treenail.checks import check_bench
from treenail.checks.assembly.plan import plan_assembly
from treenail.checks.rooms import measured_room
from treenail.checks.rules import Context
from treenail.checks.season_data import season_data
from treenail.checks.strength.data import strength_of
from treenail.generators.bench import Bench
from treenail.generators.solids import build_solids
from treenail.joints.edges import TongueGroove
from treenail.joints.seats import SeatRebate
from treenail.shop.glue import Glue
from treenail.shop.glue_lines import DRY, joint_line
from treenail.timber.errors import GeometryError, SpecError
from treenail.timber.member import Member

INCH = 25.4


def bench(**shelf: object) -> Bench:
    return frame(**section("shelf", enabled=True, **shelf))


def boards(made: Bench) -> list[Member]:
    return [m for m in made.timbers if m.role == "shelf board"]


def seats(made: Bench) -> list[SeatRebate]:
    return [j for j in made.joints if isinstance(j, SeatRebate)]


@given(st.floats(8.0, 30.0), st.floats(6.0, 20.0))
def test_a_rebate_takes_what_its_closed_form_says(thickness: float, rebate: float) -> None:
    made = bench(seat="rebate", thickness=thickness, rebate=rebate)
    plain = frame()
    for seat in seats(made):
        span = seat.span[1] - seat.span[0]
        gone = plain.volumes[seat.rail.name] - made.volumes[seat.rail.name]
        assert gone == pytest.approx(span * thickness * rebate, rel=1e-9)
        assert seat.seat == pytest.approx(rebate - 1.0)
    top = made.by_name["stretcher_lower_front"].bounds()[1][2]
    for board in boards(made):
        low, high = board.bounds()
        assert high[2] == pytest.approx(top)  # flush
        assert high[2] - low[2] == pytest.approx(thickness)


@pytest.mark.parametrize("seat", ["on", "rebate"])
def test_tongued_boards_stand_apart_and_in_each_other(seat: str) -> None:
    made = bench(seat=seat, edges="tongued")
    for before, after in itertools.pairwise(boards(made)):
        (joint,) = (
            j for j in made.joints if isinstance(j, TongueGroove) and j.entering.name == after.name
        )
        assert joint.receiver.name == before.name
        assert joint.open_by == pytest.approx(INCH / 8)
        assert joint.reach == pytest.approx(INCH / 4)
        assert joint.bottom > joint.open_by
        # Wood of an open board: its tongue stands out by the opening and the reach.
        thick, long = after.thickness, after.length
        gone = 2 * long * joint.height * (thick - joint.tongue_thickness) / 2
        assert made.volumes[after.name] <= after.stock_volume - gone + 1e-6
    data = season_data(Context(bench=made))
    assert {round(s.built, 6) for s in data.of("shelf-gap")} == {3.175}


@pytest.mark.parametrize("seat", ["on", "rebate"])
@pytest.mark.parametrize("edges", ["plain", "tongued"])
def test_every_shelf_passes_and_goes_together(seat: str, edges: str) -> None:
    made = bench(seat=seat, edges=edges)
    report = check_bench(made)
    assert [f.message for f in report.findings if f.severity != "advice"] == []
    plan = plan_assembly(made)
    assert not plan.knots
    assert {m.name for m in boards(made)} <= set(plan.joined)


def test_solids_hold_the_closed_volumes_and_the_rooms() -> None:
    solids = build_solids(bench(seat="rebate", edges="tongued"))
    assert solids.problems() == []
    context = Context(bench=solids.bench, solids=solids)
    assert list(measured_room(context)) == []


@pytest.mark.parametrize(
    ("shelf", "field"),
    [
        ({"rebate": 30.0}, "shelf.rebate"),
        ({"thickness": 60.0, "rebate": 10.0, "board": 120.0}, None),
        ({"thickness": 40.0, "rebate": 4.0}, None),
    ],
)
def test_a_rebate_without_wood_is_refused(shelf: dict[str, float], field: str | None) -> None:
    slim = section("lower_long", width=70.0)
    with pytest.raises(SpecError) as caught:
        frame(**slim, **section("shelf", enabled=True, seat="rebate", **shelf))
    assert caught.value.field == (field or "shelf.thickness")


def test_boards_that_reach_unequally_are_refused() -> None:
    made = bench(seat="rebate")
    seat = seats(made)[0]
    first, second, *_ = seat.boards
    moved = replace(second, placement=second.placement.moved((0.0, 1.0, 0.0)))
    with pytest.raises(GeometryError, match="equally"):
        replace(seat, boards=(first, moved))
    with pytest.raises(GeometryError, match="beyond"):
        replace(seat, span=(seat.span[0] + 100.0, seat.span[1]))


def test_tongues_that_must_move_stay_dry() -> None:
    for joint in bench(edges="tongued").joints:
        if isinstance(joint, TongueGroove):
            line = joint_line(joint, Glue())
            assert line is not None
            assert line.closed_by == DRY


def test_tight_boards_are_told_of_whether_tongued_or_not() -> None:
    for edges in ("plain", "tongued"):
        made = bench(seat="rebate", edges=edges, gap=0.2)
        assert "shelf-gap" in {f.rule for f in check_bench(made).findings}


def test_a_full_shelf_bends_the_rails_that_carry_it() -> None:
    on, sunk = bench(), bench(seat="rebate")
    a, b = (strength_of(made).figure("sag-shelf") for made in (on, sunk))
    assert a is not None
    assert b is not None
    assert a.member == b.member
    assert math.isclose(a.value, b.value, rel_tol=0.05)
