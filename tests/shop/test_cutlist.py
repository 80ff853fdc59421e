"""The cut list against hand-worked numbers."""

import csv
import io

import pytest

from treenail.generators.build import build_bench
from treenail.generators.frame_spec import FrameBenchSpec
from treenail.generators.spec_values import build_spec
from treenail.shop.cutlist import CutRow, cut_list
from treenail.templates.tables import cut_list_csv, safe_text, table


def rows() -> dict[str, CutRow]:
    spec = build_spec(FrameBenchSpec, {"length": 60, "depth": 24, "height": 34}, units="in")
    return {f"{r.role} {r.length:.1f}": r for r in cut_list(build_bench(spec, units="in"))}


def test_every_piece_is_in_one_row() -> None:
    spec = FrameBenchSpec()
    bench = build_bench(spec)
    names = [n for r in cut_list(bench) for n in r.names]
    assert sorted(names) == sorted(m.name for m in bench.members)


def test_net_board_feet_of_posts() -> None:
    """Four posts 3 x 3 x 31 1/8 in: 4 * 3 * 3 * 31.125 / 144 board feet (NHLA's definition)."""
    post = rows()["post 790.6"]
    assert post.count == 4
    assert post.net == pytest.approx(4 * 3 * 3 * 31.125 / 144)
    # Each of 8 plies: 2 in nominal, 3 1/4 in wide, 32 1/8 in long.
    assert post.rough == pytest.approx(8 * 2 * 3.25 * 32.125 / 144)


def test_top_strips_stand_on_edge() -> None:
    top = rows()["top section 1524.0"]
    assert top.plies == 8
    assert top.ply_width == pytest.approx((2.875 + 0.25) * 25.4)
    assert top.quarter == "8/4"


def test_a_shelf_board_is_over_in_width_not_in_thickness() -> None:
    """Regression: a flat board's extra width was added to its thickness, and 5/4 bought for 4/4."""
    spec = build_spec(FrameBenchSpec, {"shelf": {"enabled": True}}, units="in")
    board = next(r for r in cut_list(build_bench(spec, units="in")) if r.role == "shelf board")
    assert board.quarter == "4/4"
    assert board.ply_thickness == pytest.approx(board.thickness)
    assert board.ply_width == pytest.approx(board.width + 0.25 * 25.4)


def test_mirrored_posts_share_a_row() -> None:
    assert sum(r.role == "post" for r in rows().values()) == 1


def test_the_table_reads_back() -> None:
    data = list(csv.DictReader(io.StringIO(cut_list_csv(rows().values(), "in").decode())))
    post = next(r for r in data if r["part"] == "post")
    assert post["count"] == "4"
    assert post["length"] == '31 1/8"'
    assert float(post["length mm"]) == 790.575
    assert post["checks"] == "passed"
    marked = cut_list_csv(rows().values(), "mm", passed=False).decode()
    assert marked.count("NOT PASSED") == len(data)


@pytest.mark.parametrize("text", ["=1+1", "+cmd", "-2", "@SUM(A1)", "\tx", "\r=1"])
def test_no_cell_is_a_formula(text: str) -> None:
    assert safe_text(text).startswith("'")
    cell = next(iter(csv.reader(io.StringIO(table(["a"], [[text]]).decode().split("\n", 1)[1]))))
    assert cell[0].startswith("'")
