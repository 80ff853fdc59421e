"""The parts list: what the spec's bench has is there."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from treenail.checks.rules import Context, Finding, rule
from treenail.timber.errors import TreenailError

if TYPE_CHECKING:
    from treenail.timber.member import Member


def wanted(context: Context) -> tuple[Member, ...]:
    """The timbers of the bench that the same spec makes; none where there is no such bench."""
    from treenail.generators.build import build_bench

    bench = context.bench
    if bench.spec is None:
        return ()
    woods = {name: m.species for m in bench.members for name in (m.species.key, m.species.name)}
    try:
        return build_bench(bench.spec, units=bench.units, added_species=woods).timbers
    except (TreenailError, TypeError, KeyError):
        return ()  # numbers changed by hand, or a spec of somebody's own


@rule(
    "part-missing",
    title="No part is missing",
    why="A part left out is missed when the bench goes together; no joint of it is cut anywhere.",
    remedy="Put the part and its joints back, or change the spec so that it isn't wanted.",
    source="the spec's own bench",
)
def part_missing(context: Context) -> Iterator[Finding]:
    """Timbers of the spec's bench that this one has not."""
    for member in wanted(context):
        if member.name not in context.bench.by_name:
            yield Finding(
                rule="part-missing",
                severity="error",
                message=f"{member.name} is missing: the spec's bench has it, "
                f"{context.say(member.length)} long.",
                member=member.name,
                unit="1",
            )
