"""The starter: a spec file with every parameter, its default, its range and why.

Reading it gives exactly the family's default spec; a user changes the lines that matter.
"""

from __future__ import annotations

import fnmatch
import re
import textwrap
from collections.abc import Callable
from typing import Any

from treenail.generators.families import family_spec
from treenail.generators.params import Param, params
from treenail.generators.spec_values import AUTO, Units, range_text
from treenail.generators.temperatures import bare_scale, bare_temperature
from treenail.generators.usual_sizes import told, usual_spec
from treenail.timber.errors import SpecError
from treenail.timber.lengths import MM_PER_INCH, format_number

__all__ = ["comment_lines", "section_lines", "spec_length", "starter_text", "value_text"]

_WIDTH = 100
# What YAML readers (editors, say) take for something other than text.
_NOT_TEXT = {"", "y", "n", "yes", "no", "on", "off", "true", "false", "null", AUTO}
_WORDS = re.compile(r"[A-Za-z][A-Za-z0-9 _-]*", re.ASCII)


#: What a short starter has, of whichever family: dotted names, ``*`` for any one part.
MAIN = (
    *("name", "length", "depth", "height", "below", "working_height", "species", "top_species"),
    *("fit", "moisture.at_build", "moisture.driest", "moisture.wettest"),
    *("top.kind", "top.ends", "top.thickness", "top.strip", "top.board", "top.overhang_ends"),
    *("top.dog_holes.rows", "top.dog_holes.diameter", "top.dog_holes.pitch"),
    *("posts.per_trestle", "legs.splay", "legs.rake", "*.width", "*.thickness"),
    *("feet.height", "arms.height", "lower_long.height", "lower_end.height", "stretchers.height"),
    *("pegs.diameter", "pegs.offset", "long_joints", "upper", "stretchers", "panels.where"),
    *("shelf.enabled", "end_rails.enabled", "hold.by", "hold.hole", "hold.pitch"),
    *("fittings.*.enabled",),
)


def starter_text(family: str, units: Units, *, spec: Any = None, short: bool = False) -> str:
    """Return a commented spec file of ``family`` with lengths in ``units``.

    Its values are the defaults, or those of ``spec``; ``short`` leaves out what few people
    change. Raises :class:`SpecError` for an
    unknown family or unit, or a ``spec`` of another family.
    """
    if units not in ("in", "mm"):
        raise SpecError(f"{units!r} is no unit for a spec", field="units", allowed="in, mm")
    kind = family_spec(family)
    values = usual_spec(family, units) if spec is None else spec
    if type(values) is not kind:
        raise SpecError(f"{type(values).__name__} is not the spec of {family!r}", field="bench")
    doc = (kind.__doc__ or "A bench.").strip().splitlines()[0]
    more = (
        "The sizes that most people change. `treenail new --every` writes all parameters;"
        " `treenail explain fittings`, say, tells of some."
    )
    own = "1 9/16, 2' 6 1/2\", 38 mm, 3.2 cm"
    lines = [
        *comment_lines(doc, ""),
        *(comment_lines(more, "") if short else ()),
        *comment_lines("Every line may be left out: its default, shown here, then holds.", ""),
        *comment_lines(
            f"Bare numbers are in the units named below; others bring theirs: {own}.", ""
        ),
        *comment_lines(f"{AUTO}: the generator works the size out.", ""),
        "",
        f"bench: {family}",
        f"units: {units}",
        *section_lines(values, units, only=_is_main if short else None),
        *(() if short else ("", *_SPECIES)),
    ]
    return "\n".join(lines) + "\n"


def spec_length(mm: float, units: Units) -> str:
    """Write a length, in mm, as a bare number that a spec in ``units`` reads back.

    Inches as fractions to 1/32 where that is exact, else decimals, both to within 1e-9 mm.
    """
    if units == "in":
        steps = mm / MM_PER_INCH * 32
        if abs(steps - round(steps)) * MM_PER_INCH / 32 < 1e-10:
            return format_number(mm, unit="in", denominator=32)
        return _decimal(mm / MM_PER_INCH, 12)
    return _decimal(mm, 10)


def _is_main(path: str) -> bool:
    """Whether a short starter has this parameter."""
    parts = path.split(".")
    return any(
        len(parts) == len(names) and all(map(fnmatch.fnmatchcase, parts, names))
        for names in (main.split(".") for main in MAIN)
    )


def section_lines(
    spec: Any,
    units: Units,
    indent: str = "",
    *,
    path: str = "",
    only: Callable[[str], bool] | None = None,
) -> list[str]:
    """Write every parameter of a declared dataclass with its value, range and reason.

    ``only`` tells by a parameter's dotted name whether it is written; ``path`` is the name,
    with a dot, of the section that ``spec`` is.
    """
    lines: list[str] = []
    for name, param in params(spec).items():
        value, full = getattr(spec, name), f"{path}{name}"
        if param.kind == "section":
            inner = section_lines(value, units, indent + "  ", path=f"{full}.", only=only)
            if inner:
                lines += [
                    "",
                    *comment_lines(told(param, units), indent),
                    f"{indent}{name}:",
                    *inner,
                ]
        elif only is None or only(full):
            lines += [] if indent else [""]
            lines += _remark(param, units, indent)
            lines.append(f"{indent}{name}: {value_text(param, value, units)}")
    return lines


def _remark(param: Param, units: Units, indent: str) -> list[str]:
    """Why and range in one line if they fit, else the range in a line of its own."""
    why = told(param, units)
    if param.kind == "text":
        return comment_lines(why, indent)
    allowed = f"[{range_text(param, units)}]"
    together = comment_lines(f"{why} {allowed}", indent)
    if len(together) == 1:
        return together
    return [*comment_lines(why, indent), *comment_lines(allowed, indent)]


def value_text(param: Param, value: Any, units: Units) -> str:
    """A parameter's value as a spec has it, in the file's units."""
    if value is None:
        return AUTO
    if param.kind in ("length", "tolerance"):
        return spec_length(value, units)
    if param.kind == "lengths":
        return f"[{', '.join(spec_length(x, units) for x in value)}]"
    if param.kind == "words":
        return f"[{', '.join(value)}]"
    if param.kind == "temperature":
        return f"{_decimal(bare_temperature(value, units), 10)} {bare_scale(units)}"
    if param.kind == "flag":
        return "true" if value else "false"
    if param.kind in ("text", "choice"):
        plain = _WORDS.fullmatch(value) and not value.endswith(" ")
        return value if plain and value.lower() not in _NOT_TEXT else f'"{value}"'
    return _decimal(value, 10)


def _decimal(number: float, places: int) -> str:
    text = f"{number:.{places}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def comment_lines(text: str, indent: str = "") -> list[str]:
    """Wrap a text into comment lines."""
    return textwrap.wrap(
        text,
        _WIDTH,
        initial_indent=f"{indent}# ",
        subsequent_indent=f"{indent}# ",
        break_on_hyphens=False,
    )


_SPECIES = """\
# Woods with figures of your own, to be named in species, top_species or peg_species:
# specific gravity (volume at 12 %), shrinkage in percent from green to ovendry; strengths
# that aren't given are estimated. These figures are invented.
# species_added:
#   - name: skerry elm
#     group: hardwood
#     g_12: 0.55
#     shrink_radial: 4.8
#     shrink_tangential: 8.1
#     mor: 80 MPa
#     source: our own tests""".splitlines()
