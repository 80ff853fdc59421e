"""Lag bolts up into tops: one line holds a slab or board fast, on the others it slides."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Protocol

from treenail.generators.tops import section_at, slab_of
from treenail.joints.lag_bolt import LagBolt
from treenail.timber.fasteners import LAG_LENGTHS, lag_lead_hole, lag_size
from treenail.timber.frames import dot, snap
from treenail.timber.moisture import movement, movement_coefficient

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from treenail.generators.bench import Seasons
    from treenail.generators.frame_spec import Bolts
    from treenail.timber.frames import Vec
    from treenail.timber.member import Member
    from treenail.timber.species import Species

#: Share of the top's thickness that a lag bolt is to reach into (common practice: two thirds).
EMBEDMENT = 2.0 / 3.0
#: Spare travel in a slot beyond the computed movement, mm (our own choice).
SLOT_ROOM = 1.0
#: Least wood beside a slotted counterbore before the narrow washer is taken, mm (our choice).
LEAST_BESIDE = 6.0


def slot_travel(distance: float, species: Species, rings: str, seasons: Seasons) -> float:
    """Slot length (between centres) for a bolt ``distance`` mm from the fixed line, mm.

    Movement each way from the moisture content at the build, taken to both sides so that the
    bolt may start in the middle, plus ``SLOT_ROOM``; rounded up to half a millimetre.
    """
    c = movement_coefficient(species, rings)  # type: ignore[arg-type]
    most = max(
        abs(movement(distance, c, seasons.at_build, mc)) for mc in (seasons.driest, seasons.wettest)
    )
    return math.ceil((2.0 * most + SLOT_ROOM) * 2.0 - 1e-9) / 2.0


def bolt_down(
    bolts: Bolts,
    *,
    carriers: Sequence[tuple[Member, float]],
    sections: Sequence[Member],
    xs: Sequence[float],
    top_bottom: float,
    seasons: Seasons,
    rings: str,
) -> tuple[LagBolt, ...]:
    """Lag bolts up through each carrier; the first carrier under each slab is its fixed line.

    Args:
        bolts: the spec's section.
        carriers: (stretcher, distance of its middle from the front), fixed one first.
        sections: the top's.
        xs: positions along the bench, mm.
        top_bottom: height of the top's underside, mm.
        seasons: moisture contents.
        rings: of the top.
    """
    spots = [
        (f"{carrier.name.removeprefix('stretcher_')}_{i}", carrier, (x, y, top_bottom))
        for carrier, y in carriers
        for i, x in enumerate(xs, start=1)
    ]
    return bolt_slabs(bolts, spots, sections, seasons, rings)


def bolt_slabs(
    bolts: BoltSizes,
    spots: Iterable[tuple[str, Member, Vec]],
    sections: Sequence[Member],
    seasons: Seasons,
    rings: str,
) -> tuple[LagBolt, ...]:
    """Lag bolts up into slabs; each slab is held on the line of its first and slides on the others.

    Args:
        bolts: the spec's section.
        spots: name, carrier, and where the bolt enters the top, in the bench, mm.
        sections: the top's.
        seasons: moisture contents.
        rings: of the top.
    """
    found: list[LagBolt] = []
    fixed: dict[str, float] = {}
    for name, carrier, point in spots:
        section = section_at(sections, point[1])
        held = fixed.setdefault(slab_of(sections, section)[0].name, point[1])
        away = abs(point[1] - held)
        slot = slot_travel(away, section.species, rings, seasons) if away else 0.0
        found.append(
            lag_up(bolts, name=name, carrier=carrier, section=section, point=point, slot=slot)
        )
    return tuple(found)


class BoltSizes(Protocol):
    """What a spec says of lag bolts, mm."""

    @property
    def diameter(self) -> float:
        """Of the shank."""

    @property
    def length(self) -> float | None:
        """Under the head; None takes the stock length that threads best."""


def lag_up(
    bolts: BoltSizes, *, name: str, carrier: Member, section: Member, point: Vec, slot: float
) -> LagBolt:
    """A lag bolt up through a carrier at ``point`` into the section above it."""
    under = carrier.face_towards((0.0, 0.0, -1.0))
    high, side = carrier.extent(under), carrier.face_size(under)[1]
    size = lag_size(bolts.diameter, field="bolts.diameter")
    # A slot runs across the top's grain: along a batten's own.
    aside = 0.0 if abs(dot(carrier.placement.x, section.placement.y)) > 0.5 else slot
    if (side - size.washer_od - 3.0 - aside) / 2 < LEAST_BESIDE:
        size = lag_size(bolts.diameter, "narrow", field="bolts.diameter")
    reach = section.thickness * EMBEDMENT
    head = size.head_height + size.washer_thickness + 1.5
    wanted = bolts.length
    if wanted is None:
        longest = high - head + size.washer_thickness + reach
        fitting = [x for x in LAG_LENGTHS if x <= longest + 1e-9]
        wanted = max(fitting, default=min(LAG_LENGTHS))
    counterbore = snap(max(0.0, high + size.washer_thickness + reach - wanted))
    return LagBolt(
        name=name,
        top=section,
        carrier=carrier,
        point=point,
        direction=(0.0, 0.0, 1.0),
        size=size,
        length=wanted,
        counterbore=min(counterbore, high - 10.0),
        pilot=lag_lead_hole(section.species.g_0, size.diameter),
        slot=slot,
    )


def bolt_boards(
    bolts: BoltSizes,
    lines: Mapping[Member, Sequence[float]],
    battens: Sequence[Member],
    seasons: Seasons,
) -> list[LagBolt]:
    """Lag bolts up through battens into boards, each of which the first of its lines holds fast.

    Args:
        bolts: the spec's section.
        lines: of each board, from the front edge, mm; it slides on the bolts at all but the first.
        battens: across the bench.
        seasons: moisture contents.
    """
    found = []
    for number, (board, ys) in enumerate(lines.items(), start=1):
        for carrier in battens:
            low, high = carrier.bounds()
            for i, y in enumerate(ys):
                away = abs(y - ys[0])
                found.append(
                    lag_up(
                        bolts,
                        name=f"{carrier.name}_{number}_{i + 1}",
                        carrier=carrier,
                        section=board,
                        point=(snap((low[0] + high[0]) / 2), y, high[2]),
                        slot=slot_travel(away, board.species, board.rings, seasons) if i else 0,
                    )
                )
    return found


__all__ = [
    "LEAST_BESIDE",
    "BoltSizes",
    "bolt_boards",
    "bolt_down",
    "bolt_slabs",
    "lag_up",
    "slot_travel",
]
