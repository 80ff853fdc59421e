"""The shop's papers, as a user gets them."""

import csv
import json
from pathlib import Path

import pytest
from click.testing import CliRunner

import treenail
from treenail.cli import cli
from treenail.shop.rack import read_rack
from treenail.shop.rack_text import rack_starter_text
from treenail.timber.errors import ChecksFailed, OutputError, SpecError

ROOT = Path(__file__).resolve().parents[2]
EXAMPLE = str(ROOT / "examples" / "skerry-point.yaml")
SHOP = str(ROOT / "examples" / "skerry-point-shop.yaml")
RACK = str(ROOT / "examples" / "skerry-point-rack.csv")


def run(*args: str | Path) -> str:
    done = CliRunner().invoke(cli, ["shop", *map(str, args)], catch_exceptions=False)
    assert done.exit_code == 0
    return done.output


def check_links(out: Path, text: str) -> None:
    for link in (part.split(")")[0] for part in text.split("](")[1:]):
        assert (out / link).is_file(), link


def test_pages_tables_and_data(tmp_path: Path) -> None:
    out = tmp_path / "papers"
    told = run(EXAMPLE, "--shop", SHOP, "-o", out)
    pages = {p.name for p in out.glob("*.md")}
    assert {"assembly.md", "drawbore.md", "glue-up.md", "handling.md", "milling.md"} <= pages
    assert all(name in told for name in pages)
    for page in out.glob("*.md"):
        text = page.read_text()
        assert text.startswith("# ")
        check_links(out, text)
    for path in out.glob("*.csv"):
        rows = list(csv.DictReader(path.read_text().splitlines()))
        assert rows, path
    data = json.loads((out / "shop.json").read_text())
    assert data["passed"] is True
    assert [s["step"] for s in data["assembly"]] == list(range(1, len(data["assembly"]) + 1))


def test_a_rack_gives_a_stock_plan(tmp_path: Path) -> None:
    out = tmp_path / "papers"
    given = ["--shop", SHOP, "--rack", RACK, "--spares", "shelf board=1", "--match", "stretcher"]
    told = run(EXAMPLE, *given, "-o", out)
    assert "proven" in told
    assert "to buy" not in told
    page = (out / "stock.md").read_text()
    check_links(out, page)
    assert "First-fit decreasing" in page
    data = json.loads((out / "shop.json").read_text())
    boards = data["stock"]["boards"]
    assert len(list((out / "boards").glob("*.svg"))) == len(boards) > 5
    placed = [p["mark"] for b in boards for p in b["pieces"]]
    assert len(placed) == sum(p["count"] for p in data["rough_parts"])
    cuts = list(csv.DictReader((out / "stock-cuts.csv").read_text().splitlines()))
    assert len(cuts) == sum(len(b["steps"]) for b in boards)
    assert data["buying"] == []
    # Without the rack, its pages are gone, and all is to buy.
    told = run(EXAMPLE, "-o", out)
    assert "to buy: 8/4 White ash" in told
    assert not (out / "stock.md").exists()
    assert not (out / "boards").exists()
    bought = list(csv.DictReader((out / "buying.csv").read_text().splitlines()))
    assert {r["wood"] for r in bought} == {"White ash", "White oak"}


def test_the_starter_of_a_rack_is_read(tmp_path: Path) -> None:
    for name in ("rack.csv", "rack.yaml"):
        made = CliRunner().invoke(cli, ["new", "--rack", str(tmp_path / name)])
        assert made.exit_code == 0, made.output
        assert f"--rack {tmp_path / name}" in made.output
    assert read_rack(tmp_path / "rack.csv") == read_rack(tmp_path / "rack.yaml")


@pytest.mark.parametrize(
    ("options", "told"),
    [
        (["--spares", "shelf board"], "--spares"),
        (["--spares", "drawer=1"], "spares.drawer"),
        (["--spares", "peg=1000"], "spares.peg"),
        (["--time-limit", "-1"], "time_limit"),
        (["--time-limit", "nan"], "time_limit"),
        (["--waste", "900"], "waste"),
        (["--rack", RACK, "--match", "drawer"], "match"),
    ],
)
def test_slips_in_the_options(tmp_path: Path, options: list[str], told: str) -> None:
    with pytest.raises(SpecError) as caught:
        run(EXAMPLE, *options, "-o", tmp_path / "papers")
    assert caught.value.field == told
    assert not (tmp_path / "papers").exists()


def test_the_same_from_python(tmp_path: Path) -> None:
    rack = tmp_path / "rack.csv"
    rack.write_text(rack_starter_text("in"))
    bench = treenail.build_spec_file(EXAMPLE)
    boards = bench.boards(read_rack(rack))
    data = bench.shop_papers(tmp_path / "python", boards=boards)
    told = run(EXAMPLE, "--rack", rack, "-o", tmp_path / "screen")
    assert "8/4 White ash: 2 of 2 boards cut" in told
    assert "to buy" in told
    assert data == json.loads((tmp_path / "screen" / "shop.json").read_text())
    for path in (tmp_path / "python").glob("**/*.*"):
        other = tmp_path / "screen" / path.relative_to(tmp_path / "python")
        assert path.read_bytes() == other.read_bytes()


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
    for paper in out.glob("**/*.*"):
        if paper.suffix != ".json":
            assert "NOT PASSED" in paper.read_text(), paper
    assert json.loads((out / "shop.json").read_text())["passed"] is False


def test_slips(tmp_path: Path) -> None:
    glue = tmp_path / "glue.yaml"
    glue.write_text("units: in\nname: x\nstickiness: 3\n")
    with pytest.raises(SpecError, match="stickiness"):
        run(EXAMPLE, "--glue", glue, "-o", tmp_path / "papers")
    rack = tmp_path / "rack.csv"
    rack.write_text(
        "name,species,quarter,width in,length in\nA1,white ash,8/4,9,120\nA2,white ash,8/4,none,9\n"
    )
    with pytest.raises(SpecError) as caught:
        run(EXAMPLE, "--rack", rack, "-o", tmp_path / "papers")
    assert (caught.value.file, caught.value.line) == (str(rack), 3)
    assert caught.value.field == "board 2 (A2), width"
    (tmp_path / "file").write_text("")
    with pytest.raises(OutputError):
        run(EXAMPLE, "-o", tmp_path / "file")
