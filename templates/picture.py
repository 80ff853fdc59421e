"""A picture of a bench: whole or exploded, with labels and overall sizes if wanted.

The same bench gives the same bytes: numbers are rounded, lines sorted, and nothing depends on
the day or the machine.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import TYPE_CHECKING

from treenail.templates import dimensions as dim
from treenail.templates import labels as lab
from treenail.templates.bench_sheet import bench_sheet_svg
from treenail.templates.drawing import Fit, Seen, look, trace_lines, view_svg
from treenail.templates.facets import Scene
from treenail.templates.hidden_line import Point, View
from treenail.templates.painting import seen_at
from treenail.templates.svg import document, num, text
from treenail.timber.errors import SpecError
from treenail.timber.frames import Vec

if TYPE_CHECKING:
    from treenail.generators.bench import Bench
    from treenail.generators.solids import BenchSolids

__all__ = ["FROM_FRONT_RIGHT", "bench_sheet_svg", "bench_svg", "describe"]

#: From the bench toward a viewer before it, to its right and above.
FROM_FRONT_RIGHT: Vec = (0.55, -1.0, 0.5)

MARGIN = 6.0
TITLE_SIZE = 5.0
LABEL_SIZE = 2.6
DIMENSION_ROOM = 13.0
WARNING = "NOT PASSED: checks have failed; do not build from this picture"


def describe(bench: Bench) -> str:
    """One sentence on a bench, for those who can't see its picture."""
    sizes = " by ".join(dim.dimension_text(v, bench.units) for v in bench.asked)
    counts: dict[str, int] = {}
    for member in bench.timbers:
        counts[member.role] = counts.get(member.role, 0) + 1
    parts = [f"{n} {role}{'s' if n > 1 else ''}" for role, n in counts.items()]
    parts += [f"{len(bench.pegs)} pegs"] if bench.pegs else []
    parts += [f"{n} {kind}" for kind, n in bench.hardware_counts.items() if n]
    return f"{bench.name}: a {bench.family} bench, {sizes}, of {', '.join(parts)}."


def bench_svg(
    solids: BenchSolids,
    *,
    direction: Vec = FROM_FRONT_RIGHT,
    up: Vec = (0.0, 0.0, 1.0),
    size_mm: tuple[float, float] = (180.0, 120.0),
    hidden: bool = False,
    explode: Mapping[str, Vec] | None = None,
    labels: bool | Mapping[str, str] = False,
    dimensions: bool = False,
    passed: bool = True,
    title: str | None = None,
) -> bytes:
    """Draw a bench in parallel projection, as large as the paper lets it.

    Args:
        solids: the bench.
        direction: from the bench toward the viewer.
        up: what points up on the paper.
        size_mm: of the picture, (width, height).
        hidden: whether hidden edges are drawn, dashed.
        explode: displacements in mm by member or bolt name.
        labels: True for the names of all timbers, or texts by member name.
        dimensions: overall length, depth and height, where the view shows them (not exploded).
        passed: False writes a warning across the picture.
        title: written at the top.

    Returns:
        An SVG file.

    Raises:
        SpecError: a view that can't be, a name that isn't in the bench, too small a paper.
    """
    bench = solids.bench
    texts = _label_texts(bench, labels)
    view = View(direction, up)
    scene = Scene(solids, explode)
    seen = look(scene, view, hidden=hidden)

    gutter = lab.widest(list(texts.values()), LABEL_SIZE) + 8.0 if texts else 0.0
    room = DIMENSION_ROOM if dimensions and not explode else 0.0
    left, right = MARGIN + gutter + room, size_mm[0] - MARGIN - gutter - room
    top = MARGIN + (1.6 * TITLE_SIZE if title else 0.0) + (0.0 if passed else 8.0)
    bottom = size_mm[1] - MARGIN - room
    if not (right - left >= 10.0 and bottom - top >= 10.0):
        raise SpecError(
            f"a picture of {size_mm[0]:g} × {size_mm[1]:g} mm has no room for what it is to show",
            field="size_mm",
            allowed=f"at least {num(size_mm[0] - right + left + 10.0)} mm wide and "
            f"{num(size_mm[1] - bottom + top + 10.0)} mm high",
        )
    fit = seen.fit(left=left, right=right, top=top, bottom=bottom)

    body: list[str] = []
    under = trace_lines(solids, explode, view, fit) if explode else []
    body += view_svg(seen, fit, solids, under=under)
    if texts:
        body += _labels(scene, seen, fit, texts, size_mm, room)
    if room:
        body += dim.to_svg(_overall(scene, view, fit, bench.units))
    if title:
        body.append(text((MARGIN, MARGIN + 0.75 * TITLE_SIZE), title, size=TITLE_SIZE))
    if not passed:
        body += warning_svg(size_mm[0], top - 7.0)
    about = describe(bench) + (" Exploded view." if explode else "")
    if not passed:
        about = f"{WARNING}. {about}"
    return document(size_mm, body, title=title or bench.name, description=about)


def warning_svg(width: float, y: float) -> list[str]:
    """A band that says the bench did not pass its checks."""
    return [
        f'<rect x="0" y="{num(y)}" width="{num(width)}" height="6" fill="#b3261e"/>',
        text((width / 2, y + 4.2), WARNING, size=3.4, anchor="middle", weight="bold",
             fill="#ffffff"),
    ]  # fmt: skip


def _label_texts(bench: Bench, labels: bool | Mapping[str, str]) -> dict[str, str]:
    if isinstance(labels, Mapping):
        for name in labels:
            if name not in bench.by_name:
                raise SpecError(f"there is no part {name!r} to label", field="labels")
        return dict(labels)
    return {m.name: m.name for m in bench.timbers} if labels else {}


def _labels(
    scene: Scene,
    seen: Seen,
    fit: Fit,
    texts: Mapping[str, str],
    size_mm: tuple[float, float],
    room: float,
) -> list[str]:
    spots = seen_at(seen.facets, seen.view, texts)
    targets: dict[str, tuple[list[Point], bool]] = {}
    for name, label in texts.items():
        places = spots.get(name, ())
        if not places:
            corners = [seen.view.project(c) for c in scene.corners(name)]
            middle = [sum(c) / len(corners) for c in zip(*corners, strict=True)]
            places = ((middle[0], middle[1]),)
        key = label if label not in targets else f"{label} ({name})"
        targets[key] = ([fit(p) for p in places], name in spots)
    low, high = fit(seen.low), fit(seen.high)
    placed = lab.place_labels(
        targets,
        left=low[0] - 4.0 - room,
        right=high[0] + 4.0 + room,
        top=high[1] + LABEL_SIZE / 2,
        bottom=min(low[1], size_mm[1] - MARGIN) - LABEL_SIZE / 2,
        size=LABEL_SIZE,
    )
    return lab.to_svg(placed, size=LABEL_SIZE)


def _overall(scene: Scene, view: View, fit: Fit, units: str) -> list[dim.Dimension]:
    """Overall sizes along the bench's axes, each at the edge of its box that is nearest."""
    low, high = scene.bounds()
    near: list[float] = [high[k] if view.toward[k] > 0 else low[k] for k in range(3)]
    near[2] = low[2] if abs(view.upward[2]) > 1e-6 else near[2]
    found = []
    for k in range(3):
        p, q = list(near), list(near)
        p[k], q[k] = low[k], high[k]
        if k == 2:  # the upright edge at the side of the picture
            side = max(
                ((x, y) for x in (low[0], high[0]) for y in (low[1], high[1])),
                key=lambda xy: round(view.project((xy[0], xy[1], 0.0))[0], 6),
            )
            p[:2] = q[:2] = side
        a, b = (fit(view.project((v[0], v[1], v[2]))) for v in (p, q))
        if math.dist(a, b) < 8.0:  # nearly end-on
            continue
        out = _outward(a, b, k, view)
        found.append(dim.Dimension(a, b, out, 6.0, dim.dimension_text(high[k] - low[k], units)))
    return found


def _outward(a: Point, b: Point, axis: int, view: View) -> Point:
    """Down from an edge that lies, to the right of one that stands; as the bench's axes run."""
    if axis == 2:
        return (1.0, 0.0)
    down = (-view.right[2], view.upward[2])  # the bench's downward axis on the paper
    if math.hypot(*down) < 1e-6:
        return (0.0, 1.0) if abs(b[0] - a[0]) > abs(b[1] - a[1]) else (1.0, 0.0)
    return down if down[1] > 0.0 else (-down[0], -down[1])
