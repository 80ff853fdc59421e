"""How a bench's parameters are declared: unit, range, default and why, beside each field.

A family's spec is a frozen dataclass whose fields are made by the functions here. The same
declarations feed the reader of spec files, the JSON Schema, the starter file and the help.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

Kind = Literal[
    "length",
    "tolerance",
    "lengths",
    "count",
    "angle",
    "percent",
    "temperature",
    "flag",
    "choice",
    "words",
    "text",
    "section",
]
KEY = "treenail.param"


@dataclass(frozen=True, slots=True)
class Param:
    """One parameter's declaration.

    Attributes:
        kind: how it is written and read. ``length`` is mm inside; a ``tolerance`` is a small
            length, plus or minus; ``lengths`` is a list of them, ``words`` a list of choices; a
            ``temperature`` is °C inside, an ``angle`` degrees.
        why: one sentence: what it does and why the default is what it is.
        default: value used where none is given; None means the generator works it out.
        low, high: range of the number, ends included (mm, count, degrees, percent, °C); in a list,
            of each.
        choices: the words allowed for a ``choice``, or in a list of ``words``.
        optional: may be left to the generator (written ``auto``).
        refused: words that other families have for a ``choice``, and why this one hasn't.
        metric: default in a bench made in millimetres; the round size near by if None.
        inch_sizes: bought in inch sizes, in a bench made in millimetres too.
    """

    kind: Kind
    why: str
    default: Any = None
    low: float | None = None
    high: float | None = None
    choices: tuple[str, ...] = ()
    optional: bool = False
    refused: tuple[tuple[str, str], ...] = ()
    metric: float | None = None
    inch_sizes: bool = False


def _field(param: Param) -> Any:
    return field(default=param.default, metadata={KEY: param})


def mm(
    default: float | None,
    *,
    low: float,
    high: float,
    why: str,
    metric: float | None = None,
    inch_sizes: bool = False,
) -> Any:
    """A length in mm; ``default=None`` leaves it to the generator (``auto``).

    ``metric`` and ``inch_sizes`` as in :class:`Param`.
    """
    value = None if default is None else round(default, 9)  # 24 * 25.4 is 609.5999999999999
    param = Param("length", why, value, low, high, optional=default is None, metric=metric)
    return _field(dataclasses.replace(param, inch_sizes=inch_sizes))


def plus_minus(default: float, *, high: float, why: str) -> Any:
    """What a machine holds: plus or minus so many mm about the size it is set to."""
    return _field(Param("tolerance", why, round(default, 9), 0.0, high))


def sizes(default: tuple[float, ...], *, low: float, high: float, why: str) -> Any:
    """The sizes of a set of tools, in mm: each once, the smallest first; may be empty."""
    value = tuple(sorted({round(x, 9) for x in default}))
    return _field(Param("lengths", why, value, low, high))


def words(default: tuple[str, ...], *, choices: tuple[str, ...], why: str) -> Any:
    """Some of a few words, each once, in an order that counts."""
    return _field(Param("words", why, default, choices=choices))


def count(default: int | None, *, low: int, high: int, why: str) -> Any:
    """A whole number; ``default=None`` leaves it to the generator."""
    return _field(Param("count", why, default, low, high, optional=default is None))


def percent(default: float | None, *, low: float, high: float, why: str) -> Any:
    """A percentage, such as a moisture content; ``default=None`` leaves it open (``auto``)."""
    return _field(Param("percent", why, default, low, high, optional=default is None))


def degrees(default: float, *, low: float, high: float, why: str) -> Any:
    """An angle in degrees."""
    return _field(Param("angle", why, float(default), low, high))


def temperature(default: float | None, *, low: float, high: float, why: str) -> Any:
    """A temperature in °C; ``default=None`` leaves it open (``auto``)."""
    return _field(Param("temperature", why, default, low, high, optional=default is None))


def flag(default: bool, *, why: str) -> Any:
    """Yes or no."""
    return _field(Param("flag", why, default))


def choice(
    default: str,
    *,
    choices: tuple[str, ...],
    why: str,
    refused: Mapping[str, str] | None = None,
) -> Any:
    """One word out of a few; ``refused`` says of others why they make no sense here."""
    no = tuple((refused or {}).items())
    return _field(Param("choice", why, default, choices=choices, refused=no))


def text(default: str, *, why: str) -> Any:
    """A short name of one line."""
    return _field(Param("text", why, default))


def section(kind: type, *, why: str, **defaults: Any) -> Any:
    """A group of parameters; ``defaults`` override the group's own defaults here."""
    default = kind(**defaults)
    return field(default=default, metadata={KEY: Param("section", why, default)})


def params(spec: type | Any) -> Mapping[str, Param]:
    """The declarations of a spec dataclass (or of an instance), by field name, in order."""
    return {f.name: f.metadata[KEY] for f in dataclasses.fields(spec) if KEY in f.metadata}
