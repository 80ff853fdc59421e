"""A year of a bench against the Wood Handbook: rooms, a panel, a board, a joint."""

import dataclasses

import pytest

from treenail.checks.rules import Context
from treenail.checks.season_data import season_data
from treenail.checks.year import tracks_of
from treenail.generators.bench import Bench, Seasons
from treenail.generators.climate import room_of
from treenail.generators.frame_spec import Moisture
from treenail.generators.spec_values import build_spec
from treenail.timber.member import Member
from treenail.timber.species import Species, get_species

# USDA FPL-GTR-190 (2010), Table 4-2, part: (°F, relative humidity in percent, moisture content
# in percent).
CELLS = [(70, 30, 6.2), (70, 40, 7.7), (70, 60, 11.0), (40, 40, 7.9), (40, 70, 13.5),
         (100, 30, 5.8), (100, 50, 8.7), (100, 60, 10.3)]  # fmt: skip


@pytest.mark.parametrize("fahrenheit, humidity, value", CELLS)
def test_a_rooms_air_by_table_4_2(fahrenheit: int, humidity: int, value: float) -> None:
    """As written in a spec in inches; the equation gives the table to 0.07 points."""
    room = build_spec(
        Moisture,
        {
            "at_build": f"{value + 0.5} %",
            "winter_temperature": f"{fahrenheit} F",
            "winter_humidity": humidity,
            "wettest": 25,
        },
        units="in",
    )
    assert room_of(room).seasons.driest == pytest.approx(value, abs=0.07)


def one_board(wood: Species, width: float, driest: float, built: float, wettest: float) -> Bench:
    board = Member(
        name="board", role="board", length=1000.0, width=width, thickness=25.0, species=wood
    )
    return Bench(
        name="board",
        family="none",
        units="mm",
        timbers=(board,),
        joints=(),
        asked=(1000.0, width, 25.0),
        seasons=Seasons(built, driest, wettest),
    )


def test_the_white_fir_of_chapter_13() -> None:
    """FPL-GTR-190 ch. 13: flat-sawn white fir, 232 mm, to 11 %: +1.7 mm (9.15 in: 0.067 in).

    C_T .00245 and the start at 8 % are from memory.
    """
    fir = dataclasses.replace(get_species("eastern white pine"), c_tangential=0.00245)
    context = Context(bench=one_board(fir, 232.0, 8.0, 8.0, 11.0))
    (wide,) = season_data(context).of("board-width")
    assert wide.wettest - wide.built == pytest.approx(1.7, abs=0.05)
    assert max(wide.change) == pytest.approx(9.15 * 25.4 * 0.00245 * 3.0, abs=0.01)
    inch = Context(bench=one_board(fir, 9.15 * 25.4, 8.0, 8.0, 11.0))
    (wide,) = season_data(inch).of("board-width")
    assert max(wide.change) / 25.4 == pytest.approx(0.067, abs=0.0005)


@pytest.mark.parametrize("wood", ["white oak"])
def test_the_oak_of_chapter_13(wood: str) -> None:
    """FPL-GTR-190 ch. 13: 5 in wide, C .00365, +3 %: 0.055 in."""
    context = Context(bench=one_board(get_species(wood), 127.0, 7.0, 7.0, 10.0))
    (track,) = tracks_of(context, "board-width")
    assert track.change(3.0) / 25.4 == pytest.approx(0.055, abs=0.0005)


def test_through_the_thickness_a_flat_sawn_board_moves_radially() -> None:
    """FPL-GTR-190 Table 13-5: white ash C_R .00169, C_T .00274."""
    context = Context(bench=one_board(get_species("white ash"), 100.0, 6.0, 8.0, 10.0))
    (wide,) = tracks_of(context, "board-width")
    (thick,) = tracks_of(context, "board-thickness")
    assert wide.per_percent == pytest.approx(100.0 * 0.00274)
    assert thick.per_percent == pytest.approx(25.0 * 0.00169)
