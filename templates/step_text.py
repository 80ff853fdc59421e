"""The text of a STEP file (ISO 10303-21): a fixed header, and one order for what has several.

The kernel writes the same model differently from run to run: the header holds the time, the
ids of occurrences come from a counter of the whole process, and colours are ordered and
shared by memory address. ``canonical`` puts all of that into one form, so that the same bench
is the same bytes. Shapes and their order are left as the kernel wrote them.
"""

from __future__ import annotations

import re
import unicodedata
from typing import TYPE_CHECKING

from treenail.timber.errors import KernelError

if TYPE_CHECKING:
    from collections.abc import Sequence

#: Header fields are the same for every run; a file's date is the file system's matter.
TIME_STAMP = "2000-01-01T00:00:00"
ORIGIN = "Treenail"
PREPROCESSOR = "Open CASCADE Technology"
#: Longest name that we write; longer ones are cut by some readers.
MOST_NAME = 60

_ENTITY = re.compile(r"#(\d+)\s*=\s*((?:[^';]+|'[^']*')*);")
_SCHEMA = re.compile(r"FILE_SCHEMA\s*\((?:[^';]+|'[^']*')*;")
# Strings come first, so that what looks like a reference inside one is left alone.
_TOKEN = re.compile(r"'[^']*'|#(\d+)")
_LINE_BREAK = re.compile(r"('[^']*')|[ \t]*\r?\n[ \t]*")
_MINUS_ZERO = re.compile(r"(?<![\w.])-0\.(?=[,)])")
_OCCURRENCE = "NEXT_ASSEMBLY_USAGE_OCCURRENCE("
_OCCURRENCE_ID = re.compile(r"\('[^']*'")
#: These hold numbers, and no text of ours.
_NUMERIC = ("DIRECTION(", "CARTESIAN_POINT(")

_PRESENTATION = "MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION("
_STYLED = ("STYLED_ITEM(", "OVER_RIDING_STYLED_ITEM(")
_STYLES = (
    *_STYLED,
    _PRESENTATION,
    "PRESENTATION_STYLE_ASSIGNMENT(",
    "PRESENTATION_STYLE_BY_CONTEXT(",
    "SURFACE_STYLE_USAGE(",
    "SURFACE_SIDE_STYLE(",
    "SURFACE_STYLE_FILL_AREA(",
    "FILL_AREA_STYLE(",
    "FILL_AREA_STYLE_COLOUR(",
    "CURVE_STYLE(",
    "COLOUR_RGB(",
    "DRAUGHTING_PRE_DEFINED_COLOUR(",
    "DRAUGHTING_PRE_DEFINED_CURVE_FONT(",
)


def plain_name(text: str, *, otherwise: str = "bench", most: int = MOST_NAME) -> str:
    """A person's text as a name that every reader shows alike.

    Accents are dropped; whatever is not an ASCII letter, digit, space or one of ``_ . , ( ) + -``
    becomes an underscore; at most ``most`` characters are kept. ``otherwise`` stands for a
    text in which no letter or digit is left.
    """
    bare = "".join(c for c in unicodedata.normalize("NFKD", text) if not unicodedata.combining(c))
    name = re.sub(r"[^A-Za-z0-9 _.,()+-]", "_", bare)[:most].strip()
    return name if re.search(r"[A-Za-z0-9]", name) else otherwise


def quoted(text: str) -> str:
    r"""A string of ISO 10303-21: quotes and backslashes doubled, the rest as ``\X2\`` codes."""
    found = []
    for c in text:
        if c in "'\\":
            found.append(c + c)
        elif " " <= c <= "~":
            found.append(c)
        elif ord(c) <= 0xFFFF:
            found.append(f"\\X2\\{ord(c):04X}\\X0\\")
        else:
            found.append(f"\\X4\\{ord(c):08X}\\X0\\")
    return "'" + "".join(found) + "'"


def header(file_name: str, description: Sequence[str], schema: str) -> str:
    """The whole HEADER section; ``schema`` is the FILE_SCHEMA entity as the kernel wrote it."""
    said = ",".join(quoted(line) for line in description)
    return (
        "HEADER;\n"
        f"FILE_DESCRIPTION(({said}),'2;1');\n"
        f"FILE_NAME({quoted(file_name)},'{TIME_STAMP}',(''),(''),"
        f"{quoted(PREPROCESSOR)},{quoted(ORIGIN)},'');\n"
        f"{schema}\n"
        "ENDSEC;\n"
    )


def _flat(text: str) -> str:
    """Without the kernel's line breaks, which may stand anywhere between tokens."""
    lines = text.splitlines()
    if any(line.count("'") % 2 for line in lines):  # a string runs over the end of a line
        return _LINE_BREAK.sub(lambda match: match.group(1) or "", text)
    return "".join(line.strip() for line in lines)


def _references(body: str) -> list[int]:
    return [int(m.group(1)) for m in _TOKEN.finditer(body) if m.group(1)]


class _Writer:
    """Gives entities new numbers; among the style entities equal ones become one."""

    def __init__(self, entities: dict[int, str]) -> None:
        self.entities = entities
        self.lines: list[str] = []
        self.number: dict[int, int] = {}
        self._known: dict[str, int] = {}

    def renumbered(self, body: str) -> str:
        """A body with the new numbers of all that it refers to."""
        number = self.number

        def new(match: re.Match[str]) -> str:
            old = match.group(1)
            return f"#{number[int(old)]}" if old else match.group()

        return _TOKEN.sub(new, body)

    def write(self, body: str) -> int:
        """Append an entity whose references have their new numbers already."""
        self.lines.append(body)
        return len(self.lines)

    def write_style(self, old: int) -> None:
        """Write a style entity after all that it refers to; once only if another is equal."""
        if old in self.number:
            return
        body = self.entities[old]
        for reference in _references(body):
            self.write_style(reference)
        text = self.renumbered(body)
        if text not in self._known:
            self._known[text] = self.write(text)
        self.number[old] = self._known[text]


def _styled_target(writer: _Writer, styled: int) -> tuple[int, str]:
    """Order of the styled items: by the (new) number of what they colour."""
    body = writer.entities[styled]
    targets = [writer.number[r] for r in _references(body) if r in writer.number]
    return (min(targets, default=0), body.partition("(")[0])


def _presentation(writer: _Writer, old: int) -> str:
    """A presentation's items in the order of what they colour, all written; its new text."""
    body = writer.entities[old]
    references = _references(body)
    styled = [r for r in references if writer.entities[r].startswith(_STYLED)]
    in_order = iter(sorted(styled, key=lambda r: _styled_target(writer, r)))
    for item in sorted(styled, key=lambda r: _styled_target(writer, r)):
        writer.write_style(item)
    turned = set(styled)

    def swap(match: re.Match[str]) -> str:
        found = match.group(1)
        return f"#{next(in_order)}" if found and int(found) in turned else match.group()

    return writer.renumbered(_TOKEN.sub(swap, body))


def canonical(text: str, *, file_name: str, description: Sequence[str]) -> str:
    """A STEP file's text in one form: the same model gives the same text.

    Args:
        text: as the kernel wrote it.
        file_name: for the header.
        description: lines for the header.

    Returns:
        The file: one entity a line, numbered from 1; style entities last and in the order of
        what they colour, ids of occurrences numbered in their order.

    Raises:
        KernelError: the text is not a STEP file with a header and one data section.
    """
    head, mark, data = text.partition("DATA;")
    schema = _SCHEMA.search(head)
    if not mark or schema is None:
        raise KernelError("the kernel wrote no STEP file")
    entities = {
        int(m.group(1)): m.group(2) for m in _ENTITY.finditer(_flat(data.rpartition("ENDSEC;")[0]))
    }
    styles = {n for n, body in entities.items() if body.startswith(_STYLES)}
    plain = [n for n in entities if n not in styles]
    writer = _Writer(entities)
    writer.number = {old: new for new, old in enumerate(plain, start=1)}
    # Mostly the style entities come last already, and nothing moves.
    moved = any(old != new for old, new in writer.number.items())
    occurrences = 0
    for old in plain:
        body = entities[old]
        if "-0." in body and body.startswith(_NUMERIC):
            body = _MINUS_ZERO.sub("0.", body)
        elif body.startswith(_OCCURRENCE):
            occurrences += 1
            body = _OCCURRENCE_ID.sub(f"('{occurrences}'", body, count=1)
        writer.write(writer.renumbered(body) if moved else body)

    presentations = [n for n, body in entities.items() if body.startswith(_PRESENTATION)]

    def first_coloured(old: int) -> tuple[int, str]:
        items = [r for r in _references(entities[old]) if r in styles]
        return min((_styled_target(writer, r) for r in items), default=(0, ""))

    for old in sorted(presentations, key=first_coloured):
        writer.number[old] = writer.write(_presentation(writer, old))
    body = "".join(f"#{n}={line};\n" for n, line in enumerate(writer.lines, start=1))
    return (
        "ISO-10303-21;\n"
        + header(file_name, description, _flat(schema.group()))
        + f"DATA;\n{body}ENDSEC;\nEND-ISO-10303-21;\n"
    )


__all__ = ["MOST_NAME", "ORIGIN", "TIME_STAMP", "canonical", "header", "plain_name", "quoted"]
