"""The command line's ``shop``: the papers for milling, machines, pegs, glue and lifting."""

from __future__ import annotations

import json
from pathlib import Path

import click

_path = click.Path(path_type=Path)


@click.command("shop")
@click.argument("spec", type=_path)
@click.option(
    "-o",
    "--output",
    "folder",
    type=_path,
    required=True,
    help="Folder for the pages; an earlier run's files there are replaced.",
)
@click.option(
    "--shop",
    "shop_file",
    type=_path,
    help="What your machines can do (treenail new --shop); without it, a guess.",
)
@click.option(
    "--glue",
    "glue_file",
    type=_path,
    help="Your glue, as its label says (treenail new --glue); without it, a typical one.",
)
@click.option(
    "--measured",
    "measured_file",
    type=_path,
    help="Sizes as they came out (treenail measure); what isn't cut yet follows them.",
)
@click.option("--anyway", is_flag=True, help="Write in spite of errors, marked NOT PASSED.")
@click.option("--json", "as_json", is_flag=True, help="Print data for machines.")
def shop(
    spec: Path,
    folder: Path,
    *,
    shop_file: Path | None,
    glue_file: Path | None,
    measured_file: Path | None,
    anyway: bool,
    as_json: bool,
) -> None:
    """Write the shop's papers: milling, machine set-ups, drawbore, glue-up, assembly, handling.

    They come from the numbers alone; `treenail build` proves the bench on its solids first.
    """
    from treenail import screen
    from treenail.checks import check_context
    from treenail.cli import load_bench, load_shop
    from treenail.shop.glue import read_glue
    from treenail.templates.outdir import check_folder
    from treenail.templates.shop_folder import write_shop

    bench, _ = load_bench(spec, measured_file)
    machines = load_shop(shop_file)
    glue = read_glue(glue_file) if glue_file else None
    check_folder(folder)
    context = bench.context(shop=machines, numbers_only=True)
    report = check_context(context)
    if report.errors and not as_json:
        screen.print_findings(screen.console(), report)
    with screen.progress("writing the papers", quiet=as_json) as tick:
        data = write_shop(context, folder, report, glue=glue, anyway=anyway, progress=tick)
    if as_json:
        click.echo(json.dumps(data, indent=1, allow_nan=False))
        return
    click.echo(f"written to {folder}:")
    for path in sorted(folder.glob("*.md")):
        click.echo(f"  {path.name}")
    click.echo("  and tables (.csv), sketches (.svg), everything as data (shop.json)")
