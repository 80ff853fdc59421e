"""Schemas of glue files and racks: sound, in step with the readers, published copies up to date."""

import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest
import yaml

from treenail.shop import file_schemas
from treenail.shop.file_schemas import FOLDER, SCHEMAS, glue_schema, main, schema_text
from treenail.shop.glue import glue_fields, glue_starter_text, read_glue
from treenail.shop.rack import read_rack_text
from treenail.shop.rack_text import rack_schema, rack_starter_text
from treenail.timber.errors import OutputError, SpecError

ROOT = Path(__file__).resolve().parents[2]
GLUE = jsonschema.Draft202012Validator(glue_schema())
RACK = jsonschema.Draft202012Validator(rack_schema())


@pytest.mark.parametrize("which", SCHEMAS)
def test_the_published_copies_are_up_to_date(which: str) -> None:
    jsonschema.Draft202012Validator.check_schema(SCHEMAS[which]())
    published = (ROOT / FOLDER / f"{which}.schema.json").read_text(encoding="utf-8")
    assert published == schema_text(which), "run `python -m treenail.shop.file_schemas`"


def test_they_are_written_in_the_projects_folder_only(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    with pytest.raises(OutputError):
        main()
    (tmp_path / FOLDER).mkdir(parents=True)
    main()
    for which in file_schemas.SCHEMAS:
        data = json.loads((tmp_path / FOLDER / f"{which}.schema.json").read_text())
        assert data == SCHEMAS[which]()


@pytest.mark.parametrize("units", ["in", "mm"])
def test_starters_are_valid(units: Any) -> None:
    GLUE.validate(yaml.safe_load(glue_starter_text(units)))
    text = rack_starter_text(units, "yaml")
    RACK.validate(yaml.safe_load(text))
    assert read_rack_text(text) == read_rack_text(rack_starter_text(units, "csv"))
    assert len(read_rack_text(text)) == 5


def test_starters_in_no_such_unit() -> None:
    with pytest.raises(SpecError, match="unit"):
        rack_starter_text("ft")  # type: ignore[arg-type]
    with pytest.raises(SpecError, match="form"):
        rack_starter_text("in", "odt")  # type: ignore[arg-type]


@pytest.mark.parametrize("units", ["in", "mm"])
def test_the_limits_of_bare_numbers_are_the_readers(units: str) -> None:
    """A bare number at each limit is read; a little beyond it, both refuse."""
    properties = glue_schema()["$defs"][f"glue.{units}"]["properties"]
    tried = 0
    for name in glue_fields():
        number = next((f for f in properties[name].get("anyOf", []) if "minimum" in f), None)
        if number is None:
            continue
        low, high = number["minimum"], number["maximum"]
        over = high + max(1.0, 0.01 * abs(high))
        for value, good in ((low, True), (high, True), (over, False)):
            # The schema's limits give way a billionth, for the last bits of a conversion.
            inner = low + 1e-6 * (high - low) if value == low and value else value
            inner = high - 1e-6 * (high - low) if value == high else inner
            written = int(inner) if number["type"] == "integer" else float(f"{inner:.9g}")
            text = f"units: {units}\nmedium_from: 0.1\ndense_from: 1.5\n"
            if name in ("medium_from", "dense_from"):
                text = f"units: {units}\n" + ("dense_from: 1.5\n" if name == "medium_from" else "")
                text += "medium_from: 0.1\n" if name == "dense_from" else ""
            text += (
                f"{name}: {written:.10f}\n"
                if isinstance(written, float)
                else (f"{name}: {written}\n")
            )
            assert GLUE.is_valid(yaml.safe_load(text)) is good, (name, written)
            if good:
                read_glue(text)
            else:
                with pytest.raises(SpecError):
                    read_glue(text)
            tried += 1
    assert tried > 30


@pytest.mark.parametrize(
    "text",
    [
        "units: ft\n",
        "name: x\n",
        "units: in\nstickiness: 3\n",
        "units: in\npeople: 1.5\n",
        "units: in\ndrawbored: wet\n",
        "units: in\nlight: strong\n",
        "units: in\nopen_time: -5\n",
        "units: in\nclamp_spacing: wide\n",
    ],
)
def test_slips_in_a_glue_file(text: str) -> None:
    assert not GLUE.is_valid(yaml.safe_load(text))
    with pytest.raises(SpecError) as caught:
        read_glue(text)
    assert caught.value.allowed


BOARD = "units: in\nboards:\n  - {name: a, species: white ash, quarter: 8/4, width: 8, length: 96"


@pytest.mark.parametrize(
    "text",
    [
        "boards: []\n",
        "units: in\nboards: 3\n",
        "units: in\nshelf: 1\nboards: []\n",
        "units: in\nboards:\n  - {name: a}\n",
        BOARD + ", colour: red}\n",
        BOARD + ", count: 0}\n",
        BOARD + ", price: -1}\n",
        BOARD.replace("8/4", "7/4") + "}\n",
        BOARD.replace("name: a", "name: =a") + "}\n",
        BOARD + ", defects: [{what: knot, from: 3}]}\n",
        BOARD + ", defects: [{what: knot, from: 3, until: 5}]}\n",
    ],
)
def test_slips_in_a_rack(text: str) -> None:
    assert not RACK.is_valid(yaml.safe_load(text))
    with pytest.raises(SpecError):
        read_rack_text(text)


def test_a_good_rack_in_yaml() -> None:
    text = BOARD + ", count: 2, price: 10.5, defects: [{what: knot, from: 3, to: 5, high: 2}]}\n"
    RACK.validate(yaml.safe_load(text))
    assert len(read_rack_text(text)) == 2
