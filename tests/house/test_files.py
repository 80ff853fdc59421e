"""What may stand in a committed file, and how long a module may grow."""

import re
from pathlib import Path

from tests.house.source import ROOT, python_files, tracked_files

MOST_LINES = 450
# The documents that set the work off are no source: a reader can't look them up. The word is put
# together here so that this file may be read too.
UNSOURCED = re.compile(r"\b(" + "trans" + r"cript|seed " + r"document)\b", re.IGNORECASE)
MACHINE_PATH = re.compile(r"(?<![\w.])/(?:work|root|farm|home/\w+)/")
# It says where the project comes from.
MAY_NAME_ITS_ORIGIN = {Path("DEVELOPERS.md")}


def text_of(path: Path) -> str:
    return (ROOT / path).read_bytes().decode("utf-8", errors="replace")


def lines_that_match(pattern: re.Pattern[str], text: str) -> list[str]:
    return [
        f"line {number}: {line.strip()}"
        for number, line in enumerate(text.splitlines(), start=1)
        if pattern.search(line)
    ]


def test_a_module_has_one_subject() -> None:
    lengths = {str(path): len(text_of(path).splitlines()) for path in python_files()}
    assert {path: lines for path, lines in lengths.items() if lines > MOST_LINES} == {}


def test_the_patterns_find_what_they_look_for() -> None:
    assert lines_that_match(UNSOURCED, "as the " + "Trans" + "cript says")
    assert lines_that_match(MACHINE_PATH, "open('/" + "root/x/y')")
    assert not lines_that_match(MACHINE_PATH, "joints/work/root/x and https://a.b/work/")


def test_no_file_cites_what_a_reader_cannot_look_up() -> None:
    found = {
        str(path): lines
        for path in tracked_files()
        if path not in MAY_NAME_ITS_ORIGIN and (lines := lines_that_match(UNSOURCED, text_of(path)))
    }
    assert found == {}


def test_no_file_holds_a_machines_path() -> None:
    found = {
        str(path): lines
        for path in tracked_files()
        if (lines := lines_that_match(MACHINE_PATH, text_of(path)))
    }
    assert found == {}
