"""Today's rig beside the rig with each option, and with each combination of them that is permitted.

Every scenario is the whole changed rig judged by the full engine. The search is exact: every permitted combination up to a
stated number of options is tried, or it is said how many were not.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal

from rigmargin.advice.carried import OWN, Source, brought_up_to_date, items
from rigmargin.judge import plugins
from rigmargin.judge.finding import Finding, Key, Report
from rigmargin.judge.run import judge
from rigmargin.spec.options import PARTS
from rigmargin.spec.problem import FileProblems
from rigmargin.spec.rig import Item, Rig
from rigmargin.spec.variants import Considered

MOST = 4096  # combinations tried: all those of a dozen options
FAILING = ("over", "unmet", "outside_band")
DOUBTFUL = ("rule_failed", "conflict", "too_close")
UNSETTLED = (*DOUBTFUL, "not_checked")
SETTLED = ("within", "at_limit")
SPEAKS_NOT = ("note", "not_applicable")
#: What a scenario does for something that fails today.
CLEARED, OPEN, MOVED, UNMOVED = "cleared", "open", "moved", "unmoved"
STILL = 1e-6  # of its limit: a margin that moves by less was not moved


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
        return pairs(self.today, self.report)

    @property
    def nobody(self) -> bool:
        """Whether somebody is listed in the tow vehicle today and nobody would be: such a rig goes nowhere."""
        return any(map(_rides, items(self.today.rig, "tow_vehicle"))) and not any(
            map(_rides, items(self.report.rig, "tow_vehicle"))
        )

    @property
    def cleared(self) -> tuple[Finding, ...]:
        """What fails today and would be within, its uncertainty included."""
        return tuple(a for b, a in self.pairs if b and b.verdict in FAILING and a and a.verdict in SETTLED)

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
    def still_doubtful(self) -> tuple[Finding, ...]:
        """What is too close to tell, in conflict or broken, today and then."""
        return tuple(a for b, a in self.pairs if a and b and b.verdict in UNSETTLED and a.verdict in DOUBTFUL)

    @property
    def newly_unsettled(self) -> tuple[Finding, ...]:
        """What is judged today and would be open: it comes too close to tell, or a figure for it is missing."""
        return tuple(a for b, a in self._left_open if a)

    @property
    def not_made(self) -> tuple[Finding, ...]:
        """What is judged today and would not be at all, as it is today: no ticket speaks of it, or there is no such part."""
        return tuple(b for b, a in self._left_open if a is None)

    @property
    def _left_open(self) -> list[tuple[Finding, Finding | None]]:
        return [(b, a) for b, a in self.pairs if b and left_open(b, a)]

    @property
    def clears_failing(self) -> bool:
        """Whether something fails today, all of it would be within, and nothing else would fail."""
        return bool(self.cleared) and self._nothing_fails

    @property
    def clears_all(self) -> bool:
        """Whether nothing would fail, be too close, in conflict or newly open: only what is unknown today stays so."""
        open_ = self.newly_unsettled or self.not_made or _number(self.report, DOUBTFUL)
        return bool(self.cleared or self.newly_settled) and self._nothing_fails and not open_

    @property
    def _nothing_fails(self) -> bool:
        whole = len(self.cleared) == _number(self.today, FAILING)
        return whole and not self.newly_failing and not self.still_failing and not self.nobody


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
    cut_off: bool  # whether there are permitted combinations up to that number that were not tried
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
    def outcomes(self) -> tuple[tuple[Finding, str], ...]:
        """What fails today and no scenario clears, each with the most that any does for it: OPEN, MOVED or UNMOVED."""
        reports = [by_key(s.report) for s in self.scenarios]
        found = []
        for finding in (f for f in self.today.findings if f.verdict in FAILING):
            each = {_outcome(finding, report.get(finding.key)) for report in reports}
            if CLEARED not in each:
                found.append((finding, next((outcome for outcome in (OPEN, MOVED) if outcome in each), UNMOVED)))
        return tuple(found)


def by_key(report: Report) -> dict[Key, Finding]:
    """The findings of a report by what they check, worst first."""
    found: dict[Key, Finding] = {}
    for finding in report.findings:
        found.setdefault(finding.key, finding)
    return found


def pairs(before: Report, after: Report) -> tuple[tuple[Finding | None, Finding | None], ...]:
    """Each check on two versions of a rig; None where it is not made."""
    was, is_ = by_key(before), by_key(after)
    return tuple((was.get(key), is_.get(key)) for key in dict.fromkeys((*was, *is_)))


def left_open(before: Finding, after: Finding | None) -> bool:
    """Whether what was judged no longer is; what fails is not cleared by silence either."""
    if before.verdict not in (*SETTLED, *FAILING):
        return False
    silent = before.verdict in FAILING and after is not None and after.verdict in SPEAKS_NOT
    return after is None or after.verdict in UNSETTLED or silent


def compare(
    considered: Considered,
    ruleset: plugins.Ruleset | None = None,
    *,
    together: int,
    most: int = MOST,
    progress: Callable[[Iterable[tuple[str, ...]], int], Iterable[tuple[str, ...]]] = lambda names, _: names,
) -> Decision:
    """Judge today's rig and every permitted combination of up to ``together`` options, at most ``most`` of them."""
    names = [option.name for option in considered.options]
    pairs = [(a, b, why) for a, b in itertools.combinations(names, 2) for why in [considered.apart(a, b)] if why]
    allowed = permitted(considered, {frozenset((a, b)) for a, b, _ in pairs}, together)
    tried = list(itertools.islice(allowed, most))
    trials = Trials(considered, ruleset)
    today, scenarios, unusable = trials.today, [], []
    for chosen in progress(tried, len(tried)):
        try:
            scenarios.append(trials.scenario(chosen))
        except FileProblems as problems:
            unusable.append((chosen, str(problems.problems[0])))
    cut_off = next(allowed, None) is not None
    return Decision(considered, today, tuple(scenarios), together, cut_off, tuple(pairs), tuple(unusable))


class Trials:
    """The rigs that options make, judged; each combination once."""

    def __init__(self, considered: Considered, ruleset: plugins.Ruleset | None) -> None:
        self.considered, self.ruleset = considered, ruleset
        self.today = judge(considered.rig, ruleset)
        self._judged: dict[tuple[str, ...], Report] = {}

    def scenario(self, chosen: tuple[str, ...]) -> Scenario:
        """The rig with these options beside today's. Raises FileProblems when they make no sound rig."""
        report, now = self._report(chosen), self.today.rig
        kept = {ticket.path for ticket in report.rig.weighings}
        newer = {ticket.state for ticket in report.rig.weighings if ticket.label.startswith(f"{OWN} ")}
        aside = tuple(w.path for w in now.weighings if w.path not in kept and w.state not in newer)
        carried = {item.name for item in (*report.rig.tow_items, *report.rig.trailer_items) if item.aboard}
        left = tuple(i.name for i in (*now.tow_items, *now.trailer_items) if i.aboard and i.name not in carried)
        return Scenario(chosen, _cost(self.considered, chosen), report, self.today, aside, left)

    def _report(self, chosen: tuple[str, ...]) -> Report:
        """The rig with these options, its evidence brought up to date from the rigs that it was taken of."""
        if not chosen:
            return self.today
        if chosen not in self._judged:
            variant = self.considered.with_options(chosen)
            rig = brought_up_to_date(self._tickets(chosen), self._coupling_load(chosen, variant.rig), variant.rig)
            self._judged[chosen] = judge(rig, self.ruleset)
        return self._judged[chosen]

    def _tickets(self, chosen: tuple[str, ...]) -> Source:
        """The rig that the tickets speak of; with tickets of its own, the rig without the option that brings them."""
        of = self.considered.speaking_of("weighings", chosen)
        own = of[-1] if of and set(of) == set(chosen) else ""
        names = of[:-1] if own and of else of or ()
        report = self._report(tuple(name for name in chosen if name in names))
        return Source(report.rig, report, self._others(chosen, names), own)

    def _coupling_load(self, chosen: tuple[str, ...], after: Rig) -> Source:
        """The rig that the stated coupling load speaks of."""
        of = self.considered.speaking_of("coupling_load", chosen)
        if of is None:
            return Source(self.today.rig, self.today, self._others(chosen, ()))
        same = set(of) == set(chosen)
        return Source(after if same else self.considered.with_options(of).rig, self.today, self._others(chosen, of))

    def _others(self, chosen: tuple[str, ...], before: tuple[str, ...]) -> frozenset[str]:
        """The vehicles that are others with these options than before."""
        now, then = (self.considered.replacing(names) for names in (chosen, before))
        return frozenset(part for part in PARTS if now.get(part) != then.get(part))


def permitted(considered: Considered, apart: set[frozenset[str]], together: int) -> Iterator[tuple[str, ...]]:
    """Every combination whose options have what they need and nothing that they exclude, the fewest first."""
    names = [option.name for option in considered.options]
    needs = {name: set(considered.needed(name)) for name in names}

    def grown(chosen: tuple[str, ...], lacking: frozenset[str], start: int, more: int) -> Iterator[tuple[str, ...]]:
        if len(lacking) > more or not lacking <= set(names[start:]):  # what they need does not fit, or was passed over
            return
        if not more:
            yield chosen
            return
        for i in range(start, len(names) - more + 1):
            if not any(frozenset((name, names[i])) in apart for name in chosen):
                now = (*chosen, names[i])
                yield from grown(now, frozenset(lacking | needs[names[i]]) - set(now), i + 1, more - 1)

    for size in range(1, min(together, len(names)) + 1):
        yield from grown((), frozenset(), 0, size)


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


def _rides(item: Item) -> bool:
    return item.person and item.aboard


def _outcome(before: Finding, after: Finding | None) -> str:
    """What a scenario does for something that fails."""
    if after is None or after.verdict in (*UNSETTLED, *SPEAKS_NOT):
        return OPEN
    if after.verdict in SETTLED:
        return CLEARED
    if before.margin is None or after.margin is None:
        return UNMOVED
    least = STILL * max(abs(limit) for limit in (before.low, before.high, 1e-9) if limit is not None)
    return MOVED if after.margin - before.margin > least else UNMOVED
