"""Parameters told one by one: what each does, what it may be, and what it is if left alone."""

from __future__ import annotations

import difflib
from typing import TYPE_CHECKING, Any

from treenail.generators.families import FAMILIES, FILE_FIELDS
from treenail.generators.params import params
from treenail.generators.spec_values import range_text
from treenail.generators.starter import value_text
from treenail.generators.usual_sizes import told, usual_spec
from treenail.timber.errors import SpecError

if TYPE_CHECKING:
    from collections.abc import Iterator

    from treenail.generators.params import Param
    from treenail.generators.spec_values import Units

__all__ = ["is_parameter", "parameter_rows"]


def is_parameter(path: str) -> bool:
    """Whether this is meant as a parameter: it has a dot, or stands at the top of some spec."""
    return (
        path in FILE_FIELDS
        or "." in path
        or any(path in params(spec) for spec in FAMILIES.values())
    )


def parameter_rows(path: str, units: Units = "in") -> list[dict[str, str]]:
    """Rows on a parameter, or on all of a section, such as ``fittings.leg_vise``.

    Args:
        path: dotted, as in a spec; the first family that has it is told. Or a field of the file.
        units: of lengths.

    Returns:
        ``parameter``, ``default``, ``allowed``, ``why`` and ``family`` of each.

    Raises:
        SpecError: no family has it; the nearest is named.
    """
    if path in FILE_FIELDS:
        allowed = {"bench": ", ".join(FAMILIES), "units": "in, mm", "species_added": "a list"}
        row = {"parameter": path, "default": "", "allowed": allowed[path]}
        return [{**row, "why": FILE_FIELDS[path], "family": ""}]
    known: dict[str, None] = {}
    for family in FAMILIES:
        every = dict(_walk(usual_spec(family, units), ""))
        known |= dict.fromkeys(every)
        if path in every:
            return [
                {
                    "parameter": name,
                    "default": "" if param.kind == "section" else value_text(param, value, units),
                    "allowed": "" if param.kind == "section" else range_text(param, units),
                    "why": told(param, units),
                    "family": family,
                }
                for name, (param, value) in every.items()
                if name == path or name.startswith(f"{path}.")
            ]
    near = difflib.get_close_matches(path[:80], known, n=1)
    hint = f"; did you mean {near[0]!r}?" if near else ""
    raise SpecError(
        f"no bench has a parameter {path[:80]!r}{hint}",
        field="parameter",
        allowed="what `treenail new` writes, with dots between its headings",
    )


def _walk(spec: Any, before: str) -> Iterator[tuple[str, tuple[Param, Any]]]:
    """Every parameter by its dotted name, with its declaration and its value here."""
    for name, param in params(spec).items():
        value = getattr(spec, name)
        yield f"{before}{name}", (param, value)
        if param.kind == "section":
            yield from _walk(value, f"{before}{name}.")
