"""The slab bench: sizes, posts through the top, volumes, and what can't be built."""

from functools import cache
from typing import Any, Literal

import pytest
from click.testing import CliRunner

import treenail
from treenail.cli import cli
from treenail.generators.slab_spec import SlabBenchSpec
from treenail.joints.tenon_variants.slab import SlabTenons
from treenail.joints.tenon_variants.wedged import WedgedTenon
from treenail.timber.errors import SpecError

PAIRS = ("upper_long", "upper_end", "lower_long", "lower_end")
DOVETAILED: dict[str, Any] = {"post_tenons": {"way": "dovetailed"}}
SIZES: dict[str, dict[str, Any]] = {
    "smallest": {"length": "900 mm", "depth": "420 mm", "height": "560 mm"},
    "usual": {},
    "largest": {"length": "3600 mm", "depth": "1000 mm", "height": "950 mm"},
}
KINDS: dict[str, dict[str, Any]] = {
    "wedged": {},
    "dovetailed": DOVETAILED,
    "upper, shelf": {
        "upper": True,
        "shelf": {"enabled": True},
        # So narrow that both levels stand under the lowest top.
        **{pair: {"width": "70 mm"} for pair in PAIRS},
    },
    "one slab": {"top": {"planer_width": "1100 mm", "sections": 1}},
}


@cache
def bench(size: str, kind: str, units: Literal["in", "mm"] = "mm") -> treenail.Bench:
    return treenail.slab_bench(units=units, **SIZES[size], **KINDS[kind])


@pytest.mark.parametrize("units", ["in", "mm"])
@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("size", SIZES)
def test_a_grid_of_sizes_passes_and_has_the_sizes_asked_for(
    size: str, kind: str, units: Literal["in", "mm"]
) -> None:
    made = bench(size, kind, units)
    lows, highs = zip(*(m.bounds() for m in made.timbers), strict=True)
    for axis, asked in enumerate((made.spec.length, made.spec.depth, made.spec.height)):
        assert min(p[axis] for p in lows) == pytest.approx(0.0, abs=1e-9)
        assert max(p[axis] for p in highs) == pytest.approx(asked, abs=1e-9)
    assert made.check(numbers_only=True).errors == ()


@pytest.mark.parametrize(("kind", "way"), [("wedged", WedgedTenon), ("dovetailed", SlabTenons)])
def test_every_post_comes_up_flush_through_the_top(kind: str, way: type) -> None:
    made = bench("usual", kind)
    joints = [j for j in made.joints if isinstance(j, way)]
    assert {j.members[1].name for j in joints} == {m.name for m in made.timbers if m.role == "post"}
    assert all(j.proud == 0.0 for j in joints if isinstance(j, WedgedTenon | SlabTenons))
    assert len(made.wedges) == (8 if kind == "wedged" else 0)


@pytest.mark.parametrize(
    ("size", "kind"), [("usual", "wedged"), ("smallest", "dovetailed"), ("largest", "one slab")]
)
def test_solids_pass_the_checks_and_have_the_closed_form_volumes(size: str, kind: str) -> None:
    made = bench(size, kind)
    assert made.check().errors == ()
    for name, solid in made.solids().placed.items():
        if name in made.volumes:
            assert solid.Volume() == pytest.approx(made.volumes[name], rel=1e-7)


@pytest.mark.parametrize("depth", [420.0, 500.0, 620.0, 900.0])
def test_no_glue_line_comes_over_a_post(depth: float) -> None:
    made = treenail.slab_bench(depth=depth, top={"planer_width": 250.0})
    seams = {m.bounds()[0][1] for m in made.timbers if m.role == "top section"} - {0.0}
    for leg in (m for m in made.timbers if m.role == "post"):
        low, high = leg.bounds()
        assert all(not low[1] - 11.9 < y < high[1] + 11.9 for y in seams)


@pytest.mark.parametrize(
    ("sizes", "field"),
    [
        ({"length": 500}, "length"),
        ({"post_tenons": {"shoulder_ends": 62}}, "post_tenons.shoulder_ends"),
        ({"post_tenons": {"thickness": 70}}, "post_tenons.thickness"),
        (
            {"post_tenons": {"wedges": 4, "kerf": 6, "flare": 12, "shoulder_ends": 20}},
            "post_tenons.wedges",
        ),
        ({**DOVETAILED, "top": {"overhang_front": 20}}, "top.overhang_front"),
        ({"post_tenons": {"way": "dovetailed", "dovetail": 60}}, "post_tenons.dovetail"),
        (
            {"post_tenons": {"way": "dovetailed", "flank": 40, "shoulder_ends": 20}},
            "post_tenons.flank",
        ),
        ({"upper": True, "height": 400}, "lower_end.height"),
    ],
)
def test_what_cannot_be_built_names_its_field(sizes: dict[str, Any], field: str) -> None:
    with pytest.raises(SpecError) as caught:
        treenail.slab_bench(**sizes)
    assert caught.value.field == field
    assert caught.value.allowed


def test_a_starter_of_the_family_reads_as_its_defaults() -> None:
    made = CliRunner().invoke(cli, ["new", "--family", "slab"])
    assert made.exit_code == 0
    assert treenail.build_spec_file(made.output.encode()).spec == SlabBenchSpec()
