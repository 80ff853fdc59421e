"""A bench as a CadQuery assembly: named, coloured, alike parts shared, in sub-assemblies."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import cadquery as cq

    from treenail.generators.solids import BenchSolids


def assembly(solids: BenchSolids) -> cq.Assembly:
    """The bench's parts under their sub-assemblies; colours by role."""
    import cadquery as cq

    from treenail.generators.solids import location
    from treenail.templates.step import colour_of

    bench = solids.bench
    root = cq.Assembly(name="bench")
    groups: dict[str, cq.Assembly] = {}
    for name in (*solids.keys, *solids.bolts):
        member = bench.by_name.get(name)
        group = (member.assembly or "parts") if member else "hardware"
        role = member.role if member else "hardware"
        if group not in groups:
            groups[group] = cq.Assembly(name=group)
        groups[group].add(
            solids.local(name),
            name=name,
            loc=location(solids.placement(name)),
            color=cq.Color(*colour_of(role)),
        )
    for part in groups.values():
        root.add(part)
    return root
