"""Pressure, speed, wheels, age and reserve of tyres against published examples, through the whole engine and its words."""

import datetime

import pytest
from rigmargin.rules.tyre_load import Curve, at_temperature, rated_load
from rigs import POUND, merged, rig

from rigmargin.judge.run import judge
from rigmargin.report.display import Display
from rigmargin.report.words import sentence
from rigmargin.spec import units
from rigmargin.spec.date_code import made_on, years_between

PSI = units.to_si(1, "psi")


def exact(text):
    return {"value": text, "plus_or_minus": f"0 {text.split()[-1]}"}


def finding(rule, tyres, load="1000 lb", axle=None, place="us", **top):
    """What one rule says of a trailer's axle that was weighed, exactly, at ``load``; and the words for it."""
    ticket = {"state": "coupled", "increment": "1 kg", "trailer_axles": exact(load)}
    parts = {"trailer": {"axles": {"single": merged({"tyres": {"count": 2, **tyres}}, axle or {})}}}
    one = rig(places=[place], weighings=[ticket], **parts, **top)
    found = next(f for f in judge(one).findings if f.rule == rule and f.subject == "trailer.axles.single")
    shown = Display(("us",))
    return found, " ".join((sentence(found, one, shown), *(shown.fill(note) for note in found.notes)))


# --- pressure for a load -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("rated", "reference", "kind", "load", "needed"),
    [
        (750, 50, "passenger", 1300 / 2, 41.8),  # the European rule P = Pmax x share^1.25, as a van club's forum prints it: 42
        (925, 50, None, 1720 / 2, 46.5),  # the linear rule, as an off-road club's forum prints it: 46.4, placard 46
        (3042, 80, "light_truck", 2500, 62.6),  # its table puts it between 60 and 65
    ],
)
def test_the_pressure_a_load_needs(rated, reference, kind, load, needed):
    found = Curve(rated, reference * PSI, kind).needs(load)
    assert found / PSI == pytest.approx(needed, abs=0.06)


def test_no_less_than_seven_tenths_of_the_pressure():
    # the same forum's 1,100 kg on an axle: 50 x (550/750)^1.25 = 33.9 psi, which is 0.68 of 50: nothing is claimed below 35
    rule = 50 * (550 / 750) ** 1.25
    assert rule == pytest.approx(33.9, abs=0.05)
    assert Curve(750, 50 * PSI, "passenger").needs(550) / PSI == pytest.approx(35)


@pytest.mark.parametrize(("exponent", "factor"), [(0.8, 0.7518), (1.0, 0.70)])
def test_at_seven_tenths(exponent, factor):
    kind = "light_truck" if exponent == 0.8 else None
    assert Curve(1.0, 1000.0 * PSI, kind).exponent == exponent
    assert Curve(1.0, 1000.0 * PSI, kind).carries(700.0 * PSI).value == pytest.approx(factor, abs=1e-4)
    assert Curve(1.0, 1000.0 * PSI, kind).carries(690.0 * PSI) is None
    assert Curve(1.0, 1000.0 * PSI, kind).carries(1050.0 * PSI).value == 1.0


def test_the_model_claims_less_than_the_american_formula_for_passenger_tyres():
    # L = 6.67e-5 P^0.5 Sd^1.39 (Dr + Sd), Sd = (0.34848 + 0.6497 A) S70, P235/75R15: an engineering forum's sample of the
    # Tire and Rim Association's calculation. 240 kPa carries 918.7 kg (2,025 lb; 2,028 lb is published)
    sd = (0.34848 + 0.6497 * 0.75) * 235
    assert sd == pytest.approx(196.40, abs=0.01)

    def formula(kilopascals):
        return 6.67e-5 * kilopascals**0.5 * sd**1.39 * (381 + sd)

    curve = Curve(formula(240), 240e3, "passenger")
    for kilopascals, published in ((240, 918.7), (220, 879.6), (200, 838.7), (180, 795.6)):
        assert formula(kilopascals) == pytest.approx(published, abs=0.06)
        assert curve.carries(kilopascals * 1e3).value <= formula(kilopascals)


ROWS = ((60, 2485), (65, 2623), (70, 2765), (80, 3042))
LT235 = {
    "type": "light_truck", "max_load_single": "3042 lb", "pressure_at_max_load": exact("80 psi"),
    "load_table": [{"pressure": f"{p} psi", "single": f"{load} lb"} for p, load in ROWS],
}  # fmt: skip


def test_the_makers_rows_are_used_and_the_line_says_so():
    # LT235/85R16 E, a motorhome chassis manual: half way between 2,485 lb at 60 and 2,623 lb at 65 psi: 2,554 lb
    found, words = finding("tyre-inflation", {**LT235, "size": "LT235/85R16", "cold_pressure": exact("62.5 psi")}, "5000 lb")
    assert found.high / POUND / 2 == pytest.approx(2554, abs=0.01)
    assert "By the tyre maker's rows, linear between them." in words
    # 2,500 lb lies 15/138 of the way from 60 to 65 psi: 60.5, so 61 psi
    assert "LT235/85R16: set to 63 psi cold it may carry 2554 lb, and carries 2500 lb, which takes 61 psi." in words
    assert finding("tyre-inflation", {**LT235, "cold_pressure": exact("55 psi")}, "3000 lb")[0].verdict == "not_checked"


def test_pairs_carry_less_than_singles():
    # LT235/85R16: a dual pair at 80 psi carries 5,556 lb, 2,778 each, 0.913 of 3,042
    share = 5556 / 2 / 3042
    assert share == pytest.approx(0.913, abs=5e-4)
    assert rated_load(4, None, 3042.0, 2778.0).value == 2778


def test_passenger_tyres_in_pairs():
    # LI 91 (615 kg) in pairs, by a German trailer maker's page: 1.85 x 615 = 1137.75 kg a pair, 2275.5 kg an axle
    tyres = {"count": 4, "marking": "205/55R16 91T"}
    found, _ = finding("tyre-capacity", tyres, "2275 kg", place="de")
    assert found.verdict == "within"
    assert found.high == pytest.approx(2275.5)
    # in the United States a tyre without a dual marking is not rated for dual fitment (NHTSA letter 004609)
    found, words = finding("tyre-capacity", tyres, "1000 kg")
    assert found.verdict == "unmet"
    assert "not rated to run in pairs" in words


@pytest.mark.parametrize(("cold", "shown"), [(80, (73.5, 70.3, 83.2)), (65, (59.6, 56.8, 67.7)), (35, (31.6, 29.9, 36.7))])
def test_the_same_air_at_another_temperature(cold, shown):
    # (P + 14.696) T / 293.15 - 14.696 psi, set at 20 degC, shown at 0, -10 and 30 degC
    for celsius, psi in zip((0, -10, 30), shown, strict=True):
        assert at_temperature(cold * PSI, 293.15, 273.15 + celsius) / PSI == pytest.approx(psi, abs=0.051)


# --- reserve -------------------------------------------------------------------------------------------------------------


def test_no_reserve_is_a_pass_and_is_told():
    # two ST225/75R15 D (2,540 lb each) on an axle rated 5,080 lb: owners' forums tell of axles re-rated to exactly that
    tyres = {"type": "special_trailer", "max_load_single": "2540 lb"}
    found, words = finding("tyre-capacity", tyres, "5080 lb")
    assert found.verdict == "at_limit"
    assert "100 % of the rating is used. Advice, and no limit, is at most 90 %." in words
    # two ST205/75R14 C (1,760 lb at 50 psi) on 3,500 lb: 20 lb remain
    found, words = finding("tyre-capacity", {"type": "special_trailer", "max_load_single": "1760 lb"}, "3500 lb")
    assert found.margin / POUND == pytest.approx(20)
    assert "99 % of the rating is used. Advice" in words


@pytest.mark.parametrize(
    ("index", "axle", "advised"),
    [(94, "1206 kg", True), (94, "1207 kg", False), (109, "1854 kg", True), (109, "1900 kg", False), (110, "1900 kg", True)],
)
def test_nine_tenths_of_the_tyres_in_the_united_kingdom(index, axle, advised):
    # the tyre industry's advice: 0.9 x 2 x 670 = 1206 kg (LI 94), 0.9 x 2060 = 1854 (LI 109), 0.9 x 2120 = 1908 (LI 110)
    found, words = finding("tyre-capacity", {"size": "195/70R14", "load_index": index}, axle, place="gb")
    assert found.verdict == "within"
    assert ("Advice, and no limit" not in words) == advised


# --- speed, pressure limits, valves --------------------------------------------------------------------------------------


def test_speed_symbols():
    # L is 120 km/h and M 130 (tyre makers' tables)
    for symbol, verdict in (("L", "over"), ("M", "at_limit"), ("N", "within")):
        found, _ = finding("tyre-speed", {"speed_symbol": symbol, "size": "195/70R14"}, trip={"top_speed": "130 km/h"})
        assert found.verdict == verdict


SPECIAL = {"marking": "ST235/80R16 124/120M", "pressure_at_max_load": "80 psi", "placard_pressure": "80 psi"}


def test_special_trailer_tyres_above_65_mph():
    # a Tire and Rim Association table, restated by two clubs: 66 to 75 mph takes 10 psi more; 80 + 10 = 90 psi
    def at(speed, cold, rule="tyre-pressure-least", **axle):
        return finding(rule, {**SPECIAL, "cold_pressure": exact(cold)}, axle=axle, trip={"top_speed": speed})

    assert at("65 mph", "80 psi")[0].verdict == "within"
    found, words = at("70 mph", "80 psi")
    assert found.verdict == "unmet"
    assert "a special-trailer tyre above 65 mph (104 km/h) takes 90 psi" in words
    assert at("70 mph", "90 psi")[0].verdict == "within"
    # at 90 psi a TR600HP (80) is not enough and a TR801HP (100) is: a commercial tyre data book
    for stem, verdict in (("TR600HP", "unmet"), ("TR801HP", "within")):
        parts = {"wheels": {"max_pressure": "110 psi"}, "valves": {"kind": stem}}
        assert at("70 mph", "90 psi", "tyre-pressure-most", **parts)[0].verdict == verdict
    # from 76 to 87 mph it carries a tenth less: LI 124 is 1600 kg, 2 x 1600 x 0.9 = 2880 kg
    assert at("80 mph", "90 psi", "tyre-capacity")[0].high == pytest.approx(2880)
    assert at("75 mph", "90 psi", "tyre-capacity")[0].high == pytest.approx(3200)


def test_load_range_e_on_valves_for_cars():
    # 80 psi on TR413, which is made for 65 psi (the same data book)
    tyres = {"marking": "LT235/85R16 120/116R E", "pressure_at_max_load": "80 psi", "cold_pressure": exact("80 psi")}
    parts = {"wheels": {"max_pressure": "80 psi"}, "valves": {"kind": "TR413"}}
    found, words = finding("tyre-pressure-most", tyres, axle=parts)
    assert found.verdict == "unmet"
    assert "set to 80 psi, while the valve (TR413) is made for 65 psi" in words


# --- age -----------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("code", "day"),
    [
        # readings of a tyre fitter's, a weighing service's and a tyre trade body's pages; the days by the first full week
        ("0102", "2001-12-31"), ("3916", "2016-09-25"), ("2716", "2016-07-03"), ("4208", "2008-10-13"), ("0218", "2018-01-08"),
        ("3623", "2023-09-03"),
    ],
)  # fmt: skip
def test_a_date_code_is_a_week(code, day):
    made, sunday = made_on(code), {"0102": "2002-01-06", "4208": "2008-10-19", "0218": "2018-01-14"}.get(code, day)
    assert made == datetime.date.fromisoformat(day)  # the earlier of the two ways to count weeks
    assert 0 <= (datetime.date.fromisoformat(sunday) - made).days <= 6


def test_ages_are_counted_by_the_calendar():
    made = made_on("3916")
    assert years_between(made, datetime.date(2022, 9, 1)) == pytest.approx(5.93, abs=0.01)
    assert years_between(made, datetime.date(2022, 10, 1)) == pytest.approx(6.016, abs=0.001)
    assert years_between(made, datetime.date(2023, 9, 25)) == 7
    assert years_between(datetime.date(2020, 2, 29), datetime.date(2021, 2, 28)) < 1


@pytest.mark.parametrize(("today", "verdict"), [("2022-09-01", "within"), ("2022-10-01", "within"), ("2023-10-01", "unmet")])
def test_a_caravan_tyre_grows_old(today, verdict):
    # British Tyre Manufacturers' Association, by two pages: replace at 5 years, never past 7
    found, words = finding("tyre-age", {"size": "195/70R14", "date_code": "3916"}, date=today)
    assert found.verdict == verdict
    assert "British Tyre Manufacturers' Association" in words
    assert "no law" in words


# --- per wheel -----------------------------------------------------------------------------------------------------------


def test_the_heavier_side_of_a_trailer_decides():
    # 1,100 + 900 kg: evenly 1000 kg a tyre; LI 100 carries 800, LI 112 1120 kg, so 20 kg remain on the left
    ticket = {"state": "coupled", "increment": "1 kg", "trailer_left": exact("1100 kg"), "trailer_right": exact("900 kg")}
    axles = {"single": {"tyres": {"count": 2, "size": "225/75R16C", "load_index": 112}, "wheels": {"max_load": "1050 kg"}}}
    axles["single"]["max_load"] = "2100 kg"
    one = rig(places=["de"], weighings=[ticket], trailer={"axles": axles})
    found = {f.rule: f for f in judge(one).findings if f.subject == "trailer.axles.single"}
    assert found["tyre-capacity"].margin == pytest.approx(20)
    assert found["wheel-load"].margin == pytest.approx(-50)
    shown = Display(("metric",))
    assert sentence(found["tyre-capacity"], one, shown).startswith("The load on the left wheels of the trailer axle 'single'")
    assert found["axle-load"].load == pytest.approx(2000)  # what both sides add up to
    side = next(f for f in judge(one).findings if f.rule == "side-balance" and f.subject == "trailer")
    assert side.load == pytest.approx(0.55)
