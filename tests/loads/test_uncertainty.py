"""How well loads are known: by hand, against the uncertainties package used directly, and against Monte Carlo."""

import math

import numpy as np
import pytest
from rigs import POUND, best, rig, sigma
from uncertainties import ufloat

from rigmargin.loads import statics
from rigmargin.loads.derive import loads
from rigmargin.loads.estimate import Ask
from rigmargin.loads.value import Figures, expanded, influences, nominal

FRONT, REAR, VERTICAL, GROUP = "tow_vehicle.axles.front", "tow_vehicle.axles.rear", "coupling.vertical", "trailer.axle_group"
ONE = 20 / math.sqrt(12)  # lb: one reading of a scale that shows steps of 20 lb (JCGM 100:2008, F.2.2.1)
TICKETS = [
    {"state": "alone", "front": "3200 lb", "rear": "2900 lb", "increment": "20 lb"},
    {"state": "coupled", "front": "2900 lb", "rear": "4000 lb", "trailer_axles": "6200 lb", "increment": "20 lb"},
]


@pytest.mark.parametrize(
    ("name", "readings", "rounded"),
    [
        # the sum of n independent readings is known to sqrt(n) times one: 5.8 lb for one, 11.5 for four, 12.9 for five
        (REAR, 1, 5.8),
        ("tow_vehicle.gross", 2, 8.2),
        ("combination.gross", 3, 10.0),
        (VERTICAL, 4, 11.5),
        ("trailer.gross", 5, 12.9),
    ],
)
def test_readings_of_a_20_lb_scale(name, readings, rounded):
    found = sigma(rig(weighings=TICKETS), name, unit="lb")
    assert found == pytest.approx(ONE * math.sqrt(readings))
    assert round(found, 1) == rounded


def test_a_gross_printed_beside_its_parts_is_known_no_better_than_they_are():
    tickets = [TICKETS[0], {**TICKETS[1], "all": "13100 lb"}]
    assert sigma(rig(weighings=tickets), "trailer.gross", unit="lb") == pytest.approx(ONE * math.sqrt(5))


def test_a_reading_used_twice_counts_once():
    # 4900 + 10100 less the coupling load, which rests on the same readings: trailer less coupling is the group's one reading
    one = rig(weighings=TICKETS)
    made = loads(one, Figures())
    difference = made["trailer.gross", "coupled"].best.value - made[VERTICAL, "coupled"].best.value
    assert nominal(difference) == pytest.approx(6200 * POUND)
    assert expanded(difference) == pytest.approx(2 * ONE * POUND)


def test_the_share_is_known_better_than_its_parts_were_independent():
    # T / (T + A): d/dT = A / W^2, d/dA = -T / W^2, with T from four readings, A from one
    found = sigma(rig(weighings=TICKETS), "coupling.share", unit="%")
    by_hand = 100 * math.hypot(6200 / 7000**2 * 2 * ONE, 800 / 7000**2 * ONE)
    assert found == pytest.approx(by_hand)
    assert round(found, 2) == 0.15


STATED = {
    "tow_vehicle": {
        "wheelbase": {"value": "3.2 m", "plus_or_minus": "0.02 m"},
        "coupling_behind_rear_axle": {"value": "1.3 m", "plus_or_minus": "0.02 m"},
        "unloaded": {
            "front": {"value": "1300 kg", "plus_or_minus": "10 kg"},
            "rear": {"value": "900 kg", "plus_or_minus": "10 kg"},
        },
        "stations": {"seats": {"value": "1.6 m", "plus_or_minus": "0.1 m"}},
        "load": {
            "people": {"mass": {"value": "180 kg", "plus_or_minus": "4 kg"}, "at": "seats"},
            "bags": {"mass": {"value": "60 kg", "plus_or_minus": "10 kg"}, "at": "seats"},
        },
    },
    "coupling": {"hardware_mass": {"value": "30 kg", "plus_or_minus": "2 kg"}},
    "trailer": {
        "coupling_to_axle_centre": {"value": "5.5 m", "plus_or_minus": "0.05 m"},
        "unloaded": {
            "coupling": {"value": "120 kg", "plus_or_minus": "6 kg", "source": "measured"},
            "axles": {"value": "1400 kg", "plus_or_minus": "12 kg"},
        },
        "stations": {"front": {"value": "1.5 m", "plus_or_minus": "0.1 m"}},
        "load": {"boxes": {"mass": {"value": "250 kg", "plus_or_minus": "30 kg"}, "at": "front"}},
    },
}
#: The same figures again: value and plus-or-minus (coverage factor 2).
INPUTS = {
    "L": (3.2, 0.02), "o": (1.3, 0.02), "f": (1300, 10), "r": (900, 10), "s": (1.6, 0.1), "p": (180, 4), "b": (60, 10),
    "h": (30, 2), "D": (5.5, 0.05), "c": (120, 6), "a": (1400, 12), "x": (1.5, 0.1), "w": (250, 30),
}  # fmt: skip


def by_formula(v):
    """The loads of STATED written out once more, for plain numbers, arrays or ufloats."""
    coupling = v["c"] + v["w"] * (1 - v["x"] / v["D"])
    group = v["a"] + v["w"] * v["x"] / v["D"]
    down = coupling + v["h"]
    inside = v["p"] + v["b"]
    front = v["f"] + inside * v["s"] / v["L"] - down * v["o"] / v["L"]
    rear = v["r"] + inside * (1 - v["s"] / v["L"]) + down * (1 + v["o"] / v["L"])
    return {VERTICAL: coupling, GROUP: group, FRONT: front, REAR: rear, "coupling.share": coupling / (coupling + group)}


def test_propagation_agrees_with_uncertainties_used_directly():
    one = rig(**STATED)
    direct = by_formula({name: ufloat(value, spread / 2) for name, (value, spread) in INPUTS.items()})
    unit = {"coupling.share": "%"}
    for name, value in direct.items():
        scale = 100 if name in unit else 1
        assert best(one, name, unit=unit.get(name, "kg")) == pytest.approx(scale * value.nominal_value, rel=1e-9)
        assert sigma(one, name, unit=unit.get(name, "kg")) == pytest.approx(scale * value.std_dev, rel=1e-6)


def test_propagation_agrees_with_monte_carlo():
    one = rig(**STATED)
    chance = np.random.default_rng(20260502)
    drawn = {name: chance.normal(value, spread / 2, 400_000) for name, (value, spread) in INPUTS.items()}
    for name, values in by_formula(drawn).items():
        scale = 100 if name == "coupling.share" else 1
        unit = "%" if name == "coupling.share" else "kg"
        assert best(one, name, unit=unit) == pytest.approx(scale * float(values.mean()), rel=1e-3)
        # 400 000 draws know a standard deviation to 0.11 %; the rest is what first order leaves out
        assert sigma(one, name, unit=unit) == pytest.approx(scale * float(values.std()), rel=0.01)


def test_shares_of_the_uncertainty_add_up_and_the_largest_comes_first():
    value = loads(rig(**STATED))[VERTICAL, "coupled"].best.value
    found = influences(value)
    assert sum(i.share for i in found) == pytest.approx(1)
    assert found[0].path == "trailer.load.boxes.mass"
    assert [i.share for i in found] == sorted((i.share for i in found), reverse=True)
    # a kilogram more in the boxes puts 1 - 1.5 / 5.5 of itself on the coupling
    assert found[0].slope == pytest.approx(1 - 1.5 / 5.5)


def test_a_coupling_load_from_items_is_known_to_15_per_cent_unless_the_empty_one_was_weighed():
    exact = {"plus_or_minus": "0 kg"}
    base = {
        "coupling_to_axle_centre": {"value": "5 m", "plus_or_minus": "0 m"},
        "unloaded": {"coupling": {"value": "200 kg", **exact}, "axles": {"value": "1800 kg", **exact}},
    }
    # our convention: 15 % at a coverage factor of 2, so 7.5 % of 200 kg
    assert sigma(rig(trailer=base), VERTICAL) == pytest.approx(15)
    # what leaves the coupling goes to the axles: the whole is not touched by it
    assert sigma(rig(trailer=base), GROUP) == pytest.approx(15)
    assert sigma(rig(trailer=base), "trailer.gross") == pytest.approx(0)
    base["unloaded"]["coupling"]["source"] = "measured"
    assert sigma(rig(trailer=base), VERTICAL) == pytest.approx(0)


def test_what_a_model_puts_on_the_coupling_too_much_it_puts_on_the_axles_too_little():
    exact = {"plus_or_minus": "0 kg"}
    unloaded = {"coupling": {"value": "200 kg", **exact}, "axles": {"value": "1800 kg", **exact}}
    one = rig(trailer={"coupling_to_axle_centre": "5 m", "unloaded": unloaded})
    pair = statics.trailer_coupled(Ask(one, Figures()))
    assert expanded(pair.ahead) == pytest.approx(30)
    # both together are the trailer's mass, which the model's own error does not touch
    assert expanded(pair.sum) == pytest.approx(0)


def test_what_came_aboard_brings_its_own_uncertainty():
    # 300 lb guessed within 20 % (coverage factor 2): 30 lb one sigma, besides two readings
    box = {"box": {"mass": {"value": "300 lb", "source": "owner_estimate"}, "at": "30 in"}}
    one = rig(tow_vehicle={"load": box}, weighings=[{**TICKETS[1], "aboard": "none"}])
    assert sigma(one, "tow_vehicle.gross", unit="lb") == pytest.approx(math.hypot(30, ONE * math.sqrt(2)))


def test_a_full_tank_is_known_but_for_its_density_and_a_half_full_one_is_not():
    def spread(filled):
        water = {"water": {"holds": "water", "volume": {"value": "100 L", "plus_or_minus": "0 L"}, "filled": filled}}
        unloaded = {"value": "1000 kg", "plus_or_minus": "0 kg"}
        return sigma(rig(trailer={"unloaded": {"total": unloaded}, "tanks": water}), "trailer.gross")

    # density between 0.998 and 1.000: a rectangle, 100 x 0.002 / sqrt(12)
    assert spread("full") == pytest.approx(100 * 0.002 / math.sqrt(12))
    # by eye within 10 % of the tank (our convention): 5 % of 100 L, besides the density of half a tank
    assert spread("1/2") == pytest.approx(math.hypot(0.05 * 100 * 0.999, 50 * 0.002 / math.sqrt(12)))


def test_an_equalized_axle_is_known_no_better_than_its_linkage_shares():
    # friction leaves 5 to 10 % (from memory): the wider is taken, with coverage factor 2; the ticket reads the group to 20 lb
    axles = {"front": {"equalized": "yes"}, "rear": {"equalized": "yes"}}
    tandem = rig(weighings=TICKETS, trailer={"axles": axles})
    by_hand = math.hypot(3100 * 0.10 / 2, ONE / 2)
    assert best(tandem, "trailer.axles.rear", unit="lb") == pytest.approx(3100)
    assert sigma(tandem, "trailer.axles.rear", unit="lb") == pytest.approx(by_hand)


def test_an_equalized_axle_that_was_weighed_itself_is_known_as_well_as_its_ticket():
    axles = {"front": {"equalized": "yes"}, "rear": {"equalized": "yes"}}
    each = {"state": "coupled", "front": "2900 lb", "rear": "4000 lb", "trailer_axles": {"front": "3050 lb", "rear": "3150 lb"}}
    apart = rig(weighings=[TICKETS[0], {**each, "increment": "20 lb"}], trailer={"axles": axles})
    assert best(apart, "trailer.axles.rear", unit="lb") == pytest.approx(3150)
    assert sigma(apart, "trailer.axles.rear", unit="lb") == pytest.approx(ONE)


def test_axles_weighed_together_under_one_entry_share_like_any_others():
    pair = rig(weighings=TICKETS, trailer={"axles": {"pair": {"number": 2, "equalized": "yes"}}})
    assert sigma(pair, "trailer.axles.pair", unit="lb") == pytest.approx(math.hypot(3100 * 0.10 / 2, ONE / 2))


def test_a_trailer_of_one_axle_shares_with_nothing():
    single = rig(weighings=TICKETS, trailer={"axles": {"axle": {}}})
    assert sigma(single, "trailer.axles.axle", unit="lb") == pytest.approx(ONE)
