"""From a checked spec to a bench, whatever its family."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from importlib import import_module
from typing import TYPE_CHECKING, Any

from treenail.generators.families import family_of
from treenail.generators.yaml_lines import placed_errors

if TYPE_CHECKING:
    from treenail.generators.bench import Bench
    from treenail.generators.spec_file import SpecDocument
    from treenail.timber.species import Species


#: Module and function that build each family; loaded only for the family asked for.
_BUILDERS = {
    "frame": ("frame_bench", "build_frame_bench"),
    "slab": ("slab_bench", "build_slab_bench"),
    "apron": ("apron_bench", "build_apron_bench"),
    "raised": ("raised_bench", "build_raised_bench"),
    "saw": ("saw_bench", "build_saw_bench"),
    "trestle": ("trestle_bench", "build_trestle_bench"),
}


def _builder(family: str) -> Callable[..., Bench]:
    module, function = _BUILDERS[family]
    found: Callable[..., Bench] = getattr(import_module(f"treenail.generators.{module}"), function)
    return found


def build_bench(
    spec: Any, *, units: str = "mm", added_species: Mapping[str, Species] | None = None
) -> Bench:
    """Build the bench of a family's spec dataclass; SpecError, GeometryError if it can't be."""
    return _builder(family_of(spec))(spec, units=units, added_species=added_species)


def build_document(document: SpecDocument) -> Bench:
    """Build the bench of a spec file; errors name the file and the field's line."""
    added = {wood.key: wood for wood in document.own_species}
    added |= {wood.name: wood for wood in document.own_species}
    with placed_errors(document.lines, document.file):
        return build_bench(document.spec, units=document.units, added_species=added)
