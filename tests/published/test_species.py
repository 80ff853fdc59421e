"""Species against the published tables, in the units they are printed in."""

import pytest

from treenail.timber.moisture import coefficient_from_shrinkage
from treenail.timber.quantities import MPA_PER_PSI, N_PER_LBF
from treenail.timber.species import get_species, load_species

# USDA FPL-GTR-282 (2021), Table 5-3b, clear wood at 12 % moisture content: specific gravity
# (green volume; volume at 12 %), MOR psi, MOE million psi, compression along and across the
# grain psi, shear psi, side hardness lbf.
TABLE_5_3B = {
    "white_ash": (0.55, 0.60, 15400, 1.74, 7410, 1160, 1910, 1320),
    "hard_maple": (0.56, 0.63, 15800, 1.83, 7830, 1470, 2330, 1450),
    "soft_maple": (0.49, 0.54, 13400, 1.64, 6540, 1000, 1850, 950),
    "american_beech": (0.56, 0.64, 14900, 1.72, 7300, 1010, 2010, 1300),
    "yellow_birch": (0.55, 0.62, 16600, 2.01, 8170, 970, 1880, 1260),
    "northern_red_oak": (0.56, 0.63, 14300, 1.82, 6760, 1010, 1780, 1290),
    "white_oak": (0.60, 0.68, 15200, 1.78, 7440, 1070, 2000, 1360),
    "black_cherry": (0.47, 0.50, 12300, 1.49, 7110, 690, 1700, 950),
    "black_walnut": (0.51, 0.55, 14600, 1.68, 7580, 1010, 1370, 1010),
    "shagbark_hickory": (0.64, 0.72, 20200, 2.16, 9210, 1760, 2430, 1880),
    "mockernut_hickory": (0.64, 0.72, 19200, 2.22, 8940, 1730, 1740, 1970),
    "pignut_hickory": (0.66, 0.75, 20100, 2.26, 9190, 1980, 2150, 2140),
    "shellbark_hickory": (0.62, 0.69, 18100, 1.89, 8000, 1800, 2110, 1810),
    "yellow_poplar": (0.40, 0.42, 10100, 1.58, 5540, 500, 1190, 540),
    "douglas_fir": (0.45, 0.48, 12400, 1.95, 7230, 800, 1130, 710),
    "douglas_fir_north": (0.45, 0.48, 13100, 1.79, 6900, 770, 1400, 600),
    "eastern_white_pine": (0.34, 0.35, 8600, 1.24, 4800, 440, 900, 380),
    "loblolly_pine": (0.47, 0.51, 12800, 1.79, 7130, 790, 1390, 690),
    "longleaf_pine": (0.54, 0.59, 14500, 1.98, 8470, 960, 1510, 870),
    "shortleaf_pine": (0.47, 0.51, 13100, 1.75, 7270, 820, 1390, 690),
}

# USDA FPL-GTR-190 (2010), Table 4-3 (shrinkage, %) and Table 13-5 (coefficients).
TABLES_4_3_AND_13_5 = {
    "white_ash": (4.9, 7.8, 0.00169, 0.00274),
    "american_beech": (5.5, 11.9, 0.00190, 0.00431),
    "yellow_birch": (7.3, 9.5, 0.00256, 0.00338),
    "black_cherry": (3.7, 7.1, 0.00126, 0.00248),
    "black_walnut": (5.5, 7.8, 0.00190, 0.00274),
    "hard_maple": (4.8, 9.9, 0.00165, 0.00353),
    "soft_maple": (4.0, 8.2, 0.00137, 0.00289),
    "yellow_poplar": (4.6, 8.2, 0.00158, 0.00289),
    "douglas_fir": (4.8, 7.6, 0.00165, 0.00267),
}

# The same Table 13-5: coefficients of the woods whose shrinkage isn't repeated here.
TABLE_13_5 = {
    "northern_red_oak": (0.00158, 0.00369),
    "white_oak": (0.00180, 0.00365),
    "eastern_white_pine": (0.00071, 0.00212),
    "loblolly_pine": (0.00165, 0.00259),
    "longleaf_pine": (0.00176, 0.00263),
    "shagbark_hickory": (0.00259, 0.00411),
    "mockernut_hickory": (0.00259, 0.00411),
    "pignut_hickory": (0.00259, 0.00411),
    "shellbark_hickory": (0.00259, 0.00411),
}

# Sold as commercial groups, whose coefficients aren't those of one species.
OAKS = {"northern_red_oak", "white_oak"}


@pytest.mark.parametrize("key", TABLE_5_3B)
def test_mechanical_figures_are_the_printed_ones(key: str) -> None:
    wood = load_species()[key]
    shown = (
        wood.g_green,
        wood.g_12,
        wood.mor / MPA_PER_PSI,
        wood.moe / MPA_PER_PSI / 1e6,
        wood.cpar / MPA_PER_PSI,
        wood.cperp / MPA_PER_PSI,
        wood.shear / MPA_PER_PSI,
        wood.hardness_n / N_PER_LBF,
    )
    assert shown == pytest.approx(TABLE_5_3B[key], rel=1e-12)


def test_every_wood_is_checked() -> None:
    assert set(load_species()) == set(TABLE_5_3B)
    unchecked = set(TABLE_5_3B) - set(TABLES_4_3_AND_13_5) - set(TABLE_13_5)
    # No published coefficient to hand: these say so themselves.
    assert {key for key, w in load_species().items() if w.movement_basis == "memory"} == unchecked


@pytest.mark.parametrize(
    "name, moe, mor, shear, hardness",
    [
        ("sugar maple", 12600, 109_000, 16_100, 6400),
        ("northern red oak", 12500, 99_000, 12_300, 5700),
        ("black cherry", 10300, 85_000, 11_700, 4200),
    ],
)
def test_table_5_3a_in_si(name: str, moe: float, mor: float, shear: float, hardness: float) -> None:
    """FPL-GTR-282 (2021), Table 5-3a (MPa, kPa, kPa, N), to half of the printed step."""
    wood = get_species(name)
    assert wood.moe == pytest.approx(moe, abs=50)
    assert wood.mor * 1000 == pytest.approx(mor, abs=500)
    assert wood.shear * 1000 == pytest.approx(shear, abs=50)
    assert wood.hardness_n == pytest.approx(hardness, abs=50)


@pytest.mark.parametrize("key", TABLES_4_3_AND_13_5)
def test_shrinkage_and_coefficients(key: str) -> None:
    wood = load_species()[key]
    shown = (wood.shrink_radial, wood.shrink_tangential, wood.c_radial, wood.c_tangential)
    assert shown == TABLES_4_3_AND_13_5[key]


@pytest.mark.parametrize("key", TABLE_13_5)
def test_coefficients(key: str) -> None:
    wood = load_species()[key]
    assert (wood.c_radial, wood.c_tangential) == TABLE_13_5[key]


@pytest.mark.parametrize("key", sorted(set(TABLE_5_3B) - OAKS))
def test_the_identity_links_the_two_tables(key: str) -> None:
    """C = (S/3000)/(1 - 20 S/3000), to the rounding of the printed figures."""
    wood = load_species()[key]
    assert coefficient_from_shrinkage(wood.shrink_radial) == pytest.approx(
        wood.c_radial, abs=6.2e-6
    )
    assert coefficient_from_shrinkage(wood.shrink_tangential) == pytest.approx(
        wood.c_tangential, abs=6.2e-6
    )


@pytest.mark.parametrize("key", sorted(OAKS))
def test_the_oaks_coefficients_are_their_groups(key: str) -> None:
    wood = load_species()[key]
    assert wood.movement_basis == "group"
    assert "commercial group" in wood.source_movement
    assert abs(coefficient_from_shrinkage(wood.shrink_radial) - wood.c_radial) > 1e-4


def test_two_bases_of_specific_gravity() -> None:
    """Northern red oak: 0.63 in the Wood Handbook, 0.68 in the NDS (2018, Table 12.3.3A)."""
    oak = get_species("red oak")
    assert oak.g_12 == 0.63
    assert oak.g_0 == pytest.approx(0.68, abs=0.005)


@pytest.mark.parametrize("key", TABLE_5_3B)
def test_the_green_volume_column_agrees(key: str) -> None:
    """FPL-GTR-282 Table 5-3b prints specific gravity on the green volume too: an independent
    check of the formula that leads from one moisture content to another."""
    wood = load_species()[key]
    assert wood.specific_gravity(30.0) == pytest.approx(TABLE_5_3B[key][0], abs=0.022)


@pytest.mark.parametrize("name, density", [("sugar maple", 706), ("white ash", 672)])
def test_density_at_12_percent(name: str, density: float) -> None:
    """FPL-GTR-190 (2010) ch. 4: 1000 G (1 + M/100)."""
    assert get_species(name).density(12.0) == pytest.approx(density, abs=1.0)


@pytest.mark.parametrize("key", TABLE_5_3B)
def test_estimates_for_own_woods_are_near_the_table(key: str) -> None:
    """Table 5-11a's curves (from memory) against Table 5-3b: within a third for every wood."""
    from treenail.timber.species import species_from_mapping

    wood = load_species()[key]
    own = {"name": wood.name, "group": wood.group, "g_12": wood.g_12}
    own |= {"c_radial": wood.c_radial, "c_tangential": wood.c_tangential}
    guess = species_from_mapping(key, own)
    for field in ("mor", "moe", "cpar", "cperp", "shear", "hardness_n"):
        assert getattr(guess, field) == pytest.approx(getattr(wood, field), rel=1 / 3), field
