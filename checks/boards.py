"""Loose boards side by side: what opening there is between two, plain or tongued."""

from __future__ import annotations

from typing import TYPE_CHECKING

from treenail.joints.edges import TongueGroove

if TYPE_CHECKING:
    from treenail.generators.bench import Bench
    from treenail.timber.member import Member

__all__ = ["opening"]


def opening(bench: Bench, a: Member, b: Member, gap: float) -> float:
    """The opening in mm between two neighbours' edges; ``gap`` is between their stock.

    Of boards that are tongued into each other it is between shoulder and edge.
    """
    pair = {a.name, b.name}
    for joint in bench.joints:
        if isinstance(joint, TongueGroove) and {m.name for m in joint.members} == pair:
            return joint.open_by
    return gap
