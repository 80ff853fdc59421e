from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.checks.benches import ASH, codes, frame, rules_of, said, with_joint
from treenail.generators.bench import Bench
from treenail.generators.frame_spec import MEETINGS, Shelf
from treenail.generators.parts import slab
from treenail.joints.features import Bearing
from treenail.timber.member import Member


def board(x: float, y: float, top: float) -> Member:
    """A small board with its upper side at a height, 100 x 60 x 20 mm."""
    return slab(
        "board",
        role="board",
        corner=(x + 100.0, y, top),
        length=100.0,
        width=60.0,
        thickness=20.0,
        species=ASH,
        plies=1,
        rings="flat",
        assembly="",
    )


def with_board(x: float, y: float, top: float, *, rests: bool = True) -> Bench:
    """The default bench with a board on its lower front stretcher (upper edge at 228.6 mm)."""
    base = frame()
    piece = board(x, y, top)
    joints = base.joints
    if rests:
        below = base.by_name["stretcher_lower_front"]
        joints = (*joints, Bearing(name="board_rests", below=below, above=piece))
    return replace(base, timbers=(*base.timbers, piece), joints=joints)


BROKEN = [
    ("outer-size", lambda: replace(frame(), asked=(1524.0, 609.6, 864.0))),
    ("names", lambda: with_joint(frame(), "foot_front_left", name="foot front left")),
    ("loose-part", lambda: with_board(600.0, 20.0, 400.0, rests=False)),
    ("timbers-overlap", lambda: with_board(260.0, 0.0, 248.6)),
    ("contact", lambda: with_board(600.0, 20.0, 249.6)),
    ("shelf-gap", lambda: frame(shelf=Shelf(enabled=True, board=200.0, gap=0.1))),
]


@pytest.mark.parametrize(("code", "bench"), BROKEN)
def test_a_spoilt_bench_trips_this_rule_alone(code: str, bench: object) -> None:
    assert callable(bench)
    assert codes(bench()) == {code}


def test_every_rule_is_tripped_above() -> None:
    assert {code for code, _ in BROKEN} == rules_of("sizes")


def test_a_board_that_rests_passes() -> None:
    assert codes(with_board(600.0, 0.325, 248.6)) == set()


@given(st.sampled_from([0, 1, 2]), st.floats(-50.0, 50.0))
def test_each_size_is_compared_to_a_millionth(axis: int, off: float) -> None:
    base = frame()
    asked = list(base.asked)
    asked[axis] += off
    found = said(replace(base, asked=(asked[0], asked[1], asked[2])), "outer-size")
    if abs(off) > 2e-6:
        (finding,) = found
        assert ("length", "depth", "height")[axis] in finding.message
        assert finding.limit == pytest.approx(asked[axis])
    elif abs(off) < 5e-7:
        assert found == []


@pytest.mark.parametrize("meeting", MEETINGS)
@pytest.mark.parametrize("shelf", [False, True])
def test_whole_benches_hold_together(meeting: str, shelf: bool) -> None:
    bench = frame(meeting=meeting, shelf=Shelf(enabled=shelf))
    assert codes(bench) & rules_of("sizes") == set()


def test_a_half_that_is_joined_only_to_itself_is_told() -> None:
    base = with_board(600.0, 20.0, 400.0, rests=False)
    second = replace(
        base.by_name["board"],
        name="second",
        placement=base.by_name["board"].placement.moved((0.0, 0.0, 20.0)),
    )
    pair = Bearing(name="pair", below=base.by_name["board"], above=second)
    bench = replace(base, timbers=(*base.timbers, second), joints=(*base.joints, pair))
    assert [f.member for f in said(bench, "loose-part")] == ["board", "second"]
    assert "joined to 1 other" in said(bench, "loose-part")[0].message


@pytest.mark.parametrize("name", ["post é", "a/b", "a b", "x\n", "–"])
def test_names_that_files_cannot_bear(name: str) -> None:
    bench = with_joint(frame(), "foot_front_left", name=name)
    (finding,) = said(bench, "names")
    assert finding.severity == "error"


@given(st.floats(-15.0, 15.0))
def test_contact_by_height(off: float) -> None:
    found = said(with_board(600.0, 20.0, 248.6 + off), "contact")
    if abs(off) > 2e-6:
        assert found[0].measured == pytest.approx(off)
    elif abs(off) < 5e-7:
        assert found == []
