"""Whether a CNC router gets at every feature, and has a cutter small enough for each pocket.

Only for shops whose file says that their router is a CNC machine (``router: cnc: yes``).
"""

from __future__ import annotations

from collections.abc import Iterator

from treenail.checks.machines import shop_of
from treenail.checks.reach import Feature, features_of
from treenail.checks.rules import Context, Finding, rule
from treenail.joints.cuts import Mortise, Slot
from treenail.joints.trenches import Trench
from treenail.timber.member import Member

__all__ = ["features", "has_cnc"]

#: Diameters closer than this are the same, mm.
SAME = 1e-6


def has_cnc(context: Context) -> bool:
    """Whether the shop was given, and says that it has a CNC router."""
    shop = shop_of(context)
    return shop.given and shop.machines.router.have and shop.machines.router.cnc


def features(context: Context) -> tuple[tuple[Member, Feature], ...]:
    """Every feature of every squared piece, found once a run."""

    def all_of_them() -> tuple[tuple[Member, Feature], ...]:
        bench = context.bench
        return tuple((m, f) for m in bench.timbers for f in features_of(m, bench.cuts[m.name]))

    return context.once("cnc.features", all_of_them)


@rule(
    "cnc-unreachable",
    title="A CNC cutter gets at every feature from some face",
    why="A three-axis machine cuts straight down: what leans or hides under an edge stays uncut.",
    remedy="Cut it in a tilted jig or by hand, or take CNC out of the shop file.",
    source="geometry of a cutter that stands square to the face that lies up",
)
def cnc_unreachable(context: Context) -> Iterator[Finding]:
    """Features that no face, laid up, shows to the cutter."""
    if not has_cnc(context):
        return
    for member, feature in features(context):
        if not feature.ways:
            yield Finding(
                rule="cnc-unreachable",
                severity="error",
                message=f"The {feature.what} is reached from no face of {member.name}: it leans, "
                "or widens below its mouth.",
                joint=feature.cut.joint,
                member=member.name,
                face=str(feature.cut.face),
            )


@rule(
    "cutter-too-big",
    title="A cutter small enough for every pocket",
    why="A cutter wider than a pocket, or than the corners drawn, leaves wood that must go.",
    remedy="Get a smaller cutter, or draw the pocket for one on hand.",
    source="geometry; the cutters on hand: the shop file",
)
def cutter_too_big(context: Context) -> Iterator[Finding]:
    """Pockets with no cutter on hand that goes into them and makes their corners."""
    if not has_cnc(context):
        return
    cutters = shop_of(context).machines.router.cutters
    told: set[tuple[str, str]] = set()
    for member, feature in features(context):
        cut = feature.cut
        if feature.widest is None or not isinstance(cut, Mortise | Slot | Trench):
            continue
        if any(c <= feature.widest + SAME for c in cutters) or (cut.joint, cut.purpose) in told:
            continue
        told.add((cut.joint, cut.purpose))
        smallest = min(cutters, default=None)
        has = "there are none" if smallest is None else f"the smallest is {context.say(smallest)}"
        yield Finding(
            rule="cutter-too-big",
            severity="warning",
            message=f"The {feature.what} takes a cutter of at most {context.say(feature.widest)}; "
            f"{has}.",
            joint=cut.joint,
            member=member.name,
            face=str(cut.face),
            measured=smallest,
            limit=feature.widest,
        )
