"""Tops of loose boards on battens: in one, split by a gap with a strip, or with a tool well.

Each board moves from its first row of bolts. What lies between two parts lies on the battens
that carry both. Plan coordinates as in ``frame_layout``; all mm.
"""

from __future__ import annotations

import itertools
from dataclasses import replace
from typing import TYPE_CHECKING

from treenail.generators.apron_layout import roomy
from treenail.generators.parts import DOWN, slab
from treenail.generators.top_place import SPARE, slab_spans, towards
from treenail.generators.tops import divided
from treenail.joints.features import Bearing
from treenail.joints.fits import FITS
from treenail.joints.strips import Astride
from treenail.joints.treenails import Treenails
from treenail.timber.errors import SpecError
from treenail.timber.frames import snap

if TYPE_CHECKING:
    from collections.abc import Sequence

    from treenail.generators.apron_spec import PlankedTop
    from treenail.generators.top_place import Place
    from treenail.joints.base import Joint
    from treenail.timber.member import Member
    from treenail.timber.species import Species

#: The narrowest strip or bottom, mm (our own choice).
NARROWEST = 15.0
#: Of a batten, below a peg's hole or a strip, mm (our own choice).
LEFT = 6.0

Edges = tuple[float, ...]


def board_edges(
    top: PlankedTop, place: Place, rows: Sequence[float], gap: float
) -> tuple[Edges, ...]:
    """Where boards meet, from the front, of each part of the top: off the rows of dog holes; mm.

    Raises:
        SpecError: no such division; the field is named.
    """
    say, found = place.say, []
    tongue = top.tongue if top.edges == "tongued" else 0.0
    clear = 1.5 * top.dog_holes.diameter + gap + tongue
    for i, (low, high) in enumerate(slab_spans(top, place, rows)):
        wanted = None if top.kind == "well" and i else top.boards
        edges = divided(high - low, top.board, wanted, [y - low for y in rows], clear)
        if edges is None:
            raise SpecError(
                f"a top {say(high - low)} deep does not divide into "
                f"{wanted or 'a few'} boards up to {say(top.board)} wide whose edges keep "
                f"{say(clear)} off the dog holes",
                field="top.boards",
                allowed="more boards, wider ones, auto, or another dog_holes.setback",
            )
        found.append(tuple(snap(low + e) for e in edges))
    return tuple(found)


def boards(
    top: PlankedTop, place: Place, parts: Sequence[Edges], gap: float
) -> tuple[tuple[Member, ...], ...]:
    """Each part's boards, front to back, ``gap`` between them; a tongue enters the one in front."""
    tongue = top.tongue + gap if top.edges == "tongued" else 0.0
    numbers = itertools.count(1)
    found = []
    for edges in parts:
        spans = list(itertools.pairwise(edges))
        made = []
        for i, (front, back) in enumerate(spans):
            low = front + (gap / 2 - tongue if i else 0.0)
            high = back - (gap / 2 if i < len(spans) - 1 else 0.0)
            made.append(_piece(f"top_board_{next(numbers)}", "top section", top, place, low, high))
        found.append(tuple(made))
    return tuple(found)


def _piece(
    name: str,
    role: str,
    top: PlankedTop,
    place: Place,
    low: float,
    high: float,
    thick: float | None = None,
    foot: float | None = None,
) -> Member:
    """A board as long as the top, from its underside up; flat if it is no part of the surface."""
    thickness = top.thickness if thick is None else thick
    foot = place.height - top.thickness if foot is None else foot
    return slab(
        name,
        role=role,
        corner=(place.length, snap(low), snap(foot + thickness)),
        length=place.length,
        width=snap(high - low),
        thickness=thickness,
        species=place.species,
        plies=1,
        rings=top.rings if role == "top section" else "flat",  # type: ignore[arg-type]
        assembly="top",
    )


def between(
    top: PlankedTop,
    place: Place,
    parts: Sequence[Sequence[Member]],
    lines: tuple[float, float],
    battens: Sequence[Member],
    across: Sequence[Member],
    peg: float,
    pegs: Species,
) -> tuple[list[Member], list[Joint]]:
    """What lies on the battens between two parts: a loose strip, or a well's bottom, pegged.

    Args:
        top: the spec's section.
        place: where it goes.
        parts: the boards.
        lines: where the boards beside the gap are held fast, from the front edge, mm.
        battens: what carries all.
        across: rails that run below the top from front to back.
        peg: diameter of the pegs that hold a bottom down along its middle, mm.
        pegs: their wood.

    Raises:
        SpecError: it jams; the field is named.
    """
    if len(parts) < 2:
        return [], []
    say = place.say
    low, high = parts[0][-1].bounds()[1][1], parts[1][0].bounds()[0][1]
    closes, _ = towards(top, replace(place, lines=lines), low, high)
    wide = place.down((high - low - closes - SPARE) / (1.0 + place.swells(1.0, "flat")))
    middle = (low + high) / 2
    if top.kind == "well":
        # Held along its middle, it has half of the room on either side: what the nearer asks.
        room = max(abs(low - lines[0]), abs(high - lines[1]))
        most = (high - low) / 2 - place.swells(room, top.rings) - SPARE / 2
        wide = place.down(2 * most / (1.0 + place.swells(1.0, "flat")))
    if wide < NARROWEST:
        raise SpecError(
            f"the boards close a gap of {say(high - low)} by {say(closes)} in the damp: nothing "
            "that lies in it has room",
            field=f"top.{'split.gap' if top.kind == 'split' else 'well.width'}",
            allowed=f"{say(high - low + NARROWEST - wide)} or so",
        )
    if top.kind == "split":
        return _strip(top, place, middle, wide, battens, across)
    if top.well.bottom > top.thickness - 10.0:
        raise SpecError(
            f"a bottom of {say(top.well.bottom)} on the battens leaves a well "
            f"{say(top.thickness - top.well.bottom)} deep",
            field="top.well.bottom",
            allowed=f"at most {say(top.thickness - 10.0)}",
        )
    bottom = _piece(
        "well_bottom",
        "well bottom",
        top,
        place,
        middle - wide / 2,
        middle + wide / 2,
        top.well.bottom,
    )
    return [bottom], [
        Treenails(
            name=f"{m.name}_well_peg",
            receiver=m,
            entering=bottom,
            direction=DOWN,
            points=((snap((m.bounds()[0][0] + m.bounds()[1][0]) / 2), snap(middle), 0.0),),
            diameter=peg,
            species=pegs,
            hold=snap(min(3 * peg, m.thickness - LEFT)),
            tip=peg,
        )
        for m in battens
    ]


def _strip(
    top: PlankedTop,
    place: Place,
    middle: float,
    wide: float,
    battens: Sequence[Member],
    across: Sequence[Member],
) -> tuple[list[Member], list[Joint]]:
    """A strip on the battens, flush; notched over all below it where it is to stand proud."""
    proud, under = top.split.proud, snap(place.height - top.thickness)
    low = snap(under - proud)
    span = (middle - wide / 2, middle + wide / 2)
    thick = top.thickness + proud
    strip = _piece("gap_strip", "gap strip", top, place, *span, thick, low)
    if not proud:
        return [strip], [Bearing(name=f"strip_on_{m.name}", below=m, above=strip) for m in battens]
    most = min(m.thickness for m in battens) - LEFT
    if proud > most + 1e-9:
        raise SpecError(
            f"a strip that is to stand {place.say(proud)} proud hangs down past the battens",
            field="top.split.proud",
            allowed=f"at most {place.say(most)}, or thicker battens",
        )
    crossed = [(m, 0.0) for m in battens]
    crossed += [(m, snap(under - m.bounds()[1][2])) for m in across if m.bounds()[1][2] > low]
    grows = place.swells(1.0, "flat")
    return [strip], [
        Astride(
            name=f"strip_over_{m.name.removeprefix('stretcher_')}",
            receiver=strip,
            entering=m,
            fit=roomy(FITS["easy"], grows * max(m.width, m.thickness)),
            room=room,
        )
        for m, room in crossed
    ]


__all__ = ["between", "board_edges", "boards"]
