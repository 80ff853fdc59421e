"""The hollow-chisel mortiser: chisel, fence, depth, stops, and the order of the plunges."""

from __future__ import annotations

import math
from dataclasses import dataclass

from treenail.checks.making import MEET, ONE_PASS
from treenail.joints.cuts import Mortise
from treenail.shop.setups.lay import across, distance_from, lies, near_end_left, reference_beside
from treenail.shop.setups.model import CutAt, Option, Setting, Task, fine
from treenail.shop.setups.work import Job, Work, tilt
from treenail.timber.errors import SpecError
from treenail.timber.frames import snap
from treenail.timber.member import Face

__all__ = ["CAUTIONS", "Plunges", "extent_along", "plunges", "tasks"]

_SAME = 1e-6
#: A second row this little aside cuts on one side only, and drifts, mm (our own choice).
_SHAVING = 3.0

CAUTIONS = ("A chisel that smokes is blunt, or packed with chips: stop and clear it.",)


@dataclass(frozen=True, slots=True)
class Plunges:
    """The plunges of one mortise.

    Attributes:
        at: distance of each plunge's near side from the mortise's near end, mm, in order of work.
        first: how many of them cut solid wood; the rest clear the bridges between.
    """

    at: tuple[float, ...]
    first: int


def plunges(length: float, chisel: float) -> Plunges:
    """Where a chisel goes in, in order: both ends, then every other one, then the bridges.

    So each plunge has either solid wood on both sides or none, and is not pushed aside. Both in
    mm; SpecError for a mortise shorter than the chisel is wide.
    """
    if length < chisel - _SAME:
        raise SpecError(f"a chisel of {chisel:g} mm cuts no mortise of {length:g} mm")
    if length <= chisel + _SAME:
        return Plunges((0.0,), 1)
    count = math.ceil(length / chisel - 1e-9)
    if count == 2:
        return Plunges((0.0, snap(length - chisel)), 2)
    count += count % 2 == 0
    step = (length - chisel) / (count - 1)
    solid = [0, count - 1, *range(2, count - 1, 2)]
    bridges = list(range(1, count - 1, 2))
    if 2 * step <= chisel + _SAME:
        bridges = []  # what stands between is gone already
    return Plunges(tuple(snap(i * step) for i in (*solid, *bridges)), len(solid))


def extent_along(work: Work, job: Job, cut: Mortise) -> tuple[float, float]:
    """From where to where a pocket runs along the grain, from the near end, mm.

    A haunch's socket is cut only where the joint's own mortise isn't already.
    """
    middle = cut.frame.origin[0]
    half = (cut.width if across(cut) else cut.length) / 2
    low, high = middle - half, middle + half
    if cut.purpose != "haunch socket":
        return snap(low), snap(high)
    for other in work.bench.cuts[job.member.name]:
        if isinstance(other, Mortise) and other.joint == cut.joint and other.purpose == "mortise":
            x, reach = other.frame.origin[0], other.length / 2
            if x > middle:
                high = min(high, x - reach)
            else:
                low = max(low, x + reach)
    return snap(low), snap(high)


def tasks(work: Work) -> list[Task]:
    """Every mortise and socket that the mortiser cuts."""
    found: list[Task] = []
    for job in work.by("mortiser"):
        if isinstance(job.cut, Mortise):
            found += _tasks(work, job, job.cut)
    return found


def _tasks(work: Work, job: Job, cut: Mortise) -> list[Task]:
    m = work.machines.mortiser
    narrow = min(cut.width, cut.length)
    chisel = max(c for c in m.chisels if c <= narrow + _SAME)
    passes = 1 if narrow - chisel <= ONE_PASS else math.ceil(narrow / chisel - _SAME)
    reference = reference_beside(cut.face)
    middle = distance_from(job.member, cut, reference)
    whole = job.member.extent(reference)
    spread = narrow - chisel if passes > 1 else 0.0
    offsets = [spread * (i / (passes - 1) - 0.5) if passes > 1 else 0.0 for i in range(passes)]
    high = job.member.extent(cut.face)
    two_sided = cut.through and cut.depth > m.reach + _SAME
    sides = [(cut.face, high / 2 + MEET / 2)] if two_sided else [(cut.face, cut.depth)]
    if two_sided:
        sides.append((cut.face.opposite, high / 2 + MEET / 2))
    found = []
    for up, depth in sides:
        for offset in offsets:
            ways = [(reference, middle + offset, 0.0)]
            if passes > 1 and abs(middle - whole / 2) < _SAME:
                ways.append((reference.opposite, whole - middle - offset, 0.5))
            options = tuple(
                _option(work, job, cut, _Way(up, face, snap(at), depth, chisel, cost))
                for face, at, cost in ways
            )
            found.append(
                Task(
                    options=options,
                    work=f"{cut.purpose}s",
                    test_cut=_test_cut(work, cut, middle, narrow),
                    steps=_steps(work, chisel),
                    remarks=_remarks(
                        cut, spread=spread, passes=passes, ways=len(ways), two_sided=two_sided
                    ),
                )
            )
    return found


@dataclass(frozen=True, slots=True)
class _Way:
    up: Face
    fence: Face
    at: float
    depth: float
    chisel: float
    cost: float


def _option(work: Work, job: Job, cut: Mortise, way: _Way) -> Option:
    low, high = extent_along(work, job, cut)
    run = high - low
    order = ""
    if not across(cut) and run > way.chisel + _SAME:
        order = _order(work, plunges(run, way.chisel), way.chisel, low)
    side = "left" if near_end_left(way.up, way.fence) else "right"
    return Option(
        settings=(
            Setting(name="chisel", value=way.chisel, measured_from="across its sides"),
            *tilt(cut),
            Setting(
                name="fence",
                value=None if across(cut) else way.at,
                text="to the lines, plunge by plunge" if across(cut) else "",
                measured_from="fence to the middle of the chisel: the mortise's centre line from "
                "the face against the fence",
            ),
            Setting(
                name="depth",
                value=way.depth,
                measured_from="upper face of the piece to the chisel's corners",
            ),
        ),
        cut=CutAt(
            member=job.member.name,
            joint=cut.joint,
            purpose=cut.purpose,
            face=str(way.up),
            how=lies(way.up, way.fence),
        ),
        stop=low,
        stop_from=f"near end ({side}) to the chisel's side toward it, first plunge",
        marks=(("mortise from", low), ("to", high)),
        order=order,
        cost=way.cost,
    )


def _order(work: Work, p: Plunges, chisel: float, low: float) -> str:
    say = work.say

    def at(values: tuple[float, ...]) -> str:
        return ", ".join(say(low + v) for v in values)

    text = f"both ends first ({at(p.at[:2])})"
    if p.first > 2:
        text += f", then in between in solid wood ({at(p.at[2 : p.first])})"
    if len(p.at) > p.first:
        text += f", then the bridges ({at(p.at[p.first :])})"
    elif p.first == 2 and p.at[1] < chisel:
        text += "; the second one overlaps the first: plunge it slowly"
    return text + "; each figure is the plunge's side toward the near end"


def _steps(work: Work, chisel: float) -> tuple[str, ...]:
    return (
        (
            "Mark the face side and face edge on every piece; every mortise of this setting before "
            "the fence or the depth is touched."
        ),
        (
            "Ends first, then the middle, then alternate plunges with a bridge thinner than the "
            f"{work.say(chisel)} chisel between; the bridges last."
        ),
        "Down in bites, up to clear the chips; the last of a through mortise into a scrap.",
    )


def _test_cut(work: Work, cut: Mortise, middle: float, narrow: float) -> str:
    small = fine(work.bench.units)
    wall = middle - narrow / 2
    return (
        f"In a scrap of the same section: the wall toward the fence {small(wall)}, the mortise "
        f"{small(narrow)} wide, {work.say(cut.depth)} deep; the walls of a row of plunges in one "
        "line, or the chisel is not square to the fence."
    )


def _remarks(
    cut: Mortise, *, spread: float, passes: int, ways: int, two_sided: bool
) -> tuple[str, ...]:
    found = []
    if passes > 1:
        found.append(
            "Wider than the chisel: "
            + (
                "one row of plunges, then turn the piece end for end, other face to the fence, "
                "and the second row at the same setting; it comes out in the middle."
                if ways > 1
                else f"{passes} rows of plunges, the fence moved between them."
            )
        )
    if 0.0 < spread < _SHAVING:
        found.append("The second row only shaves: where the chisel drifts, pare to the line.")
    if two_sided:
        found.append("From both faces, the same face to the fence: they meet in the middle.")
    if cut.purpose == "haunch socket":
        found.append("Only what the mortise beside it has not taken; its end is the haunch's.")
    if across(cut):
        found.append("Runs across the grain: set the fence by the lines, end to end.")
    return tuple(found)
