"""Today's rig beside the rig with each option, and with each combination of them that is permitted.

Every scenario is the whole changed rig judged by the full engine. The search is exact: every permitted combination up to a
stated number of options is tried, or it is said how many were not.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from decimal import Decimal

from rigmargin.advice.carried import brought_up_to_date
from rigmargin.judge import plugins
from rigmargin.judge.finding import Finding, Report
from rigmargin.judge.run import judge
from rigmargin.spec.problem import FileProblems
from rigmargin.spec.variants import Considered

MOST = 4096  # combinations tried: all those of a dozen options
FAILING = ("over", "unmet", "outside_band")
DOUBTFUL = ("rule_failed", "conflict", "too_close")
UNSETTLED = (*DOUBTFUL, "not_checked")
SETTLED = ("within", "at_limit")
STILL = 1e-6  # of its limit: a margin that moves by less was not moved
Key = tuple[str, str, str]  # rule, subject and state of a finding: the same check on two versions of a rig


@dataclass(frozen=True, slots=True)
class Cost:
    """What some options cost together, by the owner's own figures."""

    sums: tuple[tuple[str, Decimal], ...]  # currency and amount, nothing for a sum of zero
    unknown: tuple[str, ...]  # the options whose cost the file does not give

    @property
    def single(self) -> tuple[str, Decimal] | None:
        """The one currency and amount; None when it is not known or in several currencies."""
        if self.unknown or len(self.sums) > 1:
            return None
        return self.sums[0] if self.sums else ("", Decimal(0))


@dataclass(frozen=True, slots=True)
class Scenario:
    """The rig with some options, judged."""

    names: tuple[str, ...]  # in the file's order
    cost: Cost
    report: Report
    today: Report
    set_aside: tuple[str, ...]  # tickets of today that do not speak of it
    left_behind: tuple[str, ...]  # what today's rig carries and this one does not

    @property
    def pairs(self) -> tuple[tuple[Finding | None, Finding | None], ...]:
        """Each check as it is today and as it would be; None where it is not made."""
        before, after = by_key(self.today), by_key(self.report)
        return tuple((before.get(key), after.get(key)) for key in dict.fromkeys((*before, *after)))

    @property
    def cleared(self) -> tuple[Finding, ...]:
        """What fails today and would not, its uncertainty included."""
        return tuple(a or b for b, a in self.pairs if b and b.verdict in FAILING and _settled(a))

    @property
    def newly_failing(self) -> tuple[Finding, ...]:
        """What would fail and does not today."""
        return tuple(a for b, a in self.pairs if a and a.verdict in FAILING and not (b and b.verdict in FAILING))

    @property
    def still_failing(self) -> tuple[Finding, ...]:
        """What fails today and would still."""
        return tuple(a for b, a in self.pairs if a and a.verdict in FAILING and b and b.verdict in FAILING)

    @property
    def newly_settled(self) -> tuple[Finding, ...]:
        """What is open today and would be within."""
        return tuple(a for b, a in self.pairs if a and b and b.verdict in UNSETTLED and a.verdict in SETTLED)

    @property
    def newly_unsettled(self) -> tuple[Finding, ...]:
        """What is judged today and would be open: a ticket does not speak of it any more, or it comes too close to tell."""
        open_ = [(b, a) for b, a in self.pairs if b and b.verdict in (*SETTLED, *FAILING)]
        return tuple(a or b for b, a in open_ if not _settled(a) and not (a and a.verdict in FAILING))

    @property
    def still_doubtful(self) -> tuple[Finding, ...]:
        """What is too close to tell, in conflict or broken, today and then."""
        return tuple(a for b, a in self.pairs if a and b and b.verdict in UNSETTLED and a.verdict in DOUBTFUL)

    @property
    def clears_failing(self) -> bool:
        """Whether nothing would fail, and nothing that fails today would be left open."""
        return not self.newly_failing and not self.still_failing and len(self.cleared) == _number(self.today, FAILING)

    @property
    def clears_all(self) -> bool:
        """Whether, besides, nothing would be too close, in conflict or newly open: only what is unknown today stays so."""
        return self.clears_failing and not _number(self.report, DOUBTFUL) and not self.newly_unsettled


@dataclass(frozen=True, slots=True)
class Cheapest:
    """The cheapest of the scenarios that do something."""

    priced: tuple[Scenario, ...]  # one for each currency
    unpriced: tuple[Scenario, ...]  # those of unknown or mixed cost with no option to spare

    @property
    def any(self) -> bool:
        """Whether there is one at all."""
        return bool(self.priced or self.unpriced)


@dataclass(frozen=True, slots=True)
class Decision:
    """The whole comparison."""

    considered: Considered
    today: Report
    scenarios: tuple[Scenario, ...]  # fewest options first, in the file's order
    together: int  # the most options that were tried together
    untried: int  # permitted combinations up to that number that were not tried
    apart: tuple[tuple[str, str, str], ...]  # pairs of options that cannot come together, and why
    unusable: tuple[tuple[tuple[str, ...], str], ...]  # combinations that make no sound rig, and why

    @property
    def nothing_fails(self) -> bool:
        """Whether nothing is passed today."""
        return not _number(self.today, FAILING)

    @property
    def broken(self) -> bool:
        """Whether a rule failed, today or in a scenario."""
        return any(_number(report, ("rule_failed",)) for report in (self.today, *(s.report for s in self.scenarios)))

    @property
    def clears_failing(self) -> Cheapest:
        """The cheapest scenarios after which nothing fails."""
        return _cheapest([s for s in self.scenarios if s.clears_failing])

    @property
    def clears_all(self) -> Cheapest:
        """The cheapest after which all that can be judged is within."""
        return _cheapest([s for s in self.scenarios if s.clears_all])

    @property
    def unmoved(self) -> tuple[Finding, ...]:
        """What fails today with a margin that no scenario moves towards its limit."""
        failing = [f for f in self.today.findings if f.verdict in FAILING]
        return tuple(f for f in failing if not any(_moved(f, by_key(s.report).get(key(f))) for s in self.scenarios))

    @property
    def uncleared(self) -> tuple[Finding, ...]:
        """What fails today and no scenario clears."""
        failing = [f for f in self.today.findings if f.verdict in FAILING]
        return tuple(f for f in failing if not any(_settled(by_key(s.report).get(key(f))) for s in self.scenarios))


def key(finding: Finding) -> Key:
    """What makes a finding the same check on two versions of a rig."""
    return finding.rule, finding.subject, finding.state


def by_key(report: Report) -> dict[Key, Finding]:
    """The findings of a report by what they check, worst first."""
    found: dict[Key, Finding] = {}
    for finding in report.findings:
        found.setdefault(key(finding), finding)
    return found


def compare(
    considered: Considered,
    ruleset: plugins.Ruleset | None = None,
    *,
    together: int,
    most: int = MOST,
    progress: Callable[[Iterable[tuple[str, ...]], int], Iterable[tuple[str, ...]]] = lambda names, _: names,
) -> Decision:
    """Judge today's rig and every permitted combination of up to ``together`` options, at most ``most`` of them."""
    today = judge(considered.rig, ruleset)
    names = [option.name for option in considered.options]
    pairs = [(a, b, why) for a, b in itertools.combinations(names, 2) for why in [considered.apart(a, b)] if why]
    permitted = _permitted(considered, {frozenset((a, b)) for a, b, _ in pairs}, together)
    tried, scenarios, unusable = permitted[:most], [], []
    for chosen in progress(tried, len(tried)):
        try:
            variant = considered.with_options(chosen)
        except FileProblems as problems:
            unusable.append((chosen, str(problems.problems[0])))
            continue
        rig = brought_up_to_date(today, variant)
        kept = {ticket.path for ticket in rig.weighings}
        aside = () if variant.weighed else tuple(w.path for w in today.rig.weighings if w.path not in kept)
        carried = {item.name for item in (*variant.rig.tow_items, *variant.rig.trailer_items) if item.aboard}
        left = tuple(i.name for i in (*today.rig.tow_items, *today.rig.trailer_items) if i.aboard and i.name not in carried)
        scenarios.append(Scenario(chosen, _cost(considered, chosen), judge(rig, ruleset), today, aside, left))
    return Decision(considered, today, tuple(scenarios), together, len(permitted) - len(tried), tuple(pairs), tuple(unusable))


def _permitted(considered: Considered, apart: set[frozenset[str]], together: int) -> list[tuple[str, ...]]:
    """Every combination whose options have what they need and nothing that they exclude, the fewest first."""
    names = [option.name for option in considered.options]
    needs = {option.name: set(option.needs) for option in considered.options}
    sizes = range(1, min(together, len(names)) + 1)
    return [
        chosen
        for size in sizes
        for chosen in itertools.combinations(names, size)
        if all(needs[name] <= set(chosen) for name in chosen)
        and not any(frozenset(pair) in apart for pair in itertools.combinations(chosen, 2))
    ]


def _cost(considered: Considered, chosen: tuple[str, ...]) -> Cost:
    sums: dict[str, Decimal] = {}
    options = [considered.option(name) for name in chosen]
    for option in options:
        if option.cost:
            sums[option.currency] = sums.get(option.currency, Decimal(0)) + option.cost
    return Cost(tuple(sorted(sums.items())), tuple(option.name for option in options if option.cost is None))


def _cheapest(candidates: list[Scenario]) -> Cheapest:
    """The cheapest in each currency, one that costs nothing in any; and the rest that has no option to spare."""
    priced = [(single, s) for s in candidates for single in [s.cost.single] if single]
    free = [s for (currency, _), s in priced if not currency]
    if free:
        return Cheapest((min(free, key=lambda s: len(s.names)),), ())
    best: dict[str, tuple[Decimal, int, Scenario]] = {}
    for (currency, amount), scenario in priced:
        known = best.get(currency)
        if known is None or (amount, len(scenario.names)) < known[:2]:
            best[currency] = amount, len(scenario.names), scenario
    unpriced = [s for s in candidates if s.cost.single is None]
    spare = [s for s in unpriced if any(set(other.names) < set(s.names) for other in candidates)]
    return Cheapest(tuple(s for _, _, s in best.values()), tuple(s for s in unpriced if s not in spare))


def _number(report: Report, verdicts: tuple[str, ...]) -> int:
    return sum(finding.verdict in verdicts for finding in report.findings)


def _settled(finding: Finding | None) -> bool:
    return finding is not None and finding.verdict in (*SETTLED, "note", "not_applicable")


def _moved(before: Finding, after: Finding | None) -> bool:
    """Whether a failing margin comes nearer to its limit; what has no margin, whether it would be met."""
    if after is None:
        return False
    if before.margin is None or after.margin is None:
        return _settled(after)
    least = STILL * max(abs(limit) for limit in (before.low, before.high, 1e-9) if limit is not None)
    return after.margin - before.margin > least
