"""Pictures and the sheet of a bench: the right way up, to scale, readable, the same each time."""

import itertools
import math
import re
import xml.etree.ElementTree as ET
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scripts import gallery
from tests.house.source import ROOT
from treenail.generators.frame_bench import build_frame_bench
from treenail.generators.frame_spec import DogHoles, FrameBenchSpec, Top
from treenail.generators.solids import BenchSolids, build_solids
from treenail.templates.bench_sheet import FRONT, PLAN, SCALES, SHEET
from treenail.templates.hidden_line import Arc, Line, Path, Point
from treenail.templates.labels import LEADING, Label, _cross, place_labels
from treenail.templates.picture import bench_sheet_svg, bench_svg, describe
from treenail.templates.svg import INK, clean, curves_path, num
from treenail.timber.errors import SpecError

SVG = "{http://www.w3.org/2000/svg}"
NUMBER = re.compile(r"-?\d+(?:\.\d+)?")


@pytest.fixture(scope="module")
def solids() -> BenchSolids:
    return build_solids(gallery.example())


@pytest.fixture(scope="module")
def plain(solids: BenchSolids) -> bytes:
    return bench_svg(solids)


@pytest.fixture(scope="module")
def sheet(solids: BenchSolids) -> bytes:
    return bench_sheet_svg(solids)


def root(content: bytes) -> ET.Element:
    return ET.fromstring(content)


def texts(content: bytes) -> list[str]:
    return [e.text or "" for e in root(content).iter(f"{SVG}text")]


def line_paths(content: bytes, width: str = "0.28") -> str:
    """The data of the lines of a width."""
    return "".join(
        e.get("d") or "" for e in root(content).iter(f"{SVG}path") if e.get("stroke-width") == width
    )


def ends(data: str) -> list[tuple[Point, Point]]:
    """The straight lines in path data."""
    found = re.findall(r"M(-?[\d.]+),(-?[\d.]+)L(-?[\d.]+),(-?[\d.]+)(?![\d.,L])", data)
    return [((float(a), float(b)), (float(c), float(d))) for a, b, c, d in found]


def corners(content: bytes) -> list[Point]:
    data = line_paths(content)
    return [p for line in ends(data) for p in line]


# -- the picture ---------------------------------------------------------------------------------


def test_the_same_bench_gives_the_same_bytes(plain: bytes, sheet: bytes) -> None:
    again = build_solids(gallery.example())
    assert bench_svg(again) == plain
    assert bench_sheet_svg(again) == sheet


def test_a_picture_has_its_size_title_and_description(solids: BenchSolids, plain: bytes) -> None:
    svg = root(plain)
    assert (svg.get("width"), svg.get("height")) == ("180mm", "120mm")
    assert svg.get("viewBox") == "0 0 180 120"
    assert svg.findtext(f"{SVG}title") == solids.bench.name
    assert svg.findtext(f"{SVG}desc") == describe(solids.bench)
    assert "4 posts" in describe(solids.bench)
    assert "id=" not in plain.decode()


def test_all_lines_lie_on_the_paper(plain: bytes) -> None:
    spots = corners(plain)
    assert len(spots) > 100
    assert all(0.0 < x < 180.0 and 0.0 < y < 120.0 for x, y in spots)
    # As large as the paper lets it: it reaches the margins one way or the other.
    assert max(x for x, _ in spots) - min(x for x, _ in spots) == pytest.approx(168.0, abs=0.1) or (
        max(y for _, y in spots) - min(y for _, y in spots) == pytest.approx(108.0, abs=0.1)
    )


def test_up_is_up(solids: BenchSolids, plain: bytes) -> None:
    """The dog holes are in the upper half, the feet at the bottom."""
    svg = root(plain)
    fills = [e for e in svg.iter(f"{SVG}path") if (e.get("fill") or "none") != "none"]
    holes = [e for e in fills if (e.get("d") or "").count("Z") > 5]
    assert len(holes) == 1  # the front section's upper face, bored
    numbers = [float(n) for n in NUMBER.findall(holes[0].get("d") or "")]
    ys = numbers[1::2]
    spots = corners(plain)
    lowest = max(y for _, y in spots)
    assert max(ys) < lowest - 30.0
    assert min(y for _, y in spots) < min(ys) + 25.0
    upside_down = bench_svg(solids, up=(0.0, 0.0, -1.0), direction=(0.55, -1.0, 0.5))
    assert upside_down != plain


def test_hidden_lines_are_dashed_and_only_where_asked_for(
    solids: BenchSolids, plain: bytes
) -> None:
    assert "stroke-dasharray" not in plain.decode()
    hidden = bench_svg(solids, hidden=True)
    assert len(ends(line_paths(hidden, "0.15"))) > 100
    assert ends(line_paths(hidden)) == ends(line_paths(plain))


def test_no_line_is_drawn_twice(plain: bytes) -> None:
    lines = ends(line_paths(plain))
    for (a, b), (c, d) in itertools.combinations(lines, 2):
        # Two lines on one another would share direction, place and more than an end.
        ux, uy = (b[0] - a[0]) / math.dist(a, b), (b[1] - a[1]) / math.dist(a, b)
        if any(abs((p[0] - a[0]) * uy - (p[1] - a[1]) * ux) > 0.005 for p in (c, d)):
            continue
        t = sorted((p[0] - a[0]) * ux + (p[1] - a[1]) * uy for p in (c, d))
        assert min(t[1], math.dist(a, b)) - max(t[0], 0.0) < 0.05


def test_an_exploded_view_shows_the_joints_and_traces_where_parts_belong(
    solids: BenchSolids, plain: bytes
) -> None:
    moved = gallery.apart(solids.bench)
    assert set(moved) == set(solids.keys) | set(solids.bolts)
    got = bench_svg(solids, explode=moved)
    assert 'stroke-dasharray="2.4 0.8 0.5 0.8"' in got.decode()
    assert "Exploded view" in (root(got).findtext(f"{SVG}desc") or "")
    # Tenons, hidden in the joints before, are seen now.
    assert len(ends(line_paths(got))) > 2 * len(ends(line_paths(plain)))


def test_nothing_moved_is_nothing_exploded(solids: BenchSolids, plain: bytes) -> None:
    still = bench_svg(solids, explode={"post_front_left": (0.0, 0.0, 0.0)})
    assert line_paths(still) == line_paths(plain)


def test_labels_name_the_timbers(solids: BenchSolids) -> None:
    found = texts(bench_svg(solids, labels=True))
    assert sorted(found) == sorted(m.name for m in solids.bench.timbers)
    some = {"post_front_left": "A", "top_section_1": "B <1>"}
    assert sorted(texts(bench_svg(solids, labels=some))) == ["A", "B <1>"]
    assert "peg_upper_front_at_left_1" not in found


def test_two_parts_may_have_the_same_label(solids: BenchSolids) -> None:
    some = {"post_front_left": "post", "post_front_right": "post"}
    assert sorted(texts(bench_svg(solids, labels=some))) == ["post", "post (post_front_right)"]


def test_overall_sizes_stand_where_the_view_shows_them(solids: BenchSolids) -> None:
    assert sorted(texts(bench_svg(solids, dimensions=True))) == ['24"', '34"', '60"']
    front = bench_svg(solids, dimensions=True, direction=(0.0, -1.0, 0.0))
    assert sorted(texts(front)) == ['34"', '60"']
    plan = bench_svg(solids, dimensions=True, direction=(0.0, 0.0, 1.0), up=(0.0, 1.0, 0.0))
    assert sorted(texts(plan)) == ['24"', '60"']


def test_user_text_is_escaped(solids: BenchSolids) -> None:
    title = '5 < 6 & "so" <script>\x00\n'
    got = bench_svg(solids, title=title)
    assert root(got).findtext(f"{SVG}title") == '5 < 6 & "so" <script>\N{REPLACEMENT CHARACTER}'
    assert b"<script" not in got


@pytest.mark.parametrize("make", [bench_svg, bench_sheet_svg])
def test_a_bench_that_failed_its_checks_is_marked(
    make: Callable[..., bytes], solids: BenchSolids, plain: bytes, sheet: bytes
) -> None:
    bad = make(solids, passed=False)
    assert any("NOT PASSED" in t for t in texts(bad))
    assert (root(bad).findtext(f"{SVG}desc") or "").startswith("NOT PASSED")
    assert b"NOT PASSED" not in plain + sheet


def test_what_can_t_be_drawn_is_refused_with_its_place(solids: BenchSolids) -> None:
    with pytest.raises(SpecError) as caught:
        bench_svg(solids, size_mm=(60.0, 40.0), labels=True)
    assert caught.value.field == "size_mm"
    for options in ({"explode": {"lid": (0.0, 0.0, 9.0)}}, {"labels": {"lid": "Lid"}}):
        with pytest.raises(SpecError, match="no part 'lid'"):
            bench_svg(solids, **options)


# -- the sheet -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("units", "spec"),
    [
        ("in", FrameBenchSpec()),
        ("mm", FrameBenchSpec(length=2400.0, depth=700.0, height=900.0)),
        (
            "mm",
            FrameBenchSpec(
                length=1200.0, depth=500.0, top=Top(dog_holes=DogHoles(rows=2, row_spacing=100.0))
            ),
        ),
    ],
)
def test_a_sheet_s_views_are_to_the_scale_that_it_states(units: str, spec: FrameBenchSpec) -> None:
    bench = build_frame_bench(spec, units=units)
    got = bench_sheet_svg(build_solids(bench))
    svg = root(got)
    assert (svg.get("width"), svg.get("height")) == ("420mm", "297mm")
    (scale,) = [t for t in texts(got) if re.fullmatch(r"1:\d+", t)]
    n = int(scale[2:])
    assert n in SCALES[units]
    level = [
        abs(b[0] - a[0])
        for e in svg.iter(f"{SVG}path")
        if e.get("stroke-width") == "0.28"
        for a, b in ends(e.get("d") or "")
        if abs(a[1] - b[1]) < 0.002
    ]
    # The top's long edges in front view and plan, its short ones in the end view.
    assert sum(abs(w - spec.length / n) < 0.01 for w in level) >= 4
    assert sum(abs(w - spec.depth / n) < 0.01 for w in level) >= 2
    assert all(0.0 <= x <= SHEET[0] and 0.0 <= y <= SHEET[1] for x, y in corners(got))


def test_a_sheet_states_the_sizes_that_set_a_bench_out(solids: BenchSolids, sheet: bytes) -> None:
    titles = [e.text for e in root(sheet).iter(f"{SVG}title")]
    for size in ('60"', '24"', '34"', '8"', '38"', '3"', '18"', '2 7/8"', '9 × 4" = 36"'):
        assert size in titles, size
    assert titles.count('34"') == 2  # front and end view
    found = texts(sheet)
    kg = sum(solids.bench.masses.values())
    assert f"{kg / 0.45359237:.0f} lb ({kg:.0f} kg)" in found
    assert solids.bench.name in found
    assert any("White ash" in t for t in found)


def test_chains_add_up_to_the_whole(sheet: bytes) -> None:
    titles = [e.text or "" for e in root(sheet).iter(f"{SVG}title")][1:]
    whole = titles.index('60"')
    assert sum(int(t.rstrip('"')) for t in titles[:whole]) == 60


def test_the_views_stand_over_and_beside_each_other() -> None:
    assert (FRONT.right, PLAN.right) == ((1.0, 0.0, 0.0), (1.0, 0.0, 0.0))


# -- labels --------------------------------------------------------------------------------------

spots = st.lists(
    st.tuples(st.integers(40, 140), st.integers(10, 110)), min_size=1, max_size=14, unique=True
)


@given(spots)
def test_labels_keep_apart_and_their_leaders_don_t_cross(at: list[tuple[int, int]]) -> None:
    targets = {f"part {i}": ([(float(x), float(y))], True) for i, (x, y) in enumerate(at)}
    labels = place_labels(targets, left=30.0, right=150.0, top=5.0, bottom=115.0, size=2.6)
    assert {label.text for label in labels} == set(targets)
    for side in (True, False):
        column = [label for label in labels if label.on_left is side]
        ys = sorted(label.at[1] for label in column)
        assert all(b - a >= LEADING * 2.6 - 1e-9 for a, b in itertools.pairwise(ys))
        assert not any(_cross(a, b) for a, b in itertools.combinations(column, 2))
        assert all(label.target == targets[label.text][0][0] for label in column)


def test_another_place_is_taken_where_a_leader_would_pass_a_mark() -> None:
    blocked = {"near": ([(60.0, 51.0)], True), "far": ([(100.0, 50.0), (100.0, 60.0)], True)}
    blocked |= {"a": ([(130.0, 20.0)], True), "b": ([(140.0, 80.0)], True)}
    labels = {
        label.text: label
        for label in place_labels(blocked, left=30.0, right=150.0, top=5.0, bottom=115.0, size=2.6)
    }
    assert labels["far"].target == (100.0, 60.0)
    assert isinstance(labels["near"], Label)


# -- small pieces --------------------------------------------------------------------------------


@given(st.floats(-1e4, 1e4))
def test_numbers_are_short_and_near(value: float) -> None:
    assert abs(float(num(value)) - value) <= 0.0005 + 1e-9
    assert re.fullmatch(r"-?\d+(\.\d{1,3})?", num(value))
    assert num(value) != "-0"


@given(st.text())
def test_any_text_can_stand_in_xml(value: str) -> None:
    element = ET.fromstring(f'<t a="{clean(value)}">{clean(value)}</t>')
    assert (element.text or "") == element.get("a")


def test_curves_go_to_the_paper_upside_down_and_scaled() -> None:
    def to(p: Point) -> Point:
        return (p[0] / 10.0, 50.0 - p[1] / 10.0)

    line, path = Line((0.0, 0.0), (100.0, 50.0)), Path(((0.0, 0.0), (10.0, 0.0), (10.0, 20.0)))
    assert curves_path([line], to, 0.1) == "M0,50L10,45"
    assert curves_path([path], to, 0.1) == "M0,50L1,50L1,48"
    half = Arc((0.0, 0.0), 100.0, 50.0, 0.0, 0.0, math.pi)
    # Counter-clockwise with y upward: over the top to the left, which SVG draws with sweep 0.
    assert curves_path([half], to, 0.1) == "M10,50A10 5 0 0 0 0,45A10 5 0 0 0 -10,50"


@pytest.mark.parametrize(
    "families", [2, pytest.param(None, marks=pytest.mark.deep)], ids=["two families", "all"]
)
def test_the_gallery_draws_what_the_readme_shows(solids: BenchSolids, families: int | None) -> None:
    drawn = {**gallery.pictures(solids), "staked.svg": gallery.staked()}
    small = sorted(gallery.family_specs(), key=lambda name: name not in ("raised.svg", "saw.svg"))
    drawn |= {name: gallery.family(gallery.family_specs()[name]) for name in small[:families]}
    shown = re.findall(r"docs/pictures/([\w.-]+)", (ROOT / "README.md").read_text("utf-8"))
    assert shown
    assert set(shown) <= set(drawn) | set(small)
    for content in drawn.values():
        assert INK.encode() in content
        root(content)
