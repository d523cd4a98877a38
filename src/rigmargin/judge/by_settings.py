"""What the settings add to findings: reserves that are not kept, and exceptions. No verdict and no count changes by either."""

from __future__ import annotations

import difflib
import os
from collections.abc import Iterator

from rigmargin.judge.finding import Accepted, Finding, Report
from rigmargin.judge.plugins import Ruleset, fits
from rigmargin.spec.problem import Problem, shown
from rigmargin.spec.rig import Rig
from rigmargin.spec.settings import Acceptance, Figure, Origin, Settings

#: What may be accepted. A check that failed has found nothing that anybody could accept.
OPEN = ("over", "unmet", "outside_band", "conflict", "too_close", "not_checked")
KEPT = ("within", "at_limit")
ROUNDED = 1e-9  # of a reserve: what is left of unit conversion when exactly that remains


def marked(findings: tuple[Finding, ...], rig: Rig) -> tuple[Finding, ...]:
    """The findings of a rig, marked where its settings have something to say of them."""
    settings, mine = rig.settings, about(rig)
    if not settings.reserve and not mine:
        return findings
    return tuple(_marked(finding, rig, settings, mine) for finding in findings)


def _marked(finding: Finding, rig: Rig, settings: Settings, mine: tuple[Acceptance, ...]) -> Finding:
    if finding.verdict in KEPT and settings.reserve:
        return finding._replace(reserve=_short_of(finding, settings))
    fitting = [each for each in mine if _fits(each, finding)]
    if not fitting:
        return finding
    last = max(fitting, key=lambda each: each.until)
    return finding._replace(accepted=Accepted(last, _standing(last, rig.word("date"))))


def _short_of(finding: Finding, settings: Settings) -> Figure | None:
    """The reserve that a kept limit is kept by less than; of several that are meant, the most particular.

    A reserve for a subject is one of the masses that it may carry; one for a rule is of whatever the rule limits.
    """
    near = _nearer_limit(finding)
    keys = [key for key in settings.reserve if asks(key, finding)]
    if near is None or finding.margin is None or not keys:
        return None
    reserve = settings.reserve[max(keys, key=lambda key: (key == finding.rule, len(key)))]
    return reserve if finding.margin < reserve.si * abs(near) * (1 - ROUNDED) else None


def asks(key: str, finding: Finding) -> bool:
    """Whether the reserve for ``key`` is one that a finding must leave."""
    mass = finding.dimension == "mass" and finding.low is None
    return key == finding.rule or (mass and _inside(finding.subject, key))


def _inside(subject: str, whole: str) -> bool:
    return f"{subject}.".startswith(f"{whole}.")


def _nearer_limit(finding: Finding) -> float | None:
    """The limit that the margin is a margin to; None where nothing was held against one."""
    if finding.load is None or finding.margin is None or finding.other[0]:
        return None
    ends = [end for end in (finding.low, finding.high) if end is not None]
    load = finding.load
    return min(ends, key=lambda end: abs(load - end), default=None)


def about(rig: Rig) -> tuple[Acceptance, ...]:
    """The exceptions that are for this rig: they say its name, or its file as it is seen from theirs."""
    folder, own = os.path.dirname(rig.settings.file), os.path.basename(rig.file)

    def mine(each: Acceptance) -> bool:
        if each.rig == rig.name or os.path.basename(each.rig) != own:
            return each.rig == rig.name
        return os.path.realpath(os.path.join(folder, each.rig)) == os.path.realpath(rig.file)

    return tuple(filter(mine, rig.settings.exceptions))


def _fits(each: Acceptance, finding: Finding) -> bool:
    return (
        finding.verdict in OPEN
        and each.rule == finding.rule
        and each.subject in ("", finding.subject)
        and each.state in ("", finding.state)
    )


def _standing(each: Acceptance, date: str) -> str:
    """Whether it still holds on the day the rig is judged for. No clock is read."""
    if not date:
        return "undated"
    return "in_force" if date <= each.until else "expired"


def unused(report: Report) -> tuple[Acceptance, ...]:
    """The exceptions for this rig that mark no finding."""
    used = [finding.accepted.by for finding in report.findings if finding.accepted]
    return tuple(each for each in about(report.rig) if each not in used)


def unknown(settings: Settings, ruleset: Ruleset) -> list[Problem]:
    """The ids in the settings that are no rule and no subject. Where rules could not be loaded nobody can tell."""
    return [] if ruleset.failures else list(_unknown(settings, ruleset))


def _unknown(settings: Settings, ruleset: Ruleset) -> Iterator[Problem]:
    for key, reserve in settings.reserve.items():
        if not _is_subject(key, ruleset) and ruleset.find(key) is None:
            yield _no_rule(settings, reserve.origin, f"reserve.{key}", key, ruleset, or_subject=True)
    for i, each in enumerate(settings.exceptions):
        if ruleset.find(each.rule) is None:
            yield _no_rule(settings, each.origin, f"exceptions[{i}].rule", each.rule, ruleset)


def _is_subject(key: str, ruleset: Ruleset) -> bool:
    """Whether some rule is of that subject, or of something inside it."""
    return any(fits(key, ".".join(pattern.split(".")[: key.count(".") + 1])) for pattern in _patterns(ruleset))


def _patterns(ruleset: Ruleset) -> set[str]:
    return {pattern for rule in ruleset.rules for pattern in rule.each}


def _no_rule(settings: Settings, at: Origin, path: str, name: str, ruleset: Ruleset, *, or_subject: bool = False) -> Problem:
    known = [rule.id for rule in (*ruleset.rules, *ruleset.of_law())]
    known += sorted(pattern.removesuffix(".*") for pattern in _patterns(ruleset)) if or_subject else []
    near = difflib.get_close_matches(name, known, n=1, cutoff=0.6)
    expected = "the id of a rule, or a subject such as trailer" if or_subject else "the id of a rule"
    cure = f"write {shown(near[0])}, if that is meant" if near else "copy the id from a report; 'rigmargin rules' lists them"
    return Problem(settings.file, at.line, at.column, path, shown(name), expected, cure)
