"""The drawbore sheet against the cuts, common practice, and beams computed another way."""

import json
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.checks.benches import frame, pegs, section, tee, with_draw
from tests.strategies import a_few, frame_specs
from treenail.generators.build import build_bench
from treenail.joints.mortise_tenon import MortiseTenon
from treenail.shop.drawbore_sheet import drawbore_sheet, peg_bend
from treenail.timber.errors import SpecError
from treenail.timber.species import get_species

INCH = 25.4
OAK = get_species("white oak")


def test_the_default_bench() -> None:
    sheet = drawbore_sheet(frame())
    assert sheet.pegs == 32
    assert sheet.to_make == 36  # 35.2: a tenth over
    assert len(sheet.order) == 16
    for row in sheet.rows:
        assert row.diameter == pytest.approx(0.375 * INCH)
        assert row.usual == pytest.approx(INCH / 16)
        assert "usual" in row.reason
        assert "this bench is drawn" not in row.reason
        for hole in row.holes:
            assert hole.post == pytest.approx(0.75 * INCH)
            assert hole.tenon == pytest.approx((0.75 - 1 / 16) * INCH)
    assert '1/16" nearer the shoulder' in " ".join(sheet.marking)
    assert "Wood Handbook" in sheet.source or "FPL" in sheet.source


@pytest.mark.parametrize(
    "wood, diameter, usual, why",
    [
        ("white_ash", 9.525, INCH / 16, "peg in white ash"),
        ("eastern white pine", 9.525, 3 * INCH / 32, "softwood"),
        ("true hickory", 9.525, INCH / 32, "dense"),
        ("white_ash", 6.35, INCH / 32, "small"),
    ],
)
def test_the_usual_draw(wood: str, diameter: float, usual: float, why: str) -> None:
    """Common practice: 1/16 in; 1/32 in dense wood and for small pegs, 3/32 in softwood."""
    bench = tee(draw=pegs(diameter=diameter, offset=usual), species=get_species(wood))
    (row,) = drawbore_sheet(bench).rows
    assert row.usual == pytest.approx(usual)
    assert why in row.reason
    other = tee(draw=pegs(diameter=diameter, offset=usual / 3), species=get_species(wood))
    assert "this bench is drawn" in drawbore_sheet(other).rows[0].reason


@a_few(6)
@given(frame_specs())
def test_every_peg_is_on_the_sheet_with_the_holes_it_has(spec: Any) -> None:
    bench = build_bench(spec, units="mm")
    sheet = drawbore_sheet(bench)
    assert sheet.pegs == len(bench.pegs) == len(sheet.table_rows())
    rows = {(r["joint"], r["peg"]): r for r in sheet.table_rows()}
    for joint in bench.joints:
        if not isinstance(joint, MortiseTenon) or joint.draw is None:
            continue
        for i, (x, setback) in enumerate(joint.peg_points, start=1):
            row = rows[(joint.name, i)]
            assert row["post hole from shoulder mm"] == pytest.approx(setback, abs=1e-3)
            assert row["draw mm"] == pytest.approx(joint.draw.offset, abs=1e-3)
            assert row["from tenon edge mm"] == pytest.approx(x - joint.section[0], abs=1e-3)
    assert len(sheet.order) == len({r["joint"] for r in sheet.table_rows()})
    json.dumps(sheet.as_dict(), allow_nan=False)


def test_pegs_are_driven_in_the_order_of_the_assembly() -> None:
    steps = [int(line.split("step ")[1].split(" ")[0]) for line in drawbore_sheet(frame()).order]
    assert steps == sorted(steps)
    assert len(set(steps)) > 1


def test_a_through_peg_is_made_longer_by_its_taper() -> None:
    stopped = drawbore_sheet(tee(draw=pegs(tip=12.7))).rows[0]
    through = drawbore_sheet(tee(draw=pegs(tip=12.7, through=True))).rows[0]
    assert stopped.cut_length == pytest.approx(stopped.length + INCH / 2)
    assert through.cut_length == pytest.approx(through.length + INCH / 2 + 12.7)
    assert through.depth == pytest.approx(76.2)


def test_joints_that_differ_stand_in_rows_of_their_own() -> None:
    bench = frame()
    name = next(j.name for j in bench.joints if isinstance(j, MortiseTenon))
    more = with_draw(bench, name, offset=2.0)
    assert len(drawbore_sheet(more).rows) == len(drawbore_sheet(bench).rows) + 1


def test_a_bench_without_pegs_has_an_empty_sheet() -> None:
    sheet = drawbore_sheet(frame(**section("pegs", per_joint=0)))
    assert sheet.rows == () == sheet.order == sheet.marking
    assert sheet.to_make == 0


def beam(e: float, d: float, span: float, push: float, *, fixed: bool) -> tuple[float, float]:
    """(force, outer-fibre stress) of a round bar pushed aside in its middle: finite elements."""
    n = 40
    i = np.pi * d**4 / 64
    h = span / n
    k = np.zeros((2 * (n + 1), 2 * (n + 1)))
    one = (
        e
        * i
        / h**3
        * np.array(
            [
                [12, 6 * h, -12, 6 * h],
                [6 * h, 4 * h * h, -6 * h, 2 * h * h],
                [-12, -6 * h, 12, -6 * h],
                [6 * h, 2 * h * h, -6 * h, 4 * h * h],
            ]
        )
    )
    for j in range(n):
        k[2 * j : 2 * j + 4, 2 * j : 2 * j + 4] += one
    held = [0, 2 * n, *((1, 2 * n + 1) if fixed else ()), n]
    u = np.zeros(2 * (n + 1))
    u[n] = push
    free = [j for j in range(2 * (n + 1)) if j not in held]
    u[free] = np.linalg.solve(k[np.ix_(free, free)], -k[np.ix_(free, [n])] @ [push])
    force = float((k @ u)[n])
    moments = [abs(one @ u[2 * j : 2 * j + 4])[[1, 3]].max() for j in range(n)]
    return force, max(moments) * (d / 2) / i


@given(d=st.floats(5, 16), span=st.floats(15, 120), draw=st.floats(0.1, 3))
def test_the_bent_peg_is_a_beam(d: float, span: float, draw: float) -> None:
    for support in ("free", "built in"):
        bend = peg_bend(OAK, d, draw, span, support)
        force, stress = beam(OAK.moe, d, span, draw, fixed=support == "built in")
        assert bend.stress == pytest.approx(stress, rel=1e-6)
        assert bend.of_mor == pytest.approx(stress / OAK.mor, rel=1e-6)
        # At the draw it can close the stress is the modulus of rupture, the force the pull.
        assert bend.draw_closed / draw == pytest.approx(OAK.mor / stress, rel=1e-6)
        assert bend.pull == pytest.approx(force * OAK.mor / stress, rel=1e-6)


def test_no_beam_without_a_span() -> None:
    with pytest.raises(SpecError, match="no beam"):
        peg_bend(OAK, 9.5, 1.6, 0.0, "free")
