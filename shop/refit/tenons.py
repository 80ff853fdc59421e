"""Tenons of every kind for the mortises that they go into as these really are."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from treenail.joints.angled_tenon import AngledTenon
from treenail.joints.mortise_tenon import MortiseTenon, Shoulders
from treenail.joints.tenon_variants.multiple import MultipleTenon
from treenail.joints.tenon_variants.slab import SlabTenons
from treenail.joints.tenon_variants.tapered_round import TaperedRound
from treenail.joints.tenon_variants.tusk import TuskTenon
from treenail.joints.tenon_variants.wedged import WedgedTenon
from treenail.shop.refit.asked import play_between
from treenail.shop.refit.kinds import Refit, numbers_for
from treenail.timber.errors import GeometryError
from treenail.timber.frames import snap
from treenail.timber.member import Member

#: A tenon's size along one axis, and its shoulders before and behind it, mm.
_SIDES = {"width": ("face_edge", "back_edge"), "thickness": ("face_side", "back_side")}


def tenon_length(joint: MortiseTenon, receiver: Member, sizes: Mapping[str, float]) -> float:
    """Length of the tenon for the mortise's real depth (or the post's real thickness), mm."""
    if joint.through:
        return receiver.extent(joint.receiver_face) + joint.proud
    depth = sizes.get("mortise_depth")
    return joint.length if depth is None else depth - joint.fit.bottom.mid


def shoulders_for(
    joint: MortiseTenon | AngledTenon, rail: Member, width: float, thickness: float
) -> Shoulders:
    """Shoulders for a tenon of so many mm on the real rail; its middle stays.

    A side without a shoulder has none afterwards: a bare-faced tenon stays flush there.

    Raises:
        GeometryError: the tenon would stand outside of the rail.
    """
    found: dict[str, float] = {}
    for key, size in (("width", width), ("thickness", thickness)):
        low, high = _SIDES[key]
        before, behind = getattr(joint.shoulders, low), getattr(joint.shoulders, high)
        whole = getattr(rail, key)
        if before and not behind:
            start = whole - size
        else:
            start = before + (getattr(joint, key) - size) / 2 if before else 0.0
        found |= {low: snap(start), high: snap(whole - start - size)}
    for where, room in found.items():
        if room < -1e-9:
            raise GeometryError(
                f"the tenon for this mortise would stand {-room:.3f} mm outside {rail.name} at its "
                f"{where.replace('_', ' ')}"
            )
    return Shoulders(**{k: max(0.0, v) for k, v in found.items()})


def _plain(joint: MortiseTenon, refit: Refit, width: float, thickness: float) -> dict[str, Any]:
    """What every tenon has: shoulders, haunch and pegs."""
    rail, sizes, s = refit.now(joint.entering), refit.sizes, joint.shoulders
    found: dict[str, Any] = {}
    bare = not s.face_edge and not s.back_edge and len(joint.tongues) == 1
    if bare and "mortise_length" in sizes and rail.width < width:
        # As wide as the piece: it has the play that there is, where the fit allows it.
        room = snap(sizes["mortise_length"] - rail.width)
        if room <= joint.fit.edge.high:
            width = rail.width
            found["fit"] = replace(joint.fit, edge=replace(joint.fit.edge, actual=room))
    found["shoulders"] = shoulders_for(joint, rail, width, thickness)
    if joint.haunch is not None and ("haunch_depth" in sizes or "haunch_length" in sizes):
        deep = sizes.get("haunch_depth")
        found["haunch"] = replace(
            joint.haunch,
            length=joint.haunch.length if deep is None else snap(deep - joint.fit.bottom.mid),
            width=sizes.get("haunch_length", joint.haunch.width),
        )
    return found | _pegs(joint, refit, found["shoulders"].face_edge)


def _pegs(joint: MortiseTenon | AngledTenon, refit: Refit, start: float) -> dict[str, Any]:
    """The tenon's holes re-marked from those bored in the post: the draw stays as asked."""
    draw, sizes = joint.draw, refit.sizes
    if draw is None or not any(name.startswith("peg_") for name in sizes):
        return {}
    spots, setbacks = [], []
    for i, (x, setback) in enumerate(joint.peg_points, start=1):
        at = sizes.get(f"peg_{i}_from_end")
        spots.append(snap(x - start if at is None else at - joint.fit.edge.mid / 2))
        setbacks.append(sizes.get(f"peg_{i}_setback", setback))
    if min(setbacks) - draw.offset <= draw.diameter / 2:
        raise GeometryError(
            f"{joint.name}: a peg's hole {min(setbacks):.2f} mm from the shoulder leaves no wood "
            "between the tenon's hole and its shoulder"
        )
    moved = any(name.endswith("_from_end") for name in sizes)
    return {
        "draw": replace(
            draw,
            spots=tuple(spots) if moved else draw.spots,
            setbacks=tuple(setbacks),
        )
    }


def _sizes(joint: MortiseTenon | AngledTenon, refit: Refit) -> tuple[float, float]:
    """Width and thickness of the tenon for the real mortise, mm.

    Without shoulders it is as wide as its rail really is, as long as the mortise isn't cut.
    """
    sizes, fit, rail, s = refit.sizes, joint.fit, refit.now(joint.entering), joint.shoulders
    width = joint.width if s.face_edge or s.back_edge else rail.width
    thickness = joint.thickness if s.face_side or s.back_side else rail.thickness
    if "mortise_length" in sizes:
        width = sizes["mortise_length"] - fit.edge.mid
    if "mortise_width" in sizes:
        thickness = sizes["mortise_width"] - fit.cheek.mid
    return width, thickness


@numbers_for.register(MortiseTenon)
def _(joint: MortiseTenon, refit: Refit) -> dict[str, Any]:
    return _plain(joint, refit, *_sizes(joint, refit))


@numbers_for.register(MultipleTenon)
def _(joint: MultipleTenon, refit: Refit) -> dict[str, Any]:
    width, thickness = _sizes(joint, refit)
    side_by_side = joint.across == "thickness"
    size, name = (thickness, "mortise_width") if side_by_side else (width, "mortise_length")
    each = size if name in refit.sizes else joint.each
    gap = joint.gap + joint.each - each  # the mortises' middles stay
    if "between_mortises" in refit.sizes:
        gap = refit.sizes["between_mortises"] + play_between(joint)
    whole = snap(joint.count * each + (joint.count - 1) * gap)
    if side_by_side:
        return {"gap": snap(gap), **_plain(joint, refit, width, whole)}
    return {"gap": snap(gap), **_plain(joint, refit, whole, thickness)}


@numbers_for.register(SlabTenons)
def _(joint: SlabTenons, refit: Refit) -> dict[str, Any]:
    sizes, play = refit.sizes, joint.fit.cheek.mid
    width, inner = _sizes(joint, refit)
    if "mortise_width" not in sizes:
        inner = joint.inner
    dovetail = joint.dovetail
    if "socket_depth" in sizes:
        dovetail = sizes["socket_depth"] - play / 2
    # The plain mortise's middle stays where it was, from the slab's edge.
    gap = joint.gap - (dovetail - joint.dovetail) - (inner - joint.inner) / 2
    if "between_mortises" in sizes:
        gap = sizes["between_mortises"] + play
    slope = joint.slope
    if "socket_mouth" in sizes or dovetail != joint.dovetail or width != joint.width:
        mouth = sizes.get("socket_mouth", joint.socket.mouth)
        slope = (width + joint.fit.edge.mid - mouth) / 2 / dovetail
    whole = snap(dovetail + gap + inner)
    return {
        "dovetail": snap(dovetail),
        "gap": snap(gap),
        "slope": slope,
        **_plain(joint, refit, width, whole),
    }


@numbers_for.register(WedgedTenon)
def _(joint: WedgedTenon, refit: Refit) -> dict[str, Any]:
    width, thickness = _sizes(joint, refit)
    found = _plain(joint, refit, width, thickness)
    if "far_length" in refit.sizes:
        mouth = width + joint.fit.edge.mid
        found["flare"] = snap((refit.sizes["far_length"] - mouth) / 2)
    share = refit.lengths[joint.name] / joint.length
    if abs(share - 1.0) > 1e-9:  # kerfs and wedges reach down the same share of the tenon
        for name in ("kerf_length", "wedge_length", "flare_start"):
            found[name] = snap(getattr(joint, name) * share)
    return found


@numbers_for.register(TuskTenon)
def _(joint: TuskTenon, refit: Refit) -> dict[str, Any]:
    sizes = refit.sizes
    found = _plain(joint, refit, *_sizes(joint, refit))
    through = refit.now(joint.receiver).extent(joint.receiver_face)
    relief = joint.relief
    if "wedge_hole_at" in sizes:
        relief = through - sizes["wedge_hole_at"]
        if relief <= 0.0:
            raise GeometryError(
                f"{joint.name}: the wedge's hole begins {-relief:.2f} mm beyond the post, so that "
                "the wedge would draw nothing"
            )
        found["relief"] = snap(relief)
    if "wedge_hole_length" in sizes or "wedge_hole_at" in sizes:
        long = sizes.get("wedge_hole_length", joint.wedge_hole.length)
        rail, face = refit.now(joint.entering), joint.wedge_face
        deep = rail.extent(face)
        found["wedge_width"] = snap(long - relief - joint.slope * deep / 2)
    if "wedge_hole_width" in sizes:
        found["wedge_thickness"] = snap(sizes["wedge_hole_width"] - joint.play)
    return found


@numbers_for.register(AngledTenon)
def _(joint: AngledTenon, refit: Refit) -> dict[str, Any]:
    width, thickness = _sizes(joint, refit)
    found: dict[str, Any] = {
        "shoulders": shoulders_for(joint, refit.now(joint.entering), width, thickness)
    }
    found |= _pegs(joint, refit, found["shoulders"].face_edge)
    wedged = joint.wedged
    if wedged is None:
        return found
    if "far_length" in refit.sizes:
        mouth = width + joint.fit.edge.mid
        wedged = replace(wedged, flare=snap((refit.sizes["far_length"] - mouth) / 2))
    # The plank's real thickness along the leg.
    now = refit.now(joint.receiver).extent(joint.receiver_face)
    share = now / joint.receiver.extent(joint.receiver_face)
    if abs(share - 1.0) > 1e-9:
        wedged = replace(
            wedged,
            kerf_length=snap(wedged.kerf_length * share),
            length=snap(wedged.length * share),
            flare_start=snap(wedged.flare_start * share),
        )
    return {**found, "wedged": wedged}


@numbers_for.register(TaperedRound)
def _(joint: TaperedRound, refit: Refit) -> dict[str, Any]:
    mouth = refit.sizes.get("socket_mouth")
    return {} if mouth is None else {"diameter": snap(mouth - joint.play)}


__all__ = ["shoulders_for", "tenon_length"]
