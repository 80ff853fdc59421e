"""Benches fitted out: sizes hold, all of it validates, and what can't be fitted says so."""

import itertools
import math
from pathlib import Path
from typing import Any

import pytest

from tests.fittings import (
    FEET,
    JACK,
    JACK_SIZES,
    LEG_VISE,
    STOP,
    VISE,
    board_jack,
    fitted,
    spec_of,
    usual,
)
from treenail.api import Bench
from treenail.checks import check_bench
from treenail.checks.assembly.plan import plan_assembly
from treenail.generators.build import build_bench, build_document
from treenail.generators.fittings.site import FITTINGS
from treenail.generators.solids import build_solids
from treenail.generators.spec_file import read_spec
from treenail.joints.cuts import Bore
from treenail.joints.jack_slide import JackGroove, JackRide
from treenail.joints.levelling import LevellingFoot
from treenail.joints.provisions import Holes, Recess
from treenail.joints.sliding import Sliding
from treenail.joints.trenches import Trench
from treenail.joints.vise_screw import ViseScrew
from treenail.templates.joint_report import joint_words
from treenail.templates.report import spec_data
from treenail.timber.errors import SpecError

EXAMPLE = Path(__file__).parents[2] / "examples" / "skerry-point-vises.yaml"


def test_without_fittings_nothing_is_there_and_nothing_is_told() -> None:
    bench = build_bench(spec_of(), units="mm")
    assert not any(m.assembly == FITTINGS for m in bench.timbers)
    assert not any("fittings" in key for key in bench.choices)
    assert "fittings" not in spec_data(bench.spec)
    told = spec_data(usual().spec)["fittings"]
    assert set(told) == {"leg_vise", "levelling_feet", "planing_stop"}


@pytest.mark.deep
@pytest.mark.parametrize("family", ["frame", "slab"])
def test_a_fitted_bench_validates_on_its_solids(family: str) -> None:
    bench = usual() if family == "frame" else fitted("slab", planing_stop=STOP, leg_vise=LEG_VISE)
    solids = build_solids(bench)
    assert check_bench(bench, solids).errors == ()
    for member in bench.timbers:
        assert solids.placed[member.name].Volume() == pytest.approx(
            bench.volumes[member.name], rel=1e-7
        )


def test_the_screw_lies_between_the_stretchers_and_opens_as_far_as_it_reaches() -> None:
    bench = usual()
    vise = next(j for j in bench.joints if isinstance(j, ViseScrew))
    # Chop, post and nut take 44.45 + 76.2 + 40 mm of the screw.
    assert vise.most_travel == pytest.approx(400.0 - 160.65)
    assert vise.travel == 230.0
    height = vise.rods[0].point[2]
    rail = bench.by_name["stretcher_upper_left"].bounds()[0][2]
    # The flange of 100 mm stays 1/4 in under the stretcher behind the post, to the 1/16 in.
    assert 0.0 <= rail - (height + 50.0) - 6.35 < 25.4 / 16
    assert vise.rods[0].hole == 35.0
    assert joint_words(vise, "mm") == (
        "travel 230 mm, most travel 239.35 mm, vise screw 32 mm, vise screw hole 35 mm"
    )
    other = (j for j in bench.joints if isinstance(j, Sliding | Holes | Recess | LevellingFoot))
    assert all(joint_words(j, "in") for j in other)


def test_the_guide_s_pins_come_before_the_post_in_even_steps() -> None:
    bench = usual()
    pins = next(j for j in bench.joints if j.name == "guide_pins")
    assert isinstance(pins, Holes)
    guide = bench.by_name["vise_guide"]
    assert guide.length == pytest.approx(44.45 + 76.2 + 230.0 + 25.4)
    xs = sorted(x for x, _ in pins.points)
    steps = {round(b - a, 6) for a, b in itertools.pairwise(xs)}
    assert steps == {12.7}
    # In the last hole the pin bears on the post when the chop stands within one step of its travel.
    opening = xs[-1] - 44.45 + pins.diameter / 2
    assert 230.0 - 12.7 < opening <= 230.0


def test_on_levelling_feet_the_bench_has_its_height() -> None:
    bench = usual()
    feet = [j for j in bench.joints if isinstance(j, LevellingFoot)]
    assert len(feet) == 4
    assert {f.turned_out for f in feet} == {12.5}
    floors = {h.placement.origin[2] for h in bench.hardware if h.kind == "levelling foot"}
    assert floors == {0.0}
    assert max(m.bounds()[1][2] for m in bench.timbers) == pytest.approx(bench.asked[2])
    guide = bench.by_name["vise_guide"].bounds()[0][2]
    assert guide >= 22.5 + 50.0 + 6.35


def test_the_stop_lies_in_its_section_off_the_glue_lines_and_swells_free() -> None:
    for setback in (80.0, 200.0, 290.0):
        bench = fitted(planing_stop={"enabled": True, "from_front": setback})
        slide = next(j for j in bench.joints if isinstance(j, Sliding))
        low, high = slide.receiver.bounds()
        assert low[1] + 11.9 < setback - 31.75 or low[1] == 0.0
        assert setback + 31.75 < high[1] - 11.9
        # 0.1 mm and what 63.5 mm of flat-sawn ash swells from 8 to 11 %.
        swells = 63.5 * slide.entering.species.c_tangential * 3.0
        assert slide.play == pytest.approx(0.1 + swells, abs=6e-3)


def test_the_vise_goes_on_before_the_top_and_the_stop_comes_last() -> None:
    steps = [step.what for step in plan_assembly(usual()).steps]
    made = next(i for i, s in enumerate(steps) if s.startswith("Glue up chop and vise guide"))
    vise = next(i for i, s in enumerate(steps) if "put in vise screw" in s)
    top = next(i for i, s in enumerate(steps) if s.startswith("Lower the glued-up top"))
    assert made < vise < top
    assert steps[-2] == "Put planing stop into top section 1, down."
    assert steps[-1].endswith("turn in 4 levelling feet.")
    # Taken apart, a foot comes out of its post, down, by its length and a little air.
    apart = plan_assembly(usual()).explode
    post, foot = apart["post_front_left"], apart["foot_of_post_front_left"]
    assert [b - a for a, b in zip(post, foot, strict=True)] == pytest.approx([0.0, 0.0, -90.0])


@pytest.mark.parametrize(
    ("fittings", "field"),
    [
        ({"leg_vise": {"enabled": True}}, "leg_vise.screw_diameter"),
        ({"leg_vise": {**LEG_VISE, "screw_length": 150}}, "leg_vise.screw_length"),
        ({"leg_vise": {**LEG_VISE, "screw_hole": 31}}, "leg_vise.screw_hole"),
        ({"leg_vise": {**LEG_VISE, "guide_width": 120}}, "leg_vise.guide_height"),
        (
            {"leg_vise": {**LEG_VISE, "guide_thickness": 10, "guide_width": 20}},
            "leg_vise.guide_width",
        ),
        ({"leg_vise": {**LEG_VISE, "nut": {"length": 600}}}, "leg_vise.screw_height"),
        ({"leg_vise": {**LEG_VISE, "chop_species": "no wood"}}, "leg_vise.chop_species"),
        ({"levelling_feet": {"enabled": True}}, "levelling_feet.pad_thickness"),
        ({"levelling_feet": {**FEET, "stud_length": 25}}, "levelling_feet.stud_length"),
        ({"levelling_feet": {**FEET, "standing": 80}}, "levelling_feet.standing"),
        ({"levelling_feet": {**FEET, "stud_diameter": 20}}, "levelling_feet"),
        ({"face_vise": {**VISE, "mount": {"hole": 10, "hole_depth": 90}}}, "face_vise"),
        ({"planing_stop": {**STOP, "length": 100}}, "planing_stop.length"),
        ({"planing_stop": {**STOP, "width": 120, "from_front": 1500}}, None),
    ],
)
def test_what_cannot_be_fitted_names_its_field(fittings: dict[str, Any], field: str | None) -> None:
    with pytest.raises(SpecError) as caught:
        fitted(**fittings)
    assert caught.value.allowed
    assert str(caught.value.field).startswith("fittings.")
    if field is not None:
        assert caught.value.field == f"fittings.{field}"


@pytest.mark.parametrize("side", ["left", "right"])
def test_a_vise_stands_before_either_post(side: str) -> None:
    bench = fitted(leg_vise={**LEG_VISE, "post": side})
    low, high = bench.by_name["chop"].bounds()
    post_low, post_high = bench.by_name[f"post_front_{side}"].bounds()
    assert low[0] + high[0] == pytest.approx(post_low[0] + post_high[0])
    assert check_bench(bench).errors == ()


def test_a_jack_slides_lifts_and_swings() -> None:
    bench = board_jack()
    groove = next(j for j in bench.joints if isinstance(j, JackGroove))
    ride = next(j for j in bench.joints if isinstance(j, JackRide))
    rail = bench.by_name["stretcher_lower_front"]
    board = bench.by_name["board_jack"]
    # It stands on the ridge's shoulders, its tongue 3/8 in in the top; flush with the posts.
    assert board.bounds()[0][2] == pytest.approx(rail.bounds()[1][2] - 9.525)
    assert board.bounds()[1][2] == pytest.approx(863.6 - 73.025 + 9.525)
    assert board.bounds()[0][1] == 0.0
    assert groove.lift == pytest.approx(9.525 + 25.4 / 16)
    # Tilted so far that its foot comes out before the stretcher, the tongue fits its groove.
    angle = math.atan2(board.thickness, board.length)
    needs = 12.7 * math.cos(angle) + (9.525 + groove.lift) * math.sin(angle)
    assert needs + 0.3 <= 12.7 + groove.fit.cheek.mid <= needs + 0.4
    posts = bench.by_name["post_front_left"].bounds(), bench.by_name["post_front_right"].bounds()
    assert [p[0] for p in groove.ends] == [posts[0][1][0], posts[1][0][0]]
    # The ridge takes two rebates off the stretcher, the groove a trench off the top.
    taken = rail.stock_volume - bench.volumes[rail.name]
    plain = fitted(sizes=JACK_SIZES, planing_stop=STOP)
    before = rail.stock_volume - plain.volumes[rail.name]
    clear = posts[1][0][0] - posts[0][1][0]
    assert taken - before == pytest.approx((rail.thickness - 12.7) * 9.525 * clear)
    (trench,) = (c for c in bench.cuts["top_section_1"] if c.joint == "jack_in_top")
    assert isinstance(trench, Trench)
    assert trench.length * trench.width * trench.depth == pytest.approx(
        clear * (12.7 + groove.fit.cheek.mid) * (9.525 + groove.lift)
    )
    assert ride.reach == pytest.approx(9.525)


@pytest.mark.deep
def test_a_bench_with_a_jack_validates_on_its_solids_and_goes_together() -> None:
    bench = board_jack()
    assert check_bench(bench, build_solids(bench)).errors == ()
    steps = [step.what for step in plan_assembly(bench).steps]
    assert "Slide board jack onto stretcher lower front, down." in steps
    assert steps[-1].startswith("Slide the glued-up top onto the half-built frame, down")


@pytest.mark.parametrize(
    ("sizes", "jack", "field"),
    [
        ({"upper_long": {"set_in": 10}}, {}, "enabled"),
        ({"shelf": {"enabled": True}}, {}, "enabled"),
        ({"lower_long": {"height": 160, "set_in": 30}}, {}, "ridge_width"),
        ({"lower_long": {"set_in": 0, "haunch": True}}, {}, "ridge_height"),
        ({}, {"ridge_height": 30}, "ridge_height"),
        ({}, {"at": 100}, "at"),
        ({"length": 900}, {"width": 400}, "width"),
        ({}, {"width": 60, "hole_rows": 4}, "hole_rows"),
    ],
)
def test_a_jack_without_place_names_its_field(
    sizes: dict[str, Any], jack: dict[str, Any], field: str
) -> None:
    with pytest.raises(SpecError) as caught:
        fitted(sizes={**JACK_SIZES, **sizes}, board_jack={**JACK, **jack})
    assert caught.value.field == f"fittings.board_jack.{field}"
    assert caught.value.allowed


def test_a_face_vise_runs_through_the_stretcher_between_bolts_and_dogs() -> None:
    bench = fitted(face_vise=VISE)
    vise = next(j for j in bench.joints if isinstance(j, ViseScrew))
    assert [m.name for m in vise.between] == ["stretcher_upper_front"]
    assert vise.bearer.name == "face_vise_block"
    # Jaw and nut take 44.45 + 130 mm of the screw.
    assert vise.most_travel == pytest.approx(330.0 - 174.45)
    assert vise.travel == 150.0
    assert {round(rod.point[2], 6) for rod in vise.rods} == {863.6 - 73.025 - 55.0}
    xs = sorted(rod.point[0] for rod in vise.rods)
    assert xs[2] - xs[0] == pytest.approx(200.0)
    jaw = bench.by_name["face_vise_jaw"].bounds()
    assert jaw[1][1] == 0.0
    assert jaw[1][2] == pytest.approx(863.6)
    # Three holes of 25, 25 and 30 mm in the jaw and in the stretcher; a recess in the top's edge.
    area = math.pi / 4 * (25.0**2 * 2 + 25.0**2)
    for name in ("face_vise_jaw", "stretcher_upper_front"):
        holes = [c for c in bench.cuts[name] if c.joint == "face_vise"]
        gone = sum(math.pi / 4 * c.diameter**2 for c in holes if isinstance(c, Bore))
        assert gone == pytest.approx(area)
    (recess,) = (c for c in bench.cuts["top_section_1"] if c.joint == "face_vise_rear_jaw_1")
    assert isinstance(recess, Trench)
    assert (recess.length, recess.width, recess.depth) == (230.0, 50.0, 12.0)
    assert not [f for f in check_bench(bench).findings if f.rule == "dog-meets-vise"]


def test_an_end_vise_crosses_a_glue_line_and_has_its_dog_in_the_row() -> None:
    bench = fitted(end_vise={**VISE, "jaw_length": 460})
    dog = next(j for j in bench.joints if j.name == "end_vise_dog")
    assert isinstance(dog, Holes)
    frame = dog.member.placement.place(dog.member.face_frame(dog.face))
    spot = frame.point((*dog.points[0], 0.0))
    assert spot == pytest.approx(
        (1524.0 + 44.45 / 2, bench.choices["top.dog_holes.setback"], 863.6)
    )
    recesses = [
        c
        for name in ("top_section_1", "top_section_2")
        for c in bench.cuts[name]
        if c.joint.startswith("end_vise_rear_jaw")
    ]
    assert sum(c.length for c in recesses if isinstance(c, Trench)) == pytest.approx(230.0)
    assert len(recesses) == 2


@pytest.mark.deep
def test_benches_with_vises_at_the_edges_validate_on_their_solids() -> None:
    bench = fitted(end_vise={**VISE, "jaw_length": 460}, face_vise=VISE)
    assert check_bench(bench, build_solids(bench)).errors == ()
    steps = [step.what for step in plan_assembly(bench).steps]
    assert "Put face vise block and end vise block up against top section 1 and top section 2." in (
        steps
    )
    assert steps[-1].endswith("guide rod face vise 1 and guide rod face vise 2.")


@pytest.mark.parametrize(
    ("vise", "field"),
    [
        ({"at": 100}, "at"),
        ({"at": 240}, "at"),
        ({"rod_spacing": 42}, "rod_spacing"),
        ({"screw_length": 160}, "screw_length"),
        ({"screw_below": 30}, "screw_below"),
        ({"screw_below": 120}, "screw_below"),
        ({"rear_jaw": {"length": 200, "width": 90, "recess": 10}}, "rear_jaw.width"),
        ({"rod_diameter": None}, "rod_diameter"),
    ],
)
def test_a_vise_at_an_edge_without_place_names_its_field(vise: dict[str, Any], field: str) -> None:
    given = {k: v for k, v in {**VISE, **vise}.items() if v is not None}
    with pytest.raises(SpecError) as caught:
        fitted(face_vise=given)
    assert caught.value.field == f"fittings.face_vise.{field}"
    assert caught.value.allowed


BREADBOARD: dict[str, Any] = {"ends": "breadboard", "end_boards": {"width": 100}}


def test_at_a_breadboard_end_the_jaw_goes_into_the_board_and_no_screw_into_its_tenons() -> None:
    sizes = {"top": {**BREADBOARD, "overhang_ends": 260}}
    bench = fitted(sizes=sizes, end_vise={**VISE, "jaw_length": 460})
    jaws = [j for j in bench.joints if isinstance(j, Recess)]
    assert [j.member.name for j in jaws] == ["breadboard_end_right"]
    assert (jaws[0].length, jaws[0].width, jaws[0].depth) == (230.0, 50.0, 12.0)
    # The board is 100 mm wide; the first screws, 10 mm thick, stand 20.8 mm into the block.
    start = bench.choices["fittings.end_vise.block_set_back"]
    assert start == math.ceil(100.0 + 5.0 + 6.35 - 20.8)
    assert check_bench(bench).errors == ()


@pytest.mark.parametrize(
    ("vise", "near", "allowed"),
    [
        ({"end_vise": {"block_set_back": 12.7}}, "33.5 mm", "block_set_back of at least 91 mm"),
        ({"face_vise": {"at": 160}}, "85 mm", "186.35 mm to 1313.65 mm"),
    ],
)
def test_a_screw_in_a_breadboard_end_says_where_it_may_stand(
    vise: dict[str, Any], near: str, allowed: str
) -> None:
    wanted = {k: {**VISE, **v, "jaw_length": 300} for k, v in vise.items()}
    with pytest.raises(SpecError) as caught:
        fitted(sizes={"length": 1500, "top": {**BREADBOARD, "overhang_ends": 400}}, **wanted)
    assert f"would stand {near} from the top's end: in the breadboard" in str(caught.value)
    assert "100 mm wide" in str(caught.value)
    assert f"{caught.value.field} of {caught.value.allowed}".find(allowed) >= 0


def test_the_example_has_them_all_and_goes_together() -> None:
    bench = build_document(read_spec(EXAMPLE))
    roles = {m.role for m in bench.timbers if m.assembly == FITTINGS}
    assert roles == {
        "planing stop",
        "chop",
        "vise guide",
        "vise jaw",
        "vise block",
        "board jack",
    }
    assert bench.hardware_counts == {
        "bolts": 6,
        "levelling feet": 4,
        "vise screws": 2,
        "guide rods": 2,
    }
    found = check_bench(bench, build_solids(bench))
    assert found.errors == ()
    # True ones: the short pieces are milled as part of a longer one.
    assert {f.rule for f in found.findings if f.severity == "warning"} == {"short-piece"}
    for member in bench.timbers:
        if member.assembly == FITTINGS:
            made = build_solids(bench).placed[member.name].Volume()
            assert made == pytest.approx(bench.volumes[member.name], rel=1e-7)


def test_the_public_api_takes_fittings() -> None:
    import treenail

    bench = treenail.frame_bench(
        units="mm", meeting="mitred", fittings={"planing_stop": {"enabled": True}}
    )
    assert isinstance(bench, Bench)
    assert "planing_stop" in bench.by_name
