"""The numbers of each joint that follow from what was measured; its members have their sizes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import singledispatch
from typing import TYPE_CHECKING, Any

from treenail.joints.barrel_bolt import BarrelBolt
from treenail.joints.base import Joint
from treenail.joints.board_groove import BoardGroove
from treenail.joints.edges import TongueGroove
from treenail.joints.end_board import EndBoard
from treenail.joints.features import DogHoles, Hollow
from treenail.joints.housed import Housed
from treenail.joints.housings import Housing, SlidingDovetail
from treenail.joints.jack_slide import JackGroove, JackRide
from treenail.joints.lag_bolt import LagBolt
from treenail.joints.laps import HalfLap
from treenail.joints.mortise_tenon import MortiseTenon
from treenail.joints.provisions import Holes, Recess
from treenail.joints.seats import SeatRebate
from treenail.joints.skew import BevelledEnd
from treenail.joints.sliding import Sliding
from treenail.joints.treenails import Treenails
from treenail.joints.vise_screw import ViseScrew
from treenail.shop.refit.asked import stub_of, tenon_at, word
from treenail.shop.refit.places import Places, flush_point
from treenail.shop.refit.sections import SAME
from treenail.timber.frames import Vec, add, along, neg, snap, snap_vec

if TYPE_CHECKING:
    from treenail.generators.bench import Bench
    from treenail.timber.member import Face, Member

Span = tuple[float, float]
#: A wall behind a treenail's hole that is kept when the piece came out thin, mm (our own choice).
WALL = 12.7


@dataclass(frozen=True, slots=True, kw_only=True)
class Refit:
    """What a joint's numbers are worked out from.

    Attributes:
        places: the bench as designed, and its members where they really are.
        sizes: measured on this joint, by name, mm.
        room: this joint's clearance as it is, where it isn't the fit's middle, mm.
    """

    places: Places
    sizes: Mapping[str, float]
    room: float | None

    @property
    def before(self) -> Bench:
        """The bench as designed."""
        return self.places.before

    @property
    def lengths(self) -> Mapping[str, float]:
        """Of the tenons, by joint, mm."""
        return self.places.lengths

    def grown(self, member: Member) -> Vec:
        """How far a member's own origin went back, in its own coordinates, mm."""
        return self.places.grown.get(member.name, (0.0, 0.0, 0.0))

    def now(self, member: Member) -> Member:
        """The member as it is."""
        return self.places.members.get(member.name, member)

    def on_face(self, member: Member, face: Face, at: Span) -> Span:
        """A place on a face as the member is now, for one that stays where it was in the wood."""
        now, grown = self.now(member), self.grown(member)
        if now.size == member.size and not any(grown):
            return at
        spot = add(member.face_frame(face).point((*at, 0.0)), grown)
        x, y, _ = now.face_frame(face).local_point(spot)
        return snap(x), snap(y)

    def span(self, member: Member, span: Span) -> Span:
        """From where to where along a member: at its shoulders if it was so, else as it was."""
        now, by = self.now(member), self.grown(member)[0]
        ends = [0.0, member.length]
        new = [0.0, now.length]
        for joint in self.before.joints:
            if isinstance(joint, MortiseTenon) and joint.entering.name == member.name:
                far = joint.end.outward[0] > 0.0
                long = self.lengths[joint.name]
                ends[far] = member.length - joint.length if far else joint.length
                new[far] = now.length - long if far else long
        found = [new[i] if abs(at - ends[i]) < SAME else at + by for i, at in enumerate(span)]
        return snap(found[0]), snap(found[1])


@singledispatch
def numbers_for(joint: Joint, refit: Refit) -> dict[str, Any]:  # noqa: ARG001  # others do
    """The fields of a joint that change, beside its members."""
    return {}


def fit_for(joint: Any, refit: Refit) -> dict[str, Any]:
    """The named fit, with the clearance that there is, where both pieces exist."""
    if refit.room is None:
        return {}
    return {"fit": replace(joint.fit, cheek=replace(joint.fit.cheek, actual=refit.room))}


# -- grooves, housings, notches ------------------------------------------------------------------


def _tongue(joint: Housed, refit: Refit) -> float:
    """The tongue for the real trench; as designed where that is still to be cut."""
    known = refit.sizes.get(f"{word(joint)}_width")
    if known is None:
        return joint.tongue_thickness
    return snap(known - (joint.fit.cheek.mid if joint.walls == 2 else 0.0))


@numbers_for.register(TongueGroove)
def _(joint: TongueGroove, refit: Refit) -> dict[str, Any]:
    return {"tongue": _tongue(joint, refit)}


@numbers_for.register(SlidingDovetail)
def _(joint: SlidingDovetail, refit: Refit) -> dict[str, Any]:
    return {"root": _tongue(joint, refit)}


@numbers_for.register(Housing)
@numbers_for.register(JackRide)
@numbers_for.register(JackGroove)
def _(joint: Housing | JackRide | JackGroove, refit: Refit) -> dict[str, Any]:
    if not any(joint.shoulders):
        return fit_for(joint, refit)
    tongue = _tongue(joint, refit)
    whole = refit.now(joint.entering)
    thick = whole.width if joint.let_in_size == "width" else whole.thickness
    first, second = joint.shoulders
    # The tongue's middle stays; a shoulder that there was not, there is not now.
    side = first + (joint.tongue_thickness - tongue) / 2 if first and second else first
    if not first:
        return {"shoulder": 0.0, "back_shoulder": snap(thick - tongue)}
    if not second:
        return {"shoulder": snap(thick - tongue), "back_shoulder": 0.0}
    return {"shoulder": snap(side), "back_shoulder": snap(thick - side - tongue)}


@numbers_for.register(Housed)
def _(joint: Housed, refit: Refit) -> dict[str, Any]:
    return fit_for(joint, refit)


@numbers_for.register(HalfLap)
def _(joint: HalfLap, refit: Refit) -> dict[str, Any]:
    found = fit_for(joint, refit)
    if "notch_depth" in refit.sizes:
        held = replace(
            joint, receiver=refit.now(joint.receiver), entering=refit.now(joint.entering)
        )
        found["share"] = refit.sizes["notch_depth"] / held.overlap
    return found


@numbers_for.register(BoardGroove)
def _(joint: BoardGroove, refit: Refit) -> dict[str, Any]:
    found = fit_for(joint, refit)
    if joint.span is not None:
        found["span"] = refit.span(joint.receiver, joint.span)
    return found


@numbers_for.register(SeatRebate)
def _(joint: SeatRebate, refit: Refit) -> dict[str, Any]:
    return {"span": refit.span(joint.rail, joint.span)}


@numbers_for.register(Sliding)
def _(_joint: Sliding, refit: Refit) -> dict[str, Any]:
    return {} if refit.room is None else {"play": refit.room}


# -- boards across an end ------------------------------------------------------------------------


@numbers_for.register(EndBoard)
def _(joint: EndBoard, refit: Refit) -> dict[str, Any]:
    sizes, fit = refit.sizes, joint.fit
    found: dict[str, Any] = {}
    if "groove_width" in sizes:
        found["tongue"] = snap(sizes["groove_width"] - fit.cheek.mid)
    if "groove_depth" in sizes:
        found["stub"] = snap(sizes["groove_depth"] - fit.bottom.mid)
    elif not joint.tenons and "mortise_depth" in sizes:
        found["stub"] = snap(sizes["mortise_depth"] - fit.bottom.mid)
    tenons = []
    for i, (a, b) in enumerate(joint.tenons, start=1):
        long = sizes.get(f"mortise_{i}_length", b - a + 2 * joint.room)
        half = long / 2 - joint.room
        tenons.append((snap((a + b) / 2 - half), snap((a + b) / 2 + half)))
    found["tenons"] = tuple(tenons)
    if joint.draw is None:
        return found
    spots, setbacks = [], []
    for i, spot in enumerate(joint.spots, start=1):
        old = tenon_at(joint, spot.at)
        a, _ = tenons[joint.tenons.index(old)]
        at = sizes.get(f"peg_{i}_from_end")
        spots.append(spot if at is None else replace(spot, at=snap(a - joint.room + at)))
        setbacks.append(sizes.get(f"peg_{i}_setback", joint.draw.setback_of(i - 1)))
    found["spots"] = tuple(spots)
    if any(name.endswith("_setback") for name in sizes):
        found["draw"] = replace(joint.draw, setbacks=tuple(setbacks))
    return found


# -- bolts and treenails -------------------------------------------------------------------------


@numbers_for.register(LagBolt)
def _(joint: LagBolt, refit: Refit) -> dict[str, Any]:
    # The bolt keeps its bite in the top: the counterbore takes up the stretcher's width.
    now = refit.now(joint.carrier)
    deeper = now.extent(joint.entry_face) - joint.carrier.extent(joint.entry_face)
    return {"counterbore": max(0.0, snap(joint.counterbore + deeper))}


@numbers_for.register(BarrelBolt)
def _(joint: BarrelBolt, refit: Refit) -> dict[str, Any]:
    edge, side = joint.place
    capped = any(
        isinstance(j, EndBoard)
        and {joint.rail.name, joint.post.name} <= {m.name for m in j.members}
        for j in refit.before.joints
    )
    if capped:  # in the middle of the tongue, which is the slab's middle
        side += (refit.now(joint.rail).thickness - joint.rail.thickness) / 2
    edge += refit.grown(joint.rail)[1]
    found: dict[str, Any] = {"at": (snap(edge), snap(side))}
    if "counterbore_depth" in refit.sizes:
        found["counterbore"] = refit.sizes["counterbore_depth"]
    # The stub may be longer now: what counts is the distance from the shoulder.
    held = replace(
        joint,
        rail=refit.now(joint.rail),
        post=refit.now(joint.post),
        **found,
        length=1e4,
        setback=1.0,
    )
    away = refit.sizes.get("nut_setback", joint.setback - stub_of(joint))
    return {**found, "setback": snap(away + stub_of(held))}


@numbers_for.register(Treenails)
def _(joint: Treenails, refit: Refit) -> dict[str, Any]:
    """The hole keeps its depth, but not at the cost of a thin wall behind it."""
    held = replace(
        joint,
        receiver=refit.now(joint.receiver),
        entering=refit.now(joint.entering),
        hold=joint.hold * 1e-3,
        tip=0.0,
    )
    was = joint.receiver.extent(joint.receiver_face) - joint.hole_depth
    now = held.receiver.extent(joint.receiver_face) - held.sunk - joint.hold
    hold = snap(joint.hold - max(0.0, min(was, WALL) - now))
    return {"hold": hold, "tip": min(joint.tip, max(hold / 3, 0.0))} if hold != joint.hold else {}


# -- features of one piece -----------------------------------------------------------------------


@numbers_for.register(ViseScrew)
def _(joint: ViseScrew, refit: Refit) -> dict[str, Any]:
    """The collars bear on the jaw's real face; the nut stays where it is."""
    face = joint.jaw.face_towards(neg(joint.direction))
    was, now = (
        refit.places.level(m, face, joint.direction) for m in (joint.jaw, refit.now(joint.jaw))
    )
    by = snap(now - was)
    if abs(by) < SAME:
        return {}
    rods = tuple(
        replace(rod, point=snap_vec(along(rod.point, joint.direction, by))) for rod in joint.rods
    )
    return {"rods": rods, "nut_end": snap(joint.nut_end - by)}


@numbers_for.register(DogHoles)
@numbers_for.register(Holes)
def _(joint: DogHoles | Holes, refit: Refit) -> dict[str, Any]:
    points = tuple(refit.on_face(joint.member, joint.face, p) for p in joint.points)
    return {"points": points}


@numbers_for.register(Recess)
def _(joint: Recess, refit: Refit) -> dict[str, Any]:
    return {"centre": refit.on_face(joint.member, joint.face, joint.centre)}


@numbers_for.register(Hollow)
def _(joint: Hollow, refit: Refit) -> dict[str, Any]:
    by = refit.grown(joint.member)[0]
    return {"start": snap(joint.start + by), "stop": snap(joint.stop + by)}


@numbers_for.register(BevelledEnd)
def _(joint: BevelledEnd, refit: Refit) -> dict[str, Any]:
    """A rail's end stays flush with the leg's face in whose plane it was sawn."""
    return {"point": flush_point(refit.places, joint)}


__all__ = ["Refit", "fit_for", "numbers_for"]
