"""A bench with fittings, its hardware's sizes invented, for tests."""

from __future__ import annotations

from functools import cache
from typing import Any

from treenail.generators.bench import Bench
from treenail.generators.build import build_bench
from treenail.generators.families import family_spec
from treenail.generators.spec_values import build_spec

LEG_VISE: dict[str, Any] = {
    "enabled": True,
    "screw_diameter": 32,
    "screw_length": 400,
    "collar_diameter": 65,
    "nut_thickness": 40,
    "nut": {"length": 100, "width": 65, "recess": 6, "hole": 5, "holes_along": 80},
}
FEET: dict[str, Any] = {
    "enabled": True,
    "insert_hole": 14,
    "insert_length": 25,
    "stud_diameter": 10,
    "stud_length": 50,
    "pad_diameter": 50,
    "pad_thickness": 10,
}
JACK: dict[str, Any] = {"enabled": True}
#: What a jack needs of the stretchers, and tenons that pass each other in such posts.
JACK_SIZES: dict[str, Any] = {
    "meeting": "notched",
    "length": 1800,
    "posts": {"width": 90, "thickness": 100},
    "upper_long": {"set_in": 38},
    "lower_long": {"height": 160, "set_in": 0, "shoulder_top": 20},
}
VISE: dict[str, Any] = {
    "enabled": True,
    "screw_diameter": 24,
    "screw_length": 330,
    "collar_diameter": 50,
    "nut_thickness": 35,
    "nut_from_edge": 130,
    "screw_below": 55,
    "rod_diameter": 20,
    "rod_length": 330,
    "rod_spacing": 200,
    "mount": {"hole": 10, "hole_depth": 50, "holes_along": 150, "holes_across": 60},
    "rear_jaw": {"length": 230, "width": 50, "recess": 12},
}
STOP: dict[str, Any] = {"enabled": True}
#: Lower stretchers of an apron bench over a leg vise's guide.
HIGH: dict[str, Any] = {"lower_long": {"height": 270}, "lower_end": {"height": 146}}
#: A vise without a rear jaw whose steel passes below a batten of 1 3/4 in.
SCREWS: dict[str, Any] = {**VISE, "screw_below": 64, "rear_jaw": {}}
SIZES: dict[str, Any] = {
    "meeting": "mitred",
    "lower_long": {"height": 160},
    "lower_end": {"height": 160},
}


def fitted_as(family: str, sizes: dict[str, Any] | None = None, /, **fittings: Any) -> Bench:
    """A bench of any family, in mm, with its own sizes and these fittings."""
    spec = build_spec(family_spec(family), {**(sizes or {}), "fittings": fittings}, units="mm")
    return build_bench(spec, units="mm")


def spec_of(family: str = "frame", /, **changes: Any) -> Any:
    """A spec of the family in mm, its stretchers placed for a leg vise."""
    return build_spec(family_spec(family), {**SIZES, **changes}, units="mm")


def fitted(family: str = "frame", /, sizes: dict[str, Any] | None = None, **fittings: Any) -> Bench:
    """A bench with these fittings; all of them where none is named."""
    wanted = fittings or {"leg_vise": LEG_VISE, "levelling_feet": FEET, "planing_stop": STOP}
    return build_bench(spec_of(family, fittings=wanted, **(sizes or {})), units="mm")


@cache
def usual() -> Bench:
    """The frame bench with all of them."""
    return fitted()


def board_jack(**changes: Any) -> Bench:
    """A bench with a board jack only."""
    return fitted(sizes=JACK_SIZES, board_jack={**JACK, **changes})


def leg_vise(**changes: Any) -> Bench:
    """A bench with a leg vise only."""
    return fitted(leg_vise={**LEG_VISE, **changes})
