"""Milling: whether members pass the jointer and the planer, and what to do where they don't."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Literal

from treenail.checks.machines import shop_of
from treenail.checks.rules import Context, Finding, Severity, rule
from treenail.checks.shop_machines import NAMES, Machines

if TYPE_CHECKING:
    from treenail.timber.member import Member

__all__ = ["Milling", "milling_data"]

_SOURCE = "the shop file; without one a guess, common practice or our own choice"
#: The severity where the shop said what it has (True), and where its machines are a guess.
_MILDER: dict[bool, Severity] = {True: "warning", False: "advice"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Milling:
    """How alike members are brought to size.

    Attributes:
        step: ``flatten`` or ``thickness``.
        members: their names.
        machine: its name.
        limit: what keeps it off the machine: ``width``, ``length``, ``thickness``; else empty.
        measured, allowed: mm, where there is such a limit.
    """

    step: Literal["flatten", "thickness"]
    members: tuple[str, ...]
    machine: str
    limit: str = ""
    measured: float = 0.0
    allowed: float = 0.0


def _board(member: Member) -> tuple[float, float]:
    """(wide, thin) of one board of a member before glue-up, mm."""
    width, thickness = member.width, member.thickness
    if member.ply_axis == "thickness":
        thickness /= member.plies
    else:
        width /= member.plies
    return (max(width, thickness), min(width, thickness))


def _flattening(member: Member, shop: Machines) -> Milling:
    names, j = (member.name,), shop.jointer
    if not j.have:
        return Milling(step="flatten", members=names, machine="hand")
    wide, _ = _board(member)
    for limit, size, allowed, off in (
        ("width", wide, j.width, wide > j.width + 1e-6),
        ("length", member.length, j.shortest, member.length < j.shortest - 1e-6),
    ):
        if off:
            return Milling(
                step="flatten",
                members=names,
                machine="hand",
                limit=limit,
                measured=size,
                allowed=allowed,
            )
    return Milling(step="flatten", members=names, machine="jointer")


def _thicknessing(member: Member, shop: Machines) -> Milling:
    names, p = (member.name,), shop.planer
    if not p.have:
        return Milling(step="thickness", members=names, machine="hand")
    wide = max(member.width, member.thickness)
    thin = min(member.width, member.thickness)
    for limit, size, allowed, off in (
        ("width", wide, p.width, wide > p.width + 1e-6),
        ("thickness", thin, p.thickest, thin > p.thickest + 1e-6),
        ("thickness", thin, p.thinnest, thin < p.thinnest - 1e-6),
        ("length", member.length, p.shortest, member.length < p.shortest - 1e-6),
    ):
        if off:
            return Milling(
                step="thickness",
                members=names,
                machine="hand",
                limit=limit,
                measured=size,
                allowed=allowed,
            )
    return Milling(step="thickness", members=names, machine="planer")


def milling_data(context: Context) -> list[Milling]:
    """How each member is flattened and brought to thickness, alike ones in one row."""

    def all_of_them() -> list[Milling]:
        shop = shop_of(context).machines
        groups: dict[tuple[Any, ...], list[str]] = {}
        for m in context.bench.timbers:
            for found in (_flattening(m, shop), _thicknessing(m, shop)):
                key = (found.step, found.machine, found.limit, found.measured, found.allowed)
                groups.setdefault(key, []).append(m.name)
        return [
            Milling(
                step=step,
                members=tuple(names),
                machine=NAMES[machine],
                limit=limit,
                measured=measured,
                allowed=allowed,
            )
            for (step, machine, limit, measured, allowed), names in groups.items()
        ]

    return context.once("machines.milling", all_of_them)


def _mill(context: Context, step: str, limits: tuple[str, ...]) -> Iterator[Milling]:
    for found in milling_data(context):
        if found.step == step and found.limit in limits:
            yield found


@rule(
    "planer-limit",
    title="Pieces pass the planer",
    why="What doesn't pass the planer is planed by hand, or glued up in narrower sections.",
    remedy="Glue up in more sections, or plane by hand.",
    source=_SOURCE,
)
def planer_limit(context: Context) -> Iterator[Finding]:
    """Members wider, thicker or thinner than the planer takes."""
    for found in _mill(context, "thickness", ("width", "thickness")):
        for name in found.members:
            member = context.bench.by_name[name]
            is_top = member.role == "top section"
            remedy = "Plane it by hand, with winding sticks and a straightedge."
            if found.limit == "width" and is_top:
                remedy = (
                    f"Set top.planer_width to {context.say(found.allowed)}: the top then divides "
                    "into sections that pass. Or plane it by hand."
                )
            side = "wide" if found.limit == "width" else "thick"
            yield Finding(
                rule="planer-limit",
                severity=_MILDER[shop_of(context).given],
                message=f"The {member.role} is {context.say(found.measured)} {side}; the planer's "
                f"limit is {context.say(found.allowed)}.",
                member=name,
                measured=found.measured,
                limit=found.allowed,
                remedy=remedy,
            )


@rule(
    "jointer-limit",
    title="Boards pass the jointer",
    why="A board wider than the jointer is flattened by hand, or on the planer with a sled.",
    remedy="Rip it narrower, flatten it by hand, or carry it through the planer on a sled.",
    source=_SOURCE,
)
def jointer_limit(context: Context) -> Iterator[Finding]:
    """Boards wider than the jointer."""
    for found in _mill(context, "flatten", ("width",)):
        for name in found.members:
            yield Finding(
                rule="jointer-limit",
                severity=_MILDER[shop_of(context).given],
                message=f"A board of {context.say(found.measured)} is wider than the jointer's "
                f"{context.say(found.allowed)}.",
                member=name,
                measured=found.measured,
                limit=found.allowed,
            )


@rule(
    "short-piece",
    title="No short pieces on jointer and planer",
    why="A short piece tips into the cutters and is thrown.",
    remedy="Mill it as part of a longer piece, and cut it to length last.",
    source="common practice: nothing under 12 in on a jointer, under the roller spacing and 2 in "
    "in a planer; the machine's manual decides",
)
def short_piece(context: Context) -> Iterator[Finding]:
    """Members shorter than a machine takes safely."""
    told: set[str] = set()
    for step, machine in (("thickness", "planer"), ("flatten", "jointer")):
        for found in _mill(context, step, ("length",)):
            for name in found.members:
                if name in told:
                    continue
                told.add(name)
                yield Finding(
                    rule="short-piece",
                    severity="warning",
                    message=f"A piece {context.say(found.measured)} long is too short for the "
                    f"{machine}: {context.say(found.allowed)} at least.",
                    member=name,
                    measured=found.measured,
                    limit=found.allowed,
                )
