"""Rules, machines, papers and strength of what lies aslant, on the saw bench and on two pieces."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache
from typing import Any

import pytest

import treenail
from tests.joints.aslant import tenon
from tests.joints.tenon_variants.pairs import bench_of
from treenail.checks import check_context
from treenail.checks.assembly.plan import plan_assembly
from treenail.checks.making import Made, make
from treenail.checks.making_aslant import end_settings
from treenail.checks.reach import features_of
from treenail.checks.rules import Context, Finding
from treenail.checks.shop_file import ShopFile
from treenail.checks.shop_machines import MetricMachines
from treenail.checks.strength.columns import column_figures
from treenail.checks.strength.mass import bench_mass
from treenail.checks.strength.skeleton import read_skeleton
from treenail.checks.strength.steady import stance, steady_figures
from treenail.generators.bench import Bench
from treenail.joints.angled_cuts import AngledMortise, AngledTenonEnd, EndBevel, SkewNotch
from treenail.joints.angled_tenon import AngledTenon
from treenail.joints.skew import SkewLetIn
from treenail.shop.glue import Glue
from treenail.shop.glue_lines import WEDGES, joint_line
from treenail.shop.setups import setups
from treenail.templates.joint_report import joint_data, joint_words
from treenail.timber.angles import LegAngles
from treenail.timber.member import Face

SHOP = MetricMachines()


def say(mm: float) -> str:
    return f"{mm:.2f} mm"


@cache
def bench() -> treenail.Bench:
    return treenail.saw_bench(units="mm")


def cut_of(name: str, kind: type) -> Any:
    return next(c for c in bench().cuts[name] if type(c) is kind)


def verdict(name: str, kind: type, **machines: Any) -> Any:
    shop = replace(SHOP, **{k: replace(getattr(SHOP, k), **v) for k, v in machines.items()})
    return make(cut_of(name, kind), bench().by_name[name], shop, say)


def findings(made: Bench, rule: str) -> list[Finding]:
    report = check_context(Context(bench=made))
    return [f for f in report.findings if f.rule == rule]


# --- machines


def test_a_mortise_is_bored_on_a_ramp_and_pared() -> None:
    made = verdict("top_board_1", AngledMortise).made
    assert made == Made(
        machine="drill_press",
        tool="25.00 mm bit, hole beside hole, the piece on a ramp of 16.98°",
        by_hand="pare the walls along a bevel gauge",
    )
    by_hand = verdict("top_board_1", AngledMortise, drill_press={"have": False}).made
    assert by_hand.machine == "hand"
    assert "along a bevel gauge at 16.98°" in by_hand.tool
    short = verdict(
        "top_board_1",
        AngledMortise,
        drill_press={"reach": 30.0, "long_reach": 30.0, "flat_reach": 30.0},
        hand={"reach": 20.0},
    )
    assert short.made is None
    assert [r.kind for r in short.refusals] == ["reach", "reach"]
    assert verdict("top_board_1", AngledMortise, hand={"have": False}).made is None


def test_a_tenon_is_sawn_by_hand_if_the_saw_is_deep_enough() -> None:
    made = verdict("leg_front_left", AngledTenonEnd).made
    assert made.machine == "hand"
    assert "16.98°" in made.tool
    assert verdict("leg_front_left", AngledTenonEnd, hand={"saw_depth": 40.0}).made is None


def test_bevels_by_the_saw_are_the_legs_angles() -> None:
    spec = bench().spec.legs
    angles = LegAngles(math.radians(spec.splay), math.radians(spec.rake))
    for name in ("leg_front_left", "leg_back_left"):
        cut = cut_of(name, EndBevel)
        for face, on in ((Face.FACE_EDGE, "end face"), (Face.FACE_SIDE, "side face")):
            mitre, tilt = end_settings(cut, cut.plane, face)
            wanted = angles.end_cut(on)  # type: ignore[arg-type]
            assert (abs(mitre), abs(tilt)) == pytest.approx((wanted.mitre, wanted.tilt), abs=1e-9)
    made = verdict("leg_front_left", EndBevel).made
    assert made.tool == "face edge down, mitre gauge 13.80°, blade tilted 10.00°"
    # A blade that leans reaches less far up.
    assert verdict("leg_front_left", EndBevel, saw={"height": 55.5}).made.machine == "hand"
    assert verdict("leg_front_left", EndBevel, saw={"longest": 500.0}).made.machine == "hand"
    rail = verdict("rail_left", EndBevel).made
    assert rail.tool == "face side down, mitre gauge 13.80°, blade tilted 0.00°"


def test_a_notch_by_dado_router_or_hand() -> None:
    made = verdict("leg_front_left", SkewNotch).made
    assert made.machine == "dado"
    assert made.passes > 1
    assert "mitre gauge turned 13.80°" in made.tool
    routed = verdict("leg_front_left", SkewNotch, dado={"have": False}).made
    assert routed.tool == "20.00 mm cutter along a fence turned 13.80°"
    off = {"dado": {"height": 5.0}, "router": {"cutters": ()}}
    assert verdict("leg_front_left", SkewNotch, **off).made.machine == "hand"
    assert verdict("leg_front_left", SkewNotch, **off, hand={"reach": 20.0}).made is not None
    none = verdict("leg_front_left", SkewNotch, **off, hand={"have": False})
    assert [r.machine for r in none.refusals] == ["dado", "router"]


def test_a_three_axis_cutter_gets_at_no_compound_angle() -> None:
    made = bench()

    def ways(name: str) -> dict[str, tuple[Face, ...]]:
        found = features_of(made.by_name[name], made.cuts[name])
        return {f.what: tuple(a.face for a in f.ways) for f in found}

    leg, rail, top = ways("leg_front_left"), ways("rail_left"), ways("top_board_1")
    assert leg == {"angled tenon": (), "foot bevel": (), "skew notch": (Face.FACE_EDGE,)}
    assert rail == {"rail mitre": (Face.FACE_SIDE, Face.BACK_SIDE)}
    assert top == {"angled mortise": ()}
    cnc = replace(SHOP, router=replace(SHOP.router, cnc=True))
    shop = ShopFile(machines=cnc, given=True)
    told = check_context(Context(bench=made, shop=shop)).findings
    assert {f.member for f in told if f.rule == "cnc-unreachable"} >= {
        "top_board_1",
        "leg_back_left",
    }


# --- rules


def test_walls_are_looked_at_where_the_mouth_is_widest() -> None:
    sound = bench_of(tenon())
    assert findings(sound, "mortise-breakout") == findings(sound, "mortise-wall") == []
    edge = bench_of(tenon(head=(250.0, 12.0, 430.0)))
    assert [f.face for f in findings(edge, "mortise-breakout")] == ["face edge"]
    near = bench_of(tenon(head=(250.0, 18.0, 430.0)))
    assert findings(near, "mortise-breakout") == []
    thin = findings(near, "mortise-wall")
    assert len(thin) == 1
    cut = tenon(head=(250.0, 18.0, 430.0)).mortise
    spots = [cut.frame.point(p)[1] for p in (*cut.mouth(), *cut.exit())]
    assert thin[0].measured == pytest.approx(min(spots))
    end = bench_of(tenon(head=(575.0, 140.0, 430.0)))
    assert [f.face for f in findings(end, "mortise-breakout")] == ["near end"]


def test_wedges_that_would_split_or_spring_are_told() -> None:
    assert findings(bench_of(tenon()), "wedge-splits") == []
    turned = bench_of(tenon(turn=math.pi / 2))
    assert len(findings(turned, "wedge-splits")) == 1
    joint = tenon()
    assert joint.wedged is not None
    steep = replace(joint, wedged=replace(joint.wedged, length=12.0, flare=4.0))
    assert len(findings(bench_of(steep), "wedge-slope")) == 1


def test_a_deep_notch_is_told() -> None:
    deep = treenail.saw_bench(
        units="mm", legs={"width": 90}, end_rails={"notch": 29, "thickness": 60}
    )
    assert findings(deep, "trench-depth") == []
    joint = next(j for j in bench().joints if isinstance(j, SkewLetIn))
    cut = replace(joint.notch, depth=30.0)
    made = replace(bench(), joints=(replace_cuts(joint, cut), *others(joint)))
    assert [f.measured for f in findings(made, "trench-depth")] == [30.0]


def replace_cuts(joint: SkewLetIn, cut: SkewNotch) -> SkewLetIn:
    """The joint with another notch than its own."""
    changed = replace(joint)
    changed.__dict__["notch"] = cut
    return changed


def others(joint: SkewLetIn) -> tuple[Any, ...]:
    return tuple(j for j in bench().joints if j is not joint)


def test_play_between_a_notch_s_walls_keeps_the_fit() -> None:
    assert findings(bench(), "let-in-clearance") == []
    joint = next(j for j in bench().joints if isinstance(j, SkewLetIn))
    loose = replace(joint.fit, cheek=replace(joint.fit.cheek, low=1.0, high=3.0))
    made = replace(bench(), joints=(replace(joint, fit=loose), *others(joint)))
    told = findings(made, "let-in-clearance")
    assert [f.measured for f in told] == [pytest.approx(2.0)]


def test_legs_go_in_before_the_rails() -> None:
    words = [step.what for step in plan_assembly(bench()).steps]
    rails = [i for i, text in enumerate(words) if "rail" in text]
    legs = [i for i, text in enumerate(words) if "onto leg" in text]
    assert max(legs) < min(rails)


# --- strength


def test_it_stands_on_its_feet_and_a_knee_holds_it() -> None:
    made = bench()
    stand = stance(made)
    assert stand is not None
    assert stand.height == pytest.approx(made.spec.height)
    assert stand.feet_y == pytest.approx((0.0, made.asked[1]), abs=1e-6)
    plank = [made.bounds[f"top_board_{i}"] for i in (1, 2)]
    assert stand.top_y == (plank[0][0][1], plank[1][1][1])  # of the plank, not of its legs
    assert stand.top_y[0] > 50.0  # the feet stand out beyond it
    mass = bench_mass(made)
    across = next(f for f in steady_figures(made, mass) if f.key == "tip-across")
    lever = made.asked[1] / 2
    force = (mass.weight + 50.0 * 9.80665) * lever / made.spec.height
    assert across.value == pytest.approx(force, rel=1e-3)
    assert "of a knee on the work" in across.load_case
    high = treenail.saw_bench(units="mm", height=700, end_rails={"enabled": False})
    told = next(f for f in steady_figures(high, bench_mass(high)) if f.key == "tip-across")
    assert "knee" not in told.load_case


def test_leaning_legs_carry_less_and_are_no_upright_frame() -> None:
    leaning, upright = bench(), treenail.saw_bench(units="mm", legs={"splay": 0, "rake": 0})
    assert read_skeleton(leaning) is None
    values = [column_figures(b, bench_mass(b))[0].value for b in (leaning, upright)]
    assert values[0] < values[1]


# --- papers


def test_glue_of_an_angled_tenon_and_of_a_notch() -> None:
    made = bench()
    joint = next(j for j in made.joints if isinstance(j, AngledTenon))
    line = joint_line(joint, Glue())
    assert line is not None
    kerf = joint.tenon.kerfs[0]
    faces = 2.0 * (joint.width + joint.thickness) * joint.crossing
    assert line.area == pytest.approx(faces - 2.0 * kerf.width * kerf.length)
    assert line.closed_by == WEDGES
    notch = next(j for j in made.joints if isinstance(j, SkewLetIn))
    floor = joint_line(notch, Glue())
    assert floor is not None
    width = made.spec.legs.thickness / math.cos(notch.notch.turn)
    assert floor.area == pytest.approx(made.spec.end_rails.width * width)


def test_set_ups_name_the_angles() -> None:
    plan = setups(bench())
    text = {s.machine: list(s.setups) for s in plan.sheets}
    bored = text["drill press"][0]
    told = {s.name: s.text for s in bored.settings}
    assert told["resultant"] == "16.98°"
    assert told["sight angle"] == "54.73°"
    assert told["leans"].startswith("toward the ")
    feet = [u for u in text["table saw"] if u.work.startswith("foot bevels")]
    assert {s.text for u in feet for s in u.settings if s.name == "long point"} == {
        "at the face edge and the face side",
        "at the face edge and the back side",
    }
    assert plan.not_made == ()


def test_reports_tell_the_angles() -> None:
    joint = next(j for j in bench().joints if isinstance(j, AngledTenon))
    data = joint_data(joint)
    angles = LegAngles(math.radians(10), math.radians(14))
    sight = math.degrees(angles.sight)
    assert data["angles_degrees"]["sight_from_the_grain"] == pytest.approx(sight, abs=1e-4)
    saw = data["angles_degrees"]["shoulders"]["saw"]["face edge down"]
    mitre = math.degrees(angles.end_face_angle)
    assert saw == {"mitre": pytest.approx(mitre, abs=1e-4), "blade_tilt": 10.0}
    assert "resultant 16.98°" in joint_words(joint, "mm")
