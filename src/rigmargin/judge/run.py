"""Rules and facts to findings.

The decision rule is guarded acceptance (after JCGM 106:2012, 8.3.2): with the expanded uncertainty U of the margin,
``within`` when margin >= U, ``over`` when margin <= -U, else ``too_close``; with U = 0 a margin of exactly 0 is ``at_limit``.
"""

from __future__ import annotations

import dataclasses
from typing import Any

from rigmargin.judge import by_settings, plugins, regulation
from rigmargin.judge.finding import VERDICTS, Evidence, Finding, Report, Side
from rigmargin.judge.rule import Agreement, Answer, Comparison, NotApplicable, Remark, Requirement, Rule, Undecided
from rigmargin.judge.source import Failed
from rigmargin.loads.estimate import Estimate
from rigmargin.loads.facts import Facts, Known, Missing, how_to_learn, path_of, to_weigh
from rigmargin.loads.value import COVERAGE, Influence, Value, nominal, spread_and_influences
from rigmargin.spec.rig import Rig

#: Two printed figures that were each rounded to a whole kilogram or pound cannot be told apart within one. SI, by dimension.
ROUNDING = {"mass": 1.0}
_RANK = {verdict: place for place, verdict in enumerate(VERDICTS)}
ZERO = 1e-9  # a margin smaller than this (SI) is exactly zero: what is left of unit conversion


def judge(rig: Rig, ruleset: plugins.Ruleset | None = None) -> Report:
    """Hold every load of ``rig`` against every limit of ``ruleset`` (by default that of the installed plugins)."""
    ruleset = ruleset or plugins.load()
    facts = Facts(rig)
    law = regulation.of(ruleset.shelves, rig)
    speaking = {rule.id: rule for rule in (*ruleset.rules, *law.rules) if regulation.holds_there(rule, rig)}
    off = [(old, new) for old, new in ruleset.replaced if old.id in speaking and new.id in speaking]
    findings = [Finding(f.name, "", "", "rule_failed", reason=f.reason) for f in (*ruleset.failures, *law.failures)]
    findings += [_switched_off(old, new) for old, new in off]
    for rule in (rule for rule in speaking.values() if rule.id not in {old.id for old, _ in off}):
        findings += _run(rule, facts)
    return Report(rig, facts, by_settings.marked(tuple(sorted(findings, key=_order)), rig))


def _switched_off(old: Rule, new: Rule) -> Finding:
    """That a rule was not run because another stands in its place."""
    return Finding(old.id, "", "", "note", old, reason=f"not run: {new.id} ({new.origin}) stands in its place")


def _order(finding: Finding) -> tuple[Any, ...]:
    margin = finding.relative_margin
    return _RANK[finding.verdict], margin is None, margin or 0.0, finding.rule, finding.subject, finding.state


def _run(rule: Rule, facts: Facts) -> list[Finding]:
    """One rule on each of its subjects, in each state it speaks of."""
    findings: list[Finding] = []
    for pattern, own in rule.each.items():
        needs = {**rule.needs, **own}
        for subject in facts.expand(pattern):
            if not rule.where or facts.describes(path_of(subject, rule.where)):
                findings += [
                    _judge(rule, needs, subject, pattern, state, facts) for state in _states(rule, needs, subject, facts)
                ]
    return _name_weakest(findings) if rule.chain else findings


def _states(rule: Rule, needs: dict[str, str], subject: str, facts: Facts) -> list[str]:
    """The states in which a rule is held: every one in which its load, or else any of its facts, is known."""
    if not rule.states:
        return [""]
    loads = [needs["load"]] if "load" in needs else needs.values()
    return sorted({state for load in loads for state in facts.states(path_of(subject, load))})


def judge_subject(rule: Rule, subject: str, facts: Facts) -> Finding:
    """One rule on one subject in the static coupled state."""
    pattern = next(pattern for pattern in rule.each if plugins.fits(subject, pattern))
    return _judge(rule, {**rule.needs, **rule.each[pattern]}, subject, pattern, "coupled" if rule.states else "", facts)


@dataclasses.dataclass(slots=True)
class _Case:
    """One rule on one subject in one state, with what is known of its facts by parameter."""

    rule: Rule
    subject: str
    state: str
    facts: Facts
    known: dict[str, Known]

    def finding(self, verdict: str, **fields: Any) -> Finding:
        """A finding about it; ``fields`` are those of ``Finding``."""
        return Finding(self.rule.id, self.subject, self.state, verdict, self.rule, **fields)

    def words(self) -> tuple[Evidence, ...]:
        """Every line of the file that its facts are, as evidence without an influence."""
        return tuple([Evidence(k.stated) for k in self.known.values() if k.stated])

    def dimension(self, otherwise: str) -> str:
        """That of the load."""
        load = self.known.get("load")
        return load.dimension if load else otherwise


def _judge(rule: Rule, needs: dict[str, str], subject: str, pattern: str, state: str, facts: Facts) -> Finding:
    case = _Case(rule, subject, state, facts, {})
    if pattern.endswith(".*") and subject == pattern.removesuffix(".*"):
        return case.finding("not_checked", missing=(Missing(subject, how_to_learn(subject)),))
    try:
        absent: list[Missing] = []
        for parameter, fact in needs.items():
            found = facts.find(path_of(subject, fact), state or "coupled")
            if isinstance(found, Known):
                case.known[parameter] = found
            elif parameter not in rule.optional:
                absent += found
        if absent:
            return case.finding("not_checked", missing=tuple(dict.fromkeys(absent)), limit_name=rule.limit_name)
        return _contested(_by_the_heaviest(_answered(case), case), case)
    except (Exception, SystemExit) as error:  # a rule may be a stranger's: its failure is a finding and the others go on
        why = str(error) if isinstance(error, Failed) else f"{type(error).__name__}: {error}"
        return case.finding("rule_failed", reason=f"rule {rule.id} ({rule.origin}) failed: {why}")


def _answered(case: _Case) -> Finding:
    rule, known = case.rule, case.known
    answer = rule.check(**(known if rule.known else {name: fact.value for name, fact in known.items()}))
    return _finding(case, answer)


def _by_the_heaviest(finding: Finding, case: _Case) -> Finding:
    """What several axles under one entry pass even if they share evenly, one of them passes however they share."""
    load = case.known.get("load")
    best = load.load.best if load and load.load else None
    if finding.verdict != "too_close" or load is None or load.load is None or best is None or best.heaviest is None:
        return finding
    at_least = best._replace(value=best.heaviest, method="lower_bound", heaviest=None)
    known = Known(at_least.value, load.dimension, load=dataclasses.replace(load.load, estimates=(at_least,)))
    found = _answered(dataclasses.replace(case, known={**case.known, "load": known}))
    if found.verdict not in ("over", "outside_band") or finding.uncertainty is None or finding.margin is None:
        return finding
    # what is to go is what clears it however they share
    return found._replace(estimate=finding.estimate, excess=finding.uncertainty - finding.margin)


def _contested(finding: Finding, case: _Case) -> Finding:
    """A conflict instead of a verdict that another way of knowing the load, of the same standing, would turn into another."""
    load = case.known.get("load")
    if finding.margin is None or load is None or load.load is None:
        return finding
    for rival in load.load.rivals:
        other = Known(rival.value, load.dimension, load=dataclasses.replace(load.load, estimates=(rival,)))
        if _answered(dataclasses.replace(case, known={**case.known, "load": other})).verdict != finding.verdict:
            return finding._replace(verdict="conflict", rival=rival, cures=(), excess=None)
    return finding


def _finding(case: _Case, answer: Answer) -> Finding:
    if isinstance(answer, Comparison):
        return _comparison(case, answer)
    if isinstance(answer, NotApplicable):
        return case.finding("not_applicable", reason=answer.reason, evidence=case.words())
    if isinstance(answer, Undecided):
        missing = _traced([path_of(case.subject, path) for path in answer.paths], case.facts, case.state or "coupled")
        return case.finding(
            "not_checked", reason=answer.reason, missing=missing, evidence=case.words(), limit_name=case.rule.limit_name
        )
    if isinstance(answer, Requirement):
        return case.finding(
            "within" if answer.met else answer.failing,
            reason=answer.found,
            expected=answer.expected,
            cures=() if answer.met else answer.cures,
            evidence=case.words(),
        )
    if isinstance(answer, Remark):
        return _remark(case, answer)
    if isinstance(answer, Agreement):
        return _agreement(case, answer)
    raise TypeError(f"it answered {answer!r}, which is not one of the answers a rule may give")


def _remark(case: _Case, answer: Remark) -> Finding:
    value = answer.load
    if value is None:
        return case.finding("note", reason=answer.reason, notes=answer.notes, evidence=case.words())
    spread, inputs = spread_and_influences(value)
    return case.finding(
        "note",
        dimension=case.dimension(""),
        load=nominal(value),
        uncertainty=spread,
        estimate=_estimate(case.known),
        reason=answer.reason,
        notes=answer.notes,
        evidence=_evidence(inputs, case),
    )


def _traced(paths: list[str], facts: Facts, state: str) -> tuple[Missing, ...]:
    """What to learn for each path; for a load, what would make it known."""
    missing: list[Missing] = []
    for path in paths:
        found = facts.find(path, state)
        if isinstance(found, tuple):  # nothing nearer may be named for a load that only its own ticket tells
            missing += found or [Missing(f"weighings.{state}.all", how_to_learn(f"weighings.{state}.all"))]
        else:  # known, but not well enough
            missing += to_weigh(found.load) if found.load else [Missing(path, how_to_learn(path))]
    return tuple(dict.fromkeys(missing))


def _comparison(case: _Case, answer: Comparison) -> Finding:
    known, rule = case.known, case.rule
    margins = [answer.load - answer.low] if answer.low is not None else []
    margins += [answer.high - answer.load] if answer.high is not None else []
    margin = min(margins, key=nominal)
    left, spread, inputs = _left(margin)
    rests_on = answer.rests_on
    estimate = _estimate(known if rests_on is None else {n: k for n, k in known.items() if n in rests_on})
    bound = estimate is not None and estimate.at_least
    failing = "over" if answer.low is None else "outside_band"
    verdict = failing if answer.strict and left == 0 and spread < ZERO else verdict_of(left, spread, failing)
    missing: tuple[Missing, ...] = ()
    reason = ""
    if bound and not _holds_for_more(answer, left, verdict):
        verdict, reason = "not_checked", "only a lower bound of the load is known"
        path = "weighings.coupled.tow_vehicle"
        if estimate and estimate.lists:
            path = estimate.lists
            reason += f", because {'nobody' if path.startswith('tow') else 'nothing'} is listed in {path}"
        missing = (Missing(path, how_to_learn(path)),)
    load = known.get("load")
    if verdict == "too_close" and load and load.load:
        missing = to_weigh(load.load)
    failed = verdict in ("over", "outside_band")
    return case.finding(
        verdict,
        dimension=answer.dimension or case.dimension("mass"),
        load=nominal(answer.load),
        low=None if answer.low is None else nominal(answer.low),
        high=None if answer.high is None else nominal(answer.high),
        margin=left,
        uncertainty=spread,
        at_least=bound,
        strict=answer.strict,
        limit_name=answer.limit_name or rule.limit_name,
        quantity=answer.quantity,
        limit=next((k.stated for k in known.values() if k.stated and (k.value is answer.high or k.value is answer.low)), None),
        estimate=estimate,
        reason=reason,
        notes=answer.notes,
        cures=(*answer.cures, *rule.cures) if failed else (),
        excess=spread - left if failed else None,
        missing=missing,
        evidence=_evidence(inputs, case),
        inputs=inputs,
        doubt=inputs[0] if inputs and inputs[0].share > 0 else None,
        sides=tuple(_side(end, m) for end, m in zip(("lower", "upper"), margins, strict=True)) if len(margins) == 2 else (),
    )


def _left(margin: Value) -> tuple[float, float, tuple[Influence, ...]]:
    """A margin, its expanded uncertainty and its inputs; what is left of unit conversion is exactly zero."""
    left = nominal(margin)
    return (0.0 if abs(left) < ZERO else left, *spread_and_influences(margin))


def _side(end: str, margin: Value) -> Side:
    left, spread, inputs = _left(margin)
    return Side(end, verdict_of(left, spread, "outside_band"), left, spread, inputs)


def _holds_for_more(answer: Comparison, margin: float, verdict: str) -> bool:
    """Whether a verdict on a load still holds when the true load is larger: it is past the upper limit, or there is none and it
    is above the lower."""
    if answer.high is None:
        return verdict == "within"
    passes_high = margin <= 0 and (answer.low is None or nominal(answer.load) > nominal(answer.high))
    return passes_high and verdict in ("over", "outside_band")


def verdict_of(margin: float, spread: float, failing: str) -> str:
    """The decision rule on a margin and its expanded uncertainty (SI), with the word for a limit that is passed."""
    if spread < ZERO and margin == 0:
        return "at_limit"
    if margin >= spread - ZERO:
        return "within"
    return failing if margin <= -spread + ZERO else "too_close"


def _agreement(case: _Case, answer: Agreement) -> Finding:
    difference = answer.one - answer.other
    apart, (spread, inputs) = abs(nominal(difference)), spread_and_influences(difference)
    dimension = next((k.dimension for k in case.known.values() if k.dimension), "")
    agrees = apart <= max(spread * answer.coverage / COVERAGE, ROUNDING.get(dimension, 0.0)) + ZERO
    return case.finding(
        "within" if agrees else "conflict",
        dimension=dimension,
        load=nominal(answer.one),
        high=nominal(answer.other),
        uncertainty=spread,
        reason=answer.used,
        other=(answer.one_name, answer.other_name),
        evidence=_evidence(inputs, case),
    )


def _estimate(known: dict[str, Known]) -> Estimate | None:
    """The estimate behind the load; of several, the one that is only a lower bound, else the one called load."""
    made = {name: k.estimate for name, k in known.items() if k.estimate}
    bounds = [e for e in made.values() if e.at_least]
    return bounds[0] if bounds else made.get("load") or next(iter(made.values()), None)


def _evidence(inputs: tuple[Influence, ...], case: _Case) -> tuple[Evidence, ...]:
    """Every figure of the file a margin rests on, the one with the largest share of its uncertainty first, then words."""
    stated = case.facts.rig.stated
    found = [Evidence(stated[i.path], i) for i in inputs if i.path in stated]
    used = {e.stated.path for e in found}
    return (*found, *[word for word in case.words() if word.stated.path not in used])


def _name_weakest(findings: list[Finding]) -> list[Finding]:
    """Mark the link of a chain that leaves the least margin, if there is one that leaves less than every other."""
    compared = sorted((f for f in findings if f.margin is not None), key=lambda f: f.margin or 0.0)
    if len(compared) < 2 or (compared[1].margin or 0.0) - (compared[0].margin or 0.0) < ZERO:
        return findings
    weakest = compared[0]
    return [f._replace(weakest_of=len(compared)) if f is weakest else f for f in findings]
