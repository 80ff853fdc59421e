"""STEP files of a bench and of its parts, for a shop's CAD and CAM.

The whole bench is one assembly. Each distinct piece is one product, named for the first member
that has the shape; every member, peg and bolt is an occurrence of a product under its own name,
inside the sub-assembly that the member belongs to (bolts: ``hardware``). Colours go by role,
faces are named as ``step_faces`` describes. Lengths are millimetres, names ASCII, curves on
surfaces are left out (readers make them again), and the same bench is the same bytes.

A bench whose checks did not pass says ``NOT PASSED`` in its header and in its product's name.
"""

from __future__ import annotations

import contextlib
import io
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from treenail.templates.colours import HARDWARE, colour_of
from treenail.templates.step_faces import named_faces
from treenail.templates.step_laid import laid_frame, laid_note, moved_faces
from treenail.templates.step_text import MOST_NAME, canonical, plain_name
from treenail.timber.errors import KernelError
from treenail.timber.frames import Frame

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from treenail.generators.solids import BenchSolids
    from treenail.templates.colours import Rgb
    from treenail.timber.member import Face

#: What a file says that was written although checks failed.
NOT_PASSED = "NOT PASSED"

#: The kernel's settings for us. They hold for the whole process, so they are put back.
_NUMBERS = {
    "write.surfacecurve.mode": 0,
    "write.precision.mode": 0,
    "write.step.assembly": 2,
    "write.step.nonmanifold": 0,
    "write.step.tessellated": 0,
    "write.step.vertex.mode": 0,
    "write.stepcaf.subshapes.name": 1,
    "read.stepcaf.subshapes.name": 1,
    "read.step.assembly.level": 1,
}
_WORDS = {"xstep.cascade.unit": "MM", "write.step.unit": "MM", "write.step.schema": "AP214IS"}


@contextlib.contextmanager
def kernel_settings() -> Iterator[None]:
    """Hold the kernel's STEP settings at ours, then put back what they were."""
    from OCP.Interface import Interface_Static
    from OCP.STEPCAFControl import STEPCAFControl_Controller

    # Before a controller exists the settings don't either, and setting them does nothing.
    STEPCAFControl_Controller.Init_s()
    numbers = {key: Interface_Static.IVal_s(key) for key in _NUMBERS}
    words = {key: Interface_Static.CVal_s(key) for key in _WORDS}
    try:
        for key, number in _NUMBERS.items():
            Interface_Static.SetIVal_s(key, number)
        for key, word in _WORDS.items():
            Interface_Static.SetCVal_s(key, word)
        yield
    finally:
        for key, number in numbers.items():
            Interface_Static.SetIVal_s(key, number)
        for key, word in words.items():
            Interface_Static.SetCVal_s(key, word)


@dataclass(frozen=True, slots=True, kw_only=True)
class Occurrence:
    """A thing of the bench as it stands in the STEP file.

    Attributes:
        name: the member's or bolt's.
        product: name of the first thing of the same shape and role.
        role: decides the colour.
        assembly: its sub-assembly; empty for none.
        placement: in the bench.
    """

    name: str
    product: str
    role: str
    assembly: str
    placement: Frame

    @property
    def colour(self) -> Rgb:
        """Of its role."""
        return colour_of(self.role)


def occurrences(solids: BenchSolids) -> tuple[Occurrence, ...]:
    """Everything the bench's STEP file shows, members first, in the bench's order."""
    found = []
    products: dict[tuple[Any, str], str] = {}
    for m in solids.bench.members:
        product = products.setdefault((solids.keys[m.name], m.role), m.name)
        found.append(
            Occurrence(
                name=m.name,
                product=product,
                role=m.role,
                assembly=m.assembly,
                placement=m.placement,
            )
        )
    for item in solids.bench.hardware:
        # Alike bolts are the same object.
        product = products.setdefault((id(solids.bolts[item.name]), HARDWARE), item.name)
        found.append(
            Occurrence(
                name=item.name,
                product=product,
                role=HARDWARE,
                assembly=HARDWARE,
                placement=item.placement,
            )
        )
    return tuple(found)


def bench_name(solids: BenchSolids) -> str:
    """The bench's name in plain ASCII, unlike the name of anything inside the bench."""
    name = plain_name(solids.bench.name)
    taken = {n for thing in occurrences(solids) for n in (thing.name, thing.assembly)}
    return f"bench {name}" if name in taken else name


def marked(name: str, *, passed: bool) -> str:
    """A product's name, with a mark if the bench did not pass its checks."""
    if passed:
        return name
    return f"{name[: MOST_NAME - len(NOT_PASSED) - 3].rstrip()} - {NOT_PASSED}"


def face_names(solids: BenchSolids, name: str) -> dict[str, Any]:
    """The named faces (``TopoDS_Face``) of a member's own solid; none for pegs and bolts."""
    member = solids.bench.by_name.get(name)
    if member is None:
        return {}
    return named_faces(solids.local(name), member, solids.bench.cuts[name])


@dataclass(slots=True)
class _Document:
    """An extended document under construction: products, names, colours."""

    doc: Any = field(init=False)
    shapes: Any = field(init=False)
    colours: Any = field(init=False)

    def __post_init__(self) -> None:
        from OCP.TCollection import TCollection_ExtendedString
        from OCP.TDocStd import TDocStd_Document
        from OCP.XCAFDoc import XCAFDoc_DocumentTool

        self.doc = TDocStd_Document(TCollection_ExtendedString("BinXCAF"))
        self.shapes = XCAFDoc_DocumentTool.ShapeTool_s(self.doc.Main())
        self.colours = XCAFDoc_DocumentTool.ColorTool_s(self.doc.Main())

    def name(self, label: Any, text: str) -> None:
        from OCP.TCollection import TCollection_ExtendedString
        from OCP.TDataStd import TDataStd_Name

        TDataStd_Name.Set_s(label, TCollection_ExtendedString(text))

    def assembly(self, name: str) -> Any:
        """A new, empty assembly."""
        label = self.shapes.NewShape()
        self.name(label, name)
        return label

    def place(self, parent: Any, child: Any, name: str, placement: Frame) -> None:
        """One more occurrence of ``child`` in ``parent``."""
        from treenail.generators.solids import location

        where = location(placement).wrapped
        self.name(self.shapes.AddComponent(parent, child, where), name)

    def product(self, name: str, shape: Any, colour: Rgb, faces: Mapping[str, Any]) -> Any:
        """A new product of one shape with its colour and named faces."""
        from OCP.Quantity import Quantity_Color, Quantity_TOC_sRGB
        from OCP.XCAFDoc import XCAFDoc_ColorSurf

        label = self.shapes.AddShape(shape, False)
        self.name(label, name)
        self.colours.SetColor(label, Quantity_Color(*colour, Quantity_TOC_sRGB), XCAFDoc_ColorSurf)
        for face_name, face in faces.items():
            self.name(self.shapes.AddSubShape(label, face), face_name)
        return label

    def text(self) -> str:
        """The STEP file as the kernel writes it (KernelError if it does not)."""
        from OCP.IFSelect import IFSelect_RetDone
        from OCP.STEPCAFControl import STEPCAFControl_Writer

        self.shapes.UpdateAssemblies()
        with kernel_settings():
            writer = STEPCAFControl_Writer()
            writer.SetNameMode(True)
            writer.SetColorMode(True)
            writer.SetLayerMode(False)
            writer.SetPropsMode(False)
            stream = io.BytesIO()
            done = writer.Transfer(self.doc) and writer.WriteStream(stream) == IFSelect_RetDone
        if not done:
            raise KernelError("the kernel could not write the STEP file")
        return stream.getvalue().decode("ascii")


def _description(what: str, *, passed: bool) -> list[str]:
    said = [what, "millimetres"]
    return said if passed else [*said, f"checks {NOT_PASSED}"]


def bench_step(solids: BenchSolids, *, passed: bool = True) -> bytes:
    """The whole bench as one STEP file (AP214, ASCII).

    Args:
        solids: the bench's solids.
        passed: whether all checks passed; if not, the file says so.

    Raises:
        KernelError: the kernel did not write it.
    """
    document = _Document()
    called = bench_name(solids)
    root = document.assembly(marked(called, passed=passed))
    groups: dict[str, Any] = {"": root}
    products: dict[str, Any] = {}
    used: set[int] = set()
    for thing in occurrences(solids):
        if thing.assembly not in groups:
            groups[thing.assembly] = document.assembly(thing.assembly)
            document.place(root, groups[thing.assembly], thing.assembly, Frame())
        if thing.product not in products:
            shape = solids.local(thing.product)
            faces = face_names(solids, thing.product)
            if id(shape) in used:
                # One shape in two roles: the document would take them for one product.
                shape = shape.copy()
                member = solids.bench.by_name[thing.product]
                faces = named_faces(shape, member, solids.bench.cuts[thing.product])
            used.add(id(shape))
            products[thing.product] = document.product(
                thing.product, shape.wrapped, thing.colour, faces
            )
        document.place(groups[thing.assembly], products[thing.product], thing.name, thing.placement)
    return canonical(
        document.text(),
        file_name=f"{called}.step",
        description=_description(called, passed=passed),
    ).encode("ascii")


def part_step(
    solids: BenchSolids, name: str, *, passed: bool = True, up: Face | None = None, zero: str = ""
) -> bytes:
    """One member (or bolt) alone, in its own coordinates or as it lies on the machine.

    A squared piece has the corner of face side, face edge and near end at the origin, x along
    the grain. With a face up, z is 0 at that face and points out of the piece, and the origin
    is at a corner of it (``shop.machining`` says how x and y run).

    Args:
        solids: the bench's solids.
        name: of the member or bolt.
        passed: whether all of the bench's checks passed.
        up: the face that lies up; None for the piece's own coordinates.
        zero: the corner with the work zero, by its two other faces, such as ``near end, face
            edge``; empty for the usual one.

    Raises:
        KernelError: the bench has no such part, it is round and should lie on a face, or the
            kernel did not write it.
        SpecError: the face has no such corner.
    """
    things = occurrences(solids)
    thing = next((o for o in things if o.name == name), None)
    if thing is None:
        raise KernelError(f"the bench {solids.bench.name!r} has no part named {name!r}")
    document = _Document()
    shape, faces, notes = solids.local(name).wrapped, face_names(solids, name), []
    if up is not None:
        shape, faces = moved_faces(solids, name, laid_frame(solids, name, up, zero), faces)
        notes.append(laid_note(up, zero))
    document.product(marked(name, passed=passed), shape, thing.colour, faces)
    alike = sum(o.product == thing.product for o in things)
    what = f"{name} of {bench_name(solids)}"
    return canonical(
        document.text(),
        file_name=f"{name}.step",
        description=[
            *_description(what, passed=passed),
            f"pieces of this shape in the bench: {alike}",
            *notes,
        ],
    ).encode("ascii")


__all__ = [
    "NOT_PASSED",
    "Occurrence",
    "bench_name",
    "bench_step",
    "colour_of",
    "face_names",
    "kernel_settings",
    "marked",
    "occurrences",
    "part_step",
]
