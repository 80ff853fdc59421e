"""What a person reads: every rule explained, every remedy an action, a screenful at a time."""

from __future__ import annotations

import io
import json
import re
from dataclasses import replace
from functools import cache

import pytest
from rich.console import Console

from tests.broken.solid_cases import bench as small_bench
from tests.broken.solid_cases import good
from tests.broken.test_broken import CASES, SOLID_CASES, SPECS, case_report, on_solids, spec_report
from treenail import screen
from treenail.checks import check_bench, load_rules
from treenail.checks.rules import ORDER, RULES, Context, Finding, Report
from treenail.generators.bench import Bench

load_rules()

#: What is told around the findings: the bench, the verdict, what is left.
AROUND = 10
#: Most lines of a check without ``--all``.
MOST = 40

#: Words that only whoever wrote the program knows.
JARGON = re.compile(
    r"\b[a-z]+_[a-z_]+\b|\b(?:None|null|float|int|str|bool|dict|tuple|boolean|kwargs?|NaN|"
    r"bounding box|manifold|shell|B-?rep|OCC|exception|assert\w*)\b|[{}<>=]|\(\)|0x"
)
#: With what a remedy begins: what somebody in a shop does.
ACTIONS = frozenset(
    re.findall(
        r"\w+",
        """
        add ask bore bring build buy call change choose chop close cut deepen divide draw
        drill drive dry follow get glue hold join keep lay leave lengthen let make mark
        mill move name pare peg plane put ream rip round saw set shorten size slope square
        stagger stiffen take taper tell turn use widen
        """,
    )
)
IN_MM = re.compile(r"\d ?(?:mm|cm)\b|\bmm³")
IN_INCHES = re.compile(r"\d ?[\"″]|\.\d+ in\b|\d/\d+ in\b|\bin³")


#: Tests on the corpus run on each third of its benches, on all of them when asked to.
some_and_all = pytest.mark.parametrize("step", [3, pytest.param(1, marks=pytest.mark.deep)])


@cache
def found(step: int) -> tuple[tuple[Bench, Report], ...]:
    """Broken benches of the corpus and what is found of them."""
    checked = [spec_report(path) for path in SPECS[::step]]
    checked += [case_report(case) for case in CASES[::step]]
    for solid in SOLID_CASES[::step]:
        findings = sorted(on_solids(solid), key=lambda f: (ORDER[f.severity], f.rule))
        report = Report(findings=tuple(findings), checked=tuple(RULES))
        checked.append((solid.make().bench, report))
    return tuple(checked)


def reports(step: int) -> list[Report]:
    return [report for _, report in found(step)]


def findings_of(step: int) -> list[tuple[Bench, Finding]]:
    """Every finding with its bench."""
    return [(bench, f) for bench, report in found(step) for f in report.findings]


def remedy(finding: Finding) -> str:
    return str(finding.as_dict()["remedy"])


# --- explain


@pytest.mark.parametrize("code", sorted(RULES))
def test_a_rule_is_explained(code: str) -> None:
    rule = RULES[code]
    assert re.fullmatch(r"[a-z]+(-[a-z]+)*", code)
    for what in (rule.title, rule.why, rule.remedy, rule.source):
        assert what.strip() == what != ""
        assert not JARGON.search(what), what
    assert not rule.title.endswith(".")
    assert rule.why.endswith(".")
    assert rule.remedy.endswith(".")
    assert rule.remedy.split()[0].lower().strip(",:;") in ACTIONS
    if rule.limit is not None:
        assert rule.limit.low <= rule.limit.default <= rule.limit.high
        assert not JARGON.search(rule.limit.what)


def test_titles_differ() -> None:
    assert len({r.title for r in RULES.values()}) == len(RULES)


# --- findings


@some_and_all
def test_findings_are_sentences_and_remedies_actions(step: int) -> None:
    for _, f in findings_of(step):
        assert f.message.endswith((".", ".)")), f
        assert remedy(f).endswith("."), f
        assert remedy(f).split()[0].lower() in ACTIONS, f
        for text in (f.message, remedy(f)):
            assert "  " not in text
            assert "None" not in text
            assert "nan" not in text.split()
            assert " 1 pegs" not in text


@some_and_all
def test_lengths_are_told_in_the_bench_s_own_units(step: int) -> None:
    seen = set()
    for bench, f in findings_of(step):
        foreign = IN_MM if bench.units == "in" else IN_INCHES
        for text in (f.message, remedy(f)):
            assert not foreign.search(text), (f.rule, bench.units, text)
        seen.add(bench.units)
    assert seen == {"in", "mm"}


@pytest.mark.parametrize("units", ["in", "mm"])
def test_a_small_fault_is_not_told_as_none(units: str) -> None:
    context = Context(bench=replace(small_bench(), units=units))
    assert context.say(0.0) == {"in": '0"', "mm": "0 mm"}[units]
    assert context.say(0.004) == {"in": "0.0002 in", "mm": "0.004 mm"}[units]
    assert context.say(2e-5) == {"in": "less than 0.0001 in", "mm": "less than 0.001 mm"}[units]
    assert context.say(25.4) == {"in": '1"', "mm": "25.4 mm"}[units]
    for bench, f in findings_of(3):
        if f.rule in ("mortise-breakout", "mortise-web", "shoulder-seat") and f.measured:
            assert not re.search(r"(?<![\d/.])0(?:\"| mm)", f.message), (bench.units, f.message)


# --- the print


def printed(
    report: Report, *, everything: bool = False, width: int = 80, pipe: bool = False
) -> str:
    """What stands on a terminal of that width, or in a pipe."""
    out = Console(
        file=io.StringIO(), width=width, highlight=False, soft_wrap=pipe, color_system=None
    )
    screen.print_findings(out, report, everything=everything)
    assert isinstance(out.file, io.StringIO)
    return out.file.getvalue()


def told(text: str) -> list[str]:
    """Severities in the order in which they are told."""
    return re.findall(r"^  (error|warning|advice) ", text, re.MULTILINE)


@some_and_all
def test_a_check_fills_a_screen_at_most(step: int) -> None:
    for report in reports(step):
        text = printed(report)
        lines = text.splitlines()
        assert len(lines) <= screen.SCREENFUL + AROUND <= MOST
        assert max(map(len, lines)) <= 80
        assert told(text) or not report.findings


@some_and_all
def test_the_worst_comes_first_and_all_of_it_is_told_or_counted(step: int) -> None:
    for report in reports(step):
        text = printed(report)
        order = [ORDER[s] for s in told(text)]
        assert order == sorted(order)
        assert order[:1] == [ORDER[f.severity] for f in report.findings[:1]]
        left = re.search(r"^  (.*) more: ask with --all$", text, re.MULTILINE)
        codes = {f.rule for f in report.findings}
        shown = set(re.findall(r"\[([a-z-]+)\]$", text, re.MULTILINE))
        assert shown <= codes
        assert (shown == codes) == (left is None)
        if left:
            hidden = sum(int(n) for n in re.findall(r"\d+", left[1]))
            apart = sum(f.rule not in shown for f in report.findings)
            assert apart <= hidden < len(report.findings)


@some_and_all
def test_an_error_is_never_hidden_by_what_is_less(step: int) -> None:
    for report in reports(step):
        if report.errors:
            assert told(printed(report))[0] == "error"
            assert "NOT passed" in printed(report)


@some_and_all
def test_all_tells_every_word(step: int) -> None:
    for report in reports(step):
        text = printed(report, everything=True, pipe=True)
        assert "--all" not in text
        for f in report.findings:
            assert f.message in text
            assert f"[{f.rule}]" in text


def test_the_same_is_printed_each_time_and_wraps_by_words() -> None:
    report = spec_report(next(p for p in SPECS if p.stem == "sways"))[1]
    again = replace(report, findings=tuple(report.findings))
    assert printed(report) == printed(again)
    words = printed(report, everything=True).split()
    assert words == printed(report, everything=True, pipe=True).split()
    for width in (40, 60, 120):
        lines = printed(report, width=width).splitlines()
        assert max(map(len, lines)) <= width


def test_alike_findings_are_told_once_with_their_places() -> None:
    report = spec_report(next(p for p in SPECS if p.stem == "pegs-near-the-shoulder"))[1]
    alike = [f for f in report.findings if f.rule == "peg-edge"]
    assert len(alike) == 16
    text = printed(report, pipe=True)
    assert text.count("[peg-edge]") == 1
    assert "The worst of 16 alike." in text
    assert re.search(r"at: lower_back_at_left, .* and 15 more", text)
    assert "every finding by itself: ask with --all" in text
    assert printed(report, everything=True, pipe=True).count("[peg-edge]") > 1


def test_the_worst_of_a_rule_stands_for_it() -> None:
    def finding(measured: float, joint: str) -> Finding:
        return Finding(
            rule="peg-edge",
            severity="warning",
            message=f"{measured:g} is left.",
            joint=joint,
            measured=measured,
            limit=10.0,
        )

    report = Report(findings=(finding(9.0, "a"), finding(2.0, "b"), finding(5.0, "c")), checked=())
    assert "2 is left. (The worst of 3 alike.) [peg-edge]" in printed(report, pipe=True)
    assert "at: b; c; a" in printed(report, pipe=True)


def test_a_sound_bench_has_little_to_read() -> None:
    report = check_bench(good().bench)
    text = printed(report)
    assert "checks passed" in text
    assert len(text.splitlines()) < screen.SCREENFUL
    assert "nothing found" in printed(replace(report, findings=()))


@some_and_all
def test_findings_as_data_hold_all_that_is_printed(step: int) -> None:
    for report in reports(step)[::7]:
        for f in report.findings:
            data = json.loads(json.dumps(f.as_dict(), allow_nan=False))
            assert data["message"] == f.message
            assert data["remedy"]
            assert data["why"] == RULES[f.rule].why
