"""The shop's glue and clamps: pressures, times, spread, what a clamp and a vacuum pump give.

A glue file is flat YAML with ``units:`` (for bare numbers) and any of the fields of
:class:`Glue`. Every default is typical common practice for a yellow wood glue at room
temperature, or our own choice where it says so; the glue's own label has the last word over each
of them.
"""

from __future__ import annotations

import dataclasses
import difflib
import os
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from treenail.generators.spec_values import Units, show
from treenail.generators.yaml_lines import Plain, Tree, placed_errors, read_tree, text_of
from treenail.timber.errors import SpecError
from treenail.timber.lengths import format_length, parse_length
from treenail.timber.quantities import MPA_PER_PSI, N_PER_LBF, Dimension, parse_quantity

__all__ = ["Glue", "GlueField", "glue_fields", "glue_starter_text", "read_glue"]

INCH = 25.4
#: Pressure of the air at sea level, MPa (ISO 2533 standard atmosphere).
SEA_LEVEL = 0.101325
_KEY = "treenail.glue"
_M2_PER_FT2 = 0.3048**2
_PAIR = re.compile(r"(?P<low>[\d.]+)\s*(?:to|-|–)\s*(?P<high>[\d.]+)\s*(?P<unit>\D*)", re.ASCII)
_NUMBER = re.compile(r"(?P<number>\d+\.?\d*|\.\d+)\s*(?P<unit>[A-Za-z][A-Za-z0-9²^/ ]*)?")
_MINUTES = {"min": 1.0, "minute": 1.0, "minutes": 1.0, "h": 60.0, "hour": 60.0, "hours": 60.0}
_QUANTITIES: dict[str, tuple[Dimension, str, str]] = {
    "force": ("force", "lbf", "N"),
    "pressure": ("stress", "psi", "MPa"),
    "temperature": ("temperature", "degF", "degC"),
}
_PACES = {
    "m2/min": 1.0,
    "m²/min": 1.0,
    "ft2/min": _M2_PER_FT2,
    "ft²/min": _M2_PER_FT2,
}
_GRAMS = {"g/m2": 1.0, "g/m²": 1.0}
_NUMBERS: dict[str, tuple[dict[str, float], str]] = {
    "minutes": (_MINUTES, "5 min, 24 h"),
    "grams": (_GRAMS, "200 g/m2"),
    "pace": (_PACES, "1.5 ft2/min, 0.15 m2/min"),
    "count": ({}, "a whole number"),
    "number": ({}, "a number"),
}


@dataclass(frozen=True, slots=True)
class GlueField:
    """What a field of a glue file is: kind, range in the unit inside, and why it is there."""

    kind: str
    low: float
    high: float
    why: str
    choices: tuple[str, ...] = ()


def _f(kind: str, default: Any, low: float, high: float, why: str) -> Any:
    return field(default=default, metadata={_KEY: GlueField(kind, low, high, why)})


def _psi(low: float, high: float) -> tuple[float, float]:
    return (low * MPA_PER_PSI, high * MPA_PER_PSI)


@dataclass(frozen=True, kw_only=True)
class Glue:
    """A glue, and what the shop closes joints with. Pressures MPa, forces N, lengths mm.

    Attributes:
        name: for the papers.
        light, medium, dense: lowest and highest clamp pressure on woods by specific gravity.
        medium_from, dense_from: specific gravity (12 % moisture) at which those woods begin.
        open_time: minutes that spread glue may lie open.
        closed_time: minutes from closing the joint until it is under pressure.
        clamp_time, cure_time: minutes in the clamps, and until it may be machined.
        spread: g/m² of glue line.
        coldest: °C of glue, wood and air.
        drawbored: ``glued`` or ``dry``: what goes into joints that pegs pull shut.
        people: who spread at the same time.
        pace: m² of face that one person spreads in a minute.
        joint_minutes, clamp_minutes, peg_minutes: to spread one joint, set one clamp, drive
            one peg.
        clamp_rating: what one clamp gives.
        clamp_spacing: the most between two clamps.
        caul_thickness: of the battens under the clamps.
        clamps: how many the shop has; 0 if that isn't said.
        vacuum_pull: what the pump pulls below the air's pressure.
        altitude: of the shop above the sea.
    """

    name: str = _f("text", "yellow wood glue", 1, 60, "Name on the papers.")
    light: tuple[float, float] = _f(
        "pressures", _psi(100, 150), 0.001, 5, "Softwoods and light hardwoods; see the label."
    )
    medium: tuple[float, float] = _f(
        "pressures", _psi(125, 175), 0.001, 5, "Woods of middle density; see the label."
    )
    dense: tuple[float, float] = _f(
        "pressures", _psi(175, 250), 0.001, 5, "Dense hardwoods; see the label."
    )
    medium_from: float = _f(
        "number", 0.45, 0.1, 1.5, "Specific gravity from which a wood is of middle density."
    )
    dense_from: float = _f(
        "number", 0.58, 0.1, 1.5, "Specific gravity from which a wood is dense (our own choice)."
    )
    open_time: float = _f("minutes", 5.0, 0.2, 600, "Spread and still open, as the label says.")
    closed_time: float = _f(
        "minutes", 10.0, 0.0, 1440, "Closed, but not yet under pressure, as the label says."
    )
    clamp_time: float = _f("minutes", 45.0, 0.5, 2880, "In the clamps; longer where it is cold.")
    cure_time: float = _f("minutes", 1440.0, 1, 20160, "Until it is machined: the next day.")
    spread: float = _f("grams", 200.0, 20, 1000, "Glue on a line, squeeze-out included.")
    coldest: float = _f("temperature", 10.0, -10, 40, "Glue, wood and air; see the label.")
    drawbored: str = field(
        default="glued",
        metadata={
            _KEY: GlueField(
                "choice",
                0,
                0,
                "Joints that pegs pull shut hold without glue too.",
                ("glued", "dry"),
            )
        },
    )
    people: int = _f("count", 1, 1, 8, "Who spread glue at the same time.")
    pace: float = _f(
        "pace", 0.15, 0.005, 5, "Face that one person spreads with a roller (our own choice)."
    )
    joint_minutes: float = _f(
        "minutes", 1.0, 0.05, 60, "To spread one mortise and tenon (our own choice)."
    )
    clamp_minutes: float = _f("minutes", 0.25, 0.01, 30, "To set one clamp (our own choice).")
    peg_minutes: float = _f("minutes", 0.5, 0.01, 30, "To drive one peg (our own choice).")
    clamp_rating: float = _f(
        "force", 1000 * N_PER_LBF, 20, 100000, "One heavy bar clamp; see its maker's figure."
    )
    clamp_spacing: float = _f(
        "length", 12 * INCH, 20, 1000, "Most between clamps, however stiff the caul."
    )
    caul_thickness: float = _f(
        "length", 1.5 * INCH, 0, 200, "Pressure spreads out at about 45 degrees below a clamp."
    )
    clamps: int = _f("count", 0, 0, 500, "Clamps in the shop; 0: not said.")
    vacuum_pull: float = _f(
        "pressure", 13 * MPA_PER_PSI, 0.005, SEA_LEVEL, "12 to 14 psi at sea level."
    )
    altitude: float = _f("length", 0.0, 0, 5_000_000, "Of the shop: thin air presses less.")

    def __post_init__(self) -> None:
        """Refuse figures that contradict each other or leave their range (SpecError)."""
        for name, f in glue_fields().items():
            _in_range(name, f, getattr(self, name))
        if self.medium_from > self.dense_from:
            raise SpecError(
                "dense woods begin below woods of middle density",
                field="dense_from",
                allowed=f"{self.medium_from:g} or more",
            )

    def pressures(self, gravity: float) -> tuple[float, float]:
        """(lowest, highest) clamp pressure on a wood of that specific gravity, MPa."""
        if gravity < self.medium_from:
            return self.light
        return self.medium if gravity < self.dense_from else self.dense

    @property
    def bag_pressure(self) -> float:
        """What presses on a bag, MPa: the pump's pull, no more than the air there has."""
        return min(self.vacuum_pull, air_pressure(self.altitude))

    def as_dict(self) -> dict[str, Any]:
        """JSON data; the unit stands in each name."""
        unit = {
            "pressures": "_mpa",
            "pressure": "_mpa",
            "minutes": "_min",
            "grams": "_g_m2",
            "temperature": "_degc",
            "force": "_n",
            "length": "_mm",
            "pace": "_m2_min",
        }
        found = {}
        for f in dataclasses.fields(self):
            value = getattr(self, f.name)
            ending = unit.get(f.metadata[_KEY].kind, "")
            # A field that is named for its unit already doesn't say it twice.
            name = f.name.removesuffix("_minutes") if ending == "_min" else f.name
            found[name + ending] = list(value) if isinstance(value, tuple) else value
        return found


def glue_fields() -> dict[str, GlueField]:
    """Every field of a glue by name."""
    return {f.name: f.metadata[_KEY] for f in dataclasses.fields(Glue)}


def air_pressure(altitude: float) -> float:
    """Pressure of the air in MPa at an altitude in mm.

    101325 (1 - 2.25577e-5 h)^5.25588 Pa, h in m: ISO 2533 standard atmosphere, from memory.
    """
    share: float = (1.0 - 2.25577e-5 * altitude / 1000.0) ** 5.25588
    return SEA_LEVEL * share


def _in_range(name: str, f: GlueField, value: Any) -> None:
    if f.kind in ("text", "choice"):
        if f.choices and value not in f.choices:
            raise SpecError(f"{show(value)} is no choice", field=name, allowed=", ".join(f.choices))
        if not f.choices and not (isinstance(value, str) and 1 <= len(value.strip()) <= f.high):
            raise SpecError("a name is wanted", field=name, allowed=f"1 to {f.high:g} characters")
        return
    values = value if isinstance(value, tuple) else (value,)
    for x in values:
        if not f.low <= x <= f.high:  # not a number fails this, too
            raise SpecError(
                f"{x:g} is out of range", field=name, allowed=f"{f.low:g} to {f.high:g} {_in(f)}"
            )
    if len(values) == 2 and values[0] > values[1]:
        raise SpecError("the lower pressure comes first", field=name, allowed="100 to 150 psi")


def _in(f: GlueField) -> str:
    """The unit that a field is kept in."""
    return {
        "pressures": "MPa",
        "pressure": "MPa",
        "minutes": "min",
        "grams": "g/m2",
        "temperature": "°C",
        "force": "N",
        "length": "mm",
        "pace": "m2/min",
    }.get(f.kind, "")


# --- files


def read_glue(source: str | os.PathLike[str] | bytes) -> Glue:
    """Read a glue file, or its content (bytes, or a text with a line break in it).

    Raises:
        SpecError: with file, line and field.
    """
    text, name = text_of(source)
    tree, lines = read_tree(text, file=name)
    with placed_errors(lines, name):
        return _read(tree)


def _read(tree: Tree) -> Glue:
    if not isinstance(tree, dict):
        raise SpecError(f"{show(tree)} stands where a glue's fields belong", allowed="name: value")
    units = tree.get("units")
    if units not in ("in", "mm"):
        raise SpecError("the file must say its units", field="units", allowed="in, mm")
    unit: Units = "in" if units == "in" else "mm"
    known = glue_fields()
    found: dict[str, Any] = {}
    for name, value in tree.items():
        if name == "units":
            continue
        if name not in known:
            near = difflib.get_close_matches(name, known, n=1)
            hint = f"; did you mean {near[0]!r}?" if near else ""
            raise SpecError(
                f"a glue has no {show(name)}{hint}", field=name, allowed=", ".join(known)
            )
        if not isinstance(value, str) or (isinstance(value, Plain) and not value):
            raise SpecError("one value is wanted", field=name, allowed=known[name].why)
        found[name] = _value(name, known[name], value, unit)
    return Glue(**found)


def _value(name: str, f: GlueField, text: str, units: Units) -> Any:
    inch = units == "in"
    if f.kind in ("text", "choice"):
        return text.strip()
    if f.kind == "length":
        return parse_length(text, unit=units, field=name)
    if f.kind in _QUANTITIES:
        dimension, in_unit, mm_unit = _QUANTITIES[f.kind]
        return parse_quantity(text, dimension, in_unit if inch else mm_unit, field=name)
    if f.kind == "pressures":
        return _pair(name, text, "psi" if inch else "MPa")
    known, allowed = _NUMBERS[f.kind]
    bare = _M2_PER_FT2 if f.kind == "pace" and inch else 1.0
    number = _number(name, text, known, bare, allowed)
    if f.kind != "count":
        return number
    if number != int(number):
        raise SpecError(f"{show(text)} is no whole number", field=name, allowed="1, 2, 3")
    return int(number)


def _pair(name: str, text: str, bare: str) -> tuple[float, float]:
    match = _PAIR.fullmatch(text.strip()) if len(text) <= 60 else None
    if match is None:
        raise SpecError(
            f"{show(text)} is no pair of pressures", field=name, allowed="100 to 150 psi"
        )
    unit = match["unit"].strip() or bare
    low, high = (
        parse_quantity(f"{match[which]} {unit}", "stress", field=name) for which in ("low", "high")
    )
    return (low, high)


def _number(name: str, text: str, units: Mapping[str, float], bare: float, allowed: str) -> float:
    match = _NUMBER.fullmatch(text.strip()) if len(text) <= 60 else None
    unit = (match["unit"] or "").strip() if match else ""
    if match is None or (unit and unit not in units):
        raise SpecError(f"{show(text)} is not understood", field=name, allowed=allowed)
    return float(match["number"]) * (units[unit] if unit else bare)


def _written(f: GlueField, value: Any, units: Units) -> str:
    inch = units == "in"
    if f.kind == "length":
        return format_length(value, unit=units)
    if f.kind == "pressures":
        low, high = (x / MPA_PER_PSI if inch else x for x in value)
        return f"{low:.0f} to {high:.0f} psi" if inch else f"{low:.2f} to {high:.2f} MPa"
    if f.kind == "minutes":
        return f"{value / 60:g} h" if value >= 120 else f"{value:g} min"
    by_unit = (
        {
            "force": f"{value / N_PER_LBF:.0f} lbf" if inch else f"{value:.0f} N",
            "pressure": f"{value / MPA_PER_PSI:.1f} psi" if inch else f"{value * 1000:.1f} kPa",
            "temperature": f"{value * 1.8 + 32:.0f} °F" if inch else f"{value:.0f} °C",
            "grams": f"{value:g} g/m2",
            "pace": f"{value / _M2_PER_FT2:.2f} ft2/min" if inch else f"{value:g} m2/min",
        }
        if isinstance(value, float)
        else {}
    )
    return by_unit.get(f.kind, str(value))


def glue_starter_text(units: Units) -> str:
    """A commented glue file with every field at its default; SpecError for another unit."""
    if units not in ("in", "mm"):
        raise SpecError(f"{units!r} is no unit for a glue file", field="units", allowed="in, mm")
    lines = [
        "# A glue, and the shop's clamps. Every line may be left out: its default then holds.",
        "# The defaults are typical common practice, no source: write what your glue's label says.",
        f"units: {units}",
    ]
    default = Glue()
    for name, info in glue_fields().items():
        lines += ["", f"# {info.why}"]
        lines.append(f"{name}: {_written(info, getattr(default, name), units)}")
    return "\n".join(lines) + "\n"
