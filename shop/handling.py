"""Handling: mass of parts, sub-assemblies and the bench, who lifts them, and cautions.

Masses are the model's at the moisture content of the build. People are counted by the load
constant of the NIOSH equation (23 kg each at best); the equation itself then tells how much of
that is left when the load is picked up from the floor, or from trestles.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Literal

from treenail.checks.assembly.plan import AssemblyPlan, SubAssembly, plan_assembly
from treenail.checks.shop_file import ShopFile, default_shop
from treenail.checks.shop_machines import NAMES
from treenail.checks.strength.loads import LIFT_ALONE, LIFT_SOURCE
from treenail.checks.strength.mass import bench_mass
from treenail.shop.cautions import GENERAL, MACHINES, MANUAL, WORK
from treenail.shop.lifting import SOURCE, Lift, hand_reach, weight_limit
from treenail.shop.rough_parts import RoughPart, rough_parts

if TYPE_CHECKING:
    from treenail.generators.bench import Bench
    from treenail.joints.base import Joint
    from treenail.timber.frames import Vec

Kind = Literal["part", "sub-assembly", "bench"]
#: Trestles on which parts lie while they are worked, mm high (our own choice: 24 in).
TRESTLES = 609.6


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """Something that has to be lifted.

    Attributes:
        name: of the part or group.
        kind: ``part``, ``sub-assembly``, ``bench``.
        members: its timbers.
        count: alike parts.
        mass: of one, kg.
        rough_mass: of its boards before milling, kg; 0 for groups.
        size: largest extent first, mm.
        from_floor, from_trestles: lifts to the bench's height by one person.
        people: at least, by the load constant and the equation.
        note: in words; empty if one person lifts it at ease.
    """

    name: str
    kind: Kind
    members: tuple[str, ...]
    count: int
    mass: float
    rough_mass: float
    size: tuple[float, float, float]
    from_floor: Lift
    from_trestles: Lift
    people: int
    note: str

    @property
    def index(self) -> float:
        """The lifting index of one person from the floor: mass over what is recommended."""
        limit = weight_limit(self.from_floor)
        return self.mass / limit if limit else math.inf

    def as_dict(self) -> dict[str, Any]:
        """JSON data."""
        index = self.index
        return {
            "name": self.name,
            "kind": self.kind,
            "members": list(self.members),
            "count": self.count,
            "mass_kg": round(self.mass, 4),
            "rough_mass_kg": round(self.rough_mass, 4) or None,
            "size_mm": [round(x, 2) for x in self.size],
            "from_floor": self.from_floor.as_dict(),
            "from_trestles": self.from_trestles.as_dict(),
            "lifting_index_alone": round(index, 3) if math.isfinite(index) else None,
            "people": self.people,
            "note": self.note,
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Carry:
    """What is moved in a step of assembly: number, the step's words, mass in kg, people."""

    step: int
    what: str
    mass: float
    people: int

    def as_dict(self) -> dict[str, Any]:
        """JSON data."""
        return {
            "assembly_step": self.step,
            "what": self.what,
            "mass_kg": round(self.mass, 4),
            "people": self.people,
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """Cautions for one machine or kind of work, and the parts that want special care there."""

    key: str
    title: str
    cautions: tuple[str, ...]
    watch: tuple[str, ...] = ()

    def as_dict(self) -> dict[str, Any]:
        """JSON data."""
        return {
            "key": self.key,
            "title": self.title,
            "cautions": list(self.cautions),
            "watch": list(self.watch),
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Handling:
    """How a bench's parts are handled.

    Attributes:
        bench, units: name, and ``in`` or ``mm``.
        items: parts (alike ones together), sub-assemblies, the bench.
        carries: what each step of assembly moves.
        cautions: by machine and kind of work.
        notes: what holds for all of it.
    """

    bench: str
    units: str
    items: tuple[Item, ...]
    carries: tuple[Carry, ...]
    cautions: tuple[Caution, ...]
    notes: tuple[str, ...]

    def of(self, kind: Kind) -> tuple[Item, ...]:
        """Items of one kind."""
        return tuple(i for i in self.items if i.kind == kind)

    def as_dict(self) -> dict[str, Any]:
        """JSON data."""
        return {
            "bench": self.bench,
            "units": self.units,
            "limit_alone_kg": LIFT_ALONE,
            "source": SOURCE,
            "items": [i.as_dict() for i in self.items],
            "assembly": [c.as_dict() for c in self.carries],
            "cautions": [c.as_dict() for c in self.cautions],
            "notes": list(self.notes),
        }

    def rows(self) -> list[dict[str, str | float | int]]:
        """One row an item, for a table; mm and kg."""
        return [
            {
                "what": i.name,
                "kind": i.kind,
                "count": i.count,
                "mass kg": round(i.mass, 2),
                "rough kg": round(i.rough_mass, 2) or "",
                "length mm": round(i.size[0], 1),
                "width mm": round(i.size[1], 1),
                "thickness mm": round(i.size[2], 1),
                "limit from floor kg": round(weight_limit(i.from_floor), 2),
                "limit from trestles kg": round(weight_limit(i.from_trestles), 2),
                "people": i.people,
                "note": i.note,
            }
            for i in self.items
        ]


def people_for(mass: float) -> int:
    """How many lift a mass in kg at 23 kg each at the most."""
    return max(1, math.ceil(mass / LIFT_ALONE - 1e-9))


def lift_of(size: Sequence[float], start: float, end: float) -> Lift:
    """One person's lift of something that lies flat, or on edge where that is too wide to hold.

    Args:
        size: three extents, mm; the longest lies across the body.
        start: the hands' height where it is picked up, mm.
        end: where it is put down, mm.
    """
    small, middle, _ = sorted(size)
    reaches = [(hand_reach(w, start), hand_reach(w, end)) for w in (middle, small)]
    first, last = reaches[0] if max(reaches[0]) <= 630.0 else reaches[1]
    return Lift(start=start, end=end, start_reach=first, end_reach=last)


def handling(
    bench: Bench,
    *,
    shop: ShopFile | None = None,
    parts: Sequence[RoughPart] | None = None,
    plan: AssemblyPlan | None = None,
) -> Handling:
    """Work out masses, lifts and cautions for a bench.

    Args:
        bench: numbers only.
        shop: the shop's machines; None takes the guessed shop of the bench's units.
        parts: the rough parts; None works them out.
        plan: of its assembly, if it is known already.
    """
    plan = plan or plan_assembly(bench)
    shop = shop or default_shop(bench.units)
    rows = parts or rough_parts(bench, shop.machines)
    masses = _Masses(bench)
    top = bench.asked[2]
    items = [*_parts(bench, rows, masses, top)]
    seen: set[tuple[str, ...]] = set()
    for group in _groups(plan.whole):
        if group.members not in seen:
            seen.add(group.members)
            items.append(_group(bench, group, masses, top, whole=group is plan.whole))
    carries = tuple(
        Carry(step=step.number, what=step.what.rstrip("."), mass=mass, people=people_for(mass))
        for step in plan.steps
        for mass in (max((masses.of(m.members) for m in step.moves), default=0.0),)
        if mass > 0.0
    )
    return Handling(
        bench=bench.name,
        units=bench.units,
        items=tuple(items),
        carries=carries,
        cautions=tuple(_cautions(shop, rows, bench)),
        notes=(
            (
                f"People are counted at 23 kg (51 lb) each: {LIFT_SOURCE}. That is for the best "
                "posture; the limits beside it are for one person who lifts to the bench's height, "
                "now and then, with fingers under the load."
            ),
            (
                "The equation is for one person: for two, an even share is our own reading of it. "
                "It advises, and it is no medical advice."
            ),
            (
                f"Masses at {bench.seasons.at_build:g} % moisture content, from average densities: "
                "a board may differ by a tenth and more, wet stock by a third."
            ),
        ),
    )


def _fasteners(joint: Joint) -> list[str]:
    """Names of a joint's pegs, wedges and bolts."""
    wood = [m.name for m in (*joint.pegs(), *joint.wedges())]
    return [*wood, *(h.name for h in joint.hardware())]


class _Masses:
    """Masses of single pieces, and of groups with the pegs and bolts that hold them."""

    def __init__(self, bench: Bench) -> None:
        self.single: Mapping[str, float] = {b.name: b.mass for b in bench_mass(bench).bodies}
        self.holds = [
            (
                frozenset(m.name for m in j.members),
                math.fsum(self.single[n] for n in _fasteners(j)),
            )
            for j in bench.joints
        ]

    def of(self, members: Sequence[str]) -> float:
        """Mass of a group, kg; what fastens it to others isn't in."""
        own = set(members)
        fast = (mass for names, mass in self.holds if names <= own)
        return math.fsum([*(self.single[n] for n in members), *fast])


def _groups(whole: SubAssembly) -> Iterator[SubAssembly]:
    for part in whole.parts:
        yield from _groups(part)
    yield whole


def _rough_mass(part: RoughPart, bench: Bench) -> float:
    """Of the rough wood in one blank, its plies glued up, kg."""
    density = bench.by_name[part.members[0]].species.density(bench.seasons.at_build) * 1e-9
    return part.plies * part.across * part.thickness * part.width * part.length * density


def _parts(bench: Bench, rows: Sequence[RoughPart], masses: _Masses, top: float) -> Iterator[Item]:
    timbers = {m.name for m in bench.timbers}
    for part in rows:
        if part.members[0] not in timbers:
            continue
        many = len(part.members)
        yield _item(
            name=part.role if many > 1 else part.members[0].replace("_", " "),
            kind="part",
            members=part.members,
            count=many,
            mass=max(masses.single[n] for n in part.members),
            rough=_rough_mass(part, bench) / part.gang,
            size=bench.by_name[part.members[0]].size,
            top=top,
        )


def _group(bench: Bench, group: SubAssembly, masses: _Masses, top: float, *, whole: bool) -> Item:
    boxes = [bench.bounds[n] for n in group.members]
    x, y, z = (max(b[1][i] for b in boxes) - min(b[0][i] for b in boxes) for i in range(3))
    return _item(
        name=group.name,
        kind="bench" if whole else "sub-assembly",
        members=group.members,
        count=1,
        mass=masses.of(group.members),
        rough=0.0,
        size=(x, y, z),
        top=top,
    )


def _item(
    *,
    name: str,
    kind: Kind,
    members: tuple[str, ...],
    count: int,
    mass: float,
    rough: float,
    size: Vec,
    top: float,
) -> Item:
    floor = lift_of(size, 0.0, top)
    trestles = lift_of(size, TRESTLES, top)
    long, middle, small = sorted(size, reverse=True)
    people = people_for(mass)
    if people == 1 and mass > weight_limit(floor):
        people = 2
    return Item(
        name=name,
        kind=kind,
        members=members,
        count=count,
        mass=mass,
        rough_mass=rough,
        size=(long, middle, small),
        from_floor=floor,
        from_trestles=trestles,
        people=people,
        note=_note(kind, mass, people, weight_limit(floor), weight_limit(trestles)),
    )


def _note(kind: Kind, mass: float, people: int, floor: float, trestles: float) -> str:
    if kind == "bench":
        return (
            "slide it on a blanket, or walk it on a trolley; to carry it, take the top off first"
            if mass > LIFT_ALONE
            else "carried by two, one at each end"
        )
    said = []
    share = mass / people
    if mass > LIFT_ALONE:
        many = "two people" if people == 2 else f"{people} people, or a hoist"
        said.append(f"{many}: over the 23 kg (51 lb) of one")
    elif people > 1:
        alone = "; one alone from trestles" if mass <= trestles else ""
        said.append(f"two people from the floor{alone}")
    if share > trestles:
        said.append(
            "a trolley, a hoist or more hands: each one's share is over the equation's limit"
        )
    elif share > floor:
        said.append("keep it on trestles: from the floor each one's share is over the limit")
    return "; ".join(said)


# --- cautions


def _cautions(shop: ShopFile, rows: Sequence[RoughPart], bench: Bench) -> Iterator[Caution]:
    yield Caution(key="general", title="Everywhere", cautions=(MANUAL, *GENERAL))
    machines = shop.machines
    for key, words in MACHINES.items():
        if getattr(machines, key).have:
            yield Caution(
                key=key,
                title=NAMES[key][0].upper() + NAMES[key][1:],
                cautions=words,
                watch=tuple(_watch(key, shop, rows, bench)),
            )
    for key, words in WORK.items():
        yield Caution(key=key, title=key[0].upper() + key[1:], cautions=words)


def _watch(key: str, shop: ShopFile, rows: Sequence[RoughPart], bench: Bench) -> Iterator[str]:
    """Parts that are short or heavy on a machine."""
    machines = shop.machines
    shortest = {"jointer": machines.jointer.shortest, "planer": machines.planer.shortest}
    if key in shortest:
        for part in rows:
            if part.alone < shortest[key] - 1e-6:
                yield (
                    f"{part.wanted} {part.role}{'s' if part.wanted > 1 else ''}: shorter than this "
                    "machine takes; mill them in one long piece"
                )
    if key not in ("jointer", "planer", "saw", "dado"):
        return
    for part in rows:
        whole = _rough_mass(part, bench)
        if whole > LIFT_ALONE and part.plies > 1:
            yield (
                f"{part.role}, glued up: over 23 kg (51 lb); a helper, or roller stands both sides"
            )
        elif whole > LIFT_ALONE:
            yield f"{part.role}: over 23 kg (51 lb) rough; a helper, or roller stands both sides"
