"""The shop's papers, as a user gets them."""

import csv
import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from treenail.cli import cli
from treenail.timber.errors import ChecksFailed, OutputError, SpecError

ROOT = Path(__file__).resolve().parents[2]
EXAMPLE = str(ROOT / "examples" / "skerry-point.yaml")
SHOP = str(ROOT / "examples" / "skerry-point-shop.yaml")


def run(*args: str | Path) -> str:
    done = CliRunner().invoke(cli, ["shop", *map(str, args)], catch_exceptions=False)
    assert done.exit_code == 0
    return done.output


def test_pages_tables_and_data(tmp_path: Path) -> None:
    out = tmp_path / "papers"
    told = run(EXAMPLE, "--shop", SHOP, "-o", out)
    pages = {p.name for p in out.glob("*.md")}
    assert {"assembly.md", "drawbore.md", "glue-up.md", "handling.md", "milling.md"} <= pages
    assert all(name in told for name in pages)
    for page in out.glob("*.md"):
        text = page.read_text()
        assert text.startswith("# ")
        for link in (part.split(")")[0] for part in text.split("](")[1:]):
            assert (out / link).is_file(), link
    for path in out.glob("*.csv"):
        rows = list(csv.DictReader(path.read_text().splitlines()))
        assert rows, path
    data = json.loads((out / "shop.json").read_text())
    assert data["passed"] is True
    assert [s["step"] for s in data["assembly"]] == list(range(1, len(data["assembly"]) + 1))


def test_the_same_papers_every_time(tmp_path: Path) -> None:
    for name in ("a", "b"):
        run(EXAMPLE, "-o", tmp_path / name)
    for path in (tmp_path / "a").iterdir():
        assert path.read_bytes() == (tmp_path / "b" / path.name).read_bytes()


def test_errors_stop_the_papers(tmp_path: Path) -> None:
    spec = tmp_path / "broken.yaml"
    spec.write_text("bench: frame\nunits: in\nupper_end: {height: 26}\n")
    out = tmp_path / "papers"
    with pytest.raises(ChecksFailed):
        run(spec, "-o", out)
    assert not out.exists()
    run(spec, "-o", out, "--anyway")
    for page in out.glob("*.md"):
        assert "NOT PASSED" in page.read_text()


def test_slips(tmp_path: Path) -> None:
    glue = tmp_path / "glue.yaml"
    glue.write_text("units: in\nname: x\nstickiness: 3\n")
    with pytest.raises(SpecError, match="stickiness"):
        run(EXAMPLE, "--glue", glue, "-o", tmp_path / "papers")
    (tmp_path / "file").write_text("")
    with pytest.raises(OutputError):
        run(EXAMPLE, "-o", tmp_path / "file")
