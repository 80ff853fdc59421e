"""Species: loading, looking up by name, and woods that a spec brings along."""

import pickle
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from treenail.timber.errors import SpecError
from treenail.timber.species import (
    Species,
    g_0_from_g_12,
    g_12_from_g_0,
    get_species,
    load_species,
    species_from_mapping,
)

WOODS = sorted(load_species())
OWN: dict[str, Any] = {
    "name": "Wharf oak",
    "group": "hardwood",
    "g_12": 0.7,
    "mor": "15000 psi",
    "moe": "12 GPa",
    "cpar": 50,
    "cperp": 7,
    "shear": 13,
    "hardness": "1400 lbf",
    "shrink_radial": 5.0,
    "shrink_tangential": 10.0,
    "source": "invented for this test",
}


def test_there_are_enough_bench_woods() -> None:
    assert len(WOODS) >= 20
    assert load_species() is load_species()


def test_the_table_cannot_be_changed() -> None:
    table: Any = load_species()
    with pytest.raises(TypeError):
        table["white_ash"] = None
    wood: Any = table["white_ash"]
    with pytest.raises(AttributeError):
        wood.g_12 = 1.0


@pytest.mark.parametrize("key", WOODS)
def test_every_row_is_whole_and_plausible(key: str) -> None:
    wood = load_species()[key]
    assert wood.key == key
    assert pickle.loads(pickle.dumps(wood)) == wood
    assert wood.g_green is not None
    assert wood.g_green < wood.g_12 < wood.g_0 < 1.0
    assert 0.0 < wood.c_radial < wood.c_tangential < 0.006
    assert 0.0 < wood.shrink_radial < wood.shrink_tangential < 15.0
    assert wood.shear < wood.mor
    assert wood.cperp < wood.cpar < wood.mor < wood.moe / 50
    for basis, source in (
        (wood.shrinkage_basis, wood.source_shrinkage),
        (wood.movement_basis, wood.source_movement),
    ):
        assert basis in {"printed", "group", "derived", "memory"}
        assert "FPL-GTR-190 (2010), Table" in source
        assert ("from memory" in source) == (basis == "memory")
    assert "FPL-GTR-282 (2021), Table 5-3b" in wood.source_mechanical


@pytest.mark.parametrize(
    "name, key",
    [
        ("ash", "white_ash"),
        ("White Ash", "white_ash"),
        ("hard maple", "hard_maple"),
        ("HARD-MAPLE", "hard_maple"),
        ("sugar maple", "hard_maple"),
        ("Hard maple (sugar maple)", "hard_maple"),
        ("red oak", "northern_red_oak"),
        ("oak, red", "northern_red_oak"),
        ("Walnut, black", "black_walnut"),
        ("southern yellow pine", "loblolly_pine"),
        ("Douglas-fir", "douglas_fir"),
        ("yellow poplar", "yellow_poplar"),
    ],
)
def test_names(name: str, key: str) -> None:
    assert get_species(name).key == key


@pytest.mark.parametrize("key", WOODS)
def test_every_name_leads_to_its_own_row(key: str) -> None:
    wood = load_species()[key]
    for name in (key, wood.name, *wood.aliases):
        assert get_species(name) is wood


@pytest.mark.parametrize(
    "name, hints",
    [
        ("oak", ["northern_red_oak", "white_oak"]),
        ("maple", ["hard_maple", "soft_maple"]),
        ("wallnut", ["black_walnut"]),
        ("hard mapel", ["hard_maple"]),
    ],
)
def test_near_misses_are_named(name: str, hints: list[str]) -> None:
    with pytest.raises(SpecError) as caught:
        get_species(name, field="top.species")
    text = str(caught.value).split("; allowed:", maxsplit=1)[0]
    assert all(hint in text for hint in hints)
    assert caught.value.field == "top.species"
    assert caught.value.allowed
    assert "white_ash" in caught.value.allowed


@pytest.mark.parametrize("name", ["", "unobtainium", "x" * 5000, 7, None, ["ash"]])
def test_unknown_names_are_refused(name: Any) -> None:
    with pytest.raises(SpecError) as caught:
        get_species(name)
    assert len(str(caught.value)) < 800


@given(st.floats(0.1, 1.2))
def test_the_two_bases_turn_into_each_other(g: float) -> None:
    assert g_12_from_g_0(g_0_from_g_12(g)) == pytest.approx(g, rel=1e-12)
    assert g_0_from_g_12(g) > g


@given(key=st.sampled_from(WOODS), mc=st.floats(0, 29), more=st.floats(0.1, 50))
def test_density_and_gravity_follow_the_moisture(key: str, mc: float, more: float) -> None:
    wood = load_species()[key]
    assert wood.specific_gravity(0.0) == wood.g_0
    assert wood.specific_gravity(12.0) == pytest.approx(wood.g_12, rel=1e-12)
    # Wetter wood is heavier per volume, but its dry mass is spread over more of it.
    assert wood.density(mc + more) > wood.density(mc)
    assert wood.specific_gravity(mc + more) < wood.specific_gravity(mc)
    # Above fibre saturation only water is added.
    gained = wood.density(40.0 + more) - wood.density(40.0)
    assert gained == pytest.approx(10.0 * wood.specific_gravity(30.0) * more, rel=1e-9)


@pytest.mark.parametrize("mc", [-1.0, 201.0, float("nan")])
def test_density_needs_a_moisture_content(mc: float) -> None:
    with pytest.raises(SpecError, match="not a moisture content"):
        get_species("ash").density(mc)


def test_a_species_of_ones_own() -> None:
    wood = species_from_mapping("wharf_oak", OWN)
    assert isinstance(wood, Species)
    assert (wood.key, wood.name, wood.group) == ("wharf_oak", "Wharf oak", "hardwood")
    assert wood.mor == pytest.approx(103.42, abs=0.01)
    assert wood.moe == 12000.0
    assert wood.hardness_n == pytest.approx(6227.5, abs=0.1)
    assert wood.c_tangential == pytest.approx((10 / 3000) / (1 - 20 * 10 / 3000), rel=1e-12)
    assert wood.g_0 == pytest.approx(0.7 / (1 - 0.108 * 0.7), rel=1e-12)
    assert wood.mechanical_basis == wood.movement_basis == "user"
    assert wood.source_mechanical == "invented for this test"


def test_what_is_left_out_is_estimated_and_says_so() -> None:
    short = {k: OWN[k] for k in ("name", "group", "shrink_radial", "moe")}
    wood = species_from_mapping("x", {**short, "g_0": 0.75, "c_tangential": 0.003})
    assert wood.mechanical_basis == "estimated"
    assert wood.moe == 12000.0
    assert "mor, cpar, cperp, shear, hardness estimated" in wood.source_mechanical
    assert "from memory" in wood.source_mechanical
    assert wood.g_12 == pytest.approx(0.75 / 1.081, rel=1e-12)
    assert wood.shrink_tangential == pytest.approx(9 / 1.06, rel=1e-12)


@pytest.mark.parametrize(
    "change, field, word",
    [
        ({"name": None}, "species.x.name", "missing"),
        ({"name": 7}, "species.x.name", "not a text"),
        ({"group": "metal"}, "species.x.group", "not a group"),
        ({"g_12": 0.01}, "species.x.g_12", "can't be"),
        ({"g_12": float("nan")}, "species.x.g_12", "can't be"),
        ({"g_12": 10**400}, "species.x.g_12", "can't be"),
        ({"g_12": "0.7"}, "species.x.g_12", "not a number"),
        ({"g_12": True}, "species.x.g_12", "not a number"),
        ({"g_0": 0.6}, "species.x.g_0", "less than g_12"),
        ({"g_12": ...}, "species.x", "specific gravity is missing"),
        ({"moe": "12 kg"}, "species.x.moe", "not a stress"),
        ({"moe": 12}, "species.x.moe", "can't be"),
        ({"hardness": "soft"}, "species.x.hardness", "not a force"),
        ({"shrink_radial": ...}, "species.x", "radial movement is missing"),
        ({"shrink_tangential": 90}, "species.x.shrink_tangential", "can't be"),
        ({"denstiy": 700}, "species.x", "not a figure"),
        ({"shrink_radal": 5}, "species.x", "did you mean shrink_radial"),
        ({"source": ""}, "species.x.source", "not a text"),
    ],
)
def test_wrong_figures_are_refused(change: dict[str, Any], field: str, word: str) -> None:
    figures = {k: v for k, v in (OWN | change).items() if v is not ...}
    with pytest.raises(SpecError) as caught:
        species_from_mapping("x", figures)
    assert caught.value.field == field
    assert word in str(caught.value)
    assert caught.value.allowed


def test_a_species_needs_a_mapping() -> None:
    wrong: Any = 0.7
    with pytest.raises(SpecError, match="needs figures"):
        species_from_mapping("x", wrong)
