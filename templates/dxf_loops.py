"""The closed loops of a DXF file, whichever way they were written."""

from __future__ import annotations

import math
import os
from collections import defaultdict
from collections.abc import Sequence
from io import BytesIO, StringIO
from pathlib import Path
from typing import Any, TypeAlias

from treenail.templates.figures import Loop, Vertex
from treenail.templates.layers import ARRISES
from treenail.timber.errors import SpecError

__all__ = ["Drawn", "read_loops"]

#: A loop, or a circle's centre (x, y) and diameter; in the file's units.
Drawn: TypeAlias = Loop | tuple[float, float, float]

_JOIN = 5e-6  # ends of separate lines and arcs that meet, in the file's units


def read_loops(source: str | os.PathLike[str] | bytes) -> tuple[dict[str, list[Drawn]], Any]:
    """Closed loops and circles by layer, and what the file's head and arrises say.

    Raises:
        SpecError: it is no DXF, or not a sound one.
    """
    from ezdxf import recover
    from ezdxf.filemanagement import read
    from ezdxf.lldxf.const import DXFError

    data = source if isinstance(source, bytes) else Path(source).read_bytes()
    try:
        if data.isascii():  # as we write it: the strict reader, which mends nothing, is quicker
            doc = read(StringIO(data.decode("ascii")))
            auditor = doc.audit()
        else:
            doc, auditor = recover.read(BytesIO(data))
    except (DXFError, OSError, ValueError) as error:
        raise SpecError(f"the DXF can't be read: {error}") from None
    if auditor.has_errors or auditor.has_fixes:
        raise SpecError("the DXF is not sound")
    found: dict[str, list[Drawn]] = defaultdict(list)
    pieces: dict[str, list[tuple[Vertex, Vertex]]] = defaultdict(list)
    arrises: list[float] = []
    entities: list[Any] = list(doc.modelspace())
    for entity in entities:
        layer = entity.dxf.layer
        match entity.dxftype():
            case "LWPOLYLINE" if entity.closed:
                points = tuple((x, y, b) for x, y, b in entity.get_points("xyb"))
                found[layer].append(Loop(points))
            case "POLYLINE" if entity.is_closed:
                points = tuple(
                    (v.dxf.location.x, v.dxf.location.y, v.dxf.get("bulge", 0.0))
                    for v in entity.vertices
                )
                found[layer].append(Loop(points))
            case "CIRCLE":
                c = entity.dxf.center
                found[layer].append((c.x, c.y, 2.0 * entity.dxf.radius))
            case "LINE":
                a, b = entity.dxf.start, entity.dxf.end
                pieces[layer].append(((a.x, a.y, 0.0), (b.x, b.y, 0.0)))
                if layer == ARRISES:
                    arrises.append(a.y)
            case "ARC":
                turn = (entity.dxf.end_angle - entity.dxf.start_angle) % 360.0
                a, b = entity.start_point, entity.end_point
                bulge = math.tan(math.radians(turn) / 4.0)
                pieces[layer].append(((a.x, a.y, bulge), (b.x, b.y, 0.0)))
    for layer, some in pieces.items():
        found[layer] += _chained(some)
    units = doc.header.get("$INSUNITS", 0) if doc.dxfversion > "AC1009" else 0
    return found, {"units": units, "arrises": arrises}


def _chained(pieces: Sequence[tuple[Vertex, Vertex]]) -> list[Drawn]:
    """Closed loops out of separate lines and arcs; what doesn't close is left out."""
    at: dict[tuple[int, int], list[int]] = defaultdict(list)

    def key(p: Sequence[float]) -> tuple[int, int]:
        return (round(p[0] / _JOIN / 4.0), round(p[1] / _JOIN / 4.0))

    def near(p: Sequence[float], unused: set[int]) -> int | None:
        kx, ky = key(p)
        for i in (-1, 0, 1):
            for j in (-1, 0, 1):
                for n in at[kx + i, ky + j]:
                    if n in unused:
                        return n
        return None

    for n, (a, b) in enumerate(pieces):
        at[key(a)].append(n)
        at[key(b)].append(n)
    unused, found = set(range(len(pieces))), []
    while unused:
        first = min(unused)
        unused.remove(first)
        start, end = pieces[first]
        chain = [start]
        while math.dist(end[:2], start[:2]) > 4.0 * _JOIN:
            nxt = near(end, unused)
            if nxt is None:
                break
            unused.remove(nxt)
            a, b = pieces[nxt]
            if math.dist(b[:2], end[:2]) < math.dist(a[:2], end[:2]):
                a, b = (*b[:2], -a[2]), (*a[:2], 0.0)
            chain.append((end[0], end[1], a[2]))
            end = b
        else:
            if len(chain) > 1:
                found.append(Loop(tuple(chain)))
    return [*found]
