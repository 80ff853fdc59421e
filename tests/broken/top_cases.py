"""Broken tops: split ones and those with a tool well, in millimetres."""

from __future__ import annotations

from functools import cache

from tests.broken.cases import Case, advice, error
from tests.checks.benches import with_joint
from treenail.generators.bench import Bench
from treenail.generators.frame_bench import build_frame_bench
from treenail.generators.frame_spec import FrameBenchSpec
from treenail.generators.spec_values import build_spec


@cache
def topped(kind: str) -> Bench:
    """A frame bench with another top."""
    return build_frame_bench(build_spec(FrameBenchSpec, {"top": {"kind": kind}}, units="mm"))


def grooves(room: float) -> Bench:
    """A well whose bottom has another room in each groove."""
    bench = topped("well")
    for side in ("slab", "rail"):
        bench = with_joint(bench, f"well_bottom_in_{side}", room=room)
    return bench


TOP_CASES: tuple[Case, ...] = (
    error("well-without-room-mm", "loose-piece-jams", lambda: grooves(0.2)),
    error("well-with-slack-mm", "loose-piece-drops", lambda: grooves(9.0)),
    advice("well-with-some-slack-mm", "loose-piece-drops", lambda: grooves(5.0)),
)
"""What is wrong with tops."""
