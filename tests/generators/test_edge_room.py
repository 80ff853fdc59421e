"""Room at the tenons' edges: the fit's own, what a wet season needs, or what is asked for."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from treenail.checks import load_rules
from treenail.checks.rules import RULES, Context
from treenail.generators.build import build_bench
from treenail.generators.edge_room import EASY, STEP, edge_fit
from treenail.generators.frame_spec import FrameBenchSpec, Moisture
from treenail.generators.slab_spec import SlabBenchSpec
from treenail.generators.spec_values import build_spec
from treenail.joints.fits import FITS, get_fit
from treenail.joints.mortise_tenon import MortiseTenon
from treenail.timber.errors import SpecError
from treenail.timber.moisture import crush_strain
from treenail.timber.species import load_species

WOODS = sorted(load_species())


def tenons(spec: FrameBenchSpec | SlabBenchSpec) -> list[MortiseTenon]:
    return [
        j
        for j in build_bench(spec).joints
        if isinstance(j, MortiseTenon) and "in_top" not in j.name
    ]


def test_a_usual_bench_has_the_named_fit() -> None:
    for spec in (FrameBenchSpec(), SlabBenchSpec()):
        assert {j.fit for j in tenons(spec)} == {get_fit("hand press", metric=True)}
        assert not any(k.startswith("edge_room") for k in build_bench(spec).choices)


@given(st.sampled_from(WOODS), st.floats(8.0, 16.0), st.sampled_from(sorted(FITS)))
def test_room_keeps_the_squeeze_easy_and_no_more(wood: str, wettest: float, name: str) -> None:
    spec = FrameBenchSpec(species=wood, moisture=Moisture(wettest=wettest), fit=name)
    bench = build_bench(spec)
    for joint in tenons(spec)[:8]:
        rail, named, own = joint.entering, get_fit(name, metric=True), joint.fit
        swells = joint.width * rail.species.c_tangential * (wettest - 8.0)
        squeeze = swells - own.edge.mid
        stands = EASY * crush_strain(rail.species) * joint.width
        assert squeeze <= stands + 1e-6
        assert own.swells == pytest.approx(own.edge.mid - named.edge.mid, abs=1e-9)
        assert own.swells == 0.0 or squeeze > stands - STEP - 1e-6
        assert joint.mortise.length - joint.width == pytest.approx(own.edge.mid, abs=1e-6)
        assert (own.cheek, own.bottom) == (named.cheek, named.bottom)
    load_rules()
    context = Context(bench=bench)
    assert [*RULES["tenon-swells-tight"].check(context)] == []
    assert [*RULES["edge-clearance"].check(context)] == []


def test_what_is_settled_is_told() -> None:
    bench = build_bench(FrameBenchSpec(moisture=Moisture(wettest=15.0)))
    settled = {k: v for k, v in bench.choices.items() if k.startswith("edge_room")}
    assert set(settled) == {
        f"edge_room.{level}_{kind}" for level in ("upper", "lower") for kind in ("long", "end")
    }
    assert all(v > FITS["hand press"].edge.mid for v in settled.values())


@pytest.mark.parametrize("asked", [0.1, 0.5, 1.3])
def test_room_as_asked(asked: float) -> None:
    spec = FrameBenchSpec(edge_room=asked, moisture=Moisture(wettest=15.0))
    for joint in tenons(spec):
        assert joint.mortise.length - joint.width == pytest.approx(asked, abs=1e-6)
        assert joint.fit.edge.low >= 0.0
    with pytest.raises(SpecError, match="edge_room"):
        build_spec(FrameBenchSpec, {"edge_room": -1}, units="mm")


def test_more_room_takes_so_much_more_of_the_post() -> None:
    spec = replace(SlabBenchSpec(), moisture=Moisture(wettest=14.0))
    usual = replace(spec, edge_room=FITS["hand press"].edge.mid)
    wide, plain = build_bench(spec), build_bench(usual)
    for post in ("post_front_left", "post_back_right"):
        own = [j for j in tenons(spec) if j.receiver.name == post]
        more = math.fsum(j.fit.swells * j.mortise.width * j.mortise.depth for j in own)
        assert plain.volumes[post] - wide.volumes[post] == pytest.approx(more, rel=1e-6)


def test_a_dry_season_asks_for_none() -> None:
    joint = tenons(FrameBenchSpec())[0]
    seasons = build_bench(FrameBenchSpec()).seasons
    dry = replace(seasons, at_build=11.0)
    assert edge_fit(FITS["easy"], 100.0, joint.entering, dry, None) is FITS["easy"]
