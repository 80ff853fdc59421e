"""The JSON Schemas of glue files and of racks in YAML, for editors; the readers stay the judges.

Write the published copies anew, in the project's folder, with
``python -m treenail.shop.file_schemas``.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from treenail.generators.schema import LENGTH_PATTERN, publish
from treenail.generators.temperatures import bare_temperature
from treenail.shop.glue import Glue, GlueField, glue_fields
from treenail.shop.rack_text import rack_schema
from treenail.timber.lengths import MM_PER_FOOT, MM_PER_INCH
from treenail.timber.quantities import MPA_PER_PSI, N_PER_LBF

__all__ = ["SCHEMAS", "glue_schema", "main", "schema_text"]

FOLDER = Path("plugin/schemas")
"""Where the published copies stand, from the project's folder."""
#: What one of a bare number's unit is in the unit inside, by kind, for files in inches.
_INCH_UNITS: Mapping[str, float] = {
    "length": MM_PER_INCH,
    "force": N_PER_LBF,
    "pressure": MPA_PER_PSI,
    "pace": (MM_PER_FOOT / 1000.0) ** 2,
}
_UNIT_NAMES: Mapping[str, tuple[str, str]] = {
    "length": ("in", "mm"),
    "force": ("lbf", "N"),
    "pressure": ("psi", "MPa"),
    "pace": ("ft2/min", "m2/min"),
    "temperature": ("°F", "°C"),
    "minutes": ("min", "min"),
    "grams": ("g/m2", "g/m2"),
}


def glue_schema() -> dict[str, Any]:
    """The JSON Schema (draft 2020-12) of glue files."""
    definitions: dict[str, Any] = {}
    branches = []
    for units in ("in", "mm"):
        properties: dict[str, Any] = {"units": True}
        for name, field in glue_fields().items():
            properties[name] = _property(name, field, units)
        definitions[f"glue.{units}"] = {
            "type": "object",
            "additionalProperties": False,
            "properties": properties,
        }
        condition = {"properties": {"units": {"const": units}}, "required": ["units"]}
        branches.append({"if": condition, "then": {"$ref": f"#/$defs/glue.{units}"}})
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Treenail glue",
        "description": "A glue as its label says, and the shop's clamps, for Treenail.",
        "type": "object",
        "required": ["units"],
        "properties": {"units": {"description": "Of bare numbers.", "enum": ["in", "mm"]}},
        "allOf": branches,
        "$defs": definitions,
    }


def _bare(kind: str, value: float, units: str) -> float:
    """A figure as a bare number of a file."""
    if kind == "temperature":
        return bare_temperature(value, "in" if units == "in" else "mm")
    factor = _INCH_UNITS.get(kind, 1.0) if units == "in" else 1.0
    return value / factor


def _property(name: str, field: GlueField, units: str) -> dict[str, Any]:
    default = getattr(Glue(), name)
    schema: dict[str, Any] = {"description": field.why}
    if field.kind == "choice":
        return {**schema, "enum": list(field.choices), "default": default}
    if field.kind == "text":
        limits = {"minLength": int(field.low), "maxLength": int(field.high)}
        return {**schema, "type": "string", **limits}
    unit = _UNIT_NAMES.get("pressure" if field.kind == "pressures" else field.kind)
    if unit:
        schema["description"] += f" [{unit[0 if units == 'in' else 1]}]"
    text: dict[str, Any] = {"type": "string", "minLength": 1, "maxLength": 60}
    if field.kind == "pressures":
        return {**schema, **text, "pattern": "[0-9].*(to|-|–).*[0-9]"}
    if field.kind == "length":
        text["pattern"] = LENGTH_PATTERN
    low, high = (_bare(field.kind, x, units) for x in (field.low, field.high))
    number = {
        "type": "integer" if field.kind == "count" else "number",
        "minimum": low - 1e-9 * abs(low),
        "maximum": high + 1e-9 * abs(high),
    }
    if field.kind == "count":
        number |= {"minimum": int(field.low), "maximum": int(field.high)}
    return {**schema, "anyOf": [number, text]}


SCHEMAS: Mapping[str, Callable[[], dict[str, Any]]] = {"glue": glue_schema, "rack": rack_schema}
"""By the word in the published file's name."""


def schema_text(which: str) -> str:
    """A schema as its published copy has it, byte for byte."""
    return json.dumps(SCHEMAS[which](), indent=1, ensure_ascii=False) + "\n"


def main() -> None:
    """Write the published copies, each whole or not at all; run it in the project's folder."""
    for which in SCHEMAS:
        path = FOLDER / f"{which}.schema.json"
        publish(path, schema_text(which))
        sys.stdout.write(f"{path}\n")


if __name__ == "__main__":
    main()
