"""A bench with what is fitted to it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from treenail.timber.errors import GeometryError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from treenail.generators.fittings.site import Site
    from treenail.generators.frame_layout import Layout
    from treenail.generators.post_spec import PostSpec
    from treenail.timber.species import Species


#: In the order in which they find their places.
GROUPS = ("levelling_feet", "planing_stop", "leg_vise", "face_vise", "end_vise", "board_jack")


def fit_out(site: Site, rows: Sequence[float], peg_wood: Species) -> None:
    """Add every fitting that is asked for.

    Args:
        site: the bench as it is.
        rows: of dog holes, from the front, mm.
        peg_wood: of wedges.

    Raises:
        SpecError: a fitting has no place; the field is named.
    """
    for group in GROUPS:
        asked = site.group(group)
        if asked is not None and asked.enabled:
            try:
                _add(group, site, rows, peg_wood)
            except GeometryError as error:
                raise site.refuse(
                    group, str(error), "sizes that leave wood around every hole"
                ) from None


def _add(group: str, site: Site, rows: Sequence[float], peg_wood: Species) -> None:
    """One fitting; its module is loaded only now, as most benches have few."""
    match group:
        case "levelling_feet":
            from treenail.generators.fittings.levelling_feet import add_levelling_feet

            add_levelling_feet(site)
        case "planing_stop":
            from treenail.generators.fittings.planing_stop import add_planing_stop

            add_planing_stop(site, rows)
        case "leg_vise":
            from treenail.generators.fittings.leg_vise import LegViseBuilder

            LegViseBuilder(site, peg_wood).add()
        case "face_vise" | "end_vise":
            from treenail.generators.fittings.jaw_vise import JawViseBuilder

            JawViseBuilder(site, group, rows).add()
        case _:
            from treenail.generators.fittings.board_jack import BoardJackBuilder

            BoardJackBuilder(site).add()


def lines_to_clear(spec: PostSpec, layout: Layout, rows: Sequence[float]) -> list[float]:
    """Distances from the front where fittings allow no glue line in the top, mm."""
    lines: list[float] = []
    if spec.fittings.planing_stop.enabled:
        from treenail.generators.fittings.planing_stop import stop_lines

        lines += stop_lines(spec, rows)
    jack = getattr(spec.fittings, "board_jack", None)
    if jack is not None and jack.enabled:
        from treenail.generators.fittings.board_jack import jack_lines

        upper = layout.plans.get("upper_long")
        lines += jack_lines(spec, layout.front, upper.set_in if upper else None)
    return lines


__all__ = ["fit_out", "lines_to_clear"]
