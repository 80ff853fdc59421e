"""Readable pages, in Markdown: milling plan, machine set-ups, drawbore sheet."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import compress
from typing import TYPE_CHECKING

from treenail.checks.assembly.words import listed, plain
from treenail.shop import cautions
from treenail.shop.drawbore_sheet import DrawboreRow, DrawboreSheet, HolePair, StraightRow
from treenail.shop.measurements import say_of
from treenail.shop.milling_model import Batch, MillingPlan, MillStep
from treenail.shop.pages_glue import escape
from treenail.shop.setups.model import Place, Say, Setup, SetupPlan, Sheet, fine
from treenail.shop.setups.work import say_for
from treenail.shop.sketches import drawbore_sketch, stack_sketch
from treenail.timber.quantities import MPA_PER_PSI, N_PER_LBF

if TYPE_CHECKING:
    from treenail.generators.bench import Bench
    from treenail.shop.as_built import Change

__all__ = ["changes_page", "drawbore_page", "milling_page", "pictures", "setups_page", "sheet_page"]


_MEASURED = (
    "These sizes follow from what was measured. All papers, templates and solids of this run have "
    "them; throw away those of an earlier one."
)
#: Times the modulus of rupture beyond which a stress says nothing about a peg (our own choice).
_NO_BEAM = 5.0
_BENT = (
    "The bend is an estimate: a peg carried at its ends only, and one held fast in both cheeks. "
    "Over 100 % of the modulus of rupture the peg creeps and the holes give way for the rest; that "
    "is how a drawbored joint works, and why its pegs are split from straight-grained wood. Beams "
    "as in FPL-GTR-190 ch. 9"
)


def _table(head: Sequence[str], rows: Iterable[Sequence[str]]) -> list[str]:
    lines = [f"| {' | '.join(head)} |", f"|{'|'.join('---' for _ in head)}|"]
    return [*lines, *(f"| {' | '.join(row)} |" for row in rows)]


def _full_table(head: Sequence[str], rows: Sequence[Sequence[str]]) -> list[str]:
    """A table without the columns in which nothing stands."""
    used = [any(row[i] for row in rows) for i in range(len(head))]
    return _table(
        list(compress(head, used)),
        (list(compress(row, used)) for row in rows),
    )


def _bullets(texts: Iterable[str]) -> list[str]:
    return [f"- {escape(t)}" for t in texts]


def _numbered(texts: Iterable[str]) -> list[str]:
    return [f"{i}. {escape(t)}" for i, t in enumerate(texts, start=1)]


def _page(blocks: Iterable[Sequence[str]]) -> str:
    """Blocks of lines with an empty line between them."""
    return "\n\n".join("\n".join(b) for b in blocks if b) + "\n"


def _some(setups: int) -> str:
    return "1 set-up" if setups == 1 else f"{setups} set-ups"


def _slug(text: str) -> str:
    return "-".join(text.lower().split())


# --- as built


def changes_page(bench: Bench, changes: Iterable[Change]) -> str:
    """What follows from the measured sizes: what to cut otherwise than drawn."""
    say = say_of(bench)
    rows = [[escape(plain(c.name)), escape(c.what), *c.shown(say)] for c in changes]
    return _page(
        [
            [f"# As built: {escape(bench.name)}"],
            [_MEASURED],
            _table(["part or joint", "size", "was", "is now"], rows),
        ]
    )


# --- milling


def milling_page(plan: MillingPlan) -> str:
    """The milling plan: one heading a step."""
    say, small = say_for(plan.units), fine(plan.units)
    blocks: list[Sequence[str]] = [
        [f"# Milling plan: {escape(plan.bench)}"],
        _bullets([*plan.notes, *cautions.GENERAL]),
    ]
    told: set[str] = set()
    for step in plan.steps:
        blocks += _mill_step(step, say, small, told)
    return _page(blocks)


def _mill_step(step: MillStep, say: Say, small: Say, told: set[str]) -> list[Sequence[str]]:
    blocks: list[Sequence[str]] = [
        [f"## {step.number}. {step.phase.capitalize()}"],
        [escape(step.what)],
    ]
    head = ("mark", "pieces", "for", "machine", "length", "width", "thickness", "note")
    blocks.append(_full_table(head, [_batch_row(b, say) for b in step.batches]))
    if step.together:
        blocks.append([f"Together: {escape(step.together)}"])
    blocks.append(
        [
            f"- Check {escape(c.name)}: at most {small(c.limit)}, {escape(c.over)}; "
            f"{escape(c.how)} ({escape(c.source)})."
            for c in step.checks
        ]
    )
    fresh = [c for c in step.cautions if c not in told]
    told.update(fresh)
    blocks.append([f"- Caution: {escape(c)}" for c in fresh])
    return blocks


def _batch_row(b: Batch, say: Say) -> tuple[str, ...]:
    sizes = tuple("" if v is None else escape(say(v)) for v in (b.length, b.width, b.thickness))
    return (b.mark, str(b.count), escape(b.role), escape(b.machine), *sizes, escape(b.note))


# --- set-ups


def setups_page(plan: SetupPlan, *, with_pictures: bool = True) -> str:
    """All machines' sheets, one after the other."""
    total = (
        f"{_some(plan.setups)}, machines: {len(plan.sheets)}; {plan.part_by_part} if each part "
        "were finished before the next one."
    )
    blocks: list[Sequence[str]] = [
        [f"# Machine set-ups: {escape(plan.bench)}"],
        [total],
        _bullets(cautions.GENERAL),
    ]
    if plan.not_made:
        blocks += [["## No machine for these"], _bullets(plan.not_made)]
    text = _page(blocks)
    for sheet in plan.sheets:
        text += "\n" + sheet_page(plan, sheet, level=2, with_pictures=with_pictures)
    return text


def sheet_page(plan: SetupPlan, sheet: Sheet, *, level: int = 1, with_pictures: bool = True) -> str:
    """One machine's sheet."""
    say = say_for(plan.units)
    proof = "no order needs fewer" if sheet.fewest else "the fewest found"
    count = f"{_some(len(sheet.setups))} ({proof}); part by part it would be {sheet.part_by_part}."
    if sheet.stops:
        count += f" The stop is set {sheet.stops} times; part by part {sheet.stops_part_by_part}."
    blocks: list[Sequence[str]] = [
        [f"{'#' * level} {escape(sheet.machine.capitalize())}"],
        [count],
        _bullets(sheet.notes),
        [f"- Caution: {escape(c)}" for c in sheet.cautions],
    ]
    for setup in sheet.setups:
        blocks += _setup(setup, say, level + 1, with_pictures=with_pictures)
    return _page(blocks)


def _setup(setup: Setup, say: Say, level: int, *, with_pictures: bool) -> list[Sequence[str]]:
    blocks: list[Sequence[str]] = [
        [f"{'#' * level} {setup.number}. {escape(setup.work.capitalize())}"],
        _table(
            ("set", "to", "measured from"),
            (
                (escape(s.name), f"**{escape(s.shown(say))}**", escape(s.measured_from))
                for s in setup.settings
            ),
        ),
    ]
    if with_pictures and stack_sketch(setup, say):
        blocks.append([f"![Stack and fence of set-up {setup.number}]({_picture(setup)})"])
    blocks.append(_numbered(setup.order))
    head = ("stop", "pieces", "how they lie", "marks", "order")
    rows = [row for place in setup.places for row in _place_rows(place, say)]
    blocks.append(_full_table(head, rows))
    stops = dict.fromkeys(p.measured_from for p in setup.places if p.measured_from)
    if stops:
        blocks.append([f"Stop: {escape('; '.join(stops))}."])
    if setup.test_cut:
        blocks.append([f"Test cut: {escape(setup.test_cut)}"])
    blocks.append(_bullets(setup.remarks))
    return blocks


def _place_rows(place: Place, say: Say) -> Iterable[tuple[str, ...]]:
    """One row for each way a piece lies at a place."""
    ways: dict[tuple[str, int], list[str]] = {}
    for c in place.cuts:
        ways.setdefault((c.how, c.passes), []).append(c.member)
    marks = "; ".join(f"{name} {say(value)}" for name, value in place.marks)
    for (how, passes), members in ways.items():
        names = dict.fromkeys(members)
        each = f", {passes} passes" if passes > 1 else ""
        yield (
            "" if place.stop is None else escape(say(place.stop)),
            escape(listed(list(names)) + (f" ({len(members)} cuts)" if len(members) > 1 else "")),
            escape(how + each),
            escape(marks),
            escape(place.order),
        )


def _picture(setup: Setup) -> str:
    return f"{_slug(setup.machine)}-{setup.number}.svg"


# --- drawbore


def drawbore_page(sheet: DrawboreSheet, *, with_pictures: bool = True) -> str:
    """The drawbore sheet."""
    if not sheet.pegs:
        return _page([[f"# Drawbore sheet: {escape(sheet.bench)}"], ["No joint is pegged."]])
    say = say_for(sheet.units)
    blocks: list[Sequence[str]] = [
        [f"# Drawbore sheet: {escape(sheet.bench)}"],
        [f"{sheet.pegs} pegs; make {sheet.to_make}, so that some may split."],
    ]
    for i, row in enumerate(sheet.rows, start=1):
        blocks += _drawbore_row(sheet, row, i, say, with_pictures=with_pictures)
    for i, straight in enumerate(sheet.straight, start=len(sheet.rows) + 1):
        blocks += _straight_row(straight, i, say)
    if sheet.marking:
        blocks += [["## Marking and boring"], _numbered(sheet.marking)]
    blocks += [
        ["## Driving"],
        _numbered(sheet.driving),
        ["In this order:"],
        _numbered(plain(o) for o in sheet.order),
    ]
    if sheet.rows:
        blocks.append([f"{_BENT}; strength: {escape(sheet.source)}."])
    blocks.append([f"- Caution: {escape(c)}" for c in cautions.WORK["assembly"]])
    return _page(blocks)


def _drawbore_row(
    sheet: DrawboreSheet, row: DrawboreRow, number: int, say: Say, *, with_pictures: bool
) -> list[Sequence[str]]:
    ends = row.on == "end board"
    blocks: list[Sequence[str]] = [
        [_pegs_in(number, row)],
        _places(row),
        _table(
            ("peg", ""),
            (
                ("wood", escape(row.species)),
                ("made from a square of", say(row.stock)),
                ("diameter, and bit", f"**{say(row.diameter)}**"),
                ("cut to", say(row.cut_length)),
                ("left in the joint", say(row.length)),
                ("taper", f"{say(row.taper)} long, to {say(row.tip)}"),
                (
                    "board's hole" if ends else "post's hole",
                    "right through" if row.through else f"{say(row.depth)} deep",
                ),
            ),
        ),
        _table(
            (
                "hole",
                f"from the {'slab' if ends else 'tenon'}'s edge",
                f"{'board' if ends else 'post'}, from shoulder",
                "tenon, from shoulder",
                "draw",
                *(("tenon's hole",) if ends else ()),
            ),
            (
                (
                    str(h.peg),
                    say(h.edge),
                    f"**{say(h.post)}**",
                    f"**{say(h.tenon)}**",
                    say(h.draw),
                    *((_slot(h, row, say),) if ends else ()),
                )
                for h in row.holes
            ),
        ),
        [f"Draw: {escape(row.reason)}."],
    ]
    if with_pictures and not ends:
        blocks.append([f"![Both holes]({_drawbore_picture(number)})"])
    blocks.append(
        _table(
            ("peg bent over", "closes before it yields", "pulls", "stress at this draw"),
            (
                (
                    f"{say(b.span)}, {'at its ends only' if b.support == 'free' else 'held fast'}",
                    fine(sheet.units)(b.draw_closed),
                    f"{b.pull / N_PER_LBF:.0f} lbf" if sheet.units == "in" else f"{b.pull:.0f} N",
                    _stress(b.stress, b.of_mor, sheet.units),
                )
                for b in row.bends
            ),
        )
    )
    return blocks


def _slot(hole: HolePair, row: DrawboreRow, say: Say) -> str:
    return f"slot {say(hole.slot + row.diameter)} long" if hole.slot else "round"


def _pegs_in(number: int, row: DrawboreRow | StraightRow, what: str = "peg") -> str:
    joints = len(row.joints)
    pegs = f"{row.pegs} {what}{'s' if row.pegs > 1 else ''}"
    return f"## {number}. {pegs} in {joints} joint{'s' if joints > 1 else ''}"


def _places(row: DrawboreRow | StraightRow) -> list[str]:
    return _bullets(
        f"{plain(j)}: driven in at {plain(face)}"
        for j, face in zip(row.joints, row.drive_faces, strict=True)
    )


def _straight_row(row: StraightRow, number: int, say: Say) -> list[Sequence[str]]:
    """Pegs that draw nothing, or pins."""
    deep = f"{say(row.depth)} deep"
    return [
        [f"{_pegs_in(number, row, row.what)}, without draw"],
        _places(row),
        _table(
            (row.what, ""),
            (
                ("wood", escape(row.species)),
                ("made from a square of", say(row.stock)),
                ("diameter, and bit", f"**{say(row.diameter)}**"),
                ("cut to", say(row.cut_length)),
                ("in place", say(row.length)),
                ("taper", f"{say(row.taper)} long, to {say(row.tip)}" if row.taper else "none"),
                *((("goes through", say(row.through)),) if row.through else ()),
                ("hole beyond" if row.through else "hole", deep),
            ),
        ),
    ]


def _stress(mpa: float, of_mor: float, units: str) -> str:
    if of_mor > _NO_BEAM:
        return "no beam any more: the cheeks give way first"
    shown = f"{mpa / MPA_PER_PSI:,.0f} psi" if units == "in" else f"{mpa:.0f} MPa"
    return f"{shown}, {of_mor:.0%} of the rupture's"


def _drawbore_picture(number: int) -> str:
    return f"drawbore-{number}.svg"


def pictures(plan: SetupPlan, sheet: DrawboreSheet) -> Mapping[str, str]:
    """The sketches that the pages link to, SVG by file name."""
    say = say_for(plan.units)
    found = {
        _picture(setup): sketch
        for s in plan.sheets
        for setup in s.setups
        if (sketch := stack_sketch(setup, say))
    }
    for i, row in enumerate(sheet.rows, start=1):
        if row.on == "end board":  # as wide as the slab: no sketch shows both holes apart
            continue
        found[_drawbore_picture(i)] = drawbore_sketch(row, say)
    return found
