"""The canonical text of a STEP file: names, header, order."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st
from steputils import p21

from treenail.templates.step_text import MOST_NAME, TIME_STAMP, canonical, plain_name, quoted
from treenail.timber.errors import KernelError

HEAD = "ISO-10303-21;\nHEADER;\nFILE_SCHEMA(('AUTOMOTIVE_DESIGN'));\nENDSEC;\nDATA;\n"
TAIL = "ENDSEC;\nEND-ISO-10303-21;\n"
SOLIDS = [
    "#1 = MANIFOLD_SOLID_BREP('a; #9 ''x',#2);",
    "#2 = CLOSED_SHELL('',(\n  #3));",
    "#3 = DIRECTION('',(-0.,1.,-0.5));",
    "#4 = MANIFOLD_SOLID_BREP('b',#2);",
]
GRAY = (
    "#{0} = STYLED_ITEM('color',(#{1}),#{2});",
    "#{1} = PRESENTATION_STYLE_ASSIGNMENT((#{3}));",
    "#{3} = COLOUR_RGB('',0.5,0.5,0.5);",
)
SHOWN = "#{0} = MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION('',({1}),#3);"


def text_of(*entities: str) -> str:
    return HEAD + "\n".join(entities) + "\n" + TAIL


def made(*entities: str) -> str:
    return canonical(text_of(*entities), file_name="a.step", description=["a"])


def data(text: str) -> list[str]:
    return text.partition("DATA;\n")[2].partition("ENDSEC;")[0].splitlines()


@given(st.text(max_size=120))
def test_a_plain_name_is_short_ascii_and_never_empty(text: str) -> None:
    name = plain_name(text)
    assert re.fullmatch(r"[A-Za-z0-9 _.,()+-]{1,60}", name)
    assert len(name) <= MOST_NAME
    assert name == name.strip()
    assert plain_name(name) == name


@pytest.mark.parametrize(
    "text, name",
    [
        ("Skerry Point 3", "Skerry Point 3"),
        ("Établi n° 2", "Etabli n_ 2"),
        ("a'b\\c;d\n#7", "a_b_c_d__7"),
        ("скамья", "bench"),
        ("", "bench"),
        ("x" * 100, "x" * 60),
    ],
)
def test_plain_names(text: str, name: str) -> None:
    assert plain_name(text) == name


@given(st.text(st.characters(exclude_categories=["Cs"]), max_size=20))
def test_a_quoted_string_is_one_token_of_printable_ascii(text: str) -> None:
    token = quoted(text)
    assert re.fullmatch(r"'(?:[ -&(-~]|'')*'", token)


@given(st.text(st.characters(exclude_categories=["Cs"]), max_size=20))
def test_another_parser_reads_the_quoted_string_back(text: str) -> None:
    entity = f"#1 = PRODUCT({quoted(text)});"
    file = p21.loads(text_of(entity).replace("'AUTOMOTIVE_DESIGN'", "'A'"))
    read = file.data[0].instances["#1"].entity.params[0]
    assert read.replace("\\\\", "\\") == text or read == text


def test_strings_and_line_breaks_survive() -> None:
    assert data(made(*SOLIDS)) == [
        "#1=MANIFOLD_SOLID_BREP('a; #9 ''x',#2);",
        "#2=CLOSED_SHELL('',(#3));",
        "#3=DIRECTION('',(0.,1.,-0.5));",
        "#4=MANIFOLD_SOLID_BREP('b',#2);",
    ]


def test_a_string_that_runs_over_a_line_is_not_joined_by_a_strip() -> None:
    found = data(made("#1 = PRODUCT('a  \n  b',\n  $);"))
    assert "".join(found) == "#1=PRODUCT('a    b',$);"


def test_order_and_sharing_of_styles_do_not_matter() -> None:
    shared = [
        *SOLIDS,
        SHOWN.format(10, "#11,#21"),
        *(g.format(11, 12, 1, 13) for g in GRAY),
        GRAY[0].format(21, 12, 4),
    ]
    apart = [
        SHOWN.format(50, "#31,#41"),
        *(g.format(31, 32, 4, 33) for g in GRAY),
        *(g.format(41, 42, 1, 43) for g in GRAY[::-1]),
        *SOLIDS,
    ]
    assert made(*shared) == made(*apart)
    styles = data(made(*shared))[4:]
    assert styles == [
        "#5=COLOUR_RGB('',0.5,0.5,0.5);",
        "#6=PRESENTATION_STYLE_ASSIGNMENT((#5));",
        "#7=STYLED_ITEM('color',(#6),#1);",
        "#8=STYLED_ITEM('color',(#6),#4);",
        "#9=MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION('',(#7,#8),#3);",
    ]


def test_occurrences_are_numbered_in_their_order() -> None:
    found = data(
        made(
            "#1 = NEXT_ASSEMBLY_USAGE_OCCURRENCE('77','a','',#2,#2,$);",
            "#2 = PRODUCT('77','','',());",
            "#3 = NEXT_ASSEMBLY_USAGE_OCCURRENCE('12','b','',#2,#2,$);",
        )
    )
    assert found == [
        "#1=NEXT_ASSEMBLY_USAGE_OCCURRENCE('1','a','',#2,#2,$);",
        "#2=PRODUCT('77','','',());",
        "#3=NEXT_ASSEMBLY_USAGE_OCCURRENCE('2','b','',#2,#2,$);",
    ]


def test_it_is_its_own_canonical_form() -> None:
    once = made(*SOLIDS, SHOWN.format(10, "#11"), *(g.format(11, 12, 1, 13) for g in GRAY))
    assert canonical(once, file_name="a.step", description=["a"]) == once


def test_the_header_is_ours() -> None:
    text = canonical(text_of(*SOLIDS), file_name="it's.step", description=["it's", "so"])
    assert f"FILE_NAME('it''s.step','{TIME_STAMP}'," in text
    assert "FILE_DESCRIPTION(('it''s','so'),'2;1');" in text
    assert "FILE_SCHEMA(('AUTOMOTIVE_DESIGN'));" in text


@pytest.mark.parametrize("text", ["", "ISO-10303-21;", HEAD.replace("FILE_SCHEMA", "X")])
def test_what_is_no_step_file_is_refused(text: str) -> None:
    with pytest.raises(KernelError, match="no STEP file"):
        canonical(text, file_name="a", description=[])
