"""What the makers of sheets share: the bench's cuts with the machine that makes each."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from treenail.checks.making import Made, Verdict, make
from treenail.checks.shop_file import ShopFile
from treenail.checks.shop_machines import Machines
from treenail.generators.bench import Bench
from treenail.joints.cuts import Bore, Cut, FootChamfer, Mortise, Slot, TenonEnd
from treenail.joints.drawbored import Drawbored
from treenail.joints.mortise_tenon import MortiseTenon
from treenail.joints.shaped_cuts import ShapedEnd
from treenail.shop.setups.model import Say, Setting
from treenail.timber.lengths import format_length
from treenail.timber.member import Member

__all__ = ["Job", "Work", "say_for", "tilt"]

#: Cuts that have set-ups in figures; all others are made to the lines.
_IN_FIGURES = (Mortise, Bore, Slot, TenonEnd, FootChamfer, ShapedEnd)


def say_for(units: str) -> Say:
    """Writes lengths in the bench's units, to the 64th or the hundredth."""
    if units == "in":
        return lambda mm: format_length(mm, unit="in", denominator=64)
    return lambda mm: format_length(mm, unit="mm")


@dataclass(frozen=True, slots=True)
class Job:
    """One cut of one member, and how the shop makes it."""

    member: Member
    cut: Cut
    verdict: Verdict

    @property
    def in_figures(self) -> bool:
        """Whether its set-up is given in figures; otherwise it is made to the lines."""
        return type(self.cut) in _IN_FIGURES


@dataclass(frozen=True)
class Work:
    """A bench in a shop.

    Attributes:
        bench, shop: as given.
    """

    bench: Bench
    shop: ShopFile

    @property
    def machines(self) -> Machines:
        """The shop's machines."""
        return self.shop.machines

    @cached_property
    def say(self) -> Say:
        """Writes lengths in the bench's units."""
        return say_for(self.bench.units)

    @cached_property
    def jobs(self) -> tuple[Job, ...]:
        """Every cut of every timber, in the bench's order."""
        return tuple(
            Job(m, cut, self._verdict(cut, m))
            for m in self.bench.timbers
            for cut in self.bench.cuts[m.name]
        )

    def _verdict(self, cut: Cut, member: Member) -> Verdict:
        try:
            return make(cut, member, self.machines, self.say)
        except TypeError:  # a kind of cut that no machine is known for: hands follow the lines
            return Verdict(made=Made(machine="hand", tool="to the lines"), refusals=())

    def by(self, machine: str) -> Iterator[Job]:
        """The cuts that one machine makes and whose set-ups are given in figures."""
        return (j for j in self.made_by(machine) if j.in_figures)

    def made_by(self, machine: str) -> Iterator[Job]:
        """All cuts that one machine makes."""
        return (j for j in self.jobs if j.verdict.made and j.verdict.made.machine == machine)

    @cached_property
    def _tenons(self) -> dict[str, MortiseTenon]:
        return {j.name: j for j in self.bench.joints if isinstance(j, MortiseTenon)}

    def tenon_joint(self, cut: Cut) -> MortiseTenon | None:
        """The square mortise and tenon that a cut belongs to."""
        return self._tenons.get(cut.joint)

    @cached_property
    def _pegged(self) -> dict[str, Drawbored]:
        return {j.name: j for j in self.bench.joints if isinstance(j, Drawbored)}

    def pegged_joint(self, cut: Cut) -> Drawbored | None:
        """The tenon, square or leaning, that a peg hole belongs to."""
        return self._pegged.get(cut.joint)


def tilt(cut: Cut) -> tuple[Setting, ...]:
    """The table's or head's tilt for a cut that isn't square to its face; none if it is."""
    if math.degrees(cut.tilt) < 1e-3:
        return ()
    return (
        Setting(
            name="tilt",
            text=f"{math.degrees(cut.tilt):.2f} degrees",
            measured_from="between the tool and a line square to the face",
        ),
    )
