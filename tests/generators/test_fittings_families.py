"""Fittings on apron and trestle benches: where they stand, what they cut, what is refused."""

import math
from functools import cache
from typing import Any

import pytest

from tests.checks.benches import said
from tests.families.sizes import SIZES
from tests.fittings import FEET, HIGH, JACK, LEG_VISE, SCREWS, STOP, VISE, fitted_as
from tests.joints.modeller import bounds
from treenail.checks import check_bench
from treenail.checks.assembly.plan import plan_assembly
from treenail.checks.strength.mass import bench_mass
from treenail.checks.strength.steady import steady_figures
from treenail.generators.bench import Bench
from treenail.generators.build import build_bench
from treenail.generators.families import family_spec
from treenail.generators.solids import build_solids
from treenail.generators.spec_file import read_spec_text
from treenail.generators.spec_values import build_spec
from treenail.joints.convex import segment_distance
from treenail.joints.cuts import Bore
from treenail.joints.features import DogHoles
from treenail.joints.levelling import LevellingFoot
from treenail.joints.sliding import Sliding
from treenail.joints.treenails import Treenails
from treenail.joints.vise_screw import ViseScrew
from treenail.timber.errors import SpecError

#: (what a bench needs of its sizes, its fittings), for the whole of each family.
ALL: dict[str, tuple[dict[str, Any], dict[str, Any]]] = {
    "apron": (
        HIGH,
        {
            "leg_vise": LEG_VISE,
            "face_vise": SCREWS,
            "end_vise": SCREWS,
            "planing_stop": STOP,
            "levelling_feet": FEET,
        },
    ),
    "trestle": (
        {},
        {"face_vise": VISE, "end_vise": VISE, "planing_stop": STOP, "levelling_feet": FEET},
    ),
}


@cache
def whole(family: str) -> Bench:
    sizes, fittings = ALL[family]
    return fitted_as(family, sizes, **fittings)


def vise_of(bench: Bench, name: str) -> ViseScrew:
    return next(j for j in bench.joints if isinstance(j, ViseScrew) and j.name == name)


@pytest.mark.parametrize("family", ALL)
def test_with_all_its_fittings_a_bench_passes_and_goes_together(family: str) -> None:
    bench = whole(family)
    found = check_bench(bench).findings
    assert [f for f in found if f.severity == "error"] == []
    # Blocks and jaws are short, and the vise's weight at the end tips a light trestle bench.
    assert {f.rule for f in found if f.severity == "warning"} <= {"short-piece", "tips-over"}
    assert max(m.bounds()[1][2] for m in bench.timbers) == pytest.approx(bench.asked[2])
    steps = [step.what for step in plan_assembly(bench).steps]
    assert "Put planing stop into" in steps[-2]
    assert steps[-1].endswith("turn in 4 levelling feet.")


@pytest.mark.parametrize(
    ("family", "name"),
    [
        pytest.param("apron", "apron_front", marks=pytest.mark.deep),
        ("apron", "post_front_left"),
        ("trestle", "foot_left"),
    ],
)
def test_another_modeller_finds_the_same_volumes(family: str, name: str) -> None:
    bench = whole(family)
    low, high = bounds(bench.by_name[name], bench.cuts[name])
    assert low - 1e-3 <= bench.volumes[name] <= high + 1e-3


@pytest.mark.deep
@pytest.mark.parametrize("family", ALL)
def test_a_fitted_bench_validates_on_its_solids(family: str) -> None:
    bench = whole(family)
    solids = build_solids(bench)
    assert check_bench(bench, solids).errors == ()
    for member in bench.timbers:
        assert solids.placed[member.name].Volume() == pytest.approx(
            bench.volumes[member.name], rel=1e-7
        )


# --- apron bench


def test_a_leg_vise_s_screw_goes_through_apron_and_post_between_the_treenails() -> None:
    bench = fitted_as("apron", HIGH, leg_vise=LEG_VISE)
    vise = vise_of(bench, "leg_vise")
    assert (vise.bearer.name, [m.name for m in vise.between]) == (
        "post_front_left",
        ["apron_front"],
    )
    rod = vise.rods[0]
    axis = (rod.point, (rod.point[0], rod.point[1] + rod.length, rod.point[2]))
    pegs = [j for j in bench.joints if isinstance(j, Treenails) and j.receiver == vise.bearer]
    clear = [
        segment_distance(axis, ((x, 0.0, z), (x, 90.0, z))).distance
        - (joint.diameter + rod.hole) / 2
        for joint in pegs
        for x, _, z in joint.points
    ]
    assert len(clear) == 4
    assert min(clear) >= 6.35
    # As high as that allows, in sixteenths: 8 to 10 in under the top.
    assert 203.2 <= bench.asked[2] - rod.point[2] <= 254.0
    # One round hole more in the apron than without it.
    plain = build_bench(build_spec(family_spec("apron"), HIGH, units="mm"), units="mm")
    gone = plain.volumes["apron_front"] - bench.volumes["apron_front"]
    thick = bench.by_name["apron_front"].thickness
    assert gone == pytest.approx(math.pi / 4 * rod.hole**2 * thick)


def test_a_face_vise_bores_the_apron_which_is_its_rear_jaw() -> None:
    bench = fitted_as("apron", face_vise=SCREWS)
    vise = vise_of(bench, "face_vise")
    assert [m.name for m in vise.between] == ["apron_front"]
    block, apron = bench.by_name["face_vise_block"], bench.by_name["apron_front"]
    assert block.bounds()[0][1] == apron.bounds()[1][1]
    battens = [m.bounds() for m in bench.timbers if m.role == "batten"]
    low, high = block.bounds()
    assert all(b[0][0] >= high[0] or b[1][0] <= low[0] for b in battens)
    holes = [c for c in bench.cuts["apron_front"] if c.joint == "face_vise"]
    assert sorted(c.diameter for c in holes if isinstance(c, Bore)) == [25.0, 25.0, 25.0]
    with pytest.raises(SpecError, match="apron_front stands under the top's edge") as caught:
        fitted_as("apron", face_vise=VISE)
    assert caught.value.field == "fittings.face_vise.rear_jaw.recess"
    # An apron that stands back leaves room for one.
    back = {"top": {"overhang_front": "20 mm"}}
    fitting = fitted_as("apron", back, face_vise={**VISE, "screw_below": 64})
    assert "face_vise_rear_jaw_1" in {j.name for j in fitting.joints}


@pytest.mark.parametrize("family", ["frame", "apron", "trestle"])
def test_dog_holes_over_a_vise_are_left_out(family: str) -> None:
    sizes = {"meeting": "mitred"} if family == "frame" else {}
    plain, bench = fitted_as(family, sizes), fitted_as(family, sizes, face_vise=SCREWS)

    def dogs(made: Bench) -> int:
        joints = (j for j in made.joints if isinstance(j, DogHoles) and j.name != "rest_holes_1")
        return sum(len(j.points) for j in joints)

    left_out = bench.choices["fittings.face_vise.dog_holes_left_out"]
    assert dogs(plain) - dogs(bench) == left_out > 0
    for rule in ("dog-hole-below", "dog-meets-vise", "dog-hole-bolt"):
        assert said(bench, rule) == []


def test_a_planing_stop_finds_a_place_off_battens_and_joins() -> None:
    for front in (100.0, 127.0, 200.0, 290.0):
        bench = fitted_as("apron", planing_stop={**STOP, "width": 63.5, "from_front": front})
        slide = next(j for j in bench.joints if isinstance(j, Sliding))
        low, high = slide.receiver.bounds()
        assert front - 31.75 - low[1] >= 12.0 - 1e-6 or low[1] == 0.0
        assert high[1] - front - 31.75 >= 12.0 - 1e-6
    start, end = (p[0] for p in fitted_as("apron").by_name["batten_1"].bounds())
    with pytest.raises(
        SpecError, match=f"in batten_1, .* from {start:g} mm to {end:g} mm"
    ) as caught:
        fitted_as("apron", planing_stop={**STOP, "width": 60, "from_end": start})
    assert caught.value.allowed == f"at most {start - 30:g} mm, or at least {end + 30:g} mm"


def test_a_small_apron_bench_has_no_room_for_a_wide_stop_and_says_how_much() -> None:
    with pytest.raises(SpecError, match="free below the top") as caught:
        fitted_as("apron", SIZES["apron"]["smallest"], planing_stop={**STOP, "width": 120})
    assert caught.value.field == "fittings.planing_stop.from_end"


@pytest.mark.parametrize(
    ("vise", "field", "told"),
    [
        ({**SCREWS, "screw_below": 55}, "screw_below", "run through batten_5"),
        ({**SCREWS, "block_set_back": 80}, "at", "its block would stand in batten_5"),
    ],
)
def test_an_end_vise_passes_the_end_batten_or_says_by_how_much_it_does_not(
    vise: dict[str, Any], field: str, told: str
) -> None:
    assert vise_of(fitted_as("apron", end_vise=SCREWS), "end_vise").between
    with pytest.raises(SpecError, match=told) as caught:
        fitted_as("apron", end_vise=vise)
    assert caught.value.field == f"fittings.end_vise.{field}"
    if field == "screw_below":  # below the batten by half of the widest hole, which is 25 mm
        needs = fitted_as("apron").by_name["batten_5"].thickness + 12.5
        assert str(caught.value.allowed).startswith(f"at least {needs:g} mm, below it")


def test_pegs_that_leave_no_place_for_the_screw_are_told_of() -> None:
    pegs = {"width": 385, "peg_rows": 4, "peg_spread": 150}
    sizes = {**HIGH, "aprons": pegs, "posts": {"width": 60}}
    with pytest.raises(SpecError, match="clear of pegs") as caught:
        fitted_as("apron", sizes, leg_vise={**LEG_VISE, "nut": {"length": 380}})
    assert caught.value.field == "fittings.leg_vise.screw_height"


def test_a_stop_keeps_off_a_cap_s_bolts_and_a_block_too_long_for_its_place_says_so() -> None:
    capped = {"top": {"ends": "cap", "overhang_ends": 330}}
    bench = fitted_as("apron", capped, planing_stop={**STOP, "width": 45})
    assert said(bench, "fitting-meets-cut") == said(bench, "fitting-wall") == []
    with pytest.raises(SpecError, match="beyond the nut at 130 mm") as caught:
        fitted_as("apron", {"top": {"ends": "cap"}}, end_vise=SCREWS)
    assert caught.value.field == "fittings.end_vise.block_set_back"


# --- trestle bench


@pytest.mark.parametrize("size", SIZES["trestle"])
def test_a_trestle_bench_stands_on_four_feet_at_its_height(size: str) -> None:
    feet = {**FEET, "insert_hole": 10, "stud_diameter": 8}
    bench = fitted_as("trestle", SIZES["trestle"][size], levelling_feet=feet)
    found = [j for j in bench.joints if isinstance(j, LevellingFoot)]
    assert [f.name for f in found] == [
        f"levelling_foot_{side}_{end}" for end in ("left", "right") for side in ("front", "back")
    ]
    assert {h.placement.origin[2] for h in bench.hardware if h.kind == "levelling foot"} == {0.0}
    assert bench.by_name["foot_left"].bounds()[0][2] == 22.5
    assert bench.by_name["top_section_1"].bounds()[1][2] == pytest.approx(bench.asked[2])
    assert check_bench(bench).errors == ()
    holes = [c for c in bench.cuts["foot_left"] if c.joint.startswith("levelling")]
    # Two holes in each place, the stud's 8 mm and 1/16 in wide and 53 mm deep.
    assert len(holes) == 4
    plain = fitted_as("trestle", SIZES["trestle"][size])
    gone = plain.volumes["foot_left"] - bench.volumes["foot_left"]
    wide = 8.0 + 25.4 / 16
    assert gone == pytest.approx(2 * math.pi / 4 * (10.0**2 * 25.0 + wide**2 * 28.0))


def test_pads_inward_of_a_trestle_s_feet_let_it_tip_sooner() -> None:
    def push(bench: Bench) -> float:
        figures = steady_figures(bench, bench_mass(bench))
        return next(f.value for f in figures if f.key == "tip-across")

    plain, on_pads = fitted_as("trestle"), fitted_as("trestle", levelling_feet=FEET)
    middle = fitted_as("trestle").asked[1] / 2
    pad = next(h for h in on_pads.hardware if h.kind == "levelling foot").placement.origin[1]
    foot = plain.by_name["foot_left"].bounds()[0][1]
    assert push(on_pads) / push(plain) == pytest.approx(
        (middle - pad + 25.0) / (middle - foot), rel=0.01
    )


def test_a_face_vise_stands_between_the_trestles() -> None:
    bench = fitted_as("trestle", face_vise=VISE)
    vise = vise_of(bench, "face_vise")
    assert vise.between == ()
    arms = [bench.by_name[f"arm_{end}"].bounds() for end in ("left", "right")]
    low, high = bench.by_name["face_vise_block"].bounds()
    assert arms[0][1][0] <= low[0]
    assert high[0] <= arms[1][0][0]


def test_long_steel_goes_through_an_arm_and_keeps_wood_around_it() -> None:
    long = {**VISE, "screw_length": 480, "rod_length": 480, "rod_spacing": 150}
    assert [m.name for m in vise_of(fitted_as("trestle", end_vise=long), "end_vise").between] == [
        "arm_right"
    ]
    with pytest.raises(SpecError, match="break out of arm_right") as caught:
        fitted_as("trestle", end_vise={**long, "screw_below": 85})
    assert caught.value.field == "fittings.end_vise.screw_below"


# --- what makes no sense


@pytest.mark.parametrize(
    ("family", "group", "fitting", "instead"),
    [
        ("apron", "board_jack", JACK, "aprons.rest_holes"),
        ("trestle", "leg_vise", LEG_VISE, "use face_vise"),
        ("trestle", "board_jack", JACK, "use face_vise"),
    ],
)
def test_what_makes_no_sense_is_refused_with_what_to_use_instead(
    family: str, group: str, fitting: dict[str, Any], instead: str
) -> None:
    with pytest.raises(SpecError, match=instead) as caught:
        fitted_as(family, **{group: fitting})
    assert caught.value.field == f"fittings.{group}"
    text = f"bench: {family}\nunits: mm\nfittings:\n  {group}: {{enabled: true}}\n"
    with pytest.raises(SpecError, match=instead) as read:
        read_spec_text(text)
    assert read.value.line == 4
