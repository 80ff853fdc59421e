"""From a checked bench to a folder of files: STEP, DXF, cut list, drawing, report."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from treenail.templates.outdir import REPORT, sha256, write_folder
from treenail.templates.report import report_data, to_json
from treenail.templates.tables import cnc_csv, cut_list_csv
from treenail.timber.errors import ChecksFailed, KernelError

if TYPE_CHECKING:
    from treenail.checks.measured import JointMeasure
    from treenail.checks.rules import Context, Report
    from treenail.generators.solids import BenchSolids
    from treenail.shop.cnc import CncPart
    from treenail.shop.cutlist import CutRow
    from treenail.templates.shop_folder import Papers

#: The folder of the shop's papers.
SHOP = "shop"
DxfVersion = Literal["R12", "R2000", "R2010"]
DxfCurves = Literal["polylines", "separate"]
Progress = Callable[[str], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class ExportOptions:
    """How the files are written.

    Attributes:
        dxf_version: release of the DXF format.
        dxf_units: units of the templates' coordinates.
        dxf_curves: closed polylines with bulges, or separate lines and arcs for weak readers.
        parts_up: each part's STEP file in its own coordinates, or in machining position: the
            face up from which most is cut, the work zero at a corner of it. A table of the
            set-ups (``cnc.csv``) is then written, too.
    """

    dxf_version: DxfVersion = "R2000"
    dxf_units: Literal["mm", "in"] = "mm"
    dxf_curves: DxfCurves = "polylines"
    parts_up: Literal["own", "machining"] = "own"


@dataclass(frozen=True, slots=True, kw_only=True)
class Exported:
    """What was written.

    Attributes:
        folder: where.
        report: the data of ``report.json``.
        findings: the checks' report.
        rows: the cut list.
    """

    folder: Path
    report: Mapping[str, Any]
    findings: Report
    rows: tuple[CutRow, ...]


def _quiet(_: str) -> None:
    return None


def make_files(
    solids: BenchSolids,
    *,
    passed: bool,
    options: ExportOptions,
    rows: tuple[CutRow, ...],
    cnc: tuple[CncPart, ...] = (),
    progress: Progress = _quiet,
) -> tuple[dict[str, bytes], dict[str, JointMeasure]]:
    """All files but the report, by relative path, read back and compared before they count.

    The pieces of ``cnc`` are written as they lie in their first set-ups, with a table of them.

    Returns:
        The files, and every joint as measured on the solids of the written STEP file.

    Raises:
        KernelError: a file, read back, differs from the solids or the cuts.
    """
    from treenail.checks.measured import measure_bench
    from treenail.checks.solids import solid_findings
    from treenail.templates.dxf import member_dxf, templates_for
    from treenail.templates.dxf_read import compare_dxf
    from treenail.templates.picture import bench_sheet_svg
    from treenail.templates.step import bench_step, part_step
    from treenail.templates.step_read import compare_part, compare_step, read_step

    bench = solids.bench
    progress("bench.step")
    files = {"bench.step": bench_step(solids, passed=passed)}
    progress("reading bench.step back")
    contents = read_step(files["bench.step"])
    _refuse("bench.step", compare_step(contents, solids))
    progress("measuring the joints in bench.step")
    read = solids.as_read(contents.parts)
    if passed:
        _refuse("bench.step", [f.message for f in solid_findings(read)])
    ups = {part.names[0]: part.setups[0].up for part in cnc if part.setups}
    for name in solids.keys:
        if solids.first_of(name) == name:
            path = f"parts/{name}.step"
            progress(path)
            up = ups.get(name)
            files[path] = part_step(solids, name, passed=passed, up=up)
            if up is not None:  # lying in its own coordinates it is the solid of bench.step
                _refuse(path, compare_part(read_step(files[path]), solids, name, up=up))
    if cnc:
        files["cnc.csv"] = cnc_csv(cnc, passed=passed)
    for member in templates_for(bench):
        path = f"templates/{member.name}.dxf"
        progress(path)
        files[path] = member_dxf(
            bench,
            member,
            version=options.dxf_version,
            units=options.dxf_units,
            curves=options.dxf_curves,
            passed=passed,
        )
        progress(f"reading {path} back")
        _refuse(path, compare_dxf(bench, member, files[path]))
    progress("cutlist.csv")
    units: Literal["in", "mm"] = "in" if bench.units == "in" else "mm"
    files["cutlist.csv"] = cut_list_csv(rows, units, passed=passed)
    progress("drawing.svg")
    files["drawing.svg"] = bench_sheet_svg(solids, passed=passed)
    return files, measure_bench(read)


def _refuse(path: str, differences: list[str]) -> None:
    if differences:
        more = f" (and {len(differences) - 1} more)" if len(differences) > 1 else ""
        raise KernelError(f"{path}, read back, differs: {differences[0]}{more}; nothing written")


def export_bench(
    folder: str | Path,
    *,
    context: Context,
    findings: Report,
    options: ExportOptions | None = None,
    papers: Papers | None = None,
    anyway: bool = False,
    version: str = "",
    progress: Progress = _quiet,
) -> Exported:
    """Write a bench's files into ``folder``, whole or not at all.

    Args:
        folder: made if missing; an earlier run's files there are replaced.
        context: what the checks looked at: the bench, its solids, the shop.
        findings: of the checks; errors stop the export.
        options: how to write.
        papers: what the shop's papers show, in ``shop/``; None: no papers.
        anyway: write in spite of errors, every file marked as not passed.
        version: of the program, for the report.
        progress: called with what is being done.

    Raises:
        KernelError: the context holds no solids, or a file, read back, is not as it should be.
        ChecksFailed: there are errors and ``anyway`` was not given.
        OutputError: the folder can't be written.
    """
    from treenail.checks.analysis import analyse
    from treenail.checks.machines import shop_of
    from treenail.shop.cnc import cnc_data
    from treenail.shop.cutlist import cut_list
    from treenail.templates.shop_folder import shop_files

    bench, solids = context.bench, context.solids
    if solids is None:
        raise KernelError("a bench is exported from its solids; none were built")

    if findings.errors and not anyway:
        count = len(findings.errors)
        raise ChecksFailed(
            f"{count} error{'s' if count > 1 else ''} found by the checks; nothing was written"
        )
    rows = cut_list(bench, shop_of(context).machines)
    options = options or ExportOptions()
    files, measured = make_files(
        solids,
        passed=findings.passed,
        options=options,
        rows=rows,
        cnc=cnc_data(bench, shop_of(context)) if options.parts_up == "machining" else (),
        progress=progress,
    )
    if papers is not None:
        sheets, _ = shop_files(context, papers, passed=findings.passed, progress=progress)
        files |= {f"{SHOP}/{name}": content for name, content in sheets.items()}
    data = report_data(
        bench,
        findings,
        rows=rows,
        shared_with={name: solids.first_of(name) for name in solids.keys},
        measured=measured,
        analysis=analyse(context),
        version=version,
    )
    data["files"] = [
        {"path": path, "sha256": sha256(content)} for path, content in sorted(files.items())
    ]
    progress(REPORT)
    files[REPORT] = to_json(data)
    write_folder(Path(folder), files)
    return Exported(folder=Path(folder), report=data, findings=findings, rows=rows)
