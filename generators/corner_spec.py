"""Whether a spec's cutter fits its mortises."""

from __future__ import annotations

from typing import TYPE_CHECKING

from treenail.joints.corners import CornerKind, largest_cutter
from treenail.timber.errors import SpecError

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

__all__ = ["refuse_wide_cutter"]


def refuse_wide_cutter(
    kind: CornerKind,
    cutter: float,
    mortises: Iterable[tuple[str, float]],
    say: Callable[[float], str],
) -> None:
    """SpecError, naming ``cutter``, for the first mortise in which its corners run together.

    Args:
        kind: of the corners.
        cutter: its diameter, mm.
        mortises: (section of the spec, width in mm) each.
        say: a length in words.
    """
    for section, width in mortises:
        most = largest_cutter(kind, width)
        if kind != "square" and cutter > most + 1e-9:
            raise SpecError(
                f"{kind} corners of a {say(cutter)} cutter don't fit the mortises of {section}, "
                f"which are {say(width)} wide",
                field="cutter",
                allowed=f"at most {say(most)}, a thicker tenon, or mortise_corners: square",
            )
