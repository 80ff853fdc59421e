"""The sizes at which every family is built: a small one, the usual one, a large one (invented)."""

from typing import Any, Literal

Units = Literal["in", "mm"]
UNITS: tuple[Units, ...] = ("in", "mm")

#: By family, by size: what a spec file would say beside ``bench:`` and ``units:``.
SIZES: dict[str, dict[str, dict[str, Any]]] = {
    "frame": {
        "smallest": {
            "length": "900 mm",
            "depth": "420 mm",
            "height": "560 mm",
            "lower_long": {"width": "70 mm", "height": "60 mm"},
            "lower_end": {"width": "70 mm", "height": "140 mm"},
            "upper_long": {"width": "80 mm"},
            "upper_end": {"width": "80 mm"},
        },
        "usual": {},
        "largest": {
            "length": "3600 mm",
            "depth": "1100 mm",
            "height": "900 mm",
            "posts": {"width": "120 mm"},
        },
    },
    "slab": {
        "smallest": {"length": "900 mm", "depth": "420 mm", "height": "560 mm"},
        "usual": {},
        "largest": {"length": "3600 mm", "depth": "1000 mm", "height": "950 mm"},
    },
}

#: Which of a family's sizes are built as solids and exported in the quick suite; the deep one
#: does all. Together they cover every size in both units.
SAMPLE: tuple[tuple[str, str, Units], ...] = (
    ("frame", "largest", "mm"),
    ("slab", "smallest", "in"),
)
