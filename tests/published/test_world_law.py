"""Law outside the United States through the whole engine: a rig file in its place, one unit either side of each threshold.

Each figure is a published example or a hand calculation on the cited text, shown beside the check. What was read second-hand
or stands against another source must end in "check locally" on both sides, and still say whether the rig would meet it.
"""

import pytest
from rigs import merged, rig

from rigmargin.judge.run import judge
from rigmargin.report.display import Display
from rigmargin.report.words import sentence

WOULD, WOULD_NOT = "by it this rig would meet it", "by it this rig would not meet it"


def exactly(mass):
    return {"value": f"{mass} kg", "source": "measured", "plus_or_minus": "0 kg"}


def found(place, rule, *, axles=None, coupling=None, alone=None, kind="european_ball", chains=None, stabiliser=None, **parts):
    """The finding of one rule of law on a rig weighed exactly: kg under the trailer's wheels, on its coupling, and the tow
    vehicle without it. ``kind`` is the coupling's."""
    weighings = []
    if axles is not None:
        weighings.append({"state": "coupled", "increment": "1 kg", "trailer_axles": exactly(axles)})
    if alone is not None:
        weighings.append({"state": "alone", "increment": "1 kg", "tow_vehicle": exactly(alone)})
    made = {"places": [place], "weighings": weighings, "coupling": {"kind": kind, "safety_chains": chains or {}}}
    if stabiliser:
        made["coupling"]["stabiliser"] = stabiliser
    if coupling is not None:
        made["coupling_load"] = exactly(coupling)
    report = judge(rig(**merged(made, parts)))
    (finding,) = [f for f in report.findings if f.rule == rule]
    return finding


def empty(mass):
    return {"unloaded": {"total": exactly(mass)}}


def unbraked(**more):
    return {"brakes": {"actuation": "none"}, "axles": {"single": {}}, **more}


def verdicts(*findings):
    return [finding.verdict for finding in findings]


def locally(finding):
    """Whether a rig would meet what a finding asks its reader to check locally."""
    words = sentence(finding, rig(), Display(("metric",)))
    assert finding.verdict == "note"
    assert "check locally: " in words
    assert (WOULD in words) is not (WOULD_NOT in words)
    return WOULD in words


# --- trailers without brakes ---


def test_austria_half_of_car_and_driver_is_already_too_much():
    # KFG section 104(2)(c): the empty car and 75 kg must exceed twice the trailer. A dealer's page citing it: a car of 965 kg,
    # (965 + 75) / 2 = 520 kg
    def of(trailer):
        return found("at", "law/at/unbraked-mass", axles=trailer - 20, coupling=20, tow_vehicle=empty(965), trailer=unbraked())

    assert verdicts(of(519), of(520), of(521)) == ["within", "over", "over"]
    assert of(519).margin == pytest.approx(1)


@pytest.mark.parametrize(("car", "limit"), [(1100, 587.5), (1600, 750)])
def test_germany_lesser_of_750_kg_and_half_of_car_and_driver(car, limit):
    # StVZO section 42(2): (1100 + 75) / 2 = 587.5; (1600 + 75) / 2 = 837.5, of which 750 are the most
    def of(axle):
        return found("de", "law/de/unbraked-mass", axles=axle, coupling=30, tow_vehicle=empty(car), trailer=unbraked())

    assert verdicts(of(limit - 1), of(limit), of(limit + 1)) == ["within", "at_limit", "over"]
    assert of(limit + 1).margin == pytest.approx(-1)


def test_germany_does_not_count_the_driver_twice():
    # an empty mass of 1175 kg that holds a driver of 75 kg is the same car: 587.5 kg
    car = {
        "unloaded": {"total": exactly(1175), "includes": ["driver 75 kg"]},
        "load": {"driver": {"mass": exactly(75), "person": "yes"}},
    }
    at = found("de", "law/de/unbraked-mass", axles=587.5, coupling=30, tow_vehicle=car, trailer=unbraked())
    assert at.verdict == "at_limit"
    # and the axle alone, section 41(11), is held against half of 1100 kg without him
    axle = found("de", "law/de/unbraked-axle", axles=551, coupling=30, tow_vehicle=car, trailer=unbraked())
    assert (axle.verdict, axle.margin) == ("over", pytest.approx(-1))


def test_france_plate_against_the_unladen_vehicle():
    # pages of the trade: unladen (PV) 1200 kg, so a plate (PTAC) of 600; a plate of 750 needs an unladen vehicle of 1500
    def of(plate, car):
        return found("fr", "law/fr/unbraked-mass", tow_vehicle=empty(car), trailer=unbraked(max_mass=f"{plate} kg"))

    assert locally(of(600, 1200))
    assert not locally(of(601, 1200))
    assert locally(of(750, 1500))
    assert not locally(of(750, 1499))
    assert not locally(of(751, 2000))


def test_finland_axle_is_towed_but_the_whole_plate_is_licensed():
    # the transport agency's notice of 18 December 2018: 825 kg in all, 75 on the coupling, so 750 on the axle, behind a car
    # permitted 750 kg unbraked: allowed
    car = {"max_trailer_mass": {"unbraked": "750 kg"}, "max_mass": "2900 kg"}
    trailer = unbraked(max_mass="825 kg")

    def of(axle):
        return found("fi", "law/fi/unbraked-mass", axles=axle, coupling=75, tow_vehicle=car, trailer=trailer)

    assert verdicts(of(749), of(750), of(751)) == ["within", "at_limit", "over"]
    # for the licence it is 825 kg and no light trailer of 750: with 2900 kg more than 3500 together, so B alone will not do
    licence = found("fi", "law/eu/licence-b96", tow_vehicle=car, trailer=trailer, driver={"licences": ["B"]})
    assert not locally(licence)
    light = found("fi", "law/eu/licence-b", tow_vehicle=car, trailer=unbraked(max_mass="750 kg"), driver={"licences": ["B"]})
    assert locally(light)


def test_united_kingdom_kerbside_weight_of_twice_the_trailer():
    # Construction and Use regulation 87: unlawful where the kerbside weight is less than twice the trailer: 2 x 700 = 1400
    def of(car):
        return found("gb", "law/gb/unbraked-mass", axles=660, coupling=40, tow_vehicle=empty(car), trailer=unbraked())

    assert not locally(of(1399))
    assert locally(of(1400))


def test_new_zealand_three_quarters_by_guidance():
    # the agency's guidance, not law: a car of 1600 kg unladen, 0.75 x 1600 = 1200 kg
    def of(trailer):
        return found(
            "nz", "law/nz/unbraked-guide", axles=trailer - 80, coupling=80, tow_vehicle=empty(1600), trailer=unbraked()
        )

    assert locally(of(1200))
    assert not locally(of(1201))
    assert "by guidance, not by law" in sentence(of(1201), rig(), Display(("metric",)))


def test_new_zealand_note_on_stopping_has_the_mean_that_follows():
    # Land Transport Rule 32014 as the trade cites it: within 7 m from 30 km/h; v^2 / 2s = (30 / 3.6)^2 / 14
    from importlib.resources import files

    from rigmargin.spec.regulation import load

    note = load(files("rigmargin.rules").joinpath("regulations", "nz.yaml")).note
    assert f"{(30 / 3.6) ** 2 / (2 * 7):.2f} m/s²" in note


# --- braked trailers and combinations ---


def test_france_actual_trailer_against_the_actual_vehicle():
    # Code de la route R312-3: 1.3 x 1500 = 1950; 2341 is more than 20 % past it (1.2 x 1950 = 2340)
    def of(trailer):
        return found("fr", "law/fr/actual-ratio", axles=trailer - 75, coupling=75, alone=1500)

    assert verdicts(of(1949), of(1950), of(1951)) == ["within", "at_limit", "over"]
    assert of(2341).margin == pytest.approx(-391)


def test_france_plates_of_trailer_and_combination():
    # a page on transport law: PTRA 3200 less PTAC 1500 = 1700 kg
    def of(plate):
        vehicle = {"max_mass": "1500 kg", "max_combination_mass": "3200 kg"}
        return found("fr", "law/fr/plated-trailer", tow_vehicle=vehicle, trailer={"max_mass": f"{plate} kg"})

    assert locally(of(1700))
    assert not locally(of(1701))


@pytest.mark.parametrize("place", ["au-sa", "au-nsw"])
def test_australia_where_the_maker_gives_no_figure(place):
    # South Australia, regulations 491/1999 schedule 2; New South Wales, Road Rules 2014 rule 294-2: 1.5 x 2000 with brakes,
    # 1.0 x without. It counts only where there is no maker's figure, so it may only ask to check locally.
    def of(trailer, actuation, rule):
        car = {**empty(2000), "max_mass": "2800 kg"}
        return found(
            place,
            f"law/{place}/no-makers-figure-{rule}",
            axles=trailer - 150,
            coupling=150,
            tow_vehicle=car,
            trailer={"brakes": {"actuation": actuation}},
        )

    assert locally(of(3000, "electric", "braked"))
    assert not locally(of(3001, "electric", "braked"))
    assert locally(of(2000, "none", "unbraked"))
    assert not locally(of(2001, "none", "unbraked"))


def test_australia_overrun_brakes_are_not_worked_by_the_driver():
    # South Australia says brakes that the driver can operate, New South Wales any that work
    def of(place, rule):
        car = {**empty(2000), "max_mass": "2800 kg"}
        return found(
            place,
            f"law/{place}/{rule}",
            tow_vehicle=car,
            trailer={"brakes": {"actuation": "overrun"}},
            axles=1500,
            coupling=100,
        )

    assert of("au-sa", "no-makers-figure-braked").verdict == "not_applicable"
    assert of("au-nsw", "no-makers-figure-braked").verdict == "note"


def test_spain_combination_and_coupling_load():
    # Reglamento General de Vehiculos annex IX 4.3: MMA 2000 + MMR 1500 = 3500 kg
    def combination(trailer):
        car = {"max_mass": "2000 kg", "max_trailer_mass": "1500 kg"}
        return found("es", "law/es/combination-mass", axles=trailer - 75, coupling=75, alone=2000, tow_vehicle=car)

    assert verdicts(combination(1499), combination(1500), combination(1501)) == ["within", "at_limit", "over"]

    # annex IX 4.2: 10 % of 1300 = 130 kg; of 12000 it would be 1200, so 1000 kg
    def load(kilograms, plate):
        return found("es", "law/es/coupling-load", coupling=kilograms, trailer={"max_mass": f"{plate} kg"})

    assert verdicts(load(129, 1300), load(130, 1300), load(131, 1300)) == ["within", "at_limit", "over"]
    assert verdicts(load(1000, 12000), load(1001, 12000)) == ["at_limit", "over"]


@pytest.mark.parametrize(("trailer", "floor"), [(500, 20), (625, 25), (1500, 25)])
def test_germany_least_coupling_load(trailer, floor):
    # StVZO section 44(3): 4 % of the actual trailer, of which 25 kg are always enough: 0.04 x 500 = 20, x 625 = 25
    def of(load):
        return found(
            "de",
            "law/de/coupling-load-floor",
            axles=trailer - load,
            coupling=load,
            trailer={"max_mass": "1500 kg", "drawbar": "rigid"},
        )

    assert verdicts(of(floor + 1), of(floor), of(floor - 1)) == ["within", "at_limit", "outside_band"]


# --- brakes and chains ---


def test_quebec_1300_kg():
    # Highway Safety Code section 230, marked as replaced: more than 1300 kg with its load
    def of(trailer):
        return found("ca-qc", "law/ca-qc/trailer-brakes", axles=trailer - 100, coupling=100, trailer=unbraked())

    assert of(1300).verdict == "not_applicable"
    assert not locally(of(1301))


@pytest.mark.parametrize(
    ("plate", "rule", "number", "strength", "meets"),
    [
        # ADR 62 and AS 4177.4 as a trailer dealer prints them: ATM 2400 one chain 4177-25; 2501 two of 4177-35;
        # 3501 two of more
        (2400, "safety-chains", 1, 2500, True),
        (2400, "safety-chains", 1, 1600, False),
        (2501, "safety-chains-heavy", 2, 3500, True),
        (2501, "safety-chains-heavy", 1, 3500, False),
        (2501, "safety-chains-heavy", 2, 3499, False),
        (3501, "safety-chains-heaviest", 2, 3502, True),
        (3501, "safety-chains-heaviest", 2, 3501, False),
    ],
)
def test_australian_safety_chains(plate, rule, number, strength, meets):
    chains = {"fitted": "yes", "number": number, "strength": f"{strength} kg"}
    finding = found("au", f"law/au/{rule}", trailer={"max_mass": f"{plate} kg"}, chains=chains)
    assert locally(finding) is meets


def test_australian_chains_at_exactly_2500_kg_are_left_open():
    # one text says up to 2500 kg, another under 2500 kg
    chains = {"fitted": "yes", "number": 1, "strength": "2500 kg"}
    finding = found("au", "law/au/safety-chains-heavy", trailer={"max_mass": "2500 kg"}, chains=chains)
    assert not locally(finding)
    assert "another only under it" in sentence(finding, rig(), Display(("metric",)))


# --- licences ---


@pytest.mark.parametrize(
    ("car", "trailer", "rule", "licence", "less"),
    [
        # Directive 2006/126/EC article 4, and FeV sections 6 and 6a
        (2000, 1400, "licence-b", "B", "A"),
        (2000, 1800, "licence-b96", "B96", "B"),
        (2300, 2000, "licence-be", "BE", "B96"),
        (3500, 3600, "licence-c1e", "C1E", "BE"),
        (3500, 750, "licence-b", "B", "A"),
        # one kilogram either side of 3500 and of 4250 kg together, and of trailers of 750 and 3500 kg
        (2000, 1500, "licence-b", "B", "A"),
        (2000, 1501, "licence-b96", "B96", "B"),
        (2250, 2000, "licence-b96", "B96", "B"),
        (2250, 2001, "licence-be", "BE", "B96"),
        (3500, 751, "licence-be", "BE", "B"),
        (3500, 3500, "licence-be", "BE", "B96"),
        (3500, 3501, "licence-c1e", "C1E", "BE"),
    ],
)
def test_european_licences(car, trailer, rule, licence, less):
    rules = ("licence-b", "licence-b96", "licence-be", "licence-c1e")

    def of(place, name, held):
        return found(
            place.partition("/")[0],
            f"law/{place.rpartition('/')[2]}/{name}",
            tow_vehicle={"max_mass": f"{car} kg"},
            trailer={"max_mass": f"{trailer} kg"},
            driver={"licences": [held]},
        )

    # exactly one rule speaks of each pair of plates
    assert [name for name in rules if of("de", name, licence).verdict != "not_applicable"] == [rule]
    # Germany's own text was read: a verdict. For the union a reproduction was: check locally.
    assert verdicts(of("de", rule, licence), of("de", rule, less)) == ["within", "unmet"]
    assert locally(of("fr/eu", rule, licence))
    assert not locally(of("fr/eu", rule, less))


def test_united_kingdom_licence():
    # pages of December 2021, one printing the government's text: since 16 December 2021 trailers of up to 3500 kg MAM
    def of(plate):
        return found("gb", "law/gb/licence", trailer={"max_mass": f"{plate} kg"}, driver={"licences": ["B", "BE"]})

    assert locally(of(3500))
    assert not locally(of(3501))


def test_ontario_fifth_wheel_behind_a_light_pickup():
    # O. Reg. 291/11 (340/94 section 4): trailer 4700 kg, pickup rated at 5500 kg, combination 10500 kg, personal use: class G
    # on a fifth wheel, class A on a ball
    def of(kind, trailer_kind, rule, licence, trailer=4700, together=10500):
        return found(
            "ca-on",
            f"law/ca-on/{rule}",
            use="private",
            kind=kind,
            axles=trailer - 900,
            coupling=900,
            alone=together - trailer,
            tow_vehicle={"kind": "pickup", "max_mass": "5500 kg"},
            trailer={"kind": trailer_kind},
            driver={"licences": [licence]},
        )

    fifth, ball = ("fifth_wheel", "fifth_wheel"), ("weight_distributing", "travel_trailer")
    assert of(*fifth, "licence-fifth-wheel", "G").verdict == "within"
    assert of(*fifth, "licence-a", "G").verdict == "not_applicable"
    assert of(*ball, "licence-a", "G").verdict == "unmet"
    assert of(*ball, "licence-a", "A").verdict == "within"
    # one kilogram either side of the trailer's 4600 and the combination's 11000
    assert of(*ball, "licence-a", "G", trailer=4600).verdict == "not_applicable"
    assert of(*ball, "licence-a", "G", trailer=4601).verdict == "unmet"
    assert of(*fifth, "licence-fifth-wheel", "G", together=11000).verdict == "within"
    assert of(*fifth, "licence-a-fifth-wheel", "G", together=11000).verdict == "not_applicable"
    assert of(*fifth, "licence-a-fifth-wheel", "G", together=11001).verdict == "unmet"


# --- Germany above 80 km/h ---


@pytest.mark.parametrize(
    ("kind", "dampers", "stabiliser", "times", "rule"),
    [
        # the 9th exemption ordinance to the StVO: the plate against the empty car of 1500 kg (Leermasse, no driver added)
        ("caravan", "no", "yes", 0.3, "permission-undamped"),
        ("caravan", "yes", "no", 0.8, "permission-caravan"),
        ("caravan", "yes", "yes", 1.0, "permission-caravan"),
        ("boat", "yes", "no", 1.1, "permission-other"),
        ("boat", "yes", "yes", 1.2, "permission-other"),
    ],
)
def test_german_permission_for_100_km_h(kind, dampers, stabiliser, times, rule):
    def of(plate, speed="100 km/h"):
        trailer = {"kind": kind, "brakes": {"actuation": "overrun"}, "dampers": dampers, "max_mass": f"{plate} kg"}
        return found(
            "de",
            f"law/de/{rule}",
            stabiliser=stabiliser,
            trip={"top_speed": speed},
            tow_vehicle=empty(1500),
            trailer=trailer,
        )

    limit = round(times * 1500)
    assert of(limit).verdict in ("within", "at_limit")
    assert of(limit + 1).verdict in ("over", "unmet")
    assert of(limit + 1, speed="80 km/h").verdict == "not_applicable"


def test_german_speed_never_passes_for_permitted_by_itself():
    """Nothing in a rig file shows the plaque, so above 80 km/h its reader is told to look."""
    for speed, meets in (("80 km/h", True), ("81 km/h", False), ("100 km/h", False)):
        finding = found("de", "law/de/permission-papers", trip={"top_speed": speed})
        assert locally(finding) is meets
    assert found("de", "law/de/speed", trip={"top_speed": "101 km/h"}).verdict == "over"
