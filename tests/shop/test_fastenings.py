"""Every peg, pin, wedge, bolt, nut and foot of every family: in the plan once, and on paper."""

from pathlib import Path
from typing import Any

import pytest

from tests.families.sizes import SIZES
from treenail.checks.assembly.plan import plan_assembly
from treenail.generators.bench import Bench
from treenail.generators.build import build_bench, build_document
from treenail.generators.families import FAMILIES
from treenail.generators.spec_file import read_spec
from treenail.generators.spec_values import build_spec
from treenail.joints.end_board import EndBoard
from treenail.shop.cutlist import cut_list
from treenail.shop.drawbore_sheet import drawbore_sheet
from treenail.shop.fastenings import fastenings

EXAMPLES = Path(__file__).parents[2] / "examples"
#: What the families' usual sizes lack: nuts, feet, screws, caps' bolts, slotted pegs.
OTHERS: dict[str, Any] = {
    "vises": "skerry-point-vises.yaml",
    "knock-down": "skerry-point-knock-down.yaml",
    "breadboard": {"top": {"ends": "breadboard"}},
    "cap": {"top": {"ends": "cap", "overhang_ends": "10 in"}},
}
CASES = [
    *((f, "usual") for f in SIZES),
    *(("frame", name) for name in OTHERS),
    *(pytest.param(f, s, marks=pytest.mark.deep) for f in SIZES for s in ("smallest", "largest")),
]


def bench(family: str, which: str) -> Bench:
    own = OTHERS[which] if which in OTHERS else SIZES[family][which]
    if isinstance(own, str):
        return build_document(read_spec(EXAMPLES / own))
    return build_bench(build_spec(FAMILIES[family], own, units="in"), units="in")


@pytest.mark.parametrize(("family", "which"), CASES)
def test_the_model_the_plan_and_the_papers_have_the_same_fastenings(
    family: str, which: str
) -> None:
    made = bench(family, which)
    wood = (*made.pegs, *made.wedges)
    model = sorted([*(m.name for m in wood), *(h.name for h in made.hardware)])
    plan = plan_assembly(made)
    assert sorted(d.name for s in plan.steps for d in s.driven) == model
    papers = fastenings(made, plan)
    assert sorted(n for r in papers.rows for n in r.names) == model
    assert papers.count == len(model) == sum(int(r["count"]) for r in papers.table_rows())
    assert all(r.steps for r in papers.rows)
    assert all(f"| {r.count} | {r.what} |" in papers.page() for r in papers.rows)
    # Pegs and pins on the sheet, wedges in the cut list, each as often as it is in the model.
    sheet = drawbore_sheet(made, plan)
    assert sheet.pegs == len(sheet.table_rows()) == len(made.pegs)
    listed = [n for row in cut_list(made) for n in row.names]
    assert sorted(n for n in listed if n in {w.name for w in made.wedges}) == sorted(
        w.name for w in made.wedges
    )
    # In a possible order: after its own joint is closed, its hole open, members there.
    closed = {j: s.number for s in plan.steps for j in s.joints}
    for name, (driven, step) in plan.driven.items():
        f = plan.blocking.fasteners[name]
        assert step.number >= closed[f.joint]
        assert set(f.members) <= set(step.group)
        assert not driven.covered_by


def test_what_stands_out_below_goes_in_last() -> None:
    """A foot could not stand while the bench is put together on its levelling feet."""
    for family, which in (("raised", "usual"), ("frame", "vises")):
        made = bench(family, which)
        plan = plan_assembly(made)
        last = plan.steps[-1]
        assert last.moves == ()
        assert {plan.blocking.fasteners[d.name].kind for d in last.driven} <= {"pin", "foot"}
        assert "from below" in last.what
        for d in last.driven:
            assert plan.explode[d.name][2] < plan.explode[last.moving[0]][2]  # drawn out downward


def test_a_pin_that_is_covered_later_goes_in_first() -> None:
    from dataclasses import replace

    from tests.checks.assembly.benches import bar

    made = bench("raised", "usual")
    joint = next(j for j in made.joints if j.kind == "pins")
    (low, high) = joint.members[0].bounds()
    floor = bar("sole", (low[0], low[1], low[2] - 20.0), (high[0], high[1], low[2]), 0)
    plan = plan_assembly(replace(made, timbers=(*made.timbers, floor)))
    step = plan.driven[joint.pegs()[0].name][1]
    assert step.number < next(s.number for s in plan.steps if "sole" in s.moving)
    assert step.what == "Take foot front; glue in 2 pins."


def test_breadboard_ends_have_the_holes_that_they_have() -> None:
    made = bench("frame", "breadboard")
    sheet = drawbore_sheet(made)
    (row,) = (r for r in sheet.rows if r.on == "end board")
    ends = [j for j in made.joints if isinstance(j, EndBoard)]
    assert row.joints == tuple(j.name for j in ends)
    for joint in ends:
        assert joint.draw is not None
        for hole, peg in zip(row.holes, joint.spots, strict=True):
            assert hole.edge == pytest.approx(peg.at)
            assert hole.slot == pytest.approx(peg.slot)
            assert hole.post == pytest.approx(joint.draw.setback)
            assert hole.draw == pytest.approx(joint.draw.offset)
    assert [h.slot == 0.0 for h in row.holes].count(True) == 1  # one holds the board in place


def test_pegs_without_draw_have_their_holes_on_the_sheet() -> None:
    made = bench("apron", "usual")
    rows = drawbore_sheet(made).straight
    assert sum(r.pegs for r in rows) == sum(
        len(j.pegs()) for j in made.joints if j.kind == "treenails"
    )
    for row in rows:
        for name in row.joints:
            joint = next(j for j in made.joints if j.name == name)
            told = joint.numbers()
            assert row.through == pytest.approx(told["through_mm"])
            assert row.diameter == pytest.approx(told["diameter_mm"])
            assert row.length <= row.through + row.depth
