"""Solids that differ from their bench's numbers: moved, exchanged, grown together."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from functools import cache

import cadquery as cq

from treenail.generators.bench import Bench
from treenail.generators.frame_bench import build_frame_bench
from treenail.generators.frame_spec import FrameBenchSpec
from treenail.generators.solids import BenchSolids, build_solids
from treenail.generators.spec_values import build_spec
from treenail.timber.frames import Vec


@dataclass(frozen=True)
class SolidCase:
    """One bench whose solids are wrong; ``also`` as of :class:`tests.broken.cases.Case`."""

    name: str
    rule: str
    make: Callable[[], BenchSolids]
    also: frozenset[str] = frozenset()


@cache
def bench() -> Bench:
    """A small bench with a shelf, in millimetres."""
    sizes = {"length": 1200, "depth": 500, "shelf": {"enabled": True, "board": 200}}
    return build_frame_bench(build_spec(FrameBenchSpec, sizes, units="mm"))


@cache
def good() -> BenchSolids:
    """Its solids, as they should be."""
    return build_solids(bench())


def placed_otherwise(**changed: cq.Shape) -> BenchSolids:
    """The same solids with some placed elsewhere or exchanged."""
    other = replace(good())
    other.__dict__["placed"] = {**good().placed, **changed}
    return other


def moved(names: Iterable[str], by: Vec) -> BenchSolids:
    """Some parts moved in the bench, mm."""
    return placed_otherwise(**{n: good().placed[n].moved(cq.Location(by)) for n in names})


def exchanged(name: str, change: Callable[[cq.Solid], cq.Solid]) -> BenchSolids:
    """Another shape for a part, and for all that are like it."""
    key = good().keys[name]
    return replace(good(), shapes={**good().shapes, key: change(good().shapes[key])})


def post_with_pegs() -> list[str]:
    """A post and the pegs that are driven into it."""
    pegs = [
        peg.name
        for joint in bench().joints
        if joint.name.endswith(("front_at_left", "left_at_front"))
        for peg in joint.pegs()
    ]
    return ["post_front_left", *pegs]


def hooked() -> BenchSolids:
    """A top that reaches around the stretcher below it: at home it is clear of it."""
    low, high = bench().by_name["stretcher_upper_front"].bounds()
    x, y = (low[0] + high[0]) / 2 + 70.0, high[1] + 5.0
    shank = cq.Solid.makeBox(30.0, 10.0, high[2] - low[2] + 10.0, cq.Vector(x, y, low[2] - 10.0))
    barb = cq.Solid.makeBox(30.0, y - low[1], 5.0, cq.Vector(x, low[1], low[2] - 10.0))
    top = good().placed["top_section_1"]
    return placed_otherwise(top_section_1=top.fuse(shank, barb).Solids()[0])


def shaved(solid: cq.Solid) -> cq.Solid:
    """A little off an end: one part in a hundred thousand of its wood."""
    box = solid.BoundingBox()
    wide, high = box.ylen + 2.0, box.zlen + 2.0
    shaving = cq.Solid.makeBox(
        1.0, wide, high, cq.Vector(box.xmax - 0.02, box.ymin - 1, box.zmin - 1)
    )
    return solid.cut(shaving).Solids()[0]


def crossing_itself(solid: cq.Solid) -> cq.Solid:
    """The same solid with a hollow inside that cuts through its own side."""
    box = solid.BoundingBox()
    hollow = cq.Solid.makeBox(
        20.0, 20.0, 20.0, cq.Vector(box.xmin + 100.0, box.ymin - 5.0, box.zmin + 5)
    )
    outer = solid.outerShell()
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeSolid

    maker = BRepBuilderAPI_MakeSolid(outer.wrapped)
    inner = hollow.outerShell().wrapped
    inner.Reverse()
    maker.Add(inner)
    return cq.Solid(maker.Solid())


SOLID_CASES: tuple[SolidCase, ...] = (
    SolidCase(
        "shelf-board-in-the-air", "touches-nothing", lambda: moved(["shelf_board_2"], (0, 0, 50))
    ),
    SolidCase(
        "shelf-board-in-the-next", "parts-overlap", lambda: moved(["shelf_board_2"], (4, 0, 0))
    ),
    SolidCase(
        "shelf-board-let-in", "parts-overlap", lambda: moved(["shelf_board_2"], (0, 0, -0.1))
    ),
    SolidCase(
        "stretcher-a-hair-aside",
        "measured-fit",
        lambda: moved(["stretcher_lower_front"], (0, 0.02, 0)),
    ),
    SolidCase(
        "post-a-hair-off-its-shoulders",
        "shoulder-seat",
        lambda: moved(post_with_pegs(), (-1e-4, 0, 0)),
    ),
    SolidCase("hook-under-the-stretcher", "move-collides", hooked),
    SolidCase("board-a-shaving-short", "solid-volume", lambda: exchanged("shelf_board_2", shaved)),
    # The hollow is wood that isn't there, too.
    SolidCase(
        "board-that-cuts-itself",
        "solid-sound",
        lambda: exchanged("shelf_board_2", crossing_itself),
        frozenset({"solid-volume"}),
    ),
)
"""What Python spoils in the solids."""
