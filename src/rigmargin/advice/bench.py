"""The engine's side of a loading plan: loadings go in, judged in full, and come out with what speaks against each."""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import dataclass, field

from rigmargin.advice.choices import Option, options
from rigmargin.advice.influence import Check, checks
from rigmargin.advice.programme import OutOfTime
from rigmargin.advice.trial import Step, rearranged
from rigmargin.judge import plugins
from rigmargin.judge.finding import Finding, Report
from rigmargin.judge.run import judge

KEPT = ("within", "at_limit")
FAILS = ("over", "outside_band", "too_close")
WORSE = ("unmet", "rule_failed", "conflict")


@dataclass(frozen=True, slots=True)
class Change:
    """One line of the plan."""

    option: Option
    percent: int = 0  # of a tank: the filling it is brought to

    @property
    def step(self) -> Step:
        """What the engine is to judge."""
        return self.option.step(self.percent)


Loading = tuple[Change, ...]


@dataclass(frozen=True, slots=True)
class Judged:
    """A loading, judged in full."""

    report: Report
    found: dict[Check, Finding]
    failing: frozenset[Check]  # the limits that it does not keep, its uncertainty included
    lost: frozenset[Check]  # known today and not with it
    worse: frozenset[Check]  # newly not met, in conflict or failed as a rule

    @property
    def refused(self) -> frozenset[Check]:
        """All that speaks against it; nothing when it is good."""
        return self.failing | self.lost | self.worse


@dataclass(slots=True)
class Bench:
    """One rig, what its file marks, and the engine that judges every loading of it until the time is up."""

    report: Report
    ruleset: plugins.Ruleset | None
    end: float  # on the clock of time.monotonic, s
    today: dict[Check, Finding] = field(init=False)  # the checks that a plan must keep or bring within
    marked: tuple[Option, ...] = field(init=False)

    def __post_init__(self) -> None:
        self.today = {check: f for check, f in checks(self.report).items() if f.verdict in (*KEPT, *FAILS)}
        self.marked = options(self.report.rig)

    @property
    def rest(self) -> float:
        """The time left, s. Raises OutOfTime when there is none."""
        rest = self.end - time.monotonic()
        if rest <= 0:
            raise OutOfTime
        return rest

    def judge(self, loading: Sequence[Change]) -> Judged:
        """The rig with the changes, judged in full."""
        then = judge(rearranged(self.report.rig, [change.step for change in loading]), self.ruleset)
        found = checks(then)
        before = {(f.key, f.verdict) for f in self.report.findings}
        worse = {  # that two figures no longer agree is told and stops nothing
            (*f.key, "") for f in then.findings if f.verdict in WORSE and not f.other[0] and (f.key, f.verdict) not in before
        }
        return Judged(
            then,
            found,
            frozenset(check for check, finding in found.items() if finding.verdict in FAILS),
            frozenset(check for check in self.today if check not in found),
            frozenset(worse),
        )


def costs(loading: Sequence[Change]) -> tuple[float, float, float]:
    """What is left behind, what is moved, and how far from the axles, to a tenth of a gram: less decides nothing."""
    done = [(c.option.left(c.percent), c.option.moved(c.percent), c.option.swing(c.percent)) for c in loading]
    left, moved, swing = (round(sum(each), 4) for each in zip(*done, strict=True)) if done else (0.0, 0.0, 0.0)
    return left, moved, swing
