"""How one cut is made: by which machine and tool, what hands finish, and what keeps it off."""

import dataclasses
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.checks.shops import machines
from treenail.checks.making import MEET, Made, Refusal, Verdict, make, reaches
from treenail.joints.cuts import Bore, Cut, Haunch, Mortise, NotchedTip, Slot, TenonEnd
from treenail.timber.frames import Frame
from treenail.timber.member import Face, Member
from treenail.timber.species import get_species

NO = {"have": False}
PIECE = Member(
    name="piece",
    role="post",
    length=900.0,
    width=100.0,
    thickness=80.0,
    species=get_species("white ash"),
)
AT = Frame((450.0, 50.0, 0.0))


def say(mm: float) -> str:
    return f"{mm:g} mm"


def mortise(width: float, depth: float, *, through: bool = False, length: float = 60.0) -> Mortise:
    return Mortise(
        joint="j",
        purpose="mortise",
        face=Face.FACE_SIDE,
        frame=AT,
        length=length,
        width=width,
        depth=depth,
        through=through,
    )


def bore(purpose: str, diameter: float, depth: float, *, through: bool = False) -> Bore:
    return Bore(
        joint="j",
        purpose=purpose,
        face=Face.FACE_SIDE,
        frame=AT,
        diameter=diameter,
        depth=depth,
        through=through,
    )


def slot(width: float, depth: float, *, through: bool = False) -> Slot:
    return Slot(
        joint="j",
        purpose="bolt slot",
        face=Face.FACE_SIDE,
        frame=AT,
        centres=8.0,
        width=width,
        depth=depth,
        through=through,
    )


def tenon(length: float, shoulder: float, **more: Any) -> TenonEnd:
    return TenonEnd(
        joint="j",
        purpose="tenon",
        face=Face.NEAR_END,
        frame=PIECE.face_frame(Face.NEAR_END),
        x0=shoulder,
        x1=PIECE.width - shoulder,
        y0=shoulder,
        y1=PIECE.thickness - shoulder,
        length=length,
        **more,
    )


def verdict(cut: Cut, **changed: Any) -> Verdict:
    return make(cut, changed.pop("piece", PIECE), machines(**changed), say)


def made(cut: Cut, **changed: Any) -> Made:
    result = verdict(cut, **changed).made
    assert result is not None
    return result


def refused(machine: str, cut: Cut, **changed: Any) -> Refusal:
    return next(r for r in verdict(cut, **changed).refusals if r.machine == machine)


def test_the_first_machine_of_the_order_is_taken() -> None:
    cut = mortise(12.8, 50)
    for order in (["router", "mortiser"], ["hand"], ["drill_press", "hand"], ["mortiser"]):
        assert made(cut, order={"mortises": order}).machine == order[0]
    assert made(cut, mortiser=NO).machine == "router"
    assert made(cut, mortiser=NO, order={"mortises": ["mortiser", "hand"]}).machine == "hand"
    nobody = verdict(cut, order={"mortises": []})
    assert (nobody.how, nobody.refusals) == ("not", ())


# --- reach


@given(st.floats(1, 400), st.floats(1, 400), st.booleans())
def test_a_through_cut_comes_from_both_faces(reach: float, depth: float, through: bool) -> None:
    result = reaches(reach, depth, through=through)
    assert result == (depth <= reach + 1e-6 or (through and 2 * reach - MEET >= depth - 1e-6))
    if reaches(reach, depth, through=False):
        assert reaches(reach, depth, through=True)


@pytest.mark.parametrize("key, order, field", [
    ("mortiser", "mortises", "reach"),
    ("router", "mortises", "reach"),
    ("hand", "mortises", "reach"),
])  # fmt: skip
def test_a_mortise_deeper_than_reach_is_refused_with_the_depth_that_goes(
    key: str, order: str, field: str
) -> None:
    asked = {"order": {order: [key]}, key: {field: 40}}
    assert verdict(mortise(12.8, 40), **asked).how != "not"
    refusal = refused(key, mortise(12.8, 41), **asked)
    assert refusal.kind == "reach"
    assert "41 mm" in refusal.why
    assert "40 mm" in refusal.change
    through = mortise(12.8, 80, through=True)
    assert refused(key, through, **asked).change.endswith(say(2 * 40 - MEET))
    assert verdict(mortise(12.8, 77, through=True), **asked).how != "not"


# --- mortises


@given(st.floats(6.4, 40.0))
def test_a_chisel_is_never_wider_than_its_mortise(width: float) -> None:
    chisels = machines().mortiser.chisels
    answer = made(mortise(width, 50))
    assert answer.machine == "mortiser"
    chisel = max(c for c in chisels if c <= width + 1e-6)
    assert answer.tool.startswith(f"{say(chisel)} chisel")
    assert answer.passes * chisel >= width - 0.35 - 1e-6
    assert (answer.passes == 1) == (width - chisel <= 0.35)


def test_a_mortise_narrower_than_every_tool_can_not_be_made() -> None:
    result = verdict(mortise(2.5, 20), drill_press={"bits": [3], "long_bits": [], "flat_bits": []})
    assert result.how == "not"
    assert [r.machine for r in result.refusals] == ["mortiser", "router", "drill_press", "hand"]
    assert {r.kind for r in result.refusals} == {"tool"}
    assert verdict(mortise(12.8, 20, length=5.0)).made != verdict(mortise(12.8, 20)).made


def test_a_mortiser_takes_pieces_only_so_tall() -> None:
    assert refused("mortiser", mortise(12.8, 50), mortiser={"stock_height": 79}).kind == "piece"
    assert made(mortise(12.8, 50), mortiser={"stock_height": 80}).machine == "mortiser"


def test_round_cutters_leave_corners_for_the_chisel() -> None:
    only = {"order": {"mortises": ["router"]}}
    answer = made(mortise(12.8, 40), **only)
    assert "12.7 mm cutter, corners of 6.35 mm radius" in answer.tool
    assert "square the corners" in answer.by_hand
    assert verdict(mortise(12.8, 40), **only).how == "finished by hand"
    no_hands = refused("router", mortise(12.8, 40), hand=NO, **only)
    assert "round the tenon's edges" in no_hands.change
    assert refused("router", mortise(6.0, 40), **only).kind == "tool"
    by_drill = made(mortise(12.8, 60), order={"mortises": ["drill_press"]})
    assert "hole beside hole" in by_drill.tool
    assert by_drill.by_hand


def test_the_smallest_inner_radius_counts() -> None:
    only: dict[str, Any] = {"order": {"mortises": ["router"]}}
    wide = refused("router", mortise(12.8, 40), router={"inner_radius": 8}, **only)
    assert "8 mm" in wide.why
    assert "16 mm" in wide.change
    assert "radius" in made(mortise(16.5, 40), router={"inner_radius": 8}, **only).tool


def test_a_table_limits_a_cnc_router_only() -> None:
    only: dict[str, Any] = {"order": {"mortises": ["router"]}}
    small = {"table_length": 800, "table_width": 600}
    assert made(mortise(12.8, 40), router=small, **only).machine == "router"
    assert refused("router", mortise(12.8, 40), router={**small, "cnc": True}, **only).kind == (
        "piece"
    )
    assert made(mortise(12.8, 40), router={"cnc": True}, **only).by_hand
    narrow = {"cnc": True, "table_length": 1000, "table_width": 100}
    assert made(mortise(12.8, 40), router=narrow, **only).machine == "router"
    wider = dataclasses.replace(PIECE, width=101.0)
    assert "wide" in refused("router", mortise(12.8, 40), piece=wider, router=narrow, **only).why


# --- holes and slots


@pytest.mark.parametrize(
    "purpose, diameter, makes",
    [
        ("peg hole", 9.525, True),
        ("peg hole", 9.65, False),
        ("dog hole", 19.05, True),
        ("dog hole", 20.0, False),
        ("bolt hole", 11.0, True),
        ("bolt hole", 11.3, True),  # 15/32 in is 11.91
        ("counterbore", 28.0, True),  # 1 1/8 in
        ("counterbore", 26.0, False),  # only a flat-bottomed bit seats a washer; 1 1/8 is too wide
        ("pilot hole", 7.14375, True),
        ("vent", 9.525, True),
        ("vent", 9.7, False),
    ],
)
def test_bits_fit_their_hole_by_its_purpose(purpose: str, diameter: float, makes: bool) -> None:
    result = verdict(
        bore(purpose, diameter, 40), router=NO, hand=NO, drill_press={"flat_bits": [19.05, 28.575]}
    )
    assert (result.made is not None) == makes
    if not makes:
        (refusal,) = result.refusals
        assert refusal.kind == "tool"
        assert say(diameter) in refusal.change


def test_a_deep_hole_takes_a_long_bit_or_both_faces() -> None:
    drill = {"reach": 80, "long_reach": 150}
    only: dict[str, Any] = {"order": {"holes": ["drill_press"]}}
    assert made(bore("peg hole", 9.525, 70), drill_press=drill, **only).tool == "9.525 mm bit"
    assert made(bore("peg hole", 9.525, 140), drill_press=drill, **only).tool == "9.525 mm bit"
    refusal = refused("drill_press", bore("peg hole", 9.525, 151), drill_press=drill, **only)
    assert refusal.kind == "reach"
    assert "150 mm" in refusal.why
    two = made(bore("peg hole", 9.525, 280, through=True), drill_press=drill, **only)
    assert two.tool.endswith("from both faces")
    one = made(bore("peg hole", 9.525, 120, through=True), drill_press=drill, **only)
    assert "both faces" not in one.tool, "one long bit rather than two set-ups"


def test_a_cnc_router_bores_with_a_smaller_cutter_and_a_plunge_router_does_not() -> None:
    only: dict[str, Any] = {"order": {"holes": ["router"]}}
    odd = bore("dog hole", 20.5, 40)
    assert refused("router", odd, **only).kind == "tool"
    assert made(odd, router={"cnc": True}, **only).tool == "19.05 mm cutter"
    assert refused("router", odd, router={"cnc": True, "cutters": [22]}, **only).kind == "tool"
    assert refused("router", bore("dog hole", 20.5, 60), router={"cnc": True}, **only).kind == (
        "reach"
    )


def test_slots_are_routed_or_bored_and_pared() -> None:
    assert made(slot(11.1, 40)).tool == "9.525 mm cutter"
    bored = verdict(slot(11.1125, 90))
    assert bored.how == "finished by hand"
    assert bored.made is not None
    assert "row of holes" in bored.made.tool
    assert refused("drill_press", slot(11.1125, 90), hand=NO).change == "route the slot"
    assert refused("router", slot(5, 40), router={"cutters": [8]}).kind == "tool"


# --- tenons


def test_the_dado_stack_counts_passes_and_height() -> None:
    for length in (15.0, 20.6375, 20.7, 41.275, 50.8):
        answer = made(tenon(length, 10))
        assert answer.machine == "dado"
        assert answer.passes == -(-length // 20.6375)
    assert made(tenon(50, 39), dado={"height": 39}).machine == "dado"
    refusal = refused("dado", tenon(50, 39), dado={"height": 38})
    assert refusal.kind == "reach"
    assert "38 mm" in refusal.change
    assert refused("dado", tenon(50, 10), dado={"longest": 899}).kind == "piece"


def test_a_stack_wider_than_a_haunchs_step_can_not_cut_it() -> None:
    haunch = Haunch(Face.FACE_EDGE, 20.0, 46.0)
    assert refused("dado", tenon(50, 10, haunch=haunch)).kind == "tool"
    assert made(tenon(60, 10, haunch=haunch)).machine == "dado"
    by_router = made(tenon(60, 10, haunch=haunch), order={"tenons": ["router"]})
    assert "haunch" in by_router.by_hand


def test_upright_pieces_are_only_so_long_and_tenons_only_as_long_as_the_blade_is_high() -> None:
    only: dict[str, Any] = {"order": {"tenons": ["saw"]}}
    assert refused("saw", tenon(50, 10), saw={"upright": 899}, **only).kind == "piece"
    assert made(tenon(50, 10), saw={"upright": 900}, **only).machine == "saw"
    assert refused("saw", tenon(90, 10), saw={"height": 89}, **only).kind == "reach"
    assert made(tenon(90, 10), order={"tenons": ["hand"]}).tool == "sawn"
    assert verdict(tenon(120, 10), order={"tenons": ["hand"]}).how == "not"


def test_notched_and_mitred_tips_are_sawn() -> None:
    tip = NotchedTip(Face.FACE_EDGE, 20.0, 15.0)
    assert verdict(tenon(50, 10, tip=tip)).how == "finished by hand"
    table = {"cnc": True, "table_length": 800}
    assert refused("router", tenon(50, 10), router=table, order={"tenons": ["router"]}).kind == (
        "piece"
    )


def test_an_unknown_cut_is_a_mistake_of_ours() -> None:
    strange = Cut(joint="j", purpose="carving", face=Face.FACE_SIDE, frame=AT)
    with pytest.raises(TypeError):
        verdict(strange)
