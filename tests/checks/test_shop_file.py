"""Shop files: read back what the starter writes, refuse slips, tune rules with a reason."""

import dataclasses
import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from tests.checks.shops import bench
from tests.generators.spec_mappings import mappings, outcome
from treenail.checks import load_rules
from treenail.checks.rules import RULES, Context, Finding, Severity, run_rules
from treenail.checks.shop_file import (
    DEFAULT_SHOP,
    METRIC_SHOP,
    ShopFile,
    default_shop,
    machines_class,
    read_shop,
    read_shop_text,
)
from treenail.checks.shop_machines import NAMES, Machines
from treenail.checks.shop_text import (
    PUBLISHED,
    main,
    shop_schema,
    shop_schema_text,
    shop_starter_text,
)
from treenail.checks.tuning import Tuning, check_tunings, tune
from treenail.generators.params import params
from treenail.generators.spec_values import Units, build_spec
from treenail.generators.starter import section_lines
from treenail.timber.errors import OutputError, SpecError

ROOT = Path(__file__).resolve().parents[2]
EXAMPLE = ROOT / "examples" / "skerry-point-shop.yaml"
VALIDATOR = jsonschema.Draft202012Validator(shop_schema())
UNITS: tuple[Units, ...] = ("in", "mm")
REASON = "we have done it so for thirty years"

load_rules()
GEOMETRY = sorted(code for code, known in RULES.items() if known.is_geometry)
OTHERS = sorted(code for code, known in RULES.items() if not known.is_geometry)


# --- starter, schema, example


@pytest.mark.parametrize("units", UNITS)
def test_the_starter_reads_back_as_the_defaults(units: Units) -> None:
    text = shop_starter_text(units)
    read = read_shop_text(text)
    assert read.machines == default_shop(units).machines
    assert (read.units, read.given, read.tunings) == (units, True, ())
    VALIDATOR.validate(yaml.safe_load(text))
    assert max(map(len, text.splitlines())) <= 200
    # The lines on tuning are comments; without their mark they are a tuning that is allowed.
    start = text.index("# tuning:")
    tuned = read_shop_text(text[:start] + text[start:].replace("# ", ""))
    assert [t.rule for t in tuned.tunings] == ["fit-yield"]


def test_the_starter_is_for_inches_or_millimetres() -> None:
    with pytest.raises(SpecError):
        shop_starter_text("cm")  # type: ignore[arg-type]


def test_every_machine_has_a_name_and_every_order_names_machines() -> None:
    sections = {n for n, p in params(Machines).items() if p.kind == "section"}
    assert sections == set(NAMES) | {"order"}
    for param in params(type(Machines().order)).values():
        assert set(param.choices) <= set(NAMES)
        assert param.default == param.choices


def test_metric_defaults_differ_only_in_tools() -> None:
    inch, metric = Machines(), METRIC_SHOP.machines
    for name, param in params(Machines).items():
        if param.kind != "section":
            continue
        ours, theirs = getattr(inch, name), getattr(metric, name)
        differing = {n for n in params(ours) if getattr(ours, n) != getattr(theirs, n)}
        assert all(params(ours)[n].kind == "lengths" for n in differing)


def test_the_schema_is_a_schema_and_its_copy_is_up_to_date() -> None:
    jsonschema.Draft202012Validator.check_schema(shop_schema())
    published = (ROOT / PUBLISHED).read_text(encoding="utf-8")
    assert published == shop_schema_text(), "run `python -m treenail.checks.shop_text`"


def test_the_published_copy_is_written(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    with pytest.raises(OutputError):
        main()
    (tmp_path / PUBLISHED.parent).mkdir(parents=True)
    main()
    assert json.loads((tmp_path / PUBLISHED).read_text(encoding="utf-8")) == shop_schema()
    assert capsys.readouterr().out == f"{PUBLISHED}\n"


@pytest.mark.parametrize(
    "text",
    [
        "units: in\nmortiser: {chisels: 3}",
        "units: in\nmortiser: {chisels: [1, 1]}",
        "units: in\norder: {mortises: [axe]}",
        "units: in\ntuning: {fit-yield: {severity: advice}}",
        "units: in\ntuning: {fit-yield: {severity: off, reason: long enough}}",
        "units: in\nlathe: {have: true}",
        "mortiser: {have: true}",
    ],
)
def test_schema_and_reader_refuse_the_same_slips(text: str) -> None:
    with pytest.raises(jsonschema.ValidationError):
        VALIDATOR.validate(yaml.safe_load(text))
    with pytest.raises(SpecError):
        read_shop_text(text + "\n")


def test_the_example_reads_and_says_that_it_is_invented() -> None:
    text = EXAMPLE.read_text(encoding="utf-8")
    assert "invented" in text
    shop = read_shop(EXAMPLE)
    assert shop.file == str(EXAMPLE)
    assert shop.machines.mortiser.reach == pytest.approx(3.5 * 25.4)
    assert shop.machines.dado.height_holds == pytest.approx(0.0254)
    assert shop.machines.drill_press == Machines().drill_press
    assert shop.says("dado")
    assert not shop.says("drill_press")
    assert [t.rule for t in shop.tunings] == ["fit-yield"]
    VALIDATOR.validate(yaml.safe_load(text))


# --- reading


@given(st.sampled_from(UNITS), st.data())
def test_whatever_is_written_is_read_back(units: Units, data: st.DataObject) -> None:
    kind = machines_class(units)
    given_fields = data.draw(mappings(kind))
    made = build_spec(kind, given_fields, units="mm")
    read = read_shop_text("\n".join([f"units: {units}", *section_lines(made, units)]) + "\n")
    for name, param in params(kind).items():
        ours, theirs = getattr(made, name), getattr(read.machines, name)
        if param.kind != "section":
            assert ours == theirs
            continue
        for field, inner in params(ours).items():
            value, back = getattr(ours, field), getattr(theirs, field)
            if inner.kind in ("length", "tolerance", "lengths") and value is not None:
                assert back == pytest.approx(value, abs=2e-9), field
            else:
                assert back == value, field


def test_content_bytes_and_paths_are_all_read(tmp_path: Path) -> None:
    text = "units: mm\nshop: Skerry Point\nmortiser:\n  reach: 80\n"
    path = tmp_path / "shop.yaml"
    path.write_text(text, encoding="utf-8")
    for source in (text, text.encode(), path, str(path)):
        shop = read_shop(source)
        assert (shop.machines.shop, shop.machines.mortiser.reach) == ("Skerry Point", 80.0)
    for missing in (tmp_path / "none.yaml", "a\0b"):
        with pytest.raises(SpecError):
            read_shop(missing)


@pytest.mark.parametrize("text", ["0.002", "± 0.002", "±0.002 in", "+/- .002 in", "+-0.0508 mm"])
def test_what_a_machine_holds_may_be_written_with_its_sign(text: str) -> None:
    shop = read_shop_text(f"units: in\nmortiser:\n  width_holds: {text}\n")
    assert shop.machines.mortiser.width_holds == pytest.approx(0.0508)


def test_lists_keep_words_in_order_and_sort_sizes() -> None:
    shop = read_shop_text(
        "units: mm\nmortiser: {chisels: [12, 1/4 in, 8]}\norder: {mortises: [hand, router]}\n"
        "router: {cutters: []}\n"
    )
    assert shop.machines.mortiser.chisels == (6.35, 8.0, 12.0)
    assert shop.machines.order.mortises == ("hand", "router")
    assert shop.machines.router.cutters == ()


MISTAKES = [
    ("", "nothing in it", None, None),
    ("just text\n", "stands where fields belong", None, None),
    ("bench: frame\nunits: in\n", "the spec of a bench", "bench", 1),
    ("shop: ours\n", "no units", "units", None),
    ("units: cm\n", "'cm' is no unit", "units", 1),
    ("units: [in]\n", "a list is no unit", "units", 1),
    ("units: in\n\nlathe:\n  have: true\n", "no field 'lathe'", "lathe", 3),
    ("units: in\nmortizer:\n  have: true\n", "did you mean 'mortiser'", "mortizer", 2),
    ("units: in\nreach: 3\n", "it belongs to mortiser.reach", "reach", 2),
    ("units: in\nmortiser:\n  reach: 80\n", "in mm it would fit", "mortiser.reach", 3),
    ("units: in\nmortiser:\n  chisels: 1/2\n", "write [1/2]", "mortiser.chisels", 3),
    ("units: in\nmortiser:\n  chisels: [1/2, 0.5]\n", "twice", "mortiser.chisels.2", 3),
    ("units: in\nmortiser:\n  chisels:\n    - 1/2\n    - axe\n", "no", "mortiser.chisels.2", 5),
    ("units: in\norder:\n  holes: [dado]\n", "not one of the words", "order.holes.1", 3),
    ("units: in\norder:\n  holes: [[hand]]\n", "a list stands", "order.holes.1", 3),
    ("units: in\nmortiser:\n  width_holds: -0.1\n", "too small", "mortiser.width_holds", 3),
    (f"units: mm\nmortiser:\n  chisels: {list(range(4, 99))}\n", "95", "mortiser.chisels", 3),
    ("units: in\ntuning: off\n", "where rules belong", "tuning", 2),
    ("units: in\ntuning:\n  fit-yeld:\n    severity: advice\n    reason: long enough\n",
     "did you mean 'fit-yield'", "tuning.fit-yeld", 3),
    ("units: in\ntuning:\n  fit-yield: off\n", "can't be switched off", "tuning.fit-yield", 3),
    ("units: in\ntuning:\n  fit-yield: []\n", "a list stands", "tuning.fit-yield", 3),
    ("units: in\ntuning:\n  fit-yield:\n    severity: none\n    reason: long enough\n",
     "can't be switched off", "tuning.fit-yield.severity", 4),
    ("units: in\ntuning:\n  fit-yield:\n    severity: mild\n    reason: long enough\n",
     "no severity", "tuning.fit-yield.severity", 4),
    ("units: in\ntuning:\n  fit-yield:\n    severity: advice\n",
     "without a reason", "tuning.fit-yield.reason", 3),
    ("units: in\ntuning:\n  fit-yield:\n    severity: advice\n    reason:\n",
     "without a reason", "tuning.fit-yield.reason", 5),
    ("units: in\ntuning:\n  fit-yield:\n    severity: advice\n    reason: so\n",
     "2 characters", "tuning.fit-yield.reason", 5),
    ("units: in\ntuning:\n  fit-yield:\n    severity: advice\n    reason: [a, b]\n",
     "not text", "tuning.fit-yield.reason", 5),
    ("units: in\ntuning:\n  fit-yield:\n    reason: long enough\n",
     "nothing of fit-yield", "tuning.fit-yield", 3),
    ("units: in\ntuning:\n  fit-yield:\n    limit: 101\n    reason: long enough\n",
     "out of range", "tuning.fit-yield.limit", 4),
    ("units: in\ntuning:\n  fit-yield:\n    limit: many\n    reason: long enough\n",
     "not a number", "tuning.fit-yield.limit", 4),
    ("units: in\ntuning:\n  fit-worst-case:\n    limit: 3\n    reason: long enough\n",
     "no limit of its own", "tuning.fit-worst-case.limit", 4),
    ("units: in\ntuning:\n  fit-yield:\n    serverity: advice\n    reason: long enough\n",
     "did you mean 'severity'", "tuning.fit-yield.serverity", 4),
]  # fmt: skip


@pytest.mark.parametrize("text, message, field, line", MISTAKES)
def test_mistakes_name_file_line_and_field(
    text: str, message: str, field: str | None, line: int | None
) -> None:
    with pytest.raises(SpecError) as caught:
        read_shop_text(text, file="shop.yaml")
    error = caught.value
    assert message in str(error)
    assert (error.file, error.field, error.line) == ("shop.yaml", field, line)
    assert error.allowed or "did you mean" in str(error) or "belongs to" in str(error)


@given(st.text("units: in\nmortiser tuning fit-yield severity []{}#\"'-0.9±", max_size=80))
def test_rubbish_ends_in_one_clear_error(text: str) -> None:
    assert isinstance(outcome(read_shop_text, "units: in\n" + text), ShopFile | SpecError)


# --- tuning


def _finding(code: str, severity: Severity) -> Finding:
    return Finding(rule=code, severity=severity, message="m")


@pytest.mark.parametrize("code", GEOMETRY)
def test_geometry_stays_an_error(code: str) -> None:
    for severity in ("warning", "advice"):
        with pytest.raises(SpecError, match="can't be lowered") as caught:
            check_tunings([Tuning(rule=code, reason=REASON, severity=severity)])
        assert caught.value.allowed == "severity: error"
    with pytest.raises(SpecError, match="can't be lowered"):
        check_tunings([Tuning(rule=code, reason=REASON, limit=1.0)])
    check_tunings([Tuning(rule=code, reason=REASON, severity="error")])


def test_there_are_geometry_rules_and_others() -> None:
    assert len(GEOMETRY) > 3
    assert "fit-yield" in OTHERS


@given(
    st.sampled_from(OTHERS),
    st.sampled_from(["error", "warning", "advice"]),
    st.sampled_from(["error", "warning", "advice"]),
)
def test_a_tuned_finding_says_what_it_was_and_why(code: str, was: Any, now: Any) -> None:
    tuning = Tuning(rule=code, reason=REASON, severity=now)
    check_tunings([tuning])
    (one,) = tune([_finding(code, was)], [tuning])
    assert one.severity == now
    told = one.as_dict()["tuned"]
    assert told == (None if was == now else {"from": was, "because": REASON})
    other = _finding(next(c for c in OTHERS if c != code), was)
    assert tune([other], [tuning]) == [other]


def test_the_same_rule_is_not_tuned_twice_nor_without_reason() -> None:
    one = Tuning(rule="fit-yield", reason=REASON, severity="advice")
    with pytest.raises(SpecError, match="twice"):
        check_tunings([one, one])
    with pytest.raises(SpecError, match="reason"):
        check_tunings([dataclasses.replace(one, reason=" ")])


def test_the_report_repeats_tunings_and_limits_count() -> None:
    coarse = "units: mm\nplaner:\n  thickness_holds: 0.4\n"
    plain = read_shop_text(coarse)
    before = run_rules(Context(bench=bench(), shop=plain))
    assert [f.severity for f in before.findings if f.rule == "fit-yield"] == ["warning"] * 2
    assert before.tunings == ()

    text = f"{coarse}tuning:\n  fit-yield:\n    severity: error\n    reason: {REASON}\n"
    harder = run_rules(Context(bench=bench(), shop=read_shop_text(text)))
    changed = [f for f in harder.findings if f.rule == "fit-yield"]
    assert [(f.severity, f.untuned, f.tuned_because) for f in changed] == [
        ("error", "warning", REASON)
    ] * 2
    assert harder.findings[0].severity == "error", "sorted by what it became"

    text = f"{coarse}tuning:\n  fit-yield:\n    limit: 0 %\n    reason: {REASON}\n"
    loose = run_rules(Context(bench=bench(), shop=read_shop_text(text)))
    assert not [f for f in loose.findings if f.rule == "fit-yield"]
    (told,) = loose.tunings
    assert told.as_dict() == {
        "rule": "fit-yield",
        "severity": None,
        "limit": 0.0,
        "limit_was": 80.0,
        "unit": "%",
        "reason": REASON,
    }


def test_a_run_refuses_a_tuning_made_in_python_too() -> None:
    bad = ShopFile(tunings=(Tuning(rule="no such rule", reason=REASON, severity="advice"),))
    with pytest.raises(SpecError, match="no rule"):
        run_rules(Context(bench=bench(), shop=bad))


def test_defaults_are_guesses_of_nobody() -> None:
    assert not DEFAULT_SHOP.given
    assert not METRIC_SHOP.given
    assert not DEFAULT_SHOP.says("dado")
    assert ShopFile().says("dado")
