"""Breadboard ends and end caps: volumes, rooms and pegs, against closed forms and a modeller."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from manifold3d import CrossSection

from tests.joints.let_in import TILTED, X, Y, check_apart, check_gaps, check_volumes, moved, piece
from tests.strategies import sizes, square_frames
from treenail.joints.end_board import EndBoard, EndPeg
from treenail.joints.end_board_fit import pressed_area
from treenail.joints.fits import FITS
from treenail.joints.mortise_tenon import DrawBore
from treenail.joints.volumes import crescent_area, net_volume
from treenail.timber.errors import GeometryError
from treenail.timber.frames import Frame, dot
from treenail.timber.member import Face
from treenail.timber.species import get_species

HERE = Frame()
FIT = FITS["easy"]
LENGTH, STUB, BOARD = 50.0, 10.0, 100.0


def draw(count: int, **changes: Any) -> DrawBore:
    numbers: dict[str, Any] = {
        "diameter": 9.5,
        "offset": 0.8,
        "setback": 25.0,
        "drive_side": Face.BACK_SIDE,
        "species": get_species("white oak"),
        "stop_wall": 8.0,
    }
    return DrawBore(count=count, **(numbers | changes))


def end(
    widths: tuple[float, ...] = (200.0, 150.0),
    t: float = 60.0,
    *,
    at: Frame = HERE,
    far: bool = True,
    length: float = LENGTH,
    **changes: Any,
) -> EndBoard:
    """Sections side by side along x, and a board across one of their ends."""
    places = [sum(widths[:i]) for i in range(len(widths))]
    start = 0.0 if far else BOARD - length
    sections = [
        piece(f"section_{i}", (500.0, w, t), (start, y, 0.0), X, Y)
        for i, (w, y) in enumerate(zip(widths, places, strict=True))
    ]
    middles = [y + w / 2 for w, y in zip(widths, places, strict=True)]
    x = 500.0 - length if far else 0.0
    board = piece("board", (sum(widths), BOARD, t), (x + BOARD, 0.0, 0.0), Y, (-1.0, 0.0, 0.0))
    numbers: dict[str, Any] = {
        "fit": FIT,
        "tongue": t / 3,
        "stub": STUB,
        "inset": (25.0, 30.0),
        "room": 2.5,
        "tenons": tuple((y - 30, y + 30) for y in middles),
    }
    return EndBoard(
        name="end",
        board=moved(board, at),
        sections=tuple(moved(m, at) for m in sections),
        end=Face.FAR_END if far else Face.NEAR_END,
        **(numbers | changes),
    )


def pegged(**changes: Any) -> EndBoard:
    numbers: dict[str, Any] = {"spots": (EndPeg(100.0), EndPeg(275.0, 3.5)), "draw": draw(2)}
    return end(**(numbers | changes))


@settings(max_examples=12)
@given(
    widths=st.lists(sizes(130, 260), min_size=1, max_size=3).map(tuple),
    t=sizes(40, 110),
    at=square_frames() | st.just(TILTED),
    far=st.booleans(),
    room=sizes(0.5, 6.0),
    cap=st.booleans(),
)
def test_volumes_rooms_and_no_shared_space(
    widths: tuple[float, ...], t: float, at: Frame, far: bool, room: float, cap: bool
) -> None:
    kind: dict[str, Any] = {"tenons": (), "length": STUB} if cap else {}
    joint = end(widths, t, at=at, far=far, room=room, **kind)
    check_volumes(joint)
    check_apart(joint)
    check_gaps(joint)
    assert joint.length == pytest.approx(STUB if cap else LENGTH)
    assert joint.kind == ("tongued end cap" if cap else "breadboard end")
    assert joint.lets_in
    assert dot(joint.insertion(), joint.first.placement.x) == pytest.approx(1.0 if far else -1.0)


def test_the_board_s_volume_in_closed_form() -> None:
    joint, bottom = pegged(), FIT.bottom.mid
    wide, tongue = 20.0 + FIT.cheek.mid, 20.0
    groove = (350.0 - 55.0 + 5.0) * wide * (STUB + bottom)
    mortises = 2 * (60.0 + 5.0) * wide * (LENGTH - STUB)
    wood = 60.0 - 8.0 - wide  # of a peg's hole, the mortise taken off
    holes = 2 * math.pi / 4 * 9.5**2 * wood
    gone = groove + mortises + holes
    assert net_volume(joint.board, joint.cuts()["board"]) == pytest.approx(
        350.0 * BOARD * 60.0 - gone, rel=1e-12
    )
    # Tongue and tenons of the first section, less its round hole.
    first = joint.cuts()["section_0"]
    kept = 200.0 * 60.0 * (500.0 - LENGTH) + tongue * (
        (200.0 - 25.0) * STUB + 60.0 * (LENGTH - STUB)
    )
    assert net_volume(joint.first, first) == pytest.approx(
        kept - math.pi / 4 * 9.5**2 * tongue, rel=1e-12
    )
    second = net_volume(joint.sections[1], joint.cuts()["section_1"])
    kept = 150.0 * 60.0 * (500.0 - LENGTH) + tongue * (
        (150.0 - 30.0) * STUB + 60.0 * (LENGTH - STUB)
    )
    assert second == pytest.approx(kept - tongue * (math.pi / 4 * 9.5**2 + 3.5 * 9.5), rel=1e-12)


def test_pegs_go_through_both_and_draw_home() -> None:
    joint = pegged()
    for peg, (_, on_board, on_tenon) in zip(joint.pegs(), joint._peg_frames(), strict=True):
        pulled = [b - t for b, t in zip(on_board.origin, on_tenon.origin, strict=True)]
        assert dot((pulled[0], pulled[1], pulled[2]), joint.insertion()) == pytest.approx(0.8)
        # Its full thickness reaches through the tenon, its tip stays in the board.
        assert 40.0 <= peg.length - peg.tip_length <= peg.length <= joint.peg_hole_depth
    slot = [c for c in joint.cuts()["section_1"] if c.purpose == "peg slot"]
    assert len(slot) == 1
    assert abs(dot(slot[0].frame.x, Y)) == pytest.approx(1.0)


@given(diameter=sizes(6, 16), share=st.floats(0.02, 0.25), slot=sizes(0, 12))
def test_what_a_peg_presses_is_what_the_modeller_finds(
    diameter: float, share: float, slot: float
) -> None:
    offset, r = share * diameter / 2, diameter / 2

    def disc(x: float, y: float) -> CrossSection:
        return CrossSection.circle(r, 2048).translate((x, y))

    hole = disc(-slot / 2, 0) + disc(slot / 2, 0) + CrossSection.square((slot, diameter), True)
    found = (disc(0, offset) - hole).area()
    assert pressed_area(diameter, offset, slot) == pytest.approx(found, rel=2e-3, abs=2e-4)


def test_a_long_slot_leaves_a_segment_and_a_round_hole_a_crescent() -> None:
    r, offset = 5.0, 0.8
    angle = 2 * math.acos((r - offset) / r)
    assert pressed_area(10.0, offset, 40.0) == pytest.approx(r * r / 2 * (angle - math.sin(angle)))
    assert pressed_area(10.0, offset, 0.0) == crescent_area(10.0, offset)


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"tenons": ((170.0, 230.0),)}, "over a glue line"),
        ({"tenons": ((10.0, 60.0),)}, "does not stand on the tongue"),
        ({"tenons": ((100.0, 160.0), (150.0, 180.0))}, "does not stand on the tongue"),
        ({"tenons": ()}, "fills the whole length"),
        ({"tongue": 60.0}, "no shoulders"),
        ({"stub": 70.0}, "70 mm long on 50"),
        ({"room": -1.0}, "negative"),
        ({"spots": (EndPeg(100.0),)}, "as many pegs"),
        ({"spots": (EndPeg(60.0),), "draw": draw(1)}, "misses every tenon"),
        ({"length": -5.0}, "5 mm short"),
    ],
)
def test_what_cannot_be_is_refused(changes: dict[str, Any], says: str) -> None:
    with pytest.raises(GeometryError, match=says):
        end(**changes)
