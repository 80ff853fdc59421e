"""Solids as built: their volumes by closed form, alike ones shared, faults seen."""

from dataclasses import replace

import cadquery as cq
import pytest
from cadquery.occ_impl.shapes import check as kernel_check
from cadquery.occ_impl.shapes import compound
from cadquery.occ_impl.shapes import cut as free_cut
from hypothesis import given, settings
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeSolid
from OCP.TopoDS import TopoDS

from tests.generators.bench_grid import GRID, bench, solids
from tests.strategies import a_few, frame_specs
from treenail.generators import solids as module
from treenail.generators.frame_bench import build_frame_bench
from treenail.generators.frame_spec import FrameBenchSpec
from treenail.generators.solids import build_solids, clear_cache, is_sound, member_solid
from treenail.joints.cuts import Mortise
from treenail.timber.errors import KernelError
from treenail.timber.frames import Frame
from treenail.timber.member import Face


@pytest.mark.parametrize("name", GRID)
def test_every_solid_is_sound_and_holds_the_closed_form_volume(name: str) -> None:
    made = solids(name)
    assert made.problems() == []
    for member in made.bench.members:
        assert made.local(member.name).Volume() == pytest.approx(
            made.bench.volumes[member.name],
            rel=1e-7,  # holes that cross: the kernel approximates
        )


@given(spec=frame_specs())
@a_few(3)
def test_any_bench_holds_its_closed_form_volumes(spec: FrameBenchSpec) -> None:
    assert build_solids(build_frame_bench(spec)).problems() == []


@pytest.mark.deep
@given(spec=frame_specs())
@settings(max_examples=100)
def test_many_benches_hold_their_closed_form_volumes(spec: FrameBenchSpec) -> None:
    assert build_solids(build_frame_bench(spec)).problems() == []


def test_alike_members_are_one_shape() -> None:
    made = solids("usual")
    by_role: dict[str, set[int]] = {}
    for member in made.bench.members:
        by_role.setdefault(member.role, set()).add(id(made.local(member.name)))
    assert len(by_role["post"]) == 2  # left and right hand
    assert len(by_role["peg"]) == 1
    assert made.local("post_front_left") is made.local("post_back_right")
    assert made.local("post_front_right") is made.local("post_back_left")
    kinds = {(h.size, h.length) for h in made.bench.hardware}
    assert len(set(map(id, made.bolts.values()))) == len(kinds)
    assert made.first_of("post_back_right") == "post_front_left"
    assert made.first_of("post_front_left") == "post_front_left"


@pytest.mark.parametrize("name", ["usual", "mitred", "pegs in two rows", "overhangs"])
def test_members_of_one_shape_have_one_volume(name: str) -> None:
    made = solids(name)
    for member in made.bench.members:
        first = made.first_of(member.name)
        assert made.bench.volumes[member.name] == pytest.approx(
            made.bench.volumes[first], rel=1e-12
        )


def test_every_member_and_bolt_stays_a_solid_of_its_own() -> None:
    made = solids("usual")
    names = [m.name for m in made.bench.members] + [h.name for h in made.bench.hardware]
    assert list(made.placed) == names
    assert {s.ShapeType() for s in made.placed.values()} == {"Solid"}
    for name in names:
        assert made.placed[name].Volume() == pytest.approx(made.local(name).Volume(), rel=1e-12)


def test_solids_stand_inside_their_stock() -> None:
    made = solids("notched, through")
    for member in made.bench.members:
        low, high = member.bounds()
        box = made.placed[member.name].BoundingBox()
        assert min(box.xmin - low[0], box.ymin - low[1], box.zmin - low[2]) > -1e-6
        assert min(high[0] - box.xmax, high[1] - box.ymax, high[2] - box.zmax) > -1e-6


def test_shapes_are_kept_by_their_numbers() -> None:
    clear_cache()
    plain = bench("plain")
    made = build_solids(plain)
    again = build_solids(build_frame_bench(plain.spec))
    assert all(again.shapes[key] is shape for key, shape in made.shapes.items())
    clear_cache()
    fresh = build_solids(plain)
    assert all(fresh.shapes[key] is not shape for key, shape in made.shapes.items())


def test_the_oldest_shapes_are_forgotten(monkeypatch: pytest.MonkeyPatch) -> None:
    clear_cache()
    monkeypatch.setattr(module, "CACHE_SIZE", 2)
    member = bench("plain").timbers[0]
    first = member_solid(member, ())
    for step in (1, 2):
        member_solid(replace(member, length=member.length + step), ())
    assert len(module._cache) == 2
    assert member_solid(member, ()) is not first
    clear_cache()


def test_a_member_cut_through_is_refused() -> None:
    member = bench("plain").timbers[0]
    slit = Mortise(
        joint="slit",
        purpose="mortise",
        face=Face.FACE_SIDE,
        frame=Frame((member.length / 2, member.width / 2, 0.0)),
        length=10.0,
        width=member.width + 10.0,
        depth=member.thickness,
        through=True,
    )
    with pytest.raises(KernelError, match=rf"{member.name} falls into 2 pieces"):
        member_solid(member, (slit,))


def test_progress_names_every_member() -> None:
    seen: list[str] = []
    build_solids(bench("plain"), progress=seen.append)
    assert seen == [m.name for m in bench("plain").members]


# --- faults that a solid may have


STOCK = cq.Solid.makeBox(100, 50, 40)
POCKET = cq.Solid.makeBox(30, 20, 30, cq.Vector(30, 15, 20))
ACROSS = cq.Solid.makeCylinder(5, 60, cq.Vector(45, -5, 30), cq.Vector(0, 1, 0))
UPRIGHT = cq.Solid.makeCylinder(5, 60, cq.Vector(40, 25, -5), cq.Vector(0, 0, 1))
INSIDE = cq.Solid.makeCylinder(5, 20, cq.Vector(30, 10, 10), cq.Vector(0, 1, 0))
BESIDE = INSIDE.moved(cq.Location((3, 0, 0)))
# Touches INSIDE's wall in a small loop that no edge or seam of either goes through.
GRAZING = cq.Solid.makeCylinder(5, 20, cq.Vector(20, 20, 19.9), cq.Vector(1, 0, 0))


def with_voids(*voids: cq.Solid) -> cq.Solid:
    """The stock with hollows put in without looking, as a faulty boolean leaves them."""
    maker = BRepBuilderAPI_MakeSolid(TopoDS.Shell_s(STOCK.Shells()[0].wrapped))
    for void in voids:
        maker.Add(TopoDS.Shell_s(void.Shells()[0].wrapped.Reversed()))
    return cq.Solid(maker.Solid())


@pytest.mark.parametrize(
    "shape",
    [
        STOCK,
        STOCK.cut(POCKET, ACROSS, UPRIGHT).Solids()[0],
        STOCK.cut(ACROSS, UPRIGHT).Solids()[0],
        with_voids(INSIDE),
    ],
    ids=["stock", "cut", "holes that cross", "hollow"],
)
def test_good_solids_are_sound(shape: cq.Solid) -> None:
    assert is_sound(shape)
    assert kernel_check(shape, verbose=False)


@pytest.mark.parametrize(
    "shape",
    [
        free_cut(STOCK, compound(POCKET, UPRIGHT)),
        free_cut(STOCK, compound(POCKET, ACROSS, UPRIGHT)),
        free_cut(STOCK, compound(INSIDE, GRAZING)),
        with_voids(ACROSS),
        with_voids(INSIDE, BESIDE),
        with_voids(INSIDE, GRAZING),
        with_voids(INSIDE.moved(cq.Location((0, 0, -7)))),
        with_voids(cq.Solid.makeCone(2, 8, 80, cq.Vector(30, -10, 20), cq.Vector(0, 1, 0))),
    ],
    ids=[
        "overlapping tools",
        "three tools",
        "tools that graze",
        "hole out of the stock",
        "parallel hollows",
        "hollows that graze",
        "hollow through a side",
        "cone out of the stock",
    ],
)
def test_faulty_solids_are_seen_as_the_kernel_sees_them(shape: cq.Solid) -> None:
    assert not kernel_check(shape, verbose=False)
    assert not is_sound(shape)


def test_an_open_shell_is_no_sound_solid() -> None:
    open_shell = cq.Shell.makeShell(STOCK.Faces()[:5])
    maker = BRepBuilderAPI_MakeSolid(TopoDS.Shell_s(open_shell.Shells()[0].wrapped))
    assert not is_sound(cq.Solid(maker.Solid()))


def test_problems_name_the_member_and_both_volumes() -> None:
    made = solids("plain")
    name = "stretcher_lower_left"
    swapped = {**made.shapes, made.keys[name]: STOCK}
    found = replace(made, shapes=swapped).problems()
    alike = [n for n, key in made.keys.items() if key == made.keys[name]]
    assert [(n, what) for n, what, _, _ in found] == [(n, "volume") for n in alike]
    assert found[0][2] == pytest.approx(200000.0)
    assert found[0][3] == made.bench.volumes[name]
    assert made.problems() == []  # the verdict goes with the solid, not only with its key


def test_problems_name_a_faulty_shape() -> None:
    made = solids("plain")
    name = "post_front_left"
    swapped = {**made.shapes, made.keys[name]: with_voids(ACROSS)}
    found = replace(made, shapes=swapped).problems()
    assert (name, "shape", 0.0, 1.0) in found
