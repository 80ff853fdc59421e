"""Hidden lines against closed forms, interval arithmetic by cells, painting order by rays."""

import itertools
import math

import cadquery as cq
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from treenail.generators.frame_bench import build_frame_bench
from treenail.generators.frame_spec import Bolts, FrameBenchSpec
from treenail.generators.solids import BenchSolids, build_solids
from treenail.templates import hidden_line as hl
from treenail.templates.facets import Facet, Scene
from treenail.templates.hidden_line import Arc, Curve, Line, Path, View, hidden_lines
from treenail.templates.painting import far_to_near, seen_at
from treenail.timber.errors import SpecError
from treenail.timber.frames import Vec, cross, dot, norm

ISO = View((1.0, -1.0, 1.0))
FRONT = View((0.0, -1.0, 0.0))
PLAN = View((0.0, 0.0, 1.0), (0.0, 1.0, 0.0))

coordinates = st.floats(-1.0, 1.0, allow_nan=False).map(lambda x: round(x, 3))
directions = st.tuples(coordinates, coordinates, coordinates).filter(lambda v: norm(v) > 0.3)


def box(low: Vec, size: Vec) -> cq.Solid:
    return cq.Solid.makeBox(*size, pnt=cq.Vector(*low))


def places(curves: tuple[Curve, ...]) -> set[tuple[float, ...]]:
    """What is drawn, to the tenth of a millimetre (over 0.05, so that none is near a half)."""
    return {tuple(round(n + 0.031, 1) for n in hl._order(c)) for c in curves}


def length(curves: tuple[Curve, ...]) -> float:
    total = 0.0
    for curve in curves:
        assert isinstance(curve, Line)
        total += math.dist(curve.start, curve.end)
    return total


# -- the view ------------------------------------------------------------------------------------


@given(direction=directions, up=directions)
def test_a_view_s_axes_are_right_handed_and_up_points_up(direction: Vec, up: Vec) -> None:
    if norm(cross(direction, up)) < 0.05:
        return
    view = View(direction, up)
    axes = (view.right, view.upward, view.toward)
    for a, b in itertools.combinations(axes, 2):
        assert dot(a, b) == pytest.approx(0.0, abs=1e-9)
    assert cross(view.right, view.upward) == pytest.approx(view.toward)
    right, upward = view.project(up)
    assert upward > 0.0
    assert right == pytest.approx(0.0, abs=1e-9)
    assert view.depth(direction) > 0.0


def test_from_the_front_right_is_right() -> None:
    assert FRONT.project((3.0, 5.0, 7.0)) == (3.0, 7.0)
    assert PLAN.project((3.0, 5.0, 7.0)) == (3.0, 5.0)
    assert View((1.0, 0.0, 0.0)).project((3.0, 5.0, 7.0)) == (5.0, 7.0)


@pytest.mark.parametrize(
    ("direction", "up", "field"),
    [
        ((0.0, 0.0, 0.0), (0.0, 0.0, 1.0), "direction"),
        ((0.0, math.nan, 1.0), (0.0, 0.0, 1.0), "direction"),
        ((0.0, 0.0, -2.0), (0.0, 0.0, 1.0), "up"),
        ((1.0, 0.0, 0.0), (0.0, 0.0, 0.0), "up"),
    ],
)
def test_a_view_that_can_t_be_is_refused(direction: Vec, up: Vec, field: str) -> None:
    with pytest.raises(SpecError) as caught:
        View(direction, up)
    assert caught.value.field == field
    assert caught.value.allowed


# -- lines of simple solids ----------------------------------------------------------------------


def test_a_box_seen_from_a_corner_shows_nine_edges() -> None:
    got = hidden_lines([box((0, 0, 0), (30, 20, 10))], ISO)
    assert len(got.visible) == 9
    assert len(got.hidden) == 3
    assert got.smooth == ()
    # Each axis is foreshortened by √(2/3) in an isometric view.
    assert length(got.visible) == pytest.approx(3 * 60.0 * math.sqrt(2.0 / 3.0))
    assert length(got.hidden) == pytest.approx(60.0 * math.sqrt(2.0 / 3.0))


def test_hidden_edges_under_visible_ones_are_dropped() -> None:
    got = hidden_lines([box((0, 0, 0), (30, 20, 10))], FRONT)
    assert len(got.visible) == 4
    assert got.hidden == ()


def test_the_edge_where_two_boxes_touch_is_drawn_once() -> None:
    got = hidden_lines([box((0, 0, 0), (30, 20, 10)), box((30, 0, 0), (40, 20, 10))], FRONT)
    # Bottom and top run through as one line each; two ends and the seam stand.
    assert len(got.visible) == 5
    assert length(got.visible) == pytest.approx(2 * 70.0 + 3 * 10.0)


def test_a_bar_behind_a_board_is_hidden_where_the_board_stands() -> None:
    bar, board = box((0, 50, 4), (100, 5, 2)), box((20, 0, 0), (30, 5, 20))
    got = hidden_lines([bar, board], FRONT)
    assert length(got.visible) == pytest.approx(2 * (30 + 20) + 2 * (100 - 30) + 2 * 2)
    assert length(got.hidden) == pytest.approx(2 * 30.0)
    assert hidden_lines([bar, board], FRONT, hidden=False).hidden == ()
    assert hidden_lines([bar, board], FRONT, hidden=False).visible == got.visible


def test_a_hole_is_one_whole_circle_in_plan_and_an_ellipse_aslant() -> None:
    plate = box((0, 0, 0), (40, 40, 10)).cut(cq.Solid.makeCylinder(6, 10, pnt=cq.Vector(20, 20, 0)))
    (circle,) = [c for c in hidden_lines([plate], PLAN).visible if isinstance(c, Arc)]
    assert circle.is_whole
    assert circle.centre == pytest.approx((20.0, 20.0))
    assert (circle.major, circle.minor) == pytest.approx((6.0, 6.0))
    rims = [c for c in hidden_lines([plate], ISO).visible if isinstance(c, Arc)]
    whole = [c for c in rims if c.is_whole]
    assert len(whole) == 1
    # A horizontal circle seen at 35.26° over the horizon: minor = r sin 35.26° = r/√3.
    assert (whole[0].major, whole[0].minor) == pytest.approx((6.0, 6.0 / math.sqrt(3.0)))
    # Seen from the front a hole's rims are straight, and lie under the plate's edges.
    edge_on = hidden_lines([plate], FRONT)
    assert all(isinstance(c, Line) for c in (*edge_on.visible, *edge_on.hidden))
    assert length(edge_on.hidden) == pytest.approx(2 * 10.0)


def test_a_point_of_an_arc_lies_on_the_solid_s_edge() -> None:
    cylinder = cq.Solid.makeCylinder(10, 30)
    for curve in hidden_lines([cylinder], ISO, hidden=False).visible:
        if isinstance(curve, Arc):
            spots = {round(math.atan2(y, x), 3) for x, y in (curve.at(t) for t in (0.1, 2.0))}
            assert len(spots) == 2
    tops = [
        ISO.project((10 * math.cos(a), 10 * math.sin(a), 30.0)) for a in np.linspace(0, 6.2, 40)
    ]
    (rim,) = [
        c
        for c in hidden_lines([cylinder], ISO, hidden=False).visible
        if isinstance(c, Arc) and c.is_whole
    ]
    ts = [rim.at(t) for t in np.linspace(0.0, 2 * math.pi, 4001)]
    assert all(min(math.dist(p, q) for q in ts) < 0.02 for p in tops)


def test_a_rounded_edge_s_borders_are_smooth() -> None:
    rounded = cq.Workplane().box(20, 20, 20).edges("|Y").fillet(5).val()
    got = hidden_lines([rounded], ISO, hidden=False)
    assert got.smooth
    assert not set(got.smooth) & set(got.visible)


def test_nothing_gives_nothing_and_order_plays_no_part() -> None:
    assert hidden_lines([], ISO) == hl.Drawing((), (), ())
    a, b = box((0, 0, 0), (30, 20, 10)), box((5, 5, 10), (10, 10, 10))
    there, back = hidden_lines([a, b], ISO), hidden_lines([b, a], ISO)
    assert [hl._order(c) for c in there.visible] == [hl._order(c) for c in back.visible]


# -- tidying -------------------------------------------------------------------------------------

spans = st.lists(
    st.tuples(st.integers(0, 30), st.integers(1, 8)).map(lambda t: (float(t[0]), float(sum(t)))),
    max_size=6,
)


def cells(of: list[tuple[float, float]]) -> set[int]:
    return {i for low, high in of for i in range(round(low), round(high))}


@given(st.lists(spans, min_size=1, max_size=3))
def test_layers_cover_every_place_once_in_the_first_that_has_it(
    stacked: list[list[tuple[float, float]]],
) -> None:
    got = hl._layers(stacked, 1e-6)
    above: set[int] = set()
    for given_spans, left in zip(stacked, got, strict=True):
        assert cells(left) == cells(given_spans) - above
        assert all(a[1] < b[0] for a, b in itertools.pairwise(left))
        above |= cells(given_spans)


def test_parts_of_an_ellipse_join_over_its_seam() -> None:
    def part(start: float, sweep: float) -> Arc:
        return Arc((1.0, 2.0), 5.0, 3.0, 0.4, start, sweep)

    got = hl._tidy([part(5.5, 1.5), part(0.5, 1.0)], [], [part(0.0, 2 * math.pi)])
    (seen,) = got.visible
    assert isinstance(seen, Arc)
    assert (seen.start, seen.sweep) == pytest.approx((5.5, 1.5 + 2 * math.pi - 7.0 + 1.5))
    (rest,) = got.hidden
    assert isinstance(rest, Arc)
    assert seen.sweep + rest.sweep == pytest.approx(2 * math.pi)


def test_a_whole_ellipse_drawn_twice_is_one() -> None:
    ellipse = Arc((1.0, 2.0), 5.0, 3.0, 0.4, 1.0, 2 * math.pi)
    (got,) = hl._tidy([ellipse, ellipse], [], [ellipse]).visible
    assert isinstance(got, Arc)
    assert got.is_whole


def test_any_other_curve_is_drawn_once_either_way_round() -> None:
    path = Path(((0.0, 0.0), (1.0, 2.0), (3.0, 3.0)))
    got = hl._tidy([path, Path(path.points[::-1])], [], [path])
    assert got.visible == (path,)
    assert got.hidden == ()


def test_with_hidden_keeps_what_is_seen_and_dashes_the_rest() -> None:
    long, short = Line((0.0, 0.0), (10.0, 0.0)), Line((2.0, 0.0), (5.0, 0.0))
    other = Line((0.0, 3.0), (10.0, 3.0))
    got = hl.with_hidden(hl.Drawing((short,), (), ()), hl.Drawing((long, other), (), ()))
    assert places(got.visible) == places((short,))
    left = (Line((0.0, 0.0), (2.0, 0.0)), Line((5.0, 0.0), (10.0, 0.0)), other)
    assert places(got.hidden) == places(left)


# -- painting order ------------------------------------------------------------------------------


def box_facets(name: str, low: Vec, high: Vec) -> list[Facet]:
    found = []
    for k in range(3):
        i, j = (k + 1) % 3, (k + 2) % 3
        for sign in (-1.0, 1.0):
            corners = []
            for a, b in ((0, 0), (1, 0), (1, 1), (0, 1)):
                p = [0.0, 0.0, 0.0]
                p[i] = (low, high)[a][i]
                p[j] = (low, high)[b][j]
                p[k] = high[k] if sign > 0 else low[k]
                corners.append(p)
            normal = [0.0, 0.0, 0.0]
            normal[k] = sign
            facet = Facet(name, (np.array(corners),), (normal[0], normal[1], normal[2]), flat=True)
            found.append(facet)
    return found


def depth_at(facet: Facet, view: View, spot: tuple[float, float]) -> float | None:
    """How near the facet is on the line of sight through a spot; None beside it (an oracle)."""
    base = [view.right[k] * spot[0] + view.upward[k] * spot[1] for k in range(3)]
    point = facet.loops[0][0]
    slope = dot(facet.normal, view.toward)
    t = sum(facet.normal[k] * (point[k] - base[k]) for k in range(3)) / slope
    hit = [base[k] + view.toward[k] * t for k in range(3)]
    low, high = facet.loops[0].min(axis=0), facet.loops[0].max(axis=0)
    axis = max(range(3), key=lambda k: abs(facet.normal[k]))
    inside = all(low[k] < hit[k] < high[k] for k in range(3) if k != axis)
    return t if inside else None


cells_taken = st.lists(
    st.tuples(
        st.integers(0, 3), st.integers(0, 3), st.integers(0, 3),
        st.integers(1, 3), st.integers(1, 3), st.integers(1, 3),
    ),
    min_size=2,
    max_size=5,
)  # fmt: skip
oblique = directions.filter(lambda v: min(abs(c) for c in v) > 0.1)


@settings(max_examples=60)
@given(boxes=cells_taken, direction=oblique)
def test_what_is_painted_last_at_a_spot_is_what_is_nearest(
    boxes: list[tuple[int, ...]], direction: Vec
) -> None:
    kept: list[tuple[tuple[float, ...], tuple[float, ...]]] = []
    for b in boxes:
        low, high = tuple(map(float, b[:3])), tuple(float(b[k] + b[k + 3]) for k in range(3))
        if all(any(high[k] <= lo[k] or hi[k] <= low[k] for k in range(3)) for lo, hi in kept):
            kept.append((low, high))
    view = View(direction)
    facets = [
        f
        for i, (low, high) in enumerate(kept)
        for f in box_facets(f"box_{i}", low, high)  # type: ignore[arg-type]
        if dot(f.normal, view.toward) > 1e-6
    ]
    order = far_to_near(facets, view)
    assert len(order) == len(facets)
    for u in np.linspace(-5.03, 5.01, 9):
        for v in np.linspace(-5.02, 7.03, 9):
            depths = [depth_at(f, view, (float(u), float(v))) for f in order]
            hits = [d for d in depths if d is not None]
            if hits:
                last = max(i for i, d in enumerate(depths) if d is not None)
                assert depths[last] == pytest.approx(max(hits))


def test_a_covered_piece_is_not_seen_and_a_half_covered_one_where_it_shows() -> None:
    view = FRONT
    facets = [
        f
        for name, low, high in (
            ("wide", (0.0, 10.0, 0.0), (100.0, 20.0, 10.0)),
            ("hidden", (10.0, 30.0, 2.0), (30.0, 40.0, 8.0)),
            ("screen", (0.0, 0.0, 0.0), (60.0, 5.0, 10.0)),
        )
        for f in box_facets(name, low, high)
        if dot(f.normal, view.toward) > 1e-6
    ]
    spots = seen_at(far_to_near(facets, view), view, ["wide", "hidden", "screen"])
    assert set(spots) == {"wide", "screen"}
    assert all(60.0 < u < 100.0 and 0.0 < v < 10.0 for u, v in spots["wide"])
    u, v = spots["wide"][0]
    assert (u, v) == pytest.approx((80.0, 5.0), abs=6.0)


# -- a whole bench -------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def solids() -> BenchSolids:
    return build_solids(build_frame_bench(FrameBenchSpec(), units="in"))


@pytest.mark.parametrize("direction", [(0.55, -1.0, 0.5), (-0.5, -1.0, -0.6)])
def test_faces_left_out_change_no_visible_line(direction: Vec) -> None:
    # Without bolts: their threads share room with the wood, where the whole solids give lines
    # inside it as visible.
    spec = FrameBenchSpec(bolts=Bolts(per_stretcher=0))
    view = View(direction)
    scene = Scene(build_solids(build_frame_bench(spec)))
    _, shapes = scene.facing(view)
    quick = hidden_lines(shapes, view, hidden=False)
    full = hidden_lines(scene.shapes(), view, hidden=False)
    assert places(quick.visible) == places(full.visible)


def test_every_peg_on_the_front_is_a_circle_on_a_post(solids: BenchSolids) -> None:
    scene = Scene(solids)
    _, shapes = scene.facing(FRONT)
    arcs = [c for c in hidden_lines(shapes, FRONT, hidden=False).visible if isinstance(c, Arc)]
    pegs = [p for p in solids.bench.pegs if p.placement.x == (0.0, 1.0, 0.0)]
    assert len(pegs) == len(arcs) == 8
    for peg in pegs:
        centre = FRONT.project(peg.placement.origin)
        (circle,) = [a for a in arcs if math.dist(a.centre, centre) < 1e-6]
        assert circle.is_whole
        assert circle.major == pytest.approx(peg.width / 2)


def test_dog_holes_show_in_plan(solids: BenchSolids) -> None:
    scene = Scene(solids)
    _, shapes = scene.facing(PLAN)
    arcs = [c for c in hidden_lines(shapes, PLAN, hidden=False).visible if isinstance(c, Arc)]
    bored = [c for cuts in solids.bench.cuts.values() for c in cuts if c.purpose == "dog hole"]
    assert len(arcs) == len(bored) > 0
    assert all(a.is_whole for a in arcs)


def test_a_part_that_isn_t_there_can_t_be_moved(solids: BenchSolids) -> None:
    with pytest.raises(SpecError, match="no part 'lid'"):
        Scene(solids, {"lid": (0.0, 0.0, 10.0)})
