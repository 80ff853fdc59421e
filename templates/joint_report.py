"""A joint as data, and in a line of words: for reports and the screen."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from treenail.joints.drawbored import Drawbored
from treenail.joints.lag_bolt import LagBolt
from treenail.joints.meetings import LetIn
from treenail.joints.mortise_tenon import MortiseTenon
from treenail.templates.aslant_report import aslant_data
from treenail.timber.frames import snap
from treenail.timber.iso_fits import coarsest_grade_within
from treenail.timber.lengths import LengthUnit, format_length

if TYPE_CHECKING:
    from treenail.joints.base import Joint

__all__ = ["joint_data", "joint_words", "plain"]


def plain(value: Any) -> Any:
    """Dataclasses, tuples and mappings as JSON data; numbers snapped to 1e-9."""
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {f.name: plain(getattr(value, f.name)) for f in dataclasses.fields(value)}
    if isinstance(value, Mapping):
        return {str(k): plain(v) for k, v in value.items()}
    if isinstance(value, list | tuple):
        return [plain(v) for v in value]
    if isinstance(value, float):
        return snap(value)
    return value


def peg_data(joint: Drawbored) -> list[dict[str, Any]]:
    """A joint's pegs; setbacks along the tenon, half-way through one that leans."""
    if joint.draw is None:
        return []
    lean = (
        {"off_square_degrees": round(math.degrees(math.atan(joint.peg_slope)), 4)}
        if joint.peg_slope
        else {}
    )
    return [
        {
            "name": peg.name,
            "diameter_mm": joint.draw.diameter,
            "offset_mm": joint.draw.offset,
            "setback_receiver_mm": setback,
            "setback_tenon_mm": snap(setback - joint.draw.offset),
            "from_tenon_edge_mm": snap(x - joint.section[0]),
            "hole_depth_mm": joint.peg_hole_depth,
            "through": joint.draw.through,
            "drive_face": str(joint.drive_face),
            **lean,
        }
        for peg, (x, setback) in zip(joint.pegs(), joint.peg_points, strict=True)
    ]


def _tenon(joint: MortiseTenon) -> dict[str, Any]:
    s, fit = joint.shoulders, joint.fit
    return {
        "receiver_face": str(joint.receiver_face),
        "end": str(joint.end),
        "tenon": {
            "width_mm": joint.width,
            "thickness_mm": joint.thickness,
            "length_mm": joint.length,
            "through": joint.through,
        },
        "shoulders_mm": plain(s),
        "haunch": plain(joint.haunch),
        "tip": {"kind": type(joint.tip).__name__, **plain(joint.tip)} if joint.tip else None,
        "mortise": {
            "length_mm": joint.mortise.length,
            "width_mm": joint.mortise.width,
            "depth_mm": joint.mortise.depth,
        },
        "fit": fit.name,
        "clearance_mm": {
            "cheeks": {
                "low": fit.cheek.low,
                "model": fit.cheek.mid,
                "high": fit.cheek.high,
                # What tenon and mortise may each vary, in the CNC shop's own words.
                "each_within_IT": coarsest_grade_within(
                    joint.thickness, (fit.cheek.high - fit.cheek.low) / 2
                ),
            },
            "edges": {"low": fit.edge.low, "model": fit.edge.mid, "high": fit.edge.high},
            "bottom": None
            if joint.through
            else {"low": fit.bottom.low, "model": fit.bottom.mid, "high": fit.bottom.high},
        },
        "pegs": peg_data(joint),
    }


def _bolt(joint: LagBolt) -> dict[str, Any]:
    return {
        "bolt": {
            "diameter_mm": snap(joint.size.diameter),
            "length_mm": joint.length,
            "in_top_mm": joint.embedment,
            "counterbore_mm": joint.counterbore,
            "pilot_mm": snap(joint.pilot),
            "slot_mm": joint.slot,
        }
    }


def joint_data(joint: Joint, measured: Any = None) -> dict[str, Any]:
    """One joint; the member that receives comes first in ``members``."""
    data: dict[str, Any] = {
        "name": joint.name,
        "kind": joint.kind,
        "members": [m.name for m in joint.members],
    }
    if isinstance(joint, MortiseTenon):
        data |= _tenon(joint)
    elif isinstance(joint, LagBolt):
        data |= _bolt(joint)
    else:
        data |= aslant_data(joint)
        if isinstance(joint, Drawbored) and joint.draw:
            data["pegs"] = peg_data(joint)
    if isinstance(joint, LetIn):
        data["fit"] = joint.fit.name
    numbers = plain(joint.numbers())
    if numbers:
        data["numbers"] = numbers
    gaps = [
        {"what": g.what, "of": g.of, "against": g.against, "room_mm": snap(g.room)}
        for g in joint.gaps()
    ]
    if gaps:
        data["gaps"] = gaps
    if measured is not None:
        data["measured"] = plain(measured)
    return data


def joint_words(joint: Joint, unit: LengthUnit) -> str:
    """A joint's sizes in one line, such as ``trench depth 8 mm, rise 0.143``."""
    data = joint_data(joint)
    found = [f"fit {data['fit']}"] if "fit" in data else []
    for part in ("tenon", "mortise", "notch", "bolt", "numbers"):
        found += [_words(part, key, value, unit) for key, value in data.get(part, {}).items()]
    pegs = data.get("pegs", [])
    if pegs:
        first = pegs[0]
        sizes = (first["diameter_mm"], first["offset_mm"])
        wide, draw = (format_length(x, unit=unit, denominator=64) for x in sizes)
        found.append(f"{len(pegs)} peg{'s' if len(pegs) > 1 else ''} of {wide}, draw {draw}")
    return ", ".join(words for words in found if words)


def _words(part: str, key: str, value: Any, unit: LengthUnit) -> str:
    name = key.removesuffix("_mm").removesuffix("_degrees").replace("_", " ")
    if part != "numbers":
        name = f"{part} {name}"
    if isinstance(value, bool):
        return name if value else ""
    if key.endswith("_mm"):
        return f"{name} {format_length(value, unit=unit, denominator=64)}"
    if key.endswith("_degrees"):
        return f"{name} {value:.2f}°"
    return f"{name} {value:.3g}" if isinstance(value, float) else f"{name} {value}"
