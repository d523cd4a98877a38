"""The cases of a regulation file, and those that follow from its figures.

``run_regulation`` runs the cases that the file itself gives. ``run_boundaries`` makes more from the data, at every threshold
and one unit on either side of it (``testing.boundary``). ``unpinned`` names the comparisons whose operator could be another
without any case of the file failing. In a plugin's own tests:

    from rigmargin.testing import run_boundaries, run_regulation, unpinned
    def test_law():
        assert run_regulation("us-zz.yaml") + run_boundaries("us-zz.yaml") + unpinned("us-zz.yaml") == []
"""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import Any

from rigmargin.judge.provision import meets, rule_of
from rigmargin.judge.rule import Rule
from rigmargin.judge.run import judge_subject
from rigmargin.loads.derive import COUPLED
from rigmargin.loads.estimate import Load
from rigmargin.loads.facts import Facts, Known
from rigmargin.loads.value import Figures
from rigmargin.report.display import Display
from rigmargin.spec import units
from rigmargin.spec.condition import OPERATORS, Compare
from rigmargin.spec.regulation import Case, Provision, Regulation, load
from rigmargin.spec.rig import TrailerAxle, Unloaded, parse
from rigmargin.spec.stated import Stated
from rigmargin.testing import cases
from rigmargin.testing.boundary import Boundary, boundaries, comparisons, through

_RATED = "trailer.axles.axle.max_load"
#: The outcome that each verdict is; any other leaves it open.
SAID = {
    "not_applicable": "silent", "within": "met", "at_limit": "met", "over": "unmet", "unmet": "unmet", "outside_band": "unmet",
}  # fmt: skip
_MEETS = {"yes": True, "no": False, "unknown": None}


def run_regulation(file: str | Path | Traversable) -> list[str]:
    """What is wrong with the cases of a regulation file, one sentence each. Raises FileProblems when it cannot be read."""
    regulation = load(file)
    return [
        complaint
        for provision in regulation.provisions
        for case in provision.cases
        for complaint in complaints(regulation, provision, case)
    ]


def run_boundaries(file: str | Path | Traversable) -> list[str]:
    """What is wrong at the thresholds of a regulation file, one sentence each. Raises FileProblems when it cannot be read."""
    regulation = load(file)
    return [
        complaint
        for provision in regulation.provisions
        for case in boundaries(provision)
        for complaint in _at_threshold(regulation, provision, case)
    ]


def _at_threshold(regulation: Regulation, provision: Provision, case: Boundary | str) -> list[str]:
    where = f"{regulation.file}: {provision.name}"
    if isinstance(case, str):
        return [f"{where}: {case}: no facts were found under which this comparison alone decides"]
    rule = rule_of(regulation, provision, "law", "its file")
    facts = facts_of(provision, case.given)
    finding = judge_subject(rule, "combination", facts)
    said = SAID.get(finding.verdict, "open")
    if finding.verdict == "note":
        said = {True: "met", False: "unmet", None: "open"}[meets(provision, known(rule, facts))]
    if said == case.outcome:
        return []
    shown = cases.shown_as(finding, facts, _display(case.given))
    return [f"{where}: {case.name}: with {case.given} expected {case.outcome}, got {finding.verdict}: {shown}"]


def unpinned(file: str | Path | Traversable) -> list[str]:
    """The comparisons of a regulation file that no case of its own holds to their operator."""
    regulation = load(file)
    loose = []
    for provision in regulation.provisions:
        for compare in comparisons(provision):
            where = f"{regulation.file}: {provision.name}: {'.'.join(map(str, compare.key[2:]))}"
            for operator in OPERATORS:
                if operator != compare.operator:
                    other = swapped(provision, compare, operator)
                    if not any(complaints(regulation, other, case) for case in provision.cases):
                        loose.append(f"{where}: no case fails if {compare.operator} were {operator}")
    return loose


def swapped(provision: Provision, compare: Compare, operator: str) -> Provision:
    """The rule with another operator in one of its comparisons."""
    return through(provision, lambda c: dataclasses.replace(c, operator=operator) if c.key == compare.key else c)


def complaints(regulation: Regulation, provision: Provision, case: Case) -> list[str]:
    """What is wrong with one case."""
    rule = rule_of(regulation, provision, "law", "its file")
    facts = facts_of(provision, case.given)
    finding = judge_subject(rule, "combination", facts)
    shown = cases.shown_as(finding, facts, _display(case.given))
    where = f"{regulation.file}: {provision.name}: case {case.name!r}"
    wrong = []
    if finding.verdict != case.verdict:
        wrong.append(f"{where}: expected {case.verdict}, got {finding.verdict}: {shown}")
    if case.meets and meets(provision, known(rule, facts)) is not _MEETS[case.meets]:
        wrong.append(f"{where}: expected that it meets the requirement: {case.meets}; but: {shown}")
    return wrong + [f"{where}: {words!r} does not occur in: {shown}" for words in case.words if words not in shown]


def known(rule: Rule, facts: Facts) -> dict[str, Known]:
    """The facts a rule asks for that are known, by path."""
    found = {path: facts.find(path) for path in rule.needs.values()}
    return {path: fact for path, fact in found.items() if isinstance(fact, Known)}


def facts_of(provision: Provision, given: Mapping[str, Any]) -> Facts:
    """Facts in which nothing is known but what a case gives."""
    names = provision.facts
    paths = {names[name].path: value for name, value in given.items()}
    stated: dict[str, Stated] = {}
    number = int(paths.get("trailer.axle_count", 1))
    counted = not paths.keys().isdisjoint({"trailer.axle_count", "trailer.axle_ratings"})
    empty = {"tow_vehicle.empty": _unloaded(None), "trailer.empty": _unloaded(None)}
    figures = Figures()
    loads: list[Load] = []
    for path, value in paths.items():
        if cases.is_load(path):
            loads.append(cases.load_as(path, value, figures))
        elif path in empty:
            empty[path] = _unloaded(cases.stated_as(path, value))
        elif path == "trailer.axle_ratings":
            together = cases.stated_as(_RATED, value)
            stated[_RATED] = dataclasses.replace(together, value=together.number / number)
        elif path != "trailer.axle_count":
            stated[path] = cases.stated_as(path, value)
    rig = dataclasses.replace(
        parse(cases.BARE, "case.yaml"),
        stated=stated,
        trailer_axles=(TrailerAxle("axle", number, ""),) if counted else (),
        tow_unloaded=empty["tow_vehicle.empty"],
        trailer_unloaded=empty["trailer.empty"],
    )
    facts = Facts(rig)
    facts.loads.clear()
    for each in loads:
        facts.loads[each.name, each.state] = each
    for fact in names.values():
        name, state, _ = facts.parts(fact.path)
        if cases.is_load(fact.path) and (name, state) not in facts.loads and state == COUPLED:
            facts.loads[name, COUPLED] = Load(name, COUPLED, "mass", (), (f"weighings.coupled.{name.rpartition('.')[2]}",), ())
    return facts


def _unloaded(total: Stated | None) -> Unloaded:
    return Unloaded(total, None, None, ())


def _display(given: Mapping[str, Any]) -> Display:
    texts = [value.get("value", "") if isinstance(value, dict) else value for value in given.values()]
    last = [text.rsplit(" ", 1)[-1] for text in texts if isinstance(text, str)]
    return Display(("us",) if any(unit in units.US_UNITS for unit in last) else ("metric",))
