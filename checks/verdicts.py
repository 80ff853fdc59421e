"""What a machine says when it is asked for a cut, and how it is asked."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, TypeAlias

if TYPE_CHECKING:
    from treenail.checks.shop_machines import Machines

How: TypeAlias = Literal["as drawn", "finished by hand", "not"]
Say: TypeAlias = Callable[[float], str]


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
