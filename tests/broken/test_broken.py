"""No false word, first half: each broken bench is caught by exactly the rule made for it."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

import pytest

from tests.broken.cases import CASES as BENCH_CASES
from tests.broken.cases import Case
from tests.broken.fitting_cases import FITTING_CASES
from tests.broken.knock_down_cases import KNOCK_DOWN_CASES
from tests.broken.let_in_cases import LET_IN_CASES, other_room
from tests.broken.panel_cases import PANEL_CASES
from tests.broken.solid_cases import SOLID_CASES as BENCH_SOLID_CASES
from tests.broken.solid_cases import SolidCase, good
from tests.broken.top_cases import TOP_CASES
from tests.broken.wedge_cases import WEDGE_CASES
from treenail.checks import check_bench, load_rules
from treenail.checks.rules import Context, Finding, Report
from treenail.checks.shop_file import read_shop
from treenail.generators.bench import Bench
from treenail.generators.build import build_document
from treenail.generators.frame_bench import build_frame_bench
from treenail.generators.frame_spec import FrameBenchSpec
from treenail.generators.spec_file import read_spec
from treenail.timber.errors import GeometryError, SpecError

HERE = Path(__file__).parent
SPECS = sorted(HERE.glob("*.yaml"))
REFUSED = sorted((HERE / "refused").glob("*.yaml"))
FEWEST = 60

CASES = (
    *BENCH_CASES,
    *WEDGE_CASES,
    *LET_IN_CASES,
    *FITTING_CASES,
    *KNOCK_DOWN_CASES,
    *PANEL_CASES,
    *TOP_CASES,
)
SOLID_CASES = (*BENCH_SOLID_CASES, SolidCase("lap-with-another-room", "measured-room", other_room))

#: Modules whose rules may be without a case here, each with the reason; it should shrink.
NO_CASE = {
    "tenon_kinds": "no bench has such tenons yet; their broken joints stand in tests/checks",
    "cnc": "no bench has a cut that leans; its broken cases stand in tests/shop/test_cnc.py",
}


@dataclass(frozen=True)
class Header:
    """What a broken spec says of itself in its comments."""

    rule: str
    severity: str
    shop: Path | None


def said(path: Path) -> dict[str, str]:
    """The header comments of the form ``# name: value``."""
    return dict(re.findall(r"^# (\w+): (.+)$", path.read_text(), re.MULTILINE))


def header(path: Path) -> Header:
    told = said(path)
    rule, severity = told["expect"].split()
    return Header(rule, severity, HERE / told["shop"] if "shop" in told else None)


@cache
def spec_report(path: Path) -> tuple[Bench, Report]:
    """The bench of a broken spec and what the rules that need numbers only say."""
    wanted = header(path)
    bench = build_document(read_spec(path))
    return bench, check_bench(bench, shop=read_shop(wanted.shop) if wanted.shop else None)


@cache
def case_report(case: Case) -> tuple[Bench, Report]:
    bench = case.make()
    return bench, check_bench(bench)


def exactly(findings: tuple[Finding, ...], rule: str, severity: str, also: frozenset[str]) -> None:
    assert (rule, severity) in {(f.rule, f.severity) for f in findings}
    errors = {f.rule for f in findings if f.severity == "error"}
    assert errors == also | ({rule} if severity == "error" else set())


@pytest.mark.parametrize("path", SPECS, ids=lambda p: p.stem)
def test_a_broken_spec_trips_its_rule(path: Path) -> None:
    wanted = header(path)
    exactly(spec_report(path)[1].findings, wanted.rule, wanted.severity, frozenset())


@pytest.mark.parametrize("case", CASES, ids=lambda c: c.name)
def test_a_broken_bench_trips_its_rule(case: Case) -> None:
    exactly(case_report(case)[1].findings, case.rule, case.severity, case.also)


def on_solids(case: SolidCase) -> list[Finding]:
    """What the rules that measure solids find; the numbers are as they should be."""
    made = case.make()
    context = Context(bench=made.bench, solids=made)
    return [f for r in load_rules().values() if r.solids for f in r.check(context)]


@pytest.mark.parametrize("case", SOLID_CASES, ids=lambda c: c.name)
def test_solids_unlike_their_numbers_trip_their_rule(case: SolidCase) -> None:
    exactly(tuple(on_solids(case)), case.rule, "error", case.also)


def test_unspoilt_solids_trip_nothing() -> None:
    assert check_bench(good().bench, good()).errors == ()


# --- what is refused before there is a bench


@pytest.mark.parametrize("path", REFUSED, ids=lambda p: p.stem)
def test_a_spec_that_makes_no_bench_is_refused_with_its_field(path: Path) -> None:
    told = said(path)
    with pytest.raises(SpecError) as caught:
        build_document(read_spec(path))
    error = caught.value
    if "field" in told:
        assert error.field == told["field"]
        named = told["field"].rpartition(".")[2]
    else:
        named = told["line"]
        assert error.line == int(told["line"])
    assert named in str(error)
    assert told.get("says", "") in str(error)
    lines = path.read_text().splitlines()
    assert error.line is not None
    assert not lines[error.line - 1].startswith("#")


def test_a_part_missing_from_under_its_joints_makes_no_bench() -> None:
    bench = build_frame_bench(FrameBenchSpec(), units="in")
    with pytest.raises(GeometryError, match="'post_front_left', which is not in the bench"):
        replace(bench, timbers=bench.timbers[1:])


def test_a_part_there_twice_makes_no_bench() -> None:
    bench = build_frame_bench(FrameBenchSpec(), units="in")
    with pytest.raises(GeometryError, match="two parts"):
        replace(bench, timbers=(*bench.timbers, bench.timbers[0]))


# --- the corpus as a whole


def tripped() -> Counter[str]:
    """How many cases each rule has."""
    return Counter(
        [header(p).rule for p in SPECS] + [c.rule for c in CASES] + [c.rule for c in SOLID_CASES]
    )


def test_the_corpus_is_large_and_no_case_is_there_twice() -> None:
    names = [p.stem for p in SPECS] + [c.name for c in CASES] + [c.name for c in SOLID_CASES]
    assert len(names) == len(set(names)) >= FEWEST
    assert len({said(p)["expect"] + p.read_text() for p in SPECS}) == len(SPECS)


def test_every_rule_has_a_case_or_a_reason() -> None:
    excused = {f"treenail.checks.{module}" for module in NO_CASE}
    missing = {code: r for code, r in load_rules().items() if code not in tripped()}
    assert [c for c, r in missing.items() if r.check.__module__ not in excused] == []
    assert all(NO_CASE.values())


def test_companions_are_few() -> None:
    every = [c.also for c in CASES] + [c.also for c in SOLID_CASES]
    assert sum(map(bool, every)) <= 5
    assert max(map(len, every)) <= 2
