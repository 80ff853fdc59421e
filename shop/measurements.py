"""The form for sizes as they came out of the machines, and how it is read back."""

from __future__ import annotations

import difflib
import math
import os
import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

from treenail.generators.spec_values import show
from treenail.generators.yaml_lines import Plain, Tree, placed_errors, read_tree, text_of
from treenail.shop.allowances import usual
from treenail.shop.refit.asked import (
    MEANING,
    Sizes,
    cut_first,
    joint_sizes,
    member_sizes,
)
from treenail.timber.errors import SpecError
from treenail.timber.lengths import format_length, parse_length

if TYPE_CHECKING:
    from treenail.generators.bench import Bench
    from treenail.joints.base import Joint
    from treenail.timber.member import Member

Units = Literal["in", "mm"]
#: A size that is further off than this share of what was asked for is taken for a slip.
SANE = 0.25


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """Sizes as measured, mm; what isn't there has not been measured.

    Attributes:
        members: by member name, then by ``width``, ``thickness``, ``ply_thickness`` or
            ``ply_width``.
        joints: by joint name, then by what ``shop/refit/asked.py`` calls the sizes of its kind.
        file: where it was read.
        lines: line of each field, by dotted name.
    """

    members: Mapping[str, Mapping[str, float]] = field(default_factory=dict)
    joints: Mapping[str, Mapping[str, float]] = field(default_factory=dict)
    file: str | None = None
    lines: Mapping[str, int] = field(default_factory=dict, compare=False, repr=False)


def say_of(bench: Bench) -> Callable[[float], str]:
    """How a bench's measured lengths are written: to 1/64 in with the rest, or 1/100 mm."""
    if bench.units == "in":
        return lambda mm: format_length(mm, unit="in", denominator=64, remainder=True)
    return lambda mm: format_length(mm, unit="mm")


def _taken(mm: float, units: Units) -> str:
    """What is taken for sane, in steps that a rule shows: never beyond what is read back."""
    step = 25.4 / 32 if units == "in" else 0.5
    low, high = math.ceil(mm * (1 - SANE) / step), math.floor(mm * (1 + SANE) / step)
    return " to ".join(format_length(n * step, unit=units) for n in (low, high))


def _roles(bench: Bench) -> Iterator[tuple[str, list[Member]]]:
    """Members by role, in the order in which the bench names them first."""
    groups: dict[str, list[Member]] = {}
    for m in bench.timbers:
        groups.setdefault(m.role, []).append(m)
    yield from groups.items()


def _first_cuts(bench: Bench) -> Iterator[tuple[str, list[tuple[Joint, Sizes]]]]:
    """Joints with sizes to measure, by the member that is cut first, in the members' order."""
    groups: dict[str, list[tuple[Joint, Sizes]]] = {m.name: [] for m in bench.timbers}
    for joint in bench.joints:
        if sizes := joint_sizes(joint):
            groups[cut_first(joint).name].append((joint, sizes))
    yield from ((name, found) for name, found in groups.items() if found)


def asked_sizes(bench: Bench) -> dict[str, dict[str, float]]:
    """Every size that can be measured, as asked for: by dotted place, then field, mm."""
    more = usual(bench.units)
    found = {
        f"members.{m.name}": member_sizes(m, more) for _, group in _roles(bench) for m in group
    }
    for _, group in _first_cuts(bench):
        found |= {f"joints.{joint.name}": sizes for joint, sizes in group}
    return found


def form_text(bench: Bench) -> str:
    """An empty form: every size that can be measured, with what was asked for beside it.

    It goes as the work goes: pieces as they are planed, then the cuts, piece by piece.
    """
    units: Units = "in" if bench.units == "in" else "mm"
    exact = say_of(bench)

    def field(what: str, mm: float) -> str:
        return f"    {what}:  # asked: {exact(mm)}; taken: {_taken(mm, units)}"

    lines = [
        f"# Measured sizes of {bench.name}: write what the piece has after the colon, as you read",
        "# it off the rule or calliper; leave empty what is not cut yet. Then:",
        "#   treenail build SPEC --measured FILE -o out",
        "# What is not yet cut follows: tenons and tongues the real mortises and grooves, boards",
        "# their grooves, stretchers the real posts, bolts and pegs the real holes, and the",
        "# number of plies or strips in a lamination their real planed thickness.",
        *_meanings(bench),
        f"units: {units}",
        "",
        "members:",
    ]
    more = usual(bench.units)
    for role, group in _roles(bench):
        lines.append(f"  # --- planed: {role}")
        for m in group:
            lines.append(f"  {m.name}:")
            lines += [field(what, mm) for what, mm in member_sizes(m, more).items()]
    lines += ["", "joints:"]
    for name, cuts in _first_cuts(bench):
        lines.append(f"  # --- cut in {name}")
        for joint, sizes in cuts:
            others = ", ".join(m.name for m in joint.members if m.name != name)
            lines.append(f"  {joint.name}:  # {joint.kind}" + (f": {others}" if others else ""))
            lines += [field(what, mm) for what, mm in sizes.items()]
    return "\n".join(lines) + "\n"


def _meanings(bench: Bench) -> Iterator[str]:
    """What the names in this bench's form mean, where they don't say it."""
    used = {re.sub(r"_\d+_", "_N_", f) for sizes in asked_sizes(bench).values() for f in sizes}
    if told := [f"#   {name}: {text}" for name, text in MEANING.items() if name in used]:
        yield "# What some of the names mean:"
        yield from told


def read_measured(source: str | os.PathLike[str] | bytes, bench: Bench) -> Measured:
    """Read a form for a bench: a path, or the content as bytes.

    Raises:
        SpecError: with file, line and field.
    """
    text, name = text_of(source)
    tree, lines = read_tree(text, file=name)
    with placed_errors(lines, name):
        return _read(tree, lines, bench, name)


def _read(tree: Tree, lines: dict[str, int], bench: Bench, file: str | None) -> Measured:
    top = _mapping(tree, "", ("units", "members", "joints"))
    units = top.get("units")
    if units not in ("in", "mm"):
        raise SpecError("the form must say its units", field="units", allowed="in, mm")
    unit: Units = "in" if units == "in" else "mm"
    asked = asked_sizes(bench)
    found: dict[str, dict[str, dict[str, float]]] = {"members": {}, "joints": {}}
    for section, places in found.items():
        known = tuple(p.split(".")[1] for p in asked if p.startswith(section))
        given = _mapping(top.get(section, Plain("")), section, known)
        for name, sizes in given.items():
            place = f"{section}.{name}"
            values = _mapping(sizes, place, tuple(asked[place]))
            read = {
                what: _size(value, f"{place}.{what}", unit, asked[place][what])
                for what, value in values.items()
                if not (isinstance(value, Plain) and not value)
            }
            if read:
                places[name] = read
    return Measured(members=found["members"], joints=found["joints"], file=file, lines=lines)


def _mapping(tree: Tree, place: str, known: tuple[str, ...]) -> dict[str, Tree]:
    if isinstance(tree, Plain) and not tree:
        return {}
    if not isinstance(tree, dict):
        raise SpecError(
            f"{show(tree)} stands where fields belong", field=place or None, allowed="name: size"
        )
    for name in tree:
        if name not in known:
            near = difflib.get_close_matches(name, known, n=1)
            hint = f"; did you mean {near[0]!r}?" if near else ""
            raise SpecError(
                f"there is no {show(name)} to measure here{hint}",
                field=f"{place}.{name}" if place else name,
                allowed=", ".join(known[:12]) + (" ..." if len(known) > 12 else ""),
            )
    return tree


def _size(value: Tree, place: str, unit: Units, asked: float) -> float:
    if not isinstance(value, str):
        raise SpecError(f"{show(value)} is not a length", field=place, allowed="one length")
    mm = parse_length(value, unit=unit, field=place)
    low, high = asked * (1 - SANE), asked * (1 + SANE)
    if not low <= mm <= high:
        raise SpecError(
            f"{value} is far from the {format_length(asked, unit=unit)} asked for: a slip of the "
            "pen, or another unit?",
            field=place,
            allowed=f"{format_length(low, unit=unit)} to {format_length(high, unit=unit)}",
        )
    return mm
