"""Tops that aren't one slab: what lies between two slabs stays loose, and all passes the checks."""

from __future__ import annotations

import math
from functools import cache
from pathlib import Path
from typing import Any, Literal

import pytest
from click.testing import CliRunner
from hypothesis import given
from hypothesis import strategies as st

import treenail
from tests.joints.modeller import bounds
from treenail.checks import load_rules
from treenail.checks.end_boards import end_holds
from treenail.checks.panels import panels
from treenail.checks.rules import Context
from treenail.checks.year import tracks_of
from treenail.cli import cli
from treenail.generators.frame_bench import build_frame_bench
from treenail.generators.frame_spec import FrameBenchSpec
from treenail.generators.spec_values import build_spec
from treenail.generators.top_place import HOLD
from treenail.joints.barrel_bolt import BarrelBolt
from treenail.joints.cuts import Slot
from treenail.joints.edges import PanelGroove
from treenail.joints.end_board import EndBoard
from treenail.joints.lag_bolt import LagBolt
from treenail.joints.strips import Fence
from treenail.shop.glue import Glue
from treenail.shop.glue_lines import joint_line
from treenail.timber.errors import SpecError
from treenail.timber.moisture import movement, movement_coefficient

Units = Literal["in", "mm"]
FAMILIES = {"frame": treenail.frame_bench, "slab": treenail.slab_bench}
SIZES: dict[str, dict[str, Any]] = {
    "smallest": {"length": "1200 mm", "depth": "480 mm", "height": "700 mm"},
    "usual": {},
    "largest": {"length": "3600 mm", "depth": "1000 mm", "height": "950 mm"},
}
KINDS: dict[str, dict[str, Any]] = {
    "split": {"kind": "split"},
    "well": {"kind": "well", "well": {"width": "5 in"}},
    "breadboard": {"ends": "breadboard"},
    "capped": {"ends": "cap"},
    "split, breadboard": {"kind": "split", "ends": "breadboard"},
    "well, capped": {"kind": "well", "well": {"width": "5 in"}, "ends": "cap"},
}
MINE = {
    "bolt-slot",
    "dog-hole-below",
    "end-board-held",
    "end-board-room",
    "end-board-slot",
    "loose-piece-drops",
    "loose-piece-jams",
    "trench-end-wood",
}


@cache
def bench(family: str, size: str, kind: str, units: Units = "mm") -> treenail.Bench:
    return FAMILIES[family](units=units, **SIZES[size], top=KINDS[kind])


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize(
    ("size", "units"), [("smallest", "mm"), ("usual", "in"), ("largest", "mm")]
)
@pytest.mark.parametrize("family", FAMILIES)
def test_a_grid_of_sizes_passes_and_has_the_sizes_asked_for(
    family: str, size: str, kind: str, units: Units
) -> None:
    made = bench(family, size, kind, units)
    lows, highs = zip(*(m.bounds() for m in made.timbers), strict=True)
    for axis, asked in enumerate((made.spec.length, made.spec.depth, made.spec.height)):
        assert min(p[axis] for p in lows) == pytest.approx(0.0, abs=1e-9)
        assert max(p[axis] for p in highs) == pytest.approx(asked, abs=1e-9)
    report = made.check(numbers_only=True)
    assert report.errors == ()
    assert not MINE & {f.rule for f in report.findings}


@pytest.mark.parametrize(
    ("family", "size", "kind"),
    [
        ("frame", "usual", "split"),
        pytest.param("slab", "largest", "split", marks=pytest.mark.deep),
        ("slab", "usual", "well"),
        ("slab", "usual", "breadboard"),
        pytest.param("frame", "usual", "well, capped", marks=pytest.mark.deep),
    ],
)
def test_solids_pass_the_checks_and_have_the_closed_form_volumes(
    family: str, size: str, kind: str
) -> None:
    made = bench(family, size, kind)
    assert made.check().errors == ()
    for name, solid in made.solids().placed.items():
        if name in made.volumes:
            assert solid.Volume() == pytest.approx(made.volumes[name], rel=1e-7)


# --- the year


@given(
    built=st.floats(6, 12),
    dry=st.floats(0, 3),
    wet=st.floats(0, 5),
    rings=st.sampled_from(["flat", "rift", "quarter"]),
    wood=st.sampled_from(["white ash", "red oak", "douglas fir"]),
    kind=st.sampled_from(["split", "well"]),
    depth=st.floats(560, 800),
)
def test_what_lies_loose_neither_jams_nor_drops_in_any_year(
    *, built: float, dry: float, wet: float, rings: str, wood: str, kind: str, depth: float
) -> None:
    given_mm = {
        "depth": depth,
        "species": wood,
        "moisture": {"at_build": built, "driest": built - dry, "wettest": built + wet},
        "top": {"kind": kind, "rings": rings},
    }
    try:
        made = build_frame_bench(build_spec(FrameBenchSpec, given_mm, units="mm"))
    except SpecError as refused:
        assert refused.field in ("top.split.gap", "top.well.width")  # noqa: PT017
        return
    context = Context(bench=made)
    found = [t for key in ("strip-play", "panel-play") for t in tracks_of(context, key)]
    assert found
    assert all(min(t.at(wet), t.at(-dry)) >= -1e-9 for t in found)
    held = [t for key in ("strip-hold", "panel-hold") for t in tracks_of(context, key)]
    assert all(min(t.at(wet), t.at(-dry)) >= HOLD - 1e-9 for t in held)


@given(
    built=st.floats(6, 12),
    dry=st.floats(0, 3),
    wet=st.floats(0, 5),
    wood=st.sampled_from(["white ash", "red oak", "douglas fir"]),
    kind=st.sampled_from(["solid", "split", "well"]),
    ends=st.sampled_from(["breadboard", "cap"]),
    depth=st.floats(560, 900),
)
def test_end_boards_let_the_slab_move_in_any_year(
    *, built: float, dry: float, wet: float, wood: str, kind: str, ends: str, depth: float
) -> None:
    given_mm = {
        "depth": depth,
        "species": wood,
        "moisture": {"at_build": built, "driest": built - dry, "wettest": built + wet},
        "top": {"kind": kind, "ends": ends},
    }
    try:
        made = build_frame_bench(build_spec(FrameBenchSpec, given_mm, units="mm"))
    except SpecError as refused:
        assert refused.field in ("top.split.gap", "top.end_boards.tenon_width")  # noqa: PT017
        return
    context = Context(bench=made)
    rules = load_rules()
    said = [f for code in MINE if code.startswith("end") for f in rules[code].check(context)]
    assert said == []
    holds = end_holds(context)
    assert [h.fixed for h in holds].count(True) == 2
    # Slots no longer than the year asks for: its movement both ways, and at most 1.5 mm more.
    for hold in holds:
        asked = 2 * hold.need((-dry, wet))
        slots = [c.centres for c, *_ in hold.ways if isinstance(c, Slot)]
        assert all(asked <= x <= asked + 1.5 + 1e-9 for x in slots)


def test_a_breadboard_end_s_slots_in_closed_form() -> None:
    made = bench("frame", "usual", "breadboard")
    s, wood = made.seasons, made.by_name["top_section_1"].species
    joint = next(j for j in made.joints if j.name == "breadboard_end_left_end")
    assert isinstance(joint, EndBoard)
    fixed = next(spot.at for spot in joint.spots if not spot.slot)
    c = movement_coefficient(wood, "quarter")
    for spot in joint.spots:
        moves = max(
            abs(movement(spot.at - fixed, c, s.at_build, mc)) for mc in (s.driest, s.wettest)
        )
        assert spot.slot == (math.ceil((2 * moves + 1) * 2) / 2 if spot.at != fixed else 0.0)
    # The round hole lies nearest to the top's middle.
    middle = joint.places[-1][1] / 2
    assert abs(fixed - middle) == min(abs(spot.at - middle) for spot in joint.spots)


def test_a_cap_is_fixed_in_front_and_glued_nowhere() -> None:
    made = bench("frame", "usual", "capped")
    bolts = [j for j in made.joints if isinstance(j, BarrelBolt) and "left" in j.name]
    assert [j.slot == 0.0 for j in bolts] == [True, False, False, False]
    assert min(b.nut_point[1] for b in bolts) == bolts[0].nut_point[1]
    lines = [joint_line(j, Glue()) for j in made.joints if isinstance(j, EndBoard)]
    assert all(line is not None and not line.glued for line in lines)


def test_a_planing_stop_stands_between_the_board_and_the_posts() -> None:
    made = treenail.frame_bench(
        units="mm",
        top={"ends": "breadboard", "overhang_ends": 250},
        fittings={"planing_stop": {"enabled": True}},
    )
    low, high = made.by_name["planing_stop"].bounds()
    assert 101.6 < low[0] < high[0] < 250.0
    assert made.check(numbers_only=True).errors == ()


@pytest.mark.parametrize("example", ["split-top", "tool-well"])
def test_the_joints_of_the_examples_tell_their_sizes(example: str) -> None:
    spec = Path(__file__).parents[2] / "examples" / f"skerry-point-{example}.yaml"
    told = CliRunner().invoke(cli, ["joints", str(spec)])
    assert told.exit_code == 0
    assert ("breadboard end" if example == "tool-well" else "housing") in told.output


def test_only_the_fixed_tenon_of_a_breadboard_end_is_glued() -> None:
    made = bench("frame", "usual", "breadboard")
    joint = next(j for j in made.joints if isinstance(j, EndBoard))
    line = joint_line(joint, Glue())
    assert line is not None
    wide = joint.tenons[0][1] - joint.tenons[0][0]
    assert joint.draw is not None
    hole = math.pi / 4 * joint.draw.diameter**2
    assert line.area == pytest.approx(2 * (wide * joint.length - hole))


def test_the_strip_s_play_is_what_slabs_and_strip_leave() -> None:
    made = bench("frame", "usual", "split")
    s, wood = made.seasons, made.by_name["gap_strip"].species
    front, back = made.by_name["top_section_1"], made.by_name["top_section_2"]
    lines = {j.name: j.point[1] for j in made.joints if isinstance(j, LagBolt) and j.slot == 0.0}
    low, high = front.bounds()[1][1], back.bounds()[0][1]
    quarter = movement_coefficient(wood, "quarter")
    away = (low - lines["upper_front_1"]) + (lines["upper_back_1"] - high)
    closes = movement(away, quarter, s.at_build, s.wettest)
    strip = made.by_name["gap_strip"].width
    grown = strip + movement(strip, wood.c_tangential, s.at_build, s.wettest)
    (track,) = tracks_of(Context(bench=made), "strip-play")
    assert track.at(s.wettest - s.at_build) == pytest.approx(high - low - closes - grown)
    assert high - low - closes - grown >= 1.0


FENCE = {"kind": "split", "split": {"gap": 50.0, "proud": 15.0}}


@pytest.mark.parametrize("family", FAMILIES)
def test_a_strip_turned_over_stands_as_proud_as_stated(family: str) -> None:
    made = FAMILIES[family](units="mm", top=FENCE)
    report = made.check(numbers_only=True)
    assert report.errors == ()
    assert not MINE & {f.rule for f in report.findings}
    strip, top = made.by_name["gap_strip"], made.spec.top
    (fence,) = (j for j in made.joints if isinstance(j, Fence))
    # Flush: on the ledges stands what is left of it above its rebates.
    low, high = strip.bounds()
    assert high[2] == made.spec.height
    on = low[2] + fence.proud
    assert [m.bounds()[1][2] for m in fence.ledges] == pytest.approx([on, on])
    # Turned over, that lies on the ledges, and the tongue on top of it.
    assert on + strip.thickness - made.spec.height == pytest.approx(15.0)
    assert low[2] > made.spec.height - top.thickness
    volume = strip.stock_volume - 2 * fence.side * 15.0 * strip.length
    assert made.volumes["gap_strip"] == pytest.approx(volume)
    less, more = bounds(strip, made.cuts["gap_strip"])
    assert less - 1e-3 <= volume <= more + 1e-3


@pytest.mark.parametrize("units", ["in", "mm"])
def test_a_gap_said_to_be_wide_enough_for_a_fence_is(units: Units) -> None:
    split: dict[str, Any] = {"gap": "35 mm", "proud": "10 mm"}
    with pytest.raises(SpecError) as caught:
        treenail.frame_bench(units=units, top={"kind": "split", "split": split})
    assert caught.value.field == "top.split.gap"
    assert caught.value.allowed
    split["gap"] = caught.value.allowed.removeprefix("at least ").partition(",")[0]
    made = treenail.frame_bench(units=units, top={"kind": "split", "split": split})
    assert made.check(numbers_only=True).errors == ()


@pytest.mark.deep
def test_a_fence_s_solids_pass_the_checks() -> None:
    made = treenail.frame_bench(units="mm", top=FENCE)
    assert made.check().errors == ()
    volume = made.solids().placed["gap_strip"].Volume()
    assert volume == pytest.approx(made.volumes["gap_strip"])


def test_each_slab_is_held_by_one_row_and_slotted_elsewhere() -> None:
    made = bench("frame", "usual", "split")
    slabs = panels(Context(bench=made))
    assert len(slabs) == 2
    for slab in slabs:
        bolts = [j for j in made.joints if isinstance(j, LagBolt) and j.top in slab]
        assert len({j.point[1] for j in bolts if not j.slot}) == 1
        assert [j.carrier.role for j in bolts if j.slot] == ["bearer", "bearer"]


@pytest.mark.parametrize("pitch", [40, 60, 80, 100, 150])
def test_bearers_stand_inside_the_posts_and_beside_dog_holes_where_they_can(pitch: float) -> None:
    made = treenail.frame_bench(top={"kind": "split", "dog_holes": {"pitch": pitch}})
    report = made.check(numbers_only=True)
    assert report.errors == ()
    below = [f for f in report.findings if f.rule == "dog-hole-below" and f.severity == "warning"]
    # Between holes 19 mm wide and less than a bearer apart there is no place.
    assert bool(below) == (pitch - 19.05 < 44.45)


def test_a_well_s_bottom_can_move_in_both_grooves() -> None:
    made = bench("frame", "usual", "well")
    grooves = [j for j in made.joints if isinstance(j, PanelGroove)]
    assert len(grooves) == 6
    assert all(j.room > 0.0 and j.gaps()[0].room == j.room for j in grooves)


# --- what can't be built


@pytest.mark.parametrize(
    ("top", "field"),
    [
        ({"kind": "split", "split": {"front": 560}}, "top.split.front"),
        ({"kind": "split", "split": {"ledge": 60}, "thickness": 50}, "top.split.ledge"),
        ({"kind": "split", "split": {"gap": 20}, "rings": "flat"}, "top.split.gap"),
        ({"kind": "split", "split": {"proud": 40, "gap": 60}}, "top.split.proud"),
        ({"kind": "split", "dog_holes": {"setback": 305}}, "top.dog_holes.setback"),
        ({"kind": "well", "well": {"width": 500}}, "top.well.width"),
        ({"kind": "well", "well": {"depth": 70}}, "top.well.depth"),
        ({"kind": "well", "well": {"bottom": 60}}, "top.well.bottom"),
        ({"ends": "breadboard", "overhang_ends": 80}, "top.end_boards.width"),
        ({"ends": "breadboard", "end_boards": {"tongue": 70}}, "top.end_boards.tongue"),
        ({"ends": "breadboard", "end_boards": {"tenon_length": 95}}, "top.end_boards.tenon_length"),
        ({"ends": "breadboard", "end_boards": {"tenon_length": 16}}, "top.end_boards.peg"),
        ({"ends": "breadboard", "end_boards": {"peg": 14}}, "top.end_boards.peg"),
        ({"ends": "breadboard", "end_boards": {"tenon_width": 20}}, "top.end_boards.tenon_width"),
        ({"ends": "cap", "end_boards": {"stub": 55}}, "top.end_boards.stub"),
    ],
)
def test_what_cannot_be_built_names_its_field(top: dict[str, Any], field: str) -> None:
    with pytest.raises(SpecError) as caught:
        treenail.frame_bench(
            depth=600, top=top, moisture={"at_build": 8, "driest": 5, "wettest": 14}
        )
    assert caught.value.field == field
    assert caught.value.allowed


@pytest.mark.parametrize(
    ("more", "field"),
    [
        ({"bolts": {"per_stretcher": 0}}, "bolts.per_stretcher"),
        ({"upper_long": {"height": 560}}, "upper_long.height"),
        ({"length": 580, "top": {"kind": "split", "overhang_ends": 100}}, "top.kind"),
    ],
)
def test_slabs_apart_need_bearers_and_bolts(more: dict[str, Any], field: str) -> None:
    with pytest.raises(SpecError) as caught:
        treenail.frame_bench(**({"top": {"kind": "split"}} | more))
    assert caught.value.field == field
