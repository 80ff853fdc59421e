"""What every joint has in common: members, and the cuts, pegs and hardware it asks for."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

if TYPE_CHECKING:
    from collections.abc import Mapping

    from treenail.joints.cuts import Cut
    from treenail.timber.fasteners import LagSize
    from treenail.timber.frames import Frame, Vec
    from treenail.timber.member import Member


#: What a joint tells of itself in a report.
Number: TypeAlias = float | int | str | bool


@dataclass(frozen=True, kw_only=True)
class Hardware:
    """A bolt with its washer, a barrel nut or a measured part, placed in the bench.

    A bolt's origin lies under the head's washer, on the bearing surface; its z runs along the
    shank, toward the point. A barrel nut's lies where its axis crosses the bolt's; z runs along
    the barrel, away from where it went in, x along the bolt. A measured part's is its own.

    Attributes:
        name: unique in the bench.
        kind: ``lag bolt``, ``bolt``, ``barrel nut``, ``vise screw``, ``guide rod``,
            ``levelling foot``.
        size: the bolt's table row; a nut's is its bolt's; or a part as measured.
        length: under the head to the point; of a nut, along its barrel; mm.
        placement: see above.
        body: diameter of a nut's barrel, mm; 0 for bolts.
    """

    name: str
    kind: str
    size: LagSize
    length: float
    placement: Frame
    body: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Gap:
    """Room that a joint leaves between two surfaces that look at each other.

    Attributes:
        what: in shop words: ``shoulder``, ``cheek``, ``floor`` ...
        of: name of the member whose surface is at ``at``.
        against: name of the member that it looks at.
        at: a point of the first surface, well inside it, in the bench, mm.
        toward: that surface's outward unit normal, in the bench.
        room: distance to the other surface, mm; 0 where the two touch.
    """

    what: str
    of: str
    against: str
    at: Vec
    toward: Vec
    room: float


@dataclass(frozen=True, kw_only=True)
class Joint:
    """Members and the numbers between them. Never touches the kernel.

    A joint with one member is a feature of that member (dog holes, a chamfer).
    """

    name: str

    @property
    def kind(self) -> str:
        """The joint in the trade's words."""
        raise NotImplementedError

    @property
    def members(self) -> tuple[Member, ...]:
        """The members it holds together; the one that receives comes first."""
        raise NotImplementedError

    @property
    def passed(self) -> tuple[Member, ...]:
        """Those of its members that its hardware only passes through."""
        return ()

    def cuts(self) -> Mapping[str, tuple[Cut, ...]]:
        """Cuts by member name."""
        return {}

    def pegs(self) -> tuple[Member, ...]:
        """Pegs, as members of their own."""
        return ()

    def wedges(self) -> tuple[Member, ...]:
        """Wedges, as members of their own; their taper is among the joint's cuts."""
        return ()

    def pressed(self) -> Mapping[frozenset[str], float]:
        """Volume in mm³ that two of its members share because they are driven, by their names."""
        return {}

    def hardware(self) -> tuple[Hardware, ...]:
        """Bolts and washers."""
        return ()

    def insertion(self) -> Vec | None:
        """Unit vector in which the entering member moves home, in the bench (None: free)."""
        return None

    @property
    def beforehand(self) -> bool:
        """Whether its members are made into one piece before anything else is put together."""
        return False

    @property
    def slides(self) -> bool:
        """Whether the entering member goes in and out by hand at any time."""
        return False

    @property
    def lets_in(self) -> bool:
        """Whether its cuts make room for one member's stock in the other's."""
        return False

    def numbers(self) -> Mapping[str, Number]:
        """Its sizes for reports, by name: lengths end in ``_mm``; the rest are counts and words."""
        return {}

    def gaps(self) -> tuple[Gap, ...]:
        """Rooms between its surfaces, to be found on the solids as they are here."""
        return ()
