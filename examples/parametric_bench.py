"""A frame bench with its main sizes as parameters, for a CadQuery host or plain Python.

A host that speaks CQGI (CadQuery's gateway) shows the literals at the top as parameters, and
every part by its name and in its colour. Run as a plain script, it prints the parts instead.

The sizes are invented: the joiners' shop of the sailing-ship yard at Skerry Point wants a
bench for its training workshop.
"""

from collections import Counter

from treenail.generators.frame_bench import build_frame_bench
from treenail.generators.frame_spec import FrameBenchSpec
from treenail.generators.solids import build_solids
from treenail.generators.spec_file import build_spec
from treenail.timber.lengths import format_length

# Inches. Every field of the frame bench's spec could stand here; `treenail starter` lists them.
length = 60.0
depth = 24.0
height = 34.0
post = 3.0
top_thickness = 2.875
dog_hole_rows = 1
through_tenons = False
shelf = False
species = "red oak"

COLOURS = {
    "post": (0.72, 0.53, 0.34),
    "stretcher": (0.80, 0.62, 0.42),
    "top section": (0.88, 0.74, 0.54),
    "peg": (0.42, 0.27, 0.16),
    "bolt": (0.55, 0.57, 0.60),
}

spec = build_spec(
    FrameBenchSpec,
    {
        "name": "training bench",
        "length": length,
        "depth": depth,
        "height": height,
        "species": species,
        "posts": {"width": post, "thickness": post},
        "top": {"thickness": top_thickness, "dog_holes": {"rows": dog_hole_rows}},
        "lower_long": {"through": through_tenons},
        "shelf": {"enabled": shelf},
    },
    units="in",
)
bench = build_frame_bench(spec, units="in")
solids = build_solids(bench)

for name, solid in solids.placed.items():
    member = bench.by_name.get(name)
    role = member.role if member else "bolt"
    if "show_object" in globals():
        # A dict of its own for each part: a host may write into it.
        show_object(solid, name=name, options={"color": COLOURS.get(role, COLOURS["stretcher"])})

if "show_object" not in globals():
    print(f"{bench.name}: {len(solids.placed)} parts, {sum(bench.masses.values()):.0f} kg of wood")
    alike = Counter(
        (m.role, *(format_length(size, unit="in") for size in m.size)) for m in bench.members
    )
    for (role, long, wide, thick), count in alike.items():
        print(f"{count:3d}  {role:12s} {long} x {wide} x {thick}")
    print(f"{len(bench.hardware):3d}  bolts")
    wrong = solids.problems()
    print("every solid has the volume of its numbers" if not wrong else f"wrong: {wrong}")
