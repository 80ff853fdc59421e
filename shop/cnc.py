"""Set-ups of each piece on a CNC router: the face that lies up, what is cut, how deep, with what.

The fewest faces are taken that show all features, those first from which most are cut. An end
lies up only for what no long face shows within the cutters' reach.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from treenail.checks.making import MEET
from treenail.checks.reach import Access, Feature, features_of
from treenail.generators.shape_key import shape_key
from treenail.shop.machining import usual_corner
from treenail.timber.member import Face

if TYPE_CHECKING:
    from collections.abc import Sequence

    from treenail.checks.shop_file import ShopFile
    from treenail.checks.shop_machines import Router
    from treenail.generators.bench import Bench
    from treenail.joints.cuts import Cut
    from treenail.timber.member import Member

__all__ = ["CncPart", "CncSetup", "Done", "best_face", "cnc_data", "part_setups"]

SAME = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class Done:
    """Alike features cut in one set-up.

    Attributes:
        what: in shop words.
        joints: whose, one for each.
        depth: below the face that lies up, mm.
        form: the cutter's form; empty for a straight one.
        widest: largest cutter that fits, mm; None where any does.
        cutter: the largest on hand that fits, mm; None if there is none, or it has a form.
        within_reach: whether the shop's cutters go that deep.
        from_both: cut half from here and half from the opposite face.
    """

    what: str
    joints: tuple[str, ...]
    depth: float
    form: str
    widest: float | None
    cutter: float | None
    within_reach: bool
    from_both: bool = False

    @property
    def remarks(self) -> tuple[str, ...]:
        """What to know about it, in shop words."""
        found = []
        if self.form:
            found.append(f"{self.form} cutter" if self.form != "saw" else "by saw")
        elif self.cutter is None:
            found.append("no cutter on hand is small enough")
        if self.from_both:
            found.append("half from each face")
        if not self.within_reach:
            found.append("deeper than the cutters reach")
        return tuple(found)


@dataclass(frozen=True, slots=True, kw_only=True)
class CncSetup:
    """One way in which a piece lies.

    Attributes:
        up: the face that lies up.
        zero: the corner of the work zero, by its two other faces.
        done: what is cut.
    """

    up: Face
    zero: tuple[Face, Face]
    done: tuple[Done, ...]

    @property
    def depth(self) -> float:
        """The deepest cut, mm: the reach that the cutters need."""
        return max(d.depth for d in self.done)


@dataclass(frozen=True, slots=True, kw_only=True)
class CncPart:
    """A distinct piece.

    Attributes:
        names: all pieces of the shape.
        size: length, width, thickness in mm.
        setups: in the order in which it is laid.
        unreached: features that no face shows.
        too_large: whether it doesn't fit the machine's table.
    """

    names: tuple[str, ...]
    size: tuple[float, float, float]
    setups: tuple[CncSetup, ...]
    unreached: tuple[str, ...]
    too_large: bool


def cnc_data(bench: Bench, shop: ShopFile) -> tuple[CncPart, ...]:
    """The set-ups of every distinct squared piece that has cuts, in the bench's order."""
    alike: dict[str, list[Member]] = {}
    for member in bench.timbers:
        if bench.cuts[member.name] and not member.round_section:
            alike.setdefault(shape_key(member, bench.cuts[member.name]), []).append(member)
    router = shop.machines.router
    return tuple(_part(members, bench.cuts[members[0].name], router) for members in alike.values())


def _part(members: list[Member], cuts: tuple[Cut, ...], router: Router) -> CncPart:
    first = members[0]
    setups, unreached = part_setups(first, cuts, router)
    long, wide = sorted((first.length, first.width), reverse=True)
    limits = ((long, router.table_length), (wide, router.table_width))
    return CncPart(
        names=tuple(m.name for m in members),
        size=first.size,
        setups=setups,
        unreached=unreached,
        too_large=any(most is not None and size > most + SAME for size, most in limits),
    )


def _pairs(ways: Sequence[Access]) -> list[Access]:
    """The ways from two opposite long faces."""
    faces = {way.face for way in ways}
    return [w for w in ways if w.face.opposite in faces and not w.face.is_end]


def _choices(feature: Feature, reach: float) -> list[Access]:
    """The ways that are considered: long faces within reach, else ends within it, else all."""
    near = [w for w in feature.ways if w.depth <= reach + SAME or w.form]
    found = [w for w in near if not w.face.is_end] or near
    if found:
        return found
    # Right through, half from each face.
    both = _pairs([w for w in feature.ways if w.depth <= 2.0 * reach - MEET + SAME])
    return both or [w for w in feature.ways if not w.face.is_end] or list(feature.ways)


def part_setups(
    member: Member, cuts: tuple[Cut, ...], router: Router
) -> tuple[tuple[CncSetup, ...], tuple[str, ...]]:
    """(set-ups of a piece, what is reached from no face)."""
    reach = router.reach
    features = features_of(member, cuts)
    unreached = tuple(dict.fromkeys(f"{f.what} ({f.cut.joint})" for f in features if not f.ways))
    chosen: dict[Face, list[tuple[Feature, Access, bool]]] = {}
    left: list[tuple[Feature, list[Access]]] = []
    for feature in features:
        ways = _choices(feature, reach) if feature.ways else []
        if ways and _halves(ways, reach):
            for way in ways:
                half = Access(way.face, min(reach, (way.depth + MEET) / 2.0))
                chosen.setdefault(way.face, []).append((feature, half, True))
        elif ways:
            left.append((feature, ways))
    while left:
        # Faces that lie up anyhow come first, then the one from which most is cut.
        counts = {f: sum(any(w.face is f for w in ways) for _, ways in left) for f in Face}
        best = max(Face, key=lambda f: (counts[f] > 0 and f in chosen, counts[f]))
        taken = [(x, ways) for x, ways in left if any(w.face is best for w in ways)]
        left = [(x, ways) for x, ways in left if not any(w.face is best for w in ways)]
        for feature, ways in taken:
            way = min((w for w in ways if w.face is best), key=lambda w: w.depth)
            chosen.setdefault(best, []).append((feature, way, False))
    order = sorted(chosen, key=lambda f: (-len(chosen[f]), list(Face).index(f)))
    setups = tuple(
        CncSetup(up=face, zero=usual_corner(face), done=_done(chosen[face], router))
        for face in order
    )
    return setups, unreached


def _halves(ways: Sequence[Access], reach: float) -> bool:
    """Whether it takes two cuts, from opposite faces, that meet."""
    return len(_pairs(ways)) == len(ways) and all(
        reach + SAME < w.depth <= 2.0 * reach - MEET + SAME and not w.form for w in ways
    )


def _done(found: list[tuple[Feature, Access, bool]], router: Router) -> tuple[Done, ...]:
    rows: dict[tuple[Any, ...], list[str]] = {}
    for feature, way, both in found:
        key = (feature.what, round(way.depth, 6), way.form, feature.widest, both)
        rows.setdefault(key, []).append(feature.cut.joint)
    made = []
    for (what, depth, form, widest, both), joints in rows.items():
        fitting = [c for c in router.cutters if widest is None or c <= widest + SAME]
        made.append(
            Done(
                what=what,
                joints=tuple(joints),
                depth=depth,
                form=form,
                widest=widest,
                cutter=None if form else max(fitting, default=None),
                within_reach=depth <= router.reach + SAME,
                from_both=both,
            )
        )
    return tuple(made)


def best_face(member: Member, cuts: tuple[Cut, ...], router: Router) -> Face:
    """The face that lies up for most of a piece's features; the face side of an uncut one."""
    setups, _ = part_setups(member, cuts, router)
    return setups[0].up if setups else Face.FACE_SIDE
