"""The parameters of the saw bench: a low plank on four legs that splay in two directions."""

from __future__ import annotations

from dataclasses import dataclass

from treenail.generators.common_fields import base_wood, fit_model, tenon_fit
from treenail.generators.frame_spec import INCH, Moisture
from treenail.generators.params import choice, count, degrees, flag, mm, section, text


@dataclass(frozen=True, kw_only=True)
class Plank:
    """The top."""

    kind: str = choice(
        "solid",
        choices=("solid", "split"),
        refused={"well": "boards lie on all of a saw bench's top"},
        why="One plank; or two with a ripping gap between, on battens.",
    )
    width: float = mm(11 * INCH, low=120, high=600, why="A knee and a board find room on 11 in.")
    thickness: float = mm(
        2 * INCH, low=25, high=120, why="Its mortises hold the legs, so 2 in rather than less."
    )
    boards: int = count(
        2, low=1, high=2, why="One wide board, or two with their glue line down the middle."
    )
    gap: float = mm(
        INCH, low=6, high=120, why="Where kind is split: for the blade, with room on both sides."
    )

    @property
    def board(self) -> float:
        """Width of each board, mm."""
        if self.kind == "split":
            return (self.width - self.gap) / 2
        return self.width / self.boards


@dataclass(frozen=True, kw_only=True)
class Legs:
    """The four legs."""

    width: float = mm(2.25 * INCH, low=25, high=150, why="Along the bench, square to its grain.")
    thickness: float = mm(2.25 * INCH, low=25, high=150, why="Front to back, square to its grain.")
    plies: int = count(1, low=1, high=4, why="Boards glued face to face to make the thickness.")
    splay: float = degrees(
        10.0, low=0, high=30, why="Degrees of lean along the bench, as seen from the front."
    )
    rake: float = degrees(
        14.0, low=0, high=30, why="Degrees of lean front to back, as seen from the end."
    )
    set_in_ends: float = mm(
        6 * INCH, low=20, high=800, why="Plank's end to a leg's axis, at the plank's underside."
    )
    set_in_sides: float | None = mm(
        None,
        low=15,
        high=280,
        why="Plank's edge to a leg's axis, at its underside; auto a little over the leg's width.",
    )


@dataclass(frozen=True, kw_only=True)
class LegTenons:
    """The legs' tenons, right through the plank, flush and wedged."""

    width: float | None = mm(
        None, low=10, high=140, why="Along the bench; auto leaves shoulders of a fifth of the leg."
    )
    thickness: float | None = mm(
        None, low=8, high=100, why="Front to back; auto half of the leg, to a tool size."
    )
    wedges: int = count(
        1, low=0, high=3, why="Across the plank's grain, so that they don't split it; 0 for none."
    )
    kerf: float = mm(INCH / 16, low=0.5, high=6, why="Width of the saw cut that takes a wedge.")
    flare: float = mm(
        INCH / 16, low=0, high=8, why="How much each end of the mortise widens upward."
    )


@dataclass(frozen=True, kw_only=True)
class EndRails:
    """A rail across each pair of legs, let into their outer faces."""

    enabled: bool = flag(default=True, why="Off for a light bench whose wedged tenons do it all.")
    width: float = mm(4 * INCH, low=25, high=300, why="Height of the rail, along its slope.")
    thickness: float = mm(1 * INCH, low=8, high=60, why="What 5/4 stock yields.")
    height: float = mm(
        6 * INCH, low=0, high=900, why="Floor to its lower edge, at its outer face; clear of boots."
    )
    notch: float = mm(
        0.375 * INCH, low=2, high=40, why="How deep it lies in the legs; a sixth of them or so."
    )


@dataclass(frozen=True, kw_only=True)
class GapBattens:
    """The battens that join the two planks of a split top, inside the legs, by lag bolts."""

    width: float = mm(2.5 * INCH, low=30, high=150, why="Along the bench; they lie flat.")
    thickness: float = mm(1.5 * INCH, low=20, high=100, why="Height; a saw must stay off them.")
    bolt: float = mm(
        0.25 * INCH,
        low=6,
        high=13,
        why="Diameter of the lag bolts: 1/4, 5/16, 3/8 or 1/2 in.",
        inch_sizes=True,
    )
    bolt_length: float | None = mm(
        None, low=25, high=400, why="Auto: the stock length that threads best into the planks."
    )

    @property
    def diameter(self) -> float:
        """Of the bolts, mm."""
        return self.bolt

    @property
    def length(self) -> float | None:
        """Of the bolts, mm."""
        return self.bolt_length


@dataclass(frozen=True, kw_only=True)
class SawBenchSpec:
    """Sizes of a saw bench: a low plank on legs splayed in two directions, wedged, end rails."""

    name: str = text("saw bench", why="Shown on every paper; letters, digits, spaces, - and _.")
    length: float = mm(36 * INCH, low=300, high=3000, why="Of the plank.")
    height: float = mm(20 * INCH, low=200, high=900, why="Floor to top: about the user's kneecap.")
    species: str = base_wood()
    top_species: str = text("", why="Another wood for the plank; empty takes the legs'.")
    wedge_species: str = text("white oak", why="Hard and straight in the grain, riven if possible.")
    fit: str = tenon_fit()
    model: str = fit_model()
    moisture: Moisture = section(Moisture, why="Seasons that the bench must live through.")
    top: Plank = section(Plank, why="The plank.")
    legs: Legs = section(Legs, why="The legs.")
    tenons: LegTenons = section(LegTenons, why="The legs' tenons in the plank.")
    end_rails: EndRails = section(EndRails, why="Rails across the ends.")
    battens: GapBattens = section(GapBattens, why="Under the planks, where top.kind is split.")
