"""What the reader of spec files says to mistakes: one clear error, never anything else."""

import math
from pathlib import Path
from typing import Any

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from tests.generators.spec_mappings import FIELDS, HEAD, NAMES, outcome, rubbish
from tests.strategies import a_few
from treenail.generators.frame_spec import FrameBenchSpec
from treenail.generators.spec_file import SpecDocument, build_spec, read_spec, read_spec_text
from treenail.generators.yaml_lines import MAX_BYTES, read_tree
from treenail.timber.errors import SpecError


def refusal(body: str, head: str = HEAD) -> SpecError:
    with pytest.raises(SpecError) as caught:
        read_spec_text(head + body, file="bench.yaml")
    assert caught.value.file == "bench.yaml"
    return caught.value


def test_a_range_error_shows_both_what_was_given_and_what_is_allowed() -> None:
    error = refusal("top:\n  thickness: 12 in\n")
    assert str(error) == (
        "bench.yaml, line 4, top.thickness: '12 in' is 12\", which is too large;"
        ' allowed: 13/16" to 7 1/2"'
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


def test_a_wood_given_twice() -> None:
    wood = (
        "  - name: skerry elm\n    group: hardwood\n    g_12: 0.55\n"
        "    c_radial: 0.0017\n    c_tangential: 0.0028\n"
    )
    error = refusal("species_added:\n" + wood + wood.replace("skerry elm", "Skerry-elm"))
    assert "twice" in str(error)
    assert error.line == 9


@a_few(12)
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
