"""Benches broken in ways that no spec can express: numbers spoilt in Python, solids exchanged.

Every bench is the frame bench in inches, unless said otherwise, with one thing wrong.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

from tests.checks.assembly.benches import PEGS, bar, group, ladder, pinwheel
from tests.checks.benches import (
    ASH,
    corner,
    edit,
    frame,
    pegs,
    section,
    tee,
    with_cut,
    with_draw,
    with_joint,
)
from treenail.checks.rules import Severity
from treenail.generators.bench import Bench, Seasons
from treenail.generators.frame_spec import Moisture, Pegs
from treenail.generators.parts import slab
from treenail.joints.cuts import Bore, Haunch, Mortise
from treenail.joints.features import Bearing, EdgeGlue
from treenail.joints.fits import get_fit
from treenail.joints.lag_bolt import LagBolt
from treenail.joints.mortise_tenon import DrawBore, MortiseTenon
from treenail.timber.frames import Vec
from treenail.timber.member import Face

INCH = 25.4
LOW, HIGH = "lower_front_at_left", "upper_front_at_left"
FRONT_BOLT, BACK_BOLT = "upper_front_2", "upper_back_2"
DOGS = "dog_holes_1"
LOW_FRONT = "stretcher_lower_front"
NO_PEGS = {"pegs": Pegs(per_joint=0)}


@dataclass(frozen=True)
class Case:
    """One broken bench.

    Attributes:
        name: what is broken, as a file's name would say it.
        rule: the rule made for it.
        severity: of its finding.
        make: makes the bench.
        also: other rules that can't but find an error as well, and why, in a comment beside.
    """

    name: str
    rule: str
    severity: Severity
    make: Callable[[], Bench]
    also: frozenset[str] = frozenset()


def error(name: str, rule: str, make: Callable[[], Bench], *also: str) -> Case:
    """A case whose finding is an error."""
    return Case(name, rule, "error", make, frozenset(also))


def warning(name: str, rule: str, make: Callable[[], Bench]) -> Case:
    """A case whose finding is a warning."""
    return Case(name, rule, "warning", make)


def advice(name: str, rule: str, make: Callable[[], Bench]) -> Case:
    """A case whose finding is advice."""
    return Case(name, rule, "advice", make)


# --- what is done to the usual bench


def bolt(name: str) -> LagBolt:
    joint = next(j for j in frame().joints if j.name == name)
    assert isinstance(joint, LagBolt)
    return joint


def mortise(**changes: Any) -> Bench:
    return with_cut(frame(), LOW, "mortise", edit(**changes))


def mortise_moved(by: Vec) -> Bench:
    def change(cut: Mortise) -> Mortise:
        return replace(cut, frame=cut.frame.shifted(by))

    return with_cut(frame(), LOW, "mortise", change)


def hole_moved(by: Vec, *, member: str = "stretcher_lower_front") -> Bench:
    """Peg holes of one joint bored elsewhere in one member; ``by`` in the member's directions."""

    def change(cut: Bore) -> Bore:
        return replace(cut, frame=cut.frame.moved(by))

    return with_cut(frame(), LOW, "peg hole", change, member=member)


def counterbored(more: float) -> Bench:
    made = bolt(FRONT_BOLT)
    return with_joint(frame(), FRONT_BOLT, counterbore=made.counterbore + more)


def bolt_at(x: float, y: float) -> Bench:
    return with_joint(frame(), FRONT_BOLT, point=(x, y, bolt(FRONT_BOLT).point[2]))


def dogs(*points: tuple[float, float]) -> Bench:
    return with_joint(frame(), DOGS, points=points)


def without(bench: Bench, part: str) -> Bench:
    """A part missing, and with it all joints that it takes part in."""
    return replace(
        bench,
        timbers=tuple(m for m in bench.timbers if m.name != part),
        joints=tuple(j for j in bench.joints if all(m.name != part for m in j.members)),
    )


def with_board(x: float, y: float, top: float, *, rests: bool = True) -> Bench:
    """A board of 100 x 60 x 20 mm somewhere on the lower front stretcher (upper edge 228.6)."""
    base = frame()
    piece = slab(
        "board",
        role="board",
        corner=(x + 100.0, y, top),
        length=100.0,
        width=60.0,
        thickness=20.0,
        species=ASH,
        plies=1,
        rings="flat",
        assembly="",
    )
    joints = base.joints
    if rests:
        below = base.by_name["stretcher_lower_front"]
        joints = (*joints, Bearing(name="board_rests", below=below, above=piece))
    return replace(base, timbers=(*base.timbers, piece), joints=joints)


def narrow_planer() -> Bench:
    """As if the planer had shrunk since the top was divided."""
    base = frame()
    spec = replace(base.spec, top=replace(base.spec.top, planer_width=200.0, sections=2))
    return replace(base, spec=spec)


def haunched() -> Bench:
    return tee(shoulders=(25.4, 12.7, 9.525, 9.525), haunch=Haunch(Face.FACE_EDGE, 25.4, 12.7))


def held_at_the_back() -> Bench:
    """The top held fast at the back and slotted in front."""
    bench = frame()
    front, back = bolt(FRONT_BOLT), bolt(BACK_BOLT)
    for joint in bench.joints:
        if isinstance(joint, LagBolt):
            at_front = "front" in joint.name
            other = back if at_front else front
            bench = with_joint(bench, joint.name, slot=other.slot, size=other.size)
    return bench


def thin(**changes: Any) -> DrawBore:
    """Pegs of 5 mm right through."""
    return pegs(**{"diameter": 5.0, "offset": 0.79375, "setback": 7.5, "through": True, **changes})


def unglued() -> Bench:
    """The top's sections neither glued to each other nor held by anything."""
    bench = frame()
    lost = (EdgeGlue, LagBolt, Bearing)
    return replace(bench, joints=tuple(j for j in bench.joints if not isinstance(j, lost)))


def sized(bench: Bench) -> Bench:
    """A group of bars that asks for the size it has."""
    low, high = zip(*(m.bounds() for m in bench.timbers), strict=True)
    size = [max(p[i] for p in high) - min(p[i] for p in low) for i in range(3)]
    return replace(bench, asked=(size[0], size[1], size[2]))


def covered_later() -> Bench:
    """A peg's hole that a cheek glued to its post will cover."""
    timbers, joints = ladder(PEGS)
    joint = joints[0]
    assert isinstance(joint, MortiseTenon)
    low, high = (60.0, 80.0) if joint.drive_direction[1] < 0.0 else (-20.0, 0.0)
    cheek = bar("cheek", (0.0, low, 0.0), (60.0, high, 600.0), 2)
    glue = EdgeGlue(name="cheek_line", first=timbers[0], second=cheek)
    return sized(group([*timbers, cheek], [*joints, glue]))


def deep_posts() -> Bench:
    """Posts of 5 in, dried from 16 %."""
    return frame(
        moisture=Moisture(at_build=16.0, driest=4.0, wettest=16.0),
        **section("bolts", per_stretcher=0),
        **section("posts", width=127.0, thickness=127.0),
        **section("lower_long", tenon_length=120.0),
    )


CASES: tuple[Case, ...] = (
    # fits
    error("mortise-too-wide", "cheek-clearance", lambda: mortise(width=25.6)),
    error("mortise-without-play", "cheek-clearance", lambda: mortise(width=25.4)),
    error("mortise-too-long", "edge-clearance", lambda: mortise(length=103.0)),
    error("mortise-too-short", "edge-clearance", lambda: mortise(length=101.65)),
    error("tenon-thicker-than-its-mortise", "tenon-enters", lambda: mortise(width=25.3)),
    error("tenon-wider-than-its-mortise", "tenon-enters", lambda: mortise(length=101.0)),
    error("mortise-laid-out-aside", "tenon-enters", lambda: mortise_moved((0.0, 1.0, 0.0))),
    error("mortise-laid-out-too-low", "tenon-enters", lambda: mortise_moved((-2.0, 0.0, 0.0))),
    error("mortise-forgotten", "tenon-enters", lambda: mortise(purpose="pocket")),
    error("mortise-shallow", "tenon-bottoms", lambda: mortise(depth=50.0)),
    error(
        "haunch-socket-shallow",
        "tenon-bottoms",
        lambda: with_cut(frame(), HIGH, "haunch socket", edit(depth=12.0)),
    ),
    error("mortise-without-room-for-glue", "tenon-bottom-gap", lambda: mortise(depth=51.5)),
    error("mortise-needlessly-deep", "tenon-bottom-gap", lambda: mortise(depth=56.0)),
    error(
        "haunch-wider-than-its-socket",
        "haunch-room",
        lambda: with_cut(haunched(), "tee", "haunch socket", edit(length=60.0)),
    ),
    error(
        "fit-of-another-name",
        "cheek-clearance",
        lambda: with_joint(
            frame(), LOW, fit=replace(get_fit("easy"), name="mallet", edge=get_fit("mallet").edge)
        ),
    ),
    warning(
        "through-tenon-that-ends-inside",
        "through-tenon-reach",
        lambda: with_joint(frame(), LOW, through=True),
    ),
    # shoulders and walls
    error(
        "shoulder-sawn-short",
        "shoulder-line",
        lambda: with_cut(frame(), LOW, "tenon", edit(length=51.2)),
    ),
    error(
        "shoulder-sawn-long",
        "shoulder-line",
        lambda: with_cut(frame(), LOW, "tenon", edit(length=50.6)),
    ),
    error("mortise-through-the-far-wall", "mortise-breakout", lambda: tee(tenon=75.0)),
    error(
        "mortise-out-of-the-side-mm",
        "mortise-breakout",
        lambda: tee(aside=-38.1, shoulders=(12.7, 12.7, 0.0, 19.05)),
    ),
    advice(
        "rail-over-the-post-s-end",
        "shoulder-on-face",
        lambda: tee(low=-10.0, shoulders=(12.7, 60.0, 9.525, 9.525)),
    ),
    # drawboring
    error("draw-the-wrong-way", "draw-direction", lambda: with_draw(frame(), LOW, offset=-1.5875)),
    error(
        "tenon-bored-away-from-the-shoulder",
        "draw-direction",
        lambda: hole_moved((-3.0, 0.0, 0.0)),
    ),
    error(
        "peg-holes-forgotten-in-the-tenon",
        "draw-direction",
        lambda: with_cut(
            frame(), LOW, "peg hole", edit(purpose="hole"), member="stretcher_lower_front"
        ),
    ),
    error("draw-of-a-peg-s-width", "peg-opening", lambda: with_draw(frame(), LOW, offset=10.0)),
    error("peg-holes-aside", "peg-opening", lambda: hole_moved((0.0, 0.5, 0.0))),
    error("one-peg-blunt", "peg-tip", lambda: with_draw(frame(), LOW, tip=0.0)),
    # pegs
    error("peg-at-the-tenon-s-edge", "peg-breakout", lambda: with_draw(frame(), LOW, edge=4.0)),
    error("peg-at-the-tenon-s-end", "peg-breakout", lambda: with_draw(frame(), LOW, setback=49.0)),
    error("peg-in-the-shoulder", "peg-breakout", lambda: with_draw(frame(), LOW, setback=4.0)),
    error(
        "three-pegs-side-by-side",
        "pegs-overlap",
        lambda: with_draw(frame(), LOW, count=3, edge=45.0),
    ),
    error(
        "stopped-hole-comes-through",
        "peg-hole-depth",
        lambda: with_draw(frame(), LOW, stop_wall=-0.5),
    ),
    error(
        "peg-longer-than-its-hole",
        "peg-hole-depth",
        lambda: with_cut(frame(), LOW, "peg hole", edit(depth=66.0), member="post_front_left"),
    ),
    error("peg-ends-in-the-tenon", "peg-short", lambda: with_draw(frame(), LOW, stop_wall=45.0)),
    error(
        "pegs-cross-in-the-post-mm",
        "peg-collides",
        lambda: corner(
            first=thin(count=2, edge=20.0, setback=12.7),
            second=thin(count=2, edge=20.0),
            tenon=19.0,
        ),
    ),
    error(
        "peg-through-the-other-tenon-mm",
        "peg-collides",
        lambda: corner(first=thin(setback=38.0, count=2, edge=20.0), second=None, tenon=19.0),
    ),
    advice(
        "peg-hole-beside-the-other-s-mm",
        "peg-hole-wall",
        lambda: corner(
            first=thin(count=2, edge=20.0, setback=12.7),
            second=thin(count=2, edge=26.0),
            tenon=19.0,
        ),
    ),
    # tenons that meet
    error(
        "stretcher-at-the-other-s-height",
        "tenons-collide",
        lambda: frame(**section("lower_end", height=101.6), **NO_PEGS),
    ),
    # bolts
    error("counterbore-too-deep", "bolt-through-top", lambda: counterbored(25.0)),
    error("drill-through-the-top", "bolt-through-top", lambda: counterbored(22.0)),
    warning("counterbore-deep", "bolt-cover", lambda: counterbored(21.0)),
    warning("counterbore-shallow", "bolt-thread", lambda: counterbored(-23.0)),
    advice("pilot-tight", "bolt-pilot", lambda: with_joint(frame(), FRONT_BOLT, pilot=5.0)),
    error(
        "movement-without-a-slot",
        "bolt-slot",
        lambda: with_joint(frame(), BACK_BOLT, slot=0.0),
    ),
    error(
        "slot-too-short-for-the-season",
        "bolt-slot",
        lambda: replace(frame(), seasons=Seasons(8.0, 4.0, 20.0)),
    ),
    error("slot-out-of-the-side", "bolt-breakout", lambda: with_joint(frame(), BACK_BOLT, slot=25)),
    # Past the end of the top a bolt has left its stretcher too.
    error("bolt-past-the-top", "bolt-in-wood", lambda: bolt_at(1.0, 38.1), "bolt-breakout"),
    # So it has near the middle of the top, and the line at which the top is held.
    Case(
        "bolt-by-the-glue-line",
        "bolt-glue-line",
        "advice",
        lambda: bolt_at(762.0, 300.0),
        frozenset({"bolt-breakout", "bolt-slot"}),
    ),
    # dog holes
    error("dog-hole-on-one-bolt", "dog-hole-bolt", lambda: dogs((762.0, 38.1))),
    advice("dog-hole-by-a-bolt", "dog-hole-wall", lambda: dogs((762.0 - 16.0, 38.1))),
    warning("dog-hole-in-a-post", "dog-hole-below", lambda: dogs((240.0, 40.0))),
    error("dog-holes-in-each-other", "dog-holes-overlap", lambda: dogs((400, 101.6), (410, 101.6))),
    error("dog-hole-out-of-the-end", "dog-hole-breakout", lambda: dogs((5.0, 101.6))),
    warning("dog-hole-in-the-glue-line", "dog-hole-glue-line", lambda: dogs((600.0, 303.0))),
    # the bench as a whole
    error("section-wider-than-the-planer", "section-planer", narrow_planer),
    error(
        "taller-than-asked",
        "outer-size",
        lambda: replace(frame(), asked=(1524.0, 609.6, 850.0)),
    ),
    error(
        "asked-in-centimetres",
        "outer-size",
        lambda: replace(frame(), asked=(152.4, 60.96, 86.36)),
    ),
    error(
        "a-name-no-file-bears",
        "names",
        lambda: with_joint(frame(), "foot_front_left", name="foot front left"),
    ),
    error("a-part-left-over", "loose-part", lambda: with_board(600.0, 20.0, 400.0, rests=False)),
    error("board-in-a-post", "timbers-overlap", lambda: with_board(260.0, 0.0, 248.6)),
    error("board-in-the-air", "contact", lambda: with_board(600.0, 20.0, 249.6)),
    # Without the post and its joints nothing tells that the rails' ends make room for each other.
    error(
        "a-post-missing",
        "part-missing",
        lambda: without(frame(), "post_front_left"),
        "timbers-overlap",
    ),
    error("a-stretcher-missing", "part-missing", lambda: without(frame(), LOW_FRONT)),
    error("half-of-the-top-missing", "part-missing", lambda: without(frame(), "top_section_2")),
    error("top-held-by-nothing", "loose-part", unglued),
    advice("top-held-at-the-back", "edge-leaves-flush", held_at_the_back),
    error("deep-posts-dry-out", "bottoms-when-dry", deep_posts),
    # assembly
    error("trapped-rails-mm", "cannot-assemble", lambda: sized(pinwheel("ef"))),
    error(
        "pegs-behind-the-other-stretcher",
        "peg-not-reachable",
        lambda: frame(meeting="notched", **section("pegs", from_face="inside")),
    ),
    advice("peg-to-be-driven-in-time-mm", "order-matters", covered_later),
)
"""What Python spoils in the numbers."""
