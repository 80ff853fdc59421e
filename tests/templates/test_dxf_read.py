"""Reading templates back: any change to an outline is found."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from io import BytesIO, StringIO
from pathlib import Path
from typing import Any

import pytest
from ezdxf import recover
from ezdxf.filemanagement import new

from tests.templates.face_points import bench_of
from treenail.generators.frame_spec import Pegs, Stretchers
from treenail.joints.base import Joint
from treenail.joints.cuts import Bore, Cut, Mortise
from treenail.templates.dxf import CURVES, member_dxf
from treenail.templates.dxf_read import compare_dxf, read_outlines
from treenail.templates.layers import read_layer
from treenail.timber.errors import SpecError
from treenail.timber.member import Face, Member

NAME = "stretcher_upper_back"


def edited(change: Callable[[Any, Any], None], name: str = NAME) -> list[str]:
    """What comparing says after a change to a template of the default bench."""
    doc, _ = recover.read(BytesIO(member_dxf(bench_of("heights"), name)))
    change(doc, doc.modelspace())
    stream = StringIO()
    doc.write(stream)
    return compare_dxf(bench_of("heights"), name, doc.encode(stream.getvalue()))


def first(space: Any, layer: str, kind: str) -> Any:
    return next(e for e in space if e.dxf.layer.startswith(layer) and e.dxftype() == kind)


def move(layer: str, kind: str, x: float, y: float) -> Callable[[Any, Any], None]:
    return lambda _, space: first(space, layer, kind).translate(x, y, 0)


def test_an_untouched_template_has_no_differences() -> None:
    assert edited(lambda *_: None) == []


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (move("PEG_HOLE_THROUGH", "CIRCLE", 0.002, 0.0), "position"),
        (move("PEG_HOLE_EXIT", "CIRCLE", 0.0, -0.002), "position"),
        (move("BOLT_SLOT_THROUGH", "LWPOLYLINE", 0.002, 0.0), "position"),
        (move("COUNTERBORE", "LWPOLYLINE", 0.0, 0.002), "position"),
    ],
)
def test_a_moved_outline_is_found(change: Any, says: str) -> None:
    (problem,) = edited(change)
    assert says in problem


def test_a_move_within_the_tolerance_is_none() -> None:
    assert edited(move("PEG_HOLE_THROUGH", "CIRCLE", 0.0005, 0.0005)) == []


def test_another_diameter_is_found() -> None:
    def change(_: Any, space: Any) -> None:
        first(space, "PEG_HOLE_THROUGH", "CIRCLE").dxf.radius += 0.001

    (one, two) = edited(change)
    assert "length" in one
    assert "width" in two


@pytest.mark.parametrize(
    ("vertex", "by", "says"), [(0, (0.002, 0.0), "is missing"), (None, (1.0, 1.002), "width")]
)
def test_another_size_of_mortise_is_found(vertex: Any, by: Any, says: str) -> None:
    def change(_: Any, space: Any) -> None:
        loop = first(space, "MORTISE", "LWPOLYLINE")
        points = [tuple(p) for p in loop.get_points("xyb")]
        if vertex is None:
            low = min(p[1] for p in points)
            points = [(x, low + (y - low) * by[1], b) for x, y, b in points]
        else:
            x, y, b = points[vertex]
            points[vertex] = (x + by[0] * 100, y + by[1], b)
        loop.set_points(points, format="xyb")

    problems = edited(change, "post_front_left")
    assert any(says in p for p in problems)


def test_another_depth_is_found() -> None:
    def change(doc: Any, space: Any) -> None:
        doc.layers.add("MORTISE_53-183MM_DEEP")
        first(space, "MORTISE", "LWPOLYLINE").dxf.layer = "MORTISE_53-183MM_DEEP"

    (problem,) = edited(change, "post_front_left")
    assert "depth" in problem


def test_a_missing_outline_is_found() -> None:
    problems = edited(
        lambda _, space: space.delete_entity(first(space, "MORTISE", "LWPOLYLINE")),
        "post_front_left",
    )
    assert len(problems) == 1
    assert "is missing" in problems[0]


def test_an_outline_too_many_is_found() -> None:
    (problem,) = edited(
        lambda _, space: space.add_circle((300, 60), 5, dxfattribs={"layer": "PEG_HOLE_THROUGH"})
    )
    assert "no cut asks for" in problem


def test_a_mirrored_template_is_found() -> None:
    """Mirrored end for end, every strip still has all its figures, at wrong places."""

    def change(_: Any, space: Any) -> None:
        from ezdxf.math import Matrix44

        for e in space:
            if read_layer(e.dxf.layer).reach != "mark" and e.dxftype() != "TEXT":
                e.transform(Matrix44.scale(-1, 1, 1) @ Matrix44.translate(790.575, 0, 0))

    assert len(edited(change, "post_front_left")) >= 4


def test_another_benchs_template_differs() -> None:
    data = member_dxf(bench_of("heights"), "post_front_left")
    assert compare_dxf(bench_of("mitred"), "post_front_left", data) != []
    assert compare_dxf(bench_of("heights"), "post_front_right", data) != []


@pytest.mark.parametrize("curves", CURVES)
def test_outlines_come_back_with_face_and_size(curves: Any, tmp_path: Path) -> None:
    bench = bench_of("heights")
    path = tmp_path / "top.dxf"
    path.write_bytes(member_dxf(bench, "top_section_1", curves=curves))
    found = read_outlines(path)
    dogs = [f for f in found if f.what == "dog hole" and f.reach == "through"]
    assert {f.face for f in dogs} == {Face.FACE_SIDE}
    assert {f.size for f in dogs} == {(19.05, 19.05)}
    assert {f.face for f in found if f.what == "pilot hole"} == {Face.BACK_SIDE}
    slots = [
        f
        for f in read_outlines(member_dxf(bench, NAME, curves=curves))
        if f.what == "bolt slot" and f.reach == "through"
    ]
    assert [f.form for f in slots] == ["slot"] * 3
    assert {f.face for f in slots} == {Face.BACK_EDGE}


def test_layer_names_are_read() -> None:
    deep = read_layer("MORTISE_53-181MM_DEEP")
    assert (deep.what, deep.reach, deep.depth) == ("mortise", "deep", 53.181)
    inches = read_layer("PEG_HOLE_0-50000IN_DEEP")
    assert inches.what == "peg hole"
    assert inches.depth == pytest.approx(12.7)
    assert read_layer("DOG_HOLE_EXIT").reach == "exit"
    assert read_layer("OUTLINE").reach == "mark"
    assert read_layer("MORTISE_DEEP").reach == "mark"


@pytest.mark.parametrize("data", [b"", b"0\nSECTION\n", b"\x00" * 50, b"no DXF at all"])
def test_what_is_no_dxf_is_refused(data: bytes) -> None:
    with pytest.raises(SpecError):
        read_outlines(data)


def _spoilt(change: Callable[[Any, Any], None]) -> bytes:
    doc, _ = recover.read(BytesIO(member_dxf(bench_of("heights"), NAME)))
    change(doc, doc.modelspace())
    stream = StringIO()
    doc.write(stream)
    data: bytes = doc.encode(stream.getvalue())
    return data


def _without(layer: str) -> Callable[[Any, Any], None]:
    def change(_: Any, space: Any) -> None:
        for e in list(space):
            if e.dxf.layer == layer:
                space.delete_entity(e)

    return change


def _header(doc: Any, _: Any) -> None:
    doc.header["$INSUNITS"] = 1


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (_without("CHECK_SQUARE"), "check square"),
        (_without("OUTLINE"), "outline"),
        (_without("ARRISES"), "arrises"),
        (_header, "disagree"),
    ],
)
def test_a_template_that_lost_its_frame_is_refused(change: Any, says: str) -> None:
    with pytest.raises(SpecError, match=says):
        read_outlines(_spoilt(change))


def test_a_new_empty_drawing_is_refused() -> None:
    stream = StringIO()
    new("R2000").write(stream)
    with pytest.raises(SpecError, match="check square"):
        read_outlines(stream.getvalue().encode())


# -- odd benches -------------------------------------------------------------------------------


def test_a_hole_that_misses_its_tenon_is_still_compared() -> None:
    """Two rows of pegs in a tenon too short for them: the checks' business, not the template's.

    The outer row lies beyond the rail's end, and was taken for a figure of the end view.
    """
    rail = Stretchers(width=88.9, thickness=31.75, tenon_length=25.4)
    bench = bench_of("heights", lower_end=rail, pegs=Pegs(per_joint=2, rows=2))
    holes = [c for c in bench.cuts["stretcher_lower_left"] if isinstance(c, Bore)]
    assert min(c.frame.origin[0] for c in holes) < 0.0
    for curves in CURVES:
        data = member_dxf(bench, "stretcher_lower_left", curves=curves)
        assert compare_dxf(bench, "stretcher_lower_left", data) == []


@dataclass(frozen=True, kw_only=True)
class EndHoles(Joint):
    """A hole and a mortise in each end of a member, off its middle."""

    member: Member

    @property
    def members(self) -> tuple[Member, ...]:
        return (self.member,)

    def cuts(self) -> Mapping[str, tuple[Cut, ...]]:
        found: list[Cut] = []
        for end, x in ((Face.NEAR_END, 20.0), (Face.FAR_END, 30.0)):
            frame = self.member.face_frame(end)
            hole = frame.shifted((x, 12.0, 0.0))
            socket = frame.shifted((x + 25.0, 50.0, 0.0))
            found += [
                Bore(
                    joint=self.name,
                    purpose="dowel hole",
                    face=end,
                    frame=hole,
                    diameter=8.0,
                    depth=30.0,
                ),
                Mortise(
                    joint=self.name,
                    purpose="mortise",
                    face=end,
                    frame=socket,
                    length=20.0,
                    width=10.0,
                    depth=25.0,
                ),
            ]
        return {self.member.name: tuple(found)}


@pytest.mark.parametrize("curves", CURVES)
def test_holes_in_the_ends_are_compared_too(curves: Any) -> None:
    plain = bench_of("heights")
    name = "post_front_left"
    bench = replace(
        plain, joints=(*plain.joints, EndHoles(name="ends", member=plain.by_name[name]))
    )
    data = member_dxf(bench, name, curves=curves)
    assert compare_dxf(bench, name, data) == []
    holes = [f for f in read_outlines(data) if f.what == "dowel hole"]
    assert {f.face for f in holes} == {Face.NEAR_END, Face.FAR_END}
    assert len(compare_dxf(plain, name, data)) == 4
    assert len(compare_dxf(bench, name, member_dxf(plain, name))) == 4
