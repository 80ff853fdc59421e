"""The numbers-only check as a whole: what passes, how quick it is, what its rules say."""

import subprocess
import sys
import time

import pytest

from tests.checks.benches import MODULES, codes, findings, frame, rules_of, section
from treenail.checks import RULE_MODULES, Report, check_bench, get_rule, load_rules
from treenail.checks.rules import RULES
from treenail.generators.frame_spec import Shelf
from treenail.timber.errors import SpecError


def test_the_default_bench_passes_without_a_word() -> None:
    assert findings(frame()) == []
    assert check_bench(frame()).passed


@pytest.mark.parametrize(
    "changes",
    [
        {"shelf": Shelf(enabled=True)},
        {**section("upper_long", through=True), **section("lower_long", through=True)},
        section("pegs", rows=2),
        section("pegs", from_face="inside"),
        section("pegs", through=True),
        {"fit": "mallet"},
        {"fit": "easy"},
        {"species": "white oak", "top_species": "hard maple"},
    ],
    ids=str,
)
def test_other_usual_benches_pass_too(changes: dict[str, object]) -> None:
    assert codes(frame(**changes)) == set()


def test_solids_are_skipped_without_solids_and_named() -> None:
    report = check_bench(frame())
    assert isinstance(report, Report)
    known = load_rules()
    assert set(report.skipped) == {code for code, r in known.items() if r.solids}
    assert set(report.checked) | set(report.skipped) == set(known)


def test_rules_run_in_one_order_whatever_was_imported_first() -> None:
    order = list(load_rules())
    moved = dict(sorted(RULES.items(), key=lambda item: item[1].check.__module__))
    assert list(moved) != order
    RULES.clear()
    RULES.update(moved)
    assert list(load_rules()) == order
    homes = [RULES[code].check.__module__.removeprefix("treenail.checks.") for code in order]
    assert list(dict.fromkeys(homes)) == list(RULE_MODULES)


def test_progress_hears_each_rule() -> None:
    heard: list[str] = []
    report = check_bench(frame(), progress=heard.append)
    assert heard == [get_rule(code).title for code in report.checked]


def test_our_rules_take_little_time() -> None:
    bench = frame()
    findings(bench)
    start = time.process_time()
    for _ in range(3):
        findings(bench)
    # About 15 ms each on a quiet machine; the limit allows for a busy one.
    assert (time.process_time() - start) / 3 < 0.15


def test_loading_the_rules_does_not_load_the_kernel() -> None:
    code = (
        "import sys; from treenail.checks import load_rules; load_rules(); "
        "print(*sorted({'cadquery', 'OCP', 'numpy', 'scipy', 'pint'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.split() == []


def test_every_module_with_rules_is_loaded() -> None:
    from pathlib import Path

    import treenail.checks

    (room,) = treenail.checks.__path__
    with_rules = {
        ".".join(path.relative_to(room).with_suffix("").parts)
        for path in Path(room).rglob("*.py")
        if path.name != "rules.py" or path.parent.name == "strength"
        if "\n@rule(" in path.read_text(encoding="utf-8")
    }
    assert with_rules - set(RULE_MODULES) == set()


@pytest.mark.parametrize("code", sorted(rules_of(*MODULES)))
def test_rules_are_worded_for_the_shop(code: str) -> None:
    known = get_rule(code)
    for text in (known.why, known.remedy):
        assert text.endswith(".")
        assert text[0].isupper() or text[0].isdigit()
    assert known.title
    assert not known.title.endswith(".")
    assert known.source
    # A limit is only a shop's to change where it isn't a fact of geometry.
    assert not (known.is_geometry and known.limit)


def test_a_misspelt_rule_gets_the_nearest() -> None:
    with pytest.raises(SpecError, match="did you mean 'peg-edge'"):
        get_rule("peg-edgy")
