"""The milling plan: from boards off the rack to squared-up parts, in order, with a rest between.

Wood moves when it is opened up, so that boards are milled a little over size, left to rest, and
flattened again before the last passes. What is glued up from plies comes in between: its plies
are planed at least 1/16 in over their share (common practice), and the lamination is milled anew.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import TYPE_CHECKING

from treenail.checks.shop_file import ShopFile, default_shop
from treenail.checks.shop_machines import NAMES, Machines
from treenail.shop import cautions
from treenail.shop import milling_checks as checks
from treenail.shop.milling_lots import Lot, Route, lots_of, shortest_piece
from treenail.shop.milling_model import Batch, Check, MillingPlan, MillStep
from treenail.shop.rough_parts import RoughPart, rough_parts
from treenail.timber.frames import snap
from treenail.timber.lengths import format_length

if TYPE_CHECKING:
    from treenail.generators.bench import Bench

__all__ = ["milling_plan"]

_SAME = 1e-6


def milling_plan(
    bench: Bench, shop: ShopFile | None = None, *, parts: Iterable[RoughPart] | None = None
) -> MillingPlan:
    """The plan of a bench.

    Args:
        bench: numbers only.
        shop: its machines; None takes the guessed shop for the bench's units.
        parts: its rough parts, with what is to spare; None works them out.
    """
    machines = (shop or default_shop(bench.units)).machines
    return _Planner(bench, machines, parts or rough_parts(bench, machines)).plan()


class _Planner:
    """Writes the steps, phase by phase."""

    def __init__(self, bench: Bench, machines: Machines, parts: Iterable[RoughPart]) -> None:
        self.bench = bench
        self.machines = machines
        self.steps: list[MillStep] = []
        self.lots = lots_of(bench, parts)
        self.route = Route(machines, self.say)
        self.shortest = shortest_piece(machines)

    def say(self, mm: float) -> str:
        """A length in the bench's units."""
        return format_length(mm, unit="in" if self.bench.units == "in" else "mm", denominator=32)

    # --- steps

    def _step(
        self,
        phase: str,
        what: str,
        batches: Iterable[Batch],
        *,
        measure: Sequence[Check] = (),
        together: str = "",
    ) -> None:
        found = tuple(batches)
        if not found:
            return
        keys = {name: key for key, name in NAMES.items()}
        used = dict.fromkeys(keys[b.machine] for b in found if b.machine in keys)
        warned = tuple(c for key in used for c in cautions.MACHINES.get(key, ()))
        if phase in ("laminate", "glue back"):
            warned = cautions.WORK["glue-up"]
        self.steps.append(
            MillStep(
                number=len(self.steps) + 1,
                phase=phase,
                what=what,
                batches=found,
                together=together,
                checks=tuple(measure),
                cautions=(cautions.MANUAL, *warned),
            )
        )

    def _batch(
        self,
        lot: Lot,
        machine: str,
        *,
        note: str = "",
        count: int | None = None,
        length: float | None = None,
        width: float | None = None,
        thickness: float | None = None,
    ) -> Batch:
        return Batch(
            members=lot.part.members,
            role=lot.part.role,
            mark=lot.part.mark,
            count=lot.boards if count is None else count,
            machine=machine,
            length=None if length is None else snap(length),
            width=None if width is None else snap(width),
            thickness=None if thickness is None else snap(thickness),
            note=note,
        )

    def plan(self) -> MillingPlan:
        """All steps."""
        self._break_down()
        self._flatten("Flatten one face of every board: hollow side down, light passes.")
        self._square("Square one edge to the flat face; mark both.")
        self._thickness(
            "Plane parallel, over size, for the rest", lambda lot: lot.first, first=True
        )
        self._rest()
        again = [lot for lot in self.lots if lot.rests]
        self._flatten("Flatten the same face again: what the rest has moved.", again)
        self._square("Square the same edge to it again.", again)
        self._glue_back()
        self._thickness("Plane to thickness", lambda lot: lot.planed)
        self._width()
        self._laminate()
        self._remill()
        self._length()
        return MillingPlan(
            bench=self.bench.name,
            units=self.bench.units,
            steps=tuple(self.steps),
            notes=self._notes(),
        )

    def _break_down(self) -> None:
        self._step(
            "break down",
            "Crosscut the boards to rough lengths, defects and checked ends off first; then rip "
            "them to rough widths. Number every piece; let the grain run along it.",
            (
                self._batch(
                    lot,
                    self.route.saw(),
                    count=lot.pieces,
                    length=lot.blank,
                    width=lot.piece_width,
                    thickness=lot.rough,
                    note="; ".join(n for n in (self._rip_note(lot), self._joined_note(lot)) if n),
                )
                for lot in self.lots
            ),
            together="Everything of one length at one stop; boards wider than the jointer are "
            "ripped before they are flattened.",
        )

    def _rip_note(self, lot: Lot) -> str:
        if not lot.ripped:
            return ""
        return f"each board ripped into {lot.part.across} for the jointer: mark which belong"

    def _joined_note(self, lot: Lot) -> str:
        if lot.part.alone >= self.shortest - _SAME:
            return ""
        many = (
            f"{lot.part.gang} parts of {self.say(lot.part.finished[0])} in one piece"
            if lot.part.gang > 1
            else "left long"
        )
        return (
            f"{many}: shorter than {self.say(self.shortest)} is unsafe on jointer and planer; "
            "cut apart last"
        )

    # --- flat, square, thick

    def _flatten(self, what: str, lots: Sequence[Lot] | None = None) -> None:
        mine = self.lots if lots is None else lots
        found = []
        for lot in mine:
            machine, note = self.route.jointer(lot.piece_width, lot.blank)
            found.append(self._batch(lot, machine, note=note, count=lot.pieces))
        self._step(
            "flatten", what, found, measure=[*checks.flat(mine, self.say), *checks.wind(mine)]
        )

    def _square(self, what: str, lots: Sequence[Lot] | None = None) -> None:
        mine = self.lots if lots is None else lots
        found = []
        for lot in mine:
            machine, note = self.route.jointer(lot.rough, lot.blank)
            found.append(self._batch(lot, machine, note=note, count=lot.pieces))
        thickest = max((lot.rough for lot in mine), default=0.0)
        self._step("square", what, found, measure=self._square_to(thickest))

    def _thickness(self, what: str, size: Callable[[Lot], float], *, first: bool = False) -> None:
        """One step for each setting of the planer, the thickest first: it only goes down."""
        by_size: dict[float, list[Lot]] = {}
        for lot in self.lots:
            by_size.setdefault(round(size(lot), 4), []).append(lot)
        for value in sorted(by_size, reverse=True):
            lots = by_size[value]
            found = []
            for lot in lots:
                # What was ripped comes whole to the second planing.
                width, count = (
                    (lot.piece_width, lot.pieces) if first else (lot.whole_width, lot.boards)
                )
                machine, note = self.route.planer(width, value, lot.blank)
                note = "; ".join(n for n in (note, self._room_note(lot, value)) if n)
                found.append(self._batch(lot, machine, note=note, count=count, thickness=size(lot)))
            boards = sum(b.count for b in found)
            self._step(
                "thickness",
                f"{what}: {self.say(value)}.",
                found,
                measure=[checks.thickness(self.machines)],
                together=f"All {boards} boards at one setting, one after the other; turn them "
                "over between passes so that both faces lose alike.",
            )

    def _room_note(self, lot: Lot, value: float) -> str:
        if abs(value - lot.first) > _SAME or lot.rests:
            return ""
        return "no thickness to spare for a second milling: choose flat, dry boards"

    def _rest(self) -> None:
        self._step(
            "rest",
            "Stack on stickers, out of sun and draught, weight on top, for some days (three or "
            "more is our own choice); the thicker the stock, the longer.",
            (self._batch(lot, "", count=lot.pieces, thickness=lot.first) for lot in self.lots),
            measure=checks.wind(self.lots),
            together="Plies and strips of one part next to each other, so that they dry alike.",
        )

    def _glue_back(self) -> None:
        """Boards that were ripped for the jointer, edge to edge again."""
        mine = [lot for lot in self.lots if lot.ripped]
        self._step(
            "glue back",
            "Joint both edges of what was ripped for the jointer, lay the parts side by side as "
            "they grew, faces level, and glue them edge to edge; clamp as the glue's label says, "
            "and machine no sooner than the next day.",
            (
                self._batch(
                    lot,
                    "",
                    width=lot.whole_width,
                    thickness=lot.first,
                    note=f"{lot.part.across} parts of {self.say(lot.jointed_width)} in each",
                )
                for lot in mine
            ),
            measure=[checks.glue_faces()] if mine else [],
            together="Parts of one board next to each other: the joint then hardly shows.",
        )
        found = []
        for lot in mine:
            machine, note = self.route.jointer(lot.whole_width, lot.blank)
            found.append(self._batch(lot, machine, note=note))
        self._step(
            "flatten",
            "Scrape off all glue and take one face of what was glued back flat: a light pass.",
            found,
            measure=[*checks.flat(mine, self.say), *checks.wind(mine)] if mine else [],
        )

    def _width(self) -> None:
        self._step(
            "width",
            "Rip to width, the squared edge to the fence.",
            (
                self._batch(
                    lot,
                    self.route.saw(),
                    width=lot.board_width,
                    thickness=lot.planed,
                    note="a little over: milled again after the glue-up" if lot.laminated else "",
                )
                for lot in self.lots
            ),
            measure=self._square_to(max((lot.planed for lot in self.lots), default=0.0)),
            together="Everything of one width at one setting of the fence.",
        )

    # --- laminations

    def _laminate(self) -> None:
        glued = [lot for lot in self.lots if lot.laminated]
        self._step(
            "laminate",
            "Glue up the plies, grain running one way, heart sides by turns; clamp as the glue's "
            "label says, and machine no sooner than the next day.",
            (
                self._batch(
                    lot,
                    "",
                    count=lot.part.blanks,
                    width=lot.board_width,
                    thickness=lot.glued,
                    note=f"{lot.part.plies} boards in each",
                )
                for lot in glued
            ),
            measure=[checks.glue_faces()],
            together="Plies of one part from one thickness setting.",
        )

    def _remill(self) -> None:
        glued = [lot for lot in self.lots if lot.laminated]
        if not glued:
            return
        found = []
        for lot in glued:
            machine, note = self.route.jointer(lot.glued, lot.blank)
            found.append(self._batch(lot, machine, note=note, count=lot.part.blanks))
        self._step(
            "re-mill",
            "Scrape off all glue. Flatten one face across the glue lines, and square one edge "
            "to it.",
            found,
            measure=[
                *checks.flat(glued, self.say),
                *checks.wind(glued),
                *self._square_to(max(lot.across for lot in glued)),
            ],
        )
        for lot in sorted(glued, key=lambda x: -x.across):
            wide = lot.glued
            machine, note = self.route.planer(wide, lot.across, lot.blank)
            if machine == NAMES["hand"] and lot.stack < wide:
                fits, _ = self.route.planer(lot.stack, lot.across, lot.blank)
                if fits != machine:
                    machine, note = fits, "trim its edges first: then it passes the planer"
            self._step(
                "re-mill",
                f"{lot.part.role}: plane to {self.say(lot.across)} across the plies' edges.",
                [self._batch(lot, machine, note=note, count=lot.part.blanks, width=lot.across)],
                measure=[checks.thickness(self.machines)],
            )
            tall = self.machines.planer.thickest
            on_edge = self.machines.planer.have and lot.stack <= tall + _SAME
            machine, note = (
                self.route.planer(lot.across, lot.stack, lot.blank)
                if on_edge
                else (self.route.saw(), "")
            )
            if not on_edge:
                note = "rip a hair over, then joint the sawn edge to the line"
            self._step(
                "re-mill",
                f"{lot.part.role}: bring the stack of plies to {self.say(lot.stack)}, as much off "
                "one side as off the other.",
                [
                    self._batch(
                        lot,
                        machine,
                        note=note,
                        count=lot.part.blanks,
                        width=lot.across,
                        thickness=lot.stack,
                    )
                ],
                measure=self._square_to(lot.across),
            )

    def _length(self) -> None:
        self._step(
            "length",
            "Square one end, then cut to length at a stop. Face side and face edge are marked on "
            "every part from here on.",
            (
                self._batch(
                    lot,
                    self.route.saw(),
                    count=lot.part.wanted,
                    length=lot.part.finished[0],
                    width=lot.across,
                    thickness=lot.stack,
                    note="cut apart" if lot.part.gang > 1 else "",
                )
                for lot in self.lots
            ),
            measure=self._square_to(max((lot.across for lot in self.lots), default=0.0)),
            together="Everything of one length at one stop.",
        )

    def _square_to(self, edge: float) -> list[Check]:
        return checks.square(edge, self.say)

    def _notes(self) -> tuple[str, ...]:
        found = [
            "Sizes are those when a step is done; nothing is cut smaller than its next step needs.",
            (
                "Plies are planed at least 1/16 in over their share of the lamination (common "
                "practice); the lamination is then milled as if it were one board."
            ),
        ]
        if any(p.role == "peg" for p in self.bench.pegs):
            found.append("Pegs are split and shaved, not milled: see the drawbore sheet.")
        return tuple(found)
