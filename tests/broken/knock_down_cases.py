"""Broken knock-down bases: the frame bench with bolted long stretchers, one thing wrong."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from tests.broken.cases import Case
from tests.checks.benches import frame, section, with_joint

if TYPE_CHECKING:
    from treenail.generators.bench import Bench

BOLTED = {"long_joints": "bolted"}
BOLT = "upper_front_left_1"


def spoilt(**numbers: Any) -> Bench:
    return with_joint(frame(**BOLTED), BOLT, **numbers)


def without_a_stub() -> Bench:
    made = frame(**BOLTED, **section("knock_down", per_joint=1))
    stub = "upper_front_at_left"
    return replace(made, joints=tuple(j for j in made.joints if j.name != stub))


def single_and_slim() -> Bench:
    """One M6 in a soft, low stretcher of a high bench."""
    return frame(
        **BOLTED,
        species="eastern white pine",
        height=1000.0,
        **section("knock_down", bolt="M6", per_joint=1),
        **section("upper_long", width=70.0, haunch=False),
        **section("lower_long", width=70.0),
    )


KNOCK_DOWN_CASES = (
    Case("nut-at-the-end", "barrel-nut-end", "advice", lambda: spoilt(setback=40.0)),
    Case("nut-at-the-edge", "barrel-nut-wall", "advice", lambda: spoilt(at=(12.0, 22.0))),
    Case("washer-on-a-web", "barrel-bolt-grip", "advice", lambda: spoilt(counterbore=58.0)),
    Case(
        "bolt-without-a-stub",
        "barrel-bolt-turns",
        "advice",
        without_a_stub,
        also=frozenset({"timbers-overlap"}),  # the stub has lost its mortise
    ),
    Case("bolt-pulls-through", "knock-down-bolt-pulls", "warning", single_and_slim),
)
