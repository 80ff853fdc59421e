"""The estimates behind the rules, gathered for the report: one entry a subject."""

from __future__ import annotations

from typing import Any

from treenail.checks.rules import Context


def analyse(context: Context) -> dict[str, Any]:
    """Every subject's data for a bench; dataclasses and plain values.

    Subjects: ``tolerances``, ``matters_most``, ``machines``, ``milling``, ``strength``.
    """
    from treenail.checks.machines import machine_data
    from treenail.checks.milling import milling_data
    from treenail.checks.strength.data import strength_data
    from treenail.checks.tolerances import tolerance_data, what_matters_most

    machine, share = what_matters_most(context)
    return {
        "tolerances": tolerance_data(context),
        "matters_most": {"machine": machine, "share_of_variance": share},
        "machines": machine_data(context),
        "milling": milling_data(context),
        "strength": strength_data(context).as_dict(),
    }
