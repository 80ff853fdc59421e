"""The leg vise: a chop before a front post, its screw, and its guide through the post's foot."""

from __future__ import annotations

import math
from dataclasses import fields
from typing import TYPE_CHECKING, cast

from treenail.generators.fittings.plates import add_plate, hole_for, on_face
from treenail.generators.fittings.site import FITTINGS, Site, measured
from treenail.generators.parts import BACK, DOWN, FRONT, LEFT, RIGHT, UP
from treenail.joints.convex import segment_distance
from treenail.joints.levelling import STUD_DEEPER
from treenail.joints.mortise_tenon import Shoulders
from treenail.joints.provisions import Holes
from treenail.joints.sliding import Sliding
from treenail.joints.tenon_variants.make import wedged_tenon
from treenail.joints.vise_screw import GuideTenon, ViseRod, ViseScrew
from treenail.timber.frames import Frame, snap, snap_vec
from treenail.timber.measured_parts import headed_rod
from treenail.timber.member import Face, Member

if TYPE_CHECKING:
    from collections.abc import Sequence

    from treenail.generators.fittings.site import Hole
    from treenail.generators.fittings_spec import LegVise
    from treenail.joints.fits import Model
    from treenail.timber.species import Species

INCH = 25.4
#: Working surface to the screw, mm (common practice: 8 to 10 in).
SCREW_BELOW = 8 * INCH
#: Wood between the vise's holes and the tenons' mortises, mm (our own choice).
WALL = INCH / 4
#: Chop left below the guide, mm (our own choice).
BELOW_GUIDE = INCH
#: Steps in which the screw's height is looked for, mm.
STEP = INCH / 16
#: Shoulders of the guide's tenon above and below, mm, and at least on its cheeks.
EDGE, CHEEK = INCH / 4, INCH / 8
#: Narrower guides leave no tenon between their wedges, mm.
LEAST_GUIDE = 30.0


class LegViseBuilder:
    """One leg vise; holds what its parts share."""

    def __init__(self, site: Site, peg_wood: Species) -> None:
        self.site, self.peg_wood = site, peg_wood
        self.vise: LegVise = site.group("leg_vise")
        self.leg = site.ground.legs[self.vise.post]
        self.post = self.leg.post
        low, high = self.post.bounds()
        self.middle = (low[0] + high[0]) / 2
        self.front, self.back = low[1], high[1]
        self.screw, self.long, self.collar, self.nut = measured(
            self.vise,
            "leg_vise",
            "screw_diameter",
            "screw_length",
            "collar_diameter",
            "nut_thickness",
        )

    # -- where -------------------------------------------------------------------------------

    @property
    def hole(self) -> float:
        """Diameter of the screw's holes, mm."""
        if self.vise.screw_hole is not None:
            if self.vise.screw_hole <= self.screw:
                raise self.site.refuse(
                    "leg_vise.screw_hole",
                    f"a screw {self.site.say(self.screw)} thick does not go through holes of "
                    f"{self.site.say(self.vise.screw_hole)}",
                    f"more than {self.site.say(self.screw)}",
                )
            return self.vise.screw_hole
        return hole_for(self.screw, self.site.units)

    def screw_height(self) -> float:
        """Floor to the screw, mm: clear of the stretchers behind the post and in it."""
        site, vise = self.site, self.vise
        if vise.screw_height is not None:
            return vise.screw_height
        around = max(self.hole, vise.nut_diameter, vise.nut.length) / 2
        highest = site.spec.height - SCREW_BELOW
        lowest = 0.0
        if long := site.plan("upper_long"):
            highest = min(highest, long.tenon_low - self.hole / 2 - WALL)
        if end := site.plan("upper_end"):
            highest = min(highest, end.z - around - WALL)
        if long := site.plan("lower_long"):
            lowest = max(lowest, long.tenon_high + self.hole / 2 + WALL)
        if end := site.plan("lower_end"):
            lowest = max(lowest, end.z + end.width + around + WALL)
        taken = [hole for m in (*self.leg.before, self.post) for hole in site.bores(m)]
        steps = math.floor(highest / STEP + 1e-9), math.ceil(lowest / STEP - 1e-9)
        for i in range(steps[0], steps[1] - 1, -1):
            if self._is_clear(i * STEP, taken):
                return i * STEP
        raise site.refuse(
            "leg_vise.screw_height",
            f"between the stretchers at the post no {site.say(2 * around)} are free for the "
            "screw and its nut" + (", clear of pegs" if highest >= lowest else ""),
            "narrower stretchers, stretchers farther apart, or pegs elsewhere",
        )

    def _is_clear(self, height: float, taken: Sequence[Hole]) -> bool:
        """Whether the screw and its nut's holes miss the pegs at the post."""
        vise, plate = self.vise, self.vise.nut
        own = [((0.0, 0.0), self.post.bounds()[0][1] - self.vise.chop_thickness, self.hole)]
        if vise.nut_diameter > 0.0:
            own.append(((0.0, 0.0), self.back - vise.nut_inset, vise.nut_diameter))
        if plate.hole > 0.0:
            a, b = plate.holes_across / 2, plate.holes_along / 2
            own += [
                ((i * a, j * b), self.back - plate.hole_depth, plate.hole)
                for i in (-1, 1)
                for j in (-1, 1)
            ]
        for (aside, up), start, wide in own:
            x, z = self.middle + aside, height + up
            axis = ((x, start, z), (x, self.back, z))
            for theirs, radius in taken:
                if segment_distance(axis, theirs).distance < wide / 2 + radius + WALL:
                    return False
        return True

    @property
    def nut_end(self) -> float:
        """From the screw's collar to the far side of the nut, the vise shut, mm."""
        chop = self.vise.chop_thickness
        return snap(chop + self.back - self.vise.nut_inset + self.nut)

    def travel(self) -> float:
        """The opening, mm."""
        most, say = self.long - self.nut_end, self.site.say
        step = INCH / 2 if self.site.units == "in" else 10.0
        if most < step:
            raise self.site.refuse(
                "leg_vise.screw_length",
                f"chop, post and nut take {say(self.nut_end)} of the screw",
                f"at least {say(self.nut_end + step)}",
            )
        if self.vise.travel is not None:
            return self.vise.travel
        return math.floor(most / step + 1e-9) * step

    def guide_low(self) -> float:
        """Floor to the guide's lower edge, mm."""
        site, vise = self.site, self.vise
        if vise.guide_height is not None:
            return vise.guide_height
        low = vise.chop_clearance + BELOW_GUIDE
        feet = site.fittings.levelling_feet
        stands = site.floor_to_posts
        if feet.enabled:
            low = max(low, stands + (feet.stud_length or 0.0) + STUD_DEEPER + WALL)
        low = math.ceil(max(low, stands + INCH) / (INCH / 16) - 1e-9) * (INCH / 16)
        needs = low + vise.guide_width + vise.guide_play + WALL
        for key in ("lower_long", "lower_end"):
            plan = site.plan(key)
            if plan is None:
                continue
            # The guide comes out under the stretcher behind the post.
            have = plan.tenon_low if key == "lower_long" else plan.z
            if have < needs - 1e-9:
                raise site.refuse(
                    "leg_vise.guide_height",
                    f"the guide needs {site.say(needs)} from the floor; the {plan.key} stretchers "
                    f"leave {site.say(have)}",
                    f"{plan.key}.height of {site.say(needs - have + plan.z)} or more, or a "
                    "narrower guide",
                )
        return low

    # -- parts -------------------------------------------------------------------------------

    def add(self) -> None:
        """Chop, guide, screw, and what they need in the post."""
        site, vise = self.site, self.vise
        height = site.chosen("leg_vise.screw_height", self.screw_height())
        travel = site.chosen("leg_vise.travel", self.travel())
        low = site.chosen("leg_vise.guide_height", self.guide_low())
        chop = self.add_chop()
        guide = self.add_guide(chop, low, travel)
        self.add_pin_holes(guide, travel)
        thick = vise.chop_thickness
        at = (self.middle, -thick, height)
        size = headed_rod(
            diameter=self.screw,
            length=self.long,
            collar=self.collar,
            thickness=vise.collar_thickness,
        )
        site.joints.append(
            ViseScrew(
                name="leg_vise",
                bearer=self.post,
                jaw=chop,
                between=self.leg.before,
                direction=BACK,
                rods=(
                    ViseRod(
                        kind="vise screw",
                        size=size,
                        length=self.long,
                        hole=self.hole,
                        point=snap_vec(at),
                    ),
                ),
                travel=travel,
                nut=self.nut,
                nut_end=self.nut_end,
            )
        )
        behind = (self.middle, self.back, height)
        if vise.nut_inset > 0.0 and vise.nut_diameter > 0.0:
            face = self.post.face_towards(BACK)
            site.joints.append(
                Holes(
                    name="leg_vise_nut",
                    member=self.post,
                    face=face,
                    what="nut hole",
                    diameter=vise.nut_diameter,
                    points=(on_face(self.post, face, behind),),
                    depth=vise.nut_inset,
                )
            )
        add_plate(site, "leg_vise_nut", vise.nut, self.post, outward=BACK, point=behind)
        add_plate(site, "leg_vise_collar", vise.collar, chop, outward=FRONT, point=at)

    def add_chop(self) -> Member:
        """The chop, shut: its inner face on the top's front edge."""
        site, vise = self.site, self.vise
        corner = (self.middle - vise.chop_width / 2, -vise.chop_thickness, vise.chop_clearance)
        return site.add(
            Member(
                name="chop",
                role="chop",
                length=snap(site.spec.height - vise.chop_clearance),
                width=vise.chop_width,
                thickness=vise.chop_thickness,
                species=site.species(vise.chop_species, "leg_vise.chop_species"),
                placement=Frame(snap_vec(corner), UP, RIGHT, BACK),
                plies=vise.chop_plies,
                assembly=FITTINGS,
            )
        )

    def add_guide(self, chop: Member, low: float, travel: float) -> Member:
        """The guide, wedged in the chop, sliding through the post."""
        site, vise = self.site, self.vise
        wide, thick = vise.guide_width, vise.guide_thickness
        stands = site.say.tool(0.7 * thick, largest=thick - 2 * CHEEK)
        cheek = snap((thick - stands) / 2)
        if stands >= thick or wide < LEAST_GUIDE:
            raise site.refuse(
                "leg_vise.guide_thickness" if stands >= thick else "leg_vise.guide_width",
                f"a guide {site.say(wide)} by {site.say(thick)} leaves no tenon for the chop",
                f"at least {site.say(LEAST_GUIDE)} by {site.say(4 * CHEEK)}",
            )
        start = (self.middle + thick / 2, -vise.chop_thickness, low + wide)
        guide = site.add(
            Member(
                name="vise_guide",
                role="vise guide",
                length=snap(vise.chop_thickness + self.back + travel + vise.guide_tail),
                width=wide,
                thickness=thick,
                species=site.wood,
                placement=Frame(snap_vec(start), BACK, DOWN, LEFT),
                assembly=FITTINGS,
            )
        )
        fit = site.say.fit(site.spec.fit)
        tenon = wedged_tenon(
            chop,
            guide,
            name="guide_in_chop",
            end=Face.NEAR_END,
            fit=fit.built(cast("Model", site.spec.model)),
            shoulders=Shoulders(face_edge=EDGE, back_edge=EDGE, face_side=cheek, back_side=cheek),
            species=self.peg_wood,
        )
        site.joints += [
            GuideTenon(**{f.name: getattr(tenon, f.name) for f in fields(tenon)}),
            Sliding(
                name="guide_in_post",
                receiver=self.post,
                entering=guide,
                home=BACK,
                rests=(DOWN, RIGHT),
                play=vise.guide_play,
                what="guide mortise",
            ),
        ]
        return guide

    def add_pin_holes(self, guide: Member, travel: float) -> None:
        """Holes for the pin before the post, from nearly shut to wide open."""
        vise = self.vise
        step = vise.pin_pitch / vise.pin_rows
        # Behind the chop; the pin's near side bears on the post.
        first = self.front + 1.5 * vise.pin
        count = math.floor((travel - 2 * vise.pin) / step + 1e-9) + 1
        if count < 1:
            raise self.site.refuse(
                "leg_vise.pin",
                f"an opening of {self.site.say(travel)} has no room for a pin",
                f"less than {self.site.say(travel / 2)}",
            )
        rows = [guide.width * (r + 1) / (vise.pin_rows + 1) for r in range(vise.pin_rows)]
        self.site.joints.append(
            Holes(
                name="guide_pins",
                member=guide,
                face=Face.FACE_SIDE,
                what="pin hole",
                diameter=vise.pin,
                points=tuple(
                    (snap(vise.chop_thickness + first + i * step), snap(rows[i % len(rows)]))
                    for i in range(count)
                ),
            )
        )


__all__ = ["LegViseBuilder"]
