"""What a shop's machines are: tools on hand, reach, limits, and what each of them holds.

Every default is a guess: common practice for a small shop, or our own choice, with no published
source. A shop that measures its own machines writes its own figures. *Holds* is plus or minus
about the size a machine is set to; nearly all pieces (three standard deviations each way) lie
within it. Where a machine can hurt someone, its manual has the last word over any limit here.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from treenail.generators.params import choice, flag, mm, plus_minus, section, sizes, text, words

INCH = 25.4
#: A thousandth of an inch, mm.
THOU = 0.001 * INCH

_CHISELS = tuple(x * INCH for x in (0.25, 0.3125, 0.375, 0.5, 0.625, 0.75, 1.0))
_METRIC_CHISELS = (6.0, 8.0, 10.0, 12.0, 14.0, 16.0, 18.0, 20.0, 25.0)
_CUTTERS = tuple(x * INCH for x in (0.25, 0.375, 0.5, 0.75))
_METRIC_CUTTERS = (6.0, 8.0, 10.0, 12.0, 16.0, 20.0)
_TWIST = tuple(x * INCH / 32 for x in range(2, 17))
_METRIC_TWIST = tuple(x / 2 for x in range(3, 27))
_LONG = tuple(x * INCH / 16 for x in (4, 5, 6, 7, 8, 9, 10, 12))
_METRIC_LONG = (6.0, 6.5, 8.0, 9.0, 9.5, 10.0, 11.0, 11.5, 12.0, 13.0, 14.0, 16.0, 20.0)
_STACKS = tuple(x * INCH / 16 for x in range(4, 14))
_METRIC_STACKS = tuple(float(x) for x in range(7, 21))
_FLAT = tuple(x * INCH / 8 for x in (4, 5, 6, 7, 8, 9, 10, 11, 12))
_METRIC_FLAT = (12.0, 15.0, 16.0, 18.0, 19.0, 20.0, 22.0, 24.0, 25.0, 26.0, 28.0, 30.0, 35.0, 40.0)


def _have(what: str, *, default: bool = True) -> Any:
    return flag(default, why=f"Whether the shop has {what}.")


@dataclass(frozen=True, kw_only=True)
class Mortiser:
    """A hollow-chisel mortiser."""

    have: bool = _have("a hollow-chisel mortiser")
    chisels: tuple[float, ...] = sizes(
        _CHISELS, low=3, high=40, why="Chisels on hand, by the width of mortise they cut."
    )
    reach: float = mm(3 * INCH, low=20, high=300, why="Deepest mortise from one face.")
    stock_height: float = mm(
        6 * INCH, low=30, high=500, why="Tallest piece that goes under the chisel."
    )
    width_holds: float = plus_minus(2 * THOU, high=2, why="Width of its mortises.")
    length_holds: float = plus_minus(
        12 * THOU, high=5, why="Length of its mortises, between stops."
    )
    depth_holds: float = plus_minus(20 * THOU, high=5, why="Depth of its mortises.")


@dataclass(frozen=True, kw_only=True)
class Dado:
    """A table saw with a dado stack."""

    have: bool = _have("a saw that takes a dado stack")
    narrowest: float = mm(0.25 * INCH, low=3, high=40, why="Two outer blades alone.")
    widest: float = mm(
        0.8125 * INCH, low=5, high=60, why="The whole stack; wider cuts take passes."
    )
    stacks: tuple[float, ...] = sizes(
        _STACKS, low=3, high=60, why="Widths that blades, chippers and shims set up to."
    )
    zeroed_for: float = mm(
        0.125 * INCH, low=0, high=60, why="Width of blade for which the fence's scale reads zero."
    )
    flange: str = choice(
        "far",
        choices=("far", "near"),
        why="Side of the stack, seen from the fence, that stays put on the arbor's flange.",
    )
    height: float = mm(1.625 * INCH, low=5, high=120, why="Deepest cut: cheeks and edge shoulders.")
    longest: float = mm(
        8 * 12 * INCH, low=300, high=6000, why="Longest piece that can be carried past the stack."
    )
    height_holds: float = plus_minus(
        1.2 * THOU, high=2, why="Depth of its cut, after test cuts; it counts at each cheek."
    )
    fence_holds: float = plus_minus(6 * THOU, high=5, why="Shoulder's distance from the end.")


@dataclass(frozen=True, kw_only=True)
class TableSaw:
    """A table saw with one blade."""

    have: bool = _have("a table saw")
    kerf: float = mm(0.125 * INCH, low=0.5, high=10, why="Width of its blade's cut.")
    height: float = mm(3.125 * INCH, low=20, high=200, why="Deepest cut.")
    longest: float = mm(8 * 12 * INCH, low=300, high=6000, why="Longest piece it crosscuts.")
    upright: float = mm(
        36 * INCH, low=100, high=3000, why="Longest piece held upright for a tenon's cheeks."
    )
    rip_holds: float = plus_minus(8 * THOU, high=5, why="Width of what it rips.")
    crosscut_holds: float = plus_minus(12 * THOU, high=5, why="Length of what it crosscuts.")
    cheek_holds: float = plus_minus(
        6 * THOU, high=5, why="Each cheek of a tenon in a tenoning jig."
    )


@dataclass(frozen=True, kw_only=True)
class Router:
    """A router, in a jig or a CNC machine."""

    have: bool = _have("a router or a CNC router")
    cnc: bool = flag(
        default=False, why="CNC: bores by interpolation, and its table limits the piece."
    )
    cutters: tuple[float, ...] = sizes(
        _CUTTERS, low=1, high=60, why="Diameters of straight cutters on hand."
    )
    reach: float = mm(2 * INCH, low=5, high=200, why="Deepest cut from one face.")
    inner_radius: float | None = mm(
        None, low=0.5, high=30, why="Smallest inner corner; auto: half of the cutter."
    )
    table_length: float | None = mm(
        None, low=200, high=10000, why="Longest piece on the table; auto: no limit, as in a jig."
    )
    table_width: float | None = mm(
        None, low=100, high=5000, why="Widest piece on the table; auto: no limit."
    )
    size_holds: float = plus_minus(4 * THOU, high=2, why="Width and length of what it cuts.")
    depth_holds: float = plus_minus(6 * THOU, high=5, why="Depth of what it cuts.")


@dataclass(frozen=True, kw_only=True)
class DrillPress:
    """A drill press."""

    have: bool = _have("a drill press")
    bits: tuple[float, ...] = sizes(
        _TWIST, low=1, high=60, why="Bits of usual length, by diameter."
    )
    reach: float = mm(4 * INCH, low=20, high=600, why="Deepest hole of those from one face.")
    long_bits: tuple[float, ...] = sizes(_LONG, low=1, high=60, why="Long bits, by diameter.")
    long_reach: float = mm(7 * INCH, low=20, high=1000, why="Deepest hole of those from one face.")
    flat_bits: tuple[float, ...] = sizes(
        _FLAT, low=6, high=100, why="Flat-bottomed bits for counterbores and dog holes."
    )
    flat_reach: float = mm(3.5 * INCH, low=10, high=300, why="Deepest hole of those.")
    place_holds: float = plus_minus(8 * THOU, high=5, why="Where the hole comes from its mark.")


@dataclass(frozen=True, kw_only=True)
class Planer:
    """A thickness planer."""

    have: bool = _have("a thickness planer")
    width: float = mm(12.5 * INCH, low=100, high=1300, why="Widest piece.")
    thickest: float = mm(6 * INCH, low=30, high=400, why="Thickest piece.")
    thinnest: float = mm(0.25 * INCH, low=1, high=30, why="Thinnest piece.")
    shortest: float = mm(
        14 * INCH, low=100, high=1000, why="Roller spacing and 2 in more; see the machine's manual."
    )
    thickness_holds: float = plus_minus(
        3 * THOU, high=2, why="Thickness, along and across a piece."
    )


@dataclass(frozen=True, kw_only=True)
class Jointer:
    """A jointer."""

    have: bool = _have("a jointer")
    width: float = mm(8 * INCH, low=80, high=800, why="Widest face it flattens.")
    shortest: float = mm(12 * INCH, low=100, high=1000, why="12 in; see the machine's manual.")


@dataclass(frozen=True, kw_only=True)
class HandWork:
    """Hand tools: planes, saws, chisels, brace and bits."""

    have: bool = _have("hand tools and people who use them")
    chisels: tuple[float, ...] = sizes(
        _CHISELS, low=3, high=60, why="Chisels for chopping and for squaring corners."
    )
    reach: float = mm(4 * INCH, low=20, high=300, why="Deepest mortise that is chopped.")
    bits: tuple[float, ...] = sizes(_LONG, low=1, high=60, why="Bits for the brace, by diameter.")
    bit_reach: float = mm(7 * INCH, low=20, high=1000, why="Deepest hole of those from one face.")
    saw_depth: float = mm(4 * INCH, low=20, high=400, why="Deepest tenon that is sawn.")
    cheek_holds: float = plus_minus(6 * THOU, high=5, why="A sawn or pared cheek from its line.")
    shoulder_holds: float = plus_minus(12 * THOU, high=5, why="A sawn shoulder from its line.")
    plane_holds: float = plus_minus(6 * THOU, high=5, why="Thickness or width, planed to a line.")
    depth_holds: float = plus_minus(40 * THOU, high=5, why="Depth of a chopped mortise.")
    place_holds: float = plus_minus(
        16 * THOU, high=5, why="Where a bored hole comes from its mark."
    )


@dataclass(frozen=True, kw_only=True)
class Preference:
    """Which machine is asked first for each kind of cut."""

    mortises: tuple[str, ...] = words(
        ("mortiser", "router", "drill_press", "hand"),
        choices=("mortiser", "router", "drill_press", "hand"),
        why="Drill press: bored, then chopped square by hand.",
    )
    tenons: tuple[str, ...] = words(
        ("dado", "saw", "router", "hand"),
        choices=("dado", "saw", "router", "hand"),
        why="Cheeks and shoulders.",
    )
    holes: tuple[str, ...] = words(
        ("drill_press", "router", "hand"),
        choices=("drill_press", "router", "hand"),
        why="Peg holes, bolt holes, dog holes.",
    )
    slots: tuple[str, ...] = words(
        ("router", "drill_press", "hand"),
        choices=("router", "drill_press", "hand"),
        why="Slotted bolt holes; all but the router bore a row of holes and pare between them.",
    )


_WHY = {
    "mortiser": "Mortises.",
    "dado": "Saw with a dado stack: tenons lying flat, in passes.",
    "saw": "Table saw with one blade: ripping, crosscutting, tenons held upright.",
    "router": "Plunge router in a jig, or CNC.",
    "drill_press": "Round holes.",
    "planer": "Thickness of stock and of glued-up sections.",
    "jointer": "Flat faces and straight edges.",
    "hand": "Hand tools; also squares what a round cutter leaves in corners.",
    "order": "The order in which machines are asked; leave out those not to be used.",
}


@dataclass(frozen=True, kw_only=True)
class Machines:
    """A shop's machines, with inch tools."""

    shop: str = text("a small shop", why="The shop's name, for the papers.")
    mortiser: Mortiser = section(Mortiser, why=_WHY["mortiser"])
    dado: Dado = section(Dado, why=_WHY["dado"])
    saw: TableSaw = section(TableSaw, why=_WHY["saw"])
    router: Router = section(Router, why=_WHY["router"])
    drill_press: DrillPress = section(DrillPress, why=_WHY["drill_press"])
    planer: Planer = section(Planer, why=_WHY["planer"])
    jointer: Jointer = section(Jointer, why=_WHY["jointer"])
    hand: HandWork = section(HandWork, why=_WHY["hand"])
    order: Preference = section(Preference, why=_WHY["order"])


@dataclass(frozen=True, kw_only=True)
class MetricMachines(Machines):
    """A shop's machines, with metric tools."""

    mortiser: Mortiser = section(Mortiser, why=_WHY["mortiser"], chisels=_METRIC_CHISELS)
    dado: Dado = section(Dado, why=_WHY["dado"], stacks=_METRIC_STACKS)
    router: Router = section(Router, why=_WHY["router"], cutters=_METRIC_CUTTERS)
    drill_press: DrillPress = section(
        DrillPress,
        why=_WHY["drill_press"],
        bits=_METRIC_TWIST,
        long_bits=_METRIC_LONG,
        flat_bits=_METRIC_FLAT,
    )
    hand: HandWork = section(HandWork, why=_WHY["hand"], chisels=_METRIC_CHISELS, bits=_METRIC_LONG)


#: What a person calls each section of :class:`Machines`.
NAMES = {
    "mortiser": "mortiser",
    "dado": "saw with dado stack",
    "saw": "table saw",
    "router": "router",
    "drill_press": "drill press",
    "planer": "planer",
    "jointer": "jointer",
    "hand": "hand tools",
}
