"""From a checked spec to a bench, whatever its family."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any

from treenail.generators.families import family_of
from treenail.generators.yaml_lines import placed_errors

if TYPE_CHECKING:
    from treenail.generators.bench import Bench
    from treenail.generators.spec_file import SpecDocument
    from treenail.timber.species import Species


def _builder(family: str) -> Callable[..., Bench]:
    from treenail.generators.apron_bench import build_apron_bench
    from treenail.generators.frame_bench import build_frame_bench
    from treenail.generators.raised_bench import build_raised_bench
    from treenail.generators.saw_bench import build_saw_bench
    from treenail.generators.slab_bench import build_slab_bench
    from treenail.generators.trestle_bench import build_trestle_bench

    builders: dict[str, Callable[..., Bench]] = {
        "frame": build_frame_bench,
        "slab": build_slab_bench,
        "apron": build_apron_bench,
        "raised": build_raised_bench,
        "saw": build_saw_bench,
        "trestle": build_trestle_bench,
    }
    return builders[family]


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
