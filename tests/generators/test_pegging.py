import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from treenail.generators.pegging import evenly, in_turn


@given(st.integers(1, 4), st.integers(1, 4), st.floats(60, 200), st.floats(6, 10))
def test_pegs_in_turn_are_all_apart(a: int, b: int, high: float, diameter: float) -> None:
    first, second = in_turn(0.0, high, (a, b), diameter)
    assert (len(first), len(second)) == (a, b)
    spots = sorted((*first, *second))
    steps = [y - x for x, y in itertools.pairwise(spots)]
    assert max(steps) - min(steps) < 1e-9
    assert spots[0] == pytest.approx(high - spots[-1])
    if a == b:  # strictly by turns
        order = [spot in first for spot in spots]
        assert order == [i % 2 == 0 for i in range(2 * a)]


def test_an_even_spread() -> None:
    assert evenly(0.0, 100.0, 1) == (50.0,)
    assert evenly(0.0, 100.0, 2) == (25.0, 75.0)
