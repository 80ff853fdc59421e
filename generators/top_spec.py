"""The parameters of tops that aren't one slab: split ones, and those with a tool well."""

from __future__ import annotations

from dataclasses import dataclass

from treenail.generators.params import mm

INCH = 25.4
KINDS = ("solid", "split", "well")


@dataclass(frozen=True, kw_only=True)
class SplitTop:
    """Two slabs with a gap between, and a loose strip in it."""

    front: float | None = mm(
        None, low=80, high=1800, why="Depth of the front slab; auto makes both slabs alike."
    )
    gap: float = mm(
        1.5 * INCH, low=20, high=200, why="Between the slabs: a clamp's jaw passes through it."
    )
    ledge: float = mm(
        0.75 * INCH,
        low=8,
        high=60,
        why="Height of the ledges on the slabs' inner edges on which the strip lies, flush.",
    )


@dataclass(frozen=True, kw_only=True)
class ToolWell:
    """A slab in front, and a well for tools between it and a rail at the back."""

    width: float = mm(
        7 * INCH, low=50, high=600, why="Front to back, between slab and rail: planes lie in it."
    )
    depth: float | None = mm(
        None,
        low=10,
        high=180,
        why="From the working surface to the bottom; auto leaves 3/8 in of wood below it.",
    )
    bottom: float = mm(0.75 * INCH, low=6, high=60, why="Thickness of the bottom; 4/4 stock.")
    rail: float | None = mm(
        None, low=30, high=400, why="Width of the rail; auto covers the back posts."
    )


__all__ = ["INCH", "KINDS", "SplitTop", "ToolWell"]
