"""Which passes a rig lacks, and in which order."""

from pathlib import Path

import pytest
from rigs import COMPUTED, rig

from rigmargin.advice.passes import IN_WORDS, passes
from rigmargin.advice.to_weigh import AGAIN, ASKED, FIRST, MORE, to_weigh
from rigmargin.judge.run import judge
from rigmargin.spec.references import READINGS
from rigmargin.spec.rig import load

EXAMPLES = sorted((Path(__file__).parents[2] / "specs_examples").glob("*.yaml"))
COUPLED = {"state": "coupled", "front": "3000 lb", "rear": "3600 lb", "trailer_axles": "5000 lb", "increment": "20 lb"}


def states(report):
    return [one.state for one in to_weigh(report)]


@pytest.fixture(scope="module", params=EXAMPLES, ids=lambda p: p.stem)
def report(request):
    return judge(load(request.param))


def test_every_weighing_that_a_finding_asks_for_is_in_a_pass(report):
    asked = {m.path.split(".")[1] for f in report.findings for m in f.missing if m.path.startswith("weighings.")}
    assert asked <= set(states(report))


def test_the_pass_that_tells_the_most_is_among_them(report):
    told = passes(report)
    assert not told or not told.next or told.next in {IN_WORDS[state] for state in states(report)}


def test_a_pass_reads_what_its_state_can_and_nothing_else(report):
    for one in to_weigh(report):
        assert {name.partition(".")[0] for name in one.readings} <= READINGS[one.state]
        assert one.wanted <= set(one.readings)


def test_a_rig_of_which_nothing_is_known_lacks_both_passes_and_is_not_told_to_make_them_again():
    made = to_weigh(judge(rig()))
    assert {"coupled", "alone"} <= {one.state for one in made}
    assert AGAIN not in {one.why for one in made}


def test_after_the_coupled_pass_the_one_alone_is_left_and_settles_the_coupling_load():
    made = to_weigh(judge(rig(weighings=[COUPLED])))
    assert made[0].state == "alone"
    assert "coupling-positive" in {finding.rule for finding in made[0].settles}


def test_a_rig_that_is_over_by_what_is_computed_and_was_never_weighed_is_sent_to_the_scale():
    assert judge(rig(**COMPUTED)).overall == "over"
    assert [(one.state, one.why, one.settles) for one in to_weigh(judge(rig(**COMPUTED)))] == [
        ("coupled", FIRST, ()),
        ("alone", FIRST, ()),
    ]
    bars = judge(rig(**{**COMPUTED, "coupling": {"kind": "weight_distributing"}}))
    assert {"coupled", "alone", "coupled_distributing"} == {one.state for one in to_weigh(bars)}


def test_a_pass_that_no_finding_asks_for_is_not_said_to_be_asked_for():
    tickets = [COUPLED | {"trailer_axles": "3900 lb"}]
    made = to_weigh(judge(rig(**COMPUTED, weighings=tickets)))
    assert {one.why for one in made} <= {ASKED, MORE}
    assert all(one.why == (ASKED if one.settles or one.wanted else MORE) for one in made)


def test_a_rig_that_lacks_nothing_is_shown_the_passes_it_has():
    made = to_weigh(judge(load(EXAMPLES[0])))
    assert [(one.state, one.why, one.wanted) for one in made] == [
        ("coupled", AGAIN, frozenset()),
        ("alone", AGAIN, frozenset()),
    ]


def test_trailer_axles_of_several_entries_have_a_reading_each():
    several = rig(trailer={"axles": {"ahead": {}, "behind": {}}})
    coupled = next(one for one in to_weigh(judge(several)) if one.state == "coupled")
    assert {"trailer_axles", "trailer_axles.ahead", "trailer_axles.behind"} <= set(coupled.readings)
    one_entry = next(one for one in to_weigh(judge(rig(trailer={"axles": {"tandem": {}}}))) if one.state == "coupled")
    assert "trailer_axles.tandem" not in one_entry.readings
