"""Bearers under tops that aren't one slab: across the bench, let into the upper long stretchers.

A slab that is bolted along one line only would tip about it; a bearer holds its inner edge down
too, by bolts in slots.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from treenail.generators.parts import stretcher
from treenail.generators.top_bolts import lag_up, slot_travel
from treenail.generators.tops import section_at, slab_of
from treenail.joints.housings import Housing
from treenail.timber.errors import SpecError
from treenail.timber.frames import snap
from treenail.timber.member import Face

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from treenail.generators.bench import Seasons
    from treenail.generators.frame_spec import Bolts
    from treenail.joints.base import Joint
    from treenail.joints.lag_bolt import LagBolt
    from treenail.timber.member import Member
    from treenail.timber.species import Species

INCH = 25.4
#: How deep a bearer's ends stand in the stretchers, mm (our own choice: 1/2 in).
LET_IN = INCH / 2
#: A bearer's height and thickness at most, mm (our own choice); it is half a stretcher high.
HIGH, THICK = 2.5 * INCH, 2 * INCH
#: From a slab's inner edge to its bolts, mm (our own choice: 2 in).
FROM_EDGE = 2 * INCH
#: A slab that reaches no farther than this beyond its stretcher needs no second row, mm.
SHORT_REACH = 4 * INCH
#: Between a bearer and dog holes, or a bolt's counterbore, mm (our own choice: 1/2 in).
BESIDE = INCH / 2
#: Wood beyond a housing toward the stretcher's end, in depths of it (as ``trench-end-wood`` asks).
END_DEPTHS = 2.0
#: Beyond what is asked for between a bearer and holes, or a stretcher's end, mm (our own choice).
SPARE = 2.0


def bearers(
    front: Member,
    back: Member,
    *,
    clear: tuple[float, float],
    top_bottom: float,
    species: Species,
    holes: Sequence[tuple[float, float]] = (),
) -> tuple[tuple[Member, ...], tuple[Joint, ...]]:
    """A bearer at each end, between the posts, dropped into both upper long stretchers from above.

    Args:
        front: the stretcher there; its upper edge carries the top.
        back: the same behind.
        clear: from post to post along the bench, mm.
        top_bottom: height of the top's underside, mm.
        species: the bearers' wood.
        holes: (from, to) along the bench of dog holes, which shall stay free below, mm.

    Raises:
        SpecError: no room for them.
    """
    high = min(HIGH, math.floor(min(front.width, back.width) / 2 / 6.35 + 1e-9) * 6.35)
    thick = min(THICK, max(front.thickness, back.thickness, 1.5 * INCH))
    in_post = min((clear[0] - m.bounds()[0][0]) for m in (front, back))
    aside = max(INCH, END_DEPTHS * high - in_post + SPARE)
    inner, outer = front.bounds()[1][1], back.bounds()[0][1]
    if high < INCH or clear[1] - clear[0] < 2 * (aside + thick + BESIDE):
        raise SpecError(
            "there is no room between the posts for bearers under the slabs",
            field="top.kind",
            allowed="a longer bench, wider upper_long stretchers, or solid",
        )
    made, joints = [], []
    for side, way, near in (("left", 1.0, clear[0] + aside), ("right", -1.0, clear[1] - aside)):
        at = _between(near, (clear[0] + clear[1]) / 2, thick, holes)
        x = snap(at if way > 0.0 else at - thick)
        piece = stretcher(
            f"bearer_{side}",
            start=(x, snap(outer + LET_IN), top_bottom)
            if side == "left"
            else (x + thick, snap(inner - LET_IN), top_bottom),
            into=(1.0, 0.0, 0.0) if side == "left" else (-1.0, 0.0, 0.0),
            length=snap(outer - inner + 2 * LET_IN),
            width=snap(high),
            thickness=snap(thick),
            species=species,
            assembly="bearers",
            role="bearer",
        )
        made.append(piece)
        joints += [
            Housing(
                name=f"bearer_{side}_at_{where}",
                receiver=rail,
                entering=piece,
                face=Face.FACE_EDGE,
            )
            for where, rail in (("front", front), ("back", back))
        ]
    return tuple(made), tuple(joints)


def _between(
    start: float, middle: float, thick: float, holes: Sequence[tuple[float, float]]
) -> float:
    """The first place from ``start`` to the middle that leaves all holes free, mm; else it."""
    way = 1.0 if middle > start else -1.0
    for room in (BESIDE, SPARE):
        wide = [(h[0] - room, h[1] + room) for h in holes]
        spots = [start, *sorted((h[way > 0.0] for h in wide), key=lambda x: way * x)]
        for at in spots:
            low, high = sorted((at, at + way * thick))
            inside = 0.0 <= way * (at - start) <= abs(middle - start) - thick
            if inside and all(h[1] <= low + 1e-9 or h[0] >= high - 1e-9 for h in wide):
                return at
    return start


def clear_of(xs: Iterable[float], made: Sequence[Member], half: float) -> list[float]:
    """Bolts' places along the bench, moved as far as their pockets (``half`` wide) need."""
    found = []
    for x in xs:
        at = x
        for piece in made:
            low, high = piece.bounds()
            near, far = low[0] - half - BESIDE, high[0] + half + BESIDE
            if near < at < far:
                # Away from the post, which stands on the outer side.
                at = far if piece.name.endswith("left") else near
        found.append(snap(at))
    return found


def inner_rows(
    sections: Sequence[Member], lines: tuple[float, float]
) -> list[tuple[Member, float, float]]:
    """(section, where a bearer's bolt stands, the slab's fixed line) of every slab that needs one.

    mm from the front edge; ``lines`` are the front's and the back's.
    """
    front, back = slab_of(sections, sections[0]), slab_of(sections, sections[-1])
    if front == back:
        return []
    found = []
    inner = front[-1].bounds()[1][1]
    if inner - lines[0] > SHORT_REACH:
        at = snap(inner - FROM_EDGE)
        found.append((section_at(front, at), at, lines[0]))
    inner = back[0].bounds()[0][1]
    if lines[1] - inner > SHORT_REACH:
        at = snap(inner + FROM_EDGE)
        found.append((section_at(back, at), at, lines[1]))
    return found


def bearer_bolts(
    bolts: Bolts,
    made: Sequence[Member],
    sections: Sequence[Member],
    *,
    lines: tuple[float, float],
    top_bottom: float,
    seasons: Seasons,
    rings: str,
) -> list[LagBolt]:
    """A bolt in a slot up through each bearer into each slab, near the slab's inner edge."""
    rows = inner_rows(sections, lines)
    return [
        lag_up(
            bolts,
            name=f"{piece.name}_{i}",
            carrier=piece,
            section=section,
            point=(snap((piece.bounds()[0][0] + piece.bounds()[1][0]) / 2), y, top_bottom),
            slot=slot_travel(abs(y - line), section.species, rings, seasons),
        )
        for piece in made
        for i, (section, y, line) in enumerate(rows, start=1)
    ]


__all__ = ["FROM_EDGE", "bearer_bolts", "bearers", "clear_of", "inner_rows"]
