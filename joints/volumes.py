"""What is left of a member after its cuts, in closed form and without a kernel.

Cutters become blocks (boxes square to the member), sweeps (a plane outline along one of the
member's axes), solids with a formula of their own (bevels and cones), and boxes and prisms that
lie aslant. The volume that goes is the blocks' union, plus each bundle of parallel sweeps outside
the blocks (plane areas, slab by slab) and what lies aslant outside them, less what sweeps along
different axes share outside the blocks. Round holes that lie aslant, or that something aslant
cuts, are integrals over their section (``joints.round_solids``). Only what crossing sweeps share
is an integral without a closed form in general (holes of two diameters that cross: elliptic); it
is smooth between known breaks, and is summed to the last digits of a float. Equal holes whose axes
meet give 16 r³/3.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from treenail.joints import aslant
from treenail.joints.aslant import Bevel, Leaning, NoClosedForm
from treenail.joints.blocks import Box, hull, overlap, size_of
from treenail.joints.cutters import (
    BevelCutter,
    BoreCutter,
    BoxCutter,
    ConeCutter,
    Cutter,
    FilletCutter,
    PrismCutter,
    SlotCutter,
    TurnedCutter,
)
from treenail.joints.outlines import (
    TOUCH,
    Polygon,
    Round,
    Shape,
    Spandrel,
    circle_rectangle_area,
    clear_opening,
    crescent_area,
    lens_area,
    stadium_rectangle_area,
)
from treenail.joints.round_solids import RoundSolid, cone_of, rounds_of
from treenail.joints.sweeps import Sweep, Tangled, bundle_volume, bundles, crossings
from treenail.timber.frames import Frame, Vec

if TYPE_CHECKING:
    from collections.abc import Sequence

    from treenail.joints.cuts import Cut
    from treenail.joints.polytopes import Solid
    from treenail.timber.member import Member

__all__ = [
    "NoClosedForm",
    "circle_rectangle_area",
    "clear_opening",
    "crescent_area",
    "lens_area",
    "net_volume",
    "stadium_rectangle_area",
]


@dataclass(frozen=True, slots=True)
class _Aslant:
    solids: tuple[Solid, ...]
    rounds: tuple[RoundSolid, ...] = ()


def net_volume(member: Member, cuts: Sequence[Cut]) -> float:
    """Volume in mm³ of ``member`` after ``cuts``.

    Raises NoClosedForm, naming the cuts, where they meet in a way that has none here: two round
    holes that cross, one of them tilted to the member's axes; a cone that a plane cuts lengthwise;
    three sweeps in one place, one of them round; something that reaches into a bevel; a peg with
    other cuts than ends sawn aslant.
    """
    if member.round_section:
        return aslant.peg_volume(member, cuts)
    stock: Box = ((0.0, 0.0, 0.0), member.size)
    blocks: list[Box] = []
    sweeps: list[Sweep] = []
    bevels: list[Bevel] = []
    labels: list[str] = []
    tilted: list[Solid] = []
    rounds: list[RoundSolid] = []
    for cut in cuts:
        label = f"{cut.joint} {cut.purpose}".strip()
        for cutter in cut.cutters(member):
            part = _read(cutter, label, member, stock)
            if isinstance(part, Sweep):
                sweeps.append(part)
            elif isinstance(part, _Aslant):
                tilted += part.solids
                rounds += part.rounds
            elif isinstance(part, Bevel):
                bevels.append(part)
            elif part is not None:
                blocks.append(part)
                labels.append(label)
    leaning = Leaning(member, stock, tilted, rounds)
    bevels, sweeps = leaning.keep_straight(bevels, blocks, sweeps)
    if tilted or rounds:
        sweeps = leaning.keep_sweeps(sweeps, bevels)
    _keep_off_bevels(member, bevels, [*zip(labels, blocks, strict=True)], sweeps)
    _keep_off_bevels(member, [*bevels, *leaning.turned], (), ())
    shared, sweeps = _shared(leaning, sweeps, blocks, bevels)
    gone = [leaning.gone(blocks), *(bevel.volume for bevel in bevels)]
    gone += [bundle_volume(bundle, blocks, stock) for bundle in bundles(sweeps)]
    gone += [-volume for volume in shared]
    return math.fsum([member.stock_volume, *(-volume for volume in gone)])


# --- from cutters to blocks, sweeps and bevels


def _axis(direction: Vec) -> int | None:
    """The member axis along which a unit direction lies (either way), if any."""
    for i in range(3):
        if abs(direction[(i + 1) % 3]) < TOUCH and abs(direction[(i + 2) % 3]) < TOUCH:
            return i
    return None


def _shared(
    leaning: Leaning,
    sweeps: list[Sweep],
    blocks: Sequence[Box],
    bevels: Sequence[Bevel],
) -> tuple[list[float], list[Sweep]]:
    """What sweeps that cross share, and the sweeps left.

    Where three meet in one place, those with plane sides join the tilted solids.
    """
    while True:
        try:
            return crossings(sweeps, blocks), sweeps
        except Tangled as knot:
            flat = [s for s in knot.sweeps if isinstance(s.cutter, PrismCutter)]
            if not flat:
                one, other, third = (s.label for s in knot.sweeps)
                raise NoClosedForm(
                    f"{leaning.member.name}: no closed form where {one} and {other} cross, "
                    f"because {third} is there too"
                ) from None
            for sweep in flat:
                leaning.take(sweep)
            sweeps = leaning.keep_sweeps([s for s in sweeps if s not in flat], bevels)


def _read(
    cutter: Cutter, label: str, member: Member, stock: Box
) -> Box | _Aslant | Sweep | Bevel | None:
    """A cutter clipped to the stock; None if it misses the stock."""
    frame = cutter.frame
    if isinstance(cutter, BevelCutter):
        return _bevel(cutter, label, member, stock)
    if isinstance(cutter, TurnedCutter):
        return _turned(cutter, label, member, stock)
    if isinstance(cutter, ConeCutter):
        return _cone(cutter, label, member, stock)
    if isinstance(cutter, BoxCutter):
        axes = [_axis(d) for d in (frame.x, frame.y, frame.z)]
        if None not in axes:
            return overlap(hull([frame.origin, frame.point(cutter.size)]), stock)
        # Turned about one of the member's axes: the same thing is a prism along that axis.
        lone = next((i for i, axis in enumerate(axes) if axis is not None), None)
        if lone is not None:
            turned = (frame.x, frame.y, frame.z)
            i, j = (lone + 1) % 3, (lone + 2) % 3
            frame = Frame(frame.origin, turned[i], turned[j], turned[lone])
            a, b = cutter.size[i], cutter.size[j]
            cutter = PrismCutter(frame, ((0.0, 0.0), (a, 0.0), (a, b), (0.0, b)), cutter.size[lone])
    axis = _axis(frame.z)
    if axis is None or isinstance(cutter, BoxCutter):
        parts = aslant.parts_of(cutter, label, stock)
        if parts is None:
            raise NoClosedForm(
                f"{member.name}: no closed form for {label}, which lies aslant to the member"
            )
        rounds, solids = parts
        return _Aslant(solids, rounds) if rounds or solids else None
    return _sweep(cutter, frame, axis, label, stock)


def _sweep(
    cutter: BoreCutter | SlotCutter | PrismCutter | FilletCutter,
    frame: Frame,
    axis: int,
    label: str,
    stock: Box,
) -> Sweep | None:
    u, v = (axis + 1) % 3, (axis + 2) % 3

    def flatten(x: float, y: float) -> tuple[float, float]:
        point = frame.point((x, y, 0.0))
        return (point[u], point[v])

    shape: Shape
    if isinstance(cutter, PrismCutter):
        shape = Polygon(tuple(flatten(x, y) for x, y in cutter.points))
    elif isinstance(cutter, SlotCutter):
        half = cutter.centres / 2.0
        shape = Round(flatten(-half, 0.0), flatten(half, 0.0), cutter.width / 2.0)
    elif isinstance(cutter, FilletCutter):
        diagonal = [a + b for a, b in zip(frame.x, frame.y, strict=True)]
        if _axis(frame.x) is None:
            raise NoClosedForm(f"no closed form for {label}: its edge's faces stand aslant")
        ways = (math.copysign(1.0, diagonal[u]), math.copysign(1.0, diagonal[v]))
        shape = Spandrel(flatten(0.0, 0.0), ways, cutter.radius)
    else:
        centre = flatten(0.0, 0.0)
        shape = Round(centre, centre, cutter.diameter / 2.0)
    outline = shape.outline()
    ends = sorted((frame.origin[axis], frame.point((0.0, 0.0, cutter.depth))[axis]))
    low, high = [0.0] * 3, [0.0] * 3
    low[axis], high[axis] = ends
    low[u], low[v], high[u], high[v] = outline.box
    box = overlap(((low[0], low[1], low[2]), (high[0], high[1], high[2])), stock)
    return None if box is None else Sweep(label, axis, shape, outline, box, cutter)


def _bevel(cutter: BevelCutter, label: str, member: Member, stock: Box) -> Bevel:
    frame, leg = cutter.frame, cutter.leg
    wide, thick = cutter.width, cutter.thickness
    if None in [_axis(d) for d in (frame.x, frame.y, frame.z)] or 2.0 * leg > min(wide, thick):
        raise NoClosedForm(f"{member.name}: no closed form for {label}: aslant, or legs that meet")
    zone = hull([frame.origin, frame.point((wide, thick, leg))])
    core = hull([frame.point((leg, leg, 0.0)), frame.point((wide - leg, thick - leg, leg))])
    within = overlap(zone, stock)
    if within is None or size_of(within) < size_of(zone) * (1.0 - 1e-12):
        raise NoClosedForm(f"{member.name}: no closed form for {label}, which leaves the stock")
    # The zone less the frustum: the integral of w t - (w - 2s)(t - 2s) over s from 0 to the leg.
    ring = leg * leg * (wide + thick - 4.0 * leg / 3.0)
    return Bevel(label, zone, core, ring)


def _frustum(first: float, last: float, height: float) -> float:
    """Volume of a frustum between two diameters."""
    return math.pi / 12.0 * height * (first * first + first * last + last * last)


def _turned(cutter: TurnedCutter, label: str, member: Member, stock: Box) -> Bevel:
    """What leaves an end that is turned to a cone; nothing else may reach into it."""
    frame, (x, y), r = cutter.frame, cutter.centre, max(cutter.base, cutter.tip) / 2.0
    zone = hull([frame.origin, frame.point((cutter.width, cutter.thickness, cutter.length))])
    round_part = hull(
        [frame.point((x - r, y - r, 0.0)), frame.point((x + r, y + r, cutter.length))]
    )
    if None in [_axis(d) for d in (frame.x, frame.y, frame.z)] or not (
        _holds(stock, zone) and _holds(zone, round_part)
    ):
        raise NoClosedForm(f"{member.name}: no closed form for {label}: it leaves the stock")
    gone = size_of(zone) - _frustum(cutter.tip, cutter.base, cutter.length)
    return Bevel(label, zone, _nowhere(zone), gone, cone_of(cutter, label))


def _cone(cutter: ConeCutter, label: str, member: Member, stock: Box) -> Bevel | _Aslant | None:
    """A conical hole along one of the member's axes, as far as it lies in the stock."""
    frame, axis = cutter.frame, _axis(cutter.frame.z)
    rounds, _ = rounds_of(cutter, label)
    if axis is None:
        return _Aslant((), rounds)
    at, way = frame.origin[axis], math.copysign(1.0, frame.z[axis])
    near, far = sorted(way * (level - at) for level in (stock[0][axis], stock[1][axis]))
    near, far = max(near, 0.0), min(far, cutter.depth)
    if far - near <= TOUCH:
        return None
    slope = (cutter.end - cutter.start) / cutter.depth
    first, last = (cutter.start + slope * z for z in (near, far))
    r = max(first, last) / 2.0
    reach = [frame.point((s, s, z)) for s in (-r, r) for z in (near, far)]
    zone = hull([*reach, frame.point((-r, r, near)), frame.point((r, -r, near))])
    if not _holds(stock, zone):
        raise NoClosedForm(f"{member.name}: no closed form for {label}, which breaks out")
    gone = _frustum(first, last, far - near)
    return Bevel(label, zone, _nowhere(zone), gone, rounds[0])


def _holds(outer: Box, inner: Box) -> bool:
    """Whether a box lies in another."""
    return all(
        a <= c + TOUCH and b >= d - TOUCH
        for a, b, c, d in zip(outer[0], outer[1], inner[0], inner[1], strict=True)
    )


def _nowhere(zone: Box) -> Box:
    """An empty core."""
    return (zone[0], zone[0])


def _keep_off_bevels(
    member: Member,
    bevels: Sequence[Bevel],
    blocks: Sequence[tuple[str, Box]],
    sweeps: Sequence[Sweep],
) -> None:
    """Refuse whatever reaches into a bevel's ring (its core may be used)."""
    for i, bevel in enumerate(bevels):
        others = [*blocks, *((s.label, s.box) for s in sweeps)]
        others += [(b.label, b.zone) for b in bevels[:i]]
        for label, box in others:
            shared = overlap(bevel.zone, box)
            if shared is None:
                continue
            core = overlap(shared, bevel.core)
            if core is None or size_of(core) < size_of(shared) * (1.0 - 1e-12):
                raise NoClosedForm(
                    f"{member.name}: no closed form where {label} reaches into {bevel.label}"
                )
