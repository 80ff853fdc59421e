"""From the air of winter and summer to moisture contents, and temperatures in spec files."""

import dataclasses
import json
from typing import Any

import jsonschema
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

import treenail
from tests.strategies import a_few
from treenail.generators.climate import Air, room_of, seasons_of
from treenail.generators.frame_spec import FrameBenchSpec, Moisture
from treenail.generators.schema import json_schema
from treenail.generators.spec_file import read_spec_text
from treenail.generators.spec_values import build_spec
from treenail.generators.starter import starter_text
from treenail.timber.errors import SpecError
from treenail.timber.moisture import emc

VALIDATOR = jsonschema.Draft202012Validator(json_schema())
airs = st.builds(Air, st.floats(0, 50), st.floats(5, 95))


def moisture(**given_fields: float) -> Moisture:
    return dataclasses.replace(Moisture(), **given_fields)


def test_moisture_contents_as_they_are_given() -> None:
    room = room_of(Moisture())
    assert dataclasses.astuple(room.seasons) == (8.0, 6.0, 11.0)
    assert (room.winter, room.summer, room.driest_in) == (None, None, "winter")


@given(winter=airs, summer=airs, share=st.floats(0, 1))
def test_both_airs_give_both_limits(winter: Air, summer: Air, share: float) -> None:
    low, high = sorted(emc(a.temperature, a.humidity / 100) for a in (winter, summer))
    built = min(max(low + share * (high - low), low), high)
    room = room_of(
        moisture(
            at_build=built,
            winter_temperature=winter.temperature,
            winter_humidity=winter.humidity,
            summer_temperature=summer.temperature,
            summer_humidity=summer.humidity,
        )
    )
    assert (room.seasons.driest, room.seasons.wettest) == (low, high)
    assert room.seasons.at_build == built
    dry = room.winter if room.driest_in == "winter" else room.summer
    assert dry is not None
    assert dry.moisture == low


@given(air=airs)
def test_one_air_takes_the_place_of_one_limit(air: Air) -> None:
    assume(air.moisture <= 8.0)
    winter = moisture(winter_temperature=air.temperature, winter_humidity=air.humidity)
    assert dataclasses.astuple(seasons_of(winter)) == (8.0, air.moisture, 11.0)


def test_an_unheated_shop_may_be_driest_in_summer() -> None:
    room = room_of(
        moisture(
            at_build=13.0,
            winter_temperature=4.0,
            winter_humidity=80.0,
            summer_temperature=22.0,
            summer_humidity=60.0,
        )
    )
    assert room.driest_in == "summer"


@pytest.mark.parametrize("season", ["winter", "summer"])
@pytest.mark.parametrize("half, other", [("temperature", "humidity"), ("humidity", "temperature")])
def test_half_an_air_is_refused(season: str, half: str, other: str) -> None:
    with pytest.raises(SpecError, match=f"the {season}'s {half} is given without its {other}") as e:
        treenail.frame_bench(moisture={f"{season}_{half}": 30.0})
    assert e.value.field == f"moisture.{season}_{other}"


@pytest.mark.parametrize(
    "given_fields, field, words",
    [
        ({"at_build": 5.0}, "moisture.at_build", "not between the driest 6 %"),
        ({"driest": 12.0}, "moisture.driest", "more than the wettest"),
        (
            {"winter_temperature": 5.0, "winter_humidity": 85.0},
            "moisture.winter_humidity",
            "in the winter's air wood comes to",
        ),
        (
            {"summer_temperature": 30.0, "summer_humidity": 20.0},
            "moisture.driest",
            "more than the wettest",
        ),
        (
            {"winter_temperature": 20.0, "winter_humidity": 48.0},
            "moisture.at_build",
            "by the air of winter",
        ),
    ],
)
def test_what_contradicts_itself(given_fields: dict[str, float], field: str, words: str) -> None:
    with pytest.raises(SpecError, match=words) as error:
        seasons_of(moisture(**given_fields))
    assert error.value.field == field
    assert error.value.allowed


def test_the_range_that_is_named_is_allowed() -> None:
    air = {"winter_temperature": 20.0, "winter_humidity": 48.0}
    with pytest.raises(SpecError) as error:
        seasons_of(moisture(**air))
    for end in str(error.value.allowed).removesuffix(" %").split(" to "):
        assert seasons_of(moisture(at_build=float(end), **air)).at_build == float(end)


@pytest.mark.parametrize(
    "units, text, celsius",
    [
        ("in", "68 F", 20.0),
        ("in", "68", 20.0),
        ("mm", "20", 20.0),
        ("mm", "68 °F", 20.0),
        ("in", "20 C", 20.0),
        ("in", "20degC", 20.0),
        ("in", "122", 50.0),
        ("mm", "0 C", 0.0),
        ("in", "auto", None),
    ],
)
def test_temperatures_in_a_file(units: str, text: str, celsius: float | None) -> None:
    head = f"bench: frame\nunits: {units}\n"
    body = f"{head}moisture:\n  winter_temperature: {text}\n  winter_humidity: 35 %\n"
    assert read_spec_text(body).spec.moisture.winter_temperature == celsius
    plain: Any = text if not text.isdigit() else int(text)
    VALIDATOR.validate(
        {"bench": "frame", "units": units, "moisture": {"winter_temperature": plain}}
    )


@pytest.mark.parametrize(
    "units, text, words",
    [
        ("in", "20", ["too cold", "counts as F", "32 to 122 F, or auto", "line 4"]),
        ("mm", "68", ["too warm", "counts as C", "0 to 50 C"]),
        ("mm", "200 F", ["too warm"]),
        ("mm", "warm", ["not a temperature"]),
        ("mm", "20 K", ["not a temperature"]),
        ("mm", "true", ["not a temperature"]),
        ("mm", "[20]", ["stands where a temperature belongs"]),
    ],
)
def test_what_is_no_temperature_for_a_room(units: str, text: str, words: list[str]) -> None:
    body = f"bench: frame\nunits: {units}\nmoisture:\n  winter_temperature: {text}\n"
    with pytest.raises(SpecError) as error:
        read_spec_text(body)
    for word in words:
        assert word in str(error.value)


def test_a_letter_says_which_degrees() -> None:
    with pytest.raises(SpecError) as error:
        build_spec(Moisture, {"winter_temperature": "20 F"}, units="in")
    assert "counts as" not in str(error.value)


@a_few(10)
@given(celsius=st.floats(0, 50), units=st.sampled_from(["in", "mm"]))
def test_a_written_temperature_reads_back(celsius: float, units: Any) -> None:
    spec = dataclasses.replace(FrameBenchSpec(), moisture=moisture(winter_temperature=celsius))
    read = read_spec_text(starter_text("frame", units, spec=spec)).spec
    assert read.moisture.winter_temperature == pytest.approx(celsius, abs=1e-9)


def test_the_schemas_range_follows_the_units() -> None:
    for units, inside, outside in (("in", 68, 20), ("mm", 20, 68)):
        mapping = {"bench": "frame", "units": units}
        VALIDATOR.validate(mapping | {"moisture": {"winter_temperature": inside}})
        assert not VALIDATOR.is_valid(mapping | {"moisture": {"winter_temperature": outside}})
    json.dumps(json_schema())
