"""Fits: how a tenon sits in its mortise."""

from __future__ import annotations

from collections.abc import Iterator

from treenail.checks.gauge import SAME, fine, mortise_of, tenon_of, tongues_of
from treenail.checks.rules import Context, Finding, rule
from treenail.joints.cuts import Mortise, TenonEnd
from treenail.joints.fits import FITS, TOOL_SIZES, Limits
from treenail.joints.mortise_tenon import MortiseTenon
from treenail.timber.frames import along, dot, scale, sub
from treenail.timber.member import Face

#: Common metric chisels and cutters, mm (common practice).
METRIC_TOOLS = (6.0, 8.0, 10.0, 12.0, 14.0, 15.0, 16.0, 18.0, 20.0, 22.0, 24.0, 25.0, 26.0, 30.0)
#: How far a tenon may be off a tool's size and still be called that size, mm (our own choice).
TOOL_SLACK = 0.2

_NAMED_FIT = "the named fit's limits in joints/fits.py: common practice or our own choice"


def _outside(limits: Limits, value: float) -> bool:
    return not limits.low - SAME <= value <= limits.high + SAME


def _clearance(
    context: Context, joint: MortiseTenon, code: str, limits: Limits, value: float, sides: str
) -> Finding | None:
    if value < -SAME or not _outside(limits, value):  # negative: tenon-enters says so
        return None
    low, high = fine(context, limits.low), fine(context, limits.high)
    off = limits.mid - value
    way = "wider" if off > 0.0 else "narrower"
    return Finding(
        rule=code,
        severity="error",
        message=f"The {sides} have {fine(context, value)} of play in total; a "
        f"{joint.fit.name} fit has {low} to {high}.",
        joint=joint.name,
        member=joint.receiver.name,
        face=str(joint.receiver_face),
        measured=value,
        limit=limits.low if value < limits.low else limits.high,
        remedy=f"Cut the mortise {fine(context, abs(off))} {way}, or name the fit that is meant.",
    )


@rule(
    "cheek-clearance",
    title="Tenon's cheeks fit their mortise",
    why="Too tight splits the post or scrapes off the glue; too loose leaves the pegs to hold all.",
    remedy="Cut the mortise to the named fit, or name another fit.",
    source=_NAMED_FIT,
)
def cheek_clearance(context: Context) -> Iterator[Finding]:
    """The mortise's width less the tenon's thickness, against the fit of that name."""
    for joint in context.tenons:
        for tenon, mortise in tongues_of(context.bench, joint):
            limits = FITS.get(joint.fit.name, joint.fit).cheek
            value = mortise.width - (tenon.y1 - tenon.y0)
            found = _clearance(context, joint, "cheek-clearance", limits, value, "cheeks")
            if found:
                yield found


@rule(
    "edge-clearance",
    title="Tenon's edges fit their mortise",
    why="The edges bear on end grain and hold no glue; a little play lets the shoulders line up.",
    remedy="Cut the mortise to the named fit, or name another fit.",
    source=_NAMED_FIT,
)
def edge_clearance(context: Context) -> Iterator[Finding]:
    """The mortise's length less the tenon's width, against the fit of that name."""
    for joint in context.tenons:
        for tenon, mortise in tongues_of(context.bench, joint):
            limits = FITS.get(joint.fit.name, joint.fit).edge
            value = mortise.length - (tenon.x1 - tenon.x0)
            found = _clearance(context, joint, "edge-clearance", limits, value, "edges")
            if found:
                yield found


@rule(
    "tenon-enters",
    title="Tenon goes into its mortise",
    why="A tenon wider than its mortise, or beside it, does not go in.",
    remedy="Lay out the mortise from the reference faces again.",
    source="geometry",
)
def tenon_enters(context: Context) -> Iterator[Finding]:
    """Play left on the tighter side of cheeks and edges must not be negative."""
    for joint in context.tenons:
        mortise, tenon = mortise_of(context.bench, joint), tenon_of(context.bench, joint)
        if not mortise or not tenon:
            member, cut = (joint.entering, "tenon") if mortise else (joint.receiver, "mortise")
            yield Finding(
                rule="tenon-enters",
                severity="error",
                message=f"{member.name} has no {cut} for this joint.",
                joint=joint.name,
                member=member.name,
            )
            continue
        for tongue, pocket in tongues_of(context.bench, joint):
            yield from _enters(context, joint, tongue, pocket)


def _enters(
    context: Context, joint: MortiseTenon, tenon: TenonEnd, mortise: Mortise
) -> Iterator[Finding]:
    centre = joint.mouth_point((tenon.x0 + tenon.x1) / 2, (tenon.y0 + tenon.y1) / 2)
    off = sub(joint.receiver.placement.point(mortise.frame.origin), centre)
    for what, axis, room in (
        ("edges", joint.end_frame.x, mortise.length - (tenon.x1 - tenon.x0)),
        ("cheeks", joint.end_frame.y, mortise.width - (tenon.y1 - tenon.y0)),
    ):
        aside = abs(dot(off, axis))
        play = room / 2 - aside
        if play >= -SAME:
            continue
        if room < -SAME:
            state = f"the tenon is {fine(context, -room)} larger than its mortise"
            remedy = f"Cut the mortise {fine(context, -room)} larger and the fit's play more."
        else:
            state = (
                f"the mortise lies {fine(context, aside)} off its tenon, which has "
                f"{fine(context, room / 2)} of play on a side"
            )
            remedy = f"Move the mortise {fine(context, aside)} across."
        yield Finding(
            rule="tenon-enters",
            severity="error",
            message=f"Across the {what} {state}.",
            joint=joint.name,
            member=joint.receiver.name,
            face=str(mortise.face),
            measured=play,
            limit=0.0,
            remedy=remedy,
        )


def _bottoms(context: Context) -> Iterator[tuple[MortiseTenon, str, Mortise, float]]:
    """(joint, ``tenon`` or ``haunch``, its pocket, the gap under it) of each blind stub."""
    for joint in context.tenons:
        tenon = tenon_of(context.bench, joint)
        if tenon is None:
            continue
        stubs = [] if joint.through else [("tenon", "mortise", tenon.length)]
        if tenon.haunch:
            stubs.append(("haunch", "haunch socket", tenon.haunch.length))
        for stub, pocket, length in stubs:
            cut = mortise_of(context.bench, joint, pocket)
            if cut is not None:
                yield joint, stub, cut, cut.depth - length


@rule(
    "tenon-bottoms",
    title="Tenon stops at its shoulder, not at the bottom",
    why="A tenon that bottoms holds its shoulders open, whatever the pegs pull.",
    remedy="Chop the mortise deeper or shorten the tenon.",
    source="geometry",
)
def tenon_bottoms(context: Context) -> Iterator[Finding]:
    """Blind tenons and haunches must end before their pockets do."""
    for joint, stub, cut, gap in _bottoms(context):
        if gap > SAME:
            continue
        deeper = FITS.get(joint.fit.name, joint.fit).bottom.mid - gap
        yield Finding(
            rule="tenon-bottoms",
            severity="error",
            message=f"The {stub} bottoms {context.say(-gap)} before the shoulder closes.",
            joint=joint.name,
            member=joint.receiver.name,
            face=str(cut.face),
            measured=gap,
            limit=0.0,
            remedy=f"Cut the {cut.purpose} {context.say(deeper)} deeper.",
        )


@rule(
    "tenon-bottom-gap",
    title="Gap under a blind tenon",
    why="Glue and chips need room under a tenon; too deep a mortise weakens the post for nothing.",
    remedy="Cut the mortise to the fit's depth.",
    source=_NAMED_FIT + "; 1/16 to 1/8 in is common practice",
)
def tenon_bottom_gap(context: Context) -> Iterator[Finding]:
    """The gap under a blind tenon or a haunch against the named fit's limits."""
    for joint, stub, cut, gap in _bottoms(context):
        limits = FITS.get(joint.fit.name, joint.fit).bottom
        if gap <= SAME or not _outside(limits, gap):
            continue
        deeper = limits.mid - gap
        yield Finding(
            rule="tenon-bottom-gap",
            severity="error",
            message=f"Under the {stub} there is {context.say(gap)} of room; the fit wants "
            f"{context.say(limits.low)} to {context.say(limits.high)}.",
            joint=joint.name,
            member=joint.receiver.name,
            face=str(cut.face),
            measured=gap,
            limit=limits.low if gap < limits.low else limits.high,
            remedy=f"Cut the {cut.purpose} {context.say(abs(deeper))} "
            f"{'deeper' if deeper > 0.0 else 'less deep'}.",
        )


@rule(
    "through-tenon-reach",
    title="Through tenon comes out",
    why="A through tenon is trimmed flush or shown; one that ends inside shows a hole.",
    remedy="Lengthen the tenon, or make it blind.",
    source="geometry",
)
def through_tenon_reach(context: Context) -> Iterator[Finding]:
    """A through tenon must reach the far face."""
    for joint in context.tenons:
        if joint.through and joint.proud < -SAME:
            yield Finding(
                rule="through-tenon-reach",
                severity="warning",
                message=f"The through tenon ends {context.say(-joint.proud)} below the far face "
                f"of {joint.receiver.name}.",
                joint=joint.name,
                member=joint.entering.name,
                face=str(joint.receiver_face.opposite),
                measured=joint.proud,
                limit=0.0,
                remedy=f"Make the tenon {context.say(-joint.proud)} longer, or blind.",
            )


def _single_thickness(joint: MortiseTenon) -> float:
    """Of the thinnest of its tenons, mm."""
    return min(y1 - y0 for _, _, y0, y1 in joint.tongues)


@rule(
    "tenon-proportion",
    title="Tenon's thickness and the stock's",
    why="A thin tenon shears off; a thick one leaves thin mortise walls.",
    remedy="Take about a third of the post's thickness, rounded to a tool.",
    source="common practice: about one third",
)
def tenon_proportion(context: Context) -> Iterator[Finding]:
    """Between a quarter of the rail and half of the post; a haunch up to half the tenon."""
    for joint in context.tenons:
        post = joint.receiver.extent(joint.receiver.face_towards(joint.end_frame.y))
        least, most = joint.entering.thickness / 4, post / 2
        t = _single_thickness(joint)
        # Twin tenons share what one would bear.
        abreast = len({(y0, y1) for _, _, y0, y1 in joint.tongues})
        if t * abreast < least - SAME or t > most + SAME:
            thin = t * abreast < least
            limit = least if thin else most
            yield Finding(
                rule="tenon-proportion",
                severity="advice",
                message=f"The tenon is {context.say(t)} thick: "
                + (
                    f"less than a quarter of the rail's {context.say(joint.entering.thickness)}."
                    if thin
                    else f"more than half of the post's {context.say(post)}."
                ),
                joint=joint.name,
                member=joint.entering.name,
                measured=t,
                limit=limit,
                remedy=f"Make it about {context.say(post / 3)}, a third of the post.",
            )
        if joint.haunch and joint.haunch.width > joint.width / 2 + SAME:
            yield Finding(
                rule="tenon-proportion",
                severity="advice",
                message=f"The haunch is {context.say(joint.haunch.width)} wide, more than half "
                f"of the tenon's {context.say(joint.width)}.",
                joint=joint.name,
                member=joint.entering.name,
                measured=joint.haunch.width,
                limit=joint.width / 2,
                remedy=f"Make it about {context.say(joint.width / 3)}, a third of the tenon.",
            )


@rule(
    "tool-size",
    title="Mortise as wide as a tool",
    why="A mortise as wide as a chisel or cutter is cut in one setting.",
    remedy="Round the tenon's thickness to a chisel or cutter that the shop has.",
    source="common practice: inch and metric chisel and cutter sizes",
)
def tool_size(context: Context) -> Iterator[Finding]:
    """The tenon's thickness against common tools; wider than all of them takes two passes."""
    sizes = (*TOOL_SIZES, *METRIC_TOOLS)
    for joint in context.tenons:
        t = _single_thickness(joint)
        if t > max(sizes) or min(abs(size - t) for size in sizes) <= TOOL_SLACK:
            continue
        own = TOOL_SIZES if context.bench.units == "in" else METRIC_TOOLS
        near = min(own, key=lambda size: abs(size - t))
        yield Finding(
            rule="tool-size",
            severity="advice",
            message=f"The tenon is {context.say(t)} thick; no common chisel or cutter is.",
            joint=joint.name,
            member=joint.entering.name,
            measured=t,
            limit=near,
            remedy=f"Make it {context.say(near)}, the nearest tool.",
        )


@rule(
    "haunch-room",
    title="Haunch fits its socket",
    why="A haunch that is longer than its socket is wide keeps the joint open.",
    remedy="Cut the socket to the haunch's width and a little over.",
    source="geometry",
)
def haunch_room(context: Context) -> Iterator[Finding]:
    """Across the tenon's width, the socket must hold the haunch."""
    for joint in context.tenons:
        tenon = tenon_of(context.bench, joint)
        if tenon is None or tenon.haunch is None:
            continue
        socket = mortise_of(context.bench, joint, "haunch socket")
        h = tenon.haunch
        edge = tenon.x0 if h.edge is Face.FACE_EDGE else tenon.x1
        out = -1.0 if h.edge is Face.FACE_EDGE else 1.0
        shoulder = tenon.x0 if h.edge is Face.FACE_EDGE else joint.entering.width - tenon.x1
        tip = joint.mouth_point(edge + out * min(h.width, shoulder), 0.0)
        room = -min(h.width, shoulder)
        if socket is not None:
            axis = scale(joint.end_frame.x, out)
            middle = joint.receiver.placement.point(socket.frame.origin)
            room = dot(sub(along(middle, axis, socket.length / 2), tip), axis)
        if room < -SAME:
            yield Finding(
                rule="haunch-room",
                severity="error",
                message=f"The haunch is {context.say(-room)} wider than its socket.",
                joint=joint.name,
                member=joint.receiver.name,
                face=str(joint.receiver_face),
                measured=room,
                limit=0.0,
                remedy=f"Make the haunch {context.say(-room)} narrower, or the socket longer.",
            )
