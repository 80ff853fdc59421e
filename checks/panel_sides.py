"""Solid panels loose in grooves: room to swell, and wood that stays in the grooves when it dries.

A panel is what stands in a row between two grooves along its grain: one piece, or boards that
are tongued into each other. Panels may lie anywhere in their play; the rules take the worst.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from treenail.checks.gauge import SAME, fine
from treenail.checks.rules import Context, Finding, rule
from treenail.joints.board_groove import BoardGroove
from treenail.joints.edges import TongueGroove
from treenail.timber.frames import dot
from treenail.timber.moisture import movement, movement_coefficient

if TYPE_CHECKING:
    from treenail.generators.bench import Bench
    from treenail.timber.member import Member


@dataclass(frozen=True)
class PanelRow:
    """A panel between two grooves: its boards in order, and what joins them."""

    boards: tuple[Member, ...]
    tongues: tuple[TongueGroove, ...]
    grooves: tuple[BoardGroove, BoardGroove]

    @property
    def room(self) -> float:
        """All the room across the grain together, mm."""
        return sum(g.room for g in self.grooves) + sum(t.open_by for t in self.tongues)

    def growth(self, board: Member, before: float, after: float) -> float:
        """How much a board grows between two moisture contents, mm."""
        coefficient = movement_coefficient(board.species, board.rings)
        return movement(board.width, coefficient, before, after)


def panel_rows(bench: Bench) -> Iterator[PanelRow]:
    """Every panel of a bench that stands between two grooves along its grain."""
    edges: dict[str, list[BoardGroove]] = {}
    after: dict[str, TongueGroove] = {}
    for joint in bench.joints:
        if isinstance(joint, BoardGroove) and len(joint.boards) == 1:
            board = joint.boards[0]
            if abs(dot(board.placement.x, joint.receiver.placement.x)) > 1.0 - 1e-9:
                edges.setdefault(board.name, []).append(joint)
        elif isinstance(joint, TongueGroove):
            after[joint.receiver.name] = joint
    ends = {joint.entering.name for joint in after.values()}
    for name, found in edges.items():
        if name in ends:
            continue
        boards, tongues = [found[0].boards[0]], []
        while (tongue := after.get(boards[-1].name)) is not None:
            tongues.append(tongue)
            boards.append(tongue.entering)
        last = edges.get(boards[-1].name, [])
        if len(boards) == 1 and len(found) == 2:
            yield PanelRow((boards[0],), (), (found[0], found[1]))
        elif len(boards) > 1 and last:
            yield PanelRow(tuple(boards), tuple(tongues), (found[0], last[0]))


@rule(
    "panel-room",
    title="Panels have room to swell",
    why="A panel that swells tight pushes the frame's joints apart, or bows out of its plane.",
    remedy="Leave more room in the grooves and between the boards, or use narrower boards.",
    source="FPL-GTR-190 (2010) ch. 13 for the movement; the spec's own seasons",
)
def panel_room(context: Context) -> Iterator[Finding]:
    """All rooms of a row together, against what its boards swell from the build to the wettest."""
    s = context.bench.seasons
    for row in panel_rows(context.bench):
        need = sum(row.growth(b, s.at_build, s.wettest) for b in row.boards)
        if row.room < need - SAME:
            yield Finding(
                rule="panel-room",
                severity="warning",
                message=f"The panel of {row.boards[0].name} has {fine(context, row.room)} of room "
                f"in all between {row.grooves[0].receiver.name} and "
                f"{row.grooves[1].receiver.name}; in the damp season it swells "
                f"{fine(context, need)}.",
                joint=row.grooves[0].name,
                member=row.boards[0].name,
                measured=row.room,
                limit=need,
                remedy=f"Leave {fine(context, need)} in all.",
            )


@rule(
    "panel-cover",
    title="Panels stay in their grooves",
    why="A panel that dries out of its groove shows light, rattles, and falls out.",
    remedy="Make the grooves deeper, or the boards narrower.",
    source="FPL-GTR-190 (2010) ch. 13 for the movement; the spec's own seasons",
)
def panel_cover(context: Context) -> Iterator[Finding]:
    """Each edge's reach against its room on the other side and the board's shrinkage together.

    A board may lie against the far wall of its play: then both open on this side. Of a row of
    boards each is taken to keep its place, a panel of one piece to drift.
    """
    s = context.bench.seasons
    for row in panel_rows(context.bench):
        single = len(row.boards) == 1
        for i, board in enumerate(row.boards):
            shrinks = -row.growth(board, s.at_build, s.driest)
            sides = [(row.grooves[0].reach, row.grooves[0])] if i == 0 else []
            sides += [(row.grooves[1].reach, row.grooves[1])] if board is row.boards[-1] else []
            drift = min(g.room for g in row.grooves) if single else 0.0
            for reach, groove in sides:
                lost = shrinks + drift
                if reach <= lost + SAME:
                    yield _bare(context, board, groove.name, groove.receiver, reach, lost)
        for tongue in row.tongues:
            pair = (tongue.receiver, tongue.entering)
            lost = -sum(row.growth(b, s.at_build, s.driest) for b in pair) / 2
            if tongue.reach <= lost + SAME:
                board = tongue.entering
                yield _bare(context, board, tongue.name, tongue.receiver, tongue.reach, lost)


def _bare(
    context: Context, board: Member, joint: str, into: Member, reach: float, lost: float
) -> Finding:
    return Finding(
        rule="panel-cover",
        severity="warning",
        message=f"{board.name} stands {fine(context, reach)} in {into.name}; in the dry season it "
        f"may come out by {fine(context, lost)}.",
        joint=joint,
        member=board.name,
        measured=reach,
        limit=lost,
        remedy=f"Let it stand more than {fine(context, lost)} in the groove.",
    )
