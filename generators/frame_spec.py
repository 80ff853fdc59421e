"""The parameters of the frame bench, each with unit, range, default and reason."""

from __future__ import annotations

from dataclasses import dataclass

from treenail.generators.common_fields import base_wood, fit_model, tenon_fit
from treenail.generators.fittings_spec import Fittings
from treenail.generators.params import choice, count, flag, mm, percent, section, temperature, text
from treenail.generators.top_spec import ENDS, KINDS, EndBoards, SplitTop, ToolWell
from treenail.joints.corners import CORNERS
from treenail.timber.metric_bolts import METRIC_BOLTS

INCH = 25.4
LONG_JOINTS = ("drawbored", "bolted")
SEATS = ("on", "rebate")
BOARD_EDGES = ("plain", "tongued")
PANEL_PLACES = ("none", "ends", "back", "all")
PANEL_BOARDS = ("tongued", "glued")
MEETINGS = ("heights", "mitred", "shortened", "notched")


@dataclass(frozen=True, kw_only=True)
class DogHoles:
    """A row of dog holes along the front of the top."""

    rows: int = count(
        1, low=0, high=4, why="Rows of dog holes, from the front; 0 leaves the top plain."
    )
    diameter: float = mm(
        0.75 * INCH, low=6, high=40, why="3/4 in or 20 mm suits the dogs and holdfasts sold."
    )
    pitch: float = mm(
        4 * INCH, low=30, high=400, why="Distance between holes: 3 to 6 in, within a vise's travel."
    )
    setback: float | None = mm(
        None,
        low=20,
        high=1500,
        why="Front edge to the first row's centres; auto clears the posts and stretchers below.",
    )
    row_spacing: float = mm(
        8 * INCH, low=40, high=1500, why="Distance between rows where there are several."
    )


@dataclass(frozen=True, kw_only=True)
class Top:
    """The top: strips on edge, glued up in sections that pass the planer."""

    kind: str = choice(
        "solid",
        choices=KINDS,
        why="One slab; split in two with a gap between them; or a slab with a tool well behind.",
    )
    thickness: float = mm(
        2.875 * INCH, low=20, high=200, why="2 3/4 to 3 in: stiff and heavy, and holdfasts grip."
    )
    strip: float = mm(
        1.5 * INCH, low=10, high=200, why="Finished width of one strip; sets the count to glue up."
    )
    planer_width: float = mm(
        12 * INCH, low=100, high=1300, why="Sections are kept narrower than this planer."
    )
    sections: int | None = count(
        None,
        low=1,
        high=12,
        why="Sections that make the top, or each slab; auto: the fewest that pass.",
    )
    ends: str = choice(
        "none",
        choices=ENDS,
        why="Boards across its ends: breadboard on pegged tenons, or a cap with bolts; both let "
        "the top move.",
    )
    end_boards: EndBoards = section(EndBoards, why="Where ends are breadboard or cap.")
    split: SplitTop = section(SplitTop, why="Where kind is split.")
    well: ToolWell = section(ToolWell, why="Where kind is well.")
    overhang_ends: float = mm(
        8 * INCH, low=0, high=1200, why="Top beyond the posts at each end; room for clamps."
    )
    overhang_front: float = mm(
        0.0, low=0, high=400, why="Top beyond the front posts; 0 keeps posts flush for clamping."
    )
    overhang_back: float = mm(
        0.0, low=0, high=400, why="Top beyond the back posts; 0 keeps the bench compact."
    )
    rings: str = choice(
        "quarter",
        choices=("flat", "rift", "quarter"),
        why="Growth rings across the top; flat boards ripped and set on edge move as quartered.",
    )
    dog_holes: DogHoles = section(DogHoles, why="Holes for dogs and holdfasts.")


@dataclass(frozen=True, kw_only=True)
class Posts:
    """The four legs."""

    width: float = mm(
        3 * INCH, low=30, high=250, why="Along the bench; 3 in takes 2 in tenons from two sides."
    )
    thickness: float = mm(
        3 * INCH, low=30, high=250, why="Front to back; two plies planed a little under 1 9/16 in."
    )
    plies: int = count(2, low=1, high=8, why="Boards glued face to face to make the thickness.")
    foot_chamfer: float = mm(
        0.25 * INCH, low=0, high=40, why="Keeps the feet from splintering when the bench is moved."
    )


@dataclass(frozen=True, kw_only=True)
class Stretchers:
    """One pair of stretchers and its tenons."""

    width: float = mm(5 * INCH, low=30, high=500, why="Height of the stretcher on edge.")
    thickness: float | None = mm(
        None,
        low=15,
        high=200,
        why="Auto: 1 3/4 in, what 8/4 stock yields when flat; more if bolts' slots ask for it.",
    )
    plies: int = count(1, low=1, high=8, why="Boards glued to make the thickness.")
    height: float | None = mm(
        None,
        low=0,
        high=2000,
        why="Floor to its lower edge; auto puts it where tenons don't meet.",
    )
    set_in: float | None = mm(
        None, low=0, high=200, why="Outer face in from the posts' outer faces; auto centres it."
    )
    tenon_length: float = mm(
        2 * INCH, low=10, high=300, why="Into the post; 2 in fills two thirds of a 3 in post."
    )
    tenon_thickness: float | None = mm(
        None,
        low=5,
        high=100,
        why="Auto: a third of the post, rounded to a tool size, shoulders left on both sides.",
    )
    shoulder_outside: float | None = mm(
        None, low=0, high=150, why="Shoulder on the outer face; auto centres the tenon."
    )
    shoulder_top: float | None = mm(
        None, low=0, high=300, why="Shoulder above the tenon; auto leaves room under a post's end."
    )
    shoulder_bottom: float | None = mm(
        None, low=0, high=300, why="Shoulder below the tenon; auto 1/2 in."
    )
    haunch: bool = flag(
        default=False, why="A stub in the top shoulder that keeps the stretcher from twisting."
    )
    through: bool = flag(default=False, why="Tenon right through the post instead of blind.")
    proud: float = mm(
        0.0, low=0, high=50, why="How far a through tenon stands out, to be trimmed or shown."
    )


@dataclass(frozen=True, kw_only=True)
class Pegs:
    """The drawbored pegs of every joint."""

    per_joint: int | None = count(
        None,
        low=0,
        high=4,
        why="Auto: two from 3 in of tenon width up, three from 5 1/2 in up; 0 for none.",
    )
    rows: int = count(1, low=1, high=2, why="Two rows stagger the pegs along the tenon.")
    diameter: float = mm(0.375 * INCH, low=4, high=30, why="3/8 in for stretchers of this size.")
    offset: float = mm(
        INCH / 16, low=0, high=6, why="Draw: 1/16 in for a 3/8 in peg; less in dense wood."
    )
    setback: float | None = mm(
        None, low=5, high=200, why="Shoulder to the post's hole; auto two diameters, to the 1/16."
    )
    row_spacing: float | None = mm(
        None, low=5, high=100, why="Between rows; auto one and a half diameters."
    )
    from_face: str = choice(
        "outside",
        choices=("outside", "inside"),
        why="The post's face from which the pegs are driven.",
    )
    through: bool = flag(default=False, why="Drive pegs right through; off leaves a stopped hole.")
    stop_wall: float = mm(0.25 * INCH, low=1, high=100, why="Wood left beyond a stopped peg hole.")
    tip: float = mm(0.5 * INCH, low=0, high=60, why="Length of the peg's taper.")


@dataclass(frozen=True, kw_only=True)
class Bolts:
    """The lag bolts that hold the top down and let it move."""

    per_stretcher: int = count(3, low=0, high=12, why="Along each upper stretcher; 0 for none.")
    diameter: float = mm(
        0.375 * INCH, low=6, high=13, why="1/4, 5/16, 3/8 or 1/2 in lag bolt.", inch_sizes=True
    )
    length: float | None = mm(
        None, low=25, high=400, why="Auto: the stock length that threads best into the top."
    )


@dataclass(frozen=True, kw_only=True)
class KnockDown:
    """Bolts with barrel nuts that hold the long stretchers where these are ``bolted``."""

    stub: float = mm(
        0.5 * INCH, low=10, high=60, why="Length of the stub tenon, which keeps it from turning."
    )
    bolt: str = choice("M8", choices=METRIC_BOLTS, why="Size of the bolts; M10 for a heavy bench.")
    per_joint: int | None = count(
        None,
        low=1,
        high=2,
        why="Bolts in each joint; auto: two in stretchers from 4 in up.",
    )
    setback: float | None = mm(
        None,
        low=20,
        high=150,
        why="Shoulder to the nut's axis; auto three diameters of the nut, at least 45 mm.",
    )


@dataclass(frozen=True, kw_only=True)
class Shelf:
    """Boards across the lower long stretchers, none of them fixed."""

    enabled: bool = flag(default=False, why="A shelf on the lower stretchers.")
    thickness: float = mm(0.75 * INCH, low=6, high=60, why="What 4/4 stock yields.")
    board: float = mm(5 * INCH, low=40, high=400, why="Widest board wanted.")
    gap: float = mm(INCH / 8, low=0, high=20, why="Between boards, so that they can swell.")
    seat: str = choice(
        "on",
        choices=SEATS,
        why="On the stretchers, or in a rebate along their inner edges, flush with them.",
    )
    rebate: float | None = mm(
        None, low=4, high=60, why="Width of the rebate; auto the boards' thickness, half the rail."
    )
    edges: str = choice(
        "plain",
        choices=BOARD_EDGES,
        why="Plain, or tongued into each other across the gap, which then lets nothing through.",
    )


@dataclass(frozen=True, kw_only=True)
class Moisture:
    """Moisture contents that the wood will see, in percent, or the air that brings them."""

    at_build: float = percent(8.0, low=3, high=20, why="When the parts are cut.")
    driest: float = percent(6.0, low=2, high=20, why="In a heated shop in winter.")
    wettest: float = percent(11.0, low=4, high=25, why="In an unheated shop in a damp summer.")
    winter_temperature: float | None = temperature(
        None,
        low=0,
        high=50,
        why="Of the room in winter; with its humidity it takes the place of driest.",
    )
    winter_humidity: float | None = percent(
        None, low=5, high=95, why="Relative humidity of the room in winter."
    )
    summer_temperature: float | None = temperature(
        None,
        low=0,
        high=50,
        why="Of the room in summer; with its humidity it takes the place of wettest.",
    )
    summer_humidity: float | None = percent(
        None, low=5, high=95, why="Relative humidity of the room in summer."
    )


@dataclass(frozen=True, kw_only=True)
class AnyBenchSpec:
    """What every bench is asked for."""

    name: str = text("bench", why="Shown on every paper; letters, digits, spaces, - and _.")
    length: float = mm(5 * 12 * INCH, low=300, high=6000, why="Over all, along the top.")
    depth: float = mm(24 * INCH, low=200, high=2000, why="Over all, front to back.")
    height: float = mm(34 * INCH, low=250, high=1500, why="Floor to the working surface.")
    species: str = base_wood()
    top_species: str = text("", why="Another wood for the top; empty takes the base's.")
    peg_species: str = text("white oak", why="A hard, straight-grained wood, riven if possible.")
    fit: str = tenon_fit()
    model: str = fit_model()
    edge_room: float | None = mm(
        None,
        low=0,
        high=8,
        why="Room at a tenon's two edges together; auto the fit's, or more where it swells.",
    )
    mortise_corners: str = choice(
        "square",
        choices=CORNERS,
        why="Square by chisel; round, with tenons rounded to match; or relieved for square tenons.",
    )
    cutter: float = mm(
        INCH / 2, low=2, high=40, why="Round cutter that leaves round or relieved corners."
    )


@dataclass(frozen=True, kw_only=True)
class BenchSpec(AnyBenchSpec):
    """And what benches are asked for whose tenons meet in posts."""

    meeting: str = choice(
        "heights",
        choices=MEETINGS,
        why="How tenons that meet in a post keep clear of each other.",
    )
    moisture: Moisture = section(Moisture, why="Seasons that the bench must live through.")


@dataclass(frozen=True, kw_only=True)
class PostBenchSpec(BenchSpec):
    """Sizes that benches on four posts share."""

    top: Top = section(Top, why="The top.")
    posts: Posts = section(Posts, why="The legs.")
    upper_long: Stretchers = section(
        Stretchers, why="Upper stretchers, front and back; the top bolts to them.", haunch=True
    )
    upper_end: Stretchers = section(Stretchers, why="Upper stretchers at the two ends.")
    lower_long: Stretchers = section(Stretchers, why="Lower stretchers, front and back.")
    lower_end: Stretchers = section(Stretchers, why="Lower stretchers at the two ends.")
    pegs: Pegs = section(Pegs, why="Drawbored pegs.")
    shelf: Shelf = section(Shelf, why="A shelf below.")
    fittings: Fittings = section(
        Fittings, why="Stop, vises, jack and feet; bought parts as measured."
    )


@dataclass(frozen=True, kw_only=True)
class Panels:
    """Solid panels between the stretchers, upright, loose in grooves of posts and stretchers."""

    where: str = choice(
        "none",
        choices=PANEL_PLACES,
        why="In the two end frames, at the back, or both; they keep shavings and wind out.",
    )
    boards: str = choice(
        "tongued",
        choices=PANEL_BOARDS,
        why="Boards tongued into each other, each with its own room; or one panel glued up.",
    )
    thickness: float = mm(0.625 * INCH, low=8, high=40, why="What 4/4 stock yields when planed.")
    board: float = mm(5 * INCH, low=40, high=400, why="Widest board wanted.")
    groove: float | None = mm(
        None,
        low=4,
        high=25,
        why="How far the panel stands in its grooves; auto 3/8 in, less under narrow shoulders.",
    )


@dataclass(frozen=True, kw_only=True)
class FrameBenchSpec(PostBenchSpec):
    """Sizes of a frame bench: posts, upper and lower stretchers, a laminated top."""

    bolts: Bolts = section(Bolts, why="Lag bolts up into the top.")
    long_joints: str = choice(
        "drawbored",
        choices=LONG_JOINTS,
        why="Pegged for good, or bolted: stub tenons and bolts with barrel nuts that come apart.",
    )
    knock_down: KnockDown = section(KnockDown, why="What holds bolted long stretchers.")
    panels: Panels = section(Panels, why="Panels at the ends and the back.")
