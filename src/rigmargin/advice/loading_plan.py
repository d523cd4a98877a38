"""The least change of what is marked as movable that brings every checked limit within, or the limits that stand in the way.

Least means, in this order: the least mass left behind or drained, each kilogram counted as often as it is reluctantly missed;
then the least mass moved or filled in; of what is equal in both, the loading whose moved things lie nearest the axles (mass
times distance squared), and of those the one that leaves the most room at its tightest limit.

Where there are few loadings the engine judges each, and the answer is proved. Else a programme proposes what the engine then
judges: what is shown is within, and nothing is proved.
"""

from __future__ import annotations

import dataclasses
import time
from dataclasses import dataclass

from rigmargin.advice.bench import FAILS, Bench, Judged, Loading, costs
from rigmargin.advice.choices import Option
from rigmargin.advice.every import Every, Hopeless, every, few
from rigmargin.advice.guided import Guided
from rigmargin.advice.influence import same
from rigmargin.advice.programme import OutOfTime, require_solver
from rigmargin.judge import plugins
from rigmargin.judge.finding import Finding, Report

SECONDS = 30.0  # for the whole search


@dataclass(frozen=True, slots=True)
class Before:
    """One limit as it stands, and as the plan leaves it."""

    today: Finding
    then: Finding

    @property
    def same(self) -> bool:
        """Whether the same load is held against the same limit on both."""
        return same(self.today, self.then)


@dataclass(frozen=True, slots=True)
class Plan:
    """The answer for one rig."""

    report: Report  # as the rig is
    outcome: str  # "as_it_is" (nothing to do), "planned", "impossible" (proved), "not_found" or "unsettled" (out of time)
    every: bool = False  # whether each loading that could decide it was judged, so that the answer is proved
    changes: Loading = ()  # also of what is not settled, when something was found
    planned: Report | None = None  # the rig with the changes, judged in full
    limits: tuple[Before, ...] = ()
    hopeless: tuple[Hopeless, ...] = ()
    together: tuple[Finding, ...] = ()  # limits that cannot be kept all at once
    smallest: bool = False  # whether no smaller set is in conflict; else none of it can be dropped
    untried: tuple[tuple[Option, Finding], ...] = ()  # options left out, with a check that would then no longer be known
    blind: tuple[Finding, ...] = ()  # checks that loadings which pass no limit leave unknown or worse
    marked: bool = True  # whether the file marks anything

    @property
    def left(self) -> float:
        """Mass left behind or drained, times its reluctance, kg."""
        return sum(c.option.left(c.percent) for c in self.changes)

    @property
    def taken(self) -> float:
        """Mass left behind or drained, kg."""
        return sum(c.option.taken(c.percent) for c in self.changes)

    @property
    def moved(self) -> float:
        """Mass moved or filled in, kg."""
        return sum(c.option.moved(c.percent) for c in self.changes)


def plan(report: Report, ruleset: plugins.Ruleset | None = None) -> Plan:
    """The plan for one judged rig, in ``SECONDS`` or a little more. Raises SolverMissing when SciPy is not installed."""
    require_solver()
    bench = Bench(report, ruleset, time.monotonic() + SECONDS)
    marked = bool(bench.marked)
    if not any(finding.verdict in FAILS for finding in bench.today.values()):
        return Plan(report, "as_it_is", marked=marked)
    known = _every(bench)
    if known:
        return _found(bench, "planned", *known.good, proved=True) if known.good else _without(known, marked)
    guided = Guided(bench)
    guided.search()
    least = _every(bench, costs(guided.good[0])) if guided.good else None
    if least and least.good:
        return _found(bench, "planned", *least.good, proved=True)
    if guided.good:
        made = _found(bench, "unsettled" if guided.timed_out else "planned", *guided.good)
    else:
        made = Plan(report, "unsettled" if guided.timed_out else "not_found")
    return dataclasses.replace(made, untried=guided.untried)


def _every(bench: Bench, most: tuple[float, ...] | None = None) -> Every | None:
    """What judging every loading (that costs no more than ``most``) tells; None where they are too many for the time."""
    try:
        loadings = few(bench, most)
        return every(bench, loadings) if loadings else None
    except OutOfTime:
        return None


def _found(bench: Bench, outcome: str, loading: Loading, one: Judged, *, proved: bool = False) -> Plan:
    both = (Before(finding, one.found[check]) for check, finding in bench.today.items())
    limits = tuple(each for each in both if _differs(each))
    return Plan(bench.report, outcome, proved, loading, one.report, limits)


def _without(known: Every, marked: bool) -> Plan:
    """Every loading was judged, and none is good."""
    report = known.bench.report
    if not known.proved:
        blind = [f for f in report.findings if any((f.rule, f.subject, f.state) == check[:3] for check in known.blind)]
        return Plan(report, "not_found", True, blind=tuple(blind), marked=marked)
    hopeless = known.hopeless()
    together, smallest = ((), False) if hopeless else known.together()
    return Plan(report, "impossible", True, hopeless=hopeless, together=together, smallest=smallest, marked=marked)


def worst_first(limits: tuple[Before, ...]) -> list[Before]:
    """Those that fail today first, then by how little of the limit the plan leaves."""
    return sorted(limits, key=lambda both: (both.today.verdict not in FAILS, both.then.relative_margin or 0.0))


def _differs(both: Before) -> bool:
    one, other = both.today, both.then
    return not both.same or one.verdict != other.verdict or abs((one.margin or 0.0) - (other.margin or 0.0)) > 1e-9
