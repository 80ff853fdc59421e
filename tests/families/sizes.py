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
    "apron": {
        "smallest": {
            "length": "900 mm",
            "depth": "420 mm",
            "height": "560 mm",
            "top": {"overhang_ends": "120 mm", "edges": "tongued"},
            "posts": {"width": "70 mm", "thickness": "80 mm"},
            "aprons": {
                "width": "200 mm",
                "thickness": "32 mm",
                "peg_diameter": "12 mm",
                "peg_low": "30 mm",
                "rest_holes": {"below": "70 mm"},
            },
            "battens": {
                "width": "50 mm",
                "thickness": "36 mm",
                "let_in": "22 mm",
                "peg_diameter": "7 mm",
            },
            "upper_end": {
                "width": "80 mm",
                "thickness": "36 mm",
                "tenon_length": "32 mm",
                "shoulder_top": "20 mm",
            },
            "lower_long": {"width": "70 mm", "height": "60 mm"},
            "lower_end": {"width": "70 mm", "height": "140 mm"},
        },
        "usual": {},
        "largest": {
            "length": "3600 mm",
            "depth": "1100 mm",
            "height": "950 mm",
            "top": {"thickness": "60 mm", "overhang_ends": "400 mm"},
            "posts": {"width": "120 mm", "thickness": "120 mm"},
            "aprons": {"width": "320 mm", "thickness": "50 mm"},
        },
    },
    "raised": {
        "smallest": {
            "length": "360 mm",
            "depth": "180 mm",
            "below": "900 mm",
            "working_height": "1010 mm",
            "top": {"thickness": "36 mm", "overhang": "30 mm", "set_in": "10 mm"},
            "posts": {"width": "50 mm", "thickness": "44 mm"},
            "feet": {"thickness": "36 mm"},
        },
        "usual": {},
        "largest": {
            "length": "1400 mm",
            "depth": "600 mm",
            "below": "800 mm",
            "working_height": "1150 mm",
            "top": {"thickness": "60 mm", "overhang": "150 mm", "set_in": "60 mm"},
            "posts": {"width": "90 mm", "thickness": "80 mm", "plies": 2},
        },
    },
    "saw": {
        "smallest": {
            "length": "500 mm",
            "height": "320 mm",
            "top": {"width": "200 mm", "thickness": "40 mm"},
            "legs": {"width": "40 mm", "thickness": "40 mm", "set_in_ends": "90 mm"},
            "end_rails": {"width": "60 mm", "thickness": "18 mm", "height": "80 mm"},
        },
        "usual": {},
        "largest": {
            "length": "2400 mm",
            "height": "700 mm",
            "top": {"width": "450 mm", "thickness": "80 mm", "boards": 2},
            "legs": {
                "width": "90 mm",
                "thickness": "90 mm",
                "plies": 2,
                "splay": 18,
                "rake": 20,
                "set_in_ends": "350 mm",
            },
        },
    },
    "trestle": {
        "smallest": {
            "length": "1100 mm",
            "depth": "420 mm",
            "height": "560 mm",
            "top": {"overhang_front": "40 mm", "overhang_back": "40 mm"},
            "stretchers": {"width": "110 mm"},
        },
        "usual": {},
        "largest": {
            "length": "3600 mm",
            "depth": "1000 mm",
            "height": "950 mm",
            "stretchers": {"width": "220 mm", "thickness": "60 mm", "plies": 2},
        },
    },
}

#: Which of a family's sizes are built as solids and exported in the quick suite; the deep one
#: does all. Together they cover every size in both units.
SAMPLE: tuple[tuple[str, str, Units], ...] = (
    ("frame", "largest", "mm"),
    ("slab", "usual", "in"),
    ("apron", "smallest", "mm"),
    ("raised", "smallest", "in"),
    ("saw", "usual", "in"),
    ("trestle", "usual", "in"),
)

#: Warnings that a family's usual sizes can't but raise, with the reason.
UNAVOIDABLE: dict[str, dict[str, str]] = {
    "raised": {"short-piece": "posts of a few inches are short, whatever one does"},
}
