"""The reader of spec files: right specs from every way to write them, else one clear error."""

import dataclasses
import math
import pickle
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from tests.generators.spec_mappings import mappings, rubbish
from treenail.generators import families
from treenail.generators.frame_spec import DogHoles, FrameBenchSpec, Top
from treenail.generators.params import Param, count, mm, params, section
from treenail.generators.spec_file import SpecDocument, build_spec, read_spec, read_spec_text
from treenail.generators.spec_values import dotted_fields, inner_limits, range_text
from treenail.generators.yaml_lines import MAX_BYTES, read_tree
from treenail.timber.errors import SpecError
from treenail.timber.lengths import parse_length

HEAD = "bench: frame\nunits: in\n"
FIELDS = dotted_fields(FrameBenchSpec)
NAMES = tuple({name.rpartition(".")[2] for name in FIELDS})


def refusal(body: str, head: str = HEAD) -> SpecError:
    with pytest.raises(SpecError) as caught:
        read_spec_text(head + body, file="bench.yaml")
    assert caught.value.file == "bench.yaml"
    return caught.value


def outcome(reader: Callable[..., Any], *args: Any, **kwargs: Any) -> Any:
    """Return what a reader returns, or the SpecError that it raises; nothing else may happen."""
    try:
        return reader(*args, **kwargs)
    except SpecError as error:
        return error


def lengths_of(spec: Any) -> dict[str, float]:
    found: dict[str, float] = {}
    for name, param in params(spec).items():
        value = getattr(spec, name)
        if param.kind == "section":
            found |= {f"{name}.{inner}": x for inner, x in lengths_of(value).items()}
        elif isinstance(value, float):
            found[name] = value
    return found


def assert_same(one: Any, other: Any) -> None:
    """Equal, every float to 1e-9."""
    ours, theirs = lengths_of(one), lengths_of(other)
    assert ours.keys() == theirs.keys()
    for name, value in ours.items():
        assert value == pytest.approx(theirs[name], abs=1e-9, rel=0), name

    def rest(spec: Any) -> dict[str, Any]:
        return {
            name: rest(getattr(spec, name)) if param.kind == "section" else getattr(spec, name)
            for name, param in params(spec).items()
            if not isinstance(getattr(spec, name), float)
        }

    assert rest(one) == rest(other)


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
        assert spec.pegs == FrameBenchSpec().pegs
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
    assert low - param.low < 25.4 / 32
    assert param.high - high < 25.4 / 32
    steps = 32 if units == "in" else 100
    scale = 25.4 if units == "in" else 1.0
    assert [float(x) * scale for x in inner_limits(param, units, steps=steps)] == pytest.approx(
        [low, high], abs=1e-9
    )


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


def test_a_range_error_shows_both_what_was_given_and_what_is_allowed() -> None:
    error = refusal("top:\n  thickness: 12 in\n")
    assert str(error) == (
        "bench.yaml, line 4, top.thickness: '12 in' is 12\", which is too large;"
        ' allowed: 13/16" to 7 27/32"'
    )
    assert "is 0.1 in, which is too small" in str(refusal("height: 0.1\n"))
    # 60 is no thickness in inches, but one in mm: the slip that costs the most.
    assert "in mm it would fit" in str(refusal("top: {thickness: 60}\n"))
    assert "would fit" not in str(refusal("top: {thickness: 60 in}\n"))


@pytest.mark.parametrize(
    "body, line, words",
    [
        ("lenght: 60", 3, ["no field 'lenght'", "did you mean 'length'"]),
        ("Length: 60", 3, ["did you mean 'length'"]),
        ("unit: mm", 3, ["did you mean 'units'"]),
        ("strip: 2", 3, ["belongs to top.strip"]),
        ("top.strip: 2", 3, ["write strip indented under top"]),
        ("colour: red", 3, ["no field 'colour'", "length", "pegs"]),
        ("top:\n  thicknes: 3", 4, ["top.thicknes", "'thickness'"]),
        ("fit: malet", 3, ["did you mean 'mallet'", "mallet, hand press, easy"]),
        ("fit: true", 3, ["not one of the words"]),
        ("shelf:\n  enabled: yes", 4, ["neither true nor false"]),
        ("shelf: {enabled: 1}", 3, ["neither true nor false"]),
        ("bolts: {per_stretcher: auto}", 3, ["can't be left to auto", "0 to 12"]),
        ("bolts: {per_stretcher: 2.5}", 3, ["not a whole number"]),
        ("bolts: {per_stretcher: 0x2}", 3, ["not a whole number"]),
        ("moisture: {at_build: wet}", 3, ["not a percentage", "3 to 20 %"]),
        ("length: 1:30", 3, ["not a length"]),
        ("length: .inf", 3, ["not a length"]),
        ("length: 1/0", 3, ["divides by zero"]),
        ("length: null", 3, ["not a length"]),
        ("top: {sections: nul}", 3, ["not a whole number", "or auto"]),
        ("length:", 3, ["nothing stands after the colon"]),
        ("length: [60]", 3, ["a list stands where a length belongs"]),
        ("length: {a: 60}", 3, ["a section stands where a length belongs"]),
        ("top: 3", 3, ["where fields of a section belong"]),
        ("top: [3]", 3, ["where fields of a section belong"]),
        ('name: ""', 3, ["the text is empty"]),
        ("name: a/b", 3, ["'/'"]),
        ("name: Æsc", 3, ["'Æ'"]),
        ('name: "a\\nb"', 3, ["up to 60"]),
        (f"name: {'x' * 61}", 3, ["61 characters"]),
        ("bench: frame", 3, ["'bench' is given twice", "line 1"]),
        ("top: {strip: 1, strip: 2}", 3, ["'strip' is given twice"]),
        ("length: &l 60\ndepth: 24", 3, ["&l", "anchors are not read"]),
        ("top: &t {strip: 1}", 3, ["anchors are not read"]),
        ("length: 60\ndepth: *l", 4, ["*l", "aliases are not read"]),
        ("top:\n  <<: {strip: 2}", 4, ["merge keys are not read"]),
        ("length: !!int 60", 3, ["tag"]),
        ("top: !!python/object:os.system {}", 3, ["tag"]),
        ("length: 60\n---\nlength: 61", 4, ["second document"]),
        ("? [a]\n: 3", 3, ["has to be a word"]),
        ('"": 3', 3, ["a field without a name"]),
        (": 3", 3, ["doesn't fit what stands above"]),
        ("1: 3", 3, ["no field '1'"]),
        ("\tlength: 60", 3, ["a tab", "spaces"]),
        ("top:\n\tstrip: 2", 4, ["a tab", "in front of the field"]),
        ('length: "60\ndepth: 24', 3, ["never closed"]),
        ("length: \"5' 3\"\"\ndepth: 24", 3, ["never closed"]),
        ('length: "60\nname: "x"', 3, ["not closed on its line"]),
        ("length: 60\n  depth: 24", 3, ["runs on into line 4", "indented too far"]),
        ("top:\n    strip: 2\n  thickness: 3", 5, ["indentation"]),
        ("length: 60\ndepth\nheight: 34", 4, ["no colon"]),
        ("length: 60\n  61", 3, ["runs on into line 4"]),
        ("name: |\n  a\n  b", 3, ["runs on"]),
        ("length: @60", 3, ["not YAML"]),
        ('name: "\\UFFFFFFFF"', 3, ["not YAML"]),
        ("name: a\x01b", 3, ["U+0001"]),
        ("species_added: " + "[" * 200, 3, ["nested too deep"]),
        ("length: 3: 4", 3, ["a colon", "lacks quotes"]),
        ("length: '60 in' or so", 3, ["text after a closing quote"]),
        ("top: {a: {b: {c: {d: {e: {f: {g: {h: {i: {j: 1}}}}}}}}}}", 3, ["nested too deep"]),
        ("species_added: elm", 3, ["not a list"]),
        ("species_added: [elm]", 3, ["not a wood"]),
        ("species_added:\n - name: sea elm\n   group: hardwod", 5, ["hardwood, softwood"]),
        ("species_added:\n - name: sea/elm", 4, ["can't be a wood's name"]),
        ("species_added:\n - name: white ash", 4, ["known already"]),
        ("species_added:\n - group: hardwood", 4, ["name is missing"]),
        ("species_added:\n - name: sea elm\n   g_12: [1]", 5, ["a list", "figure"]),
    ],
)  # fmt: skip
def test_an_error_names_line_and_what_is_wrong(body: str, line: int, words: list[str]) -> None:
    error = refusal(body + "\n")
    assert error.line == line, error
    for word in words:
        assert word in str(error)
    assert "\n" not in str(error)


@pytest.mark.parametrize(
    "text, words",
    [
        ("", ["nothing in it"]),
        ("# only a remark\n", ["nothing in it"]),
        ("- a\n", ["a list stands where fields belong"]),
        ("frame\n", ["stands where fields belong"]),
        ("units: in\n", ["which bench", "bench: frame"]),
        ("bench: fraem\nunits: in\n", ["line 1", "did you mean 'frame'"]),
        ("bench: [frame]\nunits: in\n", ["line 1", "a list"]),
        ("bench: frame\n", ["inches or millimetres", "units: in, units: mm"]),
        ("bench: frame\nunits: cm\n", ["line 2", "'cm' is no unit", "in, mm"]),
        ("bench: frame\nunits:\n", ["line 2", "inches or millimetres"]),
    ],
)
def test_a_file_says_its_bench_and_its_units(text: str, words: list[str]) -> None:
    with pytest.raises(SpecError) as caught:
        read_spec_text(text, file="bench.yaml")
    for word in ["bench.yaml", *words]:
        assert word in str(caught.value)


def test_files_that_are_no_text(tmp_path: Path) -> None:
    path = tmp_path / "bench.yaml"
    with pytest.raises(SpecError, match="can't be read"):
        read_spec(path)
    with pytest.raises(SpecError, match="can't be read"):
        read_spec(tmp_path)
    with pytest.raises(SpecError, match="no name for a file"):
        read_spec("a\0b")
    path.write_bytes(b"bench: frame\nname: \xe9t\xe9\n")
    with pytest.raises(SpecError, match="0xe9 is not UTF-8") as caught:
        read_spec(path)
    assert caught.value.line == 2
    path.write_bytes(b"#" * (MAX_BYTES + 1))
    with pytest.raises(SpecError, match="too long"):
        read_spec(path)
    with pytest.raises(SpecError, match="too long"):
        read_spec_text("é" * (MAX_BYTES // 2 + 1))
    path.write_bytes(HEAD.encode().ljust(MAX_BYTES, b"#"))
    assert read_spec(path).spec == FrameBenchSpec()


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


def test_a_wood_given_twice() -> None:
    wood = (
        "  - name: skerry elm\n    group: hardwood\n    g_12: 0.55\n"
        "    c_radial: 0.0017\n    c_tangential: 0.0028\n"
    )
    error = refusal("species_added:\n" + wood + wood.replace("skerry elm", "Skerry-elm"))
    assert "twice" in str(error)
    assert error.line == 9


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
    monkeypatch.setattr(families, "FAMILIES", dict(families.FAMILIES))
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


@given(rubbish(NAMES), st.sampled_from(["in", "mm"]))
@example({"length": True}, "in")
@example({"length": math.nan}, "mm")
@example({"top": {"sections": math.inf, "strip": None}}, "mm")
@example({"length": 10**5000, "moisture": {"at_build": 10**5000}}, "mm")
@example({"bolts": {"per_stretcher": "9" * 5000}}, "mm")
def test_rubbish_gives_a_spec_or_a_spec_error(mapping: Any, units: Any) -> None:
    result = outcome(build_spec, FrameBenchSpec, mapping, units=units)
    assert isinstance(result, FrameBenchSpec | SpecError)
    if isinstance(result, SpecError):
        assert str(result).isprintable()
        assert len(str(result)) < 1500


@given(st.sampled_from(FIELDS), rubbish(NAMES), st.sampled_from(["in", "mm"]))
def test_rubbish_in_one_field_is_refused_at_that_field(path: str, value: Any, units: Any) -> None:
    mapping = value
    for name in reversed(path.split(".")):
        mapping = {name: mapping}
    result = outcome(build_spec, FrameBenchSpec, mapping, units=units)
    if isinstance(result, SpecError):
        assert (result.field or "").startswith(path)


YAML_BITS = st.lists(
    st.sampled_from(
        ["bench: frame", "units: in", "length: ", "60", "1 9/16", '"', "'", "\n", "\n  ", "\t",
         "- ", "[", "]", "{", "}", ",", ": ", "top:", "strip: ", "&a ", "*a", "!!int ", "<<: ",
         "? ", "|\n", ">\n", "#", "%YAML ", "---\n", "...", "species_added:\n  - name: x\n",
         "\\UFFFFFFFF", "\x85", "\u2028", "\ufeff", "é"]
    ),
    max_size=25,
).map("".join)  # fmt: skip


@given(YAML_BITS | st.text(max_size=60))
@example("%YAML " + "9" * 5000 + ".1\n---\n")
@example("bench: frame\nunits: in\nlength: 5\n\ud800: 3")
def test_any_text_gives_a_document_or_a_spec_error(text: str) -> None:
    for whole in (text, HEAD + text):
        result = outcome(read_spec_text, whole)
        assert isinstance(result, SpecDocument | SpecError)
        if isinstance(result, SpecError):
            assert result.line is None or 1 <= result.line <= len(whole.splitlines()) + 1


@given(st.binary(max_size=80))
def test_any_bytes_give_a_document_or_a_spec_error(content: bytes) -> None:
    for whole in (content, HEAD.encode() + content):
        assert isinstance(outcome(read_spec, whole), SpecDocument | SpecError)


@pytest.mark.parametrize("start", ["[", "{a: ", "- ", "? ", "[{a: "])
def test_deep_nesting_ends_early(start: str) -> None:
    with pytest.raises(SpecError):
        read_tree(start * (60_000 // len(start)))


def test_scalars_stay_what_was_written() -> None:
    tree, lines = read_tree('a: no\nb: 1:30\nc: 0777\nd: "x"\ne: 2001-01-01\nf: ~\ng: {h: [i]}')
    assert tree == {
        "a": "no", "b": "1:30", "c": "0777", "d": "x", "e": "2001-01-01", "f": "~",
        "g": {"h": ["i"]},
    }  # fmt: skip
    assert lines == dict(zip("abcdefg", range(1, 8), strict=True)) | {"g.h": 7, "g.h.1": 7}


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
