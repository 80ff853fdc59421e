"""Joints on a workplane that can't be: sizes refused at once, or when they are cut."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import cadquery as cq
import pytest

from treenail.registration import register
from treenail.timber.errors import GeometryError, SpecError
from treenail.workplane import drawbore, mortise, pegHole, tenon

register()

LONG, WIDE, THICK = 400.0, 90.0, 60.0
STOCK = LONG * WIDE * THICK

Joinery = Callable[[cq.Workplane], cq.Workplane]


def stock() -> Any:
    """A piece along x, centred; Any, because type checkers don't know the methods."""
    return cq.Workplane().box(LONG, WIDE, THICK)


BAD_SIZES = [0, -1, -0.001, "0 in", "-1/2 in", "", "wide", "1 kg", math.nan, math.inf, True, [3]]


@pytest.mark.parametrize("size", BAD_SIZES)
@pytest.mark.parametrize(
    "field, build",
    [
        ("mortise.length", lambda v: mortise(v, 10, 10)),
        ("mortise.width", lambda v: mortise(10, v, 10)),
        ("mortise.depth", lambda v: mortise(10, 10, v)),
        ("mortise.haunch", lambda v: mortise(10, 10, 10, haunch=v, haunchWidth=3)),
        ("mortise.haunchWidth", lambda v: mortise(10, 10, 10, haunch=3, haunchWidth=v)),
        ("tenon.length", lambda v: tenon(v, width=10)),
        ("tenon.width", lambda v: tenon(10, width=v)),
        ("tenon.thickness", lambda v: tenon(10, thickness=v)),
        ("tenon.haunch", lambda v: tenon(10, width=10, haunch=v)),
        ("tenon.haunchWidth", lambda v: tenon(10, width=10, haunch=3, haunchWidth=v)),
        ("pegHole.diameter", pegHole),
        ("pegHole.depth", lambda v: pegHole(5, v)),
        ("drawbore.diameter", lambda v: drawbore(v, 1, 20, part="tenon")),
        ("drawbore.setback", lambda v: drawbore(9, 1, v, part="tenon")),
        ("drawbore.depth", lambda v: drawbore(9, 1, 20, v, part="tenon")),
    ],
)
def test_a_size_that_is_none_is_refused_at_once(
    field: str, build: Callable[[Any], Joinery], size: Any
) -> None:
    with pytest.raises(SpecError) as caught:
        build(size)
    assert caught.value.field == field


@pytest.mark.parametrize(
    "field, build",
    [
        ("fit", lambda: mortise(10, 10, fit="wobbly")),
        ("mortise.fit", lambda: mortise(10, 10, fit=3)),  # type: ignore[arg-type]
        ("mortise.haunch", lambda: mortise(10, 10, 10, haunch=10, haunchWidth=3)),
        ("mortise.haunch", lambda: mortise(10, 10, 10, haunchWidth=3)),
        ("mortise.haunchWidth", lambda: mortise(10, 10, 10, haunch=3)),
        (
            "mortise.haunchSide",
            lambda: mortise(
                10,
                10,
                10,
                haunch=3,
                haunchWidth=3,
                haunchSide="+y",  # type: ignore[arg-type]
            ),
        ),
        ("mortise.combine", lambda: mortise(10, 10, combine="a")),  # type: ignore[arg-type]
        ("pegHole.combine", lambda: pegHole(10, combine=1)),  # type: ignore[arg-type]
        ("tenon", lambda: tenon(10)),
        ("tenon", lambda: tenon(10, width=5, shoulders=3)),
        ("tenon.shoulders", lambda: tenon(10, shoulders=(1, 2, 3))),
        ("tenon.shoulders", lambda: tenon(10, shoulders=())),
        ("tenon.shoulders", lambda: tenon(10, shoulders=0)),
        ("tenon.shoulders", lambda: tenon(10, shoulders=(1, -2))),
        ("tenon.haunch", lambda: tenon(10, width=5, haunch=10)),
        ("drawbore.part", lambda: drawbore(9, 1, 20, part="post")),  # type: ignore[arg-type]
        (
            "drawbore.home",
            lambda: drawbore(9, 1, 20, part="tenon", home="up"),  # type: ignore[arg-type]
        ),
        ("drawbore.offset", lambda: drawbore(9, -0.1, 20, part="tenon")),
        ("drawbore.offset", lambda: drawbore(9, 4.5, 20, part="tenon")),
        ("drawbore.setback", lambda: drawbore(9, 1, 5.5, part="receiver")),
    ],
)
def test_what_does_not_go_together_is_refused_at_once(
    field: str, build: Callable[[], Joinery]
) -> None:
    with pytest.raises(SpecError) as caught:
        build()
    assert caught.value.field == field
    assert caught.value.allowed


def uneven() -> Any:
    """Two legs, the right one taller, joined by a bar 100 mm below the end of the left one."""
    left: Any = cq.Workplane().box(60, 60, 500)
    right = cq.Workplane().box(60, 60, 900).translate((300, 0, 0))
    return left.union(right).union(cq.Workplane().box(300, 40, 40).translate((150, 0, 120)))


@pytest.mark.parametrize(
    "what, build",
    [
        ("no solid", lambda: cq.Workplane().invoke(mortise(10, 10))),
        ("no solid", lambda: cq.Workplane().invoke(mortise(10, 10, combine=False))),
        ("no solid", lambda: cq.Workplane().invoke(tenon(10, width=3))),
        (
            "behind the workplane",
            lambda: stock().faces("<Z").workplane(invert=True).mortise(10, 10),
        ),
        ("no wood", lambda: stock().faces(">Z").workplane(invert=True).mortise(10, 10, 5)),
        ("no wood", lambda: stock().faces(">Z").workplane().center(999, 0).pegHole(10)),
        ("leave no wood", lambda: stock().faces(">Z").workplane().mortise(1000, 1000)),
        ("not flat", lambda: cq.Workplane().sphere(9).faces().invoke(mortise(2, 2, 2))),
        ("one plane", lambda: stock().faces(">Z or >X").mortise(10, 10)),
        ("within the piece's", lambda: stock().faces(">X").tenon(50, width=91, thickness=10)),
        (
            "within the piece's",
            lambda: stock().faces(">X").workplane().center(30, 0).tenon(50, width=40),
        ),
        ("no tenon", lambda: stock().faces(">X").tenon(50, shoulders=(45, 45, 0, 0))),
        ("no shoulder", lambda: stock().faces(">X").tenon(50, width=WIDE, thickness=THICK)),
        ("no wood", lambda: stock().faces(">X").workplane().center(99, 0).tenon(50, width=5)),
        ("no wood", lambda: stock().faces(">X").workplane(offset=1).tenon(50, width=5)),
        (
            "off the workplane",
            lambda: (
                stock()
                .faces(">X")
                .workplane()
                .pushPoints([(0, 0)])
                .add(cq.Workplane(cq.Vector(100, 0, 0)))
                .tenon(50, width=5)
            ),
        ),
        ("goes on", lambda: stock().faces(">X").workplane(offset=-100).tenon(50, width=5)),
        (
            "in two",
            lambda: uneven().faces(">Z[-2]").tenon(150, width=5),
        ),
        (
            "no room for a haunch of 11 mm",
            lambda: stock().faces(">X").tenon(50, shoulders=10, haunch=5, haunchWidth=11),
        ),
        (
            "no room for a haunch",
            lambda: stock().faces(">X").tenon(50, shoulders=(10, 0, 5, 5), haunch=5),
        ),
    ],
)
def test_what_does_not_go_with_the_solid_is_refused(
    what: str, build: Callable[[], cq.Workplane]
) -> None:
    with pytest.raises(GeometryError, match=what):
        build()


def test_only_a_workplane_can_be_cut() -> None:
    with pytest.raises(TypeError, match="Workplane"):
        mortise(10, 10, 10)(stock().val())


def test_a_refusal_leaves_the_workplane_as_it_was() -> None:
    placed = stock().faces(">X").workplane()
    with pytest.raises(GeometryError):
        placed.tenon(50, width=91)
    assert placed.findSolid().Volume() == pytest.approx(STOCK)
    assert placed.tenon(50, width=40).val().Volume() < STOCK
