"""Tyre ratings and what tyres carry, against published tables, agency letters and the structure of the load-index series."""

import math

import pytest
from rigmargin.rules.tyre_load import load_index_table, rated_load
from rigs import POUND, rig

from rigmargin.judge.run import judge

TABLE = load_index_table()
#: Where the low decade of the load-index table was rounded more coarsely than the next one: LI, its kg, the kg of LI + 80.
COARSE = {
    35: (121, 1215), 37: (128, 1285), 61: (257, 2575), 63: (272, 2725), 67: (307, 3075), 75: (387, 3875), 77: (412, 4125),
    79: (437, 4375), 81: (462, 4625), 83: (487, 4875),
}  # fmt: skip


# --- the load index: five independent listings, and the preferred-number series R80 of ISO 3 ------------------------------


def test_the_table_is_whole():
    assert sorted(TABLE) == list(range(280))


@pytest.mark.parametrize(
    ("index", "kilograms"),
    [
        # each printed alike by at least two of: a tyre maker's chart, a tyre retailer's, an open-source vehicle library
        (91, 615), (94, 670), (100, 800), (112, 1120), (115, 1215), (120, 1400), (121, 1450), (125, 1650), (128, 1800),
        (135, 2180), (150, 3350), (170, 6000), (75, 387), (155, 3875), (40, 140), (200, 14000),
    ],
)  # fmt: skip
def test_published_values(index, kilograms):
    assert TABLE[index] == kilograms


def test_it_follows_the_preferred_numbers():
    # 45 kg x 10^(LI/80), rounded to preferred values: never further off than 1.94 % (at LI 37)
    off = {index: abs(kg / (45 * 10 ** (index / 80)) - 1) for index, kg in TABLE.items()}
    assert max(off.values()) <= 0.0194
    assert max(off, key=off.get) == 37


def test_it_rises_with_every_step():
    assert all(TABLE[index + 1] > TABLE[index] for index in range(279))


def test_eighty_steps_are_ten_times_the_load():
    for index in range(200):
        if index in COARSE:
            assert (TABLE[index], TABLE[index + 80]) == COARSE[index]
        else:
            assert TABLE[index + 80] == pytest.approx(10 * TABLE[index])


# --- one tyre's rating ---------------------------------------------------------------------------------------------------


def test_the_moulded_load_can_be_lower_than_the_index():
    # LT265/75R16 123/120R E, moulded 1549/1399 kg: a tyre-size site's sidewall example; LI 123 is 1550 kg, LI 120 is 1400 kg
    assert rated_load(2, "123/120", 1549.0, 1399.0).value == 1549
    assert rated_load(4, "123/120", 1549.0, 1399.0).value == 1399
    assert rated_load(4, "123/120", 1549.0, 1399.0).how == "by the {word:moulded} maximum"
    # LT245/75R16 E moulded 3,042 lb (1380 kg), while LI 120 is 1400 kg: a tyre-trade magazine
    assert rated_load(2, "120", 3042 * POUND, None).value == pytest.approx(1380, abs=0.5)
    assert rated_load(2, "120", None, None).value == 1400
    assert rated_load(2, "120", None, None).how == "by load index 120"


def test_pairs_without_a_dual_marking_have_no_rating():
    # NHTSA letter 004609: a tyre without a dual marking is not rated for dual fitment
    assert rated_load(4, "120", 1400.0, None) is None


# --- an axle's tyres through the whole engine ----------------------------------------------------------------------------


def axle(load, tyres, place="us", rule="tyre-capacity", trailer=True):
    """The finding on a trailer's (or a truck's rear) axle that was weighed, exactly, at ``load``."""
    reading = {"value": load, "plus_or_minus": "0 kg"}
    ticket = {"state": "coupled", "increment": "1 kg", ("trailer_axles" if trailer else "rear"): reading}
    tyres = {"count": 2, **tyres}
    parts = {"trailer": {"axles": {"single": {"tyres": tyres}}}} if trailer else {}
    vehicle = {} if trailer else {"tow_vehicle": {"kind": "truck", "axles": {"rear": {"tyres": tyres}}}}
    subject = "trailer.axles.single" if trailer else "tow_vehicle.axles.rear"
    report = judge(rig(places=[place], weighings=[ticket], **parts, **vehicle))
    return next(f for f in report.findings if f.rule == rule and f.subject == subject)


def test_two_tyres_of_load_index_91():
    # a German tyre lexicon: 205/55R16 91T, 615 kg a tyre, 1230 kg an axle
    tyres = {"size": "205/55R16", "load_index": 91}
    assert axle("1230 kg", tyres, "de").verdict == "at_limit"
    assert axle("1231 kg", tyres, "de").verdict == "over"


PASSENGER = {"type": "passenger", "max_load_single": "2200 lb"}


def test_passenger_tyres_on_a_trailer_count_for_less():
    # FMVSS 120 S5.1.2, as in NHTSA's letter of 17 November 1976 (nht76-1.47): the rating is divided by 1.10 before summing:
    # 2 x 2,200 / 1.10 = 4,000 lb, and "at least equal" passes
    at, past = axle("4000 lb", PASSENGER), axle("4001 lb", PASSENGER)
    assert at.verdict == "at_limit"
    assert at.high / POUND == pytest.approx(4000)
    assert past.verdict == "over"
    assert past.margin / POUND == pytest.approx(-1)
    assert any("FMVSS 120 S5.1.2" in note for note in past.notes)
    # the raw sum would have passed; it does where that rule is not in force
    assert axle("4400 lb", PASSENGER).verdict == "over"
    assert axle("4400 lb", PASSENGER, "de").verdict == "at_limit"


def test_a_p_metric_tyre_on_a_trailer():
    # P235/75R15 moulded 2,028 lb: 2028 / 1.10 = 1,843.6 lb, two on an axle 3,687 lb: 3,680 passes, 3,700 does not
    tyres = {"size": "P235/75R15", "max_load_single": "2028 lb"}
    assert axle("3680 lb", tyres).verdict == "within"
    assert axle("3700 lb", tyres).verdict == "over"
    assert axle("3680 lb", tyres).high / POUND == pytest.approx(2 * 1843.6, abs=0.2)


def test_four_tyres_use_their_dual_rating():
    # NHTSA letter aiam0583: axle 17,500 lb, four tyres, dual 3,550 lb at 75 psi: 14,200 lb, short by 3,300 lb;
    # the single rating of 4,050 lb must not be used
    tyres = {"count": 4, "type": "commercial", "max_load_single": "4050 lb", "max_load_dual": "3550 lb"}
    found = axle("17500 lb", tyres, trailer=False)
    assert found.verdict == "over"
    assert found.high / POUND == pytest.approx(14200)
    assert found.margin / POUND == pytest.approx(-3300)
    del tyres["max_load_dual"]
    # without it nothing can be within; four tyres each alone (16,200 lb) would be passed all the same
    assert axle("14000 lb", tyres, trailer=False).verdict == "not_checked"
    assert axle("17500 lb", tyres, trailer=False).verdict == "over"


def test_no_tolerance_on_the_sum_of_ratings():
    # NHTSA letter 77-3.29 (1977): tyres covering 95 % of the axle's rating were refused; "at least equal" is the minimum
    tyres = {"type": "special_trailer", "max_load_single": "950 lb"}
    assert axle("2000 lb", tyres).verdict == "over"
    assert axle("1900 lb", tyres).verdict == "at_limit"


# --- load and pressure ---------------------------------------------------------------------------------------------------


def carries(rated, reference, cold, kind="light_truck"):
    """What one tyre of ``rated`` lb at ``reference`` psi carries at ``cold`` psi, lb; None where nothing is claimed."""
    exact = {"plus_or_minus": "0 psi"}
    tyres = {
        "type": kind,
        "max_load_single": f"{rated} lb",
        "cold_pressure": {"value": f"{cold} psi", **exact},
        "pressure_at_max_load": {"value": f"{reference} psi", **exact},
    }
    found = axle("500 lb", tyres, rule="tyre-inflation")
    return None if found.verdict == "not_checked" else found.high / POUND / 2


@pytest.mark.parametrize(
    ("rated", "reference", "cold", "model", "table"),
    [
        # the model's figure by hand (rated x (cold/reference)^0.8), and the row of the published table it must stay below
        (3042, 80, 65, 2576.4, 2623),  # LT235/85R16 E: a motorhome chassis manual
        (3420, 80, 65, 2896.6, 3000),  # ST235/80R16 E: a trailer-tyre load chart
        (2840, 80, 65, 2405.3, 2540),  # ST225/75R15 E: the same chart
    ],
)
def test_below_the_reference_pressure(rated, reference, cold, model, table):
    found = carries(rated, reference, cold)
    assert found == pytest.approx(model, abs=0.1)
    assert found < table


def test_at_seven_tenths_of_the_pressure_and_below():
    # 0.70^0.8 = 0.7518
    assert carries(1000, 100, 70) == pytest.approx(751.8, abs=0.1)
    assert carries(1000, 100, 69) is None
    assert carries(1000, 100, 105) == pytest.approx(1000)


def test_the_pressure_a_load_needs():
    # 2,500 lb on a tyre of 3,042 lb at 80 psi: 80 x (2500/3042)^(1/0.8) = 62.6, so 63 psi; its table asks for 60 to 65
    needed = 80 * (2500 / 3042) ** (1 / 0.8)
    assert needed == pytest.approx(62.6, abs=0.05)
    assert carries(3042, 80, 63) > 2500 > carries(3042, 80, 62)


#: Published rows, psi: lb for one tyre in single fitment, the last one its rating. Chassis manual (LT235/85R16, 7.50-16),
#: trailer-tyre chart (ST sizes), flotation chart (inch sizes).
TABLES = {
    "LT235/85R16": {60: 2485, 65: 2623, 70: 2765, 75: 2905, 80: 3042},
    "7.50-16": {55: 2310, 60: 2440, 65: 2560, 70: 2670, 75: 2780},
    "ST225/75R15": {65: 2540, 80: 2840},
    "ST235/80R16": {65: 3000, 80: 3420},
    "ST185/80R13": {35: 1200, 50: 1480},
    "31x10.50R15LT": {35: 1765, 40: 1945, 45: 2100, 50: 2270},
    "33x12.50R17LT": {50: 2600, 55: 2780, 60: 2935, 65: 3085},
    "33x11.50R18LT": {60: 2720, 65: 2835, 70: 3000, 75: 3130, 80: 3305},
    "35x12.50R20LT": {50: 2680, 55: 2845, 60: 3010, 65: 3195},
}


@pytest.mark.parametrize("size", TABLES)
def test_never_more_than_three_in_a_thousand_above_a_published_table(size):
    rows = TABLES[size]
    reference = max(rows)
    for pressure, load in rows.items():
        assert carries(rows[reference], reference, pressure) <= load * 1.003


def test_a_tyre_of_unknown_kind_is_taken_to_lose_load_with_pressure_in_proportion():
    # linear: a Tire Society paper of 2009; it never overstates the tables above
    found = axle(
        "500 kg",
        {"max_load_single": "1000 kg", "cold_pressure": "300 kPa", "pressure_at_max_load": "400 kPa"},
        "de",
        "tyre-inflation",
    )
    assert found.high == pytest.approx(1500)
    assert math.isclose(found.load, 500)
