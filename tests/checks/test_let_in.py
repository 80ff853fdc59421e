"""Rules about laps, housings, grooves and dovetails; their rooms measured on the solids."""

from dataclasses import replace
from typing import Any

import pytest

from tests.checks.let_in_benches import bench_of
from tests.joints.let_in import JOINTS, TILTED, boards, crossing, joint_of, made, piece, shelf
from treenail.checks import check_bench
from treenail.checks.making import make
from treenail.checks.measured import measures_of
from treenail.checks.rooms import measure_room
from treenail.checks.rules import Finding
from treenail.checks.shop_machines import Machines
from treenail.generators.bench import Bench
from treenail.generators.solids import build_solids
from treenail.joints.base import Gap
from treenail.joints.edges import LooseSpline, TongueGroove
from treenail.joints.fits import FITS, Limits
from treenail.joints.housings import Housing, SlidingDovetail
from treenail.joints.laps import HalfLap, Notch
from treenail.joints.provisions import Recess
from treenail.joints.trenches import Trench
from treenail.timber.frames import Frame, neg
from treenail.timber.member import Face

HERE = Frame()


def found(bench: Bench, code: str) -> list[Finding]:
    return [f for f in check_bench(bench).findings if f.rule == code]


@pytest.mark.parametrize("kind", JOINTS)
@pytest.mark.parametrize("at", [HERE, None], ids=["square", "tilted"])
def test_the_solids_are_as_the_joint_says(kind: str, at: Frame | None) -> None:
    joint = joint_of(kind, 100.0, 40.0, 9.0, at or TILTED)
    bench = bench_of(joint)
    solids = build_solids(bench)
    assert solids.problems() == []
    site = measures_of(solids).site
    for gap in joint.gaps():
        assert measure_room(site, gap) == pytest.approx(gap.room, abs=1e-6), gap
    if at is None:
        return  # the rules about outer sizes are for benches that stand upright
    errors = [f for f in check_bench(bench, solids).findings if f.severity == "error"]
    # Boards that keep apart, and what slides, rest on nothing in this piece of a bench.
    loose = {"touches-nothing"} if kind in ("open boards", "panel in a groove") else set()
    assert {f.rule for f in errors} <= loose, [f.message for f in errors]


def test_a_strip_joins_two_boards() -> None:
    one = joint_of("stopped spline", 100.0, 40.0, 9.0, HERE)
    second = piece("second", (600.0, 100.0, 40.0), (0.0, 100.0, 0.0))
    two = LooseSpline(name="other", receiver=second, entering=one.entering)
    bench = bench_of(one, two)
    report = check_bench(bench, build_solids(bench))
    assert report.errors == ()


def test_a_room_that_is_not_as_asked_is_told() -> None:
    class Wrong(HalfLap):
        def gaps(self) -> tuple[Gap, ...]:
            first, *rest = super().gaps()
            return (replace(first, room=0.1), *rest)

    bench = bench_of(made(Wrong, crossing(80.0, 40.0, 0.0), HERE))
    report = check_bench(bench, build_solids(bench))
    (finding,) = (f for f in report.findings if f.rule == "measured-room")
    assert (finding.measured, finding.limit) == (0.0, 0.1)
    assert "has 0.000 mm" in finding.message


def test_a_room_that_another_joint_takes_away_names_that_joint() -> None:
    joint = made(HalfLap, crossing(80.0, 40.0, 0.0), HERE)
    floor = joint.gaps()[0]
    low = joint.receiver
    assert (floor.what, floor.against) == ("floor", low.name)
    face = low.face_towards(neg(floor.toward))
    x, y, z = low.face_frame(face).local_point(low.placement.local_point(floor.at))
    recess = Recess(
        name="too_deep",
        member=low,
        face=face,
        what="recess",
        centre=(x, y),
        length=low.width + 20.0,
        width=low.width + 20.0,
        depth=z + 5.0,
    )
    bench = bench_of(joint, recess)
    told = [
        f for f in check_bench(bench, build_solids(bench)).findings if f.rule == "measured-room"
    ]
    assert "Move too_deep: its recess cuts away the wood there." in {f.remedy for f in told}


def test_a_room_beside_no_wall_is_told() -> None:
    joint = made(HalfLap, crossing(80.0, 40.0, 0.0), HERE)
    site = measures_of(build_solids(bench_of(joint))).site
    gap = joint.gaps()[0]
    assert measure_room(site, replace(gap, at=(0.0, 0.0, 500.0))) is None
    assert measure_room(site, replace(gap, toward=(0.6, 0.0, 0.8))) is None


BROKEN: list[tuple[str, Any]] = [
    (
        "let-in-clearance",
        made(
            HalfLap,
            crossing(80.0, 40.0, 0.0),
            HERE,
            fit=replace(FITS["hand press"], cheek=Limits(0.4, 0.6)),
        ),
    ),
    ("trench-depth", made(Notch, crossing(80.0, 40.0, 10.0), HERE)),
    ("trench-walls", made(TongueGroove, boards(80.0, 20.0, 6.0), HERE, tongue=15.0)),
    (
        "trench-end-wood",
        made(
            Housing,
            (shelf(80.0, 30.0, 9.0)[0], piece("shelf", (300, 80, 18), (22, 0, -291), (0, 0, 1))),
            HERE,
        ),
    ),
    ("dovetail-rise", made(SlidingDovetail, shelf(80.0, 30.0, 9.0), HERE, rise=0.3, root=8.0)),
    (
        "let-in-turns",
        made(
            Notch,
            (
                piece("post", (300, 80, 60)),
                piece("lath", (300, 12, 20), (100, -20, 0), (0, 1, 0), (-1, 0, 0)),
            ),
            HERE,
        ),
    ),
]


@pytest.mark.parametrize(("code", "joint"), BROKEN, ids=[code for code, _ in BROKEN])
def test_each_weakness_is_found_by_its_rule_alone(code: str, joint: Any) -> None:
    codes = {c for c, _ in BROKEN}
    hits = {f.rule for f in check_bench(bench_of(joint)).findings} & codes
    assert hits == {code}


def test_usual_joints_have_nothing_said_against_them() -> None:
    for kind in ("cross lap", "housing", "stopped housing", "sliding dovetail", "loose spline"):
        joint = joint_of(kind, 100.0, 40.0, 9.0, HERE)
        codes = {c for c, _ in BROKEN}
        assert not {f.rule for f in check_bench(bench_of(joint)).findings} & codes


# -- machines ------------------------------------------------------------------------------------


def verdict(kind: str, member: str, shop: Machines | None = None, reach: float = 9.0) -> Any:
    joint = joint_of(kind, 100.0, 40.0, reach, HERE)
    own = next(m for m in joint.members if m.name == member)
    cut = next(c for c in joint.cuts()[member] if isinstance(c, Trench))
    return make(cut, own, shop or Machines(), lambda mm: f"{mm:g} mm")


def test_who_cuts_which_trench() -> None:
    assert verdict("housing", "side").made.machine == "dado"
    stopped = verdict("stopped housing", "side")
    assert (stopped.made.machine, stopped.how) == ("router", "finished by hand")
    assert "run the housing out" in stopped.refusals[0].change
    assert "dovetail cutter" in verdict("sliding dovetail", "side").made.tool
    assert verdict("cross lap", "low").made.passes == 6
    deep = verdict("housing", "side", replace(Machines(), dado=replace(Machines().dado, height=5)))
    assert deep.made.machine == "router"
    assert "reaches 5 mm" in deep.refusals[0].why
    narrow = replace(Machines(), dado=replace(Machines().dado, narrowest=20.0))
    assert verdict("housing", "side", narrow).made.machine == "router"


def test_hands_cut_what_machines_cannot() -> None:
    m = Machines()
    hands = replace(m, dado=replace(m.dado, have=False), router=replace(m.router, have=False))
    assert verdict("stopped dovetail", "side", hands).made.tool.endswith("bevel gauge")
    none = replace(hands, hand=replace(m.hand, reach=5.0))
    assert verdict("housing", "side", none).how == "not"
    small = replace(m, dado=replace(m.dado, have=False), router=replace(m.router, cutters=(19.0,)))
    assert verdict("loose spline", "first", small).made.machine == "hand"


def test_stops_are_named_by_face() -> None:
    joint = made(Housing, shelf(100.0, 30.0, 9.0), HERE, stop=15.0, stop_at=Face.BACK_EDGE)
    (cut,) = joint.cuts()["side"]
    assert isinstance(cut, Trench)
    opens = {face for face, _ in cut.openings(joint.receiver)}
    assert opens == {Face.FACE_EDGE}
