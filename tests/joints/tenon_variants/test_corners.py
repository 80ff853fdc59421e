"""Round and relieved corners of every kind of tenon: by hand, kernel, and another modeller."""

import math
from dataclasses import replace

import pytest

from tests.joints.tenon_variants.pairs import KINDS, bench_of, post_in_slab, rail_in_post
from tests.joints.tenon_variants.test_volumes import agrees_with_the_modeller, volumes
from treenail.generators.solids import build_solids
from treenail.joints.corners import CornerKind
from treenail.joints.mortise_tenon import MortiseTenon
from treenail.joints.tenon_variants import make
from treenail.timber.errors import GeometryError
from treenail.timber.member import Face

SQUARE = [name for name in KINDS if not name.startswith("round")]


def with_corners(name: str, kind: CornerKind, cutter: float) -> MortiseTenon:
    joint = KINDS[name]()
    assert isinstance(joint, MortiseTenon)
    return replace(joint, corners=kind, cutter=cutter)


@pytest.mark.parametrize("kind", ["round", "relieved"])
@pytest.mark.parametrize("name", ["wedged", "twin"])
def test_another_modeller_agrees(name: str, kind: CornerKind) -> None:
    agrees_with_the_modeller(replace(with_corners(name, kind, 5.0), draw=None))


@pytest.mark.deep
@pytest.mark.parametrize("kind", ["round", "relieved"])
@pytest.mark.parametrize("name", SQUARE)
def test_another_modeller_agrees_on_all(name: str, kind: CornerKind) -> None:
    agrees_with_the_modeller(with_corners(name, kind, 5.0))


@pytest.mark.parametrize(
    ("name", "kind"),
    [
        # Either by turns; both of all in the deep suite.
        pytest.param(name, kind, marks=[pytest.mark.deep] * ((i + k) % 2))
        for i, name in enumerate(SQUARE)
        for k, kind in enumerate(["round", "relieved"])
    ],
)
def test_closed_form_and_kernel_agree(name: str, kind: CornerKind) -> None:
    joint = with_corners(name, kind, 5.0)
    bench = bench_of(joint)
    solids = build_solids(bench)
    assert solids.problems() == []
    for member in bench.members:
        volume = solids.local(member.name).Volume()
        assert volume == pytest.approx(bench.volumes[member.name], rel=1e-9)
    # The tenon stands in its mortise without touching more than a square one does.
    there, here = (solids.placed[m.name] for m in joint.members)
    assert there.intersect(here).Volume() == pytest.approx(0.0, abs=1e-6)


SPANDREL = 1.0 - math.pi / 4.0


@pytest.mark.parametrize("cutter", [2.0, 5.0, 6.35])
@pytest.mark.parametrize("name", ["bare-faced", "three", "wedged", "tusk", "slab"])
def test_round_corners_by_hand(name: str, cutter: float) -> None:
    joint, square = with_corners(name, "round", cutter), with_corners(name, "square", cutter)
    (post, rail), (post0, rail0) = volumes(joint), volumes(square)
    deep = math.fsum(getattr(m, "start", m.depth) for m in joint.mortises)
    assert post - post0 == pytest.approx(4 * SPANDREL * (cutter / 2) ** 2 * deep, rel=1e-6)
    rounding = joint.tenon.rounding
    assert rounding is not None
    tongues = 1 if name == "slab" else len(joint.tongues)
    less = 4 * tongues * SPANDREL * rounding.radius**2 * joint.length
    assert rail0 - rail == pytest.approx(less, rel=1e-6)


@pytest.mark.parametrize("sloped", [False, True])
@pytest.mark.parametrize("edge", [Face.FACE_EDGE, Face.BACK_EDGE])
def test_a_haunch_beside_double_tenons(edge: Face, *, sloped: bool) -> None:
    """Only the tenon beside the haunch has square edges along it."""
    pair = rail_in_post(55.0, width=180.0)
    one = make.haunched_tenon(*pair, edge=edge, sloped=sloped)
    common = {"shoulders": one.shoulders, "corners": "round", "cutter": 6.0}
    double = make.double_tenons(*pair, **common)  # type: ignore[arg-type]
    made = replace(double, haunch=one.haunch)
    assert made.haunch is not None
    assert made.tenon.rounding is not None
    square = replace(made, corners="square")
    less = volumes(square)[1] - volumes(made)[1]
    runs = 8 * made.length - 2 * made.haunch.length
    if made.tenon.rounding.haunch:
        runs += 2 * made.haunch.length
    assert less == pytest.approx(SPANDREL * made.tenon.rounding.radius**2 * runs, rel=1e-6)
    solids = build_solids(bench_of(made))
    there, here = (solids.placed[m.name] for m in made.members)
    assert there.intersect(here).Volume() == pytest.approx(0.0, abs=1e-6)


def test_the_dovetail_beside_stays_square() -> None:
    joint = make.slab_tenons(*post_in_slab(), corners="round", cutter=8.0)
    end = joint.tenon
    across = [end.frame.local_point(c.frame.origin)[1] for c in end.fillets(joint.entering)]
    assert len(across) == 4
    assert end.flanks is not None
    low, high = sorted((end.flanks.narrow, end.flanks.wide))
    assert all(not low - 1.0 < y < high + 1.0 for y in across)


def test_a_steep_haunch_refuses_a_wide_cutter() -> None:
    joint = make.haunched_tenon(*rail_in_post(), sloped=True, width=3.0, length=30.0)
    with pytest.raises(GeometryError, match="so steep a haunch"):
        replace(joint, corners="round", cutter=12.7).cuts()
