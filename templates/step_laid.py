"""A part as it lies on the machine: its solid and its named faces moved to the work zero."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from treenail.timber.errors import KernelError

if TYPE_CHECKING:
    from collections.abc import Mapping

    import cadquery as cq

    from treenail.generators.solids import BenchSolids
    from treenail.timber.frames import Frame
    from treenail.timber.member import Face

__all__ = ["laid_frame", "laid_note", "laid_solid", "moved_faces"]


def laid_frame(solids: BenchSolids, name: str, up: Face, zero: str = "") -> Frame:
    """The placement that lays a squared piece with a face up and its zero at a corner of it.

    Raises:
        KernelError: a bolt or a round peg, which has no faces.
        SpecError: the face has no such corner; those that it has are named.
    """
    from treenail.shop.machining import machining_frame, read_corner

    member = solids.bench.by_name.get(name)
    if member is None or member.round_section:
        raise KernelError(f"{name} has no face to lay up: it is round")
    return machining_frame(member, up, read_corner(up, zero))


def laid_note(up: Face, zero: str) -> str:
    """What a file says of how the part lies."""
    from treenail.shop.machining import read_corner

    corner = " and ".join(str(f) for f in read_corner(up, zero))
    return f"machining position: {up} up at z = 0, work zero at {corner}"


def _transformed(shape: Any, placement: Frame) -> Any:
    """The kernel's operation that moves a shape, its geometry and not only its location."""
    from OCP.BRepBuilderAPI import BRepBuilderAPI_Transform

    from treenail.generators.solids import location

    return BRepBuilderAPI_Transform(shape, location(placement).wrapped.Transformation(), True)


def laid_solid(solids: BenchSolids, name: str, placement: Frame) -> cq.Solid:
    """A part's solid where a placement carries it."""
    import cadquery as cq

    return cq.Solid(_transformed(solids.local(name).wrapped, placement).Shape())


def moved_faces(
    solids: BenchSolids, name: str, placement: Frame, faces: Mapping[str, Any]
) -> tuple[Any, dict[str, Any]]:
    """(moved shape, its faces under the names that they have on the part itself)."""
    operation = _transformed(solids.local(name).wrapped, placement)
    return operation.Shape(), {n: operation.ModifiedShape(f) for n, f in faces.items()}
