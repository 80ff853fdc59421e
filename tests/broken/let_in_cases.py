"""Broken laps, housings, grooves and dovetails: pieces of a canvas stand, in millimetres."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from tests.broken.cases import Case
from tests.checks.let_in_benches import bench_of
from tests.joints.let_in import boards, crossing, made, piece, shelf
from treenail.generators.solids import BenchSolids, build_solids
from treenail.joints.base import Gap
from treenail.joints.edges import TongueGroove
from treenail.joints.fits import FITS, Limits
from treenail.joints.housings import Housing, SlidingDovetail
from treenail.joints.laps import HalfLap, Notch
from treenail.timber.frames import Frame

HERE = Frame()


def joined(kind: type[Any], members: Any, **numbers: Any) -> Any:
    return bench_of(made(kind, members, HERE, **numbers))


def loose() -> Any:
    fit = replace(FITS["hand press"], cheek=Limits(0.4, 0.6))
    return joined(HalfLap, crossing(80.0, 40.0, 0.0), fit=fit)


def near_the_end() -> Any:
    side = shelf(80.0, 30.0, 9.0)[0]
    return joined(Housing, (side, piece("shelf", (300, 80, 18), (22, 0, -291), (0, 0, 1))))


def short_shoulders() -> Any:
    post = piece("post", (300, 80, 60))
    lath = piece("lath", (300, 12, 20), (100, -20, 0), (0, 1, 0), (-1, 0, 0))
    return joined(Notch, (post, lath))


def other_room() -> BenchSolids:
    """A lap whose numbers tell of a room that its cuts don't leave."""

    class Wrong(HalfLap):
        def gaps(self) -> tuple[Gap, ...]:
            first, *rest = super().gaps()
            return (replace(first, room=0.1), *rest)

    solids: BenchSolids = build_solids(joined(Wrong, crossing(80.0, 40.0, 0.0)))
    return solids


LET_IN_CASES: tuple[Case, ...] = (
    Case("lap-loose-mm", "let-in-clearance", "error", loose),
    Case(
        "notch-too-deep-mm",
        "trench-depth",
        "advice",
        lambda: joined(Notch, crossing(80.0, 40.0, 10.0)),
    ),
    Case(
        "groove-with-thin-walls-mm",
        "trench-walls",
        "advice",
        lambda: joined(TongueGroove, boards(80.0, 20.0, 6.0), tongue=15.0),
    ),
    Case("housing-at-the-end-mm", "trench-end-wood", "advice", near_the_end),
    Case(
        "dovetail-too-steep-mm",
        "dovetail-rise",
        "advice",
        lambda: joined(SlidingDovetail, shelf(80.0, 30.0, 9.0), rise=0.3, root=8.0),
    ),
    Case("notch-that-turns-mm", "let-in-turns", "advice", short_shoulders),
)
"""What is wrong with joints that are let in."""
