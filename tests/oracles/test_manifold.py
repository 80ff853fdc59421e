"""Members rebuilt by another solid modeller (manifold3d): volumes, overlaps and gaps agree.

That modeller knows polygons only. A polygon inside a circle and one around it bound what the
circle holds; where a hole and a peg are meant to fit exactly, both get the same polygon's turn.
"""

import math
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from hypothesis import given, settings
from manifold3d import Manifold

from tests.checks.test_solids_rules import built
from tests.generators.bench_grid import GRID, bench, solids
from tests.joints.modeller import SIDES, bounds, solid
from tests.strategies import frame_specs, tenoned_pairs
from treenail.checks.measured import measure_bench, measure_joint, measures_of
from treenail.checks.solids import peg_overlap, thread_overlap
from treenail.generators.bench import Bench
from treenail.generators.frame_bench import build_frame_bench
from treenail.generators.frame_spec import FrameBenchSpec
from treenail.generators.solids import build_solids
from treenail.joints.lag_bolt import LagBolt
from treenail.joints.mortise_tenon import MortiseTenon
from treenail.timber.fasteners import lag_tip_length
from treenail.timber.frames import Frame, Vec
from treenail.timber.member import Member

#: Area of a circle against that of its inscribed polygon.
FACETS = 2.0 * math.pi / SIDES / math.sin(2.0 * math.pi / SIDES)


def placed(shape: Manifold, frame: Frame) -> Manifold:
    columns = [frame.x, frame.y, frame.z, frame.origin]
    return shape.transform(np.array(columns, dtype=float).T)


@cache
def timber(bench_name: str, member: str, *, around: bool = False) -> Manifold:
    """A squared member of a bench of the grid with all its cuts, in the bench; made once."""
    made = bench(bench_name)
    piece = made.by_name[member]
    shape = placed(solid(piece, made.cuts[member], around=around), piece.placement)
    # That modeller works when it is asked for a number: now, rather than with every boolean.
    assert shape.num_tri() > 0
    return shape


def round_piece(frame: Frame, stretches: list[tuple[float, float, float]], sides: int) -> Manifold:
    """Stacked (length, first radius, last radius) along the frame's z, in the bench.

    Corners lie where those of ``modeller``'s holes do: half a side off the x axis.
    """
    total, at = Manifold(), 0.0
    for length, r0, r1 in stretches:
        if length > 0.0:
            piece = Manifold.cylinder(length, r0, r1, sides).rotate((0.0, 0.0, 180.0 / sides))
            total += piece.translate((0.0, 0.0, at))
            at += length
    return placed(total, frame)


def peg_solid(peg: Member, sides: int = SIDES) -> Manifold:
    f = peg.placement
    axis = Frame(f.origin, f.y, f.z, f.x)
    r, tip = peg.width / 2, peg.tip_length
    return round_piece(axis, [(peg.length - tip, r, r), (tip, r, peg.tip_diameter / 2)], sides)


def probe(box_low: Vec, box_high: Vec, frame: Frame) -> Manifold:
    size = tuple(b - a for a, b in zip(box_low, box_high, strict=True))
    return placed(Manifold.cube(size).translate(box_low), frame)


def holds_the_same_volumes(made: Bench) -> None:
    shapes = build_solids(made)
    for key in shapes.shapes:
        name = next(n for n, k in shapes.keys.items() if k == key)
        member = made.by_name[name]
        if member.round_section:
            faceted = peg_solid(member).volume() * FACETS
            assert shapes.local(name).Volume() == pytest.approx(faceted, rel=1e-9)
            continue
        low, high = bounds(member, made.cuts[name])
        assert high - low <= 1e-4 * high  # or the bounds say nothing
        assert low * (1 - 1e-9) <= shapes.local(name).Volume() <= high * (1 + 1e-9)


@pytest.mark.parametrize("name", ["many bolts"])
def test_volumes_lie_between_the_oracle_s_bounds(name: str) -> None:
    holds_the_same_volumes(bench(name))


@pytest.mark.deep
@pytest.mark.parametrize("name", GRID)
def test_volumes_of_all_benches_lie_between_the_oracle_s_bounds(name: str) -> None:
    holds_the_same_volumes(bench(name))


@pytest.mark.deep
@given(spec=frame_specs())
@settings(max_examples=20)
def test_volumes_of_any_bench_lie_between_the_oracle_s_bounds(spec: FrameBenchSpec) -> None:
    holds_the_same_volumes(build_frame_bench(spec))


# --- overlaps


def tenons(made: Bench) -> list[MortiseTenon]:
    return [j for j in made.joints if isinstance(j, MortiseTenon)]


@pytest.mark.parametrize(
    "name",
    [
        *("usual", "mitred", "notched, through"),
        *(pytest.param(name, marks=pytest.mark.deep) for name in ("shortened", "through")),
    ],
)
def test_squared_members_share_nothing(name: str) -> None:
    made = bench(name)
    shapes = {m.name: timber(name, m.name) for m in made.timbers}
    for joint in tenons(made):
        shared = shapes[joint.receiver.name] ^ shapes[joint.entering.name]
        assert shared.volume() == pytest.approx(0.0, abs=1e-3), joint.name
    posts = {j.receiver.name for j in tenons(made)}
    for post in posts:
        entering = sorted({j.entering.name for j in tenons(made) if j.receiver.name == post})
        for i, first in enumerate(entering):
            for second in entering[:i]:
                assert (shapes[first] ^ shapes[second]).volume() == pytest.approx(0.0, abs=1e-3)


@pytest.mark.parametrize(
    "name", ["usual", "taper inside the tenon", "pegs right through", "pegs in two rows"]
)
def test_pegs_press_into_the_tenon_by_what_was_measured(name: str) -> None:
    made = bench(name)
    measured = measure_bench(solids(name))
    for joint in tenons(made)[::7]:
        # Polygons of hole and peg alike: their crescent is within a facet's sagitta of the true.
        rail = timber(name, joint.entering.name)
        total = sum((rail ^ peg_solid(p)).volume() for p in joint.pegs())
        assert total == pytest.approx(measured[joint.name].overlap, rel=2e-3)
        closed = sum(peg_overlap(joint, p) for p in joint.pegs())
        assert total == pytest.approx(closed, rel=2e-3)


@pytest.mark.parametrize("name", ["usual", "pegs in two rows"])
def test_pegs_fill_the_posts_holes_and_no_more(name: str) -> None:
    made = bench(name)
    for joint in tenons(made)[::8]:
        post = timber(name, joint.receiver.name, around=True)
        for peg in joint.pegs():
            assert (post ^ peg_solid(peg)).volume() == pytest.approx(0.0, abs=1e-6)
            thicker = replace(peg, width=peg.width + 0.2, thickness=peg.width + 0.2)
            assert (post ^ peg_solid(thicker)).volume() > 10.0


@pytest.mark.parametrize("name", ["usual", "many bolts"])
def test_lag_threads_bite_by_what_was_measured(name: str) -> None:
    made = bench(name)
    shared = measures_of(solids(name)).shared
    for bolt in [j for j in made.joints if isinstance(j, LagBolt)][::3]:
        (item,) = bolt.hardware()
        r, tip = item.size.diameter / 2, lag_tip_length(item.size.diameter)
        washer = item.size.washer_thickness
        start = item.placement.shifted((0.0, 0.0, -washer))
        shape = round_piece(start, [(item.length - tip, r, r), (tip, r, 0.0)], SIDES)
        top = timber(name, bolt.top.name)
        volume = (top ^ shape).volume() * FACETS
        assert volume == pytest.approx(shared[bolt.top.name, item.name].volume, rel=1e-3)
        assert volume == pytest.approx(thread_overlap(bolt), rel=1e-3)


# --- gaps


def free_slab(a: Manifold, b: Manifold, *, frame: Frame, low: Vec, high: Vec) -> float:
    """Volume of a box that neither of two solids fills."""
    return float((probe(low, high, frame) - a - b).volume())


@given(joint=tenoned_pairs())
@settings(max_examples=8)
def test_gaps_beside_the_tenon_are_free_space(joint: MortiseTenon) -> None:
    """Thin probes across the cheeks, edges and bottom: what stays free is the gap."""
    measure = measure_joint(built(joint), joint)
    cuts = joint.cuts()
    post = placed(solid(joint.receiver, cuts["post"]), joint.receiver.placement)
    rail = placed(solid(joint.entering, cuts["rail"]), joint.entering.placement)
    assert (post ^ rail).volume() == pytest.approx(0.0, abs=1e-3)
    x0, x1, y0, y1 = joint.section
    # Near the mouth no peg's hole comes; the end frame's z runs out of the post.
    mouth, thin = joint.length, 1.0
    frame = joint.end_frame
    mid_x, mid_y = (x0 + x1) / 2, (y0 + y1) / 2
    near, far = mouth - 2.0, mouth - 2.0 + thin
    across_cheeks = free_slab(
        post,
        rail,
        frame=frame,
        low=(mid_x, y0 - 2.0, near),
        high=(mid_x + thin, y1 + 2.0, far),
    )
    cheeks = [g for g in measure.cheek_gaps if g is not None]
    assert across_cheeks == pytest.approx(sum(cheeks), abs=1e-6)
    across_edges = free_slab(
        post,
        rail,
        frame=frame,
        low=(x0 - 2.0, mid_y, near),
        high=(x1 + 2.0, mid_y + thin, far),
    )
    edges = [g for g in measure.edge_gaps if g is not None]
    assert across_edges == pytest.approx(sum(edges), abs=1e-6)
    deep = free_slab(
        post,
        rail,
        frame=frame,
        low=(x0 + 0.1, y0 + 0.1, -6.0),
        high=(x0 + 0.1 + thin, y0 + 0.1 + thin, 0.1),
    )
    assert deep == pytest.approx(measure.bottom_gap or 0.0, abs=1e-6)
    # Shoulders lie on the mortised face: nothing is free between them.
    seat = free_slab(
        post,
        rail,
        frame=frame,
        low=(mid_x, y0 - 2.5, mouth - 0.5),
        high=(mid_x + thin, y0 - 1.0, mouth + 0.5),
    )
    assert seat == pytest.approx(0.0, abs=1e-6)
