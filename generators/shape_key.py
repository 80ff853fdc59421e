"""What makes two members the same shape: a text of their numbers, without a kernel.

Solids are built once for each key, and templates written once for each key.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from treenail.timber.frames import Frame, snap

if TYPE_CHECKING:
    from collections.abc import Sequence

    from treenail.joints.cuts import Cut
    from treenail.timber.member import Member

__all__ = ["shape_key"]


def _numbers(value: Any) -> str:
    """A stable text of all numbers of a cutter."""
    if isinstance(value, float | int):
        return repr(snap(float(value)))
    if isinstance(value, Frame):
        return _numbers((value.origin, value.x, value.y, value.z))
    if isinstance(value, tuple):
        return "(" + ",".join(_numbers(v) for v in value) + ")"
    fields = type(value).__dataclass_fields__
    return type(value).__name__ + _numbers(tuple(getattr(value, f) for f in fields))


def shape_key(member: Member, cuts: Sequence[Cut]) -> str:
    """What makes two members the same shape: their sizes and all cutters, by number."""
    stock = (*member.size, float(member.round_section), member.tip_length, member.tip_diameter)
    cutters = sorted(_numbers(c) for cut in cuts for c in cut.cutters(member))
    return _numbers(stock) + "".join(cutters)
