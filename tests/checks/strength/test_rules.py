import json
import subprocess
import sys
from typing import Any

import pytest
from hypothesis import given

import treenail
from tests.strategies import a_few, frame_specs
from treenail.checks import load_rules
from treenail.checks.rules import RULES, Context, Finding
from treenail.checks.strength.data import strength_data, strength_of
from treenail.generators.bench import Bench
from treenail.generators.build import build_bench
from treenail.generators.frame_spec import FrameBenchSpec
from treenail.generators.spec_values import build_spec
from treenail.timber.errors import TreenailError

CODES = (
    "tips-over",
    "slides",
    "sways",
    "shakes",
    "shoulders-open",
    "top-sags",
    "stretcher-sags",
    "post-buckles",
    "lag-pulls-out",
    "peg-shears",
    "heavy-lift",
)


load_rules()


def run(bench: Bench) -> list[Finding]:
    context = Context(bench=bench)
    return [f for code in CODES for f in RULES[code].check(context)]


def codes(**spec: Any) -> set[str]:
    return {f.rule for f in run(treenail.frame_bench(**spec))}


def test_a_sound_bench_only_hears_that_it_is_heavy() -> None:
    found = run(treenail.frame_bench())
    assert {f.rule for f in found} == {"heavy-lift"}
    assert "four people" in found[0].message


THIN = {"width": 35.0, "thickness": 18.0, "tenon_thickness": 6.0, "tenon_length": 20.0}


@pytest.mark.parametrize(
    "code, spec",
    [
        ("tips-over", {"depth": 260.0}),
        ("tips-over", {"top": {"overhang_ends": 500.0}}),
        ("slides", {"length": 900.0, "species": "eastern white pine"}),
        ("sways", {"lower_long": THIN, "upper_long": THIN | {"haunch": False}}),
        ("shakes", {"lower_long": THIN, "upper_long": THIN | {"haunch": False}}),
        ("shoulders-open", {"pegs": {"offset": 0.0}}),
        (
            "top-sags",
            {
                "top": {"thickness": 20.0, "overhang_ends": 700.0},
                "length": 2400.0,
                "bolts": {"per_stretcher": 0},
            },
        ),
        ("stretcher-sags", {"length": 3000.0, "lower_long": THIN}),
        (
            "post-buckles",
            {"posts": {"width": 30.0, "thickness": 30.0, "plies": 1}, "height": 1400.0}
            | {
                k: {"thickness": 25.0, "tenon_thickness": 8.0, "tenon_length": 12.0}
                for k in ("upper_long", "upper_end", "lower_long", "lower_end")
            },
        ),
        ("peg-shears", {"pegs": {"diameter": 5.0, "per_joint": 1}}),
    ],
)
def test_each_weakness_is_found(code: str, spec: Any) -> None:
    assert code in codes(**spec)


def test_heavy_pieces_are_named() -> None:
    found = run(treenail.frame_bench(length=2400.0, depth=700.0, top={"thickness": 90.0}))
    assert {f.member for f in found if f.rule == "heavy-lift"} >= {"", "top_section_1"}


def test_nothing_is_an_error_and_everything_says_what_it_is() -> None:
    for finding in run(treenail.frame_bench(depth=260.0, pegs={"diameter": 5.0})):
        assert finding.severity in ("warning", "advice")
        json.dumps(finding.as_dict(), allow_nan=False)
        if finding.rule != "heavy-lift":
            assert "no certificate" in finding.message
    for code in CODES:
        assert RULES[code].source
        assert not RULES[code].solids


def test_the_figures_are_plain_data_with_load_case_and_source() -> None:
    data = strength_of(treenail.frame_bench(shelf={"enabled": True}))
    plain = json.loads(json.dumps(data.as_dict(), allow_nan=False))
    assert "licensed practice" in plain["caution"]
    keys = [f["key"] for f in plain["figures"]]
    assert len(keys) == len(set(keys))
    for figure in plain["figures"]:
        assert figure["load_case"]
        assert figure["source"]
        assert figure["unit"]
        assert isinstance(figure["value"], float | None)
    assert "sag-shelf" in keys
    assert plain["mass_kg"] == pytest.approx(sum(plain["masses_kg"].values()))


def test_frame_analysis_and_closed_form_come_to_the_same_verdict() -> None:
    bench = treenail.frame_bench()
    quick, full = strength_of(bench), strength_of(bench, frame=True)
    assert (quick.method, full.method) == ("closed form", "frame analysis")
    for figure in quick.figures:
        other = full.figure(figure.key)
        assert other is not None
        assert other.holds == figure.holds
        assert 0.5 < other.value / figure.value < 2.0


def test_the_figures_are_worked_out_once() -> None:
    context = Context(bench=treenail.frame_bench())
    assert strength_data(context) is strength_data(context)


def test_checks_without_solids_load_neither_library_nor_arrays() -> None:
    code = (
        "import sys, treenail\n"
        "from treenail.checks.strength.data import strength_of\n"
        "strength_of(treenail.frame_bench())\n"
        "print([m for m in ('Pynite', 'numpy', 'scipy', 'cadquery') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


@a_few(8)
@given(frame_specs())
def test_no_bench_breaks_the_estimate(spec: FrameBenchSpec) -> None:
    try:
        bench = build_bench(spec)
    except TreenailError:
        return
    json.dumps(strength_of(bench).as_dict(), allow_nan=False)
    assert all(f.severity != "error" for f in run(bench))


def test_an_inch_bench_hears_pounds_and_inches() -> None:
    wood = "eastern white pine"
    sizes: dict[str, Any] = {"length": 900.0, "species": wood}
    sizes |= {f"{a}_{b}": {"thickness": 44} for a in ("upper", "lower") for b in ("long", "end")}
    spec = build_spec(FrameBenchSpec, sizes, units="mm")
    benches = [treenail.bench_of(spec, units=units) for units in ("mm", "in")]
    metric, inch = (next(f for f in run(b) if f.rule == "slides") for b in benches)
    # But for the gap below blind tenons, which is round in each.
    assert inch.measured == pytest.approx(metric.measured, rel=1e-3)
    assert inch.measured is not None
    assert f"{inch.measured / 4.4482216152605:.0f} lbf" in inch.message
    assert " N" not in inch.message.replace(" NOT", "")
    assert " mm" not in inch.message
    assert f"{metric.measured:.0f} N" in metric.message
    assert "lbf" not in metric.message
