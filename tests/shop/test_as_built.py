"""Re-derived parts fit what was measured, by the named fit, whatever came out."""

from functools import cache

import pytest
from hypothesis import given
from hypothesis import strategies as st

from treenail.checks import check_bench
from treenail.generators.bench import Bench
from treenail.generators.build import build_bench
from treenail.generators.frame_spec import MEETINGS, FrameBenchSpec
from treenail.generators.spec_values import build_spec
from treenail.joints.mortise_tenon import MortiseTenon
from treenail.shop.as_built import as_built
from treenail.shop.measurements import Measured, asked_sizes, form_text, read_measured
from treenail.timber.errors import SpecError
from treenail.timber.frames import dot


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
                target.setdefault(name, {})[what] = asked + off
    return Measured(members=members, joints=joints)


@given(st.data())
def test_rederived_parts_fit_the_measured_ones(data: st.DataObject) -> None:
    meeting = data.draw(st.sampled_from(["heights", "shortened"]))
    measured = data.draw(measurements(meeting))
    made = as_built(bench(meeting), measured).bench
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
        if "mortise_depth" in real:
            assert joint.mortise.depth == pytest.approx(real["mortise_depth"], abs=1e-8)
            room = real["mortise_depth"] - joint.length
            assert room == pytest.approx(joint.fit.bottom.mid, abs=1e-8)
    for name, sizes in measured.members.items():
        for what, mm in sizes.items():
            assert getattr(made.by_name[name], what) == mm
    bad = {"cheek-clearance", "edge-clearance", "tenon-bottoms", "tenons-collide",
           "draw-direction", "shoulder-line", "outer-size"}  # fmt: skip
    assert not bad & {f.rule for f in check_bench(made).errors}


@given(measurements())
def test_middles_and_reference_faces_stay(measured: Measured) -> None:
    old, new = bench(), as_built(bench(), measured).bench
    for a, b in zip(old.joints, new.joints, strict=True):
        if isinstance(a, MortiseTenon) and isinstance(b, MortiseTenon):
            side = a.shoulders.face_side + a.thickness / 2
            assert b.shoulders.face_side + b.thickness / 2 == pytest.approx(side, abs=1e-8)
    for a_member, b_member in zip(old.timbers, new.timbers, strict=True):
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


def test_nothing_measured_changes_nothing() -> None:
    made = as_built(bench(), Measured())
    assert made.changes == ()
    assert made.bench == bench()


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
