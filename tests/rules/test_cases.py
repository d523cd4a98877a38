"""Every rule's own cases, and that every rule has them."""

from pathlib import Path

import pytest

from rigmargin.judge import plugins
from rigmargin.spec import units
from rigmargin.testing import load_cases, run_case, run_cases

HERE = Path(__file__).parent
RULES = {rule.id: rule for rule in plugins.load().rules if rule.origin.startswith("plugin core of rigmargin")}
CASES = [case for path in sorted(HERE.glob("*.yaml")) for case in load_cases(path)]
FAILING = {"over", "outside_band", "unmet", "conflict"}
#: What a rule can never answer, and why.
NEVER = {
    "coupling-chain": FAILING,  # a part that is not listed is unknown, not too weak
    "distribution-weighed": FAILING,  # a weighing that is missing is unknown
    "weighings-agree": {"within", "not_checked"},  # it speaks only of a contradiction
    "weighings-agree-alone": {"within", "not_checked"},
    **{rule: FAILING | {"within", "not_checked"} for rule in (  # they only tell
        "weighings-used", "weighings-loading", "weighings-days",
    )},
    "side-balance": FAILING | {"within", "not_checked"},  # it only tells
    "rating-certificate": {"within", "not_checked"},  # it speaks only of what an option claims
    **{rule: FAILING | {"within", "not_checked"} for rule in (  # they only tell
        "headlamp-aim", "helper-changes-no-limit", "helper-roll-stiffness", "towing-figures-at-height",
    )},
    "coupling-proof": FAILING | {"within"},  # it only tells, or says what it would take
    "trailer-level": FAILING | {"within"},  # it only tells; how far from level is too far nobody says
    "helper-share": {"within", "not_checked"},  # it tells, or shows that two figures contradict each other
    "squat": FAILING | {"within"},  # it only tells, or says what it would take
    "helper-mass": FAILING,  # a mass that is listed nowhere is unknown
    "limits-from-labels": FAILING | {"within"},  # a limit that was not read on its label is not known
    # with one figure there is nothing to compare
    **{rule: {"not_checked"} for rule in (
        "payload-agreement", "tickets-one-loading", "tickets-fit-levers", "tickets-axle-order", "weighed-agrees-computed",
        "coupling-load-agrees", "labels-axles", "labels-combination", "labels-trailer", "labels-payload", "labels-axle-group",
        "spring-rate-agrees", "tyre-marking",
    )},
}  # fmt: skip
#: Rules that compare a load with a limit: their cases stand one unit either side of it.
COMPARE = set(RULES) - {
    "coupling-chain", "distribution-weighed", "payload-agreement", "brake-controller", "trailer-brakes", "breakaway",
    "tickets-one-loading", "tickets-fit-levers", "tickets-axle-order", "weighed-agrees-computed", "coupling-load-agrees",
    "labels-axles", "labels-combination", "labels-trailer", "labels-payload", "labels-axle-group",
    "limits-from-labels", "rating-certificate", "side-balance",
    "weighings-agree", "weighings-agree-alone", "weighings-used", "weighings-loading", "weighings-days",
    "headlamp-aim", "helper-changes-no-limit", "helper-mass", "towing-figures-at-height",
    "helper-share", "helper-roll-stiffness", "springs-sound", "spring-rate-agrees", "squat", "ball-fits", "breakaway-cable",
    "coupling-proof", "trailer-level",
    "spare-tyre", "tyre-age", "tyre-marking", "tyre-pressure-least", "tyre-pressure-most", "tyres-alike",
}  # fmt: skip


@pytest.mark.parametrize("case", CASES, ids=lambda case: f"{case.rule}: {case.name}")
def test_case(case):
    assert run_case(case) == []


def test_every_rule_has_a_file_and_every_file_a_rule():
    assert {path.stem for path in HERE.glob("*.yaml")} == set(RULES)
    assert all(case.rule == Path(case.file).stem for case in CASES)


@pytest.mark.parametrize("rule", sorted(RULES))
def test_every_rule_has_a_case_within_one_failing_and_one_not_checked(rule):
    found = {case.verdict for case in CASES if case.rule == rule}
    never = NEVER.get(rule, set())
    assert ("within" in found) == ("within" not in never)
    assert bool(found & FAILING) is not never.issuperset(FAILING)
    assert ("not_checked" in found) == ("not_checked" not in never)


@pytest.mark.parametrize("rule", sorted(COMPARE))
def test_every_comparison_is_tried_one_unit_either_side_of_its_limit(rule):
    margins = {
        (case.margin.split()[0], case.verdict in FAILING)
        for case in CASES
        if case.rule == rule and case.margin and case.verdict
    }
    assert {("1", False), ("-1", True)} <= margins


@pytest.mark.parametrize("rule", sorted(RULES))
def test_every_parameter_of_a_rule_occurs_in_its_cases(rule):
    takes = set(RULES[rule].needs) | {name for own in RULES[rule].each.values() for name in own}
    assert takes == {name for case in CASES if case.rule == rule for name in case.given}


def test_a_wrong_expectation_is_told_with_what_came_out(tmp_path):
    path = tmp_path / "axle-load.yaml"
    path.write_text(
        "rule: axle-load\n"
        "cases:\n"
        "  wrong: {given: {load: 5 t, limit: 4 t}, verdict: within, margin: 3 kg, words: [feather]}\n"
        "  right: {given: {load: 5 t, limit: 4 t}, verdict: over, margin: -1 t}\n"
    )
    verdict, margin, words = run_cases(path)
    assert "case 'wrong': expected within, got over: The load on the rear axle, 5000 kg, passes" in verdict
    assert "expected a margin of 3 kg, got -1000.0 (SI)" in margin
    assert "'feather' does not occur in: The load on the rear axle" in words


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("rule: axle-load\n", "no cases"),
        ("rule: axle-load\ncases: {a: {given: {load: 5 t}}}\n", "no verdict"),
        ("rule: axle-load\ncases: {a: {verdict: over, gives: {}}}\n", r"unknown \['gives'\]"),
        ("rule: axle-lode\ncases: {a: {verdict: over}}\n", "there is no rule 'axle-lode'"),
        ("rule: axle-load\ncases: {a: {verdict: over, given: {lode: 5 t}}}\n", r"takes no \['lode'\]"),
        ("rule: axle-load\nsubject: trailer\ncases: {a: {verdict: over}}\n", "does not speak of 'trailer'"),
        ("rule: axle-load\ncases: {a: {verdict: within, given: {load: 5 t, limit: 6 t}, margin: 1 fathom}}\n", "fathom"),
    ],
)
def test_a_file_of_cases_that_cannot_be_run_says_why(tmp_path, text, message):
    path = tmp_path / "cases.yaml"
    path.write_text(text)
    with pytest.raises((ValueError, units.NotAQuantity), match=message):
        run_cases(path)
