"""Named faces: every wall of every cut is found, and it is that wall."""

import re
from functools import cache

import cadquery as cq
import pytest

from tests.templates.step_bench import default_solids
from treenail.generators.frame_bench import build_frame_bench
from treenail.generators.frame_spec import MEETINGS, DogHoles, FrameBenchSpec, Shelf, Top
from treenail.generators.solids import BenchSolids, box, build_solids, member_solid
from treenail.joints.cuts import Bore, MitredTip, Mortise, TenonEnd
from treenail.templates.step_faces import named_faces, walls
from treenail.timber.frames import neg


@cache
def solids_of(meeting: str) -> BenchSolids:
    if meeting == FrameBenchSpec().meeting:
        return default_solids()
    top = Top(dog_holes=DogHoles(rows=0))
    spec = FrameBenchSpec(meeting=meeting, top=top, shelf=Shelf(enabled=True))
    return build_solids(build_frame_bench(spec))


def faces_of(solids: BenchSolids, name: str) -> dict[str, cq.Face]:
    bench = solids.bench
    found = named_faces(solids.local(name), bench.by_name[name], bench.cuts[name])
    return {key: cq.Face(face) for key, face in found.items()}


def middle_of_bottom(mortise: Mortise) -> cq.Vector:
    return cq.Vector(*mortise.frame.point((0.0, 0.0, mortise.depth)))


@pytest.mark.parametrize("meeting", MEETINGS)
def test_every_wall_is_found(meeting: str) -> None:
    solids = solids_of(meeting)
    for member in solids.bench.timbers:
        cuts = solids.bench.cuts[member.name]
        missing = {w.name for w in walls(member, cuts)} - set(faces_of(solids, member.name))
        # A socket has no wall where it runs into its mortise or out at the post's end, and its
        # cheeks are the mortise's; a slanted end is no wall; a mortise that another cuts across
        # at its whole height has no bottom.
        may = {w for w in missing if w.startswith("HAUNCH_SOCKET") and not w.endswith("_BOTTOM")}
        if any(isinstance(c, TenonEnd) and isinstance(c.tip, MitredTip) for c in cuts):
            may |= {w for w in missing if w.endswith("_END")}
        if meeting == "shortened" and member.role == "post":
            may |= {w for w in missing if re.fullmatch(r"MORTISE_\d_BOTTOM", w)}
        assert missing == may, member.name


@pytest.mark.parametrize("meeting", MEETINGS)
def test_no_face_has_two_names(meeting: str) -> None:
    solids = solids_of(meeting)
    for member in solids.bench.timbers:
        faces = list(faces_of(solids, member.name).values())
        assert len({f.hashCode() for f in faces}) == len(faces)
        all_faces = {f.hashCode() for f in solids.local(member.name).Faces()}
        assert {f.hashCode() for f in faces} <= all_faces


def test_mortises_are_numbered_from_the_near_end_and_have_their_size() -> None:
    solids = default_solids()
    for name in ("post_front_left", "post_front_right"):
        faces = faces_of(solids, name)
        cuts = [c for c in solids.bench.cuts[name] if isinstance(c, Mortise)]
        mortises = [c for c in cuts if c.purpose == "mortise"]
        for mortise in mortises:
            bottom = next(
                key
                for key, face in faces.items()
                if key.startswith("MORTISE")
                and key.endswith("_BOTTOM")
                and "PEG" not in key
                and (face.Center() - middle_of_bottom(mortise)).Length < 1e-6
            )
            prefix = bottom.removesuffix("_BOTTOM")
            across = cq.Vector(*mortise.frame.y)
            a, b = (faces[f"{prefix}_CHEEK_{x}"] for x in "AB")
            assert abs((b.Center() - a.Center()).dot(across)) == pytest.approx(mortise.width)
            # The walls look into the mortise.
            assert (b.Center() - a.Center()).dot(a.normalAt()) > 0
            assert (b.Center() - a.Center()).dot(b.normalAt()) < 0
        along = [faces[f"MORTISE_{n}_BOTTOM"].Center().x for n in range(1, len(mortises) + 1)]
        assert along == sorted(along)


def test_a_is_nearer_to_the_reference_faces_than_b() -> None:
    solids = default_solids()
    for member in solids.bench.timbers:
        faces = faces_of(solids, member.name)
        pairs = [key for key in faces if key.endswith("_A") and f"{key[:-1]}B" in faces]
        for key in pairs:
            a, b = faces[key], faces[f"{key[:-1]}B"]
            # Measured along the walls' common normal, which is an axis of the piece.
            normal = a.normalAt()
            axis = max(range(3), key=lambda i: abs(normal.toTuple()[i]))
            assert a.Center().toTuple()[axis] < b.Center().toTuple()[axis], (member.name, key)


def test_tenon_walls_have_the_tenons_size() -> None:
    solids = default_solids()
    for member in solids.bench.timbers:
        faces = faces_of(solids, member.name)
        tenons = [c for c in solids.bench.cuts[member.name] if isinstance(c, TenonEnd)]
        for n, tenon in enumerate(sorted(tenons, key=lambda c: c.frame.origin), start=1):
            a, b = (faces[f"TENON_{n}_CHEEK_{x}"] for x in "AB")
            apart = abs((a.Center() - b.Center()).dot(a.normalAt()))
            assert apart == pytest.approx(tenon.y1 - tenon.y0, abs=1e-9)
            end, shoulder = faces[f"TENON_{n}_END"], faces[f"TENON_{n}_SHOULDER"]
            out = cq.Vector(*neg(tenon.frame.z))
            assert (end.Center() - shoulder.Center()).dot(out) == pytest.approx(tenon.length)
            assert (end.normalAt() - out).Length < 1e-9
            assert (shoulder.normalAt() - out).Length < 1e-9


def test_hole_walls_are_cylinders_of_the_holes_diameter() -> None:
    solids = default_solids()
    for member in solids.bench.timbers:
        cuts = [c for c in solids.bench.cuts[member.name] if isinstance(c, Bore)]
        diameters = {round(c.diameter, 9) for c in cuts}
        found = set()
        for key, face in faces_of(solids, member.name).items():
            if "HOLE" in key and "BOTTOM" not in key:
                assert face.geomType() == "CYLINDER"
                found.add(round(2 * face._geomAdaptor().Cylinder().Radius(), 9))
        assert found <= diameters
        assert bool(found) == bool(cuts)


def test_names_are_the_same_for_all_pieces_of_one_shape() -> None:
    solids = default_solids()
    bench = solids.bench
    for name, key in solids.keys.items():
        member, first = bench.by_name[name], bench.by_name[solids.first_of(name)]
        assert solids.keys[first.name] == key
        own = named_faces(solids.local(name), member, bench.cuts[name])
        others = named_faces(solids.local(name), first, bench.cuts[first.name])
        assert own.keys() == others.keys()
        assert all(own[k].IsSame(others[k]) for k in own)


def test_a_cheek_reaches_over_the_haunch_socket() -> None:
    solids = default_solids()
    member = solids.bench.by_name["post_front_left"]
    faces = faces_of(solids, member.name)
    for key in ("MORTISE_4_CHEEK_A", "MORTISE_4_CHEEK_B"):
        assert faces[key].BoundingBox().xmax == pytest.approx(member.length, abs=1e-6)


def test_a_wall_in_two_pieces_is_named_twice() -> None:
    bench = default_solids().bench
    member = bench.by_name["post_front_left"]
    mortise = next(c for c in bench.cuts[member.name] if isinstance(c, Mortise))
    middle = mortise.frame.shifted((-mortise.length / 2 + 20.0, -50.0, 0.0))
    across = box(middle, (10.0, 100.0, mortise.depth + 10.0))  # cuts both cheeks in two
    solid = member_solid(member, [mortise]).cut(across).Solids()[0]
    found = named_faces(solid, member, [mortise])
    cheeks = [key for key in found if "CHEEK" in key]
    assert cheeks == [
        "MORTISE_1_CHEEK_A",
        "MORTISE_1_CHEEK_A_PART_2",
        "MORTISE_1_CHEEK_B",
        "MORTISE_1_CHEEK_B_PART_2",
    ]
    first, second = (cq.Face(found[k]).Center().x for k in cheeks[:2])
    assert first < second


def test_pegs_have_no_named_faces() -> None:
    solids = default_solids()
    assert faces_of(solids, solids.bench.pegs[0].name) == {}
