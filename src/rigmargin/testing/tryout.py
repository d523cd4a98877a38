"""A new rule file tried before it is used: its own cases, then what it would say of some rigs."""

from __future__ import annotations

import dataclasses
import importlib.resources
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from rigmargin.judge import local, plugins, regulation
from rigmargin.judge.finding import Finding, Report
from rigmargin.judge.regulation import Shelf
from rigmargin.judge.rule import Rule
from rigmargin.judge.run import judge, judge_subject
from rigmargin.report.display import display
from rigmargin.report.regional import neutral
from rigmargin.report.words import VERDICT_WORDS, sentence
from rigmargin.spec import document
from rigmargin.spec.problem import FileProblems, printable
from rigmargin.spec.rig import Rig, load, parse
from rigmargin.testing import cases, law


@dataclass(frozen=True, slots=True)
class Tried:
    """One case of the file."""

    rule: str
    name: str
    expected: str  # verdict
    found: str  # verdict; empty when the case could not be run
    wrong: tuple[str, ...]  # what did not come out, one sentence each


@dataclass(frozen=True, slots=True)
class Tryout:
    """What came of trying one file."""

    rules: tuple[Rule, ...]
    tried: tuple[Tried, ...]
    reports: tuple[Report, ...]  # of each rig, by the file's rules alone
    problems: tuple[str, ...]  # why the file, or a rule of it, could not be used

    @property
    def untried(self) -> tuple[Rule, ...]:
        """The rules for which there is no case."""
        return tuple(rule for rule in self.rules if not any(t.rule == rule.id for t in self.tried))

    @property
    def comes_out(self) -> bool:
        """Whether every rule has cases and every case comes out."""
        return bool(self.rules) and not self.untried and not any(t.wrong for t in self.tried)


def tryout(file: str, folders: Iterable[str] = (), on: str = "") -> Tryout:
    """Try a regulation file or a Python file of rules, beside the installed rules and those of ``folders``, on the rigs of
    ``on`` (a rig file or a folder of them) or on the samples. Raises FileProblems, of a rig; local.NotAFolder."""
    path = Path(file)
    ruleset = plugins.gather(plugins.installed(), folders, [path])
    name = local.name(path)
    problems = tuple(f.reason for f in ruleset.failures if f.name == name or f"local file {name}" in f.reason)
    own = tuple(rule for rule in ruleset.rules if rule.origin == f"local file {name}")
    shelves = tuple(shelf for shelf in ruleset.shelves if shelf.origin == f"local file {name}")
    only = plugins.Ruleset(own, (), () if problems else shelves)
    tried = (*_python(own, path, ruleset), *(t for shelf in only.shelves for t in _law(shelf)))
    rules = (*own, *only.of_law())
    rigs = [load(each) for each in rig_files(Path(on))] if on else samples(rules)
    return Tryout(rules, tuple(tried), tuple(judge(rig, only) for rig in rigs) if rules else (), problems)


def _python(rules: tuple[Rule, ...], path: Path, ruleset: plugins.Ruleset) -> Iterator[Tried]:
    """The cases of rules of a Python file, which stand in files of cases beside it."""
    ids = {rule.id for rule in rules}
    for file in sorted(path.parent.glob("*.yaml")) if rules else ():
        try:
            data = document.read(file).data
            found = cases.load_cases(file) if isinstance(data, dict) and data.get("rule") in ids else []
        except FileProblems:
            continue  # it is some other file, and told of when it is used
        except ValueError as wrong:
            yield Tried(str(data["rule"]), file.name, "", "", (str(wrong),))
            continue
        for case in found:
            try:
                finding, _ = cases.answered(case, ruleset)
                yield Tried(case.rule, case.name, case.verdict, finding.verdict, tuple(cases.run_case(case, ruleset)))
            except ValueError as wrong:
                yield Tried(case.rule, case.name, case.verdict, "", (str(wrong),))


def _law(shelf: Shelf) -> Iterator[Tried]:
    """The cases of a regulation file."""
    found, rules = regulation.read(shelf)
    for provision, rule in zip(found.provisions, rules, strict=True):
        for case in provision.cases:
            verdict = judge_subject(rule, "combination", law.facts_of(provision, case.given)).verdict
            yield Tried(rule.id, case.name, case.verdict, verdict, tuple(law.complaints(found, provision, case)))


def rig_files(top: Path) -> list[Path]:
    """A rig file, or the rig files of a folder."""
    if not top.is_dir():
        return [top]
    return [path for path in sorted(top.glob("*.yaml")) if "rig" in (document.read(path).data or ())]


def samples(rules: Iterable[Rule]) -> list[Rig]:
    """The sample rigs, as if they travelled where the rules hold."""
    there = tuple(dict.fromkeys(place for rule in rules for place in rule.places))
    files = importlib.resources.files("rigmargin.samples").iterdir()
    rigs = [parse(f.read_text("utf-8"), f.name) for f in sorted(files, key=lambda f: f.name) if f.name.endswith(".yaml")]
    return [dataclasses.replace(rig, places=there or rig.places) for rig in rigs]


def lines(done: Tryout) -> Iterator[str]:
    """What came of it, as lines for a terminal."""
    for rule in done.rules:
        yield f"{rule.id}: {neutral(rule.title)}"
        yield f"  {neutral(rule.basis)}"
        if rule.replaces:
            yield f"  It replaces {rule.replaces}, which is not run on rigs of which this one speaks."
        if rule in done.untried:
            yield "  ? no cases: nothing shows that it says what it should"
        for tried in (t for t in done.tried if t.rule == rule.id):
            found = f"found {_word(tried.found)}" if tried.found else "could not be run"
            yield f"  {'▲' if tried.wrong else '●'} {printable(tried.name)}: expected {_word(tried.expected)}, {found}"
            yield from (f"    {printable(wrong)}" for wrong in tried.wrong)
    for report in done.reports:
        yield ""
        where = f", in {' and '.join(report.rig.places)}" if report.rig.places else ""
        yield f"{printable(report.rig.name)}{where}:"
        yield from (f"  {text}" for text in _said(report))


def _said(report: Report) -> Iterator[str]:
    shown = display(report.rig)
    found: list[Finding] = [f for f in report.findings if f.rule != regulation.LOOKED_AT]
    for finding in found:
        word, mark = VERDICT_WORDS[finding.verdict]
        yield f"{mark} {word}: {printable(sentence(finding, report.rig, shown))}"
    if not found:
        yield "nothing: none of its rules speaks of this rig in these places"


def _word(verdict: str) -> str:
    return VERDICT_WORDS[verdict][0] if verdict in VERDICT_WORDS else verdict or "nothing"
