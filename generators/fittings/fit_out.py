"""A bench on four posts with what is fitted to it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from treenail.generators.fittings.board_jack import BoardJackBuilder, jack_lines
from treenail.generators.fittings.jaw_vise import JawViseBuilder
from treenail.generators.fittings.leg_vise import LegViseBuilder
from treenail.generators.fittings.levelling_feet import add_levelling_feet
from treenail.generators.fittings.planing_stop import add_planing_stop, stop_lines
from treenail.timber.errors import GeometryError

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from treenail.generators.fittings.site import Site
    from treenail.generators.frame_layout import Layout
    from treenail.generators.post_spec import PostSpec
    from treenail.timber.species import Species


def fit_out(site: Site, rows: Sequence[float], peg_wood: Species) -> None:
    """Add every fitting that is asked for.

    Args:
        site: the bench as it is.
        rows: of dog holes, from the front, mm.
        peg_wood: of wedges.

    Raises:
        SpecError: a fitting has no place; the field is named.
    """
    builders: dict[str, Callable[[], None]] = {
        "levelling_feet": lambda: add_levelling_feet(site),
        "planing_stop": lambda: add_planing_stop(site, rows),
        "leg_vise": lambda: LegViseBuilder(site, peg_wood).add(),
        "face_vise": lambda: JawViseBuilder(site, "face_vise", rows).add(),
        "end_vise": lambda: JawViseBuilder(site, "end_vise", rows).add(),
        "board_jack": lambda: BoardJackBuilder(site).add(),
    }
    for group, build in builders.items():
        if getattr(site.fittings, group).enabled:
            try:
                build()
            except GeometryError as error:
                raise site.refuse(
                    group, str(error), "sizes that leave wood around every hole"
                ) from None


def lines_to_clear(spec: PostSpec, layout: Layout, rows: Sequence[float]) -> list[float]:
    """Distances from the front where fittings allow no glue line in the top, mm."""
    upper = layout.plans.get("upper_long")
    return [
        *stop_lines(spec, rows),
        *jack_lines(spec, layout.front, upper.set_in if upper else None),
    ]


__all__ = ["fit_out", "lines_to_clear"]
