"""Joints let in and bolted: their STEP files, read back, are what was built."""

import pytest

from tests.checks.let_in_benches import bench_of
from tests.joints.let_in import joint_of
from tests.joints.test_barrel_bolt import bolt
from treenail.generators.bench import Bench
from treenail.generators.solids import build_solids
from treenail.joints.housings import Housing
from treenail.templates.step import bench_step
from treenail.templates.step_read import compare_step, read_step
from treenail.timber.frames import Frame
from treenail.timber.metric_bolts import METRIC_BOLTS, metric_bolt


def reads_back(bench: Bench) -> None:
    solids = build_solids(bench)
    assert compare_step(read_step(bench_step(solids)), solids) == []


@pytest.mark.parametrize("size", METRIC_BOLTS[:3])
def test_bolt_and_nut(size: str) -> None:
    joint = bolt(stub=8.0, size=metric_bolt(size))
    reads_back(bench_of(joint, Housing(name="h", receiver=joint.post, entering=joint.rail)))


@pytest.mark.parametrize("kind", ["sliding dovetail", "stopped spline", "cross lap, off"])
def test_what_is_let_in(kind: str) -> None:
    reads_back(bench_of(joint_of(kind, 100.0, 40.0, 9.0, Frame())))
