"""Sway of the whole bench by a frame analysis in space, with semi-rigid joints.

The analysis is PyNite's (PyNiteFEA on PyPI); this module only describes the bench to it: posts
hinged on the floor, stretchers from shoulder to shoulder with stiff arms inside the posts, each
joint a very short bar whose bending stiffness is the joint's, the top a grid of four beams on
the posts' heads, free to turn there (it ties the heads; that it also braces them is left out,
which is the safe side). PyNite's beams have no shear deformation: stretchers get E I/(1 + phi),
exact where both ends turn alike, as in sway, and the posts' shear V H/(G A') is added, exact
since the shear is the same all the way up. PyNite is imported only here, when it is wanted.

A trestle's foot is a beam at its middle line, hinged on the floor under its two ends; its posts
stand on it through a stiff piece up to its upper side and a joint's bar, and carry the arm in the
same way. Where one post stands on a foot the top turns with its head, as it lies on the arm.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from treenail.checks.strength.beams import E_OVER_G

if TYPE_CHECKING:
    from treenail.checks.strength.frame_quick import State
    from treenail.checks.strength.skeleton import Post, Rail, Skeleton
    from treenail.checks.strength.trestles import Level, Trestle

__all__ = ["STUB", "FrameAnswer", "analyse", "torsion"]

STUB = 1.0
"""Length of the bar that stands for a joint, mm: short, so that it adds rotation only."""

_STIFF = 1000.0
_E = 1000.0  # of the bars that aren't wood, MPa; their inertia carries the stiffness


@dataclass(frozen=True, slots=True)
class FrameAnswer:
    """What one push does.

    Attributes:
        sway: of the loaded point of the top in the push's direction, mm.
        moments: greatest joint moment (strong way) by stretcher, N mm.
        reactions: shear at the foot in the push's direction, by post, N.
        push: what was applied, N.
    """

    sway: float
    moments: dict[str, float]
    reactions: dict[str, float]
    push: float

    @property
    def balanced(self) -> bool:
        """The feet give back the push: if not, the equations have lost their digits."""
        return abs(sum(self.reactions.values()) - self.push) <= 1e-3 * abs(self.push)


class _Sections:
    """Adds each section and material once; bench axes (x, y, z up) become PyNite's (X, Y up)."""

    def __init__(self, model: Any) -> None:
        self.model = model
        self.known: dict[tuple[float, ...], str] = {}

    def node(self, name: str, x: float, y: float, z: float) -> str:
        self.model.add_node(name, x, z, -y)
        return name

    def bar(
        self,
        name: str,
        ends: tuple[str, str],
        e: float,
        area: float,
        iy: float,
        iz: float,
        j: float,
    ) -> None:
        """``iz``: bending in the upright plane of a level bar, along the bench for a post."""
        material, section = self._name("e", (e,)), self._name("s", (area, iy, iz, j))
        if material not in self.model.materials:
            self.model.add_material(material, e, e / E_OVER_G, 0.3, 0.0)
        if section not in self.model.sections:
            self.model.add_section(section, area, iy, iz, j)
        self.model.add_member(name, ends[0], ends[1], material, section)

    def _name(self, kind: str, key: tuple[float, ...]) -> str:
        return self.known.setdefault(key, f"{kind}{len(self.known)}")


def torsion(a: float, b: float) -> float:
    """Torsion constant of a rectangle, mm⁴ (usual approximation)."""
    a, b = max(a, b), min(a, b)
    return a * b**3 * (1 / 3 - 0.21 * b / a * (1 - b**4 / (12 * a**4)))


def _bars(made: _Sections, post: Post, name: str, ends: tuple[str, str]) -> None:
    made.bar(
        name,
        ends,
        post.e,
        post.area,
        post.inertia(1),
        post.inertia(0),
        torsion(post.dx, post.dy),
    )


def _add_post(made: _Sections, post: Post, heights: list[float]) -> None:
    names = []
    for i, z in enumerate([0.0, *heights, post.height]):
        names.append(made.node(_at(post.name, z) if i else f"{post.name}|foot", post.x, post.y, z))
    made.model.def_support(names[0], True, True, True, False, True, False)
    for i, ends in enumerate(pairwise(names)):
        _bars(made, post, f"{post.name}.{i}", ends)


def _add_stand(
    made: _Sections, post: Post, heights: list[float], trestle: Trestle, state: State
) -> None:
    """A post from its foot's middle line (or the floor) to its head, through its joints."""
    foot, arm = trestle.foot, trestle.arm
    low, high = trestle.below, post.height - trestle.above
    rows = [(f"{post.name}|foot", foot.z if foot else 0.0)]
    if foot:
        rows += [(f"{post.name}|low", low), (f"{post.name}|seat", low + STUB)]
    rows += [(_at(post.name, z), z) for z in heights]
    if arm:
        rows += [(f"{post.name}|under", high - STUB), (f"{post.name}|high", high)]
        rows.append((f"{post.name}|arm", arm.z))
    rows.append((_at(post.name, post.height), post.height))
    for name, z in rows:
        made.node(name, post.x, post.y, z)
    if foot is None:
        made.model.def_support(rows[0][0], True, True, True, False, True, False)
    place = trestle.posts.index(post.name)
    stiff = _STIFF * max(post.inertia(0), post.inertia(1))
    for i, (start, end) in enumerate(pairwise(rows)):
        name, ends = f"{post.name}.{i}", (start[0], end[0])
        level = foot if start[0].endswith("|low") else arm
        if start[0].endswith(("|low", "|under")) and level:
            seat = level.seats[place]
            along, across = (seat.stiffness(axis, state) * STUB / _E for axis in (0, 1))
            seated = f"{level.name}.{post.name}"
            made.bar(seated, ends, _E, post.area * post.e / _E, across, along, stiff)
        elif start[1] < low - 1e-9 or start[1] >= high - 1e-9:
            made.bar(name, ends, post.e, 10 * post.area, stiff, stiff, stiff)
        else:
            _bars(made, post, name, ends)


def _add_levels(made: _Sections, trestle: Trestle, posts: dict[str, Post]) -> None:
    """Foot and arm as beams through the posts; the foot's ends on the floor."""
    first = posts[trestle.posts[0]]
    for part, where in ((trestle.foot, "foot"), (trestle.arm, "arm")):
        if part is None:
            continue
        names = [f"{name}|{where}" for name in trestle.posts]
        if part is trestle.foot:
            names = [f"{part.name}|low", *names, f"{part.name}|high"]
            for name, at in ((names[0], part.low), (names[-1], part.high)):
                x, y = (at, first.y) if trestle.axis == 0 else (first.x, at)
                pad = made.node(f"{name}|pad", x, y, 0.0)
                made.node(name, x, y, part.z)
                stiff = _STIFF * max(part.inertia, part.side_inertia)
                made.bar(name, (pad, name), part.e, 10 * part.area, stiff, stiff, stiff)
                made.model.def_support(pad, True, True, True, False, False, False)
        for i, ends in enumerate(pairwise(names)):
            span = math.dist(*(_place(made, n) for n in ends))
            _add_beam(made, part, f"{part.name}.{i}", ends, span)


def _place(made: _Sections, node: str) -> tuple[float, float, float]:
    at = made.model.nodes[node]
    return (at.X, at.Y, at.Z)


def _add_beam(made: _Sections, part: Level, name: str, ends: tuple[str, str], span: float) -> None:
    """A length of foot or arm: softened by shear as a cantilever is, or as both ends turn alike."""
    between = not any(end.endswith(("|low", "|high")) for end in ends)
    soft = [
        i / (1.0 + (12 if between else 3) * E_OVER_G * i / (5 / 6 * part.area * span**2))
        for i in (part.side_inertia, part.inertia)
    ]
    made.bar(name, ends, part.e, part.area, soft[0], soft[1], torsion(part.wide, part.deep))


def _at(post: str, z: float) -> str:
    return f"{post}|{z:.6f}"


def _add_rail(made: _Sections, rail: Rail, posts: dict[str, Post], state: State) -> None:
    """Arm, joint, stretcher, joint, arm from post to post."""
    a, b = posts[rail.start], posts[rail.end]
    nodes = [_at(rail.start, rail.z)]
    arms = [(p.dx if rail.axis == 0 else p.dy) / 2 for p in (a, b)]
    low = (a.x if rail.axis == 0 else a.y) + arms[0]
    high = (b.x if rail.axis == 0 else b.y) - arms[1]
    for i, at in enumerate((low, low + STUB, high - STUB, high)):
        x, y = (at, a.y) if rail.axis == 0 else (a.x, at)
        nodes.append(made.node(f"{rail.name}|{i}", x, y, rail.z))
    nodes.append(_at(rail.end, rail.z))
    softer = rail.inertia / rail.shear_factor(rail.inertia)
    aside = rail.side_inertia / rail.shear_factor(rail.side_inertia)
    stiff = _STIFF * max(p.inertia(rail.axis) for p in (a, b))
    twist = torsion(rail.high, rail.thick)
    for i, ends in enumerate(pairwise(nodes)):
        name = f"{rail.name}.{i}"
        if i == 2:
            made.bar(name, ends, rail.e, rail.area, aside, softer, twist)
        elif i in (1, 3):
            joint = rail.start_joint if i == 1 else rail.end_joint
            k = getattr(joint, state)
            # M = E I/L theta
            made.bar(
                name,
                ends,
                _E,
                rail.area * rail.e / _E,
                joint.side * STUB / _E,
                k * STUB / _E,
                twist * rail.e / _E,
            )
        else:
            made.bar(name, ends, rail.e, 10 * rail.area, stiff, stiff, stiff)


def _add_top(made: _Sections, skeleton: Skeleton) -> None:
    """A grid: a long beam over each row of posts, a cross beam over each pair."""
    length, depth, thick, e = skeleton.top
    heads = {p.name: _at(p.name, p.height) for p in skeleton.posts}
    for axis, whole in ((0, depth), (1, length)):
        rows: dict[float, list[Post]] = {}
        for p in skeleton.posts:
            rows.setdefault(round(p.y if axis == 0 else p.x, 3), []).append(p)
        wide = whole / len(rows)
        # Along the grain E; across it a tenth (see joint_stiffness).
        stiff = e if axis == 0 else 0.1 * e
        for row in rows.values():
            for p, q in pairwise(sorted(row, key=lambda p: (p.x, p.y))):
                name = f"top.{axis}.{p.name}"
                ends = (f"{heads[p.name]}|top", f"{heads[q.name]}|top")
                made.bar(
                    name,
                    ends,
                    stiff,
                    wide * thick,
                    thick * wide**3 / 12,
                    wide * thick**3 / 12,
                    torsion(wide, thick),
                )


def _model(skeleton: Skeleton, state: State) -> Any:
    from Pynite import FEModel3D

    model = FEModel3D()
    made = _Sections(model)
    heights: dict[str, set[float]] = {p.name: set() for p in skeleton.posts}
    for rail in skeleton.rails:
        heights[rail.start].add(rail.z)
        heights[rail.end].add(rail.z)
    posts = {p.name: p for p in skeleton.posts}
    for post in skeleton.posts:
        levels = sorted(z for z in heights[post.name] if z < post.height - 1e-6)
        trestle = skeleton.trestle_of(post.name)
        if trestle:
            _add_stand(made, post, levels, trestle, state)
        else:
            _add_post(made, post, levels)
        head = _at(post.name, post.height)
        # The top lies on the head through a hinge: a short post that lets go of its moments.
        made.node(f"{head}|top", post.x, post.y, post.height + STUB)
        made.bar(
            f"{post.name}.head",
            (head, f"{head}|top"),
            post.e,
            post.area,
            post.inertia(1),
            post.inertia(0),
            torsion(post.dx, post.dy),
        )
        # But in a trestle of one post it can't turn by itself in the trestle's plane.
        alone = trestle.axis if trestle and trestle.foot and len(trestle.posts) == 1 else None
        model.def_releases(f"{post.name}.head", Ryi=alone != 1, Rzi=alone != 0)
    for trestle in skeleton.trestles:
        _add_levels(made, trestle, posts)
    for rail in skeleton.rails:
        _add_rail(made, rail, posts, state)
    _add_top(made, skeleton)
    return model


def _loaded(skeleton: Skeleton, axis: int, off_centre: bool) -> list[str]:
    """Heads that share the push: the front (or left) row, or all of them."""
    at: Callable[[Post], float] = (lambda p: p.y) if axis == 0 else (lambda p: p.x)
    nearest = min(at(p) for p in skeleton.posts)
    return [p.name for p in skeleton.posts if not off_centre or at(p) - nearest < 1.0]


@functools.lru_cache(maxsize=64)
def analyse(
    skeleton: Skeleton, state: State, along: float, across: float, off_centre: bool
) -> tuple[FrameAnswer, FrameAnswer]:
    """The answers to a push along (x) and across (y), N each; kept by the bench's numbers.

    Off centre, the push along comes at the row of posts in front, as planing does, and the push
    across at the row on the left; else it is shared by all posts.
    """
    model = _model(skeleton, state)
    pushes = (("along", 0, along), ("across", 1, across))
    for case, axis, push in pushes:
        names = _loaded(skeleton, axis, off_centre)
        for name in names:
            head = f"{_at(name, next(p.height for p in skeleton.posts if p.name == name))}|top"
            direction, sign = ("FX", 1.0) if axis == 0 else ("FZ", -1.0)
            model.add_node_load(head, direction, sign * push / len(names), case=case)
        model.add_load_combo(case, {case: 1.0})
    model.analyze_linear(check_stability=False)
    along_answer, across_answer = (
        _answer(model, skeleton, case, axis, push, off_centre) for case, axis, push in pushes
    )
    return along_answer, across_answer


def _answer(
    model: Any, skeleton: Skeleton, case: str, axis: int, push: float, off_centre: bool
) -> FrameAnswer:
    posts = {p.name: p for p in skeleton.posts}
    names = _loaded(skeleton, axis, off_centre)
    reactions = {}
    heights = {}
    for name, post in posts.items():
        trestle = skeleton.trestle_of(name)
        if trestle:
            # The shear in the post's first bar above the floor; local y looks to the left.
            first = f"{trestle.foot.name}.{name}" if trestle.foot else f"{name}.0"
            forces = model.members[first].f(case)
            reactions[name] = float(forces[1 if axis == 0 else 2, 0])
            heights[name] = post.height - trestle.below - trestle.above
        else:
            foot = model.nodes[f"{name}|foot"]
            reactions[name] = float(-foot.RxnFX[case] if axis == 0 else foot.RxnFZ[case])
            heights[name] = post.height
    sways = []
    for name in names:
        node = model.nodes[f"{_at(name, posts[name].height)}|top"]
        bent = float(node.DX[case] if axis == 0 else -node.DZ[case])
        sways.append(bent + reactions[name] * heights[name] / posts[name].shear_stiffness)
    moments: dict[str, float] = {}
    for rail in skeleton.rails:
        # Local end forces: 5 and 11 are the moments about the level axis across the stretcher.
        forces = model.members[f"{rail.name}.2"].f(case)
        moments[rail.name] = max(abs(float(forces[5, 0])), abs(float(forces[11, 0])))
    for trestle in skeleton.trestles:
        for part in (trestle.foot, trestle.arm):
            for name, seat in zip(trestle.posts, part.seats if part else (), strict=False):
                if part and seat.strong == axis:
                    forces = model.members[f"{part.name}.{name}"].f(case)
                    moments[seat.joint.name] = abs(float(forces[5 if axis == 0 else 4, 0]))
    return FrameAnswer(sum(sways) / len(sways), moments, reactions, push)
