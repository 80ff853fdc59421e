"""Panels at the ends and the back: grooves in closed form, room to move, when they go in."""

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.checks.benches import frame, section
from tests.strategies import a_few
from treenail.checks import check_bench, load_rules
from treenail.checks.assembly.plan import plan_assembly
from treenail.checks.rooms import measured_room
from treenail.checks.rules import RULES, Context
from treenail.generators.bench import Bench
from treenail.generators.frame_spec import Moisture
from treenail.generators.solids import build_solids
from treenail.joints.board_groove import BoardGroove
from treenail.joints.edges import TongueGroove
from treenail.joints.mortise_tenon import MortiseTenon
from treenail.timber.errors import GeometryError, SpecError
from treenail.timber.member import Face, Member
from treenail.timber.moisture import movement_coefficient

NO_BOLTS = section("bolts", per_stretcher=0)


def bench(where: str = "ends", boards: str = "tongued", **more: object) -> Bench:
    numbers = {k: more.pop(k) for k in ("thickness", "groove", "board") if k in more}
    return frame(**section("panels", where=where, boards=boards, **numbers), **more)


def grooves(made: Bench) -> list[BoardGroove]:
    return [j for j in made.joints if isinstance(j, BoardGroove)]


def panel_parts(made: Bench) -> list[Member]:
    return [m for m in made.timbers if m.role.startswith("panel")]


@a_few(8)
@given(st.floats(8.0, 25.0), st.floats(4.5, 10.0))
def test_grooves_take_what_their_closed_form_says(thickness: float, groove: float) -> None:
    made = bench(boards="glued", thickness=thickness, groove=groove)
    plain = frame()
    for side in ("left", "right"):
        for level, room in (("lower", 0.0), ("upper", 2.0)):
            rail = plain.by_name[f"stretcher_{level}_{side}"]
            clear = rail.length - 2 * 50.8
            gone = plain.volumes[rail.name] - made.volumes[rail.name]
            wide = thickness + grooves(made)[0].fit.cheek.mid
            assert gone == pytest.approx(clear * wide * (groove + room), rel=1e-6)


@pytest.mark.parametrize("boards", ["tongued", "glued"])
@pytest.mark.parametrize(("build", "wet"), [(6.0, 8.0), (8.0, 12.0), (6.0, 18.0)])
def test_a_panel_has_the_room_that_its_seasons_ask_for(
    boards: str, build: float, wet: float
) -> None:
    made = bench(boards=boards, moisture=Moisture(at_build=build, driest=build, wettest=wet))
    parts = [m for m in panel_parts(made) if m.name.startswith("panel_left")]
    c = movement_coefficient(parts[0].species, "flat")
    swell = sum(m.width for m in parts) * c * (wet - build)
    room = sum(
        j.room
        for j in grooves(made)
        if j.name.startswith("panel_left_in") and j.receiver.role == "post"
    ) + sum(
        j.open_by
        for j in made.joints
        if isinstance(j, TongueGroove) and j.entering.name.startswith("panel_left")
    )
    assert room >= swell
    told = {f.rule for f in check_bench(made).findings}
    assert "panel-room" not in told
    assert "panel-cover" not in told or (boards == "glued" and wet == 18.0)  # it may drift far


@pytest.mark.parametrize("boards", ["tongued", "glued"])
def test_panels_fill_the_opening_and_keep_clear_of_the_tenons(boards: str) -> None:
    made = bench(boards=boards)
    for side in ("left", "right"):
        parts = [m for m in panel_parts(made) if m.name.startswith(f"panel_{side}")]
        low = min(m.bounds()[0][2] for m in parts)
        high = max(m.bounds()[1][2] for m in parts)
        top = made.by_name[f"stretcher_lower_{side}"].bounds()[1][2]
        bottom = made.by_name[f"stretcher_upper_{side}"].bounds()[0][2]
        assert top - low == pytest.approx(high - bottom)
        front = made.by_name[f"post_front_{side}"].bounds()[1][1]
        back = made.by_name[f"post_back_{side}"].bounds()[0][1]
        deep = top - low
        assert min(m.bounds()[0][1] for m in parts) == pytest.approx(front - deep)
        assert max(m.bounds()[1][1] for m in parts) == pytest.approx(back + deep)
        for joint in made.joints:
            if isinstance(joint, MortiseTenon) and joint.entering.name.endswith(f"_{side}"):
                shoulder = joint.shoulders
                assert deep < min(shoulder.face_edge, shoulder.back_edge)


@pytest.mark.parametrize("boards", ["tongued", "glued"])
def test_panels_go_in_before_the_frame_closes(boards: str) -> None:
    made = bench(boards=boards)
    report = check_bench(made)
    assert report.errors == ()
    told = {f.rule for f in report.findings if f.severity == "warning"}
    assert told <= {"short-piece"}  # between the usual end stretchers the boards are short
    plan = plan_assembly(made)
    assert not plan.knots
    for side in ("left", "right"):
        panel = next(m.name for m in panel_parts(made) if m.name.startswith(f"panel_{side}"))
        closes = max(
            s.number
            for s in plan.steps
            if any(j.startswith((f"upper_{side}", f"lower_{side}")) for j in s.joints)
        )
        assert plan.joined[panel] < closes


@pytest.mark.parametrize(("where", "more"), [("ends", {}), ("back", NO_BOLTS), ("all", NO_BOLTS)])
def test_solids_hold_the_closed_volumes_and_the_rooms(where: str, more: dict[str, Any]) -> None:
    solids = build_solids(bench(where, **more))
    assert solids.problems() == []
    assert list(measured_room(Context(bench=solids.bench, solids=solids))) == []


@pytest.mark.parametrize(
    ("panels", "more", "field"),
    [
        ({"where": "back"}, {}, "panels.where"),
        (
            {"where": "back"},
            {**NO_BOLTS, **section("shelf", enabled=True, seat="rebate")},
            "lower_long.thickness",
        ),
        (
            {"where": "back", "thickness": 24.0},
            {**NO_BOLTS, **section("shelf", enabled=True)},
            "lower_long.thickness",
        ),
        ({"groove": 12.0}, {}, "panels.groove"),
        ({"thickness": 35.0}, {}, "panels.thickness"),
        ({}, section("lower_end", haunch=True), "lower_end.haunch"),
        ({}, section("lower_end", shoulder_top=5.0), "lower_end.shoulder_top"),
        ({}, section("upper_end", shoulder_bottom=5.0), "upper_end.shoulder_bottom"),
    ],
)
def test_panels_without_place_are_refused(
    panels: dict[str, object], more: dict[str, object], field: str
) -> None:
    with pytest.raises(SpecError) as caught:
        frame(**section("panels", **{"where": "ends", **panels}), **more)
    assert caught.value.field == field


@given(
    thick=st.floats(38.0, 70.0),
    panel=st.floats(10.0, 20.0),
    seat=st.sampled_from(["edge", "rebate"]),
    edges=st.sampled_from(["plain", "tongued"]),
)
@settings(max_examples=8)
def test_a_shelf_ends_before_the_panel_at_the_back(
    thick: float, panel: float, seat: str, edges: str
) -> None:
    """Both stand on one stretcher, with wood between; or it is refused, with what would do."""
    more = {
        **NO_BOLTS,
        **section("shelf", enabled=True, seat=seat, edges=edges),
        **section("lower_long", thickness=thick),
    }
    before = (thick - panel) / 2  # the panel stands in the middle
    room = before - (1.0 if seat == "edge" else 25.4 / 4)
    if room < 3 * 25.4 / 8 - 1e-6:
        with pytest.raises(SpecError, match="panel at the back leaves") as caught:
            bench("back", thickness=panel, **more)
        assert caught.value.field == "lower_long.thickness"
        return
    made = bench("back", thickness=panel, **more)
    face = min(m.bounds()[0][1] for m in panel_parts(made))
    rail = made.by_name["stretcher_lower_back"].bounds()
    boards = [m.bounds() for m in made.timbers if m.role == "shelf board"]
    for low, high in boards:
        assert face - high[1] >= 1.0 - 1e-6
        assert high[1] - rail[0][1] >= 3 * 25.4 / 8 - 1.0 - 1e-6
        assert low[1] < made.by_name["stretcher_lower_front"].bounds()[1][1]
    assert check_bench(made).errors == ()
    assert plan_assembly(made).knots == ()


@pytest.mark.parametrize("seat", ["edge", "rebate"])
def test_shelf_and_panel_are_clear_of_each_other_on_the_solids(seat: str) -> None:
    more = {
        **NO_BOLTS,
        **section("shelf", enabled=True, seat=seat),
        **section("lower_long", thickness=57.15),
    }
    solids = build_solids(bench("back", **more))
    assert solids.problems() == []
    context = Context(bench=solids.bench, solids=solids)
    load_rules()
    for code in ("parts-overlap", "move-collides"):
        assert list(RULES[code].check(context)) == []
    assert list(measured_room(context)) == []


def test_a_groove_refuses_boards_that_don_t_stand_in_it() -> None:
    made = bench()
    groove = next(j for j in grooves(made) if len(j.boards) > 1)

    def again(**numbers: Any) -> BoardGroove:
        return replace(groove, **numbers)

    assert again().kind == "panel groove"
    with pytest.raises(GeometryError, match="no boards"):
        again(boards=())
    with pytest.raises(GeometryError, match="floor"):
        again(room=-0.1)
    with pytest.raises(GeometryError):
        again(face=Face.FACE_SIDE)
    moved = replace(groove.boards[1], placement=groove.boards[1].placement.moved((0.0, 0.0, 1.0)))
    with pytest.raises(GeometryError, match="one line"):
        again(boards=(groove.boards[0], moved))
