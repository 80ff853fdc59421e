"""Rough parts, stock plan and buying list together, as the papers and data show them."""

import itertools
import json
from pathlib import Path
from typing import Any

import pytest

from tests.checks.benches import frame
from tests.checks.shops import shop
from treenail.generators.build import build_bench
from treenail.generators.frame_spec import FrameBenchSpec
from treenail.shop.boards import Boards, plan_boards
from treenail.shop.milling_lots import lots_of
from treenail.shop.rack import read_rack
from treenail.shop.rough_parts import rough_parts
from treenail.shop.stock import pages
from treenail.shop.stock.options import StockOptions, usual_trims
from treenail.timber.errors import SpecError
from treenail.timber.lumber import board_feet

ROOT = Path(__file__).resolve().parents[2]
INCH = 25.4


@pytest.fixture(scope="module")
def planned() -> Boards:
    rack = read_rack(ROOT / "examples" / "skerry-point-rack.csv")
    return plan_boards(frame(), shop(), rack, spares={"stretcher": 1})


def test_a_metric_bench_is_trimmed_by_round_sizes() -> None:
    assert StockOptions(**usual_trims("in")) == StockOptions()
    metric = StockOptions(**usual_trims("mm"))
    assert (metric.end_trim, metric.edge_trim) == (15.0, 3.0)
    bench = build_bench(FrameBenchSpec(), units="mm")
    lots = lots_of(bench, rough_parts(bench))
    assert {round(lot.first - lot.planed, 6) for lot in lots if lot.rests} <= {3.0} | {
        round(lot.rough - 5.0 - lot.planed, 6) for lot in lots
    }
    assert any(lot.first - lot.planed == pytest.approx(3.0) for lot in lots)


def test_without_a_rack_all_is_to_buy() -> None:
    found = plan_boards(frame())
    assert not found.on_rack
    assert not found.plan.boards
    wanted = {p.mark for part in found.parts for p in part.pieces()}
    assert {m for row in found.plan.missing for m in row.marks} == wanted
    rough = sum(p.rough for p in found.parts)
    assert sum(b.rough for b in found.plan.buying) == pytest.approx(rough)
    # Common practice: 15 to 30 % over.
    assert 1.15 * rough <= sum(b.buy for b in found.plan.buying) <= 1.30 * rough
    assert found.as_dict()["stock"] is None


def test_the_saw_of_the_shop_file_makes_the_kerfs() -> None:
    rack = read_rack(
        "name,species,quarter,width in,length in,usable_length in\na,white ash,8/4,10,140,140\n"
    )
    for kerf in (2.0, 6.0):
        found = plan_boards(frame(), shop(saw={"kerf": kerf}), rack)
        plan = found.plan.boards[0]
        rows = sorted({round(p.y, 6) for p in plan.pieces if p.x < 1e-6})
        widths = {round(p.y, 6): p.width for p in plan.pieces}
        assert len(rows) > 1
        for low, high in itertools.pairwise(rows):
            assert high - low - widths[low] == pytest.approx(kerf)


def test_the_data_name_their_units(planned: Boards) -> None:
    data = json.loads(json.dumps(planned.as_dict(), allow_nan=False))

    def keys(value: Any) -> set[str]:
        if isinstance(value, dict):
            return set(value) | {k for v in value.values() for k in keys(v)}
        return {k for v in value for k in keys(v)} if isinstance(value, list) else set()

    found = keys(data)
    assert not found & {"length", "width", "thickness", "x", "y", "at", "low", "seconds"}
    assert {"length_mm", "line_mm", "net_board_feet", "order_of_cuts"} <= found
    part = data["rough_parts"][0]
    feet = part["count"] * board_feet(part["stock_mm"], part["width_mm"], part["length_mm"])
    assert part["rough_board_feet"] == pytest.approx(feet)
    cuts = [c for stage in data["stock"]["order_of_cuts"] for c in stage["cuts"]]
    assert len(cuts) == sum(len(b["steps"]) for b in data["stock"]["boards"])


def test_spares_are_sawn_too(planned: Boards) -> None:
    plain = plan_boards(frame(), shop())
    more = {p.mark: p.count for p in planned.parts}
    for part in plain.parts:
        extra = 1 if part.role == "stretcher" else 0
        assert more[part.mark] == part.count + extra
    with pytest.raises(SpecError, match="no 'drawer'"):
        plan_boards(frame(), spares={"drawer": 1})


def test_pages(planned: Boards) -> None:
    page = pages.stock_page(planned.plan, "in", folder="boards/")
    for title in ("Order of cuts", "Offcuts to keep", "Boards untouched"):
        assert f"## {title}" in page
    assert "Nothing" in pages.buying_page(planned.plan, "in")
    buying = pages.buying_page(plan_boards(frame()).plan, "in")
    assert "8/4" in buying
    assert "common practice" in buying
    assert "no such board" not in buying
