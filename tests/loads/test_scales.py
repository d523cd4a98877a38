"""What a ticket says of its scale: repeatability, a tolerance of all its readings, a beam's lever, the jack."""

import math

import pytest
from rigs import best, rig, sigma

from rigmargin.loads.derive import loads
from rigmargin.loads.value import nominal


def jack(**more):
    trailer = {"coupling_to_axle_centre": {"value": "5 m", "plus_or_minus": "0 m"}}
    return rig(trailer=trailer, weighings=[{"state": "trailer_on_jack", "increment": "1 kg", "coupling": "60 kg", **more}])


@pytest.mark.parametrize(
    ("support", "scale", "factor"),
    [
        # (a + b) / a: 1 ft and 2 ft give x 3, 1 ft and 3 ft give x 4 (a trade article on weighing a coupling with a beam)
        ("1 ft", "2 ft", 3),
        ("1 ft", "3 ft", 4),
        ("1 ft", "0 ft", 1),
    ],
)
def test_a_beam_multiplies_the_reading(support, scale, factor):
    one = jack(beam={"support_to_coupling": support, "coupling_to_scale": scale})
    assert best(one, "coupling.vertical") == pytest.approx(60 * factor)


def test_a_reading_under_the_jack_is_brought_to_the_coupling():
    # moments about the axles: T x 5 m = 60 kg x (5 - 0.5) m, so T = 54 kg
    assert best(jack(scale_behind_coupling="0.5 m"), "coupling.vertical") == pytest.approx(54)


def test_repeatability_adds_in_quadrature():
    one = jack(repeatability="4 kg")
    assert sigma(one, "coupling.vertical") == pytest.approx(math.hypot(1 / math.sqrt(12), 4 / 2))


def test_the_left_wheels_share_of_an_axle():
    wheels = {"rear_left": "800 kg", "rear_right": "700 kg", "front": "1300 kg"}
    one = rig(weighings=[{"state": "coupled", "increment": "1 kg", **wheels}])
    assert nominal(loads(one)["rear_axle.left_share", "coupled"].best.value) == pytest.approx(800 / 1500)
    assert loads(one)["front_axle.left_share", "coupled"].best is None


def tickets(scale="", tolerance="0.2 %"):
    about = {"increment": "0.1 kg", "tolerance": tolerance, **({"at": scale} if scale else {})}
    return rig(
        weighings=[
            {"state": "alone", "front": "1400 kg", "rear": "1300 kg", **about},
            {"state": "coupled", "front": "1300 kg", "rear": "1700 kg", "trailer_axles": "2500 kg", **about},
        ]
    )


def test_one_scale_is_out_by_one_factor_for_all_its_readings():
    # 0.2 % is expanded: one standard uncertainty is 0.1 % of the difference on one scale, 3000 - 2700 = 300 kg: 0.3 kg
    rounding = 2 * 0.1 / math.sqrt(12)
    assert sigma(tickets("mill"), "coupling.vertical") == pytest.approx(math.hypot(0.3, rounding), rel=1e-6)
    # on two unknown scales each is out by itself: 0.1 % of 3000 and of 2700
    assert sigma(tickets(), "coupling.vertical") == pytest.approx(math.hypot(3.0, 2.7, rounding), rel=1e-6)


def test_what_the_ticket_said_stands_beside_what_it_says_of_the_rig_as_it_travels():
    one = rig(
        tow_vehicle={
            "wheelbase": "3 m",
            "coupling_behind_rear_axle": "1 m",
            "load": {
                "dog": {"mass": "30 kg", "at": "0 m", "source": "measured"},
                "box": {"mass": "50 kg", "at": "0 m", "aboard": "no"},
            },
        },
        weighings=[{"state": "alone", "increment": "1 kg", "front": "1400 kg", "rear": "1300 kg", "aboard": ["box"]}],
    )
    rear = loads(one)["tow_vehicle.axles.rear", "alone"].best
    # the dog came aboard over the rear axle and the box has left it: 1300 + 30 - 50
    assert nominal(rear.value) == pytest.approx(1280)
    assert nominal(rear.as_read) == pytest.approx(1300)
    front = loads(one)["tow_vehicle.axles.front", "alone"].best
    assert nominal(front.as_read) == nominal(front.value) == pytest.approx(1400)
