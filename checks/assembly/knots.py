"""Groups that no moves put together: who holds whom, and what would loosen them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from treenail.checks.assembly.blocking import bits
from treenail.checks.assembly.taking_apart import TakingApart, knots
from treenail.checks.assembly.words import listed, plain, way
from treenail.timber.frames import dot, neg

if TYPE_CHECKING:
    from treenail.checks.assembly.blocking import Blocking, Link

#: Most clauses of an explanation.
_CLAUSES = 3


@dataclass(frozen=True, slots=True)
class Knot:
    """A least group that locks itself.

    Attributes:
        members: its timbers.
        joints: the joints between them.
        why: who bars whose way, in words.
        loosens: joints any one of which, made to close last, would free the group.
    """

    members: tuple[str, ...]
    joints: tuple[str, ...]
    why: str
    loosens: tuple[str, ...]


def untie(b: Blocking, mask: int) -> Knot:
    """Look into a set of bodies that doesn't come apart."""
    core = TakingApart(b).knot(mask)
    links = [x for x in b.crossing(core, core) if x.interlocks]
    joints = tuple(dict.fromkeys(x.joint for x in links))
    loosens = tuple(j for j in joints if not knots(TakingApart(b, frozenset({j})).tree(core, ())))
    clauses = [c for x in links if (c := _clause(b, core, x))]
    if not clauses:
        clauses = [f"every way out of {plain(b.names(core)[0])} is barred"]
    why = "; ".join(dict.fromkeys(clauses[:_CLAUSES]))
    return Knot(b.names(core), joints, why, loosens)


def _clause(b: Blocking, core: int, link: Link) -> str:
    """``a leaves b only to the left, where c stands``."""
    out = neg(link.home)
    k = max(range(len(b.directions)), key=lambda i: dot(b.directions[i], out))
    entering, receiver = b.body[link.second], b.body[link.first]
    bars = b.blocked[k][entering] & core & ~(1 << receiver)
    holds = b.blocked[k][entering] & 1 << receiver
    if not bars and not holds:
        return ""
    where = f"{plain(link.second)} leaves {plain(link.first)} only {way(out)}"
    if bars:
        near = _near(b, link, bars)
        return f"{where}, where {listed(near)} hold{'' if len(near) > 1 else 's'} it"
    return f"{where}, which {plain(link.first)} itself bars"


def _near(b: Blocking, link: Link, bars: int) -> list[str]:
    """Of barring bodies, the members that are joined to the one that is barred, if any are."""
    own = set(b.bodies[b.body[link.second]])
    joined = {
        n
        for x in b.links
        if x.interlocks and own & {x.first, x.second}
        for n in (x.first, x.second)
    }
    names = [n for i in bits(bars) for n in b.bodies[i]]
    return [n for n in names if n in joined][:2] or names[:2]
