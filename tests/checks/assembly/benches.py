"""Small groups of bars built by hand, and the usual bench, for the tests of assembly."""

from __future__ import annotations

from treenail.generators.bench import Bench, Seasons
from treenail.generators.build import build_bench
from treenail.generators.frame_spec import FrameBenchSpec
from treenail.generators.spec_values import build_spec
from treenail.joints.base import Joint
from treenail.joints.features import EdgeGlue
from treenail.joints.fits import FITS
from treenail.joints.mortise_tenon import DrawBore, MortiseTenon, Shoulders
from treenail.timber.frames import Frame, Vec, X, Y, Z, neg
from treenail.timber.member import Face, Member
from treenail.timber.species import get_species

ASH = get_species("white ash")
AXES = (X, Y, Z)
FIT = FITS[min(FITS)]
PEGS = DrawBore(count=1, diameter=8.0, offset=1.0, setback=12.0, species=ASH, through=True)


def bar(name: str, low: Vec, high: Vec, grain: int, role: str = "rail") -> Member:
    """A bar that fills a box, its grain along the bench's axis 0, 1 or 2."""
    size = [h - g for g, h in zip(low, high, strict=True)]
    across, deep = (grain + 2) % 3, (grain + 1) % 3
    start = [*low]
    start[deep] = high[deep]
    return Member(
        name=name,
        role=role,
        length=size[grain],
        width=size[across],
        thickness=size[deep],
        species=ASH,
        placement=Frame((start[0], start[1], start[2]), AXES[grain], AXES[across], neg(AXES[deep])),
    )


def tenon(receiver: Member, entering: Member, end: Face, draw: DrawBore | None = None) -> Joint:
    """A tenon with 10 mm shoulders all round."""
    return MortiseTenon(
        name=f"{entering.name}_in_{receiver.name}",
        receiver=receiver,
        entering=entering,
        end=end,
        shoulders=Shoulders(face_edge=10.0, back_edge=10.0, face_side=10.0, back_side=10.0),
        fit=FIT,
        draw=draw,
    )


def group(timbers: list[Member], joints: list[Joint]) -> Bench:
    """A bench of just these."""
    return Bench(
        name="by hand",
        family="none",
        units="mm",
        timbers=tuple(timbers),
        joints=tuple(joints),
        asked=(1000.0, 1000.0, 1000.0),
        seasons=Seasons(9.0, 7.0, 13.0),
    )


def usual(**sizes: object) -> Bench:
    """The frame bench from a few sizes in inches."""
    return build_bench(build_spec(FrameBenchSpec, sizes, units="in"), units="in")


def pinwheel(braces: str = "") -> Bench:
    """Four rails, each tenoned into the next one's side, and braces across the ring.

    ``e`` runs from a to c, ``f`` from d to b above it. The bare ring comes apart into two halves,
    along it or across it; ``e`` bars the one way, ``f`` the other.
    """
    a = bar("rail_a", (-160.0, -60.0, 0.0), (330.0, 0.0, 120.0), 0)
    b = bar("rail_b", (300.0, -160.0, 0.0), (360.0, 330.0, 120.0), 1)
    c = bar("rail_c", (-30.0, 300.0, 0.0), (460.0, 360.0, 120.0), 0)
    d = bar("rail_d", (-60.0, -30.0, 0.0), (0.0, 460.0, 120.0), 1)
    timbers = [a, b, c, d]
    joints = [
        tenon(b, a, Face.FAR_END),
        tenon(c, b, Face.FAR_END),
        tenon(d, c, Face.NEAR_END),
        tenon(a, d, Face.NEAR_END),
    ]
    if "e" in braces:
        brace = bar("brace_e", (120.0, -30.0, 0.0), (180.0, 330.0, 55.0), 1)
        timbers.append(brace)
        joints += [tenon(a, brace, Face.NEAR_END), tenon(c, brace, Face.FAR_END)]
    if "f" in braces:
        brace = bar("brace_f", (-30.0, 120.0, 65.0), (330.0, 180.0, 120.0), 0)
        timbers.append(brace)
        joints += [tenon(d, brace, Face.NEAR_END), tenon(b, brace, Face.FAR_END)]
    return group(timbers, joints)


def ladder(draw: DrawBore | None = None) -> tuple[list[Member], list[Joint]]:
    """Two posts and a rail between them."""
    left = bar("post_left", (0.0, 0.0, 0.0), (60.0, 60.0, 600.0), 2, "post")
    right = bar("post_right", (460.0, 0.0, 0.0), (520.0, 60.0, 600.0), 2, "post")
    rail = bar("rail", (30.0, 0.0, 200.0), (490.0, 60.0, 260.0), 0)
    joints = [tenon(left, rail, Face.NEAR_END, draw), tenon(right, rail, Face.FAR_END, draw)]
    return [left, right, rail], joints


def cradle(gap: float = 40.0) -> tuple[list[Member], list[Joint]]:
    """A rail tenoned into one cheek of a frame glued up as one; the other stands ``gap`` mm off.

    The tenon is 30 mm long: with more room than that the rail goes in round the corner.
    """
    left = bar("cheek_left", (0.0, 0.0, 0.0), (60.0, 60.0, 600.0), 2, "post")
    right = bar("cheek_right", (460.0, 0.0, 0.0), (520.0, 60.0, 600.0), 2, "post")
    beam = bar("beam", (0.0, 60.0, 0.0), (520.0, 100.0, 600.0), 0, "panel")
    rail = bar("rail", (30.0, 0.0, 200.0), (460.0 - gap, 60.0, 260.0), 0)
    glue = [EdgeGlue(name=f"glue_{m.name}", first=beam, second=m) for m in (left, right)]
    return [left, right, beam, rail], [tenon(left, rail, Face.NEAR_END), *glue]


def cornered(rail_gap: float = 40.0, cleat_gap: float = 200.0) -> Bench:
    """A ring braced one way, whose halves a rail and a cleat keep from parting the other way.

    Nothing is glued, and no straight move frees anything. The rail is tenoned into one side of
    the ring, the cleat into the other, both tenons 30 mm long; each ends so far before the side
    across.
    """
    ring = pinwheel("e")
    b, d = ring.timbers[1], ring.timbers[3]
    rail = bar("rail_r", (-30.0, 120.0, 65.0), (300.0 - rail_gap, 180.0, 120.0), 0)
    cleat = bar("cleat", (cleat_gap, 190.0, 65.0), (330.0, 250.0, 120.0), 0)
    joints = [tenon(d, rail, Face.NEAR_END), tenon(b, cleat, Face.FAR_END)]
    return group([*ring.timbers, rail, cleat], [*ring.joints, *joints])
