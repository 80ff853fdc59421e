"""Laminated tops: sections that pass the planer, dog holes, and the bolts that hold them."""

from __future__ import annotations

import itertools
import math
from typing import TYPE_CHECKING, Protocol

from treenail.generators.parts import slab
from treenail.joints.features import DogHoles, EdgeGlue
from treenail.joints.lag_bolt import LagBolt
from treenail.timber.errors import SpecError
from treenail.timber.fasteners import LAG_LENGTHS, lag_lead_hole, lag_size
from treenail.timber.frames import dot, snap
from treenail.timber.member import Face
from treenail.timber.moisture import movement, movement_coefficient

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping, Sequence

    from treenail.generators.bench import Seasons
    from treenail.generators.frame_spec import Bolts, Top
    from treenail.joints.base import Joint
    from treenail.timber.frames import Vec
    from treenail.timber.member import Member
    from treenail.timber.species import Species

#: Wood kept between a hole and a glue line between sections, mm (our own choice).
CLEAR_OF_GLUE_LINE = 12.0
#: Share of the top's thickness that a lag bolt is to reach into (common practice: two thirds).
EMBEDMENT = 2.0 / 3.0
#: Spare travel in a slot beyond the computed movement, mm (our own choice).
SLOT_ROOM = 1.0
#: Least wood beside a slotted counterbore before the narrow washer is taken, mm (our choice).
LEAST_BESIDE = 6.0
#: Roles of what makes up the working surface.
TOP_ROLES = ("top section", "well rail")
#: Roles of boards across its ends.
END_ROLES = ("breadboard end", "end cap")
#: Sections nearer than this make one slab, mm.
TOUCHING = 1e-6


def section_edges(
    depth: float,
    planer: float,
    wanted: int | None,
    keep_clear: Iterable[float],
    say: Callable[[float], str],
) -> tuple[float, ...]:
    """Where sections of a top meet, from its front edge, mm; first 0, last ``depth``.

    The fewest equal sections that pass the planer; a glue line that would come within
    ``CLEAR_OF_GLUE_LINE`` of a row of holes (``keep_clear``) is moved the least it needs.
    SpecError where no division passes (``say`` writes its lengths).
    """
    fewest = wanted or math.ceil(depth / planer - 1e-9)
    edges = divided(depth, planer, wanted, keep_clear)
    if edges is not None:
        return edges
    raise SpecError(
        f"a top {say(depth)} deep does not divide into "
        f"{wanted or fewest} sections that pass a {say(planer)} planer and keep glue lines "
        f"{say(CLEAR_OF_GLUE_LINE)} off the holes",
        field="top.sections",
        allowed="more sections, or auto",
    )


def no_line_over(starts: Iterable[float], wide: float) -> list[float]:
    """Lines so dense that no glue line comes between, over pieces ``wide`` mm from each start."""
    steps = math.ceil(wide / CLEAR_OF_GLUE_LINE)
    return [snap(y + wide * i / steps) for y in starts for i in range(steps + 1)]


def divided(
    depth: float,
    widest: float,
    wanted: int | None,
    keep_clear: Iterable[float],
    clear: float = CLEAR_OF_GLUE_LINE,
) -> tuple[float, ...] | None:
    """A depth in the fewest (or ``wanted``) parts up to ``widest``, their bounds off holes; mm."""
    holes = sorted(keep_clear)
    fewest = wanted or math.ceil(depth / widest - 1e-9)
    for count in range(fewest, (wanted or fewest + 3) + 1):
        inner = [_nearest_clear(depth * i / count, holes, depth, clear) for i in range(1, count)]
        edges = [0.0, *inner, depth]
        widths = [b - a for a, b in itertools.pairwise(edges)]
        if min(widths) > 20.0 and max(widths) <= widest + 1e-9:
            return tuple(snap(e) for e in edges)
    return None


def _nearest_clear(nominal: float, holes: Sequence[float], depth: float, clear: float) -> float:
    def is_clear(y: float) -> bool:
        return all(abs(y - h) >= clear - 1e-9 for h in holes)

    if is_clear(nominal):
        return nominal
    spots = [h + side * clear for h in holes for side in (-1.0, 1.0)]
    fitting = [y for y in spots if 0.0 < y < depth and is_clear(y)]
    return min(fitting, key=lambda y: (abs(y - nominal), y), default=nominal)


def laminated_top(
    top: Top,
    *,
    length: float,
    height: float,
    edges: Sequence[float],
    species: Species,
) -> tuple[tuple[Member, ...], tuple[EdgeGlue, ...]]:
    """The sections of a solid top from front to back, and the glue lines between them."""
    if top.kind != "solid":
        raise SpecError(
            f"a {top.kind} top can't be built on this bench", field="top.kind", allowed="solid"
        )
    return laminated_slab(top, span=(0.0, length), height=height, edges=edges, species=species)


class Strips(Protocol):
    """What a slab is glued up from, mm."""

    @property
    def thickness(self) -> float:
        """Of the slab."""

    @property
    def strip(self) -> float:
        """Finished width of one strip."""

    @property
    def rings(self) -> str:
        """Growth rings across the slab."""


def laminated_slab(
    top: Strips,
    *,
    span: tuple[float, float],
    height: float,
    edges: Sequence[float],
    species: Species,
    first: int = 1,
) -> tuple[tuple[Member, ...], tuple[EdgeGlue, ...]]:
    """The sections of one slab and their glue lines.

    Args:
        top: the spec's section.
        span: from where to where along the bench, tongues and tenons included, mm.
        height: of the working surface, mm.
        edges: where sections meet, from the bench's front; first and last are the slab's.
        species: its wood.
        first: number of the first section; glue lines bear that of the section before them.
    """
    low, high = span
    sections = tuple(
        slab(
            f"top_section_{i}",
            role="top section",
            corner=(high, front, height),
            length=snap(high - low),
            width=snap(back - front),
            thickness=top.thickness,
            species=species,
            plies=max(1, math.ceil((back - front) / top.strip - 1e-9)),
            rings=top.rings,  # type: ignore[arg-type]  # checked by the spec's choices
            assembly="top",
        )
        for i, (front, back) in enumerate(itertools.pairwise(edges), start=first)
    )
    glue = tuple(
        EdgeGlue(name=f"glue_line_{i}", first=a, second=b)
        for i, (a, b) in enumerate(itertools.pairwise(sections), start=first)
    )
    return sections, glue


def section_at(sections: Sequence[Member], y: float) -> Member:
    """The section over a distance from the bench's front edge, mm."""
    for section in sections:
        low, high = section.bounds()
        if low[1] <= y <= high[1]:
            return section
    raise SpecError(f"there is no top {y:g} mm from the front edge", field="top")


def dog_hole_rows(
    sections: Sequence[Member],
    *,
    rows: Sequence[float],
    start: float,
    stop: float,
    pitch: float,
    diameter: float,
) -> tuple[Joint, ...]:
    """Rows of dog holes: ``rows`` in mm from the front, centred between ``start`` and ``stop``."""
    return dog_holes_at(
        sections, rows=rows, xs=hole_places(start, stop, pitch, diameter), diameter=diameter
    )


def hole_places(start: float, stop: float, pitch: float, diameter: float) -> list[float]:
    """Centres of a row of holes along the bench, centred between ``start`` and ``stop``, mm."""
    room = stop - start - 2 * diameter
    if room < 0.0:
        return []
    count = math.floor(room / pitch + 1e-9) + 1
    first = (start + stop - (count - 1) * pitch) / 2
    return [first + k * pitch for k in range(count)]


def dog_holes_at(
    sections: Sequence[Member], *, rows: Sequence[float], xs: Sequence[float], diameter: float
) -> tuple[Joint, ...]:
    """Rows of dog holes: ``rows`` in mm from the front, each with holes at ``xs``."""
    found = []
    for i, y in enumerate(rows if xs else (), start=1):
        section = section_at(sections, y)
        frame = section.placement.place(section.face_frame(Face.FACE_SIDE))
        height = section.placement.origin[2]
        points = [frame.local_point((x, y, height)) for x in xs]
        found.append(
            DogHoles(
                name=f"dog_holes_{i}",
                member=section,
                face=Face.FACE_SIDE,
                diameter=diameter,
                points=tuple(sorted((snap(p[0]), snap(p[1])) for p in points)),
            )
        )
    return tuple(found)


def hole_spans(joints: Iterable[Joint]) -> list[tuple[float, float]]:
    """From where to where along the bench each dog hole reaches, mm."""
    found = set()
    for joint in joints:
        if isinstance(joint, DogHoles):
            frame = joint.member.placement.place(joint.member.face_frame(joint.face))
            for x, y in joint.points:
                at = snap(frame.point((x, y, 0.0))[0])
                found.add((snap(at - joint.diameter / 2), snap(at + joint.diameter / 2)))
    return sorted(found)


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


def slab_of(sections: Sequence[Member], section: Member) -> tuple[Member, ...]:
    """The sections, front to back, that touch each other and so make one slab with this one."""
    slabs: list[list[Member]] = []
    for member in sorted(sections, key=lambda m: m.bounds()[0][1]):
        if slabs and member.bounds()[0][1] - slabs[-1][-1].bounds()[1][1] <= TOUCHING:
            slabs[-1].append(member)
        else:
            slabs.append([member])
    return next(tuple(s) for s in slabs if section in s)
