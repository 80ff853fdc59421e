"""What fittings are built on: the bench so far, and what they add to it."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any, TypeAlias

from treenail.generators.frame_layout import Say, in_units
from treenail.joints.cuts import Bore
from treenail.joints.features import DogHoles
from treenail.timber.errors import SpecError
from treenail.timber.frames import snap
from treenail.timber.species import get_species

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from treenail.generators.bench import Seasons
    from treenail.generators.fittings.ground import Ground
    from treenail.generators.fittings_spec import TopFittings
    from treenail.generators.frame_layout import TenonPlan
    from treenail.generators.post_spec import PostSpec
    from treenail.joints.base import Joint
    from treenail.timber.frames import Vec
    from treenail.timber.member import Member
    from treenail.timber.species import Species

#: A round hole: its axis from end to end, in the bench, and its radius; mm.
Hole: TypeAlias = "tuple[tuple[Vec, Vec], float]"
#: What lies so near below the top, and beside a dog hole, is in a dog's way, mm (our own choice:
#: 6 in, as the checks ask; 1/4 in).
BELOW_DOG, BESIDE_DOG = 6 * 25.4, 25.4 / 4
#: The sub-assembly of what is fitted to a bench; it doesn't count for the bench's outer size.
FITTINGS = "fittings"


@dataclass(kw_only=True)
class Site:
    """A bench that is fitted out.

    Attributes:
        spec, units: the bench's.
        ground: what its family tells of the base.
        wood: the base's.
        added: woods of the user's own, by name.
        seasons: moisture contents.
        timbers: what stands there, by name; fittings are added.
        joints: what joins it; fittings are added.
        choices: what was settled, by dotted name.
    """

    spec: PostSpec
    units: str
    ground: Ground
    wood: Species
    added: Mapping[str, Species]
    seasons: Seasons
    timbers: dict[str, Member]
    joints: list[Joint]
    choices: dict[str, Any] = field(default_factory=dict)

    @property
    def fittings(self) -> TopFittings:
        """What is asked for; see :meth:`group` for what not every family has."""
        return self.spec.fittings

    def group(self, name: str) -> Any:
        """The section of one fitting; None if the family has none such."""
        return getattr(self.fittings, name, None)

    @property
    def say(self) -> Say:
        """Writes lengths for messages, and knows the sizes usual in these units."""
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
        return self.ground.plans.get(key)

    def bores(self, member: Member) -> list[Hole]:
        """Every round hole that is in a member so far: its axis in the bench, and its radius."""
        found = []
        for joint in self.joints:
            if member in joint.members:
                for cut in joint.cuts().get(member.name, ()):
                    if isinstance(cut, Bore):
                        frame = member.placement.place(cut.frame)
                        end = frame.point((0.0, 0.0, cut.depth))
                        found.append(((frame.origin, end), cut.diameter / 2))
        return found

    def add(self, member: Member) -> Member:
        """Put a member in the bench."""
        self.timbers[member.name] = member
        return member

    def leave_out_dog_holes(self, group: str, boxes: Sequence[tuple[Vec, Vec]]) -> None:
        """Take away the top's dog holes that no dog would go down: over these, and near."""
        gone, deepest = 0, self.spec.height - self.spec.top.thickness - BELOW_DOG
        boxes = [box for box in boxes if box[1][2] > deepest]
        for i, joint in enumerate(self.joints):
            if not isinstance(joint, DogHoles) or joint.member.role != "top section":
                continue
            frame = joint.member.placement.place(joint.member.face_frame(joint.face))
            room = joint.diameter / 2 + BESIDE_DOG
            kept = tuple(
                (x, y)
                for x, y in joint.points
                if not any(_over(frame.point((x, y, 0.0)), room, box) for box in boxes)
            )
            gone += len(joint.points) - len(kept)
            self.joints[i] = replace(joint, points=kept)
        if gone:
            self.joints[:] = [j for j in self.joints if not isinstance(j, DogHoles) or j.points]
            self.choices[f"fittings.{group}.dog_holes_left_out"] = gone

    def chosen(self, where: str, value: float) -> float:
        """Note what was settled for a field."""
        self.choices[f"fittings.{where}"] = snap(value)
        return snap(value)

    def refuse(self, where: str, message: str, allowed: str) -> SpecError:
        """The error for a field of the fittings."""
        return SpecError(message, field=f"fittings.{where}", allowed=allowed)


def _over(spot: Vec, room: float, box: tuple[Vec, Vec]) -> bool:
    """Whether a round of that radius about a spot reaches over a box."""
    low, high = box
    return math.hypot(*(max(low[i] - spot[i], spot[i] - high[i], 0.0) for i in (0, 1))) < room


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


def foot_travel(fittings: TopFittings, units: str) -> float:
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


def standing(fittings: TopFittings, units: str) -> float:
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


__all__ = ["FITTINGS", "Hole", "Site", "foot_travel", "measured", "standing"]
