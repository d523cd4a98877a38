"""The cases of a regulation file.

``run_regulation`` runs the cases that the file itself gives. ``unpinned`` names the comparisons whose operator could
be another without any case of the file failing. In a plugin's own tests:

    from rigmargin.testing import run_regulation, unpinned
    def test_law():
        assert run_regulation("us-zz.yaml") + unpinned("us-zz.yaml") == []
"""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import Any

from rigmargin.judge.regulation import meets, rule_of
from rigmargin.judge.rule import Rule
from rigmargin.judge.run import judge_subject
from rigmargin.loads.derive import COUPLED
from rigmargin.loads.estimate import Load
from rigmargin.loads.facts import Facts, Known
from rigmargin.loads.value import Figures
from rigmargin.report.display import Display
from rigmargin.spec import units
from rigmargin.spec.condition import OPERATORS, Compare, Condition, Every, Not, parts
from rigmargin.spec.regulation import Case, Provision, Regulation, load
from rigmargin.spec.rig import TrailerAxle, Unloaded, parse
from rigmargin.spec.stated import Stated
from rigmargin.testing import cases

_RATED = "trailer.axles.axle.max_load"
_MEETS = {"yes": True, "no": False, "unknown": None}


def unpinned(file: str | Path | Traversable) -> list[str]:
    """The comparisons of a regulation file that no case of its own holds to their operator."""
    regulation = load(file)
    loose = []
    for provision in regulation.provisions:
        for compare in comparisons(provision):
            for operator in OPERATORS:
                if operator != compare.operator:
                    other = swapped(provision, compare, operator)
                    if not any(complaints(regulation, other, case) for case in provision.cases):
                        where = ".".join(map(str, compare.key[2:]))
                        loose.append(
                            f"{regulation.file}: {provision.name}: {where}: no case fails if {compare.operator} were {operator}"
                        )
    return loose


def comparisons(provision: Provision) -> list[Compare]:
    """Every comparison of a rule."""
    tops = [top for top in (provision.when, provision.require) if top]
    return [part for top in tops for part in parts(top) if isinstance(part, Compare)]


def swapped(provision: Provision, compare: Compare, operator: str) -> Provision:
    """The rule with another operator in one of its comparisons."""

    def through(item: Condition) -> Condition:
        if isinstance(item, Compare):
            return dataclasses.replace(item, operator=operator) if item.key == compare.key else item
        if isinstance(item, Every):
            return dataclasses.replace(item, items=tuple(map(through, item.items)))
        return Not(through(item.item)) if isinstance(item, Not) else item

    when = through(provision.when) if provision.when else None
    return dataclasses.replace(provision, when=when, require=through(provision.require))


def run_regulation(file: str | Path | Traversable) -> list[str]:
    """What is wrong with the cases of a regulation file, one sentence each. Raises FileProblems when it cannot be read."""
    regulation = load(file)
    return [
        complaint
        for provision in regulation.provisions
        for case in provision.cases
        for complaint in complaints(regulation, provision, case)
    ]


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
    if case.meets and met(provision, rule, facts) is not _MEETS[case.meets]:
        wrong.append(f"{where}: expected that it meets the requirement: {case.meets}; but: {shown}")
    return wrong + [f"{where}: {words!r} does not occur in: {shown}" for words in case.words if words not in shown]


def met(provision: Provision, rule: Rule, facts: Facts) -> bool | None:
    """Whether the facts meet a rule's requirement, whatever its source is worth."""
    return meets(provision, known(rule, facts))


def known(rule: Rule, facts: Facts) -> dict[str, Known]:
    """The facts a rule asks for that are known, by path."""
    found = {path: facts.find(path) for path in rule.needs.values()}
    return {path: fact for path, fact in found.items() if isinstance(fact, Known)}


def facts_of(provision: Provision, given: Mapping[str, Any]) -> Facts:
    """Facts in which nothing is known but what a case gives."""
    names = provision.facts
    paths = {names[name].path: value for name, value in given.items()}
    stated: dict[str, Stated] = {}
    axles: tuple[TrailerAxle, ...] = ()
    empty = {"tow_vehicle.empty": _unloaded(None), "trailer.empty": _unloaded(None)}
    figures = Figures()
    loads: list[Load] = []
    for path, value in paths.items():
        if cases.is_load(path):
            loads.append(cases.load_as(path, value, figures))
        elif path in empty:
            empty[path] = _unloaded(cases.stated_as(path, value))
        elif path == "trailer.axle_ratings":
            axles = (TrailerAxle("axle", 1, ""),)
            stated[_RATED] = cases.stated_as(_RATED, value)
        else:
            stated[path] = cases.stated_as(path, value)
    rig = dataclasses.replace(
        parse(cases.BARE, "case.yaml"),
        stated=stated,
        trailer_axles=axles,
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
