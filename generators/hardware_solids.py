"""Kernel solids of bolts with their washers, barrel nuts and measured parts, by themselves."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from treenail.generators.kernel import box, cylinder, prism, revolve, single
from treenail.timber.fasteners import lag_tip_length
from treenail.timber.frames import Frame
from treenail.timber.measured_parts import MeasuredPart
from treenail.timber.metric_bolts import spot_face

if TYPE_CHECKING:
    import cadquery as cq

    from treenail.joints.base import Hardware


def hardware_solid(item: Hardware) -> cq.Solid:
    """A bolt with its washer, a barrel nut, or a round part as it was measured."""
    if isinstance(item.size, MeasuredPart):
        return _measured(item.size)
    return _barrel_nut(item) if item.kind == "barrel nut" else _bolt(item)


def _measured(part: MeasuredPart) -> cq.Solid:
    """Its rings, turned."""
    outline = [(part.rings[0][0], 0.0)]
    for low, high, wide in part.rings:
        outline += [(low, wide / 2), (high, wide / 2)]
    return single(revolve(Frame(), [*outline, (part.rings[-1][1], 0.0)]), part.name)


def _barrel_nut(item: Hardware) -> cq.Solid:
    """A cylinder along z, centred; the bolt's hole runs along x through two flats.

    Without the flats the hole's rim would be a curve that files hold only nearly.
    """
    flat, wide = spot_face(item.body, item.size.diameter)
    reach = item.body
    barrel = cylinder(Frame((0.0, 0.0, -item.length / 2)), item.body, item.length)
    across = Frame((-reach, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0), (1.0, 0.0, 0.0))
    tools = [cylinder(across, item.size.diameter, 2 * reach)]
    for start in (flat, -reach):
        corner = Frame((start, -reach, -wide / 2))
        tools.append(box(corner, (reach - flat, 2 * reach, wide)))
    return single(barrel.cut(*tools), item.name)


def _bolt(item: Hardware) -> cq.Solid:
    """The washer bears on z = 0; threads are cylinders of the bolt's diameter.

    A lag has a conical point.
    """
    size = item.size
    under_head = -size.washer_thickness
    tip = lag_tip_length(size.diameter) if item.kind == "lag bolt" else 0.0
    corner = size.head_flats / math.sqrt(3.0)
    hexagon = [
        (corner * math.cos(math.radians(60 * i)), corner * math.sin(math.radians(60 * i)))
        for i in range(6)
    ]
    head = prism(
        Frame().shifted((0.0, 0.0, under_head - size.head_height)), hexagon, size.head_height
    )
    end, r = under_head + item.length, size.diameter / 2
    turned = revolve(
        Frame(),
        [
            (under_head, 0.0),
            (under_head, size.washer_od / 2),
            (0.0, size.washer_od / 2),
            (0.0, r),
            (end - tip, r),
            (end, 0.0),
        ],
    )
    return single(head.fuse(turned), item.name)
