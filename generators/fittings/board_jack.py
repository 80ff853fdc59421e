"""The board jack: an upright board that slides before the front stretchers and holds long work."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from treenail.generators.fittings.site import FITTINGS, Site
from treenail.generators.parts import BACK, RIGHT, UP
from treenail.generators.tops import section_at
from treenail.joints.jack_slide import JackGroove, JackRide, play_to_swing, swinging
from treenail.joints.provisions import Holes
from treenail.timber.frames import Frame, snap, snap_vec
from treenail.timber.member import Face, Member

if TYPE_CHECKING:
    from treenail.generators.fittings_spec import BoardJack
    from treenail.generators.post_spec import PostSpec

INCH = 25.4
#: Room between the jack and the upper stretcher behind it, mm (our own choice).
BEHIND = INCH / 16
#: How much farther than its ridge is high the jack can be lifted, mm (our own choice).
LIFT_ROOM = INCH / 16
#: Play beyond what swinging it out takes, mm (our own choice).
SPARE = 0.3
#: A thinner board bends under what it carries, mm (our own choice).
LEAST = INCH * 0.75


def jack_thickness(spec: PostSpec, set_in: float | None) -> float:
    """The jack's thickness, mm: what the upper stretcher leaves, or 1 1/2 in."""
    jack: BoardJack = spec.fittings.board_jack  # type: ignore[attr-defined]  # it has one
    asked = jack.thickness
    if asked is not None:
        return asked
    room = 1.5 * INCH if set_in is None else set_in - BEHIND
    return math.floor(min(room, 1.5 * INCH) / (INCH / 16) + 1e-9) * (INCH / 16)


def jack_lines(spec: PostSpec, front: float, set_in: float | None) -> list[float]:
    """Distance from the front where no glue line may come, mm."""
    return [snap(front + jack_thickness(spec, set_in) / 2)]


class BoardJackBuilder:
    """One board jack; holds what its parts share."""

    def __init__(self, site: Site) -> None:
        self.site = site
        self.jack: BoardJack = site.group("board_jack")
        upper = site.plan("upper_long")
        self.set_in = upper.set_in if upper else None
        self.thick = self._thickness()
        self.front = site.ground.front
        self.middle = self.front + self.thick / 2
        self.rail = site.timbers["stretcher_lower_front"]

    def _thickness(self) -> float:
        site = self.site
        thick = jack_thickness(site.spec, self.set_in)
        needs = max(thick, LEAST, self.jack.ridge_width + INCH / 4) + BEHIND
        if self.set_in is not None and self.set_in < needs - 1e-9:
            raise site.refuse(
                "board_jack.enabled",
                f"the upper front stretcher stands {site.say(self.set_in)} behind the posts' "
                f"front; the jack that slides before it needs {site.say(needs)}",
                f"upper_long.set_in of {site.say(needs)} or more",
            )
        return site.chosen("board_jack.thickness", thick)

    def add(self) -> None:
        """Jack, ridge and groove."""
        site, jack = self.site, self.jack
        if site.spec.shelf.enabled:
            raise site.refuse(
                "board_jack.enabled",
                "shelf boards lie on the stretcher on whose edge the jack rides",
                "shelf.enabled: false",
            )
        long = site.plan("lower_long")
        assert long is not None  # every such bench has it
        if long.haunch is not None or long.top < jack.ridge_height:
            raise site.refuse(
                "board_jack.ridge_height",
                f"the ridge, {site.say(jack.ridge_height)} high, runs out over the tenons' "
                f"shoulders: {site.say(long.top)} above the tenon"
                + (", with a haunch" if long.haunch else ""),
                f"lower_long.shoulder_top of {site.say(jack.ridge_height)} or more, and no haunch",
            )
        ridge_front = snap(self.middle - jack.ridge_width / 2 - self.front - long.set_in)
        ridge_back = snap(long.thickness - ridge_front - jack.ridge_width)
        if min(ridge_front, ridge_back) < 0.0:
            raise site.refuse(
                "board_jack.ridge_width",
                f"the ridge would stand {site.say(-min(ridge_front, ridge_back))} beside the "
                "lower front stretcher",
                f"lower_long.set_in of {site.say(max(long.set_in + ridge_front, 0.0))} or less",
            )
        left, right = self.run()
        board = self.add_board(left, right)
        site.joints.append(
            JackRide(
                name="jack_on_rail",
                receiver=board,
                entering=self.rail,
                face=Face.NEAR_END,
                shoulder=ridge_front,
                back_shoulder=ridge_back,
            )
        )
        side = snap((self.thick - jack.ridge_width) / 2)
        lift = snap(jack.ridge_height + LIFT_ROOM)
        play = jack.play
        if play is None:
            # Lifted off its ridge, its foot must come out before the stretcher.
            needs = play_to_swing(
                jack.ridge_width,
                jack.engagement + lift,
                aside=self.thick - long.set_in,
                length=board.length,
            )
            play = math.ceil((needs + SPARE) * 10) / 10
        site.chosen("board_jack.play", play)
        under = site.spec.height - site.spec.top.thickness
        site.joints.append(
            JackGroove(
                name="jack_in_top",
                receiver=section_at(
                    [m for m in site.timbers.values() if m.role == "top section"], self.middle
                ),
                entering=board,
                fit=swinging(play),
                shoulder=side,
                back_shoulder=side,
                lift=lift,
                ends=((left, self.middle, under), (right, self.middle, under)),
            )
        )
        self.add_holes(board)

    def run(self) -> tuple[float, float]:
        """From post to post, mm."""
        left, right = (snap(x) for x in self.site.ground.bay)
        if right - left < 2 * self.jack.width:
            raise self.site.refuse(
                "board_jack.width",
                f"between the posts are {self.site.say(right - left)}: no room to slide",
                f"at most {self.site.say((right - left) / 2)}",
            )
        return left, right

    def add_board(self, left: float, right: float) -> Member:
        """The board, on its ridge, its tongue in the groove."""
        site, jack = self.site, self.jack
        x = jack.at
        if x is None:
            x = (left + right) / 2
        if not left <= x - jack.width / 2 <= x + jack.width / 2 <= right:
            raise site.refuse(
                "board_jack.at",
                "the jack stands in a post there",
                f"{site.say(left + jack.width / 2)} to {site.say(right - jack.width / 2)}",
            )
        site.chosen("board_jack.at", x)
        high = self.rail.bounds()[1][2]
        low = high - jack.ridge_height
        top = site.spec.height - site.spec.top.thickness + jack.engagement
        corner = (x - jack.width / 2, self.front, low)
        return site.add(
            Member(
                name="board_jack",
                role="board jack",
                length=snap(top - low),
                width=jack.width,
                thickness=self.thick,
                species=site.species(jack.species, "board_jack.species"),
                placement=Frame(snap_vec(corner), UP, RIGHT, BACK),
                assembly=FITTINGS,
            )
        )

    def add_holes(self, board: Member) -> None:
        """Rows of holes for pegs, staggered, from above the stretcher to below the top."""
        jack = self.jack
        rows = jack.hole_rows
        step = jack.hole_pitch / rows
        clear = max(2 * jack.hole, 2 * INCH)
        room = board.length - 2 * clear - jack.engagement
        count = math.floor(room / step + 1e-9) + 1
        if rows == 0 or count < 1:
            return
        places = [board.width * (r + 1) / (rows + 1) for r in range(rows)]
        if places[0] < jack.hole:
            raise self.site.refuse(
                "board_jack.hole_rows",
                f"{rows} rows of holes leave too little wood between them",
                "fewer rows, or a wider jack",
            )
        self.site.joints.append(
            Holes(
                name="jack_holes",
                member=board,
                face=Face.FACE_SIDE,
                what="peg hole for work",
                diameter=jack.hole,
                points=tuple(
                    (snap(clear + i * step), snap(places[i % rows])) for i in range(count)
                ),
            )
        )


__all__ = ["BoardJackBuilder", "jack_lines"]
