"""What the club's pages say of all rigs together, counted while the rows go by."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field

from rigmargin.club.row import ORDER, Row
from rigmargin.report.regional import NEUTRAL, Regional

#: The columns of the table of limits, and the verdicts that each counts.
COLUMNS = {
    "over": ("over", "unmet", "outside_band"),
    "too close": ("too_close", "at_limit"),
    "in conflict": ("conflict", "rule_failed"),
    "not checked": ("not_checked",),
    "within": ("within",),
}


@dataclass(slots=True)
class Tally:
    """Counts over the rows seen so far."""

    awaited: dict[str, set[str]] = field(default_factory=dict)  # exceptions in words whose rig is not seen yet: its names

    rigs: int = 0
    overall: Counter[str] = field(default_factory=Counter)  # rigs by their worst verdict
    limits: dict[str, Counter[str]] = field(default_factory=dict)  # findings by rule and verdict
    binds: Counter[str] = field(default_factory=Counter)  # rigs by the rule that leaves them least
    remarks: Counter[str] = field(default_factory=Counter)  # findings of which settings say something, by what they say
    acts: Counter[str] = field(default_factory=Counter)  # rigs that lack what an act would tell
    settled: Counter[str] = field(default_factory=Counter)  # findings that an act would settle
    regions: set[str] = field(default_factory=set)  # in whose words the reports are

    def add(self, row: Row) -> None:
        """Count one rig."""
        self.rigs += 1
        for said in [said for said, names in self.awaited.items() if names & {row.name, row.file}]:
            del self.awaited[said]
        self.overall[row.overall] += 1
        if row.binds:
            self.binds[row.binds] += 1
        for rule, verdicts in (row.limits or {}).items():
            self.limits.setdefault(rule, Counter()).update(verdicts)
        self.remarks.update(dict(row.remarks))
        self.regions |= {row.words} if row.words else set()
        for act, settles in row.acts:
            self.acts[act] += 1
            self.settled[act] += settles

    @property
    def words(self) -> Regional:
        """The words for what is said of all: those of every report, where they are one region's; else of no region."""
        return Regional(next(iter(self.regions))) if len(self.regions) == 1 else NEUTRAL

    @property
    def worst_first(self) -> list[tuple[str, int]]:
        """How many rigs have each worst verdict that occurs."""
        return [(verdict, self.overall[verdict]) for verdict in ORDER if self.overall[verdict]]

    @property
    def by_limit(self) -> list[tuple[str, dict[str, int]]]:
        """Every rule that judged something, the one that is passed most often first, with the counts of COLUMNS."""
        table = [
            (rule, {c: sum(found[v] for v in verdicts) for c, verdicts in COLUMNS.items()})
            for rule, found in self.limits.items()
        ]
        return sorted(table, key=lambda line: (*(-line[1][column] for column in COLUMNS), line[0]))

    @property
    def most_binding(self) -> list[tuple[str, int]]:
        """The rules that leave most rigs the least, most often first."""
        return sorted(self.binds.items(), key=lambda pair: (-pair[1], pair[0]))

    @property
    def weigh_day(self) -> list[tuple[str, int, int]]:
        """What to measure at a weigh day: the act, the rigs that lack it, the findings it settles; most rigs first."""
        said = ((self.words.fill(act), number, self.settled[act]) for act, number in self.acts.items())
        return sorted(said, key=lambda line: (-line[1], -line[2], line[0]))
