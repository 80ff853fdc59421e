from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.checks.benches import codes, corner, frame, rules_of, said, section, small_bench, tee
from treenail.checks.meeting import meetings
from treenail.checks.rules import Context
from treenail.generators.bench import Bench
from treenail.generators.frame_spec import MEETINGS, Pegs

NO_PEGS = {"pegs": Pegs(per_joint=0)}
BROKEN = [
    ("tenons-collide", lambda: frame(**section("lower_end", height=101.6), **NO_PEGS)),
    ("tenons-close", lambda: frame(**section("lower_end", height=203.7))),
]


@pytest.mark.parametrize(("code", "bench"), BROKEN)
def test_a_spoilt_bench_trips_this_rule_alone(code: str, bench: object) -> None:
    assert callable(bench)
    assert codes(bench()) == {code}


def test_every_rule_is_tripped_above() -> None:
    assert {code for code, _ in BROKEN} == rules_of("meeting")


def least(bench: Bench) -> float:
    return min(found.distance for _, _, found in meetings(Context(bench=bench), below=50.0))


@pytest.mark.parametrize("way", MEETINGS)
def test_all_ways_of_meeting_keep_clear(way: str) -> None:
    bench = frame(meeting=way)
    assert codes(bench) & rules_of("meeting") == set()
    # 1/4 in where tenons pass at different heights, else the generator's 2 mm.
    assert least(bench) == pytest.approx(6.35 if way == "heights" else 2.0, abs=1e-6)


@given(st.floats(-60.0, 140.0))
def test_rails_at_any_two_heights(rise: float) -> None:
    """Two tenons 101.6 mm wide that cross in the post's middle, by the rise of one."""
    a = tee(name="rail_a")
    b = tee(name="rail_b", face=a.timbers[0].face_towards((0.0, 1.0, 0.0)), low=200.0 + rise)
    bench = small_bench(
        (*a.timbers, b.timbers[1]),
        (replace(a.joints[0], name="a"), replace(b.joints[0], name="b")),
    )
    # 25.4 mm of each tenon lies across the other's way.
    gap = abs(rise) - 101.6
    found = codes(bench) & rules_of("meeting")
    if gap < -1e-5:
        assert found == {"tenons-collide"}
        (finding,) = said(bench, "tenons-collide")
        assert finding.measured == pytest.approx(max(gap, -25.4))
        assert finding.severity == "error"
        assert "mitre both tips" in finding.remedy
    elif gap > 1.0 + 1e-5:
        assert found == set()
    elif gap > 1e-5:
        assert found == {"tenons-close"}


def test_the_remedy_shortens_by_what_is_needed() -> None:
    bench = frame(**section("lower_end", height=101.6), **NO_PEGS)
    finding = said(bench, "tenons-collide")[0]
    # 1 in of each tenon lies in the other's way; 2 mm more keep them apart.
    assert 'by 1 5/64" to 59/64"' in finding.remedy


def test_a_short_tenon_stays_clear() -> None:
    assert codes(corner(first=None, second=None, tenon=19.0)) == set()
