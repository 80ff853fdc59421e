"""The raised bench: heights that add up, pins in the holes below, volumes, what can't be built."""

import math
import re
from functools import cache
from typing import Any

import pytest
from click.testing import CliRunner
from hypothesis import given
from hypothesis import strategies as st

import treenail
from tests.families.sizes import SIZES
from tests.joints.modeller import bounds
from treenail.checks.strength.data import strength_of
from treenail.cli import cli
from treenail.generators.raised_spec import RaisedBenchSpec
from treenail.joints.held_down import HeldDown
from treenail.joints.tenon_variants.wedged import WedgedTenon
from treenail.templates.bench_sheet import bench_sheet_svg
from treenail.timber.errors import GeometryError, SpecError

KINDS: dict[str, dict[str, Any]] = {
    "usual": {},
    "smallest": SIZES["raised"]["smallest"],
    "largest": SIZES["raised"]["largest"],
    "clamps": {"hold": {"by": "clamps"}},
    "pins behind": {"hold": {"foot": "back", "pitch": "75 mm", "hole": "20 mm"}},
    "wide feet, two rows": {
        "depth": "360 mm",
        "feet": {"width": "80 mm"},
        "top": {"dog_holes": {"rows": 2, "row_spacing": "60 mm"}},
    },
    "breadboard": {"top": {"ends": "breadboard"}},
    "capped": {"top": {"ends": "cap"}},
}


@cache
def bench(kind: str) -> treenail.Bench:
    return treenail.raised_bench(**KINDS[kind])


@given(st.floats(600, 1100), st.floats(115, 400))
def test_its_height_is_what_the_working_height_leaves(below: float, raised: float) -> None:
    made = treenail.raised_bench(below=below, working_height=below + raised)
    assert made.asked[2] == pytest.approx(raised, abs=1e-6)
    assert max(m.bounds()[1][2] for m in made.timbers) == pytest.approx(raised, abs=1e-6)


def test_a_height_of_its_own_must_agree() -> None:
    assert treenail.raised_bench(height="17 cm").asked[2] == pytest.approx(170)
    with pytest.raises(SpecError, match="comes to") as caught:
        treenail.raised_bench(height=180)
    assert caught.value.field == "height"


@pytest.mark.parametrize("kind", KINDS)
def test_numbers_pass_and_it_stands_on_its_feet(kind: str) -> None:
    made = bench(kind)
    report = made.check(numbers_only=True)
    assert report.errors == ()
    assert not {f.rule for f in report.findings} & {
        "tips-over",
        "slides",
        "sways",
        "dog-hole-below",
    }
    feet = [m for m in made.timbers if m.role == "foot"]
    assert len(feet) == 2
    assert all(m.bounds()[0][2] == 0.0 for m in feet)


@pytest.mark.parametrize("kind", KINDS)
def test_every_post_goes_through_its_foot_and_the_top_and_is_wedged_in_both(kind: str) -> None:
    made = bench(kind)
    joints = [j for j in made.joints if isinstance(j, WedgedTenon)]
    for leg in (m for m in made.timbers if m.role == "post"):
        mine = [j for j in joints if j.entering is leg]
        assert {j.receiver.role for j in mine} == {"foot", "top section"}
        assert all(j.proud == 0.0 for j in mine)
        # The flare opens along the receiver's grain, so that wedges don't split it.
        for joint in mine:
            spread = joint.receiver.placement.local_direction((1.0, 0.0, 0.0))
            assert abs(spread[0]) == 1.0


@pytest.mark.parametrize("kind", [k for k in KINDS if k != "clamps"])
def test_pins_stand_whole_pitches_apart_under_one_foot(kind: str) -> None:
    made = bench(kind)
    hold = made.spec.hold
    (joint,) = (j for j in made.joints if isinstance(j, HeldDown))
    assert joint.member.name == f"foot_{hold.foot}"
    (x0, y0), (x1, y1) = joint.places
    pitches = (x1 - x0) / hold.pitch
    assert pitches >= 1.0
    assert pitches == pytest.approx(round(pitches))
    assert y0 == y1
    pins = joint.pegs()
    area = math.pi / 4 * joint.diameter**2
    assert made.volumes[joint.member.name] < joint.member.stock_volume - 2 * area * joint.depth
    for pin in pins:
        low, high = pin.bounds()
        assert (low[2], high[2]) == pytest.approx((-hold.length, joint.depth))
        # It drops into a hole of the size stated, with the play asked for at its end.
        assert pin.tip_diameter == pytest.approx(hold.hole - hold.play)
    for leg in (m for m in made.timbers if m.role == "post"):
        low, high = leg.bounds()
        assert all(not low[0] - 6 < x - joint.diameter / 2 < high[0] + 6 for x, _ in joint.places)


def test_clamps_need_no_holes_and_their_pull_is_told() -> None:
    made = bench("clamps")
    assert made.pegs == ()
    pull = next(f for f in strength_of(made).figures if f.key == "clamp-pull")
    w, h, feet = strength_of(made).mass.weight, made.asked[2], made.asked[1] - 2 * 25
    assert pull.value == pytest.approx((200.0 * h - w * feet / 2) / feet, rel=1e-6)


def test_the_front_foot_has_the_volume_one_works_out_by_hand() -> None:
    made = bench("usual")
    foot = made.by_name["foot_front"]
    joints = [j for j in made.joints if isinstance(j, WedgedTenon) and j.receiver is foot]
    gone = 0.0
    for j in joints:
        wide, thick = j.width + j.fit.edge.mid, j.thickness + j.fit.cheek.mid
        # A straight mortise, and two flares: triangles from where they start to the far face.
        gone += thick * (wide * foot.thickness + j.flare * (foot.thickness - j.flare_start))
    (pins,) = (j for j in made.joints if isinstance(j, HeldDown))
    gone += 2 * math.pi / 4 * pins.diameter**2 * pins.depth
    assert made.volumes["foot_front"] == pytest.approx(foot.stock_volume - gone)


@pytest.mark.parametrize(
    ("kind", "names"),
    [
        ("usual", ("foot_front", "foot_back", "post_front_left", "top_section_1")),
        ("breadboard", ("breadboard_end_left", "top_section_1")),
        ("capped", ("end_cap_right", "top_section_1")),
    ],
)
def test_another_modeller_finds_the_same_volumes(kind: str, names: tuple[str, ...]) -> None:
    made = bench(kind)
    for name in names:
        low, high = bounds(made.by_name[name], made.cuts[name])
        assert low - 1e-3 <= made.volumes[name] <= high + 1e-3


@pytest.mark.deep
@pytest.mark.parametrize("kind", ["usual", "breadboard", "capped"])
def test_solids_pass_the_checks_and_have_the_closed_form_volumes(kind: str) -> None:
    made = bench(kind)
    assert made.check().errors == ()
    for name, solid in made.solids().placed.items():
        if name in made.volumes:
            assert solid.Volume() == pytest.approx(made.volumes[name], rel=1e-7)


@pytest.mark.parametrize("kind", ["breadboard", "capped"])
def test_end_boards_lie_outside_the_posts_and_let_the_top_move(kind: str) -> None:
    made = bench(kind)
    posts = [m.bounds() for m in made.timbers if m.role == "post"]
    boards = [m.bounds() for m in made.timbers if m.role in ("breadboard end", "end cap")]
    assert len(boards) == 2
    assert min(low[0] for low, _ in posts) >= min(high[0] for _, high in boards)
    assert max(high[0] for _, high in posts) <= max(low[0] for low, _ in boards)
    assert not {f.rule for f in made.check(numbers_only=True).findings} & {
        "drill-missing",
        "end-board-held",
        "end-board-room",
        "end-board-slot",
    }


def test_pins_beside_or_through_the_foot_are_refused() -> None:
    foot = bench("usual").by_name["foot_front"]
    fields: dict[str, Any] = {"name": "pins", "member": foot, "diameter": 19.0, "tip": 18.0}
    with pytest.raises(GeometryError, match="beside"):
        HeldDown(**fields, places=((300.0, 30.0),), depth=20.0, proud=30.0)
    with pytest.raises(GeometryError, match="thick"):
        HeldDown(**fields, places=((300.0, 50.8),), depth=foot.thickness, proud=30.0)


@pytest.mark.parametrize(
    ("sizes", "field"),
    [
        ({"working_height": 900}, "working_height"),
        ({"length": 260}, "length"),
        ({"top": {"kind": "split"}}, "top.kind"),
        ({"top": {"kind": "well"}}, "top.kind"),
        ({"top": {"ends": "cap", "overhang": 50}}, "top.end_boards.width"),
        ({"depth": 150}, "depth"),
        ({"feet": {"width": 40}}, "feet.width"),
        ({"top": {"dog_holes": {"rows": 2}}}, "top.dog_holes.rows"),
        ({"hold": {"pitch": 400}}, "hold.pitch"),
        ({"hold": {"hole": 38}}, "hold.hole"),
        ({"post_tenons": {"thickness": 45}}, "post_tenons.thickness"),
        ({"post_tenons": {"shoulder_ends": 30}}, "post_tenons.shoulder_ends"),
        ({"post_tenons": {"flare": 8, "kerf": 4, "wedges": 3}}, "post_tenons.wedges"),
    ],
)
def test_what_cannot_be_built_names_its_field(sizes: dict[str, Any], field: str) -> None:
    with pytest.raises(SpecError) as caught:
        treenail.raised_bench(**sizes)
    assert caught.value.field == field
    assert caught.value.allowed


@pytest.mark.parametrize("kind", ["split", "well"])
def test_a_parted_top_is_refused_with_the_reason(kind: str) -> None:
    with pytest.raises(SpecError, match="alone joins the front posts to those behind") as caught:
        treenail.raised_bench(top={"kind": kind})
    assert caught.value.allowed == "solid"


def test_a_starter_of_the_family_reads_as_its_defaults() -> None:
    made = CliRunner().invoke(cli, ["new", "--family", "raised"])
    assert made.exit_code == 0
    assert treenail.build_spec_file(made.output.encode()).spec == RaisedBenchSpec()


def test_the_sheet_gives_its_own_height_without_the_pins() -> None:
    drawn = bench_sheet_svg(bench("usual").solids()).decode()
    texts = re.findall(r">([^<>]+)</text>", drawn)
    assert "170" in texts
    assert f"{170 + bench('usual').spec.hold.length:g}" not in "".join(texts)
