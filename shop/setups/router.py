"""The router in a jig or on a CNC table: cutter, guide, depth, and where."""

from __future__ import annotations

from treenail.checks.making import MEET
from treenail.checks.shop_machines import INCH
from treenail.joints.cuts import Bore, FootChamfer, Mortise, Slot, TenonEnd
from treenail.shop.setups.lay import across, distance_from, reference_beside
from treenail.shop.setups.model import CutAt, Option, Setting, Task, fine
from treenail.shop.setups.work import Job, Work, tilt
from treenail.timber.frames import snap
from treenail.timber.member import Face

__all__ = ["CAUTIONS", "tasks"]

_SAME = 1e-6
#: Depth of one pass as a share of the cutter's diameter (our own choice).
BITE = 0.5
#: A dimension under this is no cut, mm.
_NOTHING = 1e-6

CAUTIONS = ("At least three quarters of a cutter's shank in the collet.",)


def tasks(work: Work) -> list[Task]:
    """Everything the router cuts."""
    found: list[Task] = []
    for job in work.by("router"):
        cut = job.cut
        if isinstance(cut, TenonEnd):
            found += _tenon(work, job, cut)
        elif isinstance(cut, Mortise | Slot | Bore):
            found += _pocket(work, job, cut)
        elif isinstance(cut, FootChamfer):
            found.append(_chamfer(job, cut))
    return found


def _cutter(work: Work, narrow: float, *, over: float = 0.0) -> float:
    return max(c for c in work.machines.router.cutters if c <= narrow + over + _SAME)


def _pocket(work: Work, job: Job, cut: Mortise | Slot | Bore) -> list[Task]:
    if isinstance(cut, Bore):
        length = width = cut.diameter
    elif isinstance(cut, Slot):
        length, width = cut.centres + cut.width, cut.width
    else:
        length, width = cut.length, cut.width
    # A bolt's slot may come out a little wide; all else is cut to its line.
    over = 1.0 if cut.purpose == "bolt slot" else 2.5 if cut.purpose == "counterbore" else 0.0
    narrow = min(length, width)
    if _leaves_corners(work, cut):
        narrow = min(narrow, _corner_cutter(cut))
    cutter = _cutter(work, narrow, over=over if isinstance(cut, Slot) else 0.0)
    reach = work.machines.router.reach
    two_sided = cut.through and cut.depth > reach + _SAME
    faces = (cut.face, cut.face.opposite) if two_sided else (cut.face,)
    depth = cut.depth / 2 + MEET / 2 if two_sided else cut.depth
    along, wide = (width, length) if across(cut) else (length, width)
    reference = reference_beside(cut.face)
    found = []
    for up in faces:
        if cut.face.is_end:
            guide = Setting(name="guide", text="to the lines on the end")
            marks: tuple[tuple[str, float], ...] = ()
            stop = None
        else:
            at = distance_from(job.member, cut, reference)
            guide = Setting(
                name="guide",
                value=snap(at),
                text=str(reference),
                measured_from="the guide's face to the middle of the cutter: the cut's centre "
                "line from that face of the piece",
            )
            stop = snap(cut.frame.origin[0] - along / 2)
            marks = (
                ("cut from", stop),
                ("to", snap(stop + along)),
                ("across, from", snap(at - wide / 2)),
                ("across, to", snap(at + wide / 2)),
            )
        option = Option(
            settings=(
                Setting(name="cutter", value=cutter, measured_from="diameter"),
                *tilt(cut),
                guide,
                Setting(name="depth", value=snap(depth), measured_from="upper face of the piece"),
            ),
            cut=CutAt(
                member=job.member.name,
                joint=cut.joint,
                purpose=cut.purpose,
                face=str(up),
                how=f"{up} up" + ("" if cut.face.is_end else f", guide on the {reference}"),
            ),
            stop=stop,
            stop_from="near end to the end of the cut" if stop is not None else "",
            marks=marks,
            order=_order(work, depth, cutter),
        )
        found.append(
            Task(
                options=(option,),
                work=f"{cut.purpose}s",
                stage=0 if cut.purpose == "counterbore" else 1,
                test_cut="In a scrap of the same section: width, depth and distance from the "
                "guided face with a caliper, then the parts.",
                steps=_pocket_steps(work, cut),
                remarks=(
                    ("From both faces, the same face to the guide: they meet in the middle.",)
                    if two_sided
                    else ()
                ),
            )
        )
    return found


def _corner_cutter(cut: Mortise | Slot | Bore) -> float:
    """Diameter of the cutter for which a mortise's corners are drawn, mm; 0 for square ones."""
    corners = cut.corners if isinstance(cut, Mortise) else None
    return 2.0 * corners.radius if corners else 0.0


def _leaves_corners(work: Work, cut: Mortise | Slot | Bore) -> bool:
    """Whether a cutter on hand leaves the corners as they are drawn."""
    return any(c <= _corner_cutter(cut) + _SAME for c in work.machines.router.cutters)


def _pocket_steps(work: Work, cut: Mortise | Slot | Bore) -> tuple[str, ...]:
    steps = []
    if work.machines.router.cnc:
        steps.append(
            "On the table: zero at near end and face edge (or face side) of the face that is up; "
            "outlines are in the DXF of that face."
        )
    if isinstance(cut, Mortise):
        corners = (
            "corners are squared by hand, or the tenon's edges rounded"
            if cut.corners is None or not _leaves_corners(work, cut)
            else "the corners stay as the cutter leaves them"
            if cut.corners.kind == "round"
            else "then dip at each corner beyond both walls, as drawn"
        )
        steps.append(
            f"Both ends of the cut to depth first, then to and fro between them; {corners}."
        )
    return tuple(steps)


def _order(work: Work, depth: float, cutter: float) -> str:
    bite = cutter * BITE
    count = max(1, -int(-(depth / bite - 1e-9) // 1))
    return f"{count} passes of at most {work.say(bite)}" if count > 1 else ""


def _tenon(work: Work, job: Job, cut: TenonEnd) -> list[Task]:
    """Cheeks and edge shoulders, the piece lying flat, the cutter guided along the shoulder."""
    member = job.member
    near = cut.face is Face.NEAR_END
    low, high = cut.y0, member.thickness - cut.y1
    sides = (
        (Face.FACE_SIDE, low if near else high, "cheek"),
        (Face.BACK_SIDE, high if near else low, "cheek"),
        (Face.FACE_EDGE, cut.x0, "edge shoulder"),
        (Face.BACK_EDGE, member.width - cut.x1, "edge shoulder"),
    )
    cutter = max(work.machines.router.cutters)
    small = fine(work.bench.units)
    found = []
    for face, depth, what in sides:
        if depth <= _NOTHING:
            continue
        stub = cut.haunch.length if cut.haunch and cut.haunch.edge is face else 0.0
        option = Option(
            settings=(
                Setting(name="cutter", value=cutter, measured_from="diameter"),
                Setting(
                    name="guide",
                    value=snap(cut.length - stub),
                    measured_from="the end to the side of the cut away from it: the shoulder",
                ),
                Setting(name="depth", value=snap(depth), measured_from="upper face of the piece"),
            ),
            cut=CutAt(
                member=member.name,
                joint=cut.joint,
                purpose=what,
                face=str(face),
                how=f"{face} up, {cut.face} toward the guide",
                passes=max(1, -int(-((cut.length - stub) / cutter - 1e-9) // 1)),
            ),
            order=_order(work, depth, cutter),
        )
        found.append(
            Task(
                options=(option,),
                work=f"{what}s",
                test_cut=f"Start {work.say(INCH / 64)} shallow on a scrap, try both cheeks in the "
                f"real mortise, go deeper by half of what is too much; the tenon as drawn is "
                f"{small(cut.y1 - cut.y0)} thick.",
                steps=("All pieces and both ends before the depth is touched.",),
                remarks=(("Square the haunch's corner with a chisel.",) if stub else ()),
            )
        )
    return found


def _chamfer(job: Job, cut: FootChamfer) -> Task:
    return Task(
        options=(
            Option(
                settings=(
                    Setting(name="cutter", text="chamfer, 45 degrees, with a bearing"),
                    Setting(name="depth", value=cut.leg, measured_from="the end, along the sides"),
                ),
                cut=CutAt(
                    member=job.member.name,
                    joint=cut.joint,
                    purpose=cut.purpose,
                    face=str(cut.face),
                    how=f"{cut.face} toward the cutter",
                ),
            ),
        ),
        work=f"{cut.purpose}s",
        stage=3,
        remarks=("Across the grain first, with a scrap behind the last corner.",),
    )
