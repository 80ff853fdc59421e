"""Draw the example's pictures into docs/pictures: the README's are made by the project itself.

The pictures are the same bytes on every run; a difference in git is a change in the bench or in
how it is drawn.
"""

from __future__ import annotations

import runpy
from pathlib import Path
from typing import TYPE_CHECKING

from treenail.generators.build import build_document
from treenail.generators.frame_bench import build_frame_bench
from treenail.generators.frame_spec import FrameBenchSpec
from treenail.generators.solids import build_solids
from treenail.generators.spec_file import read_spec
from treenail.templates.picture import bench_sheet_svg, bench_svg

if TYPE_CHECKING:
    from treenail.generators.bench import Bench
    from treenail.generators.solids import BenchSolids
    from treenail.timber.frames import Vec

ROOT = Path(__file__).resolve().parent.parent
EXAMPLE = ROOT / "examples" / "skerry-point.yaml"
STAKED = ROOT / "examples" / "staked_bench.py"
PICTURES = ROOT / "docs" / "pictures"
#: How far parts are drawn out of each other, mm.
END, SIDE, LIFT, PEG = 320.0, 220.0, 320.0, 190.0


def example() -> Bench:
    """The example's bench, or the generator's defaults where the file isn't there."""
    if not EXAMPLE.exists():
        return build_frame_bench(FrameBenchSpec(), units="in")
    document = read_spec(EXAMPLE)
    added = {wood.name: wood for wood in document.own_species}
    return build_frame_bench(document.spec, units=document.units, added_species=added)


def apart(bench: Bench) -> dict[str, Vec]:
    """Displacements that draw a frame bench apart: ends outward, top up, bolts down.

    A part goes with the half of the bench that it stands in; posts and the long stretchers'
    pegs go further out than what they hold.
    """
    middle = [side / 2 for side in bench.asked]
    moved: dict[str, Vec] = {}
    for member in bench.timbers:
        low, high = member.bounds()
        x, y = ((a + b) / 2 - m for a, b, m in zip(low[:2], high[:2], middle, strict=False))
        along = (END if x > 0 else -END) if member.assembly.startswith("end_frame") else 0.0
        through = (SIDE if y > 0 else -SIDE) if member.role == "post" else 0.0
        up = LIFT if member.assembly == "top" else 60.0 if member.role.startswith("shelf") else 0.0
        moved[member.name] = (along, through, up)
    for joint in bench.joints:
        for peg in joint.pegs():
            drive, home = peg.placement.x, moved[joint.members[0].name]
            moved[peg.name] = (
                home[0] - PEG * drive[0],
                home[1] - PEG * drive[1],
                home[2] - PEG * drive[2],
            )
        for bolt in joint.hardware():
            moved[bolt.name] = (0.0, 0.0, -LIFT / 1.5)
    return moved


def pictures(solids: BenchSolids) -> dict[str, bytes]:
    """Each picture by the name of its file."""
    bench = solids.bench
    return {
        "bench.svg": bench_svg(solids),
        "labelled.svg": bench_svg(solids, labels=True, size_mm=(220.0, 130.0)),
        "exploded.svg": bench_svg(solids, explode=apart(bench), size_mm=(200.0, 140.0)),
        "from-below.svg": bench_svg(solids, direction=(-0.5, -1.0, -0.6)),
        "sheet.svg": bench_sheet_svg(solids),
    }


def family_specs() -> dict[str, Path]:
    """The other families' examples, each by the name of its picture."""
    return {
        f"{path.stem.removeprefix('skerry-point-').removesuffix('-bench')}.svg": path
        for path in sorted(EXAMPLE.parent.glob("skerry-point-*.yaml"))
        if "shop" not in path.stem
    }


def staked() -> bytes:
    """The picture of a bench that is composed by hand."""
    bench: Bench = runpy.run_path(str(STAKED))["bench"]
    return bench_svg(build_solids(bench))


def family(spec: Path) -> bytes:
    """The picture of an example."""
    return bench_svg(build_solids(build_document(read_spec(spec))))


def main() -> None:
    """Write the pictures."""
    PICTURES.mkdir(parents=True, exist_ok=True)
    drawn = {name: family(spec) for name, spec in family_specs().items()}
    drawn["staked.svg"] = staked()
    for name, content in {**pictures(build_solids(example())), **drawn}.items():
        (PICTURES / name).write_bytes(content)
        print(f"docs/pictures/{name}: {len(content)} bytes")


if __name__ == "__main__":
    main()
