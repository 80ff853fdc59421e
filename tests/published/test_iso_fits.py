"""ISO 286-1, Table 1: spot values, and the rules by which the table is built."""

import itertools

import pytest

from treenail.timber.errors import SpecError
from treenail.timber.iso_fits import (
    BANDS,
    clearance_h,
    coarsest_grade_within,
    standard_tolerance,
)


@pytest.mark.parametrize(
    ("nominal", "grade", "micrometres"),
    [(12.7, 11, 110), (18, 11, 110), (18.01, 11, 130), (25.4, 9, 52), (25.4, 10, 84),
     (44.45, 12, 250), (76.2, 13, 460), (101.6, 10, 140), (120, 9, 87)],
)  # fmt: skip
def test_table_1(nominal: float, grade: int, micrometres: int) -> None:
    assert standard_tolerance(nominal, grade) == micrometres / 1000


def test_h11_h11_at_half_an_inch() -> None:
    """Clearance 0 to 220 micrometres."""
    assert clearance_h(12.7, 11, 11) == pytest.approx((0.0, 0.220))


@pytest.mark.parametrize("high", BANDS)
def test_grades_grow_as_the_standard_builds_them(high: float) -> None:
    """Each grade is about 1.6 times the one before (the fifth root of ten)."""
    fields = [standard_tolerance(high, grade) for grade in range(9, 14)]
    for finer, coarser in itertools.pairwise(fields):
        assert coarser / finer == pytest.approx(10**0.2, abs=0.1)


def test_what_a_clearance_allows() -> None:
    assert coarsest_grade_within(25.4, 0.1016) == 10  # hand press, cheeks
    assert coarsest_grade_within(25.4, 0.03) is None
    assert coarsest_grade_within(5.0, 1.0) is None


@pytest.mark.parametrize(("nominal", "grade"), [(5, 11), (121, 11), (25, 8), (25, 14)])
def test_outside_the_table(nominal: float, grade: int) -> None:
    with pytest.raises(SpecError):
        standard_tolerance(nominal, grade)
