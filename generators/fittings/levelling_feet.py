"""Levelling feet under posts or trestles; the posts are that much shorter."""

from __future__ import annotations

from typing import TYPE_CHECKING

from treenail.generators.fittings.plates import on_face
from treenail.generators.fittings.site import measured
from treenail.generators.parts import DOWN
from treenail.joints.levelling import LevellingFoot

if TYPE_CHECKING:
    from treenail.generators.fittings.site import Site


def add_levelling_feet(site: Site) -> None:
    """A foot at every place where the bench stands."""
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
    for foot in site.ground.feet:
        face = foot.member.face_towards(DOWN)
        site.joints.append(
            LevellingFoot(
                name=f"levelling_foot_{foot.name}",
                member=foot.member,
                end=face,
                at=None if foot.at is None else on_face(foot.member, face, (*foot.at, 0.0)),
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
