"""Tops of every kind from one spec: a slab, two slabs with a loose strip, a slab and a tool well.

Each slab moves with the seasons from a line of its own, where posts or bolts hold it. What lies
between two slabs is sized so that it stays loose at the wettest and in its place at the driest.
Plan coordinates as in ``frame_layout``; all mm.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from treenail.generators.end_boards import EndMaker, Held, plan_ends
from treenail.generators.gap_strip import gap_strip
from treenail.generators.parts import BACK, slab
from treenail.generators.top_place import HOLD, SPARE, slab_spans, towards
from treenail.generators.tops import laminated_slab, section_edges
from treenail.joints.edges import PanelGroove
from treenail.joints.features import Bearing
from treenail.timber.errors import SpecError
from treenail.timber.frames import snap

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from treenail.generators.frame_spec import Top
    from treenail.generators.top_place import Place
    from treenail.joints.base import Joint
    from treenail.timber.member import Member

INCH = 25.4
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
        others, more = gap_strip(top, place, front, back, inner)
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
        boards, more = EndMaker(top, plan, place, held).make()

        others += boards
        joints += more
    return BuiltTop(sections=tuple(sections), others=tuple(others), joints=tuple(joints))


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


__all__ = ["BuiltTop", "build_top"]
