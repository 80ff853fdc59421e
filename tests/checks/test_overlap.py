"""Shared volumes without the kernel's boolean, against closed forms and against the kernel."""

import itertools
import math
from collections.abc import Callable

import cadquery as cq
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.generators.bench_grid import solids
from treenail.checks.measured import Measures
from treenail.checks.overlap import Overlaps, faces_touch, kernel_volume
from treenail.checks.survey import Site
from treenail.checks.turned import circles_share, over_taper
from treenail.joints.volumes import crescent_area, lens_area

LENGTHS = st.floats(0.5, 40.0)


def box(x: float, y: float, z: float, *, at: tuple[float, float, float] = (0, 0, 0)) -> cq.Solid:
    return cq.Solid.makeBox(x, y, z).moved(cq.Location(at))


def rod(r: float, h: float, *, at: tuple[float, float, float] = (0, 0, 0)) -> cq.Solid:
    return cq.Solid.makeCylinder(r, h).moved(cq.Location(at))


def shared(a: cq.Shape, b: cq.Shape) -> tuple[float, str]:
    site = Site({"a": a, "b": b})
    found = Overlaps().between(site["a"], site["b"])
    return found.volume, found.how


# --- circles and tapers


@given(d=LENGTHS, e=st.floats(0.0, 50.0))
def test_equal_circles_share_a_lens(d: float, e: float) -> None:
    assert circles_share(d / 2, d / 2, e) == pytest.approx(lens_area(d, e), rel=1e-9, abs=1e-9)
    crescent = math.pi * d * d / 4 - circles_share(d / 2, d / 2, e)
    assert crescent == pytest.approx(crescent_area(d, e), rel=1e-9, abs=1e-9 * d * d)


@given(r=LENGTHS, big=LENGTHS, e=st.floats(0.0, 80.0))
def test_circles_share_the_same_from_both_sides(r: float, big: float, e: float) -> None:
    area = circles_share(r, big, e)
    assert area == pytest.approx(circles_share(big, r, -e), rel=1e-9, abs=1e-9)
    assert -1e-9 <= area <= math.pi * min(r, big) ** 2 * (1 + 1e-12)


@pytest.mark.parametrize(
    "r, big, e, area",
    [(3.0, 5.0, 2.0, 9 * math.pi), (3.0, 5.0, 8.0, 0.0), (3.0, 5.0, 0.0, 9 * math.pi)],
)
def test_circles_within_and_beside_each_other(r: float, big: float, e: float, area: float) -> None:
    assert circles_share(r, big, e) == pytest.approx(area, abs=1e-12)


@pytest.mark.parametrize("e", [0.0, 0.4, 1.6, 3.0, 12.0])
@pytest.mark.parametrize("r1", [0.0, 3.2, 4.7, 5.5])
@pytest.mark.parametrize("outside", [True, False])
def test_a_taper_in_a_hole_against_fine_slices(e: float, r1: float, *, outside: bool) -> None:
    r0, big, height, n = 4.7, 4.5, 13.0, 20000
    slices = 0.0
    for i in range(n):
        r = r0 + (r1 - r0) * (i + 0.5) / n
        inside = circles_share(r, big, e)
        slices += (math.pi * r * r - inside if outside else inside) * height / n
    found = over_taper(1.0, 1.0 + height, r0, r1, big, e, outside=outside)
    assert found == pytest.approx(slices, rel=2e-5, abs=1e-4)


def test_a_taper_alone_is_a_frustum() -> None:
    r0, r1, h = 5.0, 2.0, 12.0
    frustum = math.pi * h * (r0 * r0 + r0 * r1 + r1 * r1) / 3
    assert over_taper(0, h, r0, r1, 9.0, 1.0, outside=False) == pytest.approx(frustum, rel=1e-9)
    assert over_taper(0, h, r0, r1, 9.0, 30.0, outside=True) == pytest.approx(frustum, rel=1e-9)
    assert over_taper(3.0, 3.0, r0, r1, 9.0, 1.0, outside=True) == 0.0


# --- pairs of small solids


HOLED = box(60, 60, 40).cut(rod(5, 60, at=(30, 30, -10))).Solids()[0]
PEG = rod(5, 40, at=(30, 30, 0))
SKEW = cq.Location((30, 30, 20), (1, 0, 0), 30)


@pytest.mark.parametrize(
    "a, b, volume, how",
    [
        (box(10, 10, 10), box(10, 10, 10, at=(20, 0, 0)), 0.0, "apart"),
        (box(10, 10, 10), box(10, 10, 10, at=(10, 0, 0)), 0.0, "apart"),
        (box(10, 10, 10), box(10, 10, 10, at=(4, 5, 6)), 6 * 5 * 4, "cells"),
        (box(30, 30, 30), box(5, 5, 5, at=(10, 10, 10)), 125.0, "cells"),
        (box(30, 30, 30), box(30, 30, 30), 27000.0, "cells"),
        (HOLED, PEG, 0.0, "turned"),
        (HOLED, PEG.moved(cq.Location((1.5, 0, 0))), 40 * crescent_area(10, 1.5), "turned"),
        (HOLED, PEG.moved(cq.Location((1.5, 0, 30))), 10 * crescent_area(10, 1.5), "turned"),
        (HOLED, PEG.moved(cq.Location((28, 0, -5))), 0.0, "kernel"),
        (HOLED, rod(5, 10, at=(12, 12, 5)), 250 * math.pi, "turned"),
        (HOLED, rod(4, 60, at=(30, 30, -10)), 0.0, "turned"),
        (HOLED, rod(6, 60, at=(30, 30, -10)), 40 * 11 * math.pi, "turned"),
        (rod(5, 30), rod(3, 30, at=(1, 0, 10)), 20 * 9 * math.pi, "turned"),
        (rod(5, 30), rod(5, 30, at=(3, 0, 10)), 20 * lens_area(10, 3), "turned"),
        (rod(5, 30), rod(5, 30, at=(20, 0, 0)), 0.0, "apart"),
    ],
)
def test_small_pairs(a: cq.Solid, b: cq.Solid, volume: float, how: str) -> None:
    for first, second in ((a, b), (b, a)):
        found, found_how = shared(first, second)
        if how == "kernel":
            site = Site({"a": first, "b": second})
            assert found == pytest.approx(kernel_volume(site["a"], site["b"]), rel=1e-6)
        else:
            assert found == pytest.approx(volume, rel=1e-9, abs=1e-6)
        assert found_how == how


def test_pairs_turned_together_share_the_same() -> None:
    off = PEG.moved(cq.Location((1.5, 0, 0)))
    want, _ = shared(HOLED, off)
    found, how = shared(HOLED.moved(SKEW), off.moved(SKEW))
    assert found == pytest.approx(want, rel=1e-9)
    assert how == "turned"
    found, how = shared(box(9, 9, 9).moved(SKEW), box(9, 9, 9, at=(3, 3, 3)).moved(SKEW))
    assert found == pytest.approx(216.0, rel=1e-9)
    assert how == "cells"


def test_a_slanting_pair_is_left_to_the_kernel() -> None:
    wedge = cq.Workplane().polyline([(0, 0), (20, 0), (0, 20)]).close().extrude(10).val()
    assert isinstance(wedge, cq.Solid)
    found, how = shared(wedge, box(20, 20, 5))
    assert found == pytest.approx(1000.0, rel=1e-9)
    assert how == "kernel"


def test_pairs_that_stand_alike_are_measured_once() -> None:
    first, second = box(10, 10, 10), box(10, 10, 10)
    there = cq.Location((100, 7, 3), (0, 0, 1), 90)
    near = cq.Location((4, 5, 6))
    site = Site(
        {
            "a": first,
            "b": second.moved(near),
            "c": first.moved(there),
            "d": second.moved(there * near),
        }
    )
    overlaps = Overlaps()
    one = overlaps.between(site["a"], site["b"])
    two = overlaps.between(site["c"], site["d"])
    assert one.volume == two.volume == pytest.approx(120.0)
    assert len(overlaps._known) == 1
    assert one.box != two.box


# --- touching


@pytest.mark.parametrize(
    "a, b, touch",
    [
        (box(10, 10, 10), box(10, 10, 10, at=(10, 0, 0)), True),
        (box(10, 10, 10), box(10, 10, 10, at=(10, 10, 0)), True),
        (box(10, 10, 10), box(10, 10, 10, at=(10.001, 0, 0)), False),
        (HOLED, PEG, True),
        (HOLED, rod(4.99, 60, at=(30, 30, -10)), False),
        (HOLED, box(2, 2, 80, at=(29, 29, -10)), False),
    ],
)
def test_touching(a: cq.Solid, b: cq.Solid, *, touch: bool) -> None:
    site = Site({"a": a, "b": b})
    assert faces_touch(site["a"], site["b"]) is touch
    assert faces_touch(site["b"], site["a"]) is touch


# --- whole benches, against the kernel


def agrees_with_the_kernel(name: str, *, every: int) -> None:
    measures = Measures(solids(name).bench, solids(name).placed)
    ways: dict[object, tuple[str, str]] = {}
    for pair, found in measures.shared.items():
        a, b = (measures.site[n] for n in pair)
        if found.how != "kernel":
            ways.setdefault((id(a.survey), id(b.survey), a.frame.localise(b.frame)), pair)
    assert ways
    for a_name, b_name in itertools.islice(ways.values(), 0, None, every):
        found = measures.shared[a_name, b_name]
        wanted = kernel_volume(measures.site[a_name], measures.site[b_name])
        assert found.volume == pytest.approx(wanted, rel=1e-5, abs=1e-4), (a_name, b_name)


@pytest.mark.parametrize("name", ["usual", "mitred, pegged", "taper inside the tenon"])
def test_pairs_of_a_bench_share_what_the_kernel_finds(name: str) -> None:
    agrees_with_the_kernel(name, every=4)


@pytest.mark.deep
@pytest.mark.parametrize("name", ["usual", "notched", "through", "many bolts", "pegs in two rows"])
def test_all_pairs_of_a_bench_share_what_the_kernel_finds(name: str) -> None:
    agrees_with_the_kernel(name, every=1)


@pytest.mark.parametrize("name", ["usual", "through", "many bolts", "pegs in two rows"])
def test_no_pair_of_the_usual_benches_needs_the_kernel(
    name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    def never(*_: object) -> float:
        raise AssertionError("the kernel was asked")

    refuse: Callable[..., float] = never
    monkeypatch.setattr("treenail.checks.overlap.kernel_volume", refuse)
    assert Measures(solids(name).bench, solids(name).placed).shared
