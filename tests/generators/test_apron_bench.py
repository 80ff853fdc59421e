"""The apron bench: sizes, what is let in and pegged, volumes, and what can't be built."""

import itertools
import math
from functools import cache
from typing import Any

import pytest
from click.testing import CliRunner

import treenail
from tests.families.sizes import SIZES
from tests.joints.modeller import bounds
from treenail.cli import cli
from treenail.generators.apron_spec import ApronBenchSpec
from treenail.joints.edges import TongueGroove
from treenail.joints.features import DogHoles
from treenail.joints.fits import FITS
from treenail.joints.lag_bolt import LagBolt
from treenail.joints.laps import Notch
from treenail.joints.treenails import Treenails
from treenail.shop.glue import Glue
from treenail.shop.glue_lines import joint_line
from treenail.timber.errors import SpecError
from treenail.timber.member import Member
from treenail.timber.moisture import movement, movement_coefficient

KINDS: dict[str, dict[str, Any]] = {
    "usual": {},
    "smallest": SIZES["apron"]["smallest"],
    "largest": SIZES["apron"]["largest"],
    "tongued": {"top": {"edges": "tongued"}},
    "proud": {
        "aprons": {"let_in": "25 mm"},
        "top": {"overhang_front": "20 mm", "overhang_back": "20 mm"},
    },
    "no stretchers": {"stretchers": False},
    "shelf, two rows": {"shelf": {"enabled": True}, "aprons": {"rest_holes": {"rows": 2}}},
    "narrow boards": {"top": {"board": "100 mm"}, "bolts": {"per_board": 1}},
    "slim posts": {"posts": {"width": "60 mm"}},
}


@cache
def bench(kind: str) -> treenail.Bench:
    return treenail.apron_bench(**KINDS[kind])


def of_role(made: treenail.Bench, role: str) -> list[Member]:
    return [m for m in made.timbers if m.role == role]


@pytest.mark.parametrize("kind", KINDS)
def test_numbers_pass_and_every_gap_is_as_wide_as_boards_swell(kind: str) -> None:
    made = bench(kind)
    report = made.check(numbers_only=True)
    assert report.errors == ()
    assert not {f.rule for f in report.findings} & {"board-gap", "treenail-edge", "bolt-slot"}
    for axis, asked in enumerate(made.asked):
        low, high = (f(m.bounds()[i][axis] for m in made.timbers) for f, i in ((min, 0), (max, 1)))
        assert (low, high) == pytest.approx((0.0, asked), abs=1e-9)


@pytest.mark.parametrize("kind", KINDS)
def test_aprons_lie_in_the_posts_and_are_pegged_to_them(kind: str) -> None:
    made = bench(kind)
    posts = {m.name for m in of_role(made, "post")}
    notches = [j for j in made.joints if isinstance(j, Notch) and j.receiver.name in posts]
    pegs = [j for j in made.joints if isinstance(j, Treenails) and j.receiver.name in posts]
    assert {j.receiver.name for j in notches} == {j.receiver.name for j in pegs} == posts
    a = made.spec.aprons
    for joint in notches:
        assert joint.depth == pytest.approx(a.let_in or a.thickness)
    # The apron bears on the notch's floor, not on the post's head: that ends below the top.
    relief = made.choices["aprons.relief"]
    for leg, apron in itertools.product(of_role(made, "post"), of_role(made, "apron")):
        assert leg.bounds()[1][2] == pytest.approx(apron.bounds()[1][2] - relief)


def test_the_post_ends_as_far_below_the_top_as_the_apron_shrinks() -> None:
    made = bench("usual")
    (apron, _), s = of_role(made, "apron"), made.seasons
    c = movement_coefficient(apron.species, apron.rings)
    shrinks = -movement(apron.width, c, s.at_build, s.driest)
    assert 0.0 < shrinks <= made.choices["aprons.relief"] <= shrinks + 25.4 / 16


@pytest.mark.parametrize("kind", KINDS)
def test_battens_drop_into_both_aprons_flush_and_are_pegged_down(kind: str) -> None:
    made = bench(kind)
    for batten in of_role(made, "batten"):
        ends = [j for j in made.joints_of(batten) if isinstance(j, Notch)]
        pegs = [j for j in made.joints_of(batten) if isinstance(j, Treenails)]
        assert {j.receiver.name for j in ends} == {"apron_front", "apron_back"}
        assert {j.receiver.name for j in pegs} == {"apron_front", "apron_back"}
        assert all(j.insertion() == (0.0, 0.0, -1.0) for j in ends)
        assert batten.bounds()[1][2] == pytest.approx(made.asked[2] - made.spec.top.thickness)
        # Room for what the batten swells between walls that don't.
        s = made.seasons
        c = movement_coefficient(batten.species, batten.rings)
        swells = movement(batten.width, c, s.at_build, s.wettest)
        assert all(j.fit.cheek.low >= swells for j in ends)


@pytest.mark.parametrize("kind", KINDS)
def test_each_board_is_held_fast_by_one_row_and_slides_on_the_others(kind: str) -> None:
    made = bench(kind)
    battens = len(of_role(made, "batten"))
    for board in of_role(made, "top section"):
        bolts = [j for j in made.joints if isinstance(j, LagBolt) and j.top is board]
        assert len(bolts) == battens * made.spec.bolts.per_board
        assert sum(not b.slot for b in bolts) == battens


@pytest.mark.parametrize("kind", KINDS)
def test_dog_holes_miss_the_battens(kind: str) -> None:
    made = bench(kind)
    found = 0
    for joint in made.joints:
        if not isinstance(joint, DogHoles) or joint.member.role != "top section":
            continue
        place = joint.member.placement.place(joint.member.face_frame(joint.face))
        for x, y in joint.points:
            at = place.point((x, y, 0.0))[0]
            found += 1
            for batten in of_role(made, "batten"):
                low, high = (p[0] for p in batten.bounds())
                assert not low - joint.diameter / 2 - 3 < at < high + joint.diameter / 2 + 3
    assert found


def test_the_front_apron_has_the_volume_one_works_out_by_hand() -> None:
    made = bench("usual")
    a, b = made.spec.aprons, made.spec.battens
    apron = made.by_name["apron_front"]
    battens = len(of_role(made, "batten"))
    fit = next(j for j in made.joints if j.name == "batten_1_front")
    assert isinstance(fit, Notch)
    notch = (b.width + fit.fit.cheek.mid) * (b.let_in + FITS["easy"].bottom.mid) * b.thickness
    holes = next(j for j in made.joints if j.name == "rest_holes_1")
    assert isinstance(holes, DogHoles)
    circles = math.pi / 4 * a.thickness
    gone = battens * (notch + math.pi / 4 * b.peg_diameter**2 * 3 * b.peg_diameter)
    gone += 8 * circles * a.peg_diameter**2
    gone += len(holes.points) * circles * a.rest_holes.diameter**2
    assert made.volumes["apron_front"] == pytest.approx(apron.stock_volume - gone)


def test_another_modeller_finds_the_same_volumes() -> None:
    made = bench("tongued")
    for role in ("post", "apron", "batten"):
        member = of_role(made, role)[-1]
        low, high = bounds(member, made.cuts[member.name])
        assert low - 1e-3 <= made.volumes[member.name] <= high + 1e-3


@pytest.mark.deep
def test_a_tongued_top_builds_as_solids_that_pass() -> None:
    made = bench("tongued")
    assert made.check().errors == ()
    for name, solid in made.solids().placed.items():
        if name in made.volumes:
            assert solid.Volume() == pytest.approx(made.volumes[name], rel=1e-7)


def test_tongues_leave_the_gap_between_shoulders() -> None:
    made = bench("tongued")
    tongues = [j for j in made.joints if isinstance(j, TongueGroove)]
    boards = of_role(made, "top section")
    assert len(tongues) == len(boards) - 1
    gap = made.choices["top.gap"]
    for joint in tongues:
        assert joint.open_by == gap
        assert joint.reach == pytest.approx(made.spec.top.tongue)
        # Shoulders close before the tongue strikes the groove's floor.
        assert joint.bottom > gap


def test_what_moves_across_each_other_is_not_glued() -> None:
    made = bench("tongued")
    lines = {j.name: joint_line(j, Glue()) for j in made.joints}
    for joint in made.joints:
        line = lines[joint.name]
        if isinstance(joint, Notch | TongueGroove):
            assert line is not None
            assert not line.glued


@pytest.mark.parametrize(
    ("sizes", "field"),
    [
        ({"length": 500}, "length"),
        ({"shelf": {"enabled": True}, "stretchers": False}, "stretchers"),
        ({"aprons": {"let_in": 90, "thickness": 95}}, "aprons.let_in"),
        ({"aprons": {"let_in": 30}}, "top.overhang_front"),
        ({"aprons": {"beyond": 400}}, "aprons.beyond"),
        ({"aprons": {"width": 490}, "height": 650}, "aprons.width"),
        ({"upper_end": {"tenon_length": 60}}, "upper_end.tenon_length"),
        ({"upper_end": {"through": True}}, "upper_end.through"),
        ({"battens": {"let_in": 44}}, "battens.let_in"),
        ({"battens": {"thickness": 110}, "aprons": {"width": 210}}, "battens.thickness"),
        ({"aprons": {"rest_holes": {"below": 270}}}, "aprons.rest_holes.below"),
        ({"aprons": {"peg_spread": 200}}, "aprons.peg_spread"),
        ({"top": {"boards": 2}}, "top.boards"),
    ],
)
def test_what_cannot_be_built_names_its_field(sizes: dict[str, Any], field: str) -> None:
    with pytest.raises(SpecError) as caught:
        treenail.apron_bench(**sizes)
    assert caught.value.field == field
    assert caught.value.allowed


def test_a_starter_of_the_family_reads_as_its_defaults() -> None:
    made = CliRunner().invoke(cli, ["new", "--family", "apron"])
    assert made.exit_code == 0
    assert treenail.build_spec_file(made.output.encode()).spec == ApronBenchSpec()
