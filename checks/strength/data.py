"""All strength figures of a bench together, for the rules and the report."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from treenail.checks.strength.beams import beam_figures
from treenail.checks.strength.columns import column_figures
from treenail.checks.strength.fasteners import fastener_figures
from treenail.checks.strength.frame_quick import State, quick_sway
from treenail.checks.strength.joint_stiffness import MODEL, JointStiffness
from treenail.checks.strength.knock_down import bolt_figures
from treenail.checks.strength.loads import (
    CAUTION,
    PUSH_ACROSS,
    PUSH_ALONG,
    SWAY_FREQUENCY,
    SWAY_RATIO,
    Figure,
)
from treenail.checks.strength.loose_panels import Way, bears_after
from treenail.checks.strength.mass import MassData, bench_mass
from treenail.checks.strength.skeleton import Skeleton, read_skeleton
from treenail.checks.strength.splayed import (
    Splayed,
    leg_figures,
    leg_forces,
    read_splayed,
    splayed_sway,
)
from treenail.checks.strength.steady import steady_figures
from treenail.checks.strength.treenails import treenail_figures
from treenail.checks.strength.vibration import frequency, swaying_mass
from treenail.joints.barrel_bolt import BarrelBolt
from treenail.joints.tenon_variants.tusk import TuskTenon

if TYPE_CHECKING:
    from collections.abc import Sequence

    from treenail.checks.rules import Context
    from treenail.generators.bench import Bench

__all__ = ["Strength", "strength_data", "strength_of"]

_WAYS: tuple[tuple[Way, int, float], ...] = (("along", 0, PUSH_ALONG), ("across", 1, PUSH_ACROSS))


@dataclass(frozen=True, slots=True, kw_only=True)
class Strength:
    """The estimate.

    Attributes:
        mass: masses and centre of mass.
        figures: every figure, with load case, limit and source.
        method: how sway was found: ``frame analysis`` or ``closed form``; empty if the bench
            can't be read as a frame.
        joints: the joints' stiffness, by joint.
        caution: to be shown with the figures.
    """

    mass: MassData
    figures: tuple[Figure, ...]
    method: str
    joints: tuple[JointStiffness, ...]
    caution: str = CAUTION

    def figure(self, key: str) -> Figure | None:
        """The figure of that key, if the bench has it."""
        return next((f for f in self.figures if f.key == key), None)

    def as_dict(self) -> dict[str, Any]:
        """Plain data for the report (kg, mm, N mm/rad)."""
        return {
            "caution": self.caution,
            "method": self.method,
            "mass_kg": self.mass.total,
            "centre_of_mass_mm": list(self.mass.centre),
            "masses_kg": {b.name: b.mass for b in self.mass.bodies},
            "figures": [f.as_dict() for f in self.figures],
            "joint_model": MODEL,
            "joints": [
                {
                    "joint": j.name,
                    "tight_nmm_per_rad": j.tight,
                    "worn_nmm_per_rad": j.worn,
                    "opens_at_nmm": None if math.isinf(j.opens_at) else j.opens_at,
                    "glued": j.glued,
                }
                for j in self.joints
            ],
        }


def strength_data(context: Context) -> Strength:
    """The bench's strength figures, computed once for all rules and the report.

    With solids at hand the sway comes from the frame analysis (PyNite), which takes longer;
    without, from the closed form, which the frame analysis bears out.
    """
    full = context.solids is not None
    return context.once("strength", lambda: strength_of(context.bench, frame=full))


def strength_of(bench: Bench, *, frame: bool = False) -> Strength:
    """Strength figures of a bench; ``frame`` runs the frame analysis in space."""
    mass = bench_mass(bench)
    skeleton = read_skeleton(bench)
    figures = [*steady_figures(bench, mass)]
    joints: dict[str, JointStiffness] = {}
    moments: dict[str, float] = {}
    method = ""
    if skeleton is not None:
        joints = {j.name: j for _, j in skeleton.joints()}
        sway, moments, method = _sway(skeleton, frame=frame)
        moving = swaying_mass(bench, mass, max(p.height for p in skeleton.posts))
        tusks = any(isinstance(j, TuskTenon) for j in bench.joints)
        bolted = any(isinstance(j, BarrelBolt) for j in bench.joints)
        drawn = " and ".join(
            ("pegs", *(("wedges",) if tusks else ()), *(("bolts",) if bolted else ()))
        )
        head, loose = max(p.height for p in skeleton.posts), bears_after(bench)
        figures += _sway_figures(
            head, skeleton.joints(), sway, moments, moving, method, drawn, loose
        )
    elif (splayed := read_splayed(bench)) is not None:
        legs = tuple((leg.name, leg.joint) for leg in splayed.legs)
        joints = {j.name: j for _, j in legs}
        sway, moments, method = _splayed_sway(splayed, frame=frame)
        high = splayed.push_height
        moving = swaying_mass(bench, mass, high)
        figures += _sway_figures(high, legs, sway, moments, moving, method, "pegs", {})
        figures += leg_figures(splayed, mass, moments)
    figures += [*beam_figures(bench, mass), *column_figures(bench, mass)]
    figures += fastener_figures(bench, mass, moments, joints)
    figures += treenail_figures(bench, moments, joints)
    figures += bolt_figures(bench, moments, joints)
    return Strength(mass=mass, figures=tuple(figures), method=method, joints=tuple(joints.values()))


def _sway(
    skeleton: Skeleton, *, frame: bool
) -> tuple[dict[tuple[str, State], float], dict[str, float], str]:
    """(sway in mm by way and state; greatest worn joint moment in N mm; method).

    Moments are by stretcher, those of posts in feet and arms by joint.
    """
    states: tuple[State, State] = ("tight", "worn")
    results = {}
    method = "closed form"
    if frame and _can_analyse(skeleton):
        from treenail.checks.strength.frame import analyse

        answers = {
            s: analyse(skeleton, s, PUSH_ALONG, PUSH_ACROSS, off_centre=True) for s in states
        }
        if all(a.balanced for pair in answers.values() for a in pair):
            method = "frame analysis"
            results = {s: [(a.sway, a.moments) for a in pair] for s, pair in answers.items()}
    if not results:
        results = {
            s: [quick_sway(skeleton, axis, push, s) for _, axis, push in _WAYS] for s in states
        }
    sways: dict[tuple[str, State], float] = {}
    moments: dict[str, float] = {}
    for state, pair in results.items():
        for (way, _, _), (sway, found) in zip(_WAYS, pair, strict=True):
            sways[way, state] = sway
            if state == "worn":
                for name, m in found.items():
                    moments[name] = max(m, moments.get(name, 0.0))
    return sways, moments, method


def _splayed_sway(
    splayed: Splayed, *, frame: bool
) -> tuple[dict[tuple[str, State], float], dict[str, float], str]:
    """The same of a bench on splayed legs; moments by leg."""
    states: tuple[State, State] = ("tight", "worn")
    sways: dict[tuple[str, State], float] = {}
    moments: dict[str, float] = {}
    method = "closed form"
    for state in states:
        for way, axis, push in _WAYS:
            sways[way, state] = splayed_sway(splayed, axis, push, state)
            moment = leg_forces(splayed, axis, push).moment
            for leg in splayed.legs:
                moments[leg.name] = max(moment, moments.get(leg.name, 0.0))
    if frame and min(leg.joint.worn for leg in splayed.legs) > 0.0:
        from treenail.checks.strength.splayed_frame import analyse_splayed

        answers = {
            s: analyse_splayed(splayed, s, PUSH_ALONG, PUSH_ACROSS, off_centre=True) for s in states
        }
        if all(a.balanced for pair in answers.values() for a in pair):
            method, moments = "frame analysis", {}
            for state, pair in answers.items():
                for (way, _, _), answer in zip(_WAYS, pair, strict=True):
                    sways[way, state] = answer.sway
                    for name, m in answer.moments.items():
                        moments[name] = max(m, moments.get(name, 0.0))
    return sways, moments, method


def _can_analyse(skeleton: Skeleton) -> bool:
    """Nothing that would leave the frame a mechanism: held both ways, by stiff joints."""
    axes = {r.axis for r in skeleton.rails} | {t.axis for t in skeleton.trestles if t.holds}
    return axes == {0, 1} and min(j.worn for _, j in skeleton.joints()) > 0.0


def _sway_figures(
    head: float,
    joints: Sequence[tuple[str, JointStiffness]],
    sways: dict[tuple[str, State], float],
    moments: dict[str, float],
    moving: float,
    method: str,
    drawn: str,
    loose: dict[Way, float],
) -> list[Figure]:
    """``head``: height of the push; ``joints`` with the piece that is tenoned there."""
    found = []
    glued = all(j.glued for _, j in joints)
    where = "at the front edge" if method == "frame analysis" else "in the middle"
    for way, _, push in _WAYS:
        tight, worn = sways[way, "tight"], sways[way, "worn"]
        if glued:
            note = "joints taken as glued: they have no pegs"
        else:
            note = f"with the {drawn} drawing the joints tight {tight:.2f} mm"
        if way in loose:
            note += (
                f"; panels are left out: loose in their grooves they bear after {loose[way]:.1f} mm"
            )
        place = where if way == "along" or method != "frame analysis" else "at the left end"
        found.append(
            Figure(
                key=f"sway-{way}",
                title=f"sway at the top {way} the bench",
                load_case=f"a planing stroke of {push:g} N {way} the bench, {place}, joints worn",
                value=worn,
                limit=head / SWAY_RATIO,
                unit="mm",
                source=f"{method} of the frame, feet hinged; joints by {MODEL}; "
                f"limit height/{SWAY_RATIO:g}, from memory",
                note=note,
            )
        )
        hz = frequency(push / worn if worn > 0.0 else 0.0, moving)
        firm = frequency(push / tight if tight > 0.0 else 0.0, moving)
        found.append(
            Figure(
                key=f"frequency-{way}",
                title=f"natural frequency of sway {way} the bench",
                load_case="free sway of the bench by itself, joints worn",
                value=hz,
                limit=SWAY_FREQUENCY,
                at_least=True,
                unit="Hz",
                source="f = sqrt(k/m)/2 pi, Rayleigh's mass; limit our own choice: four times a "
                "stroke rate of 2 Hz",
                note="" if glued else f"with the {drawn} drawing the joints tight {firm:.1f} Hz",
            )
        )
    if not glued and moments:
        found.append(_opening(joints, moments, drawn))
    return found


def _opening(
    joints: Sequence[tuple[str, JointStiffness]], moments: dict[str, float], drawn: str
) -> Figure:
    """The joint whose shoulder comes nearest to opening."""
    rows = []
    for piece, j in joints:
        moment = moments.get(j.name, moments.get(piece, 0.0))
        rows.append((moment / j.opens_at if j.opens_at > 0.0 else math.inf, moment, j, piece))
    _, moment, joint, piece = max(rows, key=lambda row: row[0])
    return Figure(
        key="shoulder-opens",
        title="moment on the joint that comes nearest to opening",
        load_case=f"a hard planing stroke, half of the {drawn}' draw relaxed",
        value=moment / 1000.0,
        limit=joint.opens_at / 1000.0,
        unit="Nm",
        source=MODEL,
        member=piece,
        note=f"{joint.name}; below it the joint works as when drawn tight",
    )
