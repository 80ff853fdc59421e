"""How moist wood gets in a room's air, and how far it moves when that changes.

Equilibrium moisture content by the Hailwood-Horrobin model, USDA Forest Products Laboratory,
Wood Handbook, FPL-GTR-190 (2010), Eq. 4-5; movement by the dimensional change coefficient,
the same book, chapter 13. Temperatures in °C, relative humidity as a fraction (0 to 1),
moisture content in percent of the ovendry mass.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, TypeAlias

from treenail.timber.errors import SpecError

if TYPE_CHECKING:
    from treenail.timber.species import Species

__all__ = [
    "ACROSS",
    "EMC_TEMPERATURES",
    "FIBER_SATURATION",
    "MOVEMENT_RANGE",
    "RINGS",
    "Ring",
    "coefficient_from_shrinkage",
    "crush_strain",
    "emc",
    "in_movement_range",
    "movement",
    "movement_coefficient",
    "rh_for_emc",
    "shrinkage_from_coefficient",
    "thickness_coefficient",
]

Ring: TypeAlias = Literal["flat", "quarter", "rift"]

RINGS: tuple[Ring, ...] = ("flat", "quarter", "rift")
"""How the growth rings lie in a board: flat-sawn, quartersawn, or at about 45 degrees."""

EMC_TEMPERATURES = (-1.2, 132.3)
"""Temperatures that Table 4-2 covers (30 to 270 °F), °C."""

FIBER_SATURATION = 30.0
"""Moisture content above which wood no longer swells, percent (the book's average)."""

MOVEMENT_RANGE = (6.0, 14.0)
"""Moisture contents between which the coefficients hold, percent (FPL-GTR-190 ch. 13)."""

ACROSS = 0.08
"""Stiffness across the grain as a share of that along it (from memory: FPL-GTR-190 Table 5-1,
tangential, about a twelfth in hardwoods)."""


def emc(temp_c: float, rh_fraction: float) -> float:
    """Return the moisture content, percent, that wood reaches in air of this kind.

    Raises :class:`SpecError` outside :data:`EMC_TEMPERATURES` or 0 to 1.
    """
    low, high = EMC_TEMPERATURES
    if not low <= temp_c <= high:
        message = f"{temp_c!r} °C is outside the table of moisture contents"
        raise SpecError(message, field="temperature", allowed=f"{low:g} to {high:g} °C")
    if not 0.0 <= rh_fraction <= 1.0:
        message = f"{rh_fraction!r} is not a relative humidity"
        raise SpecError(message, field="humidity", allowed="a fraction, 0 to 1")
    t = temp_c
    w = 349.0 + 1.29 * t + 0.0135 * t * t
    k = 0.805 + 0.000736 * t - 2.73e-6 * t * t
    k1 = 6.27 - 0.00938 * t - 3.03e-4 * t * t
    k2 = 1.91 + 0.0407 * t - 2.93e-4 * t * t
    kh = k * rh_fraction
    monolayer = k1 * kh
    bilayer = k1 * k2 * kh * kh
    dissolved = kh / (1.0 - kh)
    hydrated = (monolayer + 2.0 * bilayer) / (1.0 + monolayer + bilayer)
    return 1800.0 / w * (dissolved + hydrated)


def rh_for_emc(temp_c: float, mc: float) -> float:
    """Return the relative humidity (a fraction) whose air holds wood at ``mc`` percent.

    Raises :class:`SpecError` where no air does (negative, or moister than in mist).
    """
    top = emc(temp_c, 1.0)
    if not 0.0 <= mc <= top:
        message = f"no air at {temp_c:g} °C holds wood at {mc!r} % moisture content"
        raise SpecError(message, field="moisture", allowed=f"0 to {top:.1f} %")
    low, high = 0.0, 1.0
    # The moisture content rises steadily with humidity, so halving finds it to the last bit.
    for _ in range(60):
        middle = 0.5 * (low + high)
        if emc(temp_c, middle) < mc:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)


def movement(width_mm: float, c: float, mc_from: float, mc_to: float) -> float:
    """Return by how many mm a width grows (negative: shrinks) between two moisture contents.

    ΔD = D·C·(M_F - M_I), FPL-GTR-190 ch. 13. It is meant for :data:`MOVEMENT_RANGE`; outside
    it the result is an estimate (see :func:`in_movement_range`), and outside 0 to
    :data:`FIBER_SATURATION`, where wood doesn't move, an error.
    """
    for mc in (mc_from, mc_to):
        if not 0.0 <= mc <= FIBER_SATURATION:
            message = f"{mc!r} % is not a moisture content at which wood moves"
            raise SpecError(message, field="moisture", allowed=f"0 to {FIBER_SATURATION:g} %")
    return width_mm * c * (mc_to - mc_from)


def in_movement_range(mc_from: float, mc_to: float) -> bool:
    """Say whether both moisture contents lie where the coefficients hold."""
    low, high = MOVEMENT_RANGE
    return low <= mc_from <= high and low <= mc_to <= high


def movement_coefficient(species: Species, ring: Ring) -> float:
    """Return the change across a board's face width, per percent of moisture content.

    Flat-sawn moves by C_T, quartersawn by C_R. In between, strain turns as a tensor does:
    with the rings at an angle a to the face, C = C_T cos² a + C_R sin² a; rift is 45
    degrees, so the mean of the two.
    """
    _check_ring(ring)
    if ring == "flat":
        return species.c_tangential
    if ring == "quarter":
        return species.c_radial
    return 0.5 * (species.c_tangential + species.c_radial)


def thickness_coefficient(species: Species, ring: Ring) -> float:
    """Return the change through a board's thickness, per percent of moisture content.

    The rings cross the thickness at the angle that complements the one to the face.
    """
    _check_ring(ring)
    turned: dict[Ring, Ring] = {"flat": "quarter", "quarter": "flat", "rift": "rift"}
    return movement_coefficient(species, turned[ring])


def _check_ring(ring: str) -> None:
    if ring not in RINGS:
        message = f"{ring!r} doesn't say how the growth rings lie"
        raise SpecError(message, field="ring", allowed=", ".join(RINGS))


def crush_strain(wood: Species) -> float:
    """The squeeze across the grain, as a share of the size, from which wood stays dented.

    Compressive stress at the proportional limit (a printed figure) over the stiffness across
    the grain (:data:`ACROSS`, from memory). It advises only.
    """
    return wood.cperp / (ACROSS * wood.moe)


def coefficient_from_shrinkage(shrinkage_percent: float) -> float:
    """Return C for a shrinkage S from green to ovendry, percent.

    C = (S/3000) / (1 - 20 S/3000): shrinkage taken as linear from 30 % to ovendry, and the
    size as that at 10 % moisture content. It links Table 4-3 to Table 13-5 of FPL-GTR-190 for
    single species to within rounding; it doesn't hold for the commercial oak groups.
    """
    if not 0.0 < shrinkage_percent < 100.0:
        message = f"{shrinkage_percent!r} is not a shrinkage"
        raise SpecError(message, field="shrinkage", allowed="0 to 100 %, usually 2 to 13")
    per_percent = shrinkage_percent / 3000.0
    return per_percent / (1.0 - 20.0 * per_percent)


def shrinkage_from_coefficient(c: float) -> float:
    """Return S, percent, for a coefficient C: :func:`coefficient_from_shrinkage` turned round."""
    if not 0.0 < c < 0.05:
        message = f"{c!r} is not a dimensional change coefficient"
        raise SpecError(message, field="coefficient", allowed="0.0005 to 0.006 per percent")
    return 3000.0 * c / (1.0 + 20.0 * c)
