"""The saw bench's sizes worked out: angles, where the legs stand, tenons, wedges, rails."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from treenail.generators.frame_layout import INCH, Say, in_units
from treenail.joints.fits import get_fit
from treenail.joints.tenon_variants.make import KERF_SHARE
from treenail.timber.angles import LegAngles
from treenail.timber.errors import SpecError
from treenail.timber.frames import snap

if TYPE_CHECKING:
    from treenail.generators.saw_spec import SawBenchSpec

#: Shoulder that a tenon keeps on every side, mm (our own choice).
LEAST_SHOULDER = 3.0
#: Plank's wood left between a mortise and its edge or end, mm (our own choice: 1/4 in).
LEAST_WALL = INCH / 4
#: Room that a rail keeps from the floor's and the plank's neighbourhood, mm (our own choice).
LEAST_ROOM = 10.0


@dataclass(frozen=True, slots=True, kw_only=True)
class SawLayout:
    """Every number settled, mm; x along the bench from its left end, y from its front.

    Attributes:
        angles: the legs' lean.
        under: the plank's underside above the floor.
        left, front: the plank's low corner in the bench.
        inset: from the plank's edges to the legs' axes at its underside.
        size: over all: length, depth, height.
        foot, head: how far a leg's stock reaches beyond floor and top on its axis.
        tenon: (width, thickness).
        shoulders: (on both edges, on both sides).
    """

    angles: LegAngles
    under: float
    left: float
    front: float
    inset: tuple[float, float]
    size: tuple[float, float, float]
    foot: float
    head: float
    tenon: tuple[float, float]
    shoulders: tuple[float, float]

    @property
    def leg_length(self) -> float:
        """Of the stock, from long point to long point."""
        return snap(self.size[2] * self.angles.stretch + self.foot + self.head)

    def choices(self) -> dict[str, Any]:
        """What was settled, by the spec's names; the angles in degrees."""
        a = self.angles
        cut = a.end_cut("end face")
        degrees = {
            "resultant": a.resultant,
            "sight_angle": a.sight,
            "sight_angle_from_end": a.sight_from_end,
            "ends_mitre": cut.mitre,
            "ends_blade_tilt": cut.tilt,
            "mouth_skew": a.skew,
        }
        return {
            "legs.set_in_sides": self.inset[1],
            "tenons.width": self.tenon[0],
            "tenons.thickness": self.tenon[1],
            **{f"legs.{k}_degrees": round(math.degrees(v), 4) for k, v in degrees.items()},
        }


def lay_out_saw_bench(spec: SawBenchSpec, units: str = "mm") -> SawLayout:
    """Settle everything; SpecError names the field that can't be met."""
    say = in_units(units)
    legs, top = spec.legs, spec.top
    angles = LegAngles(math.radians(legs.splay), math.radians(legs.rake))
    under = snap(spec.height - top.thickness)
    if under < legs.width:
        raise SpecError(
            f"a plank {say(top.thickness)} thick leaves {say(under)} for the legs",
            field="top.thickness",
            allowed=f"at most {say(spec.height - legs.width)}",
        )
    wide, thick = _tenon(spec, say)
    inset = _inset(spec, angles, (wide, thick), say)
    _wedges(spec, angles, (wide, thick), say)
    if spec.end_rails.enabled:
        _rails(spec, angles, under, say)
    along, across = angles.slopes
    half = angles.level_section(legs.width, legs.thickness)
    # How far the feet stand out beyond the plank.
    out_x = max(0.0, under * along + half[0] - inset[0])
    out_y = max(0.0, under * across + half[1] - inset[1])
    return SawLayout(
        angles=angles,
        under=under,
        left=snap(out_x),
        front=snap(out_y),
        inset=inset,
        size=(snap(spec.length + 2 * out_x), snap(top.width + 2 * out_y), spec.height),
        foot=snap(angles.beyond_level(legs.width, legs.thickness)),
        head=snap(angles.beyond_level(wide, thick)),
        tenon=(wide, thick),
        shoulders=(snap((legs.width - wide) / 2), snap((legs.thickness - thick) / 2)),
    )


def _tenon(spec: SawBenchSpec, say: Say) -> tuple[float, float]:
    t, legs = spec.tenons, spec.legs
    wide, thick = t.width, t.thickness
    if wide is None:
        wide = 0.6 * legs.width
    if thick is None:
        thick = say.tool(legs.thickness / 2, largest=legs.thickness - 2 * LEAST_SHOULDER)
    for name, size, leg in (("width", wide, legs.width), ("thickness", thick, legs.thickness)):
        if size > leg - 2 * LEAST_SHOULDER + 1e-9:
            raise SpecError(
                f"a tenon {say(size)} leaves no shoulders on a leg {say(leg)}",
                field=f"tenons.{name}",
                allowed=f"at most {say(leg - 2 * LEAST_SHOULDER)}",
            )
    return snap(wide), snap(thick)


def _inset(
    spec: SawBenchSpec, angles: LegAngles, tenon: tuple[float, float], say: Say
) -> tuple[float, float]:
    """The legs' axes from the plank's end and edge; its mortises stay inside the plank."""
    legs, top = spec.legs, spec.top
    apart = top.kind == "split"
    # Of two planks each has its own legs, whole shoulders and all.
    wide = 2 * top.board if apart else top.width
    half_x, half_y = angles.level_section(tenon[0] + 2 * spec.tenons.flare, tenon[1])
    foot_x, foot_y = angles.level_section(legs.width, legs.thickness)
    along, across = angles.slopes
    sides = legs.set_in_sides
    if sides is None:
        sides = min(max(1.1 * legs.thickness, foot_y), wide / 4)
    for name, inset, half, foot, room, shift in (
        ("set_in_ends", legs.set_in_ends, half_x, foot_x, spec.length, top.thickness * along),
        ("set_in_sides", sides, half_y, foot_y, wide, top.thickness * across),
    ):
        least = max(half + LEAST_WALL, foot)  # all of the shoulders under the plank
        # The two mortises lean toward each other on their way up.
        most = room / 2 - shift - half - LEAST_WALL
        if apart or name == "set_in_ends":
            most = min(most, room / 2 - foot_x)
        if not least - 1e-9 <= inset <= most + 1e-9:
            none = "top.gap" if apart and name == "set_in_sides" else f"legs.{name}"
            larger = "wider planks, or a narrower gap" if apart else "a larger plank"
            words = f"{say(least)} to {say(most)}" if most > least else larger
            raise SpecError(
                f"legs whose axes stand {say(inset)} in come out beside the plank, or their "
                "mortises into each other",
                field=f"legs.{name}" if most > least else none,
                allowed=words,
            )
    return snap(legs.set_in_ends), snap(sides)


def _wedges(spec: SawBenchSpec, angles: LegAngles, tenon: tuple[float, float], say: Say) -> None:
    """The wedges leave enough of the tenon, and end in the plank on all sides."""
    t, fit, (wide, thick) = spec.tenons, get_fit(spec.fit), tenon
    if t.wedges == 0:
        return
    spread = 2 * t.flare + fit.edge.mid
    taken = t.wedges * t.kerf + spread
    if taken > wide / 2:
        raise SpecError(
            f"{t.wedges} wedges {say(taken)} thick together are too much for a tenon "
            f"{say(wide)} wide",
            field="tenons.wedges",
            allowed=f"together at most {say(wide / 2)}: fewer wedges, a narrower kerf, a smaller "
            "flare, or a wider tenon",
        )
    slant = angles.beyond_level(wide, thick + fit.cheek.high)
    crossing = spec.top.thickness * angles.stretch
    if slant >= (1.0 - KERF_SHARE) * crossing:
        raise SpecError(
            f"legs that lean so much leave no room for wedges in a plank {say(spec.top.thickness)} "
            "thick",
            field="top.thickness",
            allowed=f"at least {say(slant / (1.0 - KERF_SHARE) / angles.stretch)}, a smaller lean, "
            "or tenons.wedges: 0",
        )


def _rails(spec: SawBenchSpec, angles: LegAngles, under: float, say: Say) -> None:
    rail, legs = spec.end_rails, spec.legs
    if rail.notch > legs.width / 3:
        raise SpecError(
            f"notches {say(rail.notch)} deep weaken legs {say(legs.width)} wide",
            field="end_rails.notch",
            allowed=f"at most {say(legs.width / 3)}",
        )
    if rail.notch >= rail.thickness:
        raise SpecError(
            f"a rail {say(rail.thickness)} thick lies {say(rail.notch)} deep in the legs",
            field="end_rails.notch",
            allowed=f"less than {say(rail.thickness)}",
        )
    rise = rail.width * math.cos(angles.splay) + rail.thickness * math.sin(angles.splay)
    most = under - rise - LEAST_ROOM
    least = (rail.thickness + legs.width) * math.sin(angles.splay) + LEAST_ROOM
    if not least <= rail.height <= most:
        raise SpecError(
            f"a rail {say(rail.width)} wide, {say(rail.height)} above the floor, does not lie "
            "between floor and plank",
            field="end_rails.height",
            allowed=f"{say(least)} to {say(most)}" if most > least else "a narrower rail",
        )


__all__ = ["SawLayout", "lay_out_saw_bench"]
