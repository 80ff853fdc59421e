"""Parts as they lie on the machine: a face up at z = 0, the work zero at a corner of it."""

import csv
import io
import itertools
from functools import cache

import cadquery as cq
import pytest
from hypothesis import given
from hypothesis import strategies as st
from steputils import p21

from tests.checks.shops import shop
from tests.strategies import a_few
from tests.templates.step_bench import default_solids
from treenail.api import Bench, frame_bench
from treenail.generators.solids import location
from treenail.shop.cnc import best_face, cnc_data
from treenail.shop.machining import corners_of_face, machining_frame
from treenail.templates.export import ExportOptions, make_files
from treenail.templates.step import face_names, part_step
from treenail.templates.step_read import compare_part, read_step
from treenail.templates.tables import cnc_csv
from treenail.timber.errors import KernelError, SpecError
from treenail.timber.frames import Vec
from treenail.timber.member import Face

POST = "post_front_left"
STRETCHER = "stretcher_upper_front"


@cache
def laid(name: str, up: Face, zero: str) -> bytes:
    return part_step(default_solids(), name, up=up, zero=zero)


def bounds(solid: cq.Solid) -> tuple[Vec, Vec]:
    box = solid.BoundingBox()
    return (box.xmin, box.ymin, box.zmin), (box.xmax, box.ymax, box.zmax)


PLACES = [(up, ", ".join(c)) for up in Face for c in corners_of_face(up)]


@a_few(6)
@given(st.sampled_from([POST, STRETCHER]), st.sampled_from(PLACES))
def test_the_part_lies_with_its_face_up_and_its_corner_at_zero(
    name: str, place: tuple[Face, str]
) -> None:
    up, zero = place
    member = default_solids().bench.by_name[name]
    contents = read_step(laid(name, up, zero))
    (solid,) = contents.parts.values()
    low, high = bounds(solid)
    assert high[2] == pytest.approx(0.0, abs=1e-6)
    assert low[2] == pytest.approx(-member.extent(up), abs=1e-6)
    for axis in (0, 1):  # the zero lies at one end of the piece along either axis
        assert min(abs(low[axis]), abs(high[axis])) < 1e-6
    # Carried back, it is the part: nothing is left of either outside the other.
    corner = tuple(Face(word) for word in zero.split(", "))
    assert len(corner) == 2
    frame = machining_frame(member, up, (corner[0], corner[1]))
    back = solid.moved(location(frame).inverse)
    whole = default_solids().local(name)
    assert back.cut(whole).Volume() == pytest.approx(0.0, abs=1e-3)
    assert whole.cut(back).Volume() == pytest.approx(0.0, abs=1e-3)
    assert compare_part(contents, default_solids(), name, up=up, zero=zero) == []


def test_faces_keep_their_names_and_move_along() -> None:
    contents = read_step(laid(POST, Face.BACK_SIDE, ""))
    (named,) = contents.face_names.values()
    assert set(named) == set(face_names(default_solids(), POST))
    member = default_solids().bench.by_name[POST]
    frame = machining_frame(member, Face.BACK_SIDE)
    for name, face in named.items():
        own = cq.Face(face_names(default_solids(), POST)[name])
        wanted = own.moved(location(frame)).Center()
        assert (face.Center() - wanted).Length < 1e-6
    side = named["FACE_SIDE"].Center()
    assert side.z == pytest.approx(-member.thickness)


def test_a_part_that_lies_otherwise_is_found() -> None:
    contents = read_step(laid(POST, Face.FACE_SIDE, ""))
    assert compare_part(contents, default_solids(), POST, up=Face.FACE_SIDE) == []
    assert compare_part(contents, default_solids(), POST)
    assert compare_part(contents, default_solids(), POST, up=Face.BACK_SIDE)
    corner = "far end, face edge"
    assert compare_part(contents, default_solids(), POST, up=Face.FACE_SIDE, zero=corner)


def test_the_file_says_how_the_part_lies_and_other_readers_read_it() -> None:
    data = laid(STRETCHER, Face.FACE_EDGE, "far end, back side")
    assert b"face edge up at z = 0, work zero at far end and back side" in data
    own = part_step(default_solids(), STRETCHER)
    for kind in ("MANIFOLD_SOLID_BREP", "ADVANCED_FACE", "CYLINDRICAL_SURFACE"):
        assert count(data, kind) == count(own, kind) > 0
    assert data == part_step(
        default_solids(), STRETCHER, up=Face.FACE_EDGE, zero="back side and far end"
    )


def count(data: bytes, kind: str) -> int:
    """How many entities a STEP reader that isn't the kernel finds."""
    (section,) = p21.loads(data.decode()).data
    return sum(
        getattr(instance, "entity", None) is not None and instance.entity.name == kind
        for instance in section.instances.values()
    )


def test_cadquerys_own_importer_finds_the_part_where_it_lies(tmp_path: object) -> None:
    from pathlib import Path

    path = Path(str(tmp_path)) / "part.step"
    path.write_bytes(laid(POST, Face.BACK_EDGE, ""))
    (solid,) = cq.importers.importStep(str(path)).solids().vals()
    assert isinstance(solid, cq.Solid)
    low, high = bounds(solid)
    member = default_solids().bench.by_name[POST]
    assert high[2] == pytest.approx(0.0, abs=1e-6)
    assert high[0] - low[0] == pytest.approx(member.length)


def test_round_things_and_false_corners_are_refused() -> None:
    peg = default_solids().bench.pegs[0].name
    bolt = default_solids().bench.hardware[0].name
    for name in (peg, bolt):
        with pytest.raises(KernelError, match="no face to lay up"):
            part_step(default_solids(), name, up=Face.FACE_SIDE)
    with pytest.raises(SpecError, match="no corner"):
        part_step(default_solids(), POST, up=Face.FACE_SIDE, zero="face side, near end")


@cache
def small() -> Bench:
    return frame_bench(
        units="mm", mortise_corners="round", top={"dog_holes": {"rows": 0}}, length=1200
    )


def test_an_export_lays_every_part_with_most_of_its_features_up() -> None:
    solids = small().solids()
    machine = shop(router={"cnc": True, "reach": 80.0})
    parts = cnc_data(small(), machine)
    files, _ = make_files(
        solids,
        passed=True,
        options=ExportOptions(parts_up="machining"),
        rows=(),
        cnc=parts,
    )
    for part in parts:
        name = part.names[0]
        member = small().by_name[name]
        up = best_face(member, small().cuts[name], machine.machines.router)
        (solid,) = read_step(files[f"parts/{name}.step"]).parts.values()
        low, high = bounds(solid)
        assert high[2] == pytest.approx(0.0, abs=1e-6)
        assert high[2] - low[2] == pytest.approx(member.extent(up), abs=1e-6)
    rows = list(csv.DictReader(io.StringIO(files["cnc.csv"].decode())))
    assert len(rows) == sum(len(s.done) for p in parts for s in p.setups)
    assert {r["part"] for r in rows} == {p.names[0] for p in parts}
    rounded = [r for r in rows if "rounded edges" in r["what"]]
    assert {r["remarks"] for r in rounded} == {"round-over cutter"}
    by_part = itertools.groupby(rows, key=lambda r: r["part"])
    assert all([*{r["set-up"] for r in group}] for _, group in by_part)


def test_the_table_tells_what_no_face_shows() -> None:
    (part, *_) = cnc_data(small(), shop(router={"cnc": True}))
    from dataclasses import replace

    odd = replace(part, setups=(), unreached=("mortise (j)",))
    (row,) = csv.DictReader(io.StringIO(cnc_csv([odd], passed=False).decode()))
    assert (row["what"], row["remarks"], row["checks"]) == ("mortise (j)", "no face", "NOT PASSED")
