"""The least change of what is marked as movable that brings every checked limit within, or the limits that stand in the way.

Least means, in this order: the least mass left behind or drained, each kilogram counted as often as it is reluctantly missed;
then the least mass moved or filled in; of what is equal in both, the loading whose moved things lie nearest the axles (mass
times distance squared), and of those the one that leaves the most room at its tightest limit.

The programme's numbers come from the engine, which judges the rig with each option alone. What the programme proposes is then
judged by the engine as a whole; what the engine does not find within is forbidden, and the next best is asked for.
"""

from __future__ import annotations

import dataclasses
import itertools
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, field

from rigmargin.advice.choices import Option, options
from rigmargin.advice.influence import Check, Trial, checks, limit
from rigmargin.advice.programme import Choice, Programme, Row, SolverGaveUp, require_solver
from rigmargin.advice.trial import Step, rearranged
from rigmargin.judge import plugins
from rigmargin.judge.finding import Finding, Report
from rigmargin.judge.run import judge

KEPT = ("within", "at_limit")
FAILS = ("over", "outside_band", "too_close")
WORSE = ("unmet", "rule_failed", "conflict")
PROPOSALS = 400  # judged by the engine before the search is given up as not settled


@dataclass(frozen=True, slots=True)
class Change:
    """One line of the plan."""

    option: Option
    percent: int = 0  # of a tank: the filling it is brought to

    @property
    def step(self) -> Step:
        """What the engine is to judge."""
        return self.option.step(self.percent)


@dataclass(frozen=True, slots=True)
class Before:
    """One limit as it stands, and as the plan leaves it."""

    today: Finding
    then: Finding


@dataclass(frozen=True, slots=True)
class Hopeless:
    """A limit that nothing marked brings within, by itself."""

    today: Finding
    at_best: (
        Finding | None
    )  # with the loading that leaves the most; None when nothing marked changes it, or only a bound is known


@dataclass(frozen=True, slots=True)
class Plan:
    """The answer for one rig."""

    report: Report  # as the rig is
    outcome: str  # "as_it_is" (nothing to do), "planned", "impossible" or "unsettled" (the search was given up)
    changes: tuple[Change, ...] = ()
    planned: Report | None = None  # the rig with the changes, judged in full
    limits: tuple[Before, ...] = ()
    hopeless: tuple[Hopeless, ...] = ()
    together: tuple[Finding, ...] = ()  # limits that cannot be kept all at once
    smallest: bool = False  # whether no smaller set is in conflict; else none of it can be dropped
    untried: tuple[tuple[Option, Finding], ...] = ()  # options left out, with a check that would then no longer be known
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


class _Refused(Exception):
    """Too many proposals were refused."""


def plan(report: Report, ruleset: plugins.Ruleset | None = None) -> Plan:
    """The plan for one judged rig. Raises SolverMissing when SciPy is not installed."""
    require_solver()
    search = _Search(report, ruleset)
    failing = [check for check, finding in search.today.items() if finding.verdict in FAILS]
    if not failing:
        return Plan(report, "as_it_is", marked=bool(search.marked), untried=search.untried)
    try:
        choice = search.least()
    except (_Refused, SolverGaveUp):
        return Plan(report, "unsettled", untried=search.untried)
    if choice is None:
        try:
            return search.conflict(failing)
        except (_Refused, SolverGaveUp):  # that there is no plan is proved all the same
            return Plan(report, "impossible", untried=search.untried, marked=bool(search.marked))
    then = search.judged(choice)
    after = checks(then)
    both = tuple(Before(finding, after[check]) for check, finding in search.today.items())
    changed = tuple(both_ for both_ in both if _differs(both_))
    return Plan(report, "planned", search.changes(choice), then, changed, untried=search.untried)


def _differs(both: Before) -> bool:
    one, other = both.today, both.then
    return one.verdict != other.verdict or abs((one.margin or 0.0) - (other.margin or 0.0)) > 1e-9


@dataclass(slots=True)
class _Search:
    """One rig, its options as columns, and the engine that judges every choice of them."""

    report: Report
    ruleset: plugins.Ruleset | None
    today: dict[Check, Finding] = field(init=False)  # the checks that a plan must keep or bring within
    marked: tuple[Option, ...] = field(init=False)
    usable: tuple[Option, ...] = field(init=False)
    untried: tuple[tuple[Option, Finding], ...] = field(init=False)
    bits: list[tuple[int, int]] = field(init=False)  # each column: its option, and the percent it adds (0: the option itself)
    programme: Programme = field(init=False)
    owners: set[Check] = field(init=False)
    _judged: dict[Choice, Report] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.today = {check: f for check, f in checks(self.report).items() if f.verdict in (*KEPT, *FAILS)}
        self.owners = set(self.today)
        self.marked = options(self.report.rig)
        trials = {option: self._ends(option) for option in self.marked}
        lost = {option: self._loses(pair) for option, pair in trials.items()}
        self.untried = tuple((option, finding) for option, finding in lost.items() if finding)
        self.usable = tuple(option for option in self.marked if not lost[option])
        self.bits = []
        for i, option in enumerate(self.usable):
            self.bits += [(i, 0), *((i, 1 << bit) for bit in range(option.span.bit_length()))]
        ends = [trials[option] for option in self.usable]
        spans = [option.span for option in self.usable]
        limits = {
            c: limit(self.report, c, f, ends, [(i, step, spans[i]) for i, step in self.bits]) for c, f in self.today.items()
        }
        self.programme = Programme(len(self.bits), limits, self._rules())

    # --- the engine's part -------------------------------------------------------------------------------------------

    def _ends(self, option: Option) -> tuple[Trial, Trial]:
        """The rig with one option alone: at the low end of its range and at the high one."""
        low = self._judge([option.step(option.low)])
        high = self._judge([option.step(option.high)]) if option.span else low
        return (low, checks(low)), (high, checks(high))

    def _judge(self, steps: Sequence[Step]) -> Report:
        return judge(rearranged(self.report.rig, steps), self.ruleset)

    def _loses(self, pair: Iterable[Trial]) -> Finding | None:
        """A check that is known today and would no longer be."""
        known = [found for _, found in pair]
        return next((f for check, f in self.today.items() if not f.at_least and any(check not in k for k in known)), None)

    def judged(self, choice: Choice) -> Report:
        """The rig with the chosen options, judged in full."""
        if choice not in self._judged:
            if len(self._judged) >= PROPOSALS:
                raise _Refused
            self._judged[choice] = self._judge([change.step for change in self.changes(choice)])
        return self._judged[choice]

    def changes(self, choice: Choice) -> tuple[Change, ...]:
        """A choice of columns as what is done."""
        chosen = [self.bits[column] for column, x in enumerate(choice) if x]
        percent = {i: self.usable[i].low + sum(step for j, step in chosen if j == i) for i, _ in chosen}
        return tuple(Change(self.usable[i], percent[i]) for i in sorted(percent))

    def _refused(self, choice: Choice) -> set[Check]:
        """The checks because of which the engine does not find a choice good."""
        then = self.judged(choice)
        after = checks(then)
        refused = {check for check in self.today if check not in after}
        refused |= {check for check, finding in after.items() if finding.verdict in FAILS}
        before = {(f.rule, f.subject, f.state, f.verdict) for f in self.report.findings}
        for f in then.findings:  # that two figures no longer agree is told and stops nothing
            if f.verdict in WORSE and not f.other[0] and (f.rule, f.subject, f.state, f.verdict) not in before:
                refused.add((f.rule, f.subject, f.state, ""))
        return refused

    # --- the programme's part ----------------------------------------------------------------------------------------

    def _rules(self) -> list[Row]:
        """One option at the most for each item, and no filling beyond an option's range."""
        rows: list[Row] = []
        for path in dict.fromkeys(option.item.path for option in self.usable):
            row = [-1.0 if step == 0 and self.usable[i].item.path == path else 0.0 for i, step in self.bits]
            rows.append((row, -1.0))
        for i, option in enumerate(self.usable):
            if option.span:
                own = [(option.span if step == 0 else -step) if j == i else 0 for j, step in self.bits]
                rows.append(([float(x) for x in own], 0.0))
        return rows

    def _costs(self) -> list[list[float]]:
        """What is left behind, what is moved, and how far from the axles, by column."""

        def of(i: int, step: int, cost: str) -> float:
            option = self.usable[i]
            at = getattr(option, cost)
            return float(at(option.low + step) - at(option.low) if step else at(option.low))

        return [[of(i, step, cost) for i, step in self.bits] for cost in ("left", "moved", "swing")]

    def least(self) -> Choice | None:
        """The least change that the engine finds within; None when there is none."""
        return self._find(None, self._costs(), spare=True)

    def _find(self, only: Collection[Check] | None, costs: list[list[float]], *, spare: bool = False) -> Choice | None:
        """The best choice that keeps every limit, or ``only`` some of them."""
        if any(self._bound(check) for check in (self.today if only is None else only)):
            return None
        while True:
            choice = self.programme.solve(sorted(self.owners if only is None else only), costs, spare=spare)
            if choice is None:
                return None
            refused = self._refused(choice)
            self.owners |= refused
            refused = refused if only is None else refused & set(only)
            if not refused:
                return choice
            for check in refused:
                self.programme.forbid(check, choice)

    def _bound(self, check: Check) -> bool:
        """Whether a load past its limit is only known to be no less: no loading can then be shown to keep it."""
        finding = self.today.get(check)
        return finding is not None and finding.at_least and finding.verdict in FAILS

    # --- when there is no plan ---------------------------------------------------------------------------------------

    def conflict(self, failing: Sequence[Check]) -> Plan:
        """The limits that cannot be kept by themselves; else the smallest set that cannot be kept together."""
        hopeless = [check for check in failing if self._find({check}, []) is None]
        answer = Plan(self.report, "impossible", untried=self.untried, marked=bool(self.marked))
        if hopeless:
            return dataclasses.replace(answer, hopeless=tuple(Hopeless(self.today[c], self._at_best(c)) for c in hopeless))
        for pair in itertools.product(failing, sorted(self.owners)):
            if pair[0] != pair[1] and self._find(set(pair), []) is None:
                return dataclasses.replace(answer, together=self._named(pair), smallest=True)
        kept = sorted(self.owners, key=lambda check: (check in failing, check))
        for check in tuple(kept):
            rest = [other for other in kept if other != check]
            if self._find(rest, []) is None:
                kept = rest
        return dataclasses.replace(answer, together=self._named(kept), smallest=len(kept) == 3)

    def _named(self, found: Iterable[Check]) -> tuple[Finding, ...]:
        """The checks as they stand, those that fail first; one that only a change makes fail, as it then stands."""
        seen = {check: finding for report in self._judged.values() for check, finding in checks(report).items()}
        named = [finding for check in found for finding in [self.today.get(check) or seen.get(check)] if finding]
        return tuple(sorted(named, key=lambda f: f.verdict not in FAILS))

    def _at_best(self, check: Check) -> Finding | None:
        """A limit with the loading that leaves the most at it."""
        if self._bound(check) or not self.programme.limits[check].scale:
            return None
        while choice := self.programme.furthest(check):
            found = checks(self.judged(choice)).get(check)
            if found:
                return found
            self.programme.forbid(check, choice)  # it can then no longer be judged
        return None
