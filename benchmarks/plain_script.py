"""The baseline: the frame bench as a plain CadQuery script would model it, cut after cut.

One feature at a time on a Workplane, one object a member, nothing shared. It makes the same
cuts as the generator (their numbers come from it), so that only the way of modelling differs.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import cadquery as cq

if TYPE_CHECKING:
    from treenail.generators.bench import Bench


def model(bench: Bench) -> dict[str, cq.Workplane]:
    """Every member and peg by name, in the bench's coordinates."""
    from treenail.generators.kernel import cutter_solids, location, stock_solid

    parts: dict[str, cq.Workplane] = {}
    for member in bench.members:
        part = cq.Workplane(obj=stock_solid(member))
        for cut in bench.cuts[member.name]:
            for cutter in cut.cutters(member):
                for tool in cutter_solids(cutter):
                    part = part.cut(cq.Workplane(obj=tool))
        placed = part.val().moved(location(member.placement))
        parts[member.name] = cq.Workplane(obj=placed)
    return parts


def write_step(parts: dict[str, cq.Workplane], path: Path) -> None:
    """One STEP file by CadQuery's own exporter."""
    assembly = cq.Assembly(name="bench")
    for name, part in parts.items():
        assembly.add(part, name=name)
    assembly.export(str(path))
