"""Read a STEP file back, and say how it differs from the bench that it should show.

What leaves for another shop is checked as that shop will see it: from the file's bytes.
"""

from __future__ import annotations

import io
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

from treenail.templates.step import face_names, kernel_settings, occurrences
from treenail.templates.step_laid import laid_frame, laid_solid
from treenail.timber.errors import OutputError
from treenail.timber.frames import Vec, norm, sub

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    import cadquery as cq

    from treenail.generators.solids import BenchSolids
    from treenail.templates.colours import Rgb
    from treenail.timber.member import Face

#: Volumes agree to this share: where two bores cross, the file holds their curve as a spline.
VOLUME_TOLERANCE = 1e-8
#: Where a plane cuts a round face aslant, the kernel works out the ellipse's place on it anew, and
#: its own integral moves by up to 4e-8 (measured: a leaning peg cut flush).
OBLIQUE_SHARE = 2e-7
#: Centres and bounds agree to this, mm.
LENGTH_TOLERANCE = 1e-6
#: Where two bores cross, the kernel's own integral puts the centre off by some 1e-8 of the
#: piece's diagonal (measured: a knock-down bolt and its nut); there it may be off by this share.
CENTRE_SHARE = 1e-7
#: Colours pass through single precision and a gamma curve.
COLOUR_TOLERANCE = 2e-3


@dataclass(frozen=True, slots=True)
class Node:
    """An occurrence in the file's tree.

    Attributes:
        name: of the occurrence (of the product, for a root).
        product: name of what occurs.
        children: empty for a part.
    """

    name: str
    product: str
    children: tuple[Node, ...] = ()

    def lines(self, depth: int = 0) -> Iterator[str]:
        """The tree for a person to read, two spaces a level."""
        yield "  " * depth + self.name
        for child in self.children:
            yield from child.lines(depth + 1)


@dataclass(frozen=True)
class StepContents:
    """What a STEP file holds.

    Attributes:
        roots: the trees of its products that occur in no other (one, in our files).
        names: of all parts, in the file's order; a name that occurs twice is here twice.
        parts: solids by name, where they stand in the file's coordinates.
        products: a part's product, by the part's name.
        colours: by the part's name, sRGB; those without one are missing.
        face_names: by the part's name: its named faces, in the part's own coordinates.
    """

    roots: tuple[Node, ...]
    names: tuple[str, ...]
    parts: Mapping[str, cq.Solid]
    products: Mapping[str, str]
    colours: Mapping[str, Rgb]
    face_names: Mapping[str, Mapping[str, cq.Face]]

    @cached_property
    def assemblies(self) -> Mapping[str, tuple[str, ...]]:
        """Names of each assembly's own children, by the assembly's name, the root's included."""
        found: dict[str, tuple[str, ...]] = {}

        def walk(node: Node) -> None:
            if node.children:
                found[node.name] = tuple(c.name for c in node.children)
            for child in node.children:
                walk(child)

        for root in self.roots:
            walk(root)
        return found


class _Reader:
    """Walks the kernel's document."""

    def __init__(self, document: Any) -> None:
        from OCP.XCAFDoc import XCAFDoc_DocumentTool

        self.document = document
        self.shapes = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
        self.colour_tool = XCAFDoc_DocumentTool.ColorTool_s(document.Main())
        self.names: list[str] = []
        self.parts: dict[str, cq.Solid] = {}
        self.products: dict[str, str] = {}
        self.colours: dict[str, Rgb] = {}
        self.faces: dict[str, Mapping[str, cq.Face]] = {}
        self._faces_of: dict[int, Mapping[str, cq.Face]] = {}

    @staticmethod
    def name(label: Any) -> str:
        from OCP.TDataStd import TDataStd_Name

        found = TDataStd_Name()
        if not label.FindAttribute(TDataStd_Name.GetID_s(), found):
            return ""
        return str(found.Get().ToExtString())

    def contents(self) -> StepContents:
        from OCP.TDF import TDF_LabelSequence
        from OCP.TopLoc import TopLoc_Location

        free = TDF_LabelSequence()
        self.shapes.GetFreeShapes(free)
        roots = tuple(
            self.node(free.Value(i), self.name(free.Value(i)), (), TopLoc_Location())
            for i in range(1, free.Length() + 1)
        )
        return StepContents(
            roots, tuple(self.names), self.parts, self.products, self.colours, self.faces
        )

    def node(self, label: Any, name: str, occurrence: tuple[Any, ...], where: Any) -> Node:
        """A product's label (as ``name``, at ``where``) and all below it."""
        from OCP.TDF import TDF_Label, TDF_LabelSequence

        product = self.name(label)
        if not self.shapes.IsAssembly_s(label):
            self.part(label, name, occurrence, where)
            return Node(name, product)
        below = TDF_LabelSequence()
        self.shapes.GetComponents_s(label, below)
        children = []
        for i in range(1, below.Length() + 1):
            component = below.Value(i)
            referred = TDF_Label()
            self.shapes.GetReferredShape_s(component, referred)
            at = where.Multiplied(self.shapes.GetLocation_s(component))
            children.append(self.node(referred, self.name(component), (component,), at))
        return Node(name, product, tuple(children))

    def part(self, label: Any, name: str, occurrence: tuple[Any, ...], where: Any) -> None:
        import cadquery as cq

        self.names.append(name)
        self.products[name] = self.name(label)
        shape = cq.Shape.cast(self.shapes.GetShape_s(label).Moved(where))
        solids = shape.Solids()
        if len(solids) != 1:
            raise OutputError(f"the STEP file's part {name!r} has {len(solids)} solids")
        self.parts[name] = solids[0]
        colour = next((c for c in map(self.colour, (*occurrence, label)) if c is not None), None)
        if colour is not None:
            self.colours[name] = colour
        tag = label.Tag()  # products are siblings, so the tag tells them apart
        if tag not in self._faces_of:
            self._faces_of[tag] = self.named_faces(label)
        self.faces[name] = self._faces_of[tag]

    def colour(self, label: Any) -> Rgb | None:
        from OCP.Quantity import Quantity_Color, Quantity_TOC_sRGB
        from OCP.XCAFDoc import XCAFDoc_ColorGen, XCAFDoc_ColorSurf

        found = Quantity_Color()
        for kind in (XCAFDoc_ColorSurf, XCAFDoc_ColorGen):
            if self.colour_tool.GetColor_s(label, kind, found):
                red, green, blue = found.Values(Quantity_TOC_sRGB)
                return (red, green, blue)
        return None

    def named_faces(self, label: Any) -> Mapping[str, cq.Face]:
        import cadquery as cq
        from OCP.TDF import TDF_LabelSequence

        below = TDF_LabelSequence()
        self.shapes.GetSubShapes_s(label, below)
        found: dict[str, cq.Face] = {}
        for i in range(1, below.Length() + 1):
            shape = cq.Shape.cast(self.shapes.GetShape_s(below.Value(i)))
            name = self.name(below.Value(i))
            if name and isinstance(shape, cq.Face):
                found[name] = shape
        return found


def read_step(source: str | Path | bytes) -> StepContents:
    """Read a STEP file, given by its path or as its bytes.

    Raises:
        OutputError: it can't be read, or a part of it is not one solid.
    """
    from OCP.IFSelect import IFSelect_RetDone
    from OCP.STEPCAFControl import STEPCAFControl_Reader
    from OCP.TCollection import TCollection_ExtendedString
    from OCP.TDocStd import TDocStd_Document

    data = source if isinstance(source, bytes) else Path(source).read_bytes()
    where = "the STEP data" if isinstance(source, bytes) else str(source)
    with kernel_settings():
        reader = STEPCAFControl_Reader()
        reader.SetNameMode(True)
        reader.SetColorMode(True)
        document = TDocStd_Document(TCollection_ExtendedString("BinXCAF"))
        if reader.ReadStream("treenail", io.BytesIO(data)) != IFSelect_RetDone:
            raise OutputError(f"{where}: not a STEP file that the kernel can read")
        if not reader.Transfer(document):
            raise OutputError(f"{where}: the kernel finds no shapes in it")
        return _Reader(document).contents()


class _Masses:
    """Volumes and centres; a shape that stands in several places is integrated once."""

    def __init__(self) -> None:
        self._known: list[tuple[Any, float, Any]] = []

    def of(self, solid: cq.Solid) -> tuple[float, Vec]:
        """Volume in mm3 and centre of mass in mm."""
        from OCP.BRepGProp import BRepGProp
        from OCP.GProp import GProp_GProps
        from OCP.TopLoc import TopLoc_Location

        shape = solid.wrapped
        known = next((k for k in self._known if k[0].IsPartner(shape)), None)
        if known is None:
            found = GProp_GProps()
            BRepGProp.VolumeProperties_s(shape.Located(TopLoc_Location()), found)
            known = (shape, found.Mass(), found.CentreOfMass())
            self._known.append(known)
        c = known[2].Transformed(shape.Location().Transformation())
        return known[1], (c.X(), c.Y(), c.Z())


def _bounds(solid: cq.Solid) -> tuple[Vec, Vec]:
    """Exact bounds; a mesh on the shape is not looked at."""
    from OCP.Bnd import Bnd_Box
    from OCP.BRepBndLib import BRepBndLib

    box = Bnd_Box()
    BRepBndLib.AddOptimal_s(solid.wrapped, box, False, False)
    x0, y0, z0, x1, y1, z1 = box.Get()
    return (x0, y0, z0), (x1, y1, z1)


def _solid_differences(name: str, found: cq.Solid, wanted: cq.Solid, masses: _Masses) -> list[str]:
    said = []
    (volume, centre), (volume0, centre0) = masses.of(found), masses.of(wanted)
    kinds = {e.geomType() for e in wanted.Edges()}
    share = OBLIQUE_SHARE if "ELLIPSE" in kinds else VOLUME_TOLERANCE
    if not abs(volume - volume0) <= share * abs(volume0):
        said.append(f"{name}: volume {volume!r} mm3, should be {volume0!r}")
    bounds, bounds0 = _bounds(found), _bounds(wanted)
    off = norm(sub(centre, centre0))
    near = LENGTH_TOLERANCE
    if off > near and kinds & {"BSPLINE", "ELLIPSE"}:
        near = CENTRE_SHARE * norm(sub(bounds0[1], bounds0[0]))
    if not off <= near:
        said.append(f"{name}: centre {centre} mm, should be {centre0}")
    for what, have, want in zip(("low", "high"), bounds, bounds0, strict=True):
        if not norm(sub(have, want)) <= LENGTH_TOLERANCE:
            said.append(f"{name}: {what} corner of its bounds {have} mm, should be {want}")
    return said


def _look_differences(
    name: str, contents: StepContents, colour: Rgb, faces: Mapping[str, Any]
) -> list[str]:
    said = []
    have = contents.colours.get(name)
    if have is None or not all(
        abs(a - b) <= COLOUR_TOLERANCE for a, b in zip(have, colour, strict=True)
    ):
        said.append(f"{name}: colour {have}, should be {colour}")
    named = contents.face_names[name]
    if missing := sorted(faces.keys() - named.keys()):
        said.append(f"{name}: faces without their names: {', '.join(missing)}")
    if extra := sorted(named.keys() - faces.keys()):
        said.append(f"{name}: faces with names that are not ours: {', '.join(extra)}")
    return said


def _name_differences(contents: StepContents, wanted: list[str]) -> list[str]:
    said = []
    have = set(contents.names)
    if missing := [n for n in wanted if n not in have]:
        said.append(f"not in the file: {', '.join(missing)}")
    if extra := sorted(have - set(wanted)):
        said.append(f"in the file but not in the bench: {', '.join(extra)}")
    if len(contents.names) != len(wanted):
        said.append(f"{len(contents.names)} parts in the file, should be {len(wanted)}")
    return said


def compare_step(contents: StepContents, solids: BenchSolids) -> list[str]:
    """How a file of a whole bench (``bench_step``) differs from the bench; empty if it doesn't.

    Compared are the names and their number, the sub-assembly and product of each part, its
    volume (1e-8 of it), centre and bounds (1e-6 mm), colour, and its faces' names.
    """
    things = occurrences(solids)
    said = _name_differences(contents, [t.name for t in things])
    group_of = {
        child: group
        for root in contents.roots
        for node in root.children
        for group, child in ([(node.name, c.name) for c in node.children] or [("", node.name)])
    }
    faces: dict[str, Mapping[str, Any]] = {}
    masses = _Masses()
    for thing in things:
        name = thing.name
        if name not in contents.parts:
            continue
        if group_of.get(name) != thing.assembly:
            said.append(
                f"{name}: in sub-assembly {group_of.get(name)!r}, should be {thing.assembly!r}"
            )
        if contents.products[name] != thing.product:
            said.append(
                f"{name}: an occurrence of {contents.products[name]!r}, should be {thing.product!r}"
            )
        if thing.product not in faces:
            faces[thing.product] = face_names(solids, thing.product)
        said += _solid_differences(name, contents.parts[name], solids.placed[name], masses)
        said += _look_differences(name, contents, thing.colour, faces[thing.product])
    return said


def compare_part(
    contents: StepContents,
    solids: BenchSolids,
    name: str,
    *,
    up: Face | None = None,
    zero: str = "",
) -> list[str]:
    """How a file of one part (``part_step``) differs from that part; empty if it doesn't.

    The part's name in the file is not compared: a bench that did not pass is marked there.
    ``up`` and ``zero`` say how it should lie.
    """
    if len(contents.names) != 1:
        return [f"{len(contents.names)} parts in the file, should be 1"]
    there = contents.names[0]
    thing = next(t for t in occurrences(solids) if t.name == name)
    wanted = solids.local(name)
    if up is not None:
        wanted = laid_solid(solids, name, laid_frame(solids, name, up, zero))
    said = _solid_differences(there, contents.parts[there], wanted, _Masses())
    return said + _look_differences(there, contents, thing.colour, face_names(solids, name))


__all__ = [
    "COLOUR_TOLERANCE",
    "LENGTH_TOLERANCE",
    "VOLUME_TOLERANCE",
    "Node",
    "StepContents",
    "compare_part",
    "compare_step",
    "read_step",
]
