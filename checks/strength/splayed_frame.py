"""Sway of a bench on splayed legs by a frame analysis in space.

PyNite's, as in ``frame``: legs along their true axes, hinged on the floor, each turned so that its
section lies as it does in the bench; a joint is a very short bar under the top's underside; a stiff
piece goes up to the top's middle plane, which is a grid of four beams. PyNite's beams have no
shear: what the legs' shear adds is worked out beside it.
"""

from __future__ import annotations

import functools
import math
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from treenail.checks.strength.beams import E_OVER_G
from treenail.checks.strength.frame import STUB, FrameAnswer, torsion
from treenail.checks.strength.joint_stiffness import ACROSS_OVER_ALONG
from treenail.timber.frames import Vec, cross, dot, sub, unit

if TYPE_CHECKING:
    from treenail.checks.strength.frame_quick import State
    from treenail.checks.strength.splayed import Splayed, SplayedLeg

__all__ = ["analyse_splayed"]

_E = 1000.0  # of the bars that aren't wood, MPa; their inertia carries the stiffness
_STIFF = 1000.0


def _turn(start: Vec, end: Vec, wide: Vec) -> float:
    """Degrees by which PyNite turns a bar that rises so that its local y lies along ``wide``."""
    y, level = (-1.0, 0.0, 0.0), (0.0, 0.0, 1.0)  # its own choice where the bar is upright
    if not (math.isclose(start[0], end[0]) and math.isclose(start[2], end[2])):
        x = unit(sub(end, start))
        level = unit(cross((x[0], 0.0, x[2]), x))
        y = cross(level, x)
    return math.degrees(math.atan2(dot(wide, level), dot(wide, y)))


def _model_axes(v: Vec) -> Vec:
    """The bench's x, y, z (up) in the model's, whose Y is up."""
    return (v[0], v[2], -v[1])


class _Model:
    def __init__(self) -> None:
        from Pynite import FEModel3D

        self.fe = FEModel3D()
        self.sections = 0

    def node(self, name: str, place: Vec) -> Vec:
        at = _model_axes(place)
        self.fe.add_node(name, *at)
        return at

    def bar(
        self, name: str, ends: tuple[str, str], e: float, section: tuple[float, ...], turn: float
    ) -> None:
        """``section``: area, second moments about the local y and z, torsion constant."""
        made = f"s{self.sections}"
        self.sections += 1
        self.fe.add_material(made, e, e / E_OVER_G, 0.3, 0.0)
        self.fe.add_section(made, *section)
        self.fe.add_member(name, *ends, made, made, turn)


def _add_leg(model: _Model, frame: Splayed, leg: SplayedLeg, state: State) -> None:
    foot, head = (*leg.foot, 0.0), (*leg.head, leg.high)
    short = unit(sub(foot, head))
    neck = (head[0] + short[0] * STUB, head[1] + short[1] * STUB, head[2] + short[2] * STUB)
    places = [
        model.node(f"{leg.name}|{what}", p)
        for what, p in (("foot", foot), ("neck", neck), ("head", head))
    ]
    model.node(f"{leg.name}|top", (*leg.head, frame.push_height))
    model.fe.def_support(f"{leg.name}|foot", True, True, True, False, False, False)
    # The bar's z counts bending along its y, which lies along the leg's wide way.
    strong, weak = leg.thick * leg.wide**3 / 12.0, leg.wide * leg.thick**3 / 12.0
    wide = _model_axes(leg.y)
    turn, above = (_turn(p, q, wide) for p, q in pairwise(places))
    twist = torsion(leg.wide, leg.thick)
    model.bar(leg.name, _ends(leg, "foot", "neck"), leg.e, (leg.area, weak, strong, twist), turn)
    tight = getattr(leg.joint, state) * STUB / _E
    side = leg.joint.side * STUB / _E
    section = (leg.area * leg.e / _E, side, tight, twist * leg.e / _E)
    model.bar(f"{leg.name}.joint", _ends(leg, "neck", "head"), _E, section, above)
    stiff = _STIFF * max(strong, weak)
    section = (10.0 * leg.area, stiff, stiff, stiff)
    model.bar(f"{leg.name}.top", _ends(leg, "head", "top"), leg.e, section, 0.0)


def _ends(leg: SplayedLeg, first: str, second: str) -> tuple[str, str]:
    return f"{leg.name}|{first}", f"{leg.name}|{second}"


def _add_top(model: _Model, frame: Splayed) -> None:
    length, depth, thick, e = frame.top
    for axis, whole in ((0, depth), (1, length)):
        rows: dict[int, list[SplayedLeg]] = {}
        for leg in frame.legs:
            rows.setdefault(round(leg.head[1 - axis]), []).append(leg)
        wide = whole / len(rows)
        stiff = e if axis == 0 else ACROSS_OVER_ALONG * e
        section = (wide * thick, thick * wide**3 / 12, wide * thick**3 / 12, torsion(wide, thick))
        for row in rows.values():
            for p, q in pairwise(sorted(row, key=lambda leg: leg.head)):
                name, ends = f"top.{axis}.{p.name}", (f"{p.name}|top", f"{q.name}|top")
                model.bar(name, ends, stiff, section, 0.0)


@functools.lru_cache(maxsize=64)
def analyse_splayed(
    frame: Splayed, state: State, along: float, across: float, *, off_centre: bool
) -> tuple[FrameAnswer, FrameAnswer]:
    """The answers to a push along (x) and across (y), N each; kept by the bench's numbers.

    Off centre, the push along comes at the legs in front, and the push across at those on the
    left; else all share it. Moments are the legs' at their joints.
    """
    model = _Model()
    for leg in frame.legs:
        _add_leg(model, frame, leg, state)
    _add_top(model, frame)
    pushes = (("along", 0, along), ("across", 1, across))
    loaded = {case: _loaded(frame, axis, off_centre=off_centre) for case, axis, _ in pushes}
    for case, axis, push in pushes:
        names = loaded[case]
        way, sign = ("FX", 1.0) if axis == 0 else ("FZ", -1.0)
        for name in names:
            model.fe.add_node_load(f"{name}|top", way, sign * push / len(names), case=case)
        model.fe.add_load_combo(case, {case: 1.0})
    model.fe.analyze_linear(check_stability=False)
    first, second = (
        _answer(model.fe, frame, case, axis, push, loaded[case]) for case, axis, push in pushes
    )
    return first, second


def _loaded(frame: Splayed, axis: int, *, off_centre: bool) -> list[str]:
    nearest = min(leg.head[1 - axis] for leg in frame.legs)
    return [leg.name for leg in frame.legs if not off_centre or leg.head[1 - axis] - nearest < 1.0]


def _answer(
    fe: Any, frame: Splayed, case: str, axis: int, push: float, loaded: list[str]
) -> FrameAnswer:
    reactions, moments, shear = {}, {}, 0.0
    for leg in frame.legs:
        foot = fe.nodes[f"{leg.name}|foot"]
        reactions[leg.name] = float(-foot.RxnFX[case] if axis == 0 else foot.RxnFZ[case])
        forces = fe.members[f"{leg.name}.joint"].f(case)
        moment = math.hypot(float(forces[10, 0]), float(forces[11, 0]))
        moments[leg.name] = moment
        ga = leg.e / E_OVER_G * 5.0 / 6.0 * leg.area
        shear += (moment / leg.length) ** 2 * leg.length / ga
    sways = []
    for name in loaded:
        node = fe.nodes[f"{name}|top"]
        sways.append(float(node.DX[case] if axis == 0 else -node.DZ[case]))
    bent = sum(sways) / len(sways)
    return FrameAnswer(bent + shear / push, moments, reactions, push)
