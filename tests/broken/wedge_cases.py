"""Broken benches with wedges."""

from __future__ import annotations

from dataclasses import replace

from tests.broken.cases import Case, sized, warning
from treenail.compose import piece
from treenail.generators.bench import Bench
from treenail.generators.slab_bench import build_slab_bench
from treenail.generators.slab_spec import SlabBenchSpec
from treenail.joints.features import EdgeGlue


def roofed() -> Bench:
    """A lid glued on a riser, 100 mm above the wedges of one post."""
    bench = build_slab_bench(SlabBenchSpec())
    (x, y, _), (_, back, z) = bench.wedges[0].bounds()
    riser = piece("riser", 400, 100, 60, at=(x, back + 30, z), role="riser")
    lid = piece("lid", 400, 120, 20, at=(x - 10, y - 10, z + 100), face="up", role="lid")
    below = bench.by_name["top_section_1"]
    glue = (
        EdgeGlue(name="riser_on_top", first=below, second=riser),
        EdgeGlue(name="lid_on_riser", first=riser, second=lid),
    )
    made = replace(bench, timbers=(*bench.timbers, riser, lid), joints=(*bench.joints, *glue))
    return sized(made)


WEDGE_CASES: tuple[Case, ...] = (warning("wedges-under-a-lid", "wedge-not-reachable", roofed),)
