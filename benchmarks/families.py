"""Measure each family's solids against the bare booleans of the same members, in one run.

Run ``.venv/bin/python benchmarks/families.py [--repeat N] [--json FILE] [SPEC ...]``; without
specs, the examples. Each figure is the best of N (default 5), our own and the bare job by turns.

The bare job gets a box (a rod for pegs) and the cutters of every distinct member for nothing,
already built; only one ``Shape.cut`` for each of them is timed. Ours is everything that
``build_solids`` does from the numbers on: keys, twins, stock, tools, booleans, hardware. A ratio
over the target, 1.2, is a miss; the exit status is then 1.
"""

from __future__ import annotations

import argparse
import json
import time
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from treenail.generators.bench import Bench

EXAMPLES = Path(__file__).resolve().parent.parent / "examples"
#: Our time over that of the bare booleans, at most.
TARGET = 1.2


def specs() -> list[Path]:
    """The examples that are spec files of benches."""
    return [
        path
        for path in sorted(EXAMPLES.glob("skerry-point*.yaml"))
        if "bench:" in path.read_text(encoding="utf-8")
    ]


def bare(bench: Bench) -> Callable[[], Any]:
    """The bare booleans of a bench's distinct members, their stock and cutters built before."""
    from treenail.generators.kernel import cutter_solids, stock_solid
    from treenail.generators.shape_key import shape_key

    work = {}
    for member in bench.members:
        cuts = bench.cuts[member.name]
        key = shape_key(member, cuts)
        if cuts and key not in work:
            tools = [s for cut in cuts for c in cut.cutters(member) for s in cutter_solids(c)]
            work[key] = (stock_solid(member), tools)
    return lambda: [stock.cut(*tools) for stock, tools in work.values()]


def measure(spec: Path, repeat: int) -> dict[str, Any]:
    """Seconds and the ratio of one spec's bench."""
    from treenail import build_spec_file
    from treenail.generators.solids import build_solids, clear_cache

    bench = build_spec_file(spec)
    job = bare(bench)
    ours, theirs = [], []
    for _ in range(repeat):
        clear_cache()
        start = time.perf_counter()
        build_solids(bench)
        middle = time.perf_counter()
        job()
        ours.append(middle - start)
        theirs.append(time.perf_counter() - middle)
    return {
        "spec": spec.stem,
        "family": bench.family,
        "solids_s": min(ours),
        "bare_s": min(theirs),
        "ratio": min(ours) / min(theirs),
    }


def main() -> int:
    """Print the ratios."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("specs", nargs="*", type=Path)
    parser.add_argument("--repeat", type=int, default=5)
    parser.add_argument("--json", type=Path)
    args = parser.parse_args()
    rows = []
    for spec in args.specs or specs():
        row = measure(spec, args.repeat)
        rows.append(row)
        met = row["ratio"] <= TARGET
        print(
            f"{'ok ' if met else 'MISS'} {row['ratio']:8.3f}  {row['family']}: {row['spec']} "
            f"({row['solids_s']:.3f} s / {row['bare_s']:.3f} s, target <= {TARGET:g})",
            flush=True,
        )
    if args.json:
        args.json.write_text(json.dumps({"target": TARGET, "rows": rows}, indent=1) + "\n")
    return int(any(row["ratio"] > TARGET for row in rows))


if __name__ == "__main__":
    raise SystemExit(main())
