"""Groups, directions and steps in shop words. The bench's front looks to the reader."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from treenail.checks.assembly.blocking import bits
from treenail.timber.frames import Vec, dot
from treenail.timber.lengths import format_length

if TYPE_CHECKING:
    from treenail.checks.assembly.blocking import Blocking, Link
    from treenail.checks.assembly.plan import Move

_WAYS: dict[Vec, str] = {
    (1.0, 0.0, 0.0): "to the right",
    (-1.0, 0.0, 0.0): "to the left",
    (0.0, 1.0, 0.0): "to the back",
    (0.0, -1.0, 0.0): "to the front",
    (0.0, 0.0, 1.0): "upward",
    (0.0, 0.0, -1.0): "down",
}
#: A frame is no thicker than this share of the bench, across itself.
_THIN = 0.35
_FOOT = "levelling foot"
#: What is done with a fastener of each kind; ``{}`` stands for how many.
_DRIVING = {
    "peg": "drive {} peg",
    "wedge": "drive {} wedge",
    "nut": "lay in {} barrel nut",
    "bolt": "turn in {} bolt",
    "pin": "glue in {} pin",
    "foot": f"turn in {{}} {_FOOT}",
}
_ORDER = (
    _DRIVING["peg"],
    _DRIVING["wedge"],
    _DRIVING["wedge"] + " across",
    *(_DRIVING[kind] for kind in ("nut", "bolt", "pin", "foot")),
)
#: Below this share along a tenon, a wedge is driven across it.
_SQUARE = 0.5


def way(direction: Vec) -> str:
    """A direction in words: ``to the right``; between two of them, the nearer with `aslant`."""
    known = max(_WAYS, key=lambda d: dot(d, direction))
    words = _WAYS[known]
    return words if dot(known, direction) > 1.0 - 1e-9 else f"aslant {words}"


def plain(name: str) -> str:
    """A member's name as words."""
    return name.replace("_", " ")


def several(role: str) -> str:
    """Many of a role: ``posts``, ``feet``."""
    return "feet" if role == "foot" else f"{role}s"


def listed(names: Sequence[str]) -> str:
    """``a``, ``a and b``, ``a, b and c``; names that differ by a last number only are counted."""
    stems = {n.rstrip("0123456789") for n in names}
    if len(names) > 3 and len(stems) == 1:
        return f"the {len(names)} {plain(stems.pop()).strip()}s"
    words = [plain(n) for n in names]
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def group_name(b: Blocking, mask: int) -> str:
    """A name for a set of bodies, from what it holds and where it stands."""
    names = b.names(mask)
    if len(names) == 1:
        return plain(names[0])
    if mask == b.all:
        return "bench"
    roles = {b.bench.by_name[n].role for n in names}
    if not mask & (mask - 1):
        kinds = {role.split()[0] for role in roles}
        return _glued(b, mask, kinds.pop()) if len(kinds) == 1 else listed(names)
    if not any(link.interlocks for link in b.crossing(mask, mask)):
        return listed(names)
    if len(roles) == 1:
        return f"{len(names)} {roles.pop()}s"
    place = _place(b, names)
    if place:
        return place
    loose = _loose(b)
    if mask & ~loose == b.all & ~loose:
        extra = listed([group_name(b, 1 << i) for i in bits(mask & loose)]) if mask & loose else ""
        return f"frame with {extra}" if extra else "frame"
    return f"frame of {listed(names)}" if len(names) <= 3 else "half-built frame"


def _glued(b: Blocking, mask: int, kind: str) -> str:
    """A glued-up piece's name: ``glued-up top``, or by its place where there are two."""
    like = [
        names
        for names in b.bodies
        if len(names) > 1 and {b.bench.by_name[n].role.split()[0] for n in names} == {kind}
    ]

    def depth(names: Sequence[str]) -> float:
        return min(b.bench.by_name[n].bounds()[0][1] for n in names)

    if len(like) == 2 and depth(like[0]) != depth(like[1]):
        front = depth(b.names(mask)) == min(depth(names) for names in like)
        return f"{'front' if front else 'back'} glued-up {kind}"
    return f"glued-up {kind}"


def _loose(b: Blocking) -> int:
    """Bodies that no interlocking joint holds."""
    held = {n for link in b.links if link.interlocks for n in (link.first, link.second)}
    return sum(1 << i for i, names in enumerate(b.bodies) if not held.intersection(names))


def _place(b: Blocking, names: Sequence[str]) -> str:
    def bounds(of: Sequence[str], i: int) -> tuple[float, float]:
        own = [p for n in of for p in b.pieces[n]]
        return min(p.low[i] for p in own), max(p.high[i] for p in own)

    everything = tuple(b.pieces)
    found = []
    for i, ends in ((0, ("left end frame", "right end frame")), (1, ("front frame", "back frame"))):
        low, high = bounds(everything, i)
        own_low, own_high = bounds(names, i)
        share = (own_high - own_low) / (high - low)
        place = ((own_low + own_high) / 2 - low) / (high - low)
        if share <= _THIN and abs(place - 0.5) > 0.1:
            found.append((share, ends[place > 0.5]))
    name = min(found)[1] if found else ""
    roles = {b.bench.by_name[n].role for n in names}
    return name.replace("end frame", "trestle") if {"foot", "arm"} <= roles else name


def step_words(
    b: Blocking,
    onto: int,
    moving: int,
    links: Sequence[Link],
    driven: Sequence[str],
    direction: Vec,
    move: Move | None = None,
) -> str:
    """One step in a sentence; ``move``: its first move, if anything travels."""
    also = _driven_words(b, driven)
    if not onto and not links:  # into one member, from below as a rule
        first = b.fasteners[driven[0]]
        places = listed(list(dict.fromkeys(b.fasteners[n].members[0] for n in driven)))
        below = first.drive[2] > _SQUARE and first.name in b.last
        said = f"Tip it, with help, to reach {places} from below" if below else f"Take {places}"
    elif not onto:
        said = f"Glue up {listed(b.names(moving))}"
    else:
        said = _join(b, onto, moving, links, direction)
        if move is not None and move.approach is not None:
            off = format_length(move.distance, unit="in" if b.bench.units == "in" else "mm")
            said = f"First {way(move.approach[0])} to {off} off, then {said[0].lower()}{said[1:]}"
    return f"{said}; {' and '.join(also)}." if also else f"{said}."


def _driven_words(b: Blocking, driven: Sequence[str]) -> list[str]:
    """``drive 2 pegs``, ``turn in 1 bolt`` ..., in the order in which they go in."""
    own = [b.fasteners[n] for n in driven]
    homes = {link.joint: link.home for link in b.links}
    counts: dict[str, int] = {}
    for f in own:
        words = _DRIVING.get(f.kind)
        if words is not None:
            across = f.kind == "wedge" and abs(dot(f.drive, homes[f.joint])) < _SQUARE
            key = words + (" across" if across else "")
            counts[key] = counts.get(key, 0) + 1
    also = []
    for words in _ORDER:
        if words in counts:
            count, (verb, noun) = counts[words], words.split(" {} ")
            if count > 1:
                first, *rest = noun.split(" across")
                noun = "levelling feet" if first == _FOOT else f"{first}s"
                noun += " across" if rest else ""
            also.append(f"{verb} {count} {noun}")
    screws = [plain(f.name) for f in own if f.kind == "screw"]
    return [*also, f"put in {listed(screws)}"] if screws else also


def _join(b: Blocking, onto: int, moving: int, links: Sequence[Link], direction: Vec) -> str:
    single = [b.names(1 << i) for i in bits(moving)]
    one_group = all(len(n) == 1 for n in single) and any(
        link.interlocks for link in b.crossing(moving, moving)
    )
    subject = group_name(b, moving) if one_group or len(single) == 1 else ""
    if not subject:
        subject = listed([n for names in single for n in names])
    takers = [n for n in b.names(onto) if any(n in (x.first, x.second) for x in links)]
    target = listed(takers) if 0 < len(takers) <= 2 else group_name(b, onto)
    article = "the " if (len(b.names(moving)) > 1 and one_group) or "glued-up" in subject else ""
    there = "the " if len(takers) not in (1, 2) and onto & (onto - 1) else ""
    tenons = [x for x in links if x.interlocks]
    if not tenons:
        if not links:
            return f"Put {article}{subject} in place, {way(direction)}"
        if direction[2] < -0.5:
            return f"Lower {article}{subject} onto {there}{target}"
        if direction[2] > 0.5:
            return f"Put {article}{subject} up against {there}{target}"
        return f"Slide {article}{subject} in {way(direction)} over {there}{target}"
    enters = [bool(moving >> b.body[x.second] & 1) for x in tenons]
    if all(enters):
        return f"Put {article}{subject} into {there}{target}, {way(direction)}"
    if not any(enters):
        return f"Slide {article}{subject} onto {there}{target}, {way(direction)}"
    return f"Join {article}{subject} and {there}{target}, {way(direction)}"
