"""Findings and rules as data: what was measured, against what, why it matters, what to do.

A rule is a function that looks at a bench (and, where it needs them, at its solids) and yields
findings. It registers itself with its reason and source, so that ``treenail explain`` and the
reports tell the same.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING, Any, Literal, TypeAlias, TypeVar

from treenail.timber.errors import SpecError

if TYPE_CHECKING:
    from treenail.checks.shop_file import ShopFile
    from treenail.checks.tuning import Tuning
    from treenail.generators.bench import Bench
    from treenail.generators.solids import BenchSolids
    from treenail.joints.angled_tenon import AngledTenon
    from treenail.joints.lag_bolt import LagBolt
    from treenail.joints.mortise_tenon import MortiseTenon
    from treenail.joints.standing import Standing

T = TypeVar("T")
Severity: TypeAlias = Literal["error", "warning", "advice"]
ORDER: Mapping[str, int] = {"error": 0, "warning": 1, "advice": 2}


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One thing a check has to say.

    Attributes:
        rule: the rule's code, kebab-case.
        severity: ``error`` stops the export, ``warning`` and ``advice`` don't.
        message: one sentence in shop words, lengths in the bench's units.
        joint, member, face: where; empty if it doesn't apply.
        measured, limit: numbers in ``unit``; None where the rule has none.
        unit: ``mm``, ``mm3``, ``kg``, ``%`` or ``1``.
        remedy: what to do in this very case; empty takes the rule's general remedy.
        untuned: the severity that the rule itself gave, where the shop file changed it.
        tuned_because: the shop's reason for that.
    """

    rule: str
    severity: Severity
    message: str
    joint: str = ""
    member: str = ""
    face: str = ""
    measured: float | None = None
    limit: float | None = None
    unit: str = "mm"
    remedy: str = ""
    untuned: Severity | None = None
    tuned_because: str = ""

    @property
    def why(self) -> str:
        """Why the rule exists."""
        return RULES[self.rule].why

    @property
    def source(self) -> str:
        """Where the rule's limit comes from."""
        return RULES[self.rule].source

    def as_dict(self) -> dict[str, Any]:
        """Plain data for the report."""
        known = RULES[self.rule]
        return {
            "rule": self.rule,
            "severity": self.severity,
            "message": self.message,
            "where": {"joint": self.joint, "member": self.member, "face": self.face},
            "measured": self.measured,
            "limit": self.limit,
            "unit": self.unit,
            "why": known.why,
            "remedy": self.remedy or known.remedy,
            "source": known.source,
            "tuned": (
                {"from": self.untuned, "because": self.tuned_because} if self.untuned else None
            ),
        }


@dataclass(frozen=True, kw_only=True)
class Context:
    """What rules look at."""

    bench: Bench
    solids: BenchSolids | None = None
    shop: ShopFile | None = None
    _memo: dict[str, Any] = field(default_factory=dict, repr=False, compare=False)

    def once(self, key: str, make: Callable[[], T]) -> T:
        """What ``make`` gives, computed once for all rules that ask under ``key``."""
        if key not in self._memo:
            self._memo[key] = make()
        found: T = self._memo[key]
        return found

    def limit(self, code: str) -> float:
        """The limit of a rule that declares one: the shop's, else the rule's own."""
        for tuning in self.shop.tunings if self.shop else ():
            if tuning.rule == code and tuning.limit is not None:
                return tuning.limit
        declared = RULES[code].limit
        assert declared is not None, f"{code} declares no limit"
        return declared.default

    def say(self, mm: float) -> str:
        """A length in the bench's own units, for messages: ``1 9/16"`` or ``39.7 mm``."""
        from treenail.timber.lengths import format_length

        inches = self.bench.units == "in"
        text = format_length(mm, unit="in" if inches else "mm", denominator=64)
        if abs(mm) < 1e-6 or any(digit in text for digit in "123456789"):
            return text
        # A small fault must not be told as none at all.
        least, value, unit = (1e-4, mm / 25.4, "in") if inches else (1e-3, mm, "mm")
        if abs(value) < least:
            return f"less than {least:g} {unit}"
        return f"{value:.{4 if inches else 3}f} {unit}"

    @cached_property
    def tenons(self) -> tuple[MortiseTenon, ...]:
        """All mortise-and-tenon joints."""
        from treenail.joints.mortise_tenon import MortiseTenon

        return tuple(j for j in self.bench.joints if isinstance(j, MortiseTenon))

    @cached_property
    def mortised(self) -> tuple[MortiseTenon | AngledTenon, ...]:
        """All tenons that stand in a mortise, square to its face or leaning."""
        from treenail.joints.angled_tenon import AngledTenon

        leaning = (j for j in self.bench.joints if isinstance(j, AngledTenon))
        return (*self.tenons, *leaning)

    @cached_property
    def standing(self) -> tuple[Standing, ...]:
        """All joints in which a tenon of any kind stands in another member."""
        from treenail.joints.standing import Standing

        return tuple(j for j in self.bench.joints if isinstance(j, Standing))

    @cached_property
    def bolts(self) -> tuple[LagBolt, ...]:
        """All lag bolts."""
        from treenail.joints.lag_bolt import LagBolt

        return tuple(j for j in self.bench.joints if isinstance(j, LagBolt))


Check: TypeAlias = Callable[[Context], Iterator[Finding]]


@dataclass(frozen=True, slots=True, kw_only=True)
class TunableLimit:
    """A rule's limit that a shop may set otherwise.

    Attributes:
        default: the rule's own.
        low, high: what it may be, ends included.
        unit: as of a finding.
        what: what is limited, in a few words.
    """

    default: float
    low: float
    high: float
    unit: str
    what: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """A registered rule.

    Attributes:
        code: kebab-case, stable.
        title: a few words.
        why: why it exists.
        remedy: what one does about it in general.
        source: a publication, ``common practice``, ``geometry`` or ``our own choice``.
        solids: whether it measures kernel solids.
        check: the function.
        limit: its limit, where a shop may set another.
    """

    code: str
    title: str
    why: str
    remedy: str
    source: str
    solids: bool
    check: Check = field(repr=False)
    limit: TunableLimit | None = None

    @property
    def is_geometry(self) -> bool:
        """Whether its findings are facts of geometry, on which no shop's habit has a say."""
        return self.source.split(":")[0].strip() == "geometry"


RULES: dict[str, Rule] = {}


def rule(
    code: str,
    *,
    title: str,
    why: str,
    remedy: str,
    source: str,
    solids: bool = False,
    limit: TunableLimit | None = None,
) -> Callable[[Check], Check]:
    """Register a check under a code (decorator)."""

    def register(check: Check) -> Check:
        if code in RULES:
            raise ValueError(f"two rules are named {code!r}")
        RULES[code] = Rule(
            code=code,
            title=title,
            why=why,
            remedy=remedy,
            source=source,
            solids=solids,
            check=check,
            limit=limit,
        )
        return check

    return register


def get_rule(code: str) -> Rule:
    """The rule of that code; SpecError suggests the nearest."""
    import difflib

    try:
        return RULES[code]
    except KeyError:
        near = difflib.get_close_matches(code, RULES, n=1)
        hint = f"; did you mean {near[0]!r}?" if near else ""
        raise SpecError(
            f"there is no rule {code!r}{hint}", field="rule", allowed=", ".join(sorted(RULES))
        ) from None


@dataclass(frozen=True, slots=True, kw_only=True)
class Report:
    """All findings of one run, worst first, in a stable order.

    Attributes:
        findings: what was found.
        checked: codes of the rules that were run.
        skipped: codes of the rules that need solids and were not run.
        tunings: what the shop file changed in the rules, each with its reason.
    """

    findings: tuple[Finding, ...]
    checked: tuple[str, ...]
    skipped: tuple[str, ...] = ()
    tunings: tuple[Tuning, ...] = ()

    @property
    def errors(self) -> tuple[Finding, ...]:
        """Findings that stop the export."""
        return tuple(f for f in self.findings if f.severity == "error")

    @property
    def passed(self) -> bool:
        """No errors."""
        return not self.errors

    def counts(self) -> dict[str, int]:
        """Number of findings by severity."""
        found = dict.fromkeys(ORDER, 0)
        for f in self.findings:
            found[f.severity] += 1
        return found


def run_rules(context: Context, *, progress: Callable[[str], None] | None = None) -> Report:
    """Run every registered rule that the context has the data for; tune what the shop tunes.

    Raises SpecError for a tuning that its rule doesn't allow.
    """
    from treenail.checks.tuning import check_tunings, tune

    tunings = context.shop.tunings if context.shop else ()
    check_tunings(tunings)
    findings: list[Finding] = []
    checked, skipped = [], []
    for code, known in RULES.items():
        if known.solids and context.solids is None:
            skipped.append(code)
            continue
        if progress:
            progress(known.title)
        findings.extend(known.check(context))
        checked.append(code)
    findings = tune(findings, tunings)
    findings.sort(key=lambda f: (ORDER[f.severity], f.rule, f.joint, f.member, f.message))
    return Report(
        findings=tuple(findings),
        checked=tuple(checked),
        skipped=tuple(skipped),
        tunings=tunings,
    )
