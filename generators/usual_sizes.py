"""A family's usual sizes, and the reasons for them, in the units that a bench is made in."""

from __future__ import annotations

import dataclasses
import re
from fractions import Fraction
from typing import Any

from treenail.generators.families import family_spec
from treenail.generators.params import Param, params
from treenail.generators.spec_values import Units
from treenail.timber.metric_sizes import metric_size

__all__ = ["told", "usual_spec"]

INCH = 25.4
_NUMBER = r"(?:\d+ )?\d+/\d+|\d+"
#: "3 in", "2 3/4 to 3 in", and "3/4 in or 20 mm", which says both by itself.
_INCHES = re.compile(rf"({_NUMBER})(?: to ({_NUMBER}))? in\b(?: or ([\d.]+ mm))?")


def usual_spec(family: str, units: Units) -> Any:
    """A family's spec with its usual sizes, in mm, for a bench measured in ``units``.

    Raises :class:`SpecError` for an unknown family.
    """
    spec = family_spec(family)()
    return spec if units == "in" else _metric(spec)


def _metric(spec: Any) -> Any:
    changed: dict[str, Any] = {}
    for name, param in params(spec).items():
        value = getattr(spec, name)
        if param.kind == "section":
            changed[name] = _metric(value)
        elif param.kind == "length" and value and not param.inch_sizes:
            own = param.metric if value == param.default else None
            changed[name] = metric_size(value) if own is None else float(own)
    return dataclasses.replace(spec, **changed)


def told(param: Param, units: Units) -> str:
    """A parameter's reason, its lengths in ``units``."""

    def in_units(found: re.Match[str]) -> str:
        one, other, metric = found.groups()
        if units == "in":
            return found[0].removesuffix(f" or {metric}")
        return metric or f"{' to '.join(_in_mm(x) for x in (one, other) if x)} mm"

    return param.why if param.inch_sizes else _INCHES.sub(in_units, param.why)


def _in_mm(inches: str) -> str:
    return f"{metric_size(float(sum(map(Fraction, inches.split()))) * INCH):g}"
