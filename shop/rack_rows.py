"""The rows of a rack, as they were written: from CSV or YAML, with the line of each.

What the fields mean is decided in rack.py.
"""

from __future__ import annotations

import csv
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from treenail.timber.errors import SpecError
from treenail.timber.lengths import LengthUnit

__all__ = ["COLUMNS", "Row", "csv_rows", "yaml_rows"]

COLUMNS = (
    "name",
    "species",
    "quarter",
    "width",
    "length",
    "usable_length",
    "price",
    "count",
    "defects",
)
"""Fields of a board."""

_NEEDED = ("name", "species", "quarter", "width", "length")
_LENGTHS = ("width", "length", "usable_length", "defects")


@dataclass(frozen=True, slots=True)
class Row:
    """A board as it was written: texts by field, with unit, line and place."""

    number: int
    line: int
    cells: Mapping[str, Any]
    units: Mapping[str, LengthUnit | None]
    lines: Mapping[str, int]


def csv_rows(text: str, file: str | None) -> Iterable[Row]:
    """The rows below the header, remarks left out. Raises :class:`SpecError`."""
    lines = text.splitlines()
    # Remarks become empty lines, which the reader skips, so that line numbers stay true.
    kept = ["" if line.lstrip().startswith("#") else line for line in lines]
    reader = csv.reader(kept, strict=True)
    header: list[str] = []
    units: dict[str, LengthUnit | None] = {}
    number = 0
    try:
        for cells in reader:
            if not any(c.strip() for c in cells):
                continue
            if not header:
                header, units = _header(cells, file, reader.line_num)
                continue
            number += 1
            if len(cells) != len(header):
                raise SpecError(
                    f"the row has {len(cells)} cells, the header {len(header)}",
                    file=file,
                    line=reader.line_num,
                    field=f"board {number}",
                    allowed="one cell for each column; quotes around a cell with a comma in it",
                )
            row = {k: c.strip() for k, c in zip(header, cells, strict=True)}
            yield Row(number, reader.line_num, row, units, {})
    except csv.Error as error:
        raise SpecError(
            f"this is not CSV ({error}); inch marks are safest left out, in a column such as"
            " `width in`",
            file=file,
            line=reader.line_num,
        ) from None
    if not header:
        raise SpecError("there is nothing in it", file=file, allowed=", ".join(COLUMNS))


def _header(
    cells: Sequence[str], file: str | None, line: int
) -> tuple[list[str], dict[str, LengthUnit | None]]:
    names: list[str] = []
    units: dict[str, LengthUnit | None] = {}
    for cell in cells:
        words = cell.strip().lower().replace(" length", "_length").split()
        unit: LengthUnit | None = None
        if len(words) == 2 and words[1] in ("in", "mm"):
            unit = "in" if words[1] == "in" else "mm"
        name = words[0] if words else ""
        if ";" in cell or "\t" in cell:
            raise SpecError(
                "the cells are parted by semicolons or tabs",
                file=file,
                line=line,
                allowed="commas; a spreadsheet asks for it when it saves as CSV",
            )
        bad = len(words) > 2 or (len(words) == 2 and (unit is None or name not in _LENGTHS))
        if bad or name not in COLUMNS or name in names:
            what = "stands twice in the header" if name in names else "is no column of a rack"
            raise SpecError(
                f"{cell[:40]!r} {what}",
                file=file,
                line=line,
                allowed=", ".join(COLUMNS) + "; lengths with in or mm behind them",
            )
        names.append(name)
        units[name] = unit
    for name in _NEEDED:
        if name not in names:
            raise SpecError(
                f"the header has no column {name!r}",
                file=file,
                line=line,
                allowed=", ".join(COLUMNS),
            )
    return names, units


def yaml_rows(text: str, file: str | None) -> Iterable[Row]:
    """The entries of ``boards:``. Raises :class:`SpecError`."""
    from treenail.generators.yaml_lines import read_tree

    tree, lines = read_tree(text, file=file)
    if not isinstance(tree, dict):
        raise SpecError("there is no rack in it", file=file, allowed="units: and boards:")
    for name in tree:
        if name not in ("units", "boards"):
            raise SpecError(
                f"a rack has no {name[:40]!r}",
                file=file,
                line=lines.get(name),
                allowed="units, boards",
            )
    unit = tree.get("units")
    if unit not in ("in", "mm"):
        raise SpecError(
            "the rack doesn't say whether its bare numbers are inches or millimetres",
            file=file,
            line=lines.get("units"),
            field="units",
            allowed="units: in, units: mm",
        )
    units: dict[str, LengthUnit | None] = dict.fromkeys(_LENGTHS, "in" if unit == "in" else "mm")
    boards = tree.get("boards")
    if not isinstance(boards, list):
        raise SpecError("the boards are no list", file=file, field="boards", allowed="- name: ...")
    for number, board in enumerate(boards, start=1):
        place = f"boards.{number}"
        line = lines.get(place, 1)
        if not isinstance(board, dict):
            raise SpecError(
                "this is no board", file=file, line=line, field=place, allowed=", ".join(COLUMNS)
            )
        for name in board:
            if name not in COLUMNS:
                raise SpecError(
                    f"a board has no {name[:40]!r}",
                    file=file,
                    line=lines.get(f"{place}.{name}", line),
                    field=place,
                    allowed=", ".join(COLUMNS),
                )
        start = f"{place}."
        own = {k.removeprefix(start): v for k, v in lines.items() if k.startswith(start)}
        yield Row(number, line, board, units, own)
