"""Which machine makes which size of a joint, and the stacks of gaps that follow from it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeVar

from treenail.checks.gauge import tenon_of, tongues_of
from treenail.checks.machines import shop_of, verdict_at
from treenail.checks.rules import Context
from treenail.checks.shop_machines import INCH, Machines
from treenail.checks.stacks import Part, Stack
from treenail.joints.cuts import Cut, TenonEnd
from treenail.joints.mortise_tenon import MortiseTenon
from treenail.timber.member import Member

__all__ = ["FIT", "LENGTH_LIMIT", "JointStacks", "joint_stacks", "rail_stacks"]

#: The directions that decide whether a joint goes in.
FIT = ("cheek", "edge", "bottom")
#: How far a rail may be off between its shoulders, mm: 1/32 in (our own choice).
LENGTH_LIMIT = INCH / 32
#: A draw may be this much less or more of what is drawn (our own choice: 1/32 about 1/16 in).
DRAW_SPREAD = 0.5

C = TypeVar("C", bound=Cut)


@dataclass(frozen=True, slots=True, kw_only=True)
class JointStacks:
    """Alike joints (or rails) and their stacks."""

    kind: str
    names: tuple[str, ...]
    members: tuple[str, ...]
    stacks: tuple[Stack, ...]

    @property
    def fit(self) -> tuple[Stack, ...]:
        """The stacks that decide whether it goes in."""
        return tuple(s for s in self.stacks if s.direction in FIT)

    def stack(self, direction: str) -> Stack | None:
        """The stack of one direction."""
        return next((s for s in self.stacks if s.direction == direction), None)


# --- which machine makes which size


def _cut(context: Context, member: str, joint: str, purpose: str, kind: type[C]) -> C | None:
    """A joint's cut as it stands in the bench."""
    for cut in context.bench.cuts[member]:
        if isinstance(cut, kind) and cut.joint == joint and cut.purpose == purpose:
            return cut
    return None


def _maker(context: Context, member: str, cut: Cut) -> str:
    """The machine that makes a cut; what none makes falls to hand tools."""
    made = verdict_at(context, member, cut).made
    return made.machine if made else "hand"


def _section(shop: Machines, which: str) -> Part:
    """The stock's thickness or width."""
    if which == "thickness":
        if shop.planer.have:
            return Part("rail's thickness", "planer", shop.planer.thickness_holds)
        return Part("rail's thickness", "hand", shop.hand.plane_holds)
    if shop.saw.have:
        return Part("rail's width", "saw", shop.saw.rip_holds)
    return Part("rail's width", "hand", shop.hand.plane_holds)


def _tenon_parts(
    maker: str, shop: Machines, stock: Part, shoulders: tuple[float, float], what: str
) -> list[Part]:
    """What varies in a tenon's thickness or width; factors are those of the gap."""
    cut = [depth for depth in shoulders if depth > 1e-9]
    if maker in ("dado", "router"):
        # Cut lying flat from both sides: the stock's error comes through, and one setting
        # of the depth counts at both shoulders where these are alike.
        holds = shop.dado.height_holds if maker == "dado" else shop.router.depth_holds
        if len(cut) == 2 and abs(cut[0] - cut[1]) < 1e-6:
            settings = [Part(f"depth of cut at the {what}s", maker, holds, 2.0)]
        else:
            settings = [
                Part(f"depth of cut at the {name} {what}", maker, holds)
                for name, _ in zip(("first", "second"), cut, strict=False)
            ]
        return [Part(stock.what, stock.machine, stock.holds, -1.0), *settings]
    # Sawn to lines, or in a jig, from one reference face.
    holds = shop.saw.cheek_holds if maker == "saw" else shop.hand.cheek_holds
    if not cut:
        return [Part(stock.what, stock.machine, stock.holds, -1.0)]
    names = ("first", "second")
    return [Part(f"{name} {what}", maker, holds, -1.0) for name, _ in zip(names, cut, strict=False)]


def _mortise_part(maker: str, shop: Machines, side: str) -> Part:
    what = f"mortise's {side}"
    if maker == "mortiser":
        m = shop.mortiser
        return Part(
            what,
            maker,
            {"width": m.width_holds, "length": m.length_holds, "depth": m.depth_holds}[side],
        )
    if maker == "router":
        r = shop.router
        return Part(what, maker, r.depth_holds if side == "depth" else r.size_holds)
    # Bored and chopped, or only chopped: hands decide.
    h = shop.hand
    return Part(
        what,
        "hand",
        {"width": h.cheek_holds, "length": h.shoulder_holds, "depth": h.depth_holds}[side],
    )


def _shoulder_part(
    context: Context, maker: str, shop: Machines, factor: float, length: float
) -> Part:
    """The tenon's length, from the end to its shoulder; one setting for tenons alike."""
    holds = {
        "dado": shop.dado.fence_holds,
        "saw": shop.saw.crosscut_holds,
        "router": shop.router.size_holds,
        "hand": shop.hand.shoulder_holds,
    }[maker]
    return Part(f"tenon's length of {context.say(length)}", maker, holds, factor)


# --- the stacks


def _stacks_of(context: Context, joint: MortiseTenon) -> tuple[Stack, ...]:
    shop = shop_of(context).machines
    post, rail = joint.receiver, joint.entering
    tongues = tongues_of(context.bench, joint)
    whole = tenon_of(context.bench, joint)
    if whole is None or not tongues:
        return ()
    tenon, mortise = tongues[0]  # of several, alike ones
    at_post, at_rail = _maker(context, post.name, mortise), _maker(context, rail.name, whole)
    thick, wide = tenon.y1 - tenon.y0, tenon.x1 - tenon.x0
    cheeks = (tenon.y0, rail.thickness - tenon.y1)
    edges = (tenon.x0, rail.width - tenon.x1)
    found = [
        Stack(
            "cheek",
            mortise.width - thick,
            joint.fit.cheek.low,
            joint.fit.cheek.high,
            (
                _mortise_part(at_post, shop, "width"),
                *_tenon_parts(at_rail, shop, _section(shop, "thickness"), cheeks, "cheek"),
            ),
        ),
        Stack(
            "edge",
            mortise.length - wide,
            joint.fit.edge.low,
            joint.fit.edge.high,
            (
                _mortise_part(at_post, shop, "length"),
                *_tenon_parts(at_rail, shop, _section(shop, "width"), edges, "edge"),
            ),
        ),
    ]
    if not mortise.through:
        found.append(
            Stack(
                "bottom",
                mortise.depth - tenon.length,
                0.0,
                None,
                (
                    _mortise_part(at_post, shop, "depth"),
                    _shoulder_part(context, at_rail, shop, -1.0, tenon.length),
                ),
            )
        )
    draw = joint.draw
    if draw is not None and draw.count and draw.offset > 0.0:
        found.append(
            Stack(
                "draw",
                draw.offset,
                (1.0 - DRAW_SPREAD) * draw.offset,
                (1.0 + DRAW_SPREAD) * draw.offset,
                (
                    _hole_part(context, post, joint.name, "peg hole in the post", 1.0),
                    _hole_part(context, rail, joint.name, "peg hole in the tenon", -1.0),
                ),
            )
        )
    return tuple(found)


def _hole_part(context: Context, member: Member, joint: str, what: str, factor: float) -> Part:
    shop = shop_of(context).machines
    hole = _cut(context, member.name, joint, "peg hole", Cut)
    maker = "hand" if hole is None else _maker(context, member.name, hole)
    holds = {
        "drill_press": shop.drill_press.place_holds,
        "router": shop.router.size_holds,
        "hand": shop.hand.place_holds,
    }[maker]
    return Part(f"place of the {what}", maker, holds, factor)


def joint_stacks(context: Context) -> list[JointStacks]:
    """The stacks of every mortise and tenon, alike joints together."""

    def make() -> list[JointStacks]:
        groups: dict[tuple[Stack, ...], list[MortiseTenon]] = {}
        for joint in context.tenons:
            stacks = _stacks_of(context, joint)
            if stacks:
                groups.setdefault(stacks, []).append(joint)
        return [
            JointStacks(
                kind="mortise and tenon",
                names=tuple(j.name for j in joints),
                members=tuple(j.entering.name for j in joints),
                stacks=stacks,
            )
            for stacks, joints in groups.items()
        ]

    return context.once("tolerances.joints", make)


def rail_stacks(context: Context) -> list[JointStacks]:
    """The length between shoulders of every piece with a tenon at both ends."""

    def make() -> list[JointStacks]:
        shop = shop_of(context).machines
        groups: dict[tuple[Stack, ...], list[str]] = {}
        for m in context.bench.timbers:
            tenons = [c for c in context.bench.cuts[m.name] if isinstance(c, TenonEnd)]
            if len(tenons) != 2:
                continue
            over_all = (
                Part("rail's length over all", "saw", shop.saw.crosscut_holds)
                if shop.saw.have
                else Part("rail's length over all", "hand", shop.hand.shoulder_holds)
            )
            makers = [_maker(context, m.name, c) for c in tenons]
            one_setting = makers[0] == makers[1] and abs(tenons[0].length - tenons[1].length) < 1e-6
            if one_setting and makers[0] != "hand":
                ends = [_shoulder_part(context, makers[0], shop, -2.0, tenons[0].length)]
            else:
                ends = [
                    Part(f"{name} shoulder", part.machine, part.holds, -1.0)
                    for name, maker, c in zip(("near", "far"), makers, tenons, strict=True)
                    for part in (_shoulder_part(context, maker, shop, -1.0, c.length),)
                ]
            stack = Stack("length", 0.0, -LENGTH_LIMIT, LENGTH_LIMIT, (over_all, *ends))
            groups.setdefault((stack,), []).append(m.name)
        return [
            JointStacks(
                kind="rail between shoulders",
                names=tuple(names),
                members=tuple(names),
                stacks=stacks,
            )
            for stacks, names in groups.items()
        ]

    return context.once("tolerances.rails", make)
