"""Templates of what lies aslant: lines that fold around the piece, mouths, and reading back."""

from __future__ import annotations

from functools import cache

import pytest

import treenail
from treenail.joints.angled_cuts import AngledMortise, AngledTenonEnd, EndBevel, SkewNotch
from treenail.templates.dxf import member_dxf
from treenail.templates.dxf_read import compare_dxf
from treenail.templates.end_plan import end_profile
from treenail.templates.face_plan import STRIPS, member_faces
from treenail.templates.figures import Line, Loop
from treenail.templates.step_faces import named_faces
from treenail.timber.member import Face

ENDS = (Face.NEAR_END, Face.FAR_END)


@cache
def bench() -> treenail.Bench:
    return treenail.saw_bench(units="mm")


def cut_of(name: str, kind: type) -> object:
    return next(c for c in bench().cuts[name] if isinstance(c, kind))


@pytest.mark.parametrize("name", ["leg_front_left", "leg_front_right", "rail_left"])
@pytest.mark.parametrize("end", ENDS)
def test_the_line_on_one_face_goes_on_across_the_arris(name: str, end: Face) -> None:
    member, cuts = bench().by_name[name], bench().cuts[name]
    profiles = {f: end_profile(member, cuts, end, f) for f in STRIPS}
    # (one face, at its high c), (the next, at its low or high c), around the piece.
    around = [
        (Face.FACE_SIDE, 0, Face.FACE_EDGE, 0),
        (Face.FACE_SIDE, -1, Face.BACK_EDGE, 0),
        (Face.BACK_SIDE, 0, Face.FACE_EDGE, -1),
        (Face.BACK_SIDE, -1, Face.BACK_EDGE, -1),
    ]
    for one, at_one, other, at_other in around:
        first, second = profiles[one][at_one], profiles[other][at_other]
        depth = first[2] if at_one == 0 else first[3]
        assert depth == pytest.approx(second[2] if at_other == 0 else second[3], abs=1e-9)


def test_the_profile_is_where_the_plane_meets_the_face() -> None:
    member = bench().by_name["leg_front_left"]
    cut = cut_of(member.name, EndBevel)
    assert isinstance(cut, EndBevel)
    for face in STRIPS:
        profile = end_profile(member, [cut], Face.NEAR_END, face)
        for low, high, d0, d1 in profile:
            for c, d in ((low, d0), (high, d1)):
                spot = {
                    Face.FACE_SIDE: (d, c, 0.0),
                    Face.BACK_SIDE: (d, c, member.thickness),
                    Face.FACE_EDGE: (d, 0.0, c),
                    Face.BACK_EDGE: (d, member.width, c),
                }[face]
                assert member.placement.point(spot)[2] == pytest.approx(0.0, abs=1e-8)


def test_shoulder_lines_close_around_the_tenon() -> None:
    plan = member_faces(bench(), "leg_front_left")
    cut = cut_of("leg_front_left", AngledTenonEnd)
    assert isinstance(cut, AngledTenonEnd)
    widths = cut.shoulders(bench().by_name["leg_front_left"])
    for face in STRIPS:
        lines = [f for f in plan.by_face[face].figures if f.what == "shoulder"]
        assert len(lines) == 1
        assert lines[0].depth == pytest.approx(widths[face])
        assert isinstance(lines[0].shape, Line)
    tenon = [f for f in plan.by_face[Face.FAR_END].figures if f.what == "tenon"]
    assert isinstance(tenon[0].shape, Loop)
    assert tenon[0].shape.area() == pytest.approx((cut.x1 - cut.x0) * (cut.y1 - cut.y0))


def test_a_leaning_mouth_is_larger_than_its_section_by_the_lean() -> None:
    plan = member_faces(bench(), "top_board_1")
    cut = cut_of("top_board_1", AngledMortise)
    assert isinstance(cut, AngledMortise)
    mouths = [f for f in plan.by_face[Face.BACK_SIDE].figures if f.what == "angled mortise"]
    assert {f.reach for f in mouths} == {"through"}
    for figure in mouths:
        assert isinstance(figure.shape, Loop)
        assert figure.shape.area() == pytest.approx(cut.length * cut.width / cut.normal[2])
    exits = [f for f in plan.by_face[Face.FACE_SIDE].figures if f.what == "angled mortise"]
    assert {f.reach for f in exits} == {"exit"}
    # Flared, so wider where it comes out.
    assert all(isinstance(f.shape, Loop) and f.shape.area() > 900.0 for f in exits)


def test_a_notch_opens_at_both_arrises() -> None:
    plan = member_faces(bench(), "leg_front_left")
    cut = cut_of("leg_front_left", SkewNotch)
    assert isinstance(cut, SkewNotch)
    for face in (Face.FACE_SIDE, Face.BACK_SIDE):
        found = [f for f in plan.by_face[face].figures if f.what == "skew notch opening"]
        assert len(found) == 1


@pytest.mark.parametrize("name", ["leg_front_left", "leg_back_left", "rail_left", "top_board_2"])
def test_a_template_reads_back_as_the_cuts(name: str) -> None:
    data = member_dxf(bench(), name)
    assert compare_dxf(bench(), name, data) == []


def test_a_template_for_the_mirrored_leg_does_not() -> None:
    data = member_dxf(bench(), "leg_front_right")
    problems = compare_dxf(bench(), "leg_front_left", data)
    assert any("skew notch" in p and "missing or astray" in p for p in problems)
    other = member_dxf(treenail.saw_bench(units="mm", legs={"rake": 13.9}), "top_board_1")
    assert any("angled mortise" in p for p in compare_dxf(bench(), "top_board_1", other))


def test_notes_tell_the_bevel_gauges() -> None:
    text = member_dxf(bench(), "leg_front_left").decode("utf-8")
    assert "foot bevel at the near end: from square 10.29 deg on the sides, 13.80 deg" in text
    assert "skew notch: turned 13.80 deg from square across" in text
    top = member_dxf(bench(), "top_board_1").decode("utf-8")
    assert "leans 16.98 deg in all" in top


def test_step_faces_have_names() -> None:
    made = bench()
    solids = made.solids()
    leg = made.by_name["leg_front_left"]
    names = named_faces(solids.local(leg.name), leg, made.cuts[leg.name])
    assert {
        "ANGLED_TENON_1_SHOULDER",
        "ANGLED_TENON_1_CHEEK_A",
        "ANGLED_TENON_1_EDGE_B",
        "ANGLED_TENON_1_END",
        "FOOT_BEVEL_1",
        "SKEW_NOTCH_1_BOTTOM",
        "SKEW_NOTCH_1_EDGE_A",
        "FACE_SIDE",
        "FACE_EDGE",
    } <= set(names)
    board = made.by_name["top_board_1"]
    names = named_faces(solids.local(board.name), board, made.cuts[board.name])
    assert {f"ANGLED_MORTISE_{n}_{w}" for n in (1, 2) for w in ("CHEEK_A", "EDGE_B")} <= set(names)
