"""Fields that specs of several families have, word for word."""

from __future__ import annotations

from typing import Any

from treenail.generators.params import choice, text
from treenail.joints.fits import MODELS

__all__ = ["base_wood", "fit_model", "tenon_fit"]


def base_wood() -> Any:
    """The wood of what has no other."""
    return text("white ash", why="Any wood of `treenail species`, or one of your own.")


def tenon_fit() -> Any:
    """How tight the tenons are."""
    return choice(
        "hand press",
        choices=("mallet", "hand press", "easy"),
        why="How tenons go home: hand press slides in by hand and holds its own weight.",
    )


def fit_model() -> Any:
    """Which of a fit's clearances is modelled."""
    return choice(
        "mid",
        choices=MODELS,
        why="Which clearance of the fit the solids have: mid-limit, or its tight or loose end.",
    )
