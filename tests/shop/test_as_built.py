"""Re-derived parts fit what was measured, by the named fit, whatever came out."""

import dataclasses
from collections.abc import Mapping
from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.fittings import STOP, VISE, fitted
from treenail.checks import check_bench
from treenail.checks.meeting import ROOM, meetings
from treenail.checks.rules import Context
from treenail.generators.bench import Bench
from treenail.generators.build import build_bench
from treenail.generators.frame_spec import MEETINGS, FrameBenchSpec
from treenail.generators.spec_values import build_spec
from treenail.joints.cuts import Bore
from treenail.joints.mortise_tenon import MortiseTenon
from treenail.shop.allowances import Allowances
from treenail.shop.as_built import as_built
from treenail.shop.glue_up import glue_up
from treenail.shop.measurements import (
    SANE,
    Measured,
    asked_sizes,
    form_text,
    read_measured,
)
from treenail.shop.refit.asked import stacked
from treenail.shop.rough_parts import rough_parts
from treenail.timber.errors import SpecError
from treenail.timber.frames import dot
from treenail.timber.member import Member


@cache
def bench(meeting: str = "heights", units: str = "in") -> Bench:
    spec = build_spec(FrameBenchSpec, {"meeting": meeting}, units="in")
    return build_bench(spec, units=units)


@st.composite
def measurements(draw: st.DrawFn, meeting: str = "heights") -> Measured:
    """Any of the sizes, off by up to a millimetre or two."""
    members: dict[str, dict[str, float]] = {}
    joints: dict[str, dict[str, float]] = {}
    for place, sizes in asked_sizes(bench(meeting)).items():
        section, name = place.split(".")
        for what, asked in sizes.items():
            if draw(st.integers(0, 4)) == 0:
                off = draw(st.floats(-2.0, 2.0).map(lambda x: round(x, 3)))
                target = members if section == "members" else joints
                if what == "ply_width":
                    off = abs(off)  # narrower ones are refused: see below
                target.setdefault(name, {})[what] = asked + off
    return Measured(members=members, joints=joints)


def check_member(
    new: Member, old: Member, sizes: Mapping[str, float], glued: Mapping[str, float]
) -> None:
    for what in ("width", "thickness"):
        if what == "thickness" and old.role == "top section" and glued:
            # Sections of one slab are flattened to the thinnest.
            assert new.thickness == min(glued.values())
        elif what in sizes:
            assert getattr(new, what) == sizes[what]
        else:
            assert getattr(new, what) == getattr(old, what)
    planed = sizes.get("ply_thickness")
    if planed is None or new.ply_axis in sizes:
        assert new.plies == old.plies
        return
    # Enough boards that both sides can be milled true, and not one more.
    size = stacked(new)
    assert new.plies * planed >= size + Allowances().clean_up - 1e-6
    assert (new.plies - 1) * planed < size + Allowances().clean_up
    part = next(p for p in rough_parts(_alone(new)) if new.name in p.members)
    assert part.plies == new.plies
    assert part.thickness == pytest.approx(planed, abs=1e-8)


def glued(measured: Measured) -> dict[str, float]:
    """Thicknesses of the top's sections, which are glued to each other."""
    return {
        name: sizes["thickness"]
        for name, sizes in measured.members.items()
        if name.startswith("top_section") and "thickness" in sizes
    }


def _alone(member: Member) -> Bench:
    return dataclasses.replace(bench(), timbers=(member,), joints=())


def check_joints(made: Bench, measured: Measured) -> None:
    """Every tenon of a measured mortise has the middle of its named fit."""
    for joint in made.joints:
        if not isinstance(joint, MortiseTenon):
            continue
        real = measured.joints.get(joint.name, {})
        if "mortise_width" in real:
            assert joint.mortise.width == pytest.approx(real["mortise_width"], abs=1e-8)
            room = real["mortise_width"] - joint.thickness
            assert room == pytest.approx(joint.fit.cheek.mid, abs=1e-8)
        if "mortise_length" in real:
            assert joint.mortise.length == pytest.approx(real["mortise_length"], abs=1e-8)
            room = real["mortise_length"] - joint.width
            assert room == pytest.approx(joint.fit.edge.mid, abs=1e-8)
        if "mortise_depth" in real:
            room = real["mortise_depth"] - joint.length
            if room > joint.fit.bottom.mid + 1e-8:  # shorter only to clear another tenon
                assert clear_only_so(made, joint, real["mortise_depth"])
            else:
                assert room == pytest.approx(joint.fit.bottom.mid, abs=1e-8)
                assert joint.mortise.depth == pytest.approx(real["mortise_depth"], abs=1e-8)


def clear_only_so(made: Bench, joint: MortiseTenon, depth: float) -> bool:
    """Whether a tenon that filled its mortise would run into another of the same post."""
    more = depth - joint.fit.bottom.mid - joint.length
    context = Context(bench=made)
    own = [p for p in meetings(context, below=more + ROOM + 1e-6) if joint in p[:2]]
    return bool(own)


@given(st.data())
@settings(max_examples=8)
def test_rederived_parts_fit_the_measured_ones(data: st.DataObject) -> None:
    meeting = data.draw(st.sampled_from(["heights", "shortened"]))
    measured = data.draw(measurements(meeting))
    made = as_built(bench(meeting), measured).bench
    check_joints(made, measured)
    for name, sizes in measured.members.items():
        check_member(made.by_name[name], bench(meeting).by_name[name], sizes, glued(measured))
    bad = {"cheek-clearance", "edge-clearance", "tenon-bottoms", "tenons-collide",
           "draw-direction", "shoulder-line", "outer-size"}  # fmt: skip
    assert not bad & {f.rule for f in check_bench(made).errors}


@given(st.data())
@settings(max_examples=8)
def test_anything_that_the_form_takes_fits_or_says_the_way_out(data: st.DataObject) -> None:
    """Sizes anywhere within what the form takes for sane: off by up to a quarter."""
    meeting = data.draw(st.sampled_from(["heights", "shortened"]))
    asked = asked_sizes(bench(meeting))
    places = [(place, what) for place, sizes in asked.items() for what in sizes]
    members: dict[str, dict[str, float]] = {}
    joints: dict[str, dict[str, float]] = {}
    for place, what in data.draw(st.lists(st.sampled_from(places), max_size=6, unique=True)):
        section, name = place.split(".")
        share = data.draw(st.floats(1 - SANE, 1 + SANE))
        target = members if section == "members" else joints
        target.setdefault(name, {})[what] = round(asked[place][what] * share, 3)
    measured = Measured(members=members, joints=joints)
    made: Bench | SpecError
    try:
        made = as_built(bench(meeting), measured).bench
    except SpecError as error:
        made = error
    if isinstance(made, SpecError):
        assert made.allowed
        assert made.field
        assert made.field.split(".")[1] in {*members, *joints}
        return
    check_joints(made, measured)
    for name, sizes in members.items():
        check_member(made.by_name[name], bench(meeting).by_name[name], sizes, glued(measured))
    bad = {"cheek-clearance", "edge-clearance", "tenon-bottoms", "shoulder-line"}
    assert not bad & {f.rule for f in check_bench(made).errors}


def test_tenons_that_would_meet_in_a_deep_mortise_are_shortened() -> None:
    """Regression: both mortises too deep, and the tenons ran into each other."""
    made = bench("shortened")
    names = ("lower_front_at_right", "lower_right_at_front")
    deep = {n: asked_sizes(made)[f"joints.{n}"]["mortise_depth"] + 3.0 for n in names}
    measured = Measured(joints={n: {"mortise_depth": d} for n, d in deep.items()})
    built = as_built(made, measured)
    assert check_bench(built.bench).passed
    long, short = (next(j for j in built.bench.joints if j.name == n) for n in names)
    assert isinstance(long, MortiseTenon)
    assert isinstance(short, MortiseTenon)
    assert long.mortise.depth == pytest.approx(deep[names[0]])
    assert short.length < deep[names[1]] - short.fit.bottom.mid - 1.0


@given(measurements())
@settings(max_examples=12)
def test_middles_and_reference_faces_stay(measured: Measured) -> None:
    old, new = bench(), as_built(bench(), measured).bench
    for a, b in zip(old.joints, new.joints, strict=True):
        if isinstance(a, MortiseTenon) and isinstance(b, MortiseTenon):
            side = a.shoulders.face_side + a.thickness / 2
            assert b.shoulders.face_side + b.thickness / 2 == pytest.approx(side, abs=1e-8)
    for a_member, b_member in zip(old.timbers, new.timbers, strict=True):
        if a_member.role not in ("post", "stretcher"):
            continue  # what rests on these goes down or up
        for axis in (a_member.placement.y, a_member.placement.z):
            assert dot(a_member.placement.origin, axis) == pytest.approx(
                dot(b_member.placement.origin, axis), abs=1e-8
            )


def test_a_thin_post_lengthens_its_stretchers() -> None:
    measured = Measured(members={"post_front_left": {"width": 76.2 - 1.5}})
    made = as_built(bench(), measured)
    lengths = {c.name: c.now - c.was for c in made.changes if c.what == "length"}
    assert lengths == {
        "stretcher_upper_front": pytest.approx(1.5),
        "stretcher_lower_front": pytest.approx(1.5),
    }


def test_a_deep_mortise_gets_a_longer_tenon() -> None:
    joint = next(j for j in bench().joints if j.name == "upper_left_at_back")
    assert isinstance(joint, MortiseTenon)
    depth = joint.mortise.depth + 1.0
    made = as_built(bench(), Measured(joints={joint.name: {"mortise_depth": depth}}))
    assert {(c.name, c.what): pytest.approx(c.now - c.was) for c in made.changes} == {
        ("stretcher_upper_left", "length"): 1.0,
        ("upper_left_at_back", "tenon's length"): 1.0,
    }


def test_fittings_follow_the_pieces_that_they_hold() -> None:
    """A vise runs through a stretcher and hangs on two sections: each may come out otherwise."""
    asked = fitted(end_vise={**VISE, "jaw_length": 460}, face_vise=VISE, planing_stop=STOP)
    thick = asked.by_name["top_section_2"].thickness - 1.0
    rail = asked.by_name["stretcher_upper_front"].thickness - 0.8
    measured = Measured(
        members={
            "top_section_2": {"thickness": thick},
            "stretcher_upper_front": {"thickness": rail},
        }
    )
    made = as_built(asked, measured).bench
    vise = next(j for j in made.joints if j.name == "face_vise")
    assert made.by_name["stretcher_upper_front"] in vise.members
    bored = [c for c in made.cuts["stretcher_upper_front"] if c.joint == "face_vise"]
    assert len(bored) == 3
    assert [c.depth for c in bored if isinstance(c, Bore)] == pytest.approx([rail] * 3)
    block = next(j for j in made.joints if j.name == "end_vise_block_on_top")
    assert {m.name: m.thickness for m in block.members}["top_section_2"] == pytest.approx(thick)


def test_nothing_measured_changes_nothing() -> None:
    made = as_built(bench(), Measured())
    assert made.changes == ()
    assert made.bench == bench()


def test_the_strips_of_the_top_follow_their_real_thickness() -> None:
    """Sections of 12 in: 12 1/16 in of strips are wanted (1/32 in a side to mill them true)."""
    for planed, wanted in ((1.5625, 8), (1.51, 8), (1.5, 9), (1.35, 9), (1.34, 10), (1.75, 7)):
        sizes = {"ply_thickness": planed * 25.4}
        made = as_built(bench(), Measured(members={"top_section_1": sizes}))
        section = made.bench.by_name["top_section_1"]
        assert section.plies == wanted
        assert section.size == bench().by_name["top_section_1"].size
        counted = [c for c in made.changes if c.what == "strips"]
        assert [(c.was, c.now) for c in counted] == ([] if wanted == 8 else [(8, wanted)])
        parts = {p.members: p for p in rough_parts(made.bench) if p.role == "top section"}
        assert parts["top_section_1",].count == wanted
        assert parts["top_section_1",].thickness == pytest.approx(planed * 25.4)
        assert parts["top_section_2",].count == 8
        step = next(s for s in glue_up(made.bench).steps if "top_section_1" in s.pieces)
        assert len(step.lines) == wanted - 1


def test_strips_too_narrow_for_the_top_say_the_way_out() -> None:
    form = "units: in\nmembers:\n  top_section_1:\n    ply_width: 2 3/4\n"
    with pytest.raises(SpecError, match=r"boards of top_section_1 are 2 3/4") as e:
        as_built(bench(), read_measured(form.encode(), bench()))
    assert e.value.line == 4
    assert "wider boards" in str(e.value)


def test_what_no_longer_fits_says_the_way_out() -> None:
    measured = Measured(members={"stretcher_upper_front": {"thickness": 34.0}})
    with pytest.raises(SpecError, match=r"outside stretcher_upper_front at its back side") as e:
        as_built(bench(), measured)
    assert "thicker" in str(e.value)


@pytest.mark.parametrize("units", ["in", "mm"])
@pytest.mark.parametrize("meeting", MEETINGS)
def test_the_empty_form_reads_back_as_nothing(units: str, meeting: str) -> None:
    form = form_text(bench(meeting, units))
    read = read_measured(form.encode(), bench(meeting, units))
    assert (dict(read.members), dict(read.joints)) == ({}, {})
    assert form.count("asked:") == sum(len(s) for s in asked_sizes(bench(meeting)).values())


def test_a_filled_form() -> None:
    form = form_text(bench()).replace(
        "  post_front_left:\n    width:", "  post_front_left:\n    width: 2 31/32"
    )
    read = read_measured(form.encode(), bench())
    assert read.members == {"post_front_left": {"width": 2.96875 * 25.4}}


@pytest.mark.parametrize(
    ("text", "line", "told"),
    [
        ("members: {}\n", None, "units"),
        ("units: in\nmembers:\n  post_front_lfet: {width: 3}\n", 3, "post_front_left"),
        ("units: in\nmembers:\n  post_front_left:\n    width: 76\n", 4, "another unit"),
        ("units: in\nmembers:\n  post_front_left:\n    width: x\n", 4, "width"),
        ("units: in\nmembers:\n  post_front_left: 3\n", 3, "fields"),
        ("units: in\njoints:\n  upper_front_at_left:\n    tenon: 1\n", 4, "mortise_width"),
        ("units: in\nnails: {}\n", 2, "members"),
    ],
)
def test_slips_in_the_form(text: str, line: int | None, told: str) -> None:
    with pytest.raises(SpecError, match=told) as caught:
        read_measured(text.encode(), bench())
    assert caught.value.line == line
