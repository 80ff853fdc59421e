import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.checks.benches import codes, edit, frame, rules_of, said, section, tee, with_cut
from treenail.timber.member import Face

JOINT = "lower_front_at_left"
BROKEN = [
    ("shoulder-line", lambda: with_cut(frame(), JOINT, "tenon", edit(length=50.6))),
    ("shoulder-line", lambda: with_cut(frame(), JOINT, "tenon", edit(length=51.0))),
    ("no-shoulder", lambda: tee(shoulders=(0.0, 0.0, 0.0, 0.0), thickness=25.4)),
    ("shoulders", lambda: tee(shoulders=(12.7, 12.7, 0.0, 0.0), thickness=25.4)),
    ("shoulders", lambda: tee(shoulders=(12.7, 12.7, 0.0, 19.05))),
    ("shoulders", lambda: frame(**section("lower_end", shoulder_outside=2.0))),
    ("shoulder-on-face", lambda: tee(low=-10.0, shoulders=(12.7, 60.0, 9.525, 9.525))),
]


@pytest.mark.parametrize(("code", "bench"), BROKEN)
def test_a_spoilt_bench_trips_this_rule_alone(code: str, bench: object) -> None:
    assert callable(bench)
    assert codes(bench()) == {code}


def test_every_rule_is_tripped_above() -> None:
    assert {code for code, _ in BROKEN} == rules_of("shoulders")


@given(st.floats(0.01, 0.7), st.booleans(), st.sampled_from(list(Face)[:4]), st.booleans())
def test_a_shoulder_off_the_post_is_an_error_either_way(
    off: float, longer: bool, face: Face, far: bool
) -> None:
    bench = tee(face=face, end=Face.FAR_END if far else Face.NEAR_END)
    spoilt = with_cut(bench, "tee", "tenon", edit(length=50.8 + (off if longer else -off)))
    (finding,) = said(spoilt, "shoulder-line")
    assert finding.severity == "error"
    # A longer tenon has its shoulder farther from the rail's end, so that it stands off.
    assert finding.measured == pytest.approx(off if longer else -off)
    assert ("stands off" in finding.message) == longer
    assert said(bench, "shoulder-line") == []


def test_severities() -> None:
    none = tee(shoulders=(12.7, 12.7, 0.0, 0.0), thickness=25.4)
    one = tee(shoulders=(12.7, 12.7, 0.0, 19.05))
    assert [f.severity for f in said(none, "shoulders")] == ["warning"]
    assert [f.severity for f in said(one, "shoulders")] == ["advice"]


@given(st.floats(0.1, 60.0))
def test_overhang_is_measured(over: float) -> None:
    bench = tee(low=-over, shoulders=(12.7, 90.0, 9.525, 9.525))
    (finding,) = said(bench, "shoulder-on-face")
    assert finding.measured == pytest.approx(over)
