"""Treenails: holes, pegs and volumes over whole ranges, and what is refused."""

import math
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.joints.let_in import piece
from tests.joints.modeller import bounds
from treenail.joints.cuts import Bore
from treenail.joints.laps import Notch
from treenail.joints.treenails import Treenails
from treenail.joints.volumes import net_volume
from treenail.timber.errors import GeometryError
from treenail.timber.frames import dot, sub
from treenail.timber.species import get_species

OAK = get_species("white oak")


def made(
    thick: float = 40.0, sunk: float = 0.0, diameter: float = 16.0, hold: float = 30.0, **more: Any
) -> Treenails:
    """A post standing up, an apron across it in front, let in by ``sunk``; driven along y."""
    post = piece("post", (800, 90, 100), (0, 0, 0), (0, 0, 1), (1, 0, 0))
    apron = piece("apron", (1000, 280, thick), (-400, sunk - thick, 800), (1, 0, 0), (0, 0, -1))
    fields: dict[str, Any] = {
        "points": ((25.0, 0.0, 540.0), (65.0, 0.0, 540.0), (45.0, 0.0, 620.0)),
        "direction": (0.0, 1.0, 0.0),
        "species": OAK,
    }
    return Treenails(
        name="pegs", receiver=post, entering=apron, diameter=diameter, hold=hold, **fields | more
    )


@given(st.floats(20, 60), st.floats(0.5, 20), st.floats(6, 24), st.floats(10, 70))
def test_holes_and_pegs_have_their_closed_forms(
    thick: float, sunk: float, diameter: float, hold: float
) -> None:
    joint = made(thick, sunk, diameter, hold)
    cuts, area = joint.cuts(), 3 * math.pi * diameter**2 / 4
    apron, post = joint.entering, joint.receiver
    assert net_volume(apron, cuts["apron"]) == pytest.approx(apron.stock_volume - area * thick)
    both = (*Notch(name="notch", receiver=post, entering=apron).cuts()["post"], *cuts["post"])
    left = post.stock_volume - 90.0 * 280.0 * sunk - area * hold
    assert net_volume(post, both) == pytest.approx(left)
    for peg in joint.pegs():
        assert peg.placement.x == joint.direction
        # Flush with the apron's face, and just short of the hole's bottom.
        assert peg.placement.origin[1] == pytest.approx(sunk - thick, abs=1e-6)
        end = peg.placement.origin[1] + peg.length
        assert sunk < end < sunk + hold


def test_another_modeller_finds_the_same_volumes() -> None:
    joint = made(sunk=15.0)
    notch = Notch(name="notch", receiver=joint.receiver, entering=joint.entering)
    for member in joint.members:
        cuts = (*notch.cuts().get(member.name, ()), *joint.cuts()[member.name])
        low, high = bounds(member, cuts)
        assert low - 1e-3 <= net_volume(member, cuts) <= high + 1e-3


def test_both_holes_of_a_peg_lie_on_one_axis() -> None:
    joint = made(sunk=12.0)
    rows = [
        [c for c in joint.cuts()[m.name] if isinstance(c, Bore)]
        for m in (joint.receiver, joint.entering)
    ]
    for a, b in zip(*rows, strict=True):
        one = joint.receiver.placement.point(a.frame.origin)
        two = joint.entering.placement.point(b.frame.origin)
        off = sub(one, two)
        assert abs(dot(off, (1.0, 0.0, 0.0))) < 1e-9
        assert abs(dot(off, (0.0, 0.0, 1.0))) < 1e-9
        assert a.depth == pytest.approx(12.0 + 30.0)
        assert b.through


def test_spread_is_across_the_apron_and_radii_are_about_the_middle() -> None:
    joint = made()
    assert joint.spread == pytest.approx(80.0)
    far = math.hypot(20.0, 80.0 / 3)
    assert joint.radii() == pytest.approx((far, far, 160.0 / 3))


@pytest.mark.parametrize(
    ("changed", "word"),
    [
        ({"points": ()}, "no pegs"),
        ({"points": ((88.0, 0.0, 540.0),)}, "breaks out of post"),
        ({"points": ((45.0, 0.0, 525.0),)}, "breaks out of apron"),
        ({"hold": 100.0}, "through"),
        ({"hold": 0.0}, "holds no peg"),
        ({"direction": (0.6, 0.8, 0.0)}, "aslant"),
        ({"sunk": -5.0}, "ends in front"),
    ],
)
def test_what_cannot_be_pegged_is_refused(changed: dict[str, Any], word: str) -> None:
    with pytest.raises(GeometryError, match=word):
        made(**changed)


def test_a_taper_is_never_longer_than_the_hole() -> None:
    pegs = replace(made(hold=12.0), tip=40.0).pegs()
    assert all(0.0 < p.tip_length < 12.0 for p in pegs)
