"""The starter file: every parameter in it, and reading it gives the defaults again."""

import dataclasses
from fnmatch import fnmatchcase
from typing import Any

import pytest
import yaml
from hypothesis import example, given
from hypothesis import strategies as st

from tests.generators.spec_mappings import assert_same, mappings
from tests.strategies import a_few
from treenail.generators.families import FAMILIES
from treenail.generators.frame_spec import FrameBenchSpec, Top
from treenail.generators.spec_file import build_spec, read_spec_text
from treenail.generators.spec_values import dotted_fields
from treenail.generators.starter import MAIN, spec_length, starter_text
from treenail.generators.usual_sizes import usual_spec
from treenail.timber.errors import SpecError
from treenail.timber.lengths import parse_length

EVERY = [(family, units) for family in FAMILIES for units in ("in", "mm")]


@pytest.mark.parametrize("family, units", EVERY)
def test_reading_the_starter_gives_the_default_spec(family: str, units: Any) -> None:
    text = starter_text(family, units)
    document = read_spec_text(text)
    assert (document.family, document.units) == (family, units)
    assert_same(document.spec, usual_spec(family, units))
    assert document.own_species == ()


@pytest.mark.parametrize("family, units", EVERY)
def test_the_starter_has_every_parameter_and_fits_a_screen(family: str, units: Any) -> None:
    text = starter_text(family, units)
    assert set(dotted_fields(FAMILIES[family])) <= set(read_spec_text(text).lines)
    assert max(len(line) for line in text.splitlines()) <= 100
    assert text.endswith("\n")
    assert not any(line != line.rstrip() for line in text.splitlines())


@pytest.mark.parametrize("family, units", EVERY)
def test_a_short_starter_is_a_short_way_to_the_same_spec(family: str, units: Any) -> None:
    text = starter_text(family, units, short=True)
    document = read_spec_text(text)
    assert_same(document.spec, usual_spec(family, units))
    assert len(text.splitlines()) < 170
    assert {"length", "species", "top.thickness"} <= set(document.lines)
    assert not set(document.lines) - set(read_spec_text(starter_text(family, units)).lines)


def test_every_name_of_the_short_starter_is_some_familys() -> None:
    fields = [path.split(".") for kind in FAMILIES.values() for path in dotted_fields(kind)]
    for main in MAIN:
        names = main.split(".")
        same_depth = [path for path in fields if len(path) == len(names)]
        assert any(all(map(fnmatchcase, path, names)) for path in same_depth), main


def test_fractions_in_inches_and_plain_numbers_in_millimetres() -> None:
    inches, millimetres = starter_text("frame", "in"), starter_text("frame", "mm")
    assert "  thickness: 2 7/8\n" in inches
    assert "  thickness: 75\n" in millimetres
    assert "75 mm takes 50 mm tenons from two sides" in millimetres
    assert "  sections: auto\n" in inches
    assert 'top_species: ""\n' in inches
    assert "[300 mm to 6000 mm]" in millimetres


def test_the_woods_in_the_starters_remark_can_be_used() -> None:
    text = starter_text("frame", "in")
    start = text.index("# species_added:")
    text = text[:start] + "\n".join(line[2:] for line in text[start:].splitlines())
    (wood,) = read_spec_text(text).own_species
    assert wood.name == "skerry elm"


@a_few(8)
@given(mappings(FrameBenchSpec), st.sampled_from(["in", "mm"]))
@example({"name": "no"}, "in")
@example({"name": "1 9"}, "mm")
@example({"name": "- a"}, "mm")
@example({"top": {"thickness": 20.0}, "length": 6000.0}, "in")
def test_any_spec_can_be_written_and_read_again(mapping: dict[str, Any], units: Any) -> None:
    spec = build_spec(FrameBenchSpec, mapping, units="mm")
    text = starter_text("frame", units, spec=spec)
    assert_same(read_spec_text(text).spec, spec)
    # Another reader of YAML (an editor's) sees text where there is text.
    assert yaml.safe_load(text)["name"] == spec.name


@given(st.floats(0, 6000), st.sampled_from(["in", "mm"]))
def test_a_written_length_reads_back(mm: float, units: Any) -> None:
    assert parse_length(spec_length(mm, units), unit=units) == pytest.approx(mm, abs=1e-9, rel=0)


@given(st.integers(0, 32 * 240))
def test_thirty_seconds_are_written_as_fractions(steps: int) -> None:
    written = spec_length(steps * 25.4 / 32, "in")
    assert "." not in written
    assert parse_length(written, unit="in") == pytest.approx(steps * 25.4 / 32, abs=1e-9)


def test_what_no_starter_can_be_written_for() -> None:
    with pytest.raises(SpecError, match="no bench family"):
        starter_text("frmae", "in")
    with pytest.raises(SpecError, match="no unit"):
        starter_text("frame", "cm")  # type: ignore[arg-type]
    with pytest.raises(SpecError, match="not the spec"):
        starter_text("frame", "in", spec=Top())
    changed = dataclasses.replace(FrameBenchSpec(), name="long one")
    assert "name: long one\n" in starter_text("frame", "in", spec=changed)
