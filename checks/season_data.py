"""The year as data for the report: moisture by month, what every dimension does, the bolts."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING, Any

from treenail.checks.bolt_places import travel
from treenail.checks.climate import MODEL, MONTHS, monthly_moisture, room, swing
from treenail.checks.end_boards import end_holds
from treenail.checks.panels import across, fixed_line, panel_of
from treenail.checks.year import alike, is_sure, tracks
from treenail.timber.moisture import movement_coefficient

if TYPE_CHECKING:
    from treenail.checks.rules import Context
    from treenail.generators.climate import Air, Room

__all__ = ["BoltYear", "SeasonData", "Series", "season_data"]

SOURCE = (
    "moisture by FPL-GTR-190 (2010) Eq. 4-5 where the air is given; movement by ch. 13; joints "
    "and pegs by our own closed forms on it"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Series:
    """One dimension over the year, at all places where it does the same.

    Attributes:
        key, what: the kind of dimension, and in words.
        where: names of the joints, or of the members where it is a member's own size.
        size: the wood that moves, mm.
        built: the dimension as built, mm.
        per_percent: change per point of moisture content, mm.
        change: in each month against the build, mm.
        driest, wettest: the dimension at both ends of the year, mm.
        sure: whether the coefficients are published ones.
    """

    key: str
    what: str
    where: tuple[str, ...]
    size: float
    built: float
    per_percent: float
    change: tuple[float, ...]
    driest: float
    wettest: float
    sure: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class BoltYear:
    """What the hole or slot of a bolt, or of an end board's peg, must let it do, mm.

    Attributes:
        bolt: the joint's name; of an end board the peg's or bolt's.
        away: from the line that holds the top, or from what holds the end board; negative on the
            far side of it.
        dry, wet: how far the top takes the bolt along, or goes past the end board, across its
            grain; same sign as ``away`` where it goes away from the line.
        shank, washer: how far these may go each way; None where there is no such hole.
        sure: whether the coefficient is a published one.
    """

    bolt: str
    away: float
    dry: float
    wet: float
    shank: float | None
    washer: float | None
    sure: bool

    @property
    def holds(self) -> bool:
        """Whether both have the room that the year asks for."""
        need = max(abs(self.dry), abs(self.wet))
        return all(room is None or need <= room + 1e-6 for room in (self.shank, self.washer))


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonData:
    """The year.

    Attributes:
        room: what the wood comes to, and from what air.
        months: 1 to 12.
        moisture: of the wood in each month, percent.
        series: the dimensions.
        bolts: the bolts.
        model, source: to be shown with the figures.
    """

    room: Room
    months: tuple[int, ...]
    moisture: tuple[float, ...]
    series: tuple[Series, ...]
    bolts: tuple[BoltYear, ...]
    model: str = MODEL
    source: str = SOURCE

    def of(self, key: str) -> tuple[Series, ...]:
        """The series of one kind."""
        return tuple(s for s in self.series if s.key == key)

    def as_dict(self) -> dict[str, Any]:
        """Plain data for the report; lengths in mm, to the nanometre."""
        s = self.room.seasons
        return {
            "model": self.model,
            "source": self.source,
            "room": {
                "at_build_percent": s.at_build,
                "driest_percent": _round(s.driest),
                "wettest_percent": _round(s.wettest),
                "driest_in": self.room.driest_in,
                "winter": _air(self.room.winter),
                "summer": _air(self.room.summer),
            },
            "months": list(self.months),
            "moisture_percent": [_round(mc) for mc in self.moisture],
            "series": [
                {
                    "key": x.key,
                    "what": x.what,
                    "where": list(x.where),
                    "size_mm": _round(x.size),
                    "built_mm": _round(x.built),
                    "per_percent_mm": _round(x.per_percent),
                    "change_mm": [_round(c) for c in x.change],
                    "driest_mm": _round(x.driest),
                    "wettest_mm": _round(x.wettest),
                    "published_coefficients": x.sure,
                }
                for x in self.series
            ],
            "bolts": [
                {
                    "bolt": b.bolt,
                    "away_mm": _round(b.away),
                    "dry_mm": _round(b.dry),
                    "wet_mm": _round(b.wet),
                    "shank_room_mm": None if b.shank is None else _round(b.shank),
                    "washer_room_mm": None if b.washer is None else _round(b.washer),
                    "holds": b.holds,
                    "published_coefficients": b.sure,
                }
                for b in self.bolts
            ],
        }


def season_data(context: Context) -> SeasonData:
    """The year of a bench, computed once."""
    return context.once("season-data", lambda: _season_data(context))


def _season_data(context: Context) -> SeasonData:
    place = room(context.bench)
    moisture = monthly_moisture(place)
    built = place.seasons.at_build
    dry, wet = swing(place.seasons)
    series = []
    for group in alike(tracks(context)):
        t = group[0]
        series.append(
            Series(
                key=t.key,
                what=t.what,
                where=tuple(dict.fromkeys(x.joint or x.member for x in group)),
                size=t.size,
                built=t.built,
                per_percent=t.per_percent,
                change=tuple(t.change(mc - built) for mc in moisture),
                driest=t.at(dry),
                wettest=t.at(wet),
                sure=t.sure,
            )
        )
    return SeasonData(
        room=place,
        months=MONTHS,
        moisture=moisture,
        series=tuple(series),
        bolts=_bolts(context, dry, wet),
    )


def _bolts(context: Context, dry: float, wet: float) -> tuple[BoltYear, ...]:
    found = []
    for bolt in context.bolts:
        away = across(bolt) - fixed_line(context, panel_of(context, bolt.top))
        per_percent = away * movement_coefficient(bolt.top.species, bolt.top.rings)
        rooms: dict[str, float] = {}
        for purpose, body in (("bolt ", bolt.size.diameter), ("counterbore", bolt.size.washer_od)):
            for cut in context.bench.cuts[bolt.carrier.name]:
                if cut.joint == bolt.name and cut.purpose.startswith(purpose):
                    given = travel(cut, body)
                    if given is not None:
                        rooms[purpose] = given
        found.append(
            BoltYear(
                bolt=bolt.name,
                away=away,
                dry=per_percent * dry,
                wet=per_percent * wet,
                shank=rooms.get("bolt "),
                washer=rooms.get("counterbore"),
                sure=is_sure(bolt.top),
            )
        )
    for hold in end_holds(context):
        free = {what: travel(cut, body) for cut, body, what, _ in hold.ways}
        found.append(
            BoltYear(
                bolt=hold.name,
                away=hold.away,
                dry=hold.per_percent * dry,
                wet=hold.per_percent * wet,
                shank=free.get("shank", free.get("peg")),
                washer=free.get("washer"),
                sure=is_sure(hold.section),
            )
        )
    return tuple(found)


def _air(air: Air | None) -> dict[str, float] | None:
    if air is None:
        return None
    given = asdict(air)
    return {
        "temperature_c": _round(given["temperature"]),
        "humidity_percent": _round(given["humidity"]),
        "wood_percent": _round(air.moisture),
    }


def _round(value: float) -> float:
    return round(value, 6) + 0.0  # no minus zero in a report
