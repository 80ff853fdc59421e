"""Trenches on templates and in STEP: mouths, openings, and names of their walls."""

import math

import pytest

from tests.checks.let_in_benches import bench_of
from tests.joints.let_in import JOINTS, joint_of
from tests.templates.face_points import folded, in_loop, is_wood, key_points
from treenail.generators.bench import Bench
from treenail.generators.solids import build_solids
from treenail.joints.meetings import LetIn
from treenail.joints.trenches import Trench
from treenail.templates.dxf import member_dxf
from treenail.templates.dxf_read import compare_dxf
from treenail.templates.face_plan import FacePlan, MemberPlan, member_faces
from treenail.templates.figures import Figure, Loop, box_of
from treenail.templates.step_faces import named_faces
from treenail.timber.frames import Frame, Vec
from treenail.timber.member import Member


def joint(kind: str) -> LetIn:
    return joint_of(kind, 100.0, 40.0, 9.0, Frame())


def trench_figures(plan: MemberPlan) -> list[tuple[FacePlan, Figure]]:
    return [
        (f, figure) for f in plan.faces for figure in f.figures if isinstance(figure.cut, Trench)
    ]


def just_inside(member: Member, plan: MemberPlan, face: FacePlan, p: tuple[float, float]) -> Vec:
    """A hair into the piece under a point of a long face."""
    x, y, z = folded(plan, face.face, (p[0] + face.at[0], p[1] + face.at[1]))
    inward = face.face.inward
    return (x + 0.01 * inward[0], y + 0.01 * inward[1], z + 0.01 * inward[2])


@pytest.mark.parametrize("kind", JOINTS)
def test_where_a_figure_is_there_is_no_wood_and_beside_it_there_is(kind: str) -> None:
    one = joint(kind)
    bench = bench_of(one)
    seen = 0
    for member in one.members:
        cuts = bench.cuts[member.name]
        plan = member_faces(bench, member)
        figures = trench_figures(plan)
        for face in plan.faces:
            own = [f.shape for g, f in figures if g is face and isinstance(f.shape, Loop)]
            if face.face.is_end or not own:
                continue
            seen += len(own)
            for loop in own:
                left, low, right, high = box_of(loop)
                for i in range(-1, 8):
                    for j in range(-1, 8):
                        p = (
                            left + (right - left) * (i + 0.53) / 7,
                            low + (high - low) * (j + 0.47) / 7,
                        )
                        on_face = (
                            0.1 < p[0] < face.size[0] - 0.1 and 0.1 < p[1] < face.size[1] - 0.1
                        )
                        if on_face and abs(p[0] - left) > 0.1:
                            wood = is_wood(member, cuts, just_inside(member, plan, face, p))
                            in_one = any(in_loop(other, p) for other in own)
                            assert wood != in_one or _in_a_tongues_waste(
                                bench, member, plan, face, p
                            )
    assert seen >= 1


def _in_a_tongues_waste(
    bench: Bench, member: Member, plan: MemberPlan, face: FacePlan, p: tuple[float, float]
) -> bool:
    """Wood that another cut than a trench took: what a tongue's shoulders leave."""
    rest = tuple(c for c in bench.cuts[member.name] if not isinstance(c, Trench))
    return not is_wood(member, rest, just_inside(member, plan, face, p))


@pytest.mark.parametrize("kind", JOINTS)
def test_templates_read_back_as_the_cuts(kind: str) -> None:
    bench = bench_of(joint(kind))
    for member in bench.timbers:
        data = member_dxf(bench, member)
        assert compare_dxf(bench, member, data) == []


def test_a_trench_elsewhere_is_found() -> None:
    bench = bench_of(joint("housing"))
    other = bench_of(joint_of("housing", 100.0, 40.0, 9.5, Frame()))
    side = bench.by_name["side"]
    assert any("depth" in p for p in compare_dxf(other, side.name, member_dxf(bench, side)))


def test_an_opening_shows_the_dovetail() -> None:
    one = joint("sliding dovetail")
    plan = member_faces(bench_of(one), one.receiver)
    openings = [f for _, f in trench_figures(plan) if f.what == "dovetail socket opening"]
    (cut,) = one.cuts()["side"]
    assert isinstance(cut, Trench)
    assert len(openings) == 2
    for figure in openings:
        assert isinstance(figure.shape, Loop)
        area = cut.depth * (cut.width + sum(cut.lean) / 2)
        assert abs(figure.shape.area()) == pytest.approx(area)
        assert len(key_points(figure.shape)) == 4


@pytest.mark.parametrize(
    ("kind", "member", "prefix", "walls"),
    [
        ("cross lap", "low", "CROSS_LAP_1", {"CHEEK_A", "CHEEK_B", "BOTTOM"}),
        ("stopped housing", "side", "HOUSING_1", {"CHEEK_A", "CHEEK_B", "EDGE_B", "BOTTOM"}),
        ("sliding dovetail", "side", "DOVETAIL_SOCKET_1", {"CHEEK_A", "CHEEK_B", "BOTTOM"}),
        ("sliding dovetail", "shelf", "DOVETAIL_SOCKET_SHOULDER_1", {"CHEEK_B", "BOTTOM"}),
        ("rebate", "side", "REBATE_1", {"CHEEK_A", "BOTTOM"}),
        (
            "stopped spline",
            "first",
            "GROOVE_1",
            {"CHEEK_A", "CHEEK_B", "EDGE_A", "EDGE_B", "BOTTOM"},
        ),
    ],
)
def test_walls_have_names_on_the_solid(
    kind: str, member: str, prefix: str, walls: set[str]
) -> None:
    bench = bench_of(joint(kind))
    solids = build_solids(bench)
    names = named_faces(solids.local(member), bench.by_name[member], bench.cuts[member])
    found = {n.removeprefix(f"{prefix}_") for n in names if n.startswith(prefix)}
    assert found == walls


def test_a_leaning_cheek_has_its_true_area() -> None:
    import cadquery as cq

    bench = bench_of(joint("sliding dovetail"))
    solids = build_solids(bench)
    names = named_faces(solids.local("side"), bench.by_name["side"], bench.cuts["side"])
    (cut,) = bench.cuts["side"]
    assert isinstance(cut, Trench)
    slant = math.hypot(cut.depth, cut.lean[0])
    area = cq.Face(names["DOVETAIL_SOCKET_1_CHEEK_A"]).Area()
    assert area == pytest.approx(cut.length * slant, rel=1e-9)
