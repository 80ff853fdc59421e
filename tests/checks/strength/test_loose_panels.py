"""The sway after which a loose panel bears: closed form against turning one in its opening."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from tests.checks.benches import frame, section
from treenail.checks.strength.data import strength_of
from treenail.checks.strength.loose_panels import bears_after, free_sway

NO_BOLTS = section("bolts", per_stretcher=0)


def fits(shear: float, w: float, h: float, across: float, over: float) -> bool:
    """Whether a panel can stand in an opening whose posts lean by ``shear``, at some angle.

    The posts keep their length; the panel's extent square to the rails and to the posts must be
    no more than what these leave: exact, angles a hundredth of the smallest apart.
    """
    high, wide = (h + over) * math.cos(shear), (w + across) * math.cos(shear)
    for n in range(401):
        turn = 1.2 * shear * n / 400
        lean = abs(shear - turn)
        if (
            w * math.sin(turn) + h * math.cos(turn) <= high
            and w * math.cos(lean) + h * math.sin(lean) <= wide
        ):
            return True
    return False


@given(
    w=st.floats(200, 1200),
    h=st.floats(150, 500),
    across=st.floats(2, 10),
    over=st.floats(1, 4),
)
@settings(max_examples=20)
def test_the_closed_form_is_where_a_turned_panel_first_bears(
    w: float, h: float, across: float, over: float
) -> None:
    def room(shear: float) -> float:
        return 1.0 if fits(shear, w, h, across, over) else -1.0

    most = brentq(room, 1e-6, 0.5, xtol=1e-6) * h
    assert most == pytest.approx(free_sway(w, h, across, over), rel=0.08)


@pytest.mark.parametrize(
    ("where", "more", "ways"),
    [("none", {}, set()), ("ends", {}, {"across"}), ("all", NO_BOLTS, {"along", "across"})],
)
def test_panels_are_left_out_and_the_estimate_says_so(
    where: str, more: dict[str, object], ways: set[str]
) -> None:
    made = frame(**section("panels", where=where), **more)
    told = strength_of(made)
    assert set(bears_after(made)) == ways
    for way in ("along", "across"):
        sway = told.figure(f"sway-{way}")
        assert sway is not None
        assert ("panels are left out" in sway.note) is (way in ways)
        if way in ways:  # what they'd add begins far beyond what a bench may sway
            assert bears_after(made)[way] > 0.5 * (sway.limit or math.inf)
    plain = strength_of(frame(**more)).figure("sway-across")
    assert plain is not None
    assert told.figure("sway-across").value == pytest.approx(plain.value, rel=0.05)  # type: ignore[union-attr]
