"""No false word, second half: random benches that are sound raise no error."""

from __future__ import annotations

import json

import pytest
from hypothesis import HealthCheck, Phase, given, seed, settings

from tests.strategies import frame_specs
from treenail.checks import check_bench
from treenail.generators.build import build_bench
from treenail.generators.frame_spec import FrameBenchSpec
from treenail.generators.solids import build_solids

#: The same benches on every run, whatever profile is loaded.
FIXED = settings(
    derandomize=True,
    database=None,
    deadline=None,
    phases=[Phase.generate],
    suppress_health_check=list(HealthCheck),
)
ALL = 300


def sample(count: int) -> list[FrameBenchSpec]:
    """The first ``count`` of the random specs, no two alike."""
    found: dict[str, FrameBenchSpec] = {}

    @settings(FIXED, max_examples=count * 2)
    @seed(20_260)
    @given(spec=frame_specs())
    def collect(spec: FrameBenchSpec) -> None:
        if len(found) < count:
            found[repr(spec)] = spec

    collect()
    return list(found.values())


def complaints(spec: FrameBenchSpec, *, units: str, solids: bool) -> list[str]:
    bench = build_bench(spec, units=units)
    report = check_bench(bench, build_solids(bench) if solids else None)
    assert bool(report.skipped) != solids
    return [f"{f.rule}: {f.message}" for f in report.errors]


def errors_of(specs: list[FrameBenchSpec], *, solids: bool) -> str:
    """Errors by spec, as text that can be read; empty if there are none."""
    told = {}
    for number, spec in enumerate(specs):
        errors = complaints(spec, units=("mm", "in")[number % 2], solids=solids)
        if errors:
            told[repr(spec)] = errors
    return json.dumps(told, indent=1) if told else ""


def test_the_sample_is_varied() -> None:
    specs = sample(60)
    assert len(specs) == 60
    for what in ("meeting", "fit"):
        assert len({getattr(s, what) for s in specs}) == 3
    assert {s.pegs.from_face for s in specs} == {"inside", "outside"}
    assert {s.shelf.enabled for s in specs} == {True, False}
    assert max(s.length for s in specs) - min(s.length for s in specs) > 1000.0


def test_sound_benches_raise_no_error_in_their_numbers() -> None:
    assert errors_of(sample(60)[::2], solids=False) == ""


def test_sound_benches_raise_no_error_on_their_solids() -> None:
    # In inches and in mm.
    assert errors_of(sample(60)[::10], solids=True) == ""


@pytest.mark.deep
def test_all_sound_benches_raise_no_error() -> None:
    specs = sample(ALL)
    assert len(specs) == ALL
    assert errors_of(specs, solids=True) == ""
