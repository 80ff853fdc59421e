"""The command line's ``shop``: boards, milling, machines, pegs, glue and lifting."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from treenail.api import Bench
    from treenail.checks.shop_file import ShopFile
    from treenail.shop.boards import Boards

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
@click.option(
    "--rack",
    "rack_file",
    type=_path,
    help="Your boards, in CSV or YAML (treenail new --rack); without it, all is to buy.",
)
@click.option(
    "--order",
    type=click.Choice(["crosscut", "rip", "either"]),
    default="crosscut",
    show_default=True,
    help="What comes first at a board; either: whichever leaves less.",
)
@click.option(
    "--time-limit",
    type=float,
    default=30.0,
    show_default=True,
    metavar="S",
    help="Most seconds for the stock plan.",
)
@click.option(
    "--spares",
    multiple=True,
    metavar="PART=N",
    help='Pieces to spare, by role or name: "shelf board=1". May be given again.',
)
@click.option(
    "--match",
    multiple=True,
    metavar="PART",
    help="Role or name whose pieces come out of one board. May be given again.",
)
@click.option(
    "--minimise",
    type=click.Choice(["wood", "price"]),
    default="wood",
    show_default=True,
    help="What the stock plan saves.",
)
@click.option(
    "--waste",
    type=float,
    metavar="PERCENT",
    help="Added to what is to buy (by default 22.5: common practice is 15 to 30).",
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
    rack_file: Path | None,
    anyway: bool,
    as_json: bool,
    **choices: Any,
) -> None:
    """Write the shop's papers: from the boards on the rack to the last lift.

    Rough parts and what to buy, the stock plan of a rack, milling, machine set-ups, drawbore,
    glue-up, assembly and handling. They come from the numbers alone; `treenail build` proves the
    bench on its solids first.
    """
    from treenail import screen
    from treenail.checks import check_context
    from treenail.cli import load_bench, load_shop
    from treenail.shop.glue import read_glue
    from treenail.templates.outdir import check_folder
    from treenail.templates.shop_folder import Papers, write_shop

    bench, changes = load_bench(spec, measured_file)
    machines = load_shop(shop_file)
    glue = read_glue(glue_file) if glue_file else None
    check_folder(folder)
    context = bench.context(shop=machines, numbers_only=True)
    report = check_context(context)
    out = screen.console()
    if report.errors and not as_json:
        screen.print_findings(out, report)
    boards = None
    if anyway or not report.errors:
        boards = plan_boards(bench, machines, rack_file, quiet=as_json, **choices)
    papers = Papers(glue=glue, boards=boards, changes=changes)
    with screen.progress("writing the papers", quiet=as_json) as tick:
        data = write_shop(context, folder, report, papers, anyway=anyway, progress=tick)
    if as_json:
        click.echo(json.dumps(data, indent=1, allow_nan=False))
        return
    if boards is not None:
        screen.print_boards(out, boards)
    click.echo(f"written to {folder}:")
    for path in sorted(folder.glob("*.md")):
        click.echo(f"  {path.name}")
    drawn = " and boards/" if boards and boards.plan.boards else ""
    click.echo(f"  and tables (.csv), drawings (.svg{drawn}), everything as data (shop.json)")


def plan_boards(
    bench: Bench,
    shop: ShopFile | None,
    rack_file: Path | None,
    *,
    order: Any = "crosscut",
    time_limit: float = 30.0,
    spares: tuple[str, ...] = (),
    match: tuple[str, ...] = (),
    minimise: Any = "wood",
    waste: float | None = None,
    quiet: bool,
) -> Boards:
    """Rough parts and stock plan for the options given."""
    from treenail import screen
    from treenail.checks.shop_file import default_shop
    from treenail.shop.rack import read_rack
    from treenail.shop.stock.options import StockOptions, usual_trims

    rack = read_rack(rack_file, species=bench.species) if rack_file else ()
    machines = (shop or default_shop(bench.units)).machines
    options = StockOptions(
        order=order,
        kerf=machines.saw.kerf,
        match=match,
        minimise=minimise,
        waste=StockOptions().waste if waste is None else waste / 100.0,
        time_limit=time_limit,
        **usual_trims(bench.units),
    )
    with screen.search("planning the boards", time_limit, quiet=quiet or not rack) as tick:
        return bench.boards(rack, shop=shop, options=options, spares=_counts(spares), progress=tick)


def _counts(given: tuple[str, ...]) -> dict[str, int]:
    """``PART=N`` as counts by part."""
    from treenail.timber.errors import SpecError

    found: dict[str, int] = {}
    for text in given:
        part, _, many = text.rpartition("=")
        if not part or not (many.isascii() and many.isdigit() and len(many) < 6):
            raise SpecError(
                f"{text[:60]!r} is no count of spare pieces",
                field="--spares",
                allowed='"shelf board=1"',
            )
        found[part.strip()] = found.get(part.strip(), 0) + int(many)
    return found
