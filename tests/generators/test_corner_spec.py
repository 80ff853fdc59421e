"""Corners of mortises, the cutter, and the limit that the solids are built to, from the spec."""

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.strategies import frame_specs
from treenail.generators.build import build_bench
from treenail.generators.frame_bench import build_frame_bench
from treenail.generators.frame_spec import FrameBenchSpec
from treenail.generators.slab_spec import PostTenons, SlabBenchSpec
from treenail.generators.spec_values import build_spec
from treenail.joints.corners import largest_cutter
from treenail.joints.fits import FITS, MODELS, Model, get_fit
from treenail.joints.mortise_tenon import MortiseTenon
from treenail.timber.errors import SpecError


def tenons(**changes: Any) -> list[MortiseTenon]:
    bench = build_frame_bench(FrameBenchSpec(**changes))
    return [j for j in bench.joints if isinstance(j, MortiseTenon)]


def test_corners_are_square_unless_asked_for() -> None:
    assert all(m.corners is None for j in tenons() for m in j.mortises)
    assert all(j.tenon.rounding is None for j in tenons(mortise_corners="relieved"))
    for joint in tenons(mortise_corners="round", cutter=10.0):
        assert joint.mortise.corners is not None
        assert joint.mortise.corners.radius == 5.0
        assert joint.tenon.rounding is not None
        assert joint.tenon.rounding.radius == pytest.approx(5.0 - joint.fit.cheek.mid / 2)


@pytest.mark.parametrize("kind", ["round", "relieved"])
def test_a_cutter_too_wide_names_the_widest_that_goes(kind: Any) -> None:
    width = tenons()[0].mortise.width
    most = largest_cutter(kind, width)
    assert tenons(mortise_corners=kind, cutter=most - 1e-6)
    with pytest.raises(SpecError, match="don't fit the mortises") as caught:
        tenons(mortise_corners=kind, cutter=most + 1e-6)
    assert caught.value.field == "cutter"
    assert tenons(cutter=40.0)  # of no account where corners are square


@pytest.mark.parametrize("way", ["wedged", "dovetailed"])
def test_the_slab_bench_s_posts_have_such_corners_too(way: str) -> None:
    spec = SlabBenchSpec(post_tenons=PostTenons(way=way), mortise_corners="round", cutter=10.0)
    joints = [j for j in build_bench(spec).joints if isinstance(j, MortiseTenon)]
    posts = [j for j in joints if j.name.endswith("_in_top")]
    assert len(posts) == 4
    for joint in posts:
        assert [m.corners is not None for m in joint.mortises] == [True] * len(joint.mortises)
        assert joint.tenon.rounding is not None
    narrow = replace(spec, post_tenons=PostTenons(way=way, thickness=9.0))
    with pytest.raises(SpecError, match="mortises of post_tenons"):
        build_bench(narrow)


@pytest.mark.parametrize("fit", sorted(FITS))
def test_the_solids_are_built_to_the_limit_asked_for(fit: str) -> None:
    limits = get_fit(fit, metric=True)
    wanted: dict[Model, tuple[float, float, float]] = {
        "tight": (limits.cheek.low, limits.edge.low, limits.bottom.low),
        "loose": (limits.cheek.high, limits.edge.high, limits.bottom.high),
    }
    wanted["mid"] = tuple(
        (a + b) / 2 for a, b in zip(wanted["tight"], wanted["loose"], strict=True)
    )  # type: ignore[assignment]
    for model in MODELS:
        joint = next(j for j in tenons(fit=fit, model=model) if not j.through)
        room = (
            joint.mortise.width - joint.thickness,
            joint.mortise.length - joint.width,
            joint.mortise_depth - joint.length,
        )
        assert room == pytest.approx(wanted[model], abs=1e-6)


@given(frame_specs(), st.sampled_from(["round", "relieved"]), st.sampled_from(MODELS))
def test_every_bench_can_have_such_corners(spec: FrameBenchSpec, kind: str, model: str) -> None:
    import dataclasses

    made = dataclasses.replace(spec, mortise_corners=kind, model=model, cutter=6.0)
    volumes = build_bench(made).volumes
    square = build_bench(dataclasses.replace(made, mortise_corners="square")).volumes
    for name, volume in volumes.items():
        if name.startswith("post"):
            assert (volume > square[name]) == (kind == "round")
        elif name.startswith("stretcher"):
            assert (volume < square[name]) == (kind == "round")


def test_a_spec_file_says_them() -> None:
    given_ = {"mortise_corners": "relieved", "cutter": "1/4 in", "model": "loose"}
    spec = build_spec(FrameBenchSpec, given_, units="in")
    assert (spec.mortise_corners, spec.cutter, spec.model) == ("relieved", 6.35, "loose")
    with pytest.raises(SpecError, match="mortise_corners"):
        build_spec(FrameBenchSpec, {"mortise_corners": "rounded"}, units="in")
