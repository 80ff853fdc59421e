"""A family's usual sizes in millimetres, and the reasons told in them."""

from collections.abc import Iterator
from typing import Any

import pytest

import treenail
from treenail.generators.families import FAMILIES
from treenail.generators.frame_spec import Bolts, FrameBenchSpec, Pegs
from treenail.generators.params import Param, params
from treenail.generators.usual_sizes import told, usual_spec
from treenail.joints.mortise_tenon import MortiseTenon


def lengths(spec: Any, path: str = "") -> Iterator[tuple[str, Param, float]]:
    for name, param in params(spec).items():
        value = getattr(spec, name)
        if param.kind == "section":
            yield from lengths(value, f"{path}{name}.")
        elif param.kind == "length" and value is not None:
            yield f"{path}{name}", param, value


@pytest.mark.parametrize("family", FAMILIES)
def test_usual_metric_sizes_are_round_and_allowed(family: str) -> None:
    inches = {name: value for name, _, value in lengths(usual_spec(family, "in"))}
    metric = {name: (param, value) for name, param, value in lengths(usual_spec(family, "mm"))}
    assert usual_spec(family, "in") == FAMILIES[family]()
    assert set(metric) == set(inches)
    for name, (param, value) in metric.items():
        assert param.low is not None
        assert param.high is not None
        assert param.low <= value <= param.high, name
        assert value == pytest.approx(inches[name], rel=0.2), name
        if not param.inch_sizes:
            assert value * 10 == pytest.approx(round(value * 10)), name


def test_what_is_given_stays_and_what_is_not_is_metric() -> None:
    made = treenail.frame_bench(units="mm", length=1700, posts={"width": "3 in"})
    spec = made.spec
    assert (spec.length, spec.depth, spec.posts.width, spec.posts.thickness) == (
        1700,
        600,
        76.2,
        75,
    )
    assert spec.bolts == Bolts()  # lag bolts come in inch sizes
    tenons = [j for j in made.joints if isinstance(j, MortiseTenon)]
    assert {j.thickness for j in tenons} == {25.0}
    assert {j.mortise_depth for j in tenons} == {52.5}
    assert treenail.frame_bench(units="in").spec == FrameBenchSpec()


def test_reasons_are_told_in_the_units() -> None:
    posts, dogs = (params(getattr(FrameBenchSpec(), n)) for n in ("posts", "top"))
    assert told(posts["width"], "mm").startswith("Along the bench; 75 mm takes 50 mm tenons")
    assert told(posts["width"], "in").startswith("Along the bench; 3 in takes 2 in tenons")
    assert told(dogs["thickness"], "mm").startswith("70 to 75 mm:")
    diameter = params(FrameBenchSpec().top.dog_holes)["diameter"]
    assert told(diameter, "mm") == "20 mm suits the dogs and holdfasts sold."
    assert told(diameter, "in") == "3/4 in suits the dogs and holdfasts sold."
    assert told(params(Pegs)["offset"], "mm").startswith("Draw: 1.5 mm for a 10 mm peg")
    assert "1/2 in lag bolt" in told(params(Bolts)["diameter"], "mm")
