"""Round and relieved corners on templates and in STEP, written and read back."""

from dataclasses import replace
from functools import cache
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from treenail.generators.bench import Bench
from treenail.generators.frame_bench import build_frame_bench
from treenail.generators.frame_spec import FrameBenchSpec, Posts
from treenail.generators.solids import build_solids
from treenail.joints.corners import CornerKind, Corners, largest_cutter, pocket_outline
from treenail.joints.cuts import Haunch
from treenail.joints.mortise_tenon import MortiseTenon
from treenail.templates.dxf import member_dxf
from treenail.templates.dxf_pockets import read_pocket
from treenail.templates.dxf_read import compare_dxf, read_outlines
from treenail.templates.figures import Loop, placed
from treenail.templates.step import face_names, part_step
from treenail.templates.step_read import compare_part, read_step

KINDS: list[CornerKind] = ["round", "relieved"]


@cache
def bench(kind: CornerKind) -> Bench:
    """The default bench with such corners, its haunches in closed sockets."""
    plain = build_frame_bench(FrameBenchSpec(posts=Posts(foot_chamfer=0.0)))
    joints: list[Any] = []
    for j in plain.joints:
        if isinstance(j, MortiseTenon):
            haunch = (
                Haunch(j.haunch.edge, j.haunch.width - 6.0, j.haunch.length) if j.haunch else None
            )
            joints.append(replace(j, corners=kind, haunch=haunch))
        else:
            joints.append(j)
    return replace(plain, joints=tuple(joints))


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("how", ["R12 in separate", "R2000 mm polylines", "R2010 in polylines"])
def test_a_template_reads_back_as_the_cuts(kind: CornerKind, how: str) -> None:
    version, units, curves = how.split()
    made: Any = {"version": version, "units": units, "curves": curves}
    data = member_dxf(bench(kind), "post_front_left", **made)
    assert compare_dxf(bench(kind), "post_front_left", data) == []
    found = read_outlines(data)
    assert sum(f.form == kind for f in found) == 5
    assert sum(f.form == kind and f.toward is not None for f in found) == 1


@pytest.mark.parametrize("kind", KINDS)
def test_other_corners_than_the_cuts_are_told(kind: CornerKind) -> None:
    data = member_dxf(bench(kind), "post_front_left")

    def told(**changes: Any) -> str:
        joints = [
            replace(j, **changes) if isinstance(j, MortiseTenon) else j for j in bench(kind).joints
        ]
        other = replace(bench(kind), joints=tuple(joints))
        return " ".join(compare_dxf(other, "post_front_left", data))

    assert "corner radius differs by 1 mm" in told(cutter=10.7)
    assert "is missing" in told(corners="square")
    assert "is missing" in told(corners=next(k for k in KINDS if k != kind))


@given(
    st.sampled_from(KINDS),
    st.floats(20.0, 100.0),
    st.floats(8.0, 60.0),
    st.sampled_from([(True, True), (True, False), (False, True)]),
    st.floats(0.2, 0.99),
    st.sampled_from([(1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.6, 0.8)]),
)
def test_a_pocket_is_found_again(
    kind: CornerKind,
    length: float,
    width: float,
    ends: tuple[bool, bool],
    share: float,
    along: tuple[float, float],
) -> None:
    radius = largest_cutter(kind, min(length, width)) / 2 * share
    assert kind != "square"
    corners = Corners(kind, radius, *ends)
    loop = placed((31.0, -7.0), along, pocket_outline(length, width, corners))
    pocket = read_pocket(loop)
    assert pocket is not None
    assert pocket.kind == kind
    assert pocket.centre == pytest.approx((31.0, -7.0), abs=1e-6)
    assert pocket.size == pytest.approx(tuple(sorted((length, width), reverse=True)), abs=1e-6)
    assert pocket.radius == pytest.approx(radius, abs=1e-6)
    if all(ends):
        assert pocket.toward is None
    else:
        way = 1.0 if ends[1] else -1.0
        assert pocket.toward == pytest.approx((way * along[0], way * along[1]), abs=1e-6)


def test_what_is_no_such_pocket_is_left_alone() -> None:
    corners = Corners("round", 5.0)
    whole = pocket_outline(60.0, 20.0, corners)
    assert read_pocket(Loop(whole[:-1])) is None
    assert read_pocket(Loop(pocket_outline(60.0, 20.0, None))) is None
    flatter = tuple((x, y, b / 2) for x, y, b in whole)
    assert read_pocket(Loop(flatter)) is None
    pulled = ((whole[0][0] - 4.0, whole[0][1], whole[0][2]), *whole[1:])
    assert read_pocket(Loop(pulled)) is None


@pytest.mark.parametrize("kind", KINDS)
def test_faces_are_named_and_parts_read_back(kind: CornerKind) -> None:
    solids = build_solids(bench(kind))
    assert solids.problems() == []
    post = set(face_names(solids, "post_front_left"))
    square = set(face_names(build_solids(bench("square")), "post_front_left"))
    assert square <= post
    corners = {n for n in post if "CORNER" in n}
    # A haunch's socket is a tool of its own then: its cheeks, and the mortise's, are parted.
    assert all("_4_CHEEK" in n for n in post - square - corners)
    assert {f"MORTISE_{n}_CORNER" for n in (1, 2, 3, 4)} <= corners
    assert {"HAUNCH_SOCKET_4_CORNER", "HAUNCH_SOCKET_3_CORNER"} & corners
    rail = set(face_names(solids, "stretcher_lower_front"))
    assert ("TENON_1_CORNER_PART_4" in rail) == (kind == "round")
    for name in ("post_front_left", "stretcher_upper_front"):
        assert compare_part(read_step(part_step(solids, name)), solids, name) == []
