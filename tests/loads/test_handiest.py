"""Which readings a load asks for when it was not weighed: those of one morning at a truck scale, or a noseweight gauge."""

import pytest
from rigs import rig

from rigmargin.loads.derive import loads

AXLES = {"front": "1400 kg", "rear": "1500 kg"}
ALONE = {"state": "alone", "increment": "10 kg", **AXLES}
COUPLED = {"state": "coupled", "increment": "10 kg", "front": "1370 kg", "rear": "1620 kg", "trailer_axles": "2000 kg"}
BARS = {**COUPLED, "state": "coupled_distributing"}
JACK = {"state": "trailer_on_jack", "increment": "1 kg", "coupling": "90 kg"}
GAUGE = "weighings.trailer_on_jack.coupling"


def asked(name, *tickets, kind="weight_carrying"):
    return loads(rig(coupling={"kind": kind}, weighings=list(tickets)))[name, "coupled"].tickets


@pytest.mark.parametrize("kind", ["weight_carrying", "weight_distributing", "fifth_wheel", "gooseneck", "pintle"])
@pytest.mark.parametrize("name", ["coupling.vertical", "trailer.gross", "coupling.share", "combination.gross"])
def test_one_morning_at_a_truck_scale_goes_first(kind, name):
    states = {path.split(".")[1] for path in asked(name, kind=kind)}
    assert states
    assert states <= {"coupled", "alone"}


def test_a_rig_without_bars_is_not_sent_to_be_weighed_with_bars():
    """Only the trailer's axles were read: the rest of that ticket is asked for, though bars would be fewer readings."""
    only_axles = {"state": "coupled", "increment": "10 kg", "trailer_axles": "2000 kg"}
    for kind in ("weight_carrying", "weight_distributing", "fifth_wheel"):
        states = {path.split(".")[1] for path in asked("trailer.gross", only_axles, kind=kind)}
        assert ("coupled_distributing" in states) <= (kind == "weight_distributing")
        assert states <= {"coupled", "alone", "coupled_distributing"}


def test_what_is_weighed_already_is_not_asked_for_again():
    assert asked("coupling.vertical", COUPLED) == ("weighings.alone.tow_vehicle",)
    assert asked("trailer.gross", ALONE) == ("weighings.coupled.all",)
    assert asked("coupling.vertical", COUPLED, ALONE) == ()


def test_behind_a_european_ball_the_gauge_goes_first():
    assert asked("coupling.vertical", kind="european_ball") == (GAUGE,)
    assert asked("trailer.gross", kind="european_ball") == (GAUGE, "weighings.coupled.trailer_axles")
    assert asked("coupling.share", kind="european_ball") == (GAUGE, "weighings.coupled.trailer_axles")
    # only the gauge's own reading: the axles are read as the rig travels
    assert asked("trailer.axle_group", kind="european_ball") == ("weighings.coupled.trailer_axles",)
    assert asked("trailer.gross", JACK, kind="european_ball") == ("weighings.coupled.trailer_axles",)


def test_a_gauge_is_not_asked_for_where_the_axles_are_at_hand():
    assert GAUGE not in asked("trailer.gross", COUPLED, kind="fifth_wheel")
    assert GAUGE in asked("trailer.gross", COUPLED, kind="european_ball")


def test_readings_that_only_bound_a_load_are_not_said_to_weigh_it():
    """Tensioned less alone is a lower bound: with the tensioned ticket at hand the lone vehicle is not enough."""
    tickets = asked("coupling.vertical", BARS, kind="weight_distributing")
    assert {path.split(".")[1] for path in tickets} == {"coupled", "alone"}
