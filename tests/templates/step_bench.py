"""One default bench and its STEP file, built once for all STEP tests in a process."""

from dataclasses import replace
from functools import cache

from treenail.generators.frame_bench import build_frame_bench
from treenail.generators.frame_spec import FrameBenchSpec
from treenail.generators.solids import BenchSolids, build_solids
from treenail.templates.step import bench_step


@cache
def default_solids() -> BenchSolids:
    return build_solids(build_frame_bench(FrameBenchSpec()))


@cache
def default_step() -> bytes:
    return bench_step(default_solids())


def renamed(name: str) -> BenchSolids:
    """The default bench under another name."""
    solids = default_solids()
    return replace(solids, bench=replace(solids.bench, name=name))
