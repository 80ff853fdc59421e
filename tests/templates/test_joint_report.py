"""Every joint's numbers in the report, and in words."""

from __future__ import annotations

import json
import math
from importlib.resources import files

import jsonschema
import pytest
from click.testing import CliRunner

from tests.joints.tenon_variants.pairs import KINDS
from tests.plugin.test_workplane_joints import CASES
from treenail.cli import cli
from treenail.joints.volumes import net_volume
from treenail.templates.joint_report import joint_data, joint_words

SCHEMA = json.loads(files("treenail").joinpath("schemas", "report.schema.json").read_text())
ITEM = {"$defs": SCHEMA.get("$defs", {}), **SCHEMA["properties"]["joints"]["items"]}
EXAMPLE = "examples/skerry-point-slab.yaml"


@pytest.mark.parametrize("case", CASES)
def test_every_joint_tells_its_numbers(case: str) -> None:
    joint, _ = CASES[case]()
    data = joint_data(joint)
    jsonschema.validate(data, ITEM)
    assert {"tenon", "bolt", "numbers"} & set(data)
    words = joint_words(joint, "in")
    assert '"' in words or "in" in words
    assert "_" not in words


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_of_tenon_tells_more_than_a_plain_one(kind: str) -> None:
    data = joint_data(KINDS[kind]())
    jsonschema.validate(data, ITEM)
    assert ("numbers" in data) == (not any(w in kind for w in ("haunch", "bare")))


@pytest.mark.parametrize("case", ["housing", "housing closed at both ends", "notch", "rebate"])
def test_a_trench_of_those_numbers_is_what_is_gone(case: str) -> None:
    joint, _ = CASES[case]()
    receiver = joint.members[0]
    numbers = joint_data(joint)["numbers"]
    stem = "trench_" if "trench_depth_mm" in numbers else "receiver_cut_"
    gone = receiver.stock_volume - net_volume(receiver, joint.cuts()[receiver.name])
    size = [numbers[f"{stem}{way}_mm"] for way in ("depth", "width", "length")]
    assert size[0] * size[1] * size[2] == pytest.approx(gone, rel=1e-9)


def test_gaps_are_those_that_are_measured() -> None:
    joint, _ = CASES["stopped housing with tongue"]()
    rooms = {(g["what"], g["room_mm"]) for g in joint_data(joint)["gaps"]}
    assert ("floor", 2.38125) in rooms
    assert ("shoulder", 0.0) in rooms


def test_the_screen_lists_the_joints_of_a_spec() -> None:
    shown = CliRunner().invoke(cli, ["joints", EXAMPLE])
    assert shown.exit_code == 0, shown.output
    text = " ".join(shown.output.split())
    assert "wedged" in text
    data = CliRunner().invoke(cli, ["joints", EXAMPLE, "--json"])
    posts = [j for j in json.loads(data.output) if j["name"] == "front_left_in_top"]
    assert posts[0]["numbers"]["wedges"] == 2


def test_what_leans_tells_how_far() -> None:
    shown = CliRunner().invoke(cli, ["joints", "examples/skerry-point-saw-bench.yaml", "--json"])
    joints = json.loads(shown.output)
    for joint in joints:
        jsonschema.validate(joint, ITEM)
    legs = [j for j in joints if j["name"].endswith("_in_top")]
    assert len(legs) == 4
    # From splay 10 and rake 14 degrees, the resultant: tan² = tan² + tan².
    lean = math.degrees(math.atan(math.hypot(*(math.tan(math.radians(a)) for a in (10, 14)))))
    assert all(j["angles_degrees"]["resultant"] == pytest.approx(lean, abs=1e-3) for j in legs)
    assert all(j["numbers"]["wedges"] == 1 for j in legs)
    assert all(j["notch"]["depth_mm"] > 0 for j in joints if j["kind"] == "skew notch")
