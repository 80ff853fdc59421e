"""Whatever a spec says within its declared ranges: a bench, or one clear error."""

import math

import pytest
from hypothesis import HealthCheck, given, settings

from tests.generators.spec_mappings import mappings
from treenail.checks import check_bench
from treenail.generators.bench import Bench
from treenail.generators.build import build_bench
from treenail.generators.frame_spec import FrameBenchSpec
from treenail.generators.spec_values import build_spec
from treenail.timber.errors import GeometryError, SpecError


def outcome(mapping: dict[str, object], units: str) -> Bench | SpecError | GeometryError:
    """The bench of a mapping, or the error that refuses it."""
    try:
        spec = build_spec(FrameBenchSpec, mapping, units="in" if units == "in" else "mm")
        return build_bench(spec, units=units)
    except (SpecError, GeometryError) as error:
        return error


@settings(suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
@given(mappings(FrameBenchSpec))
def test_any_spec_makes_a_bench_or_one_clear_error(given_spec: dict[str, object]) -> None:
    found = outcome(given_spec, "mm")
    if isinstance(found, SpecError | GeometryError):
        assert str(found)
        assert isinstance(found, GeometryError) or found.field
        return
    report = check_bench(found)
    for finding in report.findings:
        for number in (finding.measured, finding.limit):
            assert number is None or math.isfinite(number)
        assert finding.as_dict()["remedy"]


def test_the_sieve_lets_something_through() -> None:
    assert isinstance(outcome({}, "in"), Bench)
    assert isinstance(outcome({"length": 20}, "in"), SpecError)


@pytest.mark.deep
@settings(max_examples=2000, suppress_health_check=list(HealthCheck))
@given(mappings(FrameBenchSpec))
def test_any_of_many_specs(given_spec: dict[str, object]) -> None:
    found = outcome(given_spec, "mm")
    if isinstance(found, Bench):
        check_bench(found)
