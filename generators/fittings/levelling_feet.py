"""Levelling feet under the posts, which are that much shorter."""

from __future__ import annotations

from typing import TYPE_CHECKING

from treenail.generators.fittings.site import measured
from treenail.generators.parts import DOWN
from treenail.joints.levelling import LevellingFoot

if TYPE_CHECKING:
    from treenail.generators.fittings.site import Site


def add_levelling_feet(site: Site) -> None:
    """A foot in the end of every post."""
    insert_hole, insert, stud, stud_length, pad, thick = measured(
        site.fittings.levelling_feet,
        "levelling_feet",
        "insert_hole",
        "insert_length",
        "stud_diameter",
        "stud_length",
        "pad_diameter",
        "pad_thickness",
    )
    standing = site.chosen("levelling_feet.standing", site.floor_to_posts)
    for post in [m for m in site.timbers.values() if m.role == "post"]:
        site.joints.append(
            LevellingFoot(
                name=f"levelling_foot_{post.name.removeprefix('post_')}",
                member=post,
                end=post.face_towards(DOWN),
                insert_hole=insert_hole,
                insert_length=insert,
                stud=stud,
                stud_length=stud_length,
                pad=pad,
                pad_thickness=thick,
                standing=standing,
            )
        )


__all__ = ["add_levelling_feet"]
