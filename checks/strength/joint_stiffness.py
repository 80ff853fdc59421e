"""How stiff a mortise and tenon is against rotation, drawbored or wedged: our own model, advisory.

Two states bracket a joint's life:

* **tight**: the pegs' draw keeps the shoulder closed over its whole area. The shoulder turns on
  the post's side grain as on an elastic bed: K = k_s I, with I the second moment of the
  shoulder's contact area about its middle.
* **worn**: the draw has relaxed and the shoulder opens on one side. It turns about a line near
  its edge: wood presses on one side of that line, the pegs pull on the other, and the two
  forces are equal (the cracked section of reinforced concrete, with pegs for steel).

The tenon's own edges and cheeks are left out: the fit leaves them clear, so they touch only
after the joint has turned further than these loads turn it. Sizes in mm, forces in N, rotational
stiffness in N mm/rad.

Figures: bed modulus k_s = E_p/s, E_p = 0.10 E along the grain (mean of radial and tangential,
Wood Handbook chapter 5, from memory), s half the post's depth behind the shoulder (our own
choice). A peg's slip per shear plane: bearing of the wood by the Eurocode 5 slip modulus
rho^1.5 d/23 (EN 1995-1-1 Table 7.1, from memory), in series with the peg's own shear over one
diameter with G = E/16 (our own choice).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

from treenail.checks.strength.beams import E_OVER_G
from treenail.checks.strength.knock_down import bolt_draw, bolt_stiffness
from treenail.checks.strength.loads import ACROSS_OVER_ALONG
from treenail.checks.strength.tusk_stiffness import wedge_draw, wedge_springs
from treenail.joints.tenon_variants.tapered_round import TaperedRound
from treenail.joints.tenon_variants.tusk import TuskTenon
from treenail.timber.frames import dot

if TYPE_CHECKING:
    from collections.abc import Sequence

    from treenail.joints.angled_tenon import AngledTenon
    from treenail.joints.barrel_bolt import BarrelBolt
    from treenail.joints.mortise_tenon import MortiseTenon

__all__ = [
    "ACROSS_OVER_ALONG",
    "MODEL",
    "JointStiffness",
    "Strip",
    "closed_stiffness",
    "joint_stiffness",
    "leaning_stiffness",
    "open_stiffness",
    "peg_stiffness",
]

MODEL = (
    "our own model: shoulder on an elastic bed while drawn tight; shoulder's edge and pegs once "
    "worn; advisory"
)
"""Said beside every figure that rests on it."""

RELAXED = 0.5
"""Share of the pegs' draw force that is left in the long run (our own choice)."""

END_GRAIN = 2.0
"""How much stiffer a leg's tenon beds on end grain than on side grain (from memory)."""

#: Part of a shoulder: (from, to, width of contact), along the turning direction, mm.
Strip: TypeAlias = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class JointStiffness:
    """One joint, turning about its tenon's thickness (``up``: the stretcher's strong way).

    Attributes:
        tight, worn: N mm/rad, the strong way.
        side: N mm/rad in the tight state, about the other axis.
        opens_at: moment in N mm at which the shoulder begins to open, half of the draw relaxed.
        peg_pull: greatest pull of a peg, wedge or bolt in N for each N mm of moment, worn.
        glued: without pegs the joint is taken as glued: it stays tight.
    """

    name: str
    tight: float
    worn: float
    side: float
    opens_at: float
    peg_pull: float
    glued: bool


def peg_stiffness(diameter: float, density: float, peg_e: float) -> float:
    """Pull over slip in N/mm of one peg in double shear.

    ``density`` of the joined wood in kg/m³, ``peg_e`` the peg's MOE in MPa.
    """
    bearing = density * math.sqrt(density) * diameter / 23
    area = math.pi * diameter**2 / 4
    shear = 0.9 * area * peg_e / E_OVER_G / diameter
    return 2.0 / (1.0 / bearing + 1.0 / shear)


def closed_stiffness(bed: float, strips: tuple[Strip, ...]) -> float:
    """K = k_s I of a closed shoulder about the middle of its area; ``bed`` in N/mm³."""
    area = sum(w * (b - a) for a, b, w in strips)
    if area <= 0.0:
        return 0.0
    middle = sum(w * (b * b - a * a) / 2 for a, b, w in strips) / area
    return bed * sum(w * ((b - middle) ** 3 - (a - middle) ** 3) / 3 for a, b, w in strips)


def _pressed(strips: tuple[Strip, ...], line: float) -> tuple[float, float]:
    """First and second moment about ``line`` of the contact on its near side (below it)."""
    first = second = 0.0
    for a, b, w in strips:
        if a < line:
            near, far = line - a, line - min(b, line)
            first += w * (near**2 - far**2) / 2
            second += w * (near**3 - far**3) / 3
    return first, second


def open_stiffness(
    bed: float, strips: tuple[Strip, ...], pegs: tuple[float, ...], peg: float
) -> tuple[float, float]:
    """(K, greatest peg's pull for each unit of moment) of a shoulder that opens.

    ``pegs`` are the pegs' places in the strips' coordinate, ``peg`` one peg's stiffness. The
    line about which the joint turns lies where pressure and pull balance; found by bisection.
    Without pegs there is nothing to pull: (0, 0).
    """
    if not pegs or not strips:
        return 0.0, 0.0
    low = min(a for a, _, _ in strips)
    high = max(pegs)
    if high <= low:
        return 0.0, 0.0
    for _ in range(60):
        line = (low + high) / 2
        press = bed * _pressed(strips, line)[0]
        pull = peg * sum(max(0.0, p - line) for p in pegs)
        low, high = (low, line) if press > pull else (line, high)
    line = (low + high) / 2
    k = bed * _pressed(strips, line)[1] + peg * sum(max(0.0, p - line) ** 2 for p in pegs)
    return k, peg * max(0.0, max(pegs) - line) / k if k > 0.0 else 0.0


def _mirrored(strips: tuple[Strip, ...], whole: float) -> tuple[Strip, ...]:
    return tuple(sorted((whole - b, whole - a, w) for a, b, w in strips))


def joint_stiffness(joint: MortiseTenon, bolts: Sequence[BarrelBolt] = ()) -> JointStiffness:
    """Both states of a mortise and tenon; where the two senses differ, the softer one.

    ``bolts`` are the knock-down bolts between the same two members: they pull where pegs would.
    """
    rail, post, s = joint.entering, joint.receiver, joint.shoulders
    bed = ACROSS_OVER_ALONG * post.species.moe / (post.extent(joint.receiver_face) / 2)
    cheeks = s.face_side + s.back_side
    strips = _strips(rail.width, rail.thickness, s.face_edge, s.back_edge, cheeks)
    flat = _strips(rail.thickness, rail.width, s.face_side, s.back_side, s.face_edge + s.back_edge)
    tight = closed_stiffness(bed, strips)
    side = closed_stiffness(bed, flat)
    draw = joint.draw
    places: tuple[float, ...]
    if bolts:
        peg, force = min(bolt_stiffness(b) for b in bolts), RELAXED * sum(map(bolt_draw, bolts))
        places = tuple(b.place[0] for b in bolts)
    elif isinstance(joint, TuskTenon):
        peg, places = wedge_springs(joint, bed, ACROSS_OVER_ALONG)
        force = RELAXED * wedge_draw(joint)
    elif draw is None or draw.count == 0:
        return JointStiffness(joint.name, tight, tight, side, math.inf, 0.0, glued=True)
    else:
        peg = peg_stiffness(draw.diameter, post.species.density(12.0), draw.species.moe)
        places = tuple(x for x, _ in joint.peg_points)
        force = RELAXED * peg * max(0.0, draw.offset) * draw.count
    ways = [
        open_stiffness(bed, strips, places, peg),
        open_stiffness(
            bed, _mirrored(strips, rail.width), tuple(rail.width - p for p in places), peg
        ),
    ]
    worn = min(k for k, _ in ways)
    area = sum(w * (b - a) for a, b, w in strips)
    # The shoulder's edge opens when bending takes away what the draw presses: sigma = N/A.
    opens = force / area * (tight / bed) / (rail.width / 2) if area > 0.0 else 0.0
    return JointStiffness(
        joint.name, tight, min(worn, tight), side, opens, max(p for _, p in ways), glued=False
    )


def leaning_stiffness(joint: AngledTenon | TaperedRound) -> JointStiffness:
    """Both states of a tenon that leans, or of a cone without a shoulder that seats.

    A cone, or a tenon that wedges fill, turns on the mortise's or socket's walls over the
    receiver's thickness T: K = k_s d T³/12, with s its own width d, so that K = 0.10 E T³/12;
    along the receiver's grain it meets end grain, twice as stiff (foundation of a dowel, from
    memory). A tenon turns on that or on its shoulders, whichever holds better; pegs draw it,
    wedges and the cone's taper hold it as if glued.
    """
    grain, own = joint.receiver.placement.x, joint.entering.placement
    first = abs(dot(own.y, grain)) >= abs(dot(own.z, grain))
    long = min(joint.length, joint.crossing)
    walls = ACROSS_OVER_ALONG * joint.receiver.species.moe / 12.0 * long**3
    ways = (END_GRAIN * walls, walls) if first else (walls, END_GRAIN * walls)
    if isinstance(joint, TaperedRound):
        return JointStiffness(joint.name, ways[0], ways[0], ways[1], math.inf, 0.0, glued=True)
    rail, s = joint.entering, joint.shoulders
    bed = ACROSS_OVER_ALONG * joint.receiver.species.moe
    bed /= joint.receiver.extent(joint.receiver_face) / 2
    strips = _strips(
        rail.width, rail.thickness, s.face_edge, s.back_edge, s.face_side + s.back_side
    )
    flat = _strips(rail.thickness, rail.width, s.face_side, s.back_side, s.face_edge + s.back_edge)
    tight, side = closed_stiffness(bed, strips), closed_stiffness(bed, flat)
    if joint.wedged:
        tight, side = max(tight, ways[0]), max(side, ways[1])
    draw = joint.draw
    if draw is None or not draw.count:
        return JointStiffness(joint.name, tight, tight, side, math.inf, 0.0, glued=True)
    peg = peg_stiffness(draw.diameter, joint.receiver.species.density(12.0), draw.species.moe)
    places = tuple(x for x, _ in joint.peg_points)
    worn, pull = min(
        open_stiffness(bed, way, at, peg)
        for way, at in (
            (strips, places),
            (_mirrored(strips, rail.width), tuple(rail.width - p for p in places)),
        )
    )
    force = RELAXED * peg * max(0.0, draw.offset) * draw.count
    area = sum(w * (b - a) for a, b, w in strips)
    opens = force / area * (tight / bed) / (rail.width / 2) if area > 0.0 else 0.0
    return JointStiffness(joint.name, tight, min(worn, tight), side, opens, pull, glued=False)


def _strips(
    whole: float, across: float, near: float, far: float, middle: float
) -> tuple[Strip, ...]:
    """The shoulder around a tenon as strips: full width beyond it, cheeks beside it."""
    found = ((0.0, near, across), (near, whole - far, middle), (whole - far, whole, across))
    return tuple((a, b, w) for a, b, w in found if b - a > 1e-9 and w > 1e-9)
