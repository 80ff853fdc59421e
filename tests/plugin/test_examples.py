"""The example scripts, in a CQGI host and in plain Python."""

from __future__ import annotations

import math
import runpy
import subprocess
import sys
from functools import cache
from typing import Any

import cadquery as cq
import pytest
from cadquery import cqgi

from tests.house.source import ROOT
from treenail.timber.errors import SpecError

EXAMPLES = sorted((ROOT / "examples").glob("*.py"))
BENCH, JOINT, TABLE = "parametric_bench", "joint_on_a_workplane", "trestle_table"
STAKED = "staked_bench"


def parse(name: str) -> Any:
    """An example as a CQGI host reads it."""
    gateway: Any = cqgi
    return gateway.parse((ROOT / "examples" / f"{name}.py").read_text(encoding="utf-8"))


def build(name: str, **sizes: Any) -> Any:
    """What a CQGI host gets from an example."""
    return parse(name).build(build_parameters=sizes)


@cache
def shown(name: str) -> dict[str, Any]:
    """An example's parts with its own sizes, by name."""
    result = build(name)
    assert result.success, result.exception
    return {r.options["name"]: r for r in result.results}


def test_these_are_all() -> None:
    assert [path.stem for path in EXAMPLES] == [JOINT, BENCH, STAKED, TABLE]


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda p: p.stem)
def test_plain_python_prints_something_useful(
    path: Any, capsys: pytest.CaptureFixture[str]
) -> None:
    if path.stem == JOINT:  # one as a user starts it; the others without starting Python anew
        done = subprocess.run(
            [sys.executable, str(path)],
            capture_output=True,
            text=True,
            check=False,
            cwd=ROOT.parent,
        )
        assert done.returncode == 0, done.stderr
        printed = done.stdout
    else:
        runpy.run_path(str(path), run_name="__main__")
        printed = capsys.readouterr().out
    wanted = {
        BENCH: ("every solid has the volume of its numbers", "post", "bolts"),
        TABLE: ("advice", "passed"),
        STAKED: ("advice", "passed"),
        JOINT: ("overlap by 0.000", "0.000 mm apart", "lie 1.5875 mm apart"),
    }[path.stem]
    assert [text for text in wanted if text not in printed] == []


@pytest.mark.parametrize("name", [BENCH, JOINT])
def test_every_part_is_shown_with_its_name_and_colour(name: str) -> None:
    result = build(name)
    assert result.success, result.exception
    names = [r.options["name"] for r in result.results]
    assert len(names) == len(set(names)) > 0
    for r in result.results:
        assert all(0.0 <= part <= 1.0 for part in r.options["color"])
        shape: Any = r.shape.val() if isinstance(r.shape, cq.Workplane) else r.shape
        assert shape.Volume() > 0


def test_the_bench_is_the_generators() -> None:
    parts = shown(BENCH)
    assert sum(name.startswith("post_") for name in parts) == 4
    assert sum(name.startswith("stretcher_") for name in parts) == 8
    top = max(r.shape.BoundingBox().zmax for r in parts.values())
    assert top == pytest.approx(34 * 25.4, abs=1e-4)


def test_the_literals_at_the_top_are_parameters() -> None:
    model = parse(BENCH)
    assert set(model.metadata.parameters) >= {
        *("length", "depth", "height", "post", "top_thickness", "dog_hole_rows"),
        *("through_tenons", "shelf", "species"),
    }
    assert not [p for p in model.metadata.parameters if p.isupper()]
    low = build(BENCH, height=30.0, shelf=True, dog_hole_rows=0, species="hard maple")
    assert low.success, low.exception
    assert max(r.shape.BoundingBox().zmax for r in low.results) == pytest.approx(762, abs=1e-4)
    assert len(low.results) > len(shown(BENCH))


def test_a_host_is_told_what_is_wrong_with_a_parameter() -> None:
    wrong = build(BENCH, height=3.0)
    assert not wrong.success
    assert isinstance(wrong.exception, SpecError)
    assert wrong.exception.field == "height"


@pytest.mark.parametrize(
    "sizes",
    [
        {},
        {"tenon_length": "60 mm", "fit": "easy"},
        {"draw": "0.5 mm", "haunch_length": 20.0, "post_size": 90.0},
    ],
)
def test_the_joint_closes(sizes: dict[str, Any]) -> None:
    result = build(JOINT, **sizes)
    assert result.success, result.exception
    post, rail, pegs = (r.shape for r in result.results)
    assert post.val().isValid()
    assert rail.val().isValid()
    assert post.intersect(rail).val().Volume() == 0
    assert post.val().distance(rail.val()) == pytest.approx(0, abs=1e-9)
    # A peg that is straight overlaps the tenon, whose hole the draw has shifted.
    assert len(pegs.vals()) == 2
    for peg in pegs.vals():
        assert peg.intersect(post.val()).Volume() == pytest.approx(0, abs=1e-6)
        assert 0 < peg.intersect(rail.val()).Volume() < peg.Volume() / 3
        assert peg.Volume() == pytest.approx(
            math.pi * (0.375 * 25.4) ** 2 / 4 * sizes.get("post_size", 76.0), rel=1e-9
        )
