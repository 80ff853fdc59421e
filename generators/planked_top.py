"""Tops of loose boards on battens: in one, split by a gap with a strip, or with a tool well.

Each board moves from its first row of bolts. What lies between two parts lies on the battens
that carry both. Plan coordinates as in ``frame_layout``; all mm.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, cast

from treenail.generators.apron_layout import deep, roomy
from treenail.generators.end_boards import EndMaker, Held, plan_ends
from treenail.generators.frame_layout import INCH
from treenail.generators.parts import DOWN, slab
from treenail.generators.top_bolts import bolt_boards
from treenail.generators.top_kinds import BuiltTop
from treenail.generators.top_place import SPARE, slab_spans, towards
from treenail.generators.tops import divided
from treenail.joints.edges import TongueGroove
from treenail.joints.features import Bearing
from treenail.joints.fits import FITS
from treenail.joints.strips import Astride
from treenail.joints.treenails import Treenails
from treenail.timber.errors import SpecError
from treenail.timber.frames import snap

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from treenail.generators.apron_spec import BattenBolts, PlankedTop
    from treenail.generators.frame_spec import Top
    from treenail.generators.top_place import Place
    from treenail.joints.base import Joint
    from treenail.timber.member import Member

#: The narrowest strip or bottom, mm (our own choice).
NARROWEST = 15.0
#: From a board's edge, or the apron's inner face, to the nearest bolt, mm (our own choice).
BOLT_ROOM = 1.25 * INCH
#: Of a batten, below a peg's hole or a strip, mm (our own choice).
LEFT = 6.0

Edges = tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Carriers:
    """What is below a planked top.

    Attributes:
        battens: what carries it and holds it down.
        aprons: what it lies on, too, by side.
        rails: what runs below it from front to back.
        inner: the aprons' inner faces, between which there are bolts, mm from the front.
        peg: diameter of pegs in the battens, mm.
    """

    battens: tuple[Member, ...]
    aprons: Mapping[str, Member]
    rails: tuple[Member, ...]
    inner: tuple[float, float]
    peg: float


def planked_top(
    top: PlankedTop,
    place: Place,
    below: Carriers,
    bolts: BattenBolts,
    *,
    gap: float,
    rows: Sequence[float],
    keep_clear: Sequence[float],
) -> BuiltTop:
    """A top of boards, ``gap`` mm apart, and whatever lies between two parts of it.

    Args:
        top: the spec's section.
        place: where it goes.
        below: what carries it.
        bolts: the spec's section.
        gap: between boards, mm.
        rows: of dog holes, from the front edge, mm.
        keep_clear: other lines that no edge may come near, mm.

    Raises:
        SpecError: a size can't be met; the field is named.
    """
    plan = plan_ends(cast("Top", top), place.say)
    if plan is not None and top.edges == "tongued":
        raise SpecError(
            "tongues along the boards' edges end where a board across the ends holds them",
            field="top.ends",
            allowed="none, or edges: gaps",
        )
    # Along the bench: what end boards leave, and what of the boards stands in them as well.
    inner, reach = (0.0, 0.0) if plan is None else (plan.width, plan.width - plan.length)
    parts = _boards(top, place, _board_edges(top, place, rows, keep_clear, gap), gap, reach)
    tongue = top.tongue + gap if top.edges == "tongued" else 0.0
    lines = {
        board: _bolt_lines(board, tongue if i else 0.0, below.inner, bolts.per_board)
        for part in parts
        for i, board in enumerate(part)
    }
    held = (lines[parts[0][-1]][0], lines[parts[-1][0]][0])
    others, fixings = _between(top, place, parts, held, below, inner)
    if plan is not None:
        by_board = [Held(sections=(board,), line=ys[0]) for board, ys in lines.items()]
        ends, more = EndMaker(cast("Top", top), plan, place, by_board).make()

        others += ends
        fixings += more
    joints: list[Joint] = []
    if top.edges == "tongued":
        pairs = [pair for part in parts for pair in itertools.pairwise(part)]
        joints += [
            TongueGroove(
                name=f"tongue_{i}",
                receiver=a,
                entering=b,
                open_by=gap,
                fit=deep(FITS["easy"], gap),
            )
            for i, (a, b) in enumerate(pairs, start=1)
        ]
    for side, apron in below.aprons.items():
        near, far = (p[1] for p in apron.bounds())
        joints += [
            Bearing(name=f"{board.name}_on_{side}", below=apron, above=board)
            for board in lines
            if min(far, board.bounds()[1][1]) - max(near, board.bounds()[0][1]) > 1.0
        ]
    joints += bolt_boards(bolts, lines, below.battens, place.seasons)
    return BuiltTop(sections=tuple(lines), others=tuple(others), joints=(*joints, *fixings))


def _bolt_lines(
    board: Member, tongue: float, inner: tuple[float, float], count: int
) -> list[float]:
    """Where a board's bolts stand, from the front, mm: one in its middle, or near its edges."""
    low, high = board.bounds()
    start, stop = max(low[1] + tongue, inner[0]), min(high[1], inner[1])
    if count == 1:
        return [snap((start + stop) / 2)]
    aside = min(BOLT_ROOM, (stop - start) / 4)
    step = (stop - start - 2 * aside) / (count - 1)
    return [snap(start + aside + i * step) for i in range(count)]


def _board_edges(
    top: PlankedTop, place: Place, rows: Sequence[float], keep_clear: Sequence[float], gap: float
) -> tuple[Edges, ...]:
    """Where boards meet, from the front, of each part of the top: off the rows of dog holes; mm."""
    say, found = place.say, []
    tongue = top.tongue if top.edges == "tongued" else 0.0
    clear = 1.5 * top.dog_holes.diameter + gap + tongue
    for i, (low, high) in enumerate(slab_spans(top, place, rows)):
        wanted = None if top.kind == "well" and i else top.boards
        lines = [y - low for y in (*rows, *keep_clear)]
        edges = divided(high - low, top.board, wanted, lines, clear)
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


def _boards(
    top: PlankedTop, place: Place, parts: Sequence[Edges], gap: float, short: float
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
            name = f"top_board_{next(numbers)}"
            made.append(_piece(name, "top section", top, place, low, high, short))
        found.append(tuple(made))
    return tuple(found)


def _piece(
    name: str,
    role: str,
    top: PlankedTop,
    place: Place,
    low: float,
    high: float,
    short: float,
    thick: float | None = None,
    foot: float | None = None,
) -> Member:
    """A board along the top, ``short`` at both ends; flat if it is no part of the surface."""
    thickness = top.thickness if thick is None else thick
    foot = place.height - top.thickness if foot is None else foot
    return slab(
        name,
        role=role,
        corner=(snap(place.length - short), snap(low), snap(foot + thickness)),
        length=snap(place.length - 2 * short),
        width=snap(high - low),
        thickness=thickness,
        species=place.species,
        plies=1,
        rings=top.rings if role == "top section" else "flat",  # type: ignore[arg-type]
        assembly="top",
    )


def _between(
    top: PlankedTop,
    place: Place,
    parts: Sequence[Sequence[Member]],
    lines: tuple[float, float],
    below: Carriers,
    short: float,
) -> tuple[list[Member], list[Joint]]:
    """What lies on the battens between two parts: a loose strip, or a well's bottom, pegged.

    Args:
        top: the spec's section.
        place: where it goes.
        parts: the boards.
        lines: where the boards beside the gap are held fast, from the front edge, mm.
        below: what carries all; pegs in its battens hold a bottom down along its middle.
        short: how much it is shorter than the top at both ends, mm.

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
        return _strip(top, place, middle, wide, below, short)
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
        short,
        top.well.bottom,
    )
    return [bottom], [
        Treenails(
            name=f"{m.name}_well_peg",
            receiver=m,
            entering=bottom,
            direction=DOWN,
            points=((snap((m.bounds()[0][0] + m.bounds()[1][0]) / 2), snap(middle), 0.0),),
            diameter=below.peg,
            species=place.peg_species,
            hold=snap(min(3 * below.peg, m.thickness - LEFT)),
            tip=below.peg,
        )
        for m in below.battens
    ]


def _strip(
    top: PlankedTop,
    place: Place,
    middle: float,
    wide: float,
    below: Carriers,
    short: float,
) -> tuple[list[Member], list[Joint]]:
    """A strip on the battens, flush; notched over all below it where it is to stand proud."""
    proud, under = top.split.proud, snap(place.height - top.thickness)
    low = snap(under - proud)
    span = (middle - wide / 2, middle + wide / 2)
    thick = top.thickness + proud
    strip = _piece("gap_strip", "gap strip", top, place, *span, short, thick, low)
    if not proud:
        return [strip], [
            Bearing(name=f"strip_on_{m.name}", below=m, above=strip) for m in below.battens
        ]
    most = min(m.thickness for m in below.battens) - LEFT
    if proud > most + 1e-9:
        raise SpecError(
            f"a strip that is to stand {place.say(proud)} proud hangs down past the battens",
            field="top.split.proud",
            allowed=f"at most {place.say(most)}, or thicker battens",
        )
    crossed = [(m, 0.0) for m in below.battens]
    crossed += [(m, snap(under - m.bounds()[1][2])) for m in below.rails if m.bounds()[1][2] > low]
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


__all__ = ["Carriers", "planked_top"]
