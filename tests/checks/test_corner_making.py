"""Who cuts mortises with round or relieved corners, and what hands still do."""

import dataclasses
from dataclasses import replace

import pytest

from tests.checks.shops import machines
from tests.checks.test_making import AT, PIECE, mortise, say
from treenail.checks.making import Made, make
from treenail.checks.shop_machines import Machines
from treenail.joints.corners import CornerKind, Corners
from treenail.joints.cuts import Rounding, TenonEnd
from treenail.timber.member import Face

KINDS: list[CornerKind] = ["round", "relieved"]


def made(shop: Machines, corners: Corners | None) -> Made:
    verdict = make(replace(mortise(26.0, 30.0), corners=corners), PIECE, shop, say)
    assert verdict.made is not None
    return verdict.made


@pytest.mark.parametrize("kind", ["round", "relieved"])
def test_the_router_is_asked_first_and_leaves_nothing_to_do(kind: CornerKind) -> None:
    shop = machines(router={"cutters": (6.0, 12.0, 20.0)})
    assert made(shop, None).machine == "mortiser"
    assert kind != "square"
    found = made(shop, Corners(kind, 6.0))
    assert (found.machine, found.by_hand) == ("router", "")
    assert "12 mm cutter" in found.tool
    assert "6 mm cutter" in made(shop, Corners(kind, 4.0)).tool


def test_corners_smaller_than_every_cutter_are_squared_by_hand() -> None:
    shop = machines(router={"cutters": (12.0, 20.0)})
    assert "square the corners" in made(shop, Corners("round", 4.0)).by_hand
    wide = dataclasses.replace(shop.router, cutters=(6.0,), inner_radius=5.0)
    assert made(dataclasses.replace(shop, router=wide), Corners("round", 4.0)).by_hand


def test_without_a_router_the_mortise_is_cut_square() -> None:
    shop = machines(router={"have": False})
    assert made(shop, Corners("round", 6.0)).machine == "mortiser"


def test_a_rounded_tenon_s_edges_are_told() -> None:
    cut = TenonEnd(
        joint="j",
        purpose="tenon",
        face=Face.NEAR_END,
        frame=replace(AT, origin=(0.0, 0.0, 0.0)),
        x0=10.0,
        x1=90.0,
        y0=20.0,
        y1=60.0,
        length=40.0,
        rounding=Rounding(6.0),
    )
    verdict = make(cut, PIECE, Machines(), say)
    assert verdict.made is not None
    assert verdict.made.by_hand == "round its four long edges to 6 mm"
    assert "round" not in make(replace(cut, rounding=None), PIECE, Machines(), say).made.by_hand  # type: ignore[union-attr]
