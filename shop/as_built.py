"""What is not yet cut follows what was: tenons to real mortises, boards to real grooves.

Reference faces stay where they are: a post that came out thin loses on the inside of the bench,
a stretcher on its back side and lower edge. Fits stay the named ones. A lamination keeps its
finished size: the number of its plies follows from how thick they really are. How each kind of
joint follows stands in ``shop/refit/``.
"""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, Literal

from treenail.checks.meeting import least_to_shorten, meetings
from treenail.checks.rules import Context
from treenail.generators.fittings.site import FITTINGS
from treenail.joints.base import Joint
from treenail.joints.mortise_tenon import MortiseTenon
from treenail.shop.allowances import usual
from treenail.shop.measurements import say_of
from treenail.shop.refit.asked import stacked
from treenail.shop.refit.changes import Change, changes
from treenail.shop.refit.kinds import Refit, numbers_for
from treenail.shop.refit.places import Places
from treenail.shop.refit.sections import SAME, Sections, planed_together, settle
from treenail.shop.refit.tenons import tenon_length
from treenail.timber.errors import GeometryError, SpecError
from treenail.timber.frames import snap
from treenail.timber.member import Member

if TYPE_CHECKING:
    from treenail.generators.bench import Bench
    from treenail.shop.measurements import Measured

__all__ = ["AsBuilt", "Change", "as_built", "plies_for"]

#: Tenons that overlap less than this touch, mm.
_TOUCH = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class AsBuilt:
    """A bench re-derived from measurements, and what changed."""

    bench: Bench
    changes: tuple[Change, ...]


def as_built(bench: Bench, measured: Measured) -> AsBuilt:
    """Re-derive all that isn't cut yet so that it fits what exists.

    Args:
        bench: as designed.
        measured: sizes that exist.

    Raises:
        SpecError: what was measured leaves no way to fit the rest; the field and a way out.
    """
    if not measured.members and not measured.joints:
        return AsBuilt(bench=bench, changes=())
    derive = _Derive(bench, measured)
    made = derive.bench()
    for _ in derive.lengths:  # each round shortens one tenon; a few are enough
        shorter = _clear_of_each_other(bench, made, derive.lengths)
        if not shorter:
            break
        derive.lengths |= shorter
        made = derive.bench()
    return AsBuilt(bench=made, changes=changes(bench, made, measured.joints))


def _clear_of_each_other(
    before: Bench, made: Bench, lengths: Mapping[str, float]
) -> dict[str, float]:
    """A shorter tenon where two that met freely as designed now run into each other.

    A mortise that came out deep, or a post that came out thin, brings their ends together. What
    can't be mended by taking half of a tenon or less is left for the checks to tell.
    """
    context = Context(bench=made)
    for a, b, found in meetings(context, below=1.0):
        by, joint = least_to_shorten(context, a, b)
        asked = next(j for j in before.joints if j.name == joint.name)
        if found.distance > -_TOUCH or not isinstance(asked, MortiseTenon) or asked.through:
            continue
        if joint.name in lengths and lengths[joint.name] - by >= asked.length / 2:
            return {joint.name: snap(lengths[joint.name] - by)}
    return {}


def plies_for(size: float, planed: float, clean_up: float) -> int:
    """How many boards of a planed thickness make a lamination of a finished size, mm."""
    return max(1, math.ceil((size + clean_up) / planed - 1e-9))


class _Derive:
    """Derives one bench; ``lengths`` of tenons may be shortened between two rounds."""

    def __init__(self, bench: Bench, measured: Measured) -> None:
        self.before, self.measured = bench, measured
        self.clean_up = usual(bench.units).clean_up
        self.sections: Sections = settle(
            bench, measured.members, measured.joints, say_of(bench), self._refuse
        )
        self.sized = {m.name: self._sized(m) for m in bench.timbers}
        self.lengths: dict[str, float] = {
            j.name: tenon_length(j, self.sized[j.receiver.name], self._of(j))
            for j in bench.joints
            if isinstance(j, MortiseTenon)
        }

    def _of(self, joint: Joint) -> Mapping[str, float]:
        return self.measured.joints.get(joint.name, {})

    def _refuse(self, message: str, place: str, allowed: str) -> SpecError:
        return SpecError(
            message,
            field=place,
            line=self.measured.lines.get(place),
            file=self.measured.file,
            allowed=allowed,
        )

    def _sized(self, member: Member) -> Member:
        """A member with its real section and plies."""
        sizes = self.measured.members.get(member.name, {})
        settled = self.sections.sizes
        made = replace(
            member,
            width=settled.get((member.name, "width"), member.width),
            thickness=settled.get((member.name, "thickness"), member.thickness),
        )
        along_plies = member.ply_axis
        beside: Literal["width", "thickness"] = (
            "width" if along_plies == "thickness" else "thickness"
        )
        wide = sizes.get("ply_width")
        if wide is not None and beside not in sizes and wide < getattr(made, beside) - 1e-9:
            say = say_of(self.before)
            raise self._refuse(
                f"the boards of {member.name} are {say(wide)} wide, and it is to have "
                f"{say(getattr(made, beside))}",
                f"members.{member.name}.ply_width",
                f"wider boards, or a spec in which it has {say(wide)} or less",
            )
        planed = sizes.get("ply_thickness")
        if planed is None or along_plies in sizes:  # what is milled already has its plies
            return made
        plies = plies_for(stacked(made), planed, self.clean_up)
        return replace(made, plies=plies, ply_planed=planed)

    def bench(self) -> Bench:
        """The bench with measured members, and tenons of those lengths."""
        places = Places(
            before=self.before,
            members=dict(self.sized),
            joints=self.measured.joints,
            lengths=self.lengths,
            fixed=frozenset(self.sections.sizes),
        )
        try:
            places.settle()
        except GeometryError as error:
            raise self._no_way(str(error), None) from None
        joints = tuple(self._refitted(j, places) for j in self.before.joints)
        made = replace(
            self.before,
            timbers=tuple(places.members[m.name] for m in self.before.timbers),
            joints=joints,
        )
        return replace(made, asked=self._asked(made))

    def _asked(self, made: Bench) -> tuple[float, float, float]:
        """Outer sizes: a top that came out thin makes a low bench."""
        sizes = []
        for axis, asked in enumerate(self.before.asked):
            was, now = (_reach(bench, axis) for bench in (self.before, made))
            sizes.append(asked if abs(now - was) < SAME else snap(asked + now - was))
        return sizes[0], sizes[1], sizes[2]

    def _refitted(self, joint: Joint, places: Places) -> Joint:
        held: dict[str, Any] = {}
        for field in dataclasses.fields(joint):
            value = getattr(joint, field.name)
            if isinstance(value, Member):
                held[field.name] = places.members.get(value.name, value)
            elif isinstance(value, tuple) and value and isinstance(value[0], Member):
                held[field.name] = tuple(places.members.get(m.name, m) for m in value)
        refit = Refit(
            places=places,
            sizes=self._of(joint),
            room=self.sections.rooms.get(joint.name),
        )
        try:
            return replace(joint, **held, **numbers_for(joint, refit))
        except GeometryError as error:
            raise self._no_way(str(error), joint) from None

    def _no_way(self, why: str, joint: Joint | None) -> SpecError:
        place = self._place_of(joint)
        name = "" if joint is None or why.startswith(joint.name) else f"{joint.name}: "
        return self._refuse(
            f"{name}{why}",
            place,
            "the measured cut patched and made again nearer to what was asked for, or new pieces "
            "of larger stock (thicker, wider or longer)",
        )

    def _place_of(self, joint: Joint | None) -> str:
        """The measured place that a joint follows, for messages: its own, or the nearest."""
        measured = self.measured
        if joint is not None:
            if joint.name in measured.joints:
                return f"joints.{joint.name}"
            group = planed_together(self.before)
            mine = {m.name for m in joint.members}
            lots = {group[m.name] for m in joint.members if m.name in group}
            for name in measured.members:
                if name in mine or group.get(name) in lots:
                    return f"members.{name}"
            for other in self.before.joints:
                if other.name in measured.joints and mine & {m.name for m in other.members}:
                    return f"joints.{other.name}"
        head, names = (
            ("joints", measured.joints) if measured.joints else ("members", measured.members)
        )
        return f"{head}.{next(iter(names))}"


def _reach(bench: Bench, axis: int) -> float:
    """The bench's outer size along an axis, its fittings left out, mm."""
    spans = [bench.bounds[m.name] for m in bench.timbers if m.assembly != FITTINGS]
    return max(s[1][axis] for s in spans) - min(s[0][axis] for s in spans)
