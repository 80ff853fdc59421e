"""The errors that Treenail raises on purpose.

Every one derives from :class:`TreenailError` and, where the standard library has a fitting
class, from that too, so ``except ValueError`` keeps working in a caller that never heard of
Treenail. Each carries the exit status that the command line ends with. All are picklable,
because batches run in spawned processes and their failures have to come home.
"""

from __future__ import annotations

from typing import Any

__all__ = [
    "ChecksFailed",
    "GeometryError",
    "KernelError",
    "OutputError",
    "SpecError",
    "TreenailError",
]


class TreenailError(Exception):
    """Base class of every error raised on purpose; ``exit_status`` is the command line's."""

    exit_status: int = 1


def _rebuild_spec_error(cls: type[SpecError], places: dict[str, Any]) -> SpecError:
    """Unpickle a SpecError (keyword-only arguments defeat the default of Exception)."""
    return cls(**places)


class SpecError(TreenailError, ValueError):
    """Something a person wrote is wrong: a size, a name, a unit, a whole spec.

    ``message`` says what is wrong, ``file``, ``line`` and ``field`` say where, ``allowed``
    says what would have been right. Whatever isn't known where the error is raised is filled
    in later with :meth:`at`.
    """

    exit_status = 2

    def __init__(
        self,
        message: str | None = None,
        *,
        file: str | None = None,
        line: int | None = None,
        field: str | None = None,
        allowed: str | None = None,
    ) -> None:
        """Take what is known; everything but the message is given by keyword."""
        super().__init__(message or "")
        self.message = message
        self.file = file
        self.line = line
        self.field = field
        self.allowed = allowed

    def __str__(self) -> str:
        """One line: ``bench.yaml, line 12, top.thickness: what is wrong; allowed: ...``."""
        place = [_one_line(self.file)] if self.file else []
        if self.line is not None:
            place.append(f"line {self.line}")
        if self.field:
            place.append(_one_line(self.field))
        text = _one_line(self.message or "not valid")
        if place:
            text = f"{', '.join(place)}: {text}"
        if self.allowed:
            text = f"{text}; allowed: {_one_line(self.allowed)}"
        return text

    def __reduce__(self) -> tuple[Any, ...]:
        """Pickle by the keyword arguments."""
        return (_rebuild_spec_error, (type(self), self._places()))

    def _places(self) -> dict[str, Any]:
        return {
            "message": self.message,
            "file": self.file,
            "line": self.line,
            "field": self.field,
            "allowed": self.allowed,
        }

    def at(
        self,
        *,
        file: str | None = None,
        line: int | None = None,
        field: str | None = None,
    ) -> SpecError:
        """Return a copy with the places that are still missing filled in.

        What is already known stays: the innermost reader knows best where it stood.
        """
        places = self._places()
        if places["file"] is None:
            places["file"] = file
        if places["line"] is None:
            places["line"] = line
        if places["field"] is None:
            places["field"] = field
        return type(self)(**places)


class OutputError(TreenailError, OSError):
    """A file couldn't be written, or not whole."""

    exit_status = 3


class GeometryError(TreenailError, ValueError):
    """The sizes are each allowed, but the design's geometry can't exist."""

    exit_status = 4


class KernelError(TreenailError, RuntimeError):
    """The solid kernel failed, or gave a solid that isn't what the numbers say."""

    exit_status = 5


class ChecksFailed(TreenailError):
    """The validation layer found failures, so nothing was written."""

    exit_status = 6


def _one_line(text: str) -> str:
    """Show control characters (a line feed in a name, say) as escapes."""
    return "".join(c if c.isprintable() else c.encode("unicode_escape").decode() for c in text)
