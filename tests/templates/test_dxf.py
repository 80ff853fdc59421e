"""DXF templates: sound, exact, nothing doubled, the same bytes every time."""

import itertools
import math
import os
import re
import subprocess
import sys
from collections.abc import Iterable, Iterator
from dataclasses import replace
from io import BytesIO, StringIO
from typing import Any

import pytest
from ezdxf import recover
from ezdxf.audit import Auditor
from ezdxf.filemanagement import new, read
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from tests.templates.face_points import bench_of, bench_or_none, specs
from treenail.generators.bench import Bench
from treenail.generators.frame_bench import build_frame_bench
from treenail.generators.frame_spec import MEETINGS, FrameBenchSpec
from treenail.joints.cuts import Bore, Mortise, Slot
from treenail.templates import dxf
from treenail.templates.dxf import CURVES, VERSIONS, member_dxf, plain_text, templates_for
from treenail.templates.dxf_read import compare_dxf, read_outlines
from treenail.templates.layers import NOTES, read_layer

UNITS = ("mm", "in")
WAYS = list(itertools.product(VERSIONS, UNITS, CURVES))
CLOSED = {"LWPOLYLINE", "POLYLINE", "CIRCLE"}


def opened(data: bytes) -> tuple[Any, Auditor]:
    return recover.read(BytesIO(data))


def entities(data: bytes) -> list[Any]:
    return list(opened(data)[0].modelspace())


def files(bench: Bench, **options: Any) -> Iterator[tuple[str, bytes]]:
    for member in templates_for(bench):
        yield member.name, member_dxf(bench, member, **options)


# -- sound, and equal to the cuts --------------------------------------------------------------


#: Every way of writing, and each with one kind of meeting by turns; all with all in the deep suite.
TURNS = {(MEETINGS[(i + i // 4) % len(MEETINGS)], *way) for i, way in enumerate(WAYS)}
TURNS |= {(meeting, "R2000", "mm", "polylines") for meeting in MEETINGS}


@pytest.mark.parametrize(
    ("meeting", "version", "units", "curves"),
    [
        pytest.param(*case, marks=() if case in TURNS else pytest.mark.deep, id="-".join(case))
        for case in ((meeting, *way) for meeting in MEETINGS for way in WAYS)
    ],
)
def test_every_way_of_writing_is_sound_and_reads_back_as_the_cuts(
    meeting: str, version: Any, units: Any, curves: Any
) -> None:
    bench = bench_of(meeting)
    # The whole bench once; after that the members with the most kinds of figure.
    some = {"post_front_left", "stretcher_upper_back"}
    every = (version, units, curves) == ("R2000", "mm", "polylines")
    for member in templates_for(bench):
        if every or member.name in some:
            data = member_dxf(bench, member, version=version, units=units, curves=curves)
            doc, auditor = opened(data)
            assert (auditor.errors, auditor.fixes) == ([], [])
            assert doc.acad_release == version
            assert compare_dxf(bench, member, data) == []


def test_the_plain_reader_finds_nothing_to_mend() -> None:
    for version in VERSIONS:
        data = member_dxf(bench_of("mitred"), "stretcher_upper_back", version=version)
        doc = read(StringIO(data.decode("cp1252" if version != "R2010" else "utf-8")))
        auditor = doc.audit()
        assert (auditor.errors, auditor.fixes) == ([], [])


@settings(max_examples=3)
@given(
    spec=specs,
    version=st.sampled_from(VERSIONS),
    units=st.sampled_from(UNITS),
    curves=st.sampled_from(CURVES),
)
def test_any_bench_reads_back_as_its_cuts(
    spec: FrameBenchSpec, version: Any, units: Any, curves: Any
) -> None:
    bench = bench_or_none(spec)
    assume(bench is not None)
    assert bench is not None
    for name, data in files(bench, version=version, units=units, curves=curves):
        assert compare_dxf(bench, name, data) == []
        assert doubled(entities(data)) == []


@pytest.mark.parametrize("version", VERSIONS)
@pytest.mark.parametrize("units", UNITS)
def test_outlines_are_closed_and_holes_are_true_circles(version: Any, units: Any) -> None:
    bench = bench_of("heights")
    for name in ("post_front_left", "stretcher_upper_back", "top_section_1"):
        data = member_dxf(bench, name, version=version, units=units)
        found = entities(data)
        polyline = "POLYLINE" if version == "R12" else "LWPOLYLINE"
        kinds = {e.dxftype() for e in found}
        assert kinds <= {polyline, "CIRCLE", "LINE", "TEXT"}
        for e in found:
            if e.dxftype() == polyline and not e.dxf.layer.startswith("REFERENCE"):
                assert e.is_closed
        operations = [e for e in found if read_layer(e.dxf.layer).reach in ("deep", "through")]
        cuts = [c for c in bench.cuts[name] if isinstance(c, Mortise | Bore | Slot)]
        circles = sum(e.dxftype() == "CIRCLE" for e in operations)
        loops = sum(e.dxftype() == polyline for e in operations)
        assert circles == sum(isinstance(c, Bore) for c in cuts)
        assert loops == len(cuts) - circles


def test_areas_read_back_are_the_closed_forms() -> None:
    bench = bench_of("heights")
    for name, data in files(bench):
        areas = sorted(f.area for f in read_outlines(data) if f.reach in ("deep", "through"))
        wanted = []
        for c in bench.cuts[name]:
            if isinstance(c, Mortise):
                wanted.append(c.length * c.width)
            elif isinstance(c, Bore):
                wanted.append(math.pi * c.diameter**2 / 4)
            elif isinstance(c, Slot):
                wanted.append(c.centres * c.width + math.pi * c.width**2 / 4)
        assert areas == pytest.approx(sorted(wanted), abs=1e-3)


# -- nothing doubled ---------------------------------------------------------------------------

Segment = tuple[float, float, float, float]


def _segments(e: Any) -> Iterable[Segment]:
    if e.dxftype() == "LINE":
        yield (e.dxf.start.x, e.dxf.start.y, e.dxf.end.x, e.dxf.end.y)
    elif e.dxftype() in ("LWPOLYLINE", "POLYLINE"):
        for part in e.virtual_entities():
            if part.dxftype() == "LINE":
                yield from _segments(part)


def _overlap(a: Segment, b: Segment) -> bool:
    """Whether two segments share more than a point."""
    ax, ay, bx, by = a
    size = math.hypot(bx - ax, by - ay)
    ux, uy = (bx - ax) / size, (by - ay) / size
    off = [abs((x - ax) * uy - (y - ay) * ux) for x, y in (b[:2], b[2:])]
    if max(off) > 1e-5:
        return False
    ends = sorted((x - ax) * ux + (y - ay) * uy for x, y in (b[:2], b[2:]))
    return min(ends[1], size) - max(ends[0], 0.0) > 1e-5


def doubled(found: list[Any]) -> list[Any]:
    """Entities that are there twice, and pairs of segments that lie on each other, by layer."""
    seen: set[Any] = set()
    twice: list[Any] = []
    by_layer: dict[str, list[Segment]] = {}
    for e in found:
        key: tuple[Any, ...] = (e.dxf.layer, e.dxftype())
        match e.dxftype():
            case "CIRCLE":
                key += (e.dxf.center, e.dxf.radius)
            case "ARC":
                key += (e.dxf.center, e.dxf.radius, e.dxf.start_angle)
            case "TEXT":
                key += (e.dxf.text, e.dxf.insert)
            case _:
                key += tuple(_segments(e))
        if key in seen:
            twice.append(key)
        seen.add(key)
        by_layer.setdefault(e.dxf.layer, []).extend(_segments(e))
    for layer, segments in by_layer.items():
        twice += [(layer, a, b) for a, b in itertools.combinations(segments, 2) if _overlap(a, b)]
    return twice


@pytest.mark.parametrize(
    ("meeting", "curves"),
    [
        pytest.param(*case, marks=() if case in turns else pytest.mark.deep)
        for turns in [{(meeting, CURVES[i % 2]) for i, meeting in enumerate(MEETINGS)}]
        for case in itertools.product(MEETINGS, CURVES)
    ],
)
def test_nothing_is_drawn_twice_on_a_layer(meeting: str, curves: Any) -> None:
    for name, data in files(bench_of(meeting), curves=curves):
        assert doubled(entities(data)) == [], name


def test_the_search_for_doubles_finds_them() -> None:
    doc = new()
    space = doc.modelspace()
    space.add_line((0, 0), (10, 10))
    space.add_line((20, 20), (5, 5))
    space.add_lwpolyline([(50, 0), (60, 0), (60, 5)], close=True)
    space.add_line((55, 0), (70, 0))
    space.add_circle((1, 1), 3)
    space.add_circle((1, 1), 3)
    assert len(doubled(list(space))) == 3


def test_operations_that_are_asked_for_twice_are_drawn_once() -> None:
    bench = bench_of("heights")
    holes = next(j for j in bench.joints if j.name == "dog_holes_1")
    again = replace(bench, joints=(*bench.joints, replace(holes, name="dog_holes_again")))
    name = holes.members[0].name
    data = member_dxf(again, name)
    assert doubled(entities(data)) == []
    assert compare_dxf(again, name, data) == []


# -- units, header, layers, texts --------------------------------------------------------------


@pytest.mark.parametrize(("units", "code", "metric"), [("mm", 4, 1), ("in", 1, 0)])
@pytest.mark.parametrize("version", ["R2000", "R2010"])
def test_the_header_says_the_units(version: Any, units: Any, code: int, metric: int) -> None:
    doc, _ = opened(
        member_dxf(bench_of("heights"), "post_front_left", version=version, units=units)
    )
    assert doc.header["$INSUNITS"] == code
    assert doc.header["$MEASUREMENT"] == metric
    if version == "R2010":
        assert doc.modelspace().units == code


@pytest.mark.parametrize("units", UNITS)
def test_release_12_has_no_units_and_says_so(units: Any, caplog: pytest.LogCaptureFixture) -> None:
    data = member_dxf(bench_of("heights"), "post_front_left", version="R12", units=units)
    assert b"$INSUNITS" not in data
    texts = " ".join(e.dxf.text for e in entities(data) if e.dxftype() == "TEXT")
    assert re.search(rf"does not store units.* {'mm' if units == 'mm' else 'inches'}\.", texts)
    assert caplog.records == []


@pytest.mark.parametrize("version", VERSIONS)
@pytest.mark.parametrize("curves", CURVES)
def test_inches_are_really_scaled(version: Any, curves: Any) -> None:
    bench = bench_of("heights")
    both = [
        read_outlines(
            member_dxf(bench, "stretcher_upper_back", version=version, units=u, curves=curves)
        )
        for u in ("mm", "in")
    ]

    def operations(found: Any) -> list[Any]:
        chosen = [f for f in found if f.reach != "mark"]
        return sorted(chosen, key=lambda f: (f.what, f.reach, f.face, f.centre))

    for a, b in zip(*map(operations, both), strict=True):
        assert a.centre == pytest.approx(b.centre, abs=1e-3)
        assert a.size == pytest.approx(b.size, abs=1e-3)
    raw = entities(member_dxf(bench, "stretcher_upper_back", version=version, units="in"))
    radius = min(e.dxf.radius for e in raw if e.dxftype() == "CIRCLE")
    assert radius == pytest.approx(3 / 16)  # a 3/8 in peg


@pytest.mark.parametrize(("version", "units", "curves"), WAYS)
def test_the_extents_hold_every_figure(version: Any, units: Any, curves: Any) -> None:
    data = member_dxf(
        bench_of("mitred"), "post_front_left", version=version, units=units, curves=curves
    )
    doc, _ = opened(data)
    low, high = doc.header["$EXTMIN"], doc.header["$EXTMAX"]
    xs, ys = [], []
    for e in doc.modelspace():
        for a, b, c, d in _segments(e):
            xs += [a, c]
            ys += [b, d]
        if e.dxftype() == "TEXT":
            xs.append(e.dxf.insert.x)
            ys.append(e.dxf.insert.y)
    assert low[0] <= min(xs)
    assert low[1] <= min(ys)
    assert high[0] >= max(xs)
    assert high[1] >= max(ys)
    unit = 1.0 if units == "mm" else 25.4
    assert (high[0] - low[0]) * unit < 1500


def test_texts_stand_on_the_notes_layer_alone() -> None:
    for _, data in files(bench_of("notched")):
        found = entities(data)
        assert {e.dxf.layer for e in found if e.dxftype() == "TEXT"} == {NOTES}
        assert {e.dxftype() for e in found if e.dxf.layer == NOTES} == {"TEXT"}


@pytest.mark.parametrize("version", VERSIONS)
@pytest.mark.parametrize("units", UNITS)
def test_layer_names_are_valid_in_every_release(version: Any, units: Any) -> None:
    for name in ("post_front_left", "stretcher_upper_back"):
        data = member_dxf(bench_of("notched"), name, version=version, units=units)
        for layer in opened(data)[0].layers:
            assert re.fullmatch(r"[A-Z0-9_-]{1,31}", layer.dxf.name.upper())
            assert layer.dxf.name in {layer.dxf.name.upper(), "Defpoints"}


def test_a_layer_holds_one_operation_of_one_depth() -> None:
    bench = bench_of("heights")
    for name, data in files(bench):
        depths: dict[str, set[tuple[str, float]]] = {}
        left = read_outlines(data)
        for cut in bench.cuts[name]:
            if not isinstance(cut, Mortise | Bore | Slot) or cut.through:
                continue
            for f in left:
                if f.reach == "deep" and f.what == cut.purpose:
                    assert f.depth is not None
                    if abs(f.depth - cut.depth) < 1e-3:
                        depths.setdefault(f.layer, set()).add((cut.purpose, cut.depth))
        assert depths or not any(f.reach == "deep" for f in left)
        assert all(len(kinds) == 1 for kinds in depths.values())


def test_the_notes_name_the_piece() -> None:
    bench = bench_of("heights")
    data = member_dxf(bench, "stretcher_lower_left")
    texts = [e.dxf.text for e in entities(data) if e.dxftype() == "TEXT"]
    whole = "\n".join(texts)
    for part in (
        "bench: stretcher_lower_left",
        "alike: stretcher_upper_left",
        "558.8 mm x 127 mm x 44 mm, White ash",
        "Full size (1:1), in mm.",
        "face side",
        "back edge",
        "SHOULDER_9-500MM_DEEP",
    ):
        assert part in whole
    assert "NOT PASSED" not in whole
    refused = member_dxf(bench, "stretcher_lower_left", passed=False)
    assert any("NOT PASSED" in e.dxf.text for e in entities(refused) if e.dxftype() == "TEXT")


@pytest.mark.parametrize("version", VERSIONS)
def test_odd_names_are_shown_as_they_are(version: Any) -> None:
    odd = "%%d ^J \\U+0041 é ½ 木\r\n0\nSECTION %%%%c " + "x" * 200
    bench = build_frame_bench(FrameBenchSpec(name=odd))
    data = member_dxf(bench, "post_front_left", version=version)
    doc, auditor = opened(data)
    assert (auditor.errors, auditor.fixes) == ([], [])
    texts = [e.dxf.text for e in doc.modelspace() if e.dxftype() == "TEXT"]
    whole = " ".join(texts)
    assert "é ½ 木" in whole
    for code in ("%%", "^J", "\\U+", "\n", "\r"):
        assert code not in whole
    assert compare_dxf(bench, "post_front_left", data) == []


@given(text=st.text(max_size=40))
def test_no_code_of_the_format_survives(text: str) -> None:
    shown = plain_text(text)
    assert "%%" not in shown
    assert not re.search(r"\\[UM]", shown)
    assert not re.search(r"\^(?! )", shown)
    assert shown.isprintable()


# -- the same bytes ----------------------------------------------------------------------------


def test_bytes_do_not_depend_on_the_run() -> None:
    program = (
        "import hashlib\n"
        "from treenail.generators.frame_bench import build_frame_bench\n"
        "from treenail.generators.frame_spec import FrameBenchSpec\n"
        "from treenail.templates.dxf import VERSIONS, member_dxf\n"
        "bench = build_frame_bench(FrameBenchSpec(meeting='mitred'))\n"
        "for v in VERSIONS:\n"
        "    for m in ('post_front_left', 'stretcher_upper_back'):\n"
        "        print(hashlib.sha256(member_dxf(bench, m, version=v)).hexdigest())\n"
    )
    seen = {
        subprocess.run(
            [sys.executable, "-c", program],
            env={**os.environ, "PYTHONHASHSEED": seed},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for seed in ("1", "77")
    }
    assert len(seen) == 1
    assert len(set(seen.pop().split())) == 6


def test_the_libraries_option_is_put_back(monkeypatch: pytest.MonkeyPatch) -> None:
    from ezdxf import options  # type: ignore[attr-defined]

    for before in (False, True):
        monkeypatch.setattr(options, "write_fixed_meta_data_for_testing", before)
        member_dxf(bench_of("heights"), "post_front_left")
        assert options.write_fixed_meta_data_for_testing is before

    def broken(*_: Any) -> None:
        raise RuntimeError

    monkeypatch.setattr(options, "write_fixed_meta_data_for_testing", False)
    monkeypatch.setattr(dxf._Pen, "draw", broken)
    with pytest.raises(RuntimeError):
        member_dxf(bench_of("heights"), "post_front_left")
    assert options.write_fixed_meta_data_for_testing is False


def test_the_library_is_not_loaded_before_it_is_needed() -> None:
    program = "import sys, treenail.templates.dxf, treenail.templates.dxf_read as r\n"
    program += "sys.exit('ezdxf' in sys.modules or 'cadquery' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", program], check=False).returncode == 0
