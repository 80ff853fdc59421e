"""Glue lines of joints that lie aslant."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from treenail.shop.glue_line import CLAMPS, WEDGES, GlueLine, line_of

if TYPE_CHECKING:
    from treenail.joints.angled_tenon import AngledTenon
    from treenail.joints.skew import SkewLetIn


def angled_line(joint: AngledTenon) -> GlueLine:
    """Shoulder plane and end are parallel, or the end square: the axis has the mean length."""
    rail, long = joint.entering, joint.length
    kerfs = math.fsum(k.width * k.length for k in joint.tenon.kerfs)
    parts = {
        "cheeks": 2.0 * (joint.width * long - kerfs),
        "edges": 2.0 * joint.thickness * long,
    }
    return line_of(
        joint,
        parts=parts,
        pressed=rail.width * rail.thickness - joint.width * joint.thickness,
        closed_by=WEDGES if joint.wedged else CLAMPS,
        length=rail.width,
        width=rail.thickness,
        cover=joint.receiver.extent(joint.receiver_face),
        note="driven along the leg; the wedges then hold it"
        if joint.wedged
        else "clamp along the leg: a clamp square to the face pushes it askew",
    )


def skew_line(joint: SkewLetIn) -> GlueLine:
    """The notch's floor; its walls are end grain or stand off."""
    notch = joint.notch
    wide, long = notch.width - joint.fit.cheek.mid, 2.0 * notch.half_run
    return line_of(
        joint,
        parts={"floor": wide * long},
        pressed=wide * long,
        closed_by=CLAMPS,
        length=max(wide, long),
        width=min(wide, long),
        cover=joint.entering.thickness,
        note="the two grains cross: both move, so keep it small",
    )
