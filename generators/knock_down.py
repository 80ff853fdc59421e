"""The knock-down base: long stretchers on stub tenons, drawn home by bolts with barrel nuts.

The end frames stay drawbored; the two of them, the long stretchers and the top come apart.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from treenail.generators.frame_layout import Layout, TenonPlan, in_units
from treenail.generators.pegging import evenly
from treenail.joints.barrel_bolt import POINT_ROOM, SETBACK, BarrelBolt
from treenail.joints.lag_bolt import LagBolt
from treenail.timber.errors import SpecError
from treenail.timber.frames import snap
from treenail.timber.member import Face
from treenail.timber.metric_bolts import metric_bolt

if TYPE_CHECKING:
    from collections.abc import Iterable
    from typing import Any

    from treenail.generators.frame_spec import FrameBenchSpec, KnockDown
    from treenail.joints.base import Joint
    from treenail.joints.mortise_tenon import MortiseTenon

__all__ = ["knock_down_bolts", "refuse_lags", "with_stubs"]

#: From the shoulder to the nut's axis, in diameters of the nut (our own choice).
NUT_DIAMETERS = 3.0
#: From this height up a stretcher gets two bolts, mm (our own choice: 4 in).
TWO_FROM = 101.6


def with_stubs(spec: FrameBenchSpec) -> FrameBenchSpec:
    """The spec with its bolted long stretchers on stub tenons; as it is where they are pegged.

    Raises SpecError where the long stretchers can't be bolted.
    """
    if spec.long_joints != "bolted":
        return spec
    if spec.meeting != "heights":
        raise SpecError(
            f"bolts through the posts leave no place for tenons that meet there {spec.meeting}",
            field="meeting",
            allowed="heights, or long_joints: drawbored",
        )
    stubs: dict[str, Any] = {}
    for key in ("upper_long", "lower_long"):
        s = getattr(spec, key)
        if s.through:
            raise SpecError(
                "a bolted stretcher has a stub tenon, which does not come through",
                field=f"{key}.through",
                allowed="false, or long_joints: drawbored",
            )
        stubs[key] = replace(s, tenon_length=spec.knock_down.stub, haunch=False)
    return replace(spec, **stubs)


def knock_down_bolts(
    spec: FrameBenchSpec,
    layout: Layout,
    tenons: Iterable[MortiseTenon],
    units: str,
    choices: dict[str, Any],
) -> list[BarrelBolt]:
    """Bolts through the posts into the bolted stretchers, in the middle of their stub tenons.

    Raises:
        SpecError: an end stretcher's tenon stands in a bolt's way.
        GeometryError: bolt or nut have no place in post or stretcher.
    """
    asked = spec.knock_down
    size = metric_bolt(asked.bolt)
    setback = asked.setback
    if setback is None:
        setback = snap(max(SETBACK, NUT_DIAMETERS * size.nut_diameter))
    choices["knock_down.setback"] = setback
    for level in layout.levels:
        long, end = layout.plans[f"{level}_long"], layout.plans[f"{level}_end"]
        _refuse_crossing(long, end, size.clearance_hole / 2, _count(asked, long.width), units)
    found = []
    for joint in tenons:
        if not joint.bolted:
            continue
        x0, x1, y0, y1 = joint.section
        # The end frame's y runs from the face side at the near end, else from the back side.
        middle = (y0 + y1) / 2
        side = middle if joint.end is Face.NEAR_END else joint.entering.thickness - middle
        key, _, where = joint.name.partition("_at_")
        several = _count(asked, joint.entering.width)
        for i, x in enumerate(evenly(x0, x1, several), start=1):
            found.append(
                BarrelBolt(
                    name=f"{key}_{where}" + (f"_{i}" if several > 1 else ""),
                    rail=joint.entering,
                    post=joint.receiver,
                    size=size,
                    at=(snap(x), snap(side)),
                    setback=snap(setback + joint.length),
                )
            )
    return found


def refuse_lags(bolts: Iterable[BarrelBolt], fixings: Iterable[Joint], units: str) -> None:
    """Refuse (SpecError) a bolt of the top's that would run into a knock-down bolt's hole."""
    say = in_units(units)
    lags = [j for j in fixings if isinstance(j, LagBolt)]
    for bolt in bolts:
        deep = max(bolt.reach + POINT_ROOM, bolt.setback + bolt.size.nut_diameter / 2)
        for lag in lags:
            if lag.carrier.name != bolt.rail.name:
                continue
            x = bolt.rail.placement.local_point(lag.point)[0]
            away = x if bolt.end is Face.NEAR_END else bolt.rail.length - x
            if away - lag.size.washer_od / 2 < deep:
                raise SpecError(
                    f"a bolt of the top's, {say(away)} from the end of {bolt.rail.name}, runs "
                    f"into the knock-down bolt there, whose hole is {say(deep)} deep",
                    field="bolts.per_stretcher",
                    allowed="fewer bolts, or a shorter knock_down.setback",
                )


def _count(asked: KnockDown, width: float) -> int:
    """Bolts in each joint of a stretcher."""
    if asked.per_joint is not None:
        return asked.per_joint
    return 2 if width >= TWO_FROM - 1e-9 else 1


def _refuse_crossing(
    long: TenonPlan, end: TenonPlan, radius: float, per_joint: int, units: str
) -> None:
    say = in_units(units)
    for z in evenly(long.tenon_low, long.tenon_high, per_joint):
        if end.tenon_low - radius < z < end.tenon_high + radius:
            raise SpecError(
                f"the bolt into the {long.key.replace('_', ' ')} stretcher, {say(z)} above the "
                f"floor, runs through the end stretcher's tenon "
                f"({say(end.tenon_low)} to {say(end.tenon_high)})",
                field=f"{end.key}.height",
                allowed="auto, or a height at which the two pass each other",
            )
