"""The shop's machines and a whole bench: what the data tell, and what the rules say."""

import dataclasses
from typing import Any

import pytest

from tests.checks.shops import bench, found, machines, shop
from treenail.checks import load_rules
from treenail.checks.machines import machine_data
from treenail.checks.milling import milling_data
from treenail.checks.rules import Context
from treenail.checks.shop_file import DEFAULT_SHOP, METRIC_SHOP, ShopFile, read_shop_text
from treenail.checks.shop_machines import NAMES

load_rules()
NO = {"have": False}
RULES_HERE = (
    "cut-not-makeable",
    "chisel-missing",
    "drill-missing",
    "corners-by-hand",
    "planer-limit",
    "jointer-limit",
    "short-piece",
)
# --- the default bench in the guessed shops


@pytest.mark.parametrize("units, guessed", [("in", DEFAULT_SHOP), ("mm", METRIC_SHOP)])
def test_the_guessed_shops_make_the_default_bench_quietly(units: str, guessed: ShopFile) -> None:
    context = Context(bench=dataclasses.replace(bench(), units=units))
    rows = machine_data(context)
    assert all(row.how != "not" and not row.change for row in rows)
    assert {row.machine for row in rows} <= set(NAMES.values())
    for code in RULES_HERE:
        assert found(code, context) == [], code
    assert rows == machine_data(Context(bench=context.bench, shop=guessed))


def test_every_cut_stands_once_in_the_data() -> None:
    context = Context(bench=bench())
    listed = sorted(
        (member, joint, row.purpose, face)
        for row in machine_data(context)
        for member, joint, face in zip(row.members, row.joints, row.faces, strict=True)
    )
    cuts = sorted(
        (m.name, c.joint, c.purpose, str(c.face))
        for m in context.bench.timbers
        for c in context.bench.cuts[m.name]
    )
    assert listed == cuts


# --- rules


def test_a_cut_beyond_reach_is_an_error_only_where_the_shop_said_so() -> None:
    short = {"reach": 40}
    asked = {"mortiser": short, "order": {"mortises": ["mortiser"]}}
    b = bench()
    given_shop = shop(**asked)
    findings = found("cut-not-makeable", Context(bench=b, shop=given_shop))
    assert len(findings) == 16
    assert {f.severity for f in findings} == {"error"}
    assert {f.joint for f in findings} == {j.name for j in Context(bench=b).tenons}
    assert all("40 mm" in f.remedy and "mortiser" in f.remedy for f in findings)
    guess = dataclasses.replace(given_shop, given=False)
    assert {f.severity for f in found("cut-not-makeable", Context(bench=b, shop=guess))} == {
        "warning"
    }
    # The file speaks of one machine; the other's reach stays a guess.
    deep = bench("mm", posts={"thickness": 200, "width": 200}, **{
        key: {"tenon_length": 120, "height": h}
        for key, h in (("lower_long", 100), ("lower_end", 300))
    })  # fmt: skip
    text = "units: mm\nmortiser: {reach: 40}\norder: {mortises: [mortiser, hand]}\n"
    mixed = found("cut-not-makeable", Context(bench=deep, shop=read_shop_text(text)))
    assert mixed
    assert {f.severity for f in mixed if "mortise" in f.message} == {"warning"}
    both = read_shop_text(text + "hand: {reach: 40}\n")
    sure = found("cut-not-makeable", Context(bench=deep, shop=both))
    assert {f.severity for f in sure if "mortise" in f.message} == {"error"}


def test_no_machine_at_all_is_told_too() -> None:
    (first, *_) = found("cut-not-makeable", Context(bench=bench(), shop=shop(order={"tenons": []})))
    assert "none is there for it" in first.message
    assert first.as_dict()["remedy"]


def test_each_missing_tool_has_one_rule() -> None:
    b = bench("in")
    cases = {
        "chisel-missing": shop(mortiser={"chisels": [30]}, order={"mortises": ["mortiser"]}),
        "drill-missing": shop(
            drill_press={"bits": [], "long_bits": [], "flat_bits": []},
            order={"holes": ["drill_press"]},
        ),
        "cut-not-makeable": shop(dado={"height": 5}, order={"tenons": ["dado"]}),
    }
    for code, given_shop in cases.items():
        context = Context(bench=b, shop=given_shop)
        assert found(code, context)
        for other in cases:
            assert other == code or not found(other, context)
    missing = found("drill-missing", Context(bench=b, shop=cases["drill-missing"]))
    assert {f.severity for f in missing} == {"warning"}, "a bit's slack is our own choice"


def test_a_mortise_between_chisels_takes_two_passes() -> None:
    b = bench()  # tenons of 1 in
    given_shop = shop(mortiser={"chisels": [12.7, 19.05]})
    findings = found("chisel-missing", Context(bench=b, shop=given_shop))
    assert {f.joint for f in findings} == {j.name for j in Context(bench=b).tenons}
    assert {f.severity for f in findings} == {"advice"}
    assert all("19.05 mm" in f.remedy for f in findings)
    guess = dataclasses.replace(given_shop, given=False)
    assert found("chisel-missing", Context(bench=b, shop=guess)) == []


def test_hands_finish_what_a_router_cuts_once_for_alike_ones() -> None:
    given_shop = shop(mortiser=NO, router={"reach": 60}, saw={"height": 50})
    findings = found("corners-by-hand", Context(bench=bench(), shop=given_shop))
    mortises = [f for f in findings if " mortise," in f.message]
    assert sum(int(f.message.split(" x ")[0]) for f in mortises) == 16
    assert len(mortises) == 2
    assert all(f.severity == "advice" and "Square the corners" in f.remedy for f in mortises)


# --- milling


def test_every_member_is_flattened_and_thicknessed_once() -> None:
    b = bench()
    for step in ("flatten", "thickness"):
        names = [n for m in milling_data(Context(bench=b)) if m.step == step for n in m.members]
        assert sorted(names) == sorted(t.name for t in b.timbers)


def test_a_top_section_wider_than_the_planer_is_told_with_its_remedy() -> None:
    b = bench()
    wide = max(m.width for m in b.timbers if m.role == "top section")
    assert found("planer-limit", Context(bench=b, shop=shop(planer={"width": wide}))) == []
    context = Context(bench=b, shop=shop(planer={"width": wide - 1}))
    findings = found("planer-limit", context)
    assert {b.by_name[f.member].role for f in findings} == {"top section"}
    for f in findings:
        assert f.severity == "warning"
        assert f.measured == pytest.approx(wide)
        assert "top.planer_width" in f.remedy
    # What the remedy says is enough.
    mended = bench(top={"planer_width": wide - 1})
    assert found("planer-limit", Context(bench=mended, shop=context.shop)) == []
    guess = ShopFile(machines=machines(planer={"width": wide - 1}), given=False)
    assert {f.severity for f in found("planer-limit", Context(bench=b, shop=guess))} == {"advice"}


@pytest.mark.parametrize("planer, limit", [({"thickest": 40}, 40.0), ({"thinnest": 30}, 30.0)])
def test_the_planers_thickness_counts_both_ways(planer: dict[str, Any], limit: float) -> None:
    shelf = bench(shelf={"enabled": True})
    findings = found("planer-limit", Context(bench=shelf, shop=shop(planer=planer)))
    assert findings
    assert {f.limit for f in findings} == {limit}
    assert all("thick" in f.message and "by hand" in f.remedy for f in findings)


def test_boards_wider_than_the_jointer_are_told() -> None:
    b = bench()
    context = Context(bench=b, shop=shop(jointer={"width": 120}))
    findings = found("jointer-limit", context)
    # 5 in stretchers are over; the top's strips and the posts' plies are not.
    assert {b.by_name[f.member].role for f in findings} == {"stretcher"}
    assert found("jointer-limit", Context(bench=b, shop=shop(jointer=NO))) == []


def test_short_pieces_are_kept_off_both_machines() -> None:
    b = bench()
    for machine in ("planer", "jointer"):
        context = Context(bench=b, shop=shop(**{machine: {"shortest": 600}}))
        findings = found("short-piece", context)
        assert {f.member for f in findings} == {m.name for m in b.timbers if m.length < 600}
        assert all(machine in f.message and f.severity == "warning" for f in findings)
        assert "cut it to length last" in findings[0].as_dict()["remedy"]
    both = shop(planer={"shortest": 600}, jointer={"shortest": 600})
    names = [f.member for f in found("short-piece", Context(bench=b, shop=both))]
    assert sorted(names) == sorted(m.name for m in b.timbers if m.length < 600)
    by_hand = shop(planer={"have": False, "shortest": 600}, jointer=NO)
    assert found("short-piece", Context(bench=b, shop=by_hand)) == []
