"""The bench families by name: what a spec file may write after ``bench:``."""

from __future__ import annotations

import dataclasses
import difflib
from typing import Any

from treenail.generators.apron_spec import ApronBenchSpec
from treenail.generators.frame_spec import FrameBenchSpec
from treenail.generators.params import params
from treenail.generators.raised_spec import RaisedBenchSpec
from treenail.generators.saw_spec import SawBenchSpec
from treenail.generators.slab_spec import SlabBenchSpec
from treenail.generators.trestle_spec import TrestleBenchSpec
from treenail.timber.errors import SpecError

__all__ = ["FAMILIES", "RESERVED", "family_of", "family_spec", "register_family"]

RESERVED = ("bench", "units", "species_added")
"""What a spec file says beside the family's own fields; no family may have a field so named."""

FAMILIES: dict[str, type[Any]] = {
    "frame": FrameBenchSpec,
    "slab": SlabBenchSpec,
    "apron": ApronBenchSpec,
    "raised": RaisedBenchSpec,
    "saw": SawBenchSpec,
    "trestle": TrestleBenchSpec,
}
"""The spec dataclass of each family. Add to it with :func:`register_family`."""


def register_family(name: str, spec: type[Any]) -> None:
    """Add a family; doing it again with the same class changes nothing.

    Raises :class:`SpecError` if the name is taken by another class, or ``spec`` isn't a
    dataclass of declared parameters.
    """
    known = FAMILIES.get(name)
    if known is spec:
        return
    if known is not None:
        raise SpecError(f"the family {name!r} is {known.__name__} already", field="bench")
    if not (name.isascii() and name.isidentifier() and name == name.lower()):
        raise SpecError(
            f"{name!r} is no name for a family",
            field="bench",
            allowed="lower-case letters, digits and _",
        )
    if not dataclasses.is_dataclass(spec) or not params(spec):
        raise SpecError(f"{spec!r} is not a dataclass with declared parameters", field="bench")
    taken = [field for field in RESERVED if field in params(spec)]
    if taken:
        raise SpecError(f"{spec.__name__} has a field {taken[0]!r}, which means something else")
    FAMILIES[name] = spec


def family_spec(name: str) -> type[Any]:
    """Return the spec dataclass of a family; :class:`SpecError` if there is none so named."""
    try:
        return FAMILIES[name]
    except KeyError:
        near = difflib.get_close_matches(name.lower()[:40], FAMILIES, n=1)
        hint = f"; did you mean {near[0]!r}?" if near else ""
        raise SpecError(
            f"there is no bench family {name[:40]!r}{hint}",
            field="bench",
            allowed=", ".join(FAMILIES),
        ) from None


def family_of(spec: Any) -> str:
    """Return the family's name of a spec (or of its class)."""
    kind = spec if isinstance(spec, type) else type(spec)
    for name, known in FAMILIES.items():
        if known is kind:
            return name
    raise SpecError(f"{kind.__name__} is not the spec of a family", allowed=", ".join(FAMILIES))
