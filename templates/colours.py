"""One colour for each role of a part, for every model and picture that shows parts apart.

Our own choice: wood-like tones that stay apart on a screen; they say nothing of the species.
"""

from __future__ import annotations

from typing import TypeAlias

#: Red, green, blue from 0 to 1, sRGB.
Rgb: TypeAlias = tuple[float, float, float]

#: The role of bolts and washers, which are no members.
HARDWARE = "hardware"
#: For a role without a colour of its own.
PLAIN: Rgb = (0.78, 0.64, 0.46)
#: By the words that a role is made of.
COLOURS: dict[str, Rgb] = {
    "post": (0.71, 0.51, 0.31),
    "leg": (0.71, 0.51, 0.31),
    "stretcher": (0.80, 0.62, 0.40),
    "rail": (0.80, 0.62, 0.40),
    "top": (0.88, 0.74, 0.53),
    "shelf": (0.70, 0.63, 0.51),
    "peg": (0.43, 0.27, 0.16),
    HARDWARE: (0.55, 0.57, 0.60),
}


def colour_of(role: str) -> Rgb:
    """The colour of a role: that of its first word which has one (``top section``: top)."""
    return next((COLOURS[word] for word in role.split() if word in COLOURS), PLAIN)
