"""Benches for the checks: whole ones, with one number spoilt, and small ones of two or three."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import cache
from types import MappingProxyType
from typing import Any

from treenail.checks import load_rules
from treenail.checks.rules import Context, Finding
from treenail.generators.bench import Bench, Seasons
from treenail.generators.frame_bench import build_frame_bench
from treenail.generators.frame_spec import FrameBenchSpec
from treenail.joints.base import Joint
from treenail.joints.cuts import Cut, Haunch
from treenail.joints.fits import get_fit
from treenail.joints.mortise_tenon import DrawBore, MortiseTenon, Shoulders
from treenail.timber.frames import Frame, Vec, add, cross, neg, scale
from treenail.timber.member import Face, Member
from treenail.timber.species import get_species

MODULES = (
    "fits",
    "shoulders",
    "walls",
    "meeting",
    "drawbore",
    "pegs",
    "peg_paths",
    "bolts",
    "bolt_places",
    "tops",
    "sizes",
)


def rules_of(*modules: str) -> set[str]:
    """Codes of the rules that modules of treenail.checks register."""
    names = {f"treenail.checks.{m}" for m in modules}
    return {code for code, r in load_rules().items() if r.check.__module__ in names}


def findings(bench: Bench) -> list[Finding]:
    """What the numbers-only rules of MODULES say."""
    rules, context = load_rules(), Context(bench=bench)
    return [f for code in sorted(rules_of(*MODULES)) for f in rules[code].check(context)]


def codes(bench: Bench) -> set[str]:
    return {f.rule for f in findings(bench)}


def said(bench: Bench, code: str) -> list[Finding]:
    return list(load_rules()[code].check(Context(bench=bench)))


@cache
def frame(**changes: Any) -> Bench:
    """A frame bench in inches; changes are spec sections or values."""
    return build_frame_bench(FrameBenchSpec(**changes), units="in")


def section(name: str, **changes: Any) -> dict[str, Any]:
    """One spec section with changes, as a keyword for :func:`frame`."""
    return {name: replace(getattr(FrameBenchSpec(), name), **changes)}


def with_joint(bench: Bench, which: str, /, **changes: Any) -> Bench:
    """The bench with fields of one joint changed."""
    assert any(j.name == which for j in bench.joints)
    joints = tuple(replace(j, **changes) if j.name == which else j for j in bench.joints)
    return replace(bench, joints=joints)


def with_draw(bench: Bench, name: str, **changes: Any) -> Bench:
    """The bench with fields of one joint's pegs changed."""
    joint = next(j for j in bench.joints if j.name == name)
    assert isinstance(joint, MortiseTenon)
    assert joint.draw is not None
    return with_joint(bench, name, draw=replace(joint.draw, **changes))


def with_cut(
    bench: Bench, joint: str, purpose: str, change: Callable[[Any], Cut], *, member: str = ""
) -> Bench:
    """The bench with one joint's cuts of a purpose made otherwise than the joint asked."""
    found = replace(bench)
    changed = 0
    cuts: dict[str, tuple[Cut, ...]] = {}
    for name, given in bench.cuts.items():
        mine = []
        for cut in given:
            if cut.joint == joint and cut.purpose == purpose and member in ("", name):
                cut = change(cut)  # noqa: PLW2901
                changed += 1
            mine.append(cut)
        cuts[name] = tuple(mine)
    assert changed, f"{joint} has no {purpose}"
    found.__dict__["cuts"] = MappingProxyType(cuts)
    return found


def edit(**changes: Any) -> Callable[[Any], Cut]:
    """A change for :func:`with_cut`."""
    return lambda cut: dataclasses.replace(cut, **changes)


# --- a post with rails

ASH = get_species("white_ash")
OAK = get_species("white oak")
POST = Member(
    name="post",
    role="post",
    length=600.0,
    width=76.2,
    thickness=76.2,
    species=ASH,
    placement=Frame((0.0, 0.0, 0.0), (0.0, 0.0, 1.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0)),
)
LONG_FACES = (Face.FACE_SIDE, Face.FACE_EDGE, Face.BACK_SIDE, Face.BACK_EDGE)


def rail_into(
    post: Member,
    face: Face,
    *,
    end: Face = Face.NEAR_END,
    tenon: float = 50.8,
    low: float = 200.0,
    width: float = 127.0,
    thickness: float = 44.45,
    aside: float | None = None,
    name: str = "rail",
    species: Any = ASH,
) -> Member:
    """A rail whose end stands ``tenon`` mm deep in a face of a post, its lower edge at ``low``.

    ``aside`` is where its side lies along the face, from the lower coordinate; None centres it.
    """
    length = 400.0
    place = post.placement
    out = place.direction(face.outward)  # away from the post
    up = place.x
    x = out if end is Face.NEAR_END else neg(out)
    y = neg(up)
    z = cross(x, y)
    # The face's middle line, at the post's near end, in the bench.
    middle = place.point(
        (
            0.0,
            post.width / 2 + face.outward[1] * post.width / 2,
            post.thickness / 2 + face.outward[2] * post.thickness / 2,
        )
    )
    tip = add(middle, scale(out, -tenon))
    start = tip if end is Face.NEAR_END else add(tip, scale(out, length))
    start = add(start, scale(up, low + width))
    shift = -thickness / 2 if aside is None else aside
    return Member(
        name=name,
        role="stretcher",
        length=length,
        width=width,
        thickness=thickness,
        species=species,
        placement=Frame(add(start, scale(z, shift)), x, y, z).snapped(),
    )


def pegs(**changes: Any) -> DrawBore:
    return replace(
        DrawBore(count=1, diameter=9.525, offset=1.5875, setback=19.05, species=OAK), **changes
    )


def tee(
    *,
    post: Member = POST,
    face: Face = Face.BACK_EDGE,
    end: Face = Face.NEAR_END,
    shoulders: tuple[float, float, float, float] = (12.7, 12.7, 9.525, 9.525),
    fit: str = "hand press",
    haunch: Haunch | None = None,
    through: bool = False,
    draw: DrawBore | None = None,
    **rail: Any,
) -> Bench:
    """A post and a rail; ``shoulders`` on face edge, back edge, face side, back side."""
    piece = rail_into(post, face, end=end, **rail)
    joint = MortiseTenon(
        name="tee",
        receiver=post,
        entering=piece,
        end=end,
        shoulders=Shoulders(
            face_edge=shoulders[0],
            back_edge=shoulders[1],
            face_side=shoulders[2],
            back_side=shoulders[3],
        ),
        fit=get_fit(fit),
        haunch=haunch,
        through=through,
        draw=draw,
    )
    return small_bench((post, piece), (joint,))


def corner(*, first: DrawBore | None, second: DrawBore | None, **changes: Any) -> Bench:
    """Two rails at one height in one post, the second one's tenon short of the first one's."""
    a = tee(face=Face.BACK_EDGE, draw=first, name="rail_a", low=200.0)
    b = tee(face=Face.BACK_SIDE, draw=second, name="rail_b", **{"tenon": 22.0, **changes})
    joints = (replace(a.joints[0], name="a"), replace(b.joints[0], name="b"))
    return small_bench((*a.timbers, b.timbers[1]), joints)


def small_bench(timbers: Sequence[Member], joints: Sequence[Joint]) -> Bench:
    corners: list[Vec] = [p for m in timbers for p in m.world_corners()]
    size = [max(p[i] for p in corners) - min(p[i] for p in corners) for i in range(3)]
    return Bench(
        name="small",
        family="frame",
        units="mm",
        timbers=tuple(timbers),
        joints=tuple(joints),
        asked=(size[0], size[1], size[2]),
        seasons=Seasons(8.0, 6.0, 11.0),
    )
