"""Which trailer this tow vehicle takes: the largest under each limit, at one share on the coupling.

Every limit is found by judging the tow vehicle, its people and its cargo before trailers of other masses, and by looking for
the mass at which the rule's own margin is used up. A rule of a plugin binds like ours. What the vehicle must be for the
trailer on file is in ``needs``.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator
from dataclasses import dataclass

from rigmargin.advice.any_trailer import ACTUATION, Share, behind, on_trailer
from rigmargin.advice.needs import Needs, needs
from rigmargin.judge import plugins, regulation
from rigmargin.judge.finding import Finding, Report
from rigmargin.judge.run import judge
from rigmargin.loads.facts import Missing, how_to_learn
from rigmargin.loads.value import nominal
from rigmargin.spec.rig import Rig

LEAST = 1.0  # kg: a trailer that is hardly there; what it passes is passed without any
MOST = 50000.0  # kg: more than any road vehicle tows; a limit farther away than this limits nothing
CLOSE = 1e-4  # kg: a tenth of a gram decides nothing
LINES = 12  # straight lines drawn before halving takes over
FLAT = 1e-9  # a margin that moves by less between two trailers stays: what is left of rounding
TROUBLE = ("over", "unmet", "outside_band", "rule_failed", "conflict", "too_close")
Which = tuple[str, str, str]  # rule, subject and state of a finding


@dataclass(frozen=True, slots=True)
class Largest:
    """The largest trailer under one limit."""

    stops: Finding  # the limit, as it stands with that trailer
    mass: float  # kg, where its margin is used up; 0 when it is passed without any trailer
    sure: float  # kg, up to which it is within with its uncertainty; 0 when nothing is sure

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
    custom: Finding | None  # the share held against its band
    largest: tuple[Largest, ...]  # least first: the first binds
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


@dataclass(slots=True)
class _Trials:
    """The tow vehicle before trailers of one share."""

    rig: Rig
    share: float
    ruleset: plugins.Ruleset

    def report(self, mass: float) -> Report:
        return judge(behind(self.rig, mass, self.share), self.ruleset)

    def one(self, which: Which, mass: float) -> Finding | None:
        """One finding of the trial, without the other rules."""
        law = regulation.of(self.ruleset.shelves, self.rig).rules
        rules = tuple(rule for rule in (*self.ruleset.rules, *law) if rule.id == which[0])
        found = judge(behind(self.rig, mass, self.share), plugins.Ruleset(rules, ()))
        return _by_which(found).get(which)


def shopping(report: Report, share: Share, ruleset: plugins.Ruleset | None = None) -> Shopping:
    """The largest trailer under every limit of the tow vehicle, and the least figures the file's trailer asks of one."""
    ruleset = ruleset or plugins.load()
    trials = _Trials(report.rig, share.ratio, ruleset)
    least = trials.report(LEAST)
    largest = tuple(sorted(_all(trials, least), key=lambda r: (r.sure, r.mass, r.stops.rule, r.stops.subject)))
    size = max(largest[0].sure, LEAST) if largest else LEAST
    then = trials.report(size)
    rows = {_which(row.stops) for row in largest}
    return Shopping(
        report,
        share,
        next(filter(_is_custom, then.findings), None),
        largest,
        tuple(_unknown(least)),
        size,
        tuple(f for f in then.findings if f.verdict in TROUBLE and _which(f) not in rows and not _is_custom(f)),
        _front_left(then),
        needs(report.rig, share.ratio, ruleset),
        tuple(f for f in (*report.findings, *then.findings) if f.verdict == "rule_failed"),
    )


def custom(rig: Rig, ruleset: plugins.Ruleset | None = None) -> Finding | None:
    """A share of a tenth held against the band that holds for this rig, for the band's own sake; None when none does."""
    return next(filter(_is_custom, judge(behind(rig, LEAST, 0.1), ruleset).findings), None)


def _which(finding: Finding) -> Which:
    return finding.rule, finding.subject, finding.state


def _by_which(report: Report) -> dict[Which, Finding]:
    """The findings that hold a load against a limit; whether two figures agree is no limit."""
    return {_which(f): f for f in report.findings if f.margin is not None and not f.other[0]}


def _is_custom(finding: Finding) -> bool:
    """Whether it holds the share itself against a band: that does not change with the trailer's mass."""
    return finding.dimension == "ratio" and finding.subject == "trailer" and finding.low is not None


def _all(trials: _Trials, least: Report) -> Iterator[Largest]:
    """Every limit that a heavier trailer uses up. Weighings that contradict each other make nothing sure."""
    contested = any(load.rivals for (_, state), load in least.facts.loads.items() if state == "alone")
    first, second, last = _by_which(least), _by_which(trials.report(2 * LEAST)), _by_which(trials.report(MOST))
    for which, finding in first.items():
        more = second.get(which)
        support = finding.high is None and finding.low == 0  # where statics end; no maker's limit
        if finding.verdict == "not_checked" or support or more is None or _holds(last.get(which), sure=False):
            continue
        if (more.margin or 0.0) - (finding.margin or 0.0) > -FLAT:
            continue
        starts = [(LEAST, finding), (2 * LEAST, more)]
        mass, sure = (_reach(trials, which, starts, sure=guarded) for guarded in (False, True))
        stops = trials.one(which, mass) if mass else finding
        weighed = any(e.stated.path.startswith("weighings") for e in finding.evidence)
        yield Largest(stops or finding, mass, 0.0 if contested and weighed else min(mass, sure))


def _holds(finding: Finding | None, *, sure: bool) -> bool:
    """Whether a limit is kept, by its figures or (``sure``) with its uncertainty."""
    if finding is None or finding.margin is None:
        return False
    if sure:
        return finding.verdict in ("within", "at_limit")
    return finding.verdict != "not_checked" and finding.margin >= 0


def _reach(trials: _Trials, which: Which, starts: list[tuple[float, Finding]], *, sure: bool) -> float:
    """The mass up to which a limit is kept, kg: by straight lines through the last trials, halving where these do not help."""
    if not all(_holds(finding, sure=sure) for _, finding in starts):
        return 0.0
    low, high, guess, turn = starts[-1][0], MOST, 0.0, 0
    points = list(starts)
    while high - low > CLOSE:
        guess, turn = _crossing(points, sure), turn + 1
        if not low < guess < high or turn > LINES:
            guess = (low + high) / 2
        for mass in (guess - CLOSE / 4, guess + CLOSE / 4):
            if low < mass < high:
                found = trials.one(which, mass)
                if _holds(found, sure=sure):
                    low = mass
                else:
                    high = mass
                if found is not None and found.verdict != "not_checked":
                    points.append((mass, found))
    return guess if low <= guess <= high else low


def _crossing(points: list[tuple[float, Finding]], sure: bool) -> float:
    """Where the line through the latest two trials against one limit reaches zero; of two limits, those that were kept."""
    last = points[-1]
    before = next((p for p in reversed(points[:-1]) if p[1].high == last[1].high and abs(p[0] - last[0]) > CLOSE), None)
    if before is None:
        kept = [p for p in points if _holds(p[1], sure=sure)]
        before, last = kept[-2], kept[-1]
    (x0, y0), (x1, y1) = ((mass, _left(f, sure)) for mass, f in (before, last))
    return x1 - y1 * (x1 - x0) / (y1 - y0) if y1 != y0 else MOST


def _left(finding: Finding, sure: bool) -> float:
    return (finding.margin or 0.0) - ((finding.uncertainty or 0.0) if sure else 0.0)


def _unknown(least: Report) -> Iterator[Unknown]:
    """What could not be checked for want of a figure of the tow vehicle; what only a trailer tells is left out."""
    for finding in least.findings:
        if finding.verdict != "not_checked" or any(m.path.startswith("weighings.coupled_dist") for m in finding.missing):
            continue
        own = finding.subject.startswith("trailer")
        missing = tuple(dict.fromkeys(_alone(m) for m in finding.missing if not _of_trailer(least.rig, m.path, own)))
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
    return missing if path == missing.path else dataclasses.replace(missing, path=path, how=how_to_learn(path))


def _front_left(report: Report) -> float | None:
    coupled, alone = (report.facts.find(f"tow_vehicle.axles.front{state}") for state in ("", "@alone"))
    if isinstance(coupled, tuple) or isinstance(alone, tuple) or nominal(alone.value) <= 0:
        return None
    return nominal(coupled.value) / nominal(alone.value)
