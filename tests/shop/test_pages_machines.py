"""The pages: tables are whole, pictures are there, nothing that a person typed is markup."""

import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given

from tests.checks.benches import frame, section
from tests.checks.shops import shop
from tests.strategies import a_few, frame_specs
from treenail.generators.bench import Bench
from treenail.generators.build import build_bench
from treenail.shop.drawbore_sheet import drawbore_sheet
from treenail.shop.milling_plan import milling_plan
from treenail.shop.pages_machines import (
    drawbore_page,
    milling_page,
    pictures,
    setups_page,
    sheet_page,
)
from treenail.shop.setups import setups

SVG = "{http://www.w3.org/2000/svg}"


def pages(bench: Bench) -> dict[str, str]:
    return {
        "milling": milling_page(milling_plan(bench)),
        "setups": setups_page(setups(bench)),
        "drawbore": drawbore_page(drawbore_sheet(bench)),
    }


def cells(line: str) -> int:
    return len(re.findall(r"(?<!\\)\|", line))


def check_pages(bench: Bench) -> None:
    found = pages(bench)
    for text in found.values():
        widths: list[int] = []
        for line in [*text.split("\n"), ""]:
            if line.startswith("|"):
                widths.append(cells(line))
            else:
                assert len(set(widths)) <= 1
                widths = []
        assert text.endswith("\n")
        assert "None" not in text
        assert "nan" not in text.split()
    linked = set(re.findall(r"\]\(([^)]+)\)", "".join(found.values())))
    drawn = pictures(setups(bench), drawbore_sheet(bench))
    assert linked == set(drawn)
    for svg in drawn.values():
        root = ET.fromstring(svg)
        _, _, wide, high = (float(x) for x in root.attrib["viewBox"].split())
        for label in root.iter(f"{SVG}text"):
            assert 0 <= float(label.attrib["x"]) <= wide
            assert 0 <= float(label.attrib["y"]) <= high


@given(frame_specs())
@a_few(5)
def test_pages_of_any_bench(spec: Any) -> None:
    check_pages(build_bench(spec, units="mm"))


def test_pages_in_inches() -> None:
    check_pages(frame())
    text = pages(frame())["setups"]
    assert '**1 7/8"**' in text
    assert "3 passes" in text
    assert " mm" not in text
    plan = setups(frame())
    assert f"{plan.setups} set-ups, machines: {len(plan.sheets)}" in text
    assert f"{plan.part_by_part} if each part" in text
    for m in frame().timbers:
        assert m.name.replace("_", " ") in text


def test_the_sketch_says_what_the_setting_says() -> None:
    plan = setups(frame())
    drawn = pictures(plan, drawbore_sheet(frame()))
    cheeks = next(u for s in plan.sheets for u in s.setups if u.work == "cheeks")
    svg = drawn[f"saw-with-dado-stack-{cheeks.number}.svg"]
    texts = {t.text for t in ET.fromstring(svg).iter(f"{SVG}text")}
    assert {
        'stack 3/4"',
        'height 3/8"',
        'shoulder 2" from the end',
        'scale reads 1 7/8"',
        "1/8\" beyond the scale's zero",
        "cheeks: 3 passes",
    } <= texts
    holes = ET.fromstring(drawn["drawbore-1.svg"])
    texts = {t.text for t in holes.iter(f"{SVG}text")}
    assert 'post 3/4"' in texts
    assert 'tenon 11/16": 1/16" nearer the shoulder' in texts
    circles = [float(c.attrib["cx"]) for c in holes.iter(f"{SVG}circle")]
    # Post's and tenon's hole by turns; the tenon's to the left, toward the shoulder.
    assert all(tenon < post for post, tenon in zip(circles[::2], circles[1::2], strict=True))


@pytest.mark.parametrize("flange", ["far", "near"])
def test_the_sketch_is_to_scale(flange: str) -> None:
    plan = setups(frame(), shop(dado={"flange": flange, "zeroed_for": 4.0}))
    svg = pictures(plan, drawbore_sheet(frame()))["saw-with-dado-stack-3.svg"]
    boxes = list(ET.fromstring(svg).iter(f"{SVG}rect"))[1:]  # the first one is the page
    blade, fence = (float(b.attrib["x"]) for b in boxes)
    cheeks = next(u for s in plan.sheets for u in s.setups if u.work == "cheeks")
    run = dict(cheeks.places[0].marks)["shoulder from the end"]
    value = cheeks.setting("stack")
    assert value is not None
    assert value.value is not None
    assert float(boxes[0].attrib["width"]) / (fence - blade) == pytest.approx(
        value.value / run, abs=1e-3
    )


def test_a_bench_without_pegs() -> None:
    plain = frame(**section("pegs", per_joint=0))
    assert "No joint is pegged" in drawbore_page(drawbore_sheet(plain))
    check_pages(plain)


def test_a_name_is_no_markup() -> None:
    odd = replace(frame(), name="x](y) <b>|*# bench")
    for text in pages(odd).values():
        first = text.split("\n")[0]
        assert "<b>" not in first
        assert not re.search(r"(?<!\\)\]\(", first)
        assert "\\<b\\>" in first


def test_cautions_defer_to_the_manual() -> None:
    found = pages(frame())
    assert "manual" in found["milling"]
    for sheet in setups(frame()).sheets:
        assert "manual" in sheet_page(setups(frame()), sheet)
