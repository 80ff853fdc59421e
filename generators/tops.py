"""Laminated tops: sections that pass the planer, and dog holes."""

from __future__ import annotations

import itertools
import math
from typing import TYPE_CHECKING, Protocol

from treenail.generators.parts import slab
from treenail.joints.features import DogHoles, EdgeGlue
from treenail.timber.errors import SpecError
from treenail.timber.frames import snap
from treenail.timber.member import Face

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from treenail.joints.base import Joint
    from treenail.timber.member import Member
    from treenail.timber.species import Species

#: Wood kept between a hole and a glue line between sections, mm (our own choice).
CLEAR_OF_GLUE_LINE = 12.0
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


def slab_of(sections: Sequence[Member], section: Member) -> tuple[Member, ...]:
    """The sections, front to back, that touch each other and so make one slab with this one."""
    slabs: list[list[Member]] = []
    for member in sorted(sections, key=lambda m: m.bounds()[0][1]):
        if slabs and member.bounds()[0][1] - slabs[-1][-1].bounds()[1][1] <= TOUCHING:
            slabs[-1].append(member)
        else:
            slabs.append([member])
    return next(tuple(s) for s in slabs if section in s)
