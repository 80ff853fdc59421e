"""Tolerance stacks against scipy.stats, brute force and trials; and what the rules say of them."""

import dataclasses
import itertools
import math
import subprocess
import sys
from collections.abc import Iterator
from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy import stats

from tests.checks.shops import bench, found, shop
from treenail.checks import load_rules
from treenail.checks.joint_stacks import FIT, LENGTH_LIMIT, joint_stacks, rail_stacks
from treenail.checks.machines import machine_data
from treenail.checks.rules import Context
from treenail.checks.shop_file import DEFAULT_SHOP, ShopFile
from treenail.checks.shop_machines import INCH, NAMES, Machines
from treenail.checks.stacks import (
    DRAWS,
    SIGMAS,
    Part,
    Shares,
    Stack,
    joint_shares,
    simulate,
)
from treenail.checks.tolerance_rules import better_holding, fine
from treenail.checks.tolerances import tolerance_data, what_matters_most
from treenail.generators.params import params

load_rules()
MACHINES = sorted(NAMES)
holds = st.floats(0.005, 1.0)
parts = st.builds(
    Part,
    st.text("abc", min_size=3, max_size=6),
    st.sampled_from(MACHINES),
    holds,
    st.sampled_from([-2.0, -1.0, 0.5, 1.0, 2.0]),
)
limits = st.tuples(st.floats(-1.0, 0.0), st.floats(0.0, 1.0))


def part_key(part: Part) -> tuple[str, str, float]:
    return part.key


@st.composite
def stacks(draw: st.DrawFn, names: str = "s") -> Stack:
    some = draw(st.lists(parts, min_size=1, max_size=5, unique_by=part_key))
    nominal = draw(st.floats(-0.5, 0.5))
    low, high = draw(limits)
    ends = draw(st.sampled_from([(low, high), (low, None), (None, high), (None, None)]))
    return Stack(names, nominal, *ends, tuple(some))


def as_triple(shares: Shares) -> tuple[float, float, float]:
    return (shares.tight, shares.good, shares.loose)


# --- closed forms


@given(stacks())
def test_shares_are_those_of_scipys_normal(stack: Stack) -> None:
    normal = stats.norm(stack.nominal, stack.sigma)
    tight = 0.0 if stack.low is None else float(normal.cdf(stack.low))
    loose = 0.0 if stack.high is None else float(normal.sf(stack.high))
    assert stack.shares.tight == pytest.approx(tight, rel=1e-9, abs=1e-300)
    assert stack.shares.loose == pytest.approx(loose, rel=1e-9, abs=1e-300)
    assert sum(as_triple(stack.shares)) == pytest.approx(1.0, abs=1e-12)


def test_six_sigma_is_the_printed_share() -> None:
    # Normal distribution: 0.27 % lie beyond three standard deviations (any table of it).
    one = Stack("s", 0.0, -0.3, 0.3, (Part("a", "planer", 0.3),))
    assert 1.0 - one.shares.good == pytest.approx(0.0027, abs=5e-5)


@given(stacks())
def test_the_worst_case_is_that_of_all_corners(stack: Stack) -> None:
    corners = [
        stack.nominal + sum(s * p.factor * p.holds for s, p in zip(signs, stack.parts, strict=True))
        for signs in itertools.product((-1.0, 1.0), repeat=len(stack.parts))
    ]
    assert stack.worst == pytest.approx((min(corners), max(corners)), abs=1e-12)


@given(stacks())
def test_root_sum_square_adds_variances_and_lies_within_the_worst_case(stack: Stack) -> None:
    variances = [(p.factor * p.holds / SIGMAS) ** 2 for p in stack.parts]
    assert stack.sigma == pytest.approx(float(np.sqrt(np.sum(variances))))
    assert stack.rss <= stack.worst[1] - stack.nominal + 1e-12


@given(stacks())
def test_machines_share_the_variance(stack: Stack) -> None:
    shares = stack.by_machine()
    assert sum(shares.values()) == pytest.approx(1.0)
    assert list(shares.values()) == sorted(shares.values(), reverse=True)
    for machine, share in shares.items():
        # What the variance loses when that machine is perfect.
        left = stack.scaled(machine, 0.0).sigma ** 2 / stack.sigma**2
        assert 1.0 - left == pytest.approx(share, abs=1e-12)


def test_where_nothing_varies_a_gap_is_what_is_drawn() -> None:
    for nominal, expected in ((-0.1, (1, 0, 0)), (0.1, (0, 1, 0)), (0.3, (0, 0, 1))):
        rigid = Stack("s", nominal, 0.0, 0.2, (Part("a", "planer", 0.0),))
        assert as_triple(rigid.shares) == expected
        assert as_triple(simulate([rigid], draws=10)) == expected
        assert rigid.by_machine() == {}
        assert rigid.worst == (nominal, nominal)
    assert Stack("s", 1.0, None, None, ()).window is None


# --- trials


def close(trial: float, share: float, draws: int) -> bool:
    """Within five standard errors of a share counted in so many draws."""
    return abs(trial - share) <= 5.0 * math.sqrt(max(share * (1.0 - share), 1.0 / draws) / draws)


@given(st.lists(stacks(), min_size=1, max_size=3), st.integers(0, 2**32))
def test_trials_agree_with_the_closed_form(some: list[Stack], seed: int) -> None:
    # Parts of their own for each gap: then the closed form is exact.
    own = [
        dataclasses.replace(
            s,
            parts=tuple(dataclasses.replace(p, what=f"{i}.{p.what}") for p in s.parts),
        )
        for i, s in enumerate(some)
    ]
    draws = 4000
    trial, exact = simulate(own, draws=draws, seed=seed), joint_shares(own)
    for ours, theirs in zip(as_triple(trial), as_triple(exact), strict=True):
        assert close(ours, theirs, draws)


def test_the_same_seed_gives_the_same_trial() -> None:
    one = Stack("s", 0.0, -0.05, 0.05, (Part("a", "planer", 0.1),))
    assert simulate([one]) == simulate([one])
    assert simulate([one], seed=1) != simulate([one], seed=2)


@pytest.mark.parametrize("factor", [-1.0, 1.0])
def test_a_part_of_two_gaps_is_drawn_once(factor: float) -> None:
    shared, own = Part("post", "dado", 0.3), Part("slot", "saw", 0.2)
    first = Stack("a", 0.0, -0.05, None, (shared,))
    second = Stack("b", 0.0, -0.05, None, (Part("post", "dado", 0.3, factor), own))
    v1, v2, both = 0.01, 0.01 + (0.2 / 3) ** 2, factor * 0.01
    # P(both gaps above -0.05) of a bivariate normal.
    normal = stats.multivariate_normal([0.0, 0.0], [[v1, both], [both, v2]])
    expected = float(normal.cdf([0.05, 0.05]))
    trial = simulate([first, second], draws=DRAWS)
    assert close(trial.good, expected, DRAWS)
    # The product form, which takes them for independent, is visibly another number.
    assert not close(joint_shares([first, second]).good, expected, DRAWS)


# --- the bench's stacks


CONTEXT = Context(bench=bench())


def test_alike_joints_stand_once_and_every_joint_stands() -> None:
    rows = tolerance_data(CONTEXT)
    joints = [n for r in rows if r.kind == "mortise and tenon" for n in r.names]
    assert sorted(joints) == sorted(j.name for j in CONTEXT.tenons)
    rails = [n for r in rows if r.kind != "mortise and tenon" for n in r.names]
    assert sorted(rails) == sorted({j.entering.name for j in CONTEXT.tenons})
    assert len(rows) < len(joints)


def test_a_cheek_by_hand() -> None:
    # Mortiser .002, planer .003, dado .0012 in at both cheeks by one setting; drawn to mid-fit.
    cheek = joint_stacks(Context(bench=bench(), shop=DEFAULT_SHOP))[0].stack("cheek")
    assert cheek is not None
    thou = 0.0254
    assert cheek.nominal == pytest.approx(4 * thou)
    assert (cheek.low, cheek.high) == pytest.approx((2 * thou, 6 * thou))
    assert cheek.worst == pytest.approx((4 * thou - 7.4 * thou, 4 * thou + 7.4 * thou))
    assert cheek.rss == pytest.approx(math.sqrt(2**2 + 3**2 + 2.4**2) * thou)
    z = 2.0 / (math.sqrt(2**2 + 3**2 + 2.4**2) / 3.0)
    assert cheek.shares.good == pytest.approx(float(1 - 2 * stats.norm.sf(z)))


def test_unequal_shoulders_take_two_settings_of_the_stack() -> None:
    offset = bench(upper_long={"shoulder_outside": "5 mm"})
    equal = joint_stacks(CONTEXT)[0].stack("cheek")
    by_name = {n: g for g in joint_stacks(Context(bench=offset)) for n in g.names}
    apart = by_name["upper_front_at_left"].stack("cheek")
    assert equal is not None
    assert apart is not None
    assert equal.worst == pytest.approx(apart.worst)
    assert apart.rss < equal.rss


def test_a_rails_length_by_hand() -> None:
    (group,) = rail_stacks(Context(bench=bench(), shop=DEFAULT_SHOP))
    (length,) = group.stacks
    # Crosscut .012 in; the fence's .006 in counts at both ends.
    assert length.worst == pytest.approx((-0.024 * INCH, 0.024 * INCH))
    assert length.rss == pytest.approx(math.hypot(0.012, 0.012) * INCH)
    assert (length.low, length.high) == (-LENGTH_LIMIT, LENGTH_LIMIT)


def test_through_tenons_have_no_bottom_and_dry_joints_no_draw() -> None:
    through = bench(
        lower_long={"through": True, "tenon_length": "76.2 mm", "height": "100 mm"},
        lower_end={"height": "300 mm"},
        pegs={"per_joint": 0},
    )
    groups = {n: g for g in joint_stacks(Context(bench=through)) for n in g.names}
    assert groups["lower_front_at_left"].stack("bottom") is None
    assert groups["upper_front_at_left"].stack("bottom") is not None
    assert all(g.stack("draw") is None for g in groups.values())


NO = {"have": False}
SHOPS: dict[str, dict[str, Any]] = {
    "machines": {},
    "router": {"mortiser": NO, "dado": NO, "saw": NO, "router": {"reach": 60}},
    "saw": {"dado": NO, "saw": {"upright": 2000}},
    "hand": {name: NO for name in NAMES if name != "hand"},
}


@pytest.mark.parametrize("name", SHOPS)
def test_parts_come_from_the_machines_that_cut(name: str) -> None:
    context = Context(bench=bench(), shop=shop(**SHOPS[name]))
    made = {(j, r.purpose): r.machine for r in machine_data(context) for j in r.joints}
    for group in joint_stacks(context):
        cheek = group.stack("cheek")
        assert cheek is not None
        machines = {p.what: NAMES[p.machine] for p in cheek.parts}
        for joint in group.names:
            assert machines["mortise's width"] == made[(joint, "mortise")]
            others = {m for what, m in machines.items() if "cheek" in what}
            assert others == {made[(joint, "tenon")]}
        assert ("rail's thickness" in machines) == (name in ("machines", "router"))


@pytest.mark.parametrize("name", SHOPS)
def test_every_shops_trial_stands_beside_its_closed_form(name: str) -> None:
    context = Context(bench=bench(), shop=shop(**SHOPS[name]))
    for row in tolerance_data(context, trials=True):
        assert row.simulated is not None
        closed = (row.by_hand, row.paring, row.loose)
        assert sum(closed) == pytest.approx(1.0)
        for trial, share in zip(row.simulated, closed, strict=True):
            assert close(trial, share, row.draws)
        for d in row.directions:
            assert d.worst_low <= d.nominal - d.rss <= d.nominal + d.rss <= d.worst_high
            assert d.machine in NAMES.values()


def test_trials_are_left_out_of_a_check_without_solids() -> None:
    assert all(r.simulated is None and r.draws == 0 for r in tolerance_data(CONTEXT))


def test_a_check_of_numbers_loads_no_numpy() -> None:
    code = (
        "import sys\n"
        "from treenail.checks.rules import Context, RULES\n"
        "from treenail.checks.tolerances import tolerance_data\n"
        "from treenail.checks import tolerance_rules, machines, milling\n"
        "from treenail.generators.build import build_bench\n"
        "from treenail.generators.frame_spec import FrameBenchSpec\n"
        "c = Context(bench=build_bench(FrameBenchSpec()))\n"
        "assert tolerance_data(c) and machines.machine_data(c)\n"
        "for known in RULES.values(): list(known.check(c))\n"
        "print(sorted({'numpy', 'scipy', 'cadquery', 'pint'} & set(sys.modules)))\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=120
    )
    assert done.stdout.strip() == "[]"


# --- which machine matters


def tolerances() -> Iterator[tuple[str, str]]:
    for section, param in params(Machines).items():
        if param.kind == "section":
            for name, inner in params(type(param.default)).items():
                if inner.kind == "tolerance":
                    yield section, name


def perfect() -> dict[str, dict[str, Any]]:
    found: dict[str, dict[str, Any]] = {}
    for section, name in tolerances():
        found.setdefault(section, {})[name] = 0.0
    return found


@pytest.mark.parametrize(
    "section, name",
    [
        ("mortiser", "width_holds"),
        ("mortiser", "length_holds"),
        ("mortiser", "depth_holds"),
        ("dado", "height_holds"),
        ("dado", "fence_holds"),
        ("saw", "rip_holds"),
        ("planer", "thickness_holds"),
    ],
)
def test_the_only_machine_that_varies_is_the_one_that_is_named(section: str, name: str) -> None:
    changed = perfect()
    changed[section][name] = 0.3
    context = Context(bench=bench(), shop=shop(**changed))
    machine, share = what_matters_most(context)
    assert machine == NAMES[section]
    assert share == pytest.approx(1.0)
    joints = [r for r in tolerance_data(context) if r.kind == "mortise and tenon"]
    assert {r.machine for r in joints} == {NAMES[section]}


def test_a_perfect_shop_has_nobody_to_blame_and_nothing_to_say() -> None:
    context = Context(bench=bench(), shop=shop(**perfect()))
    assert what_matters_most(context) == ("", 0.0)
    for row in tolerance_data(context, trials=True):
        assert (row.by_hand, row.simulated) == (1.0, (1.0, 0.0, 0.0))
    assert found("fit-yield", context) + found("fit-worst-case", context) == []
    assert what_matters_most(Context(bench=bench(), shop=DEFAULT_SHOP))[0] == "planer"


# --- rules


def test_the_guessed_shop_makes_the_default_bench_quietly() -> None:
    assert found("fit-yield", CONTEXT) + found("fit-worst-case", CONTEXT) == []


@given(st.floats(0.0, 0.6))
def test_yield_is_told_exactly_where_it_is_under_its_limit(planer: float) -> None:
    context = Context(bench=bench(), shop=shop(planer={"thickness_holds": planer}))
    told = {f.joint: f for f in found("fit-yield", context)}
    for group in joint_stacks(context):
        good = joint_shares(group.fit).good
        assume(abs(good - 0.8) > 1e-6)
        assert (group.names[0] in told) == (good < 0.8)
        if good < 0.8:
            finding = told[group.names[0]]
            assert finding.severity == "warning"
            assert finding.measured == pytest.approx(100 * good)
            assert "planer" in finding.message


def test_a_guess_only_advises() -> None:
    coarse = ShopFile(machines=shop(planer={"thickness_holds": 0.5}).machines, given=False)
    findings = found("fit-yield", Context(bench=bench(), shop=coarse))
    findings += found("fit-worst-case", Context(bench=bench(), shop=coarse))
    assert findings
    assert {f.severity for f in findings} == {"advice"}


def test_the_remedys_full_tenon_leaves_one_in_a_hundred_loose() -> None:
    context = Context(bench=bench(), shop=shop(planer={"thickness_holds": 0.3}))
    (finding, *_) = found("fit-yield", context)
    cheek = joint_stacks(context)[0].stack("cheek")
    assert cheek is not None
    assert cheek.high is not None
    shift = float(cheek.nominal - (cheek.high - stats.norm.isf(0.01) * cheek.sigma))
    fuller = dataclasses.replace(cheek, nominal=cheek.nominal - shift)
    assert fuller.shares.loose == pytest.approx(0.01, rel=1e-3)
    assert f"leave the tenons {fine(context, shift)} full" in finding.remedy.lower()


@given(st.floats(0.05, 0.5), st.floats(0.5, 0.95))
def test_a_better_holding_gives_just_the_yield_wanted(planer: float, wanted: float) -> None:
    context = Context(bench=bench(), shop=shop(planer={"thickness_holds": planer}))
    group = joint_stacks(context)[0]
    factor = better_holding(group.fit, "planer", wanted)

    def good(f: float) -> float:
        return joint_shares([s.scaled("planer", f) for s in group.fit]).good

    if factor is None:
        assert good(0.0) < wanted
    elif factor == 1.0:
        assert good(1.0) >= wanted
    else:
        assert good(factor) == pytest.approx(wanted, abs=1e-6)


WORST = [
    ({"planer": {"thickness_holds": 0.4}}, {}, "of play"),
    ({"saw": {"rip_holds": 2.0}}, {}, "edges have"),
    ({"mortiser": {"depth_holds": 4.0}}, {}, "longer than its mortise is deep"),
    ({"drill_press": {"place_holds": 1.0}}, {}, "push the shoulder open"),
    ({"drill_press": {"place_holds": 0.9}}, {"pegs": {"offset": 1.6}}, "push the shoulder open"),
    ({"drill_press": {"place_holds": 1.0}}, {"pegs": {"offset": 3.0}}, "don't find"),
    ({"saw": {"crosscut_holds": 1.0}}, {}, "off between its shoulders"),
]


@pytest.mark.parametrize("machines, sizes, message", WORST)
def test_a_worst_case_that_paring_does_not_mend_is_told(
    machines: dict[str, Any], sizes: dict[str, Any], message: str
) -> None:
    context = Context(bench=bench(**sizes), shop=shop(**machines))
    findings = found("fit-worst-case", context)
    assert findings
    for f in findings:
        assert message in f.message
        assert f.severity == "warning"
        (section,) = machines
        assert NAMES[section] in f.remedy
        assert f.measured is not None
        assert f.limit is not None


def test_what_the_remedy_asks_mends_the_worst_case() -> None:
    # mortiser .0508 + dado 2 x .03048 + planer leave .0912 to the loosest fit's .3048.
    excess = found("fit-worst-case", Context(bench=bench(), shop=shop(
        planer={"thickness_holds": 0.4})))[0]  # fmt: skip
    assert excess.measured is not None
    assert excess.limit is not None
    closer = 0.4 - (excess.measured - excess.limit)
    assert f"±{closer:.2f} mm" in excess.remedy
    mended = Context(bench=bench(), shop=shop(planer={"thickness_holds": closer}))
    assert not [f for f in found("fit-worst-case", mended) if "cheeks" in f.message]


def test_small_lengths_are_said_as_shops_say_them() -> None:
    inches = Context(bench=dataclasses.replace(bench(), units="in"))
    assert [fine(inches, x) for x in (0.1016, -0.1016, 260.35)] == [
        ".004 in",
        "-.004 in",
        "10.250 in",
    ]
    assert fine(CONTEXT, 0.1016) == "0.10 mm"


def test_directions_of_the_fit_decide() -> None:
    for group in joint_stacks(CONTEXT):
        assert tuple(s.direction for s in group.fit) == FIT
        assert group.stack("draw") is not None
