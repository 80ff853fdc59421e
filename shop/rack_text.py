"""The starter of a rack, as CSV or YAML, and the JSON Schema of racks in YAML."""

from __future__ import annotations

from typing import Any, Literal

from treenail.generators.starter import comment_lines
from treenail.shop.rack import MAX_BOARDS, MAX_DEFECTS
from treenail.timber.errors import SpecError
from treenail.timber.lumber import QUARTERS

__all__ = ["rack_schema", "rack_starter_text"]

Units = Literal["in", "mm"]
Form = Literal["csv", "yaml"]

_WHY = {
    "name": "As chalked on the board: up to 40 letters, digits, spaces and _ . -",
    "species": "A wood that `treenail species` lists, or one that the bench's spec adds.",
    "quarter": f"Nominal thickness: {', '.join(q.name for q in QUARTERS)}.",
    "width": "At its narrowest.",
    "length": "Over all.",
    "usable_length": "From the near end, without checked ends; left out: both ends are trimmed.",
    "price": "Of this board, in your own money; only a plan by price asks for it.",
    "count": "Boards alike; left out: one.",
    "defects": "Along the board from its near end, and across from its face edge.",
}
_HEAD = (
    "The boards of a shop. The boards below are made up, to show how: write your own over them.",
    "Which end is the near end, and which edge the face edge, is your choice: chalk it on.",
)
_CSV = (
    "One board a row; lines that begin with # are remarks; quotes around a cell with a comma.",
    "Bare numbers are {unit} where the column says so; fractions such as 9 1/4 are read, too.",
)
_EXAMPLES: dict[str, tuple[dict[str, str], ...]] = {
    "in": (
        {"name": "example 1", "quarter": "8/4", "width": "9 1/4", "length": "126"},
        {"name": "example 2", "quarter": "8/4", "width": "7 1/2", "length": "120"},
        {"name": "example 3", "quarter": "4/4", "width": "6", "length": "96"},
    ),
    "mm": (
        {"name": "example 1", "quarter": "8/4", "width": "235", "length": "3200"},
        {"name": "example 2", "quarter": "8/4", "width": "190", "length": "3050"},
        {"name": "example 3", "quarter": "4/4", "width": "150", "length": "2450"},
    ),
}
_MORE: dict[str, tuple[dict[str, str], ...]] = {
    "in": (
        {"usable_length": "122", "price": "118", "defects": "knot 40 to 43 across 0 to 2 1/2"},
        {"defects": "knot 30 to 32; split 112 to 120"},
        {"count": "3"},
    ),
    "mm": (
        {"usable_length": "3100", "price": "118", "defects": "knot 1010 to 1090 across 0 to 60"},
        {"defects": "knot 760 to 810; split 2850 to 3050"},
        {"count": "3"},
    ),
}


def rack_starter_text(units: Units, form: Form = "csv") -> str:
    """A commented rack with three boards to write over; SpecError for another unit or form."""
    if units not in ("in", "mm"):
        raise SpecError(f"{units!r} is no unit for a rack", field="units", allowed="in, mm")
    if form not in ("csv", "yaml"):
        raise SpecError(f"{form!r} is no form of a rack", field="form", allowed="csv, yaml")
    boards = [
        {"name": b["name"], "species": "white ash", **b, **more}
        for b, more in zip(_EXAMPLES[units], _MORE[units], strict=True)
    ]
    return _csv(units, boards) if form == "csv" else _yaml(units, boards)


def _csv(units: Units, boards: list[dict[str, str]]) -> str:
    unit = "inches" if units == "in" else "mm"
    lines = [x for text in (*_HEAD, *_CSV) for x in comment_lines(text.format(unit=unit))]
    lines.append("#")
    lines += [x for name, why in _WHY.items() for x in comment_lines(f"{name}: {why}")]
    lengths = ("width", "length", "usable_length", "defects")
    lines.append(",".join(f"{n} {units}" if n in lengths else n for n in _WHY))
    lines += [",".join(b.get(n, "") for n in _WHY) for b in boards]
    return "\n".join(lines) + "\n"


def _yaml(units: Units, boards: list[dict[str, str]]) -> str:
    lines = [x for text in _HEAD for x in comment_lines(text)]
    lines.append("#")
    lines += [x for name, why in _WHY.items() for x in comment_lines(f"{name}: {why}")]
    lines += ["", "# Of bare numbers: in or mm.", f"units: {units}", "", "boards:"]
    for b in boards:
        for k, (name, value) in enumerate(b.items()):
            lines.append(f"  {'- ' if k == 0 else '  '}{name}: {value}")
    return "\n".join(lines) + "\n"


def rack_schema() -> dict[str, Any]:
    """The JSON Schema (draft 2020-12) of racks in YAML; the reader stays the judge."""
    size = {"type": ["number", "string"], "minLength": 1}
    properties: dict[str, Any] = {
        "name": {"type": ["string", "number"], "pattern": "^[A-Za-z0-9][A-Za-z0-9 _.-]{0,39}$"},
        "species": {"type": "string", "minLength": 1},
        "quarter": {"enum": [*(q.name for q in QUARTERS), *(q.quarters for q in QUARTERS)]},
        "width": size,
        "length": size,
        "usable_length": size,
        "price": {"type": "number", "minimum": 0},
        "count": {"type": "integer", "minimum": 1, "maximum": MAX_BOARDS},
        "defects": {
            "anyOf": [
                {"type": "string"},
                {"type": "array", "maxItems": MAX_DEFECTS, "items": {"$ref": "#/$defs/defect"}},
            ]
        },
    }
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Treenail rack",
        "description": "The boards that a shop has, for Treenail.",
        "type": "object",
        "required": ["units", "boards"],
        "additionalProperties": False,
        "properties": {
            "units": {"description": "Of numbers without a unit.", "enum": ["in", "mm"]},
            "boards": {
                "type": "array",
                "minItems": 1,
                "maxItems": MAX_BOARDS,
                "items": {"$ref": "#/$defs/board"},
            },
        },
        "$defs": {
            "board": {
                "type": "object",
                "required": ["name", "species", "quarter", "width", "length"],
                "additionalProperties": False,
                "properties": {
                    name: {"description": _WHY[name], **schema}
                    for name, schema in properties.items()
                },
            },
            "defect": {
                "type": "object",
                "required": ["from", "to"],
                "additionalProperties": False,
                "properties": {
                    "what": {"type": "string", "pattern": "^[A-Za-z][A-Za-z -]{0,29}$"},
                    "from": {**size, "description": "Along the board, from its near end."},
                    "to": {**size, "description": "Along the board, from its near end."},
                    "low": {**size, "description": "Across, from its face edge."},
                    "high": {**size, "description": "Across, from its face edge."},
                },
            },
        },
    }
