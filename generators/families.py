"""The bench families by name: what a spec file may write after ``bench:``."""

from __future__ import annotations

import dataclasses
import difflib
from collections.abc import Iterator, MutableMapping
from importlib import import_module
from typing import Any

from treenail.generators.params import params
from treenail.timber.errors import SpecError

__all__ = [
    "FAMILIES",
    "FILE_FIELDS",
    "RESERVED",
    "Families",
    "family_of",
    "family_spec",
    "register_family",
]

FILE_FIELDS = {
    "bench": "The family of the bench.",
    "units": "Of bare numbers, and of lengths in messages and papers. May be left out where every"
    " length and temperature brings its own unit; most of them then say it (at a tie, mm).",
    "species_added": "Woods with figures of their own, each begun with `- name:`.",
}
"""What a spec file says beside the family's own fields, and why."""
RESERVED = tuple(FILE_FIELDS)
"""No family may have a field so named."""


class Families(MutableMapping[str, type[Any]]):
    """Spec dataclasses by family; one given as "module:Class" is loaded when it is asked for."""

    def __init__(self, homes: dict[str, str | type[Any]]) -> None:
        self._homes = homes

    def __getitem__(self, name: str) -> type[Any]:
        home = self._homes[name]
        if isinstance(home, str):
            module, _, kind = home.partition(":")
            home = self._homes[name] = getattr(import_module(module), kind)
        return home

    def __setitem__(self, name: str, spec: type[Any]) -> None:
        self._homes[name] = spec

    def __delitem__(self, name: str) -> None:
        del self._homes[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self._homes)

    def __len__(self) -> int:
        return len(self._homes)

    def name_of(self, kind: type[Any]) -> str | None:
        """The family of a spec's class, without loading the others."""
        path = f"{kind.__module__}:{kind.__qualname__}"
        return next((name for name, home in self._homes.items() if home in (kind, path)), None)


FAMILIES = Families(
    {
        "frame": "treenail.generators.frame_spec:FrameBenchSpec",
        "slab": "treenail.generators.slab_spec:SlabBenchSpec",
        "apron": "treenail.generators.apron_spec:ApronBenchSpec",
        "raised": "treenail.generators.raised_spec:RaisedBenchSpec",
        "saw": "treenail.generators.saw_spec:SawBenchSpec",
        "trestle": "treenail.generators.trestle_spec:TrestleBenchSpec",
    }
)
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
    name = FAMILIES.name_of(kind)
    if name is not None:
        return name
    raise SpecError(f"{kind.__name__} is not the spec of a family", allowed=", ".join(FAMILIES))
