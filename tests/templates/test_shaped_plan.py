"""Templates of the tenon's kin: mouths, ends and silhouettes, drawn and read back."""

import math
from dataclasses import replace

import pytest

from tests.joints.tenon_variants.pairs import KINDS, bench_of, rail_in_post
from treenail.generators.solids import build_solids
from treenail.joints.mortise_tenon import MortiseTenon
from treenail.joints.shaped_cuts import ConeSocket, DovetailSocket, TaperedMortise, WedgeTaper
from treenail.joints.tenon_variants import make
from treenail.joints.tenon_variants.tapered_round import TaperedRound
from treenail.joints.tenon_variants.wedged import WedgedTenon
from treenail.templates.dxf import member_dxf, templates_for
from treenail.templates.dxf_read import compare_dxf
from treenail.templates.face_plan import FacePlan, member_faces
from treenail.templates.figures import Loop, Ring
from treenail.templates.step_faces import named_faces
from treenail.timber.frames import snap
from treenail.timber.member import Face


@pytest.mark.parametrize("kind", KINDS)
def test_every_mouth_is_drawn_where_it_is(kind: str) -> None:
    bench = bench_of(KINDS[kind]())
    for member in templates_for(bench):
        assert compare_dxf(bench, member, member_dxf(bench, member)) == []


@pytest.mark.parametrize(
    ("kind", "member", "changed"),
    [
        ("wedged", "post", {"high_out": 4.0}),
        ("tusk", "rail", {"high_out": -14.0}),
        ("sloped haunch", "post", {"length": 20.0}),
        ("slab", "top", {"mouth": 100.0}),
        ("round", "post", {"mouth": 48.2}),
        ("round, through", "post", {"bottom": 40.0}),
    ],
)
def test_a_template_of_other_sizes_is_told_apart(
    kind: str, member: str, changed: dict[str, float]
) -> None:
    bench = bench_of(KINDS[kind]())
    drawn = member_dxf(bench, member)
    other = bench_of(KINDS[kind]())
    kinds = (TaperedMortise, ConeSocket, DovetailSocket)
    other.__dict__["cuts"] = {
        **other.cuts,
        member: tuple(
            replace(c, **changed) if isinstance(c, kinds) else c  # type: ignore[arg-type]
            for c in other.cuts[member]
        ),
    }
    problems = compare_dxf(other, member, drawn)
    assert any("missing or astray" in p for p in problems)
    assert any("no cut asks for" in p for p in problems)


def face(kind: str, member: str, at: Face) -> FacePlan:
    return member_faces(bench_of(KINDS[kind]()), member).by_face[at]


def test_silhouettes_lose_what_gaps_kerfs_and_cones_lose() -> None:
    """Areas by hand: the stock's face less what is seen to be gone from it."""
    wedged = KINDS["wedged"]()
    assert isinstance(wedged, WedgedTenon)
    edges = wedged.shoulders.face_edge + wedged.shoulders.back_edge
    gone = edges * wedged.length + 2 * wedged.kerf_width * wedged.kerf_length
    assert face("wedged", "rail", Face.FACE_SIDE).outline.area() == pytest.approx(
        600.0 * 100.0 - gone
    )
    twin = KINDS["three"]()
    assert isinstance(twin, MortiseTenon)
    cheeks = twin.entering.thickness - sum(y1 - y0 for _, _, y0, y1 in twin.tongues)
    for edge in (Face.FACE_EDGE, Face.BACK_EDGE):
        assert face("three", "rail", edge).outline.area() == pytest.approx(
            600.0 * 78.0 - cheeks * twin.length
        )
    cone = KINDS["round"]()
    assert isinstance(cone, TaperedRound)
    seen = (cone.diameter + cone.tip_diameter) / 2 * cone.length
    for side in (Face.FACE_SIDE, Face.BACK_EDGE):
        assert face("round", "rail", side).outline.area() == pytest.approx(
            (600.0 - cone.length) * 60.0 + seen
        )


@pytest.mark.parametrize("end", [Face.NEAR_END, Face.FAR_END])
def test_ends_show_each_tenon(end: Face) -> None:
    joint = make.twin_tenons(*rail_in_post(thickness=70.0, end=end))
    plan = member_faces(bench_of(joint), "rail").by_face[end]
    tenons = [f.shape for f in plan.figures if f.what == "tenon"]
    assert len(tenons) == 2
    for shape in tenons:
        assert isinstance(shape, Loop)
        assert shape.area() == pytest.approx(joint.each * joint.width)


def test_ends_show_dovetails_kerfs_and_cones() -> None:
    (tail, plain) = (
        f.shape for f in face("slab", "post", Face.FAR_END).figures if f.what == "tenon"
    )
    assert isinstance(tail, Loop)
    assert isinstance(plain, Loop)
    areas = sorted((tail.area(), plain.area()))
    quarter = 25.0
    assert areas == pytest.approx([(120.0 - quarter / 6.0) * quarter, 120.0 * quarter])
    kerfs = [f for f in face("wedged", "rail", Face.NEAR_END).figures if f.what == "kerf"]
    assert len(kerfs) == 2
    rings = [f.shape for f in face("round", "rail", Face.NEAR_END).figures]
    assert sorted(r.diameter for r in rings if isinstance(r, Ring)) == pytest.approx(
        [snap(48.0 - 100.0 * math.tan(math.radians(3.0))), 48.0]
    )


def test_sloped_pockets_keep_the_names_of_their_cheeks() -> None:
    for kind, member, wanted in (
        ("wedged", "post", {"MORTISE_1_CHEEK_A", "MORTISE_1_CHEEK_B"}),
        ("tusk", "rail", {"WEDGE_MORTISE_1_CHEEK_A", "WEDGE_MORTISE_1_EDGE_B"}),
        ("twin", "rail", {"TENON_1_CHEEK_B", "TENON_2_CHEEK_A", "TENON_2_END"}),
        ("sloped haunch", "post", {"HAUNCH_SOCKET_1_CHEEK_A", "MORTISE_1_CHEEK_B"}),
    ):
        bench = bench_of(KINDS[kind]())
        solid = build_solids(bench).local(member)
        assert wanted <= set(named_faces(solid, bench.by_name[member], bench.cuts[member]))


@pytest.mark.parametrize("kind", ["tusk", "wedged"])
def test_a_wedge_s_template_has_its_taper(kind: str) -> None:
    bench = bench_of(KINDS[kind]())
    wedge = bench.wedges[0]
    assert wedge in templates_for(bench)
    (taper,) = bench.cuts[wedge.name]
    assert isinstance(taper, WedgeTaper)
    plan = member_faces(bench, wedge)
    area = (wedge.width + taper.thin(wedge)) / 2 * wedge.length
    for face in (Face.FACE_SIDE, Face.BACK_SIDE):
        figures = next(f for f in plan.faces if f.face is face).figures
        shape = next(f.shape for f in figures if f.what == "wedge taper")
        assert isinstance(shape, Loop)
        assert abs(shape.area()) == pytest.approx(area)
    sheet = member_dxf(bench, wedge).decode()
    assert "A wedge: " in sheet
    assert compare_dxf(bench, wedge, member_dxf(bench, wedge)) == []
