"""The estimates behind the rules, gathered for the report: one entry a subject."""

from __future__ import annotations

import dataclasses
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from treenail.checks.assembly.plan import AssemblyPlan
    from treenail.checks.rules import Context


def analyse(context: Context) -> dict[str, Any]:
    """Every subject's data for a bench; dataclasses and plain values.

    Subjects: ``tolerances``, ``matters_most``, ``machines``, ``milling``, ``seasons``,
    ``assembly``, ``strength``.
    """
    from treenail.checks.assembly.plan import assembly_data
    from treenail.checks.machines import machine_data
    from treenail.checks.milling import milling_data
    from treenail.checks.season_data import season_data
    from treenail.checks.strength.data import strength_data
    from treenail.checks.tolerances import tolerance_data, what_matters_most

    machine, share = what_matters_most(context)
    return {
        "tolerances": tolerance_data(context),
        "matters_most": {"machine": machine, "share_of_variance": share},
        "machines": machine_data(context),
        "milling": milling_data(context),
        "seasons": season_data(context).as_dict(),
        "assembly": _assembly(assembly_data(context)),
        "strength": strength_data(context).as_dict(),
    }


def _assembly(plan: AssemblyPlan) -> dict[str, Any]:
    """The plan without its inner workings: steps, sub-assemblies, the exploded view."""
    steps = []
    for step in plan.steps:
        data = {f.name: getattr(step, f.name) for f in dataclasses.fields(step)}
        data["driven"] = [d.name for d in step.driven]
        data["moves"] = [
            {
                "members": m.members,
                "direction": m.direction,
                "distance_mm": m.distance,
                "joints": m.joints,
                **({"approach": m.approach} if m.approach else {}),
            }
            for m in step.moves
        ]
        data["distance_mm"] = data.pop("distance")
        steps.append(data)
    return {
        "steps": steps,
        "whole": plan.whole,
        "exploded_mm": plan.explode,
        "knots": plan.knots,
        "late_glue": plan.late_glue,
    }
