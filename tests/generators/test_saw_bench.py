"""The saw bench: angles as asked, level feet, volumes, and what can't be built."""

from __future__ import annotations

import math
from functools import cache
from typing import Any

import pytest
from click.testing import CliRunner

import treenail
from tests.joints.modeller import bounds
from treenail.cli import cli
from treenail.generators.saw_spec import SawBenchSpec
from treenail.joints.angled_tenon import AngledTenon
from treenail.joints.lag_bolt import LagBolt
from treenail.joints.skew import SkewLetIn
from treenail.timber.angles import LegAngles
from treenail.timber.errors import SpecError
from treenail.timber.moisture import movement, movement_coefficient

KINDS: dict[str, dict[str, Any]] = {
    "usual": {},
    "one board, no rails": {"top": {"boards": 1}, "end_rails": {"enabled": False}},
    "no wedges": {"tenons": {"wedges": 0}},
    "two wedges": {"tenons": {"wedges": 2, "width": "42 mm"}},
    "upright": {"legs": {"splay": 0, "rake": 0}},
    "one way": {"legs": {"splay": 0, "rake": 15}},
    "the other": {"legs": {"splay": 20, "rake": 0}},
    "wide apart": {"legs": {"splay": 22, "rake": 24}, "length": "1200 mm"},
    "split": {"top": {"kind": "split"}},
    "split, wide": {
        "top": {"kind": "split", "width": "400 mm", "gap": "40 mm"},
        "length": "1200 mm",
        "legs": {"splay": 0},
        "battens": {"bolt": "5/16 in"},
    },
}


@cache
def bench(kind: str) -> treenail.Bench:
    return treenail.saw_bench(units="mm", **KINDS[kind])


@pytest.mark.parametrize("kind", KINDS)
def test_every_piece_is_the_modellers(kind: str) -> None:
    made = bench(kind)
    for member in made.members:
        low, high = bounds(member, made.cuts[member.name])  # alike where nothing is round
        slack = 1e-8 * high + 1e-4
        assert low - slack <= made.volumes[member.name] <= high + slack
        assert high - low <= 2e-3 * high


@pytest.mark.parametrize("kind", KINDS)
def test_legs_lean_as_asked_and_stand_level(kind: str) -> None:
    made = bench(kind)
    legs = [m for m in made.timbers if m.role == "post"]
    assert len(legs) == 4
    for leg in legs:
        x, y, z = leg.placement.x
        assert math.degrees(math.atan2(abs(x), z)) == pytest.approx(made.spec.legs.splay)
        assert math.degrees(math.atan2(abs(y), z)) == pytest.approx(made.spec.legs.rake)
        low, high = made.bounds[leg.name]
        assert (low[2], high[2]) == pytest.approx((0.0, made.spec.height), abs=1e-8)
        # Feet stand outward of heads.
        middle = [side / 2 for side in made.asked]
        foot, head = leg.placement.origin, leg.placement.point((leg.length, 0.0, 0.0))
        for axis, lean in ((0, made.spec.legs.splay), (1, made.spec.legs.rake)):
            if lean:
                assert abs(foot[axis] - middle[axis]) > abs(head[axis] - middle[axis])
    lows, highs = zip(*made.bounds.values(), strict=True)
    assert [min(p[i] for p in lows) for i in range(3)] == pytest.approx([0.0] * 3, abs=1e-8)
    assert [max(p[i] for p in highs) for i in range(3)] == pytest.approx(made.asked, abs=1e-8)


def test_feet_are_the_parallelograms_of_the_angles() -> None:
    made = bench("usual")
    leg = made.by_name["leg_front_left"]
    angles = LegAngles(math.radians(made.spec.legs.splay), math.radians(made.spec.legs.rake))
    half_x, half_y = angles.level_section(leg.width, leg.thickness)
    low, _ = made.bounds[leg.name]
    underneath = [f for f in made.solids().placed[leg.name].Faces() if abs(f.Center().z) < 1e-6]
    assert len(underneath) == 1
    box = underneath[0].BoundingBox(1e-9)
    assert (box.xlen, box.ylen) == pytest.approx((2 * half_x, 2 * half_y), abs=1e-4)
    assert underneath[0].Area() == pytest.approx(leg.width * leg.thickness * angles.stretch)
    assert (box.xmin, box.ymin) == pytest.approx(low[:2], abs=1e-4)


def test_both_legs_of_an_end_have_their_end_faces_in_one_plane() -> None:
    made = bench("usual")
    joints = [j for j in made.joints if isinstance(j, SkewLetIn)]
    assert {j.depth for j in joints} == {made.spec.end_rails.notch}
    assert len({j.notch.width for j in joints}) == 1
    turn = made.choices["legs.ends_mitre_degrees"]
    assert {round(math.degrees(abs(j.notch.turn)), 4) for j in joints} == {turn}


def test_rails_end_flush_with_the_legs() -> None:
    made = bench("usual")
    rail = made.solids().placed["rail_left"]
    for fb in ("front", "back"):
        leg = made.by_name[f"leg_{fb}_left"]
        face = leg.face_towards((0.0, -1.0 if fb == "front" else 1.0, 0.0))
        frame = leg.placement.place(leg.face_frame(face))
        off = [abs(frame.local_point(v.toTuple())[2]) for v in rail.Vertices()]
        assert sum(d < 1e-6 for d in off) == 4


@pytest.mark.parametrize(
    "kind",
    [
        "wide apart",
        "upright",
        pytest.param("split", marks=pytest.mark.deep),
        pytest.param("split, wide", marks=pytest.mark.deep),
        pytest.param("usual", marks=pytest.mark.deep),  # the families' test builds it, too
        pytest.param("one board, no rails", marks=pytest.mark.deep),
        pytest.param("two wedges", marks=pytest.mark.deep),
        pytest.param("one way", marks=pytest.mark.deep),
        pytest.param("the other", marks=pytest.mark.deep),
    ],
)
def test_solids_pass_the_checks_and_have_the_closed_form_volumes(kind: str) -> None:
    made = bench(kind)
    assert made.check().errors == ()
    for name, placed in made.solids().placed.items():
        if name in made.volumes:  # bolts have none in closed form
            assert placed.Volume() == pytest.approx(made.volumes[name], rel=1e-9)


def test_legs_on_a_diagonal_are_one_shape() -> None:
    keys = bench("usual").solids().keys
    assert keys["leg_front_left"] == keys["leg_back_right"]
    assert keys["leg_front_right"] == keys["leg_back_left"]
    assert keys["leg_front_left"] != keys["leg_front_right"]
    assert keys["rail_left"] == keys["rail_right"]


def test_angles_are_told_in_the_shops_terms() -> None:
    made = bench("usual")
    angles = LegAngles(math.radians(10), math.radians(14))
    told = {k.removeprefix("legs."): v for k, v in made.choices.items() if "degrees" in k}
    assert told["resultant_degrees"] == pytest.approx(math.degrees(angles.resultant), abs=1e-4)
    assert told["sight_angle_degrees"] == pytest.approx(math.degrees(angles.sight), abs=1e-4)
    assert told["ends_blade_tilt_degrees"] == 10.0
    tilts = {round(math.degrees(j.tilt), 4) for j in made.joints if isinstance(j, AngledTenon)}
    assert tilts == {told["resultant_degrees"]}


@pytest.mark.parametrize("kind", ["split", "split, wide"])
def test_battens_carry_two_planks_and_let_each_move_toward_the_gap(kind: str) -> None:
    made = bench(kind)
    front, back = (m for m in made.timbers if m.role == "top section")
    low, high = front.bounds()[1][1], back.bounds()[0][1]
    assert high - low == pytest.approx(made.spec.top.gap)
    assert back.bounds()[1][1] - front.bounds()[0][1] == pytest.approx(made.spec.top.width)
    battens = [m for m in made.timbers if m.role == "batten"]
    assert len(battens) == 2
    s = made.seasons
    for plank in (front, back):
        bolts = [j for j in made.joints if isinstance(j, LagBolt) and j.top is plank]
        assert {b.carrier.name for b in bolts} == {m.name for m in battens}
        # Fast on the line on which the legs hold the plank; the others' slots let it swell.
        tenons = [j for j in made.joints if isinstance(j, AngledTenon) and j.receiver is plank]
        assert len(tenons) == 2
        (line,) = {b.point[1] for b in bolts if not b.slot}
        assert abs(line - plank.bounds()[plank is back][1]) == pytest.approx(
            made.choices["legs.set_in_sides"]
        )
        c = movement_coefficient(plank.species, "flat")
        for bolt in (b for b in bolts if b.slot):
            moves = max(
                abs(movement(bolt.point[1] - line, c, s.at_build, mc))
                for mc in (s.driest, s.wettest)
            )
            assert bolt.slot == math.ceil((2 * moves + 1) * 2) / 2
    # Nothing but the battens crosses the gap below the planks' upper faces, near them.
    leg = max(made.bounds[m.name][1][0] for m in made.timbers if m.name == "leg_front_left")
    assert min(m.bounds()[0][0] for m in battens) >= leg - 1e-6


@pytest.mark.parametrize(
    ("sizes", "field"),
    [
        ({"height": 200, "top": {"thickness": 120}, "legs": {"width": 90}}, "top.thickness"),
        ({"tenons": {"width": 55}}, "tenons.width"),
        ({"tenons": {"thickness": 55}}, "tenons.thickness"),
        ({"legs": {"set_in_ends": 21}}, "legs.set_in_ends"),
        ({"length": 500, "legs": {"set_in_ends": 230}}, "legs.set_in_ends"),
        ({"legs": {"set_in_sides": 130}}, "legs.set_in_sides"),
        ({"tenons": {"wedges": 3, "kerf": 6}}, "tenons.wedges"),
        ({"top": {"thickness": 25}, "legs": {"splay": 30, "rake": 30}}, "top.thickness"),
        ({"end_rails": {"notch": 30}}, "end_rails.notch"),
        ({"end_rails": {"notch": 15, "thickness": 12}}, "end_rails.notch"),
        ({"end_rails": {"height": 420}}, "end_rails.height"),
        ({"end_rails": {"height": 5}}, "end_rails.height"),
        ({"legs": {"splay": 31}}, "legs.splay"),
        ({"top": {"kind": "well"}}, "top.kind"),
        ({"top": {"kind": "split", "width": 220, "gap": 115}}, "top.gap"),
        ({"top": {"kind": "split"}, "legs": {"set_in_sides": 100}}, "legs.set_in_sides"),
        (
            {"length": 400, "top": {"kind": "split"}, "legs": {"set_in_ends": 90}},
            "top.kind",
        ),
    ],
)
def test_what_cannot_be_built_names_its_field(sizes: dict[str, Any], field: str) -> None:
    with pytest.raises(SpecError) as caught:
        treenail.saw_bench(units="mm", **sizes)
    assert caught.value.field == field
    assert caught.value.allowed


def test_a_starter_of_the_family_reads_as_its_defaults() -> None:
    made = CliRunner().invoke(cli, ["new", "--family", "saw"])
    assert made.exit_code == 0
    assert treenail.build_spec_file(made.output.encode()).spec == SawBenchSpec()
