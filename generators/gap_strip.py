"""The strip in a split top's gap: loose and flush, or such that turned over it stands proud."""

from __future__ import annotations

from typing import TYPE_CHECKING

from treenail.generators.parts import slab
from treenail.generators.top_place import HOLD, SPARE, towards
from treenail.joints.features import Bearing, EdgeGlue
from treenail.joints.strips import Fence
from treenail.timber.errors import SpecError
from treenail.timber.frames import snap

if TYPE_CHECKING:
    from treenail.generators.frame_spec import Top
    from treenail.generators.top_place import Place
    from treenail.joints.base import Joint
    from treenail.timber.member import Member

#: A tongue's end above the top's underside, and the thinnest fence, mm (our own choice).
OFF_BELOW, LEAST_FENCE = 1.0, 8.0
#: Share of the gap that each ledge takes (our own choice).
LEDGE_SHARE = 1.0 / 3.0


def gap_strip(
    top: Top, place: Place, front: Member, back: Member, inner: float
) -> tuple[list[Member], list[Joint]]:
    """A ledge glued on the foot of both inner edges, and the strip that lies on them, flush."""
    low, high = front.bounds()[1][1], back.bounds()[0][1]
    gap, say = high - low, place.say
    closes, opens = towards(top, place, low, high)
    swell = 1.0 + place.swells(1.0, "flat")
    wide = place.down((gap - closes - SPARE) / swell)
    # Pushed against one slab, the strip must still stand on the other one's ledge.
    opening = gap + opens - wide + place.shrinks(wide, "flat")
    ledge = max(place.down(gap * LEDGE_SHARE), place.up((HOLD + opening) * 1.01))
    between = gap - 2 * ledge * swell - closes
    if between < SPARE:
        raise SpecError(
            f"the slabs close the gap by {say(closes)} in the damp and open it by {say(opens)} in "
            f"the dry: a strip in a gap of {say(gap)} jams or falls through",
            field="top.split.gap",
            allowed=f"{say(gap + 2 * (SPARE - between))} or so",
        )
    if top.thickness - top.split.ledge < 6.0:
        raise SpecError(
            f"ledges {say(top.split.ledge)} high leave {say(top.thickness - top.split.ledge)} for "
            "the strip",
            field="top.split.ledge",
            allowed=f"at most {say(top.thickness - 6.0)}",
        )
    foot = place.height - top.thickness + top.split.ledge

    def piece(name: str, role: str, y: float, width: float, z: float, thick: float) -> Member:
        return slab(
            name,
            role=role,
            corner=(snap(place.length - inner), snap(y), snap(z)),
            length=snap(place.length - 2 * inner),
            width=snap(width),
            thickness=snap(thick),
            species=place.species,
            plies=1,
            rings="flat",
            assembly="top",
        )

    ledges = (
        piece("top_ledge_front", "top ledge", low, ledge, foot, top.split.ledge),
        piece("top_ledge_back", "top ledge", high - ledge, ledge, foot, top.split.ledge),
    )
    proud = top.split.proud
    strip = piece(
        "gap_strip",
        "gap strip",
        (low + high - wide) / 2,
        wide,
        place.height,
        top.thickness - top.split.ledge + proud,
    )
    joints: list[Joint] = [
        EdgeGlue(name="ledge_front", first=front, second=ledges[0]),
        EdgeGlue(name="ledge_back", first=back, second=ledges[1]),
        Bearing(name="strip_on_front_ledge", below=ledges[0], above=strip),
        Bearing(name="strip_on_back_ledge", below=ledges[1], above=strip),
    ]
    if proud:
        joints[2:] = [_fence(top, place, strip, ledges, swell)]
    return [*ledges, strip], joints


def _fence(
    top: Top, place: Place, strip: Member, ledges: tuple[Member, ...], swell: float
) -> Fence:
    """The strip's rebates over the ledges, which swell by a factor."""
    say, split = place.say, top.split
    # The tongue hangs between the ledges, off whatever lies below the top.
    most = place.down(split.ledge - OFF_BELOW)
    if split.proud > most + 1e-9:
        raise SpecError(
            f"ledges {say(split.ledge)} high hide no tongue {say(split.proud)} high between them",
            field="top.split.proud",
            allowed=f"at most {say(max(most, 0.0))}, or higher ledges",
        )
    side = place.up(ledges[0].width * swell + SPARE / 2)
    fence = strip.width - 2 * side
    # A third of what is added to the gap goes to each ledge; sizes are rounded to steps.
    wanted = split.gap + 3 * (LEAST_FENCE - fence + 2 * place.step)
    if fence < LEAST_FENCE:
        raise SpecError(
            f"between the ledges in a gap of {say(split.gap)} a fence would be "
            f"{say(max(fence, 0.0))} thick",
            field="top.split.gap",
            allowed=f"at least {say(place.up(wanted))}, or proud: 0",
        )
    return Fence(name="strip_fence", member=strip, ledges=ledges, side=side, proud=split.proud)


__all__ = ["gap_strip"]
