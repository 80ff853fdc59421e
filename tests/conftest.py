"""Settings that hold for every test: Hypothesis profiles, and the table of families built."""

import gc
import os

import pytest
from hypothesis import HealthCheck, settings

# Deadlines and "too slow" measure the machine, which runs several things at once, not the code.
_COMMON = settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])

settings.register_profile("dev", _COMMON, max_examples=20)
# The same examples on every run: a red CI is then always a change's doing.
settings.register_profile("ci", _COMMON, max_examples=20, derandomize=True, print_blob=True)
settings.register_profile("deep", _COMMON, max_examples=1000)

settings.load_profile(
    os.environ.get("TREENAIL_HYPOTHESIS") or ("ci" if os.environ.get("CI") else "dev")
)


def pytest_configure() -> None:
    """Imports and collection leave no garbage worth looking for: half a million lasting objects."""
    gc.disable()


def pytest_collection_finish() -> None:
    """What is there now stays; from here on, garbage is looked for, but less often."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(100_000, 20, 20)
    gc.enable()


_HEAD = ["family", "size", "units", "mm", "members", "joints", "kg", "warnings", "advice", "files"]


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """A table of the benches that were built, one line a family, size and unit."""
    reports = terminalreporter.getreports("passed")
    rows = sorted(v for r in reports for k, v in r.user_properties if k == "family table")
    if not rows:
        return
    # Where a bench was exported too, that line (with its solids checked) takes the other's place.
    by_bench = {tuple(row[:3]): row for row in rows if row[-1] == "-"}
    by_bench |= {tuple(row[:3]): row for row in rows if row[-1] != "-"}
    table = [_HEAD, *by_bench.values()]
    widths = [max(len(line[i]) for line in table) for i in range(len(_HEAD))]
    terminalreporter.section("families, built, validated and exported")
    for line in table:
        cells = (text.ljust(wide) for text, wide in zip(line, widths, strict=True))
        terminalreporter.write_line("  ".join(cells).rstrip())
