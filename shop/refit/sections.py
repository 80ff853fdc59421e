"""Planed sizes: as measured, as glued-up neighbours have them, or as a cut groove asks for.

A piece that goes whole into a groove, housing, notch or sliding mortise is planed to it. Where
both exist, they must go together by the named fit.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from treenail.joints.board_groove import BoardGroove
from treenail.joints.features import EdgeGlue
from treenail.joints.fits import Limits
from treenail.joints.housed import Housed
from treenail.joints.laps import Lap
from treenail.joints.skew import SkewLetIn
from treenail.joints.sliding import Sliding
from treenail.shop.refit.asked import joint_sizes, sliding_sizes, word
from treenail.timber.errors import SpecError
from treenail.timber.frames import snap

if TYPE_CHECKING:
    from treenail.generators.bench import Bench
    from treenail.joints.base import Joint
    from treenail.timber.member import Member

#: Sizes that agree to this are the same, mm.
SAME = 1e-6
#: A piece that slides may have so many times its play (our own choice).
SLIDES = (0.5, 1.5)


@dataclass(frozen=True, slots=True, kw_only=True)
class Demand:
    """A cut that exists, and what goes into it.

    Attributes:
        joint, field: where it was measured.
        member, key: what goes in, and which of its sizes.
        size: of the cut, mm.
        room: clearance by the named fit, mm; all of it 0 where the piece lies on a single wall.
        walls: 1 or 2 beside the piece.
    """

    joint: str
    field: str
    member: str
    key: str
    size: float
    room: Limits
    walls: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Sections:
    """Every section as it is or will be, by member and by ``width`` or ``thickness``, mm.

    Attributes:
        sizes: of members that differ from what was asked for, or whose size is settled.
        rooms: clearances as they are, by joint, where they are not the fit's middle, mm.
    """

    sizes: Mapping[tuple[str, str], float]
    rooms: Mapping[str, float]


def demands(bench: Bench, measured: Mapping[str, Mapping[str, float]]) -> Iterator[Demand]:
    """What every measured groove, notch or sliding mortise asks of what goes in whole."""
    for joint in bench.joints:
        sizes = measured.get(joint.name)
        if sizes:
            yield from _demands(joint, sizes)


def _demands(joint: Joint, sizes: Mapping[str, float]) -> Iterator[Demand]:
    def demand(
        field: str, piece: Member, key: str, room: Limits, walls: int = 2, cut: float = 0.0
    ) -> Iterator[Demand]:
        if field not in sizes or key not in ("width", "thickness"):
            return
        # Beside a single wall the piece may stand out of the other side.
        beyond = getattr(piece, key) - cut if walls == 1 else 0.0
        yield Demand(
            joint=joint.name,
            field=field,
            member=piece.name,
            key=key,
            size=snap(sizes[field] + beyond),
            room=room if walls == 2 else Limits(0.0, 0.0),
            walls=walls,
        )

    if isinstance(joint, Housed) and not any(joint.shoulders):
        field, cut = f"{word(joint)}_width", joint_sizes(joint).get(f"{word(joint)}_width", 0.0)
        yield from demand(
            field, joint.entering, joint.let_in_size, joint.fit.cheek, joint.walls, cut
        )
    elif isinstance(joint, Lap):
        cut, walls = joint.mouth()
        yield from demand(
            "notch_width", joint.entering, joint.let_in_size, joint.fit.cheek, walls, cut
        )
    elif isinstance(joint, SkewLetIn):
        yield from demand("notch_width", joint.entering, joint.let_in_size, joint.fit.cheek)
    elif isinstance(joint, BoardGroove):
        for board in joint.boards:
            yield from demand("groove_width", board, "thickness", joint.fit.cheek)
    elif isinstance(joint, Sliding):
        low, high = (snap(k * joint.play) for k in SLIDES)
        room = Limits(low, high, actual=joint.play)
        for field, key in sliding_sizes(joint).items():
            yield from demand(field, joint.entering, key, room)


def planed_together(bench: Bench) -> dict[str, str]:
    """Pieces that end up equally thick, by name: each with the first of its group.

    Sections glued edge to edge are flattened as one; boards of one groove are planed as one lot.
    """
    first: dict[str, str] = {}

    def root(name: str) -> str:
        while first.get(name, name) != name:
            name = first[name]
        return name

    def bind(names: list[str]) -> None:
        roots = [root(n) for n in names]
        for other in roots[1:]:
            first[root(other)] = root(roots[0])

    for joint in bench.joints:
        if isinstance(joint, EdgeGlue):
            if abs(joint.first.thickness - joint.second.thickness) < SAME:
                bind([joint.first.name, joint.second.name])
        elif isinstance(joint, BoardGroove):
            bind([b.name for b in joint.boards])
    return {m.name: root(m.name) for m in bench.timbers}


def settle(
    bench: Bench,
    members: Mapping[str, Mapping[str, float]],
    joints: Mapping[str, Mapping[str, float]],
    say: Callable[[float], str],
    refuse: Callable[[str, str, str], SpecError],
) -> Sections:
    """Settle every section.

    Args:
        bench: as designed.
        members: measured sizes by member.
        joints: measured sizes by joint.
        say: writes a length.
        refuse: makes an error of (message, place, way out).

    Raises:
        SpecError: a piece and a cut that exist don't go together, or cuts that one piece has to
            go into leave no size for it.
    """
    group = planed_together(bench)

    def place(name: str, key: str) -> tuple[str, str]:
        return (group[name] if key == "thickness" else name, key)

    have: dict[tuple[str, str], float] = {}
    for name, sizes in members.items():
        for key in ("width", "thickness"):
            if key in sizes:  # the thinnest tells what all of a group are planed to
                at = place(name, key)
                have[at] = min(sizes[key], have.get(at, sizes[key]))
    asked: dict[tuple[str, str], list[Demand]] = {}
    for found in demands(bench, joints):
        asked.setdefault(place(found.member, found.key), []).append(found)
    rooms: dict[str, float] = {}
    for at, wants in asked.items():
        if at not in have:
            have[at] = _size_for(wants, say, refuse)
        for want in wants:
            room = snap(want.size - have[at])
            _refuse_misfit(want, have[at], room, say, refuse)
            if want.walls == 2 and abs(room - want.room.mid) > SAME:
                rooms[want.joint] = min(room, rooms.get(want.joint, room))
    whole = {
        (m.name, key): have[at]
        for m in bench.timbers
        for key in ("width", "thickness")
        if (at := place(m.name, key)) in have
    }
    return Sections(sizes=whole, rooms=rooms)


def _size_for(
    wants: list[Demand], say: Callable[[float], str], refuse: Callable[[str, str, str], SpecError]
) -> float:
    """The size that goes into all cuts; those with one wall can still be pared farther."""
    tight = [w for w in wants if w.walls == 2]
    if not tight:
        return snap(max(w.size for w in wants))
    low = max(w.size - w.room.high for w in tight)
    high = min(w.size - w.room.low for w in tight)
    if low > high + SAME:
        wide = max(tight, key=lambda w: w.size - w.room.high)
        slim = min(tight, key=lambda w: w.size - w.room.low)
        raise refuse(
            f"{slim.member} goes into cuts {say(slim.size)} ({slim.joint}) and {say(wide.size)} "
            f"({wide.joint}) wide: no {slim.key} fits both",
            f"joints.{slim.joint}.{slim.field}",
            f"{slim.joint} widened to {say(low + slim.room.low)} or more",
        )
    middle = min(w.size - w.room.mid for w in tight)
    return snap(min(max(middle, low), high))


def _refuse_misfit(
    want: Demand,
    size: float,
    room: float,
    say: Callable[[float], str],
    refuse: Callable[[str, str, str], SpecError],
) -> None:
    field = f"joints.{want.joint}.{want.field}"
    told = (
        f"{want.member}'s {want.key} is {say(size)}, and the cut of {want.joint} {say(want.size)}"
    )
    if want.walls == 1:
        if room > SAME:
            raise refuse(
                f"{told}: it does not fill it", field, f"a strip {say(room)} thick glued on it"
            )
        return  # the cut can still be pared wider
    if room < want.room.low - SAME:
        least = want.size - want.room.low
        raise refuse(
            f"{told}: it won't go in",
            field,
            f"{want.member} planed to {say(least)} or less, or the cut {say(size + want.room.low)} "
            "wide or more",
        )
    if room > want.room.high + SAME:
        raise refuse(
            f"{told}: it would rattle with {say(room)} of play",
            field,
            f"a thicker piece, {say(want.size - want.room.high)} or more, or a strip glued into "
            "the cut",
        )


__all__ = ["SAME", "Demand", "Sections", "demands", "planed_together", "settle"]
