"""What the judging of a rig gives: findings with their verdicts, and the report that holds them.

Numbers live in fields, SI; words for people are made by ``report``. Findings and what they hold are named tuples: no more
to be changed than a frozen dataclass, and made four times as quickly, which counts where a club has a hundred thousand.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from typing import NamedTuple

from rigmargin.judge.rule import Rule
from rigmargin.loads.estimate import Estimate
from rigmargin.loads.facts import Facts, Missing
from rigmargin.loads.value import Influence
from rigmargin.spec.rig import Rig
from rigmargin.spec.settings import Acceptance, Figure
from rigmargin.spec.stated import Stated

#: Every verdict, worst first. ``unmet`` is ``over`` for what is not a number: a required thing is absent.
VERDICTS = (
    "over", "unmet", "outside_band", "rule_failed", "conflict", "too_close", "not_checked", "at_limit", "within", "note",
    "not_applicable",
)  # fmt: skip
UNJUDGED = ("conflict", "not_checked", "note")  # verdicts whose margin, if there is one, binds nothing
#: Exit code of a report by its overall verdict.
EXIT = {
    "over": 1, "unmet": 1, "outside_band": 1, "rule_failed": 5, "conflict": 3, "too_close": 3, "not_checked": 3, "at_limit": 0,
    "within": 0, "note": 0, "not_applicable": 0,
}  # fmt: skip

Key = tuple[str, str, str]  # rule, subject and state of a finding


class Evidence(NamedTuple):
    """One figure or word a finding rests on."""

    stated: Stated
    influence: Influence | None = None  # on the margin; None for what is not a number


class Side(NamedTuple):
    """One end of a band, held against the load by itself."""

    end: str  # "lower" or "upper"
    verdict: str  # one of VERDICTS
    margin: float  # SI; negative when this end is passed
    uncertainty: float  # SI; expanded (coverage factor 2), of this margin
    inputs: tuple[Influence, ...]  # of this margin


@dataclass(frozen=True, slots=True)
class Accepted:
    """That somebody accepts a finding for a time. It clears nothing."""

    by: Acceptance
    standing: str  # "in_force", "expired", or "undated": the rig states no date


class Finding(NamedTuple):
    """One rule's answer about one subject in one state."""

    rule: str  # rule id, or the name of what failed to load
    subject: str  # path of what was judged
    state: str  # "coupled" or "coupled_distributing"; empty when states do not matter
    verdict: str  # one of VERDICTS
    source: Rule | None = None  # the rule itself; None when it could not be loaded
    dimension: str = ""  # of the numbers below
    load: float | None = None  # SI
    low: float | None = None  # SI; the limit from below
    high: float | None = None  # SI; the limit from above
    margin: float | None = None  # SI; negative when the limit is passed
    uncertainty: float | None = None  # SI; expanded (coverage factor 2), of the margin
    at_least: bool = False  # the load is only known to be no less than this
    strict: bool = False  # a load that equals the limit has passed it
    limit_name: str = ""  # plain words
    quantity: str = ""  # plain words for the load, when they are not the rule's own
    limit: Stated | None = None  # the limit's own line, when it is one figure of the file
    estimate: Estimate | None = None  # how the load was made
    rival: Estimate | None = None  # another estimate, with which the verdict would be another
    reason: str = ""  # plain words: why not applicable, undecided or failed; what was found
    expected: str = ""  # plain words: of a requirement
    other: tuple[str, str] = ("", "")  # of a conflict: the names of the two figures
    notes: tuple[str, ...] = ()  # plain sentences on how the limit was made
    cures: tuple[str, ...] = ()  # sentences, "{excess}" to be filled in
    excess: float | None = None  # SI; what to take away so that the finding is within with its uncertainty
    missing: tuple[Missing, ...] = ()
    evidence: tuple[Evidence, ...] = ()
    inputs: tuple[Influence, ...] = ()  # of the margin, models' own uncertainties among them
    doubt: Influence | None = None  # the input with the largest share of the margin's uncertainty
    sides: tuple[Side, ...] = ()  # of a band, its two ends
    reserve: Figure | None = None  # the settings' reserve, when it is kept by less than that
    accepted: Accepted | None = None  # by the settings
    weakest_of: int = 0  # how many links of the chain were compared, on the weakest of them; 0 elsewhere

    @property
    def key(self) -> Key:
        """What makes it the same check on two versions of a rig."""
        return self.rule, self.subject, self.state

    @property
    def only_a_bound(self) -> bool:
        """Whether no more is known of the load than that it is no less; of several axles their mean is, and how they share."""
        return self.at_least and not (self.estimate and self.estimate.heaviest is not None)

    @property
    def relative_margin(self) -> float | None:
        """Margin as a share of the nearer limit; None when there is no margin."""
        if self.margin is None:
            return None
        limits = [abs(x) for x in (self.low, self.high) if x]
        return self.margin / min(limits) if limits else self.margin


@dataclass(frozen=True, slots=True)
class Report:
    """One judged rig."""

    rig: Rig
    facts: Facts
    findings: tuple[Finding, ...]  # worst first

    @property
    def overall(self) -> str:
        """The worst verdict present."""
        return next(iter(self.counts), "not_checked")

    @property
    def counts(self) -> Mapping[str, int]:
        """How many findings have each verdict that occurs, worst first."""
        found = Counter([f.verdict for f in self.findings])
        return {v: found[v] for v in VERDICTS if v in found}

    @property
    def tightest(self) -> Finding | None:
        """The finding with the least margin for its limit: what binds."""
        judged = [f for f in self.findings if f.margin is not None and f.verdict not in UNJUDGED]
        return min(judged, key=lambda f: f.relative_margin or 0.0, default=None)
