"""The parameters of fittings: planing stop, vises, board jack, levelling feet.

What is bought is measured on the hardware at hand: such sizes have no default.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import ClassVar

from treenail.generators.params import choice, count, flag, mm, section, text

INCH = 25.4
SIDES = ("left", "right")


@dataclass(frozen=True, kw_only=True)
class PlaningStop:
    """A square block in a mortise of its own, tapped up to plane against."""

    enabled: bool = flag(default=False, why="A planing stop near the top's left end.")
    width: float = mm(2.5 * INCH, low=15, high=120, why="Of the square block; 2 to 3 in stands.")
    rise: float = mm(3 * INCH, low=5, high=200, why="How far it can be tapped up above the top.")
    length: float | None = mm(
        None, low=40, high=500, why="Auto: the rise and twice the top's thickness."
    )
    from_end: float | None = mm(
        None,
        low=10,
        high=3000,
        why="Top's left end to the block; auto halves the overhang.",
    )
    from_front: float | None = mm(
        None, low=10, high=1500, why="Top's front to the block; auto: the first dog row."
    )
    play: float | None = mm(
        None,
        low=0,
        high=3,
        why="Auto: what the block swells in the wettest season, and a snug 0.1 mm.",
    )
    species: str = text("", why="A hard wood; empty takes the base's.")


@dataclass(frozen=True, kw_only=True)
class Plate:
    """A flange or bracket that is let in and screwed on; measure it."""

    length: float = mm(0.0, low=0, high=600, why="Upright, or along the bench; 0 for no recess.")
    width: float = mm(0.0, low=0, high=600, why="Across that; 0 for no recess.")
    recess: float = mm(0.0, low=0, high=100, why="How deep it is let in; 0 leaves it on the wood.")
    hole: float = mm(0.0, low=0, high=20, why="Pilot holes of its screws; 0 for none.")
    hole_depth: float = mm(INCH, low=1, high=200, why="Of the pilot holes, from the wood's face.")
    holes_along: float = mm(0.0, low=0, high=600, why="Between holes along its length; 0: one row.")
    holes_across: float = mm(0.0, low=0, high=600, why="Between holes across; 0: one row.")


@dataclass(frozen=True, kw_only=True)
class LegVise:
    """A chop before a front post, with a screw and a guide through the post's foot."""

    enabled: bool = flag(default=False, why="A leg vise on a front post.")
    post: str = choice("left", choices=SIDES, why="Right-handed people plane toward the left.")
    screw_diameter: float | None = mm(
        None, low=8, high=80, why="Outside diameter of the screw at hand: measure it."
    )
    screw_length: float | None = mm(
        None, low=100, high=1200, why="From its collar's bearing face to its end: measure it."
    )
    collar_diameter: float | None = mm(
        None, low=10, high=200, why="Of the collar that bears on the chop: measure it."
    )
    collar_thickness: float = mm(
        0.5 * INCH, low=1, high=80, why="How far collar and boss stand out of the chop."
    )
    nut_thickness: float | None = mm(
        None, low=5, high=200, why="Length of thread in the nut: measure it."
    )
    nut_inset: float = mm(
        0.0, low=0, high=150, why="How far the nut reaches into the post; 0 stands behind it."
    )
    nut_diameter: float = mm(
        0.0, low=0, high=120, why="Hole for the nut's body in the post's back; 0 for none."
    )
    nut: Plate = section(Plate, why="The nut's flange on the post's back.")
    collar: Plate = section(Plate, why="The collar's plate on the chop's front.")
    screw_hole: float | None = mm(
        None, low=9, high=90, why="Holes for it; auto: 1 mm wider, to the next 1/8 in or 5 mm."
    )
    screw_height: float | None = mm(
        None,
        low=100,
        high=1300,
        why="Floor to the screw; auto: 8 in under the top, or lower to clear the stretchers.",
    )
    travel: float | None = mm(
        None,
        low=20,
        high=600,
        why="Opening wanted; auto: what the screw gives, to the 1/2 in or 10 mm.",
    )
    chop_width: float = mm(6 * INCH, low=50, high=400, why="Along the bench; wider than the post.")
    chop_thickness: float = mm(1.75 * INCH, low=20, high=150, why="What 8/4 stock yields.")
    chop_plies: int = count(1, low=1, high=4, why="Boards glued to make the thickness.")
    chop_clearance: float = mm(
        0.5 * INCH, low=5, high=400, why="Floor to the chop's lower end, so that it never drags."
    )
    chop_species: str = text("", why="The chop's wood; empty takes the base's.")
    guide_width: float = mm(2 * INCH, low=20, high=150, why="Height of the guide on edge.")
    guide_thickness: float = mm(0.875 * INCH, low=10, high=60, why="What 4/4 stock yields.")
    guide_height: float | None = mm(
        None, low=5, high=600, why="Floor to its lower edge; auto: as low as the foot allows."
    )
    guide_tail: float = mm(
        INCH, low=5, high=150, why="What stays behind the post when the vise is wide open."
    )
    guide_play: float = mm(INCH / 16, low=0, high=6, why="In the post's mortise, each way.")
    pin: float = mm(0.375 * INCH, low=4, high=25, why="The pin that stops the chop's foot.")
    pin_rows: int = count(2, low=1, high=3, why="Rows of holes, staggered for finer steps.")
    pin_pitch: float = mm(INCH, low=8, high=100, why="Between holes of one row.")


@dataclass(frozen=True, kw_only=True)
class LevellingFeet:
    """A threaded insert in each post's foot, and a foot on a stud."""

    enabled: bool = flag(default=False, why="Feet that level the bench on an uneven floor.")
    insert_hole: float | None = mm(
        None, low=4, high=50, why="Hole for the insert at hand: measure it."
    )
    insert_length: float | None = mm(None, low=5, high=100, why="Of the insert: measure it.")
    stud_diameter: float | None = mm(None, low=4, high=30, why="Of the foot's thread: measure it.")
    stud_length: float | None = mm(
        None, low=10, high=200, why="From the foot's upper face to the thread's end: measure it."
    )
    pad_diameter: float | None = mm(None, low=10, high=150, why="Of the foot: measure it.")
    pad_thickness: float | None = mm(None, low=2, high=60, why="Of the foot: measure it.")
    standing: float | None = mm(
        None,
        low=2,
        high=150,
        why="Floor to the posts' ends in the drawings; auto puts the thread at half its travel.",
    )


@dataclass(frozen=True, kw_only=True)
class JawVise:
    """A jaw at the top's edge, its screw and guide rods under the top."""

    enabled: bool = flag(default=False, why="A vise here.")
    at: float | None = mm(
        None,
        low=50,
        high=6000,
        why="Along the edge to the screw, from the left, or from the front; auto finds a place.",
    )
    screw_diameter: float | None = mm(None, low=6, high=60, why="Of the screw: measure it.")
    screw_length: float | None = mm(
        None, low=80, high=1000, why="From its collar's bearing face to its end: measure it."
    )
    collar_diameter: float | None = mm(
        None, low=8, high=150, why="Of the collar that bears on the jaw: measure it."
    )
    collar_thickness: float = mm(
        0.5 * INCH, low=1, high=80, why="How far collars stand out of the jaw."
    )
    nut_thickness: float | None = mm(
        None, low=5, high=200, why="Length of thread in the nut: measure it."
    )
    nut_from_edge: float | None = mm(
        None, low=10, high=600, why="The top's edge to the nut's far end, mounted: measure it."
    )
    screw_below: float | None = mm(
        None, low=10, high=300, why="The top's underside to the screw's middle: measure it."
    )
    rods: bool = flag(default=True, why="A guide rod on either side of the screw.")
    rod_diameter: float | None = mm(None, low=5, high=60, why="Of the rods: measure it.")
    rod_length: float | None = mm(
        None, low=80, high=1000, why="From the jaw's outer face to their ends: measure it."
    )
    rod_spacing: float | None = mm(
        None, low=40, high=600, why="Between both rods' middles: measure it."
    )
    travel: float | None = mm(
        None,
        low=20,
        high=600,
        why="Opening wanted; auto: what the screw gives, to the 1/2 in or 10 mm.",
    )
    jaw_length: float = mm(12 * INCH, low=80, high=1500, why="Along the edge.")
    jaw_thickness: float = mm(1.75 * INCH, low=15, high=150, why="What 8/4 stock yields.")
    jaw_height: float | None = mm(
        None, low=40, high=400, why="From the top's surface down; auto: 1 in below the rods."
    )
    dog_hole: bool = flag(
        default=False, why="An end vise's: a dog hole in the jaw, in line with a row of the top."
    )
    block_along: float = mm(
        8 * INCH, low=0, high=1500, why="Of the block under the top, along the edge."
    )
    block_inward: float = mm(4 * INCH, low=20, high=600, why="Of the block, inward from the edge.")
    block_thickness: float = mm(
        INCH, low=0, high=200, why="Brings the vise to its height; 0 for no block."
    )
    block_set_back: float | None = mm(
        None, low=0, high=600, why="Edge to block; auto: behind the stretcher there, or 1/2 in."
    )
    mount: Plate = section(Plate, why="The screws that hold the vise, through the block.")
    rear_jaw: Plate = section(Plate, why="The rear jaw's recess in the top's edge, from below.")
    species: str = text("", why="The jaw's wood; empty takes the base's.")


@dataclass(frozen=True, kw_only=True)
class BoardJack:
    """An upright board that slides along the bench's front and carries the work's far end."""

    enabled: bool = flag(default=False, why="A sliding board jack before the front stretchers.")
    width: float = mm(8 * INCH, low=60, high=400, why="Along the bench; wide boards stay upright.")
    thickness: float | None = mm(
        None, low=12, high=80, why="Auto: what the upper stretcher's set_in leaves, to 1 1/2 in."
    )
    at: float | None = mm(
        None, low=50, high=6000, why="Top's left end to its middle, as drawn; auto halves its way."
    )
    ridge_width: float = mm(
        0.5 * INCH, low=6, high=40, why="Of the ridge on the stretcher, and of the upper tongue."
    )
    ridge_height: float = mm(0.375 * INCH, low=4, high=30, why="How high the ridge stands.")
    engagement: float = mm(
        0.375 * INCH, low=4, high=30, why="How far the tongue stands in the top's groove."
    )
    play: float | None = mm(
        None, low=0, high=10, why="In the groove; auto: enough to swing the jack out, lifted."
    )
    hole: float = mm(0.75 * INCH, low=6, high=40, why="For pegs or holdfasts.")
    hole_rows: int = count(2, low=1, high=4, why="Rows of holes, staggered for finer steps.")
    hole_pitch: float = mm(4 * INCH, low=30, high=300, why="Between holes of one row.")
    species: str = text("", why="The jack's wood; empty takes the base's.")


@dataclass(frozen=True, kw_only=True)
class TopFittings:
    """What any bench with a thick top and feet on the floor can be fitted with.

    ``not_here`` tells of fittings that a family can't have: why, and what to use instead.
    """

    not_here: ClassVar[Mapping[str, str]] = {}

    planing_stop: PlaningStop = section(PlaningStop, why="A planing stop.")
    face_vise: JawVise = section(JawVise, why="A vise at the top's front edge.")
    end_vise: JawVise = section(
        JawVise, why="A vise at the top's right end.", jaw_length=18 * INCH, dog_hole=True
    )
    levelling_feet: LevellingFeet = section(LevellingFeet, why="Levelling feet, as measured.")


@dataclass(frozen=True, kw_only=True)
class PostFittings(TopFittings):
    """And where posts stand at the front, under its edge."""

    leg_vise: LegVise = section(LegVise, why="A leg vise, made to the screw at hand.")


@dataclass(frozen=True, kw_only=True)
class Fittings(PostFittings):
    """And where open stretchers run from post to post."""

    board_jack: BoardJack = section(BoardJack, why="A sliding board jack.")
