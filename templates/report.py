"""The report as data: what the bench is, how its joints are meant and measured, what was found."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from treenail.checks.strength.mass import bench_mass
from treenail.templates.joint_report import joint_data, plain

if TYPE_CHECKING:
    from treenail.checks.rules import Report
    from treenail.generators.bench import Bench
    from treenail.shop.cutlist import CutRow

#: Version of the report's layout; the schema's file name carries it too.
LAYOUT = 1
CAUTION = (
    "Computed from the numbers given; no certificate. Saws and cutters injure: follow each "
    "machine's manual, use guards and push sticks, lift heavy parts with two people. Local "
    "codes and licensed practice decide where loads can hurt someone."
)


def spec_data(spec: Any) -> Any:
    """A spec as JSON data; of the fittings only those that are asked for."""
    data = plain(spec)
    if isinstance(data, dict) and "fittings" in data:
        wanted = {k: v for k, v in data.pop("fittings").items() if v["enabled"]}
        data |= {"fittings": wanted} if wanted else {}
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
