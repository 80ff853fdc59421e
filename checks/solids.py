"""Rules that measure the kernel's solids: sound, clear of each other, seated, as asked."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

from treenail.checks.gauge import fine, volume
from treenail.checks.rules import Context, Finding, rule
from treenail.joints.angled_tenon import AngledTenon
from treenail.joints.blocks import hull
from treenail.joints.cuts import MitredTip, Mortise, NotchedTip
from treenail.joints.drawbored import Drawbored
from treenail.joints.mortise_tenon import MortiseTenon
from treenail.joints.volumes import crescent_area
from treenail.timber.frames import dot, sub
from treenail.timber.member import Face

if TYPE_CHECKING:
    from treenail.checks.measured import JointMeasure, Measures
    from treenail.checks.survey import Box
    from treenail.generators.solids import BenchSolids
    from treenail.joints.drawbored import DrawBore
    from treenail.joints.lag_bolt import LagBolt
    from treenail.timber.member import Member

#: Shared volumes up to this are the kernel's noise, mm³.
NOISE = 1e-3
#: Intended overlaps may differ from their closed form by this share, or by ``NOISE``.
SHARE = 1e-3
#: Faces that should lie on each other, mm.
SEAT = 1e-6
#: Gaps and draw as measured may differ from what was asked by this, mm.
AS_ASKED = 1e-3


def _measures(context: Context) -> Measures:
    # Not at the top: a check of numbers alone must not pay for the measuring modules.
    from treenail.checks.measured import measures_of

    assert context.solids is not None
    return measures_of(context.solids)


# --- each solid by itself


@rule(
    "solid-volume",
    title="Volumes by closed form and by the kernel",
    why="A cut that went wrong leaves a solid that looks right and holds the wrong wood.",
    remedy="Tell the makers, with the spec: the program, not the spec, is at fault.",
    source="geometry",
    solids=True,
)
def _solid_volume(context: Context) -> Iterator[Finding]:
    assert context.solids is not None
    for name, what, measured, wanted in context.solids.problems():
        if what == "volume":
            yield Finding(
                rule="solid-volume",
                severity="error",
                message=(
                    f"{name}'s solid holds {volume(context, abs(measured - wanted))} "
                    f"{'more' if measured > wanted else 'less'} than the "
                    f"{volume(context, wanted)} of its sizes and cuts."
                ),
                member=name,
                measured=measured,
                limit=wanted,
                unit="mm3",
            )


@rule(
    "solid-sound",
    title="Every solid is one closed piece that nowhere cuts itself",
    why="Other programs refuse or misread a solid with faulty faces.",
    remedy="Tell the makers, with the spec: the program, not the spec, is at fault.",
    source="geometry",
    solids=True,
)
def _solid_sound(context: Context) -> Iterator[Finding]:
    assert context.solids is not None
    for name, what, _, _ in context.solids.problems():
        if what == "shape":
            yield Finding(
                rule="solid-sound",
                severity="error",
                message=f"{name}'s solid is faulty: the kernel finds that its faces don't close "
                "or cut each other.",
                member=name,
            )


# --- pairs


def peg_overlap(joint: Drawbored, peg: Member) -> float:
    """Volume in mm³ that a driven peg and the tenon share on paper: what the draw presses.

    The tenon's hole lies off the peg by the draw: the peg's crescent, through the tenon.
    """
    draw = joint.draw
    if draw is None:
        return 0.0
    at = dot(sub(peg.placement.origin, joint.mouth_point(0.0, 0.0)), joint.end_frame.x)
    volume = 0.0
    for cheeks in joint.cheeks_at(at):
        near, far = sorted(
            dot(sub(joint.mouth_point(0.0, y), peg.placement.origin), peg.placement.x)
            for y in cheeks
        )
        volume += _pressed_by(draw, peg, max(near, 0.0), min(far, peg.length))
    return volume


def leaves_tenon(joint: Drawbored, peg: Member) -> bool:
    """Whether a peg stands partly beyond the tenon's end, its tip's cut, or its edges.

    What it presses there is less than on paper; how much wood a peg needs, other rules say.
    """
    points = {p.name: at for p, at in zip(joint.pegs(), joint.peg_points, strict=True)}
    if peg.name not in points:
        return False
    x, setback = points[peg.name]
    r = peg.width / 2.0
    if not isinstance(joint, MortiseTenon):
        return any(_leaves(joint, cheeks, x, setback, r) for cheeks in joint.cheeks_at(x))
    tenon = joint.tenon
    tip, length = tenon.tip, tenon.length
    edge = tenon.rounding.radius if tenon.rounding is not None else 0.0
    if not any(a + edge <= x - r and x + r <= b - edge for a, b, _, _ in joint.tongues):
        return True
    if isinstance(tip, MitredTip):
        length -= max(tip.cut_back, tip.lead)
    elif isinstance(tip, NotchedTip):
        at_face_edge = tip.edge is Face.FACE_EDGE
        inner = tenon.x0 + tip.width if at_face_edge else tenon.x1 - tip.width
        aside = max(x - inner, 0.0) if at_face_edge else max(inner - x, 0.0)
        if math.hypot(aside, max(length - tip.length - setback, 0.0)) < r:
            return True
    return length - setback < r


def _leaves(
    joint: Drawbored, cheeks: tuple[float, float], x: float, setback: float, r: float
) -> bool:
    """Whether a peg at ``x`` leaves a leaning tenon anywhere along its cheeks."""
    low, high, _, _ = joint.section
    at = joint.end_frame.local_point(joint.mouth_point(x, joint.peg_level))[2] - setback
    tip = joint.tenon.tip if isinstance(joint, AngledTenon) else None
    ends = [0.0 if tip is None else tip.depth(x + s, y) for s in (-r, r) for y in cheeks]
    return x - r < low or x + r > high or at - r < max(ends)


def _pressed_by(draw: DrawBore, peg: Member, near: float, far: float) -> float:
    """The peg's wood outside the tenon's hole between two places along it, mm³."""
    from treenail.checks.turned import over_taper

    straight = peg.length - peg.tip_length
    body = max(min(far, straight) - near, 0.0)
    volume = body * crescent_area(draw.diameter, draw.offset)
    start = max(near, straight)
    if far > start:
        slope = (peg.tip_diameter - peg.width) / peg.tip_length / 2.0
        r0, r1 = (peg.width / 2.0 + slope * (z - straight) for z in (start, far))
        volume += over_taper(start, far, r0, r1, draw.diameter / 2.0, draw.offset, outside=True)
    return volume


def thread_overlap(bolt: LagBolt) -> float:
    """Volume in mm³ that a lag bolt's thread and point take beyond its pilot hole, on paper."""
    from treenail.timber.fasteners import lag_tip_length

    d, pilot = bolt.size.diameter, bolt.pilot
    tip = lag_tip_length(d)
    straight = max(bolt.embedment - tip, 0.0)
    volume = math.pi / 4.0 * max(d * d - pilot * pilot, 0.0) * straight
    start = d * min(1.0, bolt.embedment / tip)  # the point's width where it enters
    if start > pilot:
        height = tip / d * (start - pilot)
        frustum = math.pi / 12.0 * height * (start * start + start * pilot + pilot * pilot)
        volume += frustum - math.pi / 4.0 * pilot * pilot * height
    return volume


def intended(context: Context) -> dict[frozenset[str], tuple[str, float]]:
    """Overlaps that are meant: the two names, then (joint, closed-form volume in mm³)."""
    found: dict[frozenset[str], tuple[str, float]] = {}
    for every in context.bench.joints:
        for names, pressed in every.pressed().items():
            found[names] = (every.name, pressed)
    for joint in context.standing:
        if not isinstance(joint, Drawbored):
            continue
        for peg in joint.pegs():
            found[frozenset((joint.entering.name, peg.name))] = (
                joint.name,
                peg_overlap(joint, peg),
            )
    for bolt in context.bolts:
        for item in bolt.hardware():
            found[frozenset((bolt.top.name, item.name))] = (bolt.name, thread_overlap(bolt))
    return found


def _where(context: Context, box: Box | None) -> str:
    if box is None:
        return "unknown"
    x, y, z = ((a + b) / 2.0 for a, b in zip(*box, strict=True))
    return (
        f"{context.say(x)} from the left end, {context.say(y)} from the front, "
        f"{context.say(z)} above the floor"
    )


def _partly_outside(context: Context, name: str, pair: tuple[str, str]) -> bool:
    joint = next((j for j in context.standing if j.name == name), None)
    if not isinstance(joint, Drawbored):
        return False
    return any(leaves_tenon(joint, peg) for peg in joint.pegs() if peg.name in pair)


@rule(
    "parts-overlap",
    title="No two parts fill the same space",
    why="Only a drawn peg and a lag's thread press into wood; any other overlap won't assemble.",
    remedy="Move or shorten one of the two parts.",
    source="geometry",
    solids=True,
)
def _parts_overlap(context: Context) -> Iterator[Finding]:
    meant = intended(context)
    seen = set()
    for pair, shared in _measures(context).shared.items():
        seen.add(frozenset(pair))
        joint, wanted = meant.get(frozenset(pair), ("", 0.0))
        if abs(shared.volume - wanted) <= max(NOISE, SHARE * wanted):
            continue
        first, second = pair
        if joint and shared.volume < wanted and _partly_outside(context, joint, pair):
            continue
        if joint:
            message = (
                f"{first} and {second} share {volume(context, shared.volume)}; pressed into each "
                f"other as meant they would share {volume(context, wanted)}"
            )
            message += ": the hole is not whole." if shared.volume < wanted else "."
        else:
            message = (
                f"{first} and {second} fill the same space: "
                f"{volume(context, shared.volume)} around "
                f"{_where(context, shared.box)}."
            )
        yield Finding(
            rule="parts-overlap",
            severity="error",
            message=message,
            joint=joint,
            member=first,
            measured=shared.volume,
            limit=wanted,
            unit="mm3",
        )
    for names, (joint, wanted) in meant.items():
        if names not in seen and wanted > NOISE:
            first, second = sorted(names)
            yield Finding(
                rule="parts-overlap",
                severity="error",
                message=f"{first} and {second} should press into each other, but lie apart.",
                joint=joint,
                member=first,
                measured=0.0,
                limit=wanted,
                unit="mm3",
            )


@rule(
    "touches-nothing",
    title="Every part touches another",
    why="A part that touches nothing falls off.",
    remedy="Move it, or give it a joint.",
    source="geometry",
    solids=True,
)
def _touches_nothing(context: Context) -> Iterator[Finding]:
    for name in _measures(context).untouched:
        yield Finding(
            rule="touches-nothing",
            severity="error",
            message=f"{name} touches no other part.",
            member=name,
        )


# --- joints


def _each(context: Context) -> Iterator[tuple[MortiseTenon, JointMeasure]]:
    joints = _measures(context).joints
    for joint in context.tenons:
        yield joint, joints[joint.name]


@rule(
    "shoulder-seat",
    title="Shoulders seat on the mortised face",
    why="A shoulder that stands off, or bites in, leaves a joint that racks or won't close.",
    remedy="Make the stretcher's length between shoulders the distance between the posts.",
    source="geometry",
    solids=True,
)
def _shoulder_seat(context: Context) -> Iterator[Finding]:
    for joint, measure in _each(context):
        for side, gap in measure.shoulder_gaps.items():
            if gap is not None and abs(gap) <= SEAT:
                continue
            if gap is None:
                told = "is not to be found on the solids, or meets no face"
            elif gap > 0.0:
                told = f"stands {context.say(gap)} off {joint.receiver.name}"
            else:
                told = f"bites {context.say(-gap)} into {joint.receiver.name}"
            yield Finding(
                rule="shoulder-seat",
                severity="error",
                message=f"{joint.name}: {joint.entering.name}'s shoulder at the {side} {told}.",
                joint=joint.name,
                member=joint.entering.name,
                face=side,
                measured=gap,
                limit=0.0,
            )


#: What ``asked_of`` calls the room beyond a blind tenon.
BOTTOM = "gap at the bottom"


def asked_of(joint: MortiseTenon) -> list[tuple[str, str, float]]:
    """What was asked of a joint: (what, on which face, mm), in the order of ``measured_of``."""
    fit = joint.fit
    wanted = [
        ("cheek gap", "face side", fit.cheek.mid / 2.0),
        ("cheek gap", "back side", fit.cheek.mid / 2.0),
        ("edge gap", "face edge", fit.edge.mid / 2.0),
        ("edge gap", "back edge", fit.edge.mid / 2.0),
    ]
    if not joint.through:
        lead = joint.tip.lead if isinstance(joint.tip, MitredTip) else 0.0
        wanted.append((BOTTOM, "", fit.bottom.mid + lead))
    if joint.draw:
        for i in range(joint.draw.count):
            wanted.append((f"draw of peg {i + 1}", "", joint.draw.offset))
            wanted.append((f"sideways miss of peg hole {i + 1}", "", 0.0))
    return wanted


def measured_of(joint: MortiseTenon, measure: JointMeasure) -> list[float | None]:
    """What was measured, in the order of ``asked_of``."""
    found = [*measure.cheek_gaps, *measure.edge_gaps]
    if not joint.through:
        found.append(measure.bottom_gap)
    for offset, aside in zip(measure.draw_offsets, measure.draw_asides, strict=True):
        found += [offset, aside]
    return found


def _opens_into_another(context: Context, joint: MortiseTenon) -> bool:
    """Whether a mortise's bottom lies in another one, so that there is no floor to measure."""
    from treenail.checks.survey import common_box

    def hollow(cut: Mortise, depths: tuple[float, ...]) -> Box:
        half_l, half_w = cut.length / 2.0, cut.width / 2.0
        corners = ((x, y, z) for x in (-half_l, half_l) for y in (-half_w, half_w) for z in depths)
        return hull([cut.frame.point(corner) for corner in corners])

    return any(
        common_box(hollow(own, (own.depth,)), hollow(pocket, (0.0, pocket.depth)))
        for other in context.tenons
        if other is not joint and other.receiver.name == joint.receiver.name
        for own in joint.mortises
        for pocket in other.mortises
    )


@rule(
    "measured-fit",
    title="Gaps and draw on the solids are those asked for",
    why="The files are made from the solids: what they hold is what will be cut.",
    remedy="Tell the makers, with the spec: the program, not the spec, is at fault.",
    source="geometry",
    solids=True,
)
def _measured_fit(context: Context) -> Iterator[Finding]:
    for joint, measure in _each(context):
        found = measured_of(joint, measure)
        for (what, face, wanted), got in zip(asked_of(joint), found, strict=True):
            if got is not None and abs(got - wanted) <= AS_ASKED:
                continue
            if got is None and what == BOTTOM and _opens_into_another(context, joint):
                continue
            told = "is not to be found on the solids" if got is None else f"is {fine(context, got)}"
            at = f" at the {face}" if face else ""
            yield Finding(
                rule="measured-fit",
                severity="error",
                message=f"{joint.name}: the {what}{at} {told}, "
                f"{fine(context, wanted)} was asked for.",
                joint=joint.name,
                member=joint.entering.name,
                face=face,
                measured=got,
                limit=wanted,
            )


def solid_findings(solids: BenchSolids) -> list[Finding]:
    """Errors that the measuring rules find on solids, such as those read back from a file."""
    context = Context(bench=solids.bench, solids=solids)
    checks = (_parts_overlap, _touches_nothing, _shoulder_seat, _measured_fit)
    return [f for check in checks for f in check(context) if f.severity == "error"]
