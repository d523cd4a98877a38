"""Every loading that the file allows, judged one by one, the least change first: what is said then is proved.

Nothing is assumed of how options act together: limits that change with the load, springs with a gap, doubts that are the larger
of two, options that only together leave a check known, are all judged as they are.
"""

from __future__ import annotations

import itertools
import math
import time
from collections.abc import Sequence
from dataclasses import dataclass, field

from rigmargin.advice.bench import FAILS, Bench, Change, Judged, Loading, costs
from rigmargin.advice.choices import Option
from rigmargin.advice.influence import Check, same
from rigmargin.judge.finding import Finding

MOST = 2000  # loadings that are judged one by one, if they can be in
SECONDS = 20.0


@dataclass(frozen=True, slots=True)
class Hopeless:
    """A limit that nothing marked brings within, by itself."""

    today: Finding
    at_best: Finding | None  # with the loading that leaves the most; None when none changes it, or only a bound is known


@dataclass(slots=True)
class Every:
    """What the judging of every loading has told."""

    bench: Bench
    good: tuple[Loading, Judged] | None = None  # the least change
    failing: list[frozenset[Check]] = field(default_factory=list)  # of every loading judged
    refused: list[frozenset[Check]] = field(default_factory=list)
    blind: set[Check] = field(default_factory=set)  # why loadings that pass no limit are not good all the same
    best: dict[Check, Finding] = field(default_factory=dict)  # the most that is left at each limit
    moved: set[Check] = field(default_factory=set)  # the limits at which the loadings differ
    seen: dict[Check, Finding] = field(init=False)  # each check as it stands, or as the first loading shows it

    def __post_init__(self) -> None:
        self.seen = dict(self.bench.today)

    @property
    def proved(self) -> bool:
        """Whether each loading passes a limit or comes too close to it."""
        return self.good is None and all(self.failing)

    def hopeless(self) -> tuple[Hopeless, ...]:
        """The limits that no loading keeps."""
        stuck = frozenset.intersection(*self.failing)
        return tuple(Hopeless(f, self._at_best(c, f)) for c, f in self.bench.today.items() if c in stuck)

    def _at_best(self, check: Check, today: Finding) -> Finding | None:
        return self.best[check] if check in self.moved and not today.only_a_bound else None

    def together(self) -> tuple[tuple[Finding, ...], bool]:
        """Limits of which every loading passes one, and whether no smaller set is such; empty when that is not settled."""
        names = sorted(frozenset.union(*self.failing))
        kept = [c for c in names if any(c not in refused for refused in self.refused)]
        pairs = (pair for pair in itertools.combinations(kept, 2) if self._clash(pair))
        found: Sequence[Check] = next(pairs, ())
        if not found and self._clash(kept):
            found = sorted(kept, key=lambda check: (check in self.failing[0], check))
            for check in tuple(found):
                rest = [other for other in found if other != check]
                found = rest if self._clash(rest) else found
        findings = [self.seen[check] for check in found]
        return tuple(sorted(findings, key=lambda f: f.verdict not in FAILS)), len(found) <= 3

    def _clash(self, names: Sequence[Check]) -> bool:
        return all(not failing.isdisjoint(names) for failing in self.failing)

    def _learn(self, one: Judged) -> None:
        self.failing.append(one.failing)
        self.refused.append(one.refused)
        if not one.failing:
            self.blind |= one.refused
        for check, finding in one.found.items():
            first = self.seen.setdefault(check, finding)
            if not same(first, finding):
                continue
            if abs((finding.margin or 0.0) - (first.margin or 0.0)) > 1e-9:
                self.moved.add(check)
            if check not in self.best or (finding.margin or 0.0) > (self.best[check].margin or 0.0):
                self.best[check] = finding


def choices(marked: Sequence[Option]) -> list[list[Change | None]]:
    """What may be done with each thing: nothing, or one of its changes."""
    own: dict[str, list[Change | None]] = {}
    for option in marked:
        own.setdefault(option.item.path, [None]).extend(Change(option, p) for p in range(option.low, option.high + 1))
    return list(own.values())


def few(bench: Bench, most: tuple[float, ...] | None = None) -> list[Loading] | None:
    """The loadings that cost no more than ``most``, the least change first; None when they are too many to judge each."""
    own = choices(bench.marked)
    if most is None and math.prod(map(len, own)) > MOST:
        return None
    found: list[Loading] = [()]
    for each in own:  # a cost only grows with what is added
        more = ((*loading, change) for loading in found for change in each if change)
        found += [loading for loading in more if most is None or costs(loading) <= most]
        if len(found) > MOST:
            return None
    start = time.monotonic()
    bench.judge(())
    return sorted(found, key=costs) if len(found) * (time.monotonic() - start) <= min(SECONDS, bench.rest) else None


def every(bench: Bench, loadings: Sequence[Loading]) -> Every:
    """The first of the loadings that is good, or what each passes; they come the least change first. Raises OutOfTime."""
    known = Every(bench)
    for _, equals in itertools.groupby(loadings, key=costs):
        good = []
        for loading in equals:
            assert bench.rest
            one = bench.judge(loading)
            known._learn(one)
            if not one.refused:
                good.append((loading, one))
        if good:
            known.good = max(good, key=lambda pair: _room(known, pair[1]))
            break
    return known


def _room(known: Every, one: Judged) -> float:
    """What is left at the tightest of the limits that the loadings differ at, as a share of the limit."""
    found = [one.found[check] for check in known.bench.today if check in known.moved]
    return min((_left(f) for f in found), default=0.0)


def _left(finding: Finding) -> float:
    margin = finding.margin or 0.0
    left = margin - (finding.uncertainty or 0.0)
    limits = [abs(x) for x in (finding.low, finding.high) if x]
    return left / min(limits) if limits else left
