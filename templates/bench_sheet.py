"""One sheet of a bench: front view, end view and plan in third angle, and a picture.

A3 landscape, at a stated scale. The sizes on it are those by which a bench is set out: over
all, the posts' places and the stretchers' heights.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from treenail.generators.fittings.site import FITTINGS
from treenail.joints.features import DogHoles
from treenail.templates import dimensions as dim
from treenail.templates.drawing import Fit, Seen, look, view_svg
from treenail.templates.facets import Scene
from treenail.templates.hidden_line import Point, View
from treenail.templates.svg import INK, document, num, text
from treenail.timber.errors import GeometryError
from treenail.timber.frames import snap_vec

if TYPE_CHECKING:
    from collections.abc import Iterable

    from treenail.generators.bench import Bench
    from treenail.generators.solids import BenchSolids
    from treenail.timber.frames import Vec

__all__ = ["SCALES", "SHEET", "bench_sheet_svg"]

SHEET = (420.0, 297.0)
"""A3 landscape, mm (ISO 216)."""

#: Reductions: ISO 5455's, and those that inch rules and tapes make easy.
SCALES = {
    "mm": (1, 2, 5, 10, 20, 50, 100, 200),
    "in": (1, 2, 4, 6, 8, 10, 12, 16, 24, 32, 48, 96),
}
BORDER = 10.0
BLOCK = 24.0
ROW = 8.0
SIDE = 24.0
POUND = 0.45359237  # kg, exactly (the agreement of 1959)

FRONT = View((0.0, -1.0, 0.0))
END = View((1.0, 0.0, 0.0))
PLAN = View((0.0, 0.0, 1.0), (0.0, 1.0, 0.0))
PICTURE = View((0.55, -1.0, 0.5))


def bench_sheet_svg(solids: BenchSolids, *, passed: bool = True, title: str | None = None) -> bytes:
    """Draw the sheet.

    Args:
        solids: the bench.
        passed: False writes a warning on it.
        title: in the title block instead of the bench's name.

    Returns:
        An SVG file of A3's size.

    Raises:
        GeometryError: a bench too large for the smallest scale.
    """
    bench = solids.bench
    scene = Scene(solids)
    front, end, plan, picture = (look(scene, v) for v in (FRONT, END, PLAN, PICTURE))
    n = _scale(front, end, plan, bench.units)
    k = 1.0 / n
    at = _Layout.of(front, end, plan, k)
    wide, high = SHEET[0] - 2 * BORDER, SHEET[1] - 2 * BORDER
    frame = f"M{num(BORDER)},{num(BORDER)}h{num(wide)}v{num(high)}h{num(-wide)}Z"
    body = [f'<path d="{frame}" fill="none" stroke="{INK}" stroke-width="0.5"/>']
    for seen, fit in ((front, at.front), (end, at.end), (plan, at.plan)):
        body += view_svg(seen, fit, solids)
    space = picture.fit(
        left=at.picture[0], right=at.picture[2], top=at.picture[1], bottom=at.picture[3]
    )
    body += view_svg(picture, space, solids)
    size = _Sizes(bench, scene)
    body += dim.to_svg([*size.front(at.front), *size.end(at.end), *size.plan(at.plan)])
    body += _captions(at, front, end, plan)
    body += _block(bench, n, title or bench.name, passed=passed)
    about = f"Sheet of {bench.name} at 1:{n}: front, right end, plan and a picture, with sizes."
    if not passed:
        about = f"NOT PASSED: checks have failed. {about}"
    return document(SHEET, body, title=title or bench.name, description=about)


def _scale(front: Seen, end: Seen, plan: Seen, units: str) -> int:
    for n in SCALES["in" if units == "in" else "mm"]:
        wide = 2 * BORDER + 2 * SIDE + 20.0 + (_wide(front) + _wide(end)) / n
        high = 2 * BORDER + BLOCK + 4 * ROW + 26.0 + (_high(front) + _high(plan)) / n
        # The picture takes what is right of the plan: leave it a fair part.
        left = SHEET[0] - 2 * BORDER - SIDE - 16.0 - _wide(front) / n
        if wide <= SHEET[0] and high <= SHEET[1] and left >= 110.0:
            return n
    raise GeometryError("the bench is too large for a drawing on one sheet")


def _wide(seen: Seen) -> float:
    return seen.high[0] - seen.low[0]


def _high(seen: Seen) -> float:
    return seen.high[1] - seen.low[1]


@dataclass(frozen=True, slots=True)
class _Layout:
    """Where the views stand on the sheet."""

    front: Fit
    end: Fit
    plan: Fit
    picture: tuple[float, float, float, float]

    @classmethod
    def of(cls, front: Seen, end: Seen, plan: Seen, k: float) -> _Layout:
        spare_y = SHEET[1] - 2 * BORDER - BLOCK - 4 * ROW - 26.0 - k * (_high(front) + _high(plan))
        spare_x = SHEET[0] - 2 * BORDER - 2 * SIDE - 20.0 - k * (_wide(front) + _wide(end))
        left = BORDER + SIDE + min(spare_x / 4, 16.0)
        floor = SHEET[1] - BORDER - BLOCK - 2 * ROW - 8.0 - spare_y / 4
        above = floor - k * _high(front) - ROW - 12.0 - spare_y / 2
        x = left + k * _wide(front) / 2
        start = left + k * _wide(front) + 16.0
        middle = (start + SHEET[0] - BORDER - SIDE) / 2
        return cls(
            front=front.centred(k, x, floor - k * _high(front) / 2),
            end=end.centred(k, middle, floor - k * _high(end) / 2),
            plan=plan.centred(k, x, above - k * _high(plan) / 2),
            picture=(start, BORDER + 6.0, SHEET[0] - BORDER - 6.0, floor - k * _high(end) - 8.0),
        )


def _proper(bench: Bench) -> tuple[Vec, Vec] | None:
    """Bounds of a bench without what is fitted to it, or pins under it; None if nothing is."""
    feet = [h.placement.origin for h in bench.hardware if h.kind == "levelling foot"]
    own = [m.bounds() for m in bench.timbers if m.assembly != FITTINGS]
    pinned = any(p.role == "pin" for p in bench.pegs)
    if len(own) == len(bench.timbers) and not feet and not pinned:
        return None
    low, high = (
        tuple(of(b[side][i] for b in own) for i in range(3)) for side, of in ((0, min), (1, max))
    )
    return (low[0], low[1], min([low[2], *(f[2] for f in feet)])), (high[0], high[1], high[2])


class _Sizes:
    """The dimensions of each view."""

    def __init__(self, bench: Bench, scene: Scene) -> None:
        self.bench = bench
        self.low, self.high = _proper(bench) or scene.bounds()
        self.posts = [m for m in bench.timbers if m.role == "post"]
        pins = [p.bounds()[0][2] for p in bench.pegs if p.role == "pin"]
        self.under = min([self.low[2], *pins])

    def _text(self, mm: float) -> str:
        return dim.dimension_text(mm, self.bench.units, marks=False)

    def _rows(
        self, view: View, fit: Fit, axis: int, stops: Iterable[float], out: Point, rows: int = 1
    ) -> list[dim.Dimension]:
        """A chain along an axis at the view's edge, and the overall size beyond it."""
        low, high = self.low[axis], self.high[axis]
        inner = {round(s, 3) for s in stops if low + 0.5 < s < high - 0.5}
        values = [low, *sorted(inner), high]

        def point(value: float) -> Point:
            p = list(self.high if (out[0] > 0.0 or out[1] < 0.0) else self.low)
            if out[1] > 0.0:  # below all that hangs there
                p[2] = self.under
            p[axis] = value
            return fit(view.project((p[0], p[1], p[2])))

        points = [point(v) for v in values]
        along = (abs(out[1]), abs(out[0]))
        found: list[dim.Dimension] = []
        if len(points) > 2:
            texts = [self._text(b - a) for a, b in pairwise(values)]
            found += dim.chain(points, texts, out=out, reach=ROW - 1.0, along=along)
        else:
            rows = 0
        overall = self._text(high - low)
        found.append(
            dim.Dimension(points[0], points[-1], out, (rows + 1) * ROW - 1.0, overall, along)
        )
        return found

    def _heights(self, axis: int, *, before: bool) -> list[float]:
        """Edges of the stretchers that run along an axis, on the near side, and the top's.

        Of a trestle, or of what stands on feet, those of foot and arm too.
        """
        rails = [
            m
            for m in self.bench.timbers
            if m.role == "stretcher" and abs(m.placement.x[axis]) > 0.9
        ]
        other = 1 - axis
        middle = (self.low[other] + self.high[other]) / 2
        stops: list[float] = []
        for rail in rails:
            low, high = self.bench.bounds[rail.name]
            at = (low[other] + high[other]) / 2
            if (at < middle) == before or len(rails) == 1:
                stops += [low[2], high[2]]
        ends = self.bench.bounds
        for level in (m for m in self.bench.timbers if m.role in ("foot", "arm")):
            low, high = ends[level.name]
            stops += [low[2], high[2]]
        tops = [ends[m.name][0][2] for m in self.bench.timbers if m.role == "top section"]
        if tops:
            stops.append(min(tops))
        elif self.posts:
            stops.append(max(ends[m.name][1][2] for m in self.posts))
        return stops

    def _post_stops(self, axis: int) -> list[float]:
        return [b[axis] for m in self.posts for b in self.bench.bounds[m.name]]

    def front(self, fit: Fit) -> list[dim.Dimension]:
        return [
            *self._rows(FRONT, fit, 0, self._post_stops(0), (0.0, 1.0)),
            *self._rows(FRONT, fit, 2, self._heights(0, before=True), (-1.0, 0.0)),
        ]

    def end(self, fit: Fit) -> list[dim.Dimension]:
        return [
            *self._rows(END, fit, 1, self._post_stops(1), (0.0, 1.0)),
            *self._rows(END, fit, 2, self._heights(1, before=False), (1.0, 0.0)),
        ]

    def plan(self, fit: Fit) -> list[dim.Dimension]:
        """Rows of dog holes from the ends and from the front edge, if there are any."""
        up = (0.0, 0.0, 1.0)
        holes = [
            j
            for j in self.bench.joints
            if isinstance(j, DogHoles) and j.face is j.member.face_towards(up)
        ]
        found: list[dim.Dimension] = []
        setbacks: list[float] = []
        rows: list[tuple[float, ...]] = []
        for row in holes:
            frame = row.member.placement.place(row.member.face_frame(row.face))
            centres = sorted(snap_vec(frame.point((x, y, 0.0))) for x, y in row.points)
            setbacks.append(centres[0][1])
            across = tuple(c[0] for c in centres)
            if across not in rows:
                rows.append(across)
        for i, across in enumerate(rows):
            stops = [self.low[0], *sorted({across[0], across[-1]}), self.high[0]]
            texts = [self._text(b - a) for a, b in pairwise(stops)]
            gaps = {round(b - a, 3) for a, b in pairwise(across)}
            if len(gaps) == 1:
                pitch = self._text(gaps.pop())
                texts[1] = f"{len(across) - 1} × {pitch} = {texts[1]}"
            points = [fit(PLAN.project((x, self.high[1], self.high[2]))) for x in stops]
            reach = (i + 1) * ROW - 1.0
            found += dim.chain(points, texts, out=(0.0, -1.0), reach=reach, along=(1.0, 0.0))
        if setbacks:
            stops = [self.low[1], *sorted(set(setbacks))]
            points = [fit(PLAN.project((self.low[0], y, self.high[2]))) for y in stops]
            texts = [self._text(b - a) for a, b in pairwise(stops)]
            found += dim.chain(points, texts, out=(-1.0, 0.0), reach=ROW - 1.0, along=(0.0, 1.0))
        return found


def _captions(at: _Layout, front: Seen, end: Seen, plan: Seen) -> list[str]:
    found = []
    for name, fit, seen in (
        ("Front", at.front, front),
        ("Right end", at.end, end),
        ("Plan", at.plan, plan),
    ):
        x = fit(((seen.low[0] + seen.high[0]) / 2, 0.0))[0]
        y = fit(seen.low)[1] + (2 * ROW + 4.5 if seen is not plan else 5.5)
        found.append(text((x, y), name, size=3.0, anchor="middle", fill="#6b635b"))
    return found


def _woods(bench: Bench) -> str:
    """The species, most of it first."""
    shares: dict[str, float] = {}
    for member in bench.timbers:
        shares[member.species.name] = (
            shares.get(member.species.name, 0.0) + bench.volumes[member.name]
        )
    woods = sorted(shares, key=lambda s: (-round(shares[s]), s))
    pegs = sorted({p.species.name for p in bench.pegs})
    line = ", ".join(woods)
    return f"{line}; pegs {', '.join(pegs)}" if pegs else line


def _block(bench: Bench, n: int, title: str, *, passed: bool) -> list[str]:
    """The title block: a strip along the foot of the sheet."""
    kg = sum(bench.masses.values())
    mass = f"{kg / POUND:.0f} lb ({kg:.0f} kg)" if bench.units == "in" else f"{kg:.0f} kg"
    cells = (
        (0.36, "Bench", title),
        (0.26, "Wood", _woods(bench)),
        (0.16, f"Mass of the wood at {bench.seasons.at_build:g} %", mass),
        (0.10, "Scale on A3", f"1:{n}"),
        (0.12, "Sizes in", 'inches (") ' if bench.units == "in" else "mm"),
    )
    y = SHEET[1] - BORDER - BLOCK
    wide = SHEET[0] - 2 * BORDER
    found = [f'<path d="M{num(BORDER)},{num(y)}h{num(wide)}" stroke="{INK}" stroke-width="0.35"/>']
    x = BORDER
    for share, label, value in cells:
        room = share * wide - 6.0
        size = min(5.0 if label == "Bench" else 3.6, 3.6 * room / dim.text_width(value, 3.6))
        found.append(text((x + 3.0, y + 5.0), label, size=2.3, fill="#6b635b"))
        found.append(text((x + 3.0, y + 12.0), value, size=size))
        x += share * wide
        if label != "Sizes in":
            found.append(
                f'<path d="M{num(x)},{num(y)}v{num(BLOCK)}" stroke="{INK}" stroke-width="0.2"/>'
            )
    foot = (BORDER + 3.0, y + BLOCK - 3.5)
    if passed:
        line = f"{bench.family.capitalize()} bench. Third angle projection."
        found.append(text(foot, line, size=2.6, fill="#6b635b"))
    else:
        line = "NOT PASSED: checks have failed; do not build from this sheet"
        found.append(text(foot, line, size=3.6, weight="bold", fill="#b3261e"))
    return found
