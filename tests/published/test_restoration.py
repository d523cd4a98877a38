"""Front-axle load restoration: the worked figures of the trade's definition (common practice, no single source)."""

import pytest
from rigs import rig

from rigmargin.judge.run import judge


def test_half_of_what_the_front_axle_lost_comes_back():
    # common practice: 100 x (with bars - coupled without) / (uncoupled - coupled without), steer axle 3,200, 2,900 and
    # 3,050 lb: 50 %
    tickets = [
        {"state": state, "increment": "10 lb", "front": f"{front} lb", "rear": "3000 lb", **axles}
        for state, front, axles in (
            ("alone", 3200, {}),
            ("coupled", 2900, {"trailer_axles": "5000 lb"}),
            ("coupled_distributing", 3050, {"trailer_axles": "4850 lb"}),
        )
    ]
    one = judge(rig(coupling={"kind": "weight_distributing"}, weighings=tickets))
    found = next(f for f in one.findings if f.rule == "front-axle-restoration")
    assert found.load == pytest.approx(0.50)
    assert found.verdict == "note"
