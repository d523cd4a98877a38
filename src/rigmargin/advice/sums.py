"""A margin as a sum over dials: a straight line in each, and so is each input's part in the doubt about it.

A share is one such sum over another; of the two doubts about a coupling load from items the larger counts.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from rigmargin.advice.dials import Dial
from rigmargin.advice.influence import Check, doubts, whole
from rigmargin.judge.finding import Finding, Report
from rigmargin.judge.run import verdict_of
from rigmargin.loads import statics
from rigmargin.loads.linear import Linear
from rigmargin.loads.trailer import GROUP, VERTICAL
from rigmargin.loads.value import COVERAGE, Value, nominal
from rigmargin.loads.ways import COUPLED

EVEN = ", equalized"  # how the doubt about one of several equalized axles ends
#: The doubt about a coupling load from items: as a share of it, or, where that is more, of the whole trailer.
FROM_ITEMS = statics.FROM_ITEMS
LEAST = f"{FROM_ITEMS}, at the least"


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
        """Its expanded uncertainty; of the two doubts about a coupling load from items the larger counts."""
        either = max(abs(self.doubt.get(FROM_ITEMS, 0.0)), abs(self.doubt.get(LEAST, 0.0)))
        return COVERAGE * math.hypot(either, *(part for path, part in self.doubt.items() if path not in (FROM_ITEMS, LEAST)))


Sums = tuple[Sum, ...]  # one for a margin; for a margin that is a share, the part and the whole


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


def sums(report: Report, finding: Finding) -> Sums | None:
    """A finding's margin as a sum, or as a share of sums; None where it is neither."""
    if finding.dimension != "ratio":
        return (_both(_margin(finding), report),)
    known = whole(report, finding)
    if known is None or finding.estimate is None:
        return None
    return _both(_sum(finding.estimate.value * known), report), _both(_sum(known), report)


def _both(made: Sum, report: Report) -> Sum:
    """A sum with both doubts about a coupling load from items in the place of the larger, which may turn with the loading."""
    larger = made.doubt.get(FROM_ITEMS)
    if not larger:
        return made
    ahead, behind = (_by_items(report, name) for name in (VERTICAL, GROUP))
    share, least = statics.doubts_from_items(ahead, ahead + behind, report.rig.settings.evidence)
    times = larger / max(abs(share), abs(least))
    return Sum(made.number, {**made.doubt, FROM_ITEMS: times * share, LEAST: times * least})


def _by_items(report: Report, name: str) -> float:
    """What the trailer's items at their stations come to, kg."""
    found = report.facts.loads[name, COUPLED].estimates
    return nominal(next(e.value for e in found if e.method == "computed" and e.origin == "trailer"))


def _sum(value: Value) -> Sum:
    slopes = value.slopes if isinstance(value, Linear) else {}
    return Sum(nominal(value), {each.tag: slope * each.sigma for each, slope in slopes.items() if slope and each.sigma})


def _margin(finding: Finding) -> Sum:
    sure = finding.at_least and finding.estimate and finding.estimate.heaviest is not None
    return Sum(finding.margin or 0.0, doubts(finding) | (_even(finding) if sure else {}))


def _even(finding: Finding) -> dict[str, float]:
    """The doubt about how several axles share, which is left out of what one of them passes for certain."""
    assert finding.estimate is not None and finding.load is not None
    load = finding.estimate.value
    times = -finding.load / nominal(load)  # of a side's wheels: the side's part of the axle
    return {path: times * part for path, part in _sum(load).doubt.items() if path.endswith(EVEN)}
