"""Racks: what is read, and what each wrong row says."""

from pathlib import Path

import pytest

from treenail.shop.rack import read_rack, read_rack_text
from treenail.timber.errors import SpecError

IN = 25.4
HEAD = "name,species,quarter,width in,length in,usable_length in,price,count,defects in\n"
EXAMPLE = Path(__file__).parents[2] / "examples" / "skerry-point-rack.csv"


def test_the_example_reads() -> None:
    rack = read_rack(EXAMPLE)
    assert len({b.name for b in rack}) == len(rack) == 18
    assert "invented" in EXAMPLE.read_text("utf-8")
    first = rack[0]
    assert (first.width, first.length) == pytest.approx((9.25 * IN, 126 * IN))
    # NHLA's definition: 2 in x 9 1/4 in x 10 1/2 ft / 12.
    assert first.board_feet == pytest.approx(2 * 9.25 * 10.5 / 12)
    assert [b.name for b in rack if b.name.startswith("S")] == ["S-1", "S-2", "S-3", "S-4"]


def test_csv_and_yaml_say_the_same() -> None:
    text = (
        HEAD + "a,white ash,8/4,8 1/2,120,117,40,,knot 40 to 43 across 1 to 2; split 100 to 110\n"
    )
    yaml = """
units: in
boards:
  - name: a
    species: white ash
    quarter: 8/4
    width: 8 1/2
    length: 10'
    usable_length: 117
    price: 40
    defects:
      - {what: knot, from: 40, to: 43, low: 1, high: 2}
      - {what: split, from: 100, to: 110}
"""
    assert read_rack(text) == read_rack(yaml.encode())
    knot, split = read_rack(text)[0].defects
    assert (knot.start, knot.stop, knot.low, knot.high) == pytest.approx(
        tuple(x * IN for x in (40, 43, 1, 2))
    )
    assert (split.low, split.high) == pytest.approx((0.0, 8.5 * IN))


def test_units_may_stand_in_the_cells() -> None:
    text = "name,species,quarter,width,length\na,white ash,4/4,200 mm,2.5 m\n"
    board = read_rack(text)[0]
    assert (board.width, board.length) == (200.0, 2500.0)
    assert board.usable == board.length


GOOD = "a,white ash,8/4,8,120,,,,\n"


@pytest.mark.parametrize(
    "row, line, words",
    [
        ("b,ash of the loft,8/4,8,120,,,,", 3, "species"),
        ("b,white ash,7/4,8,120,,,,", 3, "quarter"),
        ("b,white ash,8/4,wide,120,,,,", 3, "width"),
        ("b,white ash,8/4,0,120,,,,", 3, "width"),
        ("b,white ash,8/4,8,120,121,,,", 3, "usable_length"),
        ("b,white ash,8/4,8,120,,cheap,,", 3, "price"),
        ("b,white ash,8/4,8,120,,,0,", 3, "count"),
        ("b,white ash,8/4,8,120,,,1.5,", 3, "count"),
        ("b,white ash,8/4,8,120,,,,knot at 40", 3, "defects"),
        ("b,white ash,8/4,8,120,,,,knot 43 to 40", 3, "defects"),
        ("b,white ash,8/4,8,120,,,,knot 40 to 430", 3, "defects"),
        ("=b,white ash,8/4,8,120,,,,", 3, "name"),
        (",white ash,8/4,8,120,,,,", 3, "name"),
        ("a,white ash,8/4,8,120,,,,", 3, "twice"),
        ("b,white ash,8/4,8", 3, "cells"),
        ("# a remark\nb,white ash,8/4,8,120,,,9999,", 4, "count"),
    ],
)
def test_wrong_rows_are_named(row: str, line: int, words: str) -> None:
    with pytest.raises(SpecError, match=words) as caught:
        read_rack_text(HEAD + GOOD + row + "\n", file="rack.csv")
    assert caught.value.file == "rack.csv"
    assert caught.value.line == line
    assert "board 2" in str(caught.value)
    assert caught.value.allowed


ONE = "units: in\nboards:\n  - {name: a, species: white ash"


@pytest.mark.parametrize(
    "text, words",
    [
        ("# nothing\n", "nothing in it"),
        ("name;species;quarter;width in;length in\na;white ash;8/4;8;96\n", "semicolons"),
        ("name\tspecies\tquarter\n", "tabs"),
        (
            "units: in\nboards:\n  - {name: a, species: white ash, quarter: 8/4, width: 9}\n",
            "no length",
        ),
        (
            "units: in\nboards:\n  - {name: a, species: white ash, quarter: [8/4]}\n",
            "one quarter is",
        ),
        ("name,species,quarter,width in\na,b,c,d\n", "no column 'length'"),
        (HEAD.replace("price", "colour"), "colour"),
        (HEAD.replace("price", "name"), "twice"),
        (HEAD.replace("width in", "width ft"), "width ft"),
        (HEAD, "no board"),
        ("name,species,quarter,width,length\na,white ash,8/4,8,120\n", "unit"),
        ('name,species,quarter,width in,length in\n"a,white ash,8/4,8,120\n', "not CSV"),
        ("boards:\n  - name: a\n", "inches or millimetres"),
        ("units: in\nboards: 3\n", "no list"),
        ("units: in\nshelf: 1\nboards:\n  - name: a\n", "shelf"),
        ("units: in\nboards:\n  - name: a\n    colour: red\n", "colour"),
    ],
)
def test_wrong_files_are_refused(text: str, words: str) -> None:
    with pytest.raises(SpecError, match=words):
        read_rack_text(text)


def test_a_missing_file_is_named(tmp_path: Path) -> None:
    with pytest.raises(SpecError, match=r"rack\.csv"):
        read_rack(tmp_path / "rack.csv")


def test_yaml_lines_are_those_of_the_field() -> None:
    text = (
        "units: in\nboards:\n  - name: a\n    species: white ash\n    quarter: 8/4\n"
        "    width: 0\n    length: 90\n"
    )
    with pytest.raises(SpecError, match="width") as caught:
        read_rack_text(text)
    assert caught.value.line == 6


def test_own_woods_are_known() -> None:
    from treenail.timber.species import get_species

    ash = get_species("white ash")
    import dataclasses

    own = dataclasses.replace(ash, key="yard_ash", name="Yard ash")
    rack = read_rack(
        "name,species,quarter,width in,length in\na,yard ash,8/4,8,96\n", species=[own]
    )
    assert rack[0].species is own
