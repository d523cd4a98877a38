"""What to learn next: a finding is settled when all its acts are done, and no act stands twice."""

from pathlib import Path

import pytest
from rigs import rig

from rigmargin.advice.learn import OPEN, act_of, learn
from rigmargin.judge import plugins
from rigmargin.judge.run import judge
from rigmargin.spec.rig import load

EXAMPLES = sorted((Path(__file__).parents[2] / "specs_examples").glob("*.yaml"))
CATCH_ALL = "complete the rig file"
#: Facts that no label and no scale can tell: the owner decides them.
DECIDED = {"coupling.kind"}


@pytest.mark.parametrize(
    "report", [judge(load(p)) for p in EXAMPLES] + [judge(rig())], ids=[p.stem for p in EXAMPLES] + ["bare"]
)
def test_a_finding_is_settled_exactly_when_all_its_acts_are_done(report):
    acts = learn(report)
    names = [(act.name, act.how) for act in acts]
    assert len(set(names)) == len(names)
    done, settled = set(), []
    for act in acts:
        done.add((act.name, act.how))
        settled += act.settles
        for finding in act.settles:
            assert {act_of(m.path) for m in finding.missing} <= done
    open_ = [f for f in report.findings if f.verdict in OPEN and f.missing]
    assert len(settled) == len(open_)
    assert all(f in settled for f in open_)


def test_the_first_act_settles_at_least_as_much_for_its_kind_as_any_single_other():
    report = judge(load(next(p for p in EXAMPLES if p.stem == "misty-lane-thin")))
    acts = learn(report)
    alone = [len(a.settles) for a in acts if a.settles]
    assert len(acts[0].settles) == max(alone[:3])
    assert acts[0].settles


def test_every_figure_a_rule_needs_has_an_act_of_its_own():
    report = judge(rig())
    needed = {m.path for f in report.findings for m in f.missing}
    assert len(needed) > 20
    for rule in plugins.load().rules:
        for subject, own in rule.each.items():
            for fact in {**rule.needs, **own}.values():
                path = (subject + fact.rstrip(".") if fact.startswith(".") else fact).partition("@")[0]
                if path.endswith(("max_load", "max_mass", "count", "cold_pressure", "hardware_mass", "fitted")):
                    needed.add(path.replace("*", "x"))
    assert {path for path in needed if act_of(path)[0] == CATCH_ALL} <= DECIDED


def test_an_exactly_known_rig_has_nothing_to_learn():
    report = judge(load(next(p for p in EXAMPLES if p.stem == "quarry-bend-utility")))
    assert learn(report) == ()
