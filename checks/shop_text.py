"""The starter of shop files, and their JSON Schema for editors.

Write the schema's published copy anew, in the project's folder, with
``python -m treenail.checks.shop_text``.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

from treenail.checks.shop_file import BESIDE, machines_class
from treenail.checks.tuning import LONGEST_REASON, SECTION
from treenail.generators.schema import define_section, publish, text_forms
from treenail.generators.spec_values import Units
from treenail.generators.starter import comment_lines, section_lines
from treenail.timber.errors import SpecError

__all__ = ["PUBLISHED", "main", "shop_schema", "shop_schema_text", "shop_starter_text"]

PUBLISHED = Path("plugin/schemas/shop.schema.json")
"""Where the published schema stands, from the project's folder."""

_HEAD = (
    "A shop: what its machines can do and what they hold.",
    "Every line may be left out: its default, shown here, then holds.",
    "The defaults are guesses for a small shop: common practice or our own choice, no source.",
    "Measure your own machines: cut ten pieces to one setting, and write half of the spread.",
    "Where a machine can hurt someone, its manual has the last word over any limit here.",
)
_TUNING = """\
# Rules that this shop sees otherwise: severity (error, warning, advice), for some rules a limit,
# and always the reason, which every report repeats. No rule can be switched off; one that
# follows from geometry stays an error. `treenail explain` lists the rules.
# tuning:
#   fit-yield:
#     severity: advice
#     limit: 70
#     reason: We pare every tenon to its own mortise anyway.""".splitlines()


def shop_starter_text(units: Units) -> str:
    """A commented shop file with every field at its default; SpecError for another unit."""
    if units not in ("in", "mm"):
        raise SpecError(f"{units!r} is no unit for a shop file", field="units", allowed="in, mm")
    lines = [line for text in _HEAD for line in comment_lines(text)]
    lines += ["", f"units: {units}", *section_lines(machines_class(units)(), units), "", *_TUNING]
    return "\n".join(lines) + "\n"


def shop_schema() -> dict[str, Any]:
    """The JSON Schema (draft 2020-12) of shop files; the reader stays the judge."""
    definitions = {**text_forms(), "tuning": _tuning()}
    branches = []
    all_units: tuple[Units, ...] = ("in", "mm")
    for units in all_units:
        beside = dict.fromkeys(BESIDE, True)
        reference = define_section(machines_class(units), "shop", units, definitions, beside=beside)
        condition = {"properties": {"units": {"const": units}}, "required": ["units"]}
        branches.append({"if": condition, "then": reference})
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Treenail shop",
        "description": "A shop's machines, and the rules it sees otherwise, for Treenail.",
        "type": "object",
        "required": ["units"],
        "properties": {
            "units": {"description": "Of numbers without a unit.", "enum": list(all_units)},
            SECTION: {
                "description": "Rules that the shop sees otherwise, by code.",
                "anyOf": [
                    {"type": "object", "additionalProperties": {"$ref": "#/$defs/tuning"}},
                    {"type": "null"},
                ],
            },
        },
        "allOf": branches,
        "$defs": definitions,
    }


def shop_schema_text() -> str:
    """The schema as the published copy has it, byte for byte."""
    return json.dumps(shop_schema(), indent=1, ensure_ascii=False) + "\n"


def _tuning() -> dict[str, Any]:
    return {
        "type": "object",
        "required": ["reason"],
        "additionalProperties": False,
        "properties": {
            "severity": {"enum": ["error", "warning", "advice"]},
            "limit": {"type": ["number", "string"], "description": "In the rule's own unit."},
            "reason": {"type": "string", "minLength": 8, "maxLength": LONGEST_REASON},
        },
    }


def main() -> None:
    """Write the published copy; run it in the project's folder."""
    publish(PUBLISHED, shop_schema_text())
    sys.stdout.write(f"{PUBLISHED}\n")


if __name__ == "__main__":
    main()
