"""What fittings are built on: the bench so far, and what they add to it."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from treenail.generators.frame_layout import in_units
from treenail.timber.errors import SpecError
from treenail.timber.frames import snap
from treenail.timber.species import get_species

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from treenail.generators.bench import Seasons
    from treenail.generators.fittings_spec import Fittings
    from treenail.generators.frame_layout import Layout, TenonPlan
    from treenail.generators.post_spec import PostSpec
    from treenail.joints.base import Joint
    from treenail.timber.member import Member
    from treenail.timber.species import Species

#: The sub-assembly of what is fitted to a bench; it doesn't count for the bench's outer size.
FITTINGS = "fittings"


@dataclass(kw_only=True)
class Site:
    """A bench that is fitted out, its coordinates as the layout's.

    Attributes:
        spec, units, layout: the bench's.
        wood: the base's.
        added: woods of the user's own, by name.
        seasons: moisture contents.
        timbers: what stands there, by name; fittings are added.
        joints: what joins it; fittings are added.
        choices: what was settled, by dotted name.
    """

    spec: PostSpec
    units: str
    layout: Layout
    wood: Species
    added: Mapping[str, Species]
    seasons: Seasons
    timbers: dict[str, Member]
    joints: list[Joint]
    choices: dict[str, Any] = field(default_factory=dict)

    @property
    def fittings(self) -> Fittings:
        """What is asked for."""
        return self.spec.fittings

    @property
    def say(self) -> Callable[[float], str]:
        """Writes lengths for messages."""
        return in_units(self.units)

    @property
    def floor_to_posts(self) -> float:
        """Floor to the posts' lower ends, mm."""
        return standing(self.fittings, self.units)

    def species(self, name: str, where: str) -> Species:
        """A wood by name; the base's if none is named."""
        if not name:
            return self.wood
        return self.added.get(name) or get_species(name, field=f"fittings.{where}")

    def plan(self, key: str) -> TenonPlan | None:
        """One pair of stretchers, if the bench has it."""
        return self.layout.plans.get(key)

    def add(self, member: Member) -> Member:
        """Put a member in the bench."""
        self.timbers[member.name] = member
        return member

    def chosen(self, where: str, value: float) -> float:
        """Note what was settled for a field."""
        self.choices[f"fittings.{where}"] = snap(value)
        return snap(value)

    def refuse(self, where: str, message: str, allowed: str) -> SpecError:
        """The error for a field of the fittings."""
        return SpecError(message, field=f"fittings.{where}", allowed=allowed)


def measured(section: Any, group: str, *names: str) -> tuple[float, ...]:
    """Sizes that only the user can know; SpecError names the first that is missing."""
    found = []
    for name in names:
        value: float | None = getattr(section, name)
        if value is None:
            raise SpecError(
                f"{name.replace('_', ' ')} is not given: measure the hardware at hand",
                field=f"fittings.{group}.{name}",
                allowed="a length as measured",
            )
        found.append(value)
    return tuple(found)


def foot_travel(fittings: Fittings, units: str) -> float:
    """How far levelling feet can be turned out with their insert full of thread, mm."""
    feet, say = fittings.levelling_feet, in_units(units)
    stud, insert = measured(feet, "levelling_feet", "stud_length", "insert_length")
    if stud <= insert:
        raise SpecError(
            f"a stud {say(stud)} long does not come out of an insert {say(insert)} long",
            field="fittings.levelling_feet.stud_length",
            allowed=f"more than {say(insert)}",
        )
    return stud - insert


def standing(fittings: Fittings, units: str) -> float:
    """Floor to the posts' lower ends, mm: 0 without levelling feet."""
    feet, say = fittings.levelling_feet, in_units(units)
    if not feet.enabled:
        return 0.0
    (pad,) = measured(feet, "levelling_feet", "pad_thickness")
    travel = foot_travel(fittings, units)
    stands = snap(pad + travel / 2) if feet.standing is None else feet.standing
    if not pad - 1e-9 <= stands <= pad + travel + 1e-9:
        raise SpecError(
            f"the posts stand {say(stands)} above the floor; the feet reach from {say(pad)} to "
            f"{say(pad + travel)}",
            field="fittings.levelling_feet.standing",
            allowed=f"{say(pad)} to {say(pad + travel)}",
        )
    return stands


__all__ = ["FITTINGS", "Site", "foot_travel", "measured", "standing"]
