"""Joints on a CadQuery workplane: methods of ``cq.Workplane``, and factories for ``invoke``.

    >>> import cadquery as cq
    >>> import treenail  # attaches the methods
    >>> post = cq.Workplane().box(76, 76, 800).faces(">X").workplane().mortise(50, "1/2 in", 50)

    >>> from treenail.workplane import mortise  # the same, for type checkers
    >>> post = cq.Workplane().box(76, 76, 800).faces(">X").workplane()
    >>> post = post.invoke(mortise(50, "1/2 in", 50))

The kinds of tenon, laps, housings, joints along edges and bolts are there likewise; most have two
parts (``part="receiver"`` or ``"entering"``), made with the same sizes. What leaves the solid is
what the joint itself says, as in a bench. A piece that leans takes an ``angledTenon`` and a
``bevelledEnd``, on workplanes square to their own pieces. Treenails go through two pieces bored
together: a ``pegHole`` in each.

All work as CadQuery's own ``hole`` does: at each point on the stack, into the solid against
the workplane's z, from the workplane on. A mortise's length and a tenon's width lie along the
workplane's x, a mortise's width and a tenon's thickness along its y; turn the workplane
(``transformed(rotate=(0, 0, 90))``) to turn the joint. Where flat faces are on the stack, the
workplane goes to them by itself.

Lengths are mm, or text with its unit (``"1 9/16 in"``). ``combine=False`` leaves the tools on
the stack and the solid uncut; ``clean`` is CadQuery's own.

A size that no joint can have is a :class:`~treenail.timber.errors.SpecError`, raised at once;
one that doesn't go with the solid is a :class:`~treenail.timber.errors.GeometryError`, raised
when it is cut.
"""

from __future__ import annotations

import inspect
from collections.abc import Callable, Mapping, Sequence
from types import MappingProxyType
from typing import TYPE_CHECKING, Concatenate, Literal, ParamSpec, TypeAlias

from treenail.joints.corners import CORNERS, CornerKind, Corners, largest_cutter
from treenail.joints.tenon_variants.make import CUTTER
from treenail.registration import register, unregister
from treenail.timber.errors import SpecError
from treenail.timber.lengths import LengthValue
from treenail.workplane_aslant import angledTenon, bevelledEnd, skewNotch
from treenail.workplane_boards import endBoard, panelGroove
from treenail.workplane_bolts import knockDownBolt, lagBolt
from treenail.workplane_cuts import Combine, Haunch, MortiseCut, TenonCut
from treenail.workplane_let_in import (
    halfLap,
    housing,
    looseSpline,
    notch,
    rebate,
    slidingDovetail,
    tongueGroove,
)
from treenail.workplane_pegs import drawbore, pegHole
from treenail.workplane_shaped_tenons import (
    mitredTenon,
    notchedTenon,
    slabTenons,
    tuskTenon,
    wedgedTenon,
)
from treenail.workplane_tenons import (
    bareFacedTenon,
    doubleTenons,
    haunchedTenon,
    roundTenon,
    twinTenons,
)
from treenail.workplane_values import combining, fit_of, one_of, size

if TYPE_CHECKING:
    import cadquery as cq

    from treenail.joints.fits import Fit

    Joinery: TypeAlias = Callable[[cq.Workplane], cq.Workplane]

__all__ = [
    "METHODS",
    "angledTenon",
    "bareFacedTenon",
    "bevelledEnd",
    "doubleTenons",
    "drawbore",
    "endBoard",
    "halfLap",
    "haunchedTenon",
    "housing",
    "knockDownBolt",
    "lagBolt",
    "looseSpline",
    "mitredTenon",
    "mortise",
    "notch",
    "notchedTenon",
    "panelGroove",
    "pegHole",
    "rebate",
    "register",
    "roundTenon",
    "skewNotch",
    "slabTenons",
    "slidingDovetail",
    "tenon",
    "tongueGroove",
    "tuskTenon",
    "twinTenons",
    "unregister",
    "wedgedTenon",
]

ShoulderWidths: TypeAlias = LengthValue | Sequence[LengthValue]

_P = ParamSpec("_P")


def mortise(
    length: LengthValue,
    width: LengthValue,
    depth: LengthValue | None = None,
    *,
    fit: str | Fit | None = None,
    haunch: LengthValue | None = None,
    haunchWidth: LengthValue | None = None,
    haunchSide: Literal["+x", "-x"] = "+x",
    corners: CornerKind = "square",
    cutter: LengthValue = CUTTER,
    combine: Combine = True,
    clean: bool = True,
) -> Joinery:
    """Cut a mortise at each point on the stack.

    Args:
        length: along the workplane's x.
        width: along the workplane's y.
        depth: from the workplane; None goes through the solid.
        fit: name of a fit (or a Fit). The sizes are then the tenon's, and the mortise is made
            larger by the fit's mid-limits: as a bench's joints are.
        haunch: length of the tenon's haunch, for which a shallower socket is cut beside.
        haunchWidth: the haunch's width from the tenon's edge; needed with ``haunch``.
        haunchSide: on which side of the tenon the haunch lies.
        corners: ``"square"``, ``"round"`` or ``"relieved"``; a haunch's socket stays square.
        cutter: diameter of the cutter that leaves the corners; of no account where square.
        combine: cut the solid; False leaves the tools on the stack.
        clean: call ``clean()`` on the outcome.

    Raises:
        SpecError: a size is not a length above 0, or there is no such fit.
    """
    where = "mortise"
    long = size(length, f"{where}.length")
    wide = size(width, f"{where}.width")
    deep = None if depth is None else size(depth, f"{where}.depth")
    named = None if fit is None else fit_of(fit, f"{where}.fit")
    cheek, edge, bottom = (
        (0.0, 0.0, 0.0) if named is None else (named.cheek.mid, named.edge.mid, named.bottom.mid)
    )
    stub = _haunch(where, haunch, haunchWidth, haunchSide)
    socket = None
    if stub is not None:
        if stub.width is None:
            raise SpecError(
                "the haunch's width is needed to cut its socket",
                field=f"{where}.haunchWidth",
                allowed="a length > 0 mm",
            )
        if deep is not None and stub.length >= deep:
            raise SpecError(
                f"the haunch of {stub.length:g} mm is not shorter than the tenon",
                field=f"{where}.haunch",
                allowed=f"less than {deep:g} mm",
            )
        far = long / 2 + stub.width + edge / 2
        socket = (
            (0.0, far, stub.length + bottom)
            if stub.side == "+x"
            else (-far, 0.0, stub.length + bottom)
        )
    one_of(corners, CORNERS, f"{where}.corners")
    across = size(cutter, f"{where}.cutter")
    narrow = min(long + edge, wide + cheek)
    if corners != "square" and across > largest_cutter(corners, narrow):
        raise SpecError(
            f"{corners} corners of a {across:g} mm cutter don't fit a mortise {narrow:g} mm wide",
            field=f"{where}.cutter",
            allowed=f"at most {largest_cutter(corners, narrow):g} mm",
        )
    return MortiseCut(
        length=long + edge,
        width=wide + cheek,
        corners=None if corners == "square" else Corners(corners, across / 2),
        depth=None if deep is None else deep + bottom,
        socket=socket,
        combine=combining(where, combine),
        clean=bool(clean),
    )


def tenon(
    length: LengthValue,
    *,
    width: LengthValue | None = None,
    thickness: LengthValue | None = None,
    shoulders: ShoulderWidths | None = None,
    haunch: LengthValue | None = None,
    haunchWidth: LengthValue | None = None,
    haunchSide: Literal["+x", "-x"] = "+x",
    combine: Combine = True,
    clean: bool = True,
) -> Joinery:
    """Cut the shoulders of a tenon at each point on the stack; the workplane lies on the end.

    All wood within ``length`` of the end goes, except the tenons: several points on one end
    make twin tenons. Other parts of the solid, which the end is not joined to within that
    length, are left alone.

    Args:
        length: from the end to the shoulders. The piece gets no longer: the tenon is cut out
            of it.
        width: along the workplane's x, centred on the point; None keeps the piece's own.
        thickness: along the workplane's y, likewise.
        shoulders: instead of a width and thickness, how wide the shoulders are: one number for
            all, two for those across x and y, or four for the -x, +x, -y and +y sides. 0
            leaves none on that side.
        haunch: how far a haunch stands out from one shoulder; None for no haunch.
        haunchWidth: its width from the tenon's edge; None fills the shoulder.
        haunchSide: in which shoulder it stands.
        combine: cut the solid; False leaves the waste on the stack.
        clean: call ``clean()`` on the outcome.

    Raises:
        SpecError: a size is not a length above 0, or both or neither of a size and shoulders
            are given.
    """
    where = "tenon"
    long = size(length, f"{where}.length")
    sized = width is not None or thickness is not None
    if sized == (shoulders is not None):
        raise SpecError(
            "a tenon takes either a size or shoulders",
            field=where,
            allowed="width, thickness or both; or shoulders",
        )
    stub = _haunch(where, haunch, haunchWidth, haunchSide)
    if stub is not None and stub.length >= long:
        raise SpecError(
            f"the haunch of {stub.length:g} mm is not shorter than the tenon",
            field=f"{where}.haunch",
            allowed=f"less than {long:g} mm",
        )
    return TenonCut(
        length=long,
        width=None if width is None else size(width, f"{where}.width"),
        thickness=None if thickness is None else size(thickness, f"{where}.thickness"),
        shoulders=None if shoulders is None else _shoulders(shoulders),
        haunch=stub,
        combine=combining(where, combine),
        clean=bool(clean),
    )


# -- the methods ---------------------------------------------------------------------------------


def _method(
    factory: Callable[_P, Joinery],
) -> Callable[Concatenate[cq.Workplane, _P], cq.Workplane]:
    """A method of Workplane that does what ``factory`` makes."""

    def method(self: cq.Workplane, /, *args: _P.args, **kwargs: _P.kwargs) -> cq.Workplane:
        return factory(*args, **kwargs)(self)

    method.__name__ = factory.__name__
    method.__qualname__ = f"Workplane.{factory.__name__}"
    method.__doc__ = factory.__doc__
    own = inspect.Parameter("self", inspect.Parameter.POSITIONAL_ONLY)
    whole = inspect.signature(factory)
    shown = whole.replace(
        parameters=[own, *whole.parameters.values()], return_annotation="cq.Workplane"
    )
    method.__signature__ = shown  # type: ignore[attr-defined]
    return method


_FACTORIES: tuple[Callable[..., Joinery], ...] = (
    mortise,
    tenon,
    pegHole,
    drawbore,
    twinTenons,
    doubleTenons,
    bareFacedTenon,
    haunchedTenon,
    wedgedTenon,
    tuskTenon,
    slabTenons,
    roundTenon,
    mitredTenon,
    notchedTenon,
    angledTenon,
    bevelledEnd,
    endBoard,
    halfLap,
    notch,
    skewNotch,
    housing,
    slidingDovetail,
    tongueGroove,
    rebate,
    panelGroove,
    looseSpline,
    knockDownBolt,
    lagBolt,
)
#: What :func:`register` attaches to ``cadquery.Workplane``, by name.
METHODS: Mapping[str, Callable[..., cq.Workplane]] = MappingProxyType(
    {f.__name__: _method(f) for f in _FACTORIES}
)


# -- what a person wrote ---------------------------------------------------------------------------


def _haunch(
    where: str, length: LengthValue | None, width: LengthValue | None, side: str
) -> Haunch | None:
    if length is None:
        if width is not None:
            raise SpecError(
                "a haunch's width without its length", field=f"{where}.haunch", allowed="both"
            )
        return None
    one_of(side, ("+x", "-x"), f"{where}.haunchSide")
    return Haunch(
        length=size(length, f"{where}.haunch"),
        width=None if width is None else size(width, f"{where}.haunchWidth"),
        side="-x" if side == "-x" else "+x",
    )


def _shoulders(value: ShoulderWidths) -> tuple[float, float, float, float]:
    """Widths on the -x, +x, -y and +y sides in mm."""
    field = "tenon.shoulders"
    given = [value] if isinstance(value, str) or not isinstance(value, Sequence) else list(value)
    widths = [size(w, field, zero=True) for w in given]
    match widths:
        case [a]:
            found = (a, a, a, a)
        case [x, y]:
            found = (x, x, y, y)
        case [x0, x1, y0, y1]:
            found = (x0, x1, y0, y1)
        case _:
            raise SpecError(
                f"{len(widths)} shoulders are given",
                field=field,
                allowed="1 (all), 2 (across x, across y) or 4 (-x, +x, -y, +y)",
            )
    if not any(found):
        raise SpecError(
            "no shoulder has a width", field=field, allowed="at least one width above 0 mm"
        )
    return found
