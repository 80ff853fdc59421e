"""Cautions for each machine and kind of work. Each machine's own manual has the last word.

All of them are the usual ones of the trade (common practice, no source).
"""

from __future__ import annotations

MANUAL = "Read the machine's own manual; it, local rules and your training have the last word."

GENERAL = (
    "Eyes, ears and lungs: glasses, hearing protection, dust extraction or a mask.",
    "No gloves, loose sleeves, rings or long hair near anything that turns.",
    "Unplug or lock out before you change a blade, a bit or a cutter.",
    "Guards stay on wherever the cut allows it; where one comes off, something else guards.",
    "Nobody works at a machine who is tired or ill, or has taken anything that makes drowsy.",
)

MACHINES: dict[str, tuple[str, ...]] = {
    "jointer": (
        "Push blocks for every face; hands never pass over the cutterhead.",
        (
            "Nothing shorter or thinner than the manual allows; take short pieces from a long one "
            "and cut them to length afterwards."
        ),
        "Small cuts; the guard swings back by itself after each.",
    ),
    "planer": (
        "Stand beside the piece, not behind it; it can be thrown back.",
        (
            "Nothing shorter than the distance between the rollers; send short ones through end to "
            "end with a longer one."
        ),
        "Hold long pieces level as they come out, and never reach inside while it runs.",
        "Glued-up pieces only when cured and scraped clean of glue: hard beads chip the knives.",
    ),
    "saw": (
        "Riving knife and guard; push stick for what passes near the blade.",
        "Never rip and crosscut with fence and mitre gauge together: the offcut binds.",
        "Stand out of line with the blade; wait until it stands before you take offcuts away.",
        "Long and heavy pieces: roller stands or a helper who carries and never pulls.",
    ),
    "dado": (
        (
            "A dado stack throws a piece harder than one blade: fewer teeth's worth at a time, "
            "push blocks, and a sacrificial fence."
        ),
        (
            "Check that the arbor is long enough for the full stack and its nut, and that the saw "
            "may take one at all: local rules differ, and many saws may not."
        ),
        "Tenons that lie flat go with the mitre gauge or a sled, never freehand.",
    ),
    "mortiser": (
        "Clamp the piece to fence and table; the chisel lifts it when it is drawn back.",
        "Bit a little below the chisel, or they overheat; let chips clear between plunges.",
    ),
    "drill_press": (
        "Clamp or fence everything; a bit that grabs turns the piece, not the bit.",
        "Slow for large flat-bottomed bits; back off often in deep holes.",
        "Take the key out of the chuck before the switch is touched.",
    ),
    "router": (
        "Against the cutter's turn, in several shallow passes; both hands on the machine.",
        "Clamp jig and piece; let the cutter stand before you put the machine down.",
        "CNC: stand clear while it moves, know where the stop is, run the first part in air.",
    ),
    "hand": (
        "Both hands behind the edge; clamp the piece instead of holding it.",
        "Sharp tools slip less; cap or sheathe them when they are carried.",
    ),
}

WORK: dict[str, tuple[str, ...]] = {
    "glue-up": (
        "Gloves and glasses as the glue's label asks; clean hands before you eat.",
        "Clamps and glued frames are top-heavy: tie them up, and keep children and animals out.",
    ),
    "assembly": (
        "Glasses when pegs are driven: they may split and fly.",
        "Keep fingers out of mortises and from under shoulders while a frame goes together.",
        "Stand frames against something, and block their feet, until they hold each other.",
    ),
    "moving": (
        "Clear the way, agree on one who gives the word, lift together and slowly.",
        "Knees bent, load close, no twist: turn with your feet.",
        "Shoes with caps; fingers away from feet and edges when it is set down.",
        (
            "On stairs or a slope, with a load that nobody can see over, or with anyone who was "
            "told not to lift: use a trolley, a hoist or more people."
        ),
    ),
}
