"""The parameters of the trestle bench: two trestles, stretchers through them held by tusks."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import ClassVar

from treenail.generators.fittings_spec import TopFittings
from treenail.generators.frame_spec import INCH, AnyBenchSpec, Moisture, Pegs, Top
from treenail.generators.params import choice, count, flag, mm, section
from treenail.joints.fits import FITS

WAYS = ("drawbored", "wedged")
DRIVES = ("upright", "level")


@dataclass(frozen=True, kw_only=True)
class TrestlePosts:
    """The uprights between foot and arm."""

    per_trestle: int = count(
        2,
        low=1,
        high=2,
        why="Two, front and back, don't rack; a single one is wide, in the middle.",
    )
    width: float = mm(
        3 * INCH, low=30, high=250, why="Along the bench; what the stretchers' tenons go through."
    )
    thickness: float = mm(
        4.5 * INCH, low=40, high=500, why="Front to back; wide tenons keep the trestle square."
    )
    plies: int = count(3, low=1, high=8, why="Boards glued face to face to make the thickness.")


@dataclass(frozen=True, kw_only=True)
class Feet:
    """The level pieces on the floor."""

    width: float = mm(3 * INCH, low=30, high=250, why="Along the bench; flush with 3 in posts.")
    height: float = mm(
        4 * INCH, low=30, high=300, why="High enough for a deep mortise with wood below it."
    )
    plies: int = count(2, low=1, high=8, why="Boards glued face to face to make the width.")
    beyond: float | None = mm(
        None,
        low=0,
        high=1000,
        why="Foot beyond its posts, front and back; auto reaches to below the top's edges.",
    )
    tenon_length: float | None = mm(
        None, low=15, high=250, why="The post's tenon in it; auto two thirds of its height."
    )
    hollow: float = mm(
        INCH / 4,
        low=0,
        high=60,
        why="How deep it is hollowed below, so that it stands on its ends and doesn't rock.",
    )
    pad: float = mm(5 * INCH, low=30, high=500, why="What stands on the floor at each end.")


@dataclass(frozen=True, kw_only=True)
class Arms:
    """The level pieces under the top."""

    width: float = mm(3 * INCH, low=30, high=250, why="Along the bench; flush with 3 in posts.")
    height: float = mm(
        3.5 * INCH, low=30, high=250, why="Carries the top; its bolts' heads lie in it."
    )
    plies: int = count(2, low=1, high=8, why="Boards glued face to face to make the width.")
    beyond: float | None = mm(
        None,
        low=0,
        high=1000,
        why="Arm beyond its posts; auto ends 1 in short of the top's edges, for bolts.",
    )
    way: str = choice(
        "drawbored",
        choices=WAYS,
        why="How posts hold it: a blind tenon and pegs, or one right through, spread by wedges.",
    )
    tenon_length: float | None = mm(
        None, low=15, high=200, why="Of a drawbored tenon; auto two thirds of its height."
    )


@dataclass(frozen=True, kw_only=True)
class TuskStretchers:
    """The long stretchers, one to each post, right through and held by wedges outside."""

    width: float = mm(7 * INCH, low=40, high=500, why="High: they alone keep it from racking.")
    thickness: float = mm(1.75 * INCH, low=15, high=200, why="What 8/4 stock yields when flat.")
    plies: int = count(1, low=1, high=8, why="Boards glued to make the thickness.")
    height: float | None = mm(
        None,
        low=0,
        high=1500,
        why="Floor to its lower edge; auto half-way up the posts, where it stiffens them most.",
    )
    tenon_thickness: float | None = mm(
        None, low=8, high=150, why="Auto a little over half of its thickness, to a tool size."
    )
    shoulder: float = mm(INCH / 2, low=0, high=100, why="Above and below the tenon.")
    fit: str = choice(
        "hand press",
        choices=tuple(FITS),
        why="Of the tusk tenons, which stay dry and must come out again by hand.",
    )
    proud: float | None = mm(
        None,
        low=30,
        high=400,
        why="Tenon beyond the post; auto leaves as much wood behind the wedge as it is wide.",
    )
    drive: str = choice(
        "upright",
        choices=DRIVES,
        why="Wedges down through the tenon, which sink by themselves; or level through its sides.",
    )
    wedge_width: float = mm(
        1.5 * INCH, low=12, high=120, why="Along the tenon, half-way through it."
    )
    wedge_thickness: float | None = mm(
        None, low=5, high=80, why="Across the hole; auto a third of the tenon, 3/8 in at least."
    )
    stand_out: float = mm(
        1.5 * INCH,
        low=5,
        high=150,
        why="How far a wedge stands out on both sides; there it bears on the post.",
    )


@dataclass(frozen=True, kw_only=True)
class ArmBolts:
    """The lag bolts up through the arms, slotted so that the top can move."""

    outside: bool = flag(default=True, why="One in each end of an arm, beyond the posts.")
    between: int = count(1, low=0, high=4, why="Between the two posts of a trestle.")
    diameter: float = mm(
        0.375 * INCH, low=6, high=13, why="1/4, 5/16, 3/8 or 1/2 in lag bolt.", inch_sizes=True
    )
    length: float | None = mm(
        None, low=25, high=400, why="Auto: the stock length that threads best into the top."
    )


@dataclass(frozen=True, kw_only=True)
class TrestleFittings(TopFittings):
    """What is fitted to a trestle bench; each is off until it is asked for."""

    not_here: ClassVar[Mapping[str, str]] = {
        "leg_vise": "no post stands at a trestle bench's front edge, where a chop would bear; use "
        "face_vise, whose steel runs under the top",
        "board_jack": "a trestle bench has no stretchers under its front edge for a board jack to "
        "ride on; use face_vise, and a stand of its own on the floor for the board's far end",
    }


@dataclass(frozen=True, kw_only=True)
class TrestleBenchSpec(AnyBenchSpec):
    """Sizes of a trestle bench, which comes apart: two trestles, stretchers, a top."""

    moisture: Moisture = section(Moisture, why="Seasons that the bench must live through.")
    top: Top = section(
        Top,
        why="The top; its overhangs front and back are those beyond the posts.",
        overhang_ends=304.8,  # 12 in
        overhang_front=88.9,  # 3 1/2 in
        overhang_back=88.9,
    )
    posts: TrestlePosts = section(TrestlePosts, why="The trestles' posts.")
    feet: Feet = section(Feet, why="The trestles' feet.")
    arms: Arms = section(Arms, why="The trestles' arms.")
    stretchers: TuskStretchers = section(TuskStretchers, why="The long stretchers.")
    pegs: Pegs = section(Pegs, why="Drawbored pegs of posts in feet and arms.")
    bolts: ArmBolts = section(ArmBolts, why="Lag bolts up into the top.")

    fittings: TrestleFittings = section(
        TrestleFittings, why="Stop, vises and feet; bought parts as measured."
    )
