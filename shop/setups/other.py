"""Cuts without a set-up in figures, and what hands do: made to the lines, with gauge settings."""

from __future__ import annotations

from collections.abc import Iterator

from treenail.checks.making_aslant import ASLANT
from treenail.joints.angled_cuts import FLUSH, EndBevel
from treenail.joints.cuts import Bore, Cut, FootChamfer, Mortise, Slot, TenonEnd
from treenail.joints.shaped_cuts import ConeSocket
from treenail.shop.setups.aslant import aslant_gauges, lean_settings
from treenail.shop.setups.lay import distance_from, is_square, reference_beside
from treenail.shop.setups.model import CutAt, Option, Setting, Task
from treenail.shop.setups.work import Job, Work, tilt
from treenail.timber.frames import snap
from treenail.timber.member import Face

__all__ = ["hand_tasks", "line_tasks"]


def line_tasks(work: Work, machine: str) -> list[Task]:
    """What a machine cuts to the lines of the template, and mortises that it only bores."""
    jobs = (j for j in work.made_by(machine) if not j.in_figures or _bored_first(j, machine))
    return [_to_lines(job) for job in jobs]


def _several(purpose: str) -> str:
    if purpose == FLUSH:
        return "ends to be cut flush"
    return f"{purpose}es" if purpose.endswith("ch") else f"{purpose}s"


def _bored_first(job: Job, machine: str) -> bool:
    return machine == "drill_press" and isinstance(job.cut, Mortise)


def hand_tasks(work: Work) -> list[Task]:
    """What is cut by hand, and what hands finish after a machine."""
    found = [_by_hand(j) for j in work.made_by("hand")]
    for job in work.jobs:
        made = job.verdict.made
        if made is not None and made.by_hand:
            found.append(_finish(job, made.by_hand))
    return found


def _reamed(cut: ConeSocket) -> list[Setting]:
    """What the bit makes way for, and how far the reamer goes."""
    return [
        Setting(
            name="bore", value=snap(min(cut.mouth, cut.bottom)), measured_from="diameter, at most"
        ),
        Setting(
            name="ream to",
            value=snap(cut.mouth),
            measured_from="across the socket at the face, square to the lean",
        ),
    ]


def _to_lines(job: Job) -> Task:
    made = job.verdict.made
    assert made is not None
    cut = job.cut
    depth = getattr(cut, "depth", None)
    settings = [Setting(name="tool", text=made.tool), *(tilt(cut) if is_square(cut) else ())]
    if isinstance(cut, ConeSocket):
        settings += [*lean_settings(cut, job.member), *_reamed(cut)]
    if isinstance(cut, ASLANT):
        settings += aslant_gauges(cut, job.member)
    if isinstance(depth, float) and not isinstance(cut, ASLANT):
        settings.append(
            Setting(name="depth", value=snap(depth), measured_from="upper face of the piece")
        )
    stop, stop_from = None, ""
    if not cut.face.is_end:
        reference = reference_beside(cut.face)
        settings.append(
            Setting(
                name="fence",
                value=snap(distance_from(job.member, cut, reference)),
                measured_from=f"the {reference} to the middle of the cut",
            )
        )
        stop, stop_from = snap(cut.frame.origin[0]), "near end to the middle of the cut"
    return Task(
        options=(
            Option(
                settings=tuple(settings),
                cut=_at(job, made.passes),
                stop=stop,
                stop_from=stop_from,
                marks=tuple(_sizes(cut)),
            ),
        ),
        work=f"{_several(cut.purpose)}, to the lines",
        stage=2 if isinstance(cut, EndBevel) else 1,  # after the cut to length
        test_cut="A first cut in scrap, inside the lines of the template; then creep up on them.",
        remarks=("Marked out from the face side and face edge with this face's template.",),
    )


def _sizes(cut: Cut) -> Iterator[tuple[str, float]]:
    for name in ("length", "width", "diameter"):
        value = getattr(cut, name, None)
        if isinstance(value, float):
            yield (name, snap(value))


def _at(job: Job, passes: int = 1) -> CutAt:
    return CutAt(
        member=job.member.name,
        joint=job.cut.joint,
        purpose=job.cut.purpose,
        face=str(job.cut.face),
        how=f"{job.cut.face} up",
        passes=passes,
    )


def _gauges(job: Job) -> list[Setting]:
    """Marking gauge settings for a cut made by hand, from the reference faces."""
    cut, member = job.cut, job.member
    if isinstance(cut, ASLANT):
        return aslant_gauges(cut, member)
    if isinstance(cut, TenonEnd):
        near = cut.face is Face.NEAR_END
        low, high = (
            (cut.y0, cut.y1) if near else (member.thickness - cut.y1, member.thickness - cut.y0)
        )
        return [
            Setting(name="gauge, first cheek", value=snap(low), measured_from="the face side"),
            Setting(name="gauge, second cheek", value=snap(high), measured_from="the face side"),
            Setting(name="gauge, first edge", value=snap(cut.x0), measured_from="the face edge"),
            Setting(name="gauge, second edge", value=snap(cut.x1), measured_from="the face edge"),
            Setting(name="shoulder line", value=snap(cut.length), measured_from="the tenon's end"),
        ]
    if isinstance(cut, Mortise | Slot) and not cut.face.is_end:
        reference = reference_beside(cut.face)
        middle, half = distance_from(member, cut, reference), cut.width / 2
        return [
            Setting(
                name="gauge, near wall", value=snap(middle - half), measured_from=f"the {reference}"
            ),
            Setting(
                name="gauge, far wall", value=snap(middle + half), measured_from=f"the {reference}"
            ),
            Setting(name="depth", value=snap(cut.depth), measured_from="the mortised face"),
        ]
    if isinstance(cut, FootChamfer):
        return [Setting(name="chamfer", value=cut.leg, measured_from="the end, and each side")]
    depth = getattr(cut, "depth", None)
    if isinstance(depth, float):
        through = getattr(cut, "through", False)
        return [
            Setting(
                name="depth",
                value=None if through else snap(depth),
                text="through" if through else "",
                measured_from="the face where it enters",
            )
        ]
    return []


def _by_hand(job: Job) -> Task:
    made = job.verdict.made
    assert made is not None
    cut = job.cut
    marks: tuple[tuple[str, float], ...] = ()
    stop, stop_from = None, ""
    if not cut.face.is_end:
        stop, stop_from = snap(cut.frame.origin[0]), "near end to the middle of the cut"
    if isinstance(cut, Bore) and not cut.face.is_end:
        reference = reference_beside(cut.face)
        marks = ((f"{reference} to the centre", snap(distance_from(job.member, cut, reference))),)
    return Task(
        options=(
            Option(
                settings=(Setting(name="tool", text=made.tool), *_gauges(job)),
                cut=_at(job),
                stop=stop,
                stop_from=stop_from,
                marks=marks or tuple(_sizes(cut)),
            ),
        ),
        work=_several(cut.purpose),
        stage=3 if isinstance(cut, FootChamfer) or cut.purpose == FLUSH else 1,
        test_cut="One joint to the end before the others; then the gauge's settings hold for all.",
        steps=("Scribe every piece at one setting of the gauge before it is changed.",),
    )


def _finish(job: Job, what: str) -> Task:
    return Task(
        options=(Option(settings=(Setting(name="work", text=what),), cut=_at(job)),),
        work=f"{_several(job.cut.purpose)}: {what}",
        stage=2,
    )
