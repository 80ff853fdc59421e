"""What a person sees on the terminal: short tables, findings with their remedy, progress."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

from rich.console import Console
from rich.markup import escape
from rich.table import Table
from rich.text import Text

from treenail.shop.stock.result import how_good
from treenail.timber.lengths import format_length
from treenail.timber.lumber import lumber_figure, lumber_text
from treenail.timber.quantities import format_mass

if TYPE_CHECKING:
    from treenail.checks.rules import Finding, Report
    from treenail.generators.bench import Bench
    from treenail.joints.drawbored import Drawbored
    from treenail.shop.as_built import Change
    from treenail.shop.boards import Boards
    from treenail.templates.export import Exported

STYLE = {"error": "bold red", "warning": "yellow", "advice": "cyan"}
#: Lines of findings shown before ``--all`` is asked for: with what stands around them they fill
#: a usual terminal.
SCREENFUL = 20
#: Columns of a usual terminal, and the fewest that findings are set in.
USUAL_WIDTH, MIN_WIDTH = 80, 30
INDENT = " " * 10


def console(*, stderr: bool = False) -> Console:
    """A console that colours only on a terminal and doesn't guess at numbers."""
    stream = sys.stderr if stderr else sys.stdout
    return Console(file=stream, highlight=False, soft_wrap=not stream.isatty())


def say(bench: Bench, mm: float) -> str:
    """A length in the bench's units."""
    return format_length(mm, unit="in" if bench.units == "in" else "mm", denominator=32)


def fine(bench: Bench, mm: float) -> str:
    """A length to the 64th, with what that rounds away; or to a hundredth of a mm."""
    if bench.units == "in":
        return format_length(mm, unit="in", denominator=64, remainder=True)
    return format_length(mm, unit="mm")


def mass(bench: Bench, kg: float) -> str:
    """A mass, pounds beside kilograms for a bench in inches."""
    metric = format_mass(kg)
    return f"{format_mass(kg, unit='lb', places=0)} ({metric})" if bench.units == "in" else metric


def bench_summary(bench: Bench) -> list[tuple[str, str]]:
    """The bench in a few lines: (what, value)."""
    from treenail.checks.strength.mass import bench_mass

    length, depth, height = bench.asked
    woods = sorted({m.species.name for m in bench.timbers})
    return [
        ("size", f"{say(bench, length)} long, {say(bench, depth)} deep, {say(bench, height)} high"),
        ("wood", ", ".join(woods)),
        (
            "parts",
            f"{len(bench.timbers)} members, {len(bench.pegs)} pegs, "
            + ", ".join(f"{n} {kind}" for kind, n in bench.hardware_counts.items()),
        ),
        ("mass", mass(bench, bench_mass(bench).total)),
        *_angles(bench),
    ]


def _angles(bench: Bench) -> Iterator[tuple[str, str]]:
    """Angles that the generator worked out, in the shop's terms."""
    ending = "_degrees"
    found = {
        key.rpartition(".")[2].removesuffix(ending).replace("_", " "): value
        for key, value in bench.choices.items()
        if key.endswith(ending)
    }
    if found:
        yield "angles", ", ".join(f"{what} {value:.2f}°" for what, value in found.items())


def print_bench(out: Console, bench: Bench) -> None:
    """Name and summary."""
    out.print(Text(f"{bench.name}  ({bench.family} bench)", style="bold"))
    for what, value in bench_summary(bench):
        out.print(f"  {what:<6} {escape(value)}")


def joint_rows(bench: Bench) -> list[tuple[str, ...]]:
    """Tenoned joints, alike ones in one row: count, what, tenon, mortise, pegs."""
    from treenail.checks.making_aslant import degrees
    from treenail.joints.angled_tenon import AngledTenon
    from treenail.joints.mortise_tenon import MortiseTenon

    groups: dict[tuple[str, ...], list[MortiseTenon | AngledTenon]] = {}
    for j in bench.joints:
        if isinstance(j, AngledTenon):
            key = (
                f"{j.entering.role} in {j.receiver.role}, {degrees(j.tilt)}",
                f"{say(bench, j.thickness)} x {say(bench, j.width)} x {say(bench, j.length)}",
                "through" if j.through else f"{say(bench, j.mortise.depth)} deep",
                f"{len(j.wedges())} wedged" if j.wedged else _pegs(bench, j),
            )
            groups.setdefault(key, []).append(j)
            continue
        if not isinstance(j, MortiseTenon):
            continue
        head, at, _ = j.name.partition("_at_")
        pair, _, side = head.rpartition("_")
        what = f"{j.entering.role} in {j.receiver.role}"
        if at and pair:  # a stretcher of a level: upper_front_at_left
            what = f"{pair} {'end' if side in ('left', 'right') else 'long'}".replace("_", " ")
        what += " through" if j.through else ""
        what += ", haunched" if j.haunch else ""
        key = (
            what.strip() or j.entering.role,
            f"{say(bench, j.thickness)} x {say(bench, j.width)} x {say(bench, j.length)}",
            "through" if j.through else f"{say(bench, j.mortise.depth)} deep",
            _pegs(bench, j),
        )
        groups.setdefault(key, []).append(j)
    return [(str(len(found)), *key) for key, found in groups.items()]


def _pegs(bench: Bench, joint: Drawbored) -> str:
    d = joint.draw
    if d is None or not d.count:
        return ""
    return f"{d.count} of {say(bench, d.diameter)}, draw {say(bench, d.offset)}"


def print_joints(out: Console, bench: Bench) -> None:
    """The table of joints."""
    rows = joint_rows(bench)
    if not rows:
        return
    table = Table(box=None, pad_edge=False, show_edge=False, header_style="bold")
    for name in ("", "joint", "tenon", "mortise", "pegs"):
        table.add_column(name, overflow="fold")
    for row in rows:
        table.add_row(*(escape(cell) for cell in row))
    out.print()
    out.print(table)


def print_changes(out: Console, bench: Bench, changes: Sequence[Change]) -> None:
    """What follows from measured sizes."""
    if not changes:
        return
    table = Table(box=None, pad_edge=False, show_edge=False, header_style="bold")
    for name in ("from what was measured", "size", "was", "now"):
        table.add_column(name, overflow="fold")
    for c in changes:
        table.add_row(c.name, c.what, *c.shown(lambda mm: fine(bench, mm)))
    out.print()
    out.print(table)


def _where(finding: Finding) -> str:
    return ", ".join(w for w in (finding.joint, finding.member, finding.face) if w)


def _worst_first(found: list[Finding]) -> list[Finding]:
    """Findings of one rule, those farthest from their limit first; else as they were."""

    def excess(f: Finding) -> float:
        if f.measured is None or f.limit is None:
            return 0.0
        return round(abs(f.measured - f.limit), 6)  # noise must not change the order

    return sorted(found, key=excess, reverse=True)


def _groups(findings: Sequence[Finding], *, everything: bool) -> list[list[Finding]]:
    """Findings to be told together, worst first.

    All of one rule in the short form, which tells the worst of them; else only those of whom
    the same is said.
    """
    groups: dict[tuple[str, ...], list[Finding]] = {}
    for f in findings:
        key = (f.severity, f.rule, f.message) if everything else (f.severity, f.rule)
        groups.setdefault(key, []).append(f)
    return [_worst_first(found) for found in groups.values()]


def _places(places: list[str]) -> str:
    """The first of them, at most three and as many as a line of a usual terminal holds."""
    room = USUAL_WIDTH - len(INDENT) - len("at: ")

    def text(shown: int) -> str:
        more = f" and {len(places) - shown} more" if len(places) > shown else ""
        return f"{'; '.join(places[:shown])}{more}"

    return next((t for t in (text(3), text(2)) if len(t) <= room), text(1))


def _paragraphs(found: list[Finding]) -> list[Text]:
    """A group of findings as paragraphs whose first ten columns are kept for labels."""
    worst = found[0]
    said = Text(f"  {worst.severity:<8}", style=STYLE[worst.severity])
    said.append(worst.message, style="default")
    if len({f.message for f in found}) > 1:
        said.append(f" (The worst of {len(found)} alike.)", style="default")
    said.append(f" [{worst.rule}]", style="dim")
    paragraphs = [said]
    places = list(dict.fromkeys(w for w in map(_where, found) if w))
    if places:
        paragraphs.append(Text(f"{INDENT}at: {_places(places)}", style="dim"))
    if worst.untuned:
        told = f"this shop's rule (was {worst.untuned}): {worst.tuned_because}"
        paragraphs.append(Text(INDENT + told))
    remedy = worst.as_dict()["remedy"]
    if remedy:
        paragraphs.append(Text(f"{INDENT}do: {remedy}"))
    return paragraphs


def _hung(out: Console, paragraph: Text, width: int) -> list[Text]:
    """A paragraph in lines of a width, all but the first indented."""
    first, rest = paragraph.divide([len(INDENT)])
    lines = list(rest.wrap(out, width - len(INDENT)))
    return [Text.assemble(first if i == 0 else INDENT, line) for i, line in enumerate(lines)]


def _left_over(hidden: Sequence[Finding]) -> str:
    """What is not shown, by severity: ``2 errors and 5 warnings``."""
    counts = {name: sum(f.severity == name for f in hidden) for name in STYLE}
    named = [
        f"{n} {name}{'s' if n != 1 and name != 'advice' else ''}" for name, n in counts.items() if n
    ]
    return " and ".join([", ".join(named[:-1]), named[-1]] if len(named) > 1 else named)


def print_findings(out: Console, report: Report, *, everything: bool = False) -> None:
    """Findings, worst first; alike ones together; at most a screenful unless asked."""
    counts = report.counts()
    told = ", ".join(
        f"{n} {name}{'s' if n != 1 and name != 'advice' else ''}" for name, n in counts.items() if n
    )
    verdict = "checks passed" if report.passed else "checks NOT passed"
    skipped = f"; {len(report.skipped)} that need solids not run" if report.skipped else ""
    out.print()
    out.print(
        Text(
            f"{verdict}: {len(report.checked)} rules run{skipped}"
            + (f"; {told}" if told else "; nothing found"),
            style="bold green" if report.passed else "bold red",
        )
    )
    # Where nothing wraps (in a pipe) the reader's own screen will: count as if it were usual.
    width = USUAL_WIDTH if out.soft_wrap else max(out.width, MIN_WIDTH)
    used, shown = 0, 0
    groups = _groups(report.findings, everything=everything)
    for found in groups:
        paragraphs = _paragraphs(found)
        lines = [line for p in paragraphs for line in _hung(out, p, width)]
        if not everything and shown and used + len(lines) > SCREENFUL:
            break
        for line in paragraphs if out.soft_wrap else lines:
            out.print(line)
        used, shown = used + len(lines), shown + 1
    for tuning in report.tunings:
        out.print(f"  tuned by the shop file: {tuning.rule}: {escape(tuning.reason)}", style="dim")
    hidden = [f for found in groups[shown:] for f in found]
    if hidden:
        out.print(f"  {_left_over(hidden)} more: ask with --all")
    elif not everything and any(len({f.message for f in found}) > 1 for found in groups):
        out.print("  every finding by itself: ask with --all")


def print_boards(out: Console, boards: Boards) -> None:
    """How the stock plan came out, and what is to buy."""
    plan = boards.plan
    money = plan.minimise == "price"
    for g in plan.groups if boards.on_rack else ():
        if not g.boards:
            out.print(f"  {g.quarter} {escape(g.species)}: none on the rack")
            continue
        cost = f"{g.cost:.2f} in money" if money else lumber_text(g.cost, boards.units, places=1)
        told = f"{g.boards_used} of {g.boards} boards cut, {cost}, {100 * g.used:.0f} % used"
        if g.bound is not None:
            told += f"; {how_good(g.gap)}"
        if g.stopped:
            told += " (stopped by the time limit)"
        out.print(f"  {g.quarter} {escape(g.species)}: {told}")
    for b in plan.buying:
        stock = b.quarter or "no stock thick enough:"
        what = f"{b.pieces} piece{'s' if b.pieces > 1 else ''}"
        out.print(
            f"  to buy: {stock} {escape(b.species)}, {lumber_text(b.buy, boards.units)} for {what}"
        )


def print_files(out: Console, exported: Exported) -> None:
    """Files by folder, with how many each holds."""
    from treenail.templates.outdir import REPORT

    paths = [f["path"] for f in exported.report["files"]] + [REPORT]
    groups: dict[str, list[str]] = {}
    for path in paths:
        folder, _, name = path.rpartition("/")
        groups.setdefault(folder, []).append(name)
    out.print()
    out.print(Text(f"written to {exported.folder}", style="bold"))
    for folder, names in sorted(groups.items()):
        names.sort(key=lambda name: (not name.endswith(".md"), name))
        if folder:
            out.print(f"  {folder}/  {len(names)} files: {escape(', '.join(names[:3]))} ...")
        else:
            out.print("  " + escape(", ".join(sorted(names))))
    totals, units = exported.report["totals"], exported.report["bench"]["units"]
    out.print(
        f"  lumber: {lumber_text(totals['net_board_feet'], units, places=0)} net, "
        f"{lumber_figure(totals['rough_board_feet'], units, places=0)}"
        f"{' m³' if units == 'mm' else ''} rough before waste"
    )
    if not exported.findings.passed:
        out.print(Text("  every file is marked NOT PASSED", style="bold red"))
    out.print(f"\n{escape(exported.report['caution'])}", style="dim")


@contextmanager
def progress(what: str, *, quiet: bool = False) -> Iterator[Callable[[str], None]]:
    """A moving line on the terminal (standard error) that says what is being done."""
    err = console(stderr=True)
    if quiet or not err.is_terminal:
        yield lambda _: None
        return
    from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

    with Progress(
        TextColumn("{task.description}"),
        BarColumn(bar_width=20),
        TimeElapsedColumn(),
        TextColumn("{task.fields[now]}"),
        console=err,
        transient=True,
    ) as bar:
        task = bar.add_task(what, total=None, now="")
        yield lambda now: bar.update(task, advance=1, now=escape(now))


@contextmanager
def search(
    what: str, seconds: float, *, quiet: bool = False
) -> Iterator[Callable[[str, float, float, float], None] | None]:
    """A bar that fills as a search's time runs, with the best plan so far and its bound."""
    err = console(stderr=True)
    if quiet or not err.is_terminal:
        yield None
        return
    from rich.progress import Progress, ProgressColumn, Task, TextColumn, TimeElapsedColumn
    from rich.progress_bar import ProgressBar

    class Clock(ProgressColumn):
        def render(self, task: Task) -> ProgressBar:
            return ProgressBar(total=seconds, completed=min(task.elapsed or 0.0, seconds), width=20)

    with Progress(
        TextColumn("{task.description}"),
        Clock(),
        TimeElapsedColumn(),
        TextColumn("{task.fields[now]}"),
        console=err,
        transient=True,
    ) as bar:
        task = bar.add_task(what, total=None, now="")

        def tick(doing: str, _seconds: float, cost: float, bound: float) -> None:
            close = how_good(cost / bound - 1.0) if bound > 0.0 else "no bound yet"
            bar.update(task, now=escape(f"{doing}: {close}"))

        yield tick


def error_line(error: BaseException) -> str:
    """One line for standard error."""
    return f"treenail: {error}"


def print_parameters(out: Console, rows: list[dict[str, str]]) -> None:
    """Parameters one below the other: default, what is allowed, why."""
    for row in rows:
        values = ", ".join(
            f"{label} {row[key]}"
            for label, key in (("default", "default"), ("allowed", "allowed"))
            if row[key]
        )
        out.print(f"[bold]{row['parameter']}[/bold]: {escape(row['why'])}")
        if values:
            out.print(f"  {escape(values)}")


def as_rows(table: list[dict[str, Any]], columns: list[str]) -> Table:
    """A plain table of dictionaries."""
    made = Table(box=None, pad_edge=False, header_style="bold")
    for name in columns:
        made.add_column(name)
    for row in table:
        made.add_row(*(escape(str(row[name])) for name in columns))
    return made
