"""Shop files: in YAML, what a shop's machines can do and which rules it sees otherwise.

A file says ``units:`` (in or mm, for bare numbers) and the shop's name under ``shop:``; then
sections of :class:`~treenail.checks.shop_machines.Machines`, and ``tuning:`` with rules by code.
Whatever is left out keeps its default: a guess for a small shop, in inch or metric tools as the
units are.
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass, field

from treenail.checks.shop_machines import Machines, MetricMachines
from treenail.checks.tuning import SECTION, Tuning, read_tunings
from treenail.generators.spec_values import Units, build_spec, show
from treenail.generators.yaml_lines import Plain, Tree, placed_errors, read_tree, text_of
from treenail.timber.errors import SpecError

__all__ = [
    "BESIDE",
    "DEFAULT_SHOP",
    "METRIC_SHOP",
    "ShopFile",
    "default_shop",
    "machines_class",
    "read_shop",
    "read_shop_text",
]

BESIDE = ("units", SECTION)
"""What a shop file says beside the machines."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopFile:
    """A shop: its machines, and how it sees the rules.

    Attributes:
        machines: what they are, hold and reach.
        units: of the file's bare numbers.
        tunings: rules seen otherwise, with reasons.
        given: whether a person wrote it; the defaults are guesses.
        file: where it was read.
        lines: line of each field given, by dotted name.
    """

    machines: Machines = field(default_factory=Machines)
    units: Units = "in"
    tunings: tuple[Tuning, ...] = ()
    given: bool = True
    file: str | None = None
    lines: Mapping[str, int] = field(default_factory=dict, compare=False, repr=False)

    def says(self, machine: str) -> bool:
        """Whether a person wrote about that machine; what a file leaves out is a guess."""
        return self.given and (not self.lines or machine in self.lines)


DEFAULT_SHOP = ShopFile(given=False)
"""A small shop with inch tools; every figure a guess."""
METRIC_SHOP = ShopFile(machines=MetricMachines(), units="mm", given=False)
"""A small shop with metric tools; every figure a guess."""


def default_shop(units: str) -> ShopFile:
    """The guessed shop for a bench in ``in`` or ``mm``."""
    return DEFAULT_SHOP if units == "in" else METRIC_SHOP


def machines_class(units: Units) -> type[Machines]:
    """The declarations, with defaults for those units."""
    return Machines if units == "in" else MetricMachines


def read_shop(source: str | os.PathLike[str] | bytes) -> ShopFile:
    """Read a shop file, or its content (bytes, or a text with a line break in it).

    Raises :class:`SpecError` with file, line and field for whatever is wrong.
    """
    text, name = text_of(source)
    return read_shop_text(text, file=name)


def read_shop_text(text: str, *, file: str | None = None) -> ShopFile:
    """Read a shop file's text; ``file`` is named in errors. Raises :class:`SpecError`."""
    tree, lines = read_tree(text, file=file)
    with placed_errors(lines, file):
        return _read(tree, lines, file)


def _read(tree: Tree, lines: dict[str, int], file: str | None) -> ShopFile:
    if not isinstance(tree, dict):
        empty = isinstance(tree, Plain) and not tree
        what = "there is nothing in it" if empty else f"{show(tree)} stands where fields belong"
        raise SpecError(what, allowed="a shop file; `treenail new --shop` writes one to begin with")
    if "bench" in tree:
        raise SpecError(
            "this is the spec of a bench, not a shop file",
            field="bench",
            allowed="shop, units, and the shop's machines",
        )
    unit = tree.get("units")
    if unit not in ("in", "mm"):
        given = unit is not None and unit != ""
        what = f"{show(unit)} is no unit for a shop file" if given else "no units are given"
        raise SpecError(what, field="units", allowed="units: in, units: mm")
    units: Units = "in" if unit == "in" else "mm"
    fields = {name: value for name, value in tree.items() if name not in BESIDE}
    machines = build_spec(
        machines_class(units), fields, units=units, file=file, lines=lines, beside=BESIDE
    )
    tunings: tuple[Tuning, ...] = ()
    if SECTION in tree:
        from treenail.checks import load_rules

        load_rules()  # a rule that isn't loaded can't be told from a slip of the pen
        tunings = read_tunings(tree[SECTION])
    return ShopFile(machines=machines, units=units, tunings=tunings, file=file, lines=lines)
