"""Every kind of joint follows what was measured: the same question gets the measured answer."""

from functools import cache
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.checks.let_in_benches import bench_of as bench_of_let_in
from tests.joints.let_in import boards, crossing, shelf
from tests.joints.tenon_variants.pairs import KINDS
from tests.joints.tenon_variants.pairs import bench_of as bench_of_tenon
from treenail.api import Bench as WithMethods
from treenail.api import build_spec_file
from treenail.checks import check_bench
from treenail.checks.gauge import tongues_of
from treenail.generators.bench import Bench
from treenail.joints.barrel_bolt import BarrelBolt
from treenail.joints.base import Joint
from treenail.joints.board_groove import BoardGroove
from treenail.joints.edges import PanelGroove, TongueGroove
from treenail.joints.end_board import EndBoard
from treenail.joints.housed import Housed
from treenail.joints.housings import Housing, SlidingDovetail
from treenail.joints.laps import HalfLap, Lap, Notch
from treenail.joints.mortise_tenon import MortiseTenon
from treenail.joints.skew import SkewLetIn
from treenail.joints.trenches import Trench
from treenail.shop.as_built import AsBuilt, as_built
from treenail.shop.measurements import Measured, asked_sizes, form_text, read_measured
from treenail.timber.errors import SpecError

EXAMPLES = Path(__file__).parents[2] / "examples"
#: One bench of every family, with every kind of joint that a family uses.
BENCHES = ("apron", "knock-down", "paneled", "raised", "saw-bench", "slab", "split-top",
           "tool-well", "trestle", "vises")  # fmt: skip
DOVETAILED = b"bench: slab\nunits: mm\npost_tenons: {way: dovetailed}\n"
CAPPED = b"bench: frame\nunits: in\ntop: {ends: cap}\n"
#: What is sound as designed must stay so; that a board is cut otherwise may not bring these.
WRONG = {"cheek-clearance", "edge-clearance", "tenon-bottoms", "shoulder-line", "timbers-overlap",
         "draw-direction", "outer-size", "tenons-collide"}  # fmt: skip


@cache
def bench(name: str) -> Bench:
    if name in ("dovetailed", "capped"):
        return build_spec_file(DOVETAILED if name == "dovetailed" else CAPPED)
    return build_spec_file(EXAMPLES / f"skerry-point-{name}.yaml")


@cache
def pairs() -> dict[str, Bench]:
    """Two pieces and one joint: kinds that benches put together by hand have, too."""
    found = {k: bench_of_tenon(make()) for k, make in KINDS.items()}
    for kind, pair in (
        (Housing, shelf(90.0, 30.0, 10.0)),
        (TongueGroove, boards(80.0, 20.0, 8.0)),
        (SlidingDovetail, shelf(90.0, 30.0, 10.0)),
        (Notch, crossing(60.0, 40.0, 20.0)),
        (HalfLap, crossing(60.0, 40.0, 20.0)),
        (PanelGroove, shelf(90.0, 30.0, 10.0)),
    ):
        joint = kind(name="joint", receiver=pair[0], entering=pair[1])
        found[kind.__name__] = bench_of_let_in(joint)
    return found


def measured_of(values: dict[tuple[str, str], float]) -> Measured:
    members: dict[str, dict[str, float]] = {}
    joints: dict[str, dict[str, float]] = {}
    for (place, what), size in values.items():
        section, name = place.split(".")
        (members if section == "members" else joints).setdefault(name, {})[what] = size
    return Measured(members=members, joints=joints)


@st.composite
def some_sizes(draw: st.DrawFn, of: Bench, off: float, most: int) -> Measured:
    asked = {(p, what): mm for p, sizes in asked_sizes(of).items() for what, mm in sizes.items()}
    chosen = draw(st.lists(st.sampled_from(sorted(asked)), min_size=1, max_size=most, unique=True))
    found = {}
    for key in chosen:
        by = draw(st.floats(-off, off).map(lambda x: round(x, 3)))
        found[key] = asked[key] + (abs(by) if key[1] == "ply_width" else by)
    return measured_of(found)


def built_or_way_out(of: Bench, measured: Measured) -> AsBuilt | None:
    try:
        return as_built(of, measured)
    except SpecError as error:
        told = error
    assert told.allowed
    assert told.field is not None
    assert told.field.split(".")[1] in {*measured.members, *measured.joints}
    return None


def check_round_trip(made: Bench, measured: Measured) -> None:
    """Asked what it wants now, the bench answers what was measured, or less wood to leave."""
    now = asked_sizes(made)
    for name, sizes in measured.joints.items():
        joint = next(j for j in made.joints if j.name == name)
        for what, size in sizes.items():
            have = now[f"joints.{name}"][what]
            if have > size + 1e-6:  # one of several cuts for one piece: it can still be pared
                assert what in ("notch_width", "notch_depth", "housing_depth"), (name, what)
            elif have < size - 1e-6:  # left shorter, to clear another tenon or a nearer cut
                assert what in ("mortise_depth", "mortise_width", "mortise_length",
                                "groove_depth", "notch_length"), (name, what)  # fmt: skip
                assert what != "mortise_width" or not isinstance(joint, MortiseTenon)
    for name, sizes in measured.members.items():
        for what in {"width", "thickness"} & set(sizes):
            assert getattr(made.by_name[name], what) <= sizes[what] + 1e-9


def check_fits(made: Bench, before: Bench) -> None:
    """Tenon and tongue as cut, in mortise and groove as cut, by the named fit."""
    for joint, old in zip(made.joints, before.joints, strict=True):
        if isinstance(joint, MortiseTenon):
            for tenon, mortise in tongues_of(made, joint):
                cheek = mortise.width - (tenon.y1 - tenon.y0)
                assert joint.fit.cheek.low - 1e-6 <= cheek <= joint.fit.cheek.high + 1e-6
                edge = mortise.length - (tenon.x1 - tenon.x0)
                assert joint.fit.edge.low - 1e-6 <= edge <= joint.fit.edge.high + 1e-6
            assert joint.proud == pytest.approx(old.proud if isinstance(old, MortiseTenon) else 0.0,
                                                abs=1e-6) or not joint.through  # fmt: skip
        elif isinstance(joint, Housed | Lap | BoardGroove | SkewLetIn | EndBoard):
            check_room(joint, made)


def check_room(joint: Housed | Lap | BoardGroove | SkewLetIn | EndBoard, made: Bench) -> None:
    receiver = joint.members[0]
    own = next(c for c in made.cuts[receiver.name] if c.joint == joint.name)
    if isinstance(joint, BoardGroove | EndBoard):
        assert isinstance(own, Trench)
        wide = joint.tongue if isinstance(joint, EndBoard) else joint.boards[0].thickness
        room = own.width - wide
    elif isinstance(joint, SkewLetIn):
        room = joint.notch.width - getattr(joint.entering, joint.let_in_size)
    elif isinstance(joint, Lap):
        wide, walls = joint.mouth()
        if walls < 2:
            return
        room = wide - getattr(joint.entering, joint.let_in_size)
    else:
        if joint.walls < 2:
            return
        assert isinstance(own, Trench)
        room = own.width - joint.tongue_thickness
    assert joint.fit.cheek.low - 1e-6 <= room <= joint.fit.cheek.high + 1e-6, joint.name


@pytest.mark.parametrize("name", [*BENCHES, "dovetailed", "capped"])
@given(data=st.data())
@settings(max_examples=4)
def test_every_family_follows_what_was_measured(name: str, data: st.DataObject) -> None:
    measured = data.draw(some_sizes(bench(name), 0.5, 8))
    made = built_or_way_out(bench(name), measured)
    if made is not None:
        check_round_trip(made.bench, measured)
        check_fits(made.bench, bench(name))


@pytest.mark.parametrize("kind", sorted(pairs()))
@given(data=st.data())
@settings(max_examples=10)
def test_every_kind_follows_what_was_measured(kind: str, data: st.DataObject) -> None:
    measured = data.draw(some_sizes(pairs()[kind], 2.0, 3))
    made = built_or_way_out(pairs()[kind], measured)
    if made is not None:
        check_round_trip(made.bench, measured)
        check_fits(made.bench, pairs()[kind])


@pytest.mark.deep
@pytest.mark.parametrize("name", [*BENCHES, "dovetailed", "capped"])
def test_each_single_size_can_be_half_a_millimetre_off(name: str) -> None:
    """None alone is refused, and no rule complains that did not before; one of each kind."""
    of = bench(name)
    before = {f.rule for f in check_bench(of).errors}
    seen: set[tuple[str, str]] = set()
    for place, sizes in asked_sizes(of).items():
        section, where = place.split(".")
        kind = of.by_name[where].role if section == "members" else joint_of(of, where).kind
        for what, size in sizes.items():
            if (kind, what) in seen:
                continue
            seen.add((kind, what))
            off = -0.5 if what in ("haunch_depth", "thickness") else 0.5
            if what == "mortise_length":  # a tenon as wide as its post can't become wider
                off = 0.25
            made = as_built(of, measured_of({(place, what): size + off})).bench
            check_fits(made, of)
            assert not WRONG & {f.rule for f in check_bench(made).errors} - before, (place, what)


@pytest.mark.deep
@pytest.mark.parametrize("name", ["raised", "saw-bench", "slab", "trestle", "tool-well", "paneled"])
def test_the_solids_fit_as_well(name: str) -> None:
    """Every size off a little, the solids have the rooms that the joints tell."""
    of = bench(name)
    asked = asked_sizes(of)
    off = {"mortise_width": 0.1, "mortise_length": 0.3, "mortise_depth": 0.8, "groove_depth": 0.4,
           "housing_depth": 0.3, "notch_depth": 0.2, "peg_1_setback": 0.5}  # fmt: skip
    found = {
        (p, what): size + off[what]
        for p, sizes in asked.items()
        for what, size in sizes.items()
        if what in off
    }
    made = as_built(of, measured_of(found)).bench
    assert not WithMethods.of(made).check().errors


# -- one by one ----------------------------------------------------------------------------------


def derive(name: str, **sizes: dict[str, float]) -> AsBuilt:
    """A bench with sizes that differ by so much from what was asked for, by joint or member."""
    asked = asked_sizes(bench(name))
    found = {}
    for where, fields in sizes.items():
        place = f"joints.{where}" if f"joints.{where}" in asked else f"members.{where}"
        for what, off in fields.items():
            found[place, what] = asked[place][what] + off
    return as_built(bench(name), measured_of(found))


def joint_of(made: Bench, name: str) -> Joint:
    return next(j for j in made.joints if j.name == name)


def test_a_peg_hole_bored_astray_moves_the_tenons_hole_not_the_draw() -> None:
    made = derive("vises", upper_front_at_left={"peg_1_setback": 1.2, "peg_1_from_end": -0.7})
    old, new = (joint_of(b, "upper_front_at_left") for b in (bench("vises"), made.bench))
    assert isinstance(old, MortiseTenon)
    assert isinstance(new, MortiseTenon)
    for i, ((post, tenon), (was, _)) in enumerate(
        zip(new.peg_holes(), old.peg_holes(), strict=True)
    ):
        post_at = new.receiver.placement.point(post.frame.origin)
        tenon_at = new.entering.placement.point(tenon.frame.origin)
        was_at = old.receiver.placement.point(was.frame.origin)
        assert new.draw is not None
        assert abs(post_at[0] - tenon_at[0]) == pytest.approx(new.draw.offset)
        assert post_at[0] - was_at[0] == pytest.approx(-1.2 if i == 0 else 0.0)
        assert post_at[2] - was_at[2] == pytest.approx(0.7 if i == 0 else 0.0)
    told = {c.what: c.now - c.was for c in made.changes}
    assert told["peg 1: tenon's hole from the shoulder"] == pytest.approx(1.2)
    assert told["peg 1: tenon's hole from the face edge"] == pytest.approx(-0.7)
    assert not any("peg 2" in what for what in told)


def test_a_breadboards_peg_and_mortise_move_the_tenon() -> None:
    name = "breadboard_end_left_on_front"
    made = derive("tool-well", **{name: {"peg_1_setback": 0.8, "mortise_1_length": 1.0,
                                         "peg_1_from_end": 0.5}})  # fmt: skip
    old, new = (joint_of(b, name) for b in (bench("tool-well"), made.bench))
    assert isinstance(old, EndBoard)
    assert isinstance(new, EndBoard)
    assert new.tenons[0][1] - new.tenons[0][0] == pytest.approx(
        old.tenons[0][1] - old.tenons[0][0] + 1.0
    )
    assert new.room == old.room
    # The mortise grew by half a millimetre at either end, and the hole lies as far from its end.
    assert new.spots[0].at - old.spots[0].at == pytest.approx(0.0)
    told = {c.what: c.now - c.was for c in made.changes if c.name == name}
    assert told["peg 1: tenon's hole from the shoulder"] == pytest.approx(0.8)
    assert told["tenon 1: to"] == pytest.approx(0.5)


def test_a_thin_top_lies_lower_on_the_same_stretchers() -> None:
    made = derive("tool-well", top_section_1={"thickness": -1.0}, well_rail={"thickness": -1.0})
    old = bench("tool-well")
    assert made.bench.asked[2] == pytest.approx(old.asked[2] - 1.0)
    for name in ("top_section_1", "top_section_2", "breadboard_end_left", "well_bottom"):
        was, now = (b.by_name[name].placement.origin[2] for b in (old, made.bench))
        assert now - was == pytest.approx(-1.0), name
    assert not WRONG & {f.rule for f in check_bench(made.bench).errors}


def test_fittings_dont_count_in_the_benchs_height() -> None:
    """Regression: a chop that still stood at the old height hid that the top lies lower."""
    made = derive("vises", top_section_1={"thickness": -0.5})
    assert made.bench.asked[2] == pytest.approx(bench("vises").asked[2] - 0.5)
    assert "outer-size" not in {f.rule for f in check_bench(made.bench).errors}


def test_shelf_boards_lie_on_the_rebates_floor() -> None:
    name = "shelf_on_front"
    made = derive("knock-down", shelf_on_front={"rebate_depth": 1.0},
                  shelf_on_back={"rebate_depth": 1.0})  # fmt: skip
    boards = [m for m in made.bench.timbers if m.role == "shelf board"]
    for board in boards:
        old = bench("knock-down").by_name[board.name]
        assert board.placement.origin[2] - old.placement.origin[2] == pytest.approx(-1.0)
    assert asked_sizes(made.bench)[f"joints.{name}"]["rebate_depth"] == pytest.approx(
        asked_sizes(bench("knock-down"))[f"joints.{name}"]["rebate_depth"] + 1.0
    )


@pytest.mark.parametrize("off", [-0.7, 0.5, 1.5])
def test_a_rebate_still_to_be_cut_follows_the_one_that_is(off: float) -> None:
    # The other one was left as drawn: boards lay on it, and over the deeper one's floor.
    made = derive("knock-down", shelf_on_back={"rebate_depth": off})
    asked, drawn = asked_sizes(made.bench), asked_sizes(bench("knock-down"))
    for name in ("joints.shelf_on_front", "joints.shelf_on_back"):
        wanted = drawn[name]["rebate_depth"] + off
        assert asked[name]["rebate_depth"] == pytest.approx(wanted, abs=1e-6)


def test_the_bolt_is_long_enough_for_the_post_as_it_is() -> None:
    bolts = [j for j in bench("knock-down").joints if isinstance(j, BarrelBolt)]
    name = bolts[0].name
    post = bolts[0].post.name
    key = "width" if bolts[0].post.width == bolts[0].post.extent(bolts[0].entry_face) else (
        "thickness")  # fmt: skip
    made = derive("knock-down", **{post: {key: 9.0}, name: {"nut_setback": 2.0}})
    new = joint_of(made.bench, name)
    assert isinstance(new, BarrelBolt)
    assert new.bolt_length >= bolts[0].bolt_length + 5.0
    assert new.reach >= new.setback + new.size.nut_diameter / 2
    assert {c.what for c in made.changes if c.name == name} >= {"length", "grip", "nut setback"}


def test_the_deeper_of_two_notches_tells_and_the_other_is_pared() -> None:
    made = derive("apron", front_left_notch={"notch_depth": 0.5})
    apron, was = (b.by_name["apron_front"] for b in (made.bench, bench("apron")))
    assert apron.thickness - was.thickness == pytest.approx(0.5)  # still flush outside
    both = derive("apron", front_left_notch={"notch_depth": 0.5},
                  front_right_notch={"notch_depth": 0.2})  # fmt: skip
    (told,) = [c for c in both.changes if "to be cut farther" in c.what]
    assert told.name == "front_right_notch"
    assert told.now - told.was == pytest.approx(0.3)


@pytest.mark.parametrize(
    ("name", "sizes", "told"),
    [
        (
            "paneled",
            {"panel_left_below": {"groove_width": -1.0}, "panel_left_board_1": {"thickness": 0.0}},
            "planed to",
        ),
        (
            "paneled",
            {"panel_left_below": {"groove_width": 0.0}, "panel_left_above": {"groove_width": 1.0}},
            "widened",
        ),
        ("paneled", {"panel_left_below": {"groove_width": 2.0},
                     "panel_left_board_1": {"thickness": 0.0}}, "thicker piece"),
        ("trestle", {"front_at_left": {"wedge_hole_at": 12.0}}, "patched"),
        ("vises", {"upper_front_at_left": {"peg_1_setback": -13.0}}, "patched"),
        ("tool-well", {"bearer_left_at_front": {"housing_depth": 2.0},
                       "bearer_left": {"width": 0.0}}, "patched"),
    ],
)  # fmt: skip
def test_what_can_no_longer_fit_says_the_way_out(
    name: str, sizes: dict[str, dict[str, float]], told: str
) -> None:
    with pytest.raises(SpecError) as caught:
        derive(name, **sizes)
    assert told in (caught.value.allowed or "")
    assert caught.value.field is not None
    assert caught.value.field.split(".")[1] in sizes


@pytest.mark.parametrize("name", [*BENCHES, "dovetailed"])
def test_the_form_asks_for_all_of_it_and_reads_back(name: str) -> None:
    of = bench(name)
    form = form_text(of)
    asked = asked_sizes(of)
    assert form.count("asked:") == form.count("taken:") == sum(len(s) for s in asked.values())
    read = read_measured(form.encode(), of)
    assert (dict(read.members), dict(read.joints)) == ({}, {})
    heads = [line for line in form.splitlines() if line.startswith("  # --- cut in ")]
    assert len(heads) == len(set(heads))  # each piece once: as one works through the bench
