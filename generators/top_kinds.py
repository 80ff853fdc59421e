"""Tops of every kind from one spec: a slab, two slabs with a loose strip, a slab and a tool well.

Each slab moves with the seasons from a line of its own, where posts or bolts hold it. What lies
between two slabs is sized so that it stays loose at the wettest and in its place at the driest.
Plan coordinates as in ``frame_layout``; all mm.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

from treenail.generators.end_boards import EndMaker, Held, plan_ends
from treenail.generators.parts import BACK, slab
from treenail.generators.tops import laminated_slab, section_edges
from treenail.joints.edges import PanelGroove
from treenail.joints.features import Bearing, EdgeGlue
from treenail.timber.errors import SpecError
from treenail.timber.frames import snap
from treenail.timber.moisture import movement_coefficient

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from treenail.generators.bench import Seasons
    from treenail.generators.frame_spec import Top
    from treenail.generators.top_spec import OpenWell, Parting
    from treenail.joints.base import Joint
    from treenail.timber.member import Member
    from treenail.timber.species import Species

INCH = 25.4
#: Room that loose parts keep beyond the computed movement, mm (our own choice).
SPARE = 1.0
#: Least wood that a strip or a bottom must still stand on at the driest, mm (our own choice:
#: 1/8 in).
HOLD = INCH / 8
#: Share of the gap that each ledge takes (our own choice).
LEDGE_SHARE = 1.0 / 3.0
#: Wood left below the groove of a well's bottom (our own choice: 3/8 in), and the least of it, mm.
BELOW, LEAST_BELOW = 3 * INCH / 8, 6.0
#: How deep a well's bottom stands in each groove, and at most, mm (our own choice).
IN_GROOVE, MOST_IN_GROOVE = 3 * INCH / 8, INCH
#: Thickness of the blocks that close a well's ends, and of their wood, mm (our own choice).
BLOCK = INCH


@dataclass(frozen=True, slots=True, kw_only=True)
class BuiltTop:
    """A top's members and joints.

    Attributes:
        sections: what posts and bolts hold, from front to back.
        others: what lies between and beside them.
        joints: of all of these.
    """

    sections: tuple[Member, ...]
    others: tuple[Member, ...]
    joints: tuple[Joint, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Where a top goes, and what it is made of.

    Attributes:
        length, depth, height: of the bench, mm.
        lines: where the front and the back of it are held, from the front edge, mm.
        cover: width of rail that covers the back posts, mm.
        species: its wood.
        peg_species: of pegs in it.
        seasons: moisture contents.
        step: sizes that are worked out come in steps of this, mm.
        say: writes a length.
    """

    length: float
    depth: float
    height: float
    lines: tuple[float, float]
    cover: float
    species: Species
    peg_species: Species
    seasons: Seasons
    step: float
    say: Callable[[float], str]

    def down(self, value: float) -> float:
        """A size rounded down to a step."""
        return snap(math.floor(value / self.step + 1e-9) * self.step)

    def up(self, value: float) -> float:
        """A size rounded up to a step."""
        return snap(math.ceil(value / self.step - 1e-9) * self.step)

    def swells(self, size: float, rings: str) -> float:
        """How much so much wood grows from the build to the wettest, mm."""
        c = movement_coefficient(self.species, rings)  # type: ignore[arg-type]
        return size * c * max(self.seasons.wettest - self.seasons.at_build, 0.0)

    def shrinks(self, size: float, rings: str) -> float:
        """How much it shrinks from the build to the driest, mm."""
        c = movement_coefficient(self.species, rings)  # type: ignore[arg-type]
        return size * c * max(self.seasons.at_build - self.seasons.driest, 0.0)


class Parted(Protocol):
    """What a spec says of where a top is parted, mm."""

    @property
    def kind(self) -> str:
        """``solid``, ``split`` or ``well``."""

    @property
    def split(self) -> Parting:
        """Of a split one."""

    @property
    def well(self) -> OpenWell:
        """Of one with a well."""

    @property
    def rings(self) -> str:
        """Growth rings across it."""


def refuse_kind(kind: str, allowed: Sequence[str], why: str) -> None:
    """Refuse a kind of top that a family can't have; SpecError says why."""
    if kind not in allowed:
        raise SpecError(
            f"{kind!r} does not go with this bench: {why}",
            field="top.kind",
            allowed=", ".join(allowed),
        )


def slab_spans(
    top: Parted, place: Place, rows: Sequence[float] = ()
) -> tuple[tuple[float, float], ...]:
    """From where to where each part of a top lies, from the front edge, mm.

    SpecError where a part is too narrow, or a row of dog holes lies over none.
    """
    spans = _spans(top, place)
    for y in rows:
        if not any(low < y < high for low, high in spans):
            raise SpecError(
                f"a row of dog holes {place.say(y)} from the front lies beside the slabs",
                field="top.dog_holes.setback",
                allowed="over a slab, or fewer rows",
            )
    return spans


def _spans(top: Parted, place: Place) -> tuple[tuple[float, float], ...]:
    depth, say = place.depth, place.say
    if top.kind == "solid":
        return ((0.0, depth),)
    if top.kind == "split":
        gap, front = top.split.gap, top.split.front
        front = snap((depth - gap) / 2) if front is None else front
        back, field, least = front + gap, "top.split.front", 80.0
    else:
        rail = place.cover if top.well.rail is None else top.well.rail
        back, field, least = depth - rail, "top.well.width", 20.0
        front = back - top.well.width
    if front < 80.0 or depth - back < least:
        raise SpecError(
            f"of a top {say(depth)} deep, {say(max(front, 0.0))} are left in front and "
            f"{say(max(depth - back, 0.0))} behind",
            field=field,
            allowed=f"what leaves {say(80.0)} in front and {say(least)} behind",
        )
    return ((0.0, snap(front)), (snap(back), depth))


def build_top(
    top: Top, place: Place, *, rows: Sequence[float] = (), keep_clear: Iterable[float] = ()
) -> BuiltTop:
    """A top of any kind.

    Args:
        top: the spec's section.
        place: where it goes.
        rows: of dog holes, from the front edge, mm.
        keep_clear: other lines that no glue line may come near, mm.

    Raises:
        SpecError: a size can't be met; the field is named.
    """
    spans = slab_spans(top, place, rows)
    plan = plan_ends(top, place.say)
    # Along the bench: what the boards leave, and what stands in them as well.
    inner, reach = (0.0, 0.0) if plan is None else (plan.width, plan.width - plan.length)
    sections: list[Member] = []
    joints: list[Joint] = []
    clear = [*rows, *keep_clear]
    slabs = spans[:1] if top.kind == "well" else spans
    for low, high in slabs:
        edges = section_edges(
            high - low, top.planer_width, top.sections, [y - low for y in clear], place.say
        )
        made, glue = laminated_slab(
            top,
            span=(snap(reach), snap(place.length - reach)),
            height=place.height,
            edges=[snap(low + e) for e in edges],
            species=place.species,
            first=len(sections) + 1,
        )
        sections += made
        joints += glue
    others: list[Member] = []
    held = [Held(sections=tuple(sections), line=place.lines[0])]
    if top.kind == "split":
        front = next(s for s in sections if abs(s.bounds()[1][1] - spans[0][1]) < 1e-6)
        back = next(s for s in sections if abs(s.bounds()[0][1] - spans[1][0]) < 1e-6)
        others, more = _gap_strip(top, place, front, back, inner)
        joints += more
        cut = sections.index(back)
        held = [
            Held(sections=tuple(sections[:cut]), line=place.lines[0]),
            Held(sections=tuple(sections[cut:]), line=place.lines[1]),
        ]
    elif top.kind == "well":
        rail = _rail(top, place, spans[1], reach)
        others, more = _well(top, place, sections[-1], rail, inner)
        sections.append(rail)
        joints += more
        held.append(Held(sections=(rail,), line=place.lines[1]))
    if plan is not None:
        boards, more = EndMaker(
            top,
            plan,
            size=(place.length, place.depth, place.height),
            held=held,
            wood=place.species,
            pegs=place.peg_species,
            seasons=place.seasons,
            say=place.say,
        ).make()
        others += boards
        joints += more
    return BuiltTop(sections=tuple(sections), others=tuple(others), joints=tuple(joints))


def towards(top: Parted, place: Place, low: float, high: float) -> tuple[float, float]:
    """(how much two slabs close a gap at the wettest, open it at the driest), mm."""
    moving = (abs(low - place.lines[0]), abs(high - place.lines[1]))
    return (
        sum(place.swells(away, top.rings) for away in moving),
        sum(place.shrinks(away, top.rings) for away in moving),
    )


# --- the split top


def _gap_strip(
    top: Top, place: Place, front: Member, back: Member, inner: float
) -> tuple[list[Member], list[Joint]]:
    """A ledge glued on the foot of both inner edges, and the strip that lies on them, flush."""
    low, high = front.bounds()[1][1], back.bounds()[0][1]
    gap, say = high - low, place.say
    closes, opens = towards(top, place, low, high)
    swell = 1.0 + place.swells(1.0, "flat")
    wide = place.down((gap - closes - SPARE) / swell)
    # Pushed against one slab, the strip must still stand on the other one's ledge.
    opening = gap + opens - wide + place.shrinks(wide, "flat")
    ledge = max(place.down(gap * LEDGE_SHARE), place.up((HOLD + opening) * 1.01))
    between = gap - 2 * ledge * swell - closes
    if between < SPARE:
        raise SpecError(
            f"the slabs close the gap by {say(closes)} in the damp and open it by {say(opens)} in "
            f"the dry: a strip in a gap of {say(gap)} jams or falls through",
            field="top.split.gap",
            allowed=f"{say(gap + 2 * (SPARE - between))} or so",
        )
    if top.thickness - top.split.ledge < 6.0:
        raise SpecError(
            f"ledges {say(top.split.ledge)} high leave {say(top.thickness - top.split.ledge)} for "
            "the strip",
            field="top.split.ledge",
            allowed=f"at most {say(top.thickness - 6.0)}",
        )
    foot = place.height - top.thickness + top.split.ledge

    def piece(name: str, role: str, y: float, width: float, z: float, thick: float) -> Member:
        return slab(
            name,
            role=role,
            corner=(snap(place.length - inner), snap(y), snap(z)),
            length=snap(place.length - 2 * inner),
            width=snap(width),
            thickness=snap(thick),
            species=place.species,
            plies=1,
            rings="flat",
            assembly="top",
        )

    ledges = (
        piece("top_ledge_front", "top ledge", low, ledge, foot, top.split.ledge),
        piece("top_ledge_back", "top ledge", high - ledge, ledge, foot, top.split.ledge),
    )
    strip = piece(
        "gap_strip",
        "gap strip",
        (low + high - wide) / 2,
        wide,
        place.height,
        top.thickness - top.split.ledge,
    )
    joints: list[Joint] = [
        EdgeGlue(name="ledge_front", first=front, second=ledges[0]),
        EdgeGlue(name="ledge_back", first=back, second=ledges[1]),
        Bearing(name="strip_on_front_ledge", below=ledges[0], above=strip),
        Bearing(name="strip_on_back_ledge", below=ledges[1], above=strip),
    ]
    return [*ledges, strip], joints


# --- the tool well


def _rail(top: Top, place: Place, span: tuple[float, float], reach: float) -> Member:
    low, high = span
    return slab(
        "well_rail",
        role="well rail",
        corner=(snap(place.length - reach), low, place.height),
        length=snap(place.length - 2 * reach),
        width=snap(high - low),
        thickness=top.thickness,
        species=place.species,
        plies=max(1, math.ceil((high - low) / top.strip - 1e-9)),
        rings=top.rings,  # type: ignore[arg-type]  # checked by the spec's choices
        assembly="top",
    )


def _well(
    top: Top, place: Place, front: Member, rail: Member, inner: float
) -> tuple[list[Member], list[Joint]]:
    """A bottom in grooves of slab and rail; and a block across each end, unless boards close it."""
    well, say = top.well, place.say
    low, high = front.bounds()[1][1], rail.bounds()[0][1]
    deep = top.thickness - well.bottom - BELOW if well.depth is None else well.depth
    below = top.thickness - deep - well.bottom
    if deep < 10.0 or below < LEAST_BELOW - 1e-9:
        field = "bottom" if well.depth is None else "depth"
        raise SpecError(
            f"a well {say(max(deep, 0.0))} deep with a bottom of {say(well.bottom)} leaves "
            f"{say(max(below, 0.0))} below it in a top {say(top.thickness)} thick",
            field=f"top.well.{field}",
            allowed=f"what leaves {say(LEAST_BELOW)} below a well {say(10.0)} deep or more",
        )
    closes, opens = towards(top, place, low, high)
    reach = IN_GROOVE
    while True:
        wide = high - low + 2 * reach
        room = place.up((closes + place.swells(wide, "flat") + SPARE) / 2)
        # When the bottom lies deep in one groove, it must still stand in the other.
        need = place.up(HOLD + room + opens + place.shrinks(wide, "flat"))
        if need <= reach + 1e-9:
            break
        reach = need
        if reach > MOST_IN_GROOVE:
            raise SpecError(
                f"over the year the well's bottom shifts so much that grooves {say(reach)} deep "
                "would not hold it",
                field="top.well.width",
                allowed="a narrower well, a quartered top, or a shallower slab",
            )

    def across(name: str, x: float) -> Member:
        return slab(
            name,
            role="well end",
            corner=(snap(x), snap(low - reach), place.height),
            length=snap(wide),
            width=BLOCK,
            thickness=snap(deep),
            species=place.species,
            plies=1,
            rings="quarter",
            assembly="top",
            along=BACK,
        )

    bottom = slab(
        "well_bottom",
        role="well bottom",
        corner=(snap(place.length - inner), snap(low - reach), snap(place.height - deep)),
        length=snap(place.length - 2 * inner),
        width=snap(wide),
        thickness=well.bottom,
        species=place.species,
        plies=1,
        rings="flat",
        assembly="top",
    )
    inset = place.up(2 * (reach + room) + SPARE)
    ends = (
        (
            across("well_end_left", inset),
            across("well_end_right", place.length - inset - BLOCK),
        )
        if inner == 0.0
        else ()
    )
    joints: list[Joint] = []
    for part, (edge, side) in itertools.product((bottom, *ends), ((front, "slab"), (rail, "rail"))):
        joints.append(
            PanelGroove(
                name=f"{part.name}_in_{side}",
                receiver=edge,
                entering=part,
                face=edge.face_towards((0.0, 1.0 if edge is front else -1.0, 0.0)),
                room=room,
                runs_into=part is not bottom,
                runs_out=not ends,
            )
        )
    joints += [Bearing(name=f"{end.name}_on_bottom", below=bottom, above=end) for end in ends]
    return [bottom, *ends], joints


__all__ = [
    "HOLD",
    "SPARE",
    "BuiltTop",
    "Place",
    "build_top",
    "refuse_kind",
    "slab_spans",
    "towards",
]
