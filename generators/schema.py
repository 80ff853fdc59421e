"""The JSON Schema of spec files, for editors that complete and check while one types.

Made from the parameters' declarations. A bare number's range follows from the file's ``units``;
without them only what brings its own unit is allowed.
The reader stays the judge: only it knows that ``60 bananas`` is no length, and that the bench's
name in ``name: 5`` is text. Write the published copy anew, in the project's
folder, with ``python -m treenail.generators.schema``.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

from treenail.generators.families import FAMILIES, FILE_FIELDS, family_spec
from treenail.generators.params import Param, params
from treenail.generators.spec_values import (
    AUTO,
    MAX_LIST,
    MAX_TEXT,
    Units,
    inner_limits,
    range_text,
)
from treenail.generators.starter import spec_length
from treenail.generators.temperatures import bare_temperature
from treenail.timber.errors import OutputError
from treenail.timber.lengths import MAX_LENGTH_TEXT

__all__ = [
    "LENGTH_PATTERN",
    "PUBLISHED",
    "define_section",
    "json_schema",
    "main",
    "publish",
    "schema_text",
    "text_forms",
]

PUBLISHED = Path("plugin/schemas/spec.schema.json")
"""Where the published copy stands, from the project's folder."""

_GLYPHS = "½⅓⅔¼¾⅕⅖⅗⅘⅙⅚⅐⅛⅜⅝⅞⅑⅒"
_NUMBER = rf"[0-9.{_GLYPHS}][0-9\s./⁄{_GLYPHS}−–-]*"
_UNIT = """[A-Za-zµ_.'"′’″”“]*"""
LENGTH_PATTERN = rf"^\s*[+−–-]?\s*{_NUMBER}{_UNIT}(\s*[−–-]?\s*{_NUMBER}{_UNIT})?\s*$"
"""What a length's text looks like; looser than the reader, never stricter."""
_DECIMAL = r"[+-]?([0-9]+\.?[0-9]*|\.[0-9]+)"
_PERCENT_PATTERN = rf"^\s*{_DECIMAL}\s*%?\s*$"
_ANGLE_PATTERN = rf"^\s*{_DECIMAL}\s*°?\s*$"
_TEMPERATURE_PATTERN = r"^\s*[+-]?[0-9.][0-9\s./eE+-]*(deg|°)?[CF]?\s*$"
_BARE_PATTERN = rf"^[0-9\s.+/⁄{_GLYPHS}−–-]*$"
_TEXT_PATTERN = "^[A-Za-z0-9 _-]*$"
_UNITS: tuple[Units, ...] = ("in", "mm")
_TEXT_KINDS = ("length", "tolerance", "angle", "percent", "temperature")
_NO_BARE_NUMBER = {"$ref": "#/$defs/no_bare_number"}
_TEXT_FORM: dict[str, dict[str, Any]] = {k: {"$ref": f"#/$defs/{k}_text"} for k in _TEXT_KINDS}


def json_schema(family: str | None = None) -> dict[str, Any]:
    """Return the schema (draft 2020-12) of one family's spec files, or of all families'."""
    families = tuple(FAMILIES) if family is None else (family,)
    bare = {"anyOf": [{"type": "number"}, {"type": "string", "pattern": _BARE_PATTERN}]}
    definitions = {**text_forms(), "no_bare_number": {"not": bare}, "species": _species()}
    branches = []
    for name in families:
        kind, family_name = family_spec(name), {"bench": {"const": name}}
        whole = {
            units: define_section(kind, name, units, definitions, beside=_beside())
            for units in _UNITS
        }
        for units, reference in whole.items():
            heading = {**family_name, "units": {"const": units}}
            condition = {"properties": heading, "required": ["bench", "units"]}
            branches.append({"if": condition, "then": reference})
        no_units = {"required": ["bench"], "not": {"required": ["units"]}}
        parts = [whole["mm"], _define_unitless(kind, name, definitions)]
        branches.append(
            {
                "if": {"properties": family_name, **no_units},
                "then": {"allOf": [part for part in parts if part]},
            }
        )
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Treenail spec",
        "description": "Sizes of a workbench, for Treenail.",
        "type": "object",
        "required": ["bench"],
        "properties": {
            "bench": {"description": FILE_FIELDS["bench"], "enum": list(families)},
            "units": {"description": FILE_FIELDS["units"], "enum": list(_UNITS)},
        },
        "allOf": branches,
        "$defs": definitions,
    }


def schema_text(family: str | None = None) -> str:
    """Return the schema as the published copy has it, byte for byte."""
    return json.dumps(json_schema(family), indent=1, ensure_ascii=False) + "\n"


def text_forms() -> dict[str, Any]:
    """The definitions of what a figure's text looks like, which every section refers to."""
    text: dict[str, Any] = {"type": "string"}
    forms = {
        "length": {**text, "pattern": LENGTH_PATTERN, "maxLength": MAX_LENGTH_TEXT},
        # It may begin with a plus-or-minus sign: the reader is the judge.
        "tolerance": {**text, "minLength": 1, "maxLength": MAX_LENGTH_TEXT},
        "angle": {**text, "pattern": _ANGLE_PATTERN, "maxLength": 40},
        "percent": {**text, "pattern": _PERCENT_PATTERN, "maxLength": 40},
        "temperature": {**text, "pattern": _TEMPERATURE_PATTERN, "maxLength": 64},
    }
    return {f"{kind}_text": form for kind, form in forms.items()}


def _beside() -> dict[str, Any]:
    """What a spec file has beside its family's own fields."""
    woods = {"type": "array", "maxItems": 50, "items": {"$ref": "#/$defs/species"}}
    return {
        "bench": True,
        "units": True,
        "species_added": {
            "description": FILE_FIELDS["species_added"],
            "anyOf": [woods, {"type": "null"}],
        },
    }


def define_section(
    kind: type[Any],
    prefix: str,
    units: Units,
    definitions: dict[str, Any],
    *,
    beside: dict[str, Any] | None = None,
) -> dict[str, Any]:
    """Put the schema of a declared dataclass among the definitions; return the reference to it.

    Sections that several families have stand there once: ``Top`` as ``in.Top`` and ``mm.Top``. The
    ``prefix`` tells apart other classes of the same name: ``raised.in.Feet``. ``beside`` are
    further properties, of a whole file.
    """
    schema: dict[str, Any] = {"type": "object", "additionalProperties": False}
    schema["properties"] = dict(beside or {})
    for name, param in params(kind).items():
        if param.kind == "section":
            inner = define_section(type(param.default), prefix, units, definitions)
            changed = _changed(param.default, units)
            schema["properties"][name] = {
                "description": param.why,
                # null: a heading whose fields are all left out
                "anyOf": [inner, {"type": "null"}],
                **({"default": changed} if changed else {}),
            }
        else:
            schema["properties"][name] = _property(param, units)
    return _defined(f"{units}.{kind.__name__}", prefix, schema, definitions)


def _define_unitless(
    kind: type[Any], prefix: str, definitions: dict[str, Any]
) -> dict[str, Any] | None:
    """Refer to what a file without units may not have either: bare lengths and temperatures.

    None where a section has neither.
    """
    properties: dict[str, Any] = {}
    for name, param in params(kind).items():
        if param.kind == "section":
            inner = _define_unitless(type(param.default), prefix, definitions)
            properties |= {name: inner} if inner else {}
        elif param.kind == "lengths":
            properties[name] = {"items": _NO_BARE_NUMBER}
        elif param.kind in ("length", "tolerance", "temperature"):
            properties[name] = _NO_BARE_NUMBER
    if not properties:
        return None
    return _defined(f"unitless.{kind.__name__}", prefix, {"properties": properties}, definitions)


def _defined(
    key: str, prefix: str, schema: dict[str, Any], definitions: dict[str, Any]
) -> dict[str, Any]:
    if definitions.setdefault(key, schema) != schema:
        key = f"{prefix}.{key}"
        assert definitions.setdefault(key, schema) == schema, key
    return {"$ref": f"#/$defs/{key}"}


def _changed(section: Any, units: Units) -> dict[str, Any]:
    """Return those of a section's defaults that aren't its class's own."""
    plain = type(section)()
    return {
        name: _default(param, getattr(section, name), units)
        for name, param in params(section).items()
        if param.kind != "section" and getattr(section, name) != getattr(plain, name)
    }


def _property(param: Param, units: Units) -> dict[str, Any]:
    schema: dict[str, Any] = {"description": f"{param.why} [{range_text(param, units)}]"}
    forms: list[dict[str, Any]] = []
    if param.kind == "length":
        forms += _length_forms(param, units)
    elif param.kind == "tolerance":
        forms += [{"type": "number", **_limits(param, units)}, _TEXT_FORM["tolerance"]]
    elif param.kind in ("lengths", "words"):
        items = (
            {"anyOf": _length_forms(param, units)}
            if param.kind == "lengths"
            else {"enum": list(param.choices)}
        )
        forms.append({"type": "array", "uniqueItems": True, "maxItems": MAX_LIST, "items": items})
    elif param.kind == "count":
        forms.append({"type": "integer", **_limits(param, units)})
    elif param.kind in ("angle", "percent"):
        forms += [{"type": "number", **_limits(param, units)}, _TEXT_FORM[param.kind]]
    elif param.kind == "temperature":
        forms.append({"type": "number", **_limits(param, units)})
        forms.append(_TEXT_FORM["temperature"])
    elif param.kind == "flag":
        forms.append({"type": "boolean"})
    elif param.kind == "choice":
        forms.append({"enum": list(param.choices)})
    else:
        least = 0 if param.default == "" else 1
        text = {"type": "string", "pattern": _TEXT_PATTERN, "maxLength": MAX_TEXT}
        forms.append({**text, "minLength": least})
    if param.optional:
        forms.append({"const": AUTO})
    schema.update(forms[0] if len(forms) == 1 else {"anyOf": forms})
    schema["default"] = _default(param, param.default, units)
    return schema


def _length_forms(param: Param, units: Units) -> list[dict[str, Any]]:
    return [{"type": "number", **_limits(param, units)}, _TEXT_FORM["length"]]


def _limits(param: Param, units: Units) -> dict[str, float]:
    if param.low is None or param.high is None:
        return {}
    if param.kind in ("length", "tolerance", "lengths"):
        # Inwards to the 1e-6: a number that the schema lets pass, the reader takes.
        low, high = (float(x) for x in inner_limits(param, units, steps=10**6))
        return {"minimum": low, "maximum": high}
    if param.kind == "temperature":
        low, high = (bare_temperature(x, units) for x in (param.low, param.high))
        return {"minimum": low, "maximum": high}
    return {"minimum": param.low, "maximum": param.high}


def _default(param: Param, value: Any, units: Units) -> Any:
    if value is None:
        return AUTO
    if param.kind == "words":
        return list(value)
    if param.kind == "lengths":
        return [_default_length(x, units) for x in value]
    if param.kind == "temperature":
        return bare_temperature(value, units)
    return _default_length(value, units) if param.kind in ("length", "tolerance") else value


def _default_length(mm: float, units: Units) -> str | float:
    written = spec_length(mm, units)
    return written if "/" in written else float(written)


def _species() -> dict[str, Any]:
    figure = {"type": ["number", "string"]}
    plain = {"type": "number"}
    properties: dict[str, Any] = {
        "name": {"type": "string", "pattern": "^[A-Za-z0-9][A-Za-z0-9 _-]*$", "maxLength": 60},
        "group": {"enum": ["hardwood", "softwood"]},
        "g_12": {**plain, "description": "Specific gravity, on the volume at 12 %."},
        "g_0": {**plain, "description": "Specific gravity, on the ovendry volume."},
        "shrink_radial": {**plain, "description": "Percent, green to ovendry."},
        "shrink_tangential": {**plain, "description": "Percent, green to ovendry."},
        "c_radial": {**plain, "description": "Change of size per percent of moisture content."},
        "c_tangential": {**plain, "description": "Change of size per percent of moisture content."},
        "mor": {**figure, "description": "Bending strength; bare numbers are MPa."},
        "moe": {**figure, "description": "Stiffness in bending; bare numbers are MPa."},
        "cpar": {**figure, "description": "Compression along the grain; bare numbers are MPa."},
        "cperp": {**figure, "description": "Compression across the grain; bare numbers are MPa."},
        "shear": {**figure, "description": "Shear along the grain; bare numbers are MPa."},
        "hardness": {**figure, "description": "Side hardness; bare numbers are N."},
        "source": {"type": "string", "maxLength": 200},
    }
    return {
        "type": "object",
        "required": ["name", "group"],
        "additionalProperties": False,
        "properties": properties,
    }


def publish(path: Path, text: str) -> None:
    """Write a published copy, whole or not at all; ``path`` is from the project's folder.

    Raises :class:`OutputError` elsewhere.
    """
    if not path.parent.is_dir():
        raise OutputError(f"there is no folder {path.parent}: run this in the project's folder")
    beside = path.with_suffix(".new")
    beside.write_text(text, encoding="utf-8")
    beside.replace(path)


def main() -> None:
    """Write the published copy; run it in the project's folder."""
    publish(PUBLISHED, schema_text())
    sys.stdout.write(f"{PUBLISHED}\n")


if __name__ == "__main__":
    main()
