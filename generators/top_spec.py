"""The parameters of tops that aren't one slab: split ones, and those with a tool well."""

from __future__ import annotations

from dataclasses import dataclass

from treenail.generators.params import mm

INCH = 25.4
KINDS = ("solid", "split", "well")
ENDS = ("none", "breadboard", "cap")


@dataclass(frozen=True, kw_only=True)
class Parting:
    """Two parts of a top with a gap between, and a loose strip in it."""

    front: float | None = mm(
        None, low=80, high=1800, why="Depth of the front part; auto makes both parts alike."
    )
    gap: float = mm(
        1.5 * INCH, low=20, high=200, why="Between the parts: a clamp's jaw passes through it."
    )
    proud: float = mm(
        0.0,
        low=0,
        high=100,
        why="How far the strip, turned over, stands above the top as a fence or stop; 0: it stays "
        "flush.",
    )


@dataclass(frozen=True, kw_only=True)
class SplitTop(Parting):
    """Two slabs with a gap between, and a loose strip in it."""

    ledge: float = mm(
        0.75 * INCH,
        low=8,
        high=60,
        why="Height of the ledges on the slabs' inner edges on which the strip lies.",
    )


@dataclass(frozen=True, kw_only=True)
class OpenWell:
    """A well for tools between the top's front part and a rail at the back, open at its ends."""

    width: float = mm(
        7 * INCH, low=50, high=600, why="Front to back, between top and rail: planes lie in it."
    )
    bottom: float = mm(0.75 * INCH, low=6, high=60, why="Thickness of the bottom; 4/4 stock.")
    rail: float | None = mm(
        None, low=30, high=400, why="Width of the rail; auto covers the back posts."
    )


@dataclass(frozen=True, kw_only=True)
class ToolWell(OpenWell):
    """A slab in front, and a well for tools between it and a rail at the back."""

    depth: float | None = mm(
        None,
        low=10,
        high=180,
        why="From the working surface to the bottom; auto leaves 3/8 in of wood below it.",
    )


@dataclass(frozen=True, kw_only=True)
class EndBoards:
    """Boards across the top's ends: breadboard ends on pegged tenons, or bolted end caps."""

    width: float | None = mm(
        None,
        low=30,
        high=300,
        why="Along the bench; auto 4 in for a breadboard end, 2 1/2 in for a cap.",
    )
    tongue: float | None = mm(
        None, low=5, high=100, why="Thickness of tongue and tenons; auto a third of the top's."
    )
    stub: float = mm(
        0.375 * INCH, low=5, high=60, why="Length of the tongue that runs from tenon to tenon."
    )
    tenon_length: float | None = mm(
        None, low=15, high=250, why="Of a breadboard end's tenons; auto half of its width."
    )
    tenon_width: float = mm(
        2.5 * INCH, low=20, high=200, why="Of each tenon: narrow, so that it swells little."
    )
    peg: float = mm(
        0.375 * INCH, low=4, high=25, metric=8, why="Diameter of a breadboard end's pegs."
    )
    draw: float = mm(
        INCH / 32, low=0, high=3, why="Draw of their holes: 1/32 in, since the tenons are short."
    )


__all__ = ["ENDS", "INCH", "KINDS", "EndBoards", "OpenWell", "Parting", "SplitTop", "ToolWell"]
