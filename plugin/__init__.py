"""Treenail: heavy workbenches as exact CadQuery solids, proved to fit, with the shop's papers.

Importing this package is quick: the kernel is loaded only when solids are asked for.

    >>> import treenail
    >>> bench = treenail.frame_bench(units="in", length="5'", depth=24)
    >>> bench.check(numbers_only=True).passed
    True
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

from treenail.registration import on_import

if TYPE_CHECKING:
    from treenail.api import (
        Bench,
        apron_bench,
        bench_of,
        build_spec_file,
        frame_bench,
        raised_bench,
        saw_bench,
        slab_bench,
        trestle_bench,
    )
    from treenail.checks.rules import Finding, Report
    from treenail.generators.apron_spec import ApronBenchSpec
    from treenail.generators.frame_spec import FrameBenchSpec
    from treenail.generators.raised_spec import RaisedBenchSpec
    from treenail.generators.saw_spec import SawBenchSpec
    from treenail.generators.slab_spec import SlabBenchSpec
    from treenail.generators.trestle_spec import TrestleBenchSpec
    from treenail.registration import NameTakenError, register, unregister
    from treenail.timber.errors import (
        ChecksFailed,
        GeometryError,
        KernelError,
        OutputError,
        SpecError,
        TreenailError,
    )
    from treenail.timber.member import Face, Member
    from treenail.timber.species import Species

_HOME = {
    "Bench": "api",
    "apron_bench": "api",
    "bench_of": "api",
    "build_spec_file": "api",
    "frame_bench": "api",
    "raised_bench": "api",
    "saw_bench": "api",
    "slab_bench": "api",
    "trestle_bench": "api",
    "Finding": "checks.rules",
    "Report": "checks.rules",
    "ApronBenchSpec": "generators.apron_spec",
    "FrameBenchSpec": "generators.frame_spec",
    "RaisedBenchSpec": "generators.raised_spec",
    "SawBenchSpec": "generators.saw_spec",
    "SlabBenchSpec": "generators.slab_spec",
    "TrestleBenchSpec": "generators.trestle_spec",
    "ChecksFailed": "timber.errors",
    "GeometryError": "timber.errors",
    "KernelError": "timber.errors",
    "OutputError": "timber.errors",
    "SpecError": "timber.errors",
    "TreenailError": "timber.errors",
    "Face": "timber.member",
    "Member": "timber.member",
    "Species": "timber.species",
    "NameTakenError": "registration",
    "register": "registration",
    "unregister": "registration",
}

__version__ = "0.1.0"
__all__ = [
    "ApronBenchSpec",
    "Bench",
    "ChecksFailed",
    "Face",
    "Finding",
    "FrameBenchSpec",
    "GeometryError",
    "KernelError",
    "Member",
    "NameTakenError",
    "OutputError",
    "RaisedBenchSpec",
    "Report",
    "SawBenchSpec",
    "SlabBenchSpec",
    "SpecError",
    "Species",
    "TreenailError",
    "TrestleBenchSpec",
    "__version__",
    "apron_bench",
    "bench_of",
    "build_spec_file",
    "frame_bench",
    "raised_bench",
    "register",
    "saw_bench",
    "slab_bench",
    "trestle_bench",
    "unregister",
]


def __getattr__(name: str) -> Any:
    if name not in _HOME:
        raise AttributeError(f"module 'treenail' has no attribute {name!r}")
    value = getattr(import_module(f"treenail.{_HOME[name]}"), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    return sorted({*globals(), *_HOME})


on_import()
