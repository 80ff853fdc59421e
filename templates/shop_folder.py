"""The shop's papers as a folder: pages to read at the machine, tables, one file of data."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from treenail.templates.joint_report import plain
from treenail.templates.outdir import REPORT, sha256, write_folder
from treenail.templates.report import to_json
from treenail.templates.tables import table
from treenail.timber.errors import ChecksFailed

if TYPE_CHECKING:
    from treenail.checks.rules import Context, Report
    from treenail.shop.as_built import Change
    from treenail.shop.boards import Boards
    from treenail.shop.glue import Glue

Cell = str | float | int
Rows = Sequence[Mapping[str, Cell]]
Table = tuple[list[str], list[list[Cell]]]
Progress = Callable[[str], None]
_BOARDS = "boards"
_STAMP = (
    '<text x="2" y="3.6" font-size="3" font-weight="bold" fill="#b00020">'
    "NOT PASSED: do not cut from this drawing</text>"
)
NOT_PASSED = "**NOT PASSED: the checks found errors in this bench. Don't cut from these papers.**"


@dataclass(frozen=True, slots=True, kw_only=True)
class Papers:
    """What the papers show beside the bench and the shop.

    Attributes:
        glue: the shop's glue; None takes a typical one.
        boards: rough parts and stock plan; None works them out without a rack.
        changes: what follows from measured sizes.
    """

    glue: Glue | None = None
    boards: Boards | None = None
    changes: tuple[Change, ...] = ()


def _rows(rows: Rows) -> Table:
    """Header and cells of rows, under the names of all their fields."""
    header = list(dict.fromkeys(name for row in rows for name in row))
    return header, [[row.get(name, "") for name in header] for row in rows]


def _csv(made: Table, *, passed: bool) -> bytes:
    """A table; if the checks failed, every row says so."""
    header, rows = made
    if passed:
        return table(header, rows)
    return table([*header, "checks"], [[*row, "NOT PASSED"] for row in rows])


def _svg(picture: str | bytes, *, passed: bool) -> bytes:
    """A picture; if the checks failed, it says so across its upper edge."""
    text = picture if isinstance(picture, str) else picture.decode("utf-8")
    if not passed:
        body, end, rest = text.rpartition("</svg>")
        text = f"{body}{_STAMP}\n{end}{rest}"
    return text.encode("utf-8")


def shop_files(
    context: Context,
    papers: Papers | None = None,
    *,
    passed: bool = True,
    progress: Progress = lambda _: None,
) -> tuple[dict[str, bytes], dict[str, Any]]:
    """All papers by relative path, ``shop.json`` among them, and its data.

    Args:
        context: the bench and the shop; solids are not needed.
        papers: glue, boards, and what was measured.
        passed: whether the checks passed; if not, every page says so.
        progress: called with what is being made.
    """
    from treenail.checks.assembly.plan import assembly_data
    from treenail.shop import pages_glue, pages_machines
    from treenail.shop.boards import plan_boards
    from treenail.shop.drawbore_sheet import drawbore_sheet
    from treenail.shop.fastenings import fastenings
    from treenail.shop.glue_up import glue_up
    from treenail.shop.handling import handling
    from treenail.shop.milling_plan import milling_plan
    from treenail.shop.setups import setups

    bench, shop = context.bench, context.shop
    plan = assembly_data(context)
    progress("rough parts")
    papers = papers or Papers()
    boards = papers.boards or plan_boards(bench, shop)
    parts = boards.parts
    progress("milling")
    milling = milling_plan(bench, shop, parts=parts)
    progress("machine set-ups")
    machines = setups(bench, shop)
    progress("drawbore sheet")
    pegs = drawbore_sheet(bench, plan)
    fastened = fastenings(bench, plan)
    progress("glue-up")
    glued = glue_up(bench, papers.glue, shop=shop, parts=parts, plan=plan)
    progress("handling")
    lifts = handling(bench, shop=shop, parts=parts, plan=plan)
    pages = {
        "milling.md": pages_machines.milling_page(milling),
        "set-ups.md": pages_machines.setups_page(machines),
        "drawbore.md": pages_machines.drawbore_page(pegs),
        "fastenings.md": fastened.page(),
        "glue-up.md": pages_glue.glue_page(glued),
        "handling.md": pages_glue.handling_page(lifts),
        "assembly.md": _assembly_page(bench.name, plan),
    }
    pages |= _board_pages(boards)
    if papers.changes:
        pages["as-built.md"] = pages_machines.changes_page(bench, papers.changes)
    head = "" if passed else NOT_PASSED + "\n\n"
    files = {name: (head + text).encode("utf-8") for name, text in pages.items()}
    pictures: dict[str, str | bytes] = {
        **pages_machines.pictures(machines, pegs),
        **_board_drawings(boards),
    }
    files |= {name: _svg(picture, passed=passed) for name, picture in pictures.items()}
    tables = {
        **_board_tables(boards),
        "milling.csv": _rows(milling.rows()),
        "set-ups.csv": _rows(machines.rows()),
        "fastenings.csv": _rows(fastened.table_rows()),
        "glue-up.csv": _rows(glued.rows()),
        "handling.csv": _rows(lifts.rows()),
    }
    files |= {name: _csv(made, passed=passed) for name, made in tables.items()}
    data: dict[str, Any] = plain(
        {
            "bench": bench.name,
            "passed": passed,
            "checks": "passed" if passed else "NOT PASSED",
            "as_built": [c.as_dict() for c in papers.changes],
            **boards.as_dict(),
            "milling": milling.as_dict(),
            "set_ups": machines.as_dict(),
            "drawbore": pegs.as_dict(),
            "fastenings": fastened.as_dict(),
            "glue_up": glued.as_dict(),
            "handling": lifts.as_dict(),
            "assembly": [
                {"step": s.number, "what": s.what, "joints": s.joints, "moving": s.moving}
                for s in plan.steps
            ],
        }
    )
    files["shop.json"] = to_json(data)
    return files, data


def _board_pages(boards: Boards) -> dict[str, str]:
    from treenail.shop.stock import pages

    plan, unit = boards.plan, boards.units
    found = {
        "rough-parts.md": pages.rough_parts_page(boards.parts, unit),
        "buying.md": pages.buying_page(plan, unit),
    }
    if boards.on_rack:
        found["stock.md"] = pages.stock_page(plan, unit, folder=f"{_BOARDS}/")
    return found


def _board_tables(boards: Boards) -> dict[str, Table]:
    from treenail.shop.stock import pages

    plan, unit = boards.plan, boards.units
    found = {
        "rough-parts.csv": pages.rough_parts_table(boards.parts, unit),
        "buying.csv": pages.buying_table(plan, unit),
    }
    if boards.on_rack:
        found["stock-pieces.csv"] = pages.pieces_table(plan, unit)
        found["stock-cuts.csv"] = pages.cuts_table(plan, unit)
    return found


def _board_drawings(boards: Boards) -> dict[str, bytes]:
    from treenail.shop.stock import pages

    drawn = pages.drawings(boards.plan, boards.units)
    return {f"{_BOARDS}/{name}": data for name, data in drawn.items()}


def _assembly_page(name: str, plan: Any) -> str:
    from treenail.shop.pages_glue import escape

    lines = [f"# Putting {escape(name)} together", ""]
    lines += [f"{step.number}. {escape(step.what)}" for step in plan.steps]
    if plan.late_glue:
        lines += ["", f"Glued late, in place: {escape(', '.join(plan.late_glue))}."]
    lines += [
        "",
        "- Caution: lift heavy parts with two people; keep fingers out of closing joints.",
    ]
    return "\n".join(lines) + "\n"


def write_shop(
    context: Context,
    folder: Path,
    findings: Report,
    papers: Papers | None = None,
    *,
    anyway: bool = False,
    progress: Progress = lambda _: None,
) -> dict[str, Any]:
    """Write the papers into ``folder``, whole or not at all; returns the data of shop.json.

    Raises:
        ChecksFailed: there are errors and ``anyway`` was not given.
        OutputError: the folder can't be written; nothing was changed.
    """
    if findings.errors and not anyway:
        count = len(findings.errors)
        raise ChecksFailed(
            f"{count} error{'s' if count > 1 else ''} found by the checks; nothing was written"
        )
    files, data = shop_files(context, papers, passed=findings.passed, progress=progress)
    listed = [{"path": path, "sha256": sha256(content)} for path, content in sorted(files.items())]
    files[REPORT] = to_json({"passed": findings.passed, "files": listed})
    write_folder(folder, files)
    return data
