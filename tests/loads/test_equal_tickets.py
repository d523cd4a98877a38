"""Tickets on which nothing changed: what is a share of nothing is not known, and nothing else is lost."""

import pytest
from rigs import best, rig

from rigmargin.judge.run import judge
from rigmargin.loads.derive import loads

ALONE = {"state": "alone", "increment": "20 lb", "front": "3100 lb", "rear": "2900 lb"}
SAME = {**ALONE, "state": "coupled", "trailer_axles": "5000 lb"}
RIG = {
    "coupling": {"kind": "weight_distributing"},
    "tow_vehicle": {"wheelbase": "130 in", "coupling_behind_rear_axle": "55 in"},
}


@pytest.mark.parametrize(
    ("coupled", "vertical"),
    [
        (SAME, 0),
        # a fifth wheel straight over the rear axle: the front axle loses nothing
        ({**SAME, "rear": "3500 lb"}, 600),
        # the same total in other parts; the sums differ by what rounding leaves
        ({**SAME, "front": "2900.3 lb", "rear": "3099.7 lb"}, 0),
    ],
)
def test_nothing_lost_is_no_whole_to_take_a_share_of(coupled, vertical):
    one = rig(**RIG, weighings=[ALONE, coupled, {**coupled, "state": "coupled_distributing"}])
    assert best(one, "coupling.vertical", unit="lb") == pytest.approx(vertical, abs=1e-6)
    known = loads(one)
    nothing_lost = coupled["front"] == ALONE["front"]
    assert (known["front_axle.restored", "coupled"].best is None) == nothing_lost
    if nothing_lost:
        assert known["front_axle.restored", "coupled"].tickets == tuple(
            f"weighings.{state}.front" for state in ("coupled_distributing", "coupled", "alone")
        )
    assert (known["coupling.overhang", "coupled"].best is None) == (vertical == 0)
    findings = judge(one).findings
    assert not [f for f in findings if f.verdict == "rule_failed"]
    restored = next(f for f in findings if f.rule == "front-axle-restoration")
    assert (restored.verdict == "not_checked") or not nothing_lost
