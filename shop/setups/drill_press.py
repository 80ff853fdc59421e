"""The drill press: bit, fence, depth; and the drawbore's offset, both figures from the shoulder."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from treenail.checks.gauge import PegHole, peg_holes
from treenail.checks.making import BIT_SLACK, MEET
from treenail.checks.shop_machines import Machines
from treenail.joints.cuts import Bore, Slot
from treenail.joints.drawbored import Drawbored
from treenail.shop.setups.aslant import LEVEL, lean_settings
from treenail.shop.setups.lay import across, distance_from, lies, near_end_left, reference_beside
from treenail.shop.setups.model import CutAt, Option, Setting, Task
from treenail.shop.setups.work import Job, Work, tilt
from treenail.timber.frames import snap
from treenail.timber.member import Face

__all__ = ["CAUTIONS", "Bit", "bits_for", "tasks"]

_SAME = 1e-6
#: Slack where a hole's purpose names none, mm; as in treenail.checks.making.
_ANY = (0.15, 0.15)
#: What boring from two faces counts against a bit, and a bit's distance from the hole per mm.
_TURNING, _PER_MM = 5.0, 1.0

CAUTIONS = (
    "A scrap below keeps the far side whole and the bit out of the table.",
    "Long pieces on a stand at the table's height, or they tip as they leave the table.",
)


@dataclass(frozen=True, slots=True)
class Bit:
    """A bit on hand.

    Attributes:
        diameter, reach: mm.
        kind: ``""``, ``long`` or ``flat-bottomed``.
    """

    diameter: float
    reach: float
    kind: str


def bits_for(cut: Bore | Slot, shop: Machines) -> list[Bit]:
    """The bits on hand that make a hole (or begin a slot), by the slack of its purpose."""
    d = shop.drill_press
    flat = [Bit(x, d.flat_reach, "flat-bottomed") for x in d.flat_bits]
    if cut.purpose == "counterbore":  # a washer wants a flat seat
        every = flat
    else:
        every = [
            *(Bit(x, d.reach, "") for x in d.bits),
            *(Bit(x, d.long_reach, "long") for x in d.long_bits),
            *flat,
        ]
    wanted = cut.diameter if isinstance(cut, Bore) else cut.width
    under, over = BIT_SLACK.get(cut.purpose, _ANY)
    near = [b for b in every if wanted - under - _SAME <= b.diameter <= wanted + over + _SAME]
    whole = [b for b in near if b.reach >= cut.depth - _SAME]
    if whole:
        return whole
    return [b for b in near if cut.through and 2 * b.reach - MEET >= cut.depth - _SAME]


def tasks(work: Work) -> list[Task]:
    """Every hole, and every slot that begins as a row of holes."""
    found: list[Task] = []
    holes: dict[str, list[PegHole]] = {}
    for job in work.by("drill_press"):
        cut = job.cut
        if not isinstance(cut, Bore | Slot):
            continue  # a mortise bored and chopped is on the hand tools' sheet
        joint = work.pegged_joint(cut)
        if cut.purpose == "peg hole" and joint is not None and isinstance(cut, Bore):
            mine = holes.setdefault(joint.name, peg_holes(work.bench, joint))
            if job.member.name == joint.entering.name:
                found += _in_tenon(work, job, cut, joint, mine)
                continue
            beside = joint.receiver_face
        else:
            beside = reference_beside(cut.face)
        found += _tasks(work, job, cut, beside)
    return found


def _bit_setting(bit: Bit) -> Setting:
    return Setting(name="bit", value=bit.diameter, text=bit.kind, measured_from="diameter")


def _depth(depth: float, *, through: bool) -> Setting:
    if through:
        return Setting(
            name="depth",
            text="through, into a scrap below",
            measured_from="upper face of the piece to the bit's full diameter",
        )
    return Setting(
        name="depth",
        value=depth,
        measured_from="upper face of the piece to the bit's full diameter",
    )


def _in_tenon(
    work: Work, job: Job, cut: Bore, joint: Drawbored, holes: Sequence[PegHole]
) -> list[Task]:
    """A tenon's peg hole: bored to the mark pricked through the real post, not to a fence."""
    hole = next((h for h in holes if h.tenon == cut), None)
    marks: tuple[tuple[str, float], ...] = ()
    if hole is not None:
        marks = (
            ("shoulder to the tenon's hole", snap(hole.tenon_setback)),
            ("shoulder to the post's hole", snap(hole.setback)),
            ("draw", snap(hole.draw)),
            ("tenon's face edge to the hole", snap(hole.x - joint.section[0])),
        )
    options = tuple(
        Option(
            settings=(
                _bit_setting(bit),
                *tilt(cut),
                Setting(
                    name="fence",
                    text="none: to the pricked mark",
                    measured_from="the mark pressed through the post's hole, moved toward the "
                    "shoulder by the draw",
                ),
                _depth(cut.depth, through=True),
            ),
            cut=CutAt(
                member=job.member.name,
                joint=cut.joint,
                purpose="peg hole in the tenon",
                face=str(cut.face),
                how=f"{cut.face} up, {joint.end} under the bit",
            ),
            marks=marks,
            cost=_PER_MM * abs(bit.diameter - cut.diameter),
        )
        for bit in bits_for(cut, work.machines)
    )
    if not options:
        return []
    return [
        Task(
            options=options,
            work="peg holes in tenons",
            stage=2,
            test_cut="Bore one in a scrap and drive a tapered peg through it by hand to its "
            "shoulder: it must start easily and bind at full diameter.",
            steps=(
                (
                    "After the tenon fits its own mortise: put it home dry, press the bit's point "
                    "through the post's hole, take it out, prick the mark nearer the shoulder by "
                    "the draw, bore there."
                ),
            ),
            remarks=("A scrap of the shoulder's depth under the tenon's cheek holds it level.",),
        )
    ]


def _tasks(work: Work, job: Job, cut: Bore | Slot, beside: Face) -> list[Task]:
    member = job.member
    end = cut.face.is_end
    middle = 0.0 if end else distance_from(member, cut, beside)
    sideways = isinstance(cut, Slot) and across(cut)
    half = cut.centres / 2 if isinstance(cut, Slot) else 0.0
    offsets = (-half, half) if sideways else (0.0,)
    rows = (-half, half) if half and not sideways else (0.0,)
    bits = bits_for(cut, work.machines)
    two_sided = bool(bits) and bits[0].reach < cut.depth - _SAME
    faces = (cut.face, cut.face.opposite) if two_sided else (cut.face,)
    found = []
    for up in faces:
        for offset in offsets:
            for row in rows:
                options = []
                for bit in bits:
                    ways = [(beside, middle + offset, 0.0)]
                    if sideways and abs(middle - member.extent(beside) / 2) < _SAME:
                        ways.append((beside.opposite, middle - offset, 0.5))
                    cost = _PER_MM * abs(
                        bit.diameter - (cut.diameter if isinstance(cut, Bore) else cut.width)
                    )
                    options += [
                        _option(job, cut, bit, _Way(up, face, snap(at), row, two_sided), cost + c)
                        for face, at, c in ways
                    ]
                if options:
                    found.append(_task(cut, tuple(options), two_sided=two_sided))
    return found


@dataclass(frozen=True, slots=True)
class _Way:
    up: Face
    fence: Face
    at: float
    row: float
    two_sided: bool


def _option(job: Job, cut: Bore | Slot, bit: Bit, way: _Way, cost: float) -> Option:
    member = job.member
    if cut.face.is_end:
        fence = Setting(name="fence", text="none: to the mark on the end", measured_from="")
        stop, stop_from, how = None, "", f"{cut.face} up, held upright"
    else:
        fence = Setting(
            name="fence",
            value=way.at,
            measured_from="fence to the middle of the bit: the hole's centre from the face "
            "against the fence",
        )
        side = "left" if near_end_left(way.up, way.fence) else "right"
        stop = snap(cut.frame.origin[0] + way.row)
        stop_from = f"near end ({side}) to the hole's centre"
        how = lies(way.up, way.fence)
    deep = member.extent(cut.face) / 2 + MEET / 2 if way.two_sided else cut.depth
    return Option(
        settings=(
            _bit_setting(bit),
            *lean_settings(cut, member),
            fence,
            _depth(deep, through=cut.through and not way.two_sided),
        ),
        cut=CutAt(
            member=member.name,
            joint=cut.joint,
            purpose=cut.purpose,
            face=str(way.up),
            how=how,
        ),
        stop=stop,
        stop_from=stop_from,
        cost=cost,
    )


def _task(cut: Bore | Slot, options: tuple[Option, ...], *, two_sided: bool) -> Task:
    remarks = []
    if two_sided:
        remarks.append("Longer than the bit: from both faces, the same face to the fence.")
    if cut.tilt > LEVEL:
        remarks.append(
            "The hole leans: the table tilted, or the piece on a ramp, by the resultant along the "
            "sight line; fence and stop say where the bit's point goes in. Start it with a short "
            "bit or in a notch, or it wanders."
        )
    elif cut.purpose == "peg hole":
        remarks.append(
            "The mortised face goes to the fence: the fence is then the peg's distance from the "
            "shoulder, whatever the post's own width. A scrap that fills the mortise keeps its "
            "walls from splitting out."
        )
    if cut.purpose == "treenail hole":
        remarks.append(
            "Only in the piece in front, if both can't come under the bit: put it in its place, "
            "clamp it, and bore on through its holes into the piece behind."
        )
    if cut.purpose == "counterbore":
        remarks.append("Before the bolt's hole, while there is still wood for the bit's point.")
    if isinstance(cut, Slot):
        remarks.append(
            "Slots begin as holes at both ends; the wood between is bored out, then pared. Holes "
            "that overlap need a bit that doesn't follow the first one."
        )
    return Task(
        options=options,
        work=f"{cut.purpose}s",
        stage=0 if cut.purpose == "counterbore" else 1,
        test_cut="One hole in a scrap of the same section: measure from the face that was at the "
        "fence to both sides of the hole, and take the middle.",
        steps=("Every piece and every stop of this setting before the bit or the fence changes.",),
        remarks=tuple(remarks),
    )
