"""The one place where numbers become kernel solids: one boolean a member, alike ones shared.

Shapes are cached by the member's numbers, so a family of benches builds each distinct piece
once. Everything else that needs geometry asks a ``BenchSolids``.
"""

from __future__ import annotations

from collections import OrderedDict
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from cadquery.occ_impl.shapes import check as kernel_check
from OCP.Bnd import Bnd_Box
from OCP.BOPAlgo import BOPAlgo_CheckerSI
from OCP.BRepAdaptor import BRepAdaptor_Surface
from OCP.BRepBndLib import BRepBndLib
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.GeomAbs import GeomAbs_SurfaceType
from OCP.TopTools import TopTools_ListOfShape

from treenail.generators.hardware_solids import hardware_solid
from treenail.generators.kernel import (
    box,
    cut_away,
    cylinder,
    location,
    reflected,
    single,
    stock_and_tools,
)
from treenail.generators.mirrored import outline_key, reflections
from treenail.generators.shape_key import shape_key
from treenail.joints.angled_cuts import AngledTenonEnd
from treenail.timber.frames import Frame, snap

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    import cadquery as cq

    from treenail.generators.bench import Bench
    from treenail.joints.cuts import Cut
    from treenail.timber.fasteners import LagSize
    from treenail.timber.member import Member

#: Most distinct shapes kept; the oldest go first.
CACHE_SIZE = 512
#: Closed-form and kernel volumes must agree to this share.
VOLUME_TOLERANCE = 1e-6

_cache: OrderedDict[str, cq.Solid] = OrderedDict()
#: By key: the solid that was looked at, its volume, whether it is sound.
_verdicts: OrderedDict[str, tuple[cq.Shape, float, bool]] = OrderedDict()

#: The kernel's check of a shape against itself up to edges against faces.
_EDGES_AGAINST_FACES = 4
_FLAT, _CYLINDER, _CONE = (
    GeomAbs_SurfaceType.GeomAbs_Plane,
    GeomAbs_SurfaceType.GeomAbs_Cylinder,
    GeomAbs_SurfaceType.GeomAbs_Cone,
)


def member_solid(member: Member, cuts: Sequence[Cut], key: str | None = None) -> cq.Solid:
    """The finished member in its own coordinates, by a single boolean; cached.

    Raises:
        KernelError: the cuts leave no wood, or leave it in pieces.
    """
    key = key or shape_key(member, cuts)
    known = _cache.get(key)
    if known is not None:
        _cache.move_to_end(key)
        return known
    solid, tools = stock_and_tools(member, cuts)
    if tools:
        solid = single(cut_away(solid, tools), member.name)
        if any(isinstance(cut, AngledTenonEnd) for cut in cuts):
            # Its tools meet in the shoulders' plane: what they leave there is one face.
            solid = single(solid.clean(), member.name)
    return _keep(key, solid)


def _keep(key: str, solid: cq.Solid) -> cq.Solid:
    _cache[key] = solid
    if len(_cache) > CACHE_SIZE:
        _cache.popitem(last=False)
    return solid


class _Twins:
    """Members met so far, so that a mirror image is copied instead of cut anew."""

    def __init__(self) -> None:
        self._met: dict[object, list[tuple[Member, Sequence[Cut], str]]] = {}

    def find(
        self, member: Member, cuts: Sequence[Cut], key: str, shapes: Mapping[str, cq.Solid]
    ) -> cq.Solid | None:
        """The mirrored copy of a member met before; None if there is none, or it is cached."""
        if member.round_section or len(cuts) < 2 or key in _cache:
            return None
        # Only what has as many cuts of each kind is worth a closer look.
        alike = (member.size, tuple(sorted(cut.purpose for cut in cuts)))
        for other, its_cuts, its_key in self._met.get(alike, ()):
            outline = outline_key(other, its_cuts)
            for how in reflections(member):
                if outline is not None and outline_key(member, cuts, how) == outline:
                    return _keep(key, reflected(shapes[its_key], member, how))
        self._met.setdefault(alike, []).append((member, cuts, key))
        return None


def clear_cache() -> None:
    """Forget all cached shapes (for benchmarks)."""
    _cache.clear()
    _verdicts.clear()


def is_sound(shape: cq.Shape) -> bool:
    """Whether a solid is well formed, closed, and nowhere cuts itself.

    Where its faces are planes, cylinders and cones that can't meet in a loop free of edges, two
    faces that cut each other have an edge (or a cylinder's seam) that goes through a face: the
    kernel then needs to compare edges with faces only, which costs a third. Otherwise it compares
    faces with faces, too.
    """
    if not BRepCheck_Analyzer(shape.wrapped, True, False).IsValid():
        return False
    if _may_meet_in_loops(shape):
        return bool(kernel_check(shape, verbose=False))
    checker = BOPAlgo_CheckerSI()
    only = TopTools_ListOfShape()
    only.Append(shape.wrapped)
    checker.SetArguments(only)
    checker.SetNonDestructive(True)
    checker.SetUseOBB(True)
    checker.SetLevelOfCheck(_EDGES_AGAINST_FACES)
    checker.Perform()
    return not checker.HasErrors() and checker.DS().Interferences().Extent() == 0


def _may_meet_in_loops(shape: cq.Shape) -> bool:
    """Whether the shape has round faces whose common line might touch no edge and no seam.

    A plane meets a cylinder or cone in lines or in rings around the axis, which cross the seam;
    so do round faces about parallel axes. Two that cross may meet in a small closed loop.
    """
    round_faces = []
    for face in shape.Faces():
        surface = BRepAdaptor_Surface(face.wrapped, False)
        kind = surface.GetType()
        if kind == _FLAT:
            continue
        if kind == _CYLINDER:
            axis = surface.Cylinder().Axis()
        elif kind == _CONE:
            axis = surface.Cone().Axis()
        else:
            return True
        box = Bnd_Box()
        BRepBndLib.Add_s(face.wrapped, box, useTriangulation=False)
        round_faces.append((kind, axis, box))
    for i, (kind, axis, box) in enumerate(round_faces):
        for other_kind, other_axis, other_box in round_faces[:i]:
            if axis.IsCoaxial(other_axis, 1e-9, 1e-7):
                continue
            both_straight = kind == other_kind == _CYLINDER
            if both_straight and axis.IsParallel(other_axis, 1e-9):
                continue
            if not box.IsOut(other_box):
                return True
    return False


def _verdict(key: str, shape: cq.Shape) -> tuple[float, bool]:
    """(volume, sound) of a shape, looked at once a process."""
    known = _verdicts.get(key)
    if known is None or known[0] is not shape:
        known = _verdicts[key] = (shape, shape.Volume(), is_sound(shape))
        if len(_verdicts) > CACHE_SIZE:
            _verdicts.popitem(last=False)
    return known[1], known[2]


@dataclass(frozen=True)
class BenchSolids:
    """A bench's kernel solids.

    Attributes:
        bench: the numbers.
        keys: shape key of each member, by name.
        shapes: distinct shapes by key, in member coordinates.
        bolts: solids of the hardware by name, in its own coordinates (alike ones shared).
    """

    bench: Bench
    keys: Mapping[str, str]
    shapes: Mapping[str, cq.Solid]
    bolts: Mapping[str, cq.Solid]

    def local(self, name: str) -> cq.Solid:
        """A member's (or bolt's) solid in its own coordinates."""
        if name in self.bolts:
            return self.bolts[name]
        return self.shapes[self.keys[name]]

    def placement(self, name: str) -> Frame:
        """Where a member or bolt stands in the bench."""
        member = self.bench.by_name.get(name)
        if member is not None:
            return member.placement
        return next(h.placement for h in self.bench.hardware if h.name == name)

    @cached_property
    def placed(self) -> Mapping[str, cq.Solid]:
        """Every solid in the bench's coordinates, by name."""
        names = [*self.keys, *self.bolts]
        return {n: self.local(n).moved(location(self.placement(n))) for n in names}

    def as_read(self, placed: Mapping[str, cq.Solid]) -> BenchSolids:
        """The same bench with solids that were read back from a file, by name, where they stand."""
        read = BenchSolids(self.bench, self.keys, self.shapes, self.bolts)
        read.__dict__["placed"] = placed
        return read

    def first_of(self, name: str) -> str:
        """The first member that shares a member's shape (itself, if it is the first)."""
        key = self.keys[name]
        return next(n for n, k in self.keys.items() if k == key)

    def problems(self) -> list[tuple[str, str, float, float]]:
        """Members whose solid is wrong: (name, what, measured, wanted)."""
        found = []
        for name, key in self.keys.items():
            volume, sound = _verdict(key, self.shapes[key])
            wanted = self.bench.volumes[name]
            if not abs(volume - wanted) <= VOLUME_TOLERANCE * wanted:
                found.append((name, "volume", volume, wanted))
            if not sound:
                found.append((name, "shape", 0.0, 1.0))
        return found


def build_solids(bench: Bench, *, progress: Callable[[str], None] | None = None) -> BenchSolids:
    """Build every distinct shape of a bench once.

    Args:
        bench: the numbers.
        progress: called with each member's name.

    Raises:
        KernelError: a member's cuts leave nothing or leave it in pieces.
    """
    keys: dict[str, str] = {}
    shapes: dict[str, cq.Solid] = {}
    twins = _Twins()
    for member in bench.members:
        if progress:
            progress(member.name)
        cuts = bench.cuts[member.name]
        key = shape_key(member, cuts)
        keys[member.name] = key
        if key not in shapes:
            shapes[key] = twins.find(member, cuts, key, shapes) or member_solid(member, cuts, key)
    bolts: dict[str, cq.Solid] = {}
    alike: dict[tuple[str, LagSize, float, float], cq.Solid] = {}
    for item in bench.hardware:
        kind = (item.kind, item.size, item.body, snap(item.length))
        if kind not in alike:
            alike[kind] = hardware_solid(item)
        bolts[item.name] = alike[kind]
    return BenchSolids(bench, keys, shapes, bolts)


__all__ = [
    "BenchSolids",
    "box",
    "build_solids",
    "clear_cache",
    "cylinder",
    "is_sound",
    "location",
    "member_solid",
    "shape_key",
]
