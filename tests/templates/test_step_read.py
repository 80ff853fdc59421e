"""Reading back, and every kind of difference that the comparison must see."""

from collections.abc import Callable
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import cadquery as cq
import pytest

from tests.templates.step_bench import default_solids, default_step
from treenail.templates.step import occurrences, part_step
from treenail.templates.step_read import (
    StepContents,
    compare_part,
    compare_step,
    read_step,
)
from treenail.timber.errors import OutputError


@cache
def contents() -> StepContents:
    return read_step(default_step())


def test_the_default_bench_comes_back_without_a_difference() -> None:
    assert compare_step(contents(), default_solids()) == []


def test_a_file_reads_like_its_bytes(tmp_path: Path) -> None:
    path = tmp_path / "b.step"
    path.write_bytes(default_step())
    assert read_step(path).roots == contents().roots
    assert read_step(str(path)).names == contents().names


def test_the_tree_is_that_of_the_bench() -> None:
    (root,) = contents().roots
    assert root.name == root.product == "bench"
    things = occurrences(default_solids())
    groups = dict.fromkeys(t.assembly for t in things)
    assert contents().assemblies == {"bench": tuple(groups)} | {
        g: tuple(t.name for t in things if t.assembly == g) for g in groups
    }
    lines = list(root.lines())
    assert lines[:3] == ["bench", "  end_frame_left", "    post_front_left"]
    assert len(lines) == 1 + len(groups) + len(things)


def test_every_part_comes_back_alone() -> None:
    solids = default_solids()
    for name in dict.fromkeys(t.product for t in occurrences(solids)):
        assert compare_part(read_step(part_step(solids, name)), solids, name) == []
    unlike = compare_part(read_step(part_step(solids, "post_front_left")), solids, "top_section_1")
    assert unlike != []


def test_face_names_belong_to_faces_of_the_part() -> None:
    faces = contents().face_names["stretcher_lower_back"]
    assert {"FACE_SIDE", "FACE_EDGE", "TENON_1_CHEEK_A", "TENON_2_SHOULDER"} <= set(faces)
    assert faces["FACE_SIDE"].Center().z == pytest.approx(0.0, abs=1e-9)
    assert contents().face_names["lag_upper_back_1"] == {}


def _changed(have: StepContents, name: str, solid: Any) -> StepContents:
    return replace(have, parts={**have.parts, name: solid})


POST = "post_front_left"
CHANGES: list[tuple[str, Callable[[StepContents], StepContents]]] = [
    ("centre", lambda c: _changed(c, POST, c.parts[POST].moved(x=1e-5))),
    ("bounds", lambda c: _changed(c, POST, c.parts[POST].moved(x=1e-5))),
    ("volume", lambda c: _changed(c, POST, c.parts[POST].scale(1.0 + 1e-8))),
    ("colour", lambda c: replace(c, colours={**c.colours, POST: (0.0, 0.0, 0.0)})),
    ("colour None", lambda c: replace(c, colours={})),
    ("faces without", lambda c: replace(c, face_names={n: {} for n in c.names})),
    (
        "not ours: KEEL",
        lambda c: replace(
            c,
            face_names={n: {**f, "KEEL": cq.Face.makePlane(1, 1)} for n, f in c.face_names.items()},
        ),
    ),
    ("an occurrence of 'keel'", lambda c: replace(c, products={**c.products, POST: "keel"})),
    ("parts in the file, should be", lambda c: replace(c, names=(*c.names, POST))),
    ("but not in the bench: keel", lambda c: replace(c, names=(*c.names, "keel"))),
    (
        "not in the file: post_front_left",
        lambda c: replace(
            c,
            names=tuple(n for n in c.names if n != POST),
            parts={n: s for n, s in c.parts.items() if n != POST},
        ),
    ),
    (
        "in sub-assembly None",
        lambda c: replace(c, roots=(replace(c.roots[0], children=c.roots[0].children[1:]),)),
    ),
]


@pytest.mark.parametrize("word, change", CHANGES, ids=[word for word, _ in CHANGES])
def test_a_difference_is_seen(word: str, change: Callable[[StepContents], StepContents]) -> None:
    found = compare_step(change(contents()), default_solids())
    assert any(word in line for line in found)
    if word in ("centre", "volume"):
        assert all(line.startswith(POST) for line in found)


@pytest.mark.parametrize(
    "data",
    [b"", b"solid\n", default_step()[:2000], b"ISO-10303-21;\nHEADER;\nENDSEC;\nDATA;\nENDSEC;\n"],
    ids=["empty", "no STEP", "cut short", "no shapes"],
)
def test_what_cannot_be_read_is_refused(data: bytes, capfd: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(OutputError):
        read_step(data)
