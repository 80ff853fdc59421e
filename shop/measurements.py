"""The form for sizes as they came out of the machines, and how it is read back."""

from __future__ import annotations

import difflib
import os
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

from treenail.generators.spec_values import show
from treenail.generators.yaml_lines import Plain, Tree, placed_errors, read_tree, text_of
from treenail.joints.mortise_tenon import MortiseTenon
from treenail.shop.allowances import EXTRA_PLY, EXTRA_WIDTH
from treenail.timber.errors import SpecError
from treenail.timber.lengths import format_length, parse_length

if TYPE_CHECKING:
    from treenail.generators.bench import Bench
    from treenail.timber.member import Member

Units = Literal["in", "mm"]
#: What can be measured on a member (the last two on the boards of a lamination, before they are
#: glued up), and on a joint.
MEMBER_FIELDS = ("width", "thickness", "ply_thickness", "ply_width")
JOINT_FIELDS = ("mortise_width", "mortise_length", "mortise_depth")
#: A size that is further off than this share of what was asked for is taken for a slip.
SANE = 0.25
_ROLES = ("post", "stretcher")


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """Sizes as measured, mm; what isn't there has not been measured.

    Attributes:
        members: by member name, then by ``width``, ``thickness``, ``ply_thickness`` or
            ``ply_width``.
        joints: by joint name, then by ``mortise_width``, ``mortise_length``, ``mortise_depth``.
        file: where it was read.
        lines: line of each field, by dotted name.
    """

    members: Mapping[str, Mapping[str, float]] = field(default_factory=dict)
    joints: Mapping[str, Mapping[str, float]] = field(default_factory=dict)
    file: str | None = None
    lines: Mapping[str, int] = field(default_factory=dict, compare=False, repr=False)


def stacked(member: Member) -> float:
    """A lamination's size along the stack of its plies, mm."""
    return member.thickness if member.ply_axis == "thickness" else member.width


def _asked_of(member: Member) -> dict[str, float]:
    sizes = {}
    if member.role in _ROLES:
        sizes = {"width": member.width, "thickness": member.thickness}
    if member.plies > 1:
        across = member.width if member.ply_axis == "thickness" else member.thickness
        sizes["ply_thickness"] = stacked(member) / member.plies + EXTRA_PLY
        sizes["ply_width"] = across + EXTRA_WIDTH / 2
    return sizes


def _tenons(bench: Bench) -> list[MortiseTenon]:
    return [j for j in bench.joints if isinstance(j, MortiseTenon)]


def asked_sizes(bench: Bench) -> dict[str, dict[str, float]]:
    """Every size that can be measured, as asked for: by dotted place, then field, mm."""
    found = {f"members.{m.name}": sizes for m in bench.timbers if (sizes := _asked_of(m))}
    for j in _tenons(bench):
        sizes = {"mortise_width": j.mortise.width, "mortise_length": j.mortise.length}
        if not j.through:
            sizes["mortise_depth"] = j.mortise.depth
        found[f"joints.{j.name}"] = sizes
    return found


def form_text(bench: Bench) -> str:
    """An empty form: every size that can be measured, with what was asked for beside it."""
    units: Units = "in" if bench.units == "in" else "mm"

    def asked(mm: float) -> str:
        return format_length(mm, unit=units, denominator=64, remainder=True)

    lines = [
        f"# Measured sizes of {bench.name}: write what the piece has after the colon, as you read",
        "# it off the rule or calliper; leave empty what is not cut yet. Then:",
        "#   treenail build SPEC --measured FILE -o out",
        "# What is not yet cut follows: tenons to the real mortises, stretchers to the real posts,",
        "# and the number of plies or strips in a lamination to their real planed thickness",
        "# (ply_thickness and ply_width: of one of them, before the glue-up).",
        f"units: {units}",
    ]
    section = ""
    for place, sizes in asked_sizes(bench).items():
        head, name = place.split(".")
        if head != section:
            section = head
            lines += ["", f"{section}:"]
        lines.append(f"  {name}:")
        lines += [f"    {what}:  # asked: {asked(mm)}" for what, mm in sizes.items()]
    return "\n".join(lines) + "\n"


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
