"""Pegs through tenons that lean: places by hand, volumes by another modeller, rules, papers."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.joints.aslant import pegged_tenon, tenon
from tests.joints.modeller import bounds
from tests.joints.tenon_variants.pairs import bench_of
from treenail.api import Bench
from treenail.checks.gauge import peg_holes
from treenail.checks.solids import solid_findings
from treenail.compose import compose
from treenail.generators.solids import build_solids
from treenail.joints.angled_tenon import AngledTenon
from treenail.joints.tenon_variants.pegs import pegged
from treenail.joints.volumes import net_volume
from treenail.shop.drawbore_sheet import drawbore_sheet
from treenail.shop.setups import setups
from treenail.templates.joint_report import joint_data, joint_words
from treenail.timber.errors import GeometryError
from treenail.timber.frames import along, dot, sub
from treenail.timber.member import Face

splays, rakes = st.floats(-0.55, 0.55), st.floats(-0.3, 0.3)
sides = st.sampled_from([Face.FACE_SIDE, Face.BACK_SIDE])


def pair(joint: AngledTenon) -> Bench:
    return compose("pegged", list(joint.members), [joint])


@given(splays, rakes, sides, st.booleans(), st.booleans())
def test_pegs_cross_the_mortise_square_and_draw_along_the_tenon(
    splay: float, rake: float, side: Face, head: bool, blind: bool
) -> None:
    joint = pegged_tenon(splay, rake, side=side, upside_down=head, blind=blind, over=66.0)
    place, home = joint.receiver.placement, joint.insertion()
    wall = place.direction(joint.mortise.frame.y)
    mouth = place.place(joint.receiver.face_frame(joint.receiver_face))
    for (post, own), hole in zip(joint.peg_holes(), peg_holes(bench_of(joint), joint), strict=True):
        axis = place.direction(post.frame.z)
        assert abs(dot(axis, wall)) == pytest.approx(1.0, abs=1e-11)
        assert abs(dot(own.frame.z, (0.0, 0.0, 1.0))) == pytest.approx(1.0, abs=1e-11)
        apart = sub(
            place.point(post.frame.origin), joint.entering.placement.point(own.frame.origin)
        )
        apart = along(apart, axis, -dot(apart, axis))
        assert dot(apart, home) == pytest.approx(joint.draw.offset if joint.draw else 0.0)
        assert math.hypot(*apart) == pytest.approx(dot(apart, home), abs=1e-9)
        assert (hole.draw, hole.astray) == pytest.approx((dot(apart, home), 0.0), abs=1e-6)
        # Nowhere in the beam does a peg come nearer to the mortised face than two diameters.
        ends = (post.frame.origin, along(post.frame.origin, post.frame.z, post.depth))
        deep = [dot(sub(place.point(p), mouth.origin), mouth.z) for p in ends]
        assert min(deep) >= 2.0 * 9.525 - 1e-6
    rooms = [joint.peg_face_room(), 2.0 * 9.525]
    assert rooms[0] == pytest.approx(rooms[1])


@settings(max_examples=5)
@given(splays, rakes, sides, st.booleans(), st.integers(1, 3))
def test_both_members_are_the_modellers(
    splay: float, rake: float, side: Face, blind: bool, count: int
) -> None:
    joint = pegged_tenon(splay, rake, side=side, blind=blind, count=count, over=66.0)
    cuts = joint.cuts()
    for member in joint.members:
        low, high = bounds(member, cuts[member.name])
        assert low - 1e-3 <= net_volume(member, cuts[member.name]) <= high + 1e-3


@given(splays, rakes, st.booleans())
def test_holes_between_parallel_walls_are_cylinders(splay: float, rake: float, blind: bool) -> None:
    joint = pegged_tenon(splay, rake, blind=blind, over=66.0)
    beam, post = joint.members
    cuts, d = joint.cuts(), 9.525
    whole = net_volume(post, [joint.tenon]) - net_volume(post, cuts[post.name])
    assert whole == pytest.approx(2.0 * math.pi / 4.0 * d * d * joint.thickness, rel=1e-9)
    # In the beam: from the drive face to the hole's end, less what the mortise took before.
    gone = net_volume(beam, [joint.mortise]) - net_volume(beam, cuts[beam.name])
    length = joint.peg_hole_depth - joint.mortise.width
    assert gone == pytest.approx(2.0 * math.pi / 4.0 * d * d * length, rel=1e-9)
    for peg in joint.pegs():
        flush = net_volume(peg, cuts.get(peg.name, ()))
        slant = joint.peg_slant * (1.0 if blind else 2.0)
        assert flush == pytest.approx(peg.stock_volume - math.pi / 4.0 * d * d * slant, rel=1e-9)


@pytest.mark.parametrize(
    "how",
    [
        {},
        {"blind": False, "side": Face.BACK_SIDE},
        {"rake": -0.25, "splay": 0.5, "staggered": True, "upside_down": True},
        {"through": True, "count": 1},
    ],
    ids=["blind", "through pegs", "staggered, near end", "through tenon"],
)
def test_the_kernel_builds_it_and_pegs_press_as_drawn(how: dict[str, object]) -> None:
    joint = pegged_tenon(**how)  # type: ignore[arg-type]
    bench = bench_of(joint)
    solids = build_solids(bench)
    assert solids.problems() == []
    for member in bench.members:
        volume = solids.local(member.name).Volume()
        assert volume == pytest.approx(bench.volumes[member.name], rel=1e-7)
    assert [f.message for f in solid_findings(solids)] == []


def changed(**draw: object) -> AngledTenon:
    joint = pegged_tenon(0.5, 0.1, over=66.0)
    assert joint.draw is not None
    return replace(joint, draw=replace(joint.draw, **draw))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("draw", "rule", "says"),
    [
        ({"setback": 9.0}, "peg-breakout", "breaks out at the mortised face of beam"),
        ({"setback": 62.5}, "peg-breakout", "breaks out at the tenon's end"),
        ({"edge": 4.0}, "peg-breakout", "breaks out at the tenon's edge"),
        ({"setback": 16.5}, "peg-edge", "from the mortised face of beam"),
        ({"setback": 52.0}, "peg-end", "of tenon lies beyond a peg's centre"),
        ({"offset": -1.0}, "draw-direction", "pushes the joint open"),
        ({"offset": 4.0}, "draw-amount", "of the peg's diameter"),
        ({"offset": 10.0}, "peg-opening", "no peg gets through"),
        ({"tip": 0.0}, "peg-tip", "blunt end"),
        ({"stop_wall": -1.0}, "peg-hole-depth", "comes through beam"),
        ({"stop_wall": 1.0}, "peg-stop", "of beam is left"),
        ({"stop_wall": 40.0}, "peg-short", "before the mortise's far wall"),
        ({"stop_wall": 20.0}, "peg-reach", "loose there"),
    ],
)
def test_rules_look_at_leaning_pegs(draw: dict[str, object], rule: str, says: str) -> None:
    sound = {f.rule for f in pair(changed()).check(numbers_only=True).findings}
    assert not any(code.startswith(("peg", "draw")) for code in sound)
    found = pair(changed(**draw)).check(numbers_only=True).findings
    assert any(f.rule == rule and says in f.message for f in found), [f.message for f in found]


def test_wedges_or_pegs_and_as_many_places_as_pegs() -> None:
    with pytest.raises(GeometryError, match="not both"):
        pegged(tenon())
    with pytest.raises(GeometryError, match="2 pegs but 1 places"):
        changed(spots=(10.0,))


def test_papers_tell_how_the_holes_lean() -> None:
    bench = pair(pegged_tenon(0.4, 0.12, over=62.0))
    (row,) = drawbore_sheet(bench).rows
    joint = bench.joints[0]
    assert isinstance(joint, AngledTenon)
    assert joint.kind == "angled mortise and tenon, drawbored"
    assert row.drive_faces == ("beam, face edge, 6.34° off square",)
    assert row.holes[0].draw == pytest.approx(25.4 / 16)
    # On the cheek that is marked, from the shoulder line that is seen there.
    end = joint.end_frame
    (post, _), *_ = joint.peg_holes()
    _, _, _, cheek = joint.section  # at the far end y runs from the back side
    x, _, z = end.local_point(joint.receiver.placement.point(post.frame.origin))
    assert row.holes[0].post == pytest.approx(joint.tenon.shoulder.depth(x, cheek) - z)
    sheets = {s.machine: s for s in setups(bench).sheets}
    bored = next(u for u in sheets["drill press"].setups if u.work.lower() == "peg holes")
    told = {s.name: s.text for s in bored.settings}
    assert told["resultant"] == "6.34°"
    assert told["leans"].startswith("toward the ")
    data = joint_data(joint)["pegs"][0]
    assert data["off_square_degrees"] == pytest.approx(6.34, abs=0.01)
    assert "2 pegs of" in joint_words(joint, "mm")
