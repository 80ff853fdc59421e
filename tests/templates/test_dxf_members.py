"""Which members get a template, and what is refused."""

import itertools
from typing import Any

import pytest

from tests.templates.face_points import bench_of
from treenail.generators.frame_bench import build_frame_bench
from treenail.generators.frame_spec import FrameBenchSpec, Shelf
from treenail.generators.shape_key import shape_key
from treenail.templates.dxf import alike, member_dxf, templates_for
from treenail.timber.errors import GeometryError, SpecError


def test_one_template_for_each_shape_with_cuts() -> None:
    bench = bench_of("heights")
    keys = {m.name: shape_key(m, bench.cuts[m.name]) for m in bench.timbers}
    chosen = templates_for(bench)
    assert templates_for(bench, keys) == chosen
    assert len({keys[m.name] for m in chosen}) == len(chosen)
    with_cuts = {keys[name] for name in keys if bench.cuts[name]}
    assert {keys[m.name] for m in chosen} == with_cuts
    groups = alike(bench)
    assert sorted(itertools.chain(*groups.values())) == sorted(keys)
    for first, names in groups.items():
        assert names[0] == first
        assert len({keys[n] for n in names}) == 1


def test_members_without_cuts_get_none() -> None:
    bench = build_frame_bench(FrameBenchSpec(shelf=Shelf(enabled=True)))
    assert not any(m.role == "shelf board" for m in templates_for(bench))
    assert not any(m.round_section for m in templates_for(bench))


@pytest.mark.parametrize(
    "wrong", [{"version": "R13"}, {"units": "cm"}, {"curves": "splines"}, {"units": None}]
)
def test_options_that_do_not_exist_are_refused(wrong: dict[str, Any]) -> None:
    with pytest.raises(SpecError, match="allowed"):
        member_dxf(bench_of("heights"), "post_front_left", **wrong)


def test_a_round_peg_gets_no_template() -> None:
    bench = bench_of("heights")
    with pytest.raises(GeometryError, match="round"):
        member_dxf(bench, bench.pegs[0])
