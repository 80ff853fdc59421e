from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.checks.benches import codes, frame, rules_of, said, with_joint
from treenail.generators.bench import Bench
from treenail.generators.frame_spec import DogHoles, Top
from treenail.timber.member import Face

ROW = "dog_holes_1"
# A front bolt stands in the section at (762, 38.1), over the front stretcher; its pilot hole is
# 7.14 mm wide, a dog hole 19.05 mm.
BOLT = (762.0, 38.1)


def dogs(*points: tuple[float, float]) -> Bench:
    return with_joint(frame(), ROW, points=points)


def narrow_planer() -> Bench:
    base = frame()
    spec = replace(base.spec, top=replace(base.spec.top, planer_width=200.0))
    return replace(base, spec=spec)


BROKEN: list[tuple[set[str], object]] = [
    ({"dog-hole-below"}, lambda: frame(top=Top(dog_holes=DogHoles(setback=45.0)))),
    # Bolts stand over a stretcher, so that a dog hole at one is blocked below as well.
    ({"dog-hole-bolt", "dog-hole-below"}, lambda: dogs(BOLT)),
    ({"dog-hole-wall", "dog-hole-below"}, lambda: dogs((BOLT[0] - 16.0, BOLT[1]))),
    ({"dog-holes-overlap"}, lambda: dogs((400.0, 101.6), (410.0, 101.6))),
    ({"dog-hole-pitch"}, lambda: frame(top=Top(dog_holes=DogHoles(pitch=50.0)))),
    ({"dog-hole-pitch"}, lambda: frame(top=Top(dog_holes=DogHoles(pitch=200.0)))),
    ({"dog-hole-breakout"}, lambda: dogs((5.0, 101.6))),
    ({"dog-hole-edge"}, lambda: dogs((20.0, 101.6))),
    ({"dog-hole-glue-line"}, lambda: dogs((600.0, 300.0))),
    ({"section-planer"}, narrow_planer),
]


@pytest.mark.parametrize(("wanted", "bench"), BROKEN)
def test_a_spoilt_bench_trips_this_rule(wanted: set[str], bench: object) -> None:
    assert callable(bench)
    assert codes(bench()) == wanted


def test_every_rule_is_tripped_above() -> None:
    assert set().union(*(codes for codes, _ in BROKEN)) == rules_of("tops")


@given(st.floats(20.0, 290.0))
def test_a_row_anywhere_over_the_frame(y: float) -> None:
    """The front stretcher lies from 15.875 to 60.325 mm, its row between the posts."""
    bench = dogs((762.0 + 60.0, y))
    room = y - 9.525 - 60.325
    found = said(bench, "dog-hole-below")
    if room < -1e-5:
        assert [f.severity for f in found] == ["warning"]
        assert found[0].message.endswith("stands stretcher_upper_front.")
    elif 1e-5 < room < 3.175 - 1e-5:
        assert [f.severity for f in found] == ["advice"]
        assert found[0].measured == pytest.approx(room)
    elif room > 3.175 + 1e-5:
        assert found == []


def test_a_post_below_blocks_its_hole_by_number() -> None:
    # Section coordinates run from the right end; the right posts stand 203 to 279 mm in.
    bench = dogs((240.0, 40.0), (600.0, 101.6))
    found = said(bench, "dog-hole-below")
    posts = [f for f in found if "post_front_right" in f.message]
    assert [f.message for f in posts] == ["Below dog hole 1 stands post_front_right."]


def test_something_far_below_is_no_matter() -> None:
    """The lower stretchers lie in the same line, half a metre below the top."""
    found = said(dogs((600.0, 40.0)), "dog-hole-below")
    assert [f.message for f in found] == ["Below dog hole 1 stands stretcher_upper_front."]


def test_holes_bored_from_below_are_measured_alike() -> None:
    base = dogs((600.0, 40.0))
    section = next(j for j in base.joints if j.name == ROW).member  # type: ignore[attr-defined]
    frame_below = section.face_frame(Face.BACK_SIDE)
    at = frame_below.local_point((600.0, 40.0, section.thickness))
    bench = with_joint(base, ROW, face=Face.BACK_SIDE, points=((at[0], at[1]),))
    # Bored from below, the hole opens on the working surface; nothing stands above that.
    assert said(bench, "dog-hole-below") == []
    assert said(bench, "dog-hole-edge") == said(base, "dog-hole-edge") == []


@given(st.integers(1, 6))
def test_sections_that_divide_a_top_pass_the_planer(parts: int) -> None:
    bench = replace(
        frame(), spec=replace(frame().spec, top=replace(frame().spec.top, planer_width=304.8))
    )
    assert said(bench, "section-planer") == []
    narrow = replace(bench.spec, top=replace(bench.spec.top, planer_width=304.8 / parts - 1.0))
    found = said(replace(bench, spec=narrow), "section-planer")
    assert len(found) == 2
    assert f"{parts + 1} sections" in found[0].remedy
