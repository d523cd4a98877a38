"""What the tickets at hand tell as a set, what they cannot, and the one further pass that tells the most."""

import pytest
from rigs import rig

from rigmargin.advice.passes import passes
from rigmargin.judge.run import judge
from rigmargin.report.regional import neutral

AXLES = {"front": "1400 kg", "rear": "1500 kg"}
ALONE = {"state": "alone", "increment": "10 kg", **AXLES}
COUPLED = {"state": "coupled", "increment": "10 kg", "front": "1300 kg", "rear": "1800 kg", "trailer_axles": "2000 kg"}
BARS = {
    "state": "coupled_distributing",
    "increment": "10 kg",
    "front": "1360 kg",
    "rear": "1700 kg",
    "trailer_axles": "2040 kg",
}


def found(*tickets, kind="weight_distributing"):
    return neutral(passes(judge(rig(coupling={"kind": kind}, weighings=list(tickets)))))


def test_nothing_weighed_is_nothing_to_read():
    assert found() is None


@pytest.mark.parametrize(
    ("tickets", "tells", "cannot", "further"),
    [
        # from the algebra of the three tickets: with the bars tensioned only, neither coupling load nor trailer
        ([BARS], "each axle as travelled", "the coupling load", "the rig coupled, no bars or bars slack"),
        ([BARS, COUPLED], "what the bars move", "the coupling load", "the tow vehicle alone"),
        ([COUPLED, ALONE], "the coupling load", "how much of its load", "the rig coupled, bars tensioned"),
        ([ALONE], None, "the whole trailer", "the rig coupled, no bars or bars slack"),
    ],
)
def test_a_set_of_tickets(tickets, tells, cannot, further):
    one = found(*tickets)
    assert tells is None or any(text.startswith(tells) for text in one.tells)
    assert any(text.startswith(cannot) for text in one.cannot)
    assert one.next == further
    assert set(one.would_tell) <= set(one.cannot)


def test_three_tickets_tell_everything():
    one = found(ALONE, COUPLED, BARS)
    assert one.cannot == ()
    assert one.next == ""


def test_a_gross_only_ticket_does_not_tell_the_axles():
    one = found({"state": "coupled", "increment": "20 kg", "all": "5100 kg"}, kind="weight_carrying")
    assert "vehicle and trailer together" in one.tells
    assert "each axle of the tow vehicle while towing" in one.cannot


def test_without_bars_nothing_is_asked_of_them():
    one = found(ALONE, COUPLED, kind="weight_carrying")
    assert not any("bars" in text for text in (*one.tells, *one.cannot))
