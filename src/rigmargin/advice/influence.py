"""How each option of a plan acts on each margin, and on the doubt about it, read off what the engine says of it alone.

A load is a sum of masses times levers, so that what several options do together is mostly the sum of what each does alone; the
same holds for how much each input of the file matters to a margin. A share is brought to kilograms by its whole first.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from rigmargin.advice.programme import Limit, Owner
from rigmargin.advice.trial import margins
from rigmargin.judge.finding import Finding, Report
from rigmargin.loads.facts import Known
from rigmargin.loads.value import COVERAGE, Value, nominal

#: The whole that each share is a share of. A share times its whole is a sum of masses, as a margin in kilograms is.
WHOLES = {"coupling.share": "trailer.gross", "front_axle.restored": "front_axle.lost"}
TRUST = 0.9  # of the uncertainty of a share, which is such a sum only nearly: the engine has the last word
ENDS = (", lower end", ", upper end")
Check = Owner  # rule, subject, state and, of a band, the end: the same check on two versions of a rig
Trial = tuple[Report, dict[Check, Finding]]  # a judged rig and its checks
_Reading = tuple[float, dict[str, float]]  # a margin in kg, and the standard uncertainties it is made of, by input


def checks(report: Report) -> dict[Check, Finding]:
    """The findings that compare a load with a limit; a band is two."""
    return {(*key[:3], next((end for end in ENDS if key[3].endswith(end)), "")): f for key, f in margins(report).items()}


def same(one: Finding, other: Finding) -> bool:
    """Whether a check holds the same load against the same limit on both: a figure may come to speak of another load."""
    return (one.limit_name, one.quantity, one.dimension) == (other.limit_name, other.quantity, other.dimension)


def left(report: Report, finding: Finding) -> float:
    """A margin less its expanded uncertainty, kg."""
    return ((finding.margin or 0.0) - (finding.uncertainty or 0.0)) * _whole(report, finding)


def limit(
    report: Report,
    check: Check,
    today: Finding,
    ends: Sequence[Sequence[Trial]],
    columns: Sequence[tuple[int, int, int]],
) -> Limit:
    """One margin over the columns.

    ``ends`` has for each option the rig with it alone, at the low end of its range and at the high one. A column is an option's
    number, the percent that it adds (0: the option itself, at its low end), and how many percent lie between the ends.
    """
    base = _reading(report, today)
    read = [[_reading(rig, found.get(check, today)) for rig, found in pair] for pair in ends]
    inputs = sorted({path for _, doubt in (base, *(r for pair in read for r in pair)) for path in doubt})

    def vector(reading: _Reading) -> list[float]:
        return [reading[0], *(reading[1].get(path, 0.0) for path in inputs)]

    start, added = vector(base), []
    for option, step, span in columns:
        low, high = map(vector, read[option])
        if step:
            added.append([step * (h - one) / span for one, h in zip(low, high, strict=True)])
        else:
            added.append([one - b for one, b in zip(low, start, strict=True)])
    moves = any(abs(x) > 1e-9 for column in added for x in column)
    # as Finding.relative_margin does: where the limit is zero, a margin is measured by itself
    nearest = min((abs(x) for x in (today.low, today.high) if x), default=1.0) * _whole(report, today)
    return Limit(
        start[0],
        [column[0] for column in added],
        start[1:],
        [column[1:] for column in added],
        nearest if moves else 0.0,
        TRUST if today.dimension == "ratio" else 1.0,
    )


def whole(report: Report, finding: Finding) -> Value | None:
    """What a finding's share is a share of, kg; None of what is no share, or of no whole that is known."""
    if finding.dimension != "ratio" or finding.source is None:
        return None
    names = (finding.source.needs.get("load", ""), *(own.get("load", "") for own in finding.source.each.values()))
    known = [report.facts.find(WHOLES[name]) for name in names if name in WHOLES]
    return next((k.value for k in known if isinstance(k, Known) and not isinstance(k.value, (str, tuple))), None)


def doubts(finding: Finding) -> dict[str, float]:
    """The standard uncertainties that a margin's is made of, by input, each with the sign of its slope."""
    sigma = (finding.uncertainty or 0.0) / COVERAGE
    return {i.path: sigma * math.copysign(math.sqrt(i.share), i.slope) for i in finding.inputs if i.share}


def _whole(report: Report, finding: Finding) -> float:
    """What a finding's numbers are multiplied by so that they are kg: 1, or of a share the whole in kg."""
    found = whole(report, finding)
    return 1.0 if found is None else nominal(found)


def _reading(report: Report, finding: Finding) -> _Reading:
    by = _whole(report, finding)
    return (finding.margin or 0.0) * by, {path: part * by for path, part in doubts(finding).items()}
