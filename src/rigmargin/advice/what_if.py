"""What each margin would be with tanks filled otherwise, other people aboard and things elsewhere: sums that a page can redo.

A load is a sum of masses times levers, so that a margin, and each input's part in the doubt about it, is a straight line in
what one dial sets, and what several dials do together is the sum of what each does. A share is one such sum over another. The
full engine gives the lines: it judges the rig with each dial at the ends of its range. Then it judges the rig at other
settings, of one and of all dials, and a check for which sums say anything else there is not followed, and named.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from rigmargin.advice.choices import fillings
from rigmargin.advice.influence import WHOLES, Check, Trial, checks, same
from rigmargin.advice.trial import Step, rearranged
from rigmargin.judge import plugins
from rigmargin.judge.finding import Finding, Report
from rigmargin.judge.run import ZERO, judge, verdict_of
from rigmargin.loads.facts import Known
from rigmargin.loads.linear import Linear
from rigmargin.loads.value import COVERAGE, Value, nominal
from rigmargin.spec.rig import Item, Rig

HEAVIEST = 150.0  # kg: as far as the dial of a person goes; to twice the mass stated, where that is more
FOLLOWED = ("over", "outside_band", "too_close", "at_limit", "within")
#: How far a sum may be from the engine (kg, or a plain ratio): far below the last digit that is shown.
CLOSE = {"mass": 0.01, "ratio": 1e-5}
EVEN = ", equalized"  # how the doubt about one of several equalized axles ends


class Sum(NamedTuple):
    """A number and the standard uncertainties that it is made of, by input, each with its sign."""

    number: float
    doubt: Mapping[str, float]

    def __add__(self, other: object) -> Sum:
        if not isinstance(other, Sum):
            return NotImplemented
        paths = dict.fromkeys((*self.doubt, *other.doubt))
        return Sum(self.number + other.number, {path: self.doubt.get(path, 0.0) + other.doubt.get(path, 0.0) for path in paths})

    def times(self, factor: float) -> Sum:
        """Every part of it multiplied."""
        return Sum(factor * self.number, {path: factor * part for path, part in self.doubt.items()})

    @property
    def spread(self) -> float:
        """Its expanded uncertainty."""
        return COVERAGE * math.hypot(*self.doubt.values())


Sums = tuple[Sum, ...]  # one for a margin; for a margin that is a share, the part and the whole


@dataclass(frozen=True, slots=True)
class Range:
    """The settings of a dial from one to another, between which sums are straight lines; one setting may be both."""

    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Dial:
    """One thing that may be set otherwise: a tank in percent of its volume, a person in kg, any other thing by its choice."""

    item: Item
    kind: str  # "tank", "person" or "thing"
    now: float  # of a thing 0, and its choices are counted from 1
    ranges: tuple[Range, ...]  # every setting but the one of now

    def step(self, setting: float) -> Step:
        """What a setting does."""
        if self.kind == "tank":
            return Step(self.item, share=setting / 100)
        if self.kind == "person":
            return Step(self.item, share=setting / self.now)
        places = self.item.may_go_to
        return Step(self.item, places[int(setting) - 1]) if setting <= len(places) else Step(self.item)


@dataclass(frozen=True, slots=True)
class Followed:
    """One check in sums."""

    check: Check
    today: Finding
    now: Sums
    moved: Mapping[tuple[int, int], tuple[Sums, Sums]]  # what it gains at both ends, by dial and range; none where nothing
    upper: bool  # whether the limit is one from above; of a share only

    def at(self, dials: Sequence[Dial], settings: Sequence[float]) -> Sums:
        """Its sums with each dial at a setting."""
        made = self.now
        for i, (dial, setting) in enumerate(zip(dials, settings, strict=True)):
            for k, reach in enumerate(dial.ranges):
                if (i, k) in self.moved and setting != dial.now and reach.low <= setting <= reach.high:
                    low, high = self.moved[i, k]
                    far = (setting - reach.low) / (reach.high - reach.low) if reach.high > reach.low else 0.0
                    made = tuple(m + a.times(1 - far) + b.times(far) for m, a, b in zip(made, low, high, strict=True))
        return made

    def margin(self, sums: Sums) -> Sum:
        """The margin that sums come to, kg or a plain ratio."""
        if len(sums) == 1:
            return sums[0]
        part, whole = sums
        limit = self.today.high if self.upper else self.today.low
        assert limit is not None
        share, sign = part.number / whole.number, -1.0 if self.upper else 1.0
        doubt = (part + whole.times(-share)).times(sign / whole.number).doubt
        return Sum(sign * (share - limit), doubt)

    @property
    def even(self) -> str:
        """The input by which one of several axles under one entry differs from their mean; empty where there is none."""
        heaviest = self.today.estimate and self.today.estimate.heaviest is not None
        return next((path for path in self.now[0].doubt if path.endswith(EVEN)), "") if heaviest else ""

    def verdict(self, margin: Sum) -> str:
        """The verdict on a margin, as the engine gives it."""
        failing = self.failing
        found = verdict_of(margin.number, margin.spread, failing)
        if found == "too_close" and self.even:  # what they pass on average one of them passes
            sure = Sum(margin.number, {path: part for path, part in margin.doubt.items() if path != self.even})
            return failing if verdict_of(margin.number, sure.spread, failing) == failing else found
        return found

    @property
    def failing(self) -> str:
        """The verdict when the limit is passed."""
        return "outside_band" if self.check[3] else "over"


@dataclass(frozen=True, slots=True)
class WhatIf:
    """The dials of a rig and the checks they move."""

    dials: tuple[Dial, ...]
    followed: tuple[Followed, ...]  # moved by a dial, least margin for its limit first
    lost: tuple[Finding, ...]  # moved by a dial, and not in such sums: today's findings
    judged: int  # how many settings the engine judged


def what_if(report: Report, ruleset: plugins.Ruleset | None = None) -> WhatIf:
    """The dials of a judged rig and the sums behind each check that they move."""
    made = tuple(dials(report.rig))
    trial = _Engine(report, made, ruleset)
    ends = {(i, k): trial.ends(i, reach) for i, dial in enumerate(made) for k, reach in enumerate(dial.ranges)}
    today = {check: f for check, f in checks(report).items() if f.verdict in FOLLOWED}
    lines = {check: _followed(check, f, report, ends) for check, f in today.items()}
    wrong = {check for check, line in lines.items() if line is None}
    wrong |= _unlike(lines, made, [dial.now for dial in made], today)
    for settings in _others(made):
        wrong |= _unlike(lines, made, settings, checks(trial.report(settings)))
    lines = {check: line for check, line in lines.items() if line and (line.moved or check in wrong)}
    followed = tuple(line for check, line in lines.items() if line and check not in wrong)
    lost = {today[check].key: today[check] for check in today if check in wrong}
    lost |= {f.key: f for f in report.findings if f.key not in lost and f.key in trial.turned}
    shown = {line.today.key for line in followed}
    return WhatIf(made, followed, tuple(f for key, f in lost.items() if key not in shown), trial.judged)


def dials(rig: Rig) -> Iterator[Dial]:
    """Every tank and every person aboard, and what the file marks as movable, where its place is known."""
    for item in (*rig.tow_items, *rig.trailer_items):
        if not item.aboard or item.station is None:
            continue
        if item.tank:
            ranges = tuple(Range(low, high) for low, high in fillings(item.tank))
            yield Dial(item, "tank", round(100 * item.tank.share, 6), ranges)
        elif item.mass and item.mass.number > 0 and item.person:
            yield Dial(item, "person", item.mass.number, (Range(0.0, max(HEAVIEST, 2 * item.mass.number)),))
        elif item.mass and item.mass.number > 0 and (item.may_go_to or item.reluctance):
            choices = len(item.may_go_to) + bool(item.reluctance)
            yield Dial(item, "thing", 0, tuple(Range(n, n) for n in range(1, choices + 1)))


class _Engine:
    """The engine at settings of the dials."""

    def __init__(self, report: Report, made: tuple[Dial, ...], ruleset: plugins.Ruleset | None) -> None:
        self.today, self.dials, self.ruleset, self.judged = report, made, ruleset, 0
        self.turned: set[tuple[str, str, str]] = set()  # checks without a margin whose verdict a setting turns
        self._verdicts = {f.key: f.verdict for f in report.findings}
        self._compared = {f.key for f in checks(report).values() if f.verdict in FOLLOWED}

    def report(self, settings: Sequence[float]) -> Report:
        """The rig judged with each dial at its setting."""
        steps = [dial.step(x) for dial, x in zip(self.dials, settings, strict=True) if x != dial.now]
        found = judge(rearranged(self.today.rig, steps), self.ruleset)
        self.judged += 1
        then = {f.key: f.verdict for f in found.findings}
        self.turned |= {key for key, v in self._verdicts.items() if key not in self._compared and then.get(key) != v}
        return found

    def ends(self, dial: int, reach: Range) -> tuple[Trial, Trial]:
        """The rig judged with one dial at either end of a range."""
        low = self._alone(dial, reach.low)
        return low, self._alone(dial, reach.high) if reach.high > reach.low else low

    def _alone(self, dial: int, setting: float) -> Trial:
        found = self.report([setting if i == dial else each.now for i, each in enumerate(self.dials)])
        return found, checks(found)


def _others(made: Sequence[Dial]) -> Iterator[list[float]]:
    """Settings at which sums are held against the engine: all dials at their least, at their most, between, and by turns."""
    if not made:
        return
    ends = [(dial.ranges[0].low, dial.ranges[-1].high) for dial in made if dial.ranges]
    if len(ends) == len(made):
        yield [low for low, _ in ends]
        yield [high for _, high in ends]
        yield [pair[i % 2] for i, pair in enumerate(ends)]
        yield [pair[(i + 1) % 2] for i, pair in enumerate(ends)]
        widest = [max(dial.ranges, key=lambda r: r.high - r.low) for dial in made]
        yield [round((reach.low + reach.high) / 2) for reach in widest]


def _unlike(
    lines: Mapping[Check, Followed | None], made: Sequence[Dial], settings: Sequence[float], then: Mapping[Check, Finding]
) -> set[Check]:
    """The checks for which the engine says anything else than the sums."""
    wrong: set[Check] = set()
    for check, line in lines.items():
        if line is None:
            continue
        finding, margin = then.get(check), line.margin(line.at(made, settings))
        close = CLOSE.get(line.today.dimension, CLOSE["mass"])
        if (
            finding is None
            or not same(line.today, finding)
            or line.verdict(margin) != finding.verdict
            or abs(margin.number - (finding.margin or 0.0)) > close
            # what one of several axles passes for certain is said without the doubt about how they share
            or (not finding.at_least and abs(margin.spread - (finding.uncertainty or 0.0)) > close)
        ):
            wrong.add(check)
    return wrong


def _followed(
    check: Check, today: Finding, report: Report, ends: Mapping[tuple[int, int], tuple[Trial, Trial]]
) -> Followed | None:
    """A check in sums; None where the engine gives none at an end of a dial, or does not agree with them as the rig is."""
    upper = check[3] != ", lower end" and today.high is not None
    now = _sums(report, today)
    if now is None:
        return None
    moved: dict[tuple[int, int], tuple[Sums, Sums]] = {}
    for at, pair in ends.items():
        gained: list[Sums] = []
        for each, found in pair[:1] if pair[0] is pair[1] else pair:
            finding = found.get(check)
            then = _sums(each, finding) if finding and same(today, finding) and finding.verdict in FOLLOWED else None
            if then is None:
                return None
            gained.append(tuple(one + old.times(-1) for one, old in zip(then, now, strict=True)))
        if any(abs(part) > ZERO for sums in gained for each in sums for part in (each.number, *each.doubt.values())):
            moved[at] = gained[0], gained[-1]
    return Followed(check, today, now, moved, upper)


def _sums(report: Report, finding: Finding) -> Sums | None:
    """A margin as a sum, or as a share of sums."""
    if finding.dimension != "ratio":
        return (_margin(finding),)
    whole = _whole(report, finding)
    if whole is None or finding.estimate is None:
        return None
    return _sum(finding.estimate.value * whole), _sum(whole)


def _whole(report: Report, finding: Finding) -> Value | None:
    if finding.source is None:
        return None
    names = (finding.source.needs.get("load", ""), *(own.get("load", "") for own in finding.source.each.values()))
    known = [report.facts.find(WHOLES[name]) for name in names if name in WHOLES]
    return next((k.value for k in known if isinstance(k, Known) and not isinstance(k.value, (str, tuple))), None)


def _sum(value: Value) -> Sum:
    slopes = value.slopes if isinstance(value, Linear) else {}
    return Sum(nominal(value), {each.tag: slope * each.sigma for each, slope in slopes.items() if slope and each.sigma})


def _margin(finding: Finding) -> Sum:
    half = (finding.uncertainty or 0.0) / COVERAGE
    doubt = {i.path: half * math.copysign(math.sqrt(i.share), i.slope) for i in finding.inputs if i.share}
    if finding.at_least and finding.estimate and finding.estimate.heaviest is not None:
        return Sum(finding.margin or 0.0, doubt | _even(finding))
    return Sum(finding.margin or 0.0, doubt)


def _even(finding: Finding) -> dict[str, float]:
    """The doubt about how several axles share, which is left out of what one of them passes for certain."""
    assert finding.estimate is not None and finding.load is not None
    load = finding.estimate.value
    times = -finding.load / nominal(load)  # of a side's wheels: the side's part of the axle
    return {path: times * part for path, part in _sum(load).doubt.items() if path.endswith(EVEN)}
