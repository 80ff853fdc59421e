"""The table saw with one blade: pieces to width and length, and tenons held upright."""

from __future__ import annotations

from treenail.checks.shop_machines import INCH
from treenail.joints.cuts import TenonEnd
from treenail.shop.setups.model import CutAt, Option, Setting, Task, fine
from treenail.shop.setups.work import Job, Work
from treenail.timber.frames import snap
from treenail.timber.member import Face, Member

__all__ = ["CAUTIONS", "left_for_others", "stop_reading", "tasks"]

_SAME = 1e-6
#: Blade over the piece when it cuts through, mm (our own choice: about a gullet).
OVER = INCH / 4

CAUTIONS = (
    (
        "Never crosscut with the end against the fence: the offcut jams. A stop block clamped "
        "ahead of the blade lets the piece leave it before the cut."
    ),
    "Tenons upright only in a jig that clamps the piece and runs on the fence.",
)


def stop_reading(length: float, kerf: float) -> float:
    """The fence's reading, its scale zeroed for this blade, for a shoulder that far off, mm.

    The shoulder is the blade's far side, the scale reads to the near one. A stop block's
    thickness comes on top.
    """
    return snap(length - kerf)


def tasks(work: Work) -> list[Task]:
    """Widths, lengths and tenons, in this order."""
    found: list[Task] = []
    if not work.machines.saw.have:
        return found
    for member in work.bench.timbers:
        found += _to_size(work, member)
    for job in work.by("saw"):
        if isinstance(job.cut, TenonEnd):
            found += _upright(work, job, job.cut)
    return found


def left_for_others(work: Work) -> list[str]:
    """What the saw can't crosscut, in words."""
    saw = work.machines.saw
    if not saw.have:
        return ["No table saw: rip and crosscut by hand or with another saw, to the lines."]
    found = []
    for m in work.bench.timbers:
        if m.length > saw.longest + _SAME:
            found.append(
                f"{m.name} is {work.say(m.length)} long, more than the saw crosscuts: square and "
                "cut its ends with a hand-held saw along a straightedge, or by hand."
            )
        elif min(m.width, m.thickness) > saw.height + _SAME:
            found.append(
                f"{m.name} is {work.say(min(m.width, m.thickness))} thick, more than the blade "
                "reaches: cut its ends from two faces, to a line knifed all round."
            )
    return found


def _rips(member: Member) -> bool:
    """One board on edge or flat, ripped to width; what is glued up is milled to its sizes."""
    return member.plies == 1 and not member.round_section


def _to_size(work: Work, member: Member) -> list[Task]:
    saw = work.machines.saw
    thin, wide = sorted((member.width, member.thickness))
    found = []
    if _rips(member) and thin <= saw.height + _SAME:
        found.append(
            _task(
                member,
                settings=(
                    _height(thin, saw.height),
                    Setting(
                        name="rip fence",
                        value=wide,
                        measured_from="fence to the blade's side toward it: the scale, zeroed for "
                        "this blade",
                    ),
                ),
                purpose="rip to width",
                how="jointed edge to the fence, face side down",
                stage=0,
                test_cut="Rip a scrap and measure it with a caliper near both ends.",
                remarks=(
                    "A hair over, if the edge is still to be planed: what a pass takes, no more.",
                ),
            )
        )
    if member.length <= saw.longest + _SAME and thin <= saw.height + _SAME:
        found.append(
            _task(
                member,
                settings=(
                    _height(thin, saw.height),
                    Setting(
                        name="length stop",
                        value=member.length,
                        measured_from="stop on the mitre gauge's fence to the blade's side toward "
                        "it",
                    ),
                ),
                purpose="cut to length",
                how="one end squared first, that end to the stop",
                stage=1,
                test_cut="A scrap of any length: square across both faces with a square; then the "
                "first piece against a tape.",
                remarks=(
                    (
                        "Pieces of one length at one stop, whatever their tape says: alike counts "
                        "for more than exact."
                    ),
                ),
            )
        )
    return found


def _height(thin: float, highest: float) -> Setting:
    return Setting(
        name="blade height",
        value=snap(min(thin + OVER, highest)),
        measured_from="table to the highest tooth: a little over the piece",
    )


def _task(
    member: Member,
    *,
    settings: tuple[Setting, ...],
    purpose: str,
    how: str,
    stage: int,
    test_cut: str,
    remarks: tuple[str, ...],
) -> Task:
    cut = CutAt(member=member.name, joint="", purpose=purpose, face="", how=how)
    return Task(
        options=(Option(settings=settings, cut=cut),),
        work=purpose,
        stage=stage,
        test_cut=test_cut,
        remarks=remarks,
    )


def _upright(work: Work, job: Job, cut: TenonEnd) -> list[Task]:
    """Shoulders with the piece flat, then cheeks with it upright in a jig."""
    member, say, kerf = job.member, work.say, work.machines.saw.kerf
    small = fine(work.bench.units)
    near = cut.face is Face.NEAR_END
    low, high = cut.y0, member.thickness - cut.y1
    found = []
    for face, depth, whole, what in (
        (Face.FACE_SIDE, low if near else high, member.thickness, "cheek"),
        (Face.BACK_SIDE, high if near else low, member.thickness, "cheek"),
        (Face.FACE_EDGE, cut.x0, member.width, "edge"),
        (Face.BACK_EDGE, member.width - cut.x1, member.width, "edge"),
    ):
        if depth <= _SAME:
            continue
        stub = cut.haunch.length if cut.haunch and cut.haunch.edge is face else 0.0
        run = cut.length - stub
        down, upright = (
            CutAt(member=member.name, joint=cut.joint, face=str(face), purpose=purpose, how=how)
            for purpose, how in (
                (f"{what} shoulder", f"{face} down, {cut.face} to the stop block"),
                (what, f"{cut.face} down, {face.opposite} to the jig"),
            )
        )
        found.append(
            Task(
                options=(
                    Option(
                        settings=(
                            Setting(
                                name="blade height",
                                value=snap(depth),
                                measured_from="table to the highest tooth",
                            ),
                            Setting(
                                name="rip fence",
                                value=stop_reading(run, kerf),
                                text="and the stop block's thickness on top",
                                measured_from="the scale, zeroed for this blade; the shoulder is "
                                f"the blade's far side, {say(run)} from the end",
                            ),
                        ),
                        cut=down,
                    ),
                ),
                work=f"{what} shoulders",
                stage=2,
                test_cut="On a scrap: shoulder square, and its distance from the end.",
            )
        )
        if what == "cheek" or not stub:
            found.append(
                Task(
                    options=(
                        Option(
                            settings=(
                                Setting(
                                    name="blade height",
                                    value=snap(run),
                                    measured_from="table to the highest tooth: the shoulder line",
                                ),
                                Setting(
                                    name="jig",
                                    value=snap(whole - depth),
                                    measured_from="the face that bears on the jig to the blade's "
                                    "side toward it; the waste falls free on the far side",
                                ),
                            ),
                            cut=upright,
                        ),
                    ),
                    work=f"{what}s, upright in the jig",
                    stage=3,
                    test_cut=f"On a scrap planed with the parts, try it in the real mortise; as "
                    f"drawn the tenon is {small(cut.y1 - cut.y0)} thick. Move the jig by half of "
                    "what is wrong.",
                    remarks=("After the shoulders, so that the waste comes off whole.",),
                )
            )
    return found
