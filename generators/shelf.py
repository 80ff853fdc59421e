"""The shelf: boards across the lower long stretchers, on their edges or in rebates along them."""

from __future__ import annotations

import itertools
import math
from typing import TYPE_CHECKING

from treenail.generators.parts import BACK, slab
from treenail.joints.edges import TongueGroove, third
from treenail.joints.features import Bearing
from treenail.joints.fits import FITS
from treenail.joints.seats import SeatRebate
from treenail.timber.errors import SpecError
from treenail.timber.frames import snap

if TYPE_CHECKING:
    from collections.abc import Mapping

    from treenail.generators.frame_layout import Layout, Say, TenonPlan
    from treenail.generators.frame_spec import Shelf
    from treenail.joints.base import Joint
    from treenail.timber.member import Member
    from treenail.timber.species import Species

__all__ = ["shelf_boards"]

#: Between a board's end and its rebate's wall, mm (our own choice): it drops in.
END_ROOM = 1.0
#: Least wood left beside and below a rebate, as a share of the stretcher (our own choice).
LEFT = 0.5
#: Least seat where a panel stands behind the boards, mm (our own choice: 3/8 in).
LEAST_SEAT = 0.375 * 25.4
#: Wood left between a rebate and a panel's groove, mm (our own choice: 1/4 in).
WALL = 0.25 * 25.4


def shelf_boards(
    shelf: Shelf,
    layout: Layout,
    post_width: float,
    wood: Species,
    rails: Mapping[str, Member],
    say: Say,
    before: float | None = None,
) -> tuple[list[Member], list[Joint]]:
    """Boards on (or in) the lower long stretchers, and their joints; empty without a shelf.

    ``before``: a panel's face from the front, if one stands on the back one, mm: they end there.

    Raises:
        SpecError: the stretchers are too slim for the rebate, or for boards and panel; the field
            is named.
    """
    if not shelf.enabled:
        return [], []
    long = layout.plans["lower_long"]
    start = layout.left + post_width + shelf.gap
    stop = layout.right - post_width - shelf.gap
    count = max(1, math.ceil((stop - start + shelf.gap) / (shelf.board + shelf.gap) - 1e-9))
    width = (stop - start + shelf.gap) / count - shelf.gap
    near, far = layout.front + long.set_in, layout.back - long.set_in
    height = long.z + long.width + shelf.thickness
    if shelf.seat == "rebate":
        seat = _seat(shelf, long, say)
        inner = far - long.thickness
        near += long.thickness - seat + END_ROOM
        if before is not None:
            seat = _seat_before(shelf, seat, snap(before - inner - WALL), say)
        far = inner + seat - END_ROOM
        height -= shelf.thickness
    elif before is not None:
        seat = _seat_before(
            shelf, long.thickness, snap(before - END_ROOM - far + long.thickness), say
        )
        far += seat - long.thickness
    # A tongue stands out beyond the board's own share, into the board before it.
    tongue = snap(third(shelf.thickness) + shelf.gap) if shelf.edges == "tongued" else 0.0
    boards = []
    for i in range(count):
        more = tongue if i else 0.0
        boards.append(
            slab(
                f"shelf_board_{i + 1}",
                role="shelf board",
                corner=(snap(start + i * (width + shelf.gap) - more), snap(near), snap(height)),
                length=snap(far - near),
                width=snap(width + more),
                thickness=shelf.thickness,
                species=wood,
                plies=1,
                rings="flat",
                assembly="shelf",
                along=BACK,
            )
        )
    joints: list[Joint] = []
    if shelf.seat == "rebate":
        joints += [
            SeatRebate(
                name=f"shelf_on_{side}",
                rail=rails[f"lower_{side}"],
                boards=tuple(boards),
                span=(long.length, snap(rails[f"lower_{side}"].length - long.length)),
                end_room=END_ROOM,
            )
            for side in ("front", "back")
        ]
    else:
        joints += [
            Bearing(name=f"{board.name}_on_{side}", below=rails[f"lower_{side}"], above=board)
            for board in boards
            for side in ("front", "back")
        ]
    if shelf.edges == "tongued":
        joints += [
            TongueGroove(
                name=f"{after.name}_in_{before.name}",
                receiver=before,
                entering=after,
                fit=FITS["easy"],
                open_by=shelf.gap,
            )
            for before, after in itertools.pairwise(boards)
        ]
    return boards, joints


def _seat_before(shelf: Shelf, seat: float, most: float, say: Say) -> float:
    """How far boards lie on (or in) the back stretcher before a panel that stands on it, mm."""
    asked = shelf.seat == "rebate" and shelf.rebate is not None and seat > most + 1e-9
    if most < LEAST_SEAT or asked:
        lack = snap(max(LEAST_SEAT, seat if asked else 0.0) - most)
        raise SpecError(
            f"the panel at the back leaves {say(max(most, 0.0))} of the lower back stretcher for "
            f"the shelf's boards to {'lie in' if shelf.seat == 'rebate' else 'lie on'}",
            field="shelf.rebate" if asked else "lower_long.thickness",
            allowed=f"at most {say(most)}"
            if asked and most >= LEAST_SEAT
            # The panel stands in the middle: half of what is added lies before it.
            else f"{say(2 * lack)} more, or a panel elsewhere (panels.where), or no shelf",
        )
    return min(seat, most)


def _seat(shelf: Shelf, long: TenonPlan, say: Say) -> float:
    """The rebate's width, mm."""
    most = snap(LEFT * long.thickness)
    seat = snap(min(shelf.thickness, most)) if shelf.rebate is None else shelf.rebate
    if seat > most:
        raise SpecError(
            f"a rebate {say(seat)} wide leaves too little of a stretcher {say(long.thickness)} "
            "thick",
            field="shelf.rebate",
            allowed=f"at most {say(most)}",
        )
    if shelf.thickness > LEFT * long.width:
        raise SpecError(
            f"a rebate for boards {say(shelf.thickness)} thick leaves too little of a stretcher "
            f"{say(long.width)} high",
            field="shelf.thickness",
            allowed=f"at most {say(LEFT * long.width)}",
        )
    if seat <= 2 * END_ROOM:
        raise SpecError(
            f"a rebate {say(seat)} wide leaves no seat", field="shelf.rebate", allowed="a wider one"
        )
    return seat
