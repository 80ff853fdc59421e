"""End boards and panel grooves on a workplane: the joint's own solids, and closed forms."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import cadquery as cq
import pytest

from tests.plugin.test_workplane_as_generated import on_plane, stock_in_place
from tests.plugin.test_workplane_aslant import OAK, stands_for
from treenail import workplane as w
from treenail.compose import piece
from treenail.joints.edges import PanelGroove
from treenail.joints.end_board import EndBoard, EndPeg
from treenail.joints.fits import FITS
from treenail.joints.mortise_tenon import DrawBore
from treenail.timber.errors import GeometryError, SpecError
from treenail.timber.member import Face

EASY = FITS["easy"]
#: A slab 300 mm wide whose end lies 40 mm in a board across it, which begins at x = 0.
SLAB = piece("slab", 540, 300, 40, at=(-500, 10, 0), grain="right", face="up")
CAP = piece("cap", 512, 300, 40, at=(-500, 10, 0), grain="right", face="up")
BOARD = piece("board", 320, 90, 40, at=(0, 0, 0), grain="back", face="up")
SIZES: dict[str, Any] = {
    "length": 40,
    "tenons": 3,
    "tenonWidth": 50,
    "inset": (12, 12),
    "room": 4,
}


def breadboard(*, pegs: bool) -> EndBoard:
    places = (12 + 276 / 6, 150.0, 288 - 276 / 6)
    slots = (6.0, 0.0, 6.0)
    return EndBoard(
        name="end",
        board=BOARD,
        sections=(SLAB,),
        end=Face.FAR_END,
        fit=EASY,
        tongue=14.0,
        stub=12.0,
        tenons=tuple((at - 25.0, at + 25.0) for at in places),
        inset=(12.0, 12.0),
        room=4.0,
        spots=tuple(EndPeg(at, s) for at, s in zip(places, slots, strict=True)) if pegs else (),
        draw=DrawBore(count=3, diameter=9.5, offset=1.0, setback=20.0, species=OAK, through=True)
        if pegs
        else None,
    )


def both(end: float, slab: Any, **options: Any) -> tuple[Any, Any]:
    """Board and slab, cut on workplanes whose x runs across the slab."""
    mouth = cq.Plane((0.0, 160.0, 20.0), (0, 1, 0), (-1, 0, 0))
    tip = cq.Plane((end, 160.0, 20.0), (0, 1, 0), (1, 0, 0))
    first = on_plane(stock_in_place(BOARD), mouth)
    second = on_plane(stock_in_place(slab), tip)
    return (
        first.invoke(w.endBoard(14, 12, 300, part="receiver", **options)),
        second.endBoard(14, 12, part="entering", **options),
    )


@pytest.mark.parametrize("pegs", [False, True])
def test_a_breadboard_end_is_that_of_the_joint(pegs: bool) -> None:
    joint = breadboard(pegs=pegs)
    holes = {"peg": 9.5, "draw": 1, "slots": (6, 0, 6)} if pegs else {}
    board, slab = both(40.0, SLAB, **SIZES, **holes)
    stands_for(board, BOARD, joint.cuts()["board"])
    stands_for(slab, SLAB, joint.cuts()["slab"])
    assert board.val().intersect(slab.val()).Volume() == pytest.approx(0.0, abs=1e-6)
    tongue = (276 * 12 + 3 * 50 * 28) * 14
    bored = (3 * math.pi / 4 * 9.5**2 + 2 * 6 * 9.5) * 14 if pegs else 0.0
    assert slab.val().Volume() == pytest.approx(500 * 300 * 40 + tongue - bored, rel=1e-9)
    if not pegs:
        wide, deep = 14 + EASY.cheek.mid, EASY.bottom.mid
        groove = wide * ((276 + 8) * (12 + deep) + 3 * 58 * 28)
        assert board.val().Volume() == pytest.approx(320 * 90 * 40 - groove, rel=1e-9)


def test_an_end_cap_is_that_of_the_joint() -> None:
    joint = EndBoard(
        name="end",
        board=BOARD,
        sections=(CAP,),
        end=Face.FAR_END,
        fit=EASY,
        tongue=14.0,
        stub=12.0,
        inset=(20.0, 5.0),
        room=3.0,
    )
    # The slab's face edge, from which the joint measures, lies at the back: on the +x side.
    board, slab = both(12.0, CAP, room=3, inset=(5, 20))
    stands_for(board, BOARD, joint.cuts()["board"])
    stands_for(slab, CAP, joint.cuts()["cap"])


@pytest.mark.parametrize(
    "options, start, end",
    [({}, -10, 410), ({"length": 250}, 75, 325), ({"stop": 30, "stopSide": "-x"}, -10, 410)],
)
def test_a_panel_groove_is_that_of_the_joint(
    options: dict[str, Any], start: float, end: float
) -> None:
    rail = piece("rail", 400, 60, 50, grain="right", face="up")
    panel = piece("panel", 300, end - start, 18, at=(start, 20, 40), grain="up", face="front")
    stop = options.get("stop", 0.0)
    joint = PanelGroove(
        name="groove",
        receiver=rail,
        entering=panel,
        room=3.0,
        stop=stop,
        stop_at=rail.face_towards((-1.0, 0.0, 0.0)) if stop else None,
    )
    plane = cq.Plane((200.0, 29.0, 50.0), (1, 0, 0), (0, 0, 1))
    made: Any = on_plane(stock_in_place(rail), plane)
    made = made.invoke(w.panelGroove(10, 18, room=3, **options))
    stands_for(made, rail, joint.cuts()["rail"])
    if not options:
        hole = 400 * (18 + EASY.cheek.mid) * 13
        assert made.val().Volume() == pytest.approx(400 * 60 * 50 - hole, rel=1e-9)


AT_ONCE: dict[str, tuple[str, dict[str, Any]]] = {
    "part": ("part", {"part": "board"}),
    "no width": ("width", {"part": "receiver"}),
    "tenons without width": ("tenonWidth", {"tenons": 2, "length": 40}),
    "length without tenons": ("length", {"length": 40}),
    "short tenons": ("length", {"tenons": 2, "length": 12, "tenonWidth": 40}),
    "one inset": ("inset", {"inset": 5}),
    "pegs without slots": ("slots", {**SIZES, "peg": 9.5}),
    "slots without pegs": ("slots", {**SIZES, "slots": (1, 2, 3)}),
    "pegs in a cap": ("peg", {"peg": 9.5}),
    "draw": ("draw", {**SIZES, "peg": 9.5, "draw": 5, "slots": (1, 0, 1)}),
    "room": ("room", {"room": -1}),
}


@pytest.mark.parametrize("case", AT_ONCE)
def test_refused_at_once(case: str) -> None:
    field, options = AT_ONCE[case]
    with pytest.raises(SpecError) as caught:
        w.endBoard(14, 12, **{"part": "entering", **options})
    assert caught.value.field == f"endBoard.{field}"
    assert caught.value.allowed


CUT: dict[str, tuple[str, Callable[[], Any]]] = {
    "deep tenons": ("come through a board 90 mm", lambda: both(40, SLAB, **SIZES | {"length": 90})),
    "crowded": (
        "don't stand on a tongue of 276 mm",
        lambda: both(40, SLAB, **SIZES | {"tenons": 6}),
    ),
    "other slab": (
        "300 mm wide at the point on the stack, not 200",
        lambda: on_plane(
            stock_in_place(SLAB), cq.Plane((40, 160, 20), (0, 1, 0), (1, 0, 0))
        ).endBoard(14, 12, 200, part="entering"),
    ),
    "no shoulders": (
        "no shoulders beside a tongue 40 mm thick",
        lambda: on_plane(
            stock_in_place(SLAB), cq.Plane((40, 160, 20), (0, 1, 0), (1, 0, 0))
        ).endBoard(40, 12, part="entering"),
    ),
    "off the middle": (
        "middle of the slab",
        lambda: on_plane(
            stock_in_place(SLAB), cq.Plane((40, 165, 20), (0, 1, 0), (1, 0, 0))
        ).endBoard(14, 12, part="entering"),
    ),
}


@pytest.mark.parametrize("case", CUT)
def test_refused_when_it_is_cut(case: str) -> None:
    message, build = CUT[case]
    with pytest.raises(GeometryError, match=message):
        build()
