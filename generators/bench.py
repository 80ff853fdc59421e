"""A bench: members, joints and hardware, frozen; all its cuts by member. Numbers only."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from treenail.joints.aslant_ends import finished_bounds
from treenail.joints.volumes import net_volume
from treenail.timber.errors import GeometryError
from treenail.timber.frames import Vec

if TYPE_CHECKING:
    from treenail.joints.base import Hardware, Joint
    from treenail.joints.cuts import Cut
    from treenail.timber.member import Member


_PLURALS = {"levelling foot": "levelling feet"}


@dataclass(frozen=True, slots=True)
class Seasons:
    """Moisture contents in percent that the wood sees."""

    at_build: float
    driest: float
    wettest: float


@dataclass(frozen=True, kw_only=True)
class Bench:
    """What a generator returns.

    Attributes:
        name: as the user named it.
        family: the generator's name.
        units: ``in`` or ``mm``: how lengths are shown.
        timbers: the squared-up members, without the pegs and wedges.
        joints: every joint and feature.
        asked: outer sizes wanted: length, depth, height in mm.
        seasons: moisture contents.
        spec: the parameters it was made from.
        choices: what the generator settled by itself, by dotted parameter name, for the papers.
    """

    name: str
    family: str
    units: str
    timbers: tuple[Member, ...]
    joints: tuple[Joint, ...]
    asked: Vec
    seasons: Seasons
    spec: Any = field(repr=False, default=None)
    choices: Mapping[str, Any] = field(repr=False, default_factory=dict)

    def __post_init__(self) -> None:
        """Refuse two things under one name, and joints of members that aren't there."""
        seen: set[str] = set()
        for name in (
            *(m.name for m in self.members),
            *(h.name for h in self.hardware),
        ):
            if name in seen:
                raise GeometryError(f"two parts of the bench are named {name!r}")
            seen.add(name)
        names: set[str] = set()
        for joint in self.joints:
            if joint.name in names:
                raise GeometryError(f"two joints are named {joint.name!r}")
            names.add(joint.name)
            for member in joint.members:
                if self.by_name.get(member.name) != member:
                    raise GeometryError(
                        f"joint {joint.name!r} holds {member.name!r}, which is not in the bench"
                    )

    @cached_property
    def pegs(self) -> tuple[Member, ...]:
        """All pegs, in the joints' order."""
        return tuple(p for j in self.joints for p in j.pegs())

    @cached_property
    def wedges(self) -> tuple[Member, ...]:
        """All wedges, in the joints' order."""
        return tuple(w for j in self.joints for w in j.wedges())

    @cached_property
    def members(self) -> tuple[Member, ...]:
        """Timbers, then pegs, then wedges."""
        return (*self.timbers, *self.pegs, *self.wedges)

    @cached_property
    def hardware(self) -> tuple[Hardware, ...]:
        """All bolts, barrel nuts and measured parts."""
        return tuple(h for j in self.joints for h in j.hardware())

    @cached_property
    def hardware_counts(self) -> Mapping[str, int]:
        """How many of each kind of hardware, by its plural: ``bolts`` (always), ``barrel nuts``."""
        found = {"bolts": 0}
        for item in self.hardware:
            name = (
                "bolts" if item.kind.endswith("bolt") else _PLURALS.get(item.kind, f"{item.kind}s")
            )
            found[name] = found.get(name, 0) + 1
        return MappingProxyType(found)

    @cached_property
    def by_name(self) -> Mapping[str, Member]:
        """Members by name."""
        return MappingProxyType({m.name: m for m in self.members})

    @cached_property
    def cuts(self) -> Mapping[str, tuple[Cut, ...]]:
        """Every cut on every member, by member name (an empty tuple for an uncut one)."""
        found: dict[str, list[Cut]] = {m.name: [] for m in self.members}
        for joint in self.joints:
            for name, cuts in joint.cuts().items():
                found[name].extend(cuts)
        return MappingProxyType({name: tuple(cuts) for name, cuts in found.items()})

    def joints_of(self, member: Member | str) -> tuple[Joint, ...]:
        """The joints that a member takes part in."""
        name = member if isinstance(member, str) else member.name
        return tuple(j for j in self.joints if any(m.name == name for m in j.members))

    @cached_property
    def bounds(self) -> Mapping[str, tuple[Vec, Vec]]:
        """Bounds of each timber in the bench: its stock, less what its aslant ends lose, mm."""
        return MappingProxyType(
            {m.name: finished_bounds(m, self.cuts[m.name]) for m in self.timbers}
        )

    @cached_property
    def volumes(self) -> Mapping[str, float]:
        """Net volume of each member by closed form, mm³."""
        return MappingProxyType({m.name: net_volume(m, self.cuts[m.name]) for m in self.members})

    @cached_property
    def masses(self) -> Mapping[str, float]:
        """Mass of each member in kg at the moisture content of the build."""
        mc = self.seasons.at_build
        return MappingProxyType(
            {m.name: self.volumes[m.name] * 1e-9 * m.species.density(mc) for m in self.members}
        )
