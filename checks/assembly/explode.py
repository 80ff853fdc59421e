"""Where every part stands in an exploded picture: drawn out along the way it goes in."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from treenail.joints.convex import reach
from treenail.timber.frames import Vec, add, dot, neg, scale, snap_vec

if TYPE_CHECKING:
    from treenail.checks.assembly.blocking import Blocking
    from treenail.checks.assembly.taking_apart import Node

#: Clear air between parts that are drawn apart, mm.
GAP = 80.0
#: The same between a peg or bolt and its hole's mouth, mm.
PEG_GAP = 30.0


def displacements(b: Blocking, tree: Node) -> Mapping[str, Vec]:
    """Each member's, peg's and bolt's displacement from its place, mm.

    A group that comes off takes its parts along; it is drawn out until its own parts and those
    that it leaves are ``GAP`` apart along the move.
    """
    found = _spread(b, tree, tuple(b.fasteners))
    return {name: snap_vec(v) for name, v in found.items()}


def _spread(b: Blocking, node: Node, fasteners: tuple[str, ...]) -> dict[str, Vec]:
    if node.split is None or node.base is None or node.mover is None:
        found = dict.fromkeys(b.names(node.mask), (0.0, 0.0, 0.0))
        for name in b.inside(node.mask, fasteners):
            found[name] = _drawn(b, name, found)
        return found
    left = tuple(n for n in fasteners if n not in node.split.pulled)
    base, mover = _spread(b, node.base, left), _spread(b, node.mover, left)
    out = node.split.direction
    far = 0.0
    for link in b.crossing(node.mover.mask, node.base.mask):
        goes, stays = (
            (link.first, link.second) if link.first in mover else (link.second, link.first)
        )
        own = min(reach(p.corners, out)[0] for p in b.pieces[goes]) + dot(mover[goes], out)
        theirs = max(reach(p.corners, out)[1] for p in b.pieces[stays]) + dot(base[stays], out)
        far = max(far, theirs - own)
    by = scale(out, far + GAP)
    if node.split.first is not None:  # round the corner that it came
        by = add(by, scale(*node.split.first))
    found = base | {name: add(v, by) for name, v in mover.items()}
    for name in node.split.pulled:
        found[name] = _drawn(b, name, found)
    return found


def _drawn(b: Blocking, name: str, found: Mapping[str, Vec]) -> Vec:
    """A peg, wedge or nut drawn out of its receiver, a bolt out of the member that it bears on."""
    f = b.fasteners[name]
    owner = f.members[0] if f.kind in ("peg", "wedge", "nut") else f.members[1]
    return add(found[owner], scale(neg(f.drive), f.length + PEG_GAP))
