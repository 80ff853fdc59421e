"""The parameters of the small raised bench, which stands on another one for fine work."""

from __future__ import annotations

from dataclasses import dataclass

from treenail.generators.common_fields import base_wood, fit_model, tenon_fit
from treenail.generators.frame_spec import INCH, DogHoles, Moisture
from treenail.generators.params import choice, count, mm, section, text
from treenail.generators.top_spec import ENDS, EndBoards

HOLDS = ("pins", "clamps")
#: Why its top isn't parted.
JOINS = "its top alone joins the front posts to those behind"


@dataclass(frozen=True, kw_only=True)
class RaisedTop:
    """The top: strips on edge, glued up in sections that pass the planer."""

    kind: str = choice(
        "solid",
        choices=("solid",),
        refused={"split": JOINS, "well": JOINS},
        why="Solid only: parted, nothing would join the front posts to those behind.",
    )
    thickness: float = mm(
        1.75 * INCH, low=20, high=120, why="What 8/4 stock yields; stiff over so short a span."
    )
    strip: float = mm(
        1.5 * INCH, low=10, high=200, why="Finished width of one strip; sets the count to glue up."
    )
    planer_width: float = mm(
        12 * INCH, low=100, high=1300, why="Sections are kept narrower than this planer."
    )
    sections: int | None = count(
        None, low=1, high=4, why="Sections that make the top; auto takes the fewest that pass."
    )
    overhang: float = mm(
        2.5 * INCH, low=0, high=300, why="Top and feet beyond the posts at each end; for clamps."
    )
    set_in: float = mm(
        INCH, low=0, high=200, why="Front and back edges to the posts and feet; a clamp's grip."
    )
    ends: str = choice(
        "none", choices=ENDS, why="Boards across its ends keep it flat: breadboard, or a cap."
    )
    end_boards: EndBoards = section(
        EndBoards,
        why="Where ends are breadboard or cap; they lie outside the posts.",
        width=57.15,  # 2 1/4 in
        tenon_length=38.1,  # 1 1/2 in
        tenon_width=38.1,
    )
    rings: str = choice(
        "quarter",
        choices=("flat", "rift", "quarter"),
        why="Growth rings across the top; flat boards ripped and set on edge move as quartered.",
    )
    dog_holes: DogHoles = section(
        DogHoles,
        why="Holes along the middle of the top; setback is from its front edge.",
        row_spacing=101.6,  # 4 in
    )

    @property
    def overhang_ends(self) -> float:
        """Beyond the posts, where end boards lie, mm."""
        return self.overhang


@dataclass(frozen=True, kw_only=True)
class ShortPosts:
    """The four posts."""

    width: float = mm(2.5 * INCH, low=30, high=150, why="Along the bench.")
    thickness: float = mm(2 * INCH, low=25, high=150, why="Front to back.")
    plies: int = count(1, low=1, high=4, why="Boards glued face to face to make the thickness.")


@dataclass(frozen=True, kw_only=True)
class BothTenons:
    """The posts' tenons: up through the top and down through the feet, wedged."""

    thickness: float | None = mm(
        None, low=6, high=80, why="Front to back; auto a third of the post, to a tool size."
    )
    shoulder_ends: float | None = mm(
        None, low=0, high=40, why="Shoulder on both sides along the bench; auto 1/2 in or less."
    )
    wedges: int = count(2, low=1, high=3, why="Across the grain of top and foot: no split.")
    kerf: float = mm(INCH / 16, low=0.5, high=4, why="Width of the saw cut that takes a wedge.")
    flare: float = mm(
        INCH / 16, low=0.5, high=8, why="How much each end of a mortise widens outward: 1/16 in."
    )


@dataclass(frozen=True, kw_only=True)
class Feet:
    """The two long feet, front and back."""

    thickness: float = mm(1.5 * INCH, low=20, high=100, why="Height; a clamp's pad lies on it.")
    width: float | None = mm(
        None, low=25, high=200, why="Front to back; auto as thick as the posts, flush with them."
    )


@dataclass(frozen=True, kw_only=True)
class Hold:
    """How it is kept in its place on the bench below."""

    by: str = choice(
        "pins",
        choices=HOLDS,
        why="Pins in the dog holes of the bench below; or clamps and holdfasts on the feet's ends.",
    )
    foot: str = choice(
        "front", choices=("front", "back"), why="The foot with the pins, over a row of dog holes."
    )
    hole: float = mm(
        0.75 * INCH, low=10, high=40, why="Diameter of the dog holes below: measure one."
    )
    pitch: float = mm(
        4 * INCH, low=30, high=400, why="Their distance, centre to centre, along the bench below."
    )
    play: float = mm(
        INCH / 16,
        low=0.1,
        high=3,
        why="How much thinner a pin is at its end: it tapers below the foot, eased until it drops "
        "in.",
    )
    length: float = mm(
        1.25 * INCH, low=15, high=120, why="How far pins reach down; less than the top below."
    )


@dataclass(frozen=True, kw_only=True)
class RaisedBenchSpec:
    """Sizes of a small raised bench: a top on four posts, feet that another bench holds."""

    name: str = text("raised bench", why="On every paper; letters, digits, spaces, - and _.")
    length: float = mm(24 * INCH, low=250, high=2000, why="Over all, along the top.")
    depth: float = mm(10 * INCH, low=120, high=900, why="Over all, front to back.")
    below: float = mm(
        34 * INCH, low=250, high=1300, why="Height of the bench that it stands on: measure it."
    )
    working_height: float = mm(
        40.5 * INCH,
        low=300,
        high=1700,
        why="Floor to the raised working surface: near the elbow for fine work (common practice).",
    )
    height: float | None = mm(
        None,
        low=80,
        high=600,
        why="Its own height; auto is the working height less the bench below.",
    )
    species: str = base_wood()
    top_species: str = text("", why="Another wood for the top; empty takes the base's.")
    peg_species: str = text("white oak", why="Wood of wedges and pins.")
    fit: str = tenon_fit()
    model: str = fit_model()
    moisture: Moisture = section(Moisture, why="Seasons that the bench must live through.")
    top: RaisedTop = section(RaisedTop, why="The top.")
    posts: ShortPosts = section(ShortPosts, why="The posts.")
    post_tenons: BothTenons = section(BothTenons, why="The posts' tenons in top and feet.")
    feet: Feet = section(Feet, why="What it stands on.")
    hold: Hold = section(Hold, why="What holds it on the bench below.")
