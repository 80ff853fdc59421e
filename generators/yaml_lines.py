"""The part of YAML that a spec is written in, read with the line of every field.

Scalars stay the text that stands in the file. What they mean is decided by the parameter they
are for, so YAML's guesses (``no`` is false, ``1:30`` is ninety) never happen. Left out on
purpose: anchors and aliases (a short file can stand for gigabytes, and a size that is written
elsewhere is hard to find), merge keys, tags, and text over several lines.
"""

from __future__ import annotations

import contextlib
import os
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, NoReturn, TypeAlias

import yaml

from treenail.timber.errors import SpecError

__all__ = [
    "MAX_BYTES",
    "MAX_DEPTH",
    "Plain",
    "Tree",
    "decode",
    "join",
    "placed_errors",
    "read_tree",
    "text_of",
]

MAX_BYTES = 256 * 1024
"""The largest spec that is read."""
MAX_DEPTH = 10
"""The deepest that sections and lists may stand in each other."""

Tree: TypeAlias = "str | list[Tree] | dict[str, Tree]"


class Plain(str):
    """Text that stands in the file without quotes: perhaps a number, perhaps nothing at all."""

    __slots__ = ()


def join(path: str, name: str) -> str:
    """Add a name to a dotted field."""
    return f"{path}.{name}" if path else name


def decode(content: bytes, *, file: str | None = None) -> str:
    """Return the text of a spec file's bytes: UTF-8, no longer than :data:`MAX_BYTES`."""
    if len(content) > MAX_BYTES:
        raise SpecError(
            "the file is too long for a spec", file=file, allowed=f"up to {MAX_BYTES // 1024} kB"
        )
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise SpecError(
            f"byte 0x{content[error.start]:02x} is not UTF-8 text",
            file=file,
            line=content.count(b"\n", 0, error.start) + 1,
            allowed="a text file in UTF-8",
        ) from None


def text_of(source: str | os.PathLike[str] | bytes) -> tuple[str, str | None]:
    """Return the text of a file, or of its content, and the file's name if it has one.

    Bytes, and a text with a line break in it, are content; any other text is a path. Raises
    :class:`SpecError` if the file can't be read.
    """
    if isinstance(source, bytes):
        return decode(source), None
    if isinstance(source, str) and ("\n" in source or "\r" in source):
        return source, None
    name = str(source)
    try:
        with Path(source).open("rb") as stream:
            content = stream.read(MAX_BYTES + 1)
    except OSError as error:
        raise SpecError(f"can't be read: {error.strerror or error}", file=name) from None
    except ValueError:
        raise SpecError("is no name for a file", file=name) from None
    return decode(content, file=name), name


@contextlib.contextmanager
def placed_errors(lines: Mapping[str, int], file: str | None) -> Iterator[None]:
    """Give a SpecError of the block the file, and the line of its field or of what holds it."""
    try:
        yield
    except SpecError as error:
        place, line = error.field, None
        while place and line is None:
            line = lines.get(place)
            place = place.rpartition(".")[0]
        raise error.at(file=file, line=line) from None


def read_tree(text: str, *, file: str | None = None) -> tuple[Tree, dict[str, int]]:
    """Read one YAML document.

    Returns its nested dicts, lists and texts, and the line (from 1) of each dotted field; the
    items of a list count from 1: ``species_added.1.name``. An empty document is an empty
    :class:`Plain`. Raises :class:`SpecError` with file and line.
    """
    if len(text) > MAX_BYTES or len(text.encode("utf-8", "replace")) > MAX_BYTES:
        raise SpecError(
            "the text is too long for a spec", file=file, allowed=f"up to {MAX_BYTES // 1024} kB"
        )
    builder = _Builder(file)
    try:
        for event in yaml.parse(text, Loader=yaml.SafeLoader):
            builder.take(event)
    except SpecError:
        raise  # it's a ValueError too
    except yaml.YAMLError as error:
        raise _explain(error, text, file) from None
    except (ValueError, OverflowError, IndexError) as error:
        # PyYAML lets these through: "\UFFFFFFFF", or a directive with a number of a mile.
        raise SpecError(f"this is not YAML ({error})", file=file, line=builder.line) from None
    return builder.root, builder.lines


@dataclass(slots=True)
class _Open:
    """A mapping or list that isn't closed yet."""

    path: str
    line: int
    content: dict[str, Tree] | list[Tree]
    key: str | None = None


@dataclass(slots=True)
class _Builder:
    """Puts the parser's events together, without recursion."""

    file: str | None
    root: Tree = field(default_factory=Plain)
    lines: dict[str, int] = field(default_factory=dict)
    line: int = 1
    _stack: list[_Open] = field(default_factory=list)
    _documents: int = 0

    def take(self, event: Any) -> None:
        self.line = event.start_mark.line + 1
        if isinstance(event, yaml.DocumentStartEvent):
            self._documents += 1
            if self._documents > 1:
                self._refuse("a second document begins here", "one bench a file")
        elif isinstance(event, yaml.AliasEvent):
            self._refuse(
                f"*{event.anchor} stands for text elsewhere: each size has to be readable where"
                " it is used, so aliases are not read",
                "the value itself",
            )
        elif isinstance(event, yaml.NodeEvent):
            self._node(event)
        elif isinstance(event, yaml.CollectionEndEvent):
            self._stack.pop()

    def _node(self, event: Any) -> None:
        if event.anchor is not None:
            self._refuse(
                f"&{event.anchor} names this value for use elsewhere: each size has to be readable"
                " where it is used, so anchors are not read",
                "the value without &",
            )
        if event.tag is not None:
            self._refuse(
                "the tag in front of this value is not read (a value's kind follows from its"
                " field)",
                "the value without !",
            )
        top = self._stack[-1] if self._stack else None
        if top is not None and isinstance(top.content, dict) and top.key is None:
            self._key(event, top, top.content)
            return
        if isinstance(event, yaml.ScalarEvent):
            self._place(top, self._scalar(event))
            return
        if len(self._stack) >= MAX_DEPTH:
            self._refuse("the sections are nested too deep", f"up to {MAX_DEPTH} levels")
        content: dict[str, Tree] | list[Tree] = (
            {} if isinstance(event, yaml.MappingStartEvent) else []
        )
        self._stack.append(_Open(self._place(top, content), self.line, content))

    def _key(self, event: Any, top: _Open, content: dict[str, Tree]) -> None:
        if not isinstance(event, yaml.ScalarEvent):
            self._refuse("a field's name has to be a word, not a list or a section")
        name = str(self._scalar(event))
        if name == "<<":
            self._refuse(
                "<< takes in fields from elsewhere: merge keys are not read",
                "the fields themselves",
            )
        if not name:
            self._refuse("a field without a name")
        path = join(top.path, name)
        if name in content:
            self._refuse(f"{name!r} is given twice (first in line {self.lines.get(path, '?')})")
        self.lines[path] = self.line
        top.key = name

    def _scalar(self, event: Any) -> str:
        if event.end_mark.line != event.start_mark.line:
            if event.style in ("'", '"'):
                self._refuse(
                    f"the quote that is opened here is not closed on its line, but in line"
                    f" {event.end_mark.line + 1}; a size that ends in inches needs no quotes"
                    " around it",
                    'text on one line, such as 1 9/16 or "1 9/16 in"',
                )
            self._refuse(
                f"the text runs on into line {event.end_mark.line + 1}, which is indented too far"
                " for a field of its own or lacks its colon",
                "text on one line",
            )
        return str(event.value) if event.style else Plain(event.value)

    def _place(self, top: _Open | None, value: Tree) -> str:
        """Put a value where it belongs and return its path."""
        if top is None:
            self.root = value
            return ""
        if isinstance(top.content, list):
            top.content.append(value)
            path = join(top.path, str(len(top.content)))
            self.lines[path] = self.line
            return path
        assert top.key is not None
        top.content[top.key] = value
        path, top.key = join(top.path, top.key), None
        return path

    def _refuse(self, message: str, allowed: str | None = None) -> NoReturn:
        where = self._stack[-1].path if self._stack else ""
        if self._stack and self._stack[-1].key is not None:
            where = join(where, self._stack[-1].key)
        raise SpecError(
            message, file=self.file, line=self.line, field=where[:120] or None, allowed=allowed
        )


_TAB = re.compile(r"^ *\t", re.MULTILINE)


def _explain(error: yaml.YAMLError, text: str, file: str | None) -> SpecError:
    """Turn the parser's error into one that says what to do."""
    if isinstance(error, yaml.reader.ReaderError):
        bad_line = text.count("\n", 0, error.position) + 1
        code = error.character if isinstance(error.character, int) else ord(error.character)
        return SpecError(
            f"the character U+{code:04X} can't stand in a spec",
            file=file,
            line=bad_line,
            allowed="text without control characters",
        )
    mark = getattr(error, "problem_mark", None) or getattr(error, "context_mark", None)
    context = getattr(error, "context", None) or ""
    problem: str = getattr(error, "problem", None) or "it can't be read"
    start = getattr(error, "context_mark", None)
    line = mark.line + 1 if mark is not None else None
    if "quoted scalar" in context and start is not None and "end of stream" in problem:
        return SpecError(
            "the quote that is opened here is never closed",
            file=file,
            line=start.line + 1,
            allowed='both quotes or none: 1 9/16 or 5\' 3" or "2 in"',
        )
    if r"'\t'" in problem:
        shown = _line_of(text, line)
        where = "in front of the field" if _TAB.match(shown) else "here"
        return SpecError(
            f"a tab stands {where}, which YAML doesn't allow",
            file=file,
            line=line,
            allowed="spaces",
        )
    if problem.startswith("mapping values are not allowed"):
        problem = (
            "a colon stands where no field can begin: the indentation doesn't fit, or a value"
            " with a colon in it lacks quotes"
        )
    elif "could not find expected ':'" in problem and start is not None:
        line = start.line + 1
        problem = "no colon stands after this field's name"
    elif "block end" in problem:
        problem = (
            "the line doesn't fit what stands above it: look for wrong indentation, or"
            " text after a closing quote"
        )
    else:
        problem = f"this is not YAML: {problem}"
    return SpecError(problem, file=file, line=line)


def _line_of(text: str, line: int | None) -> str:
    lines = text.splitlines()
    return lines[line - 1] if line is not None and 0 < line <= len(lines) else ""
