"""Glue lines against other formulas, splits and clamps over their ranges, files with messages."""

import dataclasses
import itertools
import json
import math
from functools import cache
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.joints.let_in import crossing, made, shelf
from tests.joints.tenon_variants.pairs import KINDS, bench_of
from tests.strategies import a_few, frame_specs, tenoned_pairs
from treenail.generators.bench import Bench
from treenail.generators.build import build_bench
from treenail.generators.frame_spec import FrameBenchSpec, Pegs
from treenail.generators.solids import build_solids
from treenail.generators.spec_values import build_spec
from treenail.joints.cuts import Haunch, MitredTip, NotchedTip
from treenail.joints.housings import Housing
from treenail.joints.laps import HalfLap
from treenail.joints.mortise_tenon import MortiseTenon
from treenail.joints.standing import Standing
from treenail.joints.tenon_variants.slab import SlabTenons
from treenail.joints.tenon_variants.tusk import TuskTenon
from treenail.joints.tenon_variants.wedged import WedgedTenon
from treenail.shop.glue import Glue, air_pressure, glue_starter_text, read_glue
from treenail.shop.glue_lines import PEGS, joint_line, tenon_parts
from treenail.shop.glue_steps import batches, clamps_for, diagonals, lean, split_stack
from treenail.shop.glue_up import glue_up
from treenail.timber.errors import SpecError
from treenail.timber.frames import Frame
from treenail.timber.member import Face
from treenail.timber.quantities import MPA_PER_PSI, N_PER_LBF

INCH = 25.4


@cache
def bench(units: str = "in", **changes: Any) -> Bench:
    return build_bench(FrameBenchSpec(**changes), units=units)


def tenons(of: Bench) -> list[MortiseTenon]:
    return [j for j in of.joints if isinstance(j, MortiseTenon)]


# --- areas


@given(tenoned_pairs())
def test_a_plain_tenons_glue_is_cheeks_and_edges_less_whole_pegs(joint: MortiseTenon) -> None:
    parts = tenon_parts(joint)
    d = joint.draw
    assert d is not None
    inside = min(joint.length, joint.receiver.extent(joint.receiver_face))
    assert parts["cheeks"] == pytest.approx(2 * joint.width * inside)
    assert parts["edges"] == pytest.approx(2 * joint.thickness * inside)
    clear = all(
        joint.section[0] + d.diameter / 2 <= x <= joint.section[1] - d.diameter / 2
        and d.diameter / 2 <= back - d.offset <= inside - d.diameter / 2
        for x, back in joint.peg_points
    )
    hole = 2 * len(joint.peg_points) * math.pi * d.diameter**2 / 4
    taken = -parts.get("peg holes", 0.0)
    assert taken <= hole * (1 + 1e-9)
    if clear:
        assert taken == pytest.approx(hole)


@given(st.floats(0, 20), st.floats(0, 15))
def test_a_mitred_tip_takes_its_triangles_off(cut_back: float, lead: float) -> None:
    plain = tenons(bench())[0]
    joint = dataclasses.replace(
        plain, draw=None, haunch=None, tip=MitredTip(Face.BACK_SIDE, cut_back, lead)
    )
    whole = tenon_parts(dataclasses.replace(joint, tip=None))
    cut = tenon_parts(joint)
    gone = cut_back + lead
    assert whole["cheeks"] - cut["cheeks"] == pytest.approx(gone * joint.width)
    assert whole["edges"] - cut["edges"] == pytest.approx(gone * joint.thickness)


@given(st.floats(5, 40), st.floats(1, 45))
def test_a_notch_takes_its_rectangle_off_both_cheeks(width: float, length: float) -> None:
    plain = tenons(bench())[0]
    joint = dataclasses.replace(
        plain, draw=None, haunch=None, tip=NotchedTip(Face.FACE_EDGE, width, length)
    )
    whole = tenon_parts(dataclasses.replace(joint, tip=None))
    cut = tenon_parts(joint)
    assert whole["cheeks"] - cut["cheeks"] == pytest.approx(2 * width * length)
    assert whole["edges"] - cut["edges"] == pytest.approx(joint.thickness * length)


def test_a_haunch_adds_two_cheeks_and_a_sloped_one_half_of_them() -> None:
    joint = next(j for j in tenons(bench()) if j.haunch and not j.haunch.sloped)
    stub = joint.haunch
    assert isinstance(stub, Haunch)
    square = tenon_parts(joint)
    sloped = tenon_parts(dataclasses.replace(joint, haunch=dataclasses.replace(stub, sloped=True)))
    assert square["haunch"] == pytest.approx(2 * stub.width * stub.length)
    assert sloped["haunch"] == pytest.approx(square["haunch"] / 2)
    assert square["edges"] - sloped["edges"] == pytest.approx(joint.thickness * stub.length)


def walls_in_the_mortise(joint: Standing) -> float:
    """Area of the tenon's faces along its length, inside the receiver, on the kernel's solid."""
    import cadquery as cq

    solid = build_solids(bench_of(joint)).placed[joint.entering.name]
    home = cq.Vector(*joint.insertion())
    deep = joint.receiver.extent(joint.receiver_face)
    mouth = cq.Vector(*joint.mouth_point(0.0, 0.0))
    slab = cq.Solid.makeBox(4000, 4000, deep, cq.Vector(-2000, -2000, 0))
    inside = solid.intersect(slab.moved(cq.Location(cq.Plane(mouth, normal=home.toTuple()))))
    assert isinstance(inside, cq.Shape)
    found = 0.0
    for face in inside.Faces():
        if face.geomType() == "PLANE":
            found += face.Area() if abs(face.normalAt().dot(home)) < 1e-6 else 0.0
        elif face.geomType() == "CONE":
            found += face.Area()
        elif face.geomType() == "CYLINDER":
            axis = cq.Vector(face._geomAdaptor().Cylinder().Axis().Direction().XYZ().Coord())
            found += face.Area() if abs(axis.dot(home)) > 0.999 else 0.0
    return found


@pytest.mark.parametrize("kind", ["haunched", "bare-faced", "twin", "three", "double", "round"])
def test_glue_faces_are_those_of_the_solid(kind: str) -> None:
    joint = KINDS[kind]()
    line = joint_line(joint, Glue())
    assert line is not None
    assert line.area == pytest.approx(walls_in_the_mortise(joint), rel=1e-6)


@pytest.mark.parametrize("kind", ["round, through", "wedged", "tusk"])
def test_glue_faces_that_stand_out_or_are_sawn(kind: str) -> None:
    joint = KINDS[kind]()
    line = joint_line(joint, Glue())
    assert line is not None
    extra = 0.0
    if isinstance(joint, WedgedTenon):
        # Both walls of each kerf look at a wedge, not at the mortise.
        inside = joint.kerf_length - joint.proud
        extra = 2 * joint.kerfs * inside * joint.thickness
        assert line.closed_by == "wedges"
    if isinstance(joint, TuskTenon):
        assert not line.glued
        # So does what the wedge's hole has inside the receiver.
        assert line.area > walls_in_the_mortise(joint) * 0.8
        return
    assert line.area == pytest.approx(walls_in_the_mortise(joint) - extra, rel=1e-6)


def test_a_dovetailed_tenons_open_cheek_gets_no_glue() -> None:
    joint = KINDS["slab"]()
    assert isinstance(joint, SlabTenons)
    parts = tenon_parts(joint)
    deep = 90.0
    assert parts["cheeks"] == pytest.approx(3 * joint.width * deep)
    flank = math.hypot(joint.dovetail, joint.slope * joint.dovetail)
    assert parts["edges"] == pytest.approx(2 * deep * (joint.inner + flank))


@given(st.floats(2, 6))
def test_rounded_corners_are_glued_and_relieved_ones_are_not(cutter: float) -> None:
    plain = dataclasses.replace(tenons(bench())[0], draw=None, haunch=None)
    square = tenon_parts(plain)
    soft = dataclasses.replace(plain, corners="round", cutter=cutter)
    around, rounding = tenon_parts(soft), soft.tenon.rounding
    assert rounding is not None
    r, deep = rounding.radius, min(plain.length, 3 * INCH)
    lost = (8 - 2 * math.pi) * r * deep
    assert sum(around.values()) == pytest.approx(sum(square.values()) - lost)
    bone = tenon_parts(dataclasses.replace(plain, corners="relieved", cutter=cutter))
    assert sum(bone.values()) < sum(square.values())
    assert "rounded corners" not in bone


def test_a_rounded_tenons_glue_faces_are_those_of_the_solid() -> None:
    joint = dataclasses.replace(
        MortiseTenon(**_plain(KINDS["bare-faced"]())), corners="round", cutter=5.0
    )
    line = joint_line(joint, Glue())
    assert line is not None
    assert line.area == pytest.approx(walls_in_the_mortise(joint), rel=1e-6)


def _plain(joint: Standing) -> dict[str, Any]:
    assert isinstance(joint, MortiseTenon)
    return {f.name: getattr(joint, f.name) for f in dataclasses.fields(MortiseTenon)}


@given(st.floats(40, 90), st.floats(15, 40))
def test_laps_glue_their_floor_and_housings_their_walls(wide: float, thick: float) -> None:
    lap = made(HalfLap, crossing(wide, thick, 0.0), Frame())
    line = joint_line(lap, Glue())
    assert line is not None
    # The piece that crosses is 7 mm wider.
    assert line.area == pytest.approx(wide * (wide + 7))
    reach = thick / 3
    housed = joint_line(made(Housing, shelf(wide, thick, reach), Frame()), Glue())
    assert housed is not None
    assert housed.area == pytest.approx(2 * wide * reach)
    assert "can move" in housed.note


def test_glue_by_hand_for_the_default_bench() -> None:
    """3 x 3 in posts 31 1/8 in long of two plies; everything an inch and a quarter over."""
    plan = glue_up(bench())
    posts, sections = plan.steps[:2]
    face = (31.125 + 1) * (3 + 0.25)
    assert posts.pieces == tuple(m.name for m in bench().timbers if m.role == "post")
    assert [line.area for line in posts.lines] == pytest.approx([face * INCH**2] * 4)
    # White ash, specific gravity .60, is dense here: 175 psi on one face.
    assert posts.press.force[0] == pytest.approx(face * 175 * N_PER_LBF)
    assert posts.press.clamps == (math.ceil(face * 0.175), math.ceil(face * 0.25))
    assert posts.grams == pytest.approx(4 * face * INCH**2 * 1e-6 * 200)
    assert len(sections.lines) == 2 * 7
    # A stack's lines share one force.
    strip = 61 * 3.125
    assert sections.press.force[0] == pytest.approx(strip * 175 * N_PER_LBF)
    assert plan.grams == pytest.approx(plan.area * 1e-6 * 200)


def test_the_bag_on_a_whole_base_presses_with_some_tons() -> None:
    """12 to 14 psi over the posts' faces (common practice: some tons in sum)."""
    for psi in (12.0, 13.0, 14.0):
        plan = glue_up(bench(), Glue(vacuum_pull=psi * MPA_PER_PSI))
        tons = plan.base_bag / N_PER_LBF / 2000
        assert tons == pytest.approx(4 * 32.125 * 3.25 * psi / 2000)
        assert 2.0 < tons < 4.0


def test_a_pump_pulls_no_more_than_the_air_has() -> None:
    """ISO 2533, from memory: 101.325, 89.875, 79.495, 70.109 kPa at 0, 1000, 2000, 3000 m."""
    for height, kpa in ((0, 101.325), (1000, 89.875), (2000, 79.495), (3000, 70.109)):
        assert air_pressure(height * 1000) * 1000 == pytest.approx(kpa, abs=0.01)
    high = Glue(altitude=3_000_000)
    assert high.bag_pressure == pytest.approx(0.0701, abs=1e-4)
    assert Glue().bag_pressure == Glue().vacuum_pull


# --- clamps, time, splits


@given(st.floats(1, 5e5), st.floats(100, 2e4), st.floats(10, 3000), st.floats(20, 500))
def test_clamps_give_the_force_and_keep_the_spacing(
    force: float, rating: float, length: float, spacing: float
) -> None:
    n = clamps_for(force, rating, (length,), spacing)
    assert n * rating >= force * (1 - 1e-6)
    assert length / n <= spacing * (1 + 1e-6)
    fewer = n - 1
    if fewer:
        assert fewer * rating < force * (1 + 1e-6) or length / fewer > spacing * (1 - 1e-6)


@given(st.integers(2, 60), st.integers(1, 20))
def test_a_split_stack_has_every_line_once_and_none_too_many(boards: int, most: int) -> None:
    rounds = split_stack(boards, most)
    assert sum(itertools.chain(*rounds)) == boards - 1
    assert max(itertools.chain(*rounds)) <= most
    if boards - 1 <= most:
        assert rounds == ((boards - 1,),)


@given(st.lists(st.floats(0.1, 8), min_size=1, max_size=20), st.floats(1, 10))
def test_batches_keep_order_and_time(minutes: list[float], most: float) -> None:
    units = [((f"j{i}",), m) for i, m in enumerate(minutes)]
    found = batches(units, most)
    assert list(itertools.chain(*found)) == [f"j{i}" for i in range(len(minutes))]
    for batch in found:
        total = sum(minutes[int(n[1:])] for n in batch)
        assert total <= most + 1e-6 or len(batch) == 1


def test_what_is_not_spread_in_time_is_split_and_says_so() -> None:
    slow = glue_up(bench(), Glue(joint_minutes=3.0))
    step = next(s for s in slow.steps if len(s.lines) == 4 and len(s.batches) > 1)
    assert not step.within_open
    assert [len(b) for b in step.batches] == [1, 1, 1, 1]
    assert any("over the open time" in n for n in step.notes)
    # A frame that goes on in one move can't be divided.
    whole = next(s for s in slow.steps if "right end frame onto" in s.what)
    assert len(whole.batches) == 1
    assert any("can't be divided" in n for n in whole.notes)
    many = glue_up(bench(), Glue(joint_minutes=3.0, people=4))
    assert all(s.within_open for s in many.steps if s.plan_step)


def test_a_long_stack_is_glued_in_blocks() -> None:
    sections = next(s for s in glue_up(bench()).steps if "top sections" in s.what)
    assert not sections.within_open
    assert sections.rounds == ((3, 3), (1,))
    assert any(
        "8 strips as blocks of 4 and 4, then the 2 blocks to each" in n for n in sections.notes
    )
    fast = glue_up(bench(), Glue(people=4))
    assert next(s for s in fast.steps if "top sections" in s.what).rounds == ((7,),)


def test_tenoned_pairs_need_no_clamps() -> None:
    plan = glue_up(bench())
    pegged = [s for s in plan.steps if s.plan_step and any(x.closed_by == PEGS for x in s.lines)]
    assert len(pegged) == 6
    for step in pegged:
        assert step.press.clamps == (0, 0)
        assert any("no clamps" in n for n in step.notes)


def test_joints_without_pegs_need_clamps_and_dry_ones_no_glue() -> None:
    loose = glue_up(bench(pegs=Pegs(per_joint=0)))
    joints = [s for s in loose.steps if s.plan_step and "top" not in s.what]
    assert joints
    assert all(s.press.clamps[0] >= len(s.lines) for s in joints)
    dry = glue_up(bench(), Glue(drawbored="dry"))
    assert [s.plan_step for s in dry.steps if s.plan_step] == [7]
    assert any("upper front at left" in n for n in dry.notes)


def test_too_few_clamps_are_told() -> None:
    plan = glue_up(bench(), Glue(clamps=40))
    assert any("2 at a time" in n for n in plan.steps[0].notes)
    assert any("are there" in n for n in glue_up(bench(), Glue(clamps=5)).steps[0].notes)


@given(st.floats(300, 2000), st.floats(300, 2000), st.floats(-20, 20))
def test_lean_follows_from_two_diagonals(base: float, height: float, s: float) -> None:
    one, other = math.hypot(base + s, height), math.hypot(base - s, height)
    assert lean(one - other, base, height) == pytest.approx(s, abs=abs(s) * 0.02 + 1e-9)


def test_diagonals_are_those_of_the_frame() -> None:
    plan = glue_up(bench())
    end = next(s for s in plan.steps if s.plan_step == 2)
    square = next(c for c in end.checks if c.expected)
    assert square.expected == pytest.approx(math.hypot(24, 31.125) * INCH)
    assert not list(diagonals(bench(), ["post_front_left", "stretcher_upper_left"]))


@a_few(6)
@given(frame_specs())
def test_every_glue_line_of_any_bench_is_in_one_step(spec: FrameBenchSpec) -> None:
    made = build_bench(spec, units="mm")
    plan = glue_up(made)
    names = [line.name for step in plan.steps for line in step.lines if line.glued]
    assert len(names) == len(set(names))
    wanted = [x.name for j in made.joints if (x := joint_line(j, plan.glue)) and x.glued]
    wanted += [f"{m.name}_{i}" for m in made.timbers for i in range(1, m.plies)]
    assert sorted(names) == sorted(wanted)
    assert all(line.area > 0 for step in plan.steps for line in step.lines)
    assert json.loads(json.dumps(plan.as_dict()))["glue_g"] == pytest.approx(plan.grams, abs=0.01)
    assert len({tuple(row) for row in plan.rows()}) == 1


# --- files


@pytest.mark.parametrize("units", ["in", "mm"])
def test_the_starter_reads_back_as_the_defaults(units: Any) -> None:
    found, default = read_glue(glue_starter_text(units)), Glue()
    for f in dataclasses.fields(Glue):
        wanted = getattr(default, f.name)
        near = wanted if isinstance(wanted, str) else pytest.approx(wanted, rel=0.02)
        assert getattr(found, f.name) == near


@pytest.mark.parametrize(
    ("text", "field", "message"),
    [
        ("name: x\n", "units", "must say its units"),
        ("units: in\nopen_tme: 5\n", "open_tme", "did you mean 'open_time'"),
        ("units: in\nlight: 150\n", "light", "no pair"),
        ("units: in\nlight: 150 to 100 psi\n", "light", "lower pressure comes first"),
        ("units: in\nopen_time: soon\n", "open_time", "not understood"),
        ("units: in\nspread: 2 kg\n", "spread", "not understood"),
        ("units: in\npeople: 1.5\n", "people", "no whole number"),
        ("units: in\nvacuum_pull: 20 psi\n", "vacuum_pull", "out of range"),
        ("units: in\nclamp_rating: 3 mm\n", "clamp_rating", "not a force"),
        ("units: in\ndrawbored: wet\n", "drawbored", "no choice"),
        ("units: in\nname: \n", "name", "one value"),
        ("units: in\ndense_from: 0.3\n", "dense_from", "dense woods begin"),
    ],
)
def test_what_is_wrong_is_told_with_its_field(text: str, field: str, message: str) -> None:
    with pytest.raises(SpecError, match=message) as caught:
        read_glue(text)
    assert caught.value.field == field
    if field != "units" and field in text:
        assert (
            caught.value.line
            == text.splitlines().index(next(x for x in text.splitlines() if x.startswith(field)))
            + 1
        )


def test_the_users_glue_is_used() -> None:
    mine = read_glue(
        "units: mm\nname: slow glue\nmedium: 0.5 to 0.9 MPa\ndense: 0.6-1.0 MPa\n"
        "open_time: 20 min\nspread: 180\nclamp_rating: 6 kN\ncure_time: 12 h\npace: 2 ft2/min\n"
    )
    assert mine.dense == pytest.approx((0.6, 1.0))
    assert mine.cure_time == 720
    assert mine.clamp_rating == 6000
    assert mine.pace == pytest.approx(2 * 0.3048**2)
    plan = glue_up(bench("mm"), mine)
    assert all(s.within_open for s in plan.steps)
    assert plan.steps[0].press.clamps[0] == math.ceil(32.125 * 3.25 * INCH**2 * 0.6 / 6000)


def test_pressure_goes_by_the_lighter_wood() -> None:
    spec = build_spec(
        FrameBenchSpec, {"species": "eastern white pine", "top_species": "white ash"}, units="in"
    )
    plan = glue_up(build_bench(spec, units="in"))
    assert plan.steps[0].press.force[0] == pytest.approx(32.125 * 3.25 * 100 * N_PER_LBF)
    assert plan.steps[1].press.force[0] == pytest.approx(61 * 3.125 * 175 * N_PER_LBF)
