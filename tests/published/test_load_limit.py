"""The load-limit steps that 49 CFR 575.6 makes every handbook print, and makers' worked tables of the same steps.

Each runs through the whole engine: a rig file's text in, a finding out.
"""

import pytest
from rigs import POUND

from rigmargin.judge.run import judge
from rigmargin.spec.rig import parse

RIG = """
rig: 1
name: load limit
tow_vehicle:
  payload: {{value: {limit} lb, source: placard}}
  load:
{people}
coupling: {{kind: weight_carrying, hardware_mass: {{value: 0 lb, plus_or_minus: 0 lb}}}}
coupling_load: {{value: {coupling} lb, source: measured, plus_or_minus: 0 lb}}
trailer: {{}}
"""


def payload(limit, people, cargo=0, coupling=0):
    aboard = {**{f"person {i}": mass for i, mass in enumerate(people)}, "cargo": cargo}
    lines = "\n".join(
        f"    {name}: {{mass: {{value: {mass} lb, plus_or_minus: 0 lb}}, person: {'no' if name == 'cargo' else 'yes'}}}"
        for name, mass in aboard.items()
    )
    report = judge(parse(RIG.format(limit=limit, people=lines, coupling=coupling), "limit.yaml"))
    return next(f for f in report.findings if f.rule == "payload")


STEPS = [
    # 49 CFR 575.6, the illustration it requires: 1,400 lb, five people of 150 lb, 650 lb for cargo and luggage
    (1400, [150] * 5, 650),
    # one maker's handbook table of the same steps: 2 x 150 lb leave 700 of 1,000 lb; 5 x 150 leave 250; 5 x 200 leave nothing
    (1000, [150] * 2, 700),
    (1000, [150] * 5, 250),
    (1000, [200] * 5, 0),
    # another maker's: people of 150, 180, 160, 140 and 120 lb leave 750 of 1,500 lb; one of 200 lb leaves 1,300
    (1500, [150, 180, 160, 140, 120], 750),
    (1500, [200], 1300),
    # a third of that family: 175 and 195 lb leave 1,130 of 1,500 lb
    (1500, [175, 195], 1130),
]


@pytest.mark.parametrize(("limit", "people", "left"), STEPS)
def test_what_the_people_leave_for_cargo(limit, people, left):
    found = payload(limit, people)
    assert found.margin / POUND == pytest.approx(left, abs=1e-6)
    assert found.verdict == ("within" if left else "at_limit")


@pytest.mark.parametrize(("limit", "people", "left"), [step for step in STEPS if step[2]])
def test_exactly_that_much_cargo_may_come_aboard(limit, people, left):
    assert payload(limit, people, left - 1).verdict == "within"
    assert payload(limit, people, left).verdict == "at_limit"
    assert payload(limit, people, left + 1).verdict == "over"


def test_a_trailer_s_load_on_the_coupling_reduces_it():
    """The sixth step: if the vehicle tows, the trailer's load is transferred to it and reduces the cargo it may carry."""
    assert payload(1400, [150] * 5, coupling=400).margin / POUND == pytest.approx(250, abs=1e-6)
    assert payload(1400, [150] * 5, coupling=651).verdict == "over"
