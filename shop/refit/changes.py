"""What follows from measurements, told size by size."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from treenail.joints.angled_tenon import AngledTenon
from treenail.joints.board_groove import BoardGroove
from treenail.joints.end_board import EndBoard
from treenail.joints.lag_bolt import LagBolt
from treenail.joints.mortise_tenon import MortiseTenon
from treenail.joints.seats import SeatRebate
from treenail.shop.refit.asked import joint_sizes

if TYPE_CHECKING:
    from treenail.generators.bench import Bench
    from treenail.joints.base import Joint

#: Sizes nearer than this are the same, mm.
_SAME = 1e-9
#: A cut that has to be pared by less than this is right as it is, mm.
_PARED = 1e-6


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


def changes(
    before: Bench, after: Bench, measured: Mapping[str, Mapping[str, float]]
) -> tuple[Change, ...]:
    """All that is to be made otherwise than drawn, and cuts that have to be pared farther."""
    found = [*_of_members(before, after)]
    for old, new in zip(before.joints, after.joints, strict=True):
        rows = _told(old)
        now = _told(new)
        for what, was in rows.items():
            if what in now and abs(now[what] - was) > _SAME:
                found.append(Change(name=old.name, what=what, was=was, now=now[what]))
        found += _to_pare(new, measured.get(old.name, {}))
    for axis, what in enumerate(("length", "depth", "height")):
        was, is_now = before.asked[axis], after.asked[axis]
        if abs(was - is_now) > _SAME:
            found.append(Change(name=before.name, what=f"{what} of the bench", was=was, now=is_now))
    return tuple(found)


def _of_members(before: Bench, after: Bench) -> Iterator[Change]:
    for old, new in zip(before.timbers, after.timbers, strict=True):
        for what in ("length", "width", "thickness"):
            was, now = getattr(old, what), getattr(new, what)
            if abs(was - now) > _SAME:
                yield Change(name=old.name, what=what, was=was, now=now)
        if old.plies != new.plies:
            what = "strips" if max(old.plies, new.plies) > 2 else "plies"
            yield Change(name=old.name, what=what, was=old.plies, now=new.plies, count=True)


def _to_pare(joint: Joint, sizes: Mapping[str, float]) -> Iterator[Change]:
    """A cut that was measured, and must become wider or deeper for what goes into it."""
    if not sizes:
        return
    for what, now in joint_sizes(joint).items():
        if what in sizes and now > sizes[what] + _PARED:
            told = f"{what.replace('_', ' ')}, to be cut farther"
            yield Change(name=joint.name, what=told, was=sizes[what], now=now)


def _told(joint: Joint) -> dict[str, float]:
    """A joint's sizes by what they are called, mm."""
    found: dict[str, float] = {}
    if isinstance(joint, MortiseTenon | AngledTenon):
        found = _of_tenon(joint)
    elif isinstance(joint, EndBoard):
        found = _of_end_board(joint)
    elif isinstance(joint, BoardGroove):
        wide = joint.boards[0].thickness + joint.fit.cheek.mid
        found = {"groove's depth": joint.depth, "groove's width": wide}
    elif isinstance(joint, SeatRebate):
        found = {"rebate's depth": joint.depth, "rebate's width": joint.seat + joint.end_room}
    elif isinstance(joint, LagBolt):
        found = {"counterbore": joint.counterbore}
    for name, value in joint.numbers().items():
        if name.endswith("_mm") and isinstance(value, float):
            found[name.removesuffix("_mm").replace("_", " ")] = value
    return found


def _of_tenon(joint: MortiseTenon | AngledTenon) -> dict[str, float]:
    found: dict[str, float] = {
        f"tenon's {what}": getattr(joint, what) for what in ("length", "width", "thickness")
    }
    for side in ("face_edge", "back_edge", "face_side", "back_side"):
        found[f"shoulder at the {side.replace('_', ' ')}"] = getattr(joint.shoulders, side)
    if isinstance(joint, MortiseTenon) and joint.haunch is not None:
        found |= {"haunch's length": joint.haunch.length, "haunch's width": joint.haunch.width}
    for i, (x, setback) in enumerate(joint.peg_points, start=1):
        offset = joint.draw.offset if joint.draw else 0.0
        found[f"peg {i}: tenon's hole from the shoulder"] = setback - offset
        found[f"peg {i}: tenon's hole from the face edge"] = x
    return found


def _of_end_board(joint: EndBoard) -> dict[str, float]:
    found: dict[str, float] = {}
    for i, (a, b) in enumerate(joint.tenons, start=1):
        found |= {f"tenon {i}: from the first edge": a, f"tenon {i}: to": b}
    for i, spot in enumerate(joint.spots, start=1):
        found[f"peg {i}: tenon's hole from the first edge"] = spot.at
        if joint.draw is not None:
            hole = joint.draw.setback_of(i - 1) - joint.draw.offset
            found[f"peg {i}: tenon's hole from the shoulder"] = hole
    return found


__all__ = ["Change", "changes"]
