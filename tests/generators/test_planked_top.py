"""Tops of boards on battens, split or with a tool well: what lies between has room all year."""

from __future__ import annotations

import dataclasses
import math
from functools import cache
from typing import Any, Literal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import treenail
from tests.families.sizes import SIZES
from tests.joints.modeller import bounds
from treenail.checks import load_rules
from treenail.checks.end_boards import end_holds
from treenail.checks.rules import Context
from treenail.checks.year import tracks_of
from treenail.generators.apron_bench import build_apron_bench
from treenail.generators.apron_spec import ApronBenchSpec
from treenail.generators.spec_values import build_spec
from treenail.joints.barrel_bolt import BarrelBolt
from treenail.joints.cuts import Slot
from treenail.joints.edges import TongueGroove
from treenail.joints.end_board import EndBoard
from treenail.joints.features import Bearing
from treenail.joints.lag_bolt import LagBolt
from treenail.joints.strips import Astride
from treenail.joints.treenails import Treenails
from treenail.timber.errors import SpecError
from treenail.timber.moisture import movement, movement_coefficient

Units = Literal["in", "mm"]
KINDS: dict[str, dict[str, Any]] = {
    "split": {"kind": "split"},
    "well": {"kind": "well"},
    "split, tongued": {"kind": "split", "edges": "tongued", "split": {"front": "340 mm"}},
    "well, tongued": {"kind": "well", "edges": "tongued", "well": {"width": "5 in"}},
    "breadboard": {"ends": "breadboard"},
    "split, capped": {"ends": "cap", "kind": "split"},
    "well, breadboard": {"ends": "breadboard", "kind": "well"},
}

DAMP = {"at_build": 8, "driest": 5, "wettest": 16}


@cache
def bench(kind: str, size: str = "usual", units: Units = "mm") -> treenail.Bench:
    given_sizes = dict(SIZES["apron"][size])
    top = given_sizes.pop("top", {}) | KINDS[kind]
    if size == "smallest":
        top["well"] = {"width": "100 mm"}
    return treenail.apron_bench(units=units, **given_sizes, top=top)


@pytest.mark.parametrize(
    ("kind", "size", "units"),
    [
        *((kind, "usual", "mm") for kind in KINDS),
        ("well", "smallest", "in"),
        ("split", "largest", "in"),
        pytest.param("split", "usual", "in", marks=pytest.mark.deep),
        pytest.param("well", "usual", "in", marks=pytest.mark.deep),
        pytest.param("split", "smallest", "mm", marks=pytest.mark.deep),
        pytest.param("well", "largest", "mm", marks=pytest.mark.deep),
    ],
)
def test_a_grid_of_sizes_passes_without_a_warning(kind: str, size: str, units: Units) -> None:
    made = bench(kind, size, units)
    report = made.check(numbers_only=True)
    assert report.errors == ()
    warned = {f.rule for f in report.findings if f.severity == "warning"}
    small = {"short-piece", "sways", "tips-over"}  # as with its plain top
    assert warned <= (small if size == "smallest" else set())
    for axis, asked in enumerate(made.asked):
        low, high = (f(m.bounds()[i][axis] for m in made.timbers) for f, i in ((min, 0), (max, 1)))
        assert (low, high) == pytest.approx((0.0, asked), abs=1e-9)


@pytest.mark.deep
@pytest.mark.parametrize("kind", ["split", "well", "split, capped", "well, breadboard"])
def test_solids_pass_the_checks_and_have_the_closed_form_volumes(kind: str) -> None:
    made = bench(kind)
    assert made.check().errors == ()
    for name, placed in made.solids().placed.items():
        if name in made.volumes:
            assert placed.Volume() == pytest.approx(made.volumes[name], rel=1e-7)


@pytest.mark.parametrize("kind", ["split", "well"])
def test_what_lies_between_has_the_volume_one_works_out_by_hand(kind: str) -> None:
    made = bench(kind)
    s, t, peg = made.seasons, made.spec.top, made.spec.battens.peg_diameter
    boards = [m for m in made.timbers if m.role == "top section"]
    cut = next(i for i, b in enumerate(boards) if b.bounds()[0][1] > 0.4 * made.spec.depth)
    front, back = boards[cut - 1], boards[cut]
    low, high = front.bounds()[1][1], back.bounds()[0][1]
    fast = {
        b.name: next(j.point[1] for j in made.joints_of(b) if isinstance(j, LagBolt) and not j.slot)
        for b in (front, back)
    }
    c = movement_coefficient(front.species, t.rings)
    grows = movement(1.0, c, s.at_build, s.wettest)
    away = (low - fast[front.name], abs(high - fast[back.name]))
    own = 1.0 + movement(1.0, front.species.c_tangential, s.at_build, s.wettest)
    battens = sum(m.role == "batten" for m in made.timbers)
    if kind == "split":
        assert high - low == pytest.approx(t.split.gap)
        wide = math.floor((high - low - sum(away) * grows - 1.0) / own * 2) / 2
        expected = wide * t.thickness * made.spec.length
        name = "gap_strip"
    else:
        assert high - low == pytest.approx(t.well.width)
        wide = math.floor(2 * ((high - low) / 2 - max(away) * grows - 0.5) / own * 2) / 2
        expected = wide * t.well.bottom * made.spec.length
        expected -= battens * math.pi / 4 * peg**2 * t.well.bottom
        name = "well_bottom"
    assert made.volumes[name] == pytest.approx(expected)


def test_a_strip_and_a_bottom_lie_on_every_batten() -> None:
    for kind, name in (("split", "gap_strip"), ("well", "well_bottom")):
        made = bench(kind)
        part = made.by_name[name]
        kinds = Bearing if kind == "split" else Treenails
        under = {m.name for j in made.joints_of(part) if isinstance(j, kinds) for m in j.members}
        assert under - {name} == {m.name for m in made.timbers if m.role == "batten"}
        assert part.bounds()[0][2] == pytest.approx(made.spec.height - made.spec.top.thickness)
    assert bench("split").by_name["gap_strip"].bounds()[1][2] == bench("split").spec.height


@pytest.mark.parametrize("proud", [5.0, 30.0])
def test_a_strip_turned_over_stands_on_the_battens_as_proud_as_stated(proud: float) -> None:
    made = treenail.apron_bench(units="mm", top={"kind": "split", "split": {"proud": proud}})
    report = made.check(numbers_only=True)
    assert report.errors == ()
    assert [f for f in report.findings if f.severity == "warning"] == []
    strip, t = made.by_name["gap_strip"], made.spec.top
    assert strip.thickness == t.thickness + proud
    assert strip.bounds()[1][2] == made.spec.height
    over = {j.entering.name: j for j in made.joints if isinstance(j, Astride)}
    battens = {m.name for m in made.timbers if m.role == "batten"}
    rails = {"stretcher_upper_left", "stretcher_upper_right"}
    # It clears the upper rails, which lie lower, by as much as the posts do.
    relief = made.choices["aprons.relief"]
    assert set(over) == battens | (rails if proud > relief else set())
    assert {j.depth for j in over.values()} == {proud}
    assert {j.room for n, j in over.items() if n in battens} == {0.0}
    rooms = [j.room for n, j in over.items() if n in rails]
    assert rooms == pytest.approx([relief] * len(rooms))
    less, more = bounds(strip, made.cuts["gap_strip"])
    assert less - 1e-3 <= made.volumes["gap_strip"] <= more + 1e-3
    taken = sum(
        (j.entering.width if n in battens else j.entering.thickness) for n, j in over.items()
    )
    gone = (strip.stock_volume - made.volumes["gap_strip"]) / strip.width / proud
    assert taken < gone < taken + 2.0 * len(over)


@pytest.mark.parametrize("kind", ["split, tongued", "well, tongued"])
def test_no_tongue_crosses_the_gap(kind: str) -> None:
    made = bench(kind)
    boards = [m for m in made.timbers if m.role == "top section"]
    tongues = [j for j in made.joints if isinstance(j, TongueGroove)]
    assert len(tongues) == len(boards) - 2
    for joint in tongues:
        low, high = joint.entering.bounds()[0][1], joint.receiver.bounds()[1][1]
        assert high - low == pytest.approx(made.spec.top.tongue)


@settings(max_examples=20)
@given(
    built=st.floats(6, 12),
    dry=st.floats(0, 3),
    wet=st.floats(0, 5),
    rings=st.sampled_from(["flat", "rift", "quarter"]),
    wood=st.sampled_from(["white ash", "red oak", "douglas fir"]),
    kind=st.sampled_from(["split", "well"]),
)
def test_what_lies_between_never_jams_in_any_year(
    *, built: float, dry: float, wet: float, rings: str, wood: str, kind: str
) -> None:
    given_mm = {
        "species": wood,
        "moisture": {"at_build": built, "driest": built - dry, "wettest": built + wet},
        "top": {"kind": kind, "rings": rings},
        "aprons": {"peg_rows": 1},
    }
    made = build_apron_bench(build_spec(ApronBenchSpec, given_mm, units="mm"))
    context = Context(bench=made)
    assert list(load_rules()["board-gap"].check(context)) == []
    (track,) = tracks_of(context, "strip-play") if kind == "split" else (None,)
    assert track is None or min(track.at(wet), track.at(-dry)) >= 1.0 - 1e-9


@pytest.mark.parametrize("kind", ["breadboard", "split, capped", "well, breadboard"])
def test_end_boards_hold_every_board_and_let_each_move(kind: str) -> None:
    made = bench(kind)
    s, rings = made.seasons, made.spec.top.rings
    boards = [m for m in made.timbers if m.role == "top section"]
    holds = end_holds(Context(bench=made))
    assert {h.section.name for h in holds} == {b.name for b in boards}
    assert [h.fixed for h in holds].count(True) == 2  # one at each end of the bench
    fast = {
        b.name: next(j.point[1] for j in made.joints_of(b) if isinstance(j, LagBolt) and not j.slot)
        for b in boards
    }
    c = movement_coefficient(boards[0].species, rings)
    places = {h.name: h.need((s.driest - s.at_build, s.wettest - s.at_build)) for h in holds}
    round_one = next(h for h in holds if h.fixed)
    start = _spot(made, round_one.joint, round_one.name) - fast[round_one.section.name]
    for hold in holds:
        away = _spot(made, hold.joint, hold.name) - fast[hold.section.name] - start
        points = max(s.at_build - s.driest, s.wettest - s.at_build)
        assert places[hold.name] == pytest.approx(abs(away) * c * points, abs=1e-6)
        # An elongated hole, no shorter than that movement both ways, nor over 1.5 mm longer.
        for cut in (cut for cut, *_ in hold.ways if isinstance(cut, Slot)):
            extra = cut.centres - 2 * places[hold.name]
            assert 0.0 <= extra <= 1.5 + 1e-9


def _spot(made: treenail.Bench, joint: str, hold: str) -> float:
    """How far a peg or bolt stands from the bench's front, mm."""
    found = next(j for j in made.joints if j.name == joint)
    if isinstance(found, BarrelBolt):
        return found.nut_point[1]
    assert isinstance(found, EndBoard)
    peg = next(p for p in found.pegs() if p.name == hold)
    return peg.placement.origin[1]


def test_a_bottom_that_is_too_wide_is_found() -> None:
    made = bench("well")
    bottom = made.by_name["well_bottom"]
    # One millimetre is spare, and the play at the wettest: three more are too many.
    wide = dataclasses.replace(bottom, width=bottom.width + 4.0)
    told = dataclasses.replace(
        made,
        timbers=tuple(wide if m is bottom else m for m in made.timbers),
        joints=tuple(
            dataclasses.replace(j, entering=wide)
            if isinstance(j, Treenails) and j.entering is bottom
            else j
            for j in made.joints
        ),
    )
    found = list(load_rules()["board-gap"].check(Context(bench=told)))
    assert [f.member for f in found] == [made.timbers[made.timbers.index(bottom) - 1].name]


@pytest.mark.parametrize(
    ("top", "field"),
    [
        ({"kind": "split", "split": {"front": 560}}, "top.split.front"),
        ({"ends": "cap", "edges": "tongued"}, "top.ends"),
        ({"ends": "cap", "overhang_ends": 40}, "top.end_boards.width"),
        ({"kind": "split", "split": {"proud": 40}}, "top.split.proud"),
        ({"kind": "split", "dog_holes": {"setback": 305}}, "top.dog_holes.setback"),
        ({"kind": "split", "boards": 1, "board": 150}, "top.boards"),
        ({"kind": "well", "well": {"width": 500}}, "top.well.width"),
        ({"kind": "well", "well": {"bottom": 48}}, "top.well.bottom"),
        ({"kind": "split", "boards": 1, "board": 300, "split": {"gap": 20}}, "top.split.gap"),
    ],
)
def test_what_cannot_be_built_names_its_field(top: dict[str, Any], field: str) -> None:
    with pytest.raises(SpecError) as caught:
        treenail.apron_bench(depth=600, top=top, moisture=DAMP, aprons={"peg_rows": 1})
    assert caught.value.field == field
    assert caught.value.allowed
