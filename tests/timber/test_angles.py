"""A leg's angles: closed forms against vectors that know nothing of them."""

from __future__ import annotations

import math
from typing import Literal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from treenail.timber.angles import LegAngles, edge_to_edge, saw_cut
from treenail.timber.errors import GeometryError
from treenail.timber.frames import Vec, add, cross, dot, neg, scale, unit

UP: Vec = (0.0, 0.0, 1.0)
ALONG: Vec = (1.0, 0.0, 0.0)
ACROSS: Vec = (0.0, 1.0, 0.0)
leans = st.floats(0.0, math.radians(45.0), allow_subnormal=False)
sharp = st.floats(math.radians(0.5), math.radians(45.0))


def axes(leg: LegAngles) -> tuple[Vec, Vec, Vec]:
    """(up the leg, out of its end face, out of its side face): the right back leg, by vectors."""
    foot_ward = unit((math.tan(leg.splay), math.tan(leg.rake), -1.0))
    up = neg(foot_ward)
    end = unit(cross(ACROSS, up))
    return up, end, cross(up, end)


def between(a: Vec, b: Vec) -> float:
    """The angle between two directions, also when it is tiny."""
    across = cross(unit(a), unit(b))
    return math.atan2(math.sqrt(dot(across, across)), dot(unit(a), unit(b)))


def shadow(v: Vec, gone: int) -> Vec:
    """A vector as it is seen along an axis."""
    flat = [x if i != gone else 0.0 for i, x in enumerate(v)]
    return (flat[0], flat[1], flat[2])


@given(leans, leans)
def test_splay_and_rake_are_what_is_seen_from_front_and_end(splay: float, rake: float) -> None:
    up, _, _ = axes(LegAngles(splay, rake))
    assert between(shadow(up, 1), UP) == pytest.approx(splay, abs=1e-12)
    assert between(shadow(up, 0), UP) == pytest.approx(rake, abs=1e-12)


@given(leans, leans)
def test_resultant_is_the_true_lean(splay: float, rake: float) -> None:
    leg = LegAngles(splay, rake)
    up, _, _ = axes(leg)
    assert between(up, UP) == pytest.approx(leg.resultant, abs=1e-12)
    assert 1.0 / math.cos(leg.resultant) == pytest.approx(leg.stretch, rel=1e-12)
    assert math.tan(leg.resultant) ** 2 == pytest.approx(
        math.tan(splay) ** 2 + math.tan(rake) ** 2, abs=1e-12
    )


@given(sharp, sharp)
def test_sight_angle_is_the_lean_from_above(splay: float, rake: float) -> None:
    leg = LegAngles(splay, rake)
    up, _, _ = axes(leg)
    foot = shadow(neg(up), 2)
    assert between(foot, ALONG) == pytest.approx(leg.sight, abs=1e-12)
    assert between(foot, ACROSS) == pytest.approx(leg.sight_from_end, abs=1e-12)
    assert leg.sight + leg.sight_from_end == pytest.approx(math.pi / 2, abs=1e-12)


@given(sharp, sharp)
def test_two_bevels_bore_the_leg(splay: float, rake: float) -> None:
    """Leaning by the resultant along the sight line is leaning by splay and rake."""
    leg = LegAngles(splay, rake)
    sight = (math.cos(leg.sight), math.sin(leg.sight), 0.0)
    bored = add(scale(sight, math.sin(leg.resultant)), (0.0, 0.0, -math.cos(leg.resultant)))
    up, _, _ = axes(leg)
    assert between(bored, neg(up)) == pytest.approx(0.0, abs=1e-7)


@given(sharp, sharp)
def test_level_lines_on_both_faces(splay: float, rake: float) -> None:
    leg = LegAngles(splay, rake)
    up, end, side = axes(leg)
    on_end, on_side = cross(UP, end), cross(UP, side)  # level lines in each face
    assert between(on_end, ACROSS) == pytest.approx(0.0, abs=1e-7)  # so a level rail lies on it
    assert abs(math.pi / 2 - between(on_end, up)) == pytest.approx(leg.end_face_angle, abs=1e-12)
    assert abs(math.pi / 2 - between(on_side, up)) == pytest.approx(leg.side_face_angle, abs=1e-12)
    assert abs(math.pi / 2 - between(on_end, on_side)) == pytest.approx(leg.skew, abs=1e-12)


@pytest.mark.parametrize("on", ["end face", "side face"])
@given(leans, leans)
def test_saw_settings_by_formula_and_by_vectors(
    on: Literal["end face", "side face"], splay: float, rake: float
) -> None:
    leg = LegAngles(splay, rake)
    _, end, side = axes(leg)
    down, across = (end, side) if on == "end face" else (side, neg(end))
    by_vectors = saw_cut(UP, down, across)
    by_formula = leg.end_cut(on)
    assert abs(by_vectors.mitre) == pytest.approx(by_formula.mitre, abs=1e-12)
    assert abs(by_vectors.tilt) == pytest.approx(by_formula.tilt, abs=1e-12)


@given(leans, leans)
def test_the_set_saw_cuts_a_level_end(splay: float, rake: float) -> None:
    """Turn a square cut by the mitre, lean it by the tilt: it is the plane that was asked for."""
    leg = LegAngles(splay, rake)
    up, end, side = axes(leg)
    across = cross(end, up)  # then across x down runs along the leg
    cut = saw_cut(UP, end, across)
    # The line on the table, then a line that rises from it by the tilt, square to it.
    line = add(scale(across, math.cos(cut.mitre)), scale(up, math.sin(cut.mitre)))
    square = add(scale(across, -math.sin(cut.mitre)), scale(up, math.cos(cut.mitre)))
    rising = add(scale(neg(end), math.cos(cut.tilt)), scale(square, math.sin(cut.tilt)))
    assert abs(dot(unit(cross(line, rising)), UP)) == pytest.approx(1.0, abs=1e-12)
    assert abs(dot(side, across)) == pytest.approx(1.0)


@given(leans, leans, st.floats(20.0, 120.0), st.floats(20.0, 120.0))
def test_a_level_section_and_its_long_point(
    splay: float, rake: float, width: float, thickness: float
) -> None:
    leg = LegAngles(splay, rake)
    up, end, side = axes(leg)
    spots, beyond = [], []
    for a in (-width / 2, width / 2):
        for b in (-thickness / 2, thickness / 2):
            edge = add(scale(end, a), scale(side, b))
            along = -edge[2] / up[2]  # down the arris to the level through the axis
            spots.append(add(edge, scale(up, along)))
            beyond.append(along)
    half_x, half_y = leg.level_section(width, thickness)
    assert max(p[0] for p in spots) == pytest.approx(half_x, rel=1e-12)
    assert max(p[1] for p in spots) == pytest.approx(half_y, rel=1e-12)
    assert max(beyond) == pytest.approx(leg.beyond_level(width, thickness), abs=1e-9)


@given(leans, leans)
def test_edge_to_edge_is_the_angle_between_sloping_boards(one: float, other: float) -> None:
    faces = (math.cos(one), 0.0, math.sin(one)), (0.0, math.cos(other), math.sin(other))
    assert edge_to_edge(one, other) == pytest.approx(math.pi - between(*faces), abs=1e-9)


def test_known_legs() -> None:
    upright = LegAngles(0.0, 0.0)
    assert (upright.resultant, upright.sight, upright.skew) == (0.0, 0.0, 0.0)
    assert upright.end_cut("end face").tilt == upright.end_cut("side face").mitre == 0.0
    alike = LegAngles(math.atan(0.5), math.atan(0.5))
    assert alike.sight == pytest.approx(math.radians(45.0))
    assert math.tan(alike.resultant) == pytest.approx(math.sqrt(0.5))
    one_way = LegAngles(math.radians(10.0), 0.0)
    assert one_way.resultant == pytest.approx(math.radians(10.0))
    assert one_way.end_face_angle == one_way.sight == 0.0
    assert one_way.side_face_angle == pytest.approx(math.radians(10.0))
    assert edge_to_edge(0.0, 0.3) == pytest.approx(math.pi / 2)


@pytest.mark.parametrize(("splay", "rake"), [(-0.1, 0.1), (0.1, 0.8), (math.nan, 0.0)])
def test_no_leg_leans_so(splay: float, rake: float) -> None:
    with pytest.raises(GeometryError, match="from 0 to 45 degrees"):
        LegAngles(splay, rake)


def test_a_cut_along_the_grain_has_no_mitre() -> None:
    with pytest.raises(GeometryError, match="along the grain"):
        saw_cut(ACROSS, (0.0, 0.0, -1.0), ACROSS)
