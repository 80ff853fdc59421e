"""The parameters of the apron bench: the frame bench's where they are the same, and its own."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import ClassVar

from treenail.generators.fittings_spec import PostFittings
from treenail.generators.frame_spec import (
    INCH,
    BenchSpec,
    DogHoles,
    Pegs,
    Posts,
    Shelf,
    Stretchers,
)
from treenail.generators.params import choice, count, flag, mm, section
from treenail.generators.top_spec import ENDS, KINDS, EndBoards, OpenWell, Parting

EDGES = ("gaps", "tongued")


@dataclass(frozen=True, kw_only=True)
class PlankedTop:
    """The top: boards along the bench, each free to move by itself."""

    kind: str = choice(
        "solid",
        choices=KINDS,
        why="Boards from front to back; a gap with a loose strip between them; or a tool well "
        "behind, its bottom on the battens.",
    )
    thickness: float = mm(
        2 * INCH, low=20, high=120, why="Holdfasts grip in 2 in; battens carry it."
    )
    board: float = mm(
        9 * INCH, low=60, high=600, why="Widest board wanted; the fewest of equal width are taken."
    )
    boards: int | None = count(
        None, low=1, high=16, why="Boards that make the top, or each part of a split one."
    )
    edges: str = choice(
        "gaps",
        choices=EDGES,
        why="Gaps between the boards, or tongues in grooves that keep chips and small parts out.",
    )
    gap: float | None = mm(
        None,
        low=0,
        high=20,
        why="Between boards as built; auto is what they swell at their wettest, to the 1/32 in.",
    )
    tongue: float = mm(
        0.375 * INCH, low=4, high=30, why="How far a tongue reaches into its groove, if tongued."
    )
    overhang_ends: float = mm(
        10 * INCH, low=0, high=1200, why="Top beyond the posts at each end; room for clamps."
    )
    overhang_front: float = mm(
        0.0, low=0, high=400, why="Top beyond the front posts; 0 keeps posts flush for clamping."
    )
    overhang_back: float = mm(0.0, low=0, high=400, why="Top beyond the back posts.")
    ends: str = choice(
        "none",
        choices=ENDS,
        why="Boards across its ends keep the boards level: breadboard, or a cap. Not on tongued "
        "edges.",
    )
    end_boards: EndBoards = section(EndBoards, why="Where ends are breadboard or cap.")
    split: Parting = section(Parting, why="Where kind is split.")
    well: OpenWell = section(OpenWell, why="Where kind is well; its ends stay open, for sweeping.")
    rings: str = choice(
        "flat",
        choices=("flat", "rift", "quarter"),
        why="Growth rings across the boards; quartersawn ones move half as much.",
    )
    dog_holes: DogHoles = section(
        DogHoles, why="Holes for dogs and holdfasts; those over a batten are left out."
    )

    @property
    def strip(self) -> float:
        """Widest board that an end board is made of, mm."""
        return self.board


@dataclass(frozen=True, kw_only=True)
class RestHoles:
    """Holes in the front apron for pegs and holdfasts that bear a board on edge."""

    rows: int = count(1, low=0, high=4, why="Rows in the front apron, from above; 0 for none.")
    diameter: float = mm(0.75 * INCH, low=6, high=40, why="As the dog holes', to share pegs.")
    pitch: float = mm(6 * INCH, low=30, high=400, why="Distance between holes along the bench.")
    below: float = mm(
        4 * INCH, low=25, high=500, why="Apron's upper edge to the first row: clear of the battens."
    )
    row_spacing: float = mm(3 * INCH, low=30, high=400, why="Between rows where there are several.")


@dataclass(frozen=True, kw_only=True)
class Aprons:
    """The wide boards along the front and the back, let into the posts and pegged."""

    width: float = mm(
        11 * INCH, low=100, high=500, why="Depth of the apron: wide, so that it holds off racking."
    )
    thickness: float = mm(1.75 * INCH, low=18, high=100, why="What 8/4 stock yields.")
    let_in: float | None = mm(
        None,
        low=6,
        high=150,
        why="Depth of the notch in the post; auto takes the thickness: flush faces to clamp to.",
    )
    beyond: float | None = mm(
        None,
        low=0,
        high=1200,
        why="Apron beyond the posts; auto stops 2 in short of the top's end.",
    )
    relief: float | None = mm(
        None,
        low=0,
        high=25,
        why="How far the posts end below the top, so that a dry apron doesn't hang it on them; "
        "auto is what the apron shrinks, to the 1/16 in.",
    )
    peg_rows: int = count(2, low=1, high=4, why="Rows of pegs in each post, above each other.")
    peg_diameter: float = mm(
        0.625 * INCH, low=6, high=40, why="Treenails that hold the apron on its post."
    )
    peg_low: float = mm(
        1.5 * INCH, low=12, high=200, why="Apron's lower edge to the lowest pegs' centres."
    )
    peg_spread: float | None = mm(
        None,
        low=20,
        high=300,
        why="Lowest to highest row; auto 3 1/2 in, less where a tenon is in the way or the "
        "apron would move over 1/32 in between them.",
    )
    rest_holes: RestHoles = section(RestHoles, why="Holes in the front apron.")


@dataclass(frozen=True, kw_only=True)
class Battens:
    """The bearers under the top, dropped into notches in the aprons' upper edges."""

    width: float = mm(2.5 * INCH, low=30, high=200, why="Along the bench; room for two holes' rim.")
    thickness: float = mm(1.75 * INCH, low=20, high=120, why="Height; they lie flat.")
    pitch: float = mm(
        16 * INCH, low=100, high=1200, why="Farthest apart between the posts, centre to centre."
    )
    let_in: float = mm(
        1.25 * INCH, low=10, high=90, why="Length of the end in the apron's notch, which it hides."
    )
    peg_diameter: float = mm(
        0.375 * INCH, low=4, high=20, why="A peg down through each end ties the aprons together."
    )


@dataclass(frozen=True, kw_only=True)
class BattenBolts:
    """The lag bolts that hold each board of the top down and let it move."""

    per_board: int = count(
        2, low=1, high=4, why="In each batten and board: the first one fast, the others in slots."
    )
    diameter: float = mm(
        0.25 * INCH, low=6, high=13, why="1/4, 5/16, 3/8 or 1/2 in lag bolt.", inch_sizes=True
    )
    length: float | None = mm(
        None, low=25, high=400, why="Auto: the stock length that threads best into the top."
    )


@dataclass(frozen=True, kw_only=True)
class ApronFittings(PostFittings):
    """What is fitted to an apron bench; each is off until it is asked for."""

    not_here: ClassVar[Mapping[str, str]] = {
        "board_jack": "the front apron stands where a board jack would slide; it carries long "
        "boards itself, on pegs in aprons.rest_holes"
    }


@dataclass(frozen=True, kw_only=True)
class ApronBenchSpec(BenchSpec):
    """Sizes of an apron bench: posts, wide aprons let into them, battens, a planked top."""

    top: PlankedTop = section(PlankedTop, why="The top: boards along the bench.")
    posts: Posts = section(
        Posts,
        why="The legs; thick, as the aprons are let in.",
        width=88.9,  # 3 1/2 in
        thickness=101.6,  # 4 in
    )
    aprons: Aprons = section(Aprons, why="The wide boards along front and back.")
    battens: Battens = section(Battens, why="The bearers under the top.")
    bolts: BattenBolts = section(BattenBolts, why="Lag bolts up through the battens.")
    upper_end: Stretchers = section(
        Stretchers,
        why="Upper rails at the two ends, behind the aprons.",
        width=101.6,  # 4 in
        shoulder_top=25.4,
        tenon_length=38.1,  # 1 1/2 in
    )
    stretchers: bool = flag(
        default=True, why="Lower stretchers front and back; they may carry a shelf."
    )
    lower_long: Stretchers = section(Stretchers, why="Lower stretchers, front and back, if any.")
    lower_end: Stretchers = section(Stretchers, why="Lower stretchers at the two ends.")
    pegs: Pegs = section(Pegs, why="Drawbored pegs of the stretchers.")
    shelf: Shelf = section(Shelf, why="A shelf below.")

    fittings: ApronFittings = section(
        ApronFittings, why="Stop, vises and feet; bought parts as measured."
    )
