"""Broken tops: split ones and those with a tool well, in millimetres."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

from tests.broken.cases import Case, advice, error, warning
from tests.checks.benches import with_joint
from treenail.generators.bench import Bench
from treenail.generators.frame_bench import build_frame_bench
from treenail.generators.frame_spec import FrameBenchSpec
from treenail.generators.spec_values import build_spec
from treenail.joints.end_board import EndBoard

BOARD = "breadboard_end_left_end"


@cache
def topped(kind: str) -> Bench:
    """A frame bench with another top."""
    return build_frame_bench(build_spec(FrameBenchSpec, {"top": {"kind": kind}}, units="mm"))


def fence(side: float) -> Bench:
    """A strip whose rebates are so wide, where 17.5 mm are right."""
    top = {"kind": "split", "split": {"gap": 50, "proud": 15}}
    bench = build_frame_bench(build_spec(FrameBenchSpec, {"top": top}, units="mm"))
    return with_joint(bench, "strip_fence", side=side)


def grooves(room: float) -> Bench:
    """A well whose bottom has another room in each groove."""
    bench = topped("well")
    for side in ("slab", "rail"):
        bench = with_joint(bench, f"well_bottom_in_{side}", room=room)
    return bench


@cache
def ended(ends: str) -> Bench:
    """A frame bench with boards across the ends of a solid top."""
    return build_frame_bench(build_spec(FrameBenchSpec, {"top": {"ends": ends}}, units="mm"))


def board(**changes: Any) -> Bench:
    """A breadboard end with other numbers."""
    return with_joint(ended("breadboard"), BOARD, **changes)


def slots(*lengths: float) -> Bench:
    """A breadboard end whose pegs go through other slots."""
    joint = next(j for j in ended("breadboard").joints if j.name == BOARD)
    assert isinstance(joint, EndBoard)
    spots = zip(joint.spots, lengths, strict=True)
    return board(spots=tuple(replace(spot, slot=length) for spot, length in spots))


def short_bolt_slot() -> Bench:
    return with_joint(ended("cap"), "end_cap_left_bolt_4", slot=0.4)


TOP_CASES: tuple[Case, ...] = (
    error("well-without-room-mm", "loose-piece-jams", lambda: grooves(0.2)),
    error("fence-tight-between-its-ledges-mm", "loose-piece-jams", lambda: fence(14.6)),
    error("well-with-slack-mm", "loose-piece-drops", lambda: grooves(9.0)),
    error("peg-slots-short-mm", "end-board-slot", lambda: slots(0.5, 0.0, 0.5, 0.5)),
    error("pegs-all-round-mm", "end-board-slot", lambda: slots(0.0, 0.0, 0.0, 0.0)),
    warning("pegs-all-slotted-mm", "end-board-held", lambda: slots(8.0, 8.0, 8.0, 8.0)),
    error("cap-slot-short-mm", "end-board-slot", short_bolt_slot),
    error("tenons-without-room-mm", "end-board-room", lambda: board(room=0.3)),
    advice("well-with-some-slack-mm", "loose-piece-drops", lambda: grooves(5.0)),
)
"""What is wrong with tops."""
