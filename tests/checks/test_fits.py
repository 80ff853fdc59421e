import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.checks.benches import (
    codes,
    edit,
    findings,
    frame,
    rules_of,
    said,
    section,
    tee,
    with_cut,
    with_joint,
)
from treenail.generators.bench import Bench
from treenail.joints.cuts import Haunch, Mortise
from treenail.joints.fits import FITS
from treenail.joints.mortise_tenon import MortiseTenon
from treenail.timber.member import Face

JOINT, TOP_JOINT = "lower_front_at_left", "upper_front_at_left"


def joint_of(bench: Bench) -> MortiseTenon:
    joint = bench.joints[0]
    assert isinstance(joint, MortiseTenon)
    return joint


def moved(by: float) -> Bench:
    def change(cut: Mortise) -> Mortise:
        return edit(frame=cut.frame.shifted((0.0, by, 0.0)))(cut)  # type: ignore[return-value]

    return with_cut(frame(), JOINT, "mortise", change)


def haunched() -> Bench:
    return tee(shoulders=(25.4, 12.7, 9.525, 9.525), haunch=Haunch(Face.FACE_EDGE, 25.4, 12.7))


BROKEN = [
    ("cheek-clearance", lambda: with_cut(frame(), JOINT, "mortise", edit(width=25.6))),
    ("cheek-clearance", lambda: with_cut(frame(), JOINT, "mortise", edit(width=25.4))),
    ("edge-clearance", lambda: with_cut(frame(), JOINT, "mortise", edit(length=103.0))),
    ("tenon-enters", lambda: with_cut(frame(), JOINT, "mortise", edit(width=25.3))),
    ("tenon-enters", lambda: with_cut(frame(), JOINT, "mortise", edit(length=101.0))),
    ("tenon-enters", lambda: moved(1.0)),
    ("tenon-enters", lambda: moved(-0.06)),
    ("tenon-bottoms", lambda: with_cut(frame(), JOINT, "mortise", edit(depth=50.0))),
    ("tenon-bottoms", lambda: with_cut(frame(), TOP_JOINT, "haunch socket", edit(depth=12.0))),
    ("tenon-bottom-gap", lambda: with_cut(frame(), JOINT, "mortise", edit(depth=51.0))),
    ("tenon-bottom-gap", lambda: with_cut(frame(), JOINT, "mortise", edit(depth=56.0))),
    ("through-tenon-reach", lambda: with_joint(frame(), JOINT, through=True)),
    ("haunch-room", lambda: with_cut(haunched(), "tee", "haunch socket", edit(length=60.0))),
    ("tenon-proportion", lambda: frame(**section("lower_end", tenon_thickness=6.35))),
    ("tool-size", lambda: frame(**section("lower_end", tenon_thickness=21.0))),
]


@pytest.mark.parametrize(("code", "bench"), BROKEN)
def test_a_spoilt_bench_trips_this_rule_alone(code: str, bench: object) -> None:
    assert callable(bench)
    assert codes(bench()) == {code}


def test_every_rule_is_tripped_above() -> None:
    assert {code for code, _ in BROKEN} == rules_of("fits")


def test_a_pocket_that_is_missing_is_told() -> None:
    bench = with_cut(frame(), JOINT, "mortise", edit(purpose="pocket"))
    (finding,) = said(bench, "tenon-enters")
    assert finding.message == "post_front_left has no mortise for this joint."


@given(st.sampled_from(sorted(FITS)), st.sampled_from(list(Face)[:4]), st.booleans())
def test_every_named_fit_passes_on_every_face(fit: str, face: Face, far: bool) -> None:
    bench = tee(fit=fit, face=face, end=Face.FAR_END if far else Face.NEAR_END)
    assert codes(bench) & rules_of("fits") == set()


@given(st.sampled_from(sorted(FITS)), st.floats(-0.2, 0.6))
def test_cheeks_pass_within_the_named_limits_only(fit: str, clearance: float) -> None:
    bench = tee(fit=fit)
    thick = joint_of(bench).thickness
    limits = FITS[fit].cheek
    found = codes(with_cut(bench, "tee", "mortise", edit(width=thick + clearance)))
    if clearance < -1e-5:
        assert found == {"tenon-enters"}
    elif limits.low + 1e-5 < clearance < limits.high - 1e-5:
        assert found == set()
    elif clearance > limits.high + 1e-5 or 1e-5 < clearance < limits.low - 1e-5:
        assert found == {"cheek-clearance"}


@given(st.sampled_from(sorted(FITS)), st.floats(-2.0, 8.0))
def test_bottom_gap_over_its_whole_range(fit: str, gap: float) -> None:
    bench = tee(fit=fit)
    limits = FITS[fit].bottom
    found = codes(with_cut(bench, "tee", "mortise", edit(depth=50.8 + gap)))
    if gap < -1e-5:
        assert found == {"tenon-bottoms"}
    elif limits.low + 1e-5 < gap < limits.high - 1e-5:
        assert found == set()
    elif gap > 1e-5 and not limits.low - 1e-5 < gap < limits.high + 1e-5:
        assert found == {"tenon-bottom-gap"}


def test_the_remedy_mends_it() -> None:
    bench = with_cut(frame(), JOINT, "mortise", edit(width=25.6))
    (finding,) = said(bench, "cheek-clearance")
    assert finding.measured == pytest.approx(0.2)
    assert finding.remedy.startswith("Cut the mortise 0.0039 in narrower")
    mended = with_cut(bench, JOINT, "mortise", edit(width=25.6 - 0.0039 * 25.4))
    assert findings(mended) == []


def test_a_fit_that_bears_a_name_must_have_its_limits() -> None:
    from dataclasses import replace

    from treenail.joints.fits import Limits, get_fit

    loose = replace(get_fit("hand press"), cheek=Limits(1.0, 2.0))
    assert codes(with_joint(frame(), JOINT, fit=loose)) == {"cheek-clearance"}
    own = replace(loose, name="of our own")
    assert codes(with_joint(frame(), JOINT, fit=own)) == set()


def test_a_wide_haunch_is_advised_against() -> None:
    bench = tee(shoulders=(70.0, 12.7, 9.525, 9.525), haunch=Haunch(Face.FACE_EDGE, 40.0, 12.0))
    assert codes(bench) == {"tenon-proportion"}
    (finding,) = said(bench, "tenon-proportion")
    assert "haunch" in finding.message
