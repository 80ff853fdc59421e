"""The woods that Treenail knows, and those a spec brings along.

The figures stand in ``species.yaml`` in their printed units, with source and edition for each
table; here they become :class:`Species` in SI units. Specific gravity comes on two bases
that must not be mixed: the Wood Handbook's is on the volume at 12 % moisture content
(``g_12``), the NDS's on the ovendry volume (``g_0``): northern red oak 0.63 against 0.68.
"""

from __future__ import annotations

import difflib
import functools
import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any, Literal, TypeAlias

from treenail.timber.errors import SpecError
from treenail.timber.moisture import (
    FIBER_SATURATION,
    coefficient_from_shrinkage,
    shrinkage_from_coefficient,
)
from treenail.timber.quantities import MPA_PER_PSI, N_PER_LBF, Dimension, parse_quantity

__all__ = [
    "Basis",
    "Species",
    "g_0_from_g_12",
    "g_12_from_g_0",
    "get_species",
    "load_species",
    "species_from_mapping",
]

Basis: TypeAlias = Literal["printed", "group", "derived", "memory", "user", "estimated"]

_BASIS_NOTES: dict[str, str] = {
    "printed": "",
    "group": ", for the commercial group",
    "derived": ", by C = (S/3000)/(1 - 20 S/3000)",
    "memory": ", from memory",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Species:
    """One wood: clear, straight-grained, at 12 % moisture content.

    ``g_12`` is ovendry mass on the volume at 12 %, ``g_0`` ovendry mass on the ovendry volume
    (the NDS's basis). ``mor``, ``moe``, ``cpar`` and ``cperp`` (compression along and across
    the grain) and ``shear`` (along the grain) in MPa, averages, not design values;
    ``hardness_n`` the side hardness in N. ``shrink_*`` in percent of the green size, green to
    ovendry; ``c_*`` the change of size per percent of moisture content. ``*_basis`` says how
    sure those are; ``memory`` and ``estimated`` may advise but never fail a design.
    """

    key: str
    name: str
    group: Literal["hardwood", "softwood"]
    g_12: float
    g_0: float
    mor: float
    moe: float
    cpar: float
    cperp: float
    shear: float
    hardness_n: float
    shrink_radial: float
    shrink_tangential: float
    c_radial: float
    c_tangential: float
    source_mechanical: str
    source_shrinkage: str
    source_movement: str
    mechanical_basis: Basis = "printed"
    shrinkage_basis: Basis = "printed"
    movement_basis: Basis = "printed"
    aliases: tuple[str, ...] = ()
    g_green: float | None = None

    def specific_gravity(self, mc: float) -> float:
        """Return the ovendry mass on the volume at ``mc`` percent: G0 / (1 + 0.009 G0 mc).

        The formula is the NDS Supplement's for density at a moisture content (2018, section
        3.1.3, from memory); above :data:`FIBER_SATURATION` the volume stays. It gives back
        ``g_12`` at 12 % and ``g_0`` at 0.
        """
        if not 0.0 <= mc <= 200.0:
            message = f"{mc!r} is not a moisture content"
            raise SpecError(message, field="moisture", allowed="0 to 200 %")
        return self.g_0 / (1.0 + 0.009 * self.g_0 * min(mc, FIBER_SATURATION))

    def density(self, mc: float) -> float:
        """Return the density, kg/m³, at ``mc`` percent moisture content.

        1000 G (1 + mc/100), with G on the volume at that moisture content: FPL-GTR-190 ch. 4.
        """
        return 1000.0 * self.specific_gravity(mc) * (1.0 + mc / 100.0)


def g_0_from_g_12(g_12: float) -> float:
    """Return the ovendry-volume specific gravity for one on the volume at 12 %.

    G0 = G12 / (1 - 0.108 G12), which is :meth:`Species.specific_gravity` turned round (NDS
    Supplement 2018, section 3.1.3, from memory; it gives the NDS's 0.68 for red oak's 0.63).
    """
    return g_12 / (1.0 - 0.108 * g_12)


def g_12_from_g_0(g_0: float) -> float:
    """Return the specific gravity on the volume at 12 % for one on the ovendry volume."""
    return g_0 / (1.0 + 0.108 * g_0)


@functools.lru_cache(maxsize=1)
def load_species() -> Mapping[str, Species]:
    """Return every wood in ``species.yaml`` by its key; read once."""
    from importlib.resources import files

    import yaml

    text = files("treenail.timber").joinpath("species.yaml").read_text(encoding="utf-8")
    # The C loader reads the table in a fifth of the time; not every PyYAML is built with it.
    loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
    data = yaml.load(text, Loader=loader)  # noqa: S506 - both are safe loaders
    tables = {name: table["source"] for name, table in data["tables"].items()}
    woods = {key: _from_row(key, row, tables) for key, row in data["species"].items()}
    return MappingProxyType(woods)


def _from_row(key: str, row: Mapping[str, Any], tables: Mapping[str, str]) -> Species:
    mechanical, shrinkage = row["mechanical"], row["shrinkage"]
    coefficients = row.get("coefficients")
    if coefficients is None:
        # As sure as the shrinkage it comes from, so a memory stays one.
        basis = "memory" if shrinkage["basis"] == "memory" else "derived"
        coefficients = {
            "radial": coefficient_from_shrinkage(shrinkage["radial"]),
            "tangential": coefficient_from_shrinkage(shrinkage["tangential"]),
            "basis": basis,
        }
        source_movement = f"C = (S/3000)/(1 - 20 S/3000) from {tables['shrinkage']}"
        source_movement += _BASIS_NOTES["memory"] if basis == "memory" else ""
    else:
        source_movement = tables["coefficients"] + _BASIS_NOTES[coefficients["basis"]]
    g_12 = mechanical["g_12"]
    return Species(
        key=key,
        name=row["name"],
        group=row["group"],
        g_12=g_12,
        g_0=g_0_from_g_12(g_12),
        mor=mechanical["mor"] * MPA_PER_PSI,
        moe=mechanical["moe"] * 1e6 * MPA_PER_PSI,
        cpar=mechanical["cpar"] * MPA_PER_PSI,
        cperp=mechanical["cperp"] * MPA_PER_PSI,
        shear=mechanical["shear"] * MPA_PER_PSI,
        hardness_n=mechanical["hardness"] * N_PER_LBF,
        shrink_radial=shrinkage["radial"],
        shrink_tangential=shrinkage["tangential"],
        c_radial=coefficients["radial"],
        c_tangential=coefficients["tangential"],
        source_mechanical=f"{tables['mechanical']}, row {mechanical['row']!r}",
        source_shrinkage=tables["shrinkage"] + _BASIS_NOTES[shrinkage["basis"]],
        source_movement=source_movement,
        mechanical_basis="printed",
        shrinkage_basis=shrinkage["basis"],
        movement_basis=coefficients["basis"],
        aliases=tuple(row.get("aliases", ())),
        g_green=mechanical["g_green"],
    )


def _plain(name: str) -> str:
    return " ".join("".join(c if c.isalnum() else " " for c in name.casefold()).split())


@functools.lru_cache(maxsize=1)
def _names() -> Mapping[str, Species]:
    names: dict[str, Species] = {}
    for wood in load_species().values():
        short = wood.name.split(" (", maxsplit=1)[0]
        for name in (wood.key, wood.name, short, *wood.aliases):
            names[_plain(name)] = wood
    return names


def get_species(name_or_key: str, *, field: str | None = None) -> Species:
    """Return the wood of this key, name or alias; case, hyphens and commas don't matter.

    Raises :class:`SpecError` that names the nearest woods known.
    """
    if not isinstance(name_or_key, str):
        message = f"{name_or_key!r} is not the name of a wood"
        raise SpecError(message, field=field, allowed=_known())
    plain = _plain(name_or_key[:80])
    names = _names()
    # "oak, red" is how tables print it, "red oak" how people say it.
    first, _, rest = name_or_key[:80].partition(",")
    wood = names.get(plain) or names.get(_plain(f"{rest} {first}"))
    if wood is not None:
        return wood
    words = set(plain.split())
    near = [n for n in names if words & set(n.split())]
    near += difflib.get_close_matches(plain, names, n=3, cutoff=0.6)
    keys = dict.fromkeys(names[n].key for n in near)
    hint = f"; did you mean {' or '.join(list(keys)[:4])}?" if keys else ""
    message = f"no wood is known as {name_or_key[:80]!r}{hint}"
    raise SpecError(message, field=field, allowed=_known())


def _known() -> str:
    return ", ".join(load_species()) + "; or figures of your own"


# Figures in a user's own species: dimension, least and most that can be wood.
_STRESSES: dict[str, tuple[float, float]] = {
    "mor": (10.0, 400.0),
    "moe": (1500.0, 40000.0),
    "cpar": (5.0, 200.0),
    "cperp": (0.5, 100.0),
    "shear": (1.0, 60.0),
}
_NUMBERS: dict[str, tuple[float, float]] = {
    "g_12": (0.1, 1.4),
    "g_0": (0.1, 1.6),
    "shrink_radial": (0.5, 15.0),
    "shrink_tangential": (0.5, 20.0),
    "c_radial": (0.0001, 0.006),
    "c_tangential": (0.0001, 0.01),
}
_KEYS = ("name", "group", *_NUMBERS, *_STRESSES, "hardness", "source")

# Wood Handbook FPL-GTR-190 (2010), Table 5-11a, from memory: property = a G^b at 12 %, MPa (N
# for hardness). Only for what a user's own species leaves out.
_ESTIMATES: dict[str, dict[str, tuple[float, float]]] = {
    "hardwood": {
        "mor": (171.3, 1.13),
        "moe": (16500.0, 0.7),
        "cpar": (76.0, 0.89),
        "cperp": (21.6, 2.09),
        "shear": (21.9, 1.13),
        "hardness": (15300.0, 2.09),
    },
    "softwood": {
        "mor": (170.7, 1.01),
        "moe": (20500.0, 0.84),
        "cpar": (93.7, 0.97),
        "cperp": (16.5, 1.57),
        "shear": (16.6, 0.85),
        "hardness": (8590.0, 1.49),
    },
}


def species_from_mapping(key: str, mapping: Mapping[str, Any], *, field: str = "") -> Species:
    """Build a user's own species from a spec's mapping.

    Required: ``name``, ``group`` (hardwood or softwood), ``g_12`` or ``g_0``, and for radial
    and tangential each a ``shrink_*`` (percent, green to ovendry) or a ``c_*``. Stresses
    (``mor``, ``moe``, ``cpar``, ``cperp``, ``shear``; bare numbers MPa) and ``hardness`` (bare
    numbers N) are estimated from the specific gravity where they are left out, and then
    marked ``estimated``. ``source`` says where the figures are from. Raises
    :class:`SpecError` with ``field`` as the place.
    """
    place = field or f"species.{key}"
    if not isinstance(mapping, Mapping):
        raise SpecError(f"{key!r} needs figures", field=place, allowed=", ".join(_KEYS))
    for name in mapping:
        if name not in _KEYS:
            near = difflib.get_close_matches(str(name), _KEYS, n=1)
            hint = f"; did you mean {near[0]}?" if near else ""
            message = f"{str(name)[:80]!r} is not a figure of a species{hint}"
            raise SpecError(message, field=place, allowed=", ".join(_KEYS))
    name = _text(mapping, "name", place)
    group = _text(mapping, "group", place)
    if group not in ("hardwood", "softwood"):
        message = f"{group!r} is not a group of woods"
        raise SpecError(message, field=f"{place}.group", allowed="hardwood, softwood")
    numbers = {
        n: _ranged(mapping[n], n, _NUMBERS[n], None, place) for n in _NUMBERS if n in mapping
    }
    g_12, g_0 = _gravities(numbers, place)
    strengths: dict[str, float] = {}
    for n, (a, b) in _ESTIMATES[group].items():
        if n in mapping:
            limits = _STRESSES.get(n, (100.0, 40000.0))
            dimension: Dimension = "stress" if n in _STRESSES else "force"
            strengths[n] = _ranged(mapping[n], n, limits, dimension, place)
        else:
            strengths[n] = a * g_12**b
    estimated = [n for n in strengths if n not in mapping]
    source = _text(mapping, "source", place) if "source" in mapping else "given in the spec"
    note = ""
    if estimated:
        note = f"; {', '.join(estimated)} estimated from specific gravity, Wood Handbook "
        note += "FPL-GTR-190 Table 5-11a, from memory"
    shrink_r, c_r = _movement(numbers, "radial", place)
    shrink_t, c_t = _movement(numbers, "tangential", place)
    return Species(
        key=key,
        name=name,
        group="hardwood" if group == "hardwood" else "softwood",
        g_12=g_12,
        g_0=g_0,
        mor=strengths["mor"],
        moe=strengths["moe"],
        cpar=strengths["cpar"],
        cperp=strengths["cperp"],
        shear=strengths["shear"],
        hardness_n=strengths["hardness"],
        shrink_radial=shrink_r,
        shrink_tangential=shrink_t,
        c_radial=c_r,
        c_tangential=c_t,
        source_mechanical=source + note,
        source_shrinkage=source,
        source_movement=source,
        mechanical_basis="estimated" if estimated else "user",
        shrinkage_basis="user",
        movement_basis="user",
    )


def _text(mapping: Mapping[str, Any], name: str, place: str) -> str:
    value = mapping.get(name)
    if not isinstance(value, str) or not value.strip() or len(value) > 200:
        message = "is missing" if value is None else f"{str(value)[:80]!r} is not a text"
        message = f"{name} {message}" if value is None else message
        raise SpecError(message, field=f"{place}.{name}", allowed="a text of 1 to 200 characters")
    return value.strip()


def _ranged(
    value: Any, name: str, limits: tuple[float, float], dimension: Dimension | None, place: str
) -> float:
    low, high = limits
    where = f"{place}.{name}"
    unit = {"stress": " MPa", "force": " N"}.get(dimension or "", "")
    allowed = f"{low:g} to {high:g}{unit}"
    if dimension is not None:
        number = parse_quantity(value, dimension, field=where)
    elif isinstance(value, int | float) and not isinstance(value, bool):
        number = float(value) if abs(value) <= 1e6 else math.inf
    else:
        raise SpecError(f"{str(value)[:80]!r} is not a number", field=where, allowed=allowed)
    if not low <= number <= high:
        raise SpecError(f"{number:g}{unit} can't be a wood's {name}", field=where, allowed=allowed)
    return number


def _gravities(numbers: Mapping[str, float], place: str) -> tuple[float, float]:
    g_12, g_0 = numbers.get("g_12"), numbers.get("g_0")
    if g_12 is not None and g_0 is not None and g_0 < g_12:
        # The ovendry volume is the smaller one, so its specific gravity is the larger.
        message = f"g_0 ({g_0:g}, ovendry volume) is less than g_12 ({g_12:g}, volume at 12 %)"
        raise SpecError(message, field=f"{place}.g_0", allowed="g_0 at least g_12")
    if g_12 is None and g_0 is None:
        message = "specific gravity is missing"
        raise SpecError(message, field=place, allowed="g_12 (volume at 12 %) or g_0 (ovendry)")
    if g_12 is None:
        g_12 = g_12_from_g_0(g_0 or 0.0)
    if g_0 is None:
        g_0 = g_0_from_g_12(g_12)
    return g_12, g_0


def _movement(numbers: Mapping[str, float], direction: str, place: str) -> tuple[float, float]:
    shrink, c = numbers.get(f"shrink_{direction}"), numbers.get(f"c_{direction}")
    if shrink is None and c is None:
        message = f"{direction} movement is missing"
        allowed = f"shrink_{direction} (percent) or c_{direction} (per percent)"
        raise SpecError(message, field=place, allowed=allowed)
    if shrink is None:
        shrink = shrinkage_from_coefficient(c or 0.0)
    if c is None:
        c = coefficient_from_shrinkage(shrink)
    return shrink, c
