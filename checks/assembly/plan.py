"""The plan of assembly: sub-assemblies, steps with their moves, and what can't be done.

Made from numbers alone. It is found by taking the bench apart (see ``taking_apart``); nothing is
read from the members' names or from the sub-assemblies that a generator had in mind.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING

from treenail.checks.assembly.access import COVERED
from treenail.checks.assembly.blocking import ANY, Blocking, Link, bits
from treenail.checks.assembly.explode import displacements
from treenail.checks.assembly.taking_apart import Node, Split, TakingApart, knots, nodes
from treenail.checks.assembly.words import group_name, step_words
from treenail.joints.convex import reach
from treenail.timber.frames import Vec, neg, snap_axis

if TYPE_CHECKING:
    from treenail.checks.rules import Context
    from treenail.generators.bench import Bench

#: How far a part is taken beyond the place where it comes free, mm.
CLEAR = 50.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """One move home: straight, or of two straight legs.

    Attributes:
        members: the timbers that move.
        fasteners: pegs and bolts that already sit in them.
        present: timbers that are there already.
        fixed: pegs and bolts in those.
        direction: unit vector of the move home, in the bench; of two legs the last.
        distance: from where the group is clear of the rest, mm; of two legs the last one's length.
        joints: joints that it closes, in the bench's order.
        approach: the leg before that, (unit vector, mm), or None.
    """

    members: tuple[str, ...]
    fasteners: tuple[str, ...]
    present: tuple[str, ...]
    fixed: tuple[str, ...]
    direction: Vec
    distance: float
    joints: tuple[str, ...]
    approach: tuple[Vec, float] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Driven:
    """A peg or bolt as it is driven.

    Attributes:
        name: of the peg or bolt.
        free: free length before its mouth for it and its tool, mm.
        limited_by: the member that ends it, or "".
        need: what it takes, mm.
        open: free length for the peg or bolt alone, mm.
        covered_by: the member that covers the mouth, if one does.
    """

    name: str
    free: float
    limited_by: str
    need: float
    open: float
    covered_by: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One step in the shop.

    Attributes:
        number: from 1.
        what: in shop words.
        moves: moves, straight or of two legs, one after the other; none where pieces are glued up.
        moving: all timbers that move (or are glued up).
        onto: what is there already and takes them: the members that they join.
        direction: of the moves home; zero for a glue-up.
        distance: the longest move, mm.
        joints: joints closed.
        driven: pegs and bolts driven after the moves, in order.
        group: the members that hold together after the step.
    """

    number: int
    what: str
    moves: tuple[Move, ...]
    moving: tuple[str, ...]
    onto: tuple[str, ...]
    direction: Vec
    distance: float
    joints: tuple[str, ...]
    driven: tuple[Driven, ...]
    group: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SubAssembly:
    """A group that is put together before it is joined to others.

    Attributes:
        name: in shop words, from where it stands and what it holds.
        members: its timbers.
        parts: the sub-assemblies in it.
        step: number of the step that completes it; 0 for one that can't be put together.
    """

    name: str
    members: tuple[str, ...]
    parts: tuple[SubAssembly, ...] = ()
    step: int = 0


@dataclass(frozen=True, kw_only=True)
class AssemblyPlan:
    """How a bench goes together.

    Attributes:
        steps: in order.
        whole: the bench as a tree of sub-assemblies.
        explode: how far each member, peg and bolt stands off its place in a picture, mm.
        knots: groups of members that no moves put together, straight or of two legs.
        late_glue: glue lines that can't be closed beforehand.
    """

    steps: tuple[Step, ...]
    whole: SubAssembly
    explode: Mapping[str, Vec]
    knots: tuple[tuple[str, ...], ...]
    late_glue: tuple[str, ...] = ()
    blocking: Blocking = field(repr=False, compare=False)

    @cached_property
    def driven(self) -> Mapping[str, tuple[Driven, Step]]:
        """Each peg and bolt with the step in which it is driven."""
        return {d.name: (d, step) for step in self.steps for d in step.driven}

    @cached_property
    def joined(self) -> Mapping[str, int]:
        """Each timber with the number of the step in which it first moves or is joined to."""
        found: dict[str, int] = {}
        for step in self.steps:
            for name in (*step.moving, *step.group):
                found.setdefault(name, step.number)
        return found


def assembly_data(context: Context) -> AssemblyPlan:
    """The plan of a bench's assembly, made once for all who ask."""
    return context.once("assembly plan", lambda: plan_assembly(context.bench))


def plan_assembly(bench: Bench) -> AssemblyPlan:
    """Work out how a bench goes together."""
    blocking = Blocking(bench)
    tree = TakingApart(blocking).tree(blocking.all)
    late: tuple[str, ...] = ()
    wrong = [n.mask for n in nodes(tree) if n.is_knot or n.level == ANY]
    glued = {i for mask in wrong for i in bits(mask) if len(blocking.bodies[i]) > 1}
    if glued:
        # Perhaps a piece or a peg must go in before the glue line beside it is closed.
        looser = Blocking(bench, glue_first=False)
        other = TakingApart(looser).tree(looser.all)
        if not any(n.is_knot or n.level == ANY for n in nodes(other)):
            shut = {n for i in glued for n in blocking.bodies[i]}
            late = tuple(x.joint for x in looser.links if x.kind == "glue" and x.first in shut)
            blocking, tree = looser, other
    return _Writer(blocking).plan(tree, late)


@dataclass(frozen=True, slots=True)
class _Join:
    """A node that comes apart, and the fasteners that are left in its two groups."""

    node: Node
    split: Split
    base: Node
    mover: Node
    left: tuple[str, ...]


@dataclass(slots=True)
class _Draft:
    """A step before it has its number."""

    moves: list[Move]
    driven: list[Driven]
    links: list[Link]
    onto: int
    group: int


class _Writer:
    """Turns a tree into steps."""

    def __init__(self, blocking: Blocking) -> None:
        self.b = blocking
        self.steps: list[Step] = []

    def plan(self, tree: Node, late: tuple[str, ...]) -> AssemblyPlan:
        b = self.b
        whole = self._build(tree, tuple(n for n in b.fasteners if n not in b.last))
        self._finish()
        return AssemblyPlan(
            steps=tuple(self.steps),
            whole=whole,
            explode=displacements(self.b, tree),
            knots=tuple(self.b.names(mask) for mask in knots(tree)),
            late_glue=late,
            blocking=self.b,
        )

    def _build(self, node: Node, fasteners: tuple[str, ...]) -> SubAssembly:
        """Write the steps of a group; what is built on one part goes by runs of one line."""
        spine: list[_Join] = []
        while node.split is not None and node.base is not None and node.mover is not None:
            fasteners = tuple(n for n in fasteners if n not in node.split.pulled)
            spine.append(_Join(node, node.split, node.base, node.mover, fasteners))
            node = node.base
        spine.reverse()
        current = self._leaf(node.mask, fasteners)
        while spine:
            run = self._run(spine)
            del spine[: len(run)]
            parts = [current] if len(current.members) > 1 else []
            parts += [
                self._build(join.mover, join.left)
                for join in run
                if len(self.b.names(join.mover.mask)) > 1
            ]
            self._write_run(run)
            mask = run[-1].node.mask
            current = SubAssembly(
                name=group_name(self.b, mask),
                members=self.b.names(mask),
                parts=tuple(parts),
                step=len(self.steps),
            )
        return current

    def _leaf(self, mask: int, fasteners: tuple[str, ...]) -> SubAssembly:
        names = self.b.names(mask)
        name = group_name(self.b, mask)
        held = () if mask & (mask - 1) else self.b.inside(mask, fasteners)
        if mask & (mask - 1) or (len(names) == 1 and not held):
            return SubAssembly(name=name, members=names)
        glue = [x for x in self.b.links if x.first in names and x.second in names]
        own = [self.b.fasteners[n].joint for n in held]
        self._stay(names, mask, held, glue, (*(x.joint for x in glue), *own))
        return SubAssembly(name=name, members=names, step=len(self.steps) * (len(names) > 1))

    def _finish(self) -> None:
        """What goes into one member when all stands: a step for members of one role."""
        last: dict[tuple[str, str], list[str]] = {}
        for name in self.b.last:
            f = self.b.fasteners[name]
            last.setdefault((f.kind, self.b.bench.by_name[f.members[0]].role), []).append(name)
        for own in last.values():
            found = [self.b.fasteners[n] for n in own]
            members = tuple(dict.fromkeys(f.members[0] for f in found))
            self._stay(members, self.b.all, tuple(own), [], tuple(f.joint for f in found))

    def _stay(
        self,
        names: tuple[str, ...],
        group: int,
        fasteners: tuple[str, ...],
        glue: list[Link],
        joints: tuple[str, ...],
    ) -> None:
        """A step in which nothing travels: a glue-up, or what goes into one member alone."""
        mask = sum(1 << i for i in {self.b.body[n] for n in names})
        still = (0.0, 0.0, 0.0)
        self.steps.append(
            Step(
                number=len(self.steps) + 1,
                what=step_words(self.b, 0, mask, glue, fasteners, still),
                moves=(),
                moving=names,
                onto=(),
                direction=still,
                distance=0.0,
                joints=tuple(dict.fromkeys(joints)),
                driven=tuple(self._driven(n, group) for n in fasteners),
                group=self.b.names(group),
            )
        )

    @staticmethod
    def _run(spine: list[_Join]) -> list[_Join]:
        """The first moves of a spine that go along one line, either way."""

        def line(join: _Join) -> tuple[Vec, bool]:
            out = join.split.opening
            return max(out, snap_axis(neg(out))), join.split.first is not None

        count = 1
        while count < len(spine) and line(spine[count]) == line(spine[0]):
            count += 1
        return spine[:count]

    def _write_run(self, run: list[_Join]) -> None:
        draft: _Draft | None = None
        for join in run:
            move, links = self._move(join)
            # Barrel nuts lie in their holes before their bolts come.
            pulled = sorted(join.split.pulled, key=lambda n: self.b.fasteners[n].kind != "nut")
            driven = [self._driven(n, join.node.mask) for n in pulled]
            if draft is not None and self._alike(draft, move):
                draft.moves.append(move)
                draft.driven += driven
                draft.links += links
                draft.group = join.node.mask
                continue
            if draft is not None:
                self._close(draft)
            draft = _Draft([move], driven, links, join.base.mask, join.node.mask)
        if draft is not None:
            self._close(draft)

    def _alike(self, draft: _Draft, move: Move) -> bool:
        """Whether a move may stand in one step with others: single parts of one kind."""
        before = draft.moves[-1]
        roles = {self.b.bench.by_name[n].role for n in (*before.members, *move.members)}
        return (
            len(before.members) == len(move.members) == 1
            and before.direction == move.direction
            and before.approach == move.approach
            and len(roles) == 1
        )

    def _move(self, join: _Join) -> tuple[Move, list[Link]]:
        split, rest, fasteners = join.split, join.base.mask, join.left
        links = self.b.crossing(split.moving, rest)
        depth = 0.0
        for link in links:
            enters = split.moving >> self.b.body[link.second] & 1
            goes, stays = (link.second, link.first) if enters else (link.first, link.second)
            own = min(reach(p.corners, split.direction)[0] for p in self.b.pieces[goes])
            theirs = max(reach(p.corners, split.direction)[1] for p in self.b.pieces[stays])
            depth = max(depth, theirs - own)
        whole = round(depth + CLEAR, 6)
        move = Move(
            members=self.b.names(split.moving),
            fasteners=self.b.inside(split.moving, fasteners),
            present=self.b.names(rest),
            fixed=self.b.inside(rest, fasteners),
            direction=snap_axis(neg(split.opening)),
            distance=whole if split.first is None else split.first[1],
            joints=tuple(dict.fromkeys(link.joint for link in links)),
            approach=split.first and (snap_axis(neg(split.direction)), whole),
        )
        return move, links

    def _close(self, draft: _Draft) -> None:
        moving = tuple(n for move in draft.moves for n in move.members)
        ends = {n for link in draft.links for n in (link.first, link.second)}
        onto = tuple(n for n in self.b.names(draft.onto) if n in ends)
        mask = sum(1 << i for i in {self.b.body[n] for n in moving})
        driven = tuple(draft.driven)
        self.steps.append(
            Step(
                number=len(self.steps) + 1,
                what=step_words(
                    self.b,
                    draft.onto,
                    mask,
                    draft.links,
                    tuple(d.name for d in driven),
                    draft.moves[0].direction,
                    draft.moves[0],
                ),
                moves=tuple(draft.moves),
                moving=moving,
                onto=onto,
                direction=draft.moves[0].direction,
                distance=max(move.distance for move in draft.moves),
                joints=tuple(dict.fromkeys(j for move in draft.moves for j in move.joints)),
                driven=driven,
                group=self.b.names(draft.group),
            )
        )

    def _driven(self, name: str, mask: int) -> Driven:
        f = self.b.fasteners[name]
        there = self.b.names(mask)
        free, by = f.free(there)
        mouth, cover = f.free(there, narrow=True)
        return Driven(
            name=name,
            free=free,
            limited_by=by,
            need=f.need,
            open=mouth,
            covered_by=cover if mouth < COVERED else "",
        )
