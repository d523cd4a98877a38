"""Every regulation file of ours: its own cases come out, every threshold is held a unit either side, no operator is loose."""

from pathlib import Path

import pytest

from rigmargin.advice.learn import act_of
from rigmargin.judge import truth
from rigmargin.loads.derive import NAMES
from rigmargin.loads.facts import MADE
from rigmargin.spec import regulation
from rigmargin.testing import run_boundaries, run_regulation, unpinned
from rigmargin.testing.boundary import boundaries, comparisons

FOLDER = Path(__file__).parents[2] / "rules" / "regulations"
FILES = sorted(FOLDER.glob("*.yaml"))
each_file = pytest.mark.parametrize("file", FILES, ids=lambda p: p.stem)
each_rule = pytest.mark.parametrize(
    ("file", "rule"),
    [pytest.param(file, rule, id=f"{file.stem}/{rule.name}") for file in FILES for rule in regulation.load(file).provisions],
)
FAILS, HOLDS = {"over", "unmet", "outside_band"}, {"within", "at_limit"}


def test_there_are_some():
    assert len(FILES) >= 3


@each_file
def test_every_case_comes_out(file):
    assert run_regulation(file) == []


@each_file
def test_a_unit_either_side_of_every_threshold(file):
    assert run_boundaries(file) == []


@each_file
def test_another_operator_would_fail_a_case(file):
    assert unpinned(file) == []


@each_rule
def test_a_rule_has_cases_that_fail_hold_and_leave_open(file, rule):
    verdicts = {case.verdict for case in rule.cases}
    if rule.counts:
        assert verdicts & FAILS and verdicts & HOLDS and "not_checked" in verdicts
    else:
        assert "note" in verdicts and {case.meets for case in rule.cases} >= {"yes", "no", "unknown"}
    assert not rule.when or "not_applicable" in verdicts


@each_rule
def test_what_it_asks_for_has_an_act_that_makes_it_known(file, rule):
    paths = {fact.path.partition("@")[0] for fact in rule.facts.values()} - set(NAMES) - set(MADE) - {"coupling.kind"}
    assert [path for path in paths if act_of(path)[0] == "complete the rig file"] == []


@each_rule
def test_ours_replace_nothing(file, rule):
    assert rule.replaces == ""


# --- the proofs themselves ---------------------------------------------------------------------------------------------


def test_the_thresholds_are_found():
    """Florida: 3000 lb and 40 % for the brakes, 3000 lb for the breakaway: three cases each, of which one decides otherwise."""
    rules = {rule.name: rule for rule in regulation.load(FOLDER / "us-fl.yaml").provisions}
    found = [case for name in ("trailer-brakes", "breakaway") for case in boundaries(rules[name])]
    assert len(found) == 9
    weights = [case.given["mass trailer actual"] for case in found if "when.any.0" in case.name]
    assert weights == ["2999 lb", "3000 lb", "3001 lb"]
    assert [case.outcome for case in found if "when.any.0" in case.name] == ["silent", "silent", "unmet"]
    share = next(case for case in found if "when.any.1" in case.name and ", at its" in case.name)
    part, whole = (float(share.given[f"mass {name} actual"].split()[0]) for name in ("trailer_axles", "tow_vehicle"))
    assert part == pytest.approx(0.4 * whole)


def test_an_engine_that_takes_equality_wrongly_is_caught(monkeypatch):
    monkeypatch.setattr(truth, "STRICT", ())
    assert any("at its threshold" in text for text in run_boundaries(FOLDER / "us-fl.yaml"))
    assert run_regulation(FOLDER / "us-fl.yaml") != []


def test_an_engine_that_is_a_pound_off_is_caught(monkeypatch):
    monkeypatch.setattr(truth, "ZERO", 0.5)  # kg
    assert any("one unit above" in text for text in run_boundaries(FOLDER / "us-fl.yaml"))


def test_a_case_that_no_longer_holds_an_operator_is_missed(tmp_path):
    """Without the case at exactly 3000 lb nobody would notice that 'over' had become 'from'."""
    text = (FOLDER / "us-fl.yaml").read_text("utf-8")
    text = text.replace(
        "at the line:\n        given: {mass trailer actual: 3000 lb",
        "at the line:\n        given: {mass trailer actual: 2999 lb",
    )
    (tmp_path / "us-fl.yaml").write_text(text)
    assert unpinned(tmp_path / "us-fl.yaml") == [
        "us-fl.yaml: breakaway: when.compare: no case fails if more_than were at_least"
    ]


def test_a_comparison_that_never_decides_is_told(tmp_path):
    text = (FOLDER / "us-fl.yaml").read_text("utf-8")
    doubled = "require: {fitted: trailer.breakaway.fitted}"
    never = "{compare: {this: {mass: trailer, basis: actual}, more_than: 2000 lb}}"
    (tmp_path / "us-fl.yaml").write_text(
        text.replace(doubled, f"require: {{all: [{{fitted: trailer.breakaway.fitted}}, {never}]}}")
    )
    assert run_boundaries(tmp_path / "us-fl.yaml") == [
        "us-fl.yaml: breakaway: require.all.1.compare: no facts were found under which this comparison alone decides"
    ]


def test_every_comparison_of_every_file_is_met():
    counted = [len(comparisons(rule)) for file in FILES for rule in regulation.load(file).provisions]
    assert sum(counted) >= 7


def test_a_wrong_case_is_told_with_what_came_out(tmp_path):
    text = (FOLDER / "us-fl.yaml").read_text("utf-8").replace("verdict: unmet", "verdict: within", 1)
    (tmp_path / "us-fl.yaml").write_text(text)
    (wrong,) = run_regulation(tmp_path / "us-fl.yaml")
    assert wrong.startswith("us-fl.yaml: trailer-brakes: case 'one pound over, no brakes': expected within, got unmet: ")
