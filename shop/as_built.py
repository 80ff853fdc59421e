"""What is not yet cut follows what was: tenons to real mortises, stretchers to real posts.

Reference faces stay where they are: a post that came out thin loses on the inside of the bench,
a stretcher on its back side and lower edge. Fits stay the named ones. A lamination keeps its
finished size: the number of its plies follows from how thick they really are.
"""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, Literal

from treenail.checks.meeting import least_to_shorten, meetings
from treenail.checks.rules import Context
from treenail.joints.base import Joint
from treenail.joints.lag_bolt import LagBolt
from treenail.joints.mortise_tenon import MortiseTenon, Shoulders
from treenail.shop.allowances import CLEAN_UP
from treenail.shop.measurements import stacked
from treenail.timber.errors import GeometryError, SpecError
from treenail.timber.frames import Vec, along, dot, snap, snap_vec
from treenail.timber.member import Face, Member

if TYPE_CHECKING:
    from treenail.generators.bench import Bench
    from treenail.shop.measurements import Measured


#: Tenons that overlap less than this touch, mm.
_TOUCH = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One number that follows from a measurement.

    Attributes:
        name: of the member or joint.
        what: the size: ``length``, ``tenon's thickness`` ...
        was, now: mm, or how many.
        count: whether it is a number of boards and not a length.
    """

    name: str
    what: str
    was: float
    now: float
    count: bool = False

    def shown(self, say: Callable[[float], str]) -> tuple[str, str]:
        """What it was and is now, in words; ``say`` writes lengths."""
        if self.count:
            return f"{self.was:g}", f"{self.now:g}"
        return say(self.was), say(self.now)

    def as_dict(self) -> dict[str, Any]:
        """JSON data."""
        unit = "boards" if self.count else "mm"
        return {
            "name": self.name,
            "what": self.what,
            "unit": unit,
            "was": self.was,
            "now": self.now,
        }


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
    tenons = [j for j in bench.joints if isinstance(j, MortiseTenon)]
    lengths = {j.name: _tenon_length(j, measured) for j in tenons}
    made = _derive(bench, measured, lengths)
    if measured.members or measured.joints:
        for _ in tenons:  # each round shortens one tenon; a few are enough
            shorter = _clear_of_each_other(bench, made, lengths)
            if not shorter:
                break
            lengths |= shorter
            made = _derive(bench, measured, lengths)
    return AsBuilt(bench=made, changes=_changes(bench, made))


def _derive(bench: Bench, measured: Measured, lengths: Mapping[str, float]) -> Bench:
    """The bench with measured members, and tenons of those lengths."""
    members = {m.name: _measured_member(m, measured) for m in bench.timbers}
    tenons = [j for j in bench.joints if isinstance(j, MortiseTenon)]
    for name in dict.fromkeys(j.entering.name for j in tenons):
        mine = [j for j in tenons if j.entering.name == name]
        members[name] = _fitted_length(members[name], mine, members, lengths)
    joints = tuple(_refitted(j, members, measured) for j in bench.joints)
    return replace(bench, timbers=tuple(members[m.name] for m in bench.timbers), joints=joints)


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
        if found.distance > -_TOUCH or not isinstance(asked, MortiseTenon):
            continue
        if joint.name in lengths and lengths[joint.name] - by >= asked.length / 2:
            return {joint.name: snap(lengths[joint.name] - by)}
    return {}


def _measured_member(member: Member, measured: Measured) -> Member:
    sizes = measured.members.get(member.name, {})
    made = replace(
        member,
        width=sizes.get("width", member.width),
        thickness=sizes.get("thickness", member.thickness),
    )
    along_plies = member.ply_axis
    beside: Literal["width", "thickness"] = "width" if along_plies == "thickness" else "thickness"
    wide = sizes.get("ply_width")
    if wide is not None and beside not in sizes and wide < getattr(made, beside) - 1e-9:
        place = f"members.{member.name}.ply_width"
        raise SpecError(
            f"the boards of {member.name} are {wide:.2f} mm wide, and it is to have "
            f"{getattr(made, beside):.2f} mm",
            field=place,
            line=measured.lines.get(place),
            file=measured.file,
            allowed=f"wider boards, or a spec in which it has {wide:.2f} mm or less",
        )
    planed = sizes.get("ply_thickness")
    if planed is None or along_plies in sizes:  # what is milled already has its plies
        return made
    return replace(made, plies=plies_for(stacked(made), planed), ply_planed=planed)


def plies_for(size: float, planed: float) -> int:
    """How many boards of a planed thickness make a lamination of a finished size, mm."""
    return max(1, math.ceil((size + CLEAN_UP) / planed - 1e-9))


def _tenon_length(joint: MortiseTenon, measured: Measured) -> float:
    """Length of the tenon for the mortise's real depth (or the post's real thickness)."""
    depth = measured.joints.get(joint.name, {}).get("mortise_depth")
    if depth is not None and not joint.through:
        return depth - joint.fit.bottom.mid
    if joint.through:
        real = measured.members.get(joint.receiver.name, {})
        face = joint.receiver_face
        key = "width" if face in (Face.FACE_EDGE, Face.BACK_EDGE) else "thickness"
        return real.get(key, joint.receiver.extent(face)) + joint.proud
    return joint.length


def _mouth(joint: MortiseTenon, receiver: Member, direction: Vec) -> float:
    """Where the receiver's mortised face lies along a direction of the bench, mm."""
    face = receiver.face_frame(joint.receiver_face)
    return dot(receiver.placement.point(face.origin), direction)


def _fitted_length(
    rail: Member,
    joints: list[MortiseTenon],
    members: Mapping[str, Member],
    lengths: Mapping[str, float],
) -> Member:
    """The rail with its shoulders on the real posts' faces and tenons of the right length."""
    grain = rail.placement.x
    start = dot(rail.placement.origin, grain)
    stop = start + rail.length
    for joint in joints:
        mouth = _mouth(joint, members[joint.receiver.name], grain)
        if joint.end is Face.NEAR_END:
            start = mouth - lengths[joint.name]
        else:
            stop = mouth + lengths[joint.name]
    shift = start - dot(rail.placement.origin, grain)
    origin = snap_vec(along(rail.placement.origin, grain, shift))
    return replace(
        rail, length=snap(stop - start), placement=replace(rail.placement, origin=origin)
    )


def _refitted(joint: Joint, members: Mapping[str, Member], measured: Measured) -> Joint:
    held: dict[str, Any] = {}
    for field in dataclasses.fields(joint):
        value = getattr(joint, field.name)
        if isinstance(value, Member):
            held[field.name] = members.get(value.name, value)
        elif isinstance(value, tuple) and value and isinstance(value[0], Member):
            held[field.name] = tuple(members.get(m.name, m) for m in value)
    if isinstance(joint, MortiseTenon):
        held["shoulders"] = _shoulders(joint, held["entering"], measured)
    if isinstance(joint, LagBolt):
        # The bolt keeps its bite in the top: the counterbore takes up the stretcher's width.
        deeper = held["carrier"].extent(joint.entry_face) - joint.carrier.extent(joint.entry_face)
        held["counterbore"] = max(0.0, snap(joint.counterbore + deeper))
    try:
        return replace(joint, **held)
    except GeometryError as error:
        raise SpecError(
            f"{joint.name} can no longer be made: {error}",
            field=_field_of(joint, measured),
            file=measured.file,
            allowed="a new piece, or a longer one from thicker stock",
        ) from None


def _shoulders(joint: MortiseTenon, rail: Member, measured: Measured) -> Shoulders:
    """Shoulders for the real mortise and the real rail; the mortise's middle stays."""
    real = measured.joints.get(joint.name, {})
    s, fit = joint.shoulders, joint.fit
    thickness, width = joint.thickness, joint.width
    if "mortise_width" in real:
        thickness = real["mortise_width"] - fit.cheek.mid
    if "mortise_length" in real:
        width = real["mortise_length"] - fit.edge.mid
    side = s.face_side + (joint.thickness - thickness) / 2
    edge = s.face_edge + (joint.width - width) / 2
    found = {
        "face_edge": snap(edge),
        "back_edge": snap(rail.width - edge - width),
        "face_side": snap(side),
        "back_side": snap(rail.thickness - side - thickness),
    }
    for where, room in found.items():
        if room < -1e-9:
            raise SpecError(
                f"{joint.name}: the tenon for this mortise would stand {-room:.3f} mm outside "
                f"{rail.name} at its {where.replace('_', ' ')}",
                field=_field_of(joint, measured),
                line=measured.lines.get(_field_of(joint, measured) or ""),
                file=measured.file,
                allowed="a thicker stretcher, or the mortise patched and cut again",
            )
    return Shoulders(**{k: max(0.0, v) for k, v in found.items()})


def _field_of(joint: Joint, measured: Measured) -> str | None:
    """The measured place that a joint follows, for messages."""
    if joint.name in measured.joints:
        return f"joints.{joint.name}"
    for member in joint.members:
        if member.name in measured.members:
            return f"members.{member.name}"
    return None


def _changes(before: Bench, after: Bench) -> tuple[Change, ...]:
    found = []
    for old, new in zip(before.timbers, after.timbers, strict=True):
        for what in ("length", "width", "thickness"):
            was, now = getattr(old, what), getattr(new, what)
            if abs(was - now) > 1e-9:
                found.append(Change(name=old.name, what=what, was=was, now=now))
        if old.plies != new.plies:
            what = "strips" if max(old.plies, new.plies) > 2 else "plies"
            found.append(Change(name=old.name, what=what, was=old.plies, now=new.plies, count=True))
    for a, b in zip(before.joints, after.joints, strict=True):
        if isinstance(a, MortiseTenon) and isinstance(b, MortiseTenon):
            for what in ("length", "width", "thickness"):
                was, now = getattr(a, what), getattr(b, what)
                if abs(was - now) > 1e-9:
                    found.append(Change(name=a.name, what=f"tenon's {what}", was=was, now=now))
            sides = ("face_edge", "back_edge", "face_side", "back_side")
            for side in sides:
                was, now = getattr(a.shoulders, side), getattr(b.shoulders, side)
                if abs(was - now) > 1e-9:
                    label = f"shoulder at the {side.replace('_', ' ')}"
                    found.append(Change(name=a.name, what=label, was=was, now=now))
        elif (
            isinstance(a, LagBolt)
            and isinstance(b, LagBolt)
            and abs(a.counterbore - b.counterbore) > 1e-9
        ):
            found.append(
                Change(name=a.name, what="counterbore", was=a.counterbore, now=b.counterbore)
            )
    return tuple(found)
