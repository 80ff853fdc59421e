"""The JSON Schema: sound in itself, in step with the reader, and its published copy up to date."""

import json
import re
from pathlib import Path
from typing import Any

import jsonschema
import pytest
import yaml
from hypothesis import example, given
from hypothesis import strategies as st

from tests.generators.spec_mappings import mappings
from treenail.generators import schema as module
from treenail.generators.families import FAMILIES
from treenail.generators.frame_spec import FrameBenchSpec
from treenail.generators.params import params
from treenail.generators.schema import LENGTH_PATTERN, PUBLISHED, json_schema, main, schema_text
from treenail.generators.spec_file import read_spec_text
from treenail.generators.starter import starter_text
from treenail.timber.errors import OutputError, SpecError
from treenail.timber.lengths import parse_length

ROOT = Path(__file__).resolve().parents[2]
VALIDATOR = jsonschema.Draft202012Validator(json_schema())


def test_the_schema_is_a_schema() -> None:
    jsonschema.Draft202012Validator.check_schema(json_schema())
    # One family's is made of the same definitions, which a test below shows.
    jsonschema.Draft202012Validator.check_schema(json_schema("saw"))
    with pytest.raises(SpecError):
        json_schema("no such bench")


def test_the_published_copy_is_up_to_date() -> None:
    published = (ROOT / PUBLISHED).read_text(encoding="utf-8")
    assert published == schema_text(), "run `python -m treenail.generators.schema`"


def test_the_published_copy_is_written(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    with pytest.raises(OutputError):
        main()
    (tmp_path / PUBLISHED.parent).mkdir(parents=True)
    main()
    assert json.loads((tmp_path / PUBLISHED).read_text(encoding="utf-8")) == json_schema()
    assert [path.name for path in (tmp_path / PUBLISHED.parent).iterdir()] == [PUBLISHED.name]
    assert capsys.readouterr().out == f"{PUBLISHED}\n"


@pytest.mark.parametrize("family", FAMILIES)
@pytest.mark.parametrize("units", ["in", "mm"])
def test_the_starter_is_valid(family: str, units: Any) -> None:
    starter = yaml.safe_load(starter_text(family, units))
    VALIDATOR.validate(starter)
    jsonschema.Draft202012Validator(json_schema(family)).validate(starter)


def test_every_parameter_has_its_reason_and_default() -> None:
    for name, definition in json_schema()["$defs"].items():
        if name == "species" or "unitless." in name or "properties" not in definition:
            continue
        for field, property_ in definition["properties"].items():
            if property_ is not True and field != "species_added":
                assert property_["description"]
                is_section = {"type": "null"} in property_.get("anyOf", ())
                assert is_section or "default" in property_, (name, field)
    frame = json_schema()["$defs"]["in.FrameBenchSpec"]["properties"]
    assert set(params(FrameBenchSpec)) <= set(frame)
    assert frame["upper_long"]["default"] == {"haunch": True}
    assert json_schema()["$defs"]["in.Top"]["properties"]["thickness"]["default"] == "2 7/8"


def test_what_families_share_stands_once() -> None:
    definitions = json_schema()["$defs"]
    for units in ("in", "mm"):
        contents = [json.dumps(v) for k, v in definitions.items() if units in k.split(".")]
        assert len(contents) == len(set(contents)) > len(FAMILIES)
    assert schema_text().count(json.dumps(LENGTH_PATTERN, ensure_ascii=False)) == 1
    # Two classes have this name; neither stands for the other.
    feet = [v["properties"] for k, v in definitions.items() if k.endswith("in.Feet")]
    assert len(feet) == 2
    assert feet[0] != feet[1]


def test_the_sections_of_one_family_are_those_among_all() -> None:
    def whole(schema: Any, definitions: dict[str, Any]) -> Any:
        if isinstance(schema, dict) and "$ref" in schema:
            return whole(definitions[schema["$ref"].removeprefix("#/$defs/")], definitions)
        if isinstance(schema, dict):
            return {name: whole(value, definitions) for name, value in schema.items()}
        return [whole(x, definitions) for x in schema] if isinstance(schema, list) else schema

    every = json_schema()
    branches = whole(every["allOf"], every["$defs"])
    for family in FAMILIES:
        alone = json_schema(family)
        for branch in whole(alone["allOf"], alone["$defs"]):
            assert branch in branches


SPECS = sorted([*ROOT.glob("examples/*.yaml"), *ROOT.glob("tests/broken/*.yaml")])
REFUSED = sorted(ROOT.glob("tests/broken/refused/*.yaml"))
#: What no schema can see: how fields go together, known woods and bolts, a field given twice, and
#: texts that only the reader understands.
ONLY_THE_READER_REFUSES = {
    "damp-and-dry",
    "dog-holes-off-the-top",
    "no-room-between-posts",
    "no-such-bolt",
    "no-such-wood",
    "not-a-number",
    "sections-too-wide",
    "stretcher-off-the-post",
    "stretcher-over-the-post",
    "too-long-a-tenon",
    "too-thick-a-tenon",
    "twice",
    "wrong-unit",
}


def test_every_spec_file_is_valid() -> None:
    refused = {
        path.stem
        for path in SPECS
        if not VALIDATOR.is_valid(yaml.safe_load(path.read_text(encoding="utf-8")))
    }
    assert refused == {"skerry-point-shop"}, "a shop file is no spec"
    assert len(SPECS) > 60


def test_refused_spec_files_are_invalid_where_a_schema_can_see_it() -> None:
    passed = {
        path.stem
        for path in REFUSED
        if VALIDATOR.is_valid(yaml.safe_load(path.read_text(encoding="utf-8")))
    }
    assert passed == ONLY_THE_READER_REFUSES
    assert len(REFUSED) > len(passed)


@pytest.mark.parametrize(
    "body",
    [
        "lenght: 60",
        "length: 1",
        "length: 10000",
        "length: true",
        "length: bananas",
        "length: auto",
        "length: [60]",
        "top: {sections: 2.5}",
        "top: {sections: 13}",
        "top: {tihckness: 3}",
        "top: 3",
        "fit: loose",
        "shelf: {enabled: 1}",
        "moisture: {at_build: 40}",
        "name: a/b",
        'name: ""',
        f"name: {'x' * 61}",
        "species_added: [{name: elm, group: hardwod}]",
        "species_added: [{name: elm, group: hardwood, colour: 1}]",
    ],
)
def test_schema_and_reader_refuse_alike(body: str) -> None:
    text = f"bench: frame\nunits: in\n{body}\n"
    with pytest.raises(SpecError):
        read_spec_text(text)
    assert not VALIDATOR.is_valid(yaml.safe_load(text))


@pytest.mark.parametrize(
    "body",
    [
        "length: 60.5",
        "length: 5' 3 1/2\"",
        "length: 1.6 m",
        "top: {sections: auto, thickness: 60 mm}",
        "top:",
        "moisture: {at_build: 8 %}",
        "shelf: {enabled: true}",
        "species_added:",
    ],
)
def test_schema_and_reader_accept_alike(body: str) -> None:
    text = f"bench: frame\nunits: in\n{body}\n"
    read_spec_text(text)
    VALIDATOR.validate(yaml.safe_load(text))


def test_the_range_follows_the_units() -> None:
    assert VALIDATOR.is_valid({"bench": "frame", "units": "in", "height": 34})
    assert not VALIDATOR.is_valid({"bench": "frame", "units": "mm", "height": 34})
    assert VALIDATOR.is_valid({"bench": "frame", "units": "mm", "height": 850})
    assert not VALIDATOR.is_valid({"bench": "frame", "height": 850})
    assert VALIDATOR.is_valid({"bench": "frame", "height": "850 mm"})


@given(mappings(FrameBenchSpec))
def test_what_the_reader_takes_the_schema_takes(given_mm: dict[str, Any]) -> None:
    def spoken(values: dict[str, Any]) -> dict[str, Any]:
        return {
            name: spoken(value) if isinstance(value, dict) else "auto" if value is None else value
            for name, value in values.items()
        }

    VALIDATOR.validate({"bench": "frame", "units": "mm"} | spoken(given_mm))


@given(st.text("0123456789 ./-½¾⁄'\"mcinft+ ", max_size=14))
@example("2 ft 6-1/2 in.")
@example("2'6½\"")
@example("1 ⁄ 2 mm")
@example("3 fathom")
@example("-.5")
def test_the_pattern_takes_every_length(text: str) -> None:
    try:
        parse_length(text, unit="in")
    except SpecError:
        return
    assert re.search(LENGTH_PATTERN, text)


def test_the_pattern_is_quick_on_hostile_text() -> None:
    for text in ("1 " * 32, "1-" * 32 + "!", "'" * 64, "1" * 63 + "!"):
        assert re.search(LENGTH_PATTERN, text) or text[-1] in "!'"


def test_the_regular_expressions_are_for_any_reader() -> None:
    # Lookbehind, named groups and escaped quotes are Python's, not ECMA-262's.
    patterns = re.findall(r'"pattern": ("(?:[^"\\]|\\.)*")', schema_text())
    assert patterns
    for pattern in {json.loads(p) for p in patterns}:
        assert not re.search(r"\(\?|\\[^sd+.]", pattern), pattern
    assert module.PUBLISHED.suffix == ".json"
