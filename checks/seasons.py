"""The year's rules on joints: what swells tight, dries loose, opens or works across the grain.

How far wood moves is published; how much squeeze, play or pull a joint stands is not, or only
from memory. So nearly all of these advise and warn. Slots and shelf gaps have their rules where
bolts and boards have theirs (``bolt-slot``, ``shelf-gap``).
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from treenail.checks.climate import swing
from treenail.checks.gauge import INCH, SAME
from treenail.checks.rules import Context, Finding, TunableLimit, rule
from treenail.checks.season_data import season_data
from treenail.checks.strength.joint_stiffness import RELAXED
from treenail.checks.tolerance_rules import fine
from treenail.checks.year import Track, alike, tracks_of
from treenail.timber.moisture import crush_strain

__all__ = ["crush_strain", "season_data"]

#: From which share of :func:`crush_strain` a squeeze is worth a word (our own choice).
NEAR_CRUSH = 2.0 / 3.0
#: How much a joint's cheeks may open before it counts as loose, mm (our own choice: 1/64 in).
LOOSE = INCH / 64
#: Widest tenon across the grain, mm (common practice: about 6 in).
WIDEST = 6 * INCH
#: How far two pegs of a tenon may be forced each way, mm (our own choice: 1/32 in).
PEG_FORCE = INCH / 32
#: Play at which a peg counts as loose, mm (our own choice).
PEG_PLAY = 0.1
#: How far an unpegged shoulder may open, mm (our own choice: 1/128 in).
SHOULDER = INCH / 128
#: How far a flush front edge may come off the posts, mm (our own choice: 1/64 in).
FLUSH = INCH / 64

_MOVEMENT = "FPL-GTR-190 (2010) ch. 13 for the movement"


def _also(group: list[Track]) -> str:
    """The other places of which a finding holds as well."""
    names = list(dict.fromkeys(t.joint or t.member for t in group))[1:]
    if not names:
        return ""
    shown = ", ".join(names[:3]) + (f" and {len(names) - 3} more" if len(names) > 3 else "")
    return f" (Likewise {shown}.)"


def _ends(context: Context) -> tuple[tuple[str, float], tuple[str, float]]:
    dry, wet = swing(context.bench.seasons)
    return ("driest", dry), ("wettest", wet)


def _least(context: Context, track: Track) -> tuple[float, str]:
    """The smallest value over the year and its season."""
    return min((track.at(points), season) for season, points in _ends(context))


def _most(context: Context, track: Track) -> tuple[float, str]:
    return max((track.at(points), season) for season, points in _ends(context))


def _squeezed(context: Context, key: str) -> Iterator[tuple[list[Track], float, str, float, float]]:
    """Tight tenons: (alike ones, lack of room, season, squeeze, what the wood stands of it)."""
    for group in alike(tracks_of(context, key)):
        t = group[0]
        play, season = _least(context, t)
        if t.built < -SAME or play >= -SAME:
            continue  # too tight as built: tenon-enters says so
        share = -play / t.size
        stands = crush_strain(context.bench.by_name[t.member].species)
        if share > NEAR_CRUSH * stands:
            yield group, -play, season, share, stands


def _tight(context: Context, code: str, key: str, sides: str, side: str) -> Iterator[Finding]:
    for group, lack, season, share, stands in _squeezed(context, key):
        t = group[0]
        crushed = share > stands
        yield Finding(
            rule=code,
            severity="warning" if crushed else "advice",
            message=f"At its {season} the tenon is {fine(context, lack)} larger than its mortise "
            f"across the {sides}: a squeeze of {100 * share:.2f} %, of about "
            f"{100 * stands:.2f} % that the wood stands"
            + (" before it stays crushed and is loose again in the dry." if crushed else ".")
            + _also(group),
            joint=t.joint,
            member=t.member,
            measured=lack,
            limit=stands * t.size * (1.0 if crushed else NEAR_CRUSH),
            remedy=f"Cut the mortise {fine(context, lack)} {side}, or the tenon that much "
            f"{'narrower' if key == 'edge-play' else 'thinner'}; or build with wood nearer to the "
            f"{season} it will be.",
        )


@rule(
    "tenon-swells-tight",
    title="Room for the tenon's edges to swell",
    why="A tenon swells in width; the mortise, along the post's grain, does not get longer. "
    "Without room the tenon crushes itself, or splits the post's end off.",
    remedy="Cut the mortise longer than the tenon is wide.",
    source=f"{_MOVEMENT}; what wood stands: FPL-GTR-282 Table 5-3 over a stiffness from memory",
)
def tenon_swells_tight(context: Context) -> Iterator[Finding]:
    """Play at the edges over the year, as a share of the tenon's width."""
    yield from _tight(context, "tenon-swells-tight", "edge-play", "edges", "longer")


@rule(
    "cheeks-tighten",
    title="Cheeks not wedged by the season",
    why="Where rail and post move unalike across the cheeks, the tenon wedges the post apart in "
    "one season.",
    remedy="Choose an easier fit, or boards whose rings lie alike.",
    source=f"{_MOVEMENT}; what wood stands: FPL-GTR-282 Table 5-3 over a stiffness from memory",
)
def cheeks_tighten(context: Context) -> Iterator[Finding]:
    """Play at the cheeks over the year, as a share of the tenon's thickness."""
    yield from _tight(context, "cheeks-tighten", "cheek-play", "cheeks", "wider")


@rule(
    "tenon-dries-loose",
    title="Cheeks stay snug over the year",
    why="A tenon that shrinks away from its cheeks leaves the glue line open, and rattles.",
    remedy="Choose a tighter fit, a thinner tenon, or boards whose rings lie alike.",
    source=f"{_MOVEMENT}; the limit is our own choice: 1/64 in",
    limit=TunableLimit(
        default=LOOSE, low=0.05, high=2.0, unit="mm", what="play at the cheeks over the year"
    ),
)
def tenon_dries_loose(context: Context) -> Iterator[Finding]:
    """The largest play at the cheeks over the year; what is loose as built is left out."""
    limit = context.limit("tenon-dries-loose")
    for group in alike(tracks_of(context, "cheek-play")):
        t = group[0]
        play, season = _most(context, t)
        if t.built > limit + SAME or play <= limit + SAME:
            continue
        yield Finding(
            rule="tenon-dries-loose",
            severity="advice",
            message=f"At its {season} the tenon has {fine(context, play)} of play at its cheeks, "
            f"{fine(context, t.built)} as built.{_also(group)}",
            joint=t.joint,
            member=t.member,
            measured=play,
            limit=limit,
            remedy=f"Cut the mortise {fine(context, min(play - limit, t.built))} narrower, or use "
            "boards whose rings lie alike in rail and post.",
        )


@rule(
    "bottoms-when-dry",
    title="Tenon doesn't bottom as the post shrinks",
    why="The mortise gets shallower as the post dries, the tenon no shorter: one that bottoms "
    "pushes its shoulder open.",
    remedy="Chop the mortise deeper.",
    source=f"geometry: {_MOVEMENT}",
)
def bottoms_when_dry(context: Context) -> Iterator[Finding]:
    """The gap under blind tenons and haunches over the year; bottoming as built is left out."""
    for group in alike(tracks_of(context, "bottom-gap")):
        t = group[0]
        gap, season = _least(context, t)
        if t.built <= SAME or gap > -SAME:
            continue
        yield Finding(
            rule="bottoms-when-dry",
            severity="error" if t.sure else "warning",
            message=f"At its {season} the {t.what.rpartition(' ')[2]} bottoms by "
            f"{fine(context, -gap)}; as built there are {fine(context, t.built)}.{_also(group)}",
            joint=t.joint,
            member=t.member,
            measured=gap,
            limit=0.0,
            remedy=f"Chop the mortise {context.say(INCH / 16 - gap)} deeper.",
        )


@rule(
    "shoulder-dries-open",
    title="Shoulders stay home as the post shrinks",
    why="The post's wood between shoulder and peg shrinks, and the peg with it; the tenon does "
    "not. What the pegs still pull must make up for it.",
    remedy="Draw more, set the pegs nearer the shoulder, or dry posts and pegs before.",
    source=f"{_MOVEMENT}; half of the draw relaxed: our own model",
)
def shoulder_dries_open(context: Context) -> Iterator[Finding]:
    """Loss of draw over the year against half of it; without pegs, the shrinkage itself."""
    for group in alike(tracks_of(context, "draw")):
        t = group[0]
        loss = max(t.built - _least(context, t)[0], 0.0)
        left = RELAXED * t.built
        if t.built <= SAME or loss <= left / 2:
            continue  # pegs that draw nothing: draw-direction says so
        yield Finding(
            rule="shoulder-dries-open",
            severity="warning" if loss > left else "advice",
            message=f"As it dries the joint gives {fine(context, loss)}; of the pegs' draw about "
            f"{fine(context, left)} lasts"
            + (": the shoulder opens." if loss > left else ", and little of it then pulls.")
            + _also(group),
            joint=t.joint,
            member=t.member,
            measured=loss,
            limit=left if loss > left else left / 2,
            remedy=f"Build with posts and pegs dried to "
            f"{_drier(context, loss, left / 2):.1f} %, set the pegs nearer the shoulder, or draw "
            f"{context.say(2.0 * loss / RELAXED)} if the pegs stand it.",
        )
    for group in alike(tracks_of(context, "shoulder-hold")):
        t = group[0]
        opens = -_least(context, t)[0]
        if opens <= SHOULDER + SAME:
            continue
        yield Finding(
            rule="shoulder-dries-open",
            severity="advice",
            message=f"Without pegs the shoulder opens about {fine(context, opens)} as the post "
            f"dries.{_also(group)}",
            joint=t.joint,
            member=t.member,
            measured=opens,
            limit=SHOULDER,
            remedy="Peg the joint, or build with posts dried to "
            f"{_drier(context, opens, SHOULDER):.1f} %.",
        )


def _drier(context: Context, loss: float, allowed: float) -> float:
    """The moisture content at the build at which a loss in the dry comes down to ``allowed``."""
    s = context.bench.seasons
    return s.driest + (s.at_build - s.driest) * allowed / loss


@rule(
    "peg-loosens",
    title="Pegs stay tight as they dry",
    why="A peg shrinks across its grain; its hole does not along the post's. A loose peg works.",
    remedy="Dry the pegs well below the bench's own moisture before they are driven.",
    source=f"{_MOVEMENT}; the limit is our own choice: 0.1 mm",
    limit=TunableLimit(
        default=PEG_PLAY, low=0.01, high=1.0, unit="mm", what="play of a peg in the dry season"
    ),
)
def peg_loosens(context: Context) -> Iterator[Finding]:
    """Diameter x the peg's tangential coefficient x points dried, against its round hole."""
    limit = context.limit("peg-loosens")
    for group in alike(tracks_of(context, "peg-play")):
        t = group[0]
        play, season = _most(context, t)
        gain = play - t.built
        if gain <= limit + SAME:
            continue
        yield Finding(
            rule="peg-loosens",
            severity="advice",
            message=f"At their {season} the pegs have {fine(context, play)} of play along the "
            f"post.{_also(group)}",
            joint=t.joint,
            member=t.member,
            measured=gain,
            limit=limit,
            remedy=f"Dry the pegs to {_drier(context, gain, limit):.1f} % before they are driven"
            + (
                f", or use pegs of {context.say(t.size * limit / gain)}."
                if gain < 2 * limit
                else "."
            ),
        )


@rule(
    "peg-spread",
    title="Pegs across a wide tenon let it move",
    why="Two pegs hold the tenon's width to the post's length, which does not move: far apart "
    "they split the tenon between them.",
    remedy="Bring the pegs nearer together, or lengthen the outer holes in the tenon across its "
    "grain.",
    source=f"{_MOVEMENT}; the limit is our own choice: 1/32 in",
    limit=TunableLimit(
        default=PEG_FORCE, low=0.1, high=3.0, unit="mm", what="movement between two pegs each way"
    ),
)
def peg_spread(context: Context) -> Iterator[Finding]:
    """Distance of the outer pegs x coefficient x points, the larger of both ways."""
    limit = context.limit("peg-spread")
    for group in alike(tracks_of(context, "peg-spread")):
        t = group[0]
        moves = max(abs(t.change(points)) for _, points in _ends(context))
        if moves <= limit + SAME:
            continue
        yield Finding(
            rule="peg-spread",
            severity="advice",
            message=f"The outer pegs stand {context.say(t.size)} apart across the tenon, which "
            f"moves {fine(context, moves)} between them.{_also(group)}",
            joint=t.joint,
            member=t.member,
            measured=moves,
            limit=limit,
            remedy=f"Lengthen the outer holes in the tenon by {context.say(moves)} across its "
            f"grain, or set the pegs at most {context.say(t.size * limit / moves)} apart.",
        )


@rule(
    "cross-grain-width",
    title="Width held across the grain",
    why="A tenon's width moves and the post's length does not: the wider it is, the more the "
    "seasons work at glue and pegs.",
    remedy="Divide a wide tenon in two.",
    source=f"common practice: about 6 in; {_MOVEMENT}",
    limit=TunableLimit(
        default=WIDEST, low=25.0, high=600.0, unit="mm", what="a tenon's width across the grain"
    ),
)
def cross_grain_width(context: Context) -> Iterator[Finding]:
    """The tenon's width, where its mortise does not move with it."""
    limit = context.limit("cross-grain-width")
    dry, wet = swing(context.bench.seasons)
    edges = {t.joint: t for t in tracks_of(context, "edge-play")}
    wide = [t for t in tracks_of(context, "tenon-width") if t.size > limit + SAME]
    for group in alike(wide):
        t = group[0]
        if abs(edges[t.joint].per_percent) <= SAME:
            continue  # the mortise moves as the tenon does
        parts = math.ceil(t.size / limit - 1e-9)
        over = t.change(wet) - t.change(dry)
        yield Finding(
            rule="cross-grain-width",
            severity="advice",
            message=f"The tenon is {context.say(t.size)} wide and moves {fine(context, over)} "
            f"over the year in a mortise that doesn't.{_also(group)}",
            joint=t.joint,
            member=t.member,
            measured=t.size,
            limit=limit,
            remedy=f"Divide it into {parts} tenons of {context.say(t.size / parts)} less the gap "
            f"between them; or glue the middle {context.say(t.size / 3)} only.",
        )


@rule(
    "edge-leaves-flush",
    title="Front edge stays flush with the posts",
    why="Work is clamped against the front edge and the posts together; one that stands proud "
    "holds it off the other.",
    remedy="Hold the top fast at the front, so that it moves at the back.",
    source=f"{_MOVEMENT}; the limit is our own choice: 1/64 in",
    limit=TunableLimit(
        default=FLUSH, low=0.05, high=5.0, unit="mm", what="front edge off the posts"
    ),
)
def edge_leaves_flush(context: Context) -> Iterator[Finding]:
    """A front edge that is built flush, against the front posts' faces over the year."""
    limit = context.limit("edge-leaves-flush")
    for t in tracks_of(context, "front-overhang"):
        if abs(t.built) > SAME:
            continue
        moves, points, season = max(
            (abs(t.change(points)), points, season) for season, points in _ends(context)
        )
        if moves <= limit + SAME:
            continue
        state = "proud of" if t.change(points) > 0.0 else "behind"
        yield Finding(
            rule="edge-leaves-flush",
            severity="advice",
            message=f"At its {season} the top's front edge stands {fine(context, moves)} {state} "
            "the posts.",
            member=t.member,
            measured=moves,
            limit=limit,
            remedy=f"Hold the top fast at most {context.say(t.size * limit / moves)} from its "
            f"front edge, not {context.say(t.size)} as now.",
        )
