"""Knock-down bolts: sound on the solids, and what the rules say of weak ones."""

import math
from typing import Any

import pytest

from tests.checks.let_in_benches import bench_of
from tests.joints.test_barrel_bolt import bolt
from treenail.checks import check_bench
from treenail.checks.strength.mass import STEEL, bolt_mass
from treenail.generators.solids import build_solids
from treenail.joints.features import Bearing
from treenail.joints.housings import Housing
from treenail.timber.metric_bolts import barrel_nut_volume, metric_bolt

CODES = {"barrel-nut-end", "barrel-nut-wall", "barrel-bolt-grip", "barrel-bolt-turns"}


@pytest.mark.parametrize("name", ["M6", "M8", "M10"])
def test_bolt_nut_and_members_go_together(name: str) -> None:
    joint = bolt(size=metric_bolt(name))
    bench = bench_of(joint)
    solids = build_solids(bench)
    report = check_bench(bench, solids)
    assert report.errors == (), [f.message for f in report.errors]
    nut = solids.bolts["nut_j"]
    size = joint.size
    closed = barrel_nut_volume(size.nut_diameter, size.nut_length, size.diameter)
    assert nut.Volume() == pytest.approx(closed, rel=1e-9)
    plain = math.pi / 4 * size.nut_diameter**2 * size.nut_length
    assert 0.5 * plain < closed < plain - math.pi / 4 * size.diameter**2 * size.nut_diameter * 0.8
    shank = solids.bolts["bolt_j"]
    low, high = shank.BoundingBox().zmin, shank.BoundingBox().zmax
    assert high - low == pytest.approx(joint.bolt_length + size.head_height, abs=1e-3)


@pytest.mark.parametrize(
    ("code", "more"),
    [
        ("barrel-nut-end", {"setback": 35.0}),
        ("barrel-nut-wall", {"at": (10.0, 22.0)}),
        ("barrel-bolt-grip", {"counterbore": 66.0}),
    ],
)
def test_each_weakness_is_found_by_its_rule(code: str, more: Any) -> None:
    joint = bolt(**more)
    steady = Bearing(name="ledge", below=joint.post, above=joint.rail)
    found = {f.rule for f in check_bench(bench_of(joint, steady)).findings} & CODES
    assert found == {code}


def test_one_bolt_lets_a_rail_turn_and_a_housing_holds_it() -> None:
    alone = bolt()
    assert {f.rule for f in check_bench(bench_of(alone)).findings} & CODES == {"barrel-bolt-turns"}
    held = bolt(stub=8.0)
    housing = Housing(name="h", receiver=held.post, entering=held.rail)
    bench = bench_of(held, housing)
    report = check_bench(bench, build_solids(bench))
    assert not {f.rule for f in report.findings} & CODES
    assert report.errors == (), [f.message for f in report.errors]


def test_a_nut_weighs_what_its_barrel_does() -> None:
    joint = bolt()
    nut = joint.hardware()[1]
    mass = bolt_mass(nut)
    assert mass.centre == nut.placement.origin
    solid = build_solids(bench_of(joint)).bolts[nut.name]
    assert mass.mass == pytest.approx(solid.Volume() * 1e-9 * STEEL, rel=1e-9)
