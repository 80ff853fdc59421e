"""The router's sheet names the cutter for which corners are drawn, and what becomes of them."""

import pytest

from tests.checks.shops import bench, shop
from treenail.shop.setups import setups


def told(corners: str, **router: object) -> tuple[set[float], str]:
    """(cutters set for mortises, all that the sheet says of them)."""
    plan = setups(
        bench(mortise_corners=corners, cutter=10.0),
        shop(router=router, mortiser={"have": False}),
    )
    found = [s for sheet in plan.sheets for s in sheet.setups if "mortise" in repr(s)]
    mine = [s for s in found if any(x.name == "cutter" for x in s.settings)]
    cutters = {x.value for s in mine for x in s.settings if x.name == "cutter" and x.value}
    return cutters, repr(mine)


CUTTERS = [6.0, 10.0, 20.0]


@pytest.mark.parametrize(
    ("corners", "cutter", "words"),
    [
        ("square", 20.0, "squared by hand"),
        ("round", 10.0, "stay as the cutter leaves them"),
        ("relieved", 10.0, "beyond both walls"),
    ],
)
def test_the_corners_decide_the_cutter(corners: str, cutter: float, words: str) -> None:
    cutters, text = told(corners, cutters=CUTTERS, reach=80.0)
    assert cutter in cutters
    assert words in text


def test_without_a_cutter_small_enough_the_corners_are_squared() -> None:
    cutters, text = told("round", cutters=[12.0], reach=80.0)
    assert cutters == {12.0}
    assert "squared by hand" in text
