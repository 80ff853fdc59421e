"""Pegs whose crescent reaches past a tenon's tip: the peg rules judge the wood, nothing else."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.checks.benches import pegs, small_bench, tee
from treenail.checks import check_bench
from treenail.checks.solids import SHARE, leaves_tenon, peg_overlap
from treenail.generators.bench import Bench
from treenail.generators.solids import build_solids
from treenail.joints.cuts import MitredTip, NotchedTip
from treenail.joints.mortise_tenon import MortiseTenon
from treenail.timber.member import Face


def tipped(wall: float, *, notched: bool) -> Bench:
    """A tenon cut back to ``wall`` mm beyond its peg's hole (on the shorter cheek)."""
    bench = tee(draw=pegs(count=1, offset=1.5))
    joint = bench.joints[0]
    assert isinstance(joint, MortiseTenon)
    draw = joint.draw
    assert draw is not None
    gone = joint.length - (draw.setback - draw.offset) - draw.diameter / 2 - wall
    tip = (
        NotchedTip(Face.FACE_EDGE, joint.width * 0.75, gone)
        if notched
        else MitredTip(Face.FACE_SIDE, gone, 0.0)
    )
    return small_bench(bench.timbers, (replace(joint, tip=tip),))


@pytest.mark.parametrize("notched", [False, True])
@pytest.mark.parametrize("wall, outside", [(3.0, False), (0.7, True)])
def test_a_peg_that_presses_less_is_no_overlap(
    wall: float, *, outside: bool, notched: bool
) -> None:
    bench = tipped(wall, notched=notched)
    joint = bench.joints[0]
    assert isinstance(joint, MortiseTenon)
    (peg,) = joint.pegs()
    assert leaves_tenon(joint, peg) == outside
    solids = build_solids(bench)
    tenon, driven = solids.placed[joint.entering.name], solids.placed[peg.name]
    shared = tenon.intersect(driven).Volume()
    on_paper = peg_overlap(joint, peg)
    assert (shared < on_paper * (1.0 - SHARE)) == outside
    rules = {f.rule: f.severity for f in check_bench(bench, solids).findings}
    assert "parts-overlap" not in rules
    assert "peg-breakout" not in rules
    # That rule judges the wood left; on a mitre at mid thickness, where there is plenty.
    assert ("peg-end" in rules) == notched


def test_a_hole_that_is_not_whole_is_still_told() -> None:
    bench = tee(draw=pegs(count=1, offset=1.5))
    joint = bench.joints[0]
    assert isinstance(joint, MortiseTenon)
    (peg,) = joint.pegs()
    assert not leaves_tenon(joint, peg)
