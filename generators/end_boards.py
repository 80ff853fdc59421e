"""Boards across a top's ends: breadboard ends on pegged tenons, end caps on a tongue and bolts.

A slab moves behind a board that doesn't. One peg or bolt holds the board; the slots of all others
are as long as the wood there moves against it. mm.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from treenail.generators.parts import BACK, FRONT, slab
from treenail.generators.top_bolts import slot_travel
from treenail.joints.barrel_bolt import SETBACK, BarrelBolt
from treenail.joints.edges import third
from treenail.joints.end_board import EndBoard, EndPeg
from treenail.joints.fits import FITS
from treenail.joints.mortise_tenon import DrawBore
from treenail.timber.errors import SpecError
from treenail.timber.frames import snap
from treenail.timber.member import Face

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from treenail.generators.frame_spec import Top
    from treenail.generators.top_place import Place
    from treenail.joints.base import Joint
    from treenail.timber.member import Member

INCH = 25.4
#: Width along the bench where none is asked for, mm (common practice: 3 to 5 in; our own choice).
WIDTHS = {"breadboard": 4 * INCH, "cap": 2.5 * INCH}
ROLES = {"breadboard": "breadboard end", "cap": "end cap"}
#: A tenon or a bolt for about so much of a section's width, mm (our own choice: 6 in).
SHARE = 6 * INCH
#: Wood between the groove and the board's ends, in depths of it (as ``trench-end-wood`` asks).
END_DEPTHS = 2.0
#: The tongue's shoulder at edges toward a gap or a well, beside its groove, mm (our own choice).
INNER_INSET = 5 * INCH / 8
#: It has to slide over the year.
FIT = FITS["easy"]
#: Wood of the board beyond its tenons, mm (our own choice: 1/2 in).
BEYOND = INCH / 2
#: From a peg's middle to the tenon's end and its shoulder, in diameters (common practice: 2).
PEG_END = 2.0
#: Wood of a tenon beside a slot, in diameters of the peg (our own choice).
BESIDE_SLOT = 0.75


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """A slab or rail, and the line from which it moves, mm from the front edge."""

    sections: tuple[Member, ...]
    line: float


@dataclass(frozen=True, slots=True)
class EndPlan:
    """The boards' numbers: width along the bench, tongue, stub, and tenons' length; mm."""

    width: float
    tongue: float
    stub: float
    length: float


def plan_ends(top: Top, say: Callable[[float], str]) -> EndPlan | None:
    """Settle the boards' numbers; None without boards; SpecError names what can't be."""
    ends = top.end_boards
    if top.ends == "none":
        return None
    width = boards_width(top)
    tongue = third(top.thickness) if ends.tongue is None else ends.tongue
    length = ends.stub
    if top.ends == "breadboard":
        length = snap(width / 2) if ends.tenon_length is None else ends.tenon_length
    for wrong, field, message, allowed in (
        (
            width > top.overhang_ends + 1e-9,
            "end_boards.width",
            f"a board {say(width)} wide would lie on the posts",
            f"at most {say(top.overhang_ends)}, or a larger overhang at the ends",
        ),
        (
            tongue > top.thickness - 6.0,
            "end_boards.tongue",
            f"a tongue {say(tongue)} thick leaves no shoulders on a top {say(top.thickness)} thick",
            f"at most {say(top.thickness - 6.0)}",
        ),
        (
            length > width - BEYOND + 1e-9,
            "end_boards.tenon_length" if top.ends == "breadboard" else "end_boards.stub",
            f"{say(length)} of wood in a board {say(width)} wide leaves less than {say(BEYOND)}",
            f"at most {say(width - BEYOND)}",
        ),
        (
            top.ends == "breadboard" and length < ends.stub + 3.0,
            "end_boards.tenon_length",
            f"tenons {say(length)} long are hardly longer than their tongue of {say(ends.stub)}",
            f"at least {say(ends.stub + 3.0)}",
        ),
        (
            top.ends == "breadboard" and length < 2 * PEG_END * ends.peg - 1e-9,
            "end_boards.peg",
            f"a peg of {say(ends.peg)} is thick for tenons {say(length)} long",
            f"at most {say(length / 2 / PEG_END)}",
        ),
    ):
        if wrong:
            raise SpecError(message, field=f"top.{field}", allowed=allowed)
    return EndPlan(snap(width), snap(tongue), snap(ends.stub), snap(length))


def boards_width(top: object) -> float:
    """Width along the bench of the board at each end, mm; 0 for tops without."""
    ends = getattr(top, "ends", "none")
    if ends == "none":
        return 0.0
    asked: float | None = getattr(top, "end_boards").width  # noqa: B009  # any spec's top comes
    return WIDTHS[ends] if asked is None else asked


class EndMaker:
    """Makes both boards.

    Args:
        top: the spec's section.
        plan: the numbers settled.
        place: where the top goes.
        held: slabs, boards and rail, from front to back.
    """

    def __init__(self, top: Top, plan: EndPlan, place: Place, held: Sequence[Held]) -> None:
        self.top = top
        self.plan = plan
        self.held = held
        self.size = (place.length, place.depth, place.height)
        self.wood, self.peg_wood = place.species, place.peg_species
        self.seasons, self.say = place.seasons, place.say

    def make(self) -> tuple[list[Member], list[Joint]]:
        """The boards, left and right, and what joins them to the slabs."""
        boards, joints = [], []
        for side in ("left", "right"):
            board = self._board(side)
            boards.append(board)
            end = Face.FAR_END if side == "left" else Face.NEAR_END
            for i, held in enumerate(self.held):
                joints += self._joints(side, board, end, held, i)
        return boards, joints

    def _board(self, side: str) -> Member:
        length, depth, height = self.size
        left = side == "left"
        width = self.plan.width
        return slab(
            f"{ROLES[self.top.ends].replace(' ', '_')}_{side}",
            role=ROLES[self.top.ends],
            # Face edge, which is grooved, toward the slab.
            corner=(width, depth, height) if left else (length - width, 0.0, height),
            length=depth,
            width=width,
            thickness=self.top.thickness,
            species=self.wood,
            plies=max(1, -int(-width // self.top.strip)),
            rings=self.top.rings,  # type: ignore[arg-type]  # checked by the spec's choices
            assembly="top",
            along=FRONT if left else BACK,
        )

    # -- places across the slab ---------------------------------------------------------------

    def reach(self, held: Held) -> tuple[float, float]:
        """From where to where the tongue reaches, from the front edge, mm.

        Its shoulders hide it; at the board's ends they also leave wood beyond the groove.
        """
        low, high = held.sections[0].bounds()[0][1], held.sections[-1].bounds()[1][1]
        wood = held.sections[0].species
        room = slot_travel(self.size[1], wood, self.top.rings, self.seasons) / 2
        outer = snap(END_DEPTHS * (self.plan.stub + FIT.bottom.mid) + room + FIT.edge.mid / 2)
        front, back = held is self.held[0], held is self.held[-1]
        return (
            snap(low + (outer if front else INNER_INSET)),
            snap(high - (outer if back else INNER_INSET)),
        )

    def spots(self, held: Held) -> list[tuple[float, float]]:
        """(middle, share of the section's width) of each tenon or bolt, from the front edge."""
        found = []
        first, last = self.reach(held)
        for m in held.sections:
            low, high = max(m.bounds()[0][1], first), min(m.bounds()[1][1], last)
            count = max(1, round((high - low) / SHARE))
            share = (high - low) / count
            found += [(snap(low + (i + 0.5) * share), share) for i in range(count)]
        if any(share < 3 * self.top.end_boards.peg for _, share in found):
            raise SpecError(
                "a section is too narrow for a tenon beside the tongue's shoulders",
                field="top.ends",
                allowed="wider sections or rail, thinner pegs, or none",
            )
        return found

    def anchor(self) -> float:
        """Where the one round hole lies, from the front edge: see :meth:`away`."""
        places = [y for y, _ in self.spots(self.held[0])]
        if self.top.ends == "cap":
            return places[0]
        front = self.held[0].sections
        middle = (front[0].bounds()[0][1] + front[-1].bounds()[1][1]) / 2
        return min(places, key=lambda y: (abs(y - middle), y))

    def away(self, held: Held, y: float) -> float:
        """The width of wood that moves a place of a slab against the board, mm.

        The board goes with its round hole's wood, which moves from the front slab's line.
        """
        return abs((y - held.line) - (self.anchor() - self.held[0].line))

    def slot(self, held: Held, y: float) -> float:
        """A slot's length between its ends' middles, mm; 0 for the round hole."""
        if held is self.held[0] and y == self.anchor():
            return 0.0
        return slot_travel(
            self.away(held, y), held.sections[0].species, self.top.rings, self.seasons
        )

    # -- joints -------------------------------------------------------------------------------

    def _joints(self, side: str, board: Member, end: Face, held: Held, i: int) -> list[Joint]:
        low, high = held.sections[0].bounds()[0][1], held.sections[-1].bounds()[1][1]
        first, last = self.reach(held)
        part = ("front", "back")[i] if len(self.held) == 2 else f"part_{i + 1}"
        name = f"{board.name}_on_{part}" if len(self.held) > 1 else board.name
        most = max(self.away(held, y) for y in (first, last))
        # Half of a slot's length is what must be free each way, its own spare room included.
        wood = held.sections[0].species
        room = slot_travel(most, wood, self.top.rings, self.seasons) / 2 + FIT.edge.mid / 2
        spots = self.spots(held)
        breadboard = self.top.ends == "breadboard"
        joint = EndBoard(
            name=f"{name}_end" if name == board.name else name,
            board=board,
            sections=held.sections,
            end=end,
            fit=FIT,
            tongue=self.plan.tongue,
            stub=self.plan.stub,
            inset=(snap(first - low), snap(high - last)),
            room=snap(room),
            tenons=tuple(self._tenon(y - low, share, self.slot(held, y)) for y, share in spots)
            if breadboard
            else (),
            spots=tuple(EndPeg(snap(y - low), self.slot(held, y)) for y, _ in spots)
            if breadboard
            else (),
            draw=self._draw(len(spots)) if breadboard else None,
        )
        if breadboard:
            return [joint]
        return [joint, *self._bolts(name, board, held)]

    def _tenon(self, middle: float, share: float, slot: float) -> tuple[float, float]:
        ends = self.top.end_boards
        least = slot + (1.0 + 2 * BESIDE_SLOT) * ends.peg
        wide = min(ends.tenon_width, max(share / 2, least), share)
        if wide < least - 1e-9:
            raise SpecError(
                f"a tenon {self.say(wide)} wide can't hold a slot of {self.say(slot + ends.peg)}",
                field="top.end_boards.tenon_width",
                allowed=f"at least {self.say(least)}, thinner pegs, or wider sections",
            )
        return snap(middle - wide / 2), snap(middle + wide / 2)

    def _draw(self, count: int) -> DrawBore:
        ends = self.top.end_boards
        return DrawBore(
            count=count,
            diameter=ends.peg,
            offset=ends.draw,
            setback=snap(self.plan.length / 2),
            species=self.peg_wood,
            drive_side=Face.BACK_SIDE,  # from below: nothing shows, and no plane meets a peg
            stop_wall=snap(min(max(self.top.thickness / 8, 6.35), self.top.thickness / 4)),
        )

    def _bolts(self, name: str, board: Member, held: Held) -> list[Joint]:
        found: list[Joint] = []
        for k, (y, _) in enumerate(self.spots(held), start=1):
            section = next(m for m in held.sections if m.bounds()[0][1] <= y <= m.bounds()[1][1])
            found.append(
                BarrelBolt(
                    name=f"{name}_bolt_{k}",
                    rail=section,
                    post=board,
                    at=(snap(y - section.bounds()[0][1]), section.thickness / 2),
                    setback=snap(SETBACK + self.plan.stub),
                    slot=self.slot(held, y),
                )
            )
        return found


__all__ = ["EndMaker", "EndPlan", "Held", "boards_width", "plan_ends"]
