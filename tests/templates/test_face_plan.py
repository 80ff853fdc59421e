"""Faces of a member: folded back around the piece, every figure lies where its cut is."""

import itertools
import math

import pytest
from hypothesis import assume, given, settings

from tests.templates.face_points import (
    LONG,
    bench_of,
    bench_or_none,
    cut_points,
    folded,
    key_points,
    piece,
    plan_alone,
    specs,
)
from treenail.generators.bench import Bench
from treenail.generators.frame_spec import MEETINGS, FrameBenchSpec, Pegs, Stretchers
from treenail.joints.cuts import (
    Bore,
    Cut,
    MitredTip,
    Mortise,
    Slot,
    TenonEnd,
)
from treenail.joints.features import ChamferedFoot
from treenail.templates.face_plan import member_faces
from treenail.templates.figures import Line, Loop, Ring, box_of
from treenail.timber.errors import GeometryError
from treenail.timber.frames import Vec
from treenail.timber.member import Face, Member


def timbers(bench: Bench) -> list[Member]:
    return [m for m in bench.timbers if bench.cuts[m.name]]


def near(a: list[Vec], b: list[Vec]) -> bool:
    """Whether two sets of points are the same to 1e-6 mm."""
    return all(any(math.dist(p, q) < 1e-6 for q in b) for p in a) and all(
        any(math.dist(p, q) < 1e-6 for q in a) for p in b
    )


def check_folded(bench: Bench, member: Member) -> int:
    plan = member_faces(bench, member)
    seen = 0
    for face in plan.faces:
        if face.face.is_end:
            continue
        for figure in face.figures:
            if figure.reach not in ("deep", "through", "exit") or isinstance(figure.shape, Line):
                continue
            cut = figure.cut
            assert isinstance(cut, Mortise | Bore | Slot)
            depth = member.extent(cut.face) if figure.reach == "exit" else 0.0
            shape = figure.shape.moved(face.at)
            points = [folded(plan, face.face, p) for p in key_points(shape)]
            assert near(points, cut_points(cut, depth)), (member.name, face.face, figure)
            seen += 1
    return seen


@pytest.mark.parametrize("meeting", MEETINGS)
def test_every_figure_folds_onto_its_cut(meeting: str) -> None:
    bench = bench_of(meeting)
    for member in timbers(bench):
        asked = [c for c in bench.cuts[member.name] if isinstance(c, Mortise | Bore | Slot)]
        assert check_folded(bench, member) == sum(1 + c.through for c in asked)


@settings(max_examples=10)
@given(spec=specs)
def test_every_figure_folds_onto_its_cut_on_any_bench(spec: FrameBenchSpec) -> None:
    bench = bench_or_none(spec)
    assume(bench is not None)
    assert bench is not None
    for member in timbers(bench):
        check_folded(bench, member)


def test_the_fold_tells_a_mirrored_sheet() -> None:
    """The helper itself: a mortise mirrored across its strip must not fold onto its cut."""
    bench = bench_of("heights", upper_long=Stretchers(shoulder_outside=4.0, haunch=False))
    plan = member_faces(bench, "post_front_left")
    face = next(f for f in plan.faces if any(o.what == "mortise" for o in f.operations))
    figure = next(o for o in face.operations if o.what == "mortise")
    assert isinstance(figure.cut, Mortise)
    high = face.size[1]
    mirrored = [
        folded(plan, face.face, (x, face.at[1] + high - y)) for x, y in key_points(figure.shape)
    ]
    assert not near(mirrored, cut_points(figure.cut, 0.0))


def test_neighbouring_strips_share_their_arris() -> None:
    plan = member_faces(bench_of("heights"), "post_front_left")
    strips = [plan.by_face[f] for f in LONG]
    for low, high in itertools.pairwise(strips):
        assert low.at[1] + low.size[1] == pytest.approx(high.at[1], abs=1e-9)
        for x in (0.0, 100.0, 700.0):
            point = (x, high.at[1])
            a, b = folded(plan, low.face, point), folded(plan, high.face, point)
            assert math.dist(a, b) < 1e-9
    # And the sheet's two edges meet around the back.
    bottom = folded(plan, LONG[0], (50.0, 0.0))
    top = folded(plan, LONG[-1], (50.0, plan.height))
    assert math.dist(bottom, top) < 1e-9


# -- what is drawn -----------------------------------------------------------------------------


def test_a_mitred_tenon_by_hand() -> None:
    """stretcher_upper_front, mitred: numbers of the cut, drawn on all four faces."""
    plan = member_faces(bench_of("mitred"), "stretcher_upper_front")
    cut = next(c for c in bench_of("mitred").cuts["stretcher_upper_front"] if c.purpose == "tenon")
    assert isinstance(cut, TenonEnd)
    assert isinstance(cut.tip, MitredTip)
    length, width, thickness = plan.member.size
    tongue = cut.length - cut.tip.lead
    side = (length - 2 * cut.length) * width + 2 * (cut.x1 - cut.x0) * tongue
    assert cut.haunch is not None
    side += 2 * cut.haunch.width * cut.haunch.length
    edge = (length - 2 * cut.length) * thickness
    edge += 2 * (cut.y1 - cut.y0) * (cut.length - (cut.tip.lead + cut.tip.cut_back) / 2)
    for face, area in zip(LONG, (edge, side, edge, side), strict=True):
        assert plan.by_face[face].outline.area() == pytest.approx(area, rel=1e-12)
    mitres = {f.face: [x for x in f.figures if x.what == "mitre"] for f in plan.faces}
    assert {face: len(found) for face, found in mitres.items() if found} == {Face.BACK_SIDE: 2}
    near_line = mitres[Face.BACK_SIDE][0].shape
    assert isinstance(near_line, Line)
    assert near_line.start[0] == pytest.approx(cut.tip.cut_back)


@pytest.mark.parametrize("meeting", MEETINGS)
def test_areas_are_those_of_the_cuts(meeting: str) -> None:
    bench = bench_of(meeting)
    for member in timbers(bench):
        for face in member_faces(bench, member).faces:
            for f in face.operations:
                match f.cut, f.shape:
                    case Mortise() as cut, Loop() as loop:
                        assert loop.area() == pytest.approx(cut.length * cut.width, rel=1e-12)
                    case Slot() as cut, Loop() as loop:
                        area = cut.centres * cut.width + math.pi * cut.width**2 / 4
                        assert loop.area() == pytest.approx(area, rel=1e-12)
                    case Bore() as cut, Ring() as ring:
                        assert ring.diameter == pytest.approx(cut.diameter, abs=1e-9)
                    case _:
                        pytest.fail(f"{f.what} is drawn as {f.shape}")


def test_a_through_tenon_is_drawn_on_both_faces() -> None:
    through = Stretchers(through=True)
    bench = bench_of("heights", lower_end=through, pegs=Pegs(through=True))
    plan = member_faces(bench, "post_front_left")
    entered = [(f.face, o) for f in plan.faces for o in f.figures if o.reach == "through"]
    left = [(f.face, o) for f in plan.faces for o in f.figures if o.reach == "exit"]
    assert {o.what for _, o in entered} == {"mortise", "peg hole"}
    assert sorted((face.opposite, o.what, o.depth) for face, o in entered) == sorted(
        (face, o.what, o.depth) for face, o in left
    )


def test_a_socket_that_runs_out_shows_in_the_end_grain() -> None:
    bench = bench_of("heights")
    plan = member_faces(bench, "post_front_left")
    socket = next(c for c in bench.cuts["post_front_left"] if c.purpose == "haunch socket")
    assert isinstance(socket, Mortise)
    figure = plan.by_face[Face.FAR_END].figures[0]
    assert figure.what == "haunch socket at end"
    assert isinstance(figure.shape, Loop)
    assert figure.shape.area() == pytest.approx(socket.width * socket.depth)
    # The socket is on the back edge; the end view has the face edge at its top.
    assert box_of(figure.shape)[1] == pytest.approx(0.0, abs=1e-9)


def test_reference_marks_stand_clear_and_meet_at_the_arris() -> None:
    bench = bench_of("heights")
    for member in timbers(bench):
        plan = member_faces(bench, member)
        side, edge = plan.by_face[Face.FACE_SIDE], plan.by_face[Face.FACE_EDGE]
        (loop,) = [f.shape for f in side.figures if f.what == "face side mark"]
        (vee,) = [f.shape for f in edge.figures if f.what == "face edge mark"]
        assert box_of(loop)[3] >= side.size[1]
        assert box_of(vee)[1] == 0.0
        for strip, mark in ((side, loop), (edge, vee)):
            left, low, right, high = box_of(mark)
            for f in strip.figures:
                if f.shape is not mark:
                    a, b, c, d = box_of(f.shape)
                    assert c <= left or a >= right or d <= low or b >= high


def test_centre_lines_cross_at_the_centre_and_never_overlap() -> None:
    bench = bench_of("heights")
    for member in timbers(bench):
        for face in member_faces(bench, member).faces:
            lines = [f.shape for f in face.figures if f.what == "centre line"]
            for f in face.figures:
                if isinstance(f.shape, Ring):
                    x, y = f.shape.centre
                    through = [
                        line
                        for line in lines
                        if isinstance(line, Line)
                        and line.start[0] - 1e-6 <= x <= line.end[0] + 1e-6
                        and min(line.start[1], line.end[1]) - 1e-6 <= y
                        and y <= max(line.start[1], line.end[1]) + 1e-6
                    ]
                    assert len(through) == 2


def test_an_oblique_mortise_shows_its_mouth() -> None:
    """Tilted by an angle along the grain, its mouth is longer by 1 / cos."""
    member = piece((400.0, 90.0, 90.0))
    flat = member.face_frame(Face.FACE_SIDE).shifted((200.0, 40.0, 0.0))
    angle = math.radians(12.0)
    tilted = type(flat)(
        flat.origin,
        (math.cos(angle), 0.0, -math.sin(angle)),
        flat.y,
        (math.sin(angle), 0.0, math.cos(angle)),
    )
    cut = Mortise(
        joint="j",
        purpose="mortise",
        face=Face.FACE_SIDE,
        frame=tilted,
        length=60.0,
        width=20.0,
        depth=90.0,
        through=True,
    )
    plan = plan_alone(member, (cut,))
    for face, middle in ((Face.FACE_SIDE, 200.0), (Face.BACK_SIDE, 200.0 + 90 * math.tan(angle))):
        shape = next(f.shape for f in plan.by_face[face].figures if f.what == "mortise")
        left, low, right, high = box_of(shape)
        assert (right - left, high - low) == pytest.approx((60.0 / math.cos(angle), 20.0))
        assert (left + right) / 2 == pytest.approx(middle)


# -- what can't be drawn -----------------------------------------------------------------------


def test_a_peg_has_no_faces() -> None:
    bench = bench_of("heights")
    with pytest.raises(GeometryError, match="round"):
        member_faces(bench, bench.pegs[0])


def test_an_unknown_cut_is_refused_by_name() -> None:
    member = piece((400.0, 90.0, 40.0))
    cut = Cut(joint="j9", purpose="rebate", face=Face.FACE_SIDE, frame=member.placement)
    with pytest.raises(GeometryError, match=r"j9.*rebate.*rail"):
        plan_alone(member, (cut,))


def test_a_kind_of_mortise_that_is_not_known_is_refused() -> None:
    """It might be wider below: drawn as a plain mortise, its far mouth would be wrong."""

    class Flared(Mortise):
        pass

    member = piece((400.0, 90.0, 40.0))
    cut = Flared(
        joint="j",
        purpose="mortise",
        face=Face.FACE_SIDE,
        frame=member.face_frame(Face.FACE_SIDE).shifted((100.0, 40.0, 0.0)),
        length=40.0,
        width=10.0,
        depth=20.0,
    )
    with pytest.raises(GeometryError, match="no template can show"):
        plan_alone(member, (cut,))


def test_an_oblique_hole_is_its_bits_circle_with_its_sight_line() -> None:
    member = piece((400.0, 90.0, 40.0))
    flat = member.face_frame(Face.FACE_SIDE).shifted((200.0, 40.0, 0.0))
    frame = type(flat).from_zx(flat.origin, (0.2, 0.0, 1.0), (0.0, 1.0, 0.0))
    cut = Bore(
        joint="j", purpose="peg hole", face=Face.FACE_SIDE, frame=frame, diameter=9.0, depth=30.0
    )
    drawn = plan_alone(member, (cut,)).by_face[Face.FACE_SIDE].figures
    (ring,) = [f.shape for f in drawn if f.what == "peg hole"]
    assert isinstance(ring, Ring)
    assert ring.diameter == 9.0
    lines = [f.shape for f in drawn if f.what == "centre line" and isinstance(f.shape, Line)]
    sight = max(lines, key=lambda line: math.dist(line.start, line.end))
    assert math.dist(sight.start, sight.end) == pytest.approx(27.0)
    assert sight.start[1] == pytest.approx(sight.end[1])  # it leans along the grain only
    slot = Slot(
        joint="j", purpose="slot", face=Face.FACE_SIDE, frame=frame, centres=9.0, width=5.0,
        depth=30.0,
    )  # fmt: skip
    with pytest.raises(GeometryError, match="square"):
        plan_alone(member, (slot,))


def test_a_chamfered_foot_is_drawn_on_all_faces_and_the_end() -> None:
    bench = bench_of("heights")
    foot = next(j for j in bench.joints if isinstance(j, ChamferedFoot))
    plan = member_faces(bench, foot.member)
    for face in LONG:
        lines = [f for f in plan.by_face[face].figures if f.what == "foot chamfer"]
        assert [f.depth for f in lines] == [foot.leg]
    end = plan.by_face[foot.end]
    inner = next(f.shape for f in end.figures if f.what == "foot chamfer")
    assert isinstance(inner, Loop)
    sides = (end.size[0] - 2 * foot.leg) * (end.size[1] - 2 * foot.leg)
    assert inner.area() == pytest.approx(sides)
