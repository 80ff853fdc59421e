"""Broken panels: the frame bench with panelled ends, one thing wrong."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from tests.broken.cases import Case
from tests.checks.benches import frame, section
from treenail.generators.frame_spec import Moisture
from treenail.joints.board_groove import BoardGroove
from treenail.joints.edges import TongueGroove

if TYPE_CHECKING:
    from treenail.generators.bench import Bench
    from treenail.joints.base import Joint


def panelled(boards: str = "tongued", **more: Any) -> Bench:
    return frame(**section("panels", where="ends", boards=boards), **more)


def tight(boards: str) -> Bench:
    """No room at the edges, none between the boards."""
    made = panelled(boards)

    def spoilt(joint: Joint) -> Joint:
        if isinstance(joint, BoardGroove) and joint.receiver.role == "post":
            return replace(joint, room=0.1)
        return replace(joint, open_by=0.1) if isinstance(joint, TongueGroove) else joint

    return replace(made, joints=tuple(spoilt(j) for j in made.joints))


def dries_out(boards: str) -> Bench:
    """Built wet and dried hard, in shallow grooves."""
    dry = Moisture(at_build=13.0, driest=5.0, wettest=13.0)
    board = 12 * 25.4 if boards == "tongued" else 5 * 25.4
    return frame(
        moisture=dry,
        species="american beech",
        **section("bolts", per_stretcher=0),
        **section("panels", where="ends", boards=boards, groove=5.0, board=board),
    )


PANEL_CASES = (
    Case("panel-boards-tight", "panel-room", "warning", lambda: tight("tongued")),
    Case("glued-panel-tight", "panel-room", "warning", lambda: tight("glued")),
    Case("panel-boards-dry-out", "panel-cover", "warning", lambda: dries_out("tongued")),
    Case("glued-panel-dries-out", "panel-cover", "warning", lambda: dries_out("glued")),
)
