"""Kernel solids of stock and tools: what ``generators.solids`` puts together.

Speed decides the form: a tenoned end costs one prism for both cheeks, and what its edges lose
is left out of the stock's outline from the start, so that few tool faces cross each other.
``joints.cutters`` says the same in plain boxes, which closed forms and oracles use.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

import cadquery as cq
from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut
from OCP.BRepBuilderAPI import BRepBuilderAPI_Transform
from OCP.BRepPrimAPI import BRepPrimAPI_MakeBox, BRepPrimAPI_MakeCone, BRepPrimAPI_MakeCylinder
from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt, gp_Trsf
from OCP.TopTools import TopTools_ListOfShape

from treenail.generators.stepped import stepped_bores
from treenail.joints.corners import ROUND_BULGE, Vertex, pocket_outline
from treenail.joints.cuts import Bore, Cut, FootChamfer, MitredTip, Mortise, NotchedTip, TenonEnd
from treenail.joints.cutters import (
    RUN_OUT,
    BevelCutter,
    BoreCutter,
    BoxCutter,
    ConeCutter,
    Cutter,
    FilletCutter,
    PrismCutter,
    SlotCutter,
    TurnedCutter,
)
from treenail.joints.shaped_cuts import TaperedMortise
from treenail.timber.errors import KernelError
from treenail.timber.frames import Frame, Vec, along, dot, neg, snap, sub
from treenail.timber.member import Face

if TYPE_CHECKING:
    from treenail.generators.mirrored import Reflection
    from treenail.timber.member import Member

Point = tuple[float, float]


def _ax2(frame: Frame) -> gp_Ax2:
    return gp_Ax2(gp_Pnt(*frame.origin), gp_Dir(*frame.z), gp_Dir(*frame.x))


def location(frame: Frame) -> cq.Location:
    """The kernel's location for a frame."""
    return cq.Location(
        cq.Plane(origin=frame.origin, xDir=frame.x, normal=frame.z)  # exact: no angles
    )


def box(frame: Frame, size: Vec) -> cq.Solid:
    """Box from the frame's origin along its axes, mm."""
    return cq.Solid(BRepPrimAPI_MakeBox(_ax2(frame), *size).Solid())


def cylinder(frame: Frame, diameter: float, height: float) -> cq.Solid:
    """Cylinder about the frame's z from its origin, mm."""
    made = BRepPrimAPI_MakeCylinder(_ax2(frame), diameter / 2.0, height)
    return cq.Solid(made.Solid())


def cone(frame: Frame, start: float, end: float, height: float) -> cq.Solid:
    """Frustum about the frame's z from its origin, ``start`` to ``end`` in diameter, mm."""
    made = BRepPrimAPI_MakeCone(_ax2(frame), start / 2.0, end / 2.0, height)
    return cq.Solid(made.Solid())


def _around_cone(cutter: TurnedCutter) -> cq.Solid:
    """The end's zone, run out at its open sides, with a conical hole."""
    f, run = cutter.frame, RUN_OUT
    zone = box(
        f.shifted((-run, -run, -run)),
        (cutter.width + 2 * run, cutter.thickness + 2 * run, cutter.length + run),
    )
    tip, base, long = cutter.tip / 2.0, cutter.base / 2.0, cutter.length
    axis = f.shifted((*cutter.centre, 0.0))
    profile = [(-2 * run, 0.0), (-2 * run, tip), (0.0, tip), (long, base), (long, 0.0)]
    return single(zone.cut(revolve(axis, profile)), "the waste around a cone")


def prism(frame: Frame, points: Sequence[tuple[float, float]], depth: float) -> cq.Solid:
    """Polygon in the frame's xy, swept along its z by ``depth`` mm."""
    corners = [cq.Vector(*frame.point((x, y, 0.0))) for x, y in points]
    wire = cq.Wire.makePolygon(corners, close=True)
    return cq.Solid.extrudeLinear(wire, [], cq.Vector(*frame.z) * depth)


def bulged(frame: Frame, outline: Sequence[Vertex], depth: float) -> cq.Solid:
    """Closed outline of (x, y, bulge) in the frame's xy, swept along its z by ``depth`` mm."""

    def at(x: float, y: float) -> cq.Vector:
        return cq.Vector(*frame.point((x, y, 0.0)))

    edges = []
    for (x0, y0, bulge), (x1, y1, _) in zip(outline, (*outline[1:], outline[0]), strict=True):
        a, b = at(x0, y0), at(x1, y1)
        if bulge == 0.0:
            edges.append(cq.Edge.makeLine(a, b))
        else:
            # The bulge is the arc's height over half of its chord, to the right of the way.
            half_x, half_y = (x1 - x0) / 2.0, (y1 - y0) / 2.0
            middle = at(x0 + half_x + bulge * half_y, y0 + half_y - bulge * half_x)
            edges.append(cq.Edge.makeThreePointArc(a, middle, b))
    return cq.Solid.extrudeLinear(cq.Wire.assembleEdges(edges), [], cq.Vector(*frame.z) * depth)


def _fillet(cutter: FilletCutter) -> cq.Solid:
    """The waste of a rounded edge, run out into the air beside the edge."""
    r, out = cutter.radius, -RUN_OUT / 2.0
    outline = ((out, out, 0.0), (r, out, 0.0), (r, 0.0, -ROUND_BULGE), (0.0, r, 0.0), (out, r, 0.0))
    return bulged(cutter.frame, outline, cutter.depth)


def slot(frame: Frame, centres: float, width: float, depth: float) -> cq.Solid:
    """Round-ended slot along the frame's x, swept along its z, mm."""
    c, r = centres / 2.0, width / 2.0

    def at(x: float, y: float) -> cq.Vector:
        return cq.Vector(*frame.point((x, y, 0.0)))

    wire = cq.Wire.assembleEdges(
        [
            cq.Edge.makeLine(at(-c, -r), at(c, -r)),
            cq.Edge.makeThreePointArc(at(c, -r), at(c + r, 0.0), at(c, r)),
            cq.Edge.makeLine(at(c, r), at(-c, r)),
            cq.Edge.makeThreePointArc(at(-c, r), at(-c - r, 0.0), at(-c, -r)),
        ]
    )
    return cq.Solid.extrudeLinear(wire, [], cq.Vector(*frame.z) * depth)


def cutter_solids(cutter: Cutter) -> list[cq.Solid]:
    """Kernel solids of a cutter, in the member's coordinates."""
    match cutter:
        case BoxCutter():
            return [box(cutter.frame, cutter.size)]
        case BoreCutter():
            return [cylinder(cutter.frame, cutter.diameter, cutter.depth)]
        case SlotCutter():
            return [slot(cutter.frame, cutter.centres, cutter.width, cutter.depth)]
        case PrismCutter():
            return [prism(cutter.frame, cutter.points, cutter.depth)]
        case BevelCutter():
            return _bevel(cutter)
        case ConeCutter():
            return [cone(cutter.frame, cutter.start, cutter.end, cutter.depth)]
        case TurnedCutter():
            return [_around_cone(cutter)]
        case FilletCutter():
            return [_fillet(cutter)]


def _bevel(cutter: BevelCutter) -> list[cq.Solid]:
    """Four triangular prisms, one along each arris."""
    f, leg, over = cutter.frame, cutter.leg, 2.0
    corner_x, corner_y = f.shifted((cutter.width, 0.0, 0.0)), f.shifted((0.0, cutter.thickness, 0))
    # (start, direction into the piece across the end, length of the arris)
    arrises = (
        (f.origin, f.x, cutter.thickness, f.y),
        (corner_x.origin, neg(f.x), cutter.thickness, f.y),
        (f.origin, f.y, cutter.width, f.x),
        (corner_y.origin, neg(f.y), cutter.width, f.x),
    )
    found = []
    for start, into, run, sweep in arrises:
        base = along(start, sweep, -over)
        corners = [
            cq.Vector(*along(along(base, into, a), f.z, b))
            for a, b in ((-over, -over), (leg + over, -over), (-over, leg + over))
        ]
        wire = cq.Wire.makePolygon(corners, close=True)
        found.append(cq.Solid.extrudeLinear(wire, [], cq.Vector(*sweep) * (run + 2 * over)))
    return found


def cut_away(stock: cq.Solid, tools: Sequence[cq.Solid]) -> cq.Shape:
    """All tools in a single boolean, without the records of what became of which face."""
    operation = BRepAlgoAPI_Cut()
    arguments, cutters = TopTools_ListOfShape(), TopTools_ListOfShape()
    arguments.Append(stock.wrapped)
    for tool in tools:
        cutters.Append(tool.wrapped)
    operation.SetArguments(arguments)
    operation.SetTools(cutters)
    operation.SetRunParallel(True)
    operation.SetToFillHistory(False)
    operation.SetCheckInverted(False)  # our own tools are never inside out
    operation.Build()
    return cq.Shape.cast(operation.Shape())


def reflected(solid: cq.Solid, member: Member, how: Reflection) -> cq.Solid:
    """A member's solid mirrored at a middle plane, or across the plane y = z."""
    length, width, thickness = member.size
    normal, at = {
        "x": ((1.0, 0.0, 0.0), (length / 2, 0.0, 0.0)),
        "y": ((0.0, 1.0, 0.0), (0.0, width / 2, 0.0)),
        "z": ((0.0, 0.0, 1.0), (0.0, 0.0, thickness / 2)),
        "yz": ((0.0, 1.0, -1.0), (0.0, 0.0, 0.0)),
    }[how]
    trsf = gp_Trsf()
    trsf.SetMirror(gp_Ax2(gp_Pnt(*at), gp_Dir(*normal)))
    return single(
        cq.Shape.cast(BRepBuilderAPI_Transform(solid.wrapped, trsf, True).Shape()), member.name
    )


def single(shape: cq.Shape, name: str) -> cq.Solid:
    """The one solid that a shape must be; KernelError names the part where it is not."""
    solids = shape.Solids()
    if len(solids) != 1:
        raise KernelError(f"{name} falls into {len(solids)} pieces when all its cuts are made")
    return solids[0]


def revolve(frame: Frame, profile: Sequence[Point]) -> cq.Solid:
    """A half profile of (distance along z, radius) turned about the frame's z, mm.

    The profile starts and ends on the axis.
    """
    corners = [cq.Vector(*frame.point((r, 0.0, z))) for z, r in profile]
    wire = cq.Wire.makePolygon(corners, close=True)
    axis = cq.Vector(*frame.origin)
    return cq.Solid.revolve(wire, [], 360.0, axis, axis + cq.Vector(*frame.z))


def _tenon_outline(member: Member, ends: Iterable[TenonEnd]) -> list[Point]:
    """The member seen on its face side, (x, y): shoulders, haunches and notches taken off."""
    near: list[Point] = [(0.0, 0.0), (0.0, member.width)]
    far: list[Point] = [(member.length, member.width), (member.length, 0.0)]
    for end in ends:
        steps = _end_steps(member, end)  # (depth from the end, y), face edge to back edge
        if end.face is Face.NEAR_END:
            near = steps
        else:
            far = [(member.length - depth, y) for depth, y in reversed(steps)]
    return [*near, *far]


def _end_steps(member: Member, end: TenonEnd) -> list[Point]:
    """Corners of a tenoned end from the face edge to the back edge: (depth, y)."""
    first = _half(end.x0, end, Face.FACE_EDGE)
    second = _half(member.width - end.x1, end, Face.BACK_EDGE)
    low = [(depth, end.x0 - beside) for depth, beside in first]
    high = [(depth, end.x1 + beside) for depth, beside in second]
    return [*reversed(low), *high]


def _half(shoulder: float, end: TenonEnd, edge: Face) -> list[Point]:
    """One side of an end: (depth from the end, distance out from the tenon's edge).

    From the tenon's end outward to the member's edge; a negative distance lies in the tenon.
    """
    stub = end.haunch if end.haunch and end.haunch.edge is edge else None
    notch = end.tip if isinstance(end.tip, NotchedTip) and end.tip.edge is edge else None
    steps: list[Point] = [(0.0, -notch.width if notch else 0.0)]
    if notch:
        steps += [(notch.length, -notch.width), (notch.length, 0.0)]
    if shoulder <= 0.0:
        return steps
    if stub:
        out = min(stub.width, shoulder)
        top = end.length - stub.length
        steps += [(top, 0.0), (end.length if stub.sloped else top, out)]
        if out < shoulder:
            steps += [(end.length, out), (end.length, shoulder)]
    else:
        steps += [(end.length, 0.0), (end.length, shoulder)]
    return steps


def _cheek_tool(member: Member, end: TenonEnd) -> cq.Solid | None:
    """Everything beside both cheeks, and a mitred tip, as one U-shaped prism; None if nothing."""
    out, far = -RUN_OUT, member.thickness + RUN_OUT
    lead0 = lead1 = out / 2  # the U's bridge: beyond the end, in the air
    if isinstance(end.tip, MitredTip):
        tip = end.tip
        lead0, lead1 = (
            (tip.cut_back, tip.lead) if end.short_cheek_is_y0(tip) else (tip.lead, tip.cut_back)
        )
    has0, has1 = end.y0 > 0.0, end.y1 < member.thickness
    if not (has0 or has1 or isinstance(end.tip, MitredTip)):
        return None
    slope = (lead1 - lead0) / (end.y1 - end.y0)
    points: list[Point] = [(out, out - abs(slope) * RUN_OUT), (far, out - abs(slope) * RUN_OUT)]
    if has1:
        points += [(far, end.length), (end.y1, end.length), (end.y1, lead1)]
    else:
        points.append((far, lead1 + slope * (far - end.y1)))
    if has0:
        points += [(end.y0, lead0), (end.y0, end.length), (out, end.length)]
    else:
        points.append((out, lead0 - slope * (end.y0 - out)))
    start = end.frame.shifted((-RUN_OUT, 0.0, 0.0))
    axes = Frame(start.origin, start.y, start.z, start.x)
    return prism(axes, points, member.width + 2 * RUN_OUT)


def _joined(a: Mortise, b: Mortise) -> bool:
    """Whether two pockets of a joint are one stepped pocket: same face, width and middle."""
    return (
        type(a) is type(b) is Mortise
        and a.corners is b.corners is None
        and a.joint == b.joint
        and a.face is b.face
        and a.width == b.width
        and dot(a.frame.x, b.frame.x) > 1.0 - 1e-12
        and abs(dot(sub(a.frame.origin, b.frame.origin), a.frame.y)) < 1e-9
    )


def _stepped_pocket(deep: Mortise, shallow: Mortise) -> list[Point] | None:
    """Outline (along, depth) of a mortise with its haunch socket; None if not one L."""
    middle = dot(sub(shallow.frame.origin, deep.frame.origin), deep.frame.x)
    a0, a1 = -deep.length / 2, deep.length / 2
    b0, b1 = middle - shallow.length / 2, middle + shallow.length / 2
    top, low, step = -RUN_OUT, deep.depth, shallow.depth
    if deep.through:
        low += RUN_OUT
    if step >= low or b1 < a0 or b0 > a1:
        return None
    if b0 < a0 and b1 <= a1:
        return [(b0, top), (a1, top), (a1, low), (a0, low), (a0, step), (b0, step)]
    if b1 > a1 and b0 >= a0:
        return [(a0, top), (b1, top), (b1, step), (a1, step), (a1, low), (a0, low)]
    return None


def _mortise_tools(mortises: list[Mortise], member: Member) -> list[cq.Solid]:
    """Pockets; a haunch socket and its mortise are one tool."""
    tools: list[cq.Solid] = []
    left = list(mortises)
    while left:
        deep = left.pop(0)
        if isinstance(deep, TaperedMortise) and (whole := deep.whole()) is not None:
            tools.append(prism(whole.frame, whole.points, whole.depth))
            continue
        if deep.corners is not None and not isinstance(deep, TaperedMortise):
            run = RUN_OUT + (RUN_OUT if deep.through else 0.0)
            start = deep.frame.shifted((0.0, 0.0, -RUN_OUT))
            outline = pocket_outline(deep.length, deep.width, deep.corners)
            tools.append(bulged(start, outline, deep.depth + run))
            continue
        partner = next((m for m in left if _joined(deep, m)), None)
        stepped = _stepped_pocket(deep, partner) if partner else None
        if partner and stepped:
            left.remove(partner)
            start = deep.frame.shifted((0.0, deep.width / 2, 0.0))
            axes = Frame(start.origin, start.x, start.z, neg(start.y))
            tools.append(prism(axes, stepped, deep.width))
        else:
            tools += [s for c in deep.cutters(member) for s in cutter_solids(c)]
    return tools


def stock_and_tools(member: Member, cuts: Sequence[Cut]) -> tuple[cq.Solid, list[cq.Solid]]:
    """A member's stock, outlined as far as its tenons allow, and the tools that finish it."""
    if member.round_section:
        tools = [s for cut in cuts for c in cut.cutters(member) for s in cutter_solids(c)]
        return stock_solid(member), tools
    ends = [c for c in cuts if isinstance(c, TenonEnd)]
    one_each = len({e.face for e in ends}) == len(ends)
    if not one_each or any(not _is_plain(member, e) for e in ends):
        ends = []
    bevels = [c for c in cuts if isinstance(c, FootChamfer)]
    if len(bevels) > 1 or ends or any(2 * b.leg >= min(member.size) for b in bevels):
        bevels = []
    if ends:
        stock = prism(Frame(), _tenon_outline(member, ends), member.thickness)
    else:
        stock = stock_solid(member)
    for bevel in bevels:
        stock = _bevelled(stock, member, bevel)
    tools = [t for e in ends if (t := _cheek_tool(member, e)) is not None]
    tools += [_fillet(f) for e in ends for f in e.fillets(member)]
    tools += _mortise_tools([c for c in cuts if isinstance(c, Mortise)], member)
    turned, rest = stepped_bores(cuts)
    tools += [revolve(frame, profile) for frame, profile in turned]
    for cut in rest:
        if cut in ends or cut in bevels or isinstance(cut, Mortise):
            continue
        short = _through_tenon(member, cut, ends)
        tools += [short] if short else [s for c in cut.cutters(member) for s in cutter_solids(c)]
    return stock, tools


def _through_tenon(member: Member, cut: Cut, ends: Sequence[TenonEnd]) -> cq.Solid | None:
    """A hole through a tenon's cheeks, no longer than it needs; None for any other cut.

    Beside the cheeks all wood goes anyway, and a longer tool would only cross that tool.
    """
    if not (isinstance(cut, Bore) and cut.through and abs(cut.frame.z[2]) == 1.0):
        return None
    x, radius = cut.frame.origin[0], cut.diameter / 2.0
    for end in ends:
        depth = x if end.face is Face.NEAR_END else member.length - x
        if radius <= depth <= end.length - radius:
            near = end.face is Face.NEAR_END
            low = end.y0 if near else member.thickness - end.y1
            start = (x, cut.frame.origin[1], low - RUN_OUT / 2)
            return cylinder(Frame(start), cut.diameter, end.y1 - end.y0 + RUN_OUT)
    return None


def _is_plain(member: Member, end: TenonEnd) -> bool:
    """Whether an end's outline is a simple one: tip, haunch and shoulders don't run together."""
    if type(end) is not TenonEnd:
        return False
    back = 0.0
    if isinstance(end.tip, NotchedTip):
        back = end.tip.length
        if end.tip.width >= end.x1 - end.x0:
            return False
    elif isinstance(end.tip, MitredTip):
        back = max(end.tip.cut_back, end.tip.lead)
    top = end.length - (end.haunch.length if end.haunch else 0.0)
    return back < top and 2 * end.length < member.length and top > 0.0


def _bevelled(stock: cq.Solid, member: Member, bevel: FootChamfer) -> cq.Solid:
    """The stock with the arrises of one end taken off."""
    at = 0.0 if bevel.face is Face.NEAR_END else member.length
    edges = [e for e in stock.Edges() if abs(e.Center().x - at) < 1e-9]
    return single(stock.chamfer(bevel.leg, None, edges), member.name)


def stock_solid(member: Member) -> cq.Solid:
    """The member before any cut, in its own coordinates; a peg lies along x, centred on it."""
    if not member.round_section:
        return box(Frame(), member.size)
    axis = Frame((0.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0), (1.0, 0.0, 0.0))
    if member.tip_length == 0.0:
        return cylinder(axis, member.width, member.length)
    r, tip = member.width / 2.0, member.tip_diameter / 2.0
    straight = snap(member.length - member.tip_length)
    profile: list[Point] = [(0.0, 0.0), (0.0, r), (straight, r), (member.length, tip)]
    if straight == 0.0:
        del profile[2]
    if tip > 0.0:
        profile.append((member.length, 0.0))
    return revolve(axis, profile)
