"""Every family, smallest, usual and largest, in inches and mm, builds, validates and exports.

A table of what was built is printed at the end of the run (tests/conftest.py), with how many
files were exported: of all in the deep suite, of a sample in the quick one.
"""

import csv
import io
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any, cast

import cadquery as cq
import ezdxf
import pytest
from steputils import p21

import treenail
from tests.families.sizes import SAMPLE, SIZES, UNAVOIDABLE, UNITS, Units
from treenail.generators.families import FAMILIES
from treenail.generators.spec_values import build_spec
from treenail.generators.usual_sizes import usual_spec
from treenail.shop.cutlist import cut_list
from treenail.templates.report import report_data

Record = Callable[[str, object], None]
GRID = [(f, s, u) for f in SIZES for s in SIZES[f] for u in UNITS]


def bench(family: str, size: str, units: Units) -> treenail.Bench:
    spec = build_spec(
        FAMILIES[family], SIZES[family][size], units=units, base=usual_spec(family, units)
    )
    return treenail.bench_of(spec, units=units)


def occurrences(step: str) -> set[str]:
    """The names of everything placed in an assembly, as a parser without a kernel sees them."""
    instances = p21.loads(step).data[0].instances.values()
    simple = (i.entity for i in instances if isinstance(i, p21.SimpleEntityInstance))
    return {str(e.params[1]) for e in simple if e.name == "NEXT_ASSEMBLY_USAGE_OCCURRENCE"}


def row(size: str, units: Units, data: dict[str, Any]) -> list[str]:
    """One line of the table, but for the files."""
    about, totals = data["bench"], data["totals"]
    sizes = [f"{about[f'{side}_mm']:.0f}" for side in ("length", "depth", "height")]
    return [
        about["family"],
        size,
        units,
        " x ".join(sizes),
        *(str(totals[what]) for what in ("members", "joints")),
        f"{totals['mass_kg']:.1f}",
        *(str(totals[what]) for what in ("warning", "advice")),
    ]


def unexpected(family: str, size: str, report: treenail.Report) -> list[str]:
    """Warnings of the usual size: nobody should have to mend the defaults."""
    known = UNAVOIDABLE.get(family, {}) if size == "usual" else {w.rule for w in report.findings}
    warnings = [f for f in report.findings if f.severity == "warning"]
    return [f.message for f in warnings if f.rule not in known]


def test_every_family_has_its_sizes() -> None:
    assert set(SIZES) == set(FAMILIES)
    assert {family for family, _, _ in SAMPLE} == set(FAMILIES)
    assert all(set(sizes) == {"smallest", "usual", "largest"} for sizes in SIZES.values())


@pytest.mark.parametrize(("family", "size", "units"), GRID)
def test_it_builds_and_validates(
    family: str, size: str, units: Units, record_property: Record
) -> None:
    made = bench(family, size, units)
    lows, highs = zip(*made.bounds.values(), strict=True)
    extent = [max(p[i] for p in highs) - min(p[i] for p in lows) for i in range(3)]
    assert extent == pytest.approx(made.asked, abs=1e-6)
    report = made.check(numbers_only=True)
    assert report.errors == ()
    assert unexpected(family, size, report) == []
    data = report_data(
        made, report, rows=cut_list(made), shared_with={}, measured={}, analysis={}, version=""
    )
    record_property("family table", [*row(size, units, data), "-"])


@pytest.mark.parametrize(
    ("family", "size", "units"),
    [
        pytest.param(*case, marks=() if case in SAMPLE else pytest.mark.deep, id="-".join(case))
        for case in GRID
    ],
)
def test_it_exports(
    family: str, size: str, units: Units, tmp_path: Path, record_property: Record
) -> None:
    made = bench(family, size, units)
    written = made.export(tmp_path)
    data = json.loads((tmp_path / "report.json").read_text())
    assert data["passed"] is True
    assert written.findings.errors == ()
    assert unexpected(family, size, written.findings) == []
    # Two readers of STEP that are not ours: the host program's, and one without a kernel.
    read = cq.importers.importStep(str(tmp_path / "bench.step"))
    bolts = sum(bolt.Volume() for bolt in made.solids().bolts.values())
    found = sum(cast("cq.Solid", solid).Volume() for solid in read.solids().vals())
    assert found - bolts == pytest.approx(sum(made.volumes.values()), rel=1e-6)
    names = occurrences((tmp_path / "bench.step").read_text("ascii"))
    assert {m.name for m in made.members} | {h.name for h in made.hardware} <= names
    for path in sorted(tmp_path.glob("templates/*.dxf")):
        assert ezdxf.filemanagement.readfile(path).audit().errors == []
    rows = list(csv.reader(io.StringIO((tmp_path / "cutlist.csv").read_text())))
    assert len(rows) > 1
    record_property("family table", [*row(size, units, data), str(len(data["files"]))])
