"""What the underframe asks of a spec: any with these sizes can be built on four posts."""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol

if TYPE_CHECKING:
    from treenail.generators.fittings_spec import TopFittings
    from treenail.generators.frame_spec import DogHoles, Moisture, Pegs, Posts, Shelf

__all__ = ["PostSection", "PostSpec", "TopSizes", "WedgedPosts", "WedgedSizes"]


class TopSizes(Protocol):
    """A top's sizes, however it is made; mm."""

    @property
    def thickness(self) -> float:
        """Of the top."""

    @property
    def overhang_ends(self) -> float:
        """Beyond the posts at both ends."""

    @property
    def overhang_front(self) -> float:
        """Beyond the front posts."""

    @property
    def overhang_back(self) -> float:
        """Beyond the back posts."""

    @property
    def dog_holes(self) -> DogHoles:
        """Rows of holes."""


class PostSpec(Protocol):
    """A spec of a bench on four posts; its pairs of stretchers are fields named as in PAIRS."""

    @property
    def name(self) -> str:
        """The bench's."""

    @property
    def length(self) -> float:
        """Over all, mm."""

    @property
    def depth(self) -> float:
        """Over all, mm."""

    @property
    def height(self) -> float:
        """Over all, mm."""

    @property
    def species(self) -> str:
        """Of the base."""

    @property
    def top_species(self) -> str:
        """Of the top; empty takes the base's."""

    @property
    def peg_species(self) -> str:
        """Of the pegs."""

    @property
    def fit(self) -> str:
        """Of the tenons."""

    @property
    def model(self) -> str:
        """Which clearance of the fit is built."""

    @property
    def edge_room(self) -> float | None:
        """Room at tenons' edges; None: the fit's, or what a wet season needs, mm."""

    @property
    def mortise_corners(self) -> str:
        """How they are left."""

    @property
    def cutter(self) -> float:
        """That leaves round corners, mm."""

    @property
    def meeting(self) -> str:
        """How tenons that meet keep clear of each other."""

    @property
    def moisture(self) -> Moisture:
        """Of the wood over the year."""

    @property
    def top(self) -> TopSizes:
        """The top."""

    @property
    def posts(self) -> Posts:
        """The legs."""

    @property
    def pegs(self) -> Pegs:
        """Of the drawbored tenons."""

    @property
    def fittings(self) -> TopFittings:
        """What is fitted to it."""

    @property
    def shelf(self) -> Shelf:
        """On the lower stretchers."""


class PostSection(Protocol):
    """A post's section, mm."""

    @property
    def width(self) -> float:
        """Along the bench."""

    @property
    def thickness(self) -> float:
        """Front to back."""


class WedgedSizes(Protocol):
    """What a spec says of wedged tenons, mm."""

    @property
    def thickness(self) -> float | None:
        """Front to back; None takes a third of the post."""

    @property
    def shoulder_ends(self) -> float | None:
        """On both sides along the bench; None chooses."""

    @property
    def wedges(self) -> int:
        """How many."""

    @property
    def kerf(self) -> float:
        """The saw cut's width."""

    @property
    def flare(self) -> float:
        """How much each end of the mortise widens."""


class WedgedPosts(Protocol):
    """A spec of posts that come up through a top, wedged; mm."""

    @property
    def posts(self) -> PostSection:
        """The legs' section."""

    @property
    def post_tenons(self) -> WedgedSizes:
        """Their tenons."""

    @property
    def fit(self) -> str:
        """Of the tenons."""
