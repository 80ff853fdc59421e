"""Specs without ``units:``: every length brings its own, and most of them say what is shown."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import jsonschema
import pytest
import yaml

from treenail.generators.explained import parameter_rows
from treenail.generators.families import FAMILIES, FILE_FIELDS
from treenail.generators.params import Param, params
from treenail.generators.schema import json_schema
from treenail.generators.spec_file import read_spec_text
from treenail.generators.spec_values import range_text
from treenail.generators.starter import value_text
from treenail.timber.errors import SpecError

VALIDATORS = {family: jsonschema.Draft202012Validator(json_schema(family)) for family in FAMILIES}


def lines(spec: Any, units: Any, indent: str = "") -> Iterator[str]:
    """A whole spec in YAML, every length and temperature with its unit."""
    for name, param in params(spec).items():
        value = getattr(spec, name)
        if param.kind == "section":
            yield f"{indent}{name}:"
            yield from lines(value, units, indent + "  ")
        else:
            unit = f" {units}" if param.kind == "length" and value is not None else ""
            yield f"{indent}{name}: {value_text(param, value, units)}{unit}"


def measured(
    kind: type[Any], path: tuple[str, ...] = ()
) -> Iterator[tuple[tuple[str, ...], Param]]:
    """Every length and temperature of a spec, by where it stands."""
    for name, param in params(kind).items():
        if param.kind == "section":
            yield from measured(type(param.default), (*path, name))
        elif param.kind in ("length", "lengths", "temperature"):
            yield (*path, name), param


def one(family: str, path: tuple[str, ...], value: str) -> str:
    """A spec that says one thing; on its last line."""
    body = [f"{'  ' * depth}{name}:" for depth, name in enumerate(path)]
    return "\n".join([f"bench: {family}", *body]) + f" {value}\n"


@pytest.mark.parametrize("family", FAMILIES)
@pytest.mark.parametrize("units", ["in", "mm"])
def test_a_whole_spec_reads_the_same_without(family: str, units: Any) -> None:
    text = "\n".join([f"bench: {family}", *lines(FAMILIES[family](), units)])
    bare = read_spec_text(text)
    assert bare.spec == FAMILIES[family]()
    assert bare.units == units
    other = "mm" if units == "in" else "in"
    said = read_spec_text(f"{text}\nunits: {other}\n")
    assert (said.spec, said.units) == (bare.spec, other)
    VALIDATORS[family].validate(yaml.safe_load(text))


@pytest.mark.parametrize("family", FAMILIES)
def test_every_bare_number_is_refused_where_it_stands(family: str) -> None:
    places = list(measured(FAMILIES[family]))
    assert len(places) > 15
    for number, (path, param) in enumerate(places):
        warm = param.kind == "temperature"
        bare, with_unit = ("20", "20 C") if warm else ("2 1/2", "2 1/2 in")
        if param.kind == "lengths":
            bare, with_unit = f"[{bare}]", f"[{with_unit}]"
        text = one(family, path, bare)
        with pytest.raises(SpecError, match="has no unit, and the spec has no `units:`") as caught:
            read_spec_text(text, file="mine.yaml")
        field = ".".join(path) + (".1" if param.kind == "lengths" else "")
        assert (caught.value.file, caught.value.field) == ("mine.yaml", field)
        assert caught.value.line == 1 + len(path)
        assert "units: in" in str(caught.value.allowed)
        try:
            read_spec_text(one(family, path, with_unit))
        except SpecError as error:
            assert "no unit" not in str(error)  # noqa: PT017
        if number % 8 == 0:
            valid = VALIDATORS[family].is_valid
            assert not valid(yaml.safe_load(text))
            assert not valid(yaml.safe_load(one(family, path, "20")))
            low, high = (value_text(param, x, "mm") for x in (param.low, param.high))
            assert valid(yaml.safe_load(one(family, path, f"{low} mm" if not warm else high)))


@pytest.mark.parametrize(
    ("body", "units"),
    [
        ("", "mm"),
        ("length: 60 in", "in"),
        ("length: 1500 mm", "mm"),
        ("length: 60 in\ndepth: 600 mm", "mm"),
        ("length: 5 ft\ndepth: 600 mm\ntop: {thickness: 2 7/8 in}", "in"),
        ("length: 1.5 m\ndepth: 60 cm\ntop: {thickness: 2 7/8 in}", "mm"),
        ("length: 5' 1\"\nmoisture: {winter_temperature: 20 C}", "in"),
        ("length: 60 in\ntop: {sections: auto}\nname: 38 mm", "in"),
        ("moisture: {winter_temperature: 68 F}", "mm"),
    ],
)
def test_most_of_the_lengths_say_it(body: str, units: str) -> None:
    assert read_spec_text(f"bench: frame\n{body}\n").units == units


def test_messages_are_in_those_units() -> None:
    with pytest.raises(SpecError) as caught:
        read_spec_text("bench: frame\nlength: 60 in\ndepth: 3 m\nheight: 34 in\n")
    assert '"' in str(caught.value.allowed)
    assert "in mm it would fit" not in str(caught.value)


def test_a_slip_in_the_word_units_is_told() -> None:
    with pytest.raises(SpecError, match="did you mean 'units'"):
        read_spec_text("bench: frame\nunit: mm\nlength: 1500\n")


def test_the_file_s_own_fields_are_explained() -> None:
    for name, why in FILE_FIELDS.items():
        (row,) = parameter_rows(name)
        assert row["why"] == why
        assert row["allowed"]
    assert "left out" in parameter_rows("units")[0]["why"]


@pytest.mark.parametrize("written", ["12", "12°", "'12 °'", "12.0"])
def test_angles_are_in_degrees(written: str) -> None:
    text = f"bench: saw\nlegs: {{splay: {written}}}\n"
    assert read_spec_text(text).spec.legs.splay == 12.0
    VALIDATORS["saw"].validate(yaml.safe_load(text))


@pytest.mark.parametrize(
    ("written", "words"),
    [
        ("31", "'31' is too large; allowed: 0 to 30°"),
        ("12 %", "'12 %' is not an angle in degrees; allowed: 0 to 30°"),
        ("[12]", "a list stands where an angle in degrees belongs; allowed: 0 to 30°"),
        ("auto", "this angle can't be left to auto; allowed: 0 to 30°"),
    ],
)
def test_what_is_no_such_angle(written: str, words: str) -> None:
    text = f"bench: saw\nlegs: {{splay: {written}}}\n"
    with pytest.raises(SpecError) as caught:
        read_spec_text(text)
    assert str(caught.value).endswith(words)
    assert not VALIDATORS["saw"].is_valid(yaml.safe_load(text))


def test_the_range_of_every_angle_has_its_sign() -> None:
    angles = [
        param
        for spec in FAMILIES.values()
        for section in params(spec).values()
        if section.kind == "section"
        for param in params(section.default).values()
        if param.kind == "angle"
    ]
    assert angles
    assert all(range_text(param, "in").endswith("°") for param in angles)
