"""Shoulders: that they exist, seat without a gap, and land on the post."""

from __future__ import annotations

from collections.abc import Iterator

from treenail.checks.gauge import INCH, SAME, fine, tenon_of
from treenail.checks.rules import Context, Finding, Severity, TunableLimit, rule
from treenail.timber.frames import dot, sub

#: A shoulder thinner than this crumbles, mm (common practice: 1/8 in).
THIN_SHOULDER = INCH / 8


@rule(
    "shoulder-line",
    title="Shoulders seat on the post",
    why="Shoulders that meet the post without a gap square the frame and take the load.",
    remedy="Cut the shoulder line where the post's face comes.",
    source="geometry",
)
def shoulder_seat(context: Context) -> Iterator[Finding]:
    """The shoulder plane, as cut, lies in the receiver's face."""
    for joint in context.tenons:
        tenon = tenon_of(context.bench, joint)
        if tenon is None:
            continue
        face = joint.receiver.placement.place(joint.receiver.face_frame(joint.receiver_face))
        shoulder = joint.entering.placement.point(tenon.frame.point((0.0, 0.0, tenon.length)))
        gap = -dot(sub(shoulder, face.origin), face.z)
        if abs(gap) > SAME:
            way = "stands off the post" if gap > 0.0 else "runs into the post"
            yield Finding(
                rule="shoulder-line",
                severity="error",
                message=f"The shoulder {way} by {fine(context, abs(gap))}.",
                joint=joint.name,
                member=joint.entering.name,
                face=str(joint.end),
                measured=gap,
                limit=0.0,
                remedy=f"Move the shoulder line {fine(context, abs(gap))} "
                f"{'toward' if gap > 0.0 else 'away from'} the tenon's end.",
            )


@rule(
    "no-shoulder",
    title="Tenon has a shoulder",
    why="Pegs draw a joint against its shoulders; without one nothing stops or squares the rail.",
    remedy="Leave a shoulder on both cheeks.",
    source="geometry",
)
def no_shoulder(context: Context) -> Iterator[Finding]:
    """At least one of the four must be there."""
    for joint in context.tenons:
        s = joint.shoulders
        if max(s.face_side, s.back_side, s.face_edge, s.back_edge) <= SAME:
            yield Finding(
                rule="no-shoulder",
                severity="error",
                message="The tenon has no shoulder: nothing stops the rail, and pegs have "
                "nothing to draw it against.",
                joint=joint.name,
                member=joint.entering.name,
                face=str(joint.end),
                measured=0.0,
                limit=THIN_SHOULDER,
                remedy=f"Make the tenon {context.say(2 * THIN_SHOULDER)} thinner than the rail, "
                f"which leaves {context.say(THIN_SHOULDER)} on each cheek.",
            )


@rule(
    "shoulders",
    title="Shoulders are stout enough",
    why="Shoulders on both cheeks square the rail and hide the mortise; thin ones crumble.",
    remedy="Leave 1/8 in or more on both cheeks.",
    source="common practice: 1/8 in at least",
    limit=TunableLimit(
        default=THIN_SHOULDER, low=0.5, high=20.0, unit="mm", what="thinnest shoulder"
    ),
)
def shoulders(context: Context) -> Iterator[Finding]:
    """None on the cheeks is a warning; one missing, or a thin one, advice."""
    want = context.limit("shoulders")
    for joint in context.tenons:
        s = joint.shoulders
        cheeks, edges = (s.face_side, s.back_side), (s.face_edge, s.back_edge)
        thin = [x for x in (*cheeks, *edges) if SAME < x < want - SAME]
        if max(*cheeks, *edges) <= SAME:
            continue
        said: list[tuple[Severity, str, float]] = []
        if max(cheeks) <= SAME:
            text = "The tenon is as thick as the rail: only its edges have shoulders."
            said.append(("warning", text, 0.0))
        elif min(cheeks) <= SAME:
            text = "The tenon is bare-faced: one cheek has no shoulder to hide the mortise."
            said.append(("advice", text, 0.0))
        if thin:
            text = f"A shoulder is only {context.say(min(thin))} wide and may crumble."
            said.append(("advice", text, min(thin)))
        for severity, message, measured in said:
            yield Finding(
                rule="shoulders",
                severity=severity,
                message=message,
                joint=joint.name,
                member=joint.entering.name,
                face=str(joint.end),
                measured=measured,
                limit=want,
                remedy=f"Leave {context.say(want)} at least on each cheek.",
            )


@rule(
    "shoulder-on-face",
    title="Shoulders land on the post",
    why="Where the rail is wider than the post's face, the shoulder hangs in the air.",
    remedy="Set the rail in, or use a narrower rail.",
    source="our own choice",
)
def shoulder_on_face(context: Context) -> Iterator[Finding]:
    """The rail's section at the shoulder lies on the receiver's face."""
    for joint in context.tenons:
        face = joint.receiver.face_frame(joint.receiver_face)
        size = joint.receiver.face_size(joint.receiver_face)
        over = 0.0
        for x in (0.0, joint.entering.width):
            for y in (0.0, joint.entering.thickness):
                at = face.local_point(joint.receiver.placement.local_point(joint.mouth_point(x, y)))
                over = max(over, -at[0], -at[1], at[0] - size[0], at[1] - size[1])
        if over > SAME:
            yield Finding(
                rule="shoulder-on-face",
                severity="advice",
                message=f"{joint.entering.name} stands {context.say(over)} over the edge of "
                f"{joint.receiver.name}.",
                joint=joint.name,
                member=joint.entering.name,
                face=str(joint.receiver_face),
                measured=over,
                limit=0.0,
                remedy=f"Move {joint.entering.name} {context.say(over)} in.",
            )
