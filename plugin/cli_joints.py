"""The command line's ``joints``: every joint of a bench with its sizes."""

from __future__ import annotations

import json
from pathlib import Path

import click

from treenail.timber.lengths import LengthUnit


@click.command()
@click.argument("spec", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Print data for machines.")
def joints(spec: Path, *, as_json: bool) -> None:
    """List the joints of SPEC that are cut, with their sizes; like ones stand together."""
    from treenail import build_spec_file
    from treenail.templates.joint_report import joint_data, joint_words

    bench = build_spec_file(spec)
    if as_json:
        click.echo(json.dumps([joint_data(j) for j in bench.joints], indent=1, allow_nan=False))
        return
    from treenail import screen

    unit: LengthUnit = "in" if bench.units == "in" else "mm"
    rows: dict[tuple[str, str], list[str]] = {}
    for joint in bench.joints:
        sizes = joint_words(joint, unit)
        if sizes:  # what only touches has none
            rows.setdefault((joint.kind, sizes), []).append(joint.name)
    table = [
        {"joints": ", ".join(names), "kind": kind, "sizes": sizes}
        for (kind, sizes), names in rows.items()
    ]
    screen.console().print(screen.as_rows(table, ["kind", "sizes", "joints"]))
