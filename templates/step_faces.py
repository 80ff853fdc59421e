"""Names of the faces that a person at a machine looks for, by where they lie on the piece.

A shape is shared by pieces that stand in different joints, so no face is named for a joint.
Names are ASCII and follow the piece's own coordinates:

- ``FACE_SIDE``, ``FACE_EDGE``: the two reference faces.
- ``MORTISE_n_CHEEK_A``, ``_CHEEK_B``, ``_EDGE_A``, ``_EDGE_B``, ``_BOTTOM``: walls of a mortise.
  Cheeks are the long walls, edges the short ones. Mortises are numbered from the near end.
  Round walls at its corners, where they aren't square, are ``_CORNER``.
- ``HAUNCH_SOCKET_n_...``: the same walls of the socket beside mortise n.
- ``TENON_n_CHEEK_A``, ``_CHEEK_B``, ``_EDGE_A``, ``_EDGE_B``, ``_SHOULDER``, ``_END``,
  ``_HAUNCH_END`` and, where its long edges are rounded, ``_CORNER``: from the near end too. A
  slanted end bears no name.
- ``MORTISE_n_PEG_HOLE_k``, ``TENON_n_PEG_HOLE_k``: wall of the k-th peg hole through that joint.
- Other holes by what they are for: ``DOG_HOLE_k``, ``BOLT_HOLE_k``, ``BOLT_SLOT_k``,
  ``COUNTERBORE_k``, ``PILOT_HOLE_k``.
- Trenches likewise, ``HOUSING_k_CHEEK_A`` and so on: their cheeks lie along the run, their edges
  are its closed ends. Tongues are named as tenons.
- ``ANGLED_MORTISE_k_...`` and ``ANGLED_TENON_k_...``: the walls of an angled mortise and the faces
  of its tenon; ``FOOT_BEVEL_k``, ``RAIL_MITRE_k`` and the like: an end that is sawn aslant.
  ``SKEW_NOTCH_k_EDGE_A``, ``_EDGE_B``, ``_BOTTOM``: a notch across a face, aslant.
- ``..._BOTTOM``: the flat end of a hole that is stopped, or a trench's floor.

A is nearer to the near end, the face edge or the face side than B. A wall that another cut
divides into several faces has ``_PART_2``, ``_PART_3`` ... on all but the first of them.

The first half of this module is numbers only; ``named_faces`` finds the walls on a solid.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from treenail.joints.angled_cuts import AngledMortise
from treenail.joints.cuts import Bore, Cut, Mortise, Slot, TenonEnd
from treenail.joints.shaped_cuts import TaperedMortise
from treenail.joints.trenches import Trench
from treenail.templates.aslant_plan import ASLANT
from treenail.templates.step_walls import TOLERANCE, Wall, aslant_walls, pair, plane
from treenail.timber.frames import Frame, Vec, dot, norm, snap, snap_vec, sub
from treenail.timber.member import Face

if TYPE_CHECKING:
    from collections.abc import Sequence

    import cadquery as cq

    from treenail.timber.member import Member

_FACES = tuple(Face)


def _pocket_box(cut: Mortise) -> tuple[Vec, Vec]:
    half_length, half_width = cut.length / 2, cut.width / 2
    low, high = -half_length, half_length
    if isinstance(cut, TaperedMortise):  # its cheeks reach as far as its sloped walls
        low, high = min(low, cut.exit_span[0]), max(high, cut.exit_span[1])
    return (low, -half_width, 0.0), (high, half_width, cut.depth)


def _long_cheeks(name: str, mortise: Mortise, socket: Mortise) -> list[Wall]:
    """A mortise's cheeks where they are one face with its haunch socket's."""
    low, high = _pocket_box(mortise)
    f = mortise.frame
    for corner in _pocket_box(socket):
        p = f.local_point(socket.frame.point(corner))
        low = (min(low[0], p[0]), low[1], low[2])
        high = (max(high[0], p[0]), high[1], high[2])
    return pair(f"{name}_CHEEK", f, low, high, 1)


def _pocket(name: str, cut: Mortise) -> list[Wall]:
    low, high = _pocket_box(cut)
    found = pair(f"{name}_CHEEK", cut.frame, low, high, 1)
    found += pair(f"{name}_EDGE", cut.frame, low, high, 0)
    if not cut.through:
        found.append(plane(f"{name}_BOTTOM", cut.frame, low, high, 2, cut.depth))
    if cut.corners is not None:
        r = cut.corners.radius
        for x, y in cut.corners.spots(cut.length, cut.width):
            around = (x - r, y - r, 0.0), (x + r, y + r, cut.depth)
            found.append(Wall(f"{name}_CORNER", cut.frame, *around, None, r, (x, y)))
    return found


def _bore(name: str, cut: Bore) -> list[Wall]:
    r = cut.diameter / 2
    slant = cut.slant
    low, high = (-r, -r, -slant), (r, r, cut.depth + (slant if cut.through else 0.0))
    found = [Wall(name, cut.frame, low, high, None, r)]
    if not cut.through:
        found.append(plane(f"{name}_BOTTOM", cut.frame, low, high, 2, cut.depth))
    return found


def _slot(name: str, cut: Slot) -> list[Wall]:
    r, c = cut.width / 2, cut.centres / 2
    low, high = (-c - r, -r, 0.0), (c + r, r, cut.depth)
    found = [Wall(name, cut.frame, low, high, None, r, (x, 0.0)) for x in (-c, c)]
    found += [plane(name, cut.frame, low, high, 1, y) for y in (-r, r)]
    if not cut.through:
        found.append(plane(f"{name}_BOTTOM", cut.frame, low, high, 2, cut.depth))
    return found


def _trench(name: str, cut: Trench) -> list[Wall]:
    f, a, b = cut.frame, cut.length / 2, cut.width / 2
    low, high = (-a, -b - cut.lean[0], 0.0), (a, b + cut.lean[1], cut.depth)
    found = pair(f"{name}_EDGE", f, low, high, 0)
    found.append(plane(f"{name}_BOTTOM", f, low, high, 2, cut.depth))
    letters = "AB" if max(f.y, key=abs) > 0.0 else "BA"
    for sign, lean, letter in zip((-1.0, 1.0), cut.lean, letters, strict=True):
        down = f.direction((0.0, sign * lean, cut.depth))
        # Its z runs down the wall, which leans where the floor is wider than the mouth.
        wall = Frame.from_zx(f.point((0.0, sign * b, 0.0)), down, f.x)
        slant = norm(down)
        found.append(plane(f"{name}_CHEEK_{letter}", wall, (-a, 0, 0), (a, 0, slant), 1, 0.0))
    return found


def _tenon(name: str, member: Member, cut: TenonEnd) -> list[Wall]:
    low, high = (cut.x0, cut.y0, 0.0), (cut.x1, cut.y1, cut.length)
    whole = (member.width, member.thickness, cut.length)
    found = [
        # A haunch lengthens the cheeks beyond the tenon's edge.
        *pair(f"{name}_CHEEK", cut.frame, (0.0, cut.y0, 0.0), (whole[0], cut.y1, cut.length), 1),
        *pair(f"{name}_EDGE", cut.frame, low, high, 0),
        plane(f"{name}_SHOULDER", cut.frame, (0.0, 0.0, 0.0), whole, 2, cut.length),
        plane(f"{name}_END", cut.frame, low, high, 2, 0.0),
    ]
    for edge in cut.fillets(member):
        r = edge.radius
        corner = Wall(f"{name}_CORNER", edge.frame, (0, 0, 0), (r, r, edge.depth), None, r, (r, r))
        found.append(corner)
    if cut.haunch is not None:
        at = cut.length - cut.haunch.length
        found.append(plane(f"{name}_HAUNCH_END", cut.frame, (0.0, 0.0, 0.0), whole, 2, at))
    return found


def _place(cut: Cut) -> tuple[Vec, int]:
    """Order of cuts on a piece: from the near end, face edge and face side; then by face."""
    return (snap_vec(cut.frame.origin), _FACES.index(cut.face))


def _label(text: str) -> str:
    return "".join(c if c.isascii() and c.isalnum() else "_" for c in text.upper())


def walls(member: Member, cuts: Sequence[Cut]) -> tuple[Wall, ...]:
    """Every wall with a name on a member, those first that win where two lie together."""
    if member.round_section:
        return ()
    stock = Frame()
    low, high = (0.0, 0.0, 0.0), member.size
    found = [
        plane("FACE_SIDE", stock, low, high, 2, 0.0),
        plane("FACE_EDGE", stock, low, high, 1, 0.0),
    ]
    in_order = sorted(cuts, key=_place)
    joint_name: dict[str, str] = {}
    pockets = [c for c in in_order if isinstance(c, Mortise) and not isinstance(c, AngledMortise)]
    mortises = [c for c in pockets if c.purpose == "mortise"]
    for n, mortise in enumerate(mortises, start=1):
        joint_name.setdefault(mortise.joint, f"MORTISE_{n}")
        found += _pocket(f"MORTISE_{n}", mortise)
    tenons = [t for c in in_order if isinstance(c, TenonEnd) for t in c.tongues()]
    for n, tenon in enumerate(tenons, start=1):
        joint_name.setdefault(tenon.joint, f"TENON_{n}")
        found += _tenon(f"TENON_{n}", member, tenon)
    counts: dict[str, int] = {}

    def counted(kind: str) -> str:
        counts[kind] = counts.get(kind, 0) + 1
        return f"{kind}_{counts[kind]}"

    for cut in in_order:
        kind = _label(cut.purpose)
        joint = joint_name.get(cut.joint)
        if isinstance(cut, ASLANT):
            found += aslant_walls(counted(kind), member, cut)
        elif isinstance(cut, Mortise) and cut.purpose != "mortise":
            # A socket bears its mortise's number.
            own = next((m for m in mortises if m.joint == cut.joint), None)
            if own is None or joint is None:
                found += _pocket(counted(kind), cut)
            else:
                found += _pocket(f"{kind}_{joint.rpartition('_')[2]}", cut)
                found += _long_cheeks(joint, own, cut)
        elif isinstance(cut, Bore):
            found += _bore(counted(f"{joint}_{kind}" if joint else kind), cut)
        elif isinstance(cut, Slot):
            found += _slot(counted(kind), cut)
        elif isinstance(cut, Trench):
            found += _trench(counted(kind), cut)
    return tuple(found)


@dataclass(frozen=True, slots=True)
class _Surface:
    """A planar or cylindrical face: its normal or axis, a point on it, its corners."""

    face: Any
    direction: Vec
    point: Vec
    radius: float
    corners: tuple[Vec, ...]

    def is_on(self, wall: Wall) -> bool:
        """Whether this face is (a part of) a wall."""
        f = wall.frame
        if wall.axis is None:
            if not abs(self.radius - wall.radius) <= TOLERANCE:
                return False
            if abs(dot(self.direction, f.z)) < 1.0 - 1e-9:
                return False
            x, y, _ = f.local_point(self.point)
            if not (abs(x - wall.centre[0]) <= TOLERANCE and abs(y - wall.centre[1]) <= TOLERANCE):
                return False
        else:
            normal = (f.x, f.y, f.z)[wall.axis]
            if self.radius or abs(dot(self.direction, normal)) < 1.0 - 1e-9:
                return False
            away = dot(sub(self.point, f.origin), normal) - wall.low[wall.axis]
            if not abs(away) <= TOLERANCE:
                return False
        return wall.holds(self.corners)

    def order(self) -> Vec:
        """Where it lies: the middle of its corners."""
        n = len(self.corners) or 1
        x, y, z = (sum(c[i] for c in self.corners) / n for i in range(3))
        return (snap(round(x, 6)), snap(round(y, 6)), snap(round(z, 6)))


def _surfaces(solid: cq.Solid) -> list[_Surface]:
    """All planar and cylindrical faces."""
    from OCP.BRep import BRep_Tool
    from OCP.BRepAdaptor import BRepAdaptor_Surface
    from OCP.GeomAbs import GeomAbs_Cylinder, GeomAbs_Plane
    from OCP.TopAbs import TopAbs_FACE, TopAbs_VERTEX
    from OCP.TopExp import TopExp
    from OCP.TopoDS import TopoDS
    from OCP.TopTools import TopTools_IndexedMapOfShape

    faces = TopTools_IndexedMapOfShape()
    TopExp.MapShapes_s(solid.wrapped, TopAbs_FACE, faces)
    found = []
    for i in range(1, faces.Extent() + 1):
        face = TopoDS.Face_s(faces.FindKey(i))
        surface = BRepAdaptor_Surface(face, False)
        kind = surface.GetType()
        if kind == GeomAbs_Plane:
            axis, radius = surface.Plane().Axis(), 0.0
        elif kind == GeomAbs_Cylinder:
            cylinder = surface.Cylinder()
            axis, radius = cylinder.Axis(), cylinder.Radius()
        else:
            continue
        vertices = TopTools_IndexedMapOfShape()
        TopExp.MapShapes_s(face, TopAbs_VERTEX, vertices)
        corners = []
        for k in range(1, vertices.Extent() + 1):
            p = BRep_Tool.Pnt_s(TopoDS.Vertex_s(vertices.FindKey(k)))
            corners.append((p.X(), p.Y(), p.Z()))
        d, p = axis.Direction(), axis.Location()
        found.append(
            _Surface(face, (d.X(), d.Y(), d.Z()), (p.X(), p.Y(), p.Z()), radius, tuple(corners))
        )
    return found


def named_faces(solid: cq.Solid, member: Member, cuts: Sequence[Cut]) -> dict[str, Any]:
    """The kernel's faces (``TopoDS_Face``) of a member's solid by name.

    Args:
        solid: in the member's own coordinates.
        member: the piece.
        cuts: all its cuts.
    """
    by_wall: dict[str, list[_Surface]] = {}
    named = walls(member, cuts)
    if not named:
        return {}
    for surface in _surfaces(solid):
        wall = next((w for w in named if surface.is_on(w)), None)
        if wall is not None:
            by_wall.setdefault(wall.name, []).append(surface)
    found: dict[str, Any] = {}
    for name in sorted(by_wall):
        for n, surface in enumerate(sorted(by_wall[name], key=_Surface.order), start=1):
            found[name if n == 1 else f"{name}_PART_{n}"] = surface.face
    return found


__all__ = ["TOLERANCE", "Wall", "named_faces", "walls"]
