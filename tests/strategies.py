"""Hypothesis strategies that several rooms' tests share."""

from __future__ import annotations

from typing import Any

from hypothesis import settings
from hypothesis import strategies as st

from treenail.generators.frame_spec import FrameBenchSpec
from treenail.generators.spec_values import build_spec
from treenail.joints.fits import FITS
from treenail.joints.mortise_tenon import DrawBore, MortiseTenon, Shoulders
from treenail.timber.frames import Frame, Vec, cross, dot
from treenail.timber.member import Face, Member
from treenail.timber.species import get_species

AXES: tuple[Vec, ...] = (
    (1.0, 0.0, 0.0),
    (-1.0, 0.0, 0.0),
    (0.0, 1.0, 0.0),
    (0.0, -1.0, 0.0),
    (0.0, 0.0, 1.0),
    (0.0, 0.0, -1.0),
)


def a_few(count: int) -> settings:
    """So many examples where each is costly; the deep suite takes a tenth of its usual many."""
    most = settings().max_examples
    return settings(max_examples=max(count, most // 10) if most >= 1000 else count)


def sizes(low: float, high: float) -> st.SearchStrategy[float]:
    """Lengths in mm, to the hundredth."""
    return st.floats(low, high, allow_nan=False).map(lambda x: round(x, 2))


@st.composite
def square_frames(draw: st.DrawFn) -> Frame:
    """Placements whose axes lie along the bench's: all 24 turns."""
    z = draw(st.sampled_from(AXES))
    x = draw(st.sampled_from([a for a in AXES if abs(dot(a, z)) < 0.5]))
    origin = (draw(sizes(-500, 500)), draw(sizes(-500, 500)), draw(sizes(-500, 500)))
    return Frame(origin, x, cross(z, x), z)


@st.composite
def tenoned_pairs(draw: st.DrawFn, *, offset: float | None = None) -> MortiseTenon:
    """A post and a rail with a drawbored tenon, anywhere, on any end and from any side."""
    wood = get_species("white ash")
    post_size = (600.0, draw(sizes(50, 120)), draw(sizes(50, 120)))
    rail_thickness = draw(sizes(25, 45))
    rail_width = draw(sizes(60, 160))
    end = draw(st.sampled_from([Face.NEAR_END, Face.FAR_END]))
    drive = draw(st.sampled_from([Face.FACE_SIDE, Face.BACK_SIDE]))
    receiver_face = draw(
        st.sampled_from([Face.FACE_SIDE, Face.BACK_SIDE, Face.FACE_EDGE, Face.BACK_EDGE])
    )
    length = round(draw(sizes(20, 45)), 2)
    placement = draw(square_frames())
    post = Member(
        name="post",
        role="post",
        length=post_size[0],
        width=post_size[1],
        thickness=post_size[2],
        species=wood,
        placement=placement,
    )
    mouth = post.placement.place(post.face_frame(receiver_face))
    along_post, across = mouth.x, mouth.y
    # The rail's own x leaves the post at its near end, and enters it at its far end.
    out = tuple(-c for c in mouth.z)
    grain: Vec = out if end is Face.NEAR_END else mouth.z  # type: ignore[assignment]
    flip = draw(st.sampled_from([1.0, -1.0]))
    y: Vec = tuple(flip * c for c in along_post)  # type: ignore[assignment]
    z = cross(grain, y)
    rail_length = 400.0
    # Corner such that the tenon reaches ``length`` deep and the section stays on the face.
    span = post.face_size(receiver_face)[1]
    middle = mouth.point((300.0, span / 2, 0.0))
    start = length if end is Face.NEAR_END else rail_length - length
    origin = tuple(
        middle[i] - grain[i] * start - y[i] * rail_width / 2 - z[i] * rail_thickness / 2
        for i in range(3)
    )
    assert abs(dot(z, across)) > 0.99
    rail = Member(
        name="rail",
        role="stretcher",
        length=rail_length,
        width=rail_width,
        thickness=rail_thickness,
        species=wood,
        placement=Frame(origin, grain, y, z),  # type: ignore[arg-type]
    )
    side = round(draw(sizes(3, 8)), 2)
    other = round(draw(sizes(3, 8)), 2)
    shift = draw(sizes(-1.6, 1.6)) if offset is None else offset
    return MortiseTenon(
        name="joint",
        receiver=post,
        entering=rail,
        end=end,
        shoulders=Shoulders(
            face_edge=draw(sizes(0, 15)),
            back_edge=draw(sizes(0, 15)),
            face_side=side,
            back_side=other,
        ),
        fit=FITS[draw(st.sampled_from(sorted(FITS)))],
        draw=DrawBore(
            count=draw(st.integers(1, 3)),
            diameter=8.0,
            offset=shift,
            setback=12.0,
            species=get_species("white oak"),
            rows=draw(st.sampled_from([1, 2])),
            row_spacing=4.0,
            drive_side=drive,
            through=draw(st.booleans()),
        ),
    )


@st.composite
def frame_specs(draw: st.DrawFn, /, **fixed: Any) -> FrameBenchSpec:
    """Frame benches of the sizes that people build, every way of joining them."""
    post = draw(sizes(70, 110))
    rail = draw(sizes(40, 50))
    section = {"width": draw(sizes(90, 150)), "thickness": rail}
    long = {"tenon_length": draw(sizes(40, 52))}
    end = {"tenon_length": draw(sizes(40, 52))}
    meeting = draw(st.sampled_from(["heights", "mitred", "notched"]))
    # Pegs from inside can only be driven where the other stretcher stands at another height.
    faces = ["outside", "inside"] if meeting == "heights" else ["outside"]
    mapping: dict[str, Any] = {
        "length": draw(sizes(1100, 2600)),
        "depth": draw(sizes(480, 900)),
        "height": draw(sizes(760, 1000)),
        "meeting": meeting,
        "fit": draw(st.sampled_from(sorted(FITS))),
        "posts": {"width": post, "thickness": post},
        "upper_long": {**section, **long, "haunch": draw(st.booleans())},
        "upper_end": {**section, **end},
        "lower_long": {**section, **long},
        "lower_end": {**section, **end},
        "pegs": {"from_face": draw(st.sampled_from(faces))},
        "top": {
            "thickness": draw(sizes(60, 90)),
            "overhang_ends": draw(sizes(0, 250)),
            "dog_holes": {"rows": draw(st.integers(0, 2))},
        },
        "bolts": {"per_stretcher": draw(st.integers(1, 4))},
        "shelf": {"enabled": draw(st.booleans())},
    }
    mapping |= fixed
    return build_spec(FrameBenchSpec, mapping, units="mm")
