"""The rack: the boards that a shop has, read from CSV or YAML. Lengths inside are mm.

CSV: lines that begin with ``#`` are remarks; then a header. Columns: ``name``, ``species``,
``quarter`` (``8/4``), ``width``, ``length``, and, if wanted, ``usable_length`` (without checked
ends), ``price`` (of one board), ``count`` (boards alike) and ``defects``. A column of lengths may
name the unit of its bare numbers (``width in``, ``length mm``). A cell of defects holds entries
such as ``knot 24 to 27 across 0 to 2``, with ``;`` between them: along the board from its near
end, and across from its face edge (left out: the whole width).

YAML: ``units:``, then ``boards:`` with the same fields; each defect has ``what``, ``from``,
``to``, ``low``, ``high``.
"""

from __future__ import annotations

import math
import os
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from treenail.shop.rack_rows import COLUMNS, Row, csv_rows, yaml_rows
from treenail.timber.errors import SpecError
from treenail.timber.lengths import LengthUnit, format_length, parse_length
from treenail.timber.lumber import QUARTERS, Quarter, board_feet, quarter
from treenail.timber.species import Species, get_species

if TYPE_CHECKING:
    from treenail.generators.yaml_lines import Tree

__all__ = ["COLUMNS", "MAX_BOARDS", "Board", "Defect", "read_rack", "read_rack_text"]

MAX_BOARDS = 2000
"""Most boards in a rack."""
MAX_DEFECTS = 20
"""Most defects in a board."""

_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9 _.-]{0,39}", re.ASCII)
_WORDS = re.compile(r"[A-Za-z][A-Za-z -]{0,29}", re.ASCII)
_BARE = re.compile(r"[\d\s./-]+", re.ASCII)
_DEFECT = re.compile(
    r"(?:(?P<what>[A-Za-z][A-Za-z -]*?)\s+)?(?P<start>[\d.].*?)\s+to\s+(?P<stop>.+?)"
    r"(?:\s+across\s+(?P<low>.+?)\s+to\s+(?P<high>.+?))?",
    re.ASCII,
)
_ALLOWED = {
    "name": "what is chalked on the board",
    "species": "a wood that `treenail species` lists",
    "quarter": ", ".join(q.name for q in QUARTERS),
    "width": "a length such as 9 1/4",
    "length": "a length such as 126",
}
_HOW = "knot 24 to 27, or knot 24 to 27 across 0 to 2; several with ; between them"


@dataclass(frozen=True, slots=True, kw_only=True)
class Defect:
    """A part of a board that isn't used: along it and across it, mm."""

    what: str
    start: float
    stop: float
    low: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Board:
    """A rough board.

    Attributes:
        name: as chalked on it.
        species: the wood.
        quarter: nominal thickness.
        width, length: mm.
        usable_length: without checked ends, from the near end, mm; None if nobody said.
        defects: what to cut around.
        price: of this board, in the shop's money; None if nobody said.
    """

    name: str
    species: Species
    quarter: Quarter
    width: float
    length: float
    usable_length: float | None = None
    defects: tuple[Defect, ...] = ()
    price: float | None = None

    @property
    def usable(self) -> float:
        """Length that can be used, mm."""
        return self.length if self.usable_length is None else self.usable_length

    @property
    def board_feet(self) -> float:
        """Of the whole board, as it was paid for."""
        return board_feet(self.quarter.rough, self.width, self.length)


def read_rack(
    source: str | os.PathLike[str] | bytes, *, species: Iterable[Species] = ()
) -> tuple[Board, ...]:
    """Read a rack from a file (CSV, or YAML by its name) or from its content.

    A text with a line break in it, and bytes, are content. ``species`` are woods of the user's
    own beside those known. Raises :class:`SpecError` with file, line and field.
    """
    from treenail.generators.yaml_lines import MAX_BYTES, decode

    if isinstance(source, bytes):
        return read_rack_text(decode(source), species=species)
    if isinstance(source, str) and ("\n" in source or "\r" in source):
        return read_rack_text(source, species=species)
    path = Path(source)
    name = str(path)
    try:
        with path.open("rb") as stream:
            content = stream.read(MAX_BYTES + 1)
    except OSError as error:
        raise SpecError(f"can't be read: {error.strerror or error}", file=name) from None
    except ValueError:
        raise SpecError("is no name for a file", file=name) from None
    text = decode(content, file=name)
    yaml = path.suffix.lower() in (".yaml", ".yml")
    return read_rack_text(text, file=name, yaml=yaml, species=species)


def read_rack_text(
    text: str,
    *,
    file: str | None = None,
    yaml: bool | None = None,
    species: Iterable[Species] = (),
) -> tuple[Board, ...]:
    """Read a rack's text; ``yaml=None`` looks for a line ``boards:``."""
    if yaml is None:
        yaml = re.search(r"^boards\s*:", text, re.MULTILINE) is not None
    own = {name: wood for wood in species for name in (wood.key, wood.name.lower())}
    boards: list[Board] = []
    seen: dict[str, int] = {}
    rows = yaml_rows(text, file) if yaml else csv_rows(text, file)
    for row in rows:
        try:
            made = _boards(row, own)
            for board in made:
                if board.name.lower() in seen:
                    first = seen[board.name.lower()]
                    raise SpecError(
                        f"the board {board.name!r} is in the rack twice (first in line {first})",
                        field="name",
                        allowed="a name of its own for each board",
                    )
                seen[board.name.lower()] = row.line
        except SpecError as error:
            raise _placed(error, row, file) from None
        boards.extend(made)
        if len(boards) > MAX_BOARDS:
            raise SpecError(
                "there are too many boards in the rack",
                file=file,
                line=row.line,
                allowed=f"up to {MAX_BOARDS}",
            )
    if not boards:
        raise SpecError("there is no board in the rack", file=file, allowed="at least one board")
    return tuple(boards)


def _placed(error: SpecError, row: Row, file: str | None) -> SpecError:
    """Say which row: its number and, if it has one, its name."""
    name = row.cells.get("name")
    named = f" ({name})" if isinstance(name, str) and _NAME.fullmatch(name.strip()) else ""
    return SpecError(
        error.message,
        file=file,
        line=row.lines.get((error.field or "").partition(".")[0], row.line),
        field=f"board {row.number}{named}" + (f", {error.field}" if error.field else ""),
        allowed=error.allowed,
    )


def _boards(row: Row, own: Mapping[str, Species]) -> list[Board]:
    """The boards of a row: as many as its count says."""
    name = _text(row, "name")
    if not _NAME.fullmatch(name):
        raise SpecError(
            f"{name[:40]!r} can't be a board's name",
            field="name",
            allowed="up to 40 letters, digits, spaces and _ . -",
        )
    wood = _text(row, "species")
    species = own.get(wood.lower()) or get_species(wood, field="species")
    stock = quarter(_text(row, "quarter"), field="quarter")
    width = _length(row, "width", low=10.0, high=2000.0)
    length = _length(row, "length", low=100.0, high=20000.0)
    usable = None
    if _cell(row, "usable_length"):
        usable = _length(row, "usable_length", low=0.0, high=20000.0)
        if usable > length + 1e-6:
            raise SpecError(
                "more of the board is usable than it is long",
                field="usable_length",
                allowed=f"up to its length, {length:g} mm",
            )
    price = None
    if _cell(row, "price"):
        price = _number(row, "price", 0.0, 1e6)
    count = int(_number(row, "count", 1, MAX_BOARDS, whole=True)) if _cell(row, "count") else 1
    defects = _defects(row, width, length)
    return [
        Board(
            name=name if count == 1 else f"{name}-{k}",
            species=species,
            quarter=stock,
            width=width,
            length=length,
            usable_length=usable,
            defects=defects,
            price=price,
        )
        for k in range(1, count + 1)
    ]


def _cell(row: Row, name: str) -> Any:
    value = row.cells.get(name)
    return value.strip() if isinstance(value, str) else value


def _text(row: Row, name: str) -> str:
    value = _cell(row, name)
    if not isinstance(value, str):
        what = f"no {name} is given" if value is None else f"one {name} is wanted, not a list"
        raise SpecError(what, field=name, allowed=_ALLOWED.get(name, "one value"))
    if not value:
        raise SpecError(f"no {name} is given", field=name, allowed=_ALLOWED.get(name, "one value"))
    return value


def _length(row: Row, name: str, *, low: float, high: float) -> float:
    return _measure(_text(row, name), row.units.get(name), name, low, high)


def _measure(text: str, unit: LengthUnit | None, field: str, low: float, high: float) -> float:
    if unit is None and _BARE.fullmatch(text):
        raise SpecError(
            f"nobody can tell the unit of {text[:40]!r}",
            field=field,
            allowed=f"a column `{field.partition('.')[0]} in` or `... mm`, or `{text[:20]} in`",
        )
    value = parse_length(text, unit=unit or "mm", field=field)
    if not low - 1e-9 <= value <= high + 1e-9:
        ends = " to ".join(format_length(x, unit=unit or "mm") for x in (low, high))
        raise SpecError(f"{text[:40]!r} is out of range", field=field, allowed=ends)
    return value


def _number(row: Row, name: str, low: float, high: float, *, whole: bool = False) -> float:
    text = _text(row, name)
    try:
        value = float(text) if len(text) < 30 else math.nan
    except ValueError:
        value = math.nan
    if not (low <= value <= high) or (whole and value != int(value)):
        kind = "a whole number" if whole else "a number"
        raise SpecError(
            f"{text[:40]!r} is no {name}", field=name, allowed=f"{kind}, {low:g} to {high:g}"
        )
    return value


def _defects(row: Row, width: float, length: float) -> tuple[Defect, ...]:
    given = _cell(row, "defects")
    if not given:
        return ()
    entries: list[dict[str, str | None]] = []
    if isinstance(given, str):
        for part in filter(None, (p.strip() for p in given.split(";"))):
            match = _DEFECT.fullmatch(part)
            if not match:
                raise SpecError(f"{part[:50]!r} is no defect", field="defects", allowed=_HOW)
            entries.append(match.groupdict())
    elif isinstance(given, list):
        entries = [_defect_entry(item, k) for k, item in enumerate(given, start=1)]
    else:
        raise SpecError("the defects are no list", field="defects", allowed=_HOW)
    if len(entries) > MAX_DEFECTS:
        raise SpecError("too many defects", field="defects", allowed=f"up to {MAX_DEFECTS}")
    unit = row.units.get("defects")
    found = []
    for k, entry in enumerate(entries, start=1):
        place = f"defects.{k}"
        what = (entry["what"] or "defect").strip()
        if not _WORDS.fullmatch(what):
            raise SpecError(f"{what[:40]!r} is no word", field=place, allowed="up to 30 letters")
        start = _measure(entry["start"] or "", unit, place, 0.0, length)
        stop = _measure(entry["stop"] or "", unit, place, 0.0, length)
        low = _measure(entry["low"], unit, place, 0.0, width) if entry["low"] else 0.0
        high = _measure(entry["high"], unit, place, 0.0, width) if entry["high"] else width
        if stop <= start or high <= low:
            raise SpecError("the defect ends before it begins", field=place, allowed=_HOW)
        found.append(Defect(what=what, start=start, stop=stop, low=low, high=high))
    return tuple(sorted(found, key=lambda d: (d.start, d.low)))


def _defect_entry(item: Tree, number: int) -> dict[str, str | None]:
    names = {"what": "what", "from": "start", "to": "stop", "low": "low", "high": "high"}
    if not isinstance(item, dict):
        raise SpecError("this is no defect", field=f"defects.{number}", allowed=", ".join(names))
    entry: dict[str, str | None] = dict.fromkeys(names.values())
    for name, value in item.items():
        if name not in names or not isinstance(value, str):
            raise SpecError(
                f"a defect has no {name[:40]!r}",
                field=f"defects.{number}",
                allowed=", ".join(names),
            )
        entry[names[name]] = str(value)
    for name, inner in names.items():
        if name in ("from", "to") and not entry[inner]:
            raise SpecError(
                f"the defect has no {name!r}", field=f"defects.{number}", allowed=", ".join(names)
            )
    return entry
