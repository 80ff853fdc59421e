"""The command line's ``new``: starters of specs, shop files, glue files and racks."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

_units = click.option(
    "--units",
    type=click.Choice(["in", "mm"]),
    default="in",
    show_default=True,
    help="Units of the starter's numbers.",
)


@click.command()
@click.argument("file", type=click.Path(path_type=Path), required=False)
@_units
@click.option("--shop", is_flag=True, help="A shop file (your machines) instead of a bench.")
@click.option("--glue", is_flag=True, help="A glue file (what its label says) instead.")
@click.option("--rack", is_flag=True, help="A rack (your boards) instead; YAML if FILE is .yaml.")
@click.option(
    "--family",
    default="frame",
    show_default=True,
    metavar="NAME",
    help="Of bench: frame, slab, apron, raised, saw, trestle.",
)
@click.option("--every", is_flag=True, help="Every parameter of the bench, not the main ones.")
@click.option("--force", is_flag=True, help="Overwrite FILE if it is there.")
def new(
    file: Path | None,
    *,
    units: Any,
    shop: bool,
    glue: bool,
    rack: bool,
    family: str,
    every: bool,
    force: bool,
) -> None:
    """Write a starter spec, each parameter explained, to FILE or to the screen."""
    if shop:
        from treenail.checks.shop_text import shop_starter_text

        text = shop_starter_text(units)
    elif glue:
        from treenail.shop.glue import glue_starter_text

        text = glue_starter_text(units)
    elif rack:
        from treenail.shop.rack_text import rack_starter_text

        yaml = file is not None and file.suffix.lower() in (".yaml", ".yml")
        text = rack_starter_text(units, "yaml" if yaml else "csv")
    else:
        from treenail.generators.starter import starter_text

        text = starter_text(family, units, short=not every)
    if file is None:
        click.echo(text, nl=False)
        return
    from treenail.templates.outdir import write_file

    write_file(file, text.encode("utf-8"), replace=force)
    then = f"build {file} -o out"
    if shop:
        then = f"build SPEC --shop {file} -o out"
    elif glue:
        then = f"shop SPEC --glue {file} -o papers"
    elif rack:
        then = f"shop SPEC --rack {file} -o papers"
    click.echo(f"written: {file}\nnext: treenail {then}")
