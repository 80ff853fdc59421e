"""The report as data: what the bench is, how its joints are meant and measured, what was found."""

from __future__ import annotations

import dataclasses
import json
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from treenail.checks.strength.mass import bench_mass
from treenail.joints.lag_bolt import LagBolt
from treenail.joints.mortise_tenon import MortiseTenon
from treenail.timber.frames import snap
from treenail.timber.iso_fits import coarsest_grade_within

if TYPE_CHECKING:
    from treenail.checks.rules import Report
    from treenail.generators.bench import Bench
    from treenail.joints.base import Joint
    from treenail.shop.cutlist import CutRow

#: Version of the report's layout; the schema's file name carries it too.
LAYOUT = 1
CAUTION = (
    "Computed from the numbers given; no certificate. Saws and cutters injure: follow each "
    "machine's manual, use guards and push sticks, lift heavy parts with two people. Local "
    "codes and licensed practice decide where loads can hurt someone."
)


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


def spec_data(spec: Any) -> Any:
    """A spec as JSON data; of the fittings only those that are asked for."""
    data = plain(spec)
    if isinstance(data, dict) and "fittings" in data:
        wanted = {k: v for k, v in data.pop("fittings").items() if v["enabled"]}
        data |= {"fittings": wanted} if wanted else {}
    return data


def _tenon(joint: MortiseTenon) -> dict[str, Any]:
    s, fit = joint.shoulders, joint.fit
    data: dict[str, Any] = {
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
        "pegs": [],
    }
    if joint.draw:
        data["pegs"] = [
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
            }
            for peg, (x, setback) in zip(joint.pegs(), joint.peg_points, strict=True)
        ]
    return data


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
    if measured is not None:
        data["measured"] = plain(measured)
    return data


def report_data(
    bench: Bench,
    report: Report,
    *,
    rows: Sequence[CutRow],
    shared_with: Mapping[str, str],
    measured: Mapping[str, Any],
    analysis: Mapping[str, Any],
    version: str,
) -> dict[str, Any]:
    """Everything but the list of files.

    Args:
        bench: the numbers.
        report: the findings.
        rows: the cut list.
        shared_with: for each member the first one of the same shape.
        measured: what was measured on the solids, by joint name.
        analysis: estimates by subject.
        version: of the program.
    """
    counts = report.counts()
    return {
        "layout": LAYOUT,
        "program": {"name": "treenail", "version": version},
        "caution": CAUTION,
        "passed": report.passed,
        "bench": {
            "name": bench.name,
            "family": bench.family,
            "units": bench.units,
            "length_mm": bench.asked[0],
            "depth_mm": bench.asked[1],
            "height_mm": bench.asked[2],
            "moisture_percent": plain(bench.seasons),
            "spec": spec_data(bench.spec),
            "settled": plain(bench.choices),
        },
        "members": [
            {
                "name": m.name,
                "role": m.role,
                "assembly": m.assembly,
                "shape_shared_with": shared_with.get(m.name, m.name),
                "species": m.species.name,
                "plies": m.plies,
                "length_mm": m.length,
                "width_mm": m.width,
                "thickness_mm": m.thickness,
                "volume_mm3": round(bench.volumes[m.name], 6),
                "mass_kg": round(bench.masses[m.name], 6),
            }
            for m in bench.members
        ],
        "hardware": [
            {
                "name": h.name,
                "kind": h.kind,
                "size": h.size.name,
                "washer": h.size.washer,
                "length_mm": h.length,
                "source": h.size.source,
            }
            for h in bench.hardware
        ],
        "joints": [joint_data(j, measured.get(j.name)) for j in bench.joints],
        "findings": [f.as_dict() for f in report.findings],
        "rules_checked": list(report.checked),
        "rules_not_run": list(report.skipped),
        "tunings": [t.as_dict() for t in report.tunings],
        "analysis": plain(analysis),
        "totals": {
            "members": len(bench.timbers),
            "pegs": len(bench.pegs),
            "bolts": bench.hardware_counts["bolts"],
            "joints": len(bench.joints),
            "mass_kg": round(bench_mass(bench).total, 6),
            "net_board_feet": round(sum(r.net for r in rows), 6),
            "rough_board_feet": round(sum(r.rough for r in rows), 6),
            **counts,
        },
    }


def to_json(data: Mapping[str, Any]) -> bytes:
    """JSON with a fixed layout; no NaN or infinity."""
    text = json.dumps(data, indent=1, ensure_ascii=True, allow_nan=False)
    return (text + "\n").encode("ascii")
