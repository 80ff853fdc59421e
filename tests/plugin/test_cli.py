"""The command line as a user meets it."""

from __future__ import annotations

import contextlib
import gc
import io
import json
import os
import signal
import subprocess
import sys
import time
from dataclasses import dataclass
from pathlib import Path
from unittest import mock

import jsonschema
import pytest

from treenail.cli import main

ROOT = Path(__file__).resolve().parents[2]
EXAMPLE = ROOT / "examples" / "skerry-point.yaml"


@dataclass(frozen=True)
class Done:
    """What a command came to."""

    returncode: int
    stdout: str
    stderr: str


def run(*args: str | Path, cwd: Path) -> Done:
    """The command line in this process: the same, but for starting Python and the kernel."""
    before, collecting = signal.getsignal(signal.SIGINT), gc.isenabled()
    out, err, status = io.StringIO(), io.StringIO(), 0
    try:
        with (
            contextlib.chdir(cwd),
            contextlib.redirect_stdout(out),
            contextlib.redirect_stderr(err),
            mock.patch.object(sys, "argv", ["treenail", *map(str, args)]),
        ):
            main()
    except SystemExit as ended:
        status = int(ended.code or 0)
    finally:
        signal.signal(signal.SIGINT, before)
        if collecting:
            gc.enable()
    return Done(status, out.getvalue(), err.getvalue())


def start(*args: str | Path, cwd: Path, **more: str) -> subprocess.CompletedProcess[str]:
    """The command line in a process of its own."""
    return subprocess.run(
        [sys.executable, "-m", "treenail.cli", *map(str, args)],
        cwd=cwd,
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, **more},
    )


def schema(name: str) -> dict[str, object]:
    text = (ROOT / "plugin" / "schemas" / f"{name}.schema.json").read_text()
    data: dict[str, object] = json.loads(text)
    return data


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str]:
    folder = tmp_path_factory.mktemp("built")
    done = run("build", EXAMPLE, "-o", "out", cwd=folder)
    assert done.returncode == 0, done.stderr
    return folder / "out", done.stdout


def test_build_writes_what_the_report_lists(built: tuple[Path, str]) -> None:
    out, screen = built
    report = json.loads((out / "report.json").read_text())
    listed = {f["path"] for f in report["files"]}
    there = {p.relative_to(out).as_posix() for p in out.rglob("*") if p.is_file()}
    assert there == listed | {"report.json"}
    assert {"bench.step", "cutlist.csv", "drawing.svg"} <= listed
    assert "checks passed" in screen
    assert '60" long' in screen
    assert "\x1b" not in screen  # no colours where there is no terminal


def test_the_shops_papers_lie_in_the_build(built: tuple[Path, str], tmp_path: Path) -> None:
    """The same as `treenail shop` writes by itself."""
    out, _ = built
    alone = run("shop", EXAMPLE, "-o", "papers", cwd=tmp_path)
    assert alone.returncode == 0, alone.stderr
    written = {p.name for p in (tmp_path / "papers").iterdir()} - {"report.json"}
    assert written == {p.name for p in (out / "shop").iterdir()}
    for name in written:
        assert (tmp_path / "papers" / name).read_bytes() == (out / "shop" / name).read_bytes()


def test_the_report_keeps_its_schema(built: tuple[Path, str]) -> None:
    out, _ = built
    report = json.loads((out / "report.json").read_text())
    jsonschema.Draft202012Validator.check_schema(schema("report"))
    jsonschema.validate(report, schema("report"))
    measured = [j for j in report["joints"] if "measured" in j]
    assert len(measured) == 16


def test_a_second_build_is_byte_identical(built: tuple[Path, str], tmp_path: Path) -> None:
    out, _ = built
    again = start("build", EXAMPLE, "-o", "again", "--json", cwd=tmp_path, PYTHONHASHSEED="77")
    assert again.returncode == 0, again.stderr
    for path in sorted(p for p in out.rglob("*") if p.is_file()):
        assert path.read_bytes() == (tmp_path / "again" / path.relative_to(out)).read_bytes(), path
    assert json.loads(again.stdout) == json.loads((out / "report.json").read_text())


def broken(tmp_path: Path) -> Path:
    path = tmp_path / "broken.yaml"
    path.write_text("bench: frame\nunits: in\nupper_end: {height: 26}\n")
    return path


def test_errors_stop_the_export(tmp_path: Path) -> None:
    done = run("build", broken(tmp_path), "-o", "out", cwd=tmp_path)
    assert done.returncode == 6
    assert "NOT passed" in done.stdout
    assert "nothing was written" in done.stderr
    assert not (tmp_path / "out").exists()


def test_anyway_marks_every_file(tmp_path: Path) -> None:
    done = run("build", broken(tmp_path), "-o", "out", "--anyway", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    report = json.loads((tmp_path / "out" / "report.json").read_text())
    assert report["passed"] is False
    for path in (tmp_path / "out").rglob("*"):
        if path.is_file() and path.name != "report.json":
            assert b"NOT PASSED" in path.read_bytes(), path


def test_a_mistake_in_a_process_of_its_own(tmp_path: Path) -> None:
    (tmp_path / "mine.yaml").write_text("bench: frame\nunits: in\nlenght: 60\n")
    done = start("check", "--numbers", "mine.yaml", cwd=tmp_path)
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.startswith("treenail: mine.yaml, line 3")
    assert done.stderr == run("check", "--numbers", "mine.yaml", cwd=tmp_path).stderr


def test_check_numbers_needs_no_kernel(tmp_path: Path) -> None:
    code = (
        "import sys; sys.argv = ['treenail', 'check', '--numbers', sys.argv[1]]\n"
        "from treenail.cli import main\n"
        "try: main()\n"
        "except SystemExit as e: print('status', e.code)\n"
        "print(sorted(m for m in ('cadquery', 'OCP', 'scipy', 'numpy', 'pint') "
        "if m in sys.modules))\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, str(EXAMPLE)], capture_output=True, text=True, check=True
    )
    assert done.stdout.endswith("status 0\n[]\n"), done.stdout


@pytest.mark.parametrize(
    ("text", "line", "told"),
    [
        ("bench: frame\nunits: in\nlenght: 60\n", 3, "length"),
        ("bench: frame\nunits: in\nlength: 60 kg\n", 3, "length"),
        ("bench: frame\nunits: in\nlength: -60\n", 3, "length"),
        ("bench: frame\nunits: in\ntop:\n  thickness: .nan\n", 4, "top.thickness"),
        ("bench: frame\nunits: in\ntop:\n  thickness: [1, 2]\n", 4, "top.thickness"),
        ("bench: frame\nunits: in\nlength: 60\nlength: 70\n", 4, "length"),
        ("bench: frame\nunits: in\nname: a/b\n", 3, "name"),
        ("bench: frame\nunits: in\ndepth: 7\n", 3, "depth"),
        ("bench: frame\nunits: in\nlower_long: {height: 40}\n", 3, "lower_long.height"),
        ("bench: frame\nunits: in\nposts: &a {width: 3}\nupper_end: *a\n", 3, "anchor"),
        ("bench: frame\nunits: furlongs\n", 2, "units"),
        ("bench: throne\nunits: in\n", 1, "frame"),
    ],
)
def test_bad_input_gets_one_line_with_its_place(
    tmp_path: Path, text: str, line: int, told: str
) -> None:
    path = tmp_path / "mine.yaml"
    path.write_text(text)
    done = run("check", "--numbers", path.name, cwd=tmp_path)
    assert done.returncode == 2
    assert done.stdout == ""
    assert done.stderr.startswith(f"treenail: mine.yaml, line {line}")
    assert told in done.stderr
    assert done.stderr.count("\n") == 1


def test_a_missing_spec_and_an_unwritable_folder(tmp_path: Path) -> None:
    done = run("build", "none.yaml", "-o", "out", cwd=tmp_path)
    assert (done.returncode, done.stdout) == (2, "")
    assert "none.yaml" in done.stderr
    (tmp_path / "file").write_text("x")
    done = run("build", EXAMPLE, "-o", "file/out", cwd=tmp_path)
    assert done.returncode == 3
    assert "nothing was changed" in done.stderr or "cannot write" in done.stderr
    assert (tmp_path / "file").read_text() == "x"


@pytest.mark.parametrize("delay", [0.4, 2.5])
def test_ctrl_c_leaves_nothing_behind(tmp_path: Path, delay: float) -> None:
    child = subprocess.Popen(
        [sys.executable, "-m", "treenail.cli", "build", str(EXAMPLE), "-o", "out"],
        cwd=tmp_path,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    time.sleep(delay)
    child.send_signal(signal.SIGINT)
    _, told = child.communicate(timeout=60)
    if child.returncode == 0:  # it was quicker than the signal
        assert (tmp_path / "out" / "report.json").exists()
        return
    # A signal that comes while Python itself still starts ends it before it can say so.
    assert child.returncode in (130, -signal.SIGINT)
    assert child.returncode < 0 or told.endswith("treenail: stopped; nothing was written\n")
    assert list(tmp_path.iterdir()) == []


def test_new_writes_a_starter_that_builds(tmp_path: Path) -> None:
    for units in ("in", "mm"):
        done = run("new", f"{units}.yaml", "--units", units, cwd=tmp_path)
        assert done.returncode == 0
        assert run("check", "--numbers", f"{units}.yaml", cwd=tmp_path).returncode == 0
    every = run("new", "--every", cwd=tmp_path).stdout
    assert "tenon_length: 2" in every
    assert "tenon_length" not in (tmp_path / "in.yaml").read_text()
    again = run("new", "in.yaml", cwd=tmp_path)
    assert again.returncode == 3
    assert "there already" in again.stderr


def test_explain_tells_of_parameters_too(tmp_path: Path) -> None:
    one = run("explain", "top.thickness", cwd=tmp_path)
    assert one.returncode == 0
    assert "top.thickness: 2 3/4 to 3 in" in one.stdout
    assert "default 2 7/8, allowed 13/16" in one.stdout
    rows = json.loads(run("explain", "fittings.leg_vise", "--json", cwd=tmp_path).stdout)
    assert rows[0]["parameter"] == "fittings.leg_vise"
    assert rows[0]["allowed"] == ""
    told = {row["parameter"]: row for row in rows}
    assert told["fittings.leg_vise.enabled"]["default"] == "false"
    assert told["fittings.leg_vise.screw_diameter"]["default"] == "auto"
    assert told["fittings.leg_vise.nut.recess"]["why"]
    wrong = run("explain", "top.thicknes", cwd=tmp_path)
    assert wrong.returncode == 2
    assert "did you mean 'top.thickness'?" in wrong.stderr


def test_explain_species_and_schema(tmp_path: Path) -> None:
    listed = run("explain", cwd=tmp_path)
    assert listed.returncode == 0
    codes = [r["code"] for r in json.loads(run("explain", "--json", cwd=tmp_path).stdout)]
    assert len(codes) > 20
    one = run("explain", codes[0], cwd=tmp_path)
    assert "source" in one.stdout
    wrong = run("explain", codes[0] + "x", cwd=tmp_path)
    assert wrong.returncode == 2
    assert codes[0] in wrong.stderr
    assert "White ash" in run("species", cwd=tmp_path).stdout
    assert run("species", "balsa of doom", cwd=tmp_path).returncode == 2
    for which in ("spec", "shop", "glue", "rack", "report"):
        assert json.loads(run("schema", which, cwd=tmp_path).stdout) == schema(which)


def test_measured_sizes_carry_through(tmp_path: Path) -> None:
    assert run("measure", EXAMPLE, "-o", "m.yaml", cwd=tmp_path).returncode == 0
    form = tmp_path / "m.yaml"
    text = form.read_text()
    form.write_text(text.replace("mortise_depth:", "mortise_depth: 2 1/8", 1))
    done = run("check", "--numbers", EXAMPLE, "--measured", "m.yaml", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert "stretcher_upper_front" in done.stdout
    assert "tenon's length" in done.stdout
    done = run("shop", EXAMPLE, "--measured", "m.yaml", "-o", "papers", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert "tenon's length" in (tmp_path / "papers" / "as-built.md").read_text()
    changed = json.loads((tmp_path / "papers" / "shop.json").read_text())["as_built"]
    assert any(c["what"] == "tenon's length" for c in changed)
    form.write_text(text.replace("mortise_depth:", "mortise_depth: 21", 1))
    done = run("check", "--numbers", EXAMPLE, "--measured", "m.yaml", cwd=tmp_path)
    assert done.returncode == 2
    assert done.stderr.startswith("treenail: m.yaml, line ")
