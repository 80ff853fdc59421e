"""The frame bench: sizes, names, where tenons meet, and what can't be built."""

from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.strategies import frame_specs
from treenail.checks import check_bench, load_rules
from treenail.checks.rules import RULES, Context
from treenail.generators.bench import Bench
from treenail.generators.build import build_bench
from treenail.generators.frame_layout import STRETCHER, in_units
from treenail.generators.frame_spec import MEETINGS, FrameBenchSpec
from treenail.generators.spec_values import build_spec
from treenail.generators.top_bolts import LEAST_BESIDE
from treenail.joints.cuts import MitredTip, NotchedTip
from treenail.joints.lag_bolt import LagBolt
from treenail.joints.mortise_tenon import MortiseTenon
from treenail.timber.errors import SpecError
from treenail.timber.lengths import MM_PER_INCH
from treenail.timber.moisture import movement, movement_coefficient


def bench(**sizes: object) -> Bench:
    return build_bench(build_spec(FrameBenchSpec, sizes, units="in"), units="in")


def test_the_usual_bench_has_its_parts() -> None:
    made = bench()
    roles = [m.role for m in made.timbers]
    assert roles.count("post") == 4
    assert roles.count("stretcher") == 8
    assert roles.count("top section") == 2
    assert len([j for j in made.joints if isinstance(j, MortiseTenon)]) == 16
    assert len(made.pegs) == 32
    assert len(made.hardware) == 6


@given(frame_specs())
def test_outer_sizes_are_the_ones_asked_for(spec: FrameBenchSpec) -> None:
    made = build_bench(spec)
    lows, highs = zip(*(m.bounds() for m in made.timbers), strict=True)
    for axis, asked in enumerate((spec.length, spec.depth, spec.height)):
        assert min(p[axis] for p in lows) == pytest.approx(0.0, abs=1e-9)
        assert max(p[axis] for p in highs) == pytest.approx(asked, abs=1e-9)


@given(frame_specs())
def test_stocks_overlap_only_where_a_tenon_enters(spec: FrameBenchSpec) -> None:
    """Before any cut, two members share space only where a tenon enters, or in the post."""
    made = build_bench(spec)
    joined = {frozenset(m.name for m in j.members) for j in made.joints}
    boxes = {m.name: m.bounds() for m in made.timbers}
    roles = {m.name: m.role for m in made.timbers}
    for a, b in combinations(boxes, 2):
        (low_a, high_a), (low_b, high_b) = boxes[a], boxes[b]
        deep = min(min(high_a[i], high_b[i]) - max(low_a[i], low_b[i]) for i in range(3))
        if deep > 1e-9 and frozenset((a, b)) not in joined:
            assert roles[a] == roles[b] == "stretcher"
            assert spec.meeting != "heights" or deep <= 40.0


@given(frame_specs())
def test_the_same_spec_gives_the_same_bench(spec: FrameBenchSpec) -> None:
    assert build_bench(spec) == build_bench(spec)


def test_inches_and_millimetres_give_the_same_bench() -> None:
    inches = bench(length=60, depth="2'", height=34, pegs={"offset": "1/16"})
    metric = build_bench(
        build_spec(
            FrameBenchSpec,
            {"length": 1524, "depth": 609.6, "height": "34 in", "pegs": {"offset": 1.5875}},
            units="mm",
        ),
        units="in",
    )
    for a, b in zip(inches.members, metric.members, strict=True):
        assert a.size == pytest.approx(b.size, abs=1e-9)
        assert a.placement.origin == pytest.approx(b.placement.origin, abs=1e-9)
    assert inches.cuts == metric.cuts


@pytest.mark.parametrize("meeting", MEETINGS)
def test_tips_follow_the_way_of_meeting(meeting: str) -> None:
    tips = {type(j.tip) for j in bench(meeting=meeting).joints if isinstance(j, MortiseTenon)}
    wanted = {"mitred": {MitredTip}, "notched": {NotchedTip}}.get(meeting, {type(None)})
    assert tips == wanted


def test_shortened_tenons_end_before_the_long_one() -> None:
    made = bench(meeting="shortened")
    long = made.by_name["stretcher_upper_front"]
    lengths = {j.name: j.length for j in made.joints if isinstance(j, MortiseTenon)}
    assert lengths["upper_front_at_left"] == pytest.approx(2 * MM_PER_INCH)
    # Post 3 in, long tenon 1 in thick in its middle: 1 in of wood less the 2 mm gap.
    assert lengths["upper_left_at_front"] == pytest.approx(MM_PER_INCH - 2.0)
    assert long.length > 0


@given(frame_specs(bolts={"per_stretcher": 2}))
def test_slots_hold_the_seasons_movement_on_both_sides(spec: FrameBenchSpec) -> None:
    made = build_bench(spec)
    bolts = [j for j in made.joints if isinstance(j, LagBolt)]
    front = min(b.point[1] for b in bolts)
    for bolt in bolts:
        if bolt.point[1] == front:
            assert bolt.slot == 0.0
            continue
        c = movement_coefficient(bolt.top.species, bolt.top.rings)
        s = made.seasons
        moves = [
            abs(movement(bolt.point[1] - front, c, s.at_build, mc)) for mc in (s.driest, s.wettest)
        ]
        assert bolt.slot / 2 >= max(moves)
        assert bolt.slot / 2 <= max(moves) + 0.76


@given(frame_specs())
def test_bolts_reach_two_thirds_into_the_top_and_not_through(spec: FrameBenchSpec) -> None:
    for joint in build_bench(spec).joints:
        if isinstance(joint, LagBolt):
            assert joint.embedment == pytest.approx(joint.top.thickness * 2 / 3, abs=1e-6)
            assert joint.pilot_depth < joint.top.thickness


@pytest.mark.parametrize(
    ("sizes", "field"),
    [
        ({"length": 20}, "length"),
        ({"depth": 7.9}, "depth"),
        ({"height": 12}, "upper_end.height"),
        ({"lower_long": {"height": 24}, "lower_end": {"height": 4}}, "lower_long.height"),
        ({"upper_long": {"tenon_length": 3}}, "upper_long.tenon_length"),
        ({"upper_long": {"thickness": 4}}, "upper_long.set_in"),
        ({"upper_end": {"tenon_thickness": 2}}, "upper_end.tenon_thickness"),
        ({"lower_end": {"shoulder_outside": 1}}, "lower_end.shoulder_outside"),
        ({"lower_end": {"shoulder_top": 3, "shoulder_bottom": 3}}, "lower_end.shoulder_top"),
        ({"lower_end": {"height": 30}}, "lower_end.height"),
        ({"meeting": "mitred", "upper_long": {"through": True}}, "upper_long.through"),
        ({"species": "unobtainium"}, "species"),
        ({"moisture": {"at_build": 15}}, "moisture.at_build"),
        ({"top": {"dog_holes": {"rows": 4, "row_spacing": 10}}}, "top.dog_holes.rows"),
        ({"top": {"sections": 1}}, "top.sections"),
    ],
)
def test_what_cannot_be_built_names_its_field(sizes: dict[str, object], field: str) -> None:
    with pytest.raises(SpecError) as caught:
        bench(**sizes)
    assert caught.value.field == field
    assert caught.value.allowed
    assert " mm" not in str(caught.value)  # a bench in inches is spoken of in inches


def test_glue_lines_keep_clear_of_holes() -> None:
    """A row of dog holes in the middle of the top pushes the glue line aside."""
    made = bench(top={"dog_holes": {"rows": 1, "setback": 12}})
    edges = sorted({m.bounds()[0][1] for m in made.timbers if m.role == "top section"})
    assert all(abs(y - 12 * MM_PER_INCH) >= 12.0 - 1e-9 for y in edges)


def test_common_practice_small_heavy_bench() -> None:
    """5 ft by 2 ft of ash: 150 to 200 lb, about 100 board feet of rough 8/4 (common practice)."""
    from treenail.shop.cutlist import cut_list

    made = bench()
    pounds = sum(made.masses.values()) / 0.45359237
    assert 150 <= pounds <= 200
    rough = sum(r.rough for r in cut_list(made))
    assert rough <= 100 <= rough * 1.5
    assert {r.quarter for r in cut_list(made) if r.role != "peg"} == {"8/4"}
    post = next(r for r in cut_list(made) if r.role == "post")
    assert post.plies == 2
    assert post.ply_thickness == pytest.approx(1.5625 * MM_PER_INCH)


@pytest.mark.parametrize("meeting", MEETINGS)
def test_every_way_of_meeting_passes_the_checks(meeting: str) -> None:
    """Regression: pegs of tenons at one height ran into each other."""
    assert check_bench(bench(meeting=meeting)).errors == ()


def test_pegs_from_inside_need_stretchers_at_different_heights() -> None:
    inside = {"from_face": "inside"}
    assert check_bench(bench(pegs=inside)).errors == ()
    found = {f.rule for f in check_bench(bench(pegs=inside, meeting="mitred")).errors}
    assert found == {"peg-not-reachable"}  # the other stretcher stands before the hole


@given(
    driest=st.floats(4, 8),
    wettest=st.floats(9, 16),
    depth=st.floats(450, 1100),
    rings=st.sampled_from(["quarter", "rift", "flat"]),
)
@settings(max_examples=15)
def test_auto_stretchers_are_thick_enough_for_their_bolts_slots(
    driest: float, wettest: float, depth: float, rings: str
) -> None:
    """Whatever the seasons: room beside the slots, and no thicker than a step more than that."""
    swing = {"at_build": 8.5, "driest": driest, "wettest": wettest}
    sizes = {"depth": depth, "moisture": swing, "top": {"rings": rings}}
    bench = build_bench(build_spec(FrameBenchSpec, sizes, units="mm"), units="mm")
    rail = bench.by_name["stretcher_upper_back"]
    need = max(
        j.counterbore_diameter + j.slot + 2 * LEAST_BESIDE
        for j in bench.joints
        if isinstance(j, LagBolt)
    )
    room = min(need, bench.spec.posts.thickness)
    assert rail.thickness >= min(room, bench.spec.posts.thickness) - 1e-6
    usual = in_units("mm").usual(STRETCHER)
    assert rail.thickness == pytest.approx(usual) or rail.thickness < room + 1.0
    assert bench.choices["upper_long.thickness"] == rail.thickness
    assert bench.by_name["stretcher_lower_back"].thickness == pytest.approx(usual)
    # A size that is asked for stays, and what it leaves is told.
    asked = {**sizes, "upper_long": {"thickness": 44.45}}
    told = build_bench(build_spec(FrameBenchSpec, asked, units="mm"), units="mm")
    assert told.by_name["stretcher_upper_back"].thickness == 44.45
    load_rules()
    faults = [
        fault
        for code in ("bolt-beside", "bolt-breakout")
        for fault in RULES[code].check(Context(bench=told))
    ]
    assert bool(faults) is (need > 44.45 + 1e-6)
    if need <= bench.spec.posts.thickness:
        assert list(RULES["bolt-beside"].check(Context(bench=bench))) == []


@pytest.mark.parametrize("units", ["in", "mm"])
def test_the_widest_usual_swing_raises_no_warning_about_bolts(units: str) -> None:
    """4 to 16 %: the default stretcher would leave 7/64 in beside its slots."""
    sizes = {"moisture": {"driest": 4, "wettest": 16}}
    bench = build_bench(build_spec(FrameBenchSpec, sizes, units=units), units=units)  # type: ignore[arg-type]
    thick = bench.by_name["stretcher_upper_back"].thickness
    assert thick == pytest.approx(2.125 * MM_PER_INCH if units == "in" else 52.0)
    load_rules()
    assert list(RULES["bolt-beside"].check(Context(bench=bench))) == []
