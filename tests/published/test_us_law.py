"""The law of the United States through the whole engine: a rig file in a place, its masses weighed exactly, and the verdict.

Every figure stands beside the section it is printed in, and each is tried one unit on either side. Masses are weighed without
uncertainty, so that the operator of the law alone decides.
"""

import csv
import importlib.resources
import math
from fractions import Fraction

import pytest
from rigs import merged, rig

from rigmargin.judge.run import judge

BRAKES, BREAKAWAY, WHEELS = "trailer-brakes", "breakaway", "trailer-brakes-all-wheels"


def exact(figure, unit="lb", source="measured"):
    return {"value": f"{figure} {unit}", "source": source, "plus_or_minus": f"0 {unit}"}


def weighed(trailer, *, wheels=None, tow=9000):
    """A trailer of ``trailer`` lb with ``wheels`` lb on its own axles (all but 300 lb of it), behind a coupled tow vehicle."""
    wheels = trailer - 300 if wheels is None else wheels
    ticket = {"front": exact(tow - 4000), "rear": exact(4000), "trailer_axles": exact(wheels)}
    return {"coupling_load": exact(trailer - wheels), "weighings": [{"state": "coupled", "increment": "1 lb", **ticket}]}


def verdicts(place, use="private", **parts):
    """The verdicts on the rules of one place, by the rule's name there."""
    report = judge(rig(places=[place], use=use, date="2026-07-04", **parts))
    head = f"law/{place}/"
    return {f.rule.removeprefix(head): f.verdict for f in report.findings if f.rule.startswith(head)}


def asked(verdict):
    """Whether an unbraked trailer fails the rule: the rule asks for brakes of it."""
    assert verdict in ("unmet", "not_applicable", "within"), verdict
    return verdict == "unmet"


UNBRAKED = {"kind": "utility", "brakes": {"actuation": "none"}, "breakaway": {"fitted": "no"}}


@pytest.mark.parametrize(
    ("place", "at_2999", "at_3000", "at_3001"),
    [
        # a limit of "3000 lb or more" bites at 3000 exactly, one of "over 3000 lb" at 3001; the higher limits at neither
        ("us-az", False, True, True),  # ARS 28-952
        ("us-co", False, True, True),  # CRS 42-4-223
        ("us-ga", False, True, True),  # OCGA 40-8-50(d)
        ("us-ia", False, True, True),  # Iowa Code 321.430(3)
        ("us-mn", False, True, True),  # Minn. Stat. 169.67 subd. 3
        ("us-nm", False, True, True),  # NMSA 66-3-840
        ("us-tn", False, True, True),  # TCA 55-9-204
        ("us-va", False, True, True),  # Va. Code 46.2-1070
        ("us-fl", False, False, True),  # Fla. Stat. 316.261
        ("us-il", False, False, True),  # 625 ILCS 5/12-301
        ("us-mt", False, False, True),  # MCA 61-9-304, -305
        ("us-nv", False, False, True),  # NRS 484D.250
        ("us-sc", False, False, True),  # SC Code 56-5-4850
        ("us-sd", False, False, True),  # SDCL 32-18-3
        ("us-vt", False, False, True),  # 23 VSA 1307
        ("us-wa", False, False, True),  # RCW 46.37.340
        ("us-tx", False, False, False),  # Tex. Transp. Code 547.401: over 4500 lb
        ("us-ri", False, False, False),  # RIGL 31-23-4: 4000 lb
        ("us-nc", False, False, False),  # G.S. 20-124(f): 4000 lb, or 1000 lb of a house trailer
    ],
)
def test_w16_and_w17_brakes_at_3000_lb(place, at_2999, at_3000, at_3001):
    found = []
    for mass in (2999, 3000, 3001):
        stops = {"brake_test": {"stopping_distance": "30 ft"}}  # South Carolina asks for brakes where it takes longer
        parts = weighed(mass) | stops | {"trip": {"top_speed": "65 mph"}, "tow_vehicle": {"unloaded": {"total": exact(6000)}}}
        found.append(asked(verdicts(place, trailer=UNBRAKED, **parts)[BRAKES]))
    assert found == [at_2999, at_3000, at_3001]


@pytest.mark.parametrize("place", ["us-fl", "us-mt", "us-sc", "us-sd", "us-vt"])
def test_w16_holds_only_up_to_40_percent_of_the_coupled_tow_vehicle(place):
    """A trailer of 3000 lb with 2800 lb on its wheels: 40 % of 7000 lb is 2800 lb, of 6999 lb it is 2799.6 lb."""
    parts = {"trailer": UNBRAKED, "brake_test": {"stopping_distance": "30 ft"}}
    assert verdicts(place, **parts, **weighed(3000, wheels=2800, tow=7000))[BRAKES] == "not_applicable"
    assert verdicts(place, **parts, **weighed(3000, wheels=2801, tow=7000))[BRAKES] == "unmet"
    assert verdicts(place, **parts, **weighed(3000, wheels=2800, tow=6999))[BRAKES] == "unmet"


def test_south_carolina_asks_a_light_trailer_for_brakes_where_the_rig_stops_late():
    """SC Code 56-5-4850: also to 3000 lb and 40 % where the combination does not stop within 40 ft from 20 mph."""
    light = {"trailer": UNBRAKED, **weighed(3000, wheels=2700, tow=7000)}
    assert verdicts("us-sc", brake_test={"stopping_distance": "50 ft"}, **light)[BRAKES] == "unmet"
    assert verdicts("us-sc", **light)[BRAKES] == "not_checked"


def test_w16_in_washington_and_its_old_light_trailers():
    """RCW 46.37.340: the 40 % hold from 2001 lb; to 2000 lb only for trailers built since July 1965."""
    light = "trailer-brakes-light"
    assert verdicts("us-wa", trailer=UNBRAKED, **weighed(3000, wheels=2800, tow=7000))[light] == "not_applicable"
    assert verdicts("us-wa", trailer=UNBRAKED, **weighed(3000, wheels=2801, tow=7000))[light] == "unmet"
    for built, verdict in (("1965-06-30", "not_applicable"), ("1965-07-01", "unmet")):
        old = UNBRAKED | {"built": built}
        assert verdicts("us-wa", trailer=old, **weighed(2000, wheels=1850, tow=4600))["trailer-brakes-very-light"] == verdict


@pytest.mark.parametrize(
    ("mass", "speed", "brakes"),
    [
        # Tex. Transp. Code 547.401 (W19): none to 4500 lb, none to 15000 lb at no more than 30 mph
        (4500, 65, False),
        (4501, 65, True),
        (4501, 30, False),
        (4501, 31, True),
        (15000, 30, False),
        (15001, 30, True),
        (15001, 65, True),
    ],
)
def test_w19_texas(mass, speed, brakes):
    parts = weighed(mass) | {"trip": {"top_speed": exact(speed, "mph")}}
    assert asked(verdicts("us-tx", trailer=UNBRAKED, **parts)[BRAKES]) is brakes


def test_texas_without_a_speed_is_not_checked_and_says_so():
    report = judge(rig(places=["us-tx"], trailer=UNBRAKED, **weighed(4501)))
    (found,) = [f for f in report.findings if f.rule == "law/us-tx/trailer-brakes"]
    assert found.verdict == "not_checked"
    assert [missing.path for missing in found.missing] == ["trip.top_speed"]


@pytest.mark.parametrize(
    ("kind", "rule", "mass", "brakes"),
    [
        # Cal. Veh. Code 26302, 26303 (W20)
        ("travel_trailer", "trailer-brakes-camp-trailer", 1499, False),
        ("travel_trailer", "trailer-brakes-camp-trailer", 1500, True),
        ("utility", BRAKES, 2999, False),
        ("utility", BRAKES, 3000, True),
    ],
)
def test_w20_california(kind, rule, mass, brakes):
    trailer = UNBRAKED | {"kind": kind, "built": "2015-05-01"}
    assert asked(verdicts("us-ca", trailer=trailer, **weighed(mass))[rule]) is brakes


@pytest.mark.parametrize(
    ("place", "empty", "brakes"),
    [
        # Idaho Code 49-933 (W21); ORC 4513.20 (W22): the loaded mass of 3400 lb does not matter
        ("us-id", 1499, False),
        ("us-id", 1500, True),
        ("us-oh", 1999, False),
        ("us-oh", 2000, True),
    ],
)
def test_w21_and_w22_the_empty_trailer_counts(place, empty, brakes):
    found = verdicts(place, trailer=UNBRAKED | {"unloaded": {"total": exact(empty)}}, **weighed(3400))
    assert asked(found[BRAKES]) is brakes
    assert asked(found[BREAKAWAY]) is brakes


@pytest.mark.parametrize(
    ("mass", "some", "every", "breakaway"),
    [
        # 23 VSA 1307 (W24), not more than 40 % on the wheels
        (3000, False, False, False),
        (3001, True, False, True),
        (5999, True, False, True),
        (6000, True, True, True),
    ],
)
def test_w24_vermont(mass, some, every, breakaway):
    found = verdicts("us-vt", trailer=UNBRAKED, **weighed(mass, tow=20000))
    assert (asked(found[BRAKES]), asked(found[WHEELS]), asked(found[BREAKAWAY])) == (some, every, breakaway)
    one = UNBRAKED | {"brakes": {"actuation": "electric", "wheels": "some"}}
    found = verdicts("us-vt", trailer=one, **weighed(mass, tow=20000))
    assert (asked(found[BRAKES]), asked(found[WHEELS])) == (False, every)


@pytest.mark.parametrize(
    ("mass", "breakaway"),
    # 625 ILCS 5/12-301 (W26): brakes over 3000 lb, breakaway over 5000 lb
    [(4900, False), (5000, False), (5001, True)],
)
def test_w26_illinois(mass, breakaway):
    found = verdicts("us-il", trailer=UNBRAKED, **weighed(mass))
    assert (asked(found[BRAKES]), asked(found[BREAKAWAY])) == (True, breakaway)


@pytest.mark.parametrize(
    ("tow", "trailer", "a", "b"),
    [
        # 49 CFR 383.91 and its guidance, question 2 (W27); group B from a tow vehicle of 26001 lb
        (14000, 12000, False, False),
        (14000, 12001, True, False),
        (16001, 10000, False, False),
        (16000, 10001, True, False),
        (26000, 10000, False, False),
        (26001, 10000, False, True),
    ],
)
def test_w27_licence_groups(tow, trailer, a, b):
    parts = weighed(8000) | {"tow_vehicle": {"gvwr": f"{tow} lb"}, "trailer": {"gvwr": f"{trailer} lb"}}
    ordinary = verdicts("us", use="commercial", driver={"licences": ["D"]}, **parts)
    assert (asked(ordinary["licence-group-a"]), asked(ordinary["licence-group-b"])) == (a, b)
    held = verdicts("us", use="commercial", driver={"licences": ["CDL A"]}, **parts)
    assert held["licence-group-a"] == ("within" if a else "not_applicable")
    assert "licence-group-a" not in verdicts("us", driver={"licences": ["D"]}, **parts)  # private towing is left to the states


BRIDGE = [
    # feet, axles, lb: table of RCW 46.44.041, which prints the formula of 23 USC 127 (W29)
    (10, 3, 43500),
    (20, 4, 55500),
    (36, 4, 66000),
    # ties go down (W30): 42750, 45750, 48750, 51750 by the formula
    (9, 3, 42500),
    (13, 3, 45500),
    (17, 3, 48500),
    (21, 3, 51500),
    # an exception of the table (W31): 49333 by the formula
    (11, 4, 49000),
    # W32
    (30, 3, 58500),
    (30, 4, 62000),
]
#: Heavier than a rig file may say a rig is: held against the table alone (W29, W32).
HEAVIER = [(51, 5, 80000), (57, 4, 80000), (45, 4, 72000), (54, 5, 81500), (60, 5, 85500)]


@pytest.mark.parametrize(("feet", "axles", "allowed"), BRIDGE)
def test_w29_to_w32_the_bridge_formula(feet, axles, allowed):
    """A rig over the figure needs one axle more than it has: said of it alone, and unmet from one pound over."""
    rule = {3: "bridge-formula-three-axles", 4: "bridge-formula-four-axles"}[axles]
    for over in (-1, 0, 1):
        ticket = {"state": "coupled", "increment": "1 lb", "all": exact(allowed + over)}
        trailer = {"axles": {"group": {"number": axles - 2}}}  # the tow vehicle has the other two
        found = verdicts("us", axle_distance=exact(feet, "ft"), trailer=trailer, weighings=[ticket])
        assert found[rule] == ("unmet" if over > 0 else "not_applicable")
        assert found["gross"] == "within"  # 23 USC 127(a): 80000 lb


@pytest.mark.parametrize("over", [-1, 0, 1])
def test_w29_the_tow_vehicles_own_two_axles(over):
    """RCW 46.44.041: 10 ft, 2 axles, 40000 lb."""
    ticket = {"state": "coupled", "increment": "1 lb", "front": exact(20000 + over), "rear": exact(20000)}
    found = verdicts("us", tow_vehicle={"wheelbase": exact(10, "ft")}, weighings=[ticket])
    assert found["bridge-formula-tow-vehicle"] == {-1: "within", 0: "at_limit", 1: "over"}[over]
    assert found["axle-front"] == {-1: "within", 0: "at_limit", 1: "over"}[over]  # 23 USC 127(a): 20000 lb


def bridge_table():
    """The rows of the table by the longest distance they hold for."""
    text = importlib.resources.files("rigmargin.rules").joinpath("regulations/tables/bridge-formula.csv").read_text("utf-8")
    return {row["up_to"]: row for row in csv.DictReader(text.splitlines())}


@pytest.mark.parametrize(("feet", "axles", "allowed"), HEAVIER)
def test_w29_and_w32_in_the_table(feet, axles, allowed):
    assert bridge_table()[f"{feet}.5 ft"][f"axles_{axles}"] == f"{allowed} lb"


def test_the_bridge_table_is_the_formula():
    """W = 500 (L N / (N - 1) + 12 N + 36) to the nearest 500 with ties down, but for the first figures of a column, which
    RCW 46.44.041 rounds down: (11, 4), (15, 5), (18, 6) and (19, 6)."""
    rows = bridge_table()
    first = {2: 9, 3: 9, 4: 11, 5: 15, 6: 18}
    down = {(11, 4), (15, 5), (18, 6), (19, 6)}
    compared = 0
    for axles, start in first.items():
        for feet in range(start, 61):
            steps = Fraction(feet * axles, axles - 1) + 12 * axles + 36
            rounded = math.floor(steps) if (feet, axles) in down else math.ceil(steps - Fraction(1, 2))
            assert rows[f"{feet}.5 ft"][f"axles_{axles}"] == f"{500 * rounded} lb", (feet, axles)
            compared += 1
    assert compared == 52 + 52 + 50 + 46 + 43


@pytest.mark.parametrize(
    ("place", "use", "gvwr", "rule", "feet"),
    [
        # 49 CFR 393.52(d) as adopted in 67 Pa. Code 175 Table I and COMAR 11.14.02 (W40)
        ("us", "commercial", 3000, "stopping-distance-light-trailer", 35),
        ("us", "commercial", 3001, "stopping-distance", 40),
        ("us-pa", "private", 3000, "stopping-distance-light-trailer", 35),
        ("us-pa", "private", 3001, "stopping-distance", 40),
        ("us-md", "private", 3000, "stopping-distance-light-trailer", 35),
        ("us-md", "private", 3001, "stopping-distance", 40),
        # performance rules without a mass
        ("us-ks", "private", 3001, "stopping-distance", 40),  # KSA 8-1734
        ("us-ky", "private", 3001, "stopping-distance", 40),  # KRS 189.090
        ("us-wy", "private", 3001, "stopping-distance", 40),  # WS 31-5-950
        ("us-va", "private", 3001, "stopping-distance", 40),  # Va. Code 46.2-1067
        ("us-tn", "private", 3001, "stopping-distance", 30),  # TCA 55-9-205
        ("us-nh", "private", 3001, "stopping-distance", 30),  # RSA 266:28
    ],
)
def test_w40_stopping_from_20_mph(place, use, gvwr, rule, feet):
    parts = weighed(2900) | {"tow_vehicle": {"gvwr": "9000 lb"}, "trailer": {"gvwr": f"{gvwr} lb"}}
    for tried, verdict in ((feet - 1, "within"), (feet, "at_limit"), (feet + 1, "over")):
        test = {"stopping_distance": exact(tried, "ft")}
        assert verdicts(place, use=use, brake_test=test, **parts)[rule] == verdict
    assert verdicts(place, use=use, **parts)[rule] == "not_checked"


@pytest.mark.parametrize(
    ("dry", "carbon_dioxide", "verdict"),
    # 23 VSA 1342 (W45): 2.5 lb of dry chemical or 5 lb of carbon dioxide
    [("2.0", "0", "unmet"), ("2.4", "0", "unmet"), ("2.5", "0", "within"), ("0", "5", "within"), ("0", "4.9", "unmet")],
)
def test_w45_vermont_extinguisher(dry, carbon_dioxide, verdict):
    trailer = {"kind": "travel_trailer", "extinguisher": {"dry_chemical": exact(dry), "co2": exact(carbon_dioxide)}}
    assert verdicts("us-vt", trailer=trailer)["extinguisher"] == verdict


@pytest.mark.parametrize(
    ("place", "rule", "parts"),
    [
        # what was read second-hand, from memory, or is not settled is a note and fails no rig
        ("us-ak", BRAKES, weighed(6000)),  # 5000 lb by one digest, 3000 lb by another
        ("us-nc", "height", {"trailer": {"height": exact("14.5", "ft")}}),  # 13.5 ft by one digest, 14 ft by another
        ("us-al", BRAKES, weighed(6000)),  # a digest
        ("us-ky", "height-other-roads", {"trailer": {"height": exact("12", "ft")}}),  # the roads are not told
        ("us-hi", BRAKES, weighed(6000)),  # a digest of about 2000
    ],
)
def test_what_is_not_settled_is_a_note(place, rule, parts):
    report = judge(rig(places=[place], use="private", **merged({"trailer": UNBRAKED}, parts)))
    (found,) = [f for f in report.findings if f.rule == f"law/{place}/{rule}"]
    assert found.verdict == "note"
    assert "check locally" in found.reason
    assert "would not meet it" in found.reason
