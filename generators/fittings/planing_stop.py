"""The planing stop: a square block in a mortise of its own through the top."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from treenail.generators.end_boards import boards_width
from treenail.generators.fittings.site import FITTINGS, Site
from treenail.generators.parts import BACK, DOWN, LEFT, RIGHT, UP
from treenail.generators.tops import CLEAR_OF_GLUE_LINE, section_at
from treenail.joints.sliding import Sliding
from treenail.timber.errors import SpecError
from treenail.timber.frames import Frame, snap, snap_vec
from treenail.timber.member import Member
from treenail.timber.moisture import movement, movement_coefficient

if TYPE_CHECKING:
    from collections.abc import Sequence

    from treenail.generators.post_spec import PostSpec

#: What a planing stop's play is beyond its swelling, mm: it holds by friction (our own choice).
SNUG = 0.1
#: Front edge to the block where there is no row of dog holes, mm (common practice: 3 to 4 in).
FROM_FRONT = 4 * 25.4


def stop_from_front(spec: PostSpec, rows: Sequence[float]) -> float:
    """Distance from the top's front to the block's middle, mm."""
    asked = spec.fittings.planing_stop.from_front
    if asked is not None:
        return asked
    return min(rows, default=min(FROM_FRONT, spec.depth / 3))


def stop_lines(spec: PostSpec, rows: Sequence[float]) -> list[float]:
    """Distances from the front between which no glue line may come, mm."""
    stop = spec.fittings.planing_stop
    y, half = stop_from_front(spec, rows), stop.width / 2
    steps = math.ceil(stop.width / CLEAR_OF_GLUE_LINE)
    return [snap(y - half + stop.width * i / steps) for i in range(steps + 1)]


def stop_from_end(site: Site, y: float, length: float) -> float:
    """Distance from the top's left end to the block's middle, mm: where it is free below."""
    stop, spec, say = site.fittings.planing_stop, site.spec, site.say
    wide = stop.width
    low, high = spec.height - length, spec.height - spec.top.thickness
    below = {
        m.name: (a[0], b[0])
        for m in site.timbers.values()
        for a, b in (m.bounds(),)
        if a[2] < high - 1e-6 and b[2] > low and a[1] < y + wide / 2 and b[1] > y - wide / 2
    }
    if (asked := stop.from_end) is not None:
        for name, (start, end) in below.items():
            if start < asked + wide / 2 and end > asked - wide / 2:
                raise site.refuse(
                    "planing_stop.from_end",
                    f"the block would stand in {name}, which runs below the top from "
                    f"{say(start)} to {say(end)}",
                    f"at most {say(start - wide / 2)}, or at least {say(end + wide / 2)}",
                )
        return asked
    board, until = boards_width(spec.top), site.ground.ends[0]
    # From one thing below the top to the next, or hole in it; the widest, or the one at the end.
    stops = sorted([*below.values(), *_holes(site, y, wide), (until, until)])
    start, free = board, []
    for near, far in stops:
        free.append((min(near, until) - start, -start))
        start = max(start, far)
    room, begin = max(free)
    if room < wide + 2 * CLEAR_OF_GLUE_LINE:
        raise site.refuse(
            "planing_stop.from_end",
            f"before the posts are {say(max(room, 0.0))} free below the top, which leaves no place "
            f"for a block {say(wide)} wide there",
            "a place for it, or a larger top.overhang_ends",
        )
    return room / 2 - begin


def _holes(site: Site, y: float, wide: float) -> list[tuple[float, float]]:
    """From where to where along the bench holes in the top's sections are in a block's way, mm."""
    found = []
    for member in [m for m in site.timbers.values() if m.role == "top section"]:
        for axis, radius in site.bores(member):
            room = radius + CLEAR_OF_GLUE_LINE / 2
            (x0, x1), (y0, y1) = (sorted((axis[0][i], axis[1][i])) for i in (0, 1))
            if y0 - room < y + wide / 2 and y1 + room > y - wide / 2:
                found.append((x0 - room, x1 + room))
    return found


def add_planing_stop(site: Site, rows: Sequence[float]) -> None:
    """Put the block in the top, its head flush with it."""
    stop, spec, say = site.fittings.planing_stop, site.spec, site.say
    wide, thick = stop.width, spec.top.thickness
    y = site.chosen("planing_stop.from_front", stop_from_front(spec, rows))
    length = stop.rise + 2 * thick if stop.length is None else stop.length
    if length < stop.rise + thick:
        raise site.refuse(
            "planing_stop.length",
            f"a block {say(length)} long, tapped up {say(stop.rise)}, leaves "
            f"{say(length - stop.rise)} in a top {say(thick)} thick",
            f"at least {say(stop.rise + thick)}",
        )
    site.chosen("planing_stop.length", length)
    x = site.chosen("planing_stop.from_end", stop_from_end(site, y, length))
    wood = site.species(stop.species, "planing_stop.species")
    play = stop.play
    if play is None:
        swells = movement(
            wide,
            movement_coefficient(wood, "flat"),
            site.seasons.at_build,
            max(site.seasons.wettest, site.seasons.at_build),
        )
        play = round(swells + SNUG, 2)
    site.chosen("planing_stop.play", play)
    corner = (x - wide / 2, y - wide / 2, spec.height - length)
    block = site.add(
        Member(
            name="planing_stop",
            role="planing stop",
            length=snap(length),
            width=wide,
            thickness=wide,
            species=wood,
            placement=Frame(snap_vec(corner), UP, RIGHT, BACK),
            assembly=FITTINGS,
        )
    )
    tops = [m for m in site.timbers.values() if m.role == "top section"]
    try:
        section = section_at(tops, y)
    except SpecError:
        raise site.refuse(
            "planing_stop.from_front",
            f"there is no top {say(y)} from the front",
            f"less than {say(spec.depth)}",
        ) from None
    site.joints.append(
        Sliding(
            name="planing_stop_in_top",
            receiver=section,
            entering=block,
            home=DOWN,
            # One planes toward the left: the block leans there.
            rests=(LEFT, BACK),
            play=play,
            what="stop mortise",
        )
    )


__all__ = ["add_planing_stop", "stop_from_front", "stop_lines"]
