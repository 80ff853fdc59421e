"""Spec files: a bench's sizes in YAML, read into its family's spec with the line of each field.

A file says ``bench:`` (the family), ``units:`` (in or mm, for bare numbers; where every length
and temperature brings its own unit, it may be left out), then the family's own fields, and under
``species_added:`` woods with figures of their own.
"""

from __future__ import annotations

import os
import re
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any

from treenail.generators.families import FAMILIES, RESERVED, family_spec
from treenail.generators.params import params
from treenail.generators.spec_values import MAX_TEXT, Units, build_spec, show
from treenail.generators.usual_sizes import usual_spec
from treenail.generators.yaml_lines import Plain, Tree, placed_errors, read_tree, text_of
from treenail.timber.errors import SpecError
from treenail.timber.lengths import length_system
from treenail.timber.species import Species, get_species, species_from_mapping

__all__ = ["SpecDocument", "build_spec", "read_spec", "read_spec_text", "units_of_most"]

MAX_SPECIES = 50
_DECIMAL = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)", re.ASCII)
_NAME = re.compile(rf"[A-Za-z0-9][A-Za-z0-9 _-]{{0,{MAX_TEXT - 1}}}", re.ASCII)


@dataclass(frozen=True, slots=True, kw_only=True)
class SpecDocument:
    """A spec file, read and checked field by field.

    ``spec`` is the family's dataclass, lengths in mm; ``units`` those of the file's bare numbers
    or, where it has none, of most of its lengths; ``lines`` the line of each field given, by its
    dotted name.
    """

    family: str
    units: Units
    spec: Any
    own_species: tuple[Species, ...] = ()
    file: str | None = None
    lines: Mapping[str, int] = field(default_factory=dict, compare=False, repr=False)


def read_spec(source: str | os.PathLike[str] | bytes) -> SpecDocument:
    """Read a spec from a file, or from its content.

    A text with a line break in it, and bytes, are content; any other text is a path. Raises
    :class:`SpecError` for whatever is wrong, a file that can't be read included.
    """
    text, name = text_of(source)
    return read_spec_text(text, file=name)


def read_spec_text(text: str, *, file: str | None = None) -> SpecDocument:
    """Read a spec from its text; ``file`` is named in errors. Raises :class:`SpecError`."""
    tree, lines = read_tree(text, file=file)
    with placed_errors(lines, file):
        return _read(tree, lines, file)


def _read(tree: Tree, lines: dict[str, int], file: str | None) -> SpecDocument:
    if isinstance(tree, Plain) and not tree:
        raise SpecError(
            "there is nothing in it", allowed="a spec; `treenail new` writes one to begin with"
        )
    if not isinstance(tree, dict):
        raise SpecError(
            f"{show(tree)} stands where fields belong", line=1, allowed="field: value, line by line"
        )
    family = _word(
        tree, "bench", "which bench it describes", [f"bench: {name}" for name in FAMILIES]
    )
    spec_class = family_spec(family)
    own = _species(tree.get("species_added", Plain()), lines)
    fields = {name: value for name, value in tree.items() if name not in RESERVED}
    told = _told_units(tree)
    units = told or units_of_most(spec_class, fields)
    spec = build_spec(
        spec_class,
        fields,
        units=units,
        file=file,
        lines=lines,
        beside=RESERVED,
        bare=told is not None,
        base=usual_spec(family, units),
    )
    return SpecDocument(
        family=family, units=units, spec=spec, own_species=own, file=file, lines=lines
    )


def _told_units(tree: dict[str, Tree]) -> Units | None:
    if "units" not in tree:
        return None
    words = ["units: in", "units: mm"]
    word = _word(tree, "units", "whether its bare numbers are inches or millimetres", words)
    if word not in ("in", "mm"):
        raise SpecError(f"{show(word)} is no unit for a spec", field="units", allowed="in, mm")
    return "in" if word == "in" else "mm"


def units_of_most(kind: type[Any], given: Mapping[str, Any]) -> Units:
    """The units that most of the lengths of a spec as given bring with them; at a tie, mm."""
    found = Counter(length_system(text) for text in _lengths(kind, given))
    return "in" if found["in"] > found["mm"] else "mm"


def _lengths(kind: type[Any], given: Mapping[str, Any]) -> Iterator[Any]:
    """What stands for the lengths of a spec, sound or not."""
    for name, param in params(kind).items():
        value = given.get(name)
        if param.kind == "section" and isinstance(value, Mapping):
            yield from _lengths(type(param.default), value)
        elif param.kind in ("length", "tolerance"):
            yield value
        elif param.kind == "lengths" and isinstance(value, list):
            yield from value


def _word(tree: dict[str, Tree], name: str, what: str, allowed: list[str]) -> str:
    value = tree.get(name)
    if value is None or (isinstance(value, Plain) and not value):
        raise SpecError(f"the spec doesn't say {what}", field=name, allowed=", ".join(allowed))
    if not isinstance(value, str):
        raise SpecError(
            f"{show(value)} stands where a word belongs", field=name, allowed=", ".join(allowed)
        )
    return str(value)


def _species(value: Tree, lines: Mapping[str, int]) -> tuple[Species, ...]:
    place = "species_added"
    if isinstance(value, Plain) and not value:
        return ()
    if not isinstance(value, list) or len(value) > MAX_SPECIES:
        what = "too many woods" if isinstance(value, list) else f"{show(value)} is not a list"
        raise SpecError(
            what, field=place, allowed=f"up to {MAX_SPECIES} woods, each begun with `- name: ...`"
        )
    found: dict[str, Species] = {}
    for number, item in enumerate(value, start=1):
        where = f"{place}.{number}"
        try:
            wood = _wood(item, where)
            if wood.key in found:
                raise SpecError(f"the wood {wood.name!r} is given twice", field=f"{where}.name")
        except SpecError as error:
            line = lines.get(error.field or "") or lines.get(where)
            raise error.at(field=where, line=line) from None
        found[wood.key] = wood
    return tuple(found.values())


def _wood(item: Tree, where: str) -> Species:
    if not isinstance(item, dict):
        raise SpecError(f"{show(item)} is not a wood", field=where, allowed="name, group, ...")
    figures: dict[str, Any] = {}
    for figure, value in item.items():
        if not isinstance(value, str):
            raise SpecError(
                f"{show(value)} stands where a figure belongs",
                field=f"{where}.{figure}",
                allowed="a number, a number with its unit, or text",
            )
        figures[figure] = _figure(value)
    name = item.get("name")
    if isinstance(name, str) and name:
        if not _NAME.fullmatch(name):
            raise SpecError(
                f"{show(name)} can't be a wood's name here",
                field=f"{where}.name",
                allowed=f"up to {MAX_TEXT} letters, digits, spaces, - and _",
            )
        figures["name"] = str(name)
        if _is_known(name):
            raise SpecError(
                f"{show(name)} is known already: two sets of figures under one name can't be told"
                " apart",
                field=f"{where}.name",
                allowed="another name",
            )
    key = re.sub(r"[ _-]+", "_", str(name or "").lower()).strip("_")
    return species_from_mapping(key, figures, field=where)


def _figure(value: str) -> str | float:
    """Return a bare number as one, and all else as the text it is."""
    if isinstance(value, Plain) and len(value) <= 40 and _DECIMAL.fullmatch(value):
        return float(Fraction(value))
    return str(value)


def _is_known(name: str) -> bool:
    try:
        get_species(name)
    except SpecError:
        return False
    return True
