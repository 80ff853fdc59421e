"""Outlines of tenoned and chamfered ends: shadows of the wood, shoulder lines across the face."""

import math
import random

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from tests.templates.face_points import LONG, in_loop, is_wood, piece, plan_alone
from treenail.joints.cuts import Cut, FootChamfer, Haunch, MitredTip, NotchedTip, TenonEnd
from treenail.templates.end_plan import end_profile
from treenail.templates.figures import Line
from treenail.timber.frames import Vec
from treenail.timber.member import Face, Member


def _ray(member: Member, face: Face, x: float, c: float, depth: float) -> Vec:
    if face in (Face.FACE_SIDE, Face.BACK_SIDE):
        return (x, c, depth)
    return (x, depth, c)


@st.composite
def tenoned(draw: st.DrawFn) -> tuple[Member, tuple[Cut, ...]]:
    """A rail with any tenon at either end: bare-faced, haunched, mitred, notched, chamfered."""
    wide, thick = draw(st.integers(60, 150)), draw(st.integers(30, 70))
    member = piece((400.0, float(wide), float(thick)))
    cuts: list[Cut] = []
    for end in (Face.NEAR_END, Face.FAR_END):
        kind = draw(st.sampled_from(["square", "tenon", "tenon", "foot"]))
        frame = member.face_frame(end)
        if kind == "foot":
            leg = draw(st.integers(2, 12))
            cuts.append(
                FootChamfer(joint="j", purpose="foot chamfer", face=end, frame=frame, leg=leg)
            )
        if kind != "tenon":
            continue
        x0, y0 = draw(st.integers(0, 20)), draw(st.integers(0, 8))
        x1, y1 = wide - draw(st.integers(0, 20)), thick - draw(st.integers(0, 8))
        length = draw(st.integers(20, 70))
        edge = draw(st.sampled_from([Face.FACE_EDGE, Face.BACK_EDGE]))
        shoulder = x0 if edge is Face.FACE_EDGE else wide - x1
        haunch = None
        if shoulder >= 4 and draw(st.booleans()):
            haunch = Haunch(
                edge,
                draw(st.integers(2, shoulder)),
                draw(st.integers(3, 12)),
                sloped=draw(st.booleans()),
            )
        tip: MitredTip | NotchedTip | None = None
        match draw(st.sampled_from(["", "mitre", "notch"])):
            case "mitre":
                cheek = draw(st.sampled_from([Face.FACE_SIDE, Face.BACK_SIDE]))
                lead = draw(st.integers(0, 3))
                tip = MitredTip(cheek, lead + draw(st.integers(1, 6)), lead)
            case "notch":
                at = draw(st.sampled_from([Face.FACE_EDGE, Face.BACK_EDGE]))
                tip = NotchedTip(at, draw(st.integers(3, 15)), draw(st.integers(3, length)))
        cuts.append(
            TenonEnd(
                joint="j",
                purpose="tenon",
                face=end,
                frame=frame,
                x0=x0,
                x1=x1,
                y0=y0,
                y1=y1,
                length=length,
                haunch=haunch,
                tip=tip,
            )
        )
    return member, tuple(cuts)


@settings(max_examples=40)
@given(made=tenoned(), seed=st.integers(0, 10**6))
def test_a_face_outline_is_the_shadow_of_the_wood(
    made: tuple[Member, tuple[Cut, ...]], seed: int
) -> None:
    """Sampled against the cutters: a point is inside the outline if there is wood behind it."""
    member, cuts = made
    plan = plan_alone(member, cuts)
    rng = random.Random(seed)
    for face in LONG:
        strip = plan.by_face[face]
        wide, deep = strip.size[1], member.extent(face)
        for _ in range(30):
            d, y = rng.uniform(0.0, 80.0), rng.uniform(0.0, wide)
            x = d if rng.random() < 0.5 else member.length - d
            shown = in_loop(strip.outline, (x, y))
            c = wide - y if face in (Face.FACE_SIDE, Face.BACK_EDGE) else y
            # On the last hundredth of a millimetre rounding decides.
            off = [(x + i, y + j) for i in (-0.01, 0.01) for j in (-0.01, 0.01)]
            if any(in_loop(strip.outline, p) != shown for p in off):
                continue
            steps = 240
            depths = [deep * (k + 0.37) / steps for k in range(steps)]
            wood = any(is_wood(member, cuts, _ray(member, face, x, c, z)) for z in depths)
            assert wood == shown, (face, x, y)


@settings(max_examples=40)
@given(made=tenoned())
def test_the_developments_contour_encloses_the_four_silhouettes(
    made: tuple[Member, tuple[Cut, ...]],
) -> None:
    member, cuts = made
    plan = plan_alone(member, cuts)
    parts = [plan.by_face[f].outline.area() for f in LONG]
    assert plan.outline.area() == pytest.approx(math.fsum(parts), rel=1e-12)
    for face, part in zip(LONG, parts, strict=True):
        wide = member.face_size(face)[1]
        gone = math.fsum(
            (b - a) * (da + db) / 2.0
            for end in (Face.NEAR_END, Face.FAR_END)
            for a, b, da, db in end_profile(member, cuts, end, face)
        )
        assert part == pytest.approx(member.length * wide - gone, rel=1e-12)


@settings(max_examples=40)
@given(made=tenoned())
def test_shoulder_lines_and_outline_run_across_the_face(
    made: tuple[Member, tuple[Cut, ...]],
) -> None:
    member, cuts = made
    plan = plan_alone(member, cuts)
    tenons = [c for c in cuts if isinstance(c, TenonEnd) and c.haunch is None]
    assume(tenons)
    for cut in tenons:
        x = cut.length if cut.face is Face.NEAR_END else member.length - cut.length
        low, high = (
            (cut.y0, cut.y1)
            if cut.face is Face.NEAR_END
            else (
                member.thickness - cut.y1,
                member.thickness - cut.y0,
            )
        )
        depths = {
            Face.FACE_SIDE: low,
            Face.BACK_SIDE: member.thickness - high,
            Face.FACE_EDGE: cut.x0,
            Face.BACK_EDGE: member.width - cut.x1,
        }
        for face in LONG:
            strip = plan.by_face[face]
            lines = [f for f in strip.figures if f.what == "shoulder" and f.cut is cut]
            if depths[face] == 0:
                assert not lines
                continue
            assert {f.depth for f in lines} <= {depths[face]}
            drawn = math.fsum(
                abs(f.shape.end[1] - f.shape.start[1]) for f in lines if isinstance(f.shape, Line)
            )
            on_outline = math.fsum(
                abs(b[1] - a[1])
                for a, b in strip.outline.pieces()
                if abs(a[0] - x) < 1e-9 and abs(b[0] - x) < 1e-9
            )
            if not (isinstance(cut.tip, NotchedTip) and cut.tip.length == cut.length):
                assert drawn + on_outline == pytest.approx(strip.size[1], abs=1e-6)
