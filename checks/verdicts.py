"""What a machine says when it is asked for a cut, and how it is asked."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, TypeAlias

if TYPE_CHECKING:
    from treenail.checks.shop_machines import Machines
    from treenail.joints.angled_cuts import SkewNotch
    from treenail.joints.cuts import Cut
    from treenail.joints.trenches import Trench
    from treenail.timber.member import Member

How: TypeAlias = Literal["as drawn", "finished by hand", "not"]
Say: TypeAlias = Callable[[float], str]
#: Lengths closer than this are the same, mm.
SAME = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class Made:
    """A machine's yes: its key in :class:`Machines`, the tool, what hands still do, passes."""

    machine: str
    tool: str
    by_hand: str = ""
    passes: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Refusal:
    """A machine's no.

    Attributes:
        machine: its key.
        kind: ``tool`` not on hand, ``reach`` too short, or the ``piece`` too large.
        why: in a few words.
        change: what would make it possible.
    """

    machine: str
    kind: Literal["tool", "reach", "piece"]
    why: str
    change: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """How a cut is made. ``refusals`` are of the machines asked before (or of all: ``not``)."""

    made: Made | None
    refusals: tuple[Refusal, ...]

    @property
    def how(self) -> How:
        """As drawn, finished by hand, or not."""
        if self.made is None:
            return "not"
        return "finished by hand" if self.made.by_hand else "as drawn"


Answer: TypeAlias = Made | Refusal


def ask(keys: Sequence[str], shop: Machines, answer: Callable[[str], Answer]) -> Verdict:
    """The first machine's yes, or the no of all that the shop has."""
    refusals: list[Refusal] = []
    for key in keys:
        if not getattr(shop, key).have:
            continue
        found = answer(key)
        if isinstance(found, Made):
            return Verdict(made=found, refusals=tuple(refusals))
        refusals.append(found)
    return Verdict(made=None, refusals=tuple(refusals))


def off_table(key: str, cut: Cut, member: Member, shop: Machines, say: Say) -> Refusal | None:
    """A CNC router's no to a piece that doesn't lie on its table."""
    r = shop.router
    if key != "router" or not r.cnc:
        return None
    sides = sorted((member.length, member.width), reverse=True)
    for size, most, what in ((sides[0], r.table_length, "long"), (sides[1], r.table_width, "wide")):
        if most is not None and size > most + SAME:
            return Refusal(
                machine=key,
                kind="piece",
                why=f"its table is {say(most)} {what}, and {member.name} is {say(size)}",
                change=f"cut the {cut.purpose} on another machine, or in two set-ups",
            )
    return None


def too_deep(key: str, cut: Trench | SkewNotch, shop: Machines, say: Say) -> Refusal | None:
    """The no of what cuts trenches to one whose floor it doesn't reach."""
    limit = {"dado": shop.dado.height, "router": shop.router.reach, "hand": shop.hand.reach}[key]
    if cut.depth <= limit + SAME:
        return None
    return Refusal(
        machine=key,
        kind="reach",
        why=f"reaches {say(limit)}, and the {cut.purpose} is {say(cut.depth)} deep",
        change=f"make the {cut.purpose} no deeper than {say(limit)}",
    )
