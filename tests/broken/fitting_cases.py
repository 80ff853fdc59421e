"""Benches whose vises, stops or feet are wrong."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from tests.broken.cases import Case, advice, error, warning
from tests.checks.benches import with_joint
from tests.fittings import (
    FEET,
    HIGH,
    LEG_VISE,
    SCREWS,
    STOP,
    VISE,
    board_jack,
    fitted,
    fitted_as,
    leg_vise,
)
from treenail.generators.bench import Bench
from treenail.generators.parts import slab
from treenail.joints.features import Bearing, DogHoles
from treenail.joints.jack_slide import JackGroove
from treenail.joints.provisions import Holes
from treenail.joints.treenails import Treenails
from treenail.joints.vise_screw import ViseScrew


def vise(bench: Bench) -> ViseScrew:
    """Its leg vise's screw."""
    return next(j for j in bench.joints if isinstance(j, ViseScrew))


def opened(to: float, **sizes: Any) -> Bench:
    """A leg vise that is asked to open farther than it was made for."""
    return with_joint(leg_vise(**sizes), "leg_vise", travel=to)


def dog_over_the_screw() -> Bench:
    """A dog hole right behind the post of a slab bench."""
    bench = fitted("slab", leg_vise=LEG_VISE)
    x = vise(bench).rods[0].point[0]
    dogs = bench.by_name["top_section_1"]
    return with_joint(bench, "dog_holes_1", points=((dogs.length - x, 110.0),))


def few_pins() -> Bench:
    bench = leg_vise()
    holes = next(j for j in bench.joints if j.name == "guide_pins")
    assert isinstance(holes, Holes)
    return with_joint(bench, "guide_pins", points=holes.points[:3])


def walled_in() -> Bench:
    """A board on edge, 100 mm before the chop, that rests on nothing but its shadow."""
    bench = leg_vise()
    chop = bench.by_name["chop"]
    low, high = chop.bounds()
    board = slab(
        "board",
        role="board",
        corner=(high[0], low[1] - 150.0, low[2] + 40.0),
        length=100.0,
        width=50.0,
        thickness=40.0,
        species=chop.species,
        plies=1,
        rings="flat",
        assembly="fittings",
    )
    rail = slab(
        "board_rail",
        role="board",
        corner=(high[0], low[1] - 150.0, low[2]),
        length=100.0,
        width=160.0,
        thickness=low[2],
        species=chop.species,
        plies=1,
        rings="flat",
        assembly="fittings",
    )
    joints = (
        Bearing(name="board_rests", below=rail, above=board),
        Bearing(name="chop_rests", below=rail, above=chop),
    )
    return replace(bench, timbers=(*bench.timbers, board, rail), joints=(*bench.joints, *joints))


def aside(by: float) -> Bench:
    """The screw not where its holes are: through the stretcher behind the post."""
    bench = leg_vise()
    made = vise(bench)
    x, y, z = made.rods[0].point
    rods = (replace(made.rods[0], point=(x, y, z + by)),)
    other = replace(made, rods=rods)
    cuts = {
        name: tuple(c for c in own if c.joint != "leg_vise") for name, own in bench.cuts.items()
    }
    found = replace(bench, joints=tuple(other if j is made else j for j in bench.joints))
    found.__dict__["cuts"] = cuts
    return found


def guide_at(height: float) -> Bench:
    return fitted(leg_vise={**LEG_VISE, "guide_height": height}, levelling_feet=FEET)


def jack_into_the_post() -> Bench:
    """A groove that runs on 40 mm over the post, and the jack with it."""
    bench = board_jack()
    groove = next(j for j in bench.joints if isinstance(j, JackGroove))
    (x, y, z), right = groove.ends
    return with_joint(bench, "jack_in_top", ends=((x - 40.0, y, z), right))


def screw_through_the_batten() -> Bench:
    """An end vise's steel half an inch higher than it was made for."""
    bench = fitted_as("apron", end_vise=SCREWS)
    made = vise(bench)
    rods = tuple(replace(r, point=(r.point[0], r.point[1], r.point[2] + 12.0)) for r in made.rods)
    return with_joint(bench, "end_vise", rods=rods)


def screw_by_a_treenail() -> Bench:
    """A wide hole for a leg vise's screw 18 mm below a row of the apron's treenails."""
    plain = fitted_as("apron", HIGH)
    pegs = next(j for j in plain.joints if isinstance(j, Treenails) and len(j.points) > 2)
    low = max(z for _, _, z in pegs.points) - 18.0
    return fitted_as("apron", HIGH, leg_vise={**LEG_VISE, "screw_hole": 45, "screw_height": low})


def rods_by_rest_holes() -> Bench:
    """A face vise whose outer rod runs 12 mm above a rest hole of the apron."""
    plain = fitted_as("apron")
    rest = next(j for j in plain.joints if j.name == "rest_holes_1")
    assert isinstance(rest, DogHoles)
    x, y = rest.points[1]
    at = x + plain.by_name["apron_front"].bounds()[0][0] + 80.0
    steel = {"at": at, "rod_spacing": 160, "screw_below": y - 12.0}
    return fitted_as("apron", face_vise={**SCREWS, **steel, "block_along": 190})


FITTING_CASES: tuple[Case, ...] = (
    error("vise-opens-beyond-its-screw", "vise-travel", lambda: opened(320.0, guide_tail=140)),
    error(
        "guide-that-leaves-the-post",
        "guide-tail",
        lambda: opened(260.0, screw_length=500, travel=230),
    ),
    error(
        "rods-shorter-than-the-opening",
        "rods-reach",
        lambda: fitted(face_vise={**VISE, "rod_length": 180}),
    ),
    warning("guide-with-three-holes", "guide-pins", few_pins),
    advice("vise-screw-low", "screw-height", lambda: leg_vise(screw_height=420)),
    error("board-before-the-chop", "vise-path", walled_in),
    error("screw-through-a-stretcher", "vise-rod-clear", lambda: aside(60.0)),
    warning("dog-over-the-screw", "dog-meets-vise", dog_over_the_screw),
    error("guide-over-a-foot-s-stud", "fitting-meets-cut", lambda: guide_at(70.0)),
    advice("guide-close-over-a-foot-s-stud", "fitting-wall", lambda: guide_at(78.0)),
    advice(
        "nut-deep-in-the-post",
        "recess-depth",
        lambda: leg_vise(nut_inset=45, nut_diameter=40),
    ),
    advice("stop-without-play", "stop-swells", lambda: fitted(planing_stop={**STOP, "play": 0})),
    error("jack-that-slides-into-a-post", "jack-path", jack_into_the_post),
    error("jack-kept-in", "jack-lift", lambda: with_joint(board_jack(), "jack_in_top", lift=5.0)),
    advice("jack-without-play", "jack-swing", lambda: board_jack(play=0.2)),
    advice("jack-that-hardly-holds", "jack-hold", lambda: board_jack(engagement=5)),
    error(
        "leg-vise-screw-through-a-treenail-mm",
        "fitting-meets-cut",
        screw_by_a_treenail,
    ),
    error(
        "face-vise-through-the-apron-s-rest-holes-mm",
        "dog-hole-bolt",
        rods_by_rest_holes,
    ),
    error("end-vise-through-a-batten-mm", "vise-rod-clear", screw_through_the_batten),
    error(
        "arm-bolt-in-the-way-of-the-screw-mm",
        "fitting-meets-cut",
        lambda: fitted_as(
            "trestle",
            end_vise={**VISE, "screw_length": 480, "rod_length": 480, "rod_spacing": 150},
        ),
    ),
    advice(
        "insert-near-a-trestle-foot-s-side-mm",
        "insert-wall",
        lambda: fitted_as("trestle", levelling_feet={**FEET, "insert_hole": 48}),
    ),
    advice(
        "insert-nearly-as-wide-as-the-post",
        "insert-wall",
        lambda: fitted(levelling_feet={**FEET, "insert_hole": 50}),
    ),
)
"""What is wrong with them."""
