"""The saw with a dado stack: tenons lying flat, cheek by cheek and shoulder by shoulder.

The end of the piece stands against the fence (or a stop on it), so that the shoulder is cut by
the far side of the stack. What the scale must read for that depends on the blade for which it was
zeroed, and on which side of the stack the arbor's flange holds still.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from treenail.checks.shop_machines import INCH, Dado
from treenail.joints.cuts import TenonEnd
from treenail.joints.mortise_tenon import MortiseTenon
from treenail.shop.setups.lay import lies_down
from treenail.shop.setups.model import CutAt, Option, Setting, Task, fine
from treenail.shop.setups.work import Job, Work
from treenail.timber.errors import SpecError
from treenail.timber.frames import snap
from treenail.timber.member import Face, Member

__all__ = [
    "CAUTIONS",
    "OVERLAP",
    "between",
    "fence_reading",
    "pass_count",
    "stack_for",
    "tasks",
]

#: What each pass overlaps the one before, mm (our own choice).
OVERLAP = INCH / 16
#: How far below its height a test cut starts, mm (our own choice).
SHY = INCH / 64
#: Depths and lengths under this are no cut, mm.
_NOTHING = 1e-6

CAUTIONS = (
    (
        "The end may touch the fence only because all waste is turned into chips: no loose piece "
        "can jam between stack and fence."
    ),
)


def between(stack: float, *, zeroed_for: float, flange: str) -> float:
    """Width of what lies between the scale's zero and the stack's far side, mm.

    With the flange on the far side the stack grows toward the fence: its far side stays where
    the far side of the scale's own blade was. With the flange on the near side it grows away
    from the fence, and all of it lies beyond the zero.
    """
    if flange not in ("far", "near"):
        raise SpecError(f"{flange!r} is no side of a stack", field="flange", allowed="far, near")
    return zeroed_for if flange == "far" else stack


def fence_reading(shoulder: float, stack: float, *, zeroed_for: float, flange: str) -> float:
    """What the fence's scale must read for a shoulder that far from the end, mm.

    The distance from the fence to the far side of the stack, less what lies between that side
    and the scale's zero (common practice: 2 in tenon, 3/4 in stack, a scale zeroed for a 1/8 in
    blade: 1 7/8 in).
    """
    return snap(shoulder - between(stack, zeroed_for=zeroed_for, flange=flange))


def pass_count(run: float, stack: float, *, overlap: float = OVERLAP) -> int:
    """Passes of a stack that clear ``run`` mm from the shoulder out to the end."""
    if stack >= run - _NOTHING:
        return 1
    if stack <= overlap:
        raise SpecError(f"a stack of {stack:g} mm is no wider than its overlap of {overlap:g} mm")
    return math.ceil((run - overlap) / (stack - overlap) - 1e-9)


def stack_for(runs: Sequence[float], machine: Dado) -> float | None:
    """One stack for all runs: the narrowest of those that need fewest passes on the longest run.

    None if a run is shorter than every stack there is.
    """
    fitting = [w for w in _stacks(machine) if w <= min(runs) + _NOTHING]
    if not fitting:
        return None
    return min(fitting, key=lambda w: (max(pass_count(r, w) for r in runs), w))


def _stacks(machine: Dado) -> tuple[float, ...]:
    low, high = machine.narrowest - _NOTHING, machine.widest + _NOTHING
    wide = [w for w in machine.stacks if low <= w <= high and w > OVERLAP]
    return tuple(wide) or (machine.widest,)


@dataclass(frozen=True, slots=True)
class _Side:
    """One shoulder of one tenon: which face goes down, how deep, how far from the end."""

    down: Face
    depth: float
    run: float
    what: str


def _sides(member: Member, cut: TenonEnd) -> list[_Side]:
    near = cut.face is Face.NEAR_END
    low, high = cut.y0, member.thickness - cut.y1
    faces = {
        Face.FACE_SIDE: low if near else high,
        Face.BACK_SIDE: high if near else low,
        Face.FACE_EDGE: cut.x0,
        Face.BACK_EDGE: member.width - cut.x1,
    }
    found = []
    for face, depth in faces.items():
        stub = cut.haunch if cut.haunch and cut.haunch.edge is face else None
        if stub is None:
            what = "cheek" if face in (Face.FACE_SIDE, Face.BACK_SIDE) else "edge shoulder"
            found.append(_Side(face, depth, cut.length, what))
            continue
        found.append(_Side(face, depth, cut.length - stub.length, "edge, up to the haunch"))
        found.append(_Side(face, depth - stub.width, cut.length, "edge beside the haunch"))
    return [s for s in found if s.depth > _NOTHING and s.run > _NOTHING]


def tasks(work: Work) -> list[Task]:
    """Every shoulder that the dado stack cuts."""
    machine = work.machines.dado
    jobs = [(j, j.cut) for j in work.by("dado") if isinstance(j.cut, TenonEnd)]
    sides = [(j, cut, side) for j, cut in jobs for side in _sides(j.member, cut)]
    if not sides:
        return []
    one = stack_for([side.run for _, _, side in sides], machine)
    found = []
    for job, cut, side in sides:
        stacks = [one] if one else [w for w in _stacks(machine) if w <= side.run + _NOTHING]
        if not stacks:
            stacks = [min(_stacks(machine))]
        found.append(_task(work, job, cut, side, stacks))
    return found


def _task(work: Work, job: Job, cut: TenonEnd, side: _Side, stacks: Sequence[float]) -> Task:
    say, machine = work.say, work.machines.dado
    options = []
    for stack in stacks:
        passes = pass_count(side.run, stack)
        gap = between(stack, zeroed_for=machine.zeroed_for, flange=machine.flange)
        scale = (
            f"the scale, zeroed for a {say(machine.zeroed_for)} blade: fence to the stack's far "
            f"side is {say(side.run)}, and {say(gap)} of that lies beyond the zero"
        )
        options.append(
            Option(
                settings=(
                    Setting(name="stack", value=stack, measured_from="across the outer teeth"),
                    Setting(
                        name="blade height",
                        value=side.depth,
                        measured_from="table to the highest tooth",
                    ),
                    Setting(
                        name="fence",
                        value=fence_reading(
                            side.run,
                            stack,
                            zeroed_for=machine.zeroed_for,
                            flange=machine.flange,
                        ),
                        measured_from=scale,
                    ),
                ),
                cut=CutAt(
                    member=job.member.name,
                    joint=cut.joint,
                    purpose=side.what,
                    face=str(side.down),
                    how=lies_down(side.down, cut.face),
                    passes=passes,
                ),
                marks=(
                    ("shoulder from the end", side.run),
                    ("far side of the stack beyond the scale's zero", gap),
                ),
                cost=float(passes),
            )
        )
    joint = work.tenon_joint(cut)
    return Task(
        options=tuple(options),
        work=f"{side.what}s" if side.what in ("cheek", "edge shoulder") else side.what,
        test_cut=_test_cut(work, cut, side, joint),
        steps=_steps(work, side, stacks[0]),
        remarks=_remarks(work, job.member, cut, side),
    )


def _steps(work: Work, side: _Side, stack: float) -> tuple[str, ...]:
    passes = pass_count(side.run, stack)
    first = (
        f"End against the fence: the first pass cuts the shoulder, {say_run(work, side)} from "
        "the end."
    )
    if passes == 1:
        return (first,)
    step = work.say(stack - OVERLAP)
    return (
        first,
        (
            f"Draw the piece away from the fence, at most {step} a pass, {passes - 1} more "
            f"{'pass' if passes == 2 else 'passes'} until the end is clear. The fence stays."
        ),
        "All pieces and both ends before the setting is touched; chips off the fence each time.",
    )


def say_run(work: Work, side: _Side) -> str:
    """The shoulder's distance from the end, in words."""
    return work.say(side.run)


def _test_cut(work: Work, cut: TenonEnd, side: _Side, joint: MortiseTenon | None) -> str:
    say, small = work.say, fine(work.bench.units)
    if side.what != "cheek":
        return "Set by a scrap of the same width; the tenon's width only has to clear the mortise."
    thick = cut.y1 - cut.y0
    target = f"a tenon of {say(thick)}"
    if joint is not None:
        fit, wide = joint.fit, joint.mortise.width
        least, most = wide - fit.cheek.high, wide - fit.cheek.low
        target = (
            f"{small(fit.cheek.low)} to {small(fit.cheek.high)} less than the mortise really is "
            f"({small(least)} to {small(most)} as drawn; {joint.fit.name} fit)"
        )
    return (
        f"Start {say(SHY)} low. On a scrap planed with the parts cut both cheeks, one pass at "
        f"the end, and try it in a mortise already cut. Wanted: {target}. Raise the "
        "stack by half of what it is too thick, for both cheeks are cut at one height, and test "
        "again; never lower it into a fit, for slack in the screw lets it sink."
    )


def _remarks(work: Work, member: Member, cut: TenonEnd, side: _Side) -> tuple[str, ...]:
    found = []
    if side.what == "cheek":
        found.append(
            "Every piece must have the same thickness: what one is over or under stays in its "
            "tenon."
        )
        if abs(cut.y0 - (member.thickness - cut.y1)) < _NOTHING:
            found.append(
                "Cheeks are alike: turn the piece over, then end for end; every face comes down "
                "at this one height, and the tenon stays in the middle."
            )
        else:
            found.append(
                "Cheeks differ: the face side down for its own height only; mark the face that "
                "goes down on every piece."
            )
    elif side.what == "edge, up to the haunch" and cut.haunch and cut.haunch.sloped:
        found.append("The haunch slopes: saw its slope to the line by hand afterwards.")
    if len(cut.tongues()) > 1:
        found.append("The gap between the tenons is not cut here: saw and chop it out.")
    elif type(cut) is not TenonEnd:
        found.append("Only the outline's square shoulders; what slopes is cut to the lines after.")
    if cut.rounding is not None:
        found.append(f"Round the long edges to a radius of {work.say(cut.rounding.radius)} after.")
    if side.depth > work.machines.dado.height + _NOTHING:
        found.append("Deeper than the stack cuts: finish by hand.")
    return tuple(found)
