"""What to learn next: a finding is settled when all its acts are done, first comes what settles most, no act stands twice."""

from pathlib import Path

import pytest
from rigs import merged, rig

from rigmargin.advice import learn as advice
from rigmargin.advice.learn import OPEN, act_of, acts_of, learn
from rigmargin.judge import plugins
from rigmargin.judge.finding import Finding, Report
from rigmargin.judge.run import judge
from rigmargin.loads.derive import NAMES
from rigmargin.loads.facts import Facts, Missing, path_of
from rigmargin.loads.told import TOLD
from rigmargin.report.regional import neutral
from rigmargin.spec import schema
from rigmargin.spec.rig import load

EXAMPLES = sorted((Path(__file__).parents[2] / "specs_examples").glob("*.yaml"))
REPORTS = {p.stem: judge(load(p)) for p in EXAMPLES} | {"bare": judge(rig())}
CATCH_ALL = "complete the rig file"
#: Needs without an act of their own, and why.
EXCEPTIONS = {
    "coupling.kind": "the schema requires it: a rig file without it is refused before any rule is asked",
}
each_report = pytest.mark.parametrize("report", REPORTS.values(), ids=REPORTS)


def needs(report, finding):
    return {act for m in finding.missing for act in acts_of(report, m.path)}


def asked_of(report, rule):
    return {name for f in report.findings if f.rule == rule for name, _ in needs(report, f)}


@each_report
def test_a_finding_is_settled_exactly_when_all_its_acts_are_done(report):
    open_ = [f for f in report.findings if f.verdict in OPEN and f.missing]
    done = set()
    for act in learn(report):
        before = [f for f in open_ if needs(report, f) <= done]
        done.add((act.name, act.how))
        now = [f for f in open_ if needs(report, f) <= done]
        assert [id(f) for f in act.settles] == [id(f) for f in now if not any(f is b for b in before)]
        assert [id(f) for f in act.asked] == [id(f) for f in open_ if (act.name, act.how) in needs(report, f)]
        assert act.asked, "nothing asks for it"
    assert all(needs(report, f) <= done for f in open_)


@each_report
def test_no_act_stands_twice_and_each_figure_is_under_one(report):
    acts = learn(report)
    assert len({act.name for act in acts}) == len(acts)
    paths = [path for act in acts for path in act.paths]
    twice = {path for path in paths if paths.count(path) > 1}
    assert twice <= {"coupling_load"}, "only what two passes tell together stands under both"
    assert set(paths) == {m.path for f in report.findings if f.verdict in OPEN for m in f.missing}


@each_report
def test_the_list_begins_with_what_settles_most_for_each_act(report):
    open_ = [needs(report, f) for f in report.findings if f.verdict in OPEN and f.missing]
    best = max((sum(other <= need for other in open_) / len(need) for need in open_), default=0)
    settled = 0
    begins = [0.0]
    for done, act in enumerate(learn(report), 1):
        settled += len(act.settles)
        begins.append(settled / done)
    assert max(begins) >= best


def _open(rule, *paths):
    return Finding(rule, "x", "", "not_checked", missing=tuple(Missing(path, "") for path in paths))


def test_the_order_by_hand():
    """Two findings want the coupled ticket only, three the tyres' sidewalls only, one both the alone ticket and the placard.

    Sidewalls settle 3 for 1 act, the coupled ticket 2 for 1, the last two acts 1 for 2.
    """
    one = rig()
    report = Report(
        one,
        Facts(one),
        (
            _open("last", "weighings.alone.front", "tow_vehicle.payload"),
            _open("a", "weighings.coupled.front"),
            _open("b", "weighings.coupled.rear", "weighings.coupled.front"),
            _open("c", "tow_vehicle.axles.front.tyres.size"),
            _open("d", "tow_vehicle.axles.rear.tyres.count"),
            _open("e", "trailer.axles.a.tyres.load_index"),
        ),
    )
    acts = neutral(learn(report))
    assert [(act.name, [f.rule for f in act.settles]) for act in acts] == [
        ("photograph a tyre's sidewall on each axle", ["c", "d", "e"]),
        ("weigh the rig coupled", ["a", "b"]),
        ("photograph the loading placard", []),
        ("weigh the tow vehicle alone", ["last"]),
    ]
    assert acts[1].paths == ("weighings.coupled.front", "weighings.coupled.rear")


def _needed():
    """The path of every figure that a rule of ours needs, with x for a name, and the mapping itself where it may be empty."""
    for rule in plugins.load().rules:
        for subject, own in rule.each.items():
            yield from (path_of(subject, fact).partition("@")[0] for fact in {**rule.needs, **own}.values())
            if subject.endswith(".*"):
                yield subject.removesuffix(".*")


def test_every_figure_a_rule_needs_has_an_act_of_its_own():
    """Loads are left out: what they lack is readings and figures, and the test of the bare rig holds those."""
    loads = {name for report in REPORTS.values() for name, _ in report.facts.loads} | set(NAMES)
    needed = {path for path in _needed() if path not in loads and path not in TOLD and path in schema.catalogue()}
    assert len(needed) > 40
    without = {path for path in needed if act_of(path.replace("*", "x"))[0] == CATCH_ALL}
    assert without == set(EXCEPTIONS)


def test_every_figure_that_stands_under_missing_has_an_act_of_its_own():
    items = {
        "tow_vehicle": {"stations": {"bed": "1 m"}, "load": {"box": {"mass": "10 kg"}}},
        "trailer": {"axles": {"a": {"number": 2}}},
    }
    reports = [*REPORTS.values(), judge(rig(**items)), judge(rig(**merged(items, {"coupling": {"kind": "european_ball"}})))]
    lacking = {m.path for report in reports for f in report.findings for m in f.missing}
    instead = {path for report in reports for load in report.facts.loads.values() for path in load.items}
    assert len(lacking) > 30
    assert {path for path in lacking | instead if act_of(path)[0] == CATCH_ALL} == set()


def test_every_row_of_the_table_is_reached_and_each_act_is_done_in_one_way():
    rows = advice._table()
    ways = {}
    for _, name, how in rows:
        ways.setdefault(name, set()).add(how)
    assert [name for name, hows in ways.items() if len(hows) > 1] == []
    samples = [path.replace("*", "x") for path in schema.catalogue()]
    samples += [f"weighings.{state}.all" for state in schema.at(("weighings", 0, "state"))["enum"]]
    assert {act_of(path)[0] for path in samples} == set(ways)


def test_a_coupling_load_is_asked_for_once():
    """A rig that nobody weighed: what the payload lacks is learnt from the two passes that tell the coupling load."""
    names = [neutral(act.name) for act in learn(REPORTS["misty-lane-thin"])]
    assert {"weigh the rig coupled", "weigh the tow vehicle alone"} <= set(names)
    assert "weigh the coupling" not in names
    caravan = [act.name for act in learn(judge(rig(coupling={"kind": "european_ball"})))]
    assert "weigh the coupling" in caravan
    assert asked_of(judge(rig(coupling={"kind": "european_ball"})), "coupling-positive") == {"weigh the coupling"}
    assert set(map(neutral, asked_of(judge(rig()), "coupling-positive"))) == {
        "weigh the rig coupled",
        "weigh the tow vehicle alone",
    }


def test_an_exactly_known_rig_has_nothing_to_learn():
    assert learn(REPORTS["quarry-bend-utility"]) == ()
