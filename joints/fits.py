"""Named fits of a tenon in its mortise: clearances as limits, modelled at mid-limit or an end.

All limits are common practice or our own choice, and say so; they carry no published source.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal, TypeAlias

from treenail.timber.errors import SpecError

INCH = 25.4


#: Where between a fit's limits the solids are built.
Model: TypeAlias = Literal["mid", "tight", "loose"]
MODELS: tuple[Model, ...] = ("mid", "tight", "loose")


@dataclass(frozen=True, slots=True)
class Limits:
    """A clearance's smallest and largest value in mm, and which of them the model is built to.

    Where both pieces exist, ``actual`` is the clearance that was measured between them.
    """

    low: float
    high: float
    model: Model = "mid"
    actual: float | None = None

    @property
    def mid(self) -> float:
        """What the model is built to, mm: half-way between the limits unless one is asked for."""
        if self.actual is not None:
            return self.actual
        if self.model == "mid":
            return (self.low + self.high) / 2.0
        return self.low if self.model == "tight" else self.high


@dataclass(frozen=True, slots=True)
class Fit:
    """A named fit.

    Attributes:
        name: as written in a spec.
        cheek: total clearance across the tenon's thickness, mm (both cheeks together).
        edge: total clearance across the tenon's width, mm (both edges together).
        bottom: gap between a blind tenon's end and the mortise's bottom, mm.
        feel: how it goes together.
        source: where the limits come from.
        swells: how much room at the edges was added to a named fit's, for a wet season, mm.
    """

    name: str
    cheek: Limits
    edge: Limits
    bottom: Limits
    feel: str
    source: str
    swells: float = 0.0

    def built(self, model: Model) -> Fit:
        """The same fit with its model built at mid-limit, or at its tight or loose end."""
        return replace(
            self,
            cheek=replace(self.cheek, model=model),
            edge=replace(self.edge, model=model),
            bottom=replace(self.bottom, model=model),
        )


_BOTTOM = Limits(INCH / 16, INCH / 8)
_METRIC_BOTTOM = Limits(1.5, 3.5)
_CP = "common practice: .002-.006 in in total for a glue line; bottom 1/16-1/8 in"

FITS: dict[str, Fit] = {
    f.name: f
    for f in (
        Fit(
            "mallet",
            Limits(0.0, 0.002 * INCH),
            Limits(0.1, 0.4),
            _BOTTOM,
            "goes home under light mallet taps; for dry joints that must not rattle",
            "our own choice, a step tighter than hand press",
        ),
        Fit(
            "hand press",
            Limits(0.002 * INCH, 0.006 * INCH),
            Limits(0.2, 0.8),
            _BOTTOM,
            "goes in by hand and holds its own weight; room for a glue line",
            _CP,
        ),
        Fit(
            "easy",
            Limits(0.006 * INCH, 0.012 * INCH),
            Limits(0.4, 1.2),
            _BOTTOM,
            "slides together and apart; for knock-down joints that pegs or wedges tighten",
            "our own choice, a step looser than hand press",
        ),
    )
}


def get_fit(name: str, *, metric: bool = False) -> Fit:
    """The fit of that name, its gap at the bottom in round mm if ``metric``.

    SpecError lists the names there are.
    """
    try:
        return replace(FITS[name], bottom=_METRIC_BOTTOM) if metric else FITS[name]
    except KeyError:
        raise SpecError(
            f"there is no fit named {name!r}", field="fit", allowed=", ".join(FITS)
        ) from None


#: Chisel and cutter sizes to which tenons are rounded (common practice), mm.
TOOL_SIZES: tuple[float, ...] = tuple(
    round(x * INCH, 9) for x in (0.25, 0.3125, 0.375, 0.5, 0.625, 0.75, 1.0)
)

#: The same where chisels and cutters are bought in millimetres.
METRIC_TOOL_SIZES: tuple[float, ...] = (6.0, 8.0, 10.0, 12.0, 16.0, 20.0, 25.0)


def tool_size_for(wanted: float, *, largest: float, metric: bool = False) -> float:
    """The tool size nearest to ``wanted`` that is not over ``largest`` (both mm).

    Below the smallest tool the smallest is given; the checks then say what it costs in wood.
    """
    sizes = METRIC_TOOL_SIZES if metric else TOOL_SIZES
    fitting = [t for t in sizes if t <= largest + 1e-9] or [sizes[0]]
    return min(fitting, key=lambda t: (abs(t - wanted), t))
