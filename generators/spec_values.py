"""From what a person gave, as YAML text or as Python values, to a family's checked spec.

Each value is read by the kind of its :class:`~treenail.generators.params.Param`. Lengths come
out in mm. Whatever is wrong ends in one :class:`SpecError` that names the field.
"""

from __future__ import annotations

import dataclasses
import difflib
import math
import numbers
import re
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, NoReturn, TypeVar

from treenail.generators.params import Param, params
from treenail.generators.ranges import AUTO, MAX_TEXT, MM, Units, inner_limits, range_text
from treenail.generators.temperatures import bare_scale, read_temperature
from treenail.generators.yaml_lines import Plain, join
from treenail.timber.errors import SpecError
from treenail.timber.lengths import format_length, length_system, parse_exact

__all__ = [
    "AUTO",
    "MAX_LIST",
    "MAX_TEXT",
    "Units",
    "build_spec",
    "inner_limits",
    "range_text",
    "show",
]

MAX_LIST = 60
"""Longest list parameter, in items."""

_TEXT = re.compile(r"[A-Za-z0-9 _-]+", re.ASCII)
_DECIMAL = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)", re.ASCII)
_PLUS_MINUS = re.compile(r"\s*(?:±|\+\s*/\s*-|\+-)\s*")
_MAX_DIGITS = 40
_SHOWN = 60
# mm: a limit that was written in decimals of the other unit is still that limit.
_ROUNDING = Fraction(1, 10**9)

T = TypeVar("T")


def build_spec(
    cls: type[T],
    mapping: Mapping[str, Any],
    *,
    units: Units,
    file: str | None = None,
    lines: Mapping[str, int] | None = None,
    beside: tuple[str, ...] = (),
    bare: bool = True,
    base: T | None = None,
) -> T:
    """Check ``mapping`` against the declarations of ``cls`` and make the spec.

    Bare numbers are in ``units``; text may bring its own unit; ``"auto"`` and None leave an
    optional parameter to the generator. A section is a mapping, or an instance of its class
    (whose lengths are mm). Fields that aren't given keep ``base``'s values, or the defaults.
    ``file`` and ``lines`` (dotted field to line) say where the values come from, and ``beside``
    which names the file has beside the spec's own. Without ``bare``, a length or temperature
    that brings no unit is refused, and ``units`` are those of messages. Raises
    :class:`SpecError`.
    """
    if units not in MM:
        raise SpecError(f"{show(units)} is no unit for a spec", field="units", allowed="in, mm")
    reader = _Reader(units, beside, dotted_fields(cls), bare)
    try:
        return reader.section(cls, base, mapping, "")
    except SpecError as error:
        line = _line_for(error.field, lines or {})
        raise error.at(file=file, line=line) from None


def dotted_fields(cls: type[Any], path: str = "") -> tuple[str, ...]:
    """Return every field of a spec as ``top.dog_holes.pitch``, sections included."""
    found: list[str] = []
    for name, param in params(cls).items():
        found.append(join(path, name))
        if param.kind == "section":
            found.extend(dotted_fields(type(param.default), join(path, name)))
    return tuple(found)


def show(value: object) -> str:
    """Show a value in a message: short, on one line, whatever it is."""
    if isinstance(value, Mapping):
        return "a section"
    if isinstance(value, list | tuple | set | frozenset):
        return "a list"
    if isinstance(value, str):
        return repr(str(value)) if len(value) <= _SHOWN else f"{str(value)[:_SHOWN]!r}..."
    if value is None or isinstance(value, bool | float):
        return repr(value)
    if isinstance(value, int):
        return repr(value) if abs(value) < 10**_SHOWN else "a huge whole number"
    return f"a {type(value).__name__}"


@dataclass(frozen=True, slots=True)
class _Reader:
    """Reads values for one spec."""

    units: Units
    beside: tuple[str, ...]
    fields: tuple[str, ...]
    bare: bool

    def section(self, cls: type[T], base: T | None, given: Any, path: str) -> T:
        """Make ``cls`` (or change ``base``) by the fields that are given."""
        if not isinstance(given, Mapping):
            raise SpecError(
                f"{show(given)} stands where fields of a section belong",
                field=path or None,
                allowed=f"{', '.join(params(cls))}",
            )
        declared = params(cls)
        values: dict[str, Any] = {}
        for name, value in given.items():
            if not isinstance(name, str):
                raise SpecError(
                    f"{show(name)} is not the name of a field",
                    field=path or None,
                    allowed="text",
                )
            if name not in declared:
                # A class may tell of what it is often asked for and can't have: why, what instead.
                if told := getattr(cls, "not_here", {}).get(name):
                    raise SpecError(told, field=join(path, name), allowed=", ".join(declared))
                self._unknown(name, declared, path)
            param = declared[name]
            if base is not None and param.kind == "section":
                param = dataclasses.replace(param, default=getattr(base, name))
            values[name] = self.value(param, value, join(path, name))
        try:
            return cls(**values) if base is None else _replaced(base, values)
        except SpecError as error:
            # A rule between several fields, in the dataclass itself, names them as it knows them.
            if error.field and path:
                raise SpecError(
                    error.message, field=join(path, error.field), allowed=error.allowed
                ) from None
            raise error.at(field=path or None) from None

    def value(self, param: Param, value: Any, path: str) -> Any:
        """Read one value."""
        if param.kind == "section":
            return self._subsection(param, value, path)
        if isinstance(value, Plain) and not value:
            self._refuse(param, "nothing stands after the colon", path)
        open_word = (
            isinstance(value, str) and value == AUTO and param.kind not in ("text", "choice")
        )
        if value is None or open_word:
            if param.optional:
                return None
            what = "can't be left open" if value is None else f"can't be left to {AUTO}"
            self._refuse(param, f"this {param.kind} {what}", path)
        if param.kind in ("lengths", "words"):
            return self._list(param, value, path)
        if isinstance(value, Mapping | list | tuple | set | frozenset):
            self._refuse(param, f"{show(value)} stands where {_called(param)} belongs", path)
        if param.kind == "tolerance" and isinstance(value, str):
            value = _PLUS_MINUS.sub("", value, count=1)
        if param.kind in ("length", "tolerance"):
            return self._length(param, value, path)
        if param.kind in ("count", "angle", "percent"):
            return self._number(param, value, path)
        if param.kind == "temperature":
            return self._temperature(param, value, path)
        words = {"flag": self._flag, "choice": self._choice}.get(param.kind, self._text)
        return words(param, value, path)

    def _list(self, param: Param, value: Any, path: str) -> tuple[Any, ...]:
        """Read a list: lengths come out sorted, words in the order given; none stands twice."""
        if not isinstance(value, list | tuple):
            hint = f"; write [{value}]" if isinstance(value, str) and len(value) < _SHOWN else ""
            self._refuse(param, f"{show(value)} is not a list{hint}", path)
        if len(value) > MAX_LIST:
            self._refuse(param, f"the list has {len(value)} items, more than {MAX_LIST}", path)
        each = dataclasses.replace(param, kind="length" if param.kind == "lengths" else "choice")
        found: list[Any] = []
        for number, item in enumerate(value, start=1):
            where = join(path, str(number))
            read = self.value(each, item, where)
            if any(read == x or (isinstance(x, float) and abs(read - x) < 1e-9) for x in found):
                self._refuse(param, f"{show(item)} stands in the list twice", where)
            found.append(read)
        return tuple(sorted(found)) if param.kind == "lengths" else tuple(found)

    def _subsection(self, param: Param, value: Any, path: str) -> Any:
        kind = type(param.default)
        if isinstance(value, Plain) and not value:
            return param.default  # a heading whose fields are all left out
        if isinstance(value, kind):
            # Its lengths are mm already, whatever the units of what stands around it.
            given = {name: getattr(value, name) for name in params(kind)}
            return dataclasses.replace(self, units="mm", bare=True).section(
                kind, value, given, path
            )
        return self.section(kind, param.default, value, path)

    def _length(self, param: Param, value: Any, path: str) -> float:
        try:
            exact = parse_exact(_python_number(value), unit=self.units, field=path)
        except SpecError as error:
            auto = f", or {AUTO}" if param.optional else ""
            raise SpecError(error.message, field=path, allowed=f"{error.allowed}{auto}") from None
        if not self.bare and length_system(value) is None:
            self._refuse_bare(value, path, 'a unit beside it, such as 38 mm or 1 1/2"')
        below, above = _outside(param, exact)
        if below or above:
            limit = param.low if below else param.high
            if limit is not None and abs(exact - Fraction(limit)) <= _ROUNDING:
                return float(limit)
            what = "small" if below else "large"
            length = _length_text(float(exact), self.units)
            hint = self._other_unit(param, value)
            self._refuse(param, f"{show(value)} is {length}, which is too {what}{hint}", path)
        return float(exact)

    def _other_unit(self, param: Param, value: Any) -> str:
        """Say so where the same bare number fits in the other unit: a common slip."""
        other: Units = "in" if self.units == "mm" else "mm"
        if isinstance(value, str) and not re.fullmatch(r"[\d\s./-]+", value):
            return ""
        if any(_outside(param, parse_exact(_python_number(value), unit=other))):
            return ""
        return f" (in {other} it would fit; the spec says units: {self.units})"

    def _number(self, param: Param, value: Any, path: str) -> int | float:
        number = _python_number(value)
        if isinstance(number, str):
            text = number.strip()
            sign = {"percent": "%", "angle": "°"}.get(param.kind, "")
            text = text.removesuffix(sign).rstrip()
            if len(text) > _MAX_DIGITS or not _DECIMAL.fullmatch(text):
                self._refuse(param, f"{show(value)} is not {_called(param)}", path)
            number = Fraction(text)
        if isinstance(number, float) and not math.isfinite(number):
            self._refuse(param, f"{show(value)} is not a finite number", path)
        if isinstance(number, bool) or not isinstance(number, int | float | Fraction):
            self._refuse(param, f"{show(value)} is not {_called(param)}", path)
        below, above = _outside(param, number)
        if below or above:
            what = "small" if below else "large"
            self._refuse(param, f"{show(value)} is too {what}", path)
        if param.kind != "count":
            return float(number)
        if number != int(number):
            self._refuse(param, f"{show(value)} is not a whole number", path)
        return int(number)

    def _temperature(self, param: Param, value: Any, path: str) -> float:
        try:
            celsius = read_temperature(_python_number(value), self.units, field=path)
        except SpecError:
            self._refuse(param, f"{show(value)} is not a temperature", path)
        if not self.bare and not _is_scaled(value):
            self._refuse_bare(value, path, "a unit beside it: 20 C, 68 F")
        below, above = _outside(param, celsius)
        if below or above:
            hint = ""
            if not _is_scaled(value):
                scale = bare_scale(self.units)
                hint = f" (beside units: {self.units} it counts as {scale}; write 20 C or 68 F)"
            what = "cold" if below else "warm"
            self._refuse(param, f"{show(value)} is too {what}{hint}", path)
        return celsius

    def _flag(self, param: Param, value: Any, path: str) -> bool:
        if isinstance(value, bool):
            return value
        if not isinstance(value, str) or value not in ("true", "false"):
            self._refuse(param, f"{show(value)} is neither true nor false", path)
        return value == "true"

    def _choice(self, param: Param, value: Any, path: str) -> str:
        if not isinstance(value, str):
            self._refuse(param, f"{show(value)} is not one of the words allowed", path)
        if value in dict(param.refused):
            reason = dict(param.refused)[value]
            self._refuse(param, f"{show(value)} does not go with this bench: {reason}", path)
        if value not in param.choices:
            near = _nearest(value, param.choices)
            hint = f"; did you mean {near!r}?" if near else ""
            self._refuse(param, f"{show(value)} is not one of the words allowed{hint}", path)
        return str(value)

    def _text(self, param: Param, value: Any, path: str) -> str:
        if not isinstance(value, str):
            self._refuse(param, f"{show(value)} is not text", path)
        text = str(value).strip(" ")
        if not text:
            if param.default == "":
                return ""
            self._refuse(param, "the text is empty", path)
        if len(text) > MAX_TEXT:
            self._refuse(param, f"{show(text)} has {len(text)} characters", path)
        if not _TEXT.fullmatch(text):
            bad = next(c for c in text if not _TEXT.fullmatch(c))
            self._refuse(param, f"{show(text)} has a {bad!r} in it", path)
        return text

    def _refuse(self, param: Param, message: str, path: str) -> NoReturn:
        raise SpecError(message, field=path, allowed=range_text(param, self.units))

    def _refuse_bare(self, value: Any, path: str, unit: str) -> NoReturn:
        raise SpecError(
            f"{show(value)} has no unit, and the spec has no `units:` for bare numbers",
            field=path,
            allowed=f"{unit}; or a line `units: in` or `units: mm` at the top",
        )

    def _unknown(self, name: str, declared: Mapping[str, Param], path: str) -> NoReturn:
        names = (*declared, *(self.beside if not path else ()))
        message = f"there is no field {show(name)} here"
        allowed: str | None = None
        near = _nearest(name, names)
        elsewhere = [f for f in self.fields if f.rpartition(".")[2] == name]
        if name in self.fields:
            message += f"; write {name.rpartition('.')[2]} indented under {name.rpartition('.')[0]}"
        elif near:
            message += f"; did you mean {near!r}?"
        elif elsewhere:
            message += f"; it belongs to {', '.join(elsewhere)}"
        else:
            allowed = ", ".join(names)
        raise SpecError(message, field=join(path, name[:_SHOWN]), allowed=allowed)


def _replaced(base: T, values: dict[str, Any]) -> T:
    changed: T = dataclasses.replace(base, **values)  # type: ignore[type-var]
    return changed


def _outside(param: Param, number: float | Fraction) -> tuple[bool, bool]:
    """Return whether a number is below its range, and whether above."""
    return (
        param.low is not None and number < Fraction(param.low),
        param.high is not None and number > Fraction(param.high),
    )


def _python_number(value: Any) -> Any:
    """Return other libraries' whole and real numbers as Python's own."""
    if isinstance(value, bool | int | float | Fraction | str):
        return str(value) if isinstance(value, str) else value
    if isinstance(value, numbers.Integral):
        return int(value)
    return float(value) if isinstance(value, numbers.Real) else value


def _length_text(mm: float, units: Units) -> str:
    """Write a refused length: with decimals where a fraction would hide what is wrong."""
    text = format_length(mm, unit=units, remainder=True)
    return text if " +" not in text and " -" not in text else f"{mm / float(MM[units]):g} {units}"


def _called(param: Param) -> str:
    names = {"count": "a whole number", "percent": "a percentage", "angle": "an angle in degrees"}
    return names.get(param.kind, f"a {param.kind}")


def _is_scaled(value: Any) -> bool:
    """Whether a temperature says its degrees."""
    return isinstance(value, str) and value.rstrip()[-1:] in ("C", "F")


def _nearest(name: str, names: tuple[str, ...]) -> str | None:
    """Return the name that was probably meant."""
    plain = {re.sub(r"[\s_-]+", "_", known.lower()): known for known in names}
    wanted = re.sub(r"[\s_-]+", "_", name[:_SHOWN].strip().lower())
    near = difflib.get_close_matches(wanted, plain, n=1, cutoff=0.7)
    return plain[near[0]] if near else None


def _line_for(field: str | None, lines: Mapping[str, int]) -> int | None:
    """Return the line of a field, or of the nearest section around it."""
    while field:
        if field in lines:
            return lines[field]
        field = field.rpartition(".")[0]
    return None
