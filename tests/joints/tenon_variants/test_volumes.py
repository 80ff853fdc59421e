"""Volumes of the tenon's kin: by hand, by closed form, by the kernel and by another modeller."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.joints.modeller import bounds
from tests.joints.tenon_variants.pairs import KINDS, bench_of, post_in_slab, rail_in_post
from tests.strategies import sizes, square_frames
from treenail.generators.solids import build_solids
from treenail.joints.standing import Standing
from treenail.joints.tenon_variants import make
from treenail.joints.volumes import net_volume
from treenail.timber.frames import Frame
from treenail.timber.member import Face

ENDS = st.sampled_from([Face.NEAR_END, Face.FAR_END])


def volumes(joint: Standing) -> tuple[float, float]:
    cuts = joint.cuts()
    first, second = joint.members
    return net_volume(first, cuts[first.name]), net_volume(second, cuts[second.name])


def agrees_with_the_modeller(joint: Standing) -> None:
    for member in (*joint.members, *joint.wedges()):
        cuts = joint.cuts()[member.name]
        low, high = bounds(member, cuts)
        slack = 1e-9 * high + 1e-4  # the other modeller rounds corners
        assert low - slack <= net_volume(member, cuts) <= high + slack
        assert high - low <= 2e-4 * high  # or the bounds say nothing


@pytest.mark.parametrize("kind", KINDS)
def test_closed_form_kernel_and_modeller_agree(kind: str) -> None:
    bench = bench_of(KINDS[kind]())
    solids = build_solids(bench)
    assert solids.problems() == []
    for member in bench.members:
        volume = solids.local(member.name).Volume()
        assert volume == pytest.approx(bench.volumes[member.name], rel=1e-9)
    joint = bench.joints[0]
    assert isinstance(joint, Standing)
    agrees_with_the_modeller(joint)


@given(square_frames(), ENDS, sizes(20, 60), sizes(60, 200), sizes(30, 70))
def test_sloped_haunch(place: Frame, end: Face, reach: float, width: float, thick: float) -> None:
    pair = rail_in_post(reach, width=width, thickness=thick, end=end, place=place)
    square, sloped = (make.haunched_tenon(*pair, sloped=s) for s in (False, True))
    stub = square.haunch
    assert stub is not None
    gone = volumes(square)[1] - volumes(sloped)[1]
    # A sloped haunch is half of a square one.
    assert gone == pytest.approx(stub.width * stub.length * square.thickness / 2, rel=1e-6)
    agrees_with_the_modeller(sloped)


@given(square_frames(), ENDS, st.integers(2, 4), sizes(3, 9), sizes(20, 60))
def test_twin_and_double(place: Frame, end: Face, count: int, gap: float, reach: float) -> None:
    pair = rail_in_post(reach, width=180.0, thickness=70.0, end=end, place=place)
    for joint in (
        make.twin_tenons(*pair, count=count, gap=gap),
        make.double_tenons(*pair, count=count, gap=gap),
    ):
        twin = joint.across == "thickness"
        long, wide = joint.width, joint.thickness
        each = joint.each
        assert count * each + (count - 1) * gap == pytest.approx(wide if twin else long)
        section = each * (long if twin else wide) * count
        rail = (600.0 - reach) * 180.0 * 70.0 + section * reach
        a, b = (long, each) if twin else (each, wide)
        fit = joint.fit
        pocket = (a + fit.edge.mid) * (b + fit.cheek.mid) * (reach + fit.bottom.mid)
        assert volumes(joint) == pytest.approx(
            (800.0 * 80.0 * 80.0 - count * pocket, rail), rel=1e-9
        )
        agrees_with_the_modeller(joint)


@given(square_frames(), ENDS, sizes(78, 90), sizes(0.5, 5), st.integers(1, 3), sizes(0.8, 2.5))
def test_wedged(
    place: Frame, end: Face, reach: float, flare: float, wedges: int, kerf: float
) -> None:
    pair = rail_in_post(reach, end=end, place=place)
    joint = make.wedged_tenon(*pair, flare=flare, wedges=wedges, kerf=kerf)
    fit, deep = joint.fit, 80.0
    long, wide = joint.width + fit.edge.mid, joint.thickness + fit.cheek.mid
    # A box, and a triangle's prism at each end where it flares.
    pocket = wide * (long * deep + flare * (deep - joint.flare_start))
    kerfs = wedges * kerf * joint.kerf_length * joint.thickness
    tenon = joint.width * joint.thickness * reach - kerfs
    assert volumes(joint) == pytest.approx(
        (800.0 * 6400.0 - pocket, (600.0 - reach) * 4000.0 + tenon), rel=1e-9
    )
    for wedge in joint.wedges():
        middle = (joint.wedge_thickness + joint.wedge_tip) / 2
        assert net_volume(wedge, joint.cuts()[wedge.name]) == pytest.approx(
            middle * wedge.length * joint.thickness, rel=1e-6
        )
    agrees_with_the_modeller(joint)


@given(square_frames(), ENDS, sizes(150, 260), st.sampled_from(list(Face)[:4]))
def test_tusk(place: Frame, end: Face, reach: float, side: Face) -> None:
    joint = make.tusk_tenon(*rail_in_post(reach, end=end, place=place), wedge_face=side)
    start, stop = joint.drive_span
    middle = joint.width_at((start + stop) / 2) + joint.relief
    hole = middle * (stop - start) * (joint.wedge_thickness + joint.play)
    rail = (600.0 - reach) * 4000.0 + joint.width * joint.thickness * reach - hole
    assert volumes(joint)[1] == pytest.approx(rail, rel=1e-9)
    (wedge,) = joint.wedges()
    assert net_volume(wedge, joint.cuts()[wedge.name]) == pytest.approx(
        (wedge.width - joint.slope * wedge.length / 2) * wedge.length * wedge.thickness, rel=1e-6
    )
    agrees_with_the_modeller(joint)


@given(square_frames(), sizes(60, 110), sizes(80, 160), sizes(60, 120), sizes(0.05, 0.3))
def test_slab(place: Frame, slab: float, width: float, thick: float, slope: float) -> None:
    pair = post_in_slab(slab=slab, width=width, thickness=thick, place=place)
    joint = make.slab_tenons(*pair, slope=slope)
    fit, quarter = joint.fit, joint.dovetail
    tail = (width - joint.inset) * quarter
    post = (800.0 - joint.length) * width * thick + (tail + width * joint.inner) * joint.length
    socket = (joint.socket.mouth + joint.socket.length) / 2 * joint.socket.width
    plain = (width + fit.edge.mid) * (joint.inner + fit.cheek.mid)
    top = 900.0 * 500.0 * slab - (socket + plain) * slab
    assert joint.length == slab
    assert volumes(joint) == pytest.approx((top, post), rel=1e-9)
    # The flanks stand half of the edges' play off their sockets, all along.
    behind = fit.cheek.mid / 2
    assert joint.socket.width == pytest.approx(quarter + behind)
    assert joint.socket.mouth == pytest.approx(width - 2 * slope * quarter + fit.edge.mid)
    agrees_with_the_modeller(joint)


@given(square_frames(), ENDS, sizes(20, 60), sizes(20, 60), sizes(2, 14), st.booleans())
def test_round(
    place: Frame, end: Face, reach: float, base: float, degrees: float, through: bool
) -> None:
    if through:
        reach += 62.0
    angle = math.radians(degrees)
    tip = base - 2 * math.tan(angle / 2) * (reach + 5.0)
    if tip <= 1.0:
        return
    pair = rail_in_post(reach, width=62.0, thickness=62.0, end=end, place=place)
    if through and reach < 80.0:
        return
    joint = make.round_tenon(*pair, diameter=base, angle=angle, through=through)

    def frustum(a: float, b: float, h: float) -> float:
        return math.pi / 12 * h * (a * a + a * b + b * b)

    rail = (600.0 - reach) * 62.0**2 + frustum(base, joint.tip_diameter, reach)
    mouth = base + joint.play
    hole = frustum(mouth, mouth - joint.taper * joint.depth, joint.depth)
    assert volumes(joint) == pytest.approx((800.0 * 6400.0 - hole, rail), rel=1e-9)
    agrees_with_the_modeller(joint)
