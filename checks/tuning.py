"""Rules tuned per shop: another severity or limit, always with a reason that the report repeats.

No rule can be switched off. What is a fact of geometry can't be lowered below an error either:
wood that isn't there does not come back because a shop is used to it.
"""

from __future__ import annotations

import dataclasses
import difflib
import math
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, NoReturn, cast

from treenail.checks.rules import ORDER, RULES, Finding, Severity
from treenail.generators.spec_values import show
from treenail.generators.yaml_lines import Plain, Tree
from treenail.timber.errors import SpecError

__all__ = ["LONGEST_REASON", "SECTION", "Tuning", "check_tunings", "read_tunings", "tune"]

SECTION = "tuning"
"""The shop file's section of tunings."""
LONGEST_REASON = 300
"""Longest reason, in characters."""
_SHORTEST_REASON = 8
_FIELDS = ("severity", "limit", "reason")
_DECIMAL = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)", re.ASCII)
_OFF = {"off", "none", "never", "no", "false", "ignore", "ignored", "skip", "disabled"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Tuning:
    """What a shop changes in one rule.

    Attributes:
        rule: the rule's code.
        reason: why, in the shop's own words.
        severity: what all of its findings become; None leaves them.
        limit: the rule's limit, in the unit that the rule declares; None leaves it.
    """

    rule: str
    reason: str
    severity: Severity | None = None
    limit: float | None = None

    def as_dict(self) -> dict[str, Any]:
        """Plain data for the report."""
        known = RULES.get(self.rule)
        declared = known.limit if known else None
        return {
            "rule": self.rule,
            "severity": self.severity,
            "limit": self.limit,
            "limit_was": declared.default if declared and self.limit is not None else None,
            "unit": declared.unit if declared and self.limit is not None else None,
            "reason": self.reason,
        }


def read_tunings(tree: Tree | Mapping[str, Any]) -> tuple[Tuning, ...]:
    """Read the ``tuning`` section; SpecError names the field."""
    if isinstance(tree, Plain) and not tree:
        return ()
    if not isinstance(tree, Mapping):
        raise SpecError(
            f"{show(tree)} stands where rules belong",
            field=SECTION,
            allowed="a rule's code, and under it severity or limit, and reason",
        )
    found = tuple(_read(str(code), given) for code, given in tree.items())
    check_tunings(found)
    return found


def _read(code: str, given: Any) -> Tuning:
    where = f"{SECTION}.{code}"
    if not isinstance(given, Mapping):
        if isinstance(given, str) and given.strip().lower() in _OFF:
            _refuse_off(code, where)
        raise SpecError(
            f"{show(given)} stands where fields belong", field=where, allowed=", ".join(_FIELDS)
        )
    for name in given:
        if name not in _FIELDS:
            near = difflib.get_close_matches(str(name), _FIELDS, n=1)
            hint = f"; did you mean {near[0]!r}?" if near else ""
            raise SpecError(
                f"there is no field {show(name)} here{hint}",
                field=f"{where}.{str(name)[:60]}",
                allowed=", ".join(_FIELDS),
            )
    severity = given.get("severity")
    if isinstance(severity, Plain) and not severity:
        severity = None
    if severity is False or (isinstance(severity, str) and severity.strip().lower() in _OFF):
        _refuse_off(code, f"{where}.severity")
    if severity is not None and severity not in ORDER:
        raise SpecError(
            f"{show(severity)} is no severity", field=f"{where}.severity", allowed=", ".join(ORDER)
        )
    return Tuning(
        rule=code,
        reason=_reason(given.get("reason"), code, f"{where}.reason"),
        severity=None if severity is None else cast("Severity", str(severity)),
        limit=_limit(given.get("limit"), f"{where}.limit"),
    )


def _refuse_off(code: str, where: str) -> NoReturn:
    raise SpecError(
        f"{code} can't be switched off: nothing that a check sees is kept quiet",
        field=where,
        allowed="severity: advice, with a reason, which shows it last",
    )


def _reason(value: Any, code: str, where: str) -> str:
    if value is None or (isinstance(value, str) and not value.strip()):
        raise SpecError(
            f"{code} is tuned without a reason",
            field=where,
            allowed="one line that says why; the report repeats it",
        )
    if not isinstance(value, str):
        raise SpecError(f"{show(value)} is not text", field=where, allowed="one line of text")
    text = str(value).strip()
    if not _SHORTEST_REASON <= len(text) <= LONGEST_REASON or not text.isprintable():
        raise SpecError(
            f"the reason has {len(text)} characters"
            + ("" if text.isprintable() else ", some of them not printable"),
            field=where,
            allowed=f"{_SHORTEST_REASON} to {LONGEST_REASON} printable characters",
        )
    return text


def _limit(value: Any, where: str) -> float | None:
    if value is None or (isinstance(value, Plain) and not value):
        return None
    if isinstance(value, str):
        text = value.strip().removesuffix("%").rstrip()
        if len(text) <= 40 and _DECIMAL.fullmatch(text):
            return float(Fraction(text))
    elif isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value):
        return float(value)
    raise SpecError(
        f"{show(value)} is not a number", field=where, allowed="a number in the rule's own unit"
    )


def check_tunings(tunings: Sequence[Tuning]) -> None:
    """Refuse (SpecError) a tuning of no rule, of none of its figures, or against geometry."""
    seen: set[str] = set()
    for t in tunings:
        where = f"{SECTION}.{t.rule}"
        known = RULES.get(t.rule)
        if known is None:
            near = difflib.get_close_matches(t.rule, RULES, n=1)
            hint = f"; did you mean {near[0]!r}?" if near else ""
            raise SpecError(
                f"there is no rule {show(t.rule)}{hint}",
                field=where,
                allowed="a rule's code; `treenail explain` lists them",
            )
        if t.rule in seen:
            raise SpecError(f"{t.rule} is tuned twice", field=where, allowed="once")
        seen.add(t.rule)
        if not t.reason.strip():
            raise SpecError(f"{t.rule} is tuned without a reason", field=f"{where}.reason")
        if t.severity is None and t.limit is None:
            raise SpecError(
                f"nothing of {t.rule} is tuned", field=where, allowed="severity, limit or both"
            )
        if known.is_geometry and (t.severity not in (None, "error") or t.limit is not None):
            raise SpecError(
                f"{t.rule} can't be lowered below an error: it says what the wood itself can't "
                "do, and no habit of a shop changes that",
                field=f"{where}.{'severity' if t.severity else 'limit'}",
                allowed="severity: error",
            )
        if t.limit is None:
            continue
        declared = known.limit
        if declared is None:
            raise SpecError(
                f"{t.rule} has no limit of its own to tune",
                field=f"{where}.limit",
                allowed="severity",
            )
        if not declared.low <= t.limit <= declared.high:
            raise SpecError(
                f"{t.limit:g} is out of range for the {declared.what}",
                field=f"{where}.limit",
                allowed=f"{declared.low:g} to {declared.high:g} {declared.unit}",
            )


def tune(findings: Iterable[Finding], tunings: Sequence[Tuning]) -> list[Finding]:
    """Give findings of tuned rules their severity; those changed say so, with the reason."""
    wanted = {t.rule: t for t in tunings if t.severity is not None}
    found = []
    for f in findings:
        t = wanted.get(f.rule)
        if t is None or t.severity is None or t.severity == f.severity:
            found.append(f)
        else:
            found.append(
                dataclasses.replace(
                    f, severity=t.severity, untuned=f.severity, tuned_because=t.reason
                )
            )
    return found
