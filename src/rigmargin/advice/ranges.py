"""The masses of a trailer at which the limits of a tow vehicle are kept: ranges, because a trailer makes some limits better.

A coupling behind the rear axle takes load off the front axle, and some limits move with the trailer. So the mass is scanned
from the lightest trailer to the heaviest, and every edge between a mass that keeps a limit and one that does not is closed in
on. What begins and ends between two neighbouring masses of the scan is not seen.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable
from dataclasses import dataclass, field

from rigmargin.advice.any_trailer import behind
from rigmargin.judge import plugins, regulation
from rigmargin.judge.finding import Finding, Key, Report
from rigmargin.judge.rule import Rule
from rigmargin.judge.run import judge
from rigmargin.spec.rig import Rig

LEAST = 1.0  # kg: a trailer that is hardly there; what it passes is passed without any
MOST = 50000.0  # kg: more than any road vehicle tows; a limit farther away than this limits nothing
STEP = 1.3  # by which each trailer of the scan is heavier than the one before
SCAN = (*(LEAST * STEP**i for i in range(math.ceil(math.log(MOST / LEAST, STEP)))), MOST)  # kg
CLOSE = 1e-4  # kg: a tenth of a gram decides nothing
LINES = 12  # straight lines drawn before halving takes over
Range = tuple[float, float]  # kg, from and to; 0 where no trailer is too light, infinity where none is too heavy
Point = tuple[float, Finding | None]  # a trailer's mass in kg and what the check says of it
#: How often the uncertainty of a margin is taken off it before it is looked at.
FIGURES, SURE, NOT_PASSED = 0, 1, -1
ALL: tuple[Range, ...] = ((0.0, math.inf),)


@dataclass(slots=True)
class Trials:
    """The tow vehicle before trailers of one share."""

    rig: Rig
    share: float
    ruleset: plugins.Ruleset
    rules: tuple[Rule, ...] = field(init=False)  # those in force, the law of the rig's places among them

    def __post_init__(self) -> None:
        self.rules = (*self.ruleset.rules, *regulation.of(self.ruleset.shelves, self.rig).rules)

    def report(self, mass: float) -> Report:
        """The rig judged before a trailer of ``mass`` (kg)."""
        return judge(behind(self.rig, mass, self.share), self.ruleset)

    def one(self, which: Key, mass: float) -> Finding | None:
        """One finding of the trial, without the other rules."""
        rules = tuple(rule for rule in self.rules if rule.id == which[0])
        found = judge(behind(self.rig, mass, self.share), plugins.Ruleset(rules, ()))
        return limits_of(found).get(which)


def limits_of(report: Report) -> dict[Key, Finding]:
    """The findings by their check; whether two figures agree is no limit."""
    return {f.key: f for f in report.findings if not f.other[0]}


def kept(trials: Trials, which: Key, scan: Iterable[Point], doubt: int) -> tuple[Range, ...]:
    """The ranges of the trailer's mass in which one limit is kept by FIGURES, SURE with its uncertainty, or NOT_PASSED."""
    points = list(scan)
    edges = [0.0] if _holds(points[0][1], doubt) else []
    for left, right in itertools.pairwise(points):
        if _holds(left[1], doubt) != _holds(right[1], doubt):
            edges.append(_edge(trials, which, left, right, doubt))
    if len(edges) % 2:
        edges.append(math.inf)
    return tuple(zip(edges[::2], edges[1::2], strict=True))


def common(one: tuple[Range, ...], other: tuple[Range, ...]) -> tuple[Range, ...]:
    """What lies in both."""
    both = ((max(a, c), min(b, d)) for a, b in one for c, d in other)
    return tuple(sorted((low, high) for low, high in both if low < high))


def _holds(finding: Finding | None, doubt: int) -> bool:
    """Whether a limit is kept; one that does not speak of such a trailer is, one that cannot be checked is only not passed."""
    if doubt == NOT_PASSED:
        return finding is None or finding.verdict not in ("over", "outside_band")
    if finding is None or finding.verdict == "not_checked":
        return False
    if finding.verdict == "not_applicable":
        return True
    return finding.margin is not None and (finding.verdict in ("within", "at_limit") if doubt else finding.margin >= 0)


def _drawn(finding: Finding | None, doubt: int) -> bool:
    """Whether a margin is one to draw a line through; that of a load known only from below is not."""
    return finding is not None and finding.margin is not None and (doubt == NOT_PASSED or finding.verdict != "not_checked")


def _edge(trials: Trials, which: Key, left: Point, right: Point, doubt: int) -> float:
    """The mass between two trials at which a limit begins or ceases to be kept, kg: by straight lines through the last trials,
    halving where these do not help."""
    below = _holds(left[1], doubt)
    (low, _), (high, _), guess, turn = left, right, 0.0, 0
    points = [(mass, f) for mass, f in (left, right) if f is not None and _drawn(f, doubt)]
    while high - low > CLOSE:
        guess, turn = _crossing(points, doubt), turn + 1
        if not low < guess < high or turn > LINES:
            guess = (low + high) / 2
        for mass in (guess - CLOSE / 4, guess + CLOSE / 4):
            if low < mass < high:
                found = trials.one(which, mass)
                if _holds(found, doubt) == below:
                    low = mass
                else:
                    high = mass
                if found is not None and _drawn(found, doubt):
                    points.append((mass, found))
    if low <= guess <= high:
        return guess
    return low if below else high


def _crossing(points: list[tuple[float, Finding]], doubt: int) -> float:
    """Where the line through the latest two trials against one limit reaches zero; MOST when there are no two."""
    last = points[-1] if points else (0.0, None)
    for before in reversed(points[:-1]):
        if last[1] and _same(before[1], last[1]) and abs(before[0] - last[0]) > CLOSE:
            (x0, y0), (x1, y1) = ((mass, _left(f, doubt)) for mass, f in (before, last))
            return x1 - y1 * (x1 - x0) / (y1 - y0) if y1 != y0 else MOST
    return MOST


def _same(one: Finding, other: Finding) -> bool:
    return one.limit_name == other.limit_name and one.high == other.high


def _left(finding: Finding, doubt: int) -> float:
    return (finding.margin or 0.0) - doubt * (finding.uncertainty or 0.0)
