"""Holes with a counterbore as one turned tool: fewer faces for a boolean to compare."""

from __future__ import annotations

from collections.abc import Sequence

from treenail.joints.cuts import Bore, Cut
from treenail.joints.cutters import RUN_OUT
from treenail.timber.frames import Frame

Profile = tuple[tuple[float, float], ...]


def stepped_bores(cuts: Sequence[Cut]) -> tuple[list[tuple[Frame, Profile]], list[Cut]]:
    """Pairs of coaxial bores as half profiles (depth, radius); and all cuts that are left.

    A pair is a hole and its counterbore: same joint, same frame, the wider one shallower.
    """
    tools: list[tuple[Frame, Profile]] = []
    rest: list[Cut] = []
    waiting: dict[tuple[str, Frame], Bore] = {}
    for cut in cuts:
        if not isinstance(cut, Bore):
            rest.append(cut)
            continue
        place = (cut.joint, cut.frame)
        other = waiting.pop(place, None)
        if other is None:
            waiting[place] = cut
            continue
        wide, narrow = sorted((cut, other), key=lambda b: -b.diameter)
        if wide.through or wide.diameter == narrow.diameter or wide.depth >= narrow.depth:
            rest += [wide, narrow]
            continue
        end = narrow.depth + (RUN_OUT if narrow.through else 0.0)
        tools.append(
            (
                cut.frame,
                (
                    (-RUN_OUT, 0.0),
                    (-RUN_OUT, wide.diameter / 2),
                    (wide.depth, wide.diameter / 2),
                    (wide.depth, narrow.diameter / 2),
                    (end, narrow.diameter / 2),
                    (end, 0.0),
                ),
            )
        )
    return tools, [*rest, *waiting.values()]
