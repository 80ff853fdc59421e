"""The reader of spec files: right specs from every way to write them."""

import dataclasses
import pickle
import subprocess
import sys
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given

from tests.generators.spec_mappings import (
    HEAD,
    assert_same,
    mappings,
)
from treenail.generators import families
from treenail.generators.frame_spec import DogHoles, FrameBenchSpec, Top
from treenail.generators.params import Param, count, mm, params, section
from treenail.generators.spec_file import build_spec, read_spec, read_spec_text
from treenail.generators.spec_values import inner_limits, range_text
from treenail.generators.usual_sizes import usual_spec
from treenail.timber.errors import SpecError
from treenail.timber.lengths import parse_length


def test_a_file_is_read_with_the_line_of_each_field(tmp_path: Path) -> None:
    path = tmp_path / "bench.yaml"
    path.write_text(
        "# the long one\n"
        "bench: frame\n"
        "units: mm\n"
        "length: 6' 6 1/2\"   # a door's height\n"
        "top:\n"
        "  thickness: 2 7/8 in\n"
        "  dog_holes: {rows: 2, diameter: 20}\n"
        "pegs:\n"
        "shelf:\n"
        "  enabled: true\n",
        encoding="utf-8",
    )
    for source in (path, str(path)):
        document = read_spec(source)
        assert document.family == "frame"
        assert document.units == "mm"
        assert document.file == str(path)
        spec = document.spec
        assert spec.length == pytest.approx(78.5 * 25.4, abs=1e-9)
        assert spec.top.thickness == pytest.approx(73.025, abs=1e-9)
        assert (spec.top.dog_holes.rows, spec.top.dog_holes.diameter) == (2, 20.0)
        assert spec.pegs == usual_spec("frame", "mm").pegs
        assert spec.shelf.enabled is True
        assert spec.upper_long.haunch is True
        assert document.lines["top.thickness"] == 6
        assert document.lines["top.dog_holes.diameter"] == 7
        assert document.lines["shelf.enabled"] == 10
    document = read_spec(path)
    assert read_spec(path.read_bytes()).spec == document.spec
    assert pickle.loads(pickle.dumps(document)) == document


def test_a_section_keeps_the_defaults_that_its_bench_gives_it() -> None:
    spec = read_spec_text(HEAD + "upper_long: {width: 6}\nupper_end: {width: 6}\n").spec
    assert spec.upper_long == dataclasses.replace(FrameBenchSpec().upper_long, width=152.4)
    assert spec.upper_long.haunch
    assert not spec.upper_end.haunch


def test_windows_files_and_byte_order_marks_are_read() -> None:
    content = b"\xef\xbb\xbfbench: frame\r\nunits: in\r\nlength: 72\r\n"
    assert read_spec(content).spec.length == pytest.approx(1828.8, abs=1e-9)


@pytest.mark.parametrize(
    "written",
    ['78-1/2"', "6' 6 1/2\"", "6' 6½\"", '"78.5 in"', "6 ft 6-1/2 in", "1993.9 mm",
     "199.39 cm", "'78 1/2 in'", "{bare}", "'{bare}'"],
)  # fmt: skip
@pytest.mark.parametrize("units, bare", [("in", "78 1/2"), ("in", "78.5"), ("mm", "1993.9")])
def test_the_same_length_in_many_words(written: str, units: str, bare: str) -> None:
    spec = read_spec_text(
        f"bench: frame\nunits: {units}\nlength: {written.format(bare=bare)}\n"
    ).spec
    assert spec.length == pytest.approx(1993.9, abs=1e-9)


@given(mappings(FrameBenchSpec))
def test_inches_and_millimetres_give_the_same_bench(given_mm: dict[str, Any]) -> None:
    def convert(spec: Any, values: dict[str, Any]) -> dict[str, Any]:
        declared = params(spec)
        return {
            name: convert(declared[name].default, value)
            if isinstance(value, dict)
            else f"{value / 25.4:.12f}"
            if declared[name].kind == "length" and value is not None
            else f"{value:.12f} C"
            if declared[name].kind == "temperature" and value is not None
            else value
            for name, value in values.items()
        }

    one = build_spec(FrameBenchSpec, given_mm, units="mm")
    other = build_spec(FrameBenchSpec, convert(FrameBenchSpec, given_mm), units="in")
    assert_same(one, other)
    # A spec's own values make the spec again: batches and caches rely on it.
    assert build_spec(FrameBenchSpec, dataclasses.asdict(one), units="mm") == one


def test_a_sections_own_class_is_taken_in_millimetres() -> None:
    top = Top(thickness=60.0, dog_holes=DogHoles(diameter=20.0, setback=None))
    assert build_spec(FrameBenchSpec, {"top": top}, units="in").top == top
    with pytest.raises(SpecError, match=r"top\.thickness.*too large"):
        build_spec(FrameBenchSpec, {"top": Top(thickness=1e4)}, units="in")


def test_numbers_of_other_libraries_are_numbers() -> None:
    spec = build_spec(
        FrameBenchSpec,
        {
            "length": np.int64(72),
            "depth": np.float32(24.5),
            "bolts": {"per_stretcher": np.int16(2)},
        },
        units="in",
    )
    assert spec.length == pytest.approx(72 * 25.4, abs=1e-9)
    assert spec.depth == pytest.approx(24.5 * 25.4, abs=1e-9)
    assert type(spec.bolts.per_stretcher) is int


LENGTHS = [
    (name, param)
    for cls in (FrameBenchSpec, Top, DogHoles, type(FrameBenchSpec().pegs))
    for name, param in params(cls).items()
    if param.kind == "length"
]


@pytest.mark.parametrize("param", [p for _, p in LENGTHS], ids=[n for n, _ in LENGTHS])
@pytest.mark.parametrize("units", ["in", "mm"])
def test_a_limit_that_is_shown_is_allowed(param: Param, units: Any) -> None:
    shown = range_text(param, units).removesuffix(", or auto").split(" to ")
    low, high = (parse_length(text, unit=units) for text in shown)
    assert param.low is not None
    assert param.high is not None
    assert param.low <= low + 1e-12
    assert high - 1e-12 <= param.high
    # The nearest 1/32 in, or a rounder figure within a twentieth.
    assert low - param.low < max(25.4 / 32, param.low / 20 + 1e-9)
    assert param.high - high < 25.4 / 32 + param.high / 20
    assert param.default is None or low - 1e-9 <= param.default <= high + 1e-9
    if units == "mm":
        limits = [float(x) for x in inner_limits(param, units, steps=100)]
        assert limits == pytest.approx([low, high], abs=1e-9)


def test_limits_are_told_in_round_inches() -> None:
    told = {name: range_text(param, "in") for name, param in params(FrameBenchSpec).items()}
    assert told["length"] == '12" to 236"'  # 300 to 6000 mm
    assert told["cutter"] == '3/32" to 1 1/2"'
    assert range_text(params(Top)["thickness"], "in") == '13/16" to 7 1/2"'


@pytest.mark.parametrize(
    "field, value, inside",
    [
        ("length", 300, True), ("length", 300 - 2e-9, False),
        ("length", 6000, True), ("length", 6000 + 2e-9, False),
        ("length", "300 mm", True), ("length", "299.999999 mm", False),
        ("moisture.at_build", 3, True), ("moisture.at_build", 20.0001, False),
        ("bolts.per_stretcher", 12, True), ("bolts.per_stretcher", 13, False),
        ("pegs.offset", 0, True), ("pegs.offset", -2e-9, False),
    ],
)  # fmt: skip
def test_ranges_include_their_ends(field: str, value: Any, inside: bool) -> None:
    mapping: Any = value
    for name in reversed(field.split(".")):
        mapping = {name: mapping}
    if inside:
        build_spec(FrameBenchSpec, mapping, units="mm")
    else:
        with pytest.raises(SpecError, match=r"too (small|large)") as caught:
            build_spec(FrameBenchSpec, mapping, units="mm")
        assert caught.value.field == field
        assert " to " in (caught.value.allowed or "")


def test_own_woods_are_read() -> None:
    document = read_spec_text(
        HEAD
        + "species: skerry elm\n"
        + "species_added:\n"
        + "  - name: skerry elm\n"
        + "    group: hardwood\n"
        + "    g_12: 0.55\n"
        + "    shrink_radial: 4.8\n"
        + "    shrink_tangential: 8.1\n"
        + "    mor: 80 MPa\n"
        + "    hardness: 3800\n"
        + "    source: invented\n"
    )
    (wood,) = document.own_species
    assert (wood.key, wood.name, wood.g_12) == ("skerry_elm", "skerry elm", 0.55)
    assert (wood.mor, wood.hardness_n) == pytest.approx((80.0, 3800.0))
    assert document.spec.species == "skerry elm"
    assert document.lines["species_added.1.g_12"] == 7


@dataclasses.dataclass(frozen=True, kw_only=True)
class Box:
    """A section with a rule between its fields."""

    inner: float = mm(10, low=1, high=100, why="Inside.")
    outer: float = mm(20, low=1, high=100, why="Outside.")

    def __post_init__(self) -> None:
        if self.inner >= self.outer:
            raise SpecError("inner isn't less than outer", field="inner")


@dataclasses.dataclass(frozen=True, kw_only=True)
class ChestSpec:
    """A made-up family."""

    drawers: int = count(3, low=1, high=9, why="Drawers.")
    box: Box = section(Box, why="A box.")


def test_a_rule_of_the_dataclass_gets_its_place() -> None:
    with pytest.raises(SpecError) as caught:
        build_spec(
            ChestSpec, {"box": {"inner": 30}}, units="mm", file="chest.yaml",
            lines={"box": 2, "box.inner": 3},
        )  # fmt: skip
    assert str(caught.value) == "chest.yaml, line 3, box.inner: inner isn't less than outer"


def test_families_are_added_and_never_replaced(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(families, "FAMILIES", families.Families({**families.FAMILIES}))
    families.register_family("chest", ChestSpec)
    families.register_family("chest", ChestSpec)
    assert families.family_spec("chest") is ChestSpec
    assert families.family_of(ChestSpec()) == "chest"
    assert families.family_of(FrameBenchSpec) == "frame"
    with pytest.raises(SpecError, match="already"):
        families.register_family("frame", ChestSpec)
    with pytest.raises(SpecError, match="lower-case"):
        families.register_family("Big chest", ChestSpec)
    with pytest.raises(SpecError, match="not a dataclass"):
        families.register_family("box", dict)
    with pytest.raises(SpecError, match="not the spec of a family"):
        families.family_of(Box())

    taken = dataclasses.make_dataclass(
        "Taken", [("units", int, count(1, low=0, high=2, why="A clash."))], frozen=True
    )
    with pytest.raises(SpecError, match="means something else"):
        families.register_family("taken", taken)


def test_every_declared_default_is_allowed() -> None:
    for units in ("in", "mm"):
        given_mm = {"top": FrameBenchSpec().top, "posts": FrameBenchSpec().posts}
        assert build_spec(FrameBenchSpec, given_mm, units=units) == FrameBenchSpec()
    default = dataclasses.asdict(FrameBenchSpec())
    assert build_spec(FrameBenchSpec, default, units="mm") == FrameBenchSpec()


def test_reading_a_spec_brings_in_nothing_slow() -> None:
    code = (
        "import sys\n"
        "from treenail.generators.spec_file import read_spec_text\n"
        "from treenail.generators.starter import starter_text\n"
        "read_spec_text(starter_text('frame', 'in'))\n"
        "slow = {'cadquery', 'OCP', 'numpy', 'scipy', 'pint'} & set(sys.modules)\n"
        "assert not slow, slow\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
