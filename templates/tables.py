"""Comma-separated tables, with text that no spreadsheet takes for a formula."""

from __future__ import annotations

import csv
import io
from typing import TYPE_CHECKING, Literal

from treenail.timber.lengths import format_length

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from treenail.shop.cnc import CncPart
    from treenail.shop.cutlist import CutRow

#: Beginnings that spreadsheets run as formulas.
_FORMULA = ("=", "+", "-", "@", "\t", "\r")


def safe_text(text: str) -> str:
    """Text as a cell: a leading apostrophe keeps a spreadsheet from calculating it."""
    return "'" + text if text.startswith(_FORMULA) else text


def table(header: Sequence[str], rows: Iterable[Sequence[str | float | int]]) -> bytes:
    """CSV (RFC 4180, UTF-8) of text and numbers."""
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(header)
    for row in rows:
        writer.writerow([safe_text(cell) if isinstance(cell, str) else cell for cell in row])
    return out.getvalue().encode("utf-8")


def cut_list_csv(
    rows: Iterable[CutRow], units: Literal["in", "mm"], *, passed: bool = True
) -> bytes:
    """The cut list; every row says whether the bench passed its checks."""

    def size(mm: float) -> str:
        return format_length(mm, unit=units, denominator=32)

    header = [
        "count",
        "part",
        "wood",
        "length mm",
        "width mm",
        "thickness mm",
        "length",
        "width",
        "thickness",
        "thin end mm",
        "boards in each",
        "ripped into",
        "in each blank",
        "board length mm",
        "board width mm",
        "board planed to mm",
        "rough stock",
        "net board feet",
        "rough board feet",
        "members",
        "checks",
    ]
    lines: list[list[str | float | int]] = [
        [
            r.count,
            r.role,
            r.species,
            round(r.length, 3),
            round(r.width, 3),
            round(r.thickness, 3),
            size(r.length),
            size(r.width),
            size(r.thickness),
            "" if r.thin_end is None else round(r.thin_end, 3),
            r.plies,
            r.across,
            r.gang,
            round(r.ply_length, 1),
            round(r.ply_width, 1),
            round(r.ply_thickness, 2),
            r.quarter or "none thick enough: laminate",
            round(r.net, 2),
            round(r.rough, 2),
            " ".join(r.names),
            "passed" if passed else "NOT PASSED",
        ]
        for r in rows
    ]
    return table(header, lines)


def cnc_csv(parts: Iterable[CncPart], *, passed: bool = True) -> bytes:
    """Set-ups of every piece on a CNC router, a row for each thing that is cut; lengths in mm."""
    header = [
        "pieces",
        "part",
        "set-up",
        "face up",
        "work zero",
        "what",
        "count",
        "depth mm",
        "largest cutter that fits mm",
        "cutter on hand mm",
        "remarks",
        "checks",
    ]
    lines: list[list[str | float | int]] = []
    verdict = "passed" if passed else "NOT PASSED"
    for part in parts:
        for number, setup in enumerate(part.setups, start=1):
            zero = ", ".join(str(f) for f in setup.zero)
            lines += [
                [
                    len(part.names),
                    part.names[0],
                    number,
                    str(setup.up),
                    zero,
                    done.what,
                    len(done.joints),
                    round(done.depth, 3),
                    "" if done.widest is None else round(done.widest, 3),
                    "" if done.cutter is None else round(done.cutter, 3),
                    "; ".join(done.remarks),
                    verdict,
                ]
                for done in setup.done
            ]
        lines += [
            [len(part.names), part.names[0], "", "", "", what, "", "", "", "", "no face", verdict]
            for what in part.unreached
        ]
    return table(header, lines)
