"""The command line: build, check, new, joints, explain, species, schema."""

from __future__ import annotations

import gc
import json
import signal
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

import click

from treenail import __version__
from treenail.cli_joints import joints
from treenail.cli_new import new
from treenail.cli_shop import shop as shop_papers
from treenail.interrupts import Interrupt
from treenail.timber.errors import TreenailError

if TYPE_CHECKING:
    from treenail.api import Bench
    from treenail.checks.rules import Report
    from treenail.checks.shop_file import ShopFile
    from treenail.shop.as_built import Change

INTERRUPTED = 130
#: Exit status of ``check`` when errors were found (as of ``build`` when they stop it).
NOT_PASSED = 6

_json = click.option("--json", "as_json", is_flag=True, help="Print data for machines.")
_everything = click.option("--all", "everything", is_flag=True, help="Show every finding.")
_shop = click.option(
    "--shop",
    "shop_file",
    type=click.Path(path_type=Path),
    help="What your machines can do (treenail new --shop); without it, a guess.",
)
_measured = click.option(
    "--measured",
    "measured_file",
    type=click.Path(path_type=Path),
    help="Sizes as they came out (treenail measure); what isn't cut yet follows them.",
)
_spec = click.argument("spec", type=click.Path(path_type=Path))


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="treenail")
def cli() -> None:
    """Heavy workbenches as exact solids: from wanted sizes to checked STEP and DXF.

    Start with `treenail new my-bench.yaml`, change the sizes, then
    `treenail build my-bench.yaml -o out`.
    """


def load_bench(spec: Path, measured_file: Path | None = None) -> tuple[Bench, tuple[Change, ...]]:
    """The bench of a spec file, re-derived from what was measured, and what changed."""
    from treenail.api import Bench, build_spec_file

    bench = build_spec_file(spec)
    if measured_file is None:
        return bench, ()
    from treenail.shop.as_built import as_built
    from treenail.shop.measurements import read_measured

    built = as_built(bench, read_measured(measured_file, bench))
    return Bench.of(built.bench), built.changes


def load_shop(path: Path | None) -> ShopFile | None:
    """The shop file of an option; None if it was not given."""
    if path is None:
        return None
    from treenail.checks.shop_file import read_shop

    return read_shop(path)


def _emit(data: Any) -> None:
    click.echo(json.dumps(data, indent=1, allow_nan=False))


def _report_json(bench: Bench, report: Report) -> dict[str, Any]:
    return {
        "bench": bench.name,
        "passed": report.passed,
        "counts": report.counts(),
        "findings": [f.as_dict() for f in report.findings],
        "rules_checked": list(report.checked),
        "rules_not_run": list(report.skipped),
        "tunings": [t.as_dict() for t in report.tunings],
    }


@cli.command()
@_spec
@click.option(
    "-o",
    "--output",
    "folder",
    type=click.Path(path_type=Path),
    required=True,
    help="Folder for the files; an earlier run's files there are replaced.",
)
@click.option("--anyway", is_flag=True, help="Write in spite of errors, marked NOT PASSED.")
@click.option(
    "--dxf-version",
    type=click.Choice(["R12", "R2000", "R2010"]),
    default="R2000",
    show_default=True,
    help="DXF release of the templates.",
)
@click.option(
    "--dxf-units",
    type=click.Choice(["mm", "in"]),
    default="mm",
    show_default=True,
    help="Units of the templates' coordinates.",
)
@click.option(
    "--dxf-curves",
    type=click.Choice(["polylines", "separate"]),
    default="polylines",
    show_default=True,
    help="Closed polylines, or separate lines and arcs for weak readers.",
)
@click.option(
    "--parts",
    "parts_up",
    type=click.Choice(["own", "machining"]),
    default="own",
    show_default=True,
    help="Parts' STEP in their own coordinates, or as they lie on a CNC router, zero at a corner.",
)
@click.option(
    "--papers/--no-papers",
    default=True,
    show_default=True,
    help="The shop's papers, in shop/ (alone, and with more choices: treenail shop).",
)
@click.option(
    "--glue",
    "glue_file",
    type=click.Path(path_type=Path),
    help="Your glue, for the papers (treenail new --glue).",
)
@click.option(
    "--rack",
    "rack_file",
    type=click.Path(path_type=Path),
    help="Your boards, for the papers' stock plan (treenail new --rack).",
)
@_shop
@_measured
@_everything
@_json
def build(
    spec: Path,
    folder: Path,
    *,
    papers: bool,
    glue_file: Path | None,
    rack_file: Path | None,
    shop_file: Path | None,
    measured_file: Path | None,
    anyway: bool,
    dxf_version: Any,
    dxf_units: Any,
    dxf_curves: Any,
    parts_up: Any,
    everything: bool,
    as_json: bool,
) -> None:
    """Build the bench of SPEC, check it, and write STEP, DXF, the shop's papers and a report.

    Errors found by the checks stop the export: nothing is written.
    """
    from treenail import screen
    from treenail.cli_shop import plan_boards
    from treenail.shop.glue import read_glue
    from treenail.templates.outdir import check_folder
    from treenail.templates.shop_folder import Papers

    bench, changes = load_bench(spec, measured_file)
    shop = load_shop(shop_file)
    check_folder(folder)
    out = screen.console()
    if not as_json:
        screen.print_bench(out, bench)
        screen.print_joints(out, bench)
        screen.print_changes(out, bench, changes)
    from treenail.checks import check_context
    from treenail.templates.export import ExportOptions, export_bench

    glue = read_glue(glue_file) if glue_file else None
    boards = plan_boards(bench, shop, rack_file, quiet=as_json) if papers and rack_file else None
    with screen.progress("building", quiet=as_json) as tick:
        tick("loading the geometry kernel")
        context = bench.context(shop=shop, progress=tick)
        report = check_context(context, progress=tick)
        done = None
        if report.passed or anyway:
            done = export_bench(
                folder,
                context=context,
                findings=report,
                options=ExportOptions(
                    dxf_version=dxf_version,
                    dxf_units=dxf_units,
                    dxf_curves=dxf_curves,
                    parts_up=parts_up,
                ),
                papers=Papers(glue=glue, boards=boards, changes=changes) if papers else None,
                anyway=anyway,
                version=__version__,
                progress=tick,
            )
    if as_json:
        _emit(done.report if done else _report_json(bench, report))
    else:
        screen.print_findings(out, report, everything=everything)
        if done:
            if boards:
                screen.print_boards(out, boards)
            screen.print_files(out, done)
    if done is None:
        click.echo(
            "treenail: the checks found errors; nothing was written "
            "(--anyway writes, every file marked NOT PASSED)",
            err=True,
        )
        sys.exit(NOT_PASSED)


@cli.command()
@_spec
@click.option("--numbers", is_flag=True, help="Only what needs no solids: takes half a second.")
@_shop
@_measured
@_everything
@_json
def check(
    spec: Path,
    *,
    numbers: bool,
    shop_file: Path | None,
    measured_file: Path | None,
    everything: bool,
    as_json: bool,
) -> None:
    """Check the bench of SPEC without writing anything; worst findings first."""
    from treenail import screen

    bench, changes = load_bench(spec, measured_file)
    shop = load_shop(shop_file)
    with screen.progress("checking", quiet=as_json or numbers) as tick:
        report = bench.check(shop=shop, numbers_only=numbers, progress=tick)
    if as_json:
        _emit(_report_json(bench, report))
    else:
        out = screen.console()
        screen.print_bench(out, bench)
        screen.print_changes(out, bench, changes)
        screen.print_findings(out, report, everything=everything)
    if not report.passed:
        sys.exit(NOT_PASSED)


@cli.command()
@_spec
@click.option("-o", "--output", "file", type=click.Path(path_type=Path), help="File for the form.")
@click.option("--force", is_flag=True, help="Overwrite the file if it is there.")
def measure(spec: Path, file: Path | None, *, force: bool) -> None:
    """Write an empty form for sizes as they come out of the machines.

    Fill in what is cut, then `treenail build SPEC --measured FORM -o out`: tenons follow the
    real mortises, stretchers the real posts.
    """
    from treenail.shop.measurements import form_text

    text = form_text(load_bench(spec)[0])
    if file is None:
        click.echo(text, nl=False)
        return
    from treenail.templates.outdir import write_file

    write_file(file, text.encode("utf-8"), replace=force)
    click.echo(f"written: {file}\nnext: treenail build {spec} --measured {file} -o out")


@cli.command()
@click.argument("rule", required=False)
@_json
def explain(rule: str | None, *, as_json: bool) -> None:
    """Why RULE exists, where its limit comes from, and what to do; without RULE, list all.

    A parameter or a heading of a spec will do as well: fittings.leg_vise, top.thickness.
    """
    from rich.markup import escape

    from treenail import screen
    from treenail.checks import load_rules
    from treenail.checks.rules import get_rule
    from treenail.generators.explained import is_parameter, parameter_rows

    rules = load_rules()
    if rule and rule not in rules and is_parameter(rule):
        told = parameter_rows(rule)
        if as_json:
            _emit(told)
        else:
            screen.print_parameters(screen.console(), told)
        return
    chosen = [get_rule(rule)] if rule else [rules[code] for code in sorted(rules)]
    fields = ("code", "title", "why", "remedy", "source")
    data = [{name: getattr(r, name) for name in fields} for r in chosen]
    if as_json:
        _emit(data)
        return
    out = screen.console()
    if rule:
        first = data[0]
        out.print(f"[bold]{first['code']}[/bold]: {escape(first['title'])}")
        for name, label in (("why", "why"), ("remedy", "what to do"), ("source", "source")):
            out.print(f"  [bold]{label}[/bold]: {escape(first[name])}")
        return
    out.print(screen.as_rows(data, ["code", "title"]))


@cli.command()
@click.argument("name", required=False)
@_json
def species(name: str | None, *, as_json: bool) -> None:
    """List the woods known, or show one with its figures and their sources."""
    import dataclasses

    from rich.markup import escape

    from treenail import screen
    from treenail.timber.species import get_species, load_species

    if name:
        wood = dataclasses.asdict(get_species(name, field="species"))
        if as_json:
            _emit(wood)
            return
        out = screen.console()
        for field, value in wood.items():
            out.print(f"{field:<20} {escape(str(value))}")
        return
    rows = [
        {
            "name": w.name,
            "kg/m3 at 8 %": round(w.density(8.0)),
            "moves flat, % per % MC": f"{100 * w.c_tangential:.3f}",
            "quartered": f"{100 * w.c_radial:.3f}",
            "MOE, GPa": f"{w.moe / 1000:.1f}",
            "hardness, kN": f"{w.hardness_n / 1000:.1f}",
        }
        for w in load_species().values()
    ]
    if as_json:
        _emit([dataclasses.asdict(w) for w in load_species().values()])
        return
    screen.console().print(screen.as_rows(rows, list(rows[0])))


@cli.command()
@click.argument(
    "which", type=click.Choice(["spec", "shop", "glue", "rack", "report"]), default="spec"
)
def schema(which: str) -> None:
    """Print the JSON Schema of spec, shop or glue files or YAML racks, or of report.json."""
    from importlib.resources import files

    path = files("treenail").joinpath("schemas", f"{which}.schema.json")
    click.echo(path.read_text(encoding="utf-8"), nl=False)


cli.add_command(shop_papers)
cli.add_command(new)
cli.add_command(joints)


def _stopped() -> NoReturn:
    click.echo("treenail: stopped; nothing was written", err=True)
    sys.exit(INTERRUPTED)


def main() -> None:
    """Run; errors end in one line on standard error and an exit status of their own."""
    interrupt = Interrupt()
    signal.signal(signal.SIGINT, interrupt)
    gc.disable()  # a command ends before its garbage matters; collecting costs a tenth of it
    try:
        status = cli.main(standalone_mode=False)
        sys.exit(status if isinstance(status, int) else 0)
    except (click.exceptions.Abort, KeyboardInterrupt):
        _stopped()
    except click.ClickException as error:
        error.show()
        sys.exit(error.exit_code)
    except TreenailError as error:
        click.echo(f"treenail: {error}", err=True)
        sys.exit(error.exit_status)
    except BrokenPipeError:
        sys.stderr.close()
        sys.exit(1)
    except Exception:
        if interrupt.came:
            _stopped()
        raise


if __name__ == "__main__":
    main()
