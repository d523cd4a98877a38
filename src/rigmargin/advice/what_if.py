"""What each margin would be with tanks filled otherwise, other people aboard and things elsewhere: sums that a page can redo.

A load is a sum of masses times levers, so that a margin, and each input's part in the doubt about it, is a straight line in
what one dial sets, and what several dials do together is the sum of what each does. A share is one such sum over another; the
doubt about a coupling load from items is the larger of two. The full engine gives the lines: it judges the rig with each dial
at the ends of its range. Then it judges the rig at other settings, of one and of all dials, and a check for which sums say
anything else there, or that tells something without them, is not followed, and named.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from rigmargin.advice.dials import Dial, Range, dials
from rigmargin.advice.influence import Check, Trial, checks, same
from rigmargin.advice.sums import Followed, Sums, sums
from rigmargin.advice.trial import rearranged
from rigmargin.judge import plugins
from rigmargin.judge.finding import Finding, Key, Report
from rigmargin.judge.run import ZERO, judge
from rigmargin.loads.estimate import CONTRADICTION
from rigmargin.loads.linear import Linear
from rigmargin.loads.value import nominal

FOLLOWED = ("over", "outside_band", "too_close", "at_limit", "within")
#: How far a sum may be from the engine (kg, or a plain ratio): far below the last digit that is shown.
CLOSE = {"mass": 0.01, "ratio": 1e-5}


@dataclass(frozen=True, slots=True)
class WhatIf:
    """The dials of a rig and the checks they move."""

    dials: tuple[Dial, ...]
    followed: tuple[Followed, ...]  # moved by a dial, least margin for its limit first
    lost: tuple[Finding, ...]  # moved by a dial, and not in such sums: as found today, where there is such a finding
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
    for settings in dict.fromkeys(map(tuple, _others(made))):
        wrong |= _unlike(lines, made, settings, checks(trial.report(settings)))
    lines = {check: line for check, line in lines.items() if line and (line.moved or check in wrong)}
    followed = [line for check, line in lines.items() if line and check not in wrong]
    followed.sort(key=lambda line: line.today.relative_margin or 0.0)
    lost = [today[check] for check in today if check in wrong]
    return WhatIf(made, tuple(followed), (*lost, *trial.moved.values()), trial.judged)


class _Engine:
    """The engine at settings of the dials."""

    def __init__(self, report: Report, made: tuple[Dial, ...], ruleset: plugins.Ruleset | None) -> None:
        self.today, self.dials, self.ruleset, self.judged = report, made, ruleset, 0
        self.moved: dict[Key, Finding] = {}  # checks that are in no sums, and of which a setting changes what is found
        self._in_sums = {f.key for f in checks(report).values() if f.verdict in FOLLOWED}
        self._others = self._found(report)

    def report(self, settings: Sequence[float]) -> Report:
        """The rig judged with each dial at its setting."""
        steps = [dial.step(x) for dial, x in zip(self.dials, settings, strict=True) if x != dial.now]
        found = judge(rearranged(self.today.rig, steps), self.ruleset)
        self.judged += 1
        then = self._found(found)
        for key, finding in {**then, **self._others}.items():
            if not _alike(self._others.get(key), then.get(key)):
                self.moved[key] = finding
        return found

    def _found(self, report: Report) -> dict[Key, Finding]:
        return {f.key: f for f in report.findings if f.key not in self._in_sums}

    def ends(self, dial: int, reach: Range) -> tuple[Trial, Trial]:
        """The rig judged with one dial at either end of a range."""
        low = self._alone(dial, reach.low)
        return low, self._alone(dial, reach.high) if reach.high > reach.low else low

    def _alone(self, dial: int, setting: float) -> Trial:
        found = self.report([setting if i == dial else each.now for i, each in enumerate(self.dials)])
        return found, checks(found)


def _alike(one: Finding | None, other: Finding | None) -> bool:
    """Whether two findings say the same of a check. Of what does not apply nothing is said; that two figures agree is all that
    is said of them; a note says its sentence."""
    if one is None or other is None:
        return (one or other or Finding("", "", "", "")).verdict == "not_applicable"
    if one.verdict != other.verdict or one.verdict == "not_applicable" or one.other[0]:
        return one.verdict == other.verdict
    if one.verdict == "note":
        return one.reason == other.reason
    numbers = ((one.load, other.load), (one.margin, other.margin))
    return one.reason == other.reason and all(
        a is b is None or (a is not None and b is not None and abs(a - b) < CLOSE["ratio"]) for a, b in numbers
    )


def _others(made: Sequence[Dial]) -> Iterator[list[float]]:
    """Settings at which sums are held against the engine: between the ends; and with tanks and people at their least, at their
    most, by turns, and at the least in one vehicle and at the most in the other, each with things where they are, and at their
    first and last choice."""
    if not made:
        return
    widest = [max(dial.ranges, key=lambda r: r.high - r.low) for dial in made]
    yield [round((reach.low + reach.high) / 2) for reach in widest]
    ends = [(dial.ranges[0].low, dial.ranges[-1].high) for dial in made]
    towed = [dial.item.path.startswith("trailer.") for dial in made]
    filled = [[end] * len(made) for end in (0, 1)]
    filled += [[(i + end) % 2 for i in range(len(made))] for end in (0, 1)]
    filled += [[int(each is end) for each in towed] for end in (False, True)]
    for turn, choice in dict.fromkeys((tuple(turn), choice) for turn in filled for choice in (None, 0, 1)):
        things = [dial.now if choice is None else pair[choice] for dial, pair in zip(made, ends, strict=True)]
        yield [
            thing if dial.kind == "thing" else pair[end]
            for dial, thing, pair, end in zip(made, things, ends, turn, strict=True)
        ]


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
    now = sums(report, today)
    if now is None:
        return None
    moved: dict[tuple[int, int], tuple[Sums, Sums]] = {}
    for at, pair in ends.items():
        gained: list[Sums] = []
        for each, found in pair[:1] if pair[0] is pair[1] else pair:
            finding = found.get(check)
            then = sums(each, finding) if finding and same(today, finding) and finding.verdict in FOLLOWED else None
            if then is None:
                return None
            gained.append(tuple(one + old.times(-1) for one, old in zip(then, now, strict=True)))
        if any(abs(part) > ZERO for one in gained for each in one for part in (each.number, *each.doubt.values())):
            moved[at] = gained[0], gained[-1]
    if moved and _contestable(check, today, report, ends):
        return None
    return Followed(check, today, now, moved, upper)


def _contestable(check: Check, today: Finding, report: Report, ends: Mapping[tuple[int, int], tuple[Trial, Trial]]) -> bool:
    """Whether another way of knowing the load might contradict, at some setting, the one that a sum is made of.

    How far two ways are apart is a sum over the dials too. It is held against what tickets alone leave in doubt about it,
    because all else may vanish at some setting.
    """
    now = _apart(report, today)
    reach = [abs(apart) for apart, _ in now]
    least = [doubt for _, doubt in now]
    for dial in {at for at, _ in ends}:
        most = [0.0] * len(now)
        for trial in (each for (at, _), pair in ends.items() if at == dial for each in pair):
            then = _apart(trial[0], trial[1][check])
            if len(then) != len(now):
                return True
            most = [max(m, abs(a - b)) for m, (a, _), (b, _) in zip(most, then, now, strict=True)]
            least = [min(one, doubt) for one, (_, doubt) in zip(least, then, strict=True)]
        reach = [one + more for one, more in zip(reach, most, strict=True)]
    return any(far > CONTRADICTION * doubt for far, doubt in zip(reach, least, strict=True))


def _apart(report: Report, finding: Finding) -> list[tuple[float, float]]:
    """How far each other way of knowing a finding's load is from the one used, and the doubt that tickets leave about that."""
    best, found = finding.estimate, []
    behind = next((load for load in report.facts.loads.values() if load.best and load.best is best), None)
    for other in behind.peers if behind and best else ():
        assert best is not None
        difference = other.value - best.value
        slopes = difference.slopes.items() if isinstance(difference, Linear) else ()
        doubt = math.hypot(*(slope * each.sigma for each, slope in slopes if each.tag.startswith("weighings")))
        # a bound below it contradicts nothing
        found.append((max(nominal(difference), 0.0) if other.at_least else nominal(difference), doubt))
    return found
