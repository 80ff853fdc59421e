"""The trestle bench: sizes, how it comes apart, volumes, and what can't be built."""

from functools import cache
from typing import Any, Literal

import pytest
from click.testing import CliRunner

import treenail
from tests.joints.modeller import bounds
from treenail.checks.assembly.plan import plan_assembly
from treenail.cli import cli
from treenail.generators.trestle_spec import TrestleBenchSpec
from treenail.joints.features import Hollow
from treenail.joints.lag_bolt import LagBolt
from treenail.joints.tenon_variants.tusk import TuskTenon
from treenail.joints.tenon_variants.wedged import WedgedTenon
from treenail.timber.errors import SpecError

SIZES: dict[str, dict[str, Any]] = {
    "smallest": {
        "length": "1100 mm",
        "depth": "420 mm",
        "height": "560 mm",
        "top": {"overhang_front": "40 mm", "overhang_back": "40 mm"},
        "stretchers": {"width": "110 mm"},
    },
    "usual": {},
    "largest": {"length": "3600 mm", "depth": "1000 mm", "height": "950 mm"},
}
SINGLE: dict[str, Any] = {"per_trestle": 1, "thickness": "180 mm"}
KINDS: dict[str, dict[str, Any]] = {
    "two posts": {},
    "one post": {"posts": SINGLE},
    "wedged arms, level wedges": {"arms": {"way": "wedged"}},
    "wide feet and arms": {"feet": {"width": "100 mm"}, "arms": {"width": "90 mm"}},
}


@cache
def bench(size: str, kind: str, units: Literal["in", "mm"] = "mm") -> treenail.Bench:
    sizes: dict[str, Any] = {**SIZES[size], **KINDS[kind]}
    if "level" in kind:
        sizes["stretchers"] = {**sizes.get("stretchers", {}), "drive": "level"}
    return treenail.trestle_bench(units=units, **sizes)


@pytest.mark.parametrize("units", ["in", "mm"])
@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("size", SIZES)
def test_a_grid_of_sizes_passes_and_has_the_sizes_asked_for(
    size: str, kind: str, units: Literal["in", "mm"]
) -> None:
    made = bench(size, kind, units)
    lows, highs = zip(*(m.bounds() for m in made.timbers), strict=True)
    for axis, asked in enumerate((made.spec.length, made.spec.depth, made.spec.height)):
        assert min(p[axis] for p in lows) == pytest.approx(0.0, abs=1e-9)
        assert max(p[axis] for p in highs) == pytest.approx(asked, abs=1e-9)
    assert made.check(numbers_only=True).errors == ()


@pytest.mark.parametrize("kind", ["two posts", "wedged arms, level wedges"])
def test_the_usual_one_needs_no_mending(kind: str) -> None:
    findings = bench("usual", kind).check(numbers_only=True).findings
    assert [f.message for f in findings if f.severity != "advice"] == []
    assert "shoulder-dries-open" not in {f.rule for f in findings if f.member.startswith("str")}


@pytest.mark.parametrize(
    ("size", "kind"),
    [
        pytest.param("usual", "two posts", marks=pytest.mark.deep),  # tests/families has it too
        ("smallest", "wedged arms, level wedges"),
    ],
)
def test_solids_pass_the_checks_and_have_the_closed_form_volumes(size: str, kind: str) -> None:
    made = bench(size, kind)
    assert made.check().errors == ()
    for name, solid in made.solids().placed.items():
        if name in made.volumes:
            assert solid.Volume() == pytest.approx(made.volumes[name], rel=1e-7)


@pytest.mark.parametrize("kind", ["two posts", "wedged arms, level wedges"])
def test_volumes_lie_between_another_modellers(kind: str) -> None:
    made = bench("usual", kind)
    for member in made.timbers:
        if member.role == "top section" or "right" in member.name:
            continue  # as every bench's; as those on the left
        low, high = bounds(member, made.cuts[member.name])
        assert low * (1 - 1e-9) <= made.volumes[member.name] <= high * (1 + 1e-9), member.name


def test_volumes_by_hand() -> None:
    made = bench("usual", "two posts")
    spec = made.spec
    rail = next(m for m in made.timbers if m.name == "stretcher_front")
    tusk = next(j for j in made.joints if isinstance(j, TuskTenon))
    s, p = spec.stretchers, spec.posts
    body = rail.length - 2 * (p.width + tusk.proud)
    tenon = tusk.width * tusk.thickness
    # The hole: as wide as its mouth and narrower by the slope, relief inside the post.
    high = tusk.width
    middle = s.wedge_width + tusk.relief
    hole = high * middle * (tusk.wedge_thickness + tusk.play)
    wanted = body * s.width * s.thickness + 2 * ((p.width + tusk.proud) * tenon - hole)
    assert made.volumes[rail.name] == pytest.approx(wanted, rel=1e-9)
    foot = next(m for m in made.timbers if m.name == "foot_left")
    mortise, peg = (
        next(c for c in made.cuts[foot.name] if c.purpose == what)
        for what in ("mortise", "peg hole")
    )
    hollow = spec.feet.hollow * (foot.length - 2 * spec.feet.pad) * foot.thickness
    pocket = mortise.length * mortise.width * mortise.depth  # type: ignore[attr-defined]
    # Each peg's hole crosses the mortise; what is left of it are the two walls.
    wall = peg.depth - mortise.width  # type: ignore[attr-defined]
    bore = 3.141592653589793 / 4 * peg.diameter**2 * wall  # type: ignore[attr-defined]
    assert made.volumes[foot.name] == pytest.approx(
        foot.stock_volume - hollow - 2 * pocket - 4 * bore, rel=1e-9
    )


def test_it_comes_apart_by_its_bolts_and_tusks() -> None:
    made = bench("usual", "two posts")
    plan = plan_assembly(made)
    assert plan.knots == ()
    *_, rails, trestle, _, top = plan.steps
    driven = {d.name for d in (*rails.driven, *trestle.driven)}
    assert driven == {w.name for w in made.wedges}
    assert {d.name for d in top.driven} == {h.name for h in made.hardware}
    assert "trestle" in trestle.what
    assert "2 wedges across" in trestle.what
    # Nothing is between the last two: with the top off, whole trestles leave the stretchers.
    assert {made.by_name[n].role for n in trestle.moving} == {"foot", "post", "arm"}
    assert {made.by_name[n].role for n in trestle.onto} == {"stretcher"}


@pytest.mark.parametrize("kind", KINDS)
def test_the_top_is_held_along_one_line_and_moves_from_there(kind: str) -> None:
    made = bench("usual", kind)
    bolts = [j for j in made.joints if isinstance(j, LagBolt)]
    lines = sorted({b.point[1] for b in bolts})
    assert len(bolts) == 2 * len(lines) == (4 if kind == "one post" else 6)
    for bolt in bolts:
        assert (bolt.slot == 0.0) is (bolt.point[1] == lines[0])
    slots = {b.point[1]: b.slot for b in bolts}
    assert sorted(slots.values()) == [slots[y] for y in lines]
    assert len(set(slots.values())) == len(lines)


@pytest.mark.parametrize("kind", ["split", "well"])
def test_other_tops_are_held_by_lines_of_their_own(kind: str) -> None:
    made = treenail.trestle_bench(top={"kind": kind})
    assert made.check(numbers_only=True).errors == ()
    bolts = [j for j in made.joints if isinstance(j, LagBolt)]
    fast = {b.top.name for b in bolts if b.slot == 0.0}
    assert len(fast) == len({b.top.name for b in bolts}) == 2


def test_a_wedge_needs_room_for_the_mallet() -> None:
    made = treenail.trestle_bench(stretchers={"height": 400}, arms={"width": 125})
    said = [f for f in made.check(numbers_only=True).findings if f.rule == "wedge-not-reachable"]
    assert {f.joint for f in said} == {j.name for j in made.joints if isinstance(j, TuskTenon)}
    assert all("wedge" in f.message for f in said)
    free = made.spec.height - made.spec.top.thickness - made.spec.arms.height
    butt = 400 + made.spec.stretchers.width - made.spec.stretchers.shoulder
    butt += made.spec.stretchers.stand_out
    assert said[0].measured == pytest.approx(free - butt)


def test_feet_stand_on_their_ends() -> None:
    made = bench("usual", "two posts")
    hollows = [j for j in made.joints if isinstance(j, Hollow)]
    assert [j.member.name for j in hollows] == ["foot_left", "foot_right"]
    flat = treenail.trestle_bench(feet={"hollow": 0})
    assert not any(isinstance(j, Hollow) for j in flat.joints)


@pytest.mark.parametrize("kind", ["two posts", "wedged arms, level wedges"])
def test_each_stretcher_end_has_its_wedge_outside_the_post(kind: str) -> None:
    made = bench("usual", kind)
    tusks = [j for j in made.joints if isinstance(j, TuskTenon)]
    assert len(tusks) == 4
    for joint in tusks:
        (wedge,) = joint.wedges()
        low, high = wedge.bounds()
        post_low, post_high = joint.receiver.bounds()
        outside = low[0] >= post_high[0] - 1e-9 or high[0] <= post_low[0] + 1e-9
        assert outside
        assert joint.end_wood >= made.spec.stretchers.wedge_width - 1e-6
    assert any(isinstance(j, WedgedTenon) for j in made.joints) is ("wedged" in kind)


@pytest.mark.parametrize(
    ("sizes", "field"),
    [
        ({"length": 700}, "length"),
        ({"depth": 350}, "depth"),
        ({"height": 400}, "height"),
        ({"posts": {"width": 90}}, "feet.width"),
        ({"arms": {"width": 60}}, "arms.width"),
        ({"arms": {"beyond": 200}}, "arms.beyond"),
        ({"feet": {"tenon_length": 98}}, "feet.tenon_length"),
        ({"arms": {"tenon_length": 85}}, "arms.tenon_length"),
        ({"posts": {"per_trestle": 1, "thickness": 500}}, "posts.thickness"),
        ({"stretchers": {"height": 20}}, "stretchers.height"),
        ({"stretchers": {"tenon_thickness": 60}}, "stretchers.tenon_thickness"),
        ({"stretchers": {"shoulder": 90}}, "stretchers.shoulder"),
        ({"stretchers": {"wedge_thickness": 24}}, "stretchers.wedge_thickness"),
        ({"stretchers": {"proud": 40}}, "stretchers.proud"),
        ({"top": {"overhang_ends": 60}}, "stretchers.proud"),
        ({"mortise_corners": "round", "cutter": 40}, "cutter"),
    ],
)
def test_what_cannot_be_built_names_its_field(sizes: dict[str, Any], field: str) -> None:
    with pytest.raises(SpecError) as caught:
        treenail.trestle_bench(**sizes)
    assert caught.value.field == field
    assert caught.value.allowed


def test_a_starter_of_the_family_reads_as_its_defaults() -> None:
    made = CliRunner().invoke(cli, ["new", "--family", "trestle"])
    assert made.exit_code == 0
    assert treenail.build_spec_file(made.output.encode()).spec == TrestleBenchSpec()
