from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.checks.benches import codes, edit, frame, rules_of, said, with_cut, with_joint
from treenail.generators.bench import Bench
from treenail.joints.lag_bolt import LagBolt
from treenail.timber.fasteners import LAG_DIAMETERS, lag_lead_hole, lag_size
from treenail.timber.moisture import movement, movement_coefficient

FRONT, BACK = "upper_front_2", "upper_back_2"


def bolt(name: str, bench: Bench | None = None) -> LagBolt:
    joint = next(j for j in (bench or frame()).joints if j.name == name)
    assert isinstance(joint, LagBolt)
    return joint


def counterbored(more: float) -> Bench:
    return with_joint(frame(), FRONT, counterbore=bolt(FRONT).counterbore + more)


def at(x: float, y: float) -> Bench:
    return with_joint(frame(), FRONT, point=(x, y, bolt(FRONT).point[2]))


BROKEN: list[tuple[set[str], object]] = [
    ({"bolt-through-top"}, lambda: counterbored(25.0)),
    ({"bolt-through-top"}, lambda: counterbored(22.0)),
    ({"bolt-cover"}, lambda: counterbored(17.0)),
    ({"bolt-thread"}, lambda: counterbored(-23.0)),
    ({"bolt-pilot"}, lambda: with_joint(frame(), FRONT, pilot=5.0)),
    ({"bolt-pilot"}, lambda: with_joint(frame(), FRONT, pilot=9.0)),
    ({"bolt-slot"}, lambda: with_joint(frame(), BACK, slot=0.0)),
    ({"bolt-breakout"}, lambda: with_joint(frame(), BACK, slot=25.0)),
    ({"bolt-beside"}, lambda: with_joint(frame(), BACK, slot=18.0)),
    # A bolt past the end of the top, or at the glue line, has also left its stretcher,
    # and the line at which the top is held.
    ({"bolt-in-wood", "bolt-breakout"}, lambda: at(1.0, 38.1)),
    ({"bolt-glue-line", "bolt-breakout", "bolt-slot"}, lambda: at(762.0, 300.0)),
]


@pytest.mark.parametrize(("wanted", "bench"), BROKEN)
def test_a_spoilt_bench_trips_this_rule(wanted: set[str], bench: object) -> None:
    assert callable(bench)
    assert codes(bench()) == wanted


def test_every_rule_is_tripped_above() -> None:
    assert set().union(*(codes for codes, _ in BROKEN)) == rules_of("bolts", "bolt_places")


@given(st.floats(-20.0, 26.0))
def test_wood_over_the_point(more: float) -> None:
    bench = counterbored(more)
    left = 73.025 - bolt(FRONT, bench).pilot_depth
    found = codes(bench) & {"bolt-through-top", "bolt-cover"}
    if left < -1e-5:
        assert found == {"bolt-through-top"}
    elif 1e-5 < left < 6.35 - 1e-5:
        assert found == {"bolt-cover"}
    elif left > 6.35 + 1e-5:
        assert found == set()


@given(st.floats(0.0, 9.0))
def test_a_slot_passes_from_the_seasons_movement_up(slot: float) -> None:
    bench = with_joint(frame(), BACK, slot=slot)
    made = bolt(BACK, bench)
    wood = made.top.species
    away = abs(made.point[1] - bolt(FRONT).point[1])
    c = movement_coefficient(wood, made.top.rings)
    need = max(abs(movement(away, c, 8.0, mc)) for mc in (6.0, 11.0))
    room = slot / 2 + (made.size.clearance_hole - made.size.diameter) / 2
    found = said(bench, "bolt-slot")
    if room < need - 1e-5:
        assert found[0].severity == "error"
        assert found[0].limit == pytest.approx(need)
        assert found[0].measured == pytest.approx(room)
    elif room > need + 1e-5:
        assert found == []


def test_the_washer_needs_its_way_too() -> None:
    bench = with_cut(frame(), BACK, "counterbore", edit(centres=0.1, width=20.8))
    found = said(bench, "bolt-slot")
    assert ["washer" in f.message for f in found] == [True]


def test_figures_from_memory_only_warn() -> None:
    made = bolt(BACK)
    unsure = replace(made.top, species=replace(made.top.species, movement_basis="memory"))
    base = frame()

    def swap(value: object) -> object:
        if not hasattr(value, "__dataclass_fields__"):
            return value
        changes = {
            name: unsure for name in value.__dataclass_fields__ if getattr(value, name) == made.top
        }
        return replace(value, **changes)  # type: ignore[type-var]

    bench = replace(
        base,
        timbers=tuple(unsure if m == made.top else m for m in base.timbers),
        joints=tuple(swap(j) for j in base.joints),  # type: ignore[misc]
    )
    found = said(with_joint(bench, BACK, slot=0.0), "bolt-slot")
    assert {f.severity for f in found} == {"warning"}


@pytest.mark.parametrize("name", LAG_DIAMETERS)
def test_the_recommended_lead_hole_passes(name: str) -> None:
    size = lag_size(name)
    pilot = lag_lead_hole(bolt(FRONT).top.species.g_0, size.diameter)
    assert said(with_joint(frame(), FRONT, size=size, pilot=pilot), "bolt-pilot") == []


def test_a_top_without_bolts_has_nothing_to_check() -> None:
    from treenail.generators.frame_spec import Bolts

    assert codes(frame(bolts=Bolts(per_stretcher=0))) == set()
