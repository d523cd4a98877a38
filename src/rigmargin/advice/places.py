"""What law is held for which place, by topic, and what is not; and what several places ask of one rig.

Nothing here says what the law is: it lists the rules on file, when each was read and how, and names the topics of which none is
on file, so that no place is silent.
"""

from __future__ import annotations

import contextlib
import dataclasses
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from rigmargin.judge import plugins, regulation
from rigmargin.judge.finding import EXIT, VERDICTS, Finding
from rigmargin.judge.rule import Rule
from rigmargin.judge.run import judge
from rigmargin.judge.source import Failure
from rigmargin.spec import places, schema
from rigmargin.spec.condition import UPPER, Compare, Fact, Figure
from rigmargin.spec.problem import FileProblems
from rigmargin.spec.regulation import Regulation
from rigmargin.spec.rig import Rig

#: Verdicts, worst first: what must be checked locally is open, and so worse than what is met.
WORST_FIRST = (*(v for v in VERDICTS if EXIT[v]), "note", *(v for v in VERDICTS if not EXIT[v] and v != "note"))


def topics() -> tuple[str, ...]:
    """Every topic a regulation may be filed under, but the one for all that has no name."""
    node = schema.load(schema.REGULATION)["$defs"]["rule"]["properties"]["topic"]
    return tuple(topic for topic in node["enum"] if topic != "other")


@dataclass(frozen=True, slots=True)
class Held:
    """What is on file for one place."""

    place: str  # ISO 3166 code
    name: str  # plain words; the code where no file gives them
    authority: str  # whom to ask; empty where no file says so
    rules: tuple[Rule, ...]  # of the place's own files, by topic, then as they stand
    above: tuple[str, ...]  # the places it lies in of which something is on file
    lacking: tuple[str, ...]  # topics of which neither it nor a place above has a rule
    replaced: tuple[tuple[Rule, Rule], ...] = ()  # its rules that give way, each to another where that one speaks
    note: str = ""  # what a reader should know of the whole file

    @property
    def read_on(self) -> tuple[str, ...]:
        """The days its rules were read, the earliest first."""
        return tuple(sorted({rule.read_on for rule in self.rules if rule.read_on}))

    @property
    def undated(self) -> bool:
        """Whether some rule does not say when its source was read."""
        return any(not rule.read_on for rule in self.rules)


@dataclass(frozen=True, slots=True)
class Coverage:
    """What is on file for some places."""

    places: tuple[Held, ...]
    failures: tuple[Failure, ...]  # files that could not be read

    @property
    def read_on(self) -> tuple[str, ...]:
        """The days the rules were read, the earliest first."""
        return tuple(sorted({day for held in self.places for day in held.read_on}))

    @property
    def undated(self) -> bool:
        """Whether some rule does not say when its source was read."""
        return any(held.undated for held in self.places)


@dataclass(frozen=True, slots=True)
class Limit:
    """A fixed limit of one figure of the rig."""

    of: str  # the figure's path
    upper: bool  # it may be no more; else no less
    si: float


@dataclass(frozen=True, slots=True)
class Strictest:
    """Of one topic, and one quantity where limits can be put in order, what asks most of the rig."""

    topic: str
    findings: tuple[Finding, ...]  # what asks most; several when they ask the same, or cannot be put in order
    ordered: bool  # whether they could be put in order


@dataclass(frozen=True, slots=True)
class Asked:
    """What some places ask of one rig."""

    rig: Rig
    coverage: Coverage
    findings: tuple[Finding, ...]  # of rules of law that speak of the rig, by topic, then by place
    strictest: tuple[Strictest, ...]
    failed: tuple[Finding, ...]  # rules and files that failed

    def of(self, held: Held) -> tuple[Finding, ...]:
        """The findings of one place: its own, and those of the places it lies in."""
        wider = set(places.within(held.place))
        return tuple(f for f in self.findings if f.source and wider.intersection(f.source.places))

    def counts(self, held: Held) -> Mapping[str, int]:
        """How many findings of a place have each verdict, the worst first; "note" is a rule to be checked locally."""
        found = [f.verdict for f in self.of(held)]
        return {verdict: found.count(verdict) for verdict in WORST_FIRST if verdict in found}

    @property
    def worst(self) -> str:
        """The worst verdict of all; empty where nothing on file speaks of the rig."""
        return min((f.verdict for f in (*self.failed, *self.findings)), key=WORST_FIRST.index, default="")


def covered(ruleset: plugins.Ruleset, wanted: Sequence[str] = ()) -> Coverage:
    """What is on file for these places and all that they lie in; for every place of which something is, when none is named."""
    codes = list(wanted) or [shelf.place for shelf in ruleset.shelves] + [p for rule in ruleset.rules for p in rule.places]
    there = dict.fromkeys(each for code in codes for each in places.within(code))
    failures: list[Failure] = []
    read: dict[str, list[Regulation]] = {}
    rules: dict[str, list[Rule]] = {code: [r for r in ruleset.rules if code in r.places] for code in there}
    for shelf in (s for s in ruleset.shelves if s.place in there):
        try:
            found, made = regulation.read(shelf)
        except FileProblems as broken:
            failures += [Failure(shelf.origin, str(problem)) for problem in broken.problems]
        else:
            read.setdefault(shelf.place, []).append(found)
            rules[shelf.place] += made
    order = (*topics(), "other", "")
    on = {code: sorted(rules[code], key=lambda r: order.index(r.topic)) for code in there}
    held = (_held(code, on, read, ruleset.replaced) for code in sorted(there, key=_by_name_of_place))
    return Coverage(tuple(held), tuple(failures))


def _by_name_of_place(code: str) -> tuple[bool, str]:
    return code != "eu", code


def _held(
    code: str, rules: dict[str, list[Rule]], read: dict[str, list[Regulation]], replaced: tuple[tuple[Rule, Rule], ...]
) -> Held:
    above = tuple(wider for wider in places.within(code) if wider != code and rules[wider])
    spoken = {rule.topic for place in (code, *above) for rule in rules[place]}
    files = read.get(code, [])
    return Held(
        place=code,
        name=files[0].name if files else code,
        authority=files[0].authority if files else "",
        rules=tuple(rules[code]),
        above=above,
        lacking=tuple(topic for topic in topics() if topic not in spoken),
        replaced=tuple((old, new) for old, new in replaced if code in old.places),
        note=" ".join(file.note for file in files if file.note),
    )


def asked(rig: Rig, ruleset: plugins.Ruleset, wanted: Sequence[str] = ()) -> Asked:
    """What these places (by default the rig's own) ask of a rig, as it is loaded."""
    there = dataclasses.replace(rig, places=tuple(wanted) or rig.places)
    report = judge(there, ruleset)
    order = (*topics(), "other", "")
    law = [f for f in report.findings if f.source and f.source.places and f.verdict != "not_applicable"]
    findings = sorted(law, key=lambda f: (order.index(_topic(f)), _place(f), f.rule))
    return Asked(
        there,
        covered(ruleset, there.places) if there.places else Coverage((), ()),
        tuple(findings),
        tuple(_strictest(findings, _limits(ruleset.shelves, regulation.travels(there)))),
        tuple(f for f in report.findings if f.verdict == "rule_failed"),
    )


def _topic(finding: Finding) -> str:
    return finding.source.topic if finding.source else ""


def _place(finding: Finding) -> tuple[str, ...]:
    return finding.source.places if finding.source else ()


def _strictest(findings: Sequence[Finding], limits: Mapping[str, Limit]) -> Iterator[Strictest]:
    """What asks most, topic by topic. Fixed limits of one quantity are put in order; where only one place asks at all, it asks
    most; what else differs cannot be put in order."""
    groups: dict[tuple[str, str, bool], list[Finding]] = {}
    for finding in findings:
        limit = limits.get(finding.rule)
        groups.setdefault((_topic(finding), limit.of if limit else "", limit.upper if limit else False), []).append(finding)
    for (topic, of, upper), group in groups.items():
        if of:
            most = (min if upper else max)(limits[f.rule].si for f in group)
            yield Strictest(topic, tuple(f for f in group if limits[f.rule].si == most), ordered=True)
        else:
            yield Strictest(topic, tuple(group), ordered=len({f.source.asks for f in group if f.source}) == 1)


def _limits(shelves: Iterable[regulation.Shelf], there: Iterable[str]) -> dict[str, Limit]:
    """The rules of these places that hold one figure of the rig against a fixed limit, by id."""
    found: dict[str, Limit] = {}
    for shelf in (s for s in shelves if s.place in set(there)):
        with contextlib.suppress(FileProblems):  # told by coverage
            law, rules = regulation.read(shelf)
            for provision, rule in zip(law.provisions, rules, strict=True):
                asks = provision.require
                if isinstance(asks, Compare) and isinstance(asks.this, Fact) and isinstance(asks.other, Figure):
                    found[rule.id] = Limit(asks.this.path, asks.operator in UPPER, asks.other.si)
    return found


def unknown(codes: Iterable[str]) -> list[tuple[str, str]]:
    """The codes that are no place, each with the one that is most likely meant (or nothing)."""
    return [(code, places.meant(code)) for code in codes if not places.known(code)]
