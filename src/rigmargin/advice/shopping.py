"""Which trailer this tow vehicle takes: the masses that keep each limit, at one share on the coupling.

Every limit is found by judging the tow vehicle, its people and its cargo before trailers of other masses, and by looking for
the masses at which the rule's own margin is used up. A rule of a plugin binds like ours. What the vehicle must be for the
trailer on file is in ``needs``.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import dataclass
from functools import reduce

from rigmargin.advice.any_trailer import ACTUATION, Share, behind, on_trailer
from rigmargin.advice.needs import Needs, needs
from rigmargin.advice.ranges import (
    ALL,
    FIGURES,
    LEAST,
    MOST,
    NOT_PASSED,
    SCAN,
    SURE,
    Point,
    Range,
    Trials,
    common,
    kept,
    limits_of,
)
from rigmargin.judge import plugins
from rigmargin.judge.finding import Finding, Report
from rigmargin.judge.run import judge
from rigmargin.loads.facts import Missing, how_to_learn
from rigmargin.loads.value import nominal
from rigmargin.spec.rig import Rig

TROUBLE = ("over", "unmet", "outside_band", "rule_failed", "conflict", "too_close")
NOUGHT = 1e-6  # kg: less than this past a limit is what is left of rounding


@dataclass(frozen=True, slots=True)
class Largest:
    """The trailers that keep one limit."""

    stops: Finding  # the limit, as it stands with the heaviest of them, or with hardly any trailer where there are none
    ranges: tuple[Range, ...]  # kg, in which it is kept by its figures
    sure_ranges: tuple[Range, ...]  # kg, in which it is kept with its uncertainty
    passed_alone: bool  # whether it is passed without any trailer already
    open: bool = False  # whether the load is only known from below: outside the ranges it is passed, inside nothing is sure

    @property
    def mass(self) -> float:
        """The heaviest trailer that keeps it, kg; 0 when none does, infinity when none is too heavy."""
        return self.ranges[-1][1] if self.ranges else 0.0

    @property
    def sure(self) -> float:
        """The heaviest trailer that is sure to keep it, kg; 0 when none is, infinity when none is too heavy."""
        return self.sure_ranges[-1][1] if self.sure_ranges else 0.0

    @property
    def over_at_least(self) -> bool:
        """Whether the lightest trailer passes it."""
        return not self.ranges or self.ranges[0][0] > 0

    @property
    def by_maker(self) -> bool:
        """Whether it is the vehicle maker's own limit on the trailer, which people know best."""
        return self.stops.limit is not None and self.stops.limit.path.startswith("tow_vehicle.max_trailer_mass")


@dataclass(frozen=True, slots=True)
class Unknown:
    """A check of the tow vehicle that could not be made, with what to learn for it."""

    finding: Finding
    missing: tuple[Missing, ...]


@dataclass(frozen=True, slots=True)
class Shopping:
    """The answer for one rig at one share."""

    report: Report  # the rig as it is
    share: Share
    custom: Finding | None  # the share held against its band; the rig's own share with its doubt
    largest: tuple[Largest, ...]  # least first
    window: tuple[Range, ...]  # kg, the trailers that are sure to keep every limit that is known
    unknown: tuple[Unknown, ...]  # of the tow vehicle's limits
    size: float  # kg, the trailer that the two below speak of: the largest that is sure, or one that is hardly there
    remarks: tuple[Finding, ...]  # what else is not in order with it
    front_left: float | None  # the share of the front axle's load without a trailer that is left to it
    needs: Needs
    failed: tuple[Finding, ...]  # rules and plugins that broke

    @property
    def empty(self) -> bool:
        """Whether nothing at all could be computed."""
        return not self.largest and not self.needs.least


def shopping(report: Report, share: Share, ruleset: plugins.Ruleset | None = None) -> Shopping:
    """The largest trailer under every limit of the tow vehicle, and the least figures the file's trailer asks of one."""
    ruleset = ruleset or plugins.load()
    trials = Trials(report.rig, share.ratio, ruleset)
    least = trials.report(LEAST)
    largest = tuple(sorted(_all(trials, least), key=lambda r: (r.sure, r.mass, r.stops.rule, r.stops.subject)))
    window = reduce(common, (row.sure_ranges for row in largest), ALL)
    size = _largest_of(window)
    then = trials.report(size)
    rows = {row.stops.key for row in largest}
    return Shopping(
        report,
        share,
        next(filter(_is_custom, (report if share.how else then).findings), None),
        largest,
        window,
        tuple(_unknown(then)),
        size,
        tuple(f for f in then.findings if f.verdict in TROUBLE and f.key not in rows and not _is_custom(f)),
        _front_left(then),
        needs(report.rig, share.ratio, ruleset),
        tuple(f for f in (*report.findings, *then.findings) if f.verdict == "rule_failed"),
    )


def custom(rig: Rig, ruleset: plugins.Ruleset | None = None) -> Finding | None:
    """A share of a tenth held against the band that holds for this rig, for the band's own sake; None when none does."""
    return next(filter(_is_custom, judge(behind(rig, LEAST, 0.1), ruleset).findings), None)


def _largest_of(window: tuple[Range, ...]) -> float:
    """The heaviest trailer of the window, kg; the lightest where none is too heavy, one hardly there where there is none."""
    low, high = window[-1] if window else (0.0, 0.0)
    return max(high if high < MOST else low, LEAST)


def _is_custom(finding: Finding) -> bool:
    """Whether it holds the share itself against a band: that does not change with the trailer's mass."""
    return finding.dimension == "ratio" and finding.subject == "trailer" and finding.low is not None


def _all(trials: Trials, least: Report) -> Iterator[Largest]:
    """Every limit that some trailer passes, or that is passed without any. Weighings that contradict each other make nothing
    sure. Where statics end is no maker's limit: it is told only where it comes before every limit of a maker."""
    contested = any(load.rivals for (_, state), load in least.facts.loads.items() if state == "alone")
    scanned = [(mass, limits_of(trials.report(mass))) for mass in SCAN]
    second = limits_of(trials.report(2 * LEAST))
    found: list[tuple[bool, Largest]] = []
    for which in dict.fromkeys(which for _, findings in scanned for which in findings):
        points = _decided([(mass, findings.get(which)) for mass, findings in scanned])
        finding = next((f for _, f in points if f is not None and f.margin is not None), None)
        if finding is None or _is_custom(finding):
            continue
        doubts = (NOT_PASSED, NOT_PASSED) if finding.verdict == "not_checked" else (FIGURES, SURE)
        ranges, surely = (kept(trials, which, points, doubt) for doubt in doubts)
        if contested and any(e.stated.path.startswith("weighings") for e in finding.evidence):
            surely = ()
        surely = common(ranges, surely)
        if ranges == ALL == surely:
            continue
        top = ranges[-1][1] if ranges else 0.0
        stops = (trials.one(which, top) if 0 < top < MOST else None) or finding
        alone = _without(scanned[0][1].get(which), second.get(which))
        support = finding.high is None and finding.low == 0
        found.append((support, Largest(stops, ranges, surely, alone < -NOUGHT, NOT_PASSED in doubts)))
    makers = reduce(common, (row.sure_ranges for support, row in found if not support), ALL)
    yield from (row for support, row in found if not support or common(makers, row.sure_ranges) != makers)


def _without(least: Finding | None, twice: Finding | None) -> float:
    """The margin extended from the two lightest trailers to none at all, in its own unit; 0 where it is not known of them."""
    if least is None or least.margin is None:
        return 0.0
    return 2 * least.margin - ((twice.margin if twice else None) or 0.0)


def _decided(points: list[Point]) -> list[Point]:
    """The trials of one limit without the lightest trailers of which it could not be told: they are taken for the next one."""

    def untold(point: Point) -> bool:
        return point[1] is not None and point[1].verdict == "not_checked" and point[1].margin is None

    return list(itertools.dropwhile(untold, points))


def _unknown(report: Report) -> Iterator[Unknown]:
    """What could not be checked for want of a figure of the tow vehicle; what only a trailer tells is left out."""
    for finding in report.findings:
        if finding.verdict != "not_checked" or any(m.path.startswith("weighings.coupled_dist") for m in finding.missing):
            continue
        own = finding.subject.startswith("trailer")
        missing = tuple(dict.fromkeys(_alone(m) for m in finding.missing if not _of_trailer(report.rig, m.path, own)))
        if missing or not finding.missing:
            yield Unknown(finding, missing)


def _of_trailer(rig: Rig, path: str, own: bool) -> bool:
    """Whether a path is of the trailer that is not there yet; its kind of brakes decides on the vehicle's limits too."""
    if path.startswith("coupling.parts."):
        return on_trailer(rig, path.split(".")[2])
    return path.startswith("trailer.") and (own or path != ACTUATION)


def _alone(missing: Missing) -> Missing:
    """A weighing of the tow vehicle with some trailer, as one without: there is no trailer yet."""
    path = missing.path.replace("weighings.coupled.", "weighings.alone.")
    return missing if path == missing.path else missing._replace(path=path, how=how_to_learn(path))


def _front_left(report: Report) -> float | None:
    coupled, alone = (report.facts.find(f"tow_vehicle.axles.front{state}") for state in ("", "@alone"))
    if isinstance(coupled, tuple) or isinstance(alone, tuple) or nominal(alone.number) <= 0:
        return None
    return nominal(coupled.number) / nominal(alone.number)
