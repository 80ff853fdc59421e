"""The tenon's kin under all checks: sound ones pass, and each spoilt one trips its own rule."""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from tests.checks.benches import rules_of
from tests.joints.tenon_variants.pairs import KINDS, bench_of, rail_in_post
from treenail.checks import check_bench
from treenail.checks.gauge import tongues_of
from treenail.checks.measured import measure_bench
from treenail.checks.meeting import meetings
from treenail.checks.rules import RULES, Context, Finding
from treenail.checks.solids import intended
from treenail.generators.bench import Bench
from treenail.generators.solids import build_solids
from treenail.joints.cuts import Cut
from treenail.joints.mortise_tenon import MortiseTenon
from treenail.joints.standing import Standing
from treenail.joints.tenon_variants import make
from treenail.timber.frames import Frame, neg

#: What two pieces that are no bench are told, and what estimates say of any joint.
OF_NO_BENCH = {
    "outer-size", "tips-over", "slides", "heavy-lift", "jointer-limit", "planer-limit",
    "fit-worst-case", "shoulder-dries-open", "cross-grain-width",
}  # fmt: skip
OWN = rules_of("tenon_kinds")


@pytest.mark.parametrize("kind", KINDS)
def test_a_sound_one_passes_every_check_on_its_solids(kind: str) -> None:
    bench = bench_of(KINDS[kind]())
    report = check_bench(bench, build_solids(bench))
    serious = [f for f in report.findings if f.rule not in OF_NO_BENCH and f.severity != "advice"]
    assert serious == []
    assert {f.rule for f in report.findings} & OWN == set()


@pytest.mark.parametrize("kind", ["twin", "three", "double", "wedged", "tusk", "bare-faced"])
def test_gaps_on_the_solids_are_those_asked_for(kind: str) -> None:
    joint = KINDS[kind]()
    assert isinstance(joint, MortiseTenon)
    measure = measure_bench(build_solids(bench_of(joint)))[joint.name]
    assert measure.cheek_gaps == pytest.approx((joint.fit.cheek.mid / 2,) * 2, abs=1e-6)
    assert measure.edge_gaps == pytest.approx((joint.fit.edge.mid / 2,) * 2, abs=1e-6)
    if not joint.through:
        assert measure.bottom_gap == pytest.approx(joint.fit.bottom.mid, abs=1e-6)
    assert measure.draw_direction_ok


@pytest.mark.parametrize("kind", ["wedged", "wedged and pegged"])
def test_wedges_press_into_the_tenon_as_on_paper(kind: str) -> None:
    joint = KINDS[kind]()
    solids = build_solids(bench_of(joint))
    pressed = joint.pressed()
    assert set(pressed) <= set(intended(Context(bench=solids.bench)))
    for wedge in joint.wedges():
        volume = pressed[frozenset((joint.entering.name, wedge.name))]
        shared = solids.placed[wedge.name].intersect(solids.placed[joint.entering.name])
        assert shared.Volume() == pytest.approx(volume, rel=1e-6)
        assert volume > 100.0


# -- spoilt ones


def spoilt(kind: str, **changes: Any) -> Callable[[], Bench]:
    return lambda: bench_of(replace(KINDS[kind](), **changes))


def turned() -> Bench:
    """A rail laid flat, so that its wedges spread across the post's grain."""
    post, rail = rail_in_post(82.0, width=60.0, thickness=40.0)
    f = rail.placement
    lying = Frame(f.point((0.0, 0.0, 40.0)), f.x, f.z, neg(f.y))
    flat = replace(rail, placement=lying)
    return bench_of(make.wedged_tenon(post, flat))


def beside(kind: str, **placed: float) -> Bench:
    """A round tenon near its receiver's edge."""
    post, rail = rail_in_post(width=60.0, thickness=60.0)
    moved = replace(rail, placement=rail.placement.moved((0.0, placed["by"], 0.0)))
    return bench_of(make.round_tenon(post, moved, diameter=placed["diameter"]))


BROKEN: list[tuple[str, str, Callable[[], Bench]]] = [
    ("wedge-splits", "warning", turned),
    ("wedge-slope", "advice", spoilt("wedged", wedge_length=18.0)),
    ("wedge-slope", "advice", spoilt("tusk", slope=0.05)),
    ("tusk-relief", "error", spoilt("tusk", relief=0.0)),
    ("tusk-end-wood", "warning", spoilt("tusk", wedge_width=85.0)),
    ("tenon-web", "advice", spoilt("twin", gap=4.0)),
    ("tenon-web", "error", spoilt("twin", gap=0.1)),
    ("dovetail-slope", "advice", spoilt("slab", slope=0.3)),
    ("dovetail-slope", "advice", spoilt("slab", slope=0.05)),
    ("socket-wall", "warning", lambda: beside("round", by=22.0, diameter=30.0)),
    ("socket-wall", "advice", lambda: beside("round", by=20.0, diameter=30.0)),
    ("socket-wall", "error", spoilt("round", bottom=31.0)),
    ("socket-wall", "error", lambda: beside("round", by=26.0, diameter=30.0)),
    ("cone-angle", "advice", spoilt("round", taper=0.03)),
    ("cone-angle", "advice", spoilt("round", taper=0.4)),
]


def own(bench: Bench) -> list[Finding]:
    context = Context(bench=bench)
    return [f for code in sorted(OWN) for f in RULES[code].check(context)]


@pytest.mark.parametrize(("code", "severity", "bench"), BROKEN)
def test_a_spoilt_one_trips_this_rule_alone(
    code: str, severity: str, bench: Callable[[], Bench]
) -> None:
    assert [(f.rule, f.severity) for f in own(bench())] == [(code, severity)]


def test_every_rule_is_tripped_above() -> None:
    assert {code for code, _, _ in BROKEN} == OWN


def with_cuts(joint: Standing, member: str, change: Callable[[Cut], Cut | None]) -> Bench:
    bench = bench_of(joint)
    kept = [change(c) for c in bench.cuts[member]]
    cuts = {**bench.cuts, member: tuple(c for c in kept if c is not None)}
    bench.__dict__["cuts"] = cuts  # cached: as if they had been cut so
    return bench


def test_a_tusk_without_its_hole() -> None:
    bench = with_cuts(
        KINDS["tusk"](), "rail", lambda c: None if c.purpose == "wedge mortise" else c
    )
    assert [(f.rule, f.measured) for f in own(bench)] == [("tusk-relief", None)]


def test_the_second_of_twin_mortises_is_measured_too() -> None:
    joint = KINDS["twin"]()
    assert isinstance(joint, MortiseTenon)
    second = joint.mortises[1]
    narrow = replace(second, width=second.width - 1.0)
    bench = with_cuts(joint, "post", lambda c: narrow if c == second else c)
    assert len(tongues_of(bench, joint)) == 2
    found = list(RULES["tenon-enters"].check(Context(bench=bench)))
    assert len(found) == 1
    assert found[0].measured == pytest.approx((joint.fit.cheek.mid - 1.0) / 2)


def test_a_cone_and_a_tenon_that_meet_in_one_post() -> None:
    """Half-way between them there is as much room as their places say."""
    post, leg = rail_in_post(width=60.0, thickness=60.0)
    cone = make.round_tenon(post, leg, diameter=40.0)
    f = Frame.from_zx((40.0, 55.0, 430.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0))
    rail = replace(leg, name="other", width=40.0, thickness=20.0, placement=f)
    tenon = make.bare_faced_tenon(post, rail)
    bench = Bench(
        **{
            k: v
            for k, v in vars(bench_of(cone)).items()
            if k in Bench.__dataclass_fields__ and k not in ("timbers", "joints")
        },
        timbers=(post, leg, rail),
        joints=(cone, tenon),
    )
    found = list(meetings(Context(bench=bench), below=1000.0))
    assert [(a.name, b.name) for a, b, _ in found] == [(cone.name, tenon.name)]
