"""The year: how dimensions move, what the rules say of it, and the year as plain data."""

from __future__ import annotations

import json
import math
import subprocess
import sys
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.checks.benches import edit, frame, section, with_cut, with_joint
from tests.strategies import frame_specs, tenoned_pairs
from treenail.checks import load_rules
from treenail.checks.climate import MONTHS, monthly_moisture, room, swing
from treenail.checks.rules import Context, Finding
from treenail.checks.season_data import season_data
from treenail.checks.seasons import NEAR_CRUSH, crush_strain
from treenail.checks.year import Track, alike, coefficient_along, tracks, tracks_of
from treenail.generators.bench import Bench, Seasons
from treenail.generators.climate import Room
from treenail.generators.frame_bench import build_frame_bench
from treenail.generators.frame_spec import FrameBenchSpec
from treenail.joints.lag_bolt import LagBolt
from treenail.joints.mortise_tenon import MortiseTenon
from treenail.timber.moisture import movement, movement_coefficient, thickness_coefficient
from treenail.timber.species import load_species

CODES = {
    code
    for code, known in load_rules().items()
    if known.check.__module__ in ("treenail.checks.climate", "treenail.checks.seasons")
}
JOINT = "lower_front_at_left"
points = st.floats(-6, 8)


def found(bench: Bench) -> list[Finding]:
    context, rules = Context(bench=bench), load_rules()
    return [f for code in sorted(CODES) for f in rules[code].check(context)]


def at(bench: Bench, key: str, joint: str = JOINT) -> Track:
    return next(t for t in tracks_of(Context(bench=bench), key) if t.joint == joint)


def dried(bench: Bench, built: float, driest: float, wettest: float) -> Bench:
    return replace(bench, seasons=Seasons(built, driest, wettest))


def only_joint(pair: MortiseTenon) -> Bench:
    return Bench(
        name="two pieces",
        family="none",
        units="mm",
        timbers=(pair.receiver, pair.entering),
        joints=(pair,),
        asked=(1.0, 1.0, 1.0),
        seasons=Seasons(8.0, 6.0, 11.0),
    )


# --- how things move


@given(pair=tenoned_pairs())
def test_along_a_members_axes_the_coefficients_are_the_boards_own(pair: MortiseTenon) -> None:
    for m in (pair.receiver, pair.entering):
        assert coefficient_along(m, m.placement.x) == 0.0
        assert coefficient_along(m, m.placement.y) == movement_coefficient(m.species, m.rings)
        assert coefficient_along(m, m.placement.z) == thickness_coefficient(m.species, m.rings)


@given(angle=st.floats(0, 2 * math.pi))
def test_in_between_strain_turns_as_a_tensor(angle: float) -> None:
    m = frame().by_name["post_front_left"]
    y, z = m.placement.y, m.placement.z
    c, s = math.cos(angle), math.sin(angle)
    one = coefficient_along(m, tuple(c * a + s * b for a, b in zip(y, z, strict=True)))  # type: ignore[arg-type]
    other = coefficient_along(m, tuple(-s * a + c * b for a, b in zip(y, z, strict=True)))  # type: ignore[arg-type]
    # The sum over two directions square to each other doesn't depend on how they are turned.
    assert one + other == pytest.approx(m.species.c_radial + m.species.c_tangential)


@given(spec=frame_specs(), there=points)
def test_every_dimension_is_a_straight_line_through_the_build(
    spec: FrameBenchSpec, there: float
) -> None:
    for t in tracks(Context(bench=build_frame_bench(spec))):
        assert t.change(0.0) == 0.0
        assert t.at(0.0) == t.built
        assert t.change(-there) == -t.change(there)
        assert math.isfinite(t.per_percent)
        # Nothing moves more than its own wood could by the largest coefficient there is.
        assert abs(t.per_percent) <= 2.2 * t.size * 0.0045 + 0.1


@given(pair=tenoned_pairs(offset=1.5))
def test_a_joint_follows_its_closed_forms(pair: MortiseTenon) -> None:
    bench, wood = only_joint(pair), pair.entering.species
    c_r, c_t = wood.c_radial, wood.c_tangential
    assert at(bench, "tenon-width", "joint").per_percent == pytest.approx(pair.width * c_t)
    # Along the post's grain the mortise doesn't move: the edges' play goes by the tenon alone.
    edge = at(bench, "edge-play", "joint")
    assert edge.built == pytest.approx(pair.fit.edge.mid)
    assert edge.per_percent == pytest.approx(-pair.width * c_t)
    # The cheeks' play goes by both; the rail is flat-sawn, its thickness radial.
    cheek = at(bench, "cheek-play", "joint")
    across = pair.receiver.extent(pair.receiver.face_towards(pair.end_frame.y))
    c_post = coefficient_along(pair.receiver, pair.end_frame.y)
    assert across in (pair.receiver.width, pair.receiver.thickness)
    assert c_post == pytest.approx(c_r) or c_post == pytest.approx(c_t)
    assert cheek.per_percent == pytest.approx(pair.mortise.width * c_post - pair.thickness * c_r)
    # The draw: post's wood to the hole's near side, and the peg, on a tenon that stays.
    assert pair.draw is not None
    home = coefficient_along(pair.receiver, pair.insertion())
    d, peg = pair.draw.diameter, pair.draw.species.c_tangential
    lines = tracks_of(Context(bench=bench), "draw")
    for t, setback in zip(lines, sorted({s for _, s in pair.peg_points}), strict=True):
        assert t.built == pytest.approx(1.5)
        assert t.per_percent == pytest.approx((setback - d / 2) * home + d * peg)
    # A peg in a hole that keeps its size along the grain.
    assert at(bench, "peg-play", "joint").per_percent == pytest.approx(-d * peg)


@given(pair=tenoned_pairs(offset=1.5), more=st.floats(1, 60))
def test_a_wider_tenon_moves_more(pair: MortiseTenon, more: float) -> None:
    rail = replace(pair.entering, width=pair.entering.width + more)
    wider = replace(pair, entering=rail)
    for key in ("tenon-width", "edge-play"):
        narrow, wide = (at(only_joint(p), key, "joint").per_percent for p in (pair, wider))
        assert abs(wide) > abs(narrow)


@given(
    driest=st.floats(3, 10),
    span=st.floats(0, 10),
    share=st.floats(0, 1),
)
def test_findings_grow_with_the_swing(driest: float, span: float, share: float) -> None:
    """A climate within another one never brings more to say (but for its own range)."""
    wettest = driest + span
    built = min(max(driest + share * span, driest), wettest)
    wide = dried(frame(), built, driest, wettest)
    near = dried(frame(), built, (driest + built) / 2, (wettest + built) / 2)

    def worst(bench: Bench) -> set[str]:
        return {f.rule for f in found(bench)} - {"moisture-range-unusual"}

    assert worst(near) <= worst(wide)


def test_a_room_that_never_changes_has_nothing_to_say() -> None:
    assert found(dried(frame(), 8.0, 8.0, 8.0)) == []
    data = season_data(Context(bench=dried(frame(), 8.0, 8.0, 8.0)))
    assert {c for s in data.series for c in s.change} == {0.0}


@pytest.mark.parametrize("mc", [6.0, 14.0])
def test_a_room_that_stays_at_the_range_s_edge_is_in_it(mc: float) -> None:
    """Regression: no swing at all at 6 % was taken for outside, and had no remedy."""
    rules = {f.rule for f in found(dried(frame(), mc, mc, mc))}
    assert "moisture-range-unusual" not in rules


def test_all_posts_move_alike_front_to_back_and_sideways() -> None:
    """Boards glued face to face from front to back, however the post's own axes lie."""
    bench = frame()
    for axis in ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0)):
        each = {coefficient_along(m, axis) for m in bench.timbers if m.role == "post"}
        assert len(each) == 1
    left = bench.by_name["post_front_left"]
    assert coefficient_along(left, (0.0, 1.0, 0.0)) == left.species.c_radial
    assert coefficient_along(left, (1.0, 0.0, 0.0)) == left.species.c_tangential


# --- sound benches, and one thing wrong


@pytest.mark.parametrize("units", ["in", "mm"])
def test_the_default_bench_lives_through_the_year(units: str) -> None:
    assert found(build_frame_bench(FrameBenchSpec(), units=units)) == []


@given(frame_specs())
def test_no_sound_bench_has_an_error(spec: FrameBenchSpec) -> None:
    assert not [f for f in found(build_frame_bench(spec)) if f.severity == "error"]


def shallow(bench: Bench) -> Bench:
    """A post so wide that its mortise gets shallower by more than the gap as it dries."""
    joint = next(j for j in bench.joints if j.name == JOINT)
    assert isinstance(joint, MortiseTenon)
    return with_cut(bench, JOINT, "mortise", edit(depth=joint.length + 0.1))


BROKEN: dict[str, tuple[Bench, str]] = {
    "tenon-swells-tight": (
        with_cut(frame(), JOINT, "mortise", edit(length=101.6 + 0.02)),
        "advice",
    ),
    "cheeks-tighten": (
        with_cut(
            dried(frame(species="american beech"), 8.6, 6.0, 8.6),
            "upper_left_at_front",
            "mortise",
            # Its post moves more than its rail: what is wedged is wedged in the dry.
            edit(width=25.4),
        ),
        "advice",
    ),
    "tenon-dries-loose": (
        with_cut(frame(), "upper_left_at_front", "mortise", edit(width=25.4 + 0.38)),
        "advice",
    ),
    "bottoms-when-dry": (shallow(frame()), "error"),
    "shoulder-dries-open": (
        frame(**section("pegs", offset=0.4)),
        "advice",
    ),
    "peg-loosens": (dried(frame(), 10.0, 7.0, 11.0), "advice"),
    "peg-spread": (
        frame(height=900.0, **section("lower_long", width=170.0), **section("pegs", per_joint=4)),
        "advice",
    ),
    "cross-grain-width": (
        dried(frame(height=900.0, **section("lower_long", width=190.0)), 8.0, 7.5, 8.5),
        "advice",
    ),
    "moisture-range-unusual": (dried(frame(), 6.0, 5.0, 7.0), "advice"),
}


def test_every_rule_has_its_broken_bench() -> None:
    assert {*BROKEN, "edge-leaves-flush"} == CODES


@pytest.mark.parametrize("code", BROKEN)
def test_each_fault_is_found_by_its_rule(code: str) -> None:
    bench, severity = BROKEN[code]
    said = found(bench)
    assert {f.rule for f in said} == {code}
    assert {f.severity for f in said} == {severity}
    for f in said:
        assert any(c.isdigit() for c in f.remedy), f.remedy
        json.dumps(f.as_dict(), allow_nan=False)
        if code != "moisture-range-unusual":
            assert f.member in bench.by_name
            assert f.joint in {j.name for j in bench.joints}


def test_a_top_held_at_the_back_leaves_the_front_posts() -> None:
    bench = frame()
    bolts = [j for j in bench.joints if isinstance(j, LagBolt)]
    slot = next(b.slot for b in bolts if b.slot)
    turned = bench
    for bolt in bolts:
        turned = with_joint(turned, bolt.name, slot=0.0 if bolt.slot else slot)
    (said,) = found(turned)
    assert (said.rule, said.severity) == ("edge-leaves-flush", "advice")
    # From the back bolts to the front edge, less what the posts below move between them.
    c = bench.by_name["top_section_1"].species.c_radial
    front, back = (b.point[1] for b in (bolts[0], bolts[-1]))
    depth = back  # the front edge lies at 0
    post = 76.2
    wood = post * c + (post - (609.6 - back)) * c
    assert said.measured == pytest.approx((depth * c - wood) * 3.0)
    assert front < back
    # Overhanging at the front, nothing is flush that could come off.
    over = frame(**section("top", overhang_front=20.0))
    assert tracks_of(Context(bench=over), "front-overhang")[0].built == pytest.approx(20.0)


def test_squeezed_beyond_what_the_wood_stands_is_a_warning() -> None:
    bench = dried(frame(), 8.0, 7.0, 13.5)
    said = [f for f in found(bench) if f.rule == "tenon-swells-tight"]
    assert {f.severity for f in said} == {"warning"}
    worst = said[-1]
    t = at(bench, "edge-play", worst.joint)
    assert worst.measured == pytest.approx(-t.at(5.5))
    ash = bench.by_name["post_front_left"].species
    assert worst.measured is not None
    assert worst.measured / t.size > crush_strain(ash) > NEAR_CRUSH * crush_strain(ash)


def test_pegs_that_no_longer_pull_are_a_warning_and_no_pegs_an_advice() -> None:
    weak = dried(frame(**section("pegs", offset=0.4)), 9.0, 6.0, 11.0)
    assert "warning" in {f.severity for f in found(weak) if f.rule == "shoulder-dries-open"}
    bare = dried(frame(**section("pegs", per_joint=0)), 12.0, 6.0, 12.0)
    said = [f for f in found(bare) if f.rule == "shoulder-dries-open"]
    assert {f.severity for f in said} == {"advice"}
    assert "Without pegs" in said[0].message


@pytest.mark.parametrize("code", ["peg-loosens", "shoulder-dries-open"])
def test_drying_as_the_remedy_says_helps(code: str) -> None:
    start = dried(frame(**section("pegs", per_joint=0)), 12.0, 6.0, 12.0)
    bench = dried(frame(), 10.0, 7.0, 11.0) if code == "peg-loosens" else start
    said = next(f for f in found(bench) if f.rule == code)
    dry_to = float(said.remedy.partition(" dried to ")[2].partition(" %")[0] or 0) or float(
        said.remedy.partition("Dry the pegs to ")[2].partition(" %")[0]
    )
    s = bench.seasons
    # To the remedy's own rounding, a tenth of a point.
    eased = dried(bench, dry_to - 0.05, s.driest, s.wettest)
    assert code not in {f.rule for f in found(eased) if f.joint == said.joint}


def test_coefficients_that_are_not_published_only_warn() -> None:
    bench = shallow(frame())
    wood = replace(load_species()["white_ash"], movement_basis="memory")
    joints: list[Any] = []
    for j in bench.joints:
        if j.name == JOINT:
            assert isinstance(j, MortiseTenon)
            receiver, entering = (replace(m, species=wood) for m in (j.receiver, j.entering))
            joints.append(replace(j, receiver=receiver, entering=entering))
    pair = Bench(
        name="pair",
        family="none",
        units="mm",
        timbers=(joints[0].receiver, joints[0].entering),
        joints=tuple(joints),
        asked=bench.asked,
        seasons=bench.seasons,
    )
    pair = with_cut(pair, JOINT, "mortise", edit(depth=joints[0].length + 0.1))
    assert {f.severity for f in found(pair) if f.rule == "bottoms-when-dry"} == {"warning"}


def test_slots_and_shelf_gaps_are_judged_once() -> None:
    """By bolt-slot and shelf-gap: no rule of the seasons says it again."""
    bench = frame(**section("shelf", enabled=True, gap=0.3))
    for bolt in [j for j in bench.joints if isinstance(j, LagBolt) and j.slot]:
        bench = with_joint(bench, bolt.name, slot=0.5)
    rules, context = load_rules(), Context(bench=bench)
    assert list(rules["bolt-slot"].check(context))
    assert list(rules["shelf-gap"].check(context))
    assert found(bench) == []
    assert not all(b.holds for b in season_data(context).bolts)


def test_like_places_share_a_finding() -> None:
    said = found(dried(frame(), 10.0, 7.0, 11.0))
    assert len(said) == 1
    assert "and 12 more" in said[0].message


@given(spec=frame_specs())
def test_bolts_in_the_data_agree_with_their_rule(spec: FrameBenchSpec) -> None:
    context = Context(bench=build_frame_bench(spec))
    said = {f.joint for f in load_rules()["bolt-slot"].check(context)}
    assert {b.bolt for b in season_data(context).bolts if not b.holds} == said


def test_every_wood_stands_some_squeeze() -> None:
    for wood in load_species().values():
        assert 0.003 < crush_strain(wood) < 0.02, wood.key


# --- the year as data


@given(low=st.floats(2, 12), span=st.floats(0, 12), summer=st.booleans())
def test_the_months_swing_between_driest_and_wettest(low: float, span: float, summer: bool) -> None:
    seasons = Seasons(low + span / 2, low, low + span)
    year = monthly_moisture(Room(seasons, driest_in="summer" if summer else "winter"))
    assert len(year) == len(MONTHS) == 12
    driest, wettest = (8, 2) if summer else (2, 8)
    assert year[driest - 1] == min(year) == pytest.approx(low)
    assert year[wettest - 1] == max(year) == pytest.approx(low + span)
    assert sum(year) / 12 == pytest.approx(low + span / 2)


def test_the_years_data_are_plain_and_hang_together() -> None:
    bench = build_frame_bench(
        FrameBenchSpec(
            **section("shelf", enabled=True),
            **section(
                "moisture",
                winter_temperature=20.0,
                winter_humidity=32.0,
                summer_temperature=24.0,
                summer_humidity=58.0,
            ),
        )
    )
    context = Context(bench=bench)
    data = season_data(context)
    assert season_data(context) is data
    plain = json.loads(json.dumps(data.as_dict(), allow_nan=False))
    assert plain["room"]["winter"]["temperature_c"] == 20.0
    assert plain["room"]["driest_percent"] == pytest.approx(bench.seasons.driest, abs=1e-6)
    assert "our own simple model" in plain["model"]
    dry, wet = swing(bench.seasons)
    for series in data.series:
        assert len(series.change) == 12
        assert series.change[1] == pytest.approx(series.per_percent * dry)
        assert series.change[7] == pytest.approx(series.per_percent * wet)
        assert series.wettest == pytest.approx(series.built + series.change[7])
    (top,) = data.of("top-width")
    quarter = bench.by_name["top_section_1"].species.c_radial
    assert top.change[7] == pytest.approx(
        movement(top.size, quarter, bench.seasons.at_build, bench.seasons.wettest)
    )
    for key in ("post-width", "stretcher-thickness", "peg-diameter", "shelf-gap", "cheek-play",
                "edge-play", "draw", "peg-play", "peg-hole-oval", "bolt-grip", "dog-hole-oval",
                "front-overhang", "back-overhang"):  # fmt: skip
        assert data.of(key), key
    # Every track is in exactly one series.
    everything = tracks(context)
    assert sum(len(g) for g in alike(everything)) == len(everything)


def test_two_rows_of_dog_holes_drift_apart_and_tenons_stand_proud() -> None:
    top = section("top", dog_holes=replace(FrameBenchSpec().top.dog_holes, rows=2))
    context = Context(bench=frame(**top, **section("lower_end", through=True)))
    (rows,) = tracks_of(context, "dog-hole-rows")
    assert rows.built == pytest.approx(203.2)
    assert rows.change(1.0) == pytest.approx(203.2 * frame().timbers[0].species.c_radial)
    proud = tracks_of(context, "proud")
    assert proud
    assert all(t.change(-2.0) > 0.0 for t in proud)


def test_the_room_is_the_specs_only_where_the_seasons_are() -> None:
    bench = frame()
    assert room(bench) == Room(bench.seasons)
    assert room(dried(bench, 7.0, 6.0, 9.0)).seasons.at_build == 7.0
    assert room(replace(bench, spec=None)).seasons == bench.seasons
    impossible = replace(FrameBenchSpec(), **section("moisture", driest=9.0))
    assert room(replace(bench, spec=impossible)) == Room(bench.seasons)


def test_nothing_slow_is_imported() -> None:
    code = (
        "import sys, treenail.checks.seasons, treenail.checks.climate;"
        "bad = {'numpy', 'scipy', 'pint', 'cadquery', 'OCP'} & set(sys.modules);"
        "sys.exit(f'{bad}' if bad else 0)"
    )
    subprocess.run([sys.executable, "-c", code], check=True, timeout=60)
