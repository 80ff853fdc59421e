"""Measure the main job against a plain CadQuery script, as ratios in one run.

Run ``.venv/bin/python benchmarks/main_job.py [--repeat N] [--json FILE]``. Each figure is the
best of N (default 5). Targets are printed beside them; the exit status is 1 if one is missed.
"""

from __future__ import annotations

import argparse
import json
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

HERE = Path(__file__).resolve().parent
SPEC = HERE.parent / "examples" / "skerry-point.yaml"


def best(job: Callable[[], Any], repeat: int, before: Callable[[], Any] | None = None) -> float:
    """Shortest time of ``repeat`` runs, s; ``before`` runs untimed before each."""
    times = []
    for _ in range(repeat):
        if before:
            before()
        start = time.perf_counter()
        job()
        times.append(time.perf_counter() - start)
    return min(times)


def process(code: list[str]) -> tuple[float, float]:
    """(wall s, peak MB) of a fresh Python process."""
    start = time.perf_counter()
    # Both sides run from compiled files, as installed, whatever this shell says.
    env = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
    child = subprocess.Popen([sys.executable, *code], stdout=subprocess.DEVNULL, env=env)
    _, status, usage = os.wait4(child.pid, 0)
    if status:
        raise SystemExit(f"{code} failed")
    return time.perf_counter() - start, usage.ru_maxrss / 1024


def solids_and_build(repeat: int) -> dict[str, float]:
    """In this process, kernel loaded: modelling, and the whole build."""
    sys.path.insert(0, str(HERE))
    import plain_script

    from treenail import build_spec_file
    from treenail.generators import solids

    bench = build_spec_file(SPEC)
    with tempfile.TemporaryDirectory() as folder:
        out = Path(folder)
        found = {
            "plain_model": best(lambda: plain_script.model(bench), repeat),
            "solids": best(lambda: solids.build_solids(bench), repeat, solids.clear_cache),
        }

        def plain() -> None:
            plain_script.write_step(plain_script.model(bench), out / "plain.step")

        def whole() -> None:
            solids.clear_cache()
            build_spec_file(SPEC).export(out / "whole")

        def validation() -> None:
            build_spec_file(SPEC).check()

        def warm_solids() -> None:
            solids.clear_cache()
            solids.build_solids(bench)

        found["plain_model_and_step"] = best(plain, repeat)
        found["whole_build"] = best(whole, repeat)
        found["validation"] = best(validation, repeat, warm_solids)
    return found


def main() -> int:
    """Print the ratios."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--repeat", type=int, default=5)
    parser.add_argument("--json", type=Path)
    args = parser.parse_args()
    imports = [process(["-c", "import cadquery"]) for _ in range(args.repeat)]
    checks = [
        process(["-m", "treenail.cli", "check", "--numbers", str(SPEC)]) for _ in range(args.repeat)
    ]
    with tempfile.TemporaryDirectory() as folder:
        builds = [
            process(["-m", "treenail.cli", "build", str(SPEC), "-o", f"{folder}/out"])
            for _ in range(min(args.repeat, 3))
        ]
    # Last: a child starts with its parent's memory, so the kernel must not be loaded before.
    t = solids_and_build(args.repeat)
    import_s, import_mb = min(imports)[0], min(i[1] for i in imports)
    rows = [
        ("solids, times faster than the plain script", t["plain_model"] / t["solids"], ">=", 6.0),
        (
            "whole build / plain script with one STEP",
            t["whole_build"] / t["plain_model_and_step"],
            "<=",
            1.0,
        ),
        ("check --numbers / import cadquery", min(checks)[0] / import_s, "<=", 0.25),
        ("peak MB over import cadquery", min(b[1] for b in builds) - import_mb, "<=", 200.0),
        ("validation / building solids", t["validation"] / t["solids"], "<=", 1.5),
    ]
    missed = 0
    for name, value, sign, target in rows:
        met = value >= target if sign == ">=" else value <= target
        missed += not met
        print(f"{'ok ' if met else 'MISS'} {value:8.3f}  {name} (target {sign} {target:g})")
    for name, seconds in t.items():
        print(f"     {seconds:8.3f} s {name}")
    if args.json:
        args.json.write_text(json.dumps({"seconds": t, "ratios": [r[:2] for r in rows]}, indent=1))
    return 1 if missed else 0


if __name__ == "__main__":
    raise SystemExit(main())
