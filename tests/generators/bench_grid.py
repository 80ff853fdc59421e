"""Frame benches that between them hold every kind of cut, each built once a process."""

from functools import cache
from typing import Any

from treenail.generators.bench import Bench
from treenail.generators.frame_bench import build_frame_bench
from treenail.generators.frame_spec import FrameBenchSpec
from treenail.generators.solids import BenchSolids, build_solids
from treenail.generators.spec_values import build_spec

PAIRS = ("upper_long", "upper_end", "lower_long", "lower_end")
THROUGH = {pair: {"through": True} for pair in PAIRS}
#: Pegs are left out where the default ones would meet: that is for the checks to say.
NONE: dict[str, Any] = {"pegs": {"per_joint": 0}}

GRID: dict[str, dict[str, Any]] = {
    "usual": {},
    "plain": {
        "pegs": {"per_joint": 0},
        "bolts": {"per_stretcher": 0},
        "posts": {"foot_chamfer": 0},
        "top": {"dog_holes": {"rows": 0}},
    },
    "mitred": {"meeting": "mitred", **NONE},
    "mitred, pegged": {"meeting": "mitred"},
    "notched": {"meeting": "notched", **NONE},
    "notched, through": {"meeting": "notched", **THROUGH, **NONE},
    "shortened": {"meeting": "shortened", **NONE},
    "through": THROUGH,
    "proud": {"upper_end": {"through": True, "proud": 10}},
    "no haunch, shelf": {"upper_long": {"haunch": False}, "shelf": {"enabled": True}},
    "pegs in two rows": {"pegs": {"rows": 2, "per_joint": 3}},
    "pegs from inside": {"pegs": {"from_face": "inside", "per_joint": 1}},
    "pegs right through": {"pegs": {"through": True}},
    "pegs without draw": {"pegs": {"offset": 0}},
    "taper inside the tenon": {"pegs": {"tip": 42, "offset": 2.5}},
    "thick wall under pegs": {"pegs": {"stop_wall": 30, "tip": 20}},
    "flush in front": {"upper_long": {"set_in": 0}, "lower_end": {"set_in": 20}},
    "overhangs": {"top": {"overhang_front": 50, "overhang_back": 30}},
    "many bolts": {"bolts": {"per_stretcher": 8, "diameter": 12.7}},
    "small": {
        "length": 900,
        "depth": 420,
        "height": 560,
        "lower_long": {"width": 70, "height": 60},
        "lower_end": {"width": 70, "height": 140},
        "upper_long": {"width": 80},
        "upper_end": {"width": 80},
    },
    "large": {"length": 3600, "depth": 1100, "height": 900, "posts": {"width": 120}},
    "easy fit": {"fit": "easy"},
}


@cache
def bench(name: str) -> Bench:
    """The bench of that name."""
    return build_frame_bench(build_spec(FrameBenchSpec, GRID[name], units="mm"))


@cache
def solids(name: str) -> BenchSolids:
    """Its solids."""
    return build_solids(bench(name))
