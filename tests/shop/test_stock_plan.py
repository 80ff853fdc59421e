"""The stock plan of the example, of any rack, and its pages."""

import csv
import io
import json
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.shop.plan_checker import check_plan, sawable
from treenail.checks.shop_file import read_shop
from treenail.checks.shop_machines import Machines
from treenail.generators.build import build_bench, build_document
from treenail.generators.frame_spec import FrameBenchSpec
from treenail.generators.spec_file import read_spec
from treenail.shop.rack import Board, Defect, read_rack
from treenail.shop.rough_parts import RoughPart, rough_parts
from treenail.shop.stock import pages
from treenail.shop.stock.options import StockOptions
from treenail.shop.stock.plan import plan_stock
from treenail.shop.stock.result import StockPlan
from treenail.shop.stock.tidy import deal
from treenail.shop.stock.zones import clear_layouts
from treenail.timber.errors import SpecError
from treenail.timber.lengths import LengthUnit
from treenail.timber.lumber import quarter
from treenail.timber.species import get_species

IN = 25.4
EXAMPLES = Path(__file__).parents[2] / "examples"


@pytest.fixture(scope="module")
def machines() -> Machines:
    return read_shop(EXAMPLES / "skerry-point-shop.yaml").machines


@pytest.fixture(scope="module")
def parts(machines: Machines) -> tuple[RoughPart, ...]:
    bench = build_document(read_spec(EXAMPLES / "skerry-point.yaml"))
    return rough_parts(bench, machines, spares={"peg": 2})


@pytest.fixture(scope="module")
def rack() -> tuple[Board, ...]:
    return read_rack(EXAMPLES / "skerry-point-rack.csv")


@pytest.fixture(scope="module", params=["crosscut", "rip", "either"])
def planned(
    request: pytest.FixtureRequest,
    machines: Machines,
    parts: tuple[RoughPart, ...],
    rack: tuple[Board, ...],
) -> tuple[StockOptions, StockPlan]:
    options = StockOptions(order=request.param)
    return options, plan_stock(parts, rack, options, machines=machines)


def test_the_example_can_be_sawn(
    planned: tuple[StockOptions, StockPlan],
    parts: tuple[RoughPart, ...],
    rack: tuple[Board, ...],
) -> None:
    options, plan = planned
    check_plan(plan, parts, rack, options)
    assert not plan.missing
    for group in plan.groups:
        assert group.bound is not None
        assert group.bound <= group.cost + 1e-6
        assert group.cost <= group.bound * (1 + options.goal) + 1e-6
        assert group.baseline is None or group.cost <= group.baseline + 1e-6


def test_every_piece_comes_out_of_a_step(planned: tuple[StockOptions, StockPlan]) -> None:
    _, plan = planned
    for board in plan.boards:
        gives = [s.gives for s in board.steps]
        for piece in board.pieces:
            assert piece.mark in gives
    ordered = [s for _, steps in plan.order_of_cuts() for s in steps]
    assert sorted(ordered, key=str) == sorted((s for b in plan.boards for s in b.steps), key=str)
    # Each stage works on what an earlier one gave.
    ready = {b.name for b in plan.boards}
    for _, steps in plan.order_of_cuts():
        assert {s.work for s in steps} <= ready
        ready |= {s.gives for s in steps}


def test_what_is_used_and_left_adds_up(planned: tuple[StockOptions, StockPlan]) -> None:
    options, plan = planned
    for board in plan.boards:
        area = sum(p.length * p.width for p in board.pieces)
        left = sum(o.length * o.width for o in board.offcuts)
        assert area == pytest.approx(board.used * board.length * board.width)
        assert area + left <= board.length * board.width + 1e-6
        for o in board.offcuts:
            kept = o.length >= options.keep_length and o.width >= options.keep_width
            assert o.keep == kept
            for p in board.pieces:
                apart = (
                    o.x >= p.x + p.length - 1e-6
                    or o.x + o.length <= p.x + 1e-6
                    or o.y >= p.y + p.width - 1e-6
                    or o.y + o.width <= p.y + 1e-6
                )
                assert apart


def test_wide_sections_are_ripped_before_facing(
    machines: Machines, parts: tuple[RoughPart, ...], rack: tuple[Board, ...]
) -> None:
    plan = plan_stock(parts, rack, machines=machines)
    noted = [b for b in plan.boards if any("rip before facing" in s.note for s in b.steps)]
    assert noted
    usable = StockOptions().edge_trim
    assert all(b.width - usable > machines.jointer.width for b in noted)


@pytest.mark.parametrize("asked", ["stretcher", "post", "post_front_left"])
def test_matched_pieces_come_from_one_board(
    asked: str, machines: Machines, parts: tuple[RoughPart, ...], rack: tuple[Board, ...]
) -> None:
    options = StockOptions(match=(asked,))
    plan = plan_stock(parts, rack, options, machines=machines)
    check_plan(plan, parts, rack, options)
    for part in parts:
        for members in {p.members for p in part.pieces()}:
            if asked not in (part.role, *members):
                continue
            boards = {b.name for b in plan.boards for p in b.pieces if p.members == members}
            assert len(boards) == 1
    ready = {b.name for b in plan.boards}
    for _, steps in plan.order_of_cuts():
        assert {s.work for s in steps} <= ready
        ready |= {s.gives for s in steps}


def test_match_names_what_is_there(parts: tuple[RoughPart, ...], rack: tuple[Board, ...]) -> None:
    with pytest.raises(SpecError, match="mast"):
        plan_stock(parts, rack, StockOptions(match=("mast",)))


def test_an_empty_rack_becomes_a_buying_list(parts: tuple[RoughPart, ...]) -> None:
    """Board feet of the rough pieces and the allowance on top (common practice 15 to 30 %)."""
    plan = plan_stock(parts, (), StockOptions(waste=0.2))
    assert sum(len(m.marks) for m in plan.missing) == sum(p.count for p in parts)
    assert sum(b.rough for b in plan.buying) == pytest.approx(sum(p.rough for p in parts))
    for b in plan.buying:
        assert b.buy == pytest.approx(1.2 * b.rough)
    assert "](buying.md)" in pages.stock_page(plan, "in")


def test_a_short_rack_says_what_is_missing(
    parts: tuple[RoughPart, ...], rack: tuple[Board, ...]
) -> None:
    short = rack[:6]
    plan = plan_stock(parts, short, StockOptions(time_limit=6))
    check_plan(plan, parts, short, StockOptions())
    why = {m.why for m in plan.missing}
    assert why == {"the rack is used up", "no such board is on the rack"}
    # All boards that help are used.
    assert not plan.untouched


def test_price_needs_prices(parts: tuple[RoughPart, ...], rack: tuple[Board, ...]) -> None:
    plan = plan_stock(parts, rack, StockOptions(minimise="price"))
    prices = {b.name: b.price for b in rack}
    assert sum(g.cost for g in plan.groups) == pytest.approx(
        sum(prices[b.name] or 0.0 for b in plan.boards)
    )
    bare = read_rack("name,species,quarter,width in,length in\na,white ash,8/4,9,120\n")
    with pytest.raises(SpecError, match="price"):
        plan_stock(parts, bare, StockOptions(minimise="price"))


@pytest.mark.parametrize(
    "field, value",
    [
        ("kerf", -1.0),
        ("order", "sideways"),
        ("goal", 2.0),
        ("waste", float("nan")),
        ("time_limit", 0),
    ],
)
def test_options_are_checked(field: str, value: object) -> None:
    with pytest.raises(SpecError) as caught:
        StockOptions(**{field: value})  # type: ignore[arg-type]
    assert caught.value.field == field


@st.composite
def boards(draw: st.DrawFn) -> tuple[Board, ...]:
    ash, stock = get_species("white ash"), quarter("8/4")
    found = []
    for k in range(draw(st.integers(2, 6))):
        length, width = draw(st.floats(1200, 3600)), draw(st.floats(120, 300))
        defects = []
        for _ in range(draw(st.integers(0, 3))):
            start = draw(st.floats(0, length - 200))
            low = draw(st.floats(0, width - 60))
            defects.append(
                Defect(
                    what="knot",
                    start=start,
                    stop=start + draw(st.floats(0.5, 200)),
                    low=low,
                    high=draw(st.sampled_from([low + 40.0, width])),
                )
            )
        usable = draw(st.sampled_from([None, 0.9 * length]))
        kept = tuple(d for d in defects if d.stop <= (usable or length))
        found.append(
            Board(
                name=f"b{k}",
                species=ash,
                quarter=stock,
                width=width,
                length=length,
                usable_length=usable,
                defects=kept,
            )
        )
    return tuple(found)


@given(rack=boards(), order=st.sampled_from(["crosscut", "rip", "either"]), kerf=st.floats(0, 5))
@settings(max_examples=15)
def test_any_rack_is_cut_around_its_defects(
    rack: tuple[Board, ...], order: str, kerf: float
) -> None:
    parts = tuple(p for p in _parts() if p.quarter == "8/4")
    options = StockOptions(order=order, kerf=kerf, time_limit=1.0)  # type: ignore[arg-type]
    plan = plan_stock(parts, rack, options)
    check_plan(plan, parts, rack, options)


def _parts() -> tuple[RoughPart, ...]:
    return rough_parts(build_bench(FrameBenchSpec()))


@given(rack=boards(), kerf=st.floats(0, 5))
def test_clear_rectangles_are_clear(rack: tuple[Board, ...], kerf: float) -> None:
    for board in rack:
        for layout in clear_layouts(
            board, kerf=kerf, end_trim=10, edge_trim=3, shortest=50, narrowest=10
        ):
            assert sawable(layout, kerf)
            for k, r in enumerate(layout):
                assert r.x >= 0
                assert r.x + r.length <= board.usable + 1e-6
                assert r.y >= 3 - 1e-9
                assert r.y + r.width <= board.width + 1e-6
                for d in board.defects:
                    assert (
                        r.x + r.length <= d.start + 1e-6
                        or r.x >= d.stop - 1e-6
                        or r.y + r.width <= d.low + 1e-6
                        or r.y >= d.high - 1e-6
                    )
                for o in layout[:k]:
                    gap = max(
                        r.x - o.x - o.length,
                        o.x - r.x - r.length,
                        r.y - o.y - o.width,
                        o.y - r.y - r.width,
                    )
                    assert gap >= kerf - 1e-6


@given(
    st.lists(st.integers(0, 4), min_size=1, max_size=20), st.lists(st.integers(1, 6), max_size=6)
)
def test_dealing_gives_each_group_its_slots(slots: list[int], needs: list[int]) -> None:
    while sum(needs) > len(slots):
        needs.pop()
    groups = {f"g{i}": n for i, n in enumerate(needs)}
    given_out = deal(slots, groups)
    assert {g: given_out.count(g) for g in groups} == groups


def test_strips_of_a_section_lie_on_few_boards() -> None:
    """Two sections of four: boards with four slots each take one section whole."""
    slots = [0, 0, 0, 0, 1, 1, 2, 2]
    out = deal(slots, {"a": 4, "b": 4})
    assert len({g for s, g in zip(slots, out, strict=True) if s == 0}) == 1


def test_the_plan_is_plain_data(planned: tuple[StockOptions, StockPlan]) -> None:
    data = json.loads(json.dumps(planned[1].as_dict()))
    assert len(data["boards"]) == len(planned[1].boards)


UNITS: tuple[LengthUnit, ...] = ("in", "mm")


@pytest.mark.parametrize("unit", UNITS)
def test_pages_and_tables(
    planned: tuple[StockOptions, StockPlan], parts: tuple[RoughPart, ...], unit: LengthUnit
) -> None:
    _, plan = planned
    page = pages.stock_page(plan, unit, folder="boards/")
    for name, data in pages.drawings(plan, unit).items():
        assert f"(boards/{name})" in page
        root = ET.fromstring(data.decode())
        words = "".join(root.itertext())
        board = next(b for b in plan.boards if pages.board_file(b) == name)
        assert all(p.mark in words for p in board.pieces)
    for header, rows in (
        pages.rough_parts_table(parts, unit),
        pages.pieces_table(plan, unit),
        pages.cuts_table(plan, unit),
        pages.buying_table(plan, unit),
    ):
        assert len(set(header)) == len(header)
        assert all(len(r) == len(header) for r in rows)
        out = io.StringIO()
        csv.writer(out).writerows([header, *rows])
    assert len(pages.pieces_table(plan, unit)[1]) == sum(len(b.pieces) for b in plan.boards)
    rough = pages.rough_parts_page(parts, unit)
    assert all(f"| {p.mark} |" in rough for p in parts)


def test_drawings_of_like_names_stay_apart() -> None:
    rack = read_rack(
        "name,species,quarter,width in,length in\n"
        "a.1,white ash,8/4,9,140\na 1,white ash,8/4,9,140\na_1,white ash,8/4,9,140\n"
    )
    plan = plan_stock(_parts(), rack, StockOptions(time_limit=2))
    assert len(plan.boards) == 3
    assert len(pages.drawings(plan, "in")) == 3
