"""Tops that aren't one slab: what lies between two slabs stays loose, and all passes the checks."""

from __future__ import annotations

from functools import cache
from typing import Any, Literal

import pytest
from hypothesis import given
from hypothesis import strategies as st

import treenail
from treenail.checks.panels import panels
from treenail.checks.rules import Context
from treenail.checks.year import tracks_of
from treenail.generators.frame_bench import build_frame_bench
from treenail.generators.frame_spec import FrameBenchSpec
from treenail.generators.spec_values import build_spec
from treenail.generators.top_kinds import HOLD
from treenail.joints.edges import PanelGroove
from treenail.joints.lag_bolt import LagBolt
from treenail.timber.errors import SpecError
from treenail.timber.moisture import movement, movement_coefficient

Units = Literal["in", "mm"]
FAMILIES = {"frame": treenail.frame_bench, "slab": treenail.slab_bench}
SIZES: dict[str, dict[str, Any]] = {
    "smallest": {"length": "1200 mm", "depth": "480 mm", "height": "700 mm"},
    "usual": {},
    "largest": {"length": "3600 mm", "depth": "1000 mm", "height": "950 mm"},
}
KINDS: dict[str, dict[str, Any]] = {
    "split": {"kind": "split"},
    "well": {"kind": "well", "well": {"width": "5 in"}},
}


@cache
def bench(family: str, size: str, kind: str, units: Units = "mm") -> treenail.Bench:
    return FAMILIES[family](units=units, **SIZES[size], top=KINDS[kind])


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize(
    ("size", "units"), [("smallest", "mm"), ("usual", "in"), ("largest", "mm")]
)
@pytest.mark.parametrize("family", FAMILIES)
def test_a_grid_of_sizes_passes_and_has_the_sizes_asked_for(
    family: str, size: str, kind: str, units: Units
) -> None:
    made = bench(family, size, kind, units)
    lows, highs = zip(*(m.bounds() for m in made.timbers), strict=True)
    for axis, asked in enumerate((made.spec.length, made.spec.depth, made.spec.height)):
        assert min(p[axis] for p in lows) == pytest.approx(0.0, abs=1e-9)
        assert max(p[axis] for p in highs) == pytest.approx(asked, abs=1e-9)
    report = made.check(numbers_only=True)
    assert report.errors == ()
    mine = {"loose-piece-jams", "loose-piece-drops", "bolt-slot", "dog-hole-below"}
    assert not mine & {f.rule for f in report.findings}


@pytest.mark.parametrize(
    ("family", "size", "kind"),
    [
        ("frame", "usual", "split"),
        ("slab", "largest", "split"),
        ("slab", "usual", "well"),
    ],
)
def test_solids_pass_the_checks_and_have_the_closed_form_volumes(
    family: str, size: str, kind: str
) -> None:
    made = bench(family, size, kind)
    assert made.check().errors == ()
    for name, solid in made.solids().placed.items():
        if name in made.volumes:
            assert solid.Volume() == pytest.approx(made.volumes[name], rel=1e-7)


# --- the year


@given(
    built=st.floats(6, 12),
    dry=st.floats(0, 3),
    wet=st.floats(0, 5),
    rings=st.sampled_from(["flat", "rift", "quarter"]),
    wood=st.sampled_from(["white ash", "red oak", "douglas fir"]),
    kind=st.sampled_from(["split", "well"]),
    depth=st.floats(560, 800),
)
def test_what_lies_loose_neither_jams_nor_drops_in_any_year(
    *, built: float, dry: float, wet: float, rings: str, wood: str, kind: str, depth: float
) -> None:
    given_mm = {
        "depth": depth,
        "species": wood,
        "moisture": {"at_build": built, "driest": built - dry, "wettest": built + wet},
        "top": {"kind": kind, "rings": rings},
    }
    try:
        made = build_frame_bench(build_spec(FrameBenchSpec, given_mm, units="mm"))
    except SpecError as refused:
        assert refused.field in ("top.split.gap", "top.well.width")  # noqa: PT017
        return
    context = Context(bench=made)
    found = [t for key in ("strip-play", "panel-play") for t in tracks_of(context, key)]
    assert found
    assert all(min(t.at(wet), t.at(-dry)) >= -1e-9 for t in found)
    held = [t for key in ("strip-hold", "panel-hold") for t in tracks_of(context, key)]
    assert all(min(t.at(wet), t.at(-dry)) >= HOLD - 1e-9 for t in held)


def test_the_strip_s_play_is_what_slabs_and_strip_leave() -> None:
    made = bench("frame", "usual", "split")
    s, wood = made.seasons, made.by_name["gap_strip"].species
    front, back = made.by_name["top_section_1"], made.by_name["top_section_2"]
    lines = {j.name: j.point[1] for j in made.joints if isinstance(j, LagBolt) and j.slot == 0.0}
    low, high = front.bounds()[1][1], back.bounds()[0][1]
    quarter = movement_coefficient(wood, "quarter")
    away = (low - lines["upper_front_1"]) + (lines["upper_back_1"] - high)
    closes = movement(away, quarter, s.at_build, s.wettest)
    strip = made.by_name["gap_strip"].width
    grown = strip + movement(strip, wood.c_tangential, s.at_build, s.wettest)
    (track,) = tracks_of(Context(bench=made), "strip-play")
    assert track.at(s.wettest - s.at_build) == pytest.approx(high - low - closes - grown)
    assert high - low - closes - grown >= 1.0


def test_each_slab_is_held_by_one_row_and_slotted_elsewhere() -> None:
    made = bench("frame", "usual", "split")
    slabs = panels(Context(bench=made))
    assert len(slabs) == 2
    for slab in slabs:
        bolts = [j for j in made.joints if isinstance(j, LagBolt) and j.top in slab]
        assert len({j.point[1] for j in bolts if not j.slot}) == 1
        assert [j.carrier.role for j in bolts if j.slot] == ["bearer", "bearer"]


def test_a_well_s_bottom_can_move_in_both_grooves() -> None:
    made = bench("frame", "usual", "well")
    grooves = [j for j in made.joints if isinstance(j, PanelGroove)]
    assert len(grooves) == 6
    assert all(j.room > 0.0 and j.gaps()[0].room == j.room for j in grooves)


# --- what can't be built


@pytest.mark.parametrize(
    ("top", "field"),
    [
        ({"kind": "split", "split": {"front": 560}}, "top.split.front"),
        ({"kind": "split", "split": {"ledge": 60}, "thickness": 50}, "top.split.ledge"),
        ({"kind": "split", "split": {"gap": 20}, "rings": "flat"}, "top.split.gap"),
        ({"kind": "split", "dog_holes": {"setback": 305}}, "top.dog_holes.setback"),
        ({"kind": "well", "well": {"width": 500}}, "top.well.width"),
        ({"kind": "well", "well": {"depth": 70}}, "top.well.depth"),
        ({"kind": "well", "well": {"bottom": 60}}, "top.well.bottom"),
    ],
)
def test_what_cannot_be_built_names_its_field(top: dict[str, Any], field: str) -> None:
    with pytest.raises(SpecError) as caught:
        treenail.frame_bench(
            depth=600, top=top, moisture={"at_build": 8, "driest": 5, "wettest": 14}
        )
    assert caught.value.field == field
    assert caught.value.allowed


@pytest.mark.parametrize(
    ("more", "field"),
    [
        ({"bolts": {"per_stretcher": 0}}, "bolts.per_stretcher"),
        ({"upper_long": {"height": 560}}, "upper_long.height"),
        ({"length": 600, "top": {"kind": "split", "overhang_ends": 100}}, "top.kind"),
    ],
)
def test_slabs_apart_need_bearers_and_bolts(more: dict[str, Any], field: str) -> None:
    with pytest.raises(SpecError) as caught:
        treenail.frame_bench(**({"top": {"kind": "split"}} | more))
    assert caught.value.field == field
