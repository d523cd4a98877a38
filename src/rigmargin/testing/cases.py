"""Cases for a rule, written as YAML and run through the engine: for rigmargin's own rules and for those of a plugin.

A file of cases names its rule, then gives by name what the rule is told and what must come out:

    rule: axle-load
    subject: tow_vehicle.axles.rear        # when the rule has several; else its own
    cases:
      880 lb remain:
        given: {load: 5720 lb, limit: 6600 lb}
        verdict: within
        margin: 880 lb
        words: ["within its maximum load", "880 lb remain"]
      weighed too roughly to tell:
        given: {load: {value: 6590 lb, plus_or_minus: 20 lb}, limit: 6600 lb}
        verdict: too_close
      nothing weighed:
        given: {limit: 6600 lb}
        verdict: not_checked

``given`` names the rule's parameters; one that is left out is a fact nobody knows. A quantity is text with its unit, or a
mapping with ``plus_or_minus`` (coverage factor 2) or, for a load, ``at_least: yes`` when only a lower bound is known. A load
whose unit no rig file has, such as a moment, is a bare number in SI.
``words`` must occur in what a reader of the report is shown. In a plugin's own tests:

    from rigmargin.testing import run_cases
    def test_cases():
        assert run_cases("cases/my-rule.yaml", ruleset) == []
"""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from rigmargin.judge import plugins
from rigmargin.judge.finding import Finding
from rigmargin.judge.rule import Rule
from rigmargin.judge.run import judge_subject
from rigmargin.loads.derive import COUPLED, NAMES
from rigmargin.loads.estimate import Estimate, Load
from rigmargin.loads.facts import RIVAL, Facts, path_of
from rigmargin.loads.told import TOLD
from rigmargin.loads.value import Figures
from rigmargin.report.display import Display
from rigmargin.report.words import sentence
from rigmargin.spec import document, units
from rigmargin.spec.rig import parse
from rigmargin.spec.stated import Stated

BARE = "{rig: 1, name: a case, tow_vehicle: {}, coupling: {kind: weight_carrying}, trailer: {}}"
#: What a case may hold; ``why`` is for whoever reads it.
_KEYS = {"given", "verdict", "margin", "words", "subject", "why"}
CLOSE = 1e-6  # a margin may differ by this share of itself, or by this much (SI): what conversion leaves behind


@dataclass(frozen=True, slots=True)
class Case:
    """What a rule is told, and what must come out."""

    file: str
    rule: str
    subject: str  # empty: the rule's own
    name: str
    given: Mapping[str, Any]  # by parameter
    verdict: str
    margin: str  # with its unit; empty when it is not asked for
    words: tuple[str, ...]


def load_cases(path: str | Path) -> list[Case]:
    """The cases of a file. Raises FileProblems when it cannot be read, ValueError when it is not a file of cases."""
    data = document.read(path).data
    cases: list[Case] = []
    for name, entry in (data.get("cases") or {}).items():
        unknown = set(entry) - _KEYS
        if unknown or "verdict" not in entry:
            raise ValueError(f"{path}: case {name!r}: {f'unknown {sorted(unknown)}' if unknown else 'no verdict'}")
        subject = str(entry.get("subject", data.get("subject", "")))
        margin, words = str(entry.get("margin", "")), tuple(map(str, entry.get("words", ())))
        given = entry.get("given") or {}
        cases.append(Case(str(path), str(data.get("rule", "")), subject, name, given, str(entry["verdict"]), margin, words))
    if not cases:
        raise ValueError(f"{path}: no cases")
    return cases


def run_cases(path: str | Path, ruleset: plugins.Ruleset | None = None) -> list[str]:
    """What is wrong with the cases of a file, one sentence each; empty when every case comes out as it says."""
    return [complaint for case in load_cases(path) for complaint in run_case(case, ruleset)]


def run_case(case: Case, ruleset: plugins.Ruleset | None = None) -> list[str]:
    """What is wrong with one case. Raises ValueError when it names a rule or a parameter that there is not."""
    finding, shown = answered(case, ruleset)
    where = f"{case.file}: case {case.name!r}"
    wrong = []
    if finding.verdict != case.verdict:
        wrong.append(f"{where}: expected {case.verdict}, got {finding.verdict}: {shown}")
    if case.margin and not _close(finding.margin, units.parse(case.margin).si):
        wrong.append(f"{where}: expected a margin of {case.margin}, got {finding.margin} (SI): {shown}")
    return wrong + [f"{where}: {words!r} does not occur in: {shown}" for words in case.words if words not in shown]


def answered(case: Case, ruleset: plugins.Ruleset | None = None) -> tuple[Finding, str]:
    """What the rule says of one case, and all that a reader is shown of it. Raises ValueError as ``run_case`` does."""
    rules = {rule.id: rule for rule in (ruleset or plugins.load()).rules}
    if case.rule not in rules:
        raise ValueError(f"{case.file}: there is no rule {case.rule!r}")
    rule = rules[case.rule]
    subject = case.subject or next(iter(rule.each)).replace("*", "rear")
    facts = _facts(case, rule, subject)
    finding = judge_subject(rule, subject, facts)
    return finding, shown_as(finding, facts, _display(case))


def _close(found: float | None, wanted: float) -> bool:
    return found is not None and abs(found - wanted) <= CLOSE * max(1.0, abs(wanted))


def _facts(case: Case, rule: Rule, subject: str) -> Facts:
    """Facts in which nothing is known but what the case gives."""
    pattern = next((pattern for pattern in rule.each if plugins.fits(subject, pattern)), None)
    if pattern is None:
        raise ValueError(f"{case.file}: rule {rule.id} does not speak of {subject!r}")
    needs = {**rule.needs, **rule.each[pattern]}
    unknown = set(case.given) - set(needs)
    if unknown:
        raise ValueError(f"{case.file}: case {case.name!r}: rule {rule.id} takes no {sorted(unknown)}, but {sorted(needs)}")
    paths = {name: path_of(subject, needs[name]) for name in case.given}
    stated = {path: stated_as(path, case.given[name]) for name, path in paths.items() if not is_load(path)}
    told = {name: _texts(stated.pop(name, None)) for name in TOLD}
    bare = parse(BARE, case.file)
    names = {path: figure.value for path, figure in stated.items() if path in bare.names and isinstance(figure.value, tuple)}
    facts = Facts(dataclasses.replace(bare, stated=stated, names=names), told=told)
    facts.loads.clear()
    figures = Figures()
    for name, path in paths.items():
        if is_load(path):
            load = load_as(path, case.given[name], figures)
            known = facts.loads.get((load.name, load.state))
            estimates = (known.estimates if known else ()) + load.estimates
            facts.loads[load.name, load.state] = dataclasses.replace(load, estimates=estimates)
    for path in map(str, (path_of(subject, fact) for fact in needs.values())):
        name, state, _ = facts.parts(path)
        if is_load(path) and (name, state) not in facts.loads and state == COUPLED and "@coupled" not in path:
            facts.loads[name, COUPLED] = Load(name, COUPLED, "mass", (), (f"weighings.coupled.{name.rpartition('.')[2]}",), ())
    return facts


def _texts(stated: Stated | None) -> tuple[str, ...]:
    return stated.value if stated and isinstance(stated.value, tuple) else ()


def is_load(path: str) -> bool:
    """Whether a path is that of a load."""
    return any(plugins.fits(path.partition("@")[0], name) for name in NAMES)


def stated_as(path: str, value: Any) -> Stated:
    """A figure or word as a rig file would state it."""
    text, spread = (value["value"], value.get("plus_or_minus")) if isinstance(value, dict) else (value, None)
    if isinstance(text, list):
        return Stated(path, tuple(map(str, text)), 1)
    try:
        quantity = units.parse(text) if isinstance(text, str) else None
    except units.NotAQuantity:
        quantity = None
    if quantity is None:
        return Stated(path, text, 1)
    sigma = units.parse(spread, quantity.dimension).si / 2 if spread else 0.0
    return Stated(path, quantity.si, 1, quantity.dimension, quantity.unit, sigma)


def load_as(path: str, value: Any, figures: Figures) -> Load:
    """A load as a case gives it."""
    name, state, method = Facts.parts(path)
    stated = stated_as(path, value)
    if not isinstance(stated.value, (int, float)):
        raise ValueError(f"{stated.value!r} for {path} is no quantity: write a number, one space and a unit")
    method = (
        "lower_bound"
        if isinstance(value, dict) and value.get("at_least") == "yes"
        else "weighed"
        if method in ("", RIVAL)
        else method
    )
    estimate = Estimate(figures.of(stated), method, "given by the case", path)
    dimension = stated.dimension or next(known for pattern, known in NAMES.items() if plugins.fits(name, pattern))
    return Load(name, state, dimension, (estimate,), (), ())


def _display(case: Case) -> Display:
    texts = [value.get("value", "") if isinstance(value, dict) else value for value in case.given.values()]
    last = [text.rsplit(" ", 1)[-1] for text in texts if isinstance(text, str)]
    return Display(("us",) if any(unit in units.US_UNITS for unit in last) else ("metric",))


def shown_as(finding: Finding, facts: Facts, display: Display) -> str:
    """All that a reader of the report is shown of a finding, on one line."""
    missing = [f"{m.path}: {display.fill(m.how)}" for m in finding.missing]
    subject = finding.subject.rpartition(".")[2]
    cures = [display.fill(cure, finding.excess, subject) for cure in finding.cures]
    notes = [display.fill(note) for note in finding.notes]
    return " | ".join([sentence(finding, facts.rig, display), *notes, *cures, *missing])
