"""STEP files of the default bench, read by two readers that are not ours."""

import hashlib
import re
import subprocess
import sys
from collections import Counter
from functools import cache
from pathlib import Path
from typing import Any

import cadquery as cq
import pytest
from OCP.Interface import Interface_Static
from steputils import p21

from tests.templates.step_bench import default_solids, default_step, renamed
from treenail.joints.cuts import Mortise
from treenail.templates.colours import COLOURS, PLAIN, colour_of
from treenail.templates.step import (
    NOT_PASSED,
    bench_step,
    kernel_settings,
    occurrences,
    part_step,
)
from treenail.timber.errors import KernelError

ROOT = Path(__file__).resolve().parents[2]


def parsed(data: bytes) -> Any:
    """All entities as an independent Part 21 parser sees them: (type, parameters)."""
    return p21.loads(data.decode("ascii"))


@cache
def entities() -> list[tuple[str, list[Any]]]:
    found = []
    for instance in parsed(default_step()).data[0].instances.values():
        if isinstance(instance, p21.SimpleEntityInstance):
            found.append((instance.entity.name, list(instance.entity.params)))
        else:
            found += [(e.name, list(e.params)) for e in instance.entities]
    return found


def of_type(name: str) -> list[list[Any]]:
    return [params for kind, params in entities() if kind == name]


def test_every_distinct_piece_is_one_product_and_one_solid() -> None:
    solids = default_solids()
    distinct = {o.product for o in occurrences(solids)}
    assert len(distinct) == len(solids.shapes) + 2  # two lengths of bolt
    assert len(of_type("MANIFOLD_SOLID_BREP")) == len(distinct)
    groups = {"bench", "end_frame_left", "end_frame_right", "stretchers", "top", "hardware"}
    assert Counter(p[0] for p in of_type("PRODUCT")) == Counter([*distinct, *groups])


def test_every_member_peg_bolt_and_group_is_one_named_occurrence() -> None:
    solids = default_solids()
    names = [p[1] for p in of_type("NEXT_ASSEMBLY_USAGE_OCCURRENCE")]
    bench = solids.bench
    wanted = [m.name for m in bench.members] + [h.name for h in bench.hardware]
    groups = ["end_frame_left", "end_frame_right", "stretchers", "top", "hardware"]
    assert sorted(names) == sorted(wanted + groups)
    ids = [p[0] for p in of_type("NEXT_ASSEMBLY_USAGE_OCCURRENCE")]
    assert ids == [str(i) for i in range(1, len(ids) + 1)]


def test_units_are_millimetres_and_radians() -> None:
    units = Counter(str(p) for p in of_type("SI_UNIT"))
    assert len(units) == 3
    assert {str(p[0]) + str(p[1]) for p in of_type("SI_UNIT")} == {
        ".MILLI..METRE.",
        "$.RADIAN.",
        "$.STERADIAN.",
    }
    numbers = [abs(x) for p in of_type("CARTESIAN_POINT") for x in p[1]]
    assert max(numbers) == pytest.approx(1524.0)  # the default top is 5 ft long


def test_colours_are_those_of_the_roles() -> None:
    wanted = {o.colour for o in occurrences(default_solids())}
    found = {tuple(round(x, 5) for x in p[1:]) for p in of_type("COLOUR_RGB")}
    assert found == wanted
    assert len(of_type("STYLED_ITEM")) == len(of_type("MANIFOLD_SOLID_BREP"))


def test_curves_on_surfaces_are_left_out() -> None:
    assert of_type("PCURVE") == []
    assert of_type("SURFACE_CURVE") == []


def test_the_header_names_no_time_person_or_machine() -> None:
    header = default_step().partition(b"DATA;")[0].decode()
    assert "'2000-01-01T00:00:00',(''),('')" in header
    assert "'Treenail'" in header
    assert NOT_PASSED not in default_step().decode()


def test_the_host_programs_own_reader_finds_all(tmp_path: Path) -> None:
    path = tmp_path / "bench.step"
    path.write_bytes(default_step())
    read = cq.Assembly.importStep(str(path))
    solids = default_solids()
    assert read.name == "bench"
    leaves: dict[str, Any] = {a.name: a for _, a in read.traverse() if a.obj is not None}
    assert set(leaves) == set(solids.placed)
    placed: dict[str, Any] = {name.rpartition("/")[2]: (s, loc, c) for s, name, loc, c in read}
    for thing in occurrences(solids):
        shape, location, colour = placed[thing.name]
        there, wanted = shape.moved(location), solids.placed[thing.name]
        assert there.Volume() == pytest.approx(wanted.Volume(), rel=1e-9)
        assert (there.Center() - wanted.Center()).Length < 1e-6
        want = cq.Color(*thing.colour).toTuple()
        assert colour.toTuple() == pytest.approx(want, abs=2e-3)
        assert leaves[thing.name].parent.name == thing.assembly


def test_the_host_programs_own_reader_finds_the_faces(tmp_path: Path) -> None:
    path = tmp_path / "bench.step"
    path.write_bytes(default_step())
    read = cq.Assembly.importStep(str(path))
    post = read.objects["end_frame_right/post_back_right"]
    faces = {name: cq.Face(face.wrapped) for face, name in post._subshape_names.items()}
    assert faces["FACE_SIDE"].Center().z == pytest.approx(0.0, abs=1e-9)
    assert faces["FACE_EDGE"].Center().y == pytest.approx(0.0, abs=1e-9)
    # A mortise's cheeks face each other, as far apart as the mortise is wide.
    bench = default_solids().bench
    widths = {c.width for c in bench.cuts["post_back_right"] if isinstance(c, Mortise)}
    for n in range(1, 5):
        a, b = (faces[f"MORTISE_{n}_CHEEK_{x}"] for x in "AB")
        assert (a.normalAt() + b.normalAt()).Length < 1e-9
        apart = abs((a.Center() - b.Center()).dot(a.normalAt()))
        assert any(apart == pytest.approx(w, abs=1e-6) for w in widths)


def test_a_part_stands_in_its_own_coordinates() -> None:
    solids = default_solids()
    for thing in {o.product: o for o in occurrences(solids)}.values():
        data = part_step(solids, thing.name)
        assert re.findall(rb"PRODUCT\('([^']*)'", data) == [thing.name.encode()]
        member = solids.bench.by_name.get(thing.name)
        if member is None or member.round_section:
            continue
        text = data.decode()
        assert "ADVANCED_FACE('FACE_SIDE'" in text
        # Vertices span the stock, from the corner of the three reference faces.
        vertices = set(re.findall(r"VERTEX_POINT\('',#(\d+)\)", text))
        points = [
            tuple(float(x) for x in m.group(2).split(","))
            for m in re.finditer(r"#(\d+)=CARTESIAN_POINT\('',\(([^)]*)\)\)", text)
            if m.group(1) in vertices
        ]
        for axis, size in enumerate(member.size):
            assert min(p[axis] for p in points) == pytest.approx(0.0, abs=1e-9)
            assert max(p[axis] for p in points) == pytest.approx(size, abs=1e-9)


def test_an_unknown_part_is_refused() -> None:
    with pytest.raises(KernelError, match="no part named 'spar'"):
        part_step(default_solids(), "spar")


def test_a_bench_that_did_not_pass_says_so_twice() -> None:
    data = bench_step(default_solids(), passed=False).decode()
    head, _, body = data.partition("DATA;")
    assert NOT_PASSED in head
    assert f"PRODUCT('bench - {NOT_PASSED}'" in body
    part = part_step(default_solids(), "post_front_left", passed=False).decode()
    head, _, body = part.partition("DATA;")
    assert NOT_PASSED in head
    assert f"PRODUCT('post_front_left - {NOT_PASSED}'" in body
    long = bench_step(renamed("x" * 90), passed=False).decode()
    assert re.search(rf"PRODUCT\('x{{40,}} - {NOT_PASSED}'", long)


@pytest.mark.parametrize(
    "name, product",
    [
        ("it's'); #1=PRODUCT('x", "it_s_)_ _1_PRODUCT(_x"),
        ("Bürgermeister\\X2\\00E9\n;ENDSEC;", "Burgermeister_X2_00E9__ENDSEC_"),
        ("top", "bench top"),
        ("日本", "bench"),
    ],
)
def test_a_nasty_name_stays_a_name(name: str, product: str) -> None:
    data = bench_step(renamed(name))
    assert data.isascii()
    file = parsed(data)
    products = [
        i.entity.params[0]
        for i in file.data[0].instances.values()
        if isinstance(i, p21.SimpleEntityInstance) and i.entity.name == "PRODUCT"
    ]
    assert products[0] == product
    assert len(products) == len(of_type("PRODUCT"))


def test_the_kernels_settings_are_put_back() -> None:
    with kernel_settings():
        pass  # the settings exist from here on
    others = {
        "write.surfacecurve.mode": 1,
        "write.stepcaf.subshapes.name": 0,
        "write.precision.mode": 1,
    }
    was = {key: Interface_Static.IVal_s(key) for key in others}
    unit, schema = (Interface_Static.CVal_s(k) for k in ("write.step.unit", "write.step.schema"))
    try:
        for key, value in others.items():
            assert Interface_Static.SetIVal_s(key, value)
        assert Interface_Static.SetCVal_s("write.step.unit", "INCH")
        assert Interface_Static.SetCVal_s("write.step.schema", "AP242DIS")
        assert bench_step(default_solids()) == default_step()
        assert {key: Interface_Static.IVal_s(key) for key in others} == others
        assert Interface_Static.CVal_s("write.step.unit") == "INCH"
        assert Interface_Static.CVal_s("write.step.schema") == "AP242DIS"
    finally:
        for key, value in was.items():
            Interface_Static.SetIVal_s(key, value)
        Interface_Static.SetCVal_s("write.step.unit", unit)
        Interface_Static.SetCVal_s("write.step.schema", schema)


_ELSEWHERE = """
import hashlib, sys
from tests.templates.step_bench import default_solids
from treenail.templates.step import bench_step, part_step
solids = default_solids()
if sys.argv[1] == "busy":
    import cadquery as cq
    from treenail.templates.step_read import read_step
    other = cq.Assembly(name="other").add(cq.Workplane().box(1, 2, 3), name="a")
    other.add(cq.Workplane().sphere(1), name="b", color=cq.Color("red"))
    other.export(sys.argv[2] + "/x.step", unit="INCH")
    cq.Assembly.importStep(sys.argv[2] + "/x.step")
    read_step(bench_step(solids, passed=False))
    part_step(solids, "top_section_1")
    for shape in solids.shapes.values():
        shape.tessellate(1.0)
parts = [part_step(solids, n) for n in ("post_front_left", "stretcher_upper_back")]
print(*(hashlib.sha256(d).hexdigest() for d in (bench_step(solids), *parts)))
"""


@pytest.mark.parametrize("seed, mood", [("1", "calm"), ("2", "busy")])
def test_other_processes_write_the_same_bytes(seed: str, mood: str, tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-c", _ELSEWHERE, mood, str(tmp_path)],
        capture_output=True,
        text=True,
        check=True,
        cwd=ROOT,
        env={"PYTHONHASHSEED": seed, "PATH": "", "HOME": str(tmp_path)},
    )
    names = ("post_front_left", "stretcher_upper_back")
    parts = [part_step(default_solids(), n) for n in names]
    wanted = [hashlib.sha256(d).hexdigest() for d in (default_step(), *parts)]
    assert done.stdout.split() == wanted


@pytest.mark.parametrize(
    "role, colour",
    [
        ("post", COLOURS["post"]),
        ("top section", COLOURS["top"]),
        ("shelf board", COLOURS["shelf"]),
        ("gunwale", PLAIN),
        ("", PLAIN),
    ],
)
def test_a_roles_colour(role: str, colour: tuple[float, float, float]) -> None:
    assert colour_of(role) == colour
